"""One athlete: the facts a coach knows, and the runner that is made of them.

Facts become a runner in this order: tau, top speed from the best of what is known, what timed
runs add to it, the leg, the step at top speed, what counted steps add to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import (
    FACT_RANGES,
    Athlete,
    ClockStart,
    FirstGuess,
    FlyingTime,
    Foot,
    Observation,
    Range,
    Sex,
    Splits,
    Timing,
    is_child,
)
from wicketlay.running.fitting import FIT_SPEED_MPS, fit_splits, top_speed_from_flying
from wicketlay.running.followed import followed
from wicketlay.running.gait import (
    Gait,
    drill_cadence_ratio,
    leg_length_m,
    leg_sd_m,
    prior_step,
    speed_for_top_cadence,
)
from wicketlay.running.observed import (
    Reading,
    apart,
    by_day,
    combined,
    half_spread,
    speed_reading,
    step_reading,
    timing_sd_s,
)
from wicketlay.running.sprint import SpeedCurve
from wicketlay.sources import BETWEEN_DAY_STEP_SD, DEFAULTS, LEVEL_CAPS, Judgement

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from wicketlay.findings import Value

__all__ = [
    "FACT_RANGES",
    "Athlete",
    "ClockStart",
    "FirstGuess",
    "FlyingTime",
    "Foot",
    "NotEnoughKnown",
    "Observation",
    "Range",
    "Runner",
    "Sex",
    "Splits",
    "Timing",
    "make_runner",
]

DISAGREE_SDS = 2.0
"""Two estimates farther apart than this many SDs are reported."""


class NotEnoughKnown(DomainError):  # noqa: N818 - it names the state of the record, not a fault
    """No runner can be made of the facts; `finding` says why, as a stop.

    Parameters
    ----------
    finding
        The reason.
    """

    def __init__(self, finding: Finding) -> None:
        values = ", ".join(
            f"{key} {value:.4g}" if isinstance(value, float) else f"{key} {value}"
            for key, value in finding.values.items()
        )
        what = f"{finding.athlete or 'the athlete'}: {finding.code.replace('-', ' ')}"
        super().__init__(f"{what} ({values})" if values else what)
        self.finding = finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Runner:
    """An athlete as the computation sees them.

    Parameters
    ----------
    athlete
        The facts.
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
    told_speed
        Top speed that all runs together tell of, before the caps on what marks are laid by
        [m/s]; None when it is `top_speed`.
    findings
        What the facts gave rise to.
    defaults
        What was assumed, by fact; keys end in their unit.
    """

    athlete: Athlete
    top_speed: Estimate
    zone_mean_mps: float | None
    time_constant: Estimate
    gait: Gait
    provisional: bool = False
    told_speed: Estimate | None = None
    findings: tuple[Finding, ...] = ()
    defaults: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))

    def curve(self, share: float = 1.0, initial_speed_mps: float = 0.0) -> SpeedCurve:
        """Return the run that builds towards `share` of top speed, with the athlete's tau."""
        return SpeedCurve(share * self.top_speed.value, self.time_constant.value, initial_speed_mps)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Speed:
    """Top speed on one basis; `kind` is the fact's name."""

    kind: str
    estimate: Estimate
    zone_mean_mps: float | None = None


class _Notebook:
    """Findings and defaults gathered while a runner is made."""

    def __init__(self, athlete: Athlete) -> None:
        self.athlete = athlete
        self.findings: list[Finding] = []
        self.defaults: dict[str, Value] = {}

    def finding(self, level: Level, code: str, /, **values: Value) -> Finding:
        return Finding(level=level, code=code, values=values, athlete=self.athlete.name)

    def caution(self, code: str, /, **values: Value) -> None:
        self.findings.append(self.finding(Level.CAUTION, code, **values))

    def note(self, code: str, /, **values: Value) -> None:
        self.findings.append(self.finding(Level.NOTE, code, **values))

    def stop(self, code: str, /, **values: Value) -> NotEnoughKnown:
        return NotEnoughKnown(self.finding(Level.STOP, code, **values))


