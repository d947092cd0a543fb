"""What a coach knows of an athlete: facts as they were told, each inside its range."""

from __future__ import annotations

import math
from dataclasses import field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.declared import Keyed, Kind, check_keys, declare, keyed, keys_of
from wicketlay.errors import DomainError, require_range
from wicketlay.running.air import ALTITUDE, WIND
from wicketlay.running.clocks import ClockStart
from wicketlay.running.contacts import counted_cadence
from wicketlay.running.fitting import checked_splits
from wicketlay.sources import FASTEST_TOP_SPEED_MPS, FOOT_AHEAD_M, USUAL_SHARE, Standard
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.estimates import Estimate

__all__ = [
    "Athlete",
    "BoardMisses",
    "ClockStart",
    "FirstGuess",
    "FlyingTime",
    "Foot",
    "Observation",
    "SeenBy",
    "Sex",
    "Splits",
    "Timing",
]

NAME_LENGTH = 80
LEG_SHARES = (0.44, 0.60)
"""Where a measured leg may lie, as a share of height."""
DAYS_PER_YEAR = 365.2425


_RUNS = declare(Kind.COUNT, "of how many runs the time is the mean", 1, 100, what="number of runs")
_DATE = declare(Kind.DATE, "the day of the run", example="2026-03-04")


class Sex(StrEnum):
    """Used only to estimate leg length and to cap a guessed speed."""

    FEMALE = "f"
    MALE = "m"


JUMPING_FOOT = ("jump_foot", "jumping_foot", "jump_leg", "takeoff_leg")
"""What others may call the foot a jump is taken from."""


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


