"""Top speed from one time over a zone, or one speed at a place, at a given time constant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.errors import DomainError, require_positive
from wicketlay.running.lambert import share_from_rest

if TYPE_CHECKING:
    from collections.abc import Callable

_HIGHEST_SPEED_MPS = 100.0
"""A speed beyond is not looked for; nothing near it is accepted further up."""

_ROOT_STEPS = 50


def _falling_root(miss: Callable[[float], tuple[float, float]], low: float) -> float:
    """Return the root above `low` of a falling, convex function; `miss` gives value and slope.

    Newton's method from below never oversteps such a root.
    """
    at = low
    for _ in range(_ROOT_STEPS):
        value, slope = miss(at)
        step = -value / slope
        at += step
        if step <= 1e-14 * at:
            break
    return at


def top_speed_from_flying(
    distance_m: float, time_s: float, run_on_m: float, time_constant_s: float
) -> float:
    """Return the top speed of a run from standing that took `time_s` over a zone.

    Solves distance = x(t(run_on) + time) - run_on for v at the given tau. The zone mean,
    distance over time, is lower: print both.

    Parameters
    ----------
    distance_m
        Length of the zone [m], above 0.
    time_s
        Time over it [s], above 0.
    run_on_m
        From the start to the zone [m], 0 or more.
    time_constant_s
        Tau [s], above 0.

    Returns
    -------
    float
        Asymptotic speed v [m/s].

    Raises
    ------
    DomainError
        When an argument is out of range, or no speed below 100 m/s fits.
    """
    require_positive("zone", distance_m, "m")
    require_positive("time over the zone", time_s, "s")
    require_positive("run-on", run_on_m, "m", zero=True)
    require_positive("time constant", time_constant_s, "s")

    def time_and_slope(distance: float, speed: float) -> tuple[float, float]:
        s = distance / (speed * time_constant_s)
        if s == 0.0:
            return 0.0, 0.0
        q = share_from_rest(s)
        return time_constant_s * (s + q), -time_constant_s * s / (q * speed)

    def miss(speed: float) -> tuple[float, float]:
        before, before_slope = time_and_slope(run_on_m, speed)
        after, after_slope = time_and_slope(run_on_m + distance_m, speed)
        return after - before - time_s, after_slope - before_slope

    if miss(_HIGHEST_SPEED_MPS)[0] > 0.0:
        raise DomainError(
            f"{distance_m:g} m in {time_s:g} s after a run-on of {run_on_m:g} m is "
            f"faster than anyone"
        )
    return _falling_root(miss, distance_m / time_s)


def top_speed_from_speed_at(speed_mps: float, run_on_m: float, time_constant_s: float) -> float:
    """Return the top speed of a run from standing that has `speed_mps` at `run_on_m`.

    Parameters
    ----------
    speed_mps
        Speed there [m/s], above 0.
    run_on_m
        From the start [m], above 0.
    time_constant_s
        Tau [s], above 0.
    """
    require_positive("speed", speed_mps, "m/s")
    require_positive("run-on", run_on_m, "m")
    require_positive("time constant", time_constant_s, "s")

    def miss(top: float) -> tuple[float, float]:
        s = run_on_m / (top * time_constant_s)
        q = share_from_rest(s)
        # d(v q)/dv with dq/ds = (1 - q) / q
        return speed_mps - top * q, -(q - s * (1.0 - q) / q)

    if miss(_HIGHEST_SPEED_MPS)[0] > 0.0:
        raise DomainError(f"{speed_mps:g} m/s after {run_on_m:g} m is faster than anyone")
    return _falling_root(miss, speed_mps)
