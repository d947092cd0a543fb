"""Marks without a file; plans from standard input; several plans at once; styles of CSV."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from wicketlay.cli import main
from wicketlay.plan_file import load
from wicketlay.solve import solve

LAYOUTS = Path(__file__).parents[2] / "layouts"
GUESSED = ("--height", "1.70m", "--cadence", "4.1")


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder of its own with two plans."""
    for name in ("fixed-cadence.toml", "height-only.toml", "feet-and-inches.toml"):
        shutil.copy(LAYOUTS / name, tmp_path / name)
    shutil.copy(LAYOUTS / "harbour-track.toml", tmp_path / "harbour-track.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def fed(monkeypatch, capfdbinary):
    """Run a command with a plan on its standard input."""

    def run(plan: Path, *argv: str) -> subprocess.CompletedProcess[bytes]:
        stream = io.TextIOWrapper(io.BytesIO(plan.read_bytes()), encoding="utf-8")
        monkeypatch.setattr(sys, "stdin", stream)
        try:
            code = main(argv)
        except SystemExit as left:
            code = left.code
        return subprocess.CompletedProcess(argv, code, *capfdbinary.readouterr())

    return run


@pytest.mark.parametrize(
    "options",
    [
        GUESSED,
        (*GUESSED, "--speed", "92%", "--section", "25m", "--sex", "f", "--age", "14"),
        ("--height", "5ft 6in", "--top-speed", "8.2", "--wickets", "8", "--start", "walk-in"),
        ("--height", "175 cm", "--flying", "20m/2.45s", "--unit", "feet", "--level", "club"),
    ],
)
def test_the_saved_plan_gives_the_same_marks(here, capsys, options):
    assert main(["quick", *options, "--format", "json", "--save", "q.toml"]) == 0
    told = capsys.readouterr().out
    assert main(["marks", "q.toml", "--format", "json"]) == 0
    assert capsys.readouterr().out == told
    assert "# " in (here / "q.toml").read_text("utf-8")


def test_every_option_reaches_the_plan(here):
    options = ["--height", "1,66", "--cadence", "4.2", "--speed", "93", "--section", "22"]
    options += ["--sex", "f", "--age", "15", "--level", "under-17", "--start", "jog-in"]
    options += ["--top-speed", "8.4", "--flying", "20/2.5/35", "--name", 'Wren "W"']
    assert main(["quick", *options, "--save", "q.toml"]) == 0
    plan = load("q.toml")
    (athlete,) = plan.athletes
    assert (athlete.name, athlete.height_m, athlete.age_years) == ('Wren "W"', 1.66, 15)
    assert (athlete.sex.value, athlete.level.value) == ("f", "under-17")
    assert athlete.top_speed_mps == 8.4
    assert (athlete.first_guess.cadence_hz, athlete.first_guess.speed_share) == (4.2, 0.93)
    flying = athlete.flying
    assert (flying.distance_m, flying.time_s, flying.run_on_m) == (20.0, 2.5, 35.0)
    drill = plan.drill
    assert (drill.speed_share, drill.section_m, drill.start.value) == (0.93, 22.0, "jog-in")
    assert drill.cadence.value == 4.2


def test_a_height_in_feet_stays_in_feet(here):
    assert main(["quick", "--height", "5ft 6in", "--cadence", "4.1", "--save", "q.toml"]) == 0
    assert 'height = "5 ft 6 in"' in (here / "q.toml").read_text("utf-8")


def test_a_pdf_without_a_plan(here, capsys):
    assert main(["quick", *GUESSED, "-o", "q.pdf"]) == 0
    assert (here / "q.pdf").read_bytes().startswith(b"%PDF")
    told = capsys.readouterr()
    assert told.out == ""
    assert "q.pdf: " in told.err


@pytest.mark.parametrize("height", ["1.66", "1.66m", "1.66 m"])
def test_a_quantity_is_written_with_a_space_before_its_unit(here, height):
    assert main(["quick", "--height", height, "--cadence", "4.1", "--save", "q.toml"]) == 0
    text = (here / "q.toml").read_text("utf-8")
    assert 'height = "1.66 m"' in text
    assert 'cadence = "4.1 steps/s"' in text


def test_a_free_length_is_checked(here, capsys):
    assert main(["quick", *GUESSED, "--room", "30 m", "--save", "q.toml"]) == 3
    assert "DO NOT LAY OUT" in capsys.readouterr().out
    assert load("q.toml").ground.length_m == 30.0


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ((), "--height: how tall is the athlete? write it such as 1.70m"),
        (("--cadence", "4.1"), "--height: how tall"),
        ((*GUESSED, "--room", "1"), "--room: "),
        (("--height", "1.7"), "one more thing of the athlete: --cadence 4.1"),
        (("--height", "17", "--cadence", "4.1"), "--height: "),
        (("--height", "1.7", "--cadence", "9"), "allowed: 2.5 steps/s to 6 steps/s"),
        (("--height", "1.7", "--flying", "20m"), "write 20m/2.45s"),
        (("--height", "1.7", "--flying", "20m/900s"), "--flying: "),
        ((*GUESSED, "--wickets", "many"), "--wickets: "),
        ((*GUESSED, "--start", "flying"), "--start: "),
        ((*GUESSED, "--save", "q.txt"), "q.txt should end in .toml, for example q.toml"),
    ],
)
def test_a_slip_names_the_option(here, capsys, options, told):
    assert main(["quick", *options]) == 2
    err = capsys.readouterr().err
    assert told in err
    assert not (here / "q.toml").exists()


