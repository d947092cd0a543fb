"""Values with a way of writing of their own: ages, temperatures, steps, cadences, corners."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wicketlay import units
from wicketlay.declared import keys_of
from wicketlay.drills.cadence import CADENCE_SHARES, CADENCES_HZ, CadenceRule, CadenceTarget
from wicketlay.errors import QuantityError
from wicketlay.ground.lines import PLACES_M
from wicketlay.keys.codecs.base import UnfitError, held, in_reason, quoted
from wicketlay.keys.codecs.plain import Count, Many
from wicketlay.keys.codecs.quantities import cadence, length, percent
from wicketlay.keys.problems import shown_value
from wicketlay.running.facts import BoardMisses

if TYPE_CHECKING:
    from wicketlay.keys.codecs.base import Value


class Age:
    """Years, as a whole number or as text ("12 years")."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    _TEXT = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,20})?) ?(?:years?|y)")

    def read(self, value: object) -> float:
        """Return the age [years]."""
        allowed = f"{self.low:g} to {self.high:g} years"
        years: float | None = None
        if isinstance(value, str):
            found = self._TEXT.fullmatch(value.strip().casefold())
            years = None if found is None else float(found.group(1).replace(",", "."))
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            years = value if in_reason(value) else None
        if years is None:
            raise UnfitError(
                f"{shown_value(value)} is not an age",
                allowed=allowed,
                remedy='write it such as 12 or "12 years"',
            )
        held(years, self.low, self.high, shown_value(value), allowed)
        return float(years)

    def write(self, value: Value, like: object = None) -> str:
        """Return the age as TOML: a whole number where it was one and is one."""
        whole = float(value).is_integer()
        if whole and not isinstance(like, str):
            return str(int(value))
        return quoted(f"{int(value) if whole else repr(float(value))} years")


