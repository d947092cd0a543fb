"""What other programs may count on; every other module is private and may change any day.

Athlete to marks::

    from wicketlay.api import Athlete, Plan, Strip, WicketRun, solve

    wren = Athlete(name="Wren", height_m=1.66, top_speed_mps=7.9)
    run = WicketRun(speed_share=0.92, wickets=10)
    plan = Plan(title="Mine", athletes=(wren,), drill=run, ground=Strip())
    (laying,) = solve(plan).layings
    print([(mark.id, round(mark.along_m, 2)) for mark in laying.layout.marks])

All is in SI, the unit at the end of each name; values are frozen, made by keyword, and changed by
`dataclasses.replace`. What cannot be is refused with a `WicketlayError` when it is made; what had
better not be laid out is a `Finding`, and `Solved.may_lay` says whether a laying has a stop. Heed
it: the marks of one that must not be laid out are there all the same.

A name listed here stays for as long as the first figure of the version does, as do its parameters
and fields; new ones are optional. One that is to go is told by a `FutureWarning`, which Python
shows, for at least one release before. The JSON keeps to `schema()`, whose number rises whenever a
reader of the old one would misread the new.
"""

from __future__ import annotations

from wicketlay.drills import AccelerationMarks, BrokenRun, FlyingSegment, TakeoffRun, WicketRun
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.kit import Kit
from wicketlay.drills.marks import Layout, Mark, MarkKind
from wicketlay.errors import WicketlayError
from wicketlay.export import as_csv, as_json, as_table, as_text, document, schema
from wicketlay.findings import Finding, Level
from wicketlay.ground.placing import Place
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeSpec
from wicketlay.ground.track import Track
from wicketlay.plan import Adjustment, Plan, SessionPlan, StagePlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import (
    Athlete,
    FirstGuess,
    FlyingTime,
    Foot,
    Observation,
    Sex,
    Splits,
)
from wicketlay.solve import Laying, Solved, solve
from wicketlay.sources import Standard as AthleteLevel
from wicketlay.wording import word

__all__ = [
    "AccelerationMarks",
    "Adjustment",
    "Athlete",
    "AthleteLevel",
    "BrokenRun",
    "CadenceRule",
    "CadenceTarget",
    "Finding",
    "FirstGuess",
    "FlyingSegment",
    "FlyingTime",
    "Foot",
    "Kit",
    "Laying",
    "Layout",
    "Level",
    "Mark",
    "MarkKind",
    "Observation",
    "Place",
    "Plan",
    "Runway",
    "SessionPlan",
    "Sex",
    "Solved",
    "Splits",
    "StagePlan",
    "Strip",
    "TakeoffRun",
    "TapeSpec",
    "Track",
    "WicketRun",
    "WicketlayError",
    "as_csv",
    "as_json",
    "as_table",
    "as_text",
    "document",
    "load",
    "schema",
    "solve",
    "word",
]
