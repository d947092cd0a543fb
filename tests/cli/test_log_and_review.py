"""The commands of a day that was run: the log, typing it in from paper, its review."""

from __future__ import annotations

import csv
import io
import json
import shutil
import sys
from pathlib import Path

import pytest

from wicketlay.cli import main
from wicketlay.files.appending import CUT_OFF
from wicketlay.plan_file import load

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLAN = "tuesday-wickets.toml"
PAPER = """\
Tarik  2.12 2.10 - 2.05* 2.13
odalys 2,38 2,40
Kit    2.90 2.90
Ines   absent
"""


@pytest.fixture
def here(tmp_path, monkeypatch):
    for path in LAYOUTS.glob("*.toml"):
        shutil.copy(path, tmp_path / path.name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def logged(here, capsys):
    (here / "paper.txt").write_text(PAPER, "utf-8")
    assert main(["log", PLAN, "--add", "paper.txt"]) == 0
    capsys.readouterr()
    return here


def observations(who: str) -> int:
    return next(len(each.observations) for each in load(PLAN).athletes if each.name == who)


class TestLog:
    def test_from_standard_input_what_was_on_paper_is_in_the_log(self, here, capsys, monkeypatch):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(PAPER.encode())))
        assert main(["log", PLAN, "--add", "-", "--timing", "gates", "--at", "95%"]) == 0
        assert "9 runs of 3 athletes written, of 2026-03-03" in capsys.readouterr().err
        assert main(["log", PLAN, "--format", "json"]) == 0
        entries = json.loads(capsys.readouterr().out)["entries"]
        assert [each["entry"] for each in entries] == list(range(1, 11))
        assert {each["timing"] for each in entries if each["what"] == "run"} == {"gates"}
        assert entries[0]["effort_share"] == 0.95
        assert (entries[3]["times_s"], entries[3]["flag"]) == ([2.05], "hit")

    def test_is_a_table_and_csv_and_of_one_day(self, logged, capsys):
        assert main(["log", PLAN, "--add", "paper.txt", "--date", "2026-02-24"]) == 0
        assert main(["log", PLAN]) == 0
        table = capsys.readouterr().out
        assert "2026-02-24: 9 runs of 3 athletes" in table
        assert main(["log", PLAN, "--date", "2026-03-03", "--format", "csv"]) == 0
        rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
        assert len(rows) == 10
        assert (rows[0]["athlete"], rows[0]["time_s"], rows[2]["flag"]) == (
            "Tarik",
            "2.12",
            "not timed",
        )

    def test_without_one_it_is_empty(self, here, capsys):
        assert main(["log", PLAN]) == 0
        assert capsys.readouterr().out == "the log is empty\n"

    def test_what_cannot_be_is_told_line_by_line_and_nothing_is_written(self, here, capsys):
        (here / "paper.txt").write_text("Tarik 2.1 2.2\nBran 2.4\nWren x\nKit 99.0\n", "utf-8")
        assert main(["log", PLAN, "--add", "paper.txt"]) == 4
        said = capsys.readouterr().err
        assert (
            'paper.txt, line 2: nobody called "Bran" is in the plan; did you mean "Bram"?' in said
        )
        assert "line 3" in said
        assert "line 4: run 1 of Kit" in said
        assert not (here / "tuesday-wickets.log.csv").exists()

    def test_a_time_far_off_is_written_only_by_somebody_who_is_sure(self, here, capsys):
        (here / "paper.txt").write_text("Tarik 2.12\nWren 2.64 22.5 9.0*\n", "utf-8")
        assert main(["log", PLAN, "--add", "paper.txt"]) == 4
        said = " ".join(capsys.readouterr().err.split())
        assert "paper.txt, line 2: run 2 of Wren, 22.50 s, is 709 % over the 2.78 s" in said
        assert "add --sure to write it" in said
        assert "run 3" not in said  # a wicket was hit
        assert not (here / "tuesday-wickets.log.csv").exists()
        assert main(["log", PLAN, "--add", "paper.txt", "--sure"]) == 0

    def test_the_same_paper_is_not_typed_in_twice(self, logged, capsys):
        before = (logged / "tuesday-wickets.log.csv").read_bytes()
        assert main(["log", PLAN, "--add", "paper.txt"]) == 4
        assert "these runs of Tarik are in the log of 2026-03-03 already" in capsys.readouterr().err
        assert (logged / "tuesday-wickets.log.csv").read_bytes() == before

    def test_a_line_that_was_cut_off_is_told_and_a_damaged_one_refused(self, logged, capsys):
        with (logged / "tuesday-wickets.log.csv").open("ab") as file:
            file.write(b"11,,2026-03-03,,,ru")
        assert main(["log", PLAN]) == 0
        assert "line 12: was cut off while it was written" in capsys.readouterr().err
        log = logged / "tuesday-wickets.log.csv"
        empty = b"," * (log.read_bytes().partition(b"\n")[0].count(b",") - 7)
        with log.open("ab") as file:
            file.write(CUT_OFF + b"\n12,,yesterday,,,run,Wren,1" + empty + b"\n")
        assert main(["log", PLAN]) == 4
        assert "line 13: date: " in capsys.readouterr().err


