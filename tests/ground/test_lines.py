import math

import numpy as np
import pytest
from ground_layouts import wicket_layout
from hypothesis import given
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.ground import Strip, Track
from wicketlay.ground.lines import Piece, Pose, RunLine
from wicketlay.ground.placing import Direction, Place, place
from wicketlay.ground.standing import pose_of

AT_ORIGIN = Pose(x_m=0.0, y_m=0.0, heading_rad=0.0)


@pytest.mark.parametrize(
    ("arc_m", "shorter_mm"), [(1.80, 0.18), (10.0, 30.7), (30.0, 823.9)], ids=["1.8", "10", "30"]
)
def test_g12_chord_against_arc_at_36_80(arc_m, shorter_mm):
    """G12: geometry, our arithmetic."""
    bend = Track().lane(1)
    assert bend.radius_at(5.0) == pytest.approx(36.80)
    chord = bend.chord(5.0, 5.0 + arc_m)
    assert (arc_m - chord) * 1000 == pytest.approx(shorter_mm, abs=0.1)


@pytest.mark.parametrize("lane", range(1, 9))
def test_a_place_on_any_lane_is_the_closed_form_to_1_mm(lane):
    track = Track()
    radius = 36.50 + (0.30 if lane == 1 else 1.22 * (lane - 1) + 0.20)
    arc, straight = math.pi * radius, 84.39
    for chainage in (0.0, 1.0, 57.8, 115.0, 130.0, 160.0, 250.0, 330.0, 399.0):
        if chainage < arc:
            angle = chainage / radius
            expected = (radius * math.sin(angle), 36.50 - radius * math.cos(angle), angle)
        elif chainage < arc + straight:
            expected = (-(chainage - arc), 36.50 + radius, math.pi)
        elif chainage < 2 * arc + straight:
            angle = math.pi + (chainage - arc - straight) / radius
            expected = (
                -straight + radius * math.sin(angle),
                36.50 - radius * math.cos(angle),
                angle,
            )
        else:
            expected = (chainage - 2 * arc - 2 * straight, 36.50 - radius, 0.0)
        x, y, heading = track.lane(lane).locate(chainage)
        assert (x, y) == pytest.approx(expected[:2], abs=1e-9), chainage
        assert math.remainder(heading - expected[2], 2 * math.pi) == pytest.approx(
            0.0, abs=1e-12
        ), chainage


@pytest.mark.parametrize("lane", [1, 2, 8])
def test_stepping_along_a_lap_gives_its_length_to_1e_9(lane):
    line = Track().lane(lane)

    # Simpson's rule over chords of two step lengths: the error of a chord is of third order,
    # so combining h and h/2 takes it away.
    def summed(count):
        x, y, _ = line.locate(np.linspace(0.0, line.length_m, count + 1))
        return float(np.hypot(np.diff(x), np.diff(y)).sum())

    fine, finest = summed(20_000), summed(40_000)
    corners = 4  # a step across a tangent point is part chord, part straight
    assert finest + (finest - fine) / 3.0 == pytest.approx(line.length_m, rel=corners * 1e-9)


@given(
    chainage=st.floats(-1000.0, 1000.0),
    lane=st.integers(1, 8),
    finish=st.sampled_from([0.0, 5.0, 84.39]),
)
def test_one_place_and_an_array_of_places_agree(chainage, lane, finish):
    line = Track(finish_to_bend_m=finish).lane(lane)
    one = line.locate(chainage)
    many = line.locate(np.array([chainage]))
    assert tuple(one)[:2] == pytest.approx((many.x_m[0], many.y_m[0]), abs=1e-9)
    difference = math.remainder(one.heading_rad - float(many.heading_rad[0]), 2 * math.pi)
    assert difference == pytest.approx(0.0, abs=1e-9)


@given(chainage=st.floats(-900.0, 900.0), offset=st.floats(-3.0, 3.0))
def test_projecting_a_point_beside_the_line_finds_its_chainage_and_offset(chainage, offset):
    line = Track().lane(3)
    x, y = line.beside(chainage, offset)
    (found,), (aside,) = line.project(x, y)
    difference = math.remainder(found - chainage, line.length_m)
    assert difference == pytest.approx(0.0, abs=1e-6)
    assert aside == pytest.approx(offset, abs=1e-6)


def test_projecting_works_on_a_bend_to_the_right():
    line = RunLine(start=AT_ORIGIN, pieces=(Piece(length_m=20.0, radius_m=-15.0),))
    x, y = line.beside(12.0, 0.7)
    (found,), (aside,) = line.project(x, y)
    assert (found, aside) == pytest.approx((12.0, 0.7), abs=1e-9)
    assert line.locate(20.0).y_m < 0.0


