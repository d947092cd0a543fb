"""Plan, squad and ground files made up from the readers' own keys, and real ones damaged.

Everything follows from one random number generator, so a file that did harm can be made again
from its number.
"""

from __future__ import annotations

import datetime as dt
import json
import random
import tomllib
from dataclasses import dataclass
from pathlib import Path

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.errors import WicketlayError
from wicketlay.export import document
from wicketlay.keys.athletes import ATHLETE
from wicketlay.keys.codecs import (
    Age,
    Cadence,
    Choice,
    Corner,
    Count,
    Date,
    Flag,
    Many,
    Miss,
    Number,
    Quantity,
    RunOn,
    Steps,
    Temperature,
    Text,
)
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import (
    ADJUST,
    JUDGEMENT,
    KIT,
    PLACE,
    SESSION,
    STAGES,
    TAPE,
)
from wicketlay.keys.problems import PlanFileError, Problem
from wicketlay.keys.records import Record, Sub, SubList
from wicketlay.plan_file.document import read_document
from wicketlay.plan_file.source import source_of
from wicketlay.solve import solve

LAYOUTS = Path(__file__).parents[2] / "layouts"

NAMES = ["Wren", "Bram", "Zoë", "Ґанна", "x" * 78, "=1+1", "<b>&amp;", "{0} %s", "a\\b", "日本"]
WORDS = ["w1", "line", "finish", "board", "start", "home straight", "first bend", "w99", "lane"]
WRONG = [
    *("nan", "-nan", "inf", "-inf", "0", "-1", "1", "60", "1e308", "-1e308", "1e-320", "0x7f"),
    *("9223372036854775807", "9" * 400, "true", "false", "[]", "{}", "[[]]", "[{}]", "[1, [2]]"),
    *("2026-02-30", "2026-03-04", "2026-03-04T10:00:00", "10:00:00", "9999-12-31"),
    *(
        '""',
        '" "',
        '"x"',
        '"1"',
        '"1 m"',
        '"-1 m"',
        '"1e9 m"',
        '"1,234 m"',
        '"1.234,5 m"',
        '"NaN m"',
    ),
    *('"inf s"', '"99999999999999999999 m"', '"0.0000000000000000001 m"', '"5\'8\\""', '"12 in"'),
    *(
        '"1 1/0 in"',
        '"١٢ m"',
        '"1 m 2 m"',
        '"95 %"',
        '"101 %"',
        '"0 %"',
        '"5 steps/s"',
        '"14 steps"',
    ),
    *('"\\u0000"', '"\\u001b[2J"', '"\\u202e"', '"\\ud800"', '"=cmd|x"', '"<b>"', "'''a\nb'''"),
    '"' + "a" * 5000 + '"',
    '"' + "9" * 5000 + ' m"',
    "[" + ", ".join(['"1 m"'] * 300) + "]",
    "{a = {b = {c = {d = 1}}}}",
]
"""Values that are wrong nearly everywhere; as TOML text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Files:
    """The bytes of a plan and of the files it may name."""

    plan: bytes
    others: dict[str, bytes]


# -- made up ---------------------------------------------------------------------------------------


def _text_of(rng: random.Random, codec) -> str:  # noqa: PLR0911, PLR0912, C901 - one line a codec
    """Return a right value for a codec, as TOML text."""
    match codec:
        case Quantity() | Number():
            low, high = codec.low, codec.high
            picked = rng.choice([low, high, *(rng.uniform(low, high) for _ in range(8))])
            return codec.write(round(picked, rng.choice([2, 3, 6])))
        case Count():
            return codec.write(min(rng.randint(codec.low, codec.high), rng.choice([12, 10**9])))
        case Flag():
            return rng.choice(["true", "false"])
        case Text():
            return codec.write(rng.choice(NAMES + WORDS))
        case Choice():
            return codec.write(rng.choice(list(codec.words.values())))
        case Date():
            return codec.write(dt.date(2026, 1, 1) + dt.timedelta(days=rng.randint(-9000, 400)))
        case Many():
            count = min(rng.randint(codec.least, codec.least + 3), codec.most)
            texts = [_text_of(rng, codec.member) for _ in range(count)]
            if isinstance(codec.member, Quantity) and rng.random() < 0.8:
                texts.sort(key=lambda text: codec.member.read(tomllib.loads(f"a = {text}")["a"]))
            return f"[{', '.join(texts)}]"
        case Corner():
            return f'["{rng.uniform(-50, 50):.1f} m", "{rng.uniform(-20, 20):.1f} m"]'
        case Age():
            return codec.write(float(rng.randint(5, 90)))
        case Miss():
            return codec.write(rng.uniform(codec.low, codec.high))
        case Temperature():
            return codec.write(rng.uniform(-29.0, 59.0))
        case Steps():
            return _text_of(rng, codec.count)
        case RunOn():
            return codec.write(rng.choice([rng.randint(3, 60), rng.uniform(3.0, 60.0)]))
        case Cadence():
            rule = rng.choice(list(CadenceRule))
            value = {CadenceRule.STEPS_PER_S: rng.uniform(3.0, 5.5), CadenceRule.NATURAL: 1.0}
            return codec.write(
                CadenceTarget(rule=rule, value=value.get(rule, rng.uniform(0.9, 1.1)))
            )
    raise TypeError(codec)


def _value(rng: random.Random, codec, wrong: float) -> str:
    return rng.choice(WRONG) if rng.random() < wrong else _text_of(rng, codec)


_TOGETHER = [("step", "speed")]
"""Keys of which the second is taken out, with the first, unless both are there."""
_ONE_OF = [("section", "wickets"), ("lanes", "lane"), ("step", "distance")]
"""Keys of which only one may be there."""


def _gone_together(lines: dict[str, str], noun: str) -> None:
    """Take out keys that do not go with others, so that most tables can be read."""
    for one, two in _TOGETHER:
        if (one in lines) is not (two in lines) and noun in {"athlete", "run"}:
            lines.pop(one, None), lines.pop(two, None)
    if "first_cadence" not in lines:
        lines.pop("first_seen", None), lines.pop("first_speed", None)
    for one, two in _ONE_OF:
        if one in lines and two in lines:
            del lines[two]
    if noun == "wicket run" and not {"section", "wickets"} & set(lines):
        lines["wickets"] = "12"
    if noun in {"splits table", "sprint"}:
        lines |= {"distances": '["10 m", "20 m", "30 m"]', "times": '["1.9 s", "3.1 s", "4.2 s"]'}
        lines.pop("reaction", None)
    if noun == "run" and "step" not in lines:
        lines |= {"distance": '"20 m"', "time": '"2.5 s"'}
    if noun == "athlete":
        lines.pop("leg", None)


def _table(rng: random.Random, record: Record, head: str, wrong: float, *, often: float) -> str:
    """Return a table with most of what it must have and some of what it may have."""
    lines = {key: f'"{value}"' for key, value in record.constant.items()}
    below = ""
    for entry in record.entries:
        if rng.random() > (1.0 - wrong / 4 if entry.required else often):
            continue
        path = head.strip("[]\n")
        match entry.codec:
            case Sub(record=inner):
                below += _table(rng, inner, f"\n[{path}.{entry.key}]", wrong, often=0.4)
            case SubList(record=inner):
                for _ in range(rng.randint(0, 2)):
                    below += _table(rng, inner, f"\n[[{path}.{entry.key}]]", wrong, often=0.4)
            case codec:
                lines[entry.key] = _value(rng, codec, wrong)
    if rng.random() < 0.95:
        _gone_together(lines, record.noun)
    if rng.random() < wrong:
        lines[rng.choice(["heigth", "kind", "a.b.c", "name", '""'])] = "1"
    rows = [head, *(f"{key} = {value}" for key, value in lines.items())]
    return "\n".join(rows) + "\n" + below


def made_up(rng: random.Random) -> Files:
    """Return files that follow the readers' keys, with right values and a few wrong ones."""
    wrong = rng.choice([0.0, 0.0, 0.01, 0.05, 0.3])
    squad = "".join(
        _table(rng, ATHLETE, "\n[[athlete]]", wrong, often=0.25)
        for _ in range(rng.choice([1, 1, 2, 3]))
    )
    # Names of a squad must differ, or nothing else of it is ever read.
    for number in range(3):
        squad = squad.replace('name = "', f'name= "{number} ', 1)
    ground = _table(rng, rng.choice(list(GROUNDS.values())), "\n[ground]", wrong, often=0.25)
    head = 'format = 1\nkind = "plan"\ntitle = "Made up"\n'
    others = {}
    if rng.random() < 0.3:
        others["harbour-squad.toml"] = f'format = 1\nkind = "squad"\n{squad}'.encode()
        head, squad = head + 'squad = "harbour-squad.toml"\n', ""
    if rng.random() < 0.3:
        others["harbour-track.toml"] = f'format = 1\nkind = "ground"\n{ground}'.encode()
        ground = '\n[ground]\nfile = "harbour-track.toml"\n'
    tables = {"kit": KIT, "place": PLACE, "tape": TAPE, "session": SESSION, "stages": STAGES}
    parts = [_table(rng, rng.choice(list(DRILLS.values())), "\n[drill]", wrong, often=0.3)]
    parts += [squad, ground if rng.random() < 0.8 else ""]
    for key, record in tables.items():
        if rng.random() < 0.35:
            parts.append(_table(rng, record, f"\n[{key}]", wrong, often=0.4))
    if rng.random() < 0.1:
        parts.append(_table(rng, ADJUST, "\n[[adjust]]", wrong, often=0.4))
    if rng.random() < 0.1:
        parts.append(_table(rng, JUDGEMENT, "\n[judgement]", wrong, often=0.1))
    return Files(plan=(head + "".join(parts)).encode("utf-8", "replace"), others=others)


