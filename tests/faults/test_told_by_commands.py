"""What goes wrong between reading and writing, as the commands tell it: one exit code a cause."""

from __future__ import annotations

import dataclasses
import fcntl
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from fault_plans import ROOT, SQUAD, run, save_half, write_plan

import wicketlay.reviewing
from wicketlay.cli import main
from wicketlay.files import locks
from wicketlay.files.whole import whole_file
from wicketlay.plan_file import find_recovery, load, open_plan, write_recovery

REVIEW = ["--athlete", "Wren", "--time", "2.3s", "--date", "2026-03-04"]


@pytest.fixture
def here(tmp_path, monkeypatch):
    write_plan(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def meanwhile(monkeypatch):
    """Let something happen after the files were read and before they are written."""

    def after_reading(happens) -> None:
        real = wicketlay.reviewing.accepted

        def accepted(*given, **more):
            happens()
            return real(*given, **more)

        monkeypatch.setattr(wicketlay.reviewing, "accepted", accepted)

    return after_reading


def names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def test_a_squad_changed_by_another_program_meanwhile_is_exit_code_6(here, meanwhile, capsys):
    theirs = SQUAD.replace("1.66 m", "1.67 m")
    meanwhile(lambda: (here / "squad.toml").write_text(theirs, encoding="utf-8"))
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 6
    assert capsys.readouterr().err == (
        "wicketlay: squad.toml was changed on disk since it was read; nothing was written: "
        "open it again and repeat the change\n"
    )
    assert (here / "squad.toml").read_text(encoding="utf-8") == theirs
    assert names_in(here) == ["plan.toml", "squad.toml"]


def test_a_squad_swapped_for_another_of_the_same_length_and_time_is_exit_code_6(
    here, meanwhile, capsys
):
    squad = here / "squad.toml"

    def swap():
        shutil.copy2(squad, here / "theirs.toml")
        theirs = here / "theirs.toml"
        theirs.write_text(SQUAD.replace("7.9", "8.1"), encoding="utf-8")
        shutil.copystat(squad, theirs)
        theirs.replace(squad)

    meanwhile(swap)
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 6
    assert "squad.toml was changed on disk" in capsys.readouterr().err
    assert '"8.1 m/s"' in squad.read_text(encoding="utf-8")


def test_a_file_that_is_written_again_with_the_same_bytes_did_not_change(here, meanwhile):
    squad = here / "squad.toml"

    def again():
        squad.unlink()
        squad.write_text(SQUAD, encoding="utf-8")

    meanwhile(again)
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 0
    assert "2026-03-04" in squad.read_text(encoding="utf-8")


def test_a_squad_deleted_meanwhile_is_exit_code_5_and_not_made_again(here, meanwhile, capsys):
    meanwhile((here / "squad.toml").unlink)
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 5
    told = capsys.readouterr().err
    assert "the plan cannot be saved, nothing was written" in told
    assert 'squad: "squad.toml" is not there' in told
    assert names_in(here) == ["plan.toml"]


def test_a_squad_another_program_is_saving_is_exit_code_5(here, capsys, monkeypatch):
    monkeypatch.setattr(locks, "PATIENCE_S", 0.05)
    with (here / "squad.toml").open("rb") as theirs:
        fcntl.flock(theirs, fcntl.LOCK_EX)
        assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 5
    told = capsys.readouterr().err
    assert "another program is saving it; nothing was written: save again" in told
    assert (here / "squad.toml").read_text(encoding="utf-8") == SQUAD
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 0


def test_a_review_that_is_not_accepted_does_not_mind_what_becomes_of_the_files(here, capsys):
    (here / "squad.toml").chmod(0o444)
    assert main(["review", "plan.toml", *REVIEW]) == 0
    assert "nothing was written" in capsys.readouterr().err


def test_what_was_left_by_killed_programs_misleads_no_command_and_goes_with_the_next_writer(
    here, capsys
):
    assert main(["marks", "plan.toml"]) == 0
    before = capsys.readouterr()
    strange = {
        ".plan.toml.abc123.new": "format = 1\nkind = 'pl",
        ".squad.toml.abc123.new": SQUAD.replace("7.9", "9.9"),
        ".plan.toml.recover": "torn",
    }
    left = {
        ".plan.pdf.abcd_123.part": "%PDF-1.4 half",
        ".squad.toml.abcd_123.part": "half",
    }
    for name, text in (strange | left).items():
        (here / name).write_text(text, encoding="utf-8")
    assert main(["marks", "plan.toml"]) == 0
    assert capsys.readouterr() == before
    assert main(["sheet", "plan.toml"]) == 0
    assert main(["review", "plan.toml", *REVIEW, "--accept"]) == 0
    for name, text in strange.items():
        assert (here / name).read_text(encoding="utf-8") == text
    assert not any((here / name).exists() for name in left)


def test_a_sheet_that_is_still_being_written_is_not_swept_away(here):
    with whole_file(here / "plan.pdf", replaces=b"%PDF") as stream:
        stream.write(b"%PDF-slow")
        assert main(["sheet", "plan.toml"]) == 0
        assert (here / "plan.pdf").read_bytes().startswith(b"%PDF-1")
    assert (here / "plan.pdf").read_bytes() == b"%PDF-slow"
    assert names_in(here) == ["plan.pdf", "plan.toml", "squad.toml"]


@pytest.mark.parametrize("command", ["check", "marks", "sheet", "share", "review"])
def test_a_rename_killed_between_two_files_is_finished_by_any_command_in_one_line(
    here, capsys, command
):
    text = (here / "plan.toml").read_text(encoding="utf-8")
    text = text.replace('"squad.toml"', '"squad.toml"\nathletes = ["Wren", "Bram"]')
    (here / "plan.toml").write_text(text, encoding="utf-8")
    opened = open_plan("plan.toml")
    first, *rest = opened.plan.athletes
    wanted = dataclasses.replace(
        opened.plan, athletes=(dataclasses.replace(first, name="Wrenna"), *rest)
    )
    write_recovery(opened, wanted)
    save_half(opened, wanted)
    more = ["--athlete", "Wrenna", *REVIEW[2:]] if command == "review" else []
    assert main([command, "plan.toml", *more]) == 0
    told = capsys.readouterr().err
    assert told.count("\n") < 3 or command == "check"
    assert "note: plan.toml: a save that was cut off is finished now\n" in told
    assert load("plan.toml") == wanted == find_recovery("plan.toml").plan
    assert main([command, "plan.toml", *more]) == 0
    assert "cut off" not in capsys.readouterr().err
    kept = {".plan.toml.recover", "plan.toml", "squad.toml"}
    assert set(names_in(here)) - {"plan.pdf"} == kept


def test_a_save_cut_off_is_told_beside_what_is_wrong_with_the_file(here, capsys):
    opened = open_plan("plan.toml")
    first, *rest = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.7), *rest)
    save_half(opened, dataclasses.replace(opened.plan, title="Other", athletes=athletes))
    squad = (here / "squad.toml").read_text(encoding="utf-8")
    (here / "squad.toml").write_text(squad.replace('"179 cm"', '"179"'), encoding="utf-8")
    assert main(["check", "plan.toml"]) == 4
    assert capsys.readouterr().err == (
        'wicketlay: squad.toml, line 11: athlete[2].height: length "179" has no unit; '
        'write "179 cm"\n'
        "note: plan.toml: a save that was cut off is finished now; "
        "squad.toml, changed since, stayed as it was\n"
    )


@pytest.mark.parametrize("option", ["--help", "--version"])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_help_into_a_full_disk_is_told(option, unbuffered):
    with Path("/dev/full").open("wb") as full:
        done = run(option, stdout=full, cwd=ROOT, env=os.environ | {"PYTHONUNBUFFERED": unbuffered})
    assert done.returncode == 5
    assert done.stderr == b"wicketlay: cannot write to standard output: no space left on device\n"


def test_help_for_a_reader_that_goes_away_is_no_fault():
    line = f'"{sys.executable}" -m wicketlay --help'
    with subprocess.Popen(
        ["sh", "-c", f'{line}; echo "code $?" >&2'],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        process.stdout.close()
        told = process.stderr.read()
    assert told == b"code 0\n"


def test_a_sheet_with_a_name_that_is_too_long_is_told(here, capsys):
    assert main(["sheet", "plan.toml", "-o", f"{'a' * 300}.pdf"]) == 5
    assert "file name too long; nothing was left half-written" in capsys.readouterr().err
    assert names_in(here) == ["plan.toml", "squad.toml"]
