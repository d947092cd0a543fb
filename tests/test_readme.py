"""The README says what the program does: its commands are run and their output compared."""

from __future__ import annotations

import ast
import itertools
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
    "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && "
    ".venv/bin/python -m pytest -n auto",
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


def test_five_lines_of_python_lead_from_athlete_to_marks():
    (block,) = re.findall(r"```python\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    imported, *lines = [line for line in block.splitlines() if line]
    assert imported.startswith("from wicketlay.api import ")
    assert len(lines) == 5
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", block], capture_output=True, text=True, check=True
    )
    marks = ast.literal_eval(done.stdout)
    assert [name for name, _ in marks] == ["start", *(f"w{i}" for i in range(1, 11))]
    gaps = [b - a for (_, a), (_, b) in itertools.pairwise(marks[1:])]
    assert all(1.5 < a <= b + 0.011 < 2.2 for a, b in itertools.pairwise(gaps))


def test_what_comes_before_the_reference_is_short():
    """At most 1,500 words, what commands print not counted."""
    text = README.read_text("utf-8").partition("<!-- keys")[0]
    assert len(re.sub(r"```.*?```", "", text, flags=re.DOTALL).split()) <= 1500


def test_every_command_is_named():
    from wicketlay.cli.arguments import _COMMANDS

    text = README.read_text("utf-8")
    assert [name for name in _COMMANDS if f"`{name}`" not in text] == []


def test_the_keys_are_told_as_the_program_declares_them():
    from wicketlay.keys.explained import as_markdown

    text = README.read_text("utf-8")
    found = re.search(
        r"<!-- keys: made from the program -->\n(.*)<!-- end of keys -->", text, re.DOTALL
    )
    wanted = as_markdown()
    if os.environ.get("WICKETLAY_REWRITE"):
        README.write_text(text.replace(found[1], wanted) if found[1] else text, "utf-8")
        return
    assert found[1] == wanted


def test_the_runway_of_the_readme_is_one_a_jumper_can_use(tmp_path):
    (runway,) = re.findall(r"```toml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    plan = (ROOT / "layouts" / "board-approach.toml").read_text("utf-8")
    plan = plan.replace('[ground]\nfile = "harbour-runway.toml"\n', runway)
    plan = plan.replace('"long-jump board"', '"board"')
    assert runway in plan
    (tmp_path / "plan.toml").write_text(plan, "utf-8")
    printed = run_in(tmp_path, "wicketlay marks plan.toml")
    assert printed.startswith("Board approach: long jump runway, wave 1: Joren\n")
    assert "stop" not in printed
