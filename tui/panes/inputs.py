"""The editable fields, each with its error beside it in the plan file's words."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import Input

from tui.fields import Field, fields_of
from tui.panes.bars import PlainStatic

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.events import Key

    from tui.bench import Bench


class FieldInput(Input):
    """Where one field is typed; Space goes through the words of a field that takes words."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
        Binding("escape", "leave", show=False),
    ]

    class Left(Message):
        """Escape was pressed: what was typed is put back."""

    def __init__(self, field: Field) -> None:
        super().__init__(
            value=field.text,
            placeholder=_hint(field),
            compact=True,
            id=input_id(field.id),
        )
        self.cursor_blink = False
        self.field = field

    def action_leave(self) -> None:
        """Put back what was there and go back to the keys."""
        self.post_message(self.Left())

    async def _on_key(self, event: Key) -> None:
        words = self.field.words
        if event.key == "space" and words:
            at = words.index(self.value) if self.value in words else -1
            self.value = words[(at + 1) % len(words)]
            self.cursor_position = len(self.value)
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)


def input_id(field_id: str) -> str:
    """Return the widget id of a field."""
    return f"in-{field_id.replace('.', '-').replace('_', '-')}"


class FieldRow(Container):
    """A label and the input, and below them the error when there is one."""

    def __init__(self, field: Field) -> None:
        super().__init__(classes="field")
        self.field = field
        self.label = PlainStatic(field.label, classes="field-label")
        self.box = FieldInput(field)
        self.error: PlainStatic | None = None

    def compose(self) -> ComposeResult:
        """Put the parts in place."""
        yield self.label
        yield self.box

    def show(self, field: Field, draft: str | None, error: str) -> None:
        """Show the field, or what is typed in it and not taken."""
        self.field = field
        box = self.box
        box.field = field
        box.placeholder = _hint(field)
        text = field.text if draft is None else draft
        if box.value != text:
            with box.prevent(Input.Changed):
                box.value = text
        if error and self.error is None:
            self.error = PlainStatic(classes="field-error")
            self.mount(self.error)
        if self.error is not None:
            self.error.say(error)
            self.error.display = bool(error)


def _hint(field: Field) -> str:
    """Return what an empty field says: the words it takes, or the unit of a bare number."""
    return " / ".join(field.words) if field.words else field.unit


def _rows(fields: Sequence[Field]) -> list[PlainStatic | FieldRow]:
    """Return the rows of the fields, each part under its name."""
    rows: list[PlainStatic | FieldRow] = []
    part = ""
    for field in fields:
        if field.part != part:
            part = field.part
            rows.append(PlainStatic(part, classes="field-part"))
        rows.append(FieldRow(field))
    return rows


class InputsPane(VerticalScroll):
    """The fields of some parts of the plan."""

    class Typed(Message):
        """A field was typed in and left or entered."""

        def __init__(self, field: Field, text: str, *, entered: bool) -> None:
            super().__init__()
            self.field = field
            self.text = text
            self.entered = entered

    class Typing(Message):
        """A field holds something it did not."""

        def __init__(self, field: Field, text: str) -> None:
            super().__init__()
            self.field = field
            self.text = text

    class Dropped(Message):
        """What was typed in a field is put back."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

    def __init__(self, parts: tuple[str, ...], bench: Bench, *, id: str) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, can_focus=False)
        self.parts = parts
        self._fields = fields_of(bench.plan, bench.view.athlete, parts)
        self._shape = tuple(field.id for field in self._fields)

    def compose(self) -> ComposeResult:
        """Put the fields in place."""
        yield from _rows(self._fields)

    def show(self, bench: Bench) -> None:
        """Show the fields of the plan and of the athlete on view."""
        fields = fields_of(bench.plan, bench.view.athlete, self.parts)
        shape = tuple(field.id for field in fields)
        if shape != self._shape:
            self._shape = shape
            self._build(fields)
            self.call_after_refresh(self._fill, bench)
            return
        self._fill(bench)

    def _build(self, fields: tuple[Field, ...]) -> None:
        self.remove_children()
        self.mount_all(_rows(fields))

    def _fill(self, bench: Bench) -> None:
        fields = {f.id: f for f in fields_of(bench.plan, bench.view.athlete, self.parts)}
        for row in self.query(FieldRow):
            field = fields.get(row.field.id)
            if field is not None and row.is_mounted:
                error = bench.errors.get(field.draft, "")
                row.show(field, bench.drafts.get(field.draft), error)

    def focus_field(self, field_id: str | None = None) -> None:
        """Put the cursor into a field, the first when none is named."""
        boxes = list(self.query(FieldInput))
        wanted = [box for box in boxes if box.field.id == field_id] or boxes
        if wanted:
            wanted[0].focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Say what is being typed, so that it is kept."""
        event.stop()
        if isinstance(event.input, FieldInput) and event.input.has_focus:
            self.post_message(self.Typing(event.input.field, event.value))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter: take what was typed."""
        event.stop()
        if isinstance(event.input, FieldInput):
            self.post_message(self.Typed(event.input.field, event.value, entered=True))

    def on_input_blurred(self, event: Input.Blurred) -> None:
        """Leaving a field takes what was typed, like Enter."""
        event.stop()
        box = event.input
        if isinstance(box, FieldInput) and box.value != box.field.text:
            self.post_message(self.Typed(box.field, event.value, entered=False))

    def on_field_input_left(self, event: FieldInput.Left) -> None:
        """Escape: put back what was there."""
        event.stop()
        focused = self.screen.focused
        if isinstance(focused, FieldInput):
            self.post_message(self.Dropped(focused.field))
            with focused.prevent(Input.Changed, Input.Blurred):
                focused.value = focused.field.text
            self.screen.set_focus(None)
