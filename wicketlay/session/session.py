"""The session: who runs when, with what recovery, how much in all, and does it fit the hour.

The schedule is made by letting it happen: marks are laid, on every lane the athlete who may start
first does, a wave makes room for the next when it is done, and nobody starts before they have
recovered. Waves may take turns in blocks: all efforts of a wave in one visit cost the fewest
moves of marks, shorter visits use one wave's recovery for the other's runs.
"""

from __future__ import annotations

import itertools
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError, require_range
from wicketlay.findings import Finding
from wicketlay.session.efforts import Entrant, Load, Recovery, Work, recovery_of
from wicketlay.session.schedule import Event, EventKind, Wishes, best_schedule, total_of
from wicketlay.session.volumes import most_efforts, recovery_findings, volume_findings
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.findings import Value

__all__ = [
    "Entrant",
    "Event",
    "EventKind",
    "Load",
    "Recovery",
    "Session",
    "Work",
    "plan_session",
    "recovery_of",
]

EFFORTS = (1, 30)
RECOVERIES_S = (0.0, 3600.0)
LENGTHS_S = (60.0, 6 * 3600.0)
ASSISTANTS = (1, 20)
ARRIVALS_S = (0.0, 6 * 3600.0)
"""What may be asked of a session: runs of each, recovery, length, who lays, and arrivals."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A planned session.

    Parameters
    ----------
    events
        In order of their start.
    loads
        One an athlete, in order of their first run.
    efforts, efforts_a_visit
        Runs of each athlete, and how many of them before the marks are moved for the next wave.
    laying_s
        Time until the first run may start [s].
    total_s
        From the beginning of laying to the end of the last run [s]; warm-up and taking up are
        not in it.
    length_s
        What there is [s]; None when not said.
    defaults
        What was not said; keys end in their unit.
    """

    events: tuple[Event, ...]
    loads: tuple[Load, ...]
    efforts: int
    efforts_a_visit: int
    laying_s: float
    total_s: float
    length_s: float | None
    findings: tuple[Finding, ...]
    defaults: Mapping[str, Value]

    @property
    def fits(self) -> bool | None:
        """Whether there is time enough; None when it is not said how much there is."""
        return None if self.length_s is None else self.total_s <= self.length_s

    @property
    def marks_laid(self) -> int:
        """How many marks are laid at first."""
        return sum(each.marks for each in self.events if each.kind is EventKind.LAY)

    @property
    def marks_moved(self) -> int:
        """How many marks are moved later."""
        return sum(each.marks for each in self.events if each.kind is EventKind.MOVE)

    @property
    def order(self) -> tuple[str, ...]:
        """Names in order of their first run."""
        return tuple(load.athlete for load in self.loads)

    @property
    def ways(self) -> tuple[Finding, ...]:
        """What would make it shorter where it does not fit, each with what it saves."""
        return tuple(each for each in self.findings if each.code.startswith(_SHORTER))

    def begun_at(self, begins_s: float) -> Session:
        """Return the session told from an earlier beginning, that of a practice of several [s]."""
        return replace(
            self,
            events=tuple(
                replace(each, start_s=each.start_s + begins_s, end_s=each.end_s + begins_s)
                for each in self.events
            ),
            loads=tuple(
                replace(each, first_s=each.first_s + begins_s, last_s=each.last_s + begins_s)
                for each in self.loads
            ),
        )


