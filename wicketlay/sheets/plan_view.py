"""A laying from above, true to scale both ways: the lane in use, its marks and fixed points."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from wicketlay.drills.marks import AlongM, MarkKind
from wicketlay.ground.outline import Outline, outline
from wicketlay.sheets.layout import Pen, cap_mm, width_mm
from wicketlay.sheets.pages import Align, Ink, Role
from wicketlay.sheets.strip import SCALES, has_slow_down, stop_along_m
from wicketlay.units import FOOT_M, UnitSystem
from wicketlay.wording.names import mark_label
from wicketlay.wording.places import SAME_SPOT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wicketlay.ground.outline import DrawnLandmark, Point
    from wicketlay.ground.placed import FixedPoint, PlacedMark
    from wicketlay.sheets.furniture import Setting

LEADER_MM = 5.0
"""Between the lane and the names above and below it."""
_MARGIN_M = 6.0


def told_points(setting: Setting) -> tuple[FixedPoint, ...]:
    """Return the fixed points that the 0 of the first pull is told by."""
    return setting.laying.zero_points


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

    def turned(self, point: Point) -> Point:
        """Return a point of the ground, turned so that the run goes to the right [m]."""
        return turned(point, self.turn_rad)


def turned(point: Point, turn_rad: float) -> Point:
    """Return a point turned clockwise by an angle."""
    x, y = point
    sin, cos = math.sin(turn_rad), math.cos(turn_rad)
    return x * cos + y * sin, -x * sin + y * cos


def plan_view(setting: Setting, width_mm: float, height_mm: float) -> PlanView | None:
    """Return the view of a laying that fits a width and a height; None for an unplaced laying."""
    placed = setting.laying.placed
    if placed.course is None:
        return None
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
    denominator = next((each for each in SCALES if each >= need), math.ceil(need / 1000) * 1000)
    return PlanView(
        drawn=drawn,
        turn_rad=turn,
        low=low,
        high=high,
        denominator=denominator,
        landmarks=_numbered(setting, drawn),
    )


def _numbered(setting: Setting, drawn: Outline) -> tuple[DrawnLandmark, ...]:
    """Return the landmarks worth a number: plain lines, and those that the zero is told by."""
    told = {point.landmark.key for point in told_points(setting)}
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


class _Draft:
    """The pen with the view's frame: ground to paper."""

    def __init__(self, pen: Pen, view: PlanView, left_mm: float, top_mm: float) -> None:
        self.pen = pen
        self.view = view
        self.left_mm = left_mm
        self.top_mm = top_mm

    def at(self, point: Point) -> Point:
        """Return where a point of the ground lies on the paper [mm]."""
        x, y = self.view.turned(point)
        per = 1000 / self.view.denominator
        return self.left_mm + (x - self.view.low[0]) * per, (
            self.top_mm + (self.view.high[1] - y) * per
        )

    def line(self, points: Iterable[Point], **style: float | Ink | None) -> None:
        """Draw a chain of points of the ground."""
        self.pen.path(tuple(self.at(p) for p in points), **style)  # type: ignore[arg-type]


def draw_plan_view(pen: Pen, setting: Setting, view: PlanView, y_mm: float) -> None:
    """Draw a view over the width of the page, its top at `y_mm`."""
    paper = setting.paper
    name_mm = cap_mm(Role.LABEL_STRONG.large_pt)
    left = paper.left_mm + (paper.inner_mm - view.width_mm) / 2
    draft = _Draft(pen, view, left, y_mm + name_mm + LEADER_MM)
    shapes = view.drawn
    draft.line(shapes.corridor, line_mm=0.0, fill=Ink.TINT)
    if shapes.pit is not None:
        draft.line(shapes.pit, line_mm=0.3, fill=Ink.WHITE)
    obstacles = _obstacles(draft)
    for edge in (shapes.left_edge, shapes.right_edge):
        draft.line(edge, line_mm=0.3)
    for drawn in view.landmarks:
        draft.line((drawn.left, drawn.right), line_mm=0.5)
    for wall in shapes.walls:
        draft.line(wall, line_mm=1.4)
    for each in setting.laying.placed.marks:
        _mark(draft, setting, each)
    _slow_down(draft, setting)
    _names(draft, setting, y_mm + name_mm)
    low = y_mm + name_mm + LEADER_MM + view.height_mm + LEADER_MM + name_mm
    _numbers(draft, obstacles, low)
    _scale_and_run(pen, setting, view, low + 7.5)


