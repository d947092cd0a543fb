"""What the practice screen says: the next to run, everybody in order, moves, and the hour."""

from __future__ import annotations

import itertools
import statistics
from typing import TYPE_CHECKING

from tui.bench.lying import handled_of
from tui.said.shown import moves_text
from wicketlay.after_practice import State
from wicketlay.board_misses import runs_to_board
from wicketlay.export import reading_of
from wicketlay.reviewing import own_laying
from wicketlay.units import format_count, format_duration
from wicketlay.values import dataclass
from wicketlay.wording.names import OLD_OFF, mark_name, signed_move, signed_percent, small_unit
from wicketlay.wording.places import lane_cell, strip_text
from wicketlay.wording.runs import RESULT_UNITS, RESULTS, result_row, run_text, sentence_now
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from tui.bench.bench import Bench
    from tui.bench.hour import Hour
    from tui.bench.lying import Move
    from wicketlay.after_practice import Day
    from wicketlay.session.going import Going, Standing
    from wicketlay.units import UnitSystem

BOARD_HINT = "   b: miss at the board"
HEADS = ("ready", "athlete", "start", "lane", "wave", "runs", "mean", "diff", "times")
_AFTER = (0, 11, 2, 3, 4, 5, 6, 7, 10, 8, 9)
"""Columns of the results in the order they are wanted here, what is to be done among the first."""
AFTER_HEADS = tuple(f"{RESULTS[at]} {RESULT_UNITS[at]}".strip() for at in _AFTER)
_OPEN = frozenset({State.READY, State.DOUBT})
_STEP_S = 10
"""Who is not on top is told in steps of so many seconds: fewer writes to a slow line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """The one on top, in the largest letters there are: head and text of each."""

    name: str
    parts: tuple[tuple[str, str], ...]


def facts_of(hour: Hour, top: Standing) -> Facts:
    """Return who is on top, and what they need to know."""
    _, demand = own_laying(hour.laid, top.athlete)
    expected = hour.expected_s(top.athlete)
    parts = (
        ("start", demand.letter or ""),
        ("foot", "" if demand.front_foot is None else demand.front_foot.value[0].upper()),
        ("steps", "" if demand.appraisal is None else str(demand.run_on_steps)),
        ("expected", "" if expected is None else f"{expected:.2f}"),
    )
    return Facts(name=top.athlete, parts=tuple((head, text) for head, text in parts if text))


def ready_text(standing: Standing, now_s: float, *, exact: bool) -> str:
    """Return when somebody is ready: ``now``, ``1:40``, or ``away``."""
    if not standing.here:
        return "absent"
    left = standing.ready_s - now_s
    if left <= 0.0:
        return "now"
    step = 1 if exact else _STEP_S
    seconds = int(-(-left // step) * step)
    return f"{seconds // 60}:{seconds % 60:02d}"


def order_rows(hour: Hour, stands: Going, now_s: float) -> list[tuple[str, ...]]:
    """Return one row an athlete, in running order."""
    top = hour.top(stands).athlete
    practice, unit = hour.practice, unit_of(hour.laid.plan)
    rows: list[tuple[str, ...]] = []
    for each in stands.line:
        runs = practice.runs.get(each.athlete, ())
        timed = [(run, run.time_s) for run in runs if run.teaches and run.time_s is not None]
        mean = statistics.fmean(time_s for _, time_s in timed) if timed else None
        # each against what is expected over the marks it was run on
        over = {run.over: run for run, _ in timed}
        wanted = {on: hour.expected_s(each.athlete, run) for on, run in over.items()}
        shares = [time_s / (wanted[run.over] or time_s) for run, time_s in timed]
        laying, demand = own_laying(hour.laid, each.athlete)
        through = each.here and each.done >= stands.efforts
        ready = ready_text(each, now_s, exact=each.athlete == top)
        rows.append(
            (
                "done" if through else ready,
                each.athlete,
                demand.letter,
                lane_cell(laying.placed.course, each.lane),
                str(each.wave),
                f"{each.done}/{stands.efforts}",
                "" if mean is None else f"{mean:.2f}",
                signed_percent(statistics.fmean(shares) - 1.0 if any(wanted.values()) else None),
                " ".join(run_text(run, unit) for run in runs),
            )
        )
    return rows


def typed_text(hour: Hour) -> str:
    """Return whose time is typed, between which marks it is, and what of it is there."""
    run = hour.timed
    if run is None:
        return "Space: off"
    if hour.types_miss:
        small, _ = small_unit(unit_of(hour.laid.plan))
        way = "over" if hour.typed.startswith("+") else "short"
        whose = hour.missed or run
        return f"miss of {whose.athlete}, run {whose.run}: {hour.typed[1:]}_ {small} {way}"
    what = "time of" if run.waits or hour.typed else "last:"
    there = run.time_s is not None and not hour.typed
    last = run_text(run, unit_of(hour.laid.plan)) if there else f"{hour.typed}_"
    board = runs_to_board(hour.laid.plan) and not hour.typed
    over = f", {mark_name(run.from_mark)} to {mark_name(run.to_mark)}" if run.over else ""
    return f"{what} {run.athlete}, run {run.run}{over}: {last}{BOARD_HINT if board else ''}"


def balance_text(stands: Going, hour: Hour, now_s: float) -> str:
    """Return how the session stands against its length, in one line."""
    if hour.practice.begun is None:
        length = hour.laid.session.length_s if hour.laid.session is not None else None
        there = "" if length is None else f" of {format_duration(length)}"
        return f"not begun{there}: Enter begins it, Space the first run"
    gone = f"{int(now_s // 60)} min gone"
    if stands.over_s is None:
        return f"{gone}; ends {int(-(-stands.ends_s // 60))} min after its beginning"
    minutes = round(abs(stands.over_s) / 60)
    if stands.over_s <= 0.0:
        return f"{gone}; {minutes} min in hand"
    fit = stands.efforts_fit or 0
    return f"{gone}; runs over by {minutes} min; {format_count(fit, 'effort')} each fit"


def move_lines(hour: Hour, moves: Sequence[Move]) -> list[tuple[bool, str, str, str]]:
    """Return moves as (ticked, lane and wave, mark, where to), in the order they are done."""
    unit = unit_of(hour.laid.plan)
    lines = []
    for each in moves:
        read = reading_of(each.laying.tape, each.moved.mark_id)
        if each.moved.taken_up:
            to = "take up"
        else:
            by = each.moved.shown_m
            to = "" if read is None else f"to {read[3]}"
            to += "  new" if by is None else f"  {signed_move(by, unit)}"
        place = f"{strip_text(each.laying.placed.course, each.laying.lane)}, "
        place += f"wave {each.laying.wave}"
        place += f", {OLD_OFF}" if each.moved.drawn or each.moved.remade else ""
        lines.append((each.ticked, place, mark_name(each.moved.mark_id), to.strip()))
    return lines


def proposed_text(hour: Hour, bench: Bench) -> str:
    """Return what is proposed and what laying it costs, "" when nothing is."""
    if bench.plan == hour.laid.plan:
        return ""
    found = hour.proposed(bench)
    if not found:
        return "proposed: no mark on the ground moves; a lays it"
    unit = unit_of(bench.solved.plan)
    per_mark_s = float(bench.plan.judgement.seconds_per_mark)
    count = handled_of(found)
    minutes = max(round(count * per_mark_s / 60), 1)
    several = len({each.lane for each in hour.layings}) > 1
    parts = []
    for lane, on_it in itertools.groupby(found, key=lambda each: each[0].lane):
        pairs = list(on_it)
        where = f"{strip_text(pairs[0][0].placed.course, lane)}: " if several else ""
        parts.append(where + moves_text([moved for _, moved in pairs], unit, 10_000))
    marks = format_count(count, "mark")
    return f"proposed: {marks}, about {minutes} min; a lays it: {'; '.join(parts)}"


# --- after practice -----------------------------------------------------------------------------


def after_rows(day: Day, leave: Collection[str], unit: UnitSystem) -> list[tuple[str, ...]]:
    """Return one row an athlete who ran: the runs, what they say, and what is to be done."""
    return [
        tuple(
            "note only"
            if RESULTS[at] == "record" and each.athlete in leave and each.state in _OPEN
            else row[at]
            for at in _AFTER
        )
        for each in day.outcomes
        for row in [result_row(each, unit)]
    ]


def after_lines(day: Day, unit: UnitSystem) -> list[str]:
    """Return what to say to each, by name."""
    return [f"{each.athlete}: {sentence_now(each, unit)}" for each in day.outcomes]
