"""A laying: one set of marks on one lane, and what it asks of each athlete who runs on it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.drills.marks import AlongM, Datum
from wicketlay.drills.run_on import run_on_sd_m
from wicketlay.findings import Level
from wicketlay.ground.courses import fixed_points
from wicketlay.ground.readings import TapeLies
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.drills import Spec
    from wicketlay.drills.marks import Layout
    from wicketlay.drills.runs import Part
    from wicketlay.findings import Finding
    from wicketlay.ground.placing import FixedPoint, Placed
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.athlete import Athlete, Foot, Runner
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One athlete on a laying: where they start and what the laid marks ask of them.

    Parameters
    ----------
    athlete, runner, spec
        Who, and what is asked of them.
    letter
        Letter of the start cone when several start marks share the laying, else "".
    start_id
        Id of the start mark ("start", "start-a").
    start_along_m, run_on_m, run_on_steps
        Start mark.
    front_foot, foot_is_wish
        Front foot on the start mark, and whether it follows from the foot wanted at W1.
    appraisal
        Speed, cadence and gap against the natural step at each laid wicket; None for a drill
        without wickets.
    layout
        The layout this athlete would get alone.
    """

    athlete: Athlete
    runner: Runner
    spec: Spec
    letter: str
    start_id: str
    start_along_m: AlongM
    run_on_m: float
    run_on_steps: int
    front_foot: Foot | None
    foot_is_wish: bool
    appraisal: Appraisal | None
    layout: Layout

    @property
    def mismatch(self) -> float:
        """Laid gap over the athlete's natural step, minus 1; the one farthest from 0."""
        if self.appraisal is None:
            return 0.0
        return self.appraisal.worst_excess

    @property
    def section_time_s(self) -> float:
        """Time over the zone that the laid marks ask of this athlete [s]."""
        if self.appraisal is not None and len(self.appraisal.time_s) > 1:
            return float(self.appraisal.time_s[-1])
        return self.layout.section_time_s

    @property
    def cadence_hz(self) -> float:
        """Mean cadence over the zone as laid [steps/s]."""
        if self.appraisal is not None and len(self.appraisal.time_s) > 1:
            return len(self.appraisal.cadence_hz) / self.section_time_s
        return self.layout.cadence_hz

    @property
    def first_part(self) -> Part:
        """The first part of the run, as long as it is from the start mark as it lies."""
        first = self.layout.parts[0]
        longer = self.run_on_m - self.layout.run_on_m
        return replace(first, length_m=max(0.0, first.length_m + longer))

    @property
    def approach_steps(self) -> int | None:
        """All steps of a run to a take-off line, the one onto it included; None of others."""
        layout = self.layout
        return len(layout.landings) if layout.datum is Datum.TAKEOFF_LINE else None

    def run_on_sd_m(self, judgement: Judgement) -> float | None:
        """Return one SD of the run-on [m]; None where no landing has to meet a mark."""
        if self.appraisal is None:
            return None
        return run_on_sd_m(
            self.runner,
            self.run_on_steps,
            speed_share=self.spec.speed_share,
            start=self.spec.start,
            judgement=judgement,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A mark that is moved from one laying to the next on its lane.

    Parameters
    ----------
    mark_id
        Which mark.
    by_m
        How far, positive in the running direction; None when the mark is laid, taken up or both.
    shown_m
        The same as the readings of the tape show it [m]; this is what is printed.
    taken_up
        True when the next laying has no such mark.
    drawn
        True for a mark of chalk or tape that lies there: it cannot be carried to its new place.
    remade
        True for a hurdle that becomes a mark of chalk or tape, or the other way round: what lies
        there is taken up, and it is laid anew.
    """

    mark_id: str
    by_m: float | None
    shown_m: float | None = None
    taken_up: bool = False
    drawn: bool = False
    remade: bool = False


def handled(moved: Sequence[Moved]) -> int:
    """Return how many marks are handled; what is taken up is laid again as new, and one mark."""
    up = sum(each.taken_up for each in moved)
    new = sum(each.by_m is None and not each.remade for each in moved) - up
    return len(moved) - min(up, new)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """One set of marks on one lane, for one wave and stage.

    Parameters
    ----------
    lane, wave, stage
        Where and when; waves and stages count from 1.
    demands
        Who runs on it, in running order.
    layout, placed, tape
        The marks, where they lie, and what the tape reads.
    over
        The wave whose marks lie there, on the same lane and day; None for the first.
    moved
        What is moved from that wave; empty for the first, or where nothing moves. In
        the order it is done: what is taken up, then forward moves from the far end and those back
        from the near end, so that no mark is set past one that still lies, then what is new.
    followed
        What is moved from the stage before it in the same lane and wave; empty at stage 1.
    laid_anew
        True when a stage follows nothing: the first, or one that lays everything again.
    findings
        Everything the checks say of it.
    """

    lane: int
    wave: int
    stage: int
    demands: tuple[Demand, ...]
    layout: Layout
    placed: Placed
    tape: TapeSheet
    over: int | None = None
    moved: tuple[Moved, ...] = ()
    followed: tuple[Moved, ...] = ()
    laid_anew: bool = True
    findings: tuple[Finding, ...] = ()

    @property
    def athletes(self) -> tuple[str, ...]:
        """Names, in running order."""
        return tuple(demand.athlete.name for demand in self.demands)

    @property
    def on_bend(self) -> bool:
        """Whether any mark lies on a bend, where it matters along what the tape lies."""
        return any(math.isfinite(each.radius_m) for each in self.placed.marks)

    def told_m(self, point: FixedPoint) -> float:
        """Return how far the zero lies from a fixed point along what the tape lies on [m]."""
        painted = self.tape.spec.lies is TapeLies.PAINTED_LINE
        return point.painted_m if painted and point.painted_m is not None else point.distance_m

    def layout_for(self, demand: Demand) -> Layout:
        """Return the marks with the run of one athlete, from their own start mark."""
        return replace(self.layout, parts=(demand.first_part, *self.layout.parts[1:]))

    @property
    def middle(self) -> Demand:
        """Whose speeds, times and natural gaps stand at the marks, of several athletes."""
        return self.demands[len(self.demands) // 2]

    @property
    def stopped(self) -> bool:
        """Whether it must not be laid."""
        return any(finding.level is Level.STOP for finding in self.findings)

    @property
    def handled(self) -> int:
        """How many marks are handled before this wave."""
        return handled(self.moved)

    @property
    def told_point(self) -> FixedPoint | None:
        """How far the mark that the place was told for lies from its landmark, None without one."""
        placed = self.placed
        if placed.told is None:
            return None
        # Several starts that share a laying are no mark of that name: they share its datum.
        at = placed.chainages.get(placed.told_mark, placed.chainage_of(AlongM(0.0)))
        return fixed_points(placed.course, float(at), placed.direction, placed.told)[0]

    @property
    def zero_points(self) -> tuple[FixedPoint, ...]:
        """What the first zero is told by: the fixed point to measure from, then one to check."""
        return self.tape.pulls[0].fixed_points
