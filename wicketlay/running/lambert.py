"""The three pure functions a sprint is made of; one is the principal Lambert W, from -1/e to 0.

They count distance in v tau and time in tau, and keep their relative accuracy down to zero. A run
has some twenty steps: a loop over them is quicker than arrays are, up to 200 numbers.

References
----------
Corless et al. 1996, Adv Comput Math 5:329, section 4 (series at the branch point).
"""

from __future__ import annotations

import math
from functools import update_wrapper
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Callable

Array = NDArray[np.float64]
OneOrMany = TypeVar("OneOrMany", float, Array)
"""A number, or an array of them: what is asked is what is answered."""

_BRANCH_SERIES = (
    1.0,
    -1.0 / 3.0,
    11.0 / 72.0,
    -43.0 / 540.0,
    769.0 / 17280.0,
    -221.0 / 8505.0,
    680863.0 / 43545600.0,
    -1963.0 / 204120.0,
    226287557.0 / 37623398400.0,
)
"""1 + W0(z) as a power series of r = sqrt(2 (1 + e z)), without the constant term."""

_SERIES_BELOW = 1e-3
"""Below this 1 + e z the nine terms are right to 1e-14 relative, and iteration is not."""

_ITERATIONS = 12


class OfEach(Protocol):
    """A function of a number, or of every number of an array."""

    def __call__(self, value: OneOrMany, /) -> OneOrMany:  # noqa: D102 - as its class
        ...


def _of_each(of_one: Callable[[float], float]) -> OfEach:
    def of_each(value: float | Array) -> float | Array:
        if isinstance(value, float):
            return of_one(value)
        found = np.array([*map(of_one, value.ravel().tolist())], dtype=np.float64)
        return found if value.ndim == 1 else found.reshape(value.shape)

    return cast("OfEach", update_wrapper(of_each, of_one))


@_of_each
def share_from_rest(s: float) -> float:
    """Return 1 + W0(-e^(-s - 1)), the inverse of s = -ln(1 - q) - q.

    Accurate in relative terms for every s from 0 up: 1 + e z is formed as 1 - e^-s without
    cancellation, and large s underflow to a share of 1.

    Parameters
    ----------
    s : float or array
        Distance over (top speed times tau) from rest, 0 or more [1].

    Returns
    -------
    float or array
        Share q of the asymptotic speed [1].
    """
    z = -math.exp(-1.0 - s)
    if s >= 0.4:
        # within 1e-6 of the answer from s = 2 up, where the wickets stand; 0.9 % at 0.4
        w = z * (1.0 - z * (1.0 - z * (3 / 2 - z * (8 / 3 - z * (125 / 24 - z * 54 / 5)))))
    else:
        gap = -math.expm1(-s)
        r = math.sqrt(2.0 * gap)
        total = 0.0
        for coefficient in reversed(_BRANCH_SERIES):
            total = (total + coefficient) * r
        if gap < _SERIES_BELOW:
            return total
        w = total - 1.0
    for _ in range(_ITERATIONS):
        # z e^-w rather than w e^w: neither overflows for large z nor loses w for small z
        miss = w - z * math.exp(-w)
        step = 2.0 * miss * (1.0 + w) / ((1.0 + w) * (2.0 + 2.0 * w) - miss * (2.0 + w))
        w -= step
        # the error left is of the third order of the step
        if abs(step) <= 1e-5 * abs(w):
            break
    return 1.0 + w


@_of_each
def distance_at_share(q: float) -> float:
    """Return k(q) = -ln(1 - q) - q, without cancellation for small q.

    It is the distance over v tau after which a run from rest reaches the share q, 0 to below 1.
    """
    if q < 0.01:
        tail = 1 / 4 + q * (1 / 5 + q * (1 / 6 + q * (1 / 7 + q / 8)))
        return q * q * (1 / 2 + q * (1 / 3 + q * tail))
    return -math.log1p(-q) - q


SHORT_TIME = 0.02
"""Below this the distance is summed as a series: the difference would lose its figures."""


def distance_at_time(t: OneOrMany) -> OneOrMany:
    """Return T - (1 - e^-T), without cancellation for small T.

    It is the distance over v tau that a run from rest covers in T time constants, 0 or more.
    """
    if isinstance(t, float):
        return _in_short_time(t) if t < SHORT_TIME else t + math.expm1(-t)
    far: Array = t + np.expm1(-t)
    if min(t.ravel().tolist(), default=SHORT_TIME) < SHORT_TIME:
        far = np.where(t < SHORT_TIME, _in_short_time(t), far)
    return far


def _in_short_time(t: OneOrMany) -> OneOrMany:
    tail = 1 / 24 - t * (1 / 120 - t * (1 / 720 - t / 5040))
    return t * t * (1 / 2 - t * (1 / 6 - t * tail))
