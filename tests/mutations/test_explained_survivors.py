"""What is explained of survivors still stands in the code, and says why."""

from __future__ import annotations

from pathlib import Path

import pytest
from explained import ANY, explanations

WICKETLAY = Path(__file__).parents[2] / "wicketlay"


@pytest.mark.nightly
@pytest.mark.parametrize("room", ["running", "drills"])
def test_every_explained_line_is_still_there_with_a_reason(room):
    lines = {
        path.stem: [line.strip() for line in path.read_text("utf-8").splitlines()]
        for path in (WICKETLAY / room).glob("*.py")
    }
    lines[ANY] = [line for own in lines.values() for line in own]
    for row in explanations(room):
        assert row.was in lines[row.module], row
        assert row.now, row
        assert row.was not in row.now, row
        assert len(row.why.split()) > 3, row
