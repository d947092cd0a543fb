"""The workbench without a home, without a state folder, on read-only media, beside pipes."""

from __future__ import annotations

import dataclasses
import os
import pty
import pwd
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from fault_plans import PLAN, ROOT, write_plan

from tui.bench import shelf
from tui.bench.bench import first_bench
from wicketlay.errors import CannotWriteError
from wicketlay.files import sidecar
from wicketlay.plan_file import discard_recovery, find_recovery, load, typed_in, write_recovery
from wicketlay.starter import starter_text

NOBODY = 65534


@pytest.fixture
def plan_path(tmp_path, monkeypatch):
    """A plan in a folder of its own, that is also the working folder."""
    folder = tmp_path / "plans"
    folder.mkdir()
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(folder)
    return write_plan(folder)


def other(opened, title="Other"):
    return dataclasses.replace(opened.file.plan, title=title)


def names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


@contextmanager
def at_most(seconds: int):
    """Fail what waits for ever, as on a pipe that nobody writes to."""
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)


# -- no state folder -------------------------------------------------------------------------------


def _nobody_knows(_uid):
    raise KeyError


def _no_home(monkeypatch, _tmp_path):
    monkeypatch.delenv("HOME")
    monkeypatch.delenv("XDG_STATE_HOME")
    monkeypatch.setattr(pwd, "getpwuid", _nobody_knows)


def _home_empty(monkeypatch, _tmp_path):
    monkeypatch.setenv("HOME", "")
    monkeypatch.delenv("XDG_STATE_HOME")
    monkeypatch.setattr(pwd, "getpwuid", _nobody_knows)


def _state_under_a_device(monkeypatch, _tmp_path):
    monkeypatch.setenv("XDG_STATE_HOME", "/dev/null/state")


def _state_is_a_file(monkeypatch, tmp_path):
    (tmp_path / "state").mkdir()
    (tmp_path / "state" / "wicketlay").write_text("", encoding="utf-8")


def _home_as_it_was_written(monkeypatch, _tmp_path):
    # What an older version of the library says when nobody knows a home.
    name = "user_state_dir"
    monkeypatch.setattr(sidecar.platformdirs, name, lambda *_args, **_more: "~/.local/state/w")


NO_STATE = {
    "HOME is empty": _home_empty,
    "HOME is not set": _no_home,
    "HOME is not known": _home_as_it_was_written,
    "the state folder lies under a device": _state_under_a_device,
    "the state folder is a file": _state_is_a_file,
}


@pytest.fixture(params=NO_STATE)
def stateless(request, plan_path, monkeypatch, tmp_path):
    """A plan where there can be no state folder."""
    NO_STATE[request.param](monkeypatch, tmp_path)
    with pytest.raises(OSError):  # noqa: PT011 - any of them; the user's own folder is left alone
        (shelf.state_folder() / "there").mkdir(parents=True)
    return plan_path


def test_without_a_state_folder_a_plan_is_opened_kept_saved_and_closed(stateless):
    opened = first_bench(stateless).opened
    assert not opened.read_only
    opened.keep(other(opened), {})
    assert find_recovery(stateless).plan == other(opened)
    opened.file = opened.file.save(other(opened))
    opened.keep(opened.file.plan, {})
    assert find_recovery(stateless) is None
    opened.close()
    assert load(stateless).title == "Other"
    # Nothing called "~" or the like was made where the program was started.
    assert names_in(stateless.parent) == ["plan.toml", "squad.toml"]


def test_without_a_state_folder_nothing_is_remembered_and_nothing_breaks(stateless):
    shelf.remember(stateless)
    assert shelf.recent() == ()
    assert shelf.unsaved_untitled() == ()
    assert typed_in(stateless) == {}
    assert shelf.set_aside_damaged(stateless) is None


def test_without_a_state_folder_a_plan_without_a_name_is_refused_with_a_way_out(stateless):
    with pytest.raises(CannotWriteError) as caught:
        first_bench(None)
    assert "a new plan cannot be kept" in str(caught.value)
    assert "make a file with 'wicketlay new my-plan.toml' and open that" in str(caught.value)
    assert caught.value.exit_code == 5


def test_without_a_state_folder_half_typed_text_is_kept_beside_the_plan(stateless):
    opened = shelf.open_file(stateless)
    opened.keep(other(opened), {"fields": {"title": "Ot"}})
    assert find_recovery(stateless).plan == other(opened)
    assert typed_in(stateless) == {"fields": {"title": "Ot"}}
    opened.lock.release()


# -- folders that may not be entered or written ----------------------------------------------------


@contextmanager
def as_nobody():
    """Be somebody without rights for a moment, in this process; only an administrator can."""
    if os.getuid():
        pytest.skip("only an administrator can become somebody else")
    os.setegid(NOBODY)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)


