"""Every command that reports tells programs the same as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from wicketlay.cli import main
from wicketlay.export import schema
from wicketlay.sources import catalogue

LAYOUTS = Path(__file__).parents[2] / "layouts"


def told(capsys, *argv: str, code: int = 0) -> object:
    """Run a command with its plan and ``--format json``; return what it prints."""
    words = [str(LAYOUTS / word) if word.endswith(".toml") else word for word in argv]
    assert main([*words, "--format", "json"]) == code
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    "argv",
    [
        ("marks", "fixed-cadence.toml"),
        ("stages", "season-stages.toml"),
        ("share", "shared-lanes.toml", "--lanes", "2"),
    ],
)
def test_what_was_solved_keeps_to_the_schema(capsys, argv):
    jsonschema.Draft202012Validator(schema()).validate(told(capsys, *argv))


def test_check_tells_each_plan_and_what_was_found(capsys):
    plans = ["fixed-cadence.toml", "height-only.toml", "nowhere.toml"]
    found = told(capsys, "check", *plans, code=4)
    assert [Path(each["plan"]).name for each in found] == plans
    assert [each["status"] for each in found] == ["lay", "lay", "error"]
    codes = [f["code"] for each in found[1]["layings"] for f in each["findings"]]
    assert any("guess" in code or "estimate" in code for code in codes)
    assert "no such file" in found[2]["error"]


def test_share_tells_how_well_gaps_suit(capsys):
    layings = told(capsys, "share", "shared-lanes.toml")["layings"]
    excess = {d["athlete"]: d["worst_excess_share"] for each in layings for d in each["demands"]}
    assert set(excess) == {"Tarik", "Odalys", "Bram", "Wren", "Ines", "Kit"}
    assert any(excess.values())


def test_places_are_in_the_words_of_a_plan_file(capsys):
    places = told(capsys, "places", "fixed-cadence.toml")
    assert places
    assert {"line", "lane", "offset_m", "room_m"} <= set(places[0])


def test_progress_tells_each_day_and_what_the_estimates_rest_on_by_weight(capsys):
    (bram,) = told(capsys, "progress", "tuesday-wickets.toml", "--athlete", "Bram")["athletes"]
    assert [day["date"] for day in bram["days"]] == [None, "2026-02-17", "2026-02-24"]
    assert sum(day["top_speed_weight"] for day in bram["days"]) == pytest.approx(1.0, abs=0.001)
    rests = {each["what"]: each["weight"] for each in bram["top_speed_rests_on"]}
    assert list(rests) == ["top speed given", "free runs of 2 days"]
    assert {"leg", "free runs of 2 days"} == {each["what"] for each in bram["step_rests_on"]}
    assert list(bram["days"][0]["sprint_s"]) == ["10", "20", "30"]
    assert bram["time_constant_s"]["basis"] == "assumed"
    assert bram["start_change_s"] is None


def test_a_review_tells_times_and_what_to_say(capsys):
    argv = ("review", "tuesday-wickets.toml", "--athlete", "Wren", "--at", "95%")
    argv += ("--timing", "gates", "--date", "2026-03-03")
    found = told(capsys, *argv, "--time", "2.64s", "--time", "2.67s")
    assert found["mean_time_s"]["value"] == 2.655
    assert found["doubt"] == "none"
    assert found["say"].startswith("Wren: ")
    wrong = told(capsys, *argv, "--time", "4.2s", code=3)
    assert wrong["doubt"] == "wrong"
    assert {wrong[key] for key in ("speed_mps", "top_speed_mps", "gap_change_m")} == {None}


def test_sources_list_every_constant(capsys):
    found = told(capsys, "sources")
    assert [(each["name"], each["value"]) for each in found] == [
        (name, float(value)) for name, value in catalogue()
    ]
    assert all(each["basis"] in set("PDCJ") and each["meaning"] for each in found)


def test_explain_lists_keys(capsys):
    assert told(capsys, "explain", "place.landmark")
