"""The practice log on disk: `NAME.log.csv` beside the plan, one line an entry.

It opens in a spreadsheet of any country, by these choices:

- No number in it has a decimal mark: times are in milliseconds, wind in centimetres a second,
  effort in per cent, a miss at the board and the slide it had in centimetres (12 is over, -30
  short). The zone a run was timed over and the run-on to it are in centimetres too, and what was
  asked there in thousandths of top speed. A spreadsheet that counts with a comma makes a day in
  February of 2.71, one that counts with a point makes 271 of 2,71, and neither says so; 2710 is
  2710 everywhere.
- Fields are separated as spreadsheets of the country separate them, by the semicolon where
  numbers have a decimal comma, else by the comma: that is decided when the log is begun. Later
  lines follow the first, and any of the two or a tab is read.
- It begins with the mark of UTF-8, without which some spreadsheets take names for Latin-1.
- A log that was begun before there was a column goes on below a new first line that has it.
- A name that a spreadsheet would run as a formula stands behind an apostrophe.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import locale
import re
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from wicketlay.declared import keys_of
from wicketlay.errors import DomainError
from wicketlay.files.appending import (
    CUT_OFF,
    MOST_BYTES,
    PLACES,
    Place,
    append,
    cannot_write,
    content_of,
    log_of,
    why,
)
from wicketlay.keys.codecs import UnfitError, held
from wicketlay.keys.codecs.of_key import codec_of
from wicketlay.keys.problems import nearest_of, shown_value, visible
from wicketlay.log_file.rows import (
    BOM,
    Head,
    Problems,
    fields_of,
    head_of,
    lines_of,
    row_of,
    text_of,
)
from wicketlay.session.log import Entry
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from wicketlay.keys.problems import Problem

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")
_FORMULA = re.compile(r"'*[=+\-@]")
_NEEDED = ("entry", "date", "what")


# --- one line ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """How a field of an entry stands in the log."""

    field: str
    read: Callable[[str], Any]
    write: Callable[[Any], str]


def _whole(text: str) -> int:
    if not _WHOLE.fullmatch(text):
        raise UnfitError(f"{shown_value(text)} is not a whole number", remedy="write digits alone")
    return int(text)


def _clock(text: str) -> dt.time:
    try:
        return dt.datetime.strptime(text, "%H:%M:%S").time()
    except ValueError:
        raise UnfitError(
            f"{shown_value(text)} is no time of day", remedy="write it as 17:05:30"
        ) from None


def _harmless(text: str) -> str:
    return f"'{text}" if _FORMULA.match(text) else text


def _meant(text: str) -> str:
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


@cache
def _columns() -> Mapping[str, _Column]:
    """Return the columns by name, in the order they are written."""
    keys = keys_of(Entry)

    def whole(field: str) -> _Column:
        return _Column(field=field, read=_whole, write=str)

    def scaled(field: str, per: int, unit: str) -> _Column:
        low, high = (round(end * per) for end in keys[field].range)
        allowed = f"{low} to {high} {unit}"

        def read(text: str) -> float:
            whole = _whole(text)
            # here, not by the entry: who mends a cell reads its column and its unit
            held(whole, low, high, f"{whole} {unit}", allowed)
            return whole / per

        return _Column(field=field, read=read, write=lambda value: str(round(value * per)))

    def word(field: str) -> _Column:
        read = lru_cache(1024)(codec_of(keys[field]).read)  # the same few words on every line
        return _Column(field=field, read=read, write=str)

    def name(field: str) -> _Column:
        codec = codec_of(keys[field])
        read = lru_cache(1024)(lambda text: codec.read(_meant(text)))
        return _Column(field=field, read=read, write=_harmless)

    one = scaled("times_s", 1000, "ms")
    times = _Column(
        field="times_s",
        read=lambda text: tuple(map(one.read, text.split())),
        write=lambda each: " ".join(map(one.write, each)),
    )
    return {
        "entry": whole("number"),
        "replaces": whole("replaces"),
        "date": word("day"),
        "clock": _Column(field="clock", read=_clock, write=str),
        "at_s": whole("at_s"),
        "what": word("what"),
        "athlete": name("athlete"),
        "run": whole("run"),
        "lane": whole("lane"),
        "wave": whole("wave"),
        "stage": whole("stage"),
        "times_ms": times,
        "timing": word("timing"),
        "fps": whole("fps"),
        "from": name("from_mark"),
        "to": name("to_mark"),
        "zone_cm": scaled("zone_m", 100, "cm"),
        "run_on_cm": scaled("run_on_m", 100, "cm"),
        "asked_permille": scaled("asked_share", 1000, "‰"),
        "moving_cm_s": scaled("moving_mps", 100, "cm/s"),
        "steps": whole("steps"),
        "touchdowns": _Column(
            field="touchdowns",
            read=lambda text: tuple(map(_whole, text.split())),
            write=lambda each: " ".join(map(str, each)),
        ),
        "miss_cm": scaled("miss_m", 100, "cm"),
        "slide_cm": scaled("slide_m", 100, "cm"),
        "wind_cm_s": scaled("wind_mps", 100, "cm/s"),
        "effort_percent": scaled("effort_share", 100, "%"),
        "flag": word("flag"),
        "other": name("other"),
        "due_s": whole("due_s"),
        "note": _Column(field="note", read=_meant, write=_harmless),
    }


def _entry_of(row: Mapping[str, str]) -> Entry:
    """Return a row as an entry; UnfitError when it is none."""
    values: dict[str, Any] = {}
    columns = _columns()
    for name, text in row.items():
        if not text:
            continue
        column = columns[name]
        try:
            values[column.field] = column.read(text)
        except UnfitError as error:
            raise error.of(name) from None
    for name in _NEEDED:
        if columns[name].field not in values:
            raise UnfitError(f"{name}: is empty", remedy="every entry needs it")
    try:
        return Entry(**values)
    except DomainError as error:
        raise UnfitError(str(error)) from None


def _cells(entry: Entry) -> dict[str, str]:
    """Return an entry as text by column, "" where it says nothing."""
    values = {name: getattr(entry, column.field) for name, column in _columns().items()}
    return {
        name: "" if value in (None, ()) else _columns()[name].write(value)
        for name, value in values.items()
    }


def _line_of(entry: Entry, head: Head) -> bytes:
    """Return an entry as a line that reads as that entry again.

    Raises
    ------
    DomainError
        When no line does.
    """
    made = _cells(entry)
    out = io.StringIO()
    csv.writer(out, delimiter=head.separator, lineterminator="").writerow(
        [made.get(name, "") for name in head.columns]
    )
    line = out.getvalue().encode("utf-8", "surrogatepass")
    try:
        row = row_of(text_of(line), head, exact=True)
        again = None if row is None else _entry_of(row)
    except UnfitError as error:
        raise DomainError(str(error)) from None
    if again != entry:
        raise DomainError("the log cannot hold this")
    return line + b"\n"


def separator_here() -> str:
    """Return what separates the fields of a spreadsheet of this country."""
    before = locale.setlocale(locale.LC_NUMERIC)
    try:
        locale.setlocale(locale.LC_NUMERIC, "")
        return ";" if locale.localeconv()["decimal_point"] == "," else ","
    except (locale.Error, ValueError):
        return ","
    finally:
        locale.setlocale(locale.LC_NUMERIC, before)


# --- a file -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """What one of the two places holds."""

    content: bytes | None = None
    entries: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()
    cut: tuple[str, ...] = ()
    head: Head | None = None
    highest: int = 0  # of what is or may have been a number


def _part_of(content: bytes | None, shown: str) -> _Part:
    """Return what a log holds; PlanFileError when it is no log at all."""
    if not content:
        return _Part(content=content)
    problems = Problems(shown)
    *whole, last = lines_of(content, MOST_BYTES, problems)
    entries: dict[int, Entry] = {}
    cut = []
    head = None
    rows = 0
    for number, line in enumerate([*whole, last], start=1):
        rows += bool(line.strip()) and head is not None
        ended = line.removesuffix(b"\r")
        if ended.endswith(CUT_OFF) or (number > len(whole) and line):
            text = ended.removesuffix(CUT_OFF).decode("utf-8", "replace")
            cut.append(
                f"{shown}, line {number}: was cut off while it was written and is set aside: "
                f"{visible(text)}"
            )
            continue
        try:
            text = text_of(line)
            if not text.strip():
                continue
            if head is None or _is_head(text, head):
                head = _checked_head(text, number, problems)
                continue
            row = row_of(text, head, exact=True)
            if row is None:
                continue
            entry = _entry_of(row)
            if entry.number in entries:
                raise UnfitError(
                    f"entry: {entry.number} is there twice", remedy="give one a number of its own"
                )
            if entry.number == 0:
                raise UnfitError("entry: is 0", allowed="1 to 1000000")
            if entry.replaces is not None and entry.replaces not in entries:
                problems.add(
                    number,
                    UnfitError(
                        f"replaces: there is no entry {entry.replaces} before it",
                        remedy="name the entry that it corrects, or none",
                    ),
                )
            entries[entry.number] = entry
        except UnfitError as error:
            if head is None:
                raise problems.only(number, error.message, error.remedy) from None
            problems.add(number, error)
    return _Part(
        content=content,
        entries=tuple(entries.values()),
        problems=tuple(problems.found),
        cut=tuple(cut),
        head=head,
        highest=max([rows, *entries]),
    )


def _is_head(text: str, head: Head) -> bool:
    """Return whether a line names columns anew: a log that got a column since has it from there."""
    if not all(each in text.casefold() for each in _NEEDED):
        return False
    try:
        return set(_NEEDED) <= {each.casefold() for each in fields_of(text, head.separator)}
    except UnfitError:
        return False


def _checked_head(text: str, line: int, problems: Problems) -> Head:
    head = head_of(text, line, list(_columns()), _NEEDED, problems)
    if problems.found:
        raise problems.only(
            line, "this is not a practice log", "move it away, and a new one is begun"
        )
    for name in head.strange:
        problems.add(
            line,
            UnfitError(
                f"there is no column {shown_value(name)} in a log",
                nearest=nearest_of(name, list(_columns())),
                remedy="take the column out",
            ),
        )
    return head


# --- the log ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFile:
    """The log of a plan, as it was read and written.

    Parameters
    ----------
    plan
        The plan it lies beside.
    entries
        Every entry, by number; `wicketlay.session.log.standing` tells what stands.
    separator
        What separates the fields of a log that is begun.
    """

    plan: Path
    entries: tuple[Entry, ...]
    separator: str
    _parts: Mapping[Place, _Part]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Every row that is not an entry; none of them is among the entries."""
        return tuple(each for part in self._parts.values() for each in part.problems)

    @property
    def told(self) -> tuple[str, ...]:
        """Lines that were cut off, and where entries lie that are not beside the plan."""
        cut = [each for part in self._parts.values() for each in part.cut]
        far = self._parts["elsewhere"].entries
        if far:
            numbers = f"{far[0].number} to {far[-1].number}" if len(far) > 1 else far[0].number
            cut.append(
                f"entries {numbers} are in {log_of(self.plan, 'elsewhere')}, since the log beside "
                "the plan could not be written"
            )
        return tuple(cut)

    @property
    def paths(self) -> tuple[str, ...]:
        """Where it lies, as the plan was named, as far as there is one."""
        return tuple(
            _shown(self.plan, place) for place in PLACES if self._parts[place].content is not None
        )

    def checked(self) -> LogFile:
        """Return it when every row is an entry.

        Raises
        ------
        PlanFileError
            With every row that is none.
        """
        if self.problems:
            problems = Problems("")
            problems.found.extend(self.problems)
            raise problems.error()
        return self

    def add(self, *new: Entry) -> LogFile:
        """Write entries, all or none; on return they are on the disk.

        Parameters
        ----------
        new
            Without numbers: they get the next ones.

        Raises
        ------
        CannotWriteError
            When they can be written neither beside the plan nor in the state folder.
        PlanFileError
            When what lies there is no log.
        DomainError
            When an entry corrects one that is not there, or no line can hold it.
        """
        refused: OSError | None = None
        after: list[LogFile] = []

        def more(there: bytes) -> bytes:
            log, added = self._with(place, there, new)
            after.append(log)
            return added

        for place in PLACES:
            try:
                append(self.plan, place, more)
            except OSError as error:
                refused = refused or error
                continue
            return after[-1]
        raise cannot_write(self.plan, refused or OSError())

    def _with(self, place: Place, there: bytes, new: Sequence[Entry]) -> tuple[LogFile, bytes]:
        """Return the log with new entries, and what is appended for them to what is there."""
        parts = dict(self._parts)
        if there != (parts[place].content or b""):  # another has appended
            parts[place] = _part_of(there, _shown(self.plan, place))
        part, added = parts[place], b""
        tail = there.removeprefix(BOM).rpartition(b"\n")[2]
        if tail:
            added += (b'"' if tail.count(b'"') % 2 else b"") + CUT_OFF + b"\n"
        head = part.head
        said = {name for each in new for name, text in _cells(each).items() if text}
        if head is None or not said <= set(head.columns):
            # a log that was begun without a column that is wanted now goes on under a new head
            separator = self.separator if head is None else head.separator
            head = Head(columns=tuple(_columns()), separator=separator)
            added += (b"" if there else BOM) + separator.join(head.columns).encode() + b"\n"
        known = {each.number for part in parts.values() for each in part.entries}
        for each in new:
            if each.replaces is not None and each.replaces not in known:
                raise DomainError(f"there is no entry {each.replaces} to correct")
        next_number = max(each.highest for each in parts.values()) + 1
        entries = tuple(
            replace(each, number=number) for number, each in enumerate(new, next_number)
        )
        added += b"".join(_line_of(each, head) for each in entries)
        parts[place] = replace(
            part,
            content=there + added,
            entries=(*part.entries, *entries),
            head=head,
            highest=next_number + len(entries) - 1,
        )
        return _log(self, parts), added


