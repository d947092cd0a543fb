"""What the lists say: squad, stages, session, review. Numbers are only formatted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.said.shown import DASH, moves_text, why_empty
from wicketlay.export import reading_of
from wicketlay.lanes.closing import gap_shown_m, run_on_shown_m
from wicketlay.review.reviewed import Doubt
from wicketlay.session.session import EventKind
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_duration,
    format_length,
    format_percent,
    format_speed,
    format_time,
)
from wicketlay.wording import told, word
from wicketlay.wording.names import mark_name, shown_text, signed_percent
from wicketlay.wording.places import lane_cell, strip_text
from wicketlay.wording.progress import KNOWN, SPRINTS, day_text, known_cells, sprint_cells
from wicketlay.wording.runs import recovery_text
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from tui.bench.bench import Bench
    from tui.bench.reviewing import Beside
    from wicketlay.lanes.laying import Demand, Laying
    from wicketlay.review.progress import Progress
    from wicketlay.review.review import Review
    from wicketlay.running.athlete import Athlete
    from wicketlay.session.session import Session
    from wicketlay.solve import Solved

SQUAD_HEADS = (
    "",
    "athlete",
    "lane",
    "wave",
    "start",
    "run-on",
    "steps",
    "first gap",
    "last gap",
    "over",
    "top speed",
    "±",
    "height",
    "known by",
)


def squad_rows(bench: Bench) -> list[tuple[str, ...]]:
    """Return one row an athlete, in running order."""
    unit = unit_of(bench.solved.plan)
    placed = {
        demand.athlete.name: (laying, demand)
        for laying in bench.solved.layings
        if laying.stage == bench.view.stage
        for demand in laying.demands
    }
    rows = []
    for place, athlete in enumerate(bench.plan.athletes, start=1):
        absent = bench.plan.adjustment(athlete.name).absent
        found = placed.get(athlete.name)
        if found is None:
            why = "absent" if absent else "no layout"
            rows.append((str(place), _called(bench, athlete), why, *[""] * (len(SQUAD_HEADS) - 3)))
        else:
            rows.append((str(place), _called(bench, athlete), *_squad_row(athlete, *found, unit)))
    return rows


def _called(bench: Bench, athlete: Athlete) -> str:
    """Return the name of an athlete, with a word where the squad file does not have them."""
    return f"{athlete.name}, guest" if athlete.name in bench.plan.guests else athlete.name


def _squad_row(
    athlete: Athlete, laying: Laying, demand: Demand, unit: UnitSystem
) -> tuple[str, ...]:
    shown_m = (gap_shown_m(laying, mark.id) for mark in laying.layout.marks)
    gaps = [gap for gap in shown_m if gap is not None]
    top = demand.runner.top_speed
    return (
        lane_cell(laying.placed.course, laying.lane),
        str(laying.wave),
        demand.letter or mark_name(demand.start_id),
        shown_text(run_on_shown_m(laying, demand.start_id), unit, bare=True),
        str(demand.run_on_steps),
        shown_text(gaps[0], unit, bare=True) if gaps else DASH,
        shown_text(gaps[-1], unit, bare=True) if gaps else DASH,
        signed_percent(demand.mismatch) if demand.appraisal is not None else "",
        format_speed(top.value, unit),
        format_speed(top.sd, unit),
        format_length(athlete.height_m, unit),
        top.basis,
    )


def between_waves(bench: Bench) -> list[str]:
    """Return what is moved between waves, one line a lane and wave."""
    unit = unit_of(bench.solved.plan)
    return [
        f"{strip_text(laying.placed.course, laying.lane)}, for wave {laying.wave}: "
        f"{moves_text(laying.moved, unit, 60)}"
        for laying in bench.solved.layings
        if laying.stage == bench.view.stage and laying.wave > 1 and laying.moved
    ]


# --- stages -------------------------------------------------------------------------------------


def stage_table(bench: Bench) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return heads and rows of the series on the lane and wave on view.

    The stage on view stands in brackets; a star is a move.
    """
    laying = bench.laying
    if laying is None:
        return ("mark",), []
    series = [
        each
        for each in bench.solved.layings
        if (each.lane, each.wave) == (laying.lane, laying.wave)
    ]
    heads = ["mark"]
    for each, share in zip(series, bench.solved.stage_shares, strict=False):
        now = " now" if each.stage == bench.plan.stage else ""
        head = f"{each.stage}: {format_percent(share)}{now}"
        heads.append(f"[{head}]" if each.stage == bench.view.stage and len(series) > 1 else head)
    rows = []
    for mark in series[0].layout.marks:
        cells = [mark_name(mark.id)]
        for each in series:
            read = reading_of(each.tape, mark.id)
            moves = any(m.mark_id == mark.id for m in each.followed)
            cells.append(f"{DASH if read is None else read[3]}{' *' if moves else '  '}")
        rows.append(tuple(cells))
    return tuple(heads), rows


def stage_lines(bench: Bench) -> list[str]:
    """Return what moves from stage to stage on the lane and wave on view."""
    laying = bench.laying
    if laying is None:
        return [why_empty(bench)]
    if bench.plan.stages is None:
        return []
    unit = unit_of(bench.solved.plan)
    lines = ["* is moved for this stage"]
    for each in bench.solved.layings:
        if (each.lane, each.wave) != (laying.lane, laying.wave) or each.stage == 1:
            continue
        moves = moves_text(each.followed, unit, 70) or "nothing moves"
        lines.append(f"to stage {each.stage}: {moves}")
    return lines


