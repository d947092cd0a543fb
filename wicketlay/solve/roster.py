"""Who runs today: every athlete made a runner, with what is asked of them."""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.drills import AtLine, OverWickets, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.run_on import SPEED_SHARES
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.ground.placing import room_before
from wicketlay.lanes.members import Member, timed_from
from wicketlay.running.athlete import NotEnoughKnown, make_runner
from wicketlay.running.children import children_findings, is_under_15
from wicketlay.sources import FOOT_AHEAD_M
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills import Spec
    from wicketlay.drills.marks import Layout
    from wicketlay.ground.placing import Place
    from wicketlay.plan import Adjustment, Plan
    from wicketlay.running.athlete import Athlete


def members_of(plan: Plan, drill: Spec) -> tuple[list[Member], list[Finding]]:
    """Return every athlete who can be laid for; findings name who cannot, and the children."""
    members: list[Member] = []
    away = plan.away
    here = [athlete for athlete in plan.athletes if athlete.name not in away]
    findings = children_findings(here, plan.date)
    for athlete in plan.athletes:
        adjustment = plan.adjustment(athlete.name)
        try:
            members.append(_member(plan, athlete, adjustment, drill))
        except NotEnoughKnown as unknown:
            findings.append(unknown.finding)
        except DomainError as refused:
            findings.append(Finding.stop("athlete-refused", athlete.name, reason=str(refused)))
    return members, findings


def steps_of(plan: Plan, athlete: str) -> int:
    """Return how many steps an athlete's whole run has; DomainError where it cannot be laid."""
    member = _member(plan, plan.known(athlete), plan.adjustment(athlete), plan.drill)
    return len(member.layout.landings)


def _member(plan: Plan, athlete: Athlete, adjustment: Adjustment, drill: Spec) -> Member:
    spec = adjusted(drill, adjustment)
    cadence_hz = None
    if isinstance(drill, OverWickets) and drill.cadence.rule is CadenceRule.STEPS_PER_S:
        cadence_hz = drill.cadence.value
    runner = make_runner(
        athlete,
        cadence_hz=cadence_hz,
        speed_share=drill.speed_share,
        today=plan.date,
        judgement=plan.judgement,
    )
    if isinstance(spec, AtLine) and spec.room_m is None:
        where = slid(plan.place, plan, [athlete.name])
        room_m = _runway_room(plan, where, *range_of(type(spec), "room_m"))
        spec = replace(spec, room_m=room_m)
    layout = lay(runner, spec, plan.kit, plan.judgement)
    _require_run_on(layout, adjustment)
    layout = timed_from(layout, runner, adjustment.start_shift_m)
    if plan.stages is not None:
        # Refused here, by name, when a stage is too slow for the start: before any is laid.
        for end in (plan.stages.from_share, plan.stages.to_share):
            share = possible_share(end + adjustment.speed_change)
            slower = lay(runner, replace(spec, speed_share=share), plan.kit, plan.judgement)
            _require_run_on(slower, adjustment)
    return Member(
        runner=runner,
        spec=spec,
        layout=layout,
        start_shift_m=adjustment.start_shift_m,
        spared=runner.provisional or is_under_15(athlete, plan.date),
    )


def _require_run_on(layout: Layout, adjustment: Adjustment) -> None:
    """Refuse a start mark that is moved to the first mark or beyond it."""
    most_m = layout.run_on_m - float(FOOT_AHEAD_M)
    moved_m = adjustment.start_shift_m
    if moved_m > 0.0 and not moved_m < most_m:
        most = math.floor(max(most_m, 0.0) * 100.0) / 100.0
        raise DomainError(
            f"a start mark moved {moved_m:.2f} m in the running direction leaves no run-on; it "
            f"must be less than {most:.2f} m"
        )


def slid(where: Place, plan: Plan, athletes: Sequence[str]) -> Place:
    """Return a place with its slide and that of the athletes who share its marks, their mean."""
    own_m = [plan.adjustment(name).slide_m for name in athletes]
    if not any(own_m):
        return where
    low, high = range_of(type(where), "slide_m")
    slide_m = round(where.slide_m + statistics.fmean(own_m), 6)
    return replace(where, slide_m=min(max(slide_m, low), high))


def _runway_room(plan: Plan, where: Place, least_m: float, most_m: float) -> float | None:
    """Return the runway there is [m]; None when nothing ends it within reach of a run."""
    room = room_before(plan.ground, where)
    return None if room is None or room > most_m else max(room, least_m)


def possible_share(share: float) -> float:
    """Return the nearest speed share a drill may build towards."""
    return min(max(share, SPEED_SHARES[0]), SPEED_SHARES[1])


def adjusted(drill: Spec, adjustment: Adjustment) -> Spec:
    """Return the drill as one athlete runs it, with what the coach changed for them."""
    changes = (adjustment.speed_change, adjustment.cadence_change, adjustment.gap_change)
    if not any(changes):
        return drill
    share = possible_share(drill.speed_share + adjustment.speed_change)
    if isinstance(drill, OverWickets):
        return replace(
            drill,
            speed_share=share,
            cadence=changed_cadence(drill.cadence, adjustment.cadence_change),
            gap_change=drill.gap_change + adjustment.gap_change,
        )
    return replace(drill, speed_share=share)


def changed_cadence(target: CadenceTarget, change: float) -> CadenceTarget:
    """Return `target` with `change` added: points of a share, or per cent of steps/s."""
    if change == 0.0:
        return target
    match target.rule:
        case CadenceRule.STEPS_PER_S:
            return replace(target, value=target.value * (1.0 + change))
        case CadenceRule.NATURAL:
            return CadenceTarget(rule=CadenceRule.OF_NATURAL, value=1.0 + change)
        case _:
            return replace(target, value=target.value + change)
