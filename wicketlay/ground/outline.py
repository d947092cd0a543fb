"""The shapes a drawing of a laying needs, in the ground's frame."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import shapely

from wicketlay.errors import DomainError
from wicketlay.ground import clearance
from wicketlay.sources import BESIDE_LANE_M
from wicketlay.values import dataclass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.ground import Ground
    from wicketlay.ground.course import Course
    from wicketlay.ground.lines import Landmark
    from wicketlay.ground.placed import Placed

Point = tuple[float, float]
Polyline = tuple[Point, ...]

_DRAWN_SAGITTA_M = 0.01
_WALL_SEEN_M = 30.0
"""A wall that lies no farther beyond the stretch is drawn: the stretch is drawn up to it [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLandmark:
    """A landmark as a line across the lane: its ends on the lane's left and right edge."""

    landmark: Landmark
    left: Point
    right: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """What is around a laying, as plain polylines [m].

    Parameters
    ----------
    left_edge, right_edge, run_line
        The lane over the stretch drawn.
    corridor
        The lane from the start (walk or jog included) to the end of the slow-down, closed.
    landmarks
        Those on the stretch drawn.
    obstacles
        (name, outline) of what stands in the stretch drawn or no farther than `BESIDE_LANE_M`
        beside it, as far as it reaches in there.
    pit
        Outline of the landing area, None when there is none.
    walls
        (left, right) of a wall where the surface ends.
    from_m, to_m
        Chainages of the stretch drawn.
    """

    left_edge: Polyline
    right_edge: Polyline
    run_line: Polyline
    corridor: Polyline
    landmarks: tuple[DrawnLandmark, ...]
    obstacles: tuple[tuple[str, Polyline], ...]
    pit: Polyline | None
    walls: tuple[tuple[Point, Point], ...]
    from_m: float
    to_m: float


def outline(placed: Placed, ground: Ground, *, margin_m: float = 5.0) -> Outline:
    """Return the stretch of lane a laying lies on, with what is on it.

    Parameters
    ----------
    placed, ground
        The laying and its ground.
    margin_m
        How much more to show at either end [m], as far as there is surface.

    Raises
    ------
    DomainError
        When the margin is negative.
    """
    course = placed.course
    if margin_m < 0.0:
        raise DomainError(f"an outline needs a margin of 0 m or more, got {margin_m:g} m")
    begin, end = sorted((float(placed.start_chainage_m), float(placed.stop_chainage_m)))
    low = min(max(begin - margin_m, course.surface_from_m), begin)
    high = max(min(end + margin_m, course.surface_to_m), end)
    if course.wall_before and low - course.surface_from_m <= _WALL_SEEN_M:
        low = min(low, course.surface_from_m)
    if course.wall_after and course.surface_to_m - high <= _WALL_SEEN_M:
        high = max(high, course.surface_to_m)
    if course.pit is not None:
        # The pit is drawn, and whoever looks for its edge finds it at the end of the lane.
        high = max(high, course.surface_to_m)
    line = course.run_line
    return Outline(
        left_edge=_points(line.polyline(low, high, course.left_m, sagitta_m=_DRAWN_SAGITTA_M)),
        right_edge=_points(line.polyline(low, high, -course.right_m, sagitta_m=_DRAWN_SAGITTA_M)),
        run_line=_points(line.polyline(low, high, sagitta_m=_DRAWN_SAGITTA_M)),
        corridor=_points(shapely.get_coordinates(clearance.corridor(placed))),
        landmarks=_landmarks(course, low, high),
        obstacles=_obstacles(course, ground, low, high),
        pit=_pit(course),
        walls=_walls(course, low, high),
        from_m=low,
        to_m=high,
    )


def _obstacles(
    course: Course, ground: Ground, low: float, high: float
) -> tuple[tuple[str, Polyline], ...]:
    """Return (name, outline) of what stands in or beside a stretch, cut off where that ends."""
    there = ground.obstacles_of(course.line)
    if not there:
        return ()
    about = clearance.band(
        course,
        low,
        high,
        left_m=course.left_m + BESIDE_LANE_M,
        right_m=course.right_m + BESIDE_LANE_M,
    )
    return tuple(
        (obstacle.name, _points(shapely.get_coordinates(part)))
        for obstacle in there
        for part in shapely.get_parts(about.intersection(shapely.Polygon(obstacle.corners)))
        if part.area > 0.0
    )


def _points(array: NDArray[np.float64]) -> Polyline:
    return tuple((float(x), float(y)) for x, y in array)


def _across(course: Course, chainage_m: float) -> tuple[Point, Point]:
    line = course.run_line
    return line.beside(chainage_m, course.left_m), line.beside(chainage_m, -course.right_m)


def _landmarks(course: Course, low: float, high: float) -> tuple[DrawnLandmark, ...]:
    found = []
    for landmark in course.landmarks:
        at = float(landmark.chainage_m)
        if course.loop_m is not None:
            at += course.loop_m * math.ceil((low - at) / course.loop_m)
        if low - 1e-9 <= at <= high + 1e-9:
            left, right = _across(course, at)
            found.append(DrawnLandmark(landmark=landmark, left=left, right=right))
    return tuple(found)


def _pit(course: Course) -> Polyline | None:
    if course.pit is None:
        return None
    half = course.pit.width_m / 2.0
    line = course.run_line
    near, far = course.pit.from_m, course.pit.to_m
    return (
        line.beside(near, half),
        line.beside(near, -half),
        line.beside(far, -half),
        line.beside(far, half),
    )


def _walls(course: Course, low: float, high: float) -> tuple[tuple[Point, Point], ...]:
    walls = []
    if course.wall_before and low <= course.surface_from_m:
        walls.append(_across(course, course.surface_from_m))
    if course.wall_after and high >= course.surface_to_m:
        walls.append(_across(course, course.surface_to_m))
    return tuple(walls)
