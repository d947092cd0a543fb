"""The time from a standing start that a runner is told by, with its error: sampled, and by hand."""

import math
from datetime import date, timedelta

import numpy as np
import pytest

from wicketlay.running.athlete import Athlete, FlyingTime, Observation, Splits, make_runner
from wicketlay.running.sprint import SpeedCurve
from wicketlay.sources import DEFAULTS

DAY = date(2026, 3, 3)
TO_M = (10.0, 20.0, 30.0)
SAMPLES = 400


def sprint(curve, errors_s=(0.0, 0.0, 0.0), day=DAY):
    times = tuple(curve.time_at(to_m) + off for to_m, off in zip(TO_M, errors_s, strict=True))
    return Splits(distances_m=TO_M, times_s=times, date=day)


def runner_of(*sprints, **facts):
    return make_runner(Athlete(name="Wren", height_m=1.7, sprints=sprints, **facts))


@pytest.fixture(scope="module")
def sampled():
    """Return runners made of splits of a day each, with the errors that are stated."""
    rng, made = np.random.default_rng(20260303), []
    for _ in range(SAMPLES):
        day = rng.normal(0.0, float(DEFAULTS.between_day_speed_sd))
        errors = rng.normal(0.0, float(DEFAULTS.gate_sd_s), len(TO_M))
        made.append(runner_of(sprint(SpeedCurve(8.5 * math.exp(day), 1.2), errors)))
    return made


@pytest.mark.parametrize("to_m", TO_M)
def test_its_error_is_that_of_sampled_splits(sampled, to_m):
    stated = runner_of(sprint(SpeedCurve(8.5, 1.2))).time_to(to_m).sd
    times = [made.time_to(to_m).value for made in sampled]
    assert stated == pytest.approx(np.std(times), rel=0.2)


@pytest.mark.parametrize("to_m", TO_M)
def test_speed_and_tau_are_sampled_together(to_m):
    """Drawn from the stated spreads and their covariance, the error is that of the times."""
    made = runner_of(sprint(SpeedCurve(8.5, 1.2)), sprint(SpeedCurve(8.6, 1.23)))
    top, tau = made.top_speed, made.time_constant
    shared = made.tau_share * top.value * tau.sd
    rng = np.random.default_rng(7)
    drawn = rng.multivariate_normal(
        (top.value, tau.value), ((top.sd**2, shared), (shared, tau.sd**2)), 4000
    )
    times = [SpeedCurve(*each).time_at(to_m) for each in drawn]
    assert made.time_to(to_m).sd == pytest.approx(np.std(times), rel=0.1)
    # taken as if they had nothing in common they would make a far larger one
    apart_s = np.std(
        [
            SpeedCurve(v, t).time_at(to_m)
            for v, t in zip(drawn[:, 0], rng.permutation(drawn[:, 1]), strict=True)
        ]
    )
    assert made.time_to(to_m).sd < 0.8 * apart_s


def test_it_is_what_the_curve_says_and_an_error_of_speed_alone_is_its_own():
    made = make_runner(
        Athlete(
            name="Wren", height_m=1.7, top_speed_mps=8.0, top_speed_sd_mps=0.16, time_constant_s=1.0
        )
    )
    told = made.time_to(10.0)
    assert told.value == pytest.approx(SpeedCurve(8.0, 1.0).time_at(10.0))

    def at(speed_mps, tau_s):
        return SpeedCurve(speed_mps, tau_s).time_at(10.0)

    tau_sd = made.time_constant.sd
    by_speed = (at(8.08, 1.0) - at(7.92, 1.0)) / 0.16 * 0.16
    by_tau = (at(8.0, 1.0 + tau_sd) - at(8.0, 1.0 - tau_sd)) / 2.0
    assert made.tau_share == 0.0
    assert told.sd == pytest.approx(math.hypot(by_speed, by_tau), rel=0.01)


def test_a_speed_worked_out_with_an_assumed_tau_goes_with_it():
    flying = FlyingTime(distance_m=20.0, time_s=2.4, run_on_m=20.0, wind_mps=0.0, date=DAY)
    made = make_runner(Athlete(name="Wren", height_m=1.7, flying=flying))
    tau = made.time_constant
    times = []
    for z in np.random.default_rng(5).standard_normal(500):
        given = Athlete(
            name="Wren",
            height_m=1.7,
            flying=flying,
            time_constant_s=max(tau.value + z * tau.sd, 0.5),
        )
        times.append(make_runner(given).time_to(10.0).value)
    alone = math.sqrt(made.top_speed.relative_sd**2 - made.tau_share**2)
    by_speed = alone * 10.0 / 8.0
    assert made.tau_share > 0.0
    assert made.time_to(10.0).sd == pytest.approx(math.hypot(np.std(times), by_speed), rel=0.2)


def test_later_runs_make_speed_surer_and_take_it_out_of_step_with_tau():
    first = sprint(SpeedCurve(8.5, 1.2))
    runs = tuple(
        Observation(
            date=DAY + timedelta(days=7 * week),
            distance_m=20.0,
            run_on_m=30.0,
            time_s=2.42,
            timing="gates",
            wind_mps=0.0,
        )
        for week in (1, 2)
    )
    alone, later = runner_of(first), runner_of(first, observations=runs)
    assert 0.0 < later.tau_share < alone.tau_share
    assert later.tau_share < later.top_speed.relative_sd
