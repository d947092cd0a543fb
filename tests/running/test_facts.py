"""Facts are kept as told and refused when they cannot be."""

import math
from datetime import date

import pytest

from wicketlay.errors import DomainError
from wicketlay.running.athlete import (
    Athlete,
    ClockStart,
    FirstGuess,
    FlyingTime,
    Foot,
    Observation,
    Splits,
    Timing,
)
from wicketlay.running.facts import is_child, months_between

DAY = date(2026, 3, 4)


def athlete(**facts):
    return Athlete(**{"name": "Wren", "height_m": 1.66, **facts})


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: athlete(height_m=0.99), "height is 0.99 m; it must lie between 1 and 2.3 m"),
        (lambda: athlete(height_m=math.nan), "height is nan m; it must lie between 1 and 2.3 m"),
        (lambda: athlete(height_m=True), "height is 1 m; it must lie between 1 and 2.3 m"),
        (lambda: athlete(leg_m=1.4), "leg is 1.4 m; it must lie between 0.4 and 1.3 m"),
        (
            lambda: athlete(leg_m=0.70),
            "leg over height is 0.421687; it must lie between 0.44 and 0.6",
        ),
        (lambda: athlete(age_years=4.9), "age is 4.9 years; it must lie between 5 and 100 years"),
        (
            lambda: athlete(top_speed_mps=12.5),
            "top speed is 12.5 m/s; it must lie between 2 and 12.4 m/s",
        ),
        (
            lambda: athlete(top_speed_sd_mps=-0.1),
            "SD of the top speed is -0.1 m/s; it must lie between 0 and 2 m/s",
        ),
        (
            lambda: athlete(time_constant_s=0.4),
            "time constant is 0.4 s; it must lie between 0.5 and 2 s",
        ),
        (
            lambda: athlete(name="  "),
            "the name has 2 characters; it must have between 1 and 80 and not be blank",
        ),
        (
            lambda: athlete(name="x" * 81),
            "the name has 81 characters; it must have between 1 and 80 and not be blank",
        ),
        (
            lambda: Splits(distances_m=(10.0, 20.0), times_s=(2.0,)),
            "splits need one time for each distance, got 2 distances and 1 times",
        ),
        (
            lambda: Splits(distances_m=(10.0, 20.0), times_s=(2.0, 3.0, 4.0)),
            "splits need one time for each distance, got 2 distances and 3 times",
        ),
        (
            lambda: Splits(distances_m=(10.0,), times_s=(2.0,)),
            "splits need at least two distances, got 1",
        ),
        (
            lambda: Splits(distances_m=(10.0, 10.0), times_s=(2.0, 3.0)),
            "split distances must rise: 10 m comes after 10 m",
        ),
        (
            lambda: Splits(distances_m=(10.0, 20.0), times_s=(3.0, 2.9)),
            "split times must rise: 2.9 s comes after 3 s",
        ),
        (
            lambda: Splits(distances_m=(10.0, 900.0), times_s=(2.0, 3.0)),
            "split distance is 900 m; it must lie between 1 and 200 m",
        ),
        (
            lambda: Splits(distances_m=(10.0, 20.0), times_s=(2.0, math.inf)),
            "split time is inf s; it must lie between 0.1 and 60 s",
        ),
        (
            lambda: Splits(distances_m=(10.0, 20.0), times_s=(2.0, 3.0), reaction_s=0.15),
            "a reaction time goes with a gun only, the clock start is first-movement",
        ),
        (
            lambda: Splits(
                distances_m=(10.0, 20.0), times_s=(2.0, 3.0), start=ClockStart.GUN, reaction_s=0.6
            ),
            "reaction time is 0.6 s; it must lie between 0 and 0.5 s",
        ),
        (
            lambda: FlyingTime(distance_m=4.0, time_s=2.0, run_on_m=30.0),
            "flying zone is 4 m; it must lie between 5 and 100 m",
        ),
        (
            lambda: FlyingTime(distance_m=20.0, time_s=2.0, run_on_m=-1.0),
            "run-on of the flying zone is -1 m; it must lie between 0 and 200 m",
        ),
        (
            lambda: FlyingTime(distance_m=20.0, time_s=2.0, run_on_m=30.0, runs=0),
            "number of runs is 0; it must lie between 1 and 100",
        ),
        (
            lambda: FirstGuess(cadence_hz=7.0, speed_share=0.95),
            "first cadence is 7 steps/s; it must lie between 2.5 and 6 steps/s",
        ),
        (
            lambda: FirstGuess(cadence_hz=4.4, speed_share=95.0),
            "first speed share is 95; it must lie between 0.5 and 1",
        ),
        (
            lambda: Observation(date=DAY, distance_m=30.0, steps=8.0),
            "observed step is 3.75 m; it must lie between 0.4 and 3.2 m",
        ),
        (
            lambda: Observation(date=DAY, distance_m=30.0, time_s=2.0, steps=14.0),
            "observed speed is 15 m/s; it must lie between 1 and 13 m/s",
        ),
        (
            lambda: Observation(date=DAY, distance_m=30.0, time_s=4.0, steps=14.0, held_share=0.3),
            "held share of top speed is 0.3; it must lie between 0.5 and 1",
        ),
    ],
)
def test_facts_that_cannot_be_are_refused(make, message):
    with pytest.raises(DomainError) as refused:
        make()
    assert str(refused.value) == message


