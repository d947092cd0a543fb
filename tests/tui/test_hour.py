"""The hour at the track: what keys write down, what follows from it, and what is asked."""

import datetime as dt
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from tui_bench import SIX, SIZES, TODAY, Watch, keys, words_on, workbench

from tui.bench.bench import start_bench
from tui.bench.evening import left
from tui.bench.fields import fields_of
from tui.bench.hour import WAITED_FOR_S, Clock, start_hour
from tui.bench.lying import Move, left_here
from tui.bench.shelf import open_file
from tui.bench.times import read_time
from tui.said.hour import balance_text, facts_of, move_lines, typed_text
from tui.said.shown import move_text
from wicketlay import edits
from wicketlay.errors import DomainError
from wicketlay.lanes.laying import Moved
from wicketlay.log_file.log import open_log
from wicketlay.log_file.typed import Common
from wicketlay.plan_file import load
from wicketlay.running.facts import Timing
from wicketlay.session.log import Flag, What, practice_of, standing
from wicketlay.session.schedule import EventKind
from wicketlay.solve import solve
from wicketlay.units import UnitSystem, format_ticks
from wicketlay.wording.names import mark_name

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture
def six_path(own_folders):
    path = Path("six.toml")
    path.write_text(SIX, encoding="utf-8")
    return path


@pytest.fixture
def watch():
    return Watch()


@pytest.fixture
def hour(six_path, watch):
    return begun_at(six_path, watch)


def begun_at(path, watch):
    bench = start_bench(open_file(path))
    hour = start_hour(bench, TODAY, Clock(wall=watch.wall, ticks=watch.ticks))
    bench.opened.lock.release()
    return hour


@pytest.fixture
def bench(six_path):
    bench = start_bench(open_file(six_path))
    yield bench
    bench.opened.lock.release()


@pytest.fixture
def laid(hour, bench):
    """The hour, its first run begun on what the bench has solved."""
    hour.laid = bench.solved
    hour.off()
    return hour


def runs(path, who):
    return practice_of(open_log(path).entries, TODAY).runs.get(who, ())


def type_time(hour, text):
    hour.typed = text
    return hour.take_time(Timing.HAND)


# --- reading digits -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "expected_s", "time_s"),
    [
        ("2.71", 2.7, 2.71),
        ("2,71", 2.7, 2.71),
        ("271", 2.7, 2.71),
        ("27", 2.7, 2.7),
        ("3", 2.7, 3.0),
        ("2710", 2.7, 2.71),
        ("998", 10.1, 9.98),
        ("1012", 10.1, 10.12),
        ("95", 1.0, 0.95),
        ("0.95", 1.0, 0.95),
        ("1.", 1.0, 1.0),
    ],
)
def test_digits_stand_for_the_time_nearest_to_the_expected_one(typed, expected_s, time_s):
    assert read_time(typed, expected_s) == (pytest.approx(time_s), "")


@pytest.mark.parametrize(
    ("typed", "time_s", "said"),
    [("350", 3.5, "30 % over"), ("2.0", 2.0, "26 % under"), ("27.1", 27.1, "904 % over")],
)
def test_a_time_more_than_a_quarter_off_is_asked_about(typed, time_s, said):
    read, doubt = read_time(typed, 2.7)
    assert read == time_s
    assert doubt.startswith(said)


@pytest.mark.parametrize(
    ("typed", "expected_s", "time_s"),
    [("999", 2.12, 9.99), ("1234", 2.12, 12.34)],
)
def test_digits_that_fit_no_expected_time_are_asked_about_as_a_stopwatch_shows_them(
    typed, expected_s, time_s
):
    read, doubt = read_time(typed, expected_s)
    assert read == time_s
    assert "over" in doubt


@pytest.mark.parametrize("typed", ["", ".", "2.7.1", "0.1", "99", "-2", "2:7", "2 7"])
def test_what_is_no_time_of_a_run_is_refused(typed):
    with pytest.raises(DomainError):
        read_time(typed if typed != "99" else "99.0", 2.7)


def test_without_an_expected_time_only_digits_with_a_point_are_taken_at_once():
    assert read_time("2.71", None) == (2.71, "")
    assert read_time("271", None)[1] == "no time is expected here"


# --- what is written down -------------------------------------------------------------------------


def test_off_begins_the_hour_and_is_on_the_disk_at_once(hour, six_path, watch):
    assert hour.off() == "Tarik is off, run 1"
    begun, run = open_log(six_path).entries
    assert (begun.what, begun.clock, begun.at_s) == (What.BEGUN, dt.time(17, 0), 0)
    assert (run.athlete, run.run, run.lane, run.wave, run.at_s) == ("Tarik", 1, 1, 1, 0)
    watch.gone_s = 65.4
    hour.off()
    assert open_log(six_path).entries[-1].at_s == 65


def test_times_are_asked_for_in_the_order_they_started(hour, six_path, watch):
    hour.off()
    watch.gone_s = 20.0
    hour.off()
    assert type_time(hour, "215") == "Tarik, run 1: 2.15 s"
    assert type_time(hour, "250") == "Odalys, run 1: 2.50 s"
    assert [run.time_s for run in runs(six_path, "Tarik")] == [2.15]
    assert [run.time_s for run in runs(six_path, "Odalys")] == [2.5]


def test_two_off_in_the_same_second_are_asked_for_in_the_order_of_the_keys(hour):
    hour.off()
    hour.off()
    assert [type_time(hour, each)[:5] for each in ("215", "250")] == ["Tarik", "Odaly"]


def test_who_is_not_timed_stands_in_nobodys_way(hour, watch):
    hour.off()
    watch.gone_s = 20.0
    hour.off()
    assert hour.flag(Flag.NOT_TIMED) == "Tarik, run 1: not timed"
    assert hour.timed.athlete == "Odalys"


