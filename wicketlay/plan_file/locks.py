"""Locks on files while they are compared and replaced."""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import stat
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class BusyError(CannotWriteError):
    """Another program holds the lock of a file."""


def reason_of(error: OSError) -> str:
    """Return in words why the system refused."""
    return os.strerror(error.errno).lower() if error.errno else str(error)


@contextlib.contextmanager
def locked(target: Path) -> Iterator[bool]:
    """Hold an exclusive lock on a file; gives whether there are locks where it lies.

    The file itself is locked, so nothing is left behind. Whoever waited finds, by inode, that
    the file was replaced, and locks the new one.

    Raises
    ------
    BusyError
        When another program holds the lock.
    CannotWriteError
        When the file cannot be opened.
    """
    handle = _opened(target)
    try:
        sure = _lock(handle, target)
        while not _still(handle, target):
            os.close(handle)
            handle = _opened(target)
            sure = _lock(handle, target)
        yield sure
    finally:
        os.close(handle)


def _opened(target: Path) -> int:
    try:
        # Without waiting: the file may have become a pipe that nobody writes to.
        handle = os.open(target, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
    except OSError as error:
        message = f"{target}: cannot be written: {reason_of(error)}; nothing was written"
        raise CannotWriteError(message) from None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        message = f"{target}: cannot be written: is no longer a file; nothing was written"
        raise CannotWriteError(message)
    return handle


def _lock(handle: int, target: Path) -> bool:
    """Take the lock of a file that is open; closing the handle gives it back."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in {errno.EWOULDBLOCK, errno.EACCES}:
            message = f"{target}: another program is saving it; nothing was written: save again"
            raise BusyError(message) from None
        return False  # some network folders have no locks; the comparison still holds there
    return True


def _still(handle: int, target: Path) -> bool:
    """Return whether a handle is still the file of that name, or there is none any more."""
    try:
        return os.path.samestat(os.fstat(handle), target.stat())
    except OSError:
        return True  # gone: the comparison says so
