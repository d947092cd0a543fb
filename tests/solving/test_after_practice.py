"""After practice: what a day's runs say of everybody, and what is accepted in one step."""

from __future__ import annotations

import datetime as dt
import random
import statistics
from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.after_practice import State, accept_all, day_of, on_ground, refused
from wicketlay.findings import Finding
from wicketlay.plan_file import load
from wicketlay.review.review import TimedRuns
from wicketlay.reviewing import own_laying, review_athlete
from wicketlay.running.facts import Observation, Timing
from wicketlay.session.log import Entry, Flag, What
from wicketlay.solve import solve
from wicketlay.units import UnitSystem
from wicketlay.wording import word
from wicketlay.wording.runs import notes, result_row, runs_text, sentence, sentence_now

LAYOUTS = Path(__file__).parents[2] / "layouts"
DAY = dt.date(2026, 3, 3)


@pytest.fixture(scope="module")
def solved():
    return solve(load(LAYOUTS / "tuesday-wickets.toml"))


def expected_s(solved, who: str) -> float:
    made = review_athlete(solved, who, TimedRuns(times_s=[2.5], timing=Timing.GATES, day=DAY))
    return made.expected_time_s


def runs(who: str, *times_s: float, timing=Timing.GATES, **more) -> list[Entry]:
    return [
        Entry(day=DAY, athlete=who, run=n, times_s=(each,), timing=timing, **more)
        for n, each in enumerate(times_s, start=1)
    ]


def near(solved, who: str, *shares: float, **more) -> list[Entry]:
    """Runs that take these shares of the expected time."""
    return runs(who, *(round(expected_s(solved, who) * share, 2) for share in shares), **more)


def outcomes(solved, entries, day):
    return day_of(solved, entries, day).outcomes


