"""Progress: what the record of an athlete shows, day by day, as a table and as chart data."""

from __future__ import annotations

import math
import statistics
from collections import Counter
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError
from wicketlay.running.at_board import at_board
from wicketlay.running.athlete import NO_WEIGHT, RUNS, Athlete, Runner, make_runner
from wicketlay.running.estimates import Estimate
from wicketlay.sources import DEFAULTS, USUAL_SHARE, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.running.at_board import AtBoard
    from wicketlay.running.facts import BoardMisses, Observation


SPRINT_TO_M = (10.0, 20.0, 30.0)
"""Where acceleration shows, from a standing start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What the record has of a day in one kind of run.

    Parameters
    ----------
    what
        "splits", "flying time", "marks", "steps counted", "timed run".
    speed_mps
        Mean speed of its timed runs, as observed [m/s]; None without a time.
    held_share
        How hard they were, as a share of top speed; None for flat out.
    """

    what: str
    speed_mps: float | None = None
    held_share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressRow:
    """The athlete as they stood after one day.

    Parameters
    ----------
    date
        The day; None for what was known before any dated run.
    seen
        What the record has of that day, runs that are not alike each on their own.
    top_speed
        Top speed marks are laid by after that day [m/s].
    top_cadence
        Top cadence [steps/s].
    gap
        Natural step between wickets in the drill [m].
    sprint
        Times from first movement to 10, 20 and 30 m, flat out from a standing start [s].
    speed_share
        How much of top speed as it is known now rests on that day.
    """

    date: date | None
    seen: tuple[Seen, ...]
    top_speed: Estimate
    top_cadence: Estimate
    gap: Estimate
    sprint: tuple[Estimate, ...] = ()
    speed_share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDay:
    """What an athlete's take-off runs of a day, at one slide of the marks, told.

    Parameters
    ----------
    told
        The misses.
    known
        What they tell with all of the days before, for the next run: on the next day of the
        record, or that of the plan.
    """

    told: BoardMisses
    known: AtBoard

    @property
    def mean_m(self) -> float:
        """Mean of the misses [m], over positive."""
        return statistics.fmean(self.told.misses_m)

    @property
    def slid_m(self) -> float:
        """By how much all marks are to be slid in all after it [m]."""
        return self.told.slide_m + (self.known.slide_by_m(self.told.slide_m) or 0.0)


