"""Files that are whole or not there: written beside their name, then given it."""

from __future__ import annotations

import errno
import fcntl
import os
import re
import stat
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from wicketlay.errors import CannotWriteError

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def whole_file(path: Path, *, replaces: bytes) -> Iterator[BinaryIO]:
    """Open a file beside `path` that takes its name only when everything was written.

    Parameters
    ----------
    path
        Where the file is to be.
    replaces
        An existing file is replaced only when it begins with these bytes.

    Raises
    ------
    CannotWriteError
        When the place cannot be written, or holds something else.
    """
    target = _behind_links(path)
    _refuse_other(target, path, replaces)
    try:
        with _beside(target) as (temporary, stream):
            yield stream
            os.fchmod(stream.fileno(), 0o666 & ~_umask())
            _finish(stream)
            temporary.replace(target)
    except OSError as error:
        raise CannotWriteError(_reason(path, error)) from error


def write_whole(path: Path, data: bytes) -> None:
    """Write a small file whole, or leave what was there; for files that are ours alone.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    with _beside(path) as (temporary, stream):
        stream.write(data)
        _finish(stream)
        temporary.replace(path)


def new_file(path: Path, text: str) -> None:
    """Write a file that must not exist yet.

    Raises
    ------
    CannotWriteError
        When it exists or cannot be written.
    """
    try:
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
        with _beside(path) as (temporary, stream):
            stream.write(text.encode("utf-8"))
            os.fchmod(stream.fileno(), 0o666 & ~_umask())
            _finish(stream)
            _name_new(temporary, path)
    except FileExistsError as error:
        message = f"{path} exists already; give another name, nothing was changed"
        raise CannotWriteError(message) from error
    except OSError as error:
        raise CannotWriteError(_reason(path, error)) from error


@contextmanager
def _beside(target: Path) -> Iterator[tuple[Path, BinaryIO]]:
    """Give a file beside another to write to and rename; it is gone afterwards if it was not."""
    sweep(target)
    temporary, handle = _locked_temporary(target)
    try:
        with os.fdopen(handle, "wb") as stream:
            yield temporary, stream
    finally:
        temporary.unlink(missing_ok=True)


def _locked_temporary(target: Path) -> tuple[Path, int]:
    """Make a file that carries a lock for as long as its writer lives."""
    while True:
        prefix = f".{target.name.lstrip('.')}."
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=prefix, suffix=".part")
        with suppress(OSError):  # without locks nothing is swept either
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.fstat(handle).st_nlink:
            return Path(name), handle
        os.close(handle)  # swept by another writer before it had its lock


def sweep(target: Path) -> None:
    """Remove what writers of a file that were killed left beside it; living ones hold a lock."""
    left = re.compile(rf"\.{re.escape(target.name.lstrip('.'))}\.[a-z0-9_]{{8}}\.part")
    with suppress(OSError):
        for each in target.parent.iterdir():
            if left.fullmatch(each.name):
                with suppress(OSError):
                    _sweep_one(each)


def _sweep_one(temporary: Path) -> None:
    handle = os.open(temporary, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK | os.O_NOFOLLOW)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        temporary.unlink()
    finally:
        os.close(handle)


def _finish(stream: BinaryIO) -> None:
    """See everything written down to the disk."""
    stream.flush()
    os.fsync(stream.fileno())


def _name_new(temporary: Path, path: Path) -> None:
    """Give a file a name that is not taken; FileExistsError when it is."""
    try:
        path.hardlink_to(temporary)
    except FileExistsError:
        raise
    except OSError:
        # A medium without hard links: somebody else may be a moment quicker there.
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from None
        temporary.replace(path)


def _behind_links(path: Path) -> Path:
    """Return the file a symbolic link stands for, so that the link stays one."""
    try:
        return path.resolve() if path.is_symlink() else path
    except RuntimeError as error:  # what Path makes of a circle in older versions of Python
        raise CannotWriteError(_reason(path, OSError(errno.ELOOP, ""))) from error
    except OSError as error:
        raise CannotWriteError(_reason(path, error)) from error


def _refuse_other(target: Path, shown: Path, replaces: bytes) -> None:
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return
    except OSError as error:
        raise CannotWriteError(_reason(shown, error)) from error
    if not stat.S_ISREG(mode):
        message = f"{shown} is not a file; give the name of a file to write"
        raise CannotWriteError(message)
    try:
        if not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        with target.open("rb") as stream:
            begins = stream.read(len(replaces))
    except OSError as error:
        raise CannotWriteError(_reason(shown, error)) from error
    if begins and begins != replaces:
        message = f"{shown} exists and is not a PDF; give another name, nothing was changed"
        raise CannotWriteError(message)


def _reason(path: Path, error: OSError) -> str:
    folder = path.parent
    if error.errno == errno.ENOENT and not folder.exists():
        return (
            f"cannot write {path}: folder {folder} does not exist; make it or choose another; "
            "nothing was left half-written"
        )
    circle = error.errno == errno.ELOOP
    why = "its links go round in a circle" if circle else (error.strerror or str(error)).lower()
    return f"cannot write {path}: {why}; nothing was left half-written"


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
