"""Run lines in closed form, and landmarks on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NewType

ChainageM = NewType("ChainageM", float)
"""Distance [m] along a run line from that line's own zero."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """A place and a heading in a ground's frame: [m], [m], [rad] counter-clockwise from +x."""

    x_m: float
    y_m: float
    heading_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmark:
    """A painted or built feature of known chainage ("fixed point" on paper).

    Parameters
    ----------
    key
        What a plan file calls it ("finish", "100 m start").
    text
        How paper names it ("the finish line").
    chainage_m
        Where it lies on its line.
    edge
        Which edge of it counts ("edge nearer the start"), empty when it has no width.
    """

    key: str
    text: str
    chainage_m: ChainageM
    edge: str = ""