def board_days(
    athlete: Athlete, judgement: Judgement = DEFAULTS, *, today: date | None = None
) -> tuple[BoardDay, ...]:
    """Return what the record has of an athlete at the board, by date, and what it told by then.

    `today` is the day of the next run; None is that of the last.
    """
    days = sorted(athlete.at_board, key=lambda each: each.date)
    found = []
    for told in days:
        until = min((each.date for each in days if each.date > told.date), default=today)
        so_far = [each for each in days if each.date <= told.date]
        known = at_board(so_far, judgement, today=until)
        if known is not None:
            found.append(BoardDay(told=told, known=known))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One line of a chart: a value with its one-SD band over the days.

    Parameters
    ----------
    name, unit
        What is drawn ("top speed", "m/s").
    days
        Days since the first point, from 0.
    values, low, high
        The value and its band, same length as `days`.
    """

    name: str
    unit: str
    days: tuple[int, ...]
    values: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """An athlete's way so far.

    Parameters
    ----------
    athlete
        Who.
    rows
        By date; a row without date first, if there is one.
    series
        Speed, cadence and gap over the dated rows; where the start was measured again the time to
        10 m stands first, and cadence gives way.
    speed_change_mps, gap_change_m
        From the first row to the last [m/s], [m].
    told_speed, capped
        Top speed that all runs together tell of by now [m/s], None where marks are laid by it;
        and whether marks are on their way there, in steps.
    time_constant
        Tau by now [s]; without splits it is assumed, and the times from a standing start follow
        top speed alone.
    start_change_s
        By how much later the runner is at 10 m [s] than by the first row that has a tau of its
        own; None where the start was measured once, or never.
    step_rests_on, speed_rests_on
        What the step at top speed and top speed rest on now, each with its weight as a share.
    """

    athlete: str
    rows: tuple[ProgressRow, ...]
    series: tuple[Series, ...]
    speed_change_mps: float
    gap_change_m: float
    time_constant: Estimate
    told_speed: Estimate | None = None
    capped: bool = False
    start_change_s: Estimate | None = None
    step_rests_on: tuple[tuple[str, float], ...] = ()
    speed_rests_on: tuple[tuple[str, float], ...] = ()

    @property
    def held_back(self) -> Estimate | None:
        """What the runs tell of [m/s] where it is beyond its error of what marks are laid by."""
        told, laid = self.told_speed, self.rows[-1].top_speed
        return told if told is not None and beyond_error(told, laid.value) else None


def beyond_error(change: Estimate, old: float = 0.0) -> bool:
    """Return whether an estimate lies farther from `old` than its SD: less may be chance."""
    return abs(change.value - old) > change.sd


def progress(
    athlete: Athlete,
    *,
    speed_share: float = USUAL_SHARE,
    cadence_hz: float | None = None,
    judgement: Judgement = DEFAULTS,
) -> Progress | None:
    """Return the athlete as they stood after each day of the record.

    Each row is the runner made of what was known on that day: dated splits and flying times
    count from their day on, undated facts from the beginning.

    Parameters
    ----------
    athlete
        With the whole record.
    speed_share
        The drill's speed share; the gap shown is the natural step there.
    cadence_hz
        The drill's absolute cadence [steps/s], if it has one: a first guess needs it.
    judgement
        The judged constants.

    Returns
    -------
    Progress or None
        None when on no day enough was known to make a runner.
    """
    rows: list[ProgressRow] = []
    runner: Runner | None = None
    started: Runner | None = None
    for day in (None, *days_told(athlete)):
        known = _as_known_on(athlete, day)
        try:
            runner = make_runner(
                known,
                cadence_hz=cadence_hz,
                speed_share=speed_share,
                today=day,
                judgement=judgement,
            )
        except DomainError:
            continue
        rows.append(_row(runner, day, speed_share, judgement))
        if started is None and known.splits_by_day():
            started = runner
    if runner is None:
        return None
    of_day: dict[date | None, float] = {}
    for _, day, share in runner.speed_rests_on:
        of_day[day] = of_day.get(day, 0.0) + share
    rows = [replace(row, speed_share=of_day.get(row.date, 0.0)) for row in rows]
    start_change = _start_change(started, runner)
    return Progress(
        athlete=athlete.name,
        rows=tuple(rows),
        series=_series(rows, started=start_change is not None),
        speed_change_mps=rows[-1].top_speed.value - rows[0].top_speed.value,
        gap_change_m=rows[-1].gap.value - rows[0].gap.value,
        time_constant=runner.time_constant,
        told_speed=runner.told_speed,
        capped=runner.capped,
        start_change_s=start_change,
        step_rests_on=runner.step_rests_on,
        speed_rests_on=_by_kind(runner),
    )


def _start_change(first: Runner | None, last: Runner) -> Estimate | None:
    """Return how much later somebody is at 10 m than at first [s], where both were measured.

    What both days share, as a way of timing, is not taken off its SD.
    """
    if first is None or first.time_constant == last.time_constant:
        return None
    was, now = first.time_to(SPRINT_TO_M[0]), last.time_to(SPRINT_TO_M[0])
    return Estimate(value=now.value - was.value, sd=math.hypot(was.sd, now.sd), basis=now.basis)


def _by_kind(runner: Runner) -> tuple[tuple[str, float], ...]:
    """Return what top speed rests on, days of one kind together."""
    shares: dict[str, float] = {}
    days: Counter[str] = Counter()
    for what, day, share in runner.speed_rests_on:
        shares[what] = shares.get(what, 0.0) + share
        days[what] += day is not None and what in RUNS
    return tuple(
        (f"{what} of {n} day{'' if n == 1 else 's'}" if (n := days[what]) else what, whole)
        for what, whole in shares.items()
        if whole > NO_WEIGHT
    )


def days_told(athlete: Athlete) -> list[date]:
    """Return the days of which an athlete's record has a run, in their order."""
    days = {seen.date for seen in athlete.observations}
    dated = [day for day, _ in athlete.splits_by_day()]
    if athlete.flying is not None:
        dated.append(athlete.flying.date)
    return sorted(days | {day for day in dated if day is not None})


