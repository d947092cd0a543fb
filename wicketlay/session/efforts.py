"""Runs and efforts: what kind of work a run is and what recovery it asks for."""

from __future__ import annotations

from enum import StrEnum

from wicketlay.errors import require_range
from wicketlay.sources import (
    DEFAULTS,
    EASY_BELOW_SHARE,
    LONG_SPRINT_RECOVERY_FROM,
    MAX_VELOCITY_FROM,
    SLOW_MEAN_MPS,
    TRAINING_RANGES,
    Judgement,
)
from wicketlay.values import dataclass


class Work(StrEnum):
    """What kind of sprint work a run is, by the published table."""

    MAX_VELOCITY = "maximal velocity"
    ACCELERATION = "acceleration"
    SPEED_ENDURANCE = "speed endurance"
    SUBMAXIMAL = "submaximal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entrant:
    """An athlete as the session sees them.

    Parameters
    ----------
    name
        Who; no name twice.
    run_m
        Start mark to last mark [m].
    speed_share
        What the run builds towards, as a share of top speed.
    lane, wave
        Where and with whom; waves count from 1 on each lane.
    run_on_m
        Start mark to the zone [m].
    zones_m
        Lengths of what is run at speed [m]: the section, between gates, the fast parts.
    run_s
        Expected time of a run [s]; None takes a slow mean speed.
    slow_down_s
        How long slowing down takes after it [s]: as long nobody lays on the lane or beside it.
    acceleration
        Whether only the first steps are worked on.
    """

    name: str
    run_m: float
    speed_share: float
    lane: int = 1
    wave: int = 1
    run_on_m: float = 0.0
    zones_m: tuple[float, ...] = ()
    run_s: float | None = None
    slow_down_s: float = 0.0
    acceleration: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        require_range("run", self.run_m, 0.1, 400.0, "m")
        require_range("speed", self.speed_share, 0.5, 1.0, "of top speed")
        require_range("run-on", self.run_on_m, 0.0, 400.0, "m")
        for zone_m in self.zones_m:
            require_range("zone", zone_m, 0.0, 400.0, "m")
        require_range("run", self.run_s, 0.3, 600.0, "s")
        require_range("slow-down", self.slow_down_s, 0.0, 60.0, "s")
        require_range("wave", self.wave, 1, 1000, "")

    @property
    def takes_s(self) -> float:
        """How long a run takes [s]."""
        return self.run_m / SLOW_MEAN_MPS if self.run_s is None else self.run_s

    @property
    def work(self) -> Work:
        """The kind of work by the published table; most wicket runs are none of its rows."""
        if self.acceleration:
            return Work.ACCELERATION
        if self.speed_share >= MAX_VELOCITY_FROM:
            return Work.MAX_VELOCITY
        if _within(self.speed_share, "speed_endurance_share") and _within(
            self.run_m, "speed_endurance_run_m"
        ):
            return Work.SPEED_ENDURANCE
        return Work.SUBMAXIMAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovery:
    """Time from the end of a run to the next start [s]: what is wanted, and its range."""

    wanted_s: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one athlete does in the session.

    Parameters
    ----------
    athlete, lane, wave, efforts, work
        Who, where, how often, and which kind of work it is.
    recovery_s, recovery
        Recovery planned [s], and what is wanted for such a run.
    sprint_m, zone_m
        Metres from start marks to last marks, and in the zone, of all efforts [m].
    first_s, last_s
        Start of the first run and end of the last [s].
    longest_wait_s
        Longest time from the end of a run to the next start [s].
    """

    athlete: str
    lane: int
    wave: int
    efforts: int
    work: Work
    recovery_s: float
    recovery: Recovery
    sprint_m: float
    zone_m: float
    first_s: float
    last_s: float
    longest_wait_s: float


def recovery_of(entrant: Entrant, judgement: Judgement = DEFAULTS) -> Recovery:
    """Return the recovery [s] that a run asks for.

    From 97 % of top speed a minute for every 10 m run, within the published 4 to 15 minutes;
    below 95 % half of that, within the 2 to 4 minutes of common practice; between the two in
    proportion. Acceleration work: a minute for every 10 m within the published 2 to 7 minutes.

    References
    ----------
    Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2. A minute for
    every 10 m and 2 to 4 minutes are common practice.
    """
    if entrant.acceleration:
        return _recovery(entrant.run_m * 6.0, *training_range("acceleration_recovery_s"))
    easy = _recovery(
        entrant.run_m * 3.0, float(judgement.recovery_low_s), float(judgement.recovery_high_s)
    )
    span = float(LONG_SPRINT_RECOVERY_FROM) - EASY_BELOW_SHARE
    part = min((entrant.speed_share - EASY_BELOW_SHARE) / span, 1.0)
    if part <= 0.0:
        return easy
    fast = _recovery(entrant.run_m * 6.0, *training_range("max_velocity_recovery_s"))
    return Recovery(
        wanted_s=easy.wanted_s + part * (fast.wanted_s - easy.wanted_s),
        low_s=easy.low_s + part * (fast.low_s - easy.low_s),
        high_s=easy.high_s + part * (fast.high_s - easy.high_s),
    )


_RANGES = {name: (float(low), float(high)) for name, (low, high) in TRAINING_RANGES.items()}


def training_range(name: str) -> tuple[float, float]:
    """Return the (low, high) ends of a published range, by its name in `sources`."""
    return _RANGES[name]


def _within(value: float, name: str) -> bool:
    low, high = _RANGES[name]
    return low <= value <= high


def _recovery(wanted_s: float, low_s: float, high_s: float) -> Recovery:
    return Recovery(wanted_s=min(max(wanted_s, low_s), high_s), low_s=low_s, high_s=high_s)
