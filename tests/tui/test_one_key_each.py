"""Lanes, waves, the bag and the whole practice by one key each, each taken back by one undo."""

from pathlib import Path

import pytest
from tui_bench import PLAN, keys, words_on, workbench

from wicketlay.edits import gaps_opened
from wicketlay.plan_file import load, read_ground
from wicketlay.units import format_percent

LAYOUTS = Path(__file__).parents[2] / "layouts"


def spots(app):
    return {n: (each.lane, each.wave) for each in app.bench.solved.layings for n in each.athletes}


@pytest.fixture
def shared(own_folders):
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return Path("shared-lanes.toml")


async def test_an_athlete_goes_to_the_next_lane_and_wave_by_one_key_each(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "slash", "=wren", "enter")
        before = spots(app)
        lane, wave = before["Wren"]
        await keys(pilot, "greater_than_sign")
        assert spots(app) == before | {"Wren": (lane + 1, wave)}
        assert f"Wren: runs on lane {lane + 1}" in words_on(app)
        await keys(pilot, "j")
        assert spots(app)["Wren"] == (lane + 1, wave + 1)
        await keys(pilot, "J", "less_than_sign")
        assert app.bench.plan == app.bench.opened.file.plan
        await keys(pilot, "greater_than_sign", "u")
        assert spots(app) == before


async def test_lane_wave_and_letter_by_hand_are_saved_and_read_again(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "slash", "=wren", "enter", "greater_than_sign", "j", "ctrl+s")
        assert load(shared).adjustment("Wren").lane == spots(app)["Wren"][0]
        assert load(shared) == app.bench.plan
    assert "lane = 4" in shared.read_text(encoding="utf-8")


async def test_an_athlete_is_found_by_the_first_letters_of_the_name(plan_path):
    plan_path.write_text(PLAN.replace('"Tarik"', '"Zoë"'), encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "slash", "=zo", "enter")
        assert app.bench.view.athlete == "Zoë"
        await keys(pilot, "slash", "=x", "enter")
        assert "nobody is called so" in " ".join(words_on(app).split())
        await keys(pilot, "escape")
        assert app.bench.view.athlete == "Zoë"


async def test_the_workbench_opens_on_whoever_runs_first(plan_path):
    late = '\n[[adjust]]\nathlete = "Tarik"\nlate = "20 min"\n'
    plan_path.write_text(PLAN + late, encoding="utf-8")
    async with workbench(plan_path) as (app, _):
        assert app.bench.view.athlete == app.bench.solved.session.order[0] != "Tarik"


async def test_everything_goes_to_other_lanes_in_one_action_and_one_undo(shared):
    async with workbench(shared) as (app, pilot):
        before = spots(app)
        await keys(pilot, "slash", "=wren", "enter", "greater_than_sign")
        by_hand = app.bench.plan
        await keys(pilot, "q", "=lanes 5, 6", "enter")
        assert {lane for lane, _ in spots(app).values()} == {5, 6}
        assert app.bench.plan.adjustment("Wren").lane == 6
        assert "everything on lanes 5, 6; readings as before" in words_on(app)
        await keys(pilot, "u")
        assert app.bench.plan == by_hand
        await keys(pilot, "u")
        assert spots(app) == before


async def test_everything_goes_to_another_line_where_it_fits(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "q", "=back straight", "enter")
        assert app.bench.plan.place.line == "back straight"
        assert not app.bench.solved.layings[0].stopped
        await keys(pilot, "u", "q", "=lane 11", "enter")
        assert "has no lane 11" in " ".join(words_on(app).split())
        await keys(pilot, "escape")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_a_smaller_bag_says_which_places_become_chalk(plan_path):
    async with workbench(plan_path) as (app, pilot):
        before = app.bench.plan
        await keys(pilot, "number_sign", *["backspace"] * 4, "=12", "enter")
        assert app.bench.plan.kit.wickets == 12
        said = " ".join(words_on(app).split())
        assert "the bag holds 12: lane 1 takes 6, chalk W7-W10; lane 2 takes 6" in said
        await keys(pilot, "u")
        assert app.bench.plan == before


async def test_a_notch_on_shared_gaps_says_with_whom_and_what_it_opens(shared):
    async with workbench(shared) as (app, pilot):
        pair = next(each for each in app.bench.solved.layings if len(each.demands) > 1)
        one, other = pair.athletes
        await keys(pilot, "slash", f"={one}", "enter", "g")
        after = next(each for each in app.bench.solved.layings if one in each.athletes)
        opened = format_percent(gaps_opened(pair, after))
        assert f"; shared with {other}: opens {opened}" in app.bench.told.text
        assert opened != "2 %"
        assert "; F: alone on free lane " in app.bench.told.held
        assert "F: alone on free lane" in words_on(app)
        await keys(pilot, "F")
        alone = next(each for each in app.bench.solved.layings if one in each.athletes)
        assert alone.athletes == (one,)
        assert alone.lane not in {each.lane for each in app.bench.solved.layings if each != alone}
        await keys(pilot, "equals_sign", "u", "u", "u")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_everything_goes_to_another_hall_by_its_file_and_one_undo(shared):
    files = {path.name: path.read_bytes() for path in Path().glob("*.toml")}
    async with workbench(shared) as (app, pilot):
        before = app.bench.plan
        await keys(pilot, "q")
        assert "another ground: harbour-hall.toml, harbour-meadow.toml" in " ".join(
            words_on(app).split()
        )
        await keys(pilot, "=harbour-hall.toml", "enter")
        assert app.bench.plan.place.line == "60 m straight"
        assert "of the 60 m straight, harbour-hall.toml → laid anew" in " ".join(
            words_on(app).split()
        )
        await keys(pilot, "ctrl+s")
        assert load(shared) == app.bench.plan
        changed = [name for name, was in files.items() if Path(name).read_bytes() != was]
        assert changed == ["shared-lanes.toml"]
        await keys(pilot, "u")
        assert app.bench.plan == before


async def test_a_line_with_a_number_in_its_name_is_no_lane(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "q", "=harbour-hall.toml 60 m straight, lanes 5 6", "enter")
        assert app.bench.plan.place.line == "60 m straight"
        assert app.bench.plan.place.lanes == (5, 6)
        await keys(pilot, "q", "=60 m straight, lane 2", "enter")
        assert app.bench.plan.place.lanes == (2,)


async def test_where_nothing_fits_the_first_stop_is_said_at_once(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "q", "=runway", "enter")
        assert app.bench.told.held.startswith("stop: ")
        assert app.bench.plan.ground_file is None
        await keys(pilot, "u")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_a_ground_file_that_is_not_there_is_refused_with_the_nearest(shared):
    async with workbench(shared) as (app, pilot):
        await keys(pilot, "q", "=harbour-hal.toml", "enter")
        assert "harbour-hall.toml" in words_on(app)
        await keys(pilot, "escape")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_a_plan_without_a_file_takes_the_numbers_of_a_ground_file(own_folders):
    hall = LAYOUTS / "harbour-hall.toml"
    Path(hall.name).write_bytes(hall.read_bytes())
    async with workbench(None) as (app, pilot):
        await keys(pilot, "q", f"={hall.name}", "enter")
        assert app.bench.plan.ground == read_ground(LAYOUTS, hall.name)
        assert app.bench.plan.ground_file is None
