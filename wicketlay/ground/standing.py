"""Where the marks of a laying stand: chainage, pose, ends of wickets, chords on a bend."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills.marks import AlongM, Mark, MarkKind
from wicketlay.ground.lines import ChainageM, Pose
from wicketlay.ground.placed import PlacedMark
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills.kit import Kit
    from wicketlay.drills.marks import Layout
    from wicketlay.ground.course import Course
    from wicketlay.ground.lines import RunLine
    from wicketlay.ground.placed import Placed

    Ends = tuple[tuple[float, float], tuple[float, float]]


def marks_on(
    layout: Layout, course: Course, direction: int, datum: float, kit: Kit, *, both: bool
) -> tuple[PlacedMark, ...]:
    """Return the marks of a layout with its datum at a run coordinate, in running order.

    Parameters
    ----------
    layout, course, kit
        What is laid where.
    direction
        +1 with the line's chainage, -1 against it.
    datum
        Chainage times direction of what along is measured from [m].
    both
        Whether it is run both ways: there is then a start mark for the way back.
    """
    laid = layout.marks
    if both:
        laid += _start_back(layout)
    marks = [
        PlacedMark(mark=mark, chainage_m=ChainageM(direction * (datum + mark.along_m)))
        for mark in laid
    ]
    if course.run_line.bent:
        marks = _beside_each_other(marks, course, kit.wicket_width_m)
    return tuple(marks)


def pose_of(placed: Placed, each: PlacedMark) -> Pose:
    """Return the point of a mark on the run line; the heading is the running direction."""
    ((x, y, heading),) = _poses(placed.course.run_line, [each.chainage_m])
    about = 0.0 if placed.direction > 0 else math.pi
    return Pose(x_m=x, y_m=y, heading_rad=(heading + about) % (2.0 * math.pi))


def ends_of(placed: Placed, each: PlacedMark) -> Ends | None:
    """Return the ends of a wicket [m], the one on the left of the line first; None of no wicket.

    It stands across the lane's middle.
    """
    if each.mark.kind is not MarkKind.WICKET:
        return None
    (pose,) = _poses(placed.course.run_line, [each.chainage_m])
    return _ends(pose, placed.course, placed.wicket_width_m)


def _ends(pose: tuple[float, float, float], course: Course, width_m: float) -> Ends:
    x, y, heading = pose
    sin, cos = math.sin(heading), math.cos(heading)
    middle, half = (course.left_m - course.right_m) / 2.0, width_m / 2.0
    left, right = middle + half, middle - half
    return (x - left * sin, y + left * cos), (x - right * sin, y + right * cos)


def _start_back(layout: Layout) -> tuple[Mark, ...]:
    """Return the start mark of the way back, beyond all others; none when there are no others."""
    body = [m.along_m for m in layout.marks if m.kind is not MarkKind.START]
    if not body:
        return ()
    run_on = min(body) - layout.start.along_m
    return (
        Mark(
            id="start-back",
            kind=MarkKind.START,
            along_m=AlongM(max(body) + run_on),
            label="start of the way back",
        ),
    )


def _poses(line: RunLine, chainages: Sequence[float]) -> list[tuple[float, float, float]]:
    """Return (x, y, heading) of each chainage; beyond an open line's ends it goes on straight."""
    x, y, heading = line.start
    if line.bent:
        many = line.locate(np.array(chainages), extend=True)
        return list(zip(*(each.tolist() for each in many), strict=True))
    cos, sin = math.cos(heading), math.sin(heading)
    return [(x + (c - line.from_m) * cos, y + (c - line.from_m) * sin, heading) for c in chainages]


def _beside_each_other(marks: list[PlacedMark], course: Course, width_m: float) -> list[PlacedMark]:
    """Return marks on a line with bends, each with its chord and its edge gaps."""
    found: list[PlacedMark] = []
    poses = _poses(course.run_line, [each.chainage_m for each in marks])
    before: tuple[float, float, float] | None = None
    wicket: Ends | None = None
    for each, pose in zip(marks, poses, strict=True):
        chord = None if before is None else math.hypot(pose[0] - before[0], pose[1] - before[1])
        before = pose
        inner = outer = None
        if each.mark.kind is MarkKind.WICKET:
            ends = _ends(pose, course, width_m)
            if wicket is not None:
                inner, outer = math.dist(ends[0], wicket[0]), math.dist(ends[1], wicket[1])
            wicket = ends
        found.append(
            replace(
                each,
                chord_m=chord,
                inner_gap_m=inner,
                outer_gap_m=outer,
                radius_m=_radius(course, each.chainage_m),
            )
        )
    return found


def _radius(course: Course, chainage_m: float) -> float:
    line = course.run_line
    if not line.closed and not line.from_m <= chainage_m <= line.to_m:
        return math.inf
    return line.radius_at(chainage_m)
