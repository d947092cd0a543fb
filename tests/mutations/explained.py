"""Survivors that make no difference, each with its reason; kept in `explained.toml`."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.mutations.mutants import Change

ANY = "*"
"""Stands for every module or function of a room, or for whatever a line was turned into."""

TABLE = Path(__file__).with_name("explained.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """A line whose change into any of `now` makes no difference that a test could see, and why."""

    module: str
    function: str
    was: str
    now: tuple[str, ...]
    why: str

    def covers(self, change: Change) -> bool:
        """Return whether this is the reason for that change."""
        return (
            self.module in {change.module, ANY}
            and self.function in {change.function, ANY}
            and self.was == change.was
            and (change.now in self.now or self.now == (ANY,))
        )


def explanations(room: str) -> list[Explained]:
    """Return what is explained of a room."""
    with TABLE.open("rb") as file:
        rows = tomllib.load(file)[room]
    return [
        Explained(
            module=row["module"],
            function=row["function"],
            was=row["was"],
            now=tuple(row["now"]),
            why=row["why"],
        )
        for row in rows
    ]
