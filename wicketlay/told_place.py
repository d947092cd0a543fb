"""A place told from a landmark, for a plan whose place is not told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.placing import Direction
from wicketlay.solve import laid_out, places_for
from wicketlay.values import replace

if TYPE_CHECKING:
    from wicketlay.ground.placing import Place
    from wicketlay.plan import Plan


def told_place(plan: Plan) -> Place:
    """Return the plan's place told from a landmark, with room to spare on both sides.

    A place that is not told follows the run-on: with every time that is accepted the first
    wicket would move, and all the others with it. Told, it stays where it is. The place is the
    one that leaves most room, on a whole half metre from the nearest landmark; the plan's own
    where none fits as well as that.
    """
    solved = laid_out(plan)
    if not solved.layings:
        return plan.place
    course = solved.layings[0].placed.course
    known = {finding.code for finding in solved.all_findings}
    chainages = {each.key: each.chainage_m for each in course.landmarks}
    for spot, _ in places_for(solved):
        if spot.line != course.line or spot.direction is not Direction.WITH:
            continue
        at_m = spot.offset_m + (0.0 if spot.landmark is None else chainages[spot.landmark])
        key = min(chainages, key=lambda each: abs(chainages[each] - at_m), default=None)
        halves = round(2 * (at_m - (0.0 if key is None else chainages[key])))
        for steps in (halves, halves - 1, halves + 1):
            told = replace(plan.place, landmark=key, mark=spot.mark, offset_m=steps / 2)
            found = laid_out(replace(plan, place=told)).all_findings
            if {finding.code for finding in found} <= known:
                return told
    return plan.place
