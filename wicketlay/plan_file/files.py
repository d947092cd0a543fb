"""Opening a plan, and saving it without ever leaving half a file or losing another's work."""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import stat
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError, ChangedOnDiskError
from wicketlay.plan_file.changes import changed_texts
from wicketlay.plan_file.document import Document, read_document
from wicketlay.plan_file.problems import PlanFileError
from wicketlay.plan_file.source import (
    MOST_BYTES,
    Source,
    fingerprint_of,
    read_source,
    source_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wicketlay.plan import Plan
    from wicketlay.running.athlete import Athlete


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """A plan and the file it was read from.

    Parameters
    ----------
    plan
        What the file says.
    path
        The file, as it was named.
    fingerprint
        SHA-256 of its bytes.
    """

    plan: Plan
    path: Path
    fingerprint: str
    _document: Document = field(repr=False, compare=False)

    @property
    def squad(self) -> tuple[Athlete, ...]:
        """Every athlete of the squad, also those who do not run today."""
        return self._document.squad

    @property
    def paths(self) -> dict[str, Path]:
        """The files by role: "plan", and "squad" and "ground" where they are files."""
        return {role: opened.source.path for role, opened in self._document.files.items()}

    @property
    def texts(self) -> dict[str, str]:
        """The text of each file by role, as it was read."""
        return {role: opened.source.text for role, opened in self._document.files.items()}

    @property
    def fingerprints(self) -> dict[str, str]:
        """The SHA-256 of each file's bytes by role."""
        return {role: opened.fingerprint for role, opened in self._document.files.items()}

    def texts_for(self, plan: Plan) -> dict[str, str]:
        """Return the text every file would have if `plan` were saved, by role.

        Raises
        ------
        CannotWriteError
            When a plan file could not hold the plan.
        """
        return self.texts | self._checked(plan)[0]

    def save(self, plan: Plan) -> PlanFile:
        """Write what changed, in the plan or in the squad and ground files it names.

        Only keys whose value changed are rewritten. Each file is replaced whole.

        Raises
        ------
        ChangedOnDiskError
            When a file that has to be written is no longer what was read.
        CannotWriteError
            When a file cannot be written, or cannot hold the plan.
        """
        changed, document = self._checked(plan)
        if changed:
            _write_all(self._document, changed)
        return PlanFile(
            plan=document.plan,
            path=self.path,
            fingerprint=document.files["plan"].fingerprint,
            _document=document,
        )

    def _checked(self, plan: Plan) -> tuple[dict[str, str], Document]:
        """Return the changed texts, and the document they read as: exactly `plan`."""
        changed = changed_texts(self._document, plan)
        try:
            document = _reread(self._document, changed)
        except PlanFileError as error:
            message = f"{self.path}: the plan cannot be saved, nothing was written: {error}"
            raise CannotWriteError(message) from error
        if document.plan != plan:
            message = (
                f"{self.path}: the plan cannot be saved, nothing was written: "
                "the file would not read as the plan again"
            )
            raise CannotWriteError(message)
        return changed, document


def _reread(document: Document, changed: Mapping[str, str]) -> Document:
    """Read a document again with some of its texts changed, from memory."""
    sources: dict[Path, Source] = {}
    for role, opened in document.files.items():
        source = opened.source
        if role in changed:
            source = source_of(source.to_bytes(changed[role]), source.path, source.shown)
        sources[source.path] = source
    return read_document(
        sources[document.files["plan"].source.path], lambda path, _shown: sources[path]
    )


def open_plan(path: str | Path) -> PlanFile:
    """Read a plan and the squad and ground files it names.

    Parameters
    ----------
    path
        The plan file.

    Returns
    -------
    PlanFile
        With the plan, and what is needed to save it.

    Raises
    ------
    PlanFileError
        With every problem at once, each with file, line, key, value and remedy.
    """
    at = Path(path)
    document = read_document(read_source(at, str(at)), read_source)
    return PlanFile(
        plan=document.plan,
        path=at,
        fingerprint=document.files["plan"].fingerprint,
        _document=document,
    )


def load(path: str | Path) -> Plan:
    """Return the plan of a file; PlanFileError as for `open_plan`."""
    return open_plan(path).plan


def _reason(error: OSError) -> str:
    return os.strerror(error.errno).lower() if error.errno else str(error)


def _write_all(document: Document, changed: Mapping[str, str]) -> None:
    """Replace the changed files: all are locked, compared and prepared before the first is.

    The plan goes last: it may name what the others only then hold.
    """
    roles = sorted(changed, key=lambda role: role == "plan")
    targets = {role: _target(document.files[role].source.path) for role in roles}
    with contextlib.ExitStack() as stack:
        for role in sorted(roles, key=lambda role: str(targets[role])):
            stack.enter_context(locked(targets[role]))
        prepared: list[tuple[Path, Path]] = []
        try:
            for role in roles:
                source = document.files[role].source
                _compare(targets[role], source)
                data = source.to_bytes(changed[role])
                prepared.append((_prepare(targets[role], data), targets[role]))
            # All get their names in one go, before any folder is flushed: the shorter the moment
            # in which one file is new and another old, the better.
            while prepared:
                _replace(*prepared[0])
                prepared.pop(0)
            for folder in dict.fromkeys(target.parent for target in targets.values()):
                _flush(folder)
        finally:
            for temporary, _ in prepared:
                temporary.unlink(missing_ok=True)


def _target(path: Path) -> Path:
    """Return the file itself behind any symbolic links, so that the link stays one."""
    try:
        return path.resolve(strict=True)
    except (OSError, RuntimeError) as error:
        reason = _reason(error) if isinstance(error, OSError) else "its links go round in a circle"
        message = f"{path}: cannot be written: {reason}; nothing was written"
        raise CannotWriteError(message) from None


@contextlib.contextmanager
def locked(target: Path) -> Iterator[None]:
    """Hold an exclusive lock on a file while it is compared and replaced.

    The file itself is locked, so nothing is left behind. Whoever waited finds, by inode, that
    the file was replaced, and locks the new one.

    Raises
    ------
    CannotWriteError
        When another program holds the lock, or the file cannot be opened.
    """
    handle = _lock(target)
    while not _still(handle, target):
        os.close(handle)
        handle = _lock(target)
    try:
        yield
    finally:
        os.close(handle)


def _lock(target: Path) -> int:
    """Open a file and take its lock; closing the handle gives it back."""
    try:
        # Without waiting: the file may have become a pipe that nobody writes to.
        handle = os.open(target, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
    except OSError as error:
        message = f"{target}: cannot be written: {_reason(error)}; nothing was written"
        raise CannotWriteError(message) from None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        message = f"{target}: cannot be written: is no longer a file; nothing was written"
        raise CannotWriteError(message)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        # Some network folders have no locks at all; the comparison still holds there.
        if error.errno in {errno.EWOULDBLOCK, errno.EACCES}:
            os.close(handle)
            message = f"{target}: another program is saving it; nothing was written: save again"
            raise CannotWriteError(message) from None
    return handle


def _still(handle: int, target: Path) -> bool:
    """Return whether a handle is still the file of that name, or there is none any more."""
    try:
        return os.path.samestat(os.fstat(handle), target.stat())
    except OSError:
        return True  # gone: the comparison says so


def _compare(target: Path, source: Source) -> None:
    try:
        with target.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        message = f"{source.shown}: cannot be read again: {_reason(error)}; nothing was written"
        raise ChangedOnDiskError(message) from None
    if fingerprint_of(data) != source.fingerprint:
        message = (
            f"{source.shown} was changed on disk since it was read; nothing was written: "
            "open it again and repeat the change"
        )
        raise ChangedOnDiskError(message)


def _prepare(target: Path, data: bytes) -> Path:
    """Write a file's new bytes beside it, down to the disk, with its permissions."""
    temporary: Path | None = None
    try:
        mode = stat.S_IMODE(target.stat().st_mode)
        if not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fchmod(file.fileno(), mode)
            os.fsync(file.fileno())
    except OSError as error:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        message = f"{target}: cannot be written: {_reason(error)}; nothing was written"
        raise CannotWriteError(message) from None
    return temporary


def _replace(temporary: Path, target: Path) -> None:
    try:
        temporary.replace(target)
    except OSError as error:
        message = f"{target}: cannot be written: {_reason(error)}"
        raise CannotWriteError(message) from None


def _flush(folder: Path) -> None:
    # The files are replaced by now. Where a folder cannot be flushed it will be soon, and a save
    # that is told as failed would be tried again on a file that has changed.
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def write_new(path: Path, data: bytes) -> None:
    """Write a small file whole, or leave what was there; for files that are ours alone.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    handle, name = tempfile.mkstemp(
        prefix=f".{path.name.lstrip('.')}.", suffix=".new", dir=path.parent
    )
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
