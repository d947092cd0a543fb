"""The coach sheet: one athlete, what is known, what to expect, what to do when it is not so."""

from __future__ import annotations

import dataclasses
import math
from typing import TYPE_CHECKING

from wicketlay.sheets.advice import sentence_box, what_to_do
from wicketlay.sheets.coach_facts import facts_of
from wicketlay.sheets.drawings.chart import draw_chart
from wicketlay.sheets.furniture import GAP_MM, finding_lines, frame, heading
from wicketlay.sheets.page.flow import Block, fewest, paginate, paragraph, space
from wicketlay.sheets.page.layout import Pen, cap_mm
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.setting import Setting, expected_time_s, findings_of, worth_timing
from wicketlay.sheets.step_pattern import is_takeoff, miss_label
from wicketlay.sources import Judgement, default_of
from wicketlay.units import format_duration, format_time
from wicketlay.wording import fill

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.sheets.page.layout import Paper
    from wicketlay.solve import Demand


TRIES = (*((mm, Role.NAME) for mm in (68.0, 60.0, 52.0, 46.0, 40.0)), (40.0, Role.STRONG))
"""Height of the picture and size of the athlete's words, the most generous first."""


def coach_sheet(setting: Setting, demand: Demand) -> Sheet:
    """Return the coach sheet of one athlete on a laying, which may be laid.

    The picture gives way, down to its least height, and then the words, when that saves a page.
    """
    name = demand.athlete.name
    sheet_frame = frame(setting, "coach sheet", heading=name)
    pages = fewest(paginate(_parts(setting, demand, *each), sheet_frame) for each in TRIES)
    return Sheet(kind="coach", group=setting.short_place, title=f"coach sheet, {name}", pages=pages)


def _parts(setting: Setting, demand: Demand, picture_mm: float, words: Role) -> list[Block]:
    letter = f" · START MARK {demand.letter}" if demand.letter else ""
    place = f"Coach sheet · {setting.place}{letter}"
    found = findings_of(setting, demand)
    findings: list[Block] = []
    if found:
        lines = finding_lines(found, setting.paper, setting.unit)
        findings = [heading("Findings", setting.paper), *lines, space(1.0)]
    return [
        paragraph(place, Role.STRONG, setting.paper, below_mm=0.4),
        *facts_of(setting, demand),
        space(GAP_MM),
        Block(
            height_mm=picture_mm + GAP_MM,
            draw=lambda pen, y: draw_chart(pen, setting, demand, y, picture_mm),
        ),
        *_efforts(setting, demand),
        *what_to_do(setting, demand),
        *findings,
        sentence_box(setting, demand, words),
        *_small_print(setting, demand),
    ]


# -- the efforts ------------------------------------------------------------------------------


def _efforts(setting: Setting, demand: Demand) -> list[Block]:
    wished = setting.solved.plan.session
    paper = setting.paper
    session = setting.solved.session
    loads = () if session is None else session.loads
    load = next((each for each in loads if each.athlete == demand.athlete.name), None)
    count = setting.solved.efforts
    recovery_s = wished.recovery_s if load is None else load.recovery_s
    told = ["Runs"]
    if worth_timing(demand.layout):
        told.append(f"expected {format_time(expected_time_s(setting, demand))}")
    if recovery_s is not None:
        told.append(f"recovery {format_duration(recovery_s)}")
    title = " · ".join(told)
    if paper.screen:
        return [paragraph(f"{title}, {count} in all.", Role.STRONG, paper, below_mm=1.6)]
    most = 6 if paper.compact else 10
    across = max(math.ceil(count / math.ceil(count / most)), 4)
    miss = ((6.0, miss_label(setting.unit)),) if is_takeoff(demand) else ()
    rows = ((4.6, "run"), (8.0, "time, s"), *miss, (6.0, "note"))
    boxes = (
        _effort_boxes(paper, first, min(count - first, across), across, rows)
        for first in range(0, count, across)
    )
    return [heading(title, paper, rule=False), *boxes, space(1.0)]


def _effort_boxes(
    paper: Paper, first: int, count: int, across: int, rows: Sequence[tuple[float, str]]
) -> Block:
    """Return a strip of boxes a run, each `rows` high, with its number and what is written in."""
    label_mm = 12.0
    left = paper.left_mm
    width = (paper.inner_mm - label_mm) / across
    strong, size = Role.LABEL_STRONG, Role.LABEL.large_pt

    def draw(pen: Pen, y: float) -> None:
        top = y
        for row, (height, label) in enumerate(rows):
            baseline = top + (height + cap_mm(size)) / 2
            pen.text(left, baseline, label, Role.LABEL, size_pt=size)
            for column in range(count):
                x = left + label_mm + column * width
                pen.rect(x, top, width, height, line_mm=0.25)
                number = str(first + column + 1) if row == 0 else ""
                middle = x + width / 2
                pen.text(middle, baseline, number, strong, size_pt=size, align=Align.CENTRE)
            top += height

    return Block(height_mm=sum(height for height, _ in rows) + 1.4, draw=draw)


# -- defaults ----------------------------------------------------------------------------------


def _small_print(setting: Setting, demand: Demand) -> list[Block]:
    defaults = {**demand.runner.defaults, **demand.layout.defaults}
    if not defaults:
        return []
    shown = "; ".join(
        f"{_fact_name(key, demand)} {fill('{' + key + '}', {key: value}, setting.unit)}"
        for key, value in defaults.items()
    )
    text = f"Defaults, where nothing else is given: {shown}."
    return [paragraph(text, Role.LABEL, setting.paper, below_mm=0.8)]


_UNIT_ENDINGS = frozenset({"m", "mps", "hz", "share", "s", "mm", "deg"})


def _fact_name(key: str, demand: Demand) -> str:
    """Return what a default means: a judgement's own words, else its key without the unit."""
    if key == "entry_share" and demand.appraisal is None:
        return "speed where the zone opens, of the speed built towards"
    judged = {each.name: each for each in dataclasses.fields(Judgement)}
    if key in judged:
        return default_of(judged[key]).meaning
    words = key.split("_")
    return " ".join(words[:-1] if words[-1] in _UNIT_ENDINGS and len(words) > 1 else words)
