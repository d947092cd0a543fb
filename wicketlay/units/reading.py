"""Text with units to SI.

Reading is strict: a unit always, no exponents, no thousands marks. A text becomes a fraction and
the fraction becomes the nearest float, once.
"""

from __future__ import annotations

import itertools
import re
from decimal import Decimal
from fractions import Fraction

from wicketlay.errors import QuantityError
from wicketlay.units.exact import decimal_text, inches_text, rounded
from wicketlay.units.kinds import (
    CADENCE,
    DURATION,
    LENGTH,
    LONGEST,
    PERCENT,
    PLURAL,
    SPEED,
    TYPOGRAPHIC,
    Kind,
)

_DIGITS = re.compile(r"[0-9.,]*[0-9][0-9.,]*")
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+")
_GROUPED = re.compile(r"[0-9]+(?:[.,][0-9]{3})+[.,][0-9]+")
_EXPONENT = re.compile(r"[0-9.,]\s*e\s*[+-]?[0-9]")
_SPACED_THOUSANDS = re.compile(r"[0-9] [0-9]{3}(?![0-9/])")
_PART = re.compile(
    r"\s*(?:(?P<whole>[.,]?[0-9]+(?:[.,][0-9]+)?)(?:(?:\s+|-)(?P<num>[0-9]+)/(?P<den>[0-9]+))?"
    r"|(?P<alone_num>[0-9]+)/(?P<alone_den>[0-9]+))"
    r"\s*(?P<unit>'|\"|per cent|[^\W\d_]+(?:/[^\W\d_]+)?|%)?"
)
_FRACTION_FIRST = re.compile(r"\s*[0-9]+/[0-9]")


class NoUnitError(QuantityError):
    """A number stands alone; which unit was meant may be told by the range it is for.

    Parameters
    ----------
    number
        The number as it was written, or as the percentage that a share stands for.
    """

    def __init__(self, message: str, *, number: str) -> None:
        super().__init__(message)
        self.number = number