@pytest.fixture
def open_to_all(monkeypatch):
    """A plan that anybody may read and write, and a home that nobody else may enter."""
    folder = Path(tempfile.mkdtemp())
    path = write_plan(folder)
    folder.chmod(0o777)
    for each in folder.iterdir():
        each.chmod(0o666)
    closed = folder / "home"
    closed.mkdir(mode=0o700)
    monkeypatch.setenv("XDG_STATE_HOME", str(closed / "state"))
    yield path
    shutil.rmtree(folder)


def test_somebody_elses_home_is_as_good_as_none(open_to_all):
    with as_nobody():
        opened = first_bench(open_to_all).opened
        assert find_recovery(open_to_all) is None
        assert shelf.recent() == ()
        opened.keep(other(opened), {})
        assert find_recovery(open_to_all).plan == other(opened)
        opened.keep(opened.file.plan, {})
        opened.close()
        with pytest.raises(CannotWriteError, match="a new plan cannot be kept: permission denied"):
            shelf.new_file()


def test_in_a_folder_that_may_not_be_written_unsaved_work_goes_to_the_state_folder(
    open_to_all, monkeypatch
):
    state = Path(tempfile.mkdtemp())
    state.chmod(0o777)
    monkeypatch.setenv("XDG_STATE_HOME", str(state))
    open_to_all.parent.chmod(0o555)
    try:
        with as_nobody():
            opened = shelf.open_file(open_to_all)
            opened.keep(other(opened), {"fields": {"title": "Oth"}})
            found = find_recovery(open_to_all)
            assert state in found.path.parents
            assert found.plan == other(opened)
            assert typed_in(open_to_all) == {"fields": {"title": "Oth"}}
            with pytest.raises(CannotWriteError, match="permission denied; nothing was written"):
                opened.file.save(other(opened))
            opened.keep(opened.file.plan, {})
            assert find_recovery(open_to_all) is None
            assert typed_in(open_to_all) == {}
            opened.close()
    finally:
        shutil.rmtree(state)


def test_a_name_in_a_folder_that_may_not_be_entered_is_told(open_to_all):
    alone = open_to_all.with_name("alone.toml")
    alone.write_text(starter_text(), encoding="utf-8")
    with as_nobody():
        opened = shelf.open_file(alone)
        closed = alone.parent / "home" / "copy.toml"
        with pytest.raises(CannotWriteError, match=r"cannot write .*copy\.toml: permission denied"):
            shelf.save_as(opened, other(opened), closed)
        with pytest.raises(CannotWriteError, match=r"folder .*gone does not exist; make it"):
            shelf.save_as(opened, other(opened), alone.parent / "gone" / "copy.toml")
        opened.close()


@pytest.fixture
def read_only_medium():
    """A plan on a medium that cannot be written at all."""
    folder = Path(tempfile.mkdtemp())
    mount = shutil.which("mount")
    kind = ("-t", "tmpfs", "-o", "size=64k", "wicketlay-test", str(folder))
    done = mount and subprocess.run([mount, *kind], check=False, capture_output=True)
    if not done or done.returncode:
        folder.rmdir()
        pytest.skip("only an administrator can mount a medium")
    try:
        path = write_plan(folder)
        subprocess.run([mount, "-o", "remount,ro", str(folder)], check=True)
        yield path
    finally:
        subprocess.run(["umount", str(folder)], check=True)
        folder.rmdir()


def test_on_a_read_only_medium_work_is_kept_elsewhere_and_dropped_without_trouble(
    read_only_medium, tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    opened = shelf.open_file(read_only_medium)
    opened.keep(other(opened), {})
    assert tmp_path in find_recovery(read_only_medium).path.parents
    with pytest.raises(CannotWriteError, match="nothing was written"):
        opened.file.save(other(opened))
    opened.keep(opened.file.plan, {})
    assert find_recovery(read_only_medium) is None
    opened.close()


# -- files that became something else --------------------------------------------------------------


def _becomes(path: Path, what: str) -> None:
    path.unlink()
    if what == "a pipe":
        os.mkfifo(path)
    elif what == "a folder":
        path.mkdir()
    elif what == "an endless device":
        path.symlink_to("/dev/zero")
    elif what == "a circle of links":
        path.symlink_to(path.name)


@pytest.mark.parametrize("name", ["plan.toml", "squad.toml"])
@pytest.mark.parametrize(
    "what", ["a pipe", "a folder", "an endless device", "a circle of links", "nothing"]
)
def test_the_workbench_sees_at_once_that_a_file_became_something_else(plan_path, name, what):
    opened = shelf.open_file(plan_path)
    assert not opened.file.changed_on_disk()
    _becomes(plan_path.with_name(name), what)
    with at_most(10):
        assert opened.file.changed_on_disk()
    opened.lock.release()


@pytest.mark.parametrize("what", ["a pipe", "a folder", "nothing"])
def test_unsaved_work_on_a_plan_that_became_something_else_is_stale_at_once(plan_path, what):
    opened = shelf.open_file(plan_path)
    write_recovery(opened.file, other(opened))
    _becomes(plan_path, what)
    with at_most(10):
        assert find_recovery(plan_path).stale
    opened.lock.release()


def test_a_folder_in_the_place_of_unsaved_work_sends_it_to_the_state_folder(plan_path, tmp_path):
    plan_path.with_name(".plan.toml.recover").mkdir()
    opened = shelf.open_file(plan_path)
    opened.keep(other(opened), {})
    assert tmp_path / "state" in find_recovery(plan_path).path.parents
    opened.lock.release()


def test_another_name_never_undoes_what_another_program_wrote_to_the_squad(plan_path):
    opened = shelf.open_file(plan_path)
    squad = plan_path.with_name("squad.toml")
    theirs = squad.read_text(encoding="utf-8").replace("1.66", "1.67")
    squad.write_text(theirs, encoding="utf-8")
    with pytest.raises(CannotWriteError, match=r"squad\.toml was changed on disk"):
        shelf.save_as(opened, other(opened), plan_path.with_name("copy.toml"))
    assert squad.read_text(encoding="utf-8") == theirs
    assert names_in(plan_path.parent) == ["plan.toml", "squad.toml"]
    opened.lock.release()


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("plan.toml", "is there already; give another name, nothing was written"),
        ("dangling.toml", "is there already"),
        ("a" * 300 + ".toml", "file name too long"),
        ("gone/copy.toml", "save it in"),
        ("copy.txt", "should end in .toml, for example copy.toml"),
    ],
)
def test_another_name_that_cannot_be_is_told_and_the_plan_stays(plan_path, name, told):
    plan_path.with_name("dangling.toml").symlink_to("nowhere.toml")
    opened = shelf.open_file(plan_path)
    with pytest.raises(CannotWriteError) as caught:
        shelf.save_as(opened, other(opened), plan_path.parent / name)
    assert told in str(caught.value)
    assert plan_path.read_text(encoding="utf-8") == PLAN
    assert names_in(plan_path.parent) == ["dangling.toml", "plan.toml", "squad.toml"]
    opened.lock.release()


