"""Printing: which sheets go on paper, and where the PDF is."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.content import Content

from tui.bench import papers
from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from wicketlay.wording.places import strip_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench


class PrintScreen(BenchScreen):
    """What is printed where, and what was written."""

    NAME: ClassVar[str] = "print"
    PAGED: ClassVar[str] = "#body"

    def body(self) -> Iterator[Widget]:
        """Return the text."""
        with VerticalScroll(id="body", can_focus=False):
            yield PlainStatic(id="printing")

    def show_body(self, bench: Bench) -> None:
        """Push the state into the text."""
        printing = self.core.printing
        solved = papers.wave_of(bench)
        where = f"wave {solved.layings[0].wave}" if solved.layings else "nobody runs"
        pieces: list[str | tuple[str, str]] = []
        if papers.stops_in(solved):
            pieces.append(("the paper says DO NOT LAY OUT: see the findings (f)\n", "bold reverse"))
        wave = (papers.pdf_path(bench, papers.stem_of_wave(bench)), printing.kinds_for(whole=False))
        plan = (papers.pdf_path(bench, ""), printing.kinds_for(whole=True))
        for keys, what, (path, kinds) in (
            ("p or Enter", where, wave),
            ("w", "the whole plan", plan),
        ):
            pieces.append((f"{keys:>10}", "bold $accent"))
            pieces.append(f"  {what} to {path}\n{'':>12}{', '.join(kinds)}\n")
        pieces += [
            ("         a", "bold $accent"),
            f"  paper: {printing.paper}\n",
            ("         h", "bold $accent"),
            f"  sheets: {', '.join(printing.kinds) or 'the usual ones'}\n",
            ("         k", "bold $accent"),
            f"  the sound of {bench.view.athlete}'s run, a click a step\n\n{where}:\n",
        ]
        pieces += [
            f"  {strip_text(each.placed.course, each.lane)}: {', '.join(each.athletes)}\n"
            for each in solved.layings
        ]
        if printing.written:
            pieces.append(("\nwritten:\n", "bold"))
            pieces += [f"  {line}\n" for line in printing.written]
        self.query_one("#printing", PlainStatic).say(Content.assemble(*pieces))
