"""Any file at all: read or refused with a message that can be shown, soon and in little memory."""

from __future__ import annotations

import resource
import time

import pytest
from hostile_files import files_of, used

NIGHTLY = 50_000
LONGEST_S = 5.0
"""CPU time of one file; the median takes 3 ms, the longest so far 0.3 s."""
MOST_MB = 600.0


def _use(numbers: range) -> dict[str, int]:
    seen = {"read": 0, "refused": 0}
    for number in numbers:
        began = time.process_time()
        seen[used(files_of(number))] += 1
        took_s = time.process_time() - began
        assert took_s < LONGEST_S, f"file {number} took {took_s:.1f} s"
    return seen


@pytest.mark.parametrize("kind", ["made up", "damaged"])
def test_a_few_hundred_files_are_read_or_refused(kind):
    seen = _use(range(kind == "damaged", 600, 2))
    # Both happen often, or this would test less than it seems to.
    assert min(seen.values()) > 50


@pytest.mark.parametrize(
    "number",
    [
        370,  # take-off run on a short runway in stages: fewer wickets at a later stage
        770,  # an obstacle beyond the end of a runway
        834,  # stages of a drill without wickets
        1244,  # a stage slower than the jog it starts with
        1908,  # a broken run longer than any session holds
        4256,  # an age of hundreds of digits
        10520,  # a corner that moves out of range with its strip
        144022,  # a run of less than a metre
        406888,  # stages of an approach of more steps than can be asked for
        404630,  # a move that would take the slide out of its range
        146430,  # a tolerance as wide as the gaps
    ],
)
def test_files_that_did_harm_once(number):
    used(files_of(number))


@pytest.mark.nightly
def test_tens_of_thousands_of_files_are_read_or_refused():
    seen = _use(range(NIGHTLY))
    largest_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    assert sum(seen.values()) == NIGHTLY
    assert largest_mb < MOST_MB
