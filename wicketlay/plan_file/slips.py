"""What a line that is not TOML was most likely meant to be, in words for who wrote it."""

from __future__ import annotations

import re

_LONGEST = 80
"""Characters of a line that is still a slip of the pen and not a file of another kind."""
_CURLY = frozenset("\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u00ab\u00bb")
_TWICE = re.compile(r"cannot declare \((.*?),?\) twice")
_COLON = re.compile(r"([\w-]+)\s*:\s*(\S.*)")
_PAIR = re.compile(r"([\w.-]+)\s*=\s*(.*)")
_NO_EQUALS = re.compile(r"([\w-]+)\s+([\"'\d].*)")
_NUMBERS = re.compile(r"[0-9]+(?:, +[0-9]+)+")
_DAY = re.compile(r"[0-9]{1,2}([./-])[0-9]{1,2}\1[0-9]{4}")
_WORD = re.compile(r"[\w-]+")
_HEADER = re.compile(r"(\[{1,2})\s*([\w.-]+)\s*\]?")


def likely_meant(line: str, reason: str) -> str:
    """Return what to do about a line, "" when nothing can be told from it.

    Parameters
    ----------
    line
        The line, as it stands in the file.
    reason
        What the parser had to say of it, in lower case.
    """
    text = line.partition("#")[0].strip()
    if not text or len(text) > _LONGEST:
        return ""
    if _CURLY & set(text):
        return 'write straight quotation marks, as in "1.66 m"'
    twice = _TWICE.search(reason)
    if twice is not None:
        name = ".".join(re.findall(r"'([^']*)'", twice[1]))
        if name == "athlete":
            return "write [[athlete]] above each athlete, with two brackets"
        return f"[{name}] stands twice: make it one table"
    pair = _PAIR.fullmatch(text)
    return _unpaired(text) if pair is None else _paired(pair[1], pair[2], reason)


def _paired(key: str, value: str, reason: str) -> str:
    """Return what to do about a line that has its equals sign."""
    if not value or reason == "cannot overwrite a value":
        twice = f"{key} stands twice in its table: take one out"
        return twice if value else f"give {key} a value"
    if value.count('"') % 2:
        return "a quotation mark is missing"
    if not set(value) & set("\"'[]{}"):
        if _NUMBERS.fullmatch(value):
            return f"several stand in brackets, [{value}], and only where a key takes several"
        day = f"write a day as year-month-day: {key} = 2026-03-04"
        return day if _DAY.fullmatch(value) else f'write {key} = "{value}"'
    closed = value.find(value[0], 1) + 1 if value[0] in "\"'" else 0
    if closed and value[closed:].strip():
        return f"nothing may stand behind {value[:closed]}; write the next key below it"
    return ""


def _unpaired(text: str) -> str:
    """Return what to do about a line that has none."""
    found = _COLON.fullmatch(text) or _NO_EQUALS.fullmatch(text)
    if found is not None:
        return f"write {found[1]} = {found[2]}"
    header = _HEADER.fullmatch(text)
    if header is not None:
        return f"write {header[1]}{header[2]}{']' * len(header[1])}"
    if _WORD.fullmatch(text):
        return f"write [{text}] for a table, or give {text} a value"
    return ""
