"""The error tree. Every error says what, where, the value, the range and the remedy."""

from __future__ import annotations

import math


class WicketlayError(Exception):
    """Base of every error the program raises on purpose; `exit_code` is the command's."""

    exit_code = 70


class UsageError(WicketlayError):
    """The command line asks for something that cannot be meant."""

    exit_code = 2


class DomainError(WicketlayError, ValueError):
    """A value lies outside what the computation is defined for."""

    exit_code = 4


class QuantityError(WicketlayError, ValueError):
    """A text is not the quantity it should be."""

    exit_code = 4


class InputFileError(WicketlayError):
    """A plan, squad or ground file cannot be used as it is."""

    exit_code = 4


class CannotWriteError(WicketlayError):
    """A file cannot be written where it was asked for."""

    exit_code = 5


class ChangedOnDiskError(WicketlayError):
    """A file is no longer what was read; saving would lose somebody's work."""

    exit_code = 6


def require_positive(name: str, value: float, unit: str, *, zero: bool = False) -> None:
    """Refuse a value that is no finite number above 0, or 0 where that may be.

    Raises
    ------
    DomainError
        With the name, the value, the unit and the least.
    """
    if 0.0 < value < math.inf or (zero and value == 0.0):
        return
    unit_text = f" {unit}" if unit else ""
    least = f"0{unit_text} or more" if zero else f"above 0{unit_text}"
    raise DomainError(f"{name} is {value:g}{unit_text}; it must be {least}")


def require_range(name: str, value: float | None, low: float, high: float, unit: str) -> None:
    """Refuse a value that is not a number from `low` to `high`; None passes.

    Raises
    ------
    DomainError
        With the name, the value, the unit and the range.
    """
    if value is None or (low <= value <= high and not isinstance(value, bool)):
        return
    unit_text = f" {unit}" if unit else ""
    raise DomainError(
        f"{name} is {value:g}{unit_text}; it must lie between {low:g} and {high:g}{unit_text}"
    )
