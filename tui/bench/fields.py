"""What is typed in: the fields of a plan and what typing in one does; the lines of a form."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from wicketlay import edits
from wicketlay.errors import DomainError
from wicketlay.keys.athletes import ATHLETE
from wicketlay.keys.codecs import Choice, Text
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import KIT, PLACE, SESSION, STAGES, TAPE
from wicketlay.keys.typed import FieldError, bare_unit, from_text, shown_texts, with_texts, words_of
from wicketlay.plan import DRILL_KINDS
from wicketlay.values import dataclass
from wicketlay.wording.names import signed_move, signed_percent
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from wicketlay.edits import Edit
    from wicketlay.keys.codecs import Value
    from wicketlay.keys.records import Record
    from wicketlay.plan import Plan

_KIND = Choice(words={word: kind for kind, word in DRILL_KINDS.items()})
_TITLE = Text(noun="title")
_DISPLACES = {
    ("drill", "section"): ("wickets",),
    ("drill", "wickets"): ("section",),
    ("tape", "unit"): ("round",),
}
"""Typing in one key takes these others out: they cannot stand side by side."""
_GROUND_KEYS = ("name", "length", "lanes", "lane_width", "surface", "wall_at_start", "wall_at_end")
_ATHLETE_KEYS = (
    "name",
    "height",
    "leg",
    "sex",
    "age",
    "born",
    "level",
    "top_speed",
    "top_speed_sd",
    "tau",
    "front_foot",
    "takeoff_foot",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One editable value of a plan.

    Parameters
    ----------
    part, key
        Table and key of the plan file; together they name the field.
    text
        What it shows now, "" when it is not given.
    unit
        Unit of a bare number.
    words
        The few words it takes, if it takes words.
    owner
        The athlete whose fact it is, None for a field of the plan.
    own
        What the athlete looked at has on top of it, "" when nothing.
    """

    part: str
    key: str
    text: str
    unit: str = ""
    words: tuple[str, ...] = ()
    owner: str | None = None
    own: str = ""

    @property
    def id(self) -> str:
        """Name of the field; for an athlete's it is the same for every athlete."""
        return f"{self.part}.{self.key}"

    @property
    def draft(self) -> str:
        """Name under which what is half typed is kept; for an athlete's it holds whose it is."""
        return self.id if self.owner is None else f"{self.id} {self.owner}"

    @property
    def label(self) -> str:
        """The key as people read it."""
        return self.key.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a form.

    Parameters
    ----------
    key, label
        Name of the answer, and what is asked.
    value, unit, hint
        What stands there at first, the unit of a bare number, and an example.
    words
        The words it takes; Space goes through them, their first letter picks one.
    when
        (key of another line, words): shown only while that line says one of these.
    """

    key: str
    label: str
    value: str = ""
    unit: str = ""
    hint: str = ""
    words: tuple[str, ...] = ()
    when: tuple[str, tuple[str, ...]] | None = None


def fields_of(plan: Plan, athlete: str | None, parts: tuple[str, ...]) -> tuple[Field, ...]:
    """Return the fields of some tables of the plan, in order.

    Parameters
    ----------
    plan
        The plan.
    athlete
        Whose facts are shown under "athlete"; None for nobody's.
    parts
        Of "plan", "drill", "athlete", "ground", "place", "kit", "tape", "session", "stages".
    """
    found: list[Field] = []
    feet = not plan.tape.tick.metric
    for part in parts:
        if part == "plan":
            found.append(Field(part="plan", key="title", text=plan.title))
            continue
        record, made = _table(plan, part, athlete)
        if record is None or made is None:
            continue
        if part == "drill":
            kinds = tuple(_KIND.words)
            found.append(Field(part="drill", key="kind", text=plan.drill_kind, words=kinds))
        fields = _fields(part, record, made, athlete if part == "athlete" else None, feet=feet)
        if part == "drill" and athlete is not None:
            own = _own_texts(plan, athlete)
            fields = [replace(each, own=own.get(each.key, "")) for each in fields]
        found += fields
    return tuple(found)


def _own_texts(plan: Plan, athlete: str) -> dict[str, str]:
    """Return what the keys at the track changed for one athlete, by the drill's key."""
    own = plan.adjustment(athlete)
    unit = unit_of(plan)
    texts = {}
    if own.gap_change:
        texts["gap_change"] = f"gaps {signed_percent(own.gap_change)}"
    if own.speed_change:
        texts["speed"] = f"speed {_points(own.speed_change)}"
    if own.cadence_change:
        texts["cadence"] = f"cadence {_points(own.cadence_change)}"
    moved = {"start mark": own.start_shift_m, "all marks": own.slide_m}
    told = [f"{what} {signed_move(by_m, unit)}" for what, by_m in moved.items() if by_m]
    if told:
        texts["start"] = ", ".join(told)
    return {key: f"{athlete}'s own: {text}" for key, text in texts.items()}


