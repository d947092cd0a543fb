"""Top speed from a flying time or a speed at a place, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.running import top_speed
from wicketlay.running.facts import FlyingTime
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.top_speed import top_speed_from_flying, top_speed_from_speed_at


def test_v9_zone_mean_and_top_speed_apart():
    """V9: flying 30 m in 2.54 s is 11.80 m/s mean. Press report of 1982, second-hand."""
    timed = FlyingTime(distance_m=30.0, time_s=2.54, run_on_m=40.0)
    assert timed.mean_speed_mps == pytest.approx(11.80, abs=0.02)
    assert 11.80 < top_speed_from_flying(30.0, 2.54, 40.0, 1.2) < 12.0


@settings(max_examples=40, deadline=None)
@given(
    st.floats(3.0, 12.0), st.floats(0.5, 2.0), st.floats(0.0, 60.0), st.sampled_from((10, 20, 30))
)
def test_flying_time_gives_the_top_speed_back(speed, tau, run_on, zone):
    curve = SpeedCurve(speed, tau)
    time = curve.time_at(run_on + zone) - curve.time_at(run_on)
    assert top_speed_from_flying(zone, time, run_on, tau) == pytest.approx(speed, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(3.0, 12.0), st.floats(0.5, 2.0), st.floats(0.5, 60.0))
def test_speed_at_a_place_gives_the_top_speed_back(speed, tau, place):
    curve = SpeedCurve(speed, tau)
    there = curve.share_at(place) * speed
    assert top_speed_from_speed_at(there, place, tau) == pytest.approx(speed, rel=1e-9)


@pytest.mark.parametrize("run_on", [0.0, 0.5, 10.0, 60.0])
@pytest.mark.parametrize("tau", [0.5, 1.1, 2.0])
@pytest.mark.parametrize("speed", [3.0, 9.0, 12.0])
def test_a_top_speed_is_found_in_few_steps(monkeypatch, speed, tau, run_on):
    """Solving a plan asks for some each; Newton's steps must be the right ones."""
    curve = SpeedCurve(speed, tau)
    time = curve.time_at(run_on + 20.0) - curve.time_at(run_on)
    there = speed * curve.share_at(run_on)
    asked = []
    share = top_speed.share_from_rest
    monkeypatch.setattr(top_speed, "share_from_rest", lambda s: asked.append(s) or share(s))
    assert top_speed_from_flying(20.0, time, run_on, tau) == pytest.approx(speed, rel=1e-12)
    assert len(asked) <= 18
    if run_on:
        asked.clear()
        assert top_speed_from_speed_at(there, run_on, tau) == pytest.approx(speed, rel=1e-12)
        assert len(asked) <= 10


def test_top_speed_lies_above_the_zone_mean_and_nears_it_with_the_run_on():
    above = [top_speed_from_flying(20.0, 2.2, run_on, 1.1) - 20.0 / 2.2 for run_on in (10, 30, 60)]
    assert above[0] > above[1] > above[2] > 0.0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.0, 2.0, 30.0, 1.1), "zone is 0 m; it must be above 0 m"),
        ((20.0, -1.0, 30.0, 1.1), "time over the zone is -1 s; it must be above 0 s"),
        ((20.0, 2.0, -1.0, 1.1), "run-on is -1 m; it must be 0 m or more"),
        ((20.0, 2.0, 30.0, math.nan), "time constant is nan s; it must be above 0 s"),
        (
            (20.0, 0.1, 30.0, 1.1),
            "20 m in 0.1 s after a run-on of 30 m is faster than anyone",
        ),
    ],
)
def test_flying_times_that_cannot_be_are_refused(arguments, message):
    with pytest.raises(DomainError) as refused:
        top_speed_from_flying(*arguments)
    assert str(refused.value) == message


def test_a_speed_that_nobody_reaches_is_refused():
    with pytest.raises(DomainError, match=r"90 m/s after 1 m is faster than anyone"):
        top_speed_from_speed_at(90.0, 1.0, 1.1)
