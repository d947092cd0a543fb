"""A new plan from four answers: who, how fast, how many wickets, where."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench import shelf
from tui.bench.fields import Line
from tui.bench.people import HEIGHT, athlete_of, who_lines
from wicketlay.drills import WicketRun
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.track import Track
from wicketlay.keys.codecs import Choice, percent
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import PLACE
from wicketlay.keys.typed import FieldError, from_text, told_at, with_texts
from wicketlay.told_place import told_place

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from tui.bench.shelf import OpenFile
    from wicketlay.ground import Ground
    from wicketlay.plan import Plan

GRASS = "grass or field"
HALL = "hall"
TRACK = "track home straight"
_SPEED = percent(0.5, 1.0)
_WHERE = (TRACK, GRASS, HALL)


def new_plan_lines() -> list[Line]:
    """Return what is asked, in order; Enter takes what stands there."""
    return [
        *who_lines(),
        Line(key="speed", label="speed, % of top", value="92 %", unit="%"),
        Line(key="wickets", label="how many wickets", value="10"),
        Line(key="where", label="where", value=GRASS, words=_WHERE),
        Line(
            key="room",
            label="free length there",
            value="80 m",
            unit="m",
            when=("where", (GRASS, HALL)),
        ),
        Line(key="lane", label="lane", value="4", when=("where", (TRACK,))),
    ]


def new_plan(answers: Mapping[str, str], *, today: date) -> tuple[OpenFile, Plan]:
    """Return a plan without a name and what the answers make of it.

    Raises
    ------
    FieldError
        In the plan file's words; `key` is the form's.
    CannotWriteError
        When the state folder cannot be written.
    """
    with told_at("speed"):
        speed: float = from_text(_SPEED, answers["speed"])
    drill = _drill(answers, speed)
    ground, place = _where(answers)
    athlete = athlete_of(answers, known=None, speed_share=speed, today=today)
    opened = shelf.new_file()
    starter = opened.file.plan
    named = replace(
        starter,
        title=f"{athlete.name}'s wickets",
        athletes=(replace(starter.athletes[0], name=athlete.name),),
    )
    # The starter's athlete takes the name first, so that the file holds nobody else.
    opened.file = opened.file.save(named)
    plan = replace(opened.file.plan, athletes=(athlete,), drill=drill, ground=ground, place=place)
    return opened, replace(plan, place=told_place(plan))


def _drill(answers: Mapping[str, str], speed: float) -> WicketRun:
    record = DRILLS["wicket-run"]
    texts = {"wickets": answers["wickets"]}
    if answers["how"] == HEIGHT:
        texts["cadence"] = answers["first_cadence"]
    with told_at("wickets", {"cadence": "first_cadence"}):
        drill: WicketRun = with_texts(record, WicketRun(speed_share=speed, wickets=10), texts)
    return drill


def _where(answers: Mapping[str, str]) -> tuple[Ground, Place]:
    with told_at("where"):
        where = from_text(Choice(words={word: word for word in _WHERE}), answers["where"])
    if where == TRACK:
        track = Track()
        message = f"lane: a number from 1 to {track.lanes}"
        try:
            place: Place = with_texts(
                PLACE, Place(line="home straight"), {"lanes": answers["lane"]}
            )
        except FieldError:
            raise FieldError(message, key="lane") from None
        if not answers["lane"].strip() or max(place.lanes) > track.lanes or len(place.lanes) > 1:
            raise FieldError(message, key="lane")
        return track, place
    hall = where == HALL
    strip = Strip(
        name="hall" if hall else "strip",
        surface=Surface.HALL if hall else Surface.GRASS,
        wall_at_start=hall,
        wall_at_end=hall,
    )
    with told_at("room"):
        ground: Strip = with_texts(GROUNDS["strip"], strip, {"length": answers["room"]})
    return ground, Place()
