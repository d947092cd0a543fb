"""Pictures in words: every item of a set of sheets with its place, so that any change shows.

``WICKETLAY_REWRITE=1 pytest tests/sheets/test_golden.py`` writes them anew.
"""

from __future__ import annotations

import difflib
import io
import os
from pathlib import Path

import pypdf
import pytest
from golden_plans import PLANS, golden
from sheet_plans import pdf_of

from wicketlay.sheets import make_pages
from wicketlay.sheets.page.model import Line, Page, Rect, Text
from wicketlay.sheets.page.model import Path as DrawnPath

GOLDEN = Path(__file__).parent / "golden"
SET = (
    ("wickets", "a4", ("tape", "coach", "card", "ground")),
    ("two starts", "letter", ("tape",)),
    ("feet", "letter", ("tape", "card")),
    ("bend", "a4", ("tape", "ground")),
    ("take-off run", "a5", ("tape", "coach", "ground")),
    ("flying", "a5", ("tape",)),
    ("both ways", "a4", ("tape", "ground")),
    ("free zero", "letter", ("tape",)),
    ("stages", "a4", ("stages",)),
    ("squad", "a4", ("practice", "squad", "session", "progress")),
)


def dump(page: Page) -> list[str]:
    """Return every item of a page on a line of its own, to a hundredth of a millimetre."""
    lines = [f"page {page.width_mm:g} x {page.height_mm:g}"]
    for item in page.items:
        match item:
            case Text():
                place = f"{item.x_mm:.2f} {item.y_mm:.2f} {item.align.value}"
                lines.append(f"text {place} {item.role.name} {item.size_pt:g} {item.text}")
            case Line():
                ends = f"{item.x1_mm:.2f} {item.y1_mm:.2f} {item.x2_mm:.2f} {item.y2_mm:.2f}"
                lines.append(f"line {ends} {item.width_mm:g} {item.dash_mm:g} {item.ink.name}")
            case Rect():
                box = f"{item.x_mm:.2f} {item.y_mm:.2f} {item.width_mm:.2f} {item.height_mm:.2f}"
                fill = "-" if item.fill is None else item.fill.name
                lines.append(f"rect {box} {item.line_mm:g} {fill}")
            case DrawnPath():
                fill = "-" if item.fill is None else item.fill.name
                points = " ".join(f"{x:.2f},{y:.2f}" for x, y in item.points_mm)
                lines.append(f"path {item.line_mm:g} {item.dash_mm:g} {fill} {points}")
    return lines


def _dumped(name: str, paper: str, kinds: tuple[str, ...]) -> str:
    lines: list[str] = []
    for sheet in make_pages(golden(name), paper=paper, only=kinds):
        lines.append(f"== {sheet.kind}: {sheet.group}: {sheet.title}")
        for page in sheet.pages:
            lines += dump(page)
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(("name", "paper", "kinds"), SET, ids=[each[0] for each in SET])
def test_sheets_are_those_of_the_golden_set(name, paper, kinds):
    path = GOLDEN / f"{name.replace(' ', '-')}-{paper}.txt"
    now = _dumped(name, paper, kinds)
    if os.environ.get("WICKETLAY_REWRITE"):
        GOLDEN.mkdir(exist_ok=True)
        path.write_text(now, encoding="utf-8")
    was = path.read_text(encoding="utf-8")
    if now != was:
        changes = difflib.unified_diff(was.splitlines(), now.splitlines(), lineterm="", n=0)
        pytest.fail("\n".join(list(changes)[:40]))


@pytest.mark.parametrize(("name", "paper", "kinds"), SET, ids=[each[0] for each in SET])
def test_the_pdf_has_the_pages_of_the_golden_set(name, paper, kinds):
    path = GOLDEN / f"{name.replace(' ', '-')}-{paper}.txt"
    pages = sum(line.startswith("page ") for line in path.read_text(encoding="utf-8").splitlines())
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(golden(name), paper=paper, only=kinds)))
    assert len(reader.pages) == pages


def test_no_plan_and_no_file_of_the_golden_set_is_left_over():
    assert {name for name, *_ in SET} == set(PLANS)
    wanted = {f"{name.replace(' ', '-')}-{paper}.txt" for name, paper, _ in SET}
    assert {path.name for path in GOLDEN.iterdir()} == wanted
