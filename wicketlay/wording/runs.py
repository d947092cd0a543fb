"""Runs, and what a day of them says, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.after_practice import State
from wicketlay.review.review import Doubt
from wicketlay.session.log import Entry, Flag, What
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_duration,
    format_move,
    format_time,
)
from wicketlay.wording import told, word
from wicketlay.wording.names import mark_name, signed_percent, small_unit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wicketlay.after_practice import Outcome
    from wicketlay.findings import Finding
    from wicketlay.session.session import Session

_MARKS = {Flag.HIT: "*", Flag.STUMBLED: "!", Flag.NOT_TIMED: "-", None: ""}


def time_text(time_s: float) -> str:
    """Return a time [s] as a watch shows it, without its unit."""
    places = 2 if round(time_s, 3) == round(time_s, 2) else 3
    return format_time(time_s, places=places).removesuffix(" s")


def board_legend(unit: UnitSystem) -> str:
    """Return what a number with its sign behind a time means."""
    name, _ = small_unit(unit)
    over, short = ("5", "12") if unit is UnitSystem.FEET else ("12", "30")
    return f"+{over} is {over} {name} over at the board, -{short} short"


def run_text(entry: Entry, unit: UnitSystem) -> str:
    """Return a run as it is written at the track: ``2.71``, ``2.71/2.69*``, ``-``, ``1.02+12``.

    The last one came down 12 cm over its place at the board, or 12 in where the unit is feet.
    """
    miss = "" if entry.miss_m is None else f"{entry.miss_m / small_unit(unit)[1]:+.0f}"
    if not entry.times_s and entry.flag in {None, Flag.NOT_TIMED} and miss:
        return miss
    if not entry.times_s and entry.flag is None:
        return "?"
    return f"{'/'.join(map(time_text, entry.times_s))}{miss}{_MARKS[entry.flag]}"


def runs_text(outcome: Outcome, unit: UnitSystem) -> str:
    """Return all runs of an athlete's day: ``2.71 2.68 - 2.70*``."""
    return " ".join(run_text(run, unit) for run in outcome.runs)


def entry_text(entry: Entry) -> str:
    """Return what an entry that is no run tells, without whom."""
    match entry.what:
        case What.BEGUN:
            return "the session begins"
        case What.LATE:
            return f"late, comes after {format_duration(entry.due_s or 0)}"
        case What.HERE:
            return "is here"
        case What.SWAP:
            return f"changes places with {entry.other}"
        case What.MOVED:
            return f"{mark_name(entry.other)} moved"
        case _:
            return entry.what.value


_MOVES = ("review-longer", "review-shorter", "review-first-time", "review-speed")
"""What is said of runs after which marks change: once they are in the record, they have."""


def sentence(outcome: Outcome, unit: UnitSystem) -> str:
    """Return the one sentence of an athlete's day, without the name before it."""
    if outcome.state is State.UNTIMED:
        return "no time to learn from; same marks next time"
    if outcome.state is State.TROUBLE:
        return unnamed(outcome.trouble or "", outcome.athlete, unit)
    slide = "" if outcome.slide is None else unnamed(outcome.slide, outcome.athlete, unit)
    if not outcome.reviews:
        return slide
    said = unnamed(outcome.reviews[-1].sentence, outcome.athlete, unit)
    said = "; ".join(filter(None, (said, slide)))
    # marks do not follow before somebody is sure
    return f"in doubt; if the times are right: {said}" if outcome.state is State.DOUBT else said


def sentence_now(outcome: Outcome, unit: UnitSystem) -> str:
    """Return the sentence as it holds now: once a day is accepted, what it changes is changed."""
    said = sentence(outcome, unit)
    moved = outcome.state is State.RECORDED and any(
        made.sentence.code.startswith(_MOVES) for made in outcome.reviews
    )
    return f"in the marks by now: {said}" if moved else said


def notes(found: Iterable[Outcome], unit: UnitSystem) -> tuple[str, ...]:
    """Return what a coach is told of a day beside the sentences, gravest first, each once."""
    findings = (
        finding
        for outcome in found
        if outcome.state is not State.TROUBLE
        for made in outcome.reviews
        if made.doubt is not Doubt.WRONG  # its sentence says all there is to say
        for finding in made.findings
    )
    return tuple(f"{level.value}: {text}" for level, text in told(findings, unit))


def unnamed(said: Finding | str, athlete: str, unit: UnitSystem) -> str:
    """Return what is said of an athlete without the name before it."""
    text = said if isinstance(said, str) else str(word(said, unit))
    return text.removeprefix(f"{athlete}: ")


def recovery_text(session: Session) -> str:
    """Return which recovery is taken where the plan tells none, and by what; "" where it does."""
    if "recovery" not in session.defaults:
        return ""
    loads = session.loads
    taken = dict.fromkeys(
        format_duration(end(each.recovery_s for each in loads)) for end in (min, max)
    )
    low = format_duration(min(each.recovery.low_s for each in loads))
    high = format_duration(max(each.recovery.high_s for each in loads))
    return (
        f"No recovery is given: {' to '.join(taken)} by speed and distance (common practice; "
        f"{low} to {high} for such runs)"
    )


# --- the results of a day --------------------------------------------------------------------

_TIMES = ("runs", "best", "mean", "SD", "expected")
RESULTS = ("athlete", "marks", *_TIMES, "difference", "cadence", "asked", "gaps", "record")
"""Columns of the results; the runs as they are written at the track."""
_UNITS = {**dict.fromkeys(_TIMES, "s"), "cadence": "steps/s", "asked": "steps/s"}
RESULT_UNITS = tuple(_UNITS.get(name, "") for name in RESULTS)


def result_row(outcome: Outcome, unit: UnitSystem) -> tuple[str, ...]:
    """Return an athlete's day as cells of `RESULTS`."""
    made = outcome.main
    mean = outcome.mean_s
    change = outcome.gap_change_m
    seen = None if made is None else made.achieved_cadence
    asked = None if made is None else made.expected_cadence_hz
    return (
        outcome.athlete,
        "" if made is None else f"{mark_name(made.from_mark)} to {mark_name(made.to_mark)}",
        runs_text(outcome, unit),
        _seconds(outcome.best_s),
        _seconds(mean),
        _seconds(outcome.sd_s),
        _seconds(None if made is None else made.expected_time_s),
        "" if made is None or mean is None else signed_percent(mean / made.expected_time_s - 1.0),
        "" if seen is None else format_cadence(seen.value, bare=True),
        "" if asked is None else format_cadence(asked, bare=True),
        "" if change is None else _signed(change, unit),
        outcome.state.value,
    )


def _seconds(time_s: float | None) -> str:
    return "" if time_s is None else format_time(time_s).removesuffix(" s")


def _signed(move_m: float, unit: UnitSystem) -> str:
    shown = format_move(abs(move_m), unit)
    if shown == format_move(0.0, unit):
        return "same"
    return f"{'+' if move_m > 0.0 else '-'}{shown}"
