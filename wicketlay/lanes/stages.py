"""Stages: the same marks followed as speed rises, with as few moved as possible."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray


class StageCadence(StrEnum):
    """What becomes of a cadence that was not named, as speed rises; gaps open less and less."""

    HELD = "held"
    HALF = "half"
    NATURAL = "natural"

    def of(self, first_hz: float, natural_hz: float) -> float:
        """Return the cadence [steps/s] of a stage from that of the first and the natural one.

        Half of the speed comes from longer gaps and half from cadence where it is the geometric
        mean of the two.
        """
        match self:
            case StageCadence.HELD:
                return first_hz
            case StageCadence.NATURAL:
                return natural_hz
            case _:
                return math.sqrt(first_hz * natural_hz)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageMove:
    """What changes from one stage to the next.

    Parameters
    ----------
    laid_m : array, shape (n,)
        Where the marks lie now [m].
    moved : array of bool, shape (n,)
        Which of them were moved.
    anew
        True when so many would move that all are laid anew.
    """

    laid_m: NDArray[np.float64]
    moved: NDArray[np.bool_]
    anew: bool


def speed_shares(from_share: float, to_share: float, count: int) -> tuple[float, ...]:
    """Return the speed share of each stage, evenly from the first to the last.

    Raises
    ------
    DomainError
        When there are fewer than two stages.
    """
    if count < 2:
        raise DomainError(f"a series has 2 stages or more, not {count}")
    return tuple(float(share) for share in np.linspace(from_share, to_share, count))


def follow(
    laid_m: Sequence[float] | NDArray[np.float64],
    true_m: Sequence[float] | NDArray[np.float64],
    tolerance_m: float,
) -> StageMove:
    """Move as few marks as possible so that places and gaps are right to the tolerance.

    A mark that stays is off by ``laid - true``; one that moves is off by nothing. Every mark
    and every neighbouring gap must be off by no more than the tolerance. The fewest moves are
    found exactly, by a dynamic programme along the marks with two states, stays and moves. The
    comparison is always with the true places of the stage, so errors cannot add up.

    Parameters
    ----------
    laid_m, true_m : array, shape (n,)
        Where the marks lie, and where this stage wants them [m].
    tolerance_m
        How far a place or a gap may be off [m], zero or more.

    Raises
    ------
    DomainError
        When the arrays differ in length or the tolerance is negative.
    """
    laid = np.asarray(laid_m, dtype=np.float64)
    true = np.asarray(true_m, dtype=np.float64)
    if laid.shape != true.shape or laid.ndim != 1:
        raise DomainError(
            f"{laid.size} marks lie and {true.size} are wanted; a stage keeps their number"
        )
    if not tolerance_m >= 0:
        raise DomainError(f"tolerance is {tolerance_m:g} m; it must be 0 or more")
    moved = _fewest_moves(laid - true, tolerance_m + 1e-9)
    anew = 2 * int(moved.sum()) > laid.size
    if anew:
        moved = np.ones(laid.size, dtype=np.bool_)
    return StageMove(laid_m=np.where(moved, true, laid), moved=moved, anew=anew)


def _fewest_moves(off: NDArray[np.float64], tolerance: float) -> NDArray[np.bool_]:
    """Return which marks move, shape (n,); ties keep the mark nearer the datum."""
    count = off.size
    moves = [[math.inf, math.inf] for _ in range(count)]  # [stays, moves] at each mark
    came_from = [[0, 0] for _ in range(count)]
    for i in range(count):
        for state, error in enumerate((off[i], 0.0)):
            if abs(error) > tolerance:
                continue
            if i == 0:
                moves[0][state] = state
                continue
            for before, before_error in enumerate((off[i - 1], 0.0)):
                total = moves[i - 1][before] + state
                if abs(error - before_error) <= tolerance and total < moves[i][state]:
                    moves[i][state] = total
                    came_from[i][state] = before
    moved = np.zeros(count, dtype=np.bool_)
    state = 0 if count and moves[-1][0] <= moves[-1][1] else 1
    for i in range(count - 1, -1, -1):
        moved[i] = bool(state)
        state = came_from[i][state]
    return moved