def test_a_time_that_did_not_come_in_a_minute_is_asked_for_last(hour, watch):
    hour.off()
    watch.gone_s = WAITED_FOR_S + 1.0
    hour.off()
    assert type_time(hour, "250") == "Odalys, run 1: 2.50 s"
    assert type_time(hour, "215") == "Tarik, run 1: 2.15 s"


def test_digits_stay_those_of_the_run_they_were_begun_for(hour, six_path, watch):
    hour.off()
    hour.type_on("2")
    for _ in range(2):
        watch.gone_s += 20.0
        hour.off()
    hour.type_on("1")
    hour.type_on("5")
    assert typed_text(hour) == "time of Tarik, run 1, W1 to W10: 215_"
    assert hour.take_time(Timing.HAND) == "Tarik, run 1: 2.15 s"
    hour.type_on("2")
    assert (hour.timed.athlete, hour.timed.run) == ("Odalys", 1)


def test_steps_counted_over_wickets_are_told_to_teach_nothing_where_they_are_typed(hour):
    hour.off()
    type_time(hour, "215")
    run = hour.last_timed("Tarik")
    assert hour.count(run, 9.0, (), None) == "Tarik, run 1: 9 steps; over marks they teach nothing"
    assert hour.count(run, None, (), None) == "Tarik, run 1: nothing counted"
    assert "teach" not in hour.count(run, None, (3.0, 18.0), 60.0)


def test_a_time_far_off_or_in_place_of_another_is_taken_when_it_is_said_twice(hour, six_path):
    hour.off()
    with pytest.raises(
        DomainError, match=r"over the 2\.12 s expected: Enter again makes it 3\.15 s"
    ):
        type_time(hour, "315")
    assert runs(six_path, "Tarik")[0].time_s is None
    type_time(hour, "315")
    with pytest.raises(DomainError, match=r"Tarik, run 1 is 3.15 s already"):
        type_time(hour, "215")
    type_time(hour, "215")
    assert runs(six_path, "Tarik")[0].time_s == 2.15


def test_a_flag_is_taken_back_by_the_same_key_and_not_timed_drops_the_time(hour, six_path):
    hour.off()
    type_time(hour, "215")
    hour.flag(Flag.HIT)
    assert not runs(six_path, "Tarik")[0].teaches
    hour.flag(Flag.HIT)
    assert runs(six_path, "Tarik")[0].teaches
    hour.flag(Flag.NOT_TIMED)
    (run,) = runs(six_path, "Tarik")
    assert (run.flag, run.time_s) == (Flag.NOT_TIMED, None)


def test_everything_works_with_nobody_timing(hour, six_path, watch):
    for _ in range(12):
        hour.off()
        watch.gone_s += 100.0
    assert hour.stand().line[0].wave == 2
    assert {len(runs(six_path, who)) for who in ("Tarik", "Odalys")} == {6}


def test_nobody_is_on_top_twice_running_while_another_is_ready(hour, watch):
    hour.off()
    watch.gone_s = 20.0
    assert hour.top(hour.stand()).athlete == "Odalys"


def test_absent_is_one_key_and_the_same_key_brings_back(hour):
    hour.absent()
    stands = hour.stand()
    assert (stands.line[-1].athlete, stands.line[-1].here) == ("Tarik", False)
    hour.chosen = "Tarik"
    with pytest.raises(DomainError, match="is absent"):
        hour.off()
    hour.absent()
    assert hour.stand().line[0].athlete == "Tarik"


def test_two_who_are_absent_are_two_keys_and_each_is_told_how_to_take_it_back(hour):
    assert hour.absent() == "Tarik: absent; u takes that back"
    assert hour.absent() == "Odalys: absent; u takes that back"
    assert hour.top(hour.stand()).here
    hour.undo()
    assert [each.athlete for each in hour.stand().line if not each.here] == ["Tarik"]
    hour.chosen = "Tarik"
    with pytest.raises(DomainError, match="Tarik is absent; x brings them back"):
        hour.off()


def test_who_is_absent_holds_up_nobody_elses_marks(hour):
    for _ in range(2):
        hour.off()
    for who in ("Tarik", "Odalys"):
        hour.chosen = who
        hour.absent()
    hour.chosen = "Odalys"
    found = {(move.laying.lane, move.laying.wave) for move in hour.moves(hour.stand())}
    assert found == {(1, 2), (2, 2)}


def test_late_comes_five_minutes_later_at_each_press(hour, watch):
    watch.gone_s = 0.0
    hour.begin()
    assert hour.late() == "Tarik: comes in 5 min"
    assert hour.late() == "Tarik: comes in 10 min"
    hour.chosen = None
    assert hour.top(hour.stand()).athlete == "Odalys"


def test_who_the_plan_says_comes_late_is_not_ready_before(six_path, watch):
    late = '\n[[adjust]]\nathlete = "Tarik"\nlate = "10 min"\n'
    six_path.write_text(SIX + late, encoding="utf-8")
    hour = begun_at(six_path, watch)
    ready = {each.athlete: each.ready_s for each in hour.stand().line}
    assert (ready["Tarik"], ready["Odalys"]) == (600.0, 0.0)
    hour.chosen = "Tarik"
    assert hour.late() == "Tarik: comes in 15 min"
    assert hour.undo() == "undone: Tarik late"
    hour.chosen = "Tarik"
    assert hour.off() == "Tarik is off, run 1"
    ready = {each.athlete: each.ready_s for each in hour.stand().line}
    assert 0.0 < ready["Tarik"] < 600.0  # they came before, and recover from their run


def test_swap_lets_the_next_one_run_first(hour):
    hour.off()
    hour.undo()
    hour.swap()
    assert [each.athlete for each in hour.stand().line[:2]] == ["Odalys", "Tarik"]


# --- taking back ----------------------------------------------------------------------------------


