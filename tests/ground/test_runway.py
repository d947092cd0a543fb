import math
from dataclasses import replace

import pytest
from ground_layouts import codes, finding, takeoff_layout, wicket_layout

from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.placing import Direction, Place, place, room_before
from wicketlay.ground.runway import Board, Event, TakeoffKind
from wicketlay.ground.tape import PullDirection, TapeSpec, tape_sheet
from wicketlay.wording import word


def _all_cautions(runway):
    return runway.cautions([board.key for board in runway.all_boards])


def _cautions(**numbers):
    return [
        (f.code, f.values["what"], f.values["limit_m"]) for f in _all_cautions(Runway(**numbers))
    ]


def test_g8_the_usual_runway_its_board_and_its_pit():
    """G8: World Athletics rules 29.1-29.4 (2022); NIDE."""
    runway = Runway()
    (board,) = runway.all_boards
    assert (runway.length_m, runway.width_m, runway.free_band_m) == (40.0, 1.22, 1.50)
    assert (board.length_m, runway.course("runway", 1).clear_width_m) == (0.20, 1.22)
    assert 2.75 <= runway.pit.width_m <= 3.00
    assert 1.0 <= board.to_pit_m <= 3.0
    assert runway.pit.to_m >= 10.0


@pytest.mark.parametrize("event", list(Event))
def test_g8_usual_runways_keep_the_rules(event):
    """G8: World Athletics rules 29.1-29.4 (2022); NIDE."""
    assert _all_cautions(Runway(event=event)) == ()


@pytest.mark.parametrize(
    ("numbers", "expected"),
    [
        ({"length_m": 39.0}, ("ground-rule-below", "runway length", 40.0)),
        ({"width_m": 1.20}, ("ground-rule-below", "runway width", 1.21)),
        ({"width_m": 1.25}, ("ground-rule-above", "runway width", 1.23)),
        ({"free_band_m": 1.2}, ("ground-rule-below", "free band beside the runway", 1.5)),
        ({"pit_width_m": 2.6}, ("ground-rule-below", "pit width", 2.75)),
        ({"pit_width_m": 3.2}, ("ground-rule-above", "pit width", 3.0)),
        (
            {"boards": (Board(key="board", to_pit_m=0.8),), "pit_length_m": 10.0},
            ("ground-rule-below", "board to pit", 1.0),
        ),
        (
            {"boards": (Board(key="board", to_pit_m=3.2),)},
            ("ground-rule-above", "board to pit", 3.0),
        ),
        ({"pit_length_m": 7.0}, ("ground-rule-below", "board to the far end of the pit", 10.0)),
        (
            {"event": Event.TRIPLE, "boards": (Board(key="men", to_pit_m=12.0),)},
            ("ground-rule-below", "men to pit", 13.0),
        ),
        (
            {"event": Event.TRIPLE, "boards": (Board(key="women", to_pit_m=10.5, women=True),)},
            ("ground-rule-below", "women to pit", 11.0),
        ),
        (
            {
                "event": Event.TRIPLE,
                "boards": (Board(key="women", to_pit_m=11.0, women=True),),
                "pit_length_m": 9.0,
            },
            ("ground-rule-below", "women to the far end of the pit", 21.0),
        ),
    ],
    ids=lambda each: next(iter(each)) if isinstance(each, dict) else "",
)
def test_g8_a_measure_outside_the_rules_is_a_caution_that_names_the_rule(numbers, expected):
    """G8: World Athletics rules 29.1-29.4 (2022); NIDE."""
    assert expected in _cautions(**numbers)
    for caution in _all_cautions(Runway(**numbers)):
        assert caution.level is Level.CAUTION
        assert caution.values["rule"] == "World Athletics rule 29"


@pytest.mark.parametrize(
    "numbers",
    [
        {"length_m": 40.0},
        {"width_m": 1.21},
        {"width_m": 1.23},
        {"pit_width_m": 3.0},
        {"boards": (Board(key="board", to_pit_m=1.0),), "pit_length_m": 9.0},
        {"boards": (Board(key="board", to_pit_m=3.0),), "pit_length_m": 7.0},
    ],
)
def test_g8_a_measure_at_the_end_of_its_range_is_no_caution(numbers):
    """G8: World Athletics rules 29.1-29.4 (2022); NIDE."""
    assert _all_cautions(Runway(**numbers)) == ()


