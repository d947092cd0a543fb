"""What a row of the registry is, and how its keys are called.

Two rules make the keys guessable: a small letter is "more" or "next", its capital "less" or
"back"; and what is done at the track is one letter, what is done with files is Ctrl and a letter.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any

from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable


class Group(StrEnum):
    """Headings of the help."""

    CHANGE = "change the layout"
    LOOK = "look around"
    PRACTICE = "during practice"
    HISTORY = "take back"
    SCREEN = "screens"
    SQUAD = "squad"
    STAGES = "stages"
    REVIEW = "review"
    HOUR = "the hour at the track"
    AFTER = "after practice"
    PRINT = "print"
    FILE = "plan and paper"


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do.

    Parameters
    ----------
    keys
        As Textual calls them; the first is the one that is shown.
    title
        What it does, for help and palette.
    group
        Heading in the help.
    do
        Does it, given the app.
    short
        For the key bar; "" keeps it out of the bar.
    screens
        Names of the screens it works on; empty for all.
    not_on
        Screens where its keys mean something else.
    words
        Other words people look for it by in the palette.
    """

    keys: tuple[str, ...]
    title: str
    group: Group
    do: Callable[[Any], None]
    short: str = ""
    screens: frozenset[str] = frozenset()
    not_on: frozenset[str] = frozenset()
    words: str = ""

    def works_on(self, screen: str) -> bool:
        """Return whether the action is there on a screen."""
        return (not self.screens or screen in self.screens) and screen not in self.not_on


SCREENS: tuple[str, ...] = (
    "plan",
    "squad",
    "stages",
    "review",
    "session",
    "print",
    "practice",
    "after",
)
"""Screens in the order of their keys."""

_SHOWN = {
    "question_mark": "?",
    "slash": "/",
    "right_square_bracket": "]",
    "left_square_bracket": "[",
    "number_sign": "#",
    "equals_sign": "=",
    "greater_than_sign": ">",
    "less_than_sign": "<",
    "right": "→",
    "left": "←",
    "up": "↑",
    "down": "↓",
    "plus": "+",
    "minus": "-",
    "enter": "Enter",
    "delete": "Del",
    "backspace": "⌫",
    "insert": "Ins",
    "home": "Home",
    "end": "End",
    "tab": "Tab",
    "pagedown": "PgDn",
    "pageup": "PgUp",
    "escape": "Esc",
    "space": "Space",
    "asterisk": "*",
    "full_stop": ".",
    "comma": ",",
    "f1": "F1",
}


def shown_key(key: str) -> str:
    """Return a key as people call it: ``^S``, ``→``, ``g``."""
    if key.startswith("ctrl+"):
        return f"^{key.removeprefix('ctrl+').upper()}"
    return _SHOWN.get(key, key)


def on_screen(rows: tuple[Action, ...], screen: str) -> tuple[Action, ...]:
    """Return the rows that work on a screen, its own first."""
    there = [action for action in rows if action.works_on(screen)]
    return tuple(sorted(there, key=lambda action: not action.screens))
