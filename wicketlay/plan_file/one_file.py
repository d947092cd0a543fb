"""One of a plan's files while it is read: its head, its keys, and the files it names."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.keys.codecs import Date, Text, UnfitError
from wicketlay.keys.problems import shown_value
from wicketlay.keys.records import Report, refuse_all, unknown_keys
from wicketlay.plan_file.references import check_regular, relative_name
from wicketlay.plan_file.scan import scan
from wicketlay.plan_file.source import parse
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable

    from wicketlay.plan_file.source import Source

    Opener = Callable[[Path, str], Source]

FORMAT = 1
TITLE = Text(noun="title")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One file: its text and its TOML."""

    source: Source
    raw: dict[str, Any]

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the bytes that were read."""
        return self.source.fingerprint


class OneFile:
    """One file while it is being read."""

    def __init__(self, source: Source, kind: str, keys: list[str]) -> None:
        self.source = source
        self.raw = parse(source)
        places = functools.cache(lambda: scan(source.text))
        self.report = Report(source.shown, lambda path: places().line_of(path))
        self._head(kind, keys)

    @property
    def opened(self) -> Opened:
        """The text and the TOML of it."""
        return Opened(source=self.source, raw=self.raw)

    def plain(self) -> dict[str, Any]:
        """Return title and date, as far as they are there and can be read."""
        found: dict[str, Any] = {}
        for key, codec in (("title", TITLE), ("date", Date())):
            if key in self.raw:
                try:
                    found[key] = codec.read(self.raw[key])
                except UnfitError as error:
                    self.report.add((key,), error, value=self.raw[key])
        return found

    def _head(self, kind: str, keys: list[str]) -> None:
        raw, tell = self.raw, self.report.tell
        version = raw.get("format")
        if "format" not in raw:
            tell((), 'has no "format"', remedy=f"begin the file with format = {FORMAT}")
        elif isinstance(version, bool) or version != FORMAT or not isinstance(version, int):
            tell(
                ("format",), f"{shown_value(version)} is not a format we know", allowed=str(FORMAT)
            )
        if "kind" not in raw:
            tell((), 'has no "kind"', remedy=f'write kind = "{kind}" below the format')
        elif raw["kind"] != kind:
            tell(
                ("kind",),
                f"{shown_value(raw['kind'])} is not what is wanted here",
                allowed=f'"{kind}"',
                remedy=_other_file(raw["kind"], kind),
            )
            refuse_all(self.report)  # every other key would be a problem too, and a false one
        self.meant = unknown_keys(raw, keys, self.report, ())


def _other_file(found: object, wanted: str) -> str:
    """Return what to do when a file of ours stands where another kind is wanted."""
    if found == "practice":
        return "this is a practice of several plans; name one of them"
    if found not in ("plan", "squad", "ground"):
        return ""
    name = "the plan that uses it" if wanted == "plan" else f"a {wanted} file"
    return f"this is a {found} file; name {name}"


def referred(file: OneFile, path: tuple[str, ...], value: object, opener: Opener) -> Source | None:
    """Open a file that a plan names; None after noting why that cannot be."""
    try:
        relative = relative_name(value)
        target = file.source.path.parent / relative
        check_regular(target, value)
    except UnfitError as error:
        file.report.add(path, error, value=value)
        return None
    return opener(target, str(Path(file.source.shown).parent / relative))
