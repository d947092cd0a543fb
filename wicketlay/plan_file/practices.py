"""A practice file: which plans are its stations, and what they share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.parts import MOST_STATIONS, SHARED, STATION
from wicketlay.keys.problems import PlanFileError
from wicketlay.keys.records import SubList, read_list, read_record, refuse_all
from wicketlay.plan_file.files import open_plan
from wicketlay.plan_file.one_file import OneFile
from wicketlay.plan_file.references import check_regular, relative_name
from wicketlay.plan_file.source import parse, read_source
from wicketlay.stations import Practice, Shared, Station, StationKeys
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from pathlib import Path

    from wicketlay.plan_file.files import PlanFile

KIND = "practice"
_KEYS = ["format", "kind", "title", "date", "practice", "station"]
_STATIONS = SubList(record=STATION, most=MOST_STATIONS)


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeFile:
    """A practice and the plan files of its stations, in the same order."""

    practice: Practice
    files: tuple[PlanFile, ...]


def kind_of(path: Path) -> object:
    """Return what a file says it is; one that cannot be read says nothing."""
    try:
        return parse(read_source(path, str(path))).get("kind")
    except PlanFileError:
        return None


def is_practice(path: Path) -> bool:
    """Return whether a file says that it is a practice."""
    return kind_of(path) == KIND


def open_practice(path: Path) -> PracticeFile:
    """Read a practice and the plans of its stations.

    Raises
    ------
    PlanFileError
        With every problem of the practice file, else of the first plan that has some.
    """
    file = OneFile(read_source(path, str(path)), KIND, _KEYS)
    raw, report = file.raw, file.report
    plain = {"title": path.stem, "date": None} | file.plain()
    shared = read_record(SHARED, raw[KIND], report, (KIND,)) if KIND in raw else Shared()
    named: tuple[StationKeys, ...] | None = None
    if "station" in raw:
        named = read_list(_STATIONS, raw["station"], report, ("station",))
    elif "station" not in file.meant:
        report.tell((), "has no stations", remedy='add [[station]] with plan = "…"')
    for place, each in enumerate(named or ()):
        try:
            check_regular(path.parent / relative_name(each.plan), each.plan)
        except UnfitError as error:
            report.add(("station", place, "plan"), error, value=each.plan)
    refuse_all(report)
    files = tuple(open_plan(path.parent / each.plan) for each in named or ())
    stations = tuple(
        Station(plan=opened.plan, begins_s=each.begins_s)
        for each, opened in zip(named or (), files, strict=True)
    )
    practice = Practice(shared=shared or Shared(), stations=stations, **plain)
    return PracticeFile(practice=practice, files=files)
