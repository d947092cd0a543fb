"""The gaps a little closed or a little opened: every reading, worked out beforehand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.errors import require_range
from wicketlay.ground.tape import TapeSheet, tape_sheet

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.placed import Placed
    from wicketlay.lanes.laying import Laying


def gap_changes(laying: Laying, changes: Sequence[float]) -> tuple[tuple[float, TapeSheet], ...]:
    """Return the readings of a laying with its gaps changed by each share.

    Wicket 1 is held, with everything before it. In a take-off run the last wicket is held, so
    that the free steps stay, and the start mark moves with wicket 1.

    Parameters
    ----------
    laying
        What lies.
    changes
        Shares to add to every gap (-0.02 is 2 % closed), each from -0.2 to 0.2.

    Returns
    -------
    tuple of (change, TapeSheet)
        Empty for a drill without wickets.
    """
    if not laying.layout.of_kind(MarkKind.WICKET):
        return ()
    return tuple(
        (
            change,
            tape_sheet(laying.placed, laying.tape.spec, chainages=with_gaps(laying.placed, change)),
        )
        for change in changes
    )


def held_id(placed: Placed) -> str:
    """Return the wicket that stays when gaps change: the first, of a take-off run the last."""
    wickets = [each.mark.id for each in placed.marks if each.mark.kind is MarkKind.WICKET]
    return wickets[-1 if placed.datum is Datum.TAKEOFF_LINE else 0]


def with_gaps(placed: Placed, change: float) -> dict[str, float]:
    """Return where the marks of a laying lie with its gaps changed by a share, as `chainages`."""
    require_range("gap change", change, -0.2, 0.2, "")
    lies = placed.chainages
    marks = [each.mark for each in placed.marks]
    first = next(mark for mark in marks if mark.kind is MarkKind.WICKET)
    held = lies[held_id(placed)]
    first_moves = change * (lies[first.id] - held)
    for mark in marks:
        if mark.kind is MarkKind.WICKET:
            lies[mark.id] += change * (lies[mark.id] - held)
        elif mark.along_m < first.along_m:
            lies[mark.id] += first_moves
    return lies
