"""A straight strip: grass, a hall, an indoor straight with a wall behind it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError
from wicketlay.ground.checks import refuse_repeats, require_between
from wicketlay.ground.course import Course, NotedObject, Obstacle
from wicketlay.ground.lines import ChainageM, Landmark, Piece, Pose, RunLine
from wicketlay.sources import LANE_WIDTH_M

if TYPE_CHECKING:
    from wicketlay.findings import Finding

_UNMEASURED_M = 1000.0
"""Half the length of the run line of a strip nobody has measured [m]."""
_OWN_FRAME = Pose(x_m=0.0, y_m=0.0, heading_rad=0.0)


class Surface(StrEnum):
    """What a strip is made of."""

    GRASS = "grass"
    HALL = "hall"
    INDOOR = "indoor straight"
    TRACK = "track surface"


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Any straight piece of ground.

    ::

        y ^   chainage 0                               length_m
          |   +------------------------------------------+   left edge of lane 1 is y = 0
          |   |  lane 1   run line in the lane's middle  |
          o-->+------------------------------------------+-> x, running direction
                wall_at_start?                    wall_at_end?

    Parameters
    ----------
    name
        As people call it.
    line
        Key of its one line.
    surface
        What it is made of.
    length_m
        Free length [m], None when nobody has measured it.
    lanes, lane_width_m, line_width_m
        Lanes from the left, their width and the line inside that width.
    wall_at_start, wall_at_end
        Whether a wall stands there.
    landmarks
        Own fixed points; the first is the zero a place is told from.
    obstacles
        In the frame drawn above.
    noted
        Up to two fixed objects beside ground without landmarks.
    origin
        Where the frame lies in another ground's, for a straight inside a track or hall.

    Raises
    ------
    DomainError
        When a number is out of range or a landmark is told twice.
    """

    name: str = "strip"
    line: str = "strip"
    surface: Surface = Surface.GRASS
    length_m: float | None = None
    lanes: int = 1
    lane_width_m: float = float(LANE_WIDTH_M)
    line_width_m: float = 0.0
    wall_at_start: bool = False
    wall_at_end: bool = False
    landmarks: tuple[Landmark, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    noted: tuple[NotedObject, ...] = ()
    origin: Pose = _OWN_FRAME

    def __post_init__(self) -> None:
        """Refuse what cannot be a strip."""
        if self.length_m is not None:
            require_between("length of the strip", self.length_m, 5.0, 500.0)
        require_between("number of lanes", self.lanes, 1, 20, "lanes")
        require_between("lane width", self.lane_width_m, 0.5, 100.0)
        require_between("line width", self.line_width_m, 0.0, 0.2)
        for value in self.origin:
            require_between("origin of the strip", value, -2000.0, 2000.0, "m or rad")
        for landmark in self.landmarks:
            require_between(f"landmark {landmark.key}", landmark.chainage_m, -500.0, 500.0)
        refuse_repeats(each.key for each in self.course(self.line, 1).landmarks)
        if len(self.noted) > 2:
            message = f"{len(self.noted)} noted objects; two are enough to find a zero again"
            raise DomainError(message)

    @property
    def frame(self) -> str:
        """Where x, y and headings are measured from, in words."""
        return (
            "origin at the left edge of lane 1 where the strip begins (on unmeasured ground at the "
            "zero), x in the running direction, y to the left; heading counter-clockwise from +x"
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """Keys of its lines."""
        return (self.line,)

    def lanes_of(self, line: str) -> tuple[int, ...]:
        """Return the lane numbers of a line; KeyError when there is no such line."""
        if line != self.line:
            raise KeyError(line)
        return tuple(range(1, self.lanes + 1))

    def course(self, line: str, lane: int) -> Course:
        """Return one lane; KeyError when there is no such line or lane."""
        if lane not in self.lanes_of(line):
            raise KeyError(lane)
        half = (self.lane_width_m - self.line_width_m) / 2.0
        x0, y0, heading = self.origin
        left = -(self.lane_width_m * (lane - 1) + half)
        measured = self.length_m is not None
        begin = 0.0 if measured else -_UNMEASURED_M
        length = self.length_m if self.length_m is not None else 2.0 * _UNMEASURED_M
        start = Pose(
            x_m=x0 + begin * math.cos(heading) - left * math.sin(heading),
            y_m=y0 + begin * math.sin(heading) + left * math.cos(heading),
            heading_rad=heading,
        )
        landmarks = self.landmarks + self._walls(length)
        end = length if measured else math.inf
        return Course(
            line=self.line,
            text=self.name,
            lane=lane,
            run_line=RunLine(start=start, pieces=(Piece(length_m=length),), from_m=begin),
            landmarks=landmarks,
            zero=landmarks[0].key if landmarks else "",
            marks_from_m=0.0 if measured else -math.inf,
            marks_to_m=end,
            surface_from_m=0.0 if measured else -math.inf,
            surface_to_m=end,
            left_m=half,
            right_m=half,
            painted_offset_m=half,
            wall_before=self.wall_at_start,
            wall_after=self.wall_at_end,
            noted=self.noted,
        )

    def _walls(self, length: float) -> tuple[Landmark, ...]:
        walls = []
        if self.wall_at_start:
            text = "the wall behind the start"
            walls.append(Landmark(key="start wall", text=text, chainage_m=ChainageM(0.0)))
        if self.wall_at_end and self.length_m is not None:
            walls.append(
                Landmark(key="end wall", text="the wall at the end", chainage_m=ChainageM(length))
            )
        return tuple(walls)

    def obstacles_of(self, line: str) -> tuple[Obstacle, ...]:
        """Return what stands near a line, in the frame the line is located in."""
        if line != self.line:
            raise KeyError(line)
        if self.origin == _OWN_FRAME:
            return self.obstacles
        return tuple(obstacle.moved(self.origin) for obstacle in self.obstacles)

    def cautions(self) -> tuple[Finding, ...]:
        """Return what is to be said of the strip itself: nothing."""
        return ()
