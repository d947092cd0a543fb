"""Between what is typed and what a plan file would hold; the plan file's own words for errors.

A field is one key of a table of the plan file. It is read and written by that key's codec, so
what the workbench takes is what the file takes, with one convenience: where a field shows its
unit, a bare number is in that unit.
"""

from __future__ import annotations

import re
import tomllib
from contextlib import contextmanager
from typing import TYPE_CHECKING

from wicketlay.errors import DomainError
from wicketlay.keys.codecs import (
    Age,
    Cadence,
    Choice,
    Count,
    Flag,
    Many,
    Number,
    Quantity,
    RunOn,
    Steps,
    UnfitError,
)
from wicketlay.keys.problems import one_line
from wicketlay.keys.records import Record, Sub, SubList, UnfitAtError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wicketlay.keys.codecs import Codec, Value
    from wicketlay.keys.records import Entry, Values

_BARE = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
_WHOLE = re.compile(r"[+-]?[0-9]+")
_AMOUNT = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?: ?[^\W\d_%]+(?:/[a-z]+)?| ?%)?")
_SURELY_CM = 100.0
"""A bare height from here on is in centimetres: nobody is so many inches or metres tall."""
_YES = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


class FieldError(Exception):
    """What was typed cannot be taken; the message says why, in the plan file's words.

    Parameters
    ----------
    message
        What is wrong, what is allowed, what to do.
    key
        The key it concerns, when it is another than the one typed in.
    """

    def __init__(self, message: str, *, key: str = "") -> None:
        super().__init__(message)
        self.key = key


@contextmanager
def told_at(key: str, of: Mapping[str, str] | None = None) -> Iterator[None]:
    """Tell an error at another key: at what `of` has for its own, else at `key`."""
    try:
        yield
    except FieldError as error:
        raise FieldError(str(error), key=(of or {}).get(error.key, key)) from None


def words(error: UnfitError, *, example: str = "") -> str:
    """Return an error of the plan file's as one line, without its place.

    Parameters
    ----------
    example
        What is usual here, for a remedy that shows how to write it; "" keeps the file's.
    """
    shows = example and " such as " in error.remedy
    remedy = f'write it such as "{example}"' if shows else error.remedy
    return one_line(error.message, error.allowed, error.nearest, remedy)


_FEET = {"m": "ft", "cm": "in", "m/s": "mph"}
"""What is shown, and taken for a bare number, where the plan's tape is in feet."""


def bare_unit(codec: object, *, feet: bool = False) -> str:
    """Return the unit that a bare number is taken in, "" when it needs none or tells none."""
    unit = _metric_unit(codec)
    if feet:
        # A height in bare feet is hardly ever meant; the file's words ask for the unit.
        return "" if _is_height(codec) else _FEET.get(unit, unit)
    return unit


def _is_height(codec: object) -> bool:
    return isinstance(codec, Quantity) and "in" in codec.units


def _metric_unit(codec: object) -> str:
    if isinstance(codec, Quantity):
        # Of a height only below 3; else the file's words ask for the unit.
        return codec.units[0]
    if isinstance(codec, Cadence):
        return "steps/s"
    if isinstance(codec, Many):
        return _metric_unit(codec.member)
    return ""


def words_of(codec: object) -> tuple[str, ...]:
    """Return the few words a field takes, none when it takes others."""
    if isinstance(codec, Choice):
        return tuple(codec.words)
    if isinstance(codec, Flag):
        return ("yes", "no")
    return ()


def to_text(codec: Codec, value: object, *, feet: bool = False) -> str:
    """Return a value as it is shown in a field, "" for None."""
    if value is None:
        return ""
    if isinstance(codec, Many) and isinstance(value, tuple):
        return ", ".join(to_text(codec.member, each, feet=feet) for each in value)
    unit = _FEET.get(_metric_unit(codec)) if feet else None
    like = None if unit is None else f"1 {unit}"
    held = tomllib.loads(f"value = {codec.write(value, like)}")["value"]
    if isinstance(held, bool):
        return "yes" if held else "no"
    return str(held)


