"""The stages sheet: the layout that lies now and the next one large, the whole series small."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.findings import Level, by_gravity
from wicketlay.lanes.closing import apart_m, run_on_shown_m, section_shown_m
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.furniture import GAP_MM, banner, boxed, heading, identity_text, page_frame
from wicketlay.sheets.page.flow import Block, Table, fewest, page_break, paginate, paragraph, space
from wicketlay.sheets.page.layout import width_mm
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import (
    Cell,
    Column,
    Row,
    Style,
    filled,
    reading_room_mm,
    text_table,
    text_tables,
)
from wicketlay.sheets.pulls import as_moved, fives_of, readings_of
from wicketlay.sheets.setting import expected_time_s
from wicketlay.units import format_percent, format_speed, format_ticks, format_time
from wicketlay.values import replace
from wicketlay.wording.names import REMADE, anew_text, mark_label, move_way, room_text
from wicketlay.wording.places import place_parts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import Pull
    from wicketlay.lanes.laying import Laying
    from wicketlay.sheets.page.model import Page
    from wicketlay.sheets.setting import PlanSetting


ROWS_MM = (6.8, 6.5, 6.1)
"""Heights of a row of now and next, the most generous first: one page where one of them lets it."""
FORWARD = "Forward = with the run."


def stages_sheet(setting: PlanSetting, series: Sequence[Laying]) -> Sheet:
    """Return the stages of one lane and wave; `series` holds its layings, stage by stage."""
    now = setting.solved.plan.stage
    here = next(laying for laying in series if laying.stage == now)
    coming = next((laying for laying in series if laying.stage == now + 1), None)
    names = ", ".join(here.athletes)
    # What lies now may be laid, or there were no sheet of its stages.
    coming_found = () if coming is None else coming.findings
    stops = by_gravity(each for each in coming_found if each.level is Level.STOP)
    above = [
        paragraph(f"Stages · {names}", Role.STRONG, setting.paper, below_mm=1.2),
        boxed(_lead(setting, here, coming), setting.paper),
    ]
    whole: list[Block | Table] = [
        heading("The series · * is moved for that stage", setting.paper, rule=False),
        *_shares(setting, series),
        space(GAP_MM + 1.0),
        *_readings(setting, series),
    ]
    place = list(place_parts(here))
    if any(laying.wave != here.wave for laying in setting.layings):
        place.append(f"wave {here.wave}")
    top = " · ".join(
        part.upper() for part in [*place, f"stage {now} of {len(setting.solved.stage_shares)}"]
    )
    identity = identity_text(setting.solved.plan, ", ".join(place), title=setting.title)
    sheet_frame = page_frame(setting.paper, top, identity, "stages sheet")

    def set_in(row_mm: float, between: Block) -> tuple[Page, ...]:
        large = _now_and_next(setting, here, coming, row_mm)
        return paginate([*above, *large, between, *whole], sheet_frame)

    if stops:
        pages = paginate(banner(stops, setting.paper, setting.unit), sheet_frame)
    else:
        pages = fewest(set_in(row_mm, space(GAP_MM)) for row_mm in ROWS_MM)
        if len(pages) > 1:
            # What is laid now and the series share no page where that costs none.
            betweens = (page_break(), space(GAP_MM))
            pages = fewest(set_in(ROWS_MM[0], between) for between in betweens)
    return Sheet(kind="stages", group=", ".join(place), title="stages sheet", pages=pages)


def _lead(setting: PlanSetting, here: Laying, coming: Laying | None) -> list[tuple[str, Role]]:
    shares = setting.solved.stage_shares
    now = f"NOW stage {here.stage}: {format_percent(shares[here.stage - 1])} of top speed"
    lines = [(f"{now}, {_speeds(setting, here)}", Role.NAME)]
    if coming is None:
        return [*lines, ("There is no next stage.", Role.BODY)]
    after = f"NEXT stage {coming.stage}: {format_percent(shares[coming.stage - 1])}"
    lines.append((f"{after}, {_speeds(setting, coming)}", Role.NAME))
    return [*lines, (_moves_sentence(coming), Role.BODY)]


def _speeds(setting: PlanSetting, laying: Laying) -> str:
    """Return the speed each athlete builds towards, with their names where there are several."""
    several = len(laying.demands) > 1
    return ", ".join(
        (f"{each.athlete.name} " if several else "")
        + format_speed(each.layout.built_to_mps, setting.unit)
        for each in laying.demands
    )


def _moves_sentence(coming: Laying) -> str:
    """Return how many marks the next stage moves."""
    if not coming.followed and not coming.laid_anew:
        return "For the next stage nothing moves."
    whole = len(coming.layout.marks)
    move = f"For the next stage {len(coming.followed)} of {whole} marks move"
    if coming.laid_anew:
        return f"{move}: lay all anew, at the readings under next. {FORWARD}"
    starts = any(each.mark_id.startswith("start") for each in coming.followed)
    stays = "" if starts else "; the start stays"
    return f"{move}{stays}. {FORWARD} Move row by row. {anew_text(coming.followed)}".strip()


# -- now and next, large ----------------------------------------------------------------------


def _shown(laying: Laying, mark_id: str) -> tuple[Pull | None, str]:
    """Return pull and reading of a mark, (None, "") when the tape does not reach it."""
    try:
        pull, reading = laying.tape.reading(mark_id)
    except KeyError:
        return None, ""
    return pull, format_ticks(reading.ticks, reading.tick)


def _zero(pull: Pull | None, told: Pull | None) -> str:
    """Return what a reading is taken from where that is not the 0 a table tells, "" where it is.

    A tape that ends elsewhere at another stage begins its next pull at another mark.
    """
    if pull is None or told is None:
        return ""
    if (pull.zero_id, pull.direction) == (told.zero_id, told.direction):
        return ""
    way = "" if pull.direction is told.direction else f", {pull.direction.value}"
    return f"from {mark_label(pull.zero_id)}{way}"


def _move(setting: PlanSetting, coming: Laying, mark_id: str) -> str:
    for moved in coming.followed:
        if moved.mark_id == mark_id:
            return REMADE if moved.shown_m is None else move_way(moved.shown_m, setting.unit)
    return "stays"


def _starter(laying: Laying, mark_id: str) -> str:
    """Return whose start a mark is, with a colon, "" where it is everybody's or no start."""
    names = [each.athlete.name for each in laying.demands if each.start_id == mark_id]
    return f"{', '.join(names)}: " if names and len(laying.demands) > 1 else ""


