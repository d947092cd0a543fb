"""Savers that are killed: run as a script, they fork, save, die, and tell what was left.

    python killed_savers.py steps PLAN            dies before every line of the saving code in turn
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
from pathlib import Path

from wicketlay.plan_file import files, load, open_plan
from wicketlay.plan_file.problems import PlanFileError

SAVING = files.__file__
_FOLDER = Path(SAVING).parent


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
        if frame.f_code.co_filename != SAVING:
            return None
        if event == "line":
            left -= 1
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    return trace


def steps(path: Path) -> dict:
    """Kill a saver before each line of `files.py` that a save runs through, one after another."""
    names = [path, path.with_name("squad.toml")]
    old = [each.read_bytes() for each in names]
    opened = open_plan(path)
    wanted = changed(opened.plan, 7)
    new = [opened.texts_for(wanted)[role].encode() for role in ("plan", "squad")]
    seen: dict[str, int] = {}
    for line in range(10_000):
        for each, data in zip(names, old, strict=True):
            each.write_bytes(data)
        child = os.fork()
        if child == 0:
            sys.settrace(_die_at(line))
            opened.save(wanted)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        found = [each.read_bytes() for each in names]
        state = " ".join(
            "old" if now == was else "new" if now == becomes else "half"
            for now, was, becomes in zip(found, old, new, strict=True)
        )
        seen[state] = seen.get(state, 0) + 1
        # Whatever was left behind, the next one can open and save.
        saved = open_plan(path)
        assert saved.save(changed(saved.plan, 8)).plan == changed(saved.plan, 8)
        if os.waitstatus_to_exitcode(status) == 0:
            return {"kills": line, "seen": seen, "last": state}
    raise RuntimeError("saving never ends")


def flood(path: Path, kills: int) -> dict:
    """Kill a saver that saves and saves, again and again at random moments."""
    seeded = random.Random(11)  # noqa: S311 - equal moments, not secret ones
    told, counts = -1, {"kills": 0, "told": 0, "lost": 0, "half": 0}
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
        time.sleep(seeded.uniform(0.0, 0.012))
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
            title = load(path).title
        except PlanFileError:
            counts["half"] += 1
            continue
        # One more than was told may be there: it was saved and killed before it could tell.
        counts["lost"] += int(title.removeprefix("Number ")) not in {told, told + 1}
        told = int(title.removeprefix("Number "))
        for each in path.parent.glob(".*.new"):
            each.unlink()
    return counts


if __name__ == "__main__":
    where = Path(sys.argv[2])
    result = steps(where) if sys.argv[1] == "steps" else flood(where, int(sys.argv[3]))
    json.dump(result, sys.stdout)
