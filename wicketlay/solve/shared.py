"""Gaps that do not suit somebody because they are shared, and the lane that would mend it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from wicketlay.findings import Finding
    from wicketlay.plan import Plan
    from wicketlay.practice.laying import Laying

_GAP_CODES = ("gap-too-long", "gap-too-short")


def ill_suited(layings: Iterable[Laying]) -> frozenset[str]:
    """Return who runs on shared gaps that are said to be too long or too short for them."""
    return frozenset(
        finding.athlete
        for laying in layings
        if len(laying.demands) > 1
        for finding in laying.findings
        if finding.athlete is not None and finding.code.startswith(_GAP_CODES)
    )


def lane_more(plan: Plan, mends: Callable[[Plan], bool]) -> tuple[int, ...] | None:
    """Return the plan's lanes and the first unused one of its line that mends the gaps.

    Parameters
    ----------
    plan
        Who runs where now.
    mends
        Tells whether the gaps suit everybody on the changed plan, and nothing else stops it.
    """
    place = plan.place
    line = plan.ground.lines[0] if place.line is None else place.line
    if line not in plan.ground.lines:
        return None
    for lane in plan.ground.lanes_of(line):
        if lane not in place.lanes:
            lanes = (*place.lanes, lane)
            if mends(replace(plan, place=replace(place, lanes=lanes))):
                return lanes
    return None


def with_sharers(layings: Sequence[Laying], lanes: tuple[int, ...] | None) -> list[Laying]:
    """Return layings whose findings about gaps say with whom the gaps are shared.

    Parameters
    ----------
    layings
        As they are laid.
    lanes
        The lanes to take instead; None when a lane more does not mend it.
    """
    made = []
    for laying in layings:
        names = [demand.athlete.name for demand in laying.demands]
        made.append(
            replace(laying, findings=tuple(_told(f, names, lanes) for f in laying.findings))
        )
    return made


def _told(finding: Finding, names: Sequence[str], lanes: tuple[int, ...] | None) -> Finding:
    if len(names) < 2 or finding.athlete not in names or finding.code not in _GAP_CODES:
        return finding
    others = " and ".join(name for name in names if name != finding.athlete)
    values = {**finding.values, "others": others}
    if lanes is None:
        return replace(finding, code=f"{finding.code}-shared", values=values)
    values["lanes"] = ", ".join(str(lane) for lane in lanes)
    return replace(finding, code=f"{finding.code}-shared-lane-free", values=values)
