"""Whether a laying has room on a course; each finding with the smallest change that mends it.

A finding about room comes under one base code with an ending that says what mends it:

=====================  =====================================================================
``-shift``             move everything (`slide_m` is signed in the running direction)
``-shift-or-fewer``    move everything, or take only so many wickets where they lie
``-fewer``             take only so many wickets where they lie
``-fewer-and-shift``   both
``-anchored``          nothing can be moved (a take-off board): shorten the approach
``-no-room``           nothing fits here
=====================  =====================================================================

Solving a whole plan lays smaller runs, and puts one of `SMALLER_ENDINGS` in the place of
``-no-room`` when one of them fits.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Finding, Level
from wicketlay.ground.fitting import (
    Blocker,
    Bounds,
    Mend,
    Slowdown,
    Span,
    longest_usable,
    mend,
    room_ahead,
)
from wicketlay.sources import REAR_FOOT_M
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wicketlay.drills.marks import Layout
    from wicketlay.findings import Value
    from wicketlay.ground.course import Course

ROOM_CODES = (
    "ground-start-off-surface",
    "ground-start-at-wall",
    "ground-approach-off-surface",
    "ground-mark-off-stretch",
    "ground-run-out-too-short",
    "ground-run-out-short",
    "ground-both-ways-short",
    "ground-obstacle",
    "ground-laying-overlap",
    "ground-run-out-into-bend",
    "ground-run-on-from-bend",
)
"""Base codes of the findings about room."""
ENDINGS = ("shift", "shift-or-fewer", "fewer", "fewer-and-shift", "anchored", "no-room")
"""What may follow a base code."""
SMALLER_ENDINGS = ("slower", "slower-and-shift", "fewer-and-slower", "fewer-and-slower-and-shift")
"""What else may follow it in a solved plan, beside `fewer` and `fewer-and-shift`."""

_TINY_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomChecks:
    """The checks of length of one laying on one course, in run coordinates."""

    layout: Layout
    course: Course
    span: Span
    bounds: Bounds
    direction: int
    both: bool
    jump: bool

    def all(self) -> list[Finding]:
        """Return every finding about room.

        Marks off the stretch that was named lie at a wrong place: that alone is said, since all
        else would be said of a place nobody meant.
        """
        start, off = [*self._start()], [*self._stretch()]
        if off and not self.jump:
            return off
        # From a board nothing can be moved: what is missing is told of the start alone.
        return [*(start or off), *self._blocked(), *self._run_out(), *self._bends()]

    def _finding(
        self,
        level: Level,
        base: str,
        values: dict[str, Value],
        *,
        slowdown: Slowdown = "least",
        mark: str | None = None,
        bounds: Bounds | None = None,
    ) -> Finding:
        """Return a finding with the ending and the values of what mends it."""
        limits = self.bounds if bounds is None else bounds
        change = mend(self.span, limits, slowdown, anchored=self.jump)
        ending, more = self._change(change, limits, slowdown)
        return Finding.of(f"{base}-{ending}", level, None, mark, **values, **more)

    def _change(
        self, change: Mend, limits: Bounds, slowdown: Slowdown
    ) -> tuple[str, dict[str, Value]]:
        if change.shift_m is not None:
            shift = _shift_values(change.shift_m)
            if change.wickets is not None:
                return "shift-or-fewer", {**shift, "wickets": change.wickets}
            return "shift", shift
        if change.both is not None:
            count, by = change.both
            return "fewer-and-shift", {**_shift_values(by), "wickets": count}
        if change.wickets is not None:
            return "fewer", {"wickets": change.wickets}
        if self.jump:
            return "anchored", {}
        end = self.span.end(slowdown)
        have = longest_usable(self.span, limits, slowdown)
        return "no-room", {"needed_m": end - self.span.begin, "have_m": have}

    def _start(self) -> Iterator[Finding]:
        short = self.bounds.surface[0] - self.span.begin
        wall = self.course.wall_ahead(-self.direction)
        what = "the wall" if wall else "the end of the surface"
        if short <= _TINY_M:
            if short + self.span.rear_m > _TINY_M:
                yield self._finding(
                    Level.STOP,
                    "ground-start-at-wall",
                    {
                        "room_m": self.layout.approach_m - short,
                        "least_m": float(REAR_FOOT_M),
                        "short_m": self.span.rear_m + short,
                    },
                    mark=self.layout.start.id,
                )
            return
        values: dict[str, Value] = {"short_m": short, "what": what}
        if self.both:
            yield self._finding(Level.STOP, "ground-both-ways-short", {**values, "where": "before"})
        elif short <= self.layout.approach_m + _TINY_M:
            values["approach_m"] = self.layout.approach_m
            yield self._finding(
                Level.STOP, "ground-approach-off-surface", values, mark=self.layout.start.id
            )
        else:
            values["short_m"] = short - self.layout.approach_m
            yield self._finding(
                Level.STOP, "ground-start-off-surface", values, mark=self.layout.start.id
            )

    def _stretch(self) -> Iterator[Finding]:
        begin, end = self.bounds.stretch
        for short, where, pick in (
            (begin - self.span.first, "before the beginning", min),
            (self.span.last - end, "past the end", max),
        ):
            if short > _TINY_M:
                body = [m for m in self.layout.marks if m.kind is not MarkKind.START]
                if not body:
                    continue
                worst = pick(body, key=lambda each: each.along_m)
                yield self._finding(
                    Level.STOP,
                    "ground-mark-off-stretch",
                    {"short_m": short, "where": where, "line": self.course.text},
                    mark=worst.id,
                )

    def _blocked(self) -> Iterator[Finding]:
        for blocker in self.bounds.blockers:
            if (
                blocker.to_m <= self.span.begin + _TINY_M
                or blocker.from_m >= self.span.run_out_from - _TINY_M
            ):
                continue
            values: dict[str, Value] = {
                "what": blocker.what,
                "from_m": abs(blocker.from_m - self.span.first),
                "where": "after" if blocker.from_m >= self.span.first else "before",
            }
            base = "ground-obstacle" if blocker.laying_lane is None else "ground-laying-overlap"
            yield self._finding(Level.STOP, base, values)

    def _run_out(self) -> Iterator[Finding]:
        if self.jump:
            return
        room, blocker = room_ahead(self.span, self.bounds)
        what = self._ending(blocker)
        if self.both:
            if room < self.span.wanted_m - _TINY_M:
                short = self.span.wanted_m - room
                values: dict[str, Value] = {"short_m": short, "what": what, "where": "after"}
                yield self._finding(Level.STOP, "ground-both-ways-short", values)
            return
        least = self.span.least_m
        values = {"room_m": max(room, 0.0), "what": what}
        if room < least - _TINY_M:
            values |= {"least_m": least, "short_m": least - room}
            yield self._finding(Level.STOP, "ground-run-out-too-short", values)
            assumed_m = self.course.assumed_ahead_m
            if assumed_m and blocker is None and self.direction > 0:
                line = self.course.text
                yield Finding.note("ground-ahead-assumed", ahead_m=assumed_m, line=line)
        elif room < self.span.wanted_m - _TINY_M:
            values |= {"wanted_m": self.span.wanted_m, "short_m": self.span.wanted_m - room}
            yield self._finding(Level.CAUTION, "ground-run-out-short", values, slowdown="wanted")

    def _ending(self, blocker: Blocker | None) -> str:
        if blocker is not None:
            return blocker.what
        if self.course.wall_ahead(self.direction):
            return "the wall"
        if self.course.pit is not None and self.direction > 0:
            return "the pit"
        return "the end of the surface"

    def _bends(self) -> Iterator[Finding]:
        """Say when a run on a named straight comes out of a bend or slows down into one."""
        begin, end = self.bounds.stretch
        if math.isinf(begin) or self.span.first < begin or self.span.last > end or self.jump:
            return
        low, high = self.bounds.surface
        for short, base, level, edge, surface in (
            (
                self.span.end() - max(end, self.span.run_out_from),
                "ground-run-out-into-bend",
                Level.CAUTION,
                end,
                (low, end),
            ),
            (
                begin - self.span.begin,
                "ground-run-on-from-bend",
                Level.NOTE,
                begin,
                (begin, high),
            ),
        ):
            if short > _TINY_M and self._bend_beyond(edge):
                limits = replace(self.bounds, surface=surface)
                yield self._finding(
                    level, base, {"bend_m": short}, slowdown="wanted", bounds=limits
                )

    def _bend_beyond(self, edge: float) -> bool:
        """Return True when a straight stretch goes over into a bend at its `edge`."""
        line = self.course.run_line
        inside = (self.bounds.stretch[0] + self.bounds.stretch[1]) / 2.0
        outside = edge + math.copysign(0.5, edge - inside)
        if not line.closed and not line.from_m <= self.direction * outside <= line.to_m:
            return False
        return math.isinf(line.radius_at(self.direction * inside)) and not math.isinf(
            line.radius_at(self.direction * outside)
        )


def _shift_values(shift_m: float) -> dict[str, Value]:
    way = "forward" if shift_m > 0 else "back"
    return {"shift_m": abs(shift_m), "way": way, "slide_m": shift_m}
