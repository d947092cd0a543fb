"""Plan files as the workbench holds them: locked, untitled, and never half lost."""

from __future__ import annotations

import errno
import fcntl
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui import notes
from wicketlay import whole_file
from wicketlay.errors import CannotWriteError, WicketlayError
from wicketlay.plan_file import (
    PlanFile,
    PlanFileError,
    Recovery,
    discard_recovery,
    find_recovery,
    open_plan,
    write_recovery,
)
from wicketlay.plan_file.recovery import state_folder
from wicketlay.plan_file.source import fingerprint_on_disk
from wicketlay.starter import starter_text
from wicketlay.whole_file import write_whole

if TYPE_CHECKING:
    from wicketlay.plan import Plan

_MOST_UNTITLED = 99


class Lock:
    """The sign that a workbench is at a plan; the system takes it down when the program ends.

    Parameters
    ----------
    path
        The plan file.
    """

    def __init__(self, path: Path) -> None:
        self._handle: int | None = None
        self.held = self._take(path)

    def _take(self, path: Path) -> bool:
        """Return False only when another workbench is known to be at the plan."""
        folder = state_folder() / "at-work"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle = os.open(
                folder / notes.key_of(path), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600
            )
        except OSError:
            return True  # no state folder: better a workbench without the sign than none
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            os.close(handle)
            return error.errno not in {errno.EWOULDBLOCK, errno.EACCES}
        self._handle = handle
        return True

    def release(self) -> None:
        """Take the sign down."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None
        self.held = False


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
    lock: Lock
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

    def keep(self, plan: Plan, drafts: dict[str, str]) -> None:
        """Keep unsaved work, what is half typed included, or drop what was kept when none is.

        Raises
        ------
        CannotWriteError
            When it can be kept nowhere.
        """
        if self.read_only:
            return
        try:
            notes.keep_drafts(self.path, drafts)
        finally:
            # The plan may have a place where half-typed text has none.
            if plan == self.file.plan:
                discard_recovery(self.path)
            else:
                write_recovery(self.file, plan)

    def changed_on_disk(self) -> bool:
        """Return whether a file of the plan is no longer what was read."""
        fingerprints = self.file.fingerprints
        return any(
            fingerprint_on_disk(path) != fingerprints[role]
            for role, path in self.file.paths.items()
        )

    def close(self) -> None:
        """Leave the plan; an untitled one without unsaved work goes with it."""
        if self.untitled and not self.read_only and _kept(self.path) is None:
            self.path.unlink(missing_ok=True)
        self.lock.release()


def open_file(path: Path) -> OpenFile:
    """Open a plan; read-only when another workbench is at it.

    Raises
    ------
    PlanFileError
        With every problem of the file.
    """
    lock = Lock(path)
    try:
        file = open_plan(path)
    except PlanFileError:
        lock.release()
        raise
    return OpenFile(file=file, lock=lock, untitled=path.parent == _untitled_folder())


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
            lock = Lock(path)
            if not lock.held or _kept(path) is not None:
                lock.release()
                continue
            write_whole(path, starter_text().encode("utf-8"))
            return OpenFile(file=open_plan(path), lock=lock, untitled=True)
    except OSError as error:
        message = (
            f"{folder}: a new plan cannot be kept: {notes.reason_of(error)}; "
            "make a file with 'wicketlay new my-plan.toml' and open that"
        )
        raise CannotWriteError(message) from None
    message = f"{folder}: {_MOST_UNTITLED} plans are waiting unsaved; open and save some"
    raise CannotWriteError(message)


def unsaved_untitled() -> tuple[Path, ...]:
    """Return the plans without a name that hold unsaved work and that nobody is at."""
    found = []
    for path in sorted(_untitled_folder().glob("untitled-*.toml")):
        if _kept(path) is None:
            continue
        lock = Lock(path)
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
    try:
        find_recovery(path)
    except PlanFileError as error:
        damaged = Path(error.problems[0].file)
        if damaged.suffix != ".recover":
            damaged = path.resolve().parent / f".{path.resolve().name}.recover"
        aside = damaged.with_name(f"{damaged.name}.damaged")
        try:
            damaged.replace(aside)
        except OSError:
            return damaged
        return aside
    return None


def _kept(path: Path) -> Recovery | None:
    return unsaved_work(path)


def drop_unsaved(path: Path) -> None:
    """Forget the unsaved work of a plan.

    Raises
    ------
    CannotWriteError
        When it cannot be removed.
    """
    notes.keep_drafts(path, {})
    discard_recovery(path)


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
    _refuse_place(opened, path)
    lock = Lock(path)
    try:
        whole_file.new_file(path, opened.file.texts["plan"])
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


def _refuse_place(opened: OpenFile, path: Path) -> None:
    if path.suffix != ".toml":
        message = f"{path.name} should end in .toml, for example {path.stem or 'plan'}.toml"
        raise CannotWriteError(message)
    if os.path.lexists(path):
        message = f"{path} is there already; give another name, nothing was written"
        raise CannotWriteError(message)
    others = [role for role in opened.file.paths if role != "plan"]
    for role in others:
        # They are read again for the new plan: what another program wrote there would be undone.
        if fingerprint_on_disk(opened.file.paths[role]) != opened.file.fingerprints[role]:
            message = (
                f"{opened.file.paths[role]} was changed on disk since it was read; "
                "nothing was written"
            )
            raise CannotWriteError(message)
    if others and path.resolve().parent != opened.path.resolve().parent:
        message = (
            f"the plan names a {others[0]} file beside it; save it in "
            f"{opened.path.resolve().parent}"
        )
        raise CannotWriteError(message)


def read_again(opened: OpenFile) -> PlanFile:
    """Return the plan as its file says now.

    Raises
    ------
    PlanFileError
        With every problem of the file.
    """
    return open_plan(opened.path)


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
