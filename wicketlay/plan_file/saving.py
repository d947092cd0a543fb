"""Writing the changed files of a plan: all of them or none, whatever stops the program.

A journal beside the plan says which files a save is about to replace, so that whoever comes
after a killed program can tell how far it came:

    .PLAN.saving is written        nothing has happened yet; a torn journal says the same
    .NAME.TOKEN.new is written     a file's new text, down to the disk, then the next file's
    .NAME.TOKEN.new becomes NAME   from the first of these on the save is carried on, before
                                   it is undone
    .PLAN.saving is removed        the save is over

A journal moves only files that the plan itself names, wherever the journal came from.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import re
import secrets
import stat
import time
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError, ChangedOnDiskError
from wicketlay.plan_file.locks import BusyError, locked, reason_of
from wicketlay.plan_file.problems import PlanFileError
from wicketlay.plan_file.references import named_files
from wicketlay.plan_file.source import (
    MOST_BYTES,
    Source,
    fingerprint_of,
    fingerprint_on_disk,
    parse,
    read_source,
)
from wicketlay.values import dataclass
from wicketlay.whole_file import sweep

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_FORMAT = 1
_MOST_BYTES = 64 * 1024
_TOKEN = re.compile(r"[0-9a-f]{8}")
_PATIENCE_S = 2.0
"""How long a reader waits for a save at work, which takes milliseconds."""
_SURELY_OVER_S = 60.0
"""Age of a journal that no save at work has, where there are no locks to tell by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What became of a save that was cut off.

    Parameters
    ----------
    told
        A line that says so, "" when there was none.
    instead
        Files to be read in place of others, where the save could not be finished on disk.
    """

    told: str = ""
    instead: Mapping[Path, Path] = field(default_factory=dict)


_NOTHING = Settled()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """One file of a save: itself behind any links, its new text, SHA-256 of its old one."""

    target: Path
    temporary: Path
    was: str

    @property
    def waits(self) -> bool:
        """True while the new text lies beside the file."""
        return os.path.lexists(self.temporary)

    @property
    def untouched(self) -> bool:
        """True while the file is what the save found."""
        return fingerprint_on_disk(self.target) == self.was


def _step(target: Path, token: str, was: str) -> _Step:
    return _Step(target=target, temporary=target.with_name(f".{target.name}.{token}.new"), was=was)


def _journal_of(plan: Path) -> Path:
    return plan.with_name(f".{plan.name}.saving")


# -- a save ------------------------------------------------------------------------------------


def write_all(sources: Mapping[str, Source], changed: Mapping[str, str]) -> None:
    """Replace the changed files of a plan: all of them, or none when that cannot be.

    The plan goes last: it may name what the others only then hold.

    Parameters
    ----------
    sources
        Every file of the plan by role, as it was read.
    changed
        The new text of those that change, by role.

    Raises
    ------
    ChangedOnDiskError
        When a file that has to be replaced is no longer what was read.
    CannotWriteError
        When a file cannot be written, or another program is saving it.
    """
    plan = _target(sources["plan"].path)
    roles = sorted(changed, key=lambda role: role == "plan")
    targets = {role: _target(sources[role].path) for role in roles}
    texts = {role: sources[role].to_bytes(changed[role]) for role in roles}
    settle(sources["plan"].path)
    with contextlib.ExitStack() as stack:
        for target in sorted({plan, *targets.values()}, key=str):
            stack.enter_context(locked(target))
        found = {role: _fingerprint_now(targets[role], sources[role].shown) for role in roles}
        if all(found[role] == fingerprint_of(texts[role]) for role in roles):
            return  # an earlier try was finished meanwhile
        for role in roles:
            if found[role] != sources[role].fingerprint:
                message = (
                    f"{sources[role].shown} was changed on disk since it was read; "
                    "nothing was written: open it again and repeat the change"
                )
                raise ChangedOnDiskError(message)
            sweep(targets[role])
        token = secrets.token_hex(4)
        steps = [_step(targets[role], token, sources[role].fingerprint) for role in roles]
        journal = _begin(plan, roles, steps, token)
        _carry_out(journal, steps, list(texts.values()))


def _target(path: Path) -> Path:
    """Return the file itself behind any symbolic links, so that the link stays one."""
    try:
        return path.resolve(strict=True)
    except (OSError, RuntimeError) as error:
        reason = (
            reason_of(error) if isinstance(error, OSError) else "its links go round in a circle"
        )
        message = f"{path}: cannot be written: {reason}; nothing was written"
        raise CannotWriteError(message) from None


def _fingerprint_now(target: Path, shown: str) -> str:
    try:
        with target.open("rb") as file:
            return fingerprint_of(file.read(MOST_BYTES + 1))
    except OSError as error:
        message = f"{shown}: cannot be read again: {reason_of(error)}; nothing was written"
        raise ChangedOnDiskError(message) from None


def _begin(plan: Path, roles: Sequence[str], steps: Sequence[_Step], token: str) -> Path | None:
    """Write the journal of a save; None where the plan's folder may not be written.

    The plan is then not among the files; the others name nobody and stay right one by one.
    """
    journal = _journal_of(plan)
    files = [
        [role, os.path.relpath(step.target, plan.parent), step.was]
        for role, step in zip(roles, steps, strict=True)
    ]
    data = json.dumps({"format": _FORMAT, "token": token, "files": files}).encode("utf-8")
    try:
        _write_new(journal, data, 0o644)
    except FileExistsError:
        message = (
            f"{plan}: another program is saving it; nothing was written: save again, "
            f"or take {journal.name} away"
        )
        raise CannotWriteError(message) from None
    except OSError as error:
        if "plan" not in roles and error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
            return None
        message = f"{plan}: cannot be written: {reason_of(error)}; nothing was written"
        raise CannotWriteError(message) from None
    _flush(plan.parent)
    return journal


def _write_new(path: Path, data: bytes, mode: int) -> None:
    """Write a file that is not there, down to the disk; OSError when it cannot be."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fchmod(file.fileno(), mode)
            os.fsync(file.fileno())
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _carry_out(journal: Path | None, steps: Sequence[_Step], texts: Sequence[bytes]) -> None:
    """Write the new texts beside their files, then give them their names."""
    at = steps[0]
    try:
        for at, text in zip(steps, texts, strict=True):
            if not os.access(at.target, os.W_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            _write_new(at.temporary, text, stat.S_IMODE(at.target.stat().st_mode))
        # All get their names in one go, before any folder is flushed: the shorter the moment
        # in which one file is new and another old, the better.
        for at in steps:
            at.temporary.replace(at.target)
    except OSError as error:
        begun = _begun(steps)
        with contextlib.suppress(OSError):
            _finish_or_undo(journal, steps)
            if begun:
                return
        after = "save again to finish it" if begun else "nothing was written"
        message = f"{at.target}: cannot be written: {reason_of(error)}; {after}"
        raise CannotWriteError(message) from None
    except BaseException:  # ended from outside: all of it or none
        with contextlib.suppress(OSError):
            _finish_or_undo(journal, steps)
        raise
    # The files are replaced by now; a journal that stays says so to the next reader.
    with contextlib.suppress(OSError):
        _finish_or_undo(journal, steps)


def _begun(steps: Sequence[_Step]) -> bool:
    """Return whether the first file of a save was replaced."""
    return not steps[0].waits and not steps[0].untouched


def _finish_or_undo(journal: Path | None, steps: Sequence[_Step]) -> None:
    """Replace the files that wait, or drop their new texts when the first was not replaced.

    A file that somebody changed since the save keeps what they wrote.
    """
    begun = _begun(steps)
    for step in steps:
        if step.waits and begun and step.untouched:
            step.temporary.replace(step.target)
        elif step.waits:
            step.temporary.unlink()
    for folder in dict.fromkeys(step.target.parent for step in steps):
        _flush(folder)
    if journal is not None:
        journal.unlink(missing_ok=True)


def _flush(folder: Path) -> None:
    # Where a folder cannot be flushed it will be soon, and a save that is told as failed would
    # be tried again on files that have changed.
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# -- a save that was cut off -------------------------------------------------------------------


def settle(path: Path) -> Settled:
    """Finish or undo a save of a plan that was cut off; wait for one that is at work.

    Parameters
    ----------
    path
        The plan, as it was named.

    Returns
    -------
    Settled
        What was done, to be told; empty when there was no such save.
    """
    until = time.monotonic() + _PATIENCE_S
    try:
        plan = Path(os.path.realpath(path))
        journal = _journal_of(plan)
        while os.path.lexists(journal):
            try:
                return _settle(path, plan, journal)
            except BusyError:
                if time.monotonic() > until:
                    break
                time.sleep(0.01)
    except (OSError, ValueError, CannotWriteError, PlanFileError):
        pass  # what is wrong with the plan is said when it is read
    return _NOTHING


def _settle(path: Path, plan: Path, journal: Path) -> Settled:
    with contextlib.ExitStack() as stack:
        sure = stack.enter_context(locked(plan))
        if not os.path.lexists(journal):
            return _NOTHING  # it was at work and is over
        if not sure and time.time() - journal.lstat().st_mtime < _SURELY_OVER_S:
            return _NOTHING
        files = _entries(journal)
        if files is None:
            journal.unlink()
            return _undone(path)
        named = {"plan": path, **named_files(parse(read_source(path, str(path))), path.parent)}
        token, entries = files
        steps = []
        for role, at, was in entries:
            target = Path(os.path.realpath(plan.parent / at))
            if role not in named or Path(os.path.realpath(named[role])) != target:
                return _NOTHING  # of the plan under another name, or from elsewhere
            steps.append(_step(target, token, was))
        for target in sorted({step.target for step in steps} - {plan}, key=str):
            stack.enter_context(locked(target))
        return _settled(path, journal, steps)


def _settled(path: Path, journal: Path, steps: Sequence[_Step]) -> Settled:
    begun = _begun(steps)
    theirs = [step.target.name for step in steps if begun and step.waits and not step.untouched]
    try:
        _finish_or_undo(journal, steps)
    except OSError as error:
        if not begun:
            return _NOTHING  # nothing was replaced, and what lies beside the files harms nobody
        waiting = {step.target: step.temporary for step in steps if step.waits and step.untouched}
        told = (
            f"{path}: a save that was cut off cannot be finished here ({reason_of(error)}); "
            "it is read as if it were"
        )
        return Settled(told=told, instead=waiting)
    if not begun:
        return _undone(path)
    told = f"{path}: a save that was cut off is finished now"
    if theirs:
        told += f"; {' and '.join(theirs)}, changed since, stayed as it was"
    return Settled(told=told)


def _undone(path: Path) -> Settled:
    return Settled(told=f"{path}: a save that was cut off is undone; nothing of it was written")


def _entries(journal: Path) -> tuple[str, list[tuple[str, str, str]]] | None:
    """Return the token and the (role, file, SHA-256) of a journal; None when it is torn."""
    handle = os.open(journal, os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK | os.O_NOFOLLOW)
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        data = file.read(_MOST_BYTES)
    try:
        content = json.loads(data)
        token, files = content["token"], [tuple(each) for each in content["files"]]
    except (ValueError, TypeError, KeyError, RecursionError):
        return None
    whole = all(len(each) == 3 and all(isinstance(part, str) for part in each) for each in files)
    known = content.get("format") == _FORMAT and isinstance(token, str) and _TOKEN.fullmatch(token)
    return (token, files) if files and whole and known else None