def test_undo_takes_back_one_thing_at_a_time_also_after_a_restart(hour, six_path, watch):
    hour.off()
    type_time(hour, "215")
    hour.flag(Flag.HIT)
    watch.gone_s = 30.0
    again = begun_at(six_path, watch)
    assert again.now_s() == 30.0
    again.undo()
    assert (runs(six_path, "Tarik")[0].time_s, runs(six_path, "Tarik")[0].flag) == (2.15, None)
    again.undo()
    assert runs(six_path, "Tarik")[0].waits
    again.undo()
    assert runs(six_path, "Tarik") == ()
    with pytest.raises(DomainError, match="nothing to undo"):
        again.undo()
    again.off()
    assert runs(six_path, "Tarik")[0].run == 1


def test_a_clock_set_back_never_goes_behind_what_is_written(hour, six_path, watch):
    hour.off()
    watch.gone_s = 500.0
    hour.off()
    watch.gone_s = 60.0
    assert begun_at(six_path, watch).now_s() == 500.0


# --- the ground -----------------------------------------------------------------------------------


def first_wave_through(hour, watch):
    for _ in range(12):
        hour.off()
        watch.gone_s += 200.0


def test_the_next_wave_wants_its_marks_and_ticking_them_off_lays_them(hour, watch, six_path):
    first_wave_through(hour, watch)
    moves = hour.moves(hour.stand())
    of_lane_1 = [each.moved.mark_id for each in moves if each.laying.lane == 1]
    wave_2 = next(e for e in hour.layings if (e.lane, e.wave) == (1, 2))
    assert of_lane_1 == [each.mark_id for each in wave_2.moved]
    first, second = len(of_lane_1) - 1, len(moves) - len(of_lane_1)
    assert hour.tick(every=False) == f"{mark_name(of_lane_1[0])} done, {first + second} left"
    watch.gone_s += 5.0
    assert [each.ticked for each in hour.moves(hour.stand())].count(True) == 1
    assert begun_at(six_path, watch).moves(hour.stand())[0].ticked
    assert hour.tick(every=True) == f"{first} moved, {second} left"
    assert dict(hour.lies()) == {1: 2, 2: 1}
    watch.gone_s += 5.0
    assert hour.tick(every=True) == "all marks moved"
    assert hour.moves(hour.stand()) == ()
    assert dict(hour.lies()) == {1: 2, 2: 2}
    assert hour.undo() == f"undone: {second} rows ticked off, lane 2"
    assert hour.undo() == f"undone: {first} rows ticked off, lane 1"
    assert [each.ticked for each in hour.moves(hour.stand())].count(True) == 1
    assert hour.undo() == f"undone: {mark_name(of_lane_1[0])} ticked off, lane 1"
    assert [each.ticked for each in hour.moves(hour.stand())] == [False] * len(moves)


def test_a_hurdle_that_becomes_chalk_is_new_and_its_hurdle_is_off(hour):
    laying = next(each for each in hour.layings if each.wave == 2)
    last = laying.layout.marks[-1].id
    _, read = laying.tape.reading(last)
    shown = format_ticks(read.ticks, read.tick)
    for remade in (False, True):
        moved = Moved(mark_id=last, by_m=None, remade=remade)
        ((_, place, name, to),) = move_lines(hour, [Move(laying=laying, moved=moved, ticked=False)])
        assert (name, to) == (mark_name(last), f"to {shown}  new")
        assert place.endswith(", old mark off") is remade
    assert move_text(moved, UnitSystem.METRIC) == f"{mark_name(last)} taken up, laid anew"


def test_nobody_is_off_over_marks_that_nobody_ticked_off(hour, watch, six_path):
    first_wave_through(hour, watch)
    who = hour.top(hour.stand())
    of_lane = [m for m in hour.moves(hour.stand()) if m.laying.lane == who.lane]
    hour.tick(every=False)
    left = len(of_lane) - (who.lane == 1)
    told = rf"lane {who.lane}: {left} marks are to be moved before {who.athlete} runs"
    with pytest.raises(DomainError, match=told):
        hour.off()
    assert runs(six_path, who.athlete) == ()
    assert dict(hour.lies()) == {1: 1, 2: 1}
    hour.tick(every=True)
    assert hour.off() == f"{who.athlete} is off, run 1"


def test_a_cone_taken_up_and_laid_again_is_one_mark_to_move_as_on_paper(own_folders, watch):
    for name in ("shared-lanes", "harbour-squad", "harbour-track"):
        shutil.copy(LAYOUTS / f"{name}.toml", ".")
    path = Path("shared-lanes.toml")
    hour = begun_at(path, watch)
    while not hour.moves(hour.stand()):
        hour.off()
        watch.gone_s += 60.0
    moves = hour.moves(hour.stand())
    laying = moves[0].laying
    rows = [each for each in moves if each.laying.lane == laying.lane]
    paper = [each.marks for each in hour.laid.session.events if each.kind is EventKind.MOVE]
    assert rows[0].moved.taken_up
    assert left_here(moves) == laying.handled < len(rows)
    assert laying.handled in paper
    hour.tick(every=False)
    assert left_here(hour.moves(hour.stand())) == laying.handled  # it is in the hand, not laid
    hour.chosen = laying.demands[0].athlete.name
    with pytest.raises(DomainError, match=f": {laying.handled} marks are to be moved before"):
        hour.off()
    assert hour.tick(every=True).startswith(("all marks", f"{laying.handled} moved"))


def test_who_is_put_on_top_wants_the_marks_of_their_wave_first(hour):
    hour.off()
    assert hour.moves(hour.stand()) == ()
    other = next(each for each in hour.stand().line if each.wave == 2)
    hour.chosen = other.athlete
    wanted = hour.moves(hour.stand())
    assert {(each.laying.lane, each.laying.wave) for each in wanted} == {(other.lane, 2)}
    hour.tick(every=True)
    assert hour.moves(hour.stand()) == ()
    assert hour.lies()[other.lane] == 2
    assert hour.top(hour.stand()).athlete == other.athlete


