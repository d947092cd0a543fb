import math

import numpy as np
import pytest
from ground_layouts import finding, rectangle, track_of_lap, wicket_layout
from hypothesis import given
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.ground import Strip, Track
from wicketlay.ground.course import Obstacle
from wicketlay.ground.lines import ChainageM, Landmark, Pose
from wicketlay.ground.placing import Place, known_lanes, place
from wicketlay.ground.track import OwnLandmark, RadiusOf


def test_g1_standard_track():
    """G1: World Athletics marking plan, second-hand."""
    track = Track()
    kerb = 2 * track.straight_m + 2 * math.pi * track.edge_radius_m
    assert kerb == pytest.approx(398.116, abs=0.001)
    assert track.lap_length_m(1) == pytest.approx(400.001, abs=0.001)
    assert math.pi * track.lane_radius_m(1) == pytest.approx(115.611, abs=0.001)


def test_g2_straight_of_a_400_m_lap():
    """G2: NIDE athletics sheets (Spain)."""
    track = track_of_lap(400.0, radius_m=36.50, radius_of=RadiusOf.KERB)
    assert track.straight_m == pytest.approx(84.39, abs=0.005)
    assert track.lap_length_m(1) == pytest.approx(400.0, abs=1e-9)


@pytest.mark.parametrize(("lane", "lap_m"), [(2, 407.04), (3, 414.70), (4, 422.37), (8, 453.03)])
def test_g3_laps_of_outer_lanes(lane, lap_m):
    """G3: published track-marking pages, second-hand; lane 1 = 400.00."""
    track = track_of_lap(400.0, radius_m=36.50, radius_of=RadiusOf.KERB)
    assert track.lap_length_m(lane) == pytest.approx(lap_m, abs=0.005)


def stagger_m(track, lane):
    """Return how much longer a lap is in a lane than in lane 1 [m]."""
    return track.lap_length_m(lane) - track.lap_length_m(1)


@given(
    radius=st.floats(10.0, 60.0),
    straight=st.floats(20.0, 120.0),
    width=st.floats(0.8, 1.5),
    lane=st.integers(1, 8),
    kerb=st.booleans(),
)
def test_g4_stagger_identity(radius, straight, width, lane, kerb):
    """G4: k pi (r_n - r_1) over k bends, as printed in track-marking guides; here a lap's two."""
    track = Track(
        radius_m=radius,
        straight_m=straight,
        lane_width_m=width,
        radius_of=RadiusOf.KERB if kerb else RadiusOf.PAINTED_LINE,
    )
    r_1 = radius + (0.30 if kerb else 0.20)
    r_n = r_1 if lane == 1 else radius + width * (lane - 1) + 0.20
    assert stagger_m(track, lane) == pytest.approx(2 * math.pi * (r_n - r_1), abs=1e-9)


def test_g5_painted_lanes_against_kerbed_lanes():
    """G5: school guide; a known trap."""
    painted = Track(radius_of=RadiusOf.PAINTED_LINE)
    assert stagger_m(painted, 6) == pytest.approx(38.327, abs=0.001)
    assert stagger_m(Track(), 6) == pytest.approx(37.699, abs=0.001)


@pytest.mark.parametrize(
    ("event", "race_m", "to_first_m", "between_m", "to_finish_m", "first_m"),
    [
        ("100 H", 100.0, 13.00, 8.50, 10.50, 87.0),
        ("110 H", 110.0, 13.72, 9.14, 14.02, 96.28),
    ],
)
def test_g6_hurdle_marks_on_the_straight(
    event, race_m, to_first_m, between_m, to_finish_m, first_m
):
    """G6: rule book tables; ten flights, distances from the finish."""
    course = Track().course("home straight", 4)
    marks = [-each.chainage_m for each in course.landmarks if each.key.startswith(event)]
    assert len(marks) == 10
    assert (marks[0], marks[-1]) == pytest.approx((first_m, to_finish_m), abs=1e-9)
    assert -np.diff(marks) == pytest.approx([between_m] * 9, abs=1e-9)
    assert -course.landmark(f"{race_m:.0f} m start").chainage_m - marks[0] == pytest.approx(
        to_first_m, abs=1e-9
    )


