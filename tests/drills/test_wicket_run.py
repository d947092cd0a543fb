"""The wicket run: what the coach asked for, the published and usual ranges, and its own rules."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.drills import Kit, TakeoffRun, WicketRun, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import CHALK, MarkKind
from wicketlay.drills.run_on import run_on_sd_m
from wicketlay.drills.wicket_run import GapRule
from wicketlay.errors import DomainError
from wicketlay.findings import Level, worst
from wicketlay.running.athlete import Athlete, Foot, NotEnoughKnown, Sex, make_runner
from wicketlay.running.touchdowns import StartKind, step_times_s, touchdowns
from wicketlay.sources import Judgement
from wicketlay.wording import word

WOMAN = Athlete(
    name="Woman", height_m=1.66, sex=Sex.FEMALE, top_speed_mps=7.9, time_constant_s=1.05
)
CHILD = Athlete(name="Child", height_m=1.52, age_years=12, top_speed_mps=6.5, time_constant_s=1.0)
MAN = Athlete(name="Man", height_m=1.82, sex=Sex.MALE, top_speed_mps=10.8, time_constant_s=1.2)
RUN = WicketRun(speed_share=0.95, wickets=14)


def steps_per_s(value: float) -> CadenceTarget:
    return CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=value)


def laid(athlete: Athlete, spec: WicketRun = RUN, kit: Kit = Kit(), **known):
    return lay(make_runner(athlete, **known), spec, kit)


def gaps(layout) -> list[float]:
    return [mark.gap_m for mark in layout.of_kind(MarkKind.WICKET)[1:]]


def codes(layout) -> set[str]:
    return {finding.code for finding in layout.findings}


class TestTheClubWoman:
    """Ranges from the design's own worked example; the gaps lie in what coaches use."""

    layout = laid(WOMAN)

    def test_run_on_has_eleven_steps_and_a_usual_length(self):
        assert self.layout.run_on_steps == 11
        assert 15.0 <= self.layout.run_on_m <= 17.7

    def test_first_landing_is_a_first_step(self):
        first = self.layout.landings[0].along_m + self.layout.run_on_m
        assert 0.8 <= first <= 1.0

    def test_cadence(self):
        assert 3.92 <= self.layout.cadence_hz <= 3.98

    def test_gaps_grow_a_little(self):
        found = gaps(self.layout)
        assert 1.80 <= found[0] <= 1.84
        assert 1.87 <= found[-1] <= 1.92
        assert np.all(np.diff(found) > 0)

    def test_section_and_time(self):
        assert 24.0 <= self.layout.section_m <= 24.6
        assert 3.25 <= self.layout.section_time_s <= 3.35

    def test_run_out(self):
        assert 21 <= self.layout.run_out_wanted_m <= 22
        assert self.layout.run_out_least_m == pytest.approx(13, abs=0.5)

    def test_gap_error_is_an_estimate(self):
        sds = [mark.gap_sd_m for mark in self.layout.of_kind(MarkKind.WICKET)[1:]]
        assert all(0.08 <= sd <= 0.09 for sd in sds)

    def test_nothing_is_wrong(self):
        assert worst(self.layout.findings) is None

    @pytest.mark.parametrize("foot", list(Foot))
    @pytest.mark.parametrize("front", list(Foot))
    def test_the_foot_may_ask_for_a_step_more_or_less(self, foot, front):
        layout = laid(replace(WOMAN, front_foot=front), replace(RUN, first_foot=foot))
        assert layout.run_on_steps in {10, 11, 12}
        assert layout.mark("w1").foot is foot
        assert layout.landings[layout.run_on_steps].foot is foot

    def test_the_front_foot_follows_a_wanted_foot(self):
        layout = laid(WOMAN, replace(RUN, first_foot=Foot.LEFT))
        assert layout.run_on_steps == 11
        assert layout.mark("w1").foot is Foot.LEFT
        # The other foot lands first, so after 11 steps the 12th is the front foot itself.
        assert layout.start.foot is Foot.LEFT