def from_text(codec: Codec, text: str, *, feet: bool = False, example: str = "") -> Value:
    """Return the value that `text` stands for; an error shows `example`, if there is one.

    Raises
    ------
    FieldError
        In the plan file's words.
    """
    try:
        return codec.read(_as_file(codec, text.strip(), feet=feet))
    except UnfitError as error:
        raise FieldError(words(error, example=example)) from None


def _as_file(codec: Codec, text: str, *, feet: bool) -> object:
    """Return what a plan file would hold for `text`."""
    held: object = text
    match codec:
        case Count() | Steps() | Age() if _WHOLE.fullmatch(text):
            held = int(text)
        case Number() if _BARE.fullmatch(text):
            held = float(text.replace(",", "."))
        case Flag():
            held = _YES.get(text.casefold(), text)
        case Choice():
            near = [word for word in codec.words if word.startswith(text.casefold())]
            held = near[0] if text and len(near) == 1 else text
        case Many():
            held = [_as_file(codec.member, each, feet=feet) for each in _parts(text)]
        case Quantity() | Cadence() | RunOn() if _BARE.fullmatch(text):
            held = _with_unit(codec, text, feet=feet)
    return held


def _with_unit(codec: Codec, text: str, *, feet: bool) -> str:
    unit = bare_unit(codec, feet=feet)
    if _is_height(codec):
        number = float(text.replace(",", "."))
        if number >= _SURELY_CM:
            return f"{text} cm"
        if number >= 3:
            return text
    if not unit:
        return text
    return f"{text} {unit}"


def _parts(text: str) -> list[str]:
    if ";" in text:
        return [part.strip() for part in text.split(";") if part.strip()]
    if re.fullmatch(r"[0-9\s,]*", text):
        # Lanes and the like: whole numbers, with or without commas.
        return [part for part in re.split(r"[\s,]+", text) if part]
    if _AMOUNT.sub("", text).strip(", "):
        # Something else stands between them: it must be told of, not passed over.
        return [part.strip() for part in text.split(",")]
    return [found.group().strip() for found in _AMOUNT.finditer(text)]


def shown_texts(record: Record, made: object, *, feet: bool = False) -> dict[str, str]:
    """Return the text of every single value of an object, by key."""
    values = _written_out(record, made)
    return {
        entry.key: to_text(entry.codec, values[entry.key], feet=feet)
        for entry in record.entries
        if not isinstance(entry.codec, Sub | SubList)
    }


def _written_out(record: Record, made: object) -> Values:
    """Return the value of every key of an object, defaults too; lanes as several."""
    return record.values(made, dict.fromkeys((key for key in record.keys if key != "lane"), True))


def with_texts(
    record: Record, made: object | None, typed: Mapping[str, str], *, feet: bool = False
) -> Value:
    """Return an object with some of its keys typed anew; an empty text takes the key out.

    Parameters
    ----------
    made
        The object as it is, None for a new one.
    typed
        Text by key.
    feet
        Whether bare numbers are in feet.

    Raises
    ------
    FieldError
        In the plan file's words; `key` says which key it concerns.
    """
    values: Values = {}
    if made is not None:
        values = {k: v for k, v in _written_out(record, made).items() if v is not None}
        values.pop("lane", None)
    for entry in record.entries:
        if entry.key not in typed:
            continue
        text = typed[entry.key].strip()
        if not text:
            _refuse_missing(record, entry)
            values.pop(entry.key, None)
            continue
        if isinstance(entry.codec, Sub | SubList):
            raise FieldError("is a table of its own; type its keys", key=entry.key)
        with told_at(entry.key):
            values[entry.key] = from_text(entry.codec, text, feet=feet)
    return _made(record, values)


def _refuse_missing(record: Record, entry: Entry) -> None:
    if entry.required:
        example = f", such as {entry.example}" if entry.example else ""
        raise FieldError(f'the {record.noun} has no "{entry.key}"; type it{example}', key=entry.key)


def _made(record: Record, values: Values) -> Value:
    for entry in record.entries:
        if entry.key not in values:
            _refuse_missing(record, entry)
    try:
        return record.made(values)
    except UnfitAtError as error:
        raise FieldError(words(error), key=error.key) from None
    except UnfitError as error:
        raise FieldError(words(error)) from None
    except DomainError as error:
        raise FieldError(str(error)) from None
