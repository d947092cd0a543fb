"""The plan: everything a coach decides, as frozen data in SI, defaults filled in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wicketlay.drills import (
    AccelerationMarks,
    BrokenRun,
    FlyingSegment,
    TakeoffRun,
    WicketRun,
)
from wicketlay.drills.kit import Kit
from wicketlay.drills.run_on import SPEED_SHARES
from wicketlay.errors import require_range
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import TapeSpec
from wicketlay.practice.session import ASSISTANTS, EFFORTS, LATE_S, LENGTHS_S, RECOVERIES_S
from wicketlay.sources import DEFAULTS, Judgement

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.drills import Spec
    from wicketlay.ground import Ground
    from wicketlay.running.athlete import Athlete

DRILL_KINDS: dict[type, str] = {
    WicketRun: "wicket-run",
    TakeoffRun: "takeoff-run",
    FlyingSegment: "flying",
    BrokenRun: "broken-run",
    AccelerationMarks: "acceleration",
}
"""What plan files and people call each drill."""


GAP_CHANGES = (-0.2, 0.2)
SHARE_CHANGES = (-0.3, 0.3)
START_SHIFTS_M = (-20.0, 20.0)
"""How far a coach may change one athlete's gaps, speed or cadence, and start mark."""
WAVES = (1, 50)
STAGE_COUNTS = (2, 20)
TOLERANCES_M = (0.0, 0.5)
"""How many waves and stages there may be, and how far a mark may be off in one [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """What a coach changed for one athlete during practice.

    Parameters
    ----------
    athlete
        The athlete's name.
    gap_change
        Gaps opened (+) or closed (-) by this share, W1 held.
    speed_change, cadence_change
        Added to the plan's shares (0.01 is a point).
    start_shift_m
        Start mark moved in the running direction.
    absent
        Not here today: left out, the others stay as they are where possible.
    late_s
        When the athlete arrives, from the beginning of the session [s]; 0 is in time.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    athlete: str
    gap_change: float = 0.0
    speed_change: float = 0.0
    cadence_change: float = 0.0
    start_shift_m: float = 0.0
    absent: bool = False
    late_s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no plan file could hold."""
        require_range("change of the gaps", self.gap_change, *GAP_CHANGES, "")
        require_range("change of the speed", self.speed_change, *SHARE_CHANGES, "of top speed")
        require_range("change of the cadence", self.cadence_change, *SHARE_CHANGES, "")
        require_range("shift of the start mark", self.start_shift_m, *START_SHIFTS_M, "m")
        require_range("arrival", self.late_s, *LATE_S, "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPlan:
    """Efforts, recovery, waves, length and who lays the marks; None means not said.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    efforts: int | None = None
    recovery_s: float | None = None
    waves: int | None = None
    length_s: float | None = None
    assistants: int = 1

    def __post_init__(self) -> None:
        """Refuse what cannot be a session."""
        require_range("efforts", self.efforts, *EFFORTS, "")
        require_range("recovery", self.recovery_s, *RECOVERIES_S, "s")
        require_range("waves", self.waves, *WAVES, "")
        require_range("session", self.length_s, *LENGTHS_S, "s")
        require_range("assistants", self.assistants, *ASSISTANTS, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePlan:
    """A series of layouts from one speed share to another.

    Parameters
    ----------
    from_share, to_share, count
        First and last speed share and how many stages.
    now
        The stage the athletes are at, from 1; paper shows this one.
    hold
        Id of the wicket that never moves.
    tolerance_m
        How far a place or a gap may be off before a mark is moved [m].
    natural_cadence
        True lets cadence rise with speed; False keeps it as a share of top cadence.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    from_share: float
    to_share: float
    count: int
    now: int = 1
    hold: str = "w1"
    tolerance_m: float = 0.03
    natural_cadence: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be a series."""
        require_range("first stage", self.from_share, *SPEED_SHARES, "of top speed")
        require_range("last stage", self.to_share, *SPEED_SHARES, "of top speed")
        require_range("stages", self.count, *STAGE_COUNTS, "")
        require_range("stage now", self.now, 1, self.count, "")
        require_range("tolerance", self.tolerance_m, *TOLERANCES_M, "m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """One practice.

    Parameters
    ----------
    title
        As the coach calls it.
    athletes
        In the order they run.
    drill
        What is run.
    ground, place
        Where; `ground` None is a free zero on unmarked ground.
    date
        Day of the practice; ages of athletes with a date of birth are taken on it.
    kit, tape, session, stages, adjustments, judgement
        The rest, each with defaults.
    """

    title: str
    athletes: tuple[Athlete, ...]
    drill: Spec
    ground: Ground
    place: Place = Place()
    kit: Kit = Kit()
    tape: TapeSpec = TapeSpec()
    session: SessionPlan = SessionPlan()
    stages: StagePlan | None = None
    adjustments: tuple[Adjustment, ...] = ()
    judgement: Judgement = field(default=DEFAULTS)
    date: date | None = None

    @property
    def drill_kind(self) -> str:
        """What the plan file calls the drill."""
        return DRILL_KINDS[type(self.drill)]

    @property
    def away(self) -> frozenset[str]:
        """Names of those who are not here today."""
        return frozenset(each.athlete for each in self.adjustments if each.absent)

    def adjustment(self, athlete: str) -> Adjustment:
        """Return the adjustment of one athlete, a neutral one when there is none."""
        for each in self.adjustments:
            if each.athlete == athlete:
                return each
        return Adjustment(athlete=athlete)
