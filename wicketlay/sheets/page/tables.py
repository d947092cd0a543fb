"""Tables of text: columns with widths, rows as high as their longest cell."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.sheets.page.flow import Block, Table
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.sheets.page.layout import Paper

_GUTTER_MM = 2.5
_STRONG = {
    Role.BODY: Role.STRONG,
    Role.LABEL: Role.LABEL_STRONG,
    Role.FIGURE: Role.FIGURE_STRONG,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    title
        Its heading, broken into lines where it is too wide.
    share
        Its part of the room that is left when every column has what it needs; 0 takes none.
    align
        Words to the left, numbers to the right.
    strong
        Whether it is set bold.
    reading
        Whether its cells are readings of the tape, lined up by feet, inches and fractions.
    wraps
        Whether its cells may be broken into lines; it then needs `least_mm` only.
    least_mm
        The least width of a column that wraps [mm].
    tinted
        Whether a band lies behind it.
    role
        What its cells are set in, at the small size, whatever the others shrink to; None for
        the table's own.
    """

    title: str
    share: float = 0.0
    align: Align = Align.RIGHT
    strong: bool = False
    reading: bool = False
    wraps: bool = False
    least_mm: float = 0.0
    tinted: bool = False
    role: Role | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a table is set: the role and size of its cells, its row height, its tick boxes."""

    role: Role = Role.BODY
    size_pt: float = Role.BODY.large_pt
    row_mm: float = 6.0
    tick: bool = False
    fives: bool = True
    head: Role = Role.LABEL


def style_for(paper: Paper, *, tick: bool = False, fives: bool = True) -> Style:
    """Return the usual style on a paper."""
    if paper.compact:
        return Style(size_pt=Role.BODY.small_pt, row_mm=5.6, tick=tick, fives=fives)
    return Style(tick=tick, fives=fives)


def text_table(
    paper: Paper,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    style: Style,
    *,
    ends: Sequence[int] = (),
) -> Table:
    """Return rows of text as a table over the width between the margins.

    Parameters
    ----------
    ends
        Indexes of rows after which a group ends, in place of every fifth row.
    """
    columns = _whole_words(paper, columns, rows, style)
    shown = _narrowed(paper, columns, rows, style)
    lefts, widths = _places(paper, columns, rows, shown)
    made = []
    for index, row in enumerate(rows):
        fifth = (index + 1) % 5 == 0 if style.fives else True
        group = index in ends if ends else fifth
        heavy = group and index + 1 < len(rows) and (bool(ends) or style.fives)
        cells = _Cells(paper, tuple(columns), tuple(row), shown, tuple(lefts), tuple(widths))
        made.append(_row(cells, group=group, heavy=heavy))
    return Table(heading=_heading(paper, columns, lefts, widths, shown.head), rows=tuple(made))


def text_tables(
    paper: Paper,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    style: Style,
    *,
    ends: Sequence[int] = (),
) -> list[Table]:
    """Return rows as one table, or as several with the first column repeated."""
    chosen: list[list[int]] = [[0]]
    smallest = Style(role=Role.LABEL, size_pt=Role.LABEL.small_pt, tick=style.tick)
    for index in range(1, len(columns)):
        tried = [*chosen[-1], index]
        need = sum(_need_mm(columns[i], [row[i] for row in rows], smallest) for i in tried)
        if need - _GUTTER_MM > _room_mm(paper, style) and len(chosen[-1]) > 1:
            tried = [0, index]
            chosen.append(tried)
        chosen[-1] = tried
    return [
        text_table(
            paper,
            [columns[i] for i in part],
            [[row[i] for i in part] for row in rows],
            style,
            ends=ends,
        )
        for part in chosen
    ]


def fives_of(mark_ids: Sequence[str]) -> tuple[int, ...]:
    """Return the indexes after which a group of marks ends: every fifth, start marks not counted.

    The last row always ends one.
    """
    ends, count = [], 0
    for index, mark_id in enumerate(mark_ids):
        count += not mark_id.startswith("start")
        if count and count % 5 == 0 and not mark_id.startswith("start"):
            ends.append(index)
    last = len(mark_ids) - 1
    return tuple(ends) if ends and ends[-1] == last else (*ends, last)


@dataclass(frozen=True, slots=True)
class _Cells:
    """One row before it is drawn."""

    paper: Paper
    columns: tuple[Column, ...]
    texts: tuple[str, ...]
    style: Style
    lefts: tuple[float, ...]
    widths: tuple[float, ...]


def _set_in(column: Column, style: Style) -> tuple[Role, float]:
    """Return role and size [pt] of a column's cells."""
    if column.role is not None:
        return column.role, column.role.small_pt
    role = _STRONG.get(style.role, style.role) if column.strong else style.role
    return role, style.size_pt


