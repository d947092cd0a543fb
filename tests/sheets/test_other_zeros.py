"""A tape that ends among the wickets: no reading stands under a 0 that is not its own."""

from __future__ import annotations

import pytest
from sheet_plans import PAPERS, case, left_mm, sheets_of, texts, words

from wicketlay.export import as_stages
from wicketlay.practice.notch import gap_changes
from wicketlay.sheets.change_card import STEPS
from wicketlay.units import format_ticks
from wicketlay.wording.names import mark_label

CASES = ("the tape ends among the wickets", "the tape ends, in feet")


def _rows(page):
    """Texts by the row of the card they stand in: a reading, and below it what it is read from."""
    marks = [t for t in texts(page) if t.text[0] == "W" and t.text[1:].isdigit()]
    marks = [t for t in marks if t.x_mm < 20.0]
    found = {mark.text: [] for mark in marks}
    for item in texts(page):
        near = min(marks, key=lambda mark: abs(mark.y_mm - item.y_mm))
        if abs(near.y_mm - item.y_mm) < 3.6 and item is not near and not item.text.endswith("%"):
            found[near.text].append(item)
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_every_cell_of_the_change_card_tells_its_zero_where_the_table_tells_another(name, paper):
    laying = next(x for x in case(name).layings if x.stage == 1)
    (sheet,) = sheets_of(name, paper, ("card",))
    (page,) = sheet.pages
    rows = _rows(page)
    other = 0
    for mark in ("w9", "w11", "w12"):
        notes = [t.text for t in sorted(rows[mark_label(mark)], key=left_mm) if "from" in t.text]
        zeros = [
            tape.reading(mark)[0].zero_id
            for _, tape in gap_changes(laying, STEPS)
            if tape.reading(mark)[0].zero_id != laying.tape.reading(mark)[0].zero_id
        ]
        assert notes == [f"from {mark_label(zero)}" for zero in zeros]
        other += len(zeros)
    assert other >= 2


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