# -- damaged ---------------------------------------------------------------------------------------

_PIECES = [
    *(b"\0", b"\r", b"\xff", b"\xef\xbb\xbf", b"\x1b[2J", b"\xe2\x80\xae", b'"', b"'''", b'"""'),
    *(b"[", b"]", b"[[", b"]]", b"{", b"}", b"=", b".", b",", b"#", b"\\", b"\n", b" ", b"-", b"9"),
    *(b"nan", b"inf", b"true", b"1e400", b"\n[drill]\n", b"\n[[athlete]]\n", b"format = 2\n"),
    *(b"[" * 60, b"{a=" * 60, b"a." * 60, b"9" * 600, b"\\u0000", b"\\U0010FFFF", b"%", b" m"),
]
_ORIGINALS = {path.name: path.read_bytes() for path in sorted(LAYOUTS.glob("*.toml"))}
_PLANS = [name for name, data in _ORIGINALS.items() if b'kind = "plan"' in data]


def _damage(rng: random.Random, data: bytes) -> bytes:
    for _ in range(rng.choice([1, 1, 1, 2, 3, 8])):
        at = rng.randrange(len(data) + 1)
        to = min(len(data), at + rng.choice([0, 1, 1, 2, 8, 40]))
        match rng.randrange(6):
            case 0:
                data = data[:at] + rng.choice(_PIECES) + data[at:]
            case 1:
                data = data[:at] + data[to:]
            case 2:
                data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
            case 3:
                data = data[:at] + data[at:to] * rng.choice([2, 3, 50]) + data[to:]
            case 4:
                lines = data.split(b"\n")
                one, two = rng.randrange(len(lines)), rng.randrange(len(lines))
                lines[one], lines[two] = lines[two], lines[one]
                data = b"\n".join(lines)
            case _:
                data = data[:at] + rng.choice(_PIECES) + data[to:]
    return data


