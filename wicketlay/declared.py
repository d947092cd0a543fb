"""What every value a coach can write is: kind, range, spelling, example, and what it does.

A field of a frozen dataclass declares it once, as its metadata. The constructor's check, the
keys of a plan file, the fields of the workbench, the table in the README and the tests of the
ranges all follow from there.
"""

from __future__ import annotations

import dataclasses
from dataclasses import field
from enum import Enum, EnumType, auto
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from wicketlay.errors import require_range
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from _typeshed import DataclassInstance

T = TypeVar("T")


class Kind(Enum):
    """What sort of value a key takes."""

    LENGTH = auto()
    MISS = auto()  # a length that says in a word which way: over, or short
    BODY = auto()  # a length of a person, whose unit its size tells
    SPEED = auto()
    CADENCE = auto()
    CADENCE_ASKED = auto()  # steps a second, or a share of one's own
    DURATION = auto()
    SHARE = auto()
    TEMPERATURE = auto()
    NUMBER = auto()
    COUNT = auto()
    STEPS = auto()
    YEARS = auto()
    FLAG = auto()
    DATE = auto()
    WORD = auto()
    TEXT = auto()
    CORNER = auto()  # a point of a ground's frame
    TABLE = auto()
    TABLES = auto()


_SI = {
    Kind.LENGTH: "m",
    Kind.MISS: "m",
    Kind.BODY: "m",
    Kind.SPEED: "m/s",
    Kind.CADENCE: "steps/s",
    Kind.DURATION: "s",
    Kind.TEMPERATURE: "degC",
    Kind.YEARS: "years",
}
_ENDINGS = ("_mps", "_hz", "_share", "_years", "_m", "_s", "_c")


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One value a coach can write.

    Parameters
    ----------
    kind
        What sort of value it is.
    does
        What it does, in a line.
    low, high
        Its range in `si`, both ends allowed; None where there is none.
    what
        What an error calls it; "" takes the field's name.
    name
        How a file spells it; "" takes the field's name without its unit.
    si
        Its unit, as errors of the constructor tell it.
    unit
        The unit it is usually written in; "" takes the SI one.
    example, also_written
        One rightly written, as it stands in a file; other ways to write it.
    signed
        Whether a minus is meant.
    empty
        Whether a text may be nothing.
    words
        The words and what each stands for.
    also
        Words that are read too but never offered.
    aka
        What others may call it: never read, and answered with its name.
    left_out
        What its absence means, in words, where that is no one value.
    members
        Least and most entries, where it is an array; None for a single value.
    most
        Most tables of an array of tables.
    """

    kind: Kind
    does: str
    low: float | None = None
    high: float | None = None
    what: str = ""
    name: str = ""
    si: str = ""
    unit: str = ""
    example: str = ""
    also_written: tuple[str, ...] = ()
    signed: bool = False
    empty: bool = False
    words: Mapping[str, Any] | None = None
    also: Mapping[str, Any] = field(default_factory=dict)
    aka: tuple[str, ...] = ()
    left_out: str = ""
    members: tuple[int, int] | None = None
    most: int = 0

    @property
    def range(self) -> tuple[float, float]:
        """The ends of its range.

        Raises
        ------
        TypeError
            When it has none.
        """
        if self.low is None or self.high is None:
            raise TypeError(f"{self.does!r} has no range")
        return self.low, self.high

    def check(self, value: float | None, of: object = None) -> None:
        """Refuse a value outside the range; None passes.

        `of` is the object whose value it is: what it is called may hold "{0.name}".

        Raises
        ------
        DomainError
            With what it is, the value, its unit and the range.
        """
        require_range(self.what.format(of), value, *self.range, self.si)


def declare(
    kind: Kind,
    does: str,
    low: float | None = None,
    high: float | None = None,
    **more: Any,  # noqa: ANN401 - the other parameters of Key
) -> Mapping[str, Key]:
    """Return the metadata of a field that declares a key.

    `more` is the rest of `Key`; `words` may be an enumeration.
    """
    more = {"si": _SI.get(kind, "")} | more
    if isinstance(more.get("words"), EnumType):
        more["words"] = {str(word.value): word for word in more["words"]}
    return {"key": Key(kind=kind, does=does, low=low, high=high, **more)}


def keyed(
    default: T,
    kind: Kind,
    does: str,
    low: float | None = None,
    high: float | None = None,
    **more: Any,  # noqa: ANN401 - the other parameters of Key
) -> T:
    """Return a field that may be left out and declares a key; the rest is as for `declare`."""
    return field(default=default, metadata=declare(kind, does, low, high, **more))


@cache
def keys_of(made: type) -> Mapping[str, Key]:
    """Return the keys that the fields of a dataclass declare, by field, spelt and named."""
    found = {}
    for each in dataclasses.fields(made):
        told: Key | None = each.metadata.get("key")
        if told is None:
            continue
        ending = next((e for e in _ENDINGS if each.name.endswith(e)), "")
        name = told.name or each.name.removesuffix(ending)
        what = told.what or name.replace("_", " ")
        found[each.name] = dataclasses.replace(told, name=name, what=what)
    return found


@cache
def _ranged(made: type) -> tuple[tuple[str, Key, float, float], ...]:
    """Return the fields with a range, each with its key and both ends."""
    return tuple(
        (name, told, *told.range) for name, told in keys_of(made).items() if told.low is not None
    )


def check_keys(made: DataclassInstance) -> None:
    """Refuse an object with a value outside the range its field declares; None passes.

    Raises
    ------
    DomainError
        With what it is, the value, its unit and the range.
    """
    for name, told, low, high in _ranged(type(made)):
        value = getattr(made, name)
        if value is None:
            continue
        for each in (value,) if told.members is None else value:
            # What is right is told from what is not before anything is put into words.
            if not low <= each <= high or isinstance(each, bool):
                told.check(each, made)


class Keyed:
    """What declares keys, and is refused when a value lies outside the range of its own."""

    __slots__ = ()

    def __post_init__(self) -> None:
        """Refuse it with a `DomainError`, as `check_keys` does."""
        check_keys(self)  # type: ignore[arg-type]  # its classes are values


def range_of(made: type, name: str) -> tuple[float, float]:
    """Return the range that a field of a dataclass declares, both ends allowed."""
    return keys_of(made)[name].range
