"""A pull of the tape as a table: a row a mark, in the order it is walked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import CHALK, MarkKind
from wicketlay.ground.tape import LINE
from wicketlay.lanes.closing import apart_m
from wicketlay.sheets.drawings.strip import draw_strip, goes_round, on_grass, peg_step_m
from wicketlay.sheets.drawings.zero import draw_zero, zero_text
from wicketlay.sheets.page.flow import Block
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Role
from wicketlay.sheets.page.tables import (
    Cell,
    Column,
    Row,
    Style,
    fitted_mm,
    reading_room_mm,
    roomy_mm,
    text_table,
    wanted_mm,
)
from wicketlay.sheets.setting import Setting, is_relaid
from wicketlay.sheets.slow_down import cone_move_text, cone_on_tape_m
from wicketlay.units import FOOT_M, UnitSystem, format_length, format_ticks
from wicketlay.values import dataclass, replace
from wicketlay.wording.names import mark_label, move_way

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wicketlay.ground.tape import Pull, Reading, TapeSheet
    from wicketlay.lanes.laying import Moved
    from wicketlay.sheets.page.flow import Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightness:
    """How much room a tape sheet gives: heights of rows and of the drawing beside them [mm].

    `packed` runs the cautions on in one paragraph, `small_heads` sets the titles of columns small.
    """

    row_mm: float
    drawing_mm: float = 100.0
    peg_mm: float = 4.4
    packed: bool = False
    small_heads: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mark:
    """A mark that is read in a pull, and the one before it in steps."""

    setting: Setting
    reading: Reading
    before: str | None

    @property
    def is_start(self) -> bool:
        return self.reading.mark_id.startswith("start")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Field:
    """A column of a pull, what it tells of a mark, and how that is told below a row without it."""

    column: Column
    cell: Callable[[_Mark], str | Cell]
    below: Callable[[_Mark], str] | None = None

    def remark(self, mark: _Mark) -> str:
        """Return what is told of a mark where there is no room for the column."""
        if self.below is not None:
            return self.below(mark)
        told = self.cell(mark)
        text = told.text if isinstance(told, Cell) else told
        return f"{self.column.title} {text}" if text else ""


_MARK_PT = (Role.MARK.large_pt, Role.MARK.small_pt, Role.NAME.large_pt, Role.HEADING.large_pt)


def pull_table(setting: Setting, pull: Pull, tightness: Tightness) -> Table:
    """Return a pull as a table; beside the first one the lane is drawn to scale."""
    paper = setting.paper
    first = pull.number == setting.laying.tape.pulls[0].number
    starts = [each.mark_id.startswith("start") for each in readings_of(setting.laying.tape, pull)]
    compact, screen = paper.compact, paper.screen
    mixed = any(starts) and not all(starts) and not screen
    # Where nothing is moved, who starts and what another mark is never stand in one row.
    one = mixed and (compact or not is_relaid(setting))
    fields = _fields(setting, tightness, one=one)
    rows, ends, used = _rows(setting, pull, fields, tightness)
    columns = [fields[at].column for at in used]
    head = Role.LABEL if tightness.small_heads else Role.BODY
    role = Role.BODY if compact and setting.unit is UnitSystem.FEET else Role.FIGURE
    style = Style(
        role=role,
        size_pt=role.small_pt,
        row_mm=tightness.row_mm,
        tick=not screen,
        tick_mm=5.0,
        ticked_mm=7.5 if compact else 9.0,
        head=head,
        head_pt=head.small_pt if compact or tightness.small_heads else head.large_pt,
        whole_titles=not screen,
        gutter_mm=3.0 if compact else 5.0,
        rule_mm=0.25,
        heavy_mm=0.7,
    )
    usual, least = _BESIDE_MM[compact]
    room = paper.inner_mm - (least if first and not screen else 0.0)
    wide = None if screen and any(starts) else fitted_mm(paper, columns, rows, style, room)
    if wide is None:
        # Below the row what has no column beside a large reading, the gap last of all.
        for kept in ((*fields[:2], fields[-1]), fields[:2]):
            below = [each for each in fields if each not in kept]
            rows, ends, used = _rows(setting, pull, kept, tightness, below=below)
            columns = [kept[at].column for at in used]
            if fitted_mm(paper, columns, rows, style, room) is not None:
                break
        # All readings of a sheet stand below one another.
        columns += [Column(title="", align=Align.LEFT, share=1.0)] if len(columns) < 3 else []
        wide = min(wanted_mm(columns, rows, style), room)
    drawn = first and not screen and bool(setting.laying.layout.marks)
    right = paper.right_mm
    if first and not screen:
        wide = max(paper.inner_mm - usual, wide, roomy_mm(columns, rows, style))
        right = paper.left_mm + min(wide, room)
    table = text_table(
        paper,
        columns,
        rows,
        style,
        ends=ends,
        right_mm=right,
        above=_pull_heading(setting, pull, right),
    )
    if not drawn:
        return replace(table, even=screen)

    def beside(pen: Pen, top: float, end: float, piece: int) -> None:
        if piece > 0:
            return
        left = right + 4.0
        width = paper.right_mm - left
        if compact:
            draw_zero(pen, setting, (left, top + 1.0), (width, 24.0))
            top += 28.0
        draw_strip(pen, setting, (left, top), (width, end - top))

    # On small paper the drawing of the zero stands above the lane, for want of room in its box.
    high = tightness.drawing_mm if compact else min(tightness.drawing_mm, 80.0)
    return replace(table, beside=beside, beside_least_mm=high)


LANE_LEAST_MM = 62.0
LANE_MM = 120.0
"""Heights of the drawing over the width of a page: the least, and on a page of its own."""


def lane_drawing(setting: Setting, height_mm: float) -> Block:
    """Return the zero and the lane drawn below one another, over the width of a page."""
    paper = setting.paper
    zero_mm = 24.0

    def draw(pen: Pen, y: float) -> None:
        draw_zero(pen, setting, (paper.left_mm, y + 1.0), (paper.inner_mm, zero_mm))
        top = y + zero_mm + 4.0
        size = (paper.inner_mm, height_mm - zero_mm - 4.0)
        draw_strip(pen, setting, (paper.left_mm, top), size)

    return Block(height_mm=height_mm, draw=draw)


_BESIDE_MM = {False: (64.0, 40.0), True: (40.0, 38.0)}
"""Usual and least width left for the drawing beside the first pull, on usual and compact paper."""


def _fields(setting: Setting, tightness: Tightness, *, one: bool) -> tuple[_Field, ...]:
    """Return the columns of a pull, each with what it tells of a mark.

    Mark and reading always stand; of the others those that tell something in this pull. Who
    starts and how marks move share `one` column where there is no room for two.
    """
    metric = setting.unit is UnitSystem.METRIC
    screen = setting.paper.screen and metric
    compact = setting.paper.compact and not screen
    large = screen or (tightness.row_mm >= 8.5 and not compact)
    reading_pt = Role.READING.large_pt if large else Role.READING.small_pt
    # As wide as the widest of the sheet, so that all pulls line up.
    shown = (format_ticks(r.ticks, r.tick) for p in setting.laying.tape.pulls for r in p.readings)
    widest = max((reading_room_mm(text, Role.READING, reading_pt) for text in shown), default=0.0)
    name_pt = setting.paper.size_pt(Role.NAME)
    note = Role.LABEL if setting.paper.compact else Role.BODY
    note_pt = note.large_pt if setting.paper.screen else note.small_pt
    return (
        _Field(
            column=Column(
                title="mark",
                align=Align.LEFT,
                role=Role.MARK,
                size_pt=Role.MARK.small_pt if compact else Role.MARK.large_pt,
                least_mm=_mark_mm(setting),
            ),
            cell=lambda mark: _mark_cell(setting, mark.reading.mark_id),
        ),
        _Field(
            column=Column(
                title="tape reads, m" if metric else "tape reads",
                reading=True,
                role=Role.READING,
                size_pt=reading_pt,
                least_mm=widest + (0.0 if setting.paper.compact else 6.0),
            ),
            cell=lambda mark: format_ticks(mark.reading.ticks, mark.reading.tick),
        ),
        _Field(
            column=Column(
                title="who, move" if one and is_relaid(setting) else "who",
                align=Align.LEFT,
                role=Role.NAME,
                size_pt=name_pt,
                wraps=True,
                names=True,
                share=1.0,
                least_mm=12.0 if compact else 24.0,
            ),
            cell=lambda mark: _who(mark, one=one),
            below=_starter,
        ),
        _Field(
            column=Column(
                title="foot in front", align=Align.LEFT, role=Role.FIGURE_STRONG, least_mm=10.0
            ),
            cell=_foot,
            below=lambda mark: f"{_foot(mark)} foot in front" if mark.is_start else "",
        ),
        _Field(
            column=Column(
                title="move" if is_relaid(setting) else "",
                align=Align.LEFT,
                role=note,
                size_pt=note_pt,
                wraps=True,
                share=1.0,
                # The longest word of a move is never broken.
                least_mm=max(10.0, width_mm("forward", note, note_pt)),
            ),
            cell=lambda mark: "" if one else _note_of(mark),
            below=_note_of,
        ),
        _Field(
            column=Column(title="gap: do not add", least_mm=14.0),
            cell=_gap_of,
            below=lambda mark: f"gap {gap}: do not add" if (gap := _gap_of(mark)) else "",
        ),
    )


def _mark_mm(setting: Setting) -> float:
    if setting.paper.screen and setting.unit is UnitSystem.METRIC:
        return 14.5
    return 13.0 if setting.paper.compact else 20.5


def _mark_cell(setting: Setting, mark_id: str) -> Cell:
    """Return the name of a mark as large as its column lets it be."""
    text = mark_label(mark_id)
    small = setting.paper.compact and not setting.paper.screen
    sizes = _MARK_PT[1:] if small else _MARK_PT
    room = _mark_mm(setting)
    size = next((pt for pt in sizes if width_mm(text, Role.MARK, pt) <= room), sizes[-1])
    return Cell(text=text, role=Role.MARK, size_pt=size)


def _who(mark: _Mark, *, one: bool) -> str | Cell:
    """Return who starts at a mark; in `one` column with its move, and with that of the others."""
    note = _note_of(mark) if one else ""
    if not mark.is_start:
        role = Role.LABEL if mark.setting.paper.compact else Role.BODY
        return Cell(text=note, role=role) if note else ""
    name = _starter(mark)
    return f"{name}: {note}" if note else name


def _starter(mark: _Mark) -> str:
    return starter(mark.setting, mark.reading.mark_id)[0] if mark.is_start else ""


def _foot(mark: _Mark) -> str:
    return starter(mark.setting, mark.reading.mark_id)[1] if mark.is_start else ""


def _note_of(mark: _Mark) -> str:
    """Return how a mark moves, or what it is laid with, or what it is."""
    setting, mark_id = mark.setting, mark.reading.mark_id
    if mark.is_start:
        return move_text(setting, mark_id)
    label = "" if mark_id == LINE else setting.laying.placed.mark(mark_id).mark.label
    move = move_text(setting, mark_id)
    return f"{label}, {move}" if label == CHALK and move else label or move


def _gap_of(mark: _Mark) -> str:
    """Return the distance to the mark before, where it is a step and worth a check."""
    if mark.before is None or not _has_gaps(mark.setting, mark.reading.mark_id):
        return ""
    apart = apart_m(mark.setting.laying, mark.before, mark.reading.mark_id)
    return mark.setting.shown(apart, bare=True)


def _pull_heading(setting: Setting, pull: Pull, right_mm: float) -> Block:
    """Return the line above the columns of a pull: its number, its zero, its direction."""
    paper = setting.paper
    size = paper.size_pt(Role.HEADING)
    down = pull.direction is setting.laying.tape.pulls[0].direction
    zero = zero_text(setting.laying, pull.zero_id, short=True)
    told = f"from the {zero}"
    if pull.number > 1:
        before = {each.zero_id for each in setting.laying.tape.pulls if each.number < pull.number}
        told = f"{'same' if pull.zero_id in before else 'new'} 0: {zero}"
    text = f"PULL {pull.number} · {told}, {pull.direction.value}"

    lines = wrap(text, Role.HEADING, size, right_mm - paper.left_mm)

    def draw(pen: Pen, y: float) -> None:
        baseline = y + 1.4 + cap_mm(size)
        pen.bookmarks.append((y, f"pull {pull.number}"))
        pen.lines(paper.left_mm, baseline, lines, Role.HEADING)
        wide = width_mm(text, Role.HEADING, size)
        x = paper.left_mm + wide + 4.0
        if x + 2.0 < right_mm:
            # As the lane is drawn: the first pull goes down the page.
            ends = (y + 0.6, y + cap_mm(size) + 1.8)
            begin, end = ends if down else ends[::-1]
            pen.arrow(x, begin, x, end, width_mm=0.8, head_mm=2.6)

    return Block(height_mm=cap_mm(size) + 2.1 + (len(lines) - 1) * line_mm(size), draw=draw)


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
    setting: Setting,
    pull: Pull,
    fields: Sequence[_Field],
    tightness: Tightness,
    *,
    below: Sequence[_Field] = (),
) -> tuple[list[Row], list[int], list[int]]:
    """Return the rows of a pull in walking order, pegs and the slow-down cone among them.

    What has no column stands `below` each. With them the indexes of the rows after which a five
    ends, and of the fields that are used.
    """
    readings = readings_of(setting.laying.tape, pull)
    stepped = [each.mark_id for each in readings if _has_gaps(setting, each.mark_id)]
    before = dict(zip(stepped[1:], stepped, strict=False))
    walked, back = as_moved(pull, readings, setting.laying.moved)
    marks = [_Mark(setting=setting, reading=r, before=before.get(r.mark_id)) for r in walked]
    told = [[each.cell(mark) for each in fields] for mark in marks]
    used = [at for at in range(len(fields)) if at < 2 or any(row[at] for row in told)]
    rows: list[tuple[bool, float, bool, Row]] = []
    for mark, cells in zip(marks, told, strict=True):
        place = mark.reading.true_m
        late = mark.reading.mark_id in back
        row = Row(
            cells=_reaching([cells[at] for at in used]),
            height_mm=tightness.row_mm,
            below=" · ".join(filter(None, (each.remark(mark) for each in below))),
        )
        rows.append((late, -place if late else place, ends_five(mark.reading.mark_id), row))
    cone = cone_on_tape_m(setting, pull)
    if cone is not None:
        rows.append((False, cone, False, _cone_row(setting, cone, tightness.row_mm)))
    rows += [
        (False, n * peg_step_m(setting), False, _peg_row(setting, n, tightness.peg_mm))
        for n in range(1, pegs_of(setting, pull) + 1)
    ]
    rows.sort(key=lambda item: item[:2])
    ends = [index for index, (_, _, five, _) in enumerate(rows) if five]
    return [row for *_, row in rows], [*ends, len(rows) - 1], used


def _reaching(cells: list[str | Cell]) -> list[str | Cell]:
    """Return the cells of a row with a note, where it is the last of them, over all that is free.

    Name and reading, which stand before it, keep to their columns.
    """
    last = max(at for at, cell in enumerate(cells) if cell)
    note = cells[last]
    return (
        [*cells[:last], replace(note, over=True)] if last > 1 and isinstance(note, Cell) else cells
    )


def ends_five(mark_id: str) -> bool:
    """Tell whether a heavy rule stands below a mark: every fifth by its number."""
    number = "".join(filter(str.isdigit, mark_id))
    return not mark_id.startswith("start") and number != "" and int(number) % 5 == 0


def fives_of(mark_ids: Sequence[str]) -> list[int]:
    """Return the indexes of marks after which a group ends: the fives, and the last."""
    return [*(at for at, each in enumerate(mark_ids) if ends_five(each)), len(mark_ids) - 1]


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
        if each.mark_id in read - {pull.zero_id}
        and (each.shown_m or 0.0) * pull.direction.way > 0.0
    )
    walked = sorted((r for r in readings if r.mark_id not in back), key=lambda r: r.ticks)
    return walked + sorted((r for r in readings if r.mark_id in back), key=lambda r: -r.ticks), back


def pegs_of(setting: Setting, pull: Pull) -> int:
    """Return how many times the tape is pegged on the way to a pull's last mark."""
    reach = max((r.true_m for r in pull.readings), default=0.0)
    return max(math.ceil(reach / peg_step_m(setting)) - 1, 0)


