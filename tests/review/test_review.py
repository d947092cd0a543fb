"""Review: times against expectation, proposals beyond the error only, and the record."""

import math
import statistics
from dataclasses import fields, replace
from datetime import date, timedelta

import numpy as np
import pytest

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    TakeoffRun,
    WicketRun,
    lay,
)
from wicketlay.drills.marks import AlongM
from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.review import review as reviewing
from wicketlay.review.review import Doubt, Feel, Reason, TimedRuns, accept
from wicketlay.running.athlete import Athlete, FirstGuess, Observation, Timing, make_runner
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.touchdowns import StartKind
from wicketlay.sources import FOOT_AHEAD_M, Judgement
from wicketlay.wording import word

TODAY = date(2026, 3, 4)
WOMAN = Athlete(name="Wren", height_m=1.66, sex="f", top_speed_mps=7.9, time_constant_s=1.05)
SPEC = WicketRun(speed_share=0.95, wickets=14)


def expected_s(layout, start, end):
    return layout.mark(end).time_s - layout.mark(start).time_s


def review(runner, layout, *, today, **told):
    told["day"] = today
    runs = {each.name: told.pop(each.name) for each in fields(TimedRuns) if each.name in told}
    return reviewing.review(runner, layout, TimedRuns(**runs), **told)


def reviewed(athlete=WOMAN, *, off_s=0.0, spec=SPEC, runs=2, timing=Timing.GATES, **options):
    runner = make_runner(athlete, cadence_hz=options.pop("cadence_hz", None), today=TODAY)
    layout = lay(runner, spec)
    time = expected_s(layout, "w1", "w14") + off_s
    options.setdefault("today", TODAY)
    return review(runner, layout, times_s=[time] * runs, timing=timing, **options)


# --- what is compared ---------------------------------------------------------------------------


def test_the_expected_time_is_the_layouts():
    made = reviewed()
    layout = lay(make_runner(WOMAN), SPEC)
    assert (made.from_mark, made.to_mark) == ("w1", "w14")
    assert made.expected_time_s == pytest.approx(expected_s(layout, "w1", "w14"))
    assert made.expected_cadence_hz == pytest.approx(layout.cadence_hz, rel=1e-6)


@pytest.mark.parametrize(
    ("spec", "start", "end"),
    [
        (FlyingSegment(zone_m=20.0), "gate1", "gate2"),
        (FlyingSegment(zone_m=20.0, start=StartKind.JOG_IN), "gate1", "gate2"),
        (AccelerationMarks(steps=10), "start", "step10"),
        (BrokenRun(), "cone1", "cone3"),
        (TakeoffRun(speed_share=0.9, wickets=4), "w1", "w4"),
        (WicketRun(speed_share=0.9, section_m=20.0, start=StartKind.WALK_IN), "w1", "w8"),
    ],
)
def test_every_drill_expects_its_own_time_and_meeting_it_changes_nothing(spec, start, end):
    runner = make_runner(WOMAN)
    layout = lay(runner, spec)
    time = expected_s(layout, start, end)
    made = review(
        runner,
        layout,
        times_s=[time],
        timing=Timing.GATES,
        today=TODAY,
        from_mark=start,
        to_mark=end,
    )
    assert made.expected_time_s == pytest.approx(time)
    assert made.top_speed_seen.value == pytest.approx(7.9, rel=2e-3)  # times kept to 1 ms
    assert not made.changed


def test_on_a_shared_laying_the_athletes_own_start_mark_counts():
    runner = make_runner(WOMAN)
    layout = lay(runner, SPEC)
    own = replace(layout.start, id="start-b")
    other = replace(layout.start, id="start-a", along_m=AlongM(layout.start.along_m - 2.0))
    wickets = [replace(m, time_s=None) for m in layout.marks[1:]]
    shared = replace(layout, marks=(other, own, *wickets))
    made = review(
        runner, shared, times_s=[3.3], timing=Timing.GATES, today=TODAY, start_id="start-b"
    )
    assert made.expected_time_s == pytest.approx(expected_s(layout, "w1", "w14"))


