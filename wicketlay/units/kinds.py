"""The units we know: systems, exact factors, spellings."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

from wicketlay.values import dataclass


class UnitSystem(StrEnum):
    """Which units people read."""

    METRIC = "metric"
    FEET = "feet"


FOOT_M = Fraction(3048, 10000)
"""International foot [m], exact (US Federal Register 2020-21902)."""
INCH_M = Fraction(254, 10000)
"""International inch [m], exact (same source)."""
YARD_M = 3 * FOOT_M
MILE_M = 5280 * FOOT_M

LONGEST = 60
"""Characters in a quantity; a longer text is no quantity and is not searched for one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of quantity: its units and how they may be joined."""

    noun: str
    example: str
    likely: str
    factors: dict[str, Fraction]
    spellings: dict[str, str]
    chain: tuple[str, ...] = ()
    fractions: frozenset[str] = frozenset()

    def canonical(self, unit: str) -> str | None:
        """Return the short name of a unit as spelled, None when it is not one of ours."""
        unit = self.spellings.get(unit, unit)
        return unit if unit in self.factors else None

    @property
    def shown(self) -> str:
        """Its units, as people write them."""
        return ", ".join("Hz" if each == "hz" else each for each in self.factors)

    def per(self, big: str, small: str) -> int:
        """Return how many of the small unit make one of the big."""
        return int(self.factors[big] / self.factors[small])


LENGTH = Kind(
    noun="length",
    example='"1.66 m" or "5 ft 8 1/2 in"',
    likely="m",
    factors={
        "m": Fraction(1),
        "cm": Fraction(1, 100),
        "mm": Fraction(1, 1000),
        "ft": FOOT_M,
        "in": INCH_M,
        "yd": YARD_M,
    },
    spellings={
        "metre": "m",
        "metres": "m",
        "meter": "m",
        "meters": "m",
        "foot": "ft",
        "feet": "ft",
        "inch": "in",
        "inches": "in",
        "yard": "yd",
        "yards": "yd",
        "'": "ft",
        '"': "in",
    },
    chain=("ft", "in"),
    fractions=frozenset({"ft", "in"}),
)
SPEED = Kind(
    noun="speed",
    example='"8.5 m/s" or "30.6 km/h"',
    likely="m/s",
    factors={
        "m/s": Fraction(1),
        "km/h": Fraction(10, 36),
        "mph": MILE_M / 3600,
        "ft/s": FOOT_M,
    },
    spellings={},
)
CADENCE = Kind(
    noun="cadence",
    example='"4.3 steps/s" or "258 steps/min"',
    likely="steps/s",
    factors={"steps/s": Fraction(1), "steps/min": Fraction(1, 60), "hz": Fraction(1)},
    spellings={"step/s": "steps/s", "step/min": "steps/min"},
)
DURATION = Kind(
    noun="time",
    example='"3.17 s" or "3 min 30 s"',
    likely="s",
    factors={"h": Fraction(3600), "min": Fraction(60), "s": Fraction(1)},
    spellings={},
    chain=("h", "min", "s"),
)
PERCENT = Kind(
    noun="percentage",
    example='"95 %"',
    likely="%",
    factors={"%": Fraction(1, 100)},
    spellings={"percent": "%", "per cent": "%"},
)

PLURAL = {"ft": "feet", "in": "inches", "h": "hours", "min": "minutes", "s": "seconds"}
TYPOGRAPHIC = str.maketrans(
    {
        "\u2032": "'",
        "\u2019": "'",
        "\u2033": '"',
        "\u201d": '"',
        "\u2212": "-",
        "\u2044": "/",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)
