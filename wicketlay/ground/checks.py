"""Refusing numbers that cannot describe a ground."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Iterable


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


def refuse_repeats(keys: Iterable[str]) -> None:
    """Refuse a landmark's key that is told twice.

    Raises
    ------
    DomainError
        With the key.
    """
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            message = f"landmark {key!r} is told twice; give each its own name"
            raise DomainError(message)
        seen.add(key)
