"""A plan and the files it names, read together: TOML to `Plan`."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.drills.kit import Kit
from wicketlay.errors import DomainError
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import TapeSpec
from wicketlay.plan import Plan, SessionPlan
from wicketlay.plan_file.athletes import ATHLETE, MOST_ATHLETES
from wicketlay.plan_file.codecs import Date, Many, Text, UnfitError
from wicketlay.plan_file.drills import DRILLS
from wicketlay.plan_file.grounds import GROUNDS, UNMARKED
from wicketlay.plan_file.parts import ADJUST, JUDGEMENT, KIT, PLACE, SESSION, STAGES, TAPE
from wicketlay.plan_file.problems import nearest_of, shown_value
from wicketlay.plan_file.records import (
    Report,
    SubList,
    read_list,
    read_record,
    refuse_all,
    unknown_keys,
)
from wicketlay.plan_file.references import check_regular, relative_name
from wicketlay.plan_file.scan import scan
from wicketlay.plan_file.source import parse
from wicketlay.sources import DEFAULTS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from wicketlay.ground import Ground
    from wicketlay.plan_file.codecs import Value
    from wicketlay.plan_file.records import Record
    from wicketlay.plan_file.source import Source
    from wicketlay.running.athlete import Athlete

    Opener = Callable[[Path, str], Source]

FORMAT = 1
TITLE = Text(noun="title")
NAMES = Many(member=Text(), least=1, most=MOST_ATHLETES)
_ATHLETES = SubList(record=ATHLETE, most=MOST_ATHLETES)
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
_SQUAD_KEYS = ["format", "kind", "title", "athlete"]
_GROUND_KEYS = ["format", "kind", "title", "ground"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One file: its text and its TOML."""

    source: Source
    raw: dict[str, Any]

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the bytes that were read."""
        return self.source.fingerprint


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A plan with the files it came from.

    Parameters
    ----------
    plan
        The plan.
    files
        "plan", and "squad" and "ground" where they are files of their own.
    squad
        Every athlete of the squad, also those that do not run today.
    """

    plan: Plan
    files: dict[str, Opened]
    squad: tuple[Athlete, ...]


class _File:
    """One file while it is being read."""

    def __init__(self, source: Source, kind: str, keys: list[str]) -> None:
        self.source = source
        self.raw = parse(source)
        self.report = Report(source, functools.cache(lambda: scan(source.text)))
        self._head(kind, keys)

    @property
    def opened(self) -> Opened:
        return Opened(source=self.source, raw=self.raw)

    def _head(self, kind: str, keys: list[str]) -> None:
        raw, add = self.raw, self.report.add
        version = raw.get("format")
        if "format" not in raw:
            add((), UnfitError('has no "format"', remedy=f"begin the file with format = {FORMAT}"))
        elif isinstance(version, bool) or version != FORMAT or not isinstance(version, int):
            add(
                ("format",),
                UnfitError(f"{shown_value(version)} is not a format we know", allowed=str(FORMAT)),
            )
        if "kind" not in raw:
            add((), UnfitError('has no "kind"', remedy=f'write kind = "{kind}" below the format'))
        elif raw["kind"] != kind:
            add(
                ("kind",),
                UnfitError(
                    f"{shown_value(raw['kind'])} is not what is wanted here",
                    allowed=f'"{kind}"',
                    remedy=_other_file(raw["kind"], kind),
                ),
            )
            refuse_all(self.report)  # every other key would be a problem too, and a false one
        self.meant = unknown_keys(raw, keys, self.report, ())


def _other_file(found: object, wanted: str) -> str:
    """Return what to do when a file of ours stands where another kind is wanted."""
    if found not in ("plan", "squad", "ground"):
        return ""
    name = "the plan that uses it" if wanted == "plan" else f"a {wanted} file"
    return f"this is a {found} file; name {name}"


