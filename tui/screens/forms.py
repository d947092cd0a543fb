"""Forms over the whole screen: an athlete, a new plan, the series of stages."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding
from textual.containers import Vertical

from tui.core import TOO_SMALL
from tui.panes.bars import PlainStatic
from tui.panes.form import Form
from tui.screens.asking import Question
from wicketlay.errors import WicketlayError
from wicketlay.keys.typed import FieldError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from tui.bench.fields import Line

Made = TypeVar("Made")


class FormScreen(Question[Made]):
    """A form that gives what is made of its answers, None when it is left.

    Parameters
    ----------
    title, lines
        What is asked.
    make
        From the answers to the result; FieldError is shown beside its line.
    drafts, keep
        Where what is being typed is noted, and what sees that it is kept: a form that was left,
        or whose program ended, holds it when it is opened again.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False),
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
        Binding("ctrl+s", "done", show=False),
    ]

    def __init__(
        self,
        title: str,
        lines: Sequence[Line],
        make: Callable[[dict[str, str]], Made],
        *,
        drafts: dict[str, str],
        keep: Callable[[], None],
    ) -> None:
        super().__init__()
        self._title = title
        self._given = {line.key: line.value for line in lines}
        self._lines = [
            replace(line, value=drafts.get(self._draft(line.key), line.value)) for line in lines
        ]
        self._make = make
        self._drafts = drafts
        self._keep = keep

    def _draft(self, key: str) -> str:
        """Return the name under which a line is kept."""
        return f"form {self._title}: {key}"

    def compose(self) -> ComposeResult:
        """Put the form in place."""
        with Vertical(id="body"):
            yield PlainStatic(self._title, classes="form-title")
            yield PlainStatic(
                "Enter: next line, on the last one: done. Ctrl+S: done now. Space or a first "
                "letter picks a word. Esc: leave; what is typed stays.",
                classes="asking-hint",
            )
            yield Form(self._lines, id="form")
            yield PlainStatic(id="form-told")
        yield PlainStatic(TOO_SMALL, id="too-small")

    def on_form_done(self, event: Form.Done) -> None:
        """Make what the answers describe, or show what is wrong with them."""
        event.stop()
        self._finish(event.answers)

    def on_form_typing(self, event: Form.Typing) -> None:
        """Note what is being typed."""
        event.stop()
        name = self._draft(event.key)
        if event.text == self._given[event.key]:
            self._drafts.pop(name, None)
        else:
            self._drafts[name] = event.text
        self._keep()

    def action_done(self) -> None:
        """Make it of the answers as they stand."""
        self._finish(self.query_one(Form).answers)

    def _finish(self, answers: dict[str, str]) -> None:
        form = self.query_one(Form)
        try:
            made = self._make(answers)
        except FieldError as error:
            form.refuse({error.key: str(error)})
            return
        except WicketlayError as error:
            self.query_one("#form-told", PlainStatic).say(str(error))
            return
        for key in self._given:
            self._drafts.pop(self._draft(key), None)
        self._keep()
        self.dismiss(made)
