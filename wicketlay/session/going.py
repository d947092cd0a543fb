"""A session under way: who runs next and when each is ready, and how it stands against the hour.

What has happened is told by the log, what is still to come is scheduled from there as the session
was planned: the same recoveries, the same visits, the same time to move a mark.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.session.log import What
from wicketlay.session.schedule import Event, EventKind, Wishes, best_schedule, schedule, total_of
from wicketlay.session.timetable import entrants_of, marks_of
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.lanes.laying import Laying
    from wicketlay.session.log import Practice
    from wicketlay.session.session import Session
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One athlete in a session under way.

    Parameters
    ----------
    athlete, lane, wave
        Who, and where they run.
    ready_s
        When they are recovered, or arrive, from the session's beginning [s].
    here
        False for who is absent.
    """

    athlete: str
    lane: int
    wave: int
    done: int
    ready_s: float
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """A session under way.

    Parameters
    ----------
    line
        Everybody: who runs next first, then those who are done, then those who are not here.
    to_come
        How many of `line` still run.
    wanted
        Whose wave's marks are laid next, by lane, where other marks lie now.
    ends_s
        When it ends if it goes on as planned, from its beginning [s].
    over_s
        By how much that is too long [s], negative when there is time left; None when nobody
        said how long there is.
    efforts, efforts_fit
        Runs of each as planned, and as many as fit; None without a length, or when all fit.
    """

    line: tuple[Standing, ...]
    to_come: int
    wanted: Mapping[int, int]
    ends_s: float
    over_s: float | None
    efforts: int
    efforts_fit: int | None


def going(
    session: Session,
    layings: Sequence[Laying],
    practice: Practice,
    now_s: float,
    laid: Mapping[int, int],
    *,
    assistants: int,
    judgement: Judgement,
) -> Going:
    """Return how a session stands.

    Parameters
    ----------
    session, layings
        As planned, of one stage.
    practice
        What happened.
    now_s
        Now, from the session's beginning [s].
    laid
        Whose wave's marks lie on each lane.
    assistants, judgement
        As the session was planned with.
    """
    entrants = {each.name: each for each in entrants_of(layings)}
    recovery_s = {load.athlete: load.recovery_s for load in session.loads}
    done = {name: len(practice.runs.get(name, ())) for name in entrants}
    ready = dict.fromkeys(entrants, 0.0)
    for name, entrant in entrants.items():
        ran_at = [run.at_s for run in practice.runs.get(name, ()) if run.at_s is not None]
        if ran_at:
            ready[name] = max(ran_at) + entrant.takes_s + recovery_s.get(name, 0.0)
        ready[name] = max(ready[name], practice.due_s.get(name, 0))
    here = [entrants[name] for name in practice.order if name in entrants]
    here = [each for each in here if each.name not in practice.away]
    marks, moves = marks_of(layings)
    wishes = Wishes(
        entrants=tuple(here),
        recovery_s=recovery_s,
        marks=marks,
        moves=moves,
        late_s={n: d - now_s for n, d in practice.due_s.items() if d > now_s},
        assistants=assistants,
        judgement=judgement,
        done=done,
        ready_s={name: max(ready[name] - now_s, 0.0) for name in entrants},
        laid=laid,
        unforeseen=frozenset(e.athlete for e in practice.entries if e.what is What.LATE),
    )
    visit, length_s = session.efforts_a_visit, session.length_s
    still = {each.name for each in here if done[each.name] < session.efforts}
    if wishes.unforeseen & wishes.late_s.keys() & still:
        # Whoever is here need not wait with their next run for somebody paper did not wait for.
        left_s = None if length_s is None else length_s - now_s
        visit, events = best_schedule(wishes, session.efforts, left_s)
    else:
        events = schedule(wishes, session.efforts, visit)
    # Of those who may start at the same moment on several lanes: whose marks lie, who ran least.
    wanted = _wanted(events)
    place = {each.name: at for at, each in enumerate(here)}
    runs = [event for event in events if event.kind is EventKind.RUN]
    runs.sort(key=lambda e: (e.start_s, e.lane in wanted, e.effort, place[e.athlete]))
    coming = tuple(dict.fromkeys(event.athlete for event in runs))
    through = [each.name for each in here if each.name not in coming]
    away = [name for name in entrants if name in practice.away]
    ends_s = now_s + total_of(events)
    over_s = None if length_s is None else ends_s - length_s
    fit = None
    if length_s is not None and over_s is not None and over_s > 0.0:
        fit = _efforts_fit(wishes, session.efforts, visit, length_s - now_s)
    return Going(
        line=tuple(
            Standing(
                athlete=name,
                lane=entrants[name].lane,
                wave=entrants[name].wave,
                done=done[name],
                ready_s=ready[name],
                here=name not in practice.away,
            )
            for name in (*coming, *through, *away)
        ),
        to_come=len(coming),
        wanted=wanted,
        ends_s=ends_s,
        over_s=over_s,
        efforts=session.efforts,
        efforts_fit=fit,
    )


def _wanted(events: Sequence[Event]) -> dict[int, int]:
    """Return the lanes whose next event is that marks are laid or moved, and for which wave."""
    first: dict[int, Event] = {}
    for event in events:
        first.setdefault(event.lane, event)
    return {lane: e.wave for lane, e in first.items() if e.kind is not EventKind.RUN}


def _efforts_fit(wishes: Wishes, efforts: int, visit: int, left_s: float) -> int:
    """Return how many runs of each fit what is left, the runs that were done among them."""
    fits = [
        count
        for count in range(efforts)
        if total_of(schedule(wishes, count, max(min(visit, count), 1))) <= left_s
    ]
    return max(fits, default=0)
