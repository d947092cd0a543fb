"""A practice is opened by its first station; one key goes to the next."""

from pathlib import Path

import pytest
from tui_bench import keys, words_on, workbench

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture
def practice(own_folders):
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return Path("harbour-practice.toml")


async def test_one_key_goes_from_station_to_station_and_round(practice):
    async with workbench(practice) as (app, pilot):
        titles = [app.bench.plan.title]
        assert "station 1 of 3" in words_on(app)
        for _ in range(3):
            await keys(pilot, "right_square_bracket")
            titles.append(app.bench.plan.title)
        assert titles == [
            "Thursday wickets",
            "Thursday flying 20s",
            "Thursday take-offs",
            "Thursday wickets",
        ]
        await keys(pilot, "left_square_bracket")
        assert app.bench.plan.title == "Thursday take-offs"
        assert "station 3 of 3" in words_on(app)


async def test_unsaved_work_at_a_station_is_asked_about_before_the_next(practice):
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "g", "right_square_bracket")
        assert "save, then go to the next station" in words_on(app)
        await keys(pilot, "s")
        assert app.bench.plan.title == "Thursday flying 20s"
        assert "gaps" in Path("thursday-wickets.toml").read_text(encoding="utf-8")


async def test_what_stations_do_to_each_other_is_told_on_arrival(practice):
    flying = Path("thursday-flying.toml")
    text = flying.read_text(encoding="utf-8").replace("lane = 6 ", "lane = 4 ")
    flying.write_text(text, encoding="utf-8")
    async with workbench(practice) as (app, _):
        assert "station 1 of 3; stop: Thursday wickets (lane 4) and" in app.bench.told.text


async def test_a_plan_alone_has_no_stations(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "right_square_bracket")
        assert "a practice file names several stations" in words_on(app)
