"""After practice: the runs of a day, athlete by athlete, what they say and what they change.

A run with a flag is shown and not learnt from. What nothing speaks against is accepted in one step;
what wants a second look is taken only when somebody says they are sure of it.
"""

from __future__ import annotations

import statistics
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.board_misses import runs_to_board, slide_of, slide_told, with_misses_of
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.review.review import Doubt, TimedRuns, accept
from wicketlay.review.timed_zone import NobodysTimeError, check_time
from wicketlay.reviewing import accepted, expected_zone, own_laying, review_athlete
from wicketlay.running.athlete import Timing, make_runner
from wicketlay.running.facts import BoardMisses
from wicketlay.session.log import What
from wicketlay.solve import laid_out, solve
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from datetime import date

    from wicketlay.plan import Plan
    from wicketlay.review.review import Review
    from wicketlay.running.athlete import Athlete
    from wicketlay.session.log import Entry
    from wicketlay.solve import Solved


_UNKNOWN = "review-ground-unknown"
_GROUND = ("stage", "from_mark", "to_mark", "zone_m", "run_on_m", "asked_share", "moving_mps")
"""What an entry tells of the ground it was run on."""


class State(StrEnum):
    """What is to be done with an athlete's runs of a day."""

    READY = "ready"  # nothing speaks against it; how surely it tells is told beside it
    DOUBT = "in doubt"  # a time wants a second look
    RECORDED = "in the record"
    UNTIMED = "no time to learn from"
    TROUBLE = "cannot be reviewed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One athlete's day.

    Parameters
    ----------
    runs
        Every run, flagged ones among them, by number.
    compared
        The runs with a time that are learnt from and were timed alike: between the same marks, in
        the same way. Where there are several kinds, the one with most runs.
    reviews
        What they say, one for each kind of timing; each goes on from what the one before it says.
    trouble
        Why they cannot be reviewed; None when they can.
    board, slide
        Where the foot came down at the board, by slide of the marks; and by how much to slide them
        with these in the record, or why not, None without a miss.
    timed_before
        Whether the times are in the record already.
    """

    athlete: str
    runs: tuple[Entry, ...]
    compared: tuple[Entry, ...]
    reviews: tuple[Review, ...]
    state: State
    trouble: Finding | str | None = None
    board: tuple[BoardMisses, ...] = ()
    slide: Finding | None = None
    timed_before: bool = False

    @property
    def times_s(self) -> tuple[float, ...]:
        """The times that are compared [s], in order of the runs."""
        return tuple(each.time_s for each in self.compared if each.time_s is not None)

    @property
    def best_s(self) -> float | None:
        """The shortest of them [s]."""
        return min(self.times_s, default=None)

    @property
    def mean_s(self) -> float | None:
        """Their mean [s]."""
        return statistics.fmean(self.times_s) if self.times_s else None

    @property
    def sd_s(self) -> float | None:
        """One SD between them [s]; None of fewer than two."""
        return statistics.stdev(self.times_s) if len(self.times_s) > 1 else None

    @property
    def main(self) -> Review | None:
        """The review of the runs that are compared."""
        return max(self.reviews, key=lambda made: made.observation.runs, default=None)

    @property
    def gap_change_m(self) -> float | None:
        """How much a typical gap changes with all of it [m]; None in a drill without gaps."""
        changes = [made.gap_change_m for made in self.reviews if made.gap_change_m is not None]
        return sum(changes) if changes else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day of everybody, with the marks it was run on and those that follow from it.

    Parameters
    ----------
    outcomes
        Everybody who ran, in the order of the plan.
    before
        The plan as it was solved without the day's runs.
    """

    day: date
    outcomes: tuple[Outcome, ...]
    before: Solved

    def after(self) -> Solved:
        """Return the plan with all in its record that is there or ready for it."""
        plan = self.before.plan
        for each in self.outcomes:
            if each.state in {State.READY, State.RECORDED}:
                for place, made in enumerate(each.reviews):
                    beside = each.reviews[:place]
                    plan = accepted(plan, made, self.day, sure=True, beside=beside)
                plan = _with_misses(plan, each.athlete, each.board)
        return solve(plan)


