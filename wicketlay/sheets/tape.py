"""The tape sheet: what one assistant needs to lay one lane, alone, in the cold."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.ground.tape import LINE, PullDirection, TapeLies, Tick
from wicketlay.sheets.furniture import (
    Setting,
    along_of,
    banner,
    expected_time_s,
    findings_of,
    frame,
    letter_of,
    mark_text,
    zero_text,
    zone_marks,
)
from wicketlay.sheets.layout import (
    Block,
    Pen,
    Table,
    cap_mm,
    fit,
    line_mm,
    paginate,
    paragraph,
    width_mm,
    wrap,
)
from wicketlay.sheets.pages import Align, Ink, Role, Sheet, Text
from wicketlay.sheets.readings import draw_reading
from wicketlay.sheets.strip import PEG_M, draw_strip, has_slow_down, stop_along_m
from wicketlay.sheets.zero import draw_zero
from wicketlay.units import (
    FOOT_M,
    UnitSystem,
    format_length,
    format_move,
    format_ticks,
    format_time,
)
from wicketlay.wording.cautions import FOR_THE_ASSISTANT

if TYPE_CHECKING:
    from collections.abc import Callable

    from wicketlay.ground.placed import FixedPoint, FreeZero
    from wicketlay.ground.tape import Pull, Reading
    from wicketlay.sheets.layout import Paper
    from wicketlay.sheets.pages import Page
    from wicketlay.solve import Demand

ROW_MM = (10.0, 9.5, 9.0, 8.5, 8.0)
"""Heights of a row, the most generous first."""
PEG_ROW_MM = 4.4
ZERO_DRAWING_MM = 64.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Where the columns of a pull stand [mm]."""

    left: float
    mark: float
    reading: float
    """Right edge of the readings."""
    side: float
    """Left edge of what stands beside a reading: the gap, or the name."""
    gap: float
    """Right edge of the gaps."""
    right: float


def tape_sheet(setting: Setting) -> Sheet:
    """Return the tape sheet of one laying."""
    stops = [f for f in findings_of(setting) if f.level is Level.STOP]
    if stops:
        blocks = banner(stops, setting.paper, setting.unit)
        pages = paginate(blocks, frame(setting, "tape sheet"))
    else:
        pages = _best_pages(setting)
    return Sheet(kind="tape", group=setting.short_place, title="tape sheet", pages=pages)


def _best_pages(setting: Setting) -> tuple[Page, ...]:
    """Return the pages with the highest rows that cost no page and break no table earlier."""

    def cost(pages: tuple[Page, ...]) -> tuple[int, int]:
        first = sum(isinstance(i, Text) and i.role is Role.READING for i in pages[0].items)
        return len(pages), -first

    tightest = _pages(setting, ROW_MM[-1])
    for row_mm in ROW_MM[:-1]:
        pages = _pages(setting, row_mm)
        if cost(pages) == cost(tightest):
            return pages
    return tightest


def _pages(setting: Setting, row_mm: float) -> tuple[Page, ...]:
    parts: list[Block | Table] = [_carry(setting), _zero_box(setting)]
    checked = False
    for pull in setting.laying.tape.pulls:
        parts.append(_pull(setting, pull, row_mm))
        if not checked and any(r.mark_id == _check_pair(setting)[1] for r in pull.readings):
            parts.append(_closing_check(setting))
            checked = True
    parts += _slow_down_note(setting)
    parts += [*_cautions(setting), _zone_and_time(setting), _last_ticks(setting.paper)]
    return paginate(parts, frame(setting, "tape sheet"))


# -- what to carry ----------------------------------------------------------------------------


