"""Cases are the same everywhere, and new ones only in a search."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DRAWING = """
import pytest
from hypothesis import given, settings, strategies as st

@pytest.mark.parametrize("by", [pytest.param(1, marks=pytest.mark.nightly), 1])
def test_draw(by):
    @settings(max_examples=20)
    @given(st.integers(0, 10**12))
    def draw(number):
        print("drawn", number)

    draw()
"""


def drawn(folder, *options):
    """Return the numbers that a run of the tests draws, with the conftest of these."""
    (folder / "conftest.py").write_bytes((ROOT / "tests" / "conftest.py").read_bytes())
    (folder / "test_drawing.py").write_text(DRAWING, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-s", "-c", ROOT / "pyproject.toml", *options, folder],
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
    )
    return [line for line in done.stdout.splitlines() if "drawn" in line]


def test_two_runs_have_the_same_cases(tmp_path, capsys):
    """One in a process of its own, one in this."""
    there = drawn(tmp_path)
    assert len(there) == 20
    spec = importlib.util.spec_from_file_location("test_drawing", tmp_path / "test_drawing.py")
    here = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(here)
    here.test_draw(1)
    assert capsys.readouterr().out.splitlines() == there


@pytest.mark.slow
def test_only_a_search_has_new_cases_unless_its_seed_is_fixed(tmp_path):
    search = drawn(tmp_path, "-m", "nightly")
    assert len(search) == 20
    assert search != drawn(tmp_path, "-m", "nightly")
    seeded = [drawn(tmp_path, "-m", "nightly", "--hypothesis-seed=1") for _ in range(2)]
    assert seeded[0] == seeded[1] != search
