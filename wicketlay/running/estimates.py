"""A value that is not known exactly: its standard deviation and what it rests on."""

from __future__ import annotations

import math

from wicketlay.errors import DomainError
from wicketlay.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A number with its one-SD error and its basis.

    Parameters
    ----------
    value
        The estimate, in the unit of the name that holds it.
    sd
        One standard deviation, same unit, zero or more.
    basis
        What it rests on, in a few words for people ("flying time", "height and cadence").

    Raises
    ------
    DomainError
        When the value or its SD is not finite, or the SD is negative.
    """

    value: float
    sd: float
    basis: str

    def __post_init__(self) -> None:
        """Refuse what cannot be an estimate."""
        if not (math.isfinite(self.value) and 0.0 <= self.sd < math.inf):
            raise DomainError(
                "an estimate needs a finite value and an SD of 0 or more, "
                f"got {self.value!r} with SD {self.sd!r}"
            )

    @property
    def relative_sd(self) -> float:
        """The SD as a share of the value."""
        return self.sd / abs(self.value)
