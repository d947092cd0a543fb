"""Every number on the screen is the JSON's, formatted; the workbench computes none."""

import re
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

import pytest
from textual.geometry import Region
from tui_bench import SIZES, TODAY, keys, words_on, workbench

from wicketlay.export import document
from wicketlay.review.review import TimedRuns
from wicketlay.reviewing import progress_in, review_athlete
from wicketlay.running.athlete import Timing
from wicketlay.units import (
    format_cadence,
    format_duration,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_time,
)

NUMBER = re.compile(r"\d+(?:\.\d+)?")
FEET = 'unit = "feet"'


def numbers_in(value):
    """Yield every number of a JSON document."""
    if isinstance(value, dict):
        for each in value.values():
            yield from numbers_in(each)
    elif isinstance(value, list):
        for each in value:
            yield from numbers_in(each)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield float(value)


def texts_in(value):
    """Yield every text of a JSON document."""
    if isinstance(value, dict):
        for each in value.values():
            yield from texts_in(each)
    elif isinstance(value, list):
        for each in value:
            yield from texts_in(each)
    elif isinstance(value, str):
        yield value


@cache
def written_forms(number, unit):
    """Return every number that stands in any way we write `number`.

    The JSON has four decimals; a value that lies on the edge of the next one may go either way.
    """
    found = set()
    for nudged in (number, number - 5e-5, number + 5e-5):
        for text in (
            format_length(nudged, unit),
            format_length(nudged, unit, places=0),
            format_speed(nudged, unit),
            format_cadence(nudged),
            format_time(nudged),
            format_percent(nudged),
            format_move(nudged, unit),
            format_duration(nudged),
            f"{nudged:.0f}",
            f"{100 * nudged:.0f}",
        ):
            found.update(NUMBER.findall(text))
    return found


def allowed_numbers(app):
    """Return every number the screen may show: the JSON's, and what the coach typed."""
    bench = app.bench
    data = document(bench.solved)
    unit = data["unit"]
    allowed = set()
    for number in set(numbers_in(data)):
        allowed |= written_forms(number, unit)
    for text in (*texts_in(data), *typed_texts(app)):
        allowed.update(NUMBER.findall(text))
    return allowed


def typed_texts(app):
    """Return the texts of the fields and names, which are the plan's own."""
    from tui.bench.fields import fields_of

    bench = app.bench
    parts = ("drill", "athlete", "place", "ground", "kit", "tape", "plan", "session", "stages")
    for athlete in bench.plan.athletes:
        for field in fields_of(bench.plan, athlete.name, parts):
            yield field.text
    yield str(bench.opened.path)


PANES = {"1": ["#run", "#big", "#table"], "2": ["#squad"], "5": ["#loads", "#session-sum"]}


def pane_text(app, selector):
    """Return the text of a pane, block digits left out: they are held against the table below."""
    widget = app.screen.query_one(selector)
    parts = list(widget.query("*")) or [widget]
    strips = [s for part in parts for s in part.render_lines(Region(0, 0, *part.size))]
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


@pytest.mark.parametrize(
    ("size", "unit"),
    [((80, 24), "metric"), ((120, 40), "feet")],
)
async def test_every_number_of_stages_and_review_is_one_of_the_jsons(plan_path, size, unit):
    """The review's numbers are those that `review_athlete` gives; nothing else is shown."""
    if unit == "feet":
        text = plan_path.read_text(encoding="utf-8")
        plan_path.write_text(text.replace('length = "50 m"', FEET), encoding="utf-8")
    async with workbench(plan_path, size) as (app, pilot):
        await keys(pilot, "3", "a", "e", "e", "g")
        data = document(app.bench.solved)
        shares = {f"{100 * share:.0f}" for share in app.bench.solved.stage_shares}
        assert len(data["layings"]) > len(app.bench.plan.athletes)
        known = {f"{i}" for i in range(1, 15)}  # W1 to W14, stages and counts of marks
        stages = NUMBER.findall(pane_text(app, "#stages"))
        assert len(stages) > 40
        allowed = allowed_numbers(app) | known | shares
        for number in stages:
            assert number in allowed, number
        await keys(pilot, "u", "u", "t", "=2.05", "enter", "t", "=2.09", "enter")
        made = app.bench.reviewing.made
        again = review_athlete(
            app.bench.solved,
            "Tarik",
            TimedRuns(times_s=(2.05, 2.09), timing=Timing.HAND, day=TODAY),
        )
        assert made == again
        allowed = {"2.05", "2.09", *NUMBER.findall(TODAY.isoformat())}
        system = document(app.bench.solved)["unit"]
        told = again, progress_in(app.bench.plan, app.bench.athlete)
        for value in numbers_of(told):
            allowed |= written_forms(value, system)
        shown = NUMBER.findall(pane_text(app, "#review"))
        assert len(shown) >= 10
        for number in shown:
            # W1 to W10, and the sprints from standing to 10, 20 and 30 m
            assert number in allowed | {"1", "10", "20", "30"}, number


