"""Splits against published fits, scipy, and what they refuse."""

import math

import numpy as np
import pytest
import scipy.optimize
import scipy.special
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.running.clocks import ShiftBasis
from wicketlay.running.sprint import SpeedCurve, fit_splits
from wicketlay.sources import GATE_SHIFT_S, Judgement

V4_M, V4_S = (5.0, 10.0, 20.0, 30.0, 35.0), (1.21, 1.99, 3.38, 4.71, 5.30)
V5_M = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0)
V5_S = (1.158, 1.893, 2.541, 3.149, 4.313, 5.444)
V8_M = (10.0, 20.0, 30.0, 40.0)
V8_GROUPS = {
    "sprinting men": (1.90, 3.05, 4.09, 5.13),
    "sprinting women": (2.00, 3.24, 4.39, 5.51),
    "jumping men": (1.97, 3.16, 4.23, 5.28),
    "jumping women": (2.10, 3.40, 4.60, 5.79),
}


def scipy_time(distance, speed, tau, shift=0.0):
    """The model with scipy's Lambert W, written anew."""
    s = distance / (speed * tau)
    return tau * (s + 1.0 + scipy.special.lambertw(-np.exp(-s - 1.0)).real) - shift


@pytest.fixture
def beam_times():
    """V3's athlete: v 8.5, a0 7.5, the clock started 0.5 m in. Jovanovic, corrections."""
    curve = SpeedCurve(8.5, 8.5 / 7.5)
    distances = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    return distances, curve.time_at(distances + 0.5) - curve.time_at(0.5)


def test_v3_fit_with_a_free_time_shift(beam_times):
    """V3: 8.4736 m/s, 1.0627 s, shift 0.2720 s. Jovanovic, corrections in sprint modelling."""
    fit = fit_splits(*beam_times, start="gate")
    assert fit.top_speed_mps == pytest.approx(8.4736, abs=0.001)
    assert fit.time_constant_s == pytest.approx(1.0627, abs=0.001)
    assert fit.time_shift_s == pytest.approx(0.2720, abs=0.001)
    assert fit.shift_basis is ShiftBasis.FITTED


def test_v3_fit_after_adding_a_fixed_shift(beam_times):
    """V3: 8.522139 m/s, 1.116450 s after adding 0.3 s. Jovanovic, corrections."""
    distances, times = beam_times
    fit = fit_splits(distances, times + float(GATE_SHIFT_S))
    assert fit.top_speed_mps == pytest.approx(8.522139, abs=0.001)
    assert fit.time_constant_s == pytest.approx(1.116450, abs=0.001)


def test_v4_fit_without_correction():
    """V4: 7.553185 m/s, 0.706663 s, a0 10.68852. Jovanovic, function help."""
    fit = fit_splits(V4_M, V4_S)
    assert fit.top_speed_mps == pytest.approx(7.553185, abs=1e-4)
    assert fit.time_constant_s == pytest.approx(0.706663, abs=1e-4)
    assert fit.top_speed_mps / fit.time_constant_s == pytest.approx(10.68852, abs=1e-4)


def test_v5_fit_of_six_splits():
    """V5: 8.591 m/s, 0.811 s, a0 10.589. Jovanovic, function help."""
    fit = fit_splits(V5_M, V5_S)
    assert fit.top_speed_mps == pytest.approx(8.591, abs=0.001)
    assert fit.time_constant_s == pytest.approx(0.811, abs=0.001)
    assert fit.top_speed_mps / fit.time_constant_s == pytest.approx(10.589, abs=0.001)


@pytest.mark.parametrize("group", V8_GROUPS)
def test_v8_a_fit_reproduces_the_four_times(group):
    """V8: national-team group means. Haugen, Breitschaedel & Seiler 2019, PLoS ONE."""
    fit = fit_splits(V8_M, V8_GROUPS[group])
    curve = SpeedCurve(fit.top_speed_mps, fit.time_constant_s)
    np.testing.assert_allclose(curve.time_at(np.array(V8_M)), V8_GROUPS[group], atol=0.02)


