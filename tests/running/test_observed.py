"""What counted and timed runs teach, and how days are weighed."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.running.athlete import Observation, Timing
from wicketlay.running.estimates import Estimate
from wicketlay.running.observed import (
    Evidence,
    apart,
    by_day,
    combined,
    speed_evidence,
    step_evidence,
    tau_effect,
)
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.top_speed import top_speed_from_flying
from wicketlay.sources import BETWEEN_DAY_STEP_SD, DEFAULTS, Judgement

DAY = date(2026, 3, 4)
TAU = Estimate(value=1.1, sd=0.2, basis="assumed")
SURE_TAU = Estimate(value=1.1, sd=0.0, basis="splits")


def seen(**facts):
    return Observation(date=DAY, **{"wind_mps": 0.0} | facts)


def reading(value, sd, day=DAY):
    return Evidence(date=day, value=value, relative_sd=sd)


def test_a_run_at_top_speed_gives_its_step_as_it_is():
    got = step_evidence(seen(distance_m=30.0, time_s=3.4, steps=15.0), 9.0, TAU, DEFAULTS)
    assert got.value == pytest.approx(2.0)
    assert got.relative_sd == pytest.approx(0.25 / 15.0)


def test_a_measured_step_has_its_own_error():
    got = step_evidence(seen(step_m=2.0, speed_mps=9.0), 9.0, TAU, DEFAULTS)
    assert (got.value, got.relative_sd) == (2.0, pytest.approx(0.01))


def test_a_held_run_is_carried_to_top_speed():
    got = step_evidence(
        seen(distance_m=30.0, time_s=4.2, steps=15.0, held_share=0.8), 9.0, TAU, DEFAULTS
    )
    assert got.value == pytest.approx(2.0 * 0.8**-0.12)
    # less sure than the count alone: the exponent lies between 0 and 0.25
    assert got.relative_sd > math.hypot(0.25 / 15.0, 0.06 * abs(math.log(0.8))) * 0.999


def test_a_run_still_building_is_carried_by_its_share_of_speed():
    curve = SpeedCurve(9.0, 1.1)
    time = curve.time_at(40.0) - curve.time_at(10.0)
    q = 30.0 / time / 9.0
    assert 0.90 < q < 0.97
    got = step_evidence(
        seen(distance_m=30.0, time_s=time, steps=15.0, run_on_m=10.0), 9.0, SURE_TAU, DEFAULTS
    )
    assert got.value == pytest.approx(2.0 / q)
    unsure = step_evidence(
        seen(distance_m=30.0, time_s=time, steps=15.0, run_on_m=10.0), 9.0, TAU, DEFAULTS
    )
    assert unsure.relative_sd > got.relative_sd


def test_a_step_measured_while_building_is_carried_by_the_share_there():
    got = step_evidence(seen(step_m=1.8, speed_mps=8.0, run_on_m=15.0), 9.0, SURE_TAU, DEFAULTS)
    assert got.value == pytest.approx(1.8 / SpeedCurve(9.0, 1.1).share_at(15.0))


def test_a_held_count_is_as_unsure_as_count_exponent_and_share_together():
    got = step_evidence(
        seen(distance_m=30.0, time_s=4.2, steps=15.0, held_share=0.8), 9.0, TAU, DEFAULTS
    )
    exponent, share = 0.06 * abs(math.log(0.8)), 0.12 * 0.02 / 0.8
    assert got.relative_sd == pytest.approx(math.hypot(0.25 / 15.0, exponent, share))


def test_a_count_while_building_is_as_unsure_as_count_and_tau_together():
    one = seen(distance_m=30.0, time_s=3.9, steps=15.0, run_on_m=10.0)

    def q(tau_s):
        curve = SpeedCurve(9.0, tau_s)
        return 30.0 / (curve.time_at(40.0) - curve.time_at(10.0)) / 9.0

    got = step_evidence(one, 9.0, TAU, DEFAULTS)
    spread = (q(0.9) - q(1.3)) / 2.0 / q(1.1)
    assert got.relative_sd == pytest.approx(math.hypot(0.25 / 15.0, spread))


def test_a_count_towards_a_share_is_carried_along_that_slower_run():
    one = seen(distance_m=30.0, time_s=4.5, steps=15.0, run_on_m=10.0, held_share=0.9)
    curve = SpeedCurve(0.9 * 9.0, 1.1)
    q = 30.0 / (curve.time_at(40.0) - curve.time_at(10.0)) / (0.9 * 9.0)
    got = step_evidence(one, 9.0, SURE_TAU, DEFAULTS)
    assert got.value == pytest.approx(2.0 / 0.9**0.12 / q)


@pytest.mark.parametrize(("run_on", "place"), [(0.0, 0.5), (0.4, 0.5), (0.6, 0.6)])
def test_a_step_at_the_start_itself_is_taken_half_a_metre_on(run_on, place):
    share = SpeedCurve(9.0, 1.1).share_at(place)
    one = seen(step_m=1.0, speed_mps=9.0 * share, run_on_m=run_on)
    assert step_evidence(one, 9.0, SURE_TAU, DEFAULTS).value == pytest.approx(1.0 / share)
    assert speed_evidence(one, SURE_TAU, DEFAULTS).value == pytest.approx(9.0)


def test_a_zone_from_the_start_mark_counts_from_there():
    curve = SpeedCurve(9.0, 1.1)
    one = seen(distance_m=30.0, time_s=curve.time_at(30.0), steps=17.0, run_on_m=0.0)
    assert speed_evidence(one, SURE_TAU, DEFAULTS).value == pytest.approx(9.0)
    q = 30.0 / curve.time_at(30.0) / 9.0
    assert step_evidence(one, 9.0, SURE_TAU, DEFAULTS).value == pytest.approx(30.0 / 17.0 / q)


def test_half_the_spread_of_tau_keeps_to_times_that_can_be():
    wide = Estimate(value=0.3, sd=0.4, basis="")
    assert tau_effect(lambda tau: 10.0 * tau, wide) == pytest.approx(10.0 * (0.7 - 0.1) / 2)
    assert tau_effect(lambda tau: -10.0 * tau, TAU) == pytest.approx(-2.0)


def test_a_measured_speed_is_as_unsure_as_one_given_and_the_share_it_was_held_at():
    plain = speed_evidence(seen(step_m=2.0, speed_mps=8.0), TAU, DEFAULTS)
    assert (plain.value, plain.relative_sd) == (8.0, pytest.approx(0.02))
    held = speed_evidence(seen(step_m=2.0, speed_mps=8.0, held_share=0.8), TAU, DEFAULTS)
    assert held.value == pytest.approx(10.0)
    assert held.relative_sd == pytest.approx(math.hypot(0.02, 0.02 / 0.8))


def test_a_zone_run_while_building_is_as_unsure_as_time_and_tau_together():
    curve = SpeedCurve(9.0, 1.1)
    time = curve.time_at(30.0) - curve.time_at(10.0)
    one = seen(distance_m=20.0, time_s=time, run_on_m=10.0)
    low, high = (top_speed_from_flying(20.0, time, 10.0, tau) for tau in (0.9, 1.3))
    got = speed_evidence(one, TAU, DEFAULTS)
    assert got.relative_sd == pytest.approx(math.hypot(0.1 / time, (high - low) / 2.0 / 9.0))


def test_a_video_is_read_to_its_own_frame():
    one = seen(distance_m=30.0, time_s=3.0, timing=Timing.VIDEO, fps=120.0)
    assert speed_evidence(one, TAU, DEFAULTS).relative_sd == pytest.approx(1 / 120 / 3.0)
    hand = seen(distance_m=30.0, time_s=3.0, timing=Timing.HAND, fps=120.0)
    assert speed_evidence(hand, TAU, DEFAULTS).relative_sd == pytest.approx(0.1 / 3.0)


def test_runs_that_lie_apart_are_no_surer_than_their_spread():
    apart_s = seen(distance_m=30.0, time_s=3.0, timing=Timing.GATES, runs=4, spread_s=0.06)
    assert speed_evidence(apart_s, TAU, DEFAULTS).relative_sd == pytest.approx(0.06 / 2.0 / 3.0)
    close = seen(distance_m=30.0, time_s=3.0, timing=Timing.GATES, runs=4, spread_s=0.004)
    assert speed_evidence(close, TAU, DEFAULTS).relative_sd == pytest.approx(0.01 / 2.0 / 3.0)


def test_no_reading_is_so_sure_that_others_count_for_nothing():
    (day,) = by_day(
        [reading(2.0, 0.0), reading(2.2, 1e-4)],
        between_days=0.0,
        growth_per_month=0.0,
        today=None,
    )
    assert math.log(day.value) == pytest.approx((math.log(2.0) + math.log(2.2)) / 2)
    assert day.relative_sd == pytest.approx(1e-4 / math.sqrt(2))


def test_without_readings_there_are_no_days():
    assert by_day([], between_days=0.035, growth_per_month=0.0, today=None) == ()


def test_days_are_named_in_the_basis_one_by_one():
    days = [reading(2.0, 0.04), reading(2.1, 0.04, DAY + timedelta(days=1))]
    assert combined(None, days, seen_as="counted steps").basis == "counted steps of 2 days"
    assert combined(None, days[:1], seen_as="counted steps").basis == "counted steps of 1 day"


def test_runs_over_marks_teach_no_step():
    over = seen(distance_m=24.0, time_s=3.3, steps=13.0, held_share=0.95, over_marks=True)
    assert step_evidence(over, 9.0, TAU, DEFAULTS) is None
    assert speed_evidence(over, TAU, DEFAULTS) is not None


def test_a_count_without_a_time_teaches_no_speed():
    assert speed_evidence(seen(distance_m=30.0, steps=15.0), TAU, DEFAULTS) is None


@settings(max_examples=25, deadline=None)
@given(
    st.floats(5.0, 12.0), st.floats(0.6, 1.0), st.floats(2.0, 50.0), st.sampled_from((20.0, 30.0))
)
def test_timed_runs_give_the_top_speed_back(top, share, run_on, zone):
    curve = SpeedCurve(top * share, 1.1)
    time = curve.time_at(run_on + zone) - curve.time_at(run_on)
    got = speed_evidence(
        seen(distance_m=zone, time_s=time, run_on_m=run_on, held_share=share, over_marks=True),
        SURE_TAU,
        DEFAULTS,
    )
    assert got.value == pytest.approx(top, rel=1e-9)
    assert got.over_marks


def test_speed_held_at_a_share_is_divided_by_it():
    got = speed_evidence(seen(distance_m=30.0, time_s=4.0, held_share=0.8), TAU, DEFAULTS)
    assert got.value == pytest.approx(7.5 / 0.8)
    assert got.relative_sd == pytest.approx(math.hypot(0.1 / 4.0, 0.02 / 0.8))


def test_speed_seen_at_a_place_is_carried_along_the_curve():
    there = SpeedCurve(9.0, 1.1).share_at(15.0) * 9.0
    got = speed_evidence(seen(step_m=1.8, speed_mps=there, run_on_m=15.0), SURE_TAU, DEFAULTS)
    assert got.value == pytest.approx(9.0)


@pytest.mark.parametrize(
    ("timing", "sd"), [(Timing.HAND, 0.1), (Timing.GATES, 0.01), (Timing.VIDEO, 1 / 30)]
)
def test_the_timing_sets_the_error_and_runs_lower_it(timing, sd):
    one = speed_evidence(seen(distance_m=30.0, time_s=3.0, timing=timing), TAU, DEFAULTS)
    assert one.relative_sd == pytest.approx(sd / 3.0)
    four = speed_evidence(seen(distance_m=30.0, time_s=3.0, timing=timing, runs=4), TAU, DEFAULTS)
    assert four.relative_sd == pytest.approx(sd / 3.0 / 2.0)


def test_runs_of_one_day_count_as_one_day():
    days = by_day(
        [reading(2.0, 0.02)] * 4 + [reading(2.1, 0.03, DAY + timedelta(days=7))],
        between_days=0.035,
        growth_per_month=0.0,
        today=None,
    )
    assert [day.date for day in days] == [DAY, DAY + timedelta(days=7)]
    assert days[0].value == pytest.approx(2.0)
    assert days[0].relative_sd == pytest.approx(math.hypot(0.02 / 2.0, 0.035))


def test_s10_one_perfect_day_is_no_surer_than_the_variation_between_days():
    """S10: up to 3.5 %, adults (Girard et al. 2016, abstract)."""
    (day,) = by_day(
        [reading(2.0, 0.0)] * 50,
        between_days=float(BETWEEN_DAY_STEP_SD),
        growth_per_month=0.0,
        today=None,
    )
    assert day.relative_sd == pytest.approx(0.035, rel=1e-4)


def test_runs_of_a_day_are_weighed_by_their_errors_in_log_space():
    (day,) = by_day(
        [reading(2.0, 0.01), reading(2.2, 0.02)],
        between_days=0.0,
        growth_per_month=0.0,
        today=None,
    )
    assert math.log(day.value) == pytest.approx((4 * math.log(2.0) + math.log(2.2)) / 5)
    assert day.relative_sd == pytest.approx((0.01**-2 + 0.02**-2) ** -0.5)


def test_old_days_of_a_growing_child_count_less():
    half_a_year = date(2026, 9, 3)
    (day,) = by_day(
        [reading(1.6, 0.02)], between_days=0.035, growth_per_month=0.005, today=half_a_year
    )
    assert day.relative_sd == pytest.approx(math.hypot(0.02, 0.035) + 0.03, abs=1e-3)


def test_without_a_day_of_today_age_counts_from_the_newest_day():
    old, new = by_day(
        [reading(1.6, 0.02), reading(1.7, 0.02, date(2026, 9, 3))],
        between_days=0.035,
        growth_per_month=0.005,
        today=None,
    )
    assert new.relative_sd == pytest.approx(math.hypot(0.02, 0.035))
    assert old.relative_sd == pytest.approx(new.relative_sd + 0.03, abs=1e-3)


def test_prior_and_days_meet_in_log_space_by_inverse_variance():
    prior = Estimate(value=2.0, sd=0.09, basis="leg from height")
    got = combined(prior, [reading(2.2, 0.04)], seen_as="counted steps")
    weight = 0.045**-2, 0.04**-2
    expected = (weight[0] * math.log(2.0) + weight[1] * math.log(2.2)) / sum(weight)
    assert math.log(got.value) == pytest.approx(expected)
    assert got.relative_sd == pytest.approx(sum(weight) ** -0.5)
    assert got.basis == "leg from height, counted steps of 1 day"


def test_without_days_the_prior_stands():
    prior = Estimate(value=2.0, sd=0.09, basis="leg from height")
    assert combined(prior, [], seen_as="counted steps") is prior


@settings(max_examples=40, deadline=None)
@given(
    st.floats(1.5, 2.5),
    st.lists(st.tuples(st.floats(1.5, 2.5), st.floats(0.005, 0.1)), min_size=1, max_size=6),
)
def test_what_is_learnt_lies_between_what_was_told_and_is_surer(prior_value, told):
    prior = Estimate(value=prior_value, sd=0.046 * prior_value, basis="leg")
    days = [reading(v, sd, DAY + timedelta(days=i)) for i, (v, sd) in enumerate(told)]
    got = combined(prior, days, seen_as="counted steps")
    values = [prior_value, *(v for v, _ in told)]
    assert min(values) * (1 - 1e-12) <= got.value <= max(values) * (1 + 1e-12)
    assert got.relative_sd < min(0.046, *(sd for _, sd in told)) * (1 + 1e-9)


def test_apart_counts_in_joint_sds():
    one = Estimate(value=9.0, sd=0.3, basis="")
    two = Estimate(value=10.0, sd=0.4, basis="")
    assert apart(one, two) == pytest.approx(2.0)
    sure = Estimate(value=9.0, sd=0.0, basis="")
    assert apart(sure, sure) == 0.0


def test_judgement_without_errors_does_not_break_the_weights():
    sure = Judgement(hand_sd_s=0.0, step_count_sd=0.0, between_day_speed_sd=0.0)
    got = speed_evidence(seen(distance_m=30.0, time_s=3.0), SURE_TAU, sure)
    (day,) = by_day([got], between_days=0.0, growth_per_month=0.0, today=None)
    assert combined(None, [day], seen_as="timed runs").value == pytest.approx(10.0)
