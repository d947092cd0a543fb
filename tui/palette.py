"""The palette: every row of the registry by its title."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual.command import CommandList, CommandPalette, DiscoveryHit, Hit, Provider

from tui.core import Core
from tui.rows import shown_key

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.command import Hits


class Palette(CommandPalette):
    """The library's palette; keys that turn its pages wait until its list has lines."""

    def _action_command_list(self, action: str) -> None:
        """Do what a key asks of the list, once it has been laid out."""
        if self.query_one(CommandList).scrollable_content_region.height:
            super()._action_command_list(action)


class BenchCommands(Provider):
    """Offers what can be done on the screen below the palette."""

    def _there(self) -> Iterator[tuple[str, Callable[[], None], str, list[str]]]:
        """Return title, what does it, where else it is found, and other words for it."""
        app = self.app
        if isinstance(app, Core):
            for row in app.rows_here():
                more = f"{row.group.value} · key {shown_key(row.keys[0])}"
                yield row.title, partial(row.do, app), more, row.words.split()

    async def discover(self) -> Hits:
        """Offer everything."""
        for title, do, more, _ in self._there():
            yield DiscoveryHit(title, do, help=more)

    async def search(self, query: str) -> Hits:
        """Offer what matches."""
        matcher = self.matcher(query)
        for title, do, more, words in self._there():
            score = matcher.match(title)
            if score > 0:
                yield Hit(score, matcher.highlight(title), do, help=more)
            elif (score := max(map(matcher.match, words), default=0)) > 0:
                yield Hit(score, title, do, help=more)