def _as_known_on(athlete: Athlete, day: date | None) -> Athlete:
    """Return the athlete without what was learnt after `day`; None keeps undated facts only."""

    def later(when: date | None) -> bool:
        return when is not None and (day is None or when > day)

    splits, flying = athlete.splits, athlete.flying
    return replace(
        athlete,
        splits=None if splits is not None and later(splits.date) else splits,
        sprints=tuple(each for each in athlete.sprints if not later(each.date)),
        flying=None if flying is not None and later(flying.date) else flying,
        observations=tuple(seen for seen in athlete.observations if not later(seen.date)),
    )


def _row(runner: Runner, day: date | None, speed_share: float, judgement: Judgement) -> ProgressRow:
    cadence = runner.gait.natural_cadence_hz(speed_share, judgement)
    gap = runner.top_speed.value * speed_share / cadence
    return ProgressRow(
        date=day,
        seen=() if day is None else _seen_on(runner.athlete, day),
        top_speed=runner.top_speed,
        top_cadence=runner.gait.top_cadence,
        gap=Estimate(
            value=gap,
            sd=gap * runner.gait.top_step.relative_sd,
            basis=f"natural step at {speed_share:.0%} of top speed",
        ),
        sprint=tuple(map(runner.time_to, SPRINT_TO_M)),
    )


def _seen_on(athlete: Athlete, day: date) -> tuple[Seen, ...]:
    """Return what the record has of a day; a mean only of runs over one distance, alike run."""
    found = []
    if day in dict(athlete.splits_by_day()):
        found.append(Seen(what="splits"))
    flying = athlete.flying
    if flying is not None and flying.date == day:
        found.append(Seen(what="flying time", speed_mps=flying.mean_speed_mps))
    alike: dict[tuple[str, float, float, float], list[Observation]] = {}
    for each in athlete.observations:
        if each.date == day:
            share = round(each.held_share or 1.0, 4)
            run = (_kind_of(each), share, each.run_on_m or 0.0, each.distance_m or 0.0)
            alike.setdefault(run, []).append(each)
    for _, runs in sorted(alike.items()):
        timed = [(o.observed_speed_mps, o.runs) for o in runs if o.observed_speed_mps is not None]
        speed = statistics.fmean(*zip(*timed, strict=True)) if timed else None
        first = runs[0]
        found.append(Seen(what=_kind_of(first), speed_mps=speed, held_share=first.held_share))
    return tuple(found)


def _kind_of(seen: Observation) -> str:
    if seen.over_marks:
        return "marks"
    return "timed run" if seen.observed_step_m is None else "steps counted"


def _series(rows: list[ProgressRow], *, started: bool) -> tuple[Series, ...]:
    dated = [(row.date, row) for row in rows if row.date is not None]
    if not dated:
        return ()
    first = dated[0][0]
    days = tuple((day - first).days for day, _ in dated)

    def line(name: str, unit: str, estimates: list[Estimate]) -> Series:
        return Series(
            name=name,
            unit=unit,
            days=days,
            values=tuple(e.value for e in estimates),
            low=tuple(e.value - e.sd for e in estimates),
            high=tuple(e.value + e.sd for e in estimates),
        )

    start = line(f"time to {SPRINT_TO_M[0]:g} m", "s", [row.sprint[0] for _, row in dated])
    speed = line("top speed", "m/s", [row.top_speed for _, row in dated])
    cadence = line("top cadence", "steps/s", [row.top_cadence for _, row in dated])
    gap = line("gap", "m", [row.gap for _, row in dated])
    return (start, speed, gap) if started else (speed, cadence, gap)
