"""The principal Lambert W function, and the three pure functions a sprint is made of.

They count distance in v tau and time in tau, and keep their relative accuracy down to zero.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wicketlay.errors import DomainError

Array = NDArray[np.float64]

_INVERSE_E = 0.36787944117144233
_INVERSE_E_REST = -1.2428753672788363e-17
"""1/e is the sum of both: the nearest float and what it misses by."""

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


def lambert_w0(z: ArrayLike) -> Array:
    """Return the principal branch of the solution w of w e^w = z.

    Parameters
    ----------
    z : float or array
        At least -1/e [1]. The float nearest to -1/e counts as -1/e.

    Returns
    -------
    array
        W0(z), same shape, -1 or more.

    Raises
    ------
    DomainError
        When an element is below -1/e or not finite.

    References
    ----------
    Corless et al. 1996, Adv Comput Math 5:329, section 4 (series at the branch point).
    """
    z = np.asarray(z, dtype=np.float64)
    if not np.all((z >= -_INVERSE_E) & (z < np.inf)):
        message = f"the principal Lambert W is real from -1/e up and for finite values, got {z}"
        raise DomainError(message)
    gap = np.maximum(((z + _INVERSE_E) + _INVERSE_E_REST) / _INVERSE_E, 0.0)
    near = gap < _SERIES_BELOW
    series = _near_branch(np.where(near, gap, 0.0)) - 1.0
    safe = np.where(near, 0.0, z)
    # three guesses for three stretches: branch point, middle, and the logarithm's own
    logarithm = np.log(np.maximum(safe, 2.0))
    guess = np.where(
        safe < -0.2,
        _near_branch(np.where(near, 0.0, np.minimum(gap, 1.0))) - 1.0,
        np.where(safe < np.e, np.log1p(safe) * 0.7, logarithm - np.log(logarithm)),
    )
    return np.where(near, series, _iterate(safe, guess))


def share_from_rest(s: Array) -> Array:
    """Return 1 + W0(-e^(-s - 1)), the inverse of s = -ln(1 - q) - q.

    Accurate in relative terms for every s from 0 up: 1 + e z is formed as 1 - e^-s without
    cancellation, and large s underflow to a share of 1.

    Parameters
    ----------
    s : array
        Distance over (top speed times tau) from rest, 0 or more [1].

    Returns
    -------
    array
        Share q of the asymptotic speed [1].
    """
    gap = -np.expm1(-s)
    near = gap < _SERIES_BELOW
    if near.all():
        return _near_branch(gap)
    safe = np.where(near, 1.0, s)
    z = -np.exp(-1.0 - safe)
    # at worst 7 % off: e^-s of the way from the branch series to the bare argument
    guess = np.where(safe < 0.4, _near_branch(np.minimum(-np.expm1(-safe), 0.4)) - 1.0, z - z * z)
    far = 1.0 + _iterate(z, guess)
    return np.where(near, _near_branch(np.where(near, gap, 0.0)), far)


def distance_at_share(q: float | Array) -> Array:
    """Return k(q) = -ln(1 - q) - q, without cancellation for small q.

    It is the distance over v tau after which a run from rest reaches the share q, 0 to below 1.
    """
    q = np.asarray(q, dtype=np.float64)
    small = q < 0.01
    s = np.where(small, q, 0.0)
    series = (
        s
        * s
        * (1 / 2 + s * (1 / 3 + s * (1 / 4 + s * (1 / 5 + s * (1 / 6 + s * (1 / 7 + s / 8))))))
    )
    return np.where(small, series, -np.log1p(-np.where(small, 0.5, q)) - q)


def distance_at_time(t: float | Array) -> Array:
    """Return T - (1 - e^-T), without cancellation for small T.

    It is the distance over v tau that a run from rest covers in T time constants, 0 or more.
    """
    t = np.asarray(t, dtype=np.float64)
    small = t < 0.02
    s = np.where(small, t, 0.0)
    series = s * s * (1 / 2 - s * (1 / 6 - s * (1 / 24 - s * (1 / 120 - s * (1 / 720 - s / 5040)))))
    return np.where(small, series, t + np.expm1(-t))
