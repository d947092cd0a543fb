"""Keys for practice: times and reviews, who is there, stages, and paper."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui import papers
from tui.bench import Told
from tui.people import athlete_of, who_lines
from tui.routes_edit import EditRoutes, check_of
from tui.screens.asking import Ask, Choose, Option
from tui.screens.forms import FormScreen
from tui.shown import why_empty
from tui.texts import from_text
from wicketlay import edits
from wicketlay.errors import DomainError, WicketlayError
from wicketlay.export import mark_name, unit_of
from wicketlay.keys.codecs import Date, duration
from wicketlay.plan import StagePlan
from wicketlay.reviewing import accepted, wickets_changed
from wicketlay.units import format_duration, format_time
from wicketlay.wording import word

if TYPE_CHECKING:
    from wicketlay.plan import Plan
    from wicketlay.review.review import Review
    from wicketlay.running.athlete import Athlete

_TIME = duration(0.3, 60.0)
_LATE = duration(0.0, 6 * 3600.0, unit="min")
_FIRST_STAGES = (0.88, 0.97, 4)
"""From, to and number of the series that is offered."""


def _late_by(plan: Plan, who: str, late_s: float) -> edits.Edit:
    """Return the edit with how late it is in words."""
    edit = edits.set_late(plan, who, late_s)
    if late_s <= 0:
        return edit
    return replace(edit, done=f"{who}: comes {format_duration(late_s)} late")


class PracticeRoutes(EditRoutes):
    """From practice keys to reviews, edits and paper."""

    # --- times ----------------------------------------------------------------------------------

    def show(self) -> None:
        """Push the state into the screen on view, the review of its athlete included."""
        if getattr(self.bench_screen(), "NAME", "") == "review":
            self._review()
        super().show()

    def _review(self) -> None:
        bench = self.bench
        bench.reviewing.look(bench.solved, bench.view.athlete, self.today)

    def action_time(self) -> None:
        """Ask for a time of the athlete on view."""
        laying, who = self.bench.laying, self.bench.view.athlete
        if laying is None or who is None:
            self.say(why_empty(self.bench), refused=True)
            return
        body = [m.id for m in laying.layout.marks if not m.id.startswith("start")]
        ends = f" {mark_name(body[0])} to {mark_name(body[-1])}" if len(body) > 1 else ""
        ask = Ask(f"time of {who}{ends}", unit="s", check=check_of(_TIME, "3.17 s"))
        self.push_screen(ask, self._timed)

    def _timed(self, text: str | None) -> None:
        who = self.bench.view.athlete
        if text is None or who is None:
            return
        time_s = from_text(_TIME, text)
        self.bench.reviewing.add(who, time_s)
        self.bench.told = Told(text=f"{who}: {format_time(time_s)} noted")
        # At once: the next key may accept it before the screen has been drawn.
        self.keep_soon()
        self._review()
        self.action_screen_review()
        self.call_after_refresh(self.show)

    def action_timing(self) -> None:
        """By hand or by gates."""
        self.bench.reviewing.next_timing()
        self.keep_soon()
        self.say(f"timed by {self.bench.reviewing.timing.value}")

    def action_time_drop(self) -> None:
        """Forget the last time."""
        who, reviewing = self.bench.view.athlete, self.bench.reviewing
        if who is None or not reviewing.times_of(who):
            self.say("there is no time to drop", refused=True)
            return
        dropped = format_time(reviewing.times_of(who)[-1])
        reviewing.drop_last(who)
        self.keep_soon()
        self.say(f"{who}: {dropped} dropped")

    def action_day(self) -> None:
        """Say which day the times are of."""
        day = self.bench.reviewing.day_of(self.bench.plan, self.today)
        ask = Ask("day of the runs", check=self._day_refused, value=day.isoformat())
        self.push_screen(ask, self._day_told)

    def _day_refused(self, text: str) -> str:
        told = check_of(Date(), "2026-03-04")(text)
        if told or from_text(Date(), text) <= self.today:
            return told
        return f"{text.strip()} is a day to come; today is {self.today.isoformat()}"

    def _day_told(self, text: str | None) -> None:
        if text is None:
            return
        day = from_text(Date(), text)
        self.bench.reviewing.day = day
        self.say(f"times are of {day.isoformat()}")

    def action_accept(self) -> None:
        """Write the review to the record; the layout follows at once."""
        made = self.bench.reviewing.made
        if made is None or made.athlete != self.bench.view.athlete:
            self.say("there is no review to accept; t and the digits give a time", refused=True)
            return

        doubt = self._doubt(made)
        if not doubt or self.bench.opened.read_only:
            self._write_review(made, sure=False)
            return

        def answered(result: str | None) -> None:
            if result == "sure":
                self._write_review(made, sure=True)
            else:
                self.say(doubt, refused=True)

        # Enter, pressed once too often, must not write a time that is in doubt
        options = [
            Option(key="n", text="no: nothing is written", result="no"),
            Option(key="y", text="I am sure of this time: write it", result="sure"),
        ]
        self.push_screen(Choose("is this time right?", [doubt], options), answered)

    def _doubt(self, made: Review) -> str:
        """Return why a review is written only by somebody who is sure, "" when anybody may."""
        plan = self.bench.plan
        try:
            accepted(plan, made, self.today, sure=True)
        except DomainError:
            return ""  # it cannot be written at all; writing it says why
        try:
            accepted(plan, made, self.today)
        except DomainError as error:
            return str(error)
        return ""

    def _write_review(self, made: Review, *, sure: bool) -> None:
        def accept(plan: Plan) -> edits.Edit:
            return edits.Edit(
                plan=accepted(plan, made, self.today, sure=sure),
                done=f"{made.athlete}: review accepted",
                held="drill and place held; marks follow the athlete",
            )

        before = self.bench.solved
        if self.bench.do(accept):
            self.bench.reviewing.clear(made.athlete)
            note = wickets_changed(before, self.bench.solved, made.athlete)
            if note is not None:
                told = self.bench.told
                more = word(note, unit_of(before))
                self.bench.told = replace(told, text=f"{told.text}; {more}")
            self.changed()
        else:
            self.show()

    # --- who is there ---------------------------------------------------------------------------

    def action_late(self) -> None:
        """Late by so many minutes; 0 is in time."""
        who = self.bench.view.athlete or "nobody"
        title = f"{who} comes how long after the beginning, such as 5 min"
        ask = Ask(title, unit="min", check=check_of(_LATE, "5 min"))
        self.push_screen(ask, self._late)

    def _late(self, text: str | None) -> None:
        if text is not None:
            late_s = from_text(_LATE, text)
            self.edit_athlete(lambda plan, who: _late_by(plan, who, late_s))

    def action_athlete_add(self) -> None:
        """Add an athlete."""
        self._ask_athlete("new athlete", None)

    def action_athlete_edit(self) -> None:
        """Change what is known of the athlete on view."""
        athlete = self.bench.athlete
        if athlete is not None:
            self._ask_athlete(f"what is known of {athlete.name}", athlete)

    def _ask_athlete(self, title: str, known: Athlete | None) -> None:
        def make(answers: dict[str, str]) -> Athlete:
            share = self.bench.plan.drill.speed_share
            day = self.bench.reviewing.day_of(self.bench.plan, self.today)
            return athlete_of(answers, known=known, speed_share=share, today=day)

        def answered(athlete: Athlete | None) -> None:
            if athlete is None:
                return
            if known is None:
                self.edit(lambda plan: edits.add_athlete(plan, athlete))
            else:
                self.edit(lambda plan: edits.replace_athlete(plan, known.name, athlete))
            if not self.bench.told.refused:
                self.bench.look_at(athlete.name)
                self.show()

        form = FormScreen(
            title, who_lines(known), make, drafts=self.bench.drafts, keep=self.keep_soon
        )
        self.push_screen(form, answered)

    def action_athlete_remove(self) -> None:
        """Take the athlete on view off the plan."""
        self.edit_athlete(edits.remove_athlete)

    def action_order_earlier(self) -> None:
        """One place earlier."""
        self.edit_athlete(lambda plan, who: edits.move_athlete(plan, who, -1))

    def action_order_later(self) -> None:
        """One place later."""
        self.edit_athlete(lambda plan, who: edits.move_athlete(plan, who, 1))

    # --- stages ---------------------------------------------------------------------------------

    def action_stage_now(self) -> None:
        """Say that the athletes are at the stage on view now."""
        stage = self.bench.view.stage
        self.edit(lambda plan: edits.go_to_stage(plan, stage))

    def action_stages_set(self) -> None:
        """Make a series, or take it out."""
        if self.bench.plan.stages is None:
            low, high, count = _FIRST_STAGES
            series = StagePlan(from_share=low, to_share=high, count=count)
            self.edit(lambda plan: edits.set_stages(plan, series))
            return

        def answered(result: str | None) -> None:
            if result == "out":
                self.edit(lambda plan: edits.set_stages(plan, None))

        option = Option(key="y", text="take the series out; undo brings it back", result="out")
        self.push_screen(Choose("stages", ["the fields change the series"], [option]), answered)

    # --- paper ----------------------------------------------------------------------------------

    def action_print_wave(self) -> None:
        """To the print screen; there, print the current wave."""
        if getattr(self.screen, "NAME", "") != "print":
            self.action_screen_print()
            return
        self._to_paper(whole=False)

    def action_print_again(self) -> None:
        """Print the current wave."""
        self._to_paper(whole=False)

    def action_print_all(self) -> None:
        """Print the whole plan."""
        self._to_paper(whole=True)

    def _to_paper(self, *, whole: bool) -> None:
        bench, printing = self.bench, self.printing
        solved = bench.solved if whole else papers.wave_of(bench)
        path = papers.pdf_path(bench, "" if whole else papers.stem_of_wave(bench))
        try:
            document = papers.pages_of(solved, printing.kinds_for(whole=whole), printing.paper)
            pages = papers.write(document, path)
        except WicketlayError as error:
            self.say(str(error), refused=True)
            return
        stop = "; it says DO NOT LAY OUT" if papers.stops_in(solved) else ""
        line = f"{path}: {pages} page{'s' if pages != 1 else ''}{stop}"
        printing.written.append(line)
        self.say(f"written: {line}")

    def action_paper(self) -> None:
        """Take the next paper."""
        self.printing.next_paper()
        self.show()

    def action_sheets(self) -> None:
        """Take the next choice of sheets."""
        self.printing.next_kinds()
        self.show()
