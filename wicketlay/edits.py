"""What a coach does to a plan during practice: a plan in, a plan and what was done out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills import AnyLength, AtLine, OverWickets
from wicketlay.drills.cadence import CadenceRule
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.run_on import SPEED_SHARES
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import Tick
from wicketlay.plan import WAVES, Adjustment
from wicketlay.running.athlete import FirstGuess
from wicketlay.solve import laid_out, letters_of, moved_between, placed_along, places_for, spots_of
from wicketlay.sources import GAP_NOTCH_SHARE
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills import Spec
    from wicketlay.findings import Value
    from wicketlay.ground import Ground
    from wicketlay.lanes.laying import Laying, Moved
    from wicketlay.plan import Plan, StagePlan
    from wicketlay.running.athlete import Athlete
    from wicketlay.solve import Solved

POINT = 0.01
"""One notch of speed or cadence, as a share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A changed plan, and what was done; its wording tells what was held, too.

    `gaps_of` is whose gaps were to change, "" for nobody's: where they are shared, what is laid
    changes by another figure (`gaps_opened`).
    """

    plan: Plan
    done: Finding
    gaps_of: str = ""


def was_done(what: str, athlete: str | None = None, **values: Value) -> Finding:
    """Return the note that something was done; `what` is the end of its code."""
    return Finding.note(f"edit-{what}", athlete, **values)


def notch_gaps(plan: Plan, athlete: str, notches: int) -> Edit:
    """Open (+) or close (-) one athlete's gaps by 2 % a notch.

    W1 and the start mark stay; before a take-off the last wicket stays and the others move.

    Raises
    ------
    DomainError
        When the drill has no gaps, or they would be changed by more than 20 % in all.
    """
    _refuse_without_wickets(plan, "gaps")
    old = plan.adjustment(athlete)
    change = round(old.gap_change + GAP_NOTCH_SHARE * notches, 6)
    _refuse_far("gaps", change)
    changed = replace(old, gap_change=change)
    way = "wider" if notches > 0 else "tighter"
    by = GAP_NOTCH_SHARE * abs(notches)
    return Edit(
        plan=plan.with_adjustment(changed),
        done=was_done(f"gaps-{way}{_at_line(plan)}", athlete, by_share=by),
        gaps_of=athlete,
    )


def notch_speed(plan: Plan, athlete: str, notches: int) -> Edit:
    """Change the speed one athlete builds towards by a point a notch; the cadence rule stays.

    Raises
    ------
    DomainError
        When the speed would lie outside what a drill may build towards.
    """
    old = plan.adjustment(athlete)
    change = round(old.speed_change + POINT * notches, 6)
    share = plan.drill.speed_share + change
    low, high = SPEED_SHARES
    if not low <= share <= high:
        raise DomainError(
            f"speed would be {100 * share:.0f} % of top; it must lie between {100 * low:.0f} % "
            f"and {100 * high:.0f} %"
        )
    end = _at_line(plan) if _has_wickets(plan) else "-without-wickets"
    return Edit(
        plan=_guess_held(plan, athlete).with_adjustment(replace(old, speed_change=change)),
        done=was_done(f"speed{end}", athlete, by_points=notches),
        gaps_of=athlete,
    )


def notch_cadence(plan: Plan, athlete: str, notches: int) -> Edit:
    """Change one athlete's cadence by a point a notch; speed stays, so gaps close or open.

    Raises
    ------
    DomainError
        When the drill has no cadence, or it would be changed by more than 20 % in all.
    """
    _refuse_without_wickets(plan, "cadence")
    old = plan.adjustment(athlete)
    change = round(old.cadence_change + POINT * notches, 6)
    _refuse_far("cadence", change)
    return Edit(
        plan=_guess_held(plan, athlete).with_adjustment(replace(old, cadence_change=change)),
        done=was_done(f"cadence{_at_line(plan)}", athlete, by_points=notches),
        gaps_of=athlete,
    )


def slide(plan: Plan, by_m: float) -> Edit:
    """Move every mark by `by_m` [m] in the running direction; no gap changes.

    "30 cm over the line" is a slide of -0.30 m.
    """
    place = replace(plan.place, slide_m=round(plan.place.slide_m + by_m, 6))
    return Edit(plan=replace(plan, place=place), done=was_done("all-moved"))


def shift_start(plan: Plan, athlete: str, by_m: float) -> Edit:
    """Move one athlete's start mark by `by_m` [m] in the running direction; wickets stay.

    "lands 40 cm short of the middle at W1" is a shift of +0.40 m.
    """
    old = plan.adjustment(athlete)
    changed = replace(old, start_shift_m=round(old.start_shift_m + by_m, 6))
    return Edit(plan=plan.with_adjustment(changed), done=was_done("start-moved", athlete))


def set_absent(plan: Plan, athlete: str, *, absent: bool) -> Edit:
    """Leave an athlete out today, or take them back in; the others stay where they are."""
    changed = replace(plan.adjustment(athlete), absent=absent)
    done = was_done("left-out" if absent else "back-in", athlete)
    return Edit(plan=plan.with_adjustment(changed), done=done)


def set_late(plan: Plan, athlete: str, late_s: float) -> Edit:
    """Say when an athlete arrives, from the beginning of the session [s]; 0 is in time.

    Somebody who comes is not absent, whatever was said of them before.
    """
    changed = replace(plan.adjustment(athlete), late_s=late_s, absent=False)
    late = was_done("late", athlete, by_duration_s=late_s)
    done = late if late_s > 0 else was_done("in-time", athlete)
    return Edit(plan=plan.with_adjustment(changed), done=done)


def put_on_lane(plan: Plan, athlete: str, places: int) -> Edit:
    """Let an athlete run so many lanes further on, round the lanes of the line.

    On the lane they would be dealt it is no longer by hand.

    Raises
    ------
    DomainError
        When they run nowhere.
    """
    now, dealt = _spots(plan, replace(plan.adjustment(athlete), lane=None))
    there = sorted({*plan.ground.lanes_of(plan.line), now[0]})
    lane = there[(there.index(now[0]) + places) % len(there)]
    changed = replace(plan.adjustment(athlete), lane=None if lane == dealt[0] else lane)
    return _run_elsewhere(plan, changed, was_done("on-lane", athlete, lane=lane))


def put_in_wave(plan: Plan, athlete: str, waves: int) -> Edit:
    """Let an athlete run so many waves later (+) or earlier (-).

    In the wave they would be dealt it is no longer by hand.

    Raises
    ------
    DomainError
        When they run nowhere, or there is no such wave.
    """
    now, dealt = _spots(plan, replace(plan.adjustment(athlete), wave=None))
    wave = now[1] + waves
    if not WAVES[0] <= wave <= WAVES[1]:
        end = "first" if wave < WAVES[0] else "last"
        raise DomainError(f"wave {now[1]} is the {end} there may be")
    changed = replace(plan.adjustment(athlete), wave=None if wave == dealt[1] else wave)
    return _run_elsewhere(plan, changed, was_done("in-wave", athlete, wave=wave))


def free_lane(plan: Plan, athlete: str) -> int | None:
    """Return the nearest lane of the line on which nobody runs, None when there is none."""
    spots = spots_of(plan)
    if athlete not in spots:
        return None
    own, taken = spots[athlete][0], {lane for lane, _ in spots.values()}
    free = (lane for lane in plan.ground.lanes_of(plan.line) if lane not in taken)
    return min(free, key=lambda lane: (abs(lane - own), lane), default=None)


def put_on_free_lane(plan: Plan, athlete: str) -> Edit:
    """Let an athlete run alone, on the nearest lane where nobody does.

    Raises
    ------
    DomainError
        When they run nowhere, or no lane is free.
    """
    lane = free_lane(plan, athlete)
    if lane is None:
        raise DomainError(f"there is no free lane for {athlete}; the line has no other")
    changed = replace(plan.adjustment(athlete), lane=lane)
    return _run_elsewhere(plan, changed, was_done("on-lane", athlete, lane=lane))


def let_go(plan: Plan, athlete: str) -> Edit:
    """Let an athlete's lane, wave and start letter be dealt again.

    Raises
    ------
    DomainError
        When none of them is by hand.
    """
    old = plan.adjustment(athlete)
    changed = replace(old, lane=None, wave=None, letter=None)
    if changed == old:
        raise DomainError(f"lane, wave and start letter of {athlete} are as dealt")
    return _run_elsewhere(plan, changed, was_done("as-dealt", athlete))


def _run_elsewhere(plan: Plan, changed: Adjustment, done: Finding) -> Edit:
    """Return the edit of where an athlete runs, which may change their gaps."""
    return Edit(plan=plan.with_adjustment(changed), done=done, gaps_of=changed.athlete)


def _spots(plan: Plan, let_go: Adjustment) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the lane and wave of an athlete now, and with `let_go` instead of what is by hand."""
    athlete = let_go.athlete
    now, dealt = spots_of(plan), spots_of(plan.with_adjustment(let_go))
    if athlete not in now:
        raise DomainError(f"{athlete} runs on no lane")
    return now[athlete], dealt[athlete]


