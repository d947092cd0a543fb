"""The change card: every reading again with the gaps closed or opened, W1 held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.findings import Level
from wicketlay.ground.tape import PullDirection
from wicketlay.practice.notch import gap_changes
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.page.flow import Block, Table, paginate, paragraph
from wicketlay.sheets.page.furniture import banner, frame, signed_percent
from wicketlay.sheets.page.layout import MINUS, Pen, cap_mm
from wicketlay.sheets.page.model import Align, Ink, Role, Sheet
from wicketlay.sheets.page.tables import draw_reading, reading_room_mm
from wicketlay.sheets.pulls import readings_of
from wicketlay.sheets.setting import Setting, findings_of
from wicketlay.units import UnitSystem, format_ticks
from wicketlay.values import dataclass
from wicketlay.wording.names import mark_label

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import TapeSheet
    from wicketlay.sheets.page.layout import Paper


CLOSED = (-0.06, -0.04, -0.02)
OPENED = (0.02, 0.04)
STEPS = (*CLOSED, 0.0, *OPENED)
ROW_MM = 8.0


def change_card(setting: Setting) -> Sheet:
    """Return the change card of one laying; it says "DO NOT LAY OUT" when the tape sheet does."""
    stops = [f for f in findings_of(setting) if f.level is Level.STOP]
    parts = banner(stops, setting.paper, setting.unit) if stops else _parts(setting)
    pages = paginate(parts, frame(setting, "change card"))
    return Sheet(kind="card", group=setting.short_place, title="change card", pages=pages)


def _parts(setting: Setting) -> tuple[Block | Table, ...]:
    laying = setting.laying
    changes = (
        *gap_changes(laying, CLOSED),
        (0.0, laying.tape),
        *gap_changes(laying, OPENED),
    )
    paper = setting.paper
    takeoff = setting.laying.layout.datum is Datum.TAKEOFF_LINE
    held = (
        "The last wicket stays; the start mark moves with W1."
        if takeoff
        else "W1 and the start marks stay."
    )
    lead = (
        f"Change card: all readings with the gaps closed ({MINUS}) or opened (+). {held} "
        "Find the column, lay every mark at its reading."
    )
    choose = (
        "Steps chopped, feet close to the next wicket: one column to the right. Reaching or "
        "bounding: one column to the left. One column at a time; two runs before the next."
    )
    tables = _tables(setting, changes)
    return (
        paragraph(lead, Role.BODY, paper, small=True, below_mm=2.0),
        *tables,
        paragraph(choose, Role.BODY, paper, small=True, above_mm=2.0),
        *_limits(setting),
    )


def _tables(setting: Setting, changes: tuple[tuple[float, TapeSheet], ...]) -> list[Table]:
    """Return a table a zero and direction: all that is read from it at any of the changes.

    A tape that ends elsewhere in another column begins its next pull at another mark; what a
    column reads from another zero stands in that one's table.
    """
    takeoff = setting.laying.layout.datum is Datum.TAKEOFF_LINE
    found: dict[tuple[str, PullDirection], dict[str, dict[float, str]]] = {}
    for change, sheet in ((0.0, setting.laying.tape), *changes):
        for pull in sheet.pulls:
            rows = found.setdefault((pull.zero_id, pull.direction), {})
            for reading in readings_of(sheet, pull):
                kind = setting.laying.placed.mark(reading.mark_id).mark.kind
                if takeoff or kind is MarkKind.WICKET:
                    cells = rows.setdefault(reading.mark_id, {})
                    cells[change] = format_ticks(reading.ticks, reading.tick)
    unit = "m" if setting.unit is UnitSystem.METRIC else "feet and inches"
    tables = []
    for (zero_id, direction), rows in found.items():
        if not rows:
            continue
        order = [mark.id for mark in setting.laying.layout.marks if mark.id in rows]
        walked = order if direction is PullDirection.RUNNING else order[::-1]
        shown = [[rows[each].get(change, "") for change, _ in changes] for each in walked]
        grid = _grid(setting, [change for change, _ in changes], shown)
        made = [
            _row(grid, mark_label(each), cells, fifth=number % 5 == 0 and number < len(walked))
            for number, (each, cells) in enumerate(zip(walked, shown, strict=True), start=1)
        ]
        zero = zero_text(setting.laying, zero_id)
        text = f"From the {zero}, {direction.value}; readings in {unit}"
        tables.append(Table(heading=_heading(grid, text), rows=tuple(made)))
    return tables


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """Columns of the card: their changes, right edges, width, and the size that fits them all."""

    paper: Paper
    changes: tuple[float, ...]
    right: tuple[float, ...]
    width_mm: float
    size_pt: float
    strong: Role
    plain: Role

    def tint(self, pen: Pen, y: float, height: float) -> None:
        """Draw the band behind the column of the planned gaps."""
        for change, right in zip(self.changes, self.right, strict=True):
            if change == 0:
                left = right + 2.0 - self.width_mm
                pen.rect(left, y, self.width_mm, height, line_mm=0.0, fill=Ink.TINT)


def _grid(setting: Setting, changes: Sequence[float], shown: Sequence[Sequence[str]]) -> _Grid:
    paper = setting.paper
    label_mm = 16.0 if paper.compact else 20.0
    width = (paper.inner_mm - label_mm) / len(changes)
    sizes = [
        (Role.FIGURE_STRONG, Role.FIGURE, Role.FIGURE.large_pt),
        (Role.FIGURE_STRONG, Role.FIGURE, Role.FIGURE.small_pt),
        (Role.STRONG, Role.BODY, Role.BODY.small_pt),
        (Role.LABEL_STRONG, Role.LABEL, Role.LABEL.small_pt),
    ]

    def widest(strong: Role, size_pt: float) -> float:
        return max(reading_room_mm(cell, strong, size_pt) for row in shown for cell in row)

    strong, plain, size = next(
        (each for each in sizes if widest(each[0], each[2]) <= width - 3.0), sizes[-1]
    )
    return _Grid(
        paper=paper,
        changes=tuple(changes),
        right=tuple(paper.left_mm + label_mm + (i + 1) * width - 2.0 for i in range(len(changes))),
        width_mm=width,
        size_pt=size,
        strong=strong,
        plain=plain,
    )


def _heading(grid: _Grid, text: str) -> Block:
    head = Role.HEADING.large_pt
    small = Role.LABEL.small_pt
    height = cap_mm(head) + cap_mm(small) + 7.0

    def draw(pen: Pen, y: float) -> None:
        paper = grid.paper
        top = y + cap_mm(small) + 3.0
        pen.text(paper.left_mm, y + 1.0 + cap_mm(small), text, Role.LABEL, size_pt=small)
        grid.tint(pen, top, y + height - top)
        for change, x in zip(grid.changes, grid.right, strict=True):
            baseline = top + 1.4 + cap_mm(head)
            shown = signed_percent(change)
            pen.text(x, baseline, shown, Role.HEADING, size_pt=head, align=Align.RIGHT)
        pen.line(paper.left_mm, y + height, paper.right_mm, y + height, width_mm=0.5)

    return Block(height_mm=height, draw=draw)


def _row(grid: _Grid, name: str, cells: Sequence[str], *, fifth: bool) -> Block:
    paper = grid.paper
    mark_pt = Role.FIGURE_STRONG.small_pt if paper.compact else Role.FIGURE_STRONG.large_pt

    def draw(pen: Pen, y: float) -> None:
        grid.tint(pen, y, ROW_MM)
        baseline = y + (ROW_MM + cap_mm(mark_pt)) / 2
        pen.text(paper.left_mm + 0.6, baseline, name, Role.FIGURE_STRONG, size_pt=mark_pt)
        for change, cell, x in zip(grid.changes, cells, grid.right, strict=True):
            role = grid.strong if change == 0 else grid.plain
            baseline = y + (ROW_MM + cap_mm(grid.size_pt)) / 2
            draw_reading(pen, x, baseline, cell, role, size_pt=grid.size_pt)
        width = 0.7 if fifth else 0.15
        pen.line(paper.left_mm, y + ROW_MM, paper.right_mm, y + ROW_MM, width_mm=width)

    return Block(height_mm=ROW_MM, draw=draw, ends_group=fifth)


def _limits(setting: Setting) -> list[Block]:
    """Return a warning for each column that would pass a limit for somebody on this laying."""
    judgement = setting.solved.plan.judgement
    lines = []
    for change in STEPS:
        long = [
            demand.athlete.name
            for demand in setting.laying.demands
            if demand.appraisal is not None
            and len(demand.appraisal.excess_share)
            and (1 + float(demand.appraisal.excess_share.max())) * (1 + change) - 1
            > float(judgement.long_stop)
        ]
        if long:
            lines.append(
                f"! {signed_percent(change)} is too long for {', '.join(long)}: do not use."
            )
    return [paragraph(line, Role.STRONG, setting.paper) for line in lines]
