"""Cadence counted from the frames of touchdowns."""

import math

import numpy as np
import pytest

from wicketlay.errors import DomainError
from wicketlay.running.contacts import counted_cadence
from wicketlay.sources import CONTACT_SD_FRAMES


def test_even_steps_give_their_cadence_whatever_frame_the_first_is():
    counted = counted_cadence((100, 112, 124, 136, 148), 60.0)
    assert counted.value == pytest.approx(5.0)


def test_the_error_falls_with_the_length_of_the_row():
    # least squares: error of the slope is that of a contact over sqrt(sum of (k - mean)^2)
    for count in (2, 5, 9):
        counted = counted_cadence([14.0 * k for k in range(count)], 60.0)
        lever = sum((k - (count - 1) / 2) ** 2 for k in range(count))
        assert counted.relative_sd == pytest.approx(float(CONTACT_SD_FRAMES) / lever**0.5 / 14.0)


def test_all_contacts_count_and_not_the_ends_only():
    ends_off = (2, 14, 28, 42, 54)
    assert counted_cadence(ends_off, 60.0).value != pytest.approx(60.0 * 4 / (54 - 2), rel=1e-3)
    slope = np.polyfit(range(5), ends_off, 1)[0]
    assert counted_cadence(ends_off, 60.0).value == pytest.approx(60.0 / slope)


def test_left_and_right_of_different_length_make_it_less_sure():
    limping = [0, 17, 28, 45, 56, 73, 84]
    assert counted_cadence(limping, 60.0).sd > counted_cadence(range(0, 98, 14), 60.0).sd


def test_the_stated_error_is_that_of_frames_read_at_random():
    rng = np.random.default_rng(3)
    true = 14.2 * np.arange(8)
    seen = [
        counted_cadence(true + rng.normal(0.0, float(CONTACT_SD_FRAMES), 8), 60.0)
        for _ in range(2000)
    ]
    spread = np.std([each.value for each in seen])
    assert spread == pytest.approx(np.median([each.sd for each in seen]), rel=0.15)
    assert math.isclose(np.mean([each.value for each in seen]), 60.0 / 14.2, rel_tol=1e-3)


@pytest.mark.parametrize(
    ("frames", "message"),
    [
        ((12, 34, 30), "frame 30 comes after frame 34"),
        ((12, 12), "must rise"),
        ((0, 14, 28, 56, 70), "between frames 28 and 56 lie 28 frames, 14 elsewhere"),
        ((0, 2, 4), "cadence of the touchdowns is 30 steps/s"),
    ],
)
def test_a_row_that_cannot_be_says_what_is_wrong(frames, message):
    with pytest.raises(DomainError, match=message):
        counted_cadence(frames, 60.0)
