"""What is wrong with a file: every problem with its place, its value and its remedy."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from wicketlay.errors import InputFileError
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MOST_PROBLEMS = 50
"""Problems listed at once; more than this is a file of another kind."""

_LONGEST = 80
"""Characters of a key or of a value that a message shows."""

Path = tuple[str | int, ...]
"""Keys and places in arrays from the top of a file to a value."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong in a file.

    Parameters
    ----------
    file
        The file as the user named it.
    line
        Line number from 1, None when the whole file is meant.
    key
        Where in the file ("drill.speed", "athlete[2].height"), "" for the whole file.
    value
        The value as text, "" when there is none.
    message
        What is wrong, value included.
    allowed
        The values that would be right.
    nearest
        The known key that an unknown one looks like.
    """

    file: str
    line: int | None = None
    key: str = ""
    value: str = ""
    message: str
    allowed: str = ""
    remedy: str = ""
    nearest: str = ""

    def __str__(self) -> str:
        """Return the problem as one line."""
        place = self.file if self.line is None else f"{self.file}, line {self.line}"
        where = f"{place}: {self.key}" if self.key else place
        told = one_line(self.message, self.allowed, self.nearest, self.remedy)
        return visible(f"{where}: {told}")


def one_line(message: str, allowed: str, nearest: str, remedy: str) -> str:
    """Return what is wrong as one line, what is allowed, what was meant and what to do after it."""
    allowed = f"allowed: {allowed}" if allowed else ""
    meant = f'did you mean "{nearest}"?' if nearest else ""
    return "; ".join(filter(None, (message, allowed, meant, remedy)))


class PlanFileError(InputFileError):
    """A plan, squad or ground file has problems.

    Parameters
    ----------
    problems
        In the order of the files' lines, at most fifty.
    more
        How many were found beyond those.
    """

    def __init__(self, problems: Iterable[Problem], *, more: int = 0) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        self.more = more
        super().__init__(str(self))

    @classmethod
    def of_one(cls, file: str, message: str, remedy: str, line: int | None = None) -> PlanFileError:
        """Return the one thing that is wrong with a file that cannot be read at all."""
        return cls([Problem(file=file, line=line, message=message, remedy=remedy)])

    def __str__(self) -> str:
        """Return all problems, one a line."""
        lines = [str(problem) for problem in self.problems]
        if self.more:
            lines.append(f"and {self.more} more; put these right first")
        return "\n".join(lines)


def visible(text: str) -> str:
    """Return text with everything spelled out that a terminal would act on or hide."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def shown_key(path: Path) -> str:
    """Return a path as people read it: ``athlete[2].flying.time``, counted from 1."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            name = part if len(part) <= _LONGEST else f"{part[:_LONGEST]}..."
            text += f".{name}" if text else name
    return text


def shown_value(value: object) -> str:
    """Return a value as a file would hold it, cut short when it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = visible(value[:_LONGEST])
        return f'"{text}"' if len(value) <= _LONGEST else f'"{text}..."'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "an array"
    if isinstance(value, int) and abs(value) >= 10**40:
        return "a number of more than 40 digits"  # thousands of them cannot even be written out
    text = str(value)
    return text if len(text) <= 40 else f"{text[:40]}..."


def nearest_of(word: str, known: Sequence[str]) -> str:
    """Return the known word that looks most like `word`, "" when none does."""
    close = difflib.get_close_matches(word[:80].casefold(), known, n=1, cutoff=0.6)
    return close[0] if close else ""
