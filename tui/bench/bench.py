"""The state of the workbench: the plan, what follows from it, and what is being looked at.

Everything a key does goes the same way: edit, history, solve. Nothing here knows a screen.
"""

from __future__ import annotations

import dataclasses
from dataclasses import field, replace
from typing import TYPE_CHECKING, Any

from tui.bench import shelf
from tui.bench.fields import fields_of, typed
from tui.bench.history import History
from tui.bench.reviewing import Reviewing
from wicketlay.edits import Edit, free_lane, gaps_opened, held_marks, laying_of, moved_marks
from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.keys.typed import FieldError
from wicketlay.log_file.typed import plain
from wicketlay.plan_file import PlanFileError
from wicketlay.solve import solve
from wicketlay.units import format_percent
from wicketlay.values import dataclass
from wicketlay.wording import told, word
from wicketlay.wording.places import strip_text
from wicketlay.wording.solved import told_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date
    from pathlib import Path

    from tui.bench.fields import Field
    from tui.bench.shelf import OpenFile, Stations
    from wicketlay.lanes.laying import Demand, Laying, Moved
    from wicketlay.plan import Plan
    from wicketlay.plan_file import OnGround
    from wicketlay.running.athlete import Athlete
    from wicketlay.solve import Solved


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the last key did, for the line that says so.

    Parameters
    ----------
    text
        What was done, or why it was not.
    refused
        True when nothing was done.
    moved
        Marks of the laying on view that lie elsewhere now.
    still
        Ids of its marks that lie where they lay.
    held
        What was held, in words.
    anew
        True when the athlete runs on another lane or wave than before.
    """

    text: str
    refused: bool = False
    moved: tuple[Moved, ...] = ()
    still: tuple[str, ...] = ()
    held: str = ""
    anew: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What is looked at: a stage, an athlete, a mark; the laying follows from them.

    The wave is that of the athlete, and stays on view when they run in none.
    """

    stage: int = 1
    athlete: str | None = None
    mark: str | None = None
    wave: int = 1
    section_only: bool = False


