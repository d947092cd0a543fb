"""Times of one run from every clock start, against published corrections between starts."""

import numpy as np
import pytest

from wicketlay.running.clocks import ClockStart, ShiftBasis, assumed_shift
from wicketlay.running.sprint import SpeedCurve, fit_splits
from wicketlay.sources import Judgement

MARKS_M = (10.0, 20.0, 30.0, 40.0)

# V10: what a time is short of the same run from blocks to the gun. Haugen, Tonnessen & Seiler
# 2012, J Strength Cond Res 26:473 (abstract).
V10_S = {"hand-release": 0.17, "gate": 0.27, "foot-release": 0.69}
V10_REACTION_S = 0.15  # assumed: the abstract prints none
V10_RUN = SpeedCurve(8.9, 1.15)


def v10_times(start, distances):
    """Times of one run to the gun, reaction included, with the correction of a start taken off."""
    return V10_RUN.time_at(np.array(distances)) + V10_REACTION_S - V10_S[start]


@pytest.mark.parametrize("start", V10_S)
def test_v10_four_splits_give_the_same_run_whatever_started_the_clock(start):
    """V10: hand release 0.17, photocell 0.27, foot release 0.69 s. Haugen et al. 2012."""
    fit = fit_splits(MARKS_M, v10_times(start, MARKS_M), start)
    assert fit.top_speed_mps == pytest.approx(8.9, rel=1e-4)
    assert fit.time_constant_s == pytest.approx(1.15, rel=1e-3)
    assert fit.time_shift_s == pytest.approx(V10_S[start] - V10_REACTION_S, abs=0.0005)
    fitted = start in {"gate", "foot-release"}
    assert fit.shift_basis is (ShiftBasis.FITTED if fitted else ShiftBasis.ASSUMED)


@pytest.mark.parametrize("start", ["hand-release", "foot-release"])
def test_v10_two_splits_from_a_hand_or_a_foot_get_the_published_correction(start):
    """V10: hand release 0.17, foot release 0.69 s. Haugen et al. 2012."""
    fit = fit_splits((10.0, 30.0), v10_times(start, (10.0, 30.0)), start)
    assert fit.top_speed_mps == pytest.approx(8.9, rel=1e-6)
    assert fit.time_constant_s == pytest.approx(1.15, rel=1e-6)
    assert fit.shift_basis is ShiftBasis.ASSUMED


def test_v10_three_splits_from_a_photocell_are_told_within_their_error():
    """V10: photocell 0.27 s, of which the 0.3 s of another source (V3) is assumed when few.

    The sources differ by how the athlete stands; the error that is stated must cover it.
    """
    fit = fit_splits(MARKS_M[:3], v10_times("gate", MARKS_M[:3]), "gate")
    assert abs(fit.top_speed_mps - 8.9) < 2.0 * fit.top_speed_sd_mps
    assert abs(fit.time_constant_s - 1.15) < 2.0 * fit.time_constant_sd_s


def test_v10_the_reaction_time_inside_the_corrections_is_the_judged_one():
    judged = Judgement(reaction_s=0.18)
    for start in ("hand-release", "foot-release"):
        fit = fit_splits((10.0, 30.0), v10_times(start, (10.0, 30.0)), start, judgement=judged)
        assert fit.time_shift_s == pytest.approx(V10_S[start] - 0.18)


@pytest.mark.parametrize(
    ("start", "field"), [("hand-release", "reaction_sd_s"), ("foot-release", "gate_shift_sd_s")]
)
def test_the_error_of_an_assumed_correction_is_in_that_of_the_fit(start, field):
    times = v10_times(start, MARKS_M[:3])
    without = fit_splits(MARKS_M[:3], times, start, judgement=Judgement(**{field: 0.0}))
    plain = fit_splits(MARKS_M[:3], times + V10_S[start] - V10_REACTION_S)
    assert without.top_speed_sd_mps == pytest.approx(plain.top_speed_sd_mps, rel=1e-6)
    assert fit_splits(MARKS_M[:3], times, start).top_speed_sd_mps > 1.1 * plain.top_speed_sd_mps


@pytest.mark.parametrize(
    ("start", "reaction_s", "shift", "basis"),
    [
        (ClockStart.FIRST_MOVEMENT, None, (0.0, 0.0), ShiftBasis.NONE),
        (ClockStart.GATE, None, (0.30, 0.10), ShiftBasis.ASSUMED),
        (ClockStart.GUN, None, (-0.15, 0.03), ShiftBasis.ASSUMED),
        (ClockStart.GUN, 0.21, (-0.21, 0.0), ShiftBasis.GIVEN),
        (ClockStart.HAND_RELEASE, None, (0.17 - 0.15, 0.03), ShiftBasis.ASSUMED),
        (ClockStart.FOOT_RELEASE, None, (0.69 - 0.15, 0.10), ShiftBasis.ASSUMED),
    ],
)
def test_what_is_added_to_a_time_and_how_sure_it_is(start, reaction_s, shift, basis):
    added, sd, why = assumed_shift(start, reaction_s, Judgement())
    assert (added, sd) == pytest.approx(shift)
    assert why is basis


def test_few_splits_from_a_gate_get_the_published_shift():
    distances = np.array([10.0, 20.0, 30.0])
    times = SpeedCurve(8.0, 1.0).time_at(distances) - 0.3
    fit = fit_splits(distances, times, "gate")
    assert (fit.time_shift_s, fit.shift_basis) == (0.3, ShiftBasis.ASSUMED)
    assert fit.top_speed_mps == pytest.approx(8.0, rel=1e-6)


def test_an_assumed_shift_widens_the_error():
    distances = np.array([10.0, 20.0, 30.0])
    times = SpeedCurve(8.0, 1.0).time_at(distances)
    sure = fit_splits(distances, times)
    unsure = fit_splits(distances, times - 0.3, "gate")
    assert unsure.top_speed_sd_mps > 1.5 * sure.top_speed_sd_mps
    without = fit_splits(distances, times - 0.3, "gate", judgement=Judgement(gate_shift_sd_s=0.0))
    assert without.top_speed_sd_mps == pytest.approx(sure.top_speed_sd_mps, rel=1e-6)


def test_a_gun_takes_the_reaction_time_off():
    distances = np.array([10.0, 20.0, 30.0, 40.0])
    times = SpeedCurve(9.0, 1.2).time_at(distances)
    given_ = fit_splits(distances, times + 0.18, "gun", 0.18)
    assert given_.top_speed_mps == pytest.approx(9.0, rel=1e-6)
    assert (given_.time_shift_s, given_.shift_basis) == (-0.18, ShiftBasis.GIVEN)
    assumed = fit_splits(distances, times + 0.15, "gun")
    assert assumed.top_speed_mps == pytest.approx(9.0, rel=1e-6)
    assert (assumed.time_shift_s, assumed.shift_basis) == (-0.15, ShiftBasis.ASSUMED)
    assert assumed.top_speed_sd_mps > given_.top_speed_sd_mps


@pytest.mark.parametrize("reaction_s", [0.0, 0.5])
def test_reaction_times_of_none_and_half_a_second_are_taken(reaction_s):
    distances = np.array([10.0, 20.0, 30.0, 40.0])
    times = SpeedCurve(9.0, 1.2).time_at(distances)
    fit = fit_splits(distances, times + reaction_s, "gun", reaction_s)
    assert fit.top_speed_mps == pytest.approx(9.0, rel=1e-6)
    assert fit.shift_basis is ShiftBasis.GIVEN
