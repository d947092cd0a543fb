"""Nothing typed is lost: undo, recovery, files changed on disk, a second workbench."""

import os
from datetime import date
from pathlib import Path

import pytest
from tui_bench import keys, until, words_on, workbench

from tui.bench import shelf
from tui.bench.keeping import DELAY_S
from wicketlay.plan_file import find_recovery, load, open_plan, typed_in
from wicketlay.running.athlete import Timing


async def test_undo_and_redo_go_over_every_kind_of_change(plan_path):
    async with workbench(plan_path) as (app, pilot):
        seen = [app.bench.plan]
        for change in (["g"], ["s"], ["x"], ["m", "=12", "enter"], ["b", "=-40", "enter"]):
            await keys(pilot, *change)
            seen.append(app.bench.plan)
        await keys(pilot, "2", "delete", "1")
        seen.append(app.bench.plan)
        assert len(set(map(repr, seen))) == len(seen)
        for plan in reversed(seen[:-1]):
            await keys(pilot, "u")
            assert app.bench.plan == plan
        await keys(pilot, "u")
        assert "nothing to undo" in words_on(app)
        for plan in seen[1:]:
            await keys(pilot, "r")
            assert app.bench.plan == plan


async def test_a_change_is_kept_within_a_second_and_offered_at_the_next_start(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "g")
        assert DELAY_S < 0.5
        await until(lambda: find_recovery(plan_path) is not None)
        await until(lambda: find_recovery(plan_path).plan == app.bench.plan)
        app.keeper.note = lambda bench, today: None  # the terminal is gone from here on
    async with workbench(plan_path) as (app, pilot):
        assert "unsaved work was found" in words_on(app)
        assert "undo on the plan goes back to the file" in words_on(app)
        assert app.bench.plan == load(plan_path)
        await keys(pilot, "enter")
        assert app.bench.plan.adjustment("Tarik").gap_change == pytest.approx(0.04)
        await keys(pilot, "u")
        assert app.bench.plan == load(plan_path)


async def test_unsaved_work_can_be_dropped(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "d", "d")
        assert app.bench.plan == load(plan_path)
    assert find_recovery(plan_path) is None


async def test_only_the_keys_named_answer_a_question_and_what_drops_work_wants_its_key_twice(
    plan_path,
):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "ctrl+q")
        changed = app.bench.plan
        await keys(pilot, "x", "7", "space", "tab", "S", "D", "f3", "d", "n", "d", "up")
        assert "drop it, then quit" in words_on(app)
        assert " d again " not in words_on(app)
        assert app.bench.plan == changed
        assert app.return_code is None
        await keys(pilot, "d")
        assert " d again " in words_on(app)
        await keys(pilot, "escape")
        assert app.bench.plan == changed


async def test_what_is_half_typed_in_a_field_survives_the_end_of_the_program(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "i", "tab", "=, nonsense", "enter")
        assert app.bench.errors
        drafts = dict(app.bench.drafts)
        assert drafts
        await until(lambda: typed_in(plan_path).get("fields", {}) == drafts)
    async with workbench(plan_path) as (app, pilot):
        assert app.bench.drafts == drafts
        assert next(iter(drafts.values())) in words_on(app)


async def test_times_that_are_not_accepted_are_offered_back_at_the_next_start(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.25", "enter", "t", "=2.31", "enter", "k")
        assert "harbour.toml, times not accepted" in words_on(app)
        assert not app.bench.unsaved
    async with workbench(plan_path) as (app, pilot):
        assert "times of 2026-03-04, not accepted: Tarik 2.25 s, 2.31 s" in words_on(app)
        await keys(pilot, "enter")
        assert app.bench.reviewing.times_of("Tarik") == (2.25, 2.31)
        assert app.bench.reviewing.timing is Timing.GATES
        assert app.bench.reviewing.day == date(2026, 3, 4)  # however late they are accepted
        assert not app.bench.unsaved
        await keys(pilot, "4", "backspace", "backspace")
        await until(lambda: typed_in(plan_path) == {})
        assert "harbour.toml, saved" in words_on(app)


async def test_a_question_that_is_not_answered_leaves_what_was_kept(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "t", "=2.25", "enter")
    kept = find_recovery(plan_path).plan, typed_in(plan_path)
    async with workbench(plan_path) as (app, pilot):
        assert "unsaved work was found" in words_on(app)
        app.changed()
        app.keep_now()  # as a hang-up does
        assert (find_recovery(plan_path).plan, typed_in(plan_path)) == kept
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "d", "d")
        await until(lambda: typed_in(plan_path) == {})
        assert app.bench.reviewing.noted() == {}
    assert find_recovery(plan_path) is None