@pytest.mark.parametrize(
    ("timing", "fps", "one_sd_s"),
    [
        (Timing.HAND, None, 0.1),
        (Timing.GATES, None, 0.01),
        (Timing.VIDEO, None, 1 / 30),
        (Timing.VIDEO, 240.0, 1 / 240),
    ],
)
def test_errors_are_those_of_a_time_and_fall_with_the_root_of_the_runs(timing, fps, one_sd_s):
    one = reviewed(timing=timing, fps=fps, runs=1)
    four = reviewed(timing=timing, fps=fps, runs=4)
    assert one.mean_time.sd == pytest.approx(one_sd_s)
    assert four.mean_time.sd == pytest.approx(one_sd_s / 2)
    assert four.achieved_cadence.relative_sd == pytest.approx(
        one.achieved_cadence.relative_sd / 2, rel=1e-3
    )
    assert one.achieved_speed.relative_sd >= one_sd_s / one.mean_time.value


def over_w1_to_w14(off_s, timing=Timing.GATES):
    """Review runs that took the expected time and so much more or less each."""
    runner = make_runner(WOMAN)
    layout = lay(runner, SPEC)
    times = [expected_s(layout, "w1", "w14") + off for off in off_s]
    return review(
        runner, layout, times_s=times, timing=timing, today=TODAY, effort_share=SPEC.speed_share
    )


def test_runs_that_lie_farther_apart_than_the_clock_errs_are_known_no_better_than_that():
    spread = statistics.stdev([-0.2, 0.0, 0.2])
    apart = over_w1_to_w14([-0.2, 0.0, 0.2])
    assert apart.mean_time.sd == pytest.approx(spread / math.sqrt(3), abs=5e-4)
    assert apart.achieved_cadence.relative_sd > 5 * over_w1_to_w14([0.0] * 3).mean_time.sd / 3.3
    # what the record then teaches is as unsure
    assert apart.observation.spread_s == pytest.approx(spread, abs=5e-4)
    alike = over_w1_to_w14([0.0] * 3)
    assert apart.top_speed_seen.sd > 1.5 * alike.top_speed_seen.sd


def test_runs_no_farther_apart_than_the_clock_errs_leave_no_spread_in_the_record():
    made = over_w1_to_w14([-0.05, 0.05], Timing.HAND)
    assert made.observation.spread_s is None
    assert made.mean_time.sd == pytest.approx(0.1 / math.sqrt(2))


def test_scattered_runs_propose_nothing_where_as_many_steady_ones_do():
    steady = over_w1_to_w14([-0.15] * 3)
    scattered = over_w1_to_w14([-0.45, -0.15, 0.15])
    assert steady.changed
    assert not scattered.changed


def test_the_seen_top_speed_takes_exactly_the_time_that_was_run():
    made = reviewed(off_s=-0.1)
    runner = make_runner(WOMAN)
    layout = lay(runner, SPEC)
    curve = SpeedCurve(0.95 * made.top_speed_seen.value, 1.05)
    entered = -layout.start.along_m - float(FOOT_AHEAD_M)
    took = curve.time_at(entered + layout.section_m) - curve.time_at(entered)
    assert took == pytest.approx(made.mean_time.value, abs=5e-4)


# --- what is proposed ---------------------------------------------------------------------------


def test_a_difference_within_the_error_proposes_nothing():
    made = reviewed(off_s=-0.1, timing=Timing.HAND)
    assert not made.changed
    assert made.reason is Reason.WITHIN_ERROR
    assert made.top_speed_proposed.value == 7.9
    assert made.gap_change_m == 0.0


def test_beyond_the_error_the_top_speed_follows_the_run_part_of_the_way():
    calm = Judgement(follow_from_share=0.02)
    made = reviewed(off_s=-0.122, effort_share=0.95, judgement=calm)
    assert made.reason is Reason.FASTER
    assert 7.9 < made.top_speed_proposed.value < made.top_speed_seen.value
    assert made.gap_change_m > 0.0


def test_a_time_with_the_wind_is_held_against_what_that_air_lets_expect():
    still, windy = reviewed(wind_mps=0.0), reviewed(wind_mps=2.0, altitude_m=1000.0)
    assert windy.expected_time_s < still.expected_time_s - 0.02
    assert windy.top_speed_seen.value < still.top_speed_seen.value
    assert (windy.observation.wind_mps, windy.observation.altitude_m) == (2.0, 1000.0)
    (told,) = [each for each in windy.findings if each.code == "review-air"]
    assert "wind of 2.00 m/s at 1000 m above the sea" in str(word(told))
    # just what that air lets expect tells the athlete that was known
    off_s = windy.expected_time_s - still.expected_time_s
    same = reviewed(off_s=off_s, wind_mps=2.0, altitude_m=1000.0)
    assert same.top_speed_seen.value == pytest.approx(WOMAN.top_speed_mps, rel=1e-3)


