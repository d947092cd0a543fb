"""Disks that are full, fail or may not be written, and files that change under one's hands."""

from __future__ import annotations

import dataclasses
import errno
import fcntl
import itertools
import json
import os
import resource
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import pytest
from fault_plans import PLAN, ROOT, SQUAD, run, save_half, write_plan

from wicketlay.cli import main
from wicketlay.errors import CannotWriteError, ChangedOnDiskError
from wicketlay.files import saving
from wicketlay.files.locks import locked
from wicketlay.plan_file import files, load, open_plan

NOBODY = 65534


@pytest.fixture
def plan_path(tmp_path):
    return write_plan(tmp_path)


def save_another_title(path: Path) -> None:
    opened = open_plan(path)
    opened.save(dataclasses.replace(opened.plan, title="Other"))


def both_changed(opened):
    """Return the plan with a change in each of its two files."""
    first, *rest = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.7), *rest)
    return dataclasses.replace(opened.plan, title="Other", athletes=athletes)


def names_beside(path: Path) -> list[str]:
    return sorted(each.name for each in path.parent.glob(".*"))


def untouched(path: Path) -> bool:
    """Return whether plan and squad are as they were, with nothing beside them."""
    names = sorted(each.name for each in path.parent.iterdir())
    return (
        path.read_text(encoding="utf-8") == PLAN
        and path.with_name("squad.toml").read_text(encoding="utf-8") == SQUAD
        and names == ["plan.toml", "squad.toml"]
    )


# -- full ------------------------------------------------------------------------------------------


def _no_files_over(size: int):
    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    return limit


def test_a_sheet_that_outgrows_the_disk_leaves_the_old_one(plan_path):
    old = plan_path.with_name("out.pdf")
    old.write_bytes(b"%PDF-old")
    done = run(
        "sheet",
        "plan.toml",
        "-o",
        "out.pdf",
        "--force",
        cwd=plan_path.parent,
        preexec_fn=_no_files_over(4096),
    )
    assert done.returncode == 5
    assert b"cannot write out.pdf: file too large; nothing was left half-written" in done.stderr
    assert old.read_bytes() == b"%PDF-old"
    assert not list(plan_path.parent.glob(".*"))


def test_a_new_plan_that_outgrows_the_disk_is_not_left_empty(tmp_path):
    done = run("new", "mine.toml", cwd=tmp_path, preexec_fn=_no_files_over(64))
    assert done.returncode == 5
    assert b"cannot write mine.toml" in done.stderr
    assert not list(tmp_path.iterdir())


def test_a_record_that_outgrows_the_disk_is_not_written(plan_path):
    arguments = ("review", "plan.toml", "--athlete", "Wren", "--time", "2.3s", "--accept")
    done = run(*arguments, cwd=plan_path.parent, preexec_fn=_no_files_over(64))
    assert done.returncode == 5
    assert b"squad.toml: cannot be written: file too large; nothing was written" in done.stderr
    assert untouched(plan_path)


@pytest.mark.parametrize(
    "arguments", [("marks",), pytest.param(("marks", "--format", "json"), marks=pytest.mark.slow)]
)
def test_a_full_standard_output_is_told(plan_path, arguments):
    command, *more = arguments
    with Path("/dev/full").open("wb") as full:
        done = run(command, "plan.toml", *more, cwd=plan_path.parent, stdout=full)
    assert done.returncode == 5
    assert b"cannot write to standard output: no space left on device" in done.stderr
    assert b"Traceback" not in done.stderr
    assert b"bug" not in done.stderr


def _fill(filler: Path) -> None:
    handle = os.open(filler, os.O_WRONLY | os.O_CREAT)
    try:
        while True:
            os.write(handle, b"x" * 4096)
    except OSError as error:
        assert error.errno == errno.ENOSPC  # noqa: PT017 - the way out of the loop
    finally:
        os.close(handle)


