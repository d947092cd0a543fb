"""The stages sheet: the layout that lies now and the next one large, the whole series small."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level, by_gravity
from wicketlay.lanes.closing import apart_m, run_on_shown_m, section_shown_m
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.page.flow import Block, Table, paginate, paragraph, space
from wicketlay.sheets.page.furniture import GAP_MM, banner, boxed, heading, page_frame
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import (
    Column,
    Style,
    draw_reading,
    fives_of,
    reading_room_mm,
    text_table,
    text_tables,
)
from wicketlay.sheets.pulls import as_moved, readings_of
from wicketlay.sheets.setting import expected_time_s
from wicketlay.units import format_percent, format_speed, format_ticks, format_time
from wicketlay.wording.names import mark_label, move_way, room_text
from wicketlay.wording.places import place_parts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import Pull
    from wicketlay.lanes.laying import Laying
    from wicketlay.sheets.setting import PlanSetting


ROW_MM = 7.6
FORWARD = "Forward = with the run. Move row by row."
_MARK_MM = 22.0


def stages_sheet(setting: PlanSetting, series: Sequence[Laying]) -> Sheet:
    """Return the stages of one lane and wave; `series` holds its layings, stage by stage."""
    now = _stage_now(setting)
    here = next(laying for laying in series if laying.stage == now)
    coming = next((laying for laying in series if laying.stage == now + 1), None)
    names = ", ".join(here.athletes)
    stops = by_gravity(
        finding
        for laying in (here, coming)
        if laying is not None
        for finding in laying.findings
        if finding.level is Level.STOP
    )
    parts: list[Block | Table] = [
        paragraph(f"Stages · {names}", Role.STRONG, setting.paper, below_mm=1.2),
        boxed(_lead(setting, here, coming), setting.paper),
        *_now_and_next(setting, here, coming),
        space(GAP_MM),
        heading("The series · * is moved for that stage", setting.paper, rule=False),
        *_shares(setting, series),
        space(GAP_MM + 1.0),
        *_readings(setting, series),
    ]
    if stops:
        parts = list(banner(stops, setting.paper, setting.unit))
    place = list(place_parts(here))
    if any(laying.wave != here.wave for laying in setting.layings):
        place.append(f"wave {here.wave}")
    top = " · ".join(
        part.upper() for part in [*place, f"stage {now} of {len(setting.solved.stage_shares)}"]
    )
    identity = " · ".join((setting.title, ", ".join(place)))
    pages = paginate(parts, page_frame(setting.paper, top, identity, "stages sheet"))
    return Sheet(kind="stages", group=", ".join(place), title="stages sheet", pages=pages)


def _stage_now(setting: PlanSetting) -> int:
    stages = setting.solved.plan.stages
    return 1 if stages is None else stages.now


def _lead(setting: PlanSetting, here: Laying, coming: Laying | None) -> list[tuple[str, Role]]:
    shares = setting.solved.stage_shares
    lines = [
        (
            f"NOW stage {here.stage}: {format_percent(shares[here.stage - 1])} of top speed, "
            f"{_speeds(setting, here)}",
            Role.NAME,
        )
    ]
    if coming is None:
        return [*lines, ("There is no next stage.", Role.BODY)]
    lines.append(
        (
            f"NEXT stage {coming.stage}: {format_percent(shares[coming.stage - 1])}, "
            f"{_speeds(setting, coming)}",
            Role.NAME,
        )
    )
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
    count = len(coming.followed)
    whole = len(coming.layout.marks)
    if coming.laid_anew:
        return f"For the next stage all is laid anew: {count} of {whole} marks move. {FORWARD}"
    if not count:
        return "For the next stage nothing moves."
    stays = (
        "" if any(m.mark_id.startswith("start") for m in coming.followed) else "; the start stays"
    )
    return f"For the next stage {count} of {whole} marks move{stays}. {FORWARD}"


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
        if moved.mark_id == mark_id and moved.shown_m is not None:
            return move_way(moved.shown_m, setting.unit)
    return "stays"


def _starter(laying: Laying, mark_id: str) -> str:
    """Return whose start a mark is, with a colon, "" where it is everybody's or no start."""
    names = [each.athlete.name for each in laying.demands if each.start_id == mark_id]
    return f"{', '.join(names)}: " if names and len(laying.demands) > 1 else ""


