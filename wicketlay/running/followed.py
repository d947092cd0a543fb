"""Top speed followed from day to day: what runs over marks may change of it, and how fast.

Two numbers are carried along the days. What the runs say together is the inverse-variance
mean in log space of base and days. What marks are laid by follows it with three rules, because
a gap that opens too soon makes an athlete reach, and marks that move with every breath of
timing error teach nothing:

- a day over marks changes it only beyond the error of that day, or of all days together;
- opening goes at most 3 % a day over marks; the first correction of an estimate takes a step of
  3 % a review, up to 2 SD of that estimate, and for a guess the first step is that gaps are no
  longer laid short;
- closing is never held back.

The SD that is returned counts what was held back beside the error, so it is honest about the
number it stands by; but a day makes it no larger than it was, unless that day contradicts what
was known. A day of free timed runs, not over marks, is taken as it is.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import months_between
from wicketlay.sources import DEFAULTS, DISAGREE_SDS, FIRST_CORRECTION_SDS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from wicketlay.running.observed import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """Top speed after some days [m/s]: what marks are laid by, and what the runs say together."""

    laid: Estimate
    told: Estimate


@dataclass(frozen=True, slots=True)
class _Known:
    """Log of a value and its variance."""

    log: float
    variance: float

    def with_reading(self, log: float, variance: float) -> _Known:
        """Return the inverse-variance mean of this and a reading."""
        gain = self.variance / (self.variance + variance)
        return _Known(self.log + gain * (log - self.log), (1.0 - gain) * self.variance)

    @property
    def sd(self) -> float:
        """The SD, as a share."""
        return math.sqrt(self.variance)


def followed(
    base: Estimate | None,
    days: Sequence[Reading],
    runs: Sequence[Reading],
    *,
    guessed: bool = False,
    base_date: date | None = None,
    judgement: Judgement = DEFAULTS,
) -> Followed:
    """Return the top speed [m/s] after `days`, as laid by and as told.

    Parameters
    ----------
    base
        Top speed before any of the days; None when they are all there is.
    days
        One reading a day in order of date, between-day variation included.
    runs
        The readings the days were made of; those over marks count as reviews.
    guessed
        Whether `base` comes from height and cadence: reviews of later days, too, then still
        correct it.
    base_date
        The day `base` was measured, if known: it drifts from then on.
    judgement
        Cap, drift and their like.

    Returns
    -------
    Followed
        The SD of `laid` counts what is held back of `told`, up to what it was before.
    """
    if base is None:
        if not days:
            message = "there is neither a base nor a day to follow"
            raise ValueError(message)
        known = _Known(math.log(days[0].value), days[0].relative_sd ** 2)
        first_day, base_date, ceiling = 1, days[0].date, -math.inf
    else:
        if not days:
            return Followed(laid=base, told=base)
        known = _Known(math.log(base.value), base.relative_sd**2)
        first_day = 0
        ceiling = known.log + math.log1p(FIRST_CORRECTION_SDS * base.relative_sd)
    free = {run.date for run in runs if not run.over_marks}
    reviews = Counter(run.date for run in runs if run.over_marks)
    laid, before = known.log, base_date
    laid_variance = known.variance
    for number, day in enumerate(days[first_day:], start=first_day):
        log = math.log(day.value)
        months = 0.0 if before is None else months_between(before, day.date)
        drift = float(judgement.top_speed_drift_sd) ** 2 * months
        known = _Known(known.log, known.variance + drift)
        contradicted = abs(log - known.log) > DISAGREE_SDS * math.hypot(known.sd, day.relative_sd)
        known = known.with_reading(log, day.relative_sd**2)
        before = day.date
        if day.date in free:
            laid = known.log
        elif _beyond(known, laid, log, day.relative_sd):
            steps = reviews[day.date] if guessed or number == 0 else 1
            if guessed and number == 0 and judgement.height_only_short > 0.0:
                # with the first time gaps are no longer laid short: that is the first step
                steps -= 1
            most = _most(laid, ceiling, steps, judgement)
            laid = min(known.log, most)
        surest = math.inf if contradicted else laid_variance + drift
        laid_variance = min(known.variance + (known.log - laid) ** 2, surest)
    # a value that no day has moved stays what it was, to the last digit
    unmoved = base is not None and laid == math.log(base.value)
    value = base.value if base is not None and unmoved else math.exp(laid)
    basis = f"timed runs of {len(days)} day{'' if len(days) == 1 else 's'}"
    if base is not None:
        basis = f"{base.basis}, {basis}"
    told = math.exp(known.log)
    return Followed(
        laid=Estimate(value=value, sd=value * math.sqrt(laid_variance), basis=basis),
        told=Estimate(value=told, sd=told * known.sd, basis=basis),
    )


def _beyond(known: _Known, laid: float, log: float, relative_sd: float) -> bool:
    """Return whether a day's reading, or all of them together, lie beyond their error of `laid`."""
    ran, told = log - laid, known.log - laid
    if ran * told <= 0.0:
        # what is still held back from earlier days must not open gaps after a slow run
        return False
    return abs(ran) > relative_sd or abs(told) > known.sd


def _most(laid: float, ceiling: float, steps: int, judgement: Judgement) -> float:
    """Return the log of the highest top speed marks may be laid by after a day over marks.

    One step is always allowed; several only while they correct a first estimate, up to
    `ceiling`.
    """
    step = math.log1p(float(judgement.progress_cap))
    if steps <= 1:
        return laid + steps * step
    return max(laid + step, min(laid + steps * step, ceiling))
