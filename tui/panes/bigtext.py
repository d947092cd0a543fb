"""Readings large enough to call across a lane: a bitmap font drawn with blocks."""

from __future__ import annotations

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
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
PIXEL_ROWS = 6


def has_glyphs(text: str) -> bool:
    """Return whether every character of `text` can be drawn large."""
    return all(character in _GLYPHS for character in text)


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


def fitting(text: str, width: int, height: int) -> tuple[str, ...]:
    """Return the largest drawing of `text` that fits; the text itself when none does."""
    if has_glyphs(text):
        for draw in (large, small):
            lines = draw(text)
            if len(lines) <= height and len(lines[0]) <= width:
                return lines
    return (text,)


def _pixels(text: str) -> list[list[bool]]:
    """Return the rows of pixels, one column between characters."""
    rows: list[list[bool]] = [[] for _ in range(PIXEL_ROWS)]
    for place, character in enumerate(text):
        for row, bits in zip(rows, _GLYPHS[character], strict=True):
            if place:
                row.append(False)
            row.extend(bit == "#" for bit in bits)
    return rows
