"""A day's work on a system with less than ours: run as a script in a folder with a plan.

    python bare_system.py LOCKS

Takes away what only POSIX has, and refuses what other systems refuse: renaming and removing files
that are open, and opening folders. LOCKS is "msvcrt" for locks of that kind, "none" for none.
Writes one JSON object.
"""

from __future__ import annotations

import asyncio
import contextlib
import dataclasses
import errno
import fcntl
import io
import json
import os
import signal
import sys
import types
from datetime import date
from pathlib import Path

import platformdirs  # these two have a part of their own for each system
import textual.app

MODULES = ("fcntl", "grp", "pwd", "resource")
FLAGS = ("O_CLOEXEC", "O_DIRECTORY", "O_NOFOLLOW", "O_NONBLOCK", "O_SYNC")
CALLS = ("fchmod", "fchown", "fork", "getuid", "geteuid", "kill", "mkfifo", "sysconf")
SIGNALS = ("SIGALRM", "SIGHUP", "SIGKILL", "SIGPIPE", "SIGUSR1", "SIGWINCH", "setitimer")
ROOT = str(Path(__file__).parents[2])


def locking(handle: int, _mode: int, _count: int) -> None:
    """Lock as msvcrt does, by the means there are."""
    try:
        flock(handle, EXCLUSIVE)
    except OSError:
        raise OSError(errno.EACCES, os.strerror(errno.EACCES)) from None


flock, EXCLUSIVE = fcntl.flock, fcntl.LOCK_EX | fcntl.LOCK_NB


def is_open(path) -> bool:
    """Return whether this process has a file open."""
    at = os.path.realpath(path)
    with contextlib.suppress(OSError):
        for each in os.listdir("/proc/self/fd"):  # noqa: PTH208
            with contextlib.suppress(OSError):
                if os.readlink(f"/proc/self/fd/{each}") == at:  # noqa: PTH115
                    return True
    return False


def refusing(real, *places: int):
    """Return a call that refuses files that are open, as it gets them in these places."""

    def call(*given, **more):
        if any(is_open(given[place]) for place in places):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return real(*given, **more)

    return call


def no_folders(path, flags, *more, **named):
    """Open a file; folders cannot be."""
    if isinstance(path, (str, Path)) and os.path.isdir(path):  # noqa: PTH112
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    return really_open(path, flags, *more, **named)


really_open = os.open


def take_away(locks: str) -> None:
    """Make this process one on another system."""
    assert platformdirs
    assert textual.app
    for name in MODULES:
        sys.modules[name] = None
    if locks == "msvcrt":
        sys.modules["msvcrt"] = types.SimpleNamespace(locking=locking, LK_NBLCK=2)
    for module, names in ((os, (*FLAGS, *CALLS)), (signal, SIGNALS)):
        for name in names:
            vars(module).pop(name, None)
    os.open = no_folders
    os.replace, os.rename = refusing(os.replace, 0, 1), refusing(os.rename, 0, 1)
    os.unlink = os.remove = refusing(os.unlink, 0)

    def unheard(*_given):
        raise NotImplementedError

    asyncio.SelectorEventLoop.add_signal_handler = unheard


def commands() -> dict[str, int]:
    """Run the commands; return their exit codes."""
    from wicketlay.cli import main

    review = ["review", "plan.toml", "--athlete", "Wren", "--time", "2.3s", "--accept"]
    codes = {}
    Path("paper.txt").write_text("Wren 2.30 2.31\n", "utf-8")
    for argv in (
        ["check", "plan.toml"],
        ["marks", "plan.toml"],
        ["sheet", "plan.toml"],
        ["sheet", "plan.toml"],
        [*review, "--date", "2026-03-04"],
        ["log", "plan.toml", "--add", "paper.txt"],
        ["new", "mine.toml"],
    ):
        with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO(), encoding="utf-8")):
            codes[argv[0]] = main(argv)
    Path("paper.txt").unlink()
    return codes


def logs() -> list[object]:
    """Log two runs, with half a line between, and while somebody else is at it."""
    from wicketlay.errors import CannotWriteError
    from wicketlay.files import locks
    from wicketlay.log_file.log import open_log
    from wicketlay.session.log import Entry

    run = Entry(day=date(2026, 3, 4), athlete="Wren", run=3)
    log = open_log("plan.toml").add(run)
    with Path("plan.log.csv").open("ab") as file:
        file.write(b"4,,2026-")
    log = log.add(run)
    refused = ""
    with locks.locked(Path("plan.log.csv").resolve()):
        try:
            log.add(run)
        except CannotWriteError as error:
            refused = str(error).partition(": ")[2]
    return [[each.number for each in open_log("plan.toml").checked().entries], refused]


def saves() -> dict[str, object]:
    """Save two files, with and without somebody else at it, and keep unsaved work."""
    from wicketlay.errors import CannotWriteError
    from wicketlay.files import locks
    from wicketlay.plan_file import find_recovery, load, open_plan, write_recovery

    locks.PATIENCE_S = 0.05
    opened = open_plan("plan.toml")
    first, *rest = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.75), *rest)
    wanted = dataclasses.replace(opened.plan, title="Other", athletes=athletes)
    write_recovery(opened, wanted)
    told = {"kept": find_recovery("plan.toml").plan == wanted, "refused": ""}
    with locks.locked(Path("plan.toml").resolve()) as sure:
        try:
            opened.save(wanted)
        except CannotWriteError as error:
            told["refused"] = str(error).partition(": ")[2]
    opened = opened if told["refused"] else open_plan("plan.toml")
    write_recovery(opened.save(wanted), wanted)
    one, two = locks.Sign(Path("sign")), locks.Sign(Path("sign"))
    told |= {"saved": load("plan.toml") == wanted, "sure": sure, "signs": [one.held, two.held]}
    one.release()
    two.release()
    Path("sign").unlink()
    return told


async def bench() -> dict[str, object]:
    """Change the plan in the workbench, time a run, save, and leave."""
    from textual.events import Key

    from tui.app import Workbench
    from tui.bench.bench import first_bench
    from wicketlay.plan_file import load, typed_in

    app = Workbench(first_bench(Path("plan.toml")), today=date(2026, 3, 4))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        for each in ("g", "ctrl+s", "t", "2", ".", "3", "enter", "ctrl+q"):
            name = {".": "full_stop"}.get(each, each)
            app.post_message(Key(name, each if len(each) == 1 else None))
            await pilot.pause()
            await pilot.pause()
    saved = load("plan.toml") == app.bench.plan and bool(app.bench.plan.adjustments)
    return {"saved": saved, "times": typed_in("plan.toml")["times"]["of"]}


if __name__ == "__main__":
    take_away(sys.argv[1])
    sys.path.insert(0, ROOT)
    result = {
        "commands": commands(),
        "saves": saves(),
        "logs": logs(),
        "bench": asyncio.run(bench()),
    }
    result["left"] = sorted(os.listdir("."))  # noqa: PTH208
    json.dump(result, sys.stdout)
