"""The real program in a pseudo-terminal: start, type, kill, start again: nothing is lost."""

import contextlib
import fcntl
import os
import pty
import random
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from codecs import getincrementaldecoder
from datetime import date

import pytest
from tui_bench import SIX, Screen

from tui.bench.bench import start_bench
from tui.bench.hour import Clock, start_hour
from tui.bench.shelf import open_file
from wicketlay.log_file.log import open_log
from wicketlay.plan_file import find_recovery, load, typed_in
from wicketlay.session.log import practice_of

pytestmark = pytest.mark.slow

_BESIDE = re.compile(
    r"\x1b[()][A-Z0-9]|\x1b[=>]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b\[[0-?]*[ -/]+[@-~]"
)
_BEGUN = re.compile(r"\x1b(?:\[[0-?]*[ -/]*|\][^\x07]*|[()]?)$")
_ESCAPES = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[()][A-Z0-9]|\x1b[=>]|\x1b\][^\x07]*\x07")


class Terminal:
    """A program in a pseudo-terminal of its own."""

    def __init__(self, *arguments, columns=120, rows=40, **environment):
        self.pid, self.master = pty.fork()
        if self.pid == 0:
            # Python's own view of the environment: a library may have put COLUMNS and LINES
            # beside it, and they would hide the terminal's own size.
            own = {**os.environ, "TERM": "xterm-256color", **environment}
            own.pop("COLUMNS", None), own.pop("LINES", None)
            command = [sys.executable, "-m", "wicketlay", *arguments]
            os.execve(sys.executable, command, own)  # noqa: S606 - a program of ours
        self.resize(columns, rows)
        self.shown = b""
        self.screen, self._decode, self._begun = Screen(), getincrementaldecoder("utf-8")(), ""

    def resize(self, columns, rows):
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, size)

    def read(self, quiet_s=0.3, longest_s=60.0):
        """Read until it is quiet; return what came, without escapes."""
        got, begin = b"", time.monotonic()
        while time.monotonic() - begin < longest_s:
            ready, _, _ = select.select([self.master], [], [], quiet_s if got else longest_s)
            if not ready:
                break
            try:
                piece = os.read(self.master, 1 << 16)
            except OSError:
                break
            if not piece:
                break
            got += piece
        self.shown += got
        self._show(got)
        return _ESCAPES.sub(b"", got).decode("utf-8", "replace")

    def _show(self, got):
        """Put on the screen what came; an escape that is not whole yet waits for the rest."""
        text = self._begun + self._decode.decode(got)
        begun = _BEGUN.search(text)
        self._begun = begun.group() if begun else ""
        self.screen.take(_BESIDE.sub("", text[: len(text) - len(self._begun)]))

    def wait_for(self, text, longest_s=60.0):
        """Read until a text has come, or stands on the screen: only what changes is written."""
        begin, got = time.monotonic(), ""
        while text not in got:
            shown = self.screen.text()
            assert time.monotonic() - begin < longest_s, f"{text!r} never came; last:\n{shown}"
            got += self.read(quiet_s=0.2, longest_s=2.0)
            if text in self.screen.text():
                break
        return got

    def press(self, keys):
        os.write(self.master, keys.encode())

    def end(self, number=None):
        """Send a signal, or wait; return the exit code, negative for a signal."""
        if number is not None:
            os.kill(self.pid, number)
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                with contextlib.suppress(OSError):
                    os.close(self.master)
                return os.waitstatus_to_exitcode(status)
            self.read(quiet_s=0.05, longest_s=0.2)
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        pytest.fail("the program did not end")

    def hang_up(self):
        """Close the terminal's other end, as when a window is closed."""
        os.close(self.master)
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status)
            time.sleep(0.05)
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        pytest.fail("the program outlived its terminal")


def wait_until(condition, longest_s=60.0):
    """Wait until something holds: at once on a quiet machine, long on a loaded one."""
    end = time.monotonic() + longest_s
    while not condition():
        assert time.monotonic() < end, "what was waited for never came"
        time.sleep(0.02)


def kept_gap_change(path):
    """Return what is kept of Tarik's gaps, 0 while nothing is."""
    found = find_recovery(path)
    return 0.0 if found is None else found.plan.adjustment("Tarik").gap_change


def gap_change(path):
    return find_recovery(path).plan.adjustment("Tarik").gap_change


