"""The progress sheet: speed, cadence and gap of one athlete by date, as charts and a table."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from wicketlay.board_misses import slide_told
from wicketlay.review.progress import days_told
from wicketlay.reviewing import board_days_in, progress_in
from wicketlay.sheets.drawings.chart import Axis, draw_panel, nice_steps, places_of
from wicketlay.sheets.furniture import (
    GAP_MM,
    as_sentence,
    boxed,
    heading,
    identity_text,
    page_frame,
)
from wicketlay.sheets.page.flow import Block, paginate, paragraph, space
from wicketlay.sheets.page.layout import Pen, cap_mm, width_mm
from wicketlay.sheets.page.model import Align, Ink, Role, Sheet
from wicketlay.sheets.page.tables import Column, only, style_for, text_table
from wicketlay.wording.names import small_unit, speed_unit
from wicketlay.wording.progress import (
    BOARD,
    KNOWN,
    SPRINTS,
    board_cells,
    day_text,
    known_cells,
    rests_text,
    sprint_cells,
    sprints_text,
    summary,
)
from wicketlay.wording.runs import unnamed

if TYPE_CHECKING:
    from wicketlay.review.progress import Progress, Series
    from wicketlay.running.athlete import Athlete
    from wicketlay.sheets.page.flow import Table
    from wicketlay.sheets.setting import PlanSetting
    from wicketlay.units import UnitSystem


CHART_MM = 52.0


def progress_of(setting: PlanSetting, athlete: Athlete) -> Progress | None:
    """Return an athlete's progress when the record has a dated row, else None."""
    made = progress_in(setting.solved.plan, athlete)
    return made if made is not None and made.series else None


def days_of(athlete: Athlete) -> frozenset[dt.date]:
    """Return the days an athlete's record has something of."""
    return frozenset({*days_told(athlete), *(seen.date for seen in athlete.at_board)})


def _board(setting: PlanSetting, athlete: Athlete) -> list[Block | Table]:
    """Return the record at the board by day; nothing without a miss."""
    plan, paper = setting.solved.plan, setting.paper
    days = board_days_in(plan, athlete.name)
    if not days:
        return []
    shown = [i for i, name in enumerate(BOARD) if not (paper.compact and name in _NOT_COMPACT)]
    columns = [
        Column(
            title=name,
            share=2.0 if name == "runs" else 0.4,
            align=Align.LEFT if name in {"day", "runs"} else Align.RIGHT,
            strong=name in {"day", "slide after"},
            wraps=name == "runs",
            least_mm=24.0 if name == "runs" else 0.0,
        )
        for name in BOARD
    ]
    rows = [board_cells(each, setting.unit) for each in days]
    return [
        space(GAP_MM),
        heading("At the board", paper),
        text_table(paper, *only(shown, columns, rows), style_for(paper, fives=False)),
    ]


def _on_top(setting: PlanSetting, athlete: Athlete, made: Progress | None) -> list[Block | Table]:
    """Return what to see first in a box: the way so far, and what misses at the board ask for."""
    lines = [] if made is None else [(summary(made, setting.unit), Role.NAME)]
    told = slide_told(setting.solved.plan, athlete.name)
    if told is not None:
        lines.append((as_sentence(unnamed(told, athlete.name, setting.unit)), Role.NAME))
    return [boxed(lines, setting.paper)] if lines else []


_NOT_COMPACT = frozenset({"mean", "one SD of the place"})
"""Columns that small paper has no room for."""


def progress_sheet(setting: PlanSetting, athlete: Athlete) -> Sheet:
    """Return the progress of one athlete; it says so when nothing can be made of the record."""
    made = progress_of(setting, athlete)
    paper = setting.paper
    parts: list[Block | Table] = [
        paragraph("Progress · what the marks were laid by", Role.STRONG, paper, below_mm=1.0),
        *_on_top(setting, athlete, made),
    ]
    if made is None:
        if not athlete.at_board:
            none = "The record is not enough to lay marks by yet."
            parts.append(paragraph(none, Role.NAME, paper))
    else:
        parts += [
            *_charts(setting, made),
            paragraph(
                "Dots are days of the record; the band is one SD either way. Not to scale: each "
                "chart has its own axis, and none begins at 0.",
                Role.LABEL,
                paper,
                below_mm=2.0,
            ),
            *_tables(setting, made),
            space(GAP_MM),
            paragraph(
                f"{rests_text(made)} {sprints_text(made)} "
                "Runs over wickets or marks teach speed only; steps are learnt from free runs. A "
                "change smaller than the band may be chance.",
                Role.BODY,
                paper,
                small=True,
            ),
        ]
    parts += _board(setting, athlete)
    identity = identity_text(setting.solved.plan, athlete.name, title=setting.title)
    pages = paginate(parts, page_frame(paper, athlete.name, identity, "progress sheet"))
    title = f"progress sheet, {athlete.name}"
    return Sheet(kind="progress", group="progress", title=title, pages=pages)


# -- the charts -------------------------------------------------------------------------------


def _charts(setting: PlanSetting, made: Progress) -> list[Block]:
    """Return the charts side by side, on small paper one below the other."""
    paper = setting.paper
    first = min(row.date for row in made.rows if row.date is not None)
    if paper.compact:
        return [
            _chart_block(setting, (series,), first, height_mm=CHART_MM - 19.0)
            for series in made.series
        ]
    return [_chart_block(setting, made.series, first, height_mm=CHART_MM)]