def _now_and_next(setting: PlanSetting, here: Laying, coming: Laying | None) -> list[Table]:
    """Return a table a pull: mark, reading now, reading next, and how far it moves."""
    tables = []
    for pull in here.tape.pulls:
        moves = () if coming is None else coming.followed
        rows, _ = as_moved(pull, readings_of(here.tape, pull), moves)
        made = []
        for number, reading in enumerate(rows, start=1):
            fifth = number % 5 == 0 and number < len(rows)
            made.append(_row(setting, (here, coming), reading.mark_id, pull, fifth=fifth))
        title = (
            f"Pull {pull.number}, from the {zero_text(here, pull.zero_id)}, {pull.direction.value}"
        )
        tables.append(Table(heading=_heading(setting, (here, coming), title), rows=tuple(made)))
    return tables


def _columns(
    setting: PlanSetting, pair: tuple[Laying, Laying | None]
) -> tuple[float, float, float]:
    """Return right edges of the two readings and the left edge of the move."""
    paper = setting.paper
    size = _size(setting)
    widest = max(
        reading_room_mm(_shown(laying, mark.id)[1], Role.MARK, size)
        for laying in pair
        if laying is not None
        for mark in laying.layout.marks
    )
    now = paper.left_mm + _MARK_MM + widest + 2.0
    coming = now + widest + (8.0 if paper.compact else 14.0)
    return now, coming, coming + (4.0 if paper.compact else 8.0)


def _size(setting: PlanSetting) -> float:
    """Return the size of the large readings, less for feet and on small paper."""
    metric = setting.unit.value == "metric"
    return Role.MARK.small_pt if metric and not setting.paper.compact else Role.NAME.large_pt


def _heading(setting: PlanSetting, pair: tuple[Laying, Laying | None], title: str) -> Block:
    paper = setting.paper
    here, coming = pair
    size, label = Role.HEADING.small_pt, Role.LABEL.small_pt
    edges = _columns(setting, pair)
    height = cap_mm(size) + cap_mm(label) + 4.4

    def draw(pen: Pen, y: float) -> None:
        pen.text(paper.left_mm, y + 1.0 + cap_mm(label), title, Role.LABEL, size_pt=label)
        baseline = y + 2.6 + cap_mm(label) + cap_mm(size)
        words = [(edges[0], f"now: {here.stage}", Align.RIGHT)]
        if coming is not None:
            words.append((edges[1], f"next: {coming.stage}", Align.RIGHT))
            words.append((edges[2], "to get there", Align.LEFT))
        for x, word, align in words:
            pen.text(x, baseline, word, Role.HEADING, size_pt=size, align=align)
        pen.line(paper.left_mm, y + height, paper.right_mm, y + height, width_mm=0.5)

    return Block(height_mm=height, draw=draw)


def _row(
    setting: PlanSetting,
    pair: tuple[Laying, Laying | None],
    mark_id: str,
    pull: Pull,
    *,
    fifth: bool,
) -> Block:
    paper = setting.paper
    here, coming = pair
    size = _size(setting)
    edges = _columns(setting, pair)
    mark_pt = Role.FIGURE_STRONG.small_pt if paper.compact else Role.FIGURE_STRONG.large_pt

    def draw(pen: Pen, y: float) -> None:
        baseline = y + (ROW_MM + cap_mm(size)) / 2
        pen.text(paper.left_mm, baseline, mark_label(mark_id), Role.FIGURE_STRONG, size_pt=mark_pt)
        draw_reading(pen, edges[0], baseline, _shown(here, mark_id)[1], Role.MARK, size_pt=size)
        if coming is not None:
            other, shown = _shown(coming, mark_id)
            draw_reading(pen, edges[1], baseline, shown, Role.MARK, size_pt=size)
            move = _move(setting, coming, mark_id)
            move = f"{_starter(here, mark_id)}{move}"
            zero = _zero(other, pull)
            if zero:
                move += f"; the next is read {zero}"
            role = Role.BODY if move.endswith("stays") else Role.STRONG
            points = role.small_pt if paper.compact else role.large_pt
            lines = wrap(move, role, points, paper.right_mm - edges[2])
            top = y + (ROW_MM - (len(lines) - 1) * line_mm(points) + cap_mm(points)) / 2
            pen.lines(edges[2], top, lines, role, size_pt=points)
        below = y + ROW_MM
        pen.line(paper.left_mm, below, paper.right_mm, below, width_mm=0.5 if fifth else 0.15)

    return Block(height_mm=ROW_MM, draw=draw, ends_group=fifth)


