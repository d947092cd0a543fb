"""Top speed on several bases at once: tau, errors, which is best, and what is said of the rest."""

import itertools
import math
from datetime import date, timedelta

import pytest

from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.running.athlete import (
    Athlete,
    ClockStart,
    FlyingTime,
    Observation,
    Splits,
    Timing,
    make_runner,
)
from wicketlay.running.estimates import Estimate
from wicketlay.running.known_speeds import KnownSpeed, best_of, known_speeds, splits_of
from wicketlay.running.notebook import Notebook, refuse_impossible
from wicketlay.running.observed import Evidence
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.top_speed import top_speed_from_flying
from wicketlay.sources import DEFAULTS, Judgement

DAY = date(2026, 3, 4)
MARKS_M = (10.0, 20.0, 30.0, 40.0)
SPLITS = Splits(
    distances_m=MARKS_M,
    times_s=tuple(SpeedCurve(9.0, 1.2).time_at(m) for m in MARKS_M),
    date=DAY,
)
FLYING = FlyingTime(
    distance_m=20.0,
    time_s=2.3,
    run_on_m=20.0,
    timing=Timing.GATES,
    runs=2,
    date=date(2026, 2, 1),
)
ONE = Athlete(name="Odalys", height_m=1.72, splits=SPLITS, flying=FLYING, top_speed_mps=8.8)


def found(runner, code):
    (finding,) = (f for f in runner.findings if f.code == code)
    return finding


def speed(value, sd, kind="splits"):
    return KnownSpeed(kind=kind, estimate=Estimate(value=value, sd=sd, basis=kind))


def test_a_tau_of_the_coach_is_as_sure_as_judged():
    runner = make_runner(
        Athlete(name="Wren", height_m=1.7, top_speed_mps=8.0, time_constant_s=1.05),
        judgement=Judgement(given_time_constant_sd_s=0.2),
    )
    tau = runner.time_constant
    assert (tau.value, tau.sd, tau.basis) == (1.05, 0.2, "given")


def test_an_assumed_tau_is_the_judged_one_and_no_finding():
    runner = make_runner(
        Athlete(name="Wren", height_m=1.7, top_speed_mps=8.0),
        judgement=Judgement(time_constant_s=0.9, time_constant_sd_s=0.2),
    )
    tau = runner.time_constant
    assert (tau.value, tau.sd, tau.basis) == (0.9, 0.2, "assumed")
    assert runner.findings == ()  # what nobody told stands on nearly every plan: a page tells it


@pytest.mark.parametrize(
    ("tau", "told"), [(0.52, False), (0.48, True), (1.98, False), (2.02, True)]
)
def test_a_tau_that_hardly_anybody_has_is_a_caution(tau, told):
    times = tuple(SpeedCurve(9.0, tau).time_at(m) for m in MARKS_M)
    splits = Splits(distances_m=MARKS_M, times_s=times, start=ClockStart.FIRST_MOVEMENT)
    runner = make_runner(Athlete(name="Wren", height_m=1.7, splits=splits))
    assert any(f.code == "time-constant-unlikely" for f in runner.findings) is told
    if told:
        caution = found(runner, "time-constant-unlikely")
        assert caution.level is Level.CAUTION
        values = dict(caution.values)
        assert values.pop("clock") == "first-movement"
        assert values == pytest.approx(
            {"time_constant_s": tau, "low_s": 0.5, "high_s": 2.0}, rel=1e-5
        )


def test_unusable_splits_beside_timed_runs_are_only_a_caution():
    splits = Splits(distances_m=(10.0, 20.0), times_s=(2.0, 4.1))
    seen = Observation(date=DAY, distance_m=30.0, time_s=3.5, timing=Timing.GATES)
    for facts in (
        {"flying": FLYING},
        {"top_speed_mps": 8.8},
        {"observations": (seen,)},
    ):
        runner = make_runner(Athlete(name="Wren", height_m=1.7, splits=splits, **facts))
        assert found(runner, "splits-unusable").level is Level.CAUTION


def test_a_flying_time_is_as_unsure_as_clock_tau_and_day_together():
    tau = Estimate(value=1.1, sd=0.2, basis="assumed")
    one = Athlete(name="Wren", height_m=1.7, flying=FLYING)
    (known,) = known_speeds(one, None, tau, DEFAULTS)
    value = top_speed_from_flying(20.0, 2.3, 20.0, 1.1)
    low, high = (top_speed_from_flying(20.0, 2.3, 20.0, t) for t in (0.9, 1.3))
    clock = 0.01 / 2.3 / math.sqrt(2) * value
    assert known.estimate.value == pytest.approx(value)
    assert known.estimate.sd == pytest.approx(
        math.hypot(clock, (high - low) / 2.0, 0.01 * value, 0.005 * value)
    )
    assert known.zone_mean_mps == pytest.approx(20.0 / 2.3)


def test_bases_come_best_first():
    fitted = speed(9.0, 0.1)
    tau = Estimate(value=1.2, sd=0.05, basis="4 splits")
    known = known_speeds(ONE, fitted, tau, DEFAULTS)
    assert [each.kind for each in known] == ["splits", "flying time", "top speed given"]
    assert known[2].estimate.sd == pytest.approx(0.02 * 8.8)


