"""A ground that is too short: the most that would fit there, found by laying it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills import AnyLength
from wicketlay.findings import Finding, Level
from wicketlay.sources import FEWEST_WICKETS_LEFT, SLOWEST_PROPOSED_SHARE
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wicketlay.findings import Value
    from wicketlay.lanes.laying import Laying
    from wicketlay.plan import Plan

_NO_ROOM = "-no-room"


@dataclass(frozen=True, slots=True, kw_only=True)
class Smaller:
    """What to ask for instead, and the plan that asks for it.

    Parameters
    ----------
    plan
        The plan with the change made.
    wickets
        Take so many; None when the number stays.
    speed_share
        Build towards this share of top speed, a whole per cent; None when the speed stays.
    """

    plan: Plan
    wickets: int | None = None
    speed_share: float | None = None


def largest_that_fits(plan: Plan, wickets: int, fits: Callable[[Plan], bool]) -> Smaller | None:
    """Return the smallest change of a plan's drill after which it fits.

    Fewer wickets at the same speed come first, then as many wickets at less speed, then the
    fewest wickets worth proposing at less speed. Bisection lays about seven plans for each: what
    is returned fits, and one wicket or one per cent more does not.

    Parameters
    ----------
    plan
        What does not fit as it is.
    wickets
        How many are laid now; 0 for a drill without.
    fits
        Tells whether a changed plan fits.

    Returns
    -------
    Smaller or None
        None when nothing smaller fits that is still worth running.
    """
    fewest = int(FEWEST_WICKETS_LEFT)
    fewer = isinstance(plan.drill, AnyLength) and wickets > fewest

    def of(count: int | None, share: float | None) -> Smaller:
        drill = plan.drill
        if count is not None and isinstance(drill, AnyLength):
            drill = replace(drill, wickets=count, section_m=None)
        if share is not None:
            drill = replace(drill, speed_share=share)
        return Smaller(plan=replace(plan, drill=drill), wickets=count, speed_share=share)

    if fewer:
        count = largest(fewest, wickets - 1, lambda n: fits(of(n, None).plan))
        if count is not None:
            return of(count, None)
    if plan.stages is not None:
        return None  # Their speeds are the plan's own, and how far they lie apart is the coach's.
    slowest = round(SLOWEST_PROPOSED_SHARE * 100)
    slower = math.ceil(plan.drill.speed_share * 100 - 1e-9) - 1
    for number in (None, fewest) if fewer else (None,):

        def at(per_cent: int, number: int | None = number) -> bool:
            return fits(of(number, per_cent / 100).plan)

        most = largest(slowest, slower, at)
        if most is not None:
            return of(number, most / 100)
    return None


def largest(low: int, high: int, holds: Callable[[int], bool]) -> int | None:
    """Return a number from `low` to `high` that holds while the next does not, by bisection."""
    if low > high or not holds(low):
        return None
    beyond = high + 1
    while beyond - low > 1:
        middle = (low + beyond) // 2
        if holds(middle):
            low = middle
        else:
            beyond = middle
    return low


def lacks_room(findings: Sequence[Finding]) -> bool:
    """Return True when something does not fit and no shift alone would make it fit."""
    return any(f.level is Level.STOP and f.code.endswith(_NO_ROOM) for f in findings)


def with_what_fits(
    layings: Sequence[Laying], smaller: Smaller, slide_m: float | None
) -> list[Laying]:
    """Return layings whose stops for want of room name what would fit.

    Parameters
    ----------
    layings
        As they are laid now.
    smaller
        What would fit.
    slide_m
        How far the smaller run must then be moved in running direction [m]; None when it need
        not.
    """
    values: dict[str, Value] = {}
    ending = []
    if smaller.wickets is not None:
        values["wickets"] = smaller.wickets
        ending.append("fewer")
    if smaller.speed_share is not None:
        values["speed_share"] = smaller.speed_share
        ending.append("slower")
    if slide_m is not None:
        way = "forward" if slide_m > 0 else "back"
        values |= {"shift_m": abs(slide_m), "way": way, "slide_m": slide_m}
        ending.append("shift")
    name = "-and-".join(ending)

    def told(finding: Finding) -> Finding:
        if not lacks_room((finding,)):
            return finding
        code = f"{finding.code.removesuffix(_NO_ROOM)}-{name}"
        return replace(finding, code=code, values={**finding.values, **values})

    return [
        replace(
            laying,
            findings=tuple(told(each) for each in laying.findings),
            placed=replace(
                laying.placed, findings=tuple(told(each) for each in laying.placed.findings)
            ),
        )
        for laying in layings
    ]
