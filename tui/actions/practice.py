"""What practice is made of: times and reviews, who is there, stages, and paper."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tui.actions import change
from tui.actions.change import check_of
from tui.bench import papers
from tui.bench.bench import Told
from tui.bench.people import athlete_of, who_lines
from tui.bench.times import LEAST_S, MOST_S, read_time
from tui.said.shown import why_empty
from tui.screens.asking import Ask, Choose, Option
from tui.screens.forms import FormScreen
from wicketlay import edits
from wicketlay.board_misses import (
    SLIDE,
    runs_to_board,
    slide_of,
    slide_taken,
    slide_told,
    with_misses,
)
from wicketlay.errors import DomainError
from wicketlay.export.rhythm import CAUTION
from wicketlay.keys.codecs import Date, UnfitError, duration
from wicketlay.keys.codecs.special import typed_miss
from wicketlay.keys.typed import FieldError, from_text
from wicketlay.log_file.typed import plain
from wicketlay.plan import StagePlan
from wicketlay.reviewing import (
    accepted,
    expected_zone,
    gaps_kept,
    gaps_to_keep,
    marks_changed,
    own_laying,
)
from wicketlay.running.facts import BoardMisses
from wicketlay.sheets import make_pages
from wicketlay.solve import laid_out
from wicketlay.units import format_count, format_time
from wicketlay.wording import word
from wicketlay.wording.names import mark_name, small_unit
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.core import Core
    from wicketlay.findings import Finding
    from wicketlay.plan import Plan
    from wicketlay.review.review import Review
    from wicketlay.running.athlete import Athlete

_TIME = duration(LEAST_S, MOST_S)
_LATE = duration(0.0, 6 * 3600.0, unit="min")
_FIRST_STAGES = (0.88, 0.97, 4)
"""From, to and number of the series that is offered."""


# --- times ----------------------------------------------------------------------------------


def _review(app: Core) -> None:
    bench = app.bench
    bench.reviewing.look(bench.solved, bench.view.athlete, app.today)


def time(app: Core) -> None:
    """Ask for a time of the athlete on view."""
    bench, who = app.bench, app.bench.view.athlete
    if bench.laying is None or who is None:
        app.say(why_empty(bench), refused=True)
        return
    with app.saying_why():
        zone = expected_zone(*own_laying(bench.solved, who))
        ends = f"{mark_name(zone.start_id)} to {mark_name(zone.end_id)}"
        read = partial(_seconds_of, expected_s=zone.expected_s)
        ask = Ask(f"time of {who} {ends}", unit="s", check=_refused(read))
        app.push_screen(ask, partial(_timed, app, who, read))


def _seconds_of(text: str, expected_s: float) -> float:
    """Return a time [s], digits read as at the track; what is far off the review tells."""
    if text.strip().endswith("s"):
        return float(from_text(_TIME, text))
    return read_time(text.strip(), expected_s)[0]


def _refused(read: Callable[[str], float]) -> Callable[[str], str]:
    """Return a check of a text: why it is no time, "" when it is one."""

    def check(text: str) -> str:
        try:
            read(text)
        except (FieldError, DomainError) as error:
            return str(error)
        return ""

    return check


def _timed(app: Core, who: str, read: Callable[[str], float], text: str | None) -> None:
    if text is None:
        return
    time_s = read(text)
    app.bench.reviewing.add(who, time_s)
    app.bench.told = Told(text=f"{who}: {format_time(time_s)} noted")
    # At once: the next key may accept it before the screen has been drawn.
    app.keep_soon()
    _review(app)
    app.go("review")
    app.call_after_refresh(app.show)


def time_drop(app: Core) -> None:
    """Forget the last time."""
    who, reviewing = app.bench.view.athlete, app.bench.reviewing
    if who is None or not reviewing.times_of(who):
        app.say("there is no time to drop", refused=True)
        return
    dropped = format_time(reviewing.times_of(who)[-1])
    reviewing.drop_last(who)
    app.keep_soon()
    app.say(f"{who}: {dropped} dropped")


def day(app: Core) -> None:
    """Say which day the times are of."""
    day = app.bench.reviewing.day_of(app.bench.plan, app.today)
    ask = Ask("day of the runs", check=partial(_day_refused, app), value=day.isoformat())
    app.push_screen(ask, partial(_day_told, app))


def _day_refused(app: Core, text: str) -> str:
    told = check_of(Date(), "2026-03-04")(text)
    if told or from_text(Date(), text) <= app.today:
        return told
    return f"{text.strip()} is a day to come; today is {app.today.isoformat()}"


def _day_told(app: Core, text: str | None) -> None:
    if text is None:
        return
    day = from_text(Date(), text)
    app.bench.reviewing.day = day
    app.say(f"times are of {day.isoformat()}")


def accept(app: Core) -> None:
    """Write the review to the record; the layout follows at once."""
    made = app.bench.reviewing.made
    if made is None or made.athlete != app.bench.view.athlete:
        app.say("there is no review to accept; t and the digits give a time", refused=True)
        return

    doubt = _doubt(app, made)
    if not doubt or app.bench.opened.read_only:
        _write_review(app, made, sure=False)
        return

    def answered(result: str | None) -> None:
        if result == "sure":
            _write_review(app, made, sure=True)
        else:
            app.say(doubt, refused=True)

    # Enter, pressed once too often, must not write a time that is in doubt
    options = [
        Option(key="n", text="no: nothing is written", result="no"),
        Option(key="y", text="I am sure of this time: write it", result="sure"),
    ]
    app.push_screen(Choose("is this time right?", [doubt], options), answered)


def _doubt(app: Core, made: Review) -> str:
    """Return why a review is written only by somebody who is sure, "" when anybody may."""
    plan = app.bench.plan
    try:
        accepted(plan, made, app.today, sure=True)
    except DomainError:
        return ""  # it cannot be written at all; writing it says why
    try:
        accepted(plan, made, app.today)
    except DomainError as error:
        return str(error)
    return ""


def _write_review(app: Core, made: Review, *, sure: bool) -> None:
    def accept(plan: Plan) -> edits.Edit:
        return edits.Edit(
            plan=accepted(plan, made, app.today, sure=sure),
            done=edits.was_done("review", made.athlete),
        )

    before = app.bench.solved
    if app.bench.do(accept):
        app.bench.reviewing.clear(made.athlete)
        for note in marks_changed(before, app.bench.solved, made.athlete):
            _also(app, note)
        _also(app, gaps_to_keep(app.bench.solved, made.athlete), "K: ")
        app.changed()
    else:
        app.show()


def _also(app: Core, note: Finding | None, key: str = "") -> None:
    """Tell one thing more, with the key that does what it offers."""
    if note is not None:
        app.bench.also(f"{key}{word(note, unit_of(app.bench.solved.plan))}")


def keep_gaps(app: Core) -> None:
    """Keep the gaps of the athlete on view as theirs: evidence of their step."""

    def keep(plan: Plan, who: str) -> edits.Edit:
        return edits.Edit(
            plan=gaps_kept(laid_out(plan), who), done=edits.was_done("gaps-kept", who)
        )

    change.athlete(keep)(app)


# --- at the board ---------------------------------------------------------------------------


def misses(app: Core) -> None:
    """Ask for misses of the athlete on view at the board, and write them to the record."""
    who, plan = app.bench.view.athlete, app.bench.plan
    if who is None:
        app.say(why_empty(app.bench), refused=True)
    elif not runs_to_board(plan):
        app.say(f"misses at the board are of take-off runs, not a {plan.drill.noun}", refused=True)
    else:
        small, _ = small_unit(unit_of(app.bench.solved.plan))
        title = f"misses of {who}, run by run: + over, - short, such as +12 -30 +5"
        app.push_screen(
            Ask(title, unit=small, check=partial(_misses_refused, small)),
            partial(_missed, app, who, small),
        )


def _misses_of(text: str, unit: str) -> tuple[float, ...]:
    return tuple(typed_miss(each, unit) for each in text.replace(",", " ").split())


def _misses_refused(unit: str, text: str) -> str:
    try:
        return "" if _misses_of(text, unit) else "nothing is typed; such as +12 -30 +5"
    except UnfitError as error:
        allowed = f"; allowed: {error.allowed}" if error.allowed else ""
        return f"{error.message}{allowed}; such as +12 -30 +5"


def _missed(app: Core, who: str, unit: str, text: str | None) -> None:
    if text is None:
        return

    def write(plan: Plan) -> edits.Edit:
        day = app.bench.reviewing.day_of(plan, app.today)
        told = BoardMisses(date=day, misses_m=_misses_of(text, unit), slide_m=slide_of(plan, who))
        return edits.Edit(
            plan=with_misses(plan, who, told),
            done=edits.was_done("misses", who, day=day.isoformat()),
        )

    if app.bench.do(write):
        asked = slide_told(app.bench.plan, who)
        _also(app, asked, "M: " if asked is not None and asked.code.startswith(SLIDE) else "")
        app.changed()
    else:
        app.show()


def take_slide(app: Core) -> None:
    """Slide all marks of the athlete on view as their misses ask for."""

    def slide(plan: Plan, who: str) -> edits.Edit:
        now = slide_taken(plan, who)
        by_m = slide_of(now, who) - slide_of(plan, who)
        way = "forward" if by_m > 0.0 else "back"
        told = slide_told(plan, who)
        code = "slid" if told is None or told.code == SLIDE else "slid-anew"
        return edits.Edit(plan=now, done=edits.was_done(code, who, by_move_m=abs(by_m), way=way))

    change.athlete(slide)(app)


# --- who is there ---------------------------------------------------------------------------


def absent(app: Core) -> None:
    """Absent, or back; when somebody goes, the next one is looked at."""
    name = app.bench.view.athlete
    if name is None:
        return
    gone = not app.bench.plan.adjustment(name).absent
    app.edit(partial(edits.set_absent, athlete=name, absent=gone))


def late(app: Core) -> None:
    """Late by so many minutes; 0 is in time."""
    who = app.bench.view.athlete or "nobody"
    title = f"{who} comes how long after the beginning, such as 5 min"
    ask = Ask(title, unit="min", check=check_of(_LATE, "5 min"))
    app.push_screen(ask, partial(_late, app))


def _late(app: Core, text: str | None) -> None:
    if text is not None:
        late_s = from_text(_LATE, text)
        change.athlete(lambda plan, who: edits.set_late(plan, who, late_s))(app)


def athlete_add(app: Core) -> None:
    """Add an athlete."""
    _ask_athlete(app, "new athlete", None)


def athlete_join(app: Core) -> None:
    """Let somebody of the squad run today, or a guest, who is kept in the plan alone."""
    known = {plain(each.name): each for each in _not_today(app)}

    def answered(text: str | None) -> None:
        if text is None:
            return
        athlete = known.get(plain(text))
        if athlete is None:
            title = f"a guest for today: {text.strip()}"
            _ask_athlete(app, title, None, name=text.strip(), guest=True)
            return
        app.edit(lambda plan: edits.add_athlete(plan, athlete))
        if not app.bench.told.refused:
            app.bench.look_at(athlete.name)
            app.show()

    others = ", ".join(each.name for each in known.values())
    hint = f"of the squad: {others}; " if others else ""
    ask = Ask(
        "who runs too",
        check=partial(_refused_name, app),
        hint=f"{hint}any other name is a guest, kept in this plan",
    )
    app.push_screen(ask, answered)


def _not_today(app: Core) -> list[Athlete]:
    """Return who is in the squad and not in the plan; the starter's squad is nobody's."""
    if app.bench.opened.untitled:
        return []
    running = {each.name for each in app.bench.plan.athletes}
    return [each for each in app.bench.opened.file.squad if each.name not in running]


def _refused_name(app: Core, text: str) -> str:
    name = plain(text)
    if not name:
        return "type a name"
    if any(plain(each.name) == name for each in app.bench.plan.athletes):
        return f"{text.strip()} runs today already"
    return ""


def athlete_edit(app: Core) -> None:
    """Change what is known of the athlete on view."""
    athlete = app.bench.athlete
    if athlete is not None:
        _ask_athlete(app, f"what is known of {athlete.name}", athlete)


def _ask_athlete(
    app: Core, title: str, known: Athlete | None, *, name: str = "", guest: bool = False
) -> None:
    def make(answers: dict[str, str]) -> Athlete:
        share = app.bench.plan.drill.speed_share
        day = app.bench.reviewing.day_of(app.bench.plan, app.today)
        made = athlete_of(answers, known=known, speed_share=share, today=day)
        if any(each.name.casefold() == made.name.casefold() for each in _not_today(app)):
            # What is typed here would be written over their record.
            message = f"{made.name} is in the squad and not here today; Esc, A, the name: runs too"
            raise FieldError(message, key="name")
        return made

    def answered(athlete: Athlete | None) -> None:
        if athlete is None:
            return
        if known is None:
            app.edit(lambda plan: edits.add_athlete(plan, athlete, guest=guest))
        else:
            app.edit(lambda plan: edits.replace_athlete(plan, known.name, athlete))
        if not app.bench.told.refused:
            app.bench.look_at(athlete.name)
            app.show()

    form = FormScreen(
        title, who_lines(known, name), make, drafts=app.bench.drafts, keep=app.keep_soon
    )
    app.push_screen(form, answered)


# --- stages ---------------------------------------------------------------------------------


def stage_now(app: Core) -> None:
    """Say that the athletes are at the stage on view now."""
    stage = app.bench.view.stage
    app.edit(lambda plan: edits.go_to_stage(plan, stage))


def stages_set(app: Core) -> None:
    """Make a series, or take it out."""
    if app.bench.plan.stages is None:
        low, high, count = _FIRST_STAGES
        series = StagePlan(from_share=low, to_share=high, count=count)
        app.edit(lambda plan: edits.set_stages(plan, series))
        return

    def answered(result: str | None) -> None:
        if result == "out":
            app.edit(lambda plan: edits.set_stages(plan, None))

    option = Option(key="y", text="take the series out; undo brings it back", result="out")
    app.push_screen(Choose("stages", ["the fields change the series"], [option]), answered)


# --- paper ----------------------------------------------------------------------------------


def print_wave(app: Core) -> None:
    """To the print screen; there, print the current wave."""
    if getattr(app.screen, "NAME", "") != "print":
        app.go("print")
        return
    _to_paper(app, whole=False)


def print_again(app: Core) -> None:
    """Print the current wave."""
    _to_paper(app, whole=False)


def print_all(app: Core) -> None:
    """Print the whole plan."""
    _to_paper(app, whole=True)


def _to_paper(app: Core, *, whole: bool) -> None:
    bench, printing = app.bench, app.printing
    solved = bench.solved if whole else papers.wave_of(bench)
    path = papers.pdf_path(bench, "" if whole else papers.stem_of_wave(bench))
    with app.saying_why():
        kinds = printing.kinds_for(whole=whole)
        document = make_pages(solved, only=kinds, paper=printing.paper)
        pages = papers.write(papers.known(document, bench), path)
        stop = "; it says DO NOT LAY OUT" if papers.stops_in(solved) else ""
        line = f"{path}: {format_count(pages, 'page')}{stop}"
        printing.written.append(line)
        app.say(f"written: {line}")


def paper(app: Core) -> None:
    """Take the next paper."""
    app.printing.next_paper()
    app.show()


def sheets(app: Core) -> None:
    """Take the next choice of sheets."""
    app.printing.next_kinds()
    app.show()


def rhythm(app: Core) -> None:
    """Write the sound of this athlete's run."""
    who = app.bench.view.athlete
    if who is None:
        app.say(why_empty(app.bench), refused=True)
        return
    with app.saying_why():
        app.say(f"written: {papers.write_sound(app.bench, who)}: {CAUTION}")
