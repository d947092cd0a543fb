"""The 0 of the tape: its box, what it says when the mark at it moves, its drawing, its blanks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sheet_plans import PAPERS, case, solved, texts, with_plan, words

from wicketlay.export import as_text
from wicketlay.ground.placing import Place
from wicketlay.ground.readings import PullDirection, TapeLies, TapeSpec, Tick
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import NotedObject, Strip
from wicketlay.lanes.laying import Moved
from wicketlay.sheets import make_pages
from wicketlay.sheets.page.model import Ink, Path, Rect, Role
from wicketlay.sheets.pulls import as_moved


def _from(zero, name="tuesday-wickets", paper="a4"):
    base = solved(name)
    what = with_plan(base, tape=replace(base.plan.tape, zero=zero))
    sheets = [s for s in make_pages(what, only=("tape",), paper=paper) if s.kind == "tape"]
    return what, sheets


def _box_of(sheet, layings):
    (laying,) = (
        each
        for each in layings
        if f"LANE {each.lane} " in words(sheet) and f"WAVE {each.wave} " in words(sheet)
    )
    return laying


@pytest.mark.parametrize("paper", PAPERS)
def test_a_zero_whose_mark_moves_is_told_to_be_its_new_place(paper):
    what, sheets = _from("w5", paper=paper)
    moved = 0
    for sheet in sheets:
        laying = _box_of(sheet, what.layings)
        shown = {each.mark_id: each.shown_m for each in laying.moved}.get("w5")
        said = words(sheet)
        assert ("0 is its new place." in said) is (shown is not None)
        if shown is not None:
            moved += 1
            way = "forward" if shown > 0 else "back"
            assert f"W5 moves first, {way} " in said
    assert moved == 4


@pytest.mark.parametrize("shown_m", [0.06, -0.06])
def test_a_zero_that_moves_is_the_first_row_whichever_way_it_moves(shown_m):
    laying = solved("fixed-cadence").layings[0]
    pull = laying.tape.pulls[0]
    moves = [Moved(mark_id=pull.zero_id, by_m=shown_m, shown_m=shown_m)]
    rows, away = as_moved(pull, pull.readings, moves)
    assert rows[0].mark_id == pull.zero_id
    assert not away


def test_a_zero_that_stays_has_no_new_place():
    _, sheets = _from("w1")
    assert len(sheets) == 6
    assert not any("new place" in words(sheet) for sheet in sheets)


def test_a_later_pull_tells_whether_its_zero_is_the_one_before():
    _, (first, *_) = _from("w5")
    assert "PULL 2 · same 0: front of W5, against the run" in words(first)
    (short,) = (s for s in make_pages(case("the tape ends among the wickets"), only=("tape",)))
    assert "PULL 2 · new 0: front of W11, with the run" in words(short)


def _arrow_ways(page):
    """+1 for each arrow head that points down the page, -1 for each that points up."""
    heads = [
        i
        for i in page.items
        if isinstance(i, Path)
        and i.fill is Ink.BLACK
        and len(i.points_mm) == 3
        and i.points_mm[0][1] != i.points_mm[1][1]  # a start mark has its tip last
    ]
    ways = []
    for head in heads:
        tip, left, right = head.points_mm
        across = abs(left[1] - right[1]) < 1e-6
        ways.append(0 if not across else (1 if tip[1] > left[1] else -1))
    return ways


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["tuesday-wickets", "board-approach"])
def test_every_arrow_of_a_tape_sheet_goes_up_or_down_the_page_as_the_rows_do(name, paper):
    sheet = next(iter(make_pages(solved(name), only=("tape",), paper=paper)))
    ways = [way for page in sheet.pages for way in _arrow_ways(page)]
    assert len(ways) >= 4
    assert 0 not in ways


@pytest.mark.parametrize("name", ["tuesday-wickets", "board-approach"])
def test_the_zero_is_drawn_the_way_the_lane_is(name):
    what = solved(name)
    page = next(iter(make_pages(what, only=("tape",)))).pages[0]
    running = what.layings[0].tape.pulls[0].direction is PullDirection.RUNNING
    runs = [text for text in texts(page) if text.text == "RUN"]
    zero, *_ = (text for text in texts(page) if text.text == "0" and text.role is Role.LABEL_STRONG)
    assert len(runs) == 2
    # Where the run goes down the page the runner comes from above the 0, the tape at the right.
    assert (runs[0].y_mm < zero.y_mm) is running
    assert (runs[0].x_mm < zero.x_mm) is running
    scale = {text.text: text for text in texts(page) if text.role is Role.LABEL}
    assert (scale["10"].x_mm > runs[1].x_mm) is running


def _blanks(page):
    return [
        i
        for i in page.items
        if isinstance(i, Rect) and (round(i.width_mm, 2), round(i.height_mm, 2)) == (40.0, 8.0)
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("noted", "blanks"),
    [
        ((), 4),
        ((NotedObject(name="the oak"),), 3),
        ((NotedObject(name="the oak"), NotedObject(name="the gate", distance_m=12.4)), 1),
        ((NotedObject(name="a", distance_m=3.0), NotedObject(name="b", distance_m=12.4)), 0),
    ],
)
def test_a_chosen_zero_has_blanks_for_what_is_not_known_of_it(paper, noted, blanks):
    what = with_plan(case("free zero"), ground=Strip(noted=noted))
    page = next(iter(make_pages(what, only=("tape",), paper=paper))).pages[0]
    assert len(_blanks(page)) == blanks
    said = " ".join(text.text for text in texts(page))
    for each in noted:
        assert each.name in said


def test_a_zero_of_a_fixed_point_has_no_blanks():
    assert not _blanks(next(iter(make_pages(solved("fixed-cadence"), only=("tape",)))).pages[0])


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("lies", "line"),
    [
        (TapeLies.PAINTED_LINE, "along the left line."),
        (TapeLies.RUN_LINE, "0.20 m from the left line."),
    ],
)
def test_a_zero_told_round_a_bend_says_along_what_it_is_measured(paper, lies, line):
    bend = solved("bend-accelerations")
    what = with_plan(bend, tape=replace(bend.plan.tape, lies=lies))
    (sheet,) = (s for s in make_pages(what, only=("tape",), paper=paper) if s.kind == "tape")
    assert f"Measure round the bend, {line}" in words(sheet)


def test_a_zero_told_along_a_straight_says_nothing_of_a_bend():
    (sheet,) = (s for s in make_pages(solved("fixed-cadence"), only=("tape",)) if s.kind == "tape")
    assert "round the bend" not in words(sheet)


FAR = {
    "straight, 50 m": ("home straight", 60.0, 50.0, "50 m, mark, 10.00 m more"),
    "straight, 30 m": ("home straight", 60.0, 30.0, "30 m, mark, 30.00 m more"),
    "straight, 27.56 m": ("home straight", 60.0, 27.56, "27.5 m, mark, 27.5 m, mark, 5.00 m more"),
    "bend, 30 m": ("second bend", 95.0, 30.0, "3 times 30 m and a mark, 5.00 m more"),
    "runway, 30 m": ("runway", 61.0, 30.0, "30 m, mark, 30 m, mark, 1.00 m more"),
}
"""Line, zero before its fixed point [m], tape [m], and how that is measured."""


def _far_from_it(line, away_m, tape_m, tick):
    base = solved("fixed-cadence")
    place = Place(line=line, landmark="finish", mark="w1", offset_m=-away_m, lanes=(4,))
    ground = base.plan.ground
    if line == "runway":
        ground, place = Runway(length_m=100.0), replace(place, line=None, landmark=None, lanes=(1,))
    elif line != "home straight":
        place = replace(place, landmark="home straight begins")
    tape = TapeSpec(length_m=tape_m, tick=tick)
    return with_plan(base, ground=ground, place=place, tape=tape)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("line", "away_m", "tape_m", "how"), FAR.values(), ids=FAR)
def test_a_zero_beyond_the_tape_is_measured_in_pieces_on_each_page_it_is_told(
    line, away_m, tape_m, how, paper
):
    what = _far_from_it(line, away_m, tape_m, Tick.CM_1)
    for kind in ("tape", "ground"):
        sheets = make_pages(what, only=(kind,), paper=paper)
        assert any(how in words(sheet) for sheet in sheets), kind
    assert f": {how}\n" in as_text(what)


def test_the_pieces_are_in_the_unit_of_the_tape():
    what = _far_from_it("home straight", 60.0, 50.0, Tick.HALF_INCH)
    how = "196 ft 10 in before the finish line (the edge you meet first when running): "
    (sheet,) = (each for each in make_pages(what, only=("tape",)) if each.kind == "tape")
    assert f"{how}164 ft, mark, 32 ft 10 in more." in words(sheet)
    assert "before the finish line: 164 ft, mark, 32 ft 10 in more" in as_text(what)


@pytest.mark.parametrize("away_m", [50.0, 50.004])
def test_a_zero_in_reach_is_measured_in_one(away_m):
    what = _far_from_it("home straight", away_m, 50.0, Tick.CM_1)
    (sheet,) = (each for each in make_pages(what, only=("tape",)) if each.kind == "tape")
    assert "50.00 m before the finish line" in words(sheet)
    assert "mark, " not in words(sheet)
