"""What every screen of the workbench has: title, told line, key bar, and the too-small notice."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.screen import Screen

from tui.actions import on_screen
from tui.panes.bars import KeyBar, PlainStatic, TitleBar, ToldBar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.events import Resize
    from textual.types import CSSPathType
    from textual.widget import Widget

    from tui.app import Workbench
    from tui.bench import Bench

SMALLEST = (60, 16)
"""Columns and rows below which nothing useful fits."""
TOO_SMALL = (
    f"window too small: {SMALLEST[0]} columns and {SMALLEST[1]} rows are needed\n"
    "make it larger; everything is kept as it is"
)
WIDTHS: list[tuple[int, str]] = [(0, "-tiny"), (SMALLEST[0], "-narrow"), (110, "-wide")]
HEIGHTS: list[tuple[int, str]] = [(0, "-flat"), (SMALLEST[1], "-short"), (34, "-tall")]


def own_bindings(screen: str) -> list[BindingType]:
    """Return the bindings of the actions that only this screen has."""
    return [
        Binding(",".join(action.keys), f"app.{action.name}", action.title, show=False)
        for action in on_screen(screen)
        if action.screens
    ]


class BenchScreen(Screen[None]):
    """A screen of the workbench; `show` pushes the bench's state into its panes."""

    NAME: ClassVar[str] = ""
    PAGED: ClassVar[str] = "#body"
    """What goes up and down a page at a time."""
    CSS_PATH: ClassVar[CSSPathType | None] = "base.tcss"
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS
    AUTO_FOCUS = ""

    @property
    def bench_app(self) -> Workbench:
        """The app, as what it is."""
        app = self.app
        if TYPE_CHECKING:
            assert isinstance(app, Workbench)
        return app

    def compose(self) -> ComposeResult:
        """Put the bars around the body."""
        yield TitleBar(id="title")
        yield from self.body()
        yield ToldBar(id="told")
        yield KeyBar(id="keys")
        yield PlainStatic(TOO_SMALL, id="too-small")

    def body(self) -> Iterator[Widget]:
        """Return the widgets between the bars."""
        yield from ()

    def show(self) -> None:
        """Push the state into the panes."""
        bench = self.bench_app.bench
        self.query_one(TitleBar).show(bench, self.NAME)
        self.query_one(ToldBar).show(bench)
        self.query_one(KeyBar).show(self.NAME)
        self.show_body(bench)

    def page(self, pages: int) -> None:
        """Scroll what may be longer than its pane."""
        pane = self.query_one(self.PAGED)
        step = pages * max(pane.size.height - 1, 1)
        pane.scroll_relative(y=step, animate=False, immediate=True)

    def show_body(self, bench: Bench) -> None:
        """Push the state into the panes between the bars."""

    def on_mount(self) -> None:
        """Show once the sizes are known."""
        self.call_after_refresh(self.show)

    def on_screen_resume(self) -> None:
        """Show what changed while another screen was on."""
        if self.query(TitleBar):
            self.call_after_refresh(self.show)

    def on_resize(self, event: Resize) -> None:
        """Draw again to the new size, once the panes have theirs."""
        del event
        self.call_after_refresh(self.show)