def test_three_weeks_at_98_percent_taken_for_93_make_nobody_faster():
    known, spec = WOMAN, WicketRun(speed_share=0.93, wickets=14)
    days = [TODAY + timedelta(weeks=week) for week in range(7)]
    for day in days[:4]:
        made = reviewed(known, spec=spec, today=day, effort_share=0.93, runs=3)
        known = accept(known, made, day)
    assert known.observations[0].asked_share == 0.93
    before = make_runner(known, today=days[3]).top_speed.value
    for day in days[4:]:
        runner = make_runner(known, today=day)
        layout = lay(runner, spec)
        harder = lay(make_runner(known, today=day), replace(spec, speed_share=0.98))
        sooner = expected_s(layout, "w1", "w14") * (0.93 / 0.98)
        assert sooner < expected_s(layout, "w1", "w14")
        assert harder.built_to_mps > layout.built_to_mps
        made = review(runner, layout, times_s=[sooner] * 3, timing=Timing.GATES, today=day)
        assert "review-effort-untold" in {f.code for f in made.findings}
        known = accept(known, made, day)
    assert make_runner(known, today=days[-1]).top_speed.value == before


def test_told_effort_is_what_a_time_is_held_against():
    hard = reviewed(off_s=-0.12, effort_share=0.98)
    asked = reviewed(off_s=-0.12)
    assert hard.observation.held_share == pytest.approx(0.98)
    assert hard.observation.asked_share == pytest.approx(0.95)
    assert hard.top_speed_seen.value < asked.top_speed_seen.value
    assert hard.top_speed_seen.relative_sd < asked.top_speed_seen.relative_sd
    assert "review-effort-untold" not in {f.code for f in hard.findings}


def test_a_slower_day_is_never_put_down_to_effort():
    athlete = replace(WOMAN, top_speed_sd_mps=0.06 * 7.9)
    assert reviewed(athlete, off_s=0.5).reason is Reason.SLOWER


def test_opening_stops_at_three_percent_and_says_so():
    made = reviewed(off_s=-0.3, effort_share=0.95)
    assert made.reason is Reason.FASTER_CAPPED
    assert made.top_speed_proposed.value == pytest.approx(7.9 * 1.03)
    assert "review-first-steps" in {f.code for f in made.findings}


def test_what_moves_no_wicket_by_a_centimetre_is_not_told_as_a_step_to_come():
    made = reviewed(off_s=-0.14, effort_share=0.95)
    told, laid = made.top_speed_told.value, made.top_speed_proposed.value
    assert laid == pytest.approx(7.9 * 1.03)
    assert 1.0 < told / laid < 1.005
    assert made.reason is Reason.FASTER
    assert not {f.code for f in made.findings} & {"review-first-steps", "review-capped"}


def test_a_known_athlete_is_capped_a_session_however_often_it_is_reviewed():
    athlete = accept(WOMAN, reviewed(), TODAY)
    later = TODAY + timedelta(days=7)
    start = make_runner(athlete, today=later).top_speed.value
    for k in range(3):
        made = reviewed(athlete, off_s=-0.5 + 0.01 * k, today=later, effort_share=0.95)
        assert made.top_speed_proposed.value <= start * 1.03 * (1 + 1e-12)
        athlete = accept(athlete, made, later)
    assert made.reason is Reason.FASTER_CAPPED
    assert "review-capped" in {f.code for f in made.findings}


def test_a_first_estimate_is_corrected_by_a_step_a_review_to_two_sd():
    athlete = replace(WOMAN, top_speed_sd_mps=0.06 * 7.9)
    tops = []
    for k in range(6):
        runner = make_runner(athlete, today=TODAY)
        made = reviewed(athlete, off_s=-0.6 + 0.07 * k, today=TODAY, effort_share=0.95)
        tops.append(made.top_speed_proposed.value / 7.9)
        athlete = accept(athlete, made, TODAY)
        assert made.top_speed_proposed.value <= runner.top_speed.value * 1.03 * (1 + 1e-9)
    assert tops[:3] == pytest.approx([1.03, 1.03**2, 1.03**3])
    assert max(tops) <= 1.12 + 1e-9


def test_closing_is_not_capped():
    athlete = replace(WOMAN, top_speed_sd_mps=0.06 * 7.9)
    made = reviewed(athlete, off_s=0.5)
    assert made.reason is Reason.SLOWER
    assert made.top_speed_proposed.value < 7.9 * 0.9
    assert made.gap_change_m < 0.0