def _obstacles(draft: _Draft) -> list[tuple[str, Point]]:
    """Draw what stands in or beside the lane; return letter and place."""
    found = []
    for index, (_, corners) in enumerate(draft.view.drawn.obstacles):
        draft.line(corners, line_mm=0.4, fill=Ink.GREY)
        middle = shapely.Polygon(corners).centroid
        found.append((obstacle_letter(index), draft.at((middle.x, middle.y))))
    return found


def obstacle_letter(index: int) -> str:
    """Return how an obstacle is marked on the drawing: a, b, c."""
    return chr(ord("a") + index % 26)


def _mark(draft: _Draft, setting: Setting, each: PlacedMark) -> None:
    course = setting.laying.placed.course
    if course is None:
        return
    kind = each.mark.kind
    if kind is MarkKind.WICKET and each.ends is not None:
        draft.line(each.ends, line_mm=0.6)
        return
    line = course.run_line
    chainage = float(each.chainage_m)
    if kind in {MarkKind.START, MarkKind.GATE}:
        across = (line.beside(chainage, course.left_m), line.beside(chainage, -course.right_m))
        draft.line(across, line_mm=0.6 if kind is MarkKind.START else 0.3, dash_mm=0.0)
        return
    x, y = draft.at((each.pose.x_m, each.pose.y_m))
    half = 0.7
    draft.pen.rect(x - half, y - half, 2 * half, 2 * half, line_mm=0.2, fill=Ink.BLACK)


def _slow_down(draft: _Draft, setting: Setting) -> None:
    place = slow_down_point(setting)
    if place is None:
        return
    x, y = draft.at(place)
    draft.pen.path(
        ((x - 1.3, y + 1.1), (x + 1.3, y + 1.1), (x, y - 1.1)), line_mm=0.3, fill=Ink.WHITE
    )


def slow_down_point(setting: Setting) -> Point | None:
    """Return where the slow-down cone stands on the ground, None when there is none."""
    placed = setting.laying.placed
    if not has_slow_down(setting) or placed.course is None:
        return None
    chainage = placed.chainage_of(AlongM(stop_along_m(setting)))
    return placed.course.run_line.beside(float(chainage), 0.0)


# -- names and numbers ------------------------------------------------------------------------


def spread_wide(
    places_mm: Sequence[float], widths_mm: Sequence[float], low_mm: float, high_mm: float
) -> list[float]:
    """Move ascending middles of texts apart as little as keeps 1.5 mm between them, in a range."""
    apart = 1.5
    spots = list(places_mm)
    for i, width in enumerate(widths_mm):
        least = low_mm + width / 2
        if i:
            least = spots[i - 1] + widths_mm[i - 1] / 2 + apart + width / 2
        spots[i] = max(spots[i], least)
    limit = high_mm
    for i in range(len(spots) - 1, -1, -1):
        spots[i] = min(spots[i], limit - widths_mm[i] / 2)
        limit = spots[i] - widths_mm[i] / 2 - apart
    return spots


def _labels(
    draft: _Draft, labels: list[tuple[str, Point]], baseline: float, *, above: bool
) -> None:
    """Write texts in a row with a line from each to its place on the drawing."""
    paper = draft.pen.paper
    size = Role.LABEL_STRONG.small_pt if paper.compact else Role.LABEL_STRONG.large_pt
    labels = sorted(labels, key=lambda each: each[1][0])
    widths = [width_mm(text, Role.LABEL_STRONG, size) for text, _ in labels]
    spots = spread_wide([place[0] for _, place in labels], widths, paper.left_mm, paper.right_mm)
    end = baseline + 0.8 if above else baseline - cap_mm(size) - 0.8
    for (text, (x, y)), spot in zip(labels, spots, strict=True):
        draft.pen.line(spot, end, x, y, width_mm=0.12)
        draft.pen.text(spot, baseline, text, Role.LABEL_STRONG, size_pt=size, align=Align.CENTRE)


