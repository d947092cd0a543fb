"""What a coach knows of an athlete: facts as they were told, each inside its range."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError, require_range
from wicketlay.running.clocks import ClockStart
from wicketlay.running.fitting import checked_splits
from wicketlay.sources import FASTEST_TOP_SPEED_MPS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from wicketlay.sources import Level

__all__ = [
    "FACT_RANGES",
    "Athlete",
    "ClockStart",
    "FirstGuess",
    "FlyingTime",
    "Foot",
    "Observation",
    "Range",
    "Sex",
    "Splits",
    "Timing",
]

NAME_LENGTH = 80
DAYS_PER_YEAR = 365.2425


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Where a fact may lie, both ends allowed.

    Parameters
    ----------
    what
        The fact in words.
    low, high
        The ends, in `unit`.
    unit
        SI unit as text, "" for a pure number.
    """

    what: str
    low: float
    high: float
    unit: str

    def check(self, value: float) -> None:
        """Raise a DomainError with value, unit and range unless `value` lies inside."""
        require_range(self.what, value, self.low, self.high, self.unit)


def _range(what: str, low: float, high: float, unit: str = "") -> Range:
    return Range(what=what, low=low, high=high, unit=unit)


FACT_RANGES: Mapping[str, Range] = MappingProxyType(
    {
        "height_m": _range("height", 1.0, 2.3, "m"),
        "leg_m": _range("leg", 0.4, 1.3, "m"),
        "leg_share": _range("leg over height", 0.44, 0.60),
        "age_years": _range("age", 5.0, 100.0, "years"),
        "top_speed_mps": _range("top speed", 2.0, float(FASTEST_TOP_SPEED_MPS), "m/s"),
        "top_speed_sd_mps": _range("SD of the top speed", 0.0, 2.0, "m/s"),
        "time_constant_s": _range("time constant", 0.5, 2.0, "s"),
        "split_m": _range("split distance", 1.0, 200.0, "m"),
        "split_s": _range("split time", 0.1, 60.0, "s"),
        "reaction_s": _range("reaction time", 0.0, 0.5, "s"),
        "flying_m": _range("flying zone", 5.0, 100.0, "m"),
        "flying_s": _range("flying time", 0.3, 30.0, "s"),
        "flying_run_on_m": _range("run-on of the flying zone", 0.0, 200.0, "m"),
        "runs": _range("number of runs", 1, 100),
        "fps": _range("frames a second", 10.0, 2000.0, "1/s"),
        "spread_s": _range("spread of the times", 0.0, 60.0, "s"),
        "observed_m": _range("observed distance", 3.0, 400.0, "m"),
        "observed_s": _range("observed time", 0.3, 120.0, "s"),
        "observed_steps": _range("observed steps", 2.0, 400.0),
        "observed_step_m": _range("observed step", 0.4, 3.2, "m"),
        "observed_mps": _range("observed speed", 1.0, 13.0, "m/s"),
        "observed_run_on_m": _range("run-on of the observed run", 0.0, 200.0, "m"),
        "held_share": _range("held share of top speed", 0.5, 1.0),
        "first_cadence_hz": _range("first cadence", 2.5, 6.0, "steps/s"),
        "first_speed_share": _range("first speed share", 0.5, 1.0),
    }
)
"""Allowed ranges of facts, by fact; the keys end in the unit."""


def _check(**facts: float | None) -> None:
    for key, value in facts.items():
        if value is not None:
            FACT_RANGES[key].check(value)


class Sex(StrEnum):
    """Used only to estimate leg length and to cap a guessed speed."""

    FEMALE = "f"
    MALE = "m"


