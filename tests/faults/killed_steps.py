"""Writers that die at a named step: run as a script, they fork, write, die, and tell what was left.

    python killed_steps.py FOLDER

Every step is taken in turn: before it, and for writing also when half of it is done. Writes one
JSON object: for each writer the steps and what was found after each. A process of its own, since
it forks.
"""

from __future__ import annotations

import dataclasses
import json
import os
import sys
import tempfile
from pathlib import Path

from fault_plans import write_plan

from tui.bench import shelf
from wicketlay.files.whole import new_file, whole_file
from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file import find_recovery, open_plan, write_recovery
from wicketlay.starter import starter_text

STEPS = {
    "temporary": (tempfile, "mkstemp"),
    "permissions": (Path, "chmod"),
    "flush": (os, "fsync"),
    "replace": (Path, "replace"),
    "name": (Path, "hardlink_to"),
    "remove": (Path, "unlink"),
}
GROUND = 'format = 1\nkind = "ground"\n[ground]\nkind = "strip"\nlength = "80 m"\n'
DIED = 9


class HalfWritten:
    """A file whose so-manieth write stops the process in the middle."""

    def __init__(self, stream, count: list[int]) -> None:
        self.stream, self.count = stream, count

    def __enter__(self):
        self.stream.__enter__()
        return self

    def __exit__(self, *raised):
        return self.stream.__exit__(*raised)

    def write(self, data: bytes) -> int:
        self.count[0] -= 1
        if self.count[0] == 0:
            self.stream.write(data[: len(data) // 2])
            self.stream.flush()
            os._exit(DIED)
        return self.stream.write(data)

    def __getattr__(self, name: str):
        return getattr(self.stream, name)


def die_at(step: str, number: int) -> None:
    """Make this process end before the so-manieth call of a step (half through it for "write")."""
    left = [number]
    if step == "write":
        opened = os.fdopen
        os.fdopen = lambda *given, **more: HalfWritten(opened(*given, **more), left)
        return
    owner, name = STEPS[step]
    real = getattr(owner, name)

    def hooked(*given, **more):
        left[0] -= 1
        if left[0] == 0:
            os._exit(DIED)
        return real(*given, **more)

    setattr(owner, name, hooked)


def killed_everywhere(prepare, write, look) -> dict[str, list[str]]:
    """Kill `write` at every call of every step; return what `look` saw, by step."""
    seen: dict[str, list[str]] = {}
    for step in ("write", *STEPS):
        for number in range(1, 50):
            made = prepare()
            child = os.fork()
            if child == 0:
                die_at(step, number)
                write(made)
                os._exit(0)
            code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
            if code == 0:
                break
            assert code == DIED, (step, number, code)
            seen.setdefault(step, []).append(look(made))
    return seen


def which(path: Path, old: bytes | None, new: bytes) -> str:
    """Say whether a file is the old one, the new one, not there, or something else."""
    if not path.exists():
        return "none" if old is None else "lost"
    found = path.read_bytes()
    return "new" if found == new else "old" if found == old else "half"


class Writers:
    """What is written in a folder, how, and what is looked at afterwards."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.count = 0

    def fresh(self) -> Path:
        """Return a plan with squad and ground in a folder of its own."""
        self.count += 1
        folder = self.folder / str(self.count)
        folder.mkdir()
        path = write_plan(folder)
        text = path.read_text(encoding="utf-8")
        path.write_text(text + '\n[ground]\nfile = "ground.toml"\n', encoding="utf-8")
        (folder / "ground.toml").write_text(GROUND, encoding="utf-8")
        return path

    def changed(self, opened):
        """Return a plan with a change in each of the three files."""
        first, *rest = opened.plan.athletes
        return dataclasses.replace(
            opened.plan,
            title="Other",
            athletes=(dataclasses.replace(first, height_m=1.75), *rest),
            ground=dataclasses.replace(opened.plan.ground, length_m=90.0),
        )

    def three_files(self):
        """Save plan, squad and ground at once."""

        def prepare():
            opened = open_plan(self.fresh())
            return opened, self.changed(opened)

        def look(made):
            opened, wanted = made
            texts = opened.unsaved(wanted)[1]

            def states() -> list[str]:
                return [
                    which(opened.paths[role], opened.texts[role].encode(), texts[role].encode())
                    for role in ("squad", "ground", "plan")
                ]

            killed = " ".join(states())
            again = open_plan(opened.path)
            (settled,) = set(states())
            assert sorted(opened.path.parent.iterdir()) == sorted(opened.paths.values())
            # Neither the next reader is misled, nor the next saver.
            assert find_recovery(opened.path) is None
            assert again.save(wanted).plan == wanted
            assert open_plan(opened.path).plan == wanted
            return f"{killed} -> {settled}: {again.mended.partition(': ')[2]}"

        return killed_everywhere(prepare, lambda made: made[0].save(made[1]), look)

    def unsaved_work(self):
        """Keep unsaved work over older unsaved work."""

        def prepare():
            opened = open_plan(self.fresh())
            older = dataclasses.replace(opened.plan, title="Older")
            return opened, older, write_recovery(opened, older)

        def look(made):
            opened, older, kept = made
            found = find_recovery(opened.path)
            assert found.path == kept
            if found.plan == older:
                return "old"
            return "new" if found.plan == self.changed(opened) else "half"

        return killed_everywhere(
            prepare, lambda made: write_recovery(made[0], self.changed(made[0])), look
        )

    def sheet(self):
        """Write a sheet over an older one."""
        data = b"%PDF-new" * 1000

        def prepare():
            path = self.fresh().with_name("sheet.pdf")
            path.write_bytes(b"%PDF-old")
            return path

        def write(path):
            with whole_file(path, replaces=b"%PDF") as stream:
                stream.write(data)

        return killed_everywhere(prepare, write, lambda path: which(path, b"%PDF-old", data))

    def new_plan(self):
        """Make a plan that is not there yet."""

        def look(path):
            state = which(path, None, starter_text().encode())
            if state == "none":
                new_file(path, starter_text())
            open_plan(path)
            return state

        return killed_everywhere(
            lambda: self.fresh().with_name("mine.toml"),
            lambda path: new_file(path, starter_text()),
            look,
        )

    def another_name(self):
        """Save the plan of the workbench under another name."""

        def prepare():
            opened = shelf.open_file(self.fresh())
            opened.lock.release()
            return opened, opened.file.texts["plan"]

        def write(made):
            opened, _ = made
            wanted = dataclasses.replace(opened.file.plan, title="Other")
            shelf.save_as(opened, wanted, opened.path.with_name("copy.toml"))

        def look(made):
            opened, text = made
            assert opened.path.read_text(encoding="utf-8") == text
            try:
                title = open_plan(opened.path.with_name("copy.toml")).plan.title
            except PlanFileError as error:
                assert "there is no such file" in str(error)  # noqa: PT017 - no test, a report
                return "none"
            return "new" if title == "Other" else "old"

        return killed_everywhere(prepare, write, look)


if __name__ == "__main__":
    os.fsync = lambda _handle: None  # a killed process loses nothing that it gave to the system
    writers = Writers(Path(sys.argv[1]))
    names = ("three_files", "unsaved_work", "sheet", "new_plan", "another_name")
    json.dump({name: getattr(writers, name)() for name in names}, sys.stdout)
