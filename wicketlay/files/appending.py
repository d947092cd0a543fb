"""Files that only ever grow: what is told as written is on the disk, and a half line is seen.

One program appends at a time. What a killed one left half written has no line end: whoever
appends next ends it with `CUT_OFF`, so that it is neither lost nor read as if it were whole.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from wicketlay.errors import CannotWriteError
from wicketlay.files import sidecar
from wicketlay.files.locks import AT_ONCE, BusyError, locked, opened, reason_of
from wicketlay.files.whole import flush_folder

if TYPE_CHECKING:
    from collections.abc import Callable

MOST_BYTES = 8 * 1024 * 1024
"""The longest log: a hundred practices of forty runs a year, for twenty years."""
CUT_OFF = b" #cut off"
"""What stands at the end of a line that was cut off while it was written."""
SUFFIX = ".log.csv"

Place = Literal["beside", "elsewhere"]
"""Where a log lies: beside its plan, or in the state folder where that cannot be written."""
PLACES: tuple[Place, ...] = ("beside", "elsewhere")

_APPENDING = os.O_RDWR | os.O_APPEND | AT_ONCE


def log_of(plan: Path, place: Place = "beside") -> Path:
    """Return where the log of a plan lies, or lies when its folder cannot be written."""
    real = Path(os.path.realpath(plan))
    if place == "beside":
        return real.with_name(f"{real.stem}{SUFFIX}")
    return sidecar.state_folder() / f"{real.stem}.{sidecar.key_of(plan)}{SUFFIX}"


def content_of(path: Path) -> bytes | None:
    """Return all that is in a log, at most a byte more than it may hold; None without one.

    It waits for somebody who is appending, so that it never sees half of what they write.

    Raises
    ------
    OSError
        When it is there and cannot be read.
    """
    try:
        handle = opened(path)
    except FileNotFoundError:
        return None
    with os.fdopen(handle, "rb") as file, contextlib.ExitStack() as stack:
        with contextlib.suppress(CannotWriteError):  # a reader need not wait for ever
            stack.enter_context(locked(path))
        return file.read(MOST_BYTES + 1)


def append(plan: Path, place: Place, more: Callable[[bytes], bytes]) -> bytes:
    """Append to the log of a plan; on return it is on the disk, or nothing of it is in the file.

    Parameters
    ----------
    plan, place
        Whose log, and which of its places.
    more
        Gives what is appended to what is there; nobody else appends meanwhile.

    Returns
    -------
    bytes
        All that is in the file now.

    Raises
    ------
    OSError
        When it cannot be written there.
    BusyError
        When another program does not stop writing.
    """
    path = log_of(plan, place)
    if place == "elsewhere":
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle, made = _opened(path, plan)
    with os.fdopen(handle, "a+b", buffering=0) as file, contextlib.ExitStack() as stack:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "is not a file")
        try:
            stack.enter_context(locked(path))
        except BusyError:
            raise
        except CannotWriteError as error:  # it was taken away or closed this moment
            raise OSError(errno.EACCES, str(error)) from None
        file.seek(0)
        there = file.read(MOST_BYTES + 1)
        data = more(there)
        if len(there) + len(data) > MOST_BYTES:
            raise OSError(errno.EFBIG, os.strerror(errno.EFBIG))
        _write(handle, data, len(there))
    if made:
        flush_folder(path.parent)
    return there + data


def _opened(path: Path, plan: Path) -> tuple[int, bool]:
    """Open a log to append to; return whether it was made. Who may read the plan may read it."""
    for _ in range(3):
        with contextlib.suppress(FileNotFoundError):
            return os.open(path, _APPENDING), False
        mode = 0o600
        with contextlib.suppress(OSError):
            mode |= stat.S_IMODE(plan.stat().st_mode) & 0o666
        with contextlib.suppress(FileExistsError):  # another made it this moment
            return os.open(path, _APPENDING | os.O_CREAT | os.O_EXCL, mode), True
    raise OSError(errno.ENOENT, os.strerror(errno.ENOENT))  # a link to nowhere


def _write(handle: int, data: bytes, length: int) -> None:
    """Write to the end of a file and see it down to the disk, or leave it as long as it was."""
    try:
        left = memoryview(data)
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    except BaseException:
        with contextlib.suppress(OSError):
            os.ftruncate(handle, length)
        raise


def why(error: OSError) -> str:
    """Return in words why a log cannot be read or written."""
    if error.errno == errno.EFBIG:
        return f"it has {MOST_BYTES // 2**20} MiB; move it away to begin a new one"
    # of what is no file the reason is our own
    return str(error.strerror) if error.errno == errno.EINVAL else reason_of(error)


def cannot_write(plan: Path, error: OSError) -> CannotWriteError:
    """Return what is told when the log of a plan can be written nowhere."""
    return CannotWriteError(
        f"{log_of(plan)}: cannot be written: {why(error)}; nothing was written: try again"
    )