def test_laying_the_drill_again_gives_the_exact_change_of_the_gaps():
    fixed = WicketRun(speed_share=0.95, wickets=14)
    made = reviewed(off_s=-0.3, lay=lambda runner: lay(runner, fixed))
    now = lay(make_runner(WOMAN), fixed)
    longer = accept(WOMAN, made, TODAY)
    then = lay(make_runner(longer, today=TODAY), fixed)
    change = np.median([m.gap_m for m in then.marks[2:]]) - np.median(
        [m.gap_m for m in now.marks[2:]]
    )
    assert made.gap_change_m == pytest.approx(change)
    assert reviewed(off_s=-0.3).gap_change_m == pytest.approx(change, abs=0.01)


def test_a_drill_without_gaps_speaks_of_speed_alone():
    runner = make_runner(WOMAN)
    layout = lay(runner, FlyingSegment())
    time = expected_s(layout, "gate1", "gate2") - 0.1
    made = review(runner, layout, times_s=[time], timing=Timing.GATES, today=TODAY)
    assert made.gap_m is None
    assert made.sentence.code == "review-speed-up"
    assert made.achieved_cadence is None


def test_nobody_is_told_to_have_run_faster_where_it_is_earlier_days_that_raise_the_speed():
    athlete, spec = WOMAN, FlyingSegment()
    for weeks, share in enumerate((0.98, 0.98, 0.98, 1.002)):
        day = TODAY + timedelta(weeks=weeks)
        runner = make_runner(athlete, today=day)
        layout = lay(runner, spec)
        time_s = expected_s(layout, "gate1", "gate2") * share
        made = review(runner, layout, times_s=[time_s] * 3, timing=Timing.GATES, today=day)
        athlete = accept(athlete, made, day)
    slower = made.achieved_speed.value - made.expected_speed_mps
    assert made.top_speed_proposed.value > made.top_speed_before.value
    assert slower < 0.0
    assert str(word(made.sentence)) == (
        f"Wren: next time is for a top speed of {made.top_speed_proposed.value:.2f} m/s, by all "
        f"that is known of you; today you ran {made.achieved_speed.value:.2f} m/s, and "
        f"{made.expected_speed_mps:.2f} m/s was expected"
    )


# --- the record ---------------------------------------------------------------------------------


@pytest.mark.parametrize("off_s", [-0.6, -0.1, 0.0, 0.1, 0.6])
@pytest.mark.parametrize("timing", [Timing.HAND, Timing.GATES])
def test_accepting_makes_exactly_the_runner_that_was_proposed(off_s, timing):
    made = reviewed(off_s=off_s, timing=timing)
    longer = accept(WOMAN, made, TODAY)
    assert make_runner(longer, today=TODAY).top_speed == made.top_speed_proposed


def test_accepting_writes_one_run_into_the_record_and_nothing_else():
    made = reviewed(off_s=-0.1)
    longer = accept(WOMAN, made, TODAY)
    assert longer.observations == (made.observation,)
    assert replace(longer, observations=()) == WOMAN
    seen = made.observation
    assert (seen.over_marks, seen.date, seen.runs) == (True, TODAY, 2)


@pytest.mark.parametrize(
    ("spec", "marks", "over"),
    [
        (FlyingSegment(zone_m=20.0), (None, None), False),
        (BrokenRun(), ("cone1", "cone2"), False),
        (AccelerationMarks(steps=10), (None, None), True),
        (SPEC, (None, None), True),
        (TakeoffRun(speed_share=0.9, wickets=4), ("start", "w1"), True),
    ],
)
def test_a_run_is_over_marks_where_steps_go_to_marks_and_free_elsewhere(spec, marks, over):
    runner = make_runner(WOMAN)
    layout = lay(runner, spec)
    between = {"from_mark": marks[0], "to_mark": marks[1]}
    rough = review(
        runner, layout, times_s=[3.0], timing=Timing.GATES, today=TODAY, **between
    ).expected_time_s
    made = review(
        runner, layout, times_s=[rough * 0.97], timing=Timing.GATES, today=TODAY, **between
    )
    assert accept(WOMAN, made, TODAY).observations[0].over_marks is over


def test_the_share_of_a_broken_run_is_kept_to_a_hundredth_of_a_per_cent():
    runner = make_runner(WOMAN)
    layout = lay(runner, BrokenRun())
    made = review(runner, layout, times_s=[7.5], timing=Timing.HAND, today=TODAY)
    (seen,) = accept(WOMAN, made, TODAY).observations
    assert seen.held_share == round(seen.held_share, 4)
    assert 0.7 < seen.held_share < 0.95


