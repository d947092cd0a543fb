"""Keys one after another, however fast they come.

A slow line, or a quick hand, delivers several keys at once. Textual hands them all to the widget
that has the cursor at that moment, so that in "t3.17 Enter" the digits would reach the screen below
the question that `t` opens. Here a key waits until the one before it has had its effect.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from textual.app import App
from textual.events import Event, Key

if TYPE_CHECKING:
    from typing import Any

    from textual.dom import DOMNode
    from textual.driver import Driver
    from textual.screen import Screen
    from textual.widget import Widget

_ROUNDS = 4
"""A key bubbles up from the cursor, then so does the message it made (Enter: submitted), then
what the pane made of that (typed); one more for good measure."""
_PAUSE_S = 0.005
_LONGEST_WAITS = 400
"""Two seconds, for a slow machine: a screen that is not there by then takes the key as it is."""


class TypeAhead(App[int]):
    """An app that takes one key at a time."""

    def __init__(self, driver_class: type[Driver] | None = None) -> None:
        super().__init__(driver_class)
        self._waiting: deque[Key] = deque()
        self._busy = False
        self._known: Screen[Any] | None = None

    async def on_event(self, event: Event) -> None:
        """Take a key when the one before it is done, everything else at once."""
        if isinstance(event, Key) and not event.is_forwarded:
            self._waiting.append(event)
            if not self._busy:
                await self._next_key()
            return
        await super().on_event(event)

    async def _next_key(self) -> None:
        if not self._waiting:
            self._busy = False
            return
        self._busy = True
        event = self._waiting.popleft()
        start: Widget = self.focused or self.screen
        path = [node for node in start.ancestors_with_self if node is not self]
        await super().on_event(event)
        self._follow(tuple(path), _ROUNDS)

    def _follow(self, path: tuple[DOMNode, ...], rounds: int) -> None:
        """Go the way of the key through the queues of all that it passes."""
        if path:
            following = (path[1:], rounds)
            if not path[0].call_later(self._follow, *following):
                self._follow(*following)
        elif rounds > 1:
            start: Widget = self.focused or self.screen
            again = tuple(node for node in start.ancestors_with_self if node is not self)
            self.call_later(self._follow, again, rounds - 1)
        else:
            self.call_later(self._when_ready, _LONGEST_WAITS)

    async def _when_ready(self, tries: int) -> None:
        """Go on to the next key once the screen on view is made and has its cursor."""
        if tries and not self._screen_ready():
            self.set_timer(_PAUSE_S, lambda: self._when_ready(tries - 1))
            return
        await self._next_key()

    def _screen_ready(self) -> bool:
        screen = self.screen
        if not screen.is_mounted or not screen.is_current:
            return False
        if self._known is not screen:
            if not all(child.is_mounted for child in screen.query("*")):
                return False
            self._known = screen
        if screen.AUTO_FOCUS == "" or screen.focused is not None:
            return True
        return not screen.focus_chain
