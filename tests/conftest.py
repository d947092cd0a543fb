"""What every test may count on, whoever runs them and from where.

Random cases are the same ones on every machine and in every run; only ``-m nightly`` searches
among new ones, and there ``--hypothesis-seed`` fixes them. The signals that end a program do so in
the programs tests start, even when a shell started the tests in the background, or with nohup, and
had them ignored.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal

import pytest
from hypothesis import settings
from hypothesis.internal.conjecture import providers

# Threads of linear algebra gain nothing on arrays of twenty numbers and cost every process that a
# test starts; it must stand before numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# How often the terminal library paints; its tests wait for that after every key. It must stand
# before the library is imported, and `tests/tui/conftest.py` waits as long as one picture takes.
os.environ.setdefault("TEXTUAL_FPS", "120")

# Else what tests start would be as wide as the terminal they were begun in: this library puts its
# size into the environment, and text keeps to COLUMNS.
with contextlib.suppress(ImportError):
    import readline  # noqa: F401
for name in ("COLUMNS", "LINES"):
    os.environ.pop(name, None)
    os.unsetenv(name)

# A workbench is some ten thousand objects, and what pytest holds is many times that: going through
# all of it again and again for what may be thrown away is a tenth of the time.
gc.set_threshold(20_000, 20, 20)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One worker more than cores: a workbench that is tested often waits for its own clock."""
    del config
    return len(os.sched_getaffinity(0)) + 1 if hasattr(os, "sched_getaffinity") else None


# Else Hypothesis takes constants from the modules loaded so far: from the tests that ran before.
providers.is_local_module_file = lambda _path: False

settings.register_profile("the same cases", derandomize=True, database=None, deadline=None)
settings.register_profile("a search", derandomize=False, database=None, deadline=None)


def pytest_configure(config):
    """Choose how cases are made before any test is read: its settings are made from these."""
    searching = config.getoption("markexpr") == "nightly"
    settings.load_profile("a search" if searching else "the same cases")


def pytest_collection_finish():
    """Leave what was read for good out of the search for what may be thrown away."""
    gc.collect()
    gc.freeze()


_SEEN = {"searches": 0}


def pytest_runtest_teardown():
    """Leave out what tests load on their way, too, once a whole search has found it alive."""
    searches = gc.get_stats()[-1]["collections"]
    if searches > _SEEN["searches"]:
        _SEEN["searches"] = searches
        gc.freeze()


for _each in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
    if signal.getsignal(_each) is signal.SIG_IGN:
        signal.signal(_each, signal.SIG_DFL)
