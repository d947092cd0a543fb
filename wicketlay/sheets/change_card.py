"""The change card: every reading again with the gaps closed or opened, W1 held."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills import OverWickets
from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.ground.tape import LINE, PullDirection, moved_ticks
from wicketlay.lanes.closing import closing_check
from wicketlay.lanes.notch import gap_changes, held_id, with_gaps
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.furniture import GAP_MM, capital, frame, heading, identity_text, page_frame
from wicketlay.sheets.page.flow import Block, Table, fewest, page_break, paginate, paragraph, space
from wicketlay.sheets.page.layout import MINUS
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Cell, Column, Row, Style, text_table, wanted_mm
from wicketlay.sheets.pulls import ends_five, readings_of
from wicketlay.units import UnitSystem, format_ticks
from wicketlay.values import replace
from wicketlay.wording.names import mark_label, move_way, signed_percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import TapeSheet
    from wicketlay.lanes.closing import ClosingCheck
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.page.model import Page
    from wicketlay.sheets.setting import Setting


STEPS = (-0.06, -0.04, -0.02, 0.0, 0.02, 0.04)
FEW_STEPS = STEPS[1:5]
"""The columns on small paper: four, so that the readings stay as large."""
ROW_MM = 6.8
ROWS_MM = (ROW_MM, 6.4, 6.0, 5.6)
"""Heights of a row, the most generous first: two cards share a page where one of them lets them."""


CARDS_A_PAGE = 2
"""A screen has a page a card."""


def change_cards(settings: Sequence[Setting]) -> Sheet:
    """Return the change cards of one or two layings, on one page where they fit."""
    first = settings[0]
    places = " and ".join(dict.fromkeys(each.short_place for each in settings))
    plan = first.solved.plan
    identity = identity_text(plan, places)
    sheet_frame = page_frame(first.paper, "CHANGE CARDS", identity, "change cards")
    if len(settings) == 1:
        sheet_frame = frame(first, "change card")

    changes = [_changes(each) for each in settings]

    def set_in(row_mm: float, *, apart: bool = False) -> tuple[Page, ...]:
        parts: list[Block | Table] = [_lead(first)]
        for index, each in enumerate(settings):
            between = page_break() if apart else space(GAP_MM)
            parts += [between] if index else []
            parts += [heading(each.place, each.paper)] if len(settings) > 1 else []
            parts += _card(each, changes[index], row_mm)
        return paginate([*parts, _choose(first)], sheet_frame)

    pages = fewest(set_in(row_mm) for row_mm in ROWS_MM)
    if len(pages) > 1:
        # What has no room beside the other begins a page: a card is not read over two.
        pages = set_in(ROW_MM, apart=True)
    return Sheet(kind="card", group="coach's packet", title=f"change card, {places}", pages=pages)


def card_parts(setting: Setting, row_mm: float = ROW_MM) -> tuple[Block | Table, ...]:
    """Return a change card: its rule, its tables, what passes a limit, and which column to take."""
    return (_lead(setting), *_card(setting, _changes(setting), row_mm), _choose(setting))


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


_Changes = tuple[tuple[float, "TapeSheet"], ...]


def _changes(setting: Setting) -> _Changes:
    """Return what the tape shows at each of the changes, that of the laying itself among them."""
    laying = setting.laying
    steps = steps_on(setting.paper)
    return (
        *gap_changes(laying, [each for each in steps if each < 0]),
        (0.0, laying.tape),
        *gap_changes(laying, [each for each in steps if each > 0]),
    )


def _card(setting: Setting, changes: _Changes, row_mm: float) -> tuple[Block | Table, ...]:
    return (*_made_before(setting), *_tables(setting, changes, row_mm), *_limits(setting))


def _made_before(setting: Setting) -> list[Block]:
    """Return by how much the gaps at 0 % are opened or closed already, nothing where they are not.

    Who shares a laying may have had others than the rest.
    """
    by = {
        each.athlete.name: each.spec.gap_change if isinstance(each.spec, OverWickets) else 0.0
        for each in setting.laying.demands
    }
    if not any(by.values()):
        return []
    one = len(set(by.values())) == 1
    made = [signed_percent(each, MINUS) for each in by.values()]
    told = made[0] if one else ", ".join(map(" ".join, zip(by, made, strict=True)))
    text = f"0 % has a change of the gaps in it already ({told}); the columns come on top of it."
    return [paragraph(text, Role.STRONG, setting.paper, small=True, below_mm=1.0)]


def _tables(setting: Setting, changes: _Changes, row_mm: float) -> list[Block | Table]:
    """Return a table a zero and direction: all that is read from it at any of the changes.

    A tape that ends elsewhere in another column begins its next pull at another mark; what a
    column reads from another zero stands in that one's table. Start marks that no column moves
    are told in a line.
    """
    found: dict[tuple[str, PullDirection], dict[str, dict[float, str]]] = {}
    shown = _on_card(setting)
    # The tables of the laying itself come first, whatever the columns begin with.
    for change, sheet in sorted(changes, key=lambda each: each[0] != 0.0):
        for pull in sheet.pulls:
            rows = found.setdefault((pull.zero_id, pull.direction), {})
            for reading in readings_of(sheet, pull):
                if reading.mark_id in shown:
                    cells = rows.setdefault(reading.mark_id, {})
                    cells[change] = format_ticks(reading.ticks, reading.tick)
    check = closing_check(setting.laying)
    first = (setting.laying.tape.pulls[0].zero_id, setting.laying.tape.pulls[0].direction)
    parts: list[Block | Table] = []
    for (zero_id, direction), rows in found.items():
        if not rows:
            continue
        order = [mark.id for mark in setting.laying.layout.marks if mark.id in rows]
        walked = order if direction is PullDirection.RUNNING else order[::-1]
        told = f"from the {zero_text(setting.laying, zero_id)}, {direction.value}"
        stay = all(_stays(each, rows[each], len(changes)) for each in walked)
        if stay:
            parts.append(_staying(setting, [(each, rows[each][0.0]) for each in walked], told))
            continue
        lines = _moved_first(setting, changes, zero_id) if (zero_id, direction) == first else []
        ends = [len(lines) + at for at, each in enumerate(walked) if ends_five(each)]
        lines += [
            Row(cells=[mark_label(each), *(rows[each].get(change, "") for change, _ in changes)])
            for each in walked
        ]
        if check is not None and {check.first_id, check.second_id} <= {*rows, zero_id}:
            lines.append(_checked(setting, changes, check))
            check = None
        unit = "m" if setting.unit is UnitSystem.METRIC else "feet and inches"
        told = f"{capital(told)}; readings in {unit}"
        boxed = not any(isinstance(each, Table) for each in parts)
        ends.append(len(lines) - 1)
        parts += _in_columns(setting, (changes, lines, ends), (told, row_mm), boxed=boxed)
    return parts


def _on_card(setting: Setting) -> frozenset[str]:
    """Return what stands on the card: wickets and start marks, of a take-off all marks."""
    takeoff = setting.laying.layout.datum is Datum.TAKEOFF_LINE
    marks = [each.mark for each in setting.laying.placed.marks]
    kinds = (MarkKind.WICKET, MarkKind.START)
    return frozenset([LINE, *(each.id for each in marks if takeoff or each.kind in kinds)])


def _stays(mark_id: str, cells: dict[float, str], columns: int) -> bool:
    """Tell whether a start mark is read the same in every column."""
    return mark_id.startswith("start") and len(cells) == columns and len(set(cells.values())) == 1


def _staying(setting: Setting, marks: Sequence[tuple[str, str]], told: str) -> Block:
    """Return the line of start marks that no column moves, with their readings."""
    unit = " m" if setting.unit is UnitSystem.METRIC else ""
    names = ", ".join(mark_label(each) for each, _ in marks)
    shown = ", ".join(reading for _, reading in marks)
    verb = "stays" if len(marks) == 1 else "stay"
    text = f"{names} {verb} in every column: {shown}{unit} {told}."
    return paragraph(text, Role.STRONG, setting.paper, above_mm=1.0)


def _beside(label: str, cells: Sequence[str | Cell]) -> Row:
    """Return a row of a card that is no mark's reading, with a text a column."""
    return Row(cells=[Cell(text=label, role=Role.STRONG), *cells], tinted=True)


