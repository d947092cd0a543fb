"""Places told in words: as far back as the ground allows, or in the middle of the straight."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.findings import Finding
from wicketlay.ground.fitting import Bounds, Slowdown, Span, slack
from wicketlay.ground.placed import Direction, Fit, Place
from wicketlay.values import replace

if TYPE_CHECKING:
    from wicketlay.findings import Value
    from wicketlay.ground.course import Course


def shift_in_words(
    place: Place,
    course: Course,
    span: Span,
    bounds: Bounds,
    *,
    datum_from_zero: float,
    findings: list[Finding],
) -> float:
    """Return the shift [m] that a place told in words, or not told at all, asks for.

    Parameters
    ----------
    place, course, span, bounds
        What is to lie where, the span as if nothing were shifted.
    datum_from_zero
        From the landmark that tells the place to the layout's datum, in running direction [m].
    findings
        What there is to say goes here.
    """
    if place.by_number:
        return 0.0
    direction = -1 if place.direction is Direction.AGAINST else 1
    measured = all(math.isfinite(each) for each in bounds.stretch)
    untold = place.fit is Fit.GIVEN and course.pit is None and measured
    if place.fit in (Fit.FAR, Fit.MIDDLE) and not measured:
        word = place.fit.value
        findings.append(Finding.stop("ground-word-needs-length", word=word, line=course.text))
        return 0.0
    if place.fit is Fit.MIDDLE:
        middle = course.middle_m
        if middle is None:
            middle = (course.marks_from_m + course.marks_to_m) / 2.0
        shift = direction * middle - (span.first + span.last) / 2.0
        near = _nearest(shift, span, bounds, datum_from_zero)
        if near != shift:
            way = "on" if near > shift else "back"
            findings.append(Finding.note("ground-beside-middle", by_m=abs(near - shift), way=way))
        return near
    if untold:
        findings.append(Finding.note("ground-place-not-told"))
    if untold or place.fit is Fit.FAR:
        behind = direction > 0 or place.fit is Fit.FAR
        assumed_m = course.assumed_behind_m if behind else course.assumed_ahead_m
        if assumed_m:
            side = "behind" if behind else "ahead"
            rests: dict[str, Value] = {f"{side}_m": assumed_m, "line": course.text}
            findings.append(Finding.note(f"ground-{side}-assumed", **rests))
        return _farthest(span, bounds, datum_from_zero, back=untold or direction > 0)
    return 0.0


def _nearest(shift: float, span: Span, bounds: Bounds, datum_from_zero: float) -> float:
    """Return `shift` where it fits, else the nearest one that does, if there is any.

    The datum then comes to lie a whole number of 0.1 m from the landmark that tells the place.
    """
    least = slack(span, bounds, "least")
    if any(begin <= shift <= end for begin, end in least):
        return shift
    found = []
    for begin, end in slack(span, bounds, "wanted") or least:
        tenths = (datum_from_zero + min(max(shift, begin), end)) * 10.0
        whole = math.ceil(tenths - 1e-6) if shift < begin else math.floor(tenths + 1e-6)
        found.append(min(max(whole / 10.0 - datum_from_zero, begin), end))
    return min(found, key=lambda each: abs(each - shift), default=shift)


def _farthest(span: Span, bounds: Bounds, datum_from_zero: float, *, back: bool) -> float:
    """Return the shift to the farthest place that fits, on the straight itself if it can be.

    The datum comes to lie a whole number of 0.1 m from the landmark that tells the place, which
    is easier to find again.
    """
    inside = replace(bounds, surface=bounds.stretch)
    slowdowns: tuple[Slowdown, ...] = ("wanted", "least")
    for limits in (inside, bounds):
        for slowdown in slowdowns:
            free = slack(span, limits, slowdown)
            if not free:
                continue
            begin, end = free[0] if back else free[-1]
            exact = begin if back else end
            tenths = (datum_from_zero + exact) * 10.0
            whole = math.ceil(tenths - 1e-6) if back else math.floor(tenths + 1e-6)
            even = whole / 10.0 - datum_from_zero
            return even if begin - 1e-9 <= even <= end + 1e-9 else exact
    return inside.surface[0] - span.begin if back else inside.surface[1] - span.end("least")