def _need_mm(column: Column, texts: Sequence[str], style: Style) -> float:
    """Return the width a column needs [mm], its gutter included."""
    words = [width_mm(word, style.head, style.head.small_pt) for word in column.title.split()]
    role, size = _set_in(column, style)
    if column.wraps:
        cells = [column.least_mm]
    elif column.reading:
        cells = [reading_room_mm(text, role, size) for text in texts if text]
    else:
        cells = [width_mm(text, role, size) for text in texts]
    return max([*words, *cells], default=0.0) + _GUTTER_MM


def _whole_words(
    paper: Paper, columns: Sequence[Column], rows: Sequence[Sequence[str]], style: Style
) -> Sequence[Column]:
    """Return columns that wrap between words only, or as they are where there is no room for it."""

    def wide_mm(index: int, column: Column) -> float:
        words = {word for row in rows for word in row[index].split()}
        role, size = _set_in(column, style)
        return max((width_mm(word, role, size) for word in words), default=0.0)

    widened = [
        replace(column, least_mm=max(column.least_mm, wide_mm(index, column)))
        if column.wraps
        else column
        for index, column in enumerate(columns)
    ]
    need = sum(_need_mm(each, [row[i] for row in rows], style) for i, each in enumerate(widened))
    return widened if need - _GUTTER_MM <= _room_mm(paper, style) else columns


def _narrowed(
    paper: Paper, columns: Sequence[Column], rows: Sequence[Sequence[str]], style: Style
) -> Style:
    """Return the style, its text made smaller when the columns do not fit side by side."""
    sizes = [style.size_pt, style.role.small_pt]
    roles = [style.role, style.role]
    if style.role is Role.FIGURE:
        sizes.append(Role.BODY.small_pt)
        roles.append(Role.BODY)
    if style.role is not Role.LABEL:
        sizes += [Role.LABEL.large_pt, Role.LABEL.small_pt]
        roles += [Role.LABEL, Role.LABEL]
    for role, size in zip(roles, sizes, strict=True):
        tried = replace(style, role=role, size_pt=size)
        need = sum(
            _need_mm(column, [row[i] for row in rows], tried) for i, column in enumerate(columns)
        )
        if need - _GUTTER_MM <= _room_mm(paper, style):
            return tried
    return tried


def _room_mm(paper: Paper, style: Style) -> float:
    return paper.inner_mm - (7.0 if style.tick else 0.0)


def _places(
    paper: Paper, columns: Sequence[Column], rows: Sequence[Sequence[str]], style: Style
) -> tuple[list[float], list[float]]:
    """Return left edge and width of every column [mm], the gutter at its right not included."""
    needs = [_need_mm(column, [row[i] for row in rows], style) for i, column in enumerate(columns)]
    # No gutter right of the last column: it ends at the margin.
    spare = max(_room_mm(paper, style) + _GUTTER_MM - sum(needs), 0.0)
    whole = sum(column.share for column in columns)
    lefts, widths = [], []
    at = paper.right_mm - _room_mm(paper, style)
    for column, need in zip(columns, needs, strict=True):
        width = need + (spare * column.share / whole if whole else 0.0)
        lefts.append(at)
        widths.append(width - _GUTTER_MM)
        at += width
    return lefts, widths


def _x(column: Column, left: float, width: float) -> float:
    return {Align.LEFT: left, Align.CENTRE: left + width / 2, Align.RIGHT: left + width}[
        column.align
    ]


def _heading(
    paper: Paper,
    columns: Sequence[Column],
    lefts: Sequence[float],
    widths: Sequence[float],
    role: Role,
) -> Block:
    size = role.small_pt
    titles = [
        wrap(column.title, role, size, width + 0.1)
        for column, width in zip(columns, widths, strict=True)
    ]
    deep = max((len(lines) for lines in titles), default=0)
    height = deep * line_mm(size) + 1.6

    def draw(pen: Pen, y: float) -> None:
        for column, lines, left, width in zip(columns, titles, lefts, widths, strict=True):
            if column.tinted:
                _tint(pen, left, width, y, height)
            # Titles stand on the rule, however many lines they have.
            first = y + (deep - len(lines)) * line_mm(size) + cap_mm(size) + 0.5
            pen.lines(_x(column, left, width), first, lines, role, size_pt=size, align=column.align)
        pen.line(paper.left_mm, y + height, paper.right_mm, y + height, width_mm=0.5)

    return Block(height_mm=height, draw=draw)


