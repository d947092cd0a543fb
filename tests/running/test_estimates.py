"""An estimate is a finite value with an SD of zero or more."""

import math

import pytest

from wicketlay.errors import DomainError
from wicketlay.running.estimates import Estimate


def test_the_relative_sd_is_a_share_of_the_size_of_the_value():
    assert Estimate(value=8.0, sd=0.4, basis="").relative_sd == pytest.approx(0.05)
    assert Estimate(value=-8.0, sd=0.4, basis="").relative_sd == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("value", "sd"),
    [(math.nan, 0.1), (math.inf, 0.1), (8.0, math.nan), (8.0, math.inf), (8.0, -0.1)],
)
def test_what_is_not_a_number_with_an_error_is_refused(value, sd):
    with pytest.raises(DomainError) as refused:
        Estimate(value=value, sd=sd, basis="flying time")
    assert str(refused.value) == (
        f"an estimate needs a finite value and an SD of 0 or more, got {value!r} with SD {sd!r}"
    )


def test_a_value_may_be_exact():
    assert Estimate(value=0.0, sd=0.0, basis="").sd == 0.0


def test_an_estimate_cannot_be_changed():
    with pytest.raises(AttributeError):
        Estimate(value=8.0, sd=0.4, basis="").sd = 0.0
