"""A pull of the tape as a table: a row a mark, in the order it is walked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.drills.wickets import CHALK
from wicketlay.ground.tape import LINE, PullDirection
from wicketlay.lanes.closing import apart_m
from wicketlay.sheets.drawings.strip import draw_strip, on_bend, on_grass, peg_step_m
from wicketlay.sheets.drawings.zero import draw_zero, zero_text
from wicketlay.sheets.page.flow import Block, Table
from wicketlay.sheets.page.layout import Pen, cap_mm, fit, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.sheets.page.tables import draw_reading
from wicketlay.sheets.setting import Setting, is_relaid
from wicketlay.sheets.slow_down import cone_move_text, cone_on_tape_m
from wicketlay.units import FOOT_M, UnitSystem, format_length, format_ticks
from wicketlay.values import dataclass
from wicketlay.wording.names import mark_label, move_way

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wicketlay.ground.tape import Pull, Reading, TapeSheet
    from wicketlay.lanes.laying import Moved


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightness:
    """How much room a tape sheet gives: heights of rows and of the drawing beside them [mm].

    `packed` runs the cautions on in one paragraph.
    """

    row_mm: float
    drawing_mm: float = 100.0
    peg_mm: float = 4.4
    packed: bool = False


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


def pull_table(setting: Setting, pull: Pull, tightness: Tightness) -> Table:
    """Return a pull as a table; beside the first one the lane is drawn to scale."""
    layout = setting.laying.layout
    first = pull.number == setting.laying.tape.pulls[0].number
    columns = _columns(setting, beside=first)
    rows = _rows(setting, pull, columns, tightness)
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
    # On small paper the drawing of the zero stands above the lane, for want of room in its box.
    least = tightness.drawing_mm if setting.paper.compact else min(tightness.drawing_mm, 80.0)
    return Table(
        heading=heading,
        rows=rows,
        beside=beside if drawn else None,
        beside_least_mm=least if drawn else 0.0,
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
    zero = zero_text(setting.laying, pull.zero_id, short=True)
    text = f"PULL {pull.number} · from the {zero}, {pull.direction.value}"
    if pull.number > 1:
        text = f"PULL {pull.number} · new 0: {zero}, {pull.direction.value}"
    starts_only = all(r.mark_id.startswith("start") for r in readings_of(setting.laying.tape, pull))
    metric = setting.unit is UnitSystem.METRIC
    narrow = paper.compact and not metric
    reads = "tape reads, m" if metric else "tape reads"
    height = cap_mm(size) + cap_mm(label) + 5.4

    def draw(pen: Pen, y: float) -> None:
        baseline = y + 1.4 + cap_mm(size)
        pen.text(columns.left, baseline, text, Role.HEADING, size_pt=size)
        wide = width_mm(text, Role.HEADING, size)
        arrow_y = baseline - cap_mm(size) / 2
        ends = (columns.left + wide + 3.0, columns.left + wide + 12.0)
        if ends[1] < columns.right:
            begin, end = ends if running else ends[::-1]
            pen.arrow(begin, arrow_y, end, arrow_y, width_mm=0.8, head_mm=3.0)
        baseline += 2.2 + cap_mm(label)
        pen.text(columns.mark, baseline, "mark", Role.LABEL, size_pt=label)
        pen.text(columns.reading, baseline, reads, Role.LABEL, size_pt=label, align=Align.RIGHT)
        if is_relaid(setting) and not starts_only:
            pen.text(columns.side, baseline, "move", Role.LABEL, size_pt=label)
        if starts_only:
            who = "who, move" if is_relaid(setting) else "who"
            pen.text(columns.side, baseline, who, Role.LABEL, size_pt=label)
            pen.text(
                columns.gap, baseline, "foot in front", Role.LABEL, size_pt=label, align=Align.RIGHT
            )
        else:
            pen.text(
                columns.gap,
                baseline,
                "gap: do not add"
                if narrow or is_relaid(setting)
                else "gap: check only, do not add",
                Role.LABEL,
                size_pt=label,
                align=Align.RIGHT,
            )
        below = y + height
        pen.line(columns.left, below, columns.right, below, width_mm=0.5)

    return Block(height_mm=height, draw=draw)


def readings_of(tape: TapeSheet, pull: Pull) -> tuple[Reading, ...]:
    """Return the readings that are rows of a pull.

    What lies already is no row: the mark a later pull starts from, and the take-off line. The
    heading names it as the 0.
    """
    first = pull.number == tape.pulls[0].number
    if first and pull.zero_id != LINE:
        return pull.readings
    return tuple(each for each in pull.readings if each.mark_id != pull.zero_id)


def _has_gaps(setting: Setting, mark_id: str) -> bool:
    """Tell whether the distance to the mark before is a step, worth a check."""
    kinds = (MarkKind.WICKET, MarkKind.LANDING)
    return mark_id != LINE and setting.laying.placed.mark(mark_id).mark.kind in kinds


def _rows(
    setting: Setting, pull: Pull, columns: Columns, tightness: Tightness
) -> tuple[Block, ...]:
    """Return the rows of a pull in walking order, pegs and the slow-down cone among them."""
    readings = readings_of(setting.laying.tape, pull)
    stepped = [each.mark_id for each in readings if _has_gaps(setting, each.mark_id)]
    before = dict(zip(stepped[1:], stepped, strict=False))
    walked, back = as_moved(pull, readings, setting.laying.moved)
    series = [r.mark_id for r in walked if not r.mark_id.startswith("start")]
    rows: list[tuple[bool, float, Block]] = []
    row_mm = tightness.row_mm
    for reading in walked:
        place = series.index(reading.mark_id) + 1 if reading.mark_id in series else 0
        fifth = place > 0 and place % 5 == 0 and place < len(series)
        if place:
            gap_from = before.get(reading.mark_id)
            row = _mark_row(setting, reading, gap_from, columns, row_mm, fifth=fifth)
        else:
            row = _start_row(setting, reading, columns, row_mm)
        late = reading.mark_id in back
        rows.append((late, -reading.true_m if late else reading.true_m, row))
    cone = cone_on_tape_m(setting, pull)
    if cone is not None:
        rows.append((False, cone, _cone_row(setting, cone, columns, row_mm)))
    rows += [
        (False, number * peg_step_m(setting), _peg_row(setting, number, columns, tightness.peg_mm))
        for number in range(1, pegs_of(setting, pull) + 1)
    ]
    rows.sort(key=lambda item: item[:2])
    return tuple(row for *_, row in rows)


def as_moved(
    pull: Pull, readings: Sequence[Reading], moves: Sequence[Moved]
) -> tuple[list[Reading], frozenset[str]]:
    """Return readings in the order the marks are moved, and which move away from the zero.

    These are moved on the way back, the farthest first, so that none is set past the old place
    of the next.
    """
    read = {reading.mark_id for reading in readings}
    back = frozenset(
        each.mark_id
        for each in moves
        if each.mark_id in read and (each.shown_m or 0.0) * pull.direction.way > 0.0
    )
    walked = sorted((r for r in readings if r.mark_id not in back), key=lambda r: r.ticks)
    return walked + sorted((r for r in readings if r.mark_id in back), key=lambda r: -r.ticks), back


def pegs_of(setting: Setting, pull: Pull) -> int:
    """Return how many times the tape is pegged on the way to a pull's last mark."""
    reach = max((r.true_m for r in pull.readings), default=0.0)
    return max(math.ceil(reach / peg_step_m(setting)) - 1, 0)


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
    before: str | None,
    columns: Columns,
    row_mm: float,
    *,
    fifth: bool,
) -> Block:
    gap = ""
    if before is not None and _has_gaps(setting, reading.mark_id):
        gap = setting.shown(apart_m(setting.laying, before, reading.mark_id), bare=True)
    label = (
        "" if reading.mark_id == LINE else setting.laying.placed.mark(reading.mark_id).mark.label
    )
    move = move_text(setting, reading.mark_id)
    note = f"chalk, {move}" if label == CHALK and move else label or move

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
        centred_lines(pen, columns.side, band, lines, (Role.BODY, small))
    if gap:
        baseline = y + (row_mm + cap_mm(size)) / 2
        pen.text(columns.gap, baseline, gap, role, size_pt=size, align=Align.RIGHT)


