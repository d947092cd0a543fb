"""The app's own frame: state, showing it, keeping it, signals. What keys do is in the routes."""

from __future__ import annotations

import asyncio
import os
import signal
from contextlib import suppress
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding

from tui.actions import ACTIONS
from tui.bench import Bench, Told
from tui.keeping import DELAY_S, Keeper
from tui.palette import BenchCommands
from tui.papers import Printing
from tui.screens.base import BenchScreen
from tui.themes import DARK, LIGHT, THEMES
from tui.typeahead import TypeAhead

if TYPE_CHECKING:
    from datetime import date

    from textual.binding import BindingType
    from textual.screen import Screen
    from textual.timer import Timer

_LOOK_AT_DISK_S = 3.0
"""How often the plan's files are compared with what was read."""
_HUNG_UP, _TERMINATED = 129, 143


class Core(TypeAhead):
    """State and frame of the workbench.

    Parameters
    ----------
    bench
        The plan at work.
    today
        The day that times and reviews are of.
    """

    TITLE = "wicketlay"
    COMMANDS: ClassVar[set[Any]] = {BenchCommands}
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(",".join(action.keys), action.name, action.title, show=False)
        for action in ACTIONS
        if not action.screens
    ]

    def __init__(self, bench: Bench, *, today: date) -> None:
        super().__init__()
        self.bench = bench
        self.today = today
        self.keeper = Keeper()
        self.printing = Printing()
        self._keep_timer: Timer | None = None
        self._told_disk = False
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = LIGHT.name if _light_wanted() else DARK.name

    def on_mount(self) -> None:
        """Listen to the signals that end a terminal, and watch the files."""
        self._listen()
        self.set_interval(_LOOK_AT_DISK_S, self._look_at_disk)

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

    def say(self, text: str, *, refused: bool = False) -> None:
        """Say something on the line below the panes."""
        self.bench.told = Told(text=text, refused=refused)
        self.show()

    def keep_soon(self) -> None:
        """Write unsaved work in a moment, in a thread of its own."""
        self.bench.on_purpose = False
        self.keeper.note(self.bench, self.today)
        if self._keep_timer is None:
            self._keep_timer = self.set_timer(DELAY_S, self._keep_in_thread)

    def keep_now(self) -> None:
        """Write unsaved work before going on."""
        self.keeper.note(self.bench, self.today)
        self.keeper.keep()

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

    def bench_screen(self) -> Screen[Any]:
        """Return the screen of ours that is on view or lies below a question."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, BenchScreen):
                return screen
        return self.screen


def _light_wanted() -> bool:
    """Return whether the terminal says its background is light (COLORFGBG, ends in 7 or 15)."""
    return os.environ.get("COLORFGBG", "").rpartition(";")[2] in {"7", "15"}