def test_a_time_of_somebody_before_is_put_right_by_putting_them_on_top(hour):
    hour.off()
    type_time(hour, "211")
    hour.off()
    type_time(hour, "252")
    hour.chosen = "Tarik"
    assert typed_text(hour) == "last: Tarik, run 1, W1 to W10: 2.11"
    with pytest.raises(DomainError, match=r"Tarik, run 1 is 2\.11 s already"):
        type_time(hour, "213")
    assert hour.take_time(Timing.HAND) == "Tarik, run 1: 2.13 s"
    assert typed_text(hour) == "last: Odalys, run 1, W1 to W10: 2.52"


def test_how_an_hour_is_begun_fits_a_small_screen_at_a_station_too(six_path, watch):
    six_path.write_text(SIX.replace('"60 min"', '"75 min"'), encoding="utf-8")
    hour = begun_at(six_path, watch)
    said = balance_text(hour.stand(), hour, 0.0)
    assert said.startswith("not begun of 1 h 15 min: Enter ")
    assert len(f"this station: {said}") <= 78


def test_marks_of_two_lanes_ticked_off_within_a_second_are_taken_back_lane_by_lane(hour, watch):
    first_wave_through(hour, watch)
    lanes = [each.laying.lane for each in hour.moves(hour.stand())]
    hour.tick(every=True)
    hour.tick(every=True)
    assert dict(hour.lies()) == {1: 2, 2: 2}
    assert hour.undo() == f"undone: {lanes.count(2)} rows ticked off, lane 2"
    assert dict(hour.lies()) == {1: 2, 2: 1}


def test_a_time_that_never_came_is_in_nobody_s_way_when_another_is_put_right(hour, watch):
    hour.off()
    type_time(hour, "211")
    hour.off()  # Odalys, and nobody takes the time
    watch.gone_s += 300.0
    hour.off()
    type_time(hour, "213")
    assert hour.timed.athlete == "Odalys"
    hour.chosen = "Tarik"
    assert hour.timed.athlete == "Tarik"


def test_who_is_put_on_top_to_run_again_stays_there_when_their_time_comes_in(hour):
    hour.off()
    hour.chosen = "Tarik"
    type_time(hour, "211")
    assert hour.top(hour.stand()).athlete == "Tarik"


async def test_what_is_proposed_is_told_lane_by_lane(six_path, watch):
    from tui.said.hour import proposed_text

    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "escape")
        for who in ("=tarik", "=odalys"):
            await keys(pilot, "slash", who, "enter", "g")
        found = app.hour().proposed(app.bench)
        lanes = [laying.lane for laying, _ in found]
        parts = proposed_text(app.hour(), app.bench).split("a lays it: ")[1].split("; ")
    assert [part[:8] for part in parts] == ["lane 1: ", "lane 2: "]
    assert [part.count(",") + 1 for part in parts] == [lanes.count(1), lanes.count(2)]


def test_undo_tells_which_word_of_a_run_was_taken_back(hour):
    hour.off()
    type_time(hour, "211")
    hour.flag(Flag.HIT)
    said = ["hit a wicket", "2.11 s"]
    assert [hour.undo() for _ in said] == [f"undone: Tarik, run 1: {each}" for each in said]
    assert hour.undo() == "undone: Tarik, run 1"


async def test_what_was_only_proposed_is_proposed_after_a_restart(six_path, watch):
    from tui.said.hour import proposed_text

    async def reopened(*presses):
        """Open, take up what was unsaved; what is proposed then and after each press."""
        async with workbench(six_path, watch=watch) as (app, pilot):
            asked = "unsaved work was found" in words_on(app)
            await keys(pilot, *(("t",) if asked else ()), "7")
            proposed = [proposed_text(app.hour(), app.bench)]
            for pressed in presses:
                await keys(pilot, *pressed)
                proposed.append(proposed_text(app.hour(), app.bench))
            return proposed

    _, said = await reopened(("space", "g"))
    assert said.startswith("proposed: ")
    # the file has it then, the ground has not
    assert await reopened(("ctrl+s",)) == [said, said]
    assert await reopened("a") == [said, ""]
    nothing, stiffer, laid_by_mistake = await reopened("G", ("a", "u"))
    assert (nothing, stiffer != "", laid_by_mistake) == ("", True, stiffer)
    assert await reopened() == [stiffer]


async def test_what_is_changed_before_the_practice_is_looked_at_is_proposed(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space")
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "g", "7")
        assert len(app.hour().proposed(app.bench)) == 9


async def test_what_an_earlier_session_laid_is_not_taken_back_for_something_unknown(
    six_path, watch
):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "g", "a", "ctrl+s")
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "u")
        assert "is not known any more" in app.bench.told.text
        assert standing(app.hour().log.entries)[-1].note == "laid as proposed: 9 marks moved"


async def test_what_lies_is_forgotten_on_another_day(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "g")
    async with workbench(six_path, watch=watch) as (app, pilot):
        app.today += dt.timedelta(days=1)
        await keys(pilot, "t", "7")
        assert app.hour().laid.plan == app.bench.plan


def test_what_was_laid_after_it_was_noted_is_on_the_ground(laid, bench, watch):
    """Killed between the log's line and the note of what lies."""
    bench.do(lambda plan: edits.notch_gaps(plan, "Tarik", 1))
    bench.ground = laid.ground(bench)
    again = start_hour(bench, TODAY, Clock(wall=watch.wall, ticks=watch.ticks))
    assert len(again.proposed(bench)) == 9
    laid.apply(bench)
    again = start_hour(bench, TODAY, Clock(wall=watch.wall, ticks=watch.ticks))
    assert again.proposed(bench) == ()


def test_a_notch_moves_nothing_on_the_ground_until_it_is_applied(laid, bench):
    bench.do(lambda plan: edits.notch_gaps(plan, "Tarik", 1))
    expected = laid.expected_s("Tarik")
    assert next(moved.mark_id for _, moved in laid.proposed(bench)) == "w10"
    laid.apply(bench)
    assert laid.expected_s("Tarik") > expected
    assert laid.proposed(bench) == ()
    assert standing(laid.log.entries)[-1].note == "laid as proposed: 9 marks moved"
    assert laid.undo() == "undone: laid as proposed: 9 marks moved"
    assert laid.expected_s("Tarik") == expected
    assert len(laid.proposed(bench)) == 9