def set_drill(plan: Plan, drill: Spec) -> Edit:
    """Replace what is run; a speed guessed from height stays what it was."""
    held = plan
    for athlete in plan.athletes:
        held = _guess_held(held, athlete.name)
    return Edit(plan=replace(held, drill=drill), done=was_done("drill"))


_FIRST_WICKETS = 10
"""Wickets of a run that is begun with, as far as the bag goes."""


def set_drill_kind(plan: Plan, kind: type[Spec]) -> Edit:
    """Run another kind of drill at the same speed, everything else as usual."""
    if isinstance(plan.drill, kind):
        return set_drill(plan, plan.drill)
    if issubclass(kind, AnyLength):
        wickets = min(_FIRST_WICKETS, max(plan.kit.wickets, 2))
        return set_drill(plan, kind(speed_share=plan.drill.speed_share, wickets=wickets))
    return set_drill(plan, kind(speed_share=plan.drill.speed_share))


def set_part(plan: Plan, **part: object) -> Edit:
    """Replace one part of the plan: its title, ground, place, kit, tape or session.

    Another place changes no gap, another tape moves nothing on the ground.
    """
    (name,) = part
    return Edit(plan=replace(plan, **part), done=was_done(name))  # type: ignore[arg-type]


def set_bag(plan: Plan, wickets: int) -> Edit:
    """Say how many wickets are in the bag today; places beyond them are chalk or tape marks.

    Raises
    ------
    DomainError
        When it is no number of wickets.
    """
    return Edit(
        plan=replace(plan, kit=replace(plan.kit, wickets=wickets)),
        done=was_done("bag", wickets=wickets),
    )


