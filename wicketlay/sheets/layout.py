"""Placing things on a page: paper sizes, a pen that measures, wrapping, blocks and page breaks."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError
from wicketlay.sheets import fonts
from wicketlay.sheets.fonts import MISSING_EM, MM_PER_PT
from wicketlay.sheets.pages import Align, Ink, Item, Line, Page, Path, Rect, Role, Text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

LEADING = 1.25
"""Line to line, as a multiple of the size of the text."""
MINUS = "\N{MINUS SIGN}"
CAP_EM = 0.711
"""Height of a capital or a digit of the faces, in ems."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper and its margin [mm]; `compact` paper takes the small text sizes."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float
    compact: bool = False

    @property
    def left_mm(self) -> float:
        """Where text begins."""
        return self.margin_mm

    @property
    def right_mm(self) -> float:
        """Where text ends."""
        return self.width_mm - self.margin_mm

    @property
    def inner_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * self.margin_mm

    def column_mm(self, share: float) -> float:
        """Return the x at a share of the width between the margins."""
        return self.left_mm + share * self.inner_mm


PAPERS = {
    "a4": Paper(name="a4", width_mm=210.0, height_mm=297.0, margin_mm=12.0),
    "letter": Paper(name="letter", width_mm=215.9, height_mm=279.4, margin_mm=12.0),
    "a5": Paper(name="a5", width_mm=148.0, height_mm=210.0, margin_mm=9.0, compact=True),
}


def paper_named(name: str) -> Paper:
    """Return a paper by its name; UsageError names the ones there are."""
    try:
        return PAPERS[name.casefold()]
    except KeyError:
        message = f'paper "{name}" is unknown; it must be one of {", ".join(PAPERS)}'
        raise UsageError(message) from None


@lru_cache(maxsize=16384)
def width_mm(text: str, role: Role, size_pt: float) -> float:
    """Return how wide a text of a role is [mm]."""
    return fonts.metrics(role.face).width_mm(fonts.printable(text), size_pt)


def line_mm(size_pt: float) -> float:
    """Return the distance from one line of text to the next [mm]."""
    return size_pt * LEADING * MM_PER_PT


def cap_mm(size_pt: float) -> float:
    """Return the height of a capital letter or a digit [mm]."""
    return size_pt * CAP_EM * MM_PER_PT