def move_text(setting: Setting, mark_id: str) -> str:
    """Return how a mark moves from the wave before, "" when nothing lies there yet."""
    if not is_relaid(setting):
        return ""
    moves = {each.mark_id: each.shown_m for each in setting.laying.moved if not each.taken_up}
    if mark_id not in moves:
        return "stays"
    shown_m = moves[mark_id]
    return "new" if shown_m is None else move_way(shown_m, setting.unit)


def _row_start(
    pen: Pen, setting: Setting, reading: Reading, columns: Columns, band: tuple[float, float]
) -> None:
    """Draw tick box, mark and reading of a row; `band` is its top and its height."""
    y, row_mm = band
    pen.tick_box(columns.left + 0.6, y + (row_mm - 5.0) / 2)
    mark_pt = Role.MARK.large_pt if not setting.paper.compact else Role.MARK.small_pt
    text = mark_label(reading.mark_id)
    if width_mm(text, Role.MARK, mark_pt) > 22.0 or (setting.paper.compact and len(text) > 3):
        mark_pt = Role.HEADING.large_pt
    large = row_mm >= 8.5 and not setting.paper.compact
    size = Role.READING.large_pt if large else Role.READING.small_pt
    baseline = y + (row_mm + cap_mm(size)) / 2
    pen.text(columns.mark, baseline, text, Role.MARK, size_pt=mark_pt)
    shown = format_ticks(reading.ticks, reading.tick)
    draw_reading(pen, columns.reading, baseline, shown, Role.READING, size_pt=size)


