"""The plan a newcomer starts from, and the examples that travel with the program."""

from __future__ import annotations

import difflib
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


def starter_text() -> str:
    """Return the commented starter plan as TOML."""
    return resources.files(__name__).joinpath("starter.toml").read_text("utf-8")


def _layouts() -> Traversable:
    """Return the folder of the examples: in the wheel, or beside the source."""
    packed = resources.files(__name__).joinpath("layouts")
    return packed if packed.is_dir() else Path(__file__).parents[2] / "layouts"


def examples() -> tuple[str, ...]:
    """Return the names of the example plans."""
    files = [each for each in _layouts().iterdir() if each.name.endswith(".toml")]
    plans = [each.name for each in files if '\nkind = "plan"' in each.read_text("utf-8")]
    return tuple(sorted(name.removesuffix(".toml") for name in plans))


def example_files(name: str) -> dict[str, str]:
    """Return the text of an example plan, under "", and of the files it names, under their names.

    Raises
    ------
    UsageError
        When there is no such example, with those there are.
    """
    known = examples()
    stem = name.removesuffix(".toml")
    if stem not in known:
        near = difflib.get_close_matches(stem, known, n=1)
        there = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(known)}"
        message = f"there is no example {name!r}; {there}"
        raise UsageError(message)
    folder = _layouts()
    text = folder.joinpath(f"{stem}.toml").read_text("utf-8")
    others = (each for each in folder.iterdir() if f'"{each.name}"' in text)
    return {"": text, **{each.name: each.read_text("utf-8") for each in others}}
