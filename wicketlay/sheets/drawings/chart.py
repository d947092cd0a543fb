"""The picture on the coach sheet: speed and cadence over distance, with the marks."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.sheets.page.layout import MINUS, Pen, cap_mm, line_mm, width_mm
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.sheets.setting import worth_a_name
from wicketlay.sources import FOOT_AHEAD_M
from wicketlay.values import dataclass
from wicketlay.wording.names import large_unit, mark_label, speed_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills.marks import Mark
    from wicketlay.sheets.setting import Setting
    from wicketlay.solve import Demand

_SAMPLES = 80
_AXIS_MM = 11.0
"""Room for the numbers left of an axis."""


def draw_chart(pen: Pen, setting: Setting, demand: Demand, y_mm: float, height_mm: float) -> None:
    """Draw speed above cadence over the same distance, each with its axis and unit."""
    paper = setting.paper
    size = Role.LABEL.small_pt
    tall = cap_mm(size)
    marks = setting.laying.layout.marks
    own = [m for m in marks if m.kind is not MarkKind.START]
    unit, unit_m = large_unit(setting.unit)
    speed_name, unit_mps = speed_unit(setting.unit)
    start = float(demand.start_along_m)
    end = max(float(m.along_m) for m in marks)
    distance, speeds = speed_drawn(setting, demand, start, end)
    appraisal = demand.appraisal
    has_cadence = appraisal is not None and len(appraisal.cadence_hz) > 0
    bottom = y_mm + height_mm - 2 * tall - 3.0
    split = y_mm + (bottom - y_mm) * (0.60 if has_cadence else 1.0)
    x_ticks = nice_steps(start / unit_m, end / unit_m, 9)
    speed_ticks = nice_steps(0.0, float(speeds.max()) / unit_mps, 5)
    x = Axis(
        low=x_ticks[0],
        high=x_ticks[-1],
        from_mm=paper.left_mm + _AXIS_MM,
        to_mm=paper.right_mm - 3.0,
    )
    speed_top, speed_bottom = y_mm + tall + 2.4, split - 4.0
    speed = Axis(low=0.0, high=speed_ticks[-1], from_mm=speed_bottom, to_mm=speed_top)
    draw_panel(pen, x, speed, (x_ticks, speed_ticks), places=0)
    title = f"speed, {speed_name}"
    pen.text(paper.left_mm, y_mm + tall, title, Role.LABEL_STRONG, size_pt=size)
    _mark_lines(pen, own, x, unit_m, (speed_top, speed_bottom))
    pen.path(
        tuple(
            (x.at(d / unit_m), speed.at(v / unit_mps))
            for d, v in zip(distance, speeds, strict=True)
        ),
        line_mm=0.6,
    )
    _mark_names(pen, setting, demand, (x, unit_m), speed_bottom)
    if has_cadence:
        legend_mm = _cadence_title(pen, (paper.left_mm, paper.right_mm), split)
        panel = (split + legend_mm + 1.8, bottom)
        _cadence_panel(pen, demand, (x, x_ticks), unit_m, panel)
        _mark_lines(pen, own, x, unit_m, panel)
    below, middle = bottom + tall + 1.4, Align.CENTRE
    for tick in x_ticks:
        pen.text(x.at(tick), below, number_text(tick), Role.LABEL, size_pt=size, align=middle)
    zero = {
        Datum.FIRST_WICKET: "W1",
        Datum.TAKEOFF_LINE: "the take-off line",
        Datum.FIRST_GATE: "the first gate",
        Datum.START: "the start mark",
    }[setting.laying.layout.datum]
    title = f"distance from {zero}, {unit}"
    end, below = paper.right_mm - 3.0, bottom + 2 * tall + 2.8
    pen.text(end, below, title, Role.LABEL_STRONG, size_pt=size, align=Align.RIGHT)


def speed_drawn(
    setting: Setting, demand: Demand, start: float, end: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return places [m] and the speed of the body there [m/s]."""
    layout = setting.laying.layout_for(demand)
    run = layout.run_of(demand.runner, demand.layout.speed_share)
    feet = demand.layout.of_kind(MarkKind.WICKET, MarkKind.LANDING)
    behind = float(FOOT_AHEAD_M) if feet else 0.0
    places, speeds = [], []
    ends = [*(start + piece.to_m for piece in run.pieces[:-1]), end]
    for piece, last in zip(run.pieces, ends, strict=True):
        # The curve rises fast where it begins, so samples lie closer there.
        first = start + piece.from_m
        along = first + (last - first) * np.linspace(0.0, 1.0, _SAMPLES) ** 2
        body = np.maximum(along - start - behind, piece.from_m)
        places.append(along)
        curve = piece.curve
        steady = np.full_like(body, piece.speed_mps)
        speeds.append(steady if curve is None else curve.passing(body - piece.from_m)[1])
    return np.concatenate(places), np.concatenate(speeds)


