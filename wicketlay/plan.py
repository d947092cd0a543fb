"""The plan: everything a coach decides, as frozen data in SI, defaults filled in."""

from __future__ import annotations

from dataclasses import field
from functools import lru_cache
from string import ascii_uppercase
from typing import TYPE_CHECKING, get_args

from wicketlay.declared import Keyed, Kind, check_keys, declare, keyed, range_of
from wicketlay.drills import Spec
from wicketlay.drills.kit import Kit
from wicketlay.drills.run_on import GAP_CHANGES, SPEED_SHARES
from wicketlay.errors import DomainError, require_range
from wicketlay.ground.courses import spelt_as_known
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import TapeSpec
from wicketlay.lanes.stages import StageCadence
from wicketlay.session.session import ARRIVALS_S, ASSISTANTS, EFFORTS, LENGTHS_S, RECOVERIES_S
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass, replace, set_when_made

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.ground import Ground
    from wicketlay.running.athlete import Athlete

WAVES = (1, 50)
"""How many waves there may be."""
DRILL_KINDS: dict[type[Spec], str] = {each: each.kind for each in get_args(Spec)}
"""What plan files and people call each drill."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """What a coach changed for one athlete during practice.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    athlete: str = field(metadata=declare(Kind.TEXT, "whose it is", example='"Wren"'))
    gap_change: float = keyed(
        0.0,
        Kind.SHARE,
        "gaps opened (+) or closed (-), W1 held",
        *GAP_CHANGES,
        name="gaps",
        what="change of the gaps",
        signed=True,
    )
    speed_change: float = keyed(
        0.0,
        Kind.SHARE,
        "points added to the plan's speed",
        -0.3,
        0.3,
        name="speed",
        what="change of the speed",
        si="of top speed",
        signed=True,
    )
    cadence_change: float = keyed(
        0.0,
        Kind.SHARE,
        "points added to the plan's cadence",
        -0.3,
        0.3,
        name="cadence",
        what="change of the cadence",
        signed=True,
    )
    start_shift_m: float = keyed(
        0.0,
        Kind.LENGTH,
        "start mark moved in the running direction",
        -20.0,
        20.0,
        name="start",
        what="shift of the start mark",
        unit="cm",
        signed=True,
    )
    slide_m: float = keyed(
        0.0,
        Kind.LENGTH,
        "all marks of the athlete moved in the running direction, on top of the place's slide",
        -5.0,
        5.0,
        unit="cm",
        signed=True,
    )
    absent: bool = keyed(
        False, Kind.FLAG, "not here today; the others stay as they are where possible"
    )
    late_s: float = keyed(
        0.0,
        Kind.DURATION,
        "when the athlete arrives, from the beginning of the session",
        *ARRIVALS_S,
        what="arrival",
        unit="min",
    )
    lane: int | None = keyed(
        None,
        Kind.COUNT,
        "the lane the athlete runs on; left out, dealt",
        *range_of(Place, "lanes"),
        example="5",
    )
    wave: int | None = keyed(
        None, Kind.COUNT, "the wave the athlete runs in; left out, dealt", *WAVES, example="2"
    )
    letter: str | None = keyed(
        None,
        Kind.WORD,
        "letter of the start mark on a shared lane; left out, by the place in the plan",
        words={letter: letter for letter in ascii_uppercase},
        also={letter.lower(): letter for letter in ascii_uppercase},
        example='"C"',
    )

    def __post_init__(self) -> None:
        """Refuse what no plan file could hold."""
        check_keys(self)
        if self.letter is not None and self.letter not in set(ascii_uppercase):
            raise DomainError(f'start letter is "{self.letter}"; it must be one of A to Z')