def test_child_of_twelve_needs_more_wickets_than_the_bag_holds():
    layout = laid(CHILD, WicketRun(speed_share=0.95, section_m=25.0))
    wickets = layout.of_kind(MarkKind.WICKET)
    assert len(wickets) in {16, 17}
    (bag,) = (f for f in layout.findings if f.code == "bag-too-small")
    assert bag.values["chalk"] == len(wickets) - 14
    assert bag.values["reach_m"] == pytest.approx(wickets[13].along_m)
    assert [m.id for m in wickets if m.label == CHALK] == [m.id for m in wickets[14:]]
    assert layout.section_m == pytest.approx(25.0, abs=1.0)


class TestOneCadenceForThree:
    """4.3 steps/s at 95 %: too quick for the child, hurried for the woman, right for the man."""

    @pytest.mark.parametrize(
        ("athlete", "level"), [(CHILD, Level.STOP), (WOMAN, Level.CAUTION), (MAN, None)]
    )
    def test_level(self, athlete, level):
        layout = laid(athlete, replace(RUN, cadence=steps_per_s(4.3)), cadence_hz=4.3)
        assert worst(layout.findings) is level

    def test_the_mans_gaps(self):
        layout = laid(MAN, replace(RUN, cadence=steps_per_s(4.3)))
        found = gaps(layout)
        assert 2.28 <= found[0] < found[-1] <= 2.38

    def test_the_gap_error_is_that_of_top_speed(self):
        layout = laid(MAN, replace(RUN, cadence=steps_per_s(4.3)))
        runner = make_runner(MAN)
        mark = layout.mark("w5")
        assert mark.gap_sd_m == pytest.approx(mark.gap_m * runner.top_speed.relative_sd)


class TestHeightOnly:
    tall = Athlete(name="Tall", height_m=1.82, sex=Sex.MALE)

    def test_top_speed_is_an_estimate_of_eight_per_cent(self):
        runner = make_runner(self.tall, cadence_hz=4.4, speed_share=0.95)
        assert 10.5 <= runner.top_speed.value <= 11.0
        assert runner.top_speed.relative_sd == pytest.approx(0.084)

    def test_gaps_are_laid_three_per_cent_short_and_said_so(self):
        runner = make_runner(self.tall, cadence_hz=4.4, speed_share=0.95)
        short = lay(runner, replace(RUN, cadence=steps_per_s(4.4)))
        full = lay(
            runner,
            replace(RUN, cadence=steps_per_s(4.4)),
            judgement=Judgement(height_only_short=0.0),
        )
        assert np.allclose(np.array(gaps(short)) / np.array(gaps(full)), 0.97)
        assert "gaps-laid-short" in codes(short)

    def test_faster_than_anyone_is_refused(self):
        giant = Athlete(name="Giant", height_m=1.92, sex=Sex.MALE)
        with pytest.raises(NotEnoughKnown) as refusal:
            make_runner(giant, cadence_hz=5.0, speed_share=0.95)
        assert "faster than anyone" in word(refusal.value.finding).text


def test_raising_the_cadence_closes_the_gaps():
    slow = laid(WOMAN, replace(RUN, cadence=CadenceTarget(rule=CadenceRule.OF_TOP, value=0.95)))
    quick = laid(WOMAN, replace(RUN, cadence=CadenceTarget(rule=CadenceRule.OF_TOP, value=0.97)))
    assert all(q < s for q, s in zip(gaps(quick), gaps(slow), strict=True))


def test_cadence_spellings_agree():
    runner = make_runner(WOMAN)
    natural = runner.gait.natural_cadence_hz(0.95)
    wanted = natural * 1.02
    three = [
        CadenceTarget(rule=CadenceRule.OF_NATURAL, value=1.02),
        CadenceTarget(rule=CadenceRule.OF_TOP, value=wanted / runner.gait.top_cadence.value),
        steps_per_s(wanted),
    ]
    layouts = [lay(runner, replace(RUN, cadence=target)) for target in three]
    for other in layouts[1:]:
        assert gaps(other) == pytest.approx(gaps(layouts[0]), abs=1e-9)
    assert layouts[0].cadence_hz == pytest.approx(wanted, rel=2e-4)


