"""A tape reading as it stands in a column: decimals, or feet, inches and fractions in line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.sheets.layout import cap_mm, width_mm
from wicketlay.sheets.pages import Align, Role

if TYPE_CHECKING:
    from wicketlay.sheets.layout import Pen


def draw_reading(
    pen: Pen, right_mm: float, baseline_mm: float, text: str, role: Role, *, size_pt: float
) -> None:
    """Draw a reading so that a column lines up: decimals, or feet, inches and fractions.

    The units of a feet reading are set at half the size.
    """
    if " ft " not in text:
        pen.text(right_mm, baseline_mm, text, role, size_pt=size_pt, align=Align.RIGHT)
        return
    feet, _, *inches, _ = text.split()
    unit_pt = reading_unit_pt(size_pt)
    space_mm = 0.25 * cap_mm(size_pt)
    fraction = next((part for part in inches if "/" in part), "")
    whole = next((part for part in inches if "/" not in part), "")
    # From the right: room for "in", for a fraction, for two digits, for "ft"; then the feet.
    fraction_right = right_mm - width_mm("in", role, unit_pt) - space_mm
    whole_right = fraction_right - width_mm("1/2", role, size_pt) - space_mm
    ft_right = whole_right - 2 * width_mm("0", role, size_pt) - 2.2 * space_mm
    feet_right = ft_right - width_mm("ft", role, unit_pt) - space_mm
    unit_x = whole_right + space_mm
    pen.text(feet_right, baseline_mm, feet, role, size_pt=size_pt, align=Align.RIGHT)
    pen.text(ft_right, baseline_mm, "ft", role, size_pt=unit_pt, align=Align.RIGHT)
    if whole:
        pen.text(whole_right, baseline_mm, whole, role, size_pt=size_pt, align=Align.RIGHT)
    if fraction:
        pen.text(fraction_right, baseline_mm, fraction, role, size_pt=size_pt, align=Align.RIGHT)
        unit_x = fraction_right + space_mm
    pen.text(unit_x, baseline_mm, "in", role, size_pt=unit_pt)


def reading_unit_pt(size_pt: float) -> float:
    """Return the size of "ft" and "in" beside a reading's digits [pt]."""
    return max(size_pt / 2, Role.LABEL.small_pt)


def reading_room_mm(text: str, role: Role, size_pt: float) -> float:
    """Return how much room `draw_reading` needs for a reading [mm]."""
    if " ft " not in text:
        return width_mm(text, role, size_pt)
    unit_pt = reading_unit_pt(size_pt)
    feet = text.split(maxsplit=1)[0]
    digits = width_mm(feet + "00" + "1/2", role, size_pt)
    return digits + width_mm("ftin", role, unit_pt) + 5.2 * 0.25 * cap_mm(size_pt)
