"""The hour at the track: what happened, written down before the next key, and what comes next.

Everything a key says goes into the log and is on the disk when the key is done; what is shown
follows from the log and the clock. Nothing on the ground moves by itself: the plan may change
meanwhile, the marks lie as `laid` says until that is applied.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from tui.bench.lying import handled_of, lies, marks_left, moves, proposed
from tui.bench.taking_back import FLAGGED, named, said_of, steps_of, ticks_named
from tui.bench.times import read_time
from wicketlay.after_practice import day_of, on_ground, runs_over_marks
from wicketlay.board_misses import runs_to_board, slide_of
from wicketlay.errors import DomainError
from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.codecs.special import typed_miss
from wicketlay.keys.typed import FieldError, words
from wicketlay.log_file.log import open_log
from wicketlay.log_file.typed import far_times, read_grid, refuse_again, refuse_misses
from wicketlay.plan_file import OnGround
from wicketlay.reviewing import expected_zone, own_laying
from wicketlay.running.at_board import far_miss
from wicketlay.running.facts import Timing
from wicketlay.session.going import going
from wicketlay.session.log import Entry, Flag, What, correction, practice_of, standing, withdrawn
from wicketlay.solve import laid_out, solve
from wicketlay.units import format_count, format_time
from wicketlay.wording.names import mark_name, miss_text, small_unit
from wicketlay.wording.places import has_lanes, strip_text
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from tui.bench.bench import Bench
    from tui.bench.lying import Move
    from wicketlay.after_practice import Day
    from wicketlay.lanes.laying import Laying, Moved
    from wicketlay.log_file.log import LogFile
    from wicketlay.log_file.typed import Common
    from wicketlay.plan import Plan
    from wicketlay.session.going import Going, Standing
    from wicketlay.session.log import Practice
    from wicketlay.solve import Solved

LATE_STEP_S = 300
"""How much later a late one comes at each press."""
OVER, SHORT = "+", "-"
"""What a miss at the board begins with while it is typed."""
WAITED_FOR_S = 60
"""How long after a start its time is still asked for before that of whoever started since."""
MOST_TYPED = 8
"""Characters of a time."""
_LAID = "laid as proposed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The time of day, and seconds that never jump."""

    wall: Callable[[], datetime] = datetime.now
    ticks: Callable[[], float] = time.monotonic


