"""A practice is opened by its first station; one key goes to the next."""

from dataclasses import replace
from pathlib import Path

import pytest
from tui_bench import keys, words_on, workbench

from tui.panes.findings import findings_content
from wicketlay import edits

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
    text = flying.read_text(encoding="utf-8").replace("lane = 7 ", "lane = 4 ")
    flying.write_text(text, encoding="utf-8")
    async with workbench(practice) as (app, _):
        assert "station 1 of 3; stop: Thursday wickets (lane 4) and" in app.bench.told.text


async def test_a_plan_alone_has_no_stations(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "right_square_bracket")
        assert "a practice file names several stations" in words_on(app)


async def test_a_change_that_makes_stations_collide_says_so_at_once_and_one_that_ends_it_too(
    practice,
):
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "right_square_bracket", "q", "=lane 4", "enter")
        assert app.bench.plan.place.lanes == (4,)
        assert "stop: Thursday wickets (lane 4) and Thursday flying 20s (lane 4) meet" in words_on(
            app
        )
        assert not any(app.bench.solved.may_lay(each) for each in app.bench.solved.layings)
        await keys(pilot, "u")
        assert app.bench.told.held.startswith("no longer: Thursday wickets (lane 4)")
        assert all(app.bench.solved.may_lay(each) for each in app.bench.solved.layings)


async def test_a_lane_beside_one_that_is_laid_is_told_with_the_change(practice):
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "right_square_bracket", "q", "=lane 5", "enter")
        assert app.bench.told.held.startswith(
            "caution: Thursday flying 20s runs beside a lane that Thursday wickets lays"
        )
        assert app.bench.told.held.partition(": ")[2] in findings_content(app.bench).plain


async def test_more_runs_than_the_hour_of_all_holds_are_told_with_the_change(practice):
    text = practice.read_text(encoding="utf-8").replace('"75 min"', '"40 min"')
    practice.write_text(text, encoding="utf-8")
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "right_square_bracket")
        more = replace(app.bench.plan.session, efforts=9)
        app.edit(lambda plan: edits.set_part(plan, session=more))
        await pilot.pause()
        assert app.bench.told.held.startswith("caution: the last run ends after")


async def test_who_is_added_at_a_second_station_is_told_with_the_change(practice):
    async with workbench(practice) as (app, pilot):
        tarik = app.bench.plan.athletes[0]
        await keys(pilot, "right_square_bracket")
        app.edit(lambda plan: edits.add_athlete(plan, tarik))
        await pilot.pause()
        assert app.bench.told.held.startswith("caution: at two stations at once: Tarik")


async def test_the_one_bag_is_counted_with_the_change(practice):
    text = practice.read_text(encoding="utf-8").replace("wickets = 28", "wickets = 24")
    practice.write_text(text, encoding="utf-8")
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "right_square_bracket", "right_square_bracket")
        kit, drill = app.bench.plan.kit, app.bench.plan.drill
        app.edit(lambda plan: edits.set_part(plan, kit=replace(kit, wickets=8)))
        app.edit(lambda plan: edits.set_drill(plan, replace(drill, wickets=6)))
        await pilot.pause()
        assert (
            "26 wickets lie at once (Thursday wickets, Thursday take-offs)" in app.bench.told.held
        )


async def test_what_another_station_became_on_disk_counts_from_the_next_arrival(practice):
    async with workbench(practice) as (app, pilot):
        flying = Path("thursday-flying.toml")
        text = flying.read_text(encoding="utf-8").replace("lane = 7 ", "lane = 4 ")
        flying.write_text(text, encoding="utf-8")
        await keys(pilot, *["right_square_bracket"] * 3)
        assert app.bench.plan.title == "Thursday wickets"
        assert "stop: Thursday wickets (lane 4)" in app.bench.told.text
        await keys(pilot, "right_square_bracket", "q", "=lane 6", "enter")
        assert app.bench.told.held.startswith("no longer: Thursday wickets (lane 4)")


async def test_at_the_track_the_next_station_is_one_key_apart_and_keeps_its_own_log(practice):
    async with workbench(practice) as (app, pilot):
        await keys(pilot, "7", "space")
        assert "this station: 0 min gone; " in words_on(app)
        await keys(pilot, "right_square_bracket")
        assert (app.screen_name(), app.bench.plan.title) == ("practice", "Thursday flying 20s")
        await keys(pilot, "space", "left_square_bracket")
        assert "run 1" in words_on(app)
        logs = [app.hour().log.paths[-1]]
        await keys(pilot, "right_square_bracket")
        assert [*logs, app.hour().log.paths[-1]] == [
            "thursday-wickets.log.csv",
            "thursday-flying.log.csv",
        ]