def day_of(solved: Solved, runs: Iterable[Entry], day: date) -> Day:
    """Return the day of everybody who ran.

    What is in the record of it already is told as on the evening before it was accepted.

    Parameters
    ----------
    solved
        The plan with the marks that were run over, or those that follow from the day.
    runs
        What stands of the log, or times from elsewhere; those of other days are left out.
    """
    found: dict[str, list[Entry]] = {each.name: [] for each in solved.plan.athletes}
    for entry in runs:
        if entry.what is What.RUN and entry.day == day:
            found.setdefault(entry.athlete, []).append(entry)
    athletes = tuple(
        _without(each, found[each.name], day, over_marks=runs_over_marks(solved, each.name))
        for each in solved.plan.athletes
    )
    pairs = zip(athletes, solved.plan.athletes, strict=True)
    recorded = {each.name for each, now in pairs if each is not now}
    before = laid_out(replace(solved.plan, athletes=athletes)) if recorded else solved
    return Day(
        day=day,
        outcomes=tuple(
            _outcome(before, who, sorted(own, key=lambda e: e.run or 0), day, who in recorded)
            for who, own in found.items()
            if own
        ),
        before=before,
    )


def runs_over_marks(solved: Solved, who: str) -> bool:
    """Return whether an athlete's steps go to marks, wickets or landings."""
    try:
        laying, _ = own_laying(solved, who)
    except DomainError:
        return False
    stepped_to = {MarkKind.WICKET, MarkKind.LANDING}
    return any(mark.kind in stepped_to for mark in laying.layout.marks)


def _without(athlete: Athlete, runs: Sequence[Entry], day: date, *, over_marks: bool) -> Athlete:
    """Return an athlete without times of that day that were taken as these were.

    Whoever accepts a day and types one more run of it would else have the others count twice.
    """
    timings = {each.timing for each in runs if each.teaches}
    kept = tuple(
        seen
        for seen in athlete.observations
        if seen.time_s is None
        or (seen.date, seen.over_marks) != (day, over_marks)
        or seen.timing not in timings
    )
    same = len(kept) == len(athlete.observations)
    return athlete if same else replace(athlete, observations=kept)


def _outcome(
    solved: Solved,
    who: str,
    runs: Sequence[Entry],
    day: date,
    recorded: bool,  # noqa: FBT001 - private
) -> Outcome:
    kinds: dict[tuple[object, ...], list[Entry]] = {}
    for entry in runs:
        if entry.teaches:
            kinds.setdefault(_kind(entry), []).append(entry)
    groups = list(kinds.values())
    compared = max(groups, key=len, default=[])
    reviews: list[Review] = []
    board: tuple[BoardMisses, ...] = ()
    state = State.UNTIMED
    trouble: Finding | str | None = None
    try:
        board = _at_the_board(solved, who, runs, day)
        state = State.READY if groups or board else State.UNTIMED
        for group in groups:
            reviews.append(_review(solved, who, group, day, reviews))
    except NobodysTimeError as error:
        state, trouble = State.TROUBLE, error.finding
    except DomainError as error:
        state, trouble = State.TROUBLE, str(error)
    if state is State.READY:
        known = solved.plan.known(who)
        told = all(with_misses_of(known, each) is known for each in board)
        if told and (recorded or not groups):
            state = State.RECORDED
        elif not recorded and any(map(_in_doubt, reviews)):
            state = State.DOUBT
    return Outcome(
        athlete=who,
        runs=tuple(runs),
        compared=tuple(compared),
        reviews=tuple(reviews) if trouble is None else (),
        state=state,
        trouble=trouble,
        board=board if trouble is None else (),
        slide=slide_told(_with_misses(solved.plan, who, board), who) if board else None,
        timed_before=recorded,
    )


