"""Wind and height against published corrections of 100 m times (W1 to W6)."""

import math

import pytest

from wicketlay.errors import DomainError
from wicketlay.running.air import air_factor, in_air_mps, still_air_mps
from wicketlay.sources import catalogue


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