def test_g8_a_caution_about_the_ground_comes_with_every_laying_on_it():
    placed = place(takeoff_layout(), Runway(length_m=35.0), Place(), lane=1)
    assert finding(placed, "ground-rule-below").values["value_m"] == 35.0


def test_only_the_board_that_is_jumped_from_is_told_of():
    """World Athletics rules 29.1 to 29.4 (2022), G8: 11 m for women, 13 m for men."""
    boards = (Board(key="13 m", to_pit_m=12.0), Board(key="11 m", to_pit_m=10.0, women=True))
    runway = Runway(event=Event.TRIPLE, boards=boards)

    def told(layout, where):
        findings = place(layout, runway, where, lane=1).findings
        return {f.values["what"] for f in findings if f.code == "ground-rule-below"}

    assert told(takeoff_layout(), Place(landmark="11 m")) == {
        "11 m to pit",
        "11 m to the far end of the pit",
    }
    assert told(takeoff_layout(), Place()) == {"13 m to pit"}
    assert told(wicket_layout(run_on_m=5.0, wickets=3), Place(offset_m=-30.0)) == set()


def test_t5_more_than_two_marks_are_for_practice_only():
    """T5: rule 180.3 (2016-17): at most two markers an athlete, beside the runway."""
    placed = place(takeoff_layout(), Runway(), Place(), lane=1)
    note = finding(placed, "ground-competition-markers")
    assert (note.level, note.values["most"]) == (Level.NOTE, 2)
    assert "beside the runway" in str(word(note))
    few = takeoff_layout(wickets=(-14.0,))
    assert "ground-competition-markers" not in codes(place(few, Runway(), Place(), lane=1))


def test_the_take_off_line_is_the_zero():
    placed = place(takeoff_layout(), Runway(), Place(), lane=1)
    assert placed.mark("w4").chainage_m == pytest.approx(-8.0)
    assert placed.stop_chainage_m == pytest.approx(0.0)
    first, second = tape_sheet(placed, TapeSpec()).pulls[0].fixed_points
    assert (first.landmark.key, first.distance_m) == ("take-off line", 0.0)
    assert (second.landmark.key, second.distance_m, second.beyond) == ("pit edge", 2.0, False)


def test_everything_is_read_back_from_the_take_off_line():
    placed = place(takeoff_layout(), Runway(), Place(), lane=1)
    (pull,) = tape_sheet(placed, TapeSpec()).pulls
    assert (pull.zero_id, pull.direction) == ("line", PullDirection.BACK)
    assert [(r.mark_id, r.ticks) for r in pull.readings] == [
        ("line", 0),
        ("w4", 800),
        ("w3", 1000),
        ("w2", 1200),
        ("w1", 1400),
        ("start", 2400),
    ]


@pytest.mark.parametrize(("slide", "start"), [(-0.30, 2430), (0.30, 2370)])
def test_sliding_the_marks_leaves_the_board_where_it_is(slide, start):
    placed = place(takeoff_layout(), Runway(), Place(slide_m=slide), lane=1)
    assert placed.line_chainage_m == 0.0
    sheet = tape_sheet(placed, TapeSpec())
    assert sheet.pulls[0].fixed_points[0].distance_m == 0.0
    assert sheet.reading("start")[1].ticks == start
    near = place(
        takeoff_layout(),
        Runway(event=Event.TRIPLE),
        Place(landmark="11 m board", slide_m=slide),
        lane=1,
    )
    assert tape_sheet(near, TapeSpec()).reading("start")[1].ticks == start


@pytest.mark.parametrize("slide", [0.0, -0.30])
def test_a_line_on_ground_without_a_board_stays_when_marks_slide(slide):
    where = Place(line="strip", mark="line", offset_m=40.0, slide_m=slide)
    placed = place(takeoff_layout(), Strip(length_m=90.0), where, lane=1)
    assert placed.line_chainage_m == pytest.approx(40.0)
    start = tape_sheet(placed, TapeSpec()).reading("start")[1]
    assert start.ticks == round(2400 - 100 * slide)


def test_the_pit_takes_the_place_of_the_slow_down_of_a_jump():
    placed = place(takeoff_layout(), Runway(), Place(), lane=1)
    assert not any(code.startswith("ground-run-out") for code in codes(placed))