_TIMING = declare(Kind.WORD, "how it was timed; sets its error, by hand the largest", words=Timing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Splits:
    """Times from a start to several distances of one run.

    Distances and times are as many, at least two, and both rise.

    Raises
    ------
    DomainError
        When they do not, or a value lies outside its range.
    """

    distances_m: tuple[float, ...] = field(
        metadata=declare(
            Kind.LENGTH,
            "where the times were taken, from the start",
            1.0,
            200.0,
            what="split distance",
            members=(2, 200),
            example='["10 m", "20 m"]',
        )
    )
    times_s: tuple[float, ...] = field(
        metadata=declare(
            Kind.DURATION,
            "the time at each of the distances",
            0.1,
            60.0,
            what="split time",
            members=(2, 200),
            example='["1.95 s", "3.20 s"]',
        )
    )
    start: ClockStart = keyed(
        ClockStart.FIRST_MOVEMENT, Kind.WORD, "what started the clock", words=ClockStart
    )
    reaction_s: float | None = keyed(
        None,
        Kind.DURATION,
        "reaction to the gun, taken off the times",
        0.0,
        0.5,
        what="reaction time",
    )
    date: date | None = field(default=None, metadata=_DATE)
    wind_mps: float | None = field(default=None, metadata=WIND)
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)

    def __post_init__(self) -> None:
        """Refuse splits that cannot be."""
        check_keys(self)
        checked_splits(self.distances_m, self.times_s)
        if self.reaction_s is not None and self.start is not ClockStart.GUN:
            raise DomainError(
                f"a reaction time goes with a gun only, the clock start is {self.start.value}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlyingTime(Keyed):
    """A time over a zone that was entered running, after a full-effort run-on.

    Raises
    ------
    DomainError
        When a value lies outside its range.
    """

    distance_m: float = field(
        metadata=declare(
            Kind.LENGTH, "length of the zone", 5.0, 100.0, what="flying zone", example='"20 m"'
        )
    )
    time_s: float = field(
        metadata=declare(
            Kind.DURATION,
            "time over the zone, the mean of the runs",
            0.3,
            30.0,
            what="flying time",
            example='"2.35 s"',
        )
    )
    run_on_m: float = field(
        metadata=declare(
            Kind.LENGTH,
            "from the start mark to the zone",
            0.0,
            200.0,
            what="run-on of the flying zone",
            example='"30 m"',
        )
    )
    timing: Timing = field(default=Timing.HAND, metadata=_TIMING)
    runs: int = field(default=1, metadata=_RUNS)
    date: date | None = field(default=None, metadata=_DATE)
    wind_mps: float | None = field(default=None, metadata=WIND)
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)

    @property
    def mean_speed_mps(self) -> float:
        """The zone mean [m/s]; the top speed is higher."""
        return self.distance_m / self.time_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """A run in which steps were counted (or measured), or its speed is known, or both.

    Give `distance_m` with `steps`, `time_s` or both, or `step_m` with `speed_mps`. What is
    missing is not learnt from.

    Raises
    ------
    DomainError
        When the facts do not make an observation or lie outside their ranges.
    """

    date: date = field(metadata=declare(Kind.DATE, "the day of the run", example="2026-03-04"))
    distance_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "over which it was timed or counted",
        3.0,
        400.0,
        what="observed distance",
    )
    time_s: float | None = keyed(
        None, Kind.DURATION, "the time over the distance", 0.3, 120.0, what="observed time"
    )
    steps: float | None = keyed(
        None, Kind.NUMBER, "steps counted over the distance", 2.0, 400.0, what="observed steps"
    )
    touchdowns: tuple[float, ...] = keyed(
        (),
        Kind.NUMBER,
        "instead of steps: frames of a video at which the feet landed, a row without gaps",
        0.0,
        100_000.0,
        what="frame of a touchdown",
        members=(2, 200),
        example="[12, 34, 56, 79]",
    )
    step_m: float | None = keyed(
        None, Kind.LENGTH, "a step that was measured", 0.4, 3.2, what="observed step"
    )
    speed_mps: float | None = keyed(
        None, Kind.SPEED, "the speed of a measured step", 1.0, 13.0, what="observed speed"
    )
    held_share: float | None = keyed(
        None,
        Kind.SHARE,
        "how hard it was, as a share of top speed; left out for flat out",
        0.5,
        1.0,
        what="held share of top speed",
    )
    asked_share: float | None = keyed(
        None,
        Kind.SHARE,
        "what was asked, over marks where somebody told in held how hard it was",
        0.5,
        1.0,
        what="share of top speed asked",
    )
    run_on_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "start mark to the body, where speed was still rising: to a gate, or "
        f"{float(FOOT_AHEAD_M):g} m before a wicket",
        0.0,
        200.0,
        what="run-on of the observed run",
    )
    over_marks: bool = keyed(
        False,
        Kind.WORD,
        "what it went over; over wickets or marks it teaches speed only",
        name="over",
        words={"wickets": True, "marks": True, "free": False},
    )
    timing: Timing = field(default=Timing.HAND, metadata=_TIMING)
    runs: int = field(default=1, metadata=_RUNS)
    fps: float | None = keyed(
        None,
        Kind.NUMBER,
        "frames a second of the video",
        10.0,
        2000.0,
        what="frames a second",
        si="1/s",
    )
    spread_s: float | None = keyed(
        None,
        Kind.DURATION,
        "one SD between the times of the runs",
        0.0,
        60.0,
        what="spread of the times",
    )
    wind_mps: float | None = field(default=None, metadata=WIND)
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)

    def __post_init__(self) -> None:
        """Refuse an observation that says nothing, or two things."""
        counted = (self.distance_m, self.time_s, self.steps)
        measured = (self.step_m, self.speed_mps)
        by_count = self.distance_m is not None and counted != (self.distance_m, None, None)
        by_measure = None not in measured
        if by_count == by_measure or (
            any(v is not None for v in counted) and any(v is not None for v in measured)
        ):
            raise DomainError(
                f"the observation of {self.date.isoformat()} needs a distance with steps or time, "
                "or a step with a speed, not both"
            )
        check_keys(self)
        self._check_touchdowns()
        keys = keys_of(Observation)
        keys["step_m"].check(self.observed_step_m)
        keys["speed_mps"].check(self.observed_speed_mps)

    def _check_touchdowns(self) -> None:
        if not self.touchdowns:
            return
        for told, wanted in (
            (self.fps is not None, "touchdowns need the frames a second of their video, fps"),
            (self.time_s is not None, "touchdowns need a distance and a time beside them"),
            (self.steps is None, "steps and touchdowns count the same; leave one of them out"),
        ):
            if not told:
                raise DomainError(f"the observation of {self.date.isoformat()}: {wanted}")
        counted_cadence(self.touchdowns, self.fps or 0.0)

    @property
    def counted_cadence(self) -> Estimate | None:
        """The cadence that touchdowns in a video tell of [steps/s], None without any."""
        if not self.touchdowns or self.fps is None:
            return None
        return counted_cadence(self.touchdowns, self.fps)

    @property
    def effort_asked(self) -> bool:
        """True when nobody told how hard it was: what it was held at is what was asked."""
        return self.over_marks and self.held_share is not None and self.asked_share is None

    @property
    def observed_step_m(self) -> float | None:
        """The step as observed [m], None when steps were not counted."""
        if self.distance_m is not None and self.steps:
            return self.distance_m / self.steps
        cadence, speed = self.counted_cadence, self.observed_speed_mps
        if cadence is not None and speed is not None:
            return speed / cadence.value
        return self.step_m

    @property
    def observed_speed_mps(self) -> float | None:
        """The (mean) speed as observed [m/s], None when there is no time."""
        if self.distance_m is not None and self.time_s:
            return self.distance_m / self.time_s
        return self.speed_mps


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardMisses(Keyed):
    """Where the foot came down in the take-off runs of a day, run over marks at one slide.

    ::

        - - - - short (-) - - - - toe's place | line - - - - over (+) - - ->

    Raises
    ------
    DomainError
        When a value lies outside its range.
    """

    date: date = field(metadata=declare(Kind.DATE, "the day of the runs", example="2026-03-04"))
    misses_m: tuple[float, ...] = field(
        metadata=declare(
            Kind.MISS,
            "how far the toe came down over its place at the board, or short of it, run by run",
            -3.0,
            3.0,
            what="miss",
            members=(1, 100),
            example='["12 cm over", "30 cm short"]',
        )
    )
    slide_m: float = keyed(
        0.0,
        Kind.LENGTH,
        "by how much all marks were slid when they were run",
        -5.0,
        5.0,
        unit="cm",
        signed=True,
    )


