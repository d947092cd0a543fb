"""What a plan file can say: told from the declarations, and true of the files there are."""

import datetime as dt
import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest

from wicketlay import units
from wicketlay.cli import main
from wicketlay.errors import UsageError
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import Track
from wicketlay.keys.explained import (
    FILE_KINDS,
    _tables,
    as_text,
    explained,
    schema_of,
    told_keys,
)
from wicketlay.plan_file.document import PLAN_KEYS

LAYOUTS = sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))


def with_days_as_text(value):
    """Return a TOML value as JSON has it: days are text."""
    if isinstance(value, dict):
        return {key: with_days_as_text(each) for key, each in value.items()}
    if isinstance(value, list):
        return [with_days_as_text(each) for each in value]
    return value.isoformat() if isinstance(value, dt.date) else value


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_every_layout_keeps_to_the_schema_of_its_kind(path):
    held = with_days_as_text(tomllib.loads(path.read_text("utf-8")))
    jsonschema.Draft202012Validator(schema_of(held["kind"])).validate(held)


@pytest.mark.parametrize("kind", FILE_KINDS)
def test_the_schemas_are_schemas(kind):
    jsonschema.Draft202012Validator.check_schema(schema_of(kind))


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (("kit", {"wickets": -3}), ["kit", "wickets"]),
        (("kit", {"wikets": 3}), ["kit"]),
        (("drill", {"kind": "wicket-run", "speed": "95 %", "gaps": "equal"}), ["drill"]),
        (("session", {"efforts": "six"}), ["session", "efforts"]),
    ],
)
def test_the_schema_refuses_a_slip_at_its_place(change, where):
    held = with_days_as_text(tomllib.loads(LAYOUTS[-1].read_text("utf-8")))
    held[change[0]] = change[1]
    found = jsonschema.Draft202012Validator(schema_of("plan")).iter_errors(held)
    assert [list(error.absolute_path) for error in found] == [where]


def test_a_plan_may_hold_in_the_schema_what_it_may_hold_in_truth():
    assert set(schema_of("plan")["properties"]) == set(PLAN_KEYS)


def test_a_key_is_told_with_unit_range_default_and_what_it_does():
    (told,) = explained("tape.length")
    assert (told.takes, told.default) == ('"2 m" to "200 m"', '"50 m"')
    assert as_text([told]) == (
        'tape.length: "2 m" to "200 m"\n    how long it is; left out it is "50 m"\n'
    )


def test_a_table_is_told_with_all_its_keys_and_a_name_alone_wherever_it_stands():
    assert {each.path for each in explained("[kit]")} >= {"kit.wickets", "kit.wicket_width"}
    assert {each.path for each in explained("timing")} == {
        "athlete.flying.timing",
        "athlete.run.timing",
    }
    assert explained("") == told_keys()


def test_a_time_that_does_not_say_how_it_was_taken_was_taken_by_hand_wherever_it_stands():
    assert {each.default for each in explained("timing")} == {'"hand"'}


@pytest.mark.parametrize(
    ("asked", "kind", "path"),
    [
        ("takeoff-run", "takeoff-run", "drill.approach"),
        ("takeoff-run.free", "takeoff-run", "drill.free"),
        ("strip", "strip", "ground.length"),
        ("strip.length", "strip", "ground.length"),
        ("flying", "flying", "drill.zone"),
    ],
)
def test_a_kind_of_drill_or_ground_is_told_by_its_own_name(asked, kind, path):
    assert (path, kind) in {(each.path, each.of) for each in explained(asked)}


def test_a_name_nothing_has_is_answered_with_the_nearest():
    with pytest.raises(UsageError, match='no key is called "landmrk"; did you mean "landmark"'):
        explained("landmrk")


