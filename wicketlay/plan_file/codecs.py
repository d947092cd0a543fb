"""One value of a file: read strictly into SI, and written back as TOML text."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

from wicketlay import units
from wicketlay.errors import QuantityError
from wicketlay.plan_file.problems import nearest_of, shown_value
from wicketlay.plan_file.source import unprintable

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

Value: TypeAlias = Any
"""A value of a plan, whatever its type: each codec knows its own."""

LONGEST_NAME = 80


class UnfitError(Exception):
    """A value is not what its key wants; the reader turns it into a problem."""

    def __init__(
        self, message: str, *, allowed: str = "", remedy: str = "", nearest: str = ""
    ) -> None:
        super().__init__(message)
        self.message = message
        self.allowed = allowed
        self.remedy = remedy
        self.nearest = nearest


class Codec(Protocol):
    """Reads a TOML value and writes one."""

    def read(self, value: object) -> Value:
        """Return the value in SI; UnfitError when it is not one."""

    def write(self, value: Value, like: object = None) -> str:
        """Return the value as TOML text, in the style of the older value `like`."""


def quoted(text: str) -> str:
    """Return text as a TOML string, as a literal one when it holds quotation marks."""
    if '"' in text and "'" not in text and "\\" not in text and text.isprintable():
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return (
        '"'
        + "".join(c if ord(c) >= 32 and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped)
        + '"'
    )


def _unit_due(value: object, wanted: str, example: str) -> UnfitError:
    return UnfitError(
        f"{shown_value(value)} is not {wanted}", remedy=f"write one such as {example}"
    )


def _from_quantity(error: QuantityError) -> UnfitError:
    message, _, remedy = str(error).partition("; ")
    return UnfitError(message, remedy=remedy)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with a unit, as text.

    Parameters
    ----------
    noun, example
        What it is, and one rightly written.
    parse, to_text
        Text to SI and back.
    low, high
        Range [SI], both ends allowed.
    units
        Units that a bare number may have been meant in, likeliest first.
    """

    noun: str
    example: str
    parse: Callable[[str], float]
    to_text: Callable[[float, str | None], str]
    low: float
    high: float
    units: tuple[str, ...]

    def read(self, value: object) -> float:
        """Return the quantity in SI."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if not _in_reason(value):
                raise UnfitError(
                    f"{shown_value(value)} is not a {self.noun}",
                    remedy=f"write one such as {self.example}",
                )
            try:
                self.parse(_plain(value))
            except units.NoUnitError as error:
                raise self._no_unit(shown_value(value), error.number) from None
            except QuantityError:  # of the wrong sign
                pass
            raise self._no_unit(shown_value(value), _plain(value))
        if not isinstance(value, str):
            raise _unit_due(value, f"a {self.noun} in quotes", self.example)
        try:
            found = self.parse(value)
        except units.NoUnitError as error:
            raise self._no_unit(f"{self.noun} {shown_value(value)}", error.number) from None
        except QuantityError as error:
            raise _from_quantity(error) from None
        if not self.low <= found <= self.high:
            size = "small" if found < self.low else "large"
            raise UnfitError(f"{shown_value(value)} is too {size}", allowed=self._allowed)
        return found

    @property
    def _allowed(self) -> str:
        return f"{self.to_text(self.low, None)} to {self.to_text(self.high, None)}"

    def _no_unit(self, shown: str, number: str) -> UnfitError:
        """Return what to write for a bare number: the unit that puts it in the range."""
        for unit in self.units:
            try:
                fits = self.low <= self.parse(f"{number} {unit}") <= self.high
            except QuantityError:
                fits = False
            if fits:
                remedy = f'write "{number} {unit}"'
                if unit == "in":  # or a metric figure with a digit missing: only the typist knows
                    remedy += f" if it is inches, else one such as {self.example}"
                return UnfitError(f"{shown} has no unit", remedy=remedy)
        return UnfitError(
            f"{shown} has no unit",
            allowed=self._allowed,
            remedy=f"write one such as {self.example}",
        )

    def write(self, value: Value, like: object = None) -> str:
        """Return the quantity as a TOML string, in the unit of the older text."""
        return quoted(self.to_text(float(value), like if isinstance(like, str) else None))


def _in_reason(number: float) -> bool:
    """Return whether a number of a file, whole ones of hundreds of digits among them, is one."""
    return -1e15 < number < 1e15


def _plain(number: float) -> str:
    return f"{number:.10f}".rstrip("0").rstrip(".") if isinstance(number, float) else str(number)


def length(low: float, high: float, *, signed: bool = False, unit: str = "m") -> Quantity:
    """Return the codec of a length between `low` and `high` [m]."""

    def parse(text: str) -> float:
        return units.parse_length(text, signed=signed)

    def to_text(value: float, like: str | None) -> str:
        return units.write_length(value, like, default=unit)

    return Quantity(
        noun="length",
        example='"1.2 m"',
        parse=parse,
        to_text=to_text,
        low=low,
        high=high,
        units=(unit, "m", "cm"),
    )


def height(low: float, high: float, example: str) -> Quantity:
    """Return the codec of a person's height or leg [m]; a bare number tells its unit by size."""
    return Quantity(
        noun="length",
        example=example,
        parse=units.parse_length,
        to_text=units.write_length,
        low=low,
        high=high,
        units=("m", "cm", "in"),
    )


