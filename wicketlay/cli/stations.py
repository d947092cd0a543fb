"""What a command makes of a practice of several stations: all of them, or which one to name."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.errors import UsageError
from wicketlay.findings import Level, worst
from wicketlay.values import replace

if TYPE_CHECKING:
    import argparse

    from wicketlay.solve import Solved
    from wicketlay.stations import SolvedPractice

OF_ONE_PLAN = ("stages", "log", "review", "progress", "share", "places", "rhythm")
"""Commands that take a station of a practice and not the whole of it."""


def refuse_practice(arguments: argparse.Namespace) -> None:
    """Refuse a practice where one plan is wanted, with the command to type for each station.

    Of an athlete that is asked for only the stations where they run are told.
    """
    from wicketlay.log_file.typed import plain
    from wicketlay.plan_file import is_practice, open_practice
    from wicketlay.units import format_count

    path = getattr(arguments, "plan", None) or arguments.plans[0]
    if path == "-" or not is_practice(Path(path)):
        return
    files, who = open_practice(Path(path)).files, plain(getattr(arguments, "athlete", None) or "")
    theirs = [each for each in files if who in {plain(one.name) for one in each.plan.athletes}]
    lines = []
    for each in theirs or files:
        words = (str(each.path) if word == path else word for word in arguments.words)
        lines.append(shlex.join(["wicketlay", *words]))
    one = "type" if len(lines) == 1 else "type one of"
    raise UsageError(
        f"{path} is a practice of {format_count(len(files), 'station')}, and "
        f"'{arguments.command}' takes one plan; {one}\n" + "\n".join(f"  {each}" for each in lines)
    )


def practice_of(path: str, unit: str | None = None) -> SolvedPractice | None:
    """Return what a practice file leads to, None for a plan."""
    from wicketlay.plan_file import is_practice

    if path == "-" or not is_practice(Path(path)):
        return None
    from wicketlay.edits import in_unit
    from wicketlay.plan_file import open_practice
    from wicketlay.stations import solve_practice

    practice = open_practice(Path(path)).practice
    if unit is not None:
        stations = tuple(
            replace(each, plan=in_unit(each.plan, metric=unit == "metric"))
            for each in practice.stations
        )
        practice = replace(practice, stations=stations)
    return solve_practice(practice)


def stations_of(solved: Solved | SolvedPractice) -> tuple[Solved, ...]:
    """Return the plans that were solved: the stations of a practice, or the one plan."""
    from wicketlay.solve import Solved

    return (solved,) if isinstance(solved, Solved) else solved.stations


def between(solved: Solved | SolvedPractice) -> list[tuple[Level, str]]:
    """Return what the stations of a practice do to each other, as lines; none for a plan."""
    from wicketlay.solve import Solved
    from wicketlay.wording import told

    return [] if isinstance(solved, Solved) else list(told(solved.findings))


def check_rows(solved: Solved | SolvedPractice, path: str) -> list[dict[str, Any]]:
    """Return what the checks say as data: a plan, or a practice and then each of its stations."""
    from wicketlay.export import findings_document

    stations = stations_of(solved)
    if stations == (solved,):
        return [findings_document(stations[0], path)]
    common = replace(stations[0], findings=solved.findings, layings=())
    whole = findings_document(common, path)
    if worst(solved.findings) is Level.STOP:
        whole["status"] = "stop"
    named = [findings_document(each, f"{path}, {each.plan.title}") for each in stations]
    return [whole, *named]
