"""The pane with the run drawn to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

from tui.panes.bars import PlainStatic
from tui.panes.rundraw import draw_run, mark_at
from tui.said.shown import marks_shown, why_empty
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from textual.events import Click

    from tui.bench.bench import Bench


class RunPane(PlainStatic):
    """Marks, run-on, section and slow-down to scale, with speed and cadence along them."""

    class Picked(Message):
        """A mark was clicked."""

        def __init__(self, mark_id: str) -> None:
            super().__init__()
            self.mark_id = mark_id

    _bench: Bench | None = None

    def show(self, bench: Bench) -> None:
        """Draw the laying on view."""
        self._bench = bench
        laying, demand = bench.laying, bench.demand
        width, height = self.content_size.width, self.content_size.height
        if laying is None or demand is None:
            self.say(why_empty(bench))
            return
        if width < 30 or height < 4:
            return
        self.say(
            draw_run(
                laying,
                demand,
                marks_shown(bench.solved, laying, demand),
                bench.view.mark,
                unit_of(bench.solved.plan),
                width=width,
                height=height,
                section_only=bench.view.section_only,
            )
        )

    def on_click(self, event: Click) -> None:
        """Go to the mark nearest to the click."""
        bench = self._bench
        if bench is None or bench.laying is None:
            return
        found = mark_at(
            bench.laying, self.content_size.width, event.x, section_only=bench.view.section_only
        )
        if found is not None:
            self.post_message(self.Picked(found))
