"""A plan from a few answers: the text of the file it stands for, and nothing that file lacks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wicketlay.keys.athletes import ATHLETE, FLYING
from wicketlay.keys.codecs import quoted
from wicketlay.keys.drills import WICKET_RUN
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import TAPE
from wicketlay.keys.typed import FieldError, bare_unit, from_text, told_at
from wicketlay.sources import USUAL_SHARE
from wicketlay.units import SPEED, write_percent

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.records import Record

_TEXT = """\
# One athlete over wickets, made by "wicketlay quick". Change what you like; each key is told by
# "wicketlay explain KEY", and "wicketlay sheet THIS-FILE" prints it.
format = 1
kind = "plan"
title = {title}

[[athlete]]
{athlete}

[drill]
kind = {kind}
{drill}

{where}
[ground]
kind = "strip"{room}

[tape]
{tape}
"""
_UNKNOWN_ROOM = """\
# A straight of unknown length: nothing here checks the room. "wicketlay explain ground" tells how
# to name a track, a runway, or the free length, which is then checked."""
_ROOM = """\
# A straight, with its free length. "wicketlay explain ground" tells how to name a track or a
# runway instead."""
_WICKETS = 12
_FLYING_RUN_ON = "30 m"
USUAL = {"name": "Athlete", "speed": write_percent(USUAL_SHARE), "unit": "metric"}
"""What is taken where an answer is left out."""

ANSWERS = (
    *("name", "height", "sex", "age", "level", "top_speed", "cadence", "flying"),
    *("speed", "section", "wickets", "start", "room", "unit"),
)
"""What can be answered; room is the free length of the straight."""

_FLYING_TIME = re.compile(r"/\s*[0-9]")
_SPEED = re.compile("|".join(SPEED.factors), re.IGNORECASE)
_BARE = re.compile(r"[0-9]+")


def quick_text(given: Mapping[str, str | None]) -> str:
    """Return the plan file that some answers stand for.

    Parameters
    ----------
    given
        By the names of `ANSWERS`: height and one of cadence, top_speed and flying
        (``20m/2.45s``); the others where wanted.

    Raises
    ------
    FieldError
        When an answer cannot be read, or what is known of the athlete is too little; its `key`
        is the answer's name.
    """
    known = {**USUAL, **{name: text for name, text in given.items() if text}}
    speed = known["speed"]

    def line(record: Record, key: str, answer: str = "") -> str:
        return _line(record, key, answer or key, known.get(answer or key))

    athlete = [line(ATHLETE, key) for key in ("name", "height", "sex", "age", "level", "top_speed")]
    drill = [line(WICKET_RUN, key) for key in ("speed", "section", "wickets", "start")]
    if not known.get("height"):
        raise FieldError("how tall is the athlete? write it such as 1.70m", key="height")
    if "cadence" in known:
        # What was seen over the section, and what is asked there.
        seen = line(ATHLETE, "first_cadence", "cadence")
        athlete += [seen, _line(ATHLETE, "first_speed", "speed", speed)]
        drill.append(seen.removeprefix("first_"))
    if "flying" in known:
        athlete.append(_flying(known["flying"]))
    if not known.keys() & {"cadence", "top_speed", "flying"}:
        message = (
            "one more thing is needed: steps a second as they were seen (4.1), a top speed "
            "(8.2 m/s) or a flying time (20m/2.45s)"
        )
        raise FieldError(message, key="known")
    if not known.keys() & {"section", "wickets"}:
        drill.append(f"wickets = {_WICKETS}")
    room = line(GROUNDS["strip"], "length", "room")
    return _TEXT.format(
        title=_value(ATHLETE, "name", "name", f"{known['name']}'s wickets"),
        athlete="\n".join(filter(None, athlete)),
        kind=quoted(WICKET_RUN.constant["kind"]),
        drill="\n".join(filter(None, drill)),
        where=_ROOM if room else _UNKNOWN_ROOM,
        room=f"\n{room}" if room else "",
        tape=line(TAPE, "unit"),
    )


def four_answers(*, height: str, known: str, wickets: str, room: str) -> dict[str, str]:
    """Return what `quick_text` takes from four answers that are told apart by how they look.

    Parameters
    ----------
    height, room
        As they are.
    known
        ``20m/2.45s`` is a flying time, ``8.2 m/s`` a top speed, a bare number a cadence.
    wickets
        A bare number is how many, a length how long the section is.
    """
    what = "cadence"
    if _FLYING_TIME.search(known):
        what = "flying"
    elif _SPEED.search(known):
        what = "top_speed"
    length = "wickets" if _BARE.fullmatch(wickets.strip()) else "section"
    return {"height": height, what: known, length: wickets, "room": room}


def _flying(text: str) -> str:
    """Return ``20m/2.45s`` or ``20m/2.45s/40m``, by hand, as the line of a plan file."""
    parts = re.split(r"\s*/\s*", text.strip())
    if len(parts) == 2:
        parts.append(_FLYING_RUN_ON)
    if len(parts) != 3:
        message = (
            f"{text!r} is not a distance and a time; write 20m/2.45s, or with its run-on "
            "20m/2.45s/30m"
        )
        raise FieldError(message, key="flying")
    keys = zip(("distance", "time", "run_on"), parts, strict=True)
    return f"flying = {{ {', '.join(_line(FLYING, key, 'flying', each) for key, each in keys)} }}"


def _line(record: Record, key: str, answer: str, text: str | None) -> str:
    """Return the line of a plan file for what an answer says, "" when there is none."""
    return "" if text is None else f"{key} = {_value(record, key, answer, text)}"


def _value(record: Record, key: str, answer: str, text: str) -> str:
    codec = next(each.codec for each in record.entries if each.key == key)
    # As a file writes it: a space before the unit.
    spaced = re.sub(r"(?<=[0-9])(?=[^\W\d_]|%)", " ", text)
    spaced = f"{spaced} {bare_unit(codec)}" if spaced[-1:].isdigit() else spaced
    with told_at(answer):
        return codec.write(from_text(codec, text), spaced)  # type: ignore[arg-type,union-attr]