def _tint(pen: Pen, left: float, width: float, y: float, height: float) -> None:
    half = _GUTTER_MM / 2
    # Below the rule of the row above, which may be a heavy one.
    pen.rect(left - half, y + 0.3, width + 2 * half, height - 0.3, line_mm=0.0, fill=Ink.TINT)


def _row(cells: _Cells, *, group: bool, heavy: bool) -> Block:
    style, paper = cells.style, cells.paper
    size = style.size_pt
    lines = [
        wrap(text, *_set_in(column, style), width + 0.1) if column.wraps else (text,)
        for column, text, width in zip(cells.columns, cells.texts, cells.widths, strict=True)
    ]
    deep = max((len(each) for each in lines), default=1)
    height = max(style.row_mm, deep * line_mm(size) + 1.4)

    def draw(pen: Pen, y: float) -> None:
        if style.tick:
            pen.tick_box(paper.left_mm + 0.4, y + (height - 4.0) / 2, 4.0)
        for column, texts, left, width in zip(
            cells.columns, lines, cells.lefts, cells.widths, strict=True
        ):
            if column.tinted:
                _tint(pen, left, width, y, height)
            role, size = _set_in(column, style)
            block = cap_mm(size) + (len(texts) - 1) * line_mm(size)
            baseline = y + (height - block) / 2 + cap_mm(size)
            if column.reading and texts and texts[0]:
                draw_reading(pen, left + width, baseline, texts[0], role, size_pt=size)
                continue
            pen.lines(
                _x(column, left, width), baseline, texts, role, size_pt=size, align=column.align
            )
        below = y + height
        pen.line(paper.left_mm, below, paper.right_mm, below, width_mm=0.5 if heavy else 0.15)

    return Block(height_mm=height, draw=draw, ends_group=group)


# -- readings ---------------------------------------------------------------------------------


def draw_reading(
    pen: Pen, right_mm: float, baseline_mm: float, text: str, role: Role, *, size_pt: float
) -> None:
    """Draw a reading so that a column lines up: decimals, or feet, inches and fractions.

    The units of a feet reading are set at half the size.
    """
    if " ft " not in text:
        pen.text(right_mm, baseline_mm, text, role, size_pt=size_pt, align=Align.RIGHT)
        return
    feet, _, *inches, _ = text.split()
    unit_pt = reading_unit_pt(size_pt)
    space_mm = 0.25 * cap_mm(size_pt)
    fraction = next((part for part in inches if "/" in part), "")
    whole = next((part for part in inches if "/" not in part), "")
    # From the right: room for "in", for a fraction, for two digits, for "ft"; then the feet.
    fraction_right = right_mm - width_mm("in", role, unit_pt) - space_mm
    whole_right = fraction_right - width_mm("1/2", role, size_pt) - space_mm
    ft_right = whole_right - 2 * width_mm("0", role, size_pt) - 2.2 * space_mm
    feet_right = ft_right - width_mm("ft", role, unit_pt) - space_mm
    unit_x = whole_right + space_mm
    pen.text(feet_right, baseline_mm, feet, role, size_pt=size_pt, align=Align.RIGHT)
    pen.text(ft_right, baseline_mm, "ft", role, size_pt=unit_pt, align=Align.RIGHT)
    if whole:
        pen.text(whole_right, baseline_mm, whole, role, size_pt=size_pt, align=Align.RIGHT)
    if fraction:
        pen.text(fraction_right, baseline_mm, fraction, role, size_pt=size_pt, align=Align.RIGHT)
        unit_x = fraction_right + space_mm
    pen.text(unit_x, baseline_mm, "in", role, size_pt=unit_pt)


def reading_unit_pt(size_pt: float) -> float:
    """Return the size of "ft" and "in" beside a reading's digits [pt]."""
    return max(size_pt / 2, Role.LABEL.small_pt)


def reading_room_mm(text: str, role: Role, size_pt: float) -> float:
    """Return how much room `draw_reading` needs for a reading [mm]."""
    if " ft " not in text:
        return width_mm(text, role, size_pt)
    unit_pt = reading_unit_pt(size_pt)
    feet = text.split(maxsplit=1)[0]
    digits = width_mm(feet + "00" + "1/2", role, size_pt)
    return digits + width_mm("ftin", role, unit_pt) + 5.2 * 0.25 * cap_mm(size_pt)
