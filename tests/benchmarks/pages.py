"""Pages a second: a 30-athlete PDF against a bare canvas that replays the same operations.

    python tests/benchmarks/pages.py         the comparison: ratio with quartiles, and A/A

Side A makes the pages of a solved plan and draws them. Side B makes the same calls on a canvas,
recorded before, and nothing else; its page streams are compared with those of A, byte by byte.
Both run in this process in turn, pinned to one CPU, CPU time by the system's own accounting.
"""

from __future__ import annotations

import io
import os
import re
import resource
import statistics
import sys
import zlib
from dataclasses import replace
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1] / "sheets"), str(HERE.parents[2])]

from golden_plans import PLANS, WOMAN  # noqa: E402 - the path above comes first

from wicketlay.sheets import draw, make_pages  # noqa: E402
from wicketlay.solve import solve  # noqa: E402

ATHLETES = 30
KINDS = ("tape", "coach", "card")
PAIRS = 25
WARM_UPS = 2
AIM = 0.6
NOISY = (0.97, 1.03)


class _Recorded:
    """A canvas, or a path of one, that writes down every call with its arguments."""

    def __init__(self, real, log, name="canvas"):
        self._real, self._log, self._name = real, log, name

    def __getattr__(self, method):
        def call(*args, **kwargs):
            plain = [a._real if isinstance(a, _Recorded) else a for a in args]
            made = getattr(self._real, method)(*plain, **kwargs)
            shown = ["path" if isinstance(a, _Recorded) else a for a in args]
            self._log.append((self._name, method, shown, kwargs))
            return _Recorded(made, self._log, "path") if method == "beginPath" else made

        return call


def _record(what) -> tuple[list, bytes]:
    log: list = []
    made: dict = {}

    def canvas(stream, **options):
        made.update(options)
        return _Recorded(Canvas(stream, **options), log)

    stream = io.BytesIO()
    real, draw.Canvas = draw.Canvas, canvas
    try:
        draw.write_pdf(make_pages(what, only=KINDS), stream)
    finally:
        draw.Canvas = real
    return [("canvas", "__init__", [], made), *log], stream.getvalue()


def replay(log) -> bytes:
    """Side B: the recorded calls and nothing else."""
    stream = io.BytesIO()
    canvas = Canvas(stream, **log[0][3])
    path = None
    for name, method, args, kwargs in log[1:]:
        if name == "path":
            getattr(path, method)(*args, **kwargs)
        elif method == "beginPath":
            path = canvas.beginPath()
        elif method == "drawPath":
            canvas.drawPath(path, *args[1:], **kwargs)
        else:
            getattr(canvas, method)(*args, **kwargs)
    return stream.getvalue()


def pages(what) -> bytes:
    """Side A: the program's own pages."""
    stream = io.BytesIO()
    draw.write_pdf(make_pages(what, only=KINDS), stream)
    return stream.getvalue()


def _streams(pdf: bytes) -> list[bytes]:
    found = re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    return [zlib.decompress(each) if each[:1] == b"x" else each for each in found]


def _cpu_s() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _took(side, what) -> float:
    began = _cpu_s()
    side(what)
    return _cpu_s() - began


def _ratios(sides) -> list[float]:
    """Return how many times faster the first side is than the second, pair by pair."""
    found = []
    for number in range(WARM_UPS + PAIRS):
        times = [_took(*side) for side in sides]
        if number >= WARM_UPS:
            found.append(times[1] / times[0])
    return found


def main() -> None:
    """Print the ratio of pages a second, A against B, and the A/A run."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    athletes = tuple(replace(WOMAN, name=f"Runner {i}", observations=()) for i in range(ATHLETES))
    what = solve(replace(PLANS["wickets"], athletes=athletes))
    log, recorded = _record(what)
    assert _streams(replay(log)) == _streams(pages(what)) == _streams(recorded)
    same = _ratios([(pages, what), (pages, what)])
    if not NOISY[0] <= statistics.median(same) <= NOISY[1]:
        sys.stdout.write(f"noisy, no figure: A/A {statistics.median(same):.3f}\n")
        return
    low, middle, high = statistics.quantiles(_ratios([(pages, what), (replay, log)]), n=4)
    verdict = "reached" if middle >= AIM else "NOT reached"
    sys.stdout.write(
        f"pages a second, A against B: {middle:.3f} ({low:.3f} to {high:.3f}); aim {AIM} "
        f"{verdict}; A/A {statistics.median(same):.3f}\n"
    )


if __name__ == "__main__":
    main()
