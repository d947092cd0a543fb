"""What observed runs teach: the step at top speed from counts, top speed from times.

Readings of one day are combined first, so that ten runs of one good day do not count as ten
days; then the days, in log space by inverse variance, each with the variation between days.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from wicketlay.running.air import still_air_mps
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import Observation, SeenBy, Timing, months_between
from wicketlay.running.gait import drill_cadence_ratio, held_step_ratio
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.top_speed import top_speed_from_flying, top_speed_from_speed_at
from wicketlay.sources import HELD_STEP_EXPONENT, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from wicketlay.running.facts import FirstGuess

LEAST_SD = 1e-4
"""No evidence is surer than this share: keeps the weights finite whatever the judgement says."""

_LEAST_TIME_CONSTANT_S = 0.1
_NO_DAY = date.min
"""Of evidence whose day was not written down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One day's or one run's word on a value: the value and its SD as a share.

    Parameters
    ----------
    relative_sd
        Its whole error.
    effort_sd
        What of that is not knowing how hard it was run; the same for all runs of a day.
    effort_asked
        True when nobody told how hard it was, and what was asked stands for it.
    tau_share
        By how much one SD of tau moves the value, as a share with its sign. It is in
        `relative_sd`, and is the same error in all runs: many days do not average it out.
    """

    date: date
    value: float
    relative_sd: float
    effort_sd: float = 0.0
    effort_asked: bool = False
    tau_share: float = 0.0
    over_marks: bool = False

    @property
    def own_variance(self) -> float:
        """Its variance without what it shares with other days."""
        return max(self.relative_sd**2 - self.tau_share**2, LEAST_SD**2)


def timing_sd_s(timing: Timing, judgement: Judgement, fps: float | None = None) -> float:
    """Return one SD [s] of a time taken that way.

    It is the error of a time from end to end, so both presses, beams or frames are in it: a hand
    of 0.1 s is 0.07 s a press, a video frame is the error of two frames read to half a frame.

    Parameters
    ----------
    fps
        Frames a second of the video, if known; None takes the judged frame.
    """
    if timing is Timing.VIDEO and fps is not None:
        return 1.0 / fps
    return {
        Timing.HAND: float(judgement.hand_sd_s),
        Timing.GATES: float(judgement.gate_sd_s),
        Timing.VIDEO: float(judgement.video_frame_s),
    }[timing]


def time_sd_s(seen: Observation, judgement: Judgement) -> float:
    """Return one SD [s] of the mean time of an observation's runs.

    A clock that is sure of each time does not make the mean of runs that lie far apart any surer:
    the larger of the two errors counts, over the root of the number of runs.
    """
    one = max(timing_sd_s(seen.timing, judgement, seen.fps), seen.spread_s or 0.0)
    return one / math.sqrt(seen.runs)


def wind_sd(timing: Timing, wind_mps: float | None, judgement: Judgement) -> float:
    """Return the error of a gate time, as a share, when nobody read the wind; else 0.

    It is the same for all runs of a day; other clocks err by far more.
    """
    unread = wind_mps is None and timing is Timing.GATES
    return float(judgement.unknown_wind_sd) if unread else 0.0


def tau_effect(of_tau: Callable[[float], float], tau: Estimate) -> float:
    """Return by how much one SD more of tau moves a value worked out with it, with its sign."""
    low = max(tau.value - tau.sd, _LEAST_TIME_CONSTANT_S)
    return (of_tau(tau.value + tau.sd) - of_tau(low)) / 2.0


def step_evidence(
    seen: Observation, top_speed_mps: float, tau: Estimate, judgement: Judgement
) -> Evidence | None:
    """Return the step at top speed [m] that one run tells of; None when it tells of none.

    A run held at share s is carried by s^-0.12; one that was still building by 1 / q, with q
    the mean share of the speed built towards, from V(t).
    """
    step = seen.observed_step_m
    if step is None or seen.over_marks:
        return None
    if seen.steps is not None:
        errors = [float(judgement.step_count_sd) / seen.steps]
    elif (counted := seen.counted_cadence) is not None and seen.time_s is not None:
        errors = [counted.relative_sd, time_sd_s(seen, judgement) / seen.time_s]
    else:
        errors = [float(judgement.step_reading_sd)]
    share = 1.0 if seen.held_share is None else seen.held_share
    if seen.held_share is not None:
        step /= held_step_ratio(share)
        errors += [
            float(judgement.held_exponent_sd) * abs(math.log(share)),
            float(HELD_STEP_EXPONENT * judgement.held_share_sd) / share,
        ]
    if seen.run_on_m is not None:

        def built(tau_s: float) -> float:
            return _built_share(seen, SpeedCurve(share * top_speed_mps, tau_s))

        q = built(tau.value)
        step /= q
        errors.append(tau_effect(built, tau) / q)
    return Evidence(date=seen.date, value=step, relative_sd=math.hypot(*errors))


def _built_share(seen: Observation, curve: SpeedCurve) -> float:
    """Return the mean share of the speed built towards, over the zone or at its one place."""
    run_on = seen.run_on_m or 0.0
    if seen.distance_m is None:
        # a step measured at one place; half a metre keeps it off the start itself
        return curve.share_at(max(run_on, 0.5))
    time = curve.time_at(run_on + seen.distance_m) - curve.time_at(run_on)
    return seen.distance_m / time / curve.top_speed_mps


def kept_evidence(step_m: float, judgement: Judgement) -> Evidence:
    """Return the step at top speed [m] that gaps a coach kept tell of; it has no day."""
    return Evidence(date=_NO_DAY, value=step_m, relative_sd=float(judgement.kept_gaps_sd))


def cadence_evidence(seen: FirstGuess, top_speed_mps: float, judgement: Judgement) -> Evidence:
    """Return the step at top speed [m] that a cadence seen tells of, v over the top cadence.

    Its error, by eye or from a video, has all in it: the day of it is not known.
    """
    sd = {SeenBy.EYE: judgement.cadence_by_eye_sd, SeenBy.VIDEO: judgement.cadence_by_video_sd}
    top_hz = seen.cadence_hz / drill_cadence_ratio(seen.speed_share, judgement)
    return Evidence(date=_NO_DAY, value=top_speed_mps / top_hz, relative_sd=float(sd[seen.by]))


def speed_evidence(seen: Observation, tau: Estimate, judgement: Judgement) -> Evidence | None:
    """Return the top speed [m/s] that one run tells of; None when it was not timed."""
    observed = seen.observed_speed_mps
    if observed is None:
        return None
    observed = still_air_mps(observed, seen.wind_mps or 0.0, seen.altitude_m or 0.0)
    if seen.time_s is not None:
        errors = [time_sd_s(seen, judgement) / seen.time_s]
    else:
        errors = [float(judgement.top_speed_sd)]
    errors.append(wind_sd(seen.timing, seen.wind_mps, judgement))
    share, effort_sd = 1.0, 0.0
    if seen.held_share is not None:
        share = seen.held_share
        told = seen.over_marks and seen.asked_share is not None
        effort_sd = float(judgement.told_share_sd if told else judgement.held_share_sd) / share
    speed, tau_share = observed, 0.0
    if seen.run_on_m is not None:

        def asymptote(tau_s: float) -> float:
            return _asymptote_mps(seen, observed, tau_s)

        speed = asymptote(tau.value)
        tau_share = tau_effect(asymptote, tau) / speed
    return Evidence(
        date=seen.date,
        value=speed / share,
        relative_sd=math.hypot(effort_sd, tau_share, *errors),
        effort_sd=effort_sd,
        effort_asked=seen.effort_asked,
        tau_share=tau_share,
        over_marks=seen.over_marks,
    )


def _asymptote_mps(seen: Observation, observed_mps: float, tau_s: float) -> float:
    run_on = seen.run_on_m or 0.0
    if seen.distance_m is not None and seen.time_s is not None:
        still_s = seen.distance_m / observed_mps
        return top_speed_from_flying(seen.distance_m, still_s, run_on, tau_s)
    return top_speed_from_speed_at(observed_mps, max(run_on, 0.5), tau_s)


def by_day(
    evidence: Iterable[Evidence],
    *,
    between_days: float,
    growth_per_month: float,
    today: date | None,
) -> tuple[Evidence, ...]:
    """Return the evidence of each day, in order of date.

    Parameters
    ----------
    evidence
        Single runs, each with its reading error.
    between_days
        Variation of the value from day to day, as a share; joins the day's reading error.
    growth_per_month
        Added to a day's SD for each month of its age: 0 for adults.
    today
        From when the age counts; None counts from the newest day.
    """
    days: dict[date, list[Evidence]] = {}
    for each in evidence:
        days.setdefault(each.date, []).append(each)
    combined = []
    for day, runs in sorted(days.items()):
        alone = [_alone(run) for run in runs]
        mean, sd = _weighted(alone)
        tau_share = sum(each.tau_share * (sd / each.relative_sd) ** 2 for each in alone)
        age = months_between(day, today or max(days))
        effort_sd = max(run.effort_sd for run in runs)
        combined.append(
            Evidence(
                date=day,
                value=mean,
                relative_sd=math.hypot(sd, between_days, effort_sd, tau_share)
                + growth_per_month * age,
                effort_sd=effort_sd,
                tau_share=tau_share,
                effort_asked=any(run.effort_asked for run in runs),
            )
        )
    return tuple(combined)


def weight_in_day(run: Evidence) -> float:
    """Return how much a run weighs among all of its day: what they share sets none above others."""
    return _alone(run).relative_sd ** -2


def _alone(run: Evidence) -> Evidence:
    """Return a run with the error that it does not share with others of its day."""
    rest = run.relative_sd**2 - run.effort_sd**2 - run.tau_share**2
    return replace(run, relative_sd=max(math.sqrt(max(rest, 0.0)), LEAST_SD))


def _weighted(evidence: Sequence[Evidence]) -> tuple[float, float]:
    """Return value and relative SD of the inverse-variance mean in log space."""
    weights = [max(each.relative_sd, LEAST_SD) ** -2 for each in evidence]
    total = sum(weights)
    mean = sum(w * math.log(r.value) for w, r in zip(weights, evidence, strict=True)) / total
    return math.exp(mean), total**-0.5


def combined(prior: Estimate | None, days: Sequence[Evidence], *, seen_as: str) -> Estimate:
    """Return prior and days as one estimate, in log space by inverse variance.

    Parameters
    ----------
    prior
        What was known before; None when the days are all there is.
    days
        One a day; may be empty only with a prior.
    seen_as
        What the days are called in the basis ("counted steps").
    """
    if not days and prior is not None:
        return prior
    told = f"{seen_as} of {len(days)} day{'' if len(days) == 1 else 's'}"
    weighed = list(days)
    if prior is not None:
        weighed.append(
            Evidence(date=days[0].date, value=prior.value, relative_sd=prior.relative_sd)
        )
        told = f"{prior.basis}, {told}"
    value, sd = _weighted(weighed)
    return Estimate(value=value, sd=value * sd, basis=told)


def apart(first: Estimate, second: Estimate) -> float:
    """Return how many SDs two estimates lie apart."""
    sd = math.hypot(first.sd, second.sd)
    return abs(first.value - second.value) / sd if sd > 0.0 else 0.0