def draw_panel(
    pen: Pen,
    x: Axis,
    y: Axis,
    ticks: tuple[Sequence[float], Sequence[float]],
    *,
    places: int,
    beside_mm: float = 1.6,
) -> None:
    """Draw the axes of one panel; `ticks` are those along and those upwards, with numbers beside.

    `places` are the decimals of the numbers.
    """
    size = Role.LABEL.small_pt
    for tick in ticks[1]:
        at = y.at(tick)
        pen.line(x.from_mm, at, x.to_mm, at, width_mm=0.1, ink=Ink.GREY)
        baseline = at + cap_mm(size) / 2
        shown = number_text(tick, places)
        pen.text(
            x.from_mm - beside_mm, baseline, shown, Role.LABEL, size_pt=size, align=Align.RIGHT
        )
    for tick in ticks[0]:
        pen.line(x.at(tick), y.from_mm, x.at(tick), y.from_mm + 0.9, width_mm=0.2)
    pen.line(x.from_mm, y.from_mm, x.to_mm, y.from_mm, width_mm=0.3)
    pen.line(x.from_mm, y.from_mm, x.from_mm, y.to_mm, width_mm=0.3)


def _mark_lines(
    pen: Pen, marks: Sequence[Mark], x: Axis, unit_m: float, panel: tuple[float, float]
) -> None:
    for mark in marks:
        at = x.at(float(mark.along_m) / unit_m)
        pen.line(at, panel[0], at, panel[1], width_mm=0.12, dash_mm=0.6, ink=Ink.GREY)


def _mark_names(
    pen: Pen, setting: Setting, demand: Demand, along: tuple[Axis, float], base: float
) -> None:
    """Name the start, and the marks far enough apart to be read, under the speed panel."""
    x, unit_m = along
    size = Role.LABEL.small_pt
    y = base + cap_mm(size) + 1.4
    at = x.at(float(demand.start_along_m) / unit_m)
    pen.triangle(at, base + 2.2, base + 0.2, 1.2)
    pen.text(at + 2.2, y, "start", Role.LABEL, size_pt=size)
    taken = at + 12.0
    marks = setting.laying.layout.marks
    named = worth_a_name(marks)
    for mark in (mark for mark in marks if mark.kind is not MarkKind.START):
        text = mark_label(mark.id)
        half = max(width_mm(text, Role.LABEL, size) / 2, 3.0)
        place = min(x.at(float(mark.along_m) / unit_m), pen.paper.right_mm - half)
        if mark.id in named and place - half > taken:
            pen.text(place, y, text, Role.LABEL, size_pt=size, align=Align.CENTRE)
            taken = place + half + 1.0


