"""From facts to a runner: which basis, how sure, what is said, what is refused."""

import math
import string
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.running.athlete import (
    Athlete,
    ClockStart,
    FirstGuess,
    FlyingTime,
    NotEnoughKnown,
    Observation,
    Sex,
    Splits,
    Timing,
    make_runner,
)
from wicketlay.running.sprint import SpeedCurve, fit_splits, top_speed_from_flying
from wicketlay.sources import Judgement, Standard
from wicketlay.wording import _catalogue
from wicketlay.wording.running import WORDING

DAY = date(2026, 3, 4)
MARKS_M = (10.0, 20.0, 30.0, 40.0)


def athlete(**facts):
    return Athlete(**{"name": "Tarik", "height_m": 1.82, **facts})


def splits_of(speed, tau, **how):
    times = SpeedCurve(speed, tau).time_at
    return Splits(distances_m=MARKS_M, times_s=tuple(times(m) for m in MARKS_M), **how)


def flying_of(speed, tau=1.1, **how):
    curve = SpeedCurve(speed, tau)
    time = curve.time_at(50.0) - curve.time_at(30.0)
    return FlyingTime(distance_m=20.0, time_s=time, run_on_m=30.0, **how)


def codes(runner):
    return [finding.code for finding in runner.findings]


def found(runner, code):
    (finding,) = (f for f in runner.findings if f.code == code)
    return finding


def refused(*arguments, **keywords):
    with pytest.raises(NotEnoughKnown) as caught:
        make_runner(*arguments, **keywords)
    finding = caught.value.finding
    assert finding.level is Level.STOP
    assert finding.athlete == arguments[0].name
    return finding


# --- which basis -------------------------------------------------------------------------------


def test_splits_come_first_then_flying_then_the_given_speed():
    all_three = athlete(splits=splits_of(9.4, 1.2), flying=flying_of(9.3), top_speed_mps=9.2)
    runner = make_runner(all_three)
    assert runner.top_speed.value == pytest.approx(9.4, rel=1e-6)
    assert runner.top_speed.basis == "4 splits"
    assert runner.time_constant.value == pytest.approx(1.2, rel=1e-6)
    assert runner.zone_mean_mps is None
    without = make_runner(replace(all_three, splits=None))
    assert without.top_speed.value == pytest.approx(9.3, rel=1e-9)
    assert without.top_speed.basis == "flying time"
    given_ = make_runner(replace(all_three, splits=None, flying=None))
    assert given_.top_speed.value == 9.2
    assert given_.top_speed.basis == "top speed given"
    assert not any(one.provisional for one in (runner, without, given_))


def test_a_flying_time_keeps_zone_mean_and_top_speed_apart():
    flying = FlyingTime(distance_m=20.0, time_s=2.2, run_on_m=30.0)
    runner = make_runner(athlete(flying=flying))
    assert runner.zone_mean_mps == pytest.approx(20.0 / 2.2)
    assert runner.top_speed.value == pytest.approx(top_speed_from_flying(20.0, 2.2, 30.0, 1.1))
    assert runner.top_speed.value > runner.zone_mean_mps


def test_a_tau_of_the_athlete_is_used_with_the_flying_time():
    flying = FlyingTime(distance_m=20.0, time_s=2.2, run_on_m=20.0)
    runner = make_runner(athlete(flying=flying, time_constant_s=1.3))
    assert runner.top_speed.value == pytest.approx(top_speed_from_flying(20.0, 2.2, 20.0, 1.3))
    assert runner.time_constant.value == 1.3
    assert "time_constant_s" not in runner.defaults


def test_timed_runs_alone_are_a_basis():
    seen = Observation(date=DAY, distance_m=30.0, time_s=4.0, steps=15.0, held_share=0.8)
    runner = make_runner(athlete(observations=(seen,)))
    assert runner.top_speed.value == pytest.approx(7.5 / 0.8)
    assert not runner.provisional
    assert runner.top_speed.basis == "timed runs of 1 day"


def test_the_better_of_two_agreeing_bases_is_used_and_the_other_named():
    runner = make_runner(athlete(flying=flying_of(9.3), top_speed_mps=9.2))
    note = found(runner, "top-speed-unused")
    assert note.level is Level.NOTE
    assert note.values["used"] == "flying time"
    assert note.values["unused"] == "top speed given"
    assert note.values["unused_mps"] == 9.2


