"""Wind and height: what moving or thin air does to a sprint, and the speed in still air.

Athletes are known, and marks are laid, as in still air at sea level: 1 % of speed is 2 cm of a
gap, below a layout's own error. Times are what air changes by more than a clock errs.
"""

from __future__ import annotations

import math

from wicketlay.declared import Kind, declare
from wicketlay.errors import require_range
from wicketlay.sources import AIR_DRAG_SHARE, AIR_SLOWEST_MPS, AIR_THINNING_PER_M

WINDS_MPS = (-10.0, 10.0)
HEIGHTS_M = (-430.0, 4000.0)
"""Wind along the run, a tail wind positive [m/s], and height above the sea [m]."""
WIND = declare(
    Kind.SPEED, "along the run, a tail wind positive; 0 in a hall", *WINDS_MPS, signed=True
)
ALTITUDE = declare(Kind.LENGTH, "height above the sea", *HEIGHTS_M, what="altitude", signed=True)
"""The keys of facts and grounds."""


def air_factor(speed_mps: float, wind_mps: float = 0.0, altitude_m: float = 0.0) -> float:
    """Return speed in this air over speed in still air at sea level.

    F = 1.03 - 0.03 e^(-0.000125 H) (1 - w/v)^2, 1 in still air at sea level, above 1 with a tail
    wind or at a height.

    Parameters
    ----------
    speed_mps
        Mean speed v that was run in this air [m/s].
    wind_mps
        Wind w along the run [m/s], a tail wind positive.
    altitude_m
        Height H above the sea [m].

    Raises
    ------
    DomainError
        When a value is out of range.

    References
    ----------
    Mureika 2001, arXiv physics/0006057: his correction of 100 m times, with w/v for w t/100.
    """
    require_range("speed", speed_mps, 0.0, 15.0, "m/s")
    require_range("wind", wind_mps, *WINDS_MPS, "m/s")
    require_range("altitude", altitude_m, *HEIGHTS_M, "m")
    drag, thinning = float(AIR_DRAG_SHARE), float(AIR_THINNING_PER_M)
    against = 1.0 - wind_mps / max(speed_mps, float(AIR_SLOWEST_MPS))
    return 1.0 + drag - drag * math.exp(-thinning * altitude_m) * against**2


def still_air_mps(speed_mps: float, wind_mps: float, altitude_m: float) -> float:
    """Return the speed in still air at sea level [m/s] of one that was run in this air."""
    return speed_mps / air_factor(speed_mps, wind_mps, altitude_m)


def still_air_time_s(
    distance_m: float, time_s: float, wind_mps: float | None, altitude_m: float | None
) -> float:
    """Return the time [s] over a distance in still air at sea level; what nobody told is none."""
    if not wind_mps and not altitude_m:
        return time_s
    speed = still_air_mps(distance_m / time_s, wind_mps or 0.0, altitude_m or 0.0)
    return distance_m / speed


def time_in_air_s(
    distance_m: float, still_s: float, wind_mps: float | None, altitude_m: float | None
) -> float:
    """Return the time [s] in this air over a distance that takes `still_s` in still air."""
    if not wind_mps and not altitude_m:
        return still_s
    return distance_m / in_air_mps(distance_m / still_s, wind_mps or 0.0, altitude_m or 0.0)


def in_air_mps(still_mps: float, wind_mps: float, altitude_m: float) -> float:
    """Return the speed in this air [m/s] of one known in still air at sea level.

    The factor is of the speed that is sought: a few rounds settle it, each a hundredth of the last.
    """
    speed = still_mps
    for _ in range(12):
        speed = still_mps * air_factor(speed, wind_mps, altitude_m)
    return speed
