"""Which units a text may have: told once, for the reader of the README and of `explain`."""

from __future__ import annotations

from wicketlay.units.kinds import CADENCE, DURATION, LENGTH, PERCENT, SPEED
from wicketlay.units.temperature import EXAMPLE
from wicketlay.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """One kind of quantity: its units, other spellings of them, and one or two rightly written."""

    noun: str
    units: str
    spellings: tuple[str, ...] = ()
    example: str


ACCEPTED = (
    *(
        Accepted(
            noun=kind.noun, units=kind.shown, spellings=tuple(kind.spellings), example=kind.example
        )
        for kind in (LENGTH, SPEED, CADENCE, DURATION, PERCENT)
    ),
    Accepted(noun="temperature", units="C, F", example=EXAMPLE),
)