def test_bases_that_disagree_are_a_caution():
    runner = make_runner(athlete(flying=flying_of(9.3), top_speed_mps=7.9))
    caution = found(runner, "top-speeds-disagree")
    assert caution.level is Level.CAUTION
    assert float(caution.values["sds"]) > 2.0
    assert runner.top_speed.value == pytest.approx(9.3, rel=1e-9)


# --- how sure ----------------------------------------------------------------------------------


def test_the_error_of_a_flying_time_has_timing_runs_and_tau_in_it():
    def sd(**how):
        tau = how.pop("tau", 1.1)
        return make_runner(
            athlete(flying=flying_of(9.3, **how), time_constant_s=tau)
        ).top_speed.relative_sd

    gates, hand, four = sd(timing=Timing.GATES), sd(), sd(runs=4)
    time = flying_of(9.3).time_s
    read = sd(timing=Timing.GATES, wind_mps=0.0)
    assert hand**2 - read**2 == pytest.approx((0.1**2 - 0.01**2) / time**2, rel=1e-6)
    # of a gate time nobody read the wind of it is half a percent more
    assert gates**2 - read**2 == pytest.approx(0.005**2, rel=1e-6)
    assert hand**2 - four**2 == pytest.approx(0.75 * (0.1 / time) ** 2, rel=1e-6)
    # the variation from day to day is the least there is
    assert gates > 0.01
    short = FlyingTime(distance_m=20.0, time_s=2.4, run_on_m=10.0)
    assumed = make_runner(athlete(flying=short)).top_speed.relative_sd
    known = make_runner(athlete(flying=short, time_constant_s=1.1)).top_speed.relative_sd
    assert assumed > known


def test_the_error_of_splits_is_that_of_the_fit_and_of_the_day():
    splits = splits_of(9.4, 1.2)
    fit = fit_splits(splits.distances_m, splits.times_s)
    runner = make_runner(athlete(splits=splits))
    assert runner.top_speed.sd == pytest.approx(math.hypot(fit.top_speed_sd_mps, 0.094))
    assert runner.time_constant.sd == pytest.approx(fit.time_constant_sd_s)


def test_the_error_of_a_given_speed_is_given_or_judged():
    assert make_runner(athlete(top_speed_mps=9.0)).top_speed.sd == pytest.approx(0.18)
    given_ = athlete(top_speed_mps=9.0, top_speed_sd_mps=0.05)
    assert make_runner(given_).top_speed.sd == 0.05
    wide = make_runner(athlete(top_speed_mps=9.0), judgement=Judgement(top_speed_sd=0.05))
    assert wide.top_speed.relative_sd == pytest.approx(0.05)


def test_an_assumed_tau_is_a_default_with_its_band():
    runner = make_runner(athlete(top_speed_mps=9.0))
    assert (runner.time_constant.value, runner.time_constant.sd) == (1.1, 0.2)
    assert runner.defaults["time_constant_s"] == 1.1


def test_a_measured_leg_makes_the_step_surer():
    estimated = make_runner(athlete(top_speed_mps=9.0))
    measured = make_runner(athlete(top_speed_mps=9.0, leg_m=0.94))
    assert estimated.gait.top_step.relative_sd == pytest.approx(0.046)
    assert measured.gait.top_step.relative_sd == pytest.approx(0.040)
    assert estimated.defaults["leg_m"] == pytest.approx(0.515 * 1.82)
    assert "leg_m" not in measured.defaults
    assert measured.gait.leg.basis == "leg measured"


# --- height and cadence only -------------------------------------------------------------------


def test_height_only_of_the_issue():
    """Issue: 1.82 m, 4.4 steps/s at 95 % gives 10.5 to 11.0 m/s, one SD 8.4 %."""
    runner = make_runner(athlete(), cadence_hz=4.4, speed_share=0.95)
    assert 10.5 <= runner.top_speed.value <= 11.0
    assert runner.top_speed.relative_sd == pytest.approx(0.084)
    assert runner.gait.top_step.relative_sd == pytest.approx(0.084)
    assert runner.provisional
    assert runner.top_speed.basis == "height and cadence"
    # the cadence asked is the natural one of the runner it was guessed from
    assert runner.gait.natural_cadence_hz(0.95) == pytest.approx(4.4)


