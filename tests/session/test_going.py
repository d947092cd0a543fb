"""A session under way: who is next, who is ready, whose marks are wanted, what the hour allows."""

import datetime as dt
from dataclasses import replace

import pytest

from wicketlay.drills import WicketRun
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.plan import Plan, SessionPlan
from wicketlay.running.athlete import Athlete
from wicketlay.session.going import going
from wicketlay.session.log import Entry, What, practice_of
from wicketlay.session.schedule import EventKind
from wicketlay.solve import solve

DAY = dt.date(2026, 3, 4)
RECOVERY_S = 180.0


def solved(*, lanes=(1,), athletes=2, efforts=3, length_s=3600.0):
    squad = tuple(
        Athlete(name=f"A{i}", height_m=1.7 + i / 100, top_speed_mps=8.5 + 0.5 * i)
        for i in range(athletes)
    )
    return solve(
        Plan(
            title="t",
            athletes=squad,
            drill=WicketRun(speed_share=0.95, wickets=8),
            ground=Strip(length_m=120.0, lanes=2),
            place=Place(lanes=lanes),
            session=SessionPlan(efforts=efforts, recovery_s=RECOVERY_S, length_s=length_s),
        )
    )


def run(who, number, at_s, made):
    laying = next(each for each in made.layings if who in each.athletes)
    return Entry(day=DAY, athlete=who, run=number, at_s=at_s, lane=laying.lane, wave=laying.wave)


def stand(made, entries, now_s, laid=None):
    numbered = [replace(each, number=n) for n, each in enumerate(entries, 1)]
    practice = practice_of(numbered, DAY, made.session.order)
    ran = {e.lane: e.wave for e in entries if e.what is What.RUN}
    return going(
        made.session,
        made.layings,
        practice,
        now_s,
        ran if laid is None else laid,
        assistants=1,
        judgement=made.plan.judgement,
    )


def names(stands):
    return [each.athlete for each in stands.line]


def test_before_anything_happened_it_stands_as_it_was_planned():
    made = solved()
    stands = stand(made, [], 0.0)
    assert names(stands) == list(made.session.order)
    assert stands.ends_s == pytest.approx(made.session.total_s)
    assert stands.over_s == pytest.approx(made.session.total_s - 3600.0)
    assert stands.wanted == {1: 1}


def test_who_ran_is_ready_after_the_run_and_the_recovery():
    made = solved(athletes=1)
    (first, second) = [e for e in made.session.events if e.athlete][:2]
    ready = stand(made, [run("A0", 1, 60, made)], 100.0).line[0].ready_s
    assert ready - 60 == pytest.approx(second.start_s - first.start_s)
    assert ready > 60 + RECOVERY_S


def test_the_wave_on_the_ground_runs_until_its_visit_is_over_then_the_other_marks_are_wanted():
    made = solved(efforts=2)
    first, second = made.session.order
    after_one = stand(made, [run(first, 1, 0, made)], 10.0)
    assert (names(after_one)[0], after_one.wanted) == (first, {})
    after_two = stand(made, [run(first, 1, 0, made), run(first, 2, 200, made)], 210.0)
    assert names(after_two) == [second, first]
    assert after_two.to_come == 1
    assert after_two.wanted == {1: 2}


def test_an_absent_one_stands_last_and_makes_it_shorter():
    made = solved(lanes=(1, 2))
    away = Entry(day=DAY, what=What.ABSENT, athlete="A0")
    stands = stand(made, [away], 0.0)
    assert names(stands)[-1] == "A0"
    assert not stands.line[-1].here
    assert stands.ends_s < stand(made, [], 0.0).ends_s


def test_a_late_one_is_not_ready_before_they_come():
    made = solved(lanes=(1, 2))
    late = Entry(day=DAY, what=What.LATE, athlete="A0", due_s=900)
    stands = stand(made, [late], 60.0)
    assert names(stands)[0] == "A1"
    assert {each.athlete: each.ready_s for each in stands.line}["A0"] == 900.0


def test_a_swap_puts_the_other_first():
    made = solved(lanes=(1, 2))
    one, two = made.session.order
    swap = Entry(day=DAY, what=What.SWAP, athlete=one, other=two)
    assert names(stand(made, [swap], 0.0, {1: 1, 2: 1})) == [two, one]