@pytest.mark.parametrize(
    "facts",
    [
        {},
        {"distance_m": 30.0},
        {"time_s": 3.0, "steps": 14.0},
        {"step_m": 2.0},
        {"speed_mps": 9.0},
        {"distance_m": 30.0, "time_s": 3.5, "steps": 15.0, "speed_mps": 9.0},
        {"distance_m": 30.0, "steps": 15.0, "step_m": 2.0, "speed_mps": 9.0},
    ],
)
def test_an_observation_says_one_thing_in_one_way(facts):
    with pytest.raises(DomainError) as refused:
        Observation(date=DAY, **facts)
    assert str(refused.value) == (
        "the observation of 2026-03-04 needs a distance with steps or time, "
        "or a step with a speed, not both"
    )


def test_the_same_observation_twice_is_refused():
    seen = {"date": DAY, "distance_m": 30.0, "time_s": 3.4, "steps": 14.5}
    with pytest.raises(DomainError) as refused:
        athlete(observations=(Observation(**seen), Observation(**seen)))
    assert str(refused.value) == (
        "the observation of 2026-03-04 is given twice; one run teaches once, take one of them out"
    )
    other = Observation(**{**seen, "timing": Timing.GATES})
    assert len(athlete(observations=(Observation(**seen), other)).observations) == 2


def test_the_age_follows_the_birthday_when_the_day_is_known():
    child = athlete(born=date(2013, 3, 4), age_years=12.0)
    assert child.age_on(date(2026, 3, 4)) == pytest.approx(13.0, abs=0.01)
    assert child.age_on(None) == 12.0
    assert athlete(born=date(2013, 3, 4)).age_on(None) is None
    assert athlete().age_on(DAY) is None
    assert child.age_on(child.born) == child.age_on(date(2012, 1, 1)) == 0.0


def test_a_child_is_younger_than_eighteen_and_nobody_else():
    assert is_child(17.99)
    assert not any(is_child(age) for age in (18.0, 30.0, None, math.nan))


def test_a_name_may_have_eighty_characters():
    assert len(athlete(name="x" * 80).name) == 80


def test_months_count_forward_only():
    assert months_between(date(2025, 3, 4), date(2026, 3, 4)) == pytest.approx(12.0, abs=0.02)
    assert months_between(date(2026, 3, 4), date(2025, 3, 4)) == 0.0


def test_each_foot_has_another():
    assert Foot.LEFT.other is Foot.RIGHT
    assert Foot.RIGHT.other is Foot.LEFT
