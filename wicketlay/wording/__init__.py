"""Findings in words, in the reader's unit."""

from __future__ import annotations

import difflib
import importlib
import math
from functools import cache
from string import Formatter
from typing import TYPE_CHECKING

from wicketlay.findings import by_gravity
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_duration,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_time,
)
from wicketlay.values import dataclass, replace
from wicketlay.wording.names import about_text, mark_name, room_text, small_text, tape_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wicketlay.findings import Finding, Level, Value

__all__ = ["fill", "told", "word"]

_ROOMS = ("running", "drills", "ground", "practice", "solving", "stations", "edits")


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """Two texts, or templates of them: what is the matter, and what to do (may be empty)."""

    text: str
    remedy: str = ""

    def __str__(self) -> str:
        """Return both as one line."""
        return f"{self.text}; {self.remedy}" if self.remedy else self.text


@cache
def _catalogue() -> dict[str, Phrase]:
    """Return the templates of every code; in its room one without a remedy is a text alone."""
    found: dict[str, Phrase] = {}
    for room in _ROOMS:
        for code, told in importlib.import_module(f"wicketlay.wording.{room}").WORDING.items():
            text, remedy = (told, "") if isinstance(told, str) else told
            found[code] = Phrase(text=text, remedy=remedy)
    return found


def word(finding: Finding, unit: UnitSystem | str = UnitSystem.METRIC) -> Phrase:
    """Return what a finding says and what to do about it, in the reader's unit.

    Raises
    ------
    KeyError
        When the finding's code has no wording.
    """
    worded = _catalogue()[finding.code]
    values: dict[str, Value] = dict(finding.values)
    for key in ("athlete", "mark", "lane", "wave", "stage"):
        value = getattr(finding, key)
        if value is not None:
            values.setdefault(key, mark_name(value) if key == "mark" else value)
    values["here"] = "" if finding.lane is None else f"lane {finding.lane}"
    values["meant"] = _meant(values)
    return Phrase(text=fill(worded.text, values, unit), remedy=fill(worded.remedy, values, unit))


def _meant(values: Mapping[str, Value]) -> str:
    """Return which of the known names was most likely asked for, as a question."""
    known = str(values.get("known", "")).split(", ")
    near = difflib.get_close_matches(str(values.get("asked", "")).casefold(), known, n=1)
    return f"did you mean “{near[0]}”? " if near else ""


def told(
    findings: Iterable[Finding], unit: UnitSystem | str = UnitSystem.METRIC
) -> tuple[tuple[Level, str], ...]:
    """Return findings as lines, gravest first, each once; what holds for several names them.

    What another finding of the same athlete tells in full is left to that one.
    """
    found = by_gravity(findings)
    said = {(finding.code, finding.athlete) for finding in found}
    lines: dict[tuple[Level, str], list[str]] = {}
    for finding in found:
        if (_TOLD_BY.get(finding.code), finding.athlete) in said:
            continue
        line, name = str(word(finding, unit)), finding.athlete
        if name is not None and _catalogue()[finding.code].text.startswith(_WHOSE):
            rest = str(word(replace(finding, athlete=None), unit))
            if line == f"{name}: {rest}":
                names = lines.setdefault((finding.level, rest), [])
                if name not in names:
                    names.append(name)
                continue
        lines.setdefault((finding.level, line), [])
    return tuple(
        (level, f"{', '.join(names)}: {text}" if names else text)
        for (level, text), names in lines.items()
    )


_WHOSE = "{athlete}: "
_TOLD_BY = {"top-speed-from-first-guess": "gaps-laid-short"}
"""Codes of what need not be told beside another finding, and of that one."""


def fill(template: str, values: Mapping[str, Value], unit: UnitSystem | str) -> str:
    """Return `template` with each ``{key}`` replaced by its value as people read it.

    ``{key:0}`` shows a length or a share in whole metres, feet or per cent. Values are never
    parsed: braces in a name stay braces. A field that has no value (an athlete where none is
    concerned) is left out together with the colon that follows it, and a range of one value is
    told as that value.
    """
    parts: list[str] = []
    for literal, key, whole, _ in Formatter().parse(template):
        text = literal
        if parts and parts[-1] == "" and text.startswith(": "):
            text = text[2:]
        shown = (
            ""
            if key is None or key not in values
            else _shown(key, values[key], unit, whole=bool(whole))
        )
        if text == " to " and parts and parts[-1] == shown:
            continue
        parts.append(text)
        if key is not None:
            parts.append(shown)
    return "".join(parts)


def _planned_s(time_s: float) -> float:
    """Return a planned time [s], from ten minutes on up to the whole minute."""
    return math.ceil(time_s / 60.0 - 1e-9) * 60.0 if time_s >= 600.0 else time_s


_ENDINGS: tuple[tuple[str, Callable[[float, UnitSystem], str]], ...] = (
    ("move_m", format_move),
    ("tape_m", tape_text),
    ("longer_m", room_text),
    ("_m", format_length),
    ("_mps", format_speed),
    ("_hz", lambda value, _: format_cadence(value)),
    ("_share", lambda value, _: format_percent(value)),
    ("duration_s", lambda value, _: format_duration(_planned_s(value))),
    ("_s", lambda value, _: format_time(value)),
    ("_mm", small_text),
    ("_deg", lambda value, _: f"{value:.0f}°"),
    ("_points", lambda value, _: f"{value:+.0f} point{'' if abs(value) == 1 else 's'}"),
)
"""How a number is shown, by the ending of its key; the first that fits."""


def _shown(key: str, value: Value, unit: UnitSystem | str, *, whole: bool = False) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return mark_name(str(value)) if key.endswith("_mark") else str(value)
    if whole:
        if key.endswith("_share"):
            return format_percent(float(value), places=0)
        return about_text(float(value), UnitSystem(unit))
    for ending, show in _ENDINGS:
        if key.endswith(ending):
            return show(float(value), UnitSystem(unit))
    return f"{value:g}"