def test_from_nothing_to_marks_takes_under_six_tenths_of_a_second_of_computing(here):
    def cpu_s() -> float:
        before = os.times()
        done = subprocess.run(
            [sys.executable, "-m", "wicketlay", "quick", *GUESSED],
            capture_output=True,
            check=True,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
        assert b"W12" in done.stdout
        after = os.times()
        return after.children_user + after.children_system - before[2] - before[3]

    assert any(cpu_s() < 0.6 for _ in range(3))


@pytest.mark.parametrize(
    "command",
    [
        ("marks", "-"),
        ("check", "-"),
        ("share", "-"),
        ("marks", "-", "--format", "json"),
        ("review", "-", "--athlete", "Joren", "--time", "2.56s"),
    ],
)
def test_a_plan_from_standard_input_is_as_one_from_its_file(here, fed, command):
    plan = here / "fixed-cadence.toml"
    piped = fed(plan, *command)
    named = fed(plan, *(plan.name if word == "-" else word for word in command))
    assert piped.returncode == named.returncode == 0
    assert piped.stdout.replace(b"standard input: ", plan.name.encode() + b": ") == named.stdout


def test_a_plan_comes_through_a_pipe(here, fed):
    plan = here / "fixed-cadence.toml"
    command = [sys.executable, "-m", "wicketlay", "marks", "-"]
    piped = subprocess.run(command, input=plan.read_bytes(), capture_output=True, check=True)
    told = fed(plan, "marks", "-")
    assert told.returncode == 0
    assert (piped.stdout, piped.stderr) == (told.stdout, told.stderr)


def test_a_pdf_of_a_plan_from_standard_input(here, fed):
    plan = here / "fixed-cadence.toml"
    told = [fed(plan, "sheet", name, "-o", "-").stdout for name in ("-", plan.name)]
    piped, named = ([page.extract_text() for page in PdfReader(io.BytesIO(t)).pages] for t in told)
    assert piped == named
    assert len(piped) > 2
    nameless = fed(plan, "sheet", "-")
    assert nameless.returncode == 2
    assert b"say where to with -o" in nameless.stderr


def test_what_standard_input_cannot_do_is_said(here, fed):
    plan = here / "fixed-cadence.toml"
    twice = fed(plan, "marks", "-", "-")
    assert (twice.returncode, b"name it once" in twice.stderr) == (2, True)
    written = fed(plan, "review", "-", "--athlete", "Joren", "--time", "2.56s", "--accept")
    assert (written.returncode, b"--accept needs a file" in written.stderr) == (2, True)
    opened = fed(plan, "open", "-")
    assert (opened.returncode, b"'wicketlay marks -'" in opened.stderr) == (2, True)
    wrong = fed(here / "harbour-track.toml", "marks", "-")
    assert (wrong.returncode, wrong.stderr[:26]) == (4, b"wicketlay: standard input,")


class TestSeveralPlans:
    plans = ("fixed-cadence.toml", "height-only.toml")

    def test_marks_of_all_in_their_order(self, here, capsys):
        assert main(["marks", *self.plans]) == 0
        both = capsys.readouterr().out
        alone = []
        for plan in self.plans:
            assert main(["marks", plan]) == 0
            alone.append(capsys.readouterr().out)
        assert both == "\n".join(alone)

    def test_json_is_an_object_of_documents(self, here, capsys):
        assert main(["marks", *self.plans, "--format", "json"]) == 0
        told = json.loads(capsys.readouterr().out)["plans"]
        assert [each["plan"]["title"] for each in told] == [load(p).title for p in self.plans]

    def test_csv_has_one_head_and_names_the_plan(self, here, capsys):
        assert main(["marks", *self.plans, "--format", "csv"]) == 0
        rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
        marks = [solve(load(plan)).layings[0].layout.marks for plan in self.plans]
        assert len(rows) == sum(map(len, marks))
        assert list(dict.fromkeys(row["plan"] for row in rows)) == [
            load(plan).title for plan in self.plans
        ]

    def test_csv_in_two_units_asks_for_one(self, here, capsys):
        plans = ("fixed-cadence.toml", "feet-and-inches.toml")
        assert main(["marks", *plans, "--format", "csv"]) == 2
        assert "--unit makes them one" in capsys.readouterr().err
        assert main(["marks", *plans, "--format", "csv", "--unit", "metric"]) == 0

    def test_a_sheet_each(self, here, capsys):
        assert main(["sheet", *self.plans, "--only", "tape"]) == 0
        assert all((here / plan).with_suffix(".pdf").exists() for plan in self.plans)
        assert main(["sheet", *self.plans, "-o", "one.pdf"]) == 2
        assert "-o names one file" in capsys.readouterr().err

    def test_a_bad_one_leaves_nothing_half_done(self, here, capsys):
        assert main(["sheet", "fixed-cadence.toml", "nowhere.toml"]) == 4
        assert not (here / "fixed-cadence.pdf").exists()


class TestCsvStyle:
    def test_semicolons_come_with_decimal_commas(self, here, capsys):
        assert main(["marks", "fixed-cadence.toml", "--format", "csv"]) == 0
        plain = list(csv.reader(io.StringIO(capsys.readouterr().out)))
        style = ["--csv-style", "semicolon,mark"]
        assert main(["marks", "fixed-cadence.toml", "--format", "csv", *style]) == 0
        told = capsys.readouterr().out
        assert told.startswith("\ufeffstatus;lane;")
        styled = list(csv.reader(io.StringIO(told.removeprefix("\ufeff")), delimiter=";"))
        reading = plain[0].index("reading [m]")
        assert [row[reading].replace(",", ".") for row in styled] == [r[reading] for r in plain]
        assert styled[2][reading] == "0,00"
        kind = plain[0].index("kind")
        assert [row[kind] for row in styled] == [row[kind] for row in plain]

    def test_an_unknown_style_names_the_nearest(self, here, capsys):
        arguments = ["marks", "fixed-cadence.toml", "--format", "csv", "--csv-style", "semicolons"]
        assert main(arguments) == 2
        assert "is no style of CSV; did you mean 'semicolon'?" in capsys.readouterr().err
