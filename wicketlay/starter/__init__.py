"""The plan a newcomer starts from, and the examples that travel with the program."""

from __future__ import annotations

import difflib
import itertools
import re
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


def examples() -> dict[str, str]:
    """Return the examples by name, each with its first sentence: plans, practices, squads, grounds.

    They are sorted; what an example is stands in the comment it begins with.
    """
    files = {each.name: each for each in _layouts().iterdir() if each.name.endswith(".toml")}
    return {
        name.removesuffix(".toml"): _first_sentence(files[name].read_text("utf-8"))
        for name in sorted(files)
    }


def _first_sentence(text: str) -> str:
    comment = itertools.takewhile(lambda line: line.startswith("#"), text.splitlines())
    told = " ".join(line.removeprefix("#").strip() for line in comment)
    return re.split(r"(?<=\.) ", told, maxsplit=1)[0]


def example_files(name: str) -> dict[str, str]:
    """Return the text of an example, under "", and of all files it leads to, under their names.

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
        raise UsageError(f"there is no example {name!r}; {there}")
    texts = {f"{each}.toml": "" for each in known}
    for each in texts:
        texts[each] = _layouts().joinpath(each).read_text("utf-8")
    found, to_follow = {"": texts[f"{stem}.toml"]}, [texts[f"{stem}.toml"]]
    while to_follow:
        text = to_follow.pop()
        for other in texts.keys() - found.keys():
            if f'"{other}"' in text:
                found[other] = texts[other]
                to_follow.append(texts[other])
    return found
