"""Times of one athlete of a solved plan, reviewed; and what accepting them makes of the plan."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from wicketlay.drills import OverWickets, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.review.progress import board_days, progress
from wicketlay.review.review import Doubt, Review, accept, review, typical_gap_m
from wicketlay.review.timed_zone import Zone, zone_of
from wicketlay.solve import laid_out
from wicketlay.sources import GAP_NOTCH_SHARE, START_TOLD_M, UNLIKELY_SHARE
from wicketlay.values import replace

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from wicketlay.findings import Value
    from wicketlay.plan import Plan
    from wicketlay.review.progress import BoardDay, Progress
    from wicketlay.review.review import TimedRuns
    from wicketlay.running.athlete import Athlete, Runner
    from wicketlay.session.log import Entry
    from wicketlay.solve import Demand, Laying, Solved

SAME_SHARE = 0.0005
"""A notch that is left and smaller moves no mark by a centimetre."""


def own_laying(solved: Solved, athlete: str, stage: int | None = None) -> tuple[Laying, Demand]:
    """Return the laying an athlete runs on, and their demand; None is the stage the plan is at.

    Raises
    ------
    DomainError
        When nobody of that name runs today.
    """
    now = solved.plan.stage if stage is None else stage
    for laying in solved.layings:
        if laying.stage != now:
            continue
        for demand in laying.demands:
            if demand.athlete.name == athlete:
                return laying, demand
    names = [name for laying in solved.layings for name in laying.athletes]
    near = difflib.get_close_matches(athlete, names, n=1)
    hint = f"did you mean {near[0]}?" if near else f"there are: {', '.join(dict.fromkeys(names))}"
    raise DomainError(f"nobody called {athlete} runs in this plan; {hint}")


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
        laying.layout_for(demand),
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
        laying.layout_for(demand),
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


def marks_changed(before: Solved, after: Solved, athlete: str) -> tuple[Finding, ...]:
    """Return what changes of an athlete's marks beside their own gaps.

    That is company, wickets and start, and gaps that are shared where they change otherwise.
    """
    try:
        (was_on, was), (now_on, now) = (own_laying(each, athlete) for each in (before, after))
    except DomainError:
        return ()  # nothing is laid for them; the findings of the plan say why
    found = []
    low, high = (len(each.layout.of_kind(MarkKind.WICKET)) for each in (was_on, now_on))
    if low != high:
        values: dict[str, Value] = {"was": low, "now": high}
        code = "review-fewer-wickets" if high < low else "review-more-wickets"
        low, high = sorted((low, high))
        values["marks"] = f"W{high}" if high - low == 1 else f"W{low + 1} to W{high}"
        found.append(Finding.note(code, athlete, **values))
    by_m = float(now.start_along_m - was.start_along_m)
    more = now.run_on_steps - was.run_on_steps
    if more or abs(by_m) >= START_TOLD_M:
        code = "review-start-moves"
        if more:
            code += "-other-foot" if more % 2 else "-steps"
        values = {"by_m": abs(by_m), "way": "forward" if by_m > 0.0 else "back"}
        values |= {"was": was.run_on_steps, "now": now.run_on_steps}
        found.append(Finding.note(code, athlete, **values))
    gap_m = typical_gap_m(now_on.layout)
    names = ", ".join(name for name in now_on.athletes if name != athlete)
    if set(was_on.athletes) != set(now_on.athletes) and gap_m is not None:
        code = "review-shares-with" if names else "review-shares-no-more"
        found.append(Finding.note(code, athlete, names=names, gap_m=gap_m))
    elif names and gap_m is not None:
        laid_m, own_m = (
            round((typical_gap_m(b) or 0.0) - (typical_gap_m(a) or 0.0), 2)
            for a, b in ((was_on.layout, now_on.layout), (was.layout, now.layout))
        )
        if laid_m != own_m:
            code = "review-shared-gaps" if laid_m else "review-shared-gaps-stay"
            values = {"names": names, "gap_move_m": abs(laid_m)}
            values["way"] = "longer" if laid_m > 0.0 else "shorter"
            found.append(Finding.note(code, athlete, **values))
    return tuple(found)


def gaps_to_keep(solved: Solved, athlete: str) -> Finding | None:
    """Return the question whether an athlete's own gaps are kept as theirs; None without any.

    Only where gaps follow the step: asked for at a cadence of the coach's they tell of that.
    """
    step_m = _step_of_gaps(solved, athlete)
    if step_m is None:
        return None
    kept_m = solved.plan.known(athlete).kept_step_m
    if kept_m is not None and abs(step_m / kept_m - 1.0) < float(GAP_NOTCH_SHARE) / 2.0:
        return None
    change = solved.plan.adjustment(athlete).gap_change
    return Finding.note(
        "gaps-to-keep-wider" if change > 0.0 else "gaps-to-keep-closer",
        athlete,
        gap_share=abs(change),
        step_m=step_m,
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
        raise DomainError(
            f"{athlete} has no gaps of their own to keep: a notch of the gaps over wickets, run at "
            "their natural cadence, and a top speed that is no guess"
        )
    plan = plan.with_known(replace(plan.known(athlete), kept_step_m=round(step_m, 3)))
    (was, whole), (now_m, _) = (_gap_of(each, athlete) for each in (solved, laid_out(plan)))
    own = plan.adjustment(athlete)
    left = (1.0 + whole) * was / now_m - 1.0 - (whole - own.gap_change)
    left = 0.0 if abs(left) < SAME_SHARE else round(left, 4)
    return plan.with_adjustment(replace(own, gap_change=left))


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


def board_days_in(plan: Plan, athlete: str) -> tuple[BoardDay, ...]:
    """Return what the record has of an athlete at the board, day by day."""
    return board_days(plan.known(athlete), plan.judgement, today=plan.date)


def accepted(
    plan: Plan, reviewed: Review, today: date, *, sure: bool = False, beside: Sequence[Review] = ()
) -> Plan:
    """Return the plan with the review in the athlete's record, and nothing else changed.

    Parameters
    ----------
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
    known = plan.known(reviewed.athlete)
    return plan.with_known(accept(known, reviewed, today, beside=beside))
