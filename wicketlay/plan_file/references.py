"""Names of other files in a plan: near it, regular, and nothing else."""

from __future__ import annotations

import contextlib
import stat
from typing import TYPE_CHECKING

from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.problems import shown_value
from wicketlay.plan_file.source import nearest_file

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


def relative_name(value: object) -> str:
    """Return a name of another file that stays near the plan; UnfitError otherwise."""
    if not isinstance(value, str) or not value.strip():
        raise UnfitError(
            f"{shown_value(value)} is not the name of a file",
            remedy='write it such as "squad.toml"',
        )
    for character in value:
        if not character.isprintable():
            raise UnfitError(f"{shown_value(value)} holds a hidden character", remedy="take it out")
    parts = value.split("/")
    if value.startswith(("/", "~")) or "\\" in value or ":" in parts[0]:
        raise UnfitError(
            f"{shown_value(value)} is not a relative path",
            remedy="name it from the plan's folder, with / between folders",
        )
    if ".." in parts[1:]:
        raise UnfitError(
            f"{shown_value(value)} leaves the plan's folder",
            allowed="at most one ../ at the beginning",
        )
    if not value.endswith(".toml"):
        raise UnfitError(f"{shown_value(value)} is not a .toml file", remedy="name a .toml file")
    return value


def check_regular(target: Path, value: object) -> None:
    """Refuse what is not there, and folders, pipes and devices; UnfitError then."""
    try:
        mode = target.stat().st_mode
    except (OSError, ValueError):
        near = nearest_file(target)
        raise UnfitError(
            f"{shown_value(value)} is not there",
            nearest=f"{str(value).rpartition('/')[0]}/{near}".lstrip("/") if near else "",
            remedy="names are relative to the plan's folder",
        ) from None
    if not stat.S_ISREG(mode):
        raise UnfitError(f"{shown_value(value)} is not a regular file", remedy="name a .toml file")


def named_files(raw: Mapping[str, object], folder: Path) -> dict[str, Path]:
    """Return the files that a plan in a folder names, by role, where the name is a good one."""
    ground = raw.get("ground")
    names = {
        "squad": raw.get("squad"),
        "ground": ground.get("file") if isinstance(ground, dict) else None,
    }
    found = {}
    for role, name in names.items():
        with contextlib.suppress(UnfitError):
            found[role] = folder / relative_name(name)
    return found
