"""Reviews of a solved plan: what the plan itself tells of a run."""

from dataclasses import replace
from datetime import date

import pytest

from wicketlay.drills import WicketRun
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.track import Track
from wicketlay.plan import Plan
from wicketlay.reviewing import review_athlete
from wicketlay.running.athlete import Athlete, Timing
from wicketlay.solve import solve

TODAY = date(2026, 3, 4)
WREN = Athlete(name="Wren", height_m=1.66, sex="f", top_speed_mps=7.9)
HALL = Strip(surface=Surface.HALL, length_m=120.0)


def run_of(ground, **told):
    solved = solve(
        Plan(
            title="t", athletes=(WREN,), drill=WicketRun(speed_share=0.9, wickets=8), ground=ground
        )
    )
    time_s = solved.layings[0].layout.section_time_s
    made = review_athlete(
        solved, "Wren", times_s=[time_s], timing=Timing.GATES, today=TODAY, **told
    )
    return made.observation


def test_in_a_hall_no_wind_blows_and_outdoors_nobody_knows():
    assert run_of(HALL).wind_mps == 0.0
    assert run_of(replace(HALL, surface=Surface.GRASS)).wind_mps is None
    assert run_of(HALL, wind_mps=0.4).wind_mps == 0.4


def test_the_height_of_the_ground_goes_with_the_run():
    assert run_of(replace(HALL, altitude_m=1200.0)).altitude_m == 1200.0


@pytest.mark.parametrize(
    ("ground", "indoors"),
    [
        (Track(), False),
        (Track(strips=(HALL,)), True),
        (Track(strips=(replace(HALL, surface=Surface.GRASS),)), False),
        (Runway(), False),
    ],
)
def test_an_oval_about_an_indoor_straight_stands_in_its_hall(ground, indoors):
    assert ground.indoors is indoors
