"""Ctrl-C ends a command even when something on the way swallows it."""

from __future__ import annotations

import signal
import subprocess
import sys
import textwrap

import pytest

COMMAND = """
import sys, time
from types import SimpleNamespace
from wicketlay import cli
from wicketlay.cli import arguments, commands

def run(_):
{body}

arguments.parse = lambda argv: SimpleNamespace(command="sleep")
commands.run_sleep = run
sys.exit(cli.main([]))
"""
SWALLOWING = """
try:
    print("ready", flush=True)
    time.sleep(60)
except BaseException:  # as a library does around an import it can go without
    print("swallowed", flush=True)
time.sleep(60)
"""
THROUGH_EXEC = """
exec("import time; print('ready', flush=True); time.sleep(60)")
"""


def ended_by(sent: signal.Signals, body: str) -> tuple[int, str, str]:
    """Send a signal to a command that does `body`, once ready; return code, output, messages."""
    script = COMMAND.format(body=textwrap.indent(body, "    "))
    with subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout.readline() == "ready\n"
        process.send_signal(sent)
        out, told = process.communicate(timeout=30)
    return process.returncode, out, told


@pytest.mark.parametrize(
    ("sent", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_a_swallowed_signal_is_raised_again(sent, code):
    ended, out, told = ended_by(sent, SWALLOWING)
    assert (ended, out) == (code, "swallowed\n")
    assert "Traceback" not in told


def test_one_that_went_through_an_import_still_ends_with_our_own_code():
    ended, _, told = ended_by(signal.SIGINT, THROUGH_EXEC)
    assert ended == 130
    assert told == "wicketlay: interrupted; nothing half-written was left\n"
