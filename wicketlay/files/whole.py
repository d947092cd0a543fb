"""Files that are whole or not there: written beside their name, then given it."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import signal
import stat
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from wicketlay.errors import CannotWriteError
from wicketlay.files.locks import NO_LINKS, RENAMED_OPEN, opened, take

if TYPE_CHECKING:
    from collections.abc import Iterator


class Part:
    """A file beside another, written first and then given its name.

    Parameters
    ----------
    path
        Where it lies.
    stream
        What is written to it.
    """

    def __init__(self, path: Path, stream: BinaryIO) -> None:
        self.path = path
        self.stream = stream

    def finish(self, mode: int | None = None) -> None:
        """See everything written down to the disk, with these permissions."""
        self.stream.flush()
        if mode is not None:
            self.path.chmod(mode)
        os.fsync(self.stream.fileno())
        if not RENAMED_OPEN:
            self.stream.close()

    def becomes(self, target: Path) -> None:
        """Take the place of a file."""
        self.path.replace(target)


@contextlib.contextmanager
def whole_file(
    path: Path, *, replaces: bytes, holding: bytes = b"", noun: str = "PDF"
) -> Iterator[BinaryIO]:
    """Open a file beside `path` that takes its name only when everything was written.

    Parameters
    ----------
    path
        Where the file is to be.
    replaces
        An existing file is replaced only when it begins with these bytes.
    holding
        And when these stand in it.
    noun
        What such a file is called.

    Raises
    ------
    CannotWriteError
        When the place cannot be written, or holds something else.
    """
    target = _behind_links(path)
    found = _refuse_other(target, path, replaces, noun)
    if found and holding not in found:
        raise CannotWriteError(
            f"{path} is a {noun}, but not of this plan; give another name, or say --force in the "
            "shell; nothing was changed"
        )
    try:
        with beside(target) as part:
            yield part.stream
            part.finish(_for_all())
            part.becomes(target)
    except OSError as error:
        raise CannotWriteError(_reason(path, error)) from error


def own_mark(whose: str) -> str:
    """Return what a file of ours holds so that it is known again as one of the same plan."""
    return f"wicketlay {hashlib.sha256(whose.encode()).hexdigest()[:16]}"


def write_whole(path: Path, data: bytes, mode: int | None = None) -> None:
    """Write a small file whole, or leave what was there; for us alone where no mode is given.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    with beside(path) as part:
        part.stream.write(data)
        part.finish(mode)
        part.becomes(path)


def flush_folder(folder: Path) -> None:
    """See the names in a folder written down to the disk, where it can be flushed.

    Where it cannot it will be soon, and a save that is told as failed would be tried again on
    files that have changed.
    """
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


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
        with beside(path) as part:
            part.stream.write(text.encode("utf-8"))
            part.finish(_for_all())
            _name_new(part.path, path)
    except FileExistsError as error:
        message = f"{path} exists already; give another name, nothing was changed"
        raise CannotWriteError(message) from error
    except OSError as error:
        raise CannotWriteError(_reason(path, error)) from error


@contextlib.contextmanager
def beside(target: Path) -> Iterator[Part]:
    """Give a file beside another to write to and rename; it is gone afterwards if it was not."""
    sweep(target.parent, re.escape(target.name.lstrip(".")))
    temporary = None
    try:
        with _undisturbed():
            temporary, handle = _locked_temporary(target)
        with os.fdopen(handle, "wb") as stream:
            yield Part(temporary, stream)
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Let no signal come between a file that is made and knowing that it is there."""
    mask = getattr(signal, "pthread_sigmask", None)
    if mask is None:
        yield
        return
    before = mask(signal.SIG_BLOCK, ())
    try:
        mask(signal.SIG_BLOCK, signal.valid_signals())  # one that came just before ends it here
        yield
    finally:
        mask(signal.SIG_SETMASK, before)


def _locked_temporary(target: Path) -> tuple[Path, int]:
    """Make a file that carries a lock for as long as its writer lives."""
    while True:
        prefix = f".{target.name.lstrip('.')}."
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=prefix, suffix=".part")
        try:
            with contextlib.suppress(BlockingIOError):
                take(handle)
        except BaseException:  # an interruption, too
            Path(name).unlink(missing_ok=True)
            raise
        if os.fstat(handle).st_nlink:
            return Path(name), handle
        os.close(handle)  # swept by another writer before it had its lock


def sweep(folder: Path, names: str) -> None:
    """Remove what writers that were killed left beside files; living ones hold a lock.

    Parameters
    ----------
    folder
        Where to look.
    names
        A pattern of the files that were to be written, without leading dots.
    """
    left = re.compile(rf"\.(?:{names})\.[a-z0-9_]{{8}}\.part")
    with contextlib.suppress(OSError):
        for name in os.listdir(folder):  # noqa: PTH208 - folders may hold thousands
            if left.fullmatch(name):
                with contextlib.suppress(OSError):
                    _sweep_one(folder / name)


def _sweep_one(temporary: Path) -> None:
    handle = opened(temporary, NO_LINKS)
    with contextlib.ExitStack() as closing:
        closing.callback(os.close, handle)
        if take(handle):
            if not RENAMED_OPEN:
                closing.close()
            temporary.unlink()


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


def _refuse_other(target: Path, shown: Path, replaces: bytes, noun: str) -> bytes:
    """Return what a file to be replaced holds; CannotWriteError when it is none of ours."""
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise CannotWriteError(_reason(shown, error)) from error
    if not stat.S_ISREG(mode):
        raise CannotWriteError(f"{shown} is not a file; give the name of a file to write")
    try:
        if not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        with target.open("rb") as stream:
            found = stream.read(len(replaces))
            found += stream.read() if found == replaces else b""
    except OSError as error:
        raise CannotWriteError(_reason(shown, error)) from error
    if found and not found.startswith(replaces):
        message = f"{shown} exists and is not a {noun}; give another name, nothing was changed"
        raise CannotWriteError(message)
    return found


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


def _for_all() -> int:
    """Return the permissions of a file that anybody makes."""
    current = os.umask(0)
    os.umask(current)
    return 0o666 & ~current