def plan_session(
    entrants: Sequence[Entrant],
    *,
    marks: Mapping[tuple[int, int], int] = MappingProxyType({}),
    moves: Mapping[tuple[int, int, int], int] = MappingProxyType({}),
    efforts: int | None = None,
    recovery_s: float | None = None,
    length_s: float | None = None,
    late_s: Mapping[str, float] = MappingProxyType({}),
    assistants: int = 1,
    judgement: Judgement = DEFAULTS,
) -> Session:
    """Plan a session of wicket or other marked runs.

    Parameters
    ----------
    entrants
        Who runs, in the order they would run.
    marks
        How many marks each (lane, wave) has.
    moves
        How many marks are moved, laid and taken up from one wave to another on a lane,
        (lane, from, to); the way back is the same. What is not given is all marks of the next.
    efforts
        Runs of each; None takes the default, or fewer where that is more than the metres of
        such runs in one session.
    recovery_s
        Recovery from the end of a run to the next start [s]; None takes `recovery_of`.
    length_s
        How long the lane is there [s].
    late_s
        When late athletes arrive, from the beginning [s]. Their wave waits in its turn; in it
        the others run first.
    assistants
        How many lay and move marks, each on one lane at a time.
    judgement
        The judged constants.

    Returns
    -------
    Session
        With as few moves of marks as fit the time; when nothing fits, the shortest.

    Raises
    ------
    DomainError
        When a name is there twice, or a number is out of range.
    """
    _check_names(entrants)
    require_range("efforts", efforts, *EFFORTS, "")
    require_range("recovery", recovery_s, *RECOVERIES_S, "s")
    require_range("session", length_s, *LENGTHS_S, "s")
    require_range("assistants", assistants, *ASSISTANTS, "")
    for name, arrival in late_s.items():
        require_range(f"arrival of {name}", arrival, *ARRIVALS_S, "s")
    here = tuple(entrants)
    defaults: dict[str, Value] = {}
    if efforts is None:
        efforts = min(int(judgement.efforts), most_efforts(here) or EFFORTS[1])
        defaults["efforts"] = efforts
    if recovery_s is None:
        defaults["recovery"] = "by speed and distance"
    recoveries = {e.name: recovery_of(e, judgement) for e in here}
    wishes = Wishes(
        entrants=here,
        recovery_s={
            name: recovery.wanted_s if recovery_s is None else recovery_s
            for name, recovery in recoveries.items()
        },
        marks=marks,
        moves=moves,
        late_s=late_s,
        assistants=assistants,
        judgement=judgement,
    )
    visit, events = best_schedule(wishes, efforts, length_s)
    total = total_of(events)
    too_long = _about_length(wishes, efforts, total, length_s)
    loads = _loads(wishes, recoveries, events, efforts)
    return Session(
        events=events,
        loads=loads,
        efforts=efforts,
        efforts_a_visit=visit,
        laying_s=next((e.start_s for e in events if e.kind is EventKind.RUN), 0.0),
        total_s=total,
        length_s=length_s,
        findings=(
            *too_long,
            *_what_would(wishes, recoveries, efforts, too_long),
            *_about_late(wishes, efforts, length_s, total),
            *recovery_findings(loads),
            *volume_findings(here, loads),
        ),
        defaults=MappingProxyType(defaults),
    )


def _check_names(entrants: Sequence[Entrant]) -> None:
    seen: set[str] = set()
    for entrant in entrants:
        if entrant.name in seen:
            raise DomainError(
                f"{entrant.name} is in the session twice; each athlete runs in one lane and wave"
            )
        seen.add(entrant.name)


def _loads(
    wishes: Wishes, recoveries: Mapping[str, Recovery], events: tuple[Event, ...], efforts: int
) -> tuple[Load, ...]:
    runs: dict[str, list[Event]] = {}
    for event in events:
        if event.kind is EventKind.RUN:
            runs.setdefault(event.athlete, []).append(event)
    who = {entrant.name: entrant for entrant in wishes.entrants}
    loads = []
    for name, own in runs.items():
        entrant = who[name]
        waits = [b.start_s - a.end_s for a, b in itertools.pairwise(own)]
        loads.append(
            Load(
                athlete=name,
                lane=entrant.lane,
                wave=entrant.wave,
                efforts=efforts,
                work=entrant.work,
                recovery_s=wishes.recovery_s[name],
                recovery=recoveries[name],
                sprint_m=entrant.run_m * efforts,
                zone_m=sum(entrant.zones_m) * efforts,
                first_s=own[0].start_s,
                last_s=own[-1].end_s,
                longest_wait_s=max(waits, default=0.0),
            )
        )
    return tuple(loads)