def move_everything(plan: Plan, *, line: str | None = None, lanes: Sequence[int] = ()) -> Edit:
    """Lay the whole practice on other lanes, or on another line of the ground; no gap changes.

    Who was on a lane by hand goes with it to the lane that stands for it. On another line the
    place with most room is taken.

    Raises
    ------
    DomainError
        When the line or a lane is not there, or nothing fits on the line.
    """
    to = plan.line if line is None else _line_of(plan.ground, line)
    there = plan.ground.lanes_of(to)
    kept = tuple(lane for lane in plan.place.lanes if lane in there)
    wanted = tuple(lanes) or kept or there[:1]
    _refuse_no_lane(plan.ground, to, wanted)
    where = replace(plan.place, lanes=wanted)
    if to != plan.line:
        on_all = replace(plan, place=replace(plan.place, lanes=wanted))
        found = (spot for spot, _ in places_for(laid_out(on_all)) if spot.line == to)
        spot = next(found, None)
        if spot is None:
            raise DomainError(
                f"the practice fits nowhere on the {to}; fewer wickets, or a slower run"
            )
        where = replace(spot, lanes=wanted)
    return _moved(plan, replace(plan, place=where), **({} if to == plan.line else {"line": to}))


def move_to_ground(
    plan: Plan,
    ground: Ground,
    file: str | None,
    *,
    line: str | None = None,
    lanes: Sequence[int] = (),
) -> Edit:
    """Lay the whole practice on another ground, where there is most room; no gap changes.

    The ground's own numbers, and those of the ground before, stay as they are. Where nothing
    fits everything lies at the ground's first line, and the findings say what would fit.

    Parameters
    ----------
    file
        The ground file as the plan names it, None for a ground of the plan's own.
    line, lanes
        Where on it; left out, as many lanes as now, of the same numbers where they are there.

    Raises
    ------
    DomainError
        When the ground has no such line or lane.
    """
    only = None if line is None else _line_of(ground, line)
    many = len(lanes or plan.place.lanes)

    def lanes_on(each: str) -> tuple[int, ...]:
        there = ground.lanes_of(each)
        same = all(lane in there for lane in plan.place.lanes)
        return tuple(lanes) or (plan.place.lanes if same else there[:many])

    first = only or ground.lines[0]
    where = Place(line=first, lanes=lanes_on(first))
    moved = replace(plan, ground=ground, ground_file=file, place=where)
    wanted = replace(moved.place, lanes=tuple(lanes) or plan.place.lanes)
    spots = [
        spot
        for spot, _ in places_for(replace(laid_out(moved), plan=replace(moved, place=wanted)))
        if spot.line is not None and only in {None, spot.line}
    ]
    # A line of enough lanes before one with more room: fewer lanes are more waves.
    spots.sort(key=lambda spot: -min(many, len(ground.lanes_of(spot.line or first))))
    if spots:
        where = replace(spots[0], lanes=lanes_on(spots[0].line or first))
    to = where.line or first
    _refuse_no_lane(ground, to, where.lanes)
    return _moved(plan, replace(moved, place=where), line=to, ground=file or ground.name)


