"""The take-off run: an approach over wickets that ends with the foot on the take-off line."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, ClassVar, final

from wicketlay.declared import Keyed, Kind, keyed
from wicketlay.drills.cadence import CadenceRule, CadenceTarget, target_cadence_hz
from wicketlay.drills.kit import DEFAULT_KIT, Kit
from wicketlay.drills.marks import AlongM, Datum, Landings, Layout, start_mark
from wicketlay.drills.run_on import (
    CADENCE,
    FEWEST_STEPS,
    GAP_CHANGE,
    LAST_TWO,
    SPEED,
    START,
    AtLine,
    OverWickets,
    RunOn,
    choose_run_on,
    run_out_m,
    wickets_between,
)
from wicketlay.drills.runs import Pace, Part
from wicketlay.drills.wickets import bag_findings, gap_findings, kit_findings, wicket_marks
from wicketlay.findings import Finding
from wicketlay.running.appraise import appraise
from wicketlay.running.athlete import Foot
from wicketlay.running.facts import JUMPING_FOOT
from wicketlay.running.touchdowns import StartKind, approach_m
from wicketlay.sources import (
    DEFAULTS,
    FOOT_AHEAD_M,
    PENULTIMATE_RATIO,
    TIGHT_ROOM_M,
    USUAL_RUN_ON_STEPS,
    Judgement,
)
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.findings import Value
    from wicketlay.running.athlete import Runner

FEWEST_WICKETS = 2
FEWEST_FREE = 2
_USUAL_RUN_ON = int(USUAL_RUN_ON_STEPS)
APPROACH_STEPS = (8, 40)
"""Steps of an approach that can be asked for."""


@final
@dataclass(frozen=True, slots=True, kw_only=True)
class TakeoffRun(OverWickets, AtLine, Keyed):
    """What the coach asks of a take-off run.

    ::

        start . . T1 ... TN | | | | . . . . P L   line
                            w1..w4  free   last two

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    kind: ClassVar[str] = "takeoff-run"
    noun: ClassVar[str] = "take-off run"

    speed_share: float = field(metadata=SPEED)
    wickets: int = keyed(
        4, Kind.COUNT, "how many before the take-off", FEWEST_WICKETS, 20, aka=("hurdles",)
    )
    free_steps: int | None = keyed(
        None,
        Kind.STEPS,
        "steps after the landing beyond the last wicket and before the last two",
        FEWEST_FREE,
        12,
        name="free",
        what="free steps",
        left_out=f"{int(DEFAULTS.free_steps)}, or fewer where the approach is short",
    )
    approach_steps: int | None = keyed(
        None,
        Kind.STEPS,
        "the whole approach; left out, what speed and runway allow",
        *APPROACH_STEPS,
        name="approach",
        aka=("steps", "strides", "run_up", "run_on"),
        si="steps",
    )
    cadence: CadenceTarget = field(default=CadenceTarget(), metadata=CADENCE)
    takeoff_foot: Foot | None = keyed(
        None,
        Kind.WORD,
        "the foot on the take-off line; left out, the athlete's",
        words=Foot,
        aka=JUMPING_FOOT,
    )
    start: StartKind = field(default=StartKind.STANDING, metadata=START)
    penultimate_ratio: float | None = keyed(
        None,
        Kind.NUMBER,
        "penultimate step over last step",
        0.9,
        1.4,
        name="penultimate",
        what="penultimate ratio",
    )
    toe_behind_line_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "toe behind the take-off line at the last landing",
        0.0,
        0.5,
        name="toe",
        what="toe distance",
        unit="cm",
    )
    room_m: float | None = keyed(  # More is as good as no end.
        None, Kind.LENGTH, "runway there is before the take-off line", 5.0, 120.0
    )
    gap_change: float = field(default=0.0, metadata=GAP_CHANGE)

    def counted(self, *, wickets: int, run_on_steps: int, steps: int) -> TakeoffRun:
        """Return it with the wickets and steps once laid; `steps` is the whole approach."""
        # An approach longer than any that can be asked for, as of a small child, is counted anew.
        low, high = APPROACH_STEPS
        return replace(
            self,
            wickets=wickets,
            free_steps=steps - run_on_steps - wickets - LAST_TWO,
            approach_steps=steps if low <= steps <= high else self.approach_steps,
        )


