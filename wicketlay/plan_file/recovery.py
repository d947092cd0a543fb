"""Unsaved work, kept in the sidecar of the plan so that nothing typed is ever lost.

It holds the full text of every file with the unsaved edits in it, the fingerprints of the files
that the edits were made on, and what was typed that is no plan yet.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.errors import CannotWriteError
from wicketlay.files import sidecar
from wicketlay.files.locks import reason_of
from wicketlay.files.saving import fingerprint_on_disk
from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file.document import read_document
from wicketlay.plan_file.source import Source, read_source, source_of
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan import Plan
    from wicketlay.plan_file.files import PlanFile

_ROLES = frozenset({"plan", "squad", "ground"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """Unsaved work that was found.

    Parameters
    ----------
    plan
        The plan with its unsaved edits.
    stale
        Whether a file was changed on disk since, so that saving needs a second look.
    """

    path: Path
    plan: Plan
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OnGround:
    """What lies on the ground in a practice, while the plan proposes something else.

    Parameters
    ----------
    entry
        The last number of its log when this was so.
    plan
        The plan as it was laid.
    """

    day: date
    entry: int
    plan: Plan


def write_recovery(
    plan_file: PlanFile,
    plan: Plan,
    typed: Mapping[str, Any] | None = None,
    ground: OnGround | None = None,
) -> Path | None:
    """Keep a plan's unsaved edits and what is typed; what was kept before goes.

    Parameters
    ----------
    plan
        The plan as it is now; nothing of it is kept when it is what the file says.
    typed
        What was typed that is no plan yet, for JSON.
    ground
        What lies on the ground instead of the plan, None when that is the plan.

    Returns
    -------
    Path or None
        Where it was kept; None when there is nothing to keep.

    Raises
    ------
    CannotWriteError
        When it can be kept neither beside the plan nor in the state folder.
    """
    parts: dict[str, Any] = {"typed": dict(typed)} if typed else {}
    if plan != plan_file.plan:
        base, texts = plan_file.unsaved(plan)
        parts |= {"base": base, "texts": texts}
    if ground is not None:
        base, texts = plan_file.unsaved(ground.plan)
        noted = {"day": ground.day.isoformat(), "entry": ground.entry}
        parts["ground"] = noted | {"base": base, "texts": texts}
    kept = _keep(plan_file.path, parts)
    return kept if parts else None


def _keep(path: Path, parts: Mapping[str, Any]) -> Path:
    try:
        return sidecar.keep(path, parts)
    except OSError as error:
        what = "unsaved work cannot be kept" if parts else "cannot be removed"
        after = "; save the plan now" if parts else ""
        raise CannotWriteError(
            f"{sidecar.beside(path)}: {what}: {reason_of(error)}{after}"
        ) from None


def find_recovery(path: str | Path) -> Recovery | None:
    """Return the unsaved work of a plan, None when there is none.

    Raises
    ------
    PlanFileError
        When there is some but it cannot be read; the file is left where it is.
    """
    plan_path = Path(path)
    found = sidecar.found(plan_path)
    if found is None:
        return None
    content = sidecar.content_of(found)
    if content is None:
        raise _damaged(found)
    return _read(found, content, plan_path)


def typed_in(path: str | Path) -> dict[str, Any]:
    """Return what was typed at a plan and is no plan yet; none where it cannot be read."""
    found = sidecar.found(Path(path))
    typed = (sidecar.content_of(found) or {}).get("typed") if found is not None else None
    return typed if isinstance(typed, dict) else {}


def find_ground(path: str | Path) -> OnGround | None:
    """Return what lies on the ground of a practice instead of the plan; None when that is the plan.

    What is noted of it and cannot be read is not told: nothing that was typed is lost by it.
    """
    plan_path = Path(path)
    found = sidecar.found(plan_path)
    part = (sidecar.content_of(found) or {}).get("ground") if found is not None else None
    if found is None or not isinstance(part, dict):
        return None
    try:
        day, entry = date.fromisoformat(part["day"]), int(part["entry"])
        recovery = _read(found, part, plan_path)
    except (KeyError, TypeError, ValueError, PlanFileError):
        return None
    return None if recovery is None else OnGround(day=day, entry=entry, plan=recovery.plan)


def discard_recovery(path: str | Path) -> None:
    """Remove all that is kept of a plan, if there is any.

    Raises
    ------
    CannotWriteError
        When it cannot be removed.
    """
    _keep(Path(path), {})


def _damaged(path: Path) -> PlanFileError:
    message = "is not unsaved work of ours, or is damaged"
    return PlanFileError.of_one(str(path), message, "move it away to go on without it")


def _strings(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        return {}
    return {key: text for key, text in value.items() if key in _ROLES and isinstance(text, str)}


def _read(path: Path, content: Mapping[str, Any], plan_path: Path) -> Recovery | None:
    if "texts" not in content and content.keys() & {"typed", "ground", sidecar.SAVING}:
        return None
    base, texts = _strings(content.get("base")), _strings(content.get("texts"))
    if "plan" not in texts or set(texts) != set(base):
        raise _damaged(path)
    seen = {"plan": str(plan_path)}

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
        stale=any(fingerprint_on_disk(Path(at)) != base.get(role) for role, at in seen.items()),
    )
