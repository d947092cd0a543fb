"""Keys that change the plan: binding, edit, history, solve, panes."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tui import texts
from tui.panes.inputs import FieldInput, InputsPane
from tui.routes_look import LookRoutes
from tui.screens.asking import Ask
from tui.texts import FieldError, from_text
from wicketlay import edits
from wicketlay.export import unit_of
from wicketlay.keys.codecs import length
from wicketlay.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Callable

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


class EditRoutes(LookRoutes):
    """From changing keys to edits."""

    def edit(self, make: Callable[[Plan], Edit]) -> None:
        """Change the plan and show what came of it."""
        if self.bench.do(make):
            self.changed()
        else:
            self.show()

    def edit_athlete(self, make: Callable[[Plan, str], Edit]) -> None:
        """Change the plan for the athlete on view."""
        name = self.bench.view.athlete
        if name is None:
            self.say("there is no athlete to change; add one on the squad screen", refused=True)
            return
        self.edit(lambda plan: make(plan, name))

    def action_gaps_wider(self) -> None:
        """Gaps a notch wider."""
        self.edit_athlete(lambda plan, who: edits.notch_gaps(plan, who, 1))

    def action_gaps_tighter(self) -> None:
        """Gaps a notch tighter."""
        self.edit_athlete(lambda plan, who: edits.notch_gaps(plan, who, -1))

    def action_speed_up(self) -> None:
        """Speed a notch up."""
        self.edit_athlete(lambda plan, who: edits.notch_speed(plan, who, 1))

    def action_speed_down(self) -> None:
        """Speed a notch down."""
        self.edit_athlete(lambda plan, who: edits.notch_speed(plan, who, -1))

    def action_cadence_up(self) -> None:
        """Cadence a notch up."""
        self.edit_athlete(lambda plan, who: edits.notch_cadence(plan, who, 1))

    def action_cadence_down(self) -> None:
        """Cadence a notch down."""
        self.edit_athlete(lambda plan, who: edits.notch_cadence(plan, who, -1))

    def action_absent(self) -> None:
        """Absent, or back; when somebody goes, the next one is looked at."""
        name = self.bench.view.athlete
        if name is None:
            return
        absent = not self.bench.plan.adjustment(name).absent
        self.edit(partial(edits.set_absent, athlete=name, absent=absent))

    def action_slide(self) -> None:
        """Move all marks."""
        self._ask_move(
            "move all marks by (+ on, - back)",
            _SLIDE,
            lambda by_m: self.edit(lambda plan: edits.slide(plan, by_m)),
        )

    def action_shift_start(self) -> None:
        """Move the athlete's start mark."""
        who = self.bench.view.athlete or "nobody"
        self._ask_move(
            f"move the start mark of {who} by (+ on, - back)",
            _SHIFT,
            lambda by_m: self.edit_athlete(lambda plan, who: edits.shift_start(plan, who, by_m)),
        )

    def _ask_move(self, title: str, codec: Codec, move: Callable[[float], None]) -> None:
        """Ask for a move in the tape's small unit, then make it."""
        feet = unit_of(self.bench.solved) is UnitSystem.FEET
        check = check_of(codec, "12 in" if feet else "30 cm", feet=feet)

        def answered(text: str | None) -> None:
            if text is not None:
                move(from_text(codec, text, feet=feet))

        self.push_screen(Ask(title, unit=texts.unit_of(codec, feet=feet), check=check), answered)

    def action_undo(self) -> None:
        """Take the last change back."""
        self.bench.undo()
        self.changed()

    def action_redo(self) -> None:
        """Do again what was taken back."""
        self.bench.redo()
        self.changed()

    # --- fields ---------------------------------------------------------------------------------

    def action_inputs(self) -> None:
        """Go to the fields of the screen."""
        panes = list(self.screen.query(InputsPane))
        if not panes:
            self._go("plan")
            self.call_after_refresh(self.action_inputs)
            return
        panes[0].focus_field(next(iter(self.bench.errors), None))

    def take_typed(self) -> None:
        """Take what stands in the field with the cursor, before something else is done."""
        focused = self.screen.focused
        if isinstance(focused, FieldInput) and focused.value != focused.field.text:
            self.bench.type_in(focused.field, focused.hand_over())

    def on_inputs_pane_typing(self, event: InputsPane.Typing) -> None:
        """Keep what is being typed."""
        self.bench.typing(event.field, event.text)
        self.keep_soon()

    def on_inputs_pane_typed(self, event: InputsPane.Typed) -> None:
        """Take what was typed; Enter goes on to the next field when it was taken."""
        taken = self.bench.type_in(event.field, event.text)
        self.changed()
        if taken and event.entered:
            self.screen.focus_next(FieldInput)

    def on_inputs_pane_dropped(self, event: InputsPane.Dropped) -> None:
        """Put back what was there."""
        self.bench.drop(event.field)
        self.changed()