def test_a_wicket_run_towards_the_pit_must_stop_before_it():
    placed = place(wicket_layout(wickets=8), Runway(), Place(offset_m=-20.0), lane=1)
    stop = finding(placed, "ground-run-out-too-short")
    assert stop.values["what"] == "the pit"
    assert stop.values["room_m"] == pytest.approx(22.0 - placed.mark("w8").mark.along_m)


def test_an_approach_longer_than_the_runway_cannot_be_shifted():
    placed = place(takeoff_layout(approach_m=42.3), Runway(), Place(), lane=1)
    stop = finding(placed, "ground-start-off-surface")
    assert stop.code == "ground-start-off-surface-anchored"
    assert stop.values["short_m"] == pytest.approx(2.3)
    shorter = place(takeoff_layout(approach_m=40.0), Runway(), Place(), lane=1)
    assert not any(code.startswith("ground-start") for code in codes(shorter))


@pytest.mark.parametrize("way", [Direction.AGAINST, Direction.BOTH])
def test_a_jump_runs_towards_the_pit_only(way):
    placed = place(takeoff_layout(), Runway(), Place(direction=way), lane=1)
    assert "ground-jump-direction" in codes(placed)


def test_the_other_board_of_a_triple_jump_lies_nearer_the_pit():
    runway = Runway(event=Event.TRIPLE)
    near = place(takeoff_layout(), runway, Place(landmark="11 m board"), lane=1)
    far = place(takeoff_layout(), runway, Place(landmark="13 m board"), lane=1)
    apart = near.mark("w1").chainage_m - far.mark("w1").chainage_m
    assert apart == pytest.approx(2.0)
    assert room_before(runway, Place(landmark="11 m board")) == pytest.approx(42.0)


def test_a_zone_or_mat_has_a_middle_to_aim_at():
    zone = Board(key="zone", to_pit_m=1.0, kind=TakeoffKind.ZONE, length_m=0.8)
    runway = Runway(boards=(zone,), pit_length_m=9.0)
    course = runway.course("runway", 1)
    assert course.landmark("zone middle").chainage_m == pytest.approx(-0.4)
    assert course.landmark("take-off line").text == "the end of the take-off zone"


def test_a_pole_vault_runway_is_measured_from_the_box():
    course = Runway(event=Event.POLE_VAULT).course("runway", 1)
    assert [each.key for each in course.landmarks[:2]] == ["take-off line", "box"]
    assert course.landmark("take-off line").text == "the back wall of the box"


@pytest.mark.parametrize(
    ("numbers", "message"),
    [
        ({"length_m": math.nan}, "length of the runway"),
        ({"length_m": 3.0}, "length of the runway"),
        ({"width_m": 0.1}, "width of the runway"),
        ({"free_band_m": -1.0}, "free band"),
        ({"boards": ()}, "at least one board"),
        ({"pit_length_m": 0.0}, "length of the pit"),
        ({"pit_width_m": 99.0}, "width of the pit"),
        ({"boards": (Board(key="board", to_pit_m=2.0),) * 2}, "told twice"),
        (
            {"landmarks": (Landmark(key="board", text="a board", chainage_m=ChainageM(-3.0)),)},
            "told twice",
        ),
    ],
)
def test_numbers_that_cannot_be_a_runway_are_refused(numbers, message):
    with pytest.raises(DomainError, match=message):
        Runway(**numbers)


@pytest.mark.parametrize("numbers", [{"to_pit_m": -1.0}, {"to_pit_m": 2.0, "length_m": 9.0}])
def test_numbers_that_cannot_be_a_board_are_refused(numbers):
    with pytest.raises(DomainError, match="must lie between"):
        Board(key="board", **numbers)


def test_a_long_jump_board_on_a_triple_jump_runway_keeps_to_its_own_rule():
    """World Athletics rules 29.1 to 29.4 (2022), G8: 1 to 3 m for one, 13 m for the other."""
    boards = (
        Board(key="13 m board", to_pit_m=13.0),
        Board(key="long-jump board", to_pit_m=2.0, event=Event.LONG),
    )
    fits = Runway(event=Event.TRIPLE, boards=boards, length_m=45.0)
    assert [f.values["what"] for f in _all_cautions(fits) if "long-jump" in str(f.values)] == []
    same = Runway(event=Event.TRIPLE, boards=(boards[0], replace(boards[1], event=None)))
    assert any("long-jump board" in str(f.values) for f in _all_cautions(same))