class TestOneDay:
    def test_says_of_each_what_a_review_of_their_times_says(self, solved):
        own = near(solved, "Wren", 0.99, 1.0, 0.98)
        (found,) = outcomes(solved, own, DAY)
        times = [each.time_s for each in own]
        made = review_athlete(
            solved, "Wren", TimedRuns(times_s=times, timing=Timing.GATES, day=DAY)
        )
        assert found.reviews == (made,)
        assert found.state is State.READY
        assert (found.best_s, found.mean_s) == (min(times), statistics.fmean(times))
        assert found.sd_s == pytest.approx(statistics.stdev(times))
        assert found.gap_change_m == made.gap_change_m

    def test_flagged_runs_are_shown_and_not_learnt_from(self, solved):
        own = near(solved, "Wren", 0.99, 1.0)
        hit = Entry(
            day=DAY,
            athlete="Wren",
            run=3,
            times_s=(4.0,),
            timing=Timing.GATES,
            flag=Flag.HIT,
        )
        missed = Entry(day=DAY, athlete="Wren", run=4, flag=Flag.NOT_TIMED)
        (found,) = outcomes(solved, [*own, missed, hit], DAY)
        assert [each.run for each in found.runs] == [1, 2, 3, 4]
        assert found.times_s == tuple(each.time_s for each in own)
        assert runs_text(found, UnitSystem.METRIC).endswith("4.00* -")
        (alone,) = outcomes(solved, [hit, missed], DAY)
        assert (alone.state, alone.reviews, alone.best_s) == (State.UNTIMED, (), None)

    def test_runs_of_other_days_and_of_nobody_here_are_left_out(self, solved):
        other = dt.date(2026, 3, 2)
        elsewhere = [Entry(day=other, athlete="Wren", run=1, flag=Flag.NOT_TIMED)]
        assert outcomes(solved, elsewhere, DAY) == ()

    def test_times_far_off_and_times_that_contradict_are_in_doubt(self, solved):
        (far,) = outcomes(solved, near(solved, "Wren", 0.86), DAY)
        assert far.state is State.DOUBT
        (against,) = outcomes(solved, near(solved, "Wren", 0.9, 0.9), DAY)
        assert against.state is State.DOUBT
        assert any("SDs apart" in each for each in notes([against], UnitSystem.METRIC))
        # runs of a day lie farther apart than gates err: that is no doubt
        (apart,) = outcomes(solved, near(solved, "Wren", 0.97, 1.03), DAY)
        assert apart.state is State.READY
        assert any("lie" in each for each in notes([apart], UnitSystem.METRIC))

    def test_a_time_that_is_nobodys_is_trouble_and_named(self, solved):
        (found,) = outcomes(solved, runs("Wren", 27.1), DAY)
        assert (found.state, found.reviews) == (State.TROUBLE, ())
        assert "27.10 s over" in sentence(found, UnitSystem.METRIC)
        (nobody,) = outcomes(solved, runs("Somebody", 2.7), DAY)
        assert nobody.state is State.TROUBLE
        assert "nobody called Somebody" in sentence(nobody, UnitSystem.METRIC)

    @pytest.mark.parametrize("times_s", [(0.8,), ()])
    def test_a_miss_of_somebody_the_plan_has_no_more_is_trouble_and_named(self, times_s):
        timing = Timing.GATES if times_s else None
        run = Entry(day=DAY, athlete="Somebody", run=1, times_s=times_s, timing=timing, miss_m=0.1)
        made = solve(load(LAYOUTS / "thursday-takeoffs.toml"))
        (found,) = outcomes(made, [run], DAY)
        assert (found.state, found.board, found.slide) == (State.TROUBLE, (), None)
        assert "nobody called Somebody" in sentence(found, UnitSystem.METRIC)

    def test_runs_timed_in_two_ways_are_two_reviews_the_second_from_where_the_first_ends(
        self, solved
    ):
        by_gates = near(solved, "Wren", 0.97, 0.97, effort_share=0.95)
        by_hand = near(solved, "Wren", 0.97, timing=Timing.HAND, effort_share=0.95)
        (found,) = outcomes(solved, [*by_gates, *by_hand], DAY)
        first, second = found.reviews
        assert (first.observation.runs, second.observation.runs) == (2, 1)
        assert second.top_speed_before == first.top_speed_proposed
        assert found.times_s == tuple(each.time_s for each in by_gates)
        made = accept_all(solved.plan, [found], DAY, sure=["Wren"])
        assert len(seen_of(made.plan, "Wren")) == len(seen_of(solved.plan, "Wren")) + 2

    def test_a_wind_that_was_read_is_held_against_the_times(self, solved):
        own = near(solved, "Wren", 1.0, 1.0)
        (still,) = outcomes(solved, own, DAY)
        winds = (1.0, 3.0)
        blown = [replace(each, wind_mps=w) for each, w in zip(own, winds, strict=True)]
        (found,) = outcomes(solved, blown, DAY)
        made = review_athlete(
            solved,
            "Wren",
            TimedRuns(
                times_s=[each.time_s for each in own], timing=Timing.GATES, day=DAY, wind_mps=2.0
            ),
        )
        assert found.reviews == (made,)
        assert found.main.expected_time_s < still.main.expected_time_s
        # one that nobody read is another matter
        (half,) = outcomes(solved, [own[0], blown[1]], DAY)
        assert [each.observation.wind_mps for each in half.reviews] == [None, 3.0]

    def test_a_run_at_another_stage_is_held_against_the_marks_of_that_stage(self):
        staged = solve(load(LAYOUTS / "season-stages.toml"))
        who = staged.plan.athletes[0].name
        expected = []
        for stage in (1, 3):
            laying, _ = own_laying(staged, who, stage)
            assert laying.stage == stage
            (found,) = outcomes(staged, runs(who, 2.5, stage=stage), DAY)
            assert found.main is not None
            expected.append(found.main.expected_time_s)
        assert expected[0] > expected[1]

    def test_touchdowns_of_one_run_tell_the_cadence_seen_and_part_no_runs(self, solved):
        first, *rest = near(solved, "Wren", 1.0, 1.0, 1.0)
        few = replace(rest[0], touchdowns=(3, 18), fps=60)
        many = replace(rest[1], touchdowns=(12, 26, 40, 54, 68), fps=60)
        (found,) = outcomes(solved, [first, few, many], DAY)
        (made,) = found.reviews
        # by hand: 14 frames a step at 60 a second
        assert made.achieved_cadence.value == pytest.approx(60 / 14)
        assert made.observation.runs == 3

    def test_steps_counted_over_marks_teach_nothing_and_that_is_said(self, solved):
        first, second = near(solved, "Wren", 1.0, 1.0)
        (plain,) = outcomes(solved, [first, second], DAY)
        (found,) = outcomes(solved, [replace(first, steps=11), second], DAY)
        assert found.main.observation == plain.main.observation
        (said,) = [each for each in found.main.findings if each.code == "steps-over-marks"]
        assert said not in plain.main.findings
        assert str(word(said)).startswith(
            "Wren: steps counted over marks teach nothing, since there the step is the gap;"
        )

    def test_is_told_in_a_row_with_what_is_seen_beside_what_is_asked(self, solved):
        (found,) = outcomes(solved, near(solved, "Wren", 1.0, 1.0), DAY)
        row = result_row(found, UnitSystem.METRIC)
        made = found.main
        assert made is not None
        assert row[0:2] == ("Wren", "W1 to W12")
        assert row[-1] == "ready"
        # by hand: the steps between the marks over the mean time
        assert row[8] == f"{11 / found.mean_s:.2f}"
        assert row[9] == f"{11 / made.expected_time_s:.2f}"


