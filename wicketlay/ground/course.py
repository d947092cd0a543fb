"""One lane of one line of a ground, with all that placing has to know about it."""

from __future__ import annotations

import math
from dataclasses import field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from wicketlay.declared import Keyed, Kind, check_keys, declare, keyed
from wicketlay.errors import DomainError, require_range
from wicketlay.sources import CORNERS_APART_M, OBSTACLE_CLEARANCE_M
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wicketlay.ground.lines import Landmark, Pose, RunLine


FARTHEST_M = 10_000.0
"""How far from the origin a corner may lie [m], an outline turned and moved with its strip too."""


def refuse_repeats(keys: Iterable[str]) -> None:
    """Refuse a landmark's key that is told twice.

    Raises
    ------
    DomainError
        With the key.
    """
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise DomainError(f"landmark {key!r} is told twice; give each its own name")
        seen.add(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something that stands on a ground and must stay clear of a run.

    Raises
    ------
    DomainError
        When there are fewer than three corners, sides cross or touch, or a number is out of
        range.
    """

    name: str = field(metadata=declare(Kind.TEXT, "as people call it", example='"goalpost"'))
    corners: tuple[tuple[float, float], ...] = field(
        metadata=declare(
            Kind.CORNER,
            "its outline: x with the run, y left, from finish at kerb, first board, strip's left "
            "start",
            members=(3, 100),
            example='[["0 m", "1 m"], ["1 m", "1 m"], ["1 m", "2 m"]]',
        )
    )
    clearance_m: float = keyed(
        float(OBSTACLE_CLEARANCE_M),
        Kind.LENGTH,
        "free band kept round it",
        0.0,
        20.0,
        what="clearance of {0.name}",
    )

    def __post_init__(self) -> None:
        """Refuse what is not an outline."""
        if len(self.corners) < 3:
            raise DomainError(
                f"{self.name} has {len(self.corners)} corners; an outline needs 3 or more"
            )
        for x, y in self.corners:
            require_range(f"corner of {self.name}", x, -FARTHEST_M, FARTHEST_M, "m")
            require_range(f"corner of {self.name}", y, -FARTHEST_M, FARTHEST_M, "m")
        check_keys(self)
        if _tangled(self.corners):
            raise DomainError(
                f"the corners of {self.name} cross or touch; give them in order round it, each once"
            )

    def moved(self, to: Pose) -> Obstacle:
        """Return the obstacle of a frame whose origin lies at `to` in another frame."""
        sin, cos = math.sin(to.heading_rad), math.cos(to.heading_rad)
        corners = tuple(
            (to.x_m + x * cos - y * sin, to.y_m + x * sin + y * cos) for x, y in self.corners
        )
        return replace(self, corners=corners)


def _tangled(corners: tuple[tuple[float, float], ...]) -> bool:
    """Tell whether an outline's sides meet anywhere but at the corners they share."""
    ends = np.array(corners)
    sides = np.asarray(shapely.linestrings(np.stack((ends, np.roll(ends, -1, axis=0)), axis=1)))
    points = np.asarray(shapely.points(ends))
    apart_m = float(CORNERS_APART_M)
    count = len(corners)
    index = np.arange(count)
    # A corner belongs to the side before it and the side after it, a side to its neighbours too.
    steps = (index[None, :] - index[:, None]) % count
    to_corners = shapely.distance(points[:, None], sides[None, :])
    touching = (to_corners < apart_m) & (steps != 0) & (steps != count - 1)
    crossing = shapely.intersects(sides[:, None], sides[None, :])
    crossing &= (steps != 0) & (steps != 1) & (steps != count - 1)
    return bool(touching.any() or crossing.any())


@dataclass(frozen=True, slots=True, kw_only=True)
class NotedObject(Keyed):
    """A fixed thing beside unmarked ground, and how far the zero is from it (None: to be noted)."""

    name: str = field(metadata=declare(Kind.TEXT, "as people call it", example='"the corner flag"'))
    distance_m: float | None = keyed(
        None, Kind.LENGTH, "from it to the zero", 0.0, 500.0, what="distance to {0.name}"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pit:
    """A landing area across the end of a line: chainages of its edges [m] and its width [m]."""

    from_m: float
    to_m: float
    width_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One lane of one line.

    ::

        surface_from      marks_from              marks_to        surface_to
             |  free to start in |  marks may lie here  |  free to slow down in  |
             +-------------------+----------------------+------------------------+
             left_m  is from the run line to the lane's clear edge on the left, right_m on the right

    Parameters
    ----------
    line, text, lane
        Key of the line, how paper names it, and the lane's number.
    landmarks
        Fixed points on it, this lane's chainages.
    zero
        Key of the landmark a place is told from when none is named; "" when there is none.
    marks_from_m, marks_to_m
        The stretch the line's name means [m]; infinite for a lap.
    surface_from_m, surface_to_m
        How far one can run on it [m]; infinite for a lap or where the ground does not say.
    left_m, right_m
        Clear lane beside the run line [m].
    painted_offset_m
        From the run line to the painted line (or kerb) on its left [m].
    wall_before, wall_after
        Whether a wall stands where the surface begins or ends.
    noted
        Objects noted beside ground without landmarks.
    middle_m
        Middle of the straight, where that is not the middle of the stretch.
    assumed_behind_m
        How much surface before the straight is taken for usual, where nobody measured it [m].
    assumed_ahead_m
        How much surface beyond the finish line is taken for usual, where nobody measured it [m].
    boards
        Keys of the landmarks a jump may be taken from.
    board_texts
        What the line is called by who jumps from each of them, in their order.
    """

    line: str
    text: str
    lane: int
    run_line: RunLine
    landmarks: tuple[Landmark, ...] = ()
    zero: str = ""
    marks_from_m: float = -math.inf
    marks_to_m: float = math.inf
    surface_from_m: float = -math.inf
    surface_to_m: float = math.inf
    left_m: float = 0.61
    right_m: float = 0.61
    painted_offset_m: float = 0.0
    wall_before: bool = False
    wall_after: bool = False
    pit: Pit | None = None
    noted: tuple[NotedObject, ...] = ()
    middle_m: float | None = None
    assumed_behind_m: float | None = None
    assumed_ahead_m: float | None = None
    boards: tuple[str, ...] = ()
    board_texts: tuple[str, ...] = ()

    @property
    def loop_m(self) -> float | None:
        """Length of a lap [m], None when the line is open."""
        return self.run_line.length_m if self.run_line.closed else None

    @property
    def told_lane(self) -> int | None:
        """The lane's number, None of a runway: nobody calls it a lane."""
        return None if self.boards else self.lane

    @property
    def clear_width_m(self) -> float:
        """Width between the lane's lines [m]."""
        return self.left_m + self.right_m

    def wall_ahead(self, direction: int) -> bool:
        """Tell whether a wall ends the surface for who goes in `direction` (+1 or -1)."""
        return self.wall_after if direction > 0 else self.wall_before

    def landmark(self, key: str) -> Landmark | None:
        """Return the landmark called `key`, or None."""
        for each in self.landmarks:
            if each.key == key:
                return each
        return None
