"""The findings of the laying on view, gravest first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from tui.panes.bars import PlainStatic
from tui.said.shown import findings_of
from wicketlay.findings import Level
from wicketlay.wording.solved import count_text

if TYPE_CHECKING:
    from tui.bench.bench import Bench

_WORDS = {Level.STOP: "STOP", Level.CAUTION: "caution", Level.NOTE: "note"}
_STYLES = {Level.STOP: "bold reverse $error", Level.CAUTION: "bold $warning", Level.NOTE: "bold"}


def findings_content(bench: Bench, *, counted: bool = True) -> Content:
    """Return all findings in words; a stop is told by its word, not by its colour."""
    findings = findings_of(bench)
    lines: list[Content] = []
    if any(level is Level.STOP for level, _ in findings):
        lines.append(Content.styled("DO NOT LAY OUT", _STYLES[Level.STOP]))
    if counted:
        lines.append(Content.styled(count_text(findings), "$bench-faint"))
    for level, text in findings:
        lines.append(Content.assemble((f"{_WORDS[level]}:", _STYLES[level]), f" {text}"))
    return Content("\n").join(lines)


class FindingsPane(PlainStatic):
    """What the checks say; it scrolls within its box, `f` opens it alone.

    `counted` tells whether how many there are stands above them.
    """

    def __init__(self, *, id: str | None = None, counted: bool = True) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id)
        self._counted = counted

    def show(self, bench: Bench) -> None:
        """Show the findings of the laying on view and of the plan."""
        self.say(findings_content(bench, counted=self._counted))