def _carry(setting: Setting) -> Block:
    laying, plan = setting.laying, setting.solved.plan
    wickets = len(laying.layout.of_kind(MarkKind.WICKET))
    hurdles = min(wickets, plan.kit.wickets)
    starts = laying.layout.of_kind(MarkKind.START)
    letters = sorted(mark_text(m.id, letter_of(laying, m.id)) for m in starts)
    named = f" ({', '.join(letters)})" if len(letters) > 1 else ""
    others = len(laying.layout.of_kind(MarkKind.CONE, MarkKind.GATE))
    cones = len(starts) + (1 if has_slow_down(setting) else 0) + others
    pegs = max(_pegs(setting, pull) for pull in laying.tape.pulls)
    items = [
        f"{_count(hurdles, 'wicket')} (low hurdles)" if wickets else "",
        f"{_count(wickets - hurdles, 'chalk mark')}" if wickets > hurdles else "",
        f"{_count(cones, 'cone')}{named}",
        _count(pegs, "peg") if pegs else "",
        f"tape, {_tape_length(setting)}",
        "this sheet and a pencil",
    ]
    text = "Carry: " + " · ".join(item for item in items if item)
    if _relaid(setting):
        gone = [mark_text(each.mark_id) for each in laying.moved if each.taken_up]
        up = f" Take up {', '.join(gone)}." if gone else ""
        text = f"The marks of wave {laying.wave - 1} lie here: move them as told.{up} {text}"
    return paragraph(text, Role.BODY, setting.paper, below_mm=0.6)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" + ("" if number == 1 else "s")


def _tape_length(setting: Setting) -> str:
    length = setting.laying.tape.spec.length_m
    if setting.unit is UnitSystem.METRIC:
        return format_length(length, setting.unit, places=0)
    return f"{math.floor(length / float(FOOT_M) + 1e-6)} ft"


# -- the zero ---------------------------------------------------------------------------------


def _zero_box(setting: Setting) -> Block:
    """Return the box that tells the zero twice, with its drawing where there is room for it."""
    paper = setting.paper
    drawing = 0.0 if paper.compact else ZERO_DRAWING_MM
    room = paper.inner_mm - drawing - (6.0 if paper.compact else 8.0)
    lines = [
        (part, role, role.small_pt)
        for text, role in _zero_texts(setting)
        for part in wrap(text, role, role.small_pt, room)
    ]
    text_mm = sum(line_mm(size) for _, _, size in lines)
    height = text_mm + 3.0 if paper.compact else max(text_mm + 3.0, 25.0)

    def draw(pen: Pen, y: float) -> None:
        pen.rect(paper.left_mm, y, paper.inner_mm, height, line_mm=0.7)
        at = y + 1.9 + (height - 3.0 - text_mm) / 2
        for text, role, size in lines:
            pen.text(paper.left_mm + 3.0, at + cap_mm(size), text, role, size_pt=size)
            at += line_mm(size)
        if drawing:
            place = (paper.right_mm - drawing - 2.0, y + 1.0)
            draw_zero(pen, setting, place, (drawing, height - 2.0))

    return Block(height_mm=height + 1.6, draw=draw)


def _zero_texts(setting: Setting) -> list[tuple[str, Role]]:
    placed = setting.laying.placed
    pull = setting.laying.tape.pulls[0]
    points = pull.fixed_points or placed.fixed_points
    zero = zero_text(pull.zero_id)
    texts: list[tuple[str, Role]] = []
    if points:
        here = pull.zero_id == LINE and points[0].distance_m < setting.laying.tape.spec.tick.metres
        place = "" if here else f" = {_fixed_point(setting, points[0])}"
        texts.append((f"0 = {zero}{place}", Role.ZERO))
        edge = points[0].landmark.edge
        told = f"{'At' if here else 'Measure to'} its {edge}. " if edge else ""
        if len(points) > 1:
            other = points[1].landmark.edge
            told += f"Check: {_fixed_point(setting, points[1])}{f' ({other})' if other else ''}."
        if told:
            texts.append((told, Role.STRONG))
    elif placed.free_zero is not None:
        texts += _free_zero_texts(setting, placed.free_zero, zero)
    else:
        texts.append((f"0 = {zero}", Role.ZERO))
    front = " Front: the runner's side." if zero.startswith("front") else ""
    texts.append(("Use the 0 of the scale, not the ring.", Role.STRONG))
    texts.append((f"{_tape_lies(setting)}{front}", Role.BODY))
    if placed.both_ways:
        texts.append(("Run in both directions: wickets that fall both ways.", Role.STRONG))
    return texts


