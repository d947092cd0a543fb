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
from wicketlay.sources import USUAL_SHARE
from wicketlay.values import replace

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
            "reaction", "is for times from a gun", remedy='write start = "gun", or take it out'
        )
    return {}


_TIMES = entries_of(Splits)
SPLITS = Record(noun="splits table", make=Splits, entries=_TIMES, gather=_splits)
SPRINT = replace(
    SPLITS,
    noun="sprint",
    entries=tuple(replace(each, required=each.required or each.key == "date") for each in _TIMES),
)
"""Splits of one day of several."""
FLYING = Record(noun="flying time", make=FlyingTime, entries=entries_of(FlyingTime))


TAKEOFF = Record(noun="day at the board", make=BoardMisses, entries=entries_of(BoardMisses))


def _run_spread(run: Observation, raw: Mapping[str, object]) -> Values:
    # "free" is what an absent key means; where it is written it stays.
    return {"over": True if run.over_marks else (False if "over" in raw else None)}


RUN = Record(noun="run", make=Observation, entries=entries_of(Observation), spread=_run_spread)


def _first_guess(values: Values) -> Values:
    told = {
        attr: values[key]
        for attr, key in (("speed_share", "first_speed"), ("by", "first_seen"))
        if key in values
    }
    if "first_cadence" in values:
        return {"first_guess": FirstGuess(cadence_hz=values["first_cadence"], **told)}
    for key in ("first_speed", "first_seen"):
        if key in values:
            raise UnfitAtError(
                key,
                "has no first_cadence beside it",
                remedy='add the cadence that was seen, such as first_cadence = "4.1 steps/s"',
            )
    return {}


def _first_guess_spread(athlete: Athlete, raw: Mapping[str, object]) -> Values:
    guess = athlete.first_guess
    if guess is None:
        return dict.fromkeys(("first_seen", "first_cadence", "first_speed"))
    # What an absent key means is not written to a table that left it out; where it is, it stays.
    left_out = "first_cadence" in raw and "first_speed" not in raw
    usual = left_out and guess.speed_share == USUAL_SHARE
    return {
        "first_seen": guess.by if guess.by is not SeenBy.EYE or "first_seen" in raw else None,
        "first_cadence": guess.cadence_hz,
        "first_speed": None if usual else guess.speed_share,
    }


ATHLETE = Record(
    noun="athlete",
    make=Athlete,
    entries=entries_of(
        Athlete,
        tables={
            "flying": FLYING,
            "splits": SPLITS,
            "sprints": SPRINT,
            "observations": RUN,
            "at_board": TAKEOFF,
        },
        instead={"first_guess": unbound(entries_of(FirstGuess), optional=True)},
    ),
    gather=_first_guess,
    spread=_first_guess_spread,
)