def test_the_guess_tells_how_to_freeze_it():
    note = found(make_runner(athlete(), cadence_hz=4.4), "top-speed-guessed")
    assert note.level is Level.NOTE
    assert (note.values["cadence_hz"], note.values["speed_share"]) == (4.4, 0.95)


def test_a_frozen_guess_wins_over_the_drills_cadence():
    """Raising the cadence afterwards changes the gaps and not the athlete."""
    frozen = athlete(first_guess=FirstGuess(cadence_hz=4.4, speed_share=0.95))
    first = make_runner(athlete(), cadence_hz=4.4, speed_share=0.95)
    later = make_runner(frozen, cadence_hz=4.7, speed_share=0.90)
    assert later.top_speed == first.top_speed
    assert later.gait == first.gait
    assert "top-speed-from-first-guess" in codes(later)
    assert "top-speed-guessed" not in codes(later)
    assert make_runner(frozen).top_speed == first.top_speed


def test_a_low_share_guesses_from_the_floor():
    low = make_runner(athlete(), cadence_hz=4.0, speed_share=0.7)
    floor = make_runner(athlete(), cadence_hz=4.0, speed_share=0.6)
    assert low.top_speed.value == floor.top_speed.value


@pytest.mark.parametrize(
    ("standard", "sex", "cap"),
    [
        (Standard.CLUB, Sex.MALE, 9.8),
        (Standard.CLUB, Sex.FEMALE, 8.5),
        (Standard.CLUB, None, 8.5),
        (Standard.UNDER_15, Sex.MALE, 8.0),
        (Standard.UNDER_13, None, 7.0),
        (Standard.UNDER_17, Sex.FEMALE, 9.0),
    ],
)
def test_the_level_caps_a_guess(standard, sex, cap):
    runner = make_runner(athlete(level=standard, sex=sex), cadence_hz=4.4)
    assert runner.top_speed.value == cap
    note = found(runner, "guess-capped")
    assert note.values["cap_mps"] == cap
    assert note.values["guessed_mps"] > 10.0
    assert runner.gait.top_step.value * runner.gait.top_cadence.value == pytest.approx(cap)


def test_a_high_level_leaves_a_guess_alone():
    runner = make_runner(athlete(level=Standard.NATIONAL, sex=Sex.MALE), cadence_hz=4.4)
    assert "guess-capped" not in codes(runner)


def test_faster_than_anyone_is_refused_even_with_a_level():
    """Issue: 1.92 m and 5.0 steps/s."""
    for level in (None, Standard.CLUB):
        finding = refused(athlete(height_m=1.92, level=level), cadence_hz=5.0)
        assert finding.code == "faster-than-anyone"
        assert finding.values["limit_mps"] == pytest.approx(12.4)
        assert finding.values["top_mps"] > 12.4


def test_height_alone_is_not_enough():
    finding = refused(athlete())
    assert finding.code == "top-speed-unknown"


def test_a_count_without_time_is_not_enough_either():
    seen = Observation(date=DAY, distance_m=30.0, steps=14.0)
    assert refused(athlete(observations=(seen,))).code == "top-speed-unknown"
    runner = make_runner(athlete(observations=(seen,)), cadence_hz=4.4)
    assert runner.provisional


@pytest.mark.parametrize(
    ("cadence", "share", "code"),
    [
        (2.4, 0.95, "guess-cadence-out-of-range"),
        (6.1, 0.95, "guess-cadence-out-of-range"),
        (math.nan, 0.95, "guess-cadence-out-of-range"),
        (4.4, 0.4, "guess-share-out-of-range"),
        (4.4, 1.1, "guess-share-out-of-range"),
    ],
)
def test_a_guess_from_an_unlikely_drill_is_refused(cadence, share, code):
    assert refused(athlete(), cadence_hz=cadence, speed_share=share).code == code


def test_a_slow_guess_is_refused():
    finding = refused(athlete(height_m=1.0), cadence_hz=2.5)
    assert finding.code == "slower-than-a-run"


@settings(max_examples=40, deadline=None)
@given(st.floats(1.3, 2.0), st.floats(3.2, 4.4), st.floats(0.89, 1.0))
def test_a_guess_asks_for_the_cadence_it_came_from(height, cadence, share):
    try:
        runner = make_runner(athlete(height_m=height), cadence_hz=cadence, speed_share=share)
    except NotEnoughKnown:
        return
    assert runner.gait.natural_cadence_hz(share) == pytest.approx(cadence, rel=1e-9)


