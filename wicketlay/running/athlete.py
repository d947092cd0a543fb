"""One athlete: the facts a coach knows, and the runner that is made of them.

Facts become a runner in this order: tau, top speed from the best of what is known, what timed
runs add to it, the leg, the step at top speed, what counted steps add to it.
"""

from __future__ import annotations

import math
from dataclasses import field
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.running.at_board import AtBoard, at_board
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import (
    Athlete,
    ClockStart,
    FirstGuess,
    FlyingTime,
    Foot,
    Observation,
    SeenBy,
    Sex,
    Splits,
    Timing,
    is_child,
)
from wicketlay.running.fitting import FIT_SPEED_MPS, times_and_slopes
from wicketlay.running.followed import Followed, followed
from wicketlay.running.gait import (
    Gait,
    held_step_ratio,
    leg_length_m,
    leg_sd_m,
    prior_step,
)
from wicketlay.running.guess import cap_of, caution_far_over, frozen_guess, guessed_speed
from wicketlay.running.known_speeds import KnownSpeed, best_of, known_speeds, splits_of
from wicketlay.running.notebook import Notebook, NotEnoughKnown, refuse_impossible
from wicketlay.running.observed import (
    LEAST_SD,
    Evidence,
    by_day,
    cadence_evidence,
    combined,
    kept_evidence,
    speed_evidence,
    step_evidence,
    weight_in_day,
)
from wicketlay.running.sprint import SpeedCurve
from wicketlay.sources import (
    BETWEEN_DAY_STEP_SD,
    BETWEEN_DAY_STEP_SD_UNDER_18,
    DEFAULTS,
    DISAGREE_SDS,
    ONE_STEP_SHARE,
    STEP_SPEED_EXPONENT,
    USUAL_SHARE,
    Judgement,
)
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from wicketlay.findings import Finding, Value

RUNS = ("free runs", "runs over marks")
"""What days of timed runs are called where an estimate rests on them."""
NO_WEIGHT = 0.005
"""A basis that makes less of an estimate than half a percent is not named."""

__all__ = [
    "Athlete",
    "ClockStart",
    "FirstGuess",
    "FlyingTime",
    "Foot",
    "NotEnoughKnown",
    "Observation",
    "Runner",
    "SeenBy",
    "Sex",
    "Splits",
    "Timing",
    "make_runner",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Runner:
    """An athlete as the computation sees them.

    Parameters
    ----------
    top_speed
        Own top speed, flat out [m/s].
    zone_mean_mps
        Mean over the flying zone [m/s], None when the speed has another basis.
    time_constant
        Tau [s]. It moves the start mark, hardly the gaps.
    gait
        Leg, step and cadence at top speed.
    provisional
        True until there is one time: the speed comes from height and cadence.
    step_rests_on
        What the step at top speed rests on, each with its weight as a share.
    speed_rests_on
        What top speed rests on, with the day of each, where it has one, and its weight as a share.
    tau_share
        By how much top speed is off, as a share with its sign, when tau is off by one SD.
    told_speed
        Top speed that all runs together tell of, before the caps on what marks are laid by
        [m/s]; None when it is `top_speed`.
    capped
        Whether the last day tells of more than marks may open by at once.
    seen
        The cadence that was seen of the athlete; None when none was.
    seen_teaches
        What it gave: "speed" where top speed is guessed from it, else "step"; "" for nothing.
    at_board
        Where the foot comes down at the board; None while no miss is known.
    defaults
        What was assumed, by fact; keys end in their unit.
    """

    athlete: Athlete
    top_speed: Estimate
    zone_mean_mps: float | None
    time_constant: Estimate
    gait: Gait
    provisional: bool
    step_rests_on: tuple[tuple[str, float], ...] = ()
    speed_rests_on: tuple[tuple[str, date | None, float], ...] = ()
    tau_share: float = 0.0
    told_speed: Estimate | None = None
    capped: bool = False
    seen: FirstGuess | None = None
    seen_teaches: str = ""
    at_board: AtBoard | None = None
    findings: tuple[Finding, ...] = ()
    defaults: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))

    def curve(self, share: float = 1.0, initial_speed_mps: float = 0.0) -> SpeedCurve:
        """Return the run that builds towards `share` of top speed, with the athlete's tau.

        Raises
        ------
        DomainError
            When the run comes in as fast as it should become.
        """
        built_to = share * self.top_speed.value
        if initial_speed_mps >= built_to:
            raise DomainError(
                f"the run comes in at {initial_speed_mps:g} m/s and builds towards "
                f"{built_to:.2f} m/s; start slower or standing, or ask for more speed"
            )
        return SpeedCurve(built_to, self.time_constant.value, initial_speed_mps)

    def time_to(self, to_m: float) -> Estimate:
        """Return the time [s] flat out from standing to `to_m` [m], from first movement.

        Top speed and tau err together, by `tau_share`: in splits a faster top goes with a longer
        tau, and most of that is left out of the time.

        References
        ----------
        Propagation to the first order with the covariance: JCGM 100:2008 (GUM), 5.2.2.
        """
        top, tau = self.top_speed, self.time_constant
        times, slopes = times_and_slopes(np.array([to_m]), top.value, tau.value)
        by_speed, by_tau = slopes[0]
        alone = math.sqrt(max(top.relative_sd**2 - self.tau_share**2, 0.0))
        sd = math.hypot(by_speed * self.tau_share + by_tau * tau.relative_sd, by_speed * alone)
        return Estimate(value=float(times[0]), sd=sd, basis=tau.basis)

    def free_step_m(self, speed_mps: float) -> float:
        """Return the step [m] of free running held at a speed [m/s]; see `held_step_ratio`."""
        share = speed_mps / self.top_speed.value
        return self.gait.top_step.value * held_step_ratio(share) if share > 0.0 else 0.0


