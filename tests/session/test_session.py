"""The session: recoveries, order, marks moved, the hour, and published volumes."""

import itertools
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.run_on import run_out_m, run_out_s
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.ground.strip import Strip
from wicketlay.plan import Adjustment, Plan, SessionPlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import Athlete
from wicketlay.session.session import Entrant, EventKind, Work, plan_session, recovery_of
from wicketlay.session.timetable import entrants_of, timetable
from wicketlay.solve import solve
from wicketlay.sources import FOOT_AHEAD_M, Judgement
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"


def entrant(name="Wren", **facts):
    return Entrant(**{"run_m": 40.0, "speed_share": 0.95, "run_s": 6.0, "name": name} | facts)


def squad(count, *, lanes=1, waves=1):
    return [
        entrant(f"A{i}", lane=1 + i % lanes, wave=1 + (i // lanes) % waves) for i in range(count)
    ]


def codes(session):
    return [finding.code for finding in session.findings]


def runs_of(session, name):
    return [e for e in session.events if e.kind is EventKind.RUN and e.athlete == name]


# --- recoveries -----------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.97, 0.98, 1.0])
@pytest.mark.parametrize(
    ("run_m", "minutes"), [(20.0, 4.0), (40.0, 4.0), (60.0, 6.0), (150.0, 15.0), (200.0, 15.0)]
)
def test_v11_flat_out_takes_a_minute_for_ten_metres_within_the_published_4_to_15(
    share, run_m, minutes
):
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    recovery = recovery_of(entrant(run_m=run_m, speed_share=share))
    assert recovery.wanted_s == pytest.approx(60.0 * minutes)
    assert (recovery.low_s, recovery.high_s) == (240.0, 900.0)


@pytest.mark.parametrize(
    ("run_m", "minutes"), [(20.0, 2.0), (40.0, 2.0), (60.0, 3.0), (80.0, 4.0), (120.0, 4.0)]
)
def test_common_practice_two_to_four_minutes_below_95_percent(run_m, minutes):
    recovery = recovery_of(entrant(run_m=run_m, speed_share=0.9))
    assert recovery.wanted_s == pytest.approx(60.0 * minutes)
    assert (recovery.low_s, recovery.high_s) == (120.0, 240.0)


def test_between_95_and_97_percent_recovery_lies_half_way_at_96():
    low, half, high = (
        recovery_of(entrant(run_m=60.0, speed_share=share)) for share in (0.95, 0.96, 0.97)
    )
    assert half.wanted_s == pytest.approx((low.wanted_s + high.wanted_s) / 2)
    assert half.low_s == pytest.approx((low.low_s + high.low_s) / 2)


def test_v11_acceleration_takes_the_published_2_to_7_minutes():
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    short, long = (
        recovery_of(entrant(run_m=m, speed_share=1.0, acceleration=True)) for m in (10.0, 50.0)
    )
    assert (short.wanted_s, long.wanted_s) == (120.0, 300.0)
    assert (short.low_s, short.high_s) == (120.0, 420.0)


def test_recovery_bounds_of_easy_runs_are_the_coachs_to_change():
    judged = Judgement(recovery_low_s=180.0, recovery_high_s=300.0)
    assert recovery_of(entrant(run_m=20.0, speed_share=0.9), judged).wanted_s == 180.0


# --- the schedule ---------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(
    count=st.integers(1, 12),
    lanes=st.integers(1, 3),
    waves=st.integers(1, 3),
    efforts=st.integers(1, 6),
    marks=st.integers(0, 14),
    assistants=st.integers(1, 3),
    length_s=st.none() | st.floats(600.0, 7200.0),
    recovery_s=st.none() | st.floats(0.0, 900.0),
    late=st.floats(0.0, 1800.0),
)
def test_everybody_runs_all_efforts_recovered_alone_on_the_lane_and_over_their_own_marks(
    count, lanes, waves, efforts, marks, assistants, length_s, recovery_s, late
):
    people = squad(count, lanes=lanes, waves=waves)
    session = plan_session(
        people,
        marks={(e.lane, e.wave): marks for e in people},
        efforts=efforts,
        recovery_s=recovery_s,
        length_s=length_s,
        late_s={"A0": late},
        assistants=assistants,
    )
    loads = {load.athlete: load for load in session.loads}
    for person in people:
        own = runs_of(session, person.name)
        assert [run.effort for run in own] == list(range(1, efforts + 1))
        planned = loads[person.name].recovery_s
        for before, after in itertools.pairwise(own):
            assert after.start_s - before.end_s >= planned - 1e-9
    assert not runs_of(session, "A0") or runs_of(session, "A0")[0].start_s >= late
    for lane in {e.lane for e in people}:
        laid_for = None
        for before, after in itertools.pairwise(e for e in session.events if e.lane == lane):
            if EventKind.RUN in {before.kind, after.kind}:
                assert after.start_s >= before.end_s - 1e-9
        for event in session.events:
            if event.lane == lane:
                laid_for = laid_for if event.kind is EventKind.RUN else event.wave
                assert event.wave == laid_for or not marks  # nothing to move is no event
    hands = [e for e in session.events if e.kind is not EventKind.RUN and e.marks]
    for event in hands:
        at_once = [e for e in hands if e.start_s <= event.start_s < e.end_s]
        assert len(at_once) <= assistants
    assert session.total_s == max(e.end_s for e in session.events)


def test_two_starts_on_a_lane_are_an_interval_apart():
    session = plan_session(squad(4), efforts=1)
    starts = [e.start_s for e in session.events if e.kind is EventKind.RUN]
    assert [b - a for a, b in itertools.pairwise(starts)] == [30.0] * 3


def test_laying_takes_eighteen_seconds_a_mark_and_lanes_are_laid_one_after_the_other():
    people = squad(2, lanes=2)
    marks = {(1, 1): 10, (2, 1): 10}
    one = plan_session(people, marks=marks, efforts=1)
    assert one.laying_s == 360.0
    assert one.total_s == 360.0 + 6.0
    assert plan_session(people, marks=marks, efforts=1, assistants=2).total_s == 180.0 + 6.0


@pytest.mark.parametrize("assistants", [1, 2])
def test_nobody_runs_beside_a_lane_that_is_laid(assistants):
    people = squad(12, lanes=3, waves=2)
    marks = {(lane, wave): 8 for lane in (1, 2, 3) for wave in (1, 2)}
    session = plan_session(people, marks=marks, efforts=3, assistants=assistants)
    runs = [e for e in session.events if e.kind is EventKind.RUN]
    work = [e for e in session.events if e.kind is not EventKind.RUN]
    assert len(runs) == 36
    assert len(work) > 3
    for run, hands in itertools.product(runs, work):
        if abs(run.lane - hands.lane) <= 1:
            assert run.end_s <= hands.start_s or hands.end_s <= run.start_s


def test_nobody_lays_before_the_last_one_has_slowed_down():
    people = [entrant("A", wave=1, slow_down_s=5.0), entrant("B", wave=2, slow_down_s=5.0)]
    session = plan_session(people, marks={(1, 1): 10, (1, 2): 10}, efforts=1)
    first = next(e for e in session.events if e.kind is EventKind.RUN)
    moved = next(e for e in session.events if e.kind is EventKind.MOVE)
    assert moved.start_s == first.end_s + 5.0


def test_lanes_apart_are_laid_while_the_others_run():
    people = [entrant("A", lane=1), entrant("B", lane=3)]
    session = plan_session(people, marks={(1, 1): 10, (3, 1): 10}, efforts=1)
    assert session.laying_s == 180.0


def test_one_later_than_the_hour_is_named_and_the_others_hour_is_judged_alone():
    people = squad(4)
    session = plan_session(people, efforts=2, length_s=1800.0, late_s={"A1": 3600.0})
    (said,) = [f for f in session.findings if f.code == "late-past-the-end"]
    assert said.values["names"] == "A1"
    assert not {"session-too-long", "session-cannot-fit"} & set(codes(session))
    short = plan_session(people, efforts=9, length_s=900.0, late_s={"A1": 3600.0})
    (over,) = [f for f in short.findings if f.code == "session-too-long"]
    alone = plan_session([p for p in people if p.name != "A1"], efforts=9, length_s=900.0)
    (expected,) = [f for f in alone.findings if f.code == "session-too-long"]
    assert over.values == expected.values


def test_what_would_make_it_fit_is_told_with_the_minutes_each_saves():
    people = squad(6, lanes=2, waves=3)
    marks = {(lane, wave): 12 for lane in (1, 2) for wave in (1, 2, 3)}
    asked = {"marks": marks, "efforts": 6, "recovery_s": 400.0, "length_s": 3000.0}
    session = plan_session(people, **asked)
    told = {f.code: f.values for f in session.findings if f.code.startswith("session-shorter")}
    assert set(told) == {"session-shorter-efforts", "session-shorter-recovery"} | (
        {"session-shorter-assistants"} & set(told)
    )
    least_s = max(load.recovery.low_s for load in session.loads)
    others = {
        "session-shorter-efforts": {"efforts": told["session-shorter-efforts"]["given"]},
        "session-shorter-recovery": {"recovery_s": least_s},
        "session-shorter-assistants": {"assistants": 2},
    }
    for code, values in told.items():
        changed = plan_session(people, **asked | others[code])
        assert values["saved_duration_s"] == pytest.approx(session.total_s - changed.total_s)
        assert (values["enough"] == "it fits then") is changed.fits


def test_a_session_that_fits_is_told_no_way_to_shorten_it():
    session = plan_session(squad(2), efforts=2, length_s=3600.0)
    assert not [code for code in codes(session) if code.startswith("session-shorter")]


def test_a_lane_with_a_stop_is_not_in_the_timetable():
    plan = load(LAYOUTS / "tuesday-wickets.toml")
    good = solve(plan)
    stopped = next(each for each in good.layings)
    stop = Finding(level=Level.STOP, code="nobody-here", values={})
    layings = [
        replace(each, findings=(*each.findings, stop)) if each is stopped else each
        for each in good.layings
    ]
    session = timetable(layings)
    assert good.session is not None
    assert set(good.session.order) - set(session.order) == set(stopped.athletes)
    assert timetable([replace(each, findings=(stop,)) for each in good.layings]) is None


@pytest.mark.parametrize(
    ("name", "who"),
    [("tuesday-wickets", "Wren"), ("shared-lanes", "Wren"), ("thursday-takeoffs", "Joren")],
)
def test_a_run_takes_as_long_as_it_is_from_the_start_mark_as_it_lies(name, who):
    plan = load(LAYOUTS / f"{name}.toml")

    def run_s(start_m):
        moved = plan.with_adjustment(Adjustment(athlete=who, start_shift_m=start_m))
        for laying in solve(moved).layings:
            for demand in laying.demands:
                if demand.athlete.name == who:
                    (found,) = (e for e in entrants_of([laying]) if e.name == who)
                    run = laying.layout.run_of(demand.runner)
                    end_m = float(laying.layout.marks[-1].along_m - demand.start_along_m)
                    return found.run_s, run.time_at(end_m - FOOT_AHEAD_M)
        raise AssertionError(who)

    (as_dealt_s, dealt_s), (moved_s, back_s) = run_s(0.0), run_s(-4.0)
    assert moved_s - as_dealt_s == pytest.approx(back_s - dealt_s, abs=1e-6)
    assert moved_s > as_dealt_s + 0.3


def test_the_order_is_the_coachs_and_everybody_runs_once_before_anybody_runs_again():
    session = plan_session(squad(12), efforts=2, recovery_s=0.0)
    names = [e.athlete for e in session.events if e.kind is EventKind.RUN]
    assert names == [f"A{i}" for i in range(12)] * 2
    assert session.order == tuple(f"A{i}" for i in range(12))


def test_without_a_limit_waves_go_one_after_the_other_and_marks_move_once():
    people = squad(4, waves=2)
    session = plan_session(people, marks={(1, 1): 14, (1, 2): 14}, moves={(1, 1, 2): 9}, efforts=4)
    assert session.efforts_a_visit == 4
    assert (session.marks_laid, session.marks_moved) == (14, 9)


def test_waves_take_turns_when_only_that_fits_the_hour():
    people = squad(2, waves=2)
    options = {"marks": {(1, 1): 14, (1, 2): 14}, "moves": {(1, 1, 2): 1}, "efforts": 6}
    blocks = plan_session(people, recovery_s=240.0, **options)
    turns = plan_session(people, recovery_s=240.0, length_s=blocks.total_s - 60.0, **options)
    assert turns.fits
    assert turns.efforts_a_visit < 6
    assert turns.marks_moved > blocks.marks_moved
    assert turns.total_s < blocks.total_s


def test_moving_back_costs_what_moving_there_costs_and_an_unknown_move_is_laying_anew():
    people = squad(2, waves=2)
    short = {"efforts": 2, "length_s": 60.0, "recovery_s": 600.0}
    known = plan_session(people, marks={(1, 1): 3, (1, 2): 4}, moves={(1, 1, 2): 1}, **short)
    assert known.efforts_a_visit == 1
    assert known.marks_moved == 3  # to 2, back to 1, to 2
    assert plan_session(people, marks={(1, 1): 3, (1, 2): 4}, **short).marks_moved == 4 + 3 + 4


def test_nobody_there_is_an_empty_session():
    session = plan_session([], efforts=2, length_s=3600.0)
    assert (session.events, session.total_s, session.fits) == ((), 0.0, True)


def test_waves_keep_the_order_of_their_numbers_and_a_late_one_runs_after_the_others_of_theirs():
    people = squad(4, waves=2)
    late = people[0].name
    session = plan_session(people, efforts=2, late_s={late: 900.0})
    assert [e.wave for e in session.events if e.kind is EventKind.LAY] == [1]
    own_wave = [load.athlete for load in session.loads if load.wave == 1]
    assert own_wave[-1] == late


def test_waiting_for_the_late_is_said_with_what_it_costs():
    session = plan_session(squad(3), efforts=2, late_s={"A1": 1200.0})
    (said,) = [f for f in session.findings if f.code == "late-holds-up"]
    punctual = plan_session(squad(3), efforts=2)
    assert said.values["added_duration_s"] == pytest.approx(session.total_s - punctual.total_s)


# --- the hour -------------------------------------------------------------------------------------


def test_what_does_not_fit_says_how_many_runs_would():
    people = squad(8)
    marks = {(1, 1): 14}
    session = plan_session(people, marks=marks, efforts=12, recovery_s=300.0, length_s=3600.0)
    assert session.fits is False
    (said,) = [f for f in session.findings if f.code == "session-too-long"]
    fit = said.values["efforts_fit"]
    options = {"marks": marks, "recovery_s": 300.0, "length_s": 3600.0}
    assert plan_session(people, efforts=fit, **options).fits
    assert not plan_session(people, efforts=fit + 1, **options).fits


def test_a_session_of_which_not_one_run_fits_is_called_so():
    session = plan_session(squad(8), marks={(1, 1): 14}, efforts=2, length_s=120.0)
    assert "session-cannot-fit" in codes(session)


def test_without_a_length_nothing_is_said_of_it():
    session = plan_session(squad(2), efforts=2)
    assert session.fits is None


def test_efforts_not_said_are_a_default_and_named_one():
    session = plan_session(squad(1))
    assert session.efforts == session.defaults["efforts"] == 6


@pytest.mark.parametrize(
    ("runs", "efforts"),
    [
        ({"speed_share": 1.0, "run_m": 60.0, "run_on_m": 30.0, "zones_m": (30.0,)}, 5),
        ({"speed_share": 1.0, "run_m": 70.0, "run_on_m": 20.0, "zones_m": (30.0, 30.0)}, 2),
        ({"speed_share": 1.0, "run_m": 80.0, "run_on_m": 20.0, "zones_m": (60.0, 100.0)}, 1),
        ({"run_m": 70.0, "speed_share": 0.8}, 5),
        ({"run_m": 25.0, "speed_share": 1.0, "acceleration": True}, 6),
    ],
)
def test_efforts_not_said_keep_within_what_a_caution_would_name(runs, efforts):
    session = plan_session([entrant(**runs)])
    assert session.efforts == session.defaults["efforts"] == efforts
    over = {code for code in codes(session) if code.startswith("volume-over")}
    assert bool(over) == (sum(runs.get("zones_m", ())) > 150.0)
    more = plan_session([entrant(**runs)], efforts=9)
    for finding in more.findings:
        if finding.code in {"volume-over", "volume-over-practice"}:
            assert finding.values["efforts"] == efforts


# --- volumes --------------------------------------------------------------------------------------

FLAT_OUT = {"speed_share": 1.0, "run_m": 50.0, "run_on_m": 30.0, "zones_m": (20.0,)}


@pytest.mark.parametrize(
    ("efforts", "code"),
    [(2, "volume-under"), (3, None), (7, None), (8, "volume-over")],
)
def test_v11_maximal_velocity_is_50_to_150_metres_in_the_zone(efforts, code):
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    session = plan_session([entrant(**FLAT_OUT)], efforts=efforts)
    said = [c for c in codes(session) if c.startswith("volume")]
    assert said == ([code] if code else [])
    for finding in session.findings:
        if finding.code == "volume-over":
            assert finding.values["efforts"] == 7
        if finding.code == "volume-under":
            assert finding.values["efforts"] == 3


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"zones_m": (9.0,)}, "zone-outside"),
        ({"zones_m": (31.0,)}, "zone-outside"),
        ({"run_on_m": 19.0}, "run-on-outside"),
        ({"run_on_m": 41.0}, "run-on-outside"),
        ({}, None),
    ],
)
def test_v11_zone_10_to_30_and_run_on_20_to_40_metres_above_98_percent(facts, code):
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    session = plan_session([entrant(**(FLAT_OUT | facts))], efforts=5)
    assert ({"zone-outside", "run-on-outside"} & set(codes(session))) == ({code} - {None})
    slower = plan_session([entrant(**(FLAT_OUT | facts | {"speed_share": 0.97}))], efforts=5)
    assert not {"zone-outside", "run-on-outside"} & set(codes(slower))


