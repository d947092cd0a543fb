"""Top speed and time constant fitted to split times."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.running.clocks import LATE_STARTS, ClockStart, ShiftBasis, assumed_shift
from wicketlay.running.lambert import distance_at_time, share_from_rest
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FIT_SPEED_MPS = (1.0, 15.0)
FIT_TIME_CONSTANT_S = (0.2, 4.0)
"""A fit that leaves these is not a sprint from a standing start."""

FIT_SHIFT_S = (0.0, 0.8)
"""A fitted shift outside is noise; the assumed one is used instead."""

FIT_SHIFT_FROM = 4
"""Splits needed to fit a time shift beside v and tau."""

_START_TIME_CONSTANT_S = 1.0
_START_SHIFT_S = 0.3
"""Where a fit starts: a sprinter's tau, and the shift of a gate when one is fitted."""

_FIT_STEPS = 400


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

    @property
    def covariance(self) -> float:
        """What the errors of top speed and time constant have in common [m/s s]."""
        return self.correlation * self.top_speed_sd_mps * self.time_constant_sd_s


def times_and_slopes(
    distances_m: Array, speed_mps: float, tau_s: float, *, with_shift: bool = False
) -> tuple[Array, Array]:
    """Return the times [s] from rest to distances [m], and what they move by.

    Shapes are (n,) and (n, 2): by ln v and ln tau [s]. With a shift, which is taken off the times
    that are measured, there is a third column.
    """
    s = distances_m / (speed_mps * tau_s)
    q = share_from_rest(s)
    columns = [-tau_s * s / q, tau_s * (s + q - s / q)]
    if with_shift:
        columns.append(-np.ones_like(s))
    return tau_s * (s + q), np.stack(columns, axis=1)


def _first_guess(distances: Array, times: Array, *, with_shift: bool) -> Array:
    """Return (ln v, ln tau[, shift]) of a sprinter who meets the last split exactly."""
    tau, shift = _START_TIME_CONSTANT_S, _START_SHIFT_S if with_shift else 0.0
    speed = distances[-1] / (tau * distance_at_time(float(times[-1] + shift) / tau))
    return np.array([math.log(speed), math.log(tau), *([shift] if with_shift else [])])


def _least_squares(distances: Array, times: Array, *, with_shift: bool) -> Array | None:
    """Return (v, tau, shift) of the least squared misses in time, None when they run away.

    Levenberg-Marquardt on ln v and ln tau, so that both stay positive.
    """
    theta = _first_guess(distances, times, with_shift=with_shift)

    def misses(at: Array) -> tuple[Array, Array]:
        predicted, slopes = times_and_slopes(
            distances, math.exp(at[0]), math.exp(at[1]), with_shift=with_shift
        )
        shift = at[2] if with_shift else 0.0
        return predicted - shift - times, slopes

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


def checked_splits(distances_m: Sequence[float], times_s: Sequence[float]) -> tuple[Array, Array]:
    """Return splits as arrays, shape (n,) [m], [s].

    Raises
    ------
    DomainError
        Unless there are two or more, a time for each distance, all above 0 and both rising.
    """
    distances = np.asarray(distances_m, dtype=np.float64)
    times = np.asarray(times_s, dtype=np.float64)
    if distances.ndim != 1 or distances.shape != times.shape:
        raise DomainError(
            f"splits need one time for each distance, got {distances.size} distances "
            f"and {times.size} times"
        )
    if distances.size < 2:
        raise DomainError(f"splits need at least two distances, got {distances.size}")
    for values, what, unit in ((distances, "distance", "m"), (times, "time", "s")):
        good = np.isfinite(values) & (values > 0.0)
        if not good.all():
            bad = values[~good][0]
            raise DomainError(f"split {what} is {bad:g} {unit}; it must be above 0 {unit}")
        if not (np.diff(values) > 0.0).all():
            at = int(np.argmin(np.diff(values) > 0.0))
            raise DomainError(
                f"split {what}s must rise: {values[at + 1]:g} {unit} "
                f"comes after {values[at]:g} {unit}"
            )
    return distances, times


def _refuse_two_splits(distances: Array, times: Array) -> None:
    """Refuse two splits that no run from standing can have made."""
    ratio_d = float(distances[1] / distances[0])
    ratio_t = float(times[1] / times[0])
    if not math.sqrt(ratio_d) < ratio_t < ratio_d:
        raise DomainError(
            f"splits {distances[0]:g} m in {times[0]:.2f} s and {distances[1]:g} m in "
            f"{times[1]:.2f} s from first movement fit no sprint from standing: the second "
            f"time is {ratio_t:.3f} times the first; it must lie between "
            f"{math.sqrt(ratio_d):.3f} and {ratio_d:.3f} times; check what started the clock"
        )


def fit_splits(
    distances_m: Sequence[float],
    times_s: Sequence[float],
    start: ClockStart = ClockStart.FIRST_MOVEMENT,
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
    distances, times = checked_splits(distances_m, times_s)
    if start in LATE_STARTS and distances.size >= FIT_SHIFT_FROM:
        fitted = _least_squares(distances, times, with_shift=True)
        if fitted is not None and _is_sprint(fitted):
            return _described(
                fitted,
                (distances, times),
                shift_sd=0.0,
                basis=ShiftBasis.FITTED,
                judgement=judgement,
            )
    shift, shift_sd, basis = assumed_shift(start, reaction_s, judgement)
    moved = times + shift
    if moved[0] <= 0.0:
        raise DomainError(
            f"the first split of {times[0]:g} s is no longer than the reaction time of "
            f"{-shift:g} s taken off it; check what started the clock"
        )
    if distances.size == 2:
        _refuse_two_splits(distances, moved)
    fitted = _least_squares(distances, moved, with_shift=False)
    if fitted is None or not _is_sprint(fitted):
        what = "run away" if fitted is None else f"give {fitted[0]:.2f} m/s and {fitted[1]:.2f} s"
        raise DomainError(
            f"the splits fit no sprint from standing: top speed and time constant {what}; "
            f"they must lie between {FIT_SPEED_MPS[0]:g} and {FIT_SPEED_MPS[1]:g} m/s and between "
            f"{FIT_TIME_CONSTANT_S[0]:g} and {FIT_TIME_CONSTANT_S[1]:g} s; check what started "
            "the clock"
        )
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
    predicted, jacobian = times_and_slopes(distances, speed, tau, with_shift=with_shift)
    miss = predicted - shift - times
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
