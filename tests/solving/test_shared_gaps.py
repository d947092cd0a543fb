"""Shared gaps that suit somebody ill say so, and name the lane that is free."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wicketlay.drills import WicketRun
from wicketlay.findings import Level
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.plan import Plan, SessionPlan
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
