"""Trying mutants: each in a process of its own, forked from one that has the libraries loaded."""

from __future__ import annotations

import contextlib
import gc
import io
import os
import resource
import shutil
import signal
import sys
import tempfile
from enum import StrEnum
from importlib.abc import MetaPathFinder, SourceLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np  # noqa: F401 - loaded once, for every trial
import pytest
import scipy.integrate
import scipy.optimize
import scipy.special  # noqa: F401
from hypothesis import Phase, settings

from tests.mutations.mutants import mutated, what_runs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from importlib.machinery import ModuleSpec

    from tests.mutations.mutants import Mutant

LIMIT_S = 20
"""Processor time after which a trial is an endless loop; it is not counted while others run."""


class Verdict(StrEnum):
    """What became of a mutant."""

    KILLED = "killed"
    SURVIVED = "survived"
    TIMEOUT = "timeout"
    SAME = "same"


_EXITS = {0: Verdict.SURVIVED, 1: Verdict.KILLED, 90: Verdict.SAME}


class _RepeatableCases:
    """A pytest plugin: random cases are the same for every mutant and are not made smaller."""

    @staticmethod
    def pytest_sessionstart() -> None:
        settings.load_profile("mutations")


settings.register_profile(
    "mutations",
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
)


class _MutatedLoader(SourceLoader):
    def __init__(self, path: Path, text: str) -> None:
        self.path, self.text = path, text

    def get_filename(self, fullname: str) -> str:
        del fullname
        return str(self.path)

    def get_data(self, path: str | bytes) -> bytes:
        if Path(os.fsdecode(path)) != self.path:
            raise OSError(path)  # no compiled file either
        return self.text.encode()


class _Mutation(MetaPathFinder):
    """Serves the mutant's text in place of its module."""

    def __init__(self, name: str, loader: _MutatedLoader) -> None:
        self.name, self.loader = name, loader

    def find_spec(self, fullname: str, path: object, target: object = None) -> ModuleSpec | None:
        del path, target
        if fullname != self.name:
            return None
        return spec_from_file_location(fullname, self.loader.path, loader=self.loader)


def copied_house(root: Path, folder: Path) -> Path:
    """Copy what the tests need into `folder`, so that work going on in `root` disturbs nothing."""
    for name in ("wicketlay", "tests", "layouts"):
        shutil.copytree(root / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(root / "pyproject.toml", folder)
    return folder


def _tests(house: Path, room: str, module: str) -> tuple[list[str], list[str]]:
    """Return the test files of a room: those named after the module, and the others.

    The last is that of all values of the domain, which no room holds alone.
    """
    files = [
        *sorted((house / "tests" / room).glob("test_*.py")),
        house / "tests" / "test_values.py",
    ]
    named = [f for f in files if f.stem.startswith(f"test_{module}")]
    return [str(f) for f in named], [str(f) for f in files if f not in named]


def _pytest(house: Path, files: Sequence[str]) -> int:
    options = ["-x", "-q", "-p", "no:cacheprovider"]
    # hypothesis is loaded before pytest could rewrite it
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    place = ["--rootdir", str(house), "-c", str(house / "pyproject.toml")]
    return int(pytest.main([*options, *place, *files], plugins=[_RepeatableCases()]))


def warm_up(house: Path, room: str) -> None:
    """Load what every trial needs, and run the tests of a room unchanged.

    Raises
    ------
    RuntimeError
        When they fail as they are: then no mutant would tell anything.
    """
    # loads what pytest and its plugins import, which every fork then has
    with tempfile.TemporaryDirectory() as empty, contextlib.redirect_stdout(io.StringIO()):
        _pytest(house, ["--collect-only", empty])
    gc.freeze()  # so that forks share memory
    child = _forked(lambda: _pytest(house, [str(house / "tests" / room)]), house)
    _, status = os.waitpid(child, 0)
    if os.waitstatus_to_exitcode(status) != 0:
        message = f"the tests of {room} fail without any change"
        raise RuntimeError(message)


def _forked(body: Callable[[], int], house: Path) -> int:
    """Run `body` in a forked process with no output and return the process's number."""
    child = os.fork()
    if child:
        return child
    code = 99
    try:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        os.chdir(house)
        sys.path.insert(0, str(house))
        resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_S, LIMIT_S + 1))
        code = body()
    finally:
        os._exit(code)


def _trial(house: Path, room: str, mutant: Mutant, files: Sequence[str]) -> int:
    path = house / "wicketlay" / room / f"{mutant.module}.py"
    source = path.read_text(encoding="utf-8")
    text = mutated(source, mutant)
    try:
        if what_runs(text) == what_runs(source):
            return 90
    except SyntaxError:
        return 1
    name = f"wicketlay.{room}" if mutant.module == "__init__" else f"wicketlay.{room}.{path.stem}"
    sys.meta_path.insert(0, _Mutation(name, _MutatedLoader(path, text)))
    return 0 if _pytest(house, files) == 0 else 1


def watched(
    house: Path, room: str, mutants: Sequence[Mutant], *, jobs: int
) -> Iterator[tuple[Mutant, Verdict]]:
    """Try mutants, `jobs` at a time, and yield each with its verdict as it comes.

    The tests named after the module go first; only what survives these meets the others.
    """
    waiting = [(mutant, False) for mutant in reversed(mutants)]
    running: dict[int, tuple[Mutant, bool]] = {}
    try:
        while waiting or running:
            while waiting and len(running) < jobs:
                mutant, second = waiting.pop()
                files = _tests(house, room, mutant.module)[second]
                if not files:
                    if second:
                        yield mutant, Verdict.SURVIVED
                    else:
                        waiting.append((mutant, True))
                    continue
                child = _forked(lambda m=mutant, f=files: _trial(house, room, m, f), house)
                running[child] = (mutant, second)
            if not running:
                continue
            child, status = os.wait()
            mutant, second = running.pop(child)
            code = os.waitstatus_to_exitcode(status)
            verdict = Verdict.TIMEOUT if code == -signal.SIGXCPU else _EXITS.get(code)
            if verdict is Verdict.SURVIVED and not second:
                waiting.append((mutant, True))
            else:
                # a process that died of its mutant has noticed it
                yield mutant, verdict or Verdict.KILLED
    finally:
        for child in running:
            with contextlib.suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
                os.waitpid(child, 0)
