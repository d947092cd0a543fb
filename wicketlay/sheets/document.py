"""From a solved plan to the sheets that were asked for, in printing order."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from wicketlay import edits
from wicketlay.errors import UsageError
from wicketlay.findings import Finding, Level
from wicketlay.sheets.change_card import change_card
from wicketlay.sheets.coach import coach_sheet
from wicketlay.sheets.ground import ground_sheet
from wicketlay.sheets.page.fonts import missing
from wicketlay.sheets.page.furniture import stop_pages
from wicketlay.sheets.page.layout import paper_named
from wicketlay.sheets.page.model import Document, Sheet
from wicketlay.sheets.progress import days_of, progress_sheet
from wicketlay.sheets.session import session_sheet
from wicketlay.sheets.setting import PlanSetting, Setting, series_of
from wicketlay.sheets.squad import squad_sheet
from wicketlay.sheets.stages import stages_sheet
from wicketlay.sheets.tape import tape_sheet
from wicketlay.solve import Solved, solve
from wicketlay.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from wicketlay.findings import Value
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.solve import Laying

KINDS = ("tape", "coach", "card", "ground", "stages", "squad", "session", "progress")
"""The sheets there are, in the order in which people need them."""


def make_pages(
    solved: Solved,
    *,
    only: Sequence[str] | None = None,
    paper: str = "a4",
    unit: UnitSystem | str | None = None,
    athlete: str | None = None,
) -> Document:
    """Return the sheets of a solved plan; they are made one by one as the document is read.

    Parameters
    ----------
    solved
        What was solved.
    only
        Which sheets: some of `KINDS`. None, or all of them, prints those that tell something:
        those of each laying always, stages when the plan has them, squad and session when more
        than one athlete runs, progress for those whose record has two days or more.
    paper
        "a4", "letter" or "a5".
    unit
        Metric or feet; None takes the tape's own. Another unit than the tape's is solved again
        with a tape of that unit, since a reading is rounded once, to its own ticks.
    athlete
        Only the layings this athlete runs on, and only their coach sheet.

    Raises
    ------
    UsageError
        When a sheet, the paper or the athlete is not there.
    """
    kinds = tuple(KINDS if only is None else only)
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown:
        message = f'sheet "{unknown[0]}" is unknown; it must be one of {", ".join(KINDS)}'
        raise UsageError(message)
    size = paper_named(paper)
    solved = in_unit(solved, unit)
    tick = solved.plan.tape.tick
    shown = UnitSystem.METRIC if tick.metric else UnitSystem.FEET
    layings = _layings(solved, athlete)
    found = unprintable(solved, layings)
    printed = replace(solved, findings=(*solved.findings, *found))
    makers: list[Callable[[], Sheet]] = []
    stops = [f for f in solved.findings if f.level is Level.STOP]
    if athlete is not None:
        stops = [f for f in stops if f.athlete in {None, athlete}]
    if stops:
        makers.append(partial(_stop_sheet, printed, stops, size, shown))
    series = series_of(printed)
    for laying in layings:
        setting = Setting(solved=printed, series=series, laying=laying, paper=size, unit=shown)
        makers += _sheets_of(setting, kinds, athlete)
    whole = PlanSetting(solved=printed, layings=layings, paper=size, unit=shown)
    makers += _sheets_of_plan(whole, kinds, athlete, asked=set(kinds) != set(KINDS))
    return Document(title=solved.plan.title or "wicketlay", makers=tuple(makers), findings=found)


def in_unit(solved: Solved, unit: UnitSystem | str | None) -> Solved:
    """Return what was solved with a tape in `unit`, solving again when it is another."""
    if unit is None:
        return solved
    plan = edits.in_unit(solved.plan, metric=UnitSystem(unit) is UnitSystem.METRIC)
    return solved if plan is solved.plan else solve(plan)


def _layings(solved: Solved, athlete: str | None) -> tuple[Laying, ...]:
    """Return the layings to print: of the stage the plan is at, and of one athlete if asked."""
    stages = solved.plan.stages
    now = [each for each in solved.layings if stages is None or each.stage == stages.now]
    if athlete is None:
        return tuple(now)
    known = [each.name for each in solved.plan.athletes]
    if athlete not in known:
        message = f'athlete "{athlete}" is not in the plan; it has {", ".join(known)}'
        raise UsageError(message)
    return tuple(each for each in now if athlete in each.athletes)


def _sheets_of(
    setting: Setting, only: Sequence[str], athlete: str | None
) -> list[Callable[[], Sheet]]:
    makers: list[Callable[[], Sheet]] = []
    if "tape" in only:
        makers.append(partial(tape_sheet, setting))
    if "coach" in only:
        makers += [
            partial(coach_sheet, setting, demand)
            for demand in setting.laying.demands
            if athlete in {None, demand.athlete.name}
        ]
    has_gaps = any(demand.appraisal is not None for demand in setting.laying.demands)
    if "card" in only and has_gaps:
        makers.append(partial(change_card, setting))
    if "ground" in only:
        makers.append(partial(ground_sheet, setting))
    return makers


def _sheets_of_plan(
    whole: PlanSetting, kinds: Sequence[str], athlete: str | None, *, asked: bool
) -> list[Callable[[], Sheet]]:
    """Return the sheets of the plan as a whole; `asked` prints what tells little as well."""
    makers: list[Callable[[], Sheet]] = []
    plan = whole.solved.plan
    running = [name for laying in whole.layings for name in laying.athletes]
    if "stages" in kinds and plan.stages is not None:
        makers += [partial(stages_sheet, whole, series) for series in _series(whole)]
    several = (asked or len(running) > 1) and athlete is None and running
    if "squad" in kinds and several:
        makers.append(partial(squad_sheet, whole))
    if "session" in kinds and several:
        makers.append(partial(session_sheet, whole))
    if "progress" in kinds:
        shown = running if athlete is None else [athlete]
        least = 1 if asked else 2
        makers += [
            partial(progress_sheet, whole, each)
            for each in plan.athletes
            if each.name in shown and len(days_of(each)) >= least
        ]
    return makers


def _series(whole: PlanSetting) -> list[tuple[Laying, ...]]:
    """Return the layings of all stages of each lane and wave that is printed."""
    return [
        tuple(
            each
            for each in whole.solved.layings
            if (each.lane, each.wave) == (laying.lane, laying.wave)
        )
        for laying in whole.layings
    ]


def _stop_sheet(solved: Solved, stops: Sequence[Finding], paper: Paper, unit: UnitSystem) -> Sheet:
    pages = stop_pages(solved.plan.title, stops, paper, unit)
    return Sheet(kind="stop", group="do not lay out", title="what stops it", pages=pages)


def unprintable(solved: Solved, layings: Iterable[Laying]) -> tuple[Finding, ...]:
    """Return a caution for each text of the plan with characters that no face has."""
    texts: list[tuple[str, str, str | None]] = [("the title", solved.plan.title, None)]
    texts += [("the name", each.name, each.name) for each in solved.plan.athletes]
    for laying in layings:
        texts.append(("the place", laying.placed.line_text, None))
        texts += [
            ("the fixed point", point.landmark.text, None) for point in laying.placed.fixed_points
        ]
    found = []
    for where, text, athlete in dict.fromkeys(texts):
        lacking = missing(text)
        if lacking:
            names = ", ".join(character_name(character) for character in lacking)
            values: dict[str, Value] = {"where": where, "text": text, "characters": names}
            found.append(
                Finding(
                    level=Level.CAUTION,
                    code="character-not-printable",
                    values=values,
                    athlete=athlete,
                )
            )
    return tuple(found)


def character_name(character: str) -> str:
    """Return what a character is called: U+65E5 CJK UNIFIED IDEOGRAPH-65E5."""
    return f"U+{ord(character):04X} {unicodedata.name(character, 'without a name')}"
