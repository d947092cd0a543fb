"""The tape sheet as a text message: short lines, the same zero, readings and checks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Level
from wicketlay.ground.tape import LINE
from wicketlay.lanes.closing import closing_check, hurdles_left, slow_down_m
from wicketlay.units import UnitSystem, format_length, format_move, format_ticks
from wicketlay.wording import word
from wicketlay.wording.cautions import for_the_assistant
from wicketlay.wording.names import large_unit, mark_name, move_text, room_text, shown_text
from wicketlay.wording.places import (
    SAME_SPOT_M,
    landmark_text,
    noted_texts,
    pieces_text,
    place_parts,
    round_bend_text,
)
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from wicketlay.ground.placed import FixedPoint
    from wicketlay.solve import Laying, Solved


def as_text(solved: Solved) -> str:
    """Return the tape sheet as short lines for a phone message, with the same checks."""
    unit = unit_of(solved.plan)
    parts: list[str] = []
    stops = [f for f in solved.findings if f.level is Level.STOP]
    if stops:
        parts += [solved.plan.title, "DO NOT LAY OUT", *(str(word(f, unit)) for f in stops), ""]
    cautions: list[str] = []
    for laying in solved.layings:
        if laying.stage != solved.plan.stage:
            continue
        parts += _message(solved, laying, unit)
        parts.append("")
        cautions += for_the_assistant(laying)
    parts += dict.fromkeys(cautions)
    return "\n".join(parts) + "\n"


def _message(solved: Solved, laying: Laying, unit: UnitSystem) -> list[str]:
    stops = [f for f in solved.findings_on(laying) if f.level is Level.STOP]
    where = f"{' '.join(place_parts(laying)).upper()} WAVE {laying.wave}"
    if solved.plan.stages is not None:
        where += f" STAGE {laying.stage}"
    lines = [solved.plan.title, where, ", ".join(laying.athletes)]
    if stops:
        return [*lines, "DO NOT LAY OUT", *(str(word(f, unit)) for f in stops)]
    lines += zero_lines(laying, unit)
    for pull in laying.tape.pulls:
        lines.append(f"PULL {pull.number}: 0 at {mark_name(pull.zero_id)}, {pull.direction.value}")
        lines += [
            f"{mark_name(r.mark_id)} {format_ticks(r.ticks, r.tick.value)}" for r in pull.readings
        ]
    check = closing_check(laying)
    if check is not None:
        pair = f"{mark_name(check.first_id)} to {mark_name(check.second_id)}"
        within = format_move(check.within_m, unit, per_inch=4)
        lines.append(
            f"CHECK {pair} = {shown_text(check.apart_m, unit, bare=True)}, within {within}"
        )
    if laying.layout.of_kind(MarkKind.WICKET):
        lines.append(f"WICKETS LEFT OVER: {hurdles_left(solved.layings, laying, solved.plan.kit)}")
    if laying.layout.slows_down:
        lines.append(
            f"SLOW-DOWN {room_text(slow_down_m(laying, large_unit(unit)[1]), unit)} past "
            f"{mark_name(laying.placed.marks[-1].mark.id)}"
        )
    else:
        lines.append("THE PIT IS FREE AND RAKED")
    if laying.moved:
        lines += [f"MOVE {move_text(moved, unit)}" for moved in laying.moved]
    return lines


def zero_lines(laying: Laying, unit: UnitSystem) -> list[str]:
    """Return where the tape's zero lies, told from up to two fixed points or noted things.

    Round a bend it is said along what the tape lies.
    """
    zero_id = laying.tape.pulls[0].zero_id
    stands = [_stands(laying, zero_id, each, unit) for each in laying.zero_points]
    stands += [f"{mark_name(zero_id)}, {each}" for each in noted_texts(laying, unit)]
    return [*(f"0 = {each}" for each in stands), *filter(None, [round_bend_text(laying, unit)])]


def place_lines(laying: Laying, unit: UnitSystem) -> list[str]:
    """Return where the mark stands that the place was told for, none where that is told anyway."""
    point, mark_id = laying.told_point, laying.placed.told_mark
    if point is None or mark_id in {laying.tape.pulls[0].zero_id, LINE}:
        return []
    return [_stands(laying, mark_id, point, unit)]


def _stands(laying: Laying, mark_id: str, point: FixedPoint, unit: UnitSystem) -> str:
    """Return how far a mark lies from a fixed point, and how that is measured."""
    landmark = landmark_text(laying, point.landmark)
    if point.distance_m < SAME_SPOT_M:
        # A take-off line that is the fixed point needs no other name.
        return landmark if mark_id == LINE else f"{mark_name(mark_id)}, at {landmark}"
    side = "past" if point.beyond else "before"
    told_m = laying.told_m(point)
    far = f"{format_length(told_m, unit)} {side} {landmark}"
    return f"{mark_name(mark_id)}, {far}{pieces_text(laying, told_m, unit)}"
