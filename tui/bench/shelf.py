"""Plan files as the workbench holds them: locked, untitled, noted, and never half lost."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.errors import CannotWriteError, WicketlayError
from wicketlay.files import sidecar
from wicketlay.files.locks import Sign, reason_of
from wicketlay.files.sidecar import state_folder
from wicketlay.files.whole import new_file as write_new
from wicketlay.files.whole import write_whole
from wicketlay.plan_file import (
    PlanFile,
    PlanFileError,
    Recovery,
    find_recovery,
    is_practice,
    kind_of,
    open_plan,
    open_practice,
    write_recovery,
)
from wicketlay.starter import starter_text
from wicketlay.stations import solve_practice, with_plan
from wicketlay.wording import told

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.findings import Finding
    from wicketlay.plan import Plan
    from wicketlay.plan_file import OnGround
    from wicketlay.stations import SolvedPractice

_MOST_UNTITLED = 99
_MOST_LOOKED_AT = 60
_MOST_OFFERED = 6
"""Files of a folder that are looked at for grounds, and grounds that are named."""
MOST_RECENT = 12
"""Plans opened last that are noted."""


def lock_of(path: Path) -> Sign:
    """Return the sign that a workbench is at a plan."""
    return Sign(state_folder() / "at-work" / sidecar.key_of(path))


@dataclass(slots=True, kw_only=True)
class OpenFile:
    """A plan file at work.

    Parameters
    ----------
    file
        As it was read or last saved.
    lock
        The sign that we are at it.
    untitled
        A plan that has no file of the user's yet; it lies in the state folder.
    """

    file: PlanFile
    lock: Sign
    untitled: bool = False

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self.file.path

    @property
    def name(self) -> str:
        """What it is called on screen."""
        return "no file yet" if self.untitled else self.path.name

    @property
    def read_only(self) -> bool:
        """True when another workbench is at it."""
        return not self.lock.held

    @property
    def fresh(self) -> bool:
        """True when it is the starter, and nobody has done anything with it yet."""
        return self.untitled and not _kept(self.path)

    def keep(self, plan: Plan, typed: Mapping[str, Any], ground: OnGround | None = None) -> None:
        """Keep unsaved work, what is half typed included, or drop what was kept when none is.

        Raises
        ------
        CannotWriteError
            When it can be kept nowhere.
        """
        if not self.read_only:
            write_recovery(self.file, plan, typed, ground)

    def close(self) -> None:
        """Leave the plan; an untitled one without unsaved work goes with it."""
        if self.untitled and not self.read_only and not _kept(self.path):
            self.path.unlink(missing_ok=True)
        self.lock.release()


def open_file(path: Path) -> OpenFile:
    """Open a plan; read-only when another workbench is at it.

    Raises
    ------
    PlanFileError
        With every problem of the file.
    """
    lock = lock_of(path)
    try:
        file = open_plan(path)
    except PlanFileError:
        lock.release()
        raise
    return OpenFile(file=file, lock=lock, untitled=path.parent == _untitled_folder())


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """The stations of a practice as their files say, and which of them is on view."""

    practice: Path
    plans: tuple[Path, ...]
    solved: SolvedPractice
    at: int = 0

    def step(self, places: int) -> Stations:
        """Return the same at the next station, or so many on, round and round; read again.

        Raises
        ------
        PlanFileError
            With every problem of the practice file, or of a plan it names.
        """
        again = _read_stations(self.practice)
        return replace(again, at=(self.at + places) % len(again.plans))

    def with_plan(self, plan: Plan) -> Stations:
        """Return the stations with the one on view as it is at work."""
        return replace(self, solved=with_plan(self.solved, self.at, plan))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the stations do to the one on view, and to the hour, bag and hands of all."""
        return self.solved.findings_at(self.at)

    def said(self) -> str:
        """Return which station this is, and the gravest of what they do to each other."""
        lines = [f"station {self.at + 1} of {len(self.plans)}"]
        lines += [f"{level.value}: {text}" for level, text in told(self.solved.findings)[:1]]
        return "; ".join(lines)


def stations_of(path: Path) -> Stations | None:
    """Return the stations of a practice file; None for a plan.

    Raises
    ------
    PlanFileError
        With every problem of the practice file, or of a plan it names.
    """
    return _read_stations(path) if is_practice(path) else None


def _read_stations(path: Path) -> Stations:
    read = open_practice(path)
    plans = tuple(each.path for each in read.files)
    return Stations(practice=path, plans=plans, solved=solve_practice(read.practice))


def grounds_in(folder: Path) -> tuple[str, ...]:
    """Return the names of the ground files of a folder, the first few of many."""
    try:
        names = sorted(folder.glob("[!.]*.toml"))[:_MOST_LOOKED_AT]
    except OSError:
        return ()
    return tuple(each.name for each in names if kind_of(each) == "ground")[:_MOST_OFFERED]


def _untitled_folder() -> Path:
    return state_folder() / "untitled"


def new_file() -> OpenFile:
    """Return the starter plan as a plan without a name.

    Raises
    ------
    CannotWriteError
        When the state folder cannot be written.
    """
    folder = _untitled_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        for number in range(1, _MOST_UNTITLED + 1):
            path = folder / f"untitled-{number}.toml"
            lock = lock_of(path)
            if not lock.held or _kept(path):
                lock.release()
                continue
            write_whole(path, starter_text().encode("utf-8"))
            return OpenFile(file=open_plan(path), lock=lock, untitled=True)
    except OSError as error:
        raise CannotWriteError(
            f"{folder}: a new plan cannot be kept: {reason_of(error)}; "
            "make a file with 'wicketlay new my-plan.toml' and open that"
        ) from None
    message = f"{folder}: {_MOST_UNTITLED} plans are waiting unsaved; open and save some"
    raise CannotWriteError(message)


