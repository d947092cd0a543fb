"""The coach's page: a row an athlete with boxes for the runs, and the timetable below."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.board_misses import slide_told
from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.ground.placed import LINE
from wicketlay.lanes.closing import apart_m, run_on_shown_m
from wicketlay.session.schedule import EventKind
from wicketlay.sheets.advice import athlete_sentence
from wicketlay.sheets.change_card import ROWS_MM, card_parts
from wicketlay.sheets.furniture import (
    GAP_MM,
    as_sentence,
    finding_lines,
    heading,
    plan_frame,
    told_lines,
)
from wicketlay.sheets.page.flow import (
    Block,
    Table,
    fewest,
    nothing,
    page_break,
    paginate,
    paragraph,
    space,
)
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, wrap
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Cell, Column, Row, Style, style_for, text_table
from wicketlay.sheets.session import bouts, clock_text, verdict
from wicketlay.sheets.setting import Setting, expected_time_s, gap_sd_text, worth_timing
from wicketlay.sheets.slow_down import slow_down_text
from wicketlay.sheets.squad import left_out
from wicketlay.sheets.step_pattern import is_takeoff, miss_label, miss_typed
from wicketlay.units import format_cadence, format_count, format_duration, format_time
from wicketlay.values import replace
from wicketlay.wording.names import cadence_seen, mark_label
from wicketlay.wording.places import lane_cell, strip_text
from wicketlay.wording.runs import recovery_text, unnamed
from wicketlay.wording.solved import told_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wicketlay.session.session import Event, Session
    from wicketlay.sheets.page.flow import Frame
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.page.model import Page
    from wicketlay.sheets.setting import PlanSetting
    from wicketlay.solve import Demand


BOX_MM = (29.0, 10.0)
"""A box for a time, wide and high enough for a cold hand."""
_NOTE_MM = 6.0
_LABEL_MM = 11.0


def practice_sheet(
    setting: PlanSetting, settings: Sequence[Setting], card: Setting | None = None
) -> Sheet:
    """Return the coach's page of a practice.

    Parameters
    ----------
    settings
        Its layings in the order of laying.
    card
        The laying whose change card stands below, so that one page holds all.
    """
    parts: list[Block | Table] = [*_verdict(setting), *_findings(setting, settings, asking=True)]
    parts += _athletes(setting, settings)
    parts += left_out(setting)
    session = setting.solved.session
    timetable: list[Block | Table] = []
    if session is not None and setting.alone:
        timetable = [space(GAP_MM), *_timetable(setting, session)]
    notes = (space(GAP_MM), *_findings(setting, settings, asking=False))
    sheet_frame = plan_frame(setting, "Practice", "coach's page")
    pages = paginate([*parts, *timetable, *notes], sheet_frame)
    if len(pages) > len(paginate([*parts, *timetable], sheet_frame)):
        # Notes alone on a page are not read: what is looked at again and again goes there.
        parts += [*notes, *timetable]
        pages = paginate(parts, sheet_frame)
    else:
        parts += [*timetable, *notes]
    return _with_card(parts, pages, card, sheet_frame)


def _with_card(
    parts: Sequence[Block | Table],
    pages: tuple[Page, ...],
    card: Setting | None,
    sheet_frame: Frame,
) -> Sheet:
    """Return the coach's page with a change card below, or begun on a page of its own."""
    if card is not None:
        cards = [card_parts(card, row_mm) for row_mm in ROWS_MM]
        together = paginate([*parts, space(GAP_MM), *cards[0]], sheet_frame)
        if len(together) > len(pages):
            tries = (paginate([*parts, page_break(), *each], sheet_frame) for each in cards)
            together = fewest(tries)
        pages = together
    return Sheet(kind="practice", group="coach's packet", title="coach's page", pages=pages)


def _verdict(setting: PlanSetting) -> list[Block]:
    session = setting.solved.session
    if session is None:
        return [paragraph("Nobody runs.", Role.NAME, setting.paper)]
    rest = recovery_text(session)
    return [
        paragraph(verdict(session), Role.STRONG, setting.paper, below_mm=1.2),
        *([paragraph(f"{rest}.", Role.BODY, setting.paper, small=True)] if rest else []),
        *finding_lines(session.ways, setting.paper, setting.unit),
    ]


def _findings(
    setting: PlanSetting, settings: Sequence[Setting], *, asking: bool
) -> tuple[Block, ...]:
    """Return what the checks say: what asks for something above the runs, notes below them."""
    session = setting.solved.session
    above = () if session is None else session.ways
    lines = told_of(setting.solved, [each.laying for each in settings], but=above)
    shown = [line for line in lines if (line[0] is not Level.NOTE) is asking]
    return (*told_lines(shown, setting.paper), space(1.0)) if shown else ()


# -- the athletes ------------------------------------------------------------------------------