def test_time_that_went_by_is_told_as_efforts_that_still_fit():
    made = solved(lanes=(1, 2), efforts=4, length_s=1500.0)
    laid = {1: 1, 2: 1}
    on_time = stand(made, [], 0.0, laid)
    assert on_time.over_s < 0.0
    assert on_time.efforts_fit is None
    late = stand(made, [], 1000.0, laid)
    assert late.over_s > 0.0
    fit = late.efforts_fit
    assert 0 < fit < 4
    # Three minutes and a run between starts: so many fit into what is left, and one more does not.
    assert (fit - 1) * RECOVERY_S < 500.0 < (fit + 1) * (RECOVERY_S + 10.0)


def test_marks_stay_for_whoever_can_run_and_make_room_where_all_of_the_wave_are_waited_for():
    made = solved(efforts=2)
    first, second = made.session.order
    late = Entry(day=DAY, what=What.LATE, athlete=second, due_s=600)
    laid = {1: 2}  # the marks of the second wave lie there, and nobody of it is here
    assert stand(made, [late], 10.0, laid).wanted == {1: 1}
    here = [late, run(first, 1, 60, made)]
    # the late one has come since: what lies there is not taken away from the first
    assert stand(made, here, 700.0, {1: 1}).wanted == {}
    other = Entry(day=DAY, what=What.LATE, athlete=first, due_s=600)
    begun = [other, run(second, 1, 60, made)]
    assert stand(made, begun, 700.0, {1: 2}).wanted == {}


def test_with_one_run_a_visit_who_is_here_runs_on_while_a_late_one_is_waited_for():
    made = solved(length_s=960.0)
    assert made.session.efforts_a_visit == 1
    first, second = made.session.order
    begun = [run(first, 1, 130, made)]
    assert stand(made, begun, 200.0).wanted == {1: 2}
    late = [*begun, Entry(day=DAY, what=What.LATE, athlete=second, due_s=840)]
    stands = stand(made, late, 200.0)
    assert (names(stands), stands.wanted) == ([first, second], {})
    # the late one's three runs are all that is left when they come
    assert 840.0 + 2.0 * RECOVERY_S < stands.ends_s < 840.0 + 2.0 * RECOVERY_S + 60.0
    assert stand(made, late, 840.0).wanted == {1: 2}  # as planned from then on


@pytest.mark.parametrize("who", ["through", "a stranger"])
def test_nobody_is_waited_for_who_runs_no_more(who):
    made = solved(athletes=3, length_s=1500.0)
    assert made.session.efforts_a_visit == 1
    first, _, last = made.session.order
    begun = [run(last, n, 10 + 200 * n, made) for n in (1, 2, 3)] + [run(first, 1, 100, made)]
    late = Entry(day=DAY, what=What.LATE, athlete=last if who == "through" else who, due_s=1400)
    stands = [stand(made, told, 110.0, {1: 1}) for told in (begun, [*begun, late])]
    assert [each.wanted for each in stands] == [{1: 2}, {1: 2}]
    assert stands[1].ends_s == stands[0].ends_s


def test_before_the_first_run_a_wave_that_waits_for_who_says_so_at_the_track_goes_last():
    made = solved(efforts=2)
    first, second = made.session.order
    late = Entry(day=DAY, what=What.LATE, athlete=first, due_s=600)
    stands = stand(made, [late], 10.0, {})
    assert (names(stands), stands.wanted) == ([second, first], {1: 2})


@pytest.mark.parametrize(("recovery_s", "length_s"), [(180.0, 3600.0), (600.0, 1800.0)])
def test_an_hour_that_goes_as_planned_takes_the_marks_in_the_order_of_the_timetable(
    recovery_s, length_s
):
    plan = solved().plan
    made = solve(
        replace(plan, session=SessionPlan(efforts=3, recovery_s=recovery_s, length_s=length_s))
    )
    entries, laid = [], {}
    for event in made.session.events:
        stands = stand(made, entries, event.start_s, laid)
        if event.kind is not EventKind.RUN:
            assert stands.wanted == {event.lane: event.wave}
            laid[event.lane] = event.wave
            continue
        assert (names(stands)[0], stands.wanted) == (event.athlete, {})
        entries.append(run(event.athlete, event.effort, event.start_s, made))