class TestGaps:
    def test_even_gaps_are_one_gap_over_the_same_stretch(self):
        layout = laid(WOMAN, replace(RUN, gaps=GapRule.EVEN))
        found = gaps(layout)
        assert max(found) - min(found) < 1e-9
        # 98 % of the speed built towards at the last landing before W1, not 95 %.
        assert layout.run_on_steps > laid(WOMAN).run_on_steps

    def test_even_gaps_take_the_same_time_as_following_ones(self):
        steps = {"run_on_steps": 14}
        even = laid(WOMAN, replace(RUN, gaps=GapRule.EVEN, **steps))
        follow = laid(WOMAN, replace(RUN, **steps))
        assert even.section_time_s == pytest.approx(follow.section_time_s, abs=1e-9)

    def test_stepped_gaps_change_every_fourth(self):
        layout = laid(WOMAN, replace(RUN, gaps=GapRule.STEPPED, group=4))
        found = np.array(gaps(layout))
        assert [len(set(np.round(part, 9))) for part in np.split(found, [4, 8, 12])] == [1, 1, 1, 1]
        assert len(set(np.round(found, 6))) == 4
        assert layout.section_m == pytest.approx(laid(WOMAN).section_m)

    def test_the_place_in_the_step_slides_all_wickets_together(self):
        early = lay(make_runner(WOMAN), RUN, judgement=Judgement(beyond_share=0.4))
        late = lay(make_runner(WOMAN), RUN, judgement=Judgement(beyond_share=0.6))
        growth = max(np.diff(gaps(early)))
        assert np.abs(np.array(gaps(early)) - gaps(late)).max() <= growth
        assert early.run_on_m > late.run_on_m

    def test_gap_change_holds_w1(self):
        wide = laid(WOMAN, replace(RUN, gap_change=0.02))
        assert wide.run_on_m == laid(WOMAN).run_on_m
        assert gaps(wide) == pytest.approx([1.02 * gap for gap in gaps(laid(WOMAN))])


class TestRunOnFixedByTheCoach:
    def test_w1_stands_where_it_was_asked(self):
        layout = laid(WOMAN, replace(RUN, run_on_m=16.0))
        assert layout.run_on_m == pytest.approx(16.0, abs=1e-9)

    def test_it_says_how_many_steps_and_how_far_to_shift(self):
        layout = laid(WOMAN, replace(RUN, run_on_m=16.0))
        (finding,) = (f for f in layout.findings if f.code == "run-on-not-whole")
        assert finding.values["fewer"] == 10
        assert finding.values["more"] == 11
        assert 10.5 < float(finding.values["steps"]) < 10.9
        for which in ("fewer", "more"):
            whole = laid(WOMAN, replace(RUN, run_on_steps=finding.values[which]))
            shift_m = finding.values[f"{which}_shift_m"]
            assert whole.run_on_m == pytest.approx(16.0 - shift_m, abs=1e-6)

    def test_a_whole_number_of_steps_is_only_noted(self):
        whole = laid(WOMAN).run_on_m
        layout = laid(WOMAN, replace(RUN, run_on_m=whole))
        (finding,) = (f for f in layout.findings if f.code == "run-on-not-whole")
        assert finding.level is Level.NOTE
        assert gaps(layout) == pytest.approx(gaps(laid(WOMAN)), abs=0.001)


def test_walk_and_jog_in_need_room_and_a_shorter_run_on():
    standing = laid(WOMAN)
    jog = laid(WOMAN, replace(RUN, start=StartKind.JOG_IN))
    walk = laid(WOMAN, replace(RUN, start=StartKind.WALK_IN))
    assert (standing.approach_m, walk.approach_m, jog.approach_m) == (0.0, 4.0, 8.0)
    assert jog.run_on_m < walk.run_on_m < standing.run_on_m


