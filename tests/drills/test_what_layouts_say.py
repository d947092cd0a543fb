"""Everything a layout says, drill by drill, worked out again from the formulas."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from wicketlay.declared import keys_of
from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    Kit,
    TakeoffRun,
    WicketRun,
    lay,
)
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import Datum, Layout, MarkKind
from wicketlay.drills.wicket_run import GapRule
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.running.athlete import Athlete, Foot, Sex, make_runner
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.touchdowns import StartKind
from wicketlay.sources import DEFAULTS, PENULTIMATE_RATIO

TOP, TAU = 8.0, 1.1
RUNNER = make_runner(
    Athlete(
        name="Runner",
        height_m=1.70,
        sex=Sex.FEMALE,
        top_speed_mps=TOP,
        time_constant_s=TAU,
        takeoff_foot=Foot.LEFT,
    )
)
JUDGED = replace(
    DEFAULTS,
    walk_in_mps=1.8,
    walk_in_m=5.0,
    jog_in_mps=3.3,
    jog_in_m=9.0,
    cadence_floor=0.95,
    easy_share=0.9,
    run_out_wanted_least_m=40.0,
    run_out_least_m=30.0,
    entry_share=0.9,
    entry_share_even=0.97,
    free_steps=5.0,
    toe_behind_line_m=0.1,
    takeoff_run_sd_m=0.7,
    beyond_share=0.4,
    push_off_s=0.2,
)
"""Judged constants of which every one differs from the default."""


def finding(layout: Layout, code: str) -> Finding:
    (found,) = (each for each in layout.findings if each.code == code)
    return found


def run_out(speed: float) -> tuple[float, float]:
    """Design 3.10: max(15, v + v^2/4) wanted, max(12, v/2 + v^2/6) least."""
    return max(15.0, speed + speed**2 / 4), max(12.0, speed / 2 + speed**2 / 6)


def check_common(layout: Layout, *, drill: str, share: float, start_at: float) -> None:
    assert layout.drill == drill
    assert layout.speed_share == share
    assert layout.built_to_mps == pytest.approx(TOP * share)
    assert layout.approach_m == 4.0
    start = layout.marks[0]
    assert (start.id, start.kind, start.time_s) == ("start", MarkKind.START, 0.0)
    assert start.along_m == pytest.approx(start_at)
    assert start.speed_mps == pytest.approx(1.5)
    assert layout.start is start
    assert layout.mark(layout.marks[-1].id) is layout.marks[-1]
    with pytest.raises(KeyError, match="w99"):
        layout.mark("w99")


RANGES = [
    (TakeoffRun, "speed_share", 0.5, 1.0, "speed", " of top speed"),
    (TakeoffRun, "wickets", 2, 20, "wickets", ""),
    (TakeoffRun, "free_steps", 2, 12, "free steps", ""),
    (TakeoffRun, "approach_steps", 8, 40, "approach", " steps"),
    (TakeoffRun, "penultimate_ratio", 0.9, 1.4, "penultimate ratio", ""),
    (TakeoffRun, "toe_behind_line_m", 0.0, 0.5, "toe distance", " m"),
    (TakeoffRun, "room_m", 5.0, 120.0, "room", " m"),
    (TakeoffRun, "gap_change", -0.2, 0.2, "gap change", ""),
    (BrokenRun, "speed_share", 0.5, 1.0, "speed", " of top speed"),
    (BrokenRun, "easy_share", 0.5, 1.0, "easy speed", " of the speed reached"),
    (FlyingSegment, "speed_share", 0.5, 1.0, "speed", " of top speed"),
    (FlyingSegment, "zone_m", 5.0, 60.0, "zone", " m"),
    (FlyingSegment, "run_on_m", 5.0, 100.0, "run-on", " m"),
    (AccelerationMarks, "steps", 3, 30, "steps", ""),
    (AccelerationMarks, "speed_share", 0.5, 1.0, "speed", " of top speed"),
    (WicketRun, "speed_share", 0.5, 1.0, "speed", " of top speed"),
    (WicketRun, "wickets", 2, 60, "wickets", ""),
    (WicketRun, "group", 2, 60, "group", ""),
    (CadenceTarget, "value", 0.7, 1.3, "cadence", " of the athlete's own"),
    (WicketRun, "run_on_m", 3.0, 100.0, "run-on", " m"),
    (WicketRun, "run_on_steps", 3, 60, "run-on", " steps"),
    (WicketRun, "gap_change", -0.2, 0.2, "gap change", ""),
]
NEEDED = {TakeoffRun: {"speed_share": 0.9}, WicketRun: {"speed_share": 0.9, "wickets": 9}}


@pytest.mark.parametrize(
    ("kind", "field", "low", "high", "name", "unit"),
    RANGES,
    ids=lambda value: value.__name__ if isinstance(value, type) else str(value),
)
def test_ends_of_a_range_pass_and_what_lies_beyond_is_told(kind, field, low, high, name, unit):
    needed = NEEDED.get(kind, {})
    for end in (low, high):
        assert getattr(kind(**(needed | {field: end})), field) == end
    by = 1 if isinstance(low, int) else 0.001
    for beyond in (low - by, high + by):
        with pytest.raises(DomainError) as refused:
            kind(**(needed | {field: beyond}))
        told = f"{name} is {beyond:g}{unit}; it must lie between {low:g} and {high:g}{unit}"
        assert str(refused.value) == told


def test_parts_of_a_broken_run_have_their_limits():
    assert BrokenRun(parts_m=(5.0, 100.0)).parts_m == (5.0, 100.0)
    assert len(BrokenRun(parts_m=(5.0,) * 12).parts_m) == 12
    assert sum(BrokenRun(parts_m=(100.0, 100.0, 100.0)).parts_m) == 300.0
    for parts, told in [
        ((20.0,), "a broken run has 2 to 12 parts, not 1"),
        ((5.0,) * 13, "a broken run has 2 to 12 parts, not 13"),
        ((4.9, 20.0), "part is 4.9 m; it must lie between 5 and 100 m"),
        ((20.0, 100.1), "part is 100.1 m; it must lie between 5 and 100 m"),
        ((80.0,) * 4, "all parts together is 320 m; it must lie between 10 and 300 m"),
    ]:
        with pytest.raises(DomainError) as refused:
            BrokenRun(parts_m=parts)
        assert str(refused.value) == told


def test_a_cadence_and_a_section_have_their_limits():
    steps = CadenceRule.STEPS_PER_S
    for value in (2.0, 6.0):
        assert CadenceTarget(rule=steps, value=value).value == value
    for section in (3.0, 100.0):
        assert WicketRun(speed_share=0.9, section_m=section).section_m == section
    for make, told in [
        (
            lambda: CadenceTarget(rule=steps, value=6.1),
            "cadence is 6.1 steps/s; it must lie between 2 and 6 steps/s",
        ),
        (
            lambda: WicketRun(speed_share=0.9, section_m=2.9),
            "section is 2.9 m; it must lie between 3 and 100 m",
        ),
        (
            lambda: WicketRun(speed_share=0.9),
            "give either the length of the section or the number of wickets",
        ),
        (
            lambda: WicketRun(speed_share=0.9, wickets=9, run_on_m=20.0, run_on_steps=12),
            "give the run-on in metres or in steps, not both",
        ),
    ]:
        with pytest.raises(DomainError) as refused:
            make()
        assert str(refused.value) == told


class TestWicketRun:
    SPEC = WicketRun(speed_share=0.9, wickets=9, run_on_steps=12, start=StartKind.WALK_IN)
    CURVE = SpeedCurve(0.9 * TOP, TAU, 1.5)

    def test_all_it_says(self):
        known = replace(RUNNER, athlete=replace(RUNNER.athlete, front_foot=Foot.LEFT))
        layout = lay(known, self.SPEC, Kit(wickets=7))
        check_common(layout, drill="wicket-run", share=0.9, start_at=-layout.run_on_m)
        assert layout.datum is Datum.FIRST_WICKET
        assert layout.run_on_steps == 12
        wickets = layout.marks[1:]
        places = [m.along_m for m in wickets]
        assert [m.id for m in wickets] == [f"w{i}" for i in range(1, 10)]
        assert [m.label for m in wickets] == [""] * 7 + ["chalk or tape mark"] * 2
        over = [self.CURVE.time_at(place + layout.run_on_m - 0.31) for place in places]
        assert [m.time_s for m in wickets] == pytest.approx(over)
        speeds = [self.CURVE.speed_at(time) for time in over]
        assert [m.speed_mps for m in wickets] == pytest.approx(speeds)
        assert layout.section_m == layout.run_out_from_m == places[-1]
        assert layout.section_time_s == pytest.approx(over[-1] - over[0])
        assert layout.cadence_hz == pytest.approx(8 / layout.section_time_s)
        ends = (layout.run_out_wanted_m, layout.run_out_least_m)
        assert ends == pytest.approx(run_out(speeds[-1]))
        assert layout.appraisal is not None
        assert layout.appraisal.along_m == pytest.approx(places)
        # From the left foot in front the right lands first: the thirteenth step is a right.
        landings = layout.landings
        feet = [Foot.RIGHT, Foot.LEFT] * 11
        assert [each.foot for each in landings] == feet[: len(landings)]
        assert layout.start.foot is Foot.LEFT
        assert [m.foot for m in wickets] == [landings[12 + i].foot for i in range(9)]
        alongs = np.array([each.along_m for each in landings])
        assert places == pytest.approx((alongs[11:20] + alongs[12:21]) / 2)
        assert layout.defaults == {**RUNNER.defaults, "beyond_share": 0.5}

    def test_what_is_judged_comes_from_the_judgement(self):
        layout = lay(RUNNER, self.SPEC, judgement=JUDGED)
        assert (layout.start.speed_mps, layout.approach_m) == (1.8, 5.0)
        assert (layout.run_out_wanted_m, layout.run_out_least_m) == (40.0, 30.0)
        assert layout.appraisal.natural_cadence_hz == RUNNER.gait.natural_cadence_hz(0.9, JUDGED)
        standing = lay(RUNNER, replace(self.SPEC, start=StartKind.STANDING), judgement=JUDGED)
        plain = lay(RUNNER, replace(self.SPEC, start=StartKind.STANDING))
        first, usual = standing.landings[0].time_s, plain.landings[0].time_s
        assert first > usual

    @pytest.mark.parametrize(("gaps", "share"), [(GapRule.FOLLOW, 0.95), (GapRule.EVEN, 0.98)])
    def test_what_the_coach_left_open_is_told(self, gaps, share):
        spec = replace(self.SPEC, run_on_steps=None, gaps=gaps, start=StartKind.STANDING)
        said = {**RUNNER.defaults, "beyond_share": 0.5, "push_off_s": 0.1}
        assert lay(RUNNER, spec).defaults == {**said, "entry_share": share}
        assert lay(RUNNER, replace(spec, run_on_steps=12)).defaults == said
        assert lay(RUNNER, replace(spec, run_on_m=18.0)).defaults == said

    def test_the_front_foot_follows_from_the_foot_wanted_and_the_number_of_steps(self):
        for steps in range(8, 13):
            spec = replace(self.SPEC, run_on_steps=steps, first_foot=Foot.LEFT)
            layout = lay(RUNNER, spec)
            assert layout.mark("w1").foot is Foot.LEFT
            assert layout.landings[0].foot is layout.start.foot.other

    def test_a_known_front_foot_rules_over_the_foot_wanted(self):
        known = replace(RUNNER, athlete=replace(RUNNER.athlete, front_foot=Foot.LEFT))
        for steps in (10, 11):
            layout = lay(known, replace(self.SPEC, run_on_steps=steps, first_foot=Foot.LEFT))
            assert layout.start.foot is Foot.LEFT

    def test_three_wickets_are_made_even_and_two_are_enough_for_a_short_section(self):
        three = lay(RUNNER, replace(self.SPEC, wickets=3, gaps=GapRule.EVEN))
        assert three.mark("w2").gap_m == pytest.approx(three.mark("w3").gap_m)
        follow = lay(RUNNER, replace(self.SPEC, wickets=3))
        assert follow.mark("w2").gap_m < follow.mark("w3").gap_m
        tiny = lay(RUNNER, replace(self.SPEC, wickets=None, section_m=3.0))
        gap = tiny.mark("w2").gap_m
        assert len(tiny.marks) == 1 + (3 if abs(2 * gap - 3.0) < abs(gap - 3.0) else 2)
        short = make_runner(Athlete(name="S", height_m=1.9, top_speed_mps=11.0))
        two = lay(short, replace(self.SPEC, wickets=None, section_m=3.0))
        assert [m.id for m in two.marks] == ["start", "w1", "w2"]

    def test_a_run_on_in_metres_is_told_with_its_shifts(self):
        whole = lay(RUNNER, self.SPEC)
        more = lay(RUNNER, replace(self.SPEC, run_on_steps=13))
        middle = (whole.run_on_m + more.run_on_m) / 2
        layout = lay(RUNNER, replace(self.SPEC, run_on_steps=None, run_on_m=middle))
        found = finding(layout, "run-on-not-whole")
        assert (found.level, found.athlete) == (Level.CAUTION, "Runner")
        assert layout.run_on_m == pytest.approx(middle)
        values = dict(found.values)
        assert values.pop("steps") == "12.5"
        assert values == pytest.approx(
            {
                "run_on_m": middle,
                "fewer": 12,
                "fewer_shift_m": middle - whole.run_on_m,
                "more": 13,
                "more_shift_m": middle - more.run_on_m,
            }
        )
        # Half a step on, every gap is still one natural step.
        natural = RUNNER.gait.natural_cadence_hz(0.9, DEFAULTS)
        assert layout.appraisal.cadence_hz == pytest.approx(natural, rel=1e-3)
        back = replace(self.SPEC, run_on_steps=None, run_on_m=whole.run_on_m - 0.7)
        assert lay(RUNNER, back).run_on_steps == 12
        wished = lay(RUNNER, replace(back, first_foot=Foot.LEFT), judgement=JUDGED)
        assert wished.mark("w1").foot is Foot.LEFT
        assert wished.start.speed_mps == 1.8
        exact = replace(self.SPEC, run_on_steps=None, run_on_m=whole.run_on_m)
        assert finding(lay(RUNNER, exact), "run-on-not-whole").level is Level.NOTE

    def test_gaps_from_a_height_alone_are_laid_short_and_told(self):
        guess = make_runner(Athlete(name="Guess", height_m=1.8), cadence_hz=4.3)
        found = finding(lay(guess, self.SPEC), "gaps-laid-short")
        assert (found.level, found.athlete) == (Level.CAUTION, "Guess")
        top = guess.top_speed
        assert dict(found.values) == {"short_share": 0.03, "top_mps": top.value, "sd_mps": top.sd}

    def test_what_the_bag_and_the_hurdles_lack(self):
        layout = lay(RUNNER, self.SPEC, Kit(wickets=8, wicket_height_m=0.2))
        bag, high = finding(layout, "bag-too-small"), finding(layout, "wicket-high")
        assert (bag.level, high.level) == (Level.CAUTION, Level.CAUTION)
        reach = layout.mark("w8").along_m
        assert dict(bag.values) == {"needed": 9, "bag": 8, "reach_m": reach, "chalk": 1}
        assert dict(high.values) == {"height_m": 0.2, "limit_m": 0.2}
        empty = finding(lay(RUNNER, self.SPEC, Kit(wickets=0)), "bag-too-small")
        assert (empty.values["reach_m"], empty.values["chalk"]) == (0.0, 9)
        enough = lay(RUNNER, self.SPEC, Kit(wickets=9, wicket_height_m=0.19))
        assert not {"bag-too-small", "wicket-high"} & {f.code for f in enough.findings}

    def test_what_the_gaps_are_told_of(self):
        few = finding(lay(RUNNER, replace(self.SPEC, wickets=5)), "too-short-to-time")
        assert (few.level, few.athlete) == (Level.NOTE, "Runner")
        assert dict(few.values) == {"wickets": 5, "fewest": 6}
        slow = make_runner(Athlete(name="Slow", height_m=1.2, top_speed_mps=3.5))
        target = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=5.5)
        layout = lay(slow, replace(self.SPEC, cadence=target))
        unusual = finding(layout, "gap-unusual")
        assert (unusual.level, unusual.athlete) == (Level.CAUTION, "Slow")
        gaps = [mark.gap_m for mark in layout.marks[2:]]
        ends = {"shortest_m": min(gaps), "longest_m": max(gaps)}
        assert dict(unusual.values) == pytest.approx(ends | {"low_m": 1.0, "high_m": 2.8})


class TestFlyingSegment:
    SPEC = FlyingSegment(speed_share=0.9, zone_m=30.0, run_on_m=12.0, start=StartKind.WALK_IN)
    CURVE = SpeedCurve(0.9 * TOP, TAU, 1.5)

    def test_all_it_says(self):
        layout = lay(RUNNER, self.SPEC)
        check_common(layout, drill="flying", share=0.9, start_at=-12.0)
        opens, closes = self.CURVE.time_at(12.0), self.CURVE.time_at(42.0)
        assert layout.datum is Datum.FIRST_GATE
        assert (layout.run_on_m, layout.run_on_steps, layout.landings) == (12.0, 0, ())
        assert layout.section_m == 30.0
        assert layout.section_time_s == pytest.approx(closes - opens)
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)
        assert layout.run_out_from_m == 30.0
        ends = (layout.run_out_wanted_m, layout.run_out_least_m)
        assert ends == pytest.approx(run_out(self.CURVE.speed_at(closes)))
        gates = [(m.id, m.kind, m.along_m, m.label) for m in layout.marks[1:]]
        assert gates == [
            ("gate1", MarkKind.GATE, 0.0, "zone opens"),
            ("gate2", MarkKind.GATE, 30.0, "zone closes"),
        ]
        assert [m.time_s for m in layout.marks[1:]] == pytest.approx([opens, closes])
        speeds = [self.CURVE.speed_at(time) for time in (opens, closes)]
        assert [m.speed_mps for m in layout.marks[1:]] == pytest.approx(speeds)
        assert layout.defaults == RUNNER.defaults

    def test_a_zone_that_is_still_building(self):
        found = finding(lay(RUNNER, self.SPEC), "zone-still-building")
        assert (found.level, found.athlete) == (Level.NOTE, "Runner")
        assert dict(found.values) == pytest.approx(
            {
                "run_on_m": 12.0,
                "reached_share": self.CURVE.share_at(12.0),
                "wanted_share": 0.98,
                "needed_m": self.CURVE.distance_to_share(0.98),
            }
        )
        needed = float(self.CURVE.distance_to_share(0.98))
        assert lay(RUNNER, replace(self.SPEC, run_on_m=needed)).findings == ()
        assert lay(RUNNER, replace(self.SPEC, run_on_m=needed - 0.2)).findings

    def test_what_is_judged_comes_from_the_judgement(self):
        spec = replace(self.SPEC, run_on_m=None)
        layout = lay(RUNNER, spec, judgement=JUDGED)
        curve = SpeedCurve(0.9 * TOP, TAU, 1.8)
        assert layout.start.speed_mps == 1.8
        assert layout.approach_m == 5.0
        assert layout.run_on_m == math.ceil(curve.distance_to_share(0.97))
        assert layout.defaults == {**RUNNER.defaults, "entry_share": 0.97}
        assert (layout.run_out_wanted_m, layout.run_out_least_m) == (40.0, 30.0)
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)


class TestBrokenRun:
    SPEC = BrokenRun(
        parts_m=(20.0, 10.0, 15.0, 12.0),
        speed_share=0.9,
        easy_share=0.8,
        start=StartKind.WALK_IN,
    )

    def test_all_it_says(self):
        layout = lay(RUNNER, self.SPEC)
        check_common(layout, drill="broken-run", share=0.9, start_at=0.0)
        clock, speed, times, speeds = 0.0, 1.5, [], []
        for i, part in enumerate(self.SPEC.parts_m):
            if i in {0, 2}:
                curve = SpeedCurve(0.9 * TOP, TAU, speed)
                clock += curve.time_at(part)
                speed = curve.speed_at(curve.time_at(part))
            else:
                speed *= 0.8
                clock += part / speed
            times.append(clock)
            speeds.append(speed)
        cones = layout.marks[1:]
        assert layout.datum is Datum.START
        assert [m.id for m in cones] == ["cone1", "cone2", "cone3", "cone4"]
        assert all(m.kind is MarkKind.CONE for m in cones)
        assert [m.along_m for m in cones] == [20.0, 30.0, 45.0, 57.0]
        assert [m.gap_m for m in cones] == [20.0, 10.0, 15.0, 12.0]
        assert [m.time_s for m in cones] == pytest.approx(times)
        assert [m.speed_mps for m in cones] == pytest.approx(speeds)
        assert [m.label for m in cones] == [
            "easy from here; fast part before it",
            "fast from here; easy part before it",
            "easy from here; fast part before it",
            "the end; easy part before it",
        ]
        assert (layout.run_on_m, layout.run_on_steps, layout.landings) == (20.0, 0, ())
        assert (layout.section_m, layout.run_out_from_m) == (57.0, 57.0)
        assert layout.section_time_s == pytest.approx(clock)
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)
        ends = (layout.run_out_wanted_m, layout.run_out_least_m)
        assert ends == pytest.approx(run_out(speed))
        assert layout.defaults == RUNNER.defaults

    def test_what_is_judged_comes_from_the_judgement(self):
        layout = lay(RUNNER, replace(self.SPEC, easy_share=None), judgement=JUDGED)
        cones = layout.marks[1:]
        assert cones[1].speed_mps == pytest.approx(0.9 * cones[0].speed_mps)
        assert layout.defaults == {**RUNNER.defaults, "easy_share": 0.9}
        assert (layout.start.speed_mps, layout.approach_m) == (1.8, 5.0)
        assert (layout.run_out_wanted_m, layout.run_out_least_m) == (40.0, 30.0)
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)


class TestAccelerationMarks:
    SPEC = AccelerationMarks(
        steps=6, speed_share=0.9, first_foot=Foot.LEFT, start=StartKind.WALK_IN
    )

    def test_all_it_says(self):
        layout = lay(RUNNER, self.SPEC)
        check_common(layout, drill="acceleration", share=0.9, start_at=0.0)
        marks = layout.marks[1:]
        assert layout.datum is Datum.START
        assert [m.id for m in marks] == [f"step{k}" for k in range(1, 7)]
        assert [m.along_m for m in marks] == [each.along_m for each in layout.landings]
        assert [m.time_s for m in marks] == [each.time_s for each in layout.landings]
        gaps = np.diff([0.0, *(m.along_m for m in marks)])
        assert [m.gap_m for m in marks] == pytest.approx(gaps)
        assert [m.natural_gap_m for m in marks] == [m.gap_m for m in marks]
        sd = RUNNER.gait.top_step.relative_sd
        assert [m.gap_sd_m for m in marks] == pytest.approx(gaps * sd)
        took = np.diff([0.0, *(m.time_s for m in marks)])
        assert [m.cadence_hz for m in marks] == pytest.approx(1.0 / took)
        curve = SpeedCurve(0.9 * TOP, TAU, 1.5)
        assert [m.speed_mps for m in marks] == pytest.approx(
            [curve.speed_at(m.time_s) for m in marks]
        )
        assert (layout.run_on_m, layout.run_on_steps) == (marks[0].along_m, 1)
        assert layout.section_m == layout.run_out_from_m == marks[-1].along_m
        assert layout.section_time_s == marks[-1].time_s
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)
        ends = (layout.run_out_wanted_m, layout.run_out_least_m)
        assert ends == pytest.approx(run_out(marks[-1].speed_mps))
        assert layout.defaults == RUNNER.defaults

    def test_what_is_judged_comes_from_the_judgement(self):
        layout = lay(RUNNER, self.SPEC, judgement=JUDGED)
        assert (layout.start.speed_mps, layout.approach_m) == (1.8, 5.0)
        assert (layout.run_out_wanted_m, layout.run_out_least_m) == (40.0, 30.0)
        assert layout.cadence_hz == RUNNER.gait.free_cadence_hz(0.9)


class TestTakeoffRun:
    SPEC = TakeoffRun(
        speed_share=0.9,
        wickets=4,
        free_steps=4,
        approach_steps=20,
        start=StartKind.WALK_IN,
        takeoff_foot=Foot.RIGHT,
        penultimate_ratio=1.05,
        toe_behind_line_m=0.2,
    )

    def test_all_it_says(self):
        layout = lay(RUNNER, self.SPEC)
        landings = layout.landings
        check_common(layout, drill="takeoff-run", share=0.9, start_at=layout.start.along_m)
        assert layout.datum is Datum.TAKEOFF_LINE
        wickets = layout.marks[1:]
        assert [m.id for m in wickets] == ["w1", "w2", "w3", "w4"]
        alongs = [m.along_m for m in wickets]
        assert layout.run_on_m == pytest.approx(alongs[0] - layout.start.along_m)
        assert layout.run_on_steps == 20 - 4 - 4 - 2
        assert layout.section_m == pytest.approx(alongs[3] - alongs[0])
        assert layout.section_time_s == pytest.approx(wickets[3].time_s - wickets[0].time_s)
        assert layout.cadence_hz == pytest.approx(3 / layout.section_time_s)
        assert layout.run_out_from_m == 0.0
        ends = (layout.run_out_wanted_m, layout.run_out_least_m)
        assert ends == pytest.approx(run_out(landings[-1].speed_mps))
        # Every landing alternates; 20 steps end on the right, so the right foot is in front.
        assert len(landings) == 20
        feet = [Foot.LEFT, Foot.RIGHT] * 10
        assert [each.foot for each in landings] == feet
        assert layout.start.foot is Foot.RIGHT
        # The foot of a wicket is the landing beyond it, and it stands halfway into the step.
        places = [each.along_m for each in landings]
        for i, wicket in enumerate(wickets):
            assert wicket.foot is landings[10 + i].foot
            assert wicket.along_m == pytest.approx((places[9 + i] + places[10 + i]) / 2)
        assert places[-1] == pytest.approx(-0.2)
        steps = np.diff(places)
        assert steps[-2] / steps[-1] == pytest.approx(1.05)
        # The body is 0.31 m behind the foot, so it is over W1 that much later along its curve.
        curve = SpeedCurve(0.9 * TOP, TAU, 1.5)
        assert wickets[0].time_s == pytest.approx(curve.time_at(layout.run_on_m - 0.31))
        over = [curve.time_at(m.along_m - layout.start.along_m - 0.31) for m in wickets]
        assert [m.speed_mps for m in wickets] == pytest.approx([curve.speed_at(t) for t in over])
        assert layout.defaults == {**RUNNER.defaults, "beyond_share": 0.5}
        first_run = finding(layout, "takeoff-first-run")
        assert (first_run.level, first_run.athlete) == (Level.NOTE, "Runner")
        assert dict(first_run.values) == {"error_m": 0.5}
        assert {each.code for each in layout.findings} == {"takeoff-first-run"}

    def test_an_odd_approach_starts_from_the_other_foot(self):
        layout = lay(RUNNER, replace(self.SPEC, approach_steps=19))
        assert layout.start.foot is Foot.LEFT
        assert layout.landings[-1].foot is Foot.RIGHT

    def test_what_is_judged_comes_from_the_judgement(self):
        spec = TakeoffRun(speed_share=0.9, wickets=3, start=StartKind.WALK_IN)
        layout = lay(RUNNER, spec, judgement=JUDGED)
        assert (layout.start.speed_mps, layout.approach_m) == (1.8, 5.0)
        assert (layout.run_out_wanted_m, layout.run_out_least_m) == (40.0, 30.0)
        places = [each.along_m for each in layout.landings]
        assert places[-1] == pytest.approx(-0.1)
        steps = np.diff(places)
        assert steps[-2] / steps[-1] == pytest.approx(float(PENULTIMATE_RATIO))
        assert len(places) == layout.run_on_steps + 3 + 5 + 2
        w1, beyond = layout.mark("w1").along_m, places[layout.run_on_steps]
        step = steps[layout.run_on_steps - 1]
        assert beyond - w1 == pytest.approx(0.4 * step)
        assert layout.landings[-1].foot is Foot.LEFT
        assert layout.defaults == {
            **RUNNER.defaults,
            "free_steps": 5,
            "toe_behind_line_m": 0.1,
            "penultimate_ratio": float(PENULTIMATE_RATIO),
            "entry_share": 0.9,
            "beyond_share": 0.4,
        }
        assert finding(layout, "takeoff-first-run").values["error_m"] == 0.7
        mean = (layout.mark("w1").speed_mps + layout.mark("w2").speed_mps) / 2
        natural = mean / RUNNER.gait.natural_cadence_hz(0.9, JUDGED)
        assert layout.mark("w2").natural_gap_m == pytest.approx(natural, rel=0.01)

    def test_gaps_open_with_the_last_wicket_held(self):
        plain = lay(RUNNER, self.SPEC)
        wide = lay(RUNNER, replace(self.SPEC, gap_change=0.05))
        assert wide.mark("w4").along_m == pytest.approx(plain.mark("w4").along_m)
        for i in (2, 3, 4):
            gap = plain.mark(f"w{i}").gap_m
            assert wide.mark(f"w{i}").gap_m == pytest.approx(1.05 * gap)

    def test_the_error_of_a_gap_is_that_of_speed_for_a_cadence_in_steps(self):
        natural = lay(RUNNER, self.SPEC).mark("w2")
        target = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.0)
        fixed = lay(RUNNER, replace(self.SPEC, cadence=target)).mark("w2")
        assert natural.gap_sd_m == pytest.approx(natural.gap_m * RUNNER.gait.top_step.relative_sd)
        assert fixed.gap_sd_m == pytest.approx(fixed.gap_m * RUNNER.top_speed.relative_sd)
        assert fixed.cadence_hz == pytest.approx(4.0, rel=0.01)

    def test_what_gives_way_on_a_short_runway(self):
        spec = replace(self.SPEC, approach_steps=None)
        free = lay(RUNNER, spec)
        needed = free.approach_m - free.start.along_m
        for more, code in ((1.01, None), (0.99, "runway-only-just"), (0.0, "runway-only-just")):
            layout = lay(RUNNER, replace(spec, room_m=needed + more))
            codes = {each.code for each in layout.findings} - {"takeoff-first-run"}
            assert codes == (set() if code is None else {code})
        just = finding(lay(RUNNER, replace(spec, room_m=needed + 0.5)), "runway-only-just")
        assert (just.level, just.athlete) == (Level.CAUTION, "Runner")
        assert dict(just.values) == pytest.approx(
            {"needed_m": needed, "room_m": needed + 0.5, "left_m": 0.5}
        )
        shorter = lay(RUNNER, replace(spec, room_m=needed - 0.1))
        less = finding(shorter, "takeoff-run-on-shortened")
        assert (less.level, less.athlete) == (Level.NOTE, "Runner")
        assert less.values["steps"] == shorter.run_on_steps == free.run_on_steps - 1
        assert less.values["wanted_steps"] == free.run_on_steps
        share = shorter.mark("w1").speed_mps / shorter.built_to_mps
        assert less.values["reached_share"] == pytest.approx(share)
        assert less.values["wanted_share"] == 0.95
        assert len(shorter.of_kind(MarkKind.WICKET)) == 4

    def test_one_step_fewer_leaves_room_where_the_runway_only_just_holds_it(self):
        long = lay(RUNNER, replace(self.SPEC, approach_steps=18))
        room = long.approach_m - long.start.along_m
        spec = replace(self.SPEC, approach_steps=18, room_m=room)
        assert "runway-only-just" in {each.code for each in lay(RUNNER, spec).findings}
        fewer = lay(RUNNER, replace(spec, approach_steps=17))
        assert {each.code for each in fewer.findings} == {"takeoff-first-run"}

    def test_free_steps_come_before_the_last_two(self):
        layout = lay(RUNNER, replace(self.SPEC, approach_steps=18, wickets=4, free_steps=4))
        assert (layout.run_on_steps, len(layout.landings)) == (18 - 4 - 4 - 2, 18)
        assert "before the last two" in keys_of(TakeoffRun)["free_steps"].does

    def least_m(self, spec) -> float:
        """Return the runway that holds all of a run with the six run-on steps it asks for."""
        free = int(spec.free_steps or 4)
        layout = lay(RUNNER, replace(spec, approach_steps=6 + spec.wickets + free + 2))
        return layout.approach_m - layout.start.along_m

    def test_wickets_go_only_where_less_than_six_run_on_steps_are_left(self):
        spec = replace(self.SPEC, approach_steps=None)
        least = self.least_m(spec)
        all_of_it = lay(RUNNER, replace(spec, room_m=least + 0.01))
        assert (len(all_of_it.of_kind(MarkKind.WICKET)), all_of_it.run_on_steps) == (4, 6)
        layout = lay(RUNNER, replace(spec, room_m=least - 0.01))
        gave = finding(layout, "takeoff-shortened")
        assert (gave.level, gave.athlete) == (Level.CAUTION, "Runner")
        assert dict(gave.values) == pytest.approx(
            {
                "wickets": 3,
                "wanted_wickets": 4,
                "free": 4,
                "wanted_free": 4,
                "steps": 15,
                "all_m": least,
            }
        )

    def test_free_steps_go_one_by_one_after_the_wickets(self):
        spec = replace(self.SPEC, approach_steps=None, wickets=2, free_steps=5)
        for free in (4, 3, 2):
            room = self.least_m(replace(spec, free_steps=free)) + 0.01
            values = finding(lay(RUNNER, replace(spec, room_m=room)), "takeoff-shortened").values
            assert (values["free"], values["wanted_free"]) == (free, 5)

    def test_a_runway_that_holds_nothing(self):
        layout = lay(RUNNER, replace(self.SPEC, approach_steps=None, room_m=10.0))
        stop = finding(layout, "runway-too-short")
        needed = layout.approach_m - layout.start.along_m
        assert (stop.level, stop.athlete) == (Level.STOP, "Runner")
        assert layout.run_on_steps == 3
        assert dict(stop.values) == pytest.approx(
            {
                "needed_m": needed,
                "room_m": 10.0,
                "excess_m": needed - 10.0,
                "steps": 9,
                "all_m": self.least_m(self.SPEC),
            }
        )

    @pytest.mark.parametrize("approach", [22, 25])
    @pytest.mark.parametrize("short_m", [0.5, 3.0, 6.0])
    def test_an_approach_too_long_for_the_runway_is_told_the_most_steps_that_fit(
        self, approach, short_m
    ):
        spec = replace(self.SPEC, approach_steps=approach)
        layout = lay(RUNNER, spec)
        room = layout.approach_m - layout.start.along_m - short_m
        told = finding(lay(RUNNER, replace(spec, room_m=room)), "runway-too-short-fits").values
        fits = told["fit_steps"]
        shorter = lay(RUNNER, replace(spec, approach_steps=fits, room_m=room))
        assert {f.level for f in shorter.findings} <= {Level.NOTE, Level.CAUTION}
        assert len(shorter.of_kind(MarkKind.WICKET)) == 4
        longer = lay(RUNNER, replace(spec, approach_steps=fits + 1, room_m=room))
        assert "runway-too-short-fits" in {f.code for f in longer.findings}

    def test_an_approach_of_too_few_steps_is_told_how_many_more_hold_all_of_it(self):
        layout = lay(RUNNER, replace(self.SPEC, approach_steps=13, room_m=60.0))
        told = finding(layout, "takeoff-shortened-fits").values
        assert (told["wickets"], told["fit_steps"]) == (2, 16)
        more = lay(RUNNER, replace(self.SPEC, approach_steps=16, room_m=60.0))
        assert "takeoff-shortened-fits" not in {f.code for f in more.findings}

    @pytest.mark.parametrize(("room_m", "ending"), [(60.0, "-fits-free"), (29.0, "-free")])
    def test_wickets_that_fit_with_fewer_free_steps_are_told_with_how_many(self, room_m, ending):
        asked = replace(self.SPEC, approach_steps=15, room_m=room_m)
        told = finding(lay(RUNNER, asked), f"takeoff-shortened{ending}").values
        assert told["wickets"] < 4
        kept = lay(RUNNER, replace(asked, free_steps=told["fewer_free"]))
        assert len(kept.of_kind(MarkKind.WICKET)) == 4
        assert len(kept.landings) == 15
        assert not any(each.code.startswith("takeoff-shortened") for each in kept.findings)

    def test_free_steps_that_nobody_asked_for_give_way_before_wickets_that_somebody_did(self):
        untold = replace(self.SPEC, approach_steps=14, free_steps=None, room_m=60.0)
        layout = lay(RUNNER, untold)
        assert len(layout.of_kind(MarkKind.WICKET)) == 4
        assert len(layout.landings) == 14
        told = finding(layout, "takeoff-free-fewer")
        assert (told.level, dict(told.values)) == (
            Level.NOTE,
            {"steps": 14, "free": 2, "wanted_free": 4},
        )
        short = lay(RUNNER, replace(untold, approach_steps=13))
        assert len(short.of_kind(MarkKind.WICKET)) == 3
        assert finding(short, "takeoff-shortened-fits").values["free"] == 2

    def test_an_approach_of_too_few_steps(self):
        layout = lay(RUNNER, replace(self.SPEC, approach_steps=8))
        stop = finding(layout, "approach-too-few-steps")
        assert (stop.level, stop.athlete) == (Level.STOP, "Runner")
        # Two wickets, two free steps, the last two and the shortest run-on of three.
        assert dict(stop.values) == {"steps": 8, "least": 9}

    def test_unusual_gaps_are_told_and_few_wickets_are_not(self):
        slow = make_runner(Athlete(name="Slow", height_m=1.2, top_speed_mps=3.5))
        target = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=5.5)
        layout = lay(slow, replace(self.SPEC, cadence=target))
        codes = {each.code for each in layout.findings}
        assert "gap-unusual" in codes
        assert "too-short-to-time" not in codes