def make_runner(
    athlete: Athlete,
    *,
    cadence_hz: float | None = None,
    speed_share: float = USUAL_SHARE,
    today: date | None = None,
    judgement: Judgement = DEFAULTS,
) -> Runner:
    """Make the runner of an athlete's facts.

    Top speed comes from splits, else a flying time, else as given, else observed runs, else
    height and cadence seen; observed runs then sharpen it, those over marks with the caps of
    `wicketlay.running.followed`. Its SD is: for splits that of the fit, for
    a flying time that of the timing over the root of the runs and of tau, each with the
    variation between days; as given by the coach, or 2 %; 8.4 % from height and cadence. A
    cadence that was seen and did not give the speed whole is evidence of the step.

    Parameters
    ----------
    cadence_hz
        The drill's absolute cadence [steps/s], if it has one: with nothing but height known,
        top speed is guessed from it, unless the athlete's own `first_guess` says from what.
    speed_share
        The drill's speed share, for that guess.
    today
        From when ages count; None uses the age as given.

    Returns
    -------
    Runner
        With findings worth a coach's eye.

    Raises
    ------
    NotEnoughKnown
        When no top speed can be known, or it is faster than anyone; `finding` is a stop.
    """
    book = Notebook(athlete)
    fitted, tau = splits_of(athlete, judgement, book)
    age = athlete.age_on(today)
    child = is_child(age)
    growth = float(judgement.growth_sd_per_month) if child else 0.0

    leg = _leg(athlete, age, judgement, book)
    known = known_speeds(athlete, fitted, tau, judgement)
    timed = _speed_evidence(athlete, tau, judgement, book)
    # A speed drifts from day to day as it is followed; that time goes by moves no mark.
    days = by_day(
        timed,
        between_days=float(judgement.between_day_speed_sd),
        growth_per_month=0.0,
        today=None,
    )
    best = best_of(known, book) if known else None
    provisional = best is None and not days
    if best is not None:
        caution_far_over(cap_of(athlete, age), best.estimate, book)
    followed_speed: Followed | None = None
    seen, teaches_step = athlete.first_guess, athlete.first_guess is not None
    if provisional:
        guess = guessed_speed(
            athlete,
            leg,
            cadence_hz,
            speed_share,
            age_years=age,
            judgement=judgement,
            book=book,
        )
        # a cadence that gave the speed whole is used up by it
        top_speed, seen, teaches_step = guess.speed, guess.seen, guess.capped
        speed_rests_on = _speed_rests_on(guess.speed, None, (), (), (1.0,))
    else:
        base = best.estimate if best else None
        if base is None and all(run.over_marks for run in timed):
            base = frozen_guess(athlete, leg, age, judgement)
        if base is not None:
            book.compare("timed-runs-disagree", "mps", base, days)
        measured = best.measured if best else None
        followed_speed = followed(
            base,
            days,
            timed,
            guessed=best is None,
            base_date=measured,
            # what a fit has in common with its own tau no later run meets again
            base_tau_share=best.tau_share if best and fitted is None else 0.0,
            judgement=judgement,
        )
        top_speed = followed_speed.laid
        speed_rests_on = _speed_rests_on(base, measured, days, timed, followed_speed.weights)
    refuse_impossible(top_speed.value, top_speed.basis, book)

    prior = prior_step(
        leg, top_speed.value, measured=athlete.leg_m is not None, judgement=judgement
    )
    expected = prior
    counts = [("leg", prior)]
    if seen is not None and teaches_step:
        expected = _with_cadence(prior, seen, top_speed, judgement, book)
        counts.append(("cadence seen", expected))
    if provisional:
        # the guess takes v / cadence for the step, so the whole error of v is in it
        basis = f"{top_speed.basis}, cadence seen" if teaches_step else top_speed.basis
        expected = Estimate(
            value=expected.value, sd=expected.value * top_speed.relative_sd, basis=basis
        )
        counts = [("the guess", expected)]
    if athlete.kept_step_m is not None:
        kept = combined(expected, [kept_evidence(athlete.kept_step_m, judgement)], seen_as="gaps")
        expected = replace(kept, basis=f"{expected.basis}, gaps kept")
        counts.append(("gaps kept", expected))
    steps = by_day(
        _step_evidence(athlete, top_speed.value, tau, judgement, book),
        between_days=float(BETWEEN_DAY_STEP_SD_UNDER_18 if child else BETWEEN_DAY_STEP_SD),
        growth_per_month=growth,
        today=today,
    )
    book.compare("counted-steps-disagree", "m", expected if provisional else prior, steps)
    step = combined(expected, steps, seen_as="counted steps")
    counts.append((f"free runs of {len(steps)} day{'' if len(steps) == 1 else 's'}", step))
    cadence = top_speed.value / step.value
    return Runner(
        athlete=athlete,
        top_speed=top_speed,
        zone_mean_mps=best.zone_mean_mps if best else None,
        time_constant=tau,
        gait=Gait(
            leg=leg,
            top_step=step,
            top_cadence=Estimate(
                value=cadence,
                sd=cadence * step.relative_sd,
                basis=f"top speed over step: {step.basis}",
            ),
        ),
        step_rests_on=_weights(counts),
        speed_rests_on=speed_rests_on,
        tau_share=_tau_share(followed_speed, best, days),
        provisional=provisional,
        told_speed=followed_speed.beyond if followed_speed else None,
        capped=followed_speed is not None and followed_speed.capped,
        seen=seen,
        seen_teaches="" if seen is None else "step" if teaches_step else "speed",
        at_board=at_board(athlete.at_board, judgement, today=today),
        findings=tuple(book.findings),
        defaults=MappingProxyType(book.defaults),
    )


