"""Speed and time along the parts of a run."""

from __future__ import annotations

import pytest

from wicketlay.drills.runs import Pace, Part, run_along
from wicketlay.running.sprint import SpeedCurve

CURVE = SpeedCurve(9.0, 1.1, 0.0)


def parts(*told) -> tuple[Part, ...]:
    return tuple(Part(length_m=m, pace=pace, easy_share=share) for m, pace, share in told)


def test_parts_run_in_full_are_one_curve_without_a_seam():
    run = run_along(CURVE, parts((20.0, Pace.FULL, 1.0), (20.0, Pace.TIMED, 1.0)))
    assert len(run.pieces) == 1
    for place in (0.0, 5.0, 20.0, 33.0, 60.0):
        assert run.time_at(place) == CURVE.time_at(place)
        assert run.speed_at(place) == pytest.approx(CURVE.speed_at(CURVE.time_at(place)))


def test_an_easy_part_is_run_at_one_speed_a_share_of_that_reached():
    run = run_along(CURVE, parts((20.0, Pace.TIMED, 1.0), (20.0, Pace.EASY, 0.9)))
    reached = CURVE.speed_at(CURVE.time_at(20.0))
    assert run.speed_at(20.0) == pytest.approx(reached)
    assert run.speed_at(20.01) == run.speed_at(40.0) == pytest.approx(0.9 * reached)
    assert run.time_at(40.0) - run.time_at(20.0) == pytest.approx(20.0 / (0.9 * reached))


def test_what_is_run_in_full_after_an_easy_part_builds_from_its_speed():
    told = parts((20.0, Pace.FULL, 1.0), (10.0, Pace.EASY, 0.8), (30.0, Pace.TIMED, 1.0))
    run = run_along(CURVE, told)
    begins = run.speed_at(30.0)
    assert begins < run.speed_at(31.0) < run.speed_at(60.0) < 9.0
    dx = 1e-5
    for place in (32.0, 45.0, 58.0):
        slope = dx / (run.time_at(place + dx) - run.time_at(place))
        assert slope == pytest.approx(run.speed_at(place), rel=1e-4)
