"""The workbench in trouble: it says what is wrong, goes on, and has the work afterwards."""

from __future__ import annotations

import asyncio
import dataclasses
import errno
import os
import shutil
from contextlib import asynccontextmanager
from datetime import date
from typing import TYPE_CHECKING

import pytest
from fault_plans import PLAN, save_half, write_plan
from textual.events import Key
from textual.keys import _character_to_key

from tui.app import Workbench
from tui.bench.bench import first_bench
from wicketlay.files import saving, whole
from wicketlay.plan_file import find_recovery, load, open_plan, write_recovery

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.slow


@pytest.fixture
def plan_path(tmp_path, monkeypatch):
    folder = tmp_path / "plans"
    folder.mkdir()
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(folder)
    return write_plan(folder)


@asynccontextmanager
async def workbench(path):
    app = Workbench(first_bench(path), today=date(2026, 3, 4))
    app.animation_level = "none"
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        yield app, pilot
        app.keep_now()
        app.bench.opened.lock.release()


async def press(pilot, *pressed):
    """Press keys; '=text' takes the place of what is in the field."""
    for each in pressed:
        if each.startswith("="):
            pilot.app.focused.value = each[1:]
            await pilot.pause()
            continue
        name = _character_to_key(each) if len(each) == 1 and not each.isalnum() else each
        pilot.app.post_message(Key(name, each if len(each) == 1 else None))
        await pilot.pause()
        await pilot.pause()


def words_on(app) -> str:
    """Return what is on the screen as one line, since what is told may be broken over two."""
    lines = app.screen._compositor.render_strips()
    shown = " ".join("".join(segment.text for segment in strip) for strip in lines)
    return " ".join(shown.split())


def made(app) -> bool:
    """Return whether the change of these tests is on view."""
    return app.bench.unsaved


NAMES = {
    "a home nobody knows": ("~nobody-of-this-name/copy.toml", "save it in"),
    "a name that is too long": ("a" * 300 + ".toml", "too long"),
    "a name that is taken": ("squad.toml", "is there already"),
    "a folder that is not there": ("gone/copy.toml", "save it in"),
    "no name at all": ("", "should end in .toml"),
}


@pytest.mark.parametrize("which", NAMES)
async def test_a_name_that_cannot_be_saved_to_is_told_and_asked_again(plan_path, which):
    name, told = NAMES[which]
    async with workbench(plan_path) as (app, pilot):
        await press(pilot, "g", "ctrl+d", f"={name}", "enter")
        assert told in words_on(app)
        await press(pilot, "=copy.toml", "enter")
        assert app.bench.opened.path.name == "copy.toml"
    assert load("copy.toml") == app.bench.plan
    assert plan_path.read_text(encoding="utf-8") == PLAN


@pytest.mark.parametrize(
    "name", ["~nobody-of-this-name/plan.toml", "a" * 300 + ".toml", "gone.toml", "/dev/zero", "."]
)
async def test_a_plan_that_cannot_be_opened_is_told_and_asked_again(plan_path, name):
    async with workbench(plan_path) as (app, pilot):
        await press(pilot, "ctrl+o", f"={name}", "enter")
        assert "is not a file; type the path of a .toml plan" in words_on(app)
        await press(pilot, "escape", "g")
        assert made(app)


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO, errno.EROFS])
async def test_a_disk_that_fails_while_saving_is_told_and_the_next_save_works(
    plan_path, monkeypatch, error
):
    async with workbench(plan_path) as (app, pilot):
        await press(pilot, "g")

        def fails(_handle):
            raise OSError(error, os.strerror(error))

        with monkeypatch.context() as failing:
            failing.setattr(saving.os, "fsync", fails)
            await press(pilot, "ctrl+s")
            assert os.strerror(error).lower() in words_on(app)
            assert made(app)
        assert plan_path.read_text(encoding="utf-8") == PLAN
        await press(pilot, "ctrl+s")
        assert not made(app)
    assert load(plan_path) == app.bench.plan


async def test_a_disk_too_full_for_unsaved_work_says_save_the_plan_now(plan_path, monkeypatch):
    def full(*_given, **_more):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    async with workbench(plan_path) as (app, pilot):
        with monkeypatch.context() as failing:
            failing.setattr(whole.tempfile, "mkstemp", full)
            await press(pilot, "g")
            await asyncio.sleep(0.6)
            await pilot.pause()
            assert "no space left on device; save the plan now" in words_on(app)
        await press(pilot, "g")
    assert find_recovery(plan_path).plan == app.bench.plan


async def test_a_save_that_was_cut_off_is_finished_and_told_when_the_plan_is_opened(plan_path):
    opened = open_plan(plan_path)
    first, *rest = opened.plan.athletes
    wanted = dataclasses.replace(
        opened.plan, title="Other", athletes=(dataclasses.replace(first, height_m=1.7), *rest)
    )
    write_recovery(opened, wanted)
    save_half(opened, wanted)
    async with workbench(plan_path) as (app, _):
        assert app.bench.plan == wanted
        assert "a save that was cut off is finished now" in words_on(app)
        # What was kept unsaved is what was saved: there is nothing to offer.
        assert "unsaved work was found" not in words_on(app)
    assert find_recovery(plan_path) is None


@pytest.mark.parametrize("becomes", ["nothing", "a pipe", "a folder"])
async def test_a_plan_that_is_gone_is_told_and_can_be_saved_under_another_name(plan_path, becomes):
    write_alone(plan_path)
    async with workbench(plan_path) as (app, pilot):
        await press(pilot, "g")
        plan_path.unlink()
        if becomes == "a pipe":
            os.mkfifo(plan_path)
        elif becomes == "a folder":
            plan_path.mkdir()
        await press(pilot, "ctrl+s")
        assert "nothing was written" in words_on(app)
        assert made(app)
        await press(pilot, "ctrl+d", "=again.toml", "enter")
        assert not made(app)
    assert load("again.toml") == app.bench.plan


def write_alone(path: Path) -> None:
    """Write the plan with its athletes in it, so that it can go anywhere."""
    squad = path.with_name("squad.toml").read_text(encoding="utf-8")
    athletes = squad.partition("\n\n")[2]
    path.write_text(PLAN.replace('squad = "squad.toml"\n', "") + athletes, encoding="utf-8")


async def test_a_working_folder_that_is_gone_costs_nothing(plan_path, tmp_path):
    async with workbench(None) as (app, pilot):
        shutil.rmtree(plan_path.parent)
        await press(pilot, "g", "ctrl+s", f"={tmp_path / 'mine.toml'}", "enter")
        assert not made(app)
    assert load(tmp_path / "mine.toml") == app.bench.plan
