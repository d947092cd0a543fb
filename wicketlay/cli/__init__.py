"""The command line: data to standard output, messages to standard error, one exit code a cause."""

from __future__ import annotations

import atexit
import gc
import sys
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, NoReturn

from wicketlay.errors import WicketlayError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

_RAISED_AGAIN_S = 0.5
_SELDOM = 100_000
"""Objects made before Python looks for dead ones that hold each other."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 fine, 1 cautions with ``--strict``, 2 usage, 3 stop findings, 4 bad input file, 5 cannot
    write, 6 changed on disk, 70 a bug of ours, 130 interrupted, 129 and 143 ended from outside.
    """
    from wicketlay.cli.arguments import parse
    from wicketlay.cli.output import BUG, FINE, INTERRUPTED, flush

    try:
        try:
            arguments = parse(sys.argv[1:] if argv is None else argv)
        except SystemExit:  # --help and --version print and leave
            flush()
            raise
        with _ended_tidily(), _seldom_swept():
            from wicketlay.cli import commands, stations  # not for --help

            if arguments.command in stations.OF_ONE_PLAN:
                stations.refuse_practice(arguments)
            run: Callable[..., int] = getattr(commands, f"run_{arguments.command}")
            code = run(arguments)
        flush()
    except WicketlayError as error:
        return _say(error, error.exit_code)
    except BrokenPipeError:
        _into_nothing()  # the reader went away: leave quietly
        return FINE
    except KeyboardInterrupt:
        return _say("interrupted; nothing half-written was left", INTERRUPTED)
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except Exception as bug:  # noqa: BLE001 - the last line of defence: a sentence, not a traceback
        kind = type(bug).__name__
        return _say(
            f"this is a bug in wicketlay ({kind}: {bug}); your files are as they were. "
            "Set WICKETLAY_DEBUG=1 to see where, and report it",
            BUG,
            bug,
        )
    return code


class _Interrupt(KeyboardInterrupt):
    """Ctrl-C, as a kind of its own: Python dies of the plain one when it went through an import."""


@contextmanager
def _ended_tidily() -> Iterator[None]:
    """Let a signal that ends the program unwind it, so that no partial file stays behind.

    A library's bare ``except`` or a callback of the import system can swallow what a handler
    raises; it is raised again until it comes up here.
    """
    import signal

    asked: list[int] = []
    # Where a system has no alarm, it is raised once; where it does not hang up, nobody asks.
    alarm: int | None = getattr(signal, "SIGALRM", None)

    def again(in_s: float) -> None:
        if alarm is not None:
            signal.setitimer(signal.ITIMER_REAL, in_s)

    def leave(number: int, _frame: object) -> NoReturn:
        if number != alarm:
            asked.append(number)
        again(_RAISED_AGAIN_S)
        raise _Interrupt if asked[0] == signal.SIGINT else SystemExit(128 + asked[0])

    before = {}
    with suppress(ValueError):  # only the main thread hears signals
        for each in (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", None), alarm):
            if each is not None and (each == alarm or signal.getsignal(each) is not signal.SIG_IGN):
                before[each] = signal.signal(each, leave)  # unless ignored, as under nohup
    try:
        yield
    finally:
        if before:
            again(0.0)
        for each, handler in before.items():
            signal.signal(each, handler)


@contextmanager
def _seldom_swept() -> Iterator[None]:
    """Let Python look seldom for dead objects that hold each other, and not when it ends.

    A command ends before there are many; looking for them takes a fifth of the time of a sheet.
    """
    usual = gc.get_threshold()
    gc.set_threshold(_SELDOM, *usual[1:])
    atexit.register(gc.freeze)
    try:
        yield
    finally:
        gc.freeze()
        gc.unfreeze()  # what was made counts as old: nothing is looked for on the way out
        gc.set_threshold(*usual)


def _say(message: object, code: int, bug: BaseException | None = None) -> int:
    import os

    from wicketlay.cli.output import error_text, tell

    if bug is not None and os.environ.get("WICKETLAY_DEBUG"):
        raise bug
    if sys.stdout is not None:
        try:
            sys.stdout.flush()
        except OSError:  # a closed pipe or a full disk must not hide the message
            _into_nothing()
    tell(f"{error_text(message)}\n")
    return code


def _into_nothing() -> None:
    """Send standard output to nowhere; Python must not flush into it again when it leaves."""
    import os

    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
