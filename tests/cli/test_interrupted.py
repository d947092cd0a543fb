"""Ctrl-C ends a command even when something on the way swallows it."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

SWALLOWING = """
import sys, time
from types import SimpleNamespace
from wicketlay import cli
from wicketlay.cli import arguments

def run(_):
    try:
        print("ready", flush=True)
        time.sleep(60)
    except BaseException:  # as a library does around an import it can go without
        print("swallowed", flush=True)
    time.sleep(60)

arguments.parse = lambda argv: SimpleNamespace(run=run)
sys.exit(cli.main([]))
"""


@pytest.mark.parametrize(
    ("sent", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_a_swallowed_signal_is_raised_again(sent, code):
    with subprocess.Popen(
        [sys.executable, "-c", SWALLOWING],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout.readline() == "ready\n"
        process.send_signal(sent)
        out, told = process.communicate(timeout=30)
    assert out == "swallowed\n"
    assert process.returncode == code
    assert "Traceback" not in told


def test_one_that_went_through_an_import_still_ends_with_our_own_code():
    through_exec = SWALLOWING.replace("    time.sleep(60)\n\narg", "\narg").replace(
        'print("ready", flush=True)\n        time.sleep(60)\n    except BaseException:',
        "exec(\"import time; print('ready', flush=True); time.sleep(60)\")\n"
        "    except ZeroDivisionError:",
    )
    with subprocess.Popen(
        [sys.executable, "-c", through_exec],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout.readline() == "ready\n"
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=30)
    assert process.returncode == 130
    assert told == "wicketlay: interrupted; nothing half-written was left\n"
