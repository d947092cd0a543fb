"""What the workbench writes for the track, whole or not at all: sheets as a PDF, a sound."""

from __future__ import annotations

import os
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tui.bench.shelf import working_folder
from wicketlay.errors import UsageError
from wicketlay.export.rhythm import layout_of, sound_name, sound_of
from wicketlay.files.whole import own_mark, whole_file
from wicketlay.findings import Level, worst
from wicketlay.sheets import KINDS, USUAL, write_pdf
from wicketlay.sheets.page.layout import PAPERS as SIZES

if TYPE_CHECKING:
    from pathlib import Path

    from tui.bench.bench import Bench
    from wicketlay.sheets import Document
    from wicketlay.solve import Solved

PAPERS = tuple(SIZES)
FOR_A_WAVE = ("tape", "practice", "card")
"""What is wanted at the track for the wave that runs now."""
CHOICES: tuple[tuple[str, ...], ...] = ((), KINDS, *((kind,) for kind in KINDS))
"""The usual sheets, all of them, then each kind alone."""


@dataclass(slots=True, kw_only=True)
class Printing:
    """How to print, and what was written: path and pages, latest last."""

    paper: str = PAPERS[0]
    kinds: tuple[str, ...] = CHOICES[0]
    written: list[str] = field(default_factory=list)

    def kinds_for(self, *, whole: bool) -> tuple[str, ...]:
        """Return the sheets of the whole plan or of one wave."""
        return self.kinds or (USUAL if whole else FOR_A_WAVE)

    def next_paper(self) -> None:
        """Take the next paper."""
        self.paper = PAPERS[(PAPERS.index(self.paper) + 1) % len(PAPERS)]

    def next_kinds(self) -> None:
        """Take the next choice of sheets."""
        self.kinds = CHOICES[(CHOICES.index(self.kinds) + 1) % len(CHOICES)]


def wave_of(bench: Bench) -> Solved:
    """Return what was solved with the layings of the wave and stage on view alone."""
    return bench.solved.of_layings(bench.in_wave)


def stem_of_wave(bench: Bench) -> str:
    """Return what is added to the plan's name for the wave on view."""
    if not bench.in_wave:
        return "nobody"
    laying = bench.in_wave[0]
    stage = f"-stage-{laying.stage}" if bench.plan.stages is not None else ""
    return f"wave-{laying.wave}{stage}"


def known(document: Document, bench: Bench) -> Document:
    """Return a document that is known again as one of the plan on view."""
    return replace(document, origin=_origin(bench))


def _origin(bench: Bench) -> str:
    """Return what files of the plan on view are known by, "" while it has no file."""
    return "" if bench.opened.untitled else bench.opened.path.name


def pdf_path(bench: Bench, what: str) -> Path:
    """Return where a PDF goes: beside the plan, or where the workbench was started."""
    folder, stem = _beside(bench)
    return folder / (f"{stem}-{what}.pdf" if what else f"{stem}.pdf")


def _beside(bench: Bench) -> tuple[Path, str]:
    opened = bench.opened
    folder = working_folder() if opened.untitled else opened.path.parent
    if not os.access(folder, os.W_OK):
        folder = working_folder()
    return folder, "wickets" if opened.untitled else opened.path.stem


def write_sound(bench: Bench, athlete: str) -> Path:
    """Write the sound of an athlete's run beside the plan; return where.

    Raises
    ------
    UsageError
        When the athlete runs nowhere, what is run has no rhythm, or the marks are not to be laid.
    CannotWriteError
        When the place cannot be written, or holds something else than a sound.
    """
    laying, layout = layout_of(bench.solved, athlete)
    if not bench.solved.may_lay(laying):
        raise UsageError(f"the marks of {athlete} say DO NOT LAY OUT; no sound was written")
    folder, stem = _beside(bench)
    path = folder / sound_name(stem, athlete)
    origin = _origin(bench)
    sound, _ = sound_of(layout, None, origin)
    own = own_mark(origin).encode()
    with whole_file(path, replaces=b"RIFF", holding=own, noun="WAV") as stream:
        stream.write(sound)
    return path


def stops_in(solved: Solved) -> bool:
    """Return whether the paper will say that it must not be laid out."""
    return worst(solved.all_findings) is Level.STOP


def write(document: Document, path: Path) -> int:
    """Write a PDF whole or not at all; return the number of pages.

    Raises
    ------
    CannotWriteError
        When the place cannot be written, or holds something else than a PDF of the same plan.
    """
    with whole_file(path, replaces=b"%PDF", holding=document.mark.encode()) as stream:
        return write_pdf(document, stream)
