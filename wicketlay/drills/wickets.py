"""Appraised places of wickets as marks, for every drill that runs over them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import CHALK, AlongM, Mark, MarkKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.athlete import Foot, Runner


def wicket_marks(
    runner: Runner,
    appraisal: Appraisal,
    *,
    fixed: bool,
    feet: Sequence[Foot | None],
    hurdles: int,
    shift_m: float = 0.0,
) -> tuple[Mark, ...]:
    """Return the wickets of `appraisal` as marks, `shift_m` added to their places.

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
    # There is no gap before the first.
    gaps: list[float | None] = [None, *appraisal.gap_m.tolist()]
    naturals: list[float | None] = [None, *appraisal.natural_gap_m.tolist()]
    cadences: list[float | None] = [None, *appraisal.cadence_hz.tolist()]
    columns = zip(
        appraisal.mark_ids,
        appraisal.along_m.tolist(),
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
                along_m=AlongM(along + shift_m),
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
