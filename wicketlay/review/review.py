"""Review: times over marks against the expected time, and what they change for the athlete.

A review reads times, compares, and proposes; only `accept` makes a changed athlete of it, by
adding one observed run to the record. What the record then means for the marks (how sure a day
is, how far gaps may open at once) is the rule of `wicketlay.running.followed`, so the proposal
of a review is simply the runner that the longer record makes.
"""

from __future__ import annotations

import math
import statistics
from datetime import timedelta
from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.drills.marks import Layout, MarkKind, RunOver
from wicketlay.errors import DomainError, require_range
from wicketlay.findings import Finding
from wicketlay.review.reviewed import Doubt, Feel, Reason, Review
from wicketlay.review.telling import (
    LEAST_CHANGE_MPS,
    air_findings,
    cannot_be_right,
    cap_findings,
    effort_findings,
    feel_findings,
    sentence,
    time_findings,
    why_proposed,
)
from wicketlay.review.timed_zone import Zone, check_time, zone_of
from wicketlay.running.air import time_in_air_s
from wicketlay.running.athlete import Athlete, FirstGuess, Observation, Runner, Timing, make_runner
from wicketlay.running.estimates import Estimate
from wicketlay.running.observed import speed_evidence, time_sd_s, timing_sd_s
from wicketlay.sources import DEFAULTS, FOLLOWED_WITHIN_DAYS, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date


__all__ = ["Doubt", "Feel", "Reason", "Review", "TimedRuns", "accept", "review"]

