"""The tables of an athlete, in a squad file or in a plan."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from wicketlay.keys.records import Record, UnfitAtError, entries_of, unbound
from wicketlay.running.facts import (
    Athlete,
    BoardMisses,
    ClockStart,
    FirstGuess,
    FlyingTime,
    Observation,
    SeenBy,
    Splits,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.records import Values

MOST_ATHLETES = 1000


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


SPLITS = Record(noun="splits table", make=Splits, entries=entries_of(Splits), gather=_splits)
FLYING = Record(noun="flying time", make=FlyingTime, entries=entries_of(FlyingTime))


TAKEOFF = Record(noun="day at the board", make=BoardMisses, entries=entries_of(BoardMisses))


def _run_spread(run: Observation, raw: Mapping[str, object]) -> Values:
    # "free" is what an absent key means; where it is written it stays.
    return {"over": True if run.over_marks else (False if "over" in raw else None)}


RUN = Record(noun="run", make=Observation, entries=entries_of(Observation), spread=_run_spread)


def _first_guess(values: Values) -> Values:
    given = {"first_cadence", "first_speed"} & set(values)
    if not given and "first_seen" in values:
        raise UnfitAtError(
            "first_seen",
            "has no first_cadence beside it",
            remedy="add first_cadence and first_speed",
        )
    if len(given) == 1:
        (key,) = given
        other = ({"first_cadence", "first_speed"} - given).pop()
        raise UnfitAtError(key, f"has no {other} beside it", remedy=f"add {other}")
    if not given:
        return {}
    guess = FirstGuess(
        cadence_hz=values["first_cadence"],
        speed_share=values["first_speed"],
        by=values.get("first_seen", SeenBy.EYE),
    )
    return {"first_guess": guess}


def _first_guess_spread(athlete: Athlete, raw: Mapping[str, object]) -> Values:
    guess = athlete.first_guess
    by = None if guess is None else guess.by
    return {
        # "eye" is what an absent key means; where it is written it stays.
        "first_seen": by if by is not SeenBy.EYE or "first_seen" in raw else None,
        "first_cadence": None if guess is None else guess.cadence_hz,
        "first_speed": None if guess is None else guess.speed_share,
    }


ATHLETE = Record(
    noun="athlete",
    make=Athlete,
    entries=entries_of(
        Athlete,
        tables={"flying": FLYING, "splits": SPLITS, "observations": RUN, "at_board": TAKEOFF},
        instead={"first_guess": unbound(entries_of(FirstGuess), optional=True)},
    ),
    gather=_first_guess,
    spread=_first_guess_spread,
)
