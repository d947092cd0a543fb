"""Courses by name: what a plan may name on a ground, and fixed points of a zero."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from wicketlay.ground.placed import Direction, FixedPoint, Place
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wicketlay.ground import Ground
    from wicketlay.ground.course import Course

_ONE_SPOT_M = 0.05
"""Landmarks nearer than a line's width are one spot [m]."""


def known_lanes(ground: Ground, line: str | None = None) -> tuple[int, ...]:
    """Return the lanes of a line (None: the first); empty when there is no such line."""
    name = ground.lines[0] if line is None else line
    return ground.lanes_of(name) if name in ground.lines else ()


def as_known(asked: str, known: Iterable[str]) -> str:
    """Return a name as it is spelt where it is known, in whatever case it was written.

    A name that is not known, or known in several cases but not in this one, stays as it is.
    """
    names = set(known)
    alike = [name for name in names if name.casefold() == asked.casefold()]
    return alike[0] if asked not in names and len(alike) == 1 else asked


def spelt_as_known(place: Place, ground: Ground) -> Place:
    """Return a place with its line, landmark and mark spelt as the ground and layouts do."""
    line = place.line if place.line is None else as_known(place.line, ground.lines)
    lane = place.lanes[0]
    landmark = place.landmark
    if landmark is not None and lane in known_lanes(ground, line):
        course = course_of(ground, ground.lines[0] if line is None else line, lane)
        landmark = as_known(landmark, (each.key for each in course.landmarks))
    mark = None if place.mark is None else place.mark.lower()
    if (line, landmark, mark) == (place.line, place.landmark, place.mark):
        return place
    return replace(place, line=line, landmark=landmark, mark=mark)


@lru_cache(maxsize=256)
def course_of(ground: Ground, line: str, lane: int) -> Course:
    """Return one lane of a ground; KeyError when there is no such line or lane."""
    return ground.course(line, lane)


def room_before(ground: Ground, place: Place) -> float | None:
    """Return the free length [m] before the place, against the running direction.

    None when nothing ends it, or the place names what the ground does not have.
    """
    line = ground.lines[0] if place.line is None else place.line
    if place.lanes[0] not in known_lanes(ground, line):
        return None
    course = course_of(ground, line, place.lanes[0])
    landmark = course.landmark(course.zero if place.landmark is None else place.landmark)
    if landmark is None and place.landmark is not None:
        return None
    at = (0.0 if landmark is None else landmark.chainage_m) + place.offset_m
    against = place.direction is Direction.AGAINST
    room = course.surface_to_m - at if against else at - course.surface_from_m
    return None if math.isinf(room) else max(room + place.slide_m, 0.0)


def fixed_points(
    course: Course,
    chainage_m: float,
    direction: int,
    told: str | None = None,
    reach_m: float = math.inf,
) -> tuple[FixedPoint, ...]:
    """Return up to two fixed points of a zero.

    Parameters
    ----------
    chainage_m
        Where the zero is.
    direction
        +1 or -1.
    told
        Key of the landmark the place was told from; it is one of them.
    reach_m
        How far a tape reaches [m]; what lies within reach comes first.

    Returns
    -------
    tuple of FixedPoint
        Plain lines before hurdle marks, near before far; never two at one spot.
    """
    landmarks, loop = course.landmarks, course.loop_m
    if not landmarks:
        return ()
    reach = reach_m + 1e-9
    ways = [direction * (chainage_m - each.chainage_m) for each in landmarks]
    if loop is not None:
        ways = [(way + loop / 2.0) % loop - loop / 2.0 for way in ways]

    def wanted(some: list[int]) -> int:
        """Return the one of them that is wanted; of equals the one the course names first."""
        plain = min([landmarks[i].rank for i in some])
        return min([(abs(ways[i]), i) for i in some if landmarks[i].rank == plain])[1]

    def apart(some: Iterable[int]) -> list[int]:
        return [i for i in some if abs(ways[i] - at) > _ONE_SPOT_M]

    everywhere = range(len(ways))
    in_reach = [i for i, way in enumerate(ways) if -reach <= way <= reach]
    first = next((i for i in everywhere if landmarks[i].key == told), None)
    if first is None:
        first = wanted(in_reach or [*everywhere])
    at = ways[first]
    others = apart(in_reach) or apart(everywhere)
    both = [first, wanted(others)] if others else [first]
    # The one the tape reaches comes first: from there the zero is laid, the other checks it.
    both.sort(key=lambda i: abs(ways[i]) > reach)
    points = []
    for i in both:
        distance, landmark = ways[i], landmarks[i]
        painted = course.run_line.length_beside(
            chainage_m - direction * distance, chainage_m, course.painted_offset_m
        )
        points.append(
            FixedPoint(
                landmark=landmark,
                distance_m=abs(distance),
                beyond=distance > 0.0,
                painted_m=abs(painted),
            )
        )
    return tuple(points)
