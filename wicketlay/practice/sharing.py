"""Who shares a laying: athletes on lanes and waves, by the smallest largest mismatch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError
from wicketlay.sources import DEFAULTS, Judgement

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
    """

    name: str
    gaps_m: NDArray[np.float64]
    natural_m: NDArray[np.float64]

    @property
    def mean_m(self) -> float:
        """Mean gap [m]."""
        return float(self.gaps_m.mean())


def shared_gaps(members: Sequence[Wanted], judgement: Judgement = DEFAULTS) -> NDArray[np.float64]:
    """Return the gaps [m] that `members` share, shape (n,).

    Each is the geometric midpoint of the shortest and the longest gap wanted there, capped at
    3 % over the shortest member's natural gap: a gap too long makes an athlete reach, one too
    short only hurries.
    """
    wanted = np.stack([member.gaps_m for member in members])
    natural = np.stack([member.natural_m for member in members])
    midpoint = np.sqrt(wanted.min(axis=0) * wanted.max(axis=0))
    if len(members) == 1:
        return np.asarray(midpoint, dtype=np.float64)
    cap = natural.min(axis=0) * (1.0 + float(judgement.share_cap))
    return np.asarray(np.minimum(midpoint, cap), dtype=np.float64)


def mismatch(members: Sequence[Wanted], judgement: Judgement = DEFAULTS) -> float:
    """Return the largest mismatch of a group: |ln(shared gap / own gap)| at its worst."""
    shared = shared_gaps(members, judgement)
    return max(float(np.abs(np.log(shared / member.gaps_m)).max()) for member in members)


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
        message = (
            "sharing needs athletes and at least one lane and wave, "
            f"got {len(members)} and {groups}"
        )
        raise DomainError(message)
    order = sorted(members, key=lambda member: (member.mean_m, member.name))
    count = len(order)
    most = min(groups, count)
    cost = [[math.inf] * (count + 1) for _ in range(count + 1)]
    for first in range(count):
        for end in range(first + 1, count + 1):
            cost[first][end] = mismatch(order[first:end], judgement)
    best = [[math.inf] * (count + 1) for _ in range(most + 1)]
    cut = [[0] * (count + 1) for _ in range(most + 1)]
    best[0][0] = 0.0
    for used in range(1, most + 1):
        for end in range(used, count + 1):
            for first in range(used - 1, end):
                candidate = max(best[used - 1][first], cost[first][end])
                if candidate < best[used][end]:
                    best[used][end] = candidate
                    cut[used][end] = first
    used = min(range(1, most + 1), key=lambda k: (best[k][count], k))
    parts: list[tuple[str, ...]] = []
    end = count
    while used:
        first = cut[used][end]
        parts.append(tuple(member.name for member in order[first:end]))
        end, used = first, used - 1
    return tuple(reversed(parts))
