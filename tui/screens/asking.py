"""Small questions at the foot of the screen: a number, a name, a choice. Each gives a result."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input

from tui.core import HEIGHTS, WIDTHS
from tui.panes.bars import PlainStatic
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.events import Key


Result = TypeVar("Result")


class Question(ModalScreen[Result | None], Generic[Result]):
    """What stands over a screen until it gives a result, or is left and gives None."""

    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    def action_leave(self) -> None:
        """Leave without a result."""
        self.dismiss(None)


class Ask(Question[str]):
    """One line to type in; Enter takes it, Escape leaves it.

    Parameters
    ----------
    title
        What is asked, from which mark to which.
    unit
        Unit of a bare number.
    check
        Returns why a text cannot be taken, "" when it can.
    value
        What stands there at first.
    hint
        What may be typed, where the title does not say it all.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", show=False)]

    def __init__(
        self,
        title: str,
        *,
        unit: str = "",
        check: Callable[[str], str],
        value: str = "",
        hint: str = "",
    ) -> None:
        super().__init__()
        self._title = title
        self._unit = unit
        self._check = check
        self._value = value
        self._hint = hint

    def compose(self) -> ComposeResult:
        """Put the line in place."""
        with Vertical(classes="asking"):
            with Horizontal(classes="asking-line"):
                yield PlainStatic(self._title, classes="asking-title")
                box = Input(self._value, classes="form-input", compact=True)
                box.cursor_blink = False
                yield box
                yield PlainStatic(self._unit, classes="asking-unit")
            if self._hint:
                yield PlainStatic(self._hint, classes="asking-option")
            yield PlainStatic("Enter takes it, Esc leaves it", classes="asking-hint")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the text, or say why not."""
        why = self._check(event.value)
        if why:
            hint = self.query_one(".asking-hint", PlainStatic)
            hint.add_class("-error")
            hint.say(why)
            return
        self.dismiss(event.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One answer: its key, what it does, and the result it gives.

    One that loses something wants its key a `second` time.
    """

    key: str
    text: str
    result: str
    second: bool = False


class Choose(Question[str]):
    """A few answers, one key each; Escape gives none.

    Parameters
    ----------
    title, lines
        What is asked, and what must be known to answer.
    options
        The answers; Enter gives the first.
    """

    AUTO_FOCUS = ""

    def __init__(self, title: str, lines: Sequence[str], options: Sequence[Option]) -> None:
        super().__init__()
        self._title = title
        self._lines = lines
        self._options = options
        self._once: _OptionLine | None = None

    def compose(self) -> ComposeResult:
        """Put question and answers in place."""
        with Vertical(classes="asking"):
            yield PlainStatic(self._title, classes="asking-title")
            with VerticalScroll(classes="asking-text"):
                yield PlainStatic("\n".join(self._lines))
            for place, option in enumerate(self._options):
                keys = f"{option.key} or Enter" if place == 0 else option.key
                yield _OptionLine(keys, option)
            yield PlainStatic("Esc: go back", classes="asking-hint")

    def on_key(self, event: Key) -> None:
        """Give the answer of a key; one that is no answer leaves the question as it was."""
        event.stop()
        if event.key == "escape":
            self.dismiss(None)
            return
        before, self._once = self._once, None
        if before is not None:
            before.ask(again=False)
        for place, line in enumerate(self.query(_OptionLine)):
            if event.key == line.option.key or (place == 0 and event.key == "enter"):
                if line.option.second and line is not before:
                    self._once = line
                    line.ask(again=True)
                else:
                    self.dismiss(line.option.result)
                return

    def on_click(self) -> None:
        """Clicks are the option lines' own; see there."""


class _OptionLine(PlainStatic):
    """One answer; a click gives it."""

    def __init__(self, keys: str, option: Option) -> None:
        super().__init__(classes="asking-option")
        self.option = option
        self._keys = keys
        self.ask(again=False)

    def ask(self, *, again: bool) -> None:
        """Show key and answer, or that the key is wanted once more."""
        keys = f" {self._keys} " if not again else f" {self._keys} again "
        self.say(Content.assemble((keys, "bold reverse"), f" {self.option.text}"))

    def on_click(self) -> None:
        """Give this answer."""
        if isinstance(self.screen, Choose):
            self.screen.dismiss(self.option.result)


class Reader(Question[None]):
    """A text to read; arrows scroll, any of Escape, Enter and q goes back."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q,f,question_mark", "leave", show=False)
    ]

    def __init__(self, title: str, content: Content) -> None:
        super().__init__()
        self._title = title
        self._content = content

    def compose(self) -> ComposeResult:
        """Put the text in place."""
        with Vertical(classes="reading"):
            yield PlainStatic(self._title, classes="asking-title")
            with VerticalScroll(classes="reading-text"):
                text = PlainStatic()
                text.say(self._content)
                yield text
            yield PlainStatic("arrows scroll, Esc goes back", classes="asking-hint")

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one(".reading-text").focus()
