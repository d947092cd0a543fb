"""The first minute: four things asked on one screen, the marks below them at every key."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content

from tui.bench.first import LINES, First, first_of
from tui.core import TOO_SMALL
from tui.panes.bars import PlainStatic
from tui.panes.form import Form, FormInput
from tui.panes.keys import ClickBar, clickable
from tui.screens.asking import Choose, Option, Question
from wicketlay.errors import WicketlayError
from wicketlay.keys.typed import FieldError
from wicketlay.units import UnitSystem

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.binding import BindingType

OPEN, SAVE, PRINT, UNIT, QUIT = "open", "save", "print", "unit", "quit"
_ASKED = "four answers and the marks; Enter takes what stands there and goes on"
_WAYS = (
    ("enter", "Enter", "workbench", OPEN),
    ("s,ctrl+s", "s", "save", SAVE),
    ("p", "p", "print", PRINT),
    ("u", "u", "feet or metres", UNIT),
    ("q,ctrl+q", "q", "quit", QUIT),
)
_WHILE_TYPING = (
    ("Enter", "next line", "next"),
    ("Esc", "to the marks, to print", "leave"),
    ("^S", "save", f"way('{SAVE}')"),
    ("^Q", "quit", f"way('{QUIT}')"),
)
"""What the keys do while a line is typed in: a letter is a letter."""
_LEFT = "leave the four questions"
_NO_MARKS = "no marks yet"


class FirstScreen(Question[tuple[str, First]]):
    """Gives what is wanted next and what the answers stand for; None when it is left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False),
        Binding("i", "answers", show=False),
        *(Binding(keys, f"way('{way}')", show=False) for keys, _, _, way in _WAYS),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._unit = UnitSystem.METRIC
        self._made: First | None = None

    def compose(self) -> ComposeResult:
        """Put the questions above the marks, and what can be done next below them."""
        with Vertical(id="body"):
            yield PlainStatic(_ASKED, classes="form-title")
            yield Form(LINES, id="first-form")
            with VerticalScroll(id="first-marks", can_focus=True) as scroll:
                scroll.border_title = "marks"
                yield PlainStatic(id="first-table")
            yield ClickBar(id="first-ways")
        yield PlainStatic(TOO_SMALL, id="too-small")

    def on_mount(self) -> None:
        """Show the marks of what stands there."""
        self._show()

    def on_descendant_focus(self) -> None:
        """Show what the keys do where the cursor is now."""
        then = [(shown, text, f"way('{way}')") for _, shown, text, way in _WAYS]
        keys = _WHILE_TYPING if self._typing else (*then, ("i", "answers", "answers"))
        entries = [
            clickable(
                Content.assemble((f" {shown}", "bold $accent"), f" {text} "), f"screen.{action}"
            )
            for shown, text, action in keys
        ]
        self.query_one("#first-ways", ClickBar).say(Content.assemble(*entries))

    @property
    def _typing(self) -> bool:
        return isinstance(self.focused, FormInput)

    def on_form_typing(self, event: Form.Typing) -> None:
        """Show the marks of what is being typed."""
        event.stop()
        self._show()

    def on_form_done(self, event: Form.Done) -> None:
        """Go to the marks, where a letter says what is next; or to the line that is refused."""
        event.stop()
        self._show(go=True)
        if self._made is not None:
            self.query_one("#first-marks").focus()

    def _show(self, *, go: bool = False) -> None:
        form = self.query_one(Form)
        self._made, errors, told = None, {}, _NO_MARKS
        try:
            self._made = first_of(form.answers, self._unit)
            told = self._made.table
        except FieldError as error:
            errors = {error.key: str(error)}
        except WicketlayError as error:
            told = str(error)
        form.refuse(errors, go=go)
        self.query_one("#first-table", PlainStatic).say(told)

    def action_way(self, way: str) -> None:
        """Go on, where there are marks to go on with."""
        if way == UNIT:
            metric = self._unit is UnitSystem.METRIC
            self._unit = UnitSystem.FEET if metric else UnitSystem.METRIC
            self._show()
        elif way == QUIT:
            if self.query_one(Form).touched:
                self._ask_to_leave()
            else:
                self.app.exit(0)
        elif self._made is not None:
            self.dismiss((way, self._made))
        else:
            self._show(go=True)

    def action_next(self) -> None:
        """Take the line that the cursor is in, as Enter does."""
        if isinstance(self.focused, FormInput):
            self.run_worker(self.focused.action_submit())

    def action_answers(self) -> None:
        """Go back to the first line."""
        self.query(FormInput).first().focus()

    def action_leave(self) -> None:
        """Leave a line for the marks; from there ask what instead of the four answers."""
        if self._typing:
            self.query_one("#first-marks").focus()
        else:
            self._ask_to_leave()

    def _ask_to_leave(self) -> None:
        """Ask what instead: what is typed here is kept nowhere."""

        def answered(result: str | None) -> None:
            if result == QUIT:
                self.app.exit(0)
            elif result == OPEN:
                self.dismiss(None)

        options = [
            Option(key="q", text="quit", result=QUIT),
            Option(key="w", text="look about in the workbench, with an example", result=OPEN),
        ]
        self.app.push_screen(Choose(_LEFT, [], options), answered)
