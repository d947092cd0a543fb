"""The other tables of a plan: place, kit, tape, session, stages and the rest."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from wicketlay.declared import Key, Kind, keys_of
from wicketlay.drills.kit import Kit
from wicketlay.ground.placed import Place
from wicketlay.ground.readings import TapeSpec, Tick
from wicketlay.keys.records import Entry, Record, UnfitAtError, entries_of, entry
from wicketlay.plan import Adjustment, SessionPlan, StagePlan
from wicketlay.sources import Judgement, default_of
from wicketlay.stations import Shared, StationKeys

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.records import Values

KIT = Record(noun="kit", make=Kit, entries=entries_of(Kit))


def _lanes(values: Values) -> Values:
    if "lane" not in values:
        lanes = values.get("lanes")
        if lanes is None:
            return {}
        if len(set(lanes)) != len(lanes):
            raise UnfitAtError("lanes", "names a lane twice", remedy="name each lane once")
        return {"lanes": lanes}
    if "lanes" in values:
        raise UnfitAtError("lane", "stands beside lanes", remedy="keep one of them")
    return {"lanes": (values["lane"],)}


def _lanes_spread(place: Place, raw: Mapping[str, object]) -> Values:
    if "lane" in raw and len(place.lanes) == 1:
        return {"lane": place.lanes[0], "lanes": None}
    default = place.lanes == (1,) and "lanes" not in raw
    return {"lane": None, "lanes": None if default else place.lanes}


_LANES = keys_of(Place)["lanes"]
PLACE = Record(
    noun="place",
    make=Place,
    entries=entries_of(
        Place,
        instead={
            "lanes": (
                entry(_LANES, default=(1,)),
                entry(
                    dataclasses.replace(
                        _LANES, name="lane", does="instead of lanes, where it is one", members=None
                    )
                ),
            )
        },
    ),
    gather=_lanes,
    spread=_lanes_spread,
)

_DEFAULT_TICK = {"metric": Tick.CM_1, "feet": Tick.HALF_INCH}


def _tick(values: Values) -> Values:
    unit, tick = values.get("unit"), values.get("round")
    if tick is None:
        return {} if unit is None else {"tick": _DEFAULT_TICK[unit]}
    if unit is not None and (unit == "metric") is not tick.metric:
        allowed = ", ".join(f'"{each}"' for each in Tick if each.metric == (unit == "metric"))
        raise UnfitAtError(
            "round",
            f'"{tick.value}" does not go with unit = "{unit}"',
            allowed=allowed,
            remedy="change one of them",
        )
    return {"tick": tick}


def _tick_spread(tape: TapeSpec, raw: Mapping[str, object]) -> Values:
    unit = "metric" if tape.tick.metric else "feet"
    usual = _DEFAULT_TICK[unit] is tape.tick
    return {
        "unit": unit if "unit" in raw or unit == "feet" else None,
        "round": tape.tick if "round" in raw or not usual else None,
    }


_UNIT = Key(
    kind=Kind.WORD,
    does="what the tape reads in, and all that is printed",
    name="unit",
    words={"metric": "metric", "feet": "feet"},
)
TAPE = Record(
    noun="tape",
    make=TapeSpec,
    entries=entries_of(
        TapeSpec,
        instead={
            "tick": (
                entry(_UNIT, default="metric"),
                entry(keys_of(TapeSpec)["tick"], default=Tick.CM_1),
            )
        },
    ),
    gather=_tick,
    spread=_tick_spread,
)
SESSION = Record(noun="session", make=SessionPlan, entries=entries_of(SessionPlan))


def _now(values: Values) -> Values:
    if values.get("now", 1) > values["count"]:
        raise UnfitAtError(
            "now", f"stage {values['now']} is beyond the last", allowed=f"1 to {values['count']}"
        )
    return {}


STAGES = Record(noun="series of stages", make=StagePlan, entries=entries_of(StagePlan), gather=_now)
ADJUST = Record(noun="adjustment", make=Adjustment, entries=entries_of(Adjustment))

_BY_UNIT = {
    "m": Kind.LENGTH,
    "s": Kind.DURATION,
    "m/s": Kind.SPEED,
    "steps/s": Kind.CADENCE,
    "1/month": Kind.SHARE,
}


def _judged(each: dataclasses.Field[Any]) -> Entry:
    """Return how a constant of our judgement is written, by its unit.

    A share is a percentage; a pure number that can be above 2 is a count.
    """
    constant = default_of(each)
    low, high = each.metadata["low"], each.metadata["high"]
    kind = _BY_UNIT.get(constant.unit, Kind.NUMBER)
    if constant.unit == "1":
        kind = Kind.SHARE if high <= 2 else Kind.COUNT
    told = Key(kind=kind, does=constant.meaning, low=low, high=high, name=each.name)
    return dataclasses.replace(entry(told, default=constant), attr=each.name)


JUDGEMENT = Record(
    noun="judgement",
    make=Judgement,
    entries=tuple(_judged(each) for each in dataclasses.fields(Judgement)),
)

SHARED = Record(noun="practice", make=Shared, entries=entries_of(Shared))
STATION = Record(noun="station", make=StationKeys, entries=entries_of(StationKeys))
MOST_STATIONS = 20
"""Stations of one practice."""
