"""Checks that every drill over wickets shares: the bag, the hurdles and the gaps' size."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from wicketlay.findings import Finding
from wicketlay.sources import CAUTION_WICKET_HEIGHT_M, FEWEST_TO_TIME, USUAL_GAPS_M

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.drills.kit import Kit
    from wicketlay.running.athlete import Runner


def bag_findings(places: NDArray[np.float64], kit: Kit) -> tuple[Finding, ...]:
    """Say how far the bag reaches when it does not hold `places` wickets, shape (n,) [m]."""
    missing = places.size - kit.wickets
    if missing <= 0:
        return ()
    reach = float(places[kit.wickets - 1] - places[0]) if kit.wickets else 0.0
    return (
        Finding.caution(
            "bag-too-small",
            needed=int(places.size),
            bag=kit.wickets,
            reach_m=reach,
            chalk=int(missing),
        ),
    )


def kit_findings(kit: Kit) -> tuple[Finding, ...]:
    """Say when the hurdles are so high that they change the run."""
    if kit.wicket_height_m < CAUTION_WICKET_HEIGHT_M:
        return ()
    return (
        Finding.caution(
            "wicket-high", height_m=kit.wicket_height_m, limit_m=float(CAUTION_WICKET_HEIGHT_M)
        ),
    )


def gap_findings(runner: Runner, places: NDArray[np.float64]) -> tuple[Finding, ...]:
    """Say when wickets are too few to time, or gaps are no running step; `places` (n,) [m]."""
    who = runner.athlete.name
    found = []
    if places.size < FEWEST_TO_TIME:
        found.append(
            Finding.note(
                "too-short-to-time", who, wickets=int(places.size), fewest=int(FEWEST_TO_TIME)
            )
        )
    at = places.tolist()
    gaps = [beyond - before for before, beyond in itertools.pairwise(at)]
    low, high = USUAL_GAPS_M
    if gaps and not (low <= min(gaps) and max(gaps) <= high):
        found.append(
            Finding.caution(
                "gap-unusual",
                who,
                shortest_m=min(gaps),
                longest_m=max(gaps),
                low_m=low,
                high_m=high,
            )
        )
    return tuple(found)
