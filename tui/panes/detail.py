"""Beside a list, in a wide window: what is known of the selected athlete's laying."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import VerticalScroll

from tui.panes.bars import PlainStatic
from tui.panes.findings import FindingsPane
from tui.panes.readings import MarkTable

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.bench.bench import Bench


class DetailPane(VerticalScroll):
    """The readings and findings of the athlete on view; narrow windows do without."""

    def __init__(self) -> None:
        super().__init__(classes="list-detail", can_focus=False)

    def compose(self) -> ComposeResult:
        """Put title, readings and findings in place."""
        yield PlainStatic(classes="pane-title")
        yield MarkTable()
        yield FindingsPane()

    def show(self, bench: Bench) -> None:
        """Show the laying of the athlete on view, where there is room for it."""
        if not self.display:
            return
        self.query_one(".pane-title", PlainStatic).say(f"readings of {bench.view.athlete or '-'}")
        self.query_one(MarkTable).show(bench, max(self.size.width - 3, 20))
        self.query_one(FindingsPane).show(bench)