@dataclass(slots=True, kw_only=True)
class Hour:
    """One practice under way.

    Parameters
    ----------
    log, day
        What is written down, and the day that goes on.
    clock
        Where the time comes from.
    laid
        What lies on the ground; the plan at work may propose something else.
    typed
        Digits of a time that is being typed.
    asked
        What was typed and must be said twice, "" when nothing.
    chosen
        Who was put on top instead of the next one.
    looked_at
        The day that is looked at after practice; None for the one that goes on.
    depth
        How many changes the plan had had when the practice was opened.
    trail
        How many changes the plan had had at each thing that was written down.
    """

    log: LogFile
    day: date
    clock: Clock
    laid: Solved
    typed: str = ""
    asked: str = ""
    chosen: str | None = None
    depth: int = 0
    trail: list[int] = field(default_factory=list)
    looked_at: date | None = None
    _whose: tuple[str | None, int | None] | None = field(default=None, init=False)
    _pages: list[range] = field(default_factory=list, init=False)
    _lay: list[Solved] = field(default_factory=list, init=False)
    _since: tuple[float, float] | None = field(default=None, init=False)
    _seen: tuple[LogFile, Solved, Practice] | None = field(default=None, init=False)
    _day: tuple[LogFile, Plan, date, Day] | None = field(default=None, init=False)

    # --- what is ------------------------------------------------------------------------------

    @property
    def layings(self) -> tuple[Laying, ...]:
        """What lies, or will lie, on the ground at the stage the plan is at."""
        return tuple(each for each in self.laid.layings if each.stage == self.laid.plan.stage)

    @property
    def practice(self) -> Practice:
        """What happened so far."""
        seen = self._seen
        if seen is None or seen[0] is not self.log or seen[1] is not self.laid:
            session = self.laid.session
            order = () if session is None else session.order
            late = {e.athlete: int(e.late_s) for e in self.laid.plan.adjustments if e.late_s}
            seen = self.log, self.laid, practice_of(self.log.entries, self.day, order, late)
            self._seen = seen
        return seen[2]

    def now_s(self) -> float:
        """Return the time since the session's beginning [s], 0 before it."""
        practice = self.practice
        if practice.begun is None:
            return 0.0
        if self._since is None:
            began = datetime.combine(self.day, practice.begun)
            told = max((each.at_s or 0 for each in practice.entries), default=0)
            # What was written stands, whatever a clock that was set back says.
            gone_s = max((self.clock.wall() - began).total_seconds(), told)
            self._since = (self.clock.ticks(), gone_s)
        ticks, gone_s = self._since
        return gone_s + self.clock.ticks() - ticks

    def stand(self) -> Going | None:
        """Return how the session stands; None when nobody runs."""
        session = self.laid.session
        if session is None:
            return None
        return going(
            session,
            self.layings,
            self.practice,
            self.now_s(),
            self.lies(),
            assistants=self.laid.plan.session.assistants,
            judgement=self.laid.plan.judgement,
        )

    def top(self, stands: Going) -> Standing:
        """Return who is on top: the one who was chosen, else who runs next."""
        chosen = (each for each in stands.line if each.athlete == self.chosen)
        return next(chosen, stands.line[0])

    def expected_s(self, athlete: str, run: Entry | None = None) -> float | None:
        """Return the time expected over the marks [s]; None where there are none to time.

        Of a run it is that over the marks it was run on.
        """
        try:
            return expected_zone(*own_laying(self.laid, athlete), run).expected_s
        except DomainError:
            return None

    @property
    def types_miss(self) -> bool:
        """Whether what is being typed is a miss at the board."""
        return self.typed.startswith((OVER, SHORT))

    @property
    def timed(self) -> Entry | None:
        """The run that digits are the time of, by who was off first; else the last.

        A time that did not come within a minute was not taken, and stands in nobody's way. Digits
        stay those of the run they were begun for, whoever is off meanwhile. While no run waits,
        they put right the last one of who was put on top.
        """
        last = self.practice.last
        waiting = sorted(
            (each for each in self.practice.entries if each.waits), key=lambda e: e.at_s or 0
        )
        since_s = 0 if last is None else (last.at_s or 0) - WAITED_FOR_S
        due = next((each for each in waiting if (each.at_s or 0) >= since_s), None)
        if due is None and self.chosen is not None and self.chosen in self.practice.runs:
            due = self.practice.runs[self.chosen][-1]
        return self._begun_for or due or (waiting[-1] if waiting else last)

    @property
    def missed(self) -> Entry | None:
        """The run that a miss at the board is of: the last, or the one it was begun for."""
        return self._begun_for or self.practice.last

    @property
    def _begun_for(self) -> Entry | None:
        """The run that digits were begun for before another one was off."""
        runs = (each for each in self.practice.entries if each.what is What.RUN)
        mine = (each for each in runs if self.typed and (each.athlete, each.run) == self._whose)
        return next(mine, None)

    # --- the ground ---------------------------------------------------------------------------

    def lies(self) -> Mapping[int, int]:
        """Return whose wave's marks lie on each lane."""
        return lies(self.layings, self.laid.session, self.practice.entries)

    def moves(self, stands: Going) -> tuple[Move, ...]:
        """Return what is to be moved before the next wave runs, in the order it is done."""
        there, wanted = self.lies(), dict(stands.wanted)
        if self.chosen is not None and there:
            # who is put on top runs next, so what lies there for others moves first
            top = self.top(stands)
            if top.here:
                wanted[top.lane] = top.wave
        return moves(self.layings, there, wanted, self.practice.entries)

    def proposed(self, bench: Bench) -> tuple[tuple[Laying, Moved], ...]:
        """Return which marks on the ground would move if the plan at work were laid now."""
        if bench.plan == self.laid.plan:
            return ()
        return proposed(self.layings, self.lies(), bench.solved)

    def ground(self, bench: Bench) -> OnGround | None:
        """Return what lies instead of the plan at work; None when nothing else does, or nothing."""
        if self.practice.begun is None or bench.plan == self.laid.plan:
            return None
        last = max((each.number for each in self.log.entries), default=0)
        return OnGround(day=self.day, entry=last, plan=self.laid.plan)

    # --- writing down -------------------------------------------------------------------------

    def _stamp(self, what: What, **facts: Any) -> Entry:  # noqa: ANN401 - the fields of an entry
        return Entry(
            day=self.day, what=what, clock=self.clock.wall().time(), at_s=int(self.now_s()), **facts
        )

    def _write(self, *entries: Entry) -> None:
        """Write entries; the first of a day begins the session."""
        if self.practice.begun is None:
            begun = Entry(day=self.day, what=What.BEGUN, clock=self.clock.wall().time(), at_s=0)
            self._since = (self.clock.ticks(), 0.0)
            entries = (begun, *entries)
        self.log = self.log.add(*entries)

    def begin(self) -> str:
        """Begin the hour, when it has not begun."""
        if self.practice.begun is not None:
            raise DomainError("the hour has begun; digits are a time, Space is off")
        self._write()
        return f"the hour begins, {self.clock.wall():%H:%M}"

    def off(self) -> str:
        """Start the one on top."""
        stands = self.stand()
        if stands is None:
            raise DomainError("nobody runs")
        who = self.top(stands)
        if not who.here:
            raise DomainError(f"{who.athlete} is absent; x brings them back")
        left = [m for m in self.moves(stands) if m.laying.lane == who.lane and not m.ticked]
        if left:
            count = marks_left(left)
            marks = f"{format_count(count, 'mark')} {'is' if count == 1 else 'are'}"
            raise DomainError(
                f"{strip_text(left[0].laying.placed.course, who.lane)}: "
                f"{marks} to be moved before {who.athlete} runs; "
                "Enter ticks one off, d all"
            )
        run = self.practice.next_run(who.athlete)
        if self.typed:
            whose = self.missed if self.types_miss else self.timed
            self._whose = None if whose is None else (whose.athlete, whose.run)
        begun = self._stamp(
            What.RUN,
            athlete=who.athlete,
            run=run,
            lane=who.lane,
            wave=who.wave,
            stage=self.laid.plan.stage,
        )
        self._write(on_ground(self.laid, begun))
        self.chosen = None
        return f"{who.athlete} is off, run {run}"

    def type_on(self, character: str) -> None:
        """Add a character to what is typed."""
        if not self.typed:
            self._whose = None
        self.typed += character

    def take_time(self, timing: Timing, fps: float | None = None) -> str:
        """Take the digits as the time of the run that waits; what is far off is said twice."""
        run = _ran(self.timed)
        time_s, doubt = read_time(self.typed, self.expected_s(run.athlete, run))
        if not doubt and run.times_s:
            doubt = f"{named(run)} is {format_time(run.times_s[0])} already"
        self._refuse_once(doubt, format_time(time_s))
        flag = None if run.flag is Flag.NOT_TIMED else run.flag
        # frames that were counted stay those of their own video
        own_fps = run.fps if run.touchdowns else None if fps is None else round(fps)
        timed = correction(run, times_s=(time_s,), timing=timing, fps=own_fps, flag=flag)
        self._write(on_ground(self.laid, timed))
        self.typed = self.asked = ""
        if run.athlete == self.chosen and not run.waits:  # they were put on top for this alone
            self.chosen = None
        return f"{named(run)}: {format_time(time_s)}"

    def turn_miss(self, way: str = "") -> str:
        """Begin a miss at the board, over first; again turns it: what follows is short, or over.

        Raises
        ------
        DomainError
            When these runs end at no board, or nobody has run.
        """
        if not runs_to_board(self.laid.plan):
            message = f"a miss at the board is of a take-off run, not a {self.laid.plan.drill.noun}"
            raise DomainError(message)
        _ran(self.practice.last)
        if not self.typed:
            self._whose = None
        other = SHORT if self.typed.startswith(OVER) else OVER
        self.typed, self.asked = (way or other) + self.typed.lstrip(OVER + SHORT), ""
        small, _ = small_unit(unit_of(self.laid.plan))
        over = self.typed[0] == OVER
        return f"{small} over, then Enter; b for short" if over else f"{small} short, then Enter"

    def take_miss(self) -> str:
        """Take the digits as the miss of whoever ran last, under the slide of what is laid."""
        run, unit = _ran(self.missed), unit_of(self.laid.plan)
        try:
            miss_m = typed_miss(self.typed, small_unit(unit)[0])
        except UnfitError as error:
            raise DomainError(words(error)) from None
        told = miss_text(miss_m, unit)
        doubt = f"{told} is more than a slide mends" if far_miss(miss_m) else ""
        if not doubt and run.miss_m is not None:
            doubt = f"{named(run)} is {miss_text(run.miss_m, unit)} already"
        self._refuse_once(doubt, told)
        slide_m = slide_of(self.laid.plan, run.athlete)
        self._write(correction(run, miss_m=miss_m, slide_m=slide_m))
        self.typed = self.asked = ""
        return f"{named(run)}: {told}"

    def _refuse_once(self, doubt: str, shown: str) -> None:
        """Refuse what is in doubt until it is said twice; `shown` is what was typed."""
        if doubt and self.asked != self.typed:
            self.asked = self.typed
            raise DomainError(f"{doubt}: Enter again makes it {shown}, ⌫ takes digits back")

    def flag(self, flag: Flag) -> str:
        """Flag the run of whoever ran last (not timed: that waits), or take the flag back."""
        run = _ran(self.timed if flag is Flag.NOT_TIMED else self.practice.last)
        now = None if run.flag is flag else flag
        gone = flag is Flag.NOT_TIMED and now is not None
        untimed: dict[str, object] = {"times_s": (), "timing": None, "fps": None, "touchdowns": ()}
        facts = untimed if gone else {}
        self._write(correction(run, flag=now, **facts))
        return f"{named(run)}: {FLAGGED[flag]}{'' if now else ' taken back'}"

    def absent(self) -> str:
        """Note that the one on top is absent, or is back."""
        who = self._on_top()
        what = What.ABSENT if who.here else What.HERE
        self._write(self._stamp(what, athlete=who.athlete))
        self.chosen = None  # the next press is about who runs next
        return f"{who.athlete}: {'absent; u takes that back' if who.here else 'here'}"

    def late(self) -> str:
        """Note that the one on top comes five minutes later, or as much later than was said."""
        who = self._on_top()
        due_s = int(max(self.practice.due_s.get(who.athlete, 0), self.now_s())) + LATE_STEP_S
        self._write(self._stamp(What.LATE, athlete=who.athlete, due_s=due_s))
        self.chosen = who.athlete  # the next press is about the same athlete
        minutes = round((due_s - self.now_s()) / 60)
        return f"{who.athlete}: comes in {minutes} min"

    def swap(self) -> str:
        """Change places between the one on top and who runs after them."""
        stands = self.stand()
        coming = () if stands is None else stands.line[: stands.to_come]
        names = [each.athlete for each in coming]
        who = self._on_top().athlete
        at = names.index(who) if who in names else len(names)
        if at + 1 >= len(names):
            raise DomainError(f"nobody runs after {who}")
        self._write(self._stamp(What.SWAP, athlete=who, other=names[at + 1]))
        self.chosen = None
        return f"{names[at + 1]} before {who}"

    def tick(self, *, every: bool) -> str:
        """Tick off the next mark of the moves, or all of its lane: nobody says what lies unseen."""
        stands = self.stand()
        left = [] if stands is None else [m for m in self.moves(stands) if not m.ticked]
        if not left:
            raise DomainError("no mark is to be moved now")
        lane = left[0].laying.lane
        marks = [each for each in left if each.laying.lane == lane] if every else left[:1]
        self._write(
            *(
                self._stamp(
                    What.MOVED,
                    lane=each.laying.lane,
                    wave=each.laying.wave,
                    stage=each.laying.stage,
                    other=each.moved.mark_id,
                )
                for each in marks
            )
        )
        rest = marks_left(each for each in left if each not in marks)
        if not rest:
            return "all marks moved"
        told = (
            f"{marks_left(marks)} moved" if every else f"{mark_name(marks[0].moved.mark_id)} done"
        )
        return f"{told}, {rest} left"

    def apply(self, bench: Bench) -> str:
        """Lay what is proposed."""
        if bench.plan == self.laid.plan:
            message = "there is nothing to lay anew; a notch or an accepted review proposes it"
            raise DomainError(message)
        count = format_count(handled_of(self.proposed(bench)), "mark")
        self._write(self._stamp(What.NOTE, note=f"{_LAID}: {count} moved"))
        self._lay.append(self.laid)
        self.laid = bench.solved
        return f"laid as proposed: {count}"

    # --- after practice -----------------------------------------------------------------------

    def last_timed(self, athlete: str) -> Entry | None:
        """Return the last run of an athlete that has a time; None without any."""
        day = practice_of(self.log.entries, self.day_looked_at)
        runs = [each for each in day.runs.get(athlete, ()) if each.times_s]
        return runs[-1] if runs else None

    def from_paper(self, lines: Mapping[str, str], like: Common) -> str:
        """Write a day down as it stands on paper, an athlete and their runs a line; look at it.

        Raises
        ------
        FieldError
            When a line cannot be read; nothing is written.
        """
        names = [who for who, text in lines.items() if text.strip()]
        there = practice_of(self.log.entries, like.day, names)
        begun = {who: there.next_run(who) - 1 for who in names}
        text = "\n".join(f"{who} {lines[who]}" for who in names)
        small, _ = small_unit(unit_of(self.laid.plan))
        typed = read_grid(text.encode(), "paper", names, like, begun, small)
        refuse_again(typed, there.entries)
        refuse_misses(typed, self.laid.plan)
        for problem in typed.problems.found:
            at = names[(problem.line or 1) - 1]
            raise FieldError(f"{problem.message}{problem.remedy and f'; {problem.remedy}'}", key=at)
        for line, odd in far_times(typed, self.laid, there.entries):
            if odd not in self.asked:
                self.asked += f"{odd}\n"
                raise FieldError(f"{odd}; ^S again writes it all the same", key=names[line - 1])
        self.asked = ""
        entries = [
            on_ground(self.laid, entry, there.entries) if entry.times_s else entry
            for _, entry in typed.entries
        ]
        if names:
            self.log = self.log.add(*entries)
            last = self.log.entries[-1].number
            self._pages.append(range(last - len(entries) + 1, last + 1))
        self.looked_at = like.day
        return f"{like.day.isoformat()}: {len(typed.entries)} written down from paper"

    def count(
        self, run: Entry, steps: float | None, touchdowns: Sequence[float], fps: float | None
    ) -> str:
        """Note what was counted of a run: steps, or touchdowns in a video; nothing takes it back.

        Frames and steps are kept as whole numbers.
        """
        own_fps = run.fps if run.timing is Timing.VIDEO else None
        self._write(
            correction(
                run,
                steps=None if steps is None else round(steps),
                touchdowns=tuple(map(round, touchdowns)),
                fps=own_fps if fps is None else round(fps),
            )
        )
        if touchdowns:
            return f"{named(run)}: {len(touchdowns)} touchdowns at {fps:g} frames a second"
        if steps is None:
            return f"{named(run)}: nothing counted"
        idle = runs_over_marks(self.laid, run.athlete)
        return f"{named(run)}: {steps:g} steps{'; over marks they teach nothing' if idle else ''}"

    @property
    def day_looked_at(self) -> date:
        """The day that is looked at after practice: another one that was typed in, or this."""
        return self.looked_at or self.day

    def after(self, bench: Bench) -> Day:
        """Return what the day says of everybody, over the marks that lay on the ground."""
        seen, of = self._day, self.day_looked_at
        if seen is None or seen[0] is not self.log or seen[1] is not bench.plan or seen[2] != of:
            run_over = replace(self.laid.plan, athletes=bench.plan.athletes)
            solved = self.laid if run_over == self.laid.plan else laid_out(run_over)
            day = day_of(solved, standing(self.log.entries), of)
            seen = self._day = self.log, bench.plan, of, day
        return seen[3]

    @property
    def paper_last(self) -> bool:
        """Whether the last thing that was written down came from paper, just now."""
        steps = steps_of(self.log.entries, self.day, self._pages)
        return bool(steps) and any(steps[-1][0].number in each for each in self._pages)

    def undo(self) -> str:
        """Take the last thing that was written down back, of today or just now from paper."""
        steps = steps_of(self.log.entries, self.day, self._pages)
        if not steps:
            raise DomainError("nothing to undo")
        now, before, stands = steps[-1]
        laying = now.note.startswith(_LAID)
        if laying and not self._lay:
            raise DomainError(
                "what lay before an earlier session laid this is not known any more: "
                "change the plan to what should lie, and a lays that"
            )
        told = named(now)
        if before is not None:
            said = said_of(now, before)
            told += f": {said}" if said else ""
            self.log = self.log.add(replace(before, number=0, replaces=stands.number))
        else:
            gone = [stands]
            page = next((each for each in self._pages if now.number in each), range(0))
            if now.what is What.MOVED:  # what one key ticked off comes back with one
                when = (What.MOVED, now.lane, now.clock, now.at_s)
                gone = [s for e, _, s in steps if (e.what, e.lane, e.clock, e.at_s) == when]
                told = ticks_named(gone, lanes=has_lanes(self.laid.plan.ground))
            elif page:  # and so does what was typed in from paper
                gone = [s for e, b, s in steps if e.number in page and b is None]
                told = f"{len(gone)} from paper, {now.day.isoformat()}"
            self.log = self.log.add(*map(withdrawn, gone))
        if laying:
            self.laid = self._lay.pop()
        self.chosen = None
        return f"undone: {told}"

    def _on_top(self) -> Standing:
        stands = self.stand()
        if stands is None or not stands.line:
            raise DomainError("nobody runs")
        return self.top(stands)


def _ran(run: Entry | None) -> Entry:
    """Return a run there is; DomainError while nobody has run."""
    if run is None:
        raise DomainError("nobody has run yet; Space starts the one on top")
    return run


def start_hour(bench: Bench, day: date, clock: Clock) -> Hour:
    """Return the hour of a bench: the log of its plan, and what lies on the ground.

    That is the plan on view, unless an earlier session of the day noted otherwise and nothing was
    laid since.

    Raises
    ------
    WicketlayError
        When the plan has no file yet, another workbench is at it, or its log cannot be read.
    """
    if bench.opened.untitled:
        raise DomainError("Ctrl+S first: the log of the practice lies beside the plan's file")
    if bench.opened.read_only:
        raise DomainError("read only: another workbench is at this plan, and keeps its log")
    log, laid, ground = open_log(bench.opened.path), bench.solved, bench.ground
    if ground is not None and ground.day == day and ground.plan != bench.plan:
        later = (each for each in standing(log.entries) if each.number > ground.entry)
        if not any(each.note.startswith(_LAID) for each in later):
            laid = solve(ground.plan)
    return Hour(log=log, day=day, clock=clock, laid=laid, depth=bench.history.depth)