def damaged(rng: random.Random) -> Files:
    """Return a plan of the layouts and its files, one of them damaged."""
    name = rng.choice(_PLANS)
    others = dict(_ORIGINALS)
    plan = others.pop(name)
    if rng.random() < 0.6:
        plan = _damage(rng, plan)
    else:
        named = [other for other in others if other.encode() in plan] or list(others)
        hit = rng.choice(named)
        others[hit] = _damage(rng, others[hit])
    return Files(plan=plan, others=others)


# -- what is done with them ------------------------------------------------------------------------


def files_of(number: int) -> Files:
    """Return the files of a number: made up when it is even, damaged when it is odd."""
    rng = random.Random(number)  # noqa: S311 - equal files, not secret ones
    return damaged(rng) if number % 2 else made_up(rng)


def used(files: Files) -> str:
    """Read, solve and write files as JSON; return "read" or "refused". Nothing else may happen."""

    def other(path: Path, shown: str):
        if path.name not in files.others:
            raise PlanFileError([Problem(file=shown, message="there is no such file")])
        return source_of(files.others[path.name], path, shown)

    try:
        plan = read_document(source_of(files.plan, LAYOUTS / "plan.toml", "plan.toml"), other).plan
    except WicketlayError as error:
        told = str(error)
        if not told or not told.replace("\n", "").isprintable():
            message = f"a message that cannot be shown: {told!r}"
            raise AssertionError(message) from error
        return "refused"
    # Not `as_json`: its indent changes no value and takes a fifth of the time of a file.
    json.dumps(document(solve(plan)), allow_nan=False)
    return "read"
