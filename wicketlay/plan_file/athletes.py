"""The keys of an athlete, in a squad file or in a plan."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING

from wicketlay.plan_file.codecs import (
    Choice,
    Count,
    Date,
    Many,
    Number,
    Text,
    UnfitError,
    cadence,
    choice,
    duration,
    height,
    held,
    in_reason,
    length,
    percent,
    quoted,
    speed,
)
from wicketlay.plan_file.problems import shown_value
from wicketlay.plan_file.records import Entry, Record, Sub, SubList, UnfitAtError
from wicketlay.running.facts import (
    FACT_RANGES,
    Athlete,
    ClockStart,
    FirstGuess,
    FlyingTime,
    Foot,
    Observation,
    Sex,
    Splits,
    Timing,
)
from wicketlay.sources import Level

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan_file.codecs import Value
    from wicketlay.plan_file.records import Values

MOST_ATHLETES = 1000


def _ends(fact: str) -> tuple[float, float]:
    """Return the range of a fact; the facts themselves hold to the same one."""
    return FACT_RANGES[fact].low, FACT_RANGES[fact].high


_RUNS = Count(low=int(_ends("runs")[0]), high=int(_ends("runs")[1]))
_STEPS = Number(low=_ends("observed_steps")[0], high=_ends("observed_steps")[1])
_FPS = Number(low=_ends("fps")[0], high=_ends("fps")[1])
_MOST_RUNS = 500
_SEX = Choice(
    words={member.value: member for member in Sex},
    also=dict.fromkeys(("female", "woman", "girl"), Sex.FEMALE)
    | dict.fromkeys(("male", "man", "boy"), Sex.MALE),
)


class Age:
    """Years, as a whole number or as text ("12 years")."""

    _TEXT = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,20})?) ?(?:years?|y)")

    def read(self, value: object) -> float:
        """Return the age [years]."""
        low, high = _ends("age_years")
        allowed = f"{low:g} to {high:g} years"
        years: float | None = None
        if isinstance(value, str):
            found = self._TEXT.fullmatch(value.strip().casefold())
            years = None if found is None else float(found.group(1).replace(",", "."))
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            years = value if in_reason(value) else None
        if years is None:
            raise UnfitError(
                f"{shown_value(value)} is not an age",
                allowed=allowed,
                remedy='write it such as 12 or "12 years"',
            )
        held(years, low, high, shown_value(value), allowed)
        return float(years)

    def write(self, value: Value, like: object = None) -> str:
        """Return the age as TOML: a whole number where it was one and is one."""
        whole = float(value).is_integer()
        if whole and not isinstance(like, str):
            return str(int(value))
        return quoted(f"{int(value) if whole else repr(float(value))} years")


def _splits(values: Values) -> Values:
    for key in ("distances", "times"):
        row = values[key]
        if any(b <= a for a, b in itertools.pairwise(row)):
            raise UnfitAtError(key, f"{key} do not rise", remedy="write them in running order")
    if len(values["distances"]) != len(values["times"]):
        raise UnfitAtError(
            "times",
            f"has {len(values['times'])} times for {len(values['distances'])} distances",
            remedy="write one time for each distance",
        )
    if "reaction" in values and values.get("start") is not ClockStart.GUN:
        raise UnfitAtError(
            "reaction",
            "is for times from a gun",
            remedy='write start = "gun", or take it out',
        )
    return {}


SPLITS = Record(
    noun="splits table",
    make=Splits,
    entries=(
        Entry(
            key="distances",
            codec=Many(member=length(*_ends("split_m")), least=2),
            attr="distances_m",
            required=True,
            example='["10 m", "20 m"]',
        ),
        Entry(
            key="times",
            codec=Many(member=duration(*_ends("split_s")), least=2),
            attr="times_s",
            required=True,
            example='["1.95 s", "3.20 s"]',
        ),
        Entry(key="start", codec=choice(ClockStart), attr="start"),
        Entry(key="reaction", codec=duration(*_ends("reaction_s")), attr="reaction_s"),
        Entry(key="date", codec=Date(), attr="date"),
    ),
    gather=_splits,
)

FLYING = Record(
    noun="flying time",
    make=FlyingTime,
    entries=(
        Entry(
            key="distance",
            codec=length(*_ends("flying_m")),
            attr="distance_m",
            required=True,
            example='"20 m"',
        ),
        Entry(
            key="time",
            codec=duration(*_ends("flying_s")),
            attr="time_s",
            required=True,
            example='"2.35 s"',
        ),
        Entry(
            key="run_on",
            codec=length(*_ends("flying_run_on_m")),
            attr="run_on_m",
            required=True,
            example='"30 m"',
        ),
        Entry(key="timing", codec=choice(Timing), attr="timing"),
        Entry(key="runs", codec=_RUNS, attr="runs"),
        Entry(key="date", codec=Date(), attr="date"),
    ),
)


def _run(values: Values) -> Values:
    return {"over_marks": bool(values.get("over", False))}


def _run_spread(run: Observation, raw: Mapping[str, object]) -> Values:
    # "free" is what an absent key means; where it is written it stays.
    return {"over": True if run.over_marks else (False if "over" in raw else None)}


RUN = Record(
    noun="run",
    make=Observation,
    entries=(
        Entry(key="date", codec=Date(), attr="date", required=True, example="2026-03-04"),
        Entry(key="distance", codec=length(*_ends("observed_m")), attr="distance_m"),
        Entry(key="time", codec=duration(*_ends("observed_s")), attr="time_s"),
        Entry(key="steps", codec=_STEPS, attr="steps"),
        Entry(key="step", codec=length(*_ends("observed_step_m")), attr="step_m"),
        Entry(key="speed", codec=speed(*_ends("observed_mps")), attr="speed_mps"),
        Entry(key="held", codec=percent(*_ends("held_share")), attr="held_share"),
        Entry(key="run_on", codec=length(*_ends("observed_run_on_m")), attr="run_on_m"),
        Entry(key="over", codec=Choice(words={"wickets": True, "marks": True, "free": False})),
        Entry(key="timing", codec=choice(Timing), attr="timing"),
        Entry(key="runs", codec=_RUNS, attr="runs"),
        Entry(key="fps", codec=_FPS, attr="fps"),
        Entry(key="spread", codec=duration(*_ends("spread_s")), attr="spread_s"),
    ),
    gather=_run,
    spread=_run_spread,
)


def _first_guess(values: Values) -> Values:
    given = {"first_cadence", "first_speed"} & set(values)
    if len(given) == 1:
        (key,) = given
        other = ({"first_cadence", "first_speed"} - given).pop()
        raise UnfitAtError(key, f"has no {other} beside it", remedy=f"add {other}")
    if not given:
        return {}
    guess = FirstGuess(cadence_hz=values["first_cadence"], speed_share=values["first_speed"])
    return {"first_guess": guess}


def _first_guess_spread(athlete: Athlete, _raw: Mapping[str, object]) -> Values:
    guess = athlete.first_guess
    return {
        "first_cadence": None if guess is None else guess.cadence_hz,
        "first_speed": None if guess is None else guess.speed_share,
    }


ATHLETE = Record(
    noun="athlete",
    make=Athlete,
    entries=(
        Entry(key="name", codec=Text(), attr="name", required=True, example='"Wren"'),
        Entry(
            key="height",
            codec=height(*_ends("height_m"), example='"1.66 m" or "5 ft 5 1/2 in"'),
            attr="height_m",
            required=True,
            example='"1.66 m"',
        ),
        Entry(
            key="leg",
            codec=height(*_ends("leg_m"), example='"85 cm" or "33 1/2 in"'),
            attr="leg_m",
        ),
        Entry(key="sex", codec=_SEX, attr="sex"),
        Entry(key="age", codec=Age(), attr="age_years"),
        Entry(key="born", codec=Date(), attr="born"),
        Entry(key="level", codec=choice(Level), attr="level"),
        Entry(key="top_speed", codec=speed(*_ends("top_speed_mps")), attr="top_speed_mps"),
        Entry(key="top_speed_sd", codec=speed(*_ends("top_speed_sd_mps")), attr="top_speed_sd_mps"),
        Entry(key="tau", codec=duration(*_ends("time_constant_s")), attr="time_constant_s"),
        Entry(key="first_cadence", codec=cadence(*_ends("first_cadence_hz"))),
        Entry(key="first_speed", codec=percent(*_ends("first_speed_share"))),
        Entry(key="front_foot", codec=choice(Foot), attr="front_foot"),
        Entry(key="takeoff_foot", codec=choice(Foot), attr="takeoff_foot"),
        Entry(key="flying", codec=Sub(record=FLYING), attr="flying"),
        Entry(key="splits", codec=Sub(record=SPLITS), attr="splits"),
        Entry(key="run", codec=SubList(record=RUN, most=_MOST_RUNS), attr="observations"),
    ),
    gather=_first_guess,
    spread=_first_guess_spread,
)
