"""Text with units to SI and back; the only place that formats a number for people.

Reading is strict: a unit always, no exponents, no thousands marks. Conversions are exact: a text
becomes a fraction and the fraction becomes the nearest float, once.

Formatting rounds once, half away from zero, on the shortest decimal that names the float. So
1.005 m is shown as 1.01 and never as 1.00 because of its binary form.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from wicketlay.errors import QuantityError


class UnitSystem(StrEnum):
    """Which units people read."""

    METRIC = "metric"
    FEET = "feet"


FOOT_M = Fraction(3048, 10000)
"""International foot [m], exact (US Federal Register 2020-21902)."""
INCH_M = Fraction(254, 10000)
"""International inch [m], exact (same source)."""
MILE_M = 5280 * FOOT_M

_LONGEST = 60
"""Characters in a quantity; a longer text is no quantity and is not searched for one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
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

    def per(self, big: str, small: str) -> int:
        """Return how many of the small unit make one of the big."""
        return int(self.factors[big] / self.factors[small])


_LENGTH = _Kind(
    noun="length",
    example='"1.66 m" or "5 ft 8 1/2 in"',
    likely="m",
    factors={
        "m": Fraction(1),
        "cm": Fraction(1, 100),
        "mm": Fraction(1, 1000),
        "ft": FOOT_M,
        "in": INCH_M,
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
        "'": "ft",
        '"': "in",
    },
    chain=("ft", "in"),
    fractions=frozenset({"ft", "in"}),
)
_SPEED = _Kind(
    noun="speed",
    example='"8.5 m/s" or "30.6 km/h"',
    likely="m/s",
    factors={"m/s": Fraction(1), "km/h": Fraction(10, 36), "mph": MILE_M / 3600},
    spellings={},
)
_CADENCE = _Kind(
    noun="cadence",
    example='"4.3 steps/s" or "258 steps/min"',
    likely="steps/s",
    factors={"steps/s": Fraction(1), "steps/min": Fraction(1, 60), "hz": Fraction(1)},
    spellings={"step/s": "steps/s", "step/min": "steps/min"},
)
_DURATION = _Kind(
    noun="time",
    example='"3.17 s" or "3 min 30 s"',
    likely="s",
    factors={"h": Fraction(3600), "min": Fraction(60), "s": Fraction(1)},
    spellings={},
    chain=("h", "min", "s"),
)
_PERCENT = _Kind(
    noun="percentage",
    example='"95 %"',
    likely="%",
    factors={"%": Fraction(1, 100)},
    spellings={"percent": "%", "per cent": "%"},
)

