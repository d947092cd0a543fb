"""1,000 placings with all checks, against the bare shapely calls that they need.

    python tests/benchmarks/placing.py               the comparison
    python tests/benchmarks/placing.py placed|bare   one side alone

Both sides import the same and build the same seeded layouts for the same ten tracks with two
obstacles each and a laying on the neighbouring lane; one then places each, the other makes the
bare calls. The bare side makes for each of them: the vector of positions,
the lane, the corridor, the wickets, is the corridor on the surface, is each wicket in the lane,
the obstacles with their free bands, and whether corridor and wickets meet them or the neighbour.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import harness
import numpy as np
import shapely

HERE = Path(__file__).resolve()
sys.path.insert(0, str(harness.ROOT / "tests" / "ground"))

from ground_layouts import wicket_layout  # noqa: E402 - the path above comes first

from wicketlay.ground import Track  # noqa: E402
from wicketlay.ground.course import Obstacle  # noqa: E402
from wicketlay.ground.placing import Place, place  # noqa: E402

PLACINGS = 1000
AIM = 1.5
"""The issue asks for "about the time of the bare calls"; half as much again is still about it."""


def _cases():
    seeded = random.Random(20)  # noqa: S311 - a benchmark needs equal numbers, not secret ones
    for _ in range(PLACINGS):
        yield {
            "ground": seeded.randrange(10),
            "wickets": seeded.randint(8, 16),
            "gap_m": seeded.uniform(1.5, 2.3),
            "run_on_m": seeded.uniform(10.0, 20.0),
            "offset_m": -seeded.uniform(50.0, 70.0),
        }


def _obstacles(ground: int):
    return [(-90.0 + 3.0 * ground, -3.0), (20.0 - ground, -8.0)]


def _layout(case):
    return wicket_layout(wickets=case["wickets"], gap_m=case["gap_m"], run_on_m=case["run_on_m"])


def placed() -> None:
    """Side A: the program's own placing."""
    tracks = [
        Track(
            obstacles=tuple(
                Obstacle(name="mat", corners=((x, y), (x + 2, y), (x + 2, y + 1), (x, y + 1)))
                for x, y in _obstacles(ground)
            )
        )
        for ground in range(10)
    ]
    neighbour = place(
        wicket_layout(), tracks[0], Place(lanes=(5,), landmark="finish", offset_m=-60.0), lane=5
    )
    for case in _cases():
        layout = _layout(case)
        where = Place(lanes=(4,), landmark="finish", mark="w1", offset_m=case["offset_m"])
        place(layout, tracks[case["ground"]], where, lane=4, others=(neighbour,))


def bare() -> None:
    """Side B: the array operations alone."""
    neighbour = shapely.box(-80.0, -6.05, -10.0, -4.88)
    surface = shapely.box(-113.0, -4.83, 17.0, -3.66)
    for case in _cases():
        layout = _layout(case)
        at = np.array([mark.along_m for mark in layout.marks[1:]]) + case["offset_m"]
        corridor = shapely.box(at[0] - case["run_on_m"], -4.83, at[-1] + 21.5, -3.66)
        wickets = shapely.linestrings(
            np.stack(
                [
                    np.column_stack((at, np.full_like(at, -4.545))),
                    np.column_stack((at, np.full_like(at, -3.945))),
                ],
                axis=1,
            )
        )
        shapely.covers(surface, corridor)
        shapely.covers(surface, wickets)
        obstacles = shapely.buffer(
            shapely.box(*np.array([(x, y, x + 2, y + 1) for x, y in _obstacles(case["ground"])]).T),
            0.5,
            quad_segs=8,
        )
        shapely.intersects(corridor, obstacles)
        shapely.intersects(wickets, neighbour)
        shapely.intersects(corridor, neighbour)


def rows(pairs: int = harness.PAIRS) -> list[harness.Row]:
    """Measure and return the line of the table."""
    a, b = (harness.process(str(HERE), side) for side in ("placed", "bare"))
    return [
        harness.row(
            f"{PLACINGS:,} placings with checks",
            "process / the same with bare shapely calls",
            harness.in_turn(a, b, pairs),
            AIM,
        )
    ]


if __name__ == "__main__":
    if len(sys.argv) > 1:
        {"placed": placed, "bare": bare}[sys.argv[1]]()
    else:
        harness.settle_down()
        harness.show(rows())
