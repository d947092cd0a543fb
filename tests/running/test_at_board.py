"""Misses at the board: by how much to slide all marks, how sure that is, when to say nothing."""

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.running.at_board import at_board
from wicketlay.running.facts import BoardMisses
from wicketlay.sources import DEFAULTS

FIRST = date(2026, 3, 3)


def a_day(*misses_cm: float, slide_cm: float = 0.0, after: int = 0) -> BoardMisses:
    return BoardMisses(
        date=FIRST + timedelta(days=after),
        misses_m=tuple(each / 100.0 for each in misses_cm),
        slide_m=slide_cm / 100.0,
    )


def known(*days: BoardMisses, **changes):
    return at_board(days, replace(DEFAULTS, **changes))


def test_one_day_is_as_worked_by_hand():
    """Runs 20, 30 and 25 cm over: mean 25, squares about it 25 + 25 + 0 = 50 cm2, 2 free.

    SD between runs: (4 x 12^2 + 50) / (4 + 2) = 104.33, root 10.21 cm.
    Error of the day: 5^2 + 104.33 / 3 = 59.78 cm2.  Prior 50^2 = 2500.
    Gain 2500 / 2559.78 = 0.97665: place 24.42, variance 2500 x 0.02335 = 58.38, SD 7.64 cm.
    Next first run: 58.38 + 25 + 104.33 = 187.71, root 13.70 cm.
    """
    told = known(a_day(20, 30, 25))
    assert told.run_sd_m == pytest.approx(0.1021, abs=5e-5)
    assert told.place_m == pytest.approx(0.2442, abs=5e-5)
    assert told.sd_m == pytest.approx(0.0764, abs=5e-5)
    assert told.first_run_sd_m == pytest.approx(0.1370, abs=5e-5)
    assert told.slide_by_m(0.0) == -0.24
    assert (told.runs, told.days) == (3, 1)


def test_misses_either_way_within_their_error_ask_for_no_slide():
    told = known(a_day(12, -30, 5))
    assert abs(told.miss_m(0.0)) < told.sd_m
    assert told.slide_by_m(0.0) is None


def test_what_was_run_before_a_slide_counts_after_it():
    told = known(a_day(12, 10, 14))
    by_m = told.slide_by_m(0.0)
    assert by_m == pytest.approx(-0.12, abs=0.011)
    assert told.slide_by_m(by_m) is None
    # 12 over, slid 12 back, and now on the place: the same take-off, known better
    both = known(a_day(12, 10, 14), a_day(0, -2, 2, slide_cm=-12, after=2))
    assert both.miss_m(-0.12) == pytest.approx(0.0, abs=0.011)
    assert both.sd_m < told.sd_m


def test_two_slides_of_one_day_are_one_day():
    apart = known(a_day(30, 28), a_day(1, -1, slide_cm=-29))
    together = known(a_day(30, 28, 30, 28))
    assert (apart.days, apart.runs) == (1, 4)
    assert apart.place_m == pytest.approx(together.place_m)
    assert apart.sd_m == pytest.approx(together.sd_m)


def test_the_latest_day_counts_most_and_what_is_old_makes_less_sure():
    was, now = a_day(40, 40, 40), a_day(0, 0, 0, after=70)
    told = known(was, now)
    assert told.place_m < 0.20
    later = at_board([was, now], DEFAULTS, today=now.date + timedelta(days=140))
    assert later.place_m == told.place_m
    assert later.sd_m > told.sd_m
    assert at_board([was, now], DEFAULTS, today=FIRST).sd_m == told.sd_m


def test_nobody_is_taken_for_steadier_than_skilled_jumpers():
    """Lee, Lishman & Thomson 1982: an SD of 8 cm at the board, of three skilled women."""
    assert known(*(a_day(5, 5, 5, 5, 5, 5, after=i) for i in range(20))).run_sd_m == 0.08


def test_a_slide_of_over_a_metre_in_all_is_too_far_either_way():
    assert known(*[a_day(-120, -118, -121)]).too_far(0.0)
    assert known(*[a_day(120, 118, 121)]).too_far(0.0)
    assert not known(*[a_day(-90, -92, -91)]).too_far(0.0)
    assert known(*[a_day(-40, -42, -41, slide_cm=70)]).too_far(0.70)


def test_without_misses_nothing_is_known():
    assert known() is None


def test_with_a_layout_that_is_sure_of_the_board_misses_are_chance():
    assert known(a_day(50, 50, 50), takeoff_run_sd_m=0.0).slide_by_m(0.0) is None


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"misses_m": (12.0,)}, "12"),
        ({"misses_m": (math.nan,)}, "miss"),
        ({"misses_m": (0.1,), "slide_m": 6.0}, "slide"),
    ],
)
def test_misses_that_cannot_be_are_refused(values, told):
    with pytest.raises(DomainError, match=told):
        BoardMisses(date=FIRST, **values)


days = st.lists(
    st.builds(
        a_day,
        *[st.integers(-80, 80)] * 3,
        slide_cm=st.integers(-60, 60),
        after=st.integers(0, 60),
    ),
    min_size=1,
    max_size=6,
)


@given(days, st.randoms())
def test_the_order_of_the_facts_is_of_no_account(told, random):
    mixed = [
        replace(each, misses_m=tuple(random.sample(each.misses_m, len(each.misses_m))))
        for each in told
    ]
    random.shuffle(mixed)
    assert at_board(mixed, DEFAULTS) == at_board(told, DEFAULTS)


@given(days)
def test_misses_never_make_the_place_less_sure_than_no_miss_did(told):
    assert at_board(told, DEFAULTS, today=FIRST).sd_m < DEFAULTS.takeoff_run_sd_m


@given(st.integers(-60, 60), st.integers(1, 8), st.integers(0, 30))
def test_each_more_run_at_the_same_place_makes_surer(miss_cm, runs, after):
    fewer, more = a_day(*[miss_cm] * runs), a_day(*[miss_cm] * (runs + 1))
    assert known(more).sd_m < known(fewer).sd_m < DEFAULTS.takeoff_run_sd_m
    assert known(more).first_run_sd_m < known(fewer).first_run_sd_m
    next_day = a_day(miss_cm, after=after)
    at_last = {"today": next_day.date}
    assert (
        at_board([fewer, next_day], DEFAULTS, **at_last).sd_m
        < at_board([fewer], DEFAULTS, **at_last).sd_m
    )


@given(days, st.integers(-60, 60))
def test_nothing_under_the_error_is_suggested_and_what_is_ends_within_it(told, slide_cm):
    found = at_board(told, DEFAULTS)
    slide_m = slide_cm / 100.0
    by_m = found.slide_by_m(slide_m)
    if by_m is None:
        assert abs(found.miss_m(slide_m)) <= found.sd_m + 0.005
    else:
        assert abs(by_m) > found.sd_m
        assert found.slide_by_m(round(slide_m + by_m, 2)) is None