@pytest.mark.parametrize(("distances", "times"), [(V4_M, V4_S), (V5_M, V5_S)])
def test_two_parameters_agree_with_scipy(distances, times):
    expected, covariance = scipy.optimize.curve_fit(
        scipy_time, np.array(distances), np.array(times), p0=(8.0, 1.0), xtol=1e-14, ftol=1e-14
    )
    fit = fit_splits(distances, times)
    assert fit.top_speed_mps == pytest.approx(expected[0], rel=1e-6)
    assert fit.time_constant_s == pytest.approx(expected[1], rel=1e-6)
    sds = np.sqrt(np.diag(covariance))
    assert fit.top_speed_sd_mps == pytest.approx(sds[0], rel=1e-4)
    assert fit.time_constant_sd_s == pytest.approx(sds[1], rel=1e-4)
    assert fit.correlation == pytest.approx(covariance[0, 1] / (sds[0] * sds[1]), rel=1e-4)
    misses = scipy_time(np.array(distances), *expected) - times
    assert fit.residual_s == pytest.approx(math.sqrt(float(np.mean(misses**2))), rel=1e-6)


def test_three_parameters_agree_with_scipy():
    times = np.array([1.10, 1.84, 3.13, 4.33, 5.53])
    distances = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    expected, covariance = scipy.optimize.curve_fit(
        scipy_time, distances, times, p0=(8.0, 1.0, 0.3), xtol=1e-14, ftol=1e-14
    )
    fit = fit_splits(distances, times, "gate", judgement=Judgement(gate_sd_s=0.0))
    assert fit.top_speed_sd_mps == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-4)
    assert fit.time_constant_sd_s == pytest.approx(math.sqrt(covariance[1, 1]), rel=1e-4)
    assert fit.top_speed_mps == pytest.approx(expected[0], rel=1e-6)
    assert fit.time_constant_s == pytest.approx(expected[1], rel=1e-6)
    assert fit.time_shift_s == pytest.approx(expected[2], rel=1e-5)


@settings(max_examples=25, deadline=None)
@given(st.floats(3.0, 12.0), st.floats(0.5, 2.0), st.integers(2, 6))
def test_exact_splits_give_the_sprint_back(speed, tau, count):
    distances = np.linspace(5.0, 45.0, count)
    fit = fit_splits(distances, SpeedCurve(speed, tau).time_at(distances))
    assert fit.top_speed_mps == pytest.approx(speed, rel=1e-6)
    assert fit.time_constant_s == pytest.approx(tau, rel=1e-6)
    assert fit.residual_s < 1e-8


@pytest.mark.slow
@settings(max_examples=400, deadline=None)
@given(
    st.floats(4.0, 12.0),
    st.floats(0.6, 1.6),
    st.lists(st.floats(-0.02, 0.02), min_size=5, max_size=5),
)
def test_noisy_splits_are_fitted_as_scipy_fits_them(speed, tau, noise):
    distances = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    times = SpeedCurve(speed, tau).time_at(distances) + np.array(noise)
    expected, _ = scipy.optimize.curve_fit(
        scipy_time, distances, times, p0=(speed, tau), xtol=1e-14, ftol=1e-14
    )
    assume(1.0 < expected[0] < 15.0)
    fit = fit_splits(distances, times)
    assert fit.top_speed_mps == pytest.approx(expected[0], rel=1e-5)
    assert fit.time_constant_s == pytest.approx(expected[1], rel=1e-5)


@settings(max_examples=15, deadline=None)
@given(st.floats(4.0, 12.0), st.floats(0.6, 1.8), st.floats(0.05, 0.6))
def test_exact_splits_from_a_gate_give_the_shift_back(speed, tau, shift):
    distances = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    times = SpeedCurve(speed, tau).time_at(distances) - shift
    assume(times[0] > 0.1)
    fit = fit_splits(distances, times, "gate")
    assert fit.top_speed_mps == pytest.approx(speed, rel=1e-4)
    assert fit.time_shift_s == pytest.approx(shift, abs=1e-3)


def test_the_error_never_falls_below_that_of_a_gate():
    distances = np.array([10.0, 20.0, 30.0, 40.0])
    fit = fit_splits(distances, SpeedCurve(9.0, 1.2).time_at(distances))
    assert 0.02 < fit.top_speed_sd_mps < 0.2


