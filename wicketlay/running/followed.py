"""Top speed followed from day to day: a level with a trend, and what marks are laid by.

The log of top speed is a level that drifts and a trend that drifts and fades; a Kalman filter
carries both with their covariance from day to day and weighs each day by its own error. A mean
with a drift would lag behind whoever gets faster and call itself sure.

::

    level' = level + g trend      g = T (1 - e^(-dt/T))      T: weeks until a trend has faded
    trend' = trend e^(-dt/T)      both with noise; a day reads level + error

A day over marks whose effort nobody told may have been run harder or easier than asked: that
error is in it, and what lies farther off than speed alone explains is put down to effort.

Marks follow that estimate with three rules, because a gap that opens too soon makes an athlete
reach, and marks that move with every breath of timing error teach nothing:

- a day over marks changes them only where the estimate lies beyond its own error, and by more
  than is worth moving marks for; along a trend of told effort, beyond one SD is enough; opening
  on effort that nobody told wants three;
- opening goes at most 3 % a day over marks; the first correction of an estimate takes a step of
  3 % a review, up to 2 SD of that estimate, and for a guess the first step is that gaps are no
  longer laid short;
- closing is never held back by these steps.

An error of tau is in every run over the same marks alike: it moves no mark, since the next run
over them meets it again, but the top speed that is told is no surer than it.

The SD that is returned counts what was held back beside the error, so it is honest about the
number it stands by; but a day makes it no larger than it was, unless that day contradicts what
was known. A day of free timed runs, not over marks, is taken as it is.

References
----------
The filter is the textbook one: Kalman 1960, J Basic Eng 82:35; level and trend as in Harvey 1989,
Forecasting, structural time series models and the Kalman filter, local linear trend (from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from datetime import timedelta
from typing import TYPE_CHECKING

from wicketlay.running.estimates import Estimate
from wicketlay.running.observed import LEAST_SD
from wicketlay.sources import (
    DEFAULTS,
    DISAGREE_SDS,
    EFFORT_FROM_SDS,
    FIRST_CORRECTION_SDS,
    FOLLOW_SDS,
    FOLLOW_TREND_SDS,
    FOLLOW_UNTOLD_SDS,
    Judgement,
)
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from wicketlay.running.observed import Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """Top speed after some days [m/s]: what marks are laid by, and what the runs say together.

    `capped` tells that the last day would have opened gaps by more than a step. `weights` are
    what the base, where there is one, and each of the days count in the log of `told`: 1 in all,
    and along a trend some below 0.
    """

    laid: Estimate
    told: Estimate
    capped: bool = False
    weights: tuple[float, ...] = (1.0,)

    @property
    def beyond(self) -> Estimate | None:
        """What the runs say where marks are not laid by it; None where they are."""
        return self.told if self.told.value != self.laid.value else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    """Log of top speed, its trend a week, and their covariance.

    Level and trend are sums of what was read; `of_level` and `of_trend` tell with which weights.
    """

    level: float
    variance: float
    trend_variance: float
    trend: float = 0.0
    shared: float = 0.0
    of_level: tuple[float, ...] = (1.0,)
    of_trend: tuple[float, ...] = (0.0,)

    @property
    def sd(self) -> float:
        """One SD of the level, as a share."""
        return math.sqrt(self.variance)

    def shared_of(self, shares: Sequence[float]) -> float:
        """Return how far the level is off when all that was read is off by these shares."""
        return sum(weight * share for weight, share in zip(self.of_level, shares, strict=True))

    def after(self, weeks: float, judgement: Judgement) -> _State:
        """Return what is known so many weeks later, before that day is read."""
        fade = float(judgement.speed_trend_weeks)
        kept = math.exp(-weeks / fade)
        gain = fade * (1.0 - kept)
        drift = float(judgement.top_speed_drift_sd) ** 2 * weeks
        return _State(
            level=self.level + gain * self.trend,
            trend=kept * self.trend,
            variance=self.variance
            + 2.0 * gain * self.shared
            + gain**2 * self.trend_variance
            + drift,
            shared=kept * (self.shared + gain * self.trend_variance),
            trend_variance=kept**2 * self.trend_variance
            + float(judgement.speed_trend_drift_sd) ** 2 * weeks,
            of_level=tuple(
                level + gain * trend
                for level, trend in zip(self.of_level, self.of_trend, strict=True)
            ),
            of_trend=tuple(kept * trend for trend in self.of_trend),
        )

    def read(self, log: float, variance: float) -> _State:
        """Return what is known with more evidence."""
        whole = self.variance + variance
        to_level, to_trend = self.variance / whole, self.shared / whole
        off = log - self.level
        return _State(
            level=self.level + to_level * off,
            trend=self.trend + to_trend * off,
            variance=(1.0 - to_level) * self.variance,
            shared=(1.0 - to_level) * self.shared,
            trend_variance=self.trend_variance - to_trend * self.shared,
            of_level=(*((1.0 - to_level) * each for each in self.of_level), to_level),
            of_trend=(
                *(
                    trend - to_trend * level
                    for level, trend in zip(self.of_level, self.of_trend, strict=True)
                ),
                to_trend,
            ),
        )


def followed(
    base: Estimate | None,
    days: Sequence[Evidence],
    runs: Sequence[Evidence],
    *,
    guessed: bool = False,
    base_date: date | None = None,
    base_tau_share: float = 0.0,
    judgement: Judgement = DEFAULTS,
) -> Followed:
    """Return the top speed [m/s] after `days`, as laid by and as told.

    Parameters
    ----------
    base
        Top speed before any of the days; None when they are all there is.
    days
        The evidence, one a day in order of date, between-day variation included.
    runs
        The evidence the days were made of; those over marks count as reviews.
    guessed
        Whether `base` comes from height and cadence: reviews of later days, too, then still
        correct it.
    base_date
        The day `base` was measured, if known: it drifts from then on.
    base_tau_share
        By how much one SD of tau moves `base`, as of an `Evidence`.
    judgement
        Cap, drift and their like.

    Returns
    -------
    Followed
        The SD of `laid` counts what is held back of `told`, up to what it was before.
    """
    trend_sd = float(judgement.speed_trend_sd)
    if base is None:
        if not days:
            raise ValueError("there is neither a base nor a day to follow")
        first, before, ceiling = 1, days[0].date, -math.inf
        value, relative_sd = days[0].value, days[0].relative_sd
        tau_shares = [days[0].tau_share]
    else:
        if not days:
            return Followed(laid=base, told=base)
        first, before, value, relative_sd = (
            0,
            base_date or days[0].date,
            base.value,
            base.relative_sd,
        )
        ceiling = math.log(value) + math.log1p(FIRST_CORRECTION_SDS * relative_sd)
        tau_shares = [base_tau_share]
    known = _State(
        level=math.log(value),
        variance=max(relative_sd**2 - tau_shares[0] ** 2, LEAST_SD**2),
        trend_variance=trend_sd**2,
    )
    free = {run.date for run in runs if not run.over_marks}
    reviews = Counter(run.date for run in runs if run.over_marks)
    laid, capped, laid_variance, tau_variance = known.level, False, relative_sd**2, 0.0
    for number, day in enumerate(days[first:], start=first):
        weeks = max((day.date - before) / timedelta(weeks=1), 0.0)
        before = day.date
        ahead = known.after(weeks, judgement)
        log = math.log(day.value)
        off = log - ahead.level
        contradicted = abs(off) > DISAGREE_SDS * math.hypot(ahead.sd, day.relative_sd)
        surest = laid_variance + float(judgement.top_speed_drift_sd) ** 2 * weeks
        known = ahead.read(log, _variance_of(day, off, ahead))
        tau_shares.append(day.tau_share)
        tau_variance = known.shared_of(tau_shares) ** 2
        capped = False
        if day.date in free:
            laid = known.level
        elif _worth_moving(known, laid, log, judgement, asked=day.effort_asked):
            steps = reviews[day.date] if guessed or number == 0 else 1
            if guessed and number == 0 and judgement.height_only_short > 0.0:
                # with the first time gaps are no longer laid short: that is the first step
                steps -= 1
            most = _most(laid, ceiling, steps, judgement)
            capped, laid = known.level > most, min(known.level, most)
        laid_variance = known.variance + tau_variance + (known.level - laid) ** 2
        if not contradicted:
            laid_variance = min(laid_variance, surest)
    # a value that no day has moved stays what it was, to the last digit
    unmoved = base is not None and laid == math.log(base.value)
    value = base.value if base is not None and unmoved else math.exp(laid)
    basis = f"timed runs of {len(days)} day{'' if len(days) == 1 else 's'}"
    if base is not None:
        basis = f"{base.basis}, {basis}"
    told_sd = math.hypot(known.sd, known.shared_of(tau_shares))
    told = Estimate(value=math.exp(known.level), sd=math.exp(known.level) * told_sd, basis=basis)
    laid_sd = value * math.sqrt(laid_variance)
    return Followed(
        laid=replace(told, value=value, sd=laid_sd),
        told=told,
        capped=capped,
        weights=known.of_level,
    )


def _variance_of(day: Evidence, off: float, ahead: _State) -> float:
    """Return the variance of a day's evidence that lies `off` from what was expected.

    Where nobody told the effort, and it lies farther off than speed and clock alone
    explain, the rest is put down to effort: its error is then as large as that.
    """
    if not day.effort_asked or off <= 0.0:
        return day.own_variance
    clock = day.relative_sd**2 - day.effort_sd**2
    explained = float(EFFORT_FROM_SDS) ** 2 * (ahead.variance + clock)
    own = day.own_variance - day.effort_sd**2
    return own + max(day.effort_sd**2, off**2 - explained)


def _worth_moving(
    known: _State, laid: float, log: float, judgement: Judgement, *, asked: bool
) -> bool:
    """Return whether marks should follow from `laid` to what is known after a day over marks."""
    by = known.level - laid
    if (log - laid) * by <= 0.0:
        # what is still held back from earlier days must not open gaps after a slow run
        return False
    opening_untold = asked and by > 0.0
    sds = float(FOLLOW_UNTOLD_SDS if opening_untold else FOLLOW_SDS)
    wanted = max(sds * known.sd, float(judgement.follow_from_share))
    along = known.trend * math.copysign(1.0, by) > math.sqrt(known.trend_variance)
    if along and not asked:
        wanted = min(wanted, float(FOLLOW_TREND_SDS) * known.sd)
    return abs(by) > wanted


def _most(laid: float, ceiling: float, steps: int, judgement: Judgement) -> float:
    """Return the log of the highest top speed marks may be laid by after a day over marks.

    One step is always allowed; several only while they correct a first estimate, up to
    `ceiling`.
    """
    step = math.log1p(float(judgement.progress_cap))
    if steps <= 1:
        return laid + steps * step
    return max(laid + step, min(laid + steps * step, ceiling))