# --- splits ------------------------------------------------------------------------------------

BAD_SPLITS = Splits(distances_m=(10.0, 20.0), times_s=(2.0, 4.1))


def test_unusable_splits_with_another_basis_are_a_caution():
    runner = make_runner(athlete(splits=BAD_SPLITS, top_speed_mps=9.0))
    assert found(runner, "splits-unusable").level is Level.CAUTION
    assert runner.top_speed.value == 9.0


def test_unusable_splits_alone_are_a_stop_even_with_a_cadence():
    finding = refused(athlete(splits=BAD_SPLITS), cadence_hz=4.4)
    assert finding.code == "splits-unusable"
    assert "between 1.414 and 2.000 times" in str(finding.values["reason"])


def test_splits_of_a_forgotten_gate_look_unlikely():
    times = tuple(SpeedCurve(9.0, 1.1).time_at(m) - 0.45 for m in MARKS_M)
    late = make_runner(athlete(splits=Splits(distances_m=MARKS_M, times_s=times)))
    caution = found(late, "time-constant-unlikely")
    assert caution.values["time_constant_s"] < 0.5
    named = Splits(distances_m=MARKS_M, times_s=times, start=ClockStart.GATE)
    runner = make_runner(athlete(splits=named))
    assert "time-constant-unlikely" not in codes(runner)
    assert runner.top_speed.value == pytest.approx(9.0, rel=1e-3)


@pytest.mark.parametrize(("speed", "tau"), [(6.0, 1.0), (8.9, 1.15), (10.5, 1.2)])
@pytest.mark.parametrize("count", [2, 3, 4])
def test_v10_a_foot_release_told_as_first_movement_looks_unlikely(speed, tau, count):
    """V10: foot release 0.69 s before the gun's time, 0.15 s of it reaction. Haugen et al. 2012."""
    times = tuple(SpeedCurve(speed, tau).time_at(m) - 0.54 for m in MARKS_M[:count])
    told = Splits(distances_m=MARKS_M[:count], times_s=times)
    assert "time-constant-unlikely" in codes(make_runner(athlete(splits=told)))
    named = replace(told, start=ClockStart.FOOT_RELEASE)
    runner = make_runner(athlete(splits=named))
    assert "time-constant-unlikely" not in codes(runner)
    assert runner.top_speed.value == pytest.approx(speed, rel=1e-3)


def test_splits_faster_than_anyone_are_refused():
    finding = refused(athlete(splits=splits_of(13.5, 1.2)))
    assert (finding.code, finding.values["basis"]) == ("faster-than-anyone", "4 splits")


# --- observed runs -----------------------------------------------------------------------------


def counted(steps, day=DAY, **how):
    """Thirty metres at top speed, 9 m/s."""
    return Observation(date=day, distance_m=30.0, time_s=30.0 / 9.0, steps=steps, **how)


def test_counted_steps_pull_the_step_their_way():
    plain = make_runner(athlete(top_speed_mps=9.0))
    before = plain.gait.top_step.value
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(counted(15.0),)))
    step = runner.gait.top_step
    assert 2.0 < step.value < before
    assert step.relative_sd < plain.gait.top_step.relative_sd
    assert "counted steps of 1 day" in step.basis
    assert step.value * runner.gait.top_cadence.value == pytest.approx(runner.top_speed.value)


def test_more_days_count_more_than_more_runs():
    one_day = tuple(counted(15.0, held_share=share) for share in (0.97, 0.98, 0.99, 1.0))
    four_days = tuple(counted(15.0, DAY + timedelta(days=7 * i)) for i in range(4))
    first = make_runner(athlete(top_speed_mps=9.0, observations=one_day))
    second = make_runner(athlete(top_speed_mps=9.0, observations=four_days))
    assert second.gait.top_step.relative_sd < first.gait.top_step.relative_sd


