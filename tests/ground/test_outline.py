import math

import numpy as np
import pytest
from ground_layouts import rectangle, takeoff_layout, wicket_layout
from shapely.geometry import Point, Polygon

from wicketlay.errors import DomainError
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.outline import outline
from wicketlay.ground.placing import Place, place
from wicketlay.ground.standing import ends_of, pose_of

HOME = Place(lanes=(4,), landmark="finish", mark="w1", offset_m=-60.0)


def _drawn(layout, ground, where, **more):
    return outline(place(layout, ground, where, lane=where.lanes[0]), ground, **more)


def test_the_corridor_reaches_from_the_start_to_the_end_of_the_slow_down():
    drawn = _drawn(wicket_layout(approach_m=4.0), Track(), HOME)
    x, y = np.array(drawn.corridor).T
    assert (x.min(), x.max()) == pytest.approx((-60.0 - 16.3 - 4.0, -60.0 + 24.44 + 21.5))
    # Clear lane 4: from 3.66 to 4.83 m outside the kerb.
    assert (y.max(), y.min()) == pytest.approx((-3.66, -4.83))


def test_the_stretch_shown_ends_where_the_surface_ends():
    hall = Strip(length_m=66.0, wall_at_end=True, wall_at_start=True)
    drawn = _drawn(wicket_layout(), hall, Place(landmark="end wall", mark="w1", offset_m=-46.0))
    assert (drawn.from_m, drawn.to_m) == pytest.approx((0.0, 66.0))
    assert [round(left[0], 6) for left, _ in drawn.walls] == [0.0, 66.0]
    short = _drawn(wicket_layout(wickets=6), Strip(length_m=160.0), Place(mark="w1", offset_m=60.0))
    assert short.walls == ()


@pytest.mark.parametrize(("beyond_m", "seen"), [(34.0, True), (36.0, False)])
def test_the_stretch_shown_reaches_to_a_wall_that_is_not_far(beyond_m, seen):
    layout = wicket_layout()
    where = Place(mark="w1", offset_m=20.0)
    end_m = float(place(layout, Strip(length_m=200.0), where, lane=1).stop_chainage_m)
    hall = Strip(length_m=end_m + beyond_m, wall_at_end=True)
    drawn = _drawn(
        layout, hall, Place(landmark="end wall", mark="w1", offset_m=20.0 - hall.length_m)
    )
    assert bool(drawn.walls) is seen
    assert (drawn.to_m == hall.length_m) is seen


def test_what_does_not_fit_before_a_wall_is_in_the_stretch_shown():
    hall = Strip(length_m=50.0, wall_at_start=True, wall_at_end=True)
    layout = wicket_layout()
    for offset_m in (5.0, 45.0):
        placed = place(layout, hall, Place(mark="w1", offset_m=offset_m), lane=1)
        drawn = outline(placed, hall)
        places = [float(placed.start_chainage_m), float(placed.stop_chainage_m)]
        assert drawn.from_m <= min(places)
        assert drawn.to_m >= max(places)
        assert min(places) < 0.0 or max(places) > hall.length_m


def test_every_mark_lies_inside_the_corridor_on_a_bend():
    placed = place(wicket_layout(), Track(), Place(line="second bend", offset_m=30.0), lane=1)
    drawn = outline(placed, Track())
    area = Polygon(drawn.corridor).buffer(0.002)
    for each in placed.marks:
        pose = pose_of(placed, each)
        assert area.covers(Point(pose.x_m, pose.y_m))
        for end in ends_of(placed, each) or ():
            assert area.covers(Point(*end))


def test_landmarks_are_drawn_across_the_lane_square_to_it():
    drawn = _drawn(wicket_layout(), Track(), Place(line="lap", landmark="finish", offset_m=-5.0))
    finish = next(each for each in drawn.landmarks if each.landmark.key == "finish")
    assert (finish.left, finish.right) == (pytest.approx((0.0, 0.0)), pytest.approx((0.0, -1.17)))
    for each in drawn.landmarks:
        assert math.dist(each.left, each.right) == pytest.approx(1.17)


def test_what_stands_in_the_lane_or_up_to_three_metres_beside_it_is_drawn():
    near = rectangle("mat", x_from_m=-70.0, x_to_m=-69.0, y_from_m=-4.0, y_to_m=-3.0)
    # Clear lane 4 is from 3.66 to 4.83 m outside the kerb.
    cart = rectangle("cart", x_from_m=-60.0, x_to_m=-58.0, y_from_m=-9.0, y_to_m=-7.0)
    rope = rectangle("rope", x_from_m=-60.0, x_to_m=-58.0, y_from_m=-8.9, y_to_m=-7.9)
    far = rectangle("cage", x_from_m=-70.0, x_to_m=-69.0, y_from_m=30.0, y_to_m=31.0)
    drawn = _drawn(wicket_layout(), Track(obstacles=(near, cart, rope, far)), HOME)
    assert [name for name, _ in drawn.obstacles] == ["mat", "cart"]
    # Of the cart no more than the three metres: the drawing stays about the lane.
    x, y = np.array(drawn.obstacles[1][1]).T
    assert (x.min(), x.max()) == pytest.approx((-60.0, -58.0))
    assert (y.min(), y.max()) == pytest.approx((-7.83, -7.0))


def test_the_pit_of_a_runway_is_drawn_in_its_width():
    drawn = _drawn(takeoff_layout(), Runway(), Place())
    assert drawn.pit == (
        pytest.approx((2.0, 1.375)),
        pytest.approx((2.0, -1.375)),
        pytest.approx((10.0, -1.375)),
        pytest.approx((10.0, 1.375)),
    )


def test_an_outline_needs_a_margin_of_nothing_or_more():
    placed = place(wicket_layout(), Track(), HOME, lane=4)
    with pytest.raises(DomainError, match="margin"):
        outline(placed, Track(), margin_m=-1.0)
