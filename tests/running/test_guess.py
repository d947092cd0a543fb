"""A top speed guessed from height and cadence: its limits, caps and what is said of it."""

import pytest

from wicketlay.findings import Level
from wicketlay.running.athlete import (
    Athlete,
    FirstGuess,
    NotEnoughKnown,
    Observation,
    Sex,
    Timing,
    make_runner,
)
from wicketlay.running.gait import leg_length_m, speed_for_top_cadence
from wicketlay.sources import Judgement
from wicketlay.sources import Level as Standard


def athlete(**facts):
    return Athlete(**{"name": "Ines", "height_m": 1.70, **facts})


def guessed(cadence_hz, share, height_m=1.70, sex=None):
    """Return the speed by design 3.3: top cadence is f / max(s^0.88, 0.90)."""
    return speed_for_top_cadence(leg_length_m(height_m, sex), cadence_hz / max(share**0.88, 0.90))


def found(runner, code):
    (finding,) = (f for f in runner.findings if f.code == code)
    return finding


def refused(one, **drill):
    with pytest.raises(NotEnoughKnown) as caught:
        make_runner(one, **drill)
    return caught.value.finding


def test_the_guess_says_what_it_rests_on_and_how_sure_it_is():
    runner = make_runner(
        athlete(), cadence_hz=4.2, speed_share=0.95, judgement=Judgement(height_only_sd=0.1)
    )
    speed = guessed(4.2, 0.95)
    assert runner.top_speed.value == pytest.approx(speed)
    assert runner.top_speed.relative_sd == pytest.approx(0.1)
    note = found(runner, "top-speed-guessed")
    assert dict(note.values) == pytest.approx(
        {"top_mps": speed, "sd_mps": 0.1 * speed, "cadence_hz": 4.2, "speed_share": 0.95}
    )


@pytest.mark.parametrize(
    ("cadence", "share", "values"),
    [
        (2.4, 0.95, {"asked_hz": 2.4, "low_hz": 2.5, "high_hz": 6.0}),
        (6.1, 0.95, {"asked_hz": 6.1, "low_hz": 2.5, "high_hz": 6.0}),
        (4.2, 0.49, {"asked_share": 0.49, "low_share": 0.5, "high_share": 1.0}),
        (4.2, 1.01, {"asked_share": 1.01, "low_share": 0.5, "high_share": 1.0}),
    ],
)
def test_a_drill_that_nothing_can_be_guessed_from_is_told_with_the_range(cadence, share, values):
    finding = refused(athlete(), cadence_hz=cadence, speed_share=share)
    assert finding.code.endswith("-out-of-range")
    assert dict(finding.values) == values


def test_the_ends_of_the_range_are_guessed_from():
    assert refused(athlete(height_m=1.0), cadence_hz=2.5).code == "slower-than-a-run"
    assert refused(athlete(), cadence_hz=6.0).code == "faster-than-anyone"
    for share in (0.5, 1.0):
        runner = make_runner(athlete(), cadence_hz=3.9, speed_share=share)
        assert runner.top_speed.value == pytest.approx(guessed(3.9, share))


@pytest.mark.parametrize(
    ("sex", "club", "over"),
    [
        (Sex.FEMALE, 8.5, True),
        (Sex.MALE, 9.8, True),
        (None, 9.8, True),
        (Sex.MALE, 9.8, False),
        (None, 9.8, False),
    ],
)
def test_a_guess_faster_than_a_club_runs_is_a_caution_without_a_level(sex, club, over):
    cadence = 4.5 if over else 3.7
    runner = make_runner(athlete(sex=sex), cadence_hz=cadence, speed_share=0.95)
    speed = guessed(cadence, 0.95, sex=sex)
    assert (speed > club) is over
    assert any(f.code == "guess-over-club" for f in runner.findings) is over
    assert runner.top_speed.value == pytest.approx(speed)
    if over:
        caution = found(runner, "guess-over-club")
        assert caution.level is Level.CAUTION
        assert dict(caution.values) == pytest.approx({"guessed_mps": speed, "club_mps": club})


def test_a_capped_guess_says_from_what_to_what():
    one = athlete(sex=Sex.FEMALE, level=Standard.CLUB)
    runner = make_runner(one, cadence_hz=4.5)
    note = found(runner, "guess-capped")
    assert note.level is Level.NOTE
    speed = guessed(4.5, 0.95, sex="f")
    assert dict(note.values) == {
        "guessed_mps": pytest.approx(speed),
        "cap_mps": 8.5,
        "level": "club",
    }
    assert runner.top_speed.basis == "height and cadence, capped by level"
    assert runner.top_speed.sd == pytest.approx(0.084 * 8.5)


def test_a_guess_too_fast_for_anyone_is_told_with_its_basis():
    finding = refused(athlete(height_m=1.92), cadence_hz=5.0)
    assert dict(finding.values) == pytest.approx(
        {
            "top_mps": guessed(5.0, 0.95, 1.92),
            "limit_mps": 12.4,
            "basis": "height and cadence",
        }
    )


def test_a_guess_too_slow_for_a_run_is_told_with_its_basis():
    finding = refused(athlete(height_m=1.0), cadence_hz=2.5)
    assert dict(finding.values) == pytest.approx(
        {"top_mps": guessed(2.5, 0.95, 1.0), "limit_mps": 2.0, "basis": "height and cadence"}
    )


@pytest.mark.parametrize("first", [None, FirstGuess(cadence_hz=6.0, speed_share=0.95)])
def test_runs_over_marks_are_followed_alone_where_no_first_guess_stands(first, a_day):
    seen = Observation(
        date=a_day, distance_m=24.0, time_s=3.0, over_marks=True, timing=Timing.GATES
    )
    runner = make_runner(athlete(first_guess=first, observations=(seen,)))
    assert runner.top_speed.value == pytest.approx(8.0)
    assert not runner.provisional