def lay(
    runner: Runner, spec: TakeoffRun, kit: Kit = DEFAULT_KIT, judgement: Judgement = DEFAULTS
) -> Layout:
    """Lay a take-off run: forward from the start mark, then slid onto the take-off line.

    The run-on has the steps the coach gives, else the most with which everything fits the runway,
    up to those that reach the entry share. Where less than six are left, wickets go first (down
    to two), then free steps (down to two); where an approach is asked for and free steps are not,
    those go first. Gaps are never squeezed.

    Returns
    -------
    Layout
        Along from the take-off line, so that every mark before it is negative.

    References
    ----------
    Penultimate over last step 1.122: Panoutsakopoulos et al. 2021. Four or five wickets at
    about 90 % speed: common practice, no source.
    """
    free_wanted = int(judgement.free_steps) if spec.free_steps is None else spec.free_steps
    fullest = _Lengths.of(runner, spec, judgement)
    wickets, free, steps = _fitting(fullest, spec, free_wanted)
    made = _built(runner, spec, wickets, free, steps, judgement)
    findings = (
        *_room_findings(runner, spec, made, fullest, free_wanted),
        *_run_on_finding(runner, spec, made, fullest, judgement),
    )
    return _layout(runner, spec, kit, made, findings, judgement)


def _has_room(room_m: float | None, needed_m: float) -> bool:
    """Return whether a runway is long enough, rounding left out of it."""
    return room_m is None or needed_m <= room_m + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lengths:
    """What approaches of one runner need, whatever the number of their steps.

    Parameters
    ----------
    run
        The run-on that reaches the entry share.
    target_hz
        Cadence over the wickets [steps/s].
    around_m
        Walk or jog before the start mark, and toe to line, together [m].
    """

    run: RunOn
    target_hz: float
    around_m: float

    @classmethod
    def of(cls, runner: Runner, spec: TakeoffRun, judgement: Judgement) -> _Lengths:
        return cls(
            run=choose_run_on(
                runner,
                speed_share=spec.speed_share,
                entry_share=float(judgement.entry_share),
                start=spec.start,
                judgement=judgement,
            ),
            target_hz=target_cadence_hz(runner, spec.cadence, spec.speed_share, judgement),
            around_m=approach_m(spec.start, judgement) + _toe_m(spec, judgement),
        )

    def needed_m(self, steps: int, wickets: int, free: int) -> float:
        """Return the runway [m] for so many run-on steps, wickets and free steps."""
        last_s = float(self.run.times_s[steps - 1])
        last_s += wickets / self.target_hz + (free + LAST_TWO) / self.run.cadence_hz
        return self.run.curve.position_at(last_s) + float(FOOT_AHEAD_M) + self.around_m

    def most_steps(self, room_m: float | None, wickets: int, free: int, least: int) -> int | None:
        """Return the most run-on steps that fit a room, `least` or more; None when none do."""
        for steps in range(self.run.steps, min(least, self.run.steps) - 1, -1):
            if _has_room(room_m, self.needed_m(steps, wickets, free)):
                return steps
        return None

    def approach_near(
        self, asked: int, room_m: float | None, wickets: int, free: int
    ) -> int | None:
        """Return the approach nearest the one asked for in which all of it fits, in steps."""
        low, high = APPROACH_STEPS
        after = wickets + free + LAST_TWO
        fits = (
            steps
            for steps in range(max(low, after + _USUAL_RUN_ON), high + 1)
            if _has_room(room_m, self.needed_m(steps - after, wickets, free))
        )
        return min(fits, key=lambda steps: abs(steps - asked), default=None)

    def free_with(self, asked: int | None, room_m: float | None, wickets: int) -> int | None:
        """Return the free steps with which all wickets fit the approach asked for, None if none."""
        free = (asked or 0) - wickets - LAST_TWO - _USUAL_RUN_ON
        if free < FEWEST_FREE or not _has_room(room_m, self.needed_m(_USUAL_RUN_ON, wickets, free)):
            return None
        return free


def _fitting(lengths: _Lengths, spec: TakeoffRun, free_wanted: int) -> tuple[int, int, int]:
    """Return the wickets, free steps and run-on steps that are laid."""
    asked = spec.approach_steps
    wickets, free = spec.wickets, free_wanted
    untold = spec.free_steps is None and asked is not None
    for wickets, free in _givings(spec.wickets, free_wanted, free_first=untold):
        steps: int | None
        if asked is None:
            steps = lengths.most_steps(spec.room_m, wickets, free, _USUAL_RUN_ON)
        else:
            left = asked - wickets - free - LAST_TWO
            steps = left if left >= _USUAL_RUN_ON else None
        if steps is not None:
            return wickets, free, steps
    if asked is None:
        steps = lengths.most_steps(spec.room_m, wickets, free, FEWEST_STEPS)
        return wickets, free, steps or FEWEST_STEPS
    return wickets, free, max(asked - wickets - free - LAST_TWO, FEWEST_STEPS)


def _toe_m(spec: TakeoffRun, judgement: Judgement) -> float:
    toe = spec.toe_behind_line_m
    return float(judgement.toe_behind_line_m) if toe is None else toe


