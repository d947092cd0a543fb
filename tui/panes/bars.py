"""The lines around every screen: where we are, and what was done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content
from textual.widgets import Static

from tui.said.shown import place_texts, told_lines
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from tui.bench.bench import Bench


class PlainStatic(Static):
    """A static text that is never read as markup."""

    def __init__(
        self,
        text: str = "",
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name
        classes: str | None = None,
    ) -> None:
        super().__init__(Content(text), id=id, classes=classes, markup=False)

    def say(self, text: str | Content) -> None:
        """Show a text; the screen is laid out anew only where its height may be another."""
        content = Content(text) if isinstance(text, str) else text
        shown = self.content
        if isinstance(shown, Content) and content.is_same(shown):
            return
        lines = self._lines(content)
        self.update(content, layout=lines is None or lines != self._lines(shown))

    def _lines(self, content: object) -> int | None:
        """Return how many lines a text takes, 0 where it has no say; None where it may wrap."""
        height = self.styles.height
        if height is not None and not height.is_auto:
            return 0
        lines = content.split("\n", allow_blank=True) if isinstance(content, Content) else ()
        fits = all(line.cell_length <= self.content_size.width for line in lines)
        return len(lines) if fits else None


def state_of(bench: Bench) -> str:
    """Return in words whether everything that was typed is in the file."""
    if bench.opened.read_only:
        return "read only"
    if bench.unsaved:
        return "not saved"
    return "times not accepted" if bench.reviewing.noted() else "saved"


class TitleBar(PlainStatic):
    """The plan and its file on the left, lane, wave and athlete on the right."""

    def show(self, bench: Bench) -> None:
        """Show which plan and who is on view."""
        state = state_of(bench)
        width = max(self.size.width, 20)
        wordings, most = place_texts(bench), width * 2 // 3
        fitted = next((text for text in wordings if cell_len(text) <= most), wordings[-1])
        here = Content(fitted).truncate(most, ellipsis=True).plain
        room = max(width - cell_len(here) - 3, 8)
        title = bench.plan.title
        nothing_to_say = bench.opened.untitled and state == "saved"
        of_file = bench.opened.name if nothing_to_say else f"{bench.opened.name}, {state}"
        left = f" {title} ({of_file})"
        if cell_len(left) > room:
            # What is not saved is said first: a long title hides its own end, not that.
            said = "" if state == "saved" else f"{state}: "
            left = Content(f" {said}{title}").truncate(room, ellipsis=True).plain
        gap = max(width - cell_len(left) - cell_len(here) - 1, 1)
        self.say(Content.assemble((left, "bold"), " " * gap, (here, "bold")))


class ToldBar(PlainStatic):
    """What the last key did: which marks moved and by how much, and what was held."""

    def show(self, bench: Bench) -> None:
        """Show what was last done."""
        width = max(self.size.width - 2, 20)
        done, held = told_lines(bench.told, unit_of(bench.solved.plan), width)
        self.set_class(bench.told.refused, "-refused")
        style = "bold"
        if bench.told.refused:
            self.say(Content.assemble(("not done:", "bold reverse"), (" " + done, style)))
        else:
            # A line each: what was held is not pushed off by a long name.
            done = Content(done).truncate(width, ellipsis=True).plain if held else done
            self.say(Content.assemble((done, style), "\n", held))
