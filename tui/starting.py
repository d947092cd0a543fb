"""What is on the bench at the start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui import notes, shelf
from tui.bench import start_bench
from wicketlay.plan_file import PlanFileError

if TYPE_CHECKING:
    from pathlib import Path

    from tui.bench import Bench


def first_bench(path: Path | None) -> Bench:
    """Return the bench to start with.

    Parameters
    ----------
    path
        The plan that was named; None takes unsaved work without a name, else the last plan that
        can be read, else the starter.

    Raises
    ------
    PlanFileError
        When the plan that was named has problems.
    """
    if path is not None:
        bench = start_bench(shelf.open_file(path))
        notes.remember(path)
        return bench
    for waiting in (*shelf.unsaved_untitled(), *notes.recent()):
        try:
            return start_bench(shelf.open_file(waiting))
        except PlanFileError:
            continue
    return start_bench(shelf.new_file())