_PLURAL = {"ft": "feet", "in": "inches", "h": "hours", "min": "minutes", "s": "seconds"}
_TYPOGRAPHIC = str.maketrans(
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


def _decimal_text(value: Fraction | Decimal) -> str:
    """Return a terminating number written out, without trailing zeros or an exponent."""
    if isinstance(value, Fraction):
        value = Decimal(value.numerator) / Decimal(value.denominator)
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


class _Reader:
    """One reading of one text; its refusals name the text as it was written."""

    def __init__(self, text: str, kind: _Kind, *, signed: bool, likely: str | None) -> None:
        self.text = text
        self.kind = kind
        self.signed = signed
        self.likely = likely or kind.likely

    def refuse(self, what: str, remedy: str) -> QuantityError:
        shown = self.text if len(self.text) <= _LONGEST else self.text[:_LONGEST] + "..."
        return QuantityError(f'{self.kind.noun} "{shown}" {what}; {remedy}')

    def read(self) -> tuple[Fraction, tuple[str, ...]]:
        """Return the value in SI and the units it was written in."""
        kind = self.kind
        if len(self.text) > _LONGEST:
            raise self.refuse(
                f"is over {_LONGEST} characters long", f"write a {kind.noun} such as {kind.example}"
            )
        plain = " ".join(self.text.casefold().translate(_TYPOGRAPHIC).split())
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
        decimal = _decimal_text(Decimal(number.replace(",", ".")))
        thousands = _decimal_text(Decimal(number.replace(",", "") or "0"))
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
                    f'write "{_decimal_text(_rounded(value, 4))} {unit}"'
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
            if kind is _LENGTH and len(before) == 1 and "'" in plain:
                return "in"  # 5'8 leaves no doubt
            if before:
                raise self.refuse(
                    "ends in a number without a unit", f"write a {kind.noun} such as {kind.example}"
                )
            raise self._no_unit(part)
        unit = kind.canonical(spelled)
        if unit is None:
            known = ", ".join("Hz" if each == "hz" else each for each in kind.factors)
            raise self.refuse(f'has the unit "{spelled}"', f"known units: {known}")
        return unit

    def _no_unit(self, part: re.Match[str]) -> QuantityError:
        number = part.group().strip()
        if self.kind is _PERCENT:
            broken = "." in number or "," in number
            if broken and Fraction(number.replace(",", ".")) <= Fraction(3, 2):
                # 0.95 is a share, 95 and 2 are percentages
                number = _decimal_text(Fraction(number.replace(",", ".")) * 100)
        sign = "-" if self.text.strip().translate(_TYPOGRAPHIC).startswith("-") else ""
        return self.refuse("has no unit", f'write "{sign}{number} {self.likely}"')

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
                    f"has a broken number of {_PLURAL[unit]} before {_PLURAL[small]}",
                    f"write whole {_PLURAL[unit]} and then {_PLURAL[small]}",
                )
            limit = kind.per(unit, small)
            if below >= limit:
                more, rest = divmod(below, limit)
                fixed = f"{value + more} {unit} {_inches_text(rest)} {small}"
                raise self.refuse(
                    f"has {_inches_text(below)} {small} beside {_PLURAL[unit]}",
                    f'{_PLURAL[small]} must stay below {limit}: write "{fixed}"',
                )


_ALONE = re.compile(
    r"\s*(?P<alone_num>[0-9]+)/(?P<alone_den>[0-9]+)"
    r"\s*(?P<unit>'|\"|per cent|[^\W\d_]+(?:/[^\W\d_]+)?|%)?"
)


def _parse(
    text: str, kind: _Kind, *, signed: bool = False, likely: str | None = None
) -> tuple[float, tuple[str, ...]]:
    value, units = _Reader(text, kind, signed=signed, likely=likely).read()
    return float(value), units


def parse_length(text: str, *, signed: bool = False, likely: str = "m") -> float:
    """Return a length [m] from text such as ``1.66 m``, ``60 cm`` or ``5 ft 8 1/2 in``.

    Units are m, cm, mm, ft and in; ``5'8"`` and typographic primes are understood.

    Parameters
    ----------
    text
        The length with its unit. A decimal comma is understood.
    signed
        Whether a sign may stand before it.
    likely
        The unit to suggest when there is none.

    Raises
    ------
    QuantityError
        When the text is not a length, or can be read two ways.
    """
    return _parse(text, _LENGTH, signed=signed, likely=likely)[0]


def parse_speed(text: str) -> float:
    """Return a speed [m/s] from text in m/s, km/h or mph; QuantityError otherwise."""
    return _parse(text, _SPEED)[0]


def parse_cadence(text: str) -> float:
    """Return a cadence [steps/s] from text in steps/s, steps/min or Hz."""
    return _parse(text, _CADENCE)[0]


def parse_duration(text: str, *, likely: str = "s") -> float:
    """Return a time [s] from text such as ``3.17 s``, ``3 min 30 s`` or ``1 h``."""
    return _parse(text, _DURATION, likely=likely)[0]


def parse_percent(text: str, *, signed: bool = False) -> float:
    """Return a share (0.95) from text such as ``95 %``."""
    return _parse(text, _PERCENT, signed=signed)[0]


# ---------------------------------------------------------------------------------------------
# Writing exactly: text that reads back as the very same float, in the style of an older text
# ---------------------------------------------------------------------------------------------


def _exact(value: float) -> Fraction:
    """Return the shortest decimal that names the float, as a fraction."""
    if not math.isfinite(value):
        message = f"{value} cannot be written; it must be a finite number"
        raise QuantityError(message)
    return Fraction(Decimal(repr(float(value))))


