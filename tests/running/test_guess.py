"""A top speed guessed from height and cadence: its limits, caps and what is said of it."""

from dataclasses import replace
from datetime import date

import pytest

from wicketlay.drills import WicketRun, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.findings import Level
from wicketlay.running.athlete import (
    Athlete,
    FirstGuess,
    FlyingTime,
    NotEnoughKnown,
    Observation,
    SeenBy,
    Sex,
    Timing,
    make_runner,
)
from wicketlay.running.gait import leg_length_m, speed_for_top_cadence
from wicketlay.sources import Judgement, Standard


def athlete(**facts):
    return Athlete(**{"name": "Ines", "height_m": 1.70, **facts})


def guessed(cadence_hz, share, height_m=1.70, sex=None):
    """Return the speed by design 3.3: top cadence is f / max(s^0.88, 0.90)."""
    return speed_for_top_cadence(
        leg_length_m(height_m, sex and Sex(sex)), cadence_hz / max(share**0.88, 0.90)
    )


def found(runner, code):
    (finding,) = (f for f in runner.findings if f.code == code)
    return finding


def refused(one, **drill):
    with pytest.raises(NotEnoughKnown) as caught:
        make_runner(one, **drill)
    return caught.value.finding


def test_the_guess_says_what_it_rests_on_and_how_sure_it_is():
    runner = make_runner(
        athlete(), cadence_hz=4.2, speed_share=0.95, judgement=Judgement(height_only_sd=0.1)
    )
    speed = guessed(4.2, 0.95)
    assert runner.top_speed.value == pytest.approx(speed)
    assert runner.top_speed.relative_sd == pytest.approx(0.1)
    note = found(runner, "top-speed-guessed")
    assert dict(note.values) == pytest.approx(
        {"top_mps": speed, "sd_mps": 0.1 * speed, "cadence_hz": 4.2, "speed_share": 0.95}
    )


@pytest.mark.parametrize(
    ("cadence", "share", "values"),
    [
        (2.4, 0.95, {"asked_hz": 2.4, "low_hz": 2.5, "high_hz": 6.0}),
        (6.1, 0.95, {"asked_hz": 6.1, "low_hz": 2.5, "high_hz": 6.0}),
        (4.2, 0.49, {"asked_share": 0.49, "low_share": 0.5, "high_share": 1.0}),
        (4.2, 1.01, {"asked_share": 1.01, "low_share": 0.5, "high_share": 1.0}),
    ],
)
def test_a_drill_that_nothing_can_be_guessed_from_is_told_with_the_range(cadence, share, values):
    finding = refused(athlete(), cadence_hz=cadence, speed_share=share)
    assert finding.code.endswith("-out-of-range")
    assert dict(finding.values) == values


def test_the_ends_of_the_range_are_guessed_from():
    assert refused(athlete(height_m=1.0), cadence_hz=2.5).code == "slower-than-a-run"
    assert refused(athlete(), cadence_hz=6.0).code == "faster-than-anyone"
    for share in (0.5, 1.0):
        runner = make_runner(athlete(), cadence_hz=3.9, speed_share=share)
        assert runner.top_speed.value == pytest.approx(guessed(3.9, share))


@pytest.mark.parametrize(
    ("sex", "club", "over"),
    [
        (Sex.FEMALE, 8.5, True),
        (Sex.MALE, 9.8, True),
        (None, 9.8, True),
        (Sex.MALE, 9.8, False),
        (None, 9.8, False),
    ],
)
def test_a_guess_faster_than_a_club_runs_is_a_caution_without_a_level(sex, club, over):
    cadence = 4.5 if over else 3.7
    runner = make_runner(athlete(sex=sex), cadence_hz=cadence, speed_share=0.95)
    speed = guessed(cadence, 0.95, sex=sex)
    assert (speed > club) is over
    assert any(f.code == "guess-over-club" for f in runner.findings) is over
    assert runner.top_speed.value == pytest.approx(speed)
    if over:
        caution = found(runner, "guess-over-club")
        assert caution.level is Level.CAUTION
        assert dict(caution.values) == pytest.approx({"guessed_mps": speed, "club_mps": club})