@pytest.mark.slow
def test_a_disk_that_is_really_full_keeps_the_plan():
    folder = Path(tempfile.mkdtemp())
    mount = shutil.which("mount")
    made = mount and subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=64k", "wicketlay-test", str(folder)],
        check=False,
        capture_output=True,
    )
    if not made or made.returncode:
        folder.rmdir()
        pytest.skip("only an administrator can make a small disk")
    try:
        path = write_plan(folder)
        filler = folder / "filler"
        _fill(filler)
        with pytest.raises(CannotWriteError, match="no space left on device; nothing was written"):
            save_another_title(path)
        opened = open_plan(path)
        with pytest.raises(CannotWriteError, match="no space left on device; nothing was written"):
            opened.save(both_changed(opened))
        done = run("sheet", "plan.toml", cwd=folder)
        assert done.returncode == 5
        done = run("new", "mine.toml", cwd=folder)
        assert done.returncode == 5
        filler.unlink()
        assert untouched(path)
        save_another_title(path)
        assert load(path).title == "Other"
    finally:
        subprocess.run(["umount", str(folder)], check=True)
        folder.rmdir()


# -- failing steps ---------------------------------------------------------------------------------


class Failing:
    """A function that fails when it is called for the n-th time."""

    def __init__(self, real, number: int, error: int) -> None:
        self.real, self.left, self.error = real, number, error

    def __call__(self, *args, **kwargs):
        self.left -= 1
        if self.left == 0:
            raise OSError(self.error, os.strerror(self.error))
        return self.real(*args, **kwargs)


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO, errno.EDQUOT, errno.EROFS])
@pytest.mark.parametrize(
    ("owner", "step"),
    [
        (saving.os, "fdopen"),
        (Path, "chmod"),
        (saving.os, "fsync"),
        (Path, "replace"),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_a_failing_step_is_told_and_leaves_all_as_it_was(
    plan_path, monkeypatch, owner, step, error
):
    opened = open_plan(plan_path)
    monkeypatch.setattr(owner, step, Failing(getattr(owner, step), 1, error))
    with pytest.raises(CannotWriteError, match=os.strerror(error).lower()):
        opened.save(dataclasses.replace(opened.plan, title="Other"))
    monkeypatch.undo()
    assert untouched(plan_path)
    opened.save(dataclasses.replace(opened.plan, title="Other"))


def test_a_folder_that_cannot_be_flushed_does_not_undo_the_save(plan_path, monkeypatch):
    def no_folders(handle):
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        return whole(handle)

    whole = os.fsync
    monkeypatch.setattr(saving.os, "fsync", no_folders)
    opened = open_plan(plan_path)
    saved = opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert load(plan_path).title == "Other"
    # and the save after it does not take the file for somebody else's
    saved.save(dataclasses.replace(saved.plan, title="Third"))


@pytest.mark.parametrize("number", [1, 2, 3])
def test_when_the_journal_or_either_of_two_files_cannot_be_prepared_neither_is_written(
    plan_path, monkeypatch, number
):
    opened = open_plan(plan_path)
    wanted = both_changed(opened)
    monkeypatch.setattr(os, "chmod", Failing(os.chmod, number, errno.ENOSPC))
    with pytest.raises(CannotWriteError, match="nothing was written"):
        opened.save(wanted)
    assert untouched(plan_path)


def test_a_second_file_that_gets_its_name_at_the_second_try_is_no_fault(plan_path, monkeypatch):
    opened = open_plan(plan_path)
    real, calls = Path.replace, itertools.count(1)

    def second_fails(path, target):
        if next(calls) == 3:  # after the sidecar and the squad
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(path, target)

    monkeypatch.setattr(Path, "replace", second_fails)
    opened.save(both_changed(opened))
    again = open_plan(plan_path)
    assert again.plan == both_changed(opened)
    assert again.mended == ""
    assert names_beside(plan_path) == []


@pytest.fixture
def between(plan_path):
    """A plan whose save stopped between its two files; what was opened."""
    opened = open_plan(plan_path)
    save_half(opened, both_changed(opened))
    assert names_beside(plan_path) == [".plan.toml.recover"]
    return opened


def test_a_save_that_could_not_replace_its_second_file_is_finished_by_saving_again(
    plan_path, between
):
    assert between.save(both_changed(between)).plan == both_changed(between)
    assert load(plan_path) == both_changed(between)
    assert names_beside(plan_path) == []


def test_what_cannot_be_finished_on_disk_is_read_as_if_it_were(plan_path, between, monkeypatch):
    def fails(*_args):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    with monkeypatch.context() as failing:
        failing.setattr(Path, "replace", fails)
        read = open_plan(plan_path)
    assert read.plan == both_changed(between)
    assert read.mended == (
        f"{plan_path}: a save that was cut off cannot be finished here (read-only file system); "
        "it is read as if it were"
    )
    assert open_plan(plan_path).mended == f"{plan_path}: a save that was cut off is finished now"


def test_what_somebody_changed_after_a_save_was_cut_off_stays_theirs(plan_path, between):
    theirs = PLAN.replace("Number -1", "Theirs")
    plan_path.write_text(theirs, encoding="utf-8")
    read = open_plan(plan_path)
    assert read.mended == (
        f"{plan_path}: a save that was cut off is finished now; "
        "plan.toml, changed since, stayed as it was"
    )
    assert plan_path.read_text(encoding="utf-8") == theirs
    assert names_beside(plan_path) == []


def test_a_journal_moves_no_file_that_the_plan_does_not_name(plan_path, between):
    stranger = plan_path.with_name("stranger.toml")
    stranger.write_text(SQUAD, encoding="utf-8")
    journal = plan_path.with_name(".plan.toml.recover")
    told = json.loads(journal.read_bytes())
    squad = told["saving"][0]
    for file in ("stranger.toml", "../elsewhere.toml", "/etc/hostname"):
        squad[1:] = [file, saving.fingerprint_of(SQUAD.encode()), "theirs", "x"]
        told["saving"] = [squad, ["ground", *squad[1:]]]
        journal.write_text(json.dumps(told), encoding="utf-8")
        assert open_plan(plan_path).mended == ""
    assert stranger.read_text(encoding="utf-8") == SQUAD


TORN = [b"", b"{", b"[]", b"[" * 9999, b"\xff", b'{"format": 1, "saving": [["plan", "plan.toml"]]}']


@pytest.mark.parametrize("torn", TORN)
def test_a_torn_sidecar_moves_nothing_and_is_left_for_who_can_read_it(plan_path, torn):
    sidecar = plan_path.with_name(".plan.toml.recover")
    sidecar.write_bytes(torn)
    opened = open_plan(plan_path)
    assert opened.mended == ""
    with pytest.raises(CannotWriteError, match=r"take \.plan\.toml\.recover away"):
        opened.save(both_changed(opened))
    assert sidecar.read_bytes() == torn
    sidecar.unlink()
    assert untouched(plan_path)


def test_what_somebody_changed_before_anything_was_replaced_undoes_a_save_that_was_cut_off(
    plan_path,
):
    opened = open_plan(plan_path)
    child = os.fork()
    if child == 0:
        real, calls = Path.replace, itertools.count(1)
        # The sidecar, and no file after it.
        Path.replace = lambda *given: real(*given) if next(calls) == 1 else os._exit(9)
        opened.save(both_changed(opened))
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    theirs = PLAN.replace("Number -1", "Theirs")
    plan_path.write_text(theirs, encoding="utf-8")
    told = f"{plan_path}: a save that was cut off is undone; nothing of it was written"
    assert open_plan(plan_path).mended == told
    assert plan_path.read_text(encoding="utf-8") == theirs
    assert plan_path.with_name("squad.toml").read_text(encoding="utf-8") == SQUAD
    assert names_beside(plan_path) == []


@pytest.mark.parametrize("what", ["folder", "pipe", "link"])
def test_something_else_in_the_place_of_a_journal_is_left_and_told_when_saving(plan_path, what):
    journal = plan_path.with_name(".plan.toml.recover")
    if what == "folder":
        journal.mkdir()
    elif what == "pipe":
        os.mkfifo(journal)
    else:
        journal.symlink_to("squad.toml")
    opened = open_plan(plan_path)
    assert opened.mended == ""
    with pytest.raises(CannotWriteError, match=r"take \.plan\.toml\.recover away"):
        opened.save(both_changed(opened))
    assert os.path.lexists(journal)
    save_another_title(plan_path)  # one file needs none


def test_a_save_at_work_is_waited_for(plan_path, between):
    held, release = threading.Event(), threading.Event()

    def saver():
        with locked(plan_path):
            held.set()
            release.wait(10)

    thread = threading.Thread(target=saver)
    thread.start()
    held.wait(10)
    threading.Timer(0.1, release.set).start()
    assert open_plan(plan_path).mended.endswith("is finished now")
    thread.join()


def test_a_plan_is_read_again_when_a_save_overtook_the_reading(plan_path, monkeypatch):
    opened = open_plan(plan_path)
    read = files.read_source

    def overtaken(path, shown):
        source = read(path, shown)
        monkeypatch.setattr(files, "read_source", read)
        opened.save(both_changed(opened))
        return source

    monkeypatch.setattr(files, "read_source", overtaken)
    assert open_plan(plan_path).plan == both_changed(opened)


def test_without_locks_a_cut_off_save_is_finished_when_it_is_surely_over(
    plan_path, between, monkeypatch
):
    def no_locks(*_args):
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", no_locks)
    assert open_plan(plan_path).mended == ""
    os.utime(plan_path.with_name(".plan.toml.recover"), (0, 0))
    assert open_plan(plan_path).mended.endswith("is finished now")


def test_a_file_system_without_locks_can_be_saved_to(plan_path, monkeypatch):
    def no_locks(*_args):
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", no_locks)
    save_another_title(plan_path)
    assert load(plan_path).title == "Other"


# -- not allowed -----------------------------------------------------------------------------------


DROPPED = f"""
import os, sys
from wicketlay.cli import main
from wicketlay.plan_file import write_recovery
out, sys.stdout = sys.stdout, open(os.devnull, "w")
main(["sheet", "plan.toml", "-o", "-"])  # what is imported late may not be readable later
sys.stdout = out
if os.getuid() == 0:
    os.setgroups([])
    os.setgid({NOBODY})
    os.setuid({NOBODY})
"""


def as_another(code: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    """Run Python as somebody who owns nothing here, when we are the one who may do everything."""
    return subprocess.run(
        [sys.executable, "-c", DROPPED + code],
        cwd=folder,
        check=False,
        capture_output=True,
        timeout=60,
        env={"PYTHONPATH": str(ROOT), "HOME": "/nonexistent", "PATH": os.environ["PATH"]},
    )


@pytest.fixture
def open_folder():
    """A folder that others may enter, unlike those of the test runner."""
    folder = Path(tempfile.mkdtemp())
    write_plan(folder)
    folder.chmod(0o755)
    for each in folder.iterdir():
        each.chmod(0o644)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


SAVE = """
import dataclasses
from wicketlay.errors import CannotWriteError
from wicketlay.plan_file import open_plan
opened = open_plan("plan.toml")
try:
    opened.save(dataclasses.replace(opened.plan, title="Other"))
except CannotWriteError as error:
    print(error)
"""


@pytest.mark.parametrize(
    ("folder_mode", "file_mode"),
    [(0o555, 0o644), pytest.param(0o777, 0o444, marks=pytest.mark.slow)],
)
def test_what_may_not_be_written_is_told_and_kept(open_folder, folder_mode, file_mode):
    path = open_folder / "plan.toml"
    path.chmod(file_mode)
    open_folder.chmod(folder_mode)
    done = as_another(SAVE, open_folder)
    told = f"{path.resolve()}: cannot be written: permission denied; nothing was written\n"
    assert done.stdout.decode() == told
    assert untouched(path)


@pytest.mark.slow
def test_a_plan_that_may_not_be_read_is_told(open_folder):
    shutil.copy(open_folder / "plan.toml", open_folder / "closed.toml")
    (open_folder / "closed.toml").chmod(0o000)
    done = as_another("raise SystemExit(main(['marks', 'closed.toml']))", open_folder)
    assert done.returncode == 4
    assert b"closed.toml: cannot be read: permission denied" in done.stderr


@pytest.mark.slow
@pytest.mark.parametrize("where", ["folder", "old sheet"])
def test_a_sheet_that_may_not_be_written_is_told(open_folder, where):
    old = open_folder / "out.pdf"
    old.write_bytes(b"%PDF-old")
    old.chmod(0o444)
    open_folder.chmod(0o555 if where == "folder" else 0o777)
    code = "raise SystemExit(main(['sheet', 'plan.toml', '-o', 'out.pdf', '--force']))"
    done = as_another(code, open_folder)
    assert done.returncode == 5
    assert b"cannot write out.pdf: permission denied" in done.stderr
    assert old.read_bytes() == b"%PDF-old"


@pytest.mark.slow
def test_unsaved_work_without_any_place_to_keep_it_says_save_now(open_folder):
    open_folder.chmod(0o555)
    code = """
import dataclasses
from wicketlay.errors import CannotWriteError
from wicketlay.plan_file import open_plan, write_recovery
opened = open_plan("plan.toml")
try:
    write_recovery(opened, dataclasses.replace(opened.plan, title="Other"))
except CannotWriteError as error:
    print(error)
"""
    done = as_another(code, open_folder)
    assert b"unsaved work cannot be kept" in done.stdout
    assert b"save the plan now" in done.stdout


# -- changed, gone, linked -------------------------------------------------------------------------


def test_a_hard_link_keeps_its_own_content_and_the_plan_is_saved(plan_path):
    link = plan_path.with_name("link.toml")
    link.hardlink_to(plan_path)
    save_another_title(plan_path)
    assert load(plan_path).title == "Other"
    assert link.read_text(encoding="utf-8") == PLAN


def test_a_link_over_a_link_in_another_folder_is_followed_to_the_file(plan_path, tmp_path):
    near = tmp_path / "near"
    near.mkdir()
    (near / "squad.toml").symlink_to("../squad.toml")
    (near / "one.toml").symlink_to("../plan.toml")
    (near / "two.toml").symlink_to("one.toml")
    opened = open_plan(near / "two.toml")
    first, *rest = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.7), *rest)
    opened.save(dataclasses.replace(opened.plan, title="Other", athletes=athletes))
    assert all(each.is_symlink() for each in near.iterdir())
    assert 'title = "Other"' in plan_path.read_text(encoding="utf-8")
    assert '"1.7 m"' in plan_path.with_name("squad.toml").read_text(encoding="utf-8")


def test_a_link_that_became_a_circle_is_told(plan_path, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to("plan.toml")
    opened = open_plan(link)
    link.unlink()
    link.symlink_to("link.toml")
    with pytest.raises(CannotWriteError, match="cannot be written: "):
        opened.save(dataclasses.replace(opened.plan, title="Other"))


@pytest.mark.parametrize("becomes", ["folder", "nothing", "pipe"])
def test_a_plan_that_became_something_else_is_not_overwritten(plan_path, becomes):
    opened = open_plan(plan_path)
    plan_path.unlink()
    if becomes == "folder":
        plan_path.mkdir()
    elif becomes == "pipe":
        os.mkfifo(plan_path)
    signal.alarm(20)  # a pipe that is opened for reading waits for ever
    try:
        with pytest.raises((CannotWriteError, ChangedOnDiskError)):
            opened.save(dataclasses.replace(opened.plan, title="Other"))
    finally:
        signal.alarm(0)
    left = sorted(each.name for each in plan_path.parent.iterdir())
    assert left == (["squad.toml"] if becomes == "nothing" else ["plan.toml", "squad.toml"])


def test_a_squad_deleted_meanwhile_is_told_and_the_plan_is_kept(plan_path):
    opened = open_plan(plan_path)
    first, *rest = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.7), *rest)
    plan_path.with_name("squad.toml").unlink()
    with pytest.raises(CannotWriteError, match=r"nothing was written: .*squad"):
        opened.save(dataclasses.replace(opened.plan, title="Other", athletes=athletes))
    assert plan_path.read_text(encoding="utf-8") == PLAN


@pytest.mark.parametrize(
    ("target", "told"),
    [
        ("folder.pdf", "folder.pdf is not a file"),
        ("pipe.pdf", "pipe.pdf is not a file"),
        ("/dev/full", "/dev/full is not a file"),
        ("circle.pdf", "cannot write circle.pdf: its links go round in a circle"),
        ("notes.pdf", "notes.pdf exists and is not a PDF"),
    ],
)
def test_a_sheet_is_written_over_nothing_but_a_sheet(plan_path, monkeypatch, capsys, target, told):
    here = plan_path.parent
    (here / "folder.pdf").mkdir()
    os.mkfifo(here / "pipe.pdf")
    (here / "circle.pdf").symlink_to("circle.pdf")
    (here / "notes.pdf").write_text("notes", encoding="utf-8")
    monkeypatch.chdir(here)
    assert main(["sheet", "plan.toml", "-o", target]) == 5
    assert told in capsys.readouterr().err
