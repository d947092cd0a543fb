"""What a plan file can say, told from the one declaration of each key.

Three faces of the same facts: a line or two for whoever asks about a key, a JSON Schema for
editors, and the tables of the README.
"""

from __future__ import annotations

import re
import tomllib
from itertools import groupby
from typing import TYPE_CHECKING, Any

from wicketlay.declared import Key, Kind
from wicketlay.errors import UsageError
from wicketlay.ground.runway import Event, Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import Track
from wicketlay.keys.athletes import ATHLETE, MOST_ATHLETES
from wicketlay.keys.codecs import codec_of
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import (
    ADJUST,
    JUDGEMENT,
    KIT,
    MOST_STATIONS,
    PLACE,
    SESSION,
    SHARED,
    STAGES,
    STATION,
    TAPE,
)
from wicketlay.keys.problems import nearest_of
from wicketlay.keys.records import Record, Sub, SubList
from wicketlay.units import ACCEPTED
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from wicketlay.ground import Ground
    from wicketlay.keys.records import Entry

FILE_KINDS = ("plan", "squad", "ground", "practice")
_OF_PRACTICE = ("practice", "station")


def _top(name: str, kind: Kind, does: str, example: str, **more: Any) -> Key:  # noqa: ANN401
    """Return a key of a file that is the field of no object."""
    return Key(name=name, kind=kind, does=does, example=example, **more)


