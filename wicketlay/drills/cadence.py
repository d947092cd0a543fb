"""The cadence a coach asks for over wickets, in steps a second or as a share."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.errors import require_range
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.athlete import Runner

CADENCES_HZ = (2.0, 6.0)
"""Cadence that may be asked [steps/s]."""
CADENCE_SHARES = (0.7, 1.3)
"""Cadence that may be asked as a share of the athlete's own."""


class CadenceRule(StrEnum):
    """What a target cadence is a share of."""

    NATURAL = "natural"
    STEPS_PER_S = "steps/s"
    OF_TOP = "of top"
    OF_NATURAL = "of natural"


@dataclass(frozen=True, slots=True, kw_only=True)
class CadenceTarget:
    """The cadence asked in the section.

    `value` is steps/s for `STEPS_PER_S`, a share for `OF_TOP` and `OF_NATURAL`, 1 for natural.
    """

    rule: CadenceRule = CadenceRule.NATURAL
    value: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a cadence nobody runs at."""
        if self.rule is CadenceRule.STEPS_PER_S:
            require_range("cadence", self.value, *CADENCES_HZ, "steps/s")
        else:
            require_range("cadence", self.value, *CADENCE_SHARES, "of the athlete's own")


def target_cadence_hz(
    runner: Runner, target: CadenceTarget, speed_share: float, judgement: Judgement = DEFAULTS
) -> float:
    """Return the cadence [steps/s] that `target` means over wickets at a share of top speed."""
    match target.rule:
        case CadenceRule.STEPS_PER_S:
            return target.value
        case CadenceRule.OF_TOP:
            return target.value * runner.gait.top_cadence.value
        case _:
            return target.value * runner.gait.natural_cadence_hz(speed_share, judgement)
