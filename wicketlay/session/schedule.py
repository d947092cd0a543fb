"""The schedule: marks laid, runs started and marks moved, by letting it happen."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wicketlay.session.efforts import Entrant
    from wicketlay.sources import Judgement


class EventKind(StrEnum):
    """What happens."""

    LAY = "lay"
    MOVE = "move"
    RUN = "run"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happens in a session.

    Parameters
    ----------
    start_s, end_s
        When, from the beginning of the session [s].
    lane, wave
        Where and whose.
    athlete, effort
        Who runs and their how-manieth run, from 1; a run only.
    marks
        How many marks are laid or moved.
    """

    kind: EventKind
    start_s: float
    end_s: float
    lane: int
    wave: int
    athlete: str = ""
    effort: int = 0
    marks: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Everything that the schedule depends on beside the number of efforts.

    A session under way has more: what each has `done`, when each is ready (`ready_s`, from now),
    whose wave's marks are `laid` on a lane, and who of the late was `unforeseen` on paper.
    """

    entrants: tuple[Entrant, ...]
    recovery_s: Mapping[str, float]
    marks: Mapping[tuple[int, int], int]
    moves: Mapping[tuple[int, int, int], int]
    late_s: Mapping[str, float]
    assistants: int
    judgement: Judgement
    done: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    ready_s: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    laid: Mapping[int, int] = field(default_factory=lambda: MappingProxyType({}))
    unforeseen: frozenset[str] = frozenset()


def best_schedule(
    wishes: Wishes, efforts: int, length_s: float | None
) -> tuple[int, tuple[Event, ...]]:
    """Return (efforts a visit, events): the fewest moves that fit, else the shortest."""
    visits = [efforts]
    places = {(entrant.lane, entrant.wave) for entrant in wishes.entrants}
    if len(places) > 1 and len(places) > len({lane for lane, _ in places}):
        while visits[-1] > 1:
            visits.append(-(-visits[-1] // 2))
    found: list[tuple[int, tuple[Event, ...]]] = []
    for visit in visits:
        events = schedule(wishes, efforts, visit)
        if length_s is None or total_of(events) <= length_s:
            return visit, events
        found.append((visit, events))
    return min(found, key=lambda each: total_of(each[1]))


def _first(coming: _Coming) -> tuple[float, bool]:
    """Return the order in which things happen; marks before a run that would put them off."""
    start, who, _ = coming
    return start, who is not None


def total_of(events: Iterable[Event]) -> float:
    """Return the end of the last of `events` [s], 0 when there is none."""
    return max([event.end_s for event in events], default=0.0)


class _Who:
    """An athlete while the session goes on: how often they ran, and from when they are ready."""

    __slots__ = ("name", "order", "ran", "ready_s", "recovery_s", "slow_down_s", "takes_s")

    def __init__(self, wishes: Wishes, order: int) -> None:
        entrant = wishes.entrants[order]
        self.name = name = entrant.name
        self.order = order
        self.takes_s = entrant.takes_s
        self.slow_down_s = entrant.slow_down_s
        self.recovery_s = wishes.recovery_s[name]
        self.ready_s = max(wishes.late_s.get(name, 0.0), wishes.ready_s.get(name, 0.0))
        self.ran = wishes.done.get(name, 0)


class _Lane:
    """A lane while the session goes on: whose marks lie there and who still has to run.

    `turns` are waves with the runs that each athlete has left before the marks are moved on.
    """

    __slots__ = ("beside", "clear_s", "laid_for", "laid_s", "lane", "next_start_s", "turns")

    def __init__(
        self, lane: int, turns: list[tuple[int, dict[_Who, int]]], laid_for: int | None
    ) -> None:
        self.lane = lane
        self.turns = turns
        self.laid_for = laid_for
        self.next_start_s = 0.0
        self.clear_s = 0.0
        self.laid_s = 0.0
        self.beside: list[_Lane] = []

    def ran(self, who: _Who, runs: int) -> None:
        """Take efforts off; the turn is over with the last."""
        left = self.turns[0][1]
        left[who] -= runs
        if not left[who]:
            del left[who]
            if not left:
                del self.turns[0]


_Coming = tuple[float, "_Who | None", _Lane]
"""When something next happens on a lane, and who runs then; None: marks are laid."""


def _lanes(wishes: Wishes, efforts: int, visit: int) -> list[_Lane]:
    on: dict[int, dict[int, list[_Who]]] = {}
    for order, entrant in enumerate(wishes.entrants):
        waves = on.setdefault(entrant.lane, {})
        waves.setdefault(entrant.wave, []).append(_Who(wishes, order))
    lanes = []
    for lane in sorted(on):
        waves, laid = on[lane], wishes.laid.get(lane)
        in_turn = _order(wishes, waves, laid, efforts)
        all_turns: list[tuple[int, dict[_Who, int]]] = []
        for done in range(0, efforts, visit):
            turns = []
            for wave in in_turn:
                left = {w: min(done + visit, efforts) - max(done, w.ran) for w in waves[wave]}
                turns.append((wave, {who: runs for who, runs in left.items() if runs > 0}))
            begun = done == 0 or any(who.ran > done for who in waves.get(laid or 0, ()))
            if begun and not all_turns:
                # Marks that lie there for somebody who can run stay until that turn is over.
                turns.sort(key=lambda each: not (each[0] == laid and _is_here(wishes, each[1])))
            all_turns += [each for each in turns if each[1]]
        lanes.append(_Lane(lane, all_turns, laid))
    return lanes


def _order(
    wishes: Wishes, waves: Mapping[int, Sequence[_Who]], laid: int | None, efforts: int
) -> list[int]:
    """Return the waves of a lane in turn: as paper numbers them, until somebody is waited for.

    The wave that waits longest goes last then. While nothing lies there, paper has the order, and
    knows of all but the unforeseen.
    """
    if len(waves) == 1:
        return list(waves)

    def waits_s(wave: int) -> float:
        left = (who.name for who in waves[wave] if who.ran < efforts)
        waited = (name for name in left if laid is not None or name in wishes.unforeseen)
        return max((wishes.late_s.get(name, 0.0) for name in waited), default=0.0)

    return sorted(sorted(waves), key=waits_s)


def _is_here(wishes: Wishes, some: Iterable[_Who]) -> bool:
    return any(wishes.late_s.get(who.name, 0.0) == 0.0 for who in some)


def schedule(wishes: Wishes, efforts: int, visit: int) -> tuple[Event, ...]:
    """Return all events when every wave does `visit` efforts before it makes room."""
    lanes = _lanes(wishes, efforts, visit)
    hands = [0.0] * wishes.assistants
    interval = float(wishes.judgement.start_interval_s)
    events: list[Event] = []
    for lane in lanes:
        # Nobody runs beside a lane that is laid: the tape lies on the line between.
        lane.beside = [other for other in lanes if abs(other.lane - lane.lane) == 1]

    def coming(lane: _Lane) -> _Coming:
        wave, left = lane.turns[0]
        if lane.laid_for != wave:
            clear_s = [other.clear_s for other in lane.beside]
            return max([lane.clear_s, min(hands), *clear_s]), None, lane
        free_s = lane.next_start_s
        for other in lane.beside:
            free_s = max(free_s, other.laid_s)
        if len(left) == 1:
            (who,) = left
            return max(free_s, who.ready_s), who, lane
        start, _, _, who = min([(max(free_s, w.ready_s), w.ran, w.order, w) for w in left])
        return start, who, lane

    busy = [lane for lane in lanes if lane.turns]
    while busy:
        start, who, lane = coming(busy[0]) if len(busy) == 1 else min(map(coming, busy), key=_first)
        wave, left = lane.turns[0]
        if who is None:
            count = _to_move(wishes, lane.lane, lane.laid_for, wave)
            end = start + count * float(wishes.judgement.seconds_per_mark)
            hands[hands.index(min(hands))] = end
            kind = EventKind.LAY if lane.laid_for is None else EventKind.MOVE
            if count or kind is EventKind.LAY:  # what stays for the next wave is nobody's work
                events.append(
                    Event(
                        kind=kind, start_s=start, end_s=end, lane=lane.lane, wave=wave, marks=count
                    )
                )
            lane.laid_for, lane.next_start_s, lane.laid_s = wave, end, end
            continue
        # Whoever is the last one left goes on until their turn is over.
        runs = left[who] if len(busy) == len(left) == 1 else 1
        for effort in range(who.ran + 1, who.ran + runs + 1):
            end = start + who.takes_s
            who.ready_s = end + who.recovery_s
            lane.next_start_s = max(start + interval, end)
            events.append(
                Event(
                    kind=EventKind.RUN,
                    start_s=start,
                    end_s=end,
                    lane=lane.lane,
                    wave=wave,
                    athlete=who.name,
                    effort=effort,
                )
            )
            start = max(lane.next_start_s, who.ready_s)
        who.ran += runs
        lane.clear_s = end + who.slow_down_s
        lane.ran(who, runs)
        if not lane.turns:
            busy.remove(lane)
    if len(lanes) > 1:
        events.sort(key=attrgetter("start_s", "lane"))
    return tuple(events)


def _to_move(wishes: Wishes, lane: int, now: int | None, then: int) -> int:
    """Return how many marks are laid or moved so that the next wave can run."""
    anew = wishes.marks.get((lane, then), 0)
    if now is None:
        return anew
    moves = wishes.moves
    return moves.get((lane, now, then), moves.get((lane, then, now), anew))
