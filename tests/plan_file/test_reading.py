"""Every rule of reading, each with its exact message."""

from __future__ import annotations

import dataclasses
import datetime as dt
import os
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.errors import InputFileError
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.placing import Direction
from wicketlay.ground.tape import TapeClass, Tick
from wicketlay.keys.explained import explained
from wicketlay.lanes.stages import StageCadence
from wicketlay.plan import DRILL_KINDS
from wicketlay.plan_file import PlanFileError, load, open_plan
from wicketlay.running.facts import ClockStart, FirstGuess, Foot, SeenBy, Sex, Timing
from wicketlay.running.touchdowns import StartKind
from wicketlay.sources import Standard
from wicketlay.starter.quick import quick_text
from wicketlay.units import parse_duration

LAYOUTS = Path(__file__).parents[2] / "layouts"

BASE = {
    "head": 'format = 1\nkind = "plan"\ntitle = "Test"\n',
    "athletes": '[[athlete]]\nname = "Wren"\nheight = "1.66 m"\ntop_speed = "7.9 m/s"\n',
    "drill": '[drill]\nkind = "wicket-run"\nspeed = "95 %"\nsection = "25 m"\n',
}


def text_of(**changes: str) -> str:
    return "".join({**BASE, **changes}.values())


def problems_of(folder: Path, text: str | bytes) -> list[str]:
    """Return the lines of the error, the folder taken off."""
    path = folder / "plan.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(PlanFileError) as caught:
        load(path)
    return str(caught.value).replace(f"{folder}{os.sep}", "").split("\n")


def plan_of(folder: Path, text: str):
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return load(path)


@pytest.mark.parametrize(
    ("word", "sex"),
    [
        *((word, Sex.FEMALE) for word in ("f", "female", "woman", "girl")),
        *((word, Sex.MALE) for word in ("m", "male", "man", "boy")),
    ],
)
def test_sex_may_be_a_word_which_saving_keeps(tmp_path, word, sex):
    path = tmp_path / "plan.toml"
    athlete = f'[[athlete]]\nname = "Wren"\nheight = "1.66 m"\nsex = "{word}"\n'
    path.write_text(text_of(athletes=athlete), encoding="utf-8")
    opened = open_plan(path)
    assert opened.plan.athletes[0].sex is sex
    opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert f'sex = "{word}"' in path.read_text("utf-8")
    assert 'title = "Other"' in path.read_text("utf-8")


def test_a_comma_in_a_file_is_a_decimal_point_as_on_the_command_line(tmp_path):
    athlete = '[[athlete]]\nname = "Wren"\nheight = "1,66 m"\ntau = "1,05s"\n'
    (read,) = plan_of(tmp_path, text_of(athletes=athlete)).athletes
    assert (read.height_m, read.time_constant_s) == (1.66, 1.05)
    assert parse_duration("2,68s") == parse_duration("2.68s") == 2.68


# -- what is read ------------------------------------------------------------------------------


def test_a_small_plan_is_read_with_the_defaults_of_everything_else(tmp_path):
    plan = plan_of(tmp_path, text_of())
    assert plan.title == "Test"
    assert [athlete.name for athlete in plan.athletes] == ["Wren"]
    assert plan.drill == WicketRun(speed_share=0.95, section_m=25.0)
    assert plan.ground == Strip()
    assert plan.kit.wickets == 14
    assert plan.tape.tick is Tick.CM_1
    assert plan.stages is None
    assert plan.adjustments == ()


def test_the_keys_of_the_design_are_read(tmp_path):
    plan = plan_of(
        tmp_path,
        """\
format = 1
kind = "plan"
title = "Tuesday wickets"
athletes = ["Tarik", "Wren"]
[drill]
kind = "wicket-run"
speed = "95 %"
cadence = "98 % of top"
wickets = 12
gaps = "stepped"
group = 3
first_foot = "left"
start = "jog-in"
run_on = "11 steps"
gap_change = "-2 %"
[kit]
wickets = 14
wicket_width = "60 cm"
wicket_height = "15 cm"
falls_both_ways = true
[ground]
kind = "track"
[place]
line = "home straight"
lanes = [4, 5]
landmark = "finish"
mark = "w1"
offset = "-60 m"
direction = "both ways"
slide = "30 cm"
[tape]
zero = "w1"
length = "50 m"
unit = "feet"
class = "I"
temperature = "80 F"
[session]
efforts = 6
recovery = "3 min"
waves = 2
length = "1 h"
[stages]
from = "88 %"
to = "97 %"
count = 4
hold = "w1"
tolerance = "3 cm"
cadence = "natural"
[[adjust]]
athlete = "Tarik"
gaps = "+2 %"
speed = "-1 %"
start = "-40 cm"
[judgement]
long_caution = "4 %"
free_steps = 5
push_off_s = "0.12 s"
[[athlete]]
name = "Wren"
height = "5' 5 1/2\\""
sex = "f"
age = "12 years"
level = "under-13"
front_foot = "left"
takeoff_foot = "right"
flying = { distance = "20 m", time = "2.35 s", run_on = "30 m", timing = "video", runs = 3 }
[[athlete.run]]
date = 2026-02-17
distance = "20 m"
time = "2.4 s"
steps = 11.5
held = "95 %"
over = "wickets"
[[athlete]]
name = "Tarik"
height = "1.86 m"
born = 2001-05-06
first_cadence = "258 steps/min"
first_speed = "95 %"
first_seen = "video"
[athlete.splits]
distances = ["10 m", "20 m"]
times = ["1.9 s", "3,1 s"]
start = "gun"
reaction = "0.15 s"
""",
    )
    tarik, wren = plan.athletes
    assert (tarik.name, tarik.born) == ("Tarik", dt.date(2001, 5, 6))
    assert tarik.first_guess == FirstGuess(cadence_hz=4.3, speed_share=0.95, by=SeenBy.VIDEO)
    assert tarik.splits.times_s == (1.9, 3.1)
    assert tarik.splits.start is ClockStart.GUN
    assert wren.height_m == 1.6637
    assert (wren.age_years, wren.level) == (12.0, Standard.UNDER_13)
    assert (wren.front_foot, wren.takeoff_foot) == (Foot.LEFT, Foot.RIGHT)
    assert (wren.flying.timing, wren.flying.runs) == (Timing.VIDEO, 3)
    assert wren.observations[0].over_marks
    assert plan.drill == WicketRun(
        speed_share=0.95,
        cadence=CadenceTarget(rule=CadenceRule.OF_TOP, value=0.98),
        wickets=12,
        gaps=GapRule.STEPPED,
        group=3,
        first_foot=Foot.LEFT,
        start=StartKind.JOG_IN,
        run_on_steps=11,
        gap_change=-0.02,
    )
    assert plan.kit.falls_both_ways
    assert isinstance(plan.ground, Track)
    assert (plan.place.lanes, plan.place.offset_m, plan.place.slide_m) == ((4, 5), -60.0, 0.3)
    assert plan.place.direction is Direction.BOTH
    assert (plan.tape.tick, plan.tape.tape_class) == (Tick.HALF_INCH, TapeClass.I)
    assert plan.tape.temperature_c == pytest.approx(26.667, abs=1e-3)
    assert (plan.session.recovery_s, plan.session.length_s) == (180.0, 3600.0)
    assert plan.stages.cadence is StageCadence.NATURAL
    assert plan.adjustment("Tarik").start_shift_m == -0.4
    assert (plan.judgement.long_caution, plan.judgement.free_steps) == (0.04, 5)
    assert plan.judgement.push_off_s == 0.12


