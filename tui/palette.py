"""The palette: every action of the registry by its name."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual.command import DiscoveryHit, Hit, Provider

from tui.actions import on_screen, shown_key
from tui.screens.base import BenchScreen

if TYPE_CHECKING:
    from textual.command import Hits

    from tui.actions import Action


class BenchCommands(Provider):
    """Offers what can be done on the screen below the palette."""

    def _there(self) -> tuple[Action, ...]:
        screen = self.screen
        name = screen.NAME if isinstance(screen, BenchScreen) else "plan"
        return on_screen(name)

    async def discover(self) -> Hits:
        """Offer everything."""
        for action in self._there():
            yield DiscoveryHit(
                action.title,
                partial(self.app.run_action, f"app.{action.name}"),
                help=f"{action.group.value} · key {shown_key(action.keys[0])}",
            )

    async def search(self, query: str) -> Hits:
        """Offer what matches."""
        matcher = self.matcher(query)
        for action in self._there():
            score = matcher.match(action.title)
            if score > 0:
                yield Hit(
                    score,
                    matcher.highlight(action.title),
                    partial(self.app.run_action, f"app.{action.name}"),
                    help=f"{action.group.value} · key {shown_key(action.keys[0])}",
                )
