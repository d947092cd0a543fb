"""The change card: every reading again with the gaps closed or opened, W1 held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.practice.notch import gap_changes
from wicketlay.sheets.furniture import Setting, frame, letter_of, mark_text, zero_text
from wicketlay.sheets.layout import Block, Pen, Table, cap_mm, paginate, paragraph, width_mm
from wicketlay.sheets.pages import Align, Ink, Role, Sheet
from wicketlay.units import UnitSystem, format_percent, format_ticks

if TYPE_CHECKING:
    from wicketlay.ground.tape import Pull, TapeSheet

STEPS = (-0.06, -0.04, -0.02, 0.0, 0.02, 0.04)
ROW_MM = 8.0


def change_card(setting: Setting) -> Sheet:
    """Return the change card of one laying."""
    changes = gap_changes(setting.laying, STEPS)
    paper = setting.paper
    parts: list[Block | Table] = [
        paragraph(
            "Change card: all readings with the gaps closed (−) or opened (+). W1 and the start "
            "marks stay. Find the column, lay every hurdle at its reading.",
            Role.BODY,
            paper,
            small=True,
            below_mm=2.0,
        )
    ]
    planned = setting.laying.tape
    for index, pull in enumerate(planned.pulls):
        if any(
            setting.laying.layout.mark(r.mark_id).kind is MarkKind.WICKET for r in pull.readings
        ):
            parts.append(_table(setting, pull, index, changes))
    parts.append(
        paragraph(
            "Steps chopped, feet close to the next hurdle: one column to the right. Reaching or "
            "bounding: one column to the left. One column at a time; two runs before the next.",
            Role.BODY,
            paper,
            small=True,
        )
    )
    parts += _limits(setting)
    pages = paginate(parts, frame(setting, "change card"))
    return Sheet(kind="card", group=setting.short_place, title="change card", pages=pages)


def change_text(change: float) -> str:
    """Return a change of the gaps with its sign: −6 %, 0 %, +4 %."""
    sign = "+" if change > 0 else "−" if change < 0 else ""
    return sign + format_percent(abs(change))


def _table(
    setting: Setting, pull: Pull, index: int, changes: tuple[tuple[float, TapeSheet], ...]
) -> Table:
    paper = setting.paper
    feet = setting.unit is UnitSystem.FEET
    label_mm = 16.0 if paper.compact else 22.0
    width = (paper.inner_mm - label_mm) / len(changes)
    wickets = [
        r.mark_id
        for r in pull.readings
        if setting.laying.layout.mark(r.mark_id).kind is not MarkKind.START
    ]
    right = [paper.left_mm + label_mm + (i + 1) * width - 2.0 for i in range(len(changes))]
    planned = next((i for i, (change, _) in enumerate(changes) if change == 0), None)

    def tint(pen: Pen, y: float, height: float) -> None:
        if planned is not None:
            pen.rect(right[planned] + 2.0 - width, y, width, height, line_mm=0.0, fill=Ink.TINT)

    rows = []
    for number, mark_id in enumerate(wickets, start=1):
        fifth = number % 5 == 0 and number < len(wickets)
        texts = [_shown(sheet, index, mark_id) for _, sheet in changes]
        rows.append(
            _row(
                setting,
                mark_id,
                texts,
                right,
                width,
                planned=planned,
                fifth=fifth,
                feet=feet,
                tint=tint,
            )
        )
    head = Role.HEADING.large_pt
    small = Role.LABEL.small_pt
    height = cap_mm(head) + cap_mm(small) + 7.0
    metric = "m" if not feet else "feet and inches"

    def heading(pen: Pen, y: float) -> None:
        top = y + cap_mm(small) + 3.0
        text = f"Pull {pull.number}, from the {zero_text(pull.zero_id)}, {pull.direction.value}; {metric}"
        pen.text(paper.left_mm, y + 1.0 + cap_mm(small), text, Role.LABEL, size_pt=small)
        tint(pen, top, y + height - top)
        for (change, _), x in zip(changes, right, strict=True):
            pen.text(
                x,
                top + 1.4 + cap_mm(head),
                change_text(change),
                Role.HEADING,
                size_pt=head,
                align=Align.RIGHT,
            )
        pen.line(paper.left_mm, y + height, paper.right_mm, y + height, width_mm=0.5)

    return Table(heading=Block(height_mm=height, draw=heading), rows=tuple(rows))


def _shown(sheet: TapeSheet, index: int, mark_id: str) -> str:
    """Return a reading from the same pull of a changed sheet, with its pull when it moved there."""
    pull, reading = sheet.reading(mark_id)
    text = format_ticks(reading.ticks, reading.tick)
    return text if pull.number == index + 1 else f"{text} (pull {pull.number})"


def _row(
    setting: Setting,
    mark_id: str,
    texts: list[str],
    right: list[float],
    width: float,
    *,
    planned: int | None,
    fifth: bool,
    feet: bool,
    tint: object,
) -> Block:
    paper = setting.paper

    def draw(pen: Pen, y: float) -> None:
        tint(pen, y, ROW_MM)  # type: ignore[operator]
        mark_pt = Role.FIGURE_STRONG.small_pt if paper.compact else Role.FIGURE_STRONG.large_pt
        pen.text(
            paper.left_mm + 0.6,
            y + (ROW_MM + cap_mm(mark_pt)) / 2,
            mark_text(mark_id, letter_of(setting.laying, mark_id)),
            Role.FIGURE_STRONG,
            size_pt=mark_pt,
        )
        for i, (text, x) in enumerate(zip(texts, right, strict=True)):
            role = Role.FIGURE_STRONG if i == planned else Role.FIGURE
            size = role.small_pt if paper.compact or feet else role.large_pt
            if width_mm(text, role, size) > width - 2.6:
                role = Role.STRONG if i == planned else Role.BODY
                size = role.small_pt
            if width_mm(text, role, size) > width - 2.6:
                role = Role.LABEL_STRONG if i == planned else Role.LABEL
                size = role.small_pt
            pen.text(
                x, y + (ROW_MM + cap_mm(size)) / 2, text, role, size_pt=size, align=Align.RIGHT
            )
        pen.line(
            paper.left_mm,
            y + ROW_MM,
            paper.right_mm,
            y + ROW_MM,
            width_mm=0.7 if fifth else 0.15,
        )

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
            lines.append(f"! {change_text(change)} is too long for {', '.join(long)}: do not use.")
    return [paragraph(line, Role.STRONG, setting.paper) for line in lines]