def _at_the_board(
    solved: Solved, who: str, runs: Sequence[Entry], day: date
) -> tuple[BoardMisses, ...]:
    """Return the misses of an athlete's day, by the slide that stood; none of flagged runs."""
    plan = solved.plan
    if not runs_to_board(plan) or not any(each.tells_of_board for each in runs):
        return ()
    if who not in {each.name for each in plan.athletes}:
        own_laying(solved, who)  # raises, and says who there is
    # A table of times does not say how marks were slid: as in the record, if that has the day.
    noted = {each.slide_m for each in plan.known(who).at_board if each.date == day}
    then_m = noted.pop() if len(noted) == 1 else slide_of(plan, who)
    found: dict[float, list[float]] = {}
    for each in runs:
        if each.tells_of_board and each.miss_m is not None:
            stood_m = then_m if each.slide_m is None else each.slide_m
            found.setdefault(stood_m, []).append(each.miss_m)
    return tuple(
        BoardMisses(date=day, misses_m=tuple(misses), slide_m=slide_m)
        for slide_m, misses in found.items()
    )


def _with_misses(plan: Plan, who: str, told: Sequence[BoardMisses]) -> Plan:
    """Return the plan with an athlete's misses in the record; what is there counts once."""
    known = plan.known(who)
    for misses in told:
        known = with_misses_of(known, misses)
    return plan.with_known(known)


def _in_doubt(made: Review) -> bool:
    """Return whether a time wants a second look.

    It is far off, contradicts what is known, or nobody knows what lay there when it was run.
    """
    return made.doubt is not Doubt.NONE or any(
        each.code in {"review-contradicts", _UNKNOWN} for each in made.findings
    )


def _kind(entry: Entry) -> tuple[object, ...]:
    """Return what two runs must share to be compared with each other."""
    return (
        entry.timing,
        entry.fps if entry.timing is Timing.VIDEO else None,
        entry.from_mark.casefold(),
        entry.to_mark.casefold(),
        entry.over,
        entry.stage,
        entry.effort_share,
        entry.wind_mps is None,
    )


def _review(
    solved: Solved, who: str, group: Sequence[Entry], day: date, before: Sequence[Review]
) -> Review:
    first = group[0]
    # a series of stages may be over and done with; what was run over is known
    gone = all(each.stage != first.stage for each in solved.layings)
    stage = None if first.over is not None and gone else first.stage
    _, demand = own_laying(solved, who, stage)
    winds = [each.wind_mps for each in group if each.wind_mps is not None]
    counted = [each.steps for each in group if each.steps is not None]
    # of several videos the one with most contacts tells the cadence best
    filmed = max(group, key=lambda each: len(each.touchdowns))
    runner = None
    if before:
        athlete = demand.athlete
        for place, made in enumerate(before):
            athlete = accept(athlete, made, day, beside=before[:place])
        runner = make_runner(athlete, today=day, judgement=solved.plan.judgement)
    # one run whose wind nobody read had that of the others
    made = review_athlete(
        solved,
        who,
        TimedRuns(
            times_s=[each.time_s for each in group if each.time_s is not None],
            timing=first.timing or Timing.HAND,
            day=day,
            from_mark=first.from_mark.casefold() or None,
            to_mark=first.to_mark.casefold() or None,
            over=first.over,
            fps=filmed.fps,
            steps=None if filmed.touchdowns or not counted else statistics.fmean(counted),
            touchdowns=filmed.touchdowns,
            effort_share=first.effort_share,
            wind_mps=statistics.fmean(winds) if winds else None,
        ),
        stage=stage,
        runner=runner,
    )
    logged = any(each.number > 0 for each in group)
    if first.over is not None or not logged or made.doubt is Doubt.WRONG:
        return made
    unknown = Finding.caution(
        _UNKNOWN,
        who,
        runs=len(group),
        from_mark=made.from_mark,
        to_mark=made.to_mark,
        zone_m=made.observation.distance_m or 0.0,
    )
    return replace(made, findings=(unknown, *made.findings))


