"""Times of one athlete of a solved plan, reviewed; and what accepting them makes of the plan."""

from __future__ import annotations

import difflib
from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.drills import AtLine, OverWickets, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.plan import Adjustment
from wicketlay.review.progress import board_days, progress
from wicketlay.review.review import Doubt, Review, accept, review, typical_gap_m
from wicketlay.review.timed_zone import Zone, zone_of
from wicketlay.running.at_board import at_board
from wicketlay.solve import solve
from wicketlay.sources import GAP_NOTCH_SHARE, LONG_SLIDE_M, UNLIKELY_SHARE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from wicketlay.findings import Value
    from wicketlay.plan import Plan
    from wicketlay.review.progress import BoardDay, Progress
    from wicketlay.review.review import TimedRuns
    from wicketlay.running.at_board import AtBoard
    from wicketlay.running.athlete import Athlete, Runner
    from wicketlay.running.facts import BoardMisses
    from wicketlay.session.log import Entry
    from wicketlay.solve import Demand, Laying, Solved

_SAME_M = 0.005
"""Misses are noted to a centimetre."""
SAME_SHARE = 0.0005
"""A notch that is left and smaller moves no mark by a centimetre."""


def own_laying(solved: Solved, athlete: str, stage: int | None = None) -> tuple[Laying, Demand]:
    """Return the laying an athlete runs on, and their demand; None is the stage the plan is at.

    Raises
    ------
    DomainError
        When nobody of that name runs today.
    """
    stages = solved.plan.stages
    now = (1 if stages is None else stages.now) if stage is None else stage
    for laying in solved.layings:
        if laying.stage != now:
            continue
        for demand in laying.demands:
            if demand.athlete.name == athlete:
                return laying, demand
    names = [name for laying in solved.layings for name in laying.athletes]
    near = difflib.get_close_matches(athlete, names, n=1)
    hint = f"did you mean {near[0]}?" if near else f"there are: {', '.join(dict.fromkeys(names))}"
    message = f"nobody called {athlete} runs in this plan; {hint}"
    raise DomainError(message)


def expected_zone(laying: Laying, demand: Demand, run: Entry | None = None) -> Zone:
    """Return the part of a run that is timed, over what it was run over where the log says so.

    Without a run it is that from the first mark to the last, as they lie.

    Raises
    ------
    DomainError
        When it cannot be timed there.
    """
    marks = (None, None) if run is None else (run.from_mark.casefold(), run.to_mark.casefold())
    return zone_of(
        demand.runner,
        laying.layout,
        demand.spec.speed_share,
        demand.start_id,
        between=(marks[0] or None, marks[1] or None),
        over=None if run is None else run.over,
    )


def review_athlete(
    solved: Solved,
    athlete: str,
    runs: TimedRuns,
    *,
    stage: int | None = None,
    runner: Runner | None = None,
) -> Review:
    """Return the review of an athlete's runs over the marks they run on.

    See `wicketlay.review.review.review`; the marks and the speed are those of the plan, at a
    stage of it, where the runs do not say how the marks lay. `runner` is the athlete as known by
    now, None as the marks were laid for.
    """
    laying, demand = own_laying(solved, athlete, stage)
    plan = solved.plan
    spec = demand.spec
    if runs.wind_mps is None and plan.ground.indoors:
        runs = replace(runs, wind_mps=0.0)
    return review(
        runner or demand.runner,
        laying.layout,
        runs,
        speed_share=spec.speed_share,
        start_id=demand.start_id,
        altitude_m=plan.ground.altitude_m,
        lay=lambda runner: lay(runner, spec, plan.kit, plan.judgement),
        judgement=plan.judgement,
    )


def progress_in(plan: Plan, athlete: Athlete) -> Progress | None:
    """Return how an athlete came along, in the drill of a plan; None when too little is known."""
    cadence = plan.drill.cadence if isinstance(plan.drill, OverWickets) else CadenceTarget()
    return progress(
        athlete,
        speed_share=plan.drill.speed_share,
        cadence_hz=cadence.value if cadence.rule is CadenceRule.STEPS_PER_S else None,
        judgement=plan.judgement,
    )


