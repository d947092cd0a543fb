"""Every key a coach can write: its range is declared once and held wherever it is met."""

import dataclasses
import math
from types import SimpleNamespace

import pytest

from wicketlay.declared import check_keys, keys_of, range_of
from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.kit import Kit
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.errors import DomainError
from wicketlay.ground.course import NotedObject, Obstacle
from wicketlay.ground.lines import Pose
from wicketlay.ground.placed import Place
from wicketlay.ground.readings import TapeSpec
from wicketlay.ground.runway import Board, Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import OwnLandmark, Track
from wicketlay.keys.athletes import ATHLETE
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import ADJUST, KIT, PLACE, SESSION, STAGES, TAPE
from wicketlay.keys.records import Sub, SubList
from wicketlay.plan import Adjustment, SessionPlan, StagePlan
from wicketlay.running.facts import (
    Athlete,
    BoardMisses,
    FirstGuess,
    FlyingTime,
    Observation,
    Splits,
)

HEIGHT = {"altitude_m": (-430.0, 4000.0)}
AIR = {"wind_mps": (-10.0, 10.0)} | HEIGHT
RANGES = {
    Athlete: {
        "height_m": (1.0, 2.3),
        "leg_m": (0.4, 1.3),
        "age_years": (5.0, 100.0),
        "top_speed_mps": (2.0, 12.4),
        "top_speed_sd_mps": (0.0, 2.0),
        "time_constant_s": (0.5, 2.0),
        "kept_step_m": (0.4, 3.2),
    },
    Splits: {"distances_m": (1.0, 200.0), "times_s": (0.1, 60.0), "reaction_s": (0.0, 0.5)} | AIR,
    FlyingTime: {
        "distance_m": (5.0, 100.0),
        "time_s": (0.3, 30.0),
        "run_on_m": (0.0, 200.0),
        "runs": (1, 100),
    }
    | AIR,
    Observation: {
        "distance_m": (3.0, 400.0),
        "time_s": (0.3, 120.0),
        "steps": (2.0, 400.0),
        "touchdowns": (0.0, 100_000.0),
        "step_m": (0.4, 3.2),
        "speed_mps": (1.0, 13.0),
        "held_share": (0.5, 1.0),
        "asked_share": (0.5, 1.0),
        "run_on_m": (0.0, 200.0),
        "runs": (1, 100),
        "fps": (10.0, 2000.0),
        "spread_s": (0.0, 60.0),
    }
    | AIR,
    BoardMisses: {"misses_m": (-3.0, 3.0), "slide_m": (-5.0, 5.0)},
    FirstGuess: {"cadence_hz": (2.5, 6.0), "speed_share": (0.5, 1.0)},
    WicketRun: {
        "speed_share": (0.5, 1.0),
        "section_m": (3.0, 100.0),
        "wickets": (2, 60),
        "group": (2, 60),
        "run_on_m": (3.0, 100.0),
        "run_on_steps": (3, 60),
        "gap_change": (-0.2, 0.2),
    },
    TakeoffRun: {
        "speed_share": (0.5, 1.0),
        "wickets": (2, 20),
        "free_steps": (2, 12),
        "approach_steps": (8, 40),
        "penultimate_ratio": (0.9, 1.4),
        "toe_behind_line_m": (0.0, 0.5),
        "room_m": (5.0, 120.0),
        "gap_change": (-0.2, 0.2),
    },
    FlyingSegment: {"speed_share": (0.5, 1.0), "zone_m": (5.0, 60.0), "run_on_m": (5.0, 100.0)},
    BrokenRun: {"parts_m": (5.0, 100.0), "speed_share": (0.5, 1.0), "easy_share": (0.5, 1.0)},
    AccelerationMarks: {"steps": (3, 30), "speed_share": (0.5, 1.0)},
    Kit: {"wickets": (0, 200), "wicket_width_m": (0.1, 1.5), "wicket_height_m": (0.005, 0.6)},
    Place: {"lanes": (1, 20), "offset_m": (-1000.0, 1000.0), "slide_m": (-1000.0, 1000.0)},
    TapeSpec: {"length_m": (2.0, 200.0), "temperature_c": (-30.0, 60.0)},
    SessionPlan: {
        "efforts": (1, 30),
        "recovery_s": (0.0, 3600.0),
        "waves": (1, 50),
        "length_s": (60.0, 21600.0),
        "assistants": (1, 20),
    },
    StagePlan: {
        "from_share": (0.5, 1.0),
        "to_share": (0.5, 1.0),
        "count": (2, 20),
        "now": (1, 20),
        "tolerance_m": (0.0, 0.5),
    },
    Adjustment: {
        "gap_change": (-0.2, 0.2),
        "speed_change": (-0.3, 0.3),
        "cadence_change": (-0.3, 0.3),
        "start_shift_m": (-20.0, 20.0),
        "slide_m": (-5.0, 5.0),
        "late_s": (0.0, 21600.0),
        "lane": (1, 20),
        "wave": (1, 50),
    },
    Obstacle: {"clearance_m": (0.0, 20.0)},
    NotedObject: {"distance_m": (0.0, 500.0)},
    Pose: {"x_m": (-2000.0, 2000.0), "y_m": (-2000.0, 2000.0), "heading_rad": (-6.3, 6.3)},
    OwnLandmark: {"lane": (1, 20)},
    Strip: {
        "length_m": (5.0, 500.0),
        "lanes": (1, 20),
        "lane_width_m": (0.5, 100.0),
        "line_width_m": (0.0, 0.2),
    }
    | HEIGHT,
    Board: {"to_pit_m": (0.0, 20.0), "length_m": (0.0, 5.0)},
    Runway: {
        "length_m": (5.0, 200.0),
        "width_m": (0.5, 10.0),
        "free_band_m": (0.0, 20.0),
        "pit_length_m": (1.0, 30.0),
        "pit_width_m": (1.0, 15.0),
    }
    | HEIGHT,
    Track: {
        "radius_m": (5.0, 100.0),
        "straight_m": (1.0, 300.0),
        "lanes": (1, 10),
        "straight_lanes": (1, 12),
        "lane_width_m": (0.5, 3.0),
        "line_width_m": (0.0, 0.2),
        "finish_to_bend_m": (0.0, 300.0),
        "start_extension_m": (0.0, 200.0),
        "run_out_m": (0.0, 200.0),
    }
    | HEIGHT,
}
"""Where a plan file of any season may have put a value: a range that moves refuses it."""
RECORDS = [ATHLETE, *DRILLS.values(), *GROUNDS.values(), KIT, PLACE, TAPE, SESSION, STAGES, ADJUST]