def test_steps_counted_in_an_accepted_flying_run_teach_the_step():
    runner = make_runner(WOMAN)
    layout = lay(runner, FlyingSegment(zone_m=20.0))
    made = review(runner, layout, times_s=[2.6], steps=12.0, timing=Timing.GATES, today=TODAY)
    longer = make_runner(accept(WOMAN, made, TODAY), today=TODAY)
    # a step of 20 / 12 = 1.67 m is short of the one of leg and speed
    assert longer.gait.top_step.value < 0.97 * runner.gait.top_step.value
    assert "counted steps of 1 day" in longer.gait.top_step.basis


def test_steps_over_marks_are_left_out_and_that_is_told():
    plain, made = reviewed(), reviewed(steps=13.0)
    assert made.observation == plain.observation
    assert [each.code for each in made.findings if each not in plain.findings] == [
        "steps-over-marks"
    ]


def test_touchdowns_in_an_accepted_flying_run_teach_the_step_by_speed_over_cadence():
    runner = make_runner(WOMAN, today=TODAY)
    layout = lay(runner, FlyingSegment(zone_m=20.0))
    options = {"times_s": [2.60], "timing": Timing.GATES, "today": TODAY, "fps": 60.0}
    made = review(runner, layout, touchdowns=(12, 26, 40, 54, 68), **options)
    assert made.achieved_cadence.value == pytest.approx(60.0 / 14.0)
    assert made.observation.observed_step_m == pytest.approx(20.0 / 2.60 / (60.0 / 14.0))
    counted = make_runner(accept(WOMAN, made, TODAY), today=TODAY).gait.top_step
    bare = make_runner(accept(WOMAN, review(runner, layout, **options | {"fps": None}), TODAY))
    assert counted.value != pytest.approx(bare.gait.top_step.value, rel=1e-4)
    assert counted.sd < bare.gait.top_step.sd


def test_touchdowns_over_marks_show_the_cadence_seen_and_teach_no_step():
    made = reviewed(touchdowns=(12, 26, 40, 54, 68), fps=60.0)
    assert made.achieved_cadence.value == pytest.approx(60.0 / 14.0)
    assert made.expected_cadence_hz is not None
    longer = accept(WOMAN, made, TODAY)
    bare = accept(WOMAN, reviewed(), TODAY)
    assert make_runner(longer).gait.top_step == make_runner(bare).gait.top_step


@pytest.mark.parametrize(
    ("told", "message"),
    [
        ({"touchdowns": (12, 26)}, "frames a second"),
        ({"touchdowns": (12, 26), "fps": 60.0, "steps": 11.0}, "leave one of them out"),
    ],
)
def test_touchdowns_want_their_video_and_nothing_that_counts_the_same(told, message):
    runner = make_runner(WOMAN, today=TODAY)
    layout = lay(runner, FlyingSegment(zone_m=20.0))
    with pytest.raises(DomainError, match=message):
        review(runner, layout, times_s=[2.6], timing=Timing.GATES, today=TODAY, **told)


def test_twice_the_same_is_refused_even_after_the_marks_have_moved():
    first = reviewed(off_s=-0.3, effort_share=0.95)
    longer = accept(WOMAN, first, TODAY)
    with pytest.raises(DomainError, match="in the record already; one run teaches once"):
        accept(longer, first, TODAY)
    runner = make_runner(longer, today=TODAY)
    again = review(
        runner,
        lay(runner, SPEC),
        times_s=[first.mean_time.value] * 2,
        timing=Timing.GATES,
        today=TODAY,
    )
    assert again.observation.distance_m != first.observation.distance_m
    with pytest.raises(DomainError, match="in the record already"):
        accept(longer, again, TODAY)


def test_a_review_is_accepted_for_its_athlete_and_not_before_its_day():
    made = reviewed()
    with pytest.raises(DomainError, match="of Wren, not of Tarik"):
        accept(replace(WOMAN, name="Tarik"), made, TODAY)
    with pytest.raises(DomainError, match="after today"):
        accept(WOMAN, made, TODAY - timedelta(days=1))