def day_of_runs(plan: Plan, today: date) -> date:
    """Return the day runs are of when nobody says: the plan's, or today when that is to come."""
    return plan.date if plan.date is not None and plan.date <= today else today


def wickets_changed(before: Solved, after: Solved, athlete: str) -> Finding | None:
    """Return a note when an athlete runs over fewer wickets, or more, than before; else None."""
    try:
        was, now = (
            len(own_laying(solved, athlete)[0].layout.of_kind(MarkKind.WICKET))
            for solved in (before, after)
        )
    except DomainError:
        return None  # nothing is laid for them; the findings of the plan say why
    if was == now:
        return None
    low, high = sorted((was, now))
    marks = f"W{high}" if high - low == 1 else f"W{low + 1} to W{high}"
    return Finding(
        level=Level.NOTE,
        code="review-fewer-wickets" if now < was else "review-more-wickets",
        athlete=athlete,
        values={"was": was, "now": now, "marks": marks},
    )


def gaps_to_keep(solved: Solved, athlete: str) -> Finding | None:
    """Return the question whether an athlete's own gaps are kept as theirs; None without any.

    Only where gaps follow the step: asked for at a cadence of the coach's they tell of that.
    """
    step_m = _step_of_gaps(solved, athlete)
    if step_m is None:
        return None
    (known,) = (each for each in solved.plan.athletes if each.name == athlete)
    kept_m = known.kept_step_m
    if kept_m is not None and abs(step_m / kept_m - 1.0) < float(GAP_NOTCH_SHARE) / 2.0:
        return None
    change = solved.plan.adjustment(athlete).gap_change
    return Finding(
        level=Level.NOTE,
        code="gaps-to-keep-wider" if change > 0.0 else "gaps-to-keep-closer",
        athlete=athlete,
        values={"gap_share": abs(change), "step_m": step_m},
    )


def gaps_kept(solved: Solved, athlete: str) -> Plan:
    """Return the plan with an athlete's own gaps as evidence of their step; gaps laid stay.

    The notch that is left is what the athlete does not explain yet: a typical gap stays as it is.

    Raises
    ------
    DomainError
        When they have no gaps of their own that tell of a step.
    """
    plan, step_m = solved.plan, _step_of_gaps(solved, athlete)
    if step_m is None:
        message = (
            f"{athlete} has no gaps of their own to keep: a notch of the gaps over wickets, run at "
            "their natural cadence, and a top speed that is no guess"
        )
        raise DomainError(message)
    athletes = tuple(
        replace(each, kept_step_m=round(step_m, 3)) if each.name == athlete else each
        for each in plan.athletes
    )
    plan = replace(plan, athletes=athletes)
    (was, whole), (now_m, _) = (_gap_of(each, athlete) for each in (solved, solve(plan)))
    own = plan.adjustment(athlete)
    left = (1.0 + whole) * was / now_m - 1.0 - (whole - own.gap_change)
    now = replace(own, gap_change=0.0 if abs(left) < SAME_SHARE else round(left, 4))
    others = (each for each in plan.adjustments if each.athlete != athlete)
    adjustments = (*others, *(() if now == Adjustment(athlete=athlete) else (now,)))
    return replace(plan, adjustments=adjustments)


def _gap_of(solved: Solved, athlete: str) -> tuple[float, float]:
    """Return an athlete's typical gap [m] and by how much it was changed, as a share."""
    _, demand = own_laying(solved, athlete)
    change = demand.spec.gap_change if isinstance(demand.spec, OverWickets) else 0.0
    return typical_gap_m(demand.layout) or 1.0, change


def _step_of_gaps(solved: Solved, athlete: str) -> float | None:
    """Return the step at top speed [m] that an athlete's own gaps tell of, None for nothing."""
    if not solved.plan.adjustment(athlete).gap_change:
        return None
    try:
        _, demand = own_laying(solved, athlete)
    except DomainError:
        return None
    spec, runner = demand.spec, demand.runner
    if not isinstance(spec, OverWickets) or spec.cadence.rule is not CadenceRule.NATURAL:
        return None
    if runner.provisional:
        return None
    return runner.gait.top_step.value * (1.0 + spec.gap_change)


