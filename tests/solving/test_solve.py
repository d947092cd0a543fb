"""From a plan to everything: layings, sharing, stages, adjustments, and never an exception."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.drills import AccelerationMarks, BrokenRun, FlyingSegment, TakeoffRun, WicketRun
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.edits import (
    notch_cadence,
    notch_gaps,
    notch_speed,
    set_absent,
    set_drill,
    set_sharing,
    shift_start,
    slide,
)
from wicketlay.errors import DomainError
from wicketlay.export import document
from wicketlay.findings import Level, worst
from wicketlay.ground.placed import Fit
from wicketlay.ground.placing import Place
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.lanes.stages import StageCadence
from wicketlay.plan import Adjustment, Plan, SessionPlan, StagePlan
from wicketlay.plan_file import load
from wicketlay.reviewing import expected_zone
from wicketlay.running.athlete import Athlete, FirstGuess, Foot, Sex
from wicketlay.solve import solve
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"
GRASS = Strip(length_m=120.0)
WOMAN = Athlete(
    name="Woman", height_m=1.66, sex=Sex.FEMALE, top_speed_mps=7.9, time_constant_s=1.05
)
MAN = Athlete(name="Man", height_m=1.82, sex=Sex.MALE, top_speed_mps=10.8, time_constant_s=1.2)
GIRL = Athlete(name="Girl", height_m=1.52, age_years=12, top_speed_mps=6.5, time_constant_s=1.0)
TALL = Athlete(name="Tall", height_m=1.82, sex=Sex.MALE)


def plan_of(*athletes: Athlete, **more) -> Plan:
    drill = more.pop("drill", WicketRun(speed_share=0.95, wickets=12))
    place = more.pop("place", Place(lanes=(1,), offset_m=40.0))
    return Plan(title="Test", athletes=athletes, drill=drill, ground=GRASS, place=place, **more)


def readings(laying) -> dict[str, int]:
    return {r.mark_id: r.ticks for pull in laying.tape.pulls for r in pull.readings}


def gaps(laying) -> list[float]:
    places = [m.along_m for m in laying.layout.of_kind(MarkKind.WICKET)]
    return list(np.diff(places))


PLANS = [
    path for path in sorted(LAYOUTS.glob("*.toml")) if 'kind = "plan"' in path.read_text("utf-8")
]


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_every_plan_in_layouts_solves_without_a_stop(path):
    solved = solve(load(path))
    assert solved.layings
    assert [f for f in solved.all_findings if f.level is Level.STOP] == []


@pytest.mark.parametrize(
    "wrong", [{"line": "back straigt"}, {"landmark": "finnish"}, {"mark": "w99"}]
)
def test_of_a_place_that_is_misspelt_a_tape_says_nothing(wrong):
    plan = load(LAYOUTS / "fixed-cadence.toml")
    short = replace(plan, tape=replace(plan.tape, length_m=30.0))

    def said(asked):
        (laying,) = solve(asked).layings
        return {f.code for f in laying.findings} & {f.code for f in laying.tape.findings}

    assert said(short)
    assert not said(replace(short, place=replace(short.place, **wrong)))


@pytest.mark.parametrize(("lanes", "said"), [((4,), "lane 4: no place"), ((4, 5), "no place")])
def test_a_place_nobody_told_is_told_of_all_its_lanes_or_of_the_one(lanes, said):
    plan = load(LAYOUTS / "fixed-cadence.toml")
    solved = solve(replace(plan, place=Place(line="home straight", lanes=lanes)))
    (found,) = (f for f in solved.findings if f.code == "ground-place-not-told")
    assert str(word(found)).startswith(f"{said} was told: ")


class TestWhoIsLaidFor:
    def test_an_unknown_speed_is_a_stop_for_that_athlete_only(self):
        solved = solve(plan_of(WOMAN, TALL))
        assert [laying.athletes for laying in solved.layings] == [("Woman",)]
        (finding,) = solved.findings
        assert (finding.level, finding.athlete) == (Level.STOP, "Tall")

    def test_a_height_and_a_cadence_are_enough(self):
        drill = WicketRun(
            speed_share=0.95,
            wickets=12,
            cadence=CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.4),
        )
        solved = solve(plan_of(TALL, drill=drill))
        (demand,) = solved.layings[0].demands
        assert demand.runner.provisional
        assert 10.5 <= demand.runner.top_speed.value <= 11.0

    def test_raising_the_cadence_after_the_first_solve_closes_the_gaps(self):
        drill = WicketRun(
            speed_share=0.95,
            wickets=12,
            cadence=CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.4),
        )
        first = plan_of(TALL, drill=drill)
        faster = replace(drill, cadence=replace(drill.cadence, value=4.5))
        quicker = set_drill(first, faster).plan
        notched = notch_cadence(first, "Tall", 2).plan
        before = gaps(solve(first).layings[0])
        for changed in (quicker, notched):
            after = gaps(solve(changed).layings[0])
            assert all(a < b for a, b in zip(after, before, strict=True))
            top = solve(changed).layings[0].demands[0].runner.top_speed.value
            assert top == solve(first).layings[0].demands[0].runner.top_speed.value

    def test_one_cadence_for_several_athletes_is_noted(self):
        drill = WicketRun(
            speed_share=0.95,
            wickets=14,
            cadence=CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.3),
        )
        solved = solve(plan_of(GIRL, WOMAN, MAN, drill=drill))
        assert [f.code for f in solved.findings] == ["children", "one-cadence-for-all"]
        by_name = {laying.athletes[0]: worst(laying.findings) for laying in solved.layings}
        assert by_name["Girl"] is Level.STOP
        assert by_name["Woman"] is Level.CAUTION
        assert by_name["Man"] is not Level.STOP

    def test_without_waves_each_athlete_is_laid_for_alone(self):
        solved = solve(plan_of(WOMAN, MAN, GIRL))
        assert [(o.lane, o.wave, o.athletes) for o in solved.layings] == [
            (1, 1, ("Woman",)),
            (1, 2, ("Man",)),
            (1, 3, ("Girl",)),
        ]


class TestSharing:
    squad = tuple(replace(WOMAN, name=f"W{i}", top_speed_mps=7.4 + 0.15 * i) for i in range(6))

    def plan(self) -> Plan:
        return plan_of(*self.squad, session=SessionPlan(waves=2))

    def test_everybody_runs_once_in_two_waves(self):
        solved = solve(self.plan())
        names = [name for laying in solved.layings for name in laying.athletes]
        assert sorted(names) == sorted(a.name for a in self.squad)
        assert {laying.wave for laying in solved.layings} == {1, 2}

    def test_start_marks_are_lettered_and_placed(self):
        laying = solve(self.plan()).layings[0]
        starts = laying.layout.of_kind(MarkKind.START)
        assert {m.label for m in starts} == {"A", "B", "C"}
        assert {m.id for m in starts} <= readings(laying).keys()
        for demand in laying.demands:
            assert laying.layout.mark(demand.start_id).along_m == demand.start_along_m

    def test_no_gap_is_more_than_the_cap_over_anyones_natural_step(self):
        for laying in solve(self.plan()).layings:
            for demand in laying.demands:
                assert demand.appraisal.excess_share.max() <= 0.03 + 2e-3

    def test_an_absent_athlete_leaves_the_others_where_they_are(self):
        before = solve(self.plan())
        after = solve(set_absent(self.plan(), "W2", absent=True).plan)
        for old, new in zip(before.layings, after.layings, strict=True):
            assert gaps(new) == pytest.approx(gaps(old), abs=1e-9) or "W2" in old.athletes
        names = [name for laying in after.layings for name in laying.athletes]
        assert "W2" not in names
        assert len(names) == 5

    def test_more_lanes_than_the_ground_has_is_refused(self):
        with pytest.raises(DomainError, match="40 lanes are asked for"):
            set_sharing(self.plan(), lanes=40, waves=1)


class TestStages:
    """A season, 88 to 97 % in four stages: the club woman, 12 wickets, 3 cm."""

    def season(self, *, natural: bool) -> Plan:
        cadence = StageCadence.NATURAL if natural else StageCadence.HELD
        stages = StagePlan(
            from_share=0.88, to_share=0.97, count=4, tolerance_m=0.03, cadence=cadence
        )
        return plan_of(WOMAN, stages=stages)

    def moved_in_all(self, *, natural: bool) -> float:
        layings = solve(self.season(natural=natural)).layings
        last = [laying.layout.mark("w12").along_m for laying in layings]
        return last[-1] - last[0]

    def test_with_the_cadence_kept_the_last_wicket_moves_about_two_metres(self):
        assert 1.7 <= self.moved_in_all(natural=False) <= 2.2

    def test_with_the_natural_cadence_it_hardly_moves(self):
        assert 0.1 <= self.moved_in_all(natural=True) <= 0.4

    def series(self, to_share: float = 0.97, drill=None, **changes) -> Plan:
        stages = StagePlan(from_share=0.90, to_share=to_share, count=4, **changes)
        plan = plan_of(WOMAN, stages=stages)
        return plan if drill is None else replace(plan, drill=drill)

    def over(self, plan: Plan):
        return [f for f in solve(plan).all_findings if f.code.startswith("stages-over-limit")]

    def test_by_default_speed_comes_half_from_gaps_and_half_from_cadence(self):
        last = []
        for changes in ({"cadence": StageCadence.HELD}, {"cadence": StageCadence.NATURAL}, {}):
            appraisal = solve(self.series(tolerance_m=0.0, **changes)).layings[-1]
            last.append(appraisal.demands[0].layout.cadence_hz)
        held, natural, half = last
        assert half == pytest.approx((held * natural) ** 0.5, rel=1e-6)

    @pytest.mark.parametrize(
        ("cadence", "from_stage", "mends"),
        [(StageCadence.HELD, 3, "natural"), (StageCadence.HALF, 4, "natural")],
    )
    def test_a_series_that_breaks_a_limit_says_from_which_stage_and_what_would_not(
        self, cadence, from_stage, mends
    ):
        plan = self.series(cadence=cadence)
        (told,) = self.over(plan)
        assert (told.code, told.athlete) == ("stages-over-limit-cadence", "Woman")
        assert (told.values["from_stage"], told.values["cadence"]) == (from_stage, mends)
        assert not self.over(
            replace(plan, stages=replace(plan.stages, cadence=StageCadence(mends)))
        )

    def test_a_gentler_following_that_is_enough_is_named_before_the_natural_one(self):
        (told,) = self.over(self.series(0.95, cadence=StageCadence.HELD))
        assert told.values["cadence"] == "half"

    def test_where_the_cadence_is_the_coachs_the_speed_that_keeps_the_limit_is_told(self):
        kept = CadenceTarget(rule=CadenceRule.OF_TOP, value=0.91)
        plan = self.series(drill=WicketRun(speed_share=0.9, wickets=12, cadence=kept))
        (told,) = self.over(plan)
        share = told.values["to_share"]
        assert 0.90 < share < 0.97
        for to_share, breaks in ((share, False), (share + 0.01, True)):
            stages = replace(plan.stages, to_share=to_share)
            assert bool(self.over(replace(plan, stages=stages))) is breaks

    @pytest.mark.parametrize("natural", [False, True])
    def test_steps_and_wickets_are_those_of_stage_one(self, natural):
        layings = solve(self.season(natural=natural)).layings
        assert {laying.layout.run_on_steps for laying in layings} == {
            layings[0].layout.run_on_steps
        }
        ids = [[m.id for m in laying.layout.marks] for laying in layings]
        assert all(row == ids[0] for row in ids)

    @pytest.mark.parametrize("natural", [False, True])
    @pytest.mark.parametrize("hold", ["w1", "w6", "w12"])
    def test_no_place_or_gap_is_off_by_more_than_the_tolerance(self, natural, hold):
        plan = self.season(natural=natural)
        plan = replace(plan, stages=replace(plan.stages, hold=hold))
        layings = solve(plan).layings
        held = [laying.layout.mark(hold).along_m for laying in layings]
        assert held == pytest.approx([held[0]] * 4, abs=1e-9)
        for laying in layings:
            own = laying.demands[0].layout
            true = np.array([m.along_m for m in own.of_kind(MarkKind.WICKET)])
            laid = np.array([m.along_m for m in laying.layout.of_kind(MarkKind.WICKET)])
            index = [m.id for m in own.of_kind(MarkKind.WICKET)].index(hold)
            off = laid - (true + laid[index] - true[index])
            assert np.abs(off).max() <= 0.03 + 1e-6
            assert np.abs(np.diff(off)).max() <= 0.03 + 1e-6

    def test_moves_say_what_lies_elsewhere(self):
        layings = solve(self.season(natural=True)).layings
        for before, after in itertools.pairwise(layings):
            for move in after.followed:
                change = (
                    after.layout.mark(move.mark_id).along_m
                    - before.layout.mark(move.mark_id).along_m
                )
                assert move.by_m == pytest.approx(change)
            still = {m.id for m in after.layout.marks} - {m.mark_id for m in after.followed}
            for mark_id in still:
                assert after.layout.mark(mark_id).along_m == pytest.approx(
                    before.layout.mark(mark_id).along_m, abs=1e-9
                )

    def test_moves_between_waves_are_told_apart_from_moves_between_stages(self):
        plan = replace(self.season(natural=False), athletes=(WOMAN, GIRL))
        for laying in solve(plan).layings:
            # At the last stage the woman's marks are not laid at all.
            assert bool(laying.moved) == (laying.wave > 1 and laying.stage < 4)
            assert bool(laying.followed) == (laying.stage > 1)
        solved = solve(plan)
        first, second = (o for o in solved.layings if o.stage == 2)
        for move in second.moved:
            if move.by_m is not None:
                far = (
                    second.placed.mark(move.mark_id).chainage_m
                    - first.placed.mark(move.mark_id).chainage_m
                )
                assert move.by_m == pytest.approx(far)

    def test_small_start_moves_are_not_asked_for(self):
        for laying in solve(self.season(natural=True)).layings:
            for move in laying.followed:
                assert move.mark_id != "start" or abs(move.by_m) >= 0.5


class TestDuringPractice:
    plan = plan_of(WOMAN, MAN)

    def test_a_slide_moves_every_mark_and_no_gap(self):
        before = solve(self.plan)
        after = solve(slide(self.plan, -0.30).plan)
        for old, new in zip(before.layings, after.layings, strict=True):
            assert gaps(new) == gaps(old)
            for one, other in zip(old.placed.marks, new.placed.marks, strict=True):
                assert other.chainage_m - one.chainage_m == pytest.approx(-0.30, abs=1e-9)

    def test_w1_is_expected_when_a_run_from_the_moved_start_mark_comes_to_it(self):
        plan = plan_of(WOMAN)
        moved = Adjustment(athlete="Woman", start_shift_m=3.0)
        times, nearer = [], []
        for each in (plan, replace(plan, adjustments=(moved,))):
            (laying,) = solve(each).layings
            (demand,) = laying.demands
            w1 = laying.placed.mark("w1").mark
            curve = demand.runner.curve(plan.drill.speed_share, 0.0)
            # the body is 0.31 m behind the toe that lands
            assert w1.time_s == pytest.approx(curve.time_at(demand.run_on_m - 0.31), abs=1e-9)
            times.append(w1.time_s)
            nearer.append(demand.run_on_m)
        assert nearer[0] - nearer[1] == pytest.approx(3.0)
        assert times[1] < times[0] - 0.3

    @pytest.mark.parametrize("drill", [FlyingSegment(), BrokenRun()])
    def test_gates_and_cones_are_expected_from_the_moved_start_mark(self, drill):
        plan = plan_of(WOMAN, drill=drill)
        found = []
        for shift_m in (-3.0, 0.0, 2.0):
            moved = Adjustment(athlete="Woman", start_shift_m=shift_m)
            (laying,) = solve(replace(plan, adjustments=(moved,))).layings
            (demand,) = laying.demands
            run = laying.layout.run_of(demand.runner)
            start, *others = [each.mark for each in laying.placed.marks]
            for mark in others:
                ran_m = mark.along_m - start.along_m
                assert mark.time_s == pytest.approx(run.time_at(ran_m), abs=1e-9)
                assert mark.speed_mps == pytest.approx(run.speed_at(ran_m), abs=1e-9)
            began_s = 0.0 if laying.layout.datum == "start" else others[0].time_s
            assert demand.section_time_s == pytest.approx(others[-1].time_s - began_s, abs=1e-9)
            found.append((others[0].time_s, others[-1].speed_mps))
        _, (before_s, faster), (after_s, slower) = found
        assert after_s < before_s - 0.2
        assert slower <= faster

    def test_landings_are_expected_from_the_moved_start_mark_as_a_review_expects_them(self):
        plan = plan_of(WOMAN, drill=AccelerationMarks())
        for shift_m in (-1.5, 0.0, 0.2):
            moved = Adjustment(athlete="Woman", start_shift_m=shift_m)
            (laying,) = solve(replace(plan, adjustments=(moved,))).layings
            (demand,) = laying.demands
            run = laying.layout.run_of(demand.runner)
            start, *steps = [each.mark for each in laying.placed.marks]
            for mark in steps:
                # the body is 0.31 m behind the toe that lands
                ran_m = mark.along_m - start.along_m - 0.31
                assert mark.time_s == pytest.approx(run.time_at(ran_m), abs=1e-9)
                assert mark.speed_mps == pytest.approx(run.speed_at(ran_m), abs=1e-9)
            took_s = np.diff([0.0, *(mark.time_s for mark in steps)])
            assert [mark.cadence_hz for mark in steps] == pytest.approx(1.0 / took_s, abs=1e-9)
            assert demand.section_time_s == pytest.approx(steps[-1].time_s, abs=1e-9)
            expected_s = expected_zone(laying, demand).expected_s
            assert demand.section_time_s == pytest.approx(expected_s, abs=1e-9)

    @pytest.mark.parametrize("drill", [AccelerationMarks(), BrokenRun()])
    @pytest.mark.parametrize("shift_m", [-1.5, 0.2])
    def test_gaps_from_a_moved_start_mark_are_the_section_and_lie_between_its_marks(
        self, drill, shift_m
    ):
        moved = Adjustment(athlete="Woman", start_shift_m=shift_m)
        (laying,) = solve(replace(plan_of(WOMAN, drill=drill), adjustments=(moved,))).layings
        layout = laying.layout
        assert [mark.gap_m for mark in layout.marks[1:]] == pytest.approx(
            np.diff([mark.along_m for mark in layout.marks]), abs=1e-9
        )
        whole_m = layout.marks[-1].along_m - layout.start.along_m
        assert layout.section_m == pytest.approx(whole_m, abs=1e-9)

    @pytest.mark.parametrize("shift_m", [-3.0, 2.0])
    def test_each_of_two_on_a_broken_run_is_expected_from_their_own_start_mark(self, shift_m):
        plan = plan_of(WOMAN, MAN, drill=BrokenRun())
        for name in ("Woman", "Man"):
            moved = Adjustment(athlete=name, start_shift_m=shift_m)
            (laying,) = solve(replace(plan, adjustments=(moved,))).layings
            assert len(laying.demands) == 2
            for demand in laying.demands:
                zone = expected_zone(laying, demand)
                assert (zone.start_id, zone.end_id) == (demand.start_id, "cone3")
                assert zone.expected_s == pytest.approx(demand.section_time_s, abs=1e-9)

    def test_gates_of_every_stage_are_expected_from_the_moved_start_mark(self):
        moved = Adjustment(athlete="Woman", start_shift_m=2.0)
        stages = StagePlan(from_share=0.85, to_share=0.95, count=2)
        plan = plan_of(WOMAN, drill=FlyingSegment(), adjustments=(moved,), stages=stages)
        for laying in solve(plan).layings:
            (demand,) = laying.demands
            run = laying.layout.run_of(demand.runner)
            gate = laying.placed.mark("gate1").mark
            assert gate.time_s == pytest.approx(run.time_at(demand.run_on_m), abs=1e-9)

    def test_a_start_shift_moves_one_start_mark_only(self):
        before = solve(self.plan)
        after = solve(shift_start(self.plan, "Woman", 0.40).plan)
        own, other = after.layings
        assert own.layout.start.along_m - before.layings[0].layout.start.along_m == pytest.approx(
            0.40
        )
        assert gaps(own) == pytest.approx(gaps(before.layings[0]), abs=1e-12)
        assert readings(other) == readings(before.layings[1])

    @pytest.mark.parametrize("drill", [WicketRun(speed_share=0.95, wickets=6), AccelerationMarks()])
    def test_a_start_mark_moved_beyond_the_first_mark_is_refused(self, drill):
        moved = Adjustment(athlete="Woman", start_shift_m=19.9)
        solved = solve(plan_of(WOMAN, MAN, drill=drill, adjustments=(moved,)))
        (stop,) = [f for f in solved.all_findings if f.level is Level.STOP]
        assert stop.athlete == "Woman"
        assert "moved 19.90 m in the running direction leaves no run-on" in str(word(stop))
        assert {name for laying in solved.layings for name in laying.athletes} == {"Man"}

    def test_gap_notches_hold_w1_and_the_start_mark(self):
        before, after = solve(self.plan), solve(notch_gaps(self.plan, "Woman", 1).plan)
        old, new = before.layings[0], after.layings[0]
        assert gaps(new) == pytest.approx([1.02 * gap for gap in gaps(old)])
        assert new.layout.start == old.layout.start

    def test_notches_there_and_back_leave_no_trace(self):
        there = notch_speed(notch_gaps(self.plan, "Man", 2).plan, "Man", -1).plan
        back = notch_speed(notch_gaps(there, "Man", -2).plan, "Man", 1).plan
        assert back == self.plan

    def test_a_notch_too_far_is_refused_with_the_range(self):
        with pytest.raises(DomainError, match=r"must lie between 50 % and 100 %"):
            notch_speed(self.plan, "Man", 6)


class TestTakeoffRun:
    jumper = Athlete(
        name="Jumper",
        height_m=1.84,
        sex=Sex.MALE,
        top_speed_mps=9.65,
        time_constant_s=1.15,
        takeoff_foot=Foot.LEFT,
    )

    def plan(self) -> Plan:
        return Plan(
            title="Board",
            athletes=(self.jumper,),
            drill=TakeoffRun(speed_share=0.90, wickets=4, approach_steps=19),
            ground=Runway(),
        )

    def test_thirty_centimetres_over_the_line_moves_every_mark_by_as_much(self):
        before, after = solve(self.plan()), solve(slide(self.plan(), -0.30).plan)
        old, new = before.layings[0], after.layings[0]
        moves = [
            b.chainage_m - a.chainage_m
            for a, b in zip(old.placed.marks, new.placed.marks, strict=True)
        ]
        assert moves == pytest.approx([-0.30] * len(moves), abs=1e-9)
        assert gaps(new) == gaps(old)
        # The board has not moved, so the tape's readings from it grow by the slide.
        grown = [readings(new)[i] - readings(old)[i] for i in ("start", "w1", "w4")]
        assert grown == [30, 30, 30]

    def test_a_slide_of_one_athlete_moves_their_marks_alone_and_adds_to_that_of_the_place(self):
        other = replace(self.jumper, name="Other")
        plan = replace(self.plan(), athletes=(self.jumper, other), session=SessionPlan(waves=2))
        slid = replace(
            slide(plan, -0.30).plan,
            adjustments=(Adjustment(athlete="Other", slide_m=0.12),),
        )
        before, after = solve(plan), solve(slid)
        moved = [
            new.placed.marks[0].chainage_m - old.placed.marks[0].chainage_m
            for old, new in zip(before.layings, after.layings, strict=True)
        ]
        assert moved == pytest.approx([-0.30, -0.18])

    @pytest.mark.parametrize(("own_m", "stops"), [(0.4, False), (0.42, True)])
    def test_both_slides_together_never_put_the_take_off_past_the_line(self, own_m, stops):
        plan = replace(
            slide(self.plan(), 0.60).plan,
            adjustments=(Adjustment(athlete="Jumper", slide_m=own_m),),
        )
        codes = {f.code for f in solve(plan).all_findings}
        assert ("takeoff-past-the-line" in codes) is stops

    def test_every_stage_ends_with_the_foot_on_the_board(self):
        """Held at the line: no stage may carry wickets or start mark off with W1."""
        stages = StagePlan(from_share=0.86, to_share=0.92, count=3, tolerance_m=0.03)
        plan = replace(self.plan(), stages=stages, ground=Runway(length_m=45.0))
        layings = solve(plan).layings
        assert {len(laying.demands[0].layout.landings) for laying in layings} == {19}
        for laying in layings:
            own = laying.demands[0].layout
            for mark in laying.layout.marks:
                assert mark.along_m == pytest.approx(own.mark(mark.id).along_m, abs=0.03 + 1e-6)
            assert own.landings[-1].along_m == pytest.approx(-0.05)

    def test_a_stage_that_no_longer_fits_the_runway_tells_the_steps_with_which_all_stages_do(self):
        stages = StagePlan(from_share=0.80, to_share=0.95, count=2)
        first = solve(replace(self.plan(), stages=stages, ground=Runway(length_m=60.0)))
        needed = [-laying.layout.start.along_m for laying in first.layings]
        assert needed[0] < needed[1]
        short = Runway(length_m=round(sum(needed) / 2, 2))
        plan = replace(self.plan(), stages=stages, ground=short)
        before, after = solve(plan).layings
        codes = {finding.code for finding in before.findings}
        assert not codes & {"runway-too-short", "runway-too-short-fits"}
        (stop,) = (f for f in after.findings if f.code == "runway-too-short-fits")
        fits = replace(plan.drill, approach_steps=stop.values["fit_steps"])
        mended = solve(replace(plan, drill=fits))
        assert not [f for f in mended.all_findings if f.level is Level.STOP]

    @pytest.mark.parametrize(
        ("slide_m", "told"),
        [
            (-1.01, (Level.CAUTION, "takeoff-slid-far")),
            (-1.0, None),
            (0.8, None),
            (1.0, None),
            (1.01, (Level.STOP, "takeoff-past-the-line")),
            (8.0, (Level.STOP, "takeoff-past-the-line")),
        ],
    )
    def test_a_slide_of_metres_is_told_and_one_past_the_line_stops(self, slide_m, told):
        plan = replace(self.plan(), ground=Runway(length_m=45.0))
        plan = replace(plan, place=replace(plan.place, slide_m=slide_m))
        found = {(f.level, f.code) for f in solve(plan).all_findings}
        slid = {each for each in found if each[1] in {"takeoff-slid-far", "takeoff-past-the-line"}}
        assert slid == ({told} if told else set())

    def test_the_runway_of_the_ground_is_the_room_there_is(self):
        short = replace(self.plan(), ground=Runway(length_m=25.0))
        found = {f.code for f in solve(short).all_findings}
        assert found & {"takeoff-shortened", "runway-too-short", "runway-too-short-fits"}


class TestSharedLanes:
    SHARED = SessionPlan(waves=1)
    GUESS = replace(TALL, first_guess=FirstGuess(cadence_hz=4.2, speed_share=0.95))

    @pytest.mark.parametrize("who", [GUESS, GIRL])
    def test_a_guess_or_a_child_is_never_put_over_the_gaps_laid_alone(self, who):
        mate = MAN if who is self.GUESS else WOMAN
        alone = solve(plan_of(who)).layings[0]
        (both,) = solve(plan_of(who, mate, session=self.SHARED)).layings
        assert len(both.demands) == 2
        assert (np.array(gaps(both)) <= np.array(gaps(alone)) + 1e-9).all()

    def test_how_short_a_guess_is_laid_is_what_the_shared_gaps_are(self):
        mate = replace(self.GUESS, name="Short", height_m=1.62)
        (both,) = solve(plan_of(self.GUESS, mate, session=self.SHARED)).layings
        said = {f.athlete: f for f in both.findings if f.code == "gaps-laid-short"}
        for demand in both.demands:
            name = demand.athlete.name
            alone = solve(plan_of(self.GUESS if name == "Tall" else mate)).layings[0]
            (own,) = [f for f in alone.findings if f.code == "gaps-laid-short"]
            ratio = float((np.array(gaps(both)) / np.array(gaps(alone))).max())
            told = said[name].values["short_share"]
            assert told == pytest.approx(1 - (1 - own.values["short_share"]) * ratio, abs=1e-6)
        assert said["Tall"].values["short_share"] > said["Short"].values["short_share"]

    def test_a_cadence_that_sharing_does_not_hold_is_said_with_what_it_is(self):
        cadence = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=3.6)
        drill = WicketRun(speed_share=0.95, wickets=12, cadence=cadence)
        solved = solve(plan_of(WOMAN, MAN, drill=drill, session=self.SHARED))
        (said,) = [f for f in solved.findings if f.code == "cadence-not-held-shared"]
        rates = np.concatenate([d.appraisal.cadence_hz for d in solved.layings[0].demands])
        assert said.values["lowest_hz"] == pytest.approx(rates.min())
        assert said.values["highest_hz"] == pytest.approx(rates.max())
        alone = solve(plan_of(WOMAN, MAN, drill=drill))
        assert "cadence-not-held-shared" not in {f.code for f in alone.findings}

    def test_shared_marks_are_slid_by_the_mean_of_what_is_asked_for_each(self):
        plan = plan_of(WOMAN, MAN, session=self.SHARED)
        slides = (
            Adjustment(athlete=MAN.name, slide_m=0.30),
            Adjustment(athlete=WOMAN.name, slide_m=-0.10),
        )
        (before,) = solve(plan).layings
        (after,) = solve(replace(plan, adjustments=slides)).layings
        moved = [
            new.chainage_m - old.chainage_m
            for old, new in zip(before.placed.marks, after.placed.marks, strict=True)
        ]
        assert moved == pytest.approx([0.10] * len(moved))

    def test_letters_stay_when_a_notch_changes_who_has_the_longer_gaps(self):
        twin = replace(WOMAN, name="Twin", top_speed_mps=7.95)
        plan = plan_of(WOMAN, twin, session=self.SHARED)

        def letters(each: Plan) -> dict[str, str]:
            return {d.athlete.name: d.letter for d in solve(each).layings[0].demands}

        before = letters(plan)
        assert before == {"Woman": "A", "Twin": "B"}
        assert letters(notch_gaps(plan, "Woman", 2).plan) == before
        assert letters(notch_gaps(plan, "Twin", -2).plan) == before


any_athlete = st.builds(
    Athlete,
    name=st.sampled_from(["A", "B", "C"]),
    height_m=st.floats(1.35, 2.05),
    sex=st.sampled_from([None, *Sex]),
    top_speed_mps=st.one_of(st.none(), st.floats(3.0, 12.3)),
    time_constant_s=st.one_of(st.none(), st.floats(0.6, 1.8)),
    front_foot=st.sampled_from([None, *Foot]),
)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(any_athlete, min_size=1, max_size=3, unique_by=lambda a: a.name),
    st.floats(0.55, 1.0),
    st.integers(2, 30),
    st.floats(-100, 200),
    st.one_of(st.none(), st.integers(1, 2)),
)
def test_solving_never_raises_and_exports(athletes, share, wickets, offset, waves):
    plan = plan_of(
        *athletes,
        drill=WicketRun(speed_share=share, wickets=wickets),
        place=Place(lanes=(1,), offset_m=offset),
        session=SessionPlan(waves=waves),
    )
    solved = solve(plan)
    assert document(solved)["format"] == 1


@pytest.mark.parametrize("change", [-0.03, 0.0, 0.04])
def test_a_series_keeps_the_cadence_that_is_the_athletes_own_at_its_first_stage(change):
    stages = StagePlan(
        from_share=0.92, to_share=0.96, count=2, tolerance_m=0.0, cadence=StageCadence.HELD
    )
    own = (Adjustment(athlete="Woman", speed_change=change),)
    first, last = solve(replace(plan_of(WOMAN), stages=stages, adjustments=own)).layings
    alone = replace(WicketRun(speed_share=0.92 + change, wickets=12))
    natural = solve(plan_of(WOMAN, drill=alone)).layings[0]
    assert gaps(first) == pytest.approx(gaps(natural), abs=1e-9)
    assert first.layout.cadence_hz == pytest.approx(last.layout.cadence_hz, rel=1e-3)


def test_a_cadence_changed_by_a_notch_is_kept_through_the_series_as_well():
    stages = StagePlan(from_share=0.92, to_share=0.96, count=2, tolerance_m=0.0)
    quicker = (Adjustment(athlete="Woman", cadence_change=0.02),)
    plain, notched = (
        [each.layout.cadence_hz for each in solve(replace(plan, stages=stages)).layings]
        for plan in (plan_of(WOMAN), plan_of(WOMAN, adjustments=quicker))
    )
    assert notched == pytest.approx([1.02 * hz for hz in plain], rel=1e-3)


class TestStagesHold:
    """The wicket that never moves must be one that lies there."""

    def plan(self, hold, **more):
        stages = StagePlan(from_share=0.88, to_share=0.94, count=2, hold=hold)
        return replace(plan_of(WOMAN), stages=stages, **more)

    def codes(self, plan):
        return [f.code for f in solve(plan).findings if f.code.startswith("stage")]

    def test_a_wicket_that_is_not_laid_is_told_with_those_that_are(self):
        (said,) = [f for f in solve(self.plan("w99")).findings if f.code == "stage-hold-unknown"]
        assert (said.level, said.values["asked"], said.values["known"]) == (
            Level.CAUTION,
            "w99",
            "w1 to w12",
        )
        assert "W1" in str(word(said))

    def test_one_that_is_laid_is_held_without_a_word(self):
        assert self.codes(self.plan("w5")) == []

    @pytest.mark.parametrize(
        ("hold", "place", "said"),
        [
            ("w1", {"mark": "w12"}, "the stages hold W1, and the place holds W12: W1 moves"),
            ("w4", {"mark": "w12"}, "the stages hold W4, and the place holds W12: W4 moves"),
            ("w1", {"fit": Fit.END_AT}, "the stages hold W1, and the place holds W12: W1 moves"),
            ("w12", {"mark": "w12"}, ""),
            ("w12", {"fit": Fit.END_AT}, ""),
            ("w4", {"mark": "w1"}, ""),
        ],
    )
    def test_one_that_the_place_moves_is_told_with_the_mark_that_stays(self, hold, place, said):
        solved = solve(self.plan(hold, place=Place(lanes=(1,), offset_m=60.0, **place)))
        first, second = (laying.placed.chainages[hold] for laying in solved.layings)
        told = [str(word(f)) for f in solved.findings if f.code.startswith("stage")]
        assert [each.startswith(said) for each in told] == ([True] if said else [])
        assert (abs(second - first) > 0.01) == bool(said)

    def test_runs_without_wickets_and_runs_held_at_their_board_have_none_to_hold(self):
        flying = FlyingSegment(zone_m=20.0)
        assert self.codes(self.plan("w1", drill=flying)) == []
        jump = TakeoffRun(speed_share=0.9, wickets=4, approach_steps=19)
        assert self.codes(self.plan("w9", drill=jump, ground=Runway(), place=Place())) == []


@pytest.mark.parametrize(
    "make",
    [
        lambda: StagePlan(from_share=0.4, to_share=0.9, count=2),
        lambda: StagePlan(from_share=0.8, to_share=math.nan, count=2),
        lambda: StagePlan(from_share=0.8, to_share=0.9, count=1),
        lambda: StagePlan(from_share=0.8, to_share=0.9, count=21),
        lambda: StagePlan(from_share=0.8, to_share=0.9, count=3, now=4),
        lambda: StagePlan(from_share=0.8, to_share=0.9, count=3, tolerance_m=-0.01),
        lambda: SessionPlan(efforts=0),
        lambda: SessionPlan(recovery_s=-1.0),
        lambda: SessionPlan(waves=51),
        lambda: SessionPlan(length_s=59.0),
        lambda: SessionPlan(assistants=0),
        lambda: Adjustment(athlete="A", gap_change=0.21),
        lambda: Adjustment(athlete="A", speed_change=math.nan),
        lambda: Adjustment(athlete="A", cadence_change=-0.31),
        lambda: Adjustment(athlete="A", start_shift_m=20.5),
        lambda: Adjustment(athlete="A", late_s=-1.0),
    ],
)
def test_a_part_of_a_plan_that_no_plan_file_could_hold_is_refused(make):
    with pytest.raises(DomainError, match="must lie between"):
        make()


def test_a_start_mark_that_a_later_stage_leaves_no_run_on_is_refused_there_by_name():
    drill = WicketRun(speed_share=0.85, wickets=8, run_on_m=6.0)
    athlete = Athlete(name="A", height_m=1.8, top_speed_mps=9.0)
    solved = solve(
        plan_of(
            athlete,
            drill=drill,
            stages=StagePlan(from_share=0.81, to_share=0.89, count=2),
            adjustments=(Adjustment(athlete="A", start_shift_m=5.3),),
        )
    )
    refused = [
        [f.athlete for f in o.findings if f.code == "athlete-refused"] for o in solved.layings
    ]
    assert refused == [[], ["A"]]
    assert solved.layings[1].stopped
