"""How two things are compared: in turn, on one CPU, by the system's own accounting.

Every round takes A, A again and B. The figure is the median of B's or A's share in each round,
with quartiles; the two A of a round, one over the other, are the A/A run. When their median is
outside 0.97 to 1.03 the machine was busy with something else and there is no figure.
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAIRS = 25
WARM_UPS = 2
QUIET = (0.97, 1.03)

Cost = Callable[[], float]
"""Does its work once and returns the CPU time it took [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table."""

    what: str
    sides: str
    aim: str
    figure: str
    verdict: str


def settle_down() -> None:
    """Pin this process and its children to one CPU, and their libraries to one thread."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    os.environ["PYTHONHASHSEED"] = "0"
    # Compiled modules are kept: warm-ups write them, and what is measured reads them.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPATH"] = str(ROOT)


def run(command: Sequence[str]) -> tuple[float, float]:
    """Run a command to its end; return its CPU time [s] and its largest memory [MB]."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    actions = [(os.POSIX_SPAWN_DUP2, nowhere, number) for number in (0, 1, 2)]
    try:
        pid = os.posix_spawn(command[0], command, os.environ, file_actions=actions)
        _, status, used = os.wait4(pid, 0)
    finally:
        os.close(nowhere)
    if os.waitstatus_to_exitcode(status):
        message = f"{' '.join(command)} ended with {os.waitstatus_to_exitcode(status)}"
        raise RuntimeError(message)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def process(*arguments: str) -> Cost:
    """Return the cost of a whole Python process."""
    return lambda: run([sys.executable, *arguments])[0]


def inside(work: Callable[[], object]) -> Cost:
    """Return the cost of a call in this process, without what it took to prepare it."""

    def cost() -> float:
        before = resource.getrusage(resource.RUSAGE_SELF)
        work()
        after = resource.getrusage(resource.RUSAGE_SELF)
        return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime

    return cost


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds:
    """What every round took [s]: A, A again, B."""

    rounds: tuple[tuple[float, float, float], ...]

    @property
    def quiet(self) -> float:
        """Median of A over A: 1 on a quiet machine."""
        return statistics.median(again / first for first, again, _ in self.rounds)

    def quartiles(
        self, ratio: Callable[[float, float], float] = lambda a, b: a / b
    ) -> tuple[float, float, float]:
        """Return the quartiles of a ratio of A and B."""
        low, middle, high = statistics.quantiles([ratio(a, b) for a, _, b in self.rounds], n=4)
        return low, middle, high


def in_turn(a: Cost, b: Cost, pairs: int = PAIRS) -> Rounds:
    """Measure A, A and B in turn."""
    for _ in range(WARM_UPS):
        a()
        b()
    return Rounds(rounds=tuple((a(), a(), b()) for _ in range(pairs)))


def row(
    what: str,
    sides: str,
    rounds: Rounds,
    aim: float,
    *,
    least: bool = False,
    ratio: Callable[[float, float], float] = lambda a, b: a / b,
) -> Row:
    """Return the table's line for a comparison; `least` when the figure must not be smaller."""
    low, middle, high = rounds.quartiles(ratio)
    quiet = rounds.quiet
    if QUIET[0] <= quiet <= QUIET[1]:
        reached = middle >= aim if least else middle <= aim
        figure = f"{middle:.2f} ({low:.2f} to {high:.2f})"
        verdict = "reached" if reached else "NOT reached"
    else:
        figure, verdict = "none", "noisy, no figure"
    return Row(
        what=what,
        sides=sides,
        aim=f"{'>=' if least else '<='} {aim:g}",
        figure=figure,
        verdict=f"{verdict} (A/A {quiet:.3f})",
    )


def show(rows: Sequence[Row]) -> None:
    """Print rows as a table."""
    head = Row(what="what", sides="A against B", aim="aim", figure="figure", verdict="verdict")
    columns = ("what", "sides", "aim", "figure", "verdict")
    widths = [max(len(getattr(each, name)) for each in (head, *rows)) for name in columns]
    for each in (head, *rows):
        cells = (getattr(each, name).ljust(w) for name, w in zip(columns, widths, strict=True))
        sys.stdout.write(" | ".join(cells).rstrip() + "\n")
    sys.stdout.flush()
