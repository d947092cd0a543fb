"""How far a tape may be wrong: by its class and by its temperature."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.errors import require_range
from wicketlay.sources import STEEL_EXPANSION_PER_C, STEEL_REFERENCE_C, TAPE_CLASS_MM

if TYPE_CHECKING:
    from wicketlay.ground.readings import TapeClass


def tape_error_mm(length_m: float, tape_class: TapeClass) -> float:
    """Return the largest allowed error of a tape: a + b L, L rounded up to whole metres.

    Parameters
    ----------
    length_m
        Length measured [m], zero or more.

    Returns
    -------
    float
        Plus or minus [mm].

    Raises
    ------
    DomainError
        When a length is negative or not a number.

    References
    ----------
    EU 2014/32 Annex X; UK SI 2016/1153 Schedule 1I.
    """
    require_range("length", length_m, 0.0, 1e5, "m")
    fixed, per_metre = TAPE_CLASS_MM[tape_class.value]
    return fixed + per_metre * whole_metres(length_m)


_ROUNDING_M = 5e-8
"""Half of the last figure that counts of a length: sums of floats differ by less."""


def whole_metres(length_m: float) -> int:
    """Return a length rounded up; whole metres but for rounding count as that number."""
    return math.ceil(length_m - _ROUNDING_M)


def steel_reading_m(true_m: float, temperature_c: float) -> float:
    """Return what a steel tape shows over a true distance: a warm tape is longer and shows less.

    Parameters
    ----------
    true_m
        Distance [m].
    temperature_c
        Temperature of the tape [degC]; it is true at 20.

    Returns
    -------
    float
        Reading [m].

    Raises
    ------
    DomainError
        When the temperature is outside -60 to 100 degC.

    References
    ----------
    6.45e-6 per degF (1.16e-5 per degC) from 68 degF: road-measuring form.
    """
    require_range("temperature", temperature_c, -60.0, 100.0, "degC")
    longer = float(STEEL_EXPANSION_PER_C) * (temperature_c - float(STEEL_REFERENCE_C))
    return true_m / (1.0 + longer)
