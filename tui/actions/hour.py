"""What the practice screen does: a key writes a line, and is done when the line is on the disk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.actions import change
from tui.actions.change import check_of
from tui.bench import evening
from tui.bench.fields import Line
from tui.bench.hour import MOST_TYPED, OVER
from tui.screens.forms import FormScreen
from wicketlay.board_misses import runs_to_board
from wicketlay.keys.codecs import Date
from wicketlay.keys.typed import FieldError, from_text, told_at
from wicketlay.log_file.typed import Common
from wicketlay.wording.runs import board_legend
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.bench.hour import Hour
    from tui.core import Core
    from wicketlay.session.log import Flag

_DAY = "day"
_OF_A_RUN = "bhk"
"""Letters that say something of a run, and may come between its digits."""
_CHARACTERS = {"full_stop": ".", "comma": ","}


def noted(note: Callable[[Hour, Core], str]) -> Callable[[Core], None]:
    """Return what writes something down; it returns what is told, or raises why not."""

    def do(app: Core) -> None:
        hour = app.hour()
        if hour is None:
            app.show()
            return
        with app.saying_why():
            told = note(hour, app)
            hour.trail.append(app.bench.history.depth)
            if (hour.ground(app.bench) is None) != (app.bench.ground is None):
                app.keep_now()  # what lies on the ground is known before the next key
            app.say(told)

    return do


off = noted(lambda hour, _: hour.off())
all_moved = noted(lambda hour, _: hour.tick(every=True))
apply = noted(lambda hour, app: hour.apply(app.bench))
_time = noted(
    lambda hour, app: hour.take_time(app.bench.reviewing.timing, app.bench.reviewing.video_fps)
)
_miss = noted(lambda hour, _: hour.take_miss())
_tick = noted(lambda hour, _: hour.tick(every=False))
_begin = noted(lambda hour, _: hour.begin())


def flag(which: Flag) -> Callable[[Core], None]:
    """Return what flags the run of whoever ran last."""
    return noted(lambda hour, _: hour.flag(which))


def digit(app: Core) -> None:
    """Add a digit, or the point, to the time that is being typed."""
    hour = app.hour()
    if hour is not None and len(hour.typed) < MOST_TYPED:
        hour.type_on(_CHARACTERS.get(app.pressed, app.pressed))
    app.show()


def amid_digits(app: Core, key: str) -> bool:
    """Refuse a letter in the middle of a time, a slip of the finger: it is no command there."""
    hour = app.hour() if app.screen_name() == "practice" else None
    slip = hour is not None and hour.typed and len(key) == 1 and key.isalpha()
    if hour is None or not slip or key in _OF_A_RUN:
        return False
    app.say(
        f'"{key}" is no digit; {hour.typed} stands: Enter takes it, ⌫ a digit back', refused=True
    )
    return True


def miss(app: Core) -> None:
    """Begin a miss at the board, or turn it from over to short; digits and Enter follow."""
    hour = app.hour()
    if hour is None:
        app.show()
        return
    with app.saying_why():
        app.say(hour.turn_miss(OVER if app.pressed == "plus" else ""))


def digit_back(app: Core) -> None:
    """Take a digit back."""
    hour = app.hour()
    if hour is not None:
        hour.typed, hour.asked = hour.typed[:-1], ""
    app.show()


def digits_back(app: Core) -> None:
    """Take all digits back; without any go to the plan, where digits are other keys."""
    hour = app.hour()
    if hour is not None and hour.typed:
        hour.typed, hour.asked = "", ""
        app.show()
    else:
        app.go("plan")


def take(app: Core) -> None:
    """Take the digits; without any tick off the next mark, or begin the hour."""
    hour = app.hour()
    if hour is not None and hour.types_miss:
        _miss(app)
    elif hour is not None and hour.typed:
        _time(app)
    elif hour is not None and hour.practice.begun is None:
        _begin(app)
    else:
        _tick(app)


def choose(places: int) -> Callable[[Core], None]:
    """Return what puts another one on top."""

    def do(app: Core) -> None:
        hour = app.hour()
        stands = None if hour is None else hour.stand()
        if hour is not None and stands is not None and stands.line:
            names = [each.athlete for each in stands.line]
            at = names.index(hour.top(stands).athlete)
            hour.chosen = names[(at + places) % len(names)]
        app.show()

    return do


def undo(app: Core) -> None:
    """Take the last thing back, be it written down or a change of the plan."""
    hour = app.hour()
    written = 0 if hour is None else hour.trail[-1] if hour.trail else hour.depth
    if hour is None or app.bench.history.depth > written:
        app.bench.undo()
        app.changed()
        return
    with app.saying_why():
        told = hour.undo()
        if hour.trail:
            hour.trail.pop()
        app.keep_now()
        app.say(told)


def undo_paper(app: Core) -> None:
    """Take back what was typed in from paper; before that, what was changed since."""
    hour = app.hour()
    if hour is not None and hour.paper_last:
        undo(app)
    else:
        change.undo(app)


def from_paper(app: Core) -> None:
    """Ask for a day as it stands on paper: which day, and a line of runs an athlete."""
    hour, bench = app.hour(), app.bench
    if hour is None:
        app.show()
        return
    day = hour.day_looked_at.isoformat()
    lines = [Line(key=_DAY, label="day of the runs", value=day, hint="2026-03-04")]
    who_in = {f"runs-{place}": who.name for place, who in enumerate(bench.plan.athletes)}
    hints = {"runs-0": "2.71 2.68 - 2.70*"}
    lines += [Line(key=key, label=who, hint=hints.get(key, "")) for key, who in who_in.items()]

    def make(answers: dict[str, str]) -> str:
        told = check_of(Date(), day)(answers[_DAY])
        if told:
            raise FieldError(told, key=_DAY)
        of = from_text(Date(), answers[_DAY])
        if of > app.today:
            message = f"{of.isoformat()} is a day to come; today is {app.today.isoformat()}"
            raise FieldError(message, key=_DAY)
        timing, fps = bench.reviewing.timing, bench.reviewing.video_fps
        like = Common(day=of, timing=timing, fps=None if fps is None else round(fps))
        with told_at(_DAY, {name: key for key, name in who_in.items()}):
            return hour.from_paper({name: answers[key] for key, name in who_in.items()}, like)

    def answered(told: str | None) -> None:
        if told is not None:
            hour.trail.append(bench.history.depth)
            app.say(told)

    title = "a day from paper: - not timed, * hit a wicket, ! stumbled, absent"
    if runs_to_board(bench.plan):
        title += f"; {board_legend(unit_of(bench.solved.plan))}"
    form = FormScreen(title, lines, make, drafts=bench.drafts, keep=app.keep_soon)
    app.push_screen(form, answered)


# --- after practice -----------------------------------------------------------------------------


def _accepted(app: Core, sure: str | None) -> None:
    hour = app.hour()
    if hour is None:
        app.show()
        return
    with app.saying_why():
        evening.accept(hour, app.bench, sure)
        app.changed()


def accept_all(app: Core) -> None:
    """Write all that is ready to the record; one undo takes it back."""
    _accepted(app, None)


def accept_one(app: Core) -> None:
    """Write the runs of the athlete on view, whose times somebody is sure of."""
    if app.bench.view.athlete is not None:
        _accepted(app, app.bench.view.athlete)


def note_only(app: Core) -> None:
    """Let the runs of the athlete on view change nothing, or something again."""
    hour, who = app.hour(), app.bench.view.athlete
    if hour is not None and who is not None:
        told = evening.note_only(hour, app.bench, who)
        app.keep_now()
        app.say(told)


def next_who_ran(places: int) -> Callable[[Core], None]:
    """Return what looks at the next one of those who ran."""

    def do(app: Core) -> None:
        hour = app.hour()
        names = [] if hour is None else [each.athlete for each in hour.after(app.bench).outcomes]
        if names:
            who = app.bench.view.athlete
            at = names.index(who) if who in names else -places
            app.bench.look_at(names[(at + places) % len(names)])
        app.show()

    return do