def starter(setting: Setting, mark_id: str) -> tuple[str, str]:
    """Return who starts at a start mark, and with which foot in front."""
    for demand in setting.laying.demands:
        if demand.start_id == mark_id:
            foot = demand.front_foot
            return demand.athlete.name, "either" if foot is None else foot.value
    return setting.laying.placed.mark(mark_id).mark.label, "either"


def _start_row(setting: Setting, reading: Reading, columns: Columns, row_mm: float) -> Block:
    who, foot = starter(setting, reading.mark_id)
    move = move_text(setting, reading.mark_id)
    foot_mm = 20.0
    room = columns.gap - columns.side - foot_mm
    size, lines = fit(who, Role.NAME, room, compact=setting.paper.compact)
    small = Role.BODY.small_pt
    name_mm = len(lines) * line_mm(size) + 1.6
    beside = move and len(lines) == 1 and width_mm(f"{who}   {move}", Role.NAME, size) <= room
    height = max(row_mm, name_mm + (line_mm(small) if move and not beside else 0.0))

    def draw(pen: Pen, y: float) -> None:
        _row_start(pen, setting, reading, columns, (y, height))
        band = (y, height)
        if move and not beside:
            pen.text(columns.side, y + height - 1.2, move, Role.BODY, size_pt=small)
            band = (y, height - line_mm(small))
        elif move:
            x = columns.side + width_mm(f"{who}   ", Role.NAME, size)
            centred_lines(pen, x, band, (move,), (Role.BODY, small))
        centred_lines(pen, columns.side, band, lines, (Role.NAME, size))
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


def centred_lines(
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


def _peg_row(setting: Setting, number: int, columns: Columns, height_mm: float) -> Block:
    metres = setting.unit is UnitSystem.METRIC
    step = peg_step_m(setting)
    shown = (
        format_length(number * step, setting.unit, bare=True)
        if metres
        else f"{round(number * step / float(FOOT_M))} ft"
    )
    how = "along its line" if on_bend(setting) else "tape straight"
    peg = on_grass(setting)
    what = f"{how}, {'peg it' if peg else 'hold or weigh down'}"

    def draw(pen: Pen, y: float) -> None:
        # Begins below the heavy rule that may stand above it.
        width = columns.right - columns.left
        pen.rect(columns.left, y + 0.4, width, height_mm - 0.4, line_mm=0.0, fill=Ink.TINT)
        size = Role.STRONG.small_pt
        baseline = y + (height_mm + cap_mm(size)) / 2 + 0.1
        pen.text(columns.mark, baseline, "peg" if peg else "hold", Role.STRONG, size_pt=size)
        pen.text(columns.reading, baseline, shown, Role.STRONG, size_pt=size, align=Align.RIGHT)
        small = Role.BODY.small_pt
        if width_mm(what, Role.BODY, small) < columns.right - columns.side:
            pen.text(columns.side, baseline, what, Role.BODY, size_pt=small)

    return _row_block(columns, height_mm, draw)


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
        move = cone_move_text(setting)
        lines = wrap(move or "slow-down ends", Role.BODY, small, columns.gap - columns.side)
        centred_lines(pen, columns.side, (y, row_mm), lines, (Role.BODY, small))

    return _row_block(columns, row_mm, draw)