@dataclasses.dataclass(slots=True, kw_only=True)
class Bench:
    """A plan at work.

    Parameters
    ----------
    opened
        Its file.
    history, solved, view, told
        The plan through time, what follows from it, what is looked at, what was last done.
    reviewing
        Times being reviewed.
    drafts, errors
        What was typed in a field and not taken, and why not, by field.
    on_purpose
        True when what is unsaved was to be kept for the next time.
    offering
        True until it is known what becomes of what an earlier session kept.
    ground
        What lies on the ground instead of the plan, None when that is the plan.
    noted_only
        Whose runs of a day are to change nothing, by ISO date.
    stations
        The practice it was opened by, None for a plan alone.
    """

    opened: OpenFile
    history: History
    solved: Solved
    view: View = View()
    told: Told = Told(text="")
    reviewing: Reviewing = field(default_factory=Reviewing)
    drafts: dict[str, str] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    on_purpose: bool = False
    offering: bool = False
    ground: OnGround | None = None
    noted_only: dict[str, list[str]] = field(default_factory=dict)
    stations: Stations | None = None

    @property
    def plan(self) -> Plan:
        """The plan on view."""
        return self.history.plan

    @property
    def unsaved(self) -> bool:
        """True when the plan is not what its file says."""
        return self.plan != self.opened.file.plan

    def typed(self, today: date) -> dict[str, Any]:
        """Return what was typed and is not in the plan yet, to be kept with it."""
        parts = {
            "fields": dict(self.drafts),
            "times": self.reviewing.noted(self.reviewing.day_of(self.plan, today)),
            "noted_only": {day: names for day, names in self.noted_only.items() if names},
            "on_purpose": self.on_purpose,
        }
        return {name: part for name, part in parts.items() if part}

    @property
    def athlete(self) -> Athlete | None:
        """The athlete looked at."""
        return next((a for a in self.plan.athletes if a.name == self.view.athlete), None)

    @property
    def laying(self) -> Laying | None:
        """The laying the athlete runs on, None when they run on none."""
        if self.view.athlete is None:
            return None
        return laying_of(self.solved, self.view.athlete, self.view.stage)

    @property
    def in_wave(self) -> tuple[Laying, ...]:
        """The layings of the wave and stage on view, none when nobody runs."""
        there = [each for each in self.solved.layings if each.stage == self.view.stage]
        waves = {each.wave for each in there}
        wave = min(waves, key=lambda each: abs(each - self.view.wave), default=0)
        return tuple(each for each in there if each.wave == wave)

    @property
    def demand(self) -> Demand | None:
        """What the laying asks of the athlete looked at."""
        laying = self.laying
        if laying is None:
            return None
        return next((d for d in laying.demands if d.athlete.name == self.view.athlete), None)

    # --- changing ---------------------------------------------------------------------------

    def do(self, make: Callable[[Plan], Edit]) -> bool:
        """Change the plan; what is refused changes nothing and is told. Return whether done."""
        if self.opened.read_only:
            self.told = Told(text=READ_ONLY, refused=True)
            return False
        try:
            edit = make(self.plan)
        except DomainError as error:
            self.told = Told(text=str(error), refused=True)
            return False
        self.take(edit)
        return True

    def also(self, more: str, between: str = "; ") -> None:
        """Tell one thing more of what was done last."""
        self.told = replace(self.told, text=f"{self.told.text}{between}{more}")

    def take(self, edit: Edit, done: str = "") -> None:
        """Put an edit on view and solve; `done` is what it is called, "" for its own words."""
        told = word(edit.done)
        self.take_plan(edit.plan, done or told.text, told.remedy, edit.gaps_of)

    def take_plan(self, plan: Plan, done: str, held: str = "", gaps_of: str = "") -> None:
        """Put a whole plan on view as one change, so that undo goes back."""
        if plan != self.plan:
            self.history.push(plan, done)
        self._solve(done, held, gaps_of)

    def type_in(self, field: Field, text: str) -> bool:
        """Take what was typed in a field, or keep it beside its error. Return whether taken."""
        try:
            edit = typed(self.plan, field.owner, field.id, text)
        except FieldError as error:
            return self._not_taken(field, text, str(error))
        if self.opened.read_only and edit.plan != self.plan:
            return self._not_taken(field, text, READ_ONLY)
        self.put_back(field)
        if edit.plan == self.plan:
            return True
        if field.id == "athlete.name" and field.owner == self.view.athlete:
            at = [a.name for a in self.plan.athletes].index(field.owner or "")
            self.view = replace(self.view, athlete=edit.plan.athletes[at].name)
        whose = "" if field.owner is None else f"{field.owner}: "
        now = {each.id: each.text for each in fields_of(edit.plan, field.owner, (field.part,))}
        done = f"{whose}{field.label} {now.get(field.id) or 'left out'}"
        self.take(edit, done)
        return True

    def _not_taken(self, field: Field, text: str, why: str) -> bool:
        self.drafts[field.draft] = text
        self.errors[field.draft] = why
        self.told = Told(text=f"{field.label}: {why}", refused=True)
        return False

    def typing(self, field: Field, text: str) -> None:
        """Keep what is being typed, until it is taken or put back."""
        if text == field.text:
            self.put_back(field)
        else:
            self.drafts[field.draft] = text

    def drop(self, field: Field) -> None:
        """Forget what was typed in a field, and say so."""
        if field.draft in self.drafts:
            self.told = Told(text=f"{field.label} put back to {field.text or 'nothing'}")
        self.put_back(field)

    def put_back(self, field: Field) -> None:
        """Forget what was typed in a field."""
        self.drafts.pop(field.draft, None)
        self.errors.pop(field.draft, None)

    def undo(self) -> None:
        """Take the last change back."""
        if not self.history.can_undo:
            self.told = Told(text="nothing to undo", refused=True)
            return
        self._solve(f"undone: {self.history.undo()}", "")

    def redo(self) -> None:
        """Do again what was taken back last."""
        if not self.history.can_redo:
            self.told = Told(text="nothing to redo", refused=True)
            return
        self._solve(f"done again: {self.history.redo()}", "")

    def _solve(self, done: str, held: str, gaps_of: str = "") -> None:
        stage = self.view.stage
        who = gaps_of or self.view.athlete or ""
        was, before = laying_of(self.solved, who, stage), self.laying
        ground = self.solved.plan.ground_file
        self.solved = solve(self.plan)
        held = self._met() or held
        self.look()
        after = self.laying
        now = laying_of(self.solved, who, stage)
        if gaps_of and was is not None and now is not None:
            done += _shared(gaps_of, was, now)
            free = free_lane(self.plan, gaps_of) if "; shared with" in done else None
            held += "" if free is None else f"; F: alone on free lane {free}"
        if before is None or after is None:
            self.told = Told(text=done, held=held, anew=after is not None)
            return
        lines = {(laying.placed.ground, laying.placed.line) for laying in (before, after)}
        if len(lines) > 1 or ground != self.plan.ground_file:
            stops = [text for level, text in told_of(self.solved) if level is Level.STOP]
            held = f"stop: {stops[0]}" if stops else held
            self.told = Told(text=done, held=held, anew=True)
            return
        elsewhere = (before.lane, before.wave) != (after.lane, after.wave)
        where = strip_text(after.placed.course, after.lane)
        told = where in done or f"wave {after.wave}" in done
        if elsewhere and not gaps_of:
            count = len(moved_marks(before, after))
            done += f"; {count} readings change" if count else "; readings as before"
        if elsewhere and not told:
            done += f"; now {where}, wave {after.wave}"
        self.told = Told(
            text=done,
            held=held,
            moved=() if elsewhere else moved_marks(before, after),
            still=() if elsewhere else held_marks(before, after),
            anew=elsewhere,
        )

    def join(self, stations: Stations) -> None:
        """Put the plan among the stations of its practice."""
        self.stations = stations
        self._met()
        self.told = Told(text=stations.said())

    def _met(self) -> str:
        """Tell the plan what its practice does to it; return what is new of that, in words."""
        if self.stations is None:
            return ""
        before = told(self.stations.findings)
        self.stations = self.stations.with_plan(self.plan)
        findings = self.stations.findings
        self.solved = replace(self.solved, findings=(*self.solved.findings, *findings))
        now = told(findings)
        new = [f"{level.value}: {text}" for level, text in now if (level, text) not in before]
        gone = [f"no longer: {text}" for level, text in before if (level, text) not in now]
        return next(iter((*new, *gone)), "")

    # --- looking ----------------------------------------------------------------------------

    def look(self) -> None:
        """Keep what is looked at among what there is."""
        names = [a.name for a in self.plan.athletes]
        stages = len(self.solved.stage_shares)
        stage = min(max(self.view.stage, 1), stages)
        athlete = self.view.athlete if self.view.athlete in names else names[0] if names else None
        self.view = replace(self.view, stage=stage, athlete=athlete)
        laying = self.laying
        wave = self.view.wave if laying is None else laying.wave
        self.view = replace(self.view, mark=self._mark_there(), wave=wave)

    def _mark_there(self) -> str | None:
        laying = self.laying
        if laying is None:
            return self.view.mark
        ids = [each.mark.id for each in laying.placed.marks]
        if self.view.mark in ids:
            return self.view.mark
        demand = self.demand
        first = next((i for i in ids if not i.startswith("start")), None)
        return first or (demand.start_id if demand is not None else None)

    def look_at(self, athlete: str) -> None:
        """Look at an athlete."""
        self.view = replace(self.view, athlete=athlete)
        self.look()

    def named(self, text: str) -> list[str]:
        """Return the athletes whose name a text begins or is, in any case and without accents."""
        asked = plain(text)
        names = [athlete.name for athlete in self.plan.athletes]
        exact = [name for name in names if plain(name) == asked]
        return exact or [name for name in names if asked and plain(name).startswith(asked)]

    def step_athlete(self, places: int) -> None:
        """Look at the next athlete (or the one so many places on), round and round."""
        names = [a.name for a in self.plan.athletes]
        if len(names) == 1:
            self._only_one("athlete")
        elif self.view.athlete in names:
            self.look_at(names[(names.index(self.view.athlete) + places) % len(names)])

    def _only_one(self, what: str) -> None:
        self.told = Told(text=f"there is only one {what}", refused=True)

    def step_mark(self, places: int) -> None:
        """Go so many marks on, as far as they go."""
        laying = self.laying
        if laying is None:
            return
        ids = [each.mark.id for each in laying.placed.marks]
        at = ids.index(self.view.mark) if self.view.mark in ids else 0
        self.view = replace(self.view, mark=ids[min(max(at + places, 0), len(ids) - 1)])

    def step_stage(self, places: int) -> None:
        """Look at the next stage, round and round."""
        count = len(self.solved.stage_shares)
        if count == 1:
            self._only_one("stage")
            return
        self.view = replace(self.view, stage=(self.view.stage - 1 + places) % count + 1)
        self.look()

    def step_lane(self, places: int) -> None:
        """Look at the first athlete of the next lane in the same wave, round and round."""
        self._step_slot("lane", places, lambda each: each.lane, lambda each: each.wave)

    def step_wave(self, places: int) -> None:
        """Look at the first athlete of the next wave on the same lane, round and round."""
        self._step_slot("wave", places, lambda each: each.wave, lambda each: each.lane)

    def _step_slot(
        self,
        what: str,
        places: int,
        along: Callable[[Laying], int],
        across: Callable[[Laying], int],
    ) -> None:
        here = self.laying
        if here is None:
            # Whoever is looked at runs nowhere: back to those who do.
            if self.in_wave:
                self.look_at(self.in_wave[0].athletes[0])
            return
        there = [each for each in self.solved.layings if each.stage == self.view.stage]
        values = sorted({along(each) for each in there})
        if len(values) == 1:
            self._only_one(what)
            return
        wanted = values[(values.index(along(here)) + places) % len(values)]
        found = [each for each in there if along(each) == wanted]
        nearest = min(found, key=lambda each: abs(across(each) - across(here)))
        self.look_at(nearest.athletes[0])


