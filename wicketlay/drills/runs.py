"""The run a layout is for: its parts, and speed and time anywhere along it."""

from __future__ import annotations

from enum import StrEnum

from wicketlay.running.sprint import SpeedCurve
from wicketlay.values import dataclass


class Pace(StrEnum):
    """How a part is run."""

    FULL = "full"
    """Building towards the speed asked for."""
    TIMED = "timed"
    """The same, and what the run is for: it is timed and counts as metres at speed."""
    EASY = "easy"
    """At one speed, a share of that reached before it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a run: how long [m], how it is run, and for an easy one at which share."""

    length_m: float
    pace: Pace
    easy_share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What is run on one curve, or at one speed, from a distance and a time on.

    Places are of the body, from the start mark [m]; the last piece goes on beyond its end.
    """

    from_m: float
    to_m: float
    from_s: float
    speed_mps: float
    curve: SpeedCurve | None

    def time_at(self, place_m: float) -> float:
        """Return the time [s] from the first movement at a place within it."""
        ran = place_m - self.from_m
        took = ran / self.speed_mps if self.curve is None else self.curve.time_at(ran)
        return self.from_s + took

    def speed_at(self, place_m: float) -> float:
        """Return the speed [m/s] at a place within it."""
        if self.curve is None:
            return self.speed_mps
        return self.curve.speed_at(self.curve.time_at(place_m - self.from_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A runner's speed and time along the parts of a layout; where speed drops a piece ends."""

    pieces: tuple[Piece, ...]

    def time_at(self, place_m: float) -> float:
        """Return the time [s] from the first movement when the body passes a place [m]."""
        return self._piece(place_m).time_at(place_m)

    def speed_at(self, place_m: float) -> float:
        """Return the speed [m/s] with which the body comes to a place [m]."""
        return self._piece(place_m).speed_at(place_m)

    def _piece(self, place_m: float) -> Piece:
        return next((each for each in self.pieces if place_m <= each.to_m), self.pieces[-1])


def run_along(curve: SpeedCurve, parts: tuple[Part, ...]) -> Run:
    """Return the run of who builds along `curve`, part by part.

    Parts run in full one after the other are one piece: its curve has no seam. One after an easy
    part builds along the same curve from the speed it begins with.
    """
    pieces: list[Piece] = []
    place, clock, speed = 0.0, 0.0, curve.initial_speed_mps
    for part in parts:
        easy = part.pace is Pace.EASY
        if pieces and not easy and pieces[-1].curve is not None:
            last = pieces.pop()
            piece = Piece(
                from_m=last.from_m,
                to_m=place + part.length_m,
                from_s=last.from_s,
                speed_mps=last.speed_mps,
                curve=last.curve,
            )
        else:
            speed *= part.easy_share if easy else 1.0
            builds = not easy and speed < curve.top_speed_mps
            piece = Piece(
                from_m=place,
                to_m=place + part.length_m,
                from_s=clock,
                speed_mps=speed,
                curve=SpeedCurve(curve.top_speed_mps, curve.time_constant_s, speed)
                if builds
                else None,
            )
        place = piece.to_m
        clock, speed = piece.time_at(place), piece.speed_at(place)
        pieces.append(piece)
    return Run(pieces=tuple(pieces))
