"""Tables of text: columns with widths, rows as high as their longest cell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.flow import Block, Table, nothing
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, words_of, wrap, wrap_facts
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wicketlay.sheets.page.layout import Paper

_GUTTER_MM = 2.5
_TITLE_BOX_MM = 3.4
_UNDER_MM = 0.6
"""White between the digits of a row and what stands under them."""
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
        Whether its cells may be broken into lines; it then needs `least_mm` only, and where
        there is room for it the width of its longest word.
    names
        Whether it wraps and holds names: the longest word of one makes no column wider or
        narrower, so that all sheets of a squad look alike.
    least_mm
        The least width of its cells [mm].
    tinted
        Whether a band lies behind it.
    role, size_pt
        What its cells are set in, whatever the others shrink to; None for the table's own, and
        for the small size of the role.
    boxed
        Whether a box to tick stands before its title.
    """

    title: str
    share: float = 0.0
    align: Align = Align.RIGHT
    strong: bool = False
    reading: bool = False
    wraps: bool = False
    names: bool = False
    least_mm: float = 0.0
    tinted: bool = False
    role: Role | None = None
    size_pt: float | None = None
    boxed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A text set otherwise than its column.

    Parameters
    ----------
    text, role, size_pt
        What is set, and in what; None for the column's own role, and the small size of a role.
    over
        Whether it reaches over the columns right of it, of which the row has no cells.
    drops
        Whether it is left out where it does not fit.
    """

    text: str
    role: Role | None = None
    size_pt: float | None = None
    over: bool = False
    drops: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of its own kind.

    Parameters
    ----------
    cells
        One a column.
    height_mm
        Its least height; None for the table's own.
    tick
        Whether it has a box to tick, in a table that has them.
    tinted
        Whether a band lies behind it.
    below
        What stands under its cells, over the whole width.
    """

    cells: Sequence[str | Cell]
    height_mm: float | None = None
    tick: bool = True
    tinted: bool = False
    below: str | Cell = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a table is set.

    Parameters
    ----------
    role, size_pt
        Of its cells.
    row_mm
        The least height of a row.
    tick, tick_mm, ticked_mm
        Whether rows have boxes to tick, how large these are, and the room they take.
    fives
        Whether a heavy rule stands after every fifth row.
    head, head_pt
        Role and size of the titles of columns; None for its small size.
    whole_titles
        Whether titles stand on one line where there is room for it.
    gutter_mm
        White between columns, less where it is needed.
    rule_mm, heavy_mm
        Width of a rule, and of one after a group.
    """

    role: Role = Role.BODY
    size_pt: float = Role.BODY.large_pt
    row_mm: float = 6.0
    tick: bool = False
    tick_mm: float = 4.0
    ticked_mm: float = 7.0
    fives: bool = True
    head: Role = Role.LABEL
    head_pt: float | None = None
    whole_titles: bool = False
    gutter_mm: float = _GUTTER_MM
    rule_mm: float = 0.15
    heavy_mm: float = 0.5


def style_for(paper: Paper, *, tick: bool = False, fives: bool = True) -> Style:
    """Return the usual style on a paper."""
    tick = tick and not paper.screen
    if paper.compact:
        return Style(size_pt=Role.BODY.small_pt, row_mm=5.6, tick=tick, fives=fives)
    return Style(tick=tick, fives=fives)


def text_table(
    paper: Paper,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str] | Row],
    style: Style,
    *,
    ends: Sequence[int] = (),
    right_mm: float | None = None,
    above: Block | None = None,
) -> Table:
    """Return rows of text as a table over the width between the margins.

    Parameters
    ----------
    ends
        Indexes of rows after which a group ends, in place of every fifth row.
    right_mm
        Where the table ends, short of the right margin.
    above
        What stands above the titles of the columns on every page.
    """
    made = [row if isinstance(row, Row) else Row(cells=row) for row in rows]
    right = paper.right_mm if right_mm is None else right_mm
    span = (paper.left_mm, right)
    room = right - paper.left_mm
    widened = _widened(columns, made, style)
    needs = _needs_mm(widened, made, style)
    if _sum_mm(needs, style) <= room + 1e-9:
        columns = widened
    else:
        narrowed = _narrowed(columns, made, style, room, screen=paper.screen)
        needs = _needs_mm(columns, made, narrowed)
        if _sum_mm(needs, narrowed) > room + 1e-9:
            return _run_on(columns, made, style, span, above)
        style = narrowed
    lefts, widths = _places(columns, needs, style, span)
    grid = _Grid(tuple(columns), style, span, tuple(lefts), tuple(widths))
    if style.fives and not ends:
        ends = range(4, len(made) + 5, 5)
    blocks = []
    for index, row in enumerate(made):
        group = not ends or index in ends
        heavy = group and bool(ends) and index + 1 < len(made)
        blocks.append(_row(grid, row, group=group, heavy=heavy))
    return Table(heading=_heading(grid, above), rows=tuple(blocks))


def filled(
    columns: Sequence[Column], rows: Sequence[Sequence[str]]
) -> tuple[list[Column], list[tuple[str, ...]]]:
    """Return the columns in which some row says something, and what the rows say in them."""
    return only([at for at in range(len(columns)) if any(row[at] for row in rows)], columns, rows)


def only(
    part: Sequence[int], columns: Sequence[Column], rows: Sequence[Sequence[str]]
) -> tuple[list[Column], list[tuple[str, ...]]]:
    """Return some of the columns, and the rows in them."""
    return [columns[at] for at in part], [tuple(row[at] for at in part) for row in rows]


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
    # On a screen text is not set smaller, so a table is parted sooner.
    smallest = style if paper.screen else smallest
    for index in range(1, len(columns)):
        tried = [*chosen[-1], index]
        need = sum(_need_mm(columns[i], [row[i] for row in rows], smallest) for i in tried)
        room = paper.inner_mm - (style.ticked_mm if style.tick else 0.0)
        if need - _GUTTER_MM > room and len(chosen[-1]) > 1:
            tried = [0, index]
            chosen.append(tried)
        chosen[-1] = tried
    return [text_table(paper, *only(part, columns, rows), style, ends=ends) for part in chosen]


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the columns of a table stand, and how it is set."""

    columns: tuple[Column, ...]
    style: Style
    span: tuple[float, float]
    lefts: tuple[float, ...]
    widths: tuple[float, ...]


