"""The keys of the other tables of a plan: place, kit, tape, session, stages and the rest."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from wicketlay import units
from wicketlay.drills.kit import Kit
from wicketlay.drills.run_on import SPEED_SHARES
from wicketlay.errors import QuantityError
from wicketlay.ground.placed import Direction, Fit, Place
from wicketlay.ground.readings import TapeClass, TapeLies, TapeSpec, Tick
from wicketlay.plan import (
    GAP_CHANGES,
    SHARE_CHANGES,
    STAGE_COUNTS,
    START_SHIFTS_M,
    TOLERANCES_M,
    WAVES,
    Adjustment,
    SessionPlan,
    StagePlan,
)
from wicketlay.plan_file.codecs import (
    Choice,
    Count,
    Flag,
    Many,
    Number,
    Text,
    UnfitError,
    cadence,
    choice,
    duration,
    length,
    percent,
    quoted,
    speed,
)
from wicketlay.plan_file.problems import shown_value
from wicketlay.plan_file.records import Entry, Record, UnfitAtError
from wicketlay.practice.session import ASSISTANTS, EFFORTS, LATE_S, LENGTHS_S, RECOVERIES_S
from wicketlay.sources import Judgement, default_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from wicketlay.plan_file.codecs import Codec, Value
    from wicketlay.plan_file.records import Values

KIT = Record(
    noun="kit",
    make=Kit,
    entries=(
        Entry(key="wickets", codec=Count(low=0, high=200), attr="wickets"),
        Entry(key="wicket_width", codec=length(0.1, 1.5, unit="cm"), attr="wicket_width_m"),
        Entry(key="wicket_height", codec=length(0.005, 0.6, unit="cm"), attr="wicket_height_m"),
        Entry(key="falls_both_ways", codec=Flag(), attr="falls_both_ways"),
    ),
)

_LANE = Count(low=1, high=20)


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


PLACE = Record(
    noun="place",
    make=Place,
    entries=(
        Entry(key="line", codec=Text(), attr="line"),
        Entry(key="lanes", codec=Many(member=_LANE, least=1, most=20)),
        Entry(key="lane", codec=_LANE),
        Entry(key="landmark", codec=Text(), attr="landmark"),
        Entry(key="mark", codec=Text(), attr="mark"),
        Entry(key="offset", codec=length(-1000.0, 1000.0, signed=True), attr="offset_m"),
        Entry(key="direction", codec=choice(Direction), attr="direction"),
        Entry(key="slide", codec=length(-1000.0, 1000.0, signed=True, unit="cm"), attr="slide_m"),
        Entry(key="fit", codec=choice(Fit), attr="fit"),
    ),
    gather=_lanes,
    spread=_lanes_spread,
)


class Temperature:
    """A temperature with its scale."""

    def read(self, value: object) -> float:
        """Return the temperature [degC]."""
        allowed = "-30 C to 60 C"
        if not isinstance(value, str):
            raise UnfitError(
                f"{shown_value(value)} has no scale",
                allowed=allowed,
                remedy=f'write "{shown_value(value)} C"'
                if isinstance(value, (int, float)) and not isinstance(value, bool)
                else 'write it such as "28 C"',
            )
        try:
            found = units.parse_temperature(value)
        except QuantityError as error:
            message, _, remedy = str(error).partition("; ")
            raise UnfitError(message, remedy=remedy) from None
        if not -30.0 <= found <= 60.0:
            size = "low" if found < -30 else "high"
            raise UnfitError(f"{shown_value(value)} is too {size}", allowed=allowed)
        return found

    def write(self, value: Value, like: object = None) -> str:
        """Return the temperature as a TOML string, in the scale it had."""
        return quoted(units.write_temperature(value, like if isinstance(like, str) else None))


_DEFAULT_TICK = {"metric": Tick.CM_1, "feet": Tick.HALF_INCH}


def _tick(values: Values) -> Values:
    unit, tick = values.get("unit"), values.get("round")
    if tick is None:
        return {} if unit is None else {"tick": _DEFAULT_TICK[unit]}
    if unit is not None and (unit == "metric") is not tick.metric:
        allowed = '"1 cm"' if unit == "metric" else '"1/2 in", "1/4 in"'
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


TAPE = Record(
    noun="tape",
    make=TapeSpec,
    entries=(
        Entry(key="zero", codec=Text(), attr="zero"),
        Entry(key="length", codec=length(2.0, 200.0), attr="length_m"),
        Entry(key="unit", codec=Choice(words={"metric": "metric", "feet": "feet"})),
        Entry(key="round", codec=choice(Tick)),
        Entry(key="class", codec=choice(TapeClass), attr="tape_class"),
        Entry(key="lies", codec=choice(TapeLies), attr="lies"),
        Entry(key="temperature", codec=Temperature(), attr="temperature_c"),
    ),
    gather=_tick,
    spread=_tick_spread,
)

SESSION = Record(
    noun="session",
    make=SessionPlan,
    entries=(
        Entry(key="efforts", codec=Count(low=EFFORTS[0], high=EFFORTS[1]), attr="efforts"),
        Entry(key="recovery", codec=duration(*RECOVERIES_S, unit="min"), attr="recovery_s"),
        Entry(key="waves", codec=Count(low=WAVES[0], high=WAVES[1]), attr="waves"),
        Entry(key="length", codec=duration(*LENGTHS_S, unit="min"), attr="length_s"),
        Entry(
            key="assistants", codec=Count(low=ASSISTANTS[0], high=ASSISTANTS[1]), attr="assistants"
        ),
    ),
)


def _now(values: Values) -> Values:
    if values.get("now", 1) > values["count"]:
        raise UnfitAtError(
            "now", f"stage {values['now']} is beyond the last", allowed=f"1 to {values['count']}"
        )
    return {}


STAGES = Record(
    noun="series of stages",
    make=StagePlan,
    entries=(
        Entry(
            key="from",
            codec=percent(*SPEED_SHARES),
            attr="from_share",
            required=True,
            example='"88 %"',
        ),
        Entry(
            key="to", codec=percent(*SPEED_SHARES), attr="to_share", required=True, example='"97 %"'
        ),
        Entry(
            key="count",
            codec=Count(low=STAGE_COUNTS[0], high=STAGE_COUNTS[1]),
            attr="count",
            required=True,
            example="4",
        ),
        Entry(key="now", codec=Count(low=1, high=STAGE_COUNTS[1]), attr="now"),
        Entry(key="hold", codec=Text(), attr="hold"),
        Entry(key="tolerance", codec=length(*TOLERANCES_M, unit="cm"), attr="tolerance_m"),
        Entry(
            key="cadence",
            codec=Choice(words={"natural": True, "share": False}),
            attr="natural_cadence",
        ),
    ),
    gather=_now,
)

ADJUST = Record(
    noun="adjustment",
    make=Adjustment,
    entries=(
        Entry(key="athlete", codec=Text(), attr="athlete", required=True, example='"Wren"'),
        Entry(key="gaps", codec=percent(*GAP_CHANGES, signed=True), attr="gap_change"),
        Entry(key="speed", codec=percent(*SHARE_CHANGES, signed=True), attr="speed_change"),
        Entry(key="cadence", codec=percent(*SHARE_CHANGES, signed=True), attr="cadence_change"),
        Entry(
            key="start",
            codec=length(*START_SHIFTS_M, signed=True, unit="cm"),
            attr="start_shift_m",
        ),
        Entry(key="absent", codec=Flag(), attr="absent"),
        Entry(key="late", codec=duration(*LATE_S, unit="min"), attr="late_s"),
    ),
)


_BY_UNIT: dict[str, Callable[[float, float], Codec]] = {
    "m": length,
    "s": duration,
    "m/s": speed,
    "steps/s": cadence,
    "1/month": percent,
}


def _judged(unit: str, low: float, high: float) -> Codec:
    """Return how a constant of our judgement is written, by its unit.

    A share is a percentage; a pure number that can be above 2 is a count.
    """
    if unit == "1":
        return percent(low, high) if high <= 2 else Count(low=round(low), high=round(high))
    by_unit = _BY_UNIT.get(unit)
    return Number(low=low, high=high) if by_unit is None else by_unit(low, high)


JUDGEMENT = Record(
    noun="judgement",
    make=Judgement,
    entries=tuple(
        Entry(
            key=each.name,
            codec=_judged(default_of(each).unit, each.metadata["low"], each.metadata["high"]),
            attr=each.name,
        )
        for each in dataclasses.fields(Judgement)
    ),
)