def test_there_is_nothing_to_discard_twice(plan_path):
    discard_recovery(plan_path)
    discard_recovery(plan_path)


# -- the whole program -----------------------------------------------------------------------------


@pytest.mark.slow
def test_a_user_nobody_knows_without_a_home_gets_paper(open_to_all):
    if os.getuid():
        pytest.skip("only an administrator can become somebody else")
    code = """
import os
from wicketlay.cli import main
main(["sheet", "plan.toml", "-o", "-"])
main(["marks", "plan.toml"])
os.setgroups([]); os.setgid(54321); os.setuid(54321)
raise SystemExit(main(["sheet", "plan.toml"]) or main(["marks", "plan.toml"]))
"""
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=open_to_all.parent,
        env={"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT)},
        check=False,
        capture_output=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert (open_to_all.parent / "plan.pdf").read_bytes().startswith(b"%PDF")


UNKNOWN_USER = 54321
WORKBENCH = f"""
import concurrent.futures.thread, importlib, os, pkgutil, sys
import textual.widgets
import tui, wicketlay
from textual.drivers import linux_driver
for name in textual.widgets.__all__:  # what is imported late may not be readable later
    getattr(textual.widgets, name)
for package in (wicketlay, tui):
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        if not found.name.endswith("__main__"):
            importlib.import_module(found.name)
from wicketlay.cli import main
os.setgroups([]); os.setgid({UNKNOWN_USER}); os.setuid({UNKNOWN_USER})
raise SystemExit(main(["open", "plan.toml"]))
"""


def in_a_terminal(code: str, folder: Path, script: list[tuple[str, str]]) -> tuple[int, str]:
    """Run Python in a terminal without HOME: wait for a text, press keys, and so on."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        bare = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT), "TERM": "xterm-256color"}
        bare |= {"COLUMNS": "120", "LINES": "40"}
        os.execve(sys.executable, [sys.executable, "-c", code], bare)  # noqa: S606
    shown = ""
    try:
        for text, pressed in script:
            deadline = time.monotonic() + 30
            while text not in shown:
                assert time.monotonic() < deadline, f"{text!r} never came: {shown[-2000:]}"
                if select.select([terminal], [], [], 1.0)[0]:
                    shown += os.read(terminal, 65536).decode("utf-8", "replace")
            os.write(terminal, pressed.encode())
        with suppress(OSError):  # which is how a terminal ends
            while select.select([terminal], [], [], 10.0)[0] and os.read(terminal, 65536):
                pass
    finally:
        os.close(terminal)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), shown


@pytest.mark.slow
def test_a_user_nobody_knows_without_a_home_works_at_a_plan(open_to_all):
    if os.getuid():
        pytest.skip("only an administrator can become somebody else")
    code, shown = in_a_terminal(
        WORKBENCH,
        open_to_all.parent,
        # Ctrl+L writes all anew: else only what changes of a line is written.
        [("Number -1", "g"), ("wider", "\x13\x0c"), ("saved plan.toml", "\x11")],
    )
    assert code == 0
    assert "Traceback" not in shown
    assert load(open_to_all).adjustments
    assert names_in(open_to_all.parent) == ["home", "plan.toml", "squad.toml"]
