"""A practice of several stations: plans that share people, ground, bag, hands and the hour."""

from __future__ import annotations

import itertools
from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING

from wicketlay.declared import Keyed, Kind, declare, keyed, range_of
from wicketlay.drills.kit import Kit
from wicketlay.findings import Finding, Level
from wicketlay.ground.clearance import corridor, far_apart, touch
from wicketlay.lanes.closing import hurdles_of
from wicketlay.session.schedule import EventKind
from wicketlay.session.session import ARRIVALS_S, ASSISTANTS, LENGTHS_S
from wicketlay.solve import solve
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date

    from shapely.geometry.base import BaseGeometry

    from wicketlay.ground.placed import Placed
    from wicketlay.plan import Plan
    from wicketlay.session.session import Event
    from wicketlay.solve import Solved


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared(Keyed):
    """What the stations of a practice share.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    length_s: float | None = keyed(
        None, Kind.DURATION, "how long there is for all", *LENGTHS_S, what="practice", unit="min"
    )
    assistants: int = keyed(1, Kind.COUNT, "who lay marks, at all stations", *ASSISTANTS)
    wickets: int | None = keyed(
        None,
        Kind.COUNT,
        "low hurdles in the one bag; left out, each plan's own",
        *range_of(Kit, "wickets"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StationKeys(Keyed):
    """A station as its file names it.

    Raises
    ------
    DomainError
        When it begins out of range.
    """

    plan: str = field(
        metadata=declare(
            Kind.TEXT, "the plan, a file beside the practice's", example='"tuesday-wickets.toml"'
        )
    )
    begins_s: float = keyed(
        0.0,
        Kind.DURATION,
        "when laying begins there, from the beginning of the practice",
        *ARRIVALS_S,
        what="beginning",
        unit="min",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A plan and when it begins [s] from the beginning of the practice."""

    plan: Plan
    begins_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """Stations of one day.

    Parameters
    ----------
    title, date
        As the coach calls it, and when it is.
    stations
        In the order they are named.
    """

    title: str
    date: date | None
    shared: Shared
    stations: tuple[Station, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """An event of one station."""

    station: int
    event: Event

    @property
    def start_s(self) -> float:
        """When it begins, from the beginning of the practice [s]."""
        return self.event.start_s

    @property
    def end_s(self) -> float:
        """When it ends, from the beginning of the practice [s]."""
        return self.event.end_s


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedPractice:
    """A practice with what follows from it: each station solved, and what they do to each other.

    The sessions of the stations tell times from the beginning of the practice.
    """

    practice: Practice
    stations: tuple[Solved, ...]
    findings: tuple[Finding, ...]

    def findings_at(self, at: int) -> tuple[Finding, ...]:
        """Return what concerns a station: of what stops others only, nothing."""
        stops = self.stations[at].findings
        return tuple(f for f in self.findings if f.level is not Level.STOP or f in stops)

    @property
    def happenings(self) -> tuple[Happening, ...]:
        """Everything that happens at all stations, in order of time."""
        return tuple(
            sorted(_happenings(self.stations), key=lambda each: (each.start_s, each.station))
        )


def solve_practice(practice: Practice) -> SolvedPractice:
    """Return the stations solved, and where they collide in lanes, time, people, bag and hands."""
    return _met(practice, tuple(_solved(practice, station) for station in practice.stations))


def with_plan(solved: SolvedPractice, at: int, plan: Plan) -> SolvedPractice:
    """Return a practice with another plan at one of its stations; only that one is solved."""
    named, stations = list(solved.practice.stations), list(solved.stations)
    named[at] = replace(named[at], plan=plan)
    practice = replace(solved.practice, stations=tuple(named))
    stations[at] = _solved(practice, named[at])
    return _met(practice, tuple(stations))


def _met(practice: Practice, stations: tuple[Solved, ...]) -> SolvedPractice:
    happenings = tuple(_happenings(stations))
    ground = [[_Taken(each.lane, each.placed) for each in solved.layings] for solved in stations]
    spans = [
        _span(station, solved) for station, solved in zip(practice.stations, stations, strict=True)
    ]
    crossings = (*_crossings(stations, spans, ground), *_left_lying(stations, spans, ground))
    return SolvedPractice(
        practice=practice,
        stations=tuple(_stopped(solved, crossings) for solved in stations),
        findings=(
            *crossings,
            *_beside(stations, happenings),
            *_twice(stations, happenings),
            *_bag(practice, stations, spans),
            *_hands(practice, happenings),
            *_too_late(practice, happenings),
        ),
    )


def _solved(practice: Practice, station: Station) -> Solved:
    solved = solve(_plan_of(practice, station))
    if solved.session is None:
        return solved
    return replace(solved, session=solved.session.begun_at(station.begins_s))


def _stopped(solved: Solved, crossings: Sequence[Finding]) -> Solved:
    """Return a station with what stops its laying, or comes first: others that lie across it."""
    title = solved.plan.title
    own = (
        f
        for f in crossings
        if title == f.values["other"] or (f.level is Level.STOP and title == f.values["one"])
    )
    findings = (*(f for f in solved.findings if not f.code.startswith(_CROSS)), *own)
    return solved if findings == solved.findings else replace(solved, findings=findings)


def _plan_of(practice: Practice, station: Station) -> Plan:
    """Return the plan of a station with the day, bag and hands of the practice."""
    plan, shared = station.plan, practice.shared
    bag = plan.kit.wickets if shared.wickets is None else min(shared.wickets, plan.kit.wickets)
    session = plan.session
    left_s = None if shared.length_s is None else shared.length_s - station.begins_s
    if left_s is not None and left_s >= LENGTHS_S[0]:
        own_s = session.length_s
        session = replace(session, length_s=left_s if own_s is None else min(own_s, left_s))
    return replace(
        plan,
        date=practice.date or plan.date,
        kit=replace(plan.kit, wickets=bag),
        session=replace(session, assistants=min(session.assistants, shared.assistants)),
    )


def _happenings(stations: Sequence[Solved]) -> Iterator[Happening]:
    for i, solved in enumerate(stations):
        for event in () if solved.session is None else solved.session.events:
            yield Happening(station=i, event=event)


def _title(stations: Sequence[Solved], i: int) -> str:
    return stations[i].plan.title


_Span = tuple[float, float]
"""From when to when [s]."""


def _span(station: Station, solved: Solved) -> _Span:
    """Return from when to when marks of a station lie on the ground [s]."""
    total_s = 0.0 if solved.session is None else solved.session.total_s
    return station.begins_s, station.begins_s + total_s


def _together(spans: Iterable[tuple[int, _Span]]) -> Iterator[tuple[int, int, _Span]]:
    """Give the pairs of numbered spans that overlap, and from when to when."""
    for (one, (a, b)), (two, (c, d)) in itertools.combinations(spans, 2):
        if a < d and c < b:
            yield one, two, (max(a, c), min(b, d))


_CROSS = "stations-cross"
LEFT_LYING = f"{_CROSS}-left-lying"
"""Told of a lane on which marks of an earlier station lie: values `one`, `other`."""


def _crossings(
    stations: Sequence[Solved], spans: Sequence[_Span], ground: Sequence[list[_Taken]]
) -> Iterator[Finding]:
    """Say where run-up, marks or slow-down of two stations at the same time meet."""
    for one, two, _ in _together(enumerate(spans)):
        lanes = _met_lanes(stations, ground, one, two)
        if lanes:
            mine, others = (sorted({pair[i] for pair in lanes}) for i in (0, 1))
            numbered = stations[one].layings[0].placed.course.told_lane
            yield Finding.stop(
                _CROSS if numbered else f"{_CROSS}-runway",
                one=_title(stations, one),
                other=_title(stations, two),
                lanes=", ".join(map(str, mine)),
                other_lanes=", ".join(map(str, others)),
            )


def _left_lying(
    stations: Sequence[Solved], spans: Sequence[_Span], ground: Sequence[list[_Taken]]
) -> Iterator[Finding]:
    """Say where marks of a station that is over lie across the next one to use that ground."""
    for one, (begins_s, ends_s) in enumerate(spans):
        later = sorted(
            (i for i, span in enumerate(spans) if span[0] >= ends_s and span[0] > begins_s),
            key=lambda i: spans[i][0],
        )
        cleared: set[int] = set()
        for two in later:
            met = _met_lanes(stations, ground, one, two)
            lanes = [pair for pair in met if pair[0] not in cleared]
            for lane in sorted({pair[1] for pair in lanes}):
                told = Finding.caution(
                    LEFT_LYING,
                    one=_title(stations, one),
                    other=_title(stations, two),
                    from_duration_s=spans[two][0],
                )
                yield replace(told, lane=lane)
            cleared.update(pair[0] for pair in lanes)


def _met_lanes(
    stations: Sequence[Solved], ground: Sequence[list[_Taken]], one: int, other: int
) -> list[tuple[int, int]]:
    """Return on which lanes (of one, of the other) two stations take the same ground."""
    if stations[one].plan.ground != stations[other].plan.ground:
        return []
    pairs = itertools.product(ground[one], ground[other])
    return sorted({(a.lane, b.lane) for a, b in pairs if a.meets(b)})


class _Taken:
    """The ground a laying takes, run-up to slow-down, worked out when it is first asked for."""

    def __init__(self, lane: int, placed: Placed) -> None:
        self.lane = lane
        self.placed = placed

    @cached_property
    def area(self) -> BaseGeometry:
        return corridor(self.placed)

    def meets(self, other: _Taken) -> bool:
        """Return True when both take the same ground somewhere."""
        apart = far_apart(self.placed.course, other.placed.course)
        return not apart and touch(self.area, other.area)


def _beside(stations: Sequence[Solved], happenings: Sequence[Happening]) -> Iterator[Finding]:
    """Say where somebody would run beside a lane another station lays: the tape lies between."""
    work: list[list[Event]] = [[] for _ in stations]
    runs: list[list[Event]] = [[] for _ in stations]
    for each in happenings:
        (runs if each.event.kind is EventKind.RUN else work)[each.station].append(each.event)
    for laid, run_at in itertools.permutations(range(len(stations)), 2):
        where = [stations[i].plan for i in (laid, run_at)]
        if where[0].ground != where[1].ground or where[0].line != where[1].line:
            continue
        beside = (
            hands
            for hands, run in itertools.product(work[laid], runs[run_at])
            if abs(hands.lane - run.lane) <= 1
            and hands.start_s < run.end_s
            and run.start_s < hands.end_s
        )
        hands = next(beside, None)
        if hands is not None:
            yield Finding.caution(
                "stations-run-beside-laying",
                one=_title(stations, run_at),
                other=_title(stations, laid),
                from_duration_s=hands.start_s,
                to_duration_s=hands.end_s,
            )


def _twice(stations: Sequence[Solved], happenings: Sequence[Happening]) -> Iterator[Finding]:
    """Say who would be at two stations at once, from first run to last."""
    spans: dict[str, dict[int, _Span]] = {}
    for each in happenings:
        if each.event.kind is EventKind.RUN:
            own = spans.setdefault(each.event.athlete, {})
            first, last = own.get(each.station, (each.start_s, each.end_s))
            own[each.station] = min(first, each.start_s), max(last, each.end_s)
    found: dict[tuple[int, int], list[tuple[str, _Span]]] = {}
    for name, own in spans.items():
        for one, two, both in _together(sorted(own.items())):
            found.setdefault((one, two), []).append((name, both))
    for (one, two), shared in found.items():
        yield Finding.caution(
            "stations-share-athletes",
            names=", ".join(name for name, _ in shared),
            one=_title(stations, one),
            other=_title(stations, two),
            from_duration_s=min(both[0] for _, both in shared),
            to_duration_s=max(both[1] for _, both in shared),
        )


def _bag(
    practice: Practice, stations: Sequence[Solved], spans: Sequence[_Span]
) -> Iterator[Finding]:
    """Say when the stations that lie at the same time need more wickets than the one bag."""
    bag = practice.shared.wickets
    if bag is None:
        return
    needs = [_most_hurdles(solved) for solved in stations]
    worst: tuple[int, list[int]] = 0, []
    for begins, _ in spans:
        lying = [i for i, (a, b) in enumerate(spans) if a <= begins < b and needs[i]]
        needed = sum(needs[i] for i in lying)
        worst = max(worst, (needed, lying))
    needed, lying = worst
    if len(lying) > 1 and needed > bag:
        yield Finding.caution(
            "stations-bag-too-small",
            needed=needed,
            bag=bag,
            names=", ".join(_title(stations, i) for i in lying),
        )


def _most_hurdles(solved: Solved) -> int:
    """Return the most hurdles that lie at once at a station."""
    waves: dict[tuple[int, int], int] = {}
    for laying in solved.layings:
        at = laying.stage, laying.wave
        waves[at] = waves.get(at, 0) + hurdles_of(laying.layout)
    return max(waves.values(), default=0)


def _hands(practice: Practice, happenings: Sequence[Happening]) -> Iterator[Finding]:
    """Say when more lanes are laid at once than there are people to lay them."""
    work = [each for each in happenings if each.event.kind is not EventKind.RUN]
    most, when_s = 0, 0.0
    for at in work:
        busy = sum(each.start_s <= at.start_s < each.end_s for each in work)
        if busy > most:
            most, when_s = busy, at.start_s
    if most > practice.shared.assistants:
        yield Finding.caution(
            "stations-hands-missing",
            needed=most,
            there=practice.shared.assistants,
            when_duration_s=when_s,
        )


def _too_late(practice: Practice, happenings: Sequence[Happening]) -> Iterator[Finding]:
    """Say when the last run ends after the hour."""
    end_s = max((each.end_s for each in happenings), default=0.0)
    length_s = practice.shared.length_s
    if length_s is not None and end_s > length_s:
        yield Finding.caution(
            "stations-too-long",
            total_duration_s=end_s,
            length_duration_s=length_s,
            over_duration_s=end_s - length_s,
        )
