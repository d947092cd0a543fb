"""What a tape reads at each mark: zeros, pulls, whole ticks and the error of it all."""

from __future__ import annotations

import math
from bisect import bisect_left
from operator import itemgetter
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Finding, Level
from wicketlay.ground.courses import fixed_points
from wicketlay.ground.placed import LINE
from wicketlay.ground.readings import (
    Pull,
    PullDirection,
    Reading,
    TapeClass,
    TapeLies,
    TapeSheet,
    TapeSpec,
    Tick,
    whole_ticks,
)
from wicketlay.ground.tape_errors import (
    steel_reading_m,
    tape_error_mm,
    whole_metres,
)
from wicketlay.sources import DEFAULTS, TAPE_CLASS_MM, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.findings import Value
    from wicketlay.ground.course import Course
    from wicketlay.ground.placed import FixedPoint, Placed

__all__ = [
    "LINE",
    "Pull",
    "PullDirection",
    "Reading",
    "TapeClass",
    "TapeLies",
    "TapeSheet",
    "TapeSpec",
    "Tick",
    "measured_m",
    "moved_ticks",
    "steel_reading_m",
    "tape_error_mm",
    "tape_sheet",
]


def tape_sheet(
    placed: Placed,
    spec: TapeSpec,
    judgement: Judgement = DEFAULTS,
    chainages: Mapping[str, float] | None = None,
) -> TapeSheet:
    """Return what the tape reads at every mark of a laying.

    Parameters
    ----------
    spec
        The tape; its zero is the layout's datum unless it names a mark.
    chainages
        Where the marks lie [m] when not where they are placed; the zero's fixed points are then
        not looked for.

    Returns
    -------
    TapeSheet
        Pull 1 runs from the zero with the run (for a take-off line, where everything lies
        behind it, against the run); what lies before the zero is read in a pull against the
        run. Where the tape ends, a new pull begins at the last mark it reached. Readings ascend
        from 0 in walking order.
    """
    findings: list[Finding] = []
    lies = placed.chainages if chainages is None else chainages
    zero_id = _zero(placed, lies, spec, findings)
    direction = placed.direction
    zero_at = direction * lies[zero_id]
    places = [(direction * at, mark_id) for mark_id, at in lies.items() if mark_id != LINE]
    places.sort(key=itemgetter(0))
    nearest = bisect_left(places, (zero_at,))
    ahead = [each for each in places[nearest:] if each[1] != zero_id]
    behind = places[:nearest][::-1]
    layer = _Layer(
        placed=placed,
        spec=spec,
        judgement=judgement,
        findings=findings,
        as_placed=chainages is None,
    )
    if ahead or not behind:
        layer.pull(PullDirection.RUNNING, zero_id, zero_at, ahead)
    if behind:
        layer.pull(PullDirection.BACK, zero_id, zero_at, behind)
    pulls = tuple(layer.pulls)
    worst = max([reading.error_mm for pull in pulls for reading in pull.readings])
    return TapeSheet(
        spec=spec,
        pulls=pulls,
        error_mm=worst,
        findings=tuple([replace(f, lane=placed.course.told_lane) for f in findings]),
    )


def _zero(
    placed: Placed, lies: Mapping[str, float], spec: TapeSpec, findings: list[Finding]
) -> str:
    """Return the id of the zero: what is asked for where that lies, else what is nearest."""
    asked = placed.datum.value if spec.zero is None else spec.zero
    if asked in lies:
        return asked
    if spec.zero is not None:
        known = ", ".join(sorted(lies, key=lambda each: each != LINE))
        findings.append(Finding.stop("tape-zero-unknown", asked=spec.zero, known=known))
    body = [m for m in placed.marks if m.mark.kind is not MarkKind.START]
    return min(body or placed.marks, key=lambda m: abs(m.mark.along_m)).mark.id


@dataclass(frozen=True, slots=True, kw_only=True)
class _Carried:
    """What a pull takes over from the one before: errors [mm], how far its zero lies off [m].

    `line_m` is where that zero lies along what the tape lies on, from the first one [m].
    """

    error_mm: float = 0.0
    length_m: float = 0.0
    off_m: float = 0.0
    line_m: float = 0.0


_ON_STRAIGHT: tuple[int | None, int | None] = (None, None)
"""What tapes on the run line and on paint show where both lie alike: nothing of their own."""


