"""A plan and the files it names, read together: TOML to `Plan`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import TapeSpec
from wicketlay.keys.athletes import MOST_ATHLETES
from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS, UNMARKED
from wicketlay.keys.parts import ADJUST, JUDGEMENT, KIT, PLACE, SESSION, STAGES, TAPE
from wicketlay.keys.problems import nearest_of, shown_value
from wicketlay.keys.records import Report, SubList, read_list, read_record, refuse_all
from wicketlay.plan import Plan, SessionPlan
from wicketlay.plan_file.one_file import OneFile, referred
from wicketlay.plan_file.references import check_regular, relative_name
from wicketlay.plan_file.source import read_source
from wicketlay.plan_file.squads import check_adjustments, chosen, read_squad
from wicketlay.sources import DEFAULTS
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from wicketlay.ground import Ground
    from wicketlay.keys.codecs import Value
    from wicketlay.keys.records import Record
    from wicketlay.plan_file.one_file import Opened, Opener
    from wicketlay.plan_file.source import Source
    from wicketlay.running.athlete import Athlete

_ADJUSTMENTS = SubList(record=ADJUST, most=MOST_ATHLETES)
TABLES: dict[str, tuple[Record, str, Any]] = {
    "kit": (KIT, "kit", Kit()),
    "place": (PLACE, "place", Place()),
    "tape": (TAPE, "tape", TapeSpec()),
    "session": (SESSION, "session", SessionPlan()),
    "stages": (STAGES, "stages", None),
    "judgement": (JUDGEMENT, "judgement", DEFAULTS),
}
"""Tables of a plan that stand for one object each: record, field of `Plan`, default."""
PLAN_KEYS = [
    "format",
    "kind",
    "title",
    "date",
    "squad",
    "athlete",
    "athletes",
    "drill",
    "ground",
    "adjust",
    *TABLES,
]
_GROUND_KEYS = ["format", "kind", "title", "ground"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A plan with the files it came from.

    Parameters
    ----------
    files
        "plan", and "squad" and "ground" where they are files of their own.
    squad
        Every athlete of the squad, also those that do not run today.
    """

    plan: Plan
    files: dict[str, Opened]
    squad: tuple[Athlete, ...]


def read_document(source: Source, opener: Opener) -> Document:
    """Read a plan and what it names.

    Parameters
    ----------
    opener
        From a path and how to show it to a source; raises PlanFileError.

    Raises
    ------
    PlanFileError
        With every problem of every file, at most fifty.
    """
    file = OneFile(source, "plan", PLAN_KEYS)
    files = {"plan": file}
    raw, report = file.raw, file.report
    plain = file.plain()
    if "title" not in raw and "title" not in file.meant:
        report.tell((), 'the plan has no "title"', remedy='add title = "Tuesday wickets"')
    squad = read_squad(files, opener)
    athletes = chosen(squad, raw, report)
    drill = _read_kind(file, "drill", DRILLS)
    ground = _read_ground(files, opener)
    named = raw["ground"]["file"] if "ground" in files else None
    at_home = len(files["squad"].raw.get("athlete", ())) if "squad" in files else len(squad or ())
    objects = {
        attr: read_record(record, raw[key], report, (key,)) if key in raw else default
        for key, (record, attr, default) in TABLES.items()
    }
    adjustments = (
        read_list(_ADJUSTMENTS, raw["adjust"], report, ("adjust",)) if "adjust" in raw else ()
    )
    check_adjustments(adjustments or (), squad or (), report)
    refuse_all(*(each.report for each in files.values()))
    try:
        plan = Plan(
            athletes=athletes,
            drill=drill,
            ground=ground,
            ground_file=named,
            guests=frozenset(guest.name for guest in (squad or ())[at_home:]),
            adjustments=adjustments or (),
            **plain,
            **objects,
        )
    except DomainError as error:
        report.add((), UnfitError.said_by(error))
        refuse_all(report)
        raise
    opened = {role: each.opened for role, each in files.items()}
    return Document(plan=plan, files=opened, squad=squad or ())


def _read_kind(file: OneFile, key: str, kinds: Mapping[str, Record]) -> Value:
    """Return the object of a table whose `kind` says which record it follows."""
    raw, report = file.raw, file.report
    known = ", ".join(f'"{kind}"' for kind in kinds)
    if key not in raw:
        if key not in file.meant:
            first = next(iter(kinds))
            report.tell((), f"has no [{key}]", remedy=f'add [{key}] with kind = "{first}"')
        return None
    table = raw[key]
    if not isinstance(table, dict):
        report.tell((key,), f"{shown_value(table)} is not a table", remedy=f"write [{key}]")
        return None
    if "kind" not in table:
        report.tell((key,), 'has no "kind"', allowed=known)
        return None
    kind = table["kind"]
    if not isinstance(kind, str) or kind not in kinds:
        nearest = nearest_of(kind, list(kinds)) if isinstance(kind, str) else ""
        error = UnfitError(
            f"{shown_value(kind)} is not a known kind", allowed=known, nearest=nearest
        )
        report.add((key, "kind"), error, value=kind)
        return None
    return read_record(kinds[kind], table, report, (key,))


def _read_ground(files: dict[str, OneFile], opener: Opener) -> Ground:
    file = files["plan"]
    table = file.raw.get("ground")
    if table is None:
        return UNMARKED
    if isinstance(table, dict) and "file" in table:
        for key in table:
            if key != "file":
                file.report.tell(
                    ("ground", key),
                    "stands beside file",
                    remedy="keep the file, or the numbers here",
                )
        source = referred(file, ("ground", "file"), table["file"], opener)
        if source is None:
            return UNMARKED
        file = files["ground"] = OneFile(source, "ground", _GROUND_KEYS)
    ground: Ground = _read_kind(file, "ground", GROUNDS)
    return ground


def read_ground(folder: Path, name: str) -> Ground:
    """Return the ground of a file that a plan in a folder may name.

    Raises
    ------
    PlanFileError
        With every problem of the name, or of the file.
    """
    try:
        target = folder / relative_name(name)
        check_regular(target, name)
    except UnfitError as error:
        report = Report(name, lambda _: None)
        report.add((), error, value=name)
        refuse_all(report)
        raise
    file = OneFile(read_source(target, name), "ground", _GROUND_KEYS)
    ground: Ground = _read_kind(file, "ground", GROUNDS)
    refuse_all(file.report)
    return ground
