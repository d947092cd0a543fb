"""All comparisons, one after the other, and their table.

python -m tests.benchmarks                    everything; about twenty minutes
python -m tests.benchmarks sheet pages        some of them
python -m tests.benchmarks --pairs 7          quicker and less sure
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parent), str(Path(__file__).resolve().parents[2])]

import harness  # noqa: E402 - the path above comes first

harness.settle_down()  # before any library starts its threads

import memory  # noqa: E402
import pages  # noqa: E402
import placing  # noqa: E402
import repaint  # noqa: E402
import sheet  # noqa: E402
import solving  # noqa: E402
import stations  # noqa: E402


def _repaint() -> list[harness.Row]:
    rows = []
    for where, asked in (("", ()), (" at the track", (repaint.PRACTICE_KEYS, "7 "))):
        times, most = repaint.measure(None, *asked)
        median, late, reached = repaint.summary(times, most)
        rows.append(
            harness.Row(
                what=f"key to repaint{where}",
                sides=f"{repaint.ATHLETES} athletes, {len(times)} presses",
                aim=f"median < {1000 * repaint.MEDIAN_S:.0f}, 95 % < {1000 * repaint.P95_S:.0f} "
                "ms; 4 kB an arrow, 10 a notch",
                figure=f"{1000 * median:.0f} and {1000 * late:.0f} ms; "
                f"{max(most.values()) / 1000:.1f} kB",
                verdict="reached" if reached else "NOT reached",
            )
        )
    return rows


def main() -> int:
    """Measure what was asked for and print the table; 1 when an aim was measured and missed."""
    known = {
        "sheet": sheet.rows,
        "solving": solving.rows,
        "stations": stations.rows,
        "placing": placing.rows,
        "pages": pages.rows,
        "repaint": lambda _pairs: _repaint(),
        "memory": lambda _pairs: memory.rows(),
    }
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("which", nargs="*", metavar="NAME", help=f"some of {', '.join(known)}")
    parser.add_argument("--pairs", type=int, default=harness.PAIRS)
    asked = parser.parse_args()
    unknown = [name for name in asked.which if name not in known]
    if unknown:
        parser.error(f"there is no benchmark {unknown[0]!r}; there are {', '.join(known)}")
    found: list[harness.Row] = []
    try:
        for name in asked.which or known:
            sys.stderr.write(f"{name} ...\n")
            found += known[name](asked.pairs)
    finally:
        # What was measured before one of them failed took minutes, too.
        harness.show(found)
    return 1 if any(row.verdict.startswith("NOT") for row in found) else 0


if __name__ == "__main__":
    sys.exit(main())
