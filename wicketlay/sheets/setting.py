"""What is printed: a laying or a whole plan, how it is to be printed, and what is asked of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.findings import Finding, by_gravity
from wicketlay.lanes.closing import left_over
from wicketlay.running.air import time_in_air_s
from wicketlay.session.schedule import EventKind
from wicketlay.sources import FEWEST_TO_TIME
from wicketlay.units import UnitSystem, format_count, format_length
from wicketlay.values import dataclass, replace
from wicketlay.wording.names import shown_text
from wicketlay.wording.places import pieces_text, place_parts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.drills.marks import Layout, Mark
    from wicketlay.session.session import Event
    from wicketlay.sheets.page.layout import Paper
    from wicketlay.solve import Demand, Laying, Solved


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """What a laying has to tell of itself because others are printed too, worked out once.

    Parameters
    ----------
    waves, stages
        Whether there are several.
    left_over
        (lane, wave, stage) to the hurdles in the bag once that lane is laid; none where others
        take from the bag.
    """

    waves: bool
    stages: bool
    left_over: Mapping[tuple[int, int, int], int]


def laid_events(solved: Solved) -> tuple[Event, ...]:
    """Return when lanes are laid and moved, in order; nothing where nobody runs."""
    events = () if solved.session is None else solved.session.events
    return tuple(each for each in events if each.kind is not EventKind.RUN)


def series_of(solved: Solved, *, own_bag: bool = True) -> Series:
    """Return what the layings of a plan have to tell of themselves."""
    layings = solved.layings
    return Series(
        waves=len({each.wave for each in layings}) > 1,
        stages=len({each.stage for each in layings}) > 1,
        left_over=left_over(layings, solved.plan.kit) if own_bag else {},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One laying and how it is to be printed."""

    solved: Solved
    series: Series
    laying: Laying
    paper: Paper
    unit: UnitSystem

    @property
    def left_over(self) -> int | None:
        """How many hurdles are in the bag once this lane is laid, None where others take some."""
        laying = self.laying
        return self.series.left_over.get((laying.lane, laying.wave, laying.stage))

    @property
    def has_card(self) -> bool:
        """Whether there are gaps that a change card could change, on a laying that is laid."""
        demands = self.laying.demands
        return not self.stopped and any(each.appraisal is not None for each in demands)

    @property
    def stopped(self) -> bool:
        """Whether it must not be laid, for a reason of its own or of the plan."""
        return not self.solved.may_lay(self.laying)

    @property
    def place(self) -> str:
        """Where, in the words that stand on every page of this laying."""
        return " · ".join(part.upper() for part in self._places())

    @property
    def short_place(self) -> str:
        """The same for a bookmark or a foot."""
        return ", ".join(self._places())

    def _places(self) -> tuple[str, ...]:
        parts = list(place_parts(self.laying))
        if self.series.waves:
            parts.append(f"wave {self.laying.wave}")
        if self.series.stages:
            parts.append(f"stage {self.laying.stage}")
        return tuple(parts)

    def length(self, length_m: float) -> str:
        """Return a length in the sheet's unit."""
        return format_length(length_m, self.unit)

    def pieces(self, length_m: float) -> str:
        """Return after a colon how a length beyond the tape is measured, "" for the others."""
        return pieces_text(self.laying, length_m, self.unit)

    def shown(self, length_m: float | None, *, bare: bool = False) -> str:
        """Return what the tape shows, in its own ticks; `bare` leaves metres unsaid."""
        return shown_text(length_m, self.unit, bare=bare)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSetting:
    """A whole plan, the layings that are printed, and how; of one `athlete` only, if asked.

    Where it is not `alone` a timetable of the whole practice stands for its own.
    """

    solved: Solved
    layings: tuple[Laying, ...]
    paper: Paper
    unit: UnitSystem
    athlete: str | None = None
    alone: bool = True

    @property
    def title(self) -> str:
        """What the plan is called, for the foot of its pages."""
        return self.solved.plan.title or "plan"

    def shown(self, length_m: float | None, *, bare: bool = False) -> str:
        """Return what the tape shows, in its own ticks; `bare` leaves metres unsaid."""
        return shown_text(length_m, self.unit, bare=bare)


