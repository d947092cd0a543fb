"""A table of rows with a cursor, for the screens that list things."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Region
from textual.message import Message

from tui.panes.bars import PlainStatic

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult
    from textual.events import Click


_LEAST = 8
"""A column that does not fit is cut to what is left, if that is at least so much."""


def column_widths(rows: Sequence[Sequence[str]], width: int) -> list[tuple[int, int]]:
    """Return (column, its width) of those that fit, from the left; empty ones are left out."""
    used: list[tuple[int, int]] = []
    total = 0
    for column in range(len(rows[0])):
        if len(rows) > 1 and not any(row[column] for row in rows[1:]):
            continue
        wide = max(Content(row[column]).cell_length for row in rows)
        if used and total + wide > width:
            if width - total >= _LEAST:
                used.append((column, width - total))
            break
        used.append((column, wide))
        total += wide + 2
    return used


def padded(text: str, width: int, *, right: bool) -> str:
    """Return text filled or cut to a width in cells; wide characters count as two."""
    if Content(text).cell_length > width:
        text = Content(text).truncate(width, ellipsis=True).plain
    fill = " " * max(width - Content(text).cell_length, 0)
    return fill + text if right else text + fill


class _Rows(PlainStatic):
    """The text of the table."""


class TablePane(VerticalScroll):
    """Rows of cells; the first row of text is the head."""

    class Picked(Message):
        """A row was clicked."""

        def __init__(self, place: int) -> None:
            super().__init__()
            self.place = place

    def __init__(self, *, id: str, words: frozenset[int] = frozenset()) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, can_focus=False)
        self._words = words
        self._count = 0
        self._width = 0
        self._again: Callable[[], None] | None = None

    def compose(self) -> ComposeResult:
        """Put the text in place."""
        yield _Rows()

    def show(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        cursor: int | None = None,
        below: Sequence[str] = (),
    ) -> None:
        """Show rows, the cursor's reversed, and lines of text below them."""
        self._again = partial(self.show, heads, rows, cursor, below)
        # hidden it has no size: it is shown again, and painted once, at the one it had
        self._width = self.size.width or self._width
        width = max(self._width - 1, 20)
        self._count = len(rows)
        columns = column_widths([heads, *rows], width)
        pieces: list[str | tuple[str, str]] = [(self._line(heads, columns), "bold $bench-faint")]
        for place, row in enumerate(rows):
            pieces.append("\n")
            line = self._line(row, columns)
            if place == cursor:
                pieces.append((padded(line, width, right=False), "bold reverse"))
            else:
                pieces.append(line)
        for line in below:
            pieces += ["\n", line]
        self.query_one(_Rows).say(Content.assemble(*pieces))
        if cursor is not None:
            self.scroll_to_region(
                Region(0, cursor + 1, 1, 1), animate=False, force=True, immediate=True
            )

    def on_resize(self) -> None:
        """Show the columns that the new width has room for."""
        if self._again is not None:
            self._again()

    def _line(self, row: Sequence[str], columns: Sequence[tuple[int, int]]) -> str:
        cells = (padded(row[c], w, right=c not in self._words) for c, w in columns)
        return "  ".join(cells).rstrip()

    def on_click(self, event: Click) -> None:
        """Say which row was clicked."""
        place = event.y + round(self.scroll_y) - 1
        if 0 <= place < self._count:
            self.post_message(self.Picked(place))