@pytest.mark.parametrize("lane", [1, 2, 8])
def test_g6_hurdle_marks_round_the_lap(lane):
    """G6: 45, nine times 35, 40 m from the 400 m start to the finish, in every lane."""
    track = Track()
    course = track.course("lap", lane)
    start = course.landmark("400 m start").chainage_m
    marks = [each.chainage_m for each in course.landmarks if each.key.startswith("400 H")]
    ran = [(each - start) % track.lap_length_m(lane) for each in marks]
    assert ran == pytest.approx([45.0 + 35.0 * i for i in range(10)], abs=1e-9)
    assert 400.0 - ran[-1] == pytest.approx(40.0)


@pytest.mark.parametrize("lane", [1, 4, 8])
def test_starts_lie_their_distance_before_the_finish_in_each_lane(lane):
    track = Track()
    course = track.course("lap", lane)
    lap = track.lap_length_m(lane)
    for race, key in ((200.0, "200 m start"), (400.0, "400 m start")):
        start = course.landmark(key).chainage_m
        assert (-start) % lap == pytest.approx(race % lap, abs=1e-9)
    # Lane 8 starts a full stagger farther forward than lane 1.
    forward = course.landmark("400 m start").chainage_m
    assert forward - (track.lap_length_m(1) - 400.0) == pytest.approx(stagger_m(track, lane))


def test_relay_zones_are_30_m_about_the_scratch_lines():
    course = Track().course("lap", 5)
    start = course.landmark("400 m start").chainage_m
    for zone in (1, 2, 3):
        begins = course.landmark(f"relay zone {zone} begins").chainage_m
        ends = course.landmark(f"relay zone {zone} ends").chainage_m
        assert begins - start == pytest.approx(100.0 * zone - 20.0)
        assert ends - begins == pytest.approx(30.0)


def test_g7_lane_width_and_clear_width():
    """G7: rules, second-hand: 1.22 m with a right-hand line of 0.05 m leaves 1.17 m."""
    assert (Track().lane_width_m, Track().line_width_m) == (1.22, 0.05)
    for lane in (1, 2, 8):
        assert Track().course("home straight", lane).clear_width_m == pytest.approx(1.17)


@pytest.mark.parametrize(("key", "extension_m"), [("100 m start", 15.61), ("110 m start", 25.61)])
def test_g9_starts_in_the_extension(key, extension_m):
    """G9: arithmetic from 84.39."""
    course = Track().course("home straight", 1)
    begins = course.landmark("home straight begins").chainage_m
    assert begins - course.landmark(key).chainage_m == pytest.approx(extension_m, abs=0.01)


def test_g10_room_behind_the_start_and_beyond_the_finish():
    """G10: several pages quoting the facilities manual, second-hand."""
    course = Track().course("home straight", 1)
    assert course.landmark("110 m start").chainage_m - course.surface_from_m >= 3.0 - 1e-9
    assert course.surface_to_m >= 17.0


def test_g11_indoor_bend():
    """G11: Taboga & Kram 2019, PeerJ 7:e8222: standard 200 m indoor bend radius 17.2 m."""
    hall = track_of_lap(
        200.0, radius_m=17.2, radius_of=RadiusOf.RUNNING_LINE, lanes=6, lane_width_m=0.95
    )
    assert hall.lane(1).radius_at(hall.finish_to_bend_m + 5.0) == pytest.approx(17.2)
    assert hall.lap_length_m(1) == pytest.approx(200.0)


def test_the_three_meanings_of_a_radius_give_three_laps():
    laps = [
        Track(radius_m=35.0, straight_m=40.04, radius_of=which).lap_length_m(1)
        for which in (RadiusOf.KERB, RadiusOf.PAINTED_LINE, RadiusOf.RUNNING_LINE)
    ]
    assert laps == pytest.approx([301.876, 301.248, 299.991], abs=0.001)


def test_a_radius_in_doubt_is_asked_about_with_the_laps_it_could_mean():
    with pytest.raises(DomainError) as caught:
        Track(radius_m=35.0, straight_m=40.04)
    message = str(caught.value)
    assert "of the kerb the lap is 301.88 m" in message
    assert "of the painted line the lap is 301.25 m" in message
    assert "of the running line the lap is 299.99 m" in message
    assert 'radius_of = "kerb", "painted line" or "running line"' in message


