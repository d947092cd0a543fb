"""The wicket run: a run-on, then a section of low hurdles one step apart."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.running.touchdowns import StartKind

if TYPE_CHECKING:
    from wicketlay.running.athlete import Foot


class GapRule(StrEnum):
    """How the gaps follow the growing step."""

    FOLLOW = "follow"
    EVEN = "even"
    STEPPED = "stepped"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class WicketRun:
    """What the coach asks of a wicket run.

    Parameters
    ----------
    speed_share
        The speed the run builds towards, as a share of top speed.
    cadence
        The cadence asked in the section.
    section_m, wickets
        Length of the section [m] or number of wickets; exactly one of them.
    gaps, group
        How gaps follow the step; group size for stepped gaps.
    first_foot
        The foot wanted first on the ground beyond wicket 1.
    start
        Standing, walk-in or jog-in.
    run_on_m
        Run-on fixed by the coach [m], or None for a whole number of steps.
    run_on_steps
        Run-on fixed by the coach in steps, or None.
    gap_change
        All gaps opened (+) or closed (-) by this share, W1 held.
    """

    speed_share: float
    cadence: CadenceTarget = CadenceTarget()
    section_m: float | None = None
    wickets: int | None = None
    gaps: GapRule = GapRule.FOLLOW
    group: int = 4
    first_foot: Foot | None = None
    start: StartKind = StartKind.STANDING
    run_on_m: float | None = None
    run_on_steps: int | None = None
    gap_change: float = 0.0
