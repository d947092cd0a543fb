"""Who is in the squad, in the plan or in a file of its own, and who of them runs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wicketlay.keys.athletes import ATHLETE, MOST_ATHLETES
from wicketlay.keys.codecs import Many, Text, UnfitError
from wicketlay.keys.problems import nearest_of, shown_value
from wicketlay.keys.records import SubList, read_list
from wicketlay.plan_file.one_file import OneFile, referred

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.keys.records import Report
    from wicketlay.plan import Adjustment
    from wicketlay.plan_file.one_file import Opener
    from wicketlay.running.athlete import Athlete

NAMES = Many(member=Text(), least=1, most=MOST_ATHLETES)
_ATHLETES = SubList(record=ATHLETE, most=MOST_ATHLETES)
_SQUAD_KEYS = ["format", "kind", "title", "athlete"]


def read_squad(files: dict[str, OneFile], opener: Opener) -> tuple[Athlete, ...] | None:
    """Return all athletes of the plan's squad file and of the plan; None after noting problems.

    A squad file is added to `files`. Who stands in the plan beside it is a guest, last in order.
    """
    file = files["plan"]
    named = "squad" in file.raw
    if named:
        source = referred(file, ("squad",), file.raw["squad"], opener)
        if source is None:
            return None
        files["squad"] = OneFile(source, "squad", _SQUAD_KEYS)
    found: list[Athlete] = []
    names: list[str] = []
    readable = True
    for role in ("squad", "plan") if named else ("plan",):
        each = files[role]
        if "athlete" not in each.raw:
            meant = each.meant & ({"athlete"} if named else {"athlete", "squad"})
            if role == "plan" and _holds_tables(each.raw.get("athletes")):
                meant.add("athlete")  # `chosen` says so
            if role == "plan" and named and not meant:
                continue
            if not meant:
                remedy = "add [[athlete]] with name and height"
                if role == "plan":
                    remedy = 'add squad = "my-squad.toml", or [[athlete]] with name and height'
                each.report.tell((), "has no athletes", remedy=remedy)
            readable = False
            continue
        athletes = read_list(_ATHLETES, each.raw["athlete"], each.report, ("athlete",))
        if athletes is None:
            readable = False
            continue
        own = [athlete.name for athlete in athletes]
        _check_names(own, names, each.report)
        found += athletes
        names += own
    return tuple(found) if readable else None


def _holds_tables(athletes: object) -> bool:
    """Return whether athletes stand where their names belong."""
    return isinstance(athletes, list) and any(isinstance(each, dict) for each in athletes)


def _check_names(names: Sequence[str], squad: Sequence[str], report: Report) -> None:
    """Note names that are there twice, or that a guest has of somebody in the squad."""
    seen = {name.casefold(): "somebody in the squad" for name in squad}
    for place, name in enumerate(names):
        other = seen.setdefault(name.casefold(), f"athlete {place + 1}")
        if other != f"athlete {place + 1}":
            report.tell(
                ("athlete", place, "name"),
                f"{shown_value(name)} is the name of {other} too",
                remedy="add an initial",
            )


def chosen(
    squad: tuple[Athlete, ...] | None, raw: Mapping[str, Any], report: Report
) -> tuple[Athlete, ...]:
    """Return the athletes a plan names, all of the squad when it names none."""
    if "athletes" not in raw:
        return squad or ()
    if _holds_tables(raw["athletes"]):
        error = UnfitError("holds tables and no names", remedy="write [[athlete]] above each")
        report.add(("athletes",), error)
        return ()
    try:
        names: tuple[str, ...] = NAMES.read(raw["athletes"])
    except UnfitError as error:
        report.add(("athletes",), error, value=raw["athletes"])
        return ()
    by_name = {athlete.name: athlete for athlete in squad or ()}
    for place, name in enumerate(names):
        if name in names[:place]:
            report.tell(
                ("athletes", place), f"{shown_value(name)} is named twice", remedy="take one out"
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


def check_adjustments(
    adjustments: Sequence[Adjustment], squad: Sequence[Athlete], report: Report
) -> None:
    """Note adjustments of who is not in the squad, and second ones of who is."""
    names = [athlete.name for athlete in squad]
    seen: set[str] = set()
    for place, each in enumerate(adjustments):
        at = ("adjust", place, "athlete")
        if names and each.athlete not in names:
            report.add(at, _no_such_athlete(each.athlete, names))
        elif each.athlete in seen:
            report.tell(
                at, f"{shown_value(each.athlete)} has two adjustments", remedy="make them one"
            )
        seen.add(each.athlete)
