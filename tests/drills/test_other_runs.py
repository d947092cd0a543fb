"""Flying segments, broken runs and acceleration marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    TakeoffRun,
    WicketRun,
    lay,
)
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.runs import Pace
from wicketlay.errors import DomainError
from wicketlay.running.athlete import Athlete, Foot, Sex, make_runner
from wicketlay.running.sprint import SpeedCurve
from wicketlay.running.touchdowns import StartKind

WOMAN = make_runner(
    Athlete(name="Woman", height_m=1.66, sex=Sex.FEMALE, top_speed_mps=7.9, time_constant_s=1.05)
)
MAN = make_runner(
    Athlete(name="Man", height_m=1.82, sex=Sex.MALE, top_speed_mps=10.4, time_constant_s=1.2)
)


class TestFlyingSegment:
    @pytest.mark.parametrize("zone", [10.0, 20.0, 30.0])
    def test_zone_time_and_mean_agree_with_quadrature(self, zone):
        layout = lay(WOMAN, FlyingSegment(zone_m=zone, run_on_m=30.0))
        curve = WOMAN.curve()
        time, _ = quad(lambda x: 1.0 / (curve.share_at(x) * 7.9), 30.0, 30.0 + zone)
        assert layout.section_time_s == pytest.approx(time, rel=1e-9)
        assert zone / layout.section_time_s < 7.9

    def test_gates_stand_a_zone_apart(self):
        layout = lay(WOMAN, FlyingSegment(zone_m=20.0))
        one, two = layout.of_kind(MarkKind.GATE)
        assert (one.along_m, two.along_m) == (0.0, 20.0)
        assert one.label == "zone opens"

    def test_v11_a_run_on_left_open_reaches_98_percent_in_20_to_40_m(self):
        """V11: above 98 %, run-on 20 to 40 m. Haugen et al. 2019, Sports Med Open 5:44, Table 2."""
        for runner in (WOMAN, MAN):
            layout = lay(runner, FlyingSegment())
            assert 20.0 <= layout.run_on_m <= 40.0
            assert layout.mark("gate1").speed_mps >= 0.98 * runner.top_speed.value - 1e-9

    def test_a_run_on_of_the_length_that_was_advised_is_long_enough(self):
        for runner in (WOMAN, MAN):
            (short,) = lay(runner, FlyingSegment(run_on_m=20.0)).findings
            advised_m = round(short.values["needed_m"], 2)
            assert lay(runner, FlyingSegment(run_on_m=advised_m - 0.005)).findings == ()

    def test_a_run_that_comes_in_nearly_at_speed_still_gets_a_run_on(self):
        slow = make_runner(Athlete(name="Slow", height_m=1.5, top_speed_mps=5.0))
        layout = lay(slow, FlyingSegment(speed_share=0.605, start=StartKind.JOG_IN))
        assert layout.run_on_m == 5.0
        assert layout.findings == ()

    def test_a_short_run_on_is_noted(self):
        layout = lay(MAN, FlyingSegment(run_on_m=15.0))
        assert [f.code for f in layout.findings] == ["zone-still-building"]


class TestBrokenRun:
    def test_cones_stand_at_the_changes(self):
        layout = lay(WOMAN, BrokenRun(parts_m=(30.0, 10.0, 10.0)))
        assert [mark.along_m for mark in layout.of_kind(MarkKind.CONE)] == [30.0, 40.0, 50.0]

    def test_splits_agree_with_the_model_part_by_part(self):
        layout = lay(WOMAN, BrokenRun(parts_m=(20.0, 20.0, 20.0)))
        first, second, third = (mark.time_s for mark in layout.of_kind(MarkKind.CONE))
        curve = WOMAN.curve()
        assert first == pytest.approx(curve.time_at(20.0))
        easy = 0.95 * curve.speed_at(first)
        assert second - first == pytest.approx(20.0 / easy)
        again, _ = quad(lambda x: 1.0 / (SpeedCurve(7.9, 1.05, easy).share_at(x) * 7.9), 0.0, 20.0)
        assert third - second == pytest.approx(again, rel=1e-8)

    def test_a_fast_part_that_begins_at_full_speed_stays_there(self):
        quick = make_runner(
            Athlete(name="Quick", height_m=1.8, top_speed_mps=9.0, time_constant_s=0.5)
        )
        parts = (100.0, 5.0, 90.0, 5.0, 100.0)
        layout = lay(quick, BrokenRun(parts_m=parts, easy_share=1.0))
        assert layout.marks[-1].speed_mps == 9.0
        assert layout.section_time_s == pytest.approx(quick.curve().time_at(300.0))

    def test_an_easy_part_is_slower_than_the_cone_before_it(self):
        layout = lay(MAN, BrokenRun())
        speeds = [mark.speed_mps for mark in layout.of_kind(MarkKind.CONE)]
        assert speeds[1] == pytest.approx(0.95 * speeds[0])
        assert speeds[2] > speeds[1]


@pytest.mark.parametrize(
    "spec",
    [
        WicketRun(speed_share=0.5, wickets=8, start=StartKind.JOG_IN),
        TakeoffRun(speed_share=0.5, start=StartKind.JOG_IN),
        FlyingSegment(speed_share=0.5, start=StartKind.JOG_IN),
        BrokenRun(speed_share=0.5, start=StartKind.JOG_IN),
        AccelerationMarks(speed_share=0.5, start=StartKind.JOG_IN),
    ],
    ids=lambda spec: type(spec).__name__,
)
def test_a_jog_as_fast_as_the_run_is_refused_with_what_to_do(spec):
    child = make_runner(Athlete(name="Child", height_m=1.4, top_speed_mps=6.0))
    with pytest.raises(DomainError) as refused:
        lay(child, spec)
    assert str(refused.value) == (
        "the run comes in at 3 m/s and builds towards 3.00 m/s; "
        "start slower or standing, or ask for more speed"
    )


class TestAccelerationMarks:
    @pytest.mark.parametrize(("runner", "low", "high"), [(WOMAN, 0.82, 1.07), (MAN, 0.85, 1.37)])
    def test_s9_the_first_mark_lies_in_the_published_range(self, runner, low, high):
        """S9: women 0.82 to 1.07 m, men 0.85 to 1.37 m from blocks. Review entry, second-hand."""
        layout = lay(runner, AccelerationMarks(steps=8))
        assert low <= layout.mark("step1").along_m <= high

    def test_steps_grow_and_feet_alternate(self):
        layout = lay(WOMAN, AccelerationMarks(steps=10, first_foot=Foot.RIGHT))
        marks = layout.of_kind(MarkKind.LANDING)
        assert len(marks) == 10
        assert np.all(np.diff([mark.gap_m for mark in marks][1:]) > 0)
        assert [mark.foot for mark in marks] == [Foot.RIGHT, Foot.LEFT] * 5
        assert [landing.foot for landing in layout.landings] == [Foot.RIGHT, Foot.LEFT] * 5
        assert layout.start.foot is Foot.LEFT

    def test_the_athletes_own_front_foot_goes_before_a_wanted_one(self):
        own = replace(WOMAN, athlete=replace(WOMAN.athlete, front_foot=Foot.RIGHT))
        layout = lay(own, AccelerationMarks(steps=3, first_foot=Foot.RIGHT))
        assert layout.start.foot is Foot.RIGHT
        assert layout.mark("step1").foot is Foot.LEFT


@pytest.mark.parametrize(
    ("parts_m", "flat_out_m"),
    [
        ((20.0, 21.0, 22.0), (22.0,)),
        ((30.0, 10.0, 25.0, 10.0, 15.0), (25.0, 15.0)),
        ((30.0, 20.0), ()),
        ((30.0, 10.0, 25.0, 10.0), (25.0,)),
    ],
)
def test_flat_out_are_the_fast_parts_but_the_first(parts_m, flat_out_m):
    parts = lay(WOMAN, BrokenRun(parts_m=parts_m)).parts
    assert tuple(part.length_m for part in parts if part.pace is Pace.TIMED) == flat_out_m
