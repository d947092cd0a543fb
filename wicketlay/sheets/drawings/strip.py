"""The lane drawn to scale, downwards the way the first pull of the tape is walked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.tape import PullDirection, TapeLies
from wicketlay.sheets.page.layout import Pen, cap_mm, spread, wrap
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.sheets.setting import along_of, marks_of, worth_a_name
from wicketlay.sheets.slow_down import stop_along_m
from wicketlay.units import FOOT_M, UnitSystem
from wicketlay.values import dataclass
from wicketlay.wording.names import large_unit, mark_label
from wicketlay.wording.places import ground_word

if TYPE_CHECKING:
    from wicketlay.drills.marks import Mark
    from wicketlay.sheets.setting import Setting


SCALES = (50, 100, 150, 200, 250, 300, 400, 500, 600, 750, 1000, 1250, 1500, 2000, 2500, 5000)
LANE_MM = 9.0
NARROW_LANE_MM = 6.0
PEG_M = {UnitSystem.METRIC: 10.0, UnitSystem.FEET: float(30 * FOOT_M)}
"""Distance between the places where the tape is pegged: 10 m, or 30 ft."""
BEND_PEG_M = {UnitSystem.METRIC: 5.0, UnitSystem.FEET: float(15 * FOOT_M)}
"""The same on a bend, where a tape between two pegs cuts the corner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Along on the ground to y on the paper.

    Parameters
    ----------
    denominator
        The drawing is 1 : denominator along the lane.
    top_mm, top_along_m
        A place on the paper and the along that lies there.
    sign
        +1 when along grows downwards.
    """

    denominator: int
    top_mm: float
    top_along_m: float
    sign: int

    def y_mm(self, along_m: float) -> float:
        """Return the y of a place."""
        return self.top_mm + self.sign * (along_m - self.top_along_m) * 1000 / self.denominator


def goes_round(setting: Setting) -> bool:
    """Tell whether the tape follows a bend; pulled straight it does not."""
    return setting.laying.on_bend and setting.laying.tape.spec.lies is not TapeLies.STRAIGHT


def on_grass(setting: Setting) -> bool:
    """Tell whether a peg can be driven in."""
    ground = setting.solved.plan.ground
    return isinstance(ground, Strip) and ground.surface is Surface.GRASS


def has_painted_line(setting: Setting) -> bool:
    """Tell whether a line is painted beside the lane, along which the tape can lie.

    Lanes beside each other are painted, but on grass, where a mower tells them or nobody.
    """
    ground = setting.solved.plan.ground
    if not isinstance(ground, Strip) or ground.line_width_m:
        return True
    return ground.lanes > 1 and ground.surface is not Surface.GRASS


def peg_step_m(setting: Setting) -> float:
    """Return how far apart the tape is pegged [m]."""
    return (BEND_PEG_M if goes_round(setting) else PEG_M)[setting.unit]


def round_scale(need: float) -> int:
    """Return the denominator of the largest round scale that is no larger than 1 : `need`."""
    return next((each for each in SCALES if each >= need), math.ceil(need / 1000) * 1000)


def _ends_m(setting: Setting) -> tuple[float, float]:
    """Return where the drawing of a run begins and ends, along [m]."""
    places = [float(mark.along_m) for mark in marks_of(setting)]
    high = max(*places, along_of(setting, setting.laying.tape.pulls[0].zero_id))
    if setting.laying.layout.slows_down:
        high = max(high, stop_along_m(setting))
    return min(places) - setting.laying.layout.approach_m, high


def choose_scale(setting: Setting, top_mm: float, height_mm: float) -> Scale:
    """Return the largest round scale at which the whole run fits a height."""
    low, high = _ends_m(setting)
    denominator = round_scale((high - low) * 1000 / height_mm)
    down = setting.laying.tape.pulls[0].direction is PullDirection.RUNNING
    drawn = (high - low) * 1000 / denominator
    return Scale(
        denominator=denominator,
        top_mm=top_mm + (height_mm - drawn) / 2,
        top_along_m=low if down else high,
        sign=1 if down else -1,
    )


def draw_strip(
    pen: Pen, setting: Setting, place_mm: tuple[float, float], size_mm: tuple[float, float]
) -> None:
    """Draw the lane with its marks, the tape beside it and the arrow of running."""
    (x_mm, y_mm), (width_mm, height_mm) = place_mm, size_mm
    caption_pt = Role.LABEL.small_pt
    tall = 4.2
    scale = choose_scale(setting, y_mm + 1.5, height_mm - 3 * tall)
    note = f"1 : {scale.denominator} along the {ground_word(setting.laying)}, width not to scale"
    # Seen from above with the run going down the page, the runner's left is on the right.
    side = scale.sign
    middle = x_mm + width_mm * (0.5 + 0.07 * side)
    half = (NARROW_LANE_MM if width_mm < 40.0 else LANE_MM) / 2
    left, right = middle - half, middle + half
    ends = sorted(map(scale.y_mm, _ends_m(setting)))
    for x in (left, right):
        pen.line(x, ends[0], x, ends[1], width_mm=0.4)
    for mark in marks_of(setting):
        _draw_mark(pen, mark, (middle, half), scale)
    if setting.laying.layout.slows_down:
        _cone(pen, middle, scale.y_mm(stop_along_m(setting)))
    _draw_labels(pen, _labels(setting), scale, (middle, half), ends)
    _draw_tape(pen, setting, scale, right + 2.2 if side > 0 else left - 2.2, side)
    _run_arrow(pen, setting, scale, (middle, half))
    lines = wrap(note, Role.LABEL, caption_pt, width_mm - 3.0)
    baseline = y_mm + height_mm - (len(lines) - 1) * caption_pt * 0.44 - 0.6
    pen.lines(
        x_mm + width_mm / 2, baseline, lines, Role.LABEL, size_pt=caption_pt, align=Align.CENTRE
    )


def _draw_mark(pen: Pen, mark: Mark, lane: tuple[float, float], scale: Scale) -> None:
    """Draw a mark; `lane` is the lane's middle and half its width."""
    middle, half = lane
    y = scale.y_mm(float(mark.along_m))
    if mark.kind is MarkKind.WICKET:
        pen.line(middle - half + 1.2, y, middle + half - 1.2, y, width_mm=0.7)
    elif mark.kind is MarkKind.START:
        pen.line(middle - half, y, middle + half, y, width_mm=0.3)
        pen.triangle(middle, y - 1.3 * scale.sign, y, 1.3)
    elif mark.kind is MarkKind.GATE:
        pen.line(middle - half - 1.0, y, middle + half + 1.0, y, width_mm=0.3, dash_mm=0.8)
    elif mark.kind is MarkKind.CONE:
        _cone(pen, middle, y)
    else:
        pen.line(middle - 1.0, y, middle + 1.0, y, width_mm=0.5)


