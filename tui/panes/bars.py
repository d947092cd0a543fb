"""The lines around every screen: where we are, and what was done."""

from __future__ import annotations

from itertools import pairwise, zip_longest
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Region
from textual.widgets import Static

from tui.said.shown import place_texts, told_lines
from wicketlay.export import unit_of

if TYPE_CHECKING:
    from typing import Self

    from tui.bench.bench import Bench


_APART = 24
"""Cells that stand between two changes and are written rather than jumped over."""


class PlainStatic(Static):
    """A static text that is never read as markup, and is drawn anew only where it changed."""

    _only: tuple[Region, ...] = ()

    def __init__(
        self,
        text: str = "",
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name
        classes: str | None = None,
    ) -> None:
        super().__init__(Content(text), id=id, classes=classes, markup=False)

    def say(self, text: str | Content) -> None:
        """Show a text; what stands there already is not written to a slow line again."""
        content = Content(text) if isinstance(text, str) else text
        shown = self.content
        if not isinstance(shown, Content):
            self.update(content)
        elif not content.is_same(shown):
            height = self.styles.height
            fixed = height is not None and not height.is_auto
            self._only = changed_regions(shown, content, self.content_size.width, fixed=fixed)
            self.update(content, layout=not self._only)
            self._only = ()

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,
        recompose: bool = False,
    ) -> Self:
        """Have the regions drawn anew, while a text is said those that it changes."""
        return super().refresh(
            *(regions or self._only), repaint=repaint, layout=layout, recompose=recompose
        )


def changed_regions(
    shown: Content, content: Content, width: int, *, fixed: bool
) -> tuple[Region, ...]:
    """Return where two texts differ; none when the new one may be laid out otherwise.

    `fixed` tells that the height does not follow the number of lines.
    """
    before, after = shown.split("\n", allow_blank=True), content.split("\n", allow_blank=True)
    if len(before) != len(after) and not fixed:
        return ()
    regions = []
    for y, (old, new) in enumerate(zip_longest(before, after, fillvalue=Content(""))):
        if max(old.cell_length, new.cell_length) > width:
            return ()  # it is wrapped, and lines below it may move
        if old.is_same(new):
            continue
        wide = len(old) != old.cell_length or len(new) != new.cell_length
        pairs = list(zip_longest(_cells(old), _cells(new), fillvalue=(" ", ())))
        at = [x for x, (was, now) in enumerate(pairs) if was != now]
        if wide:
            regions.append(Region(0, y, width, 1))
            continue
        breaks = [n for n, (here, then) in enumerate(pairwise(at), 1) if then - here > _APART]
        for start, end in pairwise([0, *breaks, len(at)] if at else []):
            regions.append(Region(at[start], y, at[end - 1] + 1 - at[start], 1))
    return tuple(regions)


def _cells(line: Content) -> list[tuple[str, tuple[str, ...]]]:
    """Return each character of a line with its styles."""
    styles: list[list[str]] = [[] for _ in line.plain]
    for span in line.spans:
        for at in range(span.start, min(span.end, len(styles))):
            styles[at].append(str(span.style))
    return list(zip(line.plain, map(tuple, styles), strict=True))


def state_of(bench: Bench) -> str:
    """Return in words whether everything that was typed is in the file."""
    if bench.opened.read_only:
        return "read only"
    if bench.unsaved:
        return "not saved"
    return "times not accepted" if bench.reviewing.noted() else "saved"


class TitleBar(PlainStatic):
    """The plan and its file on the left, lane, wave and athlete on the right."""

    def show(self, bench: Bench, screen: str) -> None:
        """Show where we are."""
        state = state_of(bench)
        width = max(self.size.width, 20)
        wordings, most = place_texts(bench), width * 2 // 3
        fitted = next((text for text in wordings if cell_len(text) <= most), wordings[-1])
        here = Content(fitted).truncate(most, ellipsis=True).plain
        room = max(width - cell_len(here) - 3, 8)
        title = bench.plan.title
        nothing_to_say = bench.opened.untitled and state == "saved"
        of_file = bench.opened.name if nothing_to_say else f"{bench.opened.name}, {state}"
        left = f" {screen} │ {title} ({of_file})"
        if cell_len(left) > room:
            # What is not saved is said first: a long title hides its own end, not that.
            said = "" if state == "saved" else f"{state}: "
            left = Content(f" {screen} │ {said}{title}").truncate(room, ellipsis=True).plain
        gap = max(width - cell_len(left) - cell_len(here) - 1, 1)
        self.say(Content.assemble((left, "bold"), " " * gap, (here, "bold")))


class ToldBar(PlainStatic):
    """What the last key did: which marks moved and by how much, and what was held."""

    def show(self, bench: Bench) -> None:
        """Show what was last done."""
        width = max(self.size.width - 2, 20)
        done, held = told_lines(bench.told, unit_of(bench.solved), width)
        self.set_class(bench.told.refused, "-refused")
        style = "bold"
        if bench.told.refused:
            self.say(Content.assemble(("not done: ", "bold reverse"), (" " + done, style)))
        else:
            # A line each: what was held is not pushed off by a long name.
            done = Content(done).truncate(width, ellipsis=True).plain if held else done
            self.say(Content.assemble((done, style), "\n", held))