def test_runs_over_wickets_leave_the_step_alone():
    plain = make_runner(athlete(top_speed_mps=9.0))
    over = counted(13.0, held_share=0.95, over_marks=True)
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(over,)))
    # the step follows the speed and nothing else
    speed_only = runner.top_speed.value / plain.top_speed.value
    assert runner.gait.top_step.value == pytest.approx(plain.gait.top_step.value * speed_only**0.45)
    assert runner.gait.top_step.relative_sd == plain.gait.top_step.relative_sd
    (said,) = [each for each in runner.findings if each.code == "steps-over-marks"]
    assert said.level is Level.NOTE
    assert "steps-over-marks" not in {each.code for each in plain.findings}


def test_a_free_timed_run_sharpens_the_speed():
    seen = Observation(
        date=DAY, distance_m=30.0, time_s=30.0 / 9.4, steps=14.0, timing=Timing.GATES
    )
    plain = make_runner(athlete(top_speed_mps=9.0))
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(seen,)))
    reading = math.hypot(0.01 / (30.0 / 9.4), 0.01, 0.005)
    weights = 0.02**-2, reading**-2
    expected = math.exp((weights[0] * math.log(9.0) + weights[1] * math.log(9.4)) / sum(weights))
    assert runner.top_speed.value == pytest.approx(expected)
    assert runner.top_speed.sd < plain.top_speed.sd


def test_the_flying_time_entered_again_as_a_count_does_not_count_twice():
    flying = flying_of(9.3, date=DAY)
    again = Observation(date=DAY, distance_m=20.0, time_s=flying.time_s, steps=9.0, run_on_m=30.0)
    plain = make_runner(athlete(flying=flying))
    runner = make_runner(athlete(flying=flying, observations=(again,)))
    assert runner.top_speed == plain.top_speed
    assert "counted steps" in runner.gait.top_step.basis


def test_no_mark_of_a_child_moves_back_because_days_go_by():
    runs = tuple(
        Observation(
            date=DAY + timedelta(weeks=weeks),
            distance_m=21.13,
            time_s=time_s,
            timing=Timing.GATES,
            held_share=0.94,
            asked_share=0.94,
            run_on_m=19.9,
            over_marks=True,
        )
        for weeks, time_s in ((0, 2.63), (1, 2.60), (3, 2.60), (4, 2.54))
    )
    kim = athlete(height_m=1.64, sex="f", age_years=16.0, top_speed_mps=8.64, observations=runs)
    last = runs[-1].date
    then = make_runner(kim, today=last).top_speed
    assert then.value > 8.8
    for weeks in (1, 4, 52):
        assert make_runner(kim, today=last + timedelta(weeks=weeks)).top_speed == then


def test_an_old_count_of_a_child_is_less_sure_than_one_of_an_adult():
    seen = counted(17.0, date(2025, 9, 4))
    adult = make_runner(athlete(top_speed_mps=9.0, observations=(seen,), age_years=25.0), today=DAY)
    child = make_runner(athlete(top_speed_mps=9.0, observations=(seen,), age_years=17.0), today=DAY)
    assert child.gait.top_step.relative_sd > adult.gait.top_step.relative_sd
    born = athlete(top_speed_mps=9.0, observations=(seen,), born=date(2009, 3, 4))
    assert make_runner(born, today=DAY).gait.top_step == child.gait.top_step


@pytest.mark.parametrize(
    ("age", "low", "high"), [(25.0, 0.0, 0.035), (None, 0.0, 0.035), (14.0, 0.038, 0.050)]
)
def test_s10_a_day_of_counts_is_no_surer_than_the_variation_between_days(age, low, high):
    """S10: up to 3.5 % (adults), Girard et al. 2016; 3.8 to 5.0 % (boys), Meyers et al. 2015."""
    exact = Judgement(step_count_sd=0.0, step_sd_estimated=0.2)
    one = athlete(top_speed_mps=9.0, observations=(counted(15.0),), age_years=age)
    seen = make_runner(one, today=DAY, judgement=exact).gait.top_step.relative_sd
    # a day without error of its own and a prior of 20 %, by inverse variance
    day = (seen**-2 - 0.2**-2) ** -0.5
    assert max(low, 0.034) <= day <= high + 1e-5


def test_steps_that_disagree_are_a_caution():
    seen = tuple(counted(18.5, DAY + timedelta(days=i)) for i in range(3))
    caution = found(
        make_runner(athlete(top_speed_mps=9.0, observations=seen)), "counted-steps-disagree"
    )
    assert caution.level is Level.CAUTION
    assert caution.values["days"] == 3
    assert caution.values["seen_m"] < caution.values["known_m"]


