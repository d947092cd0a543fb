"""Find me a place: every line of a ground on which a laying fits, best first."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.kit import Kit
from wicketlay.drills.marks import Datum
from wicketlay.findings import Level
from wicketlay.ground.fitting import Interval, bounds_of, slack
from wicketlay.ground.placed import Direction, Place
from wicketlay.ground.placing import blockers_of, course_of, place, span_of
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wicketlay.drills.marks import Layout
    from wicketlay.ground import Ground
    from wicketlay.ground.course import Course

_BAG = Kit()


def find_places(
    layout: Layout,
    ground: Ground,
    *,
    kit: Kit = _BAG,
    judgement: Judgement = DEFAULTS,
    lanes: Sequence[int] = (),
) -> tuple[tuple[Place, float], ...]:
    """Return the places where a laying fits with the slow-down it wants.

    Parameters
    ----------
    layout, ground, kit, judgement
        As for `place`.
    lanes
        Lanes to look at where a line has them; empty looks at all.

    Returns
    -------
    tuple of (Place, room)
        One for each line and direction that has a place, straights before bends, then the one
        with most room left [m]: how far the whole laying could be moved. Each is put in the
        middle of that room, its datum on a whole 0.1 m from the landmark. Of the lanes of a line
        the one with most room is taken, the lowest number first.
    """
    found: list[tuple[bool, float, Place]] = []
    for line in ground.lines:
        for way in (Direction.WITH, Direction.AGAINST):
            best: tuple[bool, float, Place] | None = None
            own = [lane for lane in lanes if lane in ground.lanes_of(line)]
            for lane in own or ground.lanes_of(line):
                course = course_of(ground, line, lane)
                for spot, room in _spots(layout, course, ground, way):
                    laid = place(layout, ground, spot, lane=lane, kit=kit, judgement=judgement)
                    if any(f.level is Level.STOP for f in laid.findings):
                        continue
                    bend = any(math.isfinite(each.radius_m) for each in laid.marks) or any(
                        f.code.startswith("ground-run-out-into-bend") for f in laid.findings
                    )
                    if best is None or (bend, -room) < (best[0], -best[1] - 1e-6):
                        best = (bend, room, spot)
            if best is not None:
                found.append(best)
    found.sort(key=lambda each: (each[0], -round(each[1], 6)))
    return tuple((spot, room) for _, room, spot in found)


def _spots(
    layout: Layout, course: Course, ground: Ground, way: Direction
) -> Iterator[tuple[Place, float]]:
    """Yield places on one lane in one direction, each with the room it leaves."""
    direction = -1 if way is Direction.AGAINST else 1
    if layout.datum is Datum.TAKEOFF_LINE and course.pit is not None:
        if direction > 0:
            yield from _boards(layout, course, ground)
        return
    told = course.landmark(course.zero)
    datum = direction * (0.0 if told is None else told.chainage_m)
    span = span_of(layout, datum, course, direction, both=False, jump=False)
    here = Place(
        line=course.line,
        lanes=(course.lane,),
        landmark=None if told is None else told.key,
        mark=layout.datum.value,
        direction=way,
    )
    bounds = bounds_of(course, direction, blockers_of(course, direction, span, ground))
    if course.loop_m is not None and math.isinf(course.marks_from_m):
        # Anywhere on a lap: its room is what the laying leaves of it.
        room = course.loop_m - (span.end() - span.begin)
        if room < 0.0:
            return
        if not bounds.blockers:
            yield here, room
            return
        # What stands on a lap stands there again a lap before and after: what lies between two
        # of them is a gap of the lap, and what lies outside all of them only looks endless.
        gaps = [each for each in slack(span, bounds, "wanted") if all(map(math.isfinite, each))]
        # Equal gaps are one and the same a lap apart: the nearest is told.
        begin, end = max(
            gaps,
            key=lambda each: (round(each[1] - each[0], 6), -abs(each[0] + each[1])),
            default=(0.0, -1.0),
        )
        if begin <= end:
            yield _in_the_middle(here, direction, begin, end)
        return
    onto_straight = replace(bounds, surface=_common(bounds.surface, bounds.stretch))
    for limits in (onto_straight, bounds):
        free = slack(span, limits, "wanted")
        if free:
            begin, end = max(free, key=lambda each: each[1] - each[0])
            if math.isinf(begin) or math.isinf(end):
                begin, end = 0.0, 0.0
            yield _in_the_middle(here, direction, begin, end)
            return


def _in_the_middle(here: Place, direction: int, begin: float, end: float) -> tuple[Place, float]:
    middle = (begin + end) / 2.0
    tenth = round(middle * 10.0) / 10.0
    by = tenth if begin <= tenth <= end else middle
    return replace(here, offset_m=direction * by), end - begin


def _common(one: Interval, two: Interval) -> Interval:
    return max(one[0], two[0]), min(one[1], two[1])


def _boards(layout: Layout, course: Course, ground: Ground) -> Iterator[tuple[Place, float]]:
    """Yield each board a take-off run may end at, with the room left behind its start."""
    for landmark in course.landmarks:
        if landmark.key not in course.boards:
            continue
        span = span_of(layout, landmark.chainage_m, course, 1, both=False, jump=True)
        bounds = bounds_of(course, 1, blockers_of(course, 1, span, ground))
        room = span.begin - span.rear_m - bounds.surface[0]
        if room >= 0.0:
            yield Place(line=course.line, lanes=(course.lane,), landmark=landmark.key), room
