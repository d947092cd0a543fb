"""A view of the ground drawn: lane, marks, fixed points, obstacles, each with its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from wicketlay.drills.marks import AlongM, MarkKind
from wicketlay.ground.standing import ends_of, pose_of
from wicketlay.sheets.drawings.plan_view import LEADER_MM, PlanView, turned
from wicketlay.sheets.page.layout import Pen, cap_mm, width_mm
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.sheets.setting import worth_a_name
from wicketlay.sheets.slow_down import stop_along_m
from wicketlay.units import FOOT_M, UnitSystem
from wicketlay.wording.names import mark_label

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wicketlay.ground.outline import Point
    from wicketlay.ground.placed import PlacedMark
    from wicketlay.sheets.setting import Setting


class _Draft:
    """The pen with the view's frame: ground to paper."""

    def __init__(self, pen: Pen, view: PlanView, left_mm: float, top_mm: float) -> None:
        self.pen = pen
        self.view = view
        self.left_mm = left_mm
        self.top_mm = top_mm

    def at(self, point: Point) -> Point:
        """Return where a point of the ground lies on the paper [mm]."""
        x, y = turned(point, self.view.turn_rad)
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
    cone = _slow_down(draft, setting)
    _names(draft, setting, cone, y_mm + name_mm)
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
    placed = setting.laying.placed
    course, kind = placed.course, each.mark.kind
    ends = ends_of(placed, each)
    if ends is not None:
        draft.line(ends, line_mm=0.6)
        return
    line = course.run_line
    chainage = float(each.chainage_m)
    if kind in {MarkKind.START, MarkKind.GATE}:
        across = (line.beside(chainage, course.left_m), line.beside(chainage, -course.right_m))
        draft.line(across, line_mm=0.6 if kind is MarkKind.START else 0.3, dash_mm=0.0)
        return
    pose = pose_of(placed, each)
    x, y = draft.at((pose.x_m, pose.y_m))
    half = 0.7
    draft.pen.rect(x - half, y - half, 2 * half, 2 * half, line_mm=0.2, fill=Ink.BLACK)


def _slow_down(draft: _Draft, setting: Setting) -> Point | None:
    """Draw the slow-down cone; return where its tip lies on the paper, None without a cone."""
    placed = setting.laying.placed
    if not setting.laying.layout.slows_down:
        return None
    chainage = placed.chainage_of(AlongM(stop_along_m(setting)))
    x, y = draft.at(placed.course.run_line.beside(float(chainage), 0.0))
    draft.pen.triangle(x, y + 1.1, y - 1.1, 1.3, line_mm=0.3, fill=Ink.WHITE)
    return x, y - 1.1


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
    size = paper.size_pt(Role.LABEL_STRONG)
    labels = sorted(labels, key=lambda each: each[1][0])
    widths = [width_mm(text, Role.LABEL_STRONG, size) for text, _ in labels]
    spots = spread_wide([place[0] for _, place in labels], widths, paper.left_mm, paper.right_mm)
    end = baseline + 0.8 if above else baseline - cap_mm(size) - 0.8
    for (text, (x, y)), spot in zip(labels, spots, strict=True):
        draft.pen.line(spot, end, x, y, width_mm=0.12)
        draft.pen.text(spot, baseline, text, Role.LABEL_STRONG, align=Align.CENTRE)


def _names(draft: _Draft, setting: Setting, cone: Point | None, baseline: float) -> None:
    """Name the marks above the lane, on the runner's left, and the cone."""
    placed = setting.laying.placed
    course = placed.course
    # The runner's left is the line's left only when run with the line.
    left_m = course.left_m if placed.direction > 0 else -course.right_m
    named = worth_a_name([each.mark for each in placed.marks])
    labels = [
        (
            mark_label(each.mark.id),
            draft.at(course.run_line.beside(float(each.chainage_m), left_m)),
        )
        for each in placed.marks
        if each.mark.id in named
    ]
    labels += [] if cone is None else [("CONE", cone)]
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
    run = Role.LABEL_STRONG.large_pt
    word = "RUN BOTH WAYS" if setting.laying.placed.both_ways else "RUN"
    left = paper.left_mm + bar + 2.0
    scale = f"{'10 m' if metric else '30 ft'}   1 : {view.denominator}"
    free = paper.right_mm - left - width_mm(word, Role.LABEL_STRONG, run) - 4.0
    # On a narrow page the arrow gives way, not what is written.
    arrow_mm = 22.0 if width_mm(scale, Role.LABEL, size) <= free - 22.0 else 10.0
    text = f"{scale}, true to scale, from above"
    text = text if width_mm(text, Role.LABEL, size) <= free - arrow_mm else scale
    pen.text(left, y + cap_mm(size) / 2, text, Role.LABEL, size_pt=size)
    tail = paper.right_mm - arrow_mm
    pen.arrow(tail, y, paper.right_mm, y, width_mm=1.0, head_mm=3.6)
    if setting.laying.placed.both_ways:
        pen.arrow(tail + 0.36 * arrow_mm, y, tail, y, width_mm=1.0, head_mm=3.6)
    pen.text(
        tail - 2.0, y + cap_mm(run) / 2, word, Role.LABEL_STRONG, size_pt=run, align=Align.RIGHT
    )
