"""The layings of one stage: drafted, followed from the stage before, and put in their place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills import AtLine, OverWickets, lay
from wicketlay.drills.cadence import CADENCE_SHARES, CadenceRule, CadenceTarget
from wicketlay.findings import Level
from wicketlay.ground.placing import place
from wicketlay.ground.tape import LINE, moved_ticks, tape_sheet
from wicketlay.lanes.closing import bags_dealt, gap_shown_m
from wicketlay.lanes.laying import Demand, Laying, Moved
from wicketlay.lanes.members import (
    Member,
    group_places,
    on_marks,
    places_of,
    recounted,
    timed_from,
    wanted,
)
from wicketlay.lanes.stages import StageCadence, follow
from wicketlay.running.appraise import mark_ids
from wicketlay.solve.roster import possible_share, slid
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from wicketlay.drills.marks import Layout
    from wicketlay.findings import Finding
    from wicketlay.ground.placing import Place, Placed
    from wicketlay.ground.readings import TapeSheet
    from wicketlay.plan import Plan
    from wicketlay.solve.slots import Slot
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A laying before it is put anywhere."""

    slot: Slot
    layout: Layout
    demands: tuple[Demand, ...]
    anew: bool


def drafts_of(
    plan: Plan, slots: Sequence[Slot], stage: int, share_of_top: float, before: Sequence[Laying]
) -> list[Draft]:
    """Return what is laid at one stage, in waves and lanes; `before` are the earlier stages."""
    # Later stages keep the wickets of the first, however long the section grows.
    section = getattr(plan.drill, "section_m", None) if stage == 1 else None
    drafts = []
    for slot in slots:
        earlier = _same_slot(before, slot, stage - 1)
        members = _at_share(plan, slot.members, share_of_top, _same_slot(before, slot, 1))
        shared = len(members) > 1 and places_of(members[0].layout).size > 0
        places = group_places(members, section, plan.judgement) if shared else None
        anew = True
        if earlier is not None and _same_wickets(members, places, earlier):
            members, places, anew = _followed(plan, members, places, earlier)
        layout, demands = on_marks(members, places, plan.kit, plan.judgement)
        drafts.append(Draft(slot=slot, layout=layout, demands=demands, anew=anew))
    dealt = bags_dealt([(draft.slot.wave, draft.layout) for draft in drafts], plan.kit)
    return [
        draft if layout is draft.layout else replace(draft, layout=layout)
        for draft, layout in zip(drafts, dealt, strict=True)
    ]


def laid(
    plan: Plan, drafts: Sequence[Draft], stage: int, where: Place, before: Sequence[Laying]
) -> list[Laying]:
    """Return the drafts of one stage put in their place, with readings and moves.

    `before` are the layings of the earlier stages.
    """
    made: list[Laying] = []
    for draft in drafts:
        slot = draft.slot
        placed = place(
            draft.layout,
            plan.ground,
            slid(where, plan, [demand.athlete.name for demand in draft.demands]),
            lane=slot.lane,
            kit=plan.kit,
            judgement=plan.judgement,
            others=[other.placed for other in made if other.wave == slot.wave],
        )
        tape = tape_sheet(placed, plan.tape, plan.judgement)
        # What says DO NOT LAY OUT is not laid, so it does not lie there either.
        lying = (o for o in reversed(made) if o.lane == slot.lane and not o.stopped)
        previous = next(lying, None)
        earlier = _same_slot(before, slot, stage - 1)
        here = placed, tape
        made.append(
            Laying(
                lane=slot.lane,
                wave=slot.wave,
                stage=stage,
                demands=draft.demands,
                layout=draft.layout,
                placed=placed,
                tape=tape,
                over=None if previous is None else previous.wave,
                moved=_moved_from(previous, here),
                followed=_moved_from(earlier, here),
                laid_anew=draft.anew,
                findings=_located(
                    (
                        *[f for d in draft.demands for f in d.runner.findings],
                        *draft.layout.findings,
                        *placed.findings,
                        # Of a place nobody knows a tape tells nothing but its own slips.
                        *[f for f in tape.findings if f.level is Level.STOP or not placed.misnamed],
                    ),
                    slot.wave,
                    placed.course.told_lane,
                    stage if plan.stages is not None else None,
                ),
            )
        )
    return [_told_as_shown(laying) for laying in made]