def _free_zero_texts(setting: Setting, free: FreeZero, zero: str) -> list[tuple[str, Role]]:
    """Return how a zero on ground without a fixed point is chosen and found again."""
    ahead = rough(free.sighting_m, setting.unit)
    noted = [
        f"{each.name} " + ("______" if each.distance_m is None else setting.length(each.distance_m))
        for each in free.noted
    ]
    noted += ["____________ ______"] * (2 - len(noted))
    return [
        (f"0 = {zero}: choose the place", Role.ZERO),
        (f"Second cone {ahead} on, to sight along.", Role.BODY),
        (f"Note how far 0 is from: 1 {noted[0]}  2 {noted[1]}", Role.BODY),
    ]


def on_bend(setting: Setting) -> bool:
    """Tell whether any mark lies on a bend, where it matters along what the tape lies."""
    return any(math.isfinite(each.radius_m) for each in setting.laying.placed.marks)


def _tape_lies(setting: Setting) -> str:
    """Return along what the tape is laid."""
    lies = setting.laying.tape.spec.lies
    course = setting.laying.placed.course
    if not on_bend(setting) or lies is TapeLies.PAINTED_LINE or course is None:
        return "Tape along the left line, as the runner sees it."
    if lies is TapeLies.STRAIGHT:
        return "Tape pulled straight, not round the bend."
    return f"Tape in the lane, {setting.length(course.painted_offset_m)} from its left line."


def _fixed_point(setting: Setting, point: FixedPoint) -> str:
    distance_m = point.distance_m
    painted = setting.laying.tape.spec.lies is TapeLies.PAINTED_LINE
    if painted and on_bend(setting) and point.painted_m is not None:
        distance_m = point.painted_m
    if abs(distance_m) < setting.laying.tape.spec.tick.metres / 2:
        return f"at {point.landmark.text}"
    side = "after" if point.beyond else "before"
    return f"{setting.length(distance_m)} {side} {point.landmark.text}"


# -- the pulls --------------------------------------------------------------------------------


def _pull(setting: Setting, pull: Pull, row_mm: float) -> Table:
    layout = setting.laying.layout
    first = pull.number == setting.laying.tape.pulls[0].number
    columns = _columns(setting, beside=first)
    rows = _rows(setting, pull, columns, row_mm)
    heading = _pull_heading(setting, pull, columns)

    def beside(pen: Pen, top: float, end: float, piece: int) -> None:
        if piece > 0:
            return
        left = columns.right + (2.0 if setting.paper.compact else 4.0)
        width = setting.paper.right_mm - left
        if setting.paper.compact:
            draw_zero(pen, setting, (left, top + 1.0), (width, 24.0))
            top += 28.0
        draw_strip(pen, setting, (left, top), (width, end - top))

    drawn = first and bool(layout.marks)
    return Table(
        heading=heading,
        rows=rows,
        beside=beside if drawn else None,
        beside_least_mm=(100.0 if setting.paper.compact else 80.0) if drawn else 0.0,
    )


def _columns(setting: Setting, *, beside: bool) -> Columns:
    paper = setting.paper
    left = paper.left_mm
    compact = paper.compact
    metric = setting.unit is UnitSystem.METRIC
    mark = left + (7.5 if compact else 9.0)
    # The widest reading is 000.00, or 000 ft 11 1/2 in.
    reading = (
        mark
        + (16.0 if compact else 24.0)
        + ((30.0 if compact else 34.0) if metric else (48.0 if compact else 52.0))
    )
    if not beside:
        right = paper.right_mm
    elif metric:
        right = left + (92.0 if compact else 122.0)
    else:
        right = left + (101.0 if compact else 128.0)
    gap = right - (2.0 if compact else 8.0)
    return Columns(
        left=left,
        mark=mark,
        reading=reading,
        side=reading + (4.0 if compact else 7.0),
        gap=gap,
        right=right,
    )


