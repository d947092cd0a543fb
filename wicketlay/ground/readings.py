"""The tape and what is read off it, as plain data."""

from __future__ import annotations

import math
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, Self

from wicketlay.declared import Keyed, Kind, keyed
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.findings import Finding
    from wicketlay.ground.placed import FixedPoint


_UNITS_M = {"cm": Fraction(1, 100), "in": Fraction(254, 10_000)}


class Tick(StrEnum):
    """The tape's rounding; `metres` is the length of one tick [m], what its own text says."""

    metres: float

    def __new__(cls, text: str) -> Self:
        """Make the tick of a text."""
        made = str.__new__(cls, text)
        made._value_ = text
        number, unit = text.split()
        made.metres = float(Fraction(number) * _UNITS_M[unit])
        return made

    CM_1 = "1 cm"
    HALF_INCH = "1/2 in"
    QUARTER_INCH = "1/4 in"

    @property
    def metric(self) -> bool:
        """True for centimetres."""
        return self.value.endswith("cm")


class TapeClass(StrEnum):
    """Accuracy class of a material measure of length (EU 2014/32 Annex X)."""

    I = "I"  # noqa: E741 - the class is called I
    II = "II"
    III = "III"


class TapeLies(StrEnum):
    """Along what the tape lies; on a straight it makes no difference."""

    RUN_LINE = "run line"
    PAINTED_LINE = "painted line"
    STRAIGHT = "pulled straight"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeSpec(Keyed):
    """The tape and how it is used.

    Raises
    ------
    DomainError
        When the length or the temperature is out of range.
    """

    zero: str | None = keyed(None, Kind.TEXT, 'the mark (or "line") at the 0 of the scale')
    length_m: float = keyed(
        50.0, Kind.LENGTH, "how long it is", 2.0, 200.0, what="length of the tape"
    )
    tick: Tick = keyed(Tick.CM_1, Kind.WORD, "readings are rounded to it", name="round", words=Tick)
    tape_class: TapeClass = keyed(
        TapeClass.II, Kind.WORD, "accuracy class, printed on it", name="class", words=TapeClass
    )
    lies: TapeLies = keyed(
        TapeLies.RUN_LINE, Kind.WORD, "along what it lies on a bend", words=TapeLies
    )
    temperature_c: float | None = keyed(
        None,
        Kind.TEMPERATURE,
        "of a steel tape; left out, its length is taken as printed",
        -30.0,
        60.0,
        what="temperature of the tape",
    )


class PullDirection(StrEnum):
    """Which way the tape runs out from its zero."""

    RUNNING = "with the run"
    BACK = "against the run"

    @property
    def way(self) -> int:
        """+1 when readings ascend in the running direction, -1 when against it."""
        return 1 if self is PullDirection.RUNNING else -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the tape shows at a mark.

    Parameters
    ----------
    ticks
        The reading as a whole number of `tick`.
    true_m
        True distance from the pull's zero as it lies [m], before rounding.
    line_m
        True place along what the tape lies on, from the first pull's zero in the running
        direction [m].
    error_mm
        Plus or minus, tape class, rounding, temperature and re-zeroing included [mm].
    run_line_ticks, painted_ticks
        On a bend: the reading of a tape laid along the run line, and along the painted line.
        None where they are the same.
    """

    mark_id: str
    ticks: int
    tick: Tick
    true_m: float
    line_m: float
    error_mm: float
    run_line_ticks: int | None = None
    painted_ticks: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """One laying of the tape from one zero, in one direction; readings ascend from 0.

    `zero_id` is a mark's id or "line" for the take-off line; `fixed_points` say where that is.
    """

    number: int
    zero_id: str
    direction: PullDirection
    readings: tuple[Reading, ...]
    fixed_points: tuple[FixedPoint, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeSheet:
    """All pulls of one laying, with the worst error and what the checks say."""

    spec: TapeSpec
    pulls: tuple[Pull, ...]
    error_mm: float
    findings: tuple[Finding, ...] = ()

    def reading(self, mark_id: str) -> tuple[Pull, Reading]:
        """Return the pull and the reading of a mark; KeyError when it is not read.

        A mark that is another pull's zero as well is given where it is read off the tape.
        """
        for pull in self.pulls:
            for reading in pull.readings:
                if reading.mark_id == mark_id:
                    return pull, reading
        raise KeyError(mark_id)

    def apart_ticks(self, one_id: str, other_id: str) -> int | None:
        """Return how far two marks lie apart along the tape's line, None when one is not read.

        What the tape shows: on one pull the difference of its readings, so that whoever subtracts
        finds it exact; between pulls the true distance, rounded once.
        """
        for pull in self.pulls:
            shown = {each.mark_id: each.ticks for each in pull.readings}
            if one_id in shown and other_id in shown:
                return abs(shown[other_id] - shown[one_id])
        try:
            places = [self.reading(each)[1].line_m for each in (one_id, other_id)]
        except KeyError:
            return None
        return whole_ticks(abs(places[1] - places[0]), self.spec.tick)


def whole_ticks(length_m: float, tick: Tick) -> int:
    """Return a length as a whole number of ticks, halves up."""
    return math.floor(length_m / tick.metres + 0.5)
