"""The commands take a practice of several stations like a plan."""

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from wicketlay.cli import main
from wicketlay.cli.output import FINE, STOPS

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture
def practice(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return "harbour-practice.toml"


def crossed():
    flying = Path("thursday-flying.toml")
    text = flying.read_text(encoding="utf-8").replace("lane = 7 ", "lane = 4 ")
    flying.write_text(text, encoding="utf-8")


def test_check_names_the_station_of_each_finding_and_counts_each(practice, capsys):
    assert main(["check", practice]) == FINE
    said = capsys.readouterr().out
    assert "Thursday wickets: caution: Ines: top speed" in said
    assert f"{practice}, Thursday take-offs: 2 layings" in said
    crossed()
    assert main(["check", practice]) == STOPS
    said = capsys.readouterr().out
    assert said.startswith("stop: Thursday wickets (lane 4) and Thursday flying 20s (lane 4) meet")
    assert said.count("meet: run-up") == 1


def test_marks_lists_every_station_and_withholds_those_that_meet(practice, capsys):
    assert main(["marks", practice, "--format", "csv"]) == FINE
    rows = capsys.readouterr().out
    assert {"Tarik", "Sanne", "Mirre"} <= set(rows.replace(", ", ",").replace('"', "").split(","))
    crossed()
    assert main(["marks", practice]) == STOPS
    shown = capsys.readouterr().out
    assert shown.count("DO NOT LAY OUT") >= 2
    assert "Thursday take-offs: harbour runway, long-jump board" in shown


@pytest.mark.parametrize(
    "words",
    [["sheet", "-o", "x.pdf"], ["marks"], ["marks", "--format", "csv"]],
)
def test_what_stations_do_to_each_other_is_told_once(practice, capsys, words):
    crossed()
    assert main([words[0], practice, *words[1:]]) == STOPS
    said = [line for line in capsys.readouterr().err.splitlines() if "x.pdf" not in line]
    assert [line for line in said if line.startswith("caution: Thursday flying 20s runs beside")]
    assert len(said) == len(set(said))
    # a table says it with the station that must not be laid
    assert sum(line.startswith("stop: ") for line in said) == (words != ["marks"])


def test_a_practice_is_one_pdf_with_one_timetable(practice, capsys):
    assert main(["sheet", practice, "-o", "all.pdf", "--only", "tape,session"]) == FINE
    pages = [page.extract_text() for page in PdfReader("all.pdf").pages]
    first = next(page for page in pages if "PRACTICE · TIMETABLE" in page)
    assert sum("TIMETABLE" in page for page in pages) == 1
    assert "run 1: Wren, Bram, Sanne" in first
    capsys.readouterr()
    assert main(["sheet", practice, "--athlete", "Wren"]) == 2


@pytest.mark.parametrize(
    "words",
    [
        ["log", "--add", "-"],
        ["review", "--log", "--accept"],
        ["review"],
        ["progress"],
        ["share", "--lanes", "2"],
        ["places", "--format", "json"],
        ["stages"],
        ["rhythm"],
        ["sheet", "--only", "after"],
    ],
    ids=" ".join,
)
def test_commands_of_one_plan_tell_the_command_to_type_for_each_station(practice, capsys, words):
    assert main([words[0], practice, *words[1:]]) == 2
    head, *lines = capsys.readouterr().err.splitlines()
    assert "is a practice of 3 stations" in head
    rest = "".join(f" {word}" for word in words[1:])
    assert lines == [
        f"  wicketlay {words[0]} thursday-{station}.toml{rest}"
        for station in ("wickets", "flying", "takeoffs")
    ]


def test_of_an_athlete_only_their_stations_are_told(practice, capsys):
    assert main(["progress", practice, "--athlete", "Sanne"]) == 2
    _, *lines = capsys.readouterr().err.splitlines()
    assert lines == ["  wicketlay progress thursday-flying.toml --athlete Sanne"]
    Path("two words").mkdir()
    for path in Path().glob("*.toml"):
        path.rename(Path("two words") / path.name)
    assert main(["progress", f"two words/{practice}", "--athlete", "sanne"]) == 2
    said = capsys.readouterr().err
    assert "  wicketlay progress 'two words/thursday-flying.toml' --athlete sanne\n" in said


def test_check_as_data_holds_the_practice_and_then_each_station(practice, capsys):
    crossed()
    assert main(["check", practice, "--format", "json"]) == STOPS
    whole, *stations = json.loads(capsys.readouterr().out)["plans"]
    assert (whole["plan"], whole["status"]) == (practice, "stop")
    assert "stations-cross" in {finding["code"] for finding in whole["findings"]}
    assert [each["status"] for each in stations] == ["stop", "stop", "lay"]