def seen_of(plan, who: str):
    return next(each.observations for each in plan.athletes if each.name == who)


class TestAccepting:
    def test_takes_all_that_is_ready_in_one_step_and_leaves_the_doubts(self, solved):
        found = outcomes(
            solved,
            [
                *near(solved, "Tarik", 0.99, 1.0),
                *near(solved, "Bram", 1.0, 0.99),
                *near(solved, "Kit", 0.8),
                *runs("Wren", 30.0),
            ],
            DAY,
        )
        made = accept_all(solved.plan, found, DAY)
        assert (made.taken, made.left) == (("Tarik", "Bram"), ("Kit",))
        for who in ("Tarik", "Bram"):
            assert len(seen_of(made.plan, who)) == len(seen_of(solved.plan, who)) + 1
        for who in ("Kit", "Wren", "Odalys"):
            assert seen_of(made.plan, who) == seen_of(solved.plan, who)
        sure = accept_all(solved.plan, found, DAY, sure=["Kit"], leave=["Bram"])
        assert (sure.taken, sure.left) == (("Tarik", "Kit"), ("Bram",))

    def test_a_day_that_was_accepted_is_in_the_record_and_not_taken_twice(self, solved):
        own = near(solved, "Tarik", 0.99, 1.0)
        plan = accept_all(solved.plan, outcomes(solved, own, DAY), DAY).plan
        after = solve(plan)
        # one run more of the same day: the others would count twice
        more = [*own, *runs("Tarik", own[0].times_s[0] + 0.01)]
        for typed in (own, more):
            (found,) = outcomes(after, typed, DAY)
            assert found.state is State.RECORDED
            # it is told as on the evening before it was accepted
            assert found.main is not None
            assert found.main.expected_time_s == pytest.approx(expected_s(solved, "Tarik"))
            assert accept_all(plan, [found], DAY).plan == plan

    def test_what_a_day_changed_is_told_as_done_once_it_is_accepted(self, solved):
        quick, same = (
            near(solved, "Wren", 0.955, 0.955, effort_share=0.95),
            near(solved, "Tarik", 1.0),
        )
        metric = UnitSystem.METRIC
        for found in outcomes(solved, [*quick, *same], DAY):
            assert sentence_now(found, metric) == sentence(found, metric)
        plan = accept_all(solved.plan, outcomes(solved, [*quick, *same], DAY), DAY).plan
        told = {
            found.athlete: sentence_now(found, metric)
            for found in outcomes(solve(plan), [*quick, *same], DAY)
        }
        assert told["Wren"].startswith("in the marks by now: gaps ")
        assert told["Tarik"].startswith("same marks next time")

    def test_a_free_run_of_the_day_that_is_in_the_record_is_another_thing(self, solved):
        free = Observation(date=DAY, distance_m=20.0, time_s=2.4, timing=Timing.GATES)
        athletes = tuple(
            replace(each, observations=(*each.observations, free)) if each.name == "Wren" else each
            for each in solved.plan.athletes
        )
        other = solve(replace(solved.plan, athletes=athletes))
        (found,) = outcomes(other, near(other, "Wren", 1.0, 1.0), DAY)
        assert found.state is State.READY


class TestNextTime:
    def test_the_marks_that_follow_are_those_of_the_record_accepted_or_not(self, solved):
        own = [*near(solved, "Wren", 0.955, 0.955, effort_share=0.95), *near(solved, "Kit", 0.8)]
        day = day_of(solved, own, DAY)
        assert day.before is solved
        plan = accept_all(solved.plan, day.outcomes, DAY).plan
        assert day.after().plan == plan
        again = day_of(solve(plan), own, DAY)
        assert again.before.plan == solved.plan
        assert again.after().plan == plan