MOST_TIMES = 40
"""Most times one review takes: more than anybody runs in a session."""
SAME_TIME_S = 0.0005
"""Times are kept to a millisecond."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedRuns:
    """What was told of the runs of a day between two marks.

    Parameters
    ----------
    times_s
        Times of the runs between the two marks [s].
    timing
        How they were taken.
    day
        The day of the runs.
    from_mark, to_mark
        Ids of the two marks; None takes the first and the last wicket, or gate, or whatever
        there is.
    over
        How those two lay when they were run over, and what was asked then; None takes the layout.
    fps
        Frames a second, when timed or counted from a video.
    steps
        Steps counted between the marks, the mean of the runs. Where steps go to marks they are the
        marks' and teach nothing: they are left out, and that is told.
    touchdowns
        Instead: frames of that video at which the feet landed, a row of contacts of one of the
        runs. Over marks they tell the cadence that is seen, and teach no step.
    effort_share
        How hard it was, as a share of top speed, where somebody told; None takes what was asked.
    wind_mps
        Wind along the run, a tail wind positive [m/s]; None makes a gate time less sure.
    feel
        Whether the gaps looked tight (choppy) or open (reaching).
    """

    times_s: Sequence[float]
    timing: Timing
    day: date
    from_mark: str | None = None
    to_mark: str | None = None
    over: RunOver | None = None
    fps: float | None = None
    steps: float | None = None
    touchdowns: Sequence[float] = ()
    effort_share: float | None = None
    wind_mps: float | None = None
    feel: Feel | None = None


def review(
    runner: Runner,
    layout: Layout,
    runs: TimedRuns,
    *,
    speed_share: float | None = None,
    start_id: str = "start",
    altitude_m: float | None = None,
    lay: Callable[[Runner], Layout] | None = None,
    judgement: Judgement = DEFAULTS,
) -> Review:
    """Compare times between two marks with the expected time and propose a top speed.

    The error of a time is one SD from end to end: hand 0.1 s, gates 0.01 s, video one frame;
    both presses, beams or frames are in it. Where the runs lie farther apart than that, their own
    SD takes its place. A mean of n runs has it over the root of n. Between days speed varies by
    1 % beside, and a run asked for at a share of top speed hits that share to 2 %; both are in
    the error of the top speed, not in that of the achieved speed.

    Parameters
    ----------
    runner
        The athlete as the layout was laid for.
    layout
        The marks that were run over. On a shared laying, the laid one, with `start_id`.
    runs
        What was told of them. The expected time is told for their wind, and for the height; the
        top speed, and marks, are as in still air.
    speed_share
        What was asked: what the run was to build towards; None takes the layout's.
    start_id
        The athlete's own start mark.
    altitude_m
        Height above the sea [m]; None is the sea.
    lay
        Lays the same drill for another runner, so that the change of the gaps is exact; without
        it the change is that of the natural step.
    judgement
        The judged constants.

    Returns
    -------
    Review
        The comparison, the proposal, and sentences for athlete and coach.

    Raises
    ------
    DomainError
        When times are missing or out of range, marks are not there or in the wrong order, or
        the times are nobody's.
    """
    _check_times(runs)
    times_s = runs.times_s
    asked = layout.speed_share if speed_share is None else speed_share
    share = asked if runs.over is None else runs.over.asked_share
    between = (runs.from_mark, runs.to_mark)
    zone = zone_of(runner, layout, share, start_id, between=between, over=runs.over)
    in_air_s = time_in_air_s(zone.distance_m, zone.expected_s, runs.wind_mps, altitude_m)
    zone = replace(zone, expected_s=in_air_s)
    who = runner.athlete.name
    mean_s = round(statistics.fmean(times_s), 3)
    clock_s = timing_sd_s(runs.timing, judgement, runs.fps)
    spread_s = round(statistics.stdev(times_s), 3) if len(times_s) > 1 else 0.0
    for time_s in (*times_s, mean_s):
        check_time(who, time_s, zone.distance_m)
    idle = runs.steps is not None and zone.over_marks
    teaching = replace(runs, steps=None) if idle else runs
    seen = _observation(
        zone, teaching, mean_s, spread_s if spread_s > clock_s else None, altitude_m
    )
    if runs.effort_share is not None:
        require_range(
            "effort", runs.effort_share, *range_of(Observation, "held_share"), "of top speed"
        )
        seen = replace(
            seen,
            held_share=min(_told_share(zone.share * runs.effort_share / share), 1.0),
            asked_share=_told_share(zone.share),
        )

    sd_s = time_sd_s(seen, judgement)
    basis = f"{runs.timing.value}, {seen.runs} run{'' if seen.runs == 1 else 's'}"
    speed = zone.distance_m / mean_s
    # each of two marks is off by one mark error: a millimetre in a metre at the very most
    relative = math.hypot(
        sd_s / mean_s, math.sqrt(2.0) * float(judgement.mark_error_m) / zone.distance_m
    )
    achieved = Estimate(value=speed, sd=speed * relative, basis=basis)
    cadence = _cadence(seen, zone, basis, sd_s / mean_s)

    first_guess = _guess_of(runner)
    longer = _extended(runner.athlete, seen, first_guess)
    now = _now(runner, runs.day, judgement)
    before = now.top_speed
    next_runner = make_runner(longer, today=runs.day, judgement=judgement)
    proposed = next_runner.top_speed
    told = next_runner.told_speed or proposed
    evidence = speed_evidence(seen, runner.time_constant, judgement)
    if evidence is None:  # an observation with a time always reads
        raise DomainError("a timed run tells no speed")
    day_sd = math.hypot(evidence.relative_sd, float(judgement.between_day_speed_sd))
    top_seen = Estimate(value=evidence.value, sd=evidence.value * day_sd, basis=basis)
    reason = why_proposed(before, proposed, told, top_seen, capped=next_runner.capped)
    gap, gap_change = _gap_change(runner, next_runner, layout, lay, judgement)
    cadence_change = _cadence_change(runner, next_runner, lay)
    made = Review(
        athlete=who,
        date=runs.day,
        from_mark=zone.start_id,
        to_mark=zone.end_id,
        mean_time=Estimate(value=mean_s, sd=sd_s, basis=basis),
        expected_time_s=zone.expected_s,
        achieved_speed=achieved,
        expected_speed_mps=zone.distance_m / zone.expected_s,
        achieved_cadence=cadence,
        expected_cadence_hz=None if zone.steps is None else zone.steps / zone.expected_s,
        top_speed_before=before,
        top_speed_seen=top_seen,
        top_speed_told=told,
        top_speed_proposed=proposed,
        changed=abs(proposed.value - before.value) >= LEAST_CHANGE_MPS,
        reason=reason,
        gap_m=gap,
        gap_change_m=gap_change,
        cadence_change_share=cadence_change,
        doubted_s=max(times_s, key=lambda time_s: abs(time_s / zone.expected_s - 1.0)),
        sentence=Finding.note("review-kept", who),
        findings=(),
        observation=seen,
        first_guess=first_guess,
        followed_after=_followed_after(longer, seen, before, judgement)
        if reason is Reason.NOT_ENOUGH
        else None,
    )
    if made.doubt is Doubt.WRONG:
        wrong = cannot_be_right(made)
        return replace(made, sentence=wrong, findings=(wrong,))
    return replace(
        made,
        sentence=sentence(made),
        findings=(
            *time_findings(made, times_s, clock_s, now.told_speed or before),
            *cap_findings(made, runner, judgement),
            *effort_findings(made),
            *air_findings(made),
            *feel_findings(made, runs.feel),
            *((Finding.note("steps-over-marks", who),) if idle else ()),
        ),
    )


def accept(
    athlete: Athlete, reviewed: Review, today: date, *, beside: Sequence[Review] = ()
) -> Athlete:
    """Return the athlete with the reviewed run in the record; nothing else changes.

    One observed run is added, and for a guessed top speed where the guess came from. The new top
    speed follows from the record: it is stored nowhere else, so it cannot count twice.

    Parameters
    ----------
    athlete
        The athlete the review is of.
    reviewed
        The review.
    today
        The day it is accepted, not before the day of the runs.
    beside
        Reviews of other runs for certain, which may well have the same time.

    Raises
    ------
    DomainError
        When the review is of somebody else or of a day to come, or its time is in the record
        already.
    """
    if athlete.name != reviewed.athlete:
        raise DomainError(f"the review is of {reviewed.athlete}, not of {athlete.name}")
    if today < reviewed.date:
        raise DomainError(
            f"the runs are of {reviewed.date.isoformat()}, which is after today, "
            f"{today.isoformat()}; correct the date"
        )
    new = reviewed.observation
    others = [each.observation for each in beside]
    for old in athlete.observations:
        if _same_times(old, new) and old not in others:
            raise DomainError(
                f"{athlete.name}: {new.time_s:.3f} s of {new.date.isoformat()} is in the record "
                "already; one run teaches once. For several runs of a day give all their times "
                "in one review"
            )
    return _extended(athlete, new, reviewed.first_guess)


def _same_times(old: Observation, new: Observation) -> bool:
    """Return whether both are the same reading of a watch, wherever the marks have gone since."""
    return (
        (old.date, old.timing, old.runs) == (new.date, new.timing, new.runs)
        and old.time_s is not None
        and new.time_s is not None
        and abs(old.time_s - new.time_s) < SAME_TIME_S
    )


def _extended(athlete: Athlete, seen: Observation, guess: FirstGuess | None) -> Athlete:
    record = athlete.observations
    if seen not in record:
        record = (*record, seen)
    return replace(athlete, observations=record, first_guess=athlete.first_guess or guess)


def _followed_after(
    athlete: Athlete, seen: Observation, before: Estimate, judgement: Judgement
) -> int | None:
    """Return how many more days like `seen` marks want; None when `FOLLOWED_WITHIN_DAYS` move none.

    They come as far apart as the last two of the record, a week where it has only this one. None,
    too, where so many would tell of somebody faster than anyone: they will not come.
    """
    earlier = [each.date for each in athlete.observations if each.date < seen.date]
    apart = seen.date - max(earlier) if earlier else timedelta(weeks=1)
    for days in range(1, int(FOLLOWED_WITHIN_DAYS) + 1):
        again = replace(seen, date=seen.date + days * apart)
        athlete = _extended(athlete, again, None)
        try:
            laid = make_runner(athlete, today=again.date, judgement=judgement).top_speed
        except DomainError:
            return None
        if abs(laid.value - before.value) >= LEAST_CHANGE_MPS:
            return days
    return None


# --- what was run -------------------------------------------------------------------------------


def _cadence(seen: Observation, zone: Zone, basis: str, time_sd: float) -> Estimate | None:
    """Return the cadence that was run [steps/s]: counted, else steps known over the time."""
    steps = seen.steps if zone.steps is None else zone.steps
    if seen.counted_cadence is not None or steps is None or seen.time_s is None:
        return seen.counted_cadence
    hz = steps / seen.time_s
    return Estimate(value=hz, sd=hz * time_sd, basis=basis)


def _check_times(runs: TimedRuns) -> None:
    if not 1 <= len(runs.times_s) <= MOST_TIMES:
        raise DomainError(f"a review takes 1 to {MOST_TIMES} times, got {len(runs.times_s)}")
    for time in runs.times_s:
        require_range("time", time, 0.3, 60.0, "s")
    require_range("video", runs.fps, 10.0, 2000.0, "frames a second")
    if runs.fps is not None and runs.timing is not Timing.VIDEO and not runs.touchdowns:
        told = runs.timing.value
        raise DomainError(f"frames a second go with video or with touchdowns; the timing is {told}")


def _told_share(share: float) -> float:
    """Return a share as the record keeps it: to a hundredth of a per cent."""
    return round(share, 4)


def _observation(
    zone: Zone, told: TimedRuns, mean_s: float, spread_s: float | None, altitude_m: float | None
) -> Observation:
    """Return the runs as one observation, lengths to a millimetre and shares as told.

    A run that builds is kept by its run-on and what it built towards, from which `make_runner`
    works out the top speed that takes exactly this time; between marks of a broken run it is
    kept by the share of top speed expected there, so that the expected time matches.
    """
    return Observation(
        date=told.day,
        distance_m=round(zone.distance_m, 3),
        time_s=mean_s,
        steps=told.steps,
        touchdowns=tuple(told.touchdowns),
        held_share=_told_share(zone.share) if zone.share < 1.0 else None,
        run_on_m=None if zone.run_on_m is None else round(zone.run_on_m, 3),
        over_marks=zone.over_marks,
        timing=told.timing,
        runs=len(told.times_s),
        fps=told.fps,
        spread_s=spread_s,
        wind_mps=told.wind_mps,
        altitude_m=altitude_m,
    )


# --- what it changes ----------------------------------------------------------------------------


def _guess_of(runner: Runner) -> FirstGuess | None:
    """Return where a guessed top speed came from, so that the record keeps it."""
    return runner.seen if runner.provisional and runner.athlete.first_guess is None else None


def _now(runner: Runner, today: date, judgement: Judgement) -> Runner:
    """Return the runner as marks are laid by now; old runs of a growing child count as of today."""
    if runner.provisional:
        return runner
    return make_runner(runner.athlete, today=today, judgement=judgement)


def _gap_change(
    runner: Runner,
    after: Runner,
    layout: Layout,
    lay: Callable[[Runner], Layout] | None,
    judgement: Judgement,
) -> tuple[float | None, float | None]:
    """Return (typical gap, its change) [m]; (None, None) in a drill without gaps."""
    gap = typical_gap_m(layout)
    if gap is None:
        return None, None
    if lay is not None:
        now, then = typical_gap_m(lay(runner)), typical_gap_m(lay(after))
        if now is not None and then is not None:
            return gap, then - now
    ratio = after.gait.top_step.value / runner.gait.top_step.value
    if runner.provisional:
        # one time is enough for gaps not to be laid short any more
        ratio /= 1.0 - float(judgement.height_only_short)
    return gap, gap * (ratio - 1.0)


def typical_gap_m(layout: Layout) -> float | None:
    """Return the middle one of the gaps of a layout [m], None without any."""
    gaps = [mark.gap_m for mark in layout.of_kind(MarkKind.WICKET) if mark.gap_m is not None]
    return statistics.median(gaps) if gaps else None


def _cadence_change(runner: Runner, after: Runner, lay: Callable[[Runner], Layout] | None) -> float:
    if lay is not None:
        return lay(after).cadence_hz / lay(runner).cadence_hz - 1.0
    return after.gait.top_cadence.value / runner.gait.top_cadence.value - 1.0
