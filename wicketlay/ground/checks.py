"""Refusing numbers that cannot describe a ground."""

from __future__ import annotations

import math

from wicketlay.errors import DomainError


def require_between(name: str, value: float, low: float, high: float, unit: str = "m") -> None:
    """Refuse `value` unless it is a finite number from `low` to `high`.

    Raises
    ------
    DomainError
        With the name, the value, its unit and the allowed range.
    """
    if isinstance(value, bool) or not math.isfinite(value) or not low <= value <= high:
        message = f"{name} is {value!r} {unit}; it must lie between {low:g} and {high:g} {unit}"
        raise DomainError(message)
