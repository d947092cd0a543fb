"""Whole practices: any drill, ground and number of athletes, with waves, stages and changes."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plans_of_any_kind import CADENCES, athletes, rounded, wicket_runs

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    Kit,
    Spec,
    TakeoffRun,
)
from wicketlay.findings import Level
from wicketlay.ground.placing import Direction, Place
from wicketlay.ground.runway import Event, Runway
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.tape import TapeLies, TapeSpec, Tick
from wicketlay.ground.track import RadiusOf, Track
from wicketlay.lanes.stages import StageCadence
from wicketlay.plan import Adjustment, Plan, SessionPlan, StagePlan
from wicketlay.running.athlete import Foot
from wicketlay.running.touchdowns import StartKind

if TYPE_CHECKING:
    from wicketlay.ground import Ground
    from wicketlay.solve import Solved

PHASES = [Phase.generate, Phase.shrink]
"""Without explaining a failure, which takes longer by far than finding it."""


def few_and_many(*, few: int, many: int):
    """Mark a test of `examples` random cases: a few always, many among the slow tests."""
    cases = [
        pytest.param(few, id="few"),
        pytest.param(many, id="many", marks=pytest.mark.nightly),
    ]
    return pytest.mark.parametrize("examples", cases)


def for_any(*strategies: st.SearchStrategy):
    """Make a property of drawn values a test of its `examples`.

    ::

        @few_and_many(few=20, many=400)
        @for_any(practices())
        def test_that_it_holds(plan): ...
    """

    def made(holds):
        # No `wraps`: pytest would look for fixtures by the names of the drawn values.
        def test(examples: int) -> None:
            @settings(max_examples=examples, deadline=None, database=None, phases=PHASES)
            @given(st.tuples(*strategies))
            def drawn(values: tuple) -> None:
                holds(*values)

            drawn()

        functools.update_wrapper(test, holds, assigned=("__module__", "__name__", "__doc__"))
        del test.__wrapped__
        return test

    return made


STARTS = st.sampled_from(StartKind)
SHARES = rounded(0.7, 1.0)

TAKEOFF_RUNS = st.builds(
    TakeoffRun,
    speed_share=SHARES,
    wickets=st.integers(2, 8),
    free_steps=st.none() | st.integers(2, 8),
    approach_steps=st.none() | st.integers(14, 30),
    cadence=CADENCES,
    takeoff_foot=st.sampled_from([None, *Foot]),
    start=STARTS,
    penultimate_ratio=st.none() | rounded(0.95, 1.3, 2),
    toe_behind_line_m=st.none() | rounded(0.0, 0.3, 2),
    gap_change=rounded(-0.05, 0.05, 2),
)
FLYING = st.builds(
    FlyingSegment,
    speed_share=SHARES,
    zone_m=st.sampled_from([10.0, 20.0, 30.0]),
    run_on_m=st.none() | rounded(15.0, 45.0, 1),
    start=STARTS,
)
BROKEN = st.builds(
    BrokenRun,
    speed_share=SHARES,
    parts_m=st.lists(rounded(10.0, 30.0, 1), min_size=2, max_size=5).map(tuple),
    easy_share=st.none() | rounded(0.8, 1.0, 2),
    start=STARTS,
)
ACCELERATIONS = st.builds(
    AccelerationMarks,
    speed_share=SHARES,
    steps=st.integers(3, 20),
    first_foot=st.sampled_from([None, *Foot]),
    start=STARTS,
)
DRILLS: dict[str, st.SearchStrategy[Spec]] = {
    "wicket-run": wicket_runs(),
    "takeoff-run": TAKEOFF_RUNS,
    "flying": FLYING,
    "broken-run": BROKEN,
    "acceleration": ACCELERATIONS,
}

STRIPS = st.builds(
    Strip,
    length_m=st.none() | rounded(40.0, 300.0, 1),
    lanes=st.just(6),
    surface=st.sampled_from(Surface),
    wall_at_end=st.booleans(),
)
TRACKS = st.builds(
    lambda size, **more: Track(**size, **more),
    st.sampled_from(
        [
            {},
            {"radius_m": 36.8, "straight_m": 84.0, "radius_of": RadiusOf.RUNNING_LINE},
            {"radius_m": 17.2, "straight_m": 45.0, "radius_of": RadiusOf.KERB, "lanes": 6},
        ]
    ),
    finish_to_bend_m=rounded(0.0, 5.0, 1),
)
RUNWAYS = st.builds(Runway, event=st.sampled_from(Event), length_m=rounded(30.0, 60.0, 1))


@st.composite
def places(draw, ground: Ground, lanes: int) -> Place:
    """Somewhere on a ground; it need not fit."""
    line, most = None, 6
    if isinstance(ground, Track):
        line = draw(st.sampled_from(["home straight", "back straight", "first bend", "lap"]))
    elif isinstance(ground, Runway):
        most = 1
    first = draw(st.integers(1, max(most - lanes + 1, 1)))
    return Place(
        line=line,
        lanes=tuple(range(first, first + (1 if most == 1 else lanes))),
        mark=draw(st.none() | st.just("start")),
        offset_m=draw(rounded(-80.0, 150.0, 2)),
        direction=draw(st.sampled_from([Direction.WITH, Direction.WITH, *Direction])),
        slide_m=draw(st.just(0.0) | rounded(-2.0, 2.0, 2)),
    )


TAPES = st.builds(
    TapeSpec,
    zero=st.sampled_from([None, None, "start", "w1", "w2", "line", "cone1", "gate1", "step1"]),
    length_m=st.sampled_from([20.0, 30.0, 50.0, 100.0]),
    tick=st.sampled_from(Tick),
    temperature_c=st.none() | st.integers(-20, 50).map(float),
    lies=st.sampled_from(TapeLies),
)
STAGES = st.builds(
    lambda low, more, count, now, **rest: StagePlan(
        from_share=low, to_share=low + more, count=count, now=min(now, count), **rest
    ),
    rounded(0.7, 0.9),
    rounded(0.0, 0.1),
    st.integers(2, 5),
    st.integers(1, 5),
    hold=st.sampled_from(["w1", "w1", "w2"]),
    tolerance_m=rounded(0.0, 0.08),
    cadence=st.sampled_from(StageCadence),
)


def changes(name: str) -> st.SearchStrategy[Adjustment]:
    """What a coach may have changed for one athlete."""
    return st.builds(
        Adjustment,
        athlete=st.just(name),
        gap_change=rounded(-0.06, 0.06, 2),
        speed_change=rounded(-0.05, 0.05, 2),
        cadence_change=rounded(-0.04, 0.04, 2),
        start_shift_m=rounded(-1.0, 1.0, 2),
        absent=st.sampled_from([False, False, True]),
        late_s=st.sampled_from([0.0, 0.0, 600.0]),
    )


@st.composite
def practices(draw, *, most: int = 4, drills: tuple[str, ...] = tuple(DRILLS), **fixed) -> Plan:
    """Any practice; `fixed` are fields of the plan that are not drawn."""
    names = ["A", "B", "C", "D"][: draw(st.integers(1, most))]
    ground = draw(st.one_of(STRIPS, TRACKS, RUNWAYS))
    drill = draw(DRILLS[draw(st.sampled_from(drills))])
    chosen = {
        "athletes": tuple(draw(athletes(name)) for name in names),
        "drill": drill,
        "ground": ground,
        "place": draw(places(ground, draw(st.integers(1, 2)))),
        "kit": Kit(wickets=draw(st.integers(0, 20))),
        "tape": draw(TAPES),
        "session": SessionPlan(
            efforts=draw(st.none() | st.integers(1, 12)),
            waves=draw(st.none() | st.integers(1, 3)),
        ),
        "stages": draw(st.none() | STAGES),
        "adjustments": tuple(draw(changes(name)) for name in names if draw(st.booleans())),
    }
    return Plan(title="Any", **(chosen | fixed))


def csv_rows(solved: Solved) -> int:
    """Return a row for every stop, and one for every mark that may be laid out."""
    stops = sum(finding.level is Level.STOP for finding in solved.all_findings)
    return stops + sum(len(o.placed.marks) for o in solved.layings if solved.may_lay(o))
