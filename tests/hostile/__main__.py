"""Try many files within a bounded time: `python -m tests.hostile --seconds 600`.

Files go by their numbers, so that one that did harm is made again by its number. Every fifteenth
goes to JSON and to every sheet of paper, the others to JSON.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import tempfile
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from hostile_files import files_of, used
from test_hostile_paper import read, told_in_every_way

PAPER_EVERY = 15


def _to_paper(folder: Path, number: int) -> str:
    plan = read(folder, number)
    if plan is None:
        return "refused"
    told_in_every_way(plan, random.Random(number))  # noqa: S311 - equal choices
    return "on paper"


def main() -> int:
    """Use files until the numbers or the time are at an end; 1 when one did harm."""
    it = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    it.add_argument("--first", type=int, default=0, help="number of the first file")
    it.add_argument("--count", type=int, default=300_000, help="how many files at most")
    it.add_argument("--seconds", type=float, default=600.0, help="how long at most")
    asked = it.parse_args()
    seen = {"read": 0, "refused": 0, "on paper": 0}
    harmed = []
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(asked.first, asked.first + asked.count):
            if time.monotonic() - began > asked.seconds:
                break
            try:
                paper = number % PAPER_EVERY == 0
                seen[_to_paper(Path(folder), number) if paper else used(files_of(number))] += 1
            except Exception:  # noqa: BLE001 - any error at all is what is looked for
                harmed.append(number)
                sys.stdout.write(f"file {number}:\n{traceback.format_exc()}\n")
                sys.stdout.flush()
    took_s = time.monotonic() - began
    done = sum(seen.values()) + len(harmed)
    told = ", ".join(f"{count} {what}" for what, count in seen.items())
    largest_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    sys.stdout.write(
        f"{done} files from {asked.first} in {took_s:.0f} s, {done / max(took_s, 1e-9):.0f} a "
        f"second, {largest_mb:.0f} MB: {told}; {len(harmed)} did harm {harmed or ''}\n"
    )
    return 1 if harmed else 0


if __name__ == "__main__":
    sys.exit(main())
