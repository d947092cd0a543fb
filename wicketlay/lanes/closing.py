"""What tells that a lane is laid right: a distance that no reading shows, and the hurdles left."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import CHALK, MarkKind
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wicketlay.drills.kit import Kit
    from wicketlay.drills.marks import Layout, Mark
    from wicketlay.lanes.laying import Demand, Laying


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
        How far it may be off, in whole ticks of the tape [m]: the errors of both readings. That
        they are rounded costs nothing, since the marks are laid to them and their difference is
        exact; the half tick of each is for putting the mark, and its class for what any stretch
        of the tape may be off. Over a section, where the tape is laid anew to measure, this is
        to a tick what two marks put, one reading taken (half a tick each) and twice the class of
        the distance come to.
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
    """Return the closing check of a laying: W5 to W10, or a pair near by; None where none is.

    The distance is one that no single reading shows, so that a wrong row is found: where one of
    them is the 0 that the other is read from, the next mark inside takes its place. It is one the
    tape spans; of one mark, or marks all farther apart, there is none.
    """
    ids = [mark.id for mark in zone_marks(laying.layout)]
    if len(ids) < 2:
        return None
    if len(ids) >= 10:
        low, high = 4, 9
    elif len(ids) >= 4:
        low, high = 1, len(ids) - 2
    else:
        low, high = 0, len(ids) - 1
    near = ((low, high), (low + 1, high), (low, high - 1), (low - 1, high), (low, high + 1))
    pairs = [(ids[one], ids[other]) for one, other in near if 0 <= one < other < len(ids)]
    pairs = [pair for pair in pairs if apart_m(laying, *pair) <= laying.tape.spec.length_m]
    if not pairs:
        return None
    unread = (pair for pair in pairs if not _is_read(laying, set(pair)))
    first, second = next(unread, pairs[0])
    tick_m = laying.tape.spec.tick.metres
    try:
        error_mm = sum(laying.tape.reading(each)[1].error_mm for each in (first, second))
    except KeyError:
        error_mm = laying.tape.error_mm  # a mark beyond the tape is not read; a stop says so
    within = math.ceil(error_mm / 1000 / tick_m - 1e-9) * tick_m
    apart = apart_m(laying, first, second)
    return ClosingCheck(first_id=first, second_id=second, apart_m=apart, within_m=within)


def _is_read(laying: Laying, pair: set[str]) -> bool:
    """Tell whether one of two marks is the 0 that the other is read from."""
    return any(
        pair == {pull.zero_id, each.mark_id} for pull in laying.tape.pulls for each in pull.readings
    )


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


def zone_ends(laying: Laying, demand: Demand) -> tuple[Mark, Mark]:
    """Return the marks at the ends of an athlete's timed zone; of start marks their own."""
    others = {each.start_id for each in laying.demands} - {demand.start_id}
    zone = [mark for mark in zone_marks(laying.layout) if mark.id not in others]
    return zone[0], zone[-1]


def section_shown_m(laying: Laying, demand: Demand) -> float:
    """Return the length of an athlete's timed zone as the tape shows it [m]."""
    first, last = zone_ends(laying, demand)
    return apart_m(laying, first.id, last.id)


def slow_down_m(laying: Laying, whole_m: float = 1.0) -> float:
    """Return how far past the last mark the slow-down ends [m], in whole metres or feet.

    As far as is wanted, rounded up; where the room ends before that, not beyond the room.
    """
    layout, room_m = laying.layout, laying.placed.run_out_room_m
    past_m = float(layout.run_out_from_m) - float(layout.marks[-1].along_m)
    count = math.ceil((past_m + layout.run_out_wanted_m) / whole_m - 1e-9)
    if room_m is not None:
        count = min(count, math.floor((past_m + room_m) / whole_m + 1e-9))
    return count * whole_m


def bags_dealt(layouts: Sequence[tuple[int, Layout]], kit: Kit) -> tuple[Layout, ...]:
    """Return layouts with the bag dealt evenly to those that lie at the same time.

    Parameters
    ----------
    layouts
        (wave, layout) of each lane, in the order they are laid; the bag is full for each wave.

    Returns
    -------
    tuple
        The layouts; places beyond a lane's share are chalk or tape marks.
    """
    found = [layout for _, layout in layouts]
    for wave in {wave for wave, _ in layouts}:
        places = [i for i, (each, _) in enumerate(layouts) if each == wave]
        if len(places) < 2:
            continue
        wanted = [len(found[i].of_kind(MarkKind.WICKET)) for i in places]
        if sum(wanted) <= kit.wickets:
            continue
        for i, share in zip(places, shares_of(wanted, kit.wickets), strict=True):
            found[i] = _with_hurdles(found[i], share)
    return tuple(found)


def shares_of(wanted: Sequence[int], bag: int) -> tuple[int, ...]:
    """Return how many of a bag each gets: as many each, what one does not want to the others."""
    shares = [0] * len(wanted)
    for done, i in enumerate(sorted(range(len(wanted)), key=wanted.__getitem__)):
        shares[i] = min(wanted[i], -(-bag // (len(wanted) - done)))
        bag -= shares[i]
    return tuple(shares)


def _with_hurdles(layout: Layout, hurdles: int) -> Layout:
    """Return a layout whose first wickets alone are hurdles; of the bag, the wave's word counts."""
    chalk = {mark.id for mark in layout.of_kind(MarkKind.WICKET)[hurdles:]}
    return replace(
        layout,
        marks=tuple(
            replace(mark, label=CHALK) if mark.id in chalk else mark for mark in layout.marks
        ),
        findings=tuple(each for each in layout.findings if each.code != "bag-too-small"),
    )


def hurdles_of(layout: Layout) -> int:
    """Return how many of the wickets are hurdles of the bag; the others are chalk or tape."""
    return sum(mark.label != CHALK for mark in layout.of_kind(MarkKind.WICKET))


def left_over(layings: Iterable[Laying], kit: Kit) -> dict[tuple[int, int, int], int]:
    """Return (lane, wave, stage) to the hurdles left in the bag once that lane is laid.

    What a wave before laid on another lane still lies there until that lane is laid again.
    """
    lying: dict[int, dict[int, int]] = {}
    found = {}
    for laying in sorted(layings, key=lambda each: each.wave):
        here = lying.setdefault(laying.stage, {})
        if not laying.stopped:
            here[laying.lane] = hurdles_of(laying.layout)
        place = laying.lane, laying.wave, laying.stage
        found[place] = max(kit.wickets - sum(here.values()), 0)
    return found


def lent_by(layings: Iterable[Laying], laying: Laying, kit: Kit) -> tuple[int, ...]:
    """Return the lanes that no longer serve and whose hurdles a wave needs beside the bag's."""
    lying: dict[int, Laying] = {}
    for each in sorted(layings, key=lambda each: each.wave):
        if each.stage == laying.stage and each.wave <= laying.wave and not each.stopped:
            lying[each.lane] = each
    if sum(hurdles_of(each.layout) for each in lying.values()) <= kit.wickets:
        return ()
    idle = (each for each in lying.values() if each.wave < laying.wave)
    return tuple(sorted(each.lane for each in idle if hurdles_of(each.layout)))


def hurdles_left(layings: Iterable[Laying], laying: Laying, kit: Kit) -> int:
    """Return how many hurdles are left over when a lane of a wave is laid, 0 or more."""
    return left_over(layings, kit)[laying.lane, laying.wave, laying.stage]
