"""Replacing several files: all of them or none, whatever stops the program.

    .NAME.TOKEN.part is written    a file's new text, down to the disk, then the next file's
    the sidecar holds them all     from here on whoever comes carries the save on
    .NAME.TOKEN.part becomes NAME  one after the other
    the sidecar lets go of them    the save is over

A save moves only files that the plan itself names, wherever the sidecar came from. One file alone
needs no sidecar.
"""

from __future__ import annotations

import contextlib
import dataclasses
import errno
import hashlib
import os
import stat
import time
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError, ChangedOnDiskError, WicketlayError
from wicketlay.files import sidecar
from wicketlay.files.locks import locked, opened, reason_of
from wicketlay.files.whole import beside, flush_folder, sweep, write_whole
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

MOST_BYTES = 1024 * 1024
"""The longest file of a plan."""
_SURELY_OVER_S = 60.0
"""Age of a sidecar that no save at work has, where there are no locks to tell by."""
_NOT_KEPT = frozenset({"format", sidecar.SAVING})
_LEFT = r".+\.toml(?:\.recover)?"
"""Files that a save may have been writing when it was killed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One file of a save.

    Parameters
    ----------
    role
        What the plan names it as.
    path, shown
        Where it lies, and how messages name it.
    was
        Fingerprint of what it was read as.
    becomes
        Its new bytes.
    part
        Where these lay before they took its name, once that is written down.
    """

    role: str
    path: Path
    shown: str = ""
    was: str
    becomes: bytes
    part: str = ""

    @property
    def will_be(self) -> str:
        """Fingerprint of its new bytes."""
        return fingerprint_of(self.becomes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """What became of a save that was cut off.

    Parameters
    ----------
    told
        A line that says so, "" when there was none.
    instead
        What is to be read in place of files, where the save could not be finished on disk.
    """

    told: str = ""
    instead: Mapping[Path, bytes] = field(default_factory=dict)


_NOTHING = Finished()


def fingerprint_of(data: bytes) -> str:
    """Return the SHA-256 of some bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def fingerprint_on_disk(path: Path) -> str | None:
    """Return the fingerprint of a file as it is now, None when it cannot be read or is no file."""
    try:
        with os.fdopen(opened(path), "rb") as file:
            return fingerprint_of(file.read(MOST_BYTES + 1))
    except OSError:
        return None


# -- a save ------------------------------------------------------------------------------------


def write_all(plan: Path, changes: Sequence[Change]) -> None:
    """Replace files of a plan in this order: all of them, or none when that cannot be.

    Raises
    ------
    ChangedOnDiskError
        When a file that has to be replaced is no longer what was read.
    CannotWriteError
        When a file cannot be written, or another program is saving it.
    """
    plan = _target(plan)
    changes = [dataclasses.replace(each, path=_target(each.path)) for each in changes]
    with contextlib.ExitStack() as stack:
        for target in sorted({plan, *(each.path for each in changes)}, key=str):
            stack.enter_context(locked(target))
        found = [(_fingerprint_now(each), each) for each in changes]
        if all(now == each.will_be for now, each in found):
            return  # an earlier try was finished meanwhile
        for now, each in found:
            if now != each.was:
                raise ChangedOnDiskError(
                    f"{each.shown} was changed on disk since it was read; "
                    "nothing was written: open it again and repeat the change"
                )
        _carry_out(plan, changes)


def _target(path: Path) -> Path:
    """Return the file itself behind any symbolic links, so that the link stays one."""
    try:
        return path.resolve(strict=True)
    except (OSError, RuntimeError) as error:
        circle = "its links go round in a circle"
        reason = reason_of(error) if isinstance(error, OSError) else circle
        message = f"{path}: cannot be written: {reason}; nothing was written"
        raise CannotWriteError(message) from None


def _fingerprint_now(change: Change) -> str:
    try:
        with change.path.open("rb") as file:
            return fingerprint_of(file.read(MOST_BYTES + 1))
    except OSError as error:
        message = f"{change.shown}: cannot be read again: {reason_of(error)}; nothing was written"
        raise ChangedOnDiskError(message) from None


def _carry_out(plan: Path, changes: Sequence[Change]) -> None:
    """Write the new texts beside their files, then give them their names."""
    near, at, begun = None, plan, False
    try:
        with contextlib.ExitStack() as stack:
            ready = []
            for each in changes:
                at = each.path
                if not os.access(at, os.W_OK):
                    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
                part = stack.enter_context(beside(at))
                part.stream.write(each.becomes)
                part.finish(stat.S_IMODE(at.stat().st_mode))
                ready.append((dataclasses.replace(each, part=part.path.name), part))
            at = plan
            near = _begin(plan, [each for each, _ in ready])
            # All get their names in one go, before any folder is flushed: the shorter the moment
            # in which one file is new and another old, the better.
            for each, part in ready:
                at = each.path
                part.becomes(at)
                begun = True
    except OSError as error:
        told = _rescued(near, plan, changes, begun=begun)
        if told:
            raise CannotWriteError(f"{at}: cannot be written: {reason_of(error)}; {told}") from None
    except BaseException:  # ended from outside: all of it or none
        _rescued(near, plan, changes, begun=begun)
        raise
    else:
        # The files are replaced by now; a sidecar that stays says so to the next reader.
        with contextlib.suppress(OSError):
            _end(near, plan, changes)


def _rescued(near: Path | None, plan: Path, changes: Sequence[Change], *, begun: bool) -> str:
    """Finish a save that failed half-way, or take it back; return what is to be told, or ""."""
    try:
        if begun:
            _replace(changes)
        _end(near, plan, changes)
    except OSError:
        return "save again to finish it"
    return "" if begun else "nothing was written"


def _begin(plan: Path, changes: Sequence[Change]) -> Path | None:
    """Write down what is about to be; None where that needs no writing, or cannot be.

    It cannot where the plan's folder may not be written. The plan is then not among the files; the
    others name nobody and stay right one by one.
    """
    if len(changes) == 1:
        return None
    near = sidecar.beside(plan)
    kept = sidecar.content_of(near)
    if sidecar.SAVING in (kept or {}) or (kept is None and os.path.lexists(near)):
        raise CannotWriteError(
            f"{plan}: another program is saving it; nothing was written: save again, "
            f"or take {near.name} away"
        )
    files = [
        [each.role, _seen_from(plan.parent, each.path), each.was, each.becomes.decode(), each.part]
        for each in changes
    ]
    try:
        sidecar.write(near, {**(kept or {}), sidecar.SAVING: files}, plan)
    except OSError as error:
        closed = error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}
        if closed and all(each.role != "plan" for each in changes):
            return None
        raise
    flush_folder(plan.parent)
    return near


def _seen_from(folder: Path, target: Path) -> str:
    """Return a path that stays right when the folder is moved as a whole."""
    try:
        return os.path.relpath(target, folder)
    except ValueError:  # on another drive
        return str(target)


def _replace(changes: Sequence[Change]) -> None:
    """Write the files that are still what the save found; OSError when one cannot be."""
    for each in changes:
        if fingerprint_on_disk(each.path) == each.was:
            write_whole(each.path, each.becomes, stat.S_IMODE(each.path.stat().st_mode))


def _end(near: Path | None, plan: Path, changes: Sequence[Change]) -> None:
    """Let go of a save that is over."""
    if near is not None:
        for folder in dict.fromkeys(each.path.parent for each in changes):
            flush_folder(folder)
        kept = sidecar.content_of(near) or {}
        sidecar.write(near, {k: v for k, v in kept.items() if k not in _NOT_KEPT}, plan)


# -- a save that was cut off -------------------------------------------------------------------


def finish_save(path: Path, named: Callable[[], Mapping[str, Path]]) -> Finished:
    """Finish a save of a plan that was cut off; wait for one that is at work.

    Parameters
    ----------
    path
        The plan, as it was named.
    named
        Gives the files of the plan by role, as it names them now.

    Returns
    -------
    Finished
        What was done, to be told; empty when there was no such save.
    """
    try:
        plan = Path(os.path.realpath(path))
        try:
            return _finish(path, plan, sidecar.beside(plan), named)
        finally:
            sweep(plan.parent, _LEFT)
    except (OSError, ValueError, WicketlayError):
        return _NOTHING  # what is wrong with the plan is said when it is read


def _finish(
    path: Path, plan: Path, near: Path, named: Callable[[], Mapping[str, Path]]
) -> Finished:
    if not _saving(near):
        return _NOTHING
    with contextlib.ExitStack() as stack:
        sure = stack.enter_context(locked(plan))
        if not sure and time.time() - near.lstat().st_mtime < _SURELY_OVER_S:
            return _NOTHING
        changes = _changes(_saving(near), plan.parent)
        now = named() if changes else {}
        if not changes or any(each.path != _real(now.get(each.role)) for each in changes):
            return _NOTHING  # over, or of the plan under another name, or from elsewhere
        for target in sorted({each.path for each in changes} - {plan}, key=str):
            stack.enter_context(locked(target))
        return _finished(path, plan, near, changes)


def _real(path: Path | None) -> Path | None:
    return None if path is None else Path(os.path.realpath(path))


def _saving(near: Path) -> object:
    return (sidecar.content_of(near) or {}).get(sidecar.SAVING)


def _changes(saving: object, folder: Path) -> list[Change]:
    """Return the files of a save that was cut off; ValueError when they are not ours."""
    changes = []
    for each in saving if isinstance(saving, list) else ():
        if not isinstance(each, list) or [type(part) for part in each] != [str] * 5:
            raise ValueError
        role, at, was, text, part = each
        path = Path(os.path.realpath(folder / at))
        changes.append(
            Change(role=role, path=path, was=was, becomes=text.encode("utf-8"), part=part)
        )
    return changes


def _finished(path: Path, plan: Path, near: Path, changes: Sequence[Change]) -> Finished:
    found = [(fingerprint_on_disk(each.path), each) for each in changes]
    waiting = {each.path: each.becomes for now, each in found if now == each.was}
    theirs = [each.path.name for now, each in found if now not in {each.was, each.will_be}]
    # Nothing was replaced while the first file is as it was, or its part never took the name.
    now, first = found[0]
    begun = now != first.was and not os.path.lexists(first.path.with_name(first.part))
    undone = bool(theirs) and not begun
    try:
        if not undone:
            _replace(changes)
        _end(near, plan, changes)
    except OSError as error:
        if undone:
            return _NOTHING  # nothing was replaced, and what the sidecar holds harms nobody
        told = (
            f"{path}: a save that was cut off cannot be finished here ({reason_of(error)}); "
            "it is read as if it were"
        )
        return Finished(told=told, instead=waiting)
    if undone:
        return Finished(
            told=f"{path}: a save that was cut off is undone; nothing of it was written"
        )
    told = f"{path}: a save that was cut off is finished now"
    if theirs:
        told += f"; {' and '.join(theirs)}, changed since, stayed as it was"
    return Finished(told=told)