def read_document(source: Source, opener: Opener) -> Document:
    """Read a plan and what it names.

    Parameters
    ----------
    source
        The plan's text.
    opener
        From a path and how to show it to a source; raises PlanFileError.

    Raises
    ------
    PlanFileError
        With every problem of every file, at most fifty.
    """
    file = _File(source, "plan", PLAN_KEYS)
    files = {"plan": file}
    raw, report = file.raw, file.report
    plain = _plain_values(raw, report, file.meant)
    squad = _read_squad(files, opener)
    athletes = _chosen(squad, raw, report)
    drill = _read_kind(raw, ("drill",), DRILLS, report, missing="drill" not in file.meant)
    ground = _read_ground(files, opener)
    objects = {
        attr: read_record(record, raw[key], report, (key,)) if key in raw else default
        for key, (record, attr, default) in TABLES.items()
    }
    adjustments = (
        read_list(_ADJUSTMENTS, raw["adjust"], report, ("adjust",)) if "adjust" in raw else ()
    )
    _check_adjustments(adjustments or (), squad or (), report)
    refuse_all(*(each.report for each in files.values()))
    try:
        plan = Plan(
            athletes=athletes,
            drill=drill,
            ground=ground,
            adjustments=adjustments or (),
            **plain,
            **objects,
        )
    except DomainError as error:
        message, _, remedy = str(error).partition("; ")
        report.add((), UnfitError(message, remedy=remedy))
        refuse_all(report)
        raise
    opened = {role: each.opened for role, each in files.items()}
    return Document(plan=plan, files=opened, squad=squad or ())


