"""From a plan to everything that is printed or shown. Never raises on a valid plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wicketlay.drills.marks import AlongM, Layout
    from wicketlay.findings import Finding
    from wicketlay.ground.placing import Placed
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.plan import Plan
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.athlete import Athlete, Foot, Runner


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One athlete on a laying: where they start and what the laid marks ask of them.

    Parameters
    ----------
    athlete, runner
        Who.
    letter
        Letter of the start cone when several start marks share the laying, else "".
    start_id
        Id of the start mark ("start", "start-a").
    start_along_m, run_on_m, run_on_steps
        Start mark.
    front_foot, foot_is_wish
        Front foot on the start mark, and whether it follows from the foot wanted at W1.
    appraisal
        Speed, cadence and gap against the natural step at each laid mark.
    layout
        The layout this athlete would get alone.
    """

    athlete: Athlete
    runner: Runner
    letter: str
    start_id: str
    start_along_m: AlongM
    run_on_m: float
    run_on_steps: int
    front_foot: Foot | None
    foot_is_wish: bool
    appraisal: Appraisal
    layout: Layout


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """One set of marks on one lane, for one wave and stage."""

    lane: int
    wave: int
    stage: int
    demands: tuple[Demand, ...]
    layout: Layout
    placed: Placed
    tape: TapeSheet
    moved_m: tuple[tuple[str, float], ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A plan with all that follows from it."""

    plan: Plan
    layings: tuple[Laying, ...]
    findings: tuple[Finding, ...]
