"""What coach and assistant are told in words, and that no two sheets tell it differently."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date

import pytest
from golden_plans import PLAN
from sheet_plans import (
    CASES,
    PRODUCT,
    alike,
    bend_wickets,
    case,
    drill,
    in_half_inches,
    rows_of,
    sheets_of,
    solved,
    texts,
    with_plan,
    words,
)

from wicketlay.drills import FlyingSegment, WicketRun
from wicketlay.drills.marks import CHALK, MarkKind
from wicketlay.export import as_table, as_text
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeLies, TapeSpec, Tick
from wicketlay.lanes.closing import (
    apart_m,
    closing_check,
    gap_shown_m,
    hurdles_left,
    run_on_shown_m,
)
from wicketlay.plan import Adjustment, StagePlan
from wicketlay.running.athlete import Athlete
from wicketlay.running.touchdowns import StartKind
from wicketlay.sheets import make_pages
from wicketlay.sheets.advice import aim_text, athlete_sentence
from wicketlay.sheets.drawings.chart import speed_drawn
from wicketlay.sheets.ground import ground_sheet
from wicketlay.sheets.page.layout import PAPERS
from wicketlay.sheets.page.model import Role
from wicketlay.sheets.setting import Setting, expected_time_s, series_of
from wicketlay.sheets.step_pattern import step_pattern
from wicketlay.solve import solve
from wicketlay.units import UnitSystem, format_duration, format_ticks, format_time
from wicketlay.wording import word
from wicketlay.wording.cautions import FOOT_LINE
from wicketlay.wording.names import carried_tape_text, mark_label, room_text, shown_text, there_text
from wicketlay.wording.runs import recovery_text
from wicketlay.wording.solved import told_of, unit_of


def _sheet(name, kind, paper="a4"):
    return next(s for s in sheets_of(name, paper, (kind,)) if s.kind == kind)


def _setting(what, laying=0):
    return Setting(
        solved=what,
        series=series_of(what),
        laying=what.layings[laying],
        paper=PAPERS["a4"],
        unit=UnitSystem.METRIC,
    )


def _sentence(what, laying=0, demand=0):
    return athlete_sentence(_setting(what, laying), what.layings[laying].demands[demand])


# -- the board --------------------------------------------------------------------------------


def test_the_board_in_use_is_named_in_the_title_and_in_the_box_and_no_lane():
    sheet = _sheet("board-approach", "tape")
    lines = {t.role: t.text for t in texts(sheet.pages[0])[::-1]}
    assert lines[Role.PLACE] == "LONG-JUMP BOARD · LONG JUMP RUNWAY"
    assert lines[Role.ZERO] == "0 = take-off line of the LONG-JUMP BOARD"
    assert "At the board's edge nearer the pit." in words(sheet)
    assert "LANE 1" not in words(sheet)


def test_a_miss_is_written_and_typed_in_the_unit_of_the_page():
    for what, head, such in (
        (solved("board-approach"), "miss, cm", "+12cm"),
        (in_half_inches(solved("board-approach")), "miss, in", "+5in"),
    ):
        for sheet in make_pages(what, only=("practice", "coach")):
            assert {t.text for p in sheet.pages for t in texts(p) if "miss," in t.text} == {head}
        for kind, told in (("practice", f"typed with its unit, {such}."), ("coach", such)):
            (sheet, *_) = make_pages(what, only=(kind,))
            assert told in words(sheet)


@pytest.mark.parametrize(
    ("length_m", "metric", "feet"),
    [
        (30.0, "tape, 30 m", "tape in feet, 99 ft or longer"),
        (7.5, "tape, 7.5 m", "tape in feet, 25 ft or longer"),
        (30.48, "tape in metres, 31 m or longer", "tape, 100 ft"),
        (60.96, "tape in metres, 61 m or longer", "tape, 200 ft"),
    ],
)
def test_a_tape_told_in_the_other_unit_is_no_tape_of_that_length(length_m, metric, feet):
    base = solved("board-approach").plan
    longer = replace(base, tape=replace(base.tape, length_m=max(length_m, 30.0)))
    for what, told in ((solve(longer), metric), (in_half_inches(solve(longer)), feet)):
        unit = unit_of(what.plan)
        assert carried_tape_text(length_m, unit) == told
        if length_m >= 30.0:
            assert f"{told} · pencil" in words(next(iter(make_pages(what, only=("tape",)))))


@pytest.mark.parametrize("paper", ["a4", "a5"])
def test_no_sheet_of_a_runway_speaks_of_a_lane(paper):
    for sheet in sheets_of("thursday-takeoffs", paper):
        assert not re.findall(r"\blanes?\b", words(sheet), re.IGNORECASE), sheet.title
    page = _sheet("thursday-takeoffs", "practice", paper)
    assert "runway" in {text.text for made in page.pages for text in texts(made)}
    assert "lane 3" in words(_sheet("thursday-wickets", "practice", paper))


def test_each_board_on_the_ground_sheet_has_its_own_name_and_stands_there_once():
    rows = [r for p in _sheet("board-approach", "ground").pages for r in rows_of(p)]
    named = [row[1] for row in rows if len(row) == 4 and row[1].startswith("the take-off line")]
    assert sorted(named) == sorted(
        f"the take-off line of the {key}" for key in ("13 m board", "11 m board", "long-jump board")
    )


@pytest.mark.parametrize("name", CASES)
def test_no_two_fixed_points_of_a_ground_sheet_are_one_spot(name):
    sheet = _sheet(name, "ground")
    rows = [r for p in sheet.pages for r in rows_of(p) if len(r) == 4 and r[0].isdigit()]
    where = [row[3] for row in rows if row[3].endswith(" it")]
    assert len(where) == len(set(where))


# -- the step pattern -------------------------------------------------------------------------


def test_the_coach_sheet_tells_the_whole_step_pattern_of_a_take_off_run():
    demand = solved("board-approach").layings[0].demands[0]
    said = words(_sheet("board-approach", "coach"))
    assert step_pattern(demand).text == "9 + 4 + 6 = 19 steps"
    for part in ("9 + 4 + 6 = 19 steps", "left foot on the board", "penultimate 1.122 of the last"):
        assert part in said


def test_what_to_do_at_a_take_off_run_is_what_its_change_card_does():
    coach, card = (words(_sheet("board-approach", kind)) for kind in ("coach", "card"))
    assert "The last wicket stays; the start mark moves with W1." in card
    assert "the last wicket stays, START moves with W1" in coach
    assert "slide all marks by the miss" in coach
    for wrong in ("W1 stays", "start mark forward", "one step back"):
        assert wrong not in coach


# -- times ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["board-approach", "thursday-takeoffs"])
def test_the_steps_an_athlete_is_told_add_up_to_all_of_them(name):
    said = _sentence(solved(name))
    *parts, whole = re.findall(r"(\d+)(?= steps to| over the| more steps| in all)", said)
    assert len(parts) == 3
    assert sum(map(int, parts)) == int(whole)


def test_nobody_aims_for_a_time_over_fewer_than_six_wickets():
    assert "im for" not in _sentence(solved("board-approach"))
    assert "expected" not in words(_sheet("board-approach", "coach"))
    assert "Too short for a hand time" in words(_sheet("board-approach", "tape"))


def test_nobody_aims_for_a_time_that_rests_on_a_guess():
    what = solved("height-only")
    assert what.layings[0].demands[0].runner.provisional
    assert "im for" not in _sentence(what)
    said = words(_sheet("height-only", "tape"))
    rests = what.layings[0].demands[0].runner.top_speed.basis
    assert rests.startswith("height and cadence")
    assert f"Speed is a guess from {rests}: gaps laid 3 % short; time the first runs." in said
    assert "guess" not in words(_sheet("fixed-cadence", "tape"))


def test_expected_times_at_a_height_are_told_for_it_and_marks_stay():
    plan = solved("flying-20").plan
    at_sea, high = (
        solve(replace(plan, ground=replace(plan.ground, altitude_m=each)))
        for each in (None, 2250.0)
    )
    sea_s, high_s = (
        expected_time_s(_setting(what), what.layings[0].demands[0]) for what in (at_sea, high)
    )
    # 20 m at about 9 m/s, over 1.03 - 0.03 e^(-0.28125)
    assert high_s == pytest.approx(sea_s / (1.03 - 0.03 * math.exp(-0.28125)), rel=1e-9)
    assert high.layings[0].layout == at_sea.layings[0].layout
    (told,) = [each for each in high.findings if each.code == "times-for-height"]
    assert str(word(told)).startswith("expected times are for 2250 m above the sea")
    assert told.code not in {each.code for each in at_sea.findings}


def test_a_known_athlete_aims_for_a_range_around_the_expected_time():
    what = solve(PLAN)
    demand = what.layings[0].demands[0]
    expected = float(demand.appraisal.time_s[-1])
    for sd in (0.001, 0.2, 0.33, 0.6):
        top = replace(demand.runner.top_speed, sd=sd)
        runner = replace(demand.runner, top_speed=top)
        told = re.fullmatch(
            r"aim for (\d+\.\d\d) to (\d+\.\d\d) s",
            aim_text(_setting(what), replace(demand, runner=runner)),
        )
        low, high = float(told[1]), float(told[2])
        assert f"{(low + high) / 2:.2f}" == format_time(expected).removesuffix(" s")
        off = max(expected * top.relative_sd, 0.01)
        assert (high - low) / 2 == pytest.approx(off, abs=0.0051)


def test_a_recovery_that_nobody_gave_is_told_as_a_default_with_what_it_rests_on():
    told = "No recovery is given: 2 min to 2 min 13 s by speed and distance (common practice; "
    for kind in ("practice", "session"):
        assert f"{told}2 min to 4 min for such runs)." in words(_sheet("shared-lanes", kind)), kind
    base = solved("shared-lanes").plan
    given = with_plan(
        solved("shared-lanes"), session=replace(base.session, recovery_s=150.0, length_s=None)
    )
    for sheet in make_pages(given, only=("practice", "session")):
        assert "recovery is given" not in words(sheet)


@pytest.mark.parametrize("name", ["shared-lanes", "tuesday-wickets", "height-only"])
def test_the_recovery_on_a_coach_sheet_is_that_of_the_session(name):
    loads = {load.athlete: load.recovery_s for load in solved(name).session.loads}
    for sheet in sheets_of(name, "a4", ("coach",)):
        if sheet.kind != "coach":
            continue
        who = sheet.title.removeprefix("coach sheet, ")
        assert f"recovery {format_duration(loads[who])}" in words(sheet)


# -- the ground under the tape ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "peg", "painted"),
    [
        ("fixed-cadence", False, True),
        ("hall-wickets", False, True),
        ("board-approach", False, True),
        ("height-only", True, False),
        ("free zero", True, False),
        ("lanes of a hall", False, True),
    ],
)
def test_a_peg_is_for_grass_and_a_left_line_for_where_one_is_painted(name, peg, painted):
    said = words(_sheet(name, "tape"))
    assert bool(re.search(r"\bpegs?\b", said)) is peg
    assert bool(re.search(r"\bhold\b|\bweights?\b", said)) is not peg
    assert ("left line" in said) is painted
    assert ("sighting line" in said) is not painted


@pytest.mark.parametrize("name", ["thursday-takeoffs", "tuesday-wickets", "feet-and-inches"])
def test_gaps_and_zone_on_a_coach_sheet_are_those_of_the_tape(name):
    what = solved(name)
    unit = unit_of(what.plan)
    laying_of = {who: laying for laying in what.layings for who in laying.athletes}
    coach = [each for each in sheets_of(name, "a4", ("coach",)) if each.kind == "coach"]
    for sheet in coach:
        laying = laying_of[sheet.title.removeprefix("coach sheet, ")]
        wickets = [each.id for each in laying.layout.of_kind(MarkKind.WICKET)]
        gaps = [gap_shown_m(laying, each) for each in wickets[1:]]
        ends = dict.fromkeys(shown_text(end(gaps), unit) for end in (min, max))
        assert f"gaps {' to '.join(ends)} ±" in words(sheet)
        zone = shown_text(apart_m(laying, wickets[0], wickets[-1]), unit)
        assert f"W1 to {mark_label(wickets[-1])} {zone} · " in words(sheet)


def test_a_note_of_a_cone_stands_on_one_line_beside_its_reading():
    base = solved("broken-run")
    for what in (base, in_half_inches(base)):
        (sheet,) = make_pages(what, only=("tape",))
        assert "easy from here; fast part before it" in {t.text for t in texts(sheet.pages[0])}


def test_how_fast_the_easy_parts_are_is_told_also_where_they_are_all_the_work():
    base = solved("broken-run")
    for parts, easy in (((30.0, 20.0), ["C1 to C2"]), ((10.0,) * 4, ["C1 to C2", "C3 to C4"])):
        what = with_plan(base, drill=replace(base.plan.drill, parts_m=parts))
        (sheet,) = make_pages(what, only=("coach",))
        cones = {mark_label(each.id): each for each in what.layings[0].layout.marks}
        told = (f"{ends} {cones[ends[-2:]].speed_mps:.2f} m/s" for ends in easy)
        assert f"easy {', '.join(told)}" in words(sheet)


@pytest.mark.parametrize("paper", PAPERS)
def test_all_who_start_at_one_mark_are_named_beside_it(paper):
    base = solved("broken-run")
    names = ("Bram", "Nele", "Odalys")
    athletes = tuple(replace(base.plan.athletes[0], name=name) for name in names)
    what = with_plan(base, athletes=athletes)
    (sheet,) = make_pages(what, only=("tape",), paper=paper)
    assert ", ".join(names) in words(sheet)


def test_a_card_tells_of_gaps_that_were_opened_before():
    base = solved("fixed-cadence").plan
    lone = replace(base, session=replace(base.session, waves=1))
    who = lone.athletes[0].name
    other = replace(base.athletes[0], name="Other")
    both = replace(lone, athletes=(*lone.athletes, other))
    told = {}
    for what, plan in {"none": lone, "one": lone, "two": both}.items():
        opened = () if what == "none" else (Adjustment(athlete=who, gap_change=0.02),)
        sheets = make_pages(solve(replace(plan, adjustments=opened)), only=("card",))
        told[what] = " ".join(map(words, sheets))
    assert "in it already" not in told["none"]
    assert "0 % has a change of the gaps in it already (+2 %); the columns come" in told["one"]
    assert f"in it already (Other 0 %, {who} +2 %)" in told["two"]


def test_edges_are_told_as_a_runner_meets_them():
    there = words(_sheet("fixed-cadence", "tape"))
    back = words(_sheet("against the line", "tape"))
    assert "edge you meet first when running" in there
    assert "edge you meet first when running" not in back
    assert "edge you meet last when running" in back
    assert "front = the side the runner comes from" in there


# -- later waves ------------------------------------------------------------------------------


def _relaid():
    what = solved("shared-lanes")
    sheets = sheets_of("shared-lanes", "a4", ("tape",))
    return [
        (laying, sheet)
        for laying, sheet in zip(what.layings, sheets, strict=False)
        if laying.wave == 2 and laying.moved
    ]


def test_a_later_wave_carries_nothing_that_lies_there_and_moves_all_that_does():
    assert _relaid()
    for laying, sheet in _relaid():
        said = words(sheet)
        new = [m.mark_id for m in laying.moved if m.by_m is None and not m.taken_up]
        if not any(mark_id.startswith("w") for mark_id in new):
            assert "(low hurdles)" not in said
        assert " on " not in " ".join(re.findall(r"\d c?m on\b", said))
        moved = [m for m in laying.moved if m.by_m is not None and m.mark_id.startswith("w")]
        assert len(re.findall(r"\b(?:forward|back) [\d.]+ c?m\b", said)) >= len(moved)
        assert "move" in [t.text for t in texts(sheet.pages[0])]
        assert re.search(r"From where it stands: (stays|forward|back) \d+ m", said) or re.search(
            r"CONE [\d.]+ (stays|forward|back)", said
        )


def test_start_marks_of_a_later_wave_tell_their_move():
    for laying, sheet in _relaid():
        rows = [row for page in sheet.pages for row in rows_of(page, tolerance_mm=2.0)]
        for mark in laying.layout.of_kind(MarkKind.START):
            name = "START" if mark.id == "start" else mark.id[-1].upper()
            row = next(r for r in rows if r[0] == name and len(r) > 2)
            assert any(re.match(r"new|stays|forward|back", cell) for cell in row), row


def _chalked(bag):
    """Two waves on one lane over eight wickets, of which the bag holds some."""
    plan = solved("height-only").plan
    first = replace(plan.athletes[0], name="Ada")
    second = replace(first, name="Bo", height_m=first.height_m - 0.2)
    return solve(
        replace(
            plan,
            athletes=(first, second),
            drill=replace(plan.drill, wickets=8),
            kit=replace(plan.kit, wickets=bag),
            place=replace(plan.place, lanes=plan.place.lanes[:1]),
        )
    )


def _second_wave(what):
    made = make_pages(what, paper="a4", only=("tape",))
    return what.layings[1], next(s for s in made if "wave 2" in s.group)


def test_chalk_that_moves_is_made_anew_and_its_old_mark_taken_off():
    laying, sheet = _second_wave(_chalked(bag=6))
    drawn = [each.mark_id for each in laying.moved if each.drawn and each.by_m is not None]
    assert sorted(drawn) == ["w7", "w8"]
    assert "Chalk or tape that moves: old mark off." in words(sheet)
    assert "chalk or tape for 2 marks" in words(sheet)
    _, carried = _second_wave(_chalked(bag=8))
    assert "old mark off" not in words(carried)
    assert "chalk" not in words(carried).lower()


def _of_few(bag, *names):
    """Waves over as many metres on two lanes; the bag is dealt to each wave."""
    base = solved("tuesday-wickets")
    runs = {each.name: each for each in base.plan.athletes}
    return with_plan(
        base,
        athletes=tuple(runs[name] for name in names),
        kit=replace(base.plan.kit, wickets=bag),
        session=replace(base.plan.session, waves=2),
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("bag", "names", "mark", "lead", "row"),
    [
        (22, ("Tarik", "Wren", "Ines", "Kit"), "w12", "Take up W12 and use again.", CHALK),
        (20, ("Odalys", "Tarik", "Kit"), "w11", "Rub out or lift W11.", "new"),
    ],
)
def test_a_hurdle_that_becomes_chalk_or_chalk_a_hurdle_is_taken_up_and_laid_anew(
    bag, names, mark, lead, row, paper
):
    what = _of_few(bag, *names)
    (laying,) = (o for o in what.layings if any(m.remade for m in o.moved))
    assert [m.mark_id for m in laying.moved if m.remade] == [mark]
    sheet = next(
        s
        for s in make_pages(what, only=("tape",), paper=paper)
        if s.group.startswith(f"lane {laying.lane}, ") and "wave 2" in s.group
    )
    said = words(sheet)
    assert lead in said
    new = [m.mark_id for m in laying.moved if m.by_m is None]
    chalk = sum(laying.placed.mark(each).mark.is_drawn for each in new)
    hurdles = len(new) - chalk
    noun = "mark" if chalk == 1 else "marks"
    assert (f"chalk or tape for {chalk} {noun}" in said) is (chalk > 0)
    assert (f"Carry: {hurdles} wickets" in said) is (hurdles > 0)
    _, read = laying.tape.reading(mark)
    reading = format_ticks(read.ticks, read.tick)
    assert f"{mark.upper()} {reading} {row}" in said
    assert f"MOVE {mark.upper()} taken up, laid anew" in as_text(what)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_wave_that_moves_nothing_carries_nothing_and_says_that_all_stays(paper):
    base = solved("fixed-cadence")
    one = base.plan.athletes[0]
    what = with_plan(base, athletes=(one, replace(one, name="Alike")))
    assert not what.layings[1].moved
    second = next(s for s in make_pages(what, only=("tape",), paper=paper) if "wave 2" in s.group)
    said = words(second)
    assert "The marks of wave 1 lie here: all stay. Carry: " in said
    assert " wickets" not in said.partition("Carry: ")[2].partition("pencil")[0]
    assert said.count("stays") >= len(what.layings[1].layout.marks)
    assert [each.marks for each in what.session.events if each.marks] == [
        len(what.layings[0].layout.marks)
    ]
    assert not any(
        "MOVE" in words(each) for each in make_pages(what, only=("practice",), paper=paper)
    )


@pytest.mark.parametrize(("bag", "lent"), [(14, True), (20, False)])
def test_hurdles_that_the_bag_lacks_come_from_a_lane_that_no_longer_serves(bag, lent):
    base = solved("fixed-cadence")
    one = base.plan.athletes[0]
    what = with_plan(
        base,
        athletes=(one, replace(one, name="Two", top_speed_mps=9.5), replace(one, name="Three")),
        drill=replace(base.plan.drill, wickets=10),
        kit=replace(base.plan.kit, wickets=bag),
        place=replace(base.plan.place, lanes=(4, 5)),
    )
    said = [words(sheet) for sheet in make_pages(what, only=("tape",))]
    assert len(said) == 3
    assert ["those the bag lacks from lane 5" in each for each in said] == [False, False, lent]


def test_the_order_of_moves_is_told_only_where_it_is_not_that_of_the_readings():
    for bag in (6, 8):
        laying, sheet = _second_wave(_chalked(bag))
        said = words(sheet)
        away = [
            sum(
                (m.shown_m or 0.0) * pull.direction.way > 0.0
                for r in pull.readings
                for m in laying.moved
                if m.mark_id == r.mark_id
            )
            for pull in laying.tape.pulls
        ]
        assert ("Row by row, in this order." in said) == any(count > 1 for count in away)


# -- every page -------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("name", ["shared-lanes", "season-stages"])
def test_the_cautions_stand_at_the_foot_of_every_page(name, paper):
    for sheet in sheets_of(name, paper):
        for page in sheet.pages:
            said = " ".join(item.text for item in texts(page))
            assert FOOT_LINE in said, sheet.title


@pytest.mark.parametrize("count", [1, 2])
def test_a_tape_sheet_that_goes_on_says_so_at_its_foot(count):
    (sheet,) = make_pages(alike(count), only=("tape",), paper="a5")
    assert len(sheet.pages) > 1
    first, *_, last = (" ".join(t.text for t in texts(page)) for page in sheet.pages)
    assert "TURN OVER: START and checks" in first
    assert "TURN OVER" not in last
    (alone,) = make_pages(alike(count), only=("tape",), paper="a4")
    assert len(alone.pages) == 1
    assert "TURN OVER" not in words(alone)


@pytest.mark.parametrize("name", CASES)
def test_the_closing_check_holds_for_marks_laid_at_the_printed_readings(name):
    for laying in case(name).layings:
        check = closing_check(laying)
        try:
            one, other = (laying.tape.reading(i) for i in (check.first_id, check.second_id))
        except (KeyError, AttributeError):
            continue
        if one[0].number == other[0].number:
            tick = laying.tape.spec.tick.metres
            laid = abs(other[1].ticks - one[1].ticks) * tick
            error = (one[1].error_mm + other[1].error_mm) / 1000
            assert abs(laid - check.apart_m) + error <= check.within_m + 1e-9


# -- squad and session ------------------------------------------------------------------------


def test_the_session_is_told_in_whole_minutes_with_what_laying_rests_on():
    said = words(_sheet("shared-lanes", "session"))
    box = said.split("Timetable")[0].replace(recovery_text(solved("shared-lanes").session), "")
    assert not re.search(r"\d s of|min \d+ s", box)
    assert "18 s a mark (our judgement), 2 assistants, a tape each." in box


def test_a_mark_rate_of_ones_own_is_not_called_our_judgement():
    base = solved("shared-lanes")
    what = with_plan(base, judgement=replace(base.plan.judgement, seconds_per_mark=25.0))
    (sheet,) = make_pages(what, only=("session",))
    assert "25 s a mark (your figure)" in words(sheet)


def test_the_worst_gap_on_the_squad_sheet_is_against_the_natural_step():
    titles = " ".join(
        t.text for t in texts(_sheet("shared-lanes", "squad").pages[0]) if t.role is Role.LABEL
    )
    assert "worst gap against" in titles
    assert "natural" in titles


def test_a_coach_sheet_without_a_known_foot_has_no_row_for_the_wrong_one():
    known = solve(PLAN)
    unknown = with_plan(known, athletes=(replace(PLAN.athletes[0], front_foot=None),))
    for what, there in ((known, True), (unknown, False)):
        (sheet,) = make_pages(what, only=("coach",))
        assert ("wrong foot" in words(sheet)) is there


def test_what_follows_from_the_athlete_has_its_error_and_what_is_fixed_has_none():
    (sheet,) = make_pages(solve(PLAN), only=("coach",))
    said = words(sheet)
    assert "time constant" in said
    assert "time to 63 % of top speed" in said
    assert re.search(r"± about [\d.]+ m: slide the start mark", said)
    assert re.search(r"cadence asked [\d.]+ steps/s ± [\d.]+", said)
    assert not re.search(r"cadence asked [\d.]+ steps/s ±", words(_sheet("fixed-cadence", "coach")))


# -- a cold hand and a coach at the fence -------------------------------------------------------


@pytest.mark.parametrize(("name", "paper"), PRODUCT)
def test_no_page_is_white(name, paper):
    for sheet in sheets_of(name, paper):
        for number, page in enumerate(sheet.pages, start=1):
            below = page.height_mm - 32.0
            # The end of what has no room on a small page is short, and yet something.
            tops = {Role.PLACE, Role.HEADING}
            said = [
                t for t in texts(page) if t.y_mm > 22.0 or (paper == "phone" and t.role not in tops)
            ]
            assert any(t.y_mm < below for t in said), (sheet.title, number)


@pytest.mark.parametrize("name", ["fixed-cadence", "feet-and-inches", "season-stages"])
def test_every_sheet_tells_the_same_slow_down_in_whole_metres_or_feet(name):
    what = case(name)
    now = 1 if what.plan.stages is None else what.plan.stages.now
    layout = next(each.layout for each in what.layings if each.stage == now)
    feet = name == "feet-and-inches"
    wanted, least = (
        room_text(each, UnitSystem.FEET if feet else UnitSystem.METRIC)
        for each in (layout.run_out_wanted_m, layout.run_out_least_m)
    )
    assert f"never less than {least} past" in words(_sheet(name, "tape"))
    assert f"{wanted} wanted, {least} least" in words(_sheet(name, "coach"))
    assert f"{wanted} wanted, {least} at least" in words(_sheet(name, "ground"))


def test_the_start_is_slid_only_where_a_landing_has_to_meet_a_mark():
    for name in ("flying-20", "broken-run", "bend-accelerations"):
        assert "slide the start mark" not in words(_sheet(name, "coach"))
    assert "slide the start mark" in words(_sheet("fixed-cadence", "coach"))


def test_a_broken_run_tells_the_coach_the_time_at_every_cone():
    cones = case("broken-run").layings[0].layout.of_kind(MarkKind.CONE)
    said = words(_sheet("broken-run", "coach"))
    assert len(cones) == 3
    for cone in cones:
        assert f"{mark_label(cone.id)} {cone.time_s:.2f} s" in said


def test_a_runway_is_closed_as_a_runway_and_its_pit_is_raked():
    said = words(_sheet("board-approach", "tape"))
    assert "runway closed, pit free and raked, before anyone runs" in said
    assert "Wickets: middle of the runway, front = the side the runner comes from." in said
    assert "along the runway" in said
    assert "slow-down" not in said.replace(FOOT_LINE, "")


def test_run_both_ways_the_front_of_a_wicket_is_told_by_the_start_mark():
    said = words(next(s for s in sheets_of("both ways", "a4") if s.kind == "tape"))
    assert "front of W1" in said
    assert "Wickets: middle of the lane, front = the side towards START." in said


@pytest.mark.parametrize(
    ("name", "cones"),
    [
        ("fixed-cadence", "2 cones (START, slow-down)"),
        ("board-approach", "1 cone (START)"),
        ("broken-run", "5 cones (START, C1, C2, C3, slow-down)"),
        ("meadow-accelerations", "3 cones (START, slow-down, to sight along)"),
    ],
)
def test_every_cone_that_is_carried_is_told_with_its_use(name, cones):
    assert cones in words(_sheet(name, "tape"))


def test_forward_is_told_wherever_marks_are_moved():
    moved = [s for s in sheets_of("tuesday-wickets", "a4", ("tape",)) if "back 26 cm" in words(s)]
    assert moved
    assert all("forward = with the run" in words(sheet) for sheet in moved)
    assert "Forward = with the run" in words(_sheet("season-stages", "stages"))


def test_a_bend_without_wickets_does_not_speak_of_their_ends():
    assert "ends" not in words(_sheet("bend-accelerations", "ground"))
    assert "Left and right ends" in words(_sheet("wickets on a bend", "ground"))


def test_a_mark_of_the_drawing_is_not_taken_for_a_fixed_point():
    for name in ("bend-accelerations", "meadow-accelerations"):
        named = [
            t.text
            for t in texts(_sheet(name, "ground").pages[0])
            if t.role is Role.LABEL_STRONG and t.y_mm < 40.0
        ]
        assert "STEP 1" in named
        assert "1" not in named


def test_a_change_within_one_sd_is_not_told_as_progress():
    sheets = sheets_of("tuesday-wickets", "a4", ("progress",))
    said = " ".join(words(sheet) for sheet in sheets)
    assert "since what was known before no change beyond its error." in said
    assert "0.04 m/s faster" not in said


def test_the_default_of_a_flying_zone_does_not_speak_of_a_wicket():
    said = words(_sheet("flying-20", "coach"))
    assert "speed where the zone opens, of the speed built towards 98 %" in said
    assert "W1" not in said


def _long_bend():
    """Forty wickets of a child round a bend, the tape in quarter inches."""
    base = case("wickets on a bend")
    child = next(a for a in case("tuesday-wickets").plan.athletes if a.name == "Kit")
    return with_plan(
        base,
        athletes=(child,),
        drill=replace(base.plan.drill, wickets=40),
        kit=replace(base.plan.kit, wickets=40),
        place=Place(line="second bend", lanes=(1,)),
        tape=TapeSpec(tick=Tick.QUARTER_INCH, length_m=30.0),
    )


def test_the_foot_of_each_page_tells_what_follows_on_later_ones():
    (sheet,) = make_pages(_long_bend(), only=("tape",), paper="a5")
    told = [[t.text for t in texts(p) if t.text.startswith("TURN OVER")] for p in sheet.pages]
    marks = [{t.text for t in texts(p) if t.role is Role.MARK} for p in sheet.pages]
    assert len(sheet.pages) > 2
    assert told[-1] == []
    for number, (text,) in enumerate(told[:-1], start=1):
        later = set().union(*marks[number:])
        assert ("more marks" in text) == any(mark.startswith("W") for mark in later)
        assert ("START" in text) == ("START" in later)
        assert text.endswith("checks")


def test_the_turn_of_a_bend_takes_no_table_of_its_own():
    paper = replace(PAPERS["a4"], width_mm=192.0)  # the last column is what does not fit
    setting = replace(_setting(_long_bend()), unit=UnitSystem.FEET, paper=paper)
    sheet = ground_sheet(setting)
    titles = [t.text for page in sheet.pages for t in texts(page) if t.text == "mark"]
    assert len(titles) == len(sheet.pages)
    assert "turned" not in words(sheet).lower()
    assert "turned" in words(_sheet("wickets on a bend", "ground"))


@pytest.mark.parametrize(
    ("room_m", "metric", "feet"),
    [(41.29, "41.2 m", "135 ft"), (-0.2, "0.0 m", "0 ft"), (30.48, "30.4 m", "100 ft")],
)
def test_room_that_is_there_is_never_told_longer_than_it_is(room_m, metric, feet):
    assert there_text(room_m, UnitSystem.METRIC) == metric
    assert there_text(room_m, UnitSystem.FEET) == feet


def test_the_ground_sheet_tells_the_room_that_is_there_in_whole_feet():
    placed = case("feet-and-inches").layings[0].placed
    shown = there_text(placed.run_out_room_m, UnitSystem.FEET)
    assert f"at least, {shown} there" in words(_sheet("feet-and-inches", "ground"))


def test_a_coach_sheet_names_its_own_athlete_and_how_many_others_a_finding_is_about():
    base = case("flying-20")
    one = base.plan.athletes[0]
    names = ("Ada", "Ada, too", "Bea", "Cleo")
    squad = tuple(replace(one, name=name) for name in names)
    what = with_plan(base, athletes=squad)
    for name in names:
        said = " ".join(words(s) for s in make_pages(what, only=("coach",), athlete=name))
        assert f"{name} and 3 others: flat-out running" in said
    session = " ".join(words(sheet) for sheet in make_pages(what, only=("session",)))
    assert "Ada, Ada, too, Bea, Cleo: flat-out running" in session


def test_a_finding_about_others_only_is_not_on_an_athletes_own_sheet():
    base = case("shared-lanes")
    what = with_plan(base, session=replace(base.plan.session, efforts=9))
    over = {str(f.values["names"]) for f in what.findings if f.code == "volume-over-practice"}
    assert over
    for demand in (each for laying in what.layings for each in laying.demands):
        name = demand.athlete.name
        said = " ".join(words(s) for s in make_pages(what, only=("coach",), athlete=name))
        assert ("of sprinting in one session" in said) == any(name in names for names in over)


def test_words_of_a_name_stay_whole_on_the_session_sheet():
    base = case("shared-lanes")
    long = "Wolfeschlegelsteinhausen zu Ahr"
    athletes = tuple(replace(a, name=f"{long} {i}") for i, a in enumerate(base.plan.athletes))
    what = with_plan(base, athletes=athletes)
    for paper in ("a4", "letter"):
        (sheet,) = make_pages(what, only=("session",), paper=paper)
        said = [t.text for page in sheet.pages for t in texts(page)]
        assert not any(text.startswith("Wolf") and "hausen" not in text for text in said)


def test_the_easy_part_of_a_broken_run_is_drawn_at_one_speed():
    what = case("broken-run")
    laying = what.layings[0]
    setting = Setting(
        solved=what,
        series=series_of(what),
        laying=laying,
        paper=PAPERS["a4"],
        unit=UnitSystem.METRIC,
    )
    places, speeds = speed_drawn(setting, laying.demands[0], 0.0, 60.0)
    marks = laying.layout.marks
    easy = speeds[(places > 20.001) & (places < 39.999)]
    assert easy == pytest.approx(marks[2].speed_mps)
    assert easy[0] == pytest.approx(0.95 * marks[1].speed_mps)
    assert speeds[-1] == pytest.approx(marks[3].speed_mps, rel=1e-6)
    assert {t.text for t in texts(_sheet("broken-run", "coach").pages[0])} >= {"C1", "C2", "C3"}


def test_the_bag_is_counted_after_the_last_wicket_of_the_last_pull():
    base = solved("tuesday-wickets")
    at = next(i for i, each in enumerate(base.layings) if each.athletes == ("Wren",))
    reach = base.layings[at].tape.reading("w10")[1].true_m + 0.5
    what = with_plan(base, tape=replace(base.plan.tape, length_m=reach))
    laying = what.layings[at]
    last = max(laying.tape.reading(m.id)[0].number for m in laying.layout.of_kind(MarkKind.WICKET))
    check = closing_check(laying)
    assert laying.tape.reading(check.second_id)[0].number < last
    (sheet,) = make_pages(what, only=("tape",), athlete="Wren")
    lines = [" ".join(row) for page in sheet.pages for row in rows_of(page)]
    (bag,) = [i for i, line in enumerate(lines) if "n the bag after this: " in line]
    ends = max(i for i, line in enumerate(lines) if re.match(r"W\d+ \d", line))
    heads = [i for i, line in enumerate(lines) if line.startswith("PULL")]
    assert heads[last - 1] < ends < bag
    assert bag < heads[last]
    left = hurdles_left(what.layings, laying, what.plan.kit)
    assert f"after this: {left}" in lines[bag]


def test_a_zero_whose_distances_are_told_is_found_again_by_them_and_not_chosen():
    first, second = sheets_of("meadow-accelerations", "a4", ("tape",))
    assert "front of start mark: find it again" in words(first)
    assert "front of start mark: it stays where it lies" in words(second)
    for sheet in (first, second):
        assert "0 is 12.40 m from the corner flag; 31.00 m from the lamp post" in words(sheet)
        assert "by the gate: 30 m, mark, 1.00 m more." in words(sheet)
        assert "m 2 the lamp post" not in words(sheet)
        assert "ote how far" not in words(sheet)
    ground = words(sheets_of("meadow-accelerations", "a4", ("ground",))[0])
    assert "no fixed point" not in ground
    assert "12.40 m from the corner flag and 31.00 m from the lamp post by the gate" in ground


def test_the_slow_down_cone_never_stands_beyond_the_room_there_is():
    base = solved("broken-run")
    tape = replace(base.plan.tape, length_m=60.0)
    what = with_plan(base, ground=Strip(length_m=80.7), place=Place(), tape=tape)
    # 30 m are wanted; 20.7 m beyond the last cone the strip ends.
    tape_sheet, *_, page = make_pages(what, only=("tape", "practice"))
    assert "20 m past C3, beyond the tape: count 20 long steps." in words(tape_sheet)
    assert "20 m" in words(page)
    assert "30 m" not in words(page)
    assert "SLOW-DOWN 20 m past CONE 3" in as_text(what)
    free = with_plan(what, ground=Strip(length_m=120.0))
    assert "30 m past C3, beyond the tape: count 30 long steps." in words(
        next(iter(make_pages(free, only=("tape",))))
    )


def test_the_zero_names_the_edge_of_its_line_or_has_one_agreed_on():
    sheet = sheets_of("hall-wickets", "a4", ("tape",))[0]
    assert "Measure to the edge you meet first when running." in words(sheet)
    base = solved("hall-wickets")
    strips = tuple(
        replace(each, landmarks=tuple(replace(mark, edge="") for mark in each.landmarks))
        for each in base.plan.ground.strips
    )
    bare = with_plan(base, ground=replace(base.plan.ground, strips=strips))
    assert "Measure to the edge of it you all agree on." in words(
        next(iter(make_pages(bare, only=("tape",))))
    )


def test_a_start_the_tape_does_not_reach_is_told_to_the_tick():
    base = solved("tuesday-wickets")
    what = with_plan(base, tape=replace(base.plan.tape, length_m=12.0))
    (stop,) = [f for f in what.layings[0].tape.findings if f.code == "tape-too-short"]
    laying = base.layings[0]
    shown = laying.tape.reading("start")[1].ticks / 100
    assert f"START is {shown:.2f} m from W1 " in str(word(stop, "metric"))


def test_the_stages_of_a_shared_lane_keep_each_athletes_numbers_in_a_row_of_their_own():
    base = solved("shared-lanes")
    what = with_plan(base, stages=StagePlan(from_share=0.9, to_share=0.95, count=2))
    laying = next(x for x in what.layings if len(x.demands) > 1 and x.stage == 1)
    sheets = list(make_pages(what, only=("stages",)))
    (sheet,) = [s for s in sheets if f"Stages · {', '.join(laying.athletes)}" in words(s)]
    rows = [row for page in sheet.pages for row in rows_of(page)]
    for demand in laying.demands:
        own = {
            f"{demand.layout.built_to_mps:.2f} m/s",
            f"{run_on_shown_m(laying, demand.start_id):.2f} m",
            f"{expected_time_s(_setting(what), demand):.2f} s",
        }
        assert any(demand.athlete.name in row and own <= set(row) for row in rows)
        assert f"{demand.athlete.name}: stays" in words(sheet)


def test_day_and_name_of_the_ground_stand_at_the_foot_of_every_sheet_of_a_plan():
    plan = replace(solved("season-stages").plan, date=date(2027, 4, 3))
    kinds = ("tape", "ground", "coach", "stages", "card", "practice", "session", "squad")
    made = [s for s in make_pages(solve(plan), only=kinds, paper="a4") if s.kind != "blank"]
    assert {sheet.kind for sheet in made} >= {"tape", "ground", "coach", "stages"}
    for sheet in made:
        assert f"{plan.title} · 2027-04-03 · {plan.ground.name}" in words(sheet), sheet.kind


def test_a_ground_that_nobody_named_is_not_named_on_paper():
    plan = solved("board-approach").plan
    unnamed = replace(plan, ground=replace(plan.ground, name="runway"))
    first = next(iter(make_pages(solve(unnamed), only=("tape",), paper="a4")))
    assert f"{plan.title} · long-jump board" in words(first)


def test_notes_of_two_waves_that_read_alike_name_wave_and_athlete():
    plan = bend_wickets().plan
    other = replace(solved("feet-and-inches").plan.athletes[0], name="Bo")
    what = solve(replace(plan, athletes=(*plan.athletes, other)))
    lines = [text for _, text in told_of(what) if "on a bend" in text]
    for laying in what.layings:
        (name,) = laying.athletes
        assert any(f"wave {laying.wave}, {name}: " in text for text in lines), lines
    said = words(next(s for s in make_pages(what, only=("practice",)) if s.kind == "practice"))
    assert "wave 2, Bo: " in said


def child_and_man(tape_m: float, bag: int, *, mark: str = "w1", man_first: bool = False):
    """Two athletes of very different gaps, one after the other on one lane."""
    child, man = (
        Athlete(name=name, height_m=height_m, top_speed_mps=mps)
        for name, height_m, mps in (("Eef", 1.58, 7.0), ("Bas", 1.83, 9.6))
    )
    plan = solved("shared-lanes").plan
    return solve(
        replace(
            plan,
            athletes=(man, child) if man_first else (child, man),
            drill=WicketRun(speed_share=0.94, wickets=12),
            place=replace(plan.place, lanes=(3,), mark=mark),
            tape=replace(plan.tape, length_m=tape_m),
            kit=replace(plan.kit, wickets=bag),
        )
    )


@pytest.mark.parametrize(
    ("tape_m", "bag", "lifted", "rubbed"),
    [(23.0, 28, ["W12"], []), (23.0, 11, [], ["W12"]), (50.0, 11, [], []), (50.0, 28, [], [])],
)
def test_what_a_later_pull_moves_is_off_before_marks_are_set_past_it(tape_m, bag, lifted, rubbed):
    what = child_and_man(tape_m, bag)
    (_, sheet) = (s for s in make_pages(what, only=("tape",)) if s.kind == "tape")
    assert re.findall(r"Lift (\S+) first, out of the way\.", words(sheet)) == lifted
    assert re.findall(r"Rub out or lift (\S+) first\.", words(sheet)) == rubbed


@pytest.mark.parametrize(
    ("mark", "man_first", "lifted"),
    [("w12", True, "W2, W3"), ("w12", False, None), ("w1", True, None)],
)
def test_what_the_zero_is_set_past_is_lifted_before_it_moves(mark, man_first, lifted):
    what = child_and_man(50.0, 28, mark=mark, man_first=man_first)
    (_, sheet) = (s for s in make_pages(what, only=("tape",)) if s.kind == "tape")
    assert ("W1 moves first, " in words(sheet)) is (mark == "w12")
    found = re.search(r"Lift ([^.]+) first, out of the way\.", words(sheet))
    assert (found and found[1]) == lifted


@pytest.mark.parametrize("paper", PAPERS)
def test_which_way_a_mark_moves_is_never_broken_within_the_word(paper):
    """On Letter in feet the column of moves was narrower than "forward"."""
    what = in_half_inches(case("meadow-accelerations"))
    plan = replace(what.plan, tape=replace(what.plan.tape, tick=Tick.QUARTER_INCH))
    what = solve(replace(plan, athletes=plan.athletes[::-1]))
    _, sheet = (s for s in make_pages(what, only=("tape",), paper=paper) if s.kind == "tape")
    assert not re.search(r"\bforwa?r? ", words(sheet))
    assert " forward " in words(sheet)


@pytest.mark.parametrize("lies", TapeLies)
def test_round_a_bend_it_is_said_along_what_to_hold_and_to_check_and_pulled_straight_it_is_not(
    lies,
):
    # START alone lies on the bend, by so little that the tape may be pulled straight.
    place = Place(line="lap", lanes=(4,), landmark="back straight begins", mark="gate1")
    what = drill(
        FlyingSegment(zone_m=20.0, run_on_m=30.0),
        place=replace(place, offset_m=27.0),
        tape=TapeSpec(lies=lies),
    )
    sheet = words(next(iter(make_pages(what, only=("tape",)))))
    assert ("Tape pulled straight, not round the bend." in sheet) is (lies is TapeLies.STRAIGHT)
    assert ("along its line, right within" in sheet) is (lies is not TapeLies.STRAIGHT)
    assert ("along its line, hold" in sheet) is (lies is not TapeLies.STRAIGHT)
    assert ("tape straight, hold" in sheet) is (lies is TapeLies.STRAIGHT)


def test_a_pull_that_begins_at_another_mark_in_another_wave_says_in_which():
    plan = solved("shared-lanes").plan
    what = solve(replace(plan, tape=replace(plan.tape, length_m=18.5)))
    lines = [text for _, text in told_of(what) if "a new pull begins" in text]
    of_lane_4 = [text for text in lines if text.startswith("lane 4")]
    assert len(of_lane_4) > 1
    assert all(re.match(r"lane 4, wave [12], ", text) for text in of_lane_4), of_lane_4
    assert any(text.startswith("lane 3: ") for text in lines)  # in one wave only


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("start", "said"),
    [("standing", None), ("walk-in", "walk in over 4 m"), ("jog-in", "jog in over 8 m")],
)
@pytest.mark.parametrize("name", ["fixed-cadence", "flying-20", "board-approach"])
def test_how_somebody_comes_to_the_start_mark_stands_where_it_is_laid_and_where_it_is_told(
    name, start, said, paper
):
    base = solved(name)
    what = with_plan(base, drill=replace(base.plan.drill, start=StartKind(start)))
    pages = [words(each) for each in make_pages(what, only=("tape", "practice"), paper=paper)]
    tape = [each for each in pages if "START: cone" in each]
    assert tape
    for each in tape:
        assert (f"the runners {said}." if said else "toe behind.") in each
    told = " ".join(pages[len(tape) :])
    assert ("in over" in told) == (said is not None)
    assert said is None or f"{said.capitalize()} to the start mark" in told
    assert (said is None) == ("in over" not in as_table(what))
