"""From what a field declares to how its value is read and written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.declared import Key, Kind
from wicketlay.keys.codecs.plain import Choice, Count, Date, Flag, Many, Number, Text
from wicketlay.keys.codecs.quantities import cadence, duration, height, length, percent, speed
from wicketlay.keys.codecs.special import Age, Cadence, Corner, Miss, Steps, Temperature

if TYPE_CHECKING:
    from wicketlay.keys.codecs.base import Codec


def codec_of(key: Key) -> Codec:
    """Return the codec of a declared key, of an array where it is one."""
    member = _member(key)
    if key.members is None:
        return member
    least, most = key.members
    return Many(member=member, least=least, most=most)


def _member(key: Key) -> Codec:  # noqa: C901, PLR0911, PLR0912 - one case a kind
    match key.kind:
        case Kind.LENGTH:
            return length(*key.range, signed=key.signed, unit=key.unit or "m")
        case Kind.MISS:
            return Miss(*key.range)
        case Kind.BODY:
            return height(*key.range, example=" or ".join((key.example, *key.also_written)))
        case Kind.SPEED:
            return speed(*key.range, signed=key.signed)
        case Kind.CADENCE:
            return cadence(*key.range)
        case Kind.CADENCE_ASKED:
            return Cadence()
        case Kind.DURATION:
            return duration(*key.range, unit=key.unit or "s")
        case Kind.SHARE:
            return percent(*key.range, signed=key.signed)
        case Kind.TEMPERATURE:
            return Temperature(*key.range)
        case Kind.NUMBER:
            return Number(low=key.range[0], high=key.range[1])
        case Kind.COUNT:
            return Count(low=round(key.range[0]), high=round(key.range[1]))
        case Kind.STEPS:
            return Steps(round(key.range[0]), round(key.range[1]))
        case Kind.YEARS:
            return Age(*key.range)
        case Kind.FLAG:
            return Flag()
        case Kind.DATE:
            return Date()
        case Kind.TEXT:
            return Text(empty=key.empty)
        case Kind.CORNER:
            return Corner()
        case Kind.WORD if key.words is not None:
            return Choice(words=key.words, also=key.also)
        case _:
            raise TypeError(f"{key.name} is a table, or says no words")
