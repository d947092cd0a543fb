"""Axes of charts: values to millimetres, and round numbers to write beside them."""

from __future__ import annotations

import math

from wicketlay.sheets.layout import MINUS
from wicketlay.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A straight map from values to millimetres on the page."""

    low: float
    high: float
    from_mm: float
    to_mm: float

    def at(self, value: float) -> float:
        """Return where a value lies."""
        share = (value - self.low) / (self.high - self.low)
        return self.from_mm + share * (self.to_mm - self.from_mm)


def nice_steps(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return round values covering a range, at most `most` + 1 of them."""
    span = max(high - low, 1e-9)
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * each for each in (1, 2, 5, 10, 20) if power * each * most >= span)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(number * step for number in range(first, last + 1))


def number_text(value: float, places: int = 0) -> str:
    """Return an axis number, with a true minus sign."""
    return f"{value:.{places}f}".replace("-", MINUS)
