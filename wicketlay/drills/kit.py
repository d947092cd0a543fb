"""The bag: how many hurdles there are and what they are like."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """What the coach can put on the ground.

    Parameters
    ----------
    wickets
        How many low hurdles are in the bag.
    wicket_width_m, wicket_height_m
        Size of one [m].
    falls_both_ways
        Whether a struck wicket falls from either side; needed to run both directions.
    """

    wickets: int = 14
    wicket_width_m: float = 0.60
    wicket_height_m: float = 0.15
    falls_both_ways: bool = False


DEFAULT_KIT = Kit()
"""A usual bag."""
