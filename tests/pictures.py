"""The pictures of the README: a tape sheet and the workbench, as they are now.

    python -m tests.pictures

The sheet is drawn from the page model, each text as wide as on paper whatever face the reader
has; the workbench is the golden picture of the screen.
"""

from __future__ import annotations

import sys
from pathlib import Path
from xml.sax.saxutils import escape

from wicketlay.plan_file import load
from wicketlay.sheets import make_pages
from wicketlay.sheets.page.layout import width_mm
from wicketlay.sheets.page.model import Align, Face, Line, Page, Rect, Text
from wicketlay.sheets.page.model import Path as DrawnPath
from wicketlay.solve import solve

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "layouts" / "pictures"
SCREEN = ROOT / "tests" / "tui" / "golden" / "starter-80x24.svg"
POINT_MM = 25.4 / 72
_ANCHOR = {Align.LEFT: "start", Align.CENTRE: "middle", Align.RIGHT: "end"}


def _grey(white_share: float) -> str:
    level = round(255 * white_share)
    return f"#{level:02x}{level:02x}{level:02x}"


def _drawn(item: Text | Line | Rect | DrawnPath) -> str:
    match item:
        case Text():
            weight = " font-weight='bold'" if item.role.face is Face.BOLD else ""
            wide = width_mm(item.text, item.role, item.size_pt)
            size = item.size_pt * POINT_MM
            return (
                f"<text x='{item.x_mm:.2f}' y='{item.y_mm:.2f}' font-size='{size:.2f}'{weight} "
                f"text-anchor='{_ANCHOR[item.align]}' textLength='{wide:.2f}' "
                f"lengthAdjust='spacingAndGlyphs'>{escape(item.text)}</text>"
            )
        case Line():
            dash = f" stroke-dasharray='{item.dash_mm:g}'" if item.dash_mm else ""
            return (
                f"<path d='M{item.x1_mm:.2f} {item.y1_mm:.2f}L{item.x2_mm:.2f} {item.y2_mm:.2f}' "
                f"stroke='{_grey(item.ink.white_share)}' stroke-width='{item.width_mm:g}'{dash}/>"
            )
        case Rect():
            fill = "none" if item.fill is None else _grey(item.fill.white_share)
            edge = f" stroke='#000' stroke-width='{item.line_mm:g}'" if item.line_mm else ""
            return (
                f"<rect x='{item.x_mm:.2f}' y='{item.y_mm:.2f}' width='{item.width_mm:.2f}' "
                f"height='{item.height_mm:.2f}' fill='{fill}'{edge}/>"
            )
        case DrawnPath():
            fill = "none" if item.fill is None else _grey(item.fill.white_share)
            points = " ".join(f"{x:.2f},{y:.2f}" for x, y in item.points_mm)
            edge = f" stroke='#000' stroke-width='{item.line_mm:g}'" if item.line_mm else ""
            kind = "polyline" if item.fill is None else "polygon"
            return f"<{kind} points='{points}' fill='{fill}'{edge}/>"


def as_svg(page: Page) -> str:
    """Return a page as a picture that scales."""
    head = (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {page.width_mm:g} "
        f"{page.height_mm:g}' width='{3 * page.width_mm:g}' "
        "font-family='Roboto, Arial, Helvetica, sans-serif'>"
    )
    white = "<rect width='100%' height='100%' fill='#fff'/>"
    return "\n".join([head, white, *map(_drawn, page.items), "</svg>"]) + "\n"


def pictures() -> dict[str, str]:
    """Return the pictures by the names of their files."""
    solved = solve(load(ROOT / "layouts" / "fixed-cadence.toml"))
    (sheet,) = make_pages(solved, only=("tape",))
    return {
        "tape-sheet.svg": as_svg(sheet.pages[0]),
        "workbench.svg": SCREEN.read_text(encoding="utf-8"),
    }


def main() -> int:
    """Write the pictures."""
    PICTURES.mkdir(exist_ok=True)
    for name, text in pictures().items():
        (PICTURES / name).write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