def test_a_capped_guess_says_from_what_to_what():
    one = athlete(sex=Sex.FEMALE, level=Standard.CLUB)
    runner = make_runner(one, cadence_hz=4.5)
    note = found(runner, "guess-capped")
    assert note.level is Level.NOTE
    speed = guessed(4.5, 0.95, sex="f")
    assert dict(note.values) == {
        "guessed_mps": pytest.approx(speed),
        "cap_mps": 8.5,
        "level": "club",
    }
    assert runner.top_speed.basis == "height and cadence, capped by level"
    assert runner.top_speed.sd == pytest.approx(0.084 * 8.5)


def test_a_guess_too_fast_for_anyone_is_told_with_its_basis():
    finding = refused(athlete(height_m=1.92), cadence_hz=5.0)
    assert dict(finding.values) == pytest.approx(
        {
            "top_mps": guessed(5.0, 0.95, 1.92),
            "limit_mps": 12.4,
            "basis": "height and cadence",
        }
    )


def test_a_guess_too_slow_for_a_run_is_told_with_its_basis():
    finding = refused(athlete(height_m=1.0), cadence_hz=2.5)
    assert dict(finding.values) == pytest.approx(
        {"top_mps": guessed(2.5, 0.95, 1.0), "limit_mps": 2.0, "basis": "height and cadence"}
    )


@pytest.mark.parametrize("first", [None, FirstGuess(cadence_hz=6.0, speed_share=0.95)])
def test_runs_over_marks_are_followed_alone_where_no_first_guess_stands(first, a_day):
    seen = Observation(
        date=a_day, distance_m=24.0, time_s=3.0, over_marks=True, timing=Timing.GATES
    )
    runner = make_runner(athlete(first_guess=first, observations=(seen,)))
    assert runner.top_speed.value == pytest.approx(8.0)
    assert not runner.provisional


# --- how fast level and age allow ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("age", "cap", "level"),
    [
        (12.0, 7.0, "under-13"),
        (12.99, 7.0, "under-13"),
        (13.0, 8.0, "under-15"),
        (15.0, 9.0, "under-17"),
        (16.99, 9.0, "under-17"),
    ],
)
def test_an_age_under_17_caps_a_guess_without_a_level_and_says_so(age, cap, level):
    runner = make_runner(athlete(age_years=age), cadence_hz=4.6)
    assert runner.top_speed.value == cap
    assert runner.top_speed.basis == "height and cadence, capped by age"
    note = found(runner, "guess-capped-by-age")
    assert (note.values["age"], note.values["level"]) == (f"{int(age)}", level)
    assert note.values["cap_mps"] == cap


def test_a_twelve_year_old_is_not_guessed_at_the_speed_of_a_fifteen_year_old():
    child = athlete(height_m=1.52, age_years=12.0)
    assert make_runner(child, cadence_hz=4.2).top_speed.value == 7.0


def test_a_birthday_caps_as_an_age_does_and_without_a_day_of_the_plan_it_is_asked_for():
    child = athlete(height_m=1.52, born=date(2014, 1, 5))
    runner = make_runner(child, cadence_hz=4.2, today=date(2026, 3, 4))
    assert runner.top_speed.value == 7.0
    caution = found(make_runner(child, cadence_hz=4.2), "guess-age-unknown")
    assert (caution.level, caution.values["born"]) == (Level.CAUTION, "2014-01-05")


@pytest.mark.parametrize("age", [17.0, 40.0])
def test_from_17_on_an_age_caps_nothing(age):
    one = athlete(age_years=age)
    assert make_runner(one, cadence_hz=4.2).top_speed.value == pytest.approx(guessed(4.2, 0.95))


def test_a_level_counts_before_an_age():
    one = athlete(age_years=14.0, level=Standard.UNDER_17)
    assert make_runner(one, cadence_hz=4.6).top_speed.value == 9.0


