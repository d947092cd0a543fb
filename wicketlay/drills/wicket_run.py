"""The wicket run: a run-on, then a section of low hurdles one step apart."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar, final

import numpy as np

from wicketlay.declared import Kind, check_keys, keyed
from wicketlay.drills.cadence import CadenceRule, CadenceTarget, target_cadence_hz
from wicketlay.drills.kit import DEFAULT_KIT, Kit
from wicketlay.drills.marks import AlongM, Datum, Landings, Layout, start_mark
from wicketlay.drills.run_on import (
    CADENCE,
    FEWEST_STEPS,
    FIRST_FOOT,
    GAP_CHANGE,
    MOST_STEPS,
    SPEED,
    START,
    AnyLength,
    OverWickets,
    RunOn,
    choose_run_on,
    run_out_m,
    wickets_between,
)
from wicketlay.drills.runs import Pace, Part
from wicketlay.drills.wickets import bag_findings, gap_findings, kit_findings, wicket_marks
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.running.appraise import Appraisal, appraise
from wicketlay.running.touchdowns import StartKind, approach_m
from wicketlay.sources import DEFAULTS, FOOT_AHEAD_M, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from wicketlay.findings import Value
    from wicketlay.running.athlete import Foot, Runner

MOST_WICKETS = 60
"""Largest number of wickets laid in one section."""


class GapRule(StrEnum):
    """How the gaps follow the growing step."""

    FOLLOW = "follow"
    EVEN = "even"
    STEPPED = "stepped"


_RUN_ON = (
    "start mark to first wicket, in any unit of length, or in steps: "
    f'"{FEWEST_STEPS} steps" to "{MOST_STEPS} steps"'
)


@final
@dataclass(frozen=True, slots=True, kw_only=True)
class WicketRun(OverWickets, AnyLength):
    """What the coach asks of a wicket run.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    kind: ClassVar[str] = "wicket-run"
    noun: ClassVar[str] = "wicket run"

    speed_share: float = field(metadata=SPEED)
    cadence: CadenceTarget = field(default=CadenceTarget(), metadata=CADENCE)
    section_m: float | None = keyed(
        None, Kind.LENGTH, "first wicket to last; the nearest count of wickets is laid", 3.0, 100.0
    )
    wickets: int | None = keyed(
        None, Kind.COUNT, "how many, instead of a length", 2, MOST_WICKETS, aka=("hurdles",)
    )
    gaps: GapRule = keyed(
        GapRule.FOLLOW, Kind.WORD, "how the gaps follow the growing step", words=GapRule
    )
    group: int = keyed(4, Kind.COUNT, "gaps of one size in stepped gaps", 2, MOST_WICKETS)
    first_foot: Foot | None = field(default=None, metadata=FIRST_FOOT)
    start: StartKind = field(default=StartKind.STANDING, metadata=START)
    run_on_m: float | None = keyed(
        None, Kind.LENGTH, _RUN_ON, 3.0, 100.0, what="run-on", aka=("approach", "run_up", "steps")
    )
    run_on_steps: int | None = keyed(
        None, Kind.STEPS, _RUN_ON, FEWEST_STEPS, MOST_STEPS, what="run-on", si="steps"
    )
    gap_change: float = field(default=0.0, metadata=GAP_CHANGE)

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        check_keys(self)
        if (self.section_m is None) == (self.wickets is None):
            raise DomainError("give either the length of the section or the number of wickets")
        if self.run_on_m is not None and self.run_on_steps is not None:
            raise DomainError("give the run-on in metres or in steps, not both")

    def counted(self, *, wickets: int, run_on_steps: int, steps: int) -> WicketRun:
        """Return it with the wickets and the run-on once laid, of `steps` in all."""
        del steps  # nobody counts them here
        return replace(
            self, section_m=None, wickets=wickets, run_on_m=None, run_on_steps=run_on_steps
        )


