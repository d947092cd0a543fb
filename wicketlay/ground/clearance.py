"""What stands in a lane: obstacles and other layings, by polygons."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon

from wicketlay.drills.marks import MarkKind

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely.geometry.base import BaseGeometry

    from wicketlay.ground.course import Course, Obstacle
    from wicketlay.ground.placed import Placed

QUAD_SEGS = 8
"""Segments of a quarter circle where an obstacle's free band is rounded."""
_WICKET_DEPTH_M = 0.1
"""How far a wicket's feet reach along the lane on either side of it [m]."""
_NO_AREA_M2 = 1e-6
_SAGITTA_M = 0.001


def band(
    course: Course,
    from_m: float,
    to_m: float,
    *,
    left_m: float | None = None,
    right_m: float | None = None,
) -> BaseGeometry:
    """Return the polygon of a stretch of a lane.

    Parameters
    ----------
    from_m, to_m
        The stretch [m]; a lap or more of a closed line gives the whole ring.
    left_m, right_m
        Width beside the run line [m]; None takes the clear lane.
    """
    left = course.left_m if left_m is None else left_m
    right = course.right_m if right_m is None else right_m
    loop = course.loop_m
    line = course.run_line
    low, high = sorted((from_m, to_m))
    if low == high:  # a laying that is off every ground takes none of it
        return Polygon()
    if loop is not None and high - low >= loop:
        outside = line.polyline(0.0, loop, -right, sagitta_m=_SAGITTA_M)
        inside = line.polyline(0.0, loop, left, sagitta_m=_SAGITTA_M)
        return Polygon(outside, [inside])
    outside = line.polyline(low, high, -right, sagitta_m=_SAGITTA_M)
    inside = line.polyline(low, high, left, sagitta_m=_SAGITTA_M)
    return Polygon(np.vstack((outside, inside[::-1])))


@lru_cache(maxsize=512)
def outline_of(obstacle: Obstacle) -> BaseGeometry:
    """Return an obstacle with its free band round it."""
    return Polygon(obstacle.corners).buffer(obstacle.clearance_m, quad_segs=QUAD_SEGS)


def _whole(course: Course) -> tuple[float, float]:
    line = course.run_line
    return (0.0, line.length_m) if line.closed else (line.from_m, line.to_m)


@lru_cache(maxsize=512)
def _whole_band(course: Course) -> BaseGeometry:
    return band(course, *_whole(course))


@lru_cache(maxsize=256)
def obstacles_on(
    course: Course, obstacles: tuple[Obstacle, ...]
) -> tuple[tuple[float, float, str], ...]:
    """Return (from, to, name) chainages [m] that obstacles shut on a lane."""
    shut = []
    for obstacle in obstacles:
        common = shapely.intersection(_whole_band(course), outline_of(obstacle))
        shut += [(low, high, obstacle.name) for low, high in _stretches(course, common)]
    return tuple(sorted(shut))


def _stretches(course: Course, area: BaseGeometry) -> Iterable[tuple[float, float]]:
    """Return the chainages that each part of an area inside a lane reaches over."""
    for part in shapely.get_parts(area):
        if part.area <= _NO_AREA_M2:
            continue
        corners = shapely.get_coordinates(part)
        chainage, _ = course.run_line.project(corners[:, 0], corners[:, 1])
        if course.loop_m is not None:
            # A part may lie across the lap's seam: measure from its first corner.
            half = course.loop_m / 2.0
            chainage = chainage[0] + np.mod(chainage - chainage[0] + half, course.loop_m) - half
        yield float(chainage.min()), float(chainage.max())


def corridor(placed: Placed) -> BaseGeometry:
    """Return the lane from where a laying begins to where its slow-down ends."""
    return band(placed.course, placed.start_chainage_m, placed.stop_chainage_m)


def wickets_area(placed: Placed) -> BaseGeometry:
    """Return the ground the wickets take, from the first of them to the last."""
    course = placed.course
    chainages = [each.chainage_m for each in placed.marks if each.mark.kind is MarkKind.WICKET]
    if not chainages:
        return Polygon()
    middle = (course.left_m - course.right_m) / 2.0
    half = placed.wicket_width_m / 2.0
    return band(
        course,
        min(chainages) - _WICKET_DEPTH_M,
        max(chainages) + _WICKET_DEPTH_M,
        left_m=middle + half,
        right_m=half - middle,
    )


def layings_on(course: Course, others: Iterable[Placed]) -> tuple[tuple[float, float, Placed], ...]:
    """Return (from, to, laying) chainages [m] that other layings shut on a lane."""
    shut = []
    for other in others:
        if far_apart(course, other.course):
            continue
        common = shapely.intersection(_whole_band(course), corridor(other))
        shut += [(low, high, other) for low, high in _stretches(course, common)]
    return tuple(shut)


def far_apart(course: Course, other: Course) -> bool:
    """Return True for two lanes of one line, which never share ground."""
    return course.line == other.line and course.lane != other.lane


def touch(one: BaseGeometry, two: BaseGeometry) -> bool:
    """Return True when two areas share more than an edge."""
    return bool(shapely.area(shapely.intersection(one, two)) > _NO_AREA_M2)