@lru_cache(maxsize=4096)
def wrap(text: str, role: Role, size_pt: float, room_mm: float) -> tuple[str, ...]:
    """Break a text into lines no wider than `room_mm`, between words where it can."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if width_mm(longer, role, size_pt) <= room_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width_mm(line, role, size_pt) > room_mm and len(line) > 1:
            cut = max(
                (n for n in range(1, len(line)) if width_mm(line[:n], role, size_pt) <= room_mm),
                default=1,
            )
            lines.append(line[:cut])
            line = line[cut:]
    return (*lines, line) if line else tuple(lines)


def fit(
    text: str, role: Role, room_mm: float, *, compact: bool = False
) -> tuple[float, tuple[str, ...]]:
    """Return size [pt] and lines of a text: in full on one line, else small, else broken."""
    if not compact and width_mm(text, role, role.large_pt) <= room_mm:
        return role.large_pt, (text,)
    return role.small_pt, wrap(text, role, role.small_pt, room_mm)


def spread(
    places_mm: Sequence[float], apart_mm: float, low_mm: float, high_mm: float
) -> list[float]:
    """Move ascending label places apart as little as keeps them `apart_mm` and inside a range."""
    spot = list(places_mm)
    for i in range(1, len(spot)):
        spot[i] = max(spot[i], spot[i - 1] + apart_mm)
    if spot and spot[-1] > high_mm:
        spot[-1] = high_mm
        for i in range(len(spot) - 2, -1, -1):
            spot[i] = min(spot[i], spot[i + 1] - apart_mm)
    return [max(place, low_mm + i * apart_mm) for i, place in enumerate(spot)]


@dataclass(slots=True)
class Pen:
    """Collects the items of one page. Every text is made printable here."""

    paper: Paper
    items: list[Item] = field(default_factory=list)

    def page(self) -> Page:
        """Return the page drawn so far."""
        return Page(
            width_mm=self.paper.width_mm,
            height_mm=self.paper.height_mm,
            items=tuple(self.items),
        )

    def size(self, role: Role) -> float:
        """Return the usual size [pt] of a role on this paper."""
        return role.small_pt if self.paper.compact else role.large_pt

    def text(
        self,
        x_mm: float,
        y_mm: float,
        text: str,
        role: Role,
        *,
        size_pt: float | None = None,
        align: Align = Align.LEFT,
        ink: Ink = Ink.BLACK,
    ) -> None:
        """Put a text with its baseline at `y_mm`.

        A character that no face has becomes a box of its own; an empty text is none.
        """
        if not text:
            return
        size = self.size(role) if size_pt is None else size_pt
        text = fonts.printable(text)
        lacking = fonts.missing(text)
        if not lacking:
            self.items.append(
                Text(
                    x_mm=x_mm,
                    y_mm=y_mm,
                    text=text,
                    role=role,
                    size_pt=size,
                    align=align,
                    ink=ink,
                )
            )
            return
        whole = width_mm(text, role, size)
        at = x_mm - {Align.LEFT: 0.0, Align.CENTRE: whole / 2, Align.RIGHT: whole}[align]
        run = ""
        for character in (*text, ""):
            if character and character not in lacking:
                run += character
                continue
            if run.strip():
                self.items.append(
                    Text(x_mm=at, y_mm=y_mm, text=run, role=role, size_pt=size, ink=ink)
                )
            at += fonts.metrics(role.face).width_mm(run, size)
            run = ""
            if character:
                em = size * MM_PER_PT
                self.items.append(
                    Rect(
                        x_mm=at + 0.06 * em,
                        y_mm=y_mm - CAP_EM * em,
                        width_mm=(MISSING_EM - 0.12) * em,
                        height_mm=CAP_EM * em,
                        line_mm=0.05 * em,
                        ink=ink,
                    )
                )
                at += MISSING_EM * em

    def lines(
        self,
        x_mm: float,
        y_mm: float,
        lines: Iterable[str],
        role: Role,
        *,
        size_pt: float | None = None,
        align: Align = Align.LEFT,
    ) -> float:
        """Put lines below one another, the first baseline at `y_mm`; return the next baseline."""
        size = self.size(role) if size_pt is None else size_pt
        for line in lines:
            self.text(x_mm, y_mm, line, role, size_pt=size, align=align)
            y_mm += line_mm(size)
        return y_mm

    def line(
        self,
        x1_mm: float,
        y1_mm: float,
        x2_mm: float,
        y2_mm: float,
        *,
        width_mm: float = 0.2,
        dash_mm: float = 0.0,
        ink: Ink = Ink.BLACK,
    ) -> None:
        """Draw a straight line."""
        self.items.append(
            Line(
                x1_mm=x1_mm,
                y1_mm=y1_mm,
                x2_mm=x2_mm,
                y2_mm=y2_mm,
                width_mm=width_mm,
                dash_mm=dash_mm,
                ink=ink,
            )
        )

    def rect(
        self,
        x_mm: float,
        y_mm: float,
        width_mm: float,
        height_mm: float,
        *,
        line_mm: float = 0.2,
        fill: Ink | None = None,
        ink: Ink = Ink.BLACK,
    ) -> None:
        """Draw a box from its top left corner."""
        self.items.append(
            Rect(
                x_mm=x_mm,
                y_mm=y_mm,
                width_mm=width_mm,
                height_mm=height_mm,
                line_mm=line_mm,
                fill=fill,
                ink=ink,
            )
        )

    def path(
        self,
        points_mm: Iterable[tuple[float, float]],
        *,
        line_mm: float = 0.2,
        dash_mm: float = 0.0,
        fill: Ink | None = None,
        ink: Ink = Ink.BLACK,
    ) -> None:
        """Draw a chain of straight pieces."""
        self.items.append(
            Path(points_mm=tuple(points_mm), line_mm=line_mm, dash_mm=dash_mm, fill=fill, ink=ink)
        )

    def tick_box(self, x_mm: float, y_mm: float, side_mm: float = 5.0) -> None:
        """Draw a box to tick, its top left corner at the place given."""
        self.rect(x_mm, y_mm, side_mm, side_mm, line_mm=0.4)

    def arrow(
        self,
        x1_mm: float,
        y1_mm: float,
        x2_mm: float,
        y2_mm: float,
        *,
        width_mm: float = 0.8,
        head_mm: float = 3.0,
    ) -> None:
        """Draw an arrow from the first place to the second, its head a filled path."""
        length = math.hypot(x2_mm - x1_mm, y2_mm - y1_mm)
        ux, uy = (x2_mm - x1_mm) / length, (y2_mm - y1_mm) / length
        neck_x, neck_y = x2_mm - ux * head_mm, y2_mm - uy * head_mm
        half = 0.45 * head_mm
        self.line(x1_mm, y1_mm, neck_x, neck_y, width_mm=width_mm)
        self.path(
            (
                (x2_mm, y2_mm),
                (neck_x - uy * half, neck_y + ux * half),
                (neck_x + uy * half, neck_y - ux * half),
            ),
            line_mm=0.0,
            fill=Ink.BLACK,
        )


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
    """

    height_mm: float
    draw: Callable[[Pen, float], None]
    ends_group: bool = True
    keeps_next: bool = False
    white: bool = False


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
        Height the drawing beside needs at least.
    """

    heading: Block
    rows: tuple[Block, ...]
    beside: Callable[[Pen, float, float, int], None] | None = None
    beside_least_mm: float = 0.0

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
    pens: list[Pen] = []
    y = frame.end_mm
    top = y

    def new_page() -> None:
        nonlocal y, top
        pens.append(Pen(paper=frame.paper))
        y = top = frame.top(pens[-1], len(pens) - 1)

    new_page()
    for index, part in enumerate(parts):
        if isinstance(part, Block):
            if part.white:
                y += part.height_mm if y > top else 0.0
                continue
            if y + _together_mm(parts[index:]) > frame.end_mm + 1e-6 and y > top:
                new_page()
            part.draw(pens[-1], y)
            y += part.height_mm
            continue
        first = 0
        piece = 0
        while first < len(part.rows):
            count = part.fitting(first, frame.end_mm - y)
            if count == 0 and y > top:
                new_page()
                continue
            # A group too high for an empty page is set all the same, as far as it goes.
            count = count or 1
            start = y
            part.heading.draw(pens[-1], y)
            y += part.heading.height_mm
            for row in part.rows[first : first + count]:
                row.draw(pens[-1], y)
                y += row.height_mm
            if part.beside is not None:
                y = max(y, min(start + part.beside_least_mm, frame.end_mm))
                part.beside(pens[-1], start, y, piece)
            first += count
            piece += 1
            if first < len(part.rows):
                new_page()
    for number, pen in enumerate(pens, start=1):
        frame.foot(pen, number, len(pens))
    return tuple(pen.page() for pen in pens)


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
    text: str,
    role: Role,
    paper: Paper,
    *,
    x_mm: float | None = None,
    room_mm: float | None = None,
    above_mm: float = 0.0,
    below_mm: float = 1.0,
    small: bool = False,
    keeps_next: bool = False,
) -> Block:
    """Return a block of wrapped text."""
    left = paper.left_mm if x_mm is None else x_mm
    room = paper.right_mm - left if room_mm is None else room_mm
    size = role.small_pt if small or paper.compact else role.large_pt
    lines = wrap(text, role, size, room)

    def draw(pen: Pen, y: float) -> None:
        pen.lines(left, y + above_mm + cap_mm(size) + 0.6, lines, role, size_pt=size)

    height = above_mm + len(lines) * line_mm(size) + below_mm
    return Block(height_mm=height, draw=draw, keeps_next=keeps_next)


def space(height_mm: float) -> Block:
    """Return white."""
    return Block(height_mm=height_mm, draw=lambda _pen, _y: None, white=True)