@pytest.mark.parametrize(
    ("other", "code"), [(9.79, "top-speed-unused"), (9.81, "top-speeds-disagree")]
)
def test_two_bases_disagree_from_two_sds_on(other, code):
    book = Notebook(ONE)
    best = best_of([speed(9.0, 0.24), speed(other, 0.32, "flying time")], book)
    assert best.kind == "splits"
    (finding,) = book.findings
    assert (finding.code, finding.athlete) == (code, "Odalys")
    values = dict(finding.values)
    assert values.pop("sds", None) == (None if code == "top-speed-unused" else "2.0")
    assert values == {
        "used": "splits",
        "used_mps": 9.0,
        "unused": "flying time",
        "unused_mps": other,
    }


def test_two_sds_apart_is_not_yet_a_disagreement():
    book = Notebook(ONE)
    best_of([speed(9.0, 0.3), speed(10.0, 0.4, "flying time")], book)
    assert [finding.code for finding in book.findings] == ["top-speed-unused"]


def test_a_basis_was_measured_on_the_day_of_its_run():
    tau = Estimate(value=1.1, sd=0.2, basis="assumed")
    fitted, _ = splits_of(ONE, DEFAULTS, Notebook(ONE))
    known = known_speeds(ONE, fitted, tau, DEFAULTS)
    assert [each.measured for each in known] == [DAY, date(2026, 2, 1), None]


def sprint(day, speed_mps=9.0, tau_s=1.2):
    curve = SpeedCurve(speed_mps, tau_s)
    return Splits(distances_m=MARKS_M, times_s=tuple(map(curve.time_at, MARKS_M)), date=day)


def test_of_several_sprints_the_newest_day_counts_in_whatever_order_they_stand():
    sprints = [sprint(DAY + timedelta(weeks=w), 9.0, 1.25 - 0.05 * w) for w in (2, 0, 1)]
    undated = sprint(None, 8.0, 0.9)
    made = [
        make_runner(Athlete(name="Wren", height_m=1.7, splits=undated, sprints=tuple(order)))
        for order in itertools.permutations(sprints)
    ]
    for runner in made:
        assert runner.time_constant.value == pytest.approx(1.15, abs=1e-4)
        assert runner.top_speed.value == pytest.approx(9.0, abs=1e-3)
        assert runner.speed_rests_on == (("4 splits", DAY + timedelta(weeks=2), 1.0),)


def test_sprints_of_one_day_are_one_sprint_that_is_surer():
    one, two = sprint(DAY, 9.0, 1.2), sprint(DAY, 9.2, 1.2)
    alone, both = (
        make_runner(Athlete(name="Wren", height_m=1.7, sprints=sprints))
        for sprints in ((one,), (one, two))
    )
    assert both.top_speed.value == pytest.approx(9.1, abs=0.01)
    assert both.time_constant.sd == pytest.approx(alone.time_constant.sd / math.sqrt(2), rel=0.1)
    assert both.time_constant.basis == "8 splits of 2 sprints"


def test_sprints_that_cannot_be_leave_the_word_to_the_day_before():
    wrong = Splits(distances_m=(10.0, 20.0), times_s=(2.0, 4.1), date=DAY + timedelta(weeks=1))
    runner = make_runner(Athlete(name="Wren", height_m=1.7, sprints=(sprint(DAY), wrong)))
    assert runner.top_speed.value == pytest.approx(9.0, abs=1e-3)
    assert found(runner, "splits-unusable").level is Level.CAUTION


def test_a_sprint_of_no_day_among_several_is_refused():
    with pytest.raises(DomainError, match="one of several sprints has no date; add it"):
        Athlete(name="Wren", height_m=1.7, sprints=(sprint(None),))


@pytest.mark.parametrize(("days", "told"), [(1, "1 day"), (2, "2 days")])
@pytest.mark.parametrize(
    ("code", "unit"), [("timed-runs-disagree", "mps"), ("counted-steps-disagree", "m")]
)
def test_days_that_disagree_are_told_with_how_many_and_how_far(code, unit, days, told):
    book = Notebook(ONE)
    seen = tuple(Evidence(date=DAY, value=9.0, relative_sd=0.03) for _ in range(days))
    book.compare(code, unit, Estimate(value=8.0, sd=0.1, basis=""), seen)
    (finding,) = book.findings
    sd = 9.0 * 0.03 / math.sqrt(days)
    assert (finding.level, finding.code) == (Level.CAUTION, code)
    values = dict(finding.values)
    assert values.pop("sds") == f"{1.0 / math.hypot(0.1, sd):.1f}"
    assert values.pop("told_on") == told
    assert values == pytest.approx({f"known_{unit}": 8.0, f"seen_{unit}": 9.0, "days": days})


@pytest.mark.parametrize(("value", "told"), [(8.79, False), (8.81, True)])
def test_days_disagree_from_two_sds_on(value, told):
    book = Notebook(ONE)
    book.compare(
        "timed-runs-disagree",
        "mps",
        Estimate(value=8.0, sd=0.24, basis=""),
        (Evidence(date=DAY, value=value, relative_sd=0.32 / value),),
    )
    assert bool(book.findings) is told


def test_no_days_disagree_with_nothing():
    book = Notebook(ONE)
    book.compare("timed-runs-disagree", "mps", Estimate(value=8.0, sd=0.0, basis=""), ())
    assert book.findings == []


@pytest.mark.parametrize("value", [2.0, 12.4])
def test_the_slowest_and_the_fastest_run_there_is_are_runs(value):
    refuse_impossible(value, "", Notebook(ONE))
