"""Opening a plan, and saving it without ever leaving half a file or losing another's work."""

from __future__ import annotations

import os
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError
from wicketlay.files.saving import Change, Finished, fingerprint_on_disk, finish_save, write_all
from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file.document import Document, read_document
from wicketlay.plan_file.references import named_files
from wicketlay.plan_file.source import Source, parse, read_source, source_of
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wicketlay.plan import Plan
    from wicketlay.running.athlete import Athlete

_MOST_READINGS = 3
"""A plan is read again when a save replaced one of its files between the first and the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """A plan and the file it was read from.

    Parameters
    ----------
    fingerprint
        SHA-256 of its bytes.
    mended
        A line about an earlier save that was cut off and what became of it, "" without one.
    """

    plan: Plan
    path: Path
    fingerprint: str
    mended: str = field(default="", compare=False)
    _document: Document = field(compare=False)

    @property
    def squad(self) -> tuple[Athlete, ...]:
        """Every athlete of the squad, also those who do not run today."""
        return self._document.squad

    @property
    def paths(self) -> dict[str, Path]:
        """The files by role: "plan", and "squad" and "ground" where they are files."""
        return {role: opened.source.path for role, opened in self._document.files.items()}

    @property
    def texts(self) -> dict[str, str]:
        """The text of each file by role, as it was read."""
        return {role: opened.source.text for role, opened in self._document.files.items()}

    @property
    def fingerprints(self) -> dict[str, str]:
        """The SHA-256 of each file's bytes by role."""
        return {role: opened.fingerprint for role, opened in self._document.files.items()}

    def unsaved(self, plan: Plan) -> tuple[dict[str, str], dict[str, str]]:
        """Return what a save of `plan` would begin with and end with.

        Returns
        -------
        (base, texts)
            The SHA-256 of each file's bytes as they were read, and the text each would have, by
            role.

        Raises
        ------
        CannotWriteError
            When a plan file could not hold the plan.
        """
        steps, document = self._steps(plan)
        base: dict[str, str] = {}
        for read in (*(read for read, _ in steps), document):
            for role, opened in read.files.items():
                now = document.files.get(role)
                # A file is as it was read until a step changes it; the last names the files.
                if now is not None and now.source.path == opened.source.path:
                    base.setdefault(role, opened.fingerprint)
        return base, {role: opened.source.text for role, opened in document.files.items()}

    def save(self, plan: Plan) -> PlanFile:
        """Write what changed, in the plan or in the squad and ground files it names.

        Only keys whose value changed are rewritten. Each file is replaced whole.

        Raises
        ------
        ChangedOnDiskError
            When a file that has to be written is no longer what was read.
        CannotWriteError
            When a file cannot be written, or cannot hold the plan.
        """
        steps, document = self._steps(plan)
        if steps:
            _finish_save(self.path)
        for read, changed in steps:
            # The plan goes last: it may name what the others only then hold.
            roles = sorted(changed, key=lambda role: role == "plan")
            write_all(self.path, [_change(read, role, changed[role]) for role in roles])
        return PlanFile(
            plan=document.plan,
            path=self.path,
            fingerprint=document.files["plan"].fingerprint,
            _document=document,
        )

    def changed_on_disk(self, roles: Iterable[str] = ("plan", "squad", "ground")) -> str:
        """Return the role of a file that is no longer what was read, "" when none is."""
        paths, read = self.paths, self.fingerprints
        changed = (r for r in roles if r in paths and fingerprint_on_disk(paths[r]) != read[r])
        return next(changed, "")

    def _steps(self, plan: Plan) -> tuple[list[tuple[Document, dict[str, str]]], Document]:
        """Return what is written on what, one save after the other, and what then reads as `plan`.

        Another ground file is named first, and changed only as it then reads.
        """
        from wicketlay.plan_file.changes import changed_texts  # noqa: PLC0415 - only to save

        document = self._document
        steps: list[tuple[Document, dict[str, str]]] = []
        try:
            for _ in range(2):
                changed = changed_texts(document, plan)
                if changed:
                    steps.append((document, changed))
                    document = _reread(document, changed)
        except PlanFileError as error:
            raise CannotWriteError(
                f"{self.path}: the plan cannot be saved, nothing was written: {error}"
            ) from error
        if document.plan != plan:
            raise CannotWriteError(
                f"{self.path}: the plan cannot be saved, nothing was written: "
                "the file would not read as the plan again"
            )
        return steps, document


def _change(read: Document, role: str, text: str) -> Change:
    source = read.files[role].source
    return Change(
        role=role,
        path=source.path,
        shown=source.shown,
        was=source.fingerprint,
        becomes=source.to_bytes(text),
    )


def _reread(document: Document, changed: Mapping[str, str]) -> Document:
    """Read a document again with some of its texts changed, from memory.

    Only a file that is named anew is read from the disk.
    """
    sources: dict[Path, Source] = {}
    for role, opened in document.files.items():
        source = opened.source
        if role in changed:
            source = source_of(source.to_bytes(changed[role]), source.path, source.shown)
        sources[source.path] = source

    def opener(path: Path, shown: str) -> Source:
        return sources[path] if path in sources else read_source(path, shown)

    return read_document(sources[document.files["plan"].source.path], opener)


def _finish_save(path: Path) -> Finished:
    def named() -> dict[str, Path]:
        plan = read_source(path, str(path))
        return {"plan": path, **named_files(parse(plan), path.parent)}

    return finish_save(path, named)


def open_plan(path: str | Path) -> PlanFile:
    """Read a plan and the squad and ground files it names.

    Returns
    -------
    PlanFile
        With the plan, and what is needed to save it.

    Raises
    ------
    PlanFileError
        With every problem at once, each with file, line, key, value and remedy.
    """
    at = Path(path)
    mended = ""
    for more in reversed(range(_MOST_READINGS)):
        finished = _finish_save(at)
        mended = finished.told or mended
        opening = _Opening(finished.instead)
        try:
            document = read_document(opening.open(at, str(at)), opening.open)
        except PlanFileError as error:
            if more and opening.overtaken():
                continue
            if mended:
                error.add_note(mended)
            raise
        if not (more and opening.overtaken()):
            break
    return PlanFile(
        plan=document.plan,
        path=at,
        fingerprint=document.files["plan"].fingerprint,
        mended=mended,
        _document=document,
    )


class _Opening:
    """One opening of a plan and its files, which a save may overtake.

    Parameters
    ----------
    instead
        What is to be read in place of files.
    """

    def __init__(self, instead: Mapping[Path, bytes]) -> None:
        self._instead = instead
        self._seen: dict[Path, str] = {}

    def open(self, path: Path, shown: str) -> Source:
        """Read a file; PlanFileError as for `read_source`."""
        data = self._instead.get(Path(os.path.realpath(path))) if self._instead else None
        if data is not None:
            return source_of(data, path, shown)
        source = read_source(path, shown)
        self._seen[path] = source.fingerprint
        return source

    def overtaken(self) -> bool:
        """Return whether one of several files is no longer what was read."""
        return len(self._seen) > 1 and any(
            fingerprint_on_disk(at) != was for at, was in self._seen.items()
        )


def read_plan(data: bytes, shown: str) -> Plan:
    """Return the plan of bytes that are no file; files it names are looked for in this folder.

    Raises
    ------
    PlanFileError
        With every problem at once; `shown` is what messages call the bytes.
    """
    return read_document(source_of(data, Path(shown), shown), read_source).plan


def load(path: str | Path) -> Plan:
    """Return the plan of a file; PlanFileError as for `open_plan`."""
    return open_plan(path).plan
