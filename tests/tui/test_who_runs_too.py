"""Somebody of the squad runs too, or a guest: the squad file keeps what it says."""

from pathlib import Path

import pytest
from tui_bench import keys, words_on, workbench

from wicketlay.plan_file import load, open_plan

LAYOUTS = Path(__file__).parents[2] / "layouts"
SQUAD = Path("harbour-squad.toml")


@pytest.fixture
def flying(own_folders):
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return Path("thursday-flying.toml")


async def test_a_guest_is_asked_for_by_one_key_and_stands_in_the_plan_beside_the_squad_file(flying):
    before = SQUAD.read_bytes()
    async with workbench(flying) as (app, pilot):
        await keys(pilot, "2", "A")
        assert "of the squad: Tarik, Odalys, Kit, Ines" in " ".join(words_on(app).split())
        await keys(pilot, "=Nele", "enter", "enter", "=1.69", *["enter"] * 4, "=2.4", "ctrl+s")
        assert app.bench.athlete.name == "Nele"
        assert "Nele, guest" in words_on(app)
        await keys(pilot, "ctrl+s")
        assert load(flying) == app.bench.plan
        assert load(flying).guests == {"Sanne", "Nele"}
    assert SQUAD.read_bytes() == before
    assert 'name = "Nele"' in flying.read_text(encoding="utf-8")


async def test_a_guest_renamed_before_saving_stays_a_guest(flying):
    before = SQUAD.read_bytes()
    async with workbench(flying) as (_, pilot):
        await keys(pilot, "2", "A", "=Nele", "enter", "enter", "=1.69", *["enter"] * 4, "=2.4")
        await keys(pilot, "ctrl+s", "enter", *["backspace"] * 4, "=Nela", "ctrl+s", "ctrl+s")
        assert load(flying).athletes[-1].name == "Nela"
    assert SQUAD.read_bytes() == before


async def test_somebody_of_the_squad_runs_too_as_the_squad_file_knows_them(flying):
    before = SQUAD.read_bytes()
    async with workbench(flying) as (app, pilot):
        tarik = next(each for each in app.bench.opened.file.squad if each.name == "Tarik")
        await keys(pilot, "2", "A", "=tárik", "enter")
        assert app.bench.athlete == tarik
        await keys(pilot, "ctrl+s")
        assert open_plan(flying).plan.athletes[-1] == tarik
    assert SQUAD.read_bytes() == before
    assert '["Wren", "Bram", "Sanne", "Tarik"]' in flying.read_text(encoding="utf-8")


async def test_the_name_of_somebody_in_the_squad_is_not_written_over_their_record(flying):
    async with workbench(flying) as (app, pilot):
        await keys(pilot, "2", "a", "=Tarik", "enter", "=1.50", *["enter"] * 4, "=2.9", "ctrl+s")
        shown = " ".join(words_on(app).split())
        assert "Tarik is in the squad and not here today" in shown
        await keys(pilot, "escape")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_who_runs_already_is_not_asked_for_again(flying):
    async with workbench(flying) as (app, pilot):
        await keys(pilot, "2", "A", "=wrén", "enter")
        assert "wrén runs today already" in words_on(app)


async def test_without_a_squad_file_whoever_is_new_stands_in_the_plan(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "A", "=Nele", "enter", "enter", "=1.69", *["enter"] * 4, "=2.4")
        await keys(pilot, "ctrl+s", "ctrl+s")
        assert load(plan_path) == app.bench.plan
        assert load(plan_path).athletes[-1].name == "Nele"