def _plain_values(raw: Mapping[str, Any], report: Report, meant: set[str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, codec in (("title", TITLE), ("date", Date())):
        if key in raw:
            try:
                found[key] = codec.read(raw[key])
            except UnfitError as error:
                report.add((key,), error, value=raw[key])
        elif key == "title" and key not in meant:
            report.add(
                (), UnfitError('the plan has no "title"', remedy='add title = "Tuesday wickets"')
            )
    return found


# -- athletes ---------------------------------------------------------------------------------


def _read_squad(files: dict[str, _File], opener: Opener) -> tuple[Athlete, ...] | None:
    """Return all athletes of the plan's squad file or of the plan; None after noting problems."""
    file = files["plan"]
    raw, report = file.raw, file.report
    if "squad" in raw:
        if "athlete" in raw:
            report.add(
                ("athlete",),
                UnfitError("stands beside squad", remedy="keep one of them: squad or [[athlete]]"),
            )
        source = _referred(file, ("squad",), raw["squad"], opener)
        if source is None:
            return None
        file = files["squad"] = _File(source, "squad", _SQUAD_KEYS)
    if "athlete" not in file.raw and file.meant & {"athlete", "squad"}:
        return None
    if "athlete" not in file.raw:
        remedy = "add [[athlete]] with name and height"
        if file is files["plan"]:
            remedy = 'add squad = "my-squad.toml", or [[athlete]] with name and height'
        file.report.add((), UnfitError("has no athletes", remedy=remedy))
        return None
    found = read_list(_ATHLETES, file.raw["athlete"], file.report, ("athlete",))
    if found is not None:
        _check_names([athlete.name for athlete in found], file.report)
    return found


def _check_names(names: Sequence[str], report: Report) -> None:
    seen: dict[str, int] = {}
    for place, name in enumerate(names):
        first = seen.setdefault(name.casefold(), place)
        if first != place:
            report.add(
                ("athlete", place, "name"),
                UnfitError(
                    f"{shown_value(name)} is the name of athlete {first + 1} too",
                    remedy="add an initial",
                ),
            )


def _chosen(
    squad: tuple[Athlete, ...] | None, raw: Mapping[str, Any], report: Report
) -> tuple[Athlete, ...]:
    """Return the athletes a plan names, all of the squad when it names none."""
    if "athletes" not in raw:
        return squad or ()
    try:
        names: tuple[str, ...] = NAMES.read(raw["athletes"])
    except UnfitError as error:
        report.add(("athletes",), error, value=raw["athletes"])
        return ()
    by_name = {athlete.name: athlete for athlete in squad or ()}
    for place, name in enumerate(names):
        if name in names[:place]:
            report.add(
                ("athletes", place),
                UnfitError(f"{shown_value(name)} is named twice", remedy="take one out"),
            )
        elif squad is not None and name not in by_name:
            report.add(("athletes", place), _no_such_athlete(name, list(by_name)))
    return tuple(by_name[name] for name in names if name in by_name)


def _no_such_athlete(name: str, names: list[str]) -> UnfitError:
    folded = {each.casefold(): each for each in names}
    nearest = nearest_of(name, list(folded))
    return UnfitError(
        f"{shown_value(name)} is not in the squad",
        nearest=folded.get(nearest, ""),
        remedy="" if nearest else "write the name as the squad has it",
    )


def _check_adjustments(
    adjustments: Sequence[Any], squad: Sequence[Athlete], report: Report
) -> None:
    names = [athlete.name for athlete in squad]
    seen: set[str] = set()
    for place, each in enumerate(adjustments):
        at = ("adjust", place, "athlete")
        if names and each.athlete not in names:
            report.add(at, _no_such_athlete(each.athlete, names))
        elif each.athlete in seen:
            report.add(
                at,
                UnfitError(
                    f"{shown_value(each.athlete)} has two adjustments", remedy="make them one"
                ),
            )
        seen.add(each.athlete)


# -- tables of several kinds --------------------------------------------------------------------


def _read_kind(
    raw: Mapping[str, Any],
    path: tuple[str],
    kinds: Mapping[str, Record],
    report: Report,
    *,
    missing: bool,
) -> Value:
    """Return the object of a table whose `kind` says which record it follows."""
    (key,) = path
    known = ", ".join(f'"{kind}"' for kind in kinds)
    if key not in raw:
        if missing:
            first = next(iter(kinds))
            report.add(
                (), UnfitError(f"has no [{key}]", remedy=f'add [{key}] with kind = "{first}"')
            )
        return None
    table = raw[key]
    if not isinstance(table, dict):
        report.add(
            path, UnfitError(f"{shown_value(table)} is not a table", remedy=f"write [{key}]")
        )
        return None
    if "kind" not in table:
        report.add(path, UnfitError('has no "kind"', allowed=known))
        return None
    kind = table["kind"]
    if not isinstance(kind, str) or kind not in kinds:
        nearest = nearest_of(kind, list(kinds)) if isinstance(kind, str) else ""
        error = UnfitError(
            f"{shown_value(kind)} is not a known kind", allowed=known, nearest=nearest
        )
        report.add((*path, "kind"), error, value=kind)
        return None
    return read_record(kinds[kind], table, report, path)


def _read_ground(files: dict[str, _File], opener: Opener) -> Ground:
    file = files["plan"]
    table = file.raw.get("ground")
    if table is None:
        return UNMARKED
    if isinstance(table, dict) and "file" in table:
        for key in table:
            if key != "file":
                file.report.add(
                    ("ground", key),
                    UnfitError("stands beside file", remedy="keep the file, or the numbers here"),
                )
        source = _referred(file, ("ground", "file"), table["file"], opener)
        if source is None:
            return UNMARKED
        file = files["ground"] = _File(source, "ground", _GROUND_KEYS)
    ground: Ground = _read_kind(
        file.raw, ("ground",), GROUNDS, file.report, missing="ground" not in file.meant
    )
    return ground


def _referred(file: _File, path: tuple[str, ...], value: object, opener: Opener) -> Source | None:
    """Open a file that a plan names; None after noting why that cannot be."""
    try:
        relative = relative_name(value)
        target = file.source.path.parent / relative
        check_regular(target, value)
    except UnfitError as error:
        file.report.add(path, error, value=value)
        return None
    return opener(target, str(Path(file.source.shown).parent / relative))
