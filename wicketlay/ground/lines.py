"""Run lines in closed form, and landmarks on them."""

from __future__ import annotations

import dataclasses
import math
from bisect import bisect_right
from dataclasses import field
from typing import TYPE_CHECKING, NamedTuple, NewType, overload

import numpy as np

from wicketlay.declared import Kind, declare, keyed
from wicketlay.errors import DomainError, require_range
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import ArrayLike, NDArray

ChainageM = NewType("ChainageM", float)
"""Distance [m] along a run line from that line's own zero."""

PLACES_M = (-2000.0, 2000.0)
"""Where a corner or an origin may be told to lie, along x and y [m]."""
_RANGE_SLACK_M = 1e-9
"""How far rounding may carry a chainage over the end of its line [m]."""
_TURN = 2.0 * math.pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """A place and a heading in a ground's frame: [m], [m], [rad] counter-clockwise from +x.

    Unpacks as ``x_m, y_m, heading_rad``.
    """

    x_m: float = field(
        metadata=declare(Kind.LENGTH, "along", *PLACES_M, signed=True, example='"0 m"')
    )
    y_m: float = field(
        metadata=declare(Kind.LENGTH, "to the left", *PLACES_M, signed=True, example='"12 m"')
    )
    heading_rad: float = field(
        metadata=declare(
            Kind.NUMBER,
            "counter-clockwise from +x",
            -6.3,
            6.3,
            name="heading_rad",
            si="rad",
            example="0.0",
        )
    )

    def __iter__(self) -> Iterator[float]:
        """Yield x, y and heading."""
        yield self.x_m
        yield self.y_m
        yield self.heading_rad


class Poses(NamedTuple):
    """Many poses: arrays of one shape, unpacking as ``x_m, y_m, heading_rad``."""

    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    heading_rad: NDArray[np.float64]


