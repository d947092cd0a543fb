"""After practice: everybody's day in one list, what it changes, and what to say."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container

from tui.bench.evening import left
from tui.core import BenchScreen
from tui.panes.table import TablePane
from tui.said.hour import AFTER_HEADS, after_lines, after_rows
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench

NOBODY_RAN = "nobody ran today; the practice screen (7) takes the times, a takes them from paper"


class AfterScreen(BenchScreen):
    """The cursor is the athlete on view; one key takes all that is ready."""

    NAME: ClassVar[str] = "after"
    PAGED: ClassVar[str] = "#after"

    def body(self) -> Iterator[Widget]:
        """Return the list."""
        with Container(id="body"):
            yield TablePane(id="after", words=frozenset({0, 1, 2}))

    def show(self) -> None:
        """Look at somebody who ran, and show the day."""
        hour, bench = self.core.hour(), self.core.bench
        names = [] if hour is None else [each.athlete for each in hour.after(bench).outcomes]
        if names and bench.view.athlete not in names:
            bench.look_at(names[0])
        super().show()

    def show_body(self, bench: Bench) -> None:
        """Push the day into the list."""
        hour = self.core.hour()
        pane = self.query_one(TablePane)
        if hour is None:
            pane.show(("after practice",), (), below=("", bench.told.text))
            return
        day, unit = hour.after(bench), unit_of(hour.laid.plan)
        names = [each.athlete for each in day.outcomes]
        cursor = names.index(bench.view.athlete) if bench.view.athlete in names else None
        below = ["", *(after_lines(day, unit) or [NOBODY_RAN])]
        if day.day != hour.day:
            below.append(f"these are the runs of {day.day.isoformat()}; a goes to another day")
        pane.show(AFTER_HEADS, after_rows(day, left(hour, bench), unit), cursor, below)

    def on_table_pane_picked(self, event: TablePane.Picked) -> None:
        """Look at the athlete whose row was clicked."""
        event.stop()
        hour = self.core.hour()
        if hour is not None:
            self.core.bench.look_at(hour.after(self.core.bench).outcomes[event.place].athlete)
            self.core.show()
