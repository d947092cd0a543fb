"""The 0 of a pull: what it is called, and its drawing with the side the tape lies on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.tape import LINE
from wicketlay.sheets.page.layout import Pen, cap_mm
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.wording.names import mark_label
from wicketlay.wording.places import board_text

if TYPE_CHECKING:
    from wicketlay.sheets.setting import Setting
    from wicketlay.solve import Laying


HALF_LANE_MM = 8.0
_THING_MM = 2.6
_BOARD_MM = 3.0


def draw_zero(
    pen: Pen, setting: Setting, place_mm: tuple[float, float], size_mm: tuple[float, float]
) -> None:
    """Draw the zero from above, not to scale, turned as the lane beside the rows is.

    The first pull goes down the page, as its rows do; the tape lies on the runner's left. ::

          |  RUN  |  ^ pull 2
          |   v   |  |
          |=======|--o 0            a hurdle: the side the runner comes from
          |  W1   |  |
          |       |  v pull 1
    """
    (x_mm, y_mm), (width_mm, height_mm) = place_mm, size_mm
    size = Role.LABEL.small_pt
    tall = cap_mm(size)
    pulls = setting.laying.tape.pulls
    zero_id = pulls[0].zero_id
    here = [pull for pull in pulls if pull.zero_id == zero_id]
    both = len({pull.direction for pull in here}) > 1
    # +1 where the run goes down the page: the runner's left is then on the right.
    way = pulls[0].direction.way
    middle = x_mm + width_mm / 2 - 3.0 * way
    bottom = y_mm + height_mm - tall - 1.6
    zero_y = y_mm + (bottom - y_mm) * (0.5 if way > 0 else 0.36)
    for x in (middle - HALF_LANE_MM, middle + HALF_LANE_MM):
        pen.line(x, y_mm, x, bottom, width_mm=0.6)
    behind, ahead = _draw_thing(pen, zero_id, middle, zero_y, way)
    tail = y_mm + 0.4 if way > 0 else bottom - 0.4
    pen.arrow(middle - 3.6, tail, middle - 3.6, behind - 1.2 * way, width_mm=1.0, head_mm=3.4)
    bold = Role.LABEL_STRONG.large_pt
    word_y = (tail + behind - 1.2 * way + cap_mm(bold)) / 2
    pen.text(middle - 1.4, word_y, "RUN", Role.LABEL_STRONG, size_pt=bold)
    name_pt = Role.STRONG.small_pt
    name_y = ahead + (1.2 + cap_mm(name_pt) if way > 0 else -1.2)
    pen.text(middle, name_y, mark_label(zero_id), Role.STRONG, size_pt=name_pt, align=Align.CENTRE)
    tape_x = middle + way * (HALF_LANE_MM + 2.2)
    outer = Align.LEFT if way > 0 else Align.RIGHT
    for pull in here:
        down = pull.direction.way == way
        tip = bottom if down else y_mm
        pen.arrow(tape_x, zero_y, tape_x, tip, width_mm=0.9, head_mm=3.0)
        pen.text(
            tape_x + way * 2.2,
            tip - 0.6 if down else tip + tall + 0.6,
            f"pull {pull.number}",
            Role.LABEL,
            size_pt=size,
            align=outer,
        )
    if not both:
        pen.line(tape_x, zero_y, tape_x, zero_y - 2.4, width_mm=0.3)
        pen.rect(tape_x - 0.9, zero_y - 4.4, 1.8, 2.0, line_mm=0.3, fill=Ink.WHITE)
    end = tape_x + way * 1.6
    pen.line(middle - way * HALF_LANE_MM, zero_y, end, zero_y, width_mm=0.25, dash_mm=0.8)
    pen.text(
        end + way * 0.8,
        zero_y + cap_mm(bold) / 2,
        "0",
        Role.LABEL_STRONG,
        size_pt=bold,
        align=outer,
    )
    pen.text(
        x_mm + width_mm,
        y_mm + height_mm - 0.4,
        "from above, not to scale",
        Role.LABEL,
        size_pt=size,
        align=Align.RIGHT,
    )


def _draw_thing(
    pen: Pen, zero_id: str, middle: float, zero_y: float, way: int
) -> tuple[float, float]:
    """Draw what the zero is an edge of: a hurdle, a start mark, or the take-off line.

    Return where it ends towards the runner who comes, and where the runner leaves it.
    """
    if zero_id == LINE:
        # The take-off line is the edge of the board that is nearer the pit.
        before, after = zero_y - way * _BOARD_MM, zero_y
        half = HALF_LANE_MM
    else:
        before, after = zero_y, zero_y + way * _THING_MM
        half = HALF_LANE_MM - 1.6
    top = min(before, after)
    pen.rect(middle - half, top, 2 * half, abs(after - before), line_mm=0.4, fill=Ink.TINT)
    return before, after


def zero_text(laying: Laying, zero_id: str, *, short: bool = False) -> str:
    """Return which edge of what the 0 of the tape lies at; `short` leaves out which board."""
    if zero_id == LINE:
        board = "" if short else board_text(laying).upper()
        return f"take-off line of the {board}" if board else "take-off line"
    if zero_id.startswith("start"):
        return f"front of start mark {mark_label(zero_id)}".removesuffix(" START")
    return f"front of {mark_label(zero_id)}"