def test_killed_outright_a_second_after_a_change(plan_path):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("gg")
    terminal.wait_for("gaps 2 % wider")
    wait_until(lambda: kept_gap_change(plan_path) == pytest.approx(0.04))
    assert terminal.end(signal.SIGKILL) == -signal.SIGKILL
    assert gap_change(plan_path) == pytest.approx(0.04)
    again = Terminal("open", str(plan_path))
    again.wait_for("unsaved work was found")
    again.press("\r")
    again.wait_for("unsaved work taken up")
    again.press("\x13")
    again.wait_for("saved harbour.toml")
    again.press("\x11")
    assert again.end() == 0
    assert load(plan_path).adjustment("Tarik").gap_change == pytest.approx(0.04)
    assert find_recovery(plan_path) is None


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGHUP, 129), (signal.SIGTERM, 143)], ids=["SIGHUP", "SIGTERM"]
)
def test_told_to_end_at_once_after_a_change(plan_path, number, code):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("g")
    terminal.wait_for("gaps 2 % wider")
    assert terminal.end(number) == code
    assert gap_change(plan_path) == pytest.approx(0.02)


def test_the_terminal_is_closed_right_after_a_change(plan_path):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("g")
    terminal.wait_for("gaps 2 % wider")
    terminal.hang_up()
    assert gap_change(plan_path) == pytest.approx(0.02)


@pytest.mark.parametrize("end", ["kill", "hang-up", "quit"])
def test_times_noted_are_there_however_the_program_ended(plan_path, end):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("t2.25\r")
    terminal.wait_for("2.25 s noted")
    if end == "kill":
        wait_until(lambda: "2.25" in str(typed_in(plan_path)))
        terminal.end(signal.SIGKILL)
    elif end == "hang-up":
        assert terminal.end(signal.SIGHUP) == 129
    else:
        terminal.press("\x11")
        assert terminal.end() == 0
    times = typed_in(plan_path)["times"]
    assert (times["timing"], times["of"]) == ("hand", {"Tarik": [2.25]})
    assert date.fromisoformat(times["day"])


def test_what_is_half_typed_is_there_after_a_kill(plan_path):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("i\t=half typed")
    terminal.wait_for("half typed")
    wait_until(lambda: "half typed" in str(typed_in(plan_path)))
    terminal.end(signal.SIGKILL)
    again = Terminal("open", str(plan_path))
    again.wait_for("half typed")
    again.end(signal.SIGKILL)


def test_a_second_workbench_says_it_is_read_only_and_the_plan_is_free_after_a_kill(plan_path):
    first = Terminal("open", str(plan_path))
    first.wait_for("Harbour wickets")
    second = Terminal("open", str(plan_path))
    second.wait_for("read only: another workbench is at this plan")
    second.press("g")
    second.wait_for("nothing was changed")
    second.press("\x11")
    assert second.end() == 0
    first.end(signal.SIGKILL)
    third = Terminal("open", str(plan_path))
    assert "read only" not in third.wait_for("Harbour wickets")
    third.press("\x11")
    assert third.end() == 0


