"""Numbers with a unit, as text: read strictly into SI, and written back in the unit they had."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from wicketlay import units
from wicketlay.errors import QuantityError
from wicketlay.keys.codecs.base import UnfitError, held, in_reason, quoted
from wicketlay.keys.problems import shown_value
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable

    from wicketlay.keys.codecs.base import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with a unit, as text.

    Parameters
    ----------
    noun, example
        What it is, and one rightly written.
    parse, to_text
        Text to SI and back.
    low, high
        Range [SI], both ends allowed.
    units
        Units that a bare number may have been meant in, likeliest first.
    """

    noun: str
    example: str
    parse: Callable[[str], float]
    to_text: Callable[[float, str | None], str]
    low: float
    high: float
    units: tuple[str, ...]

    def read(self, value: object) -> float:
        """Return the quantity in SI."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if not in_reason(value):
                raise UnfitError(
                    f"{shown_value(value)} is not a {self.noun}",
                    remedy=f"write one such as {self.example}",
                )
            try:
                self.parse(_plain(value))
            except units.NoUnitError as error:
                raise self._no_unit(shown_value(value), error.number) from None
            except QuantityError:  # of the wrong sign
                pass
            raise self._no_unit(shown_value(value), _plain(value))
        if not isinstance(value, str):
            raise UnfitError(
                f"{shown_value(value)} is not a {self.noun} in quotes",
                remedy=f"write one such as {self.example}",
            )
        try:
            found = self.parse(value)
        except units.NoUnitError as error:
            raise self._no_unit(f"{self.noun} {shown_value(value)}", error.number) from None
        except QuantityError as error:
            raise UnfitError.said_by(error) from None
        held(found, self.low, self.high, shown_value(value), self._allowed)
        return found

    @property
    def _allowed(self) -> str:
        return f"{self.to_text(self.low, None)} to {self.to_text(self.high, None)}"

    def _no_unit(self, shown: str, number: str) -> UnfitError:
        """Return what to write for a bare number: the unit that puts it in the range."""
        for unit in self.units:
            try:
                fits = self.low <= self.parse(f"{number} {unit}") <= self.high
            except QuantityError:
                fits = False
            if fits:
                remedy = f'write "{number} {unit}"'
                if unit == "in":  # or a metric figure with a digit missing: only the typist knows
                    remedy += f" if it is inches, else one such as {self.example}"
                return UnfitError(f"{shown} has no unit", remedy=remedy)
        return UnfitError(
            f"{shown} has no unit",
            allowed=self._allowed,
            remedy=f"write one such as {self.example}",
        )

    def write(self, value: Value, like: object = None) -> str:
        """Return the quantity as a TOML string, in the unit of the older text."""
        return quoted(self.to_text(float(value), like if isinstance(like, str) else None))


def _plain(number: float) -> str:
    return f"{number:.10f}".rstrip("0").rstrip(".") if isinstance(number, float) else str(number)


def length(low: float, high: float, *, signed: bool = False, unit: str = "m") -> Quantity:
    """Return the codec of a length between `low` and `high` [m]."""
    return Quantity(
        noun="length",
        example='"1.2 m"',
        parse=partial(units.parse_length, signed=signed),
        to_text=partial(units.write_length, default=unit),
        low=low,
        high=high,
        units=(unit, "m", "cm"),
    )


def height(low: float, high: float, example: str) -> Quantity:
    """Return the codec of a person's height or leg [m]; a bare number tells its unit by size."""
    return Quantity(
        noun="length",
        example=example,
        parse=units.parse_length,
        to_text=units.write_length,
        low=low,
        high=high,
        units=("m", "cm", "in"),
    )


def speed(low: float, high: float, *, signed: bool = False) -> Quantity:
    """Return the codec of a speed between `low` and `high` [m/s]."""
    return Quantity(
        noun="speed",
        example='"8.5 m/s"',
        parse=partial(units.parse_speed, signed=signed),
        to_text=units.write_speed,
        low=low,
        high=high,
        units=("m/s", "km/h"),
    )


def cadence(low: float, high: float) -> Quantity:
    """Return the codec of a cadence between `low` and `high` [steps/s]."""
    return Quantity(
        noun="cadence",
        example='"4.3 steps/s"',
        parse=units.parse_cadence,
        to_text=units.write_cadence,
        low=low,
        high=high,
        units=("steps/s", "steps/min"),
    )


def duration(low: float, high: float, *, unit: str = "s") -> Quantity:
    """Return the codec of a time between `low` and `high` [s]."""
    return Quantity(
        noun="time",
        example='"3.17 s"' if unit == "s" else '"3 min"',
        parse=units.parse_duration,
        to_text=partial(units.write_duration, default=unit),
        low=low,
        high=high,
        units=(unit, "min", "s"),
    )


def percent(low: float, high: float, *, signed: bool = False) -> Quantity:
    """Return the codec of a share between `low` and `high`, written as a percentage."""
    return Quantity(
        noun="percentage",
        example='"95 %"',
        parse=partial(units.parse_percent, signed=signed),
        to_text=units.write_percent,
        low=low,
        high=high,
        units=("%",),
    )