def _cone(pen: Pen, middle: float, y: float) -> None:
    pen.triangle(middle, y + 1.4, y - 1.4, 1.6, line_mm=0.3, fill=Ink.WHITE)


def _labels(setting: Setting) -> list[tuple[float, str]]:
    """Return (along, text) of the marks that are named: some of the wickets, all others."""
    layout = setting.laying.layout
    wickets = layout.of_kind(MarkKind.WICKET)
    named = worth_a_name(wickets)
    labels = [(float(m.along_m), mark_label(m.id)) for m in wickets if m.id in named]
    steps = layout.of_kind(MarkKind.LANDING)
    labels += [(float(m.along_m), m.id.removeprefix("step")) for m in steps]
    kinds = {MarkKind.START, MarkKind.CONE, MarkKind.GATE}
    for mark in (mark for mark in marks_of(setting) if mark.kind in kinds):
        labels.append((float(mark.along_m), mark_label(mark.id)))
    if setting.laying.layout.slows_down:
        labels.append((stop_along_m(setting), "CONE"))
    return labels


def _draw_labels(
    pen: Pen,
    labels: list[tuple[float, str]],
    scale: Scale,
    lane: tuple[float, float],
    ends: list[float],
) -> None:
    side = scale.sign
    size = pen.paper.size_pt(Role.LABEL_STRONG)
    middle, half = lane
    apart = cap_mm(size) + 1.1
    most = max(int((ends[1] + 1.6 - ends[0]) / apart) + 1, 2)
    placed = _legible(sorted((scale.y_mm(along), text) for along, text in labels), most)
    spots = spread([y for y, _ in placed], apart, ends[0], ends[1] + 1.6)
    edge = middle - side * half
    align = Align.RIGHT if side > 0 else Align.LEFT
    for (y, text), spot in zip(placed, spots, strict=True):
        pen.line(edge - side * 0.4, y, edge - side * 3.6, spot, width_mm=0.15)
        pen.text(edge - side * 4.2, spot + cap_mm(size) / 2, text, Role.LABEL_STRONG, align=align)


