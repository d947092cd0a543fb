"""The sidecar of a plan: what is unsaved, half typed and being saved, in one file beside it.

`.NAME.recover` lies beside NAME, or in a state folder of the user's when the plan's folder
cannot be written. It is a JSON object of parts; whoever writes one part leaves the others.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs

from wicketlay.errors import CannotWriteError
from wicketlay.files.locks import NO_LINKS, BusyError, locked, opened
from wicketlay.files.whole import write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping

MOST_BYTES = 16 * 1024 * 1024
SAVING = "saving"
"""The part that a save of several files writes, and that others leave alone."""
_FORMAT = 1
_NOWHERE = Path(os.devnull, "wicketlay")
"""A folder that cannot be made: what would be kept there is told as not kept."""


def state_folder() -> Path:
    """Return the user's folder for what outlives a session; made when it is first written.

    Where nobody knows a home folder, it is one that cannot be made.
    """
    try:
        folder = Path(platformdirs.user_state_dir("wicketlay", appauthor=False))
    except RuntimeError:
        return _NOWHERE
    return folder if folder.is_absolute() else _NOWHERE


def key_of(path: Path) -> str:
    """Return a name for what is noted of a plan, the same through every link to it."""
    real = os.path.realpath(path)
    return hashlib.sha256(real.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def beside(plan: Path) -> Path:
    """Return where the sidecar of a plan lies, if the folder can be written."""
    real = Path(os.path.realpath(plan))
    return real.parent / f".{real.name}.recover"


def elsewhere(plan: Path) -> Path:
    """Return its place where that cannot be: one name for each full path."""
    return state_folder() / f".{Path(os.path.realpath(plan)).name}.{key_of(plan)}.recover"


def found(plan: Path) -> Path | None:
    """Return the sidecar that was written last, None when there is none."""
    # A folder that may not be entered holds nothing of ours, which Path.is_file would raise at.
    there = [each for each in (beside(plan), elsewhere(plan)) if os.path.isfile(each)]  # noqa: PTH113
    return max(there, key=lambda each: each.stat().st_mtime_ns, default=None)


def content_of(sidecar: Path) -> dict[str, Any] | None:
    """Return the parts of a sidecar, None when it cannot be read or is not one of ours."""
    try:
        with os.fdopen(opened(sidecar, NO_LINKS), "rb") as file:
            content = json.loads(file.read(MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return None
    return content if isinstance(content, dict) and content.get("format") == _FORMAT else None


def write(sidecar: Path, parts: Mapping[str, Any], plan: Path) -> None:
    """Write the parts of a sidecar, or remove it when there are none; OSError when that fails.

    Who may read the plan may read what becomes of it.
    """
    if not parts:
        remove(sidecar)
        return
    content = {"format": _FORMAT, **parts}
    data = json.dumps(content, ensure_ascii=False, indent=1).encode("utf-8", "surrogatepass")
    mode = None
    with contextlib.suppress(OSError):
        mode = stat.S_IMODE(plan.stat().st_mode) & 0o666 | 0o600
    write_whole(sidecar, data, mode)


def keep(plan: Path, parts: Mapping[str, Any]) -> Path:
    """Put parts in the place of all that is kept of a plan, but for a save that is going on.

    Returns
    -------
    Path
        Where they were kept.

    Raises
    ------
    OSError
        When they can be kept nowhere.
    BusyError
        When another program is saving the plan.
    """
    near, far = beside(plan), elsewhere(plan)
    with contextlib.ExitStack() as stack:
        try:
            stack.enter_context(locked(Path(os.path.realpath(plan))))
        except BusyError:
            raise
        except CannotWriteError:
            pass  # the plan is gone: what was typed is not
        saving = (content_of(near) or {}).get(SAVING)
        try:
            write(near, {**parts, SAVING: saving} if saving else parts, plan)
        except OSError:
            if parts:
                far.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
                write(far, parts, plan)
                return far
            remove(far)
            raise
        remove(far)
    return near


def remove(path: Path) -> None:
    """Remove a file if it is there to be seen; OSError when it cannot be.

    Looked at first: a read-only medium and a folder that may not be entered refuse to remove even
    what is not there.
    """
    try:
        path.lstat()
    except OSError:
        return
    path.unlink(missing_ok=True)
