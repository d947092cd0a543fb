"""The faces: which characters they have and how wide a text is, read from the font files.

Pages are laid out and tested without the PDF library, so the two tables needed for that
(`cmap`, which characters there are, and `hmtx`, how wide each is) are read here. Texts are set
without kerning, so a width is the sum of its characters' widths.
"""

from __future__ import annotations

import struct
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import font_roboto

from wicketlay.sheets.pages import Face
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

MM_PER_PT = 25.4 / 72
MISSING_EM = 0.6
"""Width of the box that stands for a character no face has, in ems."""

_FILES = {Face.REGULAR: font_roboto.Roboto, Face.BOLD: font_roboto.RobotoBold}


def path_of(face: Face) -> Path:
    """Return the font file of a face."""
    return Path(_FILES[face])


class _Widths(dict[str, float]):
    """Characters to widths [em]; a missing one is as wide as the box that stands for it."""

    def __missing__(self, character: str) -> float:
        return MISSING_EM


@dataclass(frozen=True, slots=True, kw_only=True)
class Metrics:
    """Widths of a face's characters [em]; what is not in it cannot be printed."""

    advance_em: Mapping[str, float]

    def width_mm(self, text: str, size_pt: float) -> float:
        """Return how wide `text` is [mm], boxes for missing characters included."""
        return sum(map(self.advance_em.__getitem__, text)) * size_pt * MM_PER_PT


@cache
def metrics(face: Face) -> Metrics:
    """Read the metrics of a face from its file."""
    data = path_of(face).read_bytes()
    tables = _tables(data)
    units_per_em = struct.unpack_from(">H", data, tables["head"] + 18)[0]
    count = struct.unpack_from(">H", data, tables["hhea"] + 34)[0]
    pairs = struct.unpack_from(f">{2 * count}H", data, tables["hmtx"])
    widths = pairs[::2]
    advance = {
        chr(code): widths[min(glyph, count - 1)] / units_per_em
        for code, glyph in _glyphs(data, tables["cmap"]).items()
    }
    return Metrics(advance_em=_Widths(advance))


@cache
def _covered() -> frozenset[str]:
    """Return the characters that every face has."""
    return frozenset.intersection(*(frozenset(metrics(face).advance_em) for face in Face))


def printable(text: str) -> str:
    """Return `text` in composed form, so that an accented letter is one character."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


@lru_cache(maxsize=16384)
def missing(text: str) -> tuple[str, ...]:
    """Return the characters of `text` that a face lacks, each once, in order."""
    covered = _covered()
    return tuple(dict.fromkeys(c for c in printable(text) if c not in covered))


def _tables(data: bytes) -> dict[str, int]:
    count = struct.unpack_from(">H", data, 4)[0]
    records = (struct.unpack_from(">4sIII", data, 12 + 16 * i) for i in range(count))
    return {tag.decode("ascii"): offset for tag, _, offset, _ in records}


def _glyphs(data: bytes, cmap: int) -> dict[int, int]:
    """Return code point to glyph from the Unicode table; the one with all planes when there is."""
    count = struct.unpack_from(">H", data, cmap + 2)[0]
    offsets = [cmap + struct.unpack_from(">HHI", data, cmap + 4 + 8 * i)[2] for i in range(count)]
    kinds = {struct.unpack_from(">H", data, offset)[0]: offset for offset in offsets}
    found = _format_12(data, kinds[12]) if 12 in kinds else _format_4(data, kinds[4])
    return {code: glyph for code, glyph in found.items() if glyph}


def _format_12(data: bytes, offset: int) -> dict[int, int]:
    count = struct.unpack_from(">I", data, offset + 12)[0]
    groups = (struct.unpack_from(">III", data, offset + 16 + 12 * i) for i in range(count))
    return {
        code: glyph + code - first
        for first, last, glyph in groups
        for code in range(first, last + 1)
    }


def _format_4(data: bytes, offset: int) -> dict[int, int]:
    length, _, doubled = struct.unpack_from(">HHH", data, offset + 2)
    count = doubled // 2
    words = struct.unpack_from(f">{(length - 14) // 2}H", data, offset + 14)
    ends, starts = words[:count], words[count + 1 : 2 * count + 1]
    deltas, ranges = words[2 * count + 1 : 3 * count + 1], words[3 * count + 1 : 4 * count + 1]
    glyphs: dict[int, int] = {}
    for i in range(count):
        for code in range(starts[i], ends[i] + 1):
            if code == 0xFFFF:
                continue
            if ranges[i] == 0:
                glyph = (code + deltas[i]) & 0xFFFF
            else:
                # The range offset counts bytes from its own place in the table.
                glyph = words[3 * count + 1 + i + ranges[i] // 2 + code - starts[i]]
                glyph = (glyph + deltas[i]) & 0xFFFF if glyph else 0
            glyphs[code] = glyph
    return glyphs