def lay(
    runner: Runner, spec: WicketRun, kit: Kit = DEFAULT_KIT, judgement: Judgement = DEFAULTS
) -> Layout:
    """Lay a wicket run for one runner.

    ::

        start ... T1  T2 ...  TN  |  TN+1  |  TN+2      wicket i stands at
        |<------- run-on ------->W1       W2            T(N+i) - share (T(N+i) - T(N+i-1))

    The run-on has a whole number N of steps, the section runs at the target cadence along the
    speed curve, and each wicket stands a share (0.5) of the step before the landing beyond it.
    When the coach fixes the run-on in metres, W1 stands there and the steps are what they are.

    Returns
    -------
    Layout
        Along from wicket 1, with what the limits say as findings.
    """
    beyond = float(judgement.beyond_share)
    run = _run_on(runner, spec, judgement)
    target_hz = target_cadence_hz(runner, spec.cadence, spec.speed_share, judgement)
    if spec.run_on_m is not None:
        run = _passing(run, spec.run_on_m, target_hz, beyond)
    count = MOST_WICKETS if spec.wickets is None else spec.wickets
    over = run.onward(target_hz, count)
    places = wickets_between(over.positions_m, beyond)
    if spec.run_on_m is not None:
        # The passing time is exact to second order in a step's growth: millimetres are left.
        places += spec.run_on_m - places[0]
    short = float(judgement.height_only_short) if runner.provisional else 0.0
    if spec.gap_change or short:
        places = places[0] + (places - places[0]) * (1.0 + spec.gap_change) * (1.0 - short)
    if spec.section_m is not None:
        reach = places - places[0]
        places = places[: max(2, 1 + int(np.argmin(np.abs(reach - spec.section_m))))]
    places = regular(places, spec.gaps, spec.group)
    appraisal = appraise(
        runner,
        places - places[0],
        run_on_m=float(places[0]),
        speed_share=spec.speed_share,
        start=spec.start,
        judgement=judgement,
    )
    findings = (
        *appraisal.findings,
        *bag_findings(places, kit),
        *kit_findings(kit),
        *gap_findings(runner, appraisal.gap_m),
        *_run_on_finding(runner, spec, run, target_hz, beyond),
        *_provisional_finding(runner, short),
        *_cut_finding(runner, spec, places),
    )
    return _layout(
        runner,
        spec,
        kit,
        run,
        places,
        appraisal,
        judgement,
        landings=run.landed(over, datum_m=float(places[0]), count=run.steps + places.size),
        findings=findings,
    )


def regular(places: NDArray[np.float64], rule: GapRule, group: int) -> NDArray[np.float64]:
    """Return `places` with gaps made even, or even within groups; both ends stay."""
    if rule is GapRule.FOLLOW or places.size < 3:
        return places
    gaps = np.diff(places)
    groups = np.arange(gaps.size) // (gaps.size if rule is GapRule.EVEN else group)
    means = np.bincount(groups, weights=gaps) / np.bincount(groups)
    evened: NDArray[np.float64] = places[0] + np.concatenate(([0.0], np.cumsum(means[groups])))
    return evened


def _run_on(runner: Runner, spec: WicketRun, judgement: Judgement) -> RunOn:
    """Return the run-on of the best whole number of steps, or of the one the coach fixed."""
    even = spec.gaps is GapRule.EVEN
    chosen = choose_run_on(
        runner,
        speed_share=spec.speed_share,
        entry_share=float(judgement.entry_share_even if even else judgement.entry_share),
        start=spec.start,
        first_foot=spec.first_foot,
        steps=MOST_STEPS if spec.run_on_m is not None else spec.run_on_steps,
        judgement=judgement,
    )
    if spec.run_on_m is None:
        return chosen
    landings = chosen.landings.positions_m
    firsts = wickets_between(landings, float(judgement.beyond_share))
    nearest = 1 + int(np.argmin(np.abs(firsts - spec.run_on_m)))
    return choose_run_on(
        runner,
        speed_share=spec.speed_share,
        entry_share=1.0,
        start=spec.start,
        first_foot=spec.first_foot,
        steps=max(FEWEST_STEPS, nearest),
        judgement=judgement,
    )


def _passing(run: RunOn, run_on_m: float, target_hz: float, beyond: float) -> RunOn:
    """Return `run` with its last landing at the time that puts W1 at `run_on_m`."""
    over_w1 = float(run.curve.time_at(run_on_m - float(FOOT_AHEAD_M)))
    return replace(run, last_time_s=max(0.0, over_w1 - (1.0 - beyond) / target_hz))


