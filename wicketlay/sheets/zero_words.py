"""What the 0 of a pull is called."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.wording.names import mark_label
from wicketlay.wording.places import board_text

if TYPE_CHECKING:
    from wicketlay.ground.tape import Pull
    from wicketlay.solve import Laying


def zero_text(laying: Laying, zero_id: str, *, short: bool = False) -> str:
    """Return which edge of what the 0 of the tape lies at; `short` leaves out which board."""
    if zero_id == "line":
        board = "" if short else board_text(laying).upper()
        return f"take-off line of the {board}" if board else "take-off line"
    if zero_id.startswith("start"):
        return f"front of start mark {mark_label(zero_id)}".removesuffix(" START")
    return f"front of {mark_label(zero_id)}"


def other_zero(pull: Pull, told: Pull) -> str:
    """Return what a reading is taken from where that is not the 0 a table tells, "" where it is.

    A tape that ends elsewhere in another column begins its next pull at another mark.
    """
    if (pull.zero_id, pull.direction) == (told.zero_id, told.direction):
        return ""
    way = "" if pull.direction is told.direction else f", {pull.direction.value}"
    return f"from {mark_label(pull.zero_id)}{way}"
