"""What given marks ask of a runner: speed, cadence and gap against the natural step."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.running.touchdowns import StartKind, initial_speed_mps
from wicketlay.sources import DEFAULTS, FOOT_AHEAD_M, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from wicketlay.running.athlete import Runner


@dataclass(frozen=True, slots=True, kw_only=True)
class Appraisal:
    """What `n` marks ask of one runner.

    Parameters
    ----------
    mark_ids
        The marks, in running order.
    along_m, speed_mps, time_s : array, shape (n,)
        Place from the first mark [m], speed there [m/s], time from the first mark [s].
    first_s
        Time from first movement to the first mark [s].
    gap_m, natural_gap_m, cadence_hz : array, shape (n - 1,)
        Gap before each mark but the first [m], the natural step there [m], and the cadence the
        gap asks for [steps/s].
    natural_cadence_hz
        The runner's natural cadence in this drill [steps/s].
    """

    mark_ids: tuple[str, ...]
    along_m: NDArray[np.float64]
    speed_mps: NDArray[np.float64]
    time_s: NDArray[np.float64]
    first_s: float
    gap_m: NDArray[np.float64]
    natural_gap_m: NDArray[np.float64]
    cadence_hz: NDArray[np.float64]
    natural_cadence_hz: float
    findings: tuple[Finding, ...]

    @property
    def excess_share(self) -> NDArray[np.float64]:
        """Each gap over the natural step, minus 1, shape (n - 1,)."""
        return self.natural_cadence_hz / self.cadence_hz - 1.0

    @property
    def worst_excess(self) -> float:
        """The gap farthest from natural, signed, 0 when there is no gap."""
        return max(self.excess_share.tolist(), key=abs, default=0.0)


@cache
def mark_ids(count: int) -> tuple[str, ...]:
    """Return what the first `count` wickets are called."""
    return tuple([f"w{i}" for i in range(1, count + 1)])


def appraise(
    runner: Runner,
    along_m: ArrayLike,
    *,
    run_on_m: float,
    speed_share: float,
    start: StartKind = StartKind.STANDING,
    judgement: Judgement = DEFAULTS,
) -> Appraisal:
    """Say what marks ask of `runner`, one step from each mark to the next.

    The body runs `FOOT_AHEAD_M` behind the toe that lands, so a mark at toe place p is passed at
    the time the body is at p - 0.31 m; this makes the cadence asked by a layout that follows the
    step equal to the cadence it was laid for.

    Parameters
    ----------
    along_m : array, shape (n,)
        Places of the marks [m], strictly increasing; any datum.
    run_on_m
        From the start mark to the first mark [m].
    speed_share
        What the run builds towards, as a share of top speed.

    Raises
    ------
    DomainError
        When places are not strictly increasing or the run-on is not beyond the first step.
    """
    places = np.asarray(along_m, dtype=np.float64)
    if places.ndim != 1 or places.size == 0 or not math.isfinite(sum(places.tolist())):
        raise DomainError("marks to appraise must be a list of finite distances, one at least")
    gaps = places[1:] - places[:-1]
    if min(gaps.tolist(), default=1.0) <= 0.0:
        raise DomainError(
            "marks to appraise must lie one after the other, each beyond the one before"
        )
    if not run_on_m > FOOT_AHEAD_M:
        raise DomainError(
            f"run-on is {run_on_m:.2f} m; it must be longer than {float(FOOT_AHEAD_M):.2f} m"
        )
    ids = mark_ids(places.size)
    curve = runner.curve(speed_share, initial_speed_mps(start, judgement))
    times, speeds = curve.passing(places + (run_on_m - float(FOOT_AHEAD_M) - float(places[0])))
    asked = 1.0 / (times[1:] - times[:-1])
    natural_hz = runner.gait.natural_cadence_hz(speed_share, judgement)
    natural = gaps * asked / natural_hz
    return Appraisal(
        mark_ids=ids,
        along_m=places,
        speed_mps=speeds,
        time_s=times - times[0],
        first_s=float(times[0]),
        gap_m=gaps,
        natural_gap_m=natural,
        cadence_hz=asked,
        natural_cadence_hz=natural_hz,
        findings=_limits(runner, ids, gaps, asked, natural_hz, judgement),
    )


def _limits(
    runner: Runner,
    ids: tuple[str, ...],
    gaps: NDArray[np.float64],
    asked: NDArray[np.float64],
    natural_hz: float,
    judgement: Judgement,
) -> tuple[Finding, ...]:
    """Hold gaps and cadence against the limits; only the worst of each kind is said."""
    if gaps.size == 0:
        return ()
    who = runner.athlete.name
    # The short side is judged by the cadence it asks for, natural step over gap, and told like
    # every other mismatch by how far the gap is from the natural step.
    rates = asked.tolist()
    slowest, fastest = min(rates), max(rates)
    sides = (
        (
            "gap-too-long",
            slowest,
            natural_hz / slowest,
            judgement.long_caution,
            judgement.long_stop,
        ),
        (
            "gap-too-short",
            fastest,
            fastest / natural_hz,
            judgement.short_caution,
            judgement.short_stop,
        ),
    )
    found = []
    for code, rate, ratio, caution, stop in sides:
        over = ratio - 1.0
        level = _level(over, caution, stop)
        if level:
            worst = rates.index(rate)
            limit = float(stop if level is Level.STOP else caution)
            short = code == "gap-too-short"
            found.append(
                Finding.of(
                    code,
                    level,
                    who,
                    ids[worst + 1],
                    gap_m=float(gaps[worst]),
                    natural_m=float(gaps[worst]) * rate / natural_hz,
                    **{"under_share" if short else "excess_share": _under(over) if short else over},
                    limit_share=_under(limit) if short else limit,
                )
            )
    top = runner.gait.top_cadence.value
    level = _level(fastest / top, judgement.cadence_caution, judgement.cadence_stop)
    if level:
        found.append(
            Finding.of(
                "cadence-over-top",
                level,
                who,
                asked_hz=fastest,
                top_hz=top,
                limit_hz=top
                * (judgement.cadence_stop if level is Level.STOP else judgement.cadence_caution),
            )
        )
    if fastest > judgement.cadence_caution_hz:
        found.append(
            Finding.caution(
                "cadence-high-for-anyone",
                who,
                asked_hz=fastest,
                limit_hz=float(judgement.cadence_caution_hz),
            )
        )
    return tuple(found)


_SLACK = 5e-4
"""A limit is passed when it is passed by more than can be shown (half a tenth of a per cent)."""


def _under(over: float) -> float:
    """Return how far a gap is under the natural step that is so far over it, as a share."""
    return over / (1.0 + over)


def _level(value: float, caution: float, stop: float) -> Level | None:
    if value > stop + _SLACK:
        return Level.STOP
    return Level.CAUTION if value > caution + _SLACK else None
