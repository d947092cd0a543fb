"""Changing a TOML text in place: only the characters of what changed are touched.

Edits are collected against one text and applied together, last place first, so that no edit
moves the place of another.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wicketlay.plan_file.scan import Map, scan

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.keys.problems import Path
    from wicketlay.plan_file.scan import Item, Section


def dotted(path: Path) -> str:
    """Return a path as a header spells it; places in arrays have no spelling."""
    return ".".join(str(part) for part in path if not isinstance(part, int))


@dataclass(slots=True)
class Editor:
    """Edits of one text.

    Parameters
    ----------
    text
        Valid TOML; its line ends are kept and used for new lines.
    """

    text: str
    _map: Map = field(init=False)
    _changes: list[tuple[int, int, str]] = field(init=False, default_factory=list)
    _values: dict[Path, str] = field(init=False, default_factory=dict)
    _arrays: dict[Path, list[int | str]] = field(init=False, default_factory=dict)
    _gone: set[Path] = field(init=False, default_factory=set)
    _pairs: dict[Path, list[str]] = field(init=False, default_factory=dict)
    _tables: dict[Path, list[str]] = field(init=False, default_factory=dict)
    _newline: str = field(init=False)

    def __post_init__(self) -> None:
        """Find every place once."""
        self._map = scan(self.text)
        self._newline = "\r\n" if "\r\n" in self.text else "\n"

    # -- what can be asked for -------------------------------------------------------------

    def replace(self, path: Path, value: str) -> None:
        """Put another value in the place of a key's or a member's."""
        if path in self._map.items:
            self._values[path] = value
        else:  # a headed table becomes a value beside its siblings
            self.delete(path)
            self.insert(path[:-1], str(path[-1]), value)

    def insert(self, table: Path, key: str, value: str) -> None:
        """Give a table one key more, after the last it has."""
        pair = f"{key} = {value}"
        if table in self._map.items:
            self._pairs.setdefault(table, []).append(pair)
            return
        section = self._section(table)
        if section is not None:
            self._new_lines(section.last, [pair])
            return
        sibling = self._dotted_sibling(table)
        if sibling is None:
            self._tables.setdefault(table, []).append(pair)
            return
        head = self.text[sibling.start : sibling.value_start].rpartition("=")[0].rstrip()
        prefix = head.rpartition(".")[0].rstrip() or dotted(table)
        if sibling.inline:
            self._pairs.setdefault(self._around(sibling).path, []).append(f"{prefix}.{pair}")
        else:
            self._new_lines(self._map.line_end(sibling.value_end), [f"{prefix}.{pair}"])

    def delete(self, path: Path) -> None:
        """Take a key, a table or a member of an array of tables out."""
        item = self._map.items.get(path)
        if item is None:
            self._delete_sections(path)
        elif item.inline:
            self._gone.add(path)
        else:
            self._change(self._map.line_start(item.start), self._map.line_end(item.value_end), "")

    def set_array(self, path: Path, members: Sequence[int | str]) -> None:
        """Give an array other members: numbers stand for members it has, text for new ones."""
        self._arrays[path] = list(members)

    def append_table(self, array: Path, lines: Sequence[str]) -> None:
        """Add the lines of a new member to an array of headed tables, after its last."""
        parent = array[:-1]
        behind = [s for s in self._map.sections if s.path[: len(array)] == array] or [
            s for s in self._map.sections if parent and s.path[: len(parent)] == parent
        ]
        if behind:
            self._new_lines(behind[-1].last, ["", *lines])
        else:
            self._append(list(lines))

    def is_inline(self, path: Path) -> bool:
        """Return whether a key holds its array or table in one value."""
        return path in self._map.items

    def result(self) -> str:
        """Return the text with all edits made."""
        for path, lines in self._tables.items():
            self._append([f"[{dotted(path)}]", *lines])
        # The innermost first: an array takes over what its members have become.
        for path in sorted(self._arrays, key=len, reverse=True):
            self._values[path] = self._array(path, self._arrays[path])
        rebuilt = {self._around(self._map.items[path]).path for path in self._gone}
        rebuilt |= {*self._pairs, *self._arrays}
        outermost = [path for path in rebuilt if not self._inside(path, rebuilt)]
        for path in outermost:
            item = self._map.items[path]
            self._change(item.value_start, item.value_end, self._rendered(item))
        for path, value in self._values.items():
            if path not in rebuilt and not self._inside(path, rebuilt):
                item = self._map.items[path]
                self._change(item.value_start, item.value_end, value)
        text = self.text
        # Stable for equal places: what was asked for first stands first.
        order = sorted(self._changes, key=lambda change: change[0])
        for start, end, new in reversed(order):
            text = text[:start] + new + text[end:]
        return text

    # -- inline tables ---------------------------------------------------------------------

    def _text(self, item: Item) -> str:
        return self.text[item.value_start : item.value_end]

    def _length(self, path: Path) -> int:
        place = 0
        while (*path, place) in self._map.items:
            place += 1
        return place

    @staticmethod
    def _inside(path: Path, tables: set[Path]) -> bool:
        return any(path[:end] in tables for end in range(1, len(path)))

    def _around(self, item: Item) -> Item:
        """Return the value that a member stands in."""
        for end in range(len(item.path) - 1, 0, -1):
            outer = self._map.items.get(item.path[:end])
            if outer is not None:
                return outer
        raise ValueError(f"{dotted(item.path)} stands in no value")

    def _members(self, outer: Item) -> list[Item]:
        """Return what stands directly in an inline table, in its order."""
        within = sorted(
            (
                item
                for item in self._map.items.values()
                if outer.value_start < item.start and item.value_end < outer.value_end
            ),
            key=lambda item: item.start,
        )
        found: list[Item] = []
        for item in within:
            if not found or item.start >= found[-1].value_end:
                found.append(item)
        return found

    def _rendered(self, item: Item) -> str:
        """Return a value with the edits in it made; one without any stays as it is typed."""
        if item.path in self._values:
            return self._values[item.path]
        edited = {*self._values, *self._gone, *self._pairs}
        if not any(path[: len(item.path)] == item.path for path in edited):
            return self._text(item)
        first = self._text(item)[:1]
        if first not in "[{":
            return self._text(item)
        parts = []
        for member in self._members(item):
            if member.path in self._gone:
                continue
            parts.append(self.text[member.start : member.value_start] + self._rendered(member))
        parts += self._pairs.get(item.path, [])
        joined = ", ".join(parts)
        if first == "[":
            return f"[{joined}]"
        return f"{{ {joined} }}" if parts else "{}"

    def _array(self, path: Path, members: Sequence[int | str]) -> str:
        """Return an array with other members, those it keeps with their own edits made."""
        item = self._map.items[path]
        olds = [self._map.items[(*path, place)] for place in range(self._length(path))]
        bounds = [*(old.start for old in olds[1:]), item.value_end - 1]
        if not olds or "\n" not in self.text[item.value_start : item.value_end]:
            texts = [
                each if isinstance(each, str) else self._rendered(olds[each]) for each in members
            ]
            return f"[{', '.join(texts)}]"
        head = self.text[item.value_start : olds[0].start]
        indent = head.rpartition("\n")[2] if "\n" in head else "    "
        out = head
        for each in members:
            if isinstance(each, str):
                value, rest = each, self._newline
            else:
                value = self._rendered(olds[each])
                rest = self.text[olds[each].value_end : bounds[each]]
            # Each member keeps the comment behind it; a comma may follow the last one too.
            if not rest.lstrip().startswith(","):
                value += ","
            out += value + rest.rstrip(" \t")
            out += indent if out.endswith("\n") else " "
        return out.rstrip(" \t") + "]"

    # -- places ----------------------------------------------------------------------------

    def _section(self, table: Path) -> Section | None:
        return next((each for each in self._map.sections if each.path == table), None)

    def _dotted_sibling(self, table: Path) -> Item | None:
        """Return the last item that names the table with dots, as in ``flying.time = ...``."""
        siblings = [each for each in self._map.items.values() if each.path[:-1] == table]
        return siblings[-1] if siblings else None

    def _delete_sections(self, path: Path) -> None:
        """Take out every section of a table, but leave the comments above the next header."""
        for item in self._map.items.values():  # keys with dots that stand elsewhere
            if item.path[: len(path)] == path and not item.inline:
                home = self._home(item)
                if home.path[: len(path)] != path:
                    start = self._map.line_start(item.start)
                    self._change(start, self._map.line_end(item.value_end), "")
        sections = self._map.sections
        for place, section in enumerate(sections):
            if not section.path or section.path[: len(path)] != path:
                continue
            last = place + 1 == len(sections)
            end = len(self.text) if last else sections[place + 1].start
            if not last and sections[place + 1].path[: len(path)] != path:
                end = self._lead_in(section.last, end)
            self._change(section.start, end, "")

    def _home(self, item: Item) -> Section:
        """Return the section that an item stands in."""
        return [section for section in self._map.sections if section.start <= item.start][-1]

    def _lead_in(self, last: int, header: int) -> int:
        """Return where the comments that stand directly above a header begin."""
        at = header
        for line in reversed(self.text[last:header].splitlines(keepends=True)):
            if not line.lstrip().startswith("#"):
                break
            at -= len(line)
        return at

    # -- text ------------------------------------------------------------------------------

    def _change(self, start: int, end: int, text: str) -> None:
        self._changes.append((start, end, text))

    def _new_lines(self, at: int, lines: Sequence[str]) -> None:
        text = "".join(line + self._newline for line in lines)
        if at > 0 and self.text[at - 1] != "\n":
            text = self._newline + text.removesuffix(self._newline)
        self._change(at, at, text)

    def _append(self, lines: Sequence[str]) -> None:
        blank = [] if self.text.endswith(("\n\n", "\n\r\n")) or not self.text else [""]
        self._new_lines(len(self.text), [*blank, *lines])
