"""The faces: which characters they have and how wide a text is.

Texts are set without kerning, so a width is the sum of its characters' widths.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, cast

import font_roboto

from wicketlay.sheets.page.model import Face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from reportlab.pdfbase.ttfonts import TTFontFace

MM_PER_PT = 25.4 / 72
BESIDE_EM = 0.16
"""White at either side of the number in the box for a character that no face has, in ems."""


def number_of(character: str) -> str:
    """Return the number of a character, as a caution names it: 65E5."""
    return f"{ord(character):04X}"


_FILES = {Face.REGULAR: font_roboto.Roboto, Face.BOLD: font_roboto.RobotoBold}


def path_of(face: Face) -> Path:
    """Return the font file of a face."""
    return Path(_FILES[face])


class _Widths(dict[str, float]):
    """Characters to widths [em]; a missing one is as wide as the box with its number."""

    def __missing__(self, character: str) -> float:
        return sum(map(self.__getitem__, number_of(character))) + 2 * BESIDE_EM


@cache
def widths_em(face: Face) -> Mapping[str, float]:
    """Return the widths of a face's characters [em], read from its file by the PDF library.

    What is not in it cannot be printed.
    """
    read = registered(face)
    pairs = ((chr(code), width / 1000) for code, width in read.charWidths.items())
    return _Widths({c: w for c, w in pairs if read.charToGlyph.get(ord(c))})


def width_mm(face: Face, text: str, size_pt: float) -> float:
    """Return how wide a text of a face is [mm], boxes for missing characters included."""
    return sum(map(widths_em(face).__getitem__, text)) * size_pt * MM_PER_PT


def registered(face: Face) -> TTFontFace:
    """Return a face as the PDF library knows it, made known to it the first time.

    The library is imported here and not before, so that what prints nothing needs none of it.
    """
    # It looks for settings of the user's own in the home folder: pages do not depend on them,
    # nor on there being such a folder.
    for name in ("reportlab_mods", "reportlab_settings"):
        sys.modules.setdefault(name, ModuleType(name))
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 - 0.2 s of import
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    if face.value not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(face.value, str(path_of(face))))
    return cast("TTFont", pdfmetrics.getFont(face.value)).face  # one of ours


@cache
def _covered() -> frozenset[str]:
    """Return the characters that every face has."""
    return frozenset.intersection(*(frozenset(widths_em(face)) for face in Face))


_SILENT = dict.fromkeys((0x200D, 0xFE0E, 0xFE0F))
"""The joiner of emoji, and what asks for their plain or their coloured form."""


_FRACTIONS = {
    "1/2": "\N{VULGAR FRACTION ONE HALF}",
    "1/4": "\N{VULGAR FRACTION ONE QUARTER}",
    "3/4": "\N{VULGAR FRACTION THREE QUARTERS}",
}
_INCHES = re.compile(r"(?:(?<=\d) )?\b(1/2|1/4|3/4)(?= in\b)")


@cache
def fraction(text: str) -> str:
    """Return a fraction of an inch as the one character for it, where every face has that."""
    glyph = _FRACTIONS.get(text, text)
    return glyph if glyph in _covered() else text


def printable(text: str) -> str:
    """Return `text` in composed form, so that an accented letter is one character.

    What joins or dresses other characters and shows nothing itself is left out: it is no
    character anybody would miss. Parts of an inch are set as on a ruler: 5 1/2 in as 5½ in.
    """
    if "/" in text:
        text = _INCHES.sub(lambda found: fraction(found[1]), text)
    if text.isascii():
        return text
    return unicodedata.normalize("NFC", text).translate(_SILENT)


@lru_cache(maxsize=16384)
def missing(text: str) -> tuple[str, ...]:
    """Return the characters of `text` that a face lacks, each once, in order."""
    covered = _covered()
    return tuple(dict.fromkeys(c for c in printable(text) if c not in covered))