def test_stages_that_keep_the_share_of_top_cadence_are_read_as_they_were_once_written(tmp_path):
    stages = '[stages]\nfrom = "88 %"\nto = "97 %"\ncount = 4\ncadence = "share"\n'
    path = tmp_path / "plan.toml"
    path.write_text(text_of(stages=stages), "utf-8")
    assert load(path).stages.cadence is StageCadence.HELD


def test_a_takeoff_run_takes_strides_for_steps(tmp_path):
    drill = (
        '[drill]\nkind = "takeoff-run"\nspeed = "90 %"\napproach = "14-stride approach"\nfree = 4\n'
    )
    plan = plan_of(tmp_path, text_of(drill=drill, ground='[ground]\nkind = "runway"\n'))
    assert plan.drill == TakeoffRun(speed_share=0.9, approach_steps=14, free_steps=4)
    assert isinstance(plan.ground, Runway)


@pytest.mark.parametrize(
    ("written", "rule", "value"),
    [
        ("4.3 steps/s", CadenceRule.STEPS_PER_S, 4.3),
        ("258 steps/min", CadenceRule.STEPS_PER_S, 4.3),
        ("98 % of top", CadenceRule.OF_TOP, 0.98),
        ("102% of natural", CadenceRule.OF_NATURAL, 1.02),
        ("natural", CadenceRule.NATURAL, 1.0),
    ],
)
def test_a_cadence_has_four_spellings(tmp_path, written, rule, value):
    plan = plan_of(tmp_path, text_of(more=f'cadence = "{written}"\n'))
    assert plan.drill.cadence == CadenceTarget(rule=rule, value=value)


def test_a_byte_order_mark_and_crlf_are_read(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbf" + text_of().replace("\n", "\r\n").encode())
    assert load(path).title == "Test"


PLANS = sorted(path for path in LAYOUTS.glob("*.toml") if not path.name.startswith("harbour-"))


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.name)
def test_every_layout_is_read(path):
    assert open_plan(path).plan.title


def test_every_file_of_the_layouts_is_named_by_a_plan():
    named = {
        p
        for plan in LAYOUTS.glob("*.toml")
        if not plan.name.startswith("harbour-")
        for p in open_plan(plan).paths.values()
    }
    assert named == set(LAYOUTS.glob("*.toml")) - {LAYOUTS / "harbour-practice.toml"}
    practice = tomllib.loads((LAYOUTS / "harbour-practice.toml").read_text("utf-8"))
    assert practice["kind"] == "practice"
    assert {LAYOUTS / station["plan"] for station in practice["station"]} <= named


