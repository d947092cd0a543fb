"""What marks, readings, moves and checks are called, for every table, message and screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import Level
from wicketlay.lanes.closing import closing_check, hurdles_left
from wicketlay.units import UnitSystem, format_length, format_ticks
from wicketlay.wording import told
from wicketlay.wording.names import mark_label, mark_name, move_text, shown_text, signed_percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.findings import Finding
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.solve import Laying, Moved, Solved

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


def moves_text(moves: Sequence[Moved], unit: UnitSystem) -> str:
    """Return what is moved: ``W7 forward 6 cm, W8 forward 9 cm``."""
    return ", ".join(move_text(each, unit) for each in moves) or "nothing moves"


def told_of(solved: Solved) -> tuple[tuple[Level, str], ...]:
    """Return all that was found as lines, gravest first, each once.

    With several layings a stop or a caution says which one it is of, unless it names the athlete.
    """
    unit = unit_of(solved)
    lines = list(told(solved.all_findings, unit))
    if len(solved.layings) > 1:
        lines = list(told(solved.findings, unit))
        whose = [f for laying in solved.layings for f in laying.findings if _says_whose(f)]
        lines += told(whose, unit)
        others = [
            (laying, told((f for f in laying.findings if not _says_whose(f)), unit))
            for laying in solved.layings
        ]
        # What holds wherever something is laid is of the ground, and said once.
        everywhere = [line for line in others[0][1] if all(line in own for _, own in others)]
        lines += everywhere
        for laying, own in others:
            lines += [
                (level, _placed(solved, laying, text))
                for level, text in own
                if (level, text) not in everywhere
            ]
    return tuple(sorted(dict.fromkeys(lines), key=lambda line: list(Level).index(line[0])))


def _says_whose(finding: Finding) -> bool:
    return finding.level is Level.NOTE or finding.athlete is not None


def _placed(solved: Solved, laying: Laying, text: str) -> str:
    """Return what was found on a laying with its lane, wave, stage and athletes before it."""
    stage = f", stage {laying.stage}" if solved.plan.stages is not None else ""
    where = f"lane {laying.lane}, wave {laying.wave}{stage}, {', '.join(laying.athletes)}"
    return f"{where}: {text.removeprefix(f'lane {laying.lane}: ')}"


def bare_length(value: float | None, unit: UnitSystem) -> str:
    """Return a length for a column: metres without the unit, nothing for None."""
    return "" if value is None else format_length(value, unit, bare=True)


def bare_shown(value: float | None, unit: UnitSystem) -> str:
    """Return what the tape shows, in whole ticks, for a column; nothing for None."""
    return "" if value is None else shown_text(value, unit, bare=True)
