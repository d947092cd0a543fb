"""Speed along a run: the mono-exponential sprint model, exact both ways.

With asymptotic speed v, time constant tau, initial speed v0, p = v0 / v and T = t / tau::

    V(t) = v - (v - v0) e^-T             x(t) = v t - (v - v0) tau (1 - e^-T)
    k(q) = -ln(1 - q) - q                distance to share q = v tau (k(q) - k(p))

    speed
      v |. . . . . . . . . . . . . . .
        |              .  '
        |        . '
        |    .                           tau: 63 % of the way from v0 to v
     v0 | .
        +--------------------------------> time
"""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from wicketlay.errors import DomainError, require_range
from wicketlay.running.fitting import SprintFit, fit_splits
from wicketlay.running.lambert import (
    Array,
    OneOrMany,
    distance_at_share,
    distance_at_time,
    share_from_rest,
)
from wicketlay.running.top_speed import top_speed_from_flying
from wicketlay.values import dataclass

__all__ = ["SpeedCurve", "SprintFit", "fit_splits", "top_speed_from_flying"]

MODEL_SPEED_MPS = (0.1, 20.0)
MODEL_TIME_CONSTANT_S = (0.05, 10.0)
"""Where the model itself is used; what a person can do is narrower, see `athlete`."""


def _like(asked: OneOrMany, answer: float | Array) -> OneOrMany:
    """Return a float for a scalar question, the array otherwise."""
    many = isinstance(asked, np.ndarray) and asked.ndim
    return cast("OneOrMany", answer if many else float(answer))


def _zero_or_more(values: OneOrMany, what: str, unit: str) -> OneOrMany:
    """Return a float for a scalar and an array for an array, refused unless 0 or more, finite."""
    if isinstance(values, (float, int)):
        # floats stay floats all the way: an array of one is ten times slower
        if 0.0 <= values < math.inf:
            return float(values)
        bad = float(values)
    else:
        checked = np.asarray(values, dtype=np.float64)
        # a run has tens of steps: one by one they are looked at in a quarter of the time
        refused = [each for each in checked.ravel().tolist() if not 0.0 <= each < math.inf]
        if not refused:
            return checked
        bad = refused[0]
    raise DomainError(f"{what} is {bad:g} {unit}; it must be 0 {unit} or more")


