"""From a changed object to edits of its table: only keys whose value changed are written."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from wicketlay.keys.codecs import Many, quoted
from wicketlay.keys.records import Sub, SubList
from wicketlay.plan_file.edit import dotted
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.keys.codecs import Codec, Value
    from wicketlay.keys.problems import Path
    from wicketlay.keys.records import Entry, Record
    from wicketlay.plan_file.edit import Editor


@dataclass(frozen=True, slots=True)
class Table:
    """A table as it stands in a file.

    Parameters
    ----------
    editor, path
        The text, and where the table is in it.
    raw
        The table as TOML values, empty when it is not there.
    """

    editor: Editor
    path: Path
    raw: Mapping[str, object]

    def inside(self, key: str) -> Table:
        """Return the table under a key."""
        return Table(self.editor, (*self.path, key), _table(self.raw.get(key)))


def _table(raw: object) -> Mapping[str, object]:
    return raw if isinstance(raw, dict) else {}


def update(table: Table, record: Record, old: Value, new: Value) -> None:
    """Edit a table so that it reads as `new`.

    Parameters
    ----------
    record
        The keys of `new`.
    old
        What the table reads as now; None when it is of another kind or not there.
    new
        What it is to read as.
    """
    editor, path, raw = table.editor, table.path, table.raw
    before = record.values(old, raw) if old is not None else {}
    after = record.values(new, raw)
    known = record.keys
    for key in raw:
        if key not in known:
            editor.delete((*path, key))
    for key, word in record.constant.items():
        if key not in raw:
            editor.insert(path, key, quoted(word))
        elif raw[key] != word:
            editor.replace((*path, key), quoted(word))
    for entry in record.entries:
        was, now = before.get(entry.key), after.get(entry.key)
        if old is not None and was == now:
            continue
        default = record.default(entry.key)
        if entry.key in raw or now != default:
            _update_entry(table, entry, was, now)


def _update_entry(table: Table, entry: Entry, was: Value, now: Value) -> None:
    editor, raw, codec = table.editor, table.raw, entry.codec
    at = (*table.path, entry.key)
    there = entry.key in raw
    if isinstance(codec, SubList):
        if there and not now:
            editor.delete(at)
        elif now:
            update_list(table, entry.key, codec.record, (_olds(was, raw.get(entry.key)), now))
    elif now is None:
        if there:
            editor.delete(at)
    elif not there:
        editor.insert(table.path, entry.key, _value_text(entry, now))
    elif isinstance(codec, Sub):
        update(table.inside(entry.key), codec.record, was, now)
    else:
        _update_value(table, entry.key, codec, was=was, now=now)


def _olds(was: Value, raw: object) -> Sequence[Value]:
    """Return the members as they were; None each when they were of another kind of table."""
    if was is not None:
        olds: Sequence[Value] = was
        return olds
    return (None,) * (len(raw) if isinstance(raw, list) else 0)


def _update_value(table: Table, key: str, codec: Codec, *, was: Value, now: Value) -> None:
    at, like = (*table.path, key), table.raw[key]
    if isinstance(codec, Many) and isinstance(like, list) and was is not None:
        table.editor.set_array(at, _members(codec, was, now, like))
    else:
        table.editor.replace(at, codec.write(now, like))


def _members(
    codec: Many, was: Sequence[Value], now: Sequence[Value], raws: Sequence[object]
) -> list[int | str]:
    """Return the members of an array: places of those that stay, texts of the others."""
    found: list[int | str] = []
    same = difflib.SequenceMatcher(a=list(was), b=list(now), autojunk=False)
    for _, old_from, old_to, new_from, new_to in same.get_opcodes():
        olds = range(old_from, old_to)
        for count, place in enumerate(range(new_from, new_to)):
            old = olds[min(count, len(olds) - 1)] if olds else None
            if old is not None and was[old] == now[place]:
                found.append(old)
            else:
                like = raws[old] if old is not None else (raws[0] if raws else None)
                found.append(codec.member.write(now[place], like))
    return found


def update_list(
    table: Table, key: str, record: Record, change: tuple[Sequence[Value], Sequence[Value]]
) -> None:
    """Edit an array of tables: members that stay are edited in place."""
    editor, at, (was, now) = table.editor, (*table.path, key), change
    raw = table.raw.get(key)
    if not isinstance(raw, list):
        if editor.is_inline(table.path):
            members = ", ".join(inline_text(record, each) for each in now)
            editor.insert(table.path, key, f"[{members}]")
            return
        for each in now:
            editor.append_table(at, section_lines(record, each, at))
        return
    pairs, gone, added = matched(was, now)
    if editor.is_inline(at) and (gone or added):
        kept = [o if was[o] == now[n] else inline_text(record, now[n]) for o, n in pairs]
        editor.set_array(at, [*kept, *(inline_text(record, now[n]) for n in added)])
        return
    for old_place, new_place in pairs:
        if was[old_place] != now[new_place]:
            member = Table(editor, (*at, old_place), _table(raw[old_place]))
            update(member, record, was[old_place], now[new_place])
    for place in gone:
        editor.delete((*at, place))
    for place in added:
        editor.append_table(at, section_lines(record, now[place], at))


def matched(
    was: Sequence[Value], now: Sequence[Value]
) -> tuple[list[tuple[int, int]], list[int], list[int]]:
    """Return (old, new) places of members that stay, old places that go, new ones that come.

    Members that come stand at the end, because that is where they are written; None stands for
    one that goes where as many as before are told.
    """
    if len(was) <= len(now):
        stay = [i for i in range(len(was)) if now[i] is not None]
        gone = [i for i in range(len(was)) if now[i] is None]
        return [(i, i) for i in stay], gone, list(range(len(was), len(now)))
    same = difflib.SequenceMatcher(a=list(was), b=list(now), autojunk=False)
    pairs = [(a + k, b + k) for a, b, size in same.get_matching_blocks() for k in range(size)]
    if len(pairs) < len(now):
        pairs = [(i, i) for i in range(len(now))]
    kept = {old for old, _ in pairs}
    return pairs, [i for i in range(len(was)) if i not in kept], []


def _needed(record: Record, made: Value) -> list[tuple[Entry, Value]]:
    values = record.values(made, {})
    return [
        (entry, values[entry.key])
        for entry in record.entries
        if values.get(entry.key) is not None and values[entry.key] != record.default(entry.key)
    ]


def inline_text(record: Record, made: Value) -> str:
    """Return an object as an inline table, defaults left out."""
    parts = [f"{key} = {quoted(word)}" for key, word in record.constant.items()]
    parts += [f"{entry.key} = {_value_text(entry, each)}" for entry, each in _needed(record, made)]
    return f"{{ {', '.join(parts)} }}" if parts else "{}"


def _value_text(entry: Entry, value: Value) -> str:
    """Return a value on one line, a table or an array of tables as an inline one."""
    if isinstance(entry.codec, SubList):
        return f"[{', '.join(inline_text(entry.codec.record, each) for each in value)}]"
    if isinstance(entry.codec, Sub):
        return inline_text(entry.codec.record, value)
    return entry.codec.write(value)


def section_lines(record: Record, made: Value, array: Path) -> list[str]:
    """Return an object as a member of an array of headed tables, defaults left out."""
    lines = [f"[[{dotted(array)}]]"]
    later: list[str] = []
    for entry, value in _needed(record, made):
        if isinstance(entry.codec, SubList):
            for each in value:
                later += ["", *section_lines(entry.codec.record, each, (*array, entry.key))]
        else:
            lines.append(f"{entry.key} = {_value_text(entry, value)}")
    return lines + later
