"""The gaps a little closed or a little opened: every reading, worked out beforehand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.drills.marks import AlongM, Datum, MarkKind
from wicketlay.errors import require_range
from wicketlay.ground.placed import PlacedMark
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
        (change, tape_sheet(with_gaps(laying.placed, change), laying.tape.spec))
        for change in changes
    )


def held_id(placed: Placed) -> str:
    """Return the wicket that stays when gaps change: the first, of a take-off run the last."""
    wickets = [each.mark.id for each in placed.marks if each.mark.kind is MarkKind.WICKET]
    return wickets[-1 if placed.datum is Datum.TAKEOFF_LINE else 0]


def with_gaps(placed: Placed, change: float) -> Placed:
    """Return the same laying with its gaps changed by a share, to be read off a tape alone.

    Nothing is checked again, and what moves on a bend has no chord.
    """
    require_range("gap change", change, -0.2, 0.2, "")
    wickets = [each for each in placed.marks if each.mark.kind is MarkKind.WICKET]
    held = placed.mark(held_id(placed)).mark.along_m
    first = wickets[0].mark.along_m
    first_moves = (held + (first - held) * (1.0 + change)) - first

    def moved(each: PlacedMark) -> PlacedMark:
        along = float(each.mark.along_m)
        if each.mark.kind is MarkKind.WICKET:
            along = held + (along - held) * (1.0 + change)
        elif along < first:
            along += first_moves
        if along == float(each.mark.along_m):
            return each
        mark = replace(each.mark, along_m=AlongM(along))
        return PlacedMark(mark=mark, chainage_m=placed.chainage_of(mark.along_m))

    return replace(placed, marks=tuple(moved(each) for each in placed.marks))