def _pull_heading(setting: Setting, pull: Pull, columns: Columns) -> Block:
    paper = setting.paper
    size = Role.HEADING.small_pt if paper.compact else Role.HEADING.large_pt
    label = Role.LABEL.small_pt
    running = pull.direction is PullDirection.RUNNING
    text = f"PULL {pull.number} · from the {zero_text(pull.zero_id)}, {pull.direction.value}"
    if pull.number > 1:
        text = f"PULL {pull.number} · new 0: {zero_text(pull.zero_id)}, {pull.direction.value}"
    starts_only = all(r.mark_id.startswith("start") for r in readings_of(setting, pull))
    metric = setting.unit is UnitSystem.METRIC
    narrow = paper.compact and not metric
    reads = "tape reads, m" if metric else "tape reads"
    height = cap_mm(size) + cap_mm(label) + 5.4

    def draw(pen: Pen, y: float) -> None:
        baseline = y + 1.4 + cap_mm(size)
        wide = pen.text(columns.left, baseline, text, Role.HEADING, size_pt=size)
        arrow_y = baseline - cap_mm(size) / 2
        ends = (columns.left + wide + 3.0, columns.left + wide + 12.0)
        if ends[1] < columns.right:
            begin, end = ends if running else ends[::-1]
            pen.arrow(begin, arrow_y, end, arrow_y, width_mm=0.8, head_mm=3.0)
        baseline += 2.2 + cap_mm(label)
        pen.text(columns.mark, baseline, "mark", Role.LABEL, size_pt=label)
        pen.text(columns.reading, baseline, reads, Role.LABEL, size_pt=label, align=Align.RIGHT)
        if starts_only:
            pen.text(columns.side, baseline, "who", Role.LABEL, size_pt=label)
            pen.text(
                columns.gap, baseline, "foot in front", Role.LABEL, size_pt=label, align=Align.RIGHT
            )
        else:
            pen.text(
                columns.gap,
                baseline,
                "gap: do not add" if narrow else "gap: check only, do not add",
                Role.LABEL,
                size_pt=label,
                align=Align.RIGHT,
            )
        below = y + height
        pen.line(columns.left, below, columns.right, below, width_mm=0.5)

    return Block(height_mm=height, draw=draw)


def readings_of(setting: Setting, pull: Pull) -> tuple[Reading, ...]:
    """Return the readings that are rows of a pull.

    What lies already is no row: the mark a later pull starts from, and the take-off line. The
    heading names it as the 0.
    """
    first = pull.number == setting.laying.tape.pulls[0].number
    if first and pull.zero_id != LINE:
        return pull.readings
    return tuple(each for each in pull.readings if each.mark_id != pull.zero_id)


def _is_wicket(setting: Setting, mark_id: str) -> bool:
    return mark_id != LINE and setting.laying.layout.mark(mark_id).kind is MarkKind.WICKET


def _rows(setting: Setting, pull: Pull, columns: Columns, row_mm: float) -> tuple[Block, ...]:
    """Return the rows of a pull in walking order, pegs and the slow-down cone among them."""
    series = [r.mark_id for r in readings_of(setting, pull) if not r.mark_id.startswith("start")]
    rows: list[tuple[float, Block]] = []
    before: Reading | None = None
    for reading in readings_of(setting, pull):
        place = series.index(reading.mark_id) + 1 if reading.mark_id in series else 0
        fifth = place > 0 and place % 5 == 0 and place < len(series)
        if place:
            row = _mark_row(setting, reading, before, columns, row_mm, fifth=fifth)
            if _is_wicket(setting, reading.mark_id):
                before = reading
        else:
            row = _start_row(setting, reading, columns, row_mm)
        rows.append((reading.true_m, row))
    cone = _cone_on_tape_m(setting, pull)
    if cone is not None:
        rows.append((cone, _cone_row(setting, cone, columns, row_mm)))
    rows += [
        (number * PEG_M[setting.unit], _peg_row(setting, number, columns))
        for number in range(1, _pegs(setting, pull) + 1)
    ]
    rows.sort(key=lambda item: item[0])
    return tuple(row for _, row in rows)