def _edge(draft: _Draft, setting: Setting, each: PlacedMark, side: int) -> Point:
    """Return where the lane's edge beside a mark lies on the paper."""
    course = setting.laying.placed.course
    if course is None:
        return draft.at((each.pose.x_m, each.pose.y_m))
    # The runner's left is the line's left only when run with the line.
    left = side * setting.laying.placed.direction > 0
    offset = course.left_m if left else -course.right_m
    return draft.at(course.run_line.beside(float(each.chainage_m), offset))


def _names(draft: _Draft, setting: Setting, baseline: float) -> None:
    """Name the marks above the lane, on the runner's left: ends and fives of a series."""
    marks = setting.laying.placed.marks
    series = [m for m in marks if m.mark.kind is not MarkKind.START]
    labels: list[tuple[str, Point]] = []
    for each in marks:
        index = series.index(each) + 1 if each in series else 0
        last = index == len(series)
        if index and not (index in {1, len(series)} or index % 5 == 0):
            continue
        if index and not last and index + 1 == len(series) and index % 5 == 0 and index > 1:
            continue
        text = mark_label(each.mark.id)
        labels.append((text, _edge(draft, setting, each, 1)))
    place = slow_down_point(setting)
    if place is not None:
        x, y = draft.at(place)
        labels.append(("CONE", (x, y - 1.1)))
    _labels(draft, labels, baseline, above=True)


def _numbers(draft: _Draft, obstacles: list[tuple[str, Point]], baseline: float) -> None:
    """Write the numbers of fixed points and the names of all else below the lane."""
    view = draft.view
    labels = list(obstacles)
    for number, each in enumerate(view.landmarks, start=1):
        ends = (draft.at(each.left), draft.at(each.right))
        labels.append((str(number), max(ends, key=lambda p: p[1])))
    labels += [
        ("wall", max((draft.at(p) for p in wall), key=lambda p: p[1])) for wall in view.drawn.walls
    ]
    if view.drawn.pit is not None:
        corners = [draft.at(corner) for corner in view.drawn.pit]
        low = max(y for _, y in corners)
        labels.append(("pit", (sum(x for x, _ in corners) / 4, low)))
    _labels(draft, labels, baseline, above=False)


def _scale_and_run(pen: Pen, setting: Setting, view: PlanView, y: float) -> None:
    """Draw a bar of ten metres or thirty feet, the scale, and the arrow of running."""
    paper = setting.paper
    size = Role.LABEL.small_pt
    metric = setting.unit is UnitSystem.METRIC
    length_m = 10.0 if metric else float(30 * FOOT_M)
    bar = length_m * 1000 / view.denominator
    pen.line(paper.left_mm, y, paper.left_mm + bar, y, width_mm=0.4)
    for x in (paper.left_mm, paper.left_mm + bar):
        pen.line(x, y - 1.0, x, y + 1.0, width_mm=0.4)
    text = f"{'10 m' if metric else '30 ft'}   1 : {view.denominator}, true to scale, from above"
    pen.text(paper.left_mm + bar + 2.0, y + cap_mm(size) / 2, text, Role.LABEL, size_pt=size)
    run = Role.LABEL_STRONG.large_pt
    pen.arrow(paper.right_mm - 22.0, y, paper.right_mm, y, width_mm=1.0, head_mm=3.6)
    if setting.laying.placed.both_ways:
        pen.arrow(paper.right_mm - 14.0, y, paper.right_mm - 22.0, y, width_mm=1.0, head_mm=3.6)
    word = "RUN BOTH WAYS" if setting.laying.placed.both_ways else "RUN"
    pen.text(
        paper.right_mm - 24.0,
        y + cap_mm(run) / 2,
        word,
        Role.LABEL_STRONG,
        size_pt=run,
        align=Align.RIGHT,
    )