_TOP: dict[tuple[str, ...], tuple[Key, ...]] = {
    FILE_KINDS: (
        _top("format", Kind.COUNT, "the format of the file; stands first", "1", low=1, high=1),
        _top("kind", Kind.WORD, "what the file holds", '"plan"', words=dict.fromkeys(FILE_KINDS)),
        _top(
            "title",
            Kind.TEXT,
            "what the coach calls it; printed on each sheet",
            '"Tuesday wickets"',
        ),
    ),
    ("plan", "practice"): (
        _top("date", Kind.DATE, "day of the practice; ages are taken on it", "2026-03-03"),
    ),
    ("plan",): (
        _top(
            "squad",
            Kind.TEXT,
            "a file with the athletes, from the plan's folder; others in the plan are guests",
            '"harbour-squad.toml"',
        ),
        _top(
            "athletes",
            Kind.TEXT,
            "who of the squad runs today, in running order",
            '["Wren", "Tarik"]',
            members=(0, MOST_ATHLETES),
        ),
    ),
}
"""The keys at the top of a file, by the kinds of file that have them."""
_GROUND_FILE = _top(
    "file",
    Kind.TEXT,
    "a file with the ground, instead of its kind and numbers",
    '"harbour-track.toml"',
)
_MANY_WORDS = 26
_MANY = ("athlete", "adjust", "station")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One key of a plan file, as text.

    Parameters
    ----------
    path
        Where it stands, "place.landmark".
    of
        The kind of drill or ground it belongs to, "" for any.
    takes
        What it takes, in words: unit, range or words.
    default, left_out
        What it means when it is left out, as a file writes it or in words; "" for nothing.
    required, example, does
        Whether it must be there, one rightly written, and what it does.
    aka
        What others may call it: never read, and found by.
    names
        Names that it takes of what a ground has by itself, a line for each.
    """

    path: str
    of: str = ""
    takes: str
    default: str = ""
    left_out: str = ""
    required: bool = False
    example: str = ""
    does: str
    aka: tuple[str, ...] = ()
    names: tuple[str, ...] = ()


def _tables() -> Iterator[tuple[str, str, Record]]:
    """Yield where each table stands, which kind it is of, and its record."""
    yield "athlete", "", ATHLETE
    for kind, record in DRILLS.items():
        yield "drill", kind, record
    for kind, record in GROUNDS.items():
        yield "ground", kind, record
    for name, record in (
        ("place", PLACE),
        ("kit", KIT),
        ("tape", TAPE),
        ("session", SESSION),
        ("stages", STAGES),
        ("adjust", ADJUST),
        ("judgement", JUDGEMENT),
        ("practice", SHARED),
        ("station", STATION),
    ):
        yield name, "", record


def told_keys() -> tuple[Told, ...]:
    """Return the units, then every key of every table, in the order of a file."""
    found = [*_told_units(), *(_told_top(key) for keys in _TOP.values() for key in keys)]
    for name, of, record in _tables():
        if record.constant:
            words = DRILLS if name == "drill" else GROUNDS
            does, example = f"which {name} it is", f'"{of}"'
            kind = _top("kind", Kind.WORD, does, example, words=dict.fromkeys(words))
            if not any(each.path == f"{name}.kind" for each in found):
                found.append(_told(kind, f"{name}.kind", "", required=True))
        if name == "ground" and not any(each.path == "ground.file" for each in found):
            found.append(_told(_GROUND_FILE, "ground.file", ""))
        found += _told_record(record, name, of)
    return tuple(found)


def _told_units() -> Iterator[Told]:
    for each in ACCEPTED:
        also = f"; read too: {', '.join(each.spellings)}" if each.spellings else ""
        yield Told(
            path=f"units.{each.noun}", takes=each.units, does=f"such as {each.example}{also}"
        )


def _told_top(key: Key) -> Told:
    return _told(key, key.name, "", required=key.name in {"format", "kind", "title"})


def _told_record(record: Record, path: str, of: str) -> Iterator[Told]:
    for entry in record.entries:
        at = f"{path}.{entry.key}"
        if entry.told is not None:
            yield _told(entry.told, at, of, required=entry.required, default=_default_text(entry))
        if isinstance(entry.codec, Sub | SubList):
            yield from _told_record(entry.codec.record, at, of)


def _told(key: Key, path: str, of: str, *, required: bool = False, default: str = "") -> Told:
    return Told(
        path=path,
        of=of,
        takes=takes_of(key),
        default=default,
        left_out="" if default else key.left_out,
        required=required,
        example=key.example,
        does=key.does,
        aka=key.aka,
        names=_names_of(path),
    )


def _names_of(path: str) -> tuple[str, ...]:
    """Return the names that a key takes of what a ground has by itself, a line for each."""
    if path == "place.line":
        own = next(iter(Strip().lines))
        return (
            f"runway: {', '.join(Runway().lines)}",
            f"strip: its own line, {own} where it tells none; of a track with a strip that one too",
        )
    named = _fixed_points() if path == "place.landmark" else ()
    return tuple(f"{where}: {', '.join(names)}" for where, names in named)


_USUAL: tuple[tuple[str, Ground], ...] = (
    ("track", Track()),
    *((f"runway for {event.value}", Runway(event=event)) for event in Event),
    ("strip with walls", Strip(length_m=60.0, wall_at_start=True, wall_at_end=True)),
)
"""A usual one of each kind; a 400 m track has all that is painted on any."""


def _fixed_points() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return by ground and line what a place may be told from; numbered ones from first to last."""
    found: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for noun, ground in _USUAL:
        for line in ground.lines:
            course = ground.course(line, 1)
            names = _shortened(tuple(each.key for each in course.landmarks))
            found.setdefault((noun, names), []).append(line)
    return tuple(
        (f"{noun}, {', '.join(lines)}" if noun == "track" else noun, names)
        for (noun, names), lines in found.items()
    )