def _points(share: float) -> str:
    """Return a change of a share of top, in points."""
    text = signed_percent(share).removesuffix(" %")
    return f"{text} point" if text in {"+1", "-1"} else f"{text} points"


def _fields(
    part: str, record: Record, made: object, owner: str | None, *, feet: bool
) -> list[Field]:
    texts = shown_texts(record, made, feet=feet)
    keys = {"ground": _GROUND_KEYS, "athlete": _ATHLETE_KEYS}.get(part, tuple(texts))
    codecs = {entry.key: entry.codec for entry in record.entries}
    return [
        Field(
            part=part,
            key=key,
            text=texts[key],
            unit=bare_unit(codecs[key], feet=feet),
            words=words_of(codecs[key]),
            owner=owner,
        )
        for key in keys
        if key in texts and not (part == "place" and key == "lane")
    ]


def _table(plan: Plan, part: str, athlete: str | None) -> tuple[Record | None, Value]:
    """Return the record and the object of a part of the plan, None where there is none."""
    if part == "athlete":
        return ATHLETE, next((a for a in plan.athletes if a.name == athlete), None)
    if part == "drill":
        return DRILLS[plan.drill_kind], plan.drill
    if part == "ground":
        kinds = (record for record in GROUNDS.values() if record.make is type(plan.ground))
        return next(kinds, None), plan.ground
    return _RECORDS[part], getattr(plan, part)


_RECORDS = {"place": PLACE, "kit": KIT, "tape": TAPE, "session": SESSION, "stages": STAGES}
"""Parts of the plan that have the name of their table."""


def typed(plan: Plan, athlete: str | None, field_id: str, text: str) -> Edit:
    """Return the plan with one field typed anew.

    Raises
    ------
    FieldError
        In the plan file's words.
    """
    part, _, key = field_id.partition(".")
    if field_id == "plan.title":
        return edits.set_part(plan, title=from_text(_TITLE, text))
    if field_id == "drill.kind":
        kind = from_text(_KIND, text)
        try:
            return edits.set_drill_kind(plan, kind)
        except DomainError as error:
            raise FieldError(str(error)) from None
    record, made = _table(plan, part, athlete)
    if record is None:
        raise FieldError("this part of the plan is not there")
    texts = {key: text}
    if text.strip():
        texts |= dict.fromkeys(_DISPLACES.get((part, key), ()), "")
    changed = with_texts(record, made, texts, feet=not plan.tape.tick.metric)
    try:
        if part == "athlete":
            return edits.replace_athlete(plan, athlete or "", changed)
        if part in _SETTERS:
            return _SETTERS[part](plan, changed)
        return edits.set_part(plan, **{part: changed})
    except DomainError as error:
        raise FieldError(str(error)) from None


_SETTERS: dict[str, Callable[[Plan, Any], Edit]] = {
    "drill": edits.set_drill,
    "stages": edits.set_stages,
}
