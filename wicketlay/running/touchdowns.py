"""Where and when the feet land from a start mark on."""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.sources import (
    CADENCE_RAMP,
    DEFAULTS,
    FOOT_AHEAD_M,
    MOVING_CADENCE_RAMP,
    Judgement,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from wicketlay.running.sprint import SpeedCurve


class StartKind(StrEnum):
    """How a run leaves its start mark."""

    STANDING = "standing"
    WALK_IN = "walk-in"
    JOG_IN = "jog-in"


def initial_speed_mps(start: StartKind, judgement: Judgement = DEFAULTS) -> float:
    """Return the speed at the start mark [m/s]: 0 standing, else the walk's or jog's."""
    if start is StartKind.STANDING:
        return 0.0
    return judgement.walk_in_mps if start is StartKind.WALK_IN else judgement.jog_in_mps


def approach_m(start: StartKind, judgement: Judgement = DEFAULTS) -> float:
    """Return the room [m] the walk or jog needs before the start mark."""
    if start is StartKind.STANDING:
        return 0.0
    return judgement.walk_in_m if start is StartKind.WALK_IN else judgement.jog_in_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Touchdowns:
    """Landings in order from the start mark.

    Parameters
    ----------
    times_s : array, shape (n,)
        Time of each touchdown from first movement [s].
    positions_m : array, shape (n,)
        Place of the toe from the start mark [m].
    speeds_mps : array, shape (n,)
        Speed of the body at each touchdown [m/s].
    """

    times_s: NDArray[np.float64]
    positions_m: NDArray[np.float64]
    speeds_mps: NDArray[np.float64]

    def first(self, count: int) -> Touchdowns:
        """Return the first `count` of them."""
        return Touchdowns(
            times_s=self.times_s[:count],
            positions_m=self.positions_m[:count],
            speeds_mps=self.speeds_mps[:count],
        )


def step_times_s(
    cadence_hz: float,
    count: int,
    *,
    start: StartKind = StartKind.STANDING,
    judgement: Judgement = DEFAULTS,
) -> NDArray[np.float64]:
    """Return when the first `count` touchdowns of a run come [s] from first movement.

    Touchdown k comes after the push-off and the sum of 1 / (r_j cadence), where r rises from
    0.80 to 1 over six steps (0.90 to 1 over three when the run comes in moving).

    Parameters
    ----------
    cadence_hz
        Full cadence of the run-on [steps/s].

    References
    ----------
    Cadence of the first steps: review entry on the sprint start. Push-off 0.10 s: our judgement.
    """
    standing = start is StartKind.STANDING
    delay = judgement.push_off_s if standing else 0.0
    ramp = CADENCE_RAMP if standing else MOVING_CADENCE_RAMP
    return delay + _steps_in_time(ramp, count) / cadence_hz


@cache
def _steps_in_time(ramp: tuple[float, ...], count: int) -> NDArray[np.float64]:
    """Return the touchdowns of a ramp, in steps at full cadence from the push-off, shape (n,)."""
    shares = np.ones(count)
    shares[: len(ramp)] = ramp[:count]
    return (1.0 / shares).cumsum()


def touchdowns(curve: SpeedCurve, times_s: NDArray[np.float64]) -> Touchdowns:
    """Return the touchdowns at given times of a run that builds along `curve`.

    The toe lands 0.31 m ahead of the body.

    Parameters
    ----------
    curve
        Speed along the run, with the initial speed of its start.
    times_s : array, shape (n,)
        From first movement [s]; see `step_times_s`.

    References
    ----------
    Foot ahead of the body: Ito, Fukuda & Kijima (2007 championships).
    """
    places, speeds = curve.at(times_s)
    return Touchdowns(times_s=times_s, positions_m=places + float(FOOT_AHEAD_M), speeds_mps=speeds)