def test_three_splits_are_as_unsure_as_their_one_spare_miss():
    distances, times = np.array([10.0, 20.0, 40.0]), np.array([2.05, 3.20, 5.52])
    expected, covariance = scipy.optimize.curve_fit(
        scipy_time, distances, times, p0=(8.0, 1.0), xtol=1e-14, ftol=1e-14
    )
    misses = scipy_time(distances, *expected) - times
    assert math.sqrt(misses @ misses) > 0.01  # more than a gate's error
    fit = fit_splits(distances, times)
    assert fit.top_speed_sd_mps == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-4)


def moved_fit(times, by=0.0, at=slice(None)):
    """Return (v, tau) of 10 and 30 m splits solved by scipy, some of the times moved."""
    told = np.array(times, dtype=float)
    told[at] += by
    return scipy.optimize.fsolve(
        lambda p: scipy_time(np.array([10.0, 30.0]), *p) - told, (9.0, 1.1), xtol=1e-13
    )


def test_two_splits_are_as_unsure_as_two_gates():
    times = SpeedCurve(9.0, 1.1).time_at(np.array([10.0, 30.0]))
    slopes = [(moved_fit(times, 1e-4, at) - moved_fit(times, -1e-4, at)) / 2e-4 for at in (0, 1)]
    fit = fit_splits([10.0, 30.0], times)
    speed_sd, tau_sd = 0.01 * np.hypot(*slopes)
    assert fit.top_speed_sd_mps == pytest.approx(speed_sd, rel=1e-4)
    assert fit.time_constant_sd_s == pytest.approx(tau_sd, rel=1e-4)
    assert fit.residual_s < 1e-12


def test_an_assumed_shift_errs_by_the_same_at_every_split():
    times = SpeedCurve(9.0, 1.1).time_at(np.array([10.0, 30.0]))
    slope = (moved_fit(times, 1e-4) - moved_fit(times, -1e-4)) / 2e-4
    sure, unsure = fit_splits([10.0, 30.0], times), fit_splits([10.0, 30.0], times - 0.3, "gate")
    speed_sd, tau_sd = 0.10 * np.abs(slope)
    assert unsure.top_speed_sd_mps == pytest.approx(
        math.hypot(sure.top_speed_sd_mps, speed_sd), rel=1e-4
    )
    assert unsure.time_constant_sd_s == pytest.approx(
        math.hypot(sure.time_constant_sd_s, tau_sd), rel=1e-4
    )


@pytest.mark.parametrize(
    ("speed", "tau", "told"),
    [
        (1.02, 1.0, None),
        (0.98, 1.0, "give 0.98 m/s and 1.00 s"),
        (14.9, 1.0, None),
        (15.1, 1.0, "give 15.10 m/s and 1.00 s"),
        (9.0, 0.21, None),
        (9.0, 0.19, "give 9.00 m/s and 0.19 s"),
        (9.0, 3.9, None),
        (9.0, 4.1, "give 9.00 m/s and 4.10 s"),
    ],
)
def test_a_fit_that_is_no_sprint_is_told_with_what_it_gave(speed, tau, told):
    distances = np.array([10.0, 20.0, 40.0])
    times = SpeedCurve(speed, tau).time_at(distances)
    if told is None:
        assert fit_splits(distances, times).top_speed_mps == pytest.approx(speed, rel=1e-5)
        return
    with pytest.raises(DomainError) as refused:
        fit_splits(distances, times)
    assert str(refused.value) == (
        f"the splits fit no sprint from standing: top speed and time constant {told}; they must "
        "lie between 1 and 15 m/s and between 0.2 and 4 s; check what started the clock"
    )


def test_splits_that_no_speed_fits_are_told_to_run_away():
    with pytest.raises(DomainError, match="top speed and time constant run away; they must lie"):
        fit_splits([10.0, 20.0, 30.0], [1.0, 1.42, 1.72])


@pytest.mark.parametrize(
    ("shift", "basis"),
    [
        (-0.05, ShiftBasis.ASSUMED),
        (0.01, ShiftBasis.FITTED),
        (0.78, ShiftBasis.FITTED),
        (0.82, ShiftBasis.ASSUMED),
    ],
)
def test_a_shift_that_no_gate_gives_is_not_believed(shift, basis):
    distances = np.array([10.0, 15.0, 20.0, 30.0, 40.0])
    fit = fit_splits(distances, SpeedCurve(8.0, 1.0).time_at(distances) - shift, "gate")
    assert fit.shift_basis is basis
    assert fit.time_shift_s == pytest.approx(shift if basis is ShiftBasis.FITTED else 0.3, abs=1e-4)


