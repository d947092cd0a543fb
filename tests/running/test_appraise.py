"""What marks ask of a runner, against the model solved by scipy, and the limits one by one."""

import numpy as np
import pytest
import scipy.special

from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.running.appraise import appraise, mark_ids
from wicketlay.running.athlete import Athlete, make_runner
from wicketlay.running.touchdowns import StartKind
from wicketlay.sources import Judgement

TOP, TAU = 9.0, 1.1
RUNNER = make_runner(Athlete(name="Wren", height_m=1.75, top_speed_mps=TOP, time_constant_s=TAU))
TOP_HZ = RUNNER.gait.top_cadence.value
FOOT_AHEAD_M = 0.31


def time_from_rest(distance, top):
    """Solve x(t) = v t - v tau (1 - e^(-t / tau)) for t with scipy's Lambert W."""
    s = distance / (top * TAU)
    return TAU * (s + 1.0 + scipy.special.lambertw(-np.exp(-s - 1.0)).real)


def marks_at(cadences_hz, *, share=1.0, run_on_m=20.0):
    """Return marks from 0 whose gaps ask for the given cadences in turn."""
    curve = RUNNER.curve(share)
    first = curve.time_at(run_on_m - FOOT_AHEAD_M)
    times = first + np.concatenate([[0.0], np.cumsum(1.0 / np.asarray(cadences_hz))])
    places = curve.position_at(times)
    return places - places[0]


def asked(cadences_hz, *, share=1.0, judgement=Judgement(), **known):
    return appraise(
        RUNNER,
        marks_at(cadences_hz, share=share),
        run_on_m=20.0,
        speed_share=share,
        judgement=judgement,
        **known,
    )


def levels(appraisal):
    return {finding.code: finding.level for finding in appraisal.findings}


def test_each_mark_is_passed_when_the_body_is_a_foot_behind_it():
    places = np.array([100.0, 102.1, 104.3, 106.2])
    got = appraise(RUNNER, places, run_on_m=18.0, speed_share=0.95)
    times = time_from_rest(18.0 - FOOT_AHEAD_M + places - 100.0, 0.95 * TOP)
    np.testing.assert_allclose(got.time_s, times - times[0], rtol=1e-9, atol=1e-12)
    assert got.first_s == pytest.approx(times[0])
    np.testing.assert_allclose(got.speed_mps, 0.95 * TOP * (1 - np.exp(-times / TAU)), rtol=1e-9)
    np.testing.assert_allclose(got.along_m, places)
    np.testing.assert_allclose(got.gap_m, [2.1, 2.2, 1.9])
    cadence = 1.0 / np.diff(times)
    natural = TOP_HZ * 0.95**0.88
    np.testing.assert_allclose(got.cadence_hz, cadence, rtol=1e-9)
    assert got.natural_cadence_hz == pytest.approx(natural)
    np.testing.assert_allclose(got.excess_share, natural / cadence - 1.0, rtol=1e-6)
    # the natural step is the speed over the gap divided by the natural cadence
    mean_speed = got.gap_m / np.diff(times)
    np.testing.assert_allclose(got.natural_gap_m, mean_speed / natural, rtol=1e-9)
    assert got.mark_ids == ("w1", "w2", "w3", "w4")


def test_a_run_that_comes_in_moving_passes_with_its_own_speed():
    judged = Judgement(jog_in_mps=3.5, cadence_floor=0.97)
    got = appraise(
        RUNNER,
        [0.0, 2.0],
        run_on_m=10.0,
        speed_share=0.9,
        start=StartKind.JOG_IN,
        judgement=judged,
    )
    curve = RUNNER.curve(0.9, 3.5)
    assert got.speed_mps[0] == pytest.approx(curve.share_at(10.0 - FOOT_AHEAD_M) * 0.9 * TOP)
    assert got.natural_cadence_hz == pytest.approx(0.97 * TOP_HZ)


def test_a_layout_that_follows_the_step_asks_for_the_cadence_it_was_laid_for():
    got = asked([4.1] * 6, share=0.95)
    np.testing.assert_allclose(got.cadence_hz, 4.1, rtol=1e-9)


def test_wickets_are_named_once():
    assert mark_ids(3) == ("w1", "w2", "w3")
    assert mark_ids(3) is mark_ids(3)


def test_one_mark_asks_for_nothing():
    got = appraise(RUNNER, [3.0], run_on_m=15.0, speed_share=0.9)
    assert got.mark_ids == ("w1",)
    assert got.gap_m.size == got.cadence_hz.size == 0
    assert got.worst_excess == 0.0
    assert got.findings == ()


def test_the_worst_excess_keeps_its_sign():
    natural = TOP_HZ
    long = asked([natural / 1.02, natural / 1.05, natural * 1.01])
    assert long.worst_excess == pytest.approx(0.05)
    short = asked([natural / 1.02, natural * 1.10])
    assert short.worst_excess == pytest.approx(1.0 / 1.10 - 1.0)


