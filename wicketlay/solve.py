"""From a plan to everything that is printed or shown. Never raises on a valid plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    TakeoffRun,
    WicketRun,
    lay,
)
from wicketlay.drills.wicket_run import CadenceRule, CadenceTarget
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.ground.placing import place, room_before
from wicketlay.ground.tape import tape_sheet
from wicketlay.practice.laying import Demand, Laying, Moved
from wicketlay.practice.members import (
    Member,
    group_places,
    on_marks,
    places_of,
    recounted,
    wanted,
)
from wicketlay.practice.sharing import share
from wicketlay.practice.stages import follow, speed_shares
from wicketlay.practice.timetable import timetable
from wicketlay.running.athlete import NotEnoughKnown, make_runner

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.drills import Spec
    from wicketlay.ground.placing import Placed
    from wicketlay.plan import Adjustment, Plan
    from wicketlay.practice.session import Session
    from wicketlay.running.athlete import Athlete

__all__ = ["Demand", "Laying", "Moved", "Solved", "solve"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A plan with all that follows from it.

    Parameters
    ----------
    plan
        What was solved.
    layings
        By stage, then wave, then lane.
    stage_shares
        Speed share of each stage; one entry when the plan has no stages.
    session
        Who runs when, at the stage the plan is at; None when nobody runs.
    findings
        What concerns the plan as a whole and athletes who got no laying; each laying carries
        its own.
    """

    plan: Plan
    layings: tuple[Laying, ...]
    stage_shares: tuple[float, ...]
    session: Session | None
    findings: tuple[Finding, ...]

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Everything that was found, in the plan and on every laying."""
        return (*self.findings, *(f for laying in self.layings for f in laying.findings))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Slot:
    """A lane in a wave and who runs there."""

    lane: int
    wave: int
    members: tuple[Member, ...]


def solve(plan: Plan) -> Solved:
    """Return everything that follows from `plan`.

    Athletes of whom too little is known, and layings that do not fit, are findings; nothing is
    raised for a plan whose parts could be made.
    """
    members, findings = _members(plan, plan.drill)
    slots, sharing_findings = _slots(plan, members)
    shares = _stage_shares(plan)
    layings: list[Laying] = []
    for stage, share_of_top in enumerate(shares, start=1):
        layings += _stage(plan, slots, stage, share_of_top, layings)
    session = _session(plan, layings)
    return Solved(
        plan=plan,
        layings=tuple(layings),
        stage_shares=shares,
        session=session,
        findings=(
            *findings,
            *sharing_findings,
            *(() if session is None else session.findings),
        ),
    )


def _session(plan: Plan, layings: Sequence[Laying]) -> Session | None:
    now = 1 if plan.stages is None else plan.stages.now
    asked = plan.session
    return timetable(
        [laying for laying in layings if laying.stage == now],
        efforts=asked.efforts,
        recovery_s=asked.recovery_s,
        length_s=asked.length_s,
        late_s={each.athlete: each.late_s for each in plan.adjustments},
        assistants=asked.assistants,
        judgement=plan.judgement,
    )


def _stage_shares(plan: Plan) -> tuple[float, ...]:
    if plan.stages is None:
        return (plan.drill.speed_share,)
    return speed_shares(plan.stages.from_share, plan.stages.to_share, plan.stages.count)


# --- who runs ---------------------------------------------------------------------------------


def _members(plan: Plan, drill: Spec) -> tuple[list[Member], list[Finding]]:
    """Return every athlete who can be laid for, and findings for those who cannot."""
    members: list[Member] = []
    findings: list[Finding] = []
    for athlete in plan.athletes:
        adjustment = plan.adjustment(athlete.name)
        try:
            members.append(_member(plan, athlete, adjustment, drill))
        except NotEnoughKnown as unknown:
            findings.append(unknown.finding)
        except DomainError as refused:
            findings.append(
                Finding(
                    level=Level.STOP,
                    code="athlete-refused",
                    athlete=athlete.name,
                    values={"reason": str(refused)},
                )
            )
    return members, findings


def _member(plan: Plan, athlete: Athlete, adjustment: Adjustment, drill: Spec) -> Member:
    spec = adjusted(drill, adjustment)
    cadence = getattr(drill, "cadence", CadenceTarget())
    runner = make_runner(
        athlete,
        cadence_hz=cadence.value if cadence.rule is CadenceRule.STEPS_PER_S else None,
        speed_share=drill.speed_share,
        today=plan.date,
        judgement=plan.judgement,
    )
    if isinstance(spec, TakeoffRun) and spec.room_m is None:
        spec = replace(spec, room_m=room_before(plan.ground, plan.place))
    layout = lay(runner, spec, plan.kit, plan.judgement)
    return Member(runner=runner, spec=spec, layout=layout, start_shift_m=adjustment.start_shift_m)


def adjusted(drill: Spec, adjustment: Adjustment) -> Spec:
    """Return the drill as one athlete runs it, with what the coach changed for them."""
    share = drill.speed_share + adjustment.speed_change
    share = min(max(share, 0.5), 1.0)
    match drill:
        case WicketRun() | TakeoffRun():
            return replace(
                drill,
                speed_share=share,
                cadence=changed_cadence(drill.cadence, adjustment.cadence_change),
                gap_change=drill.gap_change + adjustment.gap_change,
            )
        case FlyingSegment() | BrokenRun() | AccelerationMarks():
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


# --- on which lane, in which wave --------------------------------------------------------------


def _slots(plan: Plan, members: Sequence[Member]) -> tuple[list[_Slot], list[Finding]]:
    """Return who runs where: shared when the plan says how many waves, else one by one."""
    lanes = plan.place.lanes
    present = {m.name for m in members if not plan.adjustment(m.name).absent}
    waves = plan.session.waves
    if waves is None or len(present) <= 1 or len(members) <= len(lanes) * waves:
        running = [m for m in members if m.name in present]
        return [
            _Slot(lane=lanes[i % len(lanes)], wave=i // len(lanes) + 1, members=(member,))
            for i, member in enumerate(running)
        ], []
    if not isinstance(plan.drill, WicketRun):
        needed = -(-len(present) // len(lanes))
        running = [m for m in members if m.name in present]
        finding = Finding(
            level=Level.CAUTION,
            code="not-shared",
            values={"waves": waves, "needed": needed, "drill": plan.drill_kind},
        )
        return [
            _Slot(lane=lanes[i % len(lanes)], wave=i // len(lanes) + 1, members=(member,))
            for i, member in enumerate(running)
        ], [finding]
    return _shared_slots(plan, members, present, waves), []


def _shared_slots(
    plan: Plan, members: Sequence[Member], present: set[str], waves: int
) -> list[_Slot]:
    """Return the exact sharing; absent athletes are dealt with as if present, then left out.

    So the others stay where they are when somebody is late.
    """
    lanes = plan.place.lanes
    count = max(places_of(m.layout).size for m in members)
    equal = {m.name: recounted(m, count, plan.kit, plan.judgement) for m in members}
    groups = share([wanted(m) for m in equal.values()], len(lanes) * waves, plan.judgement)
    slots = []
    for i, group in enumerate(groups):
        here = tuple(equal[name] for name in group if name in present)
        if here:
            # Neighbours in gap follow each other on one lane, so that few marks move far.
            lane, wave = divmod(i, waves)
            slots.append(_Slot(lane=lanes[lane], wave=wave + 1, members=here))
    return sorted(slots, key=lambda slot: (slot.wave, lanes.index(slot.lane)))


# --- one stage ---------------------------------------------------------------------------------


def _stage(
    plan: Plan, slots: Sequence[_Slot], stage: int, share_of_top: float, before: Sequence[Laying]
) -> list[Laying]:
    """Return the layings of one stage, in waves and lanes."""
    made: list[Laying] = []
    for slot in slots:
        earlier = _same_slot(before, slot, stage - 1)
        members = _at_share(plan, slot.members, share_of_top, _same_slot(before, slot, 1))
        alone = len(members) == 1
        section = getattr(plan.drill, "section_m", None) if plan.stages is None else None
        places = None if alone else group_places(members, section, plan.judgement)
        moved: tuple[Moved, ...] = ()
        anew = True
        if earlier is not None:
            members, places, moved, anew = _followed(plan, members, places, earlier)
        layout, demands = on_marks(members, places, plan.kit, plan.judgement)
        neighbours = [other.placed for other in made if other.wave == slot.wave]
        placed = place(
            layout,
            plan.ground,
            plan.place,
            lane=slot.lane,
            kit=plan.kit,
            judgement=plan.judgement,
            others=neighbours,
        )
        tape = tape_sheet(placed, plan.tape)
        previous = next((o for o in reversed(made) if o.lane == slot.lane), None)
        if earlier is None and previous is not None:
            moved = _between(previous, placed_along(placed))
        made.append(
            Laying(
                lane=slot.lane,
                wave=slot.wave,
                stage=stage,
                demands=demands,
                layout=layout,
                placed=placed,
                tape=tape,
                moved=moved,
                laid_anew=anew and previous is None,
                findings=_located(
                    (
                        *(f for m in members for f in m.runner.findings),
                        *layout.findings,
                        *placed.findings,
                        *tape.findings,
                    ),
                    slot,
                    stage if plan.stages is not None else None,
                ),
            )
        )
    return made


def _same_slot(layings: Sequence[Laying], slot: _Slot, stage: int) -> Laying | None:
    for laying in layings:
        if (laying.stage, laying.lane, laying.wave) == (stage, slot.lane, slot.wave):
            return laying
    return None


def _at_share(
    plan: Plan, members: Sequence[Member], share_of_top: float, first: Laying | None
) -> list[Member]:
    """Return the members laid for a stage's speed; N and the wickets are those of stage 1."""
    if plan.stages is None:
        return list(members)
    found = []
    for i, member in enumerate(members):
        adjustment = plan.adjustment(member.name)
        share_here = min(max(share_of_top + adjustment.speed_change, 0.5), 1.0)
        spec = replace(member.spec, speed_share=share_here)
        if isinstance(spec, WicketRun) and isinstance(member.spec, WicketRun):
            spec = _staged_wickets(plan, member, spec, share_here, first, i)
        layout = lay(member.runner, spec, plan.kit, plan.judgement)
        found.append(replace(member, spec=spec, layout=layout))
    return found


