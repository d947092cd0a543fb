"""What changes the plan: edit, history, solve, panes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.panes.inputs import FieldInput, InputsPane
from tui.screens.asking import Ask
from wicketlay import edits
from wicketlay.export import unit_of
from wicketlay.keys import typed
from wicketlay.keys.codecs import length
from wicketlay.keys.typed import FieldError, from_text
from wicketlay.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.core import Core
    from wicketlay.edits import Edit
    from wicketlay.keys.codecs import Codec
    from wicketlay.plan import Plan

_SLIDE = length(-50.0, 50.0, signed=True, unit="cm")
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