class Temperature:
    """A temperature with its scale."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def read(self, value: object) -> float:
        """Return the temperature [degC]."""
        allowed = f"{self.low:g} C to {self.high:g} C"
        if not isinstance(value, str):
            raise UnfitError(
                f"{shown_value(value)} has no scale",
                allowed=allowed,
                remedy=f'write "{shown_value(value)} C"'
                if isinstance(value, (int, float)) and not isinstance(value, bool)
                else 'write it such as "28 C"',
            )
        try:
            found = units.parse_temperature(value)
        except QuantityError as error:
            raise UnfitError.said_by(error) from None
        if not self.low <= found <= self.high:
            size = "low" if found < self.low else "high"
            raise UnfitError(f"{shown_value(value)} is too {size}", allowed=allowed)
        return found

    def write(self, value: Value, like: object = None) -> str:
        """Return the temperature as a TOML string, in the scale it had."""
        return quoted(units.write_temperature(value, like if isinstance(like, str) else None))


class Miss:
    """How far a foot came down past its place ("12 cm over") or before it ("30 cm short").

    ::

        - - - - short - - - - | place | - - - - over - - - ->   running direction

    A sign says the same: + is over. `bare_unit` is the unit of a number without one, "" refuses it.
    """

    _TEXT = re.compile(
        r"(?P<sign>[-+−–]?) ?(?P<size>[0-9].*?) ?(?P<way>over|short)?",  # noqa: RUF001 - as typed
        re.IGNORECASE,
    )
    _REMEDY = 'write one such as "12 cm over" or "30 cm short"'

    def __init__(self, low: float, high: float, bare_unit: str = "") -> None:
        self.low, self.high, self.bare_unit = low, high, bare_unit

    def read(self, value: object) -> float:
        """Return the miss [m], positive over."""
        found = self._TEXT.fullmatch(value.strip()) if isinstance(value, str) else None
        if found is None:
            raise UnfitError(f"{shown_value(value)} is not a miss", remedy=self._REMEDY)
        sign, size, way = found["sign"], found["size"], (found["way"] or "").casefold()
        if self.bare_unit and re.fullmatch(r"[0-9]+([.,][0-9]+)?", size):
            size = f"{size} {self.bare_unit}"
        try:
            by_m = units.parse_length(size)
        except units.NoUnitError:
            raise UnfitError(f"{shown_value(value)} has no unit", remedy=self._REMEDY) from None
        except QuantityError as error:
            raise UnfitError.said_by(error, self._REMEDY) from None
        if by_m and bool(sign) is bool(way):
            says = "says twice" if sign else "does not say"
            raise UnfitError(
                f"{shown_value(value)} {says} which way the foot missed", remedy=self._REMEDY
            )
        miss_m = -by_m if by_m and (way == "short" or sign not in {"", "+"}) else by_m
        held(
            miss_m,
            self.low,
            self.high,
            shown_value(value),
            f"{self.text(self.low)} to {self.text(self.high)}",
        )
        return miss_m

    def text(self, miss_m: float, like: object = None) -> str:
        """Return a miss as text that reads back as the very same, in the unit of an older one."""
        found = self._TEXT.fullmatch(like.strip()) if isinstance(like, str) else None
        size = units.write_length(abs(miss_m), found["size"] if found else None, default="cm")
        return f"{size} {'over' if miss_m > 0.0 else 'short'}" if miss_m else size

    def write(self, value: Value, like: object = None) -> str:
        """Return the miss as a TOML string."""
        return quoted(self.text(float(value), like))


def typed_miss(text: str, unit: str) -> float:
    """Return a miss [m] as somebody types it: ``+12``, ``-30``, ``5 cm short``, +5in.

    A number is in `unit`: cm, or in.
    """
    return Miss(*keys_of(BoardMisses)["misses_m"].range, bare_unit=unit).read(text)


_STEPS_PER_S = cadence(*CADENCES_HZ)
_SHARE = percent(*CADENCE_SHARES)
_OF = {"of top": CadenceRule.OF_TOP, "of natural": CadenceRule.OF_NATURAL}


class Cadence:
    """A cadence to aim at: natural, steps a second, or a share of top or natural cadence."""

    _ALLOWED = '"98 % of top", "102 % of natural", "4.3 steps/s" or "natural"'

    def read(self, value: object) -> CadenceTarget:
        """Return what the text asks for."""
        if not isinstance(value, str):
            text = shown_value(value)
            raise UnfitError(
                f"{text} is not a cadence", allowed=self._ALLOWED, remedy="write it in quotes"
            )
        plain = " ".join(value.split())
        if plain == "natural":
            return CadenceTarget()
        for ending, rule in _OF.items():
            if plain.endswith(f" {ending}"):
                share = _SHARE.read(plain.removesuffix(f" {ending}"))
                return CadenceTarget(rule=rule, value=share)
        if plain.endswith("%"):
            raise UnfitError(
                f"{shown_value(value)} does not say of what",
                remedy=f'write "{plain} of top" or "{plain} of natural"',
            )
        try:
            return CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=_STEPS_PER_S.read(value))
        except UnfitError as error:
            allowed = error.allowed or self._ALLOWED
            raise UnfitError(error.message, allowed=allowed, remedy=error.remedy) from None

    def write(self, value: Value, like: object = None) -> str:
        """Return the target as a TOML string."""
        target: CadenceTarget = value
        old = like if isinstance(like, str) else None
        if target.rule is CadenceRule.NATURAL:
            return quoted("natural")
        if target.rule is CadenceRule.STEPS_PER_S:
            return quoted(units.write_cadence(target.value, old))
        return quoted(f"{units.write_percent(target.value)} {target.rule.value}")


_STEPS = re.compile(r"([0-9]{1,3})[ -]?(?:steps?|strides?)(?: approach| run-on)?")


class Steps:
    """A whole number of steps, bare or in words; strides are taken for steps."""

    def __init__(self, low: int, high: int) -> None:
        self.count = Count(low=low, high=high)

    def read(self, value: object) -> int:
        """Return how many."""
        if not isinstance(value, str):
            return self.count.read(value)
        found = _STEPS.fullmatch(" ".join(value.casefold().split()))
        if found is None:
            raise UnfitError(
                f"{shown_value(value)} is not a number of steps",
                remedy='write it such as "14 steps"',
            )
        return self.count.read(int(found.group(1)))

    def write(self, value: Value, like: object = None) -> str:
        """Return the number as TOML, bare if it was."""
        return str(value) if isinstance(like, int) else quoted(f"{value} steps")


class RunOn:
    """A run-on in metres (read as a float) or in steps (read as a whole number)."""

    def __init__(self, metres: tuple[float, float], steps: tuple[float, float]) -> None:
        self.metres = length(*metres)
        self.steps = Steps(round(steps[0]), round(steps[1]))

    def read(self, value: object) -> float | int:
        """Return metres as a float, steps as an int."""
        if isinstance(value, int) and not isinstance(value, bool):
            raise UnfitError(f"{value} has no unit", remedy=f'write "{value} m" or "{value} steps"')
        if isinstance(value, str) and _STEPS.fullmatch(" ".join(value.casefold().split())):
            return self.steps.read(value)
        return self.metres.read(value)

    def write(self, value: Value, like: object = None) -> str:
        """Return the run-on as a TOML string."""
        if isinstance(value, int):
            return quoted(f"{value} steps")
        return self.metres.write(value, like)


class Corner:
    """A point of an outline: [x, y], two lengths."""

    _pair = Many(member=length(*PLACES_M, signed=True), least=2, most=2)

    def read(self, value: object) -> tuple[float, ...]:
        """Return (x, y) [m]."""
        return self._pair.read(value)

    def write(self, value: Value, like: object = None) -> str:
        """Return the point as a TOML array."""
        return self._pair.write(value, like)
