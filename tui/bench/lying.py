"""What lies on the ground during practice, and which marks move next."""

from __future__ import annotations

from functools import cache, partial
from typing import TYPE_CHECKING

from tui.bench.shelf import unsaved_work
from wicketlay.edits import moved_marks
from wicketlay.errors import WicketlayError
from wicketlay.lanes.laying import handled
from wicketlay.log_file.log import open_log
from wicketlay.plan_file import OnGround, find_ground
from wicketlay.session.log import What, practice_of
from wicketlay.session.schedule import EventKind
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from tui.bench.shelf import OpenFile
    from wicketlay.lanes.laying import Laying, Moved
    from wicketlay.session.log import Entry
    from wicketlay.session.session import Session
    from wicketlay.solve import Solved


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A mark to be moved before the next wave runs on a lane, and whether it is ticked off."""

    laying: Laying
    moved: Moved
    ticked: bool


def lies(
    layings: Sequence[Laying], session: Session | None, entries: Sequence[Entry]
) -> dict[int, int]:
    """Return whose wave's marks lie on each lane: from the first run on, on all of them.

    Nobody runs beside a lane that is being laid.
    """
    there: dict[int, int] = {}
    if session is not None and any(each.what is What.RUN for each in entries):
        for event in reversed(session.events):
            if event.kind is EventKind.LAY:
                there[event.lane] = event.wave
    ticked: dict[int, set[str]] = {}
    between = cache(partial(_between, layings))  # each mark ticked asks anew what all of them are
    for entry in entries:
        if entry.lane is None or entry.wave is None:
            continue
        if entry.what is What.RUN:
            there[entry.lane] = entry.wave
            ticked.pop(entry.lane, None)
        elif entry.what is What.MOVED:
            done = ticked.setdefault(entry.lane, set())
            done.add(entry.other)
            was = there.get(entry.lane, 0)
            wanted = {m.mark_id for m in between(entry.lane, was, entry.wave)}
            if wanted and done >= wanted:
                there[entry.lane] = entry.wave
                ticked.pop(entry.lane)
    return there


def _between(layings: Sequence[Laying], lane: int, was: int, wave: int) -> tuple[Moved, ...]:
    slots = {(each.lane, each.wave): each for each in layings}
    before, after = slots.get((lane, was)), slots.get((lane, wave))
    return () if before is None or after is None else moved_marks(before, after)


def moves(
    layings: Sequence[Laying],
    there: Mapping[int, int],
    wanted: Mapping[int, int],
    entries: Sequence[Entry],
) -> tuple[Move, ...]:
    """Return what is to be moved for the wave that is wanted on each lane, in order."""
    last: dict[int, int] = {}
    for place, entry in enumerate(entries):
        if entry.what is What.RUN and entry.lane is not None:
            last[entry.lane] = place
    found = []
    for lane, wave in sorted(wanted.items()):
        done = {
            entry.other
            for entry in entries[last.get(lane, 0) :]
            if entry.what is What.MOVED and (entry.lane, entry.wave) == (lane, wave)
        }
        after = next(e for e in layings if (e.lane, e.wave) == (lane, wave))
        found += [
            Move(laying=after, moved=each, ticked=each.mark_id in done)
            for each in _between(layings, lane, there.get(lane, 0), wave)
        ]
    return tuple(found)


def handled_of(found: Iterable[tuple[Laying, Moved]]) -> int:
    """Return how many marks are handled, lane by lane, as paper counts them."""
    lanes: dict[int, list[Moved]] = {}
    for laying, moved in found:
        lanes.setdefault(laying.lane, []).append(moved)
    return sum(map(handled, lanes.values()))


def marks_left(found: Iterable[Move]) -> int:
    """Return how many marks are still handled of those that are not ticked off."""
    return handled_of((each.laying, each.moved) for each in found if not each.ticked)


def left_here(found: Sequence[Move]) -> int:
    """Return how many marks are still handled on the lane whose turn it is."""
    lanes = [each.laying.lane for each in found if not each.ticked]
    return marks_left(each for each in found if each.laying.lane in lanes[:1])


def proposed(
    layings: Sequence[Laying], there: Mapping[int, int], solved: Solved
) -> tuple[tuple[Laying, Moved], ...]:
    """Return which marks on the ground would move if that were laid now."""
    first = {each.lane: each.wave for each in reversed(layings)}
    found: list[tuple[Laying, Moved]] = []
    for before in layings:
        if before.wave != there.get(before.lane, first[before.lane]):
            continue
        slot = (before.lane, before.wave, before.stage)
        for after in solved.layings:
            if (after.lane, after.wave, after.stage) == slot:
                found += [(after, moved) for moved in moved_marks(before, after)]
    return tuple(found)


def ground_of(opened: OpenFile, day: date) -> OnGround | None:
    """Return what lies on the ground as a plan is opened; None when its practice has not begun."""
    noted = find_ground(opened.path)
    if noted is not None and noted.day == day:
        return noted
    try:
        entries = open_log(opened.path).entries
    except WicketlayError:
        return None  # the practice screen tells why
    if practice_of(entries, day).begun is None:
        return None
    unsaved = unsaved_work(opened.path)
    return OnGround(
        day=day,
        entry=max(each.number for each in entries),
        plan=opened.file.plan if unsaved is None else unsaved.plan,
    )
