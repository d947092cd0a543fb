"""The lines around every screen: where we are, what was done, which keys there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content
from textual.widgets import Static

from tui.actions import on_screen, shown_key
from tui.shown import place_texts, told_lines
from wicketlay.export import unit_of

if TYPE_CHECKING:
    from tui.bench import Bench


class PlainStatic(Static):
    """A static text that is never read as markup."""

    def __init__(
        self,
        text: str = "",
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name
        classes: str | None = None,
    ) -> None:
        super().__init__(Content(text), id=id, classes=classes, markup=False)

    def say(self, text: str | Content) -> None:
        """Show a text; nothing is redrawn when it is the one on view."""
        content = Content(text) if isinstance(text, str) else text
        shown = self.content
        if not (isinstance(shown, Content) and content.is_same(shown)):
            self.update(content)


def state_of(bench: Bench) -> str:
    """Return in words whether everything that was typed is in the file."""
    if bench.opened.read_only:
        return "read only"
    if bench.unsaved:
        return "not saved"
    return "times not accepted" if bench.reviewing.noted() else "saved"


class TitleBar(PlainStatic):
    """The plan and its file on the left, lane, wave and athlete on the right."""

    def show(self, bench: Bench, screen: str) -> None:
        """Show where we are."""
        state = state_of(bench)
        width = max(self.size.width, 20)
        wordings, most = place_texts(bench), width * 2 // 3
        fitted = next((text for text in wordings if cell_len(text) <= most), wordings[-1])
        here = Content(fitted).truncate(most, ellipsis=True).plain
        room = max(width - cell_len(here) - 3, 8)
        title = bench.plan.title
        nothing_to_say = bench.opened.untitled and state == "saved"
        of_file = bench.opened.name if nothing_to_say else f"{bench.opened.name}, {state}"
        left = f" {screen} │ {title} ({of_file})"
        if cell_len(left) > room:
            # What is not saved is said first: a long title hides its own end, not that.
            said = "" if state == "saved" else f"{state}: "
            left = Content(f" {screen} │ {said}{title}").truncate(room, ellipsis=True).plain
        gap = max(width - cell_len(left) - cell_len(here) - 1, 1)
        self.say(Content.assemble((left, "bold"), " " * gap, (here, "bold")))


class ToldBar(PlainStatic):
    """What the last key did: which marks moved and by how much, and what was held."""

    def show(self, bench: Bench) -> None:
        """Show what was last done."""
        width = max(self.size.width - 2, 20)
        done, held = told_lines(bench.told, unit_of(bench.solved), width)
        self.set_class(bench.told.refused, "-refused")
        style = "bold"
        if bench.told.refused:
            self.say(Content.assemble(("not done: ", "bold reverse"), (" " + done, style)))
        else:
            # A line each: what was held is not pushed off by a long name.
            done = Content(done).truncate(width, ellipsis=True).plain if held else done
            self.say(Content.assemble((done, style), "\n", held))


class KeyBar(PlainStatic):
    """The keys of a screen, as many as fit two lines."""

    def show(self, screen: str) -> None:
        """Show the keys that have a short name, a pair of keys as one entry."""
        width, rows = max(self.size.width, 20), max(self.size.height, 1)
        pieces: list[str | tuple[str, str]] = []
        used, line = 0, 1
        for keys, short in _entries(screen, wide=width >= _WIDE):
            length = len(keys) + len(short) + 3
            if used + length > width:
                line, used = line + 1, 0
                if line > rows:
                    break
                pieces.append("\n")
            pieces += [(f" {keys}", "bold $accent"), f" {short} "]
            used += length
        self.say(Content.assemble(*pieces))


_WIDE = 110
"""Columns from which new and other plans have their keys among the first."""
_AT_THE_TRACK = (
    "gaps_wider",
    "speed_up",
    "cadence_up",
    "athlete_next",
    "time",
    "slide",
    "absent",
    "print_wave",
    "undo",
    "wave_next",
    "save",
    "inputs",
)
"""What practice is made of: what a narrow bar shows after the screen's own keys."""


def _entries(screen: str, *, wide: bool) -> list[tuple[str, str]]:
    """Return (keys, short name): help, the way out, the screen's own, practice, then the rest.

    What comes last falls off a narrow bar; + and - share an entry.
    """
    there = [action for action in on_screen(screen) if action.short and action.name != "help"]
    first = ("quit", "new_plan", "open", "save") if wide else ("quit",)
    own = tuple(action.name for action in there if action.screens)
    order = {name: at for at, name in enumerate(dict.fromkeys((*first, *own, *_AT_THE_TRACK)))}
    less = {
        action.short.removesuffix(" -"): shown_key(action.keys[0])
        for action in there
        if action.short.endswith(" -")
    }
    entries: list[tuple[str, str]] = [("?", "help")]
    for action in sorted(there, key=lambda each: order.get(each.name, len(order))):
        key, short = shown_key(action.keys[0]), action.short
        if short.endswith(" -"):
            continue
        if short.endswith(" +"):
            short = short.removesuffix(" +")
            key = f"{key}/{less[short]}"
        entries.append((key, short))
    entries.insert(1 + len(first), ("1-6", "screens"))
    return entries
