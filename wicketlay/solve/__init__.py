"""From a plan to everything that is printed or shown. Never raises on a valid plan."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.drills import AnyLength
from wicketlay.drills.cadence import CadenceRule
from wicketlay.drills.marks import MarkKind
from wicketlay.findings import Finding, Level, worst
from wicketlay.ground.finding_places import find_places
from wicketlay.ground.placing import Place, settle
from wicketlay.ground.room_findings import ROOM_CODES
from wicketlay.lanes.closing import hurdles_of
from wicketlay.lanes.laying import Demand, Laying, Moved
from wicketlay.lanes.stages import StageCadence, speed_shares
from wicketlay.session.session import would_save
from wicketlay.session.timetable import timetable
from wicketlay.solve.roster import members_of
from wicketlay.solve.shared import ill_suited, lane_more, with_free_lane, with_sharers
from wicketlay.solve.slots import letters_of, slots_of
from wicketlay.solve.smaller import Smaller, lacks_room, largest, largest_that_fits, with_what_fits
from wicketlay.solve.staging import drafts_of, laid, moved_between, placed_along
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.plan import Plan
    from wicketlay.session.session import Session

__all__ = [
    "Demand",
    "Laying",
    "Moved",
    "Smaller",
    "Solved",
    "laid_out",
    "letters_of",
    "moved_between",
    "placed_along",
    "places_for",
    "smaller_for_places",
    "solve",
    "spots_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A plan with all that follows from it.

    Parameters
    ----------
    layings
        By stage, then wave, then lane.
    stage_shares
        Speed share of each stage; one entry when the plan has no stages.
    session
        Who runs when, at the stage the plan is at; None when nobody runs, or of `laid_out`.
    findings
        What concerns the plan as a whole and athletes who got no laying; each laying carries
        its own.
    """

    plan: Plan
    layings: tuple[Laying, ...]
    stage_shares: tuple[float, ...]
    session: Session | None
    findings: tuple[Finding, ...]

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Everything that was found, in the plan and on every laying."""
        return (*self.findings, *[f for laying in self.layings for f in laying.findings])

    def findings_on(self, laying: Laying) -> tuple[Finding, ...]:
        """Return what concerns a laying, its own and the plan's, each once.

        What concerns the plan as a whole belongs to every laying.
        """
        found: list[Finding] = []
        for each in (*laying.findings, *self.findings):
            here = each.athlete in {None, *laying.athletes}
            here = here and each.wave in {None, laying.wave} and each.lane in {None, laying.lane}
            if here and each not in found:
                found.append(each)
        return tuple(found)

    @property
    def efforts(self) -> int:
        """Runs of each athlete, as asked or as taken where nothing is asked."""
        if self.session is not None:
            return self.session.efforts
        return self.plan.session.efforts or int(self.plan.judgement.efforts)

    def may_lay(self, laying: Laying) -> bool:
        """Return True when nothing stops a laying: neither its own findings nor the plan's."""
        return worst(self.findings_on(laying)) is not Level.STOP

    def of_layings(self, layings: tuple[Laying, ...]) -> Solved:
        """Return the same with some of the layings alone, the plan being at their stage."""
        plan = self.plan
        if plan.stages is not None and layings:
            plan = replace(plan, stages=replace(plan.stages, now=layings[0].stage))
        return replace(self, plan=plan, layings=layings)

    def of_athlete(self, name: str) -> Solved:
        """Return the same with the layings one athlete runs on, and what concerns the athlete."""
        layings = [each for each in self.layings if name in each.athletes]
        here = [each for laying in layings for each in self.findings_on(laying)]

        def own(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
            return tuple(f for f in found if f.athlete in {None, name} and f in here)

        return replace(
            self,
            layings=tuple(replace(each, findings=own(each.findings)) for each in layings),
            findings=own(self.findings),
        )


def solve(plan: Plan) -> Solved:
    """Return everything that follows from `plan`: what `laid_out` returns, and who runs when."""
    return _with_lane_that_fits(_with_session(laid_out(plan)))


def laid_out(plan: Plan) -> Solved:
    """Return the layings of `plan`, placed, checked and with their readings; no session.

    Athletes of whom too little is known, and layings that do not fit, are findings; nothing is
    raised for a plan whose parts could be made.
    """
    solved = _with_series(_with_sharers(_layings_of(plan)))
    if not lacks_room(solved.all_findings):
        return solved
    fits = largest_that_fits(plan, _most_wickets(solved), lambda each: _fits(_layings_of(each)))
    if fits is None:
        return solved
    slide_m = _slide(_layings_of(fits.plan))
    return replace(solved, layings=tuple(with_what_fits(solved.layings, fits, slide_m)))


def _with_sharers(solved: Solved) -> Solved:
    """Say of gaps that suit somebody ill with whom they are shared, and which lane is free."""
    now = ill_suited(solved.layings)
    if not now:
        return solved
    stops = {f.code for f in solved.all_findings if f.level is Level.STOP}

    def left(plan: Plan) -> frozenset[str] | None:
        other = _layings_of(plan)
        after = {f.code for f in other.all_findings if f.level is Level.STOP}
        return ill_suited(other.layings) if after <= stops else None

    lanes, helped = lane_more(solved.plan, left, now) or ((), frozenset())
    return replace(solved, layings=tuple(with_sharers(solved.layings, lanes, helped)))


def _with_lane_that_fits(solved: Solved) -> Solved:
    """Say of a session that is too long what a lane more would save."""
    plan, session = solved.plan, solved.session
    if session is None or session.length_s is None or session.fits:
        return solved
    lanes = next(with_free_lane(plan), None)
    if lanes is None:
        return solved
    wider = replace(plan, place=replace(plan.place, lanes=lanes))
    stops = {f.code for f in solved.all_findings if f.level is Level.STOP}
    told, less_s = "", math.inf  # nothing found saves less than nothing
    for waves in dict.fromkeys((plan.session.waves, _waves_on(plan, len(lanes)))):
        other = _with_session(laid_out(replace(wider, session=replace(plan.session, waves=waves))))
        new = {f.code for f in other.all_findings if f.level is Level.STOP} - stops
        if other.session is not None and not new and other.session.total_s < less_s:
            less_s = other.session.total_s
            told = ", ".join(map(str, lanes))
            if waves != plan.session.waves:
                told += f" in {waves} wave{'' if waves == 1 else 's'}"
    found = would_save("lanes", told, session.total_s, less_s, session.length_s)
    if found is None:
        return solved
    return replace(
        solved,
        session=replace(session, findings=(*session.findings, found)),
        findings=(*solved.findings, found),
    )


def _waves_on(plan: Plan, lanes: int) -> int | None:
    """Return how many waves hold as many to a lane as now, on so many lanes."""
    waves = plan.session.waves
    return None if waves is None else math.ceil(waves * len(plan.place.lanes) / lanes)


def _breach(solved: Solved) -> tuple[int, Finding] | None:
    """Return the first stage whose gaps break a limit that stage 1 keeps, and what it breaks."""
    first: set[tuple[str | None, str]] = set()
    for laying in solved.layings:
        for demand in laying.demands:
            for finding in () if demand.appraisal is None else demand.appraisal.findings:
                if finding.code not in _GAP_LIMITS:
                    continue
                if laying.stage == 1:
                    first.add((finding.athlete, finding.code))
                elif (finding.athlete, finding.code) not in first:
                    return laying.stage, finding
    return None


def _with_series(solved: Solved) -> Solved:
    """Say from which stage on a series breaks the limits of gaps, and what would not."""
    plan, stages = solved.plan, solved.plan.stages
    breach = None if stages is None else _breach(solved)
    if stages is None or breach is None:
        return solved

    def keeps(**changes: object) -> bool:
        changed = replace(stages, **changes)  # type: ignore[arg-type]
        return _breach(_layings_of(replace(plan, stages=changed))) is None

    stage, finding = breach
    values = {"from_stage": stage, "limit_share": finding.values["limit_share"]}
    ending = ""
    milder = list(StageCadence)[list(StageCadence).index(stages.cadence) + 1 :]
    cadence = next((each for each in milder if keeps(cadence=each)), None)
    if cadence is not None:
        ending, values["cadence"] = "-cadence", cadence.value
    else:
        low, high = (round(share * 100) for share in (stages.from_share, stages.to_share))
        end = largest(low + 1, high - 1, lambda share: keeps(to_share=share / 100))
        if end is not None:
            ending, values["to_share"] = "-end", end / 100
    told = Finding.of(f"stages-over-limit{ending}", finding.level, finding.athlete, **values)
    return replace(solved, findings=(*solved.findings, told))


_GAP_LIMITS = frozenset({"gap-too-long", "gap-too-short"})


def _most_wickets(solved: Solved) -> int:
    return max(
        (len(each.layout.of_kind(MarkKind.WICKET)) for each in solved.layings),
        default=0,
    )


def _fits(solved: Solved) -> bool:
    """Return True when every laying has room where it lies, or all have once moved."""
    slide_m = _slide(solved)
    if slide_m is None:
        return not any(_short_of_room(solved))
    low, high = range_of(Place, "slide_m")
    slid_m = solved.plan.place.slide_m + slide_m
    if not low <= slid_m <= high:
        return False
    place = replace(solved.plan.place, slide_m=slid_m)
    return not any(_short_of_room(_layings_of(replace(solved.plan, place=place))))


def _slide(solved: Solved) -> float | None:
    """Return the farthest move [m] that a stop for want of room asks for, None when none does."""
    asked = [f.values["slide_m"] for f in _short_of_room(solved) if "slide_m" in f.values]
    return max((each for each in asked if isinstance(each, float)), key=abs, default=None)


def _short_of_room(solved: Solved) -> list[Finding]:
    return [
        f for f in solved.all_findings if f.level is Level.STOP and f.code.startswith(ROOM_CODES)
    ]


def _layings_of(plan: Plan) -> Solved:
    members, findings = members_of(plan, plan.drill)
    slots, sharing_findings = slots_of(plan, members)
    shares = _stage_shares(plan)
    layings: list[Laying] = []
    where = plan.place
    place_findings: tuple[Finding, ...] = ()
    for stage, share_of_top in enumerate(shares, start=1):
        drafts = drafts_of(plan, slots, stage, share_of_top, layings)
        if stage == 1 and drafts:
            where, place_findings = settle(
                [draft.layout for draft in drafts], plan.ground, plan.place, kit=plan.kit
            )
        layings += laid(plan, drafts, stage, where, layings)
    return Solved(
        plan=plan,
        layings=tuple(layings),
        stage_shares=shares,
        session=None,
        findings=(
            *findings,
            *sharing_findings,
            *_nobody(plan),
            *_height(plan),
            *place_findings,
            *_bag_of_waves(plan, layings),
            *_one_cadence(plan, layings),
            *_hold_broken(plan, layings),
        ),
    )


def spots_of(plan: Plan) -> dict[str, tuple[int, int]]:
    """Return the lane and wave of everybody who runs."""
    slots, _ = slots_of(plan, members_of(plan, plan.drill)[0])
    return {member.name: (slot.lane, slot.wave) for slot in slots for member in slot.members}


def _height(plan: Plan) -> list[Finding]:
    """Say for which height expected times are told."""
    height = plan.ground.altitude_m
    if not height:
        return []
    return [Finding.note("times-for-height", height_m=height)]


def _nobody(plan: Plan) -> list[Finding]:
    """Say when nobody of the plan is here, lest a plan without marks pass for a good one."""
    if not plan.away.issuperset([athlete.name for athlete in plan.athletes]):
        return []
    return [Finding.stop("nobody-here")]


def _bag_of_waves(plan: Plan, layings: Sequence[Laying]) -> list[Finding]:
    """Say when the lanes of one wave together need more wickets than the bag, and who gets what."""
    found = []
    for wave in sorted({laying.wave for laying in layings}):
        lanes = [laying for laying in layings if laying.wave == wave and laying.stage == 1]
        if len(lanes) < 2:
            continue
        needed = sum(len(each.layout.of_kind(MarkKind.WICKET)) for each in lanes)
        if plan.kit.wickets < needed:
            dealt = ", ".join(f"{hurdles_of(each.layout)} on lane {each.lane}" for each in lanes)
            found.append(
                Finding(
                    level=Level.CAUTION,
                    code="bag-too-small-for-lanes",
                    wave=wave,
                    values={
                        "needed": needed,
                        "lanes": len(lanes),
                        "bag": plan.kit.wickets,
                        "dealt": dealt,
                    },
                )
            )
    return found


def _one_cadence(plan: Plan, layings: Sequence[Laying]) -> list[Finding]:
    """Say when one cadence in steps/s is asked of athletes of different size."""
    cadence = getattr(plan.drill, "cadence", None)
    if cadence is None or cadence.rule is not CadenceRule.STEPS_PER_S:
        return []
    names = {name for laying in layings for name in laying.athletes}
    if len(names) < 2:
        return []
    found = [Finding.note("one-cadence-for-all", cadence_hz=cadence.value, athletes=len(names))]
    rates = [
        rate
        for laying in layings
        if len(laying.demands) > 1
        for demand in laying.demands
        if demand.appraisal is not None
        for rate in demand.appraisal.cadence_hz.tolist()
    ]
    # Sharers differ a little by nature; said from where it is more than sharing may cost a gap.
    off = max((abs(rate / cadence.value - 1.0) for rate in rates), default=0.0)
    if off > float(plan.judgement.share_cap):
        values = {"cadence_hz": cadence.value, "lowest_hz": min(rates), "highest_hz": max(rates)}
        code = "cadence-not-held-shared"
        found.append(Finding.caution(code, **values))
    return found


def _hold_broken(plan: Plan, layings: Sequence[Laying]) -> list[Finding]:
    """Say when the wicket that stages are to hold lies not there, or is moved by the place.

    A board holds by itself. A place told by another mark keeps that one where it is.
    """
    if plan.stages is None or not isinstance(plan.drill, AnyLength):
        return []
    hold = plan.stages.hold
    laid = max((laying.layout.of_kind(MarkKind.WICKET) for laying in layings), key=len, default=())
    if not laid:
        return []
    if any(mark.id == hold for mark in laid):
        moving = (o for o in layings if any(each.mark_id == hold for each in o.followed))
        placed = next((laying.placed.told_mark for laying in moving), hold)
        said = Finding.caution("stage-hold-moved", hold_mark=hold, place_mark=placed)
        return [] if placed == hold else [said]
    known = f"{laid[0].id} to {laid[-1].id}"
    return [Finding.caution("stage-hold-unknown", asked=hold, known=known)]


def _with_session(solved: Solved) -> Solved:
    """Say who runs when; a layout that is only tried has no need of it."""
    plan, asked = solved.plan, solved.plan.session
    now = 1 if plan.stages is None else plan.stages.now
    session = timetable(
        [laying for laying in solved.layings if laying.stage == now],
        efforts=asked.efforts,
        recovery_s=asked.recovery_s,
        length_s=asked.length_s,
        late_s={each.athlete: each.late_s for each in plan.adjustments},
        assistants=asked.assistants,
        judgement=plan.judgement,
    )
    if session is None:
        return solved
    return replace(solved, session=session, findings=(*solved.findings, *session.findings))


def _stage_shares(plan: Plan) -> tuple[float, ...]:
    if plan.stages is None:
        return (plan.drill.speed_share,)
    return speed_shares(plan.stages.from_share, plan.stages.to_share, plan.stages.count)


def places_for(solved: Solved) -> tuple[tuple[Place, float], ...]:
    """Return where on the plan's ground the longest of its layings fits, best first.

    Each place comes with the room left [m]: how far everything could still be moved.
    """
    if not solved.layings:
        return ()
    plan = solved.plan
    longest = max(
        (laying.layout for laying in solved.layings),
        key=lambda layout: layout.run_on_m + layout.section_m + layout.run_out_wanted_m,
    )
    return find_places(
        longest, plan.ground, kit=plan.kit, judgement=plan.judgement, lanes=plan.place.lanes
    )


def smaller_for_places(solved: Solved) -> Smaller | None:
    """Return the smallest change after which a plan that has no place on its ground has one.

    None when nothing smaller has one, or when nobody is laid for.
    """
    if not solved.layings:
        return None
    return largest_that_fits(
        solved.plan, _most_wickets(solved), lambda each: bool(places_for(_layings_of(each)))
    )