def _fewest(amount: Fraction, factor: Fraction, aim: float, beside: Fraction = Fraction(0)) -> str:
    """Return the fewest decimals of `amount` for which `beside` + amount x factor is `aim`."""
    for places in range(30):
        text = _decimal_text(_rounded(amount, places))
        if float(beside + Fraction(text) * factor) == aim:
            return text
    message = f"{aim!r} cannot be written in these units"
    raise QuantityError(message)


def _inches_text(inches: Fraction) -> str:
    """Return inches as a whole number and a fraction down to 1/64, else as a decimal."""
    whole, rest = divmod(inches, 1)
    if rest == 0:
        return str(whole)
    if 64 % rest.denominator == 0:
        return f"{whole} {rest}" if whole else str(rest)
    return _decimal_text(_rounded(inches, 6))


def _write_feet(value: float, units: tuple[str, ...], like: str | None) -> str:
    primes = like is not None and "'" in like.translate(_TYPOGRAPHIC)
    exact = abs(_exact(value))
    inches = exact / INCH_M
    sign = "-" if value < 0 else ""
    if units == ("ft",) and (inches / 12).denominator == 1:
        return f"{sign}{inches / 12}'" if primes else f"{sign}{inches / 12} ft"
    whole_ft, rest = (Fraction(0), inches) if units == ("in",) else divmod(inches, Fraction(12))
    whole_ft = Fraction(whole_ft)
    fraction = 64 % rest.denominator == 0
    text = (
        _inches_text(rest) if fraction else _fewest(rest, INCH_M, float(exact), whole_ft * FOOT_M)
    )
    if units == ("in",):
        return f"{sign}{text} in"
    return f"{sign}{whole_ft}' {text}\"" if primes else f"{sign}{whole_ft} ft {text} in"


def _styled(text: str, like: str | None) -> str:
    """Give `text` the decimal mark and the spacing of an older text."""
    if like is None:
        return text
    if "," in like and "." in text:
        text = text.replace(".", ",")
        # A comma with three digits after it is refused when read; a nought more is not.
        text = re.sub(r"(,[0-9]{3})(?![0-9])", r"\g<1>0", text)
    if " " not in like.strip() and text.count(" ") == 1:
        text = text.replace(" ", "")
    return text


def _units_of(like: str | None, kind: _Kind, *, default: str) -> tuple[str, ...]:
    if like is None:
        return (default,)
    try:
        return _parse(like, kind, signed=True)[1]
    except QuantityError:
        return (default,)


def write_length(value_m: float, like: str | None = None, *, default: str = "m") -> str:
    """Return a length [m] as text that reads back as exactly the same float.

    Parameters
    ----------
    value_m
        The length [m], any sign.
    like
        A text whose unit, decimal mark and spacing are kept ("5 ft 8 in" keeps feet).
    default
        Unit when there is no older text: m, cm, mm, ft or in.
    """
    units = _units_of(like, _LENGTH, default=default)
    if units[0] in {"ft", "in"}:
        return _write_feet(value_m, units, like)
    exact = _exact(value_m) / _LENGTH.factors[units[0]]
    return _styled(f"{_decimal_text(exact)} {units[0]}", like)


def write_speed(value_mps: float, like: str | None = None) -> str:
    """Return a speed [m/s] as text that reads back as exactly the same float."""
    unit = _units_of(like, _SPEED, default="m/s")[0]
    text = _fewest(_exact(value_mps) / _SPEED.factors[unit], _SPEED.factors[unit], value_mps)
    return _styled(f"{text} {unit}", like)


def write_cadence(value_hz: float, like: str | None = None) -> str:
    """Return a cadence [steps/s] as text that reads back as exactly the same float."""
    unit = _units_of(like, _CADENCE, default="steps/s")[0]
    text = _fewest(_exact(value_hz) / _CADENCE.factors[unit], _CADENCE.factors[unit], value_hz)
    return _styled(f"{text} {'Hz' if unit == 'hz' else unit}", like)