def _set_in(column: Column, style: Style, cell: str | Cell = "") -> tuple[Role, float]:
    """Return role and size [pt] of a cell: its own, its column's, or the table's."""
    if isinstance(cell, Cell) and cell.role is not None:
        return cell.role, cell.role.small_pt if cell.size_pt is None else cell.size_pt
    if column.role is not None:
        return column.role, column.role.small_pt if column.size_pt is None else column.size_pt
    role = _STRONG.get(style.role, style.role) if column.strong else style.role
    return role, style.size_pt


def _text(cell: str | Cell) -> str:
    return cell.text if isinstance(cell, Cell) else cell


def _column_of(rows: Sequence[Row], index: int) -> list[str | Cell]:
    """Return the cells of a column; one that reaches over others belongs to none."""
    return [
        cell
        for row in rows
        if index < len(row.cells) and not (isinstance(cell := row.cells[index], Cell) and cell.over)
    ]


def _need_mm(column: Column, cells: Sequence[str | Cell], style: Style) -> float:
    """Return the width a column needs [mm], its gutter included."""
    size = _head_pt(style)
    title = [column.title] if style.whole_titles else column.title.split()
    words = [width_mm(word, style.head, size) for word in title]
    words += [width_mm(column.title, style.head, size) + _TITLE_BOX_MM + 1.4] * column.boxed
    needs = [column.least_mm]
    if not column.wraps:
        room = reading_room_mm if column.reading else width_mm
        usual = _set_in(column, style)
        needs += [
            room(text, *(usual if cell is text else _set_in(column, style, cell)))
            for cell in cells
            if (text := _text(cell))
        ]
    return max([*words, *needs]) + style.gutter_mm


def _needs_mm(columns: Sequence[Column], rows: Sequence[Row], style: Style) -> list[float]:
    """Return the width each column needs [mm], its gutter included."""
    return [_need_mm(each, _column_of(rows, i), style) for i, each in enumerate(columns)]


def _sum_mm(needs_mm: Sequence[float], style: Style) -> float:
    """Return the width of a table whose columns need so much [mm]."""
    return (style.ticked_mm if style.tick else 0.0) + sum(needs_mm) - style.gutter_mm


