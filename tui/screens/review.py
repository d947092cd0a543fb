"""The review: times over the marks against the expected time, and what they change."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.content import Content

from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from tui.panes.table import column_widths, padded
from tui.said.shown_lists import WAY_HEADS, beside_text, review_lines, way_rows, wind_text
from wicketlay.review.reviewed import Doubt
from wicketlay.units import format_time
from wicketlay.wording.progress import rests_text, sprints_text, summary
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.widget import Widget

    from tui.bench.bench import Bench
    from wicketlay.review.progress import Progress
    from wicketlay.units import UnitSystem

_INDENT = 12


class ReviewScreen(BenchScreen):
    """The times of the athlete on view and what they say."""

    NAME: ClassVar[str] = "review"
    PAGED: ClassVar[str] = "#body"

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
            for heading, text in review_lines(made, unit_of(bench.solved.plan)):
                hung = hanging(text, pane.size.width, _INDENT)
                pieces += ["\n", (f"{heading:>{_INDENT - 2}}  ", "bold $bench-faint"), hung]
        if reviewing.way is not None:
            pieces += _way(reviewing.way, unit_of(bench.solved.plan), pane.size.width)
        pane.say(Content.assemble(*pieces))


def _way(made: Progress, unit: UnitSystem, width: int) -> list[str | tuple[str, str]]:
    """Return how an athlete came along: the days, newest first, and what it rests on."""
    rows = [WAY_HEADS, *way_rows(made, unit)]
    columns = column_widths(rows, width)
    words = {0, WAY_HEADS.index("seen that day")}
    lines = [
        "  ".join(padded(row[at], wide, right=at not in words) for at, wide in columns).rstrip()
        for row in rows
    ]
    below = (summary(made, unit), rests_text(made), sprints_text(made))
    told = [f"\n{hanging(each, width, 0)}" for each in below]
    return ["\n\n", (lines[0], "bold $bench-faint"), *(f"\n{each}" for each in lines[1:]), *told]


def hanging(text: str, width: int, indent: int) -> str:
    """Return a text in lines that fit beside a heading, all of them set in as far."""
    lines = textwrap.wrap(text, max(width - indent, 20)) or [""]
    return f"\n{'':{indent}}".join(lines)
