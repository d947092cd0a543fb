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


def test_killed_before_any_line_of_saving_every_file_is_old_or_new(tmp_path):
    told = _told("steps", write_plan(tmp_path))
    assert told["kills"] > 50
    # The squad is replaced before the plan, so the third of four mixtures cannot be.
    assert set(told["seen"]) == {"old old", "old new", "new new"}
    assert told["last"] == "new new"


@pytest.mark.slow
def test_a_thousand_kills_lose_nothing_that_was_told_and_leave_nothing_half(tmp_path):
    told = _told("flood", write_plan(tmp_path), 1000)
    assert told["kills"] == 1000
    assert told["told"] > 1000
    assert (told["lost"], told["half"]) == (0, 0)
