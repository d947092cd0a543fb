"""On which lane, in which wave and from which lettered start mark everybody runs."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from wicketlay.drills import AnyLength
from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Finding
from wicketlay.lanes.members import Member, letter_of, places_of, recounted, wanted
from wicketlay.lanes.sharing import share
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.findings import Value
    from wicketlay.plan import Adjustment, Plan

    Spot = tuple[int, int]  # lane and wave


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A lane in a wave and who runs there."""

    lane: int
    wave: int
    members: tuple[Member, ...]


def letters_of(plan: Plan) -> dict[str, str]:
    """Return the start letter of each athlete, over the whole practice.

    One written down is kept; the others have that of their place in the plan, or the first free
    one. No change of gaps, lanes or waves, and nobody who stays away, changes a letter.
    """
    written = {each.athlete: each.letter for each in plan.adjustments if each.letter is not None}
    wished = {athlete.name: letter_of(i) for i, athlete in enumerate(plan.athletes)}
    found: dict[str, str] = {}
    taken: set[str] = set()
    for letters in (written, wished):
        for name in wished:
            letter = letters.get(name)
            if letter is not None and name not in found and letter not in taken:
                found[name] = letter
                taken.add(letter)
    free = (letter for i in itertools.count() if (letter := letter_of(i)) not in taken)
    return found | {name: next(free) for name in wished if name not in found}