def test_timed_runs_that_disagree_are_a_caution():
    seen = Observation(date=DAY, distance_m=30.0, time_s=4.0, timing=Timing.GATES)
    caution = found(
        make_runner(athlete(top_speed_mps=9.0, observations=(seen,))), "timed-runs-disagree"
    )
    assert caution.values["seen_mps"] == pytest.approx(7.5)


def timed(speed, day=DAY, **how):
    """Thirty metres at a speed, by gates."""
    how.setdefault("timing", Timing.GATES)
    return Observation(date=day, distance_m=30.0, time_s=30.0 / speed, **how)


@pytest.mark.parametrize("seen_mps", [9.15, 8.87])
def test_what_runs_over_marks_tell_is_kept_beside_what_marks_are_laid_by(seen_mps):
    """A day within its error moves no mark, faster or slower, and still tells something."""
    told = timed(seen_mps, timing=Timing.HAND, over_marks=True)
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(told,)))
    assert runner.top_speed.value == 9.0
    assert (runner.told_speed.value - 9.0) * (seen_mps - 9.0) > 0.0
    assert abs(runner.told_speed.value - 9.0) < abs(seen_mps - 9.0)


def test_free_runs_tell_what_marks_are_laid_by():
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(timed(9.2),)))
    assert runner.top_speed.value > 9.0
    assert runner.told_speed is None
    assert make_runner(athlete(top_speed_mps=9.0)).told_speed is None


def test_a_first_run_over_marks_takes_the_shortness_of_a_guess_and_opens_what_was_measured():
    quick = timed(11.0, over_marks=True)
    guessed = make_runner(
        athlete(first_guess=FirstGuess(cadence_hz=4.0, speed_share=0.95), observations=(quick,))
    )
    alone = make_runner(athlete(first_guess=FirstGuess(cadence_hz=4.0, speed_share=0.95)))
    assert guessed.top_speed.value == pytest.approx(alone.top_speed.value)
    measured = make_runner(
        athlete(top_speed_mps=alone.top_speed.value, observations=(quick,), top_speed_sd_mps=0.5)
    )
    assert measured.top_speed.value == pytest.approx(1.03 * alone.top_speed.value)


def test_a_run_that_tells_nothing_does_not_silence_the_next():
    flying = flying_of(9.3, date=DAY)
    again = Observation(date=DAY, distance_m=20.0, time_s=flying.time_s, run_on_m=30.0)
    count = Observation(date=DAY, distance_m=30.0, steps=14.0)
    from_rest = {"run_on_m": 0.0, "timing": Timing.GATES}
    wild = Observation(date=DAY, distance_m=5.0, time_s=0.4, **from_rest)
    wilder = Observation(date=DAY, distance_m=3.0, time_s=0.3, **from_rest)
    good = timed(9.5, DAY + timedelta(days=7))
    for nothing, tau in ((again, 2.0), (wild, 1.1), (wilder, 2.0)):
        facts = {"flying": flying, "time_constant_s": tau}
        alone = make_runner(athlete(observations=(count, good), **facts))
        runner = make_runner(athlete(observations=(nothing, count, good), **facts))
        assert runner.top_speed == alone.top_speed
        assert alone.top_speed != make_runner(athlete(**facts)).top_speed


def test_a_run_that_cannot_be_carried_to_a_top_speed_says_why():
    from_rest = {"run_on_m": 0.0, "timing": Timing.GATES}
    wilder = Observation(date=DAY, distance_m=3.0, time_s=0.3, **from_rest)
    runner = make_runner(athlete(top_speed_mps=9.0, time_constant_s=2.0, observations=(wilder,)))
    assert found(runner, "timed-run-unusable").values["reason"] == (
        "3 m in 0.3 s after a run-on of 0 m is faster than anyone"
    )
    wild = Observation(date=DAY, distance_m=5.0, time_s=0.4, **from_rest)
    runner = make_runner(athlete(top_speed_mps=9.0, time_constant_s=1.1, observations=(wild,)))
    told = top_speed_from_flying(5.0, 0.4, 0.0, 1.1)
    assert found(runner, "timed-run-unusable").values["reason"] == (
        f"it tells of a top speed of {told:.1f} m/s; it must lie between 1 and 15 m/s"
    )


