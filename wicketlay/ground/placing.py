"""Laying a layout on a real line, and saying whether it fits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.kit import Kit
from wicketlay.drills.marks import AlongM, Datum, MarkKind
from wicketlay.findings import Finding, Level
from wicketlay.ground import clearance
from wicketlay.ground.courses import (
    course_of,
    known_lanes,
    room_before,
)
from wicketlay.ground.fit_findings import (
    direction_findings,
    marks_on_bend,
    runway_findings,
    width_findings,
)
from wicketlay.ground.fitting import (
    Blocker,
    Span,
    bounds_of,
    room_ahead,
    room_behind,
)
from wicketlay.ground.in_words import shift_in_words
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.placed import (
    Direction,
    Fit,
    FixedPoint,
    FreeZero,
    Place,
    Placed,
    PlacedMark,
)
from wicketlay.ground.room_findings import RoomChecks
from wicketlay.ground.standing import marks_on
from wicketlay.sources import DEFAULTS, LONG_SLIDE_M, REAR_FOOT_M, Judgement
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills.marks import Layout
    from wicketlay.ground import Ground
    from wicketlay.ground.course import Course

__all__ = [
    "Direction",
    "Fit",
    "FixedPoint",
    "FreeZero",
    "Place",
    "Placed",
    "PlacedMark",
    "blockers_of",
    "course_of",
    "known_lanes",
    "place",
    "room_before",
    "settle",
    "span_of",
]


_BAG = Kit()
_OF_THE_WORDS = (
    "ground-place-not-told",
    "ground-behind-assumed",
    "ground-ahead-assumed",
    "ground-beside-middle",
)
_NOT_A_PLACE = ("ground-word-needs-length", "ground-line-unknown", "ground-lane-unknown")


def place(
    layout: Layout,
    ground: Ground,
    place: Place,
    *,
    lane: int,
    kit: Kit = _BAG,
    judgement: Judgement = DEFAULTS,
    others: Sequence[Placed] = (),
) -> Placed:
    """Lay a layout on a ground and say whether it fits.

    Parameters
    ----------
    others
        Layings that lie there at the same time.

    Returns
    -------
    Placed
        Never an error: what does not fit or is not known is a finding, and the laying is put
        where the ground's first line and lane, or its zero, would have it.
    """
    findings: list[Finding] = []
    course = _course(ground, place, lane, findings)
    told = _told(course, place, findings)
    both = place.direction is Direction.BOTH
    direction = -1 if place.direction is Direction.AGAINST else 1
    jump = layout.datum is Datum.TAKEOFF_LINE and course.pit is not None
    zero = 0.0 if told is None else direction * told.chainage_m
    told_mark, anchor_m = _anchor(layout, place, findings)
    datum = zero + direction * place.offset_m - anchor_m
    span = span_of(layout, datum, course, direction, both=both, jump=jump)
    bounds = bounds_of(course, direction, blockers_of(course, direction, span, ground, others))
    by = place.slide_m + shift_in_words(
        place, course, span, bounds, datum_from_zero=datum - zero, findings=findings
    )
    if by:
        datum, span = datum + by, span.shifted(by)
        if course.loop_m is not None:
            # What stands on a lap is written down near the span, which has just moved.
            again = blockers_of(course, direction, span, ground, others)
            bounds = replace(bounds, blockers=again)

    line = None
    if layout.datum is Datum.TAKEOFF_LINE:
        # The line is the board itself where there is one: sliding the marks leaves it there.
        board = told is not None and (told.key in course.boards or told.key == course.zero)
        line = direction * (datum - place.slide_m)
        line = float(told.chainage_m) if told is not None and jump and board else line
    marks = marks_on(layout, course, direction, datum, kit, both=both)
    misnamed = [each for each in findings if each.level is Level.STOP]
    # Of a place told in words nobody knows only that is said: all else would be of another place.
    findings = misnamed or findings
    if not misnamed:
        findings += RoomChecks(
            layout=layout,
            course=course,
            span=span,
            bounds=bounds,
            direction=direction,
            both=both,
            jump=jump,
        ).all()
        if line is not None:
            findings += _slide_findings(datum - direction * line)
    ahead, _ = room_ahead(span, bounds)
    behind = room_behind(span, bounds)
    placed = Placed(
        ground=ground.name,
        line=course.line,
        line_text=_line_text(course, told, jump=jump),
        lane=course.lane,
        direction=direction,
        marks=marks,
        start_chainage_m=ChainageM(direction * span.begin),
        stop_chainage_m=ChainageM(line if line is not None and jump else direction * span.end()),
        run_out_least_m=min(span.least_m, layout.run_out_wanted_m),
        run_out_room_m=max(ahead, 0.0) if math.isfinite(ahead) else None,
        behind_start_room_m=max(behind, 0.0) if math.isfinite(behind) else None,
        told=None if told is None or misnamed else told.key,
        told_mark=told_mark,
        both_ways=both,
        datum=layout.datum,
        course=course,
        free_zero=None
        if course.landmarks
        else FreeZero(sighting_m=float(judgement.sighting_cone_m), noted=course.noted),
        wicket_width_m=kit.wicket_width_m,
        line_chainage_m=None if line is None else ChainageM(line),
    )
    if not misnamed:
        findings += marks_on_bend(placed)
        findings += width_findings(placed, course, kit, others)
        findings += direction_findings(layout, placed, kit, place.direction, others)
        if course.pit is not None:
            findings += runway_findings(layout, place.direction, jump=jump)
    findings += ground.cautions(_boards_told(course, told) if jump else ())
    if not findings:
        return placed
    return replace(placed, findings=tuple(replace(f, lane=course.told_lane) for f in findings))


def settle(
    layouts: Sequence[Layout],
    ground: Ground,
    where: Place,
    *,
    kit: Kit = _BAG,
) -> tuple[Place, tuple[Finding, ...]]:
    """Return one place told by a number for layouts that share a place told in words.

    Waves and lanes then have their first mark at one distance from the landmark, so that
    nothing moves between them but the gaps.

    Parameters
    ----------
    layouts
        All that are to lie there, one after the other or side by side.
    ground, where, kit
        As for `place`.

    Returns
    -------
    Place
        With `fit` given and landmark, mark and offset set; unchanged when it was told by a
        number already, or when its words mean nothing on that line.
    tuple of Finding
        What the words had to say ("laid as far back as the ground allows").
    """
    if where.fit is Fit.END_AT or where.by_number:
        return where, ()
    lane = where.lanes[0]
    laid = [place(each, ground, where, lane=lane, kit=kit) for each in layouts]
    said = {f.code: f for each in laid for f in each.findings if f.code in _OF_THE_WORDS}
    told = where.fit in (Fit.FAR, Fit.MIDDLE) or said
    if not told or any(f.code in _NOT_A_PLACE for each in laid for f in each.findings):
        return where, ()
    course = laid[0].course
    direction = laid[0].direction
    zero = course.landmark(course.zero)
    zero_m = 0.0 if zero is None else float(zero.chainage_m)
    data = [float(each.chainage_of(AlongM(0.0))) - zero_m for each in laid]
    if where.fit is Fit.MIDDLE:
        between = math.floor(sum(data) / len(data) * 10.0 + 0.5) / 10.0
        choices = [between, min(data), max(data)]
    else:
        # The one that lies least far back leaves room for all of them.
        choices = [max(data) if where.fit is Fit.FAR or direction > 0 else min(data)]
    places = [
        replace(
            where,
            fit=Fit.GIVEN,
            landmark=None if zero is None else zero.key,
            mark=layouts[0].datum.value,
            offset_m=at - direction * where.slide_m,
        )
        for at in choices
    ]

    def fits(spot: Place) -> bool:
        tried = (place(each, ground, spot, lane=lane, kit=kit) for each in layouts)
        return not any(f.level is Level.STOP for each in tried for f in each.findings)

    best = places[0] if len(places) == 1 else next(filter(fits, places), places[0])
    # What is said of a place that several lanes share names none of them.
    shared = len(where.lanes) > 1
    return best, tuple(replace(f, lane=None) if shared else f for f in said.values())


def _slide_findings(past_m: float) -> list[Finding]:
    """Say when a take-off run lies so far past its line (+) or before it (-) that it is a slip."""
    if abs(past_m) <= LONG_SLIDE_M + 1e-9:
        return []
    by_m, limit_m = abs(past_m), float(LONG_SLIDE_M)
    if past_m > 0.0:
        return [Finding.stop("takeoff-past-the-line", by_m=by_m, limit_m=limit_m)]
    return [Finding.caution("takeoff-slid-far", by_m=by_m, limit_m=limit_m)]


def _course(ground: Ground, place: Place, lane: int, findings: list[Finding]) -> Course:
    line = ground.lines[0] if place.line is None else place.line
    if line not in ground.lines:
        findings.append(
            Finding.stop("ground-line-unknown", asked=line, known=", ".join(ground.lines))
        )
        line = ground.lines[0]
    lanes = ground.lanes_of(line)
    if lane not in lanes:
        known = str(lanes[0]) if len(lanes) == 1 else f"{lanes[0]} to {lanes[-1]}"
        findings.append(Finding.stop("ground-lane-unknown", asked=lane, known=known, line=line))
        lane = lanes[0]
    return course_of(ground, line, lane)


def _told(course: Course, place: Place, findings: list[Finding]) -> Landmark | None:
    key = course.zero if place.landmark is None else place.landmark
    landmark = course.landmark(key)
    if landmark is None and place.landmark is not None:
        known = ", ".join(each.key for each in course.landmarks) or "none"
        findings.append(
            Finding.stop("ground-landmark-unknown", asked=key, known=known, line=course.text)
        )
        landmark = course.landmark(course.zero)
    return landmark


def _boards_told(course: Course, told: Landmark | None) -> tuple[str, ...]:
    """Return the key of the board whose take-off line a place was told from, if any."""
    if told is not None and told.key == course.zero:
        return course.boards[:1]
    return tuple(key for key in course.boards if told is not None and key == told.key)


def _line_text(course: Course, told: Landmark | None, *, jump: bool) -> str:
    """Return what the line is called: of a runway that serves two events, by the board in use."""
    if not jump:
        return course.text
    texts = dict(zip(course.boards, course.board_texts, strict=True))
    return next((texts[key] for key in _boards_told(course, told) if key in texts), course.text)


def _anchor(layout: Layout, place: Place, findings: list[Finding]) -> tuple[str, float]:
    """Return the mark that stands at the place, and its along."""
    datum = layout.datum.value, 0.0
    if place.fit is Fit.END_AT:
        body = ((m.id, float(m.along_m)) for m in layout.marks if m.kind is not MarkKind.START)
        return max(body, key=lambda each: each[1], default=datum)
    if place.mark in (None, layout.datum.value):
        return datum
    for mark in layout.marks:
        if mark.id == place.mark:
            return mark.id, float(mark.along_m)
    # "line" is only a place when along is measured from it.
    known = ", ".join(mark.id for mark in layout.marks)
    findings.append(Finding.stop("ground-mark-unknown", asked=place.mark, known=known))
    return datum


def span_of(
    layout: Layout, datum: float, course: Course, direction: int, *, both: bool, jump: bool
) -> Span:
    """Return where a layout's parts lie when its datum is at a run coordinate.

    Parameters
    ----------
    layout, datum
        What lies where [m].
    course, direction
        On which lane, and which way (+1 or -1): a wall ahead makes the wanted slow-down the
        least, and one behind leaves room for the rear foot.
    both
        Whether it is run both ways: start and slow-down are then needed at either end.
    jump
        Whether it ends in a pit, which takes the place of the slow-down.
    """
    body = [mark.along_m for mark in layout.marks if mark.kind is not MarkKind.START]
    wickets = () if jump else layout.of_kind(MarkKind.WICKET)
    run_out_from = float(layout.run_out_from_m)
    # marks are in running order
    first, last = (body[0], body[-1]) if body else (run_out_from, run_out_from)
    back = first - layout.start.along_m + layout.approach_m
    wanted = 0.0 if jump else layout.run_out_wanted_m
    least = wanted if jump or course.wall_ahead(direction) else layout.run_out_least_m
    rear = max(float(REAR_FOOT_M) - layout.approach_m, 0.0)
    if both:
        # The way back starts where the slow-down was, and slows down where the start was.
        back = wanted = least = max(back, wanted)
    return Span(
        first=datum + first,
        last=datum + last,
        run_out_from=datum + run_out_from,
        back_m=back,
        wanted_m=wanted,
        least_m=least,
        wickets=tuple([datum + wicket.along_m for wicket in wickets]),
        rear_m=rear if course.wall_ahead(-direction) and not both else 0.0,
    )


def blockers_of(
    course: Course, direction: int, span: Span, ground: Ground, others: Sequence[Placed] = ()
) -> tuple[Blocker, ...]:
    """Return what stands in the lane, in run coordinates, near the span on a lap."""
    shut: list[tuple[float, float, str, int | None]] = []
    obstacles = ground.obstacles_of(course.line)
    if obstacles:
        shut += [
            (low, high, name, None) for low, high, name in clearance.obstacles_on(course, obstacles)
        ]
    if others:
        shut += [
            (low, high, f"the laying on lane {other.lane}", other.lane)
            for low, high, other in clearance.layings_on(course, others)
        ]
    loop = course.loop_m
    found = []
    for low, high, what, lane in shut:
        begin, end = (low, high) if direction > 0 else (-high, -low)
        offsets = [0.0]
        if loop is not None:
            nearest = round(((span.first + span.last) / 2.0 - begin) / loop)
            offsets = [loop * (nearest + k) for k in (-1, 0, 1)]
        found += [
            Blocker(from_m=begin + by, to_m=end + by, what=what, laying_lane=lane) for by in offsets
        ]
    return tuple(found)
