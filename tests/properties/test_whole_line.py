"""What must hold for any athlete and any plan, from what is known of them to the readings."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from plans_of_any_kind import GRASS, plans, rounded, wicket_runs

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.export import document
from wicketlay.findings import Level, worst
from wicketlay.ground.placing import Direction, Place
from wicketlay.ground.tape import PullDirection, TapeSpec, Tick
from wicketlay.lanes.stages import StageCadence
from wicketlay.plan import Plan, StagePlan
from wicketlay.running.athlete import Athlete, Sex
from wicketlay.sheets import make_pages
from wicketlay.sheets.page.model import Role, Text
from wicketlay.solve import Laying, Solved, solve
from wicketlay.sources import DEFAULTS

SOME = settings(max_examples=25, deadline=None)
FEW = settings(max_examples=12, deadline=None)


def the_laying(solved: Solved) -> Laying:
    assume(solved.layings)
    return solved.layings[0]


def places(laying: Laying) -> np.ndarray:
    return np.array([mark.along_m for mark in laying.layout.of_kind(MarkKind.WICKET)])


def readings(laying: Laying) -> dict[str, float]:
    """Mark to where it lies from the zero by the tape [m], negative against the run.

    A pull that begins at a mark of another goes on from there.
    """
    at: dict[str, float] = {}
    for pull in laying.tape.pulls:
        sign = 1 if pull.direction is PullDirection.RUNNING else -1
        zero = at.setdefault(pull.zero_id, 0.0)
        for each in pull.readings:
            at.setdefault(each.mark_id, zero + sign * each.ticks * each.tick.metres)
    return at


@SOME
@given(plans())
def test_marks_come_one_after_the_other_and_gaps_add_up(plan):
    laying = the_laying(solve(plan))
    marks = laying.layout.marks
    assert all(a.along_m < b.along_m for a, b in itertools.pairwise(marks))
    gaps = [mark.gap_m for mark in laying.layout.of_kind(MarkKind.WICKET)[1:]]
    assert sum(gaps) == pytest.approx(laying.layout.section_m, abs=1e-9)
    assert np.diff(places(laying)) == pytest.approx(gaps, abs=1e-9)
    # On the ground they are as far apart as in the layout, on a bend too.
    chainages = [each.chainage_m for each in laying.placed.marks]
    assert np.diff(chainages) == pytest.approx(np.diff([m.along_m for m in marks]), abs=1e-9)
    for pull in laying.tape.pulls:
        ticks = [each.ticks for each in pull.readings]
        assert ticks[0] == 0
        assert all(a < b for a, b in itertools.pairwise(ticks))


@SOME
@given(plans(), st.floats(0.3, 0.7), st.floats(0.3, 0.7))
def test_the_share_beyond_the_wicket_slides_all_and_opens_nothing(plan, one, other):
    drill = replace(plan.drill, gaps=GapRule.FOLLOW, section_m=None, wickets=10)
    plan = replace(plan, drill=drill)
    first, second = (
        the_laying(solve(replace(plan, judgement=replace(DEFAULTS, beyond_share=share))))
        for share in (one, other)
    )
    assert first.layout.run_on_steps == second.layout.run_on_steps
    steps = np.array([landing.along_m for landing in first.layout.landings])
    growth = np.abs(np.diff(np.diff(steps))[-10:]).max()
    opened = np.abs(np.diff(places(first)) - np.diff(places(second)))
    assert opened.max() <= growth + 1e-9
    # More of the step beyond the wicket: the wicket stands nearer the start.
    slid = (second.layout.run_on_m - first.layout.run_on_m) * np.sign(one - other)
    assert slid >= -1e-9


@SOME
@given(plans(where=("grass", "straight")), st.sampled_from(["start", "w1", "w2"]))
def test_the_zero_of_the_tape_moves_no_mark(plan, zero):
    plan = replace(plan, tape=TapeSpec(length_m=100.0))
    usual = the_laying(solve(plan))
    moved = the_laying(solve(replace(plan, tape=replace(plan.tape, zero=zero))))
    assert moved.layout == usual.layout
    assert moved.placed.marks == usual.placed.marks
    one, other = readings(usual), readings(moved)
    by = other["w1"] - one["w1"]
    # Three readings, each rounded once, by half a tick at most.
    assert all(abs(other[mark] - one[mark] - by) <= 0.015 + 1e-9 for mark in one)


@SOME
@given(plans())
def test_metric_and_feet_agree_within_their_ticks(plan):
    metric = the_laying(solve(plan))
    feet = the_laying(solve(replace(plan, tape=replace(plan.tape, tick=Tick.HALF_INCH))))
    assert feet.layout == metric.layout
    one, other = readings(metric), readings(feet)
    assert one.keys() == other.keys()
    pulls = max(len(metric.tape.pulls), len(feet.tape.pulls))
    within = (0.01 + 0.0127) / 2 * pulls + 1e-9
    assert all(abs(one[mark] - other[mark]) <= within for mark in one)


@SOME
@given(plans(where=("grass",)))
def test_the_other_direction_is_the_mirror(plan):
    with_run = the_laying(solve(plan))
    there = replace(plan.place, direction=Direction.AGAINST, offset_m=300.0 - plan.place.offset_m)
    against = the_laying(solve(replace(plan, place=there)))
    assert against.layout == with_run.layout
    assert readings(against) == readings(with_run)
    for one, other in zip(with_run.placed.marks, against.placed.marks, strict=True):
        assert one.mark == other.mark
        assert other.chainage_m == pytest.approx(300.0 - one.chainage_m, abs=1e-9)
    assert against.placed.run_out_room_m == pytest.approx(with_run.placed.run_out_room_m)
    assert against.placed.behind_start_room_m == pytest.approx(with_run.placed.behind_start_room_m)
    codes = [sorted(f.code for f in each.findings) for each in (with_run, against)]
    assert codes[0] == codes[1]


def natural_gaps(athlete: Athlete, drill: WicketRun) -> np.ndarray:
    plan = Plan(
        title="T",
        athletes=(athlete,),
        drill=drill,
        ground=GRASS,
        place=Place(mark="w1", offset_m=120.0),
    )
    laying = the_laying(solve(plan))
    return np.diff(places(laying))


KNOWN = st.builds(
    Athlete,
    name=st.just("A"),
    height_m=rounded(1.5, 1.95, 2),
    sex=st.sampled_from([None, *Sex]),
    top_speed_mps=rounded(5.0, 10.5),
    time_constant_s=rounded(0.9, 1.3, 2),
)
FOLLOWED = wicket_runs(
    gaps=GapRule.FOLLOW, cadence=CadenceTarget(), section_m=None, wickets=12, run_on_steps=12
)


@SOME
@given(KNOWN, FOLLOWED, st.floats(0.01, 1.5))
def test_the_faster_never_get_shorter_gaps(athlete, drill, more):
    faster = replace(athlete, top_speed_mps=athlete.top_speed_mps + more)
    assert np.all(natural_gaps(faster, drill) >= natural_gaps(athlete, drill) - 1e-9)


@SOME
@given(KNOWN, FOLLOWED, st.floats(0.47, 0.56), st.floats(0.001, 0.02))
def test_the_longer_legged_never_get_shorter_gaps(athlete, drill, share, more):
    one, other = (replace(athlete, leg_m=athlete.height_m * each) for each in (share, share + more))
    # The longer leg takes fewer steps a second, so that a step of it covers more.
    assert np.all(natural_gaps(other, drill) >= natural_gaps(one, drill) - 1e-9)


@SOME
@given(
    KNOWN,
    FOLLOWED,
    st.sampled_from([CadenceRule.OF_TOP, CadenceRule.OF_NATURAL, CadenceRule.STEPS_PER_S]),
    st.floats(0.75, 1.2),
    st.floats(0.005, 0.08),
)
def test_a_higher_cadence_closes_every_gap(athlete, drill, rule, value, more):
    scale = 4.2 if rule is CadenceRule.STEPS_PER_S else 1.0
    one, other = (
        natural_gaps(athlete, replace(drill, cadence=CadenceTarget(rule=rule, value=scale * each)))
        for each in (value, value + more)
    )
    assert np.all(other < one)


@FEW
@given(
    plans(where=("grass",)),
    rounded(0.75, 0.95),
    rounded(0.0, 0.05),
    st.integers(2, 6),
    rounded(0.0, 0.08),
    st.booleans(),
)
def test_no_stage_is_off_by_more_than_its_tolerance(plan, low, more, count, tolerance, natural):
    stages = StagePlan(
        from_share=low,
        to_share=low + more,
        count=count,
        tolerance_m=tolerance,
        cadence=StageCadence.NATURAL if natural else StageCadence.HELD,
    )
    followed = solve(replace(plan, stages=stages)).layings
    exact = solve(replace(plan, stages=replace(stages, tolerance_m=0.0))).layings
    assume(followed)
    assert len(followed) == len(exact) == count
    for laid, true in zip(followed, exact, strict=True):
        off = places(laid) - places(true)
        off = off - off[0]
        assert np.abs(off).max() <= tolerance + 1e-6
        assert np.abs(np.diff(off)).max() <= tolerance + 1e-6
        moved = {move.mark_id for move in laid.followed}
        assert "w1" not in moved


@FEW
@given(plans(), st.sampled_from(["a4", "letter", "a5", "phone"]), st.booleans())
def test_paper_says_what_the_json_says(plan, paper, feet):
    if feet:
        plan = replace(plan, tape=replace(plan.tape, tick=Tick.HALF_INCH))
    solved = solve(plan)
    # A stop keeps the readings off the paper.
    assume(solved.layings and worst(solved.all_findings) is not Level.STOP)
    told = document(solved)["layings"][0]["marks"]
    pages = [
        page for sheet in make_pages(solved, only=["tape"], paper=paper) for page in sheet.pages
    ]
    drawn = [
        item.text
        for page in pages
        for item in page.items
        if isinstance(item, Text) and item.role is Role.READING
    ]
    if feet:
        printed = " ".join(drawn)
        wanted = [mark["shown"].split()[0] for mark in told]
        assert all(feet_part in printed.split() for feet_part in wanted)
    else:
        missing = {mark["shown"] for mark in told} - set(drawn)
        assert not missing
