"""The hour at the track: the next to run, large; everybody in order; moves; how the hour stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container
from textual.content import Content

from tui.bench.lying import left_here
from tui.core import BenchScreen
from tui.panes.bars import PlainStatic
from tui.panes.bigtext import fitting, plain
from tui.panes.table import TablePane
from tui.said.hour import (
    HEADS,
    balance_text,
    facts_of,
    move_lines,
    order_rows,
    proposed_text,
    ready_text,
    typed_text,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.geometry import Size
    from textual.timer import Timer
    from textual.widget import Widget

    from tui.bench.bench import Bench
    from tui.said.hour import Facts

_TICK_S = 1.0
_APART = 3
"""Columns between the large facts."""
_ROOMY = 14
"""Rows of a pane from which the next mark is drawn largest."""


class NextPane(PlainStatic):
    """The one on top: name, start letter, foot, steps and expected time, readable at two metres."""

    _shown: tuple[Facts, str] | None = None

    def show(self, facts: Facts, ready: str) -> None:
        """Show them as large as they fit."""
        self._shown = facts, ready
        width, height = self.content_size.width, self.content_size.height
        each = (height - 1) // 2
        name = fitting(plain(facts.name), width, each, name=True)
        if len(name) == 1:
            name = (facts.name,)
        pieces: list[str | tuple[str, str]] = [("\n".join(name), "bold $bench-mark"), "\n"]
        blocks = _blocks(facts.parts, width, each)
        heads = [f"{head:{len(lines[0])}}" for head, lines in blocks]
        pieces += [((" " * _APART).join([*heads, ready]), "bold $bench-faint")]
        for row in range(len(blocks[0][1]) if blocks else 0):
            line = (" " * _APART).join(lines[row] for _, lines in blocks)
            pieces += ["\n", (line, "bold")]
        self.say(Content.assemble(*pieces))

    def on_resize(self) -> None:
        """Draw again to the new size."""
        if self._shown is not None:
            self.show(*self._shown)


def _blocks(
    parts: Sequence[tuple[str, str]], width: int, height: int
) -> list[tuple[str, tuple[str, ...]]]:
    """Return head and drawing of each fact, all of one size, as large as they fit side by side."""
    sizes = [
        [
            (head, tuple(f"{line:{len(head)}}" for line in fitting(text, width, tall, name=True)))
            for head, text in parts
        ]
        for tall in (height, 3, 1)
    ]
    fits = (
        blocks
        for blocks in sizes
        if sum(len(lines[0]) + _APART for _, lines in blocks) <= width
        and len({len(lines) for _, lines in blocks}) == 1
    )
    return next(fits, sizes[-1])


class MovesPane(PlainStatic):
    """The marks to be moved before the next wave, from the far end; the next one large."""

    _shown: tuple[Sequence[tuple[bool, str, str, str]], int] = (), 0

    def show(self, lines: Sequence[tuple[bool, str, str, str]], here: int, room: Size) -> None:
        """Show what is to be done next large, and all of it below, in so much room.

        `here` marks are left to handle on the lane of the next.
        """
        self._shown = lines, here
        width, height = room
        left = [line for line in lines if not line[0]]
        if not left:
            return
        _, place, mark, to = left[0]
        called = f"{mark} {to.partition('  ')[0].removeprefix('to ')}".upper()
        large = fitting(called, width, 6 if height >= _ROOMY else 3, name=True)
        pieces: list[str | tuple[str, str]] = [
            (
                f"{place}: {here} to move; Enter ticks {mark} off, d all of them\n",
                "bold $accent",
            ),
            ("\n".join(large), "bold $bench-mark"),
        ]
        shown = [*left, *(line for line in lines if line[0])]
        for ticked, there, name, where in shown[: max(height - len(large) - 1, 0)]:
            line = f"{'☑' if ticked else '☐'} {name:<8} {where:<20} {there}"
            pieces += ["\n", (line, "$bench-faint" if ticked else "bold")]
        self.say(Content.assemble(*pieces))

    def on_resize(self) -> None:
        """Draw again to the new size."""
        self.show(*self._shown, self.size)


class PracticeScreen(BenchScreen):
    """The screen a coach leaves open all hour."""

    NAME: ClassVar[str] = "practice"
    PAGED: ClassVar[str] = "#order"
    _timer: Timer | None = None

    def body(self) -> Iterator[Widget]:
        """Return the large one, the lines and the order."""
        with Container(id="body"):
            yield NextPane(id="next")
            yield PlainStatic(id="hour-typed")
            yield PlainStatic(id="hour-balance")
            yield PlainStatic(id="hour-proposed")
            yield MovesPane(id="moves")
            yield TablePane(id="order", words=frozenset({1, 2, 8}))

    def on_mount(self) -> None:
        """Begin to follow the clock."""
        super().on_mount()
        self._timer = self.set_interval(_TICK_S, self._tick)

    def _tick(self) -> None:
        """Show what the clock changed, while the screen is on view."""
        if self.is_current and self.query(NextPane):
            self.show_body(self.core.bench)

    def show(self) -> None:
        """Look at the one on top, and show it."""
        hour = self.core.hour()
        stands = None if hour is None else hour.stand()
        if hour is not None and stands is not None and stands.line:
            self.core.bench.look_at(hour.top(stands).athlete)
        super().show()

    def show_body(self, bench: Bench) -> None:
        """Push the state into the panes."""
        hour = self.core.hour()
        stands = None if hour is None else hour.stand()
        if hour is None or stands is None or not stands.line:
            self._put_on("#hour-typed")
            self.query_one("#hour-typed", PlainStatic).say(
                "nobody runs" if hour is not None else bench.told.text
            )
            return
        now_s = hour.now_s()
        top = hour.top(stands)
        ready = ready_text(top, now_s, exact=True)
        ready = f"ready in {ready}" if ":" in ready else f"ready {ready}" if top.here else ready
        self.query_one(NextPane).show(facts_of(hour, top), ready)
        self.query_one("#hour-typed", PlainStatic).say(typed_text(hour))
        balance = balance_text(stands, hour, now_s)
        if bench.stations is not None:  # each has a log of its own, and knows of no other
            balance = f"this station: {balance}"
        self.query_one("#hour-balance", PlainStatic).say(balance)
        proposed = proposed_text(hour, bench)
        moves = hour.moves(stands)
        order, to_move = self.query_one(TablePane), self.query_one(MovesPane)
        # each lies where the other does: shown at the size it will have, it is painted once
        room = (to_move if to_move.display else order).outer_size
        self._put_on(
            "#next",
            "#hour-typed",
            "#hour-balance",
            "#hour-proposed" if proposed else "",
            "#moves" if moves else "#order",
        )
        self.query_one("#hour-proposed", PlainStatic).say(proposed)
        if moves:
            to_move.show(move_lines(hour, moves), left_here(moves), room)
            return
        rows = order_rows(hour, stands, now_s)
        cursor = [each.athlete for each in stands.line].index(top.athlete)
        order.show(HEADS, rows, cursor)

    def _put_on(self, *wanted: str) -> None:
        """Display these panes and no others."""
        for widget in self.query("#body > *"):
            there = f"#{widget.id}" in wanted
            if widget.display is not there:  # a display that is set again is laid out again
                widget.display = there