def test_a_time_is_of_the_marks_that_lay_there_when_the_run_began(laid, bench, six_path):
    began = runs(six_path, "Tarik")[0]
    expected = laid.expected_s("Tarik")
    bench.do(lambda plan: edits.notch_gaps(plan, "Tarik", 3))
    laid.apply(bench)
    assert laid.expected_s("Tarik") > expected
    assert laid.expected_s("Tarik", began) == pytest.approx(expected, abs=0.002)
    type_time(laid, "210")
    laid.flag(Flag.HIT)
    laid.flag(Flag.HIT)
    (run,) = runs(six_path, "Tarik")
    assert (run.over, run.times_s) == (began.over, (2.1,))
    (found,) = laid.after(bench).outcomes
    assert found.main.achieved_speed.value == pytest.approx(began.zone_m / 2.1)
    laid.flag(Flag.NOT_TIMED)
    laid.undo()
    laid.undo()  # the flag that came back is taken back, too
    assert runs(six_path, "Tarik")[0].over == began.over


def test_a_day_from_paper_is_of_the_marks_its_runs_in_the_log_were_on(laid, bench, six_path):
    type_time(laid, "210")
    bench.do(lambda plan: edits.notch_gaps(plan, "Tarik", 3))
    laid.apply(bench)
    like = Common(day=TODAY, timing=Timing.HAND)
    laid.from_paper({"Tarik": "2.12 2.13", "Odalys": "2.40"}, like)
    (one, *late) = runs(six_path, "Tarik")
    assert {each.over for each in late} == {one.over}
    (other,) = runs(six_path, "Odalys")
    assert other.over is not None
    laid.from_paper({"Tarik": "2.12"}, replace(like, day=TODAY - dt.timedelta(days=7)))
    (before,) = practice_of(laid.log.entries, TODAY - dt.timedelta(days=7)).runs["Tarik"]
    assert before.zone_m > one.zone_m  # nobody noted what lay then; it is as it lies now


# --- the screen -----------------------------------------------------------------------------------


async def test_the_practice_screen_before_and_during_and_between_waves(six_path, watch, golden):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7")
        assert "not begun of 1 h" in words_on(app)
        await keys(pilot, "space")
        watch.gone_s = 20.0
        await keys(pilot, "=215", "enter", "space")
        watch.gone_s = 50.0
        await keys(pilot, "=25")
        assert "time of Odalys, run 1, W1 to W10: 25_" in words_on(app)
        await golden(pilot, "practice-runs")
        await keys(pilot, "enter", "h", "g")
        assert "proposed: 9 marks" in words_on(app)
        assert "2.50*" in words_on(app)
        for _ in range(10):
            watch.gone_s += 190.0
            await keys(pilot, "space")
        await keys(pilot, "a")
        assert "to move; Enter ticks START off" in words_on(app)
        await golden(pilot, "practice-moves")


def test_steps_to_the_first_mark_are_large_only_where_they_meet_it(own_folders, watch):
    for name in ("meadow-accelerations", "harbour-meadow", "harbour-squad"):
        shutil.copy(LAYOUTS / f"{name}.toml", ".")
    landing = begun_at(Path("meadow-accelerations.toml"), watch)
    shutil.copy(LAYOUTS / "fixed-cadence.toml", ".")
    shutil.copy(LAYOUTS / "harbour-track.toml", ".")
    over_wickets = begun_at(Path("fixed-cadence.toml"), watch)
    for hour, steps in ((landing, None), (over_wickets, "15")):
        facts = facts_of(hour, hour.top(hour.stand()))
        assert dict(facts.parts).get("steps") == steps


async def test_moves_and_the_order_are_painted_once_in_place_of_each_other(
    six_path, watch, monkeypatch
):
    from tui.panes.bars import PlainStatic

    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space")
        said, say = [], PlainStatic.say

        def note(pane, text):
            said.append(str(text))
            say(pane, text)

        monkeypatch.setattr(PlainStatic, "say", note)
        while "to move" not in words_on(app):
            watch.gone_s += 190.0
            await keys(pilot, "space")
        (marks,) = {text for text in said if "to move; Enter" in text}
        assert "☐ START" in marks
        said.clear()
        while "to move" in words_on(app):
            await keys(pilot, "d")
        (lines,) = {text for text in said if "athlete" in text and "lane" in text}
        assert lines.partition("\n")[0].split()[-1] == "times"


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_name_and_expected_time_of_the_next_are_drawn_large(six_path, size):
    from tui.panes.bigtext import fitting

    async with workbench(six_path, size) as (app, pilot):
        await keys(pilot, "7")
        tall = 6 if size[1] == 40 else 3
        text = words_on(app)
        for word in ("TARIK", "2.12"):
            for line in fitting(word, 100, tall, name=True):
                assert line.strip() in text


async def test_a_plan_without_a_file_says_what_to_do_first(watch):
    async with workbench(None, watch=watch) as (app, pilot):
        await keys(pilot, "7")
        assert "Ctrl+S first" in words_on(app)
        await keys(pilot, "ctrl+s", "enter")
        assert not app.bench.opened.untitled
        await keys(pilot, "escape", "7", "space")
        assert "is off, run 1" in words_on(app)


async def test_escape_takes_digits_back_before_it_leaves_for_keys_that_mean_other_things(
    six_path, watch
):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "=999", "enter", "escape")
        assert app.screen_name() == "practice"
        assert "999_" not in words_on(app)
        await keys(pilot, "escape")
        assert app.screen_name() == "plan"