@pytest.mark.parametrize("second_s", [3.4, 6.1, 2.0 * math.sqrt(3.0) - 1e-6, 6.0])
def test_two_splits_outside_the_rule_are_refused(second_s):
    with pytest.raises(DomainError) as refused:
        fit_splits([10.0, 30.0], [2.0, second_s])
    assert str(refused.value) == (
        f"splits 10 m in 2.00 s and 30 m in {second_s:.2f} s from first movement fit no sprint "
        f"from standing: the second time is {second_s / 2.0:.3f} times the first; it must lie "
        "between 1.732 and 3.000 times; check what started the clock"
    )


def test_two_splits_just_inside_the_rule_but_no_sprint_are_refused():
    with pytest.raises(DomainError, match="the splits fit no sprint from standing"):
        fit_splits([10.0, 30.0], [2.0, 5.99])
    with pytest.raises(DomainError, match="the splits fit no sprint from standing"):
        fit_splits([10.0, 30.0], [2.0, 3.47])


def test_three_splits_whose_first_two_break_the_rule_of_two_are_fitted():
    distances = np.array([5.0, 6.0, 40.0])
    times = SpeedCurve(8.0, 1.0).time_at(distances) + np.array([0.0, -0.06, 0.0])
    with pytest.raises(DomainError, match="fit no sprint from standing"):
        fit_splits(distances[:2], times[:2])
    assert fit_splits(distances, times).top_speed_mps == pytest.approx(8.0, abs=0.3)


def test_three_splits_at_even_speed_are_refused():
    with pytest.raises(DomainError, match="check what started the clock"):
        fit_splits([10.0, 20.0, 30.0], [1.2, 2.4, 3.6])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ([10.0, 20.0], [2.0]),
            "splits need one time for each distance, got 2 distances and 1 times",
        ),
        (
            ([[10.0, 20.0], [30.0, 40.0]], [[2.0, 3.0], [4.0, 5.0]]),
            "splits need one time for each distance, got 4 distances and 4 times",
        ),
        ((10.0, 2.0), "splits need one time for each distance, got 1 distances and 1 times"),
        (([10.0], [2.0]), "splits need at least two distances, got 1"),
        (([], []), "splits need at least two distances, got 0"),
        (([10.0, 10.0], [2.0, 3.0]), "split distances must rise: 10 m comes after 10 m"),
        (
            ([10.0, 20.0, 20.0, 15.0], [2.0, 3.0, 4.0, 5.0]),
            "split distances must rise: 20 m comes after 20 m",
        ),
        (([10.0, 20.0, 30.0], [2.0, 3.0, 2.5]), "split times must rise: 2.5 s comes after 3 s"),
        (([0.0, 20.0], [2.0, 3.0]), "split distance is 0 m; it must be above 0 m"),
        (([-2.0, -1.0], [2.0, 3.0]), "split distance is -2 m; it must be above 0 m"),
        (([10.0, 20.0], [-1.0, 3.0]), "split time is -1 s; it must be above 0 s"),
        (([10.0, math.nan], [2.0, 3.0]), "split distance is nan m; it must be above 0 m"),
        (([10.0, 20.0], [2.0, math.inf]), "split time is inf s; it must be above 0 s"),
        (
            ([1.0, 20.0], [0.25, 3.0], "gun", 0.25),
            (
                "the first split of 0.25 s is no longer than the reaction time of 0.25 s taken "
                "off it; check what started the clock"
            ),
        ),
        (
            ([1.0, 20.0], [0.1, 3.0], "gun"),
            (
                "the first split of 0.1 s is no longer than the reaction time of 0.15 s taken "
                "off it; check what started the clock"
            ),
        ),
    ],
)
def test_splits_that_cannot_be_are_refused(arguments, message):
    with pytest.raises(DomainError) as refused:
        fit_splits(*arguments)
    assert str(refused.value) == message