def _about_length(
    wishes: Wishes, efforts: int, total_s: float, length_s: float | None
) -> tuple[Finding, ...]:
    """Say when the session is too long, who comes too late for it, and what would fit."""
    if length_s is None or total_s <= length_s:
        return ()
    missed = {
        e.name for e in wishes.entrants if wishes.late_s.get(e.name, 0.0) + e.takes_s > length_s
    }
    others = tuple(e for e in wishes.entrants if e.name not in missed)
    if missed and others:
        names = ", ".join(e.name for e in wishes.entrants if e.name in missed)
        values: dict[str, Value] = {"names": names, "length_duration_s": length_s}
        late = Finding.caution("late-past-the-end", **values)
        punctual = replace(wishes, entrants=others)
        total_s = total_of(best_schedule(punctual, efforts, length_s)[1])
        return (late, *_about_length(punctual, efforts, total_s, length_s))
    low, high = 0, efforts  # low fits, high does not
    while high - low > 1:
        middle = (low + high) // 2
        if total_of(best_schedule(wishes, middle, length_s)[1]) <= length_s:
            low = middle
        else:
            high = middle
    return (
        Finding.caution(
            "session-too-long" if low else "session-cannot-fit",
            total_duration_s=total_s,
            length_duration_s=length_s,
            over_duration_s=total_s - length_s,
            efforts=efforts,
            efforts_fit=low,
        ),
    )


def _what_would(
    wishes: Wishes,
    recoveries: Mapping[str, Recovery],
    efforts: int,
    too_long: Sequence[Finding],
) -> tuple[Finding, ...]:
    """Say what would make a session that is too long shorter, and by how much."""
    if not too_long or "efforts_fit" not in too_long[-1].values:
        return ()
    said = too_long[-1].values
    total_s, length_s = float(said["total_duration_s"]), float(said["length_duration_s"])
    in_time = (e for e in wishes.entrants if wishes.late_s.get(e.name, 0) + e.takes_s <= length_s)
    wishes = replace(wishes, entrants=tuple(in_time) or wishes.entrants)
    fit = int(said["efforts_fit"]) or efforts - 1
    least_s = {name: min(s, recoveries[name].low_s) for name, s in wishes.recovery_s.items()}
    ways: list[tuple[str, float, Wishes, int]] = []
    if fit:
        ways.append(("efforts", fit, wishes, fit))
    if least_s != wishes.recovery_s:
        longest = max(least_s.values())
        ways.append(("recovery", longest, replace(wishes, recovery_s=least_s), efforts))
    if wishes.assistants < ASSISTANTS[1]:
        hands = wishes.assistants + 1
        ways.append(("assistants", hands, replace(wishes, assistants=hands), efforts))
    found = [
        would_save(what, given, total_s, total_of(best_schedule(how, runs, length_s)[1]), length_s)
        for what, given, how, runs in ways
    ]
    return tuple(each for each in found if each is not None)


_SHORTER = "session-shorter-"
_WORTH_SAYING_S = 60.0
"""Less saved is no remedy."""


def would_save(
    what: str, given: float | str, total_s: float, less_s: float, length_s: float
) -> Finding | None:
    """Return the note of what a change saves; None when it is less than a minute.

    Parameters
    ----------
    what, given
        What is changed ("efforts", "recovery", "assistants", "lanes") and to what.
    total_s, less_s, length_s
        How long it takes now and then, and how long there is [s].
    """
    if total_s - less_s < _WORTH_SAYING_S:
        return None
    name = "given_duration_s" if what == "recovery" else "given"
    return Finding.note(
        f"{_SHORTER}{what}",
        **{name: given},
        saved_duration_s=total_s - less_s,
        enough="it fits then" if less_s <= length_s else "not enough alone",
    )


def _about_late(
    wishes: Wishes, efforts: int, length_s: float | None, total_s: float
) -> tuple[Finding, ...]:
    """Say when the late ones make the session longer."""
    late = [e.name for e in wishes.entrants if wishes.late_s.get(e.name, 0.0) > 0.0]
    if not late:
        return ()
    punctual = replace(wishes, late_s=MappingProxyType({}))
    added = total_s - total_of(best_schedule(punctual, efforts, length_s)[1])
    if added < 1.0:
        return ()
    return (Finding.note("late-holds-up", names=", ".join(late), added_duration_s=added),)
