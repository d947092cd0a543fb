"""Athletes on a laying: alone, or several on shared gaps with a lettered start mark each."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills import AnyLength, lay
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind
from wicketlay.drills.runs import Pace
from wicketlay.drills.wickets import bag_findings, wicket_marks
from wicketlay.findings import Finding
from wicketlay.lanes.laying import Demand
from wicketlay.lanes.sharing import Wanted, shared_gaps
from wicketlay.running.appraise import Appraisal, appraise
from wicketlay.sources import FOOT_AHEAD_M
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from wicketlay.drills import Kit, Spec
    from wicketlay.running.athlete import Foot, Runner
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """An athlete who runs today: the runner, what is asked of them, and their own layout.

    `start_shift_m` moves their start mark in the running direction, wickets staying. `spared` are
    a guess and a child: sharing puts nobody such over their own gaps. `letter` is that of
    their start mark where lanes are shared, "" elsewhere; it is theirs over the whole practice.
    """

    runner: Runner
    spec: Spec
    layout: Layout
    start_shift_m: float = 0.0
    spared: bool = False
    letter: str = ""

    @property
    def name(self) -> str:
        """The athlete's name."""
        return self.runner.athlete.name

    @property
    def start_along_m(self) -> AlongM:
        """Where the start mark lies."""
        return AlongM(self.layout.start.along_m + self.start_shift_m)


def places_of(layout: Layout) -> NDArray[np.float64]:
    """Return the places of the wickets, shape (n,), along [m]."""
    return np.array([mark.along_m for mark in layout.of_kind(MarkKind.WICKET)])


def wanted(member: Member) -> Wanted:
    """Return the gaps a member wants, for sharing."""
    wickets = member.layout.of_kind(MarkKind.WICKET)[1:]
    return Wanted(
        name=member.name,
        gaps_m=np.array([mark.gap_m for mark in wickets], dtype=np.float64),
        natural_m=np.array([mark.natural_gap_m for mark in wickets], dtype=np.float64),
        spared=member.spared,
    )


def timed_from(layout: Layout, runner: Runner, shift_m: float) -> Layout:
    """Return a layout with the times at its cones, gates and landings from a start mark moved.

    The first gap and the cadences are from there, too. The marks stay where they are, the start
    mark as well; over wickets their places tell the times.
    """
    timed = {MarkKind.CONE, MarkKind.GATE, MarkKind.LANDING}
    if not shift_m or not layout.of_kind(*timed):
        return layout
    first, *rest = layout.parts
    nearer = (replace(first, length_m=max(0.0, first.length_m - shift_m)), *rest)
    run = replace(layout, parts=nearer).run_of(runner)
    start = layout.start.along_m + shift_m

    def ran_m(mark: Mark) -> float:
        # The body is behind the toe that lands.
        behind = float(FOOT_AHEAD_M) if mark.kind is MarkKind.LANDING else 0.0
        return mark.along_m - start - behind

    begin, nearest, *beyond = (
        replace(mark, time_s=run.time_at(ran_m(mark)), speed_mps=run.speed_at(ran_m(mark)))
        if mark.kind in timed
        else mark
        for mark in layout.marks
    )
    gap = None if nearest.gap_m is None else nearest.gap_m - shift_m
    marks = (begin, replace(nearest, gap_m=gap), *beyond)
    marks = (begin, *(_paced(*pair) for pair in pairwise(marks)))
    last = layout.marks[-1]
    end = ran_m(last)
    # What is measured from the start mark is timed from it, wherever it lies.
    section = last.along_m - start if layout.datum is Datum.START else layout.section_m
    section_time = run.time_at(end) - run.time_at(max(0.0, end - section))
    return replace(layout, marks=marks, section_m=section, section_time_s=section_time)


def _paced(before: Mark, mark: Mark) -> Mark:
    """Return a landing with the cadence of the step that comes to it, others as they are."""
    if mark.kind is not MarkKind.LANDING:
        return mark
    took_s = (mark.time_s or 0.0) - (before.time_s or 0.0)
    return replace(mark, cadence_hz=1.0 / took_s if took_s > 0.0 else None)


def recounted(member: Member, wickets: int, kit: Kit, judgement: Judgement) -> Member:
    """Return the member laid with a given number of wickets, so that gaps can be compared."""
    if not isinstance(member.spec, AnyLength):
        return member
    spec = replace(member.spec, section_m=None, wickets=wickets)
    return replace(member, layout=lay(member.runner, spec, kit, judgement))


