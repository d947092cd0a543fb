"""How an athlete came along, in words: the table of the days, and what each estimate rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.review.progress import SPRINT_TO_M, beyond_error
from wicketlay.units import (
    format_cadence,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_time,
)
from wicketlay.wording.names import miss_text, slide_text

if TYPE_CHECKING:
    from wicketlay.review.progress import BoardDay, Progress, ProgressRow, Seen
    from wicketlay.units import UnitSystem

KNOWN = (
    *("seen that day", "top speed", "one SD", "weight"),
    *("top cadence", "natural gap", "one SD"),
)
"""Heads of what is known after each day, behind the day."""
SPRINTS = tuple(f"to {each:g} m" for each in SPRINT_TO_M)


BOARD = ("day", "runs", "mean", "slide then", "one SD of the place", "slide after", "first run")
"""Heads of what is known at the board after each day."""


def board_cells(day: BoardDay, unit: UnitSystem) -> tuple[str, ...]:
    """Return a day under `BOARD`."""
    return (
        day.told.date.isoformat(),
        ", ".join(miss_text(each, unit) for each in day.told.misses_m),
        miss_text(day.mean_m, unit),
        slide_text(day.told.slide_m, unit),
        f"± {format_move(day.known.sd_m, unit)}",
        slide_text(day.slid_m, unit),
        f"± {format_move(day.known.first_run_sd_m, unit)}",
    )


def day_text(row: ProgressRow) -> str:
    """Return the day of a row."""
    return "before" if row.date is None else row.date.isoformat()


def known_cells(row: ProgressRow, unit: UnitSystem) -> tuple[str, ...]:
    """Return a row under `KNOWN`."""
    return (
        ", ".join(_seen_text(each, unit) for each in row.seen) or "what is given",
        format_speed(row.top_speed.value, unit),
        f"± {format_speed(row.top_speed.sd, unit)}",
        format_percent(row.speed_share, places=0),
        format_cadence(row.top_cadence.value),
        format_length(row.gap.value, unit),
        f"± {format_move(row.gap.sd, unit)}",
    )


def _seen_text(seen: Seen, unit: UnitSystem) -> str:
    parts = [seen.what]
    if seen.held_share is not None:
        parts.append(f"at {format_percent(seen.held_share, places=0)}")
    if seen.speed_mps is not None:
        parts.append(format_speed(seen.speed_mps, unit))
    return " ".join(parts)


def sprint_cells(row: ProgressRow) -> tuple[str, ...]:
    """Return a row under `SPRINTS`."""
    return tuple(format_time(each.value) for each in row.sprint)


def summary(made: Progress, unit: UnitSystem) -> str:
    """Return the whole way in a sentence or two."""
    dated = [row for row in made.rows if row.date is not None]
    last = dated[-1] if dated else made.rows[-1]
    speed = format_speed(last.top_speed.value, unit)
    on = "" if last.date is None else f" on {last.date}"
    text = f"top speed {speed} ± {format_speed(last.top_speed.sd, unit)}{on}"
    start = _start_by(made)
    text = f"{made.athlete}: {start}. T{text[1:]}" if start else f"{made.athlete}: {text}"
    if not dated:
        return f"{text}. The record has no day yet."
    if len(made.rows) < 2:
        return f"{text}. The first day of the record; changes show from the second on."
    since = "what was known before" if made.rows[0].date is None else str(made.rows[0].date)
    held = made.held_back
    if beyond_error(last.top_speed, made.rows[0].top_speed.value):
        text += f"; since {since} {_faster_by(made, unit)}"
    elif held is None:
        text += f"; since {since} no change beyond its error"
    if held is not None:
        told = f"{format_speed(held.value, unit)} ± {format_speed(held.sd, unit)}"
        follow = "follow step by step" if made.capped else "stay until it is sure and worth a move"
        text += f"; the runs tell of {told}, marks {follow}"
    return f"{text}."


def _faster_by(made: Progress, unit: UnitSystem) -> str:
    faster, gap = made.speed_change_mps, made.gap_change_m
    by = f"{format_speed(abs(faster), unit)} {'faster' if faster > 0.0 else 'slower'}"
    move = format_move(abs(gap), unit)
    if move == format_move(0.0, unit):
        return f"{by}, natural gaps the same"
    return f"{by}, natural gaps {move} {'longer' if gap > 0.0 else 'shorter'}"


def rests_text(made: Progress) -> str:
    """Return what top speed and the step rest on now, by weight."""

    def of(shares: tuple[tuple[str, float], ...]) -> str:
        return ", ".join(f"{what} {format_percent(share, places=0)}" for what, share in shares)

    return (
        f"Top speed rests on: {of(made.speed_rests_on)}. "
        f"The step at top speed rests on: {of(made.step_rests_on)}."
    )


def sprints_text(made: Progress) -> str:
    """Return what the times from a standing start are, and what they rest on."""
    tau = made.time_constant
    how = f"time constant {format_time(tau.value)}, {tau.basis}"
    if tau.basis == "assumed":
        how = f"{how}: they follow top speed alone until there are splits"
    *others, longest = (format_time(each.sd) for each in made.rows[-1].sprint)
    sd = f"± {', '.join(others)} and {longest} by now"
    told = f"To 10, 20 and 30 m: flat out from a standing start, from first movement, {sd}; {how}."
    change = made.start_change_s
    if change is None or _start_by(made):
        return told
    within = f"no change at 10 m beyond its error, ± {format_time(change.sd)}"
    return f"{told} Since the start was first measured, {within}."


def _start_by(made: Progress) -> str:
    """Return by how much the start changed, "" within its error."""
    change = made.start_change_s
    if change is None or not beyond_error(change):
        return ""
    by = f"{format_time(abs(change.value))} ± {format_time(change.sd)}"
    way = "sooner" if change.value < 0.0 else "later"
    return f"the start is {by} {way} at 10 m than when first measured"
