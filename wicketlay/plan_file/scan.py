"""Where everything stands in a TOML text: key paths to lines and to spans of characters.

The text has been parsed before, so this reads valid TOML only and checks nothing.

    [drill]                      header, path ("drill",)
    speed = "95 %"   # comment   item, path ("drill", "speed"); key, value and line have spans
"""

from __future__ import annotations

import bisect
import dataclasses
import itertools
import re
from dataclasses import field
from typing import TYPE_CHECKING

from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wicketlay.keys.problems import Path

_SPACE = re.compile(r"[ \t]*")
_FILLER = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LITERAL = re.compile(r"[^\s,\]}#]+(?: [0-9][^\s,\]}#]*)?")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_ESCAPE = re.compile(r"\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|(.))")
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A key and its value, or one member of an array or of an inline table."""

    path: Path
    start: int
    value_start: int
    value_end: int
    inline: bool


@dataclasses.dataclass(slots=True, kw_only=True)
class Section:
    """What stands under one header; the first section of a text has none.

    Parameters
    ----------
    path
        The table it opens, with its place when it belongs to an array of tables.
    start
        Where its header begins.
    last
        Past the line end of its last key, or of the header when it has none.
    """

    path: Path
    start: int
    last: int


@dataclasses.dataclass(slots=True, kw_only=True)
class Map:
    """All items and sections of a text."""

    text: str
    items: dict[Path, Item] = field(default_factory=dict)
    sections: list[Section] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    firsts: dict[Path, int] = field(default_factory=dict)

    def line_at(self, position: int) -> int:
        """Return the line number, from 1, of a character."""
        return bisect.bisect_right(self.starts, position)

    def line_of(self, path: Path) -> int | None:
        """Return the line of a key, or of the nearest table around it; None for the top.

        An array of tables is where its first member is.
        """
        if not self.firsts:
            self._find_firsts()
        for end in range(len(path), 0, -1):
            found = self.firsts.get(path[:end])
            if found is not None:
                return self.line_at(found)
        return None

    def _find_firsts(self) -> None:
        """Note where each path, and each table around one, first stands."""
        places: list[Item | Section] = [*self.items.values(), *self.sections]
        for place in places:
            for end in range(1, len(place.path) + 1):
                key = place.path[:end]
                self.firsts[key] = min(place.start, self.firsts.get(key, place.start))

    def line_end(self, position: int) -> int:
        """Return the place past the end of the line that a character stands in."""
        end = self.text.find("\n", position)
        return len(self.text) if end < 0 else end + 1

    def line_start(self, position: int) -> int:
        """Return the first character of the line that a character stands in."""
        return self.text.rfind("\n", 0, position) + 1


def _unquoted(token: str) -> str:
    if token.startswith("'"):
        return token[1:-1]

    def plain(match: re.Match[str]) -> str:
        short, long, other = match.groups()
        return chr(int(short or long, 16)) if short or long else _ESCAPES.get(other, other)

    return _ESCAPE.sub(plain, token[1:-1])


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.map = Map(text=text)
        self.map.starts = [0, *(m.end() for m in re.finditer("\n", text))]
        self.at = 0
        self.arrays: dict[Path, int] = {}

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()

    def scan(self) -> Map:
        section = Section(path=(), start=0, last=0)
        self.map.sections.append(section)
        while True:
            self.skip(_FILLER)
            if self.at >= len(self.text):
                return self.map
            if self.text[self.at] == "[":
                section = self.header()
                self.map.sections.append(section)
            else:
                self.pair(section.path, inline=False)
                section.last = self.map.line_end(self.at)
                self.at = section.last

    def keys(self) -> list[str]:
        found: list[str] = []
        while True:
            self.skip(_SPACE)
            match = _STRING.match(self.text, self.at) or _BARE.match(self.text, self.at)
            if match is None:
                return found
            token = match.group()
            found.append(_unquoted(token) if token[0] in "\"'" else token)
            self.at = match.end()
            self.skip(_SPACE)
            if self.text[self.at : self.at + 1] != ".":
                return found
            self.at += 1

    def header(self) -> Section:
        start = self.at
        many = self.text.startswith("[[", self.at)
        self.at += 2 if many else 1
        keys = self.keys()
        path: Path = ()
        for key in keys[:-1]:
            path = (*path, key)
            if path in self.arrays:
                path = (*path, self.arrays[path] - 1)
        path = (*path, keys[-1])
        if many:
            count = self.arrays.get(path, 0)
            self.arrays[path] = count + 1
            path = (*path, count)
        self.at = self.map.line_end(self.at)
        return Section(path=path, start=start, last=self.at)

    def pair(self, table: Path, *, inline: bool) -> None:
        start = self.at
        path = (*table, *self.keys())
        self.skip(_SPACE)
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        value_start = self.at
        self.value(path)
        self.map.items[path] = Item(
            path=path, start=start, value_start=value_start, value_end=self.at, inline=inline
        )

    def value(self, path: Path) -> None:
        first = self.text[self.at]
        if first == "[":
            for place in self.places("]"):
                self.member((*path, place))
        elif first == "{":
            for _ in self.places("}"):
                self.pair(path, inline=True)
        else:
            match = _STRING.match(self.text, self.at) or _LITERAL.match(self.text, self.at)
            self.at = match.end() if match else self.at + 1

    def member(self, path: Path) -> None:
        start = self.at
        self.value(path)
        self.map.items[path] = Item(
            path=path, start=start, value_start=start, value_end=self.at, inline=True
        )

    def places(self, closed_by: str) -> Iterator[int]:
        """Give each place between brackets, standing where its member begins."""
        self.at += 1
        for place in itertools.count():
            self.skip(_FILLER)
            if self.text[self.at] == closed_by:
                self.at += 1
                return
            yield place
            self.skip(_FILLER)
            if self.text[self.at] == ",":
                self.at += 1


def scan(text: str) -> Map:
    """Return the places of everything in a valid TOML text."""
    return _Scanner(text).scan()
