"""Wind and height against published corrections of 100 m times (W1 to W6)."""

import math
from datetime import date

import pytest

from wicketlay.errors import DomainError
from wicketlay.running.air import (
    air_factor,
    in_air_mps,
    still_air_mps,
    still_air_time_s,
    time_in_air_s,
)
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
from wicketlay.running.observed import speed_evidence
from wicketlay.sources import DEFAULTS, catalogue


def gain_s(still_s, wind_mps=0.0, altitude_m=0.0):
    """Return how much slower 100 m are in this air than in still air at sea level [s]."""
    return 100.0 / in_air_mps(100.0 / still_s, wind_mps, altitude_m) - still_s


def corrected_s(time_s, wind_mps=0.0, altitude_m=0.0):
    """Return what the correction takes a time of 100 m to, less that time [s]."""
    return 100.0 / still_air_mps(100.0 / time_s, wind_mps, altitude_m) - time_s


def test_w1_a_tail_wind_of_2_gives_men_a_tenth():
    """Linthorne 1994, J Appl Biomech 10(2), abstract: 0.10 s for men of about 10.0 s."""
    assert gain_s(10.0, wind_mps=2.0) == pytest.approx(-0.10, abs=0.01)


def test_w2_a_tail_wind_of_2_gives_women_a_little_more():
    """Linthorne 1994, as above: 0.12 s for women of about 11.0 s."""
    assert gain_s(11.0, wind_mps=2.0) == pytest.approx(-0.12, abs=0.02)


@pytest.mark.parametrize("wind_mps", [0.5, 1.0, 2.0, 4.0])
@pytest.mark.parametrize("time_s", [9.8, 11.0, 12.5])
def test_w3_a_head_wind_costs_more_than_an_equal_tail_wind_gives(time_s, wind_mps):
    """Linthorne 1994, as above."""
    assert gain_s(time_s, wind_mps=-wind_mps) > -gain_s(time_s, wind_mps=wind_mps) > 0.0


@pytest.mark.parametrize(
    ("wind_mps", "altitude_m", "printed_s"),
    [
        (1.0, 0.0, -0.05),
        (2.0, 0.0, -0.10),
        (0.0, 1000.0, -0.04),
        (0.0, 2000.0, -0.07),
        (2.0, 2500.0, -0.16),
    ],
)
def test_w4_a_printed_table_of_men_of_10_seconds(wind_mps, altitude_m, printed_s):
    """Mureika 2008, table as reprinted on a coaching reference site."""
    assert gain_s(10.0, wind_mps, altitude_m) == pytest.approx(printed_s, abs=0.012)


def test_w5_two_publications_disagree_on_height_and_sources_say_so():
    """0.07 s at 2250 m (1994 estimate) against 0.19 s (Linthorne 2016, Sports 4(2):29)."""
    assert gain_s(10.0, altitude_m=2250.0) == pytest.approx(-0.074, abs=0.0015)
    told = next(each for name, each in catalogue() if name == "air_drag_share")
    assert "0.07 s" in told.meaning
    assert "0.19 s" in told.meaning


@pytest.mark.parametrize("time_s", [9.8, 10.6, 12.0])
@pytest.mark.parametrize(("wind_mps", "altitude_m"), [(1.8, 0.0), (-2.0, 0.0), (0.7, 1400.0)])
def test_w6_it_is_the_published_correction_of_times(time_s, wind_mps, altitude_m):
    """Mureika 2001, arXiv physics/0006057: t (1.03 - 0.03 e^(-0.000125 H) (1 - w t/100)^2)."""
    thin = math.exp(-0.000125 * altitude_m)
    published = time_s * (1.03 - 0.03 * thin * (1.0 - wind_mps * time_s / 100.0) ** 2)
    assert corrected_s(time_s, wind_mps, altitude_m) == pytest.approx(published - time_s, abs=1e-9)


def test_still_air_at_sea_level_changes_nothing():
    assert air_factor(9.0) == pytest.approx(1.0, abs=1e-15)
    assert in_air_mps(9.0, 0.0, 0.0) == pytest.approx(9.0, abs=1e-12)


@pytest.mark.parametrize("still_mps", [4.0, 8.0, 12.0])
@pytest.mark.parametrize("wind_mps", [-4.0, 0.0, 3.0])
@pytest.mark.parametrize("altitude_m", [0.0, 2200.0])
def test_there_and_back_is_where_it_began(still_mps, wind_mps, altitude_m):
    there = in_air_mps(still_mps, wind_mps, altitude_m)
    assert still_air_mps(there, wind_mps, altitude_m) == pytest.approx(still_mps, rel=1e-9)