async def test_a_letter_amid_a_time_is_refused_and_commands_nothing(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "=2.1", "x", "u", "g", "y")
        assert 'not done: "y" is no digit; 2.1 stands' in words_on(app)
        assert all(each.here for each in app.hour().stand().line)
        assert app.bench.plan == app.bench.opened.file.plan
        await keys(pilot, "=3", "h", "enter")
        (run,) = runs(six_path, "Tarik")
        assert (run.times_s, run.flag) == ((2.13,), Flag.HIT)
        await keys(pilot, "x")
        assert not app.hour().stand().line[-1].here


async def test_undo_takes_back_what_was_done_last_be_it_a_notch_or_a_line(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "g", "u")
        assert app.bench.plan == app.bench.opened.file.plan
        assert len(runs(six_path, "Tarik")) == 1
        await keys(pilot, "u")
        assert runs(six_path, "Tarik") == ()


# --- after practice -------------------------------------------------------------------------------


async def runs_of_two(pilot, watch):
    """Tarik runs as expected and hits a wicket once, Odalys is 17 % over."""
    await keys(pilot, "7")
    for _ in range(2):
        await keys(pilot, "space", "=211", "enter")
        watch.gone_s += 20.0
        await keys(pilot, "space", "=252", "enter")
        watch.gone_s += 200.0
    await keys(pilot, "space", "=260", "enter", "h", "y")


async def test_one_key_takes_all_that_is_ready_and_one_undo_takes_it_back(six_path, watch, golden):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await runs_of_two(pilot, watch)
        rows = {line.split()[0]: line for line in words_on(app).splitlines() if line.strip()}
        assert "ready" in rows["Tarik"]
        assert "2.11 2.11 2.60*" in rows["Tarik"]
        assert "in doubt" in rows["Odalys"]
        await golden(pilot, "after")
        await keys(pilot, "enter")
        tarik, odalys = app.bench.plan.athletes[:2]
        assert (tarik.observations[0].time_s, tarik.observations[0].runs) == (2.11, 2)
        assert odalys.observations == ()
        assert "in the record" in words_on(app)
        await keys(pilot, "enter")
        assert "not done: nobody's runs are ready" in words_on(app)
        await keys(pilot, "u")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_one_in_doubt_is_taken_alone_and_one_noted_only_is_left(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await runs_of_two(pilot, watch)
        await keys(pilot, "n")
        assert app.bench.view.athlete == "Tarik"
        await keys(pilot, "x", "enter")
        assert app.bench.athlete.observations == ()
        assert "note only" in words_on(app)
        await keys(pilot, "n", "y")
        assert app.bench.view.athlete == "Odalys"
        assert len(app.bench.athlete.observations) == 1
        await keys(pilot, "7")
        assert "proposed" in words_on(app)


async def test_touchdowns_of_a_video_go_to_the_last_run_that_was_timed(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await runs_of_two(pilot, watch)
        await keys(pilot, "n", "v", "=12 26 41 55", "enter", "=60", "enter")
        assert app.bench.told.text == "Tarik, run 3: 4 touchdowns at 60 frames a second"
        run = runs(six_path, "Tarik")[2]
        assert (run.touchdowns, run.fps, run.flag) == ((12, 26, 41, 55), 60, Flag.HIT)
        await keys(pilot, "v", "ctrl+u", "enter")
        assert runs(six_path, "Tarik")[2].touchdowns == ()


async def test_a_time_may_be_from_a_video_of_so_many_frames_a_second(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "t", "t", "=120", "enter")
        assert app.bench.told.text == "timed by video, 120 frames a second"
        await keys(pilot, "=211", "enter")
        (run,) = runs(six_path, "Tarik")
        assert (run.timing, run.fps) == (Timing.VIDEO, 120)
        await keys(pilot, "t", "=212", "enter", "enter")
        (run,) = runs(six_path, "Tarik")
        assert (run.timing, run.fps, run.times_s) == (Timing.HAND, None, (2.12,))


async def test_a_day_is_typed_in_from_paper_an_earlier_one_too(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "8", "a", "ctrl+u", "=2026-03-03", "enter")
        await keys(pilot, "=2.21 2.18 - 2.70*", "enter", "=2.6x", "ctrl+s")
        assert "2.6x" in words_on(app)
        assert open_log(six_path).entries == ()  # nothing of it, until all of it is good
        await keys(pilot, "ctrl+u", "=2,60", "ctrl+s")
        assert app.bench.told.text == "2026-03-03: 5 written down from paper"
        assert "2.21 2.18 - 2.70*" in words_on(app)
        assert "these are the runs of 2026-03-03" in words_on(app)
        await keys(pilot, "a", "tab", "=2.21 2.18", "ctrl+s")  # typed a second time
        assert "are in the log of 2026-03-03 already" in " ".join(words_on(app).split())
        await keys(pilot, "ctrl+u", "up", "ctrl+u", "=2026-03-05", "ctrl+s")
        assert "is a day to come" in words_on(app)
        await keys(pilot, "ctrl+u", "=2026-03-04", "ctrl+s")
        assert "nobody ran today" in words_on(app)
    days = [(each.day.day, each.athlete, each.run) for each in open_log(six_path).entries]
    assert days == [*((3, "Tarik", run) for run in (1, 2, 3, 4)), (3, "Odalys", 1)]


async def test_a_time_from_paper_that_is_far_off_is_said_twice(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "8", "a", "tab", "=2.12 21.2", "enter", "=25.0", "ctrl+s")
        told = " ".join(words_on(app).split())
        assert "run 2 of Tarik, 21.20 s, is 901 % over the 2.12 s expected; ^S again" in told
        await keys(pilot, "ctrl+s")
        told = " ".join(words_on(app).split())
        assert "run 1 of Odalys, 25.00 s, is 1058 % over the 2.16 s expected; ^S again" in told
        assert open_log(six_path).entries == ()
        await keys(pilot, "ctrl+s")
        assert [each.time_s for each in runs(six_path, "Tarik")] == [2.12, 21.2]


async def test_undo_takes_back_a_day_from_paper_at_once_and_nothing_of_today(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "=210", "enter", "y")
        await keys(pilot, "a", "ctrl+u", "=2026-03-03", "enter")
        await keys(pilot, "=2.21 2.18 - 2.70*", "enter", "=2.60", "ctrl+s")
        assert app.bench.told.text == "2026-03-03: 5 written down from paper"
        await keys(pilot, "u")
        assert app.bench.told.text == "undone: 5 from paper, 2026-03-03"
        assert {each.day for each in standing(open_log(six_path).entries)} == {TODAY}
        assert [each.time_s for each in runs(six_path, "Tarik")] == [2.1]
        await keys(pilot, "a", "tab", "=2.21", "ctrl+s")  # the same again is no second time
        assert app.bench.told.text == "2026-03-03: 1 written down from paper"
        await keys(pilot, "7", "u", "u")
        assert runs(six_path, "Tarik")[0].times_s == ()
        await keys(pilot, "u")
        assert standing(open_log(six_path).entries)[0].what is What.BEGUN
        assert len(standing(open_log(six_path).entries)) == 1


async def test_paper_of_a_day_before_is_taken_back_and_begins_no_hour(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "8", "a", "ctrl+u", "=2026-03-03", "enter", "=2.21", "ctrl+s", "u")
        assert standing(open_log(six_path).entries) == ()
        assert app.hour().practice.begun is None
        await keys(pilot, "u")
        assert "nothing to undo" in words_on(app)
        assert app.hour().practice.begun is None


async def test_of_the_hour_all_that_was_said_is_there_after_a_restart(six_path, watch):
    """All but the digits of a time that nobody took, and who was put on top meanwhile."""

    def state(app):
        hour = app.hour()
        stands = hour.stand()
        assert stands is not None
        practice = hour.practice
        return {
            "order, runs done, who is here, when ready": stands.line,
            "runs, times, flags, and the marks they were on": dict(practice.runs),
            "begun, and how long ago": (practice.begun, int(hour.now_s())),
            "away": practice.away,
            "late": dict(practice.due_s),
            "moves ticked off": [each.ticked for each in hour.moves(stands)],
            "what lies": hour.laid.plan,
            "what is proposed": [moved for _, moved in hour.proposed(app.bench)],
            "noted only": left(hour, app.bench),
            "half typed from paper": app.bench.drafts,
        }

    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "=210", "enter", "h")
        watch.gone_s += 20.0
        await keys(pilot, "space", "=260", "enter", "w", "x", "o", "d", "space", "minus")
        watch.gone_s += 200.0
        await keys(pilot, "d", "space", "n", "g", "y", "x")
        await keys(pilot, "a", "tab", "=2.7", "escape")
        then = state(app)
        assert then["noted only"]
        assert then["what is proposed"]
        assert then["half typed from paper"]
        assert then["away"]
        assert then["late"]
        await keys(pilot, "7", "=21")
        assert app.hour().typed == "21"
        await keys(pilot, "backspace", "backspace")
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "t", "7")  # the unsaved notch is taken up
        assert state(app) == then
        assert (app.hour().typed, app.hour().chosen) == ("", None)


