"""What every codec is, and what it says of a value that does not fit."""

from __future__ import annotations

import unicodedata
from typing import Any, Protocol, TypeAlias

Value: TypeAlias = Any
"""A value of a plan, whatever its type: each codec knows its own."""


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

    @classmethod
    def said_by(cls, error: Exception, remedy: str = "") -> UnfitError:
        """Return what another error says, its remedy after a semicolon; `remedy` if it has none."""
        message, _, own = str(error).partition("; ")
        return cls(message, remedy=own or remedy)

    def of(self, what: str) -> UnfitError:
        """Return the same, told of a part: ``entry 2: ...``."""
        return UnfitError(
            f"{what}: {self.message}",
            allowed=self.allowed,
            remedy=self.remedy,
            nearest=self.nearest,
        )


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


def held(value: float, low: float, high: float, shown: str, allowed: str) -> None:
    """Refuse a value that is not from `low` to `high`; UnfitError says how it is shown."""
    if not low <= value <= high:
        size = "small" if value < low else "large"
        raise UnfitError(f"{shown} is too {size}", allowed=allowed)


def in_reason(number: float) -> bool:
    """Return whether a number of a file, whole ones of hundreds of digits among them, is one."""
    return -1e15 < number < 1e15


_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_LINE_BREAKS = frozenset("\u0085\u2028\u2029")


def unprintable(character: str) -> str | None:
    """Return what kind of hidden character this is, None for an honest one."""
    if character in _BIDI:
        return "bidirectional control character"
    if character in _LINE_BREAKS or unicodedata.category(character) in {"Cc", "Cs"}:
        return "control character"
    # Joiners are honest letters of some scripts; the other format characters cannot be seen.
    if unicodedata.category(character) == "Cf" and character not in "\u200c\u200d":
        return "invisible character"
    if unicodedata.category(character) in {"Cn", "Co"}:
        return "character without a shape"
    return None