def _shortened(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return names with those that only differ by a number at the end told from first to last."""
    shown = []
    for _, group in groupby(names, lambda name: re.sub(r" [0-9]+$", " ", name)):
        first, *rest = group
        shown.append(f"{first} to {rest[-1]}" if rest else first)
    return tuple(shown)


def _default_text(entry: Entry) -> str:
    if entry.default is None or isinstance(entry.codec, Sub | SubList):
        return ""
    return entry.codec.write(entry.default)


def takes_of(key: Key) -> str:
    """Return what a key takes, in a few words: unit and range, or the words there are."""
    if key.kind in {Kind.TABLE, Kind.TABLES}:
        return "a table" if key.kind is Kind.TABLE else f"tables, up to {key.most}"
    one = _takes_one(key)
    if key.members is None:
        return one
    least, most = key.members
    return f"an array of {least} to {most}: {one}"


_PLAIN = {
    Kind.TEXT: "text",
    Kind.FLAG: "true or false",
    Kind.DATE: "a day, 2026-03-04",
    Kind.CORNER: "[x, y], two lengths",
    Kind.CADENCE_ASKED: '"98 % of top", "102 % of natural", "4.3 steps/s" or "natural"',
}
_RANGED = {
    Kind.COUNT: "a whole number, {:g} to {:g}",
    Kind.NUMBER: "a number, {:g} to {:g}",
    Kind.STEPS: '"{:g} steps" to "{:g} steps"',
    Kind.YEARS: "{:g} to {:g} years",
    Kind.TEMPERATURE: '"{:g} C" to "{:g} C"',
}


def _takes_one(key: Key) -> str:
    if key.kind in _PLAIN:
        return _PLAIN[key.kind]
    if key.kind is Kind.WORD:
        shown = [f'"{word}"' for word in key.words or ()]
        return ", ".join(shown) if len(shown) < _MANY_WORDS else f"{shown[0]} to {shown[-1]}"
    low, high = key.range
    if key.kind in _RANGED:
        return _RANGED[key.kind].format(low, high)
    single = codec_of(replace(key, members=None))
    return f"{single.write(low)} to {single.write(high)}"


def explained(asked: str) -> tuple[Told, ...]:
    """Return what there is to say of a key or a table; of all tables for "".

    Parameters
    ----------
    asked
        "place.landmark", "athlete.run", "place", a kind of drill or ground ("takeoff-run",
        "strip.length"), or a key alone, by another name too.

    Raises
    ------
    UsageError
        When nothing is called so; it names what is nearest.
    """
    keys = told_keys()
    path = asked.strip().strip("[]").casefold().replace(" ", "")
    found = [each for each in keys if each.path == path or each.path.startswith(f"{path}.")]
    table, _, last = path.rpartition(".")
    if not found:
        found = [
            each
            for each in keys
            for name in (each.path.rpartition(".")[2],)
            if path in {name, each.of or name, f"{each.of}.{name}"}
        ]
    if not found:
        found = [each for each in keys if last in each.aka and each.path.startswith(table)]
    if found or not path:
        return tuple(found or keys)
    tables = {each.path.rpartition(".")[0] for each in keys} - {""}
    names = {each.path for each in keys} | {each.path.rpartition(".")[2] for each in keys}
    # With a dot it is a whole path, without one a table or the last part of a path.
    bare = {each for each in tables | names if ("." in each) is ("." in path)}
    near = nearest_of(path, sorted(bare)) or nearest_of(path, sorted(tables | names))
    hint = f'did you mean "{near}"?' if near else "'wicketlay explain' lists every table"
    raise UsageError(f'no key is called "{asked}"; {hint}')


def as_text(found: Sequence[Told]) -> str:
    """Return what there is to say as text: a line for where and what it takes, one for the rest."""
    lines = []
    for each in found:
        of = f" ({each.of})" if each.of else ""
        lines.append(f"{each.path}{of}: {each.takes}")
        rest = [each.does]
        if each.required:
            rest.append("it must be there")
        if each.default:
            rest.append(f"left out it is {each.default}")
        if each.left_out:
            rest.append(f"left out, {each.left_out}")
        if each.example:
            rest.append(f"such as {each.path.rpartition('.')[2]} = {each.example}")
        lines.append(f"    {'; '.join(rest)}")
        lines += [f"    {line}" for line in each.names]
    return "\n".join(lines) + "\n"


def as_markdown() -> str:
    """Return the keys of all tables, judged constants aside, as the tables of the README."""
    lines: list[str] = []
    heading = None
    for each in told_keys():
        table, _, name = each.path.rpartition(".")
        if table == "judgement" or (table.startswith("ground.strip") and name != "strip"):
            continue
        if (table.partition(".")[2] in {"landmark", "obstacle"}) and each.of != "track":
            continue
        if (table, each.of) != heading:
            heading = (table, each.of)
            lines += ["", f"**{_heading(table, each.of)}**", "", *_HEAD]
        left_out = f"`{each.default}`" if each.default else each.left_out
        if each.required:
            left_out = "required"
        takes = each.takes.replace("|", "\\|")
        lines.append(f"| `{name}` | {takes} | {left_out} | {each.does} |")
    lines += [
        "",
        "**fixed points** that `landmark` of `[place]` may name without more",
        "",
        *_POINTS,
    ]
    lines += [f"| {where} | {', '.join(names)} |" for where, names in _fixed_points()]
    return "\n".join(lines).strip() + "\n"


_POINTS = ("| on | named |", "|---|---|")
_HEAD = ("| key | takes | left out | does |", "|---|---|---|---|")


def _heading(table: str, of: str) -> str:
    if not table:
        return "at the top"
    if table == "units":
        return "units"
    last = table.rpartition(".")[2]
    inline = table in {"athlete.flying", "athlete.splits"}
    several = last in {*_MANY, "run", "takeoff", "sprint", "landmark", "obstacle", "board", "noted"}
    if inline:
        return f"`{last} = {{ }}` of an athlete"
    name = f"`[[{table}]]`" if several else f"`[{table}]`"
    return f"{name} {of}" if of and "." not in table else name


# --- JSON Schema ----------------------------------------------------------------------------


def schema_of(kind: str) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a plan, squad, ground or practice file.

    It knows keys, types, words and whole numbers; quantities are text whose unit and range it
    tells in words, and which `wicketlay check` holds to them.
    """
    properties: dict[str, Any] = {
        key.name: _schema_of_key(key)
        for kinds, keys in _TOP.items()
        if kind in kinds
        for key in keys
    }
    properties["kind"] = {"const": kind, "description": "what the file holds"}
    if kind in {"plan", "squad"}:
        properties["athlete"] = _array(_schema_of_record(ATHLETE), MOST_ATHLETES)
    if kind in {"plan", "ground"}:
        properties["ground"] = {"oneOf": [_schema_of_record(each) for each in GROUNDS.values()]}
    if kind == "plan":
        named = {"type": "object", "properties": {"file": _schema_of_key(_GROUND_FILE)}}
        properties["ground"]["oneOf"].append(
            named | {"required": ["file"], "additionalProperties": False}
        )
        properties["drill"] = {"oneOf": [_schema_of_record(each) for each in DRILLS.values()]}
        for name, of, record in _tables():
            if not of and name not in {"athlete", *_OF_PRACTICE}:
                table = _schema_of_record(record)
                properties[name] = _array(table, MOST_ATHLETES) if name in _MANY else table
    if kind == "practice":
        properties["practice"] = _schema_of_record(SHARED)
        properties["station"] = _array(_schema_of_record(STATION), MOST_STATIONS)
    needed = {"plan": ["title", "drill"], "practice": ["station"]}
    required = ["format", "kind", *needed.get(kind, [])]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"a wicketlay {kind} file",
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }


def _array(items: Mapping[str, Any], most: int) -> dict[str, Any]:
    return {"type": "array", "items": items, "maxItems": most}


def _schema_of_record(record: Record) -> dict[str, Any]:
    properties: dict[str, Any] = {key: {"const": word} for key, word in record.constant.items()}
    for entry in record.entries:
        if isinstance(entry.codec, Sub):
            properties[entry.key] = _schema_of_record(entry.codec.record)
        elif isinstance(entry.codec, SubList):
            properties[entry.key] = _array(_schema_of_record(entry.codec.record), entry.codec.most)
        elif entry.told is not None:
            properties[entry.key] = _schema_of_key(entry.told)
            default = _default_text(entry)
            if default:
                properties[entry.key]["default"] = tomllib.loads(f"x = {default}")["x"]
    return {
        "type": "object",
        "properties": properties,
        "required": [*record.constant, *(e.key for e in record.entries if e.required)],
        "additionalProperties": False,
    }


def _schema_of_key(key: Key) -> dict[str, Any]:
    one: dict[str, Any]
    match key.kind:
        case Kind.COUNT:
            one = {
                "type": "integer",
                "minimum": round(key.range[0]),
                "maximum": round(key.range[1]),
            }
        case Kind.NUMBER:
            one = {"type": "number", "minimum": key.range[0], "maximum": key.range[1]}
        case Kind.FLAG:
            one = {"type": "boolean"}
        case Kind.WORD:
            one = {"enum": [*(key.words or ()), *key.also]}
        case Kind.STEPS | Kind.YEARS:
            one = {"type": ["integer", "number", "string"]}
        case Kind.CORNER:
            one = {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2}
        case _:
            one = {"type": "string"}
    if key.members is not None:
        least, most = key.members
        one = {"type": "array", "items": one, "minItems": least, "maxItems": most}
    told = [key.does, takes_of(key), *([f"left out, {key.left_out}"] if key.left_out else [])]
    return {**one, "description": "; ".join(told)}
