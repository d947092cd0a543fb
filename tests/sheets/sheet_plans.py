"""Plans and page measuring shared by the tests of the paper."""

from __future__ import annotations

import io
import re
import tomllib
import unicodedata
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.ground.placing import Direction, Place
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.tape import TapeLies, TapeSpec, Tick
from wicketlay.plan_file import load
from wicketlay.running.athlete import Foot
from wicketlay.sheets import KINDS, make_pages, write_pdf
from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.model import Align, Line, Page, Rect, Role, Text
from wicketlay.sheets.page.model import Path as DrawnPath
from wicketlay.solve import Solved, solve

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLANS = tuple(
    sorted(
        path.stem
        for path in LAYOUTS.glob("*.toml")
        if tomllib.loads(path.read_text("utf-8"))["kind"] == "plan"
    )
)
PAPERS = ("a4", "letter", "a5", "phone")
ALL = KINDS
POINT_MM = 25.4 / 72
LONG = "Wolfeschlegelsteinhausenbergerdorff-Featherstonehaugh, Maximiliana Bartholomea 3"
NAMES = {
    "Wren": 'Zażółć "Gęś" & Jaźń <b>',
    "Tarik": "Příliš Žluťoučký Kůň",
    "Ines": "Ștefania Țepeș-Ωραία",
    "Bram": "Ґанна Їжакевич",
    "Kit": "Nguyễn Thị Hằng",
    "Odalys": LONG,
}


@cache
def solved(name: str) -> Solved:
    return solve(load(LAYOUTS / f"{name}.toml"))


def renamed(base: Solved, names: dict[str, str]) -> Solved:
    """The same plan with athletes called otherwise."""
    athletes = tuple(replace(a, name=names.get(a.name, a.name)) for a in base.plan.athletes)
    return solve(replace(base.plan, athletes=athletes))


def with_plan(base: Solved, **changes: object) -> Solved:
    return solve(replace(base.plan, **changes))


def short_tape(tick: Tick) -> Solved:
    """Stages whose second pull does not begin at the same wicket: W11 in stage 1, W10 later."""
    base = solved("season-stages")
    return with_plan(
        base,
        tape=TapeSpec(length_m=17.8, tick=tick),
        stages=replace(base.plan.stages, now=1),
    )


def in_half_inches(base: Solved) -> Solved:
    return with_plan(base, tape=replace(base.plan.tape, tick=Tick.HALF_INCH))


@cache
def squad() -> Solved:
    """Six alike on one lane, so that six start marks share it, with names that are hard to set."""
    base = solved("tuesday-wickets")
    like = next(a for a in base.plan.athletes if a.name == "Wren")
    record = next(a for a in base.plan.athletes if a.name == "Bram").observations
    speeds = (7.8, 7.85, 7.9, 7.95, 8.0, 8.05)
    athletes = tuple(
        replace(
            like,
            name=name,
            top_speed_mps=speed,
            flying=None,
            splits=None,
            observations=record if name == LONG else (),
        )
        for name, speed in zip(NAMES.values(), speeds, strict=True)
    )
    return with_plan(
        base,
        athletes=athletes,
        place=replace(base.plan.place, lanes=(4,)),
        session=replace(base.plan.session, waves=1),
    )


def alike(count: int, wickets: int = 14) -> Solved:
    """So many athletes alike who share the marks of one lane."""
    base = squad()
    return with_plan(
        base,
        athletes=tuple(replace(a, name=f"Runner {i}") for i, a in enumerate(base.plan.athletes))[
            :count
        ],
        drill=replace(base.plan.drill, section_m=None, wickets=wickets),
    )


def drill(spec, offset: float = -50.0, **changes: object) -> Solved:
    """One man on lane 4 of the home straight with another drill."""
    place = Place(line="home straight", lanes=(4,), offset_m=offset)
    base = solved("fixed-cadence")
    return with_plan(base, drill=spec, **{"place": place, "tape": TapeSpec(), **changes})


def bend_wickets(lies: TapeLies = TapeLies.RUN_LINE, count: int = 12) -> Solved:
    """Wickets on a bend, the tape along the run line or along the painted line."""
    base = solved("bend-accelerations")
    return with_plan(
        base,
        drill=WicketRun(speed_share=0.92, wickets=count),
        place=replace(base.plan.place, landmark=None, mark="w1", offset_m=55.0),
        tape=TapeSpec(lies=lies),
    )