def numbers_of(made):
    """Yield every number of a review: its estimates, what was expected, its findings."""
    pending = [made]
    while pending:
        each = pending.pop()
        if isinstance(each, (int, float)) and not isinstance(each, bool):
            yield float(each)
        elif isinstance(each, dict):
            pending += each.values()
        elif isinstance(each, (tuple, list)):
            pending += each
        elif is_dataclass(each):
            pending += [getattr(each, field.name) for field in fields(each)]


@pytest.mark.parametrize(
    ("size", "unit"),
    [
        ((80, 24), "metric"),
        ((120, 40), "feet"),
    ],
)
async def test_every_number_in_every_pane_is_one_of_the_jsons(plan_path, size, unit):
    if unit == "feet":
        text = plan_path.read_text(encoding="utf-8")
        plan_path.write_text(text.replace('length = "50 m"', FEET), encoding="utf-8")
    async with workbench(plan_path, size) as (app, pilot):
        checked = 0
        for change in ("g", "n", "end", "c", "n", "S"):
            await keys(pilot, change)
            allowed = allowed_numbers(app)
            marks = {f"{i}" for i in range(1, 15)}  # W1 to W14, wave and lane
            for digit, selectors in PANES.items():
                await keys(pilot, digit)
                for selector in selectors:
                    for number in NUMBER.findall(pane_text(app, selector)):
                        assert number in allowed | marks, (selector, number)
                        checked += 1
            await keys(pilot, "1")
    assert checked > 500


async def test_the_table_holds_the_readings_gaps_and_speeds_of_the_json(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
        data = document(app.bench.solved)
        laying = next(each for each in data["layings"] if "Tarik" in each["athletes"])
        lines = pane_text(app, "#table").splitlines()[1:12]
        rows = {line.split()[0]: line.split() for line in lines}
        for mark in laying["marks"]:
            row = rows[mark["id"].upper()]
            assert row[1] == mark["shown"]
            if mark["gap_shown_m"] is not None:
                assert float(row[2]) == pytest.approx(mark["gap_shown_m"], abs=0.00501)
        await keys(pilot, "z")
        assert format_time(laying["section_time_s"]) in pane_text(app, "#run")
        await keys(pilot, "z")
        text = pane_text(app, "#run")
        assert format_length(laying["run_on_m"]) in text
        assert format_length(laying["section_shown_m"]) in text


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_the_large_reading_is_the_one_under_the_cursor(plan_path, size):
    from tui.panes.bigtext import large, small

    async with workbench(plan_path, size) as (app, pilot):
        for _ in range(3):
            await keys(pilot, *["right"] * 3)
            mark_id = app.bench.view.mark
            data = document(app.bench.solved)["layings"][0]
            shown = next(m["shown"] for m in data["marks"] if m["id"] == mark_id)
            text = f"{mark_id.upper()} {shown}"
            fits = size == (120, 40) and len(large(text)[0]) <= 73
            wanted = large(text) if fits else small(text)
            lines = pane_text(app, "#big").splitlines()
            assert [line.rstrip() for line in lines[: len(wanted)]] == [
                line.rstrip() for line in wanted
            ]


def test_the_workbench_has_no_numpy_of_its_own():
    """No array arithmetic, no constants of the trade: they belong below."""
    for path in Path(__import__("tui").__file__).parent.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "import numpy" not in text, path
        assert "import math" not in text, path
        assert "wicketlay.sources" not in text, path


async def test_words_on_reads_what_is_there(plan_path):
    async with workbench(plan_path) as (app, _):
        assert "lane 1 · wave 1 · Tarik (1 of 3)" in words_on(app)