def test_of_a_broken_run_only_fast_parts_after_the_first_are_maximal_velocity():
    squad_of_one = Athlete(name="Wren", height_m=1.66, top_speed_mps=8.0)

    def load(*parts_m):
        plan = Plan(
            title="Broken",
            athletes=(squad_of_one,),
            drill=BrokenRun(parts_m=parts_m),
            ground=Strip(length_m=200.0),
            session=SessionPlan(efforts=3),
        )
        session = solve(plan).session
        assert session is not None
        return session.loads[0].zone_m, codes(session)

    metres, said = load(20.0, 20.0, 20.0)
    assert metres == 60.0
    assert not {"volume-over", "zone-outside"} & set(said)
    metres, said = load(30.0, 10.0, 40.0, 10.0, 5.0)
    assert metres == 135.0
    assert "zone-outside" in said
    metres, said = load(30.0, 20.0)  # one fast part: an acceleration, then easy
    assert metres == 0.0
    assert "volume-under" not in said


def test_v11_two_to_three_days_to_the_next_hard_session():
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    session = plan_session([entrant(**FLAT_OUT)], efforts=5)
    (said,) = [f for f in session.findings if f.code == "rest-days"]
    assert (said.values["low_h"], said.values["high_h"]) == (48, 72)


@pytest.mark.parametrize(
    ("efforts", "code"), [(3, "volume-under"), (4, None), (12, None), (13, "volume-over")]
)
def test_v11_acceleration_is_100_to_300_metres_in_runs_of_10_to_50(efforts, code):
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    run = entrant(run_m=25.0, speed_share=1.0, acceleration=True)
    assert run.work is Work.ACCELERATION
    said = [c for c in codes(plan_session([run], efforts=efforts)) if c.startswith("volume")]
    assert said == ([code] if code else [])
    for run_m, outside in ((9.0, True), (10.0, False), (50.0, False), (51.0, True)):
        said = codes(plan_session([replace(run, run_m=run_m)], efforts=6))
        assert ("run-outside" in said) == outside


