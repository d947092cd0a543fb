"""Unsaved work, kept beside the plan so that nothing typed is ever lost.

`.NAME.recover` lies beside NAME, or in a state folder of the user's when the plan's folder
cannot be written. It holds the full text of every file with the unsaved edits in it, and the
fingerprints of the files that the edits were made on.
"""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs

from wicketlay.errors import CannotWriteError
from wicketlay.plan_file.document import read_document
from wicketlay.plan_file.locks import reason_of
from wicketlay.plan_file.problems import PlanFileError, Problem
from wicketlay.plan_file.source import (
    MOST_BYTES,
    Source,
    fingerprint_on_disk,
    read_source,
    source_of,
)
from wicketlay.values import dataclass
from wicketlay.whole_file import write_whole

if TYPE_CHECKING:
    from wicketlay.plan import Plan
    from wicketlay.plan_file.files import PlanFile

_FORMAT = 1
_ROLES = frozenset({"plan", "squad", "ground"})
_NOWHERE = Path(os.devnull, "wicketlay")
"""A folder that cannot be made: what would be kept there is told as not kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """Unsaved work that was found.

    Parameters
    ----------
    path
        The recovery file.
    plan
        The plan with its unsaved edits.
    base
        Fingerprints of the files the edits were made on, by role.
    texts
        Full text of each file with the edits made, by role.
    stale
        Whether a file was changed on disk since, so that saving needs a second look.
    """

    path: Path
    plan: Plan
    base: dict[str, str]
    texts: dict[str, str]
    stale: bool


def state_folder() -> Path:
    """Return the user's folder for what outlives a session; made when it is first written.

    Where nobody knows a home folder, it is one that cannot be made.
    """
    try:
        folder = Path(platformdirs.user_state_dir("wicketlay", appauthor=False))
    except RuntimeError:
        return _NOWHERE
    return folder if folder.is_absolute() else _NOWHERE


def remove(path: Path) -> None:
    """Remove a file if it is there to be seen.

    Looked at first: a read-only medium and a folder that may not be entered refuse to remove even
    what is not there.

    Raises
    ------
    OSError
        When it is there and cannot be removed.
    """
    try:
        path.lstat()
    except OSError:
        return
    path.unlink(missing_ok=True)


def _beside(path: Path) -> Path:
    real = Path(os.path.realpath(path))
    return real.parent / f".{real.name}.recover"


def _state(path: Path) -> Path:
    """Return the place for plans whose folder cannot be written: one name for each full path."""
    real = os.path.realpath(path)
    key = hashlib.sha256(real.encode("utf-8", "surrogateescape")).hexdigest()[:16]
    return state_folder() / f".{Path(real).name}.{key}.recover"


def write_recovery(plan_file: PlanFile, plan: Plan) -> Path:
    """Keep a plan's unsaved edits.

    Parameters
    ----------
    plan_file
        The plan as it was read.
    plan
        The plan as it is now.

    Returns
    -------
    Path
        Where it was kept.

    Raises
    ------
    CannotWriteError
        When it can be kept neither beside the plan nor in the state folder.
    """
    content = {
        "format": _FORMAT,
        "base": plan_file.fingerprints,
        "texts": plan_file.texts_for(plan),
    }
    data = json.dumps(content, ensure_ascii=False, indent=1).encode("utf-8")
    beside, state = _beside(plan_file.path), _state(plan_file.path)
    try:
        write_whole(beside, data)
    except OSError:
        pass
    else:
        return beside
    try:
        state.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(state, data)
    except OSError as error:
        reason = reason_of(error)
        message = f"{beside}: unsaved work cannot be kept: {reason}; save the plan now"
        raise CannotWriteError(message) from None
    return state


def find_recovery(path: str | Path) -> Recovery | None:
    """Return the unsaved work of a plan, None when there is none.

    Raises
    ------
    PlanFileError
        When there is some but it cannot be read; the file is left where it is.
    """
    plan_path = Path(path)
    # A folder that may not be entered holds nothing of ours, which Path.is_file would raise at.
    places = (_beside(plan_path), _state(plan_path))
    found = [each for each in places if os.path.isfile(each)]  # noqa: PTH113
    if not found:
        return None
    newest = max(found, key=lambda each: each.stat().st_mtime_ns)
    return _read(newest, plan_path)


def discard_recovery(path: str | Path) -> None:
    """Remove the unsaved work of a plan, if there is any.

    Raises
    ------
    CannotWriteError
        When it cannot be removed.
    """
    for each in (_beside(Path(path)), _state(Path(path))):
        try:
            remove(each)
        except OSError as error:
            reason = reason_of(error)
            message = f"{each}: cannot be removed: {reason}"
            raise CannotWriteError(message) from None


def _damaged(path: Path) -> PlanFileError:
    return PlanFileError(
        [
            Problem(
                file=str(path),
                message="is not unsaved work of ours, or is damaged",
                remedy="move it away to go on without it",
            )
        ]
    )


def _strings(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        return {}
    return {key: text for key, text in value.items() if key in _ROLES and isinstance(text, str)}


def _content(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as file:
            data = file.read(8 * MOST_BYTES)
        content = json.loads(data)
    except (OSError, ValueError, RecursionError):
        raise _damaged(path) from None
    if not isinstance(content, dict) or content.get("format") != _FORMAT:
        raise _damaged(path)
    return content


def _read(path: Path, plan_path: Path) -> Recovery:
    content = _content(path)
    base, texts = _strings(content.get("base")), _strings(content.get("texts"))
    if "plan" not in texts or set(texts) != set(base):
        raise _damaged(path)
    seen: dict[str, str] = {}

    def other(at: Path, name: str) -> Source:
        # The plan's own text says which of the other files this is.
        role = "squad" if "squad" in texts and "squad" not in seen else "ground"
        seen[role] = str(at)
        if role not in texts:
            return read_source(at, name)
        return source_of(texts[role].encode("utf-8"), at, name)

    own = source_of(texts["plan"].encode("utf-8"), plan_path, str(plan_path))
    document = read_document(own, other)
    return Recovery(
        path=path,
        plan=document.plan,
        base=base,
        texts=texts,
        stale=_changed_since(plan_path, seen, base),
    )


def _changed_since(plan_path: Path, others: dict[str, str], base: dict[str, str]) -> bool:
    return any(
        fingerprint_on_disk(Path(at)) != base.get(role)
        for role, at in {"plan": str(plan_path), **others}.items()
    )
