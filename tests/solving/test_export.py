"""The export: the published schema, readings as printed, and text that survives."""

from __future__ import annotations

import csv
import io
import itertools
import json
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.drills.runs import Pace
from wicketlay.export import (
    as_csv,
    as_json,
    as_sharing,
    as_stages,
    as_table,
    as_text,
    document,
    schema,
)
from wicketlay.findings import Finding, Level
from wicketlay.ground.placing import Place
from wicketlay.ground.readings import TapeClass, TapeLies, TapeSpec, Tick
from wicketlay.ground.runway import Runway
from wicketlay.lanes.closing import run_on_shown_m
from wicketlay.plan import DRILL_KINDS, Adjustment
from wicketlay.plan_file import load
from wicketlay.sheets import make_pages
from wicketlay.solve import solve
from wicketlay.units import format_ticks, format_time
from wicketlay.wording import _catalogue
from wicketlay.wording.names import mark_name

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLANS = [p for p in sorted(LAYOUTS.glob("*.toml")) if 'kind = "plan"' in p.read_text("utf-8")]


@pytest.fixture(scope="module", params=PLANS, ids=lambda path: path.stem)
def solved(request):
    return solve(load(request.param))


@pytest.mark.parametrize("name", ["flying-20", "shared-lanes"])
def test_of_marks_that_several_run_over_each_has_a_line_with_their_own_figures(name):
    solved = solve(load(LAYOUTS / f"{name}.toml"))
    told = as_table(solved).splitlines()
    for laying in (each for each in solved.layings if len(each.demands) > 1):
        times = set()
        for demand in laying.demands:
            start = mark_name(demand.start_id)
            (line,) = (each for each in told if each.startswith(f"{demand.athlete.name} ({start})"))
            time = format_time(
                demand.layout.section_time_s
                if demand.appraisal is None
                else float(demand.appraisal.time_s[-1])
            )
            assert f" in {time}, {demand.cadence_hz:.2f} steps/s, builds to " in line
            assert f"run-on {run_on_shown_m(laying, demand.start_id):.2f} m" in line
            times.add(time)
        assert len(times) > 1
        (whose,) = {each for each in told if each.endswith(f"of {laying.middle.athlete.name}")}
        assert "speeds in the table" in whose


@pytest.mark.parametrize("name", ["flying-20", "shared-lanes"])
def test_a_row_names_whose_speed_foot_and_natural_step_it_holds(name):
    solved = solve(load(LAYOUTS / f"{name}.toml"))
    rows = list(csv.DictReader(io.StringIO(as_csv(solved))))
    told = document(solved)["layings"]
    assert any(len(laying.athletes) > 1 for laying in solved.layings)
    for laying, as_data in zip(solved.layings, told, strict=True):
        starts = {each.start_id: each.athlete.name for each in laying.demands}
        middle = laying.middle.athlete.name
        assert as_data["figures_of"] == middle
        at = (str(laying.lane), str(laying.wave), str(laying.stage))
        for row in rows:
            if (row["lane"], row["wave"], row["stage"]) == at:
                assert row["figures of"] == starts.get(row["mark"], middle)
    assert "figures of" not in as_table(solved)


def test_json_keeps_to_the_published_schema(solved):
    jsonschema.Draft202012Validator(schema()).validate(json.loads(as_json(solved)))


@pytest.mark.parametrize(
    ("where", "words"),
    [
        (("properties", "tape", "properties", "round"), Tick),
        (("properties", "tape", "properties", "class"), TapeClass),
        (("$defs", "finding", "properties", "level"), Level),
        (("$defs", "mark", "properties", "kind"), MarkKind),
        (("$defs", "laying", "properties", "datum"), Datum),
        (("$defs", "laying", "properties", "drill"), DRILL_KINDS.values()),
        (
            ("$defs", "laying", "properties", "parts", "items", "properties", "pace"),
            Pace,
        ),
    ],
    ids=lambda each: each[-1] if isinstance(each, tuple) and isinstance(each[0], str) else "",
)
def test_the_schema_knows_every_word_there_is(where, words):
    told = schema()
    for step in where:
        told = told[step]
    assert set(told["enum"]) == {str(word) for word in words}


