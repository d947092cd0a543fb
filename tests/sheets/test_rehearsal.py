"""A rehearsal: lay out from the words of the printed page alone, as an assistant would."""

from __future__ import annotations

import io
import re
from itertools import pairwise

import pdfplumber
import pypdf
import pytest
from sheet_plans import (
    CASES,
    PAPERS,
    PLANS,
    as_written,
    case,
    pdf_of,
)

from wicketlay.ground.tape import TapeLies
from wicketlay.wording.names import mark_label

ZERO = re.compile(r"^0 = (?:front of )?(.+?) = (?:at (the .+)|(.+?) (before|after) (the .+))$")
AT_LINE = re.compile(r"^0 = take-off line( of the [-A-Z0-9 ]+)?$")
FREE = re.compile(r"^0 = front of (.+): (?:choose the place|find it again|it stays where it lies)$")
PULL = re.compile(
    r"^PULL (\d+) .*?(?:(?:new|same) 0: |from the )(?:front of )?(.+), (with|against) the run"
)
ROW = re.compile(r"^(W\d+|START|BACK|[A-Z]|[CG]\d+|STEP \d+) (\d+\.\d\d|\d+ ft .*? in)(?: |$)")
EXTRA = ("tuesday in feet", "shared in feet", "wickets on a bend", "bend in feet")
BENDS = ("wickets on a bend, painted line",)
RUNS = ("take-off run", "both ways", "against the line")
NAMES = (*PLANS, *EXTRA, *BENDS, *RUNS)
# The one that takes longest is for the slow run: in metres, and others in feet, stay.
SOME = {(name, PAPERS[index % len(PAPERS)]) for index, name in enumerate(NAMES)} - {
    ("tuesday in feet", "phone")
}


def metres(text: str) -> float:
    """Read a length as printed: 12.34, 12.34 m or 40 ft 5½ in."""
    text = as_written(text)
    found = re.fullmatch(r"(?:(\d+) ft ?)?(?:(\d+) ?)?(?:(\d)/(\d) ?)?(?:in)?", text)
    if found is None or ("ft" not in text and "in" not in text):
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


def zero_of(lines: list[str], landmarks: dict[str, float], run: int, line_at: float):
    """Return the mark at the 0 and how far it lies in the running direction, as the box tells."""
    for index, line in enumerate(lines):
        # A long zero goes on in a next line; words of the drawing beside it may stand between.
        longer = [" ".join(lines[index : index + count]) for count in (2, 3, 4)]
        for text in (line, *(f"{line} {other}" for other in lines[index + 1 : index + 4]), *longer):
            if AT_LINE.match(text):
                return "take-off line", line_at
            if free := FREE.match(text):
                return name_of(free[1]), None
            if told := ZERO.match(text):
                rest = told[2] or told[5]
                known = [each for each in landmarks if rest.startswith(each)]
                if known:
                    at = landmarks[max(known, key=len)]
                    away = metres(told[3]) if told[3] else 0.0
                    return name_of(told[1]), run * at + (-away if told[4] == "before" else away)
    raise AssertionError(lines[:8])


def name_of(text: str) -> str:
    """Return what the rows call the mark that a heading calls `text`."""
    return {"start mark": "START"}.get(text, text.removeprefix("start mark "))


def lay_out(lines: list[str], zero: tuple[str, float]) -> dict[str, float]:
    """Return mark to place [m] in the running direction, as an assistant arrives at it."""
    laid = {zero[0]: zero[1]}
    at, way = zero[1], 1
    for line, after in pairwise([*lines, ""]):
        if pull := PULL.match(line) or PULL.match(f"{line} {after}"):
            at = laid[name_of(pull[2].strip())]
            way = 1 if pull[3] == "with" else -1
        elif row := ROW.match(line):
            laid[row[1]] = at + way * metres(row[2])
    return laid


@pytest.mark.parametrize(
    ("name", "paper"),
    [
        pytest.param(
            name,
            paper,
            id=f"{name}-{paper}",
            marks=() if (name, paper) in SOME else pytest.mark.slow,
        )
        for name in NAMES
        for paper in PAPERS
    ],
)
def test_laying_out_from_the_page_arrives_where_the_solver_is(name, paper):
    assert name in CASES
    what = case(name)
    stages = what.plan.stages
    layings = [each for each in what.layings if stages is None or each.stage == stages.now]
    data = io.BytesIO(pdf_of(what, paper=paper))
    theirs = sum(label.startswith("A") for label in pypdf.PdfReader(data).page_labels)
    with pdfplumber.open(data) as pdf:
        pages = [lines_of(page) for page in pdf.pages[:theirs]]
    sheets: list[list[str]] = []
    for lines in pages:
        if any("page 1 of" in line for line in lines):
            sheets.append(list(lines))
        else:
            sheets[-1] += lines
    assert len(sheets) == len(layings)
    for lines in sheets:
        title = " ".join(lines[:3])  # a long one takes two lines, or three
        lane, wave = (re.search(rf"{word} (\d+)", title) for word in ("LANE", "WAVE"))
        (laying,) = (
            each
            for each in layings
            if (lane is None or each.lane == int(lane[1]))
            and (wave is None or each.wave == int(wave[1]))
        )
        _assert_laid(laying, lines)


def _assert_laid(laying, lines):
    placed = laying.placed
    run = placed.direction
    course = placed.course
    painted = laying.tape.spec.lies is TapeLies.PAINTED_LINE

    def along(chainage: float) -> float:
        """Where a place lies along what the tape lies on."""
        if not painted:
            return run * chainage
        zero = float(placed.marks[0].chainage_m)
        beside = course.run_line.length_beside(zero, chainage, course.painted_offset_m)
        return run * zero + run * beside

    landmarks = {each.text: run * along(float(each.chainage_m)) for each in course.landmarks}
    line_at = 0.0 if placed.line_chainage_m is None else along(float(placed.line_chainage_m))
    zero = zero_of(lines, landmarks, run, line_at)
    if zero[1] is None:  # chosen on the spot: the solver's place is as good as any
        mark = next(m for m in placed.marks if mark_label(m.mark.id) == zero[0])
        zero = (zero[0], along(float(mark.chainage_m)))
    laid = lay_out(lines, zero)
    within = laying.tape.error_mm / 1000 + laying.tape.spec.tick.metres
    for each in placed.marks:
        shown = mark_label(each.mark.id)
        assert laid[shown] == pytest.approx(along(float(each.chainage_m)), abs=within), shown
