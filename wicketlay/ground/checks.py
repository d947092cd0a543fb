"""Refusing numbers that cannot describe a ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.errors import DomainError, require_range

if TYPE_CHECKING:
    from collections.abc import Iterable


def require_between(name: str, value: float, low: float, high: float, unit: str = "m") -> None:
    """Refuse `value` unless it is a number from `low` to `high`, metres unless said otherwise.

    Raises
    ------
    DomainError
        With the name, the value, its unit and the allowed range.
    """
    require_range(name, value, low, high, unit)


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
