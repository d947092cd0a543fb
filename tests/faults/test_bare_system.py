"""A system without what only POSIX has: commands, saving and the workbench do their work there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from fault_plans import write_plan

BARE = Path(__file__).with_name("bare_system.py")
BUSY = "another program is saving it; nothing was written: save again"


@pytest.mark.parametrize("locks", ["msvcrt", "none"])
def test_a_days_work_without_what_only_posix_has(tmp_path, locks):
    folder = tmp_path / "plans"
    folder.mkdir()
    write_plan(folder)
    done = subprocess.run(
        [sys.executable, str(BARE), locks],
        cwd=folder,
        check=False,
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "XDG_STATE_HOME": str(tmp_path / "state")},
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    sure = locks == "msvcrt"
    assert told["commands"] == dict.fromkeys(("check", "marks", "sheet", "review", "log", "new"), 0)
    assert told["saves"] == {
        "kept": True,
        "refused": BUSY if sure else "",
        "saved": True,
        "sure": sure,
        # Without locks a second workbench is not seen: better two than none.
        "signs": [True, not sure],
    }
    # the half line keeps a number; without locks nobody is seen at it
    assert told["logs"] == ([[1, 2, 3, 5], BUSY] if sure else [[1, 2, 3, 5, 6], ""])
    assert told["bench"] == {"saved": True, "times": {"Wren": [2.3]}}
    whole = ["mine.toml", "plan.log.csv", "plan.pdf", "plan.toml", "squad.toml"]
    assert told["left"] == [".plan.toml.recover", *whole]  # the times are kept for the next time
