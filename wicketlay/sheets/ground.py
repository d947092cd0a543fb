"""The ground sheet: only the straight, bend or runway in use, and what lies where on it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.ground.readings import TapeLies, whole_ticks
from wicketlay.ground.standing import pose_of
from wicketlay.ground.tape import measured_m
from wicketlay.lanes.closing import apart_m, gap_shown_m
from wicketlay.sheets.drawings.plan_drawing import draw_plan_view, obstacle_letter
from wicketlay.sheets.drawings.plan_view import PlanView, plan_view
from wicketlay.sheets.drawings.zero import zero_text
from wicketlay.sheets.furniture import GAP_MM, frame, heading
from wicketlay.sheets.page.flow import Block, Table, paginate, paragraph, space
from wicketlay.sheets.page.layout import MINUS
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import (
    Column,
    Row,
    filled,
    style_for,
    text_table,
    text_tables,
)
from wicketlay.sheets.pulls import fives_of
from wicketlay.units import format_length, format_ticks
from wicketlay.wording.names import mark_label, room_text, there_text
from wicketlay.wording.places import SAME_SPOT_M, edge_text, landmark_text

if TYPE_CHECKING:
    from wicketlay.ground.lines import Landmark
    from wicketlay.ground.placed import PlacedMark
    from wicketlay.sheets.setting import Setting


VIEW_MM = 105.0
"""Most height of the drawing without its names."""


def ground_sheet(setting: Setting) -> Sheet:
    """Return the ground sheet of one laying, which may be laid."""
    pages = paginate(_parts(setting), frame(setting, "ground sheet"))
    return Sheet(kind="ground", group=setting.short_place, title="ground sheet", pages=pages)


def _parts(setting: Setting) -> list[Block | Table]:
    paper = setting.paper
    most = VIEW_MM * (0.55 if paper.compact else 1.0)
    view = plan_view(setting, paper.inner_mm, most)
    ground = setting.laying.placed.ground
    title = f"Ground sheet · {ground}" if ground else "Ground sheet"
    parts: list[Block | Table] = [paragraph(title, Role.STRONG, paper, below_mm=1.6)]
    parts.append(
        Block(
            height_mm=view.whole_mm + GAP_MM,
            draw=lambda pen, y: draw_plan_view(pen, setting, view, y),
        )
    )
    parts += [heading("Fixed points", paper, rule=False), *_fixed_points(setting, view)]
    marks = [space(GAP_MM), heading("Marks", paper, rule=False), *_marks(setting, view)]
    rooms = _rooms(setting, view)
    # On a screen they would be alone on a last page, far from the drawing they speak of.
    return [*parts, *rooms, *marks] if paper.screen else [*parts, *marks, *rooms]


# -- fixed points -----------------------------------------------------------------------------


def _zero_beyond_m(setting: Setting, landmark: Landmark) -> float:
    """Return how far beyond a landmark the 0 is as the tape shows it [m], minus before it."""
    placed, tape = setting.laying.placed, setting.laying.tape
    zero = placed.chainages[tape.pulls[0].zero_id]
    distance = placed.direction * (zero - float(landmark.chainage_m))
    loop = placed.course.loop_m
    if loop is not None:
        distance = (distance + loop / 2) % loop - loop / 2
    there = zero - placed.direction * distance
    length = measured_m(placed.course, tape.spec.lies, there, zero)
    ticks = whole_ticks(length, tape.spec.tick)
    return math.copysign(ticks * tape.spec.tick.metres, distance)


def listed(setting: Setting, view: PlanView) -> list[tuple[str, Landmark]]:
    """Return the numbered fixed points, then those the zero is told by but are not drawn."""
    found = [(str(number), each.landmark) for number, each in enumerate(view.landmarks, start=1)]
    keys = {landmark.key for _, landmark in found}
    for point in setting.laying.zero_points:
        if point.landmark.key not in keys:
            found.append((str(len(found) + 1), point.landmark))
    return found


def _fixed_points(setting: Setting, view: PlanView) -> list[Block | Table]:
    points = listed(setting, view)
    name = zero_text(setting.laying, setting.laying.tape.pulls[0].zero_id)
    if not points:
        free = setting.laying.placed.free_zero
        noted = () if free is None else free.noted
        things = " and ".join(
            each.name
            if each.distance_m is None
            else f"{setting.length(each.distance_m)} from {each.name}"
            for each in noted
        )
        known = noted and all(each.distance_m is not None for each in noted)
        chosen = "found again" if known else "chosen on the spot; note how far it is from"
        text = f"Nothing is painted here: the 0 is {chosen} {things or 'two things that stay'}."
        return [paragraph(text, Role.BODY, setting.paper)]
    drawn = len(view.landmarks)
    told = {landmark.key for _, landmark in _told(setting, view)}
    rows = []
    for index, (number, landmark) in enumerate(points):
        beyond = _zero_beyond_m(setting, landmark)
        where = f"{setting.shown(abs(beyond))} {'after' if beyond > 0 else 'before'} it"
        where = "at it" if abs(beyond) < SAME_SPOT_M else where
        off = "" if index < drawn else " (not on the drawing)"
        text = landmark_text(setting.laying, landmark)
        edge = edge_text(setting.laying, landmark).removeprefix("the ")
        pieces = setting.pieces(abs(beyond)).removeprefix(": ") if landmark.key in told else ""
        rows.append(Row(cells=(number, f"{text}{off}", edge, where), below=pieces))
    columns = (
        Column(title="no.", align=Align.LEFT, strong=True),
        Column(title="fixed point", share=1.0, align=Align.LEFT, wraps=True, least_mm=34.0),
        Column(title="measure to", share=0.6, align=Align.LEFT, wraps=True, least_mm=24.0),
        Column(title=f"{name} is", strong=True),
    )
    style = style_for(setting.paper, fives=False)
    return [text_table(setting.paper, columns, rows, style)]


# -- marks ------------------------------------------------------------------------------------


def _told(setting: Setting, view: PlanView) -> list[tuple[str, Landmark]]:
    """Return the two fixed points that the marks are measured from as well."""
    keys = [point.landmark.key for point in setting.laying.zero_points[:2]]
    return [each for each in listed(setting, view) if each[1].key in keys]


def _marks(setting: Setting, view: PlanView) -> list[Block | Table]:
    told = _told(setting, view)
    bend = setting.laying.on_bend
    metric = setting.unit.value == "metric"
    unit = ", m" if metric else ""
    titles, distances = _distances(setting, told)
    painted = setting.laying.tape.spec.lies is TapeLies.PAINTED_LINE
    columns = [
        Column(title="mark", align=Align.LEFT, strong=True, share=0.6),
        Column(title="for", align=Align.LEFT, share=1.0, wraps=True, names=True, least_mm=22.0),
    ]
    columns += [Column(title=f"{title}{unit}", share=0.6) for title in titles]
    if bend:
        columns += [
            Column(title=f"tape on run line{unit}", share=0.5, strong=not painted),
            Column(title=f"tape on left line{unit}", share=0.5, strong=painted),
            Column(title=f"gap{unit}", share=0.4),
            Column(title=f"chord{unit}", share=0.4),
            Column(title=f"left ends{unit}", share=0.4),
            Column(title=f"right ends{unit}", share=0.4),
            Column(title="turned, °", share=0.3),
        ]
    else:
        columns += [
            Column(title=f"tape reads{unit}", share=0.6, strong=True, reading=not metric),
            Column(title=f"gap{unit}", share=0.5),
        ]
    if len(setting.laying.tape.pulls) > 1:
        columns.insert(2 + len(titles), Column(title="pull"))
    rows = [
        _mark_row(setting, each, own, bend=bend)
        for each, own in zip(setting.laying.placed.marks, distances, strict=True)
    ]
    used, told_rows = filled(columns, rows)
    ends = fives_of([each.mark.id for each in setting.laying.placed.marks])
    style = style_for(setting.paper)
    tables = text_tables(setting.paper, used, told_rows, style, ends=ends)
    turned = bend
    if bend:
        # How far it has turned is not worth a table of its own.
        without = [row[:-1] for row in told_rows]
        fewer = text_tables(setting.paper, used[:-1], without, style, ends=ends)
        turned = len(fewer) == len(tables)
        tables = tables if turned else fewer
    parts: list[Block | Table] = []
    for table in tables:
        parts += [space(GAP_MM), table] if parts else [table]
    if bend:
        line = {TapeLies.RUN_LINE: "the run line", TapeLies.PAINTED_LINE: "the left line"}.get(
            setting.laying.tape.spec.lies, "a tape pulled straight"
        )
        notes = (
            f"Distances and gaps are along {line}, as the tape lies; gaps from the mark before. "
            "Chord: straight across."
        )
        if turned:
            notes += " Turned: how far the run has turned to the left since the first mark."
        if any(each.mark.kind is MarkKind.WICKET for each in setting.laying.placed.marks):
            notes += (
                " Left and right ends: between the ends of this wicket and the one before; each "
                "wicket stands square to the lane."
            )
        parts.append(paragraph(notes, Role.LABEL, setting.paper, above_mm=1.0))
    return parts


def _distances(
    setting: Setting, told: list[tuple[str, Landmark]]
) -> tuple[list[str], list[tuple[str, ...]]]:
    """Return a title a fixed point, and a row of distances a mark.

    Where all marks lie on one side of a fixed point the title says which; else each cell does.
    """
    laying = setting.laying
    zero_id = laying.tape.pulls[0].zero_id
    titles: list[str] = []
    rows: list[tuple[str, ...]] = [()] * len(laying.placed.marks)
    for number, landmark in told:
        zero = _zero_beyond_m(setting, landmark)
        readings = [laying.tape.reading(each.mark.id)[1] for each in laying.placed.marks]
        beyond = [
            zero + math.copysign(apart_m(laying, zero_id, each.mark_id), each.line_m)
            for each in readings
        ]
        side = "from"
        if max(beyond) < SAME_SPOT_M:
            side = "before"
        elif min(beyond) > -SAME_SPOT_M:
            side = "beyond"
        titles.append(f"{side} {number}")
        rows = [
            (*row, _sided(setting, each, told=side != "from"))
            for row, each in zip(rows, beyond, strict=True)
        ]
    return titles, rows


def _sided(setting: Setting, beyond_m: float, *, told: bool) -> str:
    """Return how far a mark is from a fixed point, and on which side where that is not told."""
    shown = setting.shown(abs(beyond_m), bare=True)
    if told or abs(beyond_m) < SAME_SPOT_M:
        return shown
    return f"{shown} {'beyond' if beyond_m > 0 else 'before'}"


def _mark_row(
    setting: Setting, each: PlacedMark, distances: tuple[str, ...], *, bend: bool
) -> tuple[str, ...]:
    mark = each.mark
    owners = [d.athlete.name for d in setting.laying.demands if d.start_id == mark.id]
    cells = [mark_label(mark.id), ", ".join(owners) or mark.label, *distances]
    pull, reading = setting.laying.tape.reading(mark.id)
    if len(setting.laying.tape.pulls) > 1:
        cells.append(str(pull.number))
    marks = [each.mark.id for each in setting.laying.placed.marks]
    before = marks[marks.index(mark.id) - 1] if mark.id != marks[0] else None
    if bend:
        placed = setting.laying.placed
        first, here = (pose_of(placed, one).heading_rad for one in (placed.marks[0], each))
        turn = math.degrees(here - first)
        cells += [
            format_ticks(reading.ticks if ticks is None else ticks, reading.tick)
            for ticks in (reading.run_line_ticks, reading.painted_ticks)
        ]
        gap_m = None if before is None else apart_m(setting.laying, before, mark.id)
        cells.append(setting.shown(gap_m, bare=True))
        cells += [
            "" if length is None else format_length(length, setting.unit, bare=True)
            for length in (each.chord_m, each.inner_gap_m, each.outer_gap_m)
        ]
        turn = (turn + 180.0) % 360.0 - 180.0
        cells.append(f"{abs(turn):.1f}" if turn > -0.05 else f"{MINUS}{abs(turn):.1f}")
        return tuple(cells)
    gap = setting.shown(gap_shown_m(setting.laying, mark.id), bare=True)
    return (*cells, format_ticks(reading.ticks, reading.tick), gap)


# -- room -------------------------------------------------------------------------------------


def _rooms(setting: Setting, view: PlanView) -> list[Block]:
    """Return how much room there is before the start and after the last mark."""
    placed, layout = setting.laying.placed, setting.laying.layout
    room = []
    if placed.behind_start_room_m is not None and math.isfinite(placed.behind_start_room_m):
        free = there_text(placed.behind_start_room_m, setting.unit)
        room.append(f"Free behind the start: {free}.")
    if setting.laying.layout.slows_down:
        last = mark_label(layout.marks[-1].id)
        free = ""
        if placed.run_out_room_m is not None and math.isfinite(placed.run_out_room_m):
            free = f", {there_text(placed.run_out_room_m, setting.unit)} there"
        room.append(
            f"Slow-down after {last}: {room_text(layout.run_out_wanted_m, setting.unit)} wanted, "
            f"{room_text(placed.run_out_least_m, setting.unit)} at least{free}."
        )
    room.append("The grey band is run through: it must be free.")
    texts = [" ".join(room)]
    if view.drawn.obstacles:
        obstacles = enumerate(name for name, _ in view.drawn.obstacles)
        named = ", ".join(f"{obstacle_letter(index)} {name}" for index, name in obstacles)
        texts.append(f"In or beside the lane: {named}.")
    return [paragraph(text, Role.BODY, setting.paper, above_mm=0.6) for text in texts]
