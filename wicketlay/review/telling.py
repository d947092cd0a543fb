"""What a review says: the sentence for the athlete, and notes for the coach."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.findings import Finding, Level
from wicketlay.review.reviewed import Doubt, Feel, Reason
from wicketlay.sources import (
    APART_SDS,
    COARSE_SPEED_SHARE,
    DISAGREE_SDS,
    GAP_NOTCH_SHARE,
    SAME_RHYTHM_SHARE,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wicketlay.findings import Value
    from wicketlay.review.reviewed import Review
    from wicketlay.running.athlete import Runner
    from wicketlay.running.estimates import Estimate
    from wicketlay.sources import Judgement

LEAST_MOVE_M = 0.005
"""A gap changed by less prints as no change in centimetres."""
LEAST_CHANGE_MPS = 0.005
"""A top speed changed by less prints as the same; times are kept to a millisecond."""
TOLD_APART_MPS = 0.025
"""A speed that is less apart from another prints as the same in mph."""
LEAST_HELD_SHARE = 0.005
"""Holding back less of a top speed keeps no gap of 2 m a centimetre shorter."""


def why_proposed(
    before: Estimate, proposed: Estimate, told: Estimate, seen: Estimate, *, capped: bool
) -> Reason:
    """Return why `proposed` is what it is, from what was, what is told in all and what was seen.

    `capped` tells that the runs want more than marks may open by at once.
    """
    held = told.value >= proposed.value * (1.0 + LEAST_HELD_SHARE)
    if proposed.value <= before.value - LEAST_CHANGE_MPS:
        return Reason.SLOWER
    if proposed.value >= before.value + LEAST_CHANGE_MPS:
        return Reason.FASTER_CAPPED if held else Reason.FASTER
    if abs(math.log(seen.value / before.value)) <= seen.relative_sd:
        return Reason.WITHIN_ERROR
    if capped and seen.value > before.value:
        return Reason.FASTER_CAPPED
    agree = (seen.value - before.value) * (told.value - before.value) > 0.0
    return Reason.NOT_ENOUGH if agree else Reason.HELD_BACK


def sentence(made: Review) -> Finding:
    """Return the one sentence for the athlete."""
    # the difference of what is printed, so that whoever subtracts finds it
    by_mps = round(made.achieved_speed.value, 2) - round(made.expected_speed_mps, 2)
    values: dict[str, Value] = {
        "by_mps": abs(by_mps),
        "achieved_mps": made.achieved_speed.value,
        "expected_mps": made.expected_speed_mps,
        "top_mps": made.top_speed_proposed.value,
    }
    change = made.gap_change_m
    if change is not None and abs(change) >= LEAST_MOVE_M:
        values["gap_move_m"] = abs(change)
        code = "review-longer" if change > 0.0 else "review-shorter"
        if change > 0.0 and made.reason not in {Reason.FASTER, Reason.FASTER_CAPPED}:
            code = "review-first-time"
        elif math.copysign(1.0, change) * by_mps < TOLD_APART_MPS:
            code += "-by-all"  # other days tell otherwise than today
        elif abs(made.cadence_change_share) >= SAME_RHYTHM_SHARE:
            code += "-quicker" if made.cadence_change_share > 0.0 else "-calmer"
    elif change is None and made.changed:
        slower = made.reason is Reason.SLOWER
        code = "review-speed-down" if slower else "review-speed-up"
        if (-by_mps if slower else by_mps) < TOLD_APART_MPS:
            code = "review-speed-by-all"
    elif made.reason is Reason.HELD_BACK:
        code = "review-held-back"
    elif made.reason is Reason.NOT_ENOUGH:
        code = "review-not-enough"
        if made.followed_after is None:
            untold = made.observation.effort_asked and by_mps > 0.0
            code = "review-effort-moves-none" if untold else "review-too-little"
        elif made.followed_after > 1:
            code, values["days"] = "review-not-enough-days", made.followed_after
    else:
        code = "review-kept"
    return Finding.note(code, made.athlete, **values)


def cannot_be_right(made: Review) -> Finding:
    """Return the one thing that is said of a time that cannot be right."""
    return Finding.stop("review-cannot-be-right", made.athlete, **_doubted(made))


def _doubted(made: Review) -> dict[str, Value]:
    return {
        "from_mark": made.from_mark.upper(),
        "to_mark": made.to_mark.upper(),
        "time_s": made.doubted_s,
        "expected_s": made.expected_time_s,
        "off_share": abs(made.off_share),
    }


def time_findings(
    made: Review, times_s: Sequence[float], clock_sd_s: float, known: Estimate
) -> tuple[Finding, ...]:
    """Say when the times are too coarse, too far apart or too far from what is expected.

    `clock_sd_s` is one SD of a single time as it was taken [s], `known` the top speed as all that
    is in the record tells it.
    """
    found = []
    runs = len(times_s)
    error = made.achieved_speed.relative_sd
    if error > COARSE_SPEED_SHARE:
        found.append(
            Finding.note(
                "review-coarse",
                made.athlete,
                timing=made.observation.timing.value,
                runs=runs,
                sd_share=error,
                limit_share=COARSE_SPEED_SHARE,
                needed=math.ceil(runs * (error / COARSE_SPEED_SHARE) ** 2),
            )
        )
    apart = max(times_s) - min(times_s)
    if apart > APART_SDS * clock_sd_s:
        found.append(
            Finding.caution(
                "review-times-apart",
                made.athlete,
                low_s=min(times_s),
                high_s=max(times_s),
                apart_s=apart,
            )
        )
    if made.doubt is not Doubt.NONE:
        found.append(Finding.caution("review-unlikely", made.athlete, **_doubted(made)))
    sds = abs(math.log(made.top_speed_seen.value / known.value)) / math.hypot(
        made.top_speed_seen.relative_sd, known.relative_sd
    )
    if sds > DISAGREE_SDS:
        found.append(
            Finding.caution(
                "review-contradicts",
                made.athlete,
                seen_mps=made.top_speed_seen.value,
                known_mps=known.value,
                known_sd_mps=known.sd,
                sds=f"{sds:.1f}",
            )
        )
    return tuple(found)


def cap_findings(made: Review, runner: Runner, judgement: Judgement) -> tuple[Finding, ...]:
    """Say when the runs tell of more than one session may open."""
    if made.reason is not Reason.FASTER_CAPPED:
        return ()
    first = runner.provisional or not any(o.over_marks for o in runner.athlete.observations)
    return (
        Finding.note(
            "review-first-steps" if first else "review-capped",
            made.athlete,
            cap_share=float(judgement.progress_cap),
            top_mps=made.top_speed_proposed.value,
            told_mps=made.top_speed_told.value,
            told_sd_mps=made.top_speed_told.sd,
        ),
    )


def effort_findings(made: Review) -> tuple[Finding, ...]:
    """Say that runs beyond what was asked may have been harder, not faster, where nobody told."""
    faster = math.log(made.top_speed_seen.value / made.top_speed_before.value)
    if not made.observation.effort_asked or faster <= made.top_speed_seen.relative_sd:
        return ()
    share = made.observation.held_share or 1.0
    return (
        Finding.note(
            "review-effort-untold",
            made.athlete,
            asked_share=share,
            as_hard_share=min(share * math.exp(faster), 1.0),
        ),
    )


def air_findings(made: Review) -> tuple[Finding, ...]:
    """Say for which air the expected time is, and that marks are laid as in still air."""
    wind, height = made.observation.wind_mps, made.observation.altitude_m
    values: dict[str, Value] = {}
    if wind:
        values["wind_mps"] = wind
    if height:
        values["height_m"] = height
    if not values:
        return ()
    code = {1: "review-height" if height else "review-wind", 2: "review-air"}[len(values)]
    return (Finding.note(code, made.athlete, **values),)


def feel_findings(made: Review, feel: Feel | None) -> tuple[Finding, ...]:
    """Say what to notch when the gaps looked tight or open; long is the dangerous side."""
    if feel is None or made.gap_m is None:
        return ()
    change = made.gap_change_m or 0.0
    opening = change >= LEAST_MOVE_M
    level = Level.CAUTION if feel is Feel.OPEN and opening else Level.NOTE
    return (
        Finding.of(
            f"feel-{feel.value}-opening" if opening else f"feel-{feel.value}",
            level,
            made.athlete,
            gap_move_m=abs(change),
            notch_share=GAP_NOTCH_SHARE,
        ),
    )
