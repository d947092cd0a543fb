"""Plans of the golden set, told here in full: no file in layouts/ can change them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.kit import Kit
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.ground.placing import Direction, Place
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeSpec, Tick
from wicketlay.ground.track import RadiusOf, Track
from wicketlay.plan import Plan, SessionPlan, StagePlan
from wicketlay.running.athlete import Athlete, Foot, Observation, Sex
from wicketlay.solve import solve

RECORD = tuple(
    Observation(date=dt.date(2026, 2, day), distance_m=20.0, time_s=time, steps=steps)
    for day, time, steps in ((3, 2.52, 10.4), (17, 2.49, 10.3), (24, 2.46, 10.2))
)
WOMAN = Athlete(
    name="Mira",
    height_m=1.66,
    sex=Sex.FEMALE,
    top_speed_mps=7.9,
    time_constant_s=1.05,
    front_foot=Foot.LEFT,
    takeoff_foot=Foot.LEFT,
    observations=RECORD,
)
TRACK = Track(
    name="north track",
    radius_of=RadiusOf.KERB,
    start_extension_m=28.6,
    run_out_m=30.0,
)
STRAIGHT = Place(line="home straight", lanes=(4,), landmark="finish", mark="w1", offset_m=-50.0)
PLAN = Plan(
    title="Golden",
    athletes=(WOMAN,),
    drill=WicketRun(speed_share=0.95, wickets=12),
    ground=TRACK,
    place=STRAIGHT,
    session=SessionPlan(efforts=4, recovery_s=150.0),
)
SQUAD = tuple(
    replace(WOMAN, name=name, top_speed_mps=speed, observations=record)
    for name, speed, record in (
        ("Mira", 7.9, RECORD),
        ("Zażółć Gęś", 8.0, ()),
        ("Ґанна & Ωραία", 8.4, ()),
        ("Nguyễn Thị Hằng", 7.2, ()),
    )
)
FEET = TapeSpec(tick=Tick.HALF_INCH)
PLANS = {
    "wickets": PLAN,
    "two starts": replace(
        PLAN,
        athletes=SQUAD[:2],
        drill=WicketRun(speed_share=0.95, wickets=14),
        session=SessionPlan(waves=1),
    ),
    "feet": replace(PLAN, tape=FEET),
    "bend": replace(
        PLAN,
        place=Place(line="second bend", lanes=(3,), mark="w1", offset_m=55.0),
    ),
    "take-off run": replace(
        PLAN,
        drill=TakeoffRun(speed_share=0.9, approach_steps=14, takeoff_foot=Foot.LEFT),
        ground=Runway(),
        place=Place(),
    ),
    "flying": replace(
        PLAN, drill=FlyingSegment(), place=replace(STRAIGHT, mark="gate1", offset_m=-50.0)
    ),
    "both ways": replace(
        PLAN,
        drill=WicketRun(speed_share=0.95, wickets=10, gaps=GapRule.EVEN),
        kit=Kit(falls_both_ways=True),
        place=replace(STRAIGHT, offset_m=-45.0, direction=Direction.BOTH),
    ),
    "free zero": replace(PLAN, ground=Strip(), place=Place()),
    "stages": replace(PLAN, stages=StagePlan(from_share=0.88, to_share=0.97, count=4, now=2)),
    "squad": replace(
        PLAN,
        athletes=SQUAD,
        drill=WicketRun(speed_share=0.92, wickets=10),
        place=replace(STRAIGHT, lanes=(3, 4)),
        kit=Kit(wickets=24),
        session=SessionPlan(efforts=3, waves=2, length_s=2400.0, assistants=2),
    ),
}


def golden(name: str):
    """Return a plan of the set, solved."""
    return solve(PLANS[name])
