"""The stages: layouts that follow rising speed, and what moves from one to the next."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container

from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from tui.panes.inputs import InputsPane
from tui.panes.table import TablePane
from tui.said.shown_lists import stage_lines, stage_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench

NO_STAGES = "one layout, no stages; a makes a series from one speed to another"


class StagesScreen(BenchScreen):
    """The series on the lane and wave on view."""

    NAME: ClassVar[str] = "stages"
    PAGED: ClassVar[str] = "#stages"

    def body(self) -> Iterator[Widget]:
        """Return the fields beside the table."""
        with Container(id="body"):
            yield PlainStatic(NO_STAGES, id="no-stages")
            yield InputsPane(("stages",), self.core.bench, id="inputs")
            yield TablePane(id="stages", words=frozenset({0}))

    def show_body(self, bench: Bench) -> None:
        """Push the state into the panes."""
        self.query_one("#no-stages").display = bench.plan.stages is None
        self.query_one(InputsPane).show(bench)
        heads, rows = stage_table(bench)
        laying = bench.laying
        ids = [] if laying is None else [mark.id for mark in laying.layout.marks]
        cursor = ids.index(bench.view.mark) if bench.view.mark in ids else None
        self.query_one(TablePane).show(heads, rows, cursor, ["", *stage_lines(bench)])
