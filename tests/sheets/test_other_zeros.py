"""A tape that ends among the wickets: no reading stands under a 0 that is not its own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sheet_plans import PAPERS, as_written, case, rows_of, sheets_of, with_plan, words

from wicketlay.drills.marks import MarkKind
from wicketlay.export import as_stages
from wicketlay.lanes.notch import gap_changes
from wicketlay.sheets import make_pages
from wicketlay.sheets.change_card import STEPS, steps_on
from wicketlay.sheets.page.layout import PAPERS as SIZES
from wicketlay.units import format_ticks
from wicketlay.wording.names import mark_label

CASES = ("the tape ends among the wickets", "the tape ends, in feet")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_every_table_of_the_change_card_is_read_from_one_zero(name, paper):
    laying = next(x for x in case(name).layings if x.stage == 1)
    steps = steps_on(SIZES[paper])
    (sheet,) = sheets_of(name, paper, ("card",))
    changes = [(0.0, laying.tape), *gap_changes(laying, [each for each in steps if each])]
    zeros = {(p.zero_id, p.direction) for _, tape in changes for p in tape.pulls}
    tables: dict[str, dict[str, list[str]]] = {}
    for page in sheet.pages:
        for row in rows_of(page, tolerance_mm=1.2):
            if row[0].startswith("From the front of "):
                here = tables.setdefault(row[0].removeprefix("From the front of "), {})
            elif (row[0][0] == "W" and row[0][1:].isdigit()) or row[0] == "START":
                here.setdefault(row[0], []).extend(row[1:])
    read = 0
    for _, tape in changes:
        for pull in tape.pulls:
            key = f"{mark_label(pull.zero_id)}, {pull.direction.value}; readings in "
            for reading in pull.readings[pull.number > 1 :]:
                if reading.mark_id.startswith("start"):
                    shown = format_ticks(reading.ticks, reading.tick)
                    said = as_written(words(sheet)).replace(" ", "")
                    assert f"STARTstaysineverycolumn:{shown}".replace(" ", "") in said
                    continue
                (table,) = [rows for told, rows in tables.items() if told.startswith(key)]
                shown = "".join(table[mark_label(reading.mark_id)]).replace(" ", "")
                assert format_ticks(reading.ticks, reading.tick).replace(" ", "") in shown
                read += 1
    assert len(zeros) > 2
    assert read == len(steps) * len(laying.layout.of_kind(MarkKind.WICKET))
    cells = sum(len(cells) for table in tables.values() for cells in table.values())
    if "feet" not in name:
        assert cells == read


def test_a_column_whose_0_moves_says_so_first_and_the_start_is_read_from_its_new_place():
    base = case("fixed-cadence")
    what = with_plan(base, tape=replace(base.plan.tape, zero="w5"))
    (laying,) = what.layings
    (sheet,) = make_pages(what, only=("card",))
    rows = {row[0]: row[1:] for page in sheet.pages for row in rows_of(page, tolerance_mm=1.2)}
    w5 = laying.placed.mark("w5").mark.along_m
    moves = [round(100 * w5 * change) for change in STEPS]
    told = [f"{'forward' if m > 0 else 'back'} {abs(m)} cm" if m else "stays" for m in moves]
    assert rows["W5 first"] == told
    start = laying.tape.reading("start")[1].true_m
    assert [float(each) for each in rows["START"]] == pytest.approx(
        [start + move / 100 for move in moves], abs=0.0101
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_the_start_of_a_take_off_run_moves_in_the_columns_as_w1_does(paper):
    (sheet,) = (s for s in make_pages(case("take-off run"), only=("card",), paper=paper))
    rows = {row[0]: row[1:] for page in sheet.pages for row in rows_of(page, tolerance_mm=1.2)}
    w1, start = ([float(each) for each in rows[name]] for name in ("W1", "START"))
    assert len(start) == len(steps_on(SIZES[paper]))
    apart = [b - a for a, b in zip(w1, start, strict=True)]
    assert apart == pytest.approx([apart[0]] * len(apart), abs=0.0101)
    assert len(set(start)) == len(start)


def test_a_short_tape_keeps_the_start_on_the_change_card_of_a_take_off_run():
    base = case("take-off run")
    laying = base.layings[0]
    reach = max(r.true_m for pull in laying.tape.pulls for r in pull.readings)
    what = with_plan(base, tape=replace(base.plan.tape, length_m=math.ceil(reach * 0.6)))
    assert what.layings[0].tape.reading("start")[0].number > 1
    (sheet,) = make_pages(what, only=("card",))
    assert "START" in [row[0] for page in sheet.pages for row in rows_of(page)]


@pytest.mark.parametrize("name", CASES)
def test_the_stages_sheet_tells_the_zero_of_a_reading_that_is_not_the_tables(name):
    (sheet,) = sheets_of(name, "a4", ("stages",))
    zeros = {x.stage: x.tape.reading("w12")[0].zero_id for x in case(name).layings}
    assert zeros == {1: "w11", 2: "w10", 3: "w10", 4: "w10"}
    said = words(sheet)
    assert "Pull 2, from the front of W11, with the run" in said
    assert said.count("; the next is read from W10") == 2  # W11 and W12
    assert said.count("* from W10") == 6  # the same two in the three later stages


def test_the_list_of_stages_tells_the_zero_of_every_reading_of_a_later_pull():
    what = case(CASES[0])
    lines = {line.split()[0]: line for line in as_stages(what).splitlines() if line}
    for laying in what.layings:
        for mark in ("w11", "w12"):
            pull, reading = laying.tape.reading(mark)
            shown = format_ticks(reading.ticks, reading.tick)
            wanted = shown if pull.zero_id == "w1" else f"from {mark_label(pull.zero_id)} {shown}"
            assert wanted in lines[mark_label(mark)]
    assert "from" not in lines["W9"]