def _pegs(setting: Setting, pull: Pull) -> int:
    """Return how many times the tape is pegged on the way to a pull's last mark."""
    reach = max((r.true_m for r in pull.readings), default=0.0)
    return max(math.ceil(reach / PEG_M[setting.unit]) - 1, 0)


def _row_block(
    columns: Columns, height: float, draw: Callable[[Pen, float], None], *, fifth: bool = False
) -> Block:
    """Return a row with the rule below it, a heavy one after every fifth mark."""

    def whole(pen: Pen, y: float) -> None:
        draw(pen, y)
        below = y + height
        pen.line(columns.left, below, columns.right, below, width_mm=0.7 if fifth else 0.15)

    return Block(height_mm=height, draw=whole, ends_group=fifth)


def _mark_row(
    setting: Setting,
    reading: Reading,
    before: Reading | None,
    columns: Columns,
    row_mm: float,
    *,
    fifth: bool,
) -> Block:
    wicket = _is_wicket(setting, reading.mark_id)
    gap = ""
    if wicket and before is not None:
        gap = _bare(setting, abs(reading.true_m - before.true_m))
    number = int(reading.mark_id.removeprefix("w")) if wicket else 0
    chalk = number > setting.solved.plan.kit.wickets
    label = "" if reading.mark_id == LINE else setting.laying.layout.mark(reading.mark_id).label
    note = label or ("chalk" if chalk else "") or _move_text(setting, reading.mark_id)

    def draw(pen: Pen, y: float) -> None:
        _row_start(pen, setting, reading, columns, (y, row_mm))
        _note_and_gap(pen, setting, columns, (y, row_mm), (note, gap))

    return _row_block(columns, row_mm, draw, fifth=fifth)


def _note_and_gap(
    pen: Pen,
    setting: Setting,
    columns: Columns,
    band: tuple[float, float],
    said: tuple[str, str],
) -> None:
    """Put a row's note and gap side by side, or the gap above the note where that is too wide."""
    y, row_mm = band
    note, gap = said
    narrow = setting.paper.compact and setting.unit is UnitSystem.FEET
    role = Role.BODY if narrow else Role.FIGURE
    size, small = role.small_pt, Role.BODY.small_pt
    gap_mm = width_mm(gap, role, size) + 3.0 if gap else 0.0
    room = columns.gap - columns.side - gap_mm
    if note and gap and width_mm(note, Role.BODY, small) > room:
        label = Role.LABEL.small_pt
        upper = y + row_mm / 2 - 0.5
        pen.text(columns.gap, upper, gap, Role.BODY, size_pt=small, align=Align.RIGHT)
        lower = y + row_mm / 2 + cap_mm(label) + 0.9
        pen.text(columns.gap, lower, note, Role.LABEL, size_pt=label, align=Align.RIGHT)
        return
    if note:
        lines = wrap(note, Role.BODY, small, room)
        _centred_lines(pen, columns.side, band, lines, (Role.BODY, small))
    if gap:
        baseline = y + (row_mm + cap_mm(size)) / 2
        pen.text(columns.gap, baseline, gap, role, size_pt=size, align=Align.RIGHT)


def _relaid(setting: Setting) -> bool:
    """Tell whether the marks of the wave before still lie on the lane."""
    laying = setting.laying
    stages = setting.solved.plan.stages
    # Between stages lie days: then the moves are told on the stage sheet.
    return bool(laying.moved) and not laying.laid_anew and (stages is None or laying.stage == 1)


def _move_text(setting: Setting, mark_id: str) -> str:
    """Return how a mark moves from the wave before, "" when nothing lies there yet."""
    if not _relaid(setting):
        return ""
    moves = {each.mark_id: each.by_m for each in setting.laying.moved if not each.taken_up}
    if mark_id not in moves:
        return "stays"
    by_m = moves[mark_id]
    if by_m is None:
        return "new"
    far = abs(by_m) >= 1.0
    shown = setting.length(abs(by_m)) if far else format_move(abs(by_m), setting.unit)
    return f"{shown} {'on' if by_m > 0 else 'back'}"


