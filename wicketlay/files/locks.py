"""Opening files without ever waiting for them, and locks on files, on any system."""

from __future__ import annotations

import contextlib
import errno
import importlib
import os
import stat
import time
from typing import TYPE_CHECKING, Any

from wicketlay.errors import CannotWriteError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PATIENCE_S = 2.0
"""How long one waits for a save at work, which takes milliseconds."""
AT_ONCE = sum(getattr(os, name, 0) for name in ("O_CLOEXEC", "O_NONBLOCK", "O_BINARY"))
"""What was a file may have become a pipe that nobody writes to; text stays as it is."""
NO_LINKS: int = getattr(os, "O_NOFOLLOW", 0)
_TAKEN = frozenset({errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK})


def _where_there_is(module: str) -> Any:  # noqa: ANN401 - mypy knows one system's
    try:
        return importlib.import_module(module)
    except ImportError:
        return None


_fcntl, _msvcrt = _where_there_is("fcntl"), _where_there_is("msvcrt")
RENAMED_OPEN = _fcntl is not None
"""Whether a file that is open can be renamed, replaced and removed."""


class BusyError(CannotWriteError):
    """Another program holds the lock of a file."""


def reason_of(error: OSError) -> str:
    """Return in words why the system refused."""
    return os.strerror(error.errno).lower() if error.errno else str(error)


def opened(path: Path, flags: int = 0) -> int:
    """Open a regular file for reading; OSError when it is not there or is none."""
    handle = os.open(path, os.O_RDONLY | AT_ONCE | flags)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise OSError(errno.EINVAL, "is no longer a file")
    return handle


def take(handle: int) -> bool:
    """Lock an open file until it is closed; return False where there are no locks.

    Raises
    ------
    BlockingIOError
        When another holds the lock.
    """
    try:
        if _fcntl is not None:
            _fcntl.flock(handle, _fcntl.LOCK_EX | _fcntl.LOCK_NB)
        elif _msvcrt is not None:
            _msvcrt.locking(handle, _msvcrt.LK_NBLCK, 1)
        else:
            return False
    except OSError as error:
        if error.errno in _TAKEN:
            raise BlockingIOError(*error.args) from None
        return False  # some network folders have none
    return True


@contextlib.contextmanager
def locked(target: Path) -> Iterator[bool]:
    """Hold an exclusive lock on a file, after a short wait; gives whether there are locks there.

    The file itself is locked, so nothing is left behind. Whoever waited finds, by inode, that
    the file was replaced, and locks the new one. Where an open file cannot be replaced, a file
    beside it is locked.

    Raises
    ------
    BusyError
        When another program holds the lock.
    CannotWriteError
        When the file cannot be opened.
    """
    if not (_fcntl or _msvcrt):
        os.close(_sign(target, target))
        yield False
        return
    until = time.monotonic() + PATIENCE_S
    sign = target if RENAMED_OPEN else target.with_name(f".{target.name}.lock")
    while True:
        handle = _sign(target, sign)
        try:
            sure = take(handle)
            if _still(handle, sign):
                break
        except BlockingIOError:
            if time.monotonic() > until:
                os.close(handle)
                message = f"{target}: another program is saving it; nothing was written: save again"
                raise BusyError(message) from None
            time.sleep(0.01)
        os.close(handle)
    try:
        yield sure
    finally:
        os.close(handle)
        if sign is not target:
            with contextlib.suppress(OSError):  # another waits for it
                sign.unlink()


def _sign(target: Path, sign: Path) -> int:
    try:
        handle = opened(target)
        if sign is not target:
            os.close(handle)
            handle = os.open(sign, os.O_RDWR | os.O_CREAT | AT_ONCE, 0o666)
    except OSError as error:
        reason = error.strerror if error.errno == errno.EINVAL else reason_of(error)
        message = f"{target}: cannot be written: {reason}; nothing was written"
        raise CannotWriteError(message) from None
    return handle


def _still(handle: int, sign: Path) -> bool:
    """Return whether a handle is still the file of that name, or there is none any more."""
    try:
        return os.path.samestat(os.fstat(handle), sign.stat())
    except OSError:
        return True  # gone: the comparison says so


class Sign:
    """The sign that a program is at something; the system takes it down when the program ends.

    Parameters
    ----------
    path
        The file that is locked for it, made where it is missing.
    """

    def __init__(self, path: Path) -> None:
        self._handle: int | None = None
        self.held = self._take(path)

    def _take(self, path: Path) -> bool:
        """Return False only when another program is known to be there."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._handle = os.open(path, os.O_RDWR | os.O_CREAT | AT_ONCE, 0o600)
            take(self._handle)
        except BlockingIOError:
            self.release()
            return False
        except OSError:
            pass  # nowhere to put it up: better a workbench without the sign than none
        return True

    def release(self) -> None:
        """Take the sign down."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None
        self.held = False