def _moved(plan: Plan, moved: Plan, **where: str) -> Edit:
    """Return the edit that lays everything where `moved` does; who is by hand on a lane follows.

    `where` is the line, and the ground, that everything has gone to.
    """
    lanes = moved.place.lanes
    stands_for = dict(zip(plan.place.lanes, lanes, strict=False))
    for each in plan.adjustments:
        if each.lane is not None:
            moved = moved.with_adjustment(replace(each, lane=stands_for.get(each.lane)))
    to = moved.ground.course(moved.line, lanes[0])
    strip = "runway" if to.told_lane is None else "lanes" if len(lanes) > 1 else "lane"
    what = "-".join([strip, *where])
    told = {"lanes": ", ".join(map(str, lanes))} | where
    return Edit(plan=moved, done=was_done(what, None, **told))


def _line_of(ground: Ground, line: str) -> str:
    known = {each.casefold(): each for each in ground.lines}
    if line.casefold() not in known:
        raise DomainError(f'there is no line "{line}"; the ground has {", ".join(ground.lines)}')
    return known[line.casefold()]


def _refuse_no_lane(ground: Ground, line: str, lanes: Sequence[int]) -> None:
    there = ground.lanes_of(line)
    for lane in lanes:
        if lane not in there:
            raise DomainError(f"the {line} has no lane {lane}; it has {there[0]} to {there[-1]}")


def set_stages(plan: Plan, stages: StagePlan | None) -> Edit:
    """Replace the series of stages, None for a single layout."""
    what = "stages-out" if stages is None else "stages"
    return Edit(plan=replace(plan, stages=stages), done=was_done(what))