@pytest.mark.parametrize(
    ("over", "level"),
    [
        (0.0304, None),  # passed by less than can be shown
        (0.0306, Level.CAUTION),
        (0.0704, Level.CAUTION),
        (0.0706, Level.STOP),
    ],
)
def test_a_gap_over_the_natural_step_is_a_caution_at_3_and_a_stop_at_7_percent(over, level):
    """Design 3.6, point 6: +3 % caution, +7 % stop."""
    got = asked([TOP_HZ, TOP_HZ / (1.0 + over), TOP_HZ])
    assert levels(got) == ({} if level is None else {"gap-too-long": level})
    if level is not None:
        (finding,) = got.findings
        assert (finding.athlete, finding.mark) == ("Wren", "w3")
        assert dict(finding.values) == pytest.approx(
            {
                "gap_m": got.gap_m[1],
                "natural_m": got.gap_m[1] / (1.0 + over),
                "excess_share": over,
                "limit_share": 0.07 if level is Level.STOP else 0.03,
            },
            rel=1e-6,
        )


@pytest.mark.parametrize(
    ("over", "level"),
    [
        (0.0604, None),
        (0.0606, Level.CAUTION),
        (0.1204, Level.CAUTION),
        (0.1206, Level.STOP),
    ],
)
def test_a_natural_step_over_the_gap_is_a_caution_at_6_and_a_stop_at_12_percent(over, level):
    """Issue 2: a cadence 8.8 % over the natural one is a caution, 13 % a stop."""
    share = 0.85  # the natural cadence is the floor, well below the limits of top cadence
    natural = 0.90 * TOP_HZ
    got = asked([natural, natural, natural * (1.0 + over)], share=share)
    assert levels(got) == ({} if level is None else {"gap-too-short": level})
    if level is not None:
        (finding,) = got.findings
        assert (finding.athlete, finding.mark) == ("Wren", "w4")
        assert dict(finding.values) == pytest.approx(
            {
                "gap_m": got.gap_m[2],
                "natural_m": got.gap_m[2] * (1.0 + over),
                "under_share": 1.0 - 1.0 / (1.0 + over),
                "limit_share": 1.0 - 1.0 / (1.12 if level is Level.STOP else 1.06),
            },
            rel=1e-6,
        )


WIDE = Judgement(short_caution=0.3, short_stop=0.4)


@pytest.mark.parametrize(
    ("over", "level"),
    [
        (1.0804, None),
        (1.0806, Level.CAUTION),
        (1.1504, Level.CAUTION),
        (1.1506, Level.STOP),
    ],
)
def test_a_cadence_over_top_cadence_is_a_caution_at_8_and_a_stop_at_15_percent(over, level):
    """Design 3.6, point 6: 1.08 and 1.15 times top cadence."""
    got = asked([TOP_HZ, TOP_HZ * over], judgement=WIDE)
    assert levels(got) == ({} if level is None else {"cadence-over-top": level})
    if level is not None:
        (finding,) = got.findings
        assert finding.athlete == "Wren"
        assert dict(finding.values) == pytest.approx(
            {
                "asked_hz": TOP_HZ * over,
                "top_hz": TOP_HZ,
                "limit_hz": TOP_HZ * (1.15 if level is Level.STOP else 1.08),
            },
            rel=1e-6,
        )


def test_a_cadence_at_the_limit_for_anyone_is_not_over_it():
    fastest = float(asked([4.3, 4.6]).cadence_hz.max())
    got = asked([4.3, 4.6], judgement=Judgement(cadence_caution_hz=fastest))
    assert "cadence-high-for-anyone" not in levels(got)


def test_marks_far_closer_than_a_step_are_appraised_too():
    got = appraise(RUNNER, [0.0, 0.4], run_on_m=20.0, speed_share=0.9)
    assert levels(got)["gap-too-short"] is Level.STOP


@pytest.mark.parametrize(("limit", "told"), [(4.59, True), (4.61, False)])
def test_a_cadence_too_high_for_anyone_is_a_caution(limit, told):
    got = asked([4.3, 4.6], judgement=Judgement(cadence_caution_hz=limit))
    assert ("cadence-high-for-anyone" in levels(got)) is told
    if told:
        finding = got.findings[-1]
        assert (finding.level, finding.athlete) == (Level.CAUTION, "Wren")
        assert dict(finding.values) == pytest.approx({"asked_hz": 4.6, "limit_hz": limit})


def test_the_worst_gap_of_each_kind_is_told_once():
    natural = TOP_HZ
    got = asked([natural / 1.05, natural / 1.06, natural * 1.07, natural * 1.065])
    told = {(finding.code, finding.mark) for finding in got.findings}
    assert told == {("gap-too-long", "w3"), ("gap-too-short", "w4")}


@pytest.mark.parametrize(
    ("along", "run_on", "message"),
    [
        (3.0, 20.0, "marks to appraise must be a list of finite distances, one at least"),
        ([], 20.0, "marks to appraise must be a list of finite distances, one at least"),
        ([0.0, np.nan], 20.0, "marks to appraise must be a list of finite distances, one at least"),
        ([[0.0, 1.0]], 20.0, "marks to appraise must be a list of finite distances, one at least"),
        (
            [0.0, 2.0, 2.0],
            20.0,
            "marks to appraise must lie one after the other, each beyond the one before",
        ),
        (
            [0.0, 2.0, 1.0],
            20.0,
            "marks to appraise must lie one after the other, each beyond the one before",
        ),
        ([0.0, 2.0], 0.31, "run-on is 0.31 m; it must be longer than 0.31 m"),
        ([0.0, 2.0], np.nan, "run-on is nan m; it must be longer than 0.31 m"),
    ],
)
def test_marks_that_cannot_be_appraised_are_refused(along, run_on, message):
    with pytest.raises(DomainError) as refused:
        appraise(RUNNER, along, run_on_m=run_on, speed_share=0.9)
    assert str(refused.value) == message
