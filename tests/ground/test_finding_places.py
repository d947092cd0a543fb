import pytest
from ground_layouts import codes, grounds, layouts, rectangle, takeoff_layout, wicket_layout
from hypothesis import given, settings

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.finding_places import find_places
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.placing import Direction, Fit, Place, place, settle
from wicketlay.ground.runway import Event


def test_all_lines_of_a_track_best_first():
    found = find_places(wicket_layout(), Track())
    lines = [(spot.line, spot.direction) for spot, _ in found]
    assert lines[:4] == [
        ("home straight", Direction.WITH),
        ("home straight", Direction.AGAINST),
        ("back straight", Direction.WITH),
        ("back straight", Direction.AGAINST),
    ]
    assert {line for line, _ in lines[4:]} == {"first bend", "second bend", "lap"}
    rooms = [room for _, room in found]
    assert rooms[0] == pytest.approx(130.0 - 16.3 - 24.44 - 21.5)
    assert rooms[2] == pytest.approx(84.39 - 16.3 - 24.44 - 21.5)


def test_a_found_place_has_its_datum_on_a_whole_tenth_from_its_landmark():
    found = find_places(wicket_layout(), Track())
    assert found[0][0].landmark == "finish"
    assert {spot.landmark for spot, _ in found} > {"finish", "back straight begins"}
    for spot, _ in found:
        assert spot.offset_m * 10 == pytest.approx(round(spot.offset_m * 10))


@pytest.mark.parametrize("fit", [Fit.GIVEN, Fit.FAR, Fit.MIDDLE])
@pytest.mark.parametrize("line", ["home straight", "back straight", "second bend"])
@pytest.mark.parametrize("way", [Direction.WITH, Direction.AGAINST])
def test_a_place_told_in_words_is_settled_on_a_whole_tenth_from_its_landmark(fit, line, way):
    told, _ = settle((wicket_layout(),), Track(), Place(line=line, fit=fit, direction=way))
    assert told.landmark is not None
    assert told.offset_m * 10 == pytest.approx(round(told.offset_m * 10))
    laid = place(wicket_layout(), Track(), Place(line=line, fit=fit, direction=way), lane=1)
    again = place(wicket_layout(), Track(), told, lane=1)
    assert again.mark("w1").chainage_m == pytest.approx(laid.mark("w1").chainage_m, abs=0.05)


@settings(max_examples=60, deadline=None)
@given(layout=layouts, ground=grounds)
def test_what_is_found_fits_with_the_slow_down_it_wants(layout, ground):
    for spot, room in find_places(layout, ground):
        placed = place(layout, ground, spot, lane=spot.lanes[0])
        said = [
            f
            for f in placed.findings
            if f.code.startswith(("ground-run-out-s", "ground-run-out-t"))
        ]
        assert said == []
        assert not any(f.level is Level.STOP for f in placed.findings)
        assert room >= 0.0


def test_nothing_is_found_where_nothing_fits():
    assert find_places(wicket_layout(), Strip(length_m=40.0)) == ()


def test_an_obstacle_sends_it_to_another_lane():
    mat = rectangle("mat", x_from_m=40.0, x_to_m=45.0, y_from_m=-1.0, y_to_m=0.0)
    hall = Strip(length_m=80.0, lanes=4, obstacles=(mat,))
    spot, room = find_places(wicket_layout(), hall)[0]
    assert spot.lanes == (3,)
    assert room == pytest.approx(80.0 - 16.3 - 24.44 - 21.5)


def test_a_jump_is_found_on_the_boards_of_a_runway_only():
    found = find_places(takeoff_layout(approach_m=38.0), Runway(event=Event.TRIPLE))
    assert [(spot.landmark, room) for spot, room in found] == [("11 m board", pytest.approx(4.0))]
    assert find_places(takeoff_layout(approach_m=45.0), Runway()) == ()


def test_unmeasured_ground_takes_any_laying_at_its_zero():
    (ahead, _), _ = find_places(wicket_layout(), Strip())
    assert place(wicket_layout(), Strip(), ahead, lane=1).mark("w1").chainage_m == 0.0


# One place for several layouts -----------------------------------------------------------------


LONG, SHORT = wicket_layout(run_on_m=20.0), wicket_layout(run_on_m=9.0, wickets=10)
GATE = Landmark(key="gate", text="the gate", chainage_m=ChainageM(2.0))


