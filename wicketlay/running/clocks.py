"""What starts the clock of a split time, and how far the run has got by then."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.sources import FOOT_RELEASE_TO_GUN_S, GATE_SHIFT_S, HAND_RELEASE_TO_GUN_S

if TYPE_CHECKING:
    from wicketlay.sources import Judgement


class ClockStart(StrEnum):
    """What starts the clock of a split time."""

    FIRST_MOVEMENT = "first-movement"
    GATE = "gate"
    GUN = "gun"
    HAND_RELEASE = "hand-release"
    FOOT_RELEASE = "foot-release"


LATE_STARTS = (ClockStart.GATE, ClockStart.FOOT_RELEASE)
"""The body is well under way when these start the clock, and how far differs from run to run."""


class ShiftBasis(StrEnum):
    """Where the time shift of a fit comes from."""

    NONE = "none"
    FITTED = "fitted"
    ASSUMED = "assumed"
    GIVEN = "given"


def assumed_shift(
    start: ClockStart, reaction_s: float | None, judgement: Judgement
) -> tuple[float, float, ShiftBasis]:
    """Return (shift, its SD, basis) to add to measured times when it is not fitted [s].

    What Haugen et al. print is against a block start to the gun, with a reaction time in it.

    References
    ----------
    Gate: Jovanovic, corrections in sprint modelling. Hand and foot: Haugen, Tonnessen & Seiler
    2012, J Strength Cond Res 26:473.
    """
    reaction, reaction_sd = float(judgement.reaction_s), float(judgement.reaction_sd_s)
    late_sd = float(judgement.gate_shift_sd_s)
    match start:
        case ClockStart.FIRST_MOVEMENT:
            return 0.0, 0.0, ShiftBasis.NONE
        case ClockStart.GATE:
            return float(GATE_SHIFT_S), late_sd, ShiftBasis.ASSUMED
        case ClockStart.HAND_RELEASE:
            return HAND_RELEASE_TO_GUN_S - reaction, reaction_sd, ShiftBasis.ASSUMED
        case ClockStart.FOOT_RELEASE:
            return FOOT_RELEASE_TO_GUN_S - reaction, late_sd, ShiftBasis.ASSUMED
        case ClockStart.GUN if reaction_s is None:
            return -reaction, reaction_sd, ShiftBasis.ASSUMED
        case ClockStart.GUN:
            return -reaction_s, 0.0, ShiftBasis.GIVEN
