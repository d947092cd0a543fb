"""What a key left out of a plan means, drill by drill."""

import dataclasses

import pytest

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    Kit,
    TakeoffRun,
    WicketRun,
)
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.wicket_run import GapRule
from wicketlay.running.touchdowns import StartKind

NATURAL = CadenceTarget(rule=CadenceRule.NATURAL, value=1.0)
STANDING = {"start": StartKind.STANDING}
LEFT_OUT = [
    (
        WicketRun(speed_share=0.9, wickets=9),
        {"cadence": NATURAL, "gaps": GapRule.FOLLOW, "group": 4, "gap_change": 0.0, **STANDING},
    ),
    (
        TakeoffRun(speed_share=0.9),
        {"wickets": 4, "cadence": NATURAL, "gap_change": 0.0, **STANDING},
    ),
    (FlyingSegment(), {"speed_share": 1.0, "zone_m": 20.0, **STANDING}),
    (BrokenRun(), {"parts_m": (20.0, 20.0, 20.0), "speed_share": 1.0, **STANDING}),
    (AccelerationMarks(), {"steps": 10, "speed_share": 1.0, **STANDING}),
    (
        Kit(),
        {
            "wickets": 14,
            "wicket_width_m": 0.60,
            "wicket_height_m": 0.15,
            "falls_both_ways": False,
        },
    ),
]


@pytest.mark.parametrize(("made", "filled"), LEFT_OUT, ids=lambda each: type(each).__name__)
def test_a_key_left_out_of_a_plan_means_what_it_always_meant(made, filled):
    """A plan file of an earlier season must lay what it laid then."""
    said = {field.name: getattr(made, field.name) for field in dataclasses.fields(made)}
    told = {name for name in ("speed_share", "wickets") if name not in filled}
    assert {key: value for key, value in said.items() if key not in told} == {
        **dict.fromkeys(said.keys() - told),
        **filled,
    }
