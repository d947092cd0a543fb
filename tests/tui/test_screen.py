"""Sizes, hostile names, fields and their errors, themes."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from tui_bench import PLAN, SIZES, keys, words_on, workbench

from tui.rows import SCREENS
from tui.said.shown import findings_of
from tui.themes import THEMES
from wicketlay.export import reading_of
from wicketlay.findings import Level
from wicketlay.plan_file import load

LAYOUTS = Path(__file__).parents[2] / "layouts"

HOSTILE = [
    "[bold red]Wren[/]",
    "[@click=app.quit]x[/]",
    "[link=file:///etc]x",
    "{name} $accent %s",
    "\\[/b]",
    "Ωμέγα Ирина Łódź",
    "李小龍 ' 한글",
    "A" * 80,
    "[/]",
    "é\u0301\u0301\u0301",
]


def hostile_plan():
    """Return a plan whose title and athletes have all these names."""
    quoted = [name.replace("\\", "\\\\") for name in HOSTILE]
    athletes = "".join(
        f'[[athlete]]\nname = "{name}"\nheight = "1.7 m"\ntop_speed = "8.5 m/s"\n\n'
        for name in quoted
    )
    head, rest = PLAN[: PLAN.index("[[athlete]]")], PLAN[PLAN.index("[drill]") :]
    return head.replace("Harbour wickets", quoted[0]) + athletes + rest


async def test_names_are_shown_as_they_are_and_never_read_as_markup(plan_path):
    plan_path.write_text(hostile_plan(), encoding="utf-8")
    async with workbench(plan_path, (80, 24)) as (app, pilot):
        await keys(pilot, "2")
        shown = words_on(app)
        for name in HOSTILE:
            assert name[:12] in shown, name
        for name in HOSTILE:
            await keys(pilot, "1", "g")
            assert app.bench.athlete.name == name
            assert (name if len(name) < 20 else name[:9]) in words_on(app), name
            await keys(pilot, "n")
        await keys(pilot, "2", "enter", "escape", "3", "4", "5", "6", "1", "f", "escape", "x")
        assert app.is_running


async def test_a_window_that_is_too_small_says_so_and_keeps_everything(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "right")
        before = (app.bench.plan, app.bench.view)
        for width, height in ((59, 40), (120, 15), (10, 3), (1, 1)):
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            if width > 40:
                assert "window too small" in words_on(app)
            assert "Harbour" not in words_on(app)
        for width, height in ((60, 16), (120, 40)):
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            assert "Harbo" in words_on(app)
        assert (app.bench.plan, app.bench.view) == before


@pytest.mark.slow
@pytest.mark.parametrize("screen", range(1, len(SCREENS) + 1))
async def test_every_screen_lives_through_a_storm_of_sizes(plan_path, screen):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, str(screen))
        for step in range(12):
            width, height = 1 + step * 37 % 160, 1 + step * 23 % 60
            await pilot.resize_terminal(width, height)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert app.screen_name() == SCREENS[screen - 1]
        assert "Tarik" in words_on(app)


async def test_a_field_that_cannot_be_taken_keeps_its_text_and_the_last_good_result(plan_path):
    async with workbench(plan_path) as (app, pilot):
        before = app.bench.solved
        await keys(pilot, "i", "down", "=195", "enter")
        shown = words_on(app)
        assert '"195 %" is too large; allowed: 50 % to 100 %' in " ".join(shown.split())
        assert app.bench.solved is before
        assert app.focused.value == "195"
        await keys(pilot, "escape")
        assert app.bench.errors == {}
        assert "too large" not in words_on(app)


async def test_a_bare_number_is_in_the_unit_that_the_field_shows(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "i", "down", "=9", "0", "enter")
        assert app.bench.plan.drill.speed_share == pytest.approx(0.90)
        assert app.focused.field.key == "cadence"
        await keys(pilot, "=4.3", "enter")
        assert app.bench.plan.drill.cadence.value == pytest.approx(4.3)
        await keys(pilot, "=20", "enter")
        assert app.bench.plan.drill.section_m == pytest.approx(20.0)
        assert app.bench.plan.drill.wickets is None


async def test_space_goes_through_the_words_of_a_field(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "i", *["down"] * 5, "space", "enter")
        assert app.bench.plan.drill.gaps.value == "even"


@pytest.mark.slow
async def test_an_athlete_is_renamed_in_their_field_and_stays_on_view(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "i", *["down"] * 11, "end", "=X", "enter", "ctrl+s")
        assert app.bench.athlete.name == "TarikX"
        assert app.bench.plan.adjustment("TarikX").gap_change == pytest.approx(0.02)
    assert load(plan_path).athletes[0].name == "TarikX"


@pytest.mark.slow
async def test_both_themes_show_the_same_text(plan_path):
    seen = set()
    async with workbench(plan_path) as (app, pilot):
        for theme in THEMES:
            app.theme = theme.name
            await pilot.pause()
            seen.add(words_on(app))
        await keys(pilot, "ctrl+t")
        assert app.theme == THEMES[0].name
    assert len(seen) == 1


def luminance(colour):
    """Return the relative luminance of "#rrggbb" (WCAG 2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_text_stands_out_from_its_ground(theme):
    """Contrast by WCAG 2: 4.5 to 1 for text, as a screen in the sun needs it."""
    grounds = [theme.background, theme.surface, theme.panel]
    inks = [theme.foreground, theme.error, theme.accent, theme.variables["bench-faint"]]
    for ink in inks:
        for ground in grounds:
            low, high = sorted((luminance(ink), luminance(ground)))
            assert (high + 0.05) / (low + 0.05) >= 4.5, (ink, ground)


@pytest.mark.slow
async def test_the_terminal_may_ask_for_light(plan_path, monkeypatch):
    monkeypatch.setenv("COLORFGBG", "0;15")
    async with workbench(plan_path) as (app, _):
        assert app.theme == "wicketlay-light"


@pytest.mark.slow
async def test_a_click_goes_to_a_mark(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await pilot.click("#table", offset=(3, 6))
        await pilot.pause()
        assert app.bench.view.mark == "w5"
        await pilot.click("#run", offset=(14, 8))
        await pilot.pause()
        assert app.bench.view.mark == "start"


async def test_a_stop_never_blocks_typing_only_paper(plan_path):
    from pypdf import PdfReader

    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "i", "down", "down", "=5.9 steps/s", "enter", "escape")
        assert "DO NOT LAY OUT" in words_on(app)
        await keys(pilot, "g", "p")
        assert "the paper says DO NOT LAY OUT" in words_on(app)
        await keys(pilot, "p")
        assert app.bench.plan.adjustment("Tarik").gap_change == pytest.approx(0.02)
    text = "".join(page.extract_text() for page in PdfReader("harbour-wave-1.pdf").pages)
    assert "DO NOT LAY OUT" in text


@pytest.mark.parametrize(("digit", "size", "there"), [
    ("2", (120, 40), True), ("5", (120, 40), True), ("2", (80, 24), False), ("5", (80, 24), False),
])  # fmt: skip
async def test_a_wide_window_shows_the_selected_athlete_beside_the_list(
    plan_path, digit, size, there
):
    async with workbench(plan_path, size=size) as (app, pilot):
        await keys(pilot, digit, "n")
        assert app.bench.view.athlete == "Odalys"
        assert ("readings of Odalys" in words_on(app)) is there
        if there:
            last = reading_of(app.bench.laying.tape, "w10")
            assert f"W10      {last[3]}" in words_on(app)


@pytest.mark.parametrize(
    ("digit", "titles"),
    [("1", ("readings─", "f findings: ")), ("5", ("the sum, and each athlete", "who runs when"))],
)
async def test_panes_have_titles_in_the_lines_between_them(plan_path, digit, titles):
    async with workbench(plan_path, size=(80, 24)) as (app, pilot):
        await keys(pilot, digit)
        assert all(f"─{title}" in words_on(app) for title in titles)


async def test_the_smallest_window_shows_eight_marks_and_a_whole_caution_with_how_many_there_are(
    plan_path,
):
    plan_path.write_bytes((LAYOUTS / "height-only.toml").read_bytes())
    async with workbench(plan_path, size=(80, 24)) as (app, _):
        shown = words_on(app).splitlines()
        marks = [line.split()[0] for line in shown if re.match(r" +(START|W[0-9]+) +[0-9]", line)]
        assert marks == ["START", *(f"W{n}" for n in range(1, 8))]
        assert "f findings: 1 caution─" in words_on(app)
        (caution,) = (text for level, text in findings_of(app.bench) if level is Level.CAUTION)
        beside = " ".join(line.partition("│")[2].strip(" ▃▆▇█▁▂▄▅") for line in shown)
        assert caution in " ".join(beside.split())


async def test_the_field_that_is_typed_in_stands_out_and_what_is_selected_in_it(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        app.screen.query_one("#inputs").focus_field("drill.speed")
        await pilot.pause()
        await golden(pilot, "field-typed")


@pytest.mark.parametrize("typed", ["", "90"])
async def test_a_field_that_is_taken_away_while_it_is_drawn_is_blank(plan_path, typed):
    """Another drill has other fields; one that went may stand in a picture under way."""
    async with workbench(plan_path) as (app, pilot):
        pane = app.screen.query_one("#inputs")
        pane.focus_field("drill.speed")
        await pilot.pause()
        field = app.focused
        field.value = typed
        drawn = field.region.reset_offset
        await field.remove()
        assert field.parent is None
        assert [strip.text for strip in field.render_lines(drawn)] == [" " * drawn.width]


async def test_a_start_styles_a_field_once_as_it_is_made(plan_path, monkeypatch):
    from textual.css.stylesheet import Stylesheet

    from tui.panes.inputs import FieldInput

    styled, apply = [], Stylesheet.apply

    def counted(sheet, node, **named):
        styled.append(node)
        apply(sheet, node, **named)

    monkeypatch.setattr(Stylesheet, "apply", counted)
    async with workbench(plan_path) as (app, _):
        fields = list(app.screen.query(FieldInput))
        assert fields
        assert {styled.count(field) for field in fields} == {1}


async def _all_there(app):
    from tui.bench.fields import fields_of
    from tui.panes.inputs import FieldInput

    pane = app.screen.query_one("#inputs")
    wanted = fields_of(app.bench.plan, app.bench.view.athlete, pane.parts)
    boxes = list(pane.query(FieldInput))
    assert [box.field for box in boxes] == list(wanted[: len(boxes)])
    parts = [str(row.content) for row in pane.query(".field-part")]
    assert parts == list(dict.fromkeys(box.field.part for box in boxes))
    assert pane.virtual_size.height == len(wanted) + len({field.part for field in wanted})
    return len(boxes) == len(wanted)


def _wheel(pane, pilot):
    pane.scroll_relative(y=1, animate=False)
    return pilot.pause()


WAYS = {
    "by its key": lambda _, pilot: keys(pilot, "i"),
    "back by the tabulator": lambda _, pilot: keys(pilot, "shift+tab"),
    "by the mouse": lambda pane, pilot: pilot.click(list(pane.query("FieldInput"))[2]),
    "by the wheel": _wheel,
    "as the window grows": lambda _, pilot: pilot.resize_terminal(120, 90),
}


@pytest.mark.parametrize("way", WAYS)
async def test_fields_below_those_on_view_are_made_as_somebody_goes_there(plan_path, way):
    async with workbench(plan_path, SIZES[way == "by its key"]) as (app, pilot):
        assert not await _all_there(app)
        await WAYS[way](app.screen.query_one("#inputs"), pilot)
        await keys(pilot, "escape")
        assert await _all_there(app)


async def test_what_was_begun_below_is_there_after_a_restart(plan_path):
    async with workbench(plan_path, SIZES[0]) as (app, pilot):
        await keys(pilot, "i")
        app.screen.query_one("#inputs").focus_field("tape.length")
        await keys(pilot, "ctrl+u", "=soon", "enter")
    async with workbench(plan_path, SIZES[0]) as (app, _):
        (box,) = (b for b in app.screen.query("FieldInput") if b.field.id == "tape.length")
        assert box.value == "soon"


async def test_a_name_that_fits_not_beside_its_large_reading_stands_below(plan_path):
    async with workbench(plan_path, (60, 40)) as (app, pilot):
        app.bench.view = replace(app.bench.view, mark="start")
        app.show()
        await pilot.pause()
        assert "START · " in str(app.screen.query_one("#big").content)
