"""The coach's page: everybody with their facts, boxes for their runs, and the timetable."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from sheet_plans import case, rows_of, sheets_of, texts, with_plan, words

from wicketlay.lanes.closing import run_on_shown_m
from wicketlay.sheets import make_pages
from wicketlay.sheets.page.model import Rect
from wicketlay.sheets.practice import BOX_MM
from wicketlay.sheets.session import clock_text
from wicketlay.units import UnitSystem
from wicketlay.wording.names import mark_label, shown_text

NAMES = ("shared-lanes", "tuesday-wickets")


@pytest.mark.parametrize("paper", ["a4", "a5"])
@pytest.mark.parametrize("name", NAMES)
def test_every_run_has_a_box_for_its_time_and_one_for_a_word(name, paper):
    (sheet,) = sheets_of(name, paper, ("practice",))
    boxes = [i for page in sheet.pages for i in page.items if isinstance(i, Rect)]
    runs = sum(load.efforts for load in case(name).session.loads)
    assert sum((box.width_mm, box.height_mm) == BOX_MM for box in boxes) == runs
    assert sum((box.width_mm, box.height_mm) == (BOX_MM[0], 6.0) for box in boxes) == runs
    assert BOX_MM == (29.0, 10.0)


@pytest.mark.parametrize("name", NAMES)
def test_an_athletes_row_tells_lane_start_run_on_and_steps(name):
    (sheet,) = sheets_of(name, "a4", ("practice",))
    rows = [row for page in sheet.pages for row in rows_of(page)]
    for laying in case(name).layings:
        for demand in laying.demands:
            row = next(row for row in rows if row[0] == demand.athlete.name)
            run_on = shown_text(run_on_shown_m(laying, demand.start_id), UnitSystem.METRIC)
            for told in (str(laying.lane), mark_label(demand.start_id), run_on):
                assert told in row, (told, row)
            assert str(demand.run_on_steps) in row


@pytest.mark.parametrize("name", NAMES)
def test_the_timetable_has_a_column_a_lane_and_every_event_at_its_time(name):
    (sheet,) = sheets_of(name, "a4", ("practice",))
    session = case(name).session
    said = [item for page in sheet.pages for item in texts(page)]
    lefts: dict[int, set[float]] = {}
    for event in session.events:
        start = f"{clock_text(event.start_s)} {event.athlete or event.kind.upper()}"
        found = [t for t in said if t.text.startswith(start) and t.text[len(start)] in ", "]
        assert found, start
        if len(found) == 1:
            lefts.setdefault(event.lane, set()).add(round(found[0].x_mm, 3))
    assert all(len(each) == 1 for each in lefts.values())
    assert len(set().union(*lefts.values())) == len(lefts) == 2


@pytest.mark.parametrize(("paper", "across"), [("a4", 3), ("phone", 1)])
def test_on_one_lane_runs_stand_side_by_side_in_order_and_laying_alone(paper, across):
    (sheet,) = sheets_of("flying-20", paper, ("practice",))
    events = case("flying-20").session.events
    rows = [row for page in sheet.pages for row in rows_of(page)]
    timed = [row for row in rows if re.match(r"\d+:\d\d ", row[0])]
    assert timed[0][0].startswith("0:00 LAY")
    assert {len(row) for row in timed[1:-1]} == {across}
    said = [clock_text(event.start_s) for event in events]
    assert [text.split()[0] for row in timed for text in row] == said


def test_of_a_take_off_run_the_whole_approach_stands_beside_the_run_on():
    what = case("take-off run")
    who = what.plan.athletes[0].name
    slid = with_plan(what, place=replace(what.plan.place, slide_m=-0.3))
    for each, slid_m in ((what, 0.0), (slid, 0.3)):
        (demand,) = each.layings[0].demands
        sheet = next(s for s in make_pages(each, only=("practice",)) if s.kind == "practice")
        row = next(row for page in sheet.pages for row in rows_of(page) if row[0] == who)
        # As the tape reads it from the board, also where all marks are slid.
        from_line_m = slid_m - float(each.layings[0].layout.mark(demand.start_id).along_m)
        assert shown_text(from_line_m, UnitSystem.METRIC) in row
        assert f"{demand.run_on_steps} of {demand.approach_steps}" in row


def test_what_asks_for_something_stands_above_the_runs_and_notes_below():
    (sheet,) = sheets_of("tuesday-wickets", "a4", ("practice",))
    text = words(sheet)
    assert text.index("CAUTION") < text.index("time, s") < text.index("note Kit")
