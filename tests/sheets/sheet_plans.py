"""Plans and page measuring shared by the tests of the paper."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

from wicketlay.ground.tape import Tick
from wicketlay.plan_file import load
from wicketlay.sheets import fonts, make_pages, write_pdf
from wicketlay.sheets.pages import Align, Line, Page, Rect, Role, Text
from wicketlay.sheets.pages import Path as DrawnPath
from wicketlay.solve import Solved, solve

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLANS = ("tuesday-wickets", "fixed-cadence", "height-only", "feet-and-inches")
PAPERS = ("a4", "letter", "a5")
POINT_MM = 25.4 / 72


@cache
def solved(name: str) -> Solved:
    return solve(load(LAYOUTS / f"{name}.toml"))


def renamed(base: Solved, names: dict[str, str]) -> Solved:
    """The same plan with athletes called otherwise."""
    athletes = tuple(replace(a, name=names.get(a.name, a.name)) for a in base.plan.athletes)
    return solve(replace(base.plan, athletes=athletes))


def with_plan(base: Solved, **changes: object) -> Solved:
    return solve(replace(base.plan, **changes))


def in_half_inches(base: Solved) -> Solved:
    return with_plan(base, tape=replace(base.plan.tape, tick=Tick.HALF_INCH))


def pdf_of(what: Solved, **options: object) -> bytes:
    stream = io.BytesIO()
    write_pdf(make_pages(what, **options), stream)
    return stream.getvalue()


def texts(page: Page) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text)]


def left_mm(item: Text) -> float:
    wide = fonts.metrics(item.role.face).width_mm(item.text, item.size_pt)
    return item.x_mm - {Align.LEFT: 0.0, Align.CENTRE: wide / 2, Align.RIGHT: wide}[item.align]


def box_mm(item: Text) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the ink of a text: capitals above, tails below the line."""
    wide = fonts.metrics(item.role.face).width_mm(item.text, item.size_pt)
    em = item.size_pt * POINT_MM
    left = left_mm(item)
    tail = 0.21 if set(item.text) & set("gjpqy,;()Q") else 0.0
    return left, item.y_mm - 0.711 * em, left + wide, item.y_mm + tail * em


def extent_mm(item: object) -> tuple[float, float, float, float]:
    match item:
        case Text():
            return box_mm(item)
        case Line():
            xs, ys = (item.x1_mm, item.x2_mm), (item.y1_mm, item.y2_mm)
            return min(xs), min(ys), max(xs), max(ys)
        case Rect():
            return item.x_mm, item.y_mm, item.x_mm + item.width_mm, item.y_mm + item.height_mm
        case DrawnPath():
            xs, ys = zip(*item.points_mm, strict=True)
            return min(xs), min(ys), max(xs), max(ys)
    raise TypeError(type(item).__name__)


def readings_on(page: Page) -> list[tuple[str, str]]:
    """Mark and reading of each row of a tape sheet's page, from the top down."""
    rows: dict[float, list[Text]] = {}
    for item in texts(page):
        if item.role is Role.READING:
            rows.setdefault(round(item.y_mm, 3), []).append(item)
    marks = [item for item in texts(page) if item.role is Role.MARK and item.text != "CONE"]
    found = []
    for y, parts in sorted(rows.items()):
        parts.sort(key=left_mm)
        mark = min(marks, key=lambda item: abs(item.y_mm - y))
        found.append((mark.text, " ".join(part.text for part in parts)))
    return found
