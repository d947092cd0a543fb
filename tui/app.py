"""The workbench: it composes the screens, binds the rows of the registry, and routes messages."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding

from tui.actions import ACTIONS, files, hour, look
from tui.bench.bench import Told
from tui.core import Core
from tui.palette import BenchCommands
from tui.panes.inputs import FieldInput
from tui.screens.after import AfterScreen
from tui.screens.plan import PlanScreen
from tui.screens.practice import PracticeScreen
from tui.screens.printing import PrintScreen
from tui.screens.review import ReviewScreen
from tui.screens.session import SessionScreen
from tui.screens.squad import SquadScreen
from tui.screens.stages import StagesScreen

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from textual.binding import BindingType
    from textual.screen import Screen
    from textual.types import CSSPathType

    from tui.bench.bench import Bench
    from tui.bench.hour import Clock
    from tui.panes.inputs import InputsPane
    from tui.panes.run import RunPane
    from tui.rows import Action

_QUIT = "ctrl+q"
_STYLES = ("base", "plan", "lists", "practice", "forms", "asking")


class Workbench(Core):
    """The app with all its screens and everything that can be done on them.

    Parameters
    ----------
    bench, today, clock
        As of the frame.
    asking
        Whether four things are asked before anything else.
    """

    ROWS: ClassVar[tuple[Action, ...]] = ACTIONS
    COMMANDS: ClassVar[set[Any]] = {BenchCommands}
    SCREENS: ClassVar[dict[str, Callable[[], Screen[Any]]]] = {
        "plan": PlanScreen,
        "squad": SquadScreen,
        "stages": StagesScreen,
        "review": ReviewScreen,
        "session": SessionScreen,
        "print": PrintScreen,
        "practice": PracticeScreen,
        "after": AfterScreen,
    }
    # Here, since the library reads all styles anew for each screen that brings some of its own.
    CSS_PATH: ClassVar[CSSPathType | None] = [f"screens/{name}.tcss" for name in _STYLES]
    BINDINGS: ClassVar[list[BindingType]] = [
        # Textual itself looks for what is called "quit", to tell its key to who presses Ctrl+C.
        Binding(key, "quit" if key == _QUIT else f"do('{key}')", show=False)
        for key in dict.fromkeys(key for row in ACTIONS for key in row.keys)
    ]

    def on_mount(self) -> None:
        """Put the plan screen on, and say what to do first or what was left unsaved."""
        super().on_mount()
        files.take_drafts(self)
        self.push_screen("plan")
        if self.bench.opened.untitled:
            self.bench.told = Told(text=files.FIRST_STEP)
        self.call_after_refresh(files.first if self._asking else files.offer_unsaved, self)

    def __init__(
        self, bench: Bench, *, today: date, clock: Clock | None = None, asking: bool = False
    ) -> None:
        super().__init__(bench, today=today, clock=clock)
        self._asking = asking

    # --- keys ---------------------------------------------------------------------------------

    def row_of(self, key: str) -> Action | None:
        """Return the row that a key does on the screen on view."""
        return next((row for row in self.rows_here() if key in row.keys), None)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave a key alone that does nothing on the screen on view."""
        if action == "do":
            return self.row_of(str(parameters[0])) is not None
        return super().check_action(action, parameters)

    def action_do(self, key: str) -> None:
        """Do what a key does on the screen on view."""
        row = self.row_of(key)
        self.pressed = key
        if row is not None and not hour.amid_digits(self, key):
            row.do(self)

    def action_look(self, screen: str) -> None:
        """Go to the screen that was clicked."""
        self.go(screen)

    async def action_quit(self) -> None:
        """Leave, unsaved work asked about."""
        files.leave_asked(self)

    def action_command_palette(self) -> None:
        """Open our palette where the library's own frame asks for one."""
        look.palette(self)

    # --- panes --------------------------------------------------------------------------------

    def on_run_pane_picked(self, event: RunPane.Picked) -> None:
        """Go to the mark that was clicked."""
        self.bench.view = replace(self.bench.view, mark=event.mark_id)
        self.show()

    def on_inputs_pane_typing(self, event: InputsPane.Typing) -> None:
        """Keep what is being typed."""
        self.bench.typing(event.field, event.text)
        self.keep_soon()

    def on_inputs_pane_typed(self, event: InputsPane.Typed) -> None:
        """Take what was typed; Enter goes on to the next field when it was taken."""
        taken = self.bench.type_in(event.field, event.text)
        self.changed()
        if taken and event.entered:
            self.screen.focus_next(FieldInput)

    def on_inputs_pane_dropped(self, event: InputsPane.Dropped) -> None:
        """Put back what was there."""
        self.bench.drop(event.field)
        self.changed()