@pytest.mark.parametrize(
    ("wind_mps", "altitude_m", "told"),
    [(10.1, 0.0, "wind is 10.1 m/s"), (0.0, 4001.0, "altitude is 4001 m")],
)
def test_air_nobody_runs_in_is_refused(wind_mps, altitude_m, told):
    with pytest.raises(DomainError, match=told):
        air_factor(9.0, wind_mps, altitude_m)


# --- what is learnt, and what is told -----------------------------------------------------------

DAY = date(2026, 3, 4)
TAU = Estimate(value=1.1, sd=0.0, basis="known")


def test_a_timed_run_is_learnt_from_as_in_still_air():
    run = {"date": DAY, "distance_m": 20.0, "time_s": 2.4, "timing": Timing.GATES}
    windy = speed_evidence(Observation(**run, wind_mps=2.0), TAU, DEFAULTS)
    # 8.333 m/s over 1.03 - 0.03 (1 - 2 / 8.333)^2 = 1.01267
    assert windy.value == pytest.approx(8.2290, abs=0.0001)
    high = speed_evidence(Observation(**run, wind_mps=0.0, altitude_m=2250.0), TAU, DEFAULTS)
    assert high.value == pytest.approx(20.0 / 2.4 / (1.03 - 0.03 * math.exp(-0.28125)))


def test_a_run_that_builds_is_corrected_before_its_top_speed_is_worked_out():
    run = {"date": DAY, "distance_m": 20.0, "run_on_m": 25.0, "timing": Timing.GATES}
    still_s = still_air_time_s(20.0, 2.4, 2.0, None)
    windy = speed_evidence(Observation(**run, time_s=2.4, wind_mps=2.0), TAU, DEFAULTS)
    still = speed_evidence(Observation(**run, time_s=still_s, wind_mps=0.0), TAU, DEFAULTS)
    assert windy.value == pytest.approx(still.value)


@pytest.mark.parametrize(
    ("timing", "wind_mps", "share"),
    [
        (Timing.GATES, None, 0.005),
        (Timing.GATES, 0.0, 0.0),
        (Timing.GATES, 1.2, 0.0),
        (Timing.HAND, None, 0.0),
    ],
)
def test_a_wind_nobody_read_makes_a_gate_time_less_sure(timing, wind_mps, share):
    run = {"date": DAY, "distance_m": 20.0, "time_s": 2.4, "timing": timing}
    told = speed_evidence(Observation(**run, wind_mps=wind_mps), TAU, DEFAULTS).relative_sd
    read = speed_evidence(Observation(**run, wind_mps=0.0), TAU, DEFAULTS).relative_sd
    assert told**2 - read**2 == pytest.approx(share**2, abs=1e-12)


def test_a_flying_time_and_splits_are_known_as_in_still_air():
    flying = {"distance_m": 20.0, "run_on_m": 30.0, "timing": Timing.GATES}
    splits = {"distances_m": (10.0, 20.0, 30.0, 40.0), "start": ClockStart.FIRST_MOVEMENT}
    times = (2.1, 3.4, 4.6, 5.75)
    factor = still_air_time_s(40.0, 5.75, -1.5, 1500.0) / 5.75
    for windy, still in (
        (
            {"flying": FlyingTime(**flying, time_s=2.4, wind_mps=-1.5)},
            {"flying": FlyingTime(**flying, time_s=still_air_time_s(20.0, 2.4, -1.5, None))},
        ),
        (
            {"splits": Splits(**splits, times_s=times, wind_mps=-1.5, altitude_m=1500.0)},
            {"splits": Splits(**splits, times_s=tuple(each * factor for each in times))},
        ),
    ):
        runners = [make_runner(Athlete(name="Wren", height_m=1.66, **f)) for f in (windy, still)]
        assert runners[0].top_speed.value == pytest.approx(runners[1].top_speed.value)


def test_a_time_told_for_some_air_comes_back_to_still_air():
    told_s = time_in_air_s(20.0, 2.5, -1.2, 1200.0)
    assert told_s != pytest.approx(2.5, abs=0.005)
    assert still_air_time_s(20.0, told_s, -1.2, 1200.0) == pytest.approx(2.5, rel=1e-9)
    assert time_in_air_s(20.0, 2.5, None, None) == 2.5


def test_a_walk_at_a_height_and_a_gale_are_told_without_a_stop():
    assert 0.99 < in_air_mps(0.99, 0.0, 1500.0) < 1.02
    for still_mps in (0.5, 2.0, 6.0):
        slowed = in_air_mps(still_mps, -10.0, 0.0)
        assert 0.0 < slowed < still_mps
        assert still_air_mps(slowed, -10.0, 0.0) == pytest.approx(still_mps, rel=1e-3)