def go_to_stage(plan: Plan, stage: int) -> Edit:
    """Say which stage the athletes are at; paper shows that one.

    Raises
    ------
    DomainError
        When the plan has no such stage.
    """
    if plan.stages is None:
        raise DomainError("the plan has no stages; add them first")
    if not 1 <= stage <= plan.stages.count:
        raise DomainError(
            f"stage {stage} is not there; the stages go from 1 to {plan.stages.count}"
        )
    return Edit(
        plan=replace(plan, stages=replace(plan.stages, now=stage)),
        done=was_done("at-stage", stage=stage, hold_mark=plan.stages.hold),
    )


def replace_athlete(plan: Plan, name: str, athlete: Athlete) -> Edit:
    """Replace what is known of one athlete, the name included; the order stays.

    Raises
    ------
    DomainError
        When the new name is another athlete's.
    """
    others = [a for a in plan.athletes if a.name != name]
    _refuse_namesake(others, athlete.name)
    athletes = tuple(athlete if a.name == name else a for a in plan.athletes)
    adjustments = tuple(
        replace(a, athlete=athlete.name) if a.athlete == name else a for a in plan.adjustments
    )
    renamed = (athlete.name if each == name else each for each in plan.guests)
    changed = replace(plan, athletes=athletes, adjustments=adjustments, guests=frozenset(renamed))
    return Edit(plan=changed, done=was_done("known", athlete.name))


def add_athlete(plan: Plan, athlete: Athlete, *, guest: bool = False) -> Edit:
    """Let one more athlete run, last in the order; a guest stands beside the plan's squad file.

    Raises
    ------
    DomainError
        When the name is another athlete's.
    """
    _refuse_namesake(plan.athletes, athlete.name)
    guests = plan.guests | {athlete.name} if guest else plan.guests - {athlete.name}
    return Edit(
        plan=replace(plan, athletes=(*plan.athletes, athlete), guests=guests),
        done=was_done("guest-added" if guest else "added", athlete.name),
    )


def remove_athlete(plan: Plan, name: str) -> Edit:
    """Take an athlete off the plan; a squad file keeps them.

    Raises
    ------
    DomainError
        When nobody would be left.
    """
    kept = tuple(a for a in plan.athletes if a.name != name)
    if not kept:
        raise DomainError(f"{name} is the only athlete; a plan needs one, add another first")
    adjustments = tuple(a for a in plan.adjustments if a.athlete != name)
    return Edit(
        plan=_letters_kept(plan, replace(plan, athletes=kept, adjustments=adjustments)),
        done=was_done("taken-off", name),
    )


def move_athlete(plan: Plan, name: str, places: int) -> Edit:
    """Move an athlete up (-) or down (+) in the running order, as far as it goes."""
    names = [a.name for a in plan.athletes]
    at = names.index(name)
    athletes = list(plan.athletes)
    moved = athletes.pop(at)
    to = min(max(at + places, 0), len(athletes))
    athletes.insert(to, moved)
    return Edit(
        plan=_letters_kept(plan, replace(plan, athletes=tuple(athletes))),
        done=was_done("order", name, number=to + 1),
    )


def _letters_kept(before: Plan, after: Plan) -> Plan:
    """Return `after` with the start letters of `before` written down where they would change.

    Where no start marks are lettered there is nothing to keep.
    """
    if not any(demand.letter for each in laid_out(before).layings for demand in each.demands):
        return after
    was, now = letters_of(before), letters_of(after)
    for name, letter in now.items():
        if was[name] != letter and len(was[name]) == 1:
            after = after.with_adjustment(replace(after.adjustment(name), letter=was[name]))
    return after


def moved_marks(before: Laying, after: Laying) -> tuple[Moved, ...]:
    """Return which marks lie elsewhere on the ground after a change, and by how much.

    The same reading is no move. `by_m` is positive in the running direction and None for a mark
    that is new or taken up.
    """
    return moved_between((before.placed, before.tape), (after.placed, after.tape))


