"""SI to text for people: rounded once, half away from zero, on the shortest decimal form.

So 1.005 m is shown as 1.01 and never as 1.00 because of its binary form.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache

from wicketlay.errors import QuantityError
from wicketlay.units.exact import decimal_text, exact_value, fixed, inches_text, whole_number
from wicketlay.units.kinds import INCH_M, MILE_M, UnitSystem


@lru_cache(maxsize=4096)
def _feet_text(parts: int, per_inch: int, *, always_feet: bool) -> str:
    """Return a whole number of parts of an inch as feet and inches."""
    sign = "-" if parts < 0 else ""
    feet, rest = divmod(abs(parts), 12 * per_inch)
    inches = inches_text(Fraction(rest, per_inch))
    if feet or always_feet:
        return f"{sign}{feet} ft {inches} in"
    return f"{sign}{inches} in"


def format_length(
    length_m: float,
    unit: UnitSystem | str = UnitSystem.METRIC,
    *,
    places: int = 2,
    per_inch: int = 2,
    bare: bool = False,
) -> str:
    """Return a length for people: ``1.66 m``, or ``5 ft 5 1/2 in``.

    Rounded half away from zero, to `places` decimals of a metre or to 1/`per_inch` inch.

    Parameters
    ----------
    length_m
        The length [m].
    unit
        Metric or feet.
    places
        Decimals of a metre.
    per_inch
        Parts of an inch: 1, 2, 4, 8 or 16.
    bare
        Leave the ``m`` out (a column that names its unit); feet keep theirs.
    """
    if UnitSystem(unit) is UnitSystem.FEET:
        parts = whole_number(exact_value(length_m) / INCH_M * per_inch)
        return _feet_text(parts, per_inch, always_feet=False)
    text = fixed(length_m, places)
    return text if bare else f"{text} m"


def format_move(
    move_m: float, unit: UnitSystem | str = UnitSystem.METRIC, *, per_inch: int = 2
) -> str:
    """Return a small length for people: ``6 cm`` or ``2 1/2 in``.

    Rounded half away from zero to a centimetre or to 1/`per_inch` inch.
    """
    if UnitSystem(unit) is UnitSystem.FEET:
        parts = whole_number(exact_value(move_m) / INCH_M * per_inch)
        sign = "-" if parts < 0 else ""
        return f"{sign}{inches_text(Fraction(abs(parts), per_inch))} in"
    return f"{fixed(exact_value(move_m) * 100, 0)} cm"


_TICK = re.compile(r"(\d+) cm|1/(\d+) in")


@cache
def _tick_of(tick: str) -> tuple[int, int]:
    """Return the whole centimetres of a tick, or 0 and how many of it make an inch."""
    told = _TICK.fullmatch(tick)
    if told is None:
        message = f'a tape tick of "{tick}" is unknown; it must be whole cm or one part of an inch'
        raise QuantityError(message)
    return int(told[1] or 0), int(told[2] or 0)


def format_ticks(ticks: int, tick: str) -> str:
    """Return a tape reading: ``12.34`` [m] from centimetre ticks, or ``40 ft 5 1/2 in``.

    Nothing is rounded here: a reading is a whole number of ticks.

    Parameters
    ----------
    ticks
        The reading, in ticks.
    tick
        What one is: ``1 cm``, or a part of an inch, ``1/2 in``.

    Raises
    ------
    QuantityError
        When the tick is neither.
    """
    centimetres, per_inch = _tick_of(tick)
    if centimetres:
        whole, hundredths = divmod(abs(ticks) * centimetres, 100)
        return f"{'-' if ticks < 0 else ''}{whole}.{hundredths:02d}"
    return _feet_text(ticks, per_inch, always_feet=True)


def format_speed(speed_mps: float, unit: UnitSystem | str = UnitSystem.METRIC) -> str:
    """Return a speed for people, ``8.53 m/s`` or ``19.1 mph``; half away from zero."""
    if UnitSystem(unit) is UnitSystem.FEET:
        return f"{fixed(exact_value(speed_mps) * 3600 / MILE_M, 1)} mph"
    return f"{fixed(speed_mps, 2)} m/s"


def format_count(number: int, noun: str) -> str:
    """Return a number of things, ``1 mark``, ``12 marks``."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def format_cadence(cadence_hz: float, *, bare: bool = False) -> str:
    """Return a cadence for people, ``3.96 steps/s``; half away from zero, `bare` without unit."""
    return fixed(cadence_hz, 2) if bare else f"{fixed(cadence_hz, 2)} steps/s"


def format_time(time_s: float, *, places: int = 2) -> str:
    """Return a time for people, ``3.17 s``; half away from zero."""
    return f"{fixed(time_s, places)} s"


def format_duration(time_s: float) -> str:
    """Return a recovery or a session for people, to a second: ``3 min 30 s``, ``1 h``."""
    total = whole_number(exact_value(time_s))
    sign = "-" if total < 0 else ""
    minutes, seconds = divmod(abs(total), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [
        f"{amount} {name}"
        for amount, name in ((hours, "h"), (minutes, "min"), (seconds, "s"))
        if amount
    ]
    return sign + (" ".join(parts) or "0 s")


@lru_cache(maxsize=512)
def format_percent(share: float, *, places: int = 1) -> str:
    """Return a share as a percentage, ``95 %`` or ``97.5 %``; half away from zero."""
    return f"{decimal_text(Decimal(fixed(exact_value(share) * 100, places)))} %"