def write_duration(value_s: float, like: str | None = None, *, default: str = "s") -> str:
    """Return a time [s] as text that reads back as exactly the same float."""
    units = _units_of(like, _DURATION, default=default)
    exact = _exact(value_s)
    if units == ("s",):
        return _styled(f"{_decimal_text(exact)} s", like)
    minutes, seconds = divmod(exact, 60)
    if units[0] == "h" and minutes >= 60:
        hours, minutes = divmod(minutes, 60)
        parts = [f"{hours} h"]
    else:
        parts = []
    parts += [f"{minutes} min"] if minutes else []
    parts += [f"{_decimal_text(seconds)} s"] if seconds or not (minutes or parts) else []
    if parts[0].endswith("h") and len(parts) == 2 and parts[1].endswith(" s"):
        parts.insert(1, "0 min")
    return _styled(" ".join(parts), like)


def write_percent(share: float, like: str | None = None) -> str:
    """Return a share as a percentage that reads back as exactly the same float."""
    return _styled(f"{_decimal_text(_exact(share) * 100)} %", like)


# ---------------------------------------------------------------------------------------------
# Formatting for people: rounded once, half away from zero
# ---------------------------------------------------------------------------------------------


def _rounded(value: Fraction, places: int) -> Decimal:
    """Return `value` rounded to `places` decimals, half away from zero."""
    scaled = abs(value) * 10**places
    whole, rest = divmod(scaled, 1)
    whole = int(whole) + (1 if rest >= Fraction(1, 2) else 0)
    return Decimal(whole if value >= 0 else -whole).scaleb(-places)


def _fixed(value: float | Fraction, places: int) -> str:
    """Return a number with exactly `places` decimals; never -0."""
    exact = value if isinstance(value, Fraction) else _exact(value)
    text = f"{_rounded(exact, places):f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def _whole(value: Fraction) -> int:
    return int(_rounded(value, 0))


def _feet_text(parts: int, per_inch: int, *, always_feet: bool) -> str:
    """Return a whole number of parts of an inch as feet and inches."""
    sign = "-" if parts < 0 else ""
    feet, rest = divmod(abs(parts), 12 * per_inch)
    inches = _inches_text(Fraction(rest, per_inch))
    if feet or always_feet:
        return f"{sign}{feet} ft {inches} in"
    return f"{sign}{inches} in"


def format_length(
    length_m: float,
    unit: UnitSystem | str = UnitSystem.METRIC,
    *,
    places: int = 2,
    per_inch: int = 2,
    bare: bool = False,
) -> str:
    """Return a length for people: ``1.66 m``, or ``5 ft 5 1/2 in``.

    Rounded half away from zero, to `places` decimals of a metre or to 1/`per_inch` inch.

    Parameters
    ----------
    length_m
        The length [m].
    unit
        Metric or feet.
    places
        Decimals of a metre.
    per_inch
        Parts of an inch: 1, 2, 4, 8 or 16.
    bare
        Leave the ``m`` out (a column that names its unit); feet keep theirs.
    """
    if UnitSystem(unit) is UnitSystem.FEET:
        parts = _whole(_exact(length_m) / INCH_M * per_inch)
        return _feet_text(parts, per_inch, always_feet=False)
    text = _fixed(length_m, places)
    return text if bare else f"{text} m"


def format_move(move_m: float, unit: UnitSystem | str = UnitSystem.METRIC) -> str:
    """Return a small length for people: ``6 cm`` or ``2 1/2 in``.

    Rounded half away from zero to a centimetre or to half an inch.
    """
    if UnitSystem(unit) is UnitSystem.FEET:
        parts = _whole(_exact(move_m) / INCH_M * 2)
        sign = "-" if parts < 0 else ""
        return f"{sign}{_inches_text(Fraction(abs(parts), 2))} in"
    return f"{_fixed(_exact(move_m) * 100, 0)} cm"


_TICK_TEXT = {"1 cm": None, "1/2 in": 2, "1/4 in": 4}


def format_ticks(ticks: int, tick: float | str) -> str:
    """Return a tape reading: ``12.34`` [m] from centimetre ticks, or ``40 ft 5 1/2 in``.

    Nothing is rounded here: a reading is a whole number of ticks.

    Parameters
    ----------
    ticks
        The reading, in ticks.
    tick
        Length of a tick [m] (0.01, 0.0127 or 0.00635), or its name ``1 cm``, ``1/2 in``,
        ``1/4 in``.

    Raises
    ------
    QuantityError
        When the tick is none of these.
    """
    lengths = {0.01: "1 cm", 0.0127: "1/2 in", 0.00635: "1/4 in"}
    name = str(tick) if isinstance(tick, str) else lengths.get(float(tick), "")
    if name not in _TICK_TEXT:
        message = f'a tape tick of "{tick}" is unknown; it must be one of 1 cm, 1/2 in, 1/4 in'
        raise QuantityError(message)
    per_inch = _TICK_TEXT[name]
    if per_inch is None:
        return _fixed(Fraction(ticks, 100), 2)
    return _feet_text(ticks, per_inch, always_feet=True)


