"""The coach's five commonest actions and the newcomer's way, by keys alone."""

from pathlib import Path

import pytest
from pypdf import PdfReader
from tui_bench import PLAN, keys, words_on, workbench

from wicketlay.export.rhythm import CAUTION, layout_of, sound_of
from wicketlay.plan_file import find_recovery, load


async def test_choppy_athlete_gaps_a_notch_wider_in_one_key(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        before = app.bench.laying
        await keys(pilot, "g")
        assert app.bench.plan.adjustment("Tarik").gap_change == pytest.approx(0.02)
        w1, w10 = (app.bench.laying.layout.mark(i).along_m for i in ("w1", "w10"))
        assert w1 == before.layout.mark("w1").along_m
        assert w10 == pytest.approx(before.layout.mark("w10").along_m * 1.02)
        told = words_on(app)
        assert "Tarik: gaps 2 % wider" in told
        assert "W2 +4 cm" in told
        assert "lie still: START, W1" in told
        await golden(pilot, "gaps-wider")
        await keys(pilot, "ctrl+s")
    text = plan_path.read_text(encoding="utf-8")
    assert 'gaps = "2 %"' in text
    assert 'title = "Harbour wickets"   # kept' in text
    assert find_recovery(plan_path) is None


async def test_a_time_is_reviewed_and_accepted(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "n", "n", "t", "=2.25", "enter")
        assert app.screen.NAME == "review"
        made = app.bench.reviewing.made
        assert made.athlete == "Wren"
        assert made.mean_time.value == pytest.approx(2.25)
        assert "Enter writes it to the record of Wren" in words_on(app)
        await golden(pilot, "review")
        await keys(pilot, "enter", "ctrl+s")
        assert len(app.bench.athlete.observations) == 1
        assert app.bench.demand.runner.top_speed == made.top_speed_proposed
    wren = load(plan_path).athletes[2]
    assert wren.observations == (made.observation,)


async def test_thirty_centimetres_over_the_line_slides_everything(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        before = {m.mark.id: m.chainage_m for m in app.bench.laying.placed.marks}
        await keys(pilot, "m", "=-30", "enter")
        after = {m.mark.id: m.chainage_m for m in app.bench.laying.placed.marks}
        assert {i: after[i] - before[i] for i in before} == pytest.approx(
            dict.fromkeys(before, -0.30)
        )
        await golden(pilot, "slide")
        await keys(pilot, "ctrl+s")
    assert load(plan_path).place.slide_m == pytest.approx(-0.30)


async def test_an_absent_athlete_is_one_key(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "n", "x")
        assert app.bench.laying is None
        assert all("Odalys" not in laying.athletes for laying in app.bench.solved.layings)
        assert "Odalys" not in app.bench.solved.session.order
        assert "Odalys (2 of 3) · absent" in words_on(app)
        await golden(pilot, "absent")
        await keys(pilot, "x")
        assert app.bench.laying is not None
        await keys(pilot, "x", "ctrl+s")
    assert load(plan_path).adjustment("Odalys").absent


async def test_printing_the_current_wave_is_two_keys(plan_path, golden):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "p", "p")
        assert "written: harbour-wave-1.pdf" in words_on(app)
        await golden(pilot, "printed")
    text = "\n".join(page.extract_text() for page in PdfReader("harbour-wave-1.pdf").pages)
    assert "Tarik" in text
    assert "Odalys" in text
    assert "WAVE 2" not in text.upper()


NEWCOMER = [
    "ctrl+n",
    *"Mira",
    "enter",
    *"1.7",
    "enter",
    "enter",
    "enter",
    "enter",
    *"2.5",
    "ctrl+s",
]


async def test_a_newcomer_gets_a_layout_within_25_keys(golden):
    assert len(NEWCOMER) <= 25
    async with workbench(None) as (app, pilot):
        assert "start here: Ctrl+N asks four things" in words_on(app)
        await golden(pilot, "starter")
        await keys(pilot, *NEWCOMER)
        plan = app.bench.plan
        assert [a.name for a in plan.athletes] == ["Mira"]
        assert plan.athletes[0].flying.time_s == pytest.approx(2.5)
        assert len(app.bench.laying.layout.marks) == 11
        assert app.bench.unsaved
        await golden(pilot, "newcomer")
        await keys(pilot, "ctrl+s", "enter")
        assert not app.bench.unsaved
        assert app.bench.opened.path.name == "mira-s-wickets.toml"
    saved = load(Path("mira-s-wickets.toml"))
    assert saved == plan
    assert "Wren" not in Path("mira-s-wickets.toml").read_text(encoding="utf-8")


async def test_the_sound_of_the_athlete_on_view_is_one_key(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "n", "k")
        told = app.bench.told
        assert not told.refused
        assert told.text.endswith(CAUTION)
        _, layout = layout_of(app.bench.solved, "Odalys")
        sound, _ = sound_of(layout, None, plan_path.name)
    assert Path("harbour-Odalys.wav").read_bytes() == sound


async def test_marks_that_must_not_be_laid_have_no_sound(plan_path):
    plan_path.write_text(PLAN.replace('length = "120 m"', 'length = "30 m"'), encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "k")
        assert app.bench.told.refused
        assert "DO NOT LAY OUT" in app.bench.told.text
    assert not list(Path().glob("*.wav"))
