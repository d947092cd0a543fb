"""What all grounds have in common."""

import pytest
from ground_layouts import codes, finding, wicket_layout, zone_layout

from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.course import Obstacle
from wicketlay.ground.lines import ChainageM, Landmark, Pose
from wicketlay.ground.placing import Direction, Fit, Place, place
from wicketlay.ground.tape import TapeSpec, Tick, tape_sheet

GROUNDS = (Track(), Runway(), Strip(), Strip(length_m=60.0))


@pytest.mark.parametrize("ground", GROUNDS, ids=lambda each: each.name)
def test_every_ground_answers_for_each_of_its_lines_and_lanes(ground):
    assert "heading counter-clockwise from +x" in ground.frame
    for line in ground.lines:
        assert ground.obstacles_of(line) == ()
        for lane in ground.lanes_of(line):
            course = ground.course(line, lane)
            assert (course.line, course.lane) == (line, lane)
            assert course.zero == "" or course.landmark(course.zero) is not None
            assert len({each.key for each in course.landmarks}) == len(course.landmarks)


@pytest.mark.parametrize("ground", GROUNDS, ids=lambda each: each.name)
def test_a_line_or_lane_that_is_not_there_is_a_key_error(ground):
    with pytest.raises(KeyError):
        ground.lanes_of("moon")
    with pytest.raises(KeyError):
        ground.obstacles_of("moon")
    with pytest.raises(KeyError):
        ground.course("moon", 1)
    with pytest.raises(KeyError):
        ground.course(ground.lines[0], 99)


def test_a_mark_that_was_not_placed_is_a_key_error():
    with pytest.raises(KeyError):
        place(wicket_layout(), Strip(), Place(), lane=1).mark("w99")


def test_ticks_know_their_system():
    assert all(tick.metric is not tick.value.endswith("in") for tick in Tick)


def test_far_back_on_ground_that_is_too_short_begins_at_its_end():
    hall = Strip(length_m=25.0)
    placed = place(wicket_layout(), hall, Place(fit=Fit.FAR), lane=1)
    assert placed.start_chainage_m == pytest.approx(0.0)
    against = place(wicket_layout(), hall, Place(fit=Fit.FAR, direction=Direction.AGAINST), lane=1)
    assert against.stop_chainage_m < 0.0


def test_one_wide_wicket_alone_stands_into_its_neighbour_and_none_does_not():
    track = Track()
    wide = Kit(wicket_width_m=1.5)
    where = Place(lanes=(5,), landmark="finish", offset_m=-60.0)
    first = place(wicket_layout(), track, where, lane=5, kit=Kit())
    single = wicket_layout(wickets=1)
    placed = place(
        single,
        track,
        Place(lanes=(4,), landmark="finish", offset_m=-60.0),
        lane=4,
        kit=wide,
        others=(first,),
    )
    assert "ground-wicket-into-neighbour" in codes(placed)
    where = Place(lanes=(4,), landmark="finish", offset_m=-60.0)
    gates = place(zone_layout(), track, where, lane=4, kit=wide, others=(first,))
    assert "ground-wicket-into-neighbour" not in codes(gates)


def test_an_end_of_a_wall_counts_as_a_fixed_point():
    gate = Landmark(key="gate", text="the gate", chainage_m=ChainageM(10.0))
    hall = Strip(length_m=80.0, wall_at_end=True, landmarks=(gate,))
    placed = place(wicket_layout(), hall, Place(mark="w1", offset_m=15.0), lane=1)
    points = tape_sheet(placed, TapeSpec(length_m=60.0)).pulls[0].fixed_points
    assert [(p.landmark.key, p.distance_m) for p in points] == [
        ("gate", pytest.approx(15.0)),
        ("end wall", pytest.approx(55.0)),
    ]
    short = Strip(length_m=70.0, wall_at_end=True, landmarks=(gate,))
    said = place(wicket_layout(), short, Place(mark="w1", offset_m=15.0), lane=1)
    assert finding(said, "ground-run-out-too-short").values["what"] == "the wall"


SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


@pytest.mark.parametrize(
    "corners",
    [
        (SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]),  # a bow tie
        (*SQUARE, SQUARE[0]),  # closed by hand
        (SQUARE[0], *SQUARE),  # a corner twice
        ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)),  # no area
        ((0.0, 0.0), (2.0, 0.0), (1.0, 0.0), (1.0, 1.0)),  # back on itself
        ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 0.0), (0.0, 2.0)),  # a corner on a side
        ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 0.0005), (0.0, 2.0)),  # nearly so
    ],
)
def test_corners_that_cross_or_touch_are_refused(corners):
    with pytest.raises(DomainError, match="corners of shed cross or touch; give them in order"):
        Obstacle(name="shed", corners=corners)


@pytest.mark.parametrize("turn", [1, -1])
def test_an_outline_may_bend_inwards_run_either_way_and_have_corners_on_a_straight_side(turn):
    arrow = ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 0.5), (0.0, 2.0))
    assert Obstacle(name="shed", corners=arrow[::turn]).corners == arrow[::turn]


def test_a_corner_that_leaves_its_range_when_its_strip_is_turned_is_refused_with_the_strip():
    far = Obstacle(name="shed", corners=((9999.0, 0.0), (9999.0, 1.0), (9998.0, 1.0)))
    with pytest.raises(DomainError, match="corner of shed"):
        Strip(origin=Pose(x_m=50.0, y_m=0.0, heading_rad=0.0), obstacles=(far,))