def _bare(setting: Setting, length_m: float) -> str:
    per_inch = 4 if setting.laying.tape.spec.tick is Tick.QUARTER_INCH else 2
    return format_length(length_m, setting.unit, bare=True, per_inch=per_inch)


def _row_start(
    pen: Pen, setting: Setting, reading: Reading, columns: Columns, band: tuple[float, float]
) -> None:
    """Draw tick box, mark and reading of a row; `band` is its top and its height."""
    y, row_mm = band
    pen.tick_box(columns.left + 0.6, y + (row_mm - 5.0) / 2)
    mark_pt = Role.MARK.large_pt if not setting.paper.compact else Role.MARK.small_pt
    text = mark_text(reading.mark_id, letter_of(setting.laying, reading.mark_id))
    if width_mm(text, Role.MARK, mark_pt) > 22.0 or (setting.paper.compact and len(text) > 3):
        mark_pt = Role.HEADING.large_pt
    large = row_mm >= 8.5 and not setting.paper.compact
    size = Role.READING.large_pt if large else Role.READING.small_pt
    baseline = y + (row_mm + cap_mm(size)) / 2
    pen.text(columns.mark, baseline, text, Role.MARK, size_pt=mark_pt)
    shown = format_ticks(reading.ticks, reading.tick)
    draw_reading(pen, columns.reading, baseline, shown, Role.READING, size_pt=size)


def _start_row(setting: Setting, reading: Reading, columns: Columns, row_mm: float) -> Block:
    demand = next(d for d in setting.laying.demands if d.start_id == reading.mark_id)
    foot_mm = 20.0
    room = columns.gap - columns.side - foot_mm
    size, lines = fit(demand.athlete.name, Role.NAME, room, compact=setting.paper.compact)
    height = max(row_mm, len(lines) * line_mm(size) + 1.6)
    foot = demand.front_foot.value if demand.front_foot is not None else "either"

    def draw(pen: Pen, y: float) -> None:
        _row_start(pen, setting, reading, columns, (y, height))
        _centred_lines(pen, columns.side, (y, height), lines, (Role.NAME, size))
        points = Role.FIGURE_STRONG.small_pt
        pen.text(
            columns.gap,
            y + (height + cap_mm(points)) / 2,
            foot,
            Role.FIGURE_STRONG,
            size_pt=points,
            align=Align.RIGHT,
        )

    return _row_block(columns, height, draw)


def _centred_lines(
    pen: Pen,
    x: float,
    band: tuple[float, float],
    lines: tuple[str, ...],
    style: tuple[Role, float],
) -> None:
    """Put lines in the middle of a band, given as its top and height."""
    (y, height), (role, size) = band, style
    block = cap_mm(size) + (len(lines) - 1) * line_mm(size)
    pen.lines(x, y + (height - block) / 2 + cap_mm(size), lines, role, size_pt=size)


def _peg_row(setting: Setting, number: int, columns: Columns) -> Block:
    shown = (
        format_ticks(number * 1000, Tick.CM_1)
        if setting.unit is UnitSystem.METRIC
        else f"{number * 30} ft"
    )

    def draw(pen: Pen, y: float) -> None:
        pen.rect(
            columns.left, y, columns.right - columns.left, PEG_ROW_MM, line_mm=0.0, fill=Ink.TINT
        )
        size = Role.STRONG.small_pt
        baseline = y + (PEG_ROW_MM + cap_mm(size)) / 2
        pen.text(columns.mark, baseline, "peg", Role.STRONG, size_pt=size)
        pen.text(columns.reading, baseline, shown, Role.STRONG, size_pt=size, align=Align.RIGHT)
        what, small = "tape straight, peg it", Role.BODY.small_pt
        if width_mm(what, Role.BODY, small) < columns.right - columns.side:
            pen.text(columns.side, baseline, what, Role.BODY, size_pt=small)

    return _row_block(columns, PEG_ROW_MM, draw)


# -- the slow-down ----------------------------------------------------------------------------


