"""The plan screen: inputs, the run to scale, readings and findings, all at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container, Vertical, VerticalScroll

from tui.core import BenchScreen
from tui.panes.findings import FindingsPane
from tui.panes.inputs import InputsPane
from tui.panes.readings import ReadingsPane
from tui.panes.run import RunPane
from tui.said.shown import findings_of
from wicketlay.wording.solved import count_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench

PARTS = ("drill", "athlete", "place", "ground", "kit", "tape", "plan")


class PlanScreen(BenchScreen):
    """Where a coach is most of the time."""

    NAME: ClassVar[str] = "plan"
    PAGED: ClassVar[str] = "#findings-scroll"

    def body(self) -> Iterator[Widget]:
        """Return the four panes; the style sheet stacks them or sets them side by side."""
        with Container(id="body"):
            yield RunPane(id="run")
            yield ReadingsPane(id="readings")
            with Vertical(id="side"):
                yield InputsPane(PARTS, self.core.bench, id="inputs")
                with VerticalScroll(id="findings-scroll", can_focus=False):
                    yield FindingsPane(id="findings", counted=False)

    def show_body(self, bench: Bench) -> None:
        """Push the state into the panes."""
        self.query_one(RunPane).show(bench)
        self.query_one(ReadingsPane).show(bench)
        self.query_one(InputsPane).show(bench)
        self.query_one(FindingsPane).show(bench)
        # How many there are stands in the title: what of them is cut off is known to be there.
        scroll = self.query_one("#findings-scroll", VerticalScroll)
        scroll.border_title = f"[bold $accent]f[/] findings: {count_text(findings_of(bench))}"