async def test_runs_that_are_noted_only_stay_so_after_a_restart_on_their_day_alone(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await runs_of_two(pilot, watch)
        await keys(pilot, "n", "x")
        assert app.bench.noted_only == {TODAY.isoformat(): ["Tarik"]}
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "y")
        assert "note only" in words_on(app)
        await keys(pilot, "enter")
        assert app.bench.plan == app.bench.opened.file.plan
        await keys(pilot, "a", "ctrl+u", "=2026-03-03", "enter", "=2.11", "ctrl+s")
        assert left(app.hour(), app.bench) == frozenset()
        app.hour().looked_at = None
        app.bench.look_at("Tarik")
        await keys(pilot, "x", "enter")
        assert app.bench.athlete.observations != ()
    async with workbench(six_path, watch=watch) as (app, pilot):
        assert not any(app.bench.noted_only.values())


# --- keys -----------------------------------------------------------------------------------------

COUNTS = {
    "the one on top is off, the next comes up": (1, "space"),
    "gaps a notch wider": (1, "g"),
    "a time": (4, "=215", "enter"),
    "not timed": (1, "minus"),
    "hit a wicket": (1, "h"),
    "absent": (1, "x"),
    "swap": (1, "w"),
    "late": (1, "o"),
    "next athlete": (1, "n"),
    "undo": (1, "u"),
    "move all 30 cm": (4, "m", "=30", "enter"),
    "to a later wave": (1, "j"),
    "the bag holds 18": (4, "number_sign", "=18", "enter"),
    "everything to lane 2": (3, "q", "=2", "enter"),
    "print": (2, "p", "p"),
}


def pressed(steps):
    return [key for each in steps for key in (each[1:] if each[0] == "=" else [each])]


async def test_the_tasks_at_the_track_take_the_keys_the_table_says(six_path, watch):
    for task, (count, *steps) in COUNTS.items():
        assert len(pressed(steps)) == count, task
    async with workbench(six_path, watch=watch) as (app, pilot):

        def state():
            return words_on(app)

        await keys(pilot, "7", "space")
        for task, (_, *steps) in COUNTS.items():
            before = state()
            await keys(pilot, *steps)
            watch.gone_s += 10.0
            assert state() != before, task
            assert "not done" not in state(), (task, state())


async def test_thirty_six_times_take_at_most_two_hundred_keys(six_path, watch):
    count = 0
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7")
        hour = app.hour()
        while hour.stand().to_come:
            if hour.moves(hour.stand()):
                await keys(pilot, "d")
                count += 1
            who = hour.top(hour.stand()).athlete
            time = f"{round(hour.expected_s(who) * 100)}"
            await keys(pilot, "space", f"={time}", "enter")
            count += 2 + len(time)
            watch.gone_s += 120.0
    for who in ("Tarik", "Odalys", "Wren", "Ilya", "Mira", "Sanne"):
        assert [run.teaches for run in runs(six_path, who)] == [True] * 6
    assert count <= 200


# --- at the board ---------------------------------------------------------------------------------