def _now_and_next(
    setting: PlanSetting, here: Laying, coming: Laying | None, row_mm: float
) -> list[Table]:
    """Return a table a pull: mark, reading now, reading next, and how far it moves."""
    compact = setting.paper.compact
    large = Role.MARK.small_pt if setting.unit.value == "metric" and not compact else None
    size = Role.NAME.large_pt if large is None else large
    pair = (here,) if coming is None else (here, coming)
    shown = {
        laying.stage: {
            each.mark.id: _shown(laying, each.mark.id)[1] for each in laying.placed.marks
        }
        for laying in pair
    }
    widest = max(
        reading_room_mm(text, Role.MARK, size) for each in shown.values() for text in each.values()
    )
    figure = Column(title="", reading=True, role=Role.MARK, size_pt=size, least_mm=widest)
    columns = [
        Column(title="", align=Align.LEFT, role=Role.FIGURE_STRONG, least_mm=18.0),
        replace(figure, title=f"now: {here.stage}"),
    ]
    if coming is not None:
        how = Column(title="to get there", align=Align.LEFT, wraps=True, share=1.0)
        columns.append(replace(figure, title=f"next: {coming.stage}"))
        columns.append(replace(how, role=Role.STRONG))
    style = Style(row_mm=row_mm, head=Role.HEADING, whole_titles=True, gutter_mm=4.0)
    tables = []
    for pull in here.tape.pulls:
        followed = () if coming is None else coming.followed
        rows, _ = as_moved(pull, readings_of(here.tape, pull), followed)
        moved = {each.mark_id for each in followed}
        cells: list[Row] = []
        for mark_id in (reading.mark_id for reading in rows):
            now = Cell(text=shown[here.stage][mark_id], role=Role.MARK_PLAIN, size_pt=size)
            row: list[str | Cell] = [mark_label(mark_id), now]
            if coming is not None and mark_id in shown[coming.stage]:
                role = Role.MARK if mark_id in moved else Role.MARK_PLAIN
                row.append(Cell(text=shown[coming.stage][mark_id], role=role, size_pt=size))
                row.append(_how(setting, (here, coming), mark_id, pull))
            elif coming is not None:  # a stage of fewer wickets
                row += ["-", "taken up"]
            cells.append(Row(cells=row))
        narrow = setting.paper.screen and coming is not None
        if narrow:
            # Below its readings, which stay as large.
            cells = [Row(cells=each.cells[:3], below=each.cells[-1]) for each in cells]
        zero = zero_text(here, pull.zero_id)
        title = f"Pull {pull.number}, from the {zero}, {pull.direction.value}"
        above = paragraph(title, Role.LABEL, setting.paper, small=True, above_mm=0.6, below_mm=0.4)
        set_in = columns[:3] if narrow else columns
        ends = fives_of([each.mark_id for each in rows])
        table = text_table(setting.paper, set_in, cells, style, ends=ends, above=above)
        tables.append(replace(table, even=True))
    return tables


