"""What a coach does with one hand: nothing is silent, clipped, or about something else."""

import re
from pathlib import Path

import pytest
from pypdf import PdfReader
from tui_bench import PLAN, keys, until, words_on, workbench

from tui.said.shown import marks_text
from wicketlay.plan_file import load

LAYOUTS = Path(__file__).parents[2] / "layouts"
SMALL = (60, 20)


@pytest.fixture
def layout(own_folders):
    """Copy the layouts and return the path of one by its name."""
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return lambda name: Path(f"{name}.toml")


def line_of(app, selector):
    return str(app.screen.query_one(selector).content)


@pytest.mark.parametrize(
    ("unit", "example", "by_m"),
    [("", "30 cm", 0.12), ('unit = "feet"\n', "12 in", 12 * 0.0254)],
    ids=["metric", "feet"],
)
async def test_a_move_is_asked_in_the_tapes_small_unit(plan_path, unit, example, by_m):
    plan_path.write_text(PLAN.replace("[tape]\n", f"[tape]\n{unit}"), encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        for key in ("m", "b"):
            await keys(pilot, key, "=30 cm over", "enter")
            shown = " ".join(words_on(app).split())
            assert f'write it such as "{example}"' in shown
            assert "1.66" not in shown.partition("write it such as")[2]
            await keys(pilot, "escape", key, "=12", "enter")
        moved = (app.bench.plan.place.slide_m, app.bench.plan.adjustment("Tarik").start_shift_m)
        assert moved == pytest.approx((by_m, by_m), abs=1e-6)


@pytest.mark.parametrize(
    ("ids", "text"),
    [
        (("start", "w1"), "START, W1"),
        (("w1", "w2"), "W1, W2"),
        (("w1", "w2", "w3", "w5", "gate1"), "W1-W3, W5, GATE 1"),
        (("w8", "w9", "w10", "w11"), "W8-W11"),
        ((), ""),
    ],
)
def test_marks_that_follow_each_other_are_told_as_a_span(ids, text):
    assert marks_text(ids) == text


async def test_nobody_runs_on_a_lane_of_a_runway(layout):
    async with workbench(layout("thursday-takeoffs"), (120, 40)) as (app, pilot):
        # Each screen, the hour begun, its next wave on top, its moves ticked off, and taken back.
        for key in ("1", "2", "4", "5", "6", "7", "enter", "space", "down", "enter", "d", "u"):
            await keys(pilot, key)
            told = f"{key}: {words_on(app)}"
            assert not re.search(r"\blanes?\b", told.replace("put lane", "")), told
            # A table that comes back on view has all its columns.
            assert key != "d" or re.search("ready +athlete +wave +runs", told)
        assert "runway" in told


@pytest.mark.parametrize("size", [(80, 24), SMALL], ids=["80x24", "60x20"])
async def test_what_was_held_is_never_clipped(plan_path, size):
    async with workbench(plan_path, size) as (app, pilot):
        for key in ("g", "c", "S", "x"):
            await keys(pilot, key)
            held = line_of(app, "#told").splitlines()[-1]
            assert held.endswith(app.bench.told.held)
            assert len(held) <= size[0] - 2
            assert held in words_on(app)


@pytest.mark.parametrize("size", [(80, 24), SMALL], ids=["80x24", "60x20"])
async def test_a_narrow_key_bar_shows_what_practice_is_made_of(plan_path, size):
    wanted = ["? help", "^Q quit", "g/G gaps", "s/S speed", "c/C cadence", "n athlete", "t time"]
    if size != SMALL:
        wanted += ["m move all", "x absent", "p print", "u undo", "v wave", "^S save"]
    async with workbench(plan_path, size) as (app, _):
        bar = line_of(app, "#keys")
        assert [each for each in wanted if each not in bar] == []


async def test_a_key_with_nowhere_to_go_says_so(layout):
    async with workbench(layout("board-approach")) as (app, pilot):
        for key, what in (("n", "athlete"), ("l", "lane"), ("v", "wave"), ("E", "stage")):
            await keys(pilot, key)
            assert app.bench.told.refused
            assert f"there is only one {what}" in words_on(app)


async def test_the_wave_of_somebody_who_stays_away_is_printed_without_them(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "n", "x", "p", "p")
        assert "written: harbour-wave-1.pdf" in words_on(app)
        await keys(pilot, "v")
        assert app.bench.laying.wave == 1
        assert app.bench.view.athlete == "Tarik"
    text = "".join(page.extract_text() for page in PdfReader("harbour-wave-1.pdf").pages)
    assert "Tarik" in text
    assert "Odalys" not in text.replace("Not here today: Odalys.", "")
    assert not Path("harbour-nobody.pdf").exists()


async def test_paper_of_a_day_on_which_nobody_runs_says_so(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "x", "n", "x", "n", "x", "p", "p")
        assert "it says DO NOT LAY OUT" in app.bench.told.text


async def test_screens_of_somebody_absent_say_why_they_are_empty(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "x")
        for screen in ("1", "3"):
            await keys(pilot, screen)
            assert "Tarik is absent; x takes them back in" in words_on(app)
            await keys(pilot, "t")
            assert "Tarik is absent" in app.bench.told.text
        await keys(pilot, "2")
        rows = [line.split()[:3] for line in words_on(app).splitlines()]
        assert ["1", "Tarik", "absent"] in rows


async def test_a_time_is_told_as_noted_timed_and_dropped(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "t", "=2.25", "enter")
        assert app.bench.told.text == "Tarik: 2.25 s noted"
        await keys(pilot, "k")
        assert app.bench.told.text == "timed by gates"
        await keys(pilot, "backspace")
        assert app.bench.told.text == "Tarik: 2.25 s dropped"
        await keys(pilot, "backspace")
        assert app.bench.told.text == "there is no time to drop"


async def test_somebody_late_is_told_by_how_much_and_is_back_in(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "x", "o", "=5", "enter")
        assert "Tarik: comes 5 min late" in words_on(app)
        assert app.bench.laying is not None


async def test_an_error_in_a_field_is_told_with_the_fields_name(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "i", "down", "=195", "enter")
        assert 'speed: "195 %" is too large' in words_on(app).splitlines()[-4]


async def test_the_order_of_the_session_is_reached_on_a_small_screen(layout):
    async with workbench(layout("tuesday-wickets"), SMALL) as (app, pilot):
        await keys(pilot, "5", "n")
        pane = app.screen.query_one("#events")
        assert pane.size.height >= 4
        rows = words_on(app).splitlines()
        assert any(" run " in row and "Odalys" in row for row in rows)
        before = pane.scroll_y
        await keys(pilot, *["pagedown"] * 30)
        await until(lambda: pane.scroll_y == pane.max_scroll_y > before)
        await keys(pilot, *["pageup"] * 30)
        await until(lambda: pane.scroll_y == 0)


async def test_the_stage_on_view_stands_in_brackets(layout):
    async with workbench(layout("season-stages")) as (app, pilot):
        await keys(pilot, "3", "e")
        assert "[3: 94.7 %]" in words_on(app)
        assert "2: 92.3 % now" in words_on(app)


async def test_who_is_on_view_is_never_cut_from_a_narrow_title(layout):
    async with workbench(layout("season-stages"), SMALL) as (app, pilot):
        for digit in "123456":
            await keys(pilot, digit)
            assert words_on(app).splitlines()[0].endswith("stage 2 of 4 · Wren")


async def test_a_reading_is_large_however_narrow_the_screen(layout):
    async with workbench(layout("board-approach"), SMALL) as (app, pilot):
        await keys(pilot, "home")
        shown = line_of(app, "#big").splitlines()
        assert any(char in shown[0] for char in "█▀▄")
        # Its name and all else stand right below, in the row of the table that is reversed.
        rows = words_on(app).splitlines()
        title = next(place for place, row in enumerate(rows) if "readings" in row)
        assert rows[title + 2].split()[0] == "START"


async def test_a_review_longer_than_the_screen_can_be_read_to_its_end(layout):
    async with workbench(layout("tuesday-wickets"), SMALL) as (app, pilot):
        await keys(pilot, "t", "=2.6", "enter")
        assert "Enter writes it to the record" in words_on(app)
        await keys(pilot, *["pagedown"] * 5)
        last = line_of(app, "#review").split()[-1]
        assert last in words_on(app)


async def test_what_was_changed_is_saved_as_told(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "m", "=-30", "enter", "n", "x", "u", "ctrl+s")
        assert "saved" in app.bench.told.text
    saved = load(plan_path)
    assert saved.place.slide_m == pytest.approx(-0.30)
    assert not saved.adjustment("Odalys").absent


async def test_what_is_typed_while_the_screen_is_being_shown_stays(plan_path):
    """The field has the text before the app has heard of it; showing the plan must not undo it."""
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "5", "i")
        box = app.focused
        for typed in ("1", "12"):
            box.value = typed
            app.show()
            assert box.value == typed
        await keys(pilot, "enter")
        assert app.bench.plan.session.efforts == 12
