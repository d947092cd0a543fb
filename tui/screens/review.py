"""The review: times over the marks against the expected time, and what they change."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.content import Content

from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from tui.said.shown_lists import beside_text, review_lines, wind_text
from wicketlay.export import unit_of
from wicketlay.review.reviewed import Doubt
from wicketlay.units import format_time

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.types import CSSPathType
    from textual.widget import Widget

    from tui.bench.bench import Bench

_INDENT = 12


class ReviewScreen(BenchScreen):
    """The times of the athlete on view and what they say."""

    NAME: ClassVar[str] = "review"
    PAGED: ClassVar[str] = "#body"
    CSS_PATH: ClassVar[CSSPathType | None] = ["base.tcss", "lists.tcss"]

    def body(self) -> Iterator[Widget]:
        """Return the text."""
        with VerticalScroll(id="body", can_focus=False):
            yield PlainStatic(id="review")

    def show(self) -> None:
        """Review the times of the athlete on view, and show it."""
        bench = self.core.bench
        bench.reviewing.look(bench.solved, bench.view.athlete, self.core.today)
        super().show()

    def show_body(self, bench: Bench) -> None:
        """Push the state into the text."""
        reviewing = bench.reviewing
        who = bench.view.athlete or ""
        times = reviewing.times_of(who)
        day = reviewing.day_of(bench.plan, self.core.today)
        wind = wind_text(reviewing.wind_mps)
        pieces: list[str | tuple[str, str]] = [
            (who, "bold"),
            f", {reviewing.timed_text()}, {day.isoformat()}, {wind}\n",
        ]
        if not times:
            pieces.append("no time yet: t and the digits")
        else:
            listed = ", ".join(format_time(time) for time in times)
            seen = beside_text(reviewing.beside(who))
            pieces += [("times", "bold $bench-faint"), f"  {listed}; run {seen}\n"]
        if reviewing.trouble:
            pieces.append((f"\n{reviewing.trouble}\n", "bold $error"))
            pieces.append("⌫ drops the last time")
        pane = self.query_one("#review", PlainStatic)
        made = reviewing.made
        if made is not None and made.athlete == who:
            if made.doubt is Doubt.WRONG:
                pieces.append("⌫ drops the last time\n")
            else:
                writes = f"Enter writes it to the record of {who} and lays out anew\n"
                pieces.append((writes, "bold $accent"))
            for heading, text in review_lines(made, unit_of(bench.solved)):
                hung = hanging(text, pane.size.width, _INDENT)
                pieces += ["\n", (f"{heading:>{_INDENT - 2}}  ", "bold $bench-faint"), hung]
        pane.say(Content.assemble(*pieces))


def hanging(text: str, width: int, indent: int) -> str:
    """Return a text in lines that fit beside a heading, all of them set in as far."""
    lines = textwrap.wrap(text, max(width - indent, 20)) or [""]
    return f"\n{'':{indent}}".join(lines)
