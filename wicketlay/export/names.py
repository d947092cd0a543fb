"""What marks, readings, moves and checks are called, for every table, message and screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.lanes.closing import closing_check, hurdles_left
from wicketlay.units import format_length, format_ticks
from wicketlay.wording.names import mark_label, mark_name, move_text, shown_text, signed_percent
from wicketlay.wording.solved import told_of, unit_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import TapeSheet
    from wicketlay.solve import Moved
    from wicketlay.units import UnitSystem

__all__ = [
    "bare_length",
    "bare_shown",
    "closing_check",
    "hurdles_left",
    "mark_label",
    "mark_name",
    "move_text",
    "moves_text",
    "reading_of",
    "signed_percent",
    "told_of",
    "unit_of",
]


def reading_of(tape: TapeSheet, mark_id: str) -> tuple[int, int, float, str] | None:
    """Return (pull, ticks, tick [m], shown) of a mark's first reading, None when not read."""
    try:
        pull, reading = tape.reading(mark_id)
    except KeyError:
        return None
    shown = format_ticks(reading.ticks, reading.tick.value)
    return pull.number, reading.ticks, reading.tick.metres, shown


def moves_text(moves: Sequence[Moved], unit: UnitSystem) -> str:
    """Return what is moved: ``W7 forward 6 cm, W8 forward 9 cm``."""
    return ", ".join(move_text(each, unit) for each in moves) or "nothing moves"


def bare_length(value: float | None, unit: UnitSystem) -> str:
    """Return a length for a column: metres without the unit, nothing for None."""
    return "" if value is None else format_length(value, unit, bare=True)


def bare_shown(value: float | None, unit: UnitSystem) -> str:
    """Return what the tape shows, in whole ticks, for a column; nothing for None."""
    return "" if value is None else shown_text(value, unit, bare=True)
