"""What tells two prints apart at a glance: which sheet of how many, and a check of its readings."""

from __future__ import annotations

from hashlib import blake2s
from typing import TYPE_CHECKING

from wicketlay.sheets.furniture import foot_lines_mm
from wicketlay.sheets.page.layout import Pen
from wicketlay.sheets.page.model import Align, Role
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wicketlay.sheets.page.layout import Paper
    from wicketlay.sheets.page.model import Sheet
    from wicketlay.solve import Laying

_LETTERS = "23456789ABCDEFGHJKLMNPRSTUVWXYZ"
"""No 0 and O, 1 and I, nor Q, which are taken for each other in the rain."""
CHECK_LENGTH = 4


def check_of(layings: Iterable[Laying]) -> str:
    """Return four characters made of the readings of layings: others where any reading differs.

    Two prints with other readings have the same check once in 900,000.
    """
    read = [
        (
            (laying.lane, laying.wave, laying.stage),
            [(point.landmark.text, f"{laying.told_m(point):.3f}") for point in laying.zero_points],
            [
                (pull.zero_id, pull.direction.value, each.mark_id, each.ticks, each.tick.value)
                for pull in laying.tape.pulls
                for each in pull.readings
            ],
        )
        for laying in layings
    ]
    number = int.from_bytes(blake2s(repr(read).encode("utf-8")).digest()[:8])
    letters = []
    for _ in range(CHECK_LENGTH):
        number, at = divmod(number, len(_LETTERS))
        letters.append(_LETTERS[at])
    return "".join(letters)


def stamped(
    make: Callable[[], Sheet], paper: Paper, place: tuple[int, int], layings: Iterable[Laying]
) -> Sheet:
    """Make a sheet and put its number, `place` of so many, and its check at the foot of its pages.

    Without layings, a sheet that says what must not be laid, there is no check.
    """
    sheet = make()
    layings = tuple(layings)
    text = f"sheet {place[0]} of {place[1]}"
    if layings:
        text += f" · {check_of(layings)}"
    pen = Pen(paper=paper)
    baseline = foot_lines_mm(paper)[-1]
    pen.text(paper.right_mm, baseline, text, Role.LABEL_STRONG, align=Align.RIGHT)
    stamp = tuple(pen.items)
    pages = tuple(replace(page, items=(*page.items, *stamp)) for page in sheet.pages)
    return replace(sheet, pages=pages)