def make_runner(
    athlete: Athlete,
    *,
    cadence_hz: float | None = None,
    speed_share: float = 0.95,
    today: date | None = None,
    judgement: Judgement = DEFAULTS,
) -> Runner:
    """Make the runner of an athlete's facts.

    Top speed comes from splits, else a flying time, else as given, else observed runs, else
    height and cadence; observed runs then sharpen it, those over marks with the caps of
    `wicketlay.running.followed`. Its SD is: for splits that of the fit, for
    a flying time that of the timing over the root of the runs and of tau, each with the
    variation between days; as given by the coach, or 2 %; 8.4 % from height and cadence.

    Parameters
    ----------
    athlete
        The facts.
    cadence_hz
        The drill's absolute cadence [steps/s], if it has one: with nothing but height known,
        top speed is guessed from it, unless the athlete's own `first_guess` says from what.
    speed_share
        The drill's speed share, for that guess.
    today
        From when ages count; None uses the age as given.
    judgement
        The judged constants.

    Returns
    -------
    Runner
        With findings worth a coach's eye.

    Raises
    ------
    NotEnoughKnown
        When no top speed can be known, or it is faster than anyone; `finding` is a stop.
    """
    book = _Notebook(athlete)
    fitted, tau = _splits(athlete, judgement, book)
    age = athlete.age_on(today)
    growth = float(judgement.growth_sd_per_month) if is_child(age) else 0.0

    leg = _leg(athlete, age, judgement, book)
    known = _known_speeds(athlete, fitted, tau, judgement)
    timed = _speed_readings(athlete, tau, judgement, book)
    days = by_day(
        timed,
        between_days=float(judgement.between_day_speed_sd),
        growth_per_month=growth,
        today=today,
    )
    best = _best_of(known, book) if known else None
    provisional = best is None and not days
    if best is not None and days:
        _compare("timed-runs-disagree", best.estimate, days, book)
    told: Estimate | None = None
    if provisional:
        top_speed = _guessed_speed(
            athlete, leg, cadence_hz, speed_share, judgement=judgement, book=book
        )
    else:
        base = best.estimate if best else None
        if base is None and all(run.over_marks for run in timed):
            base = _frozen_guess(athlete, leg, judgement)
        speeds = followed(
            base,
            days,
            timed,
            guessed=best is None,
            base_date=_measured_on(athlete, best),
            judgement=judgement,
        )
        top_speed = speeds.laid
        told = speeds.told if speeds.told.value != top_speed.value else None
    _refuse_impossible(top_speed, book)

    prior = prior_step(
        leg, top_speed.value, measured=athlete.leg_m is not None, judgement=judgement
    )
    if provisional:
        # the guess takes v / cadence for the step, so the whole error of v is in it
        prior = Estimate(
            value=prior.value, sd=prior.value * top_speed.relative_sd, basis=top_speed.basis
        )
    steps = by_day(
        _step_readings(athlete, top_speed.value, tau, judgement),
        between_days=float(BETWEEN_DAY_STEP_SD),
        growth_per_month=growth,
        today=today,
    )
    _compare("counted-steps-disagree", prior, steps, book)
    step = combined(prior, steps, seen_as="counted steps")
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
        provisional=provisional,
        told_speed=told,
        findings=tuple(book.findings),
        defaults=MappingProxyType(book.defaults),
    )


def _leg(athlete: Athlete, age: float | None, judgement: Judgement, book: _Notebook) -> Estimate:
    if athlete.leg_m is not None:
        return Estimate(
            value=athlete.leg_m, sd=float(judgement.leg_tape_sd_m), basis="leg measured"
        )
    leg = leg_length_m(athlete.height_m, athlete.sex, age, judgement=judgement)
    book.defaults["leg_m"] = leg
    return Estimate(
        value=leg, sd=leg_sd_m(athlete.height_m, athlete.sex, age), basis="leg from height"
    )