@dataclass(frozen=True, slots=True, kw_only=True)
class _Forward:
    """A whole approach, computed forward from its start mark."""

    run: RunOn
    wickets: int
    free: int
    places: NDArray[np.float64]
    landings: Landings
    approach_m: float
    toe_m: float

    @property
    def length_m(self) -> float:
        """Start mark to take-off line [m]."""
        return self.landings[-1].along_m + self.toe_m


def _givings(wickets: int, free: int, *, free_first: bool) -> list[tuple[int, int]]:
    """Return what is tried in turn: fewer wickets first, then fewer free steps, or the reverse."""
    if free_first:
        fewer_free = [(wickets, n) for n in range(free, FEWEST_FREE - 1, -1)]
        least_free = min(free, FEWEST_FREE)
        return fewer_free + [(n, least_free) for n in range(wickets - 1, FEWEST_WICKETS - 1, -1)]
    fewer_wickets = [(n, free) for n in range(wickets, FEWEST_WICKETS - 1, -1)]
    least = min(wickets, FEWEST_WICKETS)
    return fewer_wickets + [(least, n) for n in range(free - 1, FEWEST_FREE - 1, -1)]


def _built(
    runner: Runner,
    spec: TakeoffRun,
    wickets: int,
    free: int,
    steps: int,
    judgement: Judgement,
) -> _Forward:
    after = wickets + free + LAST_TWO
    run = choose_run_on(
        runner,
        speed_share=spec.speed_share,
        entry_share=float(judgement.entry_share),
        start=spec.start,
        steps=steps,
        judgement=judgement,
    )
    foot = spec.takeoff_foot or runner.athlete.takeoff_foot
    if foot is not None:
        total = run.steps + after
        run = replace(run, front_foot=foot.other if total % 2 else foot)
    target_hz = target_cadence_hz(runner, spec.cadence, spec.speed_share, judgement)
    beyond = float(judgement.beyond_share)
    over = run.onward(target_hz, wickets)
    places = wickets_between(over.positions_m, beyond)
    places = places[-1] + (places - places[-1]) * (1.0 + spec.gap_change)
    # The free steps and the last two are run freely, as the run-on is.
    freely = replace(run, last_time_s=float(over.times_s[-1])).onward(
        run.cadence_hz, free + LAST_TWO
    )
    ratio = float(PENULTIMATE_RATIO) if spec.penultimate_ratio is None else spec.penultimate_ratio
    places_of_free = freely.positions_m.copy()
    two = places_of_free[-1] - places_of_free[-3]
    places_of_free[-2] = places_of_free[-1] - two / (1.0 + ratio)
    freely = replace(freely, positions_m=places_of_free)
    return _Forward(
        run=run,
        wickets=wickets,
        free=free,
        places=places,
        landings=run.landed(over, freely),
        approach_m=approach_m(spec.start, judgement),
        toe_m=_toe_m(spec, judgement),
    )


def _layout(
    runner: Runner,
    spec: TakeoffRun,
    kit: Kit,
    made: _Forward,
    findings: tuple[Finding, ...],
    judgement: Judgement,
) -> Layout:
    shift = -made.length_m
    first = float(made.places[0])
    appraisal = appraise(
        runner,
        made.places + shift,
        run_on_m=first,
        speed_share=spec.speed_share,
        start=spec.start,
        judgement=judgement,
    )
    start = start_mark(shift, made.run.curve.initial_speed_mps, made.run.front_foot)
    wickets = wicket_marks(
        runner,
        appraisal,
        fixed=spec.cadence.rule is CadenceRule.STEPS_PER_S,
        feet=[made.run.foot_at(made.run.steps + i) for i in range(1, made.wickets + 1)],
        hurdles=kit.wickets,
    )
    section = float(made.places[-1]) - first
    section_time = float(appraisal.time_s[-1])
    wanted, least = run_out_m(made.landings[-1].speed_mps, judgement)
    findings = (
        *findings,
        *appraisal.findings,
        *bag_findings(made.places, kit),
        *kit_findings(kit),
        *(f for f in gap_findings(runner, appraisal.gap_m) if f.code != "too-short-to-time"),
        _at_the_board(runner, judgement),
    )
    return Layout(
        drill=spec.kind,
        datum=Datum.TAKEOFF_LINE,
        marks=(start, *wickets),
        parts=(
            Part(length_m=first, pace=Pace.FULL),
            Part(length_m=section, pace=Pace.TIMED),
            Part(length_m=made.length_m - first - section, pace=Pace.FULL),
        ),
        landings=made.landings.shifted(shift),
        approach_m=made.approach_m,
        run_on_m=first,
        run_on_steps=made.run.steps,
        section_m=section,
        section_time_s=section_time,
        cadence_hz=(made.wickets - 1) / section_time,
        speed_share=spec.speed_share,
        built_to_mps=runner.top_speed.value * spec.speed_share,
        run_out_from_m=AlongM(0.0),
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        findings=findings,
        defaults=_defaults(runner, spec, judgement),
        appraisal=appraisal,
    )


