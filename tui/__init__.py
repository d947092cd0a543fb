"""The workbench in the terminal. It composes, binds and routes, and computes nothing."""

from __future__ import annotations

import gc
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["run"]

_SWEPT_EVERY = (700, 10, 10)
"""How often Python looks for dead objects that hold each other: it lives longer than a command."""


def run(path: Path | None, *, ask: bool = False) -> int:
    """Open the workbench and return the exit code.

    Parameters
    ----------
    path
        The plan; None opens what was left unsaved, else the last plan, else asks four things.
    ask
        Whether the four things are asked in any case.

    Raises
    ------
    PlanFileError
        When the plan that was named has problems.
    """
    from tui.app import Workbench  # noqa: PLC0415 - half a second of import, only when it opens
    from tui.bench.bench import first_bench, start_bench  # noqa: PLC0415
    from tui.bench.shelf import new_file  # noqa: PLC0415

    gc.freeze()  # what was imported stays
    gc.set_threshold(*_SWEPT_EVERY)
    bench = start_bench(new_file()) if ask else first_bench(path)
    app = Workbench(bench, today=date.today(), asking=bench.opened.fresh)
    code = app.run()
    return app.return_code or code or 0