def test_ten_accepted_wicket_runs_move_the_step_by_exactly_nothing():
    counted = Observation(date=TODAY, distance_m=30.0, time_s=3.9, steps=16.0, held_share=0.98)
    athlete = replace(WOMAN, observations=(counted,), top_speed_sd_mps=0.02)
    before = make_runner(athlete, today=TODAY).gait.top_step
    day = TODAY
    for _ in range(10):
        day += timedelta(days=3)
        runner = make_runner(athlete, today=day)
        layout = lay(runner, SPEC)
        time = round(expected_s(layout, "w1", "w14"), 2)
        made = review(runner, layout, times_s=[time], timing=Timing.HAND, today=day)
        assert not made.changed
        athlete = accept(athlete, made, day)
    assert len(athlete.observations) == 11
    assert make_runner(athlete, today=TODAY).gait.top_step == before


def test_wicket_runs_that_move_the_speed_leave_the_step_of_that_speed_alone():
    counted = Observation(date=TODAY, distance_m=30.0, steps=16.0, held_share=0.98)
    athlete = replace(WOMAN, observations=(counted,))
    faster = athlete
    for k in range(10):
        day = TODAY + timedelta(days=3 * k)
        faster = accept(faster, reviewed(faster, off_s=-0.2, today=day), day)
    runner = make_runner(faster)
    assert runner.top_speed.value > 7.9
    as_given = replace(athlete, top_speed_mps=runner.top_speed.value)
    assert runner.gait.top_step == make_runner(as_given).gait.top_step


def test_the_guess_a_review_began_from_goes_into_the_record():
    child = Athlete(name="Pip", height_m=1.52, sex="m", age_years=12)
    made = reviewed(child, off_s=-0.2, cadence_hz=4.0)
    assert made.top_speed_before.basis == "height and cadence, capped by age"
    longer = accept(child, made, TODAY)
    assert longer.first_guess == FirstGuess(cadence_hz=4.0, speed_share=0.95)
    assert make_runner(longer, today=TODAY).top_speed == made.top_speed_proposed
    assert not make_runner(longer, today=TODAY).provisional


def test_with_a_first_time_gaps_are_no_longer_laid_short():
    child = Athlete(name="Pip", height_m=1.52, sex="m", age_years=12)
    made = reviewed(
        child, cadence_hz=4.0, lay=lambda runner: lay(runner, SPEC), timing=Timing.GATES
    )
    assert made.sentence.code == "review-first-time"
    assert made.gap_change_m == pytest.approx(made.gap_m * 0.03, rel=0.05)


# --- what is said -------------------------------------------------------------------------------


def test_the_sentence_for_the_athlete():
    made = reviewed(off_s=-0.3, lay=lambda runner: lay(runner, SPEC), effort_share=0.95)
    assert made.sentence.code == "review-longer-quicker"
    gap = round(100 * made.gap_change_m)
    by = made.achieved_speed.value - made.expected_speed_mps
    assert str(word(made.sentence)) == (
        f"Wren: gaps {gap} cm longer because you ran {by:.2f} m/s faster; "
        "the rhythm is a touch quicker, too"
    )
    slower = reviewed(off_s=0.14, lay=lambda runner: lay(runner, SPEC), effort_share=0.95)
    assert slower.sentence.code.startswith("review-shorter")
    untold = reviewed(off_s=-0.14, lay=lambda runner: lay(runner, SPEC))
    assert str(word(untold.sentence)).endswith(
        f"was expected; about {untold.followed_after} more days like it and the marks follow"
    )


@pytest.mark.parametrize("effort", [None, 0.95])
@pytest.mark.parametrize("off_s", [0.09, 0.07, 0.05, -0.05, -0.07, -0.09, -0.14])
def test_marks_follow_after_as_many_days_as_were_said_and_never_where_none_was(off_s, effort):
    made = reviewed(off_s=off_s, effort_share=effort)
    said = str(word(made.sentence))
    if made.reason is not Reason.NOT_ENOUGH:
        assert made.followed_after is None
        return
    time_s = made.mean_time.value
    athlete, days, until = WOMAN, 0, made.followed_after
    laid = [made.top_speed_before.value]
    for days in range(7):
        day = TODAY + timedelta(weeks=days)
        runner = make_runner(athlete, today=day)
        again = review(
            runner,
            lay(make_runner(WOMAN), SPEC),
            times_s=[time_s, time_s],
            timing=Timing.GATES,
            today=day,
            effort_share=effort,
        )
        athlete = accept(athlete, again, day)
        laid.append(make_runner(athlete, today=day).top_speed.value)
    still = laid[1:] if until is None else laid[1 : until + 1]
    assert still == [7.9] * len(still)
    if until is None:
        assert said.endswith("moves no mark")
        return
    assert laid[until + 1] != 7.9
    assert said.endswith(
        "about one more day like it and the marks follow"
        if until == 1
        else f"about {until} more days like it and the marks follow"
    )


