"""The first minute: four answers on one screen, and the marks they lead to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.fields import Line
from wicketlay.export import as_table
from wicketlay.keys.typed import FieldError
from wicketlay.plan_file import read_plan
from wicketlay.solve import solve
from wicketlay.starter.quick import four_answers, quick_text
from wicketlay.units import UnitSystem
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan import Plan

LINES = (
    Line(key="height", label="how tall", value="1.70 m", unit="1.70 m or 5 ft 7 in"),
    Line(key="known", label="how fast", value="4.1", unit="4.1 steps/s, 8.2 m/s or 20m/2.45s"),
    Line(key="wickets", label="how many wickets", value="12", unit="12, or over 25 m"),
    Line(key="room", label="free length there", unit="80 m; empty: not checked"),
)
"""What is asked, in order; Enter takes what stands there."""
_OF_LINES = {
    **dict.fromkeys(("cadence", "top_speed", "flying"), "known"),
    "section": "wickets",
}
"""Under which line an answer is told that is refused."""


@dataclass(frozen=True, slots=True, kw_only=True)
class First:
    """What the four answers stand for: a plan, the text of its file, and its marks as a table."""

    plan: Plan
    text: str
    table: str


def first_of(answers: Mapping[str, str], unit: UnitSystem = UnitSystem.METRIC) -> First:
    """Return what four answers stand for, as ``wicketlay quick`` takes them.

    Raises
    ------
    FieldError
        When one cannot be read; its `key` is the line's.
    """
    try:
        text = quick_text({**four_answers(**answers), "unit": unit.value})
    except FieldError as error:
        raise FieldError(str(error), key=_OF_LINES.get(error.key, error.key)) from None
    plan = read_plan(text.encode(), "four answers")
    return First(plan=plan, text=text, table=as_table(solve(plan)))
