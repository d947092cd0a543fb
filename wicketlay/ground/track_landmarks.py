"""What is painted on a running track, and where: start lines, hurdle marks, relay zones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.lines import FARTHER_FROM_FINISH, NEARER_START, ChainageM, Landmark
from wicketlay.sources import (
    HURDLES_100_M,
    HURDLES_110_M,
    HURDLES_400_M,
    RELAY_ZONE_AFTER_M,
    RELAY_ZONE_BEFORE_M,
)

if TYPE_CHECKING:
    from collections.abc import Sequence


def on_home_straight(
    begins_m: float, ends_m: float, *, between: tuple[float, float]
) -> tuple[Landmark, ...]:
    """Return the landmarks of a home straight, chainage 0 at the finish line.

    Parameters
    ----------
    begins_m, ends_m
        Where the straight touches the bends [m].
    between
        The first and the last chainage there is surface for [m]; nothing is painted beyond.
    """
    found = [
        _landmark("finish", "the finish line", 0.0, NEARER_START),
        _landmark("home straight begins", "the line where the straight begins", begins_m),
        _landmark("home straight ends", "the line where the bend begins", ends_m),
        _start("100 m", -100.0),
        _start("110 m", -110.0),
        *_flights("100 H", -100.0, HURDLES_100_M),
        *_flights("110 H", -110.0, HURDLES_110_M),
    ]
    first, last = between
    return tuple(each for each in found if first <= each.chainage_m <= last)


def on_lap(
    lap_m: float, tangents_m: Sequence[float], *, four_hundred: bool
) -> tuple[Landmark, ...]:
    """Return the landmarks of a lane's lap, chainage 0 at the finish line, anticlockwise.

    Parameters
    ----------
    lap_m
        Length of the lap on the lane's run line [m].
    tangents_m
        Where the first bend begins and ends, and the second [m].
    four_hundred
        Whether the marks of the 400 m, its hurdles and its relay are painted.
    """
    found = [
        _landmark("finish", "the finish line", 0.0, NEARER_START),
        _landmark("home straight ends", "the line where the first bend begins", tangents_m[0]),
        _landmark("back straight begins", "the line where the first bend ends", tangents_m[1]),
        _landmark("back straight ends", "the line where the second bend begins", tangents_m[2]),
        _landmark("home straight begins", "the line where the second bend ends", tangents_m[3]),
    ]
    if lap_m >= 200.0:
        found.append(_start("200 m", (lap_m - 200.0) % lap_m))
    if four_hundred:
        start = (lap_m - 400.0) % lap_m
        found.append(_start("400 m", start))
        found += _flights("400 H", start, HURDLES_400_M, lap_m)
        found += _relay_zones(start, lap_m)
    return tuple(found)


def _relay_zones(start_m: float, lap_m: float) -> list[Landmark]:
    """Return the ends of the three zones of the 4 x 100 m relay."""
    return [
        _landmark(
            f"relay zone {zone} {word}",
            f"the line where relay zone {zone} {word}",
            (start_m + 100.0 * zone + by) % lap_m,
            rank=1,
        )
        for zone in (1, 2, 3)
        for word, by in (
            ("begins", -float(RELAY_ZONE_BEFORE_M)),
            ("ends", float(RELAY_ZONE_AFTER_M)),
        )
    ]


def _flights(
    event: str, start_m: float, spacing_m: Sequence[float], lap_m: float | None = None
) -> list[Landmark]:
    """Return the ten hurdle marks of an event that starts at `start_m`, on a lap or a straight."""
    to_first, between = float(spacing_m[0]), float(spacing_m[1])
    places = [start_m + to_first + between * passed for passed in range(10)]
    return [
        _landmark(
            f"{event} {number}",
            f"the {event} mark of hurdle {number}",
            at if lap_m is None else at % lap_m,
            NEARER_START,
            rank=1,
        )
        for number, at in enumerate(places, start=1)
    ]


def _start(distance: str, chainage_m: float) -> Landmark:
    return _landmark(
        f"{distance} start", f"the {distance} start line", chainage_m, FARTHER_FROM_FINISH
    )


def _landmark(key: str, text: str, chainage_m: float, edge: str = "", *, rank: int = 0) -> Landmark:
    return Landmark(key=key, text=text, chainage_m=ChainageM(chainage_m), edge=edge, rank=rank)
