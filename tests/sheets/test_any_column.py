"""A further column of the tape sheet: told of every mark on every paper, in either unit."""

from __future__ import annotations

from pathlib import Path

import pytest

from wicketlay.edits import in_unit
from wicketlay.plan_file import load
from wicketlay.sheets import make_pages, pulls
from wicketlay.sheets.page.model import Text
from wicketlay.sheets.page.tables import Column
from wicketlay.solve import solve

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.mark.parametrize("paper", ["a4", "letter", "a5", "phone"])
@pytest.mark.parametrize("metric", [True, False], ids=["metres", "feet"])
@pytest.mark.parametrize("name", ["tuesday-wickets", "board-approach", "bend-accelerations"])
def test_one_row_of_the_table_of_columns_is_told_of_every_mark(monkeypatch, name, metric, paper):
    usual = pulls._fields

    def and_one(*given, **named):
        *fields, last = usual(*given, **named)
        told = pulls._Field(
            column=Column(title="time at the mark", least_mm=14.0),
            cell=lambda mark: f"t{mark.reading.mark_id}s",
        )
        return (*fields, told, last)

    monkeypatch.setattr(pulls, "_fields", and_one)
    solved = solve(in_unit(load(LAYOUTS / f"{name}.toml"), metric=metric))
    for laying, sheet in zip(
        solved.layings, make_pages(solved, only=("tape",), paper=paper), strict=True
    ):
        words = " ".join(i.text for page in sheet.pages for i in page.items if isinstance(i, Text))
        for pull in laying.tape.pulls:
            for reading in pulls.readings_of(laying.tape, pull):
                assert f"t{reading.mark_id}s" in words.split(), (paper, reading.mark_id)
