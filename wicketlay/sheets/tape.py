"""The tape sheet: what one assistant needs to lay one lane, alone, in the cold."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from wicketlay.drills import AnyLength
from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.lanes.closing import (
    ClosingCheck,
    closing_check,
    lent_by,
    section_shown_m,
    slow_down_m,
    zone_ends,
)
from wicketlay.sheets.drawings.strip import goes_round, on_grass
from wicketlay.sheets.furniture import banner, capital, frame
from wicketlay.sheets.page.flow import Block, Table, page_break, paginate, paragraph
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Role, Sheet, Text
from wicketlay.sheets.pulls import (
    ALONG,
    LANE_LEAST_MM,
    LANE_MM,
    Tightness,
    as_moved,
    lane_drawing,
    pegs_of,
    pull_table,
)
from wicketlay.sheets.session import clock_text
from wicketlay.sheets.setting import (
    Setting,
    expected_time_s,
    findings_of,
    is_relaid,
    laid_events,
    marks_of,
    worth_timing,
)
from wicketlay.sheets.slow_down import cone_move_text, cone_on_tape_m, slow_down_text
from wicketlay.sheets.zero_box import zero_box
from wicketlay.stations import LEFT_LYING
from wicketlay.units import format_count, format_duration, format_move, format_percent, format_time
from wicketlay.values import dataclass, replace
from wicketlay.wording.cautions import for_the_assistant
from wicketlay.wording.names import anew_text, carried_tape_text, mark_label, room_text
from wicketlay.wording.places import ground_word

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.lanes.laying import Laying
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.page.model import Page
    from wicketlay.solve import Demand


TIGHTNESS = (
    Tightness(row_mm=10.0),
    Tightness(row_mm=9.5),
    Tightness(row_mm=9.0),
    Tightness(row_mm=8.5),
    Tightness(row_mm=8.0),
    Tightness(row_mm=8.0, drawing_mm=80.0),
    Tightness(row_mm=8.0, drawing_mm=80.0, peg_mm=3.8, packed=True),
    Tightness(row_mm=8.0, drawing_mm=64.0, peg_mm=3.8, packed=True),
    Tightness(row_mm=8.0, drawing_mm=64.0, peg_mm=3.8, packed=True, small_heads=True),
)
"""The most generous first; rows never less than 8 mm."""
ON_A_SCREEN = tuple(Tightness(row_mm=row_mm) for row_mm in (10.0, 9.0, 8.5, 8.0, 7.5, 7.0))
"""The same on a page of 81 mm, where 7 mm is more than twice as high in proportion."""


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
    """Return the most generous pages that cost no page and break no table earlier."""
    tried = ON_A_SCREEN if setting.paper.screen else TIGHTNESS
    generous = _pages(setting, tried[0])
    if len(generous) == 1:
        return generous

    def cost(pages: tuple[Page, ...]) -> tuple[int, int]:
        return len(pages), -_readings_on(pages[0])

    pages = _pages(setting, tried[-1])
    least = cost(pages)
    if cost(generous) == least:
        return generous
    # Whatever is tighter than what costs no more costs no more either.
    loose, tight = 0, len(tried) - 1
    while tight - loose > 1:
        middle = (loose + tight) // 2
        between = _pages(setting, tried[middle])
        if cost(between) == least:
            tight, pages = middle, between
        else:
            loose = middle
    return pages


def _turn_over(setting: Setting, pages: tuple[Page, ...]) -> tuple[str, ...]:
    """Return what the foot of each page but the last says of what follows."""
    starts = {mark_label(m.id) for m in marks_of(setting) if m.kind is MarkKind.START}
    marks = [
        {item.text for item in page.items if isinstance(item, Text) and item.role is Role.MARK}
        for page in pages
    ]
    told = []
    turn = "NEXT" if setting.paper.screen else "TURN OVER"
    for number in range(1, len(pages)):
        later = set[str]().union(*marks[number:])
        more = "more marks, " if later - starts else ""
        told.append(f"{turn}: {more}{'START and ' if later & starts else ''}checks")
    return tuple(told)


def _pages(setting: Setting, tightness: Tightness) -> tuple[Page, ...]:
    """Return the sheet so tight; each page but the last says what follows."""
    content = _content(setting, tightness)
    told: tuple[str, ...] = ()
    pages = _broken(setting, content, told)
    for _ in range(3):
        # What follows takes room of its own, so it is asked again once it stands there.
        follows = _turn_over(setting, pages)
        if follows in {(), told}:
            break
        told = follows
        pages = _broken(setting, content, told)
    return pages


@dataclass(frozen=True, slots=True, kw_only=True)
class _Content:
    """What stands on a sheet however its pages break; of each pull its table and what follows."""

    above: tuple[Block, ...]
    pulls: tuple[tuple[Block | Table, ...], ...]
    below: tuple[Block, ...]


def _content(setting: Setting, tightness: Tightness) -> _Content:
    check = closing_check(setting.laying)
    wickets = {mark.id for mark in setting.laying.layout.of_kind(MarkKind.WICKET)}
    laid: set[str] = set()
    pulls: list[tuple[Block | Table, ...]] = []
    for pull in setting.laying.tape.pulls:
        parts: list[Block | Table] = [pull_table(setting, pull, tightness)]
        before, laid = laid, laid | {reading.mark_id for reading in pull.readings}
        # The hurdles left are counted when the last of them stands.
        bag = ""
        if setting.left_over is not None and wickets <= laid and not wickets <= before:
            bag = f"in the bag after this: {setting.left_over}"
        if check is not None and {check.first_id, check.second_id} <= laid:
            parts.append(_closing_check(setting, check, bag))
            check = None
        elif bag:
            parts.append(_ticked(setting.paper, capital(bag), "Wrong: redo."))
        pulls.append(tuple(parts))
    return _Content(
        above=(_carry(setting), zero_box(setting), *_guessed(setting)),
        pulls=tuple(pulls),
        below=(
            *_slow_down_note(setting, packed=tightness.packed),
            _cautions(setting, packed=tightness.packed),
            _zone_and_time(setting),
            _last_ticks(setting),
        ),
    )


def _broken(
    setting: Setting,
    content: _Content,
    turn_over: tuple[str, ...],
    *,
    break_before_last: bool = False,
    last_rows_below: bool = False,
) -> tuple[Page, ...]:
    parts: list[Block | Table] = list(content.above)
    sheet_frame = frame(setting, "tape sheet", turn_over=turn_over)
    screen = setting.paper.screen
    if screen:
        # A page of its own, with what stands above it where that leaves the room.
        used_mm = sum(part.height_mm for part in parts)
        room_mm = sheet_frame.end_mm - sheet_frame.top(Pen(paper=setting.paper), 0)
        left_mm = room_mm - used_mm
        parts.append(lane_drawing(setting, left_mm if left_mm >= LANE_LEAST_MM else LANE_MM))
    for number, pull in enumerate(content.pulls, start=1):
        if screen or (break_before_last and number == len(content.pulls)):
            parts.append(page_break())
        parts += pull
    parts += content.below
    if last_rows_below:
        at = max(at for at, part in enumerate(parts) if isinstance(part, Table))
        below_mm = sum(part.height_mm for part in parts[at + 1 :])
        parts[at] = replace(cast("Table", parts[at]), below_mm=below_mm)
    pages = paginate(parts, sheet_frame)
    alone = len(pages) > 1 and not _readings_on(pages[-1])
    if alone and not screen and not break_before_last and len(content.pulls) > 1:
        # Cautions alone on a page are not read: the last pull goes with them.
        return _broken(setting, content, turn_over, break_before_last=True)
    if alone and not last_rows_below:
        # Where that is a page of its own, or all there is, its last rows do.
        return _broken(
            setting, content, turn_over, break_before_last=break_before_last, last_rows_below=True
        )
    return pages


def _readings_on(page: Page) -> int:
    """Return how many texts of readings stand on a page."""
    return sum(isinstance(item, Text) and item.role is Role.READING for item in page.items)


def _carry(setting: Setting) -> Block:
    laying = setting.laying
    relaid = is_relaid(setting)
    lifted = [m for m in laying.moved if m.taken_up or m.remade] if relaid else []
    gone = [each.mark_id for each in lifted if not each.drawn]
    rubbed = [each.mark_id for each in lifted if each.drawn]
    anew = {each.mark_id for each in laying.moved if each.by_m is None or each.drawn}
    needed = [mark for mark in marks_of(setting) if not relaid or mark.id in anew]

    def brought(*kinds: MarkKind) -> list[str]:
        """Return the ids of the marks that do not lie there yet, or cannot be carried."""
        return [mark.id for mark in needed if mark.kind in kinds and not mark.is_drawn]

    hurdles = len(brought(MarkKind.WICKET))
    chalk = sum(mark.is_drawn for mark in needed)
    pegs = max(pegs_of(setting, pull) for pull in laying.tape.pulls)
    explained = "" if setting.paper.compact else " (low hurdles)"
    solved = setting.solved
    lenders = ", ".join(map(str, lent_by(solved.layings, laying, solved.plan.kit)))
    lent = f", those the bag lacks from lane {lenders}" if lenders else ""
    items = [
        f"{format_count(hurdles, 'wicket')}{explained}{lent}" if hurdles else "",
        f"chalk or tape for {format_count(chalk, 'mark')}" if chalk else "",
        _cones(setting, brought(MarkKind.START, MarkKind.CONE, MarkKind.GATE), gone),
        format_count(pegs, "peg" if on_grass(setting) else "weight") if pegs else "",
        carried_tape_text(laying.tape.spec.length_m, setting.unit),
        "pencil",
    ]
    carried = [item for item in items if item]
    lying = [f.values["one"] for f in findings_of(setting) if f.code == LEFT_LYING]
    lead = f"Take up all marks of {', '.join(map(str, lying))} first. Carry:" if lying else "Carry:"
    if relaid:
        among = _lying_among(laying)
        drawn = {each.mark_id for each in laying.moved if each.drawn}
        off, up = ([i for i in among if (i in drawn) is rub] for rub in (True, False))
        lead = " ".join(
            part
            for part in (
                f"The marks of wave {laying.over} lie here: "
                f"{'move them, forward = with the run' if laying.moved else 'all stay'}.",
                _row_by_row(laying),
                anew_text(laying.moved),
                f"Take up {', '.join(map(mark_label, gone))} and use again." if gone else "",
                f"Rub out or lift {', '.join(map(mark_label, rubbed))}." if rubbed else "",
                f"Rub out or lift {', '.join(map(mark_label, off))} first." if off else "",
                f"Lift {', '.join(map(mark_label, up))} first, out of the way." if up else "",
                "Carry:",
            )
            if part
        )
    told = [f"{lead} {carried[0]}", *carried[1:]]
    return paragraph(told, Role.BODY, setting.paper, below_mm=0.2)


def _row_by_row(laying: Laying) -> str:
    """Return that rows of a relaid lane are not in the order of their readings, "" if they are."""
    away = (as_moved(each, each.readings, laying.moved)[1] for each in laying.tape.pulls)
    return "Row by row, in this order." if any(len(back) > 1 for back in away) else ""


def _lying_among(laying: Laying) -> list[str]:
    """Return what is moved later and marks would be set past: by an earlier pull, or by the zero.

    Rows of one pull are in an order in which none is; the zero moves before them all.
    """
    now_m = {each.mark.id: float(each.mark.along_m) for each in laying.placed.marks}
    by_m = {each.mark_id: each.by_m for each in laying.moved if each.by_m is not None}
    done: list[str] = []
    among = []
    for pull in laying.tape.pulls:
        walked, _ = as_moved(pull, pull.readings, laying.moved)
        for each in (r.mark_id for r in walked if r.mark_id in by_m and r.mark_id not in done):
            goes_m = now_m[each]
            lies_m = goes_m - by_m[each]
            if any((now_m[one] - lies_m) * (now_m[one] - goes_m) < 0.0 for one in done):
                among.append(each)
            done.append(each)
    return sorted(among, key=now_m.__getitem__)


def _when(setting: Setting) -> str:
    """Return when the laying is to be laid, and how long that may take; "" without a timetable."""
    here = (setting.laying.lane, setting.laying.wave)
    for event in laid_events(setting.solved):
        if (event.lane, event.wave) == here:
            took = format_duration(event.end_s - event.start_s)
            return f"Lay at {clock_text(event.start_s)}, within {took}. "
    return ""


def _cones(setting: Setting, brought: Sequence[str], gone: Sequence[str]) -> str:
    """Return how many cones are brought and for what, "" for none.

    The slow-down cone of the wave before is moved, its start cones are used again.
    """
    used = [mark_label(each) for each in brought]
    used = used[sum(each.startswith("start") for each in gone) :]
    if not is_relaid(setting):
        used += ["slow-down"] if setting.laying.layout.slows_down else []
        used += [] if setting.laying.placed.free_zero is None else ["to sight along"]
    return f"{format_count(len(used), 'cone')} ({', '.join(used)})" if used else ""


def _guessed(setting: Setting) -> list[Block]:
    """Return the line that warns of a speed nobody has timed yet."""
    guessed = [each for each in setting.laying.demands if each.runner.provisional]
    if not guessed:
        return []
    names = ""
    if len(setting.laying.demands) > 1:
        names = f"{', '.join(each.athlete.name for each in guessed)}: "
    short = ""
    if any(isinstance(each.spec, AnyLength) for each in guessed):
        share = format_percent(float(setting.solved.plan.judgement.height_only_short))
        short = f"gaps laid {share} short; "
    bases = {each.runner.top_speed.basis for each in guessed}
    rests = bases.pop() if len(bases) == 1 else "height and cadence"
    text = f"{names}speed is a guess from {rests}: {short}time the first runs."
    text = text if names else capital(text)
    return [paragraph(text, Role.STRONG, setting.paper, small=True, below_mm=0.6)]


def _slow_down_note(setting: Setting, *, packed: bool) -> list[Block]:
    """Return where the slow-down cone stands when no pull reaches it."""
    if not setting.laying.layout.slows_down:
        return []
    pulls = setting.laying.tape.pulls
    if any(cone_on_tape_m(setting, pull) is not None for pull in pulls):
        return []
    last = mark_label(setting.laying.layout.marks[-1].id)
    far = f"{slow_down_text(setting)} past {last}, beyond the tape"
    steps = f"{slow_down_m(setting.laying):.0f}"
    move = cone_move_text(setting)
    moved = f" From where it stands: {move}." if move else ""
    told = f"{far}: count {steps} long steps.{moved}"
    return [_ticked(setting.paper, "SLOW-DOWN CONE", told, least_mm=5.4 if packed else 7.2)]


def _closing_check(setting: Setting, check: ClosingCheck, bag: str) -> Block:
    text = (
        f"By tape, {mark_label(check.first_id)} to {mark_label(check.second_id)} = "
        f"{setting.shown(check.apart_m)}"
    )
    # Wickets stand in the middle of the lane, which is longer round a bend than what is told.
    along = f"{ALONG}, " if goes_round(setting) else ""
    rest = f"{along}right within {format_move(check.within_m, setting.unit, per_inch=4)}"
    rest = "; ".join(part for part in (rest, bag) if part) + ". Wrong: redo, do not adjust."
    return _ticked(setting.paper, text, rest)


def _ticked(paper: Paper, text: str, rest: str, *, least_mm: float = 7.2) -> Block:
    """Return a line with a tick box: `text` large, `rest` small beside it."""
    size = paper.size_pt(Role.NAME)
    body = Role.BODY.small_pt
    left = paper.left_mm + (7.5 if paper.compact else 9.0)
    beside = left + width_mm(text, Role.NAME, size) + 4.0
    if paper.right_mm - beside < _BESIDE_LEAST_MM:
        return _ticked_below(paper, text, rest)
    lines = wrap(rest, Role.BODY, body, paper.right_mm - beside)
    height = max(least_mm, len(lines) * line_mm(body) + 0.6)

    def draw(pen: Pen, y: float) -> None:
        pen.tick_box(paper.left_mm + 0.6, y + (height - 5.0) / 2)
        baseline = y + (height + cap_mm(size)) / 2
        pen.text(left, baseline, text, Role.NAME)
        pen.centred(beside, (y, height), lines, Role.BODY, size_pt=body)

    return Block(height_mm=height + 0.4, draw=draw)


_BESIDE_LEAST_MM = 30.0
"""The least width in which words beside others are still read as a line."""


def _ticked_below(paper: Paper, text: str, rest: str) -> Block:
    """Return a line with a tick box, `rest` below it for want of room beside."""
    size, body = Role.NAME.small_pt, Role.BODY.small_pt
    left = paper.left_mm + 7.5
    said = wrap(text, Role.NAME, size, paper.right_mm - left)
    lines = wrap(rest, Role.BODY, body, paper.right_mm - left)
    upper = len(said) * line_mm(size)

    def draw(pen: Pen, y: float) -> None:
        pen.tick_box(paper.left_mm + 0.6, y + 0.8)
        pen.lines(left, y + 1.0 + cap_mm(size), said, Role.NAME, size_pt=size)
        below = y + 1.0 + upper + cap_mm(body)
        pen.lines(left, below, lines, Role.BODY, size_pt=body)

    return Block(height_mm=max(upper + len(lines) * line_mm(body), 5.4) + 1.4, draw=draw)


def _cautions(setting: Setting, *, packed: bool) -> Block:
    """Return the three cautions, one below the other, or one after the other to save lines."""
    texts = list(for_the_assistant(setting.laying))
    if setting.laying.layout.slows_down:
        least = room_text(setting.laying.placed.run_out_least_m, setting.unit)
        last = mark_label(setting.laying.layout.marks[-1].id)
        texts[-2] += f" Slow-down: to the cone, never less than {least} past {last}."
    paper = setting.paper
    size = Role.BODY.small_pt
    told = [f"! {text}" for text in texts]
    told = [" ".join(told)] if packed else told
    lines = [line for text in told for line in wrap(text, Role.BODY, size, paper.inner_mm)]

    def draw(pen: Pen, y: float) -> None:
        pen.lines(paper.left_mm, y + 1.0 + cap_mm(size), lines, Role.BODY, size_pt=size)

    return Block(height_mm=len(lines) * line_mm(size) + 1.0, draw=draw, keeps_next=True)


def _zone_and_time(setting: Setting) -> Block:
    laying = setting.laying
    zones = []
    for demand in laying.demands:
        first, last = (mark_label(mark.id) for mark in zone_ends(laying, demand))
        zones.append(f"{first} to {last} = {setting.shown(section_shown_m(laying, demand))}")
    times = ", ".join(_time_of(setting, demand) for demand in laying.demands)
    timed = worth_timing(laying.layout)
    expected = f"Time expected: {times}" if timed else "Too short for a hand time"
    text = f"{', '.join(dict.fromkeys(zones))}. {expected}."
    told, when = (
        paragraph(each, Role.BODY, setting.paper, small=True, below_mm=0.6, keeps_next=True)
        for each in (text, f"{_when(setting)}{text}")
    )
    # When it is laid takes no line of its own: the rows have the page.
    return when if when.height_mm == told.height_mm else told


def _time_of(setting: Setting, demand: Demand) -> str:
    time = format_time(expected_time_s(setting, demand))
    return f"{demand.athlete.name} {time}" if len(setting.laying.demands) > 1 else time


def _last_ticks(setting: Setting) -> Block:
    paper = setting.paper
    ticks = ("tape up", f"{ground_word(setting.laying)} closed", "coach told")
    role = Role.STRONG if paper.screen else Role.FIGURE_STRONG
    size = paper.size_pt(role)
    height = 6.6

    # Each as wide as its words where a third of the page is less.
    widths = [8.0 + width_mm(text, role, size) for text in ticks]
    even = max(widths) + 2.0 <= paper.inner_mm / 3
    gap_mm = (paper.inner_mm - sum(widths)) / 2

    def draw(pen: Pen, y: float) -> None:
        pen.line(paper.left_mm, y, paper.right_mm, y, width_mm=0.5)
        for index, text in enumerate(ticks):
            x = paper.left_mm + sum(widths[:index]) + index * gap_mm
            x = paper.column_mm(index / 3) if even else x
            pen.tick_box(x + 0.6, y + 1.6)
            pen.text(x + 8.0, y + 1.6 + (5.0 + cap_mm(size)) / 2, text, role)

    return Block(height_mm=height, draw=draw)
