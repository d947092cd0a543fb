"""What marks, places and moves are called, the same on paper, in messages and on screen."""

from __future__ import annotations

import math
import re
from functools import partial
from typing import TYPE_CHECKING

from wicketlay.running.touchdowns import StartKind
from wicketlay.units import (
    FOOT_M,
    INCH_M,
    MILE_M,
    UnitSystem,
    format_cadence,
    format_length,
    format_move,
    format_percent,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wicketlay.lanes.laying import Demand, Moved
    from wicketlay.running.facts import Athlete

_NUMBERED = re.compile(r"^(cone|gate|step)(\d+)$")
_SHORT = {"cone": "C", "gate": "G", "step": "STEP "}
OLD_OFF = "old mark off"
"""What is done with a mark of chalk or tape that moves, beside making the new one."""
REMADE = "taken up, laid anew"
"""What is done with a hurdle that becomes chalk or tape, or the other way round."""
FAR_MOVE_M = 1.0
"""From here on a move is told in metres rather than centimetres."""
_FINEST = 4
"""Parts of an inch of the finest tick; whole ticks of a coarser one read the same."""


def mark_name(mark_id: str) -> str:
    """Return a mark as it is called on the ground: W7, START A, GATE 1, STEP 3, TAKE-OFF LINE."""
    if mark_id == "line":
        return "TAKE-OFF LINE"
    numbered = _NUMBERED.match(mark_id)
    if numbered:
        return f"{numbered[1].upper()} {numbered[2]}"
    return mark_id.replace("-", " ").upper()


def mark_label(mark_id: str) -> str:
    """Return the short name for a column or a drawing: W7, A, START, G1, C2, STEP 3, LINE."""
    if mark_id == "line":
        return "LINE"
    numbered = _NUMBERED.match(mark_id)
    if numbered:
        return _SHORT[numbered[1]] + numbered[2]
    return mark_id.removeprefix("start-").upper()


def cadence_seen(athlete: Athlete) -> str:
    """Return the cadence seen of an athlete and where, "" when none is in the record."""
    seen = athlete.first_guess
    if seen is None:
        return ""
    return f"{format_cadence(seen.cadence_hz)} at {format_percent(seen.speed_share)}"


def room_text(room_m: float, unit: UnitSystem) -> str:
    """Return a length that must be free, in whole metres or feet, always rounded up."""
    name, whole_m = large_unit(unit)
    return f"{math.ceil(room_m / whole_m - 1e-9)} {name}"


def there_text(room_m: float, unit: UnitSystem) -> str:
    """Return how much room there is, never more than there is: down to 0.1 m or a whole foot."""
    room_m = max(room_m, 0.0)
    if unit is UnitSystem.FEET:
        return f"{math.floor(room_m / float(FOOT_M) + 1e-9)} ft"
    return f"{math.floor(10 * room_m + 1e-9) / 10:.1f} m"


def tape_text(length_m: float, unit: UnitSystem) -> str:
    """Return how long a tape is, never more than it is: 50 m, 7.5 m, 164 ft."""
    return there_text(length_m, unit).replace(".0 m", " m")


_ROUND_LENGTH = {UnitSystem.METRIC: 0.5, UnitSystem.FEET: 1.0}
"""Tapes are sold in whole ones of so many metres, or feet."""


def carried_tape_text(length_m: float, unit: UnitSystem) -> str:
    """Return which tape to carry: ``tape, 50 m``, or of one told in the other unit what will do.

    No tape of 30 m has feet on it: ``tape in feet, 99 ft or longer``.
    """
    _, whole_m = large_unit(unit)
    lengths = length_m / whole_m / _ROUND_LENGTH[unit]
    if abs(lengths - round(lengths)) < 0.01:
        return f"tape, {tape_text(length_m, unit)}"
    scale = "feet" if unit is UnitSystem.FEET else "metres"
    return f"tape in {scale}, {room_text(length_m, unit)} or longer"


def about_text(length_m: float, unit: UnitSystem) -> str:
    """Return a length that is known roughly: whole metres or feet, below one 0.4 m or 5 in."""
    if unit is UnitSystem.FEET:
        feet = length_m / float(FOOT_M)
        return f"{round(feet)} ft" if feet >= 1.0 else f"{round(12 * feet)} in"
    return f"{length_m:.0f} m" if length_m >= 1.0 else f"{length_m:.1f} m"


def come_in_text(demand: Demand, unit: UnitSystem) -> str:
    """Return how somebody comes to the start mark, "walk in over 4 m"; "" who stands there."""
    approach_m = demand.layout.approach_m
    if not approach_m:
        return ""
    way = "jog" if getattr(demand.spec, "start", None) is StartKind.JOG_IN else "walk"
    return f"{way} in over {about_text(approach_m, unit)}"


def small_text(length_mm: float, unit: UnitSystem) -> str:
    """Return what is mostly smaller than a tick of the tape: 17 mm, or 5/8 in; 2.96 m if far."""
    if length_mm >= 1000.0 * FAR_MOVE_M:
        return format_length(length_mm / 1000.0, unit)
    if unit is UnitSystem.FEET:
        return format_move(length_mm / 1000.0, unit, per_inch=8)
    return f"{length_mm:.0f} mm"


def shown_text(length_m: float | None, unit: UnitSystem, *, bare: bool = False) -> str:
    """Return a length of whole ticks of the tape, "" for None; `bare` leaves metres unsaid."""
    if length_m is None:
        return ""
    return format_length(length_m, unit, per_inch=_FINEST, bare=bare)


def move_way(shown_m: float, unit: UnitSystem) -> str:
    """Return which way and how far a mark is moved: forward 6 cm, from a metre on back 1.36 m."""
    far = abs(shown_m) >= FAR_MOVE_M
    said = shown_text if far else partial(format_move, per_inch=_FINEST)
    return f"{'forward' if shown_m > 0 else 'back'} {said(abs(shown_m), unit)}"


def signed_move(moved_m: float, unit: UnitSystem) -> str:
    """Return a move with its sign: ``+6 cm`` is in the running direction; as a length from 1 m."""
    said = shown_text if abs(moved_m) >= FAR_MOVE_M else partial(format_move, per_inch=_FINEST)
    text = said(moved_m, unit)
    return text if text.startswith("-") else f"+{text}"


def signed_percent(share: float | None, minus: str = "-") -> str:
    """Return a share with its sign: ``+1.1 %``, ``-3.5 %``, ``0 %``; "" for None."""
    if share is None:
        return ""
    text = format_percent(abs(share))
    if text == format_percent(0.0):
        return text
    return f"{'+' if share > 0 else minus}{text}"


def move_text(moved: Moved, unit: UnitSystem) -> str:
    """Return one move: ``W7 forward 6 cm``."""
    name = mark_name(moved.mark_id)
    if moved.shown_m is None:
        done = REMADE if moved.remade else "taken up" if moved.taken_up else "laid"
        return f"{name} {done}"
    return f"{name} {move_way(moved.shown_m, unit)}"


def anew_text(moves: Iterable[Moved]) -> str:
    """Return what to do with marks of chalk or tape that move, "" where none does."""
    drawn = any(each.drawn and each.shown_m is not None for each in moves)
    return f"Chalk or tape that moves: {OLD_OFF}." if drawn else ""


def large_unit(unit: UnitSystem) -> tuple[str, float]:
    """Return the unit of what is told in whole ones, and how many metres it is: m, or ft."""
    return ("ft", float(FOOT_M)) if unit is UnitSystem.FEET else ("m", 1.0)


def speed_unit(unit: UnitSystem) -> tuple[str, float]:
    """Return the unit of a speed, and how many metres a second it is: m/s, or mph."""
    return ("mph", float(MILE_M) / 3600) if unit is UnitSystem.FEET else ("m/s", 1.0)


def small_unit(unit: UnitSystem) -> tuple[str, float]:
    """Return the unit of what is shorter than a step, and how many metres it is: cm, or in."""
    return ("in", float(INCH_M)) if unit is UnitSystem.FEET else ("cm", 0.01)


def miss_text(miss_m: float, unit: UnitSystem) -> str:
    """Return a miss at the board and which way it is: ``12 cm over``, ``30 cm short``."""
    size = format_move(abs(miss_m), unit)
    if size == format_move(0.0, unit):
        return size
    return f"{size} {'over' if miss_m > 0.0 else 'short'}"


def slide_text(slide_m: float, unit: UnitSystem) -> str:
    """Return a slide of all marks and which way it is: ``12 cm back``."""
    size = format_move(abs(slide_m), unit)
    if size == format_move(0.0, unit):
        return "none"
    return f"{size} {'forward' if slide_m > 0.0 else 'back'}"
