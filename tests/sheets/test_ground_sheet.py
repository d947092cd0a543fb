"""The ground sheet: true to scale both ways, and its distances are those of the solver."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from itertools import pairwise

import pdfplumber
import pytest
from sheet_plans import (
    CASES,
    PAPERS,
    POINT_MM,
    case,
    drill,
    pdf_of,
    rows_of,
    sheets_of,
    solved,
    texts,
    with_plan,
    words,
)

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.ground.course import Obstacle
from wicketlay.ground.lines import Landmark
from wicketlay.ground.outline import outline
from wicketlay.ground.placing import Place
from wicketlay.ground.standing import ends_of, pose_of
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeLies
from wicketlay.sheets import make_pages
from wicketlay.sheets.drawings.plan_drawing import spread_wide
from wicketlay.sheets.page.model import Ink, Path, Role
from wicketlay.units import format_ticks
from wicketlay.wording.names import mark_label

DRAWN = ("fixed-cadence", "wickets on a bend", "against the line", "both ways", "hall-wickets")


def _sheet(name, paper="a4", index=0):
    return sheets_of(name, paper, ("ground",))[index]


def _scale(page) -> int:
    return next(
        int(m[1]) for t in texts(page) if (m := re.search(r"(?:10 m|30 ft)   1 : (\d+)", t.text))
    )


def _bars(page):
    """Middles of the drawn wickets and start marks [mm], in running order: to the right."""
    bars = [
        item.points_mm
        for item in page.items
        if isinstance(item, Path) and item.line_mm == 0.6 and len(item.points_mm) == 2
    ]
    middles = [tuple((a + b) / 2 for a, b in zip(*bar, strict=True)) for bar in bars]
    return sorted(middles)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DRAWN)
def test_every_distance_of_the_drawing_is_true_to_a_tenth_of_a_millimetre(name, paper):
    placed = case(name).layings[0].placed
    page = _sheet(name, paper).pages[0]
    per = 1000 / _scale(page)
    ends = filter(None, (ends_of(placed, each) for each in placed.marks))
    ground = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ends]
    drawn = _bars(page)
    starts = sum(each.mark.kind is MarkKind.START for each in placed.marks)
    assert len(drawn) == len(ground) + starts
    # Every drawn wicket has a partner: all mutual distances agree, whatever the turn.
    wanted = sorted(math.dist(p, q) * per for i, p in enumerate(ground) for q in ground[i + 1 :])
    found = [math.dist(p, q) for i, p in enumerate(drawn) for q in drawn[i + 1 :]]
    for each in wanted:
        assert min(abs(each - other) for other in found) <= 0.1


@pytest.mark.parametrize("name", ["fixed-cadence", "wickets on a bend"])
def test_a_marks_place_is_read_from_the_pdf(name):
    what = case(name)
    placed = what.layings[0].placed
    (page_model,) = _sheet(name).pages[:1]
    per = 1000 / _scale(page_model)
    with pdfplumber.open(io.BytesIO(pdf_of(what, only=("ground",)))) as pdf:
        page = pdf.pages[0]
        bars = [line for line in page.lines if abs(line["linewidth"] * POINT_MM - 0.6) < 0.01]
    middles = sorted(
        ((bar["x0"] + bar["x1"]) / 2 * POINT_MM, (bar["top"] + bar["bottom"]) / 2 * POINT_MM)
        for bar in bars
    )
    ends = filter(None, (ends_of(placed, each) for each in placed.marks))
    ground = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ends]
    first, last = ground[0], ground[-1]
    assert math.dist(middles[1], middles[-1]) == pytest.approx(
        math.dist(first, last) * per, abs=0.1
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_the_scale_bar_is_ten_metres_at_the_scale_told(paper):
    page = _sheet("fixed-cadence", paper).pages[0]
    scale = _scale(page)
    bars = [
        item.x2_mm - item.x1_mm
        for item in page.items
        if hasattr(item, "x2_mm") and item.width_mm == 0.4 and item.y1_mm == item.y2_mm
    ]
    assert any(bar == pytest.approx(10_000 / scale, abs=1e-9) for bar in bars)


def test_only_the_stretch_in_use_is_drawn():
    what = solved("fixed-cadence")
    drawn = outline(what.layings[0].placed, what.plan.ground, margin_m=6.0)
    page = _sheet("fixed-cadence").pages[0]
    scale = _scale(page)
    edges = [item for item in page.items if isinstance(item, Path) and item.line_mm == 0.3]
    wide = max(p[0] for e in edges for p in e.points_mm) - min(
        p[0] for e in edges for p in e.points_mm
    )
    assert wide == pytest.approx((drawn.to_m - drawn.from_m) * 1000 / scale, abs=0.1)


@pytest.mark.parametrize("name", [n for n in CASES if "feet" not in n and n != "no wickets left"])
def test_every_mark_stands_with_its_distance_from_the_fixed_points(name):
    laying = case(name).layings[0]
    stages = case(name).plan.stages
    if stages is not None:
        laying = next(x for x in case(name).layings if x.stage == stages.now)
    sheet = _sheet(name)
    rows = [row for page in sheet.pages for row in rows_of(page)]
    points = laying.tape.pulls[0].fixed_points
    for each in laying.placed.marks:
        label = mark_label(each.mark.id)
        found = [row for row in rows if row[0] == label and len(row) > 1]
        assert found, label
        cells = {cell.split(" be")[0] for row in found for cell in row}
        for point in points:
            loop = laying.placed.course.loop_m
            away = float(each.chainage_m) - float(point.landmark.chainage_m)
            away *= laying.placed.direction
            if loop is not None:
                away = (away + loop / 2) % loop - loop / 2
            course, chainage = laying.placed.course, float(each.chainage_m)
            there = chainage - laying.placed.direction * away
            if laying.tape.spec.lies is TapeLies.PAINTED_LINE:
                away = course.run_line.length_beside(there, chainage, course.painted_offset_m)
            shown = math.floor(abs(away) * 100 + 0.5) / 100
            near = [f"{shown + d:.2f}" for d in (-0.01, 0.0, 0.01)]
            assert cells & set(near), (label, point.landmark.text, near, cells)


def test_a_bend_shows_both_readings_chords_and_headings():
    laying = case("wickets on a bend").layings[0]
    sheet = _sheet("wickets on a bend")
    rows = [row for page in sheet.pages for row in rows_of(page)]
    for each in laying.placed.marks:
        if each.chord_m is None or each.inner_gap_m is None:
            continue
        (row,) = [row for row in rows if row[0] == mark_label(each.mark.id) and len(row) > 4]
        _, reading = laying.tape.reading(each.mark.id)
        for ticks in (reading.run_line_ticks, reading.painted_ticks):
            assert format_ticks(ticks, reading.tick) in row
        for length in (each.chord_m, each.inner_gap_m, each.outer_gap_m):
            assert f"{length:.2f}" in row
        ways = [pose_of(laying.placed, m).heading_rad for m in (laying.placed.marks[0], each)]
        turn = math.degrees(ways[1] - ways[0]) % 360
        assert f"{turn:.1f}" in row


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("wickets on a bend", "the run line"),
        ("wickets on a bend, painted line", "the left line"),
    ],
)
def test_on_a_bend_every_distance_is_along_the_line_the_tape_lies_on(name, line):
    laying = case(name).layings[0]
    sheet = _sheet(name)
    assert f"Distances and gaps are along {line}, as the tape lies" in words(sheet)
    rows = [row for page in sheet.pages for row in rows_of(page)]
    points = laying.tape.pulls[0].fixed_points
    zero = laying.tape.pulls[0].zero_id
    told = [f"{math.floor(laying.told_m(point) * 100 + 0.5) / 100:.2f} m" for point in points]
    assert all(any(cell.startswith(each) for row in rows for cell in row) for each in told)
    wickets = laying.layout.of_kind(MarkKind.WICKET)
    for before, mark in pairwise(wickets):
        one, other = (laying.tape.reading(each.id)[1].ticks for each in (before, mark))
        (row,) = [row for row in rows if row[0] == mark_label(mark.id) and len(row) > 4]
        assert f"{(other - one) / 100:.2f}" in row
        beyond = laying.told_m(points[0]) * (1 if points[0].beyond else -1)
        ticks = math.floor(abs(beyond) * 100 + 0.5) * (1 if beyond > 0 else -1)
        assert zero == "w1"
        assert any(cell.split(" ")[0] == f"{abs(ticks + other) / 100:.2f}" for cell in row)


def test_a_mark_of_the_second_pull_is_told_so_in_feet_and_on_a_bend():
    for name in ("tuesday in feet", "wickets on a bend"):
        sheet = _sheet(name)
        laying = case(name).layings[0]
        rows = [row for page in sheet.pages for row in rows_of(page)]
        assert any("pull" in row for row in rows)
        for each in laying.placed.marks:
            number = str(laying.tape.reading(each.mark.id)[0].number)
            assert any(row[0] == mark_label(each.mark.id) and number in row for row in rows)


def test_the_pit_is_named():
    assert "pit" in {t.text for t in texts(_sheet("board-approach").pages[0])}


@pytest.mark.parametrize(
    ("board", "event"),
    [
        ("13 m board", "TRIPLE JUMP"),
        ("11 m board", "TRIPLE JUMP"),
        ("long-jump board", "LONG JUMP"),
    ],
)
def test_a_runway_is_drawn_to_its_pit_and_called_by_the_event_of_the_board_in_use(board, event):
    base = solved("board-approach")
    what = with_plan(base, place=replace(base.plan.place, landmark=board))
    (sheet,) = make_pages(what, only=("ground",))
    assert texts(sheet.pages[0])[0].text == f"{board.upper()} · {event} RUNWAY"
    pit = what.plan.ground.pit
    lines = [i.points_mm for i in sheet.pages[0].items if isinstance(i, Path) and i.line_mm == 0.3]
    (box,) = [each for each in lines if len(each) == 4]
    edges = [each for each in lines if len(each) == 2 and each[0][1] == each[1][1]]
    near = min(x for x, _ in box)
    assert len(edges) == 2
    for edge in edges:
        assert max(x for x, _ in edge) == pytest.approx(near, abs=0.01)
    scale = _scale(sheet.pages[0])
    assert max(x for x, _ in box) - near == pytest.approx(
        (pit.to_m - pit.from_m) * 1000 / scale, abs=0.01
    )


def test_an_obstacle_and_a_wall_in_the_stretch_are_drawn_and_named():
    corners = ((4.0, -0.9), (5.0, -0.9), (5.0, -0.3), (4.0, -0.3))
    post = Obstacle(name="goalpost", corners=corners)
    gate = Landmark(key="gate", text="the gate", chainage_m=0.0)
    ground = Strip(length_m=90.0, obstacles=(post,), landmarks=(gate,), wall_at_end=True)
    what = drill(
        WicketRun(speed_share=0.9, wickets=10),
        ground=ground,
        place=Place(landmark="gate", mark="start", offset_m=8.0),
    )
    (sheet,) = make_pages(what, only=("ground",))
    assert "In or beside the lane: a goalpost." in words(sheet)
    assert "a" in {t.text for t in texts(sheet.pages[0])}
    boxes = [i for i in sheet.pages[0].items if isinstance(i, Path) and i.fill is Ink.GREY]
    assert len(boxes) == 1
    scale = _scale(sheet.pages[0])
    xs, ys = zip(*boxes[0].points_mm, strict=True)
    assert max(xs) - min(xs) == pytest.approx(1000 / scale, abs=0.1)
    assert max(ys) - min(ys) == pytest.approx(600 / scale, abs=0.1)


def test_a_stop_keeps_the_ground_sheet_off_the_paper():
    base = solved("fixed-cadence")
    hurried = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=5.6)
    what = with_plan(base, drill=replace(base.plan.drill, cadence=hurried))
    (sheet,) = make_pages(what, only=("ground",))
    assert "DO NOT LAY OUT" in words(sheet)
    assert "Fixed points" not in words(sheet)


def test_names_beside_the_lane_keep_their_order_and_stay_apart():
    spots = spread_wide([10.0, 11.0, 12.0, 99.0], [8.0, 4.0, 6.0, 8.0], 0.0, 100.0)
    halves = [4.0, 2.0, 3.0, 4.0]
    for i in range(3):
        assert spots[i] + halves[i] + 1.5 <= spots[i + 1] - halves[i + 1] + 1e-9
    assert spots[-1] + 4.0 <= 100.0
    assert spots[0] - 4.0 >= 0.0


def test_place_is_large_on_every_ground_sheet():
    for sheet in sheets_of("shared-lanes", "a4", ("ground",)):
        top = [t.text for t in texts(sheet.pages[0]) if t.role is Role.PLACE]
        assert top[0].startswith("LANE ")
        assert "WAVE" in top[0]
