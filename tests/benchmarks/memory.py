"""The largest memory of `sheet` for 1,000 athletes: 3,000 pages and more."""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

import harness

ATHLETES = 1_000
AIM_MB = 300.0
_HEAD = """\
format = 1
kind = "plan"
title = "A thousand"

[drill]
kind = "wicket-run"
speed = "95 %"
wickets = 12

[ground]
kind = "strip"
length = "130 m"
"""


def plan_text(count: int) -> str:
    """Return a plan of so many different athletes."""
    seeded = random.Random(3)  # noqa: S311 - a benchmark needs equal numbers, not secret ones
    return _HEAD + "".join(
        f'\n[[athlete]]\nname = "Athlete {i + 1}"\nheight = "{seeded.randint(150, 195)} cm"\n'
        f'top_speed = "{seeded.uniform(6.5, 10.5):.2f} m/s"\n'
        for i in range(count)
    )


def rows() -> list[harness.Row]:
    """Measure and return the line of the table."""
    with tempfile.TemporaryDirectory() as name:
        plan, pdf = Path(name) / "plan.toml", Path(name) / "out.pdf"
        plan.write_text(plan_text(ATHLETES), encoding="utf-8")
        program = [sys.executable, "-m", "wicketlay", "sheet", str(plan)]
        cpu_s, largest_mb = harness.run([*program, "--only", "tape,coach,card", "-o", str(pdf)])
        pages = pdf.read_bytes().count(b"/Type /Page\n")
    return [
        harness.Row(
            what="memory",
            sides=f"{ATHLETES:,} athletes, {pages:,} pages ({cpu_s:.0f} s CPU)",
            aim=f"< {AIM_MB:g} MB",
            figure=f"{largest_mb:.0f} MB",
            verdict="reached" if largest_mb < AIM_MB else "NOT reached",
        )
    ]


if __name__ == "__main__":
    harness.settle_down()
    harness.show(rows())
