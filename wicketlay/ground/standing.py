"""Where the marks of a laying stand: chainage, pose, ends of wickets, chords on a bend."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills.marks import AlongM, Mark, MarkKind
from wicketlay.ground.lines import ChainageM, Pose
from wicketlay.ground.placed import PlacedMark

if TYPE_CHECKING:
    from wicketlay.drills.kit import Kit
    from wicketlay.drills.marks import Layout
    from wicketlay.ground.course import Course
    from wicketlay.ground.lines import RunLine


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
    middle = (course.left_m - course.right_m) / 2.0
    half = kit.wicket_width_m / 2.0
    left, right = middle + half, middle - half
    about = 0.0 if direction > 0 else math.pi
    chainages = [direction * (datum + mark.along_m) for mark in laid]
    found: list[PlacedMark] = []
    faced = math.nan
    for mark, chainage, (x, y, heading) in zip(
        laid, chainages, _poses(course.run_line, chainages), strict=True
    ):
        if heading != faced:  # once on a straight
            faced, sin, cos = heading, math.sin(heading), math.cos(heading)
            facing = (heading + about) % (2.0 * math.pi)
        ends = None
        if mark.kind is MarkKind.WICKET:
            ends = ((x - left * sin, y + left * cos), (x - right * sin, y + right * cos))
        pose = Pose(x_m=x, y_m=y, heading_rad=facing)
        found.append(PlacedMark(mark=mark, chainage_m=ChainageM(chainage), pose=pose, ends=ends))
    return _beside_each_other(found, course) if course.run_line.bent else tuple(found)


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


def _poses(line: RunLine, chainages: list[float]) -> list[tuple[float, float, float]]:
    """Return (x, y, heading) of each chainage; beyond an open line's ends it goes on straight."""
    x, y, heading = line.start
    if line.bent:
        many = line.locate(np.array(chainages), extend=True)
        return list(zip(*(each.tolist() for each in many), strict=True))
    cos, sin = math.cos(heading), math.sin(heading)
    return [(x + (c - line.from_m) * cos, y + (c - line.from_m) * sin, heading) for c in chainages]


def _beside_each_other(marks: list[PlacedMark], course: Course) -> tuple[PlacedMark, ...]:
    """Return marks on a line with bends, each with its chord and its edge gaps."""
    found: list[PlacedMark] = []
    wicket: PlacedMark | None = None
    for index, each in enumerate(marks):
        chord = inner = outer = None
        if index:
            before = marks[index - 1].pose
            chord = math.hypot(each.pose.x_m - before.x_m, each.pose.y_m - before.y_m)
        if each.ends is not None:
            if wicket is not None and wicket.ends is not None:
                inner = math.dist(each.ends[0], wicket.ends[0])
                outer = math.dist(each.ends[1], wicket.ends[1])
            wicket = each
        found.append(
            replace(
                each,
                chord_m=chord,
                inner_gap_m=inner,
                outer_gap_m=outer,
                radius_m=_radius(course, each.chainage_m),
            )
        )
    return tuple(found)


def _radius(course: Course, chainage_m: float) -> float:
    line = course.run_line
    if not line.closed and not line.from_m <= chainage_m <= line.to_m:
        return math.inf
    return line.radius_at(chainage_m)