async def test_a_file_changed_on_disk_is_asked_about_and_mine_can_go_over_it(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
        text = plan_path.read_text(encoding="utf-8")
        plan_path.write_text(text.replace("efforts = 4", "efforts = 5"), encoding="utf-8")
        await keys(pilot, "ctrl+s")
        assert "the plan was changed on disk" in words_on(app)
        await keys(pilot, "w")
        assert not app.bench.unsaved
    saved = load(plan_path)
    assert saved.adjustment("Tarik").gap_change == pytest.approx(0.02)
    assert saved.session.efforts == 4


@pytest.mark.slow
async def test_taking_the_files_version_can_be_undone(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
        mine = app.bench.plan
        text = plan_path.read_text(encoding="utf-8")
        plan_path.write_text(text.replace("efforts = 4", "efforts = 5"), encoding="utf-8")
        await keys(pilot, "ctrl+s", "t")
        assert app.bench.plan.session.efforts == 5
        await keys(pilot, "u")
        assert app.bench.plan == mine


@pytest.mark.slow
async def test_mine_can_go_to_a_duplicate(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
        mine = app.bench.plan
        plan_path.write_text(plan_path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        await keys(pilot, "ctrl+s", "d", "enter")
        assert app.bench.opened.path == Path("harbour-2.toml")
    assert load("harbour-2.toml") == mine


async def test_a_second_workbench_on_a_plan_is_read_only(plan_path):
    lock = shelf.lock_of(plan_path)
    assert lock.held
    async with workbench(plan_path) as (app, pilot):
        before = app.bench.plan
        assert app.bench.opened.read_only
        assert "read only" in words_on(app)
        await keys(pilot, "g", "right")
        assert app.bench.plan == before
        assert app.bench.view.mark == "w2"
        assert "another workbench is at this plan" in words_on(app)
        await keys(pilot, "ctrl+d", "enter", "g")
        assert app.bench.plan != before
        assert not app.bench.opened.read_only
    lock.release()
    assert load("harbour-2.toml") == before
    assert find_recovery(plan_path) is None


async def test_quitting_asks_what_becomes_of_unsaved_work(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "ctrl+q")
        assert "not saved" in words_on(app)
        await keys(pilot, "s")
    assert load(plan_path).adjustment("Tarik").gap_change == pytest.approx(0.02)


@pytest.mark.slow
async def test_quitting_keeps_it_for_the_next_time_when_asked(plan_path):
    async with workbench(plan_path) as (_, pilot):
        await keys(pilot, "g", "ctrl+q", "k")
    assert find_recovery(plan_path).plan.adjustment("Tarik").gap_change == pytest.approx(0.02)


@pytest.mark.slow
async def test_a_plan_that_cannot_be_read_leaves_the_one_on_view(plan_path):
    Path("bad.toml").write_text("format = 1\nkind = 'plan'\n", encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "ctrl+o", "=bad.toml", "enter")
        shown = words_on(app)
        assert "bad.toml cannot be opened" in shown
        assert 'the plan has no "title"' in shown
        await keys(pilot, "escape")
        assert app.bench.plan.title == "Harbour wickets"


@pytest.mark.slow
async def test_recent_plans_open_by_their_number(plan_path):
    other = Path("other.toml")
    other.write_text(plan_path.read_text().replace("Harbour", "Other"), encoding="utf-8")
    async with workbench(other):
        pass
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "ctrl+o", "2", "enter")
        assert app.bench.plan.title == "Other wickets"
    assert [path.name for path in shelf.recent()] == ["other.toml", "harbour.toml"]


@pytest.mark.slow
async def test_without_a_plan_the_last_one_is_opened(plan_path):
    async with workbench(plan_path):
        pass
    async with workbench(None) as (app, _):
        assert app.bench.plan.title == "Harbour wickets"


async def test_an_untitled_plan_with_unsaved_work_is_opened_again():
    async with workbench(None) as (app, pilot):
        await keys(pilot, "g")
        plan = app.bench.plan
    async with workbench(None) as (app, pilot):
        await keys(pilot, "enter")
        assert app.bench.plan == plan
        assert app.bench.opened.untitled


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
async def test_a_folder_that_cannot_be_written_is_told_and_nothing_is_lost(plan_path):
    plan_path.resolve().parent.chmod(0o555)
    try:
        async with workbench(plan_path) as (app, pilot):
            await keys(pilot, "g", "ctrl+s")
            assert app.bench.unsaved
            assert "cannot be written" in words_on(app)
            await until(lambda: find_recovery(plan_path) is not None)
    finally:
        plan_path.resolve().parent.chmod(0o755)


@pytest.mark.slow
async def test_saving_keeps_comments_and_everything_else(plan_path):
    before = plan_path.read_text(encoding="utf-8")
    async with workbench(plan_path) as (_, pilot):
        await keys(pilot, "g", "G", "ctrl+s")
    assert plan_path.read_text(encoding="utf-8") == before
    assert open_plan(plan_path).plan.title == "Harbour wickets"


async def test_a_form_that_was_left_still_holds_what_was_typed(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "a", "=Nele", "enter", "=1.69", "escape")
        assert len(app.bench.plan.athletes) == 3
        await until(lambda: "1.69" in typed_in(plan_path).get("fields", {}).values())
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "a")
        assert "Nele" in words_on(app)
        await keys(pilot, *["enter"] * 5, "=2.4", "ctrl+s")
        assert app.bench.athlete.height_m == pytest.approx(1.69)
        await keys(pilot, "a")
        assert "1.69" not in words_on(app)


@pytest.mark.slow
async def test_unsaved_work_that_cannot_be_read_is_set_aside_and_told(plan_path):
    damaged = Path(".harbour.toml.recover")
    damaged.write_text("torn", encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        assert "cannot be read; it is now" in words_on(app)
        await keys(pilot, "g", "ctrl+s")
    assert Path(".harbour.toml.recover.damaged").read_text(encoding="utf-8") == "torn"