NEARER_START = "edge nearer the start"
FARTHER_FROM_FINISH = "edge farther from the finish"
BOARD_NEARER_PIT = "edge of the board nearer the pit"
"""Edges that count on grounds of the usual kind; what a user writes may be anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmark:
    """A painted or built feature of known chainage ("fixed point" on paper).

    `edge` is `NEARER_START` for one, empty when it has no width. Fixed points are chosen by
    `rank`, then by distance.
    """

    key: str = field(metadata=declare(Kind.TEXT, "what a plan calls it", example='"drain"'))
    text: str = field(
        metadata=declare(Kind.TEXT, "how paper names it", example='"the drain cover"')
    )
    chainage_m: ChainageM = field(
        metadata=declare(
            Kind.LENGTH,
            "where it lies on its line",
            -600.0,
            600.0,
            name="at",
            signed=True,
            example='"12.5 m"',
        )
    )
    edge: str = keyed("", Kind.TEXT, "which edge of it counts", empty=True)
    rank: int = keyed(
        0, Kind.COUNT, "0 for what nobody can mistake, more for one small mark of many", 0, 10
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A straight or circular stretch of a run line.

    Parameters
    ----------
    length_m
        Along the piece [m].
    radius_m
        Radius of a circular piece [m], positive turning left, negative turning right;
        infinite for a straight one.
    """

    length_m: float
    radius_m: float = math.inf

    def __post_init__(self) -> None:
        """Refuse an empty piece or one that turns on the spot."""
        require_range("length of a piece", self.length_m, 1e-6, 1e5, "m")
        if math.isnan(self.radius_m) or abs(self.radius_m) < 0.5:
            raise DomainError(
                f"radius of a piece is {self.radius_m!r} m; it must be at least 0.5 m"
            )

    @property
    def straight(self) -> bool:
        """True when it does not turn."""
        return math.isinf(self.radius_m)

    def after(self, start: Pose, s_m: float) -> Pose:
        """Return the pose `s_m` metres into a piece that begins at `start`."""
        x, y, heading = start
        if self.straight:
            return Pose(
                x_m=x + s_m * math.cos(heading),
                y_m=y + s_m * math.sin(heading),
                heading_rad=heading,
            )
        turned = heading + s_m / self.radius_m
        return Pose(
            x_m=x + self.radius_m * (math.sin(turned) - math.sin(heading)),
            y_m=y - self.radius_m * (math.cos(turned) - math.cos(heading)),
            heading_rad=turned,
        )


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """The line that is run along: straight and circular pieces one after the other.

    ::

        chainage  from_m ----------> to_m        offsets are to the LEFT of the run line:
                  o====straight====(arc          +offset  = towards the inside of a left bend

    Parameters
    ----------
    start
        Pose at `from_m`.
    pieces
        In order of chainage.
    from_m
        Chainage at which the line begins [m].
    closed
        True for a lap: any chainage is taken modulo the length.

    Attributes
    ----------
    bent : bool
        True when a piece is circular.

    Raises
    ------
    DomainError
        When there is no piece, or a number is not finite.
    """

    start: Pose
    pieces: tuple[Piece, ...]
    from_m: float = 0.0
    closed: bool = False
    _begins_m: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _poses: tuple[Pose, ...] = field(init=False, repr=False, compare=False)
    _length_m: float = field(init=False, repr=False, compare=False)
    bent: bool = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Work out where each piece begins."""
        if not self.pieces:
            raise DomainError("a run line needs at least one piece")
        require_range("chainage where a line begins", self.from_m, -1e5, 1e5, "m")
        poses = [self.start]
        begins = [0.0]
        for piece in self.pieces:
            poses.append(piece.after(poses[-1], piece.length_m))
            begins.append(begins[-1] + piece.length_m)
        object.__setattr__(self, "_begins_m", tuple(begins[:-1]))
        object.__setattr__(self, "_poses", tuple(poses[:-1]))
        object.__setattr__(self, "bent", not all(piece.straight for piece in self.pieces))
        object.__setattr__(self, "_length_m", math.fsum(p.length_m for p in self.pieces))

    @property
    def length_m(self) -> float:
        """Length from one end to the other [m]."""
        return self._length_m

    @property
    def to_m(self) -> float:
        """Chainage at which the line ends [m]."""
        return self.from_m + self._length_m

    def _inside(self, chainage_m: float, *, extend: bool) -> float:
        """Return the distance from the line's beginning; refuse what is not on the line."""
        if not math.isfinite(chainage_m):
            raise DomainError(f"chainage is {chainage_m!r}; it must be a finite number of metres")
        along = chainage_m - self.from_m
        if self.closed:
            return along % self._length_m
        if not extend and not -_RANGE_SLACK_M <= along <= self._length_m + _RANGE_SLACK_M:
            raise DomainError(
                f"chainage {chainage_m:g} m is not on the line, "
                f"which runs from {self.from_m:g} to {self.to_m:g} m"
            )
        return along

    @overload
    def locate(self, chainage_m: float, *, extend: bool = False) -> Pose: ...
    @overload
    def locate(self, chainage_m: NDArray[np.float64], *, extend: bool = False) -> Poses: ...
    def locate(
        self, chainage_m: float | NDArray[np.float64], *, extend: bool = False
    ) -> Pose | Poses:
        """Return the pose at a chainage.

        Parameters
        ----------
        chainage_m : float or array, any shape
            Where [m]; on a lap any number, else from `from_m` to `to_m`.
        extend
            Carry the end pieces on beyond the ends as straights (for marks that do not fit
            and are to be shown all the same).

        Returns
        -------
        Pose or Poses
            Unpacks as x [m], y [m], heading [rad, 0 to 2 pi].

        Raises
        ------
        DomainError
            When a chainage is not on the line.
        """
        if isinstance(chainage_m, np.ndarray):
            along = chainage_m - self.from_m
            inside = np.isfinite(along)
            if not (self.closed or extend):
                inside &= (along >= -_RANGE_SLACK_M) & (along <= self._length_m + _RANGE_SLACK_M)
            for each in chainage_m[~inside]:
                self._inside(float(each), extend=extend)  # says what is wrong with it
            return self._locate_many(np.mod(along, self._length_m) if self.closed else along)
        return self._locate_one(self._inside(float(chainage_m), extend=extend))

    def _locate_one(self, along: float) -> Pose:
        index = max(bisect_right(self._begins_m, along) - 1, 0)
        piece, begin = self.pieces[index], self._poses[index]
        inside = min(max(along, 0.0), self._length_m)
        x, y, heading = piece.after(begin, inside - self._begins_m[index])
        past = along - inside  # not 0 only beyond an end: carry on straight from there
        return Pose(
            x_m=x + past * math.cos(heading),
            y_m=y + past * math.sin(heading),
            heading_rad=heading % _TURN,
        )

    def _locate_many(self, along: NDArray[np.float64]) -> Poses:
        index = np.clip(
            np.searchsorted(np.asarray(self._begins_m), along, side="right") - 1,
            0,
            len(self.pieces) - 1,
        )
        inside = np.clip(along, 0.0, self._length_m)
        past = along - inside
        s = inside - np.asarray(self._begins_m)[index]
        x0, y0, h0 = np.array([tuple(pose) for pose in self._poses]).T[:, index]
        curvature = np.array([1.0 / p.radius_m for p in self.pieces])[index]
        h = h0 + curvature * s
        bent = curvature != 0.0
        r = np.where(bent, 1.0 / np.where(bent, curvature, 1.0), 1.0)
        x = x0 + np.where(bent, r * (np.sin(h) - np.sin(h0)), s * np.cos(h0))
        y = y0 - np.where(bent, r * (np.cos(h) - np.cos(h0)), -s * np.sin(h0))
        return Poses(
            x_m=x + past * np.cos(h), y_m=y + past * np.sin(h), heading_rad=np.mod(h, _TURN)
        )

    def radius_at(self, chainage_m: float) -> float:
        """Return the radius of the run line there [m]: infinite on a straight, + turning left.

        Raises
        ------
        DomainError
            When the chainage is not on the line.
        """
        along = self._inside(float(chainage_m), extend=False)
        return self.pieces[max(bisect_right(self._begins_m, along) - 1, 0)].radius_m

    def _turned(self, along: float) -> tuple[float, float]:
        """Return (radians turned, metres of bend) from the beginning to `along`, laps included."""
        if not self.bent:
            return 0.0, 0.0
        laps, rest = divmod(along, self._length_m) if self.closed else (0.0, along)
        turned = bent = lap_turned = lap_bent = 0.0
        for begin, piece in zip(self._begins_m, self.pieces, strict=True):
            if piece.straight:
                continue
            part = min(max(rest - begin, 0.0), piece.length_m)
            turned += part / piece.radius_m
            bent += part
            lap_turned += piece.length_m / piece.radius_m
            lap_bent += piece.length_m
        return turned + laps * lap_turned, bent + laps * lap_bent

    def length_beside(self, from_m: float, to_m: float, offset_m: float) -> float:
        """Return the length of the parallel line between two chainages.

        Parameters
        ----------
        from_m, to_m
            Chainages of the run line [m]; beyond an open line's ends it is straight.
        offset_m
            How far the parallel line lies to the left of the run line [m].

        Returns
        -------
        float
            Its length [m], negative when `to_m` is smaller than `from_m`. On an arc it is the
            run line's length times the ratio of the radii, on a straight it is the same.
        """
        if not self.bent:
            return to_m - from_m
        turned = self._turned(to_m - self.from_m)[0] - self._turned(from_m - self.from_m)[0]
        return (to_m - from_m) - offset_m * turned

    def bend_between(self, from_m: float, to_m: float) -> float:
        """Return how many metres of a stretch of the run line are circular."""
        low, high = sorted((from_m, to_m))
        return self._turned(high - self.from_m)[1] - self._turned(low - self.from_m)[1]

    def chord(self, from_m: float, to_m: float) -> float:
        """Return the straight distance [m] between the points at two chainages."""
        one = self.locate(from_m, extend=True)
        two = self.locate(to_m, extend=True)
        return math.hypot(two.x_m - one.x_m, two.y_m - one.y_m)

    def beside(self, chainage_m: float, offset_m: float) -> tuple[float, float]:
        """Return the point (x, y) [m] `offset_m` to the left of the run line."""
        x, y, heading = self.locate(chainage_m, extend=True)
        return x - offset_m * math.sin(heading), y + offset_m * math.cos(heading)

    def polyline(
        self, from_m: float, to_m: float, offset_m: float = 0.0, *, sagitta_m: float = 0.001
    ) -> NDArray[np.float64]:
        """Return a chain of chords, for drawing and clearance only.

        Parameters
        ----------
        from_m, to_m
            The stretch [m]; beyond an open line's ends it goes on straight.
        offset_m
            To the left of the run line [m].
        sagitta_m
            How far a chord may lie off its arc, at most [m].

        Returns
        -------
        array, shape (n, 2)
            Points from `from_m` to `to_m`, corners between pieces included.
        """
        stops = {from_m, to_m}
        low, high = sorted((from_m, to_m))
        for lap in self._laps(low, high):
            for begin, piece in zip(self._begins_m, self.pieces, strict=True):
                start = self.from_m + begin + lap * self._length_m
                end = start + piece.length_m
                first, last = max(low, start), min(high, end)
                if first >= last:
                    continue
                stops.update((first, last))
                if not piece.straight:
                    radius = abs(piece.radius_m - offset_m)
                    step = 2.0 * math.acos(max(1.0 - sagitta_m / max(radius, sagitta_m), 0.0))
                    count = math.ceil((last - first) / abs(piece.radius_m) / step)
                    stops.update(np.linspace(first, last, count + 1).tolist())
        chainages = np.array(sorted(stops))
        x, y, heading = self.locate(chainages, extend=True)
        points = np.column_stack((x - offset_m * np.sin(heading), y + offset_m * np.cos(heading)))
        return points if from_m <= to_m else points[::-1]

    def _laps(self, low: float, high: float) -> range:
        if not self.closed:
            return range(1)
        first = math.floor((low - self.from_m) / self._length_m)
        return range(first, math.floor((high - self.from_m) / self._length_m) + 1)

    def project(self, x_m: ArrayLike, y_m: ArrayLike) -> tuple[NDArray[np.float64], ...]:
        """Return (chainage, offset to the left) of the nearest points of the run line.

        Parameters
        ----------
        x_m, y_m : array, shape (n,)
            Points in the ground's frame [m].

        Returns
        -------
        chainage_m, offset_m : arrays, shape (n,)
            Nearest place on the line [m]; the offset is the distance, positive to the left.
        """
        x = np.atleast_1d(np.asarray(x_m, dtype=np.float64))
        y = np.atleast_1d(np.asarray(y_m, dtype=np.float64))
        best = np.full(x.shape, np.inf)
        chainage = np.zeros(x.shape)
        offset = np.zeros(x.shape)
        for begin, pose, piece in zip(self._begins_m, self._poses, self.pieces, strict=True):
            dx, dy = x - pose.x_m, y - pose.y_m
            sin, cos = math.sin(pose.heading_rad), math.cos(pose.heading_rad)
            if piece.straight:
                s = dx * cos + dy * sin
            else:
                # Angle swept about the centre, taken from half a turn before the middle of
                # the arc so that points just before its beginning come out negative.
                r = piece.radius_m
                cx, cy = dx + r * sin, dy - r * cos
                angle = np.arctan2(math.copysign(1.0, r) * cy, math.copysign(1.0, r) * cx)
                beginning = pose.heading_rad - math.pi / 2.0
                middle = piece.length_m / r / 2.0
                swept = np.mod(angle - beginning - middle + math.pi, _TURN) - math.pi + middle
                s = swept * r
            s = np.clip(s, 0.0, piece.length_m)
            near = self._locate_many(begin + s)
            nx, ny = x - near.x_m, y - near.y_m
            distance = np.hypot(nx, ny)
            left = -nx * np.sin(near.heading_rad) + ny * np.cos(near.heading_rad)
            closer = distance < best
            best = np.where(closer, distance, best)
            chainage = np.where(closer, self.from_m + begin + s, chainage)
            offset = np.where(closer, np.copysign(distance, left), offset)
        return chainage, offset
