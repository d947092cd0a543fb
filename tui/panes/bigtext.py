"""Readings and names large enough to call across a lane: a bitmap font drawn with blocks."""

from __future__ import annotations

import unicodedata

_GLYPHS: dict[str, tuple[str, ...]] = {
    "0": (".##.", "#..#", "#..#", "#..#", "#..#", ".##."),
    "1": (".#.", "##.", ".#.", ".#.", ".#.", "###"),
    "2": ("###.", "...#", "..#.", ".#..", "#...", "####"),
    "3": ("###.", "...#", ".##.", "...#", "...#", "###."),
    "4": ("#..#", "#..#", "####", "...#", "...#", "...#"),
    "5": ("####", "#...", "###.", "...#", "...#", "###."),
    "6": (".##.", "#...", "###.", "#..#", "#..#", ".##."),
    "7": ("####", "...#", "..#.", "..#.", ".#..", ".#.."),
    "8": (".##.", "#..#", ".##.", "#..#", "#..#", ".##."),
    "9": (".##.", "#..#", "#..#", ".###", "...#", ".##."),
    ".": (".", ".", ".", ".", ".", "#"),
    "/": ("..#", "..#", ".#.", ".#.", "#..", "#.."),
    "f": (".##", ".#.", "###", ".#.", ".#.", ".#."),
    "t": (".#.", ".#.", "###", ".#.", ".#.", ".##"),
    "i": ("#", ".", "#", "#", "#", "#"),
    "n": ("....", "....", "###.", "#..#", "#..#", "#..#"),
    "W": ("#...#", "#...#", "#...#", "#.#.#", "##.##", "#...#"),
    " ": ("..", "..", "..", "..", "..", ".."),
}
_LETTERS: dict[str, tuple[str, ...]] = _GLYPHS | {
    "A": (".##.", "#..#", "#..#", "####", "#..#", "#..#"),
    "B": ("###.", "#..#", "###.", "#..#", "#..#", "###."),
    "C": (".###", "#...", "#...", "#...", "#...", ".###"),
    "D": ("###.", "#..#", "#..#", "#..#", "#..#", "###."),
    "E": ("####", "#...", "###.", "#...", "#...", "####"),
    "F": ("####", "#...", "###.", "#...", "#...", "#..."),
    "G": (".###", "#...", "#...", "#.##", "#..#", ".###"),
    "H": ("#..#", "#..#", "####", "#..#", "#..#", "#..#"),
    "I": ("###", ".#.", ".#.", ".#.", ".#.", "###"),
    "J": ("..##", "...#", "...#", "...#", "#..#", ".##."),
    "K": ("#..#", "#.#.", "##..", "#.#.", "#..#", "#..#"),
    "L": ("#...", "#...", "#...", "#...", "#...", "####"),
    "M": ("#...#", "##.##", "#.#.#", "#...#", "#...#", "#...#"),
    "N": ("#...#", "##..#", "#.#.#", "#..##", "#...#", "#...#"),
    "O": (".##.", "#..#", "#..#", "#..#", "#..#", ".##."),
    "P": ("###.", "#..#", "#..#", "###.", "#...", "#..."),
    "Q": (".##.", "#..#", "#..#", "#..#", "#.##", ".###"),
    "R": ("###.", "#..#", "#..#", "###.", "#.#.", "#..#"),
    "S": (".###", "#...", ".##.", "...#", "...#", "###."),
    "T": ("#####", "..#..", "..#..", "..#..", "..#..", "..#.."),
    "U": ("#..#", "#..#", "#..#", "#..#", "#..#", ".##."),
    "V": ("#...#", "#...#", "#...#", ".#.#.", ".#.#.", "..#.."),
    "X": ("#...#", ".#.#.", "..#..", "..#..", ".#.#.", "#...#"),
    "Y": ("#...#", ".#.#.", "..#..", "..#..", "..#..", "..#.."),
    "Z": ("####", "...#", "..#.", ".#..", "#...", "####"),
    "-": ("...", "...", "###", "...", "...", "..."),
}
"""Of names; a mark is never drawn by its letters, its reading is what is large."""
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
PIXEL_ROWS = 6


def has_glyphs(text: str, *, name: bool = False) -> bool:
    """Return whether every character of a reading, or of a name, can be drawn large."""
    return all(character in (_LETTERS if name else _GLYPHS) for character in text)


def plain(name: str) -> str:
    """Return a name in capitals without accents, as far as there are glyphs for it."""
    apart = unicodedata.normalize("NFKD", name.upper())
    return "".join(each for each in apart if not unicodedata.combining(each))


def small(text: str) -> tuple[str, ...]:
    """Return three lines of half blocks; every character must have a glyph."""
    rows = _pixels(text)
    return tuple(
        "".join(_HALVES[upper, lower] for upper, lower in zip(rows[i], rows[i + 1], strict=True))
        for i in range(0, PIXEL_ROWS, 2)
    )


def large(text: str) -> tuple[str, ...]:
    """Return six lines of full blocks, twice as large; every character must have a glyph."""
    return tuple("".join("██" if on else "  " for on in row) for row in _pixels(text))


def fitting(text: str, width: int, height: int, *, name: bool = False) -> tuple[str, ...]:
    """Return the largest drawing of `text` that fits; the text itself when none does."""
    if has_glyphs(text, name=name):
        for draw in (large, small):
            lines = draw(text)
            if len(lines) <= height and len(lines[0]) <= width:
                return lines
    return (text,)


def _pixels(text: str) -> list[list[bool]]:
    """Return the rows of pixels, one column between characters."""
    rows: list[list[bool]] = [[] for _ in range(PIXEL_ROWS)]
    for place, character in enumerate(text):
        for row, bits in zip(rows, _LETTERS[character], strict=True):
            if place:
                row.append(False)
            row.extend(bit == "#" for bit in bits)
    return rows
