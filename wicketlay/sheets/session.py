"""The session sheet: laying, runs and moves in order of time, with boxes to tick."""

from __future__ import annotations

import math
from itertools import groupby
from typing import TYPE_CHECKING

from wicketlay.session.schedule import EventKind
from wicketlay.sheets.furniture import (
    GAP_MM,
    athlete_column,
    boxed,
    finding_lines,
    heading,
    plan_frame,
)
from wicketlay.sheets.page.flow import Block, paginate, paragraph, space
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Column, filled, style_for, text_table
from wicketlay.sources import DEFAULTS
from wicketlay.units import format_count, format_duration
from wicketlay.wording.names import about_text
from wicketlay.wording.places import lane_cell
from wicketlay.wording.runs import recovery_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wicketlay.session.session import Event, Session
    from wicketlay.sheets.page.flow import Table
    from wicketlay.sheets.setting import PlanSetting


_TICK_MM = 4.2
_NAME_MM = 20.0
"""Left edge of a name in its cell, after box and time."""


def session_sheet(setting: PlanSetting) -> Sheet:
    """Return the timetable of a session; the plan must have one."""
    session = setting.solved.session
    parts: list[Block | Table] = []
    if session is None:
        parts.append(paragraph("Nobody runs.", Role.NAME, setting.paper))
    else:
        parts += [boxed(_facts(setting, session), setting.paper), *_timetable(setting, session)]
        parts += [space(GAP_MM), heading("What each one does", setting.paper, rule=False)]
        parts.append(_loads(setting, session))
        if session.findings:
            parts += [space(GAP_MM), heading("Findings", setting.paper)]
            parts += finding_lines(session.findings, setting.paper, setting.unit)
    pages = paginate(parts, plan_frame(setting, "Session", "session sheet"))
    return Sheet(kind="session", group="whole plan", title="session sheet", pages=pages)


def minutes_up(time_s: float) -> float:
    """Return a time up to the next whole minute [s]."""
    return math.ceil(time_s / 60.0 - 1e-9) * 60.0


def verdict(session: Session) -> str:
    """Return how long it takes and whether that fits."""
    return fits_text(session.total_s, session.length_s)


def fits_text(total_s: float, length_s: float | None) -> str:
    """Return whether what takes so long fits into so much time [s]."""
    up_s = minutes_up(total_s)
    total = f"From laying to the last run {format_duration(up_s)}"
    if length_s is None:
        return f"{total}; no length is given."
    if total_s <= length_s:
        spare = format_duration(max(math.floor((length_s - up_s) / 60.0), 0) * 60.0)
        return f"{total} of {format_duration(length_s)}: it fits, {spare} to spare."
    over = format_duration(minutes_up(total_s - length_s))
    return f"{total} of {format_duration(length_s)}: DOES NOT FIT, {over} over."


def _facts(setting: PlanSetting, session: Session) -> list[tuple[str, Role]]:
    """Return whether it fits, and what it is made of."""
    judgement = setting.solved.plan.judgement
    per_mark = float(judgement.seconds_per_mark)
    whose = "our judgement" if per_mark == float(DEFAULTS.seconds_per_mark) else "your figure"
    assistants = setting.solved.plan.session.assistants
    each = f"{format_count(session.efforts, 'run')} each"
    if session.efforts_a_visit != session.efforts:
        each += f", {session.efforts_a_visit} before the marks are moved"
    rest = recovery_text(session)
    moved = f", {session.marks_moved} moved later" if session.marks_moved else ""
    first = format_duration(minutes_up(session.laying_s))
    hands = f"{assistants} assistant{'' if assistants == 1 else 's, a tape each'}"
    texts = (
        f"{each}. {session.marks_laid} marks laid{moved}; first run after {first}. Warm-up and "
        "taking up are not in it.",
        f"{rest}." if rest else "",
        f"{per_mark:g} s a mark ({whose}), {hands}.",
    )
    return [(verdict(session), Role.NAME), *((text, Role.BODY) for text in texts if text)]


# -- the timetable ----------------------------------------------------------------------------


def clock_text(time_s: float) -> str:
    """Return a time of the session as minutes and seconds: 0:00, 62:30."""
    minutes, seconds = divmod(round(time_s), 60)
    return f"{minutes}:{seconds:02d}"


def bouts(events: Sequence[Event]) -> Iterator[tuple[Event, ...]]:
    """Put runs that follow each other together; laying and moving marks stand alone."""
    for runs, together in groupby(events, key=lambda event: event.kind is EventKind.RUN):
        if runs:
            yield tuple(together)
        else:
            yield from ((event,) for event in together)


def _timetable(setting: PlanSetting, session: Session) -> list[Block]:
    title = "Timetable · minutes and seconds from the first mark laid"
    blocks = [heading(title, setting.paper)]
    lanes = len({event.lane for event in session.events}) > 1
    across = _across(setting, session, lanes=lanes)
    for bout in bouts(session.events):
        if bout[0].kind is not EventKind.RUN:
            blocks.append(_marks_block(setting, bout[0], lanes=lanes))
            continue
        blocks += [
            _run_block(setting, bout[first : first + across], across, lanes=lanes)
            for first in range(0, len(bout), across)
        ]
    return blocks


