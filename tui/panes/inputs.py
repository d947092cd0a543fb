"""The editable fields, each with its error below it in the plan file's words."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import AwaitMount
from textual.widgets import Input

from tui.bench.fields import Field, fields_of
from tui.panes.bars import PlainStatic

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.events import Key
    from textual.geometry import Region

    from tui.bench.bench import Bench


class FieldInput(Input):
    """Where one field is typed; Space goes through the words of a field that takes words.

    A plan has half a hundred fields, and what each of them costs is felt at the start and at
    every change: the label is drawn into the padding on the left, which is a widget less, and
    how label, cursor and selection look is asked of the pane, which has it once for all.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
        Binding("escape", "leave", show=False),
    ]

    compact = reactive(default=True, toggle_class="-textual-compact")

    class Left(Message):
        """Escape was pressed: what was typed is put back."""

    def __init__(self, field: Field) -> None:
        # Both from the start: else the library sets each after, and styles the field once more.
        looks = "-valid -textual-compact"
        super().__init__(value=field.text, placeholder=_hint(field), compact=True, classes=looks)
        self.cursor_blink = False
        self.field = field
        self._known = field.text
        self.error: PlainStatic | None = None
        self.own: PlainStatic | None = None

    @classmethod
    @cache
    def _get_component_classes(cls) -> frozenset[str]:
        """Return no part: a library that does not ask only takes longer."""
        return frozenset()

    def get_component_rich_style(
        self, *names: str, partial: bool = False, default: Style | None = None
    ) -> Style:
        """Return how a part of the field looks."""
        pane = self.parent
        if not isinstance(pane, InputsPane):
            return super().get_component_rich_style(*names, partial=partial, default=default)
        part = pane.get_component_styles(*names)
        ground = self.background_colors[1] + part.background
        letters = ground.get_contrast_text(part.color.a) if part.auto_color else part.color
        drawn = Style.from_color((ground + letters).rich_color, ground.rich_color)
        return self.styles.text_style + part.text_style + drawn

    def render_lines(self, crop: Region) -> list[Strip]:
        """Draw the label over the padding; blank when a picture under way meets a field that went.

        A field that was taken out has no pane that says how its label looks.
        """
        if self.parent is None:
            return [Strip.blank(crop.width)] * crop.height
        strips = super().render_lines(crop)
        left = int(self.styles.padding.left)
        if not strips or crop.y > 0 or crop.x >= left:
            return strips
        text = f"{self.field.label[: left - 2]:<{left - 1}}"
        style = self.get_component_rich_style("field-input--label")
        label = Strip([Segment(text, style)], left - 1).crop(crop.x)
        for each in self.get_line_filters():
            label = label.apply_filter(each, self.background_colors[1])
        strips[0] = Strip.join([label, strips[0].crop(label.cell_length)])
        return strips

    def hand_over(self) -> str:
        """Return what stands in the field, to be taken; from now on it is known."""
        self._known = self.value
        return self.value

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

    def show(self, field: Field, draft: str | None, error: str) -> None:
        """Show the field, or what is typed in it and not taken.

        What was typed a moment ago, and is on its way to becoming a draft, stays.
        """
        self.field = field
        self.placeholder = _hint(field)
        text = field.text if draft is None else draft
        under_way = self.has_focus and self.value not in (self._known, text)
        if not under_way:
            with self.prevent(Input.Changed):
                self.value = text
            self._known = text
        pane = self.parent
        if error and self.error is None and isinstance(pane, VerticalScroll):
            self.error = PlainStatic(classes="field-error")
            pane.mount(self.error, after=self)
        if self.error is not None:
            self.error.say(error)
            self.error.display = bool(error)
        if field.own and self.own is None and isinstance(pane, VerticalScroll):
            self.own = PlainStatic(classes="field-own")
            pane.mount(self.own, after=self)
        if self.own is not None:
            self.own.say(field.own)
            self.own.display = bool(field.own)


