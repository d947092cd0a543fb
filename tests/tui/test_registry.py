"""One registry feeds keys, key bar, palette and help."""

from collections import Counter

import pytest
from tui_bench import keys, until, words_on, workbench

from tui.actions import ACTIONS
from tui.app import Workbench
from tui.panes.keys import help_content
from tui.rows import SCREENS, on_screen, shown_key


@pytest.mark.parametrize("screen", SCREENS)
def test_no_key_means_two_things_on_a_screen(screen):
    there = [key for action in on_screen(ACTIONS, screen) for key in action.keys]
    assert [key for key, count in Counter(there).items() if count > 1] == []


async def test_every_key_does_its_row_on_the_screens_that_have_it(plan_path):
    bound = {key for binding in Workbench.BINDINGS for key in [binding.key]}
    async with workbench(plan_path) as (app, pilot):
        for digit, screen in enumerate(SCREENS, start=1):
            if app.screen.NAME == "practice":  # there, digits are times
                await keys(pilot, "escape")
            await keys(pilot, str(digit))
            assert screen == app.screen.NAME
            for action in ACTIONS:
                for key in action.keys:
                    assert key in bound
                    there = app.check_action("do", (key,)) and app.row_of(key) is action
                    assert there is action.works_on(screen), (screen, key)


@pytest.mark.parametrize("screen", SCREENS)
def test_help_names_every_action_of_a_screen_with_its_keys(screen):
    text = help_content(on_screen(ACTIONS, screen)).plain
    rows = on_screen(ACTIONS, screen)
    assert rows[0].group.value in text.splitlines()[:4]
    assert not rows[0].screens or screen in rows[0].screens
    for action in rows:
        assert action.title in text
        keys = " or ".join(shown_key(key) for key in action.keys)
        assert keys.replace(" or ".join("0123456789"), "digits") in text


async def test_every_screen_opens_by_its_digit(plan_path):
    async with workbench(plan_path) as (app, pilot):
        for digit, name in enumerate(SCREENS, start=1):
            if app.screen.NAME == "practice":  # there, digits are times
                await keys(pilot, "escape")
            await keys(pilot, str(digit))
            assert name == app.screen.NAME
            assert words_on(app).startswith(" Harbour wickets")


async def test_every_screen_is_named_and_opens_by_a_click(plan_path):
    async with workbench(plan_path, size=(80, 24)) as (app, pilot):
        for name in (*SCREENS, SCREENS[0]):
            strip = words_on(app).splitlines()[1]
            assert all(each in strip for each in SCREENS)
            await pilot.click("#screens", offset=(strip.index(name) + 1, 0))
            await pilot.pause()
            assert name == app.screen.NAME


async def test_a_key_in_the_bar_is_pressed_by_a_click(plan_path):
    async with workbench(plan_path, size=(80, 24)) as (app, pilot):
        bar = words_on(app).splitlines()[-2]
        await pilot.click("#keys", offset=(bar.index("g/G"), 0))
        await pilot.pause()
        assert app.bench.plan.adjustment("Tarik").gap_change > 0


TRIED = {
    "theme": "light or dark",
    "stopwatch": "practice: the hour at the track",
    "timer": "a time over the marks: review this athlete",
    "undo": "undo",
    "print": "print: p again writes the PDF of the current wave",
    "pdf": "print: p again writes the PDF of the current wave",
    "metronome": "the sound of this athlete's run",
    "delete": "take this athlete off the plan",
    "exit": "quit",
    "frequency": "cadence a notch up for this athlete (1 point)",
    "search": "the athlete whose name is typed",
}


async def test_the_palette_knows_the_words_people_try(plan_path):
    from tui.palette import BenchCommands

    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2")
        for word, title in TRIED.items():
            found = [hit async for hit in BenchCommands(app.screen).search(word)]
            assert any(hit.text.startswith(title) for hit in found if hit.text), word


def test_no_other_word_is_kept_for_a_row_that_is_gone():
    from tui.actions import _WORDS

    assert _WORDS.keys() <= {row.short or row.title for row in ACTIONS}


@pytest.mark.slow
async def test_the_palette_does_what_it_names(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await pilot.press("ctrl+p")
        await pilot.press(*"gaps a notch wider")
        wanted = "gaps a notch wider for this athlete"
        await until(lambda: wanted in words_on(app))
        await pilot.press("enter")
        await pilot.pause()
        assert app.bench.plan.adjustment("Tarik").gap_change == pytest.approx(0.02)


async def test_the_line_on_view_in_the_palette_is_seen_without_colours(plan_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    async with workbench(plan_path, size=(80, 24)) as (app, pilot):
        await pilot.press("ctrl+p")
        title = ACTIONS[0].title
        await until(lambda: title in words_on(app))
        await pilot.pause()
        strips = app.screen._compositor.render_strips()
        (line,) = [each for strip in strips for each in strip if title in each.text]
        assert line.style.underline


async def test_the_palette_offers_every_action_of_the_screen(plan_path):
    from tui.palette import BenchCommands

    async with workbench(plan_path) as (app, _):
        found = [hit async for hit in BenchCommands(app.screen).discover()]
        assert [hit.prompt for hit in found] == [a.title for a in on_screen(ACTIONS, "plan")]


async def test_a_small_letter_is_more_and_its_capital_less(plan_path):
    async with workbench(plan_path) as (app, pilot):
        for more, less, change in (
            ("g", "G", "gap_change"),
            ("s", "S", "speed_change"),
            ("c", "C", "cadence_change"),
        ):
            await keys(pilot, more)
            assert getattr(app.bench.plan.adjustment("Tarik"), change) > 0
            await keys(pilot, less, less)
            assert getattr(app.bench.plan.adjustment("Tarik"), change) < 0
