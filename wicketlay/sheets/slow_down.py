"""The slow-down: where its cone stands, on the lane and on the tape, and how it moves."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import AlongM
from wicketlay.ground.tape import PullDirection
from wicketlay.lanes.closing import slow_down_m
from wicketlay.sheets.setting import Setting, along_of
from wicketlay.values import replace
from wicketlay.wording.names import large_unit, room_text

if TYPE_CHECKING:
    from wicketlay.ground.tape import Pull


def stop_along_m(setting: Setting) -> float:
    """Return where the slow-down cone stands, along: the wanted slow-down, or the room there is."""
    layout = setting.laying.layout
    wanted = layout.run_out_wanted_m
    room = setting.laying.placed.run_out_room_m
    return float(layout.run_out_from_m) + (wanted if room is None else min(wanted, room))


def slow_down_text(setting: Setting) -> str:
    """Return how far past the last mark the slow-down ends, "" at a take-off line."""
    if not setting.laying.layout.slows_down:
        return ""
    _, whole_m = large_unit(setting.unit)
    return room_text(slow_down_m(setting.laying, whole_m), setting.unit)


def _wave_before(setting: Setting) -> Setting | None:
    """Return the laying that lies on the lane when this one is laid; None when nothing does."""
    here = setting.laying
    for laying in setting.solved.layings:
        if (laying.lane, laying.stage, laying.wave) == (here.lane, here.stage, here.over):
            return replace(setting, laying=laying)
    return None


def _cone_chainage_m(setting: Setting) -> float:
    """Return where the slow-down cone stands on the ground [m], as the sheet tells it."""
    placed = setting.laying.placed
    for pull in setting.laying.tape.pulls:
        place = cone_on_tape_m(setting, pull)
        if place is not None:
            along = along_of(setting, pull.zero_id) + place
            return float(placed.chainage_of(AlongM(along)))
    along = float(setting.laying.layout.marks[-1].along_m) + slow_down_m(setting.laying)
    return float(placed.chainage_of(AlongM(along)))


def cone_move_text(setting: Setting) -> str:
    """Return how the slow-down cone moves from the wave before, "" when none lies there."""
    before = _wave_before(setting)
    if before is None or not before.laying.layout.slows_down:
        return ""
    way = setting.laying.placed.direction
    by_m = way * (_cone_chainage_m(setting) - _cone_chainage_m(before))
    # A cone is put down to the whole metre or foot, so its move is told no finer.
    unit, whole_m = large_unit(setting.unit)
    whole = round(by_m / whole_m)
    if not whole:
        return "stays"
    return f"{'forward' if whole > 0 else 'back'} {abs(whole)} {unit}"


def _cone_m(setting: Setting, pull: Pull) -> float:
    """Return where the cone lies from the zero of a pull with the run, to a metre or foot [m]."""
    distance = stop_along_m(setting) - along_of(setting, pull.zero_id)
    _, whole = large_unit(setting.unit)
    room = setting.laying.placed.run_out_room_m
    wanted = setting.laying.layout.run_out_wanted_m
    # Where the room ends before the wanted slow-down, the cone must not be moved beyond it.
    round_to_whole = math.floor if room is not None and room < wanted + whole else math.ceil
    return round_to_whole(distance / whole + 1e-9) * whole


def cone_on_tape_m(setting: Setting, pull: Pull) -> float | None:
    """Return the cone's place when this pull reaches it, else None."""
    if not setting.laying.layout.slows_down or not pull.readings:
        return None
    end = setting.laying.layout.marks[-1].id
    last = next((r.true_m for r in pull.readings if r.mark_id == end), None)
    if pull.direction is not PullDirection.RUNNING or last is None:
        return None
    place = _cone_m(setting, pull)
    return place if last < place <= setting.laying.tape.spec.length_m else None