CASES = {
    **{name: (lambda name=name: solved(name)) for name in PLANS},
    "tuesday in feet": lambda: in_half_inches(solved("tuesday-wickets")),
    "season in feet": lambda: in_half_inches(solved("season-stages")),
    "shared in feet": lambda: in_half_inches(solved("shared-lanes")),
    "hard names": squad,
    "hard names in feet": lambda: in_half_inches(squad()),
    "shared with hard names": lambda: renamed(solved("shared-lanes"), NAMES),
    "flying": lambda: drill(FlyingSegment()),
    "broken run": lambda: drill(BrokenRun(), offset=-70.0),
    "acceleration": lambda: drill(AccelerationMarks(), offset=-80.0),
    "many steps in feet": lambda: in_half_inches(drill(AccelerationMarks(steps=20), offset=-80.0)),
    "take-off run": lambda: drill(
        TakeoffRun(speed_share=0.9, approach_steps=14, takeoff_foot=Foot.LEFT),
        ground=Runway(),
        place=Place(),
    ),
    "lanes of a hall": lambda: drill(
        solved("fixed-cadence").plan.drill,
        ground=Strip(lanes=4, surface=Surface.HALL, length_m=90.0),
        place=Place(lanes=(2,)),
    ),
    "free zero": lambda: drill(solved("fixed-cadence").plan.drill, ground=Strip(), place=Place()),
    "wickets on a bend": bend_wickets,
    "wickets on a bend, painted line": lambda: bend_wickets(TapeLies.PAINTED_LINE),
    "bend in feet": lambda: in_half_inches(bend_wickets()),
    "against the line": lambda: with_plan(
        solved("fixed-cadence"),
        place=Place(line="home straight", lanes=(4,), offset_m=-60.0, direction=Direction.AGAINST),
    ),
    "both ways": lambda: with_plan(
        solved("fixed-cadence"),
        drill=replace(solved("fixed-cadence").plan.drill, gaps=GapRule.EVEN),
        kit=replace(solved("fixed-cadence").plan.kit, falls_both_ways=True),
        place=Place(line="home straight", lanes=(4,), offset_m=-60.0, direction=Direction.BOTH),
    ),
    "the tape ends among the wickets": lambda: short_tape(Tick.CM_1),
    "the tape ends, in feet": lambda: short_tape(Tick.QUARTER_INCH),
    "no wickets left": lambda: with_plan(
        solved("fixed-cadence"),
        kit=replace(solved("fixed-cadence").plan.kit, wickets=4),
    ),
}


_ON = {name: PAPERS[index % len(PAPERS)] for index, name in enumerate(CASES)}
PRODUCT = [
    pytest.param(
        name, paper, marks=() if paper == _ON[name] else pytest.mark.slow, id=f"{name}-{paper}"
    )
    for name in CASES
    for paper in PAPERS
]
"""Each case on one paper, in turn; the full product is for the slow run."""


def in_turn(names, papers=PAPERS):
    """Each name on one of the papers, in turn; all of them on all are for the slow run."""
    return [
        pytest.param(
            *name, paper, marks=() if paper == papers[index % len(papers)] else pytest.mark.slow
        )
        for index, name in enumerate(names)
        for paper in papers
    ]


@cache
def case(name: str) -> Solved:
    return CASES[name]()


@cache
def sheets_of(name: str, paper: str, kinds: tuple[str, ...] = ALL):
    """Sheets of a case, made once; asked for by name, so that all of them are there."""
    made = make_pages(case(name), only=[*kinds, kinds[0]], paper=paper)
    return tuple(each for each in made if each.kind != "blank")


def pdf_of(what: Solved, **options: object) -> bytes:
    stream = io.BytesIO()
    write_pdf(make_pages(what, **options), stream)
    return stream.getvalue()


def as_written(text: str) -> str:
    """A printed text as files and the screen write it: 10½ in is 10 1/2 in."""
    spaced = re.sub("(?<=[0-9])(?=[½¼¾])", " ", text)
    for glyph in "½¼¾":
        parts = unicodedata.normalize("NFKC", glyph).replace("\N{FRACTION SLASH}", "/")
        spaced = spaced.replace(glyph, parts)
    return spaced


def texts(page: Page) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text)]


def words(sheet) -> str:
    """All texts of a sheet in one string."""
    return " ".join(as_written(item.text) for page in sheet.pages for item in texts(page))


def left_mm(item: Text) -> float:
    wide = fonts.width_mm(item.role.face, item.text, item.size_pt)
    return item.x_mm - {Align.LEFT: 0.0, Align.CENTRE: wide / 2, Align.RIGHT: wide}[item.align]


def box_mm(item: Text) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the ink of a text: capitals above, tails below the line."""
    wide = fonts.width_mm(item.role.face, item.text, item.size_pt)
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


def assert_fits(sheet, size) -> None:
    """No two texts of a sheet overlap, and nothing leaves the margins of its paper."""
    low, right = size.margin_mm - 1.0, size.width_mm - size.margin_mm + 1.0
    bottom = size.height_mm - size.margin_mm + 1.0
    for page in sheet.pages:
        assert (page.width_mm, page.height_mm) == (size.width_mm, size.height_mm)
        for item in page.items:
            x1, y1, x2, y2 = extent_mm(item)
            assert x1 >= low, (sheet.title, item)
            assert y1 >= low, (sheet.title, item)
            assert x2 <= right, (sheet.title, item)
            assert y2 <= bottom, (sheet.title, item)
        placed = sorted(
            ((box_mm(item), item.text) for item in texts(page)), key=lambda each: each[0][1]
        )
        for index, (box, text) in enumerate(placed):
            for other, other_text in placed[index + 1 :]:
                if other[1] >= box[3] - 0.05:
                    break
                apart = other[0] >= box[2] - 0.05 or box[0] >= other[2] - 0.05
                assert apart, f"{sheet.title}: {text!r} and {other_text!r}"


def rows_of(page: Page, *, tolerance_mm: float = 0.3) -> list[list[str]]:
    """Texts of a page as lines, from the top down and from left to right."""
    lines: list[list[Text]] = []
    for item in sorted(texts(page), key=lambda each: each.y_mm):
        if lines and abs(lines[-1][0].y_mm - item.y_mm) <= tolerance_mm:
            lines[-1].append(item)
        else:
            lines.append([item])
    return [[as_written(item.text) for item in sorted(line, key=left_mm)] for line in lines]


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
        found.append((mark.text, " ".join(as_written(part.text) for part in parts)))
    return found
