"""The session: efforts, recoveries, who runs when, and whether it fits the hour."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container

from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from tui.panes.detail import DetailPane
from tui.panes.inputs import InputsPane
from tui.panes.table import TablePane
from tui.said.shown_lists import (
    LOAD_HEADS,
    SESSION_HEADS,
    event_rows,
    first_event_of,
    load_rows,
    session_lines,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench


class SessionScreen(BenchScreen):
    """What happens when, and how much each athlete does."""

    NAME: ClassVar[str] = "session"
    PAGED: ClassVar[str] = "#events"

    def body(self) -> Iterator[Widget]:
        """Return the fields, the sum, the athletes and the order of things."""
        with Container(id="body"):
            yield DetailPane()
            yield InputsPane(("session",), self.core.bench, id="inputs")
            total = PlainStatic(id="session-sum")
            total.border_title = "the sum, and each athlete"
            yield total
            loads = TablePane(id="loads", words=frozenset({0, 7}))
            loads.border_subtitle = "who runs when"
            yield loads
            yield TablePane(id="events", words=frozenset({1, 4}))

    def show_body(self, bench: Bench) -> None:
        """Push the state into the panes."""
        session = bench.solved.session
        self.query_one(InputsPane).show(bench)
        self.query_one("#session-sum", PlainStatic).say("\n".join(session_lines(session)))
        names = () if session is None else session.order
        cursor = names.index(bench.view.athlete) if bench.view.athlete in names else None
        self.query_one("#loads", TablePane).show(LOAD_HEADS, load_rows(bench.solved), cursor)
        self.query_one("#events", TablePane).show(
            SESSION_HEADS, event_rows(bench.solved), first_event_of(session, bench.view.athlete)
        )
        self.query_one(DetailPane).show(bench)