class _Layer:
    """Lays the tape, pull after pull."""

    def __init__(
        self,
        *,
        placed: Placed,
        spec: TapeSpec,
        judgement: Judgement,
        findings: list[Finding],
        as_placed: bool,
    ) -> None:
        self.placed = placed
        self.spec = spec
        self.judgement = judgement
        self.findings = findings
        self.pulls: list[Pull] = []
        self.tick = spec.tick
        self.tick_m = spec.tick.metres
        self.half_tick_mm = self.tick_m * 500.0
        self.as_placed = as_placed
        self.warm = spec.temperature_c is not None
        self.fixed_mm, self.per_metre_mm = TAPE_CLASS_MM[spec.tape_class.value]
        course = placed.course
        self.bends = course if course.run_line.bent else None

    def pull(
        self,
        direction: PullDirection,
        zero_id: str,
        zero_at: float,
        places: Sequence[tuple[float, str]],
    ) -> None:
        """Add the pulls from one zero in one direction; `places` in walking order."""
        carried = _Carried()
        if self.pulls:
            carried = _Carried(error_mm=float(self.judgement.mark_error_m) * 1000.0)
        tick, tick_m, per_metre_mm = self.tick, self.tick_m, self.per_metre_mm
        most = math.floor((self.spec.length_m + 1e-9) / tick_m)
        left = places
        while True:
            readings = [self._zero_reading(zero_id, carried)]
            sure_mm = carried.error_mm + self.fixed_mm + self.half_tick_mm
            off_m, line_m = carried.off_m, carried.line_m
            for at, mark_id in left:
                length, on_bend = abs(at - zero_at), _ON_STRAIGHT
                if self.bends is not None:
                    length, on_bend = self._on_bend(zero_at, at, carried)
                true = length - off_m
                ticks = math.floor(true / tick_m + 0.5)
                if ticks > most:
                    if len(readings) > 1:
                        break
                    self._too_short(mark_id, zero_id, ticks * tick_m)
                error = sure_mm + per_metre_mm * whole_metres(true)
                if self.warm:
                    error += self._heat_mm(carried.length_m + true)
                readings.append(
                    Reading(
                        mark_id=mark_id,
                        ticks=ticks,
                        tick=tick,
                        true_m=true,
                        line_m=line_m + (length if at >= zero_at else -length),
                        error_mm=error,
                        run_line_ticks=on_bend[0],
                        painted_ticks=on_bend[1],
                    )
                )
            left = left[len(readings) - 1 :]
            self._refuse_straight(zero_at, left, places, readings)
            self.pulls.append(
                Pull(
                    number=len(self.pulls) + 1,
                    zero_id=zero_id,
                    direction=direction,
                    readings=tuple(readings),
                    fixed_points=self._fixed(zero_id, zero_at),
                )
            )
            if not left:
                return
            last = readings[-1]
            zero_id = last.mark_id
            zero_at = next(at for at, mark_id in places if mark_id == zero_id)
            carried = self._handed_on(carried, last)
            self.findings.append(
                Finding.note("tape-new-pull", None, zero_id, tape_m=self.spec.length_m)
            )

    def _zero_reading(self, zero_id: str, carried: _Carried) -> Reading:
        return Reading(
            mark_id=zero_id,
            ticks=0,
            tick=self.spec.tick,
            true_m=0.0,
            line_m=carried.line_m,
            error_mm=carried.error_mm + self._heat_mm(carried.length_m),
        )

    def _measure(self, lies: TapeLies, zero_at: float, at: float) -> float:
        """Return the distance [m] from the zero to a mark along a tape that lies so."""
        direction = self.placed.direction
        return measured_m(self.placed.course, lies, direction * zero_at, direction * at)

    def _bent(self, zero_at: float, at: float) -> float:
        """Return how many metres of the run line between two places are bend."""
        if self.bends is None:
            return 0.0
        direction = self.placed.direction
        return self.bends.run_line.bend_between(direction * zero_at, direction * at)

    def _on_bend(
        self, zero_at: float, at: float, carried: _Carried
    ) -> tuple[float, tuple[int | None, int | None]]:
        """Return how far a mark is [m] and what a tape on the run line and on paint would show."""
        shown = _ON_STRAIGHT
        if self._bent(zero_at, at) > 0.0:
            run, paint = (
                whole_ticks(self._measure(lies, zero_at, at) - carried.off_m, self.tick)
                for lies in (TapeLies.RUN_LINE, TapeLies.PAINTED_LINE)
            )
            shown = run, paint
        return self._measure(self.spec.lies, zero_at, at), shown

    def _heat_mm(self, length_m: float) -> float:
        if self.spec.temperature_c is None:
            return 0.0
        return abs(length_m - steel_reading_m(length_m, self.spec.temperature_c)) * 1000.0

    def _handed_on(self, carried: _Carried, last: Reading) -> _Carried:
        """Return what the next pull takes over when its zero is the mark of `last`.

        The mark stands where its rounded reading put it, so its rounding is known and taken off
        the readings of the next pull instead of being added to the error.
        """
        laid = last.ticks * self.tick_m
        return _Carried(
            error_mm=carried.error_mm
            + tape_error_mm(max(0.0, laid), self.spec.tape_class)  # less than none is none
            + float(self.judgement.mark_error_m) * 1000.0,
            length_m=carried.length_m + laid,
            off_m=laid - last.true_m,
            line_m=last.line_m,
        )

    def _too_short(self, mark_id: str, zero_id: str, reach_m: float) -> None:
        self.findings.append(
            Finding.stop(
                "tape-too-short",
                None,
                mark_id,
                reach_m=reach_m,
                longer_m=reach_m,
                tape_m=self.spec.length_m,
                zero_mark=zero_id,
            )
        )

    def _refuse_straight(
        self,
        zero_at: float,
        left: Sequence[tuple[float, str]],
        places: Sequence[tuple[float, str]],
        readings: Sequence[Reading],
    ) -> None:
        """Refuse a tape pulled straight over more of a bend than the limit."""
        if self.spec.lies is not TapeLies.STRAIGHT or len(readings) < 2:
            return
        at, mark_id = places[len(places) - len(left) - 1]
        arc = self._bent(zero_at, at)
        if arc > float(self.judgement.straight_pull_m):
            self.findings.append(
                Finding.stop(
                    "tape-straight-on-bend",
                    None,
                    mark_id,
                    arc_m=arc,
                    limit_m=float(self.judgement.straight_pull_m),
                    error_mm=(abs(at - zero_at) - readings[-1].true_m) * 1000.0,
                )
            )

    def _fixed(self, zero_id: str, zero_at: float) -> tuple[FixedPoint, ...]:
        if not self.as_placed:
            return ()
        course = self.placed.course
        for pull in self.pulls:
            if pull.zero_id == zero_id:
                return pull.fixed_points
        direction = self.placed.direction
        told = self.placed.told
        reach = self.spec.length_m + self.tick_m / 2
        points = fixed_points(course, direction * zero_at, direction, told, reach)
        if not self.pulls:
            self._far(points, told, reach)
        return points

    def _far(self, points: Sequence[FixedPoint], told: str | None, reach: float) -> None:
        """Say that no fixed point of the zero is in reach, or not the one that was told.

        Where none is told of a place that has some, its words are not known: a stop says so.
        """
        if told is None or not points or points[-1].distance_m <= reach:
            return
        far = points[-1]
        level, code = Level.NOTE, "tape-told-far"
        if points[0].distance_m > reach:
            far = points[0]
            level, code = Level.CAUTION, "tape-zero-far"
        elif far.landmark.key != told:
            return
        values: dict[str, Value] = {
            "away_m": far.distance_m,
            "landmark": far.landmark.text,
            "tape_m": self.spec.length_m,
            "longer_m": far.distance_m,
            "other": points[0].landmark.text,
        }
        self.findings.append(Finding.of(code, level, **values))


