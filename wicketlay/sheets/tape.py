"""The tape sheet: what one assistant needs to lay one lane, alone, in the cold."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.sheets.furniture import (
    Setting,
    along_of,
    banner,
    expected_time_s,
    findings_of,
    frame,
    letter_of,
    mark_text,
    zone_marks,
)
from wicketlay.sheets.layout import (
    Block,
    Pen,
    Table,
    cap_mm,
    line_mm,
    paginate,
    paragraph,
    wrap,
)
from wicketlay.sheets.pages import Role, Sheet, Text
from wicketlay.sheets.pulls import (
    centred_lines,
    cone_on_tape_m,
    is_relaid,
    pegs_of,
    pull_table,
    rough,
)
from wicketlay.sheets.strip import has_slow_down, stop_along_m
from wicketlay.sheets.zero_box import zero_box
from wicketlay.units import (
    FOOT_M,
    UnitSystem,
    format_length,
    format_move,
    format_time,
)
from wicketlay.wording.cautions import FOR_THE_ASSISTANT

if TYPE_CHECKING:
    from wicketlay.sheets.layout import Paper
    from wicketlay.sheets.pages import Page
    from wicketlay.solve import Demand

ROW_MM = (10.0, 9.5, 9.0, 8.5, 8.0)
"""Heights of a row, the most generous first."""


def tape_sheet(setting: Setting) -> Sheet:
    """Return the tape sheet of one laying."""
    stops = [f for f in findings_of(setting) if f.level is Level.STOP]
    if stops:
        blocks = banner(stops, setting.paper, setting.unit)
        pages = paginate(blocks, frame(setting, "tape sheet"))
    else:
        pages = _best_pages(setting)
    return Sheet(kind="tape", group=setting.short_place, title="tape sheet", pages=pages)


def _best_pages(setting: Setting) -> tuple[Page, ...]:
    """Return the pages with the highest rows that cost no page and break no table earlier."""

    def cost(pages: tuple[Page, ...]) -> tuple[int, int]:
        first = sum(isinstance(i, Text) and i.role is Role.READING for i in pages[0].items)
        return len(pages), -first

    tightest = _pages(setting, ROW_MM[-1])
    for row_mm in ROW_MM[:-1]:
        pages = _pages(setting, row_mm)
        if cost(pages) == cost(tightest):
            return pages
    return tightest


def _pages(setting: Setting, row_mm: float) -> tuple[Page, ...]:
    parts: list[Block | Table] = [_carry(setting), zero_box(setting)]
    checked = False
    for pull in setting.laying.tape.pulls:
        parts.append(pull_table(setting, pull, row_mm))
        if not checked and any(r.mark_id == _check_pair(setting)[1] for r in pull.readings):
            parts.append(_closing_check(setting))
            checked = True
    parts += _slow_down_note(setting)
    parts += [*_cautions(setting), _zone_and_time(setting), _last_ticks(setting.paper)]
    return paginate(parts, frame(setting, "tape sheet"))


def _carry(setting: Setting) -> Block:
    laying, plan = setting.laying, setting.solved.plan
    wickets = len(laying.layout.of_kind(MarkKind.WICKET))
    hurdles = min(wickets, plan.kit.wickets)
    starts = laying.layout.of_kind(MarkKind.START)
    letters = sorted(mark_text(m.id, letter_of(laying, m.id)) for m in starts)
    named = f" ({', '.join(letters)})" if len(letters) > 1 else ""
    others = len(laying.layout.of_kind(MarkKind.CONE, MarkKind.GATE))
    cones = len(starts) + (1 if has_slow_down(setting) else 0) + others
    pegs = max(pegs_of(setting, pull) for pull in laying.tape.pulls)
    items = [
        f"{_count(hurdles, 'wicket')} (low hurdles)" if wickets else "",
        f"{_count(wickets - hurdles, 'chalk mark')}" if wickets > hurdles else "",
        f"{_count(cones, 'cone')}{named}",
        _count(pegs, "peg") if pegs else "",
        f"tape, {_tape_length(setting)}",
        "this sheet and a pencil",
    ]
    text = "Carry: " + " · ".join(item for item in items if item)
    if is_relaid(setting):
        gone = [mark_text(each.mark_id) for each in laying.moved if each.taken_up]
        up = f" Take up {', '.join(gone)}." if gone else ""
        text = f"The marks of wave {laying.wave - 1} lie here: move them as told.{up} {text}"
    return paragraph(text, Role.BODY, setting.paper, below_mm=0.6)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" + ("" if number == 1 else "s")


def _tape_length(setting: Setting) -> str:
    length = setting.laying.tape.spec.length_m
    if setting.unit is UnitSystem.METRIC:
        return format_length(length, setting.unit, places=0)
    return f"{math.floor(length / float(FOOT_M) + 1e-6)} ft"


def _slow_down_note(setting: Setting) -> list[Block]:
    """Return where the slow-down cone stands when no pull reaches it."""
    if not has_slow_down(setting):
        return []
    pulls = setting.laying.tape.pulls
    if any(cone_on_tape_m(setting, pull) is not None for pull in pulls):
        return []
    last = mark_text(setting.laying.layout.marks[-1].id)
    beyond = stop_along_m(setting) - float(setting.laying.layout.marks[-1].along_m)
    steps = math.ceil(beyond)
    text = (
        f"SLOW-DOWN CONE: {rough(beyond, setting.unit)} past {last}, beyond the tape: "
        f"count {steps} long steps."
    )
    return [paragraph(text, Role.STRONG, setting.paper, above_mm=0.6)]


def _check_pair(setting: Setting) -> tuple[str, str]:
    """Return the two marks of the closing check: W5 and W10, or a shorter pair inside."""
    marks = [mark.id for mark in zone_marks(setting.laying.layout)]
    if len(marks) >= 10:
        return marks[4], marks[9]
    if len(marks) >= 4:
        return marks[1], marks[-2]
    if len(marks) >= 2:
        return marks[0], marks[-1]
    return setting.laying.layout.marks[0].id, setting.laying.layout.marks[-1].id


def _closing_check(setting: Setting) -> Block:
    laying = setting.laying
    first, second = _check_pair(setting)
    apart = abs(along_of(laying.layout, second) - along_of(laying.layout, first))
    tick_mm = 1000 * laying.tape.spec.tick.metres
    error = sum(laying.tape.reading(mark)[1].error_mm for mark in (first, second))
    within = math.ceil(error / tick_mm - 1e-9) * tick_mm / 1000
    text = f"{mark_text(first)} to {mark_text(second)} = {setting.length(apart)}"
    wickets = len(laying.layout.of_kind(MarkKind.WICKET))
    rest = f"right within {format_move(within, setting.unit)}"
    if wickets:
        rest += f"; hurdles left over: {max(setting.solved.plan.kit.wickets - wickets, 0)}"
    rest += ". Wrong: redo, do not adjust."
    paper = setting.paper
    size = Role.NAME.small_pt if paper.compact else Role.NAME.large_pt
    body = Role.BODY.small_pt
    height = 8.0

    def draw(pen: Pen, y: float) -> None:
        pen.tick_box(paper.left_mm + 0.6, y + (height - 5.0) / 2)
        x = paper.left_mm + (7.5 if paper.compact else 9.0)
        baseline = y + (height + cap_mm(size)) / 2
        wide = pen.text(x, baseline, text, Role.NAME, size_pt=size)
        room = paper.right_mm - x - wide - 4.0
        lines = wrap(rest, Role.BODY, body, room)
        centred_lines(pen, x + wide + 4.0, (y, height), lines, (Role.BODY, body))

    return Block(height_mm=height + 0.4, draw=draw)


def _cautions(setting: Setting) -> list[Block]:
    low, closed, surface = FOR_THE_ASSISTANT
    texts = [low] if setting.laying.layout.of_kind(MarkKind.WICKET) else []
    if has_slow_down(setting):
        layout = setting.laying.layout
        least = rough(layout.run_out_least_m, setting.unit)
        last = mark_text(layout.marks[-1].id)
        closed += f" Slow-down: to the cone, never less than {least} past {last}."
    texts += [closed, surface]
    paper = setting.paper
    size = Role.BODY.small_pt
    lines = [line for text in texts for line in wrap(f"! {text}", Role.BODY, size, paper.inner_mm)]

    def draw(pen: Pen, y: float) -> None:
        pen.lines(paper.left_mm, y + 1.0 + cap_mm(size), lines, Role.BODY, size_pt=size)

    return [Block(height_mm=len(lines) * line_mm(size) + 1.0, draw=draw)]


def _zone_and_time(setting: Setting) -> Block:
    layout = setting.laying.layout
    marks = zone_marks(layout)
    first, last = mark_text(marks[0].id), mark_text(marks[-1].id)
    zone = setting.length(abs(float(marks[-1].along_m - marks[0].along_m)))
    times = ", ".join(_time_of(setting, demand) for demand in setting.laying.demands)
    text = f"{first} to {last} = {zone}. Time expected: {times}."
    return paragraph(text, Role.BODY, setting.paper, small=True, below_mm=0.6)


def _time_of(setting: Setting, demand: Demand) -> str:
    time = format_time(expected_time_s(demand))
    return f"{demand.athlete.name} {time}" if len(setting.laying.demands) > 1 else time


def _last_ticks(paper: Paper) -> Block:
    size = Role.FIGURE_STRONG.small_pt if paper.compact else Role.FIGURE_STRONG.large_pt
    height = 7.0

    def draw(pen: Pen, y: float) -> None:
        pen.line(paper.left_mm, y, paper.right_mm, y, width_mm=0.5)
        for index, text in enumerate(("tape up", "lane closed", "coach told")):
            x = paper.column_mm(index / 3)
            pen.tick_box(x + 0.6, y + 1.6)
            pen.text(
                x + 8.0, y + 1.6 + (5.0 + cap_mm(size)) / 2, text, Role.FIGURE_STRONG, size_pt=size
            )

    return Block(height_mm=height, draw=draw)
