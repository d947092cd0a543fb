"""The bag: how many hurdles there are and what they are like."""

from __future__ import annotations

from wicketlay.declared import Keyed, Kind, keyed
from wicketlay.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit(Keyed):
    """What the coach can put on the ground.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    wickets: int = keyed(14, Kind.COUNT, "low hurdles in the bag", 0, 200, aka=("hurdles",))
    wicket_width_m: float = keyed(0.60, Kind.LENGTH, "width of one", 0.1, 1.5, unit="cm")
    wicket_height_m: float = keyed(0.15, Kind.LENGTH, "height of one", 0.005, 0.6, unit="cm")
    falls_both_ways: bool = keyed(
        False, Kind.FLAG, "falls when struck from either side; needed to run both directions"
    )


DEFAULT_KIT = Kit()
"""A usual bag."""