def slots_of(plan: Plan, members: Sequence[Member]) -> tuple[list[Slot], list[Finding]]:
    """Return who runs where, by hand where the coach says so, else dealt.

    Where all marks but the start marks are the same for everybody there is one laying a lane, run
    in turn. Over wickets the athletes share when the plan says how many waves; else they run one
    by one.
    """
    lanes, waves = plan.place.lanes, plan.session.waves
    away = plan.away
    here = [m.name for m in members if m.name not in away]
    findings: list[Finding] = []
    if _same_marks(members):
        spots = {m.name: (lanes[i % len(lanes)], 1) for i, m in enumerate(members)}
        spots |= {name: _by_hand(plan, name, spot) for name, spot in spots.items()}
        if waves is not None and waves > 1 and len(here) > 1:
            values: dict[str, Value] = {"waves": waves, "drill": plan.drill_kind}
            findings.append(Finding.note("one-laying-for-all", **values))
        return _slots(plan, members, here, spots), findings
    shared = waves is not None and len(here) > 1 and len(members) > len(lanes) * waves
    if shared and isinstance(plan.drill, AnyLength):
        equal = _equal(plan, members)
        order = sorted(equal, key=lambda m: (wanted(m).mean_m, m.name))
        turns = waves or 1
        groups = share([wanted(m) for m in equal], len(lanes) * turns, plan.judgement)
        # Absent athletes are dealt with as if present: so the others stay where they are.
        # Neighbours in gap follow each other on one lane, so that few marks move far.
        dealt = [groups[i : i + turns] for i in range(0, len(groups), turns)]
        spots = {
            name: _by_hand(plan, name, (lane, wave))
            for lane, its in zip(lanes, dealt, strict=False)
            for wave, group in enumerate(_late_last(plan, here, its), 1)
            for name in group
        }
        return _slots(plan, order, here, spots, lettered=True), []
    if shared:
        needed = -(-len(here) // len(lanes))
        values = {"waves": waves or 1, "needed": needed, "drill": plan.drill_kind}
        findings.append(Finding.caution("not-shared", **values))
    spots, taken = _one_by_one(plan, [m for m in members if m.name in here])
    return _slots(plan, members, here, spots), [*findings, *taken]


def _late_last(
    plan: Plan, here: Sequence[str], groups: Sequence[tuple[str, ...]]
) -> list[tuple[str, ...]]:
    """Return the groups of a lane in turn, last the one that waits longest for somebody."""

    def late_s(group: Sequence[str]) -> float:
        asked = (plan.adjustment(name) for name in group if name in here)
        return max((each.late_s for each in asked if each.wave is None), default=0.0)

    return sorted(groups, key=late_s)


def _same_marks(members: Sequence[Member]) -> bool:
    """Return whether several athletes run over the same marks, each from their own start mark."""
    if len(members) < 2:
        return False
    laid = {
        tuple((mark.id, mark.along_m) for mark in m.layout.marks if mark.kind is not MarkKind.START)
        for m in members
    }
    kinds = {MarkKind.WICKET, MarkKind.LANDING}
    return len(laid) == 1 and not members[0].layout.of_kind(*kinds)


def _by_hand(plan: Plan, name: str, spot: Spot) -> Spot:
    """Return the lane and wave of an athlete: as the coach says, else as dealt."""
    asked = plan.adjustment(name)
    return asked.lane or spot[0], asked.wave or spot[1]


def _equal(plan: Plan, members: Sequence[Member]) -> list[Member]:
    """Return members laid with as many wickets each, so that gaps can be compared."""
    count = max(places_of(m.layout).size for m in members)
    return [recounted(m, count, plan.kit, plan.judgement) for m in members]


def _one_by_one(plan: Plan, members: Sequence[Member]) -> tuple[dict[str, Spot], list[Finding]]:
    """Return a lane and wave each; who is put on a taken one shares it, or goes a wave later."""
    lanes = plan.place.lanes
    taken: dict[Spot, str] = {}
    spots: dict[str, Spot] = {}
    found = []

    def unsaid(asked: Adjustment) -> int:
        return (asked.lane is None) + (asked.wave is None)

    for asked in sorted([plan.adjustment(member.name) for member in members], key=unsaid):
        name = asked.athlete
        its = lanes if asked.lane is None else (asked.lane,)
        waves = itertools.count(1) if asked.wave is None else (asked.wave,)
        free = ((lane, wave) for wave in waves for lane in its if (lane, wave) not in taken)
        spot = next(free, None)
        if spot is None:
            spot = its[0], asked.wave or 1
            if not isinstance(plan.drill, AnyLength):
                other = taken[spot]
                spot = next((its[0], w) for w in itertools.count(1) if (its[0], w) not in taken)
                found.append(
                    Finding.caution(
                        "place-taken", name, other=other, drill=plan.drill_kind, given=spot[1]
                    )
                )
        taken.setdefault(spot, name)
        spots[name] = spot
    for on in {lane for lane, _ in spots.values()}:
        own = [n for n, spot in spots.items() if spot[0] == on and plan.adjustment(n).wave is None]
        if len(own) < 2:
            continue
        turns = _late_last(plan, own, [(name,) for name in own])
        spots |= {n: spots[was] for (n,), was in zip(turns, own, strict=True)}
    return spots, found


def _slots(
    plan: Plan,
    members: Sequence[Member],
    here: Sequence[str],
    spots: Mapping[str, Spot],
    *,
    lettered: bool = False,
) -> list[Slot]:
    """Return the slots in the order they are laid; several on one have a lettered start each.

    `lettered` gives everybody a letter, also who is alone: in a practice that shares lanes it
    stays theirs wherever they run.
    """
    groups: dict[Spot, list[Member]] = {}
    for member in members:
        if member.name in here:
            groups.setdefault(spots[member.name], []).append(member)
    found = []
    letters: dict[str, str] = {}
    for (lane, wave), group in groups.items():
        several = lettered or len(group) > 1
        own = group
        if len(group) > 1 and len({len(m.layout.of_kind(MarkKind.WICKET)) for m in group}) > 1:
            own = _equal(plan, group)
        if several:
            letters = letters or letters_of(plan)
            own = [replace(m, letter=letters[m.name]) for m in own]
        found.append(Slot(lane=lane, wave=wave, members=tuple(own)))
    order = {lane: i for i, lane in enumerate(plan.place.lanes)}
    return sorted(found, key=lambda each: (each.wave, order.get(each.lane, 100 + each.lane)))