def unsaved_untitled() -> tuple[Path, ...]:
    """Return the plans without a name that hold unsaved work and that nobody is at."""
    found = []
    for path in sorted(_untitled_folder().glob("untitled-*.toml")):
        if not _kept(path):
            continue
        lock = lock_of(path)
        if lock.held:
            found.append(path)
        lock.release()
    return tuple(found)


def unsaved_work(path: Path) -> Recovery | None:
    """Return the unsaved work of a plan; None when there is none or it cannot be read."""
    try:
        return find_recovery(path)
    except PlanFileError:
        return None


def set_aside_damaged(path: Path) -> Path | None:
    """Give unsaved work that cannot be read another name, so that nothing is written over it.

    Returns
    -------
    Path or None
        What it is called now; None when all is well.
    """
    damaged = sidecar.found(path)
    try:
        find_recovery(path)
    except PlanFileError:
        if damaged is None:
            return None
        aside = damaged.with_name(f"{damaged.name}.damaged")
        try:
            damaged.replace(aside)
        except OSError:
            return damaged
        return aside
    return None


def _kept(path: Path) -> bool:
    """Return whether anything is kept of a plan, be it only half typed."""
    found = sidecar.found(path)
    return found is not None and sidecar.content_of(found) is not None


def save_as(opened: OpenFile, plan: Plan, path: Path) -> OpenFile:
    """Write the plan to a new file and go on there.

    Parameters
    ----------
    opened
        Where the plan is now.
    plan
        As it is on view.
    path
        A name that is not taken, ending in .toml.

    Raises
    ------
    CannotWriteError
        When the place cannot be written, is taken, or is in another folder than the squad and
        ground files the plan names, or one of these was changed on disk.
    """
    _refuse_place(opened, plan, path)
    lock = lock_of(path)
    try:
        write_new(path, opened.file.texts["plan"])
    except CannotWriteError:
        lock.release()
        raise
    try:
        saved = open_plan(path).save(plan)
    except WicketlayError as error:
        path.unlink(missing_ok=True)
        lock.release()
        raise CannotWriteError(str(error)) from error
    return OpenFile(file=saved, lock=lock)


def write_first(path: Path, text: str) -> None:
    """Write a plan that has no file yet to a name that is not taken.

    Raises
    ------
    CannotWriteError
        When the place cannot be written or is taken, or the name does not end in .toml.
    """
    _refuse_name(path)
    write_new(path, text)


def _refuse_name(path: Path) -> None:
    if path.suffix != ".toml":
        message = f"{path.name} should end in .toml, for example {path.stem or 'plan'}.toml"
        raise CannotWriteError(message)
    if os.path.lexists(path):
        raise CannotWriteError(f"{path} is there already; give another name, nothing was written")


def _refuse_place(opened: OpenFile, plan: Plan, path: Path) -> None:
    _refuse_name(path)
    others = [role for role in opened.file.paths if role != "plan"]
    # They are read again for the new plan: what another program wrote there would be undone.
    changed = opened.file.changed_on_disk(others)
    if changed:
        raise CannotWriteError(
            f"{opened.file.paths[changed]} was changed on disk since it was read; "
            "nothing was written"
        )
    if plan.ground_file is not None and "ground" not in others:
        others.append("ground")
    if others and path.resolve().parent != opened.path.resolve().parent:
        raise CannotWriteError(
            f"the plan names a {others[0]} file beside it; save it in "
            f"{opened.path.resolve().parent}"
        )


def working_folder() -> Path:
    """Return the folder the program was started in, or the root when it is there no more."""
    try:
        return Path.cwd()
    except FileNotFoundError:
        return Path(os.sep)


def free_name(folder: Path, title: str) -> Path:
    """Return a path in a folder that is not taken, called after a title."""
    plain = "".join(c if c.isalnum() else "-" for c in title.casefold()).strip("-")
    stem = "-".join(part for part in plain.split("-") if part)[:40] or "plan"
    for number in range(1, 1000):
        path = folder / (f"{stem}.toml" if number == 1 else f"{stem}-{number}.toml")
        if not os.path.lexists(path):
            return path
    return folder / f"{stem}.toml"


def recent() -> tuple[Path, ...]:
    """Return the plans opened last that are still there, latest first."""
    try:
        listed = json.loads((state_folder() / "recent.json").read_text("utf-8"))
    except (OSError, ValueError):
        return ()
    if not isinstance(listed, list):
        return ()
    paths = [Path(each) for each in listed if isinstance(each, str)]
    # Path.is_file would raise where a folder may not be entered.
    return tuple(path for path in paths if os.path.isfile(path))[:MOST_RECENT]  # noqa: PTH113


def remember(path: Path) -> None:
    """Put a plan first among the recent ones; a state folder that cannot be written is no harm."""
    full = Path(os.path.abspath(path))  # noqa: PTH100 - a link stays the name the user knows
    listed = [full, *(each for each in recent() if each != full)][:MOST_RECENT]
    folder = state_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        data = json.dumps([str(each) for each in listed], ensure_ascii=False, indent=1)
        write_whole(folder / "recent.json", data.encode("utf-8", "surrogateescape"))
    except OSError:
        return
