"""One value of a file: read strictly into SI, and written back as TOML text."""

from __future__ import annotations

from wicketlay.plan_file.codecs.base import Codec, UnfitError, Value, held, in_reason, quoted
from wicketlay.plan_file.codecs.plain import (
    Choice,
    Count,
    Date,
    Flag,
    Many,
    Number,
    Text,
    choice,
)
from wicketlay.plan_file.codecs.quantities import (
    Quantity,
    cadence,
    duration,
    height,
    length,
    percent,
    speed,
)

__all__ = [
    "Choice",
    "Codec",
    "Count",
    "Date",
    "Flag",
    "Many",
    "Number",
    "Quantity",
    "Text",
    "UnfitError",
    "Value",
    "cadence",
    "choice",
    "duration",
    "height",
    "held",
    "in_reason",
    "length",
    "percent",
    "quoted",
    "speed",
]
