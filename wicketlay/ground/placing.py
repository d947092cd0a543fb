"""A layout on a real line: chainages, coordinates, fixed points and whether it fits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wicketlay.drills.marks import AlongM, Mark
    from wicketlay.findings import Finding
    from wicketlay.ground.lines import ChainageM, Landmark, Pose


class Direction(StrEnum):
    """Which way a line is run."""

    WITH = "with the line"
    AGAINST = "against the line"
    BOTH = "both ways"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a layout goes, as the coach says it.

    Parameters
    ----------
    line
        Which line of the ground ("home straight"); None takes the ground's first.
    lanes
        Lane numbers, in the order they are used.
    landmark
        Key of the landmark; None takes the ground's own zero.
    mark
        Id of the mark that stands there; None takes the layout's datum.
    offset_m
        From the landmark to the mark, positive along the line.
    direction
        Which way it is run.
    slide_m
        Everything moved by this much in the running direction.
    """

    line: str | None = None
    lanes: tuple[int, ...] = (1,)
    landmark: str | None = None
    mark: str | None = None
    offset_m: float = 0.0
    direction: Direction = Direction.WITH
    slide_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedMark:
    """A mark with its chainage and its pose on the ground."""

    mark: Mark
    chainage_m: ChainageM
    pose: Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedPoint:
    """How far the zero lies from a landmark.

    Parameters
    ----------
    landmark
        The painted or built feature.
    distance_m
        From the landmark to the zero, zero or more [m].
    beyond
        True when the zero lies beyond the landmark in the running direction, False before it.
    """

    landmark: Landmark
    distance_m: float
    beyond: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A layout that lies somewhere.

    Parameters
    ----------
    ground, line, line_text
        Name of the ground, key of its line, and how paper names the line.
    lane
        Lane number.
    direction
        +1 when run with the line's chainage, -1 against it.
    marks
        In running order.
    start_chainage_m, stop_chainage_m
        Where the corridor begins (walk or jog included) and the wanted slow-down ends.
    run_out_room_m
        Free length after the last mark, None when the ground does not say.
    behind_start_room_m
        Free length behind the start mark (and its walk or jog), None when unknown.
    fixed_points
        Up to two for the tape's zero, nearest first.
    findings
        What the checks say.
    """

    ground: str
    line: str
    line_text: str
    lane: int
    direction: int
    marks: tuple[PlacedMark, ...]
    start_chainage_m: ChainageM
    stop_chainage_m: ChainageM
    run_out_room_m: float | None = None
    behind_start_room_m: float | None = None
    fixed_points: tuple[FixedPoint, ...] = ()
    findings: tuple[Finding, ...] = ()

    def mark(self, mark_id: str) -> PlacedMark:
        """Return the placed mark called `mark_id`; KeyError when there is none."""
        for placed in self.marks:
            if placed.mark.id == mark_id:
                return placed
        raise KeyError(mark_id)

    def chainage_of(self, along: AlongM) -> ChainageM:
        """Return the chainage of a place given from the layout's datum."""
        anchor = self.marks[0]
        return type(anchor.chainage_m)(
            anchor.chainage_m + self.direction * (along - anchor.mark.along_m)
        )
