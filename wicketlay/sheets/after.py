"""The sheet after practice: what was run, what changes next time, a sentence for each athlete."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from wicketlay.board_misses import runs_to_board
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.lanes.closing import gap_shown_m, run_on_shown_m
from wicketlay.reviewing import own_laying
from wicketlay.sheets.document import unprintable
from wicketlay.sheets.furniture import as_sentence, athlete_column, heading, page_frame
from wicketlay.sheets.page.flow import paginate, paragraph, space
from wicketlay.sheets.page.layout import paper_named
from wicketlay.sheets.page.model import Align, Document, Role, Sheet
from wicketlay.sheets.page.tables import Column, only, style_for, text_table
from wicketlay.sheets.stamp import stamped
from wicketlay.wording.names import shown_text
from wicketlay.wording.runs import RESULTS, board_legend, notes, result_row, sentence
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from wicketlay.after_practice import Day
    from wicketlay.sheets.page.flow import Block, Table
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.solve import Solved
    from wicketlay.units import UnitSystem

LEGEND = "- not timed, * a wicket hit, ! stumbled, ? no time: shown, and not learnt from."


def after_document(day: Day, paper: str = "a4") -> Document:
    """Return the sheet of a day as a document of its own.

    Parameters
    ----------
    day
        The day.
    paper
        "a4", "letter", "a5" or "phone".
    """
    plan, on = day.before.plan, paper_named(paper)
    return Document(
        title=f"{plan.title or 'wicketlay'}, {day.day.isoformat()}",
        makers=(partial(stamped, partial(after_sheet, day, on), on, (1, 1), day.before.layings),),
        findings=unprintable(day.before, ()),
    )


def after_sheet(day: Day, paper: Paper) -> Sheet:
    """Return the sheet of a day."""
    solved = day.before
    unit = unit_of(solved.plan)
    parts: list[Block | Table] = [
        _results(day, paper, unit),
        paragraph(_legend(day, paper, unit), Role.BODY, paper, small=True, above_mm=1.0),
        space(3.0),
        *_next_time(day, paper, unit),
        heading("To say", paper),
        _said(day, paper, unit),
    ]
    lines = notes(day.outcomes, unit)
    if lines:
        parts += [space(3.0), heading("To look at", paper)]
        parts += [paragraph(as_sentence(line), Role.BODY, paper, small=True) for line in lines]
    title = solved.plan.title or "plan"
    frame = page_frame(paper, f"AFTER PRACTICE · {day.day}", title, "after-practice sheet")
    pages = paginate(parts, frame)
    return Sheet(kind="after", group="after practice", title="after practice", pages=pages)


_HEADS = {
    "best": "best, s",
    "mean": "mean, s",
    "SD": "± SD, s",
    "expected": "expected, s",
    "cadence": "steps/s seen",
    "asked": "steps/s asked",
    "gaps": "gaps next time",
}


_LEAST_MM = {"athlete": 22.0, "marks": 12.0, "runs": 26.0, "record": 14.0}
"""Columns of words, and the least they take."""
_LEFT_OUT = frozenset({"marks", "SD", "difference"})
"""What small paper has no room for; between which marks it was timed stands below."""


def _results(day: Day, paper: Paper, unit: UnitSystem) -> Table:
    shown = [i for i, name in enumerate(RESULTS) if not (paper.compact and name in _LEFT_OUT)]
    columns = [
        Column(
            title=_HEADS.get(name, name),
            share=1.0 if name == "runs" else 0.1,
            align=Align.LEFT if name in _LEAST_MM else Align.RIGHT,
            strong=name in {"athlete", "mean"},
            wraps=name in {"athlete", "runs"} or (paper.compact and name in _LEAST_MM),
            least_mm=_LEAST_MM.get(name, 0.0),
        )
        for name in RESULTS
    ]
    rows = [result_row(each, unit) for each in day.outcomes]
    return text_table(paper, *only(shown, columns, rows), style_for(paper, fives=False))


def _legend(day: Day, paper: Paper, unit: UnitSystem) -> str:
    board = f" {board_legend(unit)}." if runs_to_board(day.before.plan) else ""
    told = f"{LEGEND}{board}"
    if not paper.compact:
        return told
    at = RESULTS.index("marks")
    marks = dict.fromkeys(result_row(each, unit)[at] for each in day.outcomes)
    return f"Timed {', '.join(filter(None, marks)) or 'nowhere'}. {told}"


def _next_time(day: Day, paper: Paper, unit: UnitSystem) -> list[Block | Table]:
    """Return the marks of those for whom they change, as they lay and as they will."""
    after = day.after()
    rows: list[tuple[str, ...]] = []
    same = []
    for each in day.outcomes:
        was, will = (_marks(solved, each.athlete, unit) for solved in (day.before, after))
        if was == will:
            same.append(each.athlete)
        else:
            rows += [(each.athlete, "today", *was), ("", "next time", *will)]
    parts: list[Block | Table] = [heading("What changes next time", paper)]
    shared = any(row[-1] for row in rows)
    if rows:
        columns = (
            athlete_column(24.0),
            Column(title="", align=Align.LEFT, share=0.1),
            Column(title="wickets", share=0.1),
            *(Column(title=title, share=0.2) for title in ("first gap", "last gap", "run-on")),
            *([Column(title="shares with", align=Align.LEFT, wraps=True, share=0.3)] * shared),
        )
        ends = list(range(1, len(rows), 2))
        cells = [row[: len(columns)] for row in rows]
        parts.append(text_table(paper, columns, cells, style_for(paper, fives=False), ends=ends))
    if shared:
        parts.append(paragraph(_OF_SHARED, Role.BODY, paper, small=True, above_mm=1.0))
    if same:
        text = f"The same marks: {', '.join(same)}."
        parts.append(paragraph(text, Role.BODY, paper, above_mm=1.0))
    return [*parts, space(3.0)]


_OF_SHARED = (
    "Wickets that several share stand between the gaps of each; the sentences and the column of "
    "gaps next time tell of the athlete's own."
)


def _marks(solved: Solved, who: str, unit: UnitSystem) -> tuple[str, str, str, str, str]:
    """Return an athlete's marks in short: wickets, first and last gap, run-on, who shares them."""
    try:
        laying, demand = own_laying(solved, who)
    except DomainError:
        return ("none laid", "", "", "", "")
    wickets = laying.layout.of_kind(MarkKind.WICKET)
    gaps = [shown for mark in wickets if (shown := gap_shown_m(laying, mark.id)) is not None]
    first_m, last_m = (gaps[0], gaps[-1]) if gaps else (None, None)
    return (
        str(len(wickets) or ""),
        shown_text(first_m, unit),
        shown_text(last_m, unit),
        shown_text(run_on_shown_m(laying, demand.start_id), unit),
        ", ".join(name for name in laying.athletes if name != who and wickets),
    )


def _said(day: Day, paper: Paper, unit: UnitSystem) -> Table:
    columns = (
        athlete_column(24.0),
        Column(title="sentence", align=Align.LEFT, wraps=True, least_mm=60.0, share=1.0),
    )
    rows = [(each.athlete, as_sentence(sentence(each, unit))) for each in day.outcomes]
    return text_table(paper, columns, rows, style_for(paper, fives=False))