@pytest.mark.parametrize(
    ("radius_of", "raised_kerb", "message"),
    [
        (RadiusOf.KERB, False, "there is no raised kerb"),
        (RadiusOf.PAINTED_LINE, True, "lane 1 has a raised kerb"),
    ],
)
def test_a_radius_that_contradicts_the_kerb_is_refused(radius_of, raised_kerb, message):
    with pytest.raises(DomainError, match=message):
        Track(radius_of=radius_of, raised_kerb=raised_kerb)


@pytest.mark.parametrize(
    "wrong",
    [
        {"radius_m": math.nan},
        {"radius_m": 2.0},
        {"straight_m": 0.0},
        {"lanes": 0},
        {"lanes": 11},
        {"lane_width_m": 0.2},
        {"straight_lanes": 3},
        {"finish_to_bend_m": 90.0},
        {"run_out_m": 250.0},
        {"start_extension_m": -1.0},
        {"line_width_m": 0.5},
    ],
    ids=lambda wrong: next(iter(wrong)),
)
def test_numbers_that_cannot_be_a_track_are_refused_with_their_range(wrong):
    with pytest.raises(DomainError, match="must lie between"):
        Track(**wrong)


def test_a_lane_that_is_not_there_is_refused():
    with pytest.raises(DomainError, match="lane is 9"):
        Track().lane(9)
    with pytest.raises(KeyError):
        Track().course("home straight", 9)
    with pytest.raises(KeyError):
        Track().course("moon", 1)


def test_the_frame_has_its_origin_where_the_finish_meets_the_kerb():
    track = Track()
    x, y, heading = track.lane(1).locate(0.0)
    assert (x, y, heading) == pytest.approx((0.0, -0.30, 0.0))
    assert track.lane(5).locate(0.0).y_m == pytest.approx(-(4 * 1.22 + 0.20))
    # Anticlockwise, so the middle of the first bend lies ahead and to the left.
    ahead = track.lane(1).locate(math.pi * 36.80 / 2)
    assert tuple(ahead) == pytest.approx((36.80, 36.50, math.pi / 2))


@pytest.mark.parametrize("finish", [0.0, 7.5])
def test_home_straight_and_lap_agree_where_they_share_ground(finish):
    track = Track(finish_to_bend_m=finish, run_out_m=20.0)
    home, lap = track.course("home straight", 3), track.course("lap", 3)
    for chainage in (-70.0, -10.0, 0.0, finish):
        assert tuple(home.run_line.locate(chainage)) == pytest.approx(
            tuple(lap.run_line.locate(chainage)), abs=1e-9
        )
    for key in ("home straight begins", "home straight ends"):
        apart = home.landmark(key).chainage_m - lap.landmark(key).chainage_m
        assert math.remainder(apart, track.lap_length_m(3)) == pytest.approx(0.0, abs=1e-9)


def test_tangent_points_lie_where_the_radius_changes():
    track = Track()
    line = track.lane(6)
    course = track.course("lap", 6)
    for key, before, after in (
        ("home straight ends", math.inf, track.lane_radius_m(6)),
        ("back straight begins", track.lane_radius_m(6), math.inf),
        ("back straight ends", math.inf, track.lane_radius_m(6)),
        ("home straight begins", track.lane_radius_m(6), math.inf),
    ):
        at = course.landmark(key).chainage_m
        assert (line.radius_at(at - 0.01), line.radius_at(at + 0.01)) == pytest.approx(
            (before, after)
        )


def test_a_small_track_without_a_run_out_goes_round_the_bend():
    track = track_of_lap(300.0, radius_m=35.0, radius_of=RadiusOf.RUNNING_LINE)
    course = track.course("home straight", 1)
    assert course.marks_to_m == 0.0
    assert course.surface_to_m == pytest.approx(math.pi * 35.0)
    assert course.landmark("400 m start") is None
    assert course.landmark("100 m start") is None


