"""Numbers without noise: exact fractions, rounded once, written out as decimals."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from wicketlay.errors import QuantityError

_ONE = Decimal(1)
_PLAIN_BELOW = 1e9
"""Below this a decimal of the usual 28 digits holds every place that is ever shown."""


def decimal_text(value: Fraction | Decimal) -> str:
    """Return a terminating number written out, without trailing zeros or an exponent."""
    if isinstance(value, Fraction):
        value = Decimal(value.numerator) / Decimal(value.denominator)
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


def exact_value(value: float) -> Fraction:
    """Return the shortest decimal that names the float, as a fraction."""
    if not math.isfinite(value):
        raise QuantityError(f"{value} cannot be written; it must be a finite number")
    return Fraction(Decimal(repr(float(value))))


def fewest_decimals(
    amount: Fraction, factor: Fraction, aim: float, beside: Fraction = Fraction(0)
) -> str:
    """Return the fewest decimals of `amount` for which `beside` + amount x factor is `aim`."""
    for places in range(30):
        text = decimal_text(rounded(amount, places))
        if float(beside + Fraction(text) * factor) == aim:
            return text
    raise QuantityError(f"{aim!r} cannot be written in these units")


def inches_text(inches: Fraction) -> str:
    """Return inches as a whole number and a fraction down to 1/64, else as a decimal."""
    whole, rest = divmod(inches, 1)
    if rest == 0:
        return str(whole)
    if 64 % rest.denominator == 0:
        return f"{whole} {rest}" if whole else str(rest)
    return decimal_text(rounded(inches, 6))


def rounded(value: Fraction, places: int) -> Decimal:
    """Return `value` rounded to `places` decimals, half away from zero."""
    scaled = abs(value) * 10**places
    whole, rest = divmod(scaled, 1)
    whole = int(whole) + (1 if rest >= Fraction(1, 2) else 0)
    return Decimal(whole if value >= 0 else -whole).scaleb(-places)


def fixed(value: float | Fraction, places: int) -> str:
    """Return a number with exactly `places` decimals; never -0."""
    if isinstance(value, Fraction):
        text = f"{rounded(value, places):f}"
    elif not math.isfinite(value):
        exact_value(value)
    elif abs(value) < _PLAIN_BELOW:
        # The same rounding as `rounded`, in one decimal operation.
        text = f"{Decimal(repr(float(value))).quantize(_ONE.scaleb(-places), ROUND_HALF_UP):f}"
    else:
        text = f"{rounded(exact_value(value), places):f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def whole_number(value: Fraction) -> int:
    """Return the nearest whole number, half away from zero."""
    return int(rounded(value, 0))
