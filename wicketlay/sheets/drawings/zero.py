"""The 0 of a pull: what it is called, and its drawing with the side the tape lies on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.tape import PullDirection
from wicketlay.sheets.page.layout import Pen, cap_mm
from wicketlay.sheets.page.model import Align, Ink, Role
from wicketlay.wording.names import mark_label
from wicketlay.wording.places import board_text

if TYPE_CHECKING:
    from wicketlay.sheets.setting import Setting
    from wicketlay.solve import Laying


def draw_zero(
    pen: Pen,
    setting: Setting,
    place_mm: tuple[float, float],
    size_mm: tuple[float, float],
) -> None:
    """Draw the zero from above, the run going to the right, not to scale.

    ::

        tape   ---o|0=====================>   on the runner's left
        lane   -----------------------------
               RUN ->   |hurdle
               -----------------------------
    """
    (x_mm, y_mm), (width_mm, height_mm) = place_mm, size_mm
    size = Role.LABEL.small_pt
    tall = cap_mm(size)
    pulls = setting.laying.tape.pulls
    zero_id = pulls[0].zero_id
    both = len({p.direction for p in pulls if p.zero_id == zero_id}) > 1
    running = pulls[0].direction is PullDirection.RUNNING
    zero_x = x_mm + width_mm * (0.46 if both or not running else 0.40)
    top = y_mm + 2 * tall + 5.2
    bottom = y_mm + height_mm - tall - 2.2
    end = x_mm + width_mm
    for y in (top, bottom):
        pen.line(x_mm, y, end, y, width_mm=0.6)
    middle = (top + bottom) / 2
    run_end = zero_x - 5.0
    pen.arrow(x_mm + 1.0, middle, run_end, middle, width_mm=1.0, head_mm=3.6)
    pen.text(x_mm + 1.0, middle - 1.6, "RUN", Role.LABEL_STRONG, size_pt=Role.LABEL_STRONG.large_pt)
    _draw_thing(pen, zero_id, zero_x, top, bottom)
    label_x = zero_x + 4.6
    pen.text(
        label_x,
        middle + cap_mm(Role.STRONG.small_pt) / 2,
        mark_label(zero_id),
        Role.STRONG,
        size_pt=Role.STRONG.small_pt,
    )
    tape_y = top - 1.9
    for pull in pulls:
        if pull.zero_id != zero_id:
            continue
        forward = pull.direction is PullDirection.RUNNING
        tip = end if forward else x_mm
        pen.arrow(zero_x, tape_y, tip, tape_y, width_mm=0.9, head_mm=3.0)
        pen.text(
            tip - 1.0 if forward else tip + 1.0,
            tape_y - 2.0,
            f"pull {pull.number}",
            Role.LABEL,
            size_pt=size,
            align=Align.RIGHT if forward else Align.LEFT,
        )
    ring = zero_x - 3.0 if running else zero_x + 3.0
    if not both:
        pen.line(zero_x, tape_y, ring, tape_y, width_mm=0.3)
        pen.rect(
            min(ring, ring + (-2.0 if running else 2.0)),
            tape_y - 0.9,
            2.0,
            1.8,
            line_mm=0.3,
            fill=Ink.WHITE,
        )
    pen.line(zero_x, y_mm + tall + 1.4, zero_x, bottom, width_mm=0.25, dash_mm=0.8)
    pen.text(
        zero_x,
        y_mm + tall + 0.4,
        "0",
        Role.LABEL_STRONG,
        size_pt=Role.LABEL_STRONG.large_pt,
        align=Align.CENTRE,
    )
    pen.text(
        end,
        y_mm + height_mm - 0.4,
        "from above, not to scale",
        Role.LABEL,
        size_pt=size,
        align=Align.RIGHT,
    )


def _draw_thing(pen: Pen, zero_id: str, zero_x: float, top: float, bottom: float) -> None:
    """Draw what the zero is the front of: a hurdle, a start mark, or the take-off line."""
    if zero_id == "line":
        # The take-off line is the edge of the board that is nearer the pit.
        pen.rect(zero_x - 3.0, top, 3.0, bottom - top, line_mm=0.4, fill=Ink.TINT)
        return
    pen.rect(zero_x, top + 1.6, 2.6, bottom - top - 3.2, line_mm=0.4, fill=Ink.TINT)


def zero_text(laying: Laying, zero_id: str, *, short: bool = False) -> str:
    """Return which edge of what the 0 of the tape lies at; `short` leaves out which board."""
    if zero_id == "line":
        board = "" if short else board_text(laying).upper()
        return f"take-off line of the {board}" if board else "take-off line"
    if zero_id.startswith("start"):
        return f"front of start mark {mark_label(zero_id)}".removesuffix(" START")
    return f"front of {mark_label(zero_id)}"
