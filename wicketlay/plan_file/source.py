"""Bytes to text, bounded and checked before any parser sees them."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from wicketlay.files.saving import MOST_BYTES, fingerprint_of
from wicketlay.keys.codecs import unprintable
from wicketlay.keys.problems import PlanFileError, Problem, nearest_of
from wicketlay.values import dataclass

MOST_LINES = 20_000
DEEPEST = 8
"""Brackets inside brackets; plan files need three."""
MOST_DOTS = 8
"""Dots in a key; plan files need two, and parsers take quadratic time over thousands."""

_BOM = b"\xef\xbb\xbf"

# One token of TOML as far as brackets, dots and lines go. A string that is never closed is
# taken to the end of its line (or file), so every text is walked once and in linear time.
_TOKEN = re.compile(
    r'(?P<string>"""(?:[^"\\]|\\.|"{1,2}(?!"))*(?:"{3,5}|\Z)'
    r"|'''(?:[^']|'{1,2}(?!'))*(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\.)*"?'
    r"|'[^'\n]*'?)"
    r"|(?P<comment>\#[^\n]*)"
    r"|(?P<newline>\n)"
    r"|(?P<open>[\[{])|(?P<close>[\]}])|(?P<part>[=,])|(?P<dot>\.)"
    r"|(?P<rest>[^\"'\#\n\[\]{}=,.]+)",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A file as it was read.

    Parameters
    ----------
    path
        Where it was read from.
    shown
        How messages name it.
    text
        The text without a byte-order mark, line ends as they are.
    bom
        Whether it began with a byte-order mark.
    fingerprint
        SHA-256 of its bytes.
    """

    path: Path
    shown: str
    text: str
    bom: bool
    fingerprint: str

    def to_bytes(self, text: str) -> bytes:
        """Return another text as this file's bytes."""
        return (_BOM if self.bom else b"") + text.encode("utf-8")


def read_source(path: Path, shown: str) -> Source:
    """Read a file's bytes, at most 1 MiB, and check its text.

    Raises
    ------
    PlanFileError
        When it cannot be read, is not a regular file, is too long, is not UTF-8, or holds
        control or bidirectional characters.
    """
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            what = "is a folder" if stat.S_ISDIR(mode) else "is not a regular file"
            raise PlanFileError.of_one(shown, what, "name a .toml file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        near = nearest_file(path)
        nearest = str(Path(shown).with_name(near)) if near else ""
        remedy = "" if near else "check the name, or make one with wicketlay new"
        message = "there is no such file"
        problem = Problem(file=shown, message=message, nearest=nearest, remedy=remedy)
        raise PlanFileError([problem]) from None
    except (OSError, ValueError) as error:
        reason = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else "error"
        raise PlanFileError.of_one(
            shown, f"cannot be read: {reason.lower()}", "check the file and its permissions"
        ) from None
    return source_of(data, path, shown)


def nearest_file(path: Path) -> str:
    """Return the name of the .toml file in a folder that a name not there looks like, or ""."""
    try:
        stems = sorted(each.stem for each in path.parent.glob("[!.]*.toml"))
    except (OSError, ValueError):
        return ""
    longer = [stem for stem in stems if path.stem and stem.startswith(path.stem)]
    nearest = nearest_of(path.stem, stems) or (longer[0] if len(longer) == 1 else "")
    return f"{nearest}.toml" if nearest else ""


def source_of(data: bytes, path: Path, shown: str) -> Source:
    """Return bytes as a checked source; PlanFileError as for `read_source`."""
    if len(data) > MOST_BYTES:
        raise PlanFileError.of_one(
            shown, "is larger than 1 MiB", "split it, or take out what is not a plan"
        )
    if data.startswith(b"%PDF-"):
        raise PlanFileError.of_one(shown, "this is a PDF", "give the plan it was made from (.toml)")
    bom = data.startswith(_BOM)
    body = data[3:] if bom else data
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        byte = body[error.start]
        raise PlanFileError.of_one(
            shown, f"byte {byte:#04x} is not UTF-8", "save the file as UTF-8", line
        ) from None
    _check_lines(text, shown)
    _check_characters(text, shown)
    return Source(path=path, shown=shown, text=text, bom=bom, fingerprint=fingerprint_of(data))


def _check_lines(text: str, shown: str) -> None:
    lines = text.count("\n") + (0 if text.endswith("\n") or not text else 1)
    if lines > MOST_LINES:
        raise PlanFileError.of_one(
            shown, f"has {lines} lines", f"keep a file to {MOST_LINES} lines"
        )


def _check_characters(text: str, shown: str) -> None:
    problems: list[Problem] = []
    if text.isascii() and text.isprintable():
        return
    for number, line in enumerate(text.split("\n"), start=1):
        # The carriage return of a CRLF is a line end and no control character.
        honest = line.removesuffix("\r").replace("\t", "")
        if honest.isprintable():
            continue
        for character in honest:
            kind = None if character.isprintable() else unprintable(character)
            if kind is not None:
                problems.append(
                    Problem(
                        file=shown,
                        line=number,
                        message=f"holds the {kind} U+{ord(character):04X}",
                        remedy="take it out",
                    )
                )
                break
    if problems:
        raise PlanFileError(problems[:50], more=max(0, len(problems) - 50))


def _check_nesting(source: Source) -> None:
    """Refuse brackets and dotted keys deep enough to make a parser slow or overflow."""
    depth = dots = 0
    line = 1
    for token in _TOKEN.finditer(source.text):
        kind = token.lastgroup
        if kind == "string":
            line += token.group().count("\n")
        elif kind == "open":
            depth += 1
            dots = 0
        elif kind == "close":
            depth = max(0, depth - 1)
            dots = 0
        elif kind == "dot":
            dots += 1
        elif kind in {"newline", "part"}:
            line += kind == "newline"
            dots = 0
        if depth > DEEPEST:
            raise PlanFileError.of_one(
                source.shown,
                f"brackets are nested more than {DEEPEST} deep",
                "a plan needs three at most",
                line,
            )
        if dots > MOST_DOTS:
            raise PlanFileError.of_one(
                source.shown,
                f"a key has more than {MOST_DOTS} dots",
                "a plan needs two at most",
                line,
            )


_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)$|\s*\(at end of document\)$")


def parse(source: Source) -> dict[str, Any]:
    """Return the TOML of a source as plain dictionaries.

    Raises
    ------
    PlanFileError
        When it is nested too deep or is not TOML: one problem, with its line.
    """
    _check_nesting(source)
    try:
        return tomllib.loads(source.text)
    except tomllib.TOMLDecodeError as error:
        from wicketlay.plan_file.slips import likely_meant  # noqa: PLC0415 - for a broken file

        message = str(error)
        at = _AT_LINE.search(message)
        reason = message[: at.start()] if at else message
        reason = reason[:1].lower() + reason[1:]
        line = int(at.group(1)) if at and at.group(1) else source.text.count("\n") + 1
        column = f", column {at.group(2)}" if at and at.group(2) else ""
        lines = source.text.split("\n")
        remedy = likely_meant(lines[line - 1], reason) if line <= len(lines) else ""
        raise PlanFileError.of_one(
            source.shown,
            f"is not valid TOML{column}: {reason}",
            remedy or "values with units and names stand in quotes, tables in square brackets",
            line,
        ) from None
    except (ValueError, RecursionError):
        # A whole number of thousands of digits is the one thing tomllib passes on to int().
        raise PlanFileError.of_one(
            source.shown, "holds a number that is too long", "write quantities in quotes"
        ) from None
