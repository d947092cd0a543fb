"""A plan from a few options: the text of the file it stands for, and nothing that file lacks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError
from wicketlay.keys.athletes import ATHLETE, FLYING
from wicketlay.keys.codecs import quoted
from wicketlay.keys.drills import WICKET_RUN
from wicketlay.keys.parts import TAPE
from wicketlay.keys.typed import FieldError, from_text

if TYPE_CHECKING:
    import argparse

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

# A straight of unknown length: nothing here checks the room. "wicketlay explain ground" tells how
# to name a track, a runway, or the free length, which is then checked.
[ground]
kind = "strip"

[tape]
{tape}
"""
_WICKETS = 12
_FLYING_RUN_ON = "30 m"


def quick_text(given: argparse.Namespace) -> str:
    """Return the plan file that the options of ``quick`` stand for.

    Raises
    ------
    UsageError
        When an option cannot be read, naming it, or too little is known of the athlete.
    """
    if not (given.cadence or given.top_speed or given.flying):
        raise UsageError(
            "quick needs one more thing of the athlete: --cadence 4.1 as it was seen, "
            "--top-speed 8.2 or --flying 20m/2.45s"
        )
    athlete = [
        _line(ATHLETE, "name", "--name", given.name),
        _line(ATHLETE, "height", "--height", given.height),
        _line(ATHLETE, "sex", "--sex", given.sex),
        _line(ATHLETE, "age", "--age", given.age),
        _line(ATHLETE, "level", "--level", given.level),
        _line(ATHLETE, "top_speed", "--top-speed", given.top_speed),
    ]
    drill = [
        _line(WICKET_RUN, "speed", "--speed", given.speed),
        _line(WICKET_RUN, "section", "--section", given.section),
        _line(WICKET_RUN, "wickets", "--wickets", given.wickets),
        _line(WICKET_RUN, "start", "--start", given.start),
    ]
    if given.cadence:
        # What was seen over the section, and what is asked there.
        seen = _line(ATHLETE, "first_cadence", "--cadence", given.cadence)
        athlete += [seen, _line(ATHLETE, "first_speed", "--speed", given.speed)]
        drill.append(seen.removeprefix("first_"))
    if given.flying:
        athlete.append(_flying(given.flying))
    if not (given.section or given.wickets):
        drill.append(f"wickets = {_WICKETS}")
    return _TEXT.format(
        title=_value(ATHLETE, "name", "--name", f"{given.name}'s wickets"),
        athlete="\n".join(filter(None, athlete)),
        kind=quoted(WICKET_RUN.constant["kind"]),
        drill="\n".join(filter(None, drill)),
        tape=_line(TAPE, "unit", "--unit", given.unit),
    )


def _flying(text: str) -> str:
    """Return ``20m/2.45s`` or ``20m/2.45s/40m``, by gates, as the line of a plan file."""
    parts = re.split(r"\s*/\s*", text.strip())
    if len(parts) == 2:
        parts.append(_FLYING_RUN_ON)
    if len(parts) != 3:
        raise UsageError(
            f"--flying: {text!r} is not a distance and a time; write 20m/2.45s, or with its run-on "
            "20m/2.45s/30m"
        )
    keys = zip(("distance", "time", "run_on"), parts, strict=True)
    return f"flying = {{ {', '.join(_line(FLYING, key, '--flying', each) for key, each in keys)} }}"


def _line(record: Record, key: str, option: str, text: str | None) -> str:
    """Return the line of a plan file for what an option says, "" when it was not given."""
    return "" if text is None else f"{key} = {_value(record, key, option, text)}"


def _value(record: Record, key: str, option: str, text: str) -> str:
    codec = next(each.codec for each in record.entries if each.key == key)
    spaced = re.sub(r"(?<=[0-9])(?=[^\W\d_]|%)", " ", text)  # as a file writes it
    try:
        return codec.write(from_text(codec, text), spaced)  # type: ignore[arg-type,union-attr]
    except FieldError as error:
        raise UsageError(f"{option}: {error}") from error
