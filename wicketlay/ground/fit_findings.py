"""What is to be said of a laying beside its room: bends, widths, directions, the runway's marks."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Finding
from wicketlay.ground import clearance
from wicketlay.ground.placed import Direction, Placed
from wicketlay.sources import COMPETITION_MARKERS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills.kit import Kit
    from wicketlay.drills.marks import Layout
    from wicketlay.ground.course import Course

_TINY_M = 1e-6
_EVEN_M = 0.01
"""Gaps that differ by less than this are even: it is the tape's rounding [m]."""


def marks_on_bend(placed: Placed) -> list[Finding]:
    """Return a note when marks lie on a bend, with the edge gaps of wickets."""
    bent = placed.course.run_line.bent and [
        each
        for each in placed.marks
        if math.isfinite(each.radius_m) and each.mark.kind is not MarkKind.START
    ]
    if not bent:
        return []
    radius = abs(bent[0].radius_m)
    widest = max(
        (each for each in bent if each.inner_gap_m is not None),
        key=lambda each: abs((each.outer_gap_m or 0.0) - (each.inner_gap_m or 0.0)),
        default=None,
    )
    if widest is None:
        return [Finding.note("ground-marks-on-bend", count=len(bent), radius_m=radius)]
    return [
        Finding.note(
            "ground-wickets-on-bend",
            None,
            widest.mark.id,
            count=len(bent),
            radius_m=radius,
            inner_m=widest.inner_gap_m or 0.0,
            outer_m=widest.outer_gap_m or 0.0,
        )
    ]


def width_findings(
    placed: Placed, course: Course, kit: Kit, others: Sequence[Placed]
) -> list[Finding]:
    """Return what is to be said of wickets wider than the lane."""
    found = []
    over = kit.wicket_width_m - course.clear_width_m
    if over > _TINY_M and any(each.mark.kind is MarkKind.WICKET for each in placed.marks):
        found.append(
            Finding.caution(
                "ground-wicket-wider-than-lane",
                width_m=kit.wicket_width_m,
                clear_m=course.clear_width_m,
                over_m=over / 2.0,
            )
        )
    for other in others:
        if other.lane == placed.lane:
            continue
        wide = other.wicket_width_m > other.course.clear_width_m + _TINY_M
        ours = over > _TINY_M and clearance.touch(
            clearance.wickets_area(placed), clearance.corridor(other)
        )
        theirs = wide and clearance.touch(clearance.wickets_area(other), clearance.corridor(placed))
        if ours or theirs:
            found.append(
                Finding.stop(
                    "ground-wicket-into-neighbour",
                    other=other.lane,
                    width_m=kit.wicket_width_m if ours else other.wicket_width_m,
                )
            )
    return found


def direction_findings(
    layout: Layout, placed: Placed, kit: Kit, way: Direction, others: Sequence[Placed]
) -> list[Finding]:
    """Return what is to be said of running both ways, and of neighbours running the other way."""
    found = []
    if way is Direction.BOTH:
        gaps = [m.gap_m for m in layout.marks if m.kind is MarkKind.WICKET and m.gap_m]
        spread = max(gaps, default=0.0) - min(gaps, default=0.0)
        if spread > _EVEN_M + _TINY_M:
            found.append(
                Finding.stop("ground-both-ways-uneven", shortest_m=min(gaps), longest_m=max(gaps))
            )
        if gaps and not kit.falls_both_ways:
            found.append(Finding.stop("ground-both-ways-fall"))
    for other in others:
        if other.line != placed.line or abs(other.lane - placed.lane) != 1:
            continue
        opposed = other.direction != placed.direction or other.both_ways != placed.both_ways
        if opposed and _overlap(placed, other):
            found.append(Finding.caution("ground-neighbour-opposite", other=other.lane))
    return found


def _overlap(one: Placed, two: Placed) -> bool:
    low_1, high_1 = sorted((one.start_chainage_m, one.stop_chainage_m))
    low_2, high_2 = sorted((two.start_chainage_m, two.stop_chainage_m))
    return low_1 < high_2 and low_2 < high_1


def runway_findings(layout: Layout, way: Direction, *, jump: bool) -> list[Finding]:
    """Return what is to be said of marks on a runway.

    References
    ----------
    At most two markers an athlete in competition, beside the runway: rule 180.3 (2016-17).
    """
    found = []
    if jump and way is not Direction.WITH:
        found.append(Finding.stop("ground-jump-direction"))
    most = int(COMPETITION_MARKERS)
    if len(layout.marks) > most:
        found.append(Finding.note("ground-competition-markers", count=len(layout.marks), most=most))
    return found