def test_metres_of_several_are_told_from_the_fewest_to_the_most_in_their_names():
    short, long = (
        entrant(name=name, run_m=run_m, speed_share=1.0, acceleration=True)
        for name, run_m in (("A", 10.0), ("B", 12.0))
    )
    for runs, told in (((short, long), "A, B: 40 m to 48 m"), ((long,), "B: 48 m")):
        session = plan_session(runs, efforts=4)
        (said,) = [f for f in session.findings if f.code == "volume-under"]
        assert word(said).text.startswith(f"{told} of acceleration in one session; 100 m to 300 m")


def test_v11_speed_endurance_is_60_to_80_metres_at_90_to_95_percent():
    """V11: Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2."""
    run = entrant(run_m=70.0, speed_share=0.92)
    assert run.work is Work.SPEED_ENDURANCE
    for run_m, share in ((59.0, 0.92), (81.0, 0.92), (70.0, 0.89), (70.0, 0.96)):
        assert entrant(run_m=run_m, speed_share=share).work is Work.SUBMAXIMAL
    for run_m, share in ((60.0, 0.90), (80.0, 0.95)):
        assert entrant(run_m=run_m, speed_share=share).work is Work.SPEED_ENDURANCE
    for efforts, code in ((8, "volume-under"), (9, None), (28, None), (29, "volume-over")):
        said = [c for c in codes(plan_session([run], efforts=efforts)) if c.startswith("volume")]
        assert said == ([code] if code else []), efforts
    # between runs; the 8 to 15 minutes between sets have no place in a session without sets
    recovery = recovery_of(run)
    assert (recovery.low_s, recovery.high_s) == (120.0, 240.0)


