"""Slips of the pen in TOML: the answer says what to write."""

from __future__ import annotations

from pathlib import Path

import pytest

from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file.slips import likely_meant
from wicketlay.plan_file.source import parse, source_of

# The line as it was written, and what to do about it.
SLIPS = {
    'height: "1.66 m"': 'write height = "1.66 m"',
    "height : 1.66 m": "write height = 1.66 m",
    'height "1.66 m"': 'write height = "1.66 m"',
    "height = 1.66 m": 'write height = "1.66 m"',
    "height = 1.66 m   # in shoes": 'write height = "1.66 m"',
    "speed = 92 %": 'write speed = "92 %"',
    "speed = 92,5": 'write speed = "92,5"',
    "title = First wickets": 'write title = "First wickets"',
    "born = 4.3.2010": "write a day as year-month-day: born = 2026-03-04",
    "height = \u201c1.66 m\u201d": 'write straight quotation marks, as in "1.66 m"',
    "height = \u00ab1.66 m\u00bb": 'write straight quotation marks, as in "1.66 m"',
    'height = "1.66 m': "a quotation mark is missing",
    'height = 1.66 m"': "a quotation mark is missing",
    'athletes = ["Wren", "Bram]': "a quotation mark is missing",
    "height =": "give height a value",
    "height =   # not measured": "give height a value",
    "lanes = 3, 4": "several stand in brackets, [3, 4], and only where a key takes several",
    "date = 14.04.2026": "write a day as year-month-day: date = 2026-03-04",
    'height = "1.66 m", sex = "f"': (
        'nothing may stand behind "1.66 m"; write the next key below it'
    ),
    "[drill": "write [drill]",
    "[[athlete]": "write [[athlete]]",
    "drill": "write [drill] for a table, or give drill a value",
    "wickets = 10\nwickets = 12": "wickets stands twice in its table: take one out",
    "[drill]\n[drill]": "[drill] stands twice: make it one table",
    "[drill.x]\n[drill.x]": "[drill.x] stands twice: make it one table",
    '[athlete]\nname = "A"\n[athlete]': "write [[athlete]] above each athlete, with two brackets",
}


@pytest.mark.parametrize("written", SLIPS)
def test_a_slip_is_answered_with_what_to_write_and_its_line(written):
    text = f"format = 1\n{written}\nlast = 1\n"
    with pytest.raises(PlanFileError) as caught:
        parse(source_of(text.encode(), Path("plan.toml"), "plan.toml"))
    (problem,) = caught.value.problems
    assert problem.remedy == SLIPS[written]
    assert problem.line == 2 + written.count("\n")


@pytest.mark.parametrize(
    "line", ["", "   ", "# a comment", "a" * 200, "flying = {, distance = 1}", "= 3", "%PDF-1.4"]
)
def test_of_other_lines_nothing_is_guessed(line):
    assert likely_meant(line, "invalid value") == ""


def test_what_to_write_instead_is_shown_without_what_a_terminal_would_act_on():
    text = "format = 1\nname = a\u2066b\n"
    with pytest.raises(PlanFileError) as caught:
        parse(source_of(text.encode(), Path("plan.toml"), "plan.toml"))
    assert str(caught.value).isprintable()
