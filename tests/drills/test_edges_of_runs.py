"""Where one rule of a run ends and the next begins."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wicketlay.drills import TakeoffRun, WicketRun, lay
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.run_on import FEWEST_STEPS, choose_run_on
from wicketlay.drills.wicket_run import _passing
from wicketlay.running.athlete import Athlete, Foot, make_runner
from wicketlay.running.touchdowns import StartKind
from wicketlay.sources import DEFAULTS

RUNNER = make_runner(Athlete(name="One", height_m=1.66, top_speed_mps=7.9, time_constant_s=1.05))
RUN = WicketRun(speed_share=0.95, wickets=12)


@pytest.mark.parametrize(
    ("steps", "past_m", "between"),
    [
        (11, 0.3, (11, 12)),
        (11, -0.3, (10, 11)),
        (FEWEST_STEPS, -0.3, (FEWEST_STEPS, FEWEST_STEPS + 1)),
    ],
)
def test_a_run_on_in_metres_is_moved_to_the_two_whole_ones_nearest(steps, past_m, between):
    whole = lay(RUNNER, replace(RUN, run_on_steps=steps))
    layout = lay(RUNNER, replace(RUN, run_on_m=whole.run_on_m + past_m))
    (told,) = (f.values for f in layout.findings if f.code == "run-on-not-whole")
    assert (told["fewer"], told["more"]) == between


@pytest.mark.parametrize("first_foot", [Foot.LEFT, Foot.RIGHT])
@pytest.mark.parametrize("speed_share", [0.80, 0.85, 0.90, 0.95])
def test_two_feet_that_are_told_make_the_steps_even_or_odd(first_foot, speed_share):
    runner = make_runner(replace(RUNNER.athlete, front_foot=Foot.LEFT))
    spec = {"entry_share": 0.95, "start": StartKind.STANDING, "speed_share": speed_share}
    steps = choose_run_on(runner, first_foot=first_foot, **spec).steps
    free = choose_run_on(runner, **spec).steps
    assert steps % 2 == (0 if first_foot is Foot.RIGHT else 1)
    assert abs(steps - free) <= 1


@pytest.mark.parametrize("run_on_m", [3.0, 8.0, 15.0])
@pytest.mark.parametrize("beyond", [0.4, 0.5])
def test_a_run_on_in_metres_passes_its_wicket_a_share_of_a_step_after_the_landing(run_on_m, beyond):
    judgement = replace(DEFAULTS, beyond_share=beyond)
    spec = {"entry_share": 0.95, "start": StartKind.STANDING, "speed_share": 0.95}
    run = _passing(choose_run_on(RUNNER, steps=11, **spec), run_on_m, 3.96, beyond)
    before, after = run.onward(3.96, 1).positions_m
    assert after - beyond * (after - before) == pytest.approx(run_on_m, abs=0.05)
    layout = lay(RUNNER, replace(RUN, run_on_m=run_on_m), judgement=judgement)
    assert layout.run_on_m == pytest.approx(run_on_m)


@pytest.mark.parametrize("spec", [RUN, WicketRun(speed_share=0.95, section_m=20.0)])
def test_there_is_one_landing_beyond_each_wicket(spec):
    layout = lay(RUNNER, spec)
    wickets = layout.of_kind(MarkKind.WICKET)
    assert len(layout.landings) == layout.run_on_steps + len(wickets)


def test_sixty_wickets_without_a_section_are_laid_and_cut_nothing():
    layout = lay(RUNNER, replace(RUN, wickets=60))
    assert "section-cut-short" not in {f.code for f in layout.findings}


def test_a_section_is_cut_short_from_half_a_gap_on():
    slow = make_runner(Athlete(name="Slow", height_m=1.4, top_speed_mps=4.5, time_constant_s=1.0))
    most = lay(slow, WicketRun(speed_share=0.9, wickets=60))
    half_m = most.marks[-1].gap_m / 2.0
    for more_m, told in ((half_m - 0.02, False), (half_m + 0.02, True)):
        spec = WicketRun(speed_share=0.9, section_m=most.section_m + more_m)
        assert ("section-cut-short" in {f.code for f in lay(slow, spec).findings}) is told


@pytest.mark.parametrize("spec", [RUN, TakeoffRun(speed_share=0.9)])
def test_the_same_run_laid_twice_is_the_same(spec):
    assert lay(RUNNER, spec) == lay(RUNNER, spec)