def measured_m(course: Course, lies: TapeLies, one_m: float, other_m: float) -> float:
    """Return the distance between two chainages along a tape that lies so [m]."""
    if not course.run_line.bent or lies is TapeLies.RUN_LINE:
        return abs(other_m - one_m)
    if lies is TapeLies.STRAIGHT:
        return course.run_line.chord(one_m, other_m)
    return abs(course.run_line.length_beside(one_m, other_m, course.painted_offset_m))


Lying = tuple["Mapping[str, float]", TapeSheet]
"""Where the marks of a laying lie [m], as `Placed.chainages`, and what the tape shows there."""


def moved_ticks(placed: Placed, before: Lying, after: Lying, mark_id: str) -> int:
    """Return how far a mark moves from one laying to the next, positive in the running direction.

    Read from a zero that stays it is the difference of the two readings; else the true distance
    along what the tape lies on, rounded once. `placed` lies on the lane of both.
    """
    read = []
    for lies, sheet in (before, after):
        try:
            pull, reading = sheet.reading(mark_id)
        except KeyError:
            continue
        read.append((pull.direction, pull.zero_id, round(lies[pull.zero_id], 6), reading))
    if len(read) == 2 and read[0][:3] == read[1][:3]:
        return (read[1][3].ticks - read[0][3].ticks) * read[0][0].way
    was, now = before[0][mark_id], after[0][mark_id]
    spec = after[1].spec
    length = measured_m(placed.course, spec.lies, was, now)
    way = 1 if placed.direction * (now - was) > 0 else -1
    return way * whole_ticks(length, spec.tick)
