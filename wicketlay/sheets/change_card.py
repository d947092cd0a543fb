"""The change card: every reading again with the gaps closed or opened, W1 held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.ground.tape import PullDirection
from wicketlay.lanes.notch import gap_changes
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.furniture import date_text, frame, heading, page_frame
from wicketlay.sheets.page.flow import Block, Table, paginate, paragraph
from wicketlay.sheets.page.layout import MINUS
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Column, Row, Style, text_table
from wicketlay.sheets.pulls import readings_of
from wicketlay.units import UnitSystem, format_ticks
from wicketlay.wording.names import mark_label, signed_percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import TapeSheet
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.setting import Setting


STEPS = (-0.06, -0.04, -0.02, 0.0, 0.02, 0.04)
FEW_STEPS = STEPS[1:5]
"""The columns on small paper: four, so that the readings stay as large."""
ROW_MM = 6.8


CARDS_A_PAGE = 2
"""Small paper has a page a card."""


def change_cards(settings: Sequence[Setting]) -> Sheet:
    """Return the change cards of one or two layings, on one page where they fit."""
    first = settings[0]
    places = ", ".join(dict.fromkeys(each.short_place for each in settings))
    parts: list[Block | Table] = [_lead(first)]
    for each in settings:
        parts += [heading(each.place, each.paper)] if len(settings) > 1 else []
        parts += _card(each)
    parts.append(_choose(first))
    plan = first.solved.plan
    identity = " · ".join(part for part in (plan.title, date_text(plan), places) if part)
    sheet_frame = page_frame(first.paper, "CHANGE CARDS", identity, "change cards")
    if len(settings) == 1:
        sheet_frame = frame(first, "change card")
    return Sheet(
        kind="card",
        group="coach's packet",
        title=f"change card, {places}",
        pages=paginate(parts, sheet_frame),
    )


def card_parts(setting: Setting) -> tuple[Block | Table, ...]:
    """Return a change card: its rule, its tables, what passes a limit, and which column to take."""
    return (_lead(setting), *_card(setting), _choose(setting))


def _lead(setting: Setting) -> Block:
    takeoff = setting.laying.layout.datum is Datum.TAKEOFF_LINE
    held = (
        "The last wicket stays; the start mark moves with W1."
        if takeoff
        else "W1 and the start marks stay."
    )
    text = (
        f"Change card: all readings with the gaps closed ({MINUS}) or opened (+). {held} "
        "Find the column, lay every mark at its reading."
    )
    return paragraph(text, Role.BODY, setting.paper, small=True, below_mm=2.0)


def _choose(setting: Setting) -> Block:
    text = (
        "Steps chopped, feet close to the next wicket: one column to the right. Reaching or "
        "bounding: one column to the left. One column at a time; two runs before the next."
    )
    return paragraph(text, Role.BODY, setting.paper, small=True, above_mm=2.0)


def _card(setting: Setting) -> tuple[Block | Table, ...]:
    laying = setting.laying
    steps = steps_on(setting.paper)
    changes = (
        *gap_changes(laying, [each for each in steps if each < 0]),
        (0.0, laying.tape),
        *gap_changes(laying, [each for each in steps if each > 0]),
    )
    return (*_tables(setting, changes), *_limits(setting))


def _tables(setting: Setting, changes: tuple[tuple[float, TapeSheet], ...]) -> list[Block | Table]:
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
    style = Style(role=Role.FIGURE, size_pt=Role.FIGURE.large_pt, row_mm=ROW_MM, head=Role.HEADING)
    parts: list[Block | Table] = []
    for (zero_id, direction), rows in found.items():
        if not rows:
            continue
        order = [mark.id for mark in setting.laying.layout.marks if mark.id in rows]
        walked = order if direction is PullDirection.RUNNING else order[::-1]
        shown = [[rows[each].get(change, "") for change, _ in changes] for each in walked]
        columns = [Column(title="", align=Align.LEFT, role=Role.FIGURE_STRONG)]
        columns += [
            Column(
                title=signed_percent(change, MINUS),
                share=1.0,
                reading=True,
                strong=change == 0,
                tinted=change == 0,
            )
            for change, _ in changes
        ]
        zero = zero_text(setting.laying, zero_id)
        told = f"From the {zero}, {direction.value}; readings in {unit}"
        parts.append(paragraph(told, Role.LABEL, setting.paper, small=True, keeps_next=True))
        lines = [
            Row(cells=[mark_label(each), *row], height_mm=ROW_MM)
            for each, row in zip(walked, shown, strict=True)
        ]
        parts.append(text_table(setting.paper, columns, lines, style))
    return parts


def steps_on(paper: Paper) -> tuple[float, ...]:
    """Return by how much the gaps are closed or opened in the columns of a card."""
    return FEW_STEPS if paper.compact else STEPS


def _limits(setting: Setting) -> list[Block]:
    """Return a warning for each column that would pass a limit for somebody on this laying."""
    judgement = setting.solved.plan.judgement
    lines = []
    for change in steps_on(setting.paper):
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
                f"! {signed_percent(change, MINUS)} is too long for {', '.join(long)}: do not use."
            )
    return [paragraph(line, Role.STRONG, setting.paper) for line in lines]
