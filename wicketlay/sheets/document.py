"""From a solved plan to the sheets that were asked for, in printing order."""

from __future__ import annotations

import unicodedata
from functools import partial
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError
from wicketlay.findings import Finding, Level
from wicketlay.sheets.furniture import banner, page_frame
from wicketlay.sheets.page.flow import paginate
from wicketlay.sheets.page.fonts import missing, number_of
from wicketlay.sheets.page.layout import Pen, paper_named
from wicketlay.sheets.page.model import Align, Document, Role, Sheet
from wicketlay.sheets.setting import PlanSetting, Setting, laid_events, series_of
from wicketlay.sheets.stamp import stamped
from wicketlay.sheets.tape import tape_sheet
from wicketlay.values import dataclass, replace
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterable, Sequence

    from wicketlay.sheets.page.layout import Paper
    from wicketlay.solve import Laying, Solved

KINDS = (
    *("tape", "practice", "card", "stages"),
    *("coach", "ground", "squad", "session", "progress"),
)
"""The sheets there are, in the order in which they are printed."""
USUAL = KINDS[:4]
"""What a practice needs: the assistant's packet, the tape sheets, then the coach's."""


def make_pages(
    solved: Solved,
    *,
    only: Sequence[str] | None = None,
    paper: str = "a4",
    athlete: str | None = None,
) -> Document:
    """Return the sheets of a solved plan; they are made one by one as the document is read.

    They are told in the unit of the plan's tape, since a reading is rounded once, to its ticks.

    Parameters
    ----------
    solved
        What was solved.
    only
        Which sheets: some of `KINDS`; None prints the `USUAL` ones. Of all of them those are
        printed that tell something: stages when the plan has them, squad and session when more
        than one athlete runs, progress for those whose record has two days or more.
    paper
        "a4", "letter", "a5" or "phone".
    athlete
        Only the layings this athlete runs on, and only their coach sheet.

    Raises
    ------
    UsageError
        When a sheet, the paper or the athlete is not there.
    """
    kinds = tuple(USUAL if only is None else only)
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown:
        raise UsageError(f'sheet "{unknown[0]}" is unknown; it must be one of {", ".join(KINDS)}')
    size = paper_named(paper)
    packets = packets_of(solved, kinds, size, athlete)
    return numbered([packets], size, solved.plan.title, solved.plan.date)


@dataclass(frozen=True, slots=True, kw_only=True)
class Packets:
    """The sheets of a plan by role, not yet numbered.

    Parameters
    ----------
    assistants, coachs
        What makes them, in printing order.
    findings
        What making the paper found.
    """

    assistants: tuple[Made, ...] = ()
    coachs: tuple[Made, ...] = ()
    findings: tuple[Finding, ...] = ()


def packets_of(
    solved: Solved,
    kinds: Sequence[str],
    paper: Paper,
    athlete: str | None = None,
    *,
    alone: bool = True,
    own_bag: bool = True,
) -> Packets:
    """Return the sheets of a plan in its own unit; `alone` False where others share its hour.

    Where they share its bag, too, nobody can tell what is left in it.

    Raises
    ------
    UsageError
        When the athlete is not there.
    """
    shown = unit_of(solved.plan)
    layings = _layings(solved, athlete)
    found = unprintable(solved, layings)
    printed = replace(solved, findings=(*solved.findings, *found))
    series = series_of(printed, own_bag=own_bag)
    settings = [
        Setting(solved=printed, series=series, laying=laying, paper=paper, unit=shown)
        for laying in _as_laid(solved, layings)
    ]
    whole = PlanSetting(
        solved=printed, layings=layings, paper=paper, unit=shown, athlete=athlete, alone=alone
    )
    return Packets(
        assistants=(*_stops(whole), *_assistants(settings, kinds)),
        coachs=(*_coachs(whole, settings, kinds), *_explaining(whole, settings, kinds)),
        findings=found,
    )


def numbered(
    packets: Sequence[Packets], paper: Paper, title: str, date: dt.date | None
) -> Document:
    """Return packets as one: the assistant's sheets, then the coach's, counted through."""
    assistants = (made for each in packets for made in each.assistants)
    made = [*assistants, *(made for each in packets for made in each.coachs)]
    makers = tuple(
        partial(stamped, make, paper, (number, len(made)), told)
        for number, (make, told) in enumerate(made, start=1)
    )
    return Document(
        title=title or "wicketlay",
        makers=makers,
        findings=tuple(finding for each in packets for finding in each.findings),
        blank=None if paper.screen else partial(_blank_sheet, paper),
        date=date,
    )


Made = tuple["Callable[[], Sheet]", "tuple[Laying, ...]"]
"""What makes a sheet, and the layings whose readings it shows."""


def _as_laid(solved: Solved, layings: Sequence[Laying]) -> list[Laying]:
    """Return layings in the order in which the timetable lays them."""
    laid = [(each.lane, each.wave) for each in laid_events(solved)]
    order = {place: index for index, place in reversed(list(enumerate(laid)))}
    return sorted(layings, key=lambda each: order.get((each.lane, each.wave), len(order)))


def _stops(whole: PlanSetting) -> list[Made]:
    """Return the page of what stops the plan and stands on no page of a laying."""
    solved = whole.solved
    told = [f for laying in whole.layings for f in solved.findings_on(laying)]
    stops = [f for f in solved.findings if f.level is Level.STOP and f not in told]
    if whole.athlete is not None:
        stops = [f for f in stops if f.athlete in {None, whole.athlete}]
    return [(partial(_stop_sheet, whole, stops), ())] if stops else []


