"""Times of one athlete of a solved plan, reviewed; and what accepting them makes of the plan."""

from __future__ import annotations

import difflib
from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.drills import lay
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Finding, Level
from wicketlay.review.review import Doubt, Feel, Review, accept, review
from wicketlay.sources import UNLIKELY_SHARE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from wicketlay.plan import Plan
    from wicketlay.running.athlete import Runner, Timing
    from wicketlay.solve import Demand, Laying, Solved


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


def review_athlete(
    solved: Solved,
    athlete: str,
    *,
    times_s: Sequence[float],
    timing: Timing,
    today: date,
    from_mark: str | None = None,
    to_mark: str | None = None,
    fps: float | None = None,
    steps: float | None = None,
    touchdowns: Sequence[float] = (),
    effort_share: float | None = None,
    wind_mps: float | None = None,
    feel: Feel | None = None,
    stage: int | None = None,
    runner: Runner | None = None,
) -> Review:
    """Return the review of an athlete's times over the marks they run on.

    See `wicketlay.review.review.review`; the marks and the speed are those of the plan, at a
    stage of it. `runner` is the athlete as known by now, None as the marks were laid for.
    """
    laying, demand = own_laying(solved, athlete, stage)
    plan = solved.plan
    spec = demand.spec
    return review(
        runner or demand.runner,
        laying.layout,
        times_s=times_s,
        timing=timing,
        today=today,
        from_mark=from_mark,
        to_mark=to_mark,
        fps=fps,
        steps=steps,
        touchdowns=touchdowns,
        speed_share=spec.speed_share,
        effort_share=effort_share,
        start_id=demand.start_id,
        wind_mps=0.0 if wind_mps is None and plan.ground.indoors else wind_mps,
        altitude_m=plan.ground.altitude_m,
        feel=feel,
        lay=lambda runner: lay(runner, spec, plan.kit, plan.judgement),
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


def accepted(plan: Plan, reviewed: Review, today: date, *, sure: bool = False) -> Plan:
    """Return the plan with the review in the athlete's record, and nothing else changed.

    Parameters
    ----------
    plan, reviewed, today
        The plan, the review, and the day it is accepted.
    sure
        Take a time that is far from the expected one all the same.

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
            accept(each, reviewed, today) if each.name == reviewed.athlete else each
            for each in plan.athletes
        ),
    )
