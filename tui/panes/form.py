"""A form: labelled lines to type in, some shown only when another says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import Input

from tui.panes.bars import PlainStatic

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult
    from textual.events import Key

    from tui.bench.fields import Line


class FormInput(Input):
    """Where one line is typed."""

    def __init__(self, line: Line) -> None:
        super().__init__(
            value=line.value,
            placeholder=line.hint,
            compact=True,
            classes="form-input",
            id=f"form-{line.key.replace('_', '-')}",
        )
        self.line = line
        self.cursor_blink = False

    async def _on_key(self, event: Key) -> None:
        words = self.line.words
        if words and self._pick(event):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)

    def _pick(self, event: Key) -> bool:
        """Take a word by Space or by its first letter; return whether one was taken."""
        words = self.line.words
        if event.key == "space":
            at = words.index(self.value) if self.value in words else -1
            self.value = words[(at + 1) % len(words)]
        else:
            starting = [word for word in words if event.character and word[0] == event.character]
            if not starting:
                return event.is_printable
            at = starting.index(self.value) if self.value in starting else -1
            self.value = starting[(at + 1) % len(starting)]
        self.cursor_position = len(self.value)
        return True


class _FormRow(Container):
    def __init__(self, line: Line) -> None:
        super().__init__(classes="form-row")
        self.line = line
        self.box = FormInput(line)
        self.error = PlainStatic(classes="field-error")
        self.error.display = False

    def compose(self) -> ComposeResult:
        yield PlainStatic(self.line.label, classes="form-label")
        yield self.box
        hint = " / ".join(self.line.words) if self.line.words else self.line.unit
        yield PlainStatic(hint, classes="form-unit")
        yield self.error


class Form(VerticalScroll):
    """Lines from top to bottom; Enter goes on to the next, from the last it is done."""

    class Done(Message):
        """Enter was pressed on the last line."""

        def __init__(self, answers: dict[str, str]) -> None:
            super().__init__()
            self.answers = answers

    class Typing(Message):
        """A line holds something else than before."""

        def __init__(self, key: str, text: str) -> None:
            super().__init__()
            self.key = key
            self.text = text

    def __init__(self, lines: Sequence[Line], *, id: str) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, can_focus=False)
        self._lines = tuple(lines)

    def compose(self) -> ComposeResult:
        """Put the lines in place."""
        for line in self._lines:
            yield _FormRow(line)

    def on_mount(self) -> None:
        """Show the lines there are to answer, and begin with the first."""
        self._show_wanted()
        self.query(FormInput).first().focus()

    @property
    def answers(self) -> dict[str, str]:
        """What stands in the lines on view, by key."""
        return {row.line.key: row.box.value for row in self._rows()}

    @property
    def touched(self) -> bool:
        """Whether a line on view holds something else than at first."""
        return any(row.box.value != row.line.value for row in self._rows())

    def _rows(self) -> list[_FormRow]:
        return [row for row in self.query(_FormRow) if row.display]

    def _show_wanted(self) -> None:
        values = {row.line.key: row.box.value for row in self.query(_FormRow)}
        for row in self.query(_FormRow):
            if row.line.when is not None:
                key, words = row.line.when
                row.display = values[key] in words

    def on_input_changed(self, event: Input.Changed) -> None:
        """Show the lines that a word calls for; what was said of another text goes."""
        event.stop()
        self._show_wanted()
        if isinstance(event.input, FormInput):
            for row in self._rows():
                row.error.display = row.error.display and row.box is not event.input
            self.post_message(self.Typing(event.input.line.key, event.value))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go on to the next line, or be done; a line that is refused is not left."""
        event.stop()
        rows = self._rows()
        at = next((i for i, row in enumerate(rows) if row.box is event.input), 0)
        if at + 1 < len(rows) and rows[at].error.display:
            return
        if at + 1 < len(rows):
            rows[at + 1].query_one(FormInput).focus()
        else:
            self.post_message(self.Done(self.answers))

    def refuse(self, errors: Mapping[str, str], *, go: bool = True) -> None:
        """Show errors beside their lines, and `go` to the first; unknown keys go to the last."""
        rows = self._rows()
        known = {row.line.key for row in rows}
        rest = [text for key, text in errors.items() if key not in known]
        first: _FormRow | None = None
        for row in rows:
            text = errors.get(row.line.key, "")
            if row is rows[-1] and rest:
                text = "; ".join([text, *rest]) if text else "; ".join(rest)
            row.error.say(text)
            row.error.display = bool(text)
            if text and first is None:
                first = row
        if first is not None and go:
            first.query_one(FormInput).focus()
