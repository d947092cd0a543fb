"""What a coach does to a plan during practice: a plan in, a plan and what was held out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from wicketlay.drills import TakeoffRun, WicketRun
from wicketlay.drills.wicket_run import CadenceRule, CadenceTarget
from wicketlay.errors import DomainError
from wicketlay.plan import Adjustment
from wicketlay.running.athlete import FirstGuess

if TYPE_CHECKING:
    from wicketlay.drills import Spec
    from wicketlay.plan import Plan

GAP_NOTCH = 0.02
"""One notch of the gaps, as a share."""
POINT = 0.01
"""One notch of speed or cadence, as a share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A changed plan, what was done and what was held while it was, for people."""

    plan: Plan
    done: str
    held: str


def notch_gaps(plan: Plan, athlete: str, notches: int) -> Edit:
    """Open (+) or close (-) one athlete's gaps by 2 % a notch; W1 and the start mark stay."""
    old = plan.adjustment(athlete)
    change = round(old.gap_change + GAP_NOTCH * notches, 6)
    if not -0.2 <= change <= 0.2:
        message = f"gaps changed by {change:+.0%} in all; a notch keeps within -20 % and +20 %"
        raise DomainError(message)
    changed = replace(old, gap_change=change)
    word = "wider" if notches > 0 else "tighter"
    return Edit(
        plan=with_adjustment(plan, changed),
        done=f"{athlete}: gaps {abs(notches) * 2} % {word}",
        held="W1, start mark and speed held; cadence asked changes",
    )


def notch_speed(plan: Plan, athlete: str, notches: int) -> Edit:
    """Change the speed one athlete builds towards by a point a notch; the cadence rule stays."""
    old = plan.adjustment(athlete)
    change = round(old.speed_change + POINT * notches, 6)
    share = plan.drill.speed_share + change
    if not 0.5 <= share <= 1.0:
        message = f"speed would be {share:.0%} of top; it must lie between 50 % and 100 %"
        raise DomainError(message)
    return Edit(
        plan=with_adjustment(_guess_held(plan, athlete), replace(old, speed_change=change)),
        done=f"{athlete}: speed {notches:+d} point{'s' if abs(notches) != 1 else ''}",
        held="W1 and the cadence rule held; gaps and start mark follow",
    )


def notch_cadence(plan: Plan, athlete: str, notches: int) -> Edit:
    """Change one athlete's cadence by a point a notch; speed stays, so gaps close or open."""
    if not isinstance(plan.drill, WicketRun | TakeoffRun):
        message = "this drill has no cadence to change; only runs over wickets have"
        raise DomainError(message)
    old = plan.adjustment(athlete)
    change = round(old.cadence_change + POINT * notches, 6)
    if not -0.2 <= change <= 0.2:
        message = f"cadence changed by {change:+.0%} in all; a notch keeps within -20 % and +20 %"
        raise DomainError(message)
    return Edit(
        plan=with_adjustment(_guess_held(plan, athlete), replace(old, cadence_change=change)),
        done=f"{athlete}: cadence {notches:+d} point{'s' if abs(notches) != 1 else ''}",
        held="W1 and speed held; gaps change",
    )


def slide(plan: Plan, by_m: float) -> Edit:
    """Move every mark by `by_m` [m] in the running direction; no gap changes.

    "30 cm over the line" is a slide of -0.30 m.
    """
    place = replace(plan.place, slide_m=round(plan.place.slide_m + by_m, 6))
    return Edit(
        plan=replace(plan, place=place),
        done="all marks moved",
        held="every gap and the run-on held",
    )


def shift_start(plan: Plan, athlete: str, by_m: float) -> Edit:
    """Move one athlete's start mark by `by_m` [m] in the running direction; wickets stay.

    "lands 40 cm short of the middle at W1" is a shift of +0.40 m.
    """
    old = plan.adjustment(athlete)
    changed = replace(old, start_shift_m=round(old.start_shift_m + by_m, 6))
    return Edit(
        plan=with_adjustment(plan, changed),
        done=f"{athlete}: start mark moved",
        held="all wickets held",
    )


def set_absent(plan: Plan, athlete: str, *, absent: bool) -> Edit:
    """Leave an athlete out today, or take them back in; the others stay where they are."""
    changed = replace(plan.adjustment(athlete), absent=absent)
    return Edit(
        plan=with_adjustment(plan, changed),
        done=f"{athlete}: {'left out' if absent else 'back in'}",
        held="the others' marks held where possible",
    )


def set_cadence(plan: Plan, target: CadenceTarget) -> Edit:
    """Set the drill's cadence for everybody; a speed guessed from height stays what it was."""
    if not isinstance(plan.drill, WicketRun | TakeoffRun):
        message = "this drill has no cadence to change; only runs over wickets have"
        raise DomainError(message)
    held = plan
    for athlete in plan.athletes:
        held = _guess_held(held, athlete.name)
    return Edit(
        plan=replace(held, drill=replace(plan.drill, cadence=target)),
        done="cadence set",
        held="speeds held; gaps change",
    )


def set_drill(plan: Plan, drill: Spec) -> Edit:
    """Replace what is run; a speed guessed from height stays what it was."""
    held = plan
    for athlete in plan.athletes:
        held = _guess_held(held, athlete.name)
    return Edit(plan=replace(held, drill=drill), done="drill changed", held="athletes held")


def with_adjustment(plan: Plan, changed: Adjustment) -> Plan:
    """Return the plan with one athlete's adjustment replaced; a neutral one is dropped."""
    kept = [a for a in plan.adjustments if a.athlete != changed.athlete]
    if changed != Adjustment(athlete=changed.athlete):
        kept.append(changed)
    names = [athlete.name for athlete in plan.athletes]
    kept.sort(key=lambda a: names.index(a.athlete) if a.athlete in names else len(names))
    return replace(plan, adjustments=tuple(kept))


def _guess_held(plan: Plan, name: str) -> Plan:
    """Write down the cadence a height-only speed came from, before anything changes it."""
    drill = plan.drill
    cadence = drill.cadence if isinstance(drill, WicketRun | TakeoffRun) else None
    athletes = []
    for athlete in plan.athletes:
        guessed = (
            athlete.name == name
            and athlete.first_guess is None
            and athlete.splits is None
            and athlete.flying is None
            and athlete.top_speed_mps is None
        )
        if guessed and cadence is not None and cadence.rule is CadenceRule.STEPS_PER_S:
            guess = FirstGuess(cadence_hz=cadence.value, speed_share=drill.speed_share)
            athletes.append(replace(athlete, first_guess=guess))
        else:
            athletes.append(athlete)
    return replace(plan, athletes=tuple(athletes))
