"""The run-on and what follows it, against the formulas worked out here by other means."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from wicketlay.drills.run_on import choose_run_on, run_on_sd_m, run_out_m, run_out_s
from wicketlay.running.athlete import Athlete, Foot, make_runner
from wicketlay.running.touchdowns import StartKind

RUNNER = make_runner(Athlete(name="A", height_m=1.75, top_speed_mps=8.0, front_foot=Foot.LEFT))
RAMP = (0.80, 0.85, 0.90, 0.933, 0.967, 1.0)
"""Cadence of the first steps from standing, design 3.5, as a share of the full one."""


def landing_m(steps: int, top_mps: float, tau_s: float, step_m: float, share: float) -> float:
    """Return where the toe lands: x(t) of design 3.1 at the end of the step, and 0.31 m."""
    gait = RUNNER.gait
    free_hz = gait.free_cadence_hz(share) * top_mps / RUNNER.top_speed.value
    free_hz *= gait.top_step.value / step_m
    ramp = [*RAMP, *[1.0] * steps][:steps]
    time_s = 0.10 + sum(1.0 / (each * free_hz) for each in ramp)
    slower = 1.0 - math.exp(-time_s / tau_s)
    return share * top_mps * (time_s - tau_s * slower) + 0.31


@pytest.mark.parametrize("steps", [5, 11, 17])
@pytest.mark.parametrize("share", [0.7, 0.95])
def test_one_sd_of_a_run_on_is_half_of_what_two_do_on_the_side_where_they_do_more(steps, share):
    top, tau, step = RUNNER.top_speed, RUNNER.time_constant, RUNNER.gait.top_step

    def lands_m(tau_sds: float = 0.0, top_sds: float = 0.0, step_sds: float = 0.0) -> float:
        faster = 1.0 + top_sds * top.relative_sd
        step_m = step.value * faster**0.45 + step_sds * step.sd
        tau_s = tau.value + tau_sds * tau.sd
        return landing_m(steps, top.value * faster, tau_s, step_m, share)

    parts = [
        max(abs(lands_m(**{what: way}) - lands_m()) for way in (2.0, -2.0)) / 2.0
        for what in ("tau_sds", "top_sds", "step_sds")
    ]
    asked = run_on_sd_m(RUNNER, steps, speed_share=share, start=StartKind.STANDING)
    assert asked == pytest.approx(math.hypot(*parts), rel=1e-9)


@pytest.mark.parametrize(
    ("speed_mps", "wanted_m", "least_m", "takes_s"),
    [(9.0, 29.25, 18.0, 5.5), (10.0, 35.0, 65.0 / 3.0, 6.0), (4.0, 15.0, 12.0, 3.0)],
)
def test_slowing_down_takes_a_second_and_then_2_metres_a_second_each_second(
    speed_mps, wanted_m, least_m, takes_s
):
    assert run_out_m(speed_mps) == pytest.approx((wanted_m, least_m))
    assert run_out_s(speed_mps) == pytest.approx(takes_s)


@pytest.mark.parametrize("first_foot", [None, Foot.LEFT, Foot.RIGHT])
@pytest.mark.parametrize("entry_share", [0.5, 0.8, 0.9, 0.95, 0.98, 0.998])
@pytest.mark.parametrize("start", StartKind)
@pytest.mark.parametrize("share", [0.5, 0.7, 0.95, 1.0])
def test_of_all_whole_numbers_of_steps_that_bring_the_foot_the_nearest_to_the_entry_speed_is_taken(
    first_foot, entry_share, start, share
):
    asked = {"speed_share": share, "entry_share": entry_share, "start": start}
    chosen = choose_run_on(RUNNER, **asked, first_foot=first_foot)

    def off(steps: int) -> float:
        run = choose_run_on(RUNNER, **asked, first_foot=first_foot, steps=steps)
        return abs(run.landings.speeds_mps[-1] - entry_share * share * 8.0)

    odd = {None: (0, 1), Foot.LEFT: (1,), Foot.RIGHT: (0,)}[first_foot]
    every = [steps for steps in range(3, 61) if steps % 2 in odd]
    assert chosen.steps in every
    assert off(chosen.steps) == pytest.approx(min(map(off, every)), abs=1e-12)
    assert chosen.foot_at(chosen.steps + 1) is (first_foot or chosen.foot_at(chosen.steps + 1))
    assert len(chosen.landings.positions_m) == chosen.steps


def test_an_even_run_on_is_found_where_the_run_comes_in_fast_enough():
    slow = replace(RUNNER, top_speed=replace(RUNNER.top_speed, value=5.6))
    run = choose_run_on(
        slow,
        speed_share=0.6,
        entry_share=0.80,
        start=StartKind.JOG_IN,
        first_foot=Foot.RIGHT,
    )
    assert run.curve.initial_share > 0.80
    assert run.steps == 4