def _athletes(setting: PlanSetting, settings: Sequence[Setting]) -> list[Block | Table]:
    """Return a row an athlete, and below each the boxes of the runs and the sentence."""
    runs = [
        (each, demand)
        for each in settings
        for demand in each.laying.demands
        if setting.athlete in {None, demand.athlete.name}
    ]
    if not runs:
        return []
    below = [_below(setting, each, demand) for each, demand in runs]
    facts = [_facts(each, demand) for each, demand in runs]
    used = [at for at in range(len(_TITLES)) if any(row[at] for row in facts)]
    if setting.paper.compact:
        # Too narrow for columns: the same facts run on, each with its name.
        rows = [
            paragraph(
                [_said(_TITLES[at], row[at]) for at in used if row[at]],
                Role.STRONG,
                setting.paper,
                above_mm=1.0,
                below_mm=0.8,
            )
            for row in facts
        ]
        head = nothing()
    else:
        columns = [
            Column(
                title=_TITLES[0], share=1.0, align=Align.LEFT, wraps=True, names=True, least_mm=24.0
            ),
            *(Column(title=_TITLES[at], share=0.2) for at in used[1:]),
        ]
        style = Style(size_pt=Role.BODY.small_pt, row_mm=6.4, fives=False, rule_mm=0.0)
        cells = [
            Row(cells=(Cell(text=row[0], role=Role.NAME), *(row[at] for at in used[1:])))
            for row in facts
        ]
        made = text_table(setting.paper, columns, cells, style)
        rows, head = list(made.rows), made.heading
    return [Table(heading=head, rows=tuple(map(_joined, rows, below)))]


def _joined(upper: Block, lower: Block) -> Block:
    """Return two blocks as one that is never broken."""

    def draw(pen: Pen, y: float) -> None:
        upper.draw(pen, y)
        lower.draw(pen, y + upper.height_mm)

    return Block(height_mm=upper.height_mm + lower.height_mm, draw=draw)


_TITLES = (
    *("athlete", "wave", "lane", "start", "steps", "foot in front", "run-on", "approach"),
    *("gaps ±", "steps/s asked", "steps/s seen", "expected", "slow-down"),
)


def _said(title: str, text: str) -> str:
    """Return a fact as it runs on in a line: what names itself has no title."""
    return text if title in {"athlete", "start"} else f"{title.rstrip(' ±')} {text}"


def _facts(setting: Setting, demand: Demand) -> tuple[str, ...]:
    """Return what a coach reads of an athlete at a glance, a text a title."""
    laying = setting.laying
    several = setting.series.waves
    lane = lane_cell(laying.placed.course, laying.lane)
    place = (demand.athlete.name, str(laying.wave) if several else "", lane)
    if setting.stopped:
        return (*place, "DO NOT LAY", *("",) * (len(_TITLES) - 4))
    appraisal = demand.appraisal
    lies = laying.placed.chainages
    steps = gaps = cadence = ""
    if appraisal is not None:
        whole = "" if demand.approach_steps is None else f" of {demand.approach_steps}"
        steps = f"{demand.run_on_steps}{whole}"
        gaps = _gaps(setting, demand)
        if len(appraisal.cadence_hz):
            cadence = format_cadence(demand.cadence_hz, bare=True)
    return (
        *place,
        mark_label(demand.start_id),
        steps,
        "" if demand.front_foot is None else demand.front_foot.value,
        setting.shown(run_on_shown_m(laying, demand.start_id)),
        setting.shown(abs(lies[demand.start_id] - lies[LINE])) if LINE in lies else "",
        gaps,
        cadence,
        cadence_seen(demand.athlete).replace(" steps/s", ""),
        format_time(expected_time_s(setting, demand)) if worth_timing(demand.layout) else "",
        slow_down_text(setting),
    )


def _gaps(setting: Setting, demand: Demand) -> str:
    """Return the first and the last gap as the tape shows them, and how sure the widest is."""
    wickets = setting.laying.layout.of_kind(MarkKind.WICKET)
    if len(wickets) < 2:
        return ""
    ends = [(wickets[0].id, wickets[1].id), (wickets[-2].id, wickets[-1].id)]
    first, last = (setting.shown(apart_m(setting.laying, a, b), bare=True) for a, b in ends)
    return f"{first}{'' if first == last else f' to {last}'}{gap_sd_text(setting, demand)}"


