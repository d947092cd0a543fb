"""Solving 1,000 distinct plans with placing, checks and tape, against the bare array operations.

    python tests/benchmarks/solving.py                      the comparison
    python tests/benchmarks/solving.py program|bare COUNT   one side alone

Both sides import the same and make the same seeded plans. A solves each: as a whole process and
alone with who runs when, alone without it too. B makes for each the arrays its marks need and
nothing else: times, places and speeds of 60 steps, the number of steps, the wickets with their
gaps and ends, one corridor, whether surface and lane contain corridor and wickets, the readings
with their errors, and the marks. Nobody runs at B.
"""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import harness
import numpy as np
import shapely

from wicketlay.drills.marks import AlongM, Mark, MarkKind
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.ground.placing import Place
from wicketlay.ground.track import Track
from wicketlay.plan import Plan
from wicketlay.running.athlete import Athlete, Sex
from wicketlay.solve import Solved, laid_out, solve
from wicketlay.sources import CADENCE_RAMP

if TYPE_CHECKING:
    from collections.abc import Callable

AIM, AIM_GROWTH = 4.0, 10.5
COUNT, MANY = 1_000, 10_000
_TRACK = Track(start_extension_m=28.6, run_out_m=30.0)
_BASE = Plan(
    title="Seeded",
    athletes=(Athlete(name="A", height_m=1.7, top_speed_mps=8.0),),
    drill=WicketRun(speed_share=0.95, wickets=12),
    ground=_TRACK,
    place=Place(line="home straight", lanes=(4,), landmark="finish", mark="w1"),
)


def plans(count: int) -> list[Plan]:
    """Return distinct plans, the same for the same count."""
    seeded = random.Random(7)  # noqa: S311 - a benchmark needs equal numbers, not secret ones
    return [
        replace(
            _BASE,
            athletes=(
                Athlete(
                    name="A",
                    height_m=seeded.uniform(1.5, 1.95),
                    sex=seeded.choice([Sex.FEMALE, Sex.MALE]),
                    top_speed_mps=seeded.uniform(6.5, 11.0),
                    time_constant_s=seeded.uniform(0.9, 1.3),
                ),
            ),
            drill=WicketRun(speed_share=seeded.uniform(0.85, 0.98), wickets=seeded.randint(8, 16)),
            place=replace(_BASE.place, offset_m=-seeded.uniform(55.0, 75.0)),
        )
        for _ in range(count)
    ]


def program(made: list[Plan], whole: Callable[[Plan], Solved] = solve) -> None:
    """Side A: the program's own solving, or a part of it."""
    for plan in made:
        whole(plan)


def bare(made: list[Plan]) -> None:
    """Side B: the array operations alone."""
    surface = shapely.box(-113.0, -4.83, 30.0, -3.66)
    ramp = np.ones(60)
    ramp[: len(CADENCE_RAMP)] = CADENCE_RAMP
    for plan in made:
        (athlete,) = plan.athletes
        drill = plan.drill
        wickets, tau = drill.wickets, athlete.time_constant_s
        built_to = athlete.top_speed_mps * drill.speed_share
        cadence = built_to / (0.6 * athlete.height_m * built_to**0.45)
        times = 0.1 + np.cumsum(1.0 / (ramp * cadence))
        decay = np.exp(-times / tau)
        speeds = built_to * (1.0 - decay)
        steps = int(np.argmin(np.abs(speeds / built_to - 0.95)))
        section = times[steps] + np.arange(wickets + 1) / cadence
        decay = np.exp(-section / tau)
        beyond = built_to * section - built_to * tau * (1.0 - decay) + 0.31
        speeds = built_to * (1.0 - decay)
        places = beyond[1:] - 0.5 * np.diff(beyond)
        gaps = np.diff(places)
        x = plan.place.offset_m + places - places[0]
        start = x[0] - places[0]
        ends = np.empty((wickets, 2, 2))
        ends[:, :, 0] = x[:, None]
        ends[:, 0, 1], ends[:, 1, 1] = -4.545, -3.945
        corridor = shapely.box(start, -4.83, x[-1] + 21.5, -3.66)
        shapely.contains(surface, corridor)
        shapely.contains(surface, shapely.linestrings(ends))
        readings = x - x[0]
        ticks = np.floor(readings / 0.01 + 0.5).astype(int).tolist()
        errors = (0.3 + 0.2 * np.ceil(readings) + 5.0).tolist()
        alongs, widths, mps = readings.tolist(), [None, *gaps.tolist()], speeds.tolist()
        tuple(
            Mark(
                id=f"w{i + 1}",
                kind=MarkKind.WICKET,
                along_m=AlongM(alongs[i]),
                gap_m=widths[i],
                natural_gap_m=widths[i],
                speed_mps=mps[i],
                cadence_hz=cadence,
                time_s=errors[i],
                label="" if ticks[i] else "0",
            )
            for i in range(wickets)
        )


def rows(pairs: int = harness.PAIRS) -> list[harness.Row]:
    """Measure and return the lines of the table."""
    made = plans(COUNT)
    arrays = harness.inside(lambda: bare(made))
    placed = harness.in_turn(harness.inside(lambda: program(made, laid_out)), arrays, pairs)
    alone = harness.in_turn(harness.inside(lambda: program(made)), arrays, pairs)
    sides = {
        (side, count): harness.process(__file__, side, str(count))
        for side in ("program", "bare")
        for count in (COUNT, MANY)
    }
    whole = harness.in_turn(sides["program", COUNT], sides["bare", COUNT], pairs)
    growth = harness.in_turn(sides["program", COUNT], sides["program", MANY], pairs)
    what = f"solving {COUNT:,} plans"
    return [
        harness.row(what, "process / bare array operations", whole, AIM),
        harness.row(what, "placing, checks and tape alone / arrays alone", placed, AIM),
        harness.row(what, "the same with who runs when / arrays alone", alone, AIM),
        harness.row(
            "solving grows in line",
            f"{MANY:,} plans / {COUNT:,} plans",
            growth,
            AIM_GROWTH,
            ratio=lambda a, b: b / a,
        ),
    ]


if __name__ == "__main__":
    if len(sys.argv) > 1:
        {"program": program, "bare": bare}[sys.argv[1]](plans(int(sys.argv[2])))
    else:
        harness.settle_down()
        harness.show(rows())
