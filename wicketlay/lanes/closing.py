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
    from wicketlay.lanes.laying import Laying


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingCheck:
    """Two marks that are measured against each other when all are laid.

    Parameters
    ----------
    first_id, second_id
        The marks, in running order.
    apart_m
        Distance between them as the tape shows it [m].
    within_m
        How far it may be off, in whole ticks of the tape [m]: the errors of both readings.
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
    tick_m = laying.tape.spec.tick.metres
    try:
        error_mm = sum(laying.tape.reading(each)[1].error_mm for each in (first, second))
    except KeyError:
        error_mm = laying.tape.error_mm  # a mark beyond the tape is not read; a stop says so
    within = math.ceil(error_mm / 1000 / tick_m - 1e-9) * tick_m
    apart = apart_m(laying, first, second)
    return ClosingCheck(first_id=first, second_id=second, apart_m=apart, within_m=within)


def apart_m(laying: Laying, one_id: str, other_id: str) -> float:
    """Return how far two marks lie apart as the tape shows it [m]; true where it reads one not."""
    ticks = laying.tape.apart_ticks(one_id, other_id)
    if ticks is not None:
        return ticks * laying.tape.spec.tick.metres
    one, other = (float(laying.placed.mark(each).mark.along_m) for each in (one_id, other_id))
    return abs(other - one)


def gap_shown_m(laying: Laying, mark_id: str) -> float | None:
    """Return the gap before a mark as the tape shows it [m], None where it has none."""
    ids = [mark.id for mark in laying.layout.marks]
    at = ids.index(mark_id) if mark_id in ids else 0
    if at == 0 or laying.layout.marks[at].gap_m is None:
        return None
    return apart_m(laying, ids[at - 1], mark_id)


def run_on_shown_m(laying: Laying, start_id: str) -> float:
    """Return how far a start mark lies before the first other mark, as the tape shows it [m]."""
    first = next(mark for mark in laying.layout.marks if mark.kind is not MarkKind.START)
    return apart_m(laying, start_id, first.id)


def section_shown_m(laying: Laying) -> float:
    """Return the length of the timed zone as the tape shows it [m]."""
    zone = zone_marks(laying.layout)
    return apart_m(laying, zone[0].id, zone[-1].id)


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