def rough(length_m: float, unit: UnitSystem) -> str:
    """Return a length up to the next whole metre or foot."""
    if unit is UnitSystem.METRIC:
        return f"{math.ceil(length_m - 1e-9)} m"
    return f"{math.ceil(length_m / float(FOOT_M) - 1e-9)} ft"


def _cone_m(setting: Setting, pull: Pull) -> float:
    """Return where the slow-down cone lies from a pull's zero, up to a whole metre or foot [m]."""
    layout = setting.laying.layout
    way = 1 if pull.direction is PullDirection.RUNNING else -1
    distance = way * (stop_along_m(setting) - along_of(layout, pull.zero_id))
    whole = 1.0 if setting.unit is UnitSystem.METRIC else float(FOOT_M)
    room = setting.laying.placed.run_out_room_m
    wanted = layout.run_out_wanted_m
    # Where the room ends before the wanted slow-down, the cone must not be moved beyond it.
    round_to_whole = math.floor if room is not None and room < wanted + whole else math.ceil
    return round_to_whole(distance / whole + 1e-9) * whole


def _cone_on_tape_m(setting: Setting, pull: Pull) -> float | None:
    """Return the cone's place when this pull reaches it, else None."""
    if not has_slow_down(setting) or not pull.readings:
        return None
    end = setting.laying.layout.marks[-1].id
    if pull.direction is not PullDirection.RUNNING or pull.readings[-1].mark_id != end:
        return None
    place = _cone_m(setting, pull)
    return place if pull.readings[-1].true_m < place <= setting.laying.tape.spec.length_m else None


def _cone_row(setting: Setting, place_m: float, columns: Columns, row_mm: float) -> Block:
    if setting.unit is UnitSystem.METRIC:
        shown = format_length(place_m, setting.unit, bare=True)
    else:
        shown = f"{round(place_m / float(FOOT_M))} ft 0 in"

    def draw(pen: Pen, y: float) -> None:
        pen.tick_box(columns.left + 0.6, y + (row_mm - 5.0) / 2)
        size = Role.HEADING.large_pt
        pen.text(columns.mark, y + (row_mm + cap_mm(size)) / 2, "CONE", Role.MARK, size_pt=size)
        points = Role.FIGURE_STRONG.large_pt
        draw_reading(
            pen,
            columns.reading,
            y + (row_mm + cap_mm(points)) / 2,
            shown,
            Role.FIGURE_STRONG,
            size_pt=points,
        )
        small = Role.BODY.small_pt
        lines = wrap("slow-down ends", Role.BODY, small, columns.gap - columns.side)
        _centred_lines(pen, columns.side, (y, row_mm), lines, (Role.BODY, small))

    return _row_block(columns, row_mm, draw)


def _slow_down_note(setting: Setting) -> list[Block]:
    """Return where the slow-down cone stands when no pull reaches it."""
    if not has_slow_down(setting):
        return []
    pulls = setting.laying.tape.pulls
    if any(_cone_on_tape_m(setting, pull) is not None for pull in pulls):
        return []
    last = mark_text(setting.laying.layout.marks[-1].id)
    beyond = stop_along_m(setting) - float(setting.laying.layout.marks[-1].along_m)
    steps = math.ceil(beyond)
    text = (
        f"SLOW-DOWN CONE: {rough(beyond, setting.unit)} past {last}, beyond the tape: "
        f"count {steps} long steps."
    )
    return [paragraph(text, Role.STRONG, setting.paper, above_mm=0.6)]


# -- checks, cautions, ticks ------------------------------------------------------------------


def _check_pair(setting: Setting) -> tuple[str, str]:
    """Return the two marks of the closing check: W5 and W10, or a shorter pair inside."""
    marks = [mark.id for mark in zone_marks(setting.laying.layout)]
    if len(marks) >= 10:
        return marks[4], marks[9]
    if len(marks) >= 4:
        return marks[1], marks[-2]
    if len(marks) >= 2:
        return marks[0], marks[-1]
    return setting.laying.layout.marks[0].id, setting.laying.layout.marks[-1].id


