"""The commands as their users run them: exit codes, messages, files left behind."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import jsonschema
import pytest

from wicketlay import __version__
from wicketlay.cli import main
from wicketlay.export.tables import cells_of
from wicketlay.plan_file import load

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder of its own with a copy of the layouts."""
    for path in LAYOUTS.glob("*.toml"):
        shutil.copy(path, tmp_path / path.name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*argv: str, **more) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "wicketlay", *argv], capture_output=True, check=False, **more
    )


class TestSheet:
    def test_writes_a_pdf_named_after_the_plan(self, here, capsys):
        assert main(["sheet", "fixed-cadence.toml"]) == 0
        assert (here / "fixed-cadence.pdf").read_bytes().startswith(b"%PDF")
        assert "fixed-cadence.pdf" in capsys.readouterr().err

    def test_equal_input_gives_equal_bytes(self, here):
        main(["sheet", "fixed-cadence.toml", "-o", "one.pdf"])
        main(["sheet", "fixed-cadence.toml", "-o", "two.pdf"])
        assert (here / "one.pdf").read_bytes() == (here / "two.pdf").read_bytes()

    def test_a_pdf_of_the_same_plan_is_replaced_whatever_became_of_the_plan(self, here):
        assert main(["sheet", "fixed-cadence.toml", "-o", "out.pdf", "--only", "tape"]) == 0
        before = (here / "out.pdf").read_bytes()
        text = (here / "fixed-cadence.toml").read_text("utf-8")
        changed = text.replace('title = "', 'title = "New ')
        assert changed != text
        (here / "fixed-cadence.toml").write_text(changed, "utf-8")
        assert main(["sheet", "fixed-cadence.toml", "-o", "out.pdf"]) == 0
        assert (here / "out.pdf").read_bytes() != before

    def test_a_pdf_of_another_plan_or_hand_is_replaced_by_force_only(self, here, capsys):
        assert main(["sheet", "height-only.toml", "-o", "out.pdf"]) == 0
        (here / "old.pdf").write_bytes(b"%PDF-1.4 a ticket")
        for name in ("out.pdf", "old.pdf"):
            before = (here / name).read_bytes()
            assert main(["sheet", "fixed-cadence.toml", "-o", name]) == 5
            assert f"{name} is a PDF, but not of this plan" in capsys.readouterr().err
            assert (here / name).read_bytes() == before
            assert main(["sheet", "fixed-cadence.toml", "-o", name, "--force"]) == 0
            assert (here / name).read_bytes() != before

    def test_force_replaces_nothing_but_a_pdf(self, here):
        before = (here / "height-only.toml").read_bytes()
        arguments = ["sheet", "fixed-cadence.toml", "-o", "height-only.toml", "--force"]
        assert main(arguments) == 5
        assert (here / "height-only.toml").read_bytes() == before

    def test_whose_the_pages_are_is_told_and_all_is_more_than_the_usual(self, here, capsys):
        pages = {}
        for option in ([], ["--all"]):
            assert main(["sheet", "shared-lanes.toml", *option]) == 0
            pages[bool(option)] = self.counted(capsys)
        assert pages[False][1] == pages[True][1]
        assert pages[False][2] < pages[True][2]

    @staticmethod
    def counted(capsys) -> tuple[int, int, int, int]:
        """Return the pages that were told: all, the assistant's, the coach's, blank ones."""
        told = capsys.readouterr().err.splitlines()[0]
        found = re.fullmatch(
            r"\S+.pdf: (\d+) pages: (\d+) the assistant's, (\d+) the coach's"
            r"(?:, (\d+) blank between them)?",
            told,
        )
        assert found is not None, told
        every, assistants, coachs, blank = (int(each or 0) for each in found.groups())
        return every, assistants, coachs, blank

    @pytest.mark.parametrize(("name", "blank"), [("fixed-cadence", 1), ("tuesday-wickets", 0)])
    def test_the_pages_that_are_told_add_up_with_the_blank_one(self, here, capsys, name, blank):
        assert main(["sheet", f"{name}.toml"]) == 0
        every, *parts = self.counted(capsys)
        assert every == sum(parts)
        assert parts[-1] == blank

    def test_one_athlete_takes_three_pages_and_six_take_eleven(self, here, capsys):
        for name, most in (("fixed-cadence", 3), ("tuesday-wickets", 11)):
            assert main(["sheet", f"{name}.toml"]) == 0
            told = capsys.readouterr().err.splitlines()[0]
            assert int(re.search(r": (\d+) pages", told)[1]) <= most

    def test_any_other_file_is_not(self, here, capsys):
        (here / "out.pdf").write_text("my notes")
        assert main(["sheet", "fixed-cadence.toml", "-o", "out.pdf"]) == 5
        assert main(["sheet", "fixed-cadence.toml", "-o", "out.pdf", "--force"]) == 5
        assert (here / "out.pdf").read_text() == "my notes"
        assert "out.pdf exists and is not a PDF" in capsys.readouterr().err
        assert main(["sheet", "--help"]) == 0
        told = " ".join(capsys.readouterr().out.split())
        assert "what is no PDF is never replaced" in told

    @pytest.mark.parametrize("name", ["", " "])
    def test_a_name_that_is_empty_is_refused_instead_of_another_taken(self, here, capsys, name):
        assert main(["sheet", "fixed-cadence.toml", "-o", name]) == 2
        assert "argument -o/--output: it is empty; give the name" in capsys.readouterr().err
        assert not list(here.glob("*.pdf"))

    def test_a_folder_that_is_not_there(self, here, capsys):
        assert main(["sheet", "fixed-cadence.toml", "-o", "nowhere/out.pdf"]) == 5
        told = capsys.readouterr().err
        assert "cannot write nowhere/out.pdf: folder nowhere does not exist; make it or " in told

    def test_a_symlink_is_followed(self, here):
        (here / "real.pdf").write_bytes(b"%PDF-old")
        (here / "link.pdf").symlink_to("real.pdf")
        assert main(["sheet", "fixed-cadence.toml", "-o", "link.pdf", "--force"]) == 0
        assert (here / "link.pdf").is_symlink()
        assert (here / "real.pdf").stat().st_size > 1000

    def test_standard_output(self, here):
        done = run("sheet", "fixed-cadence.toml", "-o", "-", cwd=here)
        assert done.returncode == 0
        assert done.stdout.startswith(b"%PDF")
        assert done.stdout.rstrip().endswith(b"%%EOF")

    def test_only_some_sheets_and_another_unit(self, here, capsys):
        assert main(["sheet", "fixed-cadence.toml", "--only", "tape", "--unit", "feet"]) == 0
        assert "1 page" in capsys.readouterr().err

    def test_an_unknown_sheet_names_the_nearest(self, here, capsys):
        assert main(["sheet", "fixed-cadence.toml", "--only", "tpae"]) == 2
        assert "'tpae' is no sheet; did you mean 'tape'?" in capsys.readouterr().err

    @pytest.mark.parametrize("output", ["out.pdf", "-"])
    def test_no_pages_replace_nothing(self, here, capsysbinary, output):
        assert main(["sheet", "fixed-cadence.toml", "-o", "out.pdf"]) == 0
        good = (here / "out.pdf").read_bytes()
        arguments = ["sheet", "fixed-cadence.toml", "--only", "stages", "-o", output]
        assert main(arguments) == 2
        told = capsysbinary.readouterr()
        assert b"has none of the sheets asked for (stages); nothing was written" in told.err
        assert told.out == b""
        assert (here / "out.pdf").read_bytes() == good

    def test_the_sheets_that_can_be_asked_for_are_those_there_are(self):
        from wicketlay.cli.arguments import SHEETS
        from wicketlay.sheets import KINDS

        assert SHEETS == KINDS

    def test_an_unknown_option_names_the_nearest_or_all(self, here, capsys):
        assert main(["sheet", "--papper", "a4", "fixed-cadence.toml"]) == 2
        told = capsys.readouterr().err
        assert told == "wicketlay: sheet has no option --papper; did you mean --paper?\n"
        assert main(["sheet", "fixed-cadence.toml", "--zzz=3"]) == 2
        told = capsys.readouterr().err
        assert told.startswith("wicketlay: sheet has no option --zzz; there are: -h, --help, -o,")

    def test_an_unknown_athlete_names_the_nearest(self, here, capsys):
        assert main(["sheet", "tuesday-wickets.toml", "--athlete", "Wrenn"]) == 2
        assert (
            'nobody called "Wrenn" is in the plan; did you mean "Wren"?' in capsys.readouterr().err
        )

    @pytest.mark.parametrize("written", ["bela", "BÉLA", " Béla "])
    def test_an_athlete_is_meant_without_regard_to_case_and_accents(self, here, capsys, written):
        text = (here / "harbour-squad.toml").read_text("utf-8").replace('"Bram"', '"Béla"')
        (here / "harbour-squad.toml").write_text(text, "utf-8")
        plan = (here / "tuesday-wickets.toml").read_text("utf-8").replace('"Bram"', '"Béla"')
        (here / "tuesday-wickets.toml").write_text(plan, "utf-8")
        for command in (
            ["sheet", "tuesday-wickets.toml", "--only", "coach", "-o", "one.pdf"],
            ["rhythm", "tuesday-wickets.toml", "-o", "one.wav"],
            ["progress", "tuesday-wickets.toml"],
            ["review", "tuesday-wickets.toml", "--time", "2.60s", "--timing", "gates"],
        ):
            assert main([*command, "--athlete", written]) == 0, command
        assert "Béla" in capsys.readouterr().out
        assert main(["review", "tuesday-wickets.toml", "--keep-gaps", "--athlete", written]) == 2
        assert "Béla has no gaps of their own" in capsys.readouterr().err

    def test_a_stop_is_printed_and_told_by_the_exit_code(self, here):
        text = (here / "fixed-cadence.toml").read_text("utf-8")
        (here / "quick.toml").write_text(text.replace("4.3 steps/s", "5.4 steps/s"), "utf-8")
        assert main(["sheet", "quick.toml"]) == 3
        assert (here / "quick.pdf").exists()

    def test_interrupted_it_leaves_no_partial_file(self, here):
        many = "\n".join(
            f'[[athlete]]\nname = "A{i}"\nheight = "1.7 m"\ntop_speed = "8 m/s"' for i in range(300)
        )
        (here / "many.toml").write_text(
            f'format = 1\nkind = "plan"\ntitle = "Many"\n{many}\n[drill]\nkind = "wicket-run"\n'
            'speed = "95 %"\nwickets = 14\n[ground]\nkind = "strip"\nlength = "200 m"\n',
            "utf-8",
        )
        process = subprocess.Popen(
            [sys.executable, "-m", "wicketlay", "sheet", "many.toml"],
            cwd=here,
            stderr=subprocess.PIPE,
        )
        deadline = time.monotonic() + 30
        while not list(here.glob(".many.pdf.*")) and time.monotonic() < deadline:
            time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=30)
        assert process.returncode == 130
        assert b"interrupted" in told
        assert not list(here.glob("*many.pdf*"))