def _note(run: Event, *, lanes: bool) -> str:
    """Return what stands beside a name: which of the athlete's runs it is, and where."""
    return f"run {run.effort}{f', lane {run.lane}' if lanes else ''}"


def _room_mm(setting: PlanSetting, runs: Sequence[Event], across: int, *, lanes: bool) -> float:
    """Return how wide a name may be when so many runs stand side by side [mm]."""
    label = Role.LABEL.small_pt
    note_mm = max(width_mm(_note(run, lanes=lanes), Role.LABEL, label) for run in runs) + 4.5
    return setting.paper.inner_mm / across - _NAME_MM - note_mm


def _across(setting: PlanSetting, session: Session, *, lanes: bool) -> int:
    """Return how many runs stand side by side: as many as leave every name's words whole."""
    runs = [event for event in session.events if event.kind is EventKind.RUN]
    size = setting.paper.size_pt(Role.BODY)
    words = {word for run in runs for word in run.athlete.split()}
    widest = max((width_mm(word, Role.STRONG, size) for word in words), default=0.0)
    most = 2 if setting.paper.compact else 3
    fits = (n for n in range(most, 1, -1) if widest <= _room_mm(setting, runs, n, lanes=lanes))
    return next(fits, 1)


def _marks_block(setting: PlanSetting, event: Event, *, lanes: bool) -> Block:
    paper = setting.paper
    size = paper.size_pt(Role.STRONG)
    what = "lay" if event.kind is EventKind.LAY else "move"
    waves = len({each.wave for each in setting.layings}) > 1
    count = format_count(event.marks, "mark")
    where = f", lane {event.lane}" if lanes else ""
    whose = f", for wave {event.wave}" if waves else ""
    took = format_duration(event.end_s - event.start_s)
    text = f"{what.upper()} {count}{where}{whose} ({took})"
    lines = wrap(text, Role.STRONG, size, paper.inner_mm - 21.0)
    height = max(6.0, len(lines) * line_mm(size) + 1.4)

    def draw(pen: Pen, y: float) -> None:
        block = cap_mm(size) + (len(lines) - 1) * line_mm(size)
        baseline = y + (height - block) / 2 + cap_mm(size)
        pen.tick_box(paper.left_mm + 0.4, y + (height - _TICK_MM) / 2, _TICK_MM)
        time = clock_text(event.start_s)
        pen.text(paper.left_mm + 18.0, baseline, time, Role.STRONG, align=Align.RIGHT)
        pen.lines(paper.left_mm + 21.0, baseline, lines, Role.STRONG)
        below = y + height
        pen.line(paper.left_mm, below, paper.right_mm, below, width_mm=0.5)

    return Block(height_mm=height, draw=draw, keeps_next=True)


def _run_block(setting: PlanSetting, runs: Sequence[Event], across: int, *, lanes: bool) -> Block:
    """Return a line of runs side by side, each with its box, time, name, number and lane."""
    paper = setting.paper
    size = paper.size_pt(Role.BODY)
    label = Role.LABEL.small_pt
    cell = paper.inner_mm / across
    notes = [_note(run, lanes=lanes) for run in runs]
    room = _room_mm(setting, runs, across, lanes=lanes)
    names = [wrap(run.athlete, Role.STRONG, size, room) for run in runs]
    height = max(6.0, max(len(lines) for lines in names) * line_mm(size) + 1.6)

    def draw(pen: Pen, y: float) -> None:
        for column, (run, lines, note) in enumerate(zip(runs, names, notes, strict=True)):
            x = paper.left_mm + column * cell
            middle = y + (height + cap_mm(size)) / 2
            pen.tick_box(x + 0.4, y + (height - _TICK_MM) / 2, _TICK_MM)
            time = clock_text(run.start_s)
            pen.text(x + 18.0, middle, time, Role.BODY, align=Align.RIGHT)
            pen.centred(x + _NAME_MM, (y, height), lines, Role.STRONG)
            right = x + cell - (0.0 if column + 1 == across else 3.0)
            pen.text(right, middle, note, Role.LABEL, size_pt=label, align=Align.RIGHT)
        below = y + height
        pen.line(paper.left_mm, below, paper.right_mm, below, width_mm=0.15)

    return Block(height_mm=height, draw=draw)


# -- what each one does -----------------------------------------------------------------------


def _loads(setting: PlanSetting, session: Session) -> Table:
    course = setting.layings[0].placed.course
    rows = [
        (
            load.athlete,
            lane_cell(course, load.lane),
            str(load.wave),
            str(load.efforts),
            format_duration(load.recovery_s),
            format_duration(load.longest_wait_s),
            about_text(load.sprint_m, setting.unit),
            about_text(load.zone_m, setting.unit),
            load.work.value,
        )
        for load in session.loads
    ]
    columns = (
        athlete_column(26.0, share=1.5),
        *(Column(title=title, share=0.2) for title in ("lane", "wave", "runs")),
        *(Column(title=title, share=0.4) for title in ("recovery", "longest wait")),
        *(Column(title=title, share=0.3) for title in ("sprinted", "between marks")),
        Column(title="kind of work", share=0.4, align=Align.LEFT, wraps=True, least_mm=18.0),
    )
    return text_table(setting.paper, *filled(columns, rows), style_for(setting.paper))
