"""All that was found of a solved plan, as lines that say which laying each is of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import Level
from wicketlay.units import UnitSystem
from wicketlay.wording import told

if TYPE_CHECKING:
    from wicketlay.findings import Finding
    from wicketlay.solve import Laying, Solved


def unit_of(solved: Solved) -> UnitSystem:
    """Return the unit that the plan's tape is read in."""
    return UnitSystem.METRIC if solved.plan.tape.tick.metric else UnitSystem.FEET


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
