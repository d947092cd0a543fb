"""A coach's fortnight with nine athletes: what each day costs in pages, minutes and moved marks."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.drills import FlyingSegment, TakeoffRun, WicketRun
from wicketlay.ground import Runway, Strip
from wicketlay.ground.placing import Place
from wicketlay.lanes.closing import hurdles_of
from wicketlay.plan import Plan, SessionPlan, StagePlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import Athlete
from wicketlay.running.facts import Foot
from wicketlay.sheets.document import make_pages
from wicketlay.solve import solve
from wicketlay.stations import Practice, Shared, Station, solve_practice
from wicketlay.wording.solved import told_of

LAYOUTS = Path(__file__).parents[2] / "layouts"
NAMES = ("Ada", "Bea", "Cleo", "Dana", "Ewa", "Finn", "Gus", "Hana", "Ivo")


def athletes(count: int = 9, stem: str = "") -> tuple[Athlete, ...]:
    return tuple(
        Athlete(
            name=f"{stem}{NAMES[i % 9]}",
            height_m=1.58 + 0.035 * (i % 9),
            top_speed_mps=7.4 + 0.3 * (i % 9),
            time_constant_s=1.1,
        )
        for i in range(count)
    )


def wickets(**changes) -> Plan:
    plan = Plan(
        title="Nine over wickets",
        athletes=athletes(),
        drill=WicketRun(speed_share=0.92, wickets=10),
        ground=load(LAYOUTS / "shared-lanes.toml").ground,
        place=Place(
            line="home straight", lanes=(3, 4), landmark="finish", mark="w1", offset_m=-50.0
        ),
        session=SessionPlan(efforts=4, waves=2, length_s=60 * 60.0, assistants=2),
    )
    return replace(plan, **changes)


def changed(plan: Plan, name: str, **changes) -> Plan:
    return plan.with_adjustment(replace(plan.adjustment(name), **changes))


def hall() -> Plan:
    place = Place(lanes=(1, 2), offset_m=22.0, mark="w1")
    drill = WicketRun(speed_share=0.85, wickets=6)
    ground = Strip(length_m=60.0, lanes=4)
    return replace(wickets(), ground=ground, place=place, drill=drill)


def runway(length_m: float) -> Plan:
    usual = load(LAYOUTS / "board-approach.toml")
    assert isinstance(usual.ground, Runway)
    ground = replace(usual.ground, length_m=length_m)
    drill = TakeoffRun(speed_share=0.9, wickets=4)
    nine = tuple(replace(each, takeoff_foot=Foot.LEFT) for each in athletes())
    session = SessionPlan(efforts=4, length_s=75 * 60.0)
    return replace(usual, athletes=nine, ground=ground, drill=drill, session=session)


def flying() -> Plan:
    plan = wickets(drill=FlyingSegment())
    place = replace(plan.place, lanes=(5,), mark="gate1", offset_m=-40.0)
    return replace(plan, place=place, session=SessionPlan(efforts=4, length_s=60 * 60.0))


DAYS = {
    "nine on two lanes in two waves": (wickets, 8, 25, 24),
    "one absent": (lambda: changed(wickets(), "Dana", absent=True), 8, 25, 24),
    "one late": (lambda: changed(wickets(), "Bea", late_s=900.0), 8, 25, 24),
    "other lanes": (lambda: edits.move_everything(wickets(), lanes=(5, 6)).plan, 8, 25, 24),
    "a smaller bag": (lambda: edits.set_bag(wickets(), 12).plan, 8, 25, 24),
    "flying in turn": (flying, 6, 30, 0),
    "a short runway": (lambda: runway(34.0), 18, 75, 40),
    "a hall of 60 m": (hall, 8, 25, 24),
}
"""A day, and the most pages, minutes and moved marks it may take."""


def taken(day: str) -> tuple[int, float, int]:
    """Return the pages, minutes and moved marks of a day."""
    solved = solve(DAYS[day][0]())
    assert solved.session is not None
    pages = sum(len(sheet.pages) for sheet in make_pages(solved))
    return pages, solved.session.total_s / 60.0, solved.session.marks_moved


@pytest.mark.parametrize("day", DAYS)
def test_a_day_of_the_fortnight_keeps_to_its_pages_minutes_and_moves(day):
    _, most_pages, most_min, most_moved = DAYS[day]
    pages, minutes, moved = taken(day)
    assert pages <= most_pages
    assert minutes <= most_min
    assert moved <= most_moved


def test_a_bag_of_14_over_two_lanes_is_seven_and_seven():
    solved = solve(wickets())
    dealt = {hurdles_of(laying.layout) for laying in solved.layings}
    assert solved.plan.kit.wickets == 14
    assert dealt == {7}


def test_other_lanes_change_no_reading_and_an_absent_athlete_moves_only_their_own_group():
    before = solve(wickets())
    moved = solve(edits.move_everything(wickets(), lanes=(5, 6)).plan)
    for was, now in zip(before.layings, moved.layings, strict=True):
        assert now.lane == was.lane + 2
        assert not edits.moved_marks(was, now)
    away = solve(changed(wickets(), "Dana", absent=True))
    for was, now in zip(before.layings, away.layings, strict=True):
        assert "Dana" in was.athletes or not edits.moved_marks(was, now)


def test_what_is_found_of_an_athlete_at_some_stages_says_at_which():
    man = Athlete(name="Otto", height_m=1.88, sex="m", top_speed_mps=9.9, time_constant_s=1.1)
    child = Athlete(name="Kim", height_m=1.52, age_years=12, top_speed_mps=6.5)
    stages = StagePlan(from_share=0.88, to_share=0.97, count=4)
    plan = wickets(
        athletes=(man, child), stages=stages, drill=WicketRun(speed_share=0.9, wickets=11)
    )
    what = solve(plan)
    lines = [text for _, text in told_of(what)]
    long = [text for text in lines if "over the natural step" in text]
    assert {text.partition(" the gap")[0] for text in long} == {"stage 4: Otto:", "stage 4: Kim:"}
    assert any(text.startswith("Kim: under 15 years") for text in lines)  # at every stage
    last = [laying for laying in what.layings if laying.stage == 4]
    assert any(text.startswith("Otto: the gap") for _, text in told_of(what, last))


def test_what_holds_for_every_wave_on_the_runway_is_said_once():
    lines = [text for _, text in told_of(solve(runway(34.0)))]
    said = [text for text in lines if "runway length is 34.00 m" in text]
    assert len(said) == 1
    assert not said[0].startswith("lane")


def six_stations() -> Practice:
    plans = [
        replace(
            wickets(),
            title=f"Station {i}",
            athletes=athletes(5, f"{i}"),
            place=replace(wickets().place, lanes=(i + 1,)),
            session=SessionPlan(efforts=4, waves=2),
        )
        for i in range(6)
    ]
    stations = tuple(Station(plan=plan, begins_s=0.0) for plan in plans)
    return Practice(title="Six stations", date=None, shared=Shared(assistants=6), stations=stations)


def test_thirty_athletes_on_six_stations_take_the_time_of_their_plans_one_by_one():
    practice = six_stations()
    alone, together = [], []
    for _ in range(3):
        begun = time.process_time()
        for station in practice.stations:
            solve(station.plan)
        alone.append(time.process_time() - begun)
        begun = time.process_time()
        solve_practice(practice)
        together.append(time.process_time() - begun)
    assert min(together) < 1.6 * min(alone) + 0.02


if __name__ == "__main__":  # the table of the fortnight
    print(f"{'day':34}{'pages':>7}{'minutes':>9}{'moved':>7}")  # noqa: T201
    for each in DAYS:
        pages, minutes, moved = taken(each)
        print(f"{each:34}{pages:7}{minutes:9.0f}{moved:7}")  # noqa: T201
