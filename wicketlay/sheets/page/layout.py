"""Placing things on a page: paper sizes, widths of texts and their lines, and a pen."""

from __future__ import annotations

import dataclasses
import math
import re
from dataclasses import field
from functools import lru_cache, partial
from itertools import groupby
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError
from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.fonts import BESIDE_EM, MM_PER_PT
from wicketlay.sheets.page.model import Align, Ink, Item, Line, Page, Path, Rect, Role, Text
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


LEADING = 1.25
"""Line to line, as a multiple of the size of the text."""
MINUS = "\N{MINUS SIGN}"
CAP_EM = 0.711
"""Height of a capital or a digit of the faces, in ems."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper and its margin [mm]; `compact` paper takes the small text sizes.

    A `screen` is looked at and swiped: nothing is measured on it or written in by hand.
    """

    width_mm: float
    height_mm: float
    margin_mm: float
    compact: bool = False
    screen: bool = False

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

    def size_pt(self, role: Role) -> float:
        """Return the usual size of a role [pt]."""
        return role.small_pt if self.compact else role.large_pt

    def column_mm(self, share: float) -> float:
        """Return the x at a share of the width between the margins."""
        return self.left_mm + share * self.inner_mm


PAPERS = {
    "a4": Paper(width_mm=210.0, height_mm=297.0, margin_mm=12.0),
    "letter": Paper(width_mm=215.9, height_mm=279.4, margin_mm=12.0),
    "a5": Paper(width_mm=148.0, height_mm=210.0, margin_mm=9.0, compact=True),
    # 9 : 19.5, a telephone held upright; a little larger than the glass of most.
    "phone": Paper(width_mm=81.0, height_mm=175.5, margin_mm=3.5, compact=True, screen=True),
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
    return fonts.width_mm(role.face, fonts.printable(text), size_pt)


def line_mm(size_pt: float) -> float:
    """Return the distance from one line of text to the next [mm]."""
    return size_pt * LEADING * MM_PER_PT


def cap_mm(size_pt: float) -> float:
    """Return the height of a capital letter or a digit [mm]."""
    return size_pt * CAP_EM * MM_PER_PT


_UNITS = frozenset(
    {"m", "cm", "mm", "s", "ft", "in", "mi", "min", "h", "m/s", "ft/s", "km/h", "mph", "pt", "%"}
    | {"steps/s", "steps", "\N{DEGREE SIGN}C", "\N{DEGREE SIGN}F"}
)
_ERROR = "\N{PLUS-MINUS SIGN}"
_NUMBER = re.compile(r"[-+(\N{MINUS SIGN}]?\d[\d.,:/]*")


@lru_cache(maxsize=4096)
def words_of(text: str) -> tuple[str, ...]:
    """Return what a line may be broken between: words, a number kept with the unit after it.

    Of a length in feet and inches each part keeps its own unit. What is uncertain keeps its error.
    """
    words: list[str] = []
    for word in text.split():
        unit = word.rstrip(".,;:)")
        counted = words and _NUMBER.fullmatch(words[-1].split(" ")[-1])
        fraction = counted and "/" in word and _NUMBER.fullmatch(word)
        uncertain = words and (word == _ERROR or words[-1].endswith(f" {_ERROR}"))
        if uncertain or (counted and (unit in _UNITS or fraction)):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return tuple(words)


@lru_cache(maxsize=4096)
def wrap(text: str, role: Role, size_pt: float, room_mm: float) -> tuple[str, ...]:
    """Break a text into lines no wider than `room_mm`, between words where it can."""
    return _filled(words_of(text), role, size_pt, room_mm)


def wrap_facts(facts: Sequence[str], role: Role, size_pt: float, room_mm: float) -> tuple[str, ...]:
    """Run facts on in lines no wider than `room_mm`, broken between facts where it can."""
    apart = [*(f"{fact} \N{MIDDLE DOT}" for fact in facts[:-1]), *facts[-1:]]
    parts = [
        part
        for fact in apart
        for part in ((fact,) if width_mm(fact, role, size_pt) <= room_mm else words_of(fact))
    ]
    return _filled(parts, role, size_pt, room_mm)


def _filled(words: Iterable[str], role: Role, size_pt: float, room_mm: float) -> tuple[str, ...]:
    """Return lines filled with words, one wider than a line broken in itself."""
    lines: list[str] = []
    line = ""
    for word in words:
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
            # After a hyphen where there is one.
            cut = line.rfind("-", 0, cut) + 1 or cut
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


@dataclasses.dataclass(slots=True)
class Pen:
    """Collects the items of one page. Every text is made printable here."""

    paper: Paper
    items: list[Item] = field(default_factory=list)
    bookmarks: list[tuple[float, str]] = field(default_factory=list)

    def page(self) -> Page:
        """Return the page drawn so far."""
        return Page(
            width_mm=self.paper.width_mm,
            height_mm=self.paper.height_mm,
            items=tuple(self.items),
            bookmarks=tuple(self.bookmarks),
        )

    def text(
        self,
        x_mm: float,
        y_mm: float,
        text: str,
        role: Role,
        *,
        size_pt: float | None = None,
        align: Align = Align.LEFT,
    ) -> None:
        """Put a text with its baseline at `y_mm`.

        A character that no face has becomes a box with its number; an empty text is none.
        """
        if not text:
            return
        size = self.paper.size_pt(role) if size_pt is None else size_pt
        text = fonts.printable(text)
        lacking = fonts.missing(text)
        put = partial(Text, y_mm=y_mm, role=role, size_pt=size)
        if not lacking:
            self.items.append(put(x_mm=x_mm, text=text, align=align))
            return
        em = size * MM_PER_PT
        whole = width_mm(text, role, size)
        at = x_mm - {Align.LEFT: 0.0, Align.CENTRE: whole / 2, Align.RIGHT: whole}[align]
        for boxed, run in groupby(text, lambda character: character in lacking):
            for part in run if boxed else ("".join(run),):
                wide = fonts.width_mm(role.face, part, size)
                if boxed:
                    top, high = y_mm - (CAP_EM + 0.11) * em, (CAP_EM + 0.22) * em
                    self.rect(at + 0.05 * em, top, wide - 0.1 * em, high, line_mm=0.05 * em)
                    self.items.append(put(x_mm=at + BESIDE_EM * em, text=fonts.number_of(part)))
                elif part.strip():
                    self.items.append(put(x_mm=at, text=part))
                at += wide

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
        size = self.paper.size_pt(role) if size_pt is None else size_pt
        for line in lines:
            self.text(x_mm, y_mm, line, role, size_pt=size, align=align)
            y_mm += line_mm(size)
        return y_mm

    def centred(
        self,
        x_mm: float,
        band_mm: tuple[float, float],
        lines: Sequence[str],
        role: Role,
        *,
        size_pt: float | None = None,
    ) -> None:
        """Put lines in the middle of a band, given as its top and height."""
        size = self.paper.size_pt(role) if size_pt is None else size_pt
        block = cap_mm(size) + (len(lines) - 1) * line_mm(size)
        top, height = band_mm
        self.lines(x_mm, top + (height - block) / 2 + cap_mm(size), lines, role, size_pt=size)

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
        self.items.append(Line(x1_mm, y1_mm, x2_mm, y2_mm, width_mm, dash_mm, ink))

    def rect(
        self,
        x_mm: float,
        y_mm: float,
        width_mm: float,
        height_mm: float,
        *,
        line_mm: float = 0.2,
        fill: Ink | None = None,
    ) -> None:
        """Draw a box from its top left corner."""
        self.items.append(Rect(x_mm, y_mm, width_mm, height_mm, line_mm, fill))

    def path(
        self,
        points_mm: Iterable[tuple[float, float]],
        *,
        line_mm: float = 0.2,
        dash_mm: float = 0.0,
        fill: Ink | None = None,
    ) -> None:
        """Draw a chain of straight pieces."""
        self.items.append(Path(tuple(points_mm), line_mm, dash_mm, fill))

    def triangle(
        self,
        x_mm: float,
        base_mm: float,
        tip_mm: float,
        half_mm: float,
        *,
        line_mm: float = 0.0,
        fill: Ink = Ink.BLACK,
    ) -> None:
        """Draw a triangle upright or upside down, its base twice `half_mm` wide."""
        corners = ((x_mm - half_mm, base_mm), (x_mm + half_mm, base_mm), (x_mm, tip_mm))
        self.path(corners, line_mm=line_mm, fill=fill)

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
        left = (neck_x - uy * half, neck_y + ux * half)
        right = (neck_x + uy * half, neck_y - ux * half)
        self.path(((x2_mm, y2_mm), left, right), line_mm=0.0, fill=Ink.BLACK)
