"""The first minute: four things asked on one screen, and the marks they lead to."""

import gc
import io
from contextlib import asynccontextmanager, redirect_stdout
from pathlib import Path

import pytest
from tui_bench import TODAY, keys, words_on

import tui
from tui.app import Workbench
from tui.bench import shelf
from tui.bench.bench import first_bench, start_bench
from tui.screens.first import FirstScreen
from wicketlay.cli import main
from wicketlay.plan_file import load


@asynccontextmanager
async def asked(size=(80, 24)):
    """Run the workbench as it begins where nobody has a plan yet."""
    app = Workbench(start_bench(shelf.new_file()), today=TODAY, asking=True)
    app.animation_level = "none"
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot
        app.keep_now()
        app.bench.opened.lock.release()


def quick_table(*options):
    """Return what ``wicketlay quick`` tells for the same answers."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(["quick", *options]) in {0, 3}
    return out.getvalue().strip()


def marks_told(app):
    return app.screen.query_one("#first-table").content.plain.strip()


async def test_marks_stand_there_before_anything_is_typed():
    async with asked() as (app, _):
        assert isinstance(app.screen, FirstScreen)
        assert marks_told(app) == quick_table("--height", "1.70m", "--cadence", "4.1")
        assert "W12" in words_on(app)


@pytest.mark.parametrize(
    ("answers", "options"),
    [
        (("1.82", "8.9 m/s", "9", "90"), ("--top-speed", "8.9 m/s", "--wickets", "9")),
        (("1.82", "20m/2.4s", "22 m", "90"), ("--flying", "20m/2.4s", "--section", "22m")),
        (("1.82", "4.3 steps/s", "9", "90"), ("--cadence", "4.3", "--wickets", "9")),
    ],
)
async def test_the_marks_are_those_of_quick(answers, options):
    async with asked() as (app, pilot):
        for answer in answers:
            await keys(pilot, f"={answer}", "enter")
        told = quick_table("--height", "1.82", *options, "--room", "90m")
        assert marks_told(app) == told


async def test_an_answer_that_is_refused_is_told_beside_it_and_not_left():
    async with asked() as (app, pilot):
        await keys(pilot, "enter", "=9")
        assert marks_told(app) == "no marks yet"
        await keys(pilot, "enter")
        assert app.focused.id == "form-known"
        assert "allowed: 2.5 steps/s to 6 steps/s" in words_on(app)
        await keys(pilot, "backspace", "=4.2", "enter")
        assert app.focused.id == "form-wickets"
        assert "allowed" not in words_on(app)


async def test_nothing_known_of_the_speed_is_asked_for():
    async with asked() as (app, pilot):
        await keys(pilot, "enter", "delete", "enter")
        assert "one more thing is needed" in words_on(app)


async def test_the_marks_are_told_in_feet_by_one_key():
    async with asked() as (app, pilot):
        await keys(pilot, *["enter"] * 4, "u")
        feet = quick_table("--height", "1.70m", "--cadence", "4.1", "--unit", "feet")
        assert marks_told(app) == feet


async def test_enter_goes_on_in_the_workbench_unsaved():
    async with asked() as (app, pilot):
        await keys(pilot, *["enter"] * 5)
        assert app.screen_name() == "plan"
        assert app.bench.plan.athletes[0].height_m == 1.7
        assert app.bench.unsaved


async def test_saved_is_the_plan_of_quick(own_folders):
    async with asked() as (app, pilot):
        await keys(pilot, *["enter"] * 4, "s", "ctrl+u", "ctrl+k", "=mine", "enter")
        assert "mine should end in .toml" in words_on(app)
        await keys(pilot, "=.toml", "enter")
        assert app.bench.opened.path.name == "mine.toml"
        assert not app.bench.unsaved
        assert "saved mine.toml" in app.bench.told.text
    options = ("--height", "1.70m", "--cadence", "4.1", "--wickets", "12", "--save", "theirs.toml")
    quick_table(*options)
    assert Path("mine.toml").read_text() == Path("theirs.toml").read_text()


async def test_printed_in_two_keys_more(own_folders):
    async with asked() as (app, pilot):
        await keys(pilot, *["enter"] * 4, "p")
        assert app.screen_name() == "print"
    assert Path("wickets.pdf").read_bytes().startswith(b"%PDF")


async def test_the_keys_told_are_those_of_where_the_cursor_is():
    async with asked() as (app, pilot):
        assert "Esc to the marks" in words_on(app).splitlines()[-1]
        assert " q quit" not in words_on(app)
        await keys(pilot, "=q")  # a letter is typed, and does nothing else
        assert app.screen.query("FormInput").first().value.endswith("q")
        await keys(pilot, "backspace", "escape")
        assert app.focused.id == "first-marks"
        assert " q quit" in words_on(app).splitlines()[-1]
        await keys(pilot, "i")
        assert "Esc to the marks" in words_on(app).splitlines()[-1]


async def test_escape_from_the_marks_asks_before_it_goes_anywhere():
    async with asked() as (app, pilot):
        await keys(pilot, "escape", "escape", "x", "space", "7", "escape")
        assert isinstance(app.screen, FirstScreen)
        await keys(pilot, "escape", "w")
        assert app.screen_name() == "plan"
        assert not app.bench.unsaved
    async with asked() as (app, pilot):
        await keys(pilot, "escape", "escape", "enter")
    assert app.return_code == 0


@pytest.mark.parametrize("pressed", [("escape", "q"), ("ctrl+q",)])
async def test_quitting_asks_where_an_answer_was_typed(pressed):
    async with asked() as (app, pilot):
        await keys(pilot, "=8", *pressed)
        assert "leave the four questions" in words_on(app)
        assert app._exit is False
        await keys(pilot, "escape")
        assert app.screen.query("FormInput").first().value.endswith("8")
        await keys(pilot, *pressed, "q")
    assert app.return_code == 0
    async with asked() as (app, pilot):
        await keys(pilot, *pressed)
        assert app._exit is True


@pytest.mark.parametrize("ask", [False, True])
def test_it_is_asked_where_there_is_no_plan_yet_and_by_quick(plan_path, monkeypatch, ask):
    asking = []
    monkeypatch.setattr(Workbench, "run", lambda app: asking.append(app._asking) or 0)
    tui.run(None, ask=ask)
    tui.run(plan_path)
    tui.run(None, ask=ask)
    assert asking == [True, False, ask]
    assert first_bench(None).plan == load(plan_path)


def test_it_lives_long_and_is_searched_for_dead_objects_as_python_does(plan_path, monkeypatch):
    usual, then = gc.get_threshold(), []
    monkeypatch.setattr(Workbench, "run", lambda _: then.append(gc.get_threshold()) or 0)
    gc.set_threshold(100_000)
    try:
        tui.run(plan_path)
    finally:
        gc.set_threshold(*usual)
    assert then == [(700, 10, 10)]


async def test_a_way_can_be_clicked():
    async with asked() as (app, pilot):
        await keys(pilot, "escape")
        line = words_on(app).splitlines()[-1]
        await pilot.click("#first-ways", offset=(line.index("workbench") - 2, 0))
        await pilot.pause()
        assert app.screen_name() == "plan"
        assert app.bench.unsaved