def _splits(
    athlete: Athlete, judgement: Judgement, book: _Notebook
) -> tuple[Estimate | None, Estimate]:
    """Return (top speed from splits or None, tau from the best that is known)."""
    splits = athlete.splits
    if splits is not None:
        try:
            fit = fit_splits(
                splits.distances_m,
                splits.times_s,
                splits.start,
                splits.reaction_s,
                judgement=judgement,
            )
        except DomainError as refused:
            others = (athlete.flying, athlete.top_speed_mps)
            if all(other is None for other in others) and not athlete.observations:
                raise book.stop("splits-unusable", reason=str(refused)) from None
            book.caution("splits-unusable", reason=str(refused))
        else:
            limits = FACT_RANGES["time_constant_s"]
            if not limits.low <= fit.time_constant_s <= limits.high:
                book.caution(
                    "time-constant-unlikely",
                    time_constant_s=fit.time_constant_s,
                    low_s=limits.low,
                    high_s=limits.high,
                    clock=splits.start.value,
                )
            sd = math.hypot(
                fit.top_speed_sd_mps, float(judgement.between_day_speed_sd) * fit.top_speed_mps
            )
            basis = f"{len(splits.times_s)} splits"
            return (
                Estimate(value=fit.top_speed_mps, sd=sd, basis=basis),
                Estimate(value=fit.time_constant_s, sd=fit.time_constant_sd_s, basis=basis),
            )
    if athlete.time_constant_s is not None:
        return None, Estimate(
            value=athlete.time_constant_s,
            sd=float(judgement.given_time_constant_sd_s),
            basis="given",
        )
    tau, sd = float(judgement.time_constant_s), float(judgement.time_constant_sd_s)
    book.defaults["time_constant_s"] = tau
    book.note(
        "time-constant-assumed",
        time_constant_s=tau,
        low_s=tau - sd,
        high_s=tau + sd,
        start_share=round(sd / tau, 2),
    )
    return None, Estimate(value=tau, sd=sd, basis="assumed")


def _known_speeds(
    athlete: Athlete, fitted: Estimate | None, tau: Estimate, judgement: Judgement
) -> list[_Speed]:
    """Return the top speeds on all bases there are, best first."""
    known = []
    if fitted is not None:
        known.append(_Speed(kind="splits", estimate=fitted))
    if athlete.flying is not None:
        known.append(_flying_speed(athlete.flying, tau, judgement))
    if athlete.top_speed_mps is not None:
        sd = athlete.top_speed_sd_mps
        if sd is None:
            sd = float(judgement.top_speed_sd) * athlete.top_speed_mps
        known.append(
            _Speed(
                kind="top speed given",
                estimate=Estimate(value=athlete.top_speed_mps, sd=sd, basis="top speed given"),
            )
        )
    return known


def _flying_speed(flying: FlyingTime, tau: Estimate, judgement: Judgement) -> _Speed:
    def top(tau_s: float) -> float:
        return top_speed_from_flying(flying.distance_m, flying.time_s, flying.run_on_m, tau_s)

    speed = top(tau.value)
    timing = timing_sd_s(flying.timing, judgement) / flying.time_s / math.sqrt(flying.runs)
    sd = math.hypot(
        timing * speed, half_spread(top, tau), float(judgement.between_day_speed_sd) * speed
    )
    return _Speed(
        kind="flying time",
        estimate=Estimate(value=speed, sd=sd, basis=f"flying {flying.distance_m:g} m"),
        zone_mean_mps=flying.mean_speed_mps,
    )


def _best_of(known: list[_Speed], book: _Notebook) -> _Speed:
    """Return the best basis, and say what the others were and whether they disagree."""
    best = known[0]
    for other in known[1:]:
        values: dict[str, Value] = {
            "used": best.kind,
            "used_mps": best.estimate.value,
            "unused": other.kind,
            "unused_mps": other.estimate.value,
        }
        sds = apart(best.estimate, other.estimate)
        if sds > DISAGREE_SDS:
            book.caution("top-speeds-disagree", **values, sds=f"{sds:.1f}")
        else:
            book.note("top-speed-unused", **values)
    return best


def _compare(code: str, prior: Estimate, days: tuple[Reading, ...], book: _Notebook) -> None:
    """Report when the observed days together lie away from what was known before."""
    if not days:
        return
    seen = combined(None, days, seen_as="")
    sds = apart(prior, seen)
    if sds > DISAGREE_SDS:
        unit = "mps" if code == "timed-runs-disagree" else "m"
        book.caution(
            code,
            **{f"known_{unit}": prior.value, f"seen_{unit}": seen.value},
            days=len(days),
            told_on=f"{len(days)} day{'' if len(days) == 1 else 's'}",
            sds=f"{sds:.1f}",
        )


def _same_run(seen: Observation, flying: FlyingTime | None) -> bool:
    """Return whether an observation is the flying time again: its speed must not count twice."""
    return (
        flying is not None
        and flying.date == seen.date
        and (flying.distance_m, flying.time_s) == (seen.distance_m, seen.time_s)
    )


