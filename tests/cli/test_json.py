"""Every command that reports tells programs the same as JSON, each report by its own schema."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from wicketlay.cli import main
from wicketlay.cli.arguments import FILE_KINDS, REPORTS
from wicketlay.export.schemas import REPORTS as WITH_SCHEMA
from wicketlay.export.schemas import report_schema
from wicketlay.keys import explained
from wicketlay.sources import catalogue

LAYOUTS = Path(__file__).parents[2] / "layouts"
KINDS = {p.name: tomllib.loads(p.read_text("utf-8"))["kind"] for p in LAYOUTS.glob("*.toml")}
PLANS = sorted(name for name, kind in KINDS.items() if kind == "plan")
PRACTICES = sorted(name for name, kind in KINDS.items() if kind == "practice")


def told(capsys, *argv: str, code: int = 0, by: str = "") -> object:
    """Run a command with its plan and ``--format json``; return what it prints.

    It is held to its schema: that of the command, or of what `by` names.
    """
    words = [str(LAYOUTS / word) if word.endswith(".toml") else word for word in argv]
    assert main([*words, "--format", "json"]) == code
    found = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(report_schema(by or argv[0])).validate(found)
    return found


def test_every_report_has_a_schema_and_explain_prints_it(capsys):
    assert set(REPORTS) == set(WITH_SCHEMA)
    assert FILE_KINDS == explained.FILE_KINDS
    for name in REPORTS:
        assert main(["explain", "--schema", name]) == 0
        printed = json.loads(capsys.readouterr().out)
        assert printed == report_schema(name)
        jsonschema.Draft202012Validator.check_schema(printed)


@pytest.mark.parametrize("plan", PLANS)
def test_all_that_is_told_of_a_plan_keeps_to_its_schema(capsys, plan):
    found = told(capsys, "marks", plan)
    assert found["format"] == 1
    laid = found["layings"][0]["athletes"]
    (row,) = told(capsys, "check", plan)["plans"]
    assert row["layings"][0]["athletes"] == laid
    assert told(capsys, "share", plan, by="marks") == found
    told(capsys, "places", plan)
    assert {each["athlete"] for each in told(capsys, "progress", plan)["athletes"]} >= set(laid)
    if found["plan"]["drill"] == "takeoff-run":
        argv = ("--athlete", laid[0], "--misses", "+12,-30,+5")
        board = told(capsys, "review", plan, *argv, by="review-misses")
        assert board["days"][-1]["misses_m"] == [0.12, -0.3, 0.05]


@pytest.mark.parametrize("practice", PRACTICES)
def test_a_practice_is_an_object_with_a_version_and_a_plan_a_station(capsys, practice):
    found = told(capsys, "marks", practice)
    assert found["format"] == 1
    titles = [each["plan"]["title"] for each in found["plans"]]
    assert len(titles) == 3
    whole, *stations = told(capsys, "check", practice)["plans"]
    assert whole["layings"] == []
    assert [each["plan"].rpartition(", ")[2] for each in stations] == titles


@pytest.mark.parametrize("plan", ["tuesday-wickets.toml", "flying-20.toml", "hall-wickets.toml"])
def test_a_day_that_was_logged_keeps_to_its_schemas(capsys, tmp_path, monkeypatch, plan):
    for path in LAYOUTS.glob("*.toml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    monkeypatch.chdir(tmp_path)
    laid = told(capsys, "marks", plan)["layings"][0]
    who, seconds = laid["athletes"][0], laid["section_time_s"]
    (tmp_path / "times.txt").write_text(
        f"{who} {seconds:.2f} {seconds + 0.03:.2f} - {seconds:.2f}*\n", "utf-8"
    )
    argv = ("--timing", "gates", "--date", "2026-03-03")
    assert main(["log", plan, "--add", "times.txt", *argv]) == 0
    capsys.readouterr()
    monkeypatch.setattr(f"{__name__}.LAYOUTS", tmp_path)
    runs = told(capsys, "log", plan)["entries"]
    assert [each["flag"] for each in runs] == [None, None, "not timed", "hit"]
    (day,) = told(capsys, "review", plan, "--log", by="review-day")["results"]
    assert [each["times_s"] for each in day["runs"]] == [each["times_s"] for each in runs]


def test_check_tells_each_plan_and_what_was_found(capsys):
    plans = ["fixed-cadence.toml", "height-only.toml", "nowhere.toml"]
    found = told(capsys, "check", *plans, code=4)["plans"]
    assert [Path(each["plan"]).name for each in found] == plans
    assert [each["status"] for each in found] == ["lay", "lay", "error"]
    codes = [f["code"] for each in found[1]["layings"] for f in each["findings"]]
    assert any("guess" in code or "estimate" in code for code in codes)
    assert "no such file" in found[2]["error"]


def test_share_tells_how_well_gaps_suit(capsys):
    layings = told(capsys, "share", "shared-lanes.toml", by="marks")["layings"]
    excess = {d["athlete"]: d["worst_excess_share"] for each in layings for d in each["demands"]}
    assert set(excess) == {"Tarik", "Odalys", "Bram", "Wren", "Ines", "Kit"}
    assert any(excess.values())


def test_places_are_in_the_words_of_a_plan_file(capsys):
    places = told(capsys, "places", "fixed-cadence.toml")["places"]
    assert places
    assert {"line", "lane", "offset_m", "room_m"} <= set(places[0])


def test_progress_tells_each_day_and_what_the_estimates_rest_on_by_weight(capsys):
    (bram,) = told(capsys, "progress", "tuesday-wickets.toml", "--athlete", "Bram")["athletes"]
    assert [day["date"] for day in bram["days"]] == [None, "2026-02-17", "2026-02-24"]
    (seen,) = bram["days"][1]["seen"]
    assert seen == {"what": "steps counted", "mean_speed_mps": 8.8106, "held_share": 0.95}
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
    found = told(capsys, "sources")["constants"]
    assert [(each["name"], each["value"]) for each in found] == [
        (name, float(value)) for name, value in catalogue()
    ]
    assert all(each["basis"] in set("PDCJ") and each["meaning"] for each in found)


def test_explain_lists_keys(capsys):
    assert told(capsys, "explain", "place.landmark")["keys"]


def test_stages_are_told_as_marks(capsys):
    found = told(capsys, "stages", "season-stages.toml", by="marks")
    assert len(found["layings"]) == 4


def test_quick_is_told_as_marks(capsys):
    found = told(capsys, "quick", "--height", "1.70m", "--cadence", "4.1", by="marks")
    assert found["plan"]["athletes"] == ["Athlete"]