def _layout(
    runner: Runner,
    spec: WicketRun,
    kit: Kit,
    run: RunOn,
    places: NDArray[np.float64],
    appraisal: Appraisal,
    judgement: Judgement,
    *,
    landings: Landings,
    findings: tuple[Finding, ...],
) -> Layout:
    first = float(places[0])
    start = start_mark(-first, run.curve.initial_speed_mps, run.front_foot)
    wickets = wicket_marks(
        runner,
        appraisal,
        fixed=spec.cadence.rule is CadenceRule.STEPS_PER_S,
        feet=landings.feet[run.steps :],
        hurdles=kit.wickets,
    )
    section = float(places[-1]) - first
    section_time = float(appraisal.time_s[-1])
    wanted, least = run_out_m(float(appraisal.speed_mps[-1]), judgement)
    return Layout(
        drill=spec.kind,
        datum=Datum.FIRST_WICKET,
        marks=(start, *wickets),
        parts=(
            Part(length_m=first, pace=Pace.FULL),
            Part(length_m=section, pace=Pace.TIMED),
        ),
        landings=landings,
        approach_m=approach_m(spec.start, judgement),
        run_on_m=first,
        run_on_steps=run.steps,
        section_m=section,
        section_time_s=section_time,
        cadence_hz=(places.size - 1) / section_time,
        speed_share=spec.speed_share,
        built_to_mps=runner.top_speed.value * spec.speed_share,
        run_out_from_m=AlongM(section),
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        findings=findings,
        defaults=_defaults(runner, spec, judgement),
        appraisal=appraisal,
    )


def _run_on_finding(
    runner: Runner, spec: WicketRun, run: RunOn, target_hz: float, beyond: float
) -> tuple[Finding, ...]:
    """Say how many steps a run-on fixed in metres is and where whole numbers would start.

    W1 stays; a negative shift moves the start mark back, away from it.
    """
    if spec.run_on_m is None:
        return ()
    around = range(max(FEWEST_STEPS, run.steps - 1), run.steps + 2)
    shifts = [(n, spec.run_on_m - run.first_wicket_m(n, target_hz, beyond)) for n in around]
    nearest = sorted(shifts, key=lambda each: abs(each[1]))[:2]
    (fewer, forward), (more, back) = sorted(nearest)
    steps = fewer + forward / (forward - back)  # a step more always starts farther back
    return (
        Finding.of(
            "run-on-not-whole",
            Level.NOTE if abs(steps - run.steps) < 0.1 else Level.CAUTION,
            runner.athlete.name,
            run_on_m=spec.run_on_m,
            steps=f"{steps:.1f}",
            fewer=fewer,
            fewer_shift_m=forward,
            more=more,
            more_shift_m=back,
        ),
    )


def _cut_finding(
    runner: Runner, spec: WicketRun, places: NDArray[np.float64]
) -> tuple[Finding, ...]:
    """Say when the section ends early because no more wickets are laid in one."""
    if spec.section_m is None or places.size < MOST_WICKETS:
        return ()
    reach = float(places[-1] - places[0])
    if spec.section_m - reach <= (places[-1] - places[-2]) / 2.0:
        return ()
    return (
        Finding.caution(
            "section-cut-short",
            runner.athlete.name,
            wanted_m=spec.section_m,
            section_m=reach,
            most=MOST_WICKETS,
        ),
    )


def _provisional_finding(runner: Runner, short: float) -> tuple[Finding, ...]:
    if not runner.provisional:
        return ()
    return (
        Finding.caution(
            "gaps-laid-short",
            runner.athlete.name,
            short_share=short,
            top_mps=runner.top_speed.value,
            sd_mps=runner.top_speed.sd,
        ),
    )


def _defaults(runner: Runner, spec: WicketRun, judgement: Judgement) -> Mapping[str, Value]:
    """Return what the coach did not say and the layout rests on."""
    used: dict[str, Value] = dict(runner.defaults)
    if spec.run_on_m is None and spec.run_on_steps is None:
        even = spec.gaps is GapRule.EVEN
        used["entry_share"] = float(judgement.entry_share_even if even else judgement.entry_share)
    used["beyond_share"] = float(judgement.beyond_share)
    if spec.start is StartKind.STANDING:
        used["push_off_s"] = float(judgement.push_off_s)
    return used
