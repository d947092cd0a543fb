"""The whole practice on another ground: where it lies there, and what says that it does not fit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip
from wicketlay.plan_file import load, read_ground
from wicketlay.solve import solve
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"
HALL = "harbour-hall.toml"


@pytest.fixture
def shared():
    return load(LAYOUTS / "shared-lanes.toml")


@pytest.fixture
def hall():
    return read_ground(LAYOUTS, HALL)


def gaps(plan):
    return [[mark.gap_m for mark in laying.layout.marks] for laying in solve(plan).layings]


def test_everything_goes_to_the_straight_of_the_hall_that_has_room_and_no_gap_changes(shared, hall):
    moved = edits.move_to_ground(shared, hall, HALL).plan
    assert (moved.place.line, moved.place.lanes) == ("60 m straight", shared.place.lanes)
    assert moved.ground_file == HALL
    assert gaps(moved) == gaps(shared)
    assert not any(each.stopped for each in solve(moved).layings)


def test_who_is_on_a_lane_by_hand_follows_to_the_lane_that_stands_for_it(shared, hall):
    first, second = shared.place.lanes
    by_hand = shared.with_adjustment(replace(shared.adjustment("Wren"), lane=second))
    moved = edits.move_to_ground(by_hand, hall, HALL, lanes=(1, 2)).plan
    assert moved.adjustment("Wren").lane == 2
    assert moved.place.lanes == (1, 2)
    assert first != 1


def test_a_line_is_taken_by_its_name_in_any_case_and_a_lane_it_has_not_is_refused(shared, hall):
    moved = edits.move_to_ground(shared, hall, HALL, line="60 M STRAIGHT", lanes=(5, 6)).plan
    assert (moved.place.line, moved.place.lanes) == ("60 m straight", (5, 6))
    with pytest.raises(DomainError, match="60 m straight has no lane 7; it has 1 to 6"):
        edits.move_to_ground(shared, hall, HALL, line="60 m straight", lanes=(7,))
    with pytest.raises(DomainError, match='no line "nave"'):
        edits.move_to_ground(shared, hall, HALL, line="nave")


def test_a_ground_of_one_lane_takes_everybody_on_it(shared):
    moved = edits.move_to_ground(shared, Strip(length_m=120.0), None).plan
    assert moved.place.lanes == (1,)
    assert {each.lane for each in solve(moved).layings} == {1}


def test_where_nothing_fits_the_findings_say_what_would(shared):
    short = Strip(length_m=30.0, wall_at_start=True, wall_at_end=True, lanes=4)
    moved = edits.move_to_ground(shared, short, None).plan
    stops = [f for f in solve(moved).all_findings if f.level is Level.STOP]
    assert stops
    assert any(word(each).remedy for each in stops)


def test_take_offs_go_to_the_pit_of_another_runway():
    plan = load(LAYOUTS / "board-approach.toml")
    edit = edits.move_to_ground(plan, Runway(), None)
    assert word(edit.done).text == "everything on the runway, runway"
    assert word(edits.move_everything(plan).done).text == "everything on the runway"
    moved = edit.plan
    assert moved.place.landmark in {"board", "take-off line", "long-jump board"}
    assert not any(each.stopped for each in solve(moved).layings)