@pytest.mark.parametrize("chainage", [-0.001, 100.001, -50.0, 400.0])
def test_a_chainage_off_an_open_line_is_refused_not_clipped(chainage):
    line = RunLine(start=AT_ORIGIN, pieces=(Piece(length_m=100.0),))
    with pytest.raises(DomainError, match=r"not on the line, which runs from 0 to 100 m"):
        line.locate(chainage)
    with pytest.raises(DomainError, match="not on the line"):
        line.locate(np.array([5.0, chainage]))
    with pytest.raises(DomainError, match="not on the line"):
        line.radius_at(chainage)


@pytest.mark.parametrize("chainage", [math.nan, math.inf])
def test_a_chainage_that_is_no_number_is_refused_even_on_a_lap(chainage):
    with pytest.raises(DomainError, match="finite"):
        Track().lane(1).locate(chainage)
    with pytest.raises(DomainError, match="finite"):
        Track().lane(1).locate(np.array([chainage]))


def test_extending_goes_on_straight_from_either_end():
    line = RunLine(
        start=AT_ORIGIN,
        pieces=(Piece(length_m=10.0), Piece(length_m=math.pi * 5.0, radius_m=5.0)),
    )
    before = line.locate(-3.0, extend=True)
    assert tuple(before) == pytest.approx((-3.0, 0.0, 0.0))
    beyond = line.locate(line.to_m + 2.0, extend=True)
    assert tuple(beyond) == pytest.approx((10.0 - 2.0, 10.0, math.pi))


@pytest.mark.parametrize(
    ("pieces", "message"),
    [
        ((), "at least one piece"),
        ((0.0, math.inf), "length of a piece"),
        ((math.nan, math.inf), "length of a piece"),
        ((5.0, 0.1), "at least 0.5 m"),
        ((5.0, math.nan), "at least 0.5 m"),
    ],
)
def test_a_line_of_impossible_pieces_is_refused(pieces, message):
    with pytest.raises(DomainError, match=message):
        RunLine(
            start=AT_ORIGIN,
            pieces=(Piece(length_m=pieces[0], radius_m=pieces[1]),) if pieces else (),
        )


@given(lane=st.integers(1, 8), begin=st.floats(-300.0, 300.0), length=st.floats(0.0, 500.0))
def test_the_line_beside_scales_by_the_radii_on_bends_and_not_on_straights(lane, begin, length):
    track = Track()
    line = track.lane(lane)
    inside = 0.20
    end = begin + length
    bend = line.bend_between(begin, end)
    expected = (length - bend) + bend * (track.lane_radius_m(lane) - inside) / track.lane_radius_m(
        lane
    )
    assert line.length_beside(begin, end, inside) == pytest.approx(expected, abs=1e-9)
    assert line.length_beside(end, begin, inside) == pytest.approx(-expected, abs=1e-9)


def test_the_painted_line_of_a_whole_lap_is_the_kerb_line():
    line = Track().lane(1)
    assert line.length_beside(0.0, line.length_m, 0.30) == pytest.approx(398.116, abs=0.001)


def test_a_drawn_polyline_stays_within_its_sagitta():
    line = Track().lane(1)
    points = line.polyline(-20.0, 180.0, 0.5, sagitta_m=0.001)
    middles = (points[1:] + points[:-1]) / 2.0
    _, aside = line.project(middles[:, 0], middles[:, 1])
    assert np.all(np.abs(aside - 0.5) <= 0.00101)
    assert tuple(points[0]) == pytest.approx(line.beside(-20.0, 0.5))
    assert np.array_equal(line.polyline(180.0, -20.0, 0.5, sagitta_m=0.001), points[::-1])


def test_a_strip_inside_a_hall_lies_where_its_origin_says():
    strip = Strip(length_m=60.0, lanes=4, origin=Pose(x_m=10.0, y_m=5.0, heading_rad=math.pi / 2))
    line = strip.course("strip", 2).run_line
    assert tuple(line.locate(0.0)) == pytest.approx((10.0 + 1.83, 5.0, math.pi / 2))
    assert tuple(line.locate(60.0))[:2] == pytest.approx((11.83, 65.0))


def test_headings_of_wickets_follow_the_bend_and_the_direction():
    layout = wicket_layout(wickets=10)
    track = Track()
    ahead = place(layout, track, Place(line="first bend", offset_m=5.0), lane=1)
    back = place(
        layout, track, Place(line="first bend", offset_m=60.0, direction=Direction.AGAINST), lane=1
    )
    for each in ahead.marks:
        heading = pose_of(ahead, each).heading_rad
        bend = max(each.chainage_m, 0.0) / 36.80
        assert heading == pytest.approx(bend % (2 * math.pi), abs=1e-9)
    for each in back.marks:
        heading = pose_of(back, each).heading_rad
        if 0.0 < each.chainage_m < 115.0:
            opposite = each.chainage_m / 36.80 + math.pi
            assert heading == pytest.approx(opposite % (2 * math.pi), abs=1e-9)