@pytest.mark.parametrize("written", ["12.5", '"12.5 years"', '"12,5 y"', '"12.5y"'])
def test_an_age_is_a_number_or_a_text(tmp_path, written):
    (tmp_path / "harbour-track.toml").write_bytes((LAYOUTS / "harbour-track.toml").read_bytes())
    path = tmp_path / "plan.toml"
    text = (LAYOUTS / "fixed-cadence.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('sex = "m"', f"age = {written}", 1), encoding="utf-8")
    assert load(path).athletes[0].age_years == 12.5


# -- before the parser -------------------------------------------------------------------------


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(PlanFileError) as caught:
        load(tmp_path / "none.toml")
    assert str(caught.value) == (
        f"{tmp_path / 'none.toml'}: there is no such file; "
        "check the name, or make one with wicketlay new"
    )


@pytest.mark.parametrize("name", ["tuesday-wicket.toml", "tuesday", "tuesdaywickets.toml"])
def test_a_missing_file_that_looks_like_one_that_is_there_is_told_with_it(name):
    with pytest.raises(PlanFileError) as caught:
        load(LAYOUTS / name)
    assert str(caught.value) == (
        f"{LAYOUTS / name}: there is no such file; "
        f'did you mean "{LAYOUTS / "tuesday-wickets.toml"}"?'
    )


def test_a_squad_whose_name_is_misspelt_is_told_with_the_one_that_is_there(tmp_path):
    (tmp_path / "club").mkdir()
    (tmp_path / "club" / "squad.toml").touch()
    path = tmp_path / "plan.toml"
    path.write_text('format = 1\nkind = "plan"\ntitle = "T"\nsquad = "club/sqad.toml"\n')
    with pytest.raises(PlanFileError) as caught:
        load(path)
    (told,) = (each for each in caught.value.problems if each.key == "squad")
    assert told.nearest == "club/squad.toml"


def test_a_folder_and_a_pipe_are_no_plans(tmp_path):
    with pytest.raises(PlanFileError) as caught:
        load(tmp_path)
    assert str(caught.value) == f"{tmp_path}: is a folder; name a .toml file"
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(PlanFileError, match=r"is not a regular file; name a \.toml file"):
        load(tmp_path / "pipe.toml")


def test_a_name_with_a_nul_is_no_file():
    with pytest.raises(PlanFileError, match="cannot be read: error"):
        load("plan\0.toml")


def test_the_error_is_an_input_file_error_with_the_exit_code_of_one(tmp_path):
    with pytest.raises(InputFileError) as caught:
        load(tmp_path / "none.toml")
    assert caught.value.exit_code == 4


BEFORE_PARSING = {
    "too large": (
        text_of(more="#" * (1024 * 1024)),
        "plan.toml: is larger than 1 MiB; split it, or take out what is not a plan",
    ),
    "too many lines": (
        text_of(more="\n" * 20_000),
        "plan.toml: has 20011 lines; keep a file to 20000 lines",
    ),
    "not utf-8": (
        text_of().encode() + b"# caf\xe9\n",
        "plan.toml, line 12: byte 0xe9 is not UTF-8; save the file as UTF-8",
    ),
    "escape": (
        text_of(more="# \x1b[31m\n"),
        "plan.toml, line 12: holds the control character U+001B; take it out",
    ),
    "lone carriage return": (
        text_of(more="# a\rb\n"),
        "plan.toml, line 12: holds the control character U+000D; take it out",
    ),
    "bidi": (
        text_of(more="# \u202ebackwards\n"),
        "plan.toml, line 12: holds the bidirectional control character U+202E; take it out",
    ),
    "no shape": (
        text_of(more="# \U0010ffff\n"),
        "plan.toml, line 12: holds the character without a shape U+10FFFF; take it out",
    ),
    "invisible": (
        text_of(more="# a\u200bb\n"),
        "plan.toml, line 12: holds the invisible character U+200B; take it out",
    ),
    "line separator": (
        text_of(more="# a\u2028b\n"),
        "plan.toml, line 12: holds the control character U+2028; take it out",
    ),
    "deep": (
        text_of(more="x = " + "[" * 5000),
        "plan.toml, line 12: brackets are nested more than 8 deep; a plan needs three at most",
    ),
    "dotted": (
        text_of(more=".".join("a" * 20_000) + " = 1"),
        "plan.toml, line 12: a key has more than 8 dots; a plan needs two at most",
    ),
    "dotted, quoted": (
        text_of(more='[drill."a"' + '."a"' * 20 + "]"),
        "plan.toml, line 12: a key has more than 8 dots; a plan needs two at most",
    ),
    "syntax": (
        text_of(more='speed "95 %"\n'),
        "plan.toml, line 12: is not valid TOML, column 7: expected '=' after a key in a "
        "key/value pair; "
        'write speed = "95 %"',
    ),
    "no quotes": (
        text_of(more="gap_change = 5 %\n"),
        "plan.toml, line 12: is not valid TOML, column 16: expected newline or end of document "
        "after a statement; "
        'write gap_change = "5 %"',
    ),
    "open string": (
        text_of(more='x = "abc'),
        "plan.toml, line 12: is not valid TOML: unterminated string; a quotation mark is missing",
    ),
    "twice": (
        text_of(more='speed = "90 %"\n'),
        "plan.toml, line 12: is not valid TOML, column 15: cannot overwrite a value; "
        "speed stands twice in its table: take one out",
    ),
    "endless number": (
        text_of(more="x = " + "9" * 5000),
        "plan.toml: holds a number that is too long; write quantities in quotes",
    ),
}


@pytest.mark.parametrize("case", BEFORE_PARSING)
def test_what_is_refused_before_reading_on_is_told_alone(tmp_path, case):
    text, message = BEFORE_PARSING[case]
    began = time.perf_counter()
    assert problems_of(tmp_path, text) == [message]
    assert time.perf_counter() - began < 2.0


# -- the head ----------------------------------------------------------------------------------

HEADS = {
    'kind = "plan"\ntitle = "T"\n': ['plan.toml: has no "format"; begin the file with format = 1'],
    'format = 2\nkind = "plan"\ntitle = "T"\n': [
        "plan.toml, line 1: format: 2 is not a format we know; allowed: 1"
    ],
    'format = true\nkind = "plan"\ntitle = "T"\n': [
        "plan.toml, line 1: format: true is not a format we know; allowed: 1"
    ],
    'format = 1\ntitle = "T"\n': ['plan.toml: has no "kind"; write kind = "plan" below the format'],
    'format = 1\nkind = "squad"\ntitle = "T"\n': [
        'plan.toml, line 2: kind: "squad" is not what is wanted here; allowed: "plan"; '
        "this is a squad file; name the plan that uses it"
    ],
    'format = 1\nkind = "plan"\n': [
        'plan.toml: the plan has no "title"; add title = "Tuesday wickets"'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\ntitel = "T"\n': [
        'plan.toml, line 4: titel: is not a known key; did you mean "title"?'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nwhatever = 1\n': [
        "plan.toml, line 4: whatever: is not a known key; known keys: format, kind, title, date, "
        "squad, athlete, athletes, drill, ground, adjust, kit, place, tape, session, stages, "
        "judgement"
    ],
    'format = 1\nkind = "plan"\ntitle = ""\n': [
        "plan.toml, line 3: title: is an empty title; write a title"
    ],
    'format = 1\nkind = "plan"\ntitle = 5\n': [
        "plan.toml, line 3: title: 5 is not a title; write it in quotes"
    ],
    f'format = 1\nkind = "plan"\ntitle = "{"x" * 81}"\n': [
        "plan.toml, line 3: title: has 81 characters; allowed: up to 80; shorten it"
    ],
    'format = 1\nkind = "plan"\ntitle = "T\\u001b"\n': [
        "plan.toml, line 3: title: holds the control character U+001B; take it out"
    ],
    'format = 1\nkind = "plan"\ntitle = "T\\u202e"\n': [
        "plan.toml, line 3: title: holds the bidirectional control character U+202E; take it out"
    ],
    'format = 1\nkind = "plan"\ntitle = " T"\n': [
        'plan.toml, line 3: title: " T" begins or ends with a space; take it out'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\ndate = 2026-03-04T10:00:00\n': [
        "plan.toml, line 4: date: 2026-03-04 10:00:00 is not a date; write a day as 2026-03-04"
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\ndate = "4.3.2026"\n': [
        'plan.toml, line 4: date: "4.3.2026" is not a date; write a day as 2026-03-04'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\ndate = "20260304"\n': [
        'plan.toml, line 4: date: "20260304" is not a date; write a day as 2026-03-04'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\ndate = 0001-01-01\n': [
        "plan.toml, line 4: date: 0001-01-01 is out of range; allowed: the years 1900 to 2200"
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = ["Wrem"]\n': [
        'plan.toml, line 4: athletes[1]: "Wrem" is not in the squad; did you mean "Wren"?'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = [\n  "Wren",\n  "Zeb"]\n': [
        'plan.toml, line 6: athletes[2]: "Zeb" is not in the squad; '
        "write the name as the squad has it"
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = ["Wren", "Wren"]\n': [
        'plan.toml, line 4: athletes[2]: "Wren" is named twice; take one out'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = []\n': [
        "plan.toml, line 4: athletes: has 0 entries; allowed: 1 to 1000 entries"
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = "Wren"\n': [
        'plan.toml, line 4: athletes: "Wren" is not an array; write it in square brackets'
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\n[[athletes]]\nname = "W"\n': [
        "plan.toml, line 4: athletes: holds tables and no names; write [[athlete]] above each"
    ],
    'format = 1\nkind = "plan"\ntitle = "T"\nathletes = [1]\n': [
        "plan.toml, line 4: athletes: entry 1: 1 is not a name; write it in quotes"
    ],
}


@pytest.mark.parametrize("head", HEADS)
def test_the_head_of_a_plan(tmp_path, head):
    assert problems_of(tmp_path, text_of(head=head)) == HEADS[head]


# -- tables ------------------------------------------------------------------------------------

KEYS = {
    # drill
    'speed = "195 %"': ('drill.speed: "195 %" is too large; allowed: 50 % to 100 %'),
    'speed = "40 %"': 'drill.speed: "40 %" is too small; allowed: 50 % to 100 %',
    "speed = 95": 'drill.speed: 95 has no unit; write "95 %"',
    'speed = "0.95"': 'drill.speed: percentage "0.95" has no unit; write "95 %"',
    "speed = -95": (
        'drill.speed: -95 has no unit; allowed: 50 % to 100 %; write one such as "95 %"'
    ),
    "speed = 0.95": 'drill.speed: 0.95 has no unit; write "95 %"',
    'speed = "95"': 'drill.speed: percentage "95" has no unit; write "95 %"',
    "speed = true": 'drill.speed: true is not a percentage in quotes; write one such as "95 %"',
    "speed = nan": 'drill.speed: nan is not a percentage; write one such as "95 %"',
    "speed = inf": 'drill.speed: inf is not a percentage; write one such as "95 %"',
    'speed = ["95 %"]': (
        'drill.speed: an array is not a percentage in quotes; write one such as "95 %"'
    ),
    'section = "25"': 'drill.section: length "25" has no unit; write "25 m"',
    "section = 25": 'drill.section: 25 has no unit; write "25 m"',
    'section = "1,250 m"': (
        'drill.section: length "1,250 m" can be read as 1.25 m or as 1250 m; '
        'write "1.25 m" or "1250 m"'
    ),
    'section = "250 m"': 'drill.section: "250 m" is too large; allowed: 3 m to 100 m',
    'section = "2e1 m"': (
        'drill.section: length "2e1 m" has an exponent; '
        'write it out, such as "1.66 m" or "5 ft 8 1/2 in"'
    ),
    'section = "60 ft 12 in"': (
        'drill.section: length "60 ft 12 in" has 12 in beside feet; '
        'inches must stay below 12: write "61 ft 0 in"'
    ),
    "wickets = 12": ("drill.wickets: stands beside section; keep one of them: section or wickets"),
    'gaps = "evn"': (
        'drill.gaps: "evn" is unknown; allowed: "follow", "even", "stepped"; did you mean "even"?'
    ),
    "gaps = 1": 'drill.gaps: 1 is not one of the words; allowed: "follow", "even", "stepped"',
    "group = 4.0": (
        "drill.group: 4.0 is not a whole number; allowed: 2 to 60; "
        "write it without quotes and without a decimal mark"
    ),
    "group = true": (
        "drill.group: true is not a whole number; allowed: 2 to 60; "
        "write it without quotes and without a decimal mark"
    ),
    'group = "4"': (
        'drill.group: "4" is not a whole number; allowed: 2 to 60; '
        "write it without quotes and without a decimal mark"
    ),
    "group = 61": "drill.group: 61 is too large; allowed: 2 to 60",
    "run_on = 16": 'drill.run_on: 16 has no unit; write "16 m" or "16 steps"',
    'run_on = "2 steps"': "drill.run_on: 2 is too small; allowed: 3 to 60",
    'cadence = "98 %"': (
        'drill.cadence: "98 %" does not say of what; write "98 % of top" or "98 % of natural"'
    ),
    'cadence = "4.3"': (
        'drill.cadence: cadence "4.3" has no unit; '
        'allowed: "98 % of top", "102 % of natural", "4.3 steps/s" or "natural"; '
        'write "4.3 steps/s"'
    ),
    "cadence = 4.3": (
        "drill.cadence: 4.3 is not a cadence; "
        'allowed: "98 % of top", "102 % of natural", "4.3 steps/s" or "natural"; '
        "write it in quotes"
    ),
    'cadence = "9 steps/s"': (
        'drill.cadence: "9 steps/s" is too large; allowed: 2 steps/s to 6 steps/s'
    ),
    'cadence = "150 % of top"': ('drill.cadence: "150 %" is too large; allowed: 70 % to 130 %'),
    'gap_change = "2"': 'drill.gap_change: percentage "2" has no unit; write "2 %"',
    'sped = "95 %"': 'drill.sped: is not a known key; did you mean "speed"?',
    "run_up = 12": 'drill.run_up: is not a known key; did you mean "run_on"?',
    'effort = "95 %"': 'drill.effort: is not a known key; did you mean "speed"?',
    # other tables
    '[kit]\nwickets = "14"': (
        'kit.wickets: "14" is not a whole number; allowed: 0 to 200; '
        "write it without quotes and without a decimal mark"
    ),
    "[kit]\nfalls_both_ways = 1": (
        "kit.falls_both_ways: 1 is neither true nor false; allowed: true or false; "
        "write it without quotes"
    ),
    "[kit]\nwicket_width = 0.6": 'kit.wicket_width: 0.6 has no unit; write "0.6 m"',
    "[kit]\nwicket_width = 60": 'kit.wicket_width: 60 has no unit; write "60 cm"',
    '[place]\noffset = "60"': 'place.offset: length "60" has no unit; write "60 m"',
    "[place]\nlanes = [4, 4]": "place.lanes: names a lane twice; name each lane once",
    "[place]\nlanes = [0]": "place.lanes: entry 1: 0 is too small; allowed: 1 to 20",
    "[place]\nlane = 4\nlanes = [4]": "place.lane: stands beside lanes; keep one of them",
    '[place]\ndirection = "back"': (
        'place.direction: "back" is unknown; '
        'allowed: "with the line", "against the line", "both ways"'
    ),
    '[tape]\nunit = "metric"\nround = "1/2 in"': (
        'tape.round: "1/2 in" does not go with unit = "metric"; allowed: "1 cm"; change one of them'
    ),
    '[tape]\nunit = "feet"\nround = "1 cm"': (
        'tape.round: "1 cm" does not go with unit = "feet"; allowed: "1/2 in", "1/4 in"; '
        "change one of them"
    ),
    '[tape]\nclass = "IV"': ('tape.class: "IV" is unknown; allowed: "I", "II", "III"'),
    '[tape]\ntemperature = "28"': (
        'tape.temperature: temperature "28" is not one; write it such as "28 C" or "80 F"'
    ),
    "[tape]\ntemperature = 28": (
        'tape.temperature: 28 has no scale; allowed: -30 C to 60 C; write "28 C"'
    ),
    '[tape]\ntemperature = "80 C"': (
        'tape.temperature: "80 C" is too high; allowed: -30 C to 60 C'
    ),
    '[session]\nrecovery = "3"': 'session.recovery: time "3" has no unit; write "3 min"',
    "[session]\nrecovery = 180": 'session.recovery: 180 has no unit; write "180 s"',
    "[session]\nrecovery = 3": 'session.recovery: 3 has no unit; write "3 min"',
    '[session]\nrecovery = "1:30"': (
        'session.recovery: time "1:30" is not a time; write a time such as "3.17 s" or "3 min 30 s"'
    ),
    '[stages]\nfrom = "88 %"\nto = "97 %"\ncount = 21': (
        "stages.count: 21 is too large; allowed: 2 to 20"
    ),
    '[stages]\nfrom = "88 %"\nto = "97 %"\ncount = 4\nnow = 5': (
        "stages.now: stage 5 is beyond the last; allowed: 1 to 4"
    ),
    '[stages]\nfrom = "88 %"\nto = "97 %"': (
        'stages: the series of stages has no "count"; add it, such as count = 4'
    ),
    '[[adjust]]\nathlete = "Wrem"': (
        'adjust[1].athlete: "Wrem" is not in the squad; did you mean "Wren"?'
    ),
    '[[adjust]]\nathlete = "Wren"\n[[adjust]]\nathlete = "Wren"': (
        'adjust[2].athlete: "Wren" has two adjustments; make them one'
    ),
    '[adjust]\nathlete = "Wren"': (
        "adjust: stands as one table, and there may be several; write [[adjust]] on a line of its "
        "own, its keys below it"
    ),
    '[judgement]\nlong_caution = "40 %"': (
        'judgement.long_caution: "40 %" is too large; allowed: 0 % to 20 %'
    ),
    '[judgement]\nlong_cautoin = "4 %"': (
        'judgement.long_cautoin: is not a known key; did you mean "long_caution"?'
    ),
    '[judgement]\nfree_steps = "4"': (
        'judgement.free_steps: "4" is not a whole number; allowed: 2 to 12; '
        "write it without quotes and without a decimal mark"
    ),
    "[judgement]\npush_off_s = 0.1": 'judgement.push_off_s: 0.1 has no unit; write "0.1 s"',
    '[ground]\nname = "x"': 'ground: has no "kind"; allowed: "track", "runway", "strip"',
    '[ground]\nkind = "trak"': (
        'ground.kind: "trak" is not a known kind; allowed: "track", "runway", "strip"; '
        'did you mean "track"?'
    ),
    '[ground]\nkind = "strip"\nlength = "2 m"': (
        'ground.length: "2 m" is too small; allowed: 5 m to 500 m'
    ),
    '[ground]\nkind = "track"\nradius = "20 m"\nradius_of = "kern"': (
        'ground.radius_of: "kern" is unknown; allowed: "kerb", "painted line", "running line"; '
        'did you mean "kerb"?'
    ),
    '[ground]\nkind = "strip"\n[[ground.obstacle]]\nname = "post"\ncorners = [["1 m", "2 m"]]': (
        "ground.obstacle[1].corners: has 1 entries; allowed: 3 to 100 entries"
    ),
    # references
    '[ground]\nfile = "/etc/x.toml"': (
        'ground.file: "/etc/x.toml" is not a relative path; '
        "name it from the plan's folder, with / between folders"
    ),
    "[ground]\nfile = 'a\\\\x.toml'": (
        'ground.file: "a\\\\x.toml" is not a relative path; '
        "name it from the plan's folder, with / between folders"
    ),
    '[ground]\nfile = "../../x.toml"': (
        'ground.file: "../../x.toml" leaves the plan\'s folder; '
        "allowed: at most one ../ at the beginning"
    ),
    '[ground]\nfile = "a/../x.toml"': (
        'ground.file: "a/../x.toml" leaves the plan\'s folder; '
        "allowed: at most one ../ at the beginning"
    ),
    '[ground]\nfile = "x.txt"': ('ground.file: "x.txt" is not a .toml file; name a .toml file'),
    '[ground]\nfile = "away.toml"': (
        'ground.file: "away.toml" is not there; names are relative to the plan\'s folder'
    ),
    "[ground]\nfile = 3": 'ground.file: 3 is not the name of a file; write it such as "squad.toml"',
}


@pytest.mark.parametrize("key", KEYS)
def test_a_wrong_value_is_told_with_its_key_and_remedy(tmp_path, key):
    first = key.split(" ")[0]
    drill = BASE["drill"]
    if not key.startswith("["):
        # The wrong key stands in the place of the right one, not beside it.
        drill = "".join(
            line for line in drill.splitlines(keepends=True) if not line.startswith(f"{first} ")
        )
    problems = problems_of(tmp_path, text_of(drill=drill, more=f"{key}\n"))
    expected = [line for line in problems if "drill: the wicket run has no" not in line]
    (problem,) = [line for line in expected if not line.endswith('add it, such as speed = "95 %"')]
    assert problem.split(": ", 1)[1] == KEYS[key]


def test_a_problem_has_its_parts(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(text_of(more='gaps = "evn"\n'), encoding="utf-8")
    with pytest.raises(PlanFileError) as caught:
        load(path)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    assert problem.line == 12
    assert problem.key == "drill.gaps"
    assert problem.value == '"evn"'
    assert problem.message == '"evn" is unknown'
    assert problem.allowed == '"follow", "even", "stepped"'
    assert problem.nearest == "even"


# -- athletes ----------------------------------------------------------------------------------

ATHLETES = {
    'name = "Wren"': ['athlete[1]: the athlete has no "height"; add it, such as height = "1.66 m"'],
    'height = "1.66 m"': ['athlete[1]: the athlete has no "name"; add it, such as name = "Wren"'],
    'name = "W"\nheight = 1.66': ['athlete[1].height: 1.66 has no unit; write "1.66 m"'],
    'name = "W"\nheight = 166': ['athlete[1].height: 166 has no unit; write "166 cm"'],
    'name = "W"\nheight = 65': [
        'athlete[1].height: 65 has no unit; write "65 in" if it is inches, else one such as '
        '"1.66 m" or "5 ft 5 1/2 in"'
    ],
    'name = "W"\nheight = 400': [
        "athlete[1].height: 400 has no unit; allowed: 1 m to 2.3 m; "
        'write one such as "1.66 m" or "5 ft 5 1/2 in"'
    ],
    'name = "W"\nheight = "5.6"': [
        'athlete[1].height: length "5.6" has no unit; allowed: 1 m to 2.3 m; '
        'write one such as "1.66 m" or "5 ft 5 1/2 in"'
    ],
    'name = "W"\nheight = "1.6 m"\nleg = 85': ['athlete[1].leg: 85 has no unit; write "85 cm"'],
    'name = "W"\nheight = "1.6 m"\nleg = "0,85"': [
        'athlete[1].leg: length "0,85" has no unit; write "0,85 m"'
    ],
    'name = "W"\nheight = "1.6 m"\ntop_speed = 28.5': [
        'athlete[1].top_speed: 28.5 has no unit; write "28.5 km/h"'
    ],
    'name = "W"\nheight = "166"': ['athlete[1].height: length "166" has no unit; write "166 cm"'],
    'name = "W"\nheight = "1.66"': ['athlete[1].height: length "1.66" has no unit; write "1.66 m"'],
    'name = "W"\nheight = "3 m"': ['athlete[1].height: "3 m" is too large; allowed: 1 m to 2.3 m'],
    'name = "W"\nheight = "1.66 m"\ntop_speed = 7.9': [
        'athlete[1].top_speed: 7.9 has no unit; write "7.9 m/s"'
    ],
    'name = "W"\nheight = "1.66 m"\ntop_speed = "79 m/s"': [
        'athlete[1].top_speed: "79 m/s" is too large; allowed: 2 m/s to 12.4 m/s'
    ],
    'name = "W"\nheight = "1.66 m"\nsex = "w"': [
        'athlete[1].sex: "w" is unknown; allowed: "f", "m"'
    ],
    'name = "W"\nheight = "1.66 m"\nage = "twelve"': [
        'athlete[1].age: "twelve" is not an age; allowed: 5 to 100 years; '
        'write it such as 12 or "12 years"'
    ],
    'name = "W"\nheight = "1.66 m"\nage = 3': [
        "athlete[1].age: 3 is too small; allowed: 5 to 100 years"
    ],
    'name = "W"\nheight = "1.66 m"\nage = nan': [
        "athlete[1].age: nan is not an age; allowed: 5 to 100 years; "
        'write it such as 12 or "12 years"'
    ],
    'name = "W"\nheight = "1.66 m"\nsex = "females"': [
        'athlete[1].sex: "females" is unknown; allowed: "f", "m"; did you mean "f"?'
    ],
    'name = "W"\nheight = "1.66 m"\nage = true': [
        "athlete[1].age: true is not an age; allowed: 5 to 100 years; "
        'write it such as 12 or "12 years"'
    ],
    'name = "W"\nheight = "1.66 m"\nborn = "2013"': [
        'athlete[1].born: "2013" is not a date; write a day as 2026-03-04'
    ],
    'name = "W"\nheight = "1.66 m"\nleg = "60 cm"': [
        "athlete[1]: leg over height is 0.361446; it must lie between 0.44 and 0.6"
    ],
    'name = "W"\nheight = "1.66 m"\nfirst_speed = "92 %"': [
        "athlete[1].first_speed: has no first_cadence beside it; add the cadence that was seen, "
        'such as first_cadence = "4.1 steps/s"'
    ],
    'name = "W"\nheight = "1.66 m"\nfirst_seen = "eye"': [
        "athlete[1].first_seen: has no first_cadence beside it; add the cadence that was seen, "
        'such as first_cadence = "4.1 steps/s"'
    ],
    'name = "W"\nheight = "1.66 m"\nsplits = { distances = ["10 m", "20 m"], times = ["2 s"] }': [
        "athlete[1].splits.times: has 1 entries; allowed: 2 to 200 entries"
    ],
    'name = "W"\nheight = "1.66 m"\n'
    'splits = { distances = ["10 m", "20 m"], times = ["2 s", "3 s", "4 s"] }': [
        "athlete[1].splits.times: has 3 times for 2 distances; write one time for each distance"
    ],
    'name = "W"\nheight = "1.66 m"\n'
    'splits = { distances = ["20 m", "10 m"], times = ["2 s", "3 s"] }': [
        "athlete[1].splits.distances: distances do not rise; write them in running order"
    ],
    'name = "W"\nheight = "1.66 m"\n'
    'splits = { distances = ["10 m", "20 m"], times = ["2 s", "3 s"], reaction = "0.2 s" }': [
        'athlete[1].splits.reaction: is for times from a gun; write start = "gun", or take it out'
    ],
    'name = "W"\nheight = "1.66 m"\nflying = "2.35 s"': [
        'athlete[1].flying: "2.35 s" is not a table; write flying = { distance = "20 m", '
        'time = "2.35 s", run_on = "30 m" }'
    ],
    'name = "W"\nheight = "1.66 m"\nflying = { distance = "20 m", time = "2.35 s" }': [
        'athlete[1].flying: the flying time has no "run_on"; add it, such as run_on = "30 m"'
    ],
    'name = "W"\nheight = "1.66 m"\n[[athlete.run]]\ndate = 2026-02-17\ndistance = "20 m"': [
        "athlete[1].run[1]: the observation of 2026-02-17 needs a distance with steps or time, "
        "or a step with a speed, not both"
    ],
    'name = "W"\nheight = "1.66 m"\n[[athlete.run]]\ndistance = "20 m"\ntime = "2 s"': [
        'athlete[1].run[1]: the run has no "date"; add it, such as date = 2026-03-04'
    ],
    'name = "W"\nheight = "1.66 m"\n'
    + '[[athlete.run]]\ndate = 2026-02-17\ndistance = "20 m"\ntime = "2 s"\nsteps = 9\n' * 2: [
        "athlete[1]: the observation of 2026-02-17 is given twice; one run teaches once, "
        "take one of them out"
    ],
    'name = "W"\nheight = "1.66 m"\n'
    '[[athlete.run]]\ndate = 2026-02-17\ndistance = "20 m"\ntime = "2 s"\nsteps = "9"': [
        'athlete[1].run[1].steps: "9" is not a number; allowed: 2 to 400; write it without quotes'
    ],
    'name = "W"\nheight = "1.66 m"\n'
    '[[athlete.run]]\ndate = 2026-02-17\ndistance = "20 m"\ntime = "2 s"\nsteps = nan': [
        "athlete[1].run[1].steps: nan is not a number; allowed: 2 to 400"
    ],
    'name = "W"\nheight = "1.66 m"\n[[athlete]]\nname = "w"\nheight = "1.7 m"': [
        'athlete[2].name: "w" is the name of athlete 1 too; add an initial'
    ],
}


@pytest.mark.parametrize("athlete", ATHLETES)
def test_a_wrong_athlete_is_told_with_key_and_remedy(tmp_path, athlete):
    problems = problems_of(tmp_path, text_of(athletes=f"[[athlete]]\n{athlete}\n"))
    assert [line.split(": ", 1)[1] for line in problems] == ATHLETES[athlete]


CADENCE_ALONE = 'name = "W"\nheight = "1.66 m"\nfirst_cadence = "4.1 steps/s"\n'


def test_a_cadence_that_was_seen_is_enough_and_was_seen_at_the_share_that_quick_takes(tmp_path):
    texts = (
        text_of(athletes=f"[[athlete]]\n{CADENCE_ALONE}"),
        quick_text({"height": "1.66 m", "cadence": "4.1"}),
    )
    alone, quick = (plan_of(tmp_path, text).athletes[0].first_guess for text in texts)
    assert alone == quick == FirstGuess(cadence_hz=4.1, speed_share=0.95)
    (told,) = explained("athlete.first_speed")
    assert told.default == '"95 %"'


def test_the_share_of_a_cadence_that_nobody_told_is_not_written_either(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(text_of(athletes=f"[[athlete]]\n{CADENCE_ALONE}"), encoding="utf-8")
    file = open_plan(path)
    (athlete,) = file.plan.athletes

    def with_seen(**changes: float):
        seen = dataclasses.replace(athlete.first_guess, **changes)
        return dataclasses.replace(
            file.plan, athletes=(dataclasses.replace(athlete, first_guess=seen),)
        )

    file = file.save(with_seen(cadence_hz=4.2))
    assert 'first_cadence = "4.2 steps/s"\n[drill]' in path.read_text(encoding="utf-8")
    file.save(with_seen(speed_share=0.9))
    assert 'first_speed = "90 %"' in path.read_text(encoding="utf-8")


def test_there_are_at_most_a_thousand_athletes(tmp_path):
    athletes = "".join(f'[[athlete]]\nname = "A{i}"\nheight = "1.7 m"\n' for i in range(1001))
    problems = problems_of(tmp_path, text_of(athletes=athletes))
    assert problems == ["plan.toml, line 4: athlete: has 1001 entries; allowed: up to 1000"]


def test_a_thousand_athletes_are_read(tmp_path):
    athletes = "".join(f'[[athlete]]\nname = "A{i}"\nheight = "1.7 m"\n' for i in range(1000))
    assert len(plan_of(tmp_path, text_of(athletes=athletes)).athletes) == 1000


def test_there_are_at_most_sixty_wickets_and_two_hundred_splits(tmp_path):
    drill = '[drill]\nkind = "wicket-run"\nspeed = "95 %"\nwickets = 61\n'
    assert problems_of(tmp_path, text_of(drill=drill)) == [
        "plan.toml, line 11: drill.wickets: 61 is too large; allowed: 2 to 60"
    ]


def test_a_plan_without_athletes_is_told(tmp_path):
    assert problems_of(tmp_path, text_of(athletes="")) == [
        'plan.toml: has no athletes; add squad = "my-squad.toml", '
        "or [[athlete]] with name and height"
    ]


def test_a_plan_without_a_drill_is_told(tmp_path):
    assert problems_of(tmp_path, text_of(drill="")) == [
        'plan.toml: has no [drill]; add [drill] with kind = "wicket-run"'
    ]


def test_an_unknown_drill_is_told_with_the_known_ones(tmp_path):
    known = ", ".join(f'"{kind}"' for kind in DRILL_KINDS.values())
    assert problems_of(tmp_path, text_of(drill='[drill]\nkind = "wicket-runn"\n')) == [
        'plan.toml, line 9: drill.kind: "wicket-runn" is not a known kind; '
        f"allowed: {known}; "
        'did you mean "wicket-run"?'
    ]


def test_a_wicket_run_needs_a_section_or_a_number_of_wickets(tmp_path):
    drill = '[drill]\nkind = "wicket-run"\nspeed = "95 %"\n'
    assert problems_of(tmp_path, text_of(drill=drill)) == [
        "plan.toml, line 8: drill: the wicket run has neither section nor wickets; "
        'add section = "25 m" or wickets = 12'
    ]


# -- several problems, lines, other files ---------------------------------------------------------


def test_all_problems_are_told_at_once_in_the_order_of_lines(tmp_path):
    text = """\
format = 1
kind = "plan"
title = "T"

[[athlete]]
name = "Wren"
height = 1.66

[[athlete]]
name = "Tarik"
height = "1.86 m"
flying = { distance = "20 m", time = 2.2, run_on = "30 m" }

[[athlete.run]]
date = 2026-02-17
distance = "20 m"
time = "2 s"
steps = [9]

[drill]
kind = "wicket-run"
speed = "95 %"
section = "25 m"
kit = 3

[tape]
lenght = "50 m"
"""
    assert problems_of(tmp_path, text) == [
        'plan.toml, line 7: athlete[1].height: 1.66 has no unit; write "1.66 m"',
        'plan.toml, line 12: athlete[2].flying.time: 2.2 has no unit; write "2.2 s"',
        "plan.toml, line 18: athlete[2].run[1].steps: an array is not a number; "
        "allowed: 2 to 400; write it without quotes",
        "plan.toml, line 24: drill.kit: is not a known key; known keys: kind, speed, cadence, "
        "section, wickets, gaps, group, first_foot, start, run_on, gap_change",
        'plan.toml, line 27: tape.lenght: is not a known key; did you mean "length"?',
    ]


def test_lines_are_right_for_dotted_quoted_and_multi_line_things(tmp_path):
    text = '''\
format = 1
kind = "plan"
title = """
T"""
kit."wickets" = 1.5
athletes = [ # [drill]
  "Wren",

  "Zeb", # "not an athlete"
]
[[athlete]]
name = "Wren"
height = "1.66 m"
run = [
  { date = 2026-02-17, step = "2 m", speed = "8 m/s" },
  { date = 2026-02-18, step = "2 m", sped = "8 m/s" },
]
[ drill ]
kind = 'wicket-run'
"speed" = '195 %'
section = "25 m"
'''
    assert problems_of(tmp_path, text) == [
        "plan.toml, line 5: kit.wickets: 1.5 is not a whole number; allowed: 0 to 200; "
        "write it without quotes and without a decimal mark",
        'plan.toml, line 16: athlete[1].run[2].sped: is not a known key; did you mean "speed"?',
        'plan.toml, line 20: drill.speed: "195 %" is too large; allowed: 50 % to 100 %',
    ]


def test_nothing_a_terminal_would_act_on_gets_into_a_message(tmp_path):
    more = (
        'group = "\\u001b[31m"\nrun_on = "1,660 \\u001b"\n"\\u001b" = 1\n'
        '[place]\nmark = "\\u009b"\n[tape]\ntemperature = "\\u202e"\n'
    )
    problems = problems_of(tmp_path, text_of(more=more))
    assert len(problems) == 5
    assert all(problem.isprintable() for problem in problems)


def test_a_long_key_or_value_is_cut_short_in_a_message(tmp_path):
    more = f'{"k" * 5000} = 1\ngaps = "{"v" * 5000}"\nrun_on = "{"1" * 5000} m"\n'
    problems = problems_of(tmp_path, text_of(more=more))
    assert len(problems) == 3
    assert all(len(problem) < 400 for problem in problems)


def test_at_most_fifty_problems_are_listed(tmp_path):
    more = "[kit]\n" + "".join(f"x{i} = 1\n" for i in range(60))
    problems = problems_of(tmp_path, text_of(more=more))
    assert len(problems) == 51
    assert problems[-1] == "and 10 more; put these right first"


def test_a_squad_and_a_ground_file_are_read_beside_and_one_folder_up(tmp_path):
    (tmp_path / "plans").mkdir()
    (tmp_path / "squad.toml").write_text(
        'format = 1\nkind = "squad"\n' + BASE["athletes"], encoding="utf-8"
    )
    (tmp_path / "plans" / "field.toml").write_text(
        'format = 1\nkind = "ground"\n[ground]\nkind = "strip"\nlength = "80 m"\n',
        encoding="utf-8",
    )
    plan = plan_of(
        tmp_path / "plans",
        text_of(
            head=BASE["head"] + 'squad = "../squad.toml"\n',
            athletes="",
            more='[ground]\nfile = "field.toml"\n',
        ),
    )
    assert plan.ground == Strip(length_m=80.0)
    assert [athlete.name for athlete in plan.athletes] == ["Wren"]


def test_problems_of_other_files_name_them(tmp_path):
    (tmp_path / "squad.toml").write_text(
        'format = 1\nkind = "squad"\nsquad = "more.toml"\n[[athlete]]\nname = "Wren"\n',
        encoding="utf-8",
    )
    problems = problems_of(
        tmp_path, text_of(head=BASE["head"] + 'squad = "squad.toml"\n', athletes="", more="x = 1\n")
    )
    assert problems == [
        "plan.toml, line 9: drill.x: is not a known key; known keys: kind, speed, cadence, "
        "section, wickets, gaps, group, first_foot, start, run_on, gap_change",
        "squad.toml, line 3: squad: is not a known key; known keys: format, kind, title, athlete",
        'squad.toml, line 4: athlete[1]: the athlete has no "height"; '
        'add it, such as height = "1.66 m"',
    ]


def test_an_athlete_of_the_plan_beside_a_squad_file_is_a_guest_and_has_a_name_of_their_own(
    tmp_path,
):
    (tmp_path / "squad.toml").write_text(
        'format = 1\nkind = "squad"\n' + BASE["athletes"], encoding="utf-8"
    )
    head = BASE["head"] + 'squad = "squad.toml"\n'
    (problem,) = problems_of(tmp_path, text_of(head=head))
    assert "is the name of somebody in the squad too; add an initial" in problem
    assert problem.startswith("plan.toml, line 6: athlete[1].name: ")
    text = text_of(head=head, athletes='[[athlete]]\nname = "Guest"\nheight = "1.7 m"\n')
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    names = [athlete.name for athlete in load(tmp_path / "plan.toml").athletes]
    assert names[-1] == "Guest"
    assert len(names) > 1


def test_a_ground_is_told_in_a_file_or_in_the_plan_but_not_both(tmp_path):
    (tmp_path / "field.toml").write_text(
        'format = 1\nkind = "ground"\n[ground]\nkind = "strip"\n', encoding="utf-8"
    )
    more = '[ground]\nfile = "field.toml"\nkind = "track"\n'
    assert problems_of(tmp_path, text_of(more=more)) == [
        "plan.toml, line 14: ground.kind: stands beside file; keep the file, or the numbers here"
    ]


def test_a_misspelt_key_is_one_problem_not_two(tmp_path):
    drill = '[drill]\nkind = "wicket-run"\nsped = "95 %"\nsectoin = "25 m"\n'
    assert problems_of(tmp_path, text_of(drill=drill)) == [
        'plan.toml, line 10: drill.sped: is not a known key; did you mean "speed"?',
        'plan.toml, line 11: drill.sectoin: is not a known key; did you mean "section"?',
    ]


def test_a_plan_is_no_squad(tmp_path):
    text = text_of(head=BASE["head"] + 'squad = "plan.toml"\n', athletes="")
    assert problems_of(tmp_path, text) == [
        'plan.toml, line 2: kind: "plan" is not what is wanted here; allowed: "squad"; '
        "this is a plan file; name a squad file"
    ]


def test_a_reference_to_a_folder_or_a_pipe_is_refused(tmp_path):
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    for name in ("folder.toml", "pipe.toml"):
        text = text_of(head=BASE["head"] + f'squad = "{name}"\n', athletes="")
        assert problems_of(tmp_path, text) == [
            f'plan.toml, line 4: squad: "{name}" is not a regular file; name a .toml file'
        ]


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.binary(max_size=300))
def test_no_bytes_do_worse_than_be_refused(tmp_path, data):
    path = tmp_path / "plan.toml"
    path.write_bytes(data)
    with pytest.raises(PlanFileError):
        load(path)


WORDS = st.sampled_from(
    [
        *"[]{}=.,\"'#\n",
        "\n[drill]\n",
        "\n[[athlete]]\n",
        'kind = "wicket-run"\n',
        'speed = "95 %"\n',
        "name",
        "height = ",
        '"1.66 m"',
        "1",
        "nan",
        "true",
        "2026-01-01",
        '"""',
        "'''",
        "\\u001b",
        "[[athlete.run]]\n",
        "athlete = 3\n",
        "ground = []\n",
        "stages = 1\n",
        "athletes = [[]]\n",
    ]
)


@settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(words=st.lists(WORDS, max_size=12))
def test_no_jumble_of_toml_does_worse_than_be_refused(tmp_path, words):
    path = tmp_path / "plan.toml"
    path.write_text(text_of(more="".join(words)), encoding="utf-8")
    problems = [""]
    try:
        load(path)
    except PlanFileError as error:
        problems = [str(each) for each in error.problems]
    assert problems