def on_marks(
    members: Sequence[Member],
    places: NDArray[np.float64] | None,
    kit: Kit,
    judgement: Judgement,
) -> tuple[Layout, tuple[Demand, ...]]:
    """Return the layout and the demands of `members` on one set of marks.

    Parameters
    ----------
    members
        In running order, one at least.
    places : array, shape (n,) or None
        Where the wickets lie, along [m]; None takes the only member's own layout.
    """
    middle = members[len(members) // 2]
    if len(members) == 1 and places is None and middle.start_shift_m == 0.0:
        alone = middle.layout
        letter = "" if alone.appraisal is None else middle.letter
        demand = _demand(middle, letter, alone.run_on_m, alone.appraisal)
        return _with_start(alone, demand) if letter else alone, (demand,)
    wickets = places_of(middle.layout) if places is None else places
    members, none_left = _with_run_ons(members, wickets)
    one_start = len({round(float(member.start_along_m), 3) for member in members}) == 1
    demands = []
    for member in members:
        # Where all stand at one mark, as before cones at fixed distances, it needs no letter.
        letter = "" if one_start and not wickets.size else member.letter
        run_on = member.layout.run_on_m - member.start_shift_m
        if wickets.size:
            run_on = float(wickets[0] - member.start_along_m)
        appraisal = _appraised(member, wickets, run_on, judgement)
        demands.append(_demand(member, letter, run_on, appraisal))
    layout = _composed(members, demands, wickets, kit)
    return replace(layout, findings=(*layout.findings, *none_left)), tuple(demands)


def _with_run_ons(
    members: Sequence[Member], wickets: NDArray[np.float64]
) -> tuple[list[Member], list[Finding]]:
    """Return the members with a run-on each, and a stop for whom their start mark leaves none.

    Of the stage as it was asked for that is refused before; where marks follow from stage to
    stage W1 comes nearer to it, or steps that are kept make less of a run-on.
    """
    found = []
    kept = list(members)
    for i, member in enumerate(members) if wickets.size else ():
        short_m = _LEAST_RUN_ON_M - float(wickets[0] - member.start_along_m)
        if short_m > 0.0:
            kept[i] = replace(member, start_shift_m=member.start_shift_m - short_m)
            reason = "a start mark moved so far in the running direction leaves no run-on here"
            found.append(Finding.stop("athlete-refused", member.name, reason=reason))
    return kept, found


_LEAST_RUN_ON_M = float(FOOT_AHEAD_M) + 0.01
"""A run-on that can be appraised, where nothing is laid from it."""


def _demand(member: Member, letter: str, run_on_m: float, appraisal: Appraisal | None) -> Demand:
    return Demand(
        athlete=member.runner.athlete,
        runner=member.runner,
        spec=member.spec,
        letter=letter,
        start_id=f"start-{letter.lower()}" if letter else "start",
        start_along_m=member.start_along_m,
        run_on_m=run_on_m,
        run_on_steps=member.layout.run_on_steps,
        front_foot=member.layout.start.foot,
        foot_is_wish=member.runner.athlete.front_foot is None,
        appraisal=appraisal,
        layout=member.layout,
    )


def _with_start(layout: Layout, demand: Demand) -> Layout:
    """Return a layout with the start mark called by the athlete's letter."""
    lettered = replace(layout.start, id=demand.start_id, label=demand.letter)
    marks = tuple(lettered if mark is layout.start else mark for mark in layout.marks)
    return replace(layout, marks=marks)


def group_places(
    members: Sequence[Member], section_m: float | None, judgement: Judgement
) -> NDArray[np.float64]:
    """Return where the shared wickets of `members` lie, W1 at 0, shape (n,) [m].

    All members must be laid with the same number of wickets. With a section by length the count
    is the one whose section is nearest.
    """
    gaps = shared_gaps([wanted(member) for member in members], judgement)
    places = np.concatenate(([0.0], np.cumsum(gaps)))
    if section_m is not None:
        places = places[: max(2, 1 + int(np.argmin(np.abs(places - section_m))))]
    return places


def letter_of(i: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    letters = ""
    i += 1
    while i:
        i, rest = divmod(i - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _appraised(
    member: Member, wickets: NDArray[np.float64], run_on_m: float, judgement: Judgement
) -> Appraisal | None:
    if not wickets.size:
        return None
    own = member.layout.appraisal
    if (
        own is not None
        and run_on_m == member.layout.run_on_m
        and wickets.size == own.along_m.size
        and (wickets == own.along_m).all()
    ):
        return own
    return appraise(
        member.runner,
        wickets,
        run_on_m=run_on_m,
        speed_share=member.spec.speed_share,
        start=member.spec.start,
        judgement=judgement,
    )


def _composed(
    members: Sequence[Member], demands: Sequence[Demand], wickets: NDArray[np.float64], kit: Kit
) -> Layout:
    """Return one layout with a start mark each; speeds and natural gaps are the middle one's."""
    middle = len(members) // 2
    base = members[middle].layout
    feet: dict[str, set[Foot | None]] = {}
    for demand in demands:
        feet.setdefault(demand.start_id, set()).add(demand.front_foot)
    starts = {
        demand.start_id: replace(
            member.layout.start,
            id=demand.start_id,
            along_m=demand.start_along_m,
            # One of each is no foot of the mark's.
            foot=demand.front_foot if len(feet[demand.start_id]) == 1 else None,
            label=demand.letter,
        )
        for member, demand in zip(members, demands, strict=True)
    }
    rest = [mark for mark in base.marks if mark.kind not in {MarkKind.START, MarkKind.WICKET}]
    appraisal = demands[middle].appraisal
    laid = (
        ()
        if appraisal is None
        else _wickets(members[middle], appraisal, base, kit, alone=len(members) == 1)
    )
    marks = sorted([*starts.values(), *rest, *laid], key=lambda mark: mark.along_m)
    last = float(wickets[-1]) if wickets.size else base.run_out_from_m
    section = float(wickets[-1] - wickets[0]) if wickets.size else base.section_m
    section_time = base.section_time_s if appraisal is None else float(appraisal.time_s[-1])
    shared = len(members) > 1
    own_bag = {"bag-too-small"}
    return replace(
        base,
        marks=tuple(marks),
        appraisal=None,
        landings=base.landings if not shared else (),
        approach_m=max(member.layout.approach_m for member in members),
        run_on_m=max(demand.run_on_m for demand in demands),
        parts=tuple(
            replace(part, length_m=section) if part.pace is Pace.TIMED and wickets.size else part
            for part in (demands[middle].first_part, *base.parts[1:])
        ),
        section_m=section,
        section_time_s=section_time,
        cadence_hz=(base.cadence_hz if appraisal is None else (wickets.size - 1) / section_time),
        run_out_from_m=AlongM(last) if base.datum == "w1" else base.run_out_from_m,
        run_out_wanted_m=max(member.layout.run_out_wanted_m for member in members),
        run_out_least_m=max(member.layout.run_out_least_m for member in members),
        findings=(
            *(f for d in demands if d.appraisal is not None for f in d.appraisal.findings),
            *(
                _as_laid(f, member, wickets)
                for member in members
                for f in member.layout.findings
                if f.code not in own_bag | _LIMIT_CODES
            ),
            *bag_findings(wickets, kit),
        ),
    )


def _as_laid(finding: Finding, member: Member, wickets: NDArray[np.float64]) -> Finding:
    """Return what was found of a member's own gaps as it is of the gaps laid."""
    short = finding.values.get("short_share")
    if finding.code != "gaps-laid-short" or not isinstance(short, float):
        return finding
    laid, own = np.diff(wickets), np.diff(places_of(member.layout))
    count = min(laid.size, own.size)
    longest = float((laid[:count] / own[:count]).max(initial=0.0)) if count else 1.0
    # No digit of a float's last place: gaps that are the member's own stay as short as they were.
    values = {**finding.values, "short_share": round(1.0 - (1.0 - short) * longest, 9)}
    return replace(finding, values=values)


_LIMIT_CODES = {"gap-too-long", "gap-too-short", "cadence-over-top", "cadence-high-for-anyone"}
"""Codes that speak of a member's own gaps and are said again of the shared ones."""


def _wickets(
    member: Member, appraisal: Appraisal, base: Layout, kit: Kit, *, alone: bool
) -> tuple[Mark, ...]:
    """Return the laid wickets with one member's speed, cadence and natural gap."""
    own = {mark.id: mark for mark in base.of_kind(MarkKind.WICKET)}
    cadence = getattr(member.spec, "cadence", CadenceTarget())
    return wicket_marks(
        member.runner,
        appraisal,
        fixed=cadence.rule is CadenceRule.STEPS_PER_S,
        feet=[own[i].foot if alone and i in own else None for i in appraisal.mark_ids],
        hurdles=kit.wickets,
    )