# --- session ------------------------------------------------------------------------------------

SESSION_HEADS = ("when", "what", "lane", "wave", "athlete", "effort", "marks")
LOAD_HEADS = ("athlete", "lane", "wave", "efforts", "recovery", "sprint", "in the zone", "work")


def session_lines(session: Session | None) -> list[str]:
    """Return the session in a few lines."""
    if session is None:
        return ["nobody runs"]
    lines = [
        f"{session.efforts} efforts each; laying {format_duration(session.laying_s)}, "
        f"{session.marks_laid} marks laid, {session.marks_moved} moved later",
        f"in all {format_duration(session.total_s)}",
    ]
    if session.length_s is not None:
        fits = "fits" if session.fits else "DOES NOT FIT"
        lines[-1] += f" of {format_duration(session.length_s)}: {fits}"
    return [*filter(None, [*lines, recovery_text(session)]), *map(str, map(word, session.ways))]


def load_rows(solved: Solved) -> list[tuple[str, ...]]:
    """Return one row an athlete: efforts, recovery and metres."""
    session, unit = solved.session, unit_of(solved.plan)
    if session is None:
        return []
    course = solved.layings[0].placed.course
    return [
        (
            load.athlete,
            lane_cell(course, load.lane),
            str(load.wave),
            str(load.efforts),
            format_duration(load.recovery_s),
            format_length(load.sprint_m, unit, places=0),
            format_length(load.zone_m, unit, places=0),
            load.work.value,
        )
        for load in session.loads
    ]


def first_event_of(session: Session | None, athlete: str | None) -> int | None:
    """Return the place of an athlete's first run among the events, None when there is none."""
    events = () if session is None else session.events
    return next((at for at, event in enumerate(events) if event.athlete == athlete), None)


def event_rows(solved: Solved) -> list[tuple[str, ...]]:
    """Return what happens when, in order."""
    session = solved.session
    if session is None:
        return []
    course = solved.layings[0].placed.course
    return [
        (
            format_duration(event.start_s),
            {EventKind.LAY: "lay", EventKind.MOVE: "move marks", EventKind.RUN: "run"}[event.kind],
            lane_cell(course, event.lane),
            str(event.wave),
            event.athlete,
            str(event.effort) if event.effort else "",
            str(event.marks) if event.marks else "",
        )
        for event in session.events
    ]


# --- review -------------------------------------------------------------------------------------


def wind_text(wind_mps: float | None) -> str:
    """Return which wind the runs had, in words."""
    return "wind not read" if wind_mps is None else f"wind {wind_mps:+.1f} m/s"


def beside_text(seen: Beside) -> str:
    """Return what was seen of runs beside the clock, in words."""
    told = "as hard as asked" if seen.effort_share is None else f"at {seen.effort_share:.0%}"
    pieces = [told.replace("%", " %")]
    if seen.steps is not None:
        pieces.append(f"{seen.steps:g} steps")
    if seen.touchdowns and seen.fps is not None:
        pieces.append(f"{len(seen.touchdowns)} touchdowns at {seen.fps:g} frames a second")
    return ", ".join(pieces)


def review_lines(made: Review, unit: UnitSystem) -> list[tuple[str, str]]:
    """Return a review as (heading, text)."""
    if made.doubt is Doubt.WRONG:
        return [("stop", str(word(made.sentence, unit)))]
    time = made.mean_time
    lines = [
        (
            "time",
            f"{format_time(time.value)} ± {format_time(time.sd)} from {mark_name(made.from_mark)} "
            f"to {mark_name(made.to_mark)}, expected {format_time(made.expected_time_s)}",
        ),
        (
            "speed",
            f"{format_speed(made.achieved_speed.value, unit)} ± "
            f"{format_speed(made.achieved_speed.sd, unit)}, expected "
            f"{format_speed(made.expected_speed_mps, unit)}",
        ),
    ]
    seen = made.achieved_cadence
    if seen is not None:
        asked = made.expected_cadence_hz
        expected = "" if asked is None else f", expected {format_cadence(asked)}"
        cadence = f"{format_cadence(seen.value)} ± {format_cadence(seen.sd)}, {seen.basis}"
        lines.append(("cadence", f"{cadence}{expected}"))
    before, known, laid = made.top_speed_before, made.top_speed_told, made.top_speed_proposed
    held = f"; marks are laid by {format_speed(laid.value, unit)}"
    change = held if known.value != laid.value else ""
    lines.append(
        (
            "top speed",
            f"{format_speed(before.value, unit)} ± {format_speed(before.sd, unit)} → "
            f"{format_speed(known.value, unit)} ± {format_speed(known.sd, unit)}{change}",
        )
    )
    lines.append(("say", str(word(made.sentence, unit))))
    lines += [(level.value, text) for level, text in told(made.findings, unit)]
    return lines


_WAY = ("top speed", "one SD", "weight", *SPRINTS, "natural gap", "seen that day")
"""What of an athlete's way is shown, what matters most to the left: narrow windows show less."""
WAY_HEADS = ("day", *_WAY)


def way_rows(made: Progress, unit: UnitSystem) -> list[tuple[str, ...]]:
    """Return how an athlete came along under `WAY_HEADS`, the newest day first."""
    at = [(*KNOWN, *SPRINTS).index(head) for head in _WAY]
    rows = []
    for row in reversed(made.rows):
        cells = (*known_cells(row, unit), *sprint_cells(row))
        rows.append((day_text(row), *(cells[place] for place in at)))
    return rows