def _assistants(settings: Sequence[Setting], kinds: Sequence[str]) -> list[Made]:
    """Return the assistant's packet: a tape sheet a laying, or why it must not be laid."""
    return [
        (partial(tape_sheet, each), () if each.stopped else (each.laying,))
        for each in settings
        if "tape" in kinds or (each.stopped and set(kinds) & _OF_A_LANE)
    ]


_OF_A_LANE = frozenset({"tape", "practice", "card", "stages", "coach", "ground"})
"""The sheets of which nothing is printed for a laying that must not be laid, but why."""


def _coachs(whole: PlanSetting, settings: Sequence[Setting], kinds: Sequence[str]) -> list[Made]:
    """Return the coach's packet: the practice on a page, change cards two a page, the stages."""
    made: list[Made] = []
    laid = tuple(each.laying for each in settings if not each.stopped)
    cards = [each for each in settings if each.has_card] if "card" in kinds else []
    if "practice" in kinds and laid:
        from wicketlay.sheets.practice import practice_sheet

        one = cards.pop() if len(settings) == 1 and cards else None
        made.append((partial(practice_sheet, whole, settings, one), laid))
    if cards:
        from wicketlay.sheets.change_card import CARDS_A_PAGE, change_cards

        together = 1 if whole.paper.screen else CARDS_A_PAGE
        for first in range(0, len(cards), together):
            pair = cards[first : first + together]
            made.append((partial(change_cards, pair), tuple(each.laying for each in pair)))
    if "stages" in kinds and whole.solved.plan.stages is not None:
        from wicketlay.sheets.stages import stages_sheet

        for each in settings:
            if not each.stopped:
                here = (each.laying.lane, each.laying.wave)
                series = tuple(o for o in whole.solved.layings if (o.lane, o.wave) == here)
                made.append((partial(stages_sheet, whole, series), series))
    return made


def _explaining(
    whole: PlanSetting, settings: Sequence[Setting], kinds: Sequence[str]
) -> list[Made]:
    """Return what explains: an athlete's pages, the ground, and those of the plan as a whole."""
    made: list[Made] = []
    for each in settings:
        if each.stopped:
            continue
        here = (each.laying,)
        if "coach" in kinds:
            from wicketlay.sheets.coach import coach_sheet

            made += [
                (partial(coach_sheet, each, demand), here)
                for demand in each.laying.demands
                if whole.athlete in {None, demand.athlete.name}
            ]
        if "ground" in kinds:
            from wicketlay.sheets.ground import ground_sheet

            made.append((partial(ground_sheet, each), here))
    laid = tuple(each.laying for each in settings if not each.stopped)
    running = [name for laying in whole.layings for name in laying.athletes]
    asked = not set(kinds) >= set(KINDS)
    several = (asked or len(running) > 1) and whole.athlete is None and running
    if "squad" in kinds and several:
        from wicketlay.sheets.squad import squad_sheet

        made.append((partial(squad_sheet, whole), laid))
    if "session" in kinds and several:
        from wicketlay.sheets.session import session_sheet

        made.append((partial(session_sheet, whole), laid))
    if "progress" in kinds:
        from wicketlay.sheets.progress import days_of, progress_sheet

        shown = running if whole.athlete is None else [whole.athlete]
        least = 1 if asked else 2
        made += [
            (partial(progress_sheet, whole, each), laid)
            for each in whole.solved.plan.athletes
            if each.name in shown and len(days_of(each)) >= least
        ]
    return made


def _blank_sheet(paper: Paper) -> Sheet:
    """Return a page that keeps the coach's pages off the back of the assistant's."""
    pen = Pen(paper=paper)
    text = "Left blank: what follows begins on paper of its own."
    pen.text(paper.column_mm(0.5), paper.height_mm / 2, text, Role.BODY, align=Align.CENTRE)
    return Sheet(kind="blank", group="blank", title="blank page", pages=(pen.page(),))


def _layings(solved: Solved, athlete: str | None) -> tuple[Laying, ...]:
    """Return the layings to print: of the stage the plan is at, and of one athlete if asked."""
    now = [each for each in solved.layings if each.stage == solved.plan.stage]
    if athlete is None:
        return tuple(now)
    known = [each.name for each in solved.plan.athletes]
    if athlete not in known:
        raise UsageError(f'athlete "{athlete}" is not in the plan; it has {", ".join(known)}')
    return tuple(each for each in now if athlete in each.athletes)


def _stop_sheet(whole: PlanSetting, stops: Sequence[Finding]) -> Sheet:
    """Return the sheet that says why nothing is laid out for somebody."""
    title = whole.solved.plan.title or "Plan"
    frame = page_frame(whole.paper, title, title, "stop")
    pages = paginate(banner(stops, whole.paper, whole.unit), frame)
    return Sheet(kind="stop", group="do not lay out", title="what stops it", pages=pages)


def unprintable(solved: Solved, layings: Iterable[Laying]) -> tuple[Finding, ...]:
    """Return a caution for each text of the plan with characters that no face has."""
    texts: list[tuple[str, str, str | None]] = [("the title", solved.plan.title, None)]
    texts += [("the name", each.name, each.name) for each in solved.plan.athletes]
    for laying in layings:
        texts.append(("the place", laying.placed.line_text, None))
        texts += [("the fixed point", point.landmark.text, None) for point in laying.zero_points]
    found = []
    for where, text, athlete in dict.fromkeys(texts):
        lacking = missing(text)
        if lacking:
            names = ", ".join(character_name(character) for character in lacking)
            code = "character-not-printable"
            found.append(Finding.caution(code, athlete, where=where, text=text, characters=names))
    return tuple(found)


def character_name(character: str) -> str:
    """Return what a character is called: U+65E5 CJK UNIFIED IDEOGRAPH-65E5."""
    return f"U+{number_of(character)} {unicodedata.name(character, 'without a name')}"
