"""A miss at the board as text: which way is said in a word, or by a sign, and never guessed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.codecs.special import Miss

IN_FILES = Miss(-3.0, 3.0)
TYPED = Miss(-3.0, 3.0, bare_unit="cm")


@pytest.mark.parametrize(
    ("text", "miss_m"),
    [
        ("12 cm over", 0.12),
        ("30 cm short", -0.30),
        ("0.3 m Short", -0.30),
        ("5 in over", 0.127),
        ("+12 cm", 0.12),
        ("−30 cm", -0.30),
        ("0 cm", 0.0),
    ],
)
def test_is_read_over_as_positive_and_short_as_negative(text, miss_m):
    assert IN_FILES.read(text) == pytest.approx(miss_m)


@pytest.mark.parametrize(("text", "miss_m"), [("+12", 0.12), ("-30", -0.30), ("5 over", 0.05)])
def test_a_number_alone_is_in_the_unit_that_is_shown(text, miss_m):
    assert TYPED.read(text) == pytest.approx(miss_m)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("+12 m", "12 m. is too large"),
        ("12 cm", "does not say which way"),
        ("+12 cm short", "says twice which way"),
        ("12 over", "has no unit"),
        ("over", "is not a miss"),
        ("", "is not a miss"),
        (0.12, "is not a miss"),
        ("+nan cm", "is not a miss"),
        ("3.01 m short", "3.01 m short"),
    ],
)
def test_what_is_no_miss_is_refused_with_a_remedy(text, told):
    with pytest.raises(UnfitError, match=told) as refused:
        IN_FILES.read(text)
    assert refused.value.remedy or refused.value.allowed == "300 cm short to 300 cm over"


@given(st.just(0.0) | st.floats(0.0001, 3.0) | st.floats(-3.0, -0.0001))
def test_every_miss_is_read_as_it_was_written(miss_m):
    assert IN_FILES.read(IN_FILES.text(miss_m)) == miss_m


def test_is_written_in_the_unit_of_the_older_text():
    assert IN_FILES.write(-0.25, "0.1 m over") == '"0.25 m short"'
    assert IN_FILES.write(0.25) == '"25 cm over"'
    assert IN_FILES.write(0.0) == '"0 cm"'