def _told_as_shown(laying: Laying) -> Laying:
    """Return a laying whose findings tell a gap as the tape shows it; the true one is judged."""

    def told(each: Finding) -> Finding:
        mark_id = each.mark if "gap_m" in each.values else None
        shown_m = None if mark_id is None else gap_shown_m(laying, mark_id)
        return each if shown_m is None else replace(each, values={**each.values, "gap_m": shown_m})

    if not any("gap_m" in each.values for each in laying.findings):
        return laying
    return replace(laying, findings=tuple(map(told, laying.findings)))


def _moved_from(before: Laying | None, here: tuple[Placed, TapeSheet]) -> tuple[Moved, ...]:
    return () if before is None else moved_between((before.placed, before.tape), here)


def _same_slot(layings: Sequence[Laying], slot: Slot, stage: int) -> Laying | None:
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
        change = plan.adjustment(member.name).speed_change
        spec = replace(member.spec, speed_share=possible_share(share_of_top + change))
        if isinstance(spec, OverWickets):
            slowest = possible_share(plan.stages.from_share + change)
            shares = (slowest, spec.speed_share)
            kept = _kept(spec.cadence, member, shares, plan.stages.cadence, plan.judgement)
            spec = replace(spec, cadence=kept)
            once = None if first is None else first.demands[i]
            if once is not None and once.appraisal is not None:
                spec = spec.counted(
                    wickets=len(once.appraisal.mark_ids),
                    run_on_steps=once.run_on_steps,
                    steps=len(once.layout.landings),
                )
        layout = lay(member.runner, spec, plan.kit, plan.judgement)
        layout = timed_from(layout, member.runner, member.start_shift_m)
        found.append(replace(member, spec=spec, layout=layout))
    # A section told by length holds more wickets of one than of another: shared, all get as many.
    count = max(places_of(member.layout).size for member in found)
    if all(places_of(member.layout).size == count for member in found):
        return found
    return [recounted(member, count, plan.kit, plan.judgement) for member in found]


def _kept(
    target: CadenceTarget,
    member: Member,
    shares: tuple[float, float],
    following: StageCadence,
    judgement: Judgement,
) -> CadenceTarget:
    """Return a cadence told by the natural one as a share of top; `shares` are first and now."""
    if target.rule not in {CadenceRule.NATURAL, CadenceRule.OF_NATURAL}:
        return target
    if following is StageCadence.NATURAL:
        return target
    gait = member.runner.gait
    first_hz, now_hz = (gait.natural_cadence_hz(share, judgement) for share in shares)
    low, high = CADENCE_SHARES
    kept = target.value * following.of(first_hz, now_hz) / gait.top_cadence.value
    return CadenceTarget(rule=CadenceRule.OF_TOP, value=min(max(kept, low), high))


def _same_wickets(
    members: Sequence[Member], places: NDArray[np.float64] | None, earlier: Laying
) -> bool:
    """Return whether there are wickets to follow, as many as before; a short runway takes some."""
    wanted = places_of(members[0].layout) if places is None else places
    return wanted.size == places_of(earlier.layout).size > 0