class _Reader:
    """One reading of one text; its refusals name the text as it was written."""

    def __init__(self, text: str, kind: Kind, *, signed: bool) -> None:
        self.text = text
        self.kind = kind
        self.signed = signed

    def refuse(self, what: str, remedy: str) -> QuantityError:
        shown = self.text if len(self.text) <= LONGEST else self.text[:LONGEST] + "..."
        return QuantityError(f'{self.kind.noun} "{shown}" {what}; {remedy}')

    def read(self) -> tuple[Fraction, tuple[str, ...]]:
        """Return the value in SI and the units it was written in."""
        kind = self.kind
        if len(self.text) > LONGEST:
            raise self.refuse(
                f"is over {LONGEST} characters long", f"write a {kind.noun} such as {kind.example}"
            )
        plain = " ".join(self.text.casefold().translate(TYPOGRAPHIC).split())
        plain = plain.replace("''", '"')
        if not plain:
            raise self.refuse("is empty", f"write a {kind.noun} such as {kind.example}")
        sign = 1
        if plain[0] in "+-":
            if not self.signed:
                raise self.refuse(
                    "has a sign where none can be", f'write "{self.text.strip()[1:].strip()}"'
                )
            sign = -1 if plain[0] == "-" else 1
            plain = plain[1:].strip()
        self._check_digits(plain)
        total, units = self._parts(plain)
        return sign * total, units

    def _check_digits(self, plain: str) -> None:
        """Refuse exponents, thousands marks and a comma that can be read two ways."""
        if _EXPONENT.search(plain):
            raise self.refuse("has an exponent", f"write it out, such as {self.kind.example}")
        if _SPACED_THOUSANDS.search(plain):
            whole = re.sub(r"(?<=[0-9]) (?=[0-9]{3}(?![0-9/]))", "", plain)
            raise self.refuse("has a thousands mark", f'write "{whole}"')
        for found in _DIGITS.finditer(plain):
            number = found.group()
            if _PLAIN.fullmatch(number):
                if re.search(r",[0-9]{3}$", number):
                    self._two_readings(plain, number)
                continue
            if _GROUPED.fullmatch(number):
                last = max(number.rfind(","), number.rfind("."))
                tail = number[last + 1 :]
                # 1.234,5 and 1,234.5 name their decimal mark; 1.234.567 has none.
                mixed = number.count(number[last]) == 1
                head = re.sub(r"[.,]", "", number[:last])
                fixed = f"{head}.{tail}" if mixed else head + tail
                raise self.refuse(
                    "has a thousands mark", f'write "{plain.replace(number, fixed, 1)}"'
                )
            raise self.refuse(
                f'has the number "{number}", which has a mark too many or digits too few',
                f"write a {self.kind.noun} such as {self.kind.example}",
            )

    def _two_readings(self, plain: str, number: str) -> None:
        decimal = decimal_text(Decimal(number.replace(",", ".")))
        thousands = decimal_text(Decimal(number.replace(",", "") or "0"))
        small = plain.replace(number, decimal, 1)
        large = plain.replace(number, thousands, 1)
        raise self.refuse(f"can be read as {small} or as {large}", f'write "{small}" or "{large}"')

    def _parts(self, plain: str) -> tuple[Fraction, tuple[str, ...]]:
        kind = self.kind
        found: list[tuple[Fraction, str, bool]] = []
        at = 0
        while at < len(plain):
            part = self._part_at(plain, at)
            value, fractional = self._number(part)
            found.append((value, self._unit(part, found, plain), fractional))
            at = part.end()
        for value, unit, fractional in found:
            if fractional and unit not in kind.fractions:
                raise self.refuse(
                    "has a fraction, which is for feet and inches",
                    f'write "{decimal_text(rounded(value, 4))} {unit}"'
                    if kind.fractions
                    else f"write a decimal, such as {kind.example}",
                )
        self._check_chain([(value, unit) for value, unit, _ in found])
        total = sum((value * kind.factors[unit] for value, unit, _ in found), Fraction(0))
        return total, tuple(unit for _, unit, _ in found)

    def _part_at(self, plain: str, at: int) -> re.Match[str]:
        # "1/2 in" begins like a whole number; the fraction is tried first where it fits.
        part = _PART.match(plain, at)
        if part is not None and part.group("whole") and _FRACTION_FIRST.match(plain, at):
            part = _ALONE.match(plain, at)
        if part is None or part.end() == at:
            raise self.refuse(
                f"is not a {self.kind.noun}",
                f"write a {self.kind.noun} such as {self.kind.example}",
            )
        return part

    def _number(self, part: re.Match[str]) -> tuple[Fraction, bool]:
        groups = part.groupdict()
        value = Fraction(0)
        if groups.get("whole"):
            value = Fraction(groups["whole"].replace(",", "."))
        top = groups.get("num") or groups.get("alone_num")
        bottom = groups.get("den") or groups.get("alone_den")
        if top is None or bottom is None:
            return value, False
        if not 2 <= int(bottom) <= 64 or not 0 < int(top) < int(bottom) or value.denominator != 1:
            raise self.refuse(
                f'has the fraction "{top}/{bottom}"',
                'write a whole number and a proper fraction down to 1/64, such as "8 1/2 in"',
            )
        return value + Fraction(int(top), int(bottom)), True

    def _unit(
        self, part: re.Match[str], before: list[tuple[Fraction, str, bool]], plain: str
    ) -> str:
        spelled = part.group("unit")
        kind = self.kind
        if spelled is None:
            rest = plain[part.end() :].strip()
            if rest:
                raise self.refuse(
                    f"is not a {kind.noun}", f"write a {kind.noun} such as {kind.example}"
                )
            if kind is LENGTH and len(before) == 1 and "'" in plain:
                return "in"  # 5'8 leaves no doubt
            if before:
                raise self.refuse(
                    "ends in a number without a unit", f"write a {kind.noun} such as {kind.example}"
                )
            raise self._no_unit(part)
        unit = kind.canonical(spelled)
        if unit is None:
            raise self.refuse(f'has the unit "{spelled}"', f"known units: {kind.shown}")
        return unit

    def _no_unit(self, part: re.Match[str]) -> QuantityError:
        number = part.group().strip()
        if self.kind is PERCENT:
            broken = "." in number or "," in number
            if broken and Fraction(number.replace(",", ".")) <= Fraction(3, 2):
                # 0.95 is a share, 95 and 2 are percentages
                number = decimal_text(Fraction(number.replace(",", ".")) * 100)
        sign = "-" if self.text.strip().translate(TYPOGRAPHIC).startswith("-") else ""
        number = sign + number
        refusal = self.refuse("has no unit", f'write "{number} {self.kind.likely}"')
        return NoUnitError(str(refusal), number=number)

    def _check_chain(self, parts: list[tuple[Fraction, str]]) -> None:
        """Hold the parts of a compound in order, whole but for the last, and small enough."""
        kind = self.kind
        if len(parts) == 1:
            return
        places = [kind.chain.index(unit) if unit in kind.chain else -1 for _, unit in parts]
        ordered = all(b == a + 1 for a, b in itertools.pairwise(places))
        if -1 in places or not ordered:
            joined = " and ".join(unit for _, unit in parts)
            raise self.refuse(f"joins {joined}", f"write a {kind.noun} such as {kind.example}")
        for (value, unit), (below, small) in itertools.pairwise(parts):
            if value.denominator != 1:
                raise self.refuse(
                    f"has a broken number of {PLURAL[unit]} before {PLURAL[small]}",
                    f"write whole {PLURAL[unit]} and then {PLURAL[small]}",
                )
            limit = kind.per(unit, small)
            if below >= limit:
                more, rest = divmod(below, limit)
                fixed = f"{value + more} {unit} {inches_text(rest)} {small}"
                raise self.refuse(
                    f"has {inches_text(below)} {small} beside {PLURAL[unit]}",
                    f'{PLURAL[small]} must stay below {limit}: write "{fixed}"',
                )


