"""A small plan with a squad of its own, for everything that can go wrong with files."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path
from unittest import mock

import pytest

from wicketlay.errors import CannotWriteError

ROOT = Path(__file__).parents[2]

PLAN = """\
# the plan
format = 1
kind = "plan"
title = "Number -1"
squad = "squad.toml"

[drill]
kind = "wicket-run"
speed = "95 %"   # of top
wickets = 10
"""
SQUAD = """\
format = 1
kind = "squad"

[[athlete]]
name = "Wren"
height = "1.66 m"
top_speed = "7.9 m/s"

[[athlete]]
name = "Bram"
height = "179 cm"
top_speed = "9.1 m/s"
"""


def write_plan(folder: Path) -> Path:
    """Write plan and squad into a folder; return the plan."""
    (folder / "squad.toml").write_text(SQUAD, encoding="utf-8")
    path = folder / "plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def save_half(opened, wanted) -> None:
    """Save, and leave the files as a kill between the squad and the plan does."""
    real = Path.replace

    def only_the_squad(path, target):
        if Path(target).name == "plan.toml":
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(path, target)

    with (
        mock.patch.object(Path, "replace", only_the_squad),
        pytest.raises(CannotWriteError, match="input/output error; save again to finish it"),
    ):
        opened.save(wanted)


def run(*argv: str, **more) -> subprocess.CompletedProcess[bytes]:
    """Run the program as its users do."""
    more = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "timeout": 60} | more
    return subprocess.run([sys.executable, "-m", "wicketlay", *argv], check=False, **more)