@pytest.mark.parametrize(("top_mps", "off_s"), [(12.3, -0.08), (12.3, -0.11)])
def test_days_that_would_tell_of_nobody_are_not_tried_for(top_mps, off_s):
    athlete = replace(WOMAN, sex="m", height_m=1.95, top_speed_mps=top_mps)
    made = reviewed(athlete, off_s=off_s)
    assert (made.reason, made.followed_after) == (Reason.NOT_ENOUGH, None)


def test_each_ending_of_not_enough_is_met():
    ends = {
        str(word(reviewed(off_s=off_s, effort_share=effort).sentence)).rpartition("; ")[2]
        for effort in (None, 0.95)
        for off_s in (0.09, 0.07, 0.05, -0.05, -0.07, -0.09, -0.12, -0.14)
    }
    assert {"so little moves no mark", "about one more day like it and the marks follow"} <= ends
    assert "nobody told how hard it was, so it moves no mark" in ends


@pytest.mark.parametrize(
    ("feel", "off_s", "code"),
    [
        (Feel.TIGHT, 0.0, "feel-tight"),
        (Feel.TIGHT, -0.3, "feel-tight-opening"),
        (Feel.OPEN, 0.0, "feel-open"),
        (Feel.OPEN, -0.3, "feel-open-opening"),
    ],
)
def test_what_the_coach_saw_becomes_advice_on_a_notch(feel, off_s, code):
    made = reviewed(off_s=off_s, feel=feel, effort_share=0.95)
    assert code in {f.code for f in made.findings}


def test_one_hand_time_is_called_coarse_and_how_many_would_do():
    made = reviewed(timing=Timing.HAND, runs=1)
    (coarse,) = [f for f in made.findings if f.code == "review-coarse"]
    needed = coarse.values["needed"]
    assert reviewed(timing=Timing.HAND, runs=needed).findings == ()
    assert reviewed(timing=Timing.HAND, runs=needed - 1).findings != ()


def off_by(share, others=()):
    """Review one time that is off the expected one by a share, beside others like it."""
    runner = make_runner(WOMAN)
    layout = lay(runner, SPEC)
    expected = expected_s(layout, "w1", "w14")
    times = [expected * (1.0 + each) for each in (*others, share)]
    return review(runner, layout, times_s=times, timing=Timing.GATES, today=TODAY)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize(
    ("off", "doubt"),
    [(0.0, Doubt.NONE), (0.11, Doubt.NONE), (0.13, Doubt.ASK), (0.24, Doubt.ASK)],
)
def test_a_time_from_12_percent_off_is_asked_about(sign, off, doubt):
    made = off_by(sign * off)
    assert made.doubt is doubt
    assert ("review-unlikely" in {f.code for f in made.findings}) is (doubt is Doubt.ASK)


@pytest.mark.parametrize("off", [-0.26, 0.26, 0.8])
def test_a_time_over_25_percent_off_only_cannot_be_right(off):
    made = off_by(off)
    assert made.doubt is Doubt.WRONG
    (only,) = made.findings
    assert made.sentence is only
    assert (only.level, only.code) == (Level.STOP, "review-cannot-be-right")
    assert "longer" not in str(word(only))
    assert f"{abs(round(100 * off))} % off the expected" in str(word(only))


def test_one_slip_among_good_times_is_met_like_a_slip_alone():
    made = off_by(-0.3, others=(0.0, 0.01, 0.0))
    assert made.doubt is Doubt.WRONG
    assert made.findings[0].values["time_s"] == pytest.approx(made.expected_time_s * 0.7)


def test_a_time_that_contradicts_what_is_known_says_so():
    codes = {f.code for f in reviewed(off_s=0.3).findings}
    assert "review-contradicts" in codes
    assert "review-contradicts" not in {f.code for f in reviewed(off_s=0.1).findings}


@pytest.mark.parametrize("off", [-0.11, -0.06, 0.0, 0.06, 0.11])
@pytest.mark.parametrize("timing", [Timing.HAND, Timing.GATES])
def test_a_guess_gets_surer_by_a_time(off, timing):
    child = Athlete(name="Ines", height_m=1.69, sex="f")
    runner = make_runner(child, cadence_hz=4.0)
    layout = lay(runner, SPEC)
    time = expected_s(layout, "w1", "w14") * (1.0 + off)
    made = review(runner, layout, times_s=[time], timing=timing, today=TODAY)
    assert made.top_speed_told.relative_sd < 0.6 * made.top_speed_before.relative_sd
    # what marks are laid by may be held back of that, but is never less sure than it was
    assert made.top_speed_proposed.relative_sd <= made.top_speed_before.relative_sd