def test_common_practice_ten_runs_of_forty_metres_are_the_most():
    assert "volume-over-practice" not in codes(plan_session([entrant()], efforts=10))
    session = plan_session([entrant()], efforts=11)
    (said,) = [f for f in session.findings if f.code == "volume-over-practice"]
    assert said.values["efforts"] == 10


def test_common_practice_sprint_work_is_mostly_up_to_sixty_metres():
    far = entrant(run_m=65.0, speed_share=0.97)
    assert "run-long" in codes(plan_session([far], efforts=2))


def test_a_planned_recovery_outside_its_range_is_said():
    assert "recovery-short" in codes(plan_session([entrant()], efforts=2, recovery_s=60.0))
    assert "recovery-long" in codes(plan_session([entrant()], efforts=2, recovery_s=600.0))
    assert not codes(plan_session([entrant()], efforts=2, recovery_s=180.0))


def test_long_waits_are_said():
    session = plan_session(squad(24), efforts=2, recovery_s=180.0)
    assert session.loads[0].longest_wait_s > 480.0
    assert "long-wait" in codes(session)


def test_every_finding_has_its_words():
    people = [
        entrant("Ada", **(FLAT_OUT | {"zones_m": (40.0,), "run_on_m": 10.0})),
        entrant("Bo", run_m=8.0, speed_share=1.0, acceleration=True),
        entrant("Cy", run_m=90.0),
    ]
    session = plan_session(
        people, efforts=9, recovery_s=60.0, length_s=600.0, late_s={"Bo": 3000.0}
    )
    assert len(set(codes(session))) >= 9
    for finding in session.findings:
        assert "{" not in str(word(finding))
    (long,) = [f for f in session.findings if f.code == "recovery-short"]
    assert "1 min of recovery is short" in str(word(long))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"efforts": 0}, "efforts is 0"),
        ({"efforts": 31}, "efforts is 31"),
        ({"recovery_s": -1.0}, "recovery is -1 s"),
        ({"length_s": 10.0}, "session is 10 s"),
        ({"assistants": 0}, "assistants is 0"),
        ({"late_s": {"A0": float("nan")}}, "arrival of A0 is nan s"),
    ],
)
def test_what_cannot_be_is_refused(options, message):
    with pytest.raises(DomainError, match=message):
        plan_session(squad(1), **options)


def test_a_name_twice_is_refused():
    with pytest.raises(DomainError, match="Wren is in the session twice"):
        plan_session([entrant(), entrant()], efforts=1)


def test_slowing_down_takes_as_long_as_even_braking_over_the_room_that_is_wanted():
    speed_mps = 8.0
    braking_s = run_out_s(speed_mps) - 1.0
    assert run_out_m(speed_mps)[0] == pytest.approx(speed_mps * (1.0 + braking_s / 2.0))


@pytest.mark.parametrize(("name", "slows"), [("fixed-cadence", True), ("thursday-takeoffs", False)])
def test_a_run_into_a_pit_is_over_at_the_board_and_any_other_when_it_is_slowed_down(name, slows):
    solved = solve(load(LAYOUTS / f"{name}.toml"))
    everybody = entrants_of(solved.layings)
    assert everybody
    assert {each.slow_down_s > 4.0 for each in everybody} == {slows}
