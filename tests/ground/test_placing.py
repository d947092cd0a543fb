import math

import pytest
from ground_layouts import (
    codes,
    finding,
    rectangle,
    takeoff_layout,
    track_of_lap,
    wicket_layout,
    zone_layout,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.clearance import band
from wicketlay.ground.course import NotedObject
from wicketlay.ground.courses import fixed_points
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.placing import (
    Direction,
    Fit,
    Place,
    place,
    room_before,
)
from wicketlay.ground.standing import ends_of, pose_of
from wicketlay.ground.tape import TapeSpec, tape_sheet
from wicketlay.ground.track import RadiusOf
from wicketlay.wording import word

TRACK = Track()
HOME = Place(line="home straight", landmark="finish", mark="w1", offset_m=-60.0)
GREEN = Kit(falls_both_ways=True)


def _laid(layout=None, ground=TRACK, where=HOME, *, kit=Kit(), others=()):
    layout = wicket_layout() if layout is None else layout
    return place(layout, ground, where, lane=where.lanes[0], kit=kit, others=others)


def test_a_mark_stands_its_offset_from_its_landmark():
    placed = _laid()
    assert placed.mark("w1").chainage_m == pytest.approx(-60.0)
    assert placed.mark("start").chainage_m == pytest.approx(-76.3)
    assert placed.start_chainage_m == pytest.approx(-76.3)
    assert placed.stop_chainage_m == pytest.approx(-60.0 + 24.44 + 21.5)
    assert placed.findings == ()


def test_any_mark_may_be_put_at_any_landmark():
    where = Place(line="home straight", landmark="100 m start", mark="start", offset_m=10.0)
    assert _laid(where=where).mark("start").chainage_m == pytest.approx(-90.0)
    last = Place(line="home straight", landmark="100 H 5", mark="w14")
    assert _laid(where=last).mark("w14").chainage_m == pytest.approx(-53.0)


def test_a_slide_moves_everything_in_the_running_direction():
    for way, sign in ((Direction.WITH, 1.0), (Direction.AGAINST, -1.0)):
        still, slid = (
            _laid(where=Place(offset_m=-40.0, direction=way, slide_m=slide)) for slide in (0.0, 0.3)
        )
        moved = slid.mark("w3").chainage_m - still.mark("w3").chainage_m
        assert moved == pytest.approx(sign * 0.3)


def test_running_against_the_line_turns_everything_round():
    where = Place(offset_m=-20.0, direction=Direction.AGAINST)
    placed = _laid(where=where)
    assert placed.direction == -1
    assert placed.mark("start").chainage_m == pytest.approx(-3.7)
    assert placed.mark("w14").chainage_m == pytest.approx(-44.44)
    assert pose_of(placed, placed.mark("w1")).heading_rad == pytest.approx(math.pi)
    assert placed.run_out_room_m == pytest.approx(113.0 - 44.44)
    assert placed.chainage_of(placed.mark("w4").mark.along_m) == pytest.approx(
        placed.mark("w4").chainage_m
    )


def test_rooms_are_told_where_the_ground_says_and_none_where_it_does_not():
    placed = _laid()
    assert placed.run_out_room_m == pytest.approx(17.0 + 60.0 - 24.44)
    assert placed.behind_start_room_m == pytest.approx(113.0 - 76.3)
    free = _laid(ground=Strip(), where=Place())
    assert (free.run_out_room_m, free.behind_start_room_m) == (None, None)


# Fixed points ------------------------------------------------------------------


def _points(placed):
    """Return the fixed points of a laying's zero, with a tape that reaches both."""
    return tape_sheet(placed, TapeSpec(length_m=200.0)).pulls[0].fixed_points


def test_two_fixed_points_the_told_one_first_then_the_plainest_near_one():
    finish, check = _points(_laid())
    assert (finish.landmark.key, finish.distance_m, finish.beyond) == ("finish", 60.0, False)
    assert (check.landmark.key, check.beyond) == ("home straight begins", True)
    assert check.distance_m == pytest.approx(24.39)


def test_two_fixed_points_never_lie_at_one_spot():
    course = TRACK.course("home straight", 1)
    one, two = fixed_points(course, -0.5, 1, "finish")
    assert {one.landmark.key, two.landmark.key}.isdisjoint({"home straight ends"})
    assert abs(one.landmark.chainage_m - two.landmark.chainage_m) > 1.0


def test_fixed_points_on_a_lap_are_found_across_its_seam():
    course = TRACK.course("lap", 4)
    points = fixed_points(course, course.loop_m - 3.0, 1, "finish")
    assert (points[0].distance_m, points[0].beyond) == (pytest.approx(3.0), False)


def test_fixed_points_on_a_bend_are_told_along_the_painted_line_too():
    where = Place(line="first bend", offset_m=20.0)
    first, _ = _points(_laid(where=where))
    assert first.distance_m == pytest.approx(20.0)
    assert first.painted_m == pytest.approx(20.0 * 36.50 / 36.80)


def test_ground_without_landmarks_has_a_sighting_cone_and_noted_objects():
    objects = (NotedObject(name="oak", distance_m=12.3), NotedObject(name="goalpost"))
    placed = _laid(ground=Strip(noted=objects), where=Place())
    assert _points(placed) == ()
    assert placed.free_zero.sighting_m == 30.0
    assert placed.free_zero.noted == objects
    assert _laid().free_zero is None


# Names that are not there ------------------------------------------------------


@pytest.mark.parametrize(
    ("where", "lane", "code", "known"),
    [
        (Place(line="moon"), 1, "ground-line-unknown", "back straight"),
        (Place(), 9, "ground-lane-unknown", "1 to 8"),
        (Place(landmark="oak"), 1, "ground-landmark-unknown", "110 m start"),
        (Place(landmark="finish", mark="w99"), 1, "ground-mark-unknown", "w14"),
        (Place(landmark="finish", mark="line"), 1, "ground-mark-unknown", "w14"),
    ],
)
def test_a_name_that_is_not_there_is_a_stop_that_names_what_is(where, lane, code, known):
    placed = place(wicket_layout(), TRACK, where, lane=lane)
    stop = finding(placed, code)
    assert stop.level is Level.STOP
    assert known in stop.values["known"]
    assert len(placed.marks) == 15


@pytest.mark.parametrize(
    "wrong",
    [{"lanes": ()}, {"lanes": (1, 1)}, {"lanes": (0,)}, {"offset_m": math.nan}, {"slide_m": 1e9}],
)
def test_a_place_that_cannot_be_is_refused(wrong):
    with pytest.raises(DomainError):
        Place(**wrong)


# Places in words ---------------------------------------------------------------


def test_a_place_that_is_not_told_is_as_far_back_as_the_ground_allows():
    placed = _laid(where=Place())
    assert finding(placed, "ground-place-not-told").level is Level.NOTE
    assert placed.mark("start").chainage_m == pytest.approx(-113.0)
    assert placed.mark("w1").chainage_m * 10 == pytest.approx(-967.0)


@pytest.mark.parametrize("fit", [Fit.GIVEN, Fit.FAR])
def test_a_place_that_rests_on_surface_nobody_measured_says_so_and_a_measured_one_does_not(fit):
    told = finding(_laid(where=Place(fit=fit)), "ground-behind-assumed")
    assert told.values["behind_m"] == pytest.approx(28.61)
    for where, ground in (
        (Place(fit=fit), Track(start_extension_m=25.0)),
        (Place(landmark="finish", mark="w1", offset_m=-60.0), Track()),
        (Place(fit=Fit.MIDDLE), Track()),
    ):
        assert "ground-behind-assumed" not in codes(_laid(where=where, ground=ground))


def test_a_run_against_the_line_says_that_its_place_rests_on_room_beyond_the_finish():
    against = Place(direction=Direction.AGAINST)
    placed = _laid(where=against)
    assert finding(placed, "ground-ahead-assumed").values["ahead_m"] == pytest.approx(17.0)
    assert placed.mark("start").chainage_m == pytest.approx(17.0)
    for where, ground in (
        (against, Track(run_out_m=15.0)),
        (against, Track(finish_to_bend_m=18.0)),
        (Place(), Track()),
        (Place(fit=Fit.FAR, direction=Direction.AGAINST), Track()),
        (Place(landmark="finish", direction=Direction.AGAINST, offset_m=30.0), Track()),
        (Place(line="back straight", direction=Direction.AGAINST), Track()),
    ):
        assert "ground-ahead-assumed" not in codes(_laid(where=where, ground=ground))


def test_as_far_from_the_finish_as_possible():
    ahead = _laid(where=Place(fit=Fit.FAR))
    assert ahead.behind_start_room_m == pytest.approx(0.0, abs=0.1)
    back = _laid(where=Place(fit=Fit.FAR, direction=Direction.AGAINST))
    # Run away from the finish, the slow-down it wants ends where the surface ends.
    assert back.run_out_room_m == pytest.approx(21.5, abs=0.1)
    assert codes(ahead) == codes(back) == ["ground-behind-assumed"]


def test_far_from_the_finish_stays_on_the_straight_of_a_lap():
    placed = _laid(where=Place(line="back straight", fit=Fit.FAR))
    begins = placed.course.landmark("back straight begins").chainage_m
    assert placed.start_chainage_m - begins == pytest.approx(0.0, abs=0.1)
    assert codes(placed) == []


@pytest.mark.parametrize("line", ["home straight", "back straight"])
def test_in_the_middle_of_the_straight(line):
    placed = _laid(where=Place(line=line, fit=Fit.MIDDLE))
    middle = (placed.mark("w1").chainage_m + placed.mark("w14").chainage_m) / 2
    names = {"home straight": ("home straight begins", "home straight ends")}.get(
        line, ("back straight begins", "back straight ends")
    )
    begins, ends = (placed.course.landmark(name).chainage_m for name in names)
    assert middle == pytest.approx((begins + ends) / 2)


def test_ending_at_a_mark():
    where = Place(line="home straight", landmark="finish", offset_m=-20.0, fit=Fit.END_AT)
    assert _laid(where=where).mark("w14").chainage_m == pytest.approx(-20.0)


@pytest.mark.parametrize("fit", [Fit.FAR, Fit.MIDDLE])
@pytest.mark.parametrize(
    ("ground", "line"), [(Strip(), "strip"), (TRACK, "lap")], ids=["unmeasured", "lap"]
)
def test_a_word_that_needs_an_end_is_a_stop_where_there_is_none(fit, ground, line):
    placed = _laid(ground=ground, where=Place(line=line, fit=fit))
    assert finding(placed, "ground-word-needs-length").level is Level.STOP
    told = Place(line=line, landmark=placed.course.zero or None, mark="w1")
    assert "ground-word-needs-length" not in codes(_laid(ground=ground, where=told))


# Room --------------------------------------------------------------------------


def _mended(layout, ground, where, found, **more):
    """The laying after the remedy of a finding has been applied."""
    slide = found.values.get("slide_m", 0.0)
    wickets = None
    if found.code.endswith(("-fewer", "-fewer-and-shift")) and not found.code.endswith(
        "-shift-or-fewer"
    ):
        wickets = found.values["wickets"]
    if wickets is not None:
        layout = _cut(layout, wickets)
    anchored = Place(
        line=where.line,
        lanes=where.lanes,
        landmark=where.landmark,
        mark=where.mark or layout.datum.value,
        offset_m=where.offset_m,
        direction=where.direction,
        slide_m=where.slide_m + slide,
    )
    return _laid(layout, ground, anchored, **more)


def _cut(layout, wickets):
    """The layout with only its first wickets, as they lie, and the same slow-down."""
    from dataclasses import replace

    from wicketlay.drills.marks import MarkKind

    kept = [m for m in layout.marks if m.kind is not MarkKind.WICKET]
    kept += layout.of_kind(MarkKind.WICKET)[:wickets]
    kept.sort(key=lambda m: m.along_m)
    return replace(layout, marks=tuple(kept), run_out_from_m=kept[-1].along_m)


def test_a_start_behind_the_surface_says_how_far_and_the_shift_mends_it():
    where = Place(line="home straight", landmark="finish", mark="w1", offset_m=-99.0)
    stop = finding(_laid(where=where), "ground-start-off-surface")
    assert (stop.level, stop.code) == (Level.STOP, "ground-start-off-surface-shift")
    assert stop.values["short_m"] == pytest.approx(2.3)
    assert stop.values["slide_m"] == pytest.approx(2.3)
    assert (stop.values["way"], stop.mark, stop.lane) == ("forward", "start", 1)
    assert codes(_mended(wicket_layout(), TRACK, where, stop)) == []


def test_a_start_behind_a_wall_names_the_wall():
    hall = Strip(length_m=80.0, wall_at_start=True)
    where = Place(landmark="start wall", mark="w1", offset_m=14.0)
    assert finding(_laid(ground=hall, where=where), "ground-start").values["what"] == "the wall"


def test_a_jog_that_does_not_fit_is_told_apart_from_the_start():
    layout = wicket_layout(approach_m=8.0)
    where = Place(line="home straight", landmark="finish", mark="w1", offset_m=-90.0)
    stop = finding(_laid(layout, where=where), "ground-approach-off-surface")
    assert stop.values["short_m"] == pytest.approx(90.0 + 16.3 + 8.0 - 113.0)
    assert codes(_mended(layout, TRACK, where, stop)) == []
    farther = Place(line="home straight", landmark="finish", mark="w1", offset_m=-99.0)
    gone = finding(_laid(layout, where=farther), "ground-start-off-surface")
    assert gone.values["short_m"] == pytest.approx(2.3)
    assert codes(_mended(layout, TRACK, farther, gone)) == []


@given(run_on_m=st.floats(10.0, 30.0), approach_m=st.floats(2.0, 15.0))
def test_a_start_mark_at_the_very_end_of_the_surface_is_not_off_it(run_on_m, approach_m):
    layout = wicket_layout(approach_m=approach_m, run_on_m=run_on_m)
    where = Place(mark="start", offset_m=0.0, slide_m=0.0)
    stop = finding(_laid(layout, Strip(length_m=200.0), where), "ground-")
    assert stop.code == "ground-approach-off-surface-shift"
    assert stop.values["short_m"] == pytest.approx(approach_m)


@pytest.mark.parametrize(
    ("offset", "code", "level", "room"),
    [
        (-29.0, "ground-run-out-short", Level.CAUTION, 21.56),
        (-28.94, "", None, 21.5),
        (-28.0, "ground-run-out-short", Level.CAUTION, 20.56),
        (-20.64, "ground-run-out-short", Level.CAUTION, 13.2),
        (-20.0, "ground-run-out-too-short", Level.STOP, 12.56),
    ],
)
def test_the_slow_down_is_wanted_and_at_least(offset, code, level, room):
    where = Place(line="home straight", landmark="finish", mark="w1", offset_m=offset)
    placed = _laid(where=where)
    assert placed.run_out_room_m == pytest.approx(room)
    if room >= 21.5:
        assert codes(placed) == []
        return
    found = finding(placed, code)
    assert found.level is level
    assert found.values["room_m"] == pytest.approx(room)
    assert found.values["slide_m"] == pytest.approx(room - 21.5, abs=0.0101)
    assert codes(_mended(wicket_layout(), TRACK, where, found)) == []


def test_before_a_wall_the_wanted_slow_down_is_the_least():
    hall = Strip(length_m=60.0, wall_at_end=True)
    field = Strip(length_m=60.0)
    where = Place(mark="w1", offset_m=18.0)
    walled = finding(
        _laid(ground=hall, where=Place(landmark="end wall", mark="w1", offset_m=-42.0)),
        "ground-run-out",
    )
    assert (walled.level, walled.values["least_m"]) == (Level.STOP, 21.5)
    open_end = finding(_laid(ground=field, where=where), "ground-run-out")
    assert (open_end.level, open_end.values["wanted_m"]) == (Level.CAUTION, 21.5)


def test_too_long_for_the_hall_says_how_many_wickets_fit():
    hall = Strip(length_m=60.0, wall_at_end=True)
    placed = _laid(ground=hall, where=Place(landmark="end wall", mark="w1", offset_m=-43.7))
    stop = finding(placed, "ground-run-out-too-short")
    assert (stop.code, stop.values["wickets"]) == ("ground-run-out-too-short-fewer", 12)
    where = Place(landmark="end wall", mark="w1", offset_m=-43.7)
    assert codes(_mended(wicket_layout(), hall, where, stop)) == []


def test_too_long_and_misplaced_says_wickets_and_shift():
    hall = Strip(length_m=60.0, wall_at_end=True)
    where = Place(landmark="end wall", mark="w1", offset_m=-46.0)
    stop = finding(_laid(ground=hall, where=where), "ground-start-off-surface")
    assert stop.code == "ground-start-off-surface-fewer-and-shift"
    assert stop.values["wickets"] == 12
    assert codes(_mended(wicket_layout(), hall, where, stop)) == []


def test_where_nothing_fits_it_says_what_is_needed_and_what_there_is():
    stop = finding(_laid(ground=Strip(length_m=25.0), where=Place()), "ground-mark-off-stretch")
    assert stop.code == "ground-mark-off-stretch-no-room"
    assert stop.values["needed_m"] == pytest.approx(16.3 + 24.44 + 13.2)
    assert stop.values["have_m"] == pytest.approx(25.0)


def test_wickets_past_the_end_of_a_straight_are_stopped_where_a_bend_follows():
    where = Place(line="back straight", mark="w1", offset_m=70.0)
    stop = finding(_laid(where=where), "ground-mark-off-stretch")
    assert (stop.mark, stop.values["where"]) == ("w14", "past the end")
    assert stop.values["short_m"] == pytest.approx(70.0 + 24.44 - 84.39)
    assert "ground-mark-off-stretch" not in "".join(
        codes(_mended(wicket_layout(), TRACK, where, stop))
    )
    early = finding(
        _laid(where=Place(line="back straight", mark="w1", offset_m=-1.0)),
        "ground-mark-off-stretch",
    )
    assert (early.mark, early.values["where"]) == ("w1", "before the beginning")


def test_a_slow_down_into_the_bend_is_a_caution_with_its_length():
    where = Place(line="back straight", mark="w1", offset_m=50.0)
    caution = finding(_laid(where=where), "ground-run-out-into-bend")
    assert caution.level is Level.CAUTION
    assert caution.values["bend_m"] == pytest.approx(50.0 + 24.44 + 21.5 - 84.39)
    assert codes(_mended(wicket_layout(), TRACK, where, caution)) == []


def test_a_run_on_out_of_the_bend_is_a_note():
    where = Place(line="back straight", mark="w1", offset_m=10.0)
    note = finding(_laid(where=where), "ground-run-on-from-bend")
    assert (note.level, note.values["bend_m"]) == (Level.NOTE, pytest.approx(6.3))
    assert codes(_mended(wicket_layout(), TRACK, where, note)) == []


def test_on_a_small_track_the_slow_down_goes_round_the_bend():
    small = track_of_lap(300.0, radius_m=35.0, radius_of=RadiusOf.RUNNING_LINE)
    where = Place(landmark="finish", mark="w14", offset_m=-5.0)
    caution = finding(_laid(wicket_layout(run_on_m=8.0), small, where), "ground-run-out-into-bend")
    assert caution.values["bend_m"] == pytest.approx(16.5)


# Obstacles and other layings ---------------------------------------------------


def _post(x_m, *, y_m=-0.8, clearance_m=0.5):
    return rectangle(
        "goalpost",
        x_from_m=x_m,
        x_to_m=x_m + 0.2,
        y_from_m=y_m,
        y_to_m=y_m + 0.2,
        clearance_m=clearance_m,
    )


GRASS_PLACE = Place(landmark="gate", mark="w1", offset_m=20.0)


def _grass(*posts, length_m=100.0):
    gate = Landmark(key="gate", text="the gate", chainage_m=ChainageM(0.0))
    return Strip(length_m=length_m, landmarks=(gate,), obstacles=posts)


def test_an_obstacle_in_the_section_is_a_stop_and_the_shift_clears_it():
    ground = _grass(_post(30.0))
    stop = finding(_laid(ground=ground, where=GRASS_PLACE), "ground-obstacle")
    assert (stop.values["what"], stop.values["where"]) == ("goalpost", "after")
    assert stop.values["from_m"] == pytest.approx(29.5 - 20.0, abs=0.02)
    # The whole run fits beyond the post only: its start just clear of the free band.
    assert stop.values["slide_m"] == pytest.approx(30.7 - 3.7, abs=0.02)
    assert codes(_mended(wicket_layout(), ground, GRASS_PLACE, stop)) == []


def test_an_obstacle_in_the_slow_down_shortens_it():
    placed = _laid(ground=_grass(_post(60.0)), where=GRASS_PLACE)
    caution = finding(placed, "ground-run-out-short")
    assert caution.values["what"] == "goalpost"
    assert placed.run_out_room_m == pytest.approx(59.5 - 44.44, abs=0.01)


def test_an_obstacle_behind_the_start_shortens_the_room_there():
    placed = _laid(ground=_grass(_post(1.0)), where=GRASS_PLACE)
    assert placed.behind_start_room_m == pytest.approx(20.0 - 16.3 - 1.7, abs=0.01)
    assert codes(placed) == []


@pytest.mark.parametrize(("y_m", "hit"), [(0.45, True), (0.55, False), (-1.9, True), (-2.0, False)])
def test_an_obstacle_beside_the_lane_counts_as_far_as_its_free_band(y_m, hit):
    # The lane reaches from y = 0 to -1.22; the post is 0.2 m wide with 0.5 m kept free.
    placed = _laid(ground=_grass(_post(30.0, y_m=y_m)), where=GRASS_PLACE)
    assert any(code.startswith("ground-obstacle") for code in codes(placed)) is hit


def test_an_obstacle_on_a_bend_is_found_across_the_seam_of_the_lap():
    # A mat across the finish line, on the run line of lane 1.
    mat = rectangle("mat", x_from_m=-1.0, x_to_m=1.0, y_from_m=-1.0, y_to_m=0.0, clearance_m=0.0)
    track = Track(obstacles=(mat,))
    where = Place(line="lap", landmark="finish", mark="w1", offset_m=-10.0)
    stop = finding(_laid(ground=track, where=where), "ground-obstacle")
    assert stop.values["from_m"] == pytest.approx(9.0, abs=0.01)
    assert not any(
        code.startswith("ground-obstacle")
        for code in codes(_mended(wicket_layout(), track, where, stop))
    )
    across = _laid(ground=track, where=Place(line="lap", landmark="finish", offset_m=30.0))
    assert across.behind_start_room_m == pytest.approx(30.0 - 16.3 - 1.0, abs=0.01)


def test_two_layings_on_one_lane_must_not_share_ground():
    first = _laid(where=Place(landmark="finish", mark="w1", offset_m=-95.0))
    where = Place(landmark="finish", mark="w1", offset_m=-60.0)
    stop = finding(_laid(where=where, others=(first,)), "ground-laying-overlap")
    assert stop.values["what"] == "the laying on lane 1"
    assert codes(_mended(wicket_layout(), TRACK, where, stop, others=(first,))) == []


def test_layings_on_neighbouring_lanes_do_not_disturb_each_other():
    first = _laid(where=Place(lanes=(4,), landmark="finish", offset_m=-60.0))
    beside = Place(lanes=(5,), landmark="finish", offset_m=-60.0)
    assert codes(_laid(where=beside, others=(first,))) == []


def test_a_neighbour_run_the_other_way_is_a_caution():
    first = _laid(where=Place(lanes=(4,), landmark="finish", offset_m=-60.0))
    opposite = Place(lanes=(5,), landmark="finish", offset_m=-30.0, direction=Direction.AGAINST)
    caution = finding(_laid(where=opposite, others=(first,)), "ground-neighbour-opposite")
    assert (caution.level, caution.values["other"]) == (Level.CAUTION, 4)
    apart = Place(lanes=(6,), landmark="finish", offset_m=-30.0, direction=Direction.AGAINST)
    assert codes(_laid(where=apart, others=(first,))) == []


def test_wickets_wider_than_the_lane_are_a_caution_and_into_a_neighbour_a_stop():
    wide = Kit(wicket_width_m=1.50)
    alone = _laid(where=Place(lanes=(4,), landmark="finish", offset_m=-60.0), kit=wide)
    caution = finding(alone, "ground-wicket-wider-than-lane")
    assert caution.values["clear_m"] == pytest.approx(1.17)
    assert caution.values["over_m"] == pytest.approx((1.50 - 1.17) / 2)
    beside = Place(lanes=(5,), landmark="finish", offset_m=-60.0)
    stop = finding(_laid(where=beside, kit=wide, others=(alone,)), "ground-wicket-into-neighbour")
    assert (stop.level, stop.values["other"]) == (Level.STOP, 4)
    # Narrow wickets beside wide ones are stopped too; a lane between, or narrow ones, mend it.
    theirs = _laid(where=beside, others=(alone,))
    assert "ground-wicket-into-neighbour" in codes(theirs)
    gap = _laid(where=Place(lanes=(6,), landmark="finish", offset_m=-60.0), others=(alone,))
    assert codes(gap) == []
    narrow = _laid(where=Place(lanes=(4,), landmark="finish", offset_m=-60.0))
    assert codes(_laid(where=beside, others=(narrow,))) == []


@pytest.mark.parametrize(("width", "wide"), [(1.17, False), (1.18, True)])
def test_the_widest_wicket_that_stands_inside_a_lane(width, wide):
    placed = _laid(kit=Kit(wicket_width_m=width))
    assert ("ground-wicket-wider-than-lane" in codes(placed)) is wide
    left, right = ends_of(placed, placed.mark("w1"))
    assert math.dist(left, right) == pytest.approx(width)
    # Lane 1 of the standard track: clear from the kerb edge at y = 0 to -1.17.
    assert (left[1] + right[1]) / 2 == pytest.approx(-1.17 / 2)


# Both ways ---------------------------------------------------------------------


def _even(**more):
    return wicket_layout(growth_m=0.0, **more)


def test_both_ways_asks_for_even_gaps_and_wickets_that_fall_both_ways():
    where = Place(landmark="finish", mark="w1", offset_m=-60.0, direction=Direction.BOTH)
    placed = _laid(where=where)
    uneven = finding(placed, "ground-both-ways-uneven")
    assert uneven.values["longest_m"] == pytest.approx(1.91)
    assert finding(placed, "ground-both-ways-fall").level is Level.STOP
    assert codes(_laid(_even(), where=where, kit=GREEN)) == []


def test_both_ways_gives_the_way_back_its_own_start():
    where = Place(landmark="finish", mark="w1", offset_m=-60.0, direction=Direction.BOTH)
    placed = _laid(_even(), where=where, kit=GREEN)
    back = placed.mark("start-back")
    assert back.chainage_m - placed.mark("w14").chainage_m == pytest.approx(16.3)
    assert placed.marks[-1] is back
    assert placed.both_ways


def test_both_ways_needs_start_and_slow_down_at_either_end():
    field = _grass(length_m=65.0)
    where = Place(landmark="gate", mark="w1", offset_m=20.0, direction=Direction.BOTH)
    placed = _laid(_even(), field, where, kit=GREEN)
    stops = [f for f in placed.findings if f.code.startswith("ground-both-ways-short")]
    assert [f.values["where"] for f in stops] == ["before", "after"]
    assert stops[0].values["short_m"] == pytest.approx(1.5)
    mended = _mended(_even(), field, where, stops[0], kit=GREEN)
    assert codes(mended) == []


def test_neighbours_both_ways_and_one_way_are_told_apart():
    one = _laid(where=Place(lanes=(4,), landmark="finish", offset_m=-60.0))
    both = Place(lanes=(5,), landmark="finish", offset_m=-60.0, direction=Direction.BOTH)
    placed = _laid(_even(), where=both, kit=GREEN, others=(one,))
    assert codes(placed) == ["ground-neighbour-opposite"]


# Bends -------------------------------------------------------------------------


def test_a_wicket_run_on_a_bend_tells_chords_and_edge_gaps():
    placed = _laid(where=Place(line="first bend", offset_m=30.0))
    note = finding(placed, "ground-wickets-on-bend")
    assert (note.level, note.values["count"]) == (Level.NOTE, 14)
    assert note.values["radius_m"] == pytest.approx(36.80)
    w2 = placed.mark("w2")
    gap = w2.mark.gap_m
    turned = gap / 36.80 / 2
    assert w2.chord_m == pytest.approx(2 * 36.80 * math.sin(turned))
    # The wicket stands across the middle of the clear lane: 36.50 + 1.17 / 2, 0.60 m wide.
    middle = 36.50 + 1.17 / 2
    assert w2.inner_gap_m == pytest.approx(2 * (middle - 0.30) * math.sin(turned))
    assert w2.outer_gap_m == pytest.approx(2 * (middle + 0.30) * math.sin(turned))
    assert placed.mark("w1").inner_gap_m is None


def test_marks_without_wickets_on_a_bend_are_noted_too():
    placed = _laid(zone_layout(), where=Place(line="first bend", mark="gate1", offset_m=30.0))
    assert finding(placed, "ground-marks-on-bend").values["radius_m"] == pytest.approx(36.80)


def test_marks_on_a_straight_have_no_chords():
    assert all(each.chord_m is None for each in _laid().marks)
    back = _laid(where=Place(line="back straight", fit=Fit.MIDDLE))
    assert all(math.isinf(each.radius_m) for each in back.marks)
    w2 = back.mark("w2")
    assert (w2.chord_m, w2.inner_gap_m) == pytest.approx((w2.mark.gap_m, w2.mark.gap_m))


@pytest.mark.parametrize("lane", [1, 2, 8])
@pytest.mark.parametrize("line", ["home straight", "first bend", "back straight", "second bend"])
def test_every_mark_lies_on_its_run_line_to_1e_9(line, lane):
    placed = _laid(where=Place(line=line, lanes=(lane,), mark="w1", offset_m=-20.0))
    run_line = placed.course.run_line
    for each in placed.marks:
        pose = pose_of(placed, each)
        (chainage,), (aside,) = run_line.project(pose.x_m, pose.y_m)
        assert aside == pytest.approx(0.0, abs=1e-9)
        expected = each.chainage_m
        if run_line.closed:
            chainage = expected + math.remainder(chainage - expected, run_line.length_m)
        assert chainage == pytest.approx(expected, abs=1e-7)


# Rooms before a board, names ---------------------------------------------------


def test_room_before_a_place():
    assert room_before(TRACK, HOME) == pytest.approx(113.0 - 60.0)
    back = Place(landmark="finish", direction=Direction.AGAINST)
    assert room_before(TRACK, back) == pytest.approx(17.0)
    assert room_before(Runway(), Place(slide_m=-0.3)) == pytest.approx(39.7)
    assert room_before(Strip(), Place()) is None
    assert room_before(TRACK, Place(line="moon")) is None
    assert room_before(TRACK, Place(landmark="moon")) is None


def test_lines_of_every_ground_can_be_named():
    assert Strip().lines == ("strip",)
    assert Runway().lines == ("runway",)


def test_noted_objects_and_landmarks_of_a_strip_are_checked():
    with pytest.raises(DomainError, match="two are enough"):
        Strip(noted=tuple(NotedObject(name=str(i)) for i in range(3)))
    with pytest.raises(DomainError, match="distance to oak"):
        NotedObject(name="oak", distance_m=math.nan)
    with pytest.raises(DomainError, match="length of the strip"):
        Strip(length_m=math.inf)
    with pytest.raises(DomainError, match="told twice"):
        Strip(landmarks=(Landmark(key="a", text="a", chainage_m=ChainageM(0.0)),) * 2)


# Every room finding over random grounds and layings ----------------------------


@st.composite
def layings(draw):
    from ground_layouts import grounds, layouts

    ground = draw(grounds)
    jump = isinstance(ground, Runway) and draw(st.booleans())
    layout = takeoff_layout(approach_m=draw(st.floats(16.0, 60.0))) if jump else draw(layouts)
    line = draw(st.sampled_from(ground.lines))
    lane = draw(st.sampled_from(ground.lanes_of(line)))
    way = draw(st.sampled_from(list(Direction)))
    where = Place(
        line=line,
        lanes=(lane,),
        mark=layout.datum.value,
        offset_m=0.0 if jump else draw(st.floats(-120.0, 120.0)),
        direction=Direction.WITH if jump else way,
    )
    return layout, ground, where


def _remedies_help(layout, ground, where):
    """Apply the remedy of every finding that has one, and see that the finding is gone."""
    for found in _laid(layout, ground, where).findings:
        base = found.code
        for ending in ("-fewer-and-shift", "-shift-or-fewer", "-shift", "-fewer"):
            base = base.removesuffix(ending)
        if base == found.code:
            continue
        after = codes(_mended(layout, ground, where, found))
        assert not any(code.startswith(base) for code in after), (found, after)


@settings(max_examples=300, deadline=None)
@given(laying=layings())
def test_a_remedy_makes_its_finding_go_away(laying):
    _remedies_help(*laying)


@settings(max_examples=150, deadline=None)
@given(laying=layings())
def test_taking_fewer_wickets_alone_helps_where_it_is_offered(laying):
    layout, ground, where = laying
    for found in _laid(layout, ground, where).findings:
        if found.code.endswith("-shift-or-fewer"):
            base = found.code.removesuffix("-shift-or-fewer")
            after = codes(_laid(_cut(layout, found.values["wickets"]), ground, where))
            assert not any(code.startswith(base) for code in after), (found, after)


@settings(max_examples=150, deadline=None)
@given(laying=layings())
def test_placing_never_raises_and_keeps_every_distance(laying):
    layout, ground, where = laying
    placed = _laid(layout, ground, where)
    for one, two in zip(placed.marks, placed.marks[1:], strict=False):
        apart = placed.direction * (two.chainage_m - one.chainage_m)
        assert apart == pytest.approx(two.mark.along_m - one.mark.along_m, abs=1e-9)
    assert {finding.lane for finding in placed.findings} <= {placed.course.told_lane}


@pytest.mark.slow
@settings(max_examples=8000, deadline=None)
@given(laying=layings())
def test_a_remedy_makes_its_finding_go_away_at_length(laying):
    _remedies_help(*laying)


# -- walls -----------------------------------------------------------------------------------------


def _hall(**more):
    return Strip(length_m=100.0, wall_at_start=True, wall_at_end=True, **more)


@pytest.mark.parametrize(("free_m", "said"), [(0.06, True), (0.99, True), (1.0, False)])
def test_the_rear_foot_has_a_metre_before_a_wall_behind_the_start(free_m, said):
    where = Place(mark="start", landmark="start wall", offset_m=free_m)
    laid = _laid(ground=_hall(), where=where)
    told = [f for f in laid.findings if f.code.startswith("ground-start-at-wall")]
    assert bool(told) is said
    for stop in told:
        assert stop.level is Level.STOP
        assert stop.values["room_m"] == pytest.approx(free_m)
        assert stop.values["slide_m"] == pytest.approx(1.0 - free_m, abs=0.01)
        assert f"{free_m:.2f} m" in word(stop).text


def test_a_walk_or_jog_of_a_metre_is_room_enough_for_the_rear_foot():
    where = Place(mark="start", landmark="start wall", offset_m=4.0)
    laid = _laid(wicket_layout(approach_m=4.0), ground=_hall(), where=where)
    assert not [code for code in codes(laid) if code.startswith("ground-start")]


def test_places_in_words_keep_a_metre_from_the_wall_behind():
    laid = _laid(ground=_hall(), where=Place(fit=Fit.FAR))
    assert laid.behind_start_room_m == pytest.approx(1.0, abs=0.1)
    assert laid.behind_start_room_m >= 1.0 - 1e-9


@pytest.mark.parametrize(("wall", "least_m"), [(True, 21.5), (False, 13.2)])
def test_the_wanted_slow_down_is_the_least_where_a_wall_follows(wall, least_m):
    ground = Strip(length_m=100.0, wall_at_end=wall)
    assert _laid(ground=ground, where=Place(fit=Fit.FAR)).run_out_least_m == least_m


# -- places told wrong -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "where",
    [
        Place(line="moon"),
        Place(lanes=(19,)),
        Place(landmark="lamp post", offset_m=-900.0),
        Place(mark="w99", offset_m=-900.0),
    ],
)
def test_of_a_place_told_in_wrong_words_only_the_words_are_told(where):
    (stop,) = _laid(where=where).findings
    assert stop.code.endswith("-unknown")


def test_of_a_place_before_the_beginning_only_that_is_told_with_where_to_ask():
    (stop,) = _laid(where=Place(mark="w1", offset_m=-140.0)).findings
    assert "before the beginning of the home straight" in word(stop).text
    assert "wicketlay places" in word(stop).remedy


def test_a_stretch_of_no_length_takes_no_ground():
    course = _laid().course
    assert band(course, 12.0, 12.0).is_empty
    assert band(course, 12.0, 13.0).area == pytest.approx(course.left_m + course.right_m)