def test_without_a_terminal_it_says_so_at_once(plan_path):
    done = subprocess.run(
        [sys.executable, "-m", "wicketlay", "open", str(plan_path)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr


def test_a_whole_answer_sent_at_once_reaches_the_question(plan_path):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("m-30\r\x13")
    terminal.wait_for("saved harbour.toml")
    assert load(plan_path).place.slide_m == pytest.approx(-0.30)
    terminal.press("\x11")
    assert terminal.end() == 0


def test_no_colour_is_sent_when_none_is_wanted(plan_path):
    terminal = Terminal("open", str(plan_path), NO_COLOR="1", COLORTERM="truecolor")
    terminal.wait_for("Harbour wickets")
    terminal.press("\x11")
    terminal.end()
    styles = re.findall(rb"\x1b\[([\d;]*)m", terminal.shown)
    assert styles
    assert not [each for each in styles if re.search(rb"(^|;)([349]8;[25]|[39][0-7]|4[0-7])", each)]


def test_a_storm_of_resizes_loses_nothing(plan_path):
    terminal = Terminal("open", str(plan_path))
    terminal.wait_for("Harbour wickets")
    terminal.press("g")
    for step in range(60):
        terminal.resize(20 + step * 37 % 180, 5 + step * 13 % 55)
        time.sleep(0.01)
    terminal.resize(50, 10)
    terminal.wait_for("window too small")
    terminal.resize(120, 40)
    terminal.wait_for("gaps 2 % wider")
    terminal.press("\x13")
    terminal.wait_for("saved harbour.toml")
    terminal.press("\x11")
    assert terminal.end() == 0
    assert load(plan_path).adjustment("Tarik").gap_change == pytest.approx(0.02)


def test_a_slow_line_gets_little_to_carry(own_folders):
    """Bytes of a key at 120x40: arrows, notches, and a second of the practice with its clock."""
    own_folders.joinpath("six.toml").write_text(SIX, encoding="utf-8")
    terminal = Terminal("open", str(own_folders / "six.toml"))
    terminal.wait_for("1 plan")
    terminal.read(quiet_s=1.0)

    def written(key):
        before = len(terminal.shown)
        terminal.press(key)
        terminal.read(quiet_s=0.8)
        return len(terminal.shown) - before

    for notch in "gGgsc":
        assert 0 < written(notch) < 3000, notch
    for arrow in ("\x1b[C", "\x1b[D", "\x1b[B", "\x1b[B", "\x1b[A"):
        assert 0 < written(arrow) < 4000, arrow
    assert written("\x0c") > 4000  # drawn anew
    written("7"), written(" "), written(" ")
    assert 0 < written("g") < 3000  # the first that is proposed
    before, begin = len(terminal.shown), time.monotonic()
    while time.monotonic() - begin < 10.0:
        terminal.read(quiet_s=0.1, longest_s=1.0)
    assert 0 < (len(terminal.shown) - before) / (time.monotonic() - begin) < 200
    terminal.end(signal.SIGTERM)


def test_a_whole_practice_killed_twenty_times_loses_nothing_that_was_typed(own_folders):
    """Six athletes, 36 runs, an absence, a late one, a swap, two slips: twenty SIGKILLs."""
    plan = own_folders / "six.toml"
    plan.write_text(SIX, encoding="utf-8")
    draw = random.Random(15)  # noqa: S311 - a schedule of kills, the same in every run
    day = date.today()
    bench = start_bench(open_file(plan))
    hour = start_hour(bench, day, Clock())
    expected = {a.name: hour.expected_s(a.name) for a in bench.plan.athletes}
    bench.opened.lock.release()
    kills = set(draw.sample(range(1, 72), 20))
    told, step, terminal = [], 0, None

    def practice():
        return practice_of(open_log(plan).checked().entries, day, bench.solved.session.order)

    def to_move():
        hour.log = open_log(plan).checked()
        stands = hour.stand()
        return stands is not None and any(not each.ticked for each in hour.moves(stands))

    def started():
        fresh = Terminal("open", str(plan))
        fresh.wait_for("1 plan")
        fresh.press("7")
        fresh.wait_for("Space")
        return fresh

    def pressed(keys, entries):
        """Press keys that write so many entries, and see them on the disk; now and then, kill."""
        nonlocal step, terminal
        step += 1
        terminal = terminal or started()
        there = len(open_log(plan).entries)
        terminal.press(keys)
        if step in kills:
            time.sleep(draw.uniform(0.0, 0.05))
            terminal.end(signal.SIGKILL)
            terminal = None
        else:
            wait_until(lambda: len(open_log(plan).entries) >= there + entries)
        now = [each.number for each in open_log(plan).checked().entries]
        assert now[: len(told)] == told  # what was told as written stands
        told[:] = now
        return len(now) >= there + entries

    extra = [("w", 1), ("x", 1), ("nNx", 1), ("o", 1)]
    while sum(map(len, practice().runs.values())) < 36 or practice().last.waits:
        stand = practice()
        if stand.last is not None and stand.last.waits:
            pressed(f"{expected[stand.last.athlete]:.2f}\r", 1)
        elif extra and step > 10:
            pressed(*extra[0])
            extra.pop(0)
        elif step in {30, 50}:
            pressed("h", 1)
            pressed("h", 1)
        elif to_move():
            pressed("d", 1)
        else:
            pressed(" ", 1)
    if terminal is not None:
        terminal.end(signal.SIGTERM)
    runs = [run for own in practice().runs.values() for run in own]
    assert [run.time_s is not None for run in runs] == [True] * 36
    numbers = {who: [run.run for run in own] for who, own in practice().runs.items()}
    assert all(own == list(range(1, len(own) + 1)) for own in numbers.values())
