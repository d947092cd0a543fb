"""The README says what the program does: its commands are run and their output compared."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"```console\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)
BLOCKS = list(BLOCK.finditer(README.read_text("utf-8")))
TWO_COMMANDS = [
    "python3 -m venv .venv && .venv/bin/pip install -q . && "
    ".venv/bin/wicketlay sheet layouts/tuesday-wickets.toml -o tuesday-wickets.pdf",
    "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/python -m pytest",
]


def run_in(folder: Path, command: str) -> str:
    """Run a command of the README in a copy of the layouts; `wicketlay` is this interpreter's."""
    shutil.copytree(ROOT / "layouts", folder / "layouts")
    (folder / "bin").mkdir()
    script = folder / "bin" / "wicketlay"
    script.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m wicketlay "$@"\n', "utf-8")
    script.chmod(0o755)
    done = subprocess.run(
        ["sh", "-c", command],
        cwd=folder,
        env={**os.environ, "PATH": f"{folder / 'bin'}:{os.environ['PATH']}"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.stdout


def test_the_first_two_blocks_are_the_two_commands():
    blocks = re.findall(r"```sh\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert [block.strip() for block in blocks[:2]] == TWO_COMMANDS


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block["command"][:40])
def test_a_command_prints_what_the_readme_shows(block, tmp_path):
    printed = run_in(tmp_path, block["command"])
    if os.environ.get("WICKETLAY_REWRITE"):
        text = README.read_text("utf-8")
        old = f"```console\n$ {block['command']}\n{block['output']}```"
        new = f"```console\n$ {block['command']}\n{printed}```"
        README.write_text(text.replace(old, new), "utf-8")
        return
    assert printed == block["output"]


def test_every_command_is_named():
    from wicketlay.cli.arguments import _COMMANDS

    text = README.read_text("utf-8")
    assert [name for name in _COMMANDS if f"`{name}`" not in text] == []


def test_every_key_of_a_plan_is_listed():
    from wicketlay.plan_file import athletes, drills, grounds, parts
    from wicketlay.plan_file.records import Record

    text = README.read_text("utf-8")
    records = [
        value
        for module in (athletes, drills, grounds, parts)
        for value in vars(module).values()
        if isinstance(value, Record) and value is not parts.JUDGEMENT
    ]
    keys = {entry.key for record in records for entry in record.entries} - {"run"}
    assert [key for key in sorted(keys) if f"`{key}`" not in text] == []