@pytest.mark.parametrize(
    ("height_m", "told"), [(0.005, False), (0.13, False), (0.20, True), (0.30, True)]
)
def test_s11_wickets_high_enough_to_change_the_run_are_a_caution(height_m, told):
    """S11: 20 cm changes the run, 13 cm as little as 0.5 cm. Makaruk 2021, TPPC (2):19."""
    layout = laid(WOMAN, kit=Kit(wicket_height_m=height_m))
    assert ("wicket-high" in codes(layout)) is told


def test_a_section_too_long_for_sixty_wickets_is_told_where_it_ends():
    small = Athlete(name="Small", height_m=1.10, top_speed_mps=4.0)
    layout = laid(small, WicketRun(speed_share=0.9, section_m=100.0))
    assert len(layout.of_kind(MarkKind.WICKET)) == 60
    (cut,) = (f for f in layout.findings if f.code == "section-cut-short")
    assert (cut.level, cut.athlete) == (Level.CAUTION, "Small")
    assert dict(cut.values) == {"wanted_m": 100.0, "section_m": layout.section_m, "most": 60}
    # half a gap more than sixty reach is still the nearest count
    half = layout.mark("w60").gap_m / 2
    for more, told in ((-0.01, False), (0.01, True)):
        near = laid(small, WicketRun(speed_share=0.9, section_m=layout.section_m + half + more))
        assert ("section-cut-short" in codes(near)) is told
        assert near.section_m == layout.section_m


def test_gaps_longer_than_anybody_steps_are_told():
    slow = steps_per_s(2.0)
    layout = laid(MAN, replace(RUN, cadence=slow))
    assert max(gaps(layout)) > 2.8
    assert "gap-unusual" in codes(layout)
    assert "gap-unusual" not in codes(laid(MAN))


def test_few_wickets_cannot_be_timed_by_hand():
    assert "too-short-to-time" in codes(laid(WOMAN, replace(RUN, wickets=5)))
    assert "too-short-to-time" not in codes(laid(WOMAN, replace(RUN, wickets=6)))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"speed_share": 1.2}, "speed is 1.2 of top speed; it must lie between 0.5 and 1"),
        ({"wickets": 1}, "wickets is 1; it must lie between 2 and 60"),
        ({"speed_share": float("nan")}, "speed is nan of top speed; it must lie"),
        ({"section_m": 20.0}, "give either the length of the section or the number of wickets"),
        ({"run_on_m": 15.0, "run_on_steps": 10}, "give the run-on in metres or in steps, not both"),
    ],
)
def test_what_cannot_be_run_is_refused(change, message):
    with pytest.raises(DomainError, match=message):
        replace(RUN, **change)


athletes = st.builds(
    Athlete,
    name=st.just("Any"),
    height_m=st.floats(1.40, 2.05),
    sex=st.sampled_from([None, *Sex]),
    top_speed_mps=st.floats(5.5, 11.5),
    time_constant_s=st.floats(0.8, 1.4),
)


@settings(max_examples=60, deadline=None)
@given(athletes, st.floats(0.85, 1.0), st.integers(3, 24), st.sampled_from(list(StartKind)))
def test_any_layout_is_ordered_and_adds_up(athlete, share, wickets, start):
    layout = lay(make_runner(athlete), WicketRun(speed_share=share, wickets=wickets, start=start))
    places = [mark.along_m for mark in layout.marks]
    assert places == sorted(set(places))
    assert sum(gaps(layout)) == pytest.approx(layout.section_m, abs=1e-9)
    assert np.all(np.diff(gaps(layout)) > -1e-9)
    # One wicket between each two landings of the section, never at one.
    landings = [landing.along_m for landing in layout.landings][layout.run_on_steps - 1 :]
    wanted = [mark.along_m for mark in layout.of_kind(MarkKind.WICKET)]
    assert all(a < w < b for a, w, b in zip(landings, wanted, landings[1:], strict=False))