@pytest.mark.parametrize(("speed", "held"), [(1.0, None), (7.5, 0.5)])
def test_a_run_at_the_end_of_what_can_be_is_still_used(speed, held):
    seen = timed(speed, held_share=held)
    runner = make_runner(athlete(top_speed_mps=9.0, top_speed_sd_mps=0.1, observations=(seen,)))
    assert "timed-run-unusable" not in codes(runner)


@pytest.mark.parametrize(("days", "more_s"), [(-7, 0.0), (7, 0.0), (0, -0.05), (0, 0.05)], ids=str)
def test_a_run_of_another_day_or_time_counts_beside_the_flying_time(days, more_s):
    flying = flying_of(9.3, date=DAY)
    seen = Observation(
        date=DAY + timedelta(days=days),
        distance_m=20.0,
        time_s=flying.time_s + more_s,
        run_on_m=30.0,
        timing=Timing.GATES,
    )
    plain = make_runner(athlete(flying=flying))
    runner = make_runner(athlete(flying=flying, observations=(seen,)))
    assert runner.top_speed.sd < plain.top_speed.sd


def test_the_count_of_an_adult_does_not_age():
    today, adult = DAY + timedelta(days=400), {"top_speed_mps": 9.0, "age_years": 25.0}
    old, new = (
        make_runner(athlete(observations=(counted(15.0, day),), **adult), today=today)
        for day in (DAY, today)
    )
    assert old.gait.top_step.relative_sd == new.gait.top_step.relative_sd


def test_a_timed_run_that_nobody_can_run_is_left_out():
    seen = Observation(date=DAY, distance_m=5.0, time_s=0.4, run_on_m=0.0, timing=Timing.GATES)
    runner = make_runner(athlete(top_speed_mps=9.0, observations=(seen,)))
    assert runner.top_speed.value == 9.0
    assert found(runner, "timed-run-unusable").values["day"] == "2026-03-04"


# --- the runner --------------------------------------------------------------------------------


def test_the_curve_builds_towards_a_share_with_the_same_tau():
    runner = make_runner(athlete(top_speed_mps=10.0, time_constant_s=1.2))
    assert runner.curve() == SpeedCurve(10.0, 1.2)
    assert runner.curve(0.95, 1.5) == SpeedCurve(9.5, 1.2, 1.5)


@pytest.mark.parametrize("coming_in", [5.0, 5.5])
def test_a_run_that_comes_in_as_fast_as_it_should_become_is_refused(coming_in):
    runner = make_runner(athlete(top_speed_mps=10.0))
    with pytest.raises(DomainError) as caught:
        runner.curve(0.5, coming_in)
    assert str(caught.value) == (
        f"the run comes in at {coming_in:g} m/s and builds towards 5.00 m/s; "
        "start slower or standing, or ask for more speed"
    )


def test_step_and_cadence_are_as_unsure_as_each_other_and_give_the_speed():
    gait = make_runner(athlete(top_speed_mps=9.0)).gait
    assert gait.top_cadence.relative_sd == pytest.approx(gait.top_step.relative_sd)
    assert gait.top_cadence.value * gait.top_step.value == pytest.approx(9.0)


def test_a_child_gets_the_childs_leg_from_the_birthday_or_the_age():
    young = make_runner(athlete(height_m=1.52, top_speed_mps=6.5, age_years=12.0, sex=Sex.FEMALE))
    assert young.gait.leg.value == pytest.approx(0.52 * 1.52)
    assert young.gait.top_step.relative_sd == pytest.approx(0.055)
    born = athlete(height_m=1.52, top_speed_mps=6.5, born=date(2014, 1, 1), sex=Sex.FEMALE)
    assert make_runner(born, today=DAY).gait.leg.value == pytest.approx(0.52 * 1.52)
    # without a day the birthday tells no age
    assert make_runner(born).gait.leg.value == pytest.approx(0.5970 * 1.52 - 0.1269)


def test_what_is_not_enough_is_a_domain_error_that_names_the_athlete():
    with pytest.raises(DomainError) as caught:
        make_runner(athlete())
    assert str(caught.value) == "Tarik: top speed unknown"
    with pytest.raises(DomainError) as caught:
        make_runner(athlete(height_m=1.92), cadence_hz=5.0)
    assert str(caught.value) == (
        "Tarik: faster than anyone (top_mps 14.63, limit_mps 12.4, basis height and cadence)"
    )