def _below(whole: PlanSetting, setting: Setting, demand: Demand) -> Block:
    """Return the boxes of an athlete's runs, the sentence, and how far the start was slid."""
    paper = setting.paper
    if setting.stopped:
        return Block(height_mm=1.0, draw=lambda pen, y: _rule(pen, paper, y + 1.0))
    # Nothing is written in on a screen.
    written = not paper.screen
    count = whole.solved.efforts if written else 0
    across = max(int((paper.inner_mm - _LABEL_MM + 1e-6) // BOX_MM[0]), 1)
    lines = -(-count // across)
    slid_mm = 34.0 if written else 0.0
    size = Role.BODY.small_pt
    signs = ""
    if is_takeoff(demand) and written:
        signs = f" Miss: over +, short -; typed with its unit, {miss_typed(setting.unit)}."
    slide = slide_told(whole.solved.plan, demand.athlete.name)
    told = athlete_sentence(setting, demand)
    if slide is not None:
        about = unnamed(slide, demand.athlete.name, setting.unit)
        told = f"{told} {as_sentence(about)}"
    text = wrap(told + signs, Role.BODY, size, paper.inner_mm - slid_mm - 4.0)
    boxes_mm = BOX_MM[1] + _NOTE_MM
    slid = "marks slid" if is_takeoff(demand) else "start slid"
    note = miss_label(setting.unit) if is_takeoff(demand) else "note"
    said_mm = max(len(text) * line_mm(size) + 1.4, 6.4)

    def draw(pen: Pen, y: float) -> None:
        for line in range(lines):
            here = range(line * across, min((line + 1) * across, count))
            _boxes(pen, paper, y + line * boxes_mm, here, note)
        at = y + lines * boxes_mm
        pen.lines(paper.left_mm, at + cap_mm(size) + 1.2, text, Role.BODY, size_pt=size)
        if written:
            left = paper.right_mm - slid_mm
            pen.text(left, at + 4.2, slid, Role.LABEL, size_pt=Role.LABEL.small_pt)
            pen.rect(left + 13.0, at + 0.6, slid_mm - 13.0, 5.4, line_mm=0.25)
        _rule(pen, paper, at + said_mm)

    return Block(height_mm=lines * boxes_mm + said_mm, draw=draw)


def _rule(pen: Pen, paper: Paper, y: float) -> None:
    pen.line(paper.left_mm, y, paper.right_mm, y, width_mm=0.5)


def _boxes(pen: Pen, paper: Paper, y: float, runs: range, note: str) -> None:
    """Draw the boxes of some runs: number and time above, a word below."""
    label = Role.LABEL.small_pt
    wide, high = BOX_MM
    for text, middle in (("time, s", high / 2), (note, high + _NOTE_MM / 2)):
        pen.text(paper.left_mm, y + middle + cap_mm(label) / 2, text, Role.LABEL, size_pt=label)
    for column, run in enumerate(runs):
        x = paper.left_mm + _LABEL_MM + column * wide
        pen.rect(x, y, wide, high, line_mm=0.25)
        pen.rect(x, y + high, wide, _NOTE_MM, line_mm=0.25)
        pen.text(x + 1.0, y + 1.0 + cap_mm(label), str(run + 1), Role.LABEL, size_pt=label)


# -- the timetable -----------------------------------------------------------------------------


def _timetable(setting: PlanSetting, session: Session) -> list[Block | Table]:
    """Return the timetable: a column a lane, time downwards; of one lane three runs a line."""
    printed = {(laying.lane, laying.wave) for laying in setting.layings}
    events = [event for event in session.events if (event.lane, event.wave) in printed]
    lanes = sorted({event.lane for event in events})
    course = setting.layings[0].placed.course
    titles = [strip_text(course, lane) for lane in lanes]
    if len(lanes) == 1 and not setting.paper.compact:
        titles += [""] * (_ACROSS - 1)
        lines = [[_told(setting, event) for event in line] for line in _in_lines(events)]
        rows = [[*line, *[""] * (_ACROSS - len(line))] for line in lines]
    else:
        rows = []
        for together in _side_by_side(events):
            told = {event.lane: _told(setting, event) for event in together}
            rows.append([told.get(lane, "") for lane in lanes])
    columns = [
        Column(title=title, align=Align.LEFT, share=1.0, wraps=True, names=True) for title in titles
    ]
    style = replace(style_for(setting.paper), row_mm=4.6, heavy_mm=0.15)
    title = heading("Timetable · from the first mark laid", setting.paper, rule=False)
    made = text_table(setting.paper, columns, [Row(cells=row) for row in rows], style)
    return [title, made]


_ACROSS = 3
"""How many runs of one lane stand on a line."""


def _in_lines(events: Sequence[Event]) -> Iterator[tuple[Event, ...]]:
    """Put runs of one lane that follow each other on lines; laying and moving stand alone."""
    for bout in bouts(events):
        yield from (bout[first : first + _ACROSS] for first in range(0, len(bout), _ACROSS))


def _side_by_side(events: Sequence[Event]) -> Iterator[tuple[Event, ...]]:
    """Put events of different lanes that begin within a minute on a line, in order of time."""
    line: list[Event] = []
    for event in events:
        taken = {each.lane for each in line}
        if line and (event.lane in taken or event.start_s >= line[0].start_s + 60.0):
            yield tuple(line)
            line = []
        line.append(event)
    if line:
        yield tuple(line)


def _told(setting: PlanSetting, event: Event) -> str | Cell:
    """Return what happens, with its time; laying and moving marks is set bold."""
    when = clock_text(event.start_s)
    if event.kind is EventKind.RUN:
        return f"{when} {event.athlete}, run {event.effort}"
    what = "LAY" if event.kind is EventKind.LAY else "MOVE"
    waves = len({each.wave for each in setting.layings}) > 1
    whose = f" for wave {event.wave}" if waves else ""
    took = format_duration(event.end_s - event.start_s)
    count = format_count(event.marks, "mark")
    text = f"{when} {what} {count}{whose}, {took}"
    size = setting.paper.size_pt(Role.STRONG)
    return Cell(text=text, role=Role.STRONG, size_pt=size)
