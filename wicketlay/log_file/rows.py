"""Tables as spreadsheets and timing systems write them: a head of names, then a row a line.

Comma, semicolon or tab, whichever the head tells; columns by name, in any order. Bounded before
it is parsed, and each line by itself, so that a stray quotation mark spoils one row and no more.
"""

from __future__ import annotations

import csv
from bisect import insort
from itertools import zip_longest
from typing import TYPE_CHECKING

from wicketlay.keys.codecs import UnfitError, unprintable
from wicketlay.keys.problems import MOST_PROBLEMS, PlanFileError, Problem, nearest_of, shown_value
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_LINES = 100_000
LONGEST_LINE = 4000
SEPARATORS = (";", "\t", ",")
BOM = b"\xef\xbb\xbf"
_WIDE = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The first line of a table.

    Parameters
    ----------
    columns
        The names, in small letters; "" for one that is not known.
    separator
        What stands between the fields.
    strange
        The names that are not known.
    """

    columns: tuple[str, ...]
    separator: str
    strange: tuple[str, ...] = ()


class Problems:
    """What is wrong in a file, in the order of its lines."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.found: list[Problem] = []

    def add(self, line: int | None, error: UnfitError, column: str = "") -> None:
        """Note what is wrong with a line."""
        problem = Problem(
            file=self.shown,
            line=line,
            key=column,
            message=error.message,
            allowed=error.allowed,
            remedy=error.remedy,
            nearest=error.nearest,
        )
        insort(self.found, problem, key=lambda each: each.line or 0)

    def only(self, line: int | None, message: str, remedy: str) -> PlanFileError:
        """Return the one thing that is wrong with a file that cannot be read at all."""
        return PlanFileError.of_one(self.shown, message, remedy, line)

    def error(self) -> PlanFileError:
        """Return all that was found as an error."""
        more = max(0, len(self.found) - MOST_PROBLEMS)
        return PlanFileError(self.found[:MOST_PROBLEMS], more=more)


def lines_of(data: bytes, most_bytes: int, problems: Problems) -> list[bytes]:
    """Return the lines of a file without its byte-order mark; the last has no line end.

    Raises
    ------
    PlanFileError
        When it is too long, or no text of single bytes.
    """
    if len(data) > most_bytes:
        raise problems.only(
            None, f"is larger than {most_bytes // 2**20} MiB", "take out what is not needed"
        )
    if data.startswith(_WIDE):
        raise problems.only(None, "is UTF-16", "save it as CSV, UTF-8")
    lines = data.removeprefix(BOM).split(b"\n")
    if len(lines) > MOST_LINES:
        raise problems.only(None, f"has {len(lines)} lines", f"keep it to {MOST_LINES} lines")
    return lines


def text_of(line: bytes) -> str:
    """Return a line as text; UnfitError when it is none."""
    if len(line) > LONGEST_LINE:
        raise UnfitError(f"has {len(line)} bytes", allowed=f"up to {LONGEST_LINE} in a line")
    try:
        text = line.decode("utf-8").removesuffix("\r")
    except UnicodeDecodeError as error:
        byte = line[error.start]
        raise UnfitError(f"byte {byte:#04x} is not UTF-8", remedy="save it as UTF-8") from None
    for character in "" if text.isprintable() else text:
        kind = None if character == "\t" or character.isprintable() else unprintable(character)
        if kind is not None:
            raise UnfitError(f"holds the {kind} U+{ord(character):04X}", remedy="take it out")
    return text


def fields_of(text: str, separator: str) -> list[str]:
    """Return the fields of a line, without spaces around them; UnfitError when it has none."""
    try:
        (fields,) = csv.reader([text], delimiter=separator, strict=True)
    except (csv.Error, ValueError):
        raise UnfitError(
            "its quotation marks are not closed",
            remedy="write two for one inside a field, and no line end there",
        ) from None
    return [each.strip() for each in fields]


def head_of(
    text: str, line: int, known: Sequence[str], needed: Sequence[str], problems: Problems
) -> Head:
    """Return the head of a table; what it lacks, and names twice, is noted among the problems.

    A column that is not known is "": whoever wants to says so.
    """

    def read(separator: str) -> list[str]:
        try:
            return [each.casefold() for each in fields_of(text, separator)]
        except UnfitError:
            return []

    def fits(separator: str) -> tuple[int, int]:
        fields = read(separator)
        return sum(each in known for each in fields), len(fields)

    separator = max(SEPARATORS, key=fits)
    columns = read(separator)
    strange = tuple(each for each in columns if each not in known)
    for column in needed:
        if column not in columns:
            near = nearest_of(column, strange)
            error = UnfitError(
                f'there is no column "{column}"',
                remedy=f"is it {shown_value(near)}? name it {column}"
                if near
                else f"the first line names the columns: {', '.join(known)}",
            )
            problems.add(line, error)
    for column in sorted({each for each in columns if each in known and columns.count(each) > 1}):
        problems.add(line, UnfitError(f'the column "{column}" is there twice'))
    kept = tuple(each if each in known else "" for each in columns)
    return Head(columns=kept, separator=separator, strange=strange)


def row_of(text: str, head: Head, *, exact: bool = False) -> dict[str, str] | None:
    """Return the fields of a line by column, None when nothing stands in it.

    Parameters
    ----------
    text, head
        The line, and the head it stands under.
    exact
        Whether it must have as many fields as the head; else those it lacks are empty.
    """
    fields = fields_of(text, head.separator)
    if not any(fields):
        return None
    wide = len(head.columns)
    beyond = any(fields[wide:])
    if beyond or (exact and len(fields) < wide):
        raise UnfitError(
            f"has {len(fields)} fields, the first line has {wide}",
            remedy="write a decimal comma between quotation marks, or separate by semicolons"
            if beyond and head.separator == ","
            else "give every field, empty where there is nothing",
        )
    cells = dict(zip_longest(head.columns, fields[:wide], fillvalue=""))
    cells.pop("", None)
    return cells