_ALONE = re.compile(
    r"\s*(?P<alone_num>[0-9]+)/(?P<alone_den>[0-9]+)"
    r"\s*(?P<unit>'|\"|per cent|[^\W\d_]+(?:/[^\W\d_]+)?|%)?"
)


def read_quantity(text: str, kind: Kind, *, signed: bool = False) -> tuple[float, tuple[str, ...]]:
    """Return a quantity in SI and the units it was written in; QuantityError when it is none."""
    value, units = _Reader(text, kind, signed=signed).read()
    return float(value), units


def parse_length(text: str, *, signed: bool = False) -> float:
    """Return a length [m] from text such as ``1.66 m``, ``60 cm`` or ``5 ft 8 1/2 in``.

    ``5'8"`` and typographic primes are understood.

    Parameters
    ----------
    text
        The length with its unit. A decimal comma is understood.
    signed
        Whether a sign may stand before it.

    Raises
    ------
    QuantityError
        When the text is not a length, or can be read two ways.
    """
    return read_quantity(text, LENGTH, signed=signed)[0]


def parse_speed(text: str, *, signed: bool = False) -> float:
    """Return a speed [m/s] from text with its unit; QuantityError otherwise."""
    return read_quantity(text, SPEED, signed=signed)[0]


def parse_cadence(text: str) -> float:
    """Return a cadence [steps/s] from text in steps/s, steps/min or Hz."""
    return read_quantity(text, CADENCE)[0]


def parse_duration(text: str) -> float:
    """Return a time [s] from text such as ``3.17 s``, ``3 min 30 s`` or ``1 h``."""
    return read_quantity(text, DURATION)[0]


def parse_percent(text: str, *, signed: bool = False) -> float:
    """Return a share (0.95) from text such as ``95 %``."""
    return read_quantity(text, PERCENT, signed=signed)[0]
