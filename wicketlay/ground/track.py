"""A running track of any size: lanes, laps, staggers, straights, bends and their landmarks."""

from __future__ import annotations

import math
from dataclasses import field
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.declared import Kind, check_keys, declare, keyed
from wicketlay.errors import DomainError, require_range
from wicketlay.ground.course import Course, Obstacle, refuse_repeats
from wicketlay.ground.lines import Landmark, Piece, Pose, RunLine
from wicketlay.ground.track_landmarks import on_home_straight, on_lap
from wicketlay.running.air import ALTITUDE
from wicketlay.sources import (
    BEHIND_START_M,
    BEYOND_FINISH_M,
    KERB_RADIUS_M,
    LANE_WIDTH_M,
    LINE_WIDTH_M,
    RUN_LINE_FROM_KERB_M,
    RUN_LINE_FROM_PAINT_M,
    STRAIGHT_M,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Collection

    from wicketlay.findings import Finding
    from wicketlay.ground.strip import Strip

HOME, BACK, FIRST, SECOND, LAP = (
    "home straight",
    "back straight",
    "first bend",
    "second bend",
    "lap",
)
OVAL = (HOME, BACK, FIRST, SECOND, LAP)


def _usual_behind_m(finish_to_bend_m: float, straight_m: float) -> float:
    """Return how much surface lies behind the straight of a 400 m track, nobody having told [m]."""
    return max(110.0 + float(BEHIND_START_M) + finish_to_bend_m - straight_m, 0.0)


class RadiusOf(StrEnum):
    """Which line the radius of a track was told of."""

    KERB = "kerb"
    PAINTED_LINE = "painted line"
    RUNNING_LINE = "running line"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLandmark:
    """A landmark of the user's own: on which line, and in one lane or (None) in all."""

    line: str = field(metadata=declare(Kind.TEXT, "which line", example='"home straight"'))
    landmark: Landmark
    lane: int | None = keyed(None, Kind.COUNT, "which lane; left out, all", 1, 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """An oval of two straights and two half circles, run anticlockwise.

    ::

                    <------ back straight
              .-----------------------------.
          second                            first       y to the inside
           bend     (inside of the kerb)    bend        ^
              '-----------------------------'           |
            ==+==== home straight =========>|o==        o--> x
            extension            finish line ^ run-out

    The origin is where the finish line meets the kerb edge; chainage is 0 at the finish line
    and grows anticlockwise. On the home straight it is negative before the finish.

    Raises
    ------
    DomainError
        When a number is out of range, or `radius_of` is left in doubt.
    """

    name: str = keyed("track", Kind.TEXT, "as people call it")
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)
    radius_m: float = keyed(
        float(KERB_RADIUS_M),
        Kind.LENGTH,
        "radius of the bends",
        5.0,
        100.0,
        what="radius of the bends",
    )
    radius_of: RadiusOf | None = keyed(
        None,
        Kind.WORD,
        "which line the radius is of; guides mean different lines by one number",
        words=RadiusOf,
    )
    straight_m: float = keyed(
        float(STRAIGHT_M),
        Kind.LENGTH,
        "length of one straight",
        1.0,
        300.0,
        what="length of the straight",
    )
    raised_kerb: bool | None = keyed(None, Kind.FLAG, "whether lane 1 has a raised kerb")
    lanes: int = keyed(
        8, Kind.COUNT, "lanes of the oval", 1, 10, what="number of lanes", si="lanes"
    )
    straight_lanes: int | None = keyed(
        None,
        Kind.COUNT,
        "lanes of the home straight, where it has more",
        1,
        12,
        what="lanes of the home straight",
        si="lanes",
    )
    lane_width_m: float = keyed(
        float(LANE_WIDTH_M), Kind.LENGTH, "width of a lane with its line", 0.5, 3.0
    )
    line_width_m: float = keyed(
        float(LINE_WIDTH_M), Kind.LENGTH, "width of the line in it", 0.0, 0.2, unit="cm"
    )
    finish_to_bend_m: float = keyed(
        0.0, Kind.LENGTH, "finish line to where the first bend begins", 0.0, 300.0
    )
    start_extension_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "straight surface behind where the home straight begins",
        0.0,
        200.0,
        what="extension of the home straight",
        left_out=f"up to {BEHIND_START_M:g} m behind the 110 m start of a 400 m track "
        f"({_usual_behind_m(0.0, float(STRAIGHT_M)):.2f} m), else none",
    )
    run_out_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "straight surface beyond the finish line",
        0.0,
        200.0,
        what="run-out",
        left_out=f"{BEYOND_FINISH_M:g} m of a 400 m track, else on into the bend",
    )
    wall_behind_start: bool = keyed(False, Kind.FLAG, "a wall where the home straight begins")
    wall_beyond_finish: bool = keyed(False, Kind.FLAG, "a wall where the home straight ends")
    landmarks: tuple[OwnLandmark, ...] = keyed(
        (), Kind.TABLES, "a fixed point", name="landmark", most=200
    )
    obstacles: tuple[Obstacle, ...] = keyed(
        (), Kind.TABLES, "what must stay clear", name="obstacle", most=200
    )
    strips: tuple[Strip, ...] = keyed(
        (), Kind.TABLES, "another straight of the place", name="strip", most=20
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be a track, and a radius that could mean three lines."""
        check_keys(self)
        require_range("lanes of the home straight", self.straight_lanes, self.lanes, 12, "lanes")
        require_range("finish to bend", self.finish_to_bend_m, 0.0, self.straight_m, "m")
        require_range("run-out", self.run_out_m, self.finish_to_bend_m, 200.0, "m")
        self._refuse_doubt()
        if self.wall_beyond_finish and self.run_out_m is None and not self._four_hundred:
            raise DomainError(
                "there is a wall beyond the finish, but nothing says how far away it is; "
                "give run_out_m, from the finish line to the wall"
            )
        for own in self.landmarks:
            require_range(
                f"landmark {own.landmark.key}", own.landmark.chainage_m, -600.0, 600.0, "m"
            )
            if own.line not in OVAL:
                raise DomainError(
                    f"landmark {own.landmark.key!r} lies on {own.line!r}; the lines of the oval "
                    f"are {', '.join(OVAL)} (a strip has landmarks of its own)"
                )
        refuse_repeats(self.lines)
        for own in self.landmarks:
            lane = 1 if own.lane is None else own.lane
            if lane not in self.lanes_of(own.line):
                raise DomainError(
                    f"landmark {own.landmark.key!r} lies in lane {lane}, which is not there"
                )
            refuse_repeats(each.key for each in self.course(own.line, lane).landmarks)

    def _refuse_doubt(self) -> None:
        if self.radius_of is None and not self._standard:
            laps = ", ".join(
                f"of the {which} the lap is "
                f"{2.0 * (self.straight_m + math.pi * (self.radius_m + out)):.2f} m"
                for which, out in (
                    ("kerb", float(RUN_LINE_FROM_KERB_M)),
                    ("painted line", float(RUN_LINE_FROM_PAINT_M)),
                    ("running line", 0.0),
                )
            )
            raise DomainError(
                f"radius {self.radius_m:g} m with straights of {self.straight_m:g} m: {laps}; "
                'say which it is with radius_of = "kerb", "painted line" or "running line"'
            )
        if self.radius_of is RadiusOf.KERB and self.raised_kerb is False:
            raise DomainError(
                "the radius is of the kerb, but there is no raised kerb; "
                'say radius_of = "painted line" or raised_kerb = true'
            )
        if self.radius_of is RadiusOf.PAINTED_LINE and self.raised_kerb:
            raise DomainError(
                "the radius is of a painted line, but lane 1 has a raised kerb; "
                'say radius_of = "kerb" or raised_kerb = false'
            )

    @property
    def _standard(self) -> bool:
        return (
            abs(self.radius_m - float(KERB_RADIUS_M)) < 0.005
            and abs(self.straight_m - float(STRAIGHT_M)) < 0.01
        )

    @property
    def _four_hundred(self) -> bool:
        return abs(self.lap_length_m(1) - 400.0) < 1.0

    @property
    def kerbed(self) -> bool:
        """True when lane 1 runs along a raised kerb."""
        if self.raised_kerb is not None:
            return self.raised_kerb
        return self.radius_of is not RadiusOf.PAINTED_LINE

    @property
    def edge_radius_m(self) -> float:
        """Radius of the kerb's (or inner painted line's) edge towards lane 1 [m]."""
        if self.radius_of is RadiusOf.RUNNING_LINE:
            return self.radius_m - self._from_edge_m(1)
        return self.radius_m

    def _from_edge_m(self, lane: int) -> float:
        """How far a lane's run line lies outside the line or kerb on its left."""
        first_kerbed = lane == 1 and self.kerbed
        return float(RUN_LINE_FROM_KERB_M if first_kerbed else RUN_LINE_FROM_PAINT_M)

    def outside_kerb_m(self, lane: int) -> float:
        """Return how far a lane's run line lies outside the kerb edge [m]."""
        return self.lane_width_m * (lane - 1) + self._from_edge_m(lane)

    def lane_radius_m(self, lane: int) -> float:
        """Return the radius of a lane's run line on the bends [m]: R + W (n - 1) + 0.20 or 0.30."""
        return self.edge_radius_m + self.outside_kerb_m(lane)

    def lap_length_m(self, lane: int) -> float:
        """Return the length of a lap on a lane's run line [m].

        Raises
        ------
        DomainError
            When there is no such lane.
        """
        self._require_lane(lane)
        return 2.0 * (self.straight_m + math.pi * self.lane_radius_m(lane))

    def _require_lane(self, lane: int) -> None:
        require_range("lane", lane, 1, self.lanes, "")

    def lane(self, n: int) -> RunLine:
        """Return a lane's whole lap: chainage 0 at the finish line, anticlockwise, closed.

        Raises
        ------
        DomainError
            When there is no such lane.
        """
        self._require_lane(n)
        radius = self.lane_radius_m(n)
        bend = Piece(length_m=math.pi * radius, radius_m=radius)
        ahead, behind = self.finish_to_bend_m, self.straight_m - self.finish_to_bend_m
        pieces = [bend, Piece(length_m=self.straight_m), bend]
        if ahead > 0.0:
            pieces.insert(0, Piece(length_m=ahead))
        if behind > 0.0:
            pieces.append(Piece(length_m=behind))
        start = Pose(x_m=0.0, y_m=-self.outside_kerb_m(n), heading_rad=0.0)
        return RunLine(start=start, pieces=tuple(pieces), closed=True)

    @property
    def frame(self) -> str:
        """Where x, y and headings are measured from, in words."""
        return (
            "origin where the finish line meets the kerb edge, x in the running direction of the "
            "home straight, y to the inside; heading counter-clockwise from +x"
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """Keys of its lines."""
        return (*OVAL, *[strip.line for strip in self.strips])

    @property
    def indoors(self) -> bool:
        """Whether no wind blows there: an oval about an indoor straight stands in its hall."""
        return any(strip.indoors for strip in self.strips)

    def lanes_of(self, line: str) -> tuple[int, ...]:
        """Return the lane numbers of a line; KeyError when there is no such line."""
        if line == HOME:
            return tuple(range(1, (self.straight_lanes or self.lanes) + 1))
        if line in (BACK, FIRST, SECOND, LAP):
            return tuple(range(1, self.lanes + 1))
        return self._strip(line).lanes_of(line)

    def _strip(self, line: str) -> Strip:
        for strip in self.strips:
            if strip.line == line:
                return strip
        raise KeyError(line)

    def course(self, line: str, lane: int) -> Course:
        """Return one lane of a line; KeyError when there is no such line or lane."""
        if lane not in self.lanes_of(line):
            raise KeyError(lane)
        if line == HOME:
            return self._home(lane)
        if line in (BACK, FIRST, SECOND, LAP):
            return self._round(line, lane)
        return self._strip(line).course(line, lane)

    def _beside(self, lane: int) -> tuple[float, float]:
        left = self._from_edge_m(lane)
        return left, self.lane_width_m - self.line_width_m - left

    def _own(self, line: str, lane: int) -> tuple[Landmark, ...]:
        return tuple(
            own.landmark for own in self.landmarks if own.line == line and own.lane in (None, lane)
        )

    def _home(self, lane: int) -> Course:
        left, right = self._beside(lane)
        begins = self.finish_to_bend_m - self.straight_m
        extension = self.start_extension_m
        if extension is None:
            extension = _usual_behind_m(self.finish_to_bend_m, self.straight_m) * self._four_hundred
        ahead = self.run_out_m
        if ahead is None and self._four_hundred:
            ahead = max(float(BEYOND_FINISH_M), self.finish_to_bend_m)
        first = begins - extension
        bend = ahead is None and lane <= self.lanes
        straight_to = self.finish_to_bend_m if ahead is None else ahead
        pieces = [Piece(length_m=straight_to - first)]
        if bend:
            radius = self.lane_radius_m(lane)
            pieces.append(Piece(length_m=math.pi * radius, radius_m=radius))
        start = Pose(x_m=first, y_m=-self.outside_kerb_m(lane), heading_rad=0.0)
        run_line = RunLine(start=start, pieces=tuple(pieces), from_m=first)
        return Course(
            line=HOME,
            text=HOME,
            lane=lane,
            run_line=run_line,
            landmarks=on_home_straight(begins, self.finish_to_bend_m, between=(first, straight_to))
            + self._own(HOME, lane),
            zero="finish",
            marks_from_m=first,
            marks_to_m=straight_to,
            surface_from_m=first,
            surface_to_m=run_line.to_m,
            left_m=left,
            right_m=right,
            painted_offset_m=left,
            middle_m=(begins + self.finish_to_bend_m) / 2.0,
            assumed_behind_m=extension if self.start_extension_m is None else None,
            assumed_ahead_m=None if ahead in (self.run_out_m, self.finish_to_bend_m) else ahead,
            wall_before=self.wall_behind_start,
            wall_after=self.wall_beyond_finish and not bend,
        )

    def _round(self, line: str, lane: int) -> Course:
        left, right = self._beside(lane)
        arc = math.pi * self.lane_radius_m(lane)
        t1 = self.finish_to_bend_m
        t2, t3, t4 = t1 + arc, t1 + arc + self.straight_m, t1 + 2.0 * arc + self.straight_m
        stretch = {
            FIRST: (t1, t2),
            BACK: (t2, t3),
            SECOND: (t3, t4),
            LAP: (-math.inf, math.inf),
        }[line]
        zero = {
            FIRST: "home straight ends",
            BACK: "back straight begins",
            SECOND: "back straight ends",
        }.get(line, "finish")
        return Course(
            line=line,
            text=line,
            lane=lane,
            run_line=self.lane(lane),
            landmarks=on_lap(
                self.lap_length_m(lane), (t1, t2, t3, t4), four_hundred=self._four_hundred
            )
            + self._own(line, lane),
            zero=zero,
            marks_from_m=stretch[0],
            marks_to_m=stretch[1],
            left_m=left,
            right_m=right,
            painted_offset_m=left,
        )

    def obstacles_of(self, line: str) -> tuple[Obstacle, ...]:
        """Return what stands near a line, in the track's frame; KeyError when there is none."""
        if line in OVAL:
            return self.obstacles
        return self.obstacles + self._strip(line).obstacles_of(line)

    def cautions(self, boards: Collection[str] = ()) -> tuple[Finding, ...]:  # noqa: ARG002
        """Return what is to be said of the track itself: nothing."""
        return ()
