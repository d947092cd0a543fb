"""Blocks and tables set one below the other, and broken into pages."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.sheets.page.layout import Paper, Pen, cap_mm, line_mm, wrap, wrap_facts
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from wicketlay.sheets.page.model import Page, Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A piece of a page that is not broken.

    Parameters
    ----------
    height_mm
        Its height, white below it included.
    draw
        Draws it, given a pen and the y of its top.
    ends_group
        In a table: a page may end after this row.
    keeps_next
        Never the last on a page: it goes with what follows.
    white
        Nothing but room between two others: it opens no page, and stands at the top of none.
    opens_page
        Whatever follows begins a page.
    """

    height_mm: float
    draw: Callable[[Pen, float], None]
    ends_group: bool = True
    keeps_next: bool = False
    white: bool = False
    opens_page: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under a heading that is repeated on each page.

    Parameters
    ----------
    heading
        Printed above the rows on every page the table reaches.
    rows
        Broken only after a row that ends a group, and never leaving a single row behind.
    beside
        Drawn beside the rows that stand on one page, given the pen, the top of the heading and
        the y where the rows of this page end; called once a page with the index of the part.
    beside_least_mm
        Height the drawing beside needs at least, on the first page of the table.
    even
        Whether the pages it takes have about as many rows each, rather than the last a few.
    below_mm
        Height of what follows and does not stand alone on a page: the last rows go with it.
    """

    heading: Block
    rows: tuple[Block, ...]
    beside: Callable[[Pen, float, float, int], None] | None = None
    beside_least_mm: float = 0.0
    even: bool = False
    below_mm: float = 0.0

    @property
    def height_mm(self) -> float:
        """Height of the whole table on one page."""
        rows = sum(row.height_mm for row in self.rows)
        return max(self.heading.height_mm + rows, self.beside_least_mm)

    @property
    def first_group_mm(self) -> float:
        """Height of the rows that can stand alone above a page break."""
        height = 0.0
        for index, row in enumerate(self.rows):
            height += row.height_mm
            if row.ends_group and len(self.rows) - index - 1 > 1:
                break
        return height

    def fitting(self, first: int, room_mm: float) -> int:
        """Return how many rows from `first` on fit a room; 0 when no whole group does."""
        left = room_mm - self.heading.height_mm
        fits = 0
        for count, row in enumerate(self.rows[first:], start=1):
            left -= row.height_mm
            if left < -1e-6:
                break
            rest = len(self.rows) - first - count
            if rest == 0 or (row.ends_group and rest > 1):
                fits = count
        return fits

    def shared(self, first: int, most: int, room_mm: float) -> int:
        """Return how many of at most so many rows stand here, when what follows has no room."""
        here = self.rows[first : first + most]
        height = self.heading.height_mm + sum(row.height_mm for row in here)
        last = first + most == len(self.rows)
        if not self.below_mm or not last or height + self.below_mm <= room_mm + 1e-6 or most < 4:
            return most
        ends = [at for at in range(2, most - 1) if here[at - 1].ends_group]
        return ends[-1] if ends else most - 2

    def evenly(self, first: int, most: int, room_mm: float) -> int:
        """Return how many of at most so many rows stand here, that all pages have about as many.

        `room_mm` is that of a whole page, on which the rest stands; it takes no page more.
        """
        pages = self._pages(first + most, room_mm)
        fair = math.ceil((len(self.rows) - first) / (pages + 1))
        for count in range(fair, most):
            whole = self.rows[first + count - 1].ends_group and len(self.rows) - first - count > 1
            if whole and self._pages(first + count, room_mm) == pages:
                return count
        return most

    def _pages(self, first: int, room_mm: float) -> int:
        """Return how many whole pages the rows from `first` on take."""
        pages = 0
        while first < len(self.rows):
            first += self.fitting(first, room_mm) or 1
            pages += 1
        return pages


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What every page of a sheet has: paper, top and foot."""

    paper: Paper
    top: Callable[[Pen, int], float]
    """Draws the top of page `index` (0 first); returns the y where the content begins."""
    foot: Callable[[Pen, int, int], None]
    """Draws the foot, given page `number` (1 first) and the number of pages."""
    foot_mm: float

    @property
    def end_mm(self) -> float:
        """Where the content must end."""
        return self.paper.height_mm - self.paper.margin_mm - self.foot_mm


def paginate(parts: Sequence[Block | Table], frame: Frame) -> tuple[Page, ...]:
    """Set blocks and tables one below the other and break them into pages."""
    pages = _Pages(frame)
    for index, part in enumerate(parts):
        if isinstance(part, Table):
            pages.table(part)
        else:
            pages.block(part, _together_mm(parts[index:]))
    for number, pen in enumerate(pages.pens, start=1):
        frame.foot(pen, number, len(pages.pens))
    return tuple(pen.page() for pen in pages.pens)


