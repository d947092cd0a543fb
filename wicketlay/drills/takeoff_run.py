"""The take-off run: an approach over wickets that ends with the foot on the take-off line."""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING

from wicketlay.declared import Kind, check_keys, declare
from wicketlay.drills.cadence import CadenceRule, CadenceTarget, target_cadence_hz
from wicketlay.drills.checks import bag_findings, gap_findings, kit_findings
from wicketlay.drills.kit import DEFAULT_KIT, Kit
from wicketlay.drills.marks import AlongM, Datum, Landing, Layout, Mark, MarkKind
from wicketlay.drills.run_on import (
    CADENCE,
    FEWEST_STEPS,
    GAP_CHANGE,
    SPEED,
    START,
    RunOn,
    choose_run_on,
    run_out_m,
    wickets_between,
)
from wicketlay.drills.wickets import wicket_marks
from wicketlay.findings import Finding, Level
from wicketlay.running.appraise import appraise
from wicketlay.running.athlete import Foot
from wicketlay.running.touchdowns import StartKind, approach_m
from wicketlay.sources import (
    DEFAULTS,
    FOOT_AHEAD_M,
    PENULTIMATE_RATIO,
    TIGHT_ROOM_M,
    Judgement,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.findings import Value
    from wicketlay.running.athlete import Runner

LAST_TWO = 2
"""The penultimate and the last step; their lengths are set apart from the rest."""
FEWEST_WICKETS = 2
FEWEST_FREE = 2
ROOMS_M = (5.0, 120.0)
"""Runway that can be told [m]; more is as good as no end."""
APPROACH_STEPS = (8, 40)
"""Steps of an approach that can be asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeoffRun:
    """What the coach asks of a take-off run.

    ::

        start . . T1 ... TN | | | | . . . . P L   line
                            w1..w4  free   last two

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    speed_share: float = field(metadata=SPEED)
    wickets: int = field(
        default=4, metadata=declare(Kind.COUNT, "how many before the take-off", FEWEST_WICKETS, 20)
    )
    free_steps: int | None = field(
        default=None,
        metadata=declare(
            Kind.STEPS,
            "steps from the last wicket's landing to the take-off line, the last two included",
            FEWEST_FREE,
            12,
            name="free",
            what="free steps",
        ),
    )
    approach_steps: int | None = field(
        default=None,
        metadata=declare(
            Kind.STEPS,
            "the whole approach; left out, what speed and runway allow",
            *APPROACH_STEPS,
            name="approach",
            si="steps",
        ),
    )
    cadence: CadenceTarget = field(default=CadenceTarget(), metadata=CADENCE)
    takeoff_foot: Foot | None = field(
        default=None,
        metadata=declare(
            Kind.WORD, "the foot on the take-off line; left out, the athlete's", words=Foot
        ),
    )
    start: StartKind = field(default=StartKind.STANDING, metadata=START)
    penultimate_ratio: float | None = field(
        default=None,
        metadata=declare(
            Kind.NUMBER,
            "penultimate step over last step",
            0.9,
            1.4,
            name="penultimate",
            what="penultimate ratio",
        ),
    )
    toe_behind_line_m: float | None = field(
        default=None,
        metadata=declare(
            Kind.LENGTH,
            "toe behind the take-off line at the last landing",
            0.0,
            0.5,
            name="toe",
            what="toe distance",
            unit="cm",
        ),
    )
    room_m: float | None = field(
        default=None,
        metadata=declare(Kind.LENGTH, "runway there is before the take-off line", *ROOMS_M),
    )
    gap_change: float = field(default=0.0, metadata=GAP_CHANGE)

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        check_keys(self)


def lay(
    runner: Runner, spec: TakeoffRun, kit: Kit = DEFAULT_KIT, judgement: Judgement = DEFAULTS
) -> Layout:
    """Lay a take-off run: forward from the start mark, then slid onto the take-off line.

    When the approach or the runway is too short, wickets go first (down to two), then free
    steps (down to two); gaps are never squeezed.

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
    tried: _Forward | None = None
    for wickets, free in _givings(spec.wickets, free_wanted):
        forward = _forward(runner, spec, wickets, free, judgement)
        if forward is None:
            continue
        tried = forward
        if spec.room_m is None or forward.length_m + forward.approach_m <= spec.room_m:
            break
    if tried is None:
        # Even two wickets and two free steps leave no run-on: lay the shortest and say stop.
        tried = _shortest(runner, spec, judgement)
    return _layout(runner, spec, kit, tried, free_wanted, judgement)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Forward:
    """A whole approach, computed forward from its start mark."""

    run: RunOn
    wickets: int
    free: int
    places: NDArray[np.float64]
    landings: tuple[Landing, ...]
    approach_m: float
    toe_m: float

    @property
    def length_m(self) -> float:
        """Start mark to take-off line [m]."""
        return self.landings[-1].along_m + self.toe_m


def _givings(wickets: int, free: int) -> list[tuple[int, int]]:
    """Return what is tried in turn: fewer wickets first, then fewer free steps."""
    fewer_wickets = [(n, free) for n in range(wickets, FEWEST_WICKETS - 1, -1)]
    least = min(wickets, FEWEST_WICKETS)
    return fewer_wickets + [(least, n) for n in range(free - 1, FEWEST_FREE - 1, -1)]


def _forward(
    runner: Runner, spec: TakeoffRun, wickets: int, free: int, judgement: Judgement
) -> _Forward | None:
    """Return the approach with so many wickets and free steps, None when no run-on is left."""
    after = wickets + free + LAST_TWO
    steps = None
    if spec.approach_steps is not None:
        steps = spec.approach_steps - after
        if steps < FEWEST_STEPS:
            return None
    return _built(runner, spec, wickets, free, steps, judgement)


def _shortest(runner: Runner, spec: TakeoffRun, judgement: Judgement) -> _Forward:
    return _built(runner, spec, FEWEST_WICKETS, FEWEST_FREE, FEWEST_STEPS, judgement)


def _built(
    runner: Runner,
    spec: TakeoffRun,
    wickets: int,
    free: int,
    steps: int | None,
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
    target_hz = target_cadence_hz(runner, spec.cadence, run.cadence_hz)
    beyond = float(judgement.beyond_share)
    over = run.onward(target_hz, wickets)
    places = wickets_between(over.positions_m, beyond)
    places = places[-1] + (places - places[-1]) * (1.0 + spec.gap_change)
    # The free steps and the last two run at the runner's natural cadence.
    freely = replace(run, last_time_s=float(over.times_s[-1])).onward(
        run.cadence_hz, free + LAST_TWO
    )
    ratio = float(PENULTIMATE_RATIO) if spec.penultimate_ratio is None else spec.penultimate_ratio
    places_of_free = freely.positions_m.copy()
    two = places_of_free[-1] - places_of_free[-3]
    places_of_free[-2] = places_of_free[-1] - two / (1.0 + ratio)
    freely = replace(freely, positions_m=places_of_free)
    landings = (
        *run.landings_before(0.0),
        *run.as_landings(over, run.steps, 0.0)[1:],
        *run.as_landings(freely, run.steps + wickets, 0.0)[1:],
    )
    toe = (
        float(judgement.toe_behind_line_m)
        if spec.toe_behind_line_m is None
        else spec.toe_behind_line_m
    )
    return _Forward(
        run=run,
        wickets=wickets,
        free=free,
        places=places,
        landings=landings,
        approach_m=approach_m(spec.start, judgement),
        toe_m=toe,
    )


def _layout(
    runner: Runner,
    spec: TakeoffRun,
    kit: Kit,
    made: _Forward,
    free_wanted: int,
    judgement: Judgement,
) -> Layout:
    shift = -made.length_m
    first = float(made.places[0])
    appraisal = appraise(
        runner,
        made.places,
        run_on_m=first,
        speed_share=spec.speed_share,
        start=spec.start,
        judgement=judgement,
    )
    curve = made.run.curve
    start = Mark(
        id="start",
        kind=MarkKind.START,
        along_m=AlongM(shift),
        foot=made.run.front_foot,
        speed_mps=curve.initial_speed_mps,
        time_s=0.0,
    )
    wickets = wicket_marks(
        runner,
        appraisal,
        fixed=spec.cadence.rule is CadenceRule.STEPS_PER_S,
        time_at_first_s=curve.time_at(first - float(FOOT_AHEAD_M)),
        feet=[made.run.foot_at(made.run.steps + i) for i in range(1, made.wickets + 1)],
        shift_m=shift,
        hurdles=kit.wickets,
    )
    section = float(made.places[-1]) - first
    section_time = float(appraisal.time_s[-1])
    wanted, least = run_out_m(made.landings[-1].speed_mps, judgement)
    findings = (
        *_room_findings(runner, spec, made, free_wanted),
        *appraisal.findings,
        *bag_findings(made.places, kit),
        *kit_findings(kit),
        *(f for f in gap_findings(runner, made.places) if f.code != "too-short-to-time"),
        Finding(
            level=Level.NOTE,
            code="takeoff-first-run",
            athlete=runner.athlete.name,
            values={"error_m": float(judgement.takeoff_run_sd_m)},
        ),
    )
    return Layout(
        drill="takeoff-run",
        datum=Datum.TAKEOFF_LINE,
        marks=(start, *wickets),
        landings=tuple(
            replace(landing, along_m=AlongM(landing.along_m + shift)) for landing in made.landings
        ),
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
    )


def _room_findings(
    runner: Runner, spec: TakeoffRun, made: _Forward, free_wanted: int
) -> tuple[Finding, ...]:
    """Say whether the approach fits the runway, and what gave way."""
    who = runner.athlete.name
    found = []
    total = len(made.landings)
    needed = made.length_m + made.approach_m
    if made.wickets < spec.wickets or made.free < free_wanted:
        found.append(
            Finding(
                level=Level.CAUTION,
                code="takeoff-shortened",
                athlete=who,
                values={
                    "wickets": made.wickets,
                    "wanted_wickets": spec.wickets,
                    "free": made.free,
                    "wanted_free": free_wanted,
                    "steps": total,
                },
            )
        )
    if spec.approach_steps is not None and total > spec.approach_steps:
        found.append(
            Finding(
                level=Level.STOP,
                code="approach-too-few-steps",
                athlete=who,
                values={"steps": spec.approach_steps, "least": total},
            )
        )
    if spec.room_m is not None and needed > spec.room_m:
        found.append(
            Finding(
                level=Level.STOP,
                code="runway-too-short",
                athlete=who,
                values={
                    "needed_m": needed,
                    "room_m": spec.room_m,
                    "excess_m": needed - spec.room_m,
                    "steps": total,
                    "fewer_steps": total - _steps_too_many(made, needed - spec.room_m),
                },
            )
        )
    elif spec.room_m is not None and spec.room_m - needed < TIGHT_ROOM_M:
        found.append(
            Finding(
                level=Level.CAUTION,
                code="runway-only-just",
                athlete=who,
                values={"needed_m": needed, "room_m": spec.room_m, "left_m": spec.room_m - needed},
            )
        )
    return tuple(found)


def _steps_too_many(made: _Forward, excess_m: float) -> int:
    """Return how many steps fewer fit the room: an even number, so that the same foot takes off.

    A run-on without its last steps is shorter by as much, and all that follows is no longer. When
    no number of them is enough, the shortest run-on there is.
    """
    ends = [float(landing.along_m) for landing in made.landings[: made.run.steps]]
    most = made.run.steps - FEWEST_STEPS
    fits = (gone for gone in range(2, most + 1, 2) if ends[-1] - ends[-1 - gone] >= excess_m)
    return next(fits, max(most - most % 2, 0))


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