def wanted_mm(columns: Sequence[Column], rows: Sequence[Row], style: Style) -> float:
    """Return the width at which nothing of a table is broken but between words [mm]."""
    return _sum_mm(_needs_mm(_widened(columns, rows, style), rows, style), style)


def roomy_mm(columns: Sequence[Column], rows: Sequence[Row], style: Style) -> float:
    """Return the width at which no cell that may be broken takes more than two lines [mm]."""
    return wanted_mm(_at_least(columns, rows, style, _in_two_mm), rows, style)


def _in_two_mm(words: Sequence[str], role: Role, size_pt: float) -> float:
    """Return how wide two lines of some words are, parted where that is least [mm]."""
    return min(
        (
            max(width_mm(" ".join(part), role, size_pt) for part in (words[:at], words[at:]))
            for at in range(1, len(words) + 1)
        ),
        default=0.0,
    )


def fitted_mm(
    paper: Paper, columns: Sequence[Column], rows: Sequence[Row], style: Style, room_mm: float
) -> float | None:
    """Return the width a table takes of a room [mm], all of it where its text is set small.

    None where it would have no columns.
    """
    wanted = wanted_mm(columns, rows, style)
    if wanted <= room_mm + 1e-9:
        return wanted
    narrowed = _narrowed(columns, rows, style, room_mm, screen=paper.screen)
    return room_mm if not paper.screen and _fits(columns, rows, narrowed, room_mm) else None


def _head_pt(style: Style) -> float:
    return style.head.small_pt if style.head_pt is None else style.head_pt


def _fits(columns: Sequence[Column], rows: Sequence[Row], style: Style, room_mm: float) -> bool:
    return _sum_mm(_needs_mm(columns, rows, style), style) <= room_mm + 1e-9


def _widened(columns: Sequence[Column], rows: Sequence[Row], style: Style) -> Sequence[Column]:
    """Return columns that wrap between words only."""
    return _at_least(columns, rows, style, _widest_mm)


def _widest_mm(words: Sequence[str], role: Role, size_pt: float) -> float:
    return max((width_mm(word, role, size_pt) for word in words), default=0.0)


def _at_least(
    columns: Sequence[Column],
    rows: Sequence[Row],
    style: Style,
    need_mm: Callable[[Sequence[str], Role, float], float],
) -> Sequence[Column]:
    """Return columns in which each cell that may be broken has the width its words need."""
    return [
        replace(
            column,
            least_mm=max(
                [column.least_mm]
                + [
                    need_mm(words_of(_text(cell)), *_set_in(column, style, cell))
                    for cell in _column_of(rows, index)
                ]
            ),
        )
        if column.wraps and not column.names
        else column
        for index, column in enumerate(columns)
    ]


def _narrowed(
    columns: Sequence[Column], rows: Sequence[Row], style: Style, room_mm: float, *, screen: bool
) -> Style:
    """Return the style, its gutters and then its text made smaller when columns do not fit.

    On a screen, itself smaller than paper, text is not.
    """
    if _fits(columns, rows, style, room_mm):
        return style
    style = replace(style, whole_titles=False)
    if _fits(columns, rows, style, room_mm) or screen:
        return style
    smaller = [(style.role, style.size_pt), (style.role, style.role.small_pt)]
    if style.role is Role.FIGURE:
        smaller.append((Role.BODY, Role.BODY.small_pt))
    if style.role is not Role.LABEL:
        smaller += [(Role.LABEL, Role.LABEL.large_pt), (Role.LABEL, Role.LABEL.small_pt)]
    for role, size in smaller:
        tried = replace(style, role=role, size_pt=size, gutter_mm=_GUTTER_MM)
        if _fits(columns, rows, tried, room_mm):
            break
    return tried


def _places(
    columns: Sequence[Column], needs: Sequence[float], style: Style, span: tuple[float, float]
) -> tuple[list[float], list[float]]:
    """Return left edge and width of every column [mm], the gutter at its right not included."""
    # No gutter right of the last column: it ends at the margin.
    room = span[1] - span[0] - (style.ticked_mm if style.tick else 0.0)
    spare = max(room + style.gutter_mm - sum(needs), 0.0)
    whole = sum(column.share for column in columns)
    lefts: list[float] = []
    widths: list[float] = []
    at = span[1] - room
    for column, need in zip(columns, needs, strict=True):
        width = need + (spare * column.share / whole if whole else 0.0)
        if not whole and len(lefts) + 1 == len(needs) and column.align is Align.RIGHT:
            # Nobody else wants what is left: the last column ends at the right edge.
            width += spare
        lefts.append(at)
        widths.append(width - style.gutter_mm)
        at += width
    return lefts, widths