def _cadence_panel(
    pen: Pen,
    demand: Demand,
    along: tuple[Axis, Sequence[float]],
    unit_m: float,
    panel: tuple[float, float],
) -> None:
    """Draw the cadence the gaps ask for and the natural one; `along` is the axis and its ticks."""
    x, x_ticks = along
    appraisal = demand.appraisal
    if appraisal is None:
        return
    asked = appraisal.cadence_hz
    natural = appraisal.natural_cadence_hz
    run_on = run_on_cadence(demand)
    everything = [float(asked.min()), float(asked.max()), natural, *(hz for _, _, hz in run_on)]
    low, high = min(everything) - 0.1, max(everything) + 0.1
    ticks = nice_steps(low, high, 3)
    y = Axis(low=ticks[0], high=ticks[-1], from_mm=panel[1], to_mm=panel[0])
    draw_panel(pen, x, y, (x_ticks, ticks), places=places_of(ticks))
    w1 = float(demand.start_along_m) + demand.run_on_m
    places_m = w1 + (appraisal.along_m - appraisal.along_m[0])
    ends = [x.at(float(place) / unit_m) for place in places_m]
    at = y.at(natural)
    pen.line(ends[0], at, ends[-1], at, width_mm=0.3, dash_mm=1.6)
    points = []
    for left, right, value in zip(ends, ends[1:], asked, strict=False):
        points += [(left, y.at(float(value))), (right, y.at(float(value)))]
    pen.path(points, line_mm=0.7)
    chain: list[tuple[float, float]] = []
    for begin, end, cadence_hz in run_on:
        # A run-on that is not the athlete's own may reach past W1: there the gaps ask.
        right = min(x.at(end / unit_m), ends[0])
        chain += [(x.at(begin / unit_m), y.at(cadence_hz)), (right, y.at(cadence_hz))]
    if chain:
        pen.path(chain, line_mm=0.25)


def run_on_cadence(demand: Demand) -> list[tuple[float, float, float]]:
    """Return (from [m], to [m], cadence [steps/s]) of each step of the run-on, along."""
    own = demand.layout
    shift = float(demand.start_along_m) - float(own.start.along_m)
    steps = own.landings[: demand.run_on_steps]
    return [
        (float(a.along_m) + shift, float(b.along_m) + shift, 1.0 / (b.time_s - a.time_s))
        for a, b in pairwise(steps)
        if float(b.along_m) + shift <= float(demand.start_along_m) + demand.run_on_m
    ]


def _cadence_title(pen: Pen, ends: tuple[float, float], top: float) -> float:
    """Write what the lines of the cadence panel are, each after a piece of it; return its height.

    What has no room on the first line stands on the next.
    """
    left, right = ends
    size = Role.LABEL.small_pt
    baseline = top + cap_mm(size) + 0.6
    title = "cadence, steps/s"
    pen.text(left, baseline, title, Role.LABEL_STRONG, size_pt=size)
    at = left + width_mm(title, Role.LABEL_STRONG, size) + 6.0
    for text, thick, dash in (
        ("asked by the gaps", 0.7, 0.0),
        ("natural", 0.3, 1.6),
        ("in the run-on", 0.25, 0.0),
    ):
        wide = 8.5 + width_mm(text, Role.LABEL, size)
        if at + wide > right:
            at, baseline = left, baseline + line_mm(size)
        middle = baseline - cap_mm(size) / 2
        pen.line(at, middle, at + 7.0, middle, width_mm=thick, dash_mm=dash)
        pen.text(at + 8.5, baseline, text, Role.LABEL, size_pt=size)
        at += wide + 5.0
    return baseline - top


# -- axes -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A straight map from values to millimetres on the page."""

    low: float
    high: float
    from_mm: float
    to_mm: float

    def at(self, value: float) -> float:
        """Return where a value lies."""
        share = (value - self.low) / (self.high - self.low)
        return self.from_mm + share * (self.to_mm - self.from_mm)


def nice_steps(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return round values covering a range, at most `most` + 1 of them."""
    span = max(high - low, 1e-9)
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * each for each in (1, 2, 5, 10, 20) if power * each * most >= span)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(number * step for number in range(first, last + 1))


def places_of(ticks: Sequence[float]) -> int:
    """Return how many decimals the numbers of an axis need, two at the most."""
    exact = (places for places in (0, 1) if all(abs(t - round(t, places)) < 1e-7 for t in ticks))
    return next(exact, 2)


def number_text(value: float, places: int = 0) -> str:
    """Return an axis number, with a true minus sign."""
    return f"{value:.{places}f}".replace("-", MINUS)
