"""Top speed and time constant from times: a fit of splits, and a flying time solved for v."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.running.lambert import distance_at_time, share_from_rest
from wicketlay.sources import (
    DEFAULTS,
    FOOT_RELEASE_TO_GUN_S,
    GATE_SHIFT_S,
    HAND_RELEASE_TO_GUN_S,
    Judgement,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FIT_SPEED_MPS = (1.0, 15.0)
FIT_TIME_CONSTANT_S = (0.2, 4.0)
"""A fit that leaves these is not a sprint from a standing start."""

FIT_SHIFT_S = (0.0, 0.8)
"""A fitted shift outside is noise; the assumed one is used instead."""

FIT_SHIFT_FROM = 4
"""Splits needed to fit a time shift beside v and tau."""

_START_TAUS = np.array([0.3, 0.5, 0.75, 1.0, 1.4, 2.0, 3.0])
_START_SHIFTS = np.array([0.05, 0.2, 0.35, 0.5])
_FIT_STEPS = 200
_ROOT_STEPS = 100


class ClockStart(StrEnum):
    """What starts the clock of a split time."""

    FIRST_MOVEMENT = "first-movement"
    GATE = "gate"
    GUN = "gun"
    HAND_RELEASE = "hand-release"
    FOOT_RELEASE = "foot-release"


_LATE_STARTS = (ClockStart.GATE, ClockStart.FOOT_RELEASE)
"""The body is well under way when these start the clock, and how far differs from run to run."""


class ShiftBasis(StrEnum):
    """Where the time shift of a fit comes from."""

    NONE = "none"
    FITTED = "fitted"
    ASSUMED = "assumed"
    GIVEN = "given"


@dataclass(frozen=True, slots=True, kw_only=True)
class SprintFit:
    """The sprint that split times tell of.

    Parameters
    ----------
    top_speed_mps, top_speed_sd_mps
        Asymptotic speed and its SD [m/s].
    time_constant_s, time_constant_sd_s
        Time constant and its SD [s].
    correlation
        Correlation of the errors of both [1].
    time_shift_s, shift_basis
        What was added to the measured times to count from first movement [s], and why.
    residual_s
        Root mean square of what the fit misses [s]; 0 for two splits.
    """

    top_speed_mps: float
    time_constant_s: float
    time_shift_s: float
    residual_s: float
    top_speed_sd_mps: float
    time_constant_sd_s: float
    correlation: float
    shift_basis: ShiftBasis


def _times(
    distances: Array, speed: Array | float, tau: Array | float
) -> tuple[Array, Array, Array]:
    """Return (times, s, q): time [s] to each distance from rest, distance over v tau, share."""
    s = distances / (speed * tau)
    q = share_from_rest(s)
    return tau * (s + q), s, q


def _jacobian(s: Array, q: Array, tau: float, *, with_shift: bool) -> Array:
    """Return the derivatives of the measured times by ln v, ln tau and, if fitted, the shift."""
    columns = [-tau * s / q, tau * (s + q - s / q)]
    if with_shift:
        columns.append(-np.ones_like(s))
    return np.stack(columns, axis=1)


def _first_guess(distances: Array, times: Array, *, with_shift: bool) -> Array:
    """Return (ln v, ln tau[, shift]) of the best of a grid whose last split is met exactly."""
    shifts = _START_SHIFTS if with_shift else np.zeros(1)
    tau, shift = (part.reshape(-1, 1) for part in np.meshgrid(_START_TAUS, shifts))
    last = (times[-1] + shift) / tau
    speed = distances[-1] / (tau * distance_at_time(last))
    predicted, _, _ = _times(distances, speed, tau)
    best = int(np.argmin(((predicted - shift - times) ** 2).sum(axis=1)))
    start = [math.log(speed[best, 0]), math.log(tau[best, 0])]
    return np.array([*start, float(shift[best, 0])] if with_shift else start)


def _least_squares(distances: Array, times: Array, *, with_shift: bool) -> Array | None:
    """Return (v, tau, shift) of the least squared misses in time, None when they run away.

    Levenberg-Marquardt on ln v and ln tau, so that both stay positive.
    """
    theta = _first_guess(distances, times, with_shift=with_shift)

    def misses(at: Array) -> tuple[Array, Array]:
        tau = math.exp(at[1])
        predicted, s, q = _times(distances, math.exp(at[0]), tau)
        shift = at[2] if with_shift else 0.0
        return predicted - shift - times, _jacobian(s, q, tau, with_shift=with_shift)

    miss, jacobian = misses(theta)
    cost, damping = float(miss @ miss), 1e-3
    for _ in range(_FIT_STEPS):
        normal = jacobian.T @ jacobian
        lifted = normal + damping * np.diag(np.diag(normal))
        step = np.linalg.solve(lifted, -jacobian.T @ miss)
        trial = theta + np.clip(step, -1.0, 1.0)
        if abs(trial[0]) > 5.0 or abs(trial[1]) > 5.0:
            return None
        new_miss, new_jacobian = misses(trial)
        new_cost = float(new_miss @ new_miss)
        if new_cost <= cost:
            theta, miss, jacobian, cost = trial, new_miss, new_jacobian, new_cost
            damping = max(damping / 10.0, 1e-15)
        else:
            damping *= 10.0
        if np.max(np.abs(step)) < 1e-12 or damping > 1e12:
            break
    return np.array([math.exp(theta[0]), math.exp(theta[1]), theta[2] if with_shift else 0.0])


def _checked_splits(distances_m: Sequence[float], times_s: Sequence[float]) -> tuple[Array, Array]:
    distances = np.asarray(distances_m, dtype=np.float64)
    times = np.asarray(times_s, dtype=np.float64)
    if distances.ndim != 1 or distances.shape != times.shape:
        message = (
            f"splits need one time for each distance, got {distances.size} distances "
            f"and {times.size} times"
        )
        raise DomainError(message)
    if distances.size < 2:
        message = f"splits need at least two distances, got {distances.size}"
        raise DomainError(message)
    for values, what, unit in ((distances, "distance", "m"), (times, "time", "s")):
        good = np.isfinite(values) & (values > 0.0)
        if not good.all():
            bad = values[~good][0]
            message = f"split {what} is {bad:g} {unit}; it must be above 0 {unit}"
            raise DomainError(message)
        if not (np.diff(values) > 0.0).all():
            at = int(np.argmin(np.diff(values) > 0.0))
            message = (
                f"split {what}s must rise: {values[at + 1]:g} {unit} "
                f"comes after {values[at]:g} {unit}"
            )
            raise DomainError(message)
    return distances, times


def _known_shift(
    start: ClockStart, reaction_s: float | None, judgement: Judgement
) -> tuple[float, float, ShiftBasis]:
    """Return (shift, its SD, basis) to add to measured times when it is not fitted [s]."""
    reaction, reaction_sd = float(judgement.reaction_s), float(judgement.reaction_sd_s)
    late_sd = float(judgement.gate_shift_sd_s)
    match start:
        case ClockStart.FIRST_MOVEMENT:
            return 0.0, 0.0, ShiftBasis.NONE
        case ClockStart.GATE:
            return float(GATE_SHIFT_S), late_sd, ShiftBasis.ASSUMED
        case ClockStart.HAND_RELEASE:
            return HAND_RELEASE_TO_GUN_S - reaction, reaction_sd, ShiftBasis.ASSUMED
        case ClockStart.FOOT_RELEASE:
            return FOOT_RELEASE_TO_GUN_S - reaction, late_sd, ShiftBasis.ASSUMED
        case ClockStart.GUN if reaction_s is None:
            return -reaction, reaction_sd, ShiftBasis.ASSUMED
        case ClockStart.GUN:
            return -reaction_s, 0.0, ShiftBasis.GIVEN


def _refuse_two_splits(distances: Array, times: Array) -> None:
    """Refuse two splits that no run from standing can have made."""
    ratio_d = float(distances[1] / distances[0])
    ratio_t = float(times[1] / times[0])
    if not math.sqrt(ratio_d) < ratio_t < ratio_d:
        message = (
            f"splits {distances[0]:g} m in {times[0]:.2f} s and {distances[1]:g} m in "
            f"{times[1]:.2f} s from first movement fit no sprint from standing: the second "
            f"time is {ratio_t:.3f} times the first; it must lie between "
            f"{math.sqrt(ratio_d):.3f} and {ratio_d:.3f} times; check what started the clock"
        )
        raise DomainError(message)


def fit_splits(
    distances_m: Sequence[float],
    times_s: Sequence[float],
    start: ClockStart | str = ClockStart.FIRST_MOVEMENT,
    reaction_s: float | None = None,
    *,
    judgement: Judgement = DEFAULTS,
) -> SprintFit:
    """Fit the sprint model to split times, with time as the outcome on distance.

    Parameters
    ----------
    distances_m, times_s : sequences, shape (n,)
        Splits from the start [m], [s], both rising; two or more.
    start
        What started the clock. `first-movement`: as it is. `gate` and `foot-release`: with four
        or more splits a time shift is fitted, otherwise 0.3 s or 0.69 s less the reaction time
        are added. `hand-release`: 0.17 s less the reaction time are added. `gun`: the reaction
        time is taken off.
    reaction_s
        Reaction time [s], 0 to 0.5, `gun` only; None takes the judged one.
    judgement
        Supplies the assumed reaction time and the errors.

    Returns
    -------
    SprintFit
        With SDs from the misses (a gate's error at least) and from an assumed shift.

    Raises
    ------
    DomainError
        When the splits are not rising positive numbers, when two of them have no solution
        (it needs sqrt(D) < t2/t1 < D, with D = d2/d1), or when the fit is no sprint.

    References
    ----------
    Jovanovic & Vescovi 2022 (short-sprint modelling); the 0.3 s: Jovanovic, corrections in
    sprint modelling. Gun, hand and foot: Haugen, Tonnessen & Seiler 2012, J Strength Cond Res
    26:473, against a block start to the gun, which has a reaction time in it.
    """
    try:
        clock = ClockStart(start)
    except ValueError:
        known = ", ".join(kind.value for kind in ClockStart)
        message = f"clock start {start!r} is not known; it must be one of {known}"
        raise DomainError(message) from None
    if reaction_s is not None:
        if clock is not ClockStart.GUN:
            message = f"a reaction time goes with a gun only, the clock start is {clock.value}"
            raise DomainError(message)
        if not 0.0 <= reaction_s <= 0.5:
            message = f"reaction time is {reaction_s:g} s; it must lie between 0 and 0.5 s"
            raise DomainError(message)
    distances, times = _checked_splits(distances_m, times_s)

    if clock in _LATE_STARTS and distances.size >= FIT_SHIFT_FROM:
        fitted = _least_squares(distances, times, with_shift=True)
        if fitted is not None and _is_sprint(fitted):
            return _described(
                fitted,
                (distances, times),
                shift_sd=0.0,
                basis=ShiftBasis.FITTED,
                judgement=judgement,
            )
    shift, shift_sd, basis = _known_shift(clock, reaction_s, judgement)
    moved = times + shift
    if moved[0] <= 0.0:
        message = (
            f"the first split of {times[0]:g} s is no longer than the reaction time of "
            f"{-shift:g} s taken off it; check what started the clock"
        )
        raise DomainError(message)
    if distances.size == 2:
        _refuse_two_splits(distances, moved)
    fitted = _least_squares(distances, moved, with_shift=False)
    if fitted is None or not _is_sprint(fitted):
        what = "run away" if fitted is None else f"give {fitted[0]:.2f} m/s and {fitted[1]:.2f} s"
        message = (
            f"the splits fit no sprint from standing: top speed and time constant {what}; "
            f"they must lie between {FIT_SPEED_MPS[0]:g} and {FIT_SPEED_MPS[1]:g} m/s and between "
            f"{FIT_TIME_CONSTANT_S[0]:g} and {FIT_TIME_CONSTANT_S[1]:g} s; check what started "
            "the clock"
        )
        raise DomainError(message)
    fitted[2] = shift
    return _described(
        fitted, (distances, times), shift_sd=shift_sd, basis=basis, judgement=judgement
    )


def _is_sprint(fitted: Array) -> bool:
    speed, tau, shift = fitted
    return bool(
        FIT_SPEED_MPS[0] <= speed <= FIT_SPEED_MPS[1]
        and FIT_TIME_CONSTANT_S[0] <= tau <= FIT_TIME_CONSTANT_S[1]
        and FIT_SHIFT_S[0] <= shift <= FIT_SHIFT_S[1]
    )


def _described(
    fitted: Array,
    splits: tuple[Array, Array],
    *,
    shift_sd: float,
    basis: ShiftBasis,
    judgement: Judgement,
) -> SprintFit:
    """Return the fit with its misses and errors."""
    distances, times = splits
    with_shift = basis is ShiftBasis.FITTED
    speed, tau, shift = (float(part) for part in fitted)
    predicted, s, q = _times(distances, speed, tau)
    miss = predicted - shift - times
    jacobian = _jacobian(s, q, tau, with_shift=with_shift)
    # few splits can meet a fit by chance: their misses never count as less than a gate's error
    free = distances.size - jacobian.shape[1]
    scatter = math.sqrt(float(miss @ miss) / free) if free > 0 else 0.0
    sigma = max(scatter, float(judgement.gate_sd_s))
    inverse = np.linalg.pinv(jacobian)
    covariance = sigma**2 * (inverse @ inverse.T)
    if shift_sd > 0.0:
        # an assumed shift errs by the same amount at every split
        moved = inverse @ np.full(distances.size, shift_sd)
        covariance = covariance + np.outer(moved, moved)
    sd = np.sqrt(np.diag(covariance))
    return SprintFit(
        top_speed_mps=speed,
        time_constant_s=tau,
        time_shift_s=shift,
        residual_s=math.sqrt(float(miss @ miss) / distances.size),
        top_speed_sd_mps=float(speed * sd[0]),
        time_constant_sd_s=float(tau * sd[1]),
        correlation=float(covariance[0, 1] / (sd[0] * sd[1])),
        shift_basis=basis,
    )


def _falling_root(miss: Callable[[float], tuple[float, float]], low: float, high: float) -> float:
    """Return the root of a falling function between `low` and `high`; `miss` gives value, slope.

    Newton's method from the low end, where these functions are steepest, kept inside the
    bracket by halving it.
    """
    at = low * 1.02
    for _ in range(_ROOT_STEPS):
        value, slope = miss(at)
        low, high = (at, high) if value > 0.0 else (low, at)
        proposed = at - value / slope if slope != 0.0 else low
        new = proposed if low < proposed < high else 0.5 * (low + high)
        if abs(new - at) <= 1e-14 * at:
            return new
        at = new
    return at


def _positive(value: float, what: str, unit: str, *, zero: bool = False) -> None:
    least = f"0 {unit} or more" if zero else f"above 0 {unit}"
    if not math.isfinite(value) or value < 0.0 or (value == 0.0 and not zero):
        message = f"{what} is {value:g} {unit}; it must be {least}"
        raise DomainError(message)


_HIGHEST_SPEED_MPS = 100.0
"""End of the bracket of a root; nothing near it is accepted further up."""


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
    _positive(distance_m, "zone", "m")
    _positive(time_s, "time over the zone", "s")
    _positive(run_on_m, "run-on", "m", zero=True)
    _positive(time_constant_s, "time constant", "s")

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

    mean = distance_m / time_s
    if not mean < _HIGHEST_SPEED_MPS or miss(_HIGHEST_SPEED_MPS)[0] > 0.0:
        message = (
            f"{distance_m:g} m in {time_s:g} s after a run-on of {run_on_m:g} m is "
            f"faster than anyone"
        )
        raise DomainError(message)
    return _falling_root(miss, mean, _HIGHEST_SPEED_MPS)


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
    _positive(speed_mps, "speed", "m/s")
    _positive(run_on_m, "run-on", "m")
    _positive(time_constant_s, "time constant", "s")

    def miss(top: float) -> tuple[float, float]:
        s = run_on_m / (top * time_constant_s)
        q = share_from_rest(s)
        # d(v q)/dv with dq/ds = (1 - q) / q
        return speed_mps - top * q, -(q - s * (1.0 - q) / q)

    if miss(_HIGHEST_SPEED_MPS)[0] > 0.0:
        message = f"{speed_mps:g} m/s after {run_on_m:g} m is faster than anyone"
        raise DomainError(message)
    return _falling_root(miss, speed_mps, _HIGHEST_SPEED_MPS)
