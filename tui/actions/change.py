"""What changes the plan: edit, history, solve, panes."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tui.bench import shelf
from tui.panes.inputs import FieldInput, InputsPane
from tui.said.shown import dealt
from tui.screens.asking import Ask
from wicketlay import edits
from wicketlay.declared import range_of
from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.keys import typed
from wicketlay.keys.codecs import Count, length
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.typed import FieldError, from_text
from wicketlay.plan_file import PlanFileError, read_ground
from wicketlay.units import UnitSystem
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tui.core import Core
    from wicketlay.edits import Edit
    from wicketlay.ground import Ground
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
    feet = unit_of(app.bench.solved.plan) is UnitSystem.FEET
    check = check_of(codec, "12 in" if feet else "30 cm", feet=feet)

    def answered(text: str | None) -> None:
        if text is not None:
            move(from_text(codec, text, feet=feet))

    app.push_screen(Ask(title, unit=typed.bare_unit(codec, feet=feet), check=check), answered)


def bag(app: Core) -> None:
    """Say how many wickets the bag holds today, and where chalk stands for them."""

    def answered(text: str | None) -> None:
        if text is None:
            return
        app.edit(lambda plan: edits.set_bag(plan, from_text(_BAG, text)))
        if not app.bench.told.refused:
            app.bench.also(dealt(app.bench.in_wave), ": ")
            app.show()

    now = str(app.bench.plan.kit.wickets)
    ask = Ask("how many wickets the bag holds", check=check_of(_BAG, "12"), value=now)
    app.push_screen(ask, answered)


def everything(app: Core) -> None:
    """Move the whole practice to other lanes, another line, or another ground."""
    opened = app.bench.opened
    folder = shelf.working_folder() if opened.untitled else opened.path.parent

    def edit_of(plan: Plan, text: str) -> Edit:
        ground, file, rest = _ground_in(plan, folder, text)
        line, lanes = _line_and_lanes(rest, plan.ground if ground is None else ground)
        if ground is None:
            if line is None and not lanes:
                raise DomainError("write lanes, such as 5, 6, the name of a line, or a ground file")
            return edits.move_everything(plan, line=line, lanes=lanes)
        # What has no file yet lies in no folder: it takes the numbers and names no file.
        named = None if opened.untitled else file
        return edits.move_to_ground(plan, ground, named, line=line, lanes=lanes)

    def refused(text: str) -> str:
        try:
            edit_of(app.bench.plan, text)
        except (DomainError, PlanFileError) as error:
            return str(error)
        return ""

    def answered(text: str | None) -> None:
        if text is not None:
            app.edit(lambda plan: edit_of(plan, text))

    lines = ", ".join(app.bench.plan.ground.lines)
    grounds = ", ".join([*shelf.grounds_in(folder), *_kinds_of(app.bench.plan)])
    hint = f"lanes, such as 5, 6; a line: {lines}; another ground: {grounds}"
    app.push_screen(Ask("everything to", check=refused, hint=hint), answered)


def _kinds_of(plan: Plan) -> list[str]:
    """Return the grounds that need no file; what a line here is called is that line."""
    return [kind for kind in GROUNDS if kind not in plan.ground.lines]


def _ground_in(plan: Plan, folder: Path, text: str) -> tuple[Ground | None, str | None, str]:
    """Return the ground a text begins with, its file, and the rest of the text.

    Raises
    ------
    PlanFileError
        When the ground file cannot be read.
    """
    name, end, rest = text.strip().partition(".toml")
    if end:
        return read_ground(folder, name + end), name + end, rest
    kind, _, rest = text.strip().partition(" ")
    kind = kind.strip(",").casefold()
    if kind in _kinds_of(plan):
        return GROUNDS[kind].make(), None, rest
    return None, None, text


def _line_and_lanes(text: str, ground: Ground) -> tuple[str | None, tuple[int, ...]]:
    """Return the line and the lanes of "5, 6", "back straight" or "60 m straight, lanes 2 3"."""
    line = None
    for each in sorted(ground.lines, key=len, reverse=True):
        if each.casefold() in text.casefold():
            line, text = each, re.sub(re.escape(each), " ", text, flags=re.IGNORECASE)
            break
    words = re.sub(r"\blanes?\b", " ", text, flags=re.IGNORECASE).replace(",", " ").split()
    lanes = tuple(dict.fromkeys(int(word) for word in words if word.isdecimal()))
    unknown = " ".join(word for word in words if not word.isdecimal())
    return unknown or line, lanes


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
