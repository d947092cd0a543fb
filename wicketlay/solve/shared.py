"""Gaps that do not suit somebody because they are shared, and the lane that would mend it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from wicketlay.findings import Finding
    from wicketlay.lanes.laying import Laying
    from wicketlay.plan import Plan

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


def lane_more(
    plan: Plan, left: Callable[[Plan], frozenset[str] | None], now: frozenset[str]
) -> tuple[tuple[int, ...], frozenset[str]] | None:
    """Return the plan's lanes and the nearest unused one of its line that mends the gaps.

    Parameters
    ----------
    plan
        Who runs where now.
    left
        Returns whom the gaps of a changed plan suit ill; None when something else then stops it.
    now
        Whom the gaps of the plan suit ill.

    Returns
    -------
    (lanes, names) or None
        The lanes, and whom their gaps no longer suit ill; None when no lane helps anybody.
    """
    for lanes in with_free_lane(plan):
        still = left(replace(plan, place=replace(plan.place, lanes=lanes)))
        if still is not None and still < now:
            return lanes, now - still
    return None


def with_free_lane(plan: Plan) -> Iterator[tuple[int, ...]]:
    """Give the plan's lanes with one more of its line, the nearest first."""
    place = plan.place
    line = plan.ground.lines[0] if place.line is None else place.line
    if line not in plan.ground.lines:
        return
    there = plan.ground.lanes_of(line)
    far = {lane: min(abs(lane - ours) for ours in place.lanes) for lane in there}
    for lane in sorted(far, key=lambda each: (far[each], each)):
        if lane not in place.lanes:
            yield (*place.lanes, lane)


def with_sharers(
    layings: Sequence[Laying], lanes: tuple[int, ...], helped: frozenset[str]
) -> list[Laying]:
    """Return layings whose findings about gaps say with whom the gaps are shared.

    Parameters
    ----------
    layings
        As they are laid.
    lanes, helped
        The lanes to take instead, and whom they help; the others are told of the sharing alone.
    """
    made = []
    for laying in layings:
        names = [demand.athlete.name for demand in laying.demands]
        made.append(
            replace(laying, findings=tuple(_told(f, names, lanes, helped) for f in laying.findings))
        )
    return made


def _told(
    finding: Finding, names: Sequence[str], lanes: tuple[int, ...], helped: frozenset[str]
) -> Finding:
    if len(names) < 2 or finding.athlete not in names or finding.code not in _GAP_CODES:
        return finding
    others = " and ".join(name for name in names if name != finding.athlete)
    values = {**finding.values, "others": others}
    if finding.athlete not in helped:
        return replace(finding, code=f"{finding.code}-shared", values=values)
    values["lanes"] = ", ".join(str(lane) for lane in lanes)
    return replace(finding, code=f"{finding.code}-shared-lane-free", values=values)