def _log(log: LogFile, parts: Mapping[Place, _Part]) -> LogFile:
    entries = sorted(
        (each for part in parts.values() for each in part.entries), key=lambda e: e.number
    )
    return replace(log, entries=tuple(entries), _parts=MappingProxyType(dict(parts)))


def _shown(plan: Path, place: Place) -> str:
    return str(plan.with_name(log_of(plan).name) if place == "beside" else log_of(plan, place))


def open_log(plan: str | Path, separator: str | None = None) -> LogFile:
    """Read the log of a plan; an empty one where there is none yet.

    Parameters
    ----------
    plan
        The plan it lies beside.
    separator
        What separates the fields of a log that is begun; None decides by the country.

    Raises
    ------
    PlanFileError
        When what lies there is no log, or cannot be read. Rows that are no entries do not raise:
        see `LogFile.problems` and `LogFile.checked`.
    """
    path = Path(plan)
    parts: dict[Place, _Part] = {}
    for place in PLACES:
        shown = _shown(path, place)
        try:
            content = content_of(log_of(path, place))
        except OSError as error:
            if place == "elsewhere":
                content = None  # no home, or one that may not be entered
            else:
                problems = Problems(shown)
                raise problems.only(
                    None, f"cannot be read: {why(error)}", "check the file"
                ) from None
        parts[place] = _part_of(content, shown)
    empty = LogFile(plan=path, entries=(), separator=separator or separator_here(), _parts=parts)
    return _log(empty, parts)
