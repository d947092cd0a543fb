"""A practice of six athletes, typed into its log by a program that is killed again and again.

    python killed_practice.py PLAN KILLS     dies at random moments
    python killed_practice.py PLAN steps     dies before every line of appending, one after another

Run as a script, since it forks. What is written goes to the disk in pieces of a few bytes, so that
many a kill falls into the middle of a line. Writes one JSON object.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import select
import signal
import sys
import time
from collections import Counter
from pathlib import Path

from wicketlay.files import appending
from wicketlay.log_file.log import LogFile, open_log
from wicketlay.running.facts import Timing
from wicketlay.session.log import (
    Entry,
    Flag,
    What,
    correction,
    practice_of,
    withdrawn,
)

DAY = dt.date(2026, 3, 3)
ORDER = ("Tarik", "Odalys", "Bram", "Wren", "Ines", "Kit")
RUNS = 6


def time_s(athlete: str, run: int) -> float:
    """Return what the watch says of a run."""
    return round(2.2 + 0.1 * ORDER.index(athlete) + 0.01 * run, 2)


def _the(log: LogFile, athlete: str, run: int) -> Entry:
    runs = practice_of(log.entries, DAY, ORDER).runs[athlete]
    return next(each for each in runs if each.run == run)


def keys() -> list:
    """Return what is typed, key by key: from the log so far to the entry of each key."""
    typed = [lambda _: Entry(day=DAY, what=What.BEGUN, clock=dt.time(17, 0))]

    def tell(**values):
        typed.append(lambda _: Entry(day=DAY, **values))

    def off(who, run, at_s):
        tell(athlete=who, run=run, at_s=at_s, lane=3, wave=1, stage=1)

    def clocked(who, run, says_s, flag=None):
        typed.append(
            lambda log: correction(
                _the(log, who, run), times_s=(says_s,), timing=Timing.HAND, flag=flag
            )
        )

    tell(what=What.ABSENT, athlete="Ines")
    tell(what=What.LATE, athlete="Kit", due_s=600)
    for run in range(1, RUNS + 1):
        for place, who in enumerate(ORDER):
            if (run, who) == (2, "Ines"):
                tell(what=What.HERE, athlete="Ines")  # she came after all
            if (run, who) == (2, "Kit"):
                tell(what=What.HERE, athlete="Kit")
            if (run, who) == (3, "Bram"):
                tell(what=What.SWAP, athlete="Bram", other="Wren")
            off(who, run, 180 * run + 25 * place)
            slips = {(1, "Wren"): 25.0, (4, "Tarik"): 1.24}
            if (run, who) in slips:
                clocked(who, run, slips[run, who])
            clocked(who, run, time_s(who, run), Flag.HIT if (run, who) == (5, "Odalys") else None)
    off("Tarik", 7, 1400)  # nobody ran: taken back
    typed.append(lambda log: withdrawn(_the(log, "Tarik", 7)))
    return typed


def in_pieces(handle: int, data, write=os.write) -> int:
    """Write as a slow disk might: a few bytes at a time."""
    time.sleep(0.0001)
    return write(handle, data[:9])


def steps(plan: str) -> dict:
    """Kill whoever adds a second entry before each line of appending; tell what was left."""
    first, second = (keys()[number](None) for number in (0, 1))
    path = appending.log_of(Path(plan))
    whole = {len(open_log(plan).add(first).entries): path.read_bytes()}[1]
    found = {"kills": 0, "states": Counter(), "wrong": 0}
    code = 1
    while code:
        path.write_bytes(whole)
        child = os.fork()
        if child == 0:
            os.write = in_pieces
            log = open_log(plan)
            sys.settrace(_die_at(found["kills"]))
            log.add(second)
            os._exit(0)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        found["kills"] += code != 0
        log = open_log(plan).checked()
        found["states"]["new" if len(log.entries) == 2 else "cut" if log.told else "old"] += 1
        again = log.add(second)
        found["wrong"] += open_log(plan).checked().entries != again.entries
        found["wrong"] += [each.what for each in again.entries[:2]] != [first.what, second.what]
    return found


def _die_at(line: int):
    """Return a trace function that kills this process before the so-manieth line of appending."""
    left = line

    def trace(frame, event, _argument):
        nonlocal left
        if frame.f_code.co_filename != appending.__file__:
            return None
        if event == "line":
            left -= 1
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    return trace


def _type_on(plan: str, told: int) -> None:
    """Go on where the log stands, telling each entry that is written; never returns."""
    write = os.write

    os.write = in_pieces
    log = open_log(plan)
    typed = keys()
    while len(log.entries) < len(typed):
        log = log.add(typed[len(log.entries)](log))
        write(told, f"{len(log.entries)}\n".encode())
    os._exit(0)


def _killed(plan: str, after_s: float | None) -> int:
    """Type on in a process that is killed after some time; return how many entries it told."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        _type_on(plan, writes)
    os.close(writes)
    if after_s is not None:
        select.select([reads], [], [], 5.0)  # it has begun
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    said = b""
    while block := os.read(reads, 65536):
        said += block
    os.close(reads)
    whole = said.rpartition(b"\n")[0]
    return int(whole.rpartition(b"\n")[2] or 0)


def main(plan: str, kills: int) -> dict:
    """Return what became of the practice."""
    seeded = random.Random(7)  # noqa: S311 - equal moments, not secret ones
    found = {"kills": 0, "lost": 0, "unfinished": 0}
    for _ in range(kills):
        told = _killed(plan, seeded.uniform(0.0, 0.008))
        there = len(open_log(plan).checked().entries)
        found["kills"] += 1
        # One more than was told may be there: it was written and killed before it could tell.
        found["lost"] += told != 0 and there not in {told, told + 1}
        found["unfinished"] += there < len(keys())
    _killed(plan, None)
    log = open_log(plan)
    practice = practice_of(log.checked().entries, DAY, ORDER)
    return found | {
        "typed": len(log.entries) == len(keys()),
        "cut": len(log.told),
        "order": practice.order,
        "away": sorted(practice.away),
        "due": dict(practice.due_s),
        "times": {who: [each.time_s for each in runs] for who, runs in practice.runs.items()},
        "flags": [[e.athlete, e.run, e.flag] for e in practice.entries if e.flag is not None],
    }


if __name__ == "__main__":
    how = sys.argv[2]
    json.dump(steps(sys.argv[1]) if how == "steps" else main(sys.argv[1], int(how)), sys.stdout)