# --- the words ---------------------------------------------------------------------------------

PLACES = {"athlete", "mark", "lane", "wave", "stage"}


SEEN = FirstGuess(cadence_hz=4.6, speed_share=0.95)


def every_finding():
    one, two = counted(18.5), counted(18.5, DAY + timedelta(days=1))
    slow = Observation(date=DAY, distance_m=30.0, time_s=4.0, timing=Timing.GATES)
    wild = Observation(date=DAY, distance_m=5.0, time_s=0.4, run_on_m=0.0)
    late = tuple(SpeedCurve(9.0, 1.1).time_at(m) - 0.45 for m in MARKS_M)
    made = [
        make_runner(athlete(splits=BAD_SPLITS, flying=flying_of(9.3), top_speed_mps=9.2)),
        make_runner(athlete(flying=flying_of(9.3), top_speed_mps=7.9)),
        make_runner(athlete(splits=Splits(distances_m=MARKS_M, times_s=late))),
        make_runner(athlete(top_speed_mps=9.0, observations=(one, two, slow, wild))),
        make_runner(athlete(level=Standard.CLUB), cadence_hz=4.4),
        make_runner(athlete(first_guess=FirstGuess(cadence_hz=4.4, speed_share=0.95))),
        make_runner(athlete(top_speed_mps=9.0, first_guess=SEEN)),
        make_runner(athlete(top_speed_mps=9.0, observations=(counted(13.0, over_marks=True),))),
        make_runner(athlete(top_speed_mps=8.0, first_guess=SEEN)),
        make_runner(athlete(age_years=12.0), cadence_hz=4.4),
        make_runner(athlete(born=date(2013, 3, 4)), cadence_hz=3.9),
        make_runner(athlete(age_years=12.0, top_speed_mps=9.0)),
        make_runner(athlete(level=Standard.UNDER_15, top_speed_mps=9.0)),
    ]
    stops = [
        refused(athlete()),
        refused(athlete(height_m=1.92), cadence_hz=5.0),
        refused(athlete(height_m=1.0), cadence_hz=2.5),
        refused(athlete(), cadence_hz=9.0),
        refused(athlete(), cadence_hz=4.4, speed_share=0.2),
    ]
    return [finding for runner in made for finding in runner.findings] + stops


def test_every_finding_is_worded_with_the_values_it_has():
    findings = every_finding()
    for finding in findings:
        worded = _catalogue()[finding.code]
        for template in (worded.text, worded.remedy):
            fields = {name for _, name, _, _ in string.Formatter().parse(template) if name}
            assert fields <= set(finding.values) | PLACES, finding.code
    assert {finding.code for finding in findings} == set(WORDING)


def test_no_finding_carries_what_is_not_a_number():
    for finding in every_finding():
        for value in finding.values.values():
            assert not isinstance(value, float) or math.isfinite(value)


def test_the_same_facts_in_another_order_give_the_same_athlete():
    runs = (
        Observation(date=DAY, distance_m=20.0, time_s=2.3, steps=9.5, wind_mps=1.1),
        Observation(date=DAY, distance_m=30.0, time_s=3.4, timing=Timing.GATES),
        Observation(date=DAY, distance_m=20.0, time_s=2.25, touchdowns=(3.0, 17.0, 31.0), fps=60.0),
        Observation(
            date=DAY, distance_m=20.0, time_s=2.4, over_marks=True, held_share=0.95, run_on_m=20.0
        ),
        Observation(date=DAY.replace(year=DAY.year - 1), distance_m=20.0, time_s=2.5, steps=9.8),
    )
    facts = {
        "top_speed_mps": 9.0,
        "kept_step_m": 2.1,
        "first_guess": FirstGuess(cadence_hz=4.3, speed_share=0.95),
    }
    made = [make_runner(athlete(observations=each, **facts)) for each in (runs, runs[::-1])]
    for of in (lambda r: r.top_speed, lambda r: r.gait.top_step, lambda r: r.gait.top_cadence):
        first, second = (of(each) for each in made)
        assert first.value == pytest.approx(second.value, rel=1e-12)
        assert first.sd == pytest.approx(second.sd, rel=1e-12)