class TestMarksAndCheck:
    def test_json_is_utf_8_whatever_the_locale(self, here):
        text = (here / "fixed-cadence.toml").read_text("utf-8")
        (here / "plan.toml").write_text(text.replace('title = "', 'title = "Łódź '), "utf-8")
        done = run(
            "marks",
            "plan.toml",
            "--format",
            "json",
            cwd=here,
            env={**os.environ, "LANG": "C", "LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        )
        assert done.returncode == 0
        assert "Łódź" in json.loads(done.stdout)["plan"]["title"]

    def test_a_table_survives_an_ascii_terminal(self, here):
        done = run(
            "marks",
            "fixed-cadence.toml",
            cwd=here,
            env={**os.environ, "LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        )
        assert done.returncode == 0
        assert b"W12" in done.stdout

    def test_check_says_what_was_found(self, here, capsys):
        assert main(["check", "fixed-cadence.toml", "height-only.toml"]) == 0
        assert "1 laying, 13 marks" in capsys.readouterr().out

    def test_findings_of_several_plans_say_whose_they_are(self, here, capsys):
        assert main(["check", "height-only.toml"]) == 0
        alone = capsys.readouterr().out.splitlines()[:-1]
        assert main(["check", "height-only.toml", "fixed-cadence.toml"]) == 0
        both = capsys.readouterr().out.splitlines()[: len(alone)]
        assert alone
        assert both == [f"height-only.toml: {line}" for line in alone]

    def test_strict_makes_cautions_count(self, here):
        assert main(["check", "height-only.toml"]) == 0
        assert main(["check", "--strict", "height-only.toml"]) == 1

    def test_every_file_is_checked_and_the_gravest_counts(self, here, capsys):
        (here / "bad.toml").write_text("format = 1\nkind = 'plan'\n", "utf-8")
        assert main(["check", "bad.toml", "fixed-cadence.toml"]) == 4
        said = capsys.readouterr()
        assert "bad.toml" in said.err
        assert "fixed-cadence.toml" in said.out

    def test_a_closed_pipe_is_no_accident(self, here):
        process = subprocess.Popen(
            [sys.executable, "-m", "wicketlay", "marks", "tuesday-wickets.toml"],
            cwd=here,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        with process:
            process.stdout.close()
            told = process.stderr.read()
            assert process.wait(timeout=30) == 0
        assert b"Traceback" not in told
        assert b"Broken" not in told

    def test_what_holds_for_several_is_one_line_that_names_them(self, here, capsys):
        assert main(["check", "thursday-flying.toml"]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert sum("flat-out running" in line for line in lines) == 1
        assert any(line.startswith("note: Wren, Bram, Sanne: flat-out") for line in lines)
        assert lines[-1].endswith("1 note")


class TestReview:
    arguments = (
        "review",
        "tuesday-wickets.toml",
        "--athlete",
        "Wren",
        "--time",
        "2.64 s",
        "--timing",
        "gates",
        "--date",
        "2026-03-03",
        "--at",
        "95%",
    )

    def test_it_compares_and_writes_nothing(self, here, capsys):
        before = (here / "harbour-squad.toml").read_bytes()
        assert main(list(self.arguments)) == 0
        said = capsys.readouterr()
        assert "gaps 3 cm longer because you ran" in said.out
        assert "nothing was written" in said.err
        assert (here / "harbour-squad.toml").read_bytes() == before

    def test_a_plan_in_feet_has_one_unit_of_speed(self, here, capsys):
        arguments = ["feet-and-inches.toml", "--athlete", "Wren", "--time", "2.68s"]
        assert main(["review", *arguments, "--date", "2026-03-03"]) == 0
        said = capsys.readouterr().out
        assert "speed 17.2 mph ± 0.6 mph, expected 16.5 mph" in said
        assert "m/s" not in said

    def test_a_slip_of_the_point_is_told_in_the_unit_of_the_plan(self, here, capsys):
        arguments = ["feet-and-inches.toml", "--athlete", "Wren", "--date", "2026-03-03"]
        marks = ["--from", "w1", "--to", "w4"]
        assert main(["review", *arguments, *marks, "--time", "8.1s"]) == 2
        told = capsys.readouterr().err
        assert "8.10 s over 18 ft 1 1/2 in is no run" in told
        assert "it must lie between 0.43 s and 5.52 s here; check the point" in told

    def test_accepting_on_a_plan_that_is_not_to_be_laid_warns_and_writes(self, here, capsys):
        text = (here / "feet-and-inches.toml").read_text("utf-8")
        stopped = text.replace("-165 ft", "400 ft").replace("100 % of natural", "5.4 steps/s")
        (here / "stopped.toml").write_text(stopped, "utf-8")
        arguments = ["stopped.toml", "--athlete", "Wren", "--time", "2.1s", "--date", "2026-03-03"]
        assert main(["review", *arguments, "--accept", "--sure"]) == 0
        told = capsys.readouterr().err
        warned = [line for line in told.splitlines() if "DO NOT LAY OUT" in line]
        assert len(warned) == 1
        assert "marks that should not have been laid" in warned[0]
        assert "2026-03-03" in (here / "stopped.toml").read_text("utf-8")

    def test_accepting_on_a_sound_plan_warns_of_nothing(self, here, capsys):
        assert main([*self.arguments, "--accept"]) == 0
        assert "DO NOT LAY OUT" not in capsys.readouterr().err

    def test_accepting_writes_the_record_and_nothing_else(self, here):
        plan = (here / "tuesday-wickets.toml").read_bytes()
        assert main([*self.arguments, "--accept"]) == 0
        assert (here / "tuesday-wickets.toml").read_bytes() == plan
        assert "2026-03-03" in (here / "harbour-squad.toml").read_text("utf-8")

    def test_accepting_the_same_twice_is_refused(self, here, capsys):
        main([*self.arguments, "--accept"])
        after = (here / "harbour-squad.toml").read_bytes()
        assert main([*self.arguments, "--accept"]) != 0
        assert (here / "harbour-squad.toml").read_bytes() == after
        assert "already" in capsys.readouterr().err

    def test_a_far_off_time_is_written_only_when_somebody_is_sure(self, here, capsys):
        slip = [word.replace("2.64 s", "9.70 s") for word in self.arguments]
        before = (here / "harbour-squad.toml").read_bytes()
        assert main(slip) == 3
        said = capsys.readouterr().out
        assert "cannot be right: it is 249 % off the expected 2.78 s" in said
        assert "say:" not in said
        assert main([*slip, "--accept"]) == 2
        assert "nothing was written; --sure says so" in capsys.readouterr().err
        assert (here / "harbour-squad.toml").read_bytes() == before
        assert main([*slip, "--accept", "--sure"]) == 0
        assert (here / "harbour-squad.toml").read_bytes() != before

    def test_a_time_22_percent_off_is_not_written_unasked(self, here, capsys):
        odd = [word.replace("2.64 s", "2.17 s") for word in self.arguments]
        before = (here / "harbour-squad.toml").read_bytes()
        assert main([*odd, "--accept"]) == 2
        told = capsys.readouterr()
        assert "caution: Wren: 2.17 s from W1 to W12 is 22 % off the expected 2.78 s" in told.out
        assert "only when you say that you are sure" in told.err
        assert (here / "harbour-squad.toml").read_bytes() == before
        assert main([*odd, "--accept", "--sure"]) == 0

    @pytest.mark.parametrize(
        ("option", "told"),
        [
            (("--time", "abc"), '--time: time "abc" is not a time'),
            (("--time", "0.1s"), "time is 0.1 s; it must lie between 0.3 and 60 s"),
            (("--time", "40 s"), "is no run"),
            (("--timing", "video", "--fps", "5"), "video is 5 frames a second; it must lie"),
            (("--fps", "fast"), "'fast' is not a number above 0"),
            (("--date", "yesterday"), "is not a date"),
            (("--to", "w99"), "there is no mark w99"),
        ],
    )
    def test_what_an_option_cannot_be_is_a_matter_of_usage(self, here, capsys, option, told):
        assert main([*self.arguments, *option]) == 2
        assert told in capsys.readouterr().err

    def test_steps_over_marks_are_left_out_and_the_review_stands(self, here, capsys):
        assert main(self.arguments) == 0
        plain = capsys.readouterr().out
        assert main([*self.arguments, "--steps", "12"]) == 0
        told = capsys.readouterr().out
        assert told.startswith(plain.rstrip())
        assert "Wren: steps counted over marks teach nothing" in told[len(plain.rstrip()) :]

    def test_a_bare_time_is_in_seconds_and_a_bare_effort_in_percent(self, here, capsys):
        with_units = ("--time", "2.64s", "--at", "95%")
        told = []
        for given in (
            with_units,
            ("--time", "2.64", "--at", "95"),
            ("--time", "2,64 s", "--at", "95 %"),
        ):
            assert main(["review", "tuesday-wickets.toml", "--athlete", "Wren", *given]) == 0
            told.append(capsys.readouterr().out)
        assert told[0] == told[1] == told[2]

    def test_without_a_date_runs_are_of_the_plans_day(self, here, capsys):
        undated = list(self.arguments[:-2])
        assert main(undated) == 0
        assert capsys.readouterr().out.startswith("2026-03-03, W1 to W12: ")

    def test_a_counted_flying_run_is_recorded_as_free_with_its_steps(self, here):
        arguments = ["flying-20.toml", "--athlete", "Wren", "--timing", "gates"]
        times = ["--time", "2.60s", "--steps", "11.5", "--date", "2026-03-03"]
        assert main(["review", *arguments, *times, "--accept"]) == 0
        named = {each.name: each for each in load(here / "flying-20.toml").athletes}
        run = named["Wren"].observations[-1]
        assert (run.over_marks, run.steps, run.time_s) == (False, 11.5, 2.6)

    def test_an_accepted_review_says_which_wickets_are_taken_up(self, here, capsys):
        plan = here / "tuesday-wickets.toml"
        text = plan.read_text("utf-8").replace('section = "20 m"', 'section = "19.8 m"')
        plan.write_text(text, "utf-8")
        fast = [word.replace("2.64 s", "2.45 s") for word in self.arguments]
        assert main([*fast, "--accept"]) == 0
        told = capsys.readouterr().err
        assert "note: Wren: the section now takes 11 wickets, 12 before; W12 taken up" in told

    def test_a_day_to_come_is_refused(self, here, capsys):
        ahead = [word.replace("2026-03-03", "2199-01-01") for word in self.arguments]
        assert main([*ahead, "--accept"]) == 2
        assert "2199-01-01 is a day to come" in capsys.readouterr().err

    @pytest.mark.parametrize(
        ("written", "told"),
        [
            ("3.3.2026", '"3.3.2026" is not a date; write a day as 2026-03-04'),
            ("20260303", '"20260303" is not a date; write a day as 2026-03-04'),
            ("1026-03-03", "1026-03-03 is out of range; allowed: the years 1900 to 2200; write"),
        ],
    )
    def test_a_day_that_a_record_could_not_hold_is_refused(self, here, capsys, written, told):
        wrong = [word.replace("2026-03-03", written) for word in self.arguments]
        assert main(wrong) == 2
        assert f"--date {told}" in capsys.readouterr().err


class TestTheRest:
    def test_paper_is_known_in_capitals_too(self, here):
        assert main(["sheet", "fixed-cadence.toml", "--paper", "A5", "-o", "a.pdf"]) == 0
        assert main(["sheet", "fixed-cadence.toml", "--paper", "a5", "-o", "b.pdf"]) == 0
        assert (here / "a.pdf").read_bytes() == (here / "b.pdf").read_bytes()

    @pytest.mark.parametrize(
        ("name", "example"),
        [("mine", "mine.toml"), ("mine.txt", "mine.toml"), (".toml", "my-plan.toml")],
    )
    def test_a_new_plan_has_a_name_that_ends_in_toml(self, here, capsys, name, example):
        assert main(["new", name]) == 2
        assert f"should end in .toml, for example {example}\n" in capsys.readouterr().err

    @pytest.mark.parametrize("command", ["new", "marks", "check", "open"])
    def test_an_empty_name_is_no_file(self, here, capsys, command):
        assert main([command, ""]) == 2
        assert "it is empty; give the name of a file" in capsys.readouterr().err

    def test_a_bag_too_small_is_told_once_of_all_stages_and_waves(self, here, capsys):
        text = (here / "season-stages.toml").read_text(encoding="utf-8")
        text = text.replace('athletes = ["Wren"]', 'athletes = ["Wren", "Tarik"]')
        text = text.replace("wickets = 14", "wickets = 10").replace("efforts = 6", "waves = 2")
        (here / "bag.toml").write_text(text, encoding="utf-8")
        assert main(["check", "bag.toml"]) == 0
        lines = [line for line in capsys.readouterr().out.splitlines() if "the bag" in line]
        said = "12 wickets are needed and the bag holds 10: it reaches 15.83 m to 20.99 m past W1"
        mend = "put chalk or tape marks for the rest (2), or ask for 10 wickets"
        assert lines == [f"caution: {said}; {mend}"]

    def test_what_one_wave_lacks_at_every_stage_names_the_wave_and_no_stage(self, here, capsys):
        text = (here / "season-stages.toml").read_text(encoding="utf-8")
        text = text.replace('athletes = ["Wren"]', 'athletes = ["Wren", "Tarik"]')
        text = text.replace("wickets = 12   ", 'section = "20 m"').replace(
            "efforts = 6", "waves = 2"
        )
        text = text.replace("wickets = 14", "wickets = 11")
        (here / "bag.toml").write_text(text, encoding="utf-8")
        assert main(["check", "bag.toml"]) == 0
        lines = [line for line in capsys.readouterr().out.splitlines() if "the bag holds" in line]
        assert [line.partition(":")[2].partition(":")[0] for line in lines] == [
            " lane 4, wave 1, Wren"
        ]

    def test_share_says_who_runs_where(self, here, capsys):
        assert main(["share", "tuesday-wickets.toml", "--lanes", "2", "--waves", "2"]) == 0
        out = capsys.readouterr().out
        assert all(name in out for name in ("Tarik", "Odalys", "Bram", "Wren", "Ines", "Kit"))

    def test_share_says_at_which_stage_each_row_is(self, here, capsys):
        text = (here / "shared-lanes.toml").read_text(encoding="utf-8")
        text += '\n[stages]\nfrom = "90 %"\nto = "94 %"\ncount = 2\n'
        (here / "seasons.toml").write_text(text, encoding="utf-8")
        assert main(["share", "seasons.toml"]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert lines[0].split()[:4] == ["lane", "wave", "stage", "start"]
        rows = [line.split()[:5] for line in lines[1:13]]
        assert len({tuple(row) for row in rows}) == 12
        assert {row[2] for row in rows} == {"1", "2"}
        moves = [line.split(":")[0] for line in lines if "before wave" in line]
        told = [f"lane {lane}, stage {stage}, before wave 2" for stage in (1, 2) for lane in (3, 4)]
        assert moves == told

    def test_share_says_of_one_mark_that_it_is_one(self, here, capsys):
        text = (here / "fixed-cadence.toml").read_text(encoding="utf-8")
        other = text.replace('"Joren"', '"Jorun"', 1)
        start = other.index("[[athlete]]")
        twin = other[start : other.index("\n[", start + 1)]
        text = text.replace("\n[drill]", f"\n{twin}\n[drill]", 1)
        text = text.replace('"4.3 steps/s"', '"98 % of top"').replace(
            "\n[drill]", '\n[[adjust]]\nathlete = "Jorun"\nstart = "30 cm"\n\n[drill]', 1
        )
        (here / "twins.toml").write_text(text, encoding="utf-8")
        assert main(["share", "twins.toml", "--lanes", "1", "--waves", "2"]) == 0
        assert "before wave 2: 1 mark, about 1 min; START" in capsys.readouterr().out

    def test_stages_need_a_series(self, here, capsys):
        assert main(["stages", "fixed-cadence.toml"]) == 2
        assert "add a [stages] table with from, to and count" in capsys.readouterr().err

    def test_stages_star_what_moves(self, here, capsys):
        text = (here / "fixed-cadence.toml").read_text("utf-8")
        more = '\n[stages]\nfrom = "92 %"\nto = "95 %"\ncount = 2\n'
        (here / "season.toml").write_text(text + more, "utf-8")
        assert main(["stages", "season.toml"]) == 0
        out = capsys.readouterr().out
        assert "1: 92 %" in out
        assert "to stage 2: " in out
        assert "*" in out

    def test_places_name_lines_that_fit_when_tried(self, here, capsys):
        assert main(["places", "fixed-cadence.toml"]) == 0
        rows = capsys.readouterr().out.splitlines()
        assert rows[0].split()[:2] == ["line", "lane"]
        assert any(row.startswith("home straight") for row in rows[1:])

    def test_new_writes_a_plan_that_prints(self, here, capsys):
        assert main(["new", "mine.toml"]) == 0
        assert main(["sheet", "mine.toml"]) == 0
        assert (here / "mine.pdf").exists()

    @pytest.mark.parametrize("name", [p.stem for p in LAYOUTS.glob("*.toml")])
    def test_every_example_plan_can_be_started_from(self, tmp_path, monkeypatch, capsys, name):
        monkeypatch.chdir(tmp_path)
        assert main(["new", "mine.toml", "--like", name, "--schema"]) == 0
        text = (LAYOUTS / f"{name}.toml").read_text("utf-8")
        head, _, written = Path("mine.toml").read_text("utf-8").partition("\n")
        assert written == text
        schema = json.loads(Path(head.removeprefix("#:schema ")).read_text("utf-8"))
        plain = json.loads(json.dumps(tomllib.loads(text), default=str))  # as editors see a date
        jsonschema.validate(plain, schema)
        told = capsys.readouterr().err
        kind = tomllib.loads(text)["kind"]
        if kind in {"squad", "ground"}:
            assert f"name it in a plan: {'squad' if kind == 'squad' else '[ground] file'} =" in told
            return
        if kind == "plan":
            assert load("mine.toml") == load(LAYOUTS / f"{name}.toml")
        assert main(["check", "mine.toml"]) == main(["check", str(LAYOUTS / f"{name}.toml")])

    def test_the_examples_are_listed_with_what_each_is(self, capsys):
        assert main(["new", "--like"]) == 0
        told = dict(line.split(": ", 1) for line in capsys.readouterr().out.splitlines())
        assert set(told) == {path.stem for path in LAYOUTS.glob("*.toml")}
        for name, what in told.items():
            assert what.endswith("."), (name, what)
            assert len(what) < 150, (name, what)

    def test_new_without_a_name_says_what_is_missing(self, capsys):
        assert main(["new"]) == 2
        assert "what should it be called? such as 'wicketlay new my-plan" in capsys.readouterr().err

    def test_an_example_is_not_given_the_name_of_a_file_it_needs(
        self, tmp_path, monkeypatch, capsys
    ):
        monkeypatch.chdir(tmp_path)
        assert main(["new", "harbour-track.toml", "--like", "tuesday-wickets"]) == 2
        assert "needs harbour-track.toml beside it" in capsys.readouterr().err
        assert not list(tmp_path.iterdir())

    def test_an_example_takes_nobodys_file(self, tmp_path, monkeypatch, capsys):
        monkeypatch.chdir(tmp_path)
        (tmp_path / "harbour-track.toml").write_text("mine", "utf-8")
        assert main(["new", "mine.toml", "--like", "tuesday-wickets"]) == 5
        assert "harbour-track.toml exists already and is another" in capsys.readouterr().err
        assert [path.name for path in tmp_path.iterdir()] == ["harbour-track.toml"]
        assert main(["new", "mine.toml", "--like", "tuesday-wicket"]) == 2
        assert "did you mean 'tuesday-wickets'?" in capsys.readouterr().err

    def test_new_names_the_schema_it_writes_beside_the_plan(self, here):
        assert main(["new", "mine.toml", "--schema"]) == 0
        first = Path("mine.toml").read_text("utf-8").splitlines()[0]
        beside = Path(first.removeprefix("#:schema "))
        schema = json.loads(beside.read_text("utf-8"))
        jsonschema.validate(tomllib.loads(Path("mine.toml").read_text("utf-8")), schema)
        assert load("mine.toml").title == "First wickets"
        beside.write_text(beside.read_text("utf-8").replace("cadence", "kadence"), "utf-8")
        assert main(["new", "other.toml", "--schema", "--like", "fixed-cadence"]) == 0
        assert json.loads(beside.read_text("utf-8")) == schema

    def test_a_file_that_is_no_schema_of_ours_is_left_alone(self, here, capsys):
        theirs = Path("wicketlay-plan.schema.json")
        theirs.write_text("{}", "utf-8")
        assert main(["new", "mine.toml", "--schema"]) == 5
        assert theirs.read_text("utf-8") == "{}"
        assert not Path("mine.toml").exists()
        theirs.unlink()
        assert main(["new", "fixed-cadence.toml", "--schema"]) == 5
        assert not theirs.exists()

    def test_new_never_overwrites(self, here, capsys):
        assert main(["new", "fixed-cadence.toml"]) == 5
        assert "exists already" in capsys.readouterr().err

    def test_sources_list_every_basis(self, capsys):
        assert main(["sources"]) == 0
        out = capsys.readouterr().out
        for basis in "PDCJ":
            assert f"\n{basis}  " in out
        assert "Panoutsakopoulos" in out

    def test_version(self, capsys):
        assert main(["--version"]) == 0
        assert capsys.readouterr().out.strip() == f"wicketlay {__version__}"

    def wrapped(self, monkeypatch, capsys, columns):
        monkeypatch.setenv("COLUMNS", str(columns))
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
        assert main(["marks", "height-only.toml"]) == 0
        return capsys.readouterr().out

    def test_columns_asked_for_are_kept_to_without_a_terminal_too(self, here, capsys, monkeypatch):
        monkeypatch.setenv("COLUMNS", "40")
        assert main(["marks", "height-only.toml", "--format", "text"]) == 0
        said = capsys.readouterr().err
        assert said.startswith("caution: Ines: ")
        assert max(map(len, said.splitlines())) <= 40
        assert main(["marks", "height-only.toml"]) == 0
        assert max(map(len, capsys.readouterr().out.splitlines())) <= 40
        monkeypatch.setenv("COLUMNS", "")
        assert main(["marks", "height-only.toml"]) == 0
        assert max(map(len, capsys.readouterr().out.splitlines())) > 80

    def test_a_plan_without_a_name_is_called_standard_input(self, here, capsys, monkeypatch):
        text = Path("height-only.toml").read_bytes()
        for argv, code in (
            (["stages", "-"], 2),
            (["check", "-"], 0),
            (["sheet", "-", "--only", "stages", "-o", "x.pdf"], 2),
        ):
            monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text)))
            assert main(argv) == code
            said = capsys.readouterr()
            assert re.search(r"standard input(: 1 laying| has no)", said.err + said.out)

    def test_a_plan_in_the_place_of_a_command_is_named_though_it_is_mistyped(self, here, capsys):
        assert main(["height-only.tmol"]) == 2
        assert capsys.readouterr().err == (
            "wicketlay: there is no command 'height-only.tmol'; did you mean the plan "
            "height-only.toml? 'wicketlay open height-only.toml' shows it, 'wicketlay sheet "
            "height-only.toml' prints it\n"
        )
        Path("sub").mkdir()
        shutil.move("height-only.toml", "sub/height-only.toml")
        assert main(["sub/height-only"]) == 2
        assert "did you mean the plan sub/height-only.toml?" in capsys.readouterr().err

    def test_sentences_are_wrapped_to_the_terminal_and_columns_are_not(
        self, here, capsys, monkeypatch
    ):
        assert main(["marks", "height-only.toml"]) == 0
        plain = capsys.readouterr().out
        wrapped = self.wrapped(monkeypatch, capsys, 80)
        assert wrapped.split() == plain.split()
        rows = [line for line in plain.splitlines() if "  " in line]
        assert [line for line in wrapped.splitlines() if "  " in line.lstrip()] == rows
        assert max(map(len, wrapped.splitlines())) <= 80
        assert not re.search(r"[0-9]$\n +(m|cm|%|m/s|steps/s)\b", wrapped, re.MULTILINE)

    def test_a_narrow_terminal_gets_whole_columns_and_is_told_which_it_lacks(
        self, here, capsys, monkeypatch
    ):
        narrow = self.wrapped(monkeypatch, capsys, 40).splitlines()
        assert max(map(len, narrow)) <= 40
        wide = self.wrapped(monkeypatch, capsys, 120).splitlines()
        first = next(line for line in narrow if line.startswith("W2 "))
        assert first.split() == next(line for line in wide if line.startswith("W2 ")).split()[:5]
        assert "too narrow for natural, speed, cadence" in " ".join(narrow)

    def test_names_in_wide_characters_leave_the_columns_straight(self, here, capsys):
        text = (here / "height-only.toml").read_text("utf-8")
        name = load("height-only.toml").athletes[0].name
        for other in ("山田太郎", "José", "Jose\u0301"):
            Path("other.toml").write_text(text.replace(f'"{name}"', f'"{other}"'), "utf-8")
            assert main(["share", "other.toml"]) == 0
            head, row, *_ = capsys.readouterr().out.splitlines()
            before = row[: row.index(other)]
            assert cells_of(before) == head.index("athlete")
            assert cells_of(row) == cells_of(head)

    @pytest.mark.parametrize("command", ["", "sheet", "marks", "review", "share", "new"])
    def test_help_has_an_example(self, command, capsys):
        assert main([*command.split(), "--help"]) == 0
        assert "wicketlay " in capsys.readouterr().out

    @pytest.mark.parametrize(
        ("argv", "told"),
        [
            (["shet", "x.toml"], "there is no command 'shet'; did you mean 'sheet'?"),
            (["plan.toml"], "which command for plan.toml? 'wicketlay open plan.toml' shows it"),
            (["sheet"], "the following arguments are required: PLAN"),
            (["--verson"], "wicketlay has no option --verson; did you mean --version?"),
            (["explain", "plce"], 'did you mean "place"?'),
            (["explain", "place.landmrk"], 'did you mean "place.landmark"?'),
            (["explain", "cadense"], 'did you mean "cadence"?'),
            (["marks", "x.toml", "--format", "xml"], "'xml' (there are: table, csv, json, text)"),
            (["marks", "x.toml", "--format", "jsn"], "; did you mean 'json'?"),
            (["review", "x.toml", "--timing", "gate"], "did you mean 'gates'?"),
            (["completion", "bsh"], "did you mean 'bash'?"),
            (["review", "x.toml", "--fps", "fast"], "'fast' is not a number above 0"),
            (["review", "x.toml", "--steps", "nan"], "'nan' is not a number above 0"),
            (["share", "x.toml", "--lanes", "two"], "'two' must be a whole number from 1 to 60"),
        ],
    )
    def test_a_slip_gets_one_line_and_exit_code_2(self, argv, told, capsys):
        assert main(argv) == 2
        err = capsys.readouterr().err
        assert told in err
        assert err.count("\n") == 1

    def test_without_a_terminal_open_names_sheet(self, here):
        done = run("open", "fixed-cadence.toml", cwd=here, stdin=subprocess.DEVNULL)
        assert done.returncode == 2
        assert b"'wicketlay sheet fixed-cadence.toml' prints without one" in done.stderr

    def test_a_dumb_terminal_is_none(self, here, monkeypatch, capsys):
        for stream in (sys.stdin, sys.stdout):
            monkeypatch.setattr(stream, "isatty", lambda: True)
        monkeypatch.setenv("TERM", "dumb")
        assert main(["open", "fixed-cadence.toml"]) == 2
        assert "'wicketlay sheet fixed-cadence.toml' prints" in capsys.readouterr().err

    def test_a_missing_plan(self, here, capsys):
        assert main(["marks", "nowhere.toml"]) == 4
        assert "nowhere.toml" in capsys.readouterr().err

    def test_a_bug_of_ours_is_a_sentence(self, here, capsys, monkeypatch):
        monkeypatch.delenv("WICKETLAY_DEBUG", raising=False)
        monkeypatch.setattr("wicketlay.solve.solve", lambda plan: 1 / 0)
        assert main(["marks", "fixed-cadence.toml"]) == 70
        assert "this is a bug in wicketlay (ZeroDivisionError" in capsys.readouterr().err

    def test_data_goes_to_standard_output_only(self, here, capsys):
        main(["marks", "height-only.toml", "--format", "csv"])
        said = capsys.readouterr()
        assert "caution" not in said.out
        assert "caution" in said.err


def test_what_stands_between_the_frames_of_touchdowns_is_told_of_and_not_passed_over(here, capsys):
    arguments = ["flying-20.toml", "--athlete", "Wren", "--time", "2.53s", "--fps", "60"]
    assert main(["review", *arguments, "--touchdowns", "12,26,x,41"]) == 2
    assert 'entry 3: "x" is not a number' in capsys.readouterr().err
    assert main(["review", *arguments, "--touchdowns", "12,26,41,55,69"]) == 0
    assert "(5 touchdowns)" in capsys.readouterr().out


def test_gaps_of_their_own_are_offered_to_be_kept_and_kept_when_asked_for(here, capsys):
    plan = here / "tuesday-wickets.toml"
    own = '\n[[adjust]]\nathlete = "Wren"\ngaps = "+2 %"\n'
    plan.write_text(plan.read_text("utf-8") + own, "utf-8")
    told = ["review", "tuesday-wickets.toml", "--athlete", "Wren"]
    assert main([*told, "--time", "2.84s", "--timing", "gates", "--accept"]) == 0
    assert "keep +2 % as Wren's own?" in capsys.readouterr().err
    assert all(each.kept_step_m is None for each in load(plan).athletes)
    assert main([*told, "--keep-gaps"]) == 0
    assert "nothing was written; --accept keeps them" in capsys.readouterr().err
    assert all(each.kept_step_m is None for each in load(plan).athletes)
    assert main([*told, "--keep-gaps", "--accept"]) == 0
    kept = {each.name: each for each in load(plan).athletes}["Wren"].kept_step_m
    assert kept == pytest.approx(1.95, abs=0.01)
    assert 0.0 < load(plan).adjustment("Wren").gap_change < 0.02
    assert main(["review", "tuesday-wickets.toml", "--athlete", "Kit", "--keep-gaps"]) == 2
    assert "nothing was written" in capsys.readouterr().err
