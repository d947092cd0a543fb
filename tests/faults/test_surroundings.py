"""Signals, closed pipes and poor surroundings: no traceback, nothing half, the right exit code."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time

import pytest
from fault_plans import PLAN, ROOT, run, write_plan

from wicketlay.files.whole import write_whole

MANY = PLAN.replace('squad = "squad.toml"\n', "") + "".join(
    f'\n[[athlete]]\nname = "A{i}"\nheight = "1.7 m"\ntop_speed = "8 m/s"\n' for i in range(300)
)
BARE = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT)}


@pytest.fixture
def here(tmp_path):
    write_plan(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        (signal.SIGTERM, 143),
        pytest.param(signal.SIGHUP, 129, marks=pytest.mark.slow),
        pytest.param(signal.SIGINT, 130, marks=pytest.mark.slow),
    ],
)
def test_ended_while_drawing_it_leaves_the_old_sheet_and_nothing_beside_it(here, sent, code):
    (here / "many.toml").write_text(MANY, encoding="utf-8")
    (here / "many.pdf").write_bytes(b"%PDF-old")
    process = subprocess.Popen(
        [sys.executable, "-m", "wicketlay", "sheet", "many.toml", "--force"],
        cwd=here,
        stderr=subprocess.PIPE,
    )
    deadline = time.monotonic() + 30
    while not list(here.glob(".many.pdf.*")) and time.monotonic() < deadline:
        time.sleep(0.01)
    process.send_signal(sent)
    _, told = process.communicate(timeout=30)
    assert process.returncode == code
    assert b"Traceback" not in told
    assert (here / "many.pdf").read_bytes() == b"%PDF-old"
    assert not list(here.glob(".many*"))


def test_an_end_in_the_moment_a_file_is_made_leaves_nothing_beside_it(tmp_path, monkeypatch):
    make = tempfile.mkstemp

    def made_and_ended(**how):
        made = make(**how)
        signal.raise_signal(signal.SIGTERM)
        return made

    def leave(*_):
        raise SystemExit(143)

    monkeypatch.setattr(tempfile, "mkstemp", made_and_ended)
    before = signal.signal(signal.SIGTERM, leave)
    try:
        with pytest.raises(SystemExit):
            write_whole(tmp_path / "a.pdf", b"%PDF")
    finally:
        signal.signal(signal.SIGTERM, before)
    assert not list(tmp_path.iterdir())
    assert signal.SIGTERM not in signal.pthread_sigmask(signal.SIG_BLOCK, ())


def test_an_end_in_the_moment_signals_are_held_leaves_none_of_them_held(tmp_path, monkeypatch):
    mask = signal.pthread_sigmask

    def held_and_ended(how, signals):
        held = mask(how, signals)
        if how == signal.SIG_BLOCK and signals:
            raise SystemExit(143)
        return held

    before = mask(signal.SIG_BLOCK, ())
    monkeypatch.setattr(signal, "pthread_sigmask", held_and_ended)
    with pytest.raises(SystemExit):
        write_whole(tmp_path / "a.pdf", b"%PDF")
    try:
        assert mask(signal.SIG_BLOCK, ()) == before
    finally:
        mask(signal.SIG_SETMASK, before)


@pytest.mark.slow
def test_a_hang_up_that_is_not_to_be_heard_is_not(here):
    done = run(
        "sheet",
        "plan.toml",
        cwd=here,
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN),
    )
    assert done.returncode == 0


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param("marks many.toml --format csv", marks=pytest.mark.slow),
        "sheet plan.toml -o -",
        "sources",
    ],
)
def test_a_reader_that_goes_away_is_no_fault(here, arguments):
    (here / "many.toml").write_text(MANY, encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, "-m", "wicketlay", *arguments.split()],
        cwd=here,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.read(1)
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()
    assert process.wait(timeout=30) in {0, 3}
    assert b"Traceback" not in told
    assert b"Broken" not in told
    assert b"bug" not in told


@pytest.mark.parametrize(
    ("closed", "command", "code"),
    [
        pytest.param("<&-", "marks", 0, marks=pytest.mark.slow),
        pytest.param("2>&-", "check", 0, marks=pytest.mark.slow),
        (">&-", "marks", 5),
        ("<&- >&- 2>&-", "sheet", 0),
    ],
)
def test_closed_standard_streams(here, closed, command, code):
    line = f'"{sys.executable}" -m wicketlay {command} plan.toml {closed}'
    done = subprocess.run(line, shell=True, cwd=here, check=False, capture_output=True)  # noqa: S602
    assert done.returncode == code
    assert b"Traceback" not in done.stderr


SURROUNDINGS = {
    "C": {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    "ascii": {"PYTHONIOENCODING": "ascii:strict"},
    "no HOME": {},
    "HOME is a file": {"HOME": "/dev/null", "XDG_STATE_HOME": "/dev/null/state"},
}


@pytest.mark.slow
@pytest.mark.parametrize("which", SURROUNDINGS)
def test_poor_surroundings_change_no_data_and_hide_no_message(here, which):
    text = (here / "squad.toml").read_text(encoding="utf-8").replace("Wren", "Zoë Ґанна")
    (here / "squad.toml").write_text(text, encoding="utf-8")
    env = BARE | SURROUNDINGS[which]
    table = run("marks", "plan.toml", cwd=here, env=env)
    assert table.returncode == 0
    assert table.stderr == b""
    assert "Zoë Ґанна" in table.stdout.decode() or b"Zo? ?????" in table.stdout
    rich = run("marks", "plan.toml", "--format", "json", cwd=here, env=BARE | {"LC_ALL": "C.UTF-8"})
    poor = run("marks", "plan.toml", "--format", "json", cwd=here, env=env)
    assert poor.returncode == 0
    assert poor.stdout == rich.stdout
    wrong = run("sheet", "plan.toml", "--athlete", "Zoe Anna", cwd=here, env=env)
    assert wrong.returncode == 2
    assert b'nobody called "Zoe Anna" is in the plan' in wrong.stderr
    assert run("sheet", "plan.toml", cwd=here, env=env).returncode == 0
    assert (here / "plan.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_settings_of_the_pdf_library_in_the_home_folder_change_no_page(here):
    home = here / "home"
    home.mkdir()
    assert run("sheet", "plan.toml", cwd=here, env=BARE | {"HOME": str(home)}).returncode == 0
    pages = (here / "plan.pdf").read_bytes()
    (home / ".reportlab_settings").write_text("pageCompression = 0\n", encoding="utf-8")
    (home / ".reportlab_mods").write_text("raise ValueError\n", encoding="utf-8")
    assert run("sheet", "plan.toml", cwd=here, env=BARE | {"HOME": str(home)}).returncode == 0
    assert (here / "plan.pdf").read_bytes() == pages


@pytest.mark.slow
def test_a_thousand_athletes_are_checked_in_little_memory(here):
    many = MANY.replace('"A', '"B').split("\n[[athlete]]", 1)[0] + "".join(
        f'\n[[athlete]]\nname = "A{i}"\nheight = "1.7 m"\ntop_speed = "8 m/s"\n'
        for i in range(1000)
    )
    (here / "many.toml").write_text(many, encoding="utf-8")
    limits = 'ulimit -v 1500000; exec "$0" -m wicketlay check many.toml'
    done = subprocess.run(
        ["sh", "-c", limits, sys.executable], cwd=here, check=False, capture_output=True
    )
    assert done.returncode == 0
