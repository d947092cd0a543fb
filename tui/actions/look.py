"""What looks around: it changes what is on view and nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.command import CommandPalette

from tui.core import BenchScreen
from tui.palette import Palette
from tui.panes.findings import findings_content
from tui.panes.keys import help_content
from tui.screens.asking import Ask, Reader
from tui.themes import DARK, LIGHT

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.bench.bench import Bench
    from tui.core import Core

ASKED = "what do you want to do?"
FAR = 10_000
"""More marks than any laying has."""


def at(step: Callable[[Bench, int], None], places: int) -> Callable[[Core], None]:
    """Return what looks so many places on."""

    def do(app: Core) -> None:
        step(app.bench, places)
        app.show()

    return do


def to(screen: str) -> Callable[[Core], None]:
    """Return what goes to a screen."""
    return lambda app: app.go(screen)


def page(pages: int) -> Callable[[Core], None]:
    """Return what goes so many pages on through a list longer than its pane."""

    def do(app: Core) -> None:
        screen = app.bench_screen()
        if isinstance(screen, BenchScreen):
            screen.page(pages)

    return do


def zoom(app: Core) -> None:
    """Show the whole run, or the section alone."""
    view = app.bench.view
    app.bench.view = replace(view, section_only=not view.section_only)
    app.show()


def jump(app: Core) -> None:
    """Look at the athlete whose name is typed, as far as it tells them from the others."""

    def refused(text: str) -> str:
        found = app.bench.named(text)
        if len(found) == 1:
            return ""
        names = found or [athlete.name for athlete in app.bench.plan.athletes]
        return f"{'which' if found else 'nobody is called so'}: {', '.join(names)}"

    def answered(text: str | None) -> None:
        if text is not None:
            app.bench.look_at(app.bench.named(text)[0])
            app.show()

    app.push_screen(Ask("look at the athlete called", check=refused), answered)


def findings(app: Core) -> None:
    """All findings on a screen of their own."""
    app.push_screen(Reader("findings", findings_content(app.bench)))


def keys(app: Core) -> None:
    """Every key."""
    app.push_screen(Reader("keys", help_content(app.rows_here())))


def palette(app: Core) -> None:
    """Every action by its title."""
    if not any(isinstance(each, CommandPalette) for each in app.screen_stack):
        app.push_screen(Palette(placeholder=ASKED, id="--command-palette"))


def theme(app: Core) -> None:
    """Light or dark."""
    app.theme = DARK.name if app.theme == LIGHT.name else LIGHT.name


def redraw(app: Core) -> None:
    """Write the whole screen to the terminal again."""
    app.shown.forget()
    app.refresh(layout=True)