@pytest.mark.parametrize(
    ("facts", "code", "told"),
    [
        ({"age_years": 11.0}, "top-speed-over-age", {"age": "11", "level": "under-13"}),
        ({"level": Standard.UNDER_13}, "top-speed-over-level", {"level": "under-13"}),
    ],
)
@pytest.mark.parametrize(("speed", "far"), [(7.35, False), (7.36, True), (10.5, True)])
def test_a_stated_speed_far_over_the_cap_is_a_caution_that_names_both(
    facts, code, told, speed, far
):
    runner = make_runner(athlete(top_speed_mps=speed, **facts))
    assert any(f.code == code for f in runner.findings) is far
    if far:
        caution = found(runner, code)
        assert caution.level is Level.CAUTION
        assert caution.values == {
            "top_mps": speed,
            "basis": "top speed given",
            "cap_mps": 7.0,
            **told,
        }


def test_where_the_sex_is_not_known_a_stated_speed_is_judged_by_the_higher_cap():
    fast = {"level": Standard.CLUB, "top_speed_mps": 9.5}
    assert not any("over" in f.code for f in make_runner(athlete(**fast)).findings)
    woman = make_runner(athlete(sex=Sex.FEMALE, **fast))
    assert found(woman, "top-speed-over-level").values["cap_mps"] == 8.5


# --- the cadence that was seen stays evidence of the step ---------------------------------------

SEEN = FirstGuess(cadence_hz=4.4, speed_share=0.95)
CLUB_WOMAN = athlete(height_m=1.75, sex=Sex.FEMALE, level=Standard.CLUB, first_guess=SEEN)


def step_ratio(runner):
    """Return the step over the one leg and speed let expect: 1.41 L (v / sqrt(g L))^0.45."""
    leg, speed = runner.gait.leg.value, runner.top_speed.value
    return runner.gait.top_step.value / (1.41 * leg * (speed / (9.81 * leg) ** 0.5) ** 0.45)


def gaps_of(runner, cadence_hz=None):
    target = CadenceTarget()
    if cadence_hz is not None:
        target = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=cadence_hz)
    layout = lay(runner, WicketRun(speed_share=0.93, wickets=12, cadence=target))
    return [mark.gap_m for mark in layout.marks if mark.gap_m is not None], layout.findings


def test_a_capped_guess_keeps_the_cadence_seen_as_evidence_of_the_step():
    runner = make_runner(CLUB_WOMAN, speed_share=0.93)
    assert runner.top_speed.value == 8.5
    # the worked example of the design: factor 0.924, top cadence about 4.45
    assert step_ratio(runner) == pytest.approx(0.924, abs=5e-4)
    assert runner.gait.top_cadence.value == pytest.approx(4.45, abs=5e-3)
    assert (runner.seen, runner.seen_teaches) == (SEEN, "step")
    gaps, _ = gaps_of(runner)
    assert 1.75 <= min(gaps) < max(gaps) <= 1.84


def test_the_cadence_that_was_seen_may_be_asked_of_a_club_woman():
    _, findings = gaps_of(make_runner(CLUB_WOMAN, speed_share=0.93), cadence_hz=4.4)
    assert not any(f.level is Level.STOP for f in findings)


def test_a_boy_of_13_steps_as_quickly_as_was_seen():
    seen = FirstGuess(cadence_hz=4.2, speed_share=0.95)
    boy = athlete(height_m=1.60, sex=Sex.MALE, age_years=13.0, first_guess=seen)
    runner = make_runner(boy, speed_share=0.93)
    assert runner.top_speed.value == 8.0
    assert runner.gait.natural_cadence_hz(0.95) == pytest.approx(4.2, rel=0.01)
    gaps, findings = gaps_of(runner, cadence_hz=4.2)
    assert max(gaps) < 1.72
    assert not any(f.level is Level.STOP for f in findings)


