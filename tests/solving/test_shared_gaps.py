"""Shared gaps that suit somebody ill say so, and name the lane that is free."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.drills import WicketRun
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.plan import Plan, SessionPlan, StagePlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import Athlete, Sex
from wicketlay.solve import solve
from wicketlay.wording import word

SIZES = {"Wren": (1.62, 7.5), "Kit": (1.62, 7.6), "Tarik": (1.74, 8.4)}


def plan_on(lanes_there: int) -> Plan:
    return Plan(
        title="Three on a lane",
        athletes=tuple(
            Athlete(
                name=name,
                height_m=height_m,
                sex=Sex.FEMALE,
                top_speed_mps=speed_mps,
                time_constant_s=1.1,
            )
            for name, (height_m, speed_mps) in SIZES.items()
        ),
        drill=WicketRun(speed_share=0.95, wickets=8),
        ground=Strip(length_m=120.0, lanes=lanes_there),
        place=Place(lanes=(1,), offset_m=40.0),
        session=SessionPlan(waves=1),
    )


def shared_lanes() -> Plan:
    return load(Path(__file__).parents[2] / "layouts" / "shared-lanes.toml")


def about_gaps(plan: Plan):
    return [f for f in solve(plan).all_findings if f.code.startswith("gap-too")]


def test_a_free_lane_is_named_and_taking_it_mends_the_gaps():
    plan = plan_on(2)
    (finding,) = about_gaps(plan)
    assert finding.athlete == "Tarik"
    remedy = word(finding).remedy
    assert "shared with Wren and Kit" in remedy
    assert "[place] lanes = [1, 2]" in remedy
    more = replace(plan, place=replace(plan.place, lanes=(1, 2)))
    assert about_gaps(more) == []
    assert [f for f in solve(more).all_findings if f.level is Level.STOP] == []


def test_the_free_lane_is_the_nearest_one():
    plan = plan_on(8)
    (finding,) = about_gaps(replace(plan, place=replace(plan.place, lanes=(6,))))
    assert "[place] lanes = [6, 5]" in word(finding).remedy


def test_where_no_lane_is_free_sharing_is_still_said_to_be_the_cause():
    (finding,) = about_gaps(plan_on(1))
    remedy = word(finding).remedy
    assert "shared with Wren and Kit" in remedy
    assert "lanes =" not in remedy


def test_a_lane_that_helps_some_is_named_to_them_alone():
    plan = plan_on(2)
    tall = Athlete(name="Odd", height_m=1.95, sex=Sex.MALE, top_speed_mps=10.5, time_constant_s=1.1)
    small = Athlete(
        name="Girl", height_m=1.42, sex=Sex.FEMALE, top_speed_mps=6.0, time_constant_s=1.1
    )
    plan = replace(plan, athletes=(*plan.athletes, tall, small))
    named = {f.athlete for f in about_gaps(plan) if f.code.endswith("-lane-free")}
    more = replace(plan, place=replace(plan.place, lanes=(1, 2)))
    before, after = ({f.athlete for f in about_gaps(each)} for each in (plan, more))
    assert named == before - after
    assert named
    assert after


def test_a_short_gap_is_told_on_the_base_that_the_sharing_table_uses():
    solved = solve(plan_on(1))
    (finding,) = (f for f in solved.all_findings if f.code.startswith("gap-too-short"))
    (demand,) = (d for d in solved.layings[0].demands if d.athlete.name == finding.athlete)
    assert finding.values["under_share"] == pytest.approx(-demand.mismatch)


def letters(plan: Plan) -> dict[str, str]:
    return {d.athlete.name: d.letter for each in solve(plan).layings for d in each.demands}


def changed(plan: Plan, name: str, **changes) -> Plan:
    return plan.with_adjustment(replace(plan.adjustment(name), **changes))


def test_nothing_that_regroups_a_practice_changes_a_start_letter():
    plan = shared_lanes()
    before = letters(plan)
    assert before == dict(zip([a.name for a in plan.athletes], "ABCDEF", strict=True))
    for name in before:
        assert letters(edits.notch_gaps(plan, name, 5).plan) == before
        assert letters(edits.notch_gaps(plan, name, -5).plan) == before
        away = letters(changed(plan, name, absent=True))
        assert away == {other: letter for other, letter in before.items() if other != name}
    assert letters(edits.set_sharing(plan, lanes=1, waves=1)) == before


def test_who_runs_earlier_or_leaves_takes_no_letter_of_anybody():
    plan = shared_lanes()
    before = letters(plan)
    assert letters(edits.move_athlete(plan, "Kit", -3).plan) == before
    gone = edits.remove_athlete(plan, "Bram").plan
    assert letters(gone) == {name: before[name] for name in before if name != "Bram"}
    new = replace(plan.athletes[0], name="Zo")
    more = letters(edits.add_athlete(gone, new).plan)
    assert more == {**letters(gone), "Zo": before["Bram"]}


def test_a_letter_written_down_is_kept_and_read_in_any_case():
    plan = changed(shared_lanes(), "Wren", letter="Q")
    assert letters(plan)["Wren"] == "Q"
    with pytest.raises(DomainError, match="it must be one of A to Z"):
        changed(plan, "Wren", letter="AB")


def test_who_is_alone_of_those_who_share_keeps_the_lettered_start_mark():
    plan = shared_lanes()
    pair = next(each for each in solve(plan).layings if len(each.demands) > 1)
    stays, goes = pair.athletes
    after = edits.laying_of(solve(changed(plan, goes, absent=True)), stays, 1)
    assert after is not None
    own, other = (f"start-{letters(plan)[name].lower()}" for name in (stays, goes))
    came_or_went = {m.mark_id for m in edits.moved_marks(pair, after) if m.by_m is None}
    assert came_or_went == {other}
    assert after.layout.start.id == own
    assert after.layout.start.label == letters(plan)[stays]


def test_a_notch_on_shared_gaps_is_told_by_what_it_opens():
    plan = shared_lanes()
    pair = next(each for each in solve(plan).layings if len(each.demands) > 1)
    edit = edits.notch_gaps(plan, pair.athletes[0], 1)
    after = edits.laying_of(solve(edit.plan), edit.gaps_of, 1)
    assert after is not None
    opened = edits.gaps_opened(pair, after)
    wickets = [each.layout.of_kind(MarkKind.WICKET) for each in (pair, after)]
    was, now = ((marks[-1].along_m - marks[0].along_m) for marks in wickets)
    assert opened == pytest.approx(now / was - 1.0, abs=1e-9)
    assert 0.0 <= opened < 0.02


def test_no_stage_puts_a_spared_athlete_over_their_own_gaps_by_its_tolerance():
    plan = plan_on(1)
    girl = Athlete(name="Girl", height_m=1.5, age_years=13.0, top_speed_mps=6.8)
    series = StagePlan(from_share=0.85, to_share=0.95, count=10, tolerance_m=0.03)
    plan = replace(plan, athletes=(*plan.athletes[:2], girl), stages=series)
    compared = 0
    for laying in solve(plan).layings:
        spared = next(d for d in laying.demands if d.athlete.name == "Girl")
        own = [mark.gap_m for mark in spared.layout.of_kind(MarkKind.WICKET)[1:]]
        marks = laying.layout.of_kind(MarkKind.WICKET)
        for gap, (one, two) in zip(own, itertools.pairwise(marks), strict=True):
            compared += 1
            assert two.along_m - one.along_m <= gap + 1e-6
    assert compared == 10 * 7
