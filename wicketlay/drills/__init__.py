"""The drills: a specification and a runner in, a layout of marks out."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from wicketlay.drills import acceleration, broken_run, flying, takeoff_run, wicket_run
from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.kit import DEFAULT_KIT, Kit
from wicketlay.drills.run_on import AnyLength, AtLine, OverWickets
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.sources import DEFAULTS, Judgement

if TYPE_CHECKING:
    from wicketlay.drills.marks import Layout
    from wicketlay.running.athlete import Runner

__all__ = [
    "AccelerationMarks",
    "AnyLength",
    "AtLine",
    "BrokenRun",
    "FlyingSegment",
    "Kit",
    "OverWickets",
    "Spec",
    "TakeoffRun",
    "WicketRun",
    "lay",
]

Spec: TypeAlias = WicketRun | TakeoffRun | FlyingSegment | BrokenRun | AccelerationMarks
"""What a coach can ask for."""


def lay(
    runner: Runner, spec: Spec, kit: Kit = DEFAULT_KIT, judgement: Judgement = DEFAULTS
) -> Layout:
    """Lay the drill that `spec` asks for; see the drill's own module."""
    match spec:
        case WicketRun():
            return wicket_run.lay(runner, spec, kit, judgement)
        case TakeoffRun():
            return takeoff_run.lay(runner, spec, kit, judgement)
        case FlyingSegment():
            return flying.lay(runner, spec, judgement)
        case BrokenRun():
            return broken_run.lay(runner, spec, judgement)
        case AccelerationMarks():
            return acceleration.lay(runner, spec, judgement)
