"""Misses at the board, from every way in to the marks of the next practice."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from wicketlay.cli import main
from wicketlay.plan_file import load
from wicketlay.solve import solve
from wicketlay.sources import FOOT_AHEAD_M

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLAN = "thursday-takeoffs.toml"
DAY = "2026-03-03"
REVIEW = ["review", PLAN, "--athlete", "Joren"]


@pytest.fixture
def here(tmp_path, monkeypatch):
    for path in LAYOUTS.glob("*.toml"):
        shutil.copy(path, tmp_path / path.name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def joren():
    return next(each for each in load(PLAN).athletes if each.name == "Joren")


def start_m() -> float:
    laying = solve(load(PLAN)).layings[0]
    return float(laying.placed.marks[0].chainage_m)


def json_of(capsys, *argv):
    capsys.readouterr()
    assert main([*argv, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def first_run_m() -> float:
    findings = solve(load(PLAN)).layings[0].findings
    (told,) = (f for f in findings if f.code in {"takeoff-first-run", "takeoff-next-run"})
    return float(told.values["error_m"])


@pytest.mark.parametrize("command", ["places", "share", "marks", "check", "log"])
def test_no_command_speaks_of_a_lane_of_a_runway(here, capsys, command):
    Path("day.txt").write_text("Joren 2.1 - 2.2", encoding="utf-8")
    assert main(["log", PLAN, "--add", "day.txt", "--sure"]) == 0
    capsys.readouterr()
    assert main([command, PLAN]) == 0
    out = capsys.readouterr().out
    assert out
    assert "lane" not in out


def test_misses_of_a_plan_in_feet_are_inches_on_every_way_in(here, capsys):
    text = (here / PLAN).read_text("utf-8")
    (here / PLAN).write_text(f'{text}\n[tape]\nunit = "feet"\n', "utf-8")
    Path("day.txt").write_text("Joren +5 2.10-12 +5cm", encoding="utf-8")
    assert main(["log", PLAN, "--add", "day.txt", "--sure"]) == 0
    assert "misses read in inches where no unit is told: +5 is 5 in over" in capsys.readouterr().err
    runs = json_of(capsys, "log", PLAN)["entries"]
    assert [each["miss_m"] for each in runs] == pytest.approx([0.127, -0.3048, 0.05], abs=0.005)
    Path("day.csv").write_text("athlete,miss\nJoren,+5\nJoren,+5 cm\n", encoding="utf-8")
    (day,) = json_of(capsys, "review", PLAN, "--times", "day.csv", "--date", DAY)["results"]
    assert [each["miss_m"] for each in day["runs"]] == pytest.approx([0.127, 0.05], abs=0.005)
    assert main([*REVIEW, "--misses", "+5,+6,5 cm over", "--date", DAY, "--accept"]) == 0
    assert joren().at_board[0].misses_m == pytest.approx((0.127, 0.1524, 0.05))


class TestReviewOfMisses:
    def test_tells_the_slide_with_its_error_and_writes_nothing_unasked(self, here, capsys):
        before = (here / PLAN).read_bytes()
        assert main([*REVIEW, "--misses", "+20,30 over,25 cm over", "--date", DAY]) == 0
        out, err = capsys.readouterr()
        assert "slide all marks 24 cm back" in out
        assert "± 8 cm (runs: 3, days: 1)" in out
        assert "nothing was written; --accept writes the misses to the athlete's record; " in err
        assert "with --slide it also slides all marks" in err
        assert (here / PLAN).read_bytes() == before

    def test_misses_with_a_slide_are_shown_and_written_together_or_not_at_all(self, here, capsys):
        before = (here / PLAN).read_bytes()
        told = [*REVIEW, "--misses", "+20,+30,+25", "--date", DAY, "--slide"]
        assert main(told) == 0
        said = capsys.readouterr().err
        assert said == (
            "nothing was written; --accept writes the misses to the athlete's record and slides "
            "all marks\n"
        )
        assert (here / PLAN).read_bytes() == before
        assert main([*told, "--accept"]) == 0
        assert "misses written to the record of Joren, all marks slid" in capsys.readouterr().err

    def test_a_slide_changes_a_number_and_leaves_everybodys_words_where_they_stand(
        self, here, capsys
    ):
        own = (
            '# on old spikes\n[[adjust]]\nathlete = "Joren"\nstart = "4 cm"\n\n'
            '# likes it\n[[adjust]]\nathlete = "Mirre"\nstart = "2 cm"\n'
        )
        (here / PLAN).write_text(f"{(here / PLAN).read_text('utf-8')}\n{own}", "utf-8")
        told = [*REVIEW, "--misses", "+20,+30,+25", "--date", DAY, "--slide", "--accept"]
        assert main(told) == 0
        own = own.replace('start = "4 cm"', 'start = "4 cm"\nslide = "-24 cm"')
        assert own in (here / PLAN).read_text("utf-8")

    @pytest.mark.parametrize(
        ("length", "misses", "told"),
        [
            (
                "30.76 m",
                "+20,+30,+25",
                ("slid 24 cm back all marks are laid anew, 21 steps and not 22", "more runway"),
            ),
            (
                "30.56 m",
                "-20,-30,-25",
                (
                    "slid 24 cm forward all marks are laid anew, 22 steps and not 21",
                    'approach = "21 steps" keeps as many',
                ),
            ),
        ],
    )
    def test_a_slide_that_costs_a_step_or_lets_one_more_in_lays_all_marks_anew(
        self, here, capsys, length, misses, told
    ):
        # 22 steps of his need 41.66 m before this board, 11 m beyond the one that is met first.
        path = here / "harbour-runway.toml"
        text = path.read_text("utf-8")
        path.write_text(text.replace('length = "40 m"', f'length = "{length}"'), "utf-8")
        assert main([*REVIEW, f"--misses={misses}", "--date", DAY, "--accept"]) == 0
        out, err = capsys.readouterr()
        assert all(each in out for each in told)
        assert "--slide --accept" in err

    def test_within_the_error_there_is_no_slide(self, here, capsys):
        assert main([*REVIEW, "--misses", "+12,-30,+5", "--date", DAY]) == 0
        assert "no slide: 4 cm short is within its error, ± 10 cm" in capsys.readouterr().out
        assert main([*REVIEW, "--misses=-120,-118", "--date", DAY]) == 0
        assert "caution: Joren: the foot comes down 1" in capsys.readouterr().out

    @pytest.mark.parametrize("misses", ["+10,-10", "0,0,0"])
    def test_a_foot_at_its_place_is_not_told_as_nothing_over(self, here, capsys, misses):
        assert main([*REVIEW, f"--misses={misses}", "--date", DAY]) == 0
        out = capsys.readouterr().out
        assert "no slide: the foot comes down at its place, ± " in out
        assert " 0 cm over" not in out

    def test_accepted_it_is_the_record_and_the_slide_taken_moves_every_mark(self, here, capsys):
        before_m, error_m = start_m(), first_run_m()
        assert main([*REVIEW, "--misses", "+20,+30,+25", "--date", DAY, "--accept"]) == 0
        (told,) = joren().at_board
        assert (told.date.isoformat(), told.misses_m, told.slide_m) == (DAY, (0.2, 0.3, 0.25), 0.0)
        assert start_m() == before_m
        assert first_run_m() < error_m == 0.5
        written = Path(PLAN).read_bytes()
        capsys.readouterr()
        assert main([*REVIEW, "--slide"]) == 0
        assert "nothing was written; --accept slides all marks\n" in capsys.readouterr().err
        assert Path(PLAN).read_bytes() == written
        assert main([*REVIEW, "--slide", "--accept"]) == 0
        assert load(PLAN).adjustment("Joren").slide_m == -0.24
        assert start_m() == pytest.approx(before_m - 0.24)
        assert "all marks slid" in capsys.readouterr().err
        assert main([*REVIEW, "--slide", "--accept"]) == 2
        assert "no slide to take, the misses are within their error" in capsys.readouterr().err

    def test_a_practice_after_the_slide_is_told_under_it_and_makes_surer(self, here, capsys):
        main([*REVIEW, "--misses", "+20,+30,+25", "--date", DAY, "--accept", "--slide"])
        once_m = first_run_m()
        assert main([*REVIEW, "--misses", "0,-2,+2", "--date", "2026-03-10", "--accept"]) == 0
        assert [each.slide_m for each in joren().at_board] == [0.0, -0.24]
        assert first_run_m() < once_m
        capsys.readouterr()
        assert main(["progress", PLAN, "--athlete", "Joren", "--format", "json"]) == 0
        days = json.loads(capsys.readouterr().out)["athletes"][0]["at_board"]
        assert [each["slide_after_m"] for each in days] == [-0.24, -0.24]
        assert days[1]["first_run_sd_m"] < days[0]["first_run_sd_m"]
        assert main(["progress", PLAN, "--athlete", "Joren"]) == 0
        table = capsys.readouterr().out
        assert "0 cm, 2 cm short, 2 cm over" in table
        assert "24 cm back" in table

    def test_the_error_of_a_miss_is_one_number_wherever_it_is_told(self, here, capsys):
        path = here / PLAN
        dated = path.read_text("utf-8").replace("title =", "date = 2026-03-24\ntitle =", 1)
        path.write_text(dated, "utf-8")
        told = json_of(capsys, *REVIEW, "--misses", "+12,-30,+5", "--date", DAY)
        (day,) = told["days"]
        main([*REVIEW, "--misses", "+12,-30,+5", "--date", DAY, "--accept"])
        # three weeks later the place has drifted: it is told for the next run, everywhere
        assert day["place_m"]["sd"] == round(told["values"]["sd_move_m"], 4) > 0.105
        (joren,) = json_of(capsys, "progress", PLAN, "--athlete", "Joren")["athletes"]
        assert joren["at_board"] == [day]
        on_sheets = json_of(capsys, "marks", PLAN)["layings"][0]["demands"][0]["at_board"]
        assert on_sheets["place_m"] == day["place_m"]
        assert on_sheets["first_run_sd_m"] == day["first_run_sd_m"]

    def test_a_day_is_told_for_the_next_run_that_the_record_has(self, here, capsys):
        main([*REVIEW, "--misses", "+12,-30,+5", "--date", DAY, "--accept"])
        (soon,) = json_of(capsys, "progress", PLAN, "--athlete", "Joren")["athletes"]
        main([*REVIEW, "--misses", "+2,-3", "--date", "2026-05-05", "--accept"])
        (later,) = json_of(capsys, "progress", PLAN, "--athlete", "Joren")["athletes"]
        first, last = later["at_board"]
        assert first["first_run_sd_m"] > soon["at_board"][0]["first_run_sd_m"]
        assert last["first_run_sd_m"] < first["first_run_sd_m"]

    def test_is_json(self, here, capsys):
        assert main([*REVIEW, "--misses", "+20,+30,+25", "--date", DAY, "--format", "json"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert (told["code"], told["values"]["way"]) == ("board-slide", "back")
        assert told["values"]["by_move_m"] == 0.24
        assert told["days"][0]["place_m"] == {"value": 0.2442, "sd": 0.0764}
        assert main(["marks", PLAN, "--format", "json"]) == 0
        demand = json.loads(capsys.readouterr().out)["layings"][0]["demands"][0]
        assert demand["at_board"] is None

    @pytest.mark.parametrize(
        ("more", "told"),
        [
            (["--misses", "+12 m"], '--misses: "+12 m" is too large; allowed: 300 cm short to'),
            (["--misses", "12"], '"12" does not say which way'),
            (["--misses", "+12,,+5"], '"" is not a miss'),
            (["--misses", "+12", "--time", "1.0"], "misses are a review of their own"),
            (["--misses", "+12", "--format", "csv"], "misses have no CSV"),
            (["--misses", "+12", "--date", "2199-01-01"], "is a day to come"),
            (["--slide"], "no slide to take, no miss at the board is known"),
        ],
    )
    def test_what_cannot_be_is_refused_with_a_remedy_and_nothing_is_written(
        self, here, capsys, more, told
    ):
        before = (here / PLAN).read_bytes()
        assert main([*REVIEW, *more]) == 2
        assert told in capsys.readouterr().err
        assert (here / PLAN).read_bytes() == before

    def test_wants_somebody_a_board_and_misses_that_are_new(self, here, capsys):
        assert main(["review", PLAN, "--misses", "+12"]) == 2
        assert "whose misses are they" in capsys.readouterr().err
        wickets = ["review", "tuesday-wickets.toml", "--athlete", "Wren", "--misses", "+12"]
        assert main(wickets) == 2
        assert "this plan's drill is a wicket run" in capsys.readouterr().err
        told = [*REVIEW, "--misses", "+12,-3", "--date", DAY, "--accept"]
        assert main(told) == 0
        assert main(told) == 2
        assert "are in the record already" in capsys.readouterr().err
        assert main([*REVIEW, "--misses=+12,-3,+8", "--date", DAY, "--accept"]) == 0
        assert joren().at_board[0].misses_m == (0.12, -0.03, 0.08)

    def test_too_far_for_a_slide_none_is_taken(self, here, capsys):
        told = [*REVIEW, "--misses=-120,-118,-121", "--date", DAY, "--accept"]
        assert main(told) == 0
        assert main([*REVIEW, "--slide"]) == 2
        assert "more than a slide of 1 m mends" in capsys.readouterr().err
        assert load(PLAN).adjustments == ()


class TestADayOfTheLog:
    PAPER = "Joren 0.78+20 +30 -+25 +90*\nMirre -4 0.80\n"

    def logged(self, here):
        (here / "paper.txt").write_text(self.PAPER, "utf-8")
        assert main(["log", PLAN, "--add", "paper.txt", "--timing", "gates", "--date", DAY]) == 0

    def test_misses_are_a_column_of_the_log(self, here, capsys):
        self.logged(here)
        capsys.readouterr()
        assert main(["log", PLAN, "--format", "csv"]) == 0
        rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
        assert [row["miss_cm"] for row in rows] == ["+20", "+30", "+25", "+90", "-4", ""]
        assert main(["log", PLAN, "--add", "paper.txt", "--date", DAY]) == 4
        assert "are in the log of 2026-03-03 already" in capsys.readouterr().err

    def test_of_flagged_runs_no_miss_is_learnt_and_a_slide_taken_later_changes_none(
        self, here, capsys
    ):
        self.logged(here)
        capsys.readouterr()
        assert main(["review", PLAN, "--log"]) == 0
        out = capsys.readouterr().out
        assert "0.78+20 +30 +25 +90*" in out
        assert "slide all marks 24 cm back" in out
        assert main(["review", PLAN, "--log", "--accept"]) == 0
        err = capsys.readouterr().err
        command = "wicketlay review thursday-takeoffs.toml --athlete Joren --slide --accept"
        assert f"this slides all marks of Joren: {command}\n" in err
        assert "marks of Mirre" not in err
        assert joren().at_board[0].misses_m == (0.2, 0.3, 0.25)
        assert main([*REVIEW, "--slide", "--accept"]) == 0
        capsys.readouterr()
        assert main(["review", PLAN, "--log", "--format", "json"]) == 0
        results = json.loads(capsys.readouterr().out)
        found = next(each for each in results["results"] if each["athlete"] == "Joren")
        assert (found["state"], found["slide_m"]) == ("in the record", 0.0)
        assert len(joren().at_board) == 1

    def test_a_run_on_counts_to_the_body_and_the_key_says_how_far_that_is_from_the_log(
        self, here, capsys
    ):
        self.logged(here)
        main(["review", PLAN, "--log", "--accept"])
        capsys.readouterr()
        assert main(["log", PLAN, "--format", "csv"]) == 0
        logged = next(csv.DictReader(io.StringIO(capsys.readouterr().out)))
        (run,) = joren().observations
        assert logged["run_on_m"] == "20.92"
        assert run.run_on_m == pytest.approx(20.92 - FOOT_AHEAD_M)
        assert main(["explain", "athlete.run.run_on"]) == 0
        assert "to a gate, or 0.31 m before a wicket" in capsys.readouterr().out

    def test_the_sheet_after_practice_says_it(self, here, capsys):
        from pypdf import PdfReader

        self.logged(here)
        assert main(["sheet", PLAN, "--only", "after", "-o", "after.pdf"]) == 0
        text = " ".join(
            " ".join(page.extract_text() for page in PdfReader("after.pdf").pages).split()
        )
        assert "0.78+20 +30 +25 +90*" in text
        assert "lide all marks 24 cm back" in text
        assert "+12 is 12 cm over at the board, -30 short" in text

    def test_a_run_over_wickets_has_no_board(self, here, capsys):
        (here / "paper.txt").write_text("Wren -30\n", "utf-8")
        assert main(["log", "tuesday-wickets.toml", "--add", "paper.txt"]) == 4
        assert "run 1 of Wren has a miss at the board" in capsys.readouterr().err


class TestATableOfTimes:
    def review(self, here, text, *more):
        (here / "times.csv").write_text(text, "utf-8")
        return main(["review", PLAN, "--times", "times.csv", "--date", DAY, *more])

    def test_has_a_column_of_misses_with_times_or_without(self, here, capsys):
        assert self.review(here, "athlete,miss\nJoren,+20\nJoren,30 cm over\nJoren,+25\n") == 0
        assert "slide all marks 24 cm back" in capsys.readouterr().out
        told = "athlete;miss;time\nJoren;+20;0,78\nMirre;4 short;-\n"
        assert self.review(here, told, "--timing", "gates", "--accept") == 0
        assert joren().at_board[0].misses_m == (0.2,)

    def test_the_same_table_again_adds_nothing_also_after_a_slide(self, here, capsys):
        table = "athlete,miss\nJoren,+20\nJoren,+30\nJoren,+25\n"
        assert self.review(here, table, "--accept") == 0
        assert main([*REVIEW, "--slide", "--accept"]) == 0
        assert self.review(here, table, "--accept") == 0
        assert [each.misses_m for each in joren().at_board] == [(0.2, 0.3, 0.25)]

    @pytest.mark.parametrize(
        ("text", "told"),
        [
            ("athlete,miss\nJoren,12\n", "line 2: miss: "),
            ("athlete,miss\nJoren,+12 m\n", "is too large"),
            ("athlete,miss\nJoren,\n", "line 2: time: "),
            ("athlete,note\nJoren,x\n", 'there is no column "time"'),
        ],
    )
    def test_a_bad_one_is_told_with_its_line(self, here, capsys, text, told):
        assert self.review(here, text) == 4
        assert told in capsys.readouterr().err


class TestTheLineAsTheEndOfATime:
    @pytest.mark.parametrize("end", ["board", "line", "BOARD"])
    def test_a_time_to_the_board_teaches_speed(self, here, capsys, end):
        time = ["--time", "1.70", "--timing", "gates", "--from", "w4", "--to", end.lower()]
        assert main([*REVIEW, *time, "--date", DAY, "--accept"]) == 0
        assert "W4 to TAKE-OFF LINE: 1.70 s ± 0.01 s, expected 1.67 s" in capsys.readouterr().out
        (seen,) = joren().observations
        assert (seen.over_marks, seen.steps) == (True, None)
        assert 9.3 < solve(load(PLAN)).layings[0].demands[0].runner.told_speed.value < 9.65

    def test_it_ends_a_time_of_the_log_too(self, here, capsys):
        (here / "paper.txt").write_text("Joren 1.70\n", "utf-8")
        ends = ["--from", "W4", "--to", "Board", "--timing", "gates", "--date", DAY]
        assert main(["log", PLAN, "--add", "paper.txt", *ends]) == 0
        assert main(["review", PLAN, "--log"]) == 0
        assert "W4 to TAKE-OFF LINE" in capsys.readouterr().out

    def test_no_time_begins_there_and_a_wicket_run_has_none(self, here, capsys):
        time = ["--time", "1.70", "--from", "board", "--to", "w1"]
        assert main([*REVIEW, *time]) == 2
        assert "w1 does not lie beyond line" in capsys.readouterr().err
        wickets = ["review", "tuesday-wickets.toml", "--athlete", "Wren", "--time", "2.0"]
        assert main([*wickets, "--from", "w1", "--to", "board"]) == 2
        assert "there is no mark board" in capsys.readouterr().err
