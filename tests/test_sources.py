"""The constants: published rows as printed, judged ones inside their ranges, all of them listed."""

from __future__ import annotations

import math
from dataclasses import fields

import pytest

from wicketlay import sources
from wicketlay.errors import DomainError
from wicketlay.sources import (
    DEFAULTS,
    MAX_VELOCITY_FROM,
    TRAINING_RANGES,
    Basis,
    Constant,
    Judgement,
    catalogue,
    default_of,
)

MINUTE_S = 60.0
V11 = {
    "max_velocity_zone_m": (10, 30),
    "max_velocity_run_on_m": (20, 40),
    "max_velocity_recovery_s": (4 * MINUTE_S, 15 * MINUTE_S),
    "max_velocity_session_m": (50, 150),
    "max_velocity_rest_h": (48, 72),
    "acceleration_run_m": (10, 50),
    "acceleration_recovery_s": (2 * MINUTE_S, 7 * MINUTE_S),
    "acceleration_session_m": (100, 300),
    "speed_endurance_run_m": (60, 80),
    "speed_endurance_share": (0.90, 0.95),
    "speed_endurance_recovery_s": (2 * MINUTE_S, 4 * MINUTE_S),
    "speed_endurance_session_m": (600, 2000),
}


def test_v11_training_ranges_are_the_printed_ones():
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2; exact.

    Of the row only the 8 to 15 min between sets of speed endurance are left out: the program
    plans no sets.
    """
    assert TRAINING_RANGES == V11
    assert MAX_VELOCITY_FROM == 0.98
    assert {constant.basis for pair in TRAINING_RANGES.values() for constant in pair} == {
        Basis.PUBLISHED
    }


def test_every_constant_is_listed_once_published_ones_first():
    listed = catalogue()
    names = [name for name, _ in listed]
    assert len(names) == len(set(names))
    order = [constant.basis for _, constant in listed]
    assert order == sorted(order, key="PDCJ".index)
    alone = {name.lower() for name, value in vars(sources).items() if isinstance(value, Constant)}
    assert alone <= set(names)
    assert {judged.name for judged in fields(Judgement)} <= set(names)


def test_every_constant_says_what_it_means_and_a_published_one_where_it_is_from():
    for name, constant in catalogue():
        assert constant.meaning, name
        assert constant.unit, name
        if constant.basis in {Basis.PUBLISHED, Basis.DERIVED}:
            assert constant.source, name


@pytest.mark.parametrize("judged", fields(Judgement), ids=lambda judged: judged.name)
def test_a_judged_constant_takes_its_range_and_nothing_beyond(judged):
    low, high = judged.metadata["low"], judged.metadata["high"]
    assert low <= default_of(judged) <= high
    for end in (low, high):
        assert getattr(Judgement(**{judged.name: end}), judged.name) == end
    for beyond in (math.nextafter(low, -math.inf), math.nextafter(high, math.inf), math.nan, True):
        with pytest.raises(DomainError, match=f"judgement {judged.name} is"):
            Judgement(**{judged.name: beyond})


def test_a_refused_judgement_tells_value_unit_and_range():
    with pytest.raises(DomainError) as refused:
        Judgement(push_off_s=0.5)
    assert str(refused.value) == "judgement push_off_s is 0.5 s; it must lie between 0 and 0.4"


def test_what_was_changed_of_the_judgement_is_told():
    assert DEFAULTS.changed() == {}
    assert Judgement(push_off_s=0.2, entry_share=0.95).changed() == {"push_off_s": 0.2}


def test_what_is_left_of_a_speed_nobody_is_sure_of_is_judged_and_listed():
    (constant,) = [each for name, each in catalogue() if name == "least_unsure_share"]
    assert (constant.basis, float(constant)) == (Basis.JUDGEMENT, 0.1)
