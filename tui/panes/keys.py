"""The keys of a screen: in a bar as many as fit, in the help all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content
from textual.style import Style

from tui.panes.bars import PlainStatic
from tui.rows import SCREENS, Group, shown_key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tui.rows import Action


def clickable(content: Content, action: str) -> Content:
    """Return a text that does something when it is clicked."""
    return content.stylize(Style.from_meta({"@click": action}))


class ClickBar(PlainStatic):
    """A line of texts that can be clicked, and look like those that cannot."""

    auto_links = False


class ScreenStrip(ClickBar):
    """The screens by name, the one on view reversed."""

    def show(self, rows: Sequence[Action], screen: str) -> None:
        """Show all screens, with their digits where these go there and where there is room."""
        keys = {action.keys[0] for action in rows if action.group is Group.SCREEN}
        texts = {name: f" {at} {name} " for at, name in enumerate(SCREENS, 1) if str(at) in keys}
        for plain in (" {} ", "{} "):
            if not texts or sum(map(len, texts.values())) > self.size.width:
                texts = {name: plain.format(name) for name in SCREENS}
        pieces = [
            clickable(
                Content.assemble((text, "bold reverse" if name == screen else "")),
                f"app.look('{name}')",
            )
            for name, text in texts.items()
        ]
        self.say(Content.assemble(*pieces))


class KeyBar(ClickBar):
    """The keys of a screen, as many as fit two lines."""

    def show(self, rows: Sequence[Action]) -> None:
        """Show the keys that have a short name, a pair of keys as one entry."""
        width, lines = max(self.size.width, 20), max(self.size.height, 1)
        pieces: list[str | Content] = []
        used, line = 0, 1
        for keys, short, key in _entries(rows, wide=width >= _WIDE):
            length = len(keys) + len(short) + 3
            if used + length > width:
                line, used = line + 1, 0
                if line > lines:
                    break
                pieces.append("\n")
            entry = Content.assemble((f" {keys}", "bold $accent"), f" {short} ")
            pieces.append(clickable(entry, f"app.do('{key}')"))
            used += length
        self.say(Content.assemble(*pieces))


_WIDE = 110
"""Columns from which new and other plans have their keys among the first."""
_AT_THE_TRACK = (
    "gaps +",
    "speed +",
    "cadence +",
    "athlete",
    "time",
    "move all",
    "absent",
    "print",
    "undo",
    "wave",
    "save",
    "type",
)
"""What practice is made of: what a narrow bar shows after the screen's own keys."""


def _entries(rows: Sequence[Action], *, wide: bool) -> list[tuple[str, str, str]]:
    """Return (keys, short name, key): help, the way out, the screen's own, practice, the rest.

    What comes last falls off a narrow bar; + and - share an entry.
    """
    there = [action for action in rows if action.short and action.short != "help"]
    first = ("quit", "new plan", "open", "save") if wide else ("quit",)
    own = tuple(action.short for action in there if action.screens)
    order = {short: at for at, short in enumerate(dict.fromkeys((*first, *own, *_AT_THE_TRACK)))}
    less = {
        action.short.removesuffix(" -"): shown_key(action.keys[0])
        for action in there
        if action.short.endswith(" -")
    }
    entries = [("?", "help", "question_mark")]
    for action in sorted(there, key=lambda each: order.get(each.short, len(order))):
        key, short = shown_key(action.keys[0]), action.short
        if short.endswith(" -"):
            continue
        if short.endswith(" +"):
            short = short.removesuffix(" +")
            key = f"{key}/{less[short]}"
        entries.append((key, short, action.keys[0]))
    return entries


_FIRST = (
    "A small letter is more or next, its capital is less or back. i or Tab types in the fields, "
    "Enter takes what is typed, Esc puts back what was there.\n"
)


_DIGITS = " or ".join("0123456789")


def help_content(rows: Sequence[Action]) -> Content:
    """Return every key of a screen, by group in the order of the rows: the screen's own first."""
    pieces: list[str | tuple[str, str]] = [_FIRST]
    for group in dict.fromkeys(action.group for action in rows):
        actions = [action for action in rows if action.group is group]
        pieces += ["\n", (group.value, "bold $primary"), "\n"]
        for action in actions:
            keys = " or ".join(map(shown_key, action.keys)).replace(_DIGITS, "digits")
            pieces += [(f"{keys:>10}", "bold $accent"), f"  {action.title}\n"]
    return Content.assemble(*pieces)