def _run_on(
    columns: Sequence[Column],
    rows: Sequence[Row],
    style: Style,
    span: tuple[float, float],
    above: Block | None,
) -> Table:
    """Return a table too wide for its paper with each row run on, a fact after its title."""
    blocks = []
    for row in rows:
        told = [
            (column.title, _text(cell)) for column, cell in zip(columns, row.cells, strict=False)
        ]
        title, name = told[0]
        if name.isdigit():
            # A number is no name: what stands beside it goes with it.
            name = f"{title} {name} · {told[1][1]}"
            told = told[1:]
        told.append(("", _text(row.below)))
        facts = [_fact(*each) for each in told[1:] if each[1]]
        blocks.append(_run_on_row(name, facts, style, span))
    return Table(heading=above or nothing(), rows=tuple(blocks))


def _fact(title: str, text: str) -> str:
    """Return a cell after its title, a unit of the title after the cell: "gap, m" as gap 2.10 m."""
    what, unit = (title.removesuffix(", m"), " m") if title.endswith(", m") else (title, "")
    return f"{what} {text}{unit}".strip()


def _run_on_row(name: str, facts: Sequence[str], style: Style, span: tuple[float, float]) -> Block:
    strong, size = _STRONG.get(style.role, style.role), style.size_pt
    room = span[1] - span[0]
    head = wrap(name, strong, size, room)
    lines = wrap_facts(facts, style.role, size, room)
    height = (len(head) + len(lines)) * line_mm(size) + 1.4

    def draw(pen: Pen, y: float) -> None:
        at = pen.lines(span[0], y + cap_mm(size) + 0.8, head, strong, size_pt=size)
        pen.lines(span[0], at, lines, style.role, size_pt=size)
        pen.line(span[0], y + height, span[1], y + height, width_mm=style.rule_mm)

    return Block(height_mm=height, draw=draw)


def _x(column: Column, left: float, width: float) -> float:
    if column.align is Align.LEFT:
        return left
    return left + (width if column.align is Align.RIGHT else width / 2)


def _heading(grid: _Grid, above: Block | None) -> Block:
    role, size = grid.style.head, _head_pt(grid.style)
    titles = [
        wrap(column.title, role, size, width + 0.1)
        for column, width in zip(grid.columns, grid.widths, strict=True)
    ]
    deep = max((len(lines) for lines in titles), default=0)
    over = 0.0 if above is None else above.height_mm
    height = deep * line_mm(size) + 1.6

    def draw(pen: Pen, y: float) -> None:
        if above is not None:
            above.draw(pen, y)
        y += over
        for column, lines, left, width in zip(
            grid.columns, titles, grid.lefts, grid.widths, strict=True
        ):
            if column.tinted:
                _tint(pen, _behind(grid, left, width), y, height)
            # Titles stand on the rule, however many lines they have.
            first = y + (deep - len(lines)) * line_mm(size) + cap_mm(size) + 0.5
            pen.lines(_x(column, left, width), first, lines, role, size_pt=size, align=column.align)
            if column.boxed:
                end = left + width - width_mm(column.title, role, size) - 1.4
                pen.tick_box(end - _TITLE_BOX_MM, first - _TITLE_BOX_MM + 0.4, _TITLE_BOX_MM)
        pen.line(grid.span[0], y + height, grid.span[1], y + height, width_mm=0.5)

    return Block(height_mm=over + height, draw=draw)


def _behind(grid: _Grid, left: float, width: float) -> tuple[float, float]:
    """Return the ends of the band behind a column, inside the table [mm]."""
    half = _GUTTER_MM / 2
    return max(left - half, grid.span[0]), min(left + width + half, grid.span[1])


def _tint(pen: Pen, ends: tuple[float, float], y: float, height: float) -> None:
    # Below the rule of the row above, which may be a heavy one.
    pen.rect(ends[0], y + 0.4, ends[1] - ends[0], height - 0.4, line_mm=0.0, fill=Ink.TINT)


