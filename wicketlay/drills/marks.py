"""Marks on the ground, and the layout that a drill makes of them."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import field
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, NewType, overload

from wicketlay.drills.runs import Part, Run, run_along
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.findings import Finding, Value
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.athlete import Foot, Runner

AlongM = NewType("AlongM", float)
"""Distance [m] from a drill's own datum, positive in the running direction."""

CHALK = "chalk or tape mark"
"""Label of a wicket place for which the bag holds no hurdle."""


class MarkKind(StrEnum):
    """What stands at a mark."""

    START = "start"
    WICKET = "wicket"
    CONE = "cone"
    GATE = "gate"
    LANDING = "landing"


class Datum(StrEnum):
    """What `along` is measured from."""

    FIRST_WICKET = "w1"
    TAKEOFF_LINE = "line"
    FIRST_GATE = "gate1"
    START = "start"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One thing laid on the ground.

    Parameters
    ----------
    id
        `start`, `start-a`, `w1`, `cone1`, `gate1`, `step1`; never changes meaning.
    along_m
        Distance from the layout's datum [m].
    gap_m
        Distance from the mark of the same series before it [m], None for the first.
    natural_gap_m
        What the athlete's natural step would be there [m].
    gap_sd_m
        One SD of the gap [m].
    speed_mps, cadence_hz
        Speed there and cadence the gap asks for.
    foot
        For a wicket the foot that comes down next, beyond it; for a start mark the front foot.
    time_s
        Time from the athlete's first movement [s].
    label
        What the mark is for, where the kind alone does not say ("zone opens").
    """

    id: str
    kind: MarkKind
    along_m: AlongM
    gap_m: float | None = None
    natural_gap_m: float | None = None
    gap_sd_m: float | None = None
    speed_mps: float | None = None
    cadence_hz: float | None = None
    foot: Foot | None = None
    time_s: float | None = None
    label: str = ""

    @property
    def is_drawn(self) -> bool:
        """Whether it is made on the ground, of chalk or tape, and cannot be carried."""
        return self.kind is MarkKind.LANDING or self.label == CHALK


def start_mark(along_m: float, speed_mps: float, front_foot: Foot | None) -> Mark:
    """Return the start mark of a run that leaves it at a speed [m/s], 0 standing."""
    return Mark(
        id="start",
        kind=MarkKind.START,
        along_m=AlongM(along_m),
        foot=front_foot,
        speed_mps=speed_mps,
        time_s=0.0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOver:
    """What a run was timed over, from mark to mark as a tape shows it, and what was asked.

    Parameters
    ----------
    zone_m
        Between the marks it was timed from and to [m].
    run_on_m
        From the start mark to the first of them [m].
    asked_share
        What it was to build towards, as a share of top speed.
    moving_mps
        Speed at the start mark [m/s], 0 standing.
    """

    zone_m: float
    run_on_m: float
    asked_share: float
    moving_mps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """A touchdown of the run: where, when and which foot (None when it is not known)."""

    along_m: AlongM
    time_s: float
    speed_mps: float
    foot: Foot | None = None


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Landings(Sequence[Landing]):
    """Touchdowns in running order, kept by columns: seldom does anybody look at each."""

    along_m: tuple[float, ...]
    time_s: tuple[float, ...]
    speed_mps: tuple[float, ...]
    feet: tuple[Foot | None, ...]

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.along_m)

    @overload
    def __getitem__(self, which: int) -> Landing: ...
    @overload
    def __getitem__(self, which: slice) -> Landings: ...
    def __getitem__(self, which: int | slice) -> Landing | Landings:
        """Return one of them, or some."""
        if isinstance(which, slice):
            return Landings(
                along_m=self.along_m[which],
                time_s=self.time_s[which],
                speed_mps=self.speed_mps[which],
                feet=self.feet[which],
            )
        return Landing(
            along_m=AlongM(self.along_m[which]),
            time_s=self.time_s[which],
            speed_mps=self.speed_mps[which],
            foot=self.feet[which],
        )

    def shifted(self, by_m: float) -> Landings:
        """Return them with `by_m` added to their places."""
        return Landings(
            along_m=tuple([place + by_m for place in self.along_m]),
            time_s=self.time_s,
            speed_mps=self.speed_mps,
            feet=self.feet,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Marks of one drill for one runner, from the drill's own datum.

    Parameters
    ----------
    drill
        Kind of drill ("wicket-run").
    marks
        In running order.
    parts
        How it is run, from the start mark on: what is built, timed, and run easily.
    landings
        Touchdowns from the start mark on, in running order.
    approach_m
        Room for a walk-in or jog-in before the start mark [m].
    run_on_m, run_on_steps
        Start mark to the first wicket (or first zone mark); steps to the last landing before it.
    section_m, section_time_s
        First to last wicket (or zone mark).
    cadence_hz
        Cadence asked in the section.
    speed_share, built_to_mps
        What the run builds towards, as a share of top speed and as a speed.
    run_out_from_m
        Where the slow-down begins, along.
    run_out_wanted_m, run_out_least_m
        Room to slow down.
    defaults
        Values the coach did not give; keys end in their unit.
    appraisal
        What the wickets, as they lie here, ask of the runner; None when it was not worked out.
    """

    drill: str
    datum: Datum
    marks: tuple[Mark, ...]
    parts: tuple[Part, ...]
    landings: Sequence[Landing]
    run_on_m: float
    run_on_steps: int
    section_m: float
    section_time_s: float
    cadence_hz: float
    speed_share: float
    built_to_mps: float
    run_out_from_m: AlongM
    run_out_wanted_m: float
    run_out_least_m: float
    approach_m: float
    findings: tuple[Finding, ...] = ()
    defaults: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))
    appraisal: Appraisal | None = field(default=None, compare=False)

    def mark(self, mark_id: str) -> Mark:
        """Return the mark called `mark_id`; KeyError when there is none."""
        for mark in self.marks:
            if mark.id == mark_id:
                return mark
        raise KeyError(mark_id)

    def of_kind(self, *kinds: MarkKind) -> tuple[Mark, ...]:
        """Return the marks of the given kinds, in running order."""
        return tuple([mark for mark in self.marks if mark.kind in kinds])

    def run_of(
        self, runner: Runner, share: float | None = None, moving_mps: float | None = None
    ) -> Run:
        """Return the run of `runner` along it, building towards `share` of top speed.

        `moving_mps` is the speed at the start mark; None takes that of the layout.
        """
        moving = (self.start.speed_mps or 0.0) if moving_mps is None else moving_mps
        curve = runner.curve(self.speed_share if share is None else share, moving)
        return run_along(curve, self.parts)

    @property
    def slows_down(self) -> bool:
        """Whether the run ends in a slow-down, and not at a take-off line."""
        return self.run_out_wanted_m > 0 and self.datum is not Datum.TAKEOFF_LINE

    @property
    def start(self) -> Mark:
        """The (first) start mark."""
        for mark in self.marks:
            if mark.kind is MarkKind.START:
                return mark
        raise ValueError("a layout has a start mark")
