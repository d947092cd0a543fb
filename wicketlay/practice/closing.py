"""What tells that a lane is laid right: a distance that no reading shows, and the hurdles left."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wicketlay.drills.kit import Kit
    from wicketlay.drills.marks import Layout, Mark
    from wicketlay.practice.laying import Laying


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingCheck:
    """Two marks that are measured against each other when all are laid.

    Parameters
    ----------
    first_id, second_id
        The marks, in running order.
    apart_m
        Distance between them as the tape lies [m].
    within_m
        How far it may be off, in whole ticks of the tape [m]: the tape's error and the rounding
        of both readings.
    """

    first_id: str
    second_id: str
    apart_m: float
    within_m: float


def zone_marks(layout: Layout) -> tuple[Mark, ...]:
    """Return the marks between which a run is timed: wickets, else gates, else start to end."""
    for kind in (MarkKind.WICKET, MarkKind.GATE):
        marks = layout.of_kind(kind)
        if marks:
            return marks
    return layout.marks


def closing_check(laying: Laying) -> ClosingCheck | None:
    """Return the closing check of a laying: W5 to W10, or a shorter pair inside; None for one mark.

    The distance is one that no single reading shows, so that a wrong row is found.
    """
    ids = [mark.id for mark in zone_marks(laying.layout)]
    if len(ids) < 2:
        return None
    if len(ids) >= 10:
        first, second = ids[4], ids[9]
    elif len(ids) >= 4:
        first, second = ids[1], ids[-2]
    else:
        first, second = ids[0], ids[-1]
    apart = abs(
        float(laying.layout.mark(second).along_m) - float(laying.layout.mark(first).along_m)
    )
    tick_m = laying.tape.spec.tick.metres
    error_mm, rounding_m = laying.tape.error_mm, 0.0
    try:
        one, other = (laying.tape.reading(mark_id) for mark_id in (first, second))
    except KeyError:
        pass  # a mark beyond the tape is not read; a stop says so
    else:
        error_mm = one[1].error_mm + other[1].error_mm
        if one[0].number == other[0].number:
            # On a bend a tape along the painted line reads another distance than the run line.
            apart = abs(other[1].true_m - one[1].true_m)
            # Both marks stand at rounded readings, so their distance differs by that as well.
            laid = abs(other[1].ticks - one[1].ticks) * tick_m
            rounding_m = abs(laid - apart)
    within = math.ceil((error_mm / 1000 + rounding_m) / tick_m - 1e-9) * tick_m
    return ClosingCheck(first_id=first, second_id=second, apart_m=apart, within_m=within)


def bags(layings: Iterable[Laying], kit: Kit) -> dict[tuple[int, int, int], int]:
    """Return (lane, wave, stage) to the hurdles in the bag when that lane's turn comes.

    The lanes of a wave lie at the same time and are laid in the order of `layings`; for each
    wave and stage the bag is full again.
    """
    left: dict[tuple[int, int], int] = {}
    found = {}
    for laying in layings:
        here = left.get((laying.wave, laying.stage), kit.wickets)
        found[laying.lane, laying.wave, laying.stage] = here
        wickets = len(laying.layout.of_kind(MarkKind.WICKET))
        left[laying.wave, laying.stage] = max(here - wickets, 0)
    return found


def left_over(layings: Iterable[Laying], kit: Kit) -> dict[tuple[int, int, int], int]:
    """Return (lane, wave, stage) to the hurdles left in the bag once that lane is laid.

    What a wave before laid on another lane still lies there until that lane is laid again.
    """
    lying: dict[int, dict[int, int]] = {}
    found = {}
    for laying in sorted(layings, key=lambda each: each.wave):
        here = lying.setdefault(laying.stage, {})
        here[laying.lane] = len(laying.layout.of_kind(MarkKind.WICKET))
        place = laying.lane, laying.wave, laying.stage
        found[place] = max(kit.wickets - sum(here.values()), 0)
    return found


def hurdles_left(layings: Iterable[Laying], laying: Laying, kit: Kit) -> int:
    """Return how many hurdles are left over when a lane of a wave is laid, 0 or more."""
    return left_over(layings, kit)[laying.lane, laying.wave, laying.stage]