def _speed_rests_on(
    base: Estimate | None,
    measured: date | None,
    days: Sequence[Evidence],
    runs: Sequence[Evidence],
    weights: Sequence[float],
) -> tuple[tuple[str, date | None, float], ...]:
    """Return base and days, what each is called, when it was, and its weight in top speed.

    A day of both kinds of run is told as two, its weight shared out as its runs weigh.
    """
    # along a trend old days count the other way: they too move what is told
    moves = [abs(each) for each in weights]
    whole = [each / sum(moves) for each in moves]
    told = [] if base is None else [(base.basis, measured, whole.pop(0))]
    for day, share in zip(days, whole, strict=True):
        kinds = dict.fromkeys(RUNS, 0.0)
        for run in runs:
            if run.date == day.date:
                kinds[RUNS[run.over_marks]] += weight_in_day(run)
        all_runs = sum(kinds.values())
        told += [
            (what, day.date, share * part / all_runs) for what, part in kinds.items() if part > 0.0
        ]
    return tuple(told)


def _tau_share(made: Followed | None, best: KnownSpeed | None, days: Sequence[Evidence]) -> float:
    """Return by how much top speed is off when tau is off by one SD, as a share."""
    if made is None:
        return 0.0
    shares = [each.tau_share for each in days]
    if len(made.weights) > len(days):
        shares.insert(0, best.tau_share if best else 0.0)
    return sum(w * each for w, each in zip(made.weights, shares, strict=True))


