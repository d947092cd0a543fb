"""The reading under the cursor, large, and the table of all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.geometry import Region

from tui.panes.bars import PlainStatic
from tui.panes.bigtext import fitting
from tui.panes.run import RunPane
from tui.said.shown import (
    DASH,
    MarkShown,
    basis_text,
    marks_shown,
    table_heads,
    table_row,
    zero_line,
)
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.events import Click

    from tui.bench.bench import Bench

_WORDS = {0, 7}
"""Columns of words, set to the left; numbers are set to the right."""
_DROPPED = (7, 3, 6, 5, 4)
"""Columns left out first where the pane is narrow."""


class BigReading(PlainStatic):
    """The mark under the cursor: its reading large, everything else beside or below."""

    def show(self, bench: Bench) -> None:
        """Show the mark under the cursor."""
        laying = bench.laying
        here = _here(bench)
        if laying is None or here is None:
            self.say("")
            return
        width, height = self.content_size.width, self.content_size.height
        # A low window has them in the table alone, where the cursor's row is reversed.
        lines = _facts(here) if height > 3 or not here.reading else []
        room = height - len(lines) if height > 5 else 3
        big, named = _largest(here, width, room)
        if lines and not named:
            lines[0] = f"{here.name} · {lines[0]}"
        self.say(
            Content.assemble(
                ("\n".join(big), "bold $bench-mark"),
                *(piece for line in lines for piece in ("\n", line)),
            )
        )


def _largest(here: MarkShown, width: int, room: int) -> tuple[tuple[str, ...], bool]:
    """Return name and reading as large as they fit, and whether the name is among them.

    Both large; else the name plain beside a large reading; else the large reading alone.
    """
    if not here.reading:
        return fitting(here.name, width, room), True
    both = fitting(f"{here.name} {here.reading}", width, room)
    if len(both) > 1:
        return both, True
    margin = len(here.name) + 2
    beside = fitting(here.reading, width - margin, room)
    if len(beside) > 1:
        middle = len(beside) // 2
        return tuple(
            f"{here.name if row == middle else '':{margin}}{line}"
            for row, line in enumerate(beside)
        ), True
    alone = fitting(here.reading, width, room)
    return (alone, False) if len(alone) > 1 else (both, True)


def _facts(here: MarkShown) -> list[str]:
    """Return what is known of a mark, in two lines."""
    first = []
    if here.gap:
        first.append(f"gap {here.gap}")
    if here.natural:
        first.append(f"natural {here.natural}")
    if here.excess:
        first.append(f"over {here.excess}")
    second = [part for part in (here.speed, here.cadence) if part]
    if here.foot:
        second.append(f"{here.foot} foot")
    if here.pull:
        second.append(f"pull {here.pull}")
    if here.label:
        second.append(here.label)
    return [" · ".join(first or [DASH]), " · ".join(second or [DASH])]


def _here(bench: Bench) -> MarkShown | None:
    if bench.laying is None:
        return None
    marks = marks_shown(bench.solved, bench.laying, bench.demand)
    return next((each for each in marks if each.id == bench.view.mark), None)


class MarkTable(PlainStatic):
    """Every mark of the laying in a row; the cursor's row is reversed."""

    _ids: tuple[str, ...] = ()

    def show(self, bench: Bench, width: int) -> int | None:
        """Show the marks in so many columns; return the cursor's row."""
        laying = bench.laying
        if laying is None:
            self._ids = ()
            self.say("")
            return None
        unit = unit_of(bench.solved.plan)
        marks = marks_shown(bench.solved, laying, bench.demand)
        self._ids = tuple(each.id for each in marks)
        rows = [table_row(each) for each in marks]
        columns = _columns([table_heads(unit), *rows], width)
        lines = [_line(table_heads(unit), columns)] + [_line(row, columns) for row in rows]
        pieces: list[str | tuple[str, str]] = [(lines[0].ljust(width), "bold $bench-faint")]
        at: int | None = None
        for place, (mark_id, line) in enumerate(zip(self._ids, lines[1:], strict=True), start=1):
            pieces.append("\n")
            if mark_id == bench.view.mark:
                at = place
                pieces.append((line.ljust(width), "bold reverse"))
            else:
                pieces.append(line)
        pieces += ["\n", (zero_line(laying, unit), "$bench-faint")]
        demand = bench.demand
        if demand is not None:
            pieces += ["\n", (basis_text(demand, unit), "$bench-faint")]
        self.say(Content.assemble(*pieces))
        return at

    def on_click(self, event: Click) -> None:
        """Go to the mark that was clicked."""
        if 1 <= event.y <= len(self._ids):
            self.post_message(RunPane.Picked(self._ids[event.y - 1]))


def _columns(rows: Sequence[Sequence[str]], width: int) -> list[tuple[int, int]]:
    """Return (column, its width) of the columns that fit; those without a value are left out."""
    count = len(rows[0])
    used = [c for c in range(count) if any(row[c] for row in rows[1:])]
    widths = {c: max(len(row[c]) for row in rows) for c in used}
    for column in _DROPPED:
        if sum(widths[c] + 2 for c in used) - 2 <= width:
            break
        if column in used:
            used.remove(column)
    return [(c, widths[c]) for c in used]


def _line(row: Sequence[str], columns: Sequence[tuple[int, int]]) -> str:
    cells = [row[c].ljust(w) if c in _WORDS else row[c].rjust(w) for c, w in columns]
    return "  ".join(cells).rstrip()


class ReadingsPane(Vertical):
    """The reading under the cursor above the table."""

    def compose(self) -> ComposeResult:
        """Put both in place."""
        yield BigReading(id="big")
        with VerticalScroll(id="table-scroll", can_focus=False) as scroll:
            scroll.border_title = "readings"
            yield MarkTable(id="table")

    def show(self, bench: Bench) -> None:
        """Show the laying on view."""
        self.query_one(BigReading).show(bench)
        scroll = self.query_one("#table-scroll", VerticalScroll)
        at = self.query_one(MarkTable).show(bench, max(scroll.size.width - 1, 20))
        if at is not None:
            scroll.scroll_to_region(
                Region(0, at, 1, 1), animate=False, spacing=None, force=True, immediate=True
            )