def findings_of(setting: Setting, demand: Demand | None = None) -> tuple[Finding, ...]:
    """Return what the checks say about a laying, or about one athlete on it; stops first.

    What concerns the plan as a whole belongs to every laying; of what names several athletes, an
    athlete's own sheet names this one and how many others.
    """
    laying = setting.laying
    here = {None, *laying.athletes} if demand is None else {None, demand.athlete.name}
    found = [f for f in setting.solved.findings_on(laying) if f.athlete in here]
    if demand is not None:
        everybody = [each.name for each in setting.solved.plan.athletes]
        told = (_named_first(finding, demand.athlete.name, everybody) for finding in found)
        found = [finding for finding in told if finding is not None]
    return by_gravity(found)


def _named_first(finding: Finding, name: str, everybody: Sequence[str]) -> Finding | None:
    """Return a finding as it is told to one athlete, None when it names others only."""
    names = finding.values.get("names")
    if not isinstance(names, str):
        return finding
    padded = f", {names}, "
    concerned = [each for each in everybody if f", {each}, " in padded]
    if name not in concerned:
        return None
    others = len(concerned) - 1
    told = f"{name} and {format_count(others, 'other')}" if others else name
    return replace(finding, values={**finding.values, "names": told})


def expected_time_s(setting: Setting | PlanSetting, demand: Demand) -> float:
    """Return the time over the zone [s] that the laid marks ask of an athlete, for its height."""
    still_s = demand.section_time_s
    altitude_m = setting.solved.plan.ground.altitude_m
    if not altitude_m:
        return still_s
    return time_in_air_s(demand.layout.section_m, still_s, None, altitude_m)


def gap_sd_text(setting: Setting, demand: Demand) -> str:
    """Return how sure the widest gap of an athlete is, "" without gaps: `` ± 5 cm``."""
    sds = [mark.gap_sd_m for mark in demand.layout.of_kind(MarkKind.WICKET) if mark.gap_sd_m]
    return f" ± {setting.length(max(sds))}" if sds else ""


def worth_timing(layout: Layout) -> bool:
    """Tell whether the zone is long enough to time: too few wickets are not."""
    wickets = len(layout.of_kind(MarkKind.WICKET))
    return wickets == 0 or wickets >= FEWEST_TO_TIME


def marks_of(setting: Setting) -> tuple[Mark, ...]:
    """Return the marks that are laid, the start of the way back among them, in running order."""
    return tuple(each.mark for each in setting.laying.placed.marks)


FEW = 4
"""So many marks are all named on a drawing."""


def worth_a_name(marks: Sequence[Mark]) -> frozenset[str]:
    """Return the ids of the marks that a drawing names.

    Start marks, and of the others both ends and every fifth; one beside the last is left out. A
    few are all named.
    """
    series = [mark.id for mark in marks if mark.kind is not MarkKind.START]
    count = len(series)
    fives = {each for i, each in enumerate(series, start=1) if i % 5 == 0 and i + 1 != count}
    named = set(series) if count <= FEW else {series[0], series[-1], *fives}
    return frozenset(named.union(mark.id for mark in marks if mark.kind is MarkKind.START))


def along_of(setting: Setting, mark_id: str) -> float:
    """Return where a mark, or the take-off line, lies from the layout's datum [m]."""
    if mark_id == "line" and setting.laying.layout.datum is Datum.TAKEOFF_LINE:
        return 0.0
    return float(setting.laying.placed.mark(mark_id).mark.along_m)


def is_relaid(setting: Setting) -> bool:
    """Tell whether the marks of the wave before still lie on the lane."""
    return setting.laying.over is not None