_LEAST_SHOWN, _NONE = 0.001, 1e-6
"""The least share that percentages tell, and what is no change at all."""


def _shared(who: str, was: Laying, now: Laying) -> str:
    """Return with whom gaps are shared and by how much they truly changed, "" when alone."""
    opened = gaps_opened(was, now)
    others = [name for name in now.athletes if name != who]
    if opened is None or not others:
        return ""
    shown = format_percent(abs(opened))
    none = abs(opened) < _NONE
    if shown == format_percent(0.0) and not none:
        shown = f"less than {format_percent(_LEAST_SHOWN)}"
    does = "no gap changes" if none else f"{'opens' if opened > 0 else 'closes'} {shown}"
    return f"; shared with {' and '.join(others)}: {does}"


READ_ONLY = (
    "read only: another workbench is at this plan; nothing was changed "
    "(Ctrl+D saves a copy to work on)"
)


def start_bench(opened: OpenFile, plan: Plan | None = None, done: str = "") -> Bench:
    """Return a bench at a file.

    Parameters
    ----------
    opened
        The file.
    plan
        The plan with unsaved work, None for what the file says.
    done
        What made that plan, for undo.
    """
    history = History(opened.file.plan)
    if plan is not None and plan != opened.file.plan:
        history.push(plan, done)
    solved = solve(history.plan)
    first = next(iter(() if solved.session is None else solved.session.order), None)
    bench = Bench(
        opened=opened,
        history=history,
        solved=solved,
        view=View(stage=history.plan.stage, athlete=first),
        told=Told(text=opened.file.mended),
        offering=plan is None,
    )
    bench.look()
    return bench


def first_bench(path: Path | None) -> Bench:
    """Return the bench to start with.

    Parameters
    ----------
    path
        The plan that was named; None takes unsaved work without a name, else the last plan that
        can be read, else the starter.

    Raises
    ------
    PlanFileError
        When the plan that was named has problems.
    """
    if path is not None:
        stations = shelf.stations_of(path)
        plan = path if stations is None else stations.plans[0]
        bench = start_bench(shelf.open_file(plan))
        if stations is not None:
            bench.join(stations)
        shelf.remember(plan)
        return bench
    for waiting in (*shelf.unsaved_untitled(), *shelf.recent()):
        try:
            return start_bench(shelf.open_file(waiting))
        except PlanFileError:
            continue
    return start_bench(shelf.new_file())
