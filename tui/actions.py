"""Everything the workbench can do, once: keys, key bar, palette and help are made of this list.

Two rules make the keys guessable: a small letter is "more" or "next", its capital "less" or
"back"; and what is done at the track is one letter, what is done with files is Ctrl and a letter.
"""

from __future__ import annotations

from enum import StrEnum

from wicketlay.values import dataclass


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
    PRINT = "print"
    FILE = "plan and paper"


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do.

    Parameters
    ----------
    name
        `action_<name>` of the app does it.
    keys
        As Textual calls them; the first is the one that is shown.
    title
        What it does, for help and palette.
    group
        Heading in the help.
    short
        For the key bar; "" keeps it out of the bar.
    screens
        Names of the screens it works on; empty for all.
    """

    name: str
    keys: tuple[str, ...]
    title: str
    group: Group
    short: str = ""
    screens: frozenset[str] = frozenset()

    def works_on(self, screen: str) -> bool:
        """Return whether the action is there on a screen."""
        return not self.screens or screen in self.screens


def _all(group: Group, *rows: tuple[str, str, str, str]) -> tuple[Action, ...]:
    return tuple(
        Action(name=name, keys=tuple(keys.split()), title=title, group=group, short=short)
        for name, keys, title, short in rows
    )


def _on(screen: str, group: Group, *rows: tuple[str, str, str, str]) -> tuple[Action, ...]:
    return tuple(
        Action(
            name=name,
            keys=tuple(keys.split()),
            title=title,
            group=group,
            short=short,
            screens=frozenset({screen}),
        )
        for name, keys, title, short in rows
    )


ACTIONS: tuple[Action, ...] = (
    *_all(
        Group.CHANGE,
        ("gaps_wider", "g", "gaps a notch wider for this athlete (2 %)", "gaps +"),
        ("gaps_tighter", "G", "gaps a notch tighter for this athlete (2 %)", "gaps -"),
        ("speed_up", "s", "speed a notch up for this athlete (1 point of top)", "speed +"),
        ("speed_down", "S", "speed a notch down for this athlete (1 point of top)", "speed -"),
        ("cadence_up", "c", "cadence a notch up for this athlete (1 point)", "cadence +"),
        ("cadence_down", "C", "cadence a notch down for this athlete (1 point)", "cadence -"),
        ("slide", "m", "move all marks by so many cm, + on, - back", "move all"),
        ("shift_start", "b", "move the start mark by so many cm, + on, - back", "move start"),
        ("inputs", "i tab", "type in the fields of the plan", "type"),
    ),
    *_all(
        Group.PRACTICE,
        ("time", "t", "a time over the marks: review this athlete", "time"),
        ("absent", "x", "this athlete is absent, or is back", "absent"),
        ("late", "o", "this athlete is on the way: comes so many minutes late", "late"),
        ("print_wave", "p", "print: p again writes the PDF of the current wave", "print"),
    ),
    *_all(
        Group.HISTORY,
        ("undo", "u ctrl+z", "undo", "undo"),
        ("redo", "r ctrl+y", "redo", "redo"),
    ),
    *_all(
        Group.LOOK,
        ("mark_next", "right", "next mark", ""),
        ("mark_back", "left", "mark before", ""),
        ("mark_first", "home", "first mark", ""),
        ("mark_last", "end", "last mark", ""),
        ("athlete_next", "n down", "next athlete", "athlete"),
        ("athlete_back", "N up", "athlete before", ""),
        ("lane_next", "l", "next lane", "lane"),
        ("lane_back", "L", "lane before", ""),
        ("wave_next", "v", "next wave", "wave"),
        ("wave_back", "V", "wave before", ""),
        ("stage_next", "e", "next stage", "stage"),
        ("stage_back", "E", "stage before", ""),
        ("zoom", "z", "the whole run, or the section alone", "zoom"),
        ("findings", "f", "read all findings", "findings"),
        ("page_down", "pagedown", "on through a list longer than its pane", ""),
        ("page_up", "pageup", "back through it", ""),
    ),
    *_all(
        Group.SCREEN,
        ("screen_plan", "1", "plan", ""),
        ("screen_squad", "2", "squad", ""),
        ("screen_stages", "3", "stages", ""),
        ("screen_review", "4", "review", ""),
        ("screen_session", "5", "session", ""),
        ("screen_print", "6", "print", ""),
        ("help", "question_mark f1", "help: every key", "help"),
        ("palette", "ctrl+p", "palette: every action by its name", "all actions"),
        ("theme", "ctrl+t", "light or dark", ""),
    ),
    *_on(
        "squad",
        Group.SQUAD,
        ("athlete_add", "a insert", "add an athlete", "add"),
        ("athlete_edit", "enter", "change what is known of this athlete", "change"),
        ("athlete_remove", "delete", "take this athlete off the plan", "take off"),
        ("order_earlier", "minus", "runs one place earlier", "earlier"),
        ("order_later", "plus", "runs one place later", "later"),
    ),
    *_on(
        "stages",
        Group.STAGES,
        ("stage_now", "enter", "the athletes are at the stage on view now", "now here"),
        ("stages_set", "a", "make a series of stages, or take it out", "series"),
    ),
    *_on(
        "review",
        Group.REVIEW,
        ("accept", "enter", "write the review to the athlete's record and lay out anew", "accept"),
        ("timing", "k", "the clock: by hand or by gates", "clock"),
        ("time_drop", "backspace", "drop the last time", "drop last"),
        ("day", "d", "the day the times are of", "day"),
    ),
    *_on(
        "print",
        Group.PRINT,
        ("print_again", "enter", "write the PDF of the current wave", ""),
        ("print_all", "w", "write the PDF of the whole plan", "whole plan"),
        ("paper", "a", "paper: A4, Letter or A5", "paper"),
        ("sheets", "h", "which sheets", "sheets"),
    ),
    *_all(
        Group.FILE,
        ("save", "ctrl+s", "save", "save"),
        ("save_as", "ctrl+d", "save as a duplicate under another name", ""),
        ("open", "ctrl+o", "open a plan", "open"),
        ("new_plan", "ctrl+n", "new plan: who, how fast, how many wickets, where", "new plan"),
        ("quit", "ctrl+q", "quit", "quit"),
    ),
)
"""In the order of the help and of the key bar."""

SCREENS: tuple[str, ...] = ("plan", "squad", "stages", "review", "session", "print")
"""Screens in the order of their keys."""

_SHOWN = {
    "question_mark": "?",
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
    "f1": "F1",
}


def shown_key(key: str) -> str:
    """Return a key as people call it: ``^S``, ``→``, ``g``."""
    if key.startswith("ctrl+"):
        return f"^{key.removeprefix('ctrl+').upper()}"
    return _SHOWN.get(key, key)


def on_screen(screen: str) -> tuple[Action, ...]:
    """Return the actions of a screen, its own first."""
    there = [action for action in ACTIONS if action.works_on(screen)]
    return tuple(sorted(there, key=lambda action: not action.screens))