def test_the_cadence_seen_stands_beside_the_one_that_is_asked():
    seen, unseen = (
        solve(load(LAYOUTS / f"{name}.toml")) for name in ("height-only", "tuesday-wickets")
    )
    (demand,) = document(seen)["layings"][0]["demands"]
    assert demand["cadence_seen"] == {
        "cadence_hz": 4.0,
        "speed_share": 0.95,
        "by": "eye",
        "teaches": "speed",
    }
    assert " 3.93 steps/s (3.81, were gaps not laid 3 % short), " in as_table(seen)
    timed = solve(load(LAYOUTS / "fixed-cadence.toml"))
    assert "4.30 steps/s, builds to" in as_table(timed)
    assert "seen of Ines: 4.00 steps/s at 95 %" in as_table(seen)
    (demand,) = document(unseen)["layings"][0]["demands"]
    assert demand["cadence_seen"] is None


def test_the_parts_of_a_run_end_at_its_marks(solved):
    for laying, told in zip(solved.layings, document(solved)["layings"], strict=True):
        middle = laying.demands[len(laying.demands) // 2]
        ends = list(itertools.accumulate(part["length_m"] for part in told["parts"]))
        places = [*(mark.along_m for mark in laying.layout.marks), laying.layout.run_out_from_m]
        for end in ends:
            assert min(abs(place - middle.start_along_m - end) for place in places) < 1e-3
        for part in told["parts"]:
            share = part["speed_mps"] / middle.runner.top_speed.value
            cadence = middle.runner.gait.free_cadence_hz(share)
            assert part["step_m"] == pytest.approx(part["speed_mps"] / cadence, rel=0.01)


def test_the_parts_of_a_broken_run_have_the_times_of_its_cones():
    broken = solve(load(LAYOUTS / "broken-run.toml"))
    laying = document(broken)["layings"][0]
    cones = [mark for mark in laying["marks"] if mark["kind"] == "cone"]
    assert [part["pace"] for part in laying["parts"]] == ["full", "easy", "timed"]
    for part, cone in zip(laying["parts"], cones, strict=True):
        assert (part["time_s"], part["speed_mps"]) == (cone["time_s"], cone["speed_mps"])


@pytest.mark.parametrize("name", ["broken-run", "meadow-accelerations"])
def test_what_is_timed_from_the_start_mark_has_no_run_on_before_it(name):
    run = as_table(solve(load(LAYOUTS / f"{name}.toml"))).split("from START ")[1].splitlines()[0]
    assert re.match(r"\d+\.\d\d m in \d\.\d\d s, ", run)
    assert "run-on" not in as_table(solve(load(LAYOUTS / f"{name}.toml")))
    assert "run-on" in as_table(solve(load(LAYOUTS / "flying-20.toml")))


def test_a_start_mark_moved_forward_makes_the_first_part_shorter():
    plan = load(LAYOUTS / "broken-run.toml")
    name = plan.athletes[0].name
    moved = solve(replace(plan, adjustments=(Adjustment(athlete=name, start_shift_m=0.4),)))
    lengths = [
        [part["length_m"] for part in document(each)["layings"][0]["parts"]]
        for each in (solve(plan), moved)
    ]
    assert lengths[1] == pytest.approx([lengths[0][0] - 0.4, *lengths[0][1:]])


def test_shown_is_the_reading_and_the_reading_is_the_rounded_place(solved):
    for laying in document(solved)["layings"]:
        for pull in laying["tape"]["pulls"]:
            for reading in pull["readings"]:
                tick = solved.plan.tape.tick.metres
                assert abs(reading["ticks"] * tick - reading["true_m"]) <= tick / 2 + 1e-4
                assert reading["shown"] == format_ticks(
                    reading["ticks"], solved.plan.tape.tick.value
                )


def test_gaps_are_differences_of_places_and_not_of_readings(solved):
    for laying in document(solved)["layings"]:
        wickets = [mark for mark in laying["marks"] if mark["kind"] == "wicket"]
        for before, mark in itertools.pairwise(wickets):
            assert mark["gap_m"] == pytest.approx(mark["along_m"] - before["along_m"], abs=2e-4)


def test_equal_plans_give_equal_text(solved):
    again = solve(solved.plan)
    assert as_json(again) == as_json(solved)
    assert as_table(again) == as_table(solved)


def test_every_mark_is_in_the_csv_once(solved):
    rows = list(csv.DictReader(io.StringIO(as_csv(solved))))
    assert {row["status"] for row in rows} == {"lay"}
    assert len(rows) == sum(len(laying.layout.marks) for laying in solved.layings)


def test_units_stand_in_the_heads_of_the_csv(solved):
    rows = list(csv.DictReader(io.StringIO(as_csv(solved))))
    metric = solved.plan.tape.tick.metric
    assert {"reading [m]" if metric else "reading [ft in]"} <= set(rows[0])
    marks = [each.mark for laying in solved.layings for each in laying.placed.marks]
    for row, mark in zip(rows, marks, strict=True):
        shown = row["speed [m/s]" if metric else "speed [mph]"]
        if mark.speed_mps is not None:
            told = float(shown) * (1.0 if metric else 1609.344 / 3600.0)
            assert told == pytest.approx(mark.speed_mps, abs=0.0051 if metric else 0.023)


@pytest.fixture(scope="module")
def stopped():
    """Two athletes of whom one, Wren, runs over gaps that nobody should lay."""
    plan = load(LAYOUTS / "tuesday-wickets.toml")
    what = solve(plan)
    stop = Finding(
        level=Level.STOP,
        code="cadence-over-top",
        values={"asked_hz": 5.4, "limit_hz": 4.8, "top_hz": 4.4},
    )
    first, *others = what.layings
    return replace(what, layings=(replace(first, findings=(stop,)), *others))


def test_a_stop_stands_first_in_the_csv_and_its_readings_are_left_out(stopped):
    rows = list(csv.DictReader(io.StringIO(as_csv(stopped))))
    held, *others = stopped.layings
    assert rows[0]["status"] == "STOP"
    assert rows[0]["athletes"] == ", ".join(held.athletes)
    assert rows[0]["reading [m]"] == ""
    assert "5.40 steps/s" in rows[0]["stop"]
    assert [row["status"] for row in rows[1:]] == ["lay"] * sum(
        len(laying.placed.marks) for laying in others
    )


def test_a_stop_stands_first_in_the_table_and_names_wave_and_athlete(stopped):
    lines = as_table(stopped).splitlines()
    held = stopped.layings[0]
    assert lines[0] == "DO NOT LAY OUT"
    where = f"STOP: lane {held.lane}, wave {held.wave}, {', '.join(held.athletes)}: "
    assert lines[1].startswith(where)
    heading = next(i for i, line in enumerate(lines) if "wave 1: " in line and i > 1)
    assert lines[heading + 1] == "DO NOT LAY OUT: see above"
    others = sum(len(laying.placed.marks) for laying in stopped.layings[1:])
    kinds = [line.split()[1:2] for line in lines]
    assert sum(kind in (["wicket"], ["start"]) for kind in kinds) == others


def test_a_stop_has_no_readings_in_json_either(stopped):
    told = json.loads(as_json(stopped))
    jsonschema.Draft202012Validator(schema()).validate(told)
    held, *others = told["layings"]
    assert held["status"] == "stop"
    assert held["tape"]["pulls"] == held["marks"] == held["landings"] == []
    places = {key: held[key] for key in held if key.endswith(("_m", "moves", "landmarks"))}
    left = {key for key, value in places.items() if value not in (None, [])}
    assert left == {key for key in places if key.startswith("run_out")}
    assert {each["run_on_shown_m"] for each in held["demands"]} == {None}
    assert {each["status"] for each in others} == {"lay"}
    assert all(each["tape"]["pulls"] for each in others)


def test_a_stop_of_the_whole_plan_withholds_every_reading(solved):
    stop = Finding(level=Level.STOP, code="ground-both-ways-fall")
    held = replace(solved, findings=(*solved.findings, stop))
    rows = list(csv.DictReader(io.StringIO(as_csv(held))))
    assert {row["status"] for row in rows} == {"STOP"}
    assert {each["status"] for each in json.loads(as_json(held))["layings"]} == {"stop"}
    table = as_table(held)
    assert table.startswith("DO NOT LAY OUT\nSTOP: ")
    assert table.count("DO NOT LAY OUT: see above") == len(solved.layings)
    assert "PULL" not in as_text(held)
    assert not re.search(r"\d\.\d\d|\d in|forward|back|taken up", as_sharing(held))
    assert "DO NOT LAY" in as_sharing(held)


def test_a_stage_that_is_stopped_gives_no_reading_and_none_is_moved_from_it():
    plan = load(LAYOUTS / "season-stages.toml")
    solved = solve(plan)
    first, second, third, last = solved.layings
    stop = Finding.stop("ground-both-ways-fall")
    held = replace(
        solved, layings=(first, second, replace(third, findings=(*third.findings, stop)), last)
    )
    lines = as_stages(held).splitlines()
    assert [line.split()[3] for line in lines[2:15]] == ["-"] * 13
    assert not any("-" in (line.split()[2], line.split()[4]) for line in lines[2:15])
    assert "to stage 3: DO NOT LAY OUT" in lines
    assert "to stage 4: all laid anew, nothing lies there of stage 3" in lines


@pytest.mark.parametrize(
    ("lies", "said"),
    [
        (TapeLies.RUN_LINE, "Tape in the lane, 0.20 m from its left line."),
        (TapeLies.PAINTED_LINE, "Tape along the left line, as the runner sees it."),
    ],
)
def test_round_a_bend_table_and_message_say_along_what_the_tape_lies_as_paper_does(lies, said):
    plan = load(LAYOUTS / "bend-accelerations.toml")
    solved = solve(replace(plan, tape=replace(plan.tape, lies=lies)))
    sheet = next(iter(make_pages(solved, only=("tape",))))
    printed = " ".join(getattr(item, "text", "") for item in sheet.pages[0].items)
    assert said in printed.replace("\N{NO-BREAK SPACE}", " ")
    assert said in as_text(solved).splitlines()
    assert said in as_table(solved).splitlines()
    straight = solve(load(LAYOUTS / "fixed-cadence.toml"))
    assert "Tape" not in as_text(straight).partition("PULL")[0]


def test_a_message_has_every_reading_and_short_lines(solved):
    lines = as_text(solved).splitlines()
    stages = solved.plan.stages
    now = [o for o in solved.layings if stages is None or o.stage == stages.now]
    for laying in now:
        for pull in laying.tape.pulls:
            for reading in pull.readings:
                shown = format_ticks(reading.ticks, reading.tick.value)
                assert any(line.endswith(shown) for line in lines)
    assert max(len(line) for line in lines) <= 80


def test_every_code_is_worded(solved):
    assert {finding.code for finding in solved.all_findings} <= _catalogue().keys()


@pytest.mark.parametrize("name", ["=1+1", "+44", "-x", "@sum"])
def test_a_name_that_looks_like_a_formula_is_quoted(name):
    plan = load(LAYOUTS / "fixed-cadence.toml")
    plan = replace(plan, athletes=(replace(plan.athletes[0], name=name),))
    rows = list(csv.DictReader(io.StringIO(as_csv(solve(plan)))))
    assert {row["athletes"] for row in rows} == {f"'{name}"}


def test_braces_and_markup_in_a_name_stay_what_they_are():
    plan = load(LAYOUTS / "height-only.toml")
    name = "{mark} [b]x[/b] <i>&amp;"
    plan = replace(plan, athletes=(replace(plan.athletes[0], name=name),))
    assert name in as_table(solve(plan))


def test_free_room_is_rounded_up_everywhere():
    solved = solve(load(LAYOUTS / "fixed-cadence.toml"))
    wanted = solved.layings[0].layout.run_out_wanted_m
    assert 36.0 < wanted < 36.5
    assert "slow-down 37 m wanted" in as_table(solved)
    assert "SLOW-DOWN 37 m past W12" in as_text(solved)


def test_a_jump_has_no_slow_down_into_the_pit():
    solved = solve(load(LAYOUTS / "board-approach.toml"))
    assert "slow-down" not in as_table(solved)
    assert "SLOW-DOWN" not in as_text(solved)


def test_a_message_names_the_board_and_no_lane_on_a_runway():
    lines = as_text(solve(load(LAYOUTS / "board-approach.toml"))).splitlines()
    assert lines[1] == "LONG-JUMP BOARD LONG JUMP RUNWAY WAVE 1"
    assert lines[3] == "0 = the take-off line of the long-jump board"
    assert "TAKE-OFF LINE 0.00" in lines
    assert "Tape up and runway closed, pit free and raked, before anyone runs." in lines
    assert "lane" not in "\n".join(lines).lower()
    table = as_table(solve(load(LAYOUTS / "board-approach.toml")))
    assert table.startswith("Board approach: harbour runway, long-jump board, long jump runway, ")


def test_what_is_found_on_a_runway_names_no_lane():
    plan = load(LAYOUTS / "fixed-cadence.toml")
    heights = {"Ada": plan.athletes[0].height_m, "Bo": 1.7}
    runs = tuple(replace(plan.athletes[0], name=n, height_m=m) for n, m in heights.items())
    short = replace(plan, athletes=runs, ground=Runway(length_m=100.0), place=Place(offset_m=-80.0))
    what = solve(short)
    assert "\nSTART is 7.22 m behind the end of the surface" in as_text(what)
    assert "STOP: long jump runway, wave 1, Ada: START is 7.22 m behind" in as_table(what)
    assert {each["lane"] for each in document(what)["layings"][0]["findings"]} == {None}
    on_a_track = solve(replace(short, ground=plan.ground, place=replace(plan.place, offset_m=40.0)))
    assert "STOP: lane 4, wave 1, Ada: " in as_table(on_a_track)


def test_a_zero_on_open_ground_is_told_from_what_was_noted_in_a_message_and_in_the_table():
    solved = solve(load(LAYOUTS / "meadow-accelerations.toml"))
    for told in (as_text(solved), as_table(solved)):
        assert "0 = START, 12.40 m from the corner flag\n" in told
        assert "0 = START, 31.00 m from the lamp post by the gate: 30 m, mark, 1.00 m more" in told


def test_a_message_has_the_cautions_of_what_is_laid():
    said = as_text(solve(load(LAYOUTS / "meadow-accelerations.toml")))
    assert "Tape up and lane closed, slow-down free, before anyone runs." in said
    assert "wickets" not in said
    wickets = load(LAYOUTS / "fixed-cadence.toml")
    slow = solve(replace(wickets, ground=Runway(length_m=120.0), place=Place(offset_m=-80.0)))
    lines = as_text(slow).splitlines()
    assert "SLOW-DOWN 37 m past W12" in lines
    assert "Tape up and runway closed, slow-down free, before anyone runs." in lines
    assert "slow-down 37 m wanted" in as_table(slow)


@pytest.mark.parametrize(
    ("mark", "offset_m", "zero", "line"),
    [
        ("w1", -60.0, None, "0 = W1, 60.00 m before the finish line: 50 m, mark, 10.00 m more"),
        ("start", -80.0, None, "START, 80.00 m before the finish line: 50 m, mark, 30.00 m more"),
        ("w3", -40.0, "w1", "W3, 40.00 m before the finish line"),
        ("w3", 30.0, "w1", "W3, 30.00 m past the line where the straight begins"),
        ("start", 0.0, "w1", "START, at the line where the straight begins"),
        ("start", -80.0, "start", "0 = START, 80.00 m before the finish line: "),
    ],
)
def test_the_table_and_json_say_where_the_mark_stands_that_the_place_was_told_for(
    mark, offset_m, zero, line
):
    plan = load(LAYOUTS / "fixed-cadence.toml")
    landmark = "finish" if offset_m < 0.0 else "home straight begins"
    place = replace(plan.place, landmark=landmark, mark=mark, offset_m=offset_m)
    what = solve(replace(plan, place=place, tape=TapeSpec(zero=zero)))
    told = [each for each in as_table(what).splitlines() if each.startswith(line)]
    assert len(told) == 1
    (laying,) = json.loads(as_json(what))["layings"]
    way = "beyond" if offset_m > 0.0 else "before"
    assert laying["place"] == {
        "mark": mark,
        "landmark": landmark,
        "distance_m": abs(offset_m),
        "mark_is": way,
    }


def test_where_the_told_mark_stands_follows_the_slide_and_where_there_is_no_landmark_it_is_null():
    plan = load(LAYOUTS / "fixed-cadence.toml")
    place = replace(plan.place, landmark="finish", mark="w1", offset_m=-50.0, slide_m=0.3)
    (laying,) = document(solve(replace(plan, place=place)))["layings"]
    assert laying["place"]["distance_m"] == pytest.approx(49.7)
    (first, _) = document(solve(load(LAYOUTS / "meadow-accelerations.toml")))["layings"]
    assert first["place"] is None


def test_a_take_off_run_tells_all_its_steps():
    what = solve(load(LAYOUTS / "board-approach.toml"))
    assert "run-on 14.71 m in 9 of 19 steps" in as_table(what)
    (demand,) = document(what)["layings"][0]["demands"]
    assert demand["approach_steps"] == 19
    run = solve(load(LAYOUTS / "fixed-cadence.toml"))
    assert document(run)["layings"][0]["demands"][0]["approach_steps"] is None


def test_the_error_of_the_tape_is_in_the_unit_of_the_tape():
    plan = load(LAYOUTS / "feet-and-inches.toml")
    said = as_table(solve(plan))
    assert "tape ± 5/8 in" in said
    assert " mm" not in said
    metric = solve(replace(plan, tape=replace(plan.tape, tick=Tick.CM_1)))
    assert f"tape ± {metric.layings[0].tape.error_mm:.0f} mm" in as_table(metric)


def test_a_message_is_of_the_stage_the_plan_is_at():
    said = as_text(solve(load(LAYOUTS / "season-stages.toml")))
    assert "STAGE 2" in said
    assert "STAGE 1" not in said
    assert "STAGE 3" not in said


def test_a_message_of_a_plan_that_is_stopped_says_so_first():
    plan = load(LAYOUTS / "fixed-cadence.toml")
    away = (Adjustment(athlete=plan.athletes[0].name, absent=True),)
    said = as_text(solve(replace(plan, adjustments=away)))
    assert said.splitlines()[1] == "DO NOT LAY OUT"
