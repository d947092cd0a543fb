"""Pages a second: a 30-athlete PDF against a bare canvas that replays the same operations.

    python tests/benchmarks/pages.py

Side A makes the pages of a solved plan and draws them. Side B makes the same calls on a canvas,
recorded before, and nothing else; its page streams are those of A, byte by byte. Both run in one
process, so that reading and solving the plan, and the recording, are not counted.
"""

from __future__ import annotations

import io
import sys
from dataclasses import replace

import harness
import recording

sys.path.insert(0, str(harness.ROOT / "tests" / "sheets"))

from golden_plans import PLANS, WOMAN

from wicketlay.sheets import make_pages, write_pdf
from wicketlay.solve import Solved, solve

ATHLETES = 30
KINDS = ("tape", "coach", "card")
AIM = 0.6


def _pages(what: Solved) -> bytes:
    """Side A: the program's own pages."""
    stream = io.BytesIO()
    write_pdf(make_pages(what, only=KINDS), stream)
    return stream.getvalue()


def _replayed(log: recording.Log) -> bytes:
    """Side B: the recorded calls and nothing else."""
    stream = io.BytesIO()
    recording.replay(log, stream)
    return stream.getvalue()


def rows(pairs: int = harness.PAIRS) -> list[harness.Row]:
    """Measure and return the line of the table."""
    athletes = tuple(replace(WOMAN, name=f"Runner {i}", observations=()) for i in range(ATHLETES))
    what = solve(replace(PLANS["wickets"], athletes=athletes))
    log = recording.record(make_pages(what, only=KINDS), io.BytesIO())
    if recording.streams(_replayed(log)) != recording.streams(_pages(what)):
        message = "B does not draw what A draws"
        raise RuntimeError(message)
    rounds = harness.in_turn(
        harness.inside(lambda: _pages(what)), harness.inside(lambda: _replayed(log)), pairs
    )
    return [
        harness.row(
            f"pages a second, {ATHLETES} athletes",
            "pages made and drawn / bare canvas replaying",
            rounds,
            AIM,
            least=True,
            ratio=lambda a, b: b / a,
        )
    ]


if __name__ == "__main__":
    harness.settle_down()
    harness.show(rows())
