"""Between which marks a time was taken, and what the layout expects there."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.lanes.closing import zone_marks
from wicketlay.running.facts import Observation
from wicketlay.sources import FOOT_AHEAD_M
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.athlete import Runner


BOARD = ("board", "line")
"""What the take-off line is called as the end of a time."""
_STEPPED_TO = frozenset({MarkKind.WICKET, MarkKind.LANDING})
"""Marks that steps go to."""


class NobodysTimeError(DomainError):
    """A time between two marks that is nobody's run, most often a slip of the decimal point.

    Parameters
    ----------
    athlete
        Whose time it should be.
    time_s, distance_m
        The time [s] and the distance it was taken over [m].
    """

    def __init__(self, athlete: str, time_s: float, distance_m: float) -> None:
        low_s, high_s = _times_over(distance_m)
        self.finding = Finding(
            level=Level.STOP,
            code="review-nobodys-time",
            athlete=athlete,
            values={"time_s": time_s, "zone_m": distance_m, "low_s": low_s, "high_s": high_s},
        )
        super().__init__(
            f"{time_s:.2f} s over {distance_m:.2f} m is no run; it must lie between {low_s:.2f} s "
            f"and {high_s:.2f} s here; check the point"
        )


def _times_over(distance_m: float) -> tuple[float, float]:
    """Return the least and the most time [s] of a run over a distance, to the hundredth."""
    slowest, fastest = range_of(Observation, "speed_mps")
    least, most = range_of(Observation, "time_s")
    low = max(distance_m / fastest, least)
    high = min(distance_m / slowest, most)
    return math.ceil(low * 100.0) / 100.0, math.floor(high * 100.0) / 100.0


def check_time(athlete: str, time_s: float, distance_m: float) -> None:
    """Raise a NobodysTimeError unless a time [s] over a distance [m] can be a run."""
    slowest, fastest = range_of(Observation, "speed_mps")
    least, most = range_of(Observation, "time_s")
    if not (slowest <= distance_m / time_s <= fastest and least <= time_s <= most):
        raise NobodysTimeError(athlete, time_s, distance_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """The part of a run between two marks, as the runner's own curve has it.

    `run_on_m` is the distance from a standing start after which the runner enters it, None when
    no one curve passes both marks. `share` is what the run builds towards, or in that case the
    expected mean, as a share of top speed. `over_marks` tells whether steps go to marks of this
    run, wickets or landings: a flying zone between gates or cones is run freely.
    """

    start: Mark
    end: Mark
    distance_m: float
    expected_s: float
    share: float
    run_on_m: float | None
    steps: int | None
    over_marks: bool


def zone_of(
    runner: Runner,
    layout: Layout,
    share: float,
    start_id: str,
    *,
    between: tuple[str | None, str | None],
) -> Zone:
    """Return the part between the two marks, with the time this runner is expected to take."""
    own_start = _named(layout, start_id)
    first, *_, last = zone_marks(layout)
    from_mark, to_mark = between
    start = _named(layout, from_mark) if from_mark is not None else first
    end = _named(layout, to_mark) if to_mark is not None else last
    if start.kind is MarkKind.START and start.id != own_start.id:
        message = f"{start.id} is another athlete's start mark; this one's is {own_start.id}"
        raise DomainError(message)
    distance = _body_m(end, own_start) - _body_m(start, own_start)
    if distance <= 0.0:
        message = f"{end.id} does not lie beyond {start.id}; a time runs from a mark to a later one"
        raise DomainError(message)
    steps = _steps(layout, start, end)
    over_marks = any(mark.kind in _STEPPED_TO for mark in layout.marks)
    moving = own_start.speed_mps or 0.0
    run = layout.run_of(runner, share)
    entered = _body_m(start, own_start)
    expected = run.time_at(entered + distance) - run.time_at(entered)
    if len(run.pieces) > 1:
        # Where speed drops on the way no one curve passes all marks.
        return Zone(
            start=start,
            end=end,
            distance_m=distance,
            expected_s=expected,
            share=distance / expected / runner.top_speed.value,
            run_on_m=None,
            steps=None,
            over_marks=over_marks,
        )
    # a walk or jog joins the standing runner's curve part-way: its length counts as run-on
    joined = runner.curve(share).distance_to_share(moving / (share * runner.top_speed.value))
    return Zone(
        start=start,
        end=end,
        distance_m=distance,
        expected_s=expected,
        share=share,
        run_on_m=entered + joined,
        steps=steps,
        over_marks=over_marks,
    )


def _named(layout: Layout, mark_id: str) -> Mark:
    ends = BOARD if layout.datum is Datum.TAKEOFF_LINE else ()
    if mark_id in ends:
        # A foot comes down there as at a wicket; the line is measured to, not the toe behind it.
        return Mark(id="line", kind=MarkKind.LANDING, along_m=AlongM(0.0))
    try:
        return layout.mark(mark_id)
    except KeyError:
        known = ", ".join((*(mark.id for mark in layout.marks), *ends))
        message = f"there is no mark {mark_id}; the marks are {known}"
        raise DomainError(message) from None


def _body_m(mark: Mark, start: Mark) -> float:
    """Return where the body passes a mark, from the start mark [m].

    A wicket or landing mark is passed when the toe is there and the body 0.31 m behind it, as in
    `appraise`; a gate or cone when the body is there.
    """
    behind = float(FOOT_AHEAD_M) if mark.kind in _STEPPED_TO else 0.0
    if mark.id == start.id:
        return 0.0
    return float(mark.along_m) - float(start.along_m) - behind


def _steps(layout: Layout, start: Mark, end: Mark) -> int | None:
    """Return the steps between two wickets or two landing marks, None between other marks."""
    if start.kind is not end.kind or start.kind not in _STEPPED_TO:
        return None
    series = [mark.id for mark in layout.of_kind(start.kind)]
    return series.index(end.id) - series.index(start.id)
