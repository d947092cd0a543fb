"""Whether a laying fits a course, and the smallest change that makes it fit.

Everything here is in *run coordinates*: chainage times the direction, so that larger is always
farther on in the run.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from wicketlay.sources import FEWEST_WICKETS_LEFT
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wicketlay.ground.course import Course

_TINY_M = 1e-9
_CENTIMETRE_M = 0.01

Interval = tuple[float, float]
Slowdown = Literal["wanted", "least"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocker:
    """Something across a lane from one run coordinate to another [m]."""

    from_m: float
    to_m: float
    what: str
    laying_lane: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Where a laying's parts lie.

    ::

        begin            first         last      run_out_from           end
    |-rear|--approach--start--run-on--w1 ... wn------|------slow-down----|
          |<--- back_m (from first) ------>|         |<---- wanted_m --->|

    Parameters
    ----------
    first, last
        First and last mark that is not a start mark.
    run_out_from
        Where the slow-down begins.
    back_m
        Room needed before `first`: run-on and walk or jog, or a slow-down when run both ways.
    wanted_m, least_m
        Room needed after `run_out_from`; the same where a wall follows.
    rear_m
        Room needed behind `begin`: the rear foot's, where a wall stands there.
    wickets
        Places of the wickets in running order (for the remedy of taking fewer).
    """

    first: float
    last: float
    run_out_from: float
    back_m: float
    wanted_m: float
    least_m: float
    wickets: tuple[float, ...] = ()
    rear_m: float = 0.0

    @property
    def begin(self) -> float:
        """Where the corridor begins."""
        return self.first - self.back_m

    def end(self, slowdown: Slowdown = "wanted") -> float:
        """Where the slow-down ends."""
        return self.run_out_from + (self.wanted_m if slowdown == "wanted" else self.least_m)

    def shifted(self, by_m: float) -> Span:
        """Return the span moved on by `by_m`."""
        return replace(
            self,
            first=self.first + by_m,
            last=self.last + by_m,
            run_out_from=self.run_out_from + by_m,
            wickets=tuple(each + by_m for each in self.wickets),
        )

    def with_wickets(self, count: int) -> Span:
        """Return the span with only the first `count` wickets."""
        cut = self.wickets[-1] - self.wickets[count - 1]
        return replace(
            self,
            last=self.last - cut,
            run_out_from=self.run_out_from - cut,
            wickets=self.wickets[:count],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a course offers, in run coordinates; infinite where nothing ends it.

    Parameters
    ----------
    surface, stretch
        Where one can run, and where marks may lie.
    blockers
        Obstacles and other layings.
    """

    surface: Interval
    stretch: Interval
    blockers: tuple[Blocker, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """The smallest change after which a laying fits.

    Parameters
    ----------
    shift_m
        Move everything on (+) or back (-) by this; None when no shift alone helps.
    wickets
        Take only so many wickets, as they lie; None when that does not help.
    both
        Wickets and the shift that goes with them, when neither alone helps.
    """

    shift_m: float | None = None
    wickets: int | None = None
    both: tuple[int, float] | None = None


def bounds_of(course: Course, direction: int, blockers: Iterable[Blocker] = ()) -> Bounds:
    """Return a course's limits as one sees them who runs in `direction` (+1 or -1)."""
    surface = (course.surface_from_m, course.surface_to_m)
    stretch = (course.marks_from_m, course.marks_to_m)
    if direction < 0:
        surface, stretch = (-surface[1], -surface[0]), (-stretch[1], -stretch[0])
    return Bounds(surface=surface, stretch=stretch, blockers=tuple(blockers))


def slack(span: Span, bounds: Bounds, slowdown: Slowdown) -> tuple[Interval, ...]:
    """Return the shifts [m] with which a span fits: disjoint intervals in ascending order."""
    low = max(bounds.surface[0] + span.rear_m - span.begin, bounds.stretch[0] - span.first)
    high = min(bounds.surface[1] - span.end(slowdown), bounds.stretch[1] - span.last)
    free = [(low, high)]
    for blocker in bounds.blockers:
        shut = (blocker.from_m - span.end(slowdown), blocker.to_m - span.begin)
        free = [
            part
            for begin, end in free
            for part in ((begin, min(end, shut[0])), (max(begin, shut[1]), end))
            if part[0] <= part[1] + _TINY_M
        ]
    return tuple((begin, end) for begin, end in sorted(set(free)) if begin <= end + _TINY_M)


def longest_usable(span: Span, bounds: Bounds, slowdown: Slowdown) -> float:
    """Return the longest clear piece [m] the corridor could lie in with its marks on the stretch.

    A span fits somewhere exactly when this is no shorter than the corridor.
    """
    end = span.end(slowdown)
    begins = [bounds.surface[0] + span.rear_m, *(blocker.to_m for blocker in bounds.blockers)]
    ends = [bounds.surface[1], *(blocker.from_m for blocker in bounds.blockers)]
    low = bounds.stretch[0] - span.back_m
    high = bounds.stretch[1] + (end - span.last)
    longest = 0.0
    for begin in begins:
        if any(blocker.from_m <= begin < blocker.to_m for blocker in bounds.blockers):
            continue
        nearest = min((each for each in ends if each >= begin), default=begin)
        longest = max(longest, min(nearest, high) - max(begin, low))
    return longest


def nearest_shift(free: Sequence[Interval]) -> float | None:
    """Return the smallest shift among `free`, rounded up to a whole centimetre where it can be."""
    best: float | None = None
    for begin, end in free:
        exact = min(max(0.0, begin), end)
        away = math.copysign(math.ceil(abs(exact) / _CENTIMETRE_M - 1e-6) * _CENTIMETRE_M, exact)
        shift = away if begin - _TINY_M <= away <= end + _TINY_M else exact
        if best is None or abs(shift) < abs(best):
            best = shift
    return best


def mend(span: Span, bounds: Bounds, slowdown: Slowdown, *, anchored: bool = False) -> Mend:
    """Return the smallest change that makes a span fit.

    Parameters
    ----------
    span, bounds
        What is to fit where.
    slowdown
        Which slow-down it is to have. A shift to the wanted one is preferred either way.
    anchored
        True when nothing can be shifted (a take-off board).
    """
    shift = None
    if not anchored:
        shift = nearest_shift(slack(span, bounds, "wanted"))
        if shift is None and slowdown == "least":
            shift = nearest_shift(slack(span, bounds, "least"))
    wickets = None
    both = None
    for count in range(len(span.wickets) - 1, int(FEWEST_WICKETS_LEFT) - 1, -1):
        free = slack(span.with_wickets(count), bounds, slowdown)
        if any(begin <= _TINY_M and end >= -_TINY_M for begin, end in free):
            wickets = count
            break
        if both is None and not anchored:
            by = nearest_shift(free)
            both = None if by is None else (count, by)
    if shift is not None or (both is not None and wickets is not None and both[0] <= wickets):
        both = None
    return Mend(shift_m=shift, wickets=wickets, both=both)


def room_ahead(span: Span, bounds: Bounds) -> tuple[float, Blocker | None]:
    """Return the free length after the last mark and what ends it (None: the surface).

    What stands among the marks is not counted: it is a finding of its own.
    """
    room = bounds.surface[1] - span.run_out_from
    what: Blocker | None = None
    for blocker in bounds.blockers:
        if -_TINY_M <= blocker.from_m - span.run_out_from < room:
            room, what = blocker.from_m - span.run_out_from, blocker
    return room, what


def room_behind(span: Span, bounds: Bounds) -> float:
    """Return the free length behind the start mark and its walk or jog."""
    room = span.begin - bounds.surface[0]
    for blocker in bounds.blockers:
        if blocker.from_m < span.begin:
            room = min(room, span.begin - blocker.to_m)
    return room
