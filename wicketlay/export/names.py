"""What marks, readings, moves and checks are called, for every table, message and screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.units import UnitSystem, format_length, format_move, format_percent, format_ticks

if TYPE_CHECKING:
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.solve import Laying, Moved, Solved


def unit_of(solved: Solved) -> UnitSystem:
    """Return the unit that the plan's tape is read in."""
    return UnitSystem.METRIC if solved.plan.tape.tick.metric else UnitSystem.FEET


def reading_of(tape: TapeSheet, mark_id: str) -> tuple[int, int, float, str] | None:
    """Return (pull, ticks, tick [m], shown) of a mark's first reading, None when not read."""
    try:
        pull, reading = tape.reading(mark_id)
    except KeyError:
        return None
    shown = format_ticks(reading.ticks, reading.tick.value)
    return pull.number, reading.ticks, reading.tick.metres, shown


def mark_name(mark_id: str) -> str:
    """Return a mark as it is called on the ground: ``W7``, ``START A``, ``THE LINE``."""
    if mark_id == "line":
        return "THE LINE"
    return mark_id.replace("-", " ").upper()


def closing_check(laying: Laying) -> tuple[str, str, float] | None:
    """Return two wickets about five gaps apart and their true distance [m], None if too few.

    A distance between two marks that no single reading shows: it finds a wrong row.
    """
    wickets = laying.layout.of_kind(MarkKind.WICKET)
    if len(wickets) < 3:
        return None
    last = min(len(wickets), max(3, 2 * len(wickets) // 3 + 1))
    first = max(1, last - 5)
    one, other = wickets[first - 1], wickets[last - 1]
    return one.id.upper(), other.id.upper(), float(other.along_m - one.along_m)


def move_text(moved: Moved, unit: UnitSystem) -> str:
    """Return one move: ``W7 forward 6 cm``."""
    name = mark_name(moved.mark_id)
    if moved.by_m is None:
        return f"{name} {'taken up' if moved.taken_up else 'laid'}"
    side = "forward" if moved.by_m > 0 else "back"
    return f"{name} {side} {format_move(abs(moved.by_m), unit)}"


def moves_text(laying: Laying, unit: UnitSystem) -> str:
    """Return what is moved for a laying: ``W7 forward 6 cm, W8 forward 9 cm``."""
    if not laying.moved:
        return "nothing moves"
    told = ", ".join(move_text(m, unit) for m in laying.moved)
    return f"all laid anew: {told}" if laying.laid_anew else told


def signed_percent(share: float) -> str:
    """Return a share as ``+1.1 %``, ``-3.5 %`` or ``0 %``."""
    text = format_percent(abs(share))
    if text == format_percent(0.0):
        return text
    return f"{'+' if share > 0 else '-'}{text}"


def bare_length(value: float | None, unit: UnitSystem) -> str:
    """Return a length for a column: metres without the unit, nothing for None."""
    return "" if value is None else format_length(value, unit, bare=True)
