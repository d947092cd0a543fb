"""Text with units to SI and back; the only place that formats a number for people.

`parse_...` reads text a person wrote, strictly. `write_...` writes text that reads back as the
very same float. `format_...` writes for people, rounded once.
"""

from __future__ import annotations

from wicketlay.units.accepted import ACCEPTED
from wicketlay.units.formatting import (
    format_cadence,
    format_count,
    format_duration,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_ticks,
    format_time,
)
from wicketlay.units.kinds import FOOT_M, INCH_M, MILE_M, SPEED, UnitSystem
from wicketlay.units.reading import (
    NoUnitError,
    parse_cadence,
    parse_duration,
    parse_length,
    parse_percent,
    parse_speed,
)
from wicketlay.units.temperature import parse_temperature, write_temperature
from wicketlay.units.writing import (
    write_cadence,
    write_duration,
    write_length,
    write_percent,
    write_speed,
)

__all__ = [
    "ACCEPTED",
    "FOOT_M",
    "INCH_M",
    "MILE_M",
    "SPEED",
    "NoUnitError",
    "UnitSystem",
    "format_cadence",
    "format_count",
    "format_duration",
    "format_length",
    "format_move",
    "format_percent",
    "format_speed",
    "format_ticks",
    "format_time",
    "parse_cadence",
    "parse_duration",
    "parse_length",
    "parse_percent",
    "parse_speed",
    "parse_temperature",
    "write_cadence",
    "write_duration",
    "write_length",
    "write_percent",
    "write_speed",
    "write_temperature",
]
