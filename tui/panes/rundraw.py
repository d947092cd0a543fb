"""The run to scale, in text: marks, run-on, section, slow-down, speed and cadence along it.

::

    speed    ▁▂▄▅▆▆▇▇▇▇▇████████████             8.21 m/s
    cadence            ▄▄▄▄▄▄▄▅▅▅                4.31 st/s
             START     W1   W5     W10
             ▶─────────┃━┃━━┃━━┃━━━┃╌╌╌╌╌╌╌╌▏
              run-on 16.28 m  section   slow-down

Only places on the screen are worked out here; every number that is written was solved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from tui.said.shown import MarkShown, run_on_texts, section_texts, slow_down_texts
from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.lanes.closing import zone_ends, zone_marks
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.lanes.laying import Demand, Laying
    from wicketlay.units import UnitSystem

_GUTTER = 9
_MARGIN = 11
_BARS = " ▁▂▃▄▅▆▇█"
_SIGNS = {
    MarkKind.START: "▶",
    MarkKind.WICKET: "┃",
    MarkKind.CONE: "▲",
    MarkKind.GATE: "╪",
    MarkKind.LANDING: "•",
}
_MARK = "bold $bench-mark"
_RUN = "$bench-run"
_FAINT = "$bench-faint"
_HERE = "bold reverse"


class _Canvas:
    """Rows of cells, each with a style."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self._cells = [[" "] * width for _ in range(height)]
        self._styles = [[""] * width for _ in range(height)]

    def put(self, x: int, y: int, text: str, style: str = "") -> None:
        """Write text from a cell on, cut at the edges."""
        for place, character in enumerate(text):
            if 0 <= x + place < self.width and 0 <= y < len(self._cells):
                self._cells[y][x + place] = character
                self._styles[y][x + place] = style

    def free(self, x: int, y: int, length: int) -> bool:
        """Return whether cells are empty, one to each side included."""
        low, high = max(x - 1, 0), min(x + length + 1, self.width)
        inside = x >= 0 and x + length <= self.width
        return inside and all(cell == " " for cell in self._cells[y][low:high])

    def content(self) -> Content:
        """Return the rows as one text."""
        pieces: list[str | tuple[str, str]] = []
        for y, cells in enumerate(self._cells):
            if y:
                pieces.append("\n")
            start = 0
            styles = self._styles[y]
            for x in range(1, self.width + 1):
                if x == self.width or styles[x] != styles[start]:
                    text = "".join(cells[start:x])
                    pieces.append((text, styles[start]) if styles[start] else text)
                    start = x
        return Content.assemble(*pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """From a distance along to a column of the drawing."""

    from_m: float
    to_m: float
    columns: int

    def column(self, along_m: float) -> int:
        """Return the column of a distance, counted after the gutter; may lie outside."""
        span = max(self.to_m - self.from_m, 1e-6)
        return _GUTTER + round((along_m - self.from_m) / span * (self.columns - 1))

    def inside(self, along_m: float) -> bool:
        """Return whether a distance is on the drawing."""
        return self.from_m - 1e-9 <= along_m <= self.to_m + 1e-9


def scale_of(laying: Laying, width: int, *, section_only: bool) -> Columns:
    """Return the scale of a drawing `width` columns wide."""
    layout = laying.layout
    body = [float(m.along_m) for m in layout.marks if m.kind is not MarkKind.START]
    starts = [float(m.along_m) for m in layout.marks if m.kind is MarkKind.START]
    columns = max(width - _GUTTER - _MARGIN, 10)
    zone = [float(m.along_m) for m in zone_marks(layout)]
    if section_only and len(zone) > 1:
        return Columns(from_m=min(zone), to_m=max(zone), columns=columns)
    end = float(layout.run_out_from_m) + layout.run_out_wanted_m
    first = min([*starts, *body]) - layout.approach_m
    return Columns(from_m=first, to_m=max([end, *body]), columns=columns)


def mark_at(laying: Laying, width: int, column: int, *, section_only: bool) -> str | None:
    """Return the id of the mark nearest to a column, None when there is none."""
    scale = scale_of(laying, width, section_only=section_only)
    marks = [m for m in laying.layout.marks if scale.inside(float(m.along_m))]
    if not marks:
        return None
    return min(marks, key=lambda m: abs(scale.column(float(m.along_m)) - column)).id


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Which row holds what; the graphs take what room there is."""

    speed: int
    cadence: int

    @property
    def names(self) -> int:
        """Row of the names."""
        return self.speed + self.cadence

    @property
    def height(self) -> int:
        """All rows."""
        return self.names + 3


def rows_for(height: int) -> Rows:
    """Return the rows of a drawing that has `height` of them."""
    room = max(height - 3, 2)
    cadence = max(room // 3, 1)
    return Rows(speed=max(room - cadence, 1), cadence=cadence)


def draw_run(
    laying: Laying,
    demand: Demand,
    marks: Sequence[MarkShown],
    here: str | None,
    unit: UnitSystem,
    *,
    width: int,
    height: int,
    section_only: bool = False,
) -> Content:
    """Return the drawing of a laying as one athlete runs it.

    Parameters
    ----------
    laying, demand
        What lies, and who runs.
    marks
        The marks in words.
    here
        Id of the mark under the cursor.
    unit
        The plan's unit.
    width, height
        Cells to fill.
    section_only
        The section alone instead of the whole run.
    """
    rows = rows_for(height)
    canvas = _Canvas(width, rows.height)
    scale = scale_of(laying, width, section_only=section_only)
    shown = {each.id: each for each in marks}
    current = shown.get(here or "")
    _graphs(canvas, laying, demand, scale, rows)
    canvas.put(0, rows.speed - 1, "speed", _FAINT)
    canvas.put(0, rows.names - 1, "cadence", _FAINT)
    margin = width - _MARGIN + 1
    if current is not None:
        canvas.put(margin, rows.speed - 1, current.speed, "bold")
        canvas.put(margin, rows.names - 1, current.cadence.replace("steps", "st"), "bold")
    _lane(canvas, laying, demand, scale, rows.names + 1)
    _marks(canvas, laying, shown, here, scale, rows.names)
    _segments(canvas, laying, demand, unit, scale, rows.names + 2)
    return canvas.content()


def _graphs(canvas: _Canvas, laying: Laying, demand: Demand, scale: Columns, rows: Rows) -> None:
    """Draw speed along the run, and cadence at the marks."""
    layout, appraisal = laying.layout, demand.appraisal
    start = float(demand.start_along_m)
    run = laying.layout_for(demand).run_of(demand.runner, demand.layout.speed_share)
    first, last = max(start, scale.from_m), min(float(layout.run_out_from_m), scale.to_m)
    along = (first + (last - first) * n / (scale.columns - 1) for n in range(scale.columns))
    speeds = [(place, run.speed_at(place - start)) for place in along]
    top = max(value for _, value in speeds)
    _bars(canvas, speeds, scale, (0, rows.speed), (0.0, top))
    cadences: list[tuple[float, float]] = []
    if appraisal is not None:
        places = {m.id: float(m.along_m) for m in layout.marks}
        cadences = [
            (places[mark_id], float(value))
            for mark_id, value in zip(
                appraisal.mark_ids[1:], appraisal.cadence_hz.tolist(), strict=True
            )
        ]
    else:
        cadences = [
            (float(m.along_m), m.cadence_hz) for m in layout.marks if m.cadence_hz is not None
        ]
    high = max([value for _, value in cadences], default=1.0)
    _bars(canvas, cadences, scale, (rows.speed, rows.cadence), (0.5 * high, high))


def _bars(
    canvas: _Canvas,
    points: Sequence[tuple[float, float]],
    scale: Columns,
    band: tuple[int, int],
    ends: tuple[float, float],
) -> None:
    """Draw bars for values at places, a column each."""
    first_row, count = band
    low, high = ends
    for column, value in {scale.column(place): value for place, value in points}.items():
        if not _GUTTER <= column < _GUTTER + scale.columns:
            continue
        eighths = round((value - low) / max(high - low, 1e-9) * count * 8)
        for row in range(count):
            filled = min(max(eighths - 8 * (count - 1 - row), 0), 8)
            if filled:
                canvas.put(column, first_row + row, _BARS[filled], _RUN)


def _lane(canvas: _Canvas, laying: Laying, demand: Demand, scale: Columns, row: int) -> None:
    layout = laying.layout
    first, last = (float(each.along_m) for each in zone_ends(laying, demand))
    start = float(demand.start_along_m)
    pieces = [
        (scale.from_m, start, "·", _FAINT),
        (start, first, "─", _RUN),
        (first, last, "━", _RUN),
        (last, float(layout.run_out_from_m), "─", _RUN),
        (float(layout.run_out_from_m), scale.to_m, "╌", _FAINT),
    ]
    for begin, end, sign, style in pieces:
        for column in range(scale.column(begin), scale.column(end) + 1):
            if _GUTTER <= column < _GUTTER + scale.columns and end > begin:
                canvas.put(column, row, sign, style)
    if _has_pit(laying):
        board = scale.column(0.0)
        for column in range(board + 1, _GUTTER + scale.columns):
            canvas.put(column, row, "░", _FAINT)
        canvas.put(board, row, "█", _MARK)
    elif scale.inside(float(layout.run_out_from_m) + layout.run_out_wanted_m):
        canvas.put(_GUTTER + scale.columns - 1, row, "▏", _FAINT)


def _has_pit(laying: Laying) -> bool:
    at_line = laying.layout.datum is Datum.TAKEOFF_LINE
    return at_line and laying.placed.course.pit is not None


def _marks(
    canvas: _Canvas,
    laying: Laying,
    shown: dict[str, MarkShown],
    here: str | None,
    scale: Columns,
    row: int,
) -> None:
    """Draw the signs of the marks and, as far as there is room, their names."""
    there = [m for m in laying.layout.marks if m.id in shown and scale.inside(float(m.along_m))]
    for mark in there:
        style = _HERE if mark.id == here else _MARK
        canvas.put(scale.column(float(mark.along_m)), row + 1, _SIGNS[mark.kind], style)
    order = sorted(there, key=lambda m: _naming_rank(m.id, here, there[0].id, there[-1].id))
    for mark in order:
        name = shown[mark.id].name
        column = scale.column(float(mark.along_m))
        if len(name) > 3:
            column = min(column, canvas.width - len(name))
        if canvas.free(column, row, len(name)):
            canvas.put(column, row, name, _HERE if mark.id == here else "bold")


def _naming_rank(mark_id: str, here: str | None, first: str, last: str) -> int:
    if mark_id == here:
        return 0
    if mark_id in {first, last, "w1"}:
        return 1
    return 2 if mark_id.endswith(("5", "0")) else 3


def _segments(
    canvas: _Canvas, laying: Laying, demand: Demand, unit: UnitSystem, scale: Columns, row: int
) -> None:
    layout = laying.layout
    first, last = (float(each.along_m) for each in zone_ends(laying, demand))
    pieces: list[tuple[float, float, tuple[str, ...]]] = [
        (float(demand.start_along_m), first, run_on_texts(laying, demand, unit)),
        (first, last, section_texts(laying, demand, unit)),
    ]
    if _has_pit(laying):
        pieces.append((0.0, scale.to_m, ("pit",)))
    else:
        pieces.append((float(layout.run_out_from_m), scale.to_m, slow_down_texts(laying, unit)))
    for begin, end, texts in pieces:
        left = max(scale.column(max(begin, scale.from_m)), _GUTTER)
        right = min(scale.column(min(end, scale.to_m)), _GUTTER + scale.columns - 1)
        if end <= scale.from_m or begin >= scale.to_m or right <= left:
            continue
        fitted = next((text for text in texts if len(text) < right - left), "")
        canvas.put(left + max((right - left - len(fitted)) // 2, 1), row, fitted, _FAINT)
