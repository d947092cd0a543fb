"""What misses at the board tell of a plan's runs, and the slide of all marks they ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills import AtLine
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.running.at_board import at_board
from wicketlay.solve.roster import steps_of
from wicketlay.sources import LONG_SLIDE_M
from wicketlay.values import replace

if TYPE_CHECKING:
    from wicketlay.findings import Value
    from wicketlay.plan import Plan
    from wicketlay.running.at_board import AtBoard
    from wicketlay.running.athlete import Athlete
    from wicketlay.running.facts import BoardMisses

SLIDE = "board-slide"
"""How the code of a finding begins that asks for a slide."""

_SAME_M = 0.005
"""Misses are noted to a centimetre."""


def slide_of(plan: Plan, athlete: str) -> float:
    """Return by how much all marks of an athlete are slid [m], the place's slide and their own."""
    return round(plan.place.slide_m + plan.adjustment(athlete).slide_m, 6)


def runs_to_board(plan: Plan) -> bool:
    """Return whether a plan's runs end at a board."""
    return isinstance(plan.drill, AtLine)


def board_of(plan: Plan, athlete: str) -> AtBoard | None:
    """Return what an athlete's misses tell on the day of the plan; None without any."""
    return at_board(plan.known(athlete).at_board, plan.judgement, today=plan.date)


def slide_told(plan: Plan, athlete: str) -> Finding | None:
    """Return by how much to slide all marks of an athlete, or why not; None without a miss.

    Where the runway then holds another number of steps, that is told.
    """
    known = board_of(plan, athlete) if runs_to_board(plan) else None
    if known is None:
        return None
    slide_m = slide_of(plan, athlete)
    by_m, miss_m = known.slide_by_m(slide_m), known.miss_m(slide_m)
    values: dict[str, Value] = {
        "runs": known.runs,
        "days": known.days,
        "miss_move_m": abs(miss_m),
        "side": "over" if miss_m > 0.0 else "short",
        "sd_move_m": known.sd_m,
    }
    level, code = Level.NOTE, "board-no-slide" if round(miss_m, 2) else "board-at-its-place"
    if known.too_far(slide_m):
        level, code = Level.CAUTION, "board-too-far"
        values["limit_m"] = float(LONG_SLIDE_M)
    elif by_m is not None:
        code = SLIDE
        values |= {"by_move_m": abs(by_m), "way": "forward" if by_m > 0.0 else "back"}
        was, then = _steps(plan, athlete, by_m)
        if was != then:
            level, code = Level.CAUTION, f"{SLIDE}-{'fewer' if then < was else 'more'}-steps"
            values |= {"steps": was, "then_steps": then}
    return Finding.of(code, level, athlete, **values)


def slide_taken(plan: Plan, athlete: str) -> Plan:
    """Return the plan with all marks of an athlete slid as their misses ask for.

    Raises
    ------
    DomainError
        When they ask for no slide, or for one of more than a slide mends.
    """
    known = board_of(plan, athlete) if runs_to_board(plan) else None
    slide_m = slide_of(plan, athlete)
    by_m = None if known is None else known.slide_by_m(slide_m)
    if known is None or by_m is None or known.too_far(slide_m):
        why = (
            "no miss at the board is known"
            if known is None
            else f"the misses tell of more than a slide of {float(LONG_SLIDE_M):g} m mends; check "
            "the count of steps"
            if by_m is not None
            else "the misses are within their error"
        )
        raise DomainError(f"{athlete}: there is no slide to take, {why}")
    return _slid(plan, athlete, by_m)


def _steps(plan: Plan, athlete: str, by_m: float) -> tuple[int, int]:
    """Return the steps of a run as it is and slid by so much; 0, 0 where one cannot be laid."""
    try:
        return steps_of(plan, athlete), steps_of(_slid(plan, athlete, by_m), athlete)
    except DomainError:
        return 0, 0


def _slid(plan: Plan, athlete: str, by_m: float) -> Plan:
    own = plan.adjustment(athlete)
    return plan.with_adjustment(replace(own, slide_m=round(own.slide_m + by_m, 2)))


def with_misses(plan: Plan, athlete: str, told: BoardMisses) -> Plan:
    """Return the plan with misses in an athlete's record; what is there already counts once.

    A day that is told again, whole or in part, adds what is new in it.

    Raises
    ------
    DomainError
        When the plan's runs end at no board, or all of it is in the record already.
    """
    if not runs_to_board(plan):
        raise DomainError(
            f"misses at the board are of take-off runs; this plan's drill is a {plan.drill.noun}"
        )
    known = plan.known(athlete)
    record = with_misses_of(known, told)
    if record is known:
        raise DomainError(
            f"{athlete}: these misses of {told.date.isoformat()} are in the record already; one "
            "run teaches once. Give all runs of a day together"
        )
    return plan.with_known(record)


def with_misses_of(athlete: Athlete, told: BoardMisses) -> Athlete:
    """Return an athlete with misses in the record; the same one when they are there already."""

    def same(each: BoardMisses) -> bool:
        return each.date == told.date and abs(each.slide_m - told.slide_m) < _SAME_M

    there = [miss_m for each in athlete.at_board if same(each) for miss_m in each.misses_m]
    left = list(there)
    new = []
    for miss_m in told.misses_m:
        twin = next((each for each in left if abs(each - miss_m) < _SAME_M), None)
        if twin is None:
            new.append(miss_m)
        else:
            left.remove(twin)
    if not new:
        return athlete
    others = tuple(each for each in athlete.at_board if not same(each))
    whole = replace(told, misses_m=(*there, *new))
    return replace(athlete, at_board=(*others, whole))
