"""Progress by date: the runner as it stood after each day of the record."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from wicketlay.drills import WicketRun, lay
from wicketlay.review.progress import Seen, progress
from wicketlay.review.review import TimedRuns, Timing, accept, review
from wicketlay.running.athlete import (
    Athlete,
    FirstGuess,
    FlyingTime,
    Observation,
    Splits,
    make_runner,
)
from wicketlay.running.sprint import SpeedCurve
from wicketlay.units import UnitSystem
from wicketlay.wording.progress import KNOWN, known_cells, sprints_text, summary

DAY = date(2026, 1, 13)
WEEK = timedelta(days=7)
WOMAN = Athlete(name="Wren", height_m=1.66, sex="f", top_speed_mps=7.9, time_constant_s=1.05)


def season(weeks):
    """Return an athlete whose runs over wickets get faster every week."""
    athlete, spec = WOMAN, WicketRun(speed_share=0.95, wickets=14)
    first = lay(make_runner(WOMAN), spec)
    for week in range(weeks):
        day = DAY + week * WEEK
        made = review(
            make_runner(athlete, today=day),
            first,
            TimedRuns(
                times_s=[3.28 - 0.03 * week], timing=Timing.GATES, day=day, effort_share=0.95
            ),
        )
        athlete = accept(athlete, made, day)
    return athlete


def test_each_row_is_the_runner_made_of_what_was_known_that_day():
    athlete = season(5)
    shown = progress(athlete)
    assert [row.date for row in shown.rows] == [None] + [DAY + k * WEEK for k in range(5)]
    for count, row in enumerate(shown.rows):
        known = replace(athlete, observations=athlete.observations[:count])
        runner = make_runner(known, today=row.date)
        assert row.top_speed == runner.top_speed
        assert row.top_cadence == runner.gait.top_cadence


def test_the_gap_is_the_natural_step_in_the_drill_with_its_sd():
    (row,) = progress(WOMAN, speed_share=0.95).rows
    runner = make_runner(WOMAN)
    natural = 7.9 * 0.95 / runner.gait.natural_cadence_hz(0.95)
    assert row.gap.value == pytest.approx(natural)
    assert row.gap.relative_sd == pytest.approx(runner.gait.top_step.relative_sd)


def test_what_was_run_that_day_is_named_and_its_speed_kept():
    athlete = replace(
        season(1),
        flying=FlyingTime(distance_m=20.0, time_s=2.55, run_on_m=30.0, date=DAY + WEEK),
        splits=Splits(distances_m=(10.0, 20.0, 30.0), times_s=(2.2, 3.6, 4.9), date=DAY + 2 * WEEK),
    )
    counted = Observation(date=DAY + 3 * WEEK, distance_m=30.0, steps=16.0)
    timed = Observation(date=DAY + 4 * WEEK, distance_m=30.0, time_s=3.9)
    athlete = replace(athlete, observations=(*athlete.observations, counted, timed))
    rows = {row.date: row for row in progress(athlete).rows if row.date}
    marks = athlete.observations[0]
    assert [rows[DAY + k * WEEK].seen for k in range(5)] == [
        (
            Seen(
                what="marks",
                speed_mps=pytest.approx(marks.distance_m / marks.time_s),
                held_share=pytest.approx(0.95),
            ),
        ),
        (Seen(what="flying time", speed_mps=pytest.approx(20.0 / 2.55)),),
        (Seen(what="splits"),),
        (Seen(what="steps counted"),),
        (Seen(what="timed run", speed_mps=pytest.approx(30.0 / 3.9)),),
    ]


def test_only_like_runs_of_a_day_have_a_mean_and_the_others_are_told_each_on_its_own():
    flat_out = {"date": DAY, "distance_m": 20.0, "run_on_m": 30.0}
    marks = Observation(
        date=DAY, distance_m=20.0, time_s=2.7, run_on_m=15.0, held_share=0.9, over_marks=True
    )
    runs = (
        marks,
        replace(marks, held_share=0.95, time_s=2.6),
        Observation(**flat_out, time_s=2.5, runs=3),
        Observation(**flat_out, time_s=2.54, timing="gates"),
        replace(marks, run_on_m=25.0, time_s=2.65),
    )
    shown = progress(replace(WOMAN, observations=runs))
    row = shown.rows[-1]
    assert [(seen.what, seen.held_share) for seen in row.seen] == [
        ("marks", 0.9),
        ("marks", 0.9),
        ("marks", 0.95),
        ("timed run", None),
    ]
    # three runs at 8.00 m/s and one at 7.874 m/s
    assert [seen.speed_mps for seen in row.seen] == pytest.approx(
        [20.0 / 2.7, 20.0 / 2.65, 20.0 / 2.6, 7.9685], abs=1e-4
    )
    told = dict(zip(KNOWN, known_cells(row, UnitSystem.METRIC), strict=True))["seen that day"]
    assert told == (
        "marks at 90 % 7.41 m/s, marks at 90 % 7.55 m/s, marks at 95 % 7.69 m/s, timed run 7.97 m/s"
    )


def test_a_dated_time_counts_from_its_day_on():
    athlete = replace(
        WOMAN, flying=FlyingTime(distance_m=20.0, time_s=2.4, run_on_m=30.0, date=DAY)
    )
    before, after = progress(athlete).rows
    assert before.top_speed.basis == "top speed given"
    assert after.top_speed.basis == "flying time"


def test_the_chart_has_a_point_a_day_and_a_band_of_one_sd():
    shown = progress(season(4))
    speed, cadence, gap = shown.series
    assert [line.unit for line in shown.series] == ["m/s", "steps/s", "m"]
    assert speed.days == cadence.days == gap.days == (0, 7, 14, 21)
    last = shown.rows[-1].top_speed
    assert (speed.low[-1], speed.values[-1], speed.high[-1]) == pytest.approx(
        (last.value - last.sd, last.value, last.value + last.sd)
    )


def test_change_is_from_the_first_row_to_the_last():
    shown = progress(season(6))
    assert shown.speed_change_mps == pytest.approx(
        shown.rows[-1].top_speed.value - shown.rows[0].top_speed.value
    )
    assert shown.speed_change_mps > 0.0
    assert shown.gap_change_m > 0.0


def test_days_before_anything_is_known_have_no_row_and_nothing_known_no_progress():
    child = Athlete(name="Pip", height_m=1.52, age_years=12.0)
    assert progress(child) is None
    flying = FlyingTime(distance_m=20.0, time_s=3.2, run_on_m=20.0, date=DAY)
    rows = progress(replace(child, flying=flying)).rows
    assert [row.date for row in rows] == [DAY]


def test_what_the_step_rests_on_is_told_by_weight():
    wren = Athlete(
        name="Wren",
        height_m=1.66,
        sex="f",
        top_speed_mps=7.9,
        first_guess=FirstGuess(cadence_hz=4.1, speed_share=0.95),
        observations=(Observation(date=date(2026, 3, 4), distance_m=20.0, time_s=2.6, steps=10.5),),
    )
    made = progress(wren)
    rests = dict(made.step_rests_on)
    assert list(rests) == ["leg", "cadence seen", "free runs of 1 day"]
    assert sum(rests.values()) == pytest.approx(1.0)
    # 4.6 % of the leg beside 3 % of a cadence by eye
    assert rests["cadence seen"] / rests["leg"] == pytest.approx((0.046 / 0.03) ** 2, rel=0.01)


def test_what_top_speed_rests_on_is_told_by_weight_in_all_and_by_day():
    gates = {"distance_m": 30.0, "timing": "gates", "wind_mps": 0.0}
    wren = Athlete(
        name="Wren",
        height_m=1.66,
        top_speed_mps=8.0,
        observations=(Observation(date=DAY, time_s=3.72, **gates),),
    )
    made = progress(wren)
    # by hand: 2 % as given, beside 0.01 s in 3.72 s and 1 % between days
    day = 1.0 / (0.01**2 + (0.01 / 3.72) ** 2)
    share = day / (day + 1.0 / 0.02**2)
    assert made.speed_rests_on == (
        ("top speed given", pytest.approx(1.0 - share)),
        ("free runs of 1 day", pytest.approx(share)),
    )
    assert [row.speed_share for row in made.rows] == pytest.approx([1.0 - share, share])


def test_the_weight_of_a_day_is_named_by_the_runs_that_make_it():
    marks = Observation(
        date=DAY,
        distance_m=20.0,
        time_s=2.72,
        run_on_m=15.0,
        held_share=0.95,
        over_marks=True,
        timing="gates",
        wind_mps=0.0,
    )
    free = Observation(date=DAY, distance_m=30.0, time_s=3.8, timing="hand")
    both = progress(replace(WOMAN, observations=(marks, free)))
    rests = dict(both.speed_rests_on)
    assert list(rests) == ["top speed given", "free runs of 1 day", "runs over marks of 1 day"]
    # 0.01 s in 2.72 s beside 0.1 s in 3.8 s, by inverse variance
    of_marks, of_free = rests["runs over marks of 1 day"], rests["free runs of 1 day"]
    assert of_marks / of_free == pytest.approx((0.1 / 3.8) ** 2 / (0.01 / 2.72) ** 2)
    assert of_marks + of_free == pytest.approx(both.rows[-1].speed_share)
    assert sum(rests.values()) == pytest.approx(1.0)
    only = progress(replace(WOMAN, observations=(marks, replace(marks, time_s=2.7))))
    assert [what for what, _ in only.speed_rests_on] == [
        "top speed given",
        "runs over marks of 1 day",
    ]


def test_days_of_one_kind_weigh_together_and_all_days_make_the_whole():
    made = progress(season(6))
    (what, most), *_ = sorted(made.speed_rests_on, key=lambda each: -each[1])
    assert what == "runs over marks of 6 days"
    assert sum(share for _, share in made.speed_rests_on) == pytest.approx(1.0, abs=0.02)
    assert most == pytest.approx(sum(row.speed_share for row in made.rows[1:]))
    assert made.rows[-1].speed_share > made.rows[2].speed_share


def test_times_from_a_standing_start_are_told_by_date():
    wren = Athlete(name="Wren", height_m=1.66, top_speed_mps=8.0, time_constant_s=1.0)
    (row,) = progress(wren).rows
    # x(t) = 8 (t - 1 + e^-t) is 10 m where t = 2.25 - e^-t, 2.131 s by hand
    assert row.sprint[0].value == pytest.approx(2.131, abs=0.001)
    assert 8.0 * (row.sprint[2].value - 1.0 + math.exp(-row.sprint[2].value)) == pytest.approx(30.0)


def test_acceleration_gained_between_two_sprints_shows_on_its_day_in_whatever_order_they_stand():
    marks_m = (5.0, 10.0, 20.0, 30.0)

    def sprint(day, tau_s):
        curve = SpeedCurve(8.0, tau_s)
        return Splits(distances_m=marks_m, times_s=tuple(map(curve.time_at, marks_m)), date=day)

    sprints = (sprint(DAY, 1.3), sprint(DAY + 4 * WEEK, 1.15))
    seen = Observation(date=DAY + WEEK, distance_m=20.0, steps=10.5)
    for order in (sprints, sprints[::-1]):
        wren = Athlete(name="Wren", height_m=1.66, sprints=order, observations=(seen,))
        rows = progress(wren).rows
        assert [row.date for row in rows] == [DAY, DAY + WEEK, DAY + 4 * WEEK]
        assert [seen.what for row in rows for seen in row.seen] == [
            *("splits", "steps counted", "splits")
        ]
        for row, tau_s in zip(rows, (1.3, 1.3, 1.15), strict=True):
            told = [SpeedCurve(8.0, tau_s).time_at(each) for each in (10.0, 20.0, 30.0)]
            assert [each.value for each in row.sprint] == pytest.approx(told, abs=2e-3)
        told = "Wren: the start is 0.10 s ± 0.02 s sooner at 10 m than when first measured. "
        assert summary(progress(wren), UnitSystem.METRIC).startswith(f"{told}Top speed 8.00 m/s")
        assert "sooner" not in sprints_text(progress(wren))
        charts = [(line.name, line.unit) for line in progress(wren).series]
        assert charts == [("time to 10 m", "s"), ("top speed", "m/s"), ("gap", "m")]
        drawn, times = progress(wren).series[0], [row.sprint[0] for row in rows]
        assert drawn.values == tuple(each.value for each in times)
        assert drawn.high == tuple(each.value + each.sd for each in times)
        off = " ± {:.2f} s, {:.2f} s and {:.2f} s".format(*(each.sd for each in rows[-1].sprint))
        assert f"first movement,{off} by now;" in sprints_text(progress(wren))
        change = progress(wren).start_change_s
        assert change.value == pytest.approx(rows[2].sprint[0].value - rows[0].sprint[0].value)
        assert change.sd < abs(change.value)
        # t = 10 / 8 + tau (1 - e^(-t / tau)) is 2.333 s and 2.235 s by hand
        assert rows[0].sprint[0].value - rows[2].sprint[0].value == pytest.approx(0.099, abs=0.002)


def test_the_error_of_a_gain_at_the_start_is_that_of_sampled_splits():
    marks_m, rng = (10.0, 20.0, 30.0), np.random.default_rng(11)

    def change(off):
        sprints = []
        for week, tau_s in ((0, 1.3), (4, 1.15)):
            curve = SpeedCurve(8.0 * math.exp(off * rng.normal(0.0, 0.01)), tau_s)
            times = [curve.time_at(to_m) + off * rng.normal(0.0, 0.01) for to_m in marks_m]
            sprints.append(
                Splits(distances_m=marks_m, times_s=tuple(times), date=DAY + week * WEEK)
            )
        wren = Athlete(name="Wren", height_m=1.66, sprints=tuple(sprints))
        return progress(wren).start_change_s

    gains = [change(1.0).value for _ in range(200)]
    assert change(0.0).sd == pytest.approx(np.std(gains), rel=0.2)


def test_a_start_that_was_measured_once_has_no_change_and_one_within_its_error_is_called_chance():
    assert progress(WOMAN).start_change_s is None
    marks_m = (10.0, 20.0, 30.0)
    sprints = tuple(
        Splits(distances_m=marks_m, times_s=times_s, date=day)
        for day, times_s in ((DAY, (2.20, 3.50, 4.75)), (DAY + WEEK, (2.18, 3.49, 4.74)))
    )
    first = progress(Athlete(name="Wren", height_m=1.66, sprints=sprints[:1]))
    assert first.start_change_s is None
    assert "at 10 m" not in sprints_text(first)
    both = progress(Athlete(name="Wren", height_m=1.66, sprints=sprints))
    assert abs(both.start_change_s.value) < both.start_change_s.sd
    within = f"no change at 10 m beyond its error, ± {both.start_change_s.sd:.2f} s."
    assert sprints_text(both).endswith(f"Since the start was first measured, {within}")
    assert summary(both, UnitSystem.METRIC).startswith("Wren: top speed")


def test_a_change_within_its_error_is_no_number_and_one_that_is_held_back_says_so():
    same = progress(season(1))
    assert same.speed_change_mps == 0.0
    assert summary(same, UnitSystem.METRIC) == (
        "Wren: top speed 7.90 m/s ± 0.09 m/s on 2026-01-13; since what was known before no change "
        "beyond its error."
    )
    # of a guess the first step is that gaps are no longer laid short: so much faster, none moves
    fast = Observation(
        date=DAY,
        distance_m=20.0,
        time_s=2.3,
        run_on_m=15.0,
        held_share=0.95,
        asked_share=0.95,
        over_marks=True,
        timing="gates",
        wind_mps=0.0,
    )
    ines = Athlete(
        name="Ines",
        height_m=1.7,
        first_guess=FirstGuess(cadence_hz=4.0, speed_share=0.95),
        observations=(fast,),
    )
    held = progress(ines)
    assert held.speed_change_mps == 0.0
    told = held.told_speed
    assert told.value > held.rows[-1].top_speed.value + told.sd
    assert summary(held, UnitSystem.METRIC).endswith(
        f"; the runs tell of {told.value:.2f} m/s ± {told.sd:.2f} m/s, marks follow step by step."
    )
