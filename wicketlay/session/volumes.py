"""Recoveries, waits and metres of a session against published ranges and common practice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import Finding, Level
from wicketlay.session.efforts import Entrant, Load, Work, training_range
from wicketlay.sources import LONG_WAIT_RATIO, LONG_WAIT_S, LONGEST_SPRINT_M, MOST_SPRINT_M

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable


def _named(loads: Iterable[Load]) -> str:
    return ", ".join(load.athlete for load in loads)


def recovery_findings(loads: tuple[Load, ...]) -> tuple[Finding, ...]:
    """Say when planned recoveries leave their range, or waits grow cold."""
    found = []
    short = [load for load in loads if load.recovery_s < load.recovery.low_s]
    if short:
        found.append(
            Finding.caution(
                "recovery-short",
                names=_named(short),
                planned_duration_s=short[0].recovery_s,
                low_duration_s=max(load.recovery.low_s for load in short),
                high_duration_s=max(load.recovery.high_s for load in short),
            )
        )
    long = [load for load in loads if load.recovery_s > load.recovery.high_s]
    if long:
        found.append(
            Finding.note(
                "recovery-long",
                names=_named(long),
                planned_duration_s=long[0].recovery_s,
                high_duration_s=min(load.recovery.high_s for load in long),
            )
        )
    cold = [
        load
        for load in loads
        if load.longest_wait_s > max(LONG_WAIT_RATIO * load.recovery_s, LONG_WAIT_S)
    ]
    if cold:
        found.append(
            Finding.note(
                "long-wait",
                names=_named(cold),
                wait_duration_s=max(load.longest_wait_s for load in cold),
            )
        )
    return tuple(found)


_VOLUME_OF = {
    Work.MAX_VELOCITY: "max_velocity_session_m",
    Work.ACCELERATION: "acceleration_session_m",
    Work.SPEED_ENDURANCE: "speed_endurance_session_m",
}


def _most(each_m: float, high_m: float) -> int:
    """Return how many runs keep within so many metres, one at least."""
    return max(int(high_m // each_m), 1)


def most_efforts(entrants: Iterable[Entrant]) -> int | None:
    """Return how many runs each may do without a caution on metres, None where none is held."""
    kept = []
    for entrant in entrants:
        work = entrant.work
        name = _VOLUME_OF.get(work)
        high_m = MOST_SPRINT_M if name is None else training_range(name)[1]
        each_m = sum(entrant.zones_m) if work is Work.MAX_VELOCITY else entrant.run_m
        if each_m > 0.0:
            kept.append(_most(each_m, high_m))
    return min(kept, default=None)


def volume_findings(entrants: tuple[Entrant, ...], loads: tuple[Load, ...]) -> tuple[Finding, ...]:
    """Hold metres, zones and runs against the published ranges, one finding a kind and a code."""
    found = []
    for work, name in _VOLUME_OF.items():
        own = [load for load in loads if load.work is work]
        if not own:
            continue
        low, high = training_range(name)
        metres = {
            load.athlete: load.zone_m if work is Work.MAX_VELOCITY else load.sprint_m
            for load in own
        }
        over = [load for load in own if metres[load.athlete] > high]
        under = [load for load in own if 0.0 < metres[load.athlete] < low]
        for code, level, some, pick in (
            ("volume-over", Level.CAUTION, over, max),
            ("volume-under", Level.NOTE, under, min),
        ):
            if some:
                worst = pick(some, key=lambda load: metres[load.athlete])
                planned = [metres[load.athlete] for load in some]
                each = metres[worst.athlete] / worst.efforts
                reach = -(-low // each)
                found.append(
                    Finding.of(
                        code,
                        level,
                        names=_named(some),
                        work=work.value,
                        least_m=min(planned),
                        most_m=max(planned),
                        low_m=low,
                        high_m=high,
                        efforts=_most(each, high) if code == "volume-over" else int(max(reach, 1)),
                    )
                )
    usual = [
        load for load in loads if load.work is Work.SUBMAXIMAL and load.sprint_m > MOST_SPRINT_M
    ]
    if usual:
        worst = max(usual, key=lambda load: load.sprint_m)
        found.append(
            Finding.caution(
                "volume-over-practice",
                names=_named(usual),
                least_m=min(load.sprint_m for load in usual),
                most_m=worst.sprint_m,
                high_m=float(MOST_SPRINT_M),
                efforts=_most(worst.sprint_m / worst.efforts, MOST_SPRINT_M),
            )
        )
    return (*found, *_about_runs(entrants), *_about_rest(loads))


_RUN_CHECKS: tuple[tuple[str, Work, str, Callable[[Entrant], tuple[float, ...]]], ...] = (
    ("zone-outside", Work.MAX_VELOCITY, "max_velocity_zone_m", lambda e: e.zones_m),
    ("run-on-outside", Work.MAX_VELOCITY, "max_velocity_run_on_m", lambda e: (e.run_on_m,)),
    ("run-outside", Work.ACCELERATION, "acceleration_run_m", lambda e: (e.run_m,)),
)
"""Code, kind of work, published range and the lengths that are held against it."""


def _about_runs(entrants: tuple[Entrant, ...]) -> tuple[Finding, ...]:
    """Say when single runs lie outside what the table or common practice has."""
    of_work: dict[Work, list[Entrant]] = {}
    for entrant in entrants:
        of_work.setdefault(entrant.work, []).append(entrant)
    found = []
    for code, work, name, lengths in _RUN_CHECKS:
        if work not in of_work:
            continue
        low, high = training_range(name)
        some = [e for e in of_work[work] if not all(low <= m <= high for m in lengths(e))]
        if some:
            told = [length for e in some for length in lengths(e)]
            found.append(
                Finding.note(
                    code,
                    names=", ".join(e.name for e in some),
                    work=work.value,
                    shortest_m=min(told),
                    longest_m=max(told),
                    low_m=low,
                    high_m=high,
                )
            )
    far = [
        e
        for e in entrants
        if e.run_m > LONGEST_SPRINT_M and e.work in {Work.SUBMAXIMAL, Work.MAX_VELOCITY}
    ]
    if far:
        found.append(
            Finding.note(
                "run-long",
                names=", ".join(e.name for e in far),
                longest_m=max(e.run_m for e in far),
                high_m=float(LONGEST_SPRINT_M),
            )
        )
    return tuple(found)


def _about_rest(loads: tuple[Load, ...]) -> tuple[Finding, ...]:
    fast = [load for load in loads if load.work is Work.MAX_VELOCITY]
    if not fast:
        return ()
    low, high = training_range("max_velocity_rest_h")
    return (Finding.note("rest-days", names=_named(fast), low_h=int(low), high_h=int(high)),)
