"""Layouts put together by hand, and strategies of grounds, for the tests of the ground."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import strategies as st

from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.course import Obstacle


def wicket_layout(
    *,
    wickets=14,
    gap_m=1.85,
    growth_m=0.005,
    run_on_m=16.3,
    wanted_m=21.5,
    least_m=13.2,
    approach_m=0.0,
):
    """A wicket run from W1: one start mark, gaps that grow by `growth_m`."""
    places = [0.0]
    for number in range(wickets - 1):
        places.append(places[-1] + gap_m + growth_m * number)
    marks = [Mark(id="start", kind=MarkKind.START, along_m=AlongM(-run_on_m))]
    marks += [
        Mark(
            id=f"w{number}",
            kind=MarkKind.WICKET,
            along_m=AlongM(at),
            gap_m=None if number == 1 else at - places[number - 2],
        )
        for number, at in enumerate(places, start=1)
    ]
    return Layout(
        drill="wicket-run",
        datum=Datum.FIRST_WICKET,
        marks=tuple(marks),
        parts=(),
        landings=(),
        run_on_m=run_on_m,
        run_on_steps=11,
        section_m=places[-1],
        section_time_s=3.3,
        cadence_hz=3.95,
        speed_share=0.95,
        built_to_mps=7.5,
        run_out_from_m=AlongM(places[-1]),
        run_out_wanted_m=wanted_m,
        run_out_least_m=least_m,
        approach_m=approach_m,
    )


def takeoff_layout(*, approach_m=24.0, wickets=(-14.0, -12.0, -10.0, -8.0)):
    """A take-off run: everything lies behind the line."""
    marks = [Mark(id="start", kind=MarkKind.START, along_m=AlongM(-approach_m))]
    marks += [
        Mark(id=f"w{number}", kind=MarkKind.WICKET, along_m=AlongM(at))
        for number, at in enumerate(wickets, start=1)
    ]
    return Layout(
        approach_m=0.0,
        drill="takeoff-run",
        datum=Datum.TAKEOFF_LINE,
        marks=tuple(marks),
        parts=(),
        landings=(),
        run_on_m=approach_m + wickets[0],
        run_on_steps=6,
        section_m=wickets[-1] - wickets[0],
        section_time_s=0.8,
        cadence_hz=4.2,
        speed_share=0.9,
        built_to_mps=8.5,
        run_out_from_m=AlongM(0.0),
        run_out_wanted_m=25.0,
        run_out_least_m=16.0,
    )


def zone_layout():
    """A flying segment: start mark, two gates 20 m apart and a cone, from the start."""
    return Layout(
        approach_m=0.0,
        drill="flying",
        datum=Datum.START,
        marks=(
            Mark(id="start", kind=MarkKind.START, along_m=AlongM(0.0)),
            Mark(id="step1", kind=MarkKind.LANDING, along_m=AlongM(0.9)),
            Mark(id="gate1", kind=MarkKind.GATE, along_m=AlongM(30.0)),
            Mark(id="gate2", kind=MarkKind.GATE, along_m=AlongM(50.0)),
            Mark(id="cone1", kind=MarkKind.CONE, along_m=AlongM(50.0)),
        ),
        parts=(),
        landings=(),
        run_on_m=30.0,
        run_on_steps=16,
        section_m=20.0,
        section_time_s=2.2,
        cadence_hz=4.4,
        speed_share=1.0,
        built_to_mps=9.2,
        run_out_from_m=AlongM(50.0),
        run_out_wanted_m=30.0,
        run_out_least_m=18.0,
    )


def codes(placed):
    return [finding.code for finding in placed.findings]


def finding(placed, base):
    """The one finding whose code begins with `base`."""
    (found,) = [each for each in placed.findings if each.code.startswith(base)]
    return found


layouts = st.builds(
    wicket_layout,
    wickets=st.integers(4, 20),
    gap_m=st.floats(1.2, 2.4),
    growth_m=st.floats(0.0, 0.01),
    run_on_m=st.floats(6.0, 30.0),
    wanted_m=st.floats(20.0, 40.0),
    least_m=st.floats(12.0, 20.0),
    approach_m=st.sampled_from([0.0, 4.0, 8.0]),
)


def rectangle(name, *, x_from_m, x_to_m, y_from_m, y_to_m, **more):
    """An obstacle with sides along x and y of the ground's frame [m]."""
    corners = ((x_from_m, y_from_m), (x_to_m, y_from_m), (x_to_m, y_to_m), (x_from_m, y_to_m))
    return Obstacle(name=name, corners=corners, **more)


@st.composite
def obstacles(draw, *, reach_m=150.0):
    x = draw(st.floats(-reach_m, reach_m))
    y = draw(st.floats(-4.0, 2.0))
    return rectangle(
        "goalpost",
        x_from_m=x,
        x_to_m=x + draw(st.floats(0.1, 3.0)),
        y_from_m=y,
        y_to_m=y + draw(st.floats(0.1, 3.0)),
        clearance_m=draw(st.sampled_from([0.0, 0.5, 1.0])),
    )


grounds = st.one_of(
    st.builds(
        Strip,
        length_m=st.floats(30.0, 160.0),
        wall_at_start=st.booleans(),
        wall_at_end=st.booleans(),
        lanes=st.just(3),
        obstacles=st.lists(obstacles(), max_size=2).map(tuple),
    ),
    st.builds(Track, obstacles=st.lists(obstacles(), max_size=2).map(tuple)),
    st.builds(Runway, length_m=st.floats(30.0, 120.0)),
)


def track_of_lap(lap_m, *, radius_m, radius_of, **others):
    """Return the track whose lane 1 measures `lap_m`: straight = lap / 2 - pi r."""
    bare = Track(radius_m=radius_m, radius_of=radius_of, **others)
    return replace(bare, straight_m=lap_m / 2.0 - math.pi * bare.lane_radius_m(1))
