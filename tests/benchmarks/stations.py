"""Thirty athletes on six stations of one practice, against their plans solved one by one.

    python tests/benchmarks/stations.py

A solves the practice: every plan, and what the stations do to each other. B solves the same plans
and nothing else. Both run in this process, on plans that were not solved before.
"""

from __future__ import annotations

from dataclasses import replace

import harness

from wicketlay.drills.wicket_run import WicketRun
from wicketlay.ground.placing import Place
from wicketlay.ground.track import Track
from wicketlay.plan import Plan, SessionPlan
from wicketlay.running.athlete import Athlete
from wicketlay.solve import solve
from wicketlay.stations import Practice, Shared, Station, solve_practice

AIM = 1.25
STATIONS, ATHLETES = 6, 5
_TRACK = Track(start_extension_m=28.6, run_out_m=30.0)


def practice() -> Practice:
    """Return six stations of five athletes over wickets, a lane each."""
    plans = [
        Plan(
            title=f"Station {number + 1}",
            athletes=tuple(
                Athlete(
                    name=f"{number + 1}{letter}",
                    height_m=1.58 + 0.05 * place,
                    top_speed_mps=7.4 + 0.4 * place + 0.03 * number,
                    time_constant_s=1.1,
                )
                for place, letter in enumerate("ABCDE"[:ATHLETES])
            ),
            drill=WicketRun(speed_share=0.92, wickets=10),
            ground=_TRACK,
            place=Place(
                line="home straight",
                lanes=(number + 1,),
                landmark="finish",
                mark="w1",
                offset_m=-55.0,
            ),
            session=SessionPlan(efforts=4, waves=2),
        )
        for number in range(STATIONS)
    ]
    return Practice(
        title="Six stations",
        date=None,
        shared=Shared(assistants=STATIONS, length_s=90 * 60.0),
        stations=tuple(Station(plan=plan, begins_s=60.0 * i) for i, plan in enumerate(plans)),
    )


def one_by_one(made: Practice) -> None:
    """Side B: the plans alone, with the hour that is left of the practice."""
    for station in made.stations:
        left_s = (made.shared.length_s or 0.0) - station.begins_s
        solve(replace(station.plan, session=replace(station.plan.session, length_s=left_s)))


def rows(pairs: int = harness.PAIRS) -> list[harness.Row]:
    """Measure and return the line of the table."""
    made = practice()
    together = harness.inside(lambda: [solve_practice(made) for _ in range(5)])
    alone = harness.inside(lambda: [one_by_one(made) for _ in range(5)])
    return [
        harness.row(
            f"a practice of {STATIONS * ATHLETES} athletes on {STATIONS} stations",
            "solved as one / its plans one by one",
            harness.in_turn(together, alone, pairs),
            AIM,
        )
    ]


if __name__ == "__main__":
    harness.settle_down()
    harness.show(rows())
