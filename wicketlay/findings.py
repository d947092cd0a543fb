"""What a check says: a level, a code and values in SI. Wording happens at the edge."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

Value = float | int | str | bool


class Level(StrEnum):
    """How much a finding matters; only a stop keeps a sheet from being laid out."""

    STOP = "stop"
    CAUTION = "caution"
    NOTE = "note"


_RANK = {Level.STOP: 0, Level.CAUTION: 1, Level.NOTE: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a check has to say.

    Parameters
    ----------
    level
        Stop, caution or note.
    code
        Lower-case words joined by hyphens; the key of the wording.
    values
        What the wording needs. Numbers carry their unit at the end of the key
        (`gap_m`, `speed_mps`, `cadence_hz`, `excess_share`, `time_s`, `count`).
    athlete, mark, lane, wave, stage
        Where it applies, as far as it applies to one of them.
    """

    level: Level
    code: str
    values: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    athlete: str | None = None
    mark: str | None = None
    lane: int | None = None
    wave: int | None = None
    stage: int | None = None

    @classmethod
    def of(
        cls,
        code: str,
        level: Level,
        athlete: str | None = None,
        mark: str | None = None,
        /,
        **values: Value,
    ) -> Finding:
        """Return a finding of an athlete or of nobody, at a mark or at none."""
        return cls(level=level, code=code, athlete=athlete, mark=mark, values=values)

    @classmethod
    def stop(
        cls, code: str, athlete: str | None = None, mark: str | None = None, /, **values: Value
    ) -> Finding:
        """Return a stop, as `of`."""
        return cls(level=Level.STOP, code=code, athlete=athlete, mark=mark, values=values)

    @classmethod
    def caution(
        cls, code: str, athlete: str | None = None, mark: str | None = None, /, **values: Value
    ) -> Finding:
        """Return a caution, as `of`."""
        return cls(level=Level.CAUTION, code=code, athlete=athlete, mark=mark, values=values)

    @classmethod
    def note(
        cls, code: str, athlete: str | None = None, mark: str | None = None, /, **values: Value
    ) -> Finding:
        """Return a note, as `of`."""
        return cls(level=Level.NOTE, code=code, athlete=athlete, mark=mark, values=values)


def worst(findings: Iterable[Finding]) -> Level | None:
    """Return the gravest level among `findings`, or None when there is none."""
    return min((f.level for f in findings), key=_RANK.__getitem__, default=None)


def by_gravity(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return `findings` with stops first, otherwise in their own order."""
    return tuple(sorted(findings, key=lambda f: _RANK[f.level]))
