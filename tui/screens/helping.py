"""The help, made from the registry of actions."""

from __future__ import annotations

from textual.content import Content

from tui.actions import Group, on_screen, shown_key

_FIRST = (
    "A small letter is more or next, its capital is less or back. i or Tab types in the fields, "
    "Enter takes what is typed, Esc puts back what was there.\n"
)


def help_content(screen: str) -> Content:
    """Return every key of a screen, by group."""
    pieces: list[str | tuple[str, str]] = [_FIRST]
    there = on_screen(screen)
    for group in Group:
        actions = [action for action in there if action.group is group]
        if not actions:
            continue
        pieces += ["\n", (group.value, "bold $primary"), "\n"]
        for action in actions:
            keys = " or ".join(shown_key(key) for key in action.keys)
            pieces += [(f"{keys:>10}", "bold $accent"), f"  {action.title}\n"]
    return Content.assemble(*pieces)