class TestReviewOfTheLog:
    def test_shows_everybody_and_writes_nothing_unasked(self, logged, capsys):
        before = (logged / "harbour-squad.toml").read_bytes()
        assert main(["review", PLAN, "--log"]) == 0
        out, err = capsys.readouterr()
        assert "Tarik    W1 to W10  2.12 2.10 - 2.05* 2.13" in out
        assert "--accept writes what is ready: Tarik, Odalys" in err
        assert "Kit is in doubt" in err
        assert (logged / "harbour-squad.toml").read_bytes() == before

    def test_accepts_what_is_ready_and_a_doubt_by_name_and_word(self, logged, capsys):
        before = {who: observations(who) for who in ("Tarik", "Odalys", "Kit")}
        assert main(["review", PLAN, "--log", "--accept"]) == 0
        assert "written to the record of Tarik, Odalys" in capsys.readouterr().err
        assert observations("Tarik") == before["Tarik"] + 1
        assert observations("Kit") == before["Kit"]
        assert main(["review", PLAN, "--log", "--accept", "--sure"]) == 0
        assert observations("Kit") == before["Kit"]  # of whom? of nobody in particular
        assert main(["review", PLAN, "--log", "--athlete", "Kit", "--accept", "--sure"]) == 0
        assert observations("Kit") == before["Kit"] + 1
        capsys.readouterr()
        assert main(["review", PLAN, "--log", "--accept"]) == 0
        assert "written" not in capsys.readouterr().err
        assert observations("Tarik") == before["Tarik"] + 1

    def test_tells_of_company_and_start_before_it_is_accepted_as_when_it_is(self, here, capsys):
        (here / "paper.txt").write_text("Wren 2.64 2.67\n", "utf-8")
        assert main(["log", PLAN, "--add", "paper.txt", "--timing", "gates", "--at", "95%"]) == 0
        capsys.readouterr()

        def notes(*more):
            main(["review", PLAN, "--log", *more])
            said = capsys.readouterr().err.splitlines()
            return [line for line in said if line.startswith("note: ")]

        told = notes()
        assert any("START" in line for line in told), told
        assert notes("--accept") == told
        assert notes() == []

    def test_whose_runs_are_noted_only_change_nothing(self, logged, capsys):
        before = {who: observations(who) for who in ("Tarik", "Odalys")}
        assert (
            main(["review", PLAN, "--log", "--accept", "--leave", "Tarik", "--leave", "Kit"]) == 0
        )
        err = capsys.readouterr().err
        assert "written to the record of Odalys;" in err
        assert "Kit" not in err
        assert observations("Tarik") == before["Tarik"]
        assert observations("Odalys") == before["Odalys"] + 1
        assert main(["review", PLAN, "--log", "--leave", "Tarick"]) == 2
        assert '--leave: nobody called "Tarick" is' in capsys.readouterr().err
        said = []
        for who in ("Odalys", "ODALYS", "Kit"):
            assert main(["review", PLAN, "--log", "--leave", who]) == 0
            said.append(capsys.readouterr())
        assert said[0] == said[1] != said[2]

    def test_is_a_line_each_to_send_and_csv_and_json(self, logged, capsys):
        assert main(["review", PLAN, "--log", "--format", "text"]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert len(lines) == 3
        assert lines[0].startswith("Tarik: 2.12 2.10 - 2.05* 2.13; best 2.10 s, mean 2.12 s; ")
        assert main(["review", PLAN, "--log", "--format", "csv"]) == 0
        (tarik, *_) = csv.DictReader(io.StringIO(capsys.readouterr().out))
        assert (tarik["best_s"], tarik["state"]) == ("2.1", "ready")
        assert main(["review", PLAN, "--log", "--format", "json"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert [len(each["runs"]) for each in told["results"]] == [5, 2, 2]
        assert main(["review", PLAN, "--log", "--format", "csv", "--csv-style", "semicolon"]) == 0
        (tarik, *_) = csv.DictReader(io.StringIO(capsys.readouterr().out), delimiter=";")
        assert (tarik["date"], tarik["mean_s"]) == ("2026-03-03", "2,1167")

    @pytest.mark.parametrize(
        "since",
        [
            ('section = "20 m"', "wickets = 9"),
            ('gaps = "follow"', 'gaps = "even"\ncadence = "97 % of natural"'),
            ('speed = "95 %"', 'speed = "88 %"'),
            ('start = "standing"', 'start = "jog-in"'),
            ("[session]", '[[adjust]]\nathlete = "Tarik"\ngaps = "+4 %"\n[session]'),
        ],
    )
    def test_a_time_is_of_the_marks_that_lay_there_whatever_was_changed_since(
        self, logged, capsys, since
    ):
        def told():
            assert main(["review", PLAN, "--log", "--format", "json", "--athlete", "Tarik"]) == 0
            (found,) = json.loads(capsys.readouterr().out)["results"]
            return found["from"], found["to"], found["zone_m"], found["mean_s"], found["cadence_hz"]

        def record():
            args = ["--athlete", "Tarik", "--accept", "--sure"]
            assert main(["review", PLAN, "--log", *args]) == 0
            (seen,) = (each.observations for each in load(PLAN).athletes if each.name == "Tarik")
            return [each for each in seen if each.date.isoformat() == "2026-03-03"]

        then, squad = told(), (logged / "harbour-squad.toml").read_bytes()
        kept = record()
        (logged / "harbour-squad.toml").write_bytes(squad)
        text = (logged / PLAN).read_text("utf-8")
        assert text.count(since[0]) == 1
        (logged / PLAN).write_text(text.replace(*since), "utf-8")
        capsys.readouterr()
        assert told() == then
        assert record() == kept

    def test_of_a_log_from_before_it_kept_the_marks_says_so_and_takes_nothing_unasked(
        self, logged, capsys
    ):
        path = logged / "tuesday-wickets.log.csv"
        lines = [each.split(",") for each in path.read_text("utf-8").splitlines()]
        gone = {
            lines[0].index(each)
            for each in ("zone_cm", "run_on_cm", "asked_permille", "moving_cm_s")
        }
        kept = [",".join(c for n, c in enumerate(row) if n not in gone) for row in lines]
        path.write_text("\n".join(kept) + "\n", "utf-8")
        assert main(["review", PLAN, "--log", "--accept"]) == 0
        out, err = capsys.readouterr()
        told = "caution: Tarik: the log does not say where the marks of 3 of the runs lay"
        assert told in out
        assert "written to the record" not in err
        # runs that are typed from now on say it
        assert main(["log", PLAN, "--date", "2026-03-02", "--add", "paper.txt"]) == 0
        assert "over the marks as they are now" in capsys.readouterr().err
        assert main(["review", PLAN, "--log", "--date", "2026-03-02", "--accept"]) == 0
        assert "written to the record of Tarik, Odalys" in capsys.readouterr().err

    def test_times_of_a_file_are_of_the_marks_of_the_day_in_the_log(self, logged, capsys):
        (logged / "times.csv").write_text("athlete,time,timing\nOdalys,2.39,gates\n", "utf-8")

        def zone_m():
            args = ["--times", "times.csv", "--format", "json"]
            main(["review", PLAN, *args])
            (found,) = json.loads(capsys.readouterr().out)["results"]
            return found["zone_m"]

        then, text = zone_m(), (logged / PLAN).read_text("utf-8")
        (logged / PLAN).write_text(text.replace('section = "20 m"', "wickets = 9"), "utf-8")
        assert zone_m() == then
        (logged / "tuesday-wickets.log.csv").unlink()
        assert zone_m() < then

    def test_how_hard_runs_were_that_do_not_say_may_be_told_of_the_whole_day(self, here, capsys):
        for text, more in (("Wren 2.64 2.67", []), ("Tarik 2.02 2.03", ["--at", "98%"])):
            Path("page.txt").write_text(text + "\n", "utf-8")
            assert main(["log", PLAN, "--add", "page.txt", "--timing", "gates", *more]) == 0
        said = []
        for more in ([], ["--at", "95%"]):
            capsys.readouterr()
            assert main(["review", PLAN, "--log", *more]) == 0
            said.append(capsys.readouterr().out)
        assert "Wren: same marks next time" in said[0]
        assert "nobody told how hard it was" in said[0]
        assert "Wren: gaps 3 cm longer" in said[1]
        assert "nobody told how hard it was" not in said[1]
        tarik = [[x.split() for x in each.splitlines() if "Tarik" in x] for each in said]
        assert tarik[0] == tarik[1] != []

    def test_of_a_day_without_runs_it_says_which_days_have_some(self, logged, capsys):
        assert main(["review", PLAN, "--log", "--date", "2026-03-02"]) == 2
        assert "it has 2026-03-03" in capsys.readouterr().err

    @pytest.mark.parametrize(
        ("more", "why"),
        [
            ([], "give one"),
            (["--log", "--times", "x.csv"], "give one"),
            (["--log", "--time", "2.1s"], "give one"),
            (["--time", "2.1s"], "whose time"),
            (["--log", "--steps", "12"], "goes with --time"),
            (["--log"], "has no runs"),
        ],
    )
    def test_asked_for_two_things_or_none_it_says_what_to_give(self, here, capsys, more, why):
        assert main(["review", PLAN, *more]) == 2
        assert why in capsys.readouterr().err


class TestReviewOfTimes:
    def write(self, text: str) -> None:
        Path("times.csv").write_text(text, "utf-8")

    def test_from_a_table_they_are_reviewed_and_accepted(self, here, capsys):
        self.write("lane;Time;Athlete\n3;2,11;TARIK\n3;2,13;tarik\n4;2,39;odalys\n")
        before = observations("Tarik")
        assert main(["review", PLAN, "--times", "times.csv", "--accept"]) == 0
        out, err = capsys.readouterr()
        assert "2.11 2.13" in out
        assert "not looked at: lane" in err
        assert observations("Tarik") == before + 1

    def test_with_a_bad_row_nothing_is_accepted_until_it_is_left_out(self, here, capsys):
        self.write("athlete,time\nTarik,2.11\nTarick,2.10\nOdalys,23.9\nBram,2.4x\n")
        before = observations("Tarik")
        assert main(["review", PLAN, "--times", "times.csv", "--accept"]) == 4
        said = capsys.readouterr().err
        assert [f"line {n}" in said for n in (2, 3, 4, 5)] == [False, True, True, True]
        assert 'did you mean "Tarik"?' in said
        assert "is no run" in said
        assert "nothing was accepted" in said
        assert observations("Tarik") == before
        assert main(["review", PLAN, "--times", "times.csv", "--accept", "--skip-bad"]) == 0
        assert capsys.readouterr().err.count("left out: times.csv, line ") == 3
        assert observations("Tarik") == before + 1

    def test_of_several_days_each_is_reviewed_after_the_one_before(self, here, capsys):
        self.write("athlete,time,date\nTarik,2.12,2026-03-03\nTarik,2.12,2026-02-24\n")
        before = observations("Tarik")
        assert main(["review", PLAN, "--times", "times.csv", "--accept"]) == 0
        assert capsys.readouterr().out.index("2026-02-24") < len("2026-02-24\n")
        assert observations("Tarik") == before + 2

    def test_of_a_day_to_come_or_a_file_that_is_not_there_it_is_refused(self, here, capsys):
        self.write("athlete,time,date\nTarik,2.12,2199-03-03\n")
        assert main(["review", PLAN, "--times", "times.csv"]) == 4
        assert "line 2: 2199-03-03 is a day to come" in capsys.readouterr().err
        assert main(["review", PLAN, "--times", "nothing.csv"]) == 4
        assert "nothing.csv: cannot be read: no such file" in capsys.readouterr().err


class TestTheSheet:
    def test_is_a_pdf_of_its_own_beside_that_of_the_plan(self, logged, capsys):
        assert main(["sheet", PLAN, "--only", "after"]) == 0
        assert "tuesday-wickets-after.pdf: 1 page" in capsys.readouterr().err
        assert (logged / "tuesday-wickets-after.pdf").read_bytes().startswith(b"%PDF")
        assert not (logged / "tuesday-wickets.pdf").exists()

    def test_warns_of_what_is_laid_next_time_and_no_more_of_what_a_day_has_told(self, here, capsys):
        (here / "paper.txt").write_text("Ines 2.46 2.47\n", "utf-8")
        assert main(["log", PLAN, "--add", "paper.txt", "--timing", "gates"]) == 0
        assert main(["check", PLAN]) == 0
        assert "Ines: top speed 8.29 m/s is an estimate" in capsys.readouterr().out
        assert main(["review", PLAN, "--log", "--accept"]) == 0
        assert "written to the record of Ines" in capsys.readouterr().err
        assert main(["sheet", PLAN, "--only", "after"]) == 0
        assert "is an estimate" not in capsys.readouterr().err

    def test_is_of_one_plan_everybody_and_a_day_with_runs(self, logged, capsys):
        for more in (["--only", "after,tape"], ["--only", "after", "--athlete", "Wren"]):
            assert main(["sheet", PLAN, *more]) == 2
            assert "--only after" in capsys.readouterr().err
        assert main(["sheet", PLAN, "--only", "after", "--date", "2026-01-01"]) == 2
        assert "it has 2026-03-03" in capsys.readouterr().err
