"""What a review is: the comparison, the proposal and what to say, as plain values."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.sources import FAR_OFF_SHARE, UNLIKELY_SHARE
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.findings import Finding
    from wicketlay.running.athlete import FirstGuess, Observation
    from wicketlay.running.estimates import Estimate


class Feel(StrEnum):
    """What the coach saw of the gaps, beside the clock."""

    TIGHT = "tight"
    OPEN = "open"


def far_off(time_s: float, expected_s: float) -> bool:
    """Return whether a time [s] is so far from the expected one that it cannot be right."""
    return abs(time_s / expected_s - 1.0) > FAR_OFF_SHARE


class Doubt(StrEnum):
    """How a time that is far from the expected one is met."""

    NONE = "none"
    ASK = "ask"
    WRONG = "wrong"


class Reason(StrEnum):
    """Why a review proposes what it proposes."""

    WITHIN_ERROR = "within-error"
    HELD_BACK = "held-back"
    NOT_ENOUGH = "not-enough"
    FASTER = "faster"
    FASTER_CAPPED = "faster-capped"
    SLOWER = "slower"


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What times over marks say of one athlete.

    Parameters
    ----------
    athlete
        The athlete's name.
    date
        The day of the runs.
    from_mark, to_mark
        Between which marks the times were taken.
    mean_time, expected_time_s
        Mean of the times with its error, and the time the layout expects [s].
    achieved_speed, expected_speed_mps
        Mean speed between the marks [m/s].
    achieved_cadence, expected_cadence_hz
        Mean cadence between them [steps/s]; None between marks that do not count steps.
    top_speed_before, top_speed_seen, top_speed_told, top_speed_proposed
        Top speed as marks are laid by now, as these runs alone tell it, as it is known with
        them, and as marks should be laid by next [m/s].
    changed, reason
        Whether the proposal differs from now, and why or why not.
    followed_after
        About how many more days like this one marks want before they follow; None where they
        follow now, or as many as are tried move none.
    gap_m, gap_change_m
        A typical gap now and its change with the proposal [m]; None in a drill without gaps.
    cadence_change_share
        Change of the cadence the drill then asks for, as a share.
    doubted_s
        The time of the runs farthest from what is expected [s].
    sentence
        What to tell the athlete.
    findings
        What to tell the coach, beside.
    observation
        The run as `accept` writes it.
    first_guess
        Where a guessed top speed came from, written beside so that it stays known.
    """

    athlete: str
    date: date
    from_mark: str
    to_mark: str
    mean_time: Estimate
    expected_time_s: float
    achieved_speed: Estimate
    expected_speed_mps: float
    achieved_cadence: Estimate | None
    expected_cadence_hz: float | None
    top_speed_before: Estimate
    top_speed_seen: Estimate
    top_speed_told: Estimate
    top_speed_proposed: Estimate
    changed: bool
    reason: Reason
    gap_m: float | None
    gap_change_m: float | None
    cadence_change_share: float
    doubted_s: float
    sentence: Finding
    findings: tuple[Finding, ...]
    observation: Observation
    first_guess: FirstGuess | None = None
    followed_after: int | None = None

    @property
    def off_share(self) -> float:
        """How far the time farthest from the expected one is off it, as a share of that."""
        return self.doubted_s / self.expected_time_s - 1.0

    @property
    def doubt(self) -> Doubt:
        """Whether a time is asked about before it is written, or cannot be right at all."""
        if far_off(self.doubted_s, self.expected_time_s):
            return Doubt.WRONG
        return Doubt.ASK if abs(self.off_share) > UNLIKELY_SHARE else Doubt.NONE
