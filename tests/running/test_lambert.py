"""The Lambert W function and its companions against scipy and exact decimals."""

import math
from decimal import Decimal, localcontext

import numpy as np
import pytest
import scipy.special
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.running.lambert import (
    distance_at_share,
    distance_at_time,
    lambert_w0,
    share_from_rest,
)


def exact_k(q: float) -> Decimal:
    with localcontext() as context:
        context.prec = 60
        return -(1 - Decimal(q)).ln() - Decimal(q)


@pytest.mark.parametrize(
    "z",
    [
        np.linspace(-0.36, 0.5, 400),
        -np.logspace(-300, -1, 200),
        np.logspace(-300, 300, 600),
        np.array([0.0]),
    ],
    ids=["middle", "small negative", "positive, all magnitudes", "zero"],
)
def test_w0_agrees_with_scipy(z):
    np.testing.assert_allclose(lambert_w0(z), scipy.special.lambertw(z).real, rtol=2e-14)


def test_w0_inverts_w_e_to_the_w_near_the_branch_point():
    # z is formed exactly from w in decimals, since the float of z alone loses 1 + e z
    for offset in np.logspace(-7, -1, 60):
        w = Decimal(float(-1.0 + offset))
        with localcontext() as context:
            context.prec = 60
            z = float(w * w.exp())
            # what the rounding of z to a float moves w by: dw = dz / (e^w (1 + w))
            moved = abs(float(Decimal(z) - w * w.exp())) / (math.exp(w) * offset)
        assert float(lambert_w0(z)) == pytest.approx(float(w), abs=2.0 * moved + 4e-16)


def test_w0_is_minus_one_at_the_float_nearest_to_minus_one_over_e():
    assert float(lambert_w0(-math.exp(-1.0))) == pytest.approx(-1.0, abs=2e-8)


def test_w0_keeps_shape():
    assert lambert_w0(np.zeros((2, 3))).shape == (2, 3)
    assert lambert_w0(1.0).shape == ()


@pytest.mark.parametrize("z", [-0.37, float("nan"), float("inf"), -1e300])
def test_w0_refuses_what_has_no_real_answer(z):
    with pytest.raises(DomainError, match="real from -1/e up and for finite values"):
        lambert_w0(z)


def test_w0_refuses_an_array_with_one_bad_element():
    with pytest.raises(DomainError):
        lambert_w0(np.array([0.0, -1.0]))


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


def test_one_number_few_and_many_get_the_same_share():
    s = np.concatenate([[0.0], np.logspace(-18, 3, 300), np.linspace(9.99e-4, 1.01e-3, 30)])
    many = share_from_rest(s)
    few = np.concatenate([share_from_rest(s[i : i + 7]) for i in range(0, s.size, 7)])
    one = [share_from_rest(float(each)) for each in s]
    np.testing.assert_allclose(few, many, rtol=2e-13)
    np.testing.assert_allclose(one, many, rtol=2e-13)
    assert share_from_rest(s[:6].reshape(2, 3)).shape == (2, 3)


def test_share_from_rest_has_its_ends():
    assert float(share_from_rest(np.array(0.0))) == 0.0
    assert float(share_from_rest(np.array(1e6))) == 1.0
    mixed = share_from_rest(np.concatenate([[0.0], np.logspace(-300, 300, 601)]))
    assert (np.diff(mixed) >= 0.0).all()


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-12, 0.999999))
def test_distance_at_share_is_exact(q):
    exact = pytest.approx(float(exact_k(q)), rel=1e-11, abs=0.0)
    assert distance_at_share(q) == exact
    assert distance_at_share(np.array([q]))[0] == exact


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-12, 50.0))
def test_distance_at_time_is_exact(t):
    with localcontext() as context:
        context.prec = 60
        told = float(Decimal(t) - 1 + (-Decimal(t)).exp())
    exact = pytest.approx(told, rel=1e-12, abs=0.0)
    assert distance_at_time(t) == exact
    assert distance_at_time(np.array([t]))[0] == exact
