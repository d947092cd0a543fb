"""The frame: what the app and its screens are to each other and to what keys do.

The app holds the state, shows it, keeps it and listens to signals; a screen has a title, a told
line, a key bar and the too-small notice.
"""

from __future__ import annotations

import asyncio
import os
import signal
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, ClassVar

from textual.filter import Monochrome, NoColor
from textual.screen import Screen

from tui.bench.bench import Bench, Told
from tui.bench.hour import Clock, Hour, start_hour
from tui.bench.keeping import DELAY_S, Keeper
from tui.bench.papers import Printing
from tui.cells import Shown, sparing
from tui.panes.bars import PlainStatic, TitleBar, ToldBar
from tui.panes.keys import KeyBar, ScreenStrip
from tui.rows import Action, on_screen
from tui.themes import DARK, LIGHT, THEMES
from tui.typeahead import TypeAhead
from wicketlay.errors import WicketlayError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import date
    from pathlib import Path

    from textual.app import ComposeResult
    from textual.events import Resize, ScreenResume
    from textual.filter import LineFilter
    from textual.geometry import Size
    from textual.timer import Timer
    from textual.widget import Widget

    from wicketlay.edits import Edit
    from wicketlay.plan import Plan

_LOOK_AT_DISK_S = 3.0
"""How often the plan's files are compared with what was read."""
_NO_COLOUR = NoColor()
_HUNG_UP, _TERMINATED = 129, 143


SMALLEST = (60, 16)
"""Columns and rows below which nothing useful fits."""
TOO_SMALL = (
    f"window too small: {SMALLEST[0]} columns and {SMALLEST[1]} rows are needed\n"
    "make it larger; everything is kept as it is"
)
WIDTHS: list[tuple[int, str]] = [(0, "-tiny"), (SMALLEST[0], "-narrow"), (110, "-wide")]
HEIGHTS: list[tuple[int, str]] = [(0, "-flat"), (SMALLEST[1], "-short"), (34, "-tall")]


class Core(TypeAhead):
    """State and frame of the workbench.

    Parameters
    ----------
    bench
        The plan at work.
    today
        The day that times and reviews are of.
    clock
        Where the time of a practice comes from.
    """

    TITLE = "wicketlay"
    # The library reverses the line, which its own drawing of lists leaves out.
    CSS = "CommandList:nocolor > .option-list--option-highlighted { text-style: bold underline; }"
    ROWS: ClassVar[tuple[Action, ...]] = ()
    """Everything that can be done."""

    def __init__(self, bench: Bench, *, today: date, clock: Clock | None = None) -> None:
        self.shown = Shown()
        super().__init__(driver_class=sparing(self.get_driver_class(), self.shown))
        self.bench = bench
        self.today = today
        self.clock = clock or Clock()
        self.pressed = ""
        self._hour: tuple[Bench, Path, Hour] | None = None
        self.keeper = Keeper()
        self.printing = Printing()
        self._keep_timer: Timer | None = None
        self._told_disk = False
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = LIGHT.name if _light_wanted() else DARK.name

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return what lines go through: the library's greys are colours to who wants none."""
        filters = super().get_line_filters()
        return [_NO_COLOUR if isinstance(each, Monochrome) else each for each in filters]

    def on_mount(self) -> None:
        """Listen to the signals that end a terminal, and watch the files."""
        self._listen()
        self.set_interval(_LOOK_AT_DISK_S, self._look_at_disk)

    def on_resize(self) -> None:
        """Count on nothing that stands on the terminal: it may have wrapped or cut it."""
        self.shown.forget()

    # --- showing and keeping ------------------------------------------------------------------

    def show(self) -> None:
        """Push the state into the screen on view."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, BenchScreen):
                screen.show()
                return

    def changed(self) -> None:
        """Show the state and see that it is kept."""
        self.keep_soon()
        self.show()

    def hour(self) -> Hour | None:
        """Return the practice under way; None, and why is told, when it cannot be kept."""
        bench, path = self.bench, self.bench.opened.path
        if self._hour is None or self._hour[:2] != (bench, path):
            try:
                self._hour = bench, path, start_hour(bench, self.today, self.clock)
            except WicketlayError as error:
                bench.told = Told(text=str(error), refused=True)
                return None
            told = (*self._hour[2].log.told, *map(str, self._hour[2].log.problems))
            if told:
                bench.told = Told(text="; ".join(told))
        return self._hour[2]

    def edit(self, make: Callable[[Plan], Edit]) -> None:
        """Change the plan and show what came of it."""
        if self.bench.do(make):
            self.changed()
        else:
            self.show()

    def say(self, text: str, *, refused: bool = False) -> None:
        """Say something on the line below the panes."""
        self.bench.told = Told(text=text, refused=refused)
        self.show()

    @contextmanager
    def saying_why(self) -> Iterator[None]:
        """Say why something cannot be done; the rest of it is not done then."""
        try:
            yield
        except WicketlayError as error:
            self.say(str(error), refused=True)

    def keep_soon(self) -> None:
        """Write unsaved work in a moment, in a thread of its own."""
        self.bench.on_purpose = False
        self._note()
        if self._keep_timer is None:
            self._keep_timer = self.set_timer(DELAY_S, self._keep_in_thread)

    def keep_now(self) -> None:
        """Write unsaved work before going on."""
        self._note()
        self.keeper.keep()

    def _note(self) -> None:
        if self._hour is not None and self._hour[:2] == (self.bench, self.bench.opened.path):
            self.bench.ground = self._hour[2].ground(self.bench)
        self.keeper.note(self.bench, self.today)

    def _keep_in_thread(self) -> None:
        self._keep_timer = None
        self.run_worker(self._keep, thread=True, group="keep", exit_on_error=True)

    def _keep(self) -> None:
        before = self.keeper.trouble
        self.keeper.keep()
        if self.keeper.trouble and self.keeper.trouble != before:
            self.call_from_thread(self.say, self.keeper.trouble, refused=True)

    def _look_at_disk(self) -> None:
        if self._told_disk or not self.bench.opened.file.changed_on_disk():
            return
        self._told_disk = True
        self.say(
            f"{self.bench.opened.name} was changed on disk by another program; "
            "Ctrl+S asks what to do",
            refused=True,
        )

    def disk_is_known(self) -> None:
        """Watch the files anew, after they were read or written."""
        self._told_disk = False

    # --- the screens --------------------------------------------------------------------------

    def bench_screen(self) -> Screen[Any]:
        """Return the screen of ours that is on view or lies below a question."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, BenchScreen):
                return screen
        return self.screen

    def screen_name(self) -> str:
        """Return the name of that screen."""
        screen = self.bench_screen()
        return screen.NAME if isinstance(screen, BenchScreen) else "plan"

    def rows_here(self) -> tuple[Action, ...]:
        """Return what can be done there."""
        return on_screen(self.ROWS, self.screen_name())

    def go(self, name: str) -> None:
        """Go to a screen."""
        if self.screen.id != name and getattr(self.screen, "NAME", "") != name:
            self.switch_screen(name)

    # --- the end ------------------------------------------------------------------------------

    def _listen(self) -> None:
        loop = asyncio.get_running_loop()
        for name, end in (("SIGHUP", self._hung_up), ("SIGTERM", self._terminated)):
            if hasattr(signal, name):  # not every system hangs up
                with suppress(NotImplementedError):
                    loop.add_signal_handler(getattr(signal, name), end)

    def _hung_up(self) -> None:
        """Keep everything and end: there is no terminal left to say anything on."""
        self.keep_now()
        os._exit(_HUNG_UP)

    def _terminated(self) -> None:
        """Keep everything and leave the terminal as it was."""
        self.keep_now()
        self.exit(_TERMINATED, return_code=_TERMINATED)