def _at_the_board(runner: Runner, judgement: Judgement) -> Finding:
    """Say how far the first run may miss the line: as is judged, or as the athlete's misses tell.

    Those tell it once marks are slid by what they ask for.
    """
    known = runner.at_board
    who = runner.athlete.name
    if known is None:
        return Finding.note("takeoff-first-run", who, error_m=float(judgement.takeoff_run_sd_m))
    return Finding.note(
        "takeoff-next-run", who, error_m=known.first_run_sd_m, runs=known.runs, days=known.days
    )


def _room_findings(
    runner: Runner, spec: TakeoffRun, made: _Forward, lengths: _Lengths, free_wanted: int
) -> tuple[Finding, ...]:
    """Say whether the approach fits the runway, what gave way and what would fit."""
    who = runner.athlete.name
    found = []
    total = len(made.landings)
    needed = made.length_m + made.approach_m
    # What is asked for is advised where all of it fits; a runway too short for that is told.
    near = lengths.approach_near(total, spec.room_m, spec.wickets, free_wanted)
    all_m = lengths.needed_m(_USUAL_RUN_ON, spec.wickets, free_wanted)
    advice: dict[str, Value] = {"all_m": all_m} if near is None else {"fit_steps": near}
    ending = "" if near is None else "-fits"
    if spec.free_steps is None and made.wickets == spec.wickets and made.free < free_wanted:
        found.append(
            Finding.note(
                "takeoff-free-fewer", who, steps=total, free=made.free, wanted_free=free_wanted
            )
        )
    elif made.wickets < spec.wickets or made.free < free_wanted:
        fewer = lengths.free_with(spec.approach_steps, spec.room_m, spec.wickets)
        free: dict[str, Value] = {} if fewer is None else {"fewer_free": fewer}
        found.append(
            Finding.caution(
                f"takeoff-shortened{ending}{'' if fewer is None else '-free'}",
                who,
                wickets=made.wickets,
                wanted_wickets=spec.wickets,
                free=made.free,
                wanted_free=free_wanted,
                steps=total,
                **advice,
                **free,
            )
        )
    if spec.approach_steps is not None and total > spec.approach_steps:
        found.append(
            Finding.stop("approach-too-few-steps", who, steps=spec.approach_steps, least=total)
        )
    if spec.room_m is not None and not _has_room(spec.room_m, needed):
        found.append(
            Finding.stop(
                f"runway-too-short{ending}",
                who,
                needed_m=needed,
                room_m=spec.room_m,
                excess_m=needed - spec.room_m,
                steps=total,
                **advice,
            )
        )
    elif spec.room_m is not None and spec.room_m - needed < TIGHT_ROOM_M:
        found.append(
            Finding.caution(
                "runway-only-just",
                who,
                needed_m=needed,
                room_m=spec.room_m,
                left_m=spec.room_m - needed,
            )
        )
    return tuple(found)


def _run_on_finding(
    runner: Runner, spec: TakeoffRun, made: _Forward, lengths: _Lengths, judgement: Judgement
) -> tuple[Finding, ...]:
    """Say how fast wicket 1 is reached where the runway leaves fewer steps than the speed asks."""
    if spec.approach_steps is not None or made.run.steps >= lengths.run.steps:
        return ()
    curve = made.run.curve
    at_w1 = curve.speed_at(curve.time_at(float(made.places[0]) - float(FOOT_AHEAD_M)))
    return (
        Finding.note(
            "takeoff-run-on-shortened",
            runner.athlete.name,
            steps=made.run.steps,
            wanted_steps=lengths.run.steps,
            reached_share=at_w1 / curve.top_speed_mps,
            wanted_share=float(judgement.entry_share),
        ),
    )


def _defaults(runner: Runner, spec: TakeoffRun, judgement: Judgement) -> Mapping[str, Value]:
    """Return what the coach did not say and the layout rests on."""
    used: dict[str, Value] = dict(runner.defaults)
    if spec.free_steps is None:
        used["free_steps"] = int(judgement.free_steps)
    if spec.toe_behind_line_m is None:
        used["toe_behind_line_m"] = float(judgement.toe_behind_line_m)
    if spec.penultimate_ratio is None:
        used["penultimate_ratio"] = float(PENULTIMATE_RATIO)
    if spec.approach_steps is None:
        used["entry_share"] = float(judgement.entry_share)
    used["beyond_share"] = float(judgement.beyond_share)
    return used