def fewest(tries: Iterable[tuple[Page, ...]]) -> tuple[Page, ...]:
    """Return the first of several ways to set a sheet that takes the fewest pages."""
    best: tuple[Page, ...] = ()
    for pages in tries:
        best = pages if not best or len(pages) < len(best) else best
        if len(best) == 1:
            break
    return best


class _Pages:
    """The pages of a sheet while it is set, and how far down the last one is full."""

    def __init__(self, frame: Frame) -> None:
        self.frame = frame
        self.pens: list[Pen] = []
        self.y = self.top = 0.0
        self.turn()

    def turn(self) -> None:
        """Begin a page."""
        self.pens.append(Pen(paper=self.frame.paper))
        self.y = self.top = self.frame.top(self.pens[-1], len(self.pens) - 1)

    def block(self, part: Block, together_mm: float) -> None:
        """Set a block, on a page that holds what it must not be parted from."""
        if part.opens_page and self.y > self.top:
            self.turn()
        if part.white:
            self.y += part.height_mm if self.y > self.top else 0.0
            return
        if self.y + together_mm > self.frame.end_mm + 1e-6 and self.y > self.top:
            self.turn()
        part.draw(self.pens[-1], self.y)
        self.y += part.height_mm

    def table(self, part: Table) -> None:
        """Set a table, broken where its groups end."""
        first = 0
        piece = 0
        while first < len(part.rows):
            count = part.fitting(first, self.frame.end_mm - self.y)
            if count == 0 and self.y > self.top:
                self.turn()
                continue
            # A group too high for an empty page is set all the same, as far as it goes.
            count = count or 1
            if part.even and first + count < len(part.rows):
                top = self.frame.top(Pen(paper=self.frame.paper), len(self.pens))
                count = part.evenly(first, count, self.frame.end_mm - top)
            count = part.shared(first, count, self.frame.end_mm - self.y)
            start = self.y
            part.heading.draw(self.pens[-1], self.y)
            self.y += part.heading.height_mm
            for row in part.rows[first : first + count]:
                row.draw(self.pens[-1], self.y)
                self.y += row.height_mm
            if part.beside is not None:
                least_mm = part.beside_least_mm if piece == 0 else 0.0
                self.y = max(self.y, min(start + least_mm, self.frame.end_mm))
                part.beside(self.pens[-1], start, self.y, piece)
            first += count
            piece += 1
            if first < len(part.rows):
                self.turn()


def _together_mm(parts: Sequence[Block | Table]) -> float:
    """Return the height of the first part and of those it must not be parted from."""
    height = 0.0
    for part in parts:
        if isinstance(part, Table):
            return height + part.heading.height_mm + part.first_group_mm
        height += part.height_mm
        if not part.keeps_next:
            break
    return height


def paragraph(
    text: str | Sequence[str],
    role: Role,
    paper: Paper,
    *,
    above_mm: float = 0.0,
    below_mm: float = 1.0,
    small: bool = False,
    keeps_next: bool = False,
) -> Block:
    """Return a block of wrapped text; of several texts, facts that run on in lines."""
    size = role.small_pt if small else paper.size_pt(role)
    broken = wrap if isinstance(text, str) else wrap_facts
    lines = broken(text, role, size, paper.inner_mm)

    def draw(pen: Pen, y: float) -> None:
        pen.lines(paper.left_mm, y + above_mm + cap_mm(size) + 0.6, lines, role, size_pt=size)

    height = above_mm + len(lines) * line_mm(size) + below_mm
    return Block(height_mm=height, draw=draw, keeps_next=keeps_next)


def abreast(
    cells: Sequence[tuple[float, float, str, Role]], size_pt: float, *, below_mm: float
) -> Block:
    """Return texts side by side, each given with its x, the room it is broken in, and its role."""
    broken = [(x_mm, wrap(text, role, size_pt, room), role) for x_mm, room, text, role in cells]
    deep = max(len(lines) for _, lines, _ in broken)

    def draw(pen: Pen, y: float) -> None:
        for x_mm, lines, role in broken:
            pen.lines(x_mm, y + cap_mm(size_pt) + 0.5, lines, role, size_pt=size_pt)

    return Block(height_mm=deep * line_mm(size_pt) + below_mm, draw=draw)


def _draw_nothing(_pen: Pen, _y: float) -> None:
    pass


def nothing() -> Block:
    """Return a block that takes no room and draws nothing."""
    return Block(height_mm=0.0, draw=_draw_nothing)


def space(height_mm: float) -> Block:
    """Return white."""
    return Block(height_mm=height_mm, draw=_draw_nothing, white=True)


def page_break() -> Block:
    """Return what makes the next part begin a page."""
    return Block(height_mm=0.0, draw=_draw_nothing, white=True, opens_page=True)