def _closing_check(setting: Setting) -> Block:
    laying = setting.laying
    first, second = _check_pair(setting)
    apart = abs(along_of(laying.layout, second) - along_of(laying.layout, first))
    tick_mm = 1000 * laying.tape.spec.tick.metres
    error = sum(laying.tape.reading(mark)[1].error_mm for mark in (first, second))
    within = math.ceil(error / tick_mm - 1e-9) * tick_mm / 1000
    text = f"{mark_text(first)} to {mark_text(second)} = {setting.length(apart)}"
    wickets = len(laying.layout.of_kind(MarkKind.WICKET))
    rest = f"right within {format_move(within, setting.unit)}"
    if wickets:
        rest += f"; hurdles left over: {max(setting.solved.plan.kit.wickets - wickets, 0)}"
    rest += ". Wrong: redo, do not adjust."
    paper = setting.paper
    size = Role.NAME.small_pt if paper.compact else Role.NAME.large_pt
    body = Role.BODY.small_pt
    height = 8.0

    def draw(pen: Pen, y: float) -> None:
        pen.tick_box(paper.left_mm + 0.6, y + (height - 5.0) / 2)
        x = paper.left_mm + (7.5 if paper.compact else 9.0)
        baseline = y + (height + cap_mm(size)) / 2
        wide = pen.text(x, baseline, text, Role.NAME, size_pt=size)
        room = paper.right_mm - x - wide - 4.0
        lines = wrap(rest, Role.BODY, body, room)
        _centred_lines(pen, x + wide + 4.0, (y, height), lines, (Role.BODY, body))

    return Block(height_mm=height + 0.4, draw=draw)


def _cautions(setting: Setting) -> list[Block]:
    low, closed, surface = FOR_THE_ASSISTANT
    texts = [low] if setting.laying.layout.of_kind(MarkKind.WICKET) else []
    if has_slow_down(setting):
        layout = setting.laying.layout
        least = rough(layout.run_out_least_m, setting.unit)
        last = mark_text(layout.marks[-1].id)
        closed += f" Slow-down: to the cone, never less than {least} past {last}."
    texts += [closed, surface]
    paper = setting.paper
    size = Role.BODY.small_pt
    lines = [line for text in texts for line in wrap(f"! {text}", Role.BODY, size, paper.inner_mm)]

    def draw(pen: Pen, y: float) -> None:
        pen.lines(paper.left_mm, y + 1.0 + cap_mm(size), lines, Role.BODY, size_pt=size)

    return [Block(height_mm=len(lines) * line_mm(size) + 1.0, draw=draw)]


def _zone_and_time(setting: Setting) -> Block:
    layout = setting.laying.layout
    marks = zone_marks(layout)
    first, last = mark_text(marks[0].id), mark_text(marks[-1].id)
    zone = setting.length(abs(float(marks[-1].along_m - marks[0].along_m)))
    times = ", ".join(_time_of(setting, demand) for demand in setting.laying.demands)
    text = f"{first} to {last} = {zone}. Time expected: {times}."
    return paragraph(text, Role.BODY, setting.paper, small=True, below_mm=0.6)


def _time_of(setting: Setting, demand: Demand) -> str:
    time = format_time(expected_time_s(demand))
    return f"{demand.athlete.name} {time}" if len(setting.laying.demands) > 1 else time


def _last_ticks(paper: Paper) -> Block:
    size = Role.FIGURE_STRONG.small_pt if paper.compact else Role.FIGURE_STRONG.large_pt
    height = 7.0

    def draw(pen: Pen, y: float) -> None:
        pen.line(paper.left_mm, y, paper.right_mm, y, width_mm=0.5)
        for index, text in enumerate(("tape up", "lane closed", "coach told")):
            x = paper.column_mm(index / 3)
            pen.tick_box(x + 0.6, y + 1.6)
            pen.text(
                x + 8.0, y + 1.6 + (5.0 + cap_mm(size)) / 2, text, Role.FIGURE_STRONG, size_pt=size
            )

    return Block(height_mm=height, draw=draw)
