"""Counts, numbers, flags, names, words, days, and arrays of any of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import field
from typing import TYPE_CHECKING, Any

from wicketlay.keys.codecs.base import UnfitError, held, in_reason, quoted, unprintable
from wicketlay.keys.problems import nearest_of, shown_value
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.codecs.base import Codec, Value

LONGEST_NAME = 80


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
        held(value, self.low, self.high, shown_value(value), allowed)
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
        if not in_reason(value):
            raise UnfitError(f"{shown_value(value)} is not a number", allowed=allowed)
        held(value, self.low, self.high, shown_value(value), allowed)
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
    """One of a few words, each standing for a value; `also` are read but never offered."""

    words: Mapping[str, Any]
    also: Mapping[str, Any] = field(default_factory=dict)

    def read(self, value: object) -> Value:
        """Return what the word stands for."""
        allowed = ", ".join(f'"{word}"' for word in self.words)
        if not isinstance(value, str):
            raise UnfitError(f"{shown_value(value)} is not one of the words", allowed=allowed)
        if value in self.also:
            return self.also[value]
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
        raise ValueError(f"{value!r} has no word in a plan file")


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
                raise error.of(f"entry {place}") from None
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