@pytest.mark.parametrize("fit", [Fit.GIVEN, Fit.FAR])
@pytest.mark.parametrize("way", [Direction.WITH, Direction.AGAINST])
@pytest.mark.parametrize(
    "ground", [Track(), Strip(length_m=90.0), Strip(length_m=90.0, landmarks=(GATE,))]
)
@pytest.mark.parametrize("slide", [0.0, 0.4])
def test_layouts_that_share_a_place_told_in_words_share_their_first_wicket(fit, way, ground, slide):
    where = Place(fit=fit, direction=way, slide_m=slide)
    one, said = settle((SHORT, LONG), ground, where)
    laid = [place(each, ground, one, lane=1) for each in (SHORT, LONG)]
    assert laid[0].mark("w1").chainage_m == pytest.approx(laid[1].mark("w1").chainage_m)
    if slide == 0.0:
        assert codes(laid[0]) == codes(laid[1]) == []
    behind = way is Direction.WITH or fit is Fit.FAR
    assumed = ["ground-behind-assumed" if behind else "ground-ahead-assumed"]
    assert [f.code for f in said] == (
        ["ground-place-not-told"] * (fit is Fit.GIVEN) + assumed * isinstance(ground, Track)
    )


def test_layouts_in_the_middle_share_their_first_wicket():
    one, _ = settle((SHORT, LONG), Track(), Place(fit=Fit.MIDDLE))
    laid = [place(each, Track(), one, lane=1) for each in (SHORT, LONG)]
    assert laid[0].mark("w1").chainage_m == laid[1].mark("w1").chainage_m
    assert one.fit is Fit.GIVEN


@pytest.mark.parametrize("way", [Direction.WITH, Direction.AGAINST])
@pytest.mark.parametrize("wall", [False, True])
@pytest.mark.parametrize("length_m", range(54, 96, 3))
def test_the_middle_gives_way_to_the_room_there_is_and_says_so(length_m, wall, way):
    hall = Strip(length_m=float(length_m), wall_at_start=wall, wall_at_end=wall)

    def stops(fit):
        told, said = settle((SHORT, LONG), hall, Place(fit=fit, direction=way))
        laid = [place(each, hall, told, lane=1) for each in (SHORT, LONG)]
        found = [f for each in laid for f in each.findings if f.level is Level.STOP]
        return found, [f.code for f in said], laid

    far, _, _ = stops(Fit.FAR)
    middle, said, laid = stops(Fit.MIDDLE)
    assert bool(middle) == bool(far)
    if middle:
        return
    marks = [m.chainage_m for m in laid[1].marks if m.mark.kind is not MarkKind.START]
    off_m = (min(marks) + max(marks)) / 2.0 - length_m / 2.0
    # between the middle of the one and that of the other they lie where there is room
    assert abs(off_m) < 4.1 or "ground-beside-middle" in said


@pytest.mark.parametrize(
    ("ground", "where"),
    [
        (Track(), Place(landmark="finish", mark="w1", offset_m=-60.0)),
        (Strip(), Place()),
        (Strip(), Place(fit=Fit.MIDDLE)),
        (Track(), Place(line="moon")),
        (Runway(), Place()),
    ],
)
def test_a_place_told_by_a_number_stays_as_it_is(ground, where):
    assert settle((SHORT, LONG), ground, where) == (where, ())


def test_a_lap_with_something_on_it_is_found_with_its_slow_down_clear_of_it():
    post = rectangle("post", x_from_m=22.0, x_to_m=25.0, y_from_m=0.0, y_to_m=1.0, clearance_m=1.0)
    track = Track(obstacles=(post,))
    layout = wicket_layout(wickets=4, gap_m=2.0, growth_m=0.0, run_on_m=6.0, wanted_m=21.0)
    found = {
        (spot.line, spot.direction): spot for spot, _ in find_places(layout, track, lanes=(8,))
    }
    for way in (Direction.WITH, Direction.AGAINST):
        laid = place(layout, track, found["lap", way], lane=8)
        assert [f.code for f in laid.findings if f.level is not Level.NOTE] == []
        assert laid.run_out_room_m is not None
        assert laid.run_out_room_m >= 21.0