def _set(grid: _Grid, row: Row) -> list[tuple[Column, float, float, Sequence[str], Role, float]]:
    """Return the cells of a row that say something: column, place, lines, role and size."""
    style = grid.style
    found: list[tuple[Column, float, float, Sequence[str], Role, float]] = []
    # a table of few columns has no room for the remark at the end of a row
    for column, left, width, cell in zip(
        grid.columns, grid.lefts, grid.widths, row.cells, strict=False
    ):
        text = _text(cell)
        if not text:
            continue
        over = isinstance(cell, Cell) and cell.over
        told = replace(column, align=Align.LEFT) if over else column
        room = grid.span[1] - left if over else width
        role, size = _set_in(told, style, cell)
        lines = wrap(text, role, size, room + 0.1) if told.wraps or over else (text,)
        if len(lines) > 1 and size > role.small_pt and role is not style.role:
            # A name that would break is set small first.
            size = role.small_pt
            lines = wrap(text, role, size, room + 0.1)
        drops = isinstance(cell, Cell) and cell.drops and len(lines) > 1
        if any(lines) and not drops:
            found.append((told, left, room, lines, role, size))
    return found


def _row(grid: _Grid, row: Row, *, group: bool, heavy: bool) -> Block:
    style = grid.style
    set_cells = _set(grid, row)
    broken = [len(lines) * line_mm(size) for *_, lines, _, size in set_cells if len(lines) > 1]
    one = line_mm(style.size_pt) if row.height_mm is None else 0.0
    deep = max([one, *broken])
    least = style.row_mm if row.height_mm is None else row.height_mm
    height = max(least, deep + 1.4)
    role_below = row.below.role if isinstance(row.below, Cell) and row.below.role else Role.STRONG
    size_below = role_below.small_pt
    under = wrap(_text(row.below), role_below, size_below, grid.span[1] - grid.lefts[0])
    under_mm = len(under) * line_mm(size_below) + (_UNDER_MM if under else 0.0)

    def draw(pen: Pen, y: float) -> None:
        if row.tinted:
            _tint(pen, grid.span, y, height)
        if style.tick and row.tick:
            side = style.tick_mm
            pen.tick_box(grid.span[0] + 0.4, y + (height - side) / 2, side)
        for column, left, width in zip(grid.columns, grid.lefts, grid.widths, strict=True):
            if column.tinted:
                _tint(pen, _behind(grid, left, width), y, height)
        # What stands on one line stands on the same line, however large it is.
        high = max((cap_mm(size) for *_, texts, _, size in set_cells if len(texts) == 1), default=0)
        for column, left, width, texts, role, size in set_cells:
            block = cap_mm(size) + (len(texts) - 1) * line_mm(size)
            single = len(texts) == 1
            baseline = y + (height + high if single else height - block + 2 * cap_mm(size)) / 2
            if column.reading:
                draw_reading(pen, left + width, baseline, texts[0], role, size_pt=size)
                continue
            pen.lines(
                _x(column, left, width), baseline, texts, role, size_pt=size, align=column.align
            )
        at = y + height + cap_mm(size_below) + _UNDER_MM - 0.4
        pen.lines(grid.lefts[0], at, under, role_below, size_pt=size_below)
        below = y + height + under_mm
        wide = style.heavy_mm if heavy else style.rule_mm
        pen.line(grid.span[0], below, grid.span[1], below, width_mm=wide)

    return Block(height_mm=height + under_mm, draw=draw, ends_group=group)


# -- readings ---------------------------------------------------------------------------------

_WIDEST = "\N{VULGAR FRACTION THREE QUARTERS}"


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
    fraction = next((fonts.fraction(part) for part in inches if "/" in part), "")
    whole = next((part for part in inches if "/" not in part), "")
    # From the right: room for "in", for a fraction, for two digits, for "ft"; then the feet.
    fraction_right = right_mm - width_mm("in", role, unit_pt) - space_mm
    whole_right = fraction_right - width_mm(_WIDEST, role, size_pt) - space_mm / 2
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
    digits = width_mm(feet + "00" + _WIDEST, role, size_pt)
    return digits + width_mm("ftin", role, unit_pt) + 5.2 * 0.25 * cap_mm(size_pt)
