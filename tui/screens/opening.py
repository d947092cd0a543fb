"""Opening a plan: the recent ones by number, or a path typed."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input

from tui.panes.bars import PlainStatic
from tui.screens.asking import Question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

_KEYS = "123456789"


class OpenPlan(Question[str]):
    """Asks for a plan; gives its path, None when left.

    Parameters
    ----------
    recent
        Plans opened lately, latest first.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", show=False)]

    def __init__(self, recent: Sequence[Path]) -> None:
        super().__init__()
        self._recent = tuple(recent)[: len(_KEYS)]

    def compose(self) -> ComposeResult:
        """Put the list above the line to type in."""
        with Vertical(classes="asking"):
            yield PlainStatic("open a plan", classes="asking-title")
            listed = PlainStatic()
            pieces: list[str | tuple[str, str]] = []
            for key, path in zip(_KEYS, self._recent, strict=False):
                pieces += [
                    (f" {key} ", "bold reverse"),
                    f" {path.name}  ",
                    (str(path.parent), "$bench-faint"),
                    "\n",
                ]
            listed.say(Content.assemble(*pieces) if pieces else Content("no recent plans"))
            yield listed
            with Horizontal(classes="asking-line"):
                yield PlainStatic("number or path", classes="asking-title")
                box = Input(classes="form-input", compact=True)
                box.cursor_blink = False
                yield box
            yield PlainStatic("Enter opens, Esc leaves", classes="asking-hint")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the plan that was named."""
        text = event.value.strip()
        number = text or "1"
        if number in _KEYS and int(number) <= len(self._recent):
            self.dismiss(str(self._recent[int(number) - 1]))
            return
        # These two take any text; those of Path raise at some.
        path = Path(os.path.expanduser(text))  # noqa: PTH111
        if not text or not os.path.isfile(path):  # noqa: PTH113
            hint = self.query_one(".asking-hint", PlainStatic)
            hint.add_class("-error")
            hint.say(f"{text or 'nothing'} is not a file; type the path of a .toml plan")
            return
        self.dismiss(str(path))
