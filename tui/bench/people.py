"""Athletes from what a form asks: height alone, a flying time, splits, or a counted free run."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.fields import Line
from wicketlay.keys.athletes import ATHLETE, FLYING, RUN, SPLITS
from wicketlay.keys.typed import FieldError, shown_texts, told_at, with_texts
from wicketlay.running.facts import ClockStart
from wicketlay.units import write_percent

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from wicketlay.keys.codecs import Value
    from wicketlay.keys.records import Record
    from wicketlay.running.athlete import Athlete, Splits

HEIGHT = "height"
FLYING_TIME = "flying time"
SPLIT_TIMES = "splits"
COUNTED = "counted run"
TOP_SPEED = "top speed"
WAYS = (FLYING_TIME, HEIGHT, SPLIT_TIMES, COUNTED, TOP_SPEED)
"""Ways to tell how fast somebody is; the first letters tell them apart."""

_GIVEN: dict[str, dict[str, tuple[Record, str]]] = {
    FLYING_TIME: {
        "zone": (FLYING, "distance"),
        "flying_time": (FLYING, "time"),
        "zone_run_on": (FLYING, "run_on"),
        "timing": (FLYING, "timing"),
    },
    SPLIT_TIMES: {
        "split_distances": (SPLITS, "distances"),
        "split_times": (SPLITS, "times"),
        "clock": (SPLITS, "start"),
        "split_day": (SPLITS, "date"),
    },
    COUNTED: {
        "free_distance": (RUN, "distance"),
        "free_time": (RUN, "time"),
        "free_steps": (RUN, "steps"),
        "free_run_on": (RUN, "run_on"),
    },
    TOP_SPEED: {"top_speed": (ATHLETE, "top_speed")},
    HEIGHT: {"first_cadence": (ATHLETE, "first_cadence")},
}
"""Lines of each small form, and the key of the plan file each stands for."""

_FAST = (
    Line(key="flying_time", label="flying time", unit="s"),
    Line(key="zone", label="over", value="20 m", unit="m"),
    Line(key="zone_run_on", label="after a run-on of", value="30 m", unit="m"),
    Line(key="timing", label="timed by", value="hand", words=("hand", "gates", "video")),
    Line(key="split_distances", label="distances", unit="m", hint="10 20 30"),
    Line(key="split_times", label="times", unit="s", hint="1.95 3.20 4.35"),
    Line(key="clock", label="clock starts with", value="first-movement", words=tuple(ClockStart)),
    Line(key="split_day", label="on the day", hint="2026-03-04; another day is one more set"),
    Line(key="free_distance", label="flat out over", unit="m", hint="20"),
    Line(key="free_time", label="in", unit="s", hint="2.62"),
    Line(key="free_steps", label="steps counted", hint="11.5"),
    Line(key="free_run_on", label="after a run-on of", value="30 m", unit="m"),
    Line(key="top_speed", label="top speed", unit="m/s"),
    Line(key="first_cadence", label="cadence in the section", unit="steps/s", hint="4.2"),
)
"""What each is asked as, and what stands there where nothing is known."""


def who_lines(athlete: Athlete | None = None, name: str = "") -> list[Line]:
    """Return the lines that ask who somebody is, and how fast, with what is known filled in."""
    known = {"name": name} if athlete is None else shown_texts(ATHLETE, athlete)
    way = FLYING_TIME if athlete is None else _way_of(athlete)
    return [
        Line(key="name", label="name", value=known.get("name", "")),
        Line(key="height", label="height", value=known.get("height", ""), unit="m or cm"),
        Line(key="sex", label="sex, if you like", value=known.get("sex", ""), unit="f or m"),
        Line(key="age", label="age, if under 18", value=known.get("age", ""), unit="years"),
        Line(key="how", label="how fast is told by", value=way, words=WAYS),
        *_fast_lines(athlete, known),
    ]


def _fast_lines(athlete: Athlete | None, known: Mapping[str, str]) -> list[Line]:
    """Return the lines of every way to tell how fast somebody is, each shown for its own way."""
    flying = None if athlete is None else athlete.flying
    splits = None if athlete is None else _newest(athlete)
    there: dict[str, Mapping[str, str]] = {
        FLYING_TIME: {} if flying is None else shown_texts(FLYING, flying),
        SPLIT_TIMES: {} if splits is None else shown_texts(SPLITS, splits),
        COUNTED: {},
        TOP_SPEED: known,
        HEIGHT: known,
    }
    ways = {line: way for way, given in _GIVEN.items() for line in given}
    return [
        replace(
            line, value=there[way].get(_GIVEN[way][line.key][1], line.value), when=("how", (way,))
        )
        for line in _FAST
        for way in [ways[line.key]]
    ]


def _way_of(athlete: Athlete) -> str:
    if _newest(athlete) is not None:
        return SPLIT_TIMES
    if athlete.flying is not None:
        return FLYING_TIME
    return TOP_SPEED if athlete.top_speed_mps is not None else HEIGHT


def athlete_of(
    answers: Mapping[str, str], *, known: Athlete | None, speed_share: float, today: date
) -> Athlete:
    """Return the athlete that a form describes; facts it does not ask for are kept.

    Parameters
    ----------
    answers
        What stands in the form, by key.
    known
        The athlete as known before, None for somebody new.
    speed_share
        What the drill builds towards: a height-only speed is worked out from it.
    today
        The day a counted run is of.

    Raises
    ------
    FieldError
        In the plan file's words; `key` is the form's.
    """
    way = answers["how"]
    lines = _GIVEN[way]
    facts = {key: answers[key] for key in ("name", "height", "sex", "age")}
    own = {file: answers[key] for key, (record, file) in lines.items() if record is ATHLETE}
    if way == HEIGHT:
        own["first_speed"] = write_percent(speed_share) if own["first_cadence"].strip() else ""
        if not own["first_speed"] and (known is None or not known.observations):
            message = "the cadence in the section is missing; type it, such as 4.2"
            raise FieldError(message, key="first_cadence")
    if way == TOP_SPEED and not own["top_speed"].strip():
        raise FieldError("the top speed is missing; type it, such as 8.2", key="top_speed")
    made: Athlete = with_texts(ATHLETE, known, facts | own)
    if way == SPLIT_TIMES:
        return _with_splits(made, _part(SPLITS, answers, lines))
    if way == COUNTED:
        if not any(answers[key].strip() for key in ("free_distance", "free_time", "free_steps")):
            return made
        run = _part(RUN, answers, lines, date=today.isoformat())
        return replace(made, observations=(*made.observations, run))
    flying = _part(FLYING, answers, lines) if way == FLYING_TIME else None
    made = replace(made, splits=None, sprints=(), flying=flying)
    return replace(made, top_speed_mps=None) if way == HEIGHT else made


def _newest(athlete: Athlete) -> Splits | None:
    """Return the split times that count, None without any."""
    days = athlete.splits_by_day()
    return days[0][1][0] if days else None


def _with_splits(athlete: Athlete, told: Splits) -> Athlete:
    """Return the athlete with the newest split times corrected, or with those of one more day."""
    newest = _newest(athlete)
    if newest is None:
        return replace(athlete, splits=told)
    corrects = told.date == newest.date or told.times_s == newest.times_s
    if newest == athlete.splits and (corrects or told.date is None):
        return replace(athlete, splits=told)
    if told.date is None:
        message = "the day of the splits is missing; type it, such as 2026-03-04"
        raise FieldError(message, key="split_day")
    others = tuple(each for each in athlete.sprints if not corrects or each != newest)
    return replace(athlete, sprints=(*others, told))


def _part(
    record: Record, answers: Mapping[str, str], lines: Mapping[str, tuple[Record, str]], **more: str
) -> Value:
    """Return a table of the athlete's from the lines of its small form."""
    keys = {file: key for key, (of, file) in lines.items() if of is record}
    texts = {file: answers[key] for file, key in keys.items()} | more
    with told_at(next(iter(keys.values())), keys):
        return with_texts(record, None, texts)
