"""How far a tape may be wrong: by its class and by its temperature."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, overload

import numpy as np

from wicketlay.errors import require_range
from wicketlay.ground.readings import TapeClass
from wicketlay.sources import STEEL_EXPANSION_PER_C, STEEL_REFERENCE_C, TAPE_CLASS_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray


@overload
def tape_error_mm(length_m: float, tape_class: TapeClass | str) -> float: ...
@overload
def tape_error_mm(
    length_m: NDArray[np.float64], tape_class: TapeClass | str
) -> NDArray[np.float64]: ...
def tape_error_mm(
    length_m: float | NDArray[np.float64], tape_class: TapeClass | str
) -> float | NDArray[np.float64]:
    """Return the largest allowed error of a tape: a + b L, L rounded up to whole metres.

    Parameters
    ----------
    length_m : float or array
        Length measured [m], zero or more.
    tape_class
        "I", "II" or "III".

    Returns
    -------
    float or array
        Plus or minus [mm].

    Raises
    ------
    DomainError
        When a length is negative or not a number.

    References
    ----------
    EU 2014/32 Annex X; UK SI 2016/1153 Schedule 1I.
    """
    known = tape_class if isinstance(tape_class, TapeClass) else TapeClass(tape_class)
    fixed, per_metre = TAPE_CLASS_MM[known.value]
    if not isinstance(length_m, np.ndarray):
        require_range("length", length_m, 0.0, 1e5, "m")
        return fixed + per_metre * whole_metres(length_m)
    for value in length_m.flat:
        require_range("length", float(value), 0.0, 1e5, "m")
    return np.asarray(fixed + per_metre * np.ceil(length_m - _ROUNDING_M))


_ROUNDING_M = 5e-8
"""Half of the last figure that counts of a length: sums of floats differ by less."""


def whole_metres(length_m: float) -> int:
    """Return a length rounded up; whole metres but for rounding count as that number."""
    return math.ceil(length_m - _ROUNDING_M)


@overload
def steel_reading_m(true_m: float, temperature_c: float) -> float: ...
@overload
def steel_reading_m(true_m: NDArray[np.float64], temperature_c: float) -> NDArray[np.float64]: ...
def steel_reading_m(
    true_m: float | NDArray[np.float64], temperature_c: float
) -> float | NDArray[np.float64]:
    """Return what a steel tape shows over a true distance: a warm tape is longer and shows less.

    Parameters
    ----------
    true_m : float or array
        Distance [m].
    temperature_c
        Temperature of the tape [degC]; it is true at 20.

    Returns
    -------
    float or array
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
