"""The take-off run, from the take-off line back."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from wicketlay.drills import TakeoffRun, lay
from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.running.athlete import Athlete, Foot, Sex, make_runner

JUMPER = make_runner(
    Athlete(
        name="Jumper",
        height_m=1.84,
        sex=Sex.MALE,
        top_speed_mps=9.65,
        time_constant_s=1.15,
        takeoff_foot=Foot.LEFT,
    )
)
RUN = TakeoffRun(speed_share=0.90, wickets=4, free_steps=4, room_m=40.0)
NINETEEN = replace(RUN, approach_steps=19)


def codes(layout) -> dict[str, Level]:
    return {finding.code: finding.level for finding in layout.findings}


def steps_of(layout) -> list[float]:
    places = [landing.along_m for landing in layout.landings]
    return [b - a for a, b in itertools.pairwise(places)]


def test_free_choice_on_forty_metres_takes_the_most_steps_that_fit_and_keeps_all_wickets():
    layout = lay(JUMPER, RUN)
    assert "takeoff-run-on-shortened" in codes(layout)
    assert -layout.start.along_m <= 40.0
    more = lay(JUMPER, replace(RUN, approach_steps=len(layout.landings) + 1))
    assert "runway-too-short-fits" in codes(more)
    assert len(layout.of_kind(MarkKind.WICKET)) == 4


@pytest.mark.parametrize("room_m", [29.0, 31.0, 34.0])
def test_a_short_runway_takes_steps_from_the_run_on_before_a_wicket(room_m):
    layout = lay(JUMPER, replace(RUN, room_m=room_m))
    assert len(layout.of_kind(MarkKind.WICKET)) == 4
    assert layout.run_on_steps >= 6


def test_nineteen_steps_lie_where_a_coach_would_put_them():
    layout = lay(JUMPER, NINETEEN)
    assert 31 <= -layout.start.along_m <= 36
    places = [-mark.along_m for mark in layout.of_kind(MarkKind.WICKET)]
    assert places == pytest.approx([20, 18, 16, 14], abs=0.5)
    assert len(layout.landings) == 19


def test_last_landing_is_behind_the_line_on_the_takeoff_foot():
    layout = lay(JUMPER, NINETEEN)
    last = layout.landings[-1]
    assert last.along_m == pytest.approx(-0.05)
    assert last.foot is Foot.LEFT
    feet = [landing.foot for landing in layout.landings]
    assert all(a is not b for a, b in itertools.pairwise(feet))
    assert layout.start.foot is not feet[0]


def test_s12_penultimate_over_last_is_the_published_ratio_and_keeps_their_sum():
    """S12: 12.2 % longer. Panoutsakopoulos et al. 2021, J Hum Sport Exerc 16(Proc3) (abstract)."""
    layout = lay(JUMPER, NINETEEN)
    even = lay(JUMPER, replace(NINETEEN, penultimate_ratio=1.0))
    steps, plain = steps_of(layout), steps_of(even)
    assert steps[-2] / steps[-1] == pytest.approx(1.122, abs=1e-12)
    assert steps[-2] + steps[-1] == pytest.approx(plain[-2] + plain[-1], abs=1e-12)


def test_recomputed_forward_every_landing_agrees():
    """The curve and the step times, integrated again from the start mark, give the places."""
    layout = lay(JUMPER, NINETEEN)
    curve = JUMPER.curve(0.90)
    start = layout.start.along_m
    for landing in layout.landings[:-2]:
        place = curve.position_at(landing.time_s) + 0.31 + start
        assert landing.along_m == pytest.approx(place, abs=1e-9)
    for wicket, before, after in zip(
        layout.of_kind(MarkKind.WICKET), layout.landings[8:], layout.landings[9:], strict=False
    ):
        assert wicket.along_m == pytest.approx((before.along_m + after.along_m) / 2, abs=1e-9)


def test_s14_steering_begins_in_the_free_steps():
    """S14: elite jumpers steer from the fifth-last step. Hay 1988, Int J Sport Biomech 4:114."""
    layout = lay(JUMPER, NINETEEN)
    last_wicket = layout.of_kind(MarkKind.WICKET)[-1].along_m
    assert layout.landings[-6].along_m > last_wicket


@pytest.mark.parametrize(
    ("steps", "wickets", "free"),
    [(19, 4, 4), (16, 4, 4), (15, 3, 4), (14, 2, 4), (13, 2, 3), (12, 2, 2), (9, 2, 2)],
)
def test_what_gives_way_goes_in_the_stated_order(steps, wickets, free):
    layout = lay(JUMPER, replace(NINETEEN, approach_steps=steps))
    assert len(layout.of_kind(MarkKind.WICKET)) == wickets
    assert len(layout.landings) == steps
    assert steps - layout.run_on_steps - wickets - 2 == free
    gaps = [m.gap_m for m in layout.of_kind(MarkKind.WICKET)[1:]]
    natural = [m.natural_gap_m for m in layout.of_kind(MarkKind.WICKET)[1:]]
    assert gaps == pytest.approx(natural, rel=0.01)  # never squeezed


def test_too_few_steps_is_a_stop_with_the_least_number():
    layout = lay(JUMPER, replace(NINETEEN, approach_steps=8))
    (finding,) = (f for f in layout.findings if f.code == "approach-too-few-steps")
    assert finding.level is Level.STOP
    assert finding.values["least"] == 9
    assert "approach-too-few-steps" not in codes(
        lay(JUMPER, replace(NINETEEN, approach_steps=finding.values["least"]))
    )


def test_a_runway_that_holds_nothing_is_a_stop():
    layout = lay(JUMPER, replace(NINETEEN, room_m=10.0))
    assert codes(layout)["runway-too-short"] is Level.STOP
