"""Try many files within a bounded time: `python -m tests.hostile --seconds 600`.

Files go by their numbers, so that one that did harm is made again by its number. Every third goes
to JSON and to every sheet of paper, the others to JSON. A quarter of them can be read: of 300,000
some 75,000 reach JSON and 25,000 paper.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import sys
import tempfile
import time
import traceback
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from functools import reduce
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from hostile_files import files_of, used
from test_hostile_paper import LONGEST_S, read, told_in_every_way

PAPER_EVERY = 3
AT_ONCE = 150
"""Files a process is given at once: a few seconds of work, so that none waits long at the end."""


@dataclass(slots=True, kw_only=True)
class Seen:
    """What became of files."""

    counts: Counter[str] = field(default_factory=Counter)
    harmed: dict[int, str] = field(default_factory=dict)
    longest: tuple[float, int] = (0.0, 0)
    """CPU time [s] of the file that took longest, and its number."""
    largest_mb: float = 0.0

    def __add__(self, other: Seen) -> Seen:
        """Return both together."""
        return Seen(
            counts=self.counts + other.counts,
            harmed=self.harmed | other.harmed,
            longest=max(self.longest, other.longest),
            largest_mb=max(self.largest_mb, other.largest_mb),
        )


def _to_paper(folder: Path, number: int) -> str:
    plan = read(folder, number)
    if plan is None:
        return "refused"
    told_in_every_way(plan, random.Random(number))  # noqa: S311 - equal choices
    return "on paper"


def _use(numbers: range, until: float) -> Seen:
    """Use files until the numbers or the time are at an end."""
    seen = Seen()
    with tempfile.TemporaryDirectory() as folder:
        for number in numbers:
            if time.time() > until:
                break
            began = time.process_time()
            try:
                paper = number % PAPER_EVERY == 0
                told = _to_paper(Path(folder), number) if paper else used(files_of(number))
                took_s = time.process_time() - began
                assert took_s < LONGEST_S, f"it took {took_s:.1f} s"
            except Exception:  # noqa: BLE001 - any error at all is what is looked for
                seen.harmed[number] = traceback.format_exc()
            else:
                seen.counts[told] += 1
                seen.longest = max(seen.longest, (took_s, number))
    seen.largest_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return seen


def _told(seen: Seen) -> Seen:
    """Print what did harm as soon as it is known."""
    for number, why in seen.harmed.items():
        sys.stdout.write(f"file {number}:\n{why}\n")
        sys.stdout.flush()
    return seen


def main() -> int:
    """Use files until the numbers or the time are at an end; 1 when one did harm."""
    it = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    it.add_argument("--first", type=int, default=0, help="number of the first file")
    it.add_argument("--count", type=int, default=300_000, help="how many files at most")
    it.add_argument("--seconds", type=float, default=600.0, help="how long at most")
    it.add_argument("--processes", type=int, default=os.cpu_count(), help="how many at once")
    asked = it.parse_args()
    began = time.time()
    end = asked.first + asked.count
    with ProcessPoolExecutor(asked.processes) as pool:
        parts = [
            pool.submit(_use, range(first, min(first + AT_ONCE, end)), began + asked.seconds)
            for first in range(asked.first, end, AT_ONCE)
        ]
        seen = reduce(Seen.__add__, (_told(part.result()) for part in as_completed(parts)))
    took_s = time.time() - began
    done = seen.counts.total() + len(seen.harmed)
    told = ", ".join(f"{count} {what}" for what, count in sorted(seen.counts.items()))
    sys.stdout.write(
        f"{done} files from {asked.first} in {took_s:.0f} s, {done / max(took_s, 1e-9):.0f} a "
        f"second, {seen.largest_mb:.0f} MB, the longest {seen.longest[1]} in "
        f"{seen.longest[0]:.1f} s: {told}; {len(seen.harmed)} did harm "
        f"{sorted(seen.harmed) or ''}\n"
    )
    return 1 if seen.harmed else 0


if __name__ == "__main__":
    sys.exit(main())
