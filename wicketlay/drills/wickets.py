"""What every drill over wickets shares: its marks, and checks of bag, hurdles and gaps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import CHALK, AlongM, Mark, MarkKind
from wicketlay.findings import Finding
from wicketlay.sources import CAUTION_WICKET_HEIGHT_M, FEWEST_TO_TIME, USUAL_GAPS_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from wicketlay.drills.kit import Kit
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.athlete import Foot, Runner


def wicket_marks(
    runner: Runner,
    appraisal: Appraisal,
    *,
    fixed: bool,
    feet: Sequence[Foot | None],
    hurdles: int,
) -> tuple[Mark, ...]:
    """Return the wickets of `appraisal` as marks.

    Parameters
    ----------
    fixed
        Whether the cadence is given in steps/s: the gap's error is then that of top speed,
        otherwise that of the step.
    feet
        The foot that lands beyond each wicket.
    hurdles
        How many hurdles there are; places beyond that are chalk or tape marks.
    """
    share = (runner.top_speed if fixed else runner.gait.top_step).relative_sd
    alongs: list[AlongM] = appraisal.along_m.tolist()
    # There is no gap before the first.
    gaps: list[float | None] = [None, *appraisal.gap_m.tolist()]
    naturals: list[float | None] = [None, *appraisal.natural_gap_m.tolist()]
    cadences: list[float | None] = [None, *appraisal.cadence_hz.tolist()]
    columns = zip(
        appraisal.mark_ids,
        alongs,
        appraisal.speed_mps.tolist(),
        appraisal.time_s.tolist(),
        gaps,
        naturals,
        cadences,
        feet,
        strict=True,
    )
    return tuple(
        [
            Mark(
                id=mark_id,
                kind=MarkKind.WICKET,
                along_m=along,
                gap_m=gap,
                natural_gap_m=natural,
                gap_sd_m=None if gap is None else gap * share,
                speed_mps=speed,
                cadence_hz=cadence,
                foot=foot,
                time_s=appraisal.first_s + time,
                label=CHALK if i >= hurdles else "",
            )
            for i, (mark_id, along, speed, time, gap, natural, cadence, foot) in enumerate(columns)
        ]
    )


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


def gap_findings(runner: Runner, gaps_m: NDArray[np.float64]) -> tuple[Finding, ...]:
    """Say when wickets are too few to time, or gaps are no running step; `gaps_m` (n - 1,)."""
    who = runner.athlete.name
    found = []
    gaps = gaps_m.tolist()
    wickets = len(gaps) + 1
    if wickets < FEWEST_TO_TIME:
        found.append(
            Finding.note("too-short-to-time", who, wickets=wickets, fewest=int(FEWEST_TO_TIME))
        )
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
