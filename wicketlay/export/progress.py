"""How athletes came along: a table for people, and JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wicketlay.export.document import estimate_document, report
from wicketlay.export.tables import columns
from wicketlay.review.progress import SPRINT_TO_M
from wicketlay.wording import word
from wicketlay.wording.progress import (
    BOARD,
    KNOWN,
    SPRINTS,
    board_cells,
    day_text,
    known_cells,
    rests_text,
    sprint_cells,
    sprints_text,
    summary,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wicketlay.findings import Finding
    from wicketlay.review.progress import BoardDay, Progress, Seen
    from wicketlay.units import UnitSystem


def progress_text(
    made: Progress, unit: UnitSystem, board: Sequence[BoardDay] = (), told: Finding | None = None
) -> str:
    """Return an athlete's way for the terminal."""
    rows = [(day_text(row), *known_cells(row, unit), *sprint_cells(row)) for row in made.rows]
    table = columns(("day", *KNOWN, *SPRINTS), rows)
    lines = (summary(made, unit), table, rests_text(made), sprints_text(made))
    at_board = "" if told is None else f"\nat the board\n{board_text(board, told, unit)}"
    return "\n".join(lines) + "\n" + at_board


def board_text(days: Sequence[BoardDay], told: Finding, unit: UnitSystem) -> str:
    """Return the record at the board for the terminal, and what it asks for."""
    table = columns(BOARD, [board_cells(each, unit) for each in days])
    return f"{table}\n{told.level.value}: {word(told, unit)}\n"


def board_document(days: Sequence[BoardDay], told: Finding, unit: UnitSystem) -> dict[str, Any]:
    """Return the record at the board as plain data, in SI."""
    return report(
        athlete=told.athlete,
        days=[_board(each) for each in days],
        code=told.code,
        values=dict(told.values),
        say=str(word(told, unit)),
    )


def _board(day: BoardDay) -> dict[str, Any]:
    return {
        "date": day.told.date.isoformat(),
        "misses_m": [round(each, 4) for each in day.told.misses_m],
        "slide_m": round(day.told.slide_m, 4),
        "place_m": {"value": round(day.known.place_m, 4), "sd": round(day.known.sd_m, 4)},
        "run_sd_m": round(day.known.run_sd_m, 4),
        "slide_after_m": round(day.slid_m, 4),
        "first_run_sd_m": round(day.known.first_run_sd_m, 4),
    }


def progress_document(
    all_made: Iterable[Progress], board: Mapping[str, Sequence[BoardDay]]
) -> dict[str, Any]:
    """Return the ways of athletes as plain data, in SI; `board` is their record at the board."""
    return report(
        athletes=[
            _athlete(each) | {"at_board": [_board(day) for day in board.get(each.athlete, ())]}
            for each in all_made
        ]
    )


def _athlete(made: Progress) -> dict[str, Any]:
    return {
        "athlete": made.athlete,
        "days": [
            {
                "date": None if row.date is None else row.date.isoformat(),
                "seen": [_seen(each) for each in row.seen],
                "top_speed_mps": estimate_document(row.top_speed),
                "top_speed_weight": round(row.speed_share, 4),
                "top_cadence_hz": estimate_document(row.top_cadence),
                "natural_gap_m": estimate_document(row.gap),
                "sprint_s": {
                    f"{to_m:g}": estimate_document(time)
                    for to_m, time in zip(SPRINT_TO_M, row.sprint, strict=True)
                },
            }
            for row in made.rows
        ],
        "time_constant_s": estimate_document(made.time_constant),
        "start_change_s": None
        if made.start_change_s is None
        else estimate_document(made.start_change_s),
        "top_speed_rests_on": _weights(made.speed_rests_on),
        "step_rests_on": _weights(made.step_rests_on),
    }


def _seen(seen: Seen) -> dict[str, Any]:
    return {
        "what": seen.what,
        "mean_speed_mps": None if seen.speed_mps is None else round(seen.speed_mps, 4),
        "held_share": seen.held_share,
    }


def _weights(shares: Iterable[tuple[str, float]]) -> list[dict[str, Any]]:
    return [{"what": what, "weight": round(share, 4)} for what, share in shares]
