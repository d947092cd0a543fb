"""The session of what was laid: who is on which lane and wave becomes a schedule."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.run_on import run_out_s
from wicketlay.drills.runs import Pace
from wicketlay.session.efforts import Entrant
from wicketlay.session.session import Session, plan_session
from wicketlay.sources import DEFAULTS, Judgement

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.lanes.laying import Demand, Laying


def timetable(
    layings: Sequence[Laying],
    *,
    efforts: int | None = None,
    recovery_s: float | None = None,
    length_s: float | None = None,
    late_s: Mapping[str, float] | None = None,
    assistants: int = 1,
    judgement: Judgement = DEFAULTS,
) -> Session | None:
    """Return the session of the layings of one stage; None when nobody runs.

    Parameters
    ----------
    layings
        All of one stage. Marks moved between waves of a lane are those the layings tell. One
        with a stop must not be laid, so nobody runs on it.
    efforts, recovery_s, length_s, late_s, assistants, judgement
        See `wicketlay.session.session.plan_session`.
    """
    entrants = entrants_of(layings)
    if not entrants:
        return None
    marks, moves = marks_of(layings)
    return plan_session(
        entrants,
        marks=marks,
        moves=moves,
        efforts=efforts,
        recovery_s=recovery_s,
        length_s=length_s,
        late_s=_known(late_s, entrants) if late_s else {},
        assistants=assistants,
        judgement=judgement,
    )


def entrants_of(layings: Sequence[Laying]) -> list[Entrant]:
    """Return who runs on the layings; on one with a stop nobody does."""
    return [
        _entrant(laying, demand)
        for laying in layings
        if not laying.stopped
        for demand in laying.demands
    ]


def marks_of(
    layings: Sequence[Laying],
) -> tuple[dict[tuple[int, int], int], dict[tuple[int, int, int], int]]:
    """Return how many marks each (lane, wave) has, and how many move from wave to wave on it."""
    marks = {(laying.lane, laying.wave): len(laying.layout.marks) for laying in layings}
    moves: dict[tuple[int, int, int], int] = {}
    last: dict[int, Laying] = {}
    for laying in layings:
        before = last.get(laying.lane)
        if before is not None:
            moves[laying.lane, before.wave, laying.wave] = laying.handled
        last[laying.lane] = laying
    return marks, moves


def _known(late_s: Mapping[str, float], entrants: Sequence[Entrant]) -> dict[str, float]:
    names = {entrant.name for entrant in entrants}
    return {name: when for name, when in late_s.items() if name in names and when > 0.0}


def _entrant(laying: Laying, demand: Demand) -> Entrant:
    layout = laying.layout
    end = max(float(layout.marks[-1].along_m), float(layout.run_out_from_m))
    own = demand.layout
    last = own.landings[-1] if own.landings else None
    timed = [mark.time_s for mark in own.marks if mark.time_s is not None]
    times = [*timed[-1:], *(() if last is None else (last.time_s,))]
    laid = demand.appraisal
    # Of a start mark that was moved, or shared gaps: by how much later the last wicket is passed.
    later_s = 0.0 if laid is None else laid.first_s + float(laid.time_s[-1]) - timed[-1]
    end_mps = (last or own.marks[-1]).speed_mps or 0.0
    return Entrant(
        name=demand.athlete.name,
        run_m=end - float(demand.start_along_m),
        speed_share=demand.spec.speed_share,
        lane=laying.lane,
        wave=laying.wave,
        run_on_m=demand.run_on_m,
        zones_m=tuple([part.length_m for part in layout.parts if part.pace is Pace.TIMED]),
        run_s=max(times) + later_s if times else None,
        slow_down_s=run_out_s(end_mps) if layout.slows_down else 0.0,
        acceleration=layout.parts[0].pace is Pace.TIMED,
    )
