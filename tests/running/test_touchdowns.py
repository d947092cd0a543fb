"""Landings of the first steps against published figures and an independent integration."""

import numpy as np
import pytest
import scipy.integrate
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.running.gait import leg_length_m, top_step_m
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.touchdowns import (
    StartKind,
    approach_m,
    initial_speed_mps,
    step_times_s,
    touchdowns,
)
from wicketlay.sources import Judgement


@pytest.mark.parametrize(
    ("height", "sex", "speed", "tau"),
    [
        (1.66, "f", 7.9, 1.05),
        (1.68, "f", 8.65, 1.1),
        (1.80, "m", 9.75, 1.1),
        (1.82, "m", 10.8, 1.2),
    ],
)
def test_s9_first_step(height, sex, speed, tau):
    """S9: women 0.82 to 1.07 m, men 0.85 to 1.37 m from blocks. Review entry, second-hand."""
    cadence = speed / top_step_m(leg_length_m(height, sex), speed)
    first = touchdowns(SpeedCurve(speed, tau), step_times_s(cadence, 1)).positions_m[0]
    low, high = {"f": (0.82, 1.07), "m": (0.85, 1.37)}[sex]
    assert low <= first <= high


def test_s15_the_toe_lands_ahead_of_the_body():
    """S15: 0.31 m. Ito, Fukuda & Kijima, 2007 championships (abstract)."""
    curve = SpeedCurve(9.0, 1.1)
    landings = touchdowns(curve, step_times_s(4.4, 12))
    np.testing.assert_allclose(
        landings.positions_m - curve.position_at(landings.times_s), 0.31, atol=1e-12
    )


def test_s16_cadence_of_the_first_steps():
    """S16: 0.80 of full at step 1, about 0.90 after step 3. Review entry, second-hand."""
    times = touchdowns(SpeedCurve(9.0, 1.1), step_times_s(4.0, 8)).times_s
    shares = 1.0 / (np.diff(np.concatenate([[0.10], times])) * 4.0)
    assert shares[0] == pytest.approx(0.80)
    assert shares[2] == pytest.approx(0.90)
    assert (np.diff(shares[:6]) > 0.0).all()
    np.testing.assert_allclose(shares[5:], 1.0)


def independent_landings(top, tau, cadence, count):
    """Integrate dV/dt = (v - V) / tau numerically and read off where each step ends."""
    ends = [0.10]
    for step in range(1, count + 1):
        share = np.interp(step, [1, 3, 6], [0.80, 0.90, 1.0])
        ends.append(ends[-1] + 1.0 / (share * cadence))
    solved = scipy.integrate.solve_ivp(
        lambda _, state: [state[1], (top - state[1]) / tau],
        (0.0, ends[-1]),
        [0.0, 0.0],
        t_eval=ends[1:],
        rtol=1e-10,
        atol=1e-10,
    )
    return solved.y[0] + 0.31


@pytest.mark.parametrize("distance", [10.0, 20.0, 30.0, 40.0, 50.0, 60.0])
def test_steps_so_far_of_a_full_effort_run(distance):
    """v 11.76, tau 1.2, cadence 5.0: steps so far, from arithmetic; no publication at hand."""
    landings = touchdowns(SpeedCurve(11.76, 1.2), step_times_s(5.0, 60)).positions_m
    expected = independent_landings(11.76, 1.2, 5.0, 60)
    counted = np.interp(distance, landings, np.arange(1, 61))
    assert counted == pytest.approx(np.interp(distance, expected, np.arange(1, 61)), abs=0.01)
    # time times cadence, less 0.64 for the slow first steps and 0.5 for the push-off, and 0.13
    # more because the toe is 0.31 m ahead
    seconds = scipy.integrate.quad(lambda x: 1.0 / _speed_at(x), 1e-6, distance)[0]
    assert counted == pytest.approx(5.0 * seconds - 1.0, abs=0.5)


def _speed_at(distance, top=11.76, tau=1.2):
    """Speed at a place, by bisection on time and nothing of ours."""
    low, high = 0.0, 60.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if top * middle - top * tau * (1.0 - np.exp(-middle / tau)) < distance:
            low = middle
        else:
            high = middle
    return top * (1.0 - np.exp(-low / tau))


@settings(max_examples=25, deadline=None)
@given(
    st.floats(4.0, 12.0),
    st.floats(0.6, 1.8),
    st.floats(3.0, 5.2),
    st.sampled_from(tuple(StartKind)),
)
def test_landings_go_on_and_on(speed, tau, cadence, start):
    curve = SpeedCurve(speed, tau, initial_speed_mps(start))
    landings = touchdowns(curve, step_times_s(cadence, 30, start=start))
    assert (np.diff(landings.times_s) > 0.0).all()
    assert (np.diff(landings.positions_m) > 0.0).all()
    assert (np.diff(landings.speeds_mps) >= 0.0).all()


def test_a_run_that_comes_in_moving_has_no_push_off_and_reaches_full_cadence_sooner():
    curve = SpeedCurve(9.0, 1.1, 3.0)
    times = touchdowns(curve, step_times_s(4.0, 4, start=StartKind.JOG_IN)).times_s
    np.testing.assert_allclose(
        np.diff(np.concatenate([[0.0], times])) * 4.0, [1 / 0.90, 1 / 0.95, 1.0, 1.0]
    )


def test_the_walk_and_the_jog_need_room_and_bring_speed():
    assert [approach_m(kind) for kind in StartKind] == [0.0, 4.0, 8.0]
    assert [initial_speed_mps(kind) for kind in StartKind] == [0.0, 1.5, 3.0]
    assert initial_speed_mps(StartKind.JOG_IN, Judgement(jog_in_mps=2.5)) == 2.5