JUMP = """\
format = 1
kind = "plan"
title = "Board"
date = 2026-03-03

[[athlete]]
name = "Joren"
height = "1.84 m"
sex = "m"
top_speed = "9.65 m/s"
takeoff_foot = "left"

[drill]
kind = "takeoff-run"
speed = "90 %"

[ground]
kind = "runway"
length = "60 m"
"""


@pytest.fixture
def jump_path(own_folders):
    path = Path("jump.toml")
    path.write_text(JUMP, encoding="utf-8")
    return path


async def test_misses_typed_at_the_board_slide_the_marks_of_the_next_practice(jump_path, watch):
    async with workbench(jump_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space")
        assert "time of Joren, run 1, W1 to W4: _   b: miss at the board" in words_on(app)
        await keys(pilot, "b", "2", "0")
        assert "miss of Joren, run 1: 20_ cm over" in words_on(app)
        await keys(pilot, "b")
        assert "miss of Joren, run 1: 20_ cm short" in words_on(app)
        await keys(pilot, "plus", "enter")
        watch.gone_s += 200
        await keys(pilot, "space", "b", "3", "0", "enter")
        watch.gone_s += 200
        await keys(pilot, "space", "b", "b", "4", "enter", "u", "plus", "2", "5", "enter")
        assert [each.miss_m for each in runs(jump_path, "Joren")] == [0.2, 0.3, 0.25]
        assert {each.slide_m for each in runs(jump_path, "Joren")} == {0.0}
        await keys(pilot, "y")
        assert "+20 +30 +25" in words_on(app)
        assert "slide all marks 24 cm back" in " ".join(words_on(app).split())
        await keys(pilot, "enter")
        assert app.bench.plan.athletes[0].at_board[0].misses_m == (0.2, 0.3, 0.25)
        await keys(pilot, "M")
        assert app.bench.plan.adjustment("Joren").slide_m == -0.24
        own = [each.own for each in fields_of(app.bench.plan, "Joren", ("drill",)) if each.own]
        assert own == ["Joren's own: all marks -24 cm"]
        await keys(pilot, "u", "u")
        assert app.bench.plan == app.bench.opened.file.plan


async def test_misses_of_a_plan_in_feet_are_inches(jump_path, watch):
    jump_path.write_text(f'{JUMP}\n[tape]\nunit = "feet"\n', encoding="utf-8")
    async with workbench(jump_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "b", "8")
        assert "miss of Joren, run 1: 8_ in over" in words_on(app)
        await keys(pilot, "enter")
        assert "Joren, run 1: 8 in over" in words_on(app)
        await keys(pilot, "b", "5", "0", "enter")
        assert "50 in over is more than a slide mends" in words_on(app)
        await keys(pilot, "escape", "y", "a")
        assert "+5 is 5 in over at the board, -12 short" in " ".join(words_on(app).split())
        await keys(pilot, "tab", "=-4 +5cm", "enter")
        told = [each.miss_m for each in runs(jump_path, "Joren")]
        assert told == pytest.approx([8 * 0.0254, -4 * 0.0254, 0.05], abs=0.005)
        await keys(pilot, "4", "B", "=+8", "enter")
        (day,) = app.bench.plan.athletes[0].at_board
        assert day.misses_m == pytest.approx((8 * 0.0254,))


async def test_a_miss_of_over_a_metre_is_said_twice_and_one_over_three_never(jump_path, watch):
    async with workbench(jump_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "b")
        assert "nobody has run yet" in words_on(app)
        await keys(pilot, "space", "b", "1", "2", "0", "enter")
        assert "120 cm over is more than a slide mends" in words_on(app)
        assert runs(jump_path, "Joren")[0].miss_m is None
        await keys(pilot, "enter")
        assert runs(jump_path, "Joren")[0].miss_m == 1.2
        await keys(pilot, "b", "3", "0", "1", "enter", "enter")
        assert "300 cm short to 300 cm over" in words_on(app)
        await keys(pilot, "escape", "b", "enter")
        assert "is not a miss" in words_on(app)
        assert runs(jump_path, "Joren")[0].miss_m == 1.2


async def test_a_run_over_wickets_has_no_miss_to_type(six_path, watch):
    async with workbench(six_path, watch=watch) as (app, pilot):
        await keys(pilot, "7", "space", "b")
        assert "a miss at the board is of a take-off run" in words_on(app)


async def test_misses_are_typed_on_the_review_screen_and_the_slide_is_offered(jump_path):
    async with workbench(jump_path) as (app, pilot):
        await keys(pilot, "4", "B", "=12", "enter")
        assert "does not say which way" in words_on(app)
        await keys(pilot, "escape", "B", "=+20 +30 +25", "enter")
        said = " ".join(words_on(app).split())
        assert "M: Joren: slide all marks 24 cm back" in said
        (told,) = app.bench.plan.athletes[0].at_board
        assert (told.misses_m, told.date) == ((0.2, 0.3, 0.25), app.bench.plan.date)
        await keys(pilot, "M")
        assert app.bench.plan.adjustment("Joren").slide_m == -0.24
        assert "all marks 24 cm back" in words_on(app)
        await keys(pilot, "M")
        assert "no slide to take" in words_on(app)


async def test_a_slide_that_costs_a_step_says_that_nothing_else_is_held(jump_path):
    text = jump_path.read_text("utf-8")
    start = solve(load(jump_path)).layings[0].layout.start
    length = f"{0.1 - float(start.along_m):.2f} m"
    jump_path.write_text(text.replace('length = "60 m"', f'length = "{length}"'), "utf-8")
    async with workbench(jump_path) as (app, pilot):
        await keys(pilot, "4", "B", "=+20 +30 +25", "enter")
        assert "all marks are laid anew" in " ".join(words_on(app).split())
        await keys(pilot, "M")
        assert app.bench.plan.adjustment("Joren").slide_m == -0.24
        assert "gaps and run-on follow" in " ".join(words_on(app).split())