def format_speed(speed_mps: float, unit: UnitSystem | str = UnitSystem.METRIC) -> str:
    """Return a speed for people, ``8.53 m/s`` or ``19.1 mph``; half away from zero."""
    if UnitSystem(unit) is UnitSystem.FEET:
        return f"{_fixed(_exact(speed_mps) * 3600 / MILE_M, 1)} mph"
    return f"{_fixed(speed_mps, 2)} m/s"


def format_cadence(cadence_hz: float) -> str:
    """Return a cadence for people, ``3.96 steps/s``; half away from zero."""
    return f"{_fixed(cadence_hz, 2)} steps/s"


def format_time(time_s: float, *, places: int = 2) -> str:
    """Return a time for people, ``3.17 s``; half away from zero."""
    return f"{_fixed(time_s, places)} s"


def format_duration(time_s: float) -> str:
    """Return a recovery or a session for people, to a second: ``3 min 30 s``, ``1 h``."""
    total = _whole(_exact(time_s))
    sign = "-" if total < 0 else ""
    minutes, seconds = divmod(abs(total), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [
        f"{amount} {name}"
        for amount, name in ((hours, "h"), (minutes, "min"), (seconds, "s"))
        if amount
    ]
    return sign + (" ".join(parts) or "0 s")


def format_percent(share: float, *, places: int = 1) -> str:
    """Return a share as a percentage, ``95 %`` or ``97.5 %``; half away from zero."""
    return f"{_decimal_text(Decimal(_fixed(_exact(share) * 100, places)))} %"


# ---------------------------------------------------------------------------------------------
# Temperatures: a scale with another zero, so not a factor
# ---------------------------------------------------------------------------------------------

_TEMPERATURE = re.compile(r"([+-]?)([0-9]+(?:[.,][0-9]+)?) ?(?:°|deg ?)? ?(c|f)")


def parse_temperature(text: str) -> float:
    """Return a temperature [degC] from text such as ``28 C``, ``28 °C`` or ``80 F``.

    Raises
    ------
    QuantityError
        When the text is not a temperature.
    """
    plain = " ".join(text[: _LONGEST + 1].casefold().translate(_TYPOGRAPHIC).split())
    found = _TEMPERATURE.fullmatch(plain)
    if found is None:
        shown = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
        message = f'temperature "{shown}" is not one; write it such as "28 C" or "80 F"'
        raise QuantityError(message)
    sign, number, scale = found.groups()
    value = Fraction(number.replace(",", ".")) * (-1 if sign == "-" else 1)
    return float(value if scale == "c" else (value - 32) * Fraction(5, 9))


def write_temperature(value_c: float, like: str | None = None) -> str:
    """Return a temperature [degC] in the scale of `like`; exact in Celsius.

    Fahrenheit is written with as many decimals as read back to the same float, up to two;
    where two do not suffice the text is in Celsius.
    """
    if like is not None and like.strip().casefold().endswith("f"):
        fahrenheit = _exact(value_c) * Fraction(9, 5) + 32
        for places in range(3):
            text = _decimal_text(_rounded(fahrenheit, places))
            if float((Fraction(text) - 32) * Fraction(5, 9)) == value_c:
                return f"{text} F"
    return f"{_decimal_text(_exact(value_c))} C"


def format_temperature(value_c: float, unit: UnitSystem | str = UnitSystem.METRIC) -> str:
    """Return a temperature for people, ``28 °C`` or ``82 °F``; half away from zero."""
    if UnitSystem(unit) is UnitSystem.FEET:
        return f"{_fixed(_exact(value_c) * Fraction(9, 5) + 32, 0)} °F"
    return f"{_fixed(value_c, 0)} °C"
