"""What the workbench notes in the state folder: recent plans, what is half typed, what was kept."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

from wicketlay.errors import CannotWriteError
from wicketlay.plan_file.recovery import remove, state_folder
from wicketlay.whole_file import write_whole

MOST_RECENT = 12


def key_of(path: Path) -> str:
    """Return a name for the notes of a plan, the same through every link to it."""
    real = os.path.realpath(path)
    return hashlib.sha256(real.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def reason_of(error: OSError) -> str:
    """Return in words why the system refused."""
    return os.strerror(error.errno).lower() if error.errno else str(error)


def recent() -> tuple[Path, ...]:
    """Return the plans opened last that are still there, latest first."""
    try:
        listed = json.loads((state_folder() / "recent.json").read_text("utf-8"))
    except (OSError, ValueError):
        return ()
    if not isinstance(listed, list):
        return ()
    paths = [Path(each) for each in listed if isinstance(each, str)]
    # Path.is_file would raise where a folder may not be entered.
    return tuple(path for path in paths if os.path.isfile(path))[:MOST_RECENT]  # noqa: PTH113


def remember(path: Path) -> None:
    """Put a plan first among the recent ones; a state folder that cannot be written is no harm."""
    full = Path(os.path.abspath(path))  # noqa: PTH100 - a link stays the name the user knows
    listed = [full, *(each for each in recent() if each != full)][:MOST_RECENT]
    folder = state_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        data = json.dumps([str(each) for each in listed], ensure_ascii=False, indent=1)
        write_whole(folder / "recent.json", data.encode("utf-8", "surrogateescape"))
    except OSError:
        return


def _drafts_path(path: Path) -> Path:
    return state_folder() / "half-typed" / f"{key_of(path)}.json"


def drafts_of(path: Path) -> dict[str, str]:
    """Return what was typed in fields of a plan and not yet taken, by field."""
    try:
        found = json.loads(_drafts_path(path).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {k: v for k, v in found.items() if isinstance(k, str) and isinstance(v, str)}


def keep_drafts(path: Path, drafts: dict[str, str]) -> None:
    """Keep what is half typed in fields of a plan, or drop it when nothing is.

    Raises
    ------
    CannotWriteError
        When it cannot be kept.
    """
    at = _drafts_path(path)
    try:
        if not drafts:
            remove(at)
            return
        at.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        data = json.dumps(drafts, ensure_ascii=False)
        write_whole(at, data.encode("utf-8", "surrogatepass"))
    except OSError as error:
        message = f"{at}: what is being typed cannot be kept: {reason_of(error)}"
        raise CannotWriteError(message) from None


def _note_path(path: Path) -> Path:
    return state_folder() / "kept-unsaved" / key_of(path)


def note_kept(path: Path) -> None:
    """Note that unsaved work was left on purpose; without a state folder it is not noted."""
    at = _note_path(path)
    try:
        at.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(at, b"")
    except OSError:
        return


def take_kept_note(path: Path) -> bool:
    """Return whether unsaved work was left on purpose, and forget it."""
    at = _note_path(path)
    try:
        at.unlink()
    except OSError:
        return False
    return True
