"""The functions a sprint is made of against scipy and exact decimals."""

from decimal import Decimal, localcontext

import numpy as np
import pytest
import scipy.special
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.running.lambert import (
    distance_at_share,
    distance_at_time,
    share_from_rest,
)


def exact_k(q: float) -> Decimal:
    with localcontext() as context:
        context.prec = 60
        return -(1 - Decimal(q)).ln() - Decimal(q)


def test_share_from_rest_is_relatively_exact_from_a_nanometre_to_the_end():
    s = np.concatenate([np.logspace(-18, 1, 200), np.linspace(9e-4, 1.1e-3, 21)])
    for distance, share in zip(s, share_from_rest(s), strict=True):
        # dq/q = (1 - q) k / q^2 * ds/s, never more than ds/s
        assert float(abs(exact_k(share) / Decimal(float(distance)) - 1)) < 2e-11
        slope = (1.0 - share) / share
        miss = float(exact_k(share) - Decimal(float(distance))) * slope
        assert abs(miss) < 2e-13 * share


def test_share_from_rest_agrees_with_scipy_where_scipy_is_accurate():
    s = np.linspace(0.01, 40.0, 500)
    expected = 1.0 + scipy.special.lambertw(-np.exp(-s - 1.0)).real
    np.testing.assert_allclose(share_from_rest(s), expected, rtol=1e-12)


def test_an_array_of_any_shape_gets_what_its_numbers_get():
    s = np.concatenate([[0.0], np.logspace(-18, -1, 30), np.linspace(9.99e-4, 1.01e-3, 5)])
    for of in (share_from_rest, distance_at_share, distance_at_time):
        assert of(s.reshape(6, 6)).ravel().tolist() == [of(float(each)) for each in s]
    assert share_from_rest(np.array([])).shape == (0,)


def test_share_from_rest_has_its_ends():
    assert float(share_from_rest(np.array(0.0))) == 0.0
    assert float(share_from_rest(np.array(1e6))) == 1.0
    mixed = share_from_rest(np.concatenate([[0.0], np.logspace(-300, 300, 601)]))
    assert (np.diff(mixed) >= 0.0).all()


def exact_g(t: float) -> Decimal:
    with localcontext() as context:
        context.prec = 60
        return Decimal(t) - 1 + (-Decimal(t)).exp()


def test_series_are_right_to_the_last_digits_up_to_where_they_end():
    for q in np.linspace(0.002, 0.0099999, 40).tolist():
        assert abs(distance_at_share(q) / float(exact_k(q)) - 1.0) < 4e-15
    for t in np.linspace(0.002, 0.0199999, 40).tolist():
        assert abs(distance_at_time(t) / float(exact_g(t)) - 1.0) < 5e-15
    for s in np.linspace(2e-4, 9.99e-4, 30).tolist():
        share = share_from_rest(s)
        miss = float(exact_k(share) - Decimal(s)) * (1.0 - share) / share**2
        assert abs(miss) < 5e-15


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-12, 0.999999))
def test_distance_at_share_is_exact(q):
    exact = pytest.approx(float(exact_k(q)), rel=1e-11, abs=0.0)
    assert distance_at_share(q) == exact
    assert distance_at_share(np.array([q]))[0] == exact


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-12, 50.0))
def test_distance_at_time_is_exact(t):
    exact = pytest.approx(float(exact_g(t)), rel=1e-12, abs=0.0)
    assert distance_at_time(t) == exact
    assert distance_at_time(np.array([t]))[0] == exact
