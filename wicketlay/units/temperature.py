"""Temperatures: a scale with another zero, so not a factor."""

from __future__ import annotations

import re
from fractions import Fraction

from wicketlay.errors import QuantityError
from wicketlay.units.exact import decimal_text, exact_value, rounded
from wicketlay.units.kinds import LONGEST, TYPOGRAPHIC

EXAMPLE = '"28 C" or "80 F"'
_TEMPERATURE = re.compile(r"([+-]?)([0-9]+(?:[.,][0-9]+)?) ?(?:°|deg ?)? ?(c|f)")


def parse_temperature(text: str) -> float:
    """Return a temperature [degC] from text such as ``28 C``, ``28 °C`` or ``80 F``.

    Raises
    ------
    QuantityError
        When the text is not a temperature.
    """
    plain = " ".join(text[: LONGEST + 1].casefold().translate(TYPOGRAPHIC).split())
    found = _TEMPERATURE.fullmatch(plain)
    if found is None:
        shown = text if len(text) <= LONGEST else text[:LONGEST] + "..."
        raise QuantityError(f'temperature "{shown}" is not one; write it such as {EXAMPLE}')
    sign, number, scale = found.groups()
    value = Fraction(number.replace(",", ".")) * (-1 if sign == "-" else 1)
    return float(value if scale == "c" else (value - 32) * Fraction(5, 9))


def write_temperature(value_c: float, like: str | None = None) -> str:
    """Return a temperature [degC] in the scale of `like`; exact in Celsius.

    Fahrenheit is written with as many decimals as read back to the same float, up to two;
    where two do not suffice the text is in Celsius.
    """
    if like is not None and like.strip().casefold().endswith("f"):
        fahrenheit = exact_value(value_c) * Fraction(9, 5) + 32
        for places in range(3):
            text = decimal_text(rounded(fahrenheit, places))
            if float((Fraction(text) - 32) * Fraction(5, 9)) == value_c:
                return f"{text} F"
    return f"{decimal_text(exact_value(value_c))} C"
