"""A ground that is too short: what is proposed fits there when it is done."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wicketlay.drills import WicketRun
from wicketlay.export import as_places
from wicketlay.findings import Level
from wicketlay.ground.placing import Fit, Place
from wicketlay.ground.strip import Strip
from wicketlay.plan import Plan
from wicketlay.running.athlete import Athlete, Sex
from wicketlay.solve import places_for, smaller_for_places, solve
from wicketlay.wording import word

WOMAN = Athlete(
    name="Woman", height_m=1.66, sex=Sex.FEMALE, top_speed_mps=7.9, time_constant_s=1.05
)


def hall(length_m: float, *, wickets: int = 8) -> Plan:
    return Plan(
        title="Hall",
        athletes=(WOMAN,),
        drill=WicketRun(speed_share=0.95, wickets=wickets),
        ground=Strip(length_m=length_m, wall_at_start=True, wall_at_end=True),
        place=Place(lanes=(1,), fit=Fit.FAR),
    )


def no_room(plan: Plan):
    return [
        f
        for f in solve(plan).all_findings
        if f.level is Level.STOP and ("slower" in f.code or f.code.endswith("no-room"))
    ]


def done(plan: Plan, *, wickets: object, speed_share: object) -> Plan:
    drill = plan.drill
    assert isinstance(drill, WicketRun)
    if isinstance(wickets, int):
        drill = replace(drill, wickets=wickets)
    if isinstance(speed_share, float):
        drill = replace(drill, speed_share=speed_share)
    return replace(plan, drill=drill)


@pytest.mark.parametrize(("length_m", "wickets"), [(40.0, 6), (40.0, 8), (36.0, 8), (40.0, 20)])
def test_what_a_short_hall_proposes_fits_when_it_is_done(length_m, wickets):
    plan = hall(length_m, wickets=wickets)
    (finding, *_) = no_room(plan)
    assert "speed_share" in finding.values
    values = finding.values
    smaller = done(plan, wickets=values.get("wickets"), speed_share=values["speed_share"])
    slid = values.get("slide_m", 0.0)
    assert isinstance(slid, float)
    smaller = replace(smaller, place=replace(smaller.place, slide_m=slid))
    assert [f for f in solve(smaller).all_findings if f.level is Level.STOP] == []
    share = values["speed_share"]
    assert isinstance(share, float)
    faster = done(smaller, wickets=None, speed_share=round(share + 0.01, 2))
    assert [f for f in solve(faster).all_findings if f.level is Level.STOP]


def test_the_stop_names_the_speed_at_which_the_wickets_fit():
    (finding, *_) = no_room(hall(40.0, wickets=6))
    share = finding.values["speed_share"]
    assert isinstance(share, float)
    assert f"run at {share * 100:.0f} % of top speed" in word(finding).remedy


@pytest.mark.parametrize("length_m", [36.0, 40.0, 60.0])
def test_where_no_place_is_found_the_smaller_run_has_one(length_m):
    plan = hall(length_m, wickets=20)
    solved = solve(plan)
    assert places_for(solved) == ()
    smaller = smaller_for_places(solved)
    assert smaller is not None
    fits = done(plan, wickets=smaller.wickets, speed_share=smaller.speed_share)
    assert places_for(solve(fits))
    if smaller.wickets is not None:
        assert f"{smaller.wickets} wickets" in as_places(solved, (), smaller)


def test_a_ground_too_short_for_anything_proposes_nothing():
    solved = solve(hall(12.0))
    assert smaller_for_places(solved) is None
    assert as_places(solved, (), None).endswith("use another ground\n")


def test_nothing_slower_than_three_quarters_is_proposed_but_the_lengths_are_told():
    (finding, *_) = no_room(hall(31.0, wickets=8))
    assert finding.code.endswith("-no-room")
    assert finding.values["have_m"] == pytest.approx(31.0, abs=1.5)
    assert finding.values["needed_m"] > 31.0
    assert "31" in word(finding).remedy or "30" in word(finding).remedy
    # It is told of every drill, also of those that have neither run-on nor section.
    assert "take a shorter run or a slower one" in word(finding).remedy