def _legible(placed: list[tuple[float, str]], most: int) -> list[tuple[float, str]]:
    """Return labels without as many as have no room: steps first, evenly, never the ends."""
    while len(placed) > most:
        inner = [each for each in placed[1:-1] if each[1].isdigit()] or placed[1:-1]
        fewer = set(inner[::2])
        placed = [each for each in placed if each not in fewer]
    return placed


def _draw_tape(pen: Pen, setting: Setting, scale: Scale, x: float, side: int) -> None:
    """Draw each pull from its 0 on, with a tick where it is pegged."""
    size = Role.LABEL.small_pt
    align = Align.LEFT if side > 0 else Align.RIGHT
    taken: list[float] = []
    before: set[PullDirection] = set()
    _, unit_m = large_unit(setting.unit)
    step = peg_step_m(setting)
    for pull in setting.laying.tape.pulls:
        zero = along_of(setting, pull.zero_id)
        way = pull.direction.way
        reach = max((reading.true_m for reading in pull.readings), default=0.0)
        at = x + side * 1.4 * (pull.number - 1) if pull.direction in before else x
        start, stop = scale.y_mm(zero), scale.y_mm(zero + way * reach)
        if abs(stop - start) > 4.0:
            pen.arrow(at, start, at, stop, width_mm=0.5, head_mm=2.2)
        for number in range(math.floor(reach / step + 1e-9) + 1):
            y = scale.y_mm(zero + way * number * step)
            pen.line(at - 0.8, y, at + 0.8, y, width_mm=0.3)
            shown = round(number * step / unit_m)
            if all(abs(y - other) > cap_mm(size) + 0.6 for other in taken):
                base = y + cap_mm(size) / 2
                pen.text(x + side * 2.4, base, str(shown), Role.LABEL, size_pt=size, align=align)
                taken.append(y)
        before.add(pull.direction)


def _run_arrow(pen: Pen, setting: Setting, scale: Scale, lane: tuple[float, float]) -> None:
    """Draw the arrow of running: in the empty lane of the run-on, else beside the lane."""
    layout = setting.laying.layout
    side = scale.sign
    middle, half = lane
    size = Role.LABEL_STRONG.small_pt
    after = [float(m.along_m) for m in layout.marks if m.kind is not MarkKind.START]
    last_start = max(float(m.along_m) for m in layout.of_kind(MarkKind.START))
    start, end = scale.y_mm(last_start), scale.y_mm(min(after))
    room = abs(end - start)
    word_mm = cap_mm(size) + 1.6
    length = min(16.0, room - word_mm - 3.5)
    x, begin = middle, start + side * 2.5
    if length < 6.0:
        # Beyond the numbers of the tape, which have three digits in feet.
        beyond = 12.5 if pen.paper.screen else 10.0
        x, begin, length = middle + side * (half + beyond), start, 16.0
    tip = begin + side * length
    pen.arrow(x, begin, x, tip, width_mm=1.2, head_mm=4.0)
    word_y = tip + side * word_mm / 2
    pen.text(
        x, word_y + cap_mm(size) / 2, "RUN", Role.LABEL_STRONG, size_pt=size, align=Align.CENTRE
    )