# -- the series, small ------------------------------------------------------------------------


def _shares(setting: PlanSetting, series: Sequence[Laying]) -> list[Table]:
    rows = []
    for laying in series:
        share = setting.solved.stage_shares[laying.stage - 1]
        wickets = laying.layout.of_kind(MarkKind.WICKET)
        gaps = [apart_m(laying, a.id, b.id) for a, b in pairwise(wickets)]
        stage = f"{laying.stage}{' now' if laying.stage == _stage_now(setting) else ''}"
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
                setting.shown(section_shown_m(laying)),
                format_time(expected_time_s(demand)),
                room_text(laying.layout.run_out_wanted_m, setting.unit),
                "" if laying.stage == 1 else str(len(laying.followed)),
            )
            own = {1, 3, 4, 8} if index else range(len(cells))
            rows.append(tuple(cell if at in own else "" for at, cell in enumerate(cells)))
    columns = [
        Column(title="stage", align=Align.LEFT, strong=True),
        Column(title="athlete", align=Align.LEFT, wraps=True, least_mm=16.0),
        Column(title="of top", share=1.0),
        Column(title="builds to", share=1.0),
        Column(title="run-on", share=1.0),
        Column(title="gaps from", share=1.0),
        Column(title="to", share=1.0),
        Column(title="section", share=1.0),
        Column(title="in", share=1.0),
        Column(title="slow-down", share=1.0),
        Column(title="marks moved", share=1.0),
    ]
    used = [at for at in range(len(columns)) if any(row[at] for row in rows)]
    shown = [[row[at] for at in used] for row in rows]
    return text_tables(setting.paper, [columns[at] for at in used], shown, _small(setting))


def _small(setting: PlanSetting) -> Style:
    label = Role.LABEL.small_pt if setting.paper.compact else Role.LABEL.large_pt
    return Style(role=Role.LABEL, size_pt=label, row_mm=4.2, fives=False)


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
    across = max(int((setting.paper.inner_mm - 16.0) // (wide + note + 5.5)), 1)
    parts: list[Block | Table] = []
    for first in range(0, len(series), across):
        part = series[first : first + across]
        rows = []
        for mark_id in ids:
            told = _shown(part[0], mark_id)[0]
            later = "" if told is None or told.number == 1 else f", pull {told.number}"
            cells = [mark_label(mark_id) + later]
            for laying in part:
                pull, shown = _shown(laying, mark_id)
                moved = any(each.mark_id == mark_id for each in laying.followed)
                star = "*" if moved and laying.stage > 1 else ""
                cells += [shown, " ".join(each for each in (star, _zero(pull, told)) if each)]
            rows.append(tuple(cells))
        columns = [Column(title="mark", align=Align.LEFT, strong=True)]
        for laying in part:
            share = format_percent(setting.solved.stage_shares[laying.stage - 1])
            columns += [
                Column(title=f"{laying.stage}: {share}", reading=not metric, share=1.0),
                Column(title="", align=Align.LEFT),
            ]
        # Rows of a series stay together in fives, so the style differs from the shares' table.
        fives = Style(role=style.role, size_pt=style.size_pt, row_mm=style.row_mm)
        parts += [
            text_table(setting.paper, columns, rows, fives, ends=fives_of(ids)),
            space(GAP_MM),
        ]
    return parts