class Foot(StrEnum):
    """A foot."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Foot:
        """The other one."""
        return Foot.RIGHT if self is Foot.LEFT else Foot.LEFT


class Timing(StrEnum):
    """How a time was taken."""

    HAND = "hand"
    GATES = "gates"
    VIDEO = "video"


@dataclass(frozen=True, slots=True, kw_only=True)
class Splits:
    """Times from a start to several distances of one run.

    Parameters
    ----------
    distances_m, times_s
        Same length, at least two, both strictly increasing.
    start
        What starts the clock.
    reaction_s
        Reaction time to subtract, `gun` only; None takes the default.
    date
        The day of the run, if known.

    Raises
    ------
    DomainError
        When lengths differ, values do not rise or lie outside `FACT_RANGES`.
    """

    distances_m: tuple[float, ...]
    times_s: tuple[float, ...]
    start: ClockStart = ClockStart.FIRST_MOVEMENT
    reaction_s: float | None = None
    date: date | None = None

    def __post_init__(self) -> None:
        """Refuse splits that cannot be."""
        for distance in self.distances_m:
            _check(split_m=distance)
        for time in self.times_s:
            _check(split_s=time)
        checked_splits(self.distances_m, self.times_s)
        _check(reaction_s=self.reaction_s)
        if self.reaction_s is not None and self.start is not ClockStart.GUN:
            message = f"a reaction time goes with a gun only, the clock start is {self.start.value}"
            raise DomainError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlyingTime:
    """A time over a zone that was entered running, after a full-effort run-on.

    Parameters
    ----------
    distance_m
        Length of the zone [m].
    time_s
        Time over the zone, mean of the runs taken [s].
    run_on_m
        Distance from the start to the zone [m].
    timing
        How it was timed; sets its error.
    runs
        How many runs the time is the mean of.

    Raises
    ------
    DomainError
        When a value lies outside `FACT_RANGES`.
    """

    distance_m: float
    time_s: float
    run_on_m: float
    timing: Timing = Timing.GATES
    runs: int = 1
    date: date | None = None

    def __post_init__(self) -> None:
        """Refuse a time that cannot be."""
        _check(
            flying_m=self.distance_m,
            flying_s=self.time_s,
            flying_run_on_m=self.run_on_m,
            runs=self.runs,
        )

    @property
    def mean_speed_mps(self) -> float:
        """The zone mean [m/s]; the top speed is higher."""
        return self.distance_m / self.time_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """A run in which steps were counted (or measured), or its speed is known, or both.

    Give `distance_m` with `steps`, `time_s` or both, or `step_m` with `speed_mps`. What is
    missing is not learnt from.

    Parameters
    ----------
    held_share
        Share of top speed the run was held at, or built towards when `run_on_m` is given too;
        None when it was flat out.
    run_on_m
        Distance from the start to the zone, for a run that was still building; None when the
        speed was even through the zone.
    over_marks
        True when the run went over wickets or other marks: it then teaches speed only,
        since the step was the gap.
    timing
        How it was timed.
    runs
        How many runs the time is the mean of.
    fps
        Frames a second of the video the time was read from, if known.
    spread_s
        One SD between the times of the runs [s], where it is more than the error of the timing.

    Raises
    ------
    DomainError
        When the facts do not make an observation or lie outside `FACT_RANGES`.
    """

    date: date
    distance_m: float | None = None
    time_s: float | None = None
    steps: float | None = None
    step_m: float | None = None
    speed_mps: float | None = None
    held_share: float | None = None
    run_on_m: float | None = None
    over_marks: bool = False
    timing: Timing = Timing.HAND
    runs: int = 1
    fps: float | None = None
    spread_s: float | None = None

    def __post_init__(self) -> None:
        """Refuse an observation that says nothing, or two things."""
        counted = (self.distance_m, self.time_s, self.steps)
        measured = (self.step_m, self.speed_mps)
        by_count = self.distance_m is not None and counted != (self.distance_m, None, None)
        by_measure = None not in measured
        if by_count == by_measure or (
            any(v is not None for v in counted) and any(v is not None for v in measured)
        ):
            message = (
                f"the observation of {self.date.isoformat()} needs a distance with steps or time, "
                "or a step with a speed, not both"
            )
            raise DomainError(message)
        _check(
            observed_m=self.distance_m,
            observed_s=self.time_s,
            observed_steps=self.steps,
            held_share=self.held_share,
            observed_run_on_m=self.run_on_m,
            runs=self.runs,
            fps=self.fps,
            spread_s=self.spread_s,
            observed_step_m=self.observed_step_m,
            observed_mps=self.observed_speed_mps,
        )

    @property
    def observed_step_m(self) -> float | None:
        """The step as observed [m], None when steps were not counted."""
        if self.distance_m is not None and self.steps:
            return self.distance_m / self.steps
        return self.step_m

    @property
    def observed_speed_mps(self) -> float | None:
        """The (mean) speed as observed [m/s], None when there is no time."""
        if self.distance_m is not None and self.time_s:
            return self.distance_m / self.time_s
        return self.speed_mps


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstGuess:
    """The cadence and speed share from which a height-only top speed was once worked out.

    Held in the athlete's record so that changing the drill's cadence afterwards changes the
    gaps and not the athlete.
    """

    cadence_hz: float
    speed_share: float

    def __post_init__(self) -> None:
        """Refuse a guess outside `FACT_RANGES`."""
        _check(first_cadence_hz=self.cadence_hz, first_speed_share=self.speed_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Athlete:
    """What is known of one athlete. Only `name` and `height_m` are needed.

    Parameters
    ----------
    name
        Up to 80 characters, printed as it is.
    height_m
        Stature [m].
    leg_m
        Trochanter height [m], if measured.
    sex, age_years, born, level
        Used for the leg estimate, growth and the cap of a guessed speed; each may be None.
    top_speed_mps, top_speed_sd_mps
        Top speed as the coach knows it, and its SD if known [m/s].
    time_constant_s
        Tau, if known [s].
    splits, flying
        Timed runs; splits come before flying times, flying times before `top_speed_mps`.
    observations
        Runs with counted steps, and runs over marks; no one twice.
    first_guess
        Where a height-only top speed came from.
    front_foot
        Front foot on the start mark, if the athlete always uses the same.
    takeoff_foot
        Take-off foot of a jumper.

    Raises
    ------
    DomainError
        When a value lies outside `FACT_RANGES`, or an observation is given twice.
    """

    name: str
    height_m: float
    leg_m: float | None = None
    sex: Sex | None = None
    age_years: float | None = None
    born: date | None = None
    level: Level | None = None
    top_speed_mps: float | None = None
    top_speed_sd_mps: float | None = None
    time_constant_s: float | None = None
    splits: Splits | None = None
    flying: FlyingTime | None = None
    observations: tuple[Observation, ...] = ()
    first_guess: FirstGuess | None = None
    front_foot: Foot | None = None
    takeoff_foot: Foot | None = None

    def __post_init__(self) -> None:
        """Refuse an athlete that cannot be."""
        if not self.name.strip() or len(self.name) > NAME_LENGTH:
            message = (
                f"the name has {len(self.name)} characters; it must have between 1 and "
                f"{NAME_LENGTH} and not be blank"
            )
            raise DomainError(message)
        _check(
            height_m=self.height_m,
            leg_m=self.leg_m,
            age_years=self.age_years,
            top_speed_mps=self.top_speed_mps,
            top_speed_sd_mps=self.top_speed_sd_mps,
            time_constant_s=self.time_constant_s,
        )
        if self.leg_m is not None:
            _check(leg_share=self.leg_m / self.height_m)
        seen: set[Observation] = set()
        for observation in self.observations:
            if observation in seen:
                message = (
                    f"the observation of {observation.date.isoformat()} is given twice; "
                    "one run teaches once, take one of them out"
                )
                raise DomainError(message)
            seen.add(observation)

    def age_on(self, today: date | None) -> float | None:
        """Return the age [years] on a day: from `born` when both are known, else as given."""
        if self.born is not None and today is not None:
            return max((today - self.born).days, 0) / DAYS_PER_YEAR
        return self.age_years


def months_between(earlier: date, later: date) -> float:
    """Return the months from one day to another, 0 when it comes later."""
    return max((later - earlier).days, 0) / (DAYS_PER_YEAR / 12.0)


def is_child(age_years: float | None, below: float = 18.0) -> bool:
    """Return whether an age is known and below `below` [years]."""
    return age_years is not None and math.isfinite(age_years) and age_years < below