def _how(setting: PlanSetting, pair: tuple[Laying, Laying], mark_id: str, pull: Pull) -> Cell:
    """Return how a mark gets to the next stage; what stays is not set bold."""
    here, coming = pair
    move = _move(setting, coming, mark_id)
    role = Role.BODY if move == "stays" else Role.STRONG
    zero = _zero(_shown(coming, mark_id)[0], pull)
    rest = f"; the next is read {zero}" if zero else ""
    size = setting.paper.size_pt(role)
    return Cell(text=f"{_starter(here, mark_id)}{move}{rest}", role=role, size_pt=size)


# -- the series, small ------------------------------------------------------------------------


def _shares(setting: PlanSetting, series: Sequence[Laying]) -> list[Table]:
    rows = []
    for laying in series:
        share = setting.solved.stage_shares[laying.stage - 1]
        wickets = laying.layout.of_kind(MarkKind.WICKET)
        gaps = [apart_m(laying, a.id, b.id) for a, b in pairwise(wickets)]
        stage = f"{laying.stage}{' now' if laying.stage == setting.solved.plan.stage else ''}"
        # What they share stands in the first row of a stage, what is an athlete's own in each.
        for index, demand in enumerate(laying.demands):
            cells = (
                stage,
                demand.athlete.name if len(laying.demands) > 1 else "",
                format_percent(share),
                format_speed(demand.layout.built_to_mps, setting.unit),
                setting.shown(run_on_shown_m(laying, demand.start_id)),
                setting.shown(min(gaps, default=None)),
                setting.shown(max(gaps, default=None)),
                setting.shown(section_shown_m(laying, demand)),
                format_time(expected_time_s(setting, demand)),
                room_text(laying.layout.run_out_wanted_m, setting.unit),
                "" if laying.stage == 1 else str(len(laying.followed)),
            )
            own = {1, 3, 4, 8} | ({7} if laying.layout.datum is Datum.START else set())
            rows.append([each if not index or at in own else "" for at, each in enumerate(cells)])
    columns = [
        Column(title="stage", align=Align.LEFT, strong=True),
        Column(title="athlete", align=Align.LEFT, wraps=True, names=True, least_mm=16.0),
        *(Column(title=title, share=1.0) for title in _SERIES),
    ]
    # The series is read as a whole: it is never broken.
    ends = (len(rows) - 1,)
    return text_tables(setting.paper, *filled(columns, rows), _small(setting), ends=ends)


_SERIES = (
    *("of top", "builds to", "run-on", "gaps from", "to"),
    *("section", "in", "slow-down", "marks moved"),
)


def _small(setting: PlanSetting) -> Style:
    small = setting.paper.compact and not setting.paper.screen
    label = Role.LABEL.small_pt if small else Role.LABEL.large_pt
    return Style(role=Role.LABEL, size_pt=label, row_mm=4.2)


def _readings(setting: PlanSetting, series: Sequence[Laying]) -> list[Block | Table]:
    """Return all readings of all stages, as many stages side by side as the paper is wide."""
    style = _small(setting)
    metric = setting.unit.value == "metric"
    ids = [mark.id for mark in series[0].layout.marks]
    wide = max(
        reading_room_mm(_shown(laying, mark_id)[1], Role.LABEL, style.size_pt)
        for laying in series
        for mark_id in ids
    )
    notes = (
        _zero(_shown(b, each)[0], _shown(a, each)[0]) for a, b in pairwise(series) for each in ids
    )
    note = max((width_mm(text, Role.LABEL, style.size_pt) for text in notes), default=0.0)
    most = max(int((setting.paper.inner_mm - 16.0) // (wide + note + 5.5)), 1)
    across = math.ceil(len(series) / math.ceil(len(series) / most))
    parts: list[Block | Table] = []
    for first in range(0, len(series), across):
        part = series[first : first + across]
        rows = []
        for mark_id in ids:
            told = _shown(part[0], mark_id)[0]
            later = "" if told is None or told.number == 1 else f", pull {told.number}"
            cells: list[str | Cell] = [mark_label(mark_id) + later]
            for laying in part:
                pull, shown = _shown(laying, mark_id)
                moved = any(each.mark_id == mark_id for each in laying.followed)
                star = "*" if moved and laying.stage > 1 else ""
                strong = Cell(text=shown, role=Role.LABEL_STRONG, size_pt=style.size_pt)
                beside = [each for each in (star, _zero(pull, told)) if each]
                cells += [strong if star else shown, " ".join(beside)]
            rows.append(Row(cells=cells))
        columns = [Column(title="mark", align=Align.LEFT, strong=True)]
        for laying in part:
            share = format_percent(setting.solved.stage_shares[laying.stage - 1])
            columns += [
                Column(title=f"{laying.stage}: {share}", reading=not metric, share=1.0),
                Column(title="", align=Align.LEFT),
            ]
        table = text_table(setting.paper, columns, rows, style, ends=fives_of(ids))
        parts += [replace(table, even=True), space(GAP_MM)]
    return parts
