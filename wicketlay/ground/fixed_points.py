"""The fixed points that a ground has without a word from the coach."""

from __future__ import annotations

import re
from itertools import groupby
from typing import TYPE_CHECKING

from wicketlay.ground.runway import Event, Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import Track

if TYPE_CHECKING:
    from wicketlay.ground import Ground

_USUAL: tuple[tuple[str, Ground], ...] = (
    ("track", Track()),
    *((f"runway for {event.value}", Runway(event=event)) for event in Event),
    ("strip with walls", Strip(length_m=60.0, wall_at_start=True, wall_at_end=True)),
)
"""A usual one of each kind; a 400 m track has all that is painted on any."""


def fixed_points() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return by ground and line what a place may be told from; numbered ones from first to last."""
    found: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for noun, ground in _USUAL:
        for line in ground.lines:
            course = ground.course(line, 1)
            names = _shortened(tuple(each.key for each in course.landmarks))
            found.setdefault((noun, names), []).append(line)
    return tuple(
        (f"{noun}, {', '.join(lines)}" if noun == "track" else noun, names)
        for (noun, names), lines in found.items()
    )


def _shortened(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names with those that only differ by a number at the end told from first to last."""
    shown = []
    for _, group in groupby(names, lambda name: re.sub(r" [0-9]+$", " ", name)):
        first, *rest = group
        shown.append(f"{first} to {rest[-1]}" if rest else first)
    return tuple(shown)
