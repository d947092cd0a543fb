"""The box that tells where the 0 of the tape lies, twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.ground.tape import LINE, TapeLies
from wicketlay.sheets.drawings.strip import has_painted_line
from wicketlay.sheets.drawings.zero import draw_zero, zero_text
from wicketlay.sheets.page.flow import Block
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, wrap
from wicketlay.sheets.page.model import Role
from wicketlay.sheets.pulls import move_text
from wicketlay.wording.names import come_in_text, mark_label, room_text
from wicketlay.wording.places import (
    ALONG_LEFT_LINE,
    edge_text,
    ground_word,
    landmark_text,
    noted_texts,
    round_bend_text,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.ground.placed import FixedPoint, FreeZero
    from wicketlay.sheets.setting import Setting


ZERO_DRAWING_MM = 40.0
BLANK_MM = (40.0, 8.0)
"""A box to write in, for a cold hand."""
_APART_MM = 3.0


def zero_box(setting: Setting) -> Block:
    """Return the box that tells the zero twice, with its drawing where there is room for it."""
    paper = setting.paper
    drawing = 0.0 if paper.compact else ZERO_DRAWING_MM
    ticked = 8.6 if paper.compact else 9.0
    room = paper.inner_mm - drawing - ticked - (4.0 if paper.compact else 6.0)
    lines = [
        (part, role, role.small_pt)
        for text, role in _zero_texts(setting)
        for part in wrap(text, role, role.small_pt, room)
    ]
    text_mm = sum(line_mm(size) for _, _, size in lines)
    upper = text_mm + 2.0 if paper.compact else max(text_mm + 2.4, 25.0)
    blanks = _blanks(setting)
    # How the marks stand takes the whole width, below the drawing.
    role = Role.LABEL if paper.compact else Role.BODY
    below = wrap(_how_marks_stand(setting), role, role.small_pt, paper.inner_mm - 5.0)
    height = upper + blanks.height_mm + len(below) * line_mm(role.small_pt)

    def draw(pen: Pen, y: float) -> None:
        pen.rect(paper.left_mm, y, paper.inner_mm, height, line_mm=0.7)
        at = y + 1.4 + (upper - 2.0 - text_mm) / 2
        # The zero is laid as the marks are, and ticked as they are.
        pen.tick_box(paper.left_mm + 1.6, at + (cap_mm(Role.ZERO.small_pt) - 5.0) / 2)
        for text, text_role, size in lines:
            pen.text(paper.left_mm + ticked, at + cap_mm(size), text, text_role, size_pt=size)
            at += line_mm(size)
        blanks.draw(pen, y + upper)
        at = y + upper + blanks.height_mm + cap_mm(role.small_pt)
        pen.lines(paper.left_mm + 3.0, at, below, role, size_pt=role.small_pt)
        if drawing:
            place = (paper.right_mm - drawing - 2.0, y + 1.0)
            draw_zero(pen, setting, place, (drawing, upper - 2.0))

    return Block(height_mm=height + 1.2, draw=draw)


def _zero_texts(setting: Setting) -> list[tuple[str, Role]]:
    placed = setting.laying.placed
    pull = setting.laying.tape.pulls[0]
    points = pull.fixed_points
    zero = zero_text(setting.laying, pull.zero_id)
    texts: list[tuple[str, Role]] = []
    if points:
        here = pull.zero_id == LINE and points[0].distance_m < setting.laying.tape.spec.tick.metres
        place = "" if here else f" = {_fixed_point(setting, points[0])}"
        texts.append((f"0 = {zero}{place}", Role.ZERO))
        moved = move_text(setting, pull.zero_id)
        if moved not in {"", "stays", "new"}:
            # What lies there now is not what is measured from.
            name = mark_label(pull.zero_id)
            texts.append((f"{name} moves first, {moved}: 0 is its new place.", Role.STRONG))
        edge = edge_text(setting.laying, points[0].landmark) or "the edge of it you all agree on"
        far = setting.pieces(setting.laying.told_m(points[0]))
        told = f"{'At' if here else 'Measure to'} {edge}{far}. "
        if len(points) > 1:
            other = edge_text(setting.laying, points[1].landmark)
            other = f" ({other})" if other else ""
            far = setting.pieces(setting.laying.told_m(points[1]))
            told += f"Check: {_fixed_point(setting, points[1])}{other}{far}. "
        told += _round_bend(setting, points)
        texts.append((told.strip(), Role.STRONG))
    elif placed.free_zero is not None:
        texts += _free_zero_texts(setting, placed.free_zero, zero, pull.zero_id)
    else:
        texts.append((f"0 = {zero}", Role.ZERO))
    ring = "Use the 0 of the scale, not the ring."
    if setting.paper.compact:
        texts.append((f"{ring} {_tape_lies(setting)}", Role.STRONG))
    else:
        texts += [(ring, Role.STRONG), (_tape_lies(setting), Role.BODY)]
    if placed.both_ways:
        texts.append(("Run in both directions: wickets that fall both ways.", Role.STRONG))
    return texts


def _free_zero_texts(
    setting: Setting, free: FreeZero, zero: str, zero_id: str
) -> list[tuple[str, Role]]:
    """Return how a zero on ground without a fixed point is chosen and found again."""
    ahead = room_text(free.sighting_m, setting.unit)
    how = move_text(setting, zero_id)
    noted = noted_texts(setting.laying, setting.unit)
    chosen = "find it again" if noted else "choose the place"
    where = {"": chosen, "stays": "it stays where it lies"}.get(how, how)
    texts = [
        (f"0 = {zero}: {where}", Role.ZERO),
        (f"Second cone {ahead} on, to sight along.", Role.BODY),
    ]
    if noted:
        texts.append((f"0 is {'; '.join(noted)}.", Role.STRONG))
    elif how == "":
        texts.append(("Note how far 0 is from two things that stay:", Role.BODY))
    return texts


def _blanks(setting: Setting) -> Block:
    """Return the boxes to write in from what a chosen 0 is how far away, so that it is found again.

    A thing that has a name needs its distance only; a 0 that lies there already needs none.
    """
    free = setting.laying.placed.free_zero
    asked = free is not None and move_text(setting, setting.laying.tape.pulls[0].zero_id) == ""
    noted = free.noted if asked and free is not None else ()
    things = [each.name for each in noted if each.distance_m is None]
    things += [""] * (2 - len(noted)) if asked else []
    cells = [cell for each in things for cell in ((each, False), ("its distance from 0", True))]
    wide, high = BLANK_MM
    paper = setting.paper
    across = max(int((paper.inner_mm - 6.0 + _APART_MM) // (wide + _APART_MM)), 1)
    across -= across % 2 if across > 1 else 0
    size = Role.LABEL.small_pt

    def draw(pen: Pen, y: float) -> None:
        for at, (text, blank) in enumerate(cells):
            x = paper.left_mm + 3.0 + at % across * (wide + _APART_MM)
            top = y + at // across * (high + 1.4)
            if blank or not text:
                pen.rect(x, top, wide, high, line_mm=0.25)
                label = text or "what it is measured from"
                pen.text(x + 0.8, top + 0.8 + cap_mm(size), label, Role.LABEL, size_pt=size)
                continue
            lines = wrap(text, Role.STRONG, Role.STRONG.small_pt, wide)
            pen.centred(x, (top, high), lines, Role.STRONG, size_pt=Role.STRONG.small_pt)

    rows = -(-len(cells) // across)
    return Block(height_mm=rows * (high + 1.4) + (0.8 if rows else 0.0), draw=draw)


def _how_marks_stand(setting: Setting) -> str:
    """Return which part of each kind of mark counts, and where across the lane it is put."""
    layout = setting.laying.layout
    told = []
    if layout.of_kind(MarkKind.WICKET):
        # Run both ways a runner comes from either side, and the tape is laid from one.
        both = setting.laying.placed.both_ways
        front = "towards START" if both else "the runner comes from"
        ground = ground_word(setting.laying)
        told.append(f"Wickets: middle of the {ground}, front = the side {front}.")
    come = come_in_text(setting.laying.demands[0], setting.unit)
    told.append(f"START: cone, line across, {f'the runners {come}' if come else 'toe behind'}.")
    if layout.of_kind(MarkKind.LANDING):
        told.append("STEP: where the toe lands.")
    return " ".join(told)


def _round_bend(setting: Setting, points: Sequence[FixedPoint]) -> str:
    """Return along what the way to a fixed point is measured where it is curved, "" elsewhere."""
    tick_m = setting.laying.tape.spec.tick.metres
    ways = ((each.distance_m, each.painted_m) for each in points)
    if not any(painted is not None and abs(painted - run) >= tick_m for run, painted in ways):
        return ""
    if setting.laying.tape.spec.lies is TapeLies.PAINTED_LINE:
        return "Measure round the bend, along the left line."
    away = setting.length(setting.laying.placed.course.painted_offset_m)
    return f"Measure round the bend, {away} from the left line."


def _tape_lies(setting: Setting) -> str:
    """Return along what the tape is laid."""
    if not has_painted_line(setting):
        return "Tape along your sighting line."
    return round_bend_text(setting.laying, setting.unit) or f"{ALONG_LEFT_LINE}."


def _fixed_point(setting: Setting, point: FixedPoint) -> str:
    distance_m = setting.laying.told_m(point)
    if abs(distance_m) < setting.laying.tape.spec.tick.metres / 2:
        return f"at {landmark_text(setting.laying, point.landmark)}"
    side = "after" if point.beyond else "before"
    return f"{setting.length(distance_m)} {side} {landmark_text(setting.laying, point.landmark)}"
