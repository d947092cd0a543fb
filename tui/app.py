"""The workbench: its screens and how it starts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from tui.bench import Told
from tui.routes_file import FIRST_STEP, FileRoutes
from tui.screens.plan import PlanScreen
from tui.screens.printing import PrintScreen
from tui.screens.review import ReviewScreen
from tui.screens.session import SessionScreen
from tui.screens.squad import SquadScreen
from tui.screens.stages import StagesScreen

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.screen import Screen


class Workbench(FileRoutes):
    """The app with all its screens."""

    SCREENS: ClassVar[dict[str, Callable[[], Screen[Any]]]] = {
        "plan": PlanScreen,
        "squad": SquadScreen,
        "stages": StagesScreen,
        "review": ReviewScreen,
        "session": SessionScreen,
        "print": PrintScreen,
    }

    def on_mount(self) -> None:
        """Put the plan screen on, and say what to do first or what was left unsaved."""
        super().on_mount()
        self._take_drafts()
        self.push_screen("plan")
        if self.bench.opened.untitled:
            self.bench.told = Told(text=FIRST_STEP)
        self.call_after_refresh(self.offer_unsaved)