def _staged_wickets(
    plan: Plan,
    member: Member,
    spec: WicketRun,
    share_here: float,
    first: Laying | None,
    index: int,
) -> WicketRun:
    """Return the spec of a later stage: same count, same steps, cadence kept unless natural."""
    stages = plan.stages
    if (
        stages is not None
        and not stages.natural_cadence
        and (spec.cadence.rule is CadenceRule.NATURAL)
    ):
        gait = member.runner.gait
        low = min(max(stages.from_share + (share_here - spec.speed_share), 0.5), 1.0)
        kept = gait.natural_cadence_hz(low, plan.judgement) / gait.top_cadence.value
        spec = replace(spec, cadence=CadenceTarget(rule=CadenceRule.OF_TOP, value=kept))
    if first is None:
        return spec
    demand = first.demands[index]
    wickets = len(places_of(first.layout))
    return replace(
        spec,
        section_m=None,
        wickets=wickets,
        run_on_m=None,
        run_on_steps=demand.run_on_steps,
    )


def _followed(
    plan: Plan,
    members: list[Member],
    places: NDArray[np.float64] | None,
    earlier: Laying,
) -> tuple[list[Member], NDArray[np.float64], tuple[Moved, ...], bool]:
    """Return members and places of a stage that moves as few marks of `earlier` as possible."""
    stages = plan.stages
    tolerance = 0.0 if stages is None else stages.tolerance_m
    true = places_of(members[0].layout) if places is None else places
    laid = places_of(earlier.layout)
    hold = "w1" if stages is None else stages.hold
    ids = [f"w{i + 1}" for i in range(laid.size)]
    held = ids.index(hold) if hold in ids else 0
    true = true + (laid[held] - true[held])
    step = follow(laid, true, tolerance)
    moved = [
        Moved(mark_id=mark_id, by_m=float(now - was))
        for mark_id, now, was, goes in zip(ids, step.laid_m, laid, step.moved, strict=True)
        if goes and abs(now - was) > 1e-9
    ]
    kept = []
    for member, demand in zip(members, earlier.demands, strict=True):
        # The start mark belongs to W1: its true place follows W1's, and small moves are not asked.
        own = float(true[0] - places_of(member.layout)[0]) + member.start_along_m
        move = own - demand.start_along_m
        stays = abs(move) < float(plan.judgement.start_move_m)
        target = float(demand.start_along_m) if stays else own
        if not stays:
            moved.append(Moved(mark_id=demand.start_id, by_m=float(move)))
        kept.append(
            replace(member, start_shift_m=member.start_shift_m + target - member.start_along_m)
        )
    return kept, step.laid_m, tuple(moved), step.anew


def placed_along(placed: Placed) -> dict[str, float]:
    """Return mark id to distance [m] in the running direction, from the line's own zero."""
    return {each.mark.id: placed.direction * float(each.chainage_m) for each in placed.marks}


def _between(previous: Laying, now: dict[str, float]) -> tuple[Moved, ...]:
    """Return what is moved, laid and taken up between two waves on a lane."""
    was = placed_along(previous.placed)
    half_tick = previous.tape.spec.tick.metres / 2
    moved = [
        Moved(mark_id=i, by_m=now[i] - was[i] if i in was else None)
        for i in now
        if i not in was or abs(now[i] - was[i]) > half_tick
    ]
    moved += [Moved(mark_id=i, by_m=None, taken_up=True) for i in was if i not in now]
    return tuple(moved)


def _located(findings: Sequence[Finding], slot: _Slot, stage: int | None) -> tuple[Finding, ...]:
    """Return each finding once, told where it belongs."""
    seen: list[Finding] = []
    for finding in findings:
        located = replace(finding, lane=slot.lane, wave=slot.wave, stage=stage)
        if located not in seen:
            seen.append(located)
    return tuple(seen)