# --- at the board -------------------------------------------------------------------------------


def slide_of(plan: Plan, athlete: str) -> float:
    """Return by how much all marks of an athlete are slid [m], the place's slide and their own."""
    return round(plan.place.slide_m + plan.adjustment(athlete).slide_m, 6)


def runs_to_board(plan: Plan) -> bool:
    """Return whether a plan's runs end at a board."""
    return isinstance(plan.drill, AtLine)


def board_of(plan: Plan, athlete: str) -> AtBoard | None:
    """Return what an athlete's misses tell on the day of the plan; None without any."""
    (known,) = (each for each in plan.athletes if each.name == athlete)
    return at_board(known.at_board, plan.judgement, today=plan.date)


def board_days_in(plan: Plan, athlete: str) -> tuple[BoardDay, ...]:
    """Return what the record has of an athlete at the board, day by day."""
    (known,) = (each for each in plan.athletes if each.name == athlete)
    return board_days(known, plan.judgement, today=plan.date)


def slide_told(plan: Plan, athlete: str) -> Finding | None:
    """Return by how much to slide all marks of an athlete, or why not; None without a miss."""
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
    level, code = Level.NOTE, "board-no-slide"
    if known.too_far(slide_m):
        level, code = Level.CAUTION, "board-too-far"
        values["limit_m"] = float(LONG_SLIDE_M)
    elif by_m is not None:
        code = "board-slide"
        values |= {"by_move_m": abs(by_m), "way": "forward" if by_m > 0.0 else "back"}
    return Finding(level=level, code=code, athlete=athlete, values=values)


def with_misses(plan: Plan, athlete: str, told: BoardMisses) -> Plan:
    """Return the plan with misses in an athlete's record; what is there already counts once.

    A day that is told again, whole or in part, adds what is new in it.

    Raises
    ------
    DomainError
        When the plan's runs end at no board, or all of it is in the record already.
    """
    if not runs_to_board(plan):
        message = (
            f"misses at the board are of take-off runs; this plan's drill is a {plan.drill.noun}"
        )
        raise DomainError(message)
    (known,) = (each for each in plan.athletes if each.name == athlete)
    record = with_misses_of(known, told)
    if record is known:
        message = (
            f"{athlete}: these misses of {told.date.isoformat()} are in the record already; one "
            "run teaches once. Give all runs of a day together"
        )
        raise DomainError(message)
    athletes = tuple(record if each is known else each for each in plan.athletes)
    return replace(plan, athletes=athletes)


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
        message = f"{athlete}: there is no slide to take, {why}"
        raise DomainError(message)
    own = plan.adjustment(athlete)
    now = replace(own, slide_m=round(own.slide_m + by_m, 2))
    others = (each for each in plan.adjustments if each.athlete != athlete)
    adjustments = (*others, *(() if now == Adjustment(athlete=athlete) else (now,)))
    return replace(plan, adjustments=adjustments)


def accepted(
    plan: Plan,
    reviewed: Review,
    today: date,
    *,
    sure: bool = False,
    beside: Sequence[Review] = (),
) -> Plan:
    """Return the plan with the review in the athlete's record, and nothing else changed.

    Parameters
    ----------
    plan, reviewed, today
        The plan, the review, and the day it is accepted.
    sure
        Take a time that is far from the expected one all the same.
    beside
        As `wicketlay.review.review.accept` has it.

    Raises
    ------
    DomainError
        When the same times are in the record already, or the time is far off and nobody is
        sure of it.
    """
    if reviewed.doubt is not Doubt.NONE and not sure:
        message = (
            f"{reviewed.athlete}: {reviewed.doubted_s:.2f} s is {abs(reviewed.off_share):.0%} off "
            f"the expected {reviewed.expected_time_s:.2f} s; a time more than "
            f"{UNLIKELY_SHARE:.0%} off is taken only when you say that you are sure; "
            "nothing was written"
        ).replace("%", " %")
        raise DomainError(message)
    return replace(
        plan,
        athletes=tuple(
            accept(each, reviewed, today, beside=beside) if each.name == reviewed.athlete else each
            for each in plan.athletes
        ),
    )
