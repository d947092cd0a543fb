"""Tables of a file and the frozen dataclasses they stand for, both ways.

A `Record` lists the keys of a table once. Reading and writing both follow that list, so a key
that can be read can be written, and a new one is a line here.
"""

from __future__ import annotations

import dataclasses
from dataclasses import field
from typing import TYPE_CHECKING, Any

from wicketlay.declared import Key, Kind, keys_of
from wicketlay.errors import DomainError
from wicketlay.keys.codecs import UnfitError, codec_of
from wicketlay.keys.problems import (
    MOST_PROBLEMS,
    Path,
    PlanFileError,
    Problem,
    nearest_of,
    shown_key,
    shown_value,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from wicketlay.keys.codecs import Codec, Value


class Report:
    """Collects the problems of one file, with their lines.

    Parameters
    ----------
    line_of
        From where a value stands to its line; asked only when there is a problem.
    """

    def __init__(self, shown: str, line_of: Callable[[Path], int | None]) -> None:
        self.shown = shown
        self._line_of = line_of
        self._found: list[tuple[Path, Problem]] = []

    def add(self, path: Path, error: UnfitError, *, value: object = "") -> None:
        """Note a problem at a key."""
        problem = Problem(
            file=self.shown,
            key=shown_key(path),
            value="" if value == "" else shown_value(value),
            message=error.message,
            allowed=error.allowed,
            remedy=error.remedy,
            nearest=error.nearest,
        )
        self._found.append((path, problem))

    def tell(self, path: Path, message: str, **more: str) -> None:
        """Note a problem at a key in words; `more` is the rest of `UnfitError`."""
        self.add(path, UnfitError(message, **more))

    def problems(self) -> list[Problem]:
        """Return what was found, in the order of the lines."""
        placed = [
            dataclasses.replace(problem, line=self._line_of(path)) for path, problem in self._found
        ]
        return sorted(placed, key=lambda each: each.line or 0)


def refuse_all(*reports: Report) -> None:
    """Raise PlanFileError when any of the reports holds a problem."""
    problems = [problem for report in reports for problem in report.problems()]
    if problems:
        raise PlanFileError(problems[:MOST_PROBLEMS], more=max(0, len(problems) - MOST_PROBLEMS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sub:
    """A table inside a table."""

    record: Record


@dataclass(frozen=True, slots=True, kw_only=True)
class SubList:
    """An array of tables inside a table."""

    record: Record
    most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One key of a table.

    Parameters
    ----------
    key
        As the file spells it.
    codec
        How its value is read and written.
    attr
        The field of the dataclass; None when `gather` and `spread` see to it.
    required
        Whether a table without it is refused.
    example
        A value to show when it is missing.
    told
        What the field it fills declares.
    default
        What an absent key means, None when there is no such thing.
    """

    key: str
    codec: Codec | Sub | SubList
    attr: str | None = None
    required: bool = False
    example: str = ""
    told: Key | None = None
    default: Value = None


def entry(told: Key, *, default: Value = None) -> Entry:
    """Return the entry of a key that no field of its own declares."""
    return Entry(
        key=told.name, codec=codec_of(told), example=told.example, told=told, default=default
    )


Values = dict[str, Any]


def entries_of(
    made: type,
    *,
    tables: Mapping[str, Record] | None = None,
    instead: Mapping[str, tuple[Entry, ...]] | None = None,
) -> tuple[Entry, ...]:
    """Return the entries that the fields of a dataclass declare, in their order.

    Parameters
    ----------
    tables
        The records of fields that are tables, by field.
    instead
        The entries of fields that are written in another way, by field.
    """
    keys = keys_of(made)
    found: list[Entry] = []
    for each in dataclasses.fields(made):
        if instead is not None and each.name in instead:
            found += instead[each.name]
        elif each.name in keys:
            key = keys[each.name]
            record = (tables or {}).get(each.name)
            required = each.default is dataclasses.MISSING
            codec: Codec | Sub | SubList
            if record is None:
                codec = codec_of(key)
            elif key.kind is Kind.TABLE:
                codec = Sub(record=record)
            else:
                codec = SubList(record=record, most=key.most)
            found.append(
                Entry(
                    key=key.name,
                    codec=codec,
                    attr=each.name,
                    required=required,
                    example=key.example,
                    told=key,
                    default=None if required else each.default,
                )
            )
    return tuple(found)


def unbound(entries: tuple[Entry, ...], *, optional: bool = False) -> tuple[Entry, ...]:
    """Return entries whose values a record gathers and spreads itself."""
    return tuple(
        dataclasses.replace(each, attr=None, required=each.required and not optional)
        for each in entries
    )


def _nothing(_values: Values) -> Values:
    return {}


def _spread_nothing(_value: Value, _raw: Mapping[str, object]) -> Values:
    return {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """The keys of one kind of table.

    Parameters
    ----------
    noun
        What messages call it.
    entries
        Its keys, in the order they are written.
    gather
        From values by key to further arguments of `make`; may raise UnfitError.
    spread
        From an object, and the table as it stands, to the values of keys without `attr`.
    constant
        Values of keys that tell the kind of table apart, written as they are.
    """

    noun: str
    make: Callable[..., Any]
    entries: tuple[Entry, ...]
    gather: Callable[[Values], Values] = _nothing
    spread: Callable[[Any, Mapping[str, object]], Values] = _spread_nothing
    constant: Mapping[str, str] = field(default_factory=dict)

    @property
    def keys(self) -> list[str]:
        """All keys a table may have."""
        return [*self.constant, *(entry.key for entry in self.entries)]

    @property
    def aka(self) -> dict[str, str]:
        """What others may call its keys, to the keys."""
        return {word: each.key for each in self.entries if each.told for word in each.told.aka}

    def values(self, made: Value, raw: Mapping[str, object]) -> Values:
        """Return the value of every key for an object, None where the key is not needed."""
        found: Values = {
            entry.key: getattr(made, entry.attr) for entry in self.entries if entry.attr is not None
        }
        found.update(self.spread(made, raw))
        return found

    def made(self, values: Values) -> Value:
        """Return the object that values by key make; UnfitError or DomainError when they do not."""
        extra = self.gather(values)
        arguments = {
            entry.attr: values[entry.key]
            for entry in self.entries
            if entry.attr is not None and entry.key in values
        }
        return self.make(**(arguments | extra))

    def default(self, key: str) -> Value:
        """Return what an absent key means, None when there is no such thing."""
        return next((e.default for e in self.entries if e.key == key and e.attr), None)


def unknown_keys(
    raw: Mapping[str, object],
    known: list[str],
    report: Report,
    path: Path,
    aka: Mapping[str, str] | None = None,
) -> set[str]:
    """Note every key of a table that is not known; return the known ones that were meant.

    `aka` is what others may call the known keys.
    """
    other = aka or {}
    meant: set[str] = set()
    for key, value in raw.items():
        if key in known:
            continue
        nearest = nearest_of(key, [*known, *other])
        nearest = other.get(nearest, nearest)
        error = UnfitError(
            "is not a known key",
            nearest=nearest,
            remedy="" if nearest else f"known keys: {', '.join(known)}",
        )
        report.add((*path, key), error, value=value)
        if nearest:
            meant.add(nearest)
    return meant


def _as_table(record: Record, path: Path) -> str:
    """Return how a table is written: with its head, within one of several on a line."""
    if not any(isinstance(part, int) for part in path):
        return f"write [{shown_key(path)}]"
    needed = (f"{each.key} = {each.example}" for each in record.entries if each.required)
    return f"write {path[-1]} = {{ {', '.join(needed)} }}"


def read_record(record: Record, raw: object, report: Report, path: Path) -> Value:
    """Return the object of a table, or None after noting what is wrong with it."""
    if not isinstance(raw, dict):
        report.tell(path, f"{shown_value(raw)} is not a table", remedy=_as_table(record, path))
        return None
    # A misspelt key is one problem; that the right one is missing is not another.
    meant = unknown_keys(raw, record.keys, report, path, record.aka) - set(raw)
    values: Values = {}
    complete = not meant
    for entry in record.entries:
        if entry.key not in raw:
            if entry.required and entry.key not in meant:
                complete = False
                example = f", such as {entry.key} = {entry.example}" if entry.example else ""
                report.tell(
                    path, f'the {record.noun} has no "{entry.key}"', remedy=f"add it{example}"
                )
            continue
        found = _read_entry(entry, raw[entry.key], report, (*path, entry.key))
        if found is None:
            complete = False
        else:
            values[entry.key] = found
    if not complete:
        return None
    return _made(record, values, report, path)


def _read_entry(entry: Entry, value: object, report: Report, path: Path) -> Value:
    if isinstance(entry.codec, Sub):
        return read_record(entry.codec.record, value, report, path)
    if isinstance(entry.codec, SubList):
        return read_list(entry.codec, value, report, path)
    try:
        return entry.codec.read(value)
    except UnfitError as error:
        report.add(path, error, value=value)
        return None


def read_list(codec: SubList, value: object, report: Report, path: Path) -> tuple[Any, ...] | None:
    """Return the objects of an array of tables, or None after noting what is wrong."""
    if not isinstance(value, list):
        report.tell(
            path,
            "stands as one table, and there may be several"
            if isinstance(value, dict)
            else f"{shown_value(value)} is no table",
            remedy=f"write [[{shown_key(path)}]] on a line of its own, its keys below it",
        )
        return None
    if len(value) > codec.most:
        report.tell(path, f"has {len(value)} entries", allowed=f"up to {codec.most}")
        return None
    found = [
        read_record(codec.record, each, report, (*path, place)) for place, each in enumerate(value)
    ]
    return None if any(each is None for each in found) else tuple(found)


def _made(record: Record, values: Values, report: Report, path: Path) -> Value:
    try:
        return record.made(values)
    except UnfitError as error:
        at = (*path, error.key) if isinstance(error, UnfitAtError) else path
        report.add(at, error)
    except DomainError as error:
        report.add(path, UnfitError.said_by(error))
    return None


class UnfitAtError(UnfitError):
    """Values that do not go together, told at one of their keys."""

    def __init__(self, key: str, message: str, *, allowed: str = "", remedy: str = "") -> None:
        super().__init__(message, allowed=allowed, remedy=remedy)
        self.key = key