def on_ground(solved: Solved, entry: Entry, logged: Iterable[Entry] = ()) -> Entry:
    """Return a run with the marks it was timed over as they lie now, and what is asked there.

    Gaps, starts and speeds change, and the run stays one over what lay there.

    Parameters
    ----------
    solved
        The plan that lies on the ground.
    entry
        The run; one that tells it already, or cannot be timed here, is returned as it is.
    logged
        What stands of the log: what an athlete's last run of that day over the same marks was
        run over is what this one was.
    """
    if entry.what is not What.RUN or entry.over is not None:
        return entry
    try:
        laying, demand = own_laying(solved, entry.athlete, entry.stage)
        zone = expected_zone(laying, demand, entry)
        there = {each.id for each in laying.layout.marks}
        stamped = replace(
            entry,
            stage=laying.stage,
            from_mark=zone.start_id,
            to_mark=zone.end_id,
            zone_m=zone.over.zone_m,
            run_on_m=zone.over.run_on_m,
            asked_share=zone.over.asked_share,
            moving_mps=zone.over.moving_mps,
        )
    except DomainError:  # its review tells why
        there, stamped = set(), entry
    for each in logged:
        if (
            each.over is not None
            and (each.athlete, each.day) == (entry.athlete, entry.day)
            and (entry.stage or stamped.stage) in {None, each.stage}
            and each.from_mark == stamped.from_mark.casefold()
            # the last wicket that lay then may not lie any more
            and (
                each.to_mark == stamped.to_mark.casefold()
                or not (entry.to_mark or each.to_mark in there)
            )
        ):
            stamped = replace(stamped, **{name: getattr(each, name) for name in _GROUND})
    return stamped


def refused(solved: Solved, entry: Entry) -> Finding | str | None:
    """Return why a run cannot be one over its marks, None when it can."""
    if entry.miss_m is not None and not runs_to_board(solved.plan):
        return f"a miss at the board is of a take-off run, this is a {solved.plan.drill.noun}"
    if not entry.teaches:
        return None
    try:
        laying, demand = own_laying(solved, entry.athlete, entry.stage)
        zone = expected_zone(laying, demand, entry)
        for time_s in entry.times_s:
            check_time(entry.athlete, time_s, zone.distance_m)
    except NobodysTimeError as error:
        return error.finding
    except DomainError as error:
        return str(error)
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """A plan with a day in its record.

    Parameters
    ----------
    taken, left
        Whose runs are in the record now, and whose are not though they could be.
    """

    plan: Plan
    taken: tuple[str, ...]
    left: tuple[str, ...]


def accept_all(
    plan: Plan,
    found: Iterable[Outcome],
    today: date,
    *,
    sure: Collection[str] = (),
    leave: Collection[str] = (),
) -> Accepted:
    """Return the plan with everything that is ready in its record, in one step.

    Parameters
    ----------
    sure
        Those of whose times somebody said that they are sure.
    leave
        Those whose runs are noted only and change nothing.
    """
    taken: list[str] = []
    left: list[str] = []
    for each in found:
        if each.state not in {State.READY, State.DOUBT}:
            continue
        if each.athlete in leave or (each.state is State.DOUBT and each.athlete not in sure):
            left.append(each.athlete)
            continue
        for place, made in enumerate(() if each.timed_before else each.reviews):
            sure_of_it, beside = each.athlete in sure, each.reviews[:place]
            plan = accepted(plan, made, today, sure=sure_of_it, beside=beside)
        plan = _with_misses(plan, each.athlete, each.board)
        taken.append(each.athlete)
    return Accepted(plan=plan, taken=tuple(taken), left=tuple(left))
