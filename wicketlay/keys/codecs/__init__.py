"""One value of a file: read strictly into SI, and written back as TOML text."""

from __future__ import annotations

from wicketlay.keys.codecs.base import Codec, UnfitError, Value, held, quoted, unprintable
from wicketlay.keys.codecs.of_key import codec_of
from wicketlay.keys.codecs.plain import Choice, Count, Date, Flag, Many, Number, Text
from wicketlay.keys.codecs.quantities import Quantity, duration, length, percent
from wicketlay.keys.codecs.special import Age, Cadence, Corner, Miss, RunOn, Steps, Temperature

__all__ = [
    "Age",
    "Cadence",
    "Choice",
    "Codec",
    "Corner",
    "Count",
    "Date",
    "Flag",
    "Many",
    "Miss",
    "Number",
    "Quantity",
    "RunOn",
    "Steps",
    "Temperature",
    "Text",
    "UnfitError",
    "Value",
    "codec_of",
    "duration",
    "held",
    "length",
    "percent",
    "quoted",
    "unprintable",
]
