"""The three pure functions a sprint is made of; one is the principal Lambert W, from -1/e to 0.

They count distance in v tau and time in tau, and keep their relative accuracy down to zero.

References
----------
Corless et al. 1996, Adv Comput Math 5:329, section 4 (series at the branch point).
"""

from __future__ import annotations

import math
from typing import TypeVar, overload

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Number = TypeVar("Number", float, NDArray[np.float64])

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

_FEW = 24
"""Up to so many numbers a loop is quicker than arrays are."""


def _near_branch(gap: Array) -> Array:
    """Return 1 + W0(z) from gap = 1 + e z, small."""
    r = np.sqrt(2.0 * gap)
    total = np.zeros_like(r)
    for coefficient in reversed(_BRANCH_SERIES):
        total = (total + coefficient) * r
    return total


def _iterate(z: Array, guess: Array) -> Array:
    """Return W0(z) by Halley's method from a fair guess, away from the branch point."""
    w = guess
    for _ in range(_ITERATIONS):
        # z e^-w rather than w e^w: neither overflows for large z nor loses w for small z
        miss = w - z * np.exp(-w)
        step = 2.0 * miss * (1.0 + w) / ((1.0 + w) * (2.0 + 2.0 * w) - miss * (2.0 + w))
        w = w - step
        if np.all(np.abs(step) <= 4e-16 * np.abs(w)):
            break
    return w


def _guess_from_rest(gap: Array, s: Array) -> Array:
    """Return W0(-e^(-s - 1)) to within 7 %: branch series for small s, bare argument for large."""
    z = -np.exp(-1.0 - s)
    return np.where(s < 0.4, _near_branch(np.minimum(gap, 0.4)) - 1.0, z - z * z)


def _share_from_rest_float(s: float) -> float:
    """Return what `share_from_rest` does, for one number and without the cost of an array."""
    z = -math.exp(-1.0 - s)
    w = z - z * z
    if s < 0.4:
        gap = -math.expm1(-s)
        r = math.sqrt(2.0 * gap)
        total = 0.0
        for coefficient in reversed(_BRANCH_SERIES):
            total = (total + coefficient) * r
        if gap < _SERIES_BELOW:
            return total
        w = total - 1.0
    for _ in range(_ITERATIONS):
        miss = w - z * math.exp(-w)
        step = 2.0 * miss * (1.0 + w) / ((1.0 + w) * (2.0 + 2.0 * w) - miss * (2.0 + w))
        w -= step
        if abs(step) <= 4e-16 * abs(w):
            break
    return 1.0 + w


@overload
def share_from_rest(s: float) -> float: ...
@overload
def share_from_rest(s: Array) -> Array: ...
def share_from_rest(s: float | Array) -> float | Array:
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
    if isinstance(s, float):
        return _share_from_rest_float(s)
    if s.size <= _FEW:
        shares = [_share_from_rest_float(one) for one in s.ravel().tolist()]
        return np.array(shares, dtype=np.float64).reshape(s.shape)
    gap = -np.expm1(-s)
    near = gap < _SERIES_BELOW
    safe = np.where(near, 1.0, s)
    far = 1.0 + _iterate(-np.exp(-1.0 - safe), _guess_from_rest(-np.expm1(-safe), safe))
    return np.where(near, _near_branch(np.where(near, gap, 0.0)), far)


def _k_series(q: Number) -> Number:
    """Return the first terms of k(q) for q below 0.01."""
    return (
        q
        * q
        * (1 / 2 + q * (1 / 3 + q * (1 / 4 + q * (1 / 5 + q * (1 / 6 + q * (1 / 7 + q / 8))))))
    )


def _g_series(t: Number) -> Number:
    """Return the first terms of T - (1 - e^-T) for T below 0.02."""
    return t * t * (1 / 2 - t * (1 / 6 - t * (1 / 24 - t * (1 / 120 - t * (1 / 720 - t / 5040)))))


@overload
def distance_at_share(q: float) -> float: ...
@overload
def distance_at_share(q: Array) -> Array: ...
def distance_at_share(q: float | Array) -> float | Array:
    """Return k(q) = -ln(1 - q) - q, without cancellation for small q.

    It is the distance over v tau after which a run from rest reaches the share q, 0 to below 1.
    """
    if isinstance(q, float):
        return _k_series(q) if q < 0.01 else -math.log1p(-q) - q
    small = q < 0.01
    series = _k_series(np.where(small, q, 0.0))
    return np.where(small, series, -np.log1p(-np.where(small, 0.5, q)) - q)


@overload
def distance_at_time(t: float) -> float: ...
@overload
def distance_at_time(t: Array) -> Array: ...
def distance_at_time(t: float | Array) -> float | Array:
    """Return T - (1 - e^-T), without cancellation for small T.

    It is the distance over v tau that a run from rest covers in T time constants, 0 or more.
    """
    if isinstance(t, float):
        return _g_series(t) if t < 0.02 else t + math.expm1(-t)
    small = t < 0.02
    if not small.any():
        return np.asarray(t + np.expm1(-t))
    series = _g_series(np.where(small, t, 0.0))
    return np.where(small, series, t + np.expm1(-t))
