"""Following rising speed: never off by more than the tolerance, never more moves than needed."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.lanes.stages import follow, speed_shares


def right(laid, true, tolerance) -> bool:
    off = np.asarray(laid) - np.asarray(true)
    return bool(
        np.all(np.abs(off) <= tolerance + 1e-8) and np.all(np.abs(np.diff(off)) <= tolerance + 1e-8)
    )


# In tenths of a millimetre, so that no case turns on the last digits of a float.
offsets = st.lists(st.integers(-1200, 1200).map(lambda n: n / 1e4), min_size=1, max_size=9)
tolerances = st.integers(0, 600).map(lambda n: n / 1e4)


@settings(max_examples=150, deadline=None)
@given(offsets, tolerances)
def test_right_to_the_tolerance_with_the_fewest_moves(off, tolerance):
    true = 1.8 * np.arange(len(off))
    laid = true + np.array(off)
    step = follow(laid, true, tolerance)
    assert right(step.laid_m, true, tolerance)
    fewest = min(
        sum(pattern)
        for pattern in itertools.product((0, 1), repeat=len(off))
        if right(np.where(pattern, true, laid), true, tolerance)
    )
    if 2 * fewest > len(off):
        assert step.anew
        assert step.laid_m == pytest.approx(true)
    else:
        assert int(step.moved.sum()) == fewest


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(-0.02, 0.06), min_size=3, max_size=12), st.floats(0.0, 0.05))
def test_errors_do_not_add_up_over_a_season(growths, tolerance):
    laid = 1.7 * np.arange(12.0)
    for growth in growths:
        true = (1.7 + growth) * np.arange(12.0)
        laid = follow(laid, true, tolerance).laid_m
        assert right(laid, true, tolerance)


def test_nothing_moves_when_nothing_changed():
    places = [0.0, 1.8, 3.62]
    step = follow(places, places, 0.0)
    assert not step.moved.any()
    assert not step.anew


def test_speed_shares_run_evenly():
    assert speed_shares(0.88, 0.97, 4) == pytest.approx((0.88, 0.91, 0.94, 0.97))


def test_one_stage_or_another_number_of_marks_is_refused():
    with pytest.raises(DomainError, match="2 stages or more, not 1"):
        speed_shares(0.9, 0.95, 1)
    with pytest.raises(DomainError, match="2 marks lie and 3 are wanted"):
        follow([0, 1], [0, 1, 2], 0.01)
    with pytest.raises(DomainError, match=r"tolerance is -0.01 m; it must be 0 or more"):
        follow([0.0], [0.0], -0.01)
