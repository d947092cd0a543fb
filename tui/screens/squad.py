"""The squad: who runs where, from where, and on what their speed rests."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container

from tui.core import BenchScreen
from tui.panes.detail import DetailPane
from tui.panes.table import TablePane
from tui.said.shown import basis_text
from tui.said.shown_lists import SQUAD_HEADS, between_waves, squad_rows
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench


class SquadScreen(BenchScreen):
    """Everybody in running order; the cursor is the athlete on view."""

    NAME: ClassVar[str] = "squad"
    PAGED: ClassVar[str] = "#squad"

    def body(self) -> Iterator[Widget]:
        """Return the table."""
        with Container(id="body"):
            yield DetailPane()
            yield TablePane(id="squad", words=frozenset({1, 4, 13}))

    def show_body(self, bench: Bench) -> None:
        """Push the state into the table."""
        names = [athlete.name for athlete in bench.plan.athletes]
        cursor = names.index(bench.view.athlete) if bench.view.athlete in names else None
        below = ["", *between_waves(bench)]
        if bench.demand is not None:
            basis = basis_text(bench.demand, unit_of(bench.solved.plan))
            below.append(f"{bench.view.athlete}: {basis}")
        self.query_one(TablePane).show(SQUAD_HEADS, squad_rows(bench), cursor, below)
        self.query_one(DetailPane).show(bench)

    def on_table_pane_picked(self, event: TablePane.Picked) -> None:
        """Look at the athlete whose row was clicked."""
        event.stop()
        self.core.bench.look_at(self.core.bench.plan.athletes[event.place].name)
        self.core.show()
