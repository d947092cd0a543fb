"""Savers that are killed: run as a script, they fork, save, die, and tell what was left.

    python killed_savers.py steps PLAN            dies before every line of the saving code in turn
    python killed_savers.py again PLAN            dies half-way, then before every line of finishing
    python killed_savers.py flood PLAN KILLS      dies at random moments of saving without a pause

Writes one JSON object. A process of its own, since it forks as often as it does.
"""

from __future__ import annotations

import dataclasses
import json
import os
import random
import select
import signal
import sys
import time
from collections import Counter
from pathlib import Path

from wicketlay.files import saving, sidecar, whole
from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file import open_plan

SAVING = {each.__file__ for each in (saving, sidecar, whole)}


def changed(plan, number: int):
    """Return the plan with its title and one athlete's height told by a number."""
    first, *rest = plan.athletes
    height_m = round(1.50 + (number % 50) / 100, 2)
    athletes = (dataclasses.replace(first, height_m=height_m), *rest)
    return dataclasses.replace(plan, title=f"Number {number}", athletes=athletes)


def _die_at(line: int):
    """Return a trace function that kills this process before the so-manieth line of saving."""
    left = line

    def trace(frame, event, _argument):
        nonlocal left
        if frame.f_code.co_filename not in SAVING:
            return None
        if event == "line":
            left -= 1
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    return trace


class Pair:
    """A plan and its squad, before and after a save of both."""

    def __init__(self, path: Path) -> None:
        self.names = [path, path.with_name("squad.toml")]
        self.old = [each.read_bytes() for each in self.names]
        self.opened = open_plan(path)
        self.wanted = changed(self.opened.plan, 7)
        self.new = [self.opened.unsaved(self.wanted)[1][r].encode() for r in ("plan", "squad")]

    def reset(self) -> None:
        for each, data in zip(self.names, self.old, strict=True):
            each.write_bytes(data)

    def state(self) -> str:
        """Return what the two files are, and "left" when something lies beside them."""
        found = [each.read_bytes() for each in self.names]
        words = [
            "old" if now == was else "new" if now == becomes else "half"
            for now, was, becomes in zip(found, self.old, self.new, strict=True)
        ]
        beside = {each.name for each in self.names[0].parent.iterdir()}
        return " ".join([*words, *(["left"] if len(beside) > 2 else [])])


def _forked(work) -> int:
    """Run something in a process of its own that may die of it; return its exit code."""
    child = os.fork()
    if child == 0:
        work()
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _traced(line: int, work):
    def run() -> None:
        sys.settrace(_die_at(line))
        work()

    return run


def steps(path: Path) -> dict:
    """Kill a saver before each line that a save runs through, one after another.

    Counts the states it left, and those that the next reader made of them.
    """
    pair = Pair(path)
    killed, settled = Counter(), Counter()
    for line in range(10_000):
        pair.reset()
        code = _forked(_traced(line, lambda: pair.opened.save(pair.wanted)))
        killed[pair.state()] += 1
        read = open_plan(path)
        settled[f"{pair.state()}: {read.mended.partition(': ')[2]}"] += 1
        assert open_plan(path).mended == ""
        assert read.save(changed(read.plan, 8)).plan == changed(read.plan, 8)
        if code == 0:
            return {"kills": line, "killed": killed, "settled": settled}
    raise RuntimeError("saving never ends")


def _half_way(pair: Pair) -> None:
    """Save, and die after the first of two files was replaced."""
    replace, left = Path.replace, [3]  # the sidecar, the squad, the plan

    def dying(*given):
        left[0] -= 1
        if not left[0]:
            os._exit(9)
        return replace(*given)

    Path.replace = dying
    pair.opened.save(pair.wanted)


def again(path: Path) -> dict:
    """Kill a saver between two files, and then the reader that finishes it at each of its lines."""
    pair = Pair(path)
    killed, settled = Counter(), Counter()
    for line in range(10_000):
        pair.reset()
        assert _forked(lambda: _half_way(pair)) == 9
        code = _forked(_traced(line, lambda: open_plan(path)))
        killed[pair.state()] += 1
        open_plan(path)
        settled[pair.state()] += 1
        if code == 0:
            return {"kills": line, "killed": killed, "settled": settled}
    raise RuntimeError("reading never ends")


def flood(path: Path, kills: int) -> dict:
    """Kill a saver that saves and saves, again and again at random moments."""
    seeded = random.Random(11)  # noqa: S311 - equal moments, not secret ones
    told, counts = -1, Counter({"lost": 0, "half": 0, "mixed": 0, "left": 0})
    while counts["kills"] < kills:
        reads, writes = os.pipe()
        child = os.fork()
        if child == 0:
            opened = open_plan(path)
            number = told
            while True:
                number += 1
                opened = opened.save(changed(opened.plan, number))
                os.write(writes, f"{number}\n".encode())
        os.close(writes)
        select.select([reads], [], [], 5.0)  # it has begun
        time.sleep(seeded.uniform(0.0, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        said = b""
        while block := os.read(reads, 65536):
            said += block
        os.close(reads)
        whole = said.rpartition(b"\n")[0]
        if whole:
            told = int(whole.rsplit(b"\n", 1)[-1])
            counts["told"] += whole.count(b"\n") + 1
        counts["kills"] += 1
        try:
            read = open_plan(path)
        except PlanFileError:
            counts["half"] += 1
            continue
        # One more than was told may be there: it was saved and killed before it could tell.
        number = int(read.plan.title.removeprefix("Number "))
        counts["lost"] += number not in {told, told + 1}
        counts["mixed"] += number >= 0 and read.plan != changed(read.plan, number)
        counts["finished"] += "finished" in read.mended
        counts["left"] += any(each.name.startswith(".") for each in path.parent.iterdir())
        told = number
    return counts


if __name__ == "__main__":
    where = Path(sys.argv[2])
    works = {"steps": steps, "again": again}
    if sys.argv[1] in works:
        os.fsync = lambda _handle: None  # a killed process loses nothing it gave to the system
    result = works[sys.argv[1]](where) if sys.argv[1] in works else flood(where, int(sys.argv[3]))
    json.dump(result, sys.stdout)