def test_a_guess_that_meets_no_cap_uses_the_cadence_up():
    one = athlete(first_guess=FirstGuess(cadence_hz=4.0, speed_share=0.95))
    runner = make_runner(one)
    assert step_ratio(runner) == pytest.approx(1.0)
    assert runner.gait.natural_cadence_hz(0.95) == pytest.approx(4.0)
    assert runner.seen_teaches == "speed"


def test_after_a_gate_time_the_cadence_seen_still_counts():
    flying = FlyingTime(distance_m=20.0, time_s=2.61, run_on_m=30.0, timing=Timing.GATES)
    facts = {"height_m": 1.75, "sex": Sex.FEMALE, "level": Standard.CLUB, "flying": flying}
    without, with_it = (
        make_runner(athlete(**facts)),
        make_runner(athlete(first_guess=SEEN, **facts)),
    )
    assert with_it.top_speed == without.top_speed
    # by hand: step seen is 7.694 m/s over 4.603 /s; weights 1/0.03^2 and 1/0.046^2
    seen_m = with_it.top_speed.value / (4.4 / 0.95**0.88)
    share = 0.046**2 / (0.03**2 + 0.046**2)
    expected = without.gait.top_step.value ** (1 - share) * seen_m**share
    assert with_it.gait.top_step.value == pytest.approx(expected, rel=1e-3)
    assert with_it.gait.top_step.relative_sd == pytest.approx(0.0251, abs=1e-4)
    assert with_it.gait.top_step.basis == "leg from height, cadence seen"
    caution = found(with_it, "cadence-seen-disagrees")
    assert caution.values["sds"] == "3.0"


def test_a_step_seen_and_one_expected_that_are_alike_are_not_told_as_two():
    known_mps = guessed(4.2, 0.95)
    seen = FirstGuess(cadence_hz=4.2, speed_share=0.95)
    for share, told in ((1.0, False), (1.015, False), (1.02, True), (0.98, True)):
        one = athlete(first_guess=seen, top_speed_mps=known_mps * share)
        runner = make_runner(one)
        assert ("cadence-seen" in {f.code for f in runner.findings}) is told
        assert runner.gait.top_step.basis == "leg from height, cadence seen"


def test_a_cadence_counted_from_a_video_weighs_more_than_one_by_eye():
    by_video = FirstGuess(cadence_hz=4.4, speed_share=0.95, by=SeenBy.VIDEO)
    known = {"height_m": 1.75, "sex": Sex.FEMALE, "top_speed_mps": 8.5}
    steps = [
        make_runner(athlete(first_guess=seen, **known)).gait.top_step for seen in (SEEN, by_video)
    ]
    seen_m = 8.5 / (4.4 / 0.95**0.88)
    assert abs(steps[1].value - seen_m) < abs(steps[0].value - seen_m)
    assert steps[1].relative_sd < steps[0].relative_sd


def test_the_cadence_asked_of_a_drill_is_no_evidence_once_the_speed_is_known():
    known = athlete(height_m=1.75, sex=Sex.FEMALE, top_speed_mps=8.5)
    asked = make_runner(known, cadence_hz=4.4)
    assert asked.gait == make_runner(known).gait
    assert asked.seen is None
    assert asked.seen_teaches == ""


def test_the_same_facts_in_another_order_give_the_same_athlete(a_day):
    runs = tuple(
        Observation(date=a_day.replace(day=day), distance_m=20.0, time_s=time, run_on_m=30.0)
        for day, time in ((4, 2.61), (4, 2.58), (9, 2.55), (12, 2.6))
    )
    counted = Observation(date=a_day, distance_m=20.0, steps=11.0, run_on_m=30.0)
    one = make_runner(replace(CLUB_WOMAN, observations=(counted, *runs)))
    other = make_runner(replace(CLUB_WOMAN, observations=(*reversed(runs), counted)))
    assert one.top_speed.value == pytest.approx(other.top_speed.value, rel=1e-12)
    assert one.gait.top_step.value == pytest.approx(other.gait.top_step.value, rel=1e-12)
    assert "cadence seen, counted steps" in one.gait.top_step.basis
