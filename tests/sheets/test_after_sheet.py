"""The sheet after practice: results, what changes, a sentence each, within its page."""

from __future__ import annotations

import datetime as dt
from functools import cache

import pytest
from sheet_plans import LONG, NAMES, PAPERS, extent_mm, in_half_inches, renamed, rows_of, solved

from wicketlay.after_practice import State, accept_all, day_of
from wicketlay.review.review import TimedRuns
from wicketlay.reviewing import own_laying, review_athlete
from wicketlay.running.facts import Timing
from wicketlay.session.log import Entry, Flag
from wicketlay.sheets.after import after_document
from wicketlay.sheets.page.layout import paper_named
from wicketlay.sheets.stamp import check_of
from wicketlay.solve import solve
from wicketlay.wording.names import shown_text

DAY = dt.date(2026, 3, 3)


def a_day(base, shares: dict[str, float]):
    """A day on which each took this share of the expected time, twice, and hit a wicket once."""
    runs = []
    for who, share in shares.items():
        made = review_athlete(base, who, TimedRuns(times_s=[2.5], timing=Timing.GATES, day=DAY))
        time_s = round(made.expected_time_s * share, 2)
        for run, flag in ((1, None), (2, None), (3, Flag.HIT)):
            runs.append(
                Entry(
                    day=DAY,
                    athlete=who,
                    run=run,
                    times_s=(time_s + 0.01 * run,),
                    timing=Timing.GATES,
                    effort_share=0.95,
                    flag=flag,
                )
            )
    return runs, day_of(base, runs, DAY)


@cache
def tuesday():
    return a_day(solved("tuesday-wickets"), {"Tarik": 1.0, "Ines": 0.94, "Wren": 0.95, "Kit": 0.85})


def lines(day, paper="a4") -> list[str]:
    (sheet,) = after_document(day, paper)
    return [" ".join(row) for page in sheet.pages for row in rows_of(page, tolerance_mm=1.2)]


def test_everybody_has_a_row_of_runs_and_a_sentence():
    _, day = tuesday()
    told = lines(day)
    assert told[0] == "AFTER PRACTICE · 2026-03-03"
    for each in day.outcomes:
        (row,) = (line for line in told if line.startswith(f"{each.athlete} W1 to W"))
        assert f"{each.times_s[0]:.2f} {each.times_s[1]:.2f} {each.runs[2].time_s:.2f}*" in row
        assert f" {each.mean_s:.2f} " in row
        assert row.endswith(each.state.value)
        assert len([line for line in told if each.athlete in line]) >= 2
    assert any("Gaps" in line and "longer" in line for line in told)
    (kit,) = (each for each in day.outcomes if each.athlete == "Kit")
    assert kit.state is State.DOUBT
    assert sum(line.startswith("In doubt; if the times are right: ") for line in told) == 2


def test_marks_that_change_stand_as_they_lay_and_as_they_will_and_the_others_are_named():
    runs, day = tuesday()
    told = lines(day)
    after = solve(accept_all(day.before.plan, day.outcomes, DAY).plan)
    at = next(i for i, line in enumerate(told) if line.startswith("Ines today"))
    for line, of in ((told[at], day.before), (told[at + 1], after)):
        laying, _ = own_laying(of, "Ines")
        wickets = [mark for mark in laying.layout.marks if mark.id.startswith("w")]
        assert f" {len(wickets)} " in line
        first = laying.tape.reading("w2")[1].ticks - laying.tape.reading("w1")[1].ticks
        assert shown_text(abs(first) / 100.0, "metric") in line
    # who is in doubt keeps the marks until somebody is sure
    assert any(line.startswith("The same marks: ") and "Kit" in line for line in told)
    # printed after all was accepted it says the same
    again = day_of(after, runs, DAY)
    assert [line for line in lines(again) if line.startswith("Ines ")][1:] == [
        line for line in told if line.startswith("Ines ")
    ][1:]


def test_who_shares_the_wickets_stands_beside_gaps_that_are_not_their_own():
    _, day = a_day(solved("shared-lanes"), {"Ines": 1.0, "Wren": 1.0})
    told = lines(day)
    for who in ("Ines", "Wren"):
        at = next(i for i, line in enumerate(told) if line.startswith(f"{who} today"))
        for line, of in ((told[at], day.before), (told[at + 1], day.after())):
            laying, _ = own_laying(of, who)
            assert line.endswith(" m " + ", ".join(n for n in laying.athletes if n != who))
    assert any(line.startswith("Wickets that several share stand between") for line in told)
    _, alone = tuesday()
    assert not any("shares with" in line or "several share" in line for line in lines(alone))


@pytest.mark.parametrize("feet", [False, True])
@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_stands_outside_the_margins(paper, feet):
    base = renamed(solved("tuesday-wickets"), NAMES)
    _, day = a_day(
        in_half_inches(base) if feet else base,
        {NAMES["Tarik"]: 1.0, NAMES["Ines"]: 0.94, NAMES["Bram"]: 0.95, LONG: 0.88},
    )
    (sheet,) = after_document(day, paper)
    size = paper_named(paper)
    for page in sheet.pages:
        for item in page.items:
            left, top, right, bottom = extent_mm(item)
            assert left >= size.left_mm - 0.1, item
            assert right <= size.right_mm + 0.1, item
            assert 0.0 < top < bottom + 0.1
            assert bottom < size.height_mm


def test_a_drill_without_wickets_has_its_run_on_alone():
    base = solved("flying-20")
    who = base.plan.athletes[0].name
    _, day = a_day(base, {who: 0.97})
    told = lines(day)
    assert any(line.startswith(f"{who} GATE 1 to GATE 2 ") for line in told)
    assert not any("W1" in line for line in told)


@pytest.mark.parametrize("paper", PAPERS)
def test_its_foot_tells_which_sheet_it_is_and_the_check_of_what_was_laid(paper):
    _, day = tuesday()
    told = lines(day, paper)
    stamp = f"sheet 1 of 1 · {check_of(day.before.layings)}"
    (sheet,) = after_document(day, paper)
    assert sum(stamp in line for line in told) == len(sheet.pages)
