"""SI to text that reads back as the very same float, in the style of an older text."""

from __future__ import annotations

import re
from fractions import Fraction

from wicketlay.errors import QuantityError
from wicketlay.units.exact import decimal_text, exact_value, fewest_decimals, inches_text
from wicketlay.units.kinds import (
    CADENCE,
    DURATION,
    FOOT_M,
    INCH_M,
    LENGTH,
    SPEED,
    TYPOGRAPHIC,
    YARD_M,
    Kind,
)
from wicketlay.units.reading import read_quantity


def _write_feet(value: float, units: tuple[str, ...], like: str | None) -> str:
    primes = like is not None and "'" in like.translate(TYPOGRAPHIC)
    exact = abs(exact_value(value))
    inches = exact / INCH_M
    sign = "-" if value < 0 else ""
    if units == ("ft",) and (inches / 12).denominator == 1:
        return f"{sign}{inches / 12}'" if primes else f"{sign}{inches / 12} ft"
    whole_ft, rest = (Fraction(0), inches) if units == ("in",) else divmod(inches, Fraction(12))
    whole_ft = Fraction(whole_ft)
    fraction = 64 % rest.denominator == 0
    text = (
        inches_text(rest)
        if fraction
        else fewest_decimals(rest, INCH_M, float(exact), whole_ft * FOOT_M)
    )
    if units == ("in",):
        return f"{sign}{text} in"
    return f"{sign}{whole_ft}' {text}\"" if primes else f"{sign}{whole_ft} ft {text} in"


def _styled(text: str, like: str | None) -> str:
    """Give `text` the decimal mark and the spacing of an older text."""
    if like is None:
        return text
    if "," in like and "." in text:
        text = text.replace(".", ",")
        # A comma with three digits after it is refused when read; a nought more is not.
        text = re.sub(r"(,[0-9]{3})(?![0-9])", r"\g<1>0", text)
    if " " not in like.strip() and text.count(" ") == 1:
        text = text.replace(" ", "")
    return text


def _units_of(like: str | None, kind: Kind, *, default: str) -> tuple[str, ...]:
    if like is None:
        return (default,)
    try:
        return read_quantity(like, kind, signed=True)[1]
    except QuantityError:
        return (default,)


def write_length(value_m: float, like: str | None = None, *, default: str = "m") -> str:
    """Return a length [m] as text that reads back as exactly the same float.

    Parameters
    ----------
    value_m
        The length [m], any sign.
    like
        A text whose unit, decimal mark and spacing are kept ("5 ft 8 in" keeps feet).
    default
        Unit when there is no older text: m, cm, mm, ft, in or yd.
    """
    units = _units_of(like, LENGTH, default=default)
    if units[0] in {"ft", "in"}:
        return _write_feet(value_m, units, like)
    exact = exact_value(value_m) / LENGTH.factors[units[0]]
    # A third of a metre has an end in no yard.
    text = fewest_decimals(exact, YARD_M, value_m) if units == ("yd",) else decimal_text(exact)
    return _styled(f"{text} {units[0]}", like)


def write_speed(value_mps: float, like: str | None = None) -> str:
    """Return a speed [m/s] as text that reads back as exactly the same float."""
    unit = _units_of(like, SPEED, default="m/s")[0]
    text = fewest_decimals(
        exact_value(value_mps) / SPEED.factors[unit], SPEED.factors[unit], value_mps
    )
    return _styled(f"{text} {unit}", like)


def write_cadence(value_hz: float, like: str | None = None) -> str:
    """Return a cadence [steps/s] as text that reads back as exactly the same float."""
    unit = _units_of(like, CADENCE, default="steps/s")[0]
    text = fewest_decimals(
        exact_value(value_hz) / CADENCE.factors[unit], CADENCE.factors[unit], value_hz
    )
    return _styled(f"{text} {'Hz' if unit == 'hz' else unit}", like)


def write_duration(value_s: float, like: str | None = None, *, default: str = "s") -> str:
    """Return a time [s] as text that reads back as exactly the same float."""
    units = _units_of(like, DURATION, default=default)
    exact = exact_value(value_s)
    if units == ("s",):
        return _styled(f"{decimal_text(exact)} s", like)
    minutes, seconds = divmod(exact, 60)
    if units[0] == "h" and minutes >= 60:
        hours, minutes = divmod(minutes, 60)
        parts = [f"{hours} h"]
    else:
        parts = []
    parts += [f"{minutes} min"] if minutes else []
    parts += [f"{decimal_text(seconds)} s"] if seconds or not (minutes or parts) else []
    if parts[0].endswith("h") and len(parts) == 2 and parts[1].endswith(" s"):
        parts.insert(1, "0 min")
    return _styled(" ".join(parts), like)


def write_percent(share: float, like: str | None = None) -> str:
    """Return a share as a percentage that reads back as exactly the same float."""
    return _styled(f"{decimal_text(exact_value(share) * 100)} %", like)