class TestOneRow:
    def test_a_time_that_can_be_is_not_refused(self, solved):
        assert refused(solved, near(solved, "Wren", 1.0)[0]) is None

    def test_nobodys_time_nobodys_mark_and_nobody_are(self, solved):
        told = refused(solved, runs("Wren", 27.1)[0])
        assert isinstance(told, Finding)
        assert told.code == "review-nobodys-time"
        assert "no mark w99" in str(
            refused(solved, runs("Wren", 2.7, from_mark="w1", to_mark="W99")[0])
        )
        assert "nobody called" in str(refused(solved, runs("Ann", 2.7)[0]))


def test_the_wind_that_was_logged_goes_with_the_review(solved):
    entries = near(solved, "Wren", 1.0, wind_mps=1.0) + near(solved, "Wren", 1.0, wind_mps=2.0)
    (outcome,) = outcomes(solved, entries, DAY)
    assert {each.observation.wind_mps for each in outcome.reviews} == {1.5}


def wider(plan):
    for _ in range(3):
        plan = edits.notch_gaps(plan, "Wren", 1).plan
    return plan


def reviewed(plan):
    """As it is when a fast day of theirs was accepted since."""
    own = near(solve(plan), "Wren", 0.96, 0.96)
    found = outcomes(solve(plan), own, DAY)
    return accept_all(plan, found, DAY).plan


def edited(plan):
    drill = replace(plan.drill, speed_share=0.9, section_m=None, wickets=8)
    return replace(plan, drill=drill, kit=replace(plan.kit, wickets=10))


def faster(plan):
    plan = edits.notch_speed(plan, "Wren", 2).plan
    return edits.shift_start(plan, "Wren", 1.5).plan


