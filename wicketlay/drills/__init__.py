"""The drills: a specification and a runner in, a layout of marks out."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias, TypeGuard

from wicketlay.drills import acceleration, broken_run, flying, takeoff_run, wicket_run
from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.kit import DEFAULT_KIT, Kit
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.sources import DEFAULTS, Judgement

if TYPE_CHECKING:
    from wicketlay.drills.marks import Layout
    from wicketlay.running.athlete import Runner

__all__ = [
    "AccelerationMarks",
    "BrokenRun",
    "FlyingSegment",
    "Kit",
    "Spec",
    "TakeoffRun",
    "WicketRun",
    "at_line",
    "lay",
    "of_any_length",
    "over_wickets",
]

Spec: TypeAlias = WicketRun | TakeoffRun | FlyingSegment | BrokenRun | AccelerationMarks
"""What a coach can ask for."""


def over_wickets(drill: Spec) -> TypeGuard[WicketRun | TakeoffRun]:
    """Tell whether wickets are run over: with a cadence, gaps to open, and stages that follow."""
    return isinstance(drill, WicketRun | TakeoffRun)


def at_line(drill: Spec) -> TypeGuard[TakeoffRun]:
    """Tell whether the run ends on a take-off line, which holds it in its place."""
    return isinstance(drill, TakeoffRun)


def of_any_length(drill: Spec) -> TypeGuard[WicketRun]:
    """Tell whether it may have any number of wickets, and be shared by several athletes."""
    return isinstance(drill, WicketRun)


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
            return flying.lay(runner, spec, kit, judgement)
        case BrokenRun():
            return broken_run.lay(runner, spec, kit, judgement)
        case AccelerationMarks():
            return acceleration.lay(runner, spec, kit, judgement)
