"""What the terminal shows, cell by cell: of a frame only cells that change are written.

A workbench at the track is looked at over a telephone's line as well. What the library draws anew
is a whole widget, each piece of it with all of its style; what stands there already is left out
here, and of a style only what differs from the one before it is said.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from rich.cells import cell_len

if TYPE_CHECKING:
    from textual.driver import Driver

_TOKEN = re.compile(
    r"\x1b\[(?P<style>[\d;]*)m|\x1b\[(?P<y>\d+);(?P<x>\d+)H|(?P<text>[^\x1b\x00-\x1f]+)"
    r"|(?P<line>\n)|(?P<other>\x1b\[[0-?]*[ -/]*[@-~]|\x1b[]P^_][^\x07\x1b]*(?:\x07|\x1b\\)"
    r"|\x1b.|[\x00-\x1f])",
    re.DOTALL,
)
_KEPT = re.compile(r"\x1b\[\?(?!1049)\d+(?:[hl]|\$p)|\x1b\].*|\x07", re.DOTALL)
"""Modes, titles and the bell change no cell. The other screen, and what is not known, may."""
_CUT = re.compile(r"\x1b(?:\[[0-?]*[ -/]*|[]P^_][^\x07\x1b]*\x1b?)?\Z")
"""What a write may break off in."""
_SHELL_BACK = "\x1b[?1049l"
"""The screen that was there before is back, and the cursor in its place."""
_ALL_SAID = 5
"""Parts of a style from which a colour follows: 38 or 48, 2, and three numbers."""


class Shown:
    """What the terminal shows, as far as it is known."""

    def __init__(self) -> None:
        self._rows: dict[int, list[tuple[str, str] | None]] = {}
        self._pen = _Pen()
        self._x, self._y, self._style = 0, -1, ""  # above the first row: nobody has said where
        self._cut = ""

    def forget(self) -> None:
        """Count on nothing: the terminal was resized, or somebody else wrote on it."""
        self._rows = {}
        self._pen.lost()

    def changes(self, data: str) -> str:
        """Return what makes the terminal show what `data` would make it show."""
        data = self._cut + data
        cut = _CUT.search(data)
        self._cut = cut.group() if cut else ""
        for token in _TOKEN.finditer(data, 0, len(data) - len(self._cut)):
            kind, text = token.lastgroup, token.group()
            if kind == "style":
                self._style = token["style"].strip("0") and token["style"]
            elif kind == "x":
                self._x, self._y = int(token["x"]) - 1, int(token["y"]) - 1
            elif kind == "line" and self._y >= 0:
                self._y += 1
            elif kind == "text" and self._y >= 0:
                self._text(text)
            else:
                self._pen.say(text)
                if not _KEPT.fullmatch(text):
                    self.forget()
                if text == _SHELL_BACK:
                    self._y = -1  # the cursor is where the shell had it
        if self._y >= 0:
            self._pen.rest(self._x, self._y)
        return self._pen.written()

    def _text(self, text: str) -> None:
        """Write what changes of a piece of text."""
        x, y, style = self._x, self._y, self._style
        row = self._rows.setdefault(y, [])
        if not _one_each(text):  # how wide such a character is drawn, the terminal alone knows
            del row[x:]
            self._pen.write(x, y, text, style)
            self._pen.lost()
            self._x += cell_len(text)
            return
        end = x + len(text)
        row += [None] * (end - len(row))
        cells = [(character, style) for character in text]
        before, row[x:end] = row[x:end], cells
        for place, (was, now) in enumerate(zip(before, cells, strict=True), start=x):
            if was != now:
                self._pen.write(place, y, now[0], style)
        self._x = end


class _Pen:
    """Writes text at places, in styles, in as few characters as it takes."""

    def __init__(self) -> None:
        self._pieces: list[str] = []
        self._at: tuple[int, int] | None = None
        self._style = ""

    def write(self, x: int, y: int, text: str, style: str) -> None:
        """Write a piece of text of one style."""
        self._go(x, y)
        if style != self._style:
            self._pieces.append(_turned(self._style, style))
            self._style = style
        self._pieces.append(text)
        self._at = x + len(text), y

    def say(self, text: str) -> None:
        """Write what is no text."""
        self._pieces.append(text)

    def lost(self) -> None:
        """Count on no place of the cursor."""
        self._at = None

    def rest(self, x: int, y: int) -> None:
        """Leave the cursor at a place, in no style."""
        self._go(x, y)
        if self._style:
            self._pieces.append("\x1b[0m")
            self._style = ""

    def written(self) -> str:
        """Return all of it, and begin anew."""
        text = "".join(self._pieces)
        self._pieces.clear()
        return text

    def _go(self, x: int, y: int) -> None:
        if self._at == (x, y):
            return
        ahead = 0 if self._at is None or self._at[1] != y else x - self._at[0]
        self._pieces.append(f"\x1b[{ahead}C" if ahead > 0 else f"\x1b[{y + 1};{x + 1}H")
        self._at = x, y


@lru_cache(maxsize=4096)
def _one_each(text: str) -> bool:
    """Return whether each character takes one cell."""
    return text.isascii() or all(cell_len(character) == 1 for character in text)


@lru_cache(maxsize=4096)
def _turned(before: str, after: str) -> str:
    """Return what makes one style of another: what differs, or all of it where something ends."""
    if not after:
        return "\x1b[0m"
    was, now = _parts(before), _parts(after)
    ends = was.keys() - now.keys()
    said = [part for what, part in now.items() if ends or was.get(what) != part]
    return f"\x1b[{';'.join(['0', *said] if ends else said)}m"


def _parts(style: str) -> dict[str, str]:
    """Return a style's colours and attributes by what they are."""
    numbers = style.split(";") if style else []
    parts: dict[str, str] = {}
    while numbers:
        first = numbers[0]
        many = 1
        if first in {"38", "48"}:
            many = _ALL_SAID if numbers[1:2] == ["2"] else 3
        code = int(first or 0)
        ground = first == "48" or 40 <= code <= 49 or 100 <= code <= 107
        letters = first == "38" or 30 <= code <= 39 or 90 <= code <= 97
        parts["ground" if ground else "letters" if letters else first] = ";".join(numbers[:many])
        del numbers[:many]
    return parts


def sparing(driver: type[Driver], shown: Shown) -> type[Driver]:
    """Return a driver that writes what changes and no more."""

    class Sparing(driver):  # type: ignore[valid-type, misc]  # a driver for each system
        """The system's driver."""

        def write(self, data: str) -> None:
            """Write what changes."""
            super().write(shown.changes(data))

    made: type[Any] = Sparing
    return made
