"""One athlete: the facts a coach knows, and the runner that is made of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.sources import Level


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


class ClockStart(StrEnum):
    """What starts the clock of a split time."""

    FIRST_MOVEMENT = "first-movement"
    GATE = "gate"
    GUN = "gun"


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
    """

    distances_m: tuple[float, ...]
    times_s: tuple[float, ...]
    start: ClockStart = ClockStart.FIRST_MOVEMENT
    reaction_s: float | None = None
    date: date | None = None


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
    """

    distance_m: float
    time_s: float
    run_on_m: float
    timing: Timing = Timing.GATES
    runs: int = 1
    date: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """A run in which steps were counted (or measured) and speed is known.

    Give `distance_m`, `time_s` and `steps`, or `step_m` and `speed_mps`.

    Parameters
    ----------
    held_share
        Share of top speed the run was held at; None when it was flat out and building.
    run_on_m
        Distance from the start to the zone, for a flat-out run that was still building;
        None with `held_share` None means at top speed.
    over_marks
        True when the run went over wickets or other marks: it then teaches speed only,
        since the step was the gap.
    timing
        How it was timed.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstGuess:
    """The cadence and speed share from which a height-only top speed was once worked out.

    Held in the athlete's record so that changing the drill's cadence afterwards changes the
    gaps and not the athlete.
    """

    cadence_hz: float
    speed_share: float


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
        Runs with counted steps, and runs over marks.
    first_guess
        Where a height-only top speed came from.
    front_foot
        Front foot on the start mark, if the athlete always uses the same.
    takeoff_foot
        Take-off foot of a jumper.
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
