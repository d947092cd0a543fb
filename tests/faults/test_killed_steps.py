"""Killed at a named step of writing: what is there is whole, and leftovers mislead nobody."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from fault_plans import ROOT

OLD = "old old old -> old: "
FINISHED = "-> new: a save that was cut off is finished now"
WRITERS = Path(__file__).with_name("killed_steps.py")


@pytest.fixture(scope="module")
def left(tmp_path_factory):
    """What was left by each writer, by the step it died at."""
    folder = tmp_path_factory.mktemp("killed")
    done = subprocess.run(
        [sys.executable, str(WRITERS), str(folder)],
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "XDG_STATE_HOME": str(folder / "state"), "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_save_of_three_files_that_dies_while_it_writes_them_has_changed_nothing(left):
    seen = left["three_files"]
    # Three files and the sidecar are written, each flushed; then the folder, and once more when
    # all have their names.
    assert seen["write"] == seen["permissions"] == seen["temporary"] == [OLD] * 4
    assert seen["flush"] == [OLD] * 4 + [f"old old old {FINISHED}", f"new new new {FINISHED}"]


def test_a_save_of_three_files_that_dies_between_two_of_them_is_finished_by_the_next_reader(left):
    # The plan is the last: it may name what the others only then hold.
    between = [f"new old old {FINISHED}", f"new new old {FINISHED}"]
    begun = f"old old old {FINISHED}"  # the sidecar holds it all, no file is replaced
    assert left["three_files"]["replace"] == [OLD, begun, *between]
    assert left["three_files"]["remove"] == [begun] + [f"new new new {FINISHED}"] * 4


@pytest.mark.parametrize("step", ["write", "temporary", "flush", "replace"])
def test_unsaved_work_is_the_older_one_until_the_newer_is_whole(left, step):
    assert left["unsaved_work"][step] == ["old"]


@pytest.mark.parametrize("step", ["write", "temporary", "flush", "replace"])
def test_a_sheet_is_the_older_one_until_the_newer_is_whole(left, step):
    assert left["sheet"][step] == ["old"]


@pytest.mark.parametrize("step", ["write", "temporary", "permissions", "flush", "name"])
def test_a_new_plan_is_not_there_until_it_is_whole_and_can_be_made_again(left, step):
    assert left["new_plan"][step] == ["none"]


def test_a_plan_under_another_name_is_whole_or_not_there_and_the_first_is_kept(left):
    seen = [state for states in left["another_name"].values() for state in states]
    assert set(seen) == {"none", "old", "new"}
