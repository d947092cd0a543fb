"""The workbench in the terminal. It composes, binds and routes, and computes nothing."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["run"]


def run(path: Path | None) -> int:
    """Open the workbench and return the exit code.

    Parameters
    ----------
    path
        The plan; None opens what was left unsaved, else the last plan, else the starter.

    Raises
    ------
    PlanFileError
        When the plan that was named has problems.
    """
    from tui.app import Workbench  # noqa: PLC0415 - half a second of import, only when it opens
    from tui.bench.bench import first_bench  # noqa: PLC0415

    app = Workbench(first_bench(path), today=date.today())
    code = app.run()
    return app.return_code or code or 0
