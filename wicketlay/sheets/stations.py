"""One packet of several stations: each station's sheets, and one timetable of all."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from wicketlay.session.schedule import EventKind
from wicketlay.sheets.document import USUAL, Packets, numbered, packets_of
from wicketlay.sheets.furniture import finding_lines, heading, joined, page_frame
from wicketlay.sheets.page.flow import paginate, paragraph, space
from wicketlay.sheets.page.layout import paper_named
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Column, style_for, text_table
from wicketlay.sheets.session import clock_text, fits_text
from wicketlay.sheets.setting import laid_events
from wicketlay.units import UnitSystem, format_count
from wicketlay.values import replace
from wicketlay.wording.places import strip_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.session.schedule import Event
    from wicketlay.sheets.document import Made
    from wicketlay.sheets.page.flow import Block, Table
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.page.model import Document
    from wicketlay.solve import Solved
    from wicketlay.stations import Happening, SolvedPractice

_OF_ONE_PLAN = "session"
"""The timetable of a plan alone, which the one of all stands for."""


def station_pages(
    solved: SolvedPractice, *, only: Sequence[str] | None = None, paper: str = "a4"
) -> Document:
    """Return one timetable, where "session" is among the sheets, and those of all stations.

    Parameters
    ----------
    solved, only, paper
        What was solved, and as for `make_pages`; None prints the usual ones and the timetable.
    """
    only = (*USUAL, _OF_ONE_PLAN) if only is None else only
    kinds = tuple(kind for kind in only if kind != _OF_ONE_PLAN)
    size = paper_named(paper)
    own_bag = solved.practice.shared.wickets is None
    each = [
        (one, packets_of(one, kinds, size, alone=False, own_bag=own_bag)) for one in solved.stations
    ]
    theirs = [
        (_laid_s(one, made), _named(one, made))
        for one, packets in each
        for made in packets.assistants
    ]
    first = Packets(
        # Whoever lays goes from sheet to sheet, whichever station it is of.
        assistants=tuple(made for _, made in sorted(theirs, key=lambda timed: timed[0])),
        coachs=(_timetable(solved, size),) if _OF_ONE_PLAN in only else (),
        findings=tuple(finding for _, packets in each for finding in packets.findings),
    )
    coachs = [
        Packets(coachs=tuple(_named(one, made) for made in packets.coachs)) for one, packets in each
    ]
    return numbered([first, *coachs], size, solved.practice.title, solved.practice.date)


def _named(station: Solved, made: Made) -> Made:
    """Return what makes a sheet, listed under the name of its station."""
    make, layings = made

    def named() -> Sheet:
        sheet = make()
        return replace(sheet, group=f"{station.plan.title} · {sheet.group}")

    return named, layings


def _laid_s(station: Solved, made: Made) -> float:
    """Return when what a sheet shows is laid, from the beginning of the practice [s]."""
    places = {(laying.lane, laying.wave) for laying in made[1]}
    laid = laid_events(station)
    begun = (each.start_s for each in laid if not places or (each.lane, each.wave) in places)
    return min(begun, default=0.0)


def _timetable(solved: SolvedPractice, paper: Paper) -> Made:
    """Return what makes the timetable, checked by the readings of every station."""
    laid = tuple(
        laying
        for station in solved.stations
        for laying in station.layings
        if station.may_lay(laying)
    )
    return partial(timetable_sheet, solved, paper), laid


def timetable_sheet(solved: SolvedPractice, paper: Paper) -> Sheet:
    """Return what happens when at every station, from the beginning of the practice."""
    parts: list[Block | Table] = []
    if solved.findings:
        metric = all(each.plan.tape.tick.metric for each in solved.stations)
        unit = UnitSystem.METRIC if metric else UnitSystem.FEET
        parts += [heading("Findings", paper), *finding_lines(solved.findings, paper, unit)]
        parts.append(space(3.0))
    rows = [_row(solved, bout) for bout in _bouts(solved)]
    if rows:
        ends_s = max(each.end_s for each in solved.happenings)
        told = fits_text(ends_s, solved.practice.shared.length_s)
        parts.insert(0, paragraph(told, Role.STRONG, paper, below_mm=1.2))
        columns = (
            Column(title="time", reading=True),
            Column(title="station", share=0.7, align=Align.LEFT, wraps=True, least_mm=30.0),
            Column(title="lane"),
            Column(title="what", share=1.6, align=Align.LEFT, strong=True, wraps=True),
        )
        parts.append(text_table(paper, columns, rows, style_for(paper, tick=True)))
    else:
        parts.append(paragraph("Nobody runs.", Role.NAME, paper))
    identity = joined(solved.practice.title, solved.practice.date)
    frame = page_frame(paper, "PRACTICE · TIMETABLE", identity, "timetable of all stations")
    return Sheet(
        kind=_OF_ONE_PLAN, group="whole practice", title="timetable", pages=paginate(parts, frame)
    )


def _bouts(solved: SolvedPractice) -> list[list[Happening]]:
    """Put the runs of a station that follow each other on one lane and wave together."""
    together: dict[tuple[int, int], list[Happening]] = {}
    ready: list[list[Happening]] = []
    for each in solved.happenings:
        place = each.station, each.event.lane
        open_ = together.get(place, [])
        runs = each.event.kind is EventKind.RUN
        if open_ and runs and open_[-1].event.effort == each.event.effort:
            open_.append(each)
            continue
        ready += [open_] if open_ else []
        together[place] = [each] if runs else []
        ready += [] if runs else [[each]]
    ready += [open_ for open_ in together.values() if open_]
    return sorted(ready, key=lambda bout: (bout[0].start_s, bout[0].station))


def _row(solved: SolvedPractice, bout: Sequence[Happening]) -> tuple[str, ...]:
    first = bout[0]
    station = solved.stations[first.station]
    where = strip_text(station.layings[0].placed.course, first.event.lane)
    what = _what([each.event for each in bout])
    return clock_text(first.start_s), station.plan.title, where.removeprefix("lane "), what


def _what(events: Sequence[Event]) -> str:
    first = events[0]
    count = format_count(first.marks, "mark")
    match first.kind:
        case EventKind.LAY:
            return f"LAY {count}"
        case EventKind.MOVE:
            return f"MOVE {count} for wave {first.wave}"
        case _:
            return f"run {first.effort}: {', '.join(event.athlete for event in events)}"