@dataclass(frozen=True, slots=True)
class SpeedCurve:
    """Speed, place and time along one run.

    Scalars in give float out, arrays give arrays of the same shape.

    Parameters
    ----------
    top_speed_mps
        Asymptotic speed v [m/s], 0.1 to 20.
    time_constant_s
        Time constant tau [s], 0.05 to 10.
    initial_speed_mps
        Speed at the start mark v0 [m/s], 0 or more and below v; 0 from standing.

    Raises
    ------
    DomainError
        When a value is NaN or outside its range.

    References
    ----------
    Jovanovic & Vescovi 2022 (short-sprint modelling): the mono-exponential model.
    """

    top_speed_mps: float
    time_constant_s: float
    initial_speed_mps: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a run that cannot be."""
        require_range("top speed", self.top_speed_mps, *MODEL_SPEED_MPS, "m/s")
        require_range("time constant", self.time_constant_s, *MODEL_TIME_CONSTANT_S, "s")
        if not 0.0 <= self.initial_speed_mps < self.top_speed_mps:
            raise DomainError(
                f"initial speed is {self.initial_speed_mps:g} m/s; it must be 0 m/s or more "
                f"and below the top speed of {self.top_speed_mps:g} m/s"
            )

    @property
    def initial_share(self) -> float:
        """The initial speed as a share of the asymptotic speed."""
        return self.initial_speed_mps / self.top_speed_mps

    def _speed(self, t: OneOrMany) -> OneOrMany:
        """Return the speed [m/s] at a time counted in tau."""
        p = self.initial_share
        less = math.expm1(-t) if isinstance(t, float) else np.expm1(-t)
        speed: OneOrMany = self.top_speed_mps * (p - (1.0 - p) * less)
        return speed

    def _position(self, t: OneOrMany) -> OneOrMany:
        """Return the distance from the start [m] at a time counted in tau."""
        p = self.initial_share
        return self.length_scale_m * (p * t + (1.0 - p) * distance_at_time(t))

    @property
    def length_scale_m(self) -> float:
        """The product v tau [m], in which distances are counted."""
        return self.top_speed_mps * self.time_constant_s

    def speed_at(self, t_s: OneOrMany) -> OneOrMany:
        """Return the speed [m/s] at time `t_s` [s] from the start, 0 or later."""
        return _like(t_s, self._speed(_zero_or_more(t_s, "time", "s") / self.time_constant_s))

    def position_at(self, t_s: OneOrMany) -> OneOrMany:
        """Return the distance from the start [m] at time `t_s` [s], 0 or later."""
        return _like(t_s, self._position(_zero_or_more(t_s, "time", "s") / self.time_constant_s))

    def at(self, times_s: Array) -> tuple[Array, Array]:
        """Return the distances from the start [m] and the speeds [m/s] at `times_s` [s].

        As `position_at` and `speed_at` for steps as they come: no time is looked at, and just
        after the start places are right to 1e-14 m, no better.
        """
        slower = self.top_speed_mps - self.initial_speed_mps
        less = slower * np.expm1(times_s * (-1.0 / self.time_constant_s))
        places = self.top_speed_mps * times_s + self.time_constant_s * less
        return places, self.initial_speed_mps - less

    def passing(self, x_m: Array) -> tuple[Array, Array]:
        """Return the times [s] and the speeds [m/s] at which the run passes `x_m` [m].

        From standing the share of the speed is part of the time: it is worked out once.
        """
        if self.initial_speed_mps > 0.0:
            times = self.time_at(x_m)
            return times, self.speed_at(times)
        s = _zero_or_more(x_m, "distance", "m") / self.length_scale_m
        share = share_from_rest(s)
        return self.time_constant_s * (s + share), self.top_speed_mps * share

    def time_at(self, x_m: OneOrMany) -> OneOrMany:
        """Return the time [s] at which the run is `x_m` [m] from the start, 0 or farther."""
        s = _zero_or_more(x_m, "distance", "m") / self.length_scale_m
        p = self.initial_share
        t = s + share_from_rest(s + distance_at_share(p)) - p
        if p > 0.0:
            # q - p cancels just after a moving start; one Newton step on x(t) = x restores it
            t = np.maximum(t, 0.0)
            miss = p * t + (1.0 - p) * distance_at_time(t) - s
            t = np.maximum(t - miss / (p - (1.0 - p) * np.expm1(-t)), 0.0)
        return _like(x_m, self.time_constant_s * t)

    def time_to_share(self, q: float) -> float:
        """Return the time [s] after which the share `q` [1], below 1, is reached; 0 from behind."""
        slower = (1.0 - q) / (1.0 - self.initial_share)
        return max(0.0, -self.time_constant_s * math.log(slower))

    def share_at(self, x_m: OneOrMany) -> OneOrMany:
        """Return the share of the asymptotic speed [1] at `x_m` [m] from the start."""
        s = _zero_or_more(x_m, "distance", "m") / self.length_scale_m
        return _like(x_m, share_from_rest(s + distance_at_share(self.initial_share)))

    def distance_to_share(self, q: OneOrMany) -> OneOrMany:
        """Return the distance [m] after which the share `q` of the asymptotic speed is reached.

        Parameters
        ----------
        q
            Share of the asymptotic speed [1], from the initial share up to but not 1.

        Raises
        ------
        DomainError
            When `q` is 1 or more (never reached), below the initial share (already faster)
            or NaN.
        """
        checked = self._reachable(q)
        distance = distance_at_share(checked) - distance_at_share(self.initial_share)
        return _like(q, self.length_scale_m * np.maximum(distance, 0.0))

    def _reachable(self, q: OneOrMany) -> OneOrMany:
        """Return `q` as a float or an array, refused unless every share can be reached."""
        p = self.initial_share
        if isinstance(q, (float, int)):
            if p <= q < 1.0:
                return float(q)
            bad = float(q)
        else:
            checked = np.asarray(q, dtype=np.float64)
            refused = [each for each in checked.ravel().tolist() if not p <= each < 1.0]
            if not refused:
                return checked
            bad = refused[0]
        if bad < p:
            raise DomainError(
                f"speed share {bad:g} lies behind the start: the run is already faster, "
                f"starting at {p:g}; it must lie between {p:g} and 1, 1 left out"
            )
        raise DomainError(
            f"speed share {bad:g} is never reached: the speed only approaches top speed; "
            f"it must lie between {p:g} and 1, 1 left out"
        )
