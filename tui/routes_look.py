"""Keys that look around: they change what is on view and nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.command import CommandPalette

from tui.core import Core
from tui.panes.findings import findings_content
from tui.screens.asking import Reader
from tui.screens.base import BenchScreen
from tui.screens.helping import help_content
from tui.themes import DARK, LIGHT

if TYPE_CHECKING:
    from tui.panes.run import RunPane

ASKED = "what do you want to do?"
_FAR = 10_000
"""More marks than any laying has."""


class LookRoutes(Core):
    """From looking keys to the bench."""

    def action_mark_next(self) -> None:
        """Next mark."""
        self.bench.step_mark(1)
        self.show()

    def action_mark_back(self) -> None:
        """Mark before."""
        self.bench.step_mark(-1)
        self.show()

    def action_mark_first(self) -> None:
        """First mark."""
        self.bench.step_mark(-_FAR)
        self.show()

    def action_mark_last(self) -> None:
        """Last mark."""
        self.bench.step_mark(_FAR)
        self.show()

    def action_athlete_next(self) -> None:
        """Next athlete."""
        self.bench.step_athlete(1)
        self.show()

    def action_athlete_back(self) -> None:
        """Athlete before."""
        self.bench.step_athlete(-1)
        self.show()

    def action_lane_next(self) -> None:
        """Next lane."""
        self.bench.step_lane(1)
        self.show()

    def action_lane_back(self) -> None:
        """Lane before."""
        self.bench.step_lane(-1)
        self.show()

    def action_wave_next(self) -> None:
        """Next wave."""
        self.bench.step_wave(1)
        self.show()

    def action_wave_back(self) -> None:
        """Wave before."""
        self.bench.step_wave(-1)
        self.show()

    def action_stage_next(self) -> None:
        """Next stage."""
        self.bench.step_stage(1)
        self.show()

    def action_stage_back(self) -> None:
        """Stage before."""
        self.bench.step_stage(-1)
        self.show()

    def action_zoom(self) -> None:
        """Show the whole run, or the section alone."""
        view = self.bench.view
        self.bench.view = replace(view, section_only=not view.section_only)
        self.show()

    def action_findings(self) -> None:
        """All findings on a screen of their own."""
        self.push_screen(Reader("findings", findings_content(self.bench)))

    def action_page_down(self) -> None:
        """Go a page on through a list longer than its pane."""
        self._page(1)

    def action_page_up(self) -> None:
        """Go a page back through it."""
        self._page(-1)

    def _page(self, pages: int) -> None:
        screen = self.bench_screen()
        if isinstance(screen, BenchScreen):
            screen.page(pages)

    def action_help(self) -> None:
        """Every key."""
        screen = self.bench_screen()
        name = screen.NAME if isinstance(screen, BenchScreen) else "plan"
        self.push_screen(Reader("keys", help_content(name)))

    def action_palette(self) -> None:
        """Every action by its name."""
        if not any(isinstance(each, CommandPalette) for each in self.screen_stack):
            self.push_screen(CommandPalette(placeholder=ASKED, id="--command-palette"))

    def action_command_palette(self) -> None:
        """Open the same palette where the library's own frame asks for it."""
        self.action_palette()

    def action_theme(self) -> None:
        """Light or dark."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name

    def on_run_pane_picked(self, event: RunPane.Picked) -> None:
        """Go to the mark that was clicked."""
        self.bench.view = replace(self.bench.view, mark=event.mark_id)
        self.show()

    def _go(self, name: str) -> None:
        if self.screen.id != name and getattr(self.screen, "NAME", "") != name:
            self.switch_screen(name)

    def action_screen_plan(self) -> None:
        """Go to the plan."""
        self._go("plan")

    def action_screen_squad(self) -> None:
        """Go to the squad."""
        self._go("squad")

    def action_screen_stages(self) -> None:
        """Go to the stages."""
        self._go("stages")

    def action_screen_review(self) -> None:
        """Go to the review."""
        self._go("review")

    def action_screen_session(self) -> None:
        """Go to the session."""
        self._go("session")

    def action_screen_print(self) -> None:
        """Go to printing."""
        self._go("print")