def gaps_opened(before: Laying, after: Laying) -> float | None:
    """Return by what share the gaps laid opened (+) or closed (-); None without gaps in both."""
    lengths = []
    for laying in (before, after):
        gaps = [mark.gap_m for mark in laying.layout.of_kind(MarkKind.WICKET)]
        lengths.append([gap for gap in gaps if gap is not None])
    count = min(map(len, lengths))
    if not count:
        return None
    was, now = (sum(each[:count]) for each in lengths)
    return now / was - 1.0


def held_marks(before: Laying, after: Laying) -> tuple[str, ...]:
    """Return the ids of the marks that lie where they lay, in running order."""
    gone = {moved.mark_id for moved in moved_marks(before, after)}
    return tuple(i for i in placed_along(after.placed) if i not in gone)


def laying_of(solved: Solved, athlete: str, stage: int) -> Laying | None:
    """Return the laying an athlete runs on at a stage, None when they run on none."""
    there = (o for o in solved.layings if o.stage == stage and athlete in o.athletes)
    return next(there, None)


_NO_WICKETS = "this drill has no {what} to change; only runs over wickets have"


def _has_wickets(plan: Plan) -> bool:
    return isinstance(plan.drill, OverWickets)


def _refuse_without_wickets(plan: Plan, what: str) -> None:
    if not _has_wickets(plan):
        raise DomainError(_NO_WICKETS.format(what=what))


def _refuse_far(what: str, change: float) -> None:
    if not -0.2 <= change <= 0.2:
        raise DomainError(
            f"{what} changed by {100 * change:+.0f} % in all; a notch keeps within -20 % and +20 %"
        )


def _at_line(plan: Plan) -> str:
    """Return the end of a code where the run is held at a take-off line instead of W1."""
    return "-at-line" if isinstance(plan.drill, AtLine) else ""


def _refuse_namesake(others: tuple[Athlete, ...] | list[Athlete], name: str) -> None:
    if any(other.name.casefold() == name.casefold() for other in others):
        raise DomainError(f'"{name}" is the name of another athlete; add an initial')


def in_unit(plan: Plan, *, metric: bool) -> Plan:
    """Return the plan with its tape read in centimetres, or in feet and half inches."""
    if metric == plan.tape.tick.metric:
        return plan
    tick = Tick.CM_1 if metric else Tick.HALF_INCH
    return replace(plan, tape=replace(plan.tape, tick=tick))


def set_sharing(plan: Plan, *, lanes: int | None, waves: int | None) -> Plan:
    """Return the plan with so many lanes and waves; lanes beyond the plan's own follow on them."""
    place = plan.place
    if lanes is not None:
        own = list(place.lanes[:lanes])
        others = [lane for lane in plan.ground.lanes_of(plan.line) if lane not in own]
        own += others[: lanes - len(own)]
        if len(own) < lanes:
            raise DomainError(f"{lanes} lanes are asked for and {plan.line} has {len(own)}")
        place = replace(place, lanes=tuple(own))
    session = plan.session
    if waves is not None:
        session = replace(session, waves=waves)
    return replace(plan, place=place, session=session)


def _guess_held(plan: Plan, name: str) -> Plan:
    """Write down the cadence a height-only speed came from, before anything changes it."""
    drill = plan.drill
    cadence = drill.cadence if isinstance(drill, OverWickets) else None
    athlete = plan.known(name)
    guessed = (
        athlete.first_guess is None
        and not athlete.splits_by_day()
        and athlete.flying is None
        and athlete.top_speed_mps is None
    )
    if not guessed or cadence is None or cadence.rule is not CadenceRule.STEPS_PER_S:
        return plan
    guess = FirstGuess(cadence_hz=cadence.value, speed_share=drill.speed_share)
    return plan.with_known(replace(athlete, first_guess=guess))