class SeenBy(StrEnum):
    """How a cadence was seen."""

    EYE = "eye"
    VIDEO = "video"


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstGuess(Keyed):
    """The cadence seen at a speed share, from which a height-only top speed is worked out.

    Held in the athlete's record so that changing the drill's cadence afterwards changes the
    gaps and not the athlete. Once the speed is known from elsewhere it is evidence of the step.
    """

    cadence_hz: float = field(
        metadata=declare(
            Kind.CADENCE,
            "a cadence that was seen; top speed is guessed from it until there is a time",
            2.5,
            6.0,
            name="first_cadence",
        )
    )
    speed_share: float = keyed(
        USUAL_SHARE,
        Kind.SHARE,
        "the share of top speed at which that cadence was seen",
        0.5,
        1.0,
        name="first_speed",
        what="first speed share",
    )
    by: SeenBy = keyed(
        SeenBy.EYE,
        Kind.WORD,
        "how that cadence was seen; counted from a video it is surer",
        name="first_seen",
        words=SeenBy,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Athlete:
    """What is known of one athlete. Only `name` and `height_m` are needed.

    Splits come before flying times, flying times before `top_speed_mps`; no observation is given
    twice, and each of `sprints` has a date.

    Raises
    ------
    DomainError
        When a value lies outside its range, an observation is given twice, or a sprint has no date.
    """

    name: str = field(metadata=declare(Kind.TEXT, "printed as it is", example='"Wren"'))
    height_m: float = field(
        metadata=declare(
            Kind.BODY, "stature", 1.0, 2.3, example='"1.66 m"', also_written=('"5 ft 5 1/2 in"',)
        )
    )
    leg_m: float | None = keyed(
        None,
        Kind.BODY,
        "trochanter height, where it was measured",
        0.4,
        1.3,
        example='"85 cm"',
        also_written=('"33 1/2 in"',),
    )
    sex: Sex | None = keyed(
        None,
        Kind.WORD,
        "for the leg estimate and the cap of a guessed speed",
        words=Sex,
        also=dict.fromkeys(("female", "woman", "girl"), Sex.FEMALE)
        | dict.fromkeys(("male", "man", "boy"), Sex.MALE),
    )
    age_years: float | None = keyed(
        None, Kind.YEARS, "for growth and the cap of a guess", 5.0, 100.0
    )
    born: date | None = keyed(None, Kind.DATE, "day of birth; tells the age on the plan's date")
    level: Standard | None = keyed(None, Kind.WORD, "caps a guessed speed", words=Standard)
    top_speed_mps: float | None = keyed(
        None,
        Kind.SPEED,
        "top speed as the coach knows it",
        2.0,
        float(FASTEST_TOP_SPEED_MPS),
        aka=("max_speed", "maximum_speed", "vmax"),
    )
    top_speed_sd_mps: float | None = keyed(
        None, Kind.SPEED, "one SD of it", 0.0, 2.0, what="SD of the top speed"
    )
    time_constant_s: float | None = keyed(
        None,
        Kind.DURATION,
        "time to 63 % of top speed; moves the start mark",
        0.5,
        2.0,
        name="tau",
        what="time constant",
    )
    kept_step_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "the step at top speed that gaps tell of which a coach kept as this athlete's own",
        0.4,
        3.2,
        what="step of the gaps kept",
    )
    first_guess: FirstGuess | None = None
    front_foot: Foot | None = keyed(
        None,
        Kind.WORD,
        "the foot in front on the start mark, always",
        words=Foot,
        aka=("start_foot", "lead_foot"),
    )
    takeoff_foot: Foot | None = keyed(
        None, Kind.WORD, "the foot a jumper takes off from", words=Foot, aka=JUMPING_FOOT
    )
    flying: FlyingTime | None = keyed(None, Kind.TABLE, "a time over a zone entered running")
    splits: Splits | None = keyed(None, Kind.TABLE, "times from a start; they count before flying")
    sprints: tuple[Splits, ...] = keyed(
        (),
        Kind.TABLES,
        "times from a start on a day, as in splits; the newest day counts, progress tells each",
        name="sprint",
        most=500,
    )
    at_board: tuple[BoardMisses, ...] = keyed(
        (),
        Kind.TABLES,
        "where the foot came down at the board on a day; tells by how much to slide all marks",
        name="takeoff",
        most=500,
    )
    observations: tuple[Observation, ...] = keyed(
        (), Kind.TABLES, "a run that teaches the step, the speed or both", name="run", most=500
    )

    def __post_init__(self) -> None:
        """Refuse an athlete that cannot be."""
        if not self.name.strip() or len(self.name) > NAME_LENGTH:
            raise DomainError(
                f"the name has {len(self.name)} characters; it must have between 1 and "
                f"{NAME_LENGTH} and not be blank"
            )
        check_keys(self)
        if self.leg_m is not None:
            require_range("leg over height", self.leg_m / self.height_m, *LEG_SHARES, "")
        if any(each.date is None for each in self.sprints):
            raise DomainError(
                "one of several sprints has no date; add it, such as date = 2026-03-04, so that "
                "the newest counts"
            )
        seen: set[Observation] = set()
        for observation in self.observations:
            if observation in seen:
                raise DomainError(
                    f"the observation of {observation.date.isoformat()} is given twice; "
                    "one run teaches once, take one of them out"
                )
            seen.add(observation)

    def splits_by_day(self) -> list[tuple[date | None, tuple[Splits, ...]]]:
        """Return the split times of each day, the newest day first, those without one last."""
        days: dict[date | None, list[Splits]] = {}
        for each in (*self.sprints, *((self.splits,) if self.splits else ())):
            days.setdefault(each.date, []).append(each)
        newest = sorted(days, key=lambda day: day or date.min, reverse=True)
        return [(day, tuple(days[day])) for day in newest]

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
