"""Top speed followed from day to day: errors, caps, and SDs that count what is held back."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.running.estimates import Estimate
from wicketlay.running.followed import followed
from wicketlay.running.observed import LEAST_SD, Evidence
from wicketlay.sources import Judgement

DAY = date(2026, 3, 3)
BASE = Estimate(value=8.0, sd=0.16, basis="top speed given")
NO_DRIFT = Judgement(top_speed_drift_sd=0.0, speed_trend_sd=0.0, speed_trend_drift_sd=0.0)


def days_of(*readings, sd=0.02, over_marks=True):
    return [
        Evidence(
            date=DAY + timedelta(days=7 * i), value=value, relative_sd=sd, over_marks=over_marks
        )
        for i, value in enumerate(readings)
    ]


def follow(base, days, **options):
    options.setdefault("judgement", NO_DRIFT)
    return followed(base, days, days, **options)


def test_nothing_to_follow_leaves_the_base():
    assert follow(BASE, []).laid == BASE


def test_neither_base_nor_days_is_refused():
    with pytest.raises(ValueError, match="neither"):
        follow(None, [])


def test_a_free_day_is_combined_by_inverse_variance_in_log_space():
    told = follow(BASE, days_of(8.4, over_marks=False))
    assert math.log(told.laid.value) == pytest.approx((math.log(8.0) + math.log(8.4)) / 2)
    assert told.laid.relative_sd == pytest.approx(0.02 / math.sqrt(2))
    assert told.laid.value == pytest.approx(told.told.value)


def test_the_weights_are_what_base_and_days_move_the_level_by():
    days = days_of(8.1, 8.2, 8.3, over_marks=False)
    told = follow(BASE, days, judgement=Judgement())

    def level_with(place, by):
        base, moved = BASE, list(days)
        if place == 0:
            base = replace(BASE, value=8.0 * math.exp(by), sd=0.16 * math.exp(by))
        else:
            before = days[place - 1]
            moved[place - 1] = replace(before, value=before.value * math.exp(by))
        return math.log(follow(base, moved, judgement=Judgement()).told.value)

    moves = [abs(level_with(place, 1e-4) - level_with(place, 0.0)) for place in range(4)]
    assert told.weights == pytest.approx([each / sum(moves) for each in moves], abs=1e-4)


def test_an_error_of_tau_is_that_of_all_days_and_no_number_of_them_averages_it_out():
    days = [
        replace(each, relative_sd=math.hypot(0.004, 0.012), tau_share=-0.012)
        for each in days_of(*[8.0] * 40, sd=0.004)
    ]
    told = follow(None, days).told
    assert told.relative_sd == pytest.approx(math.hypot(0.004 / math.sqrt(40), 0.012), rel=1e-6)
    # a figure that does not rest on tau has its part of the whole without it
    both = follow(Estimate(value=8.0, sd=8.0 * 0.004, basis="given"), days[:1]).told
    assert both.relative_sd == pytest.approx(math.hypot(0.004 / math.sqrt(2), 0.012 / 2), rel=1e-6)


def test_a_day_within_its_error_moves_nothing_at_all():
    after = follow(BASE, days_of(8.15))
    assert after.laid.value == BASE.value
    assert after.told.value > BASE.value


def test_what_is_not_worth_moving_marks_for_moves_none():
    sure = Estimate(value=8.0, sd=0.08, basis="given")
    day = days_of(8.0 * math.exp(0.038), sd=0.004)
    little = follow(sure, day)
    assert math.log(little.told.value / 8.0) > 2.0 * little.told.relative_sd
    assert math.log(little.told.value / 8.0) > 0.031
    assert little.laid.value > sure.value
    still = followed(sure, day, day, judgement=replace(NO_DRIFT, follow_from_share=0.034))
    assert still.laid.value == sure.value


def test_along_a_trend_less_is_enough():
    rising = days_of(*[8.0 * 1.006**week for week in range(1, 7)], sd=0.004)
    trend = followed(BASE, rising, rising)
    assert 0.0 <= math.log(trend.told.value / trend.laid.value) < 0.01
    drifting = followed(BASE, rising, rising, judgement=NO_DRIFT)
    assert math.log(8.0 * 1.006**6 / drifting.told.value) > math.log(
        8.0 * 1.006**6 / trend.told.value
    )


def test_what_lies_far_off_is_put_down_to_effort_nobody_told_but_only_upwards():
    asked = {"effort_sd": 0.02, "effort_asked": True}
    sure = Estimate(value=8.0, sd=0.06, basis="given")
    for factor, held in ((1.08, True), (0.92, False)):
        (told,) = days_of(8.0 * factor, sd=0.022)
        untold = replace(told, **asked)
        by_told = abs(math.log(follow(sure, [told]).told.value / 8.0))
        by_asked = abs(math.log(follow(sure, [untold]).told.value / 8.0))
        assert (by_asked < 0.5 * by_told) is held


def test_a_trend_fades_while_nobody_runs():
    rising = days_of(*[8.0 * 1.006**week for week in range(1, 7)], sd=0.004)
    rest = replace(rising[-1], date=rising[-1].date + timedelta(weeks=40), relative_sd=0.5)
    before, after = followed(BASE, rising, rising), followed(BASE, [*rising, rest], [*rising, rest])
    assert 0.0 < math.log(after.told.value / before.told.value) < 12.0 * 0.006
    assert after.told.relative_sd > before.told.relative_sd


def test_what_is_held_back_is_in_the_sd():
    after = follow(BASE, days_of(8.15))
    apart = math.log(after.told.value / after.laid.value)
    assert after.laid.relative_sd == pytest.approx(math.hypot(after.told.relative_sd, apart))


def test_days_that_agree_move_it_together_though_none_does_alone():
    assert follow(BASE, days_of(8.32)).laid.value == BASE.value
    several = follow(BASE, days_of(*[8.32] * 5))
    assert several.laid.value > BASE.value


def test_opening_is_capped_at_three_percent_a_day():
    sure = Estimate(value=8.0, sd=0.4, basis="given")
    first = follow(sure, days_of(8.0, 10.0, sd=0.01))
    before = follow(sure, days_of(8.0, sd=0.01))
    assert first.laid.value == pytest.approx(before.laid.value * 1.03)
    assert first.told.value > first.laid.value


def test_capped_tells_of_the_last_day_whether_it_would_have_opened_by_more_than_a_step():
    sure = Estimate(value=8.0, sd=0.4, basis="given")
    assert not follow(sure, []).capped
    assert not follow(None, days_of(8.0)).capped
    for readings, capped in (
        ([10.0], True),
        ([8.24], False),  # within a step
        ([6.5], False),  # closing
        ([8.02], False),  # moves nothing
        ([10.0, 7.0], False),
    ):
        judged = replace(NO_DRIFT, follow_from_share=0.01)
        after = follow(sure, days_of(*readings, sd=0.004), judgement=judged)
        assert after.capped is capped, readings
    assert not follow(sure, days_of(10.0, sd=0.01, over_marks=False)).capped


def test_closing_is_never_capped():
    unsure = Estimate(value=8.0, sd=0.8, basis="given")
    after = follow(unsure, days_of(6.5, sd=0.01))
    assert after.laid.value == pytest.approx(after.told.value)
    assert after.laid.value < 6.6


def test_a_first_estimate_is_corrected_a_step_a_review_up_to_two_sd():
    unsure = Estimate(value=8.0, sd=0.4, basis="given")  # 2 SD are 10 %
    for reviews, top in ((1, 1.03), (2, 1.03**2), (3, 1.03**3), (5, 1.10)):
        days = days_of(10.0, sd=0.01)
        after = followed(unsure, days, days * reviews, judgement=NO_DRIFT)
        assert after.laid.value == pytest.approx(8.0 * top)


def test_later_days_of_a_known_athlete_get_one_step_whatever_the_reviews():
    unsure = Estimate(value=8.0, sd=0.4, basis="given")
    days = days_of(8.0, 10.0, sd=0.01)
    once = followed(unsure, days, days, judgement=NO_DRIFT)
    often = followed(unsure, days, [*days, days[1], days[1]], judgement=NO_DRIFT)
    assert often.laid.value == once.laid.value


def test_a_guess_is_corrected_on_later_days_too_and_its_first_step_is_not_laying_short():
    guess = Estimate(value=8.0, sd=0.084 * 8.0, basis="height and cadence")
    first = follow(guess, days_of(9.0, sd=0.01), guessed=True)
    assert first.laid.value == 8.0
    days = days_of(9.0, 9.0, sd=0.01)
    second = followed(guess, days, [*days, days[1]], guessed=True, judgement=NO_DRIFT)
    assert second.laid.value == pytest.approx(8.0 * 1.03**2)


def test_a_guess_that_was_not_laid_short_opens_at_its_first_review():
    guess = Estimate(value=8.0, sd=0.084 * 8.0, basis="height and cadence")
    full = Judgement(top_speed_drift_sd=0.0, height_only_short=0.0)
    after = follow(guess, days_of(9.0, sd=0.01), guessed=True, judgement=full)
    assert after.laid.value == pytest.approx(8.0 * 1.03)


@pytest.mark.parametrize(
    ("relative_sd", "reviews", "top"),
    [(0.02, 1, 1.03), (0.02, 2, 1.04), (0.03, 2, 1.06), (0.01, 3, 1.03)],
)
def test_a_first_correction_ends_at_two_sd_and_is_a_step_at_least(relative_sd, reviews, top):
    unsure = Estimate(value=8.0, sd=8.0 * relative_sd, basis="given")
    days = days_of(11.0, sd=0.005)
    after = followed(unsure, days, days * reviews, judgement=NO_DRIFT)
    assert after.told.value > 8.0 * top
    assert after.laid.value == pytest.approx(8.0 * top)


def test_days_alone_are_combined_by_inverse_variance_with_the_drift_between_them():
    values, sds = (8.0, 8.6, 9.1), (0.01, 0.03, 0.02)
    days = [
        Evidence(date=DAY + timedelta(days=60 * i), value=value, relative_sd=sd)
        for i, (value, sd) in enumerate(zip(values, sds, strict=True))
    ]
    log, variance = math.log(8.0), 0.01**2
    for value, sd in zip(values[1:], sds[1:], strict=True):
        variance += 0.02**2 * 60 / 7
        log = (log / variance + math.log(value) / sd**2) / (1 / variance + 1 / sd**2)
        variance = 1 / (1 / variance + 1 / sd**2)
    after = followed(None, days, days, judgement=replace(NO_DRIFT, top_speed_drift_sd=0.02))
    assert math.log(after.laid.value) == pytest.approx(log)
    assert after.laid.relative_sd == pytest.approx(math.sqrt(variance))
    assert after.laid.basis == "timed runs of 3 days"
    one = followed(None, days[:1], days[:1])
    assert (one.laid.value, one.laid.relative_sd) == (pytest.approx(8.0), pytest.approx(0.01))
    assert one.laid.basis == "timed runs of 1 day"


def test_a_base_of_a_known_day_drifts_by_the_root_of_the_weeks_and_one_of_no_day_does_not():
    days = days_of(8.4, over_marks=False)
    judged = replace(NO_DRIFT, top_speed_drift_sd=0.03)
    drifted = 0.02**2 + 0.03**2 * 300 / 7
    for since, variance in ((DAY - timedelta(days=300), drifted), (None, 4e-4)):
        after = followed(BASE, days, days, base_date=since, judgement=judged)
        expected = (math.log(8.0) / variance + math.log(8.4) / 4e-4) / (1 / variance + 1 / 4e-4)
        assert math.log(after.laid.value) == pytest.approx(expected)


def test_what_is_still_held_back_does_not_open_gaps_after_a_slow_run():
    unsure = Estimate(value=8.0, sd=0.8, basis="given")
    one = follow(unsure, days_of(10.0, sd=0.01))
    slow = follow(unsure, days_of(10.0, one.laid.value * 0.97, sd=0.01))
    assert slow.told.value > one.laid.value
    assert slow.laid.value == pytest.approx(one.laid.value)


def test_an_old_base_drifts_and_weighs_less():
    days = days_of(8.6, over_marks=False)
    fresh = followed(BASE, days, days, base_date=DAY)
    old = followed(BASE, days, days, base_date=DAY - timedelta(days=360))
    assert old.laid.value > fresh.laid.value


def test_old_days_give_way_to_new_ones_when_an_athlete_improves():
    truth = [8.0 * 1.005**k for k in range(24)]  # half a percent a week
    after = followed(BASE, days_of(*truth), days_of(*truth))
    still = follow(BASE, days_of(*truth))
    assert abs(math.log(after.told.value / truth[-1])) < abs(math.log(still.told.value / truth[-1]))


FAST = Judgement(
    top_speed_drift_sd=0.004,
    speed_trend_sd=0.02,
    speed_trend_drift_sd=0.01,
    speed_trend_weeks=8.0,
    follow_from_share=0.0,
)
WEEKS = (1, 0.5, 3, 2, 6, 1, 0, 4)
"""Before each of the days."""


def irregular(logs, sds, **facts):
    """Return days of such logs, WEEKS apart."""
    days, day = [], DAY
    for weeks, log, sd in zip(WEEKS, logs, sds, strict=False):
        day += timedelta(days=round(7 * weeks))
        days.append(Evidence(date=day, value=math.exp(log), relative_sd=sd, **facts))
    return days


def textbook(level, variance, days, judged, variances):
    """Yield (expected level, its variance, level and trend, their covariance) of each day."""
    state, error = np.array([level, 0.0]), np.diag([variance, judged.speed_trend_sd**2])
    before = DAY
    for day, of_day in zip(days, variances, strict=True):
        weeks = (day.date - before).days / 7
        before = day.date
        kept = math.exp(-weeks / judged.speed_trend_weeks)
        step = np.array([[1.0, judged.speed_trend_weeks * (1.0 - kept)], [0.0, kept]])
        noise = np.diag([judged.top_speed_drift_sd**2, judged.speed_trend_drift_sd**2]) * weeks
        state, error = step @ state, step @ error @ step.T + noise
        ahead = state[0], error[0, 0]
        gain = error[:, 0] / (error[0, 0] + of_day)
        state = state + gain * (math.log(day.value) - state[0])
        error = error - np.outer(gain, error[0])
        yield *ahead, state, error


SCATTERED = (2.10, 2.13, 2.09, 2.16, 2.20, 2.17, 2.24, 2.22)
SDS = (0.02, 0.01, 0.03, 0.02, 0.015, 0.01, 0.02, 0.03)


@pytest.mark.parametrize("of_base", [0.03, 0.0, 0.012], ids=["whole", "floor", "part"])
def test_level_and_trend_are_those_of_the_textbook(of_base):
    """Whatever part of the base's error is tau's; an error of tau goes the way of the weights."""
    shares = (0.004, -0.006, 0.002, 0.009, -0.003, 0.001, -0.008, 0.005)
    days = irregular(SCATTERED, SDS)
    days = [replace(day, tau_share=share) for day, share in zip(days, shares, strict=True)]
    base = Estimate(value=8.0, sd=8.0 * 0.03, basis="given")
    tau = math.sqrt(0.03**2 - of_base**2)
    variances = [sd**2 - share**2 for sd, share in zip(SDS, shares, strict=True)]

    def last(logs):
        moved = [replace(d, value=math.exp(log)) for d, log in zip(days, logs[1:], strict=True)]
        of_all = [*textbook(logs[0], max(of_base**2, LEAST_SD**2), moved, FAST, variances)]
        return of_all[-1][2][0], of_all[-1][3][0, 0]

    logs = np.array([math.log(8.0), *SCATTERED])
    level, variance = last(logs)
    weights = [last(logs + one)[0] - level for one in np.eye(len(logs))]
    told = followed(base, days, [], base_date=DAY, base_tau_share=tau, judgement=FAST).told
    assert math.log(told.value) == pytest.approx(level, rel=1e-9)
    moved_by = float(np.dot(weights, [tau, *shares]))
    assert told.relative_sd == pytest.approx(math.hypot(math.sqrt(variance), moved_by), rel=1e-9)


def test_without_a_base_the_first_day_is_one_with_its_own_part_of_tau():
    days = [replace(each, tau_share=0.008) for each in irregular(SCATTERED, SDS)]
    days[0] = replace(days[0], tau_share=-0.016)
    (*_, (_, _, state, error)) = textbook(
        SCATTERED[0],
        0.02**2 - 0.016**2,
        [replace(days[1], date=DAY + (days[1].date - days[0].date))],
        FAST,
        [0.01**2 - 0.008**2],
    )
    told = followed(None, days[:2], [], judgement=FAST)
    assert math.log(told.told.value) == pytest.approx(state[0], rel=1e-9)
    of_tau = told.weights[0] * -0.016 + told.weights[1] * 0.008
    assert told.told.relative_sd == pytest.approx(math.hypot(math.sqrt(error[0, 0]), of_tau))


def test_a_base_measured_after_the_first_day_has_not_drifted_before_it():
    days = days_of(8.4, 8.3, over_marks=False)
    late, same = (
        followed(BASE, days, days, base_date=DAY + timedelta(days=by), judgement=FAST)
        for by in (5, 0)
    )
    assert late.told == same.told


@pytest.mark.parametrize(
    ("off", "variance"),
    [
        # own 0.05² - 0.02²; clock 0.05² - 0.03²; explained 2.2² times 0.06² and that
        (0.25, 0.0021 - 0.0009 + 0.0625 - 4.84 * 0.0052),
        (0.17, 0.0021 - 0.0009 + 0.0289 - 4.84 * 0.0052),
        (0.10, 0.0021),
        (-0.25, 0.0021),
    ],
)
def test_effort_is_as_unsure_as_a_day_lies_beyond_speed_and_clock(off, variance):
    (day,) = days_of(8.0 * math.exp(off), sd=0.05)
    day = replace(day, effort_sd=0.03, effort_asked=True, tau_share=0.02)
    after = follow(Estimate(value=8.0, sd=0.48, basis="given"), [day])
    assert after.weights[1] == pytest.approx(0.0036 / (0.0036 + variance))
    told = follow(Estimate(value=8.0, sd=0.48, basis="given"), [replace(day, effort_asked=False)])
    assert told.weights[1] == pytest.approx(0.0036 / (0.0036 + 0.0021))


@pytest.mark.parametrize(
    ("sign", "asked", "first"), [(1, False, 3), (1, True, 5), (-1, True, 3), (-1, False, 3)]
)
def test_marks_follow_beyond_two_sd_and_open_beyond_three_on_effort_nobody_told(sign, asked, first):
    """Days at 1.6 SD of each, as sure as the base: after n they are 1.6 n / sqrt(n + 1) SD off."""
    base = Estimate(value=8.0, sd=8.0 * 0.005, basis="given")
    judged = replace(NO_DRIFT, follow_from_share=0.0)
    days = days_of(*[8.0 * math.exp(sign * 0.008)] * 6, sd=0.005)
    days = [replace(each, effort_asked=asked) for each in days]
    moved = [
        count
        for count in range(1, 7)
        if followed(base, days[:count], days[:count], judgement=judged).laid.value != 8.0
    ]
    assert moved[0] == first


def laid_by_rule(days, judged, seen):
    """Return log and variance marks are laid by after days over marks, told by the textbook."""
    laid = math.log(8.0)
    variance, before = 0.02**2, DAY
    variances = [day.relative_sd**2 for day in days]
    for day, (expected, of_expected, state, error) in zip(
        days, textbook(laid, variance, days, judged, variances), strict=True
    ):
        log, level, sd = math.log(day.value), state[0], math.sqrt(error[0, 0])
        surest = variance + judged.top_speed_drift_sd**2 * (day.date - before).days / 7
        before = day.date
        by = level - laid
        trend = state[1] * (1.0 if by > 0.0 else -1.0) / math.sqrt(error[1, 1])
        from_sds = 0.4 if trend > 1.0 else 2.0
        seen.add(("along", by > 0.0, 0.4 < abs(by) / sd < 2.0, abs(by) / sd > 2.0, trend > 1.0))
        seen.add(("trend", 0.5 < trend < 1.0 and 0.4 < abs(by) / sd < 2.0))
        if (log - laid) * by > 0.0 and abs(by) > from_sds * sd:
            laid = min(level, laid + math.log1p(judged.progress_cap))
        variance = error[0, 0] + (level - laid) ** 2
        contradicted = abs(log - expected) > 2.0 * math.sqrt(of_expected + day.relative_sd**2)
        seen.add(("sd", contradicted, variance > surest))
        if not contradicted:
            variance = min(variance, surest)
    return laid, variance


def test_marks_follow_trends_sooner_and_no_day_makes_them_less_sure_but_one_that_contradicts():
    """Series that rise, fall and jump; each of the cases is met."""
    rng, seen = np.random.default_rng(7), set()
    judged = replace(FAST, speed_trend_sd=0.006, speed_trend_drift_sd=0.001)
    for rate in (-0.02, -0.01, -0.004, 0.0, 0.004, 0.01, 0.02):
        for scatter in (0.002, 0.01, 0.04):
            gone = np.cumsum(WEEKS)
            logs = math.log(8.0) + rate * gone + rng.normal(0.0, scatter, len(gone))
            days = irregular(logs, rng.uniform(0.5, 1.5, len(gone)) * 0.01, over_marks=True)
            for count in range(1, len(days) + 1):
                some = days[:count]
                laid = followed(BASE, some, some, base_date=DAY, judgement=judged).laid
                log, variance = laid_by_rule(some, judged, seen)
                assert math.log(laid.value) == pytest.approx(log, rel=1e-9)
                assert laid.relative_sd == pytest.approx(math.sqrt(variance), rel=1e-9)
    for up in (True, False):
        assert {("along", up, True, False, True), ("along", up, True, False, False)} <= seen
    assert ("trend", True) in seen
    assert {("sd", True, True), ("sd", False, True), ("sd", False, False)} <= seen


@settings(max_examples=60)
@given(
    seen=st.lists(st.floats(5.0, 11.0), min_size=1, max_size=8),
    sd=st.floats(0.005, 0.08),
    guessed=st.booleans(),
)
def test_no_day_opens_by_more_than_a_step_and_no_sd_vanishes(seen, sd, guessed):
    before = BASE
    for count in range(1, len(seen) + 1):
        after = follow(BASE, days_of(*seen[:count], sd=sd), guessed=guessed).laid
        assert after.value <= before.value * 1.03 * (1 + 1e-12)
        assert after.sd > 0.0
        before = after