def test_ranges_are_those_that_plan_files_rely_on():
    declared = {
        made: {name: told.range for name, told in keys_of(made).items() if told.low is not None}
        for made in RANGES
    }
    assert declared == RANGES


@pytest.mark.parametrize(
    ("made", "name"), [(made, name) for made, ranges in RANGES.items() for name in ranges]
)
def test_a_value_is_taken_at_both_ends_of_its_range_and_refused_beyond(made, name):
    told = keys_of(made)[name]
    low, high = range_of(made, name)
    for value in (low, high, None):
        told.check(value, made)
    for value in (math.nextafter(low, -math.inf), math.nextafter(high, math.inf), math.nan):
        with pytest.raises(DomainError, match="must lie between"):
            told.check(value, SimpleNamespace(name="oak", key="board"))


def test_a_bag_holds_no_fewer_wickets_than_none():
    with pytest.raises(DomainError, match="wickets is -3; it must lie between 0 and 200"):
        Kit(wickets=-3)


def test_each_value_of_an_array_is_held_to_the_range():
    with pytest.raises(DomainError, match="lane is 21"):
        check_keys(Place(lanes=(1, 21)))


def _entries(record):
    for entry in record.entries:
        yield record, entry
        if isinstance(entry.codec, Sub | SubList):
            yield from _entries(entry.codec.record)


def test_every_declared_key_of_a_table_is_one_a_file_may_hold():
    for record in RECORDS:
        for table, _ in _entries(record):
            if dataclasses.is_dataclass(table.make):
                spelt = {entry.key for entry in table.entries}
                wanted = {told.name for told in keys_of(table.make).values()}
                assert wanted <= spelt | {"run_on_steps"}


def test_every_key_says_in_a_line_what_it_does():
    for made in RANGES:
        for told in keys_of(made).values():
            assert told.does, (made, told.name)
            assert len(told.does) <= 90
