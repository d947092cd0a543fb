"""The plans opened last, noted in the state folder."""

from __future__ import annotations

import json
import os
from pathlib import Path

from wicketlay.files.sidecar import state_folder
from wicketlay.files.whole import write_whole

MOST_RECENT = 12


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
