"""The keys of each drill, one record a kind. A new drill is a record and a line in DRILLS."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wicketlay import units
from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.takeoff_run import APPROACH_STEPS, TakeoffRun
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.plan_file.codecs import (
    Count,
    Many,
    Number,
    UnfitError,
    cadence,
    choice,
    length,
    percent,
    quoted,
)
from wicketlay.plan_file.problems import shown_value
from wicketlay.plan_file.records import Entry, Record, UnfitAtError
from wicketlay.running.athlete import Foot
from wicketlay.running.touchdowns import StartKind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan_file.codecs import Value
    from wicketlay.plan_file.records import Values

_STEPS_PER_S = cadence(2.0, 6.0)
_SHARE = percent(0.7, 1.3)
_OF = {"of top": CadenceRule.OF_TOP, "of natural": CadenceRule.OF_NATURAL}


class Cadence:
    """A cadence to aim at: natural, steps a second, or a share of top or natural cadence."""

    _ALLOWED = '"98 % of top", "102 % of natural", "4.3 steps/s" or "natural"'

    def read(self, value: object) -> CadenceTarget:
        """Return what the text asks for."""
        if not isinstance(value, str):
            text = shown_value(value)
            raise UnfitError(
                f"{text} is not a cadence", allowed=self._ALLOWED, remedy="write it in quotes"
            )
        plain = " ".join(value.split())
        if plain == "natural":
            return CadenceTarget()
        for ending, rule in _OF.items():
            if plain.endswith(f" {ending}"):
                share = _SHARE.read(plain.removesuffix(f" {ending}"))
                return CadenceTarget(rule=rule, value=share)
        if plain.endswith("%"):
            raise UnfitError(
                f"{shown_value(value)} does not say of what",
                remedy=f'write "{plain} of top" or "{plain} of natural"',
            )
        try:
            return CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=_STEPS_PER_S.read(value))
        except UnfitError as error:
            allowed = error.allowed or self._ALLOWED
            raise UnfitError(error.message, allowed=allowed, remedy=error.remedy) from None

    def write(self, value: Value, like: object = None) -> str:
        """Return the target as a TOML string."""
        target: CadenceTarget = value
        old = like if isinstance(like, str) else None
        if target.rule is CadenceRule.NATURAL:
            return quoted("natural")
        if target.rule is CadenceRule.STEPS_PER_S:
            return quoted(units.write_cadence(target.value, old))
        return quoted(f"{units.write_percent(target.value)} {target.rule.value}")


_STEPS = re.compile(r"([0-9]{1,3})[ -]?(?:steps?|strides?)(?: approach| run-on)?")


class Steps:
    """A whole number of steps, bare or in words; strides are taken for steps."""

    def __init__(self, low: int, high: int) -> None:
        self.count = Count(low=low, high=high)

    def read(self, value: object) -> int:
        """Return how many."""
        if not isinstance(value, str):
            return self.count.read(value)
        found = _STEPS.fullmatch(" ".join(value.casefold().split()))
        if found is None:
            raise UnfitError(
                f"{shown_value(value)} is not a number of steps",
                remedy='write it such as "14 steps"',
            )
        return self.count.read(int(found.group(1)))

    def write(self, value: Value, like: object = None) -> str:
        """Return the number as TOML, bare if it was."""
        return str(value) if isinstance(like, int) else quoted(f"{value} steps")


_RUN_ON_LENGTH = length(3.0, 100.0)
_RUN_ON_STEPS = Steps(3, 60)


class RunOn:
    """A run-on in metres (read as a float) or in steps (read as a whole number)."""

    def read(self, value: object) -> float | int:
        """Return metres as a float, steps as an int."""
        if isinstance(value, int) and not isinstance(value, bool):
            raise UnfitError(f"{value} has no unit", remedy=f'write "{value} m" or "{value} steps"')
        if isinstance(value, str) and _STEPS.fullmatch(" ".join(value.casefold().split())):
            return _RUN_ON_STEPS.read(value)
        return _RUN_ON_LENGTH.read(value)

    def write(self, value: Value, like: object = None) -> str:
        """Return the run-on as a TOML string."""
        if isinstance(value, int):
            return quoted(f"{value} steps")
        return _RUN_ON_LENGTH.write(value, like)


def _speed(*, required: bool) -> Entry:
    return Entry(
        key="speed",
        codec=percent(0.5, 1.0),
        attr="speed_share",
        required=required,
        example='"95 %"',
    )


_START = Entry(key="start", codec=choice(StartKind), attr="start")
_FIRST_FOOT = Entry(key="first_foot", codec=choice(Foot), attr="first_foot")
_GAP_CHANGE = Entry(key="gap_change", codec=percent(-0.2, 0.2, signed=True), attr="gap_change")
_CADENCE = Entry(key="cadence", codec=Cadence(), attr="cadence")


def _wicket_run(values: Values) -> Values:
    if "section" in values and "wickets" in values:
        raise UnfitAtError(
            "wickets", "stands beside section", remedy="keep one of them: section or wickets"
        )
    if "section" not in values and "wickets" not in values:
        message = "the wicket run has neither section nor wickets"
        raise UnfitError(message, remedy='add section = "25 m" or wickets = 12')
    run_on = values.get("run_on")
    return {"run_on_steps" if isinstance(run_on, int) else "run_on_m": run_on}


def _wicket_run_spread(spec: WicketRun, _raw: Mapping[str, object]) -> Values:
    steps = spec.run_on_steps
    return {"run_on": spec.run_on_m if steps is None else steps}


WICKET_RUN = Record(
    noun="wicket run",
    make=WicketRun,
    constant={"kind": "wicket-run"},
    entries=(
        _speed(required=True),
        _CADENCE,
        Entry(key="section", codec=length(3.0, 100.0), attr="section_m"),
        Entry(key="wickets", codec=Count(low=2, high=60), attr="wickets"),
        Entry(key="gaps", codec=choice(GapRule), attr="gaps"),
        Entry(key="group", codec=Count(low=2, high=60), attr="group"),
        _FIRST_FOOT,
        _START,
        Entry(key="run_on", codec=RunOn()),
        _GAP_CHANGE,
    ),
    gather=_wicket_run,
    spread=_wicket_run_spread,
)

TAKEOFF_RUN = Record(
    noun="take-off run",
    make=TakeoffRun,
    constant={"kind": "takeoff-run"},
    entries=(
        _speed(required=True),
        Entry(key="wickets", codec=Count(low=2, high=20), attr="wickets"),
        Entry(key="free", codec=Steps(2, 12), attr="free_steps"),
        Entry(key="approach", codec=Steps(*APPROACH_STEPS), attr="approach_steps"),
        _CADENCE,
        Entry(key="takeoff_foot", codec=choice(Foot), attr="takeoff_foot"),
        _START,
        Entry(key="penultimate", codec=Number(low=0.9, high=1.4), attr="penultimate_ratio"),
        Entry(key="toe", codec=length(0.0, 0.5, unit="cm"), attr="toe_behind_line_m"),
        Entry(key="room", codec=length(5.0, 120.0), attr="room_m"),
        _GAP_CHANGE,
    ),
)

FLYING = Record(
    noun="flying segment",
    make=FlyingSegment,
    constant={"kind": "flying"},
    entries=(
        _speed(required=False),
        Entry(key="zone", codec=length(5.0, 60.0), attr="zone_m"),
        Entry(key="run_on", codec=length(5.0, 100.0), attr="run_on_m"),
        _START,
    ),
)

BROKEN_RUN = Record(
    noun="broken run",
    make=BrokenRun,
    constant={"kind": "broken-run"},
    entries=(
        Entry(
            key="parts",
            codec=Many(member=length(5.0, 100.0), least=2, most=12),
            attr="parts_m",
        ),
        _speed(required=False),
        Entry(key="easy", codec=percent(0.5, 1.0), attr="easy_share"),
        _START,
    ),
)

ACCELERATION = Record(
    noun="acceleration run",
    make=AccelerationMarks,
    constant={"kind": "acceleration"},
    entries=(
        Entry(key="steps", codec=Steps(3, 30), attr="steps"),
        _speed(required=False),
        _FIRST_FOOT,
        _START,
    ),
)

DRILLS = {
    record.constant["kind"]: record
    for record in (WICKET_RUN, TAKEOFF_RUN, FLYING, BROKEN_RUN, ACCELERATION)
}
"""Kind as the file spells it, to its record."""