def _weights(counts: list[tuple[str, Estimate]]) -> tuple[tuple[str, float], ...]:
    """Return the share of the last estimate that each basis makes, those that make none left out.

    `counts` is the estimate as it stood after each; by inverse variance, what one adds to
    1 / SD^2 is its weight.
    """
    sure = [max(each.relative_sd, LEAST_SD) ** -2 for _, each in counts]
    found, before = [], 0.0
    for (what, _), now in zip(counts, sure, strict=True):
        share = (now - before) / sure[-1]
        if share > NO_WEIGHT:
            found.append((what, share))
        before = now
    return tuple(found)


def _with_cadence(
    prior: Estimate, seen: FirstGuess, speed: Estimate, judgement: Judgement, book: Notebook
) -> Estimate:
    """Return the step that leg and speed let expect together with the one the cadence tells of.

    Step seen is speed over cadence, and the one expected grows with speed^0.45: what is left of
    the error of the speed between the two counts when they are compared.
    """
    evidence = cadence_evidence(seen, speed.value, judgement)
    both = combined(prior, [evidence], seen_as="cadence")
    step = Estimate(value=both.value, sd=both.sd, basis=f"{prior.basis}, cadence seen")
    values: dict[str, Value] = {
        "cadence_hz": seen.cadence_hz,
        "speed_share": seen.speed_share,
        "seen_m": evidence.value,
        "known_m": prior.value,
        "step_m": step.value,
    }
    error = math.hypot(
        prior.relative_sd,
        evidence.relative_sd,
        float(1.0 - STEP_SPEED_EXPONENT) * speed.relative_sd,
    )
    apart = abs(math.log(evidence.value / prior.value))
    sds = apart / error
    if sds > DISAGREE_SDS:
        book.caution("cadence-seen-disagrees", **values, sds=f"{sds:.1f}")
    elif apart > ONE_STEP_SHARE:
        book.note("cadence-seen", **values)
    return step


def _leg(athlete: Athlete, age: float | None, judgement: Judgement, book: Notebook) -> Estimate:
    if athlete.leg_m is not None:
        return Estimate(
            value=athlete.leg_m, sd=float(judgement.leg_tape_sd_m), basis="leg measured"
        )
    leg = leg_length_m(athlete.height_m, athlete.sex, age, judgement=judgement)
    book.defaults["leg_m"] = leg
    return Estimate(
        value=leg, sd=leg_sd_m(athlete.height_m, athlete.sex, age), basis="leg from height"
    )


def _same_run(seen: Observation, flying: FlyingTime | None) -> bool:
    """Return whether an observation is the flying time again: its speed must not count twice."""
    return (
        flying is not None
        and flying.date == seen.date
        and (flying.distance_m, flying.time_s) == (seen.distance_m, seen.time_s)
    )


def _speed_evidence(
    athlete: Athlete, tau: Estimate, judgement: Judgement, book: Notebook
) -> list[Evidence]:
    found = []
    for seen in athlete.observations:
        if _same_run(seen, athlete.flying):
            continue
        try:
            evidence = speed_evidence(seen, tau, judgement)
        except DomainError as refused:
            book.caution("timed-run-unusable", day=seen.date.isoformat(), reason=str(refused))
            continue
        if evidence is None:
            continue
        if not FIT_SPEED_MPS[0] <= evidence.value <= FIT_SPEED_MPS[1]:
            reason = (
                f"it tells of a top speed of {evidence.value:.1f} m/s; "
                f"it must lie between {FIT_SPEED_MPS[0]:g} and {FIT_SPEED_MPS[1]:g} m/s"
            )
            book.caution("timed-run-unusable", day=seen.date.isoformat(), reason=reason)
            continue
        found.append(evidence)
    return found


def _step_evidence(
    athlete: Athlete, top_speed_mps: float, tau: Estimate, judgement: Judgement, book: Notebook
) -> list[Evidence]:
    if any(seen.over_marks and seen.steps is not None for seen in athlete.observations):
        book.note("steps-over-marks")
    found = (step_evidence(seen, top_speed_mps, tau, judgement) for seen in athlete.observations)
    return [each for each in found if each is not None]
