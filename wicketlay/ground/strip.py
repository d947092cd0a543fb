"""A straight strip: grass, a hall, an indoor straight with a wall behind it."""

from __future__ import annotations

import math
from dataclasses import field
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.declared import Kind, check_keys, keyed
from wicketlay.errors import DomainError, require_range
from wicketlay.ground.course import Course, NotedObject, Obstacle, refuse_repeats
from wicketlay.ground.lines import ChainageM, Landmark, Piece, Pose, RunLine
from wicketlay.running.air import ALTITUDE
from wicketlay.sources import LANE_WIDTH_M
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Collection

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

    Raises
    ------
    DomainError
        When a number is out of range or a landmark is told twice.
    """

    name: str = keyed("strip", Kind.TEXT, "as people call it")
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)
    line: str = keyed("strip", Kind.TEXT, "key of its one line")
    surface: Surface = keyed(Surface.GRASS, Kind.WORD, "what it is made of", words=Surface)
    length_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "free length, where somebody measured it",
        5.0,
        500.0,
        what="length of the strip",
    )
    lanes: int = keyed(
        1, Kind.COUNT, "lanes, from the left", 1, 20, what="number of lanes", si="lanes"
    )
    lane_width_m: float = keyed(
        float(LANE_WIDTH_M), Kind.LENGTH, "width of a lane with its line", 0.5, 100.0
    )
    line_width_m: float = keyed(0.0, Kind.LENGTH, "width of the line in it", 0.0, 0.2, unit="cm")
    wall_at_start: bool = keyed(False, Kind.FLAG, "a wall stands where it begins")
    wall_at_end: bool = keyed(False, Kind.FLAG, "a wall stands where it ends")
    origin: Pose = keyed(_OWN_FRAME, Kind.TABLE, "where it lies in another ground's frame")
    landmarks: tuple[Landmark, ...] = keyed(
        (), Kind.TABLES, "a fixed point; the first is the zero", name="landmark", most=200
    )
    obstacles: tuple[Obstacle, ...] = keyed(
        (), Kind.TABLES, "what must stay clear", name="obstacle", most=200
    )
    noted: tuple[NotedObject, ...] = keyed(
        (), Kind.TABLES, "a fixed object beside unmarked ground", most=2
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be a strip."""
        check_keys(self)
        check_keys(self.origin)
        for landmark in self.landmarks:
            require_range(f"landmark {landmark.key}", landmark.chainage_m, -500.0, 500.0, "m")
        refuse_repeats(each.key for each in self.course(self.line, 1).landmarks)
        self.obstacles_of(self.line)  # Where they lie once turned: a corner may leave its range.
        if len(self.noted) > 2:
            raise DomainError(
                f"{len(self.noted)} noted objects; two are enough to find a zero again"
            )

    @property
    def frame(self) -> str:
        """Where x, y and headings are measured from, in words."""
        return (
            "origin at the left edge of lane 1 where the strip begins (on unmeasured ground at the "
            "zero), x in the running direction, y to the left; heading counter-clockwise from +x"
        )

    @property
    def indoors(self) -> bool:
        """Whether no wind blows there."""
        return self.surface in {Surface.HALL, Surface.INDOOR}

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

    def cautions(self, boards: Collection[str] = ()) -> tuple[Finding, ...]:  # noqa: ARG002
        """Return what is to be said of the strip itself: nothing."""
        return ()
