"""Many athletes: progress is told, memory stays flat, and a stop leaves no part of a file."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from sheet_plans import solved, with_plan

from wicketlay.cli import commands
from wicketlay.files.whole import whole_file
from wicketlay.sheets import make_pages, write_pdf

MEASURE = """
import io, json, sys
from pathlib import Path
from dataclasses import replace
sys.path.insert(0, {here!r})
from sheet_plans import solved, with_plan
from wicketlay.sheets import make_pages, write_pdf
def peak():
    # the process's own; what the system accounts also counts the parent it was forked from
    status = Path("/proc/self/status").read_text()
    return int(next(line.split()[1] for line in status.splitlines() if "VmHWM" in line))
base = solved("fixed-cadence")
like = base.plan.athletes[0]
athletes = tuple(replace(like, name=f"Runner {{i}}") for i in range({count}))
what = with_plan(base, athletes=athletes)
before = peak()
with open({path!r}, "wb") as stream:
    pages = write_pdf(make_pages(what, only=("tape", "coach", "card", "ground")), stream)
after = peak()
print(json.dumps({{"pages": pages, "before_kb": before, "peak_kb": after}}))
"""


def _measured(count: int) -> dict[str, int]:
    with tempfile.TemporaryDirectory() as folder:
        code = MEASURE.format(
            here=str(Path(__file__).parent), count=count, path=str(Path(folder) / "big.pdf")
        )
        done = subprocess.run(
            [sys.executable, "-c", code],
            check=True,
            capture_output=True,
            text=True,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
    told: dict[str, int] = json.loads(done.stdout)
    return told


@pytest.mark.slow
def test_three_thousand_pages_take_less_than_300_mb():
    told = _measured(1000)
    assert told["pages"] >= 3000
    assert told["peak_kb"] < 300 * 1024


def test_sheets_are_made_one_at_a_time():
    base = solved("fixed-cadence")
    like = base.plan.athletes[0]
    what = with_plan(base, athletes=tuple(replace(like, name=f"R {i}") for i in range(8)))
    document = make_pages(what, only=("tape",))
    sheets = iter(document)
    assert next(sheets).kind == "tape"
    told = []
    write_pdf(document, io.BytesIO(), progress=lambda done, of: told.append((done, of)))
    assert told == [(i, 8) for i in range(1, 9)]


def test_progress_on_a_terminal_counts_sheets(monkeypatch):
    shown = io.StringIO()
    monkeypatch.setattr(shown, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stderr", shown)
    show = commands._progress()
    show(299, 300)
    show(300, 300)
    assert shown.getvalue() == "\rsheet 299 of 300\rsheet 300 of 300\n"


def test_a_small_job_shows_no_progress(monkeypatch):
    shown = io.StringIO()
    monkeypatch.setattr(shown, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stderr", shown)
    commands._progress()(1, 3)
    assert shown.getvalue() == ""


def test_interrupting_leaves_the_old_file_and_no_part_of_a_new_one(tmp_path):
    target = tmp_path / "plan.pdf"
    target.write_bytes(b"%PDF old")
    document = make_pages(solved("tuesday-wickets"), only=("tape",))

    def interrupt(done, _of):
        if done == 3:
            raise KeyboardInterrupt

    with (
        pytest.raises(KeyboardInterrupt),
        whole_file(target, replaces=b"%PDF") as stream,
    ):
        write_pdf(document, stream, progress=interrupt)
    assert target.read_bytes() == b"%PDF old"
    assert [path.name for path in tmp_path.iterdir()] == ["plan.pdf"]