@lru_cache(maxsize=256)
def _unchanged(athlete: str) -> Adjustment:
    """Return the neutral adjustment of an athlete, which everybody asks for over and over."""
    return Adjustment(athlete=athlete)


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPlan(Keyed):
    """Efforts, recovery, waves, length and who lays the marks; None means not said.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    efforts: int | None = keyed(
        None,
        Kind.COUNT,
        "runs of each athlete",
        *EFFORTS,
        aka=("runs", "reps", "repetitions"),
        left_out=f"{DEFAULTS.efforts:g}, or as few as keep within the metres of a session",
    )
    recovery_s: float | None = keyed(
        None,
        Kind.DURATION,
        "from one run to the next",
        *RECOVERIES_S,
        aka=("rest", "pause"),
        unit="min",
        left_out="what speed and distance ask for",
    )
    waves: int | None = keyed(None, Kind.COUNT, "groups that run one after another", *WAVES)
    length_s: float | None = keyed(
        None, Kind.DURATION, "how long there is", *LENGTHS_S, what="session", unit="min"
    )
    assistants: int = keyed(1, Kind.COUNT, "who lay marks", *ASSISTANTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePlan:
    """A series of layouts from one speed share to another.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    from_share: float = field(
        metadata=declare(
            Kind.SHARE,
            "speed of the first stage",
            *SPEED_SHARES,
            name="from",
            what="first stage",
            si="of top speed",
            example='"88 %"',
        )
    )
    to_share: float = field(
        metadata=declare(
            Kind.SHARE,
            "speed of the last stage",
            *SPEED_SHARES,
            name="to",
            what="last stage",
            si="of top speed",
            example='"97 %"',
        )
    )
    count: int = field(
        metadata=declare(Kind.COUNT, "how many stages", 2, 20, what="stages", example="4")
    )
    now: int = keyed(
        1, Kind.COUNT, "the stage the athletes are at; paper shows it", 1, 20, what="stage now"
    )
    hold: str = keyed("w1", Kind.TEXT, "the wicket that never moves")
    tolerance_m: float = keyed(
        0.03, Kind.LENGTH, "how far a mark may be off before it is moved", 0.0, 0.5, unit="cm"
    )
    cadence: StageCadence = keyed(
        StageCadence.HALF,
        Kind.WORD,
        "where more speed comes from: held, longer gaps; half, both; natural, as the step does",
        words=StageCadence,
        also={"share": StageCadence.HELD},  # as it was written once
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be a series."""
        check_keys(self)
        require_range("stage now", self.now, 1, self.count, "")


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
    ground_file
        The ground file the plan names, None when the ground is its own.
    guests
        Names of those who stand in the plan beside its squad file; a matter of where they are
        written, so that no plan differs by it.
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
    ground_file: str | None = None
    guests: frozenset[str] = field(default=frozenset(), compare=False)

    def __post_init__(self) -> None:
        """Spell marks, line and landmark as they are known, in whatever case they were written.

        Adjustments stand as their athletes do: no plan differs by who was adjusted last.
        """
        own: dict[str, object] = {"place": spelt_as_known(self.place, self.ground)}
        if self.tape.zero is not None and self.tape.zero != self.tape.zero.lower():
            own["tape"] = replace(self.tape, zero=self.tape.zero.lower())
        if self.stages is not None and self.stages.hold != self.stages.hold.lower():
            own["stages"] = replace(self.stages, hold=self.stages.hold.lower())
        if len(self.adjustments) > 1:
            order = {athlete.name: place for place, athlete in enumerate(self.athletes)}
            own["adjustments"] = tuple(
                sorted(
                    self.adjustments,
                    key=lambda each: (order.get(each.athlete, len(order)), each.athlete),
                )
            )
        for name, value in own.items():
            set_when_made(self, name, value)

    @property
    def drill_kind(self) -> str:
        """What the plan file calls the drill."""
        return self.drill.kind

    @property
    def line(self) -> str:
        """The line that is run on: the one that is named, else the first of the ground."""
        return self.place.line or self.ground.lines[0]

    @property
    def stage(self) -> int:
        """The stage the athletes are at; 1 where there is no series of them."""
        return 1 if self.stages is None else self.stages.now

    @property
    def away(self) -> frozenset[str]:
        """Names of those who are not here today."""
        return frozenset([each.athlete for each in self.adjustments if each.absent])

    def known(self, athlete: str) -> Athlete:
        """Return what is known of one athlete of the plan."""
        return next(each for each in self.athletes if each.name == athlete)

    def with_known(self, athlete: Athlete) -> Plan:
        """Return the plan with what is known of the athlete of that name."""
        athletes = (athlete if each.name == athlete.name else each for each in self.athletes)
        return replace(self, athletes=tuple(athletes))

    def adjustment(self, athlete: str) -> Adjustment:
        """Return the adjustment of one athlete, a neutral one when there is none."""
        for each in self.adjustments:
            if each.athlete == athlete:
                return each
        return _unchanged(athlete)

    def with_adjustment(self, changed: Adjustment) -> Plan:
        """Return the plan with one athlete's adjustment in the place of the one they had.

        A neutral one is dropped.
        """
        found = {each.athlete: each for each in self.adjustments} | {changed.athlete: changed}
        if changed == _unchanged(changed.athlete):
            del found[changed.athlete]
        return replace(self, adjustments=tuple(found.values()))
