"""A laying from above, true to scale both ways: the lane in use, its marks and fixed points."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.ground.outline import Outline, outline
from wicketlay.sheets.drawings.strip import round_scale
from wicketlay.sheets.page.layout import cap_mm
from wicketlay.sheets.page.model import Role
from wicketlay.values import dataclass
from wicketlay.wording.places import SAME_SPOT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.outline import DrawnLandmark, Point
    from wicketlay.sheets.setting import Setting


LEADER_MM = 5.0
"""Between the lane and the names above and below it."""
_MARGIN_M = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """A stretch of ground turned so that the run goes to the right, at a round scale.

    ::

            START    W1     W5     W10       CONE      names of marks, the runner's left
        -------------------------------------------
          v     |      |      |      |         ^       RUN ->
        -------------------------------------------
                       1      2                        numbers of fixed points

    Parameters
    ----------
    drawn
        The shapes, in the ground's frame.
    turn_rad
        Heading on the ground that points to the right on the paper.
    low, high
        Corners of what is drawn, turned [m].
    denominator
        The drawing is 1 : denominator.
    landmarks
        Those that are numbered, in running order.
    """

    drawn: Outline
    turn_rad: float
    low: Point
    high: Point
    denominator: int
    landmarks: tuple[DrawnLandmark, ...]

    @property
    def width_mm(self) -> float:
        """Width of the drawing."""
        return (self.high[0] - self.low[0]) * 1000 / self.denominator

    @property
    def height_mm(self) -> float:
        """Height of the drawing without the names."""
        return (self.high[1] - self.low[1]) * 1000 / self.denominator

    @property
    def whole_mm(self) -> float:
        """Height with names, numbers and the scale."""
        return self.height_mm + 2 * LEADER_MM + 2 * cap_mm(Role.LABEL_STRONG.large_pt) + 11.0


def turned(point: Point, turn_rad: float) -> Point:
    """Return a point turned clockwise by an angle."""
    x, y = point
    sin, cos = math.sin(turn_rad), math.cos(turn_rad)
    return x * cos + y * sin, -x * sin + y * cos


def plan_view(setting: Setting, width_mm: float, height_mm: float) -> PlanView:
    """Return the view of a laying that fits a width and a height."""
    placed = setting.laying.placed
    drawn = outline(placed, setting.solved.plan.ground, margin_m=_MARGIN_M)
    ends = drawn.run_line[0], drawn.run_line[-1]
    if placed.direction < 0:
        ends = ends[::-1]
    (x1, y1), (x2, y2) = ends
    turn = math.atan2(y2 - y1, x2 - x1)
    if math.hypot(x2 - x1, y2 - y1) < 1.0:  # a whole lap: as it lies in the ground's frame
        turn = 0.0
    points = [turned(p, turn) for p in (*drawn.left_edge, *drawn.right_edge)]
    points += [turned(p, turn) for _, corners in drawn.obstacles for p in corners]
    if drawn.pit is not None:
        points += [turned(p, turn) for p in drawn.pit]
    low = min(x for x, _ in points), min(y for _, y in points)
    high = max(x for x, _ in points), max(y for _, y in points)
    need = max((high[0] - low[0]) / width_mm, (high[1] - low[1]) / height_mm) * 1000
    return PlanView(
        drawn=drawn,
        turn_rad=turn,
        low=low,
        high=high,
        denominator=round_scale(need),
        landmarks=_numbered(setting, drawn),
    )


def _numbered(setting: Setting, drawn: Outline) -> tuple[DrawnLandmark, ...]:
    """Return the landmarks worth a number: plain lines, and those that the zero is told by."""
    told = {point.landmark.key for point in setting.laying.zero_points}
    chosen = [
        each for each in drawn.landmarks if each.landmark.rank == 0 or each.landmark.key in told
    ]
    chosen = _one_a_spot(chosen, told)
    return tuple(chosen if setting.laying.placed.direction > 0 else chosen[::-1])


def _one_a_spot(drawn: Sequence[DrawnLandmark], told: set[str]) -> list[DrawnLandmark]:
    """Leave out what lies where another one does: a distance to it checks nothing more.

    What the 0 is told by stays.
    """
    kept: list[DrawnLandmark] = []
    for each in sorted(drawn, key=lambda one: one.landmark.key not in told):
        at = float(each.landmark.chainage_m)
        if all(abs(float(one.landmark.chainage_m) - at) >= SAME_SPOT_M for one in kept):
            kept.append(each)
    return [each for each in drawn if each in kept]
