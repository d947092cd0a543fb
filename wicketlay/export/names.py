"""How readings, moves and lengths stand in tables, in messages and on screens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.units import format_length, format_ticks
from wicketlay.wording.names import move_text, shown_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.tape import TapeSheet
    from wicketlay.solve import Moved
    from wicketlay.units import UnitSystem


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