def _chart_block(
    setting: PlanSetting, many: tuple[Series, ...], first: dt.date, *, height_mm: float
) -> Block:
    paper = setting.paper
    gutter = 6.0
    width = (paper.inner_mm - (len(many) - 1) * gutter) / len(many)

    def draw(pen: Pen, y: float) -> None:
        for index, series in enumerate(many):
            x = paper.left_mm + index * (width + gutter)
            draw_series(pen, setting.unit, series, first, (x, y + 1.0), (width, height_mm - 4.0))

    return Block(height_mm=height_mm, draw=draw)


def in_chart_unit(series: Series, unit: UnitSystem) -> tuple[str, float]:
    """Return the unit a series is drawn in and how many of the SI unit it is."""
    if series.unit == "m/s":
        return speed_unit(unit)
    return small_unit(unit) if series.unit == "m" else (series.unit, 1.0)


def draw_series(
    pen: Pen,
    unit: UnitSystem,
    series: Series,
    first: dt.date,
    place_mm: tuple[float, float],
    size_mm: tuple[float, float],
) -> None:
    """Draw a value with its one-SD band over the days, with its axes and unit."""
    (x_mm, y_mm), (wide, high) = place_mm, size_mm
    size = Role.LABEL.small_pt
    tall = cap_mm(size)
    shown, per = in_chart_unit(series, unit)
    values, low, high_band = (
        [each / per for each in line] for line in (series.values, series.low, series.high)
    )
    ticks = nice_steps(min(low), max(high_band), 4)
    bottom = y_mm + high - tall - 2.0
    y = Axis(low=ticks[0], high=ticks[-1], from_mm=bottom, to_mm=y_mm + tall + 2.6)
    days = max(series.days[-1], 1)
    margin = 0.0 if series.days[-1] else 0.5
    x = Axis(
        low=-margin * days,
        high=days * (1 - margin) if margin else days,
        from_mm=x_mm + 12.0,
        to_mm=x_mm + wide - 3.0,
    )
    pen.text(x_mm, y_mm + tall, f"{series.name}, {shown}", Role.LABEL_STRONG, size_pt=size)
    band = [(x.at(day), y.at(value)) for day, value in zip(series.days, high_band, strict=True)]
    under = [(x.at(day), y.at(value)) for day, value in zip(series.days, low, strict=True)]
    if len(series.days) > 1:
        pen.path((*band, *reversed(under)), line_mm=0.0, fill=Ink.TINT)
    draw_panel(pen, x, y, ((), ticks), places=places_of(ticks), beside_mm=1.4)
    if len(series.days) > 1:
        for edge in (band, under):
            pen.path(edge, line_mm=0.15)
    points = [(x.at(day), y.at(value)) for day, value in zip(series.days, values, strict=True)]
    if len(points) > 1:
        pen.path(points, line_mm=0.6)
    for point, top, base in zip(points, band, under, strict=True):
        pen.line(*top, *base, width_mm=0.25)
        pen.rect(point[0] - 0.8, point[1] - 0.8, 1.6, 1.6, line_mm=0.0, fill=Ink.BLACK)
    _day_labels(pen, series, first, x, bottom)


def _day_labels(pen: Pen, series: Series, first: dt.date, x: Axis, bottom: float) -> None:
    """Write the first and the last day, and those between that have room."""
    size = Role.LABEL.small_pt
    baseline = bottom + cap_mm(size) + 1.6
    taken: list[tuple[float, float]] = []
    order = [0, len(series.days) - 1, *range(1, len(series.days) - 1)]
    for index in dict.fromkeys(order):
        at = x.at(series.days[index])
        pen.line(at, bottom, at, bottom + 0.9, width_mm=0.2)
        text = str(first + dt.timedelta(days=series.days[index]))
        wide = width_mm(text, Role.LABEL, size)
        left = min(max(at - wide / 2, x.from_mm - 10.0), x.to_mm + 3.0 - wide)
        if all(left > end + 2.0 or left + wide < begin - 2.0 for begin, end in taken):
            pen.text(left, baseline, text, Role.LABEL, size_pt=size)
            taken.append((left, left + wide))


# -- the table --------------------------------------------------------------------------------


def _tables(setting: PlanSetting, made: Progress) -> list[Block | Table]:
    """Return the table of the days; on small paper acceleration has one of its own below."""
    days = [day_text(row) for row in made.rows]
    sprints = [sprint_cells(row) for row in made.rows]
    day = Column(title="day", align=Align.LEFT, strong=True)
    known, rows = _known_columns(), [known_cells(row, setting.unit) for row in made.rows]
    sprint = tuple(Column(title=each, share=0.3) for each in SPRINTS)
    paper, style = setting.paper, style_for(setting.paper)
    if not paper.compact:
        whole = [(a, *b, *c) for a, b, c in zip(days, rows, sprints, strict=True)]
        return [text_table(paper, (day, *known, *sprint), whole, style)]
    return [
        text_table(paper, (day, *known), [(a, *b) for a, b in zip(days, rows, strict=True)], style),
        space(GAP_MM),
        text_table(
            paper, (day, *sprint), [(a, *c) for a, c in zip(days, sprints, strict=True)], style
        ),
    ]


def _known_columns() -> tuple[Column, ...]:
    roomy = {"seen that day": 2.0, "one SD": 0.2, "weight": 0.2}
    return tuple(
        Column(
            title=title,
            share=roomy.get(title, 0.5),
            align=Align.LEFT if title in {"seen that day", "one SD"} else Align.RIGHT,
            wraps=title == "seen that day",
            least_mm=28.0 if title == "seen that day" else 0.0,
            strong=title in {"top speed", "natural gap"},
        )
        for title in KNOWN
    )
