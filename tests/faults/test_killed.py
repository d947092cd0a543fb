"""Killed while saving: every file is the old one or the new one, and what was told is there."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from fault_plans import write_plan

SAVERS = Path(__file__).with_name("killed_savers.py")


def _told(*argv) -> dict:
    done = subprocess.run(
        [sys.executable, str(SAVERS), *map(str, argv)], check=True, capture_output=True, timeout=300
    )
    return json.loads(done.stdout)


FINISHED = "a save that was cut off is finished now"


@pytest.mark.slow
def test_killed_before_any_line_of_saving_the_next_reader_has_one_save_whole_and_says_so(tmp_path):
    told = _told("steps", write_plan(tmp_path))
    assert told["kills"] > 80
    # The squad is replaced before the plan, so one of the four mixtures cannot be.
    left = {"old old left", "old new left", "new new left"}
    assert set(told["killed"]) == left | {"old old", "new new"}
    # Nothing is said where nothing was begun, or where all was over.
    assert set(told["settled"]) == {"old old: ", f"new new: {FINISHED}", "new new: "}


@pytest.mark.slow
def test_killed_before_any_line_of_finishing_a_save_the_next_reader_finishes_it(tmp_path):
    told = _told("again", write_plan(tmp_path))
    assert told["kills"] > 40
    assert set(told["killed"]) == {"old new left", "new new left", "new new"}
    assert set(told["settled"]) == {"new new"}


@pytest.mark.slow
def test_a_thousand_kills_lose_nothing_that_was_told_and_leave_nothing_half_or_mixed(tmp_path):
    told = _told("flood", write_plan(tmp_path), 1000)
    assert told["kills"] == 1000
    # how many of each depends on how busy the machine is
    assert min(told["told"], told["finished"]) > 20
    assert [told[what] for what in ("lost", "half", "mixed", "left")] == [0, 0, 0, 0]
