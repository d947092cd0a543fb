"""Where the foot comes down at the board: from misses to a slide of all marks, with its error.

Marks laid for the first time may bring the foot half a metre beside the board, always the same
way: that is the athlete's, not chance, and a slide of all marks mends it. A single run misses by
chance as well. The place of the take-off is followed from day to day as a level that drifts::

    place' = place + drift sqrt(weeks)          a day reads  place + error of the day
    error of the day = hypot(SD between days, SD between runs / sqrt(runs))

Places are told for marks that were never slid: a miss of 12 cm over, run after a slide of 12 cm
back, is a place of 24 cm over. So what was run before a slide counts after it.

References
----------
The filter is the textbook one (Kalman 1960, J Basic Eng 82:35), of one number.
"""

from __future__ import annotations

import math
import statistics
from datetime import timedelta
from typing import TYPE_CHECKING

from wicketlay.sources import BOARD_SD_RUNS, FOOT_AT_BOARD_SD_M, LONG_SLIDE_M, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from wicketlay.running.facts import BoardMisses


@dataclass(frozen=True, slots=True, kw_only=True)
class AtBoard:
    """What misses tell of an athlete.

    Parameters
    ----------
    runs, days
        How many are known.
    place_m, sd_m
        Where the foot comes down past its place with marks that are not slid, and one SD of that
        place [m].
    run_sd_m
        One SD between runs [m].
    first_run_sd_m
        One SD of the miss of the next first run, once marks are slid as suggested [m].
    """

    runs: int
    days: int
    place_m: float
    sd_m: float
    run_sd_m: float
    first_run_sd_m: float

    def miss_m(self, slide_m: float) -> float:
        """Return the miss to be expected [m], over positive, with all marks slid so far [m]."""
        return self.place_m + slide_m

    def slide_by_m(self, slide_m: float) -> float | None:
        """Return how far to slide all marks beside `slide_m` [m]; None within the error."""
        by_m = -round(self.miss_m(slide_m), 2)
        return by_m if by_m and abs(by_m) > self.sd_m else None

    def too_far(self, slide_m: float) -> bool:
        """Return whether that would be more than a slide mends: a step miscounted, or a slip."""
        by_m = self.slide_by_m(slide_m)
        return by_m is not None and far_miss(slide_m + by_m)


def far_miss(miss_m: float) -> bool:
    """Return whether a miss [m] is more than a slide mends: it is asked about before it counts."""
    return abs(miss_m) > LONG_SLIDE_M + 1e-9


def at_board(
    misses: Iterable[BoardMisses], judgement: Judgement, *, today: date | None = None
) -> AtBoard | None:
    """Return what misses tell; None without any. Their order is of no account.

    Parameters
    ----------
    misses
        Of any days, each with the slide that stood.
    judgement
        The judged constants; the prior is 0 with the first-run error.
    today
        The day of the next run; None is that of the last.
    """
    places: dict[date, list[float]] = {}
    for each in misses:
        own = places.setdefault(each.date, [])
        own += [miss_m - each.slide_m for miss_m in each.misses_m]
    if not places:
        return None
    run_sd_m = _run_sd_m(list(places.values()), judgement)
    day_m = float(judgement.board_day_sd_m)
    drift_m = float(judgement.board_drift_sd_m)
    place_m, variance = 0.0, float(judgement.takeoff_run_sd_m) ** 2
    before = min(places)
    for day, own in sorted(places.items()):
        variance += drift_m**2 * ((day - before) / timedelta(weeks=1))
        gain = variance / (variance + day_m**2 + run_sd_m**2 / len(own))
        place_m += gain * (math.fsum(own) / len(own) - place_m)
        variance *= 1.0 - gain
        before = day
    if today is not None and today > before:
        variance += drift_m**2 * ((today - before) / timedelta(weeks=1))
    return AtBoard(
        runs=sum(map(len, places.values())),
        days=len(places),
        place_m=place_m,
        sd_m=math.sqrt(variance),
        run_sd_m=run_sd_m,
        first_run_sd_m=math.sqrt(variance + day_m**2 + run_sd_m**2),
    )


def _run_sd_m(days: Sequence[Sequence[float]], judgement: Judgement) -> float:
    """Return one SD between runs of a day [m]: what is expected, and what the days show.

    The expected one weighs as so many runs; the days have as many degrees of freedom as there are
    runs beyond one a day.
    """
    expected = float(BOARD_SD_RUNS)
    free = sum(len(own) - 1 for own in days)
    squares = math.fsum((len(own) - 1) * statistics.variance(own) for own in days if len(own) > 1)
    sd_m = math.sqrt((expected * judgement.board_run_sd_m**2 + squares) / (expected + free))
    return max(sd_m, float(FOOT_AT_BOARD_SD_M))