def _speed_readings(
    athlete: Athlete, tau: Estimate, judgement: Judgement, book: _Notebook
) -> list[Reading]:
    readings = []
    for seen in athlete.observations:
        if _same_run(seen, athlete.flying):
            continue
        try:
            reading = speed_reading(seen, tau, judgement)
        except DomainError as refused:
            book.caution("timed-run-unusable", day=seen.date.isoformat(), reason=str(refused))
            continue
        if reading is None:
            continue
        if not FIT_SPEED_MPS[0] <= reading.value <= FIT_SPEED_MPS[1]:
            reason = (
                f"it tells of a top speed of {reading.value:.1f} m/s; "
                f"it must lie between {FIT_SPEED_MPS[0]:g} and {FIT_SPEED_MPS[1]:g} m/s"
            )
            book.caution("timed-run-unusable", day=seen.date.isoformat(), reason=reason)
            continue
        readings.append(reading)
    return readings


def _step_readings(
    athlete: Athlete, top_speed_mps: float, tau: Estimate, judgement: Judgement
) -> list[Reading]:
    readings = (step_reading(seen, top_speed_mps, tau, judgement) for seen in athlete.observations)
    return [reading for reading in readings if reading is not None]


def _guessed_speed(
    athlete: Athlete,
    leg: Estimate,
    cadence_hz: float | None,
    speed_share: float,
    *,
    judgement: Judgement,
    book: _Notebook,
) -> Estimate:
    """Return the top speed guessed from height and the cadence asked of the section.

    Cadence over max(s^0.88, 0.90) is the top cadence, and leg and top cadence give the speed.
    Held in `first_guess`, the guess stays when the drill's cadence is changed.
    """
    frozen = athlete.first_guess
    if frozen is not None:
        cadence, share = frozen.cadence_hz, frozen.speed_share
    elif cadence_hz is not None:
        cadence, share = cadence_hz, speed_share
    else:
        raise book.stop("top-speed-unknown")
    for key, value in (("first_cadence_hz", cadence), ("first_speed_share", share)):
        limits = FACT_RANGES[key]
        if not limits.low <= value <= limits.high:
            suffix = key.rsplit("_", 1)[1]
            raise book.stop(
                f"guess-{'cadence' if suffix == 'hz' else 'share'}-out-of-range",
                **{
                    f"asked_{suffix}": value,
                    f"low_{suffix}": limits.low,
                    f"high_{suffix}": limits.high,
                },
            )
    speed = speed_for_top_cadence(leg.value, cadence / drill_cadence_ratio(share, judgement))
    basis = "height and cadence"
    _refuse_impossible(Estimate(value=speed, sd=0.0, basis=basis), book)
    if athlete.level is not None:
        women, men = LEVEL_CAPS[athlete.level]
        # sex not known: the lower cap, since short gaps are the safe side
        cap = {Sex.FEMALE: float(women), Sex.MALE: float(men), None: min(women, men)}[athlete.sex]
        if speed > cap:
            book.note(
                "guess-capped", guessed_mps=speed, cap_mps=float(cap), level=athlete.level.value
            )
            speed, basis = float(cap), f"{basis}, capped by level"
    sd = float(judgement.height_only_sd) * speed
    book.note(
        "top-speed-guessed" if frozen is None else "top-speed-from-first-guess",
        top_mps=speed,
        sd_mps=sd,
        cadence_hz=cadence,
        speed_share=share,
    )
    return Estimate(value=speed, sd=sd, basis=basis)


def _frozen_guess(athlete: Athlete, leg: Estimate, judgement: Judgement) -> Estimate | None:
    """Return the guess that runs over marks began from, None when it is not on record."""
    if athlete.first_guess is None:
        return None
    try:
        return _guessed_speed(athlete, leg, None, 1.0, judgement=judgement, book=_Notebook(athlete))
    except NotEnoughKnown:
        return None


def _measured_on(athlete: Athlete, best: _Speed | None) -> date | None:
    """Return the day of the run that `best` rests on, if it is known."""
    run = {"splits": athlete.splits, "flying time": athlete.flying}.get(best.kind if best else "")
    return run.date if run is not None else None


def _refuse_impossible(top_speed: Estimate, book: _Notebook) -> None:
    limits = FACT_RANGES["top_speed_mps"]
    if top_speed.value > limits.high:
        raise book.stop(
            "faster-than-anyone",
            top_mps=top_speed.value,
            limit_mps=limits.high,
            basis=top_speed.basis,
        )
    if top_speed.value < limits.low:
        raise book.stop(
            "slower-than-a-run",
            top_mps=top_speed.value,
            limit_mps=limits.low,
            basis=top_speed.basis,
        )
