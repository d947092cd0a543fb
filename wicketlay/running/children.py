"""Who of a plan is a child, for whom only a qualified coach's judgement counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import Finding
from wicketlay.running.facts import is_child
from wicketlay.sources import CAUTIOUS_BELOW_YEARS, Standard

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from wicketlay.findings import Value
    from wicketlay.running.facts import Athlete

_LEVELS = frozenset({Standard.UNDER_13, Standard.UNDER_15})


def children_findings(athletes: Iterable[Athlete], today: date | None) -> list[Finding]:
    """Return one note that names the athletes under 15 years, none when there are none.

    Parameters
    ----------
    today
        The day of the plan, for an age from the day of birth; None when it is not told.
    """
    names = [each.name for each in athletes if is_under_15(each, today)]
    if not names:
        return []
    values: dict[str, Value] = {"names": ", ".join(names), "years": float(CAUTIOUS_BELOW_YEARS)}
    return [Finding.note("children", **values)]


def is_under_15(athlete: Athlete, today: date | None) -> bool:
    """Return whether an athlete is under 15 years; age before level."""
    age = athlete.age_on(today)
    if age is not None:
        return is_child(age, float(CAUTIOUS_BELOW_YEARS))
    return athlete.level in _LEVELS