class BenchScreen(Screen[None]):
    """A screen of the workbench; `show` pushes the bench's state into its panes."""

    NAME: ClassVar[str] = ""
    PAGED: ClassVar[str] = "#body"
    """What goes up and down a page at a time."""
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS
    AUTO_FOCUS = ""

    def __init__(self) -> None:
        # From the start: else all is styled and laid out once without, and then again.
        super().__init__(classes=_steps_of(self.app.size))
        self._asked = 0

    @property
    def core(self) -> Core:
        """The app, as what it is."""
        app = self.app
        if TYPE_CHECKING:
            assert isinstance(app, Core)
        return app

    def compose(self) -> ComposeResult:
        """Put the bars around the body."""
        yield TitleBar(id="title")
        yield ScreenStrip(id="screens")
        yield from self.body()
        yield ToldBar(id="told")
        yield KeyBar(id="keys")
        yield PlainStatic(TOO_SMALL, id="too-small")

    def body(self) -> Iterator[Widget]:
        """Return the widgets between the bars."""
        yield from ()

    def show(self) -> None:
        """Push the state into the panes."""
        bench = self.core.bench
        self.query_one(TitleBar).show(bench)
        self.query_one(ToldBar).show(bench)
        rows = on_screen(self.core.ROWS, self.NAME)
        self.query_one(ScreenStrip).show(rows, self.NAME)
        self.query_one(KeyBar).show(rows)
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
        self._show_soon()

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Show what changed while another screen was on; what was just made has its styles."""
        event.refresh_styles = event.refresh_styles and self.stack_updates > 0
        if self.query(TitleBar):
            self._show_soon()

    def on_resize(self, event: Resize) -> None:
        """Draw again to the new size, once the panes have theirs."""
        del event
        self._show_soon()

    def _show_soon(self) -> None:
        """Show after the next refresh; asked several times, as at the start, only the last time."""
        self._asked += 1
        self.call_after_refresh(self._show_last, self._asked)

    def _show_last(self, asked: int) -> None:
        if asked == self._asked:
            self.show()


def _steps_of(size: Size) -> str:
    """Return the classes of a screen of that size."""
    return " ".join(
        next(name for least, name in reversed(steps) if length >= least)
        for length, steps in ((size.width, WIDTHS), (size.height, HEIGHTS))
    )


def _light_wanted() -> bool:
    """Return whether the terminal says its background is light (COLORFGBG, ends in 7 or 15)."""
    return os.environ.get("COLORFGBG", "").rpartition(";")[2] in {"7", "15"}
