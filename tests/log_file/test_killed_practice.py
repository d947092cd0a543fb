"""A practice whose program is killed at random moments: nothing typed is lost."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from killed_practice import ORDER, RUNS, time_s

TYPIST = Path(__file__).with_name("killed_practice.py")


def _practice(plan: Path, kills: int | str) -> dict:
    done = subprocess.run(
        [sys.executable, str(TYPIST), str(plan), str(kills)],
        check=True,
        capture_output=True,
        timeout=300,
    )
    return json.loads(done.stdout)


def _as_it_was_run(found: dict) -> None:
    assert found["lost"] == 0
    assert found["typed"]
    assert found["times"] == {
        who: [time_s(who, run) for run in range(1, RUNS + 1)] for who in ORDER
    }
    assert found["order"] == ["Tarik", "Odalys", "Wren", "Bram", "Ines", "Kit"]
    assert (found["away"], found["due"]) == ([], {})
    assert found["flags"] == [["Odalys", 5, "hit"]]


def test_killed_at_twenty_random_moments_a_practice_of_36_runs_stands_as_it_was_run(tmp_path):
    found = _practice(tmp_path / "tuesday.toml", 20)
    _as_it_was_run(found)
    assert (found["kills"], found["unfinished"]) == (20, 20)
    assert found["cut"] > 0  # or no kill fell into a line


@pytest.mark.slow
def test_killed_thirty_times_it_is_the_same_wherever_the_kills_fall(tmp_path):
    for number in range(10):
        (tmp_path / str(number)).mkdir()
        _as_it_was_run(_practice(tmp_path / str(number) / "tuesday.toml", 30))


def test_killed_before_any_line_of_appending_an_entry_is_there_or_its_half_line_is_told(tmp_path):
    found = _practice(tmp_path / "tuesday.toml", "steps")
    assert found["wrong"] == 0
    assert found["kills"] > 20
    assert all(found["states"][state] > 1 for state in ("old", "cut", "new"))
