"""Between which marks a time was taken, and what the layout expects there."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind, RunOver
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.lanes.closing import zone_marks
from wicketlay.running.facts import Observation
from wicketlay.sources import FOOT_AHEAD_M
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.athlete import Runner


BOARD = ("board", "line")
"""What the take-off line is called as the end of a time."""
_SERIES = re.compile(r"(w|step)([1-9][0-9]{0,2})")
"""Marks that steps go to, one after the other."""
_MARK = re.compile(rf"{_SERIES.pattern}|(gate|cone)[1-9][0-9]?|start(-[a-z]+)?|line")
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
        self.finding = Finding.stop(
            "review-nobodys-time",
            athlete,
            time_s=time_s,
            zone_m=distance_m,
            low_s=low_s,
            high_s=high_s,
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

    `over` is the ground from mark to mark, `distance_m` the way of the body between them.
    `run_on_m` is the distance from a standing start after which the runner enters it, None when
    no one curve passes both marks. `share` is what the run builds towards, or in that case the
    expected mean, as a share of top speed. `over_marks` tells whether steps go to marks of this
    run, wickets or landings: a flying zone between gates or cones is run freely.
    """

    start_id: str
    end_id: str
    over: RunOver
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
    over: RunOver | None = None,
) -> Zone:
    """Return the part between the two marks, with the time this runner is expected to take.

    `over` is how they lay when they were run over, and what was asked then instead of `share`;
    None takes them as they lie now.
    """
    if over is None:
        from_id, to_id, over = _as_laid(layout, share, start_id, between)
    else:
        share = over.asked_share
        from_id, to_id = (_known(layout, each or "") for each in between)
    # a wicket or landing mark is passed when the toe is there and the body behind it, as in
    # `appraise`; a gate, a cone or the start mark when the body is there
    entered = max(over.run_on_m - _behind_m(from_id), 0.0)
    distance = over.run_on_m + over.zone_m - _behind_m(to_id) - entered
    moving = over.moving_mps
    run = layout.run_of(runner, share, moving)
    expected = run.time_at(entered + distance) - run.time_at(entered)
    broken = len(run.pieces) > 1  # where speed drops on the way no one curve passes all marks
    # a walk or jog joins the standing runner's curve part-way: its length counts as run-on
    joined = runner.curve(share).distance_to_share(moving / (share * runner.top_speed.value))
    return Zone(
        start_id=from_id,
        end_id=to_id,
        over=over,
        distance_m=distance,
        expected_s=expected,
        share=distance / expected / runner.top_speed.value if broken else share,
        run_on_m=None if broken else entered + joined,
        steps=None if broken else _steps(from_id, to_id),
        over_marks=any(mark.kind in _STEPPED_TO for mark in layout.marks),
    )


def _as_laid(
    layout: Layout, share: float, start_id: str, between: tuple[str | None, str | None]
) -> tuple[str, str, RunOver]:
    """Return the two marks, and the ground over them as they lie now."""
    own_start = _named(layout, start_id)
    others = {each.id for each in layout.of_kind(MarkKind.START)} - {own_start.id}
    marks = [mark for mark in zone_marks(layout) if mark.id not in others]
    if len(marks) < 2 and None in between:
        raise DomainError("there are no two marks to time a run between; name them")
    from_mark, to_mark = between
    start = _named(layout, from_mark) if from_mark is not None else marks[0]
    end = _named(layout, to_mark) if to_mark is not None else marks[-1]
    if start.kind is MarkKind.START and start.id != own_start.id:
        raise DomainError(
            f"{start.id} is another athlete's start mark; this one's is {own_start.id}"
        )
    zone_m = float(end.along_m) - float(start.along_m)
    if zone_m <= 0.0:
        raise _not_beyond(start.id, end.id)
    run_on_m = float(start.along_m) - float(own_start.along_m)
    over = RunOver(
        zone_m=zone_m, run_on_m=run_on_m, asked_share=share, moving_mps=own_start.speed_mps or 0.0
    )
    return start.id, end.id, over


def _named(layout: Layout, mark_id: str) -> Mark:
    ends = BOARD if layout.datum is Datum.TAKEOFF_LINE else ()
    if mark_id in ends:
        # A foot comes down there as at a wicket; the line is measured to, not the toe behind it.
        return Mark(id="line", kind=MarkKind.LANDING, along_m=AlongM(0.0))
    try:
        return layout.mark(mark_id)
    except KeyError:
        known = ", ".join((*(mark.id for mark in layout.marks), *ends))
        raise DomainError(f"there is no mark {mark_id}; the marks are {known}") from None


def _known(layout: Layout, mark_id: str) -> str:
    """Return a mark of an earlier day; it need not lie any more."""
    return mark_id if _MARK.fullmatch(mark_id) else _named(layout, mark_id).id


def _behind_m(mark_id: str) -> float:
    """Return how far the body is behind a mark when it is passed [m]."""
    stepped = mark_id == "line" or _SERIES.fullmatch(mark_id) is not None
    return float(FOOT_AHEAD_M) if stepped else 0.0


def _steps(from_id: str, to_id: str) -> int | None:
    """Return the steps between two wickets or two landing marks, None between other marks."""
    one, other = _SERIES.fullmatch(from_id), _SERIES.fullmatch(to_id)
    if one is None or other is None or one[1] != other[1]:
        return None
    steps = int(other[2]) - int(one[2])
    if steps <= 0:
        raise _not_beyond(from_id, to_id)
    return steps


def _not_beyond(from_id: str, to_id: str) -> DomainError:
    message = f"{to_id} does not lie beyond {from_id}; a time runs from a mark to a later one"
    return DomainError(message)