def speed(low: float, high: float) -> Quantity:
    """Return the codec of a speed between `low` and `high` [m/s]."""
    return Quantity(
        noun="speed",
        example='"8.5 m/s"',
        parse=units.parse_speed,
        to_text=units.write_speed,
        low=low,
        high=high,
        units=("m/s", "km/h"),
    )


def cadence(low: float, high: float) -> Quantity:
    """Return the codec of a cadence between `low` and `high` [steps/s]."""
    return Quantity(
        noun="cadence",
        example='"4.3 steps/s"',
        parse=units.parse_cadence,
        to_text=units.write_cadence,
        low=low,
        high=high,
        units=("steps/s", "steps/min"),
    )


def duration(low: float, high: float, *, unit: str = "s") -> Quantity:
    """Return the codec of a time between `low` and `high` [s]."""

    def to_text(value: float, like: str | None) -> str:
        return units.write_duration(value, like, default=unit)

    return Quantity(
        noun="time",
        example='"3.17 s"' if unit == "s" else '"3 min"',
        parse=units.parse_duration,
        to_text=to_text,
        low=low,
        high=high,
        units=(unit, "min", "s"),
    )


def percent(low: float, high: float, *, signed: bool = False) -> Quantity:
    """Return the codec of a share between `low` and `high`, written as a percentage."""
    return Quantity(
        noun="percentage",
        example='"95 %"',
        parse=lambda text: units.parse_percent(text, signed=signed),
        to_text=units.write_percent,
        low=low,
        high=high,
        units=("%",),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A whole number between `low` and `high`."""

    low: int
    high: int

    def read(self, value: object) -> int:
        """Return the count."""
        allowed = f"{self.low} to {self.high}"
        if isinstance(value, bool) or not isinstance(value, int):
            raise UnfitError(
                f"{shown_value(value)} is not a whole number",
                allowed=allowed,
                remedy="write it without quotes and without a decimal mark",
            )
        if not self.low <= value <= self.high:
            size = "small" if value < self.low else "large"
            raise UnfitError(f"{shown_value(value)} is too {size}", allowed=allowed)
        return value

    def write(self, value: Value, like: object = None) -> str:  # noqa: ARG002 - one style only
        """Return the count as TOML."""
        return str(int(value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A pure number between `low` and `high`."""

    low: float
    high: float

    def read(self, value: object) -> float:
        """Return the number as a float."""
        allowed = f"{self.low:g} to {self.high:g}"
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise UnfitError(
                f"{shown_value(value)} is not a number",
                allowed=allowed,
                remedy="write it without quotes",
            )
        if not self.low <= value <= self.high:
            size = "small" if value < self.low else "large"
            size_or_nan = f"is too {size}" if _in_reason(value) else "is not a number"
            raise UnfitError(f"{shown_value(value)} {size_or_nan}", allowed=allowed)
        return float(value)

    def write(self, value: Value, like: object = None) -> str:
        """Return the number as TOML, whole when it is whole and was."""
        whole = float(value).is_integer() and not isinstance(like, float)
        return str(int(value)) if whole else repr(float(value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """true or false."""

    def read(self, value: object) -> bool:
        """Return the flag."""
        if not isinstance(value, bool):
            raise UnfitError(
                f"{shown_value(value)} is neither true nor false",
                allowed="true or false",
                remedy="write it without quotes",
            )
        return value

    def write(self, value: Value, like: object = None) -> str:  # noqa: ARG002 - one style only
        """Return the flag as TOML."""
        return "true" if value else "false"


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A name or a title: something, not over 80 characters, nothing hidden in it.

    `empty` lets it be nothing.
    """

    noun: str = "name"
    empty: bool = False

    def read(self, value: object) -> str:
        """Return the text."""
        if not isinstance(value, str):
            raise UnfitError(
                f"{shown_value(value)} is not a {self.noun}", remedy="write it in quotes"
            )
        for character in value:
            kind = unprintable(character)
            if kind is not None:
                raise UnfitError(f"holds the {kind} U+{ord(character):04X}", remedy="take it out")
        if not value and self.empty:
            return value
        if not value.strip():
            raise UnfitError(f"is an empty {self.noun}", remedy=f"write a {self.noun}")
        if value != value.strip():
            raise UnfitError(
                f"{shown_value(value)} begins or ends with a space", remedy="take it out"
            )
        if len(value) > LONGEST_NAME:
            raise UnfitError(
                f"has {len(value)} characters", allowed=f"up to {LONGEST_NAME}", remedy="shorten it"
            )
        return value

    def write(self, value: Value, like: object = None) -> str:  # noqa: ARG002 - one style only
        """Return the text as a TOML string."""
        return quoted(str(value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of a few words, each standing for a value."""

    words: Mapping[str, Any]

    def read(self, value: object) -> Value:
        """Return what the word stands for."""
        allowed = ", ".join(f'"{word}"' for word in self.words)
        if not isinstance(value, str):
            raise UnfitError(f"{shown_value(value)} is not one of the words", allowed=allowed)
        if value not in self.words:
            longer = [word for word in self.words if value.casefold().startswith(word)]
            raise UnfitError(
                f"{shown_value(value)} is unknown",
                allowed=allowed,
                nearest=nearest_of(value, list(self.words)) or next(iter(longer), ""),
            )
        return self.words[value]

    def write(self, value: Value, like: object = None) -> str:  # noqa: ARG002 - one style only
        """Return the word of the value."""
        for word, meaning in self.words.items():
            if meaning == value and type(meaning) is type(value):
                return quoted(word)
        message = f"{value!r} has no word in a plan file"
        raise ValueError(message)


def choice(enum: type[StrEnum]) -> Choice:
    """Return the codec of an enumeration, by its values."""
    return Choice(words={str(member.value): member for member in enum})


@dataclass(frozen=True, slots=True, kw_only=True)
class Date:
    """A day, ISO: bare (2026-03-04) or in quotes."""

    def read(self, value: object) -> dt.date:
        """Return the day."""
        remedy = "write a day as 2026-03-04"
        if isinstance(value, dt.datetime) or not isinstance(value, (dt.date, str)):
            raise UnfitError(f"{shown_value(value)} is not a date", remedy=remedy)
        if isinstance(value, str):
            try:
                found = dt.date.fromisoformat(value)
            except ValueError:
                raise UnfitError(f"{shown_value(value)} is not a date", remedy=remedy) from None
            if found.isoformat() != value:  # 20260304 and 2026-W10-3 are ISO too, but not plain
                raise UnfitError(f"{shown_value(value)} is not a date", remedy=remedy)
        else:
            found = value
        if not 1900 <= found.year <= 2200:
            raise UnfitError(f"{found} is out of range", allowed="the years 1900 to 2200")
        return found

    def write(self, value: Value, like: object = None) -> str:
        """Return the day as TOML, in quotes if it was."""
        text: str = value.isoformat()
        return quoted(text) if isinstance(like, str) else text


@dataclass(frozen=True, slots=True, kw_only=True)
class Many:
    """An array of values of one kind."""

    member: Codec
    least: int = 0
    most: int = 200

    def read(self, value: object) -> tuple[Any, ...]:
        """Return the members in order."""
        if not isinstance(value, list):
            raise UnfitError(
                f"{shown_value(value)} is not an array", remedy="write it in square brackets"
            )
        if not self.least <= len(value) <= self.most:
            raise UnfitError(
                f"has {len(value)} entries", allowed=f"{self.least} to {self.most} entries"
            )
        found = []
        for place, each in enumerate(value, start=1):
            try:
                found.append(self.member.read(each))
            except UnfitError as error:
                raise UnfitError(
                    f"entry {place}: {error.message}",
                    allowed=error.allowed,
                    remedy=error.remedy,
                    nearest=error.nearest,
                ) from None
        return tuple(found)

    def write(self, value: Value, like: object = None) -> str:
        """Return the array on one line, each member in the style of the one it replaces."""
        olds = like if isinstance(like, list) else []
        texts = [
            self.member.write(
                each, olds[place] if place < len(olds) else (olds[-1] if olds else None)
            )
            for place, each in enumerate(value)
        ]
        return f"[{', '.join(texts)}]"
