"""What places are called: lanes, boards and fixed points, the same on paper and in messages."""

from __future__ import annotations

import math
from dataclasses import fields
from typing import TYPE_CHECKING

from wicketlay.ground.lines import BOARD_NEARER_PIT, FARTHER_FROM_FINISH, NEARER_START
from wicketlay.ground.runway import TAKEOFF_LINE
from wicketlay.ground.tape import TapeLies
from wicketlay.units import FOOT_M, UnitSystem, format_length
from wicketlay.wording.names import tape_text

if TYPE_CHECKING:
    from wicketlay.ground import Ground
    from wicketlay.ground.course import Course
    from wicketlay.ground.lines import Landmark
    from wicketlay.lanes.laying import Laying

SAME_SPOT_M = 0.005
"""Fixed points that lie nearer to each other are one spot on paper [m]."""
_RUNWAY = "runway"


def place_parts(laying: Laying) -> tuple[str, ...]:
    """Return what tells where a laying is: its lane, or its board on a runway, and its line."""
    placed = laying.placed
    course = placed.course
    if course.told_lane:
        first = strip_text(course, laying.lane)
    else:
        first = board_text(laying) if len(course.boards) > 1 else ""
    return tuple(part for part in (first, placed.line_text) if part)


def strip_text(course: Course, lane: int) -> str:
    """Return what a lane of a course's line is called where its number tells it: lane 4, runway."""
    return f"lane {lane}" if course.told_lane else _RUNWAY


def lane_cell(course: Course, lane: int) -> str:
    """Return a lane for a column of lanes, "" on a runway: what leaves the column out there."""
    return str(lane) if course.told_lane else ""


def has_lanes(ground: Ground) -> bool:
    """Tell whether a ground's strips are told by the number of a lane."""
    line = ground.lines[0]
    return ground.course(line, ground.lanes_of(line)[0]).told_lane is not None


def ground_text(ground: Ground) -> str:
    """Return the ground's own name, "" where nobody gave it one."""
    usual = next(each.default for each in fields(ground) if each.name == "name")
    return "" if ground.name == usual else ground.name


def ground_word(laying: Laying) -> str:
    """Return what is run on: a lane, or a runway."""
    return "lane" if laying.placed.course.told_lane else _RUNWAY


def board_text(laying: Laying) -> str:
    """Return what the board is called whose take-off line is run to, "" when none is."""
    placed = laying.placed
    if placed.line_chainage_m is None:
        return ""
    return board_at(placed.course, float(placed.line_chainage_m))


def board_at(course: Course, chainage_m: float) -> str:
    """Return the key of the board whose take-off line lies at a chainage, "" when none does."""
    for key in course.boards:
        landmark = course.landmark(key)
        if landmark is not None and abs(float(landmark.chainage_m) - chainage_m) < SAME_SPOT_M:
            return key
    return ""


def landmark_text(laying: Laying, landmark: Landmark) -> str:
    """Return how paper names a fixed point; on a runway with several boards each by its name."""
    course = laying.placed.course
    if len(course.boards) < 2 or landmark.text != TAKEOFF_LINE:
        return landmark.text
    board = board_at(course, float(landmark.chainage_m))
    return f"{landmark.text} of the {board}" if board else landmark.text


def noted_texts(laying: Laying, unit: UnitSystem) -> list[str]:
    """Return how far a 0 on open ground is from each noted thing whose distance is told."""
    free = laying.placed.free_zero
    told = [(each.distance_m, each.name) for each in (() if free is None else free.noted)]
    return [
        f"{format_length(far_m, unit)} from {name}{pieces_text(laying, far_m, unit)}"
        for far_m, name in told
        if far_m is not None
    ]


def pieces_text(laying: Laying, length_m: float, unit: UnitSystem) -> str:
    """Return after a colon how a length beyond the tape is measured, "" where the tape reaches.

    ``: 50 m, mark, 10.00 m more``; the pieces add up to the length as it is shown.
    """
    spec = laying.tape.spec
    laid_m = length_m - spec.tick.metres / 2
    if laid_m <= spec.length_m:
        return ""
    part_m = float(FOOT_M) if unit is UnitSystem.FEET else 0.1
    piece_m = round(math.floor(spec.length_m / part_m + 1e-6) * part_m, 9)
    count = max(math.ceil(laid_m / piece_m) - 1, 1)
    piece = tape_text(piece_m, unit)
    before = f"{piece}, mark, " * count if count < 3 else f"{count} times {piece} and a mark, "
    return f": {before}{format_length(round(length_m - count * piece_m, 9), unit)} more"


ALONG_LEFT_LINE = "Tape along the left line, as the runner sees it"


def round_bend_text(laying: Laying, unit: UnitSystem) -> str:
    """Return along what the tape is laid where marks lie on a bend, "" where none does."""
    if not laying.on_bend:
        return ""
    match laying.tape.spec.lies:
        case TapeLies.PAINTED_LINE:
            return f"{ALONG_LEFT_LINE}."
        case TapeLies.STRAIGHT:
            return "Tape pulled straight, not round the bend."
        case TapeLies.RUN_LINE:
            away = format_length(laying.placed.course.painted_offset_m, unit)
            return f"Tape in the lane, {away} from its left line."


def edge_text(laying: Laying, landmark: Landmark) -> str:
    """Return which edge of a fixed point counts, as somebody standing on the lane sees it."""
    edge = landmark.edge
    with_line = laying.placed.direction > 0
    if edge in {NEARER_START, FARTHER_FROM_FINISH}:
        return f"the edge you meet {'first' if with_line else 'last'} when running"
    if edge == BOARD_NEARER_PIT:
        return "the board's edge nearer the pit"
    return f"the {edge}" if edge else ""
