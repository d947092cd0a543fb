"""Opening a plan, and saving it without ever leaving half a file or losing another's work."""

from __future__ import annotations

import dataclasses
import os
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.errors import CannotWriteError
from wicketlay.plan_file.changes import changed_texts
from wicketlay.plan_file.document import Document, read_document
from wicketlay.plan_file.problems import PlanFileError
from wicketlay.plan_file.saving import settle, write_all
from wicketlay.plan_file.source import Source, fingerprint_on_disk, read_source, source_of
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan import Plan
    from wicketlay.running.athlete import Athlete

_MOST_READINGS = 3
"""A plan is read again when a save replaced one of its files between the first and the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """A plan and the file it was read from.

    Parameters
    ----------
    plan
        What the file says.
    path
        The file, as it was named.
    fingerprint
        SHA-256 of its bytes.
    mended
        A line about an earlier save that was cut off and what became of it, "" without one.
    """

    plan: Plan
    path: Path
    fingerprint: str
    mended: str = field(default="", compare=False)
    _document: Document = field(repr=False, compare=False)

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

    def texts_for(self, plan: Plan) -> dict[str, str]:
        """Return the text every file would have if `plan` were saved, by role.

        Raises
        ------
        CannotWriteError
            When a plan file could not hold the plan.
        """
        return self.texts | self._checked(plan)[0]

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
        changed, document = self._checked(plan)
        if changed:
            sources = {role: opened.source for role, opened in self._document.files.items()}
            write_all(sources, changed)
        return PlanFile(
            plan=document.plan,
            path=self.path,
            fingerprint=document.files["plan"].fingerprint,
            _document=document,
        )

    def _checked(self, plan: Plan) -> tuple[dict[str, str], Document]:
        """Return the changed texts, and the document they read as: exactly `plan`."""
        changed = changed_texts(self._document, plan)
        try:
            document = _reread(self._document, changed)
        except PlanFileError as error:
            message = f"{self.path}: the plan cannot be saved, nothing was written: {error}"
            raise CannotWriteError(message) from error
        if document.plan != plan:
            message = (
                f"{self.path}: the plan cannot be saved, nothing was written: "
                "the file would not read as the plan again"
            )
            raise CannotWriteError(message)
        return changed, document


def _reread(document: Document, changed: Mapping[str, str]) -> Document:
    """Read a document again with some of its texts changed, from memory."""
    sources: dict[Path, Source] = {}
    for role, opened in document.files.items():
        source = opened.source
        if role in changed:
            source = source_of(source.to_bytes(changed[role]), source.path, source.shown)
        sources[source.path] = source
    return read_document(
        sources[document.files["plan"].source.path], lambda path, _shown: sources[path]
    )


def open_plan(path: str | Path) -> PlanFile:
    """Read a plan and the squad and ground files it names.

    Parameters
    ----------
    path
        The plan file.

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
        settled = settle(at)
        mended = settled.told or mended
        reading = _Reading(settled.instead)
        try:
            document = read_document(reading.open(at, str(at)), reading.open)
        except PlanFileError as error:
            if more and reading.overtaken():
                continue
            if mended:
                error.add_note(mended)
            raise
        if not (more and reading.overtaken()):
            break
    return PlanFile(
        plan=document.plan,
        path=at,
        fingerprint=document.files["plan"].fingerprint,
        mended=mended,
        _document=document,
    )


class _Reading:
    """One reading of a plan and its files, which a save may overtake.

    Parameters
    ----------
    instead
        Files to be read in place of others.
    """

    def __init__(self, instead: Mapping[Path, Path]) -> None:
        self._instead = instead
        self._seen: dict[Path, str] = {}

    def open(self, path: Path, shown: str) -> Source:
        """Read a file; PlanFileError as for `read_source`."""
        at = self._instead.get(Path(os.path.realpath(path)), path) if self._instead else path
        source = read_source(at, shown)
        self._seen[at] = source.fingerprint
        return source if at is path else dataclasses.replace(source, path=path)

    def overtaken(self) -> bool:
        """Return whether one of several files is no longer what was read."""
        return len(self._seen) > 1 and any(
            fingerprint_on_disk(at) != was for at, was in self._seen.items()
        )


def load(path: str | Path) -> Plan:
    """Return the plan of a file; PlanFileError as for `open_plan`."""
    return open_plan(path).plan