def _followed(
    plan: Plan,
    members: list[Member],
    places: NDArray[np.float64] | None,
    earlier: Laying,
) -> tuple[list[Member], NDArray[np.float64], bool]:
    """Return members and places of a stage that moves as few marks of `earlier` as possible.

    A take-off run is held at its line, whatever mark is asked for: wickets and start mark that
    moved with another mark would bring the foot beside the board.
    """
    stages = plan.stages
    tolerance = 0.0 if stages is None else stages.tolerance_m
    true = places_of(members[0].layout) if places is None else places
    laid = places_of(earlier.layout)
    hold = "w1" if stages is None else stages.hold
    ids = mark_ids(laid.size)
    held = ids.index(hold) if hold in ids else 0
    jump = isinstance(plan.drill, AtLine)
    if not jump:
        true = true + (laid[held] - true[held])
    if true.size > 1:
        # However much is tolerated, marks never come to lie on or behind each other.
        tolerance = min(tolerance, float(np.diff(true).min()) * 0.45)
    step = follow(laid, true, tolerance)
    spared = [wanted(member).gaps_m for member in members if member.spared]
    if places is not None and _over(step.laid_m, spared):
        # Who is spared is put over their own gaps by no tolerance: every mark goes to its place.
        step = follow(laid, true, 0.0)
    kept = []
    for member, demand in zip(members, earlier.demands, strict=True):
        # The start mark belongs to W1: its true place follows W1's. Small moves are not asked for,
        # but at a board the start is as much a mark as the wickets are.
        own = float(true[0] - places_of(member.layout)[0]) + member.start_along_m
        move = own - demand.start_along_m
        small = tolerance if jump else float(plan.judgement.start_move_m)
        stays = abs(move) <= small + 1e-9 if jump else abs(move) < small
        target = float(demand.start_along_m) if stays else own
        kept.append(
            replace(member, start_shift_m=member.start_shift_m + target - member.start_along_m)
        )
    return kept, step.laid_m, step.anew


def _over(places: NDArray[np.float64], own: Sequence[NDArray[np.float64]]) -> bool:
    """Return whether a gap between places is longer than one of somebody's own."""
    gaps = np.diff(places)
    return any((gaps > each[: gaps.size] + 1e-9).any() for each in own)


def placed_along(placed: Placed) -> dict[str, float]:
    """Return mark id to distance [m] in the running direction, from the line's own zero."""
    return {i: placed.direction * at for i, at in placed.chainages.items() if i != LINE}


def moved_between(
    before: tuple[Placed, TapeSheet], after: tuple[Placed, TapeSheet]
) -> tuple[Moved, ...]:
    """Return what is taken up, moved and laid from one laying to another, in the order it is done.

    What the tape shows at the same reading is no move.
    """
    was, now = placed_along(before[0]), placed_along(after[0])
    drawn, drawn_now = (
        {each.mark.id for each in placed.marks if each.mark.is_drawn}
        for placed in (before[0], after[0])
    )
    remade = {i for i in drawn ^ drawn_now if i in was and i in now}
    tick_m = after[1].spec.tick.metres
    lay_at, lies_at = ((placed.chainages, tape) for placed, tape in (before, after))
    moved = [
        Moved(mark_id=i, by_m=now[i] - was[i], shown_m=ticks * tick_m, drawn=i in drawn)
        for i in now
        if i in was and i not in remade and (ticks := moved_ticks(after[0], lay_at, lies_at, i))
    ]
    forward = [each for each in moved if (each.shown_m or 0.0) > 0.0]
    return (
        *(
            Moved(mark_id=i, by_m=None, taken_up=True, drawn=i in drawn)
            for i in was
            if i not in now
        ),
        *sorted(forward, key=lambda each: -now[each.mark_id]),
        *sorted(
            (each for each in moved if each not in forward), key=lambda each: now[each.mark_id]
        ),
        *(
            Moved(mark_id=i, by_m=None, drawn=i in drawn, remade=i in remade)
            for i in now
            if i not in was or i in remade
        ),
    )


def _located(
    findings: Sequence[Finding], wave: int, lane: int | None, stage: int | None
) -> tuple[Finding, ...]:
    """Return each finding once, told where it belongs."""
    seen: list[Finding] = []
    for finding in findings:
        located = replace(finding, lane=lane, wave=wave, stage=stage)
        if located not in seen:
            seen.append(located)
    return tuple(seen)