def move_text(setting: Setting, mark_id: str) -> str:
    """Return how a mark moves from the wave before, "" when nothing lies there yet."""
    if not is_relaid(setting):
        return ""
    moves = {each.mark_id: each.shown_m for each in setting.laying.moved if not each.taken_up}
    if mark_id not in moves:
        return "stays"
    shown_m = moves[mark_id]
    return "new" if shown_m is None else move_way(shown_m, setting.unit)


def starter(setting: Setting, mark_id: str) -> tuple[str, str]:
    """Return who start at a start mark, and with which foot in front, each where they differ."""
    here = [each for each in setting.laying.demands if each.start_id == mark_id]
    if not here:
        return setting.laying.placed.mark(mark_id).mark.label, "either"
    names = [each.athlete.name for each in here]
    feet = ["either" if each.front_foot is None else each.front_foot.value for each in here]
    told = feet if len(set(feet)) > 1 else feet[:1]
    return ", ".join(names), ", ".join(told)


def _whole_text(setting: Setting, length_m: float) -> str:
    """Return where on the tape something lies that is put down to the whole metre or foot."""
    if setting.unit is UnitSystem.METRIC:
        return format_length(length_m, setting.unit, bare=True)
    return f"{round(length_m / float(FOOT_M))} ft"


ALONG = "along its line"
"""How a tape that follows a bend is pegged, and how a distance is measured there."""


def _peg_row(setting: Setting, number: int, height_mm: float) -> Row:
    shown = _whole_text(setting, number * peg_step_m(setting))
    how = ALONG if goes_round(setting) else "tape straight"
    peg = on_grass(setting)
    what = f"{how}, {'peg it' if peg else 'hold or weigh down'}"
    cells = (
        Cell(text="peg" if peg else "hold", role=Role.STRONG),
        Cell(text=shown, role=Role.STRONG),
        Cell(text=what, role=Role.BODY, over=True, drops=True),
    )
    return Row(cells=cells, height_mm=height_mm, tick=False, tinted=True)


def _cone_row(setting: Setting, place_m: float, row_mm: float) -> Row:
    inches = "" if setting.unit is UnitSystem.METRIC else " 0 in"
    shown = _whole_text(setting, place_m) + inches
    cells = (
        Cell(text="CONE", role=Role.MARK, size_pt=Role.HEADING.large_pt),
        Cell(text=shown, role=Role.FIGURE_STRONG, size_pt=Role.FIGURE_STRONG.large_pt),
        Cell(text=cone_move_text(setting) or "slow-down ends", role=Role.BODY, over=True),
    )
    return Row(cells=cells, height_mm=row_mm)
