"""What changes the plan: edit, history, solve, panes."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.panes.inputs import FieldInput, InputsPane
from tui.said.shown import dealt
from tui.screens.asking import Ask
from wicketlay import edits
from wicketlay.declared import range_of
from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.export import unit_of
from wicketlay.keys import typed
from wicketlay.keys.codecs import Count, length
from wicketlay.keys.typed import FieldError, from_text
from wicketlay.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.core import Core
    from wicketlay.edits import Edit
    from wicketlay.keys.codecs import Codec
    from wicketlay.plan import Plan

_SLIDE = length(-50.0, 50.0, signed=True, unit="cm")
_LEAST, _MOST = map(int, range_of(Kit, "wickets"))
_BAG = Count(low=_LEAST, high=_MOST)
_SHIFT = length(-20.0, 20.0, signed=True, unit="cm")


def check_of(codec: Codec, example: str, *, feet: bool = False) -> Callable[[str], str]:
    """Return a check of a text: why it cannot be read, with an example, "" when it can."""

    def check(text: str) -> str:
        try:
            from_text(codec, text, feet=feet, example=example)
        except FieldError as error:
            return str(error)
        return ""

    return check


def athlete(make: Callable[[Plan, str], Edit]) -> Callable[[Core], None]:
    """Return what changes the plan for the athlete on view."""

    def do(app: Core) -> None:
        name = app.bench.view.athlete
        if name is None:
            app.say("there is no athlete to change; add one on the squad screen", refused=True)
            return
        app.edit(lambda plan: make(plan, name))

    return do


def notch(make: Callable[[Plan, str, int], Edit], notches: int) -> Callable[[Core], None]:
    """Return what changes the plan by notches, or places, for the athlete on view."""
    return athlete(lambda plan, who: make(plan, who, notches))


def slide(app: Core) -> None:
    """Move all marks."""
    _ask_move(
        app,
        "move all marks by (+ on, - back)",
        _SLIDE,
        lambda by_m: app.edit(lambda plan: edits.slide(plan, by_m)),
    )


def shift_start(app: Core) -> None:
    """Move the athlete's start mark."""
    who = app.bench.view.athlete or "nobody"
    _ask_move(
        app,
        f"move the start mark of {who} by (+ on, - back)",
        _SHIFT,
        lambda by_m: athlete(lambda plan, who: edits.shift_start(plan, who, by_m))(app),
    )


def _ask_move(app: Core, title: str, codec: Codec, move: Callable[[float], None]) -> None:
    """Ask for a move in the tape's small unit, then make it."""
    feet = unit_of(app.bench.solved) is UnitSystem.FEET
    check = check_of(codec, "12 in" if feet else "30 cm", feet=feet)

    def answered(text: str | None) -> None:
        if text is not None:
            move(from_text(codec, text, feet=feet))

    app.push_screen(Ask(title, unit=typed.unit_of(codec, feet=feet), check=check), answered)


def bag(app: Core) -> None:
    """Say how many wickets the bag holds today, and where chalk stands for them."""

    def answered(text: str | None) -> None:
        if text is None:
            return
        app.edit(lambda plan: edits.set_bag(plan, from_text(_BAG, text)))
        told = app.bench.told
        if not told.refused:
            app.bench.told = replace(told, text=f"{told.text}: {dealt(app.bench.in_wave)}")
            app.show()

    now = str(app.bench.plan.kit.wickets)
    ask = Ask("how many wickets the bag holds", check=check_of(_BAG, "12"), value=now)
    app.push_screen(ask, answered)


def everything(app: Core) -> None:
    """Move the whole practice to other lanes, or to another line."""

    def edit_of(plan: Plan, text: str) -> Edit:
        line, lanes = _line_and_lanes(text)
        return edits.move_everything(plan, line=line, lanes=lanes)

    def refused(text: str) -> str:
        try:
            edit_of(app.bench.plan, text)
        except DomainError as error:
            return str(error)
        return ""

    def answered(text: str | None) -> None:
        if text is not None:
            app.edit(lambda plan: edit_of(plan, text))

    lines = " or ".join(app.bench.plan.ground.lines)
    title = f"everything to which lanes (5, 6), or line ({lines})"
    app.push_screen(Ask(title, check=refused), answered)


def _line_and_lanes(text: str) -> tuple[str | None, tuple[int, ...]]:
    """Return the line and the lanes of "5, 6", "back straight" or "back straight, lanes 2 3"."""
    words = re.sub(r"\blanes?\b", " ", text, flags=re.IGNORECASE).replace(",", " ").split()
    lanes = tuple(dict.fromkeys(int(word) for word in words if word.isdecimal()))
    line = " ".join(word for word in words if not word.isdecimal())
    if not line and not lanes:
        message = "write lanes, such as 5, 6, or the name of a line"
        raise DomainError(message)
    return line or None, lanes


def undo(app: Core) -> None:
    """Take the last change back."""
    app.bench.undo()
    app.changed()


def redo(app: Core) -> None:
    """Do again what was taken back."""
    app.bench.redo()
    app.changed()


# --- fields -------------------------------------------------------------------------------------


def inputs(app: Core) -> None:
    """Go to the fields of the screen."""
    panes = list(app.screen.query(InputsPane))
    if not panes:
        app.go("plan")
        app.call_after_refresh(inputs, app)
        return
    panes[0].focus_field(next(iter(app.bench.errors), None))


def take_typed(app: Core) -> None:
    """Take what stands in the field with the cursor, before something else is done."""
    focused = app.screen.focused
    if isinstance(focused, FieldInput) and focused.value != focused.field.text:
        app.bench.type_in(focused.field, focused.hand_over())