def _moved_first(setting: Setting, changes: _Changes, zero_id: str) -> list[Row]:
    """Return how far the 0 itself moves in each column, nothing where it stays in all."""
    laying = setting.laying
    if zero_id in {LINE, held_id(laying.placed)}:
        return []
    placed = laying.placed
    here = (placed.chainages, laying.tape)
    moves = [
        moved_ticks(placed, here, (with_gaps(placed, change), tape), zero_id)
        for change, tape in changes
    ]
    if not any(moves):
        return []
    tick_m = laying.tape.spec.tick.metres
    shown = (move_way(each * tick_m, setting.unit) if each else "stays" for each in moves)
    cells = [Cell(text=text, role=Role.BODY) for text in shown]
    return [_beside(f"{mark_label(zero_id)} first", cells)]


def _checked(setting: Setting, changes: _Changes, check: ClosingCheck) -> Row:
    """Return how far two marks lie apart by tape in each column, as on the tape sheet."""
    pair = (check.first_id, check.second_id)
    tick = setting.laying.tape.spec.tick
    apart = [tape.apart_ticks(*pair) for _, tape in changes]
    shown = ["" if each is None else format_ticks(each, tick) for each in apart]
    # Two words more would cost a screen a column.
    between, equals = ("\N{EN DASH}", "") if setting.paper.screen else (" to ", " =")
    return _beside(between.join(map(mark_label, pair)) + equals, shown)