class TestWhatWasRunOver:
    LATER = dt.date(2026, 3, 5)

    def logged(self, solved, *times_s, **more):
        """Runs as a log has them, on a day of which nothing is in the record."""
        return [
            on_ground(solved, replace(each, day=self.LATER, number=n))
            for n, each in enumerate(runs("Wren", *times_s, **more), start=1)
        ]

    def test_is_from_mark_to_mark_as_the_tape_has_it_with_what_was_asked(self, solved):
        (run,) = self.logged(solved, 2.7)
        laying, demand = own_laying(solved, "Wren")
        layout = laying.layout
        first, last, start = (layout.mark(each) for each in ("w1", "w12", demand.start_id))
        assert (run.from_mark, run.to_mark, run.stage) == ("w1", "w12", 1)
        assert run.zone_m == pytest.approx(last.along_m - first.along_m, abs=0.005)
        assert run.run_on_m == pytest.approx(first.along_m - start.along_m, abs=0.005)
        assert run.asked_share == 0.95

    @pytest.mark.parametrize("change", [wider, reviewed, edited, faster])
    def test_is_what_a_time_is_read_on_however_the_marks_lie_since(self, solved, change):
        own = self.logged(solved, 3.01, 2.99)
        (then,) = outcomes(solved, own, self.LATER)
        (now,) = outcomes(solve(change(solved.plan)), own, self.LATER)
        assert now.main.observation == then.main.observation
        assert now.main.achieved_speed == then.main.achieved_speed
        # by hand: the tape's metres over the mean of the two
        assert then.main.achieved_speed.value == pytest.approx(own[0].zone_m / 3.0)
        assert now.main.achieved_cadence == then.main.achieved_cadence
        assert (now.main.from_mark, now.main.to_mark) == ("w1", "w12")

    def test_gone_stages_leave_a_time_what_it_was(self):
        staged = solve(load(LAYOUTS / "season-stages.toml"))
        who = staged.layings[0].athletes[0]
        own = [
            on_ground(
                staged,
                Entry(
                    day=DAY,
                    number=1,
                    athlete=who,
                    run=1,
                    stage=2,
                    times_s=(2.5,),
                    timing=Timing.GATES,
                ),
            )
        ]
        (then,) = outcomes(staged, own, DAY)
        (now,) = outcomes(solve(replace(staged.plan, stages=None)), own, DAY)
        assert now.main.observation == then.main.observation

    def test_on_two_grounds_a_day_is_read_on_each_and_taken_from_both(self, solved):
        opened = solve(wider(solved.plan))
        one, two = self.logged(solved, 2.70, 2.70)
        other = on_ground(opened, replace(runs("Wren", 2.70)[0], day=self.LATER, run=3, number=3))
        # a wicket fewer in 20 m
        assert (one.to_mark, other.to_mark) == ("w12", "w11")
        (found,) = outcomes(opened, [one, two, other], self.LATER)
        assert [each.observation.distance_m for each in found.reviews] == [one.zone_m, other.zone_m]
        speeds = [each.achieved_speed.value for each in found.reviews]
        assert speeds == pytest.approx([one.zone_m / 2.70, other.zone_m / 2.70])
        # the same time twice on one day, over other marks: two runs, and both teach
        (apart,) = outcomes(opened, [one, other], self.LATER)
        made = accept_all(opened.plan, [apart], self.LATER)
        assert made.taken == ("Wren",)
        assert len(seen_of(made.plan, "Wren")) == len(seen_of(opened.plan, "Wren")) + 2
        (again,) = outcomes(solve(made.plan), [one, other], self.LATER)
        assert again.state is State.RECORDED

    def test_unknown_a_time_of_a_log_is_read_as_marks_lie_and_in_doubt(self, solved):
        own = [replace(runs("Wren", 2.78)[0], number=1)]
        (found,) = outcomes(solved, own, DAY)
        assert found.state is State.DOUBT
        (told,) = (each for each in found.main.findings if each.code == "review-ground-unknown")
        assert told.values["zone_m"] == found.main.observation.distance_m
        (known,) = outcomes(solved, [on_ground(solved, own[0])], DAY)
        assert known.state is State.READY
        assert accept_all(solved.plan, [found], DAY).left == ("Wren",)
        assert accept_all(solved.plan, [found], DAY, sure=["Wren"]).taken == ("Wren",)

    def test_of_a_day_with_runs_in_the_log_is_theirs(self, solved):
        (there,) = self.logged(solved, 2.70)
        fewer = solve(edited(solved.plan))
        late = replace(runs("Wren", 2.75)[0], day=self.LATER, run=2)
        assert on_ground(fewer, late, [there]).over == there.over
        named = replace(late, from_mark="w1", to_mark="W12")
        assert on_ground(fewer, named, [there]).over == there.over
        for other in (
            replace(late, day=DAY),
            replace(late, athlete="Kit"),
            replace(late, from_mark="w1", to_mark="w6"),
        ):
            assert on_ground(fewer, other, [there]).over != there.over

    def test_is_not_asked_where_nothing_can_be_timed(self, solved):
        (nobody,) = runs("Somebody", 2.7)
        assert on_ground(solved, nobody) is nobody
        (far,) = runs("Wren", 2.7, from_mark="w1", to_mark="w99")
        assert on_ground(solved, far) is far
        away = Entry(day=DAY, what=What.ABSENT, athlete="Wren")
        assert on_ground(solved, away) is away


MARKS = [("w1", "w12"), ("w9", "w2"), ("start", "w4"), ("gate1", "gate2"), ("w2", "line")]
MARKS += [("cone1", "cone3"), ("start-a", "step5"), ("w1", "w999"), ("board", "x")]


@pytest.mark.parametrize("name", ["tuesday-wickets", "thursday-takeoffs", "broken-run"])
def test_over_any_ground_that_a_log_can_tell_a_day_is_told(name):
    solved, seeded = solve(load(LAYOUTS / f"{name}.toml")), random.Random(7)  # noqa: S311
    who, states = solved.plan.athletes[0].name, set()
    for run in range(1, 60):
        start, end = seeded.choice(MARKS)
        entry = Entry(
            day=DAY,
            number=run,
            athlete=who,
            run=run,
            times_s=(seeded.uniform(0.3, 6.0),),
            timing=Timing.GATES,
            from_mark=start,
            to_mark=end,
            zone_m=seeded.uniform(3.0, 60.0),
            run_on_m=seeded.choice([0.0, seeded.uniform(0.0, 200.0)]),
            asked_share=seeded.uniform(0.5, 1.0),
            moving_mps=seeded.choice([0.0, seeded.uniform(0.0, 5.0)]),
        )
        (found,) = outcomes(solved, [entry], DAY)
        assert sentence(found, UnitSystem.METRIC)
        states.add(found.state)
    assert {State.TROUBLE, State.DOUBT} <= states