def test_own_landmarks_lie_on_their_line_and_lane():
    flag = Landmark(key="flag", text="the flag", chainage_m=ChainageM(-33.0))
    track = Track(landmarks=(OwnLandmark(line="home straight", landmark=flag, lane=2),))
    assert track.course("home straight", 2).landmark("flag") is flag
    assert track.course("home straight", 3).landmark("flag") is None
    with pytest.raises(DomainError, match="the lines of the oval are home straight"):
        Track(landmarks=(OwnLandmark(line="moon", landmark=flag),))
    with pytest.raises(DomainError, match="told twice"):
        Track(landmarks=(OwnLandmark(line="lap", landmark=flag),) * 2)


@pytest.mark.parametrize(
    ("line", "key", "lane", "message"),
    [
        ("home straight", "finish", None, "told twice"),
        ("lap", "flag", 9, "lane 9, which is not there"),
        ("60 m", "flag", None, "a strip has landmarks of its own"),
    ],
)
def test_an_own_landmark_that_cannot_be_is_refused(line, key, lane, message):
    own = Landmark(key=key, text="the flag", chainage_m=ChainageM(0.0))
    with pytest.raises(DomainError, match=message):
        Track(
            landmarks=(OwnLandmark(line=line, landmark=own, lane=lane),),
            strips=(Strip(line="60 m", length_m=70.0),),
        )


def test_a_wall_beyond_the_finish_needs_its_distance():
    with pytest.raises(DomainError, match="nothing says how far away it is"):
        Track(
            radius_m=17.2,
            straight_m=45.0,
            radius_of=RadiusOf.RUNNING_LINE,
            wall_beyond_finish=True,
        )


def test_obstacles_of_a_strip_lie_in_the_strips_own_frame():
    post = rectangle("post", x_from_m=30.0, x_to_m=31.0, y_from_m=-1.0, y_to_m=-0.5)
    mat = rectangle("mat", x_from_m=0.0, x_to_m=1.0, y_from_m=0.0, y_to_m=1.0)
    origin = Pose(x_m=-80.0, y_m=30.0, heading_rad=math.pi / 2)
    strip = Strip(line="60 m", length_m=75.0, origin=origin, obstacles=(post,))
    hall = Track(strips=(strip,), obstacles=(mat,))
    assert hall.obstacles_of("lap") == (mat,)
    _, moved = hall.obstacles_of("60 m")
    assert moved.corners[0] == pytest.approx((-80.0 + 1.0, 30.0 + 30.0))
    place_ = Place(line="60 m", mark="w1", offset_m=20.0)
    placed = place(wicket_layout(), hall, place_, lane=1)
    assert finding(placed, "ground-obstacle").values["from_m"] == pytest.approx(9.5, abs=0.02)
    with pytest.raises(KeyError):
        hall.obstacles_of("moon")


def test_what_a_plan_file_may_name():
    hall = Track(
        straight_lanes=10,
        strips=(Strip(name="60 m straight", line="60 m", length_m=75.0, lanes=6),),
    )
    assert hall.lines == (
        "home straight",
        "back straight",
        "first bend",
        "second bend",
        "lap",
        "60 m",
    )
    assert known_lanes(hall) == tuple(range(1, 11))
    assert known_lanes(hall, "lap") == tuple(range(1, 9))
    assert known_lanes(hall, "60 m") == tuple(range(1, 7))
    assert known_lanes(hall, "moon") == ()


def test_a_strip_of_a_hall_is_a_line_of_the_track():
    strip = Strip(
        name="60 m straight",
        line="60 m",
        length_m=75.0,
        origin=Pose(x_m=-80.0, y_m=30.0, heading_rad=0.0),
    )
    course = Track(strips=(strip,)).course("60 m", 1)
    assert course.run_line.locate(10.0).x_m == pytest.approx(-70.0)


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        (((0.0, 0.0), (1.0, 0.0)), "2 corners"),
        (((0.0, 0.0), (1.0, 0.0), (math.nan, 1.0)), "corner of post"),
    ],
)
def test_an_obstacle_without_an_outline_is_refused(corners, message):
    with pytest.raises(DomainError, match=message):
        Obstacle(name="post", corners=corners)
