"""Top speed on every basis a coach may have: splits, a flying time, a figure."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.errors import DomainError
from wicketlay.running.air import still_air_time_s
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import Athlete
from wicketlay.running.fitting import fit_splits
from wicketlay.running.observed import LEAST_SD, apart, tau_effect, timing_sd_s, wind_sd
from wicketlay.running.top_speed import top_speed_from_flying
from wicketlay.sources import DISAGREE_SDS
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from datetime import date

    from wicketlay.findings import Value
    from wicketlay.running.facts import FlyingTime, Splits
    from wicketlay.running.fitting import SprintFit
    from wicketlay.running.notebook import Notebook
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSpeed:
    """Top speed on one basis; `kind` is the fact's name, `tau_share` as of an `Evidence`.

    `measured` is the day of the run it rests on, where that is known.
    """

    kind: str
    estimate: Estimate
    tau_share: float = 0.0
    zone_mean_mps: float | None = None
    measured: date | None = None


def splits_of(
    athlete: Athlete, judgement: Judgement, book: Notebook
) -> tuple[KnownSpeed | None, Estimate]:
    """Return (top speed from splits or None, tau from the best that is known).

    Of several days with splits the newest counts whose splits a sprint can have made.
    """
    refused: list[str] = []
    for day, sets in athlete.splits_by_day():
        fits = [fit for each in sets if (fit := _fit_of(each, judgement, book, refused))]
        if not fits:
            continue
        _caution_refused(refused, book)
        count = sum(len(each.times_s) for each in sets)
        basis = f"{count} splits" if len(sets) == 1 else f"{count} splits of {len(sets)} sprints"
        speed, speed_sd, of_speed = _mean_of(
            [(fit.top_speed_mps, fit.top_speed_sd_mps) for fit in fits]
        )
        tau, tau_sd, of_tau = _mean_of(
            [(fit.time_constant_s, fit.time_constant_sd_s) for fit in fits]
        )
        shared = sum(
            a * b * fit.covariance for a, b, fit in zip(of_speed, of_tau, fits, strict=True)
        )
        sd = math.hypot(speed_sd, float(judgement.between_day_speed_sd) * speed)
        return (
            KnownSpeed(
                kind="splits",
                estimate=Estimate(value=speed, sd=sd, basis=basis),
                tau_share=shared / tau_sd / speed if tau_sd else 0.0,
                measured=day,
            ),
            Estimate(value=tau, sd=tau_sd, basis=basis),
        )
    others = (athlete.flying, athlete.top_speed_mps)
    if refused and all(other is None for other in others) and not athlete.observations:
        raise book.stop("splits-unusable", reason=refused[0]) from None
    _caution_refused(refused, book)
    if athlete.time_constant_s is not None:
        return None, Estimate(
            value=athlete.time_constant_s,
            sd=float(judgement.given_time_constant_sd_s),
            basis="given",
        )
    tau, sd = float(judgement.time_constant_s), float(judgement.time_constant_sd_s)
    book.defaults["time_constant_s"] = tau
    return None, Estimate(value=tau, sd=sd, basis="assumed")


def _fit_of(
    splits: Splits, judgement: Judgement, book: Notebook, refused: list[str]
) -> SprintFit | None:
    """Return the sprint of one set of times, None after noting in `refused` why there is none."""
    try:
        fit = fit_splits(
            splits.distances_m,
            _in_still_air(splits),
            splits.start,
            splits.reaction_s,
            judgement=judgement,
        )
    except DomainError as error:
        refused.append(str(error))
        return None
    low, high = range_of(Athlete, "time_constant_s")
    if not low <= fit.time_constant_s <= high:
        book.caution(
            "time-constant-unlikely",
            time_constant_s=fit.time_constant_s,
            low_s=low,
            high_s=high,
            clock=splits.start.value,
        )
    return fit


def _caution_refused(refused: list[str], book: Notebook) -> None:
    for reason in refused:
        book.caution("splits-unusable", reason=reason)


def _mean_of(found: list[tuple[float, float]]) -> tuple[float, float, list[float]]:
    """Return the mean of values with an SD each, by inverse variance, its SD, and their shares."""
    if len(found) == 1:
        return *found[0], [1.0]
    weights = [max(sd, LEAST_SD * value) ** -2 for value, sd in found]
    whole = sum(weights)
    mean = sum(w * value for w, (value, _) in zip(weights, found, strict=True)) / whole
    return mean, whole**-0.5, [each / whole for each in weights]


def _in_still_air(splits: Splits) -> tuple[float, ...]:
    """Return the times [s] with the correction of the whole run, as of a race's time."""
    distance, time = splits.distances_m[-1], splits.times_s[-1]
    factor = still_air_time_s(distance, time, splits.wind_mps, splits.altitude_m) / time
    return tuple(each * factor for each in splits.times_s)


def known_speeds(
    athlete: Athlete, fitted: KnownSpeed | None, tau: Estimate, judgement: Judgement
) -> list[KnownSpeed]:
    """Return the top speeds on all bases there are, best first."""
    known = []
    if fitted is not None:
        known.append(fitted)
    if athlete.flying is not None:
        known.append(_flying_speed(athlete.flying, tau, judgement))
    if athlete.top_speed_mps is not None:
        sd = athlete.top_speed_sd_mps
        if sd is None:
            sd = float(judgement.top_speed_sd) * athlete.top_speed_mps
        known.append(
            KnownSpeed(
                kind="top speed given",
                estimate=Estimate(value=athlete.top_speed_mps, sd=sd, basis="top speed given"),
            )
        )
    return known


def _flying_speed(flying: FlyingTime, tau: Estimate, judgement: Judgement) -> KnownSpeed:
    still_s = still_air_time_s(flying.distance_m, flying.time_s, flying.wind_mps, flying.altitude_m)

    def top(tau_s: float) -> float:
        return top_speed_from_flying(flying.distance_m, still_s, flying.run_on_m, tau_s)

    speed = top(tau.value)
    timing = timing_sd_s(flying.timing, judgement) / flying.time_s / math.sqrt(flying.runs)
    wind = wind_sd(flying.timing, flying.wind_mps, judgement)
    tau_mps = tau_effect(top, tau)
    sd = math.hypot(
        timing * speed,
        wind * speed,
        tau_mps,
        float(judgement.between_day_speed_sd) * speed,
    )
    return KnownSpeed(
        kind="flying time",
        estimate=Estimate(value=speed, sd=sd, basis="flying time"),
        tau_share=tau_mps / speed,
        zone_mean_mps=flying.mean_speed_mps,
        measured=flying.date,
    )


def best_of(known: list[KnownSpeed], book: Notebook) -> KnownSpeed:
    """Return the best basis, and say what the others were and whether they disagree."""
    best = known[0]
    for other in known[1:]:
        values: dict[str, Value] = {
            "used": best.kind,
            "used_mps": best.estimate.value,
            "unused": other.kind,
            "unused_mps": other.estimate.value,
        }
        sds = apart(best.estimate, other.estimate)
        if sds > DISAGREE_SDS:
            book.caution("top-speeds-disagree", **values, sds=f"{sds:.1f}")
        else:
            book.note("top-speed-unused", **values)
    return best