@settings(max_examples=40, deadline=None)
@given(athletes, st.floats(0.01, 0.10))
def test_faster_or_longer_legged_never_gets_shorter_natural_gaps(athlete, more):
    fast = replace(athlete, top_speed_mps=min(12.0, athlete.top_speed_mps * (1 + more)))
    athlete = replace(athlete, leg_m=0.52 * athlete.height_m)
    fast = replace(fast, leg_m=athlete.leg_m)
    tall = replace(athlete, leg_m=athlete.leg_m * (1 + more / 2))
    spec = replace(RUN, run_on_steps=12)
    base = gaps(lay(make_runner(athlete), spec))
    assert all(f >= b for f, b in zip(gaps(lay(make_runner(fast), spec)), base, strict=True))
    taller = gaps(lay(make_runner(tall), spec))
    # A longer leg steps longer but slower, and the run-on in as many steps is longer with it.
    assert all(t >= b for t, b in zip(taller, base, strict=True))


@pytest.mark.parametrize(
    "spec", [WicketRun(speed_share=0.8, wickets=8), TakeoffRun(speed_share=0.8)]
)
def test_a_slow_run_on_is_run_freely_and_only_the_wickets_keep_the_cadence_floor(spec):
    runner = make_runner(WOMAN)
    layout = lay(runner, spec)
    top_hz = runner.gait.top_cadence.value
    full = layout.landings[6 : layout.run_on_steps]
    cadences = [1.0 / (b.time_s - a.time_s) for a, b in itertools.pairwise(full)]
    assert cadences == pytest.approx([top_hz * 0.8**0.88] * len(cadences))
    assert cadences
    assert layout.mark("w2").cadence_hz == pytest.approx(top_hz * 0.9, rel=1e-3)


def test_the_run_on_errs_by_tau_step_and_speed_apart_from_each_other():
    runner = make_runner(Athlete(name="A", height_m=1.75, top_speed_mps=8.0))
    sure = replace(
        runner,
        time_constant=replace(runner.time_constant, sd=0.0),
        top_speed=replace(runner.top_speed, sd=0.0),
    )
    steps = lay(runner, WicketRun(speed_share=0.95, wickets=10)).run_on_steps

    def sd_of(which, steps=steps):
        return run_on_sd_m(which, steps, speed_share=0.95, start=StartKind.STANDING)

    # by hand: a step 1 SD longer takes a share of time as much longer, at V of the last landing
    step_sd = sure.gait.top_step.relative_sd
    down = touchdowns(sure.curve(0.95), step_times_s(sure.gait.free_cadence_hz(0.95), steps))
    near = down.speeds_mps[-1] * (down.times_s[-1] - 0.10) * step_sd
    assert sd_of(sure) == pytest.approx(near, rel=0.1)
    assert sd_of(runner) > sd_of(sure)
    assert sd_of(runner, steps + 4) > sd_of(runner)


@pytest.mark.parametrize("unsure", ["time_constant", "top_speed", "step"])
@pytest.mark.parametrize("share", [0.4, 0.6, 3.0, 1000.0])
@pytest.mark.parametrize("start", StartKind)
def test_the_run_on_errs_by_a_number_however_unsure_somebody_is(unsure, share, start):
    runner = make_runner(Athlete(name="A", height_m=1.75, top_speed_mps=8.0))
    if unsure == "step":
        step = runner.gait.top_step
        gait = replace(runner.gait, top_step=replace(step, sd=share * step.value))
        runner = replace(runner, gait=gait)
    else:
        known = getattr(runner, unsure)
        runner = replace(runner, **{unsure: replace(known, sd=share * known.value)})
    sd_m = run_on_sd_m(runner, 11, speed_share=0.95, start=start)
    assert math.isfinite(sd_m)
    assert sd_m > 0.0