def _in_columns(
    setting: Setting,
    table: tuple[_Changes, Sequence[Row], Sequence[int]],
    told: tuple[str, float],
    *,
    boxed: bool,
) -> list[Block | Table]:
    """Return lines as a table with a column a change, or as several where that is too wide.

    Parameters
    ----------
    table
        The changes, a line a row with a cell each behind its name, and where groups end.
    told
        What stands above, and the height of a row.
    boxed
        Whether a box to tick stands at each, for the column that is laid.
    """
    (changes, lines, ends), paper, (title, row_mm) = table, setting.paper, told
    size = paper.size_pt(Role.FIGURE)
    style = Style(role=Role.FIGURE, size_pt=size, row_mm=row_mm, head=Role.HEADING)
    columns = [
        Column(
            title=signed_percent(change, MINUS),
            share=1.0,
            reading=True,
            strong=change == 0,
            tinted=change == 0,
            boxed=boxed and not paper.screen,
        )
        for change, _ in changes
    ]
    # A change that is read from elsewhere has no column here.
    used = [at for at in range(len(columns)) if any(line.cells[at + 1] for line in lines)]
    above = paragraph(title, Role.LABEL, paper, small=True, above_mm=0.6)

    def set_in(first: int, count: int) -> tuple[list[Column], list[Row]]:
        part = used[first : first + count]
        name = Column(title="", align=Align.LEFT, role=Role.FIGURE_STRONG)
        at_these = (0, *(at + 1 for at in part))
        rows = [
            replace(line, cells=[line.cells[at] for at in at_these], height_mm=row_mm)
            for line in lines
        ]
        return [name, *(columns[at] for at in part)], rows

    across = next(
        count
        for count in range(len(used), 0, -1)
        if count == 1
        or all(
            wanted_mm(*set_in(first, count), style) <= paper.inner_mm
            for first in range(0, len(used), count)
        )
    )
    # As many tables as it takes, each with as many columns as the others.
    even = math.ceil(len(used) / math.ceil(len(used) / across))
    return [
        text_table(paper, *set_in(first, even), style, ends=ends, above=above)
        for first in range(0, len(used), even)
    ]


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
