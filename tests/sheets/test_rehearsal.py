"""A rehearsal: lay out from the words of the printed page alone, as an assistant would."""

from __future__ import annotations

import io
import re

import pdfplumber
import pytest
from sheet_plans import PAPERS, PLANS, in_half_inches, pdf_of, solved

ZERO = re.compile(r"^0 = front of (\S+) = (.+?) (before|after) (the .+)$")
PULL = re.compile(r"^PULL (\d+) .*?(?:new 0: |from the )(?:front of )?(.+), (with|against) the run")
ROW = re.compile(r"^(W\d+|START|[A-Z]) (\d+\.\d\d|\d+ ft .*? in)(?: |$)")


def metres(text: str) -> float:
    """Read a length as printed: 12.34, 12.34 m or 40 ft 5 1/2 in."""
    found = re.fullmatch(r"(?:(\d+) ft )?(?:(\d+) ?)?(?:(\d)/(\d) ?)?in", text)
    if found is None:
        return float(text.removesuffix(" m"))
    feet, inches, top, bottom = (int(part or 0) for part in found.groups())
    return 0.3048 * feet + 0.0254 * (inches + (top / bottom if bottom else 0.0))


def lines_of(page) -> list[str]:
    """Words of a page in lines, from the top down; half-size units stand on the digits' line."""
    lines: dict[int, list] = {}
    for char in page.chars:
        lines.setdefault(round(char["matrix"][5]), []).append(char)
    found = []
    for base in sorted(lines, reverse=True):
        chars = sorted(lines[base], key=lambda char: char["x0"])
        text, right = "", None
        for char in chars:
            if right is not None and char["x0"] - right > 1.0:
                text += " "
            text += char["text"]
            right = char["x1"]
        found.append(re.sub(r" +", " ", text).strip())
    return found


def lay_out(lines: list[str], landmarks: dict[str, float], run: int) -> dict[str, float]:
    """Return mark to chainage [m] as an assistant arrives at it; `run` is +1 or -1."""
    laid: dict[str, float] = {}
    zero_at, way = 0.0, 1
    for line in lines:
        if told := ZERO.match(line):
            mark, distance, side, rest = told.groups()
            name = next(
                text for text in landmarks if rest.startswith(text) or text.startswith(rest)
            )
            sign = 1 if side == "after" else -1
            laid[mark] = landmarks[name] + run * sign * metres(distance)
        elif pull := PULL.match(line):
            zero_at = laid[pull[2].removeprefix("start mark ").strip()]
            way = run if pull[3] == "with" else -run
        elif row := ROW.match(line):
            laid[row[1]] = zero_at + way * metres(row[2])
    return laid


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", [*PLANS, "tuesday-wickets in feet"])
def test_laying_out_from_the_page_arrives_where_the_solver_is(name, paper):
    what = solved(name.removesuffix(" in feet"))
    if name.endswith(" in feet"):
        what = in_half_inches(what)
    with pdfplumber.open(io.BytesIO(pdf_of(what, only=("tape",), paper=paper))) as pdf:
        pages = [lines_of(page) for page in pdf.pages]
    sheets: list[list[str]] = []
    for lines in pages:
        if "continued" in lines[0]:
            sheets[-1] += lines
        else:
            sheets.append(list(lines))
    assert len(sheets) == len(what.layings)
    for laying, lines in zip(what.layings, sheets, strict=True):
        placed = laying.placed
        landmarks = {each.text: float(each.chainage_m) for each in placed.course.landmarks}
        laid = lay_out(lines, landmarks, placed.direction)
        letters = {demand.start_id: demand.letter or "START" for demand in laying.demands}
        for each in placed.marks:
            shown = letters.get(each.mark.id, each.mark.id.upper())
            within = laying.tape.error_mm / 1000 + laying.tape.spec.tick.metres
            assert laid[shown] == pytest.approx(float(each.chainage_m), abs=within), shown
