"""Who shares a laying: athletes on lanes and waves, by the smallest largest mismatch."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The gaps one athlete wants, alone.

    Parameters
    ----------
    name
        Who.
    gaps_m, natural_m : array, shape (n,)
        The gaps the athlete would be laid and the natural steps there [m].
    spared
        Whether nobody may put them over the gaps they would be laid: a guess or a child.
    """

    name: str
    gaps_m: NDArray[np.float64]
    natural_m: NDArray[np.float64]
    spared: bool = False

    @property
    def mean_m(self) -> float:
        """Mean gap [m]."""
        return float(self.gaps_m.mean())

    def most_m(self, judgement: Judgement) -> NDArray[np.float64]:
        """Return the longest gaps that may be laid them when they share, shape (n,) [m]."""
        over = self.natural_m * (1.0 + float(judgement.share_cap))
        return np.minimum(over, self.gaps_m) if self.spared else over


def shared_gaps(members: Sequence[Wanted], judgement: Judgement = DEFAULTS) -> NDArray[np.float64]:
    """Return the gaps [m] that `members` share, shape (n,).

    Each is the geometric midpoint of the shortest and the longest gap wanted there, capped at
    3 % over the shortest member's natural gap, and at the own gap of a member who is spared: a
    gap too long makes an athlete reach, one too short only hurries.
    """
    wanted = np.stack([member.gaps_m for member in members])
    midpoint = np.sqrt(wanted.min(axis=0) * wanted.max(axis=0))
    if len(members) == 1:
        return np.asarray(midpoint, dtype=np.float64)
    cap = np.stack([member.most_m(judgement) for member in members]).min(axis=0)
    return np.asarray(np.minimum(midpoint, cap), dtype=np.float64)


def share(
    members: Sequence[Wanted], groups: int, judgement: Judgement = DEFAULTS
) -> tuple[tuple[str, ...], ...]:
    """Return the names in at most `groups` groups with the smallest largest mismatch.

    Groups are contiguous in order of mean gap; the partition is exact, by a dynamic programme
    over (members placed, groups used). Of equal partitions the one with fewer groups is taken.

    Parameters
    ----------
    members
        What each athlete wants; all with the same number of gaps.
    groups
        Lanes times waves.

    Raises
    ------
    DomainError
        When there is nobody, or no group to put anybody in.
    """
    if not members or groups < 1:
        raise DomainError(
            "sharing needs athletes and at least one lane and wave, "
            f"got {len(members)} and {groups}"
        )
    order = sorted(members, key=lambda member: (member.mean_m, member.name))
    count = len(order)
    most = min(groups, count)
    cost = _costs(order, judgement)
    best = np.full((most + 1, count + 1), np.inf)
    cut = np.zeros((most + 1, count + 1), dtype=np.intp)
    best[0, 0] = 0.0
    for used in range(1, most + 1):
        for end in range(used, count + 1):
            candidates = np.maximum(best[used - 1, :end], cost[:end, end])
            cut[used, end] = np.argmin(candidates)
            best[used, end] = candidates[cut[used, end]]
    used = 1 + int(np.argmin(best[1:, count]))
    parts: list[tuple[str, ...]] = []
    end = count
    while used:
        first = int(cut[used, end])
        parts.append(tuple(member.name for member in order[first:end]))
        end, used = first, used - 1
    return tuple(reversed(parts))


def _costs(order: Sequence[Wanted], judgement: Judgement) -> NDArray[np.float64]:
    """Return the mismatch of every run of neighbours, shape (n, n + 1): [first, end).

    The mismatch of a group is |ln(shared gap / own gap)| of any of its members at its worst.
    Only the shortest and the longest gap of a group matter for it, so groups that begin with
    one member are valued together as they grow.
    """
    wanted = np.stack([member.gaps_m for member in order])
    most = np.stack([member.most_m(judgement) for member in order])
    count = len(order)
    cost = np.full((count, count + 1), np.inf)
    for first in range(count):
        shortest = np.minimum.accumulate(wanted[first:], axis=0)
        longest = np.maximum.accumulate(wanted[first:], axis=0)
        capped = np.minimum.accumulate(most[first:], axis=0)
        shared = np.minimum(np.sqrt(shortest * longest), capped)
        worst = np.maximum(np.abs(np.log(shared / shortest)), np.abs(np.log(shared / longest)))
        cost[first, first + 1 :] = worst.max(axis=1)
        cost[first, first + 1] = 0.0
    return cost