def test_the_units_are_told_as_they_are_read():
    told = {each.path.removeprefix("units."): each for each in explained("units")}
    parse = {
        "length": units.parse_length,
        "speed": units.parse_speed,
        "cadence": units.parse_cadence,
        "time": units.parse_duration,
        "percentage": units.parse_percent,
        "temperature": units.parse_temperature,
    }
    assert told.keys() == parse.keys()
    for noun, each in told.items():
        for unit in each.takes.split(", "):
            assert parse[noun](f"1 {unit}") is not None
        for example in re.findall(r'"([^"]*[0-9][^"]*)"', each.does):
            assert parse[noun](example) > 0
    assert "yd" in told["length"].takes
    assert "ft/s" in told["speed"].takes


@pytest.mark.parametrize(
    ("ground", "line", "start"),
    [
        ('kind = "track"', "home straight", "track, home straight"),
        ('kind = "track"', "second bend", "track, back straight, first bend, second bend, lap"),
        ('kind = "runway"\nevent = "triple jump"', "runway", "runway for triple jump"),
        (
            'kind = "strip"\nlength = "60 m"\nwall_at_start = true\nwall_at_end = true',
            "strip",
            "strip with walls",
        ),
    ],
)
def test_the_fixed_points_told_are_those_a_ground_has(ground, line, start, tmp_path, capsys):
    (landmark,) = explained("place.landmark")
    (names,) = [each for each in landmark.names if each.startswith(f"{start}: ")]
    plan = tmp_path / "plan.toml"
    main(["new", str(plan)])
    text = plan.read_text("utf-8").partition("[ground]")[0]
    plan.write_text(
        f'{text}[ground]\n{ground}\n[place]\nline = "{line}"\nlandmark = "nowhere"\n', "utf-8"
    )
    capsys.readouterr()
    main(["check", str(plan)])
    printed = capsys.readouterr()
    known = re.search(r"nowhere.*", printed.out + printed.err)[0]
    for name in names.partition(": ")[2].split(", "):
        for each in name.split(" to "):
            assert each in known


def test_a_key_is_found_by_what_others_call_it():
    assert {each.path for each in explained("jump_foot")} == {
        "athlete.takeoff_foot",
        "drill.takeoff_foot",
    }
    assert {each.path for each in explained("drill.jump_foot")} == {"drill.takeoff_foot"}


def test_no_key_is_called_as_another_of_its_table():
    for name, of, record in _tables():
        assert not record.aka.keys() & set(record.keys), (name, of)
        told = [word for each in record.entries if each.told for word in each.told.aka]
        assert len(told) == len(record.aka), (name, of)


def test_every_key_takes_something_and_does_something():
    for each in told_keys():
        assert each.takes, each.path
        assert each.does, each.path


def test_the_command_tells_text_json_and_schema(capsys):
    assert main(["explain", "place.landmark"]) == 0
    assert capsys.readouterr().out.startswith("place.landmark: text\n")
    assert main(["explain", "kit", "--format", "json"]) == 0
    rows = json.loads(capsys.readouterr().out)["keys"]
    assert {"path", "takes", "default", "does"} <= set(rows[0])
    assert main(["explain", "--schema", "squad"]) == 0
    assert json.loads(capsys.readouterr().out) == schema_of("squad")
    assert main(["explain", "landmrk"]) == 2


def test_a_line_is_explained_for_every_ground_and_a_run_on_for_steps(tmp_path, capsys):
    (line,) = explained("place.line")
    for ground in (Track(), Runway(), Strip()):
        for each in ground.lines:
            assert each in f"{line.does} {line.names}", ground
    (run_on,) = [each for each in explained("drill.run_on") if each.of == "wicket-run"]
    assert "any unit of length" in run_on.does
    said = re.findall(r'"(\d+ steps)"', run_on.does)
    plan = tmp_path / "plan.toml"
    main(["new", str(plan)])
    text = plan.read_text("utf-8")
    for steps, fits in ((said[0], True), (said[1], True), ("61 steps", False), ("60 ft", True)):
        plan.write_text(text.replace("[drill]", f'[drill]\nrun_on = "{steps}"'), "utf-8")
        assert (main(["check", str(plan)]) != 4) is fits, steps
    assert "61 is too large; allowed: 3 to 60" in capsys.readouterr().err