def _hint(field: Field) -> str:
    """Return what an empty field says: the words it takes, or the unit of a bare number."""
    return " / ".join(field.words) if field.words else field.unit


def _told_of(field: Field, bench: Bench) -> bool:
    """Return whether more is shown of a field than the plan says."""
    return bool(field.own) or field.draft in bench.drafts or field.draft in bench.errors


def _rows(fields: Sequence[Field], part: str = "") -> list[PlainStatic | FieldInput]:
    """Return the rows of the fields, each part under its name; of that part where it is given."""
    rows: list[PlainStatic | FieldInput] = []
    for field in fields:
        if field.part != part:
            part = field.part
            rows.append(PlainStatic(part, classes="field-part"))
        rows.append(FieldInput(field))
    return rows


class InputsPane(VerticalScroll):
    """The fields of some parts of the plan.

    A start makes those that are on view; the ones below are made when somebody goes to them.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "field-input--label",
        "input--cursor",
        "input--placeholder",
        "input--selection",
    }

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

    def __init__(
        self,
        parts: tuple[str, ...],
        bench: Bench,
        *,
        id: str,  # noqa: A002 - Textual's own name
    ) -> None:
        super().__init__(id=id, can_focus=False)
        self.parts = parts
        self._fields = fields_of(bench.plan, bench.view.athlete, parts)
        self._made = len(self._fields)
        """How many of them are made; for the others there is `_room`."""
        self._room = PlainStatic(id="fields-below")

    def compose(self) -> ComposeResult:
        """Put the fields in place that may be on view."""
        self._made = self.app.size.height // 2 + 1
        made, below = self._fields[: self._made], self._fields[self._made :]
        yield from _rows(made)
        if below:
            parts = {field.part for field in below} - {field.part for field in made}
            self._room.styles.height = len(below) + len(parts)
            yield self._room

    def make_all(self) -> AwaitMount:
        """Put the other fields in place too."""
        made, below = self._fields[: self._made], self._fields[self._made :]
        if not below:
            return AwaitMount(self, ())
        self._made = len(self._fields)
        self._room.display = False
        return self.mount_all(_rows(below, made[-1].part), before=self._room)

    def on_descendant_focus(self) -> None:
        """Have all the fields that are gone through from here."""
        self.make_all()

    def on_resize(self) -> None:
        """Have the fields that a taller pane shows."""
        if self.size.height > self._made:
            self.make_all()

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Have the fields that come on view."""
        super().watch_scroll_y(old_value, new_value)
        self.make_all()

    def show(self, bench: Bench) -> None:
        """Show the fields of the plan and of the athlete on view."""
        before = [field.id for field in self._fields]
        self._fields = fields_of(bench.plan, bench.view.athlete, self.parts)
        if before != [field.id for field in self._fields]:
            self._made = len(self._fields)
            self.call_later(self._rebuild, bench)
        elif any(_told_of(field, bench) for field in self._fields[self._made :]):
            self.call_later(self._show_all, bench)
        else:
            self._fill(bench)

    async def _show_all(self, bench: Bench) -> None:
        """Show what there is to say of fields below those on view."""
        await self.make_all()
        self.show(bench)

    async def _rebuild(self, bench: Bench) -> None:
        """Put other fields in place, as after a change of the drill."""
        await self.remove_children()
        await self.mount_all(_rows(self._fields))
        self.show(bench)

    def _fill(self, bench: Bench) -> None:
        by_id = {field.id: field for field in self._fields}
        for box in self.query(FieldInput):
            field = by_id.get(box.field.id)
            if field is not None and box.is_mounted:
                error = bench.errors.get(field.draft, "")
                box.show(field, bench.drafts.get(field.draft), error)

    def focus_field(self, field_id: str | None = None) -> None:
        """Put the cursor into a field, the first when none is named."""
        self.make_all()
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
            text = event.input.hand_over()
            self.post_message(self.Typed(event.input.field, text, entered=True))

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
