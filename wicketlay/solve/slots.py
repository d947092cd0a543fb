"""On which lane and in which wave everybody runs."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.drills import of_any_length
from wicketlay.findings import Finding, Level
from wicketlay.lanes.members import Member, letter_of, places_of, recounted, wanted
from wicketlay.lanes.sharing import share
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A lane in a wave and who runs there."""

    lane: int
    wave: int
    members: tuple[Member, ...]


def slots_of(plan: Plan, members: Sequence[Member]) -> tuple[list[Slot], list[Finding]]:
    """Return who runs where: shared when the plan says how many waves, else one by one."""
    lanes = plan.place.lanes
    present = {m.name for m in members} - plan.away
    waves = plan.session.waves
    if waves is None or len(present) <= 1 or len(members) <= len(lanes) * waves:
        running = [m for m in members if m.name in present]
        return [
            Slot(lane=lanes[i % len(lanes)], wave=i // len(lanes) + 1, members=(member,))
            for i, member in enumerate(running)
        ], []
    if not of_any_length(plan.drill):
        needed = -(-len(present) // len(lanes))
        running = [m for m in members if m.name in present]
        finding = Finding(
            level=Level.CAUTION,
            code="not-shared",
            values={"waves": waves, "needed": needed, "drill": plan.drill_kind},
        )
        return [
            Slot(lane=lanes[i % len(lanes)], wave=i // len(lanes) + 1, members=(member,))
            for i, member in enumerate(running)
        ], [finding]
    return _shared_slots(plan, members, present, waves), []


def _shared_slots(
    plan: Plan, members: Sequence[Member], present: set[str], waves: int
) -> list[Slot]:
    """Return the exact sharing; absent athletes are dealt with as if present, then left out.

    So the others stay where they are when somebody is late.
    """
    lanes = plan.place.lanes
    count = max(places_of(m.layout).size for m in members)
    equal = {m.name: recounted(m, count, plan.kit, plan.judgement) for m in members}
    names = list(equal)
    groups = share([wanted(m) for m in equal.values()], len(lanes) * waves, plan.judgement)
    slots = []
    for i, group in enumerate(groups):
        # Letters in the plan's order: a change of gaps or somebody away re-letters nobody.
        letters = {name: letter_of(n) for n, name in enumerate(sorted(group, key=names.index))}
        here = tuple(
            replace(equal[name], letter=letters[name]) for name in group if name in present
        )
        if here:
            # Neighbours in gap follow each other on one lane, so that few marks move far.
            lane, wave = divmod(i, waves)
            slots.append(Slot(lane=lanes[lane], wave=wave + 1, members=here))
    return sorted(slots, key=lambda slot: (slot.wave, lanes.index(slot.lane)))