def test_times_far_apart_are_questioned():
    runner = make_runner(WOMAN)
    made = review(runner, lay(runner, SPEC), times_s=[3.2, 3.4], timing=Timing.GATES, today=TODAY)
    assert "review-times-apart" in {f.code for f in made.findings}


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"times_s": []}, "1 to 40 times"),
        ({"times_s": [math.nan]}, "time is nan s"),
        ({"times_s": [0.1]}, "time is 0.1 s"),
        ({"times_s": [3.3], "fps": 120.0}, "frames a second go with video"),
        ({"times_s": [3.3], "from_mark": "w9", "to_mark": "w2"}, "w2 does not lie beyond w9"),
        ({"times_s": [3.3], "to_mark": "w20"}, "there is no mark w20; the marks are start, w1"),
        ({"times_s": [3.3], "start_id": "start-b"}, "there is no mark start-b"),
        ({"times_s": [1.0]}, r"1\.00 s over .* m is no run; it must lie between .* s here"),
    ],
)
def test_what_cannot_be_reviewed_is_refused_with_the_reason(options, message):
    runner = make_runner(WOMAN)
    with pytest.raises(DomainError, match=message):
        review(runner, lay(runner, SPEC), timing=Timing.GATES, today=TODAY, **options)


# --- does the stated SD hold? -------------------------------------------------------------------

ATHLETES = 400
FEW = 120
SESSIONS = 6


def simulated(rng, athlete, truth_mps, timing, sd_s, runs):
    """Return the error of the top speed after six sessions, in stated SDs."""
    layout = lay(make_runner(athlete), replace(SPEC, wickets=12))
    entered = -layout.start.along_m - float(FOOT_AHEAD_M)
    day = TODAY
    for _ in range(SESSIONS):
        # between days 1 %, and the 95 % that was asked for is hit to 2 points
        today = truth_mps * math.exp(rng.normal(0.0, 0.01)) * (1 + rng.normal(0.0, 0.02) / 0.95)
        curve = SpeedCurve(0.95 * today, 1.1)
        time = curve.time_at(entered + layout.section_m) - curve.time_at(entered)
        times = np.maximum(time + rng.normal(0.0, sd_s, runs), 0.5)
        made = review(
            make_runner(athlete, today=day), layout, times_s=list(times), timing=timing, today=day
        )
        athlete = accept(athlete, made, day)
        day += timedelta(days=7)
    top = make_runner(athlete).top_speed
    return (truth_mps - top.value) / top.sd


@pytest.mark.parametrize(
    ("timing", "sd_s", "runs", "guessed", "athletes"),
    [
        (Timing.HAND, 0.1, 3, False, FEW),
        (Timing.GATES, 0.01, 2, True, FEW),
        *(
            pytest.param(*clock, guessed, ATHLETES, marks=pytest.mark.slow)
            for clock in ((Timing.HAND, 0.1, 3), (Timing.GATES, 0.01, 2))
            for guessed in (False, True)
        ),
    ],
)
def test_after_six_sessions_two_in_three_lie_within_the_stated_sd(
    timing, sd_s, runs, guessed, athletes, record_property
):
    rng = np.random.default_rng(20260304)
    errors = []
    for _ in range(athletes):
        if guessed:
            guess = FirstGuess(cadence_hz=rng.uniform(3.9, 4.2), speed_share=0.95)
            athlete = Athlete(name="Sim", height_m=1.70, time_constant_s=1.1, first_guess=guess)
            truth = make_runner(athlete).top_speed.value * math.exp(rng.normal(0.0, 0.084))
        else:
            truth = rng.uniform(6.5, 10.5)
            said = truth * math.exp(rng.normal(0.0, 0.02))
            athlete = Athlete(name="Sim", height_m=1.70, time_constant_s=1.1, top_speed_mps=said)
        errors.append(simulated(rng, athlete, truth, timing, sd_s, runs))
    within = float(np.mean(np.abs(errors) < 1.0))
    record_property("share_within_one_sd", within)
    assert 0.55 <= within <= 0.85
    assert np.mean(np.abs(errors) < 2.0) > 0.92
