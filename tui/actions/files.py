"""Plan files: save, open, new, quit. Nothing unsaved is dropped without being asked."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content

from tui.actions import practice
from tui.actions.change import take_typed
from tui.bench import shelf
from tui.bench.bench import Told, start_bench
from tui.bench.lying import ground_of
from tui.bench.newplan import new_plan, new_plan_lines
from tui.bench.reviewing import Reviewing
from tui.screens.asking import Ask, Choose, Option, Reader
from tui.screens.first import PRINT, SAVE, FirstScreen
from tui.screens.forms import FormScreen
from tui.screens.opening import OpenPlan
from wicketlay.errors import CannotWriteError, ChangedOnDiskError, WicketlayError
from wicketlay.plan_file import discard_recovery, open_plan, typed_in

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.bench.first import First
    from tui.bench.shelf import OpenFile, Stations
    from tui.core import Core
    from wicketlay.plan import Plan

FIRST_STEP = (
    "start here: Ctrl+N asks four things and lays out a first run; or press i and type your "
    "athlete over this one"
)

KEPT_UNSAVED = "you kept this unsaved for the next time"
ENDED_UNSAVED = "the last session ended before this was saved"
LAID_OUT = "laid out; next athlete: 2, then a; p p writes the PDF; Ctrl+S saves"


# --- saving ---------------------------------------------------------------------------------


def save(app: Core) -> None:
    """Save."""
    _save(app, lambda: None)


def _save(app: Core, after: Callable[[], None]) -> None:
    take_typed(app)
    opened = app.bench.opened
    if opened.read_only:
        app.say("read only: another workbench is at this plan; Ctrl+D saves a copy", refused=True)
        return
    if opened.untitled:
        _ask_name(app, after)
        return
    try:
        opened.file = opened.file.save(app.bench.plan)
    except ChangedOnDiskError as error:
        _ask_changed(app, str(error), after)
        return
    except CannotWriteError as error:
        app.say(str(error), refused=True)
        return
    _saved(app, f"saved {opened.path}")
    after()


def _saved(app: Core, text: str) -> None:
    app.disk_is_known()
    app.keep_now()
    shelf.remember(app.bench.opened.path)
    app.bench.told = Told(text=text)
    app.show()


def _ask_changed(app: Core, why: str, after: Callable[[], None]) -> None:
    options = [
        Option(key="d", text="save mine as a duplicate under another name", result="duplicate"),
        Option(key="w", text="write mine over it, key by key", result="over"),
        Option(key="t", text="take the file's; undo brings mine back", result="take"),
    ]

    def answered(result: str | None) -> None:
        match result:
            case "duplicate":
                _ask_name(app, after)
            case "over":
                _write_over(app, after)
            case "take":
                _take_disk(app)

    app.push_screen(Choose("the plan was changed on disk", [why], options), answered)


def _write_over(app: Core, after: Callable[[], None]) -> None:
    opened = app.bench.opened
    with app.saying_why():
        opened.file = open_plan(opened.path).save(app.bench.plan)
        _saved(app, f"saved {opened.path}, over what was changed on disk")
        after()


def _take_disk(app: Core) -> None:
    opened = app.bench.opened
    with app.saying_why():
        opened.file = open_plan(opened.path)
        app.disk_is_known()
        app.bench.take_plan(opened.file.plan, "the file's version taken")
        app.changed()


def save_as(app: Core) -> None:
    """Save under another name."""
    take_typed(app)
    _ask_name(app, lambda: None)


def _ask_name(app: Core, after: Callable[[], None]) -> None:
    opened = app.bench.opened
    folder = shelf.working_folder() if opened.untitled else opened.path.parent
    name = shelf.free_name(folder, app.bench.plan.title if opened.untitled else opened.path.stem)

    def check(text: str) -> str:
        try:
            saved = shelf.save_as(opened, app.bench.plan, _path_of(text))
        except (CannotWriteError, OSError) as error:
            return str(error)
        _move_to(app, saved)
        return ""

    def answered(text: str | None) -> None:
        if text is not None:
            _saved(app, f"saved {app.bench.opened.path}")
            after()

    app.push_screen(Ask("save as", check=check, value=str(name)), answered)


def _path_of(text: str) -> Path:
    """Return the path that was typed; a home nobody knows is a plain name."""
    return Path(os.path.expanduser(text.strip()))  # noqa: PTH111 - Path's own raises


def _move_to(app: Core, saved: OpenFile) -> None:
    """Go on with the new file; the old one keeps what it says on disk."""
    old = app.bench.opened
    app.bench.opened = saved
    if not old.read_only:
        discard_recovery(old.path)
    old.close()


# --- opening --------------------------------------------------------------------------------


def open_another(app: Core) -> None:
    """Open another plan."""
    take_typed(app)
    _ask_unsaved(app, "open another plan", partial(_ask_open, app))


def _ask_open(app: Core) -> None:
    def answered(text: str | None) -> None:
        if text is not None:
            open_path(app, Path(text))

    app.push_screen(OpenPlan(shelf.recent()), answered)


def open_path(app: Core, path: Path) -> None:
    """Open a plan in place of this one; a file with problems leaves this one on view."""
    try:
        stations = shelf.stations_of(path)
        plan = path if stations is None else stations.plans[0]
        put_on(app, shelf.open_file(plan), stations=stations)
    except WicketlayError as error:
        problems = Content(str(error))
        app.push_screen(Reader(f"{path} cannot be opened", problems))


def station(places: int) -> Callable[[Core], None]:
    """Return what goes so many stations of the practice on."""

    def go(app: Core) -> None:
        stations = app.bench.stations
        if stations is None:
            app.say("this is one plan; a practice file names several stations", refused=True)
            return

        def open_it() -> None:
            with app.saying_why():
                there = stations.step(places)
                put_on(app, shelf.open_file(there.plans[there.at]), stations=there)

        take_typed(app)
        _ask_unsaved(app, "go to the next station", open_it)

    return go


def put_on(
    app: Core,
    opened: OpenFile,
    plan: Plan | None = None,
    told: str = "",
    stations: Stations | None = None,
) -> None:
    """Put a plan on the bench in place of the one there, `plan` being its unsaved state."""
    app.keep_now()
    old = app.bench.opened
    app.bench = start_bench(opened, plan, "new plan")
    old.close()
    if not opened.untitled:
        shelf.remember(opened.path)
    app.disk_is_known()
    app.bench.told = Told(text=told or opened.file.mended or f"opened {opened.name}")
    if stations is not None:
        app.bench.join(stations)
    take_drafts(app)
    if not (stations is not None and app.screen_name() == "practice"):
        app.go("plan")  # at the track the next station is one key apart
    app.changed()
    if plan is None:
        offer_unsaved(app)


def take_drafts(app: Core) -> None:
    """Take up what was left half typed, whose runs are noted only, and what lies on the ground."""
    app.bench.ground = ground_of(app.bench.opened, app.today)
    kept = typed_in(app.bench.opened.path)
    fields, days = (
        part if isinstance(part, dict) else {}
        for part in (kept.get("fields"), kept.get("noted_only"))
    )
    app.bench.drafts = {key: text for key, text in fields.items() if isinstance(text, str)}
    app.bench.noted_only = {
        day: [who for who in names if isinstance(who, str)]
        for day, names in days.items()
        if isinstance(names, list)
    }


def offer_unsaved(app: Core) -> None:
    """Offer the unsaved work of a session that ended without saving."""
    bench, opened = app.bench, app.bench.opened
    bench.offering = False
    if opened.read_only:
        app.say(
            "read only: another workbench is at this plan; look and print, or Ctrl+D saves "
            "a copy to work on",
            refused=True,
        )
        return
    aside = shelf.set_aside_damaged(opened.path)
    if aside is not None:
        app.say(f"unsaved work was found but cannot be read; it is now {aside}", refused=True)
        return
    typed = typed_in(opened.path)
    found = shelf.unsaved_work(opened.path)
    times = Reviewing()
    timed = times.take_noted(typed.get("times"))
    changed = found is not None and found.plan != bench.plan
    if not (changed or timed):
        return
    lines = [KEPT_UNSAVED if typed.get("on_purpose") else ENDED_UNSAVED]
    if changed and found is not None and found.stale:
        lines.append("the file was changed on disk since; saving will ask what to do")
    if timed:
        lines.append(f"times of {times.day}, not accepted: {times.in_words()}")
    bench.offering = True
    options = [
        Option(
            key="t",
            text="take up the unsaved work; undo on the plan goes back to the file",
            result="t",
        ),
        Option(key="d", text="drop it and go on with the file", result="drop", second=True),
    ]

    def answered(result: str | None) -> None:
        bench.offering = False
        if result == "drop":
            discard_recovery(opened.path)
            bench.drafts.clear()
            bench.noted_only.clear()
            app.changed()
            return
        # Leaving the question is no reason to lose anything.
        bench.take_plan(found.plan if found else bench.plan, "unsaved work taken up")
        if timed:
            bench.reviewing = times
        app.changed()

    app.push_screen(Choose("unsaved work was found", lines, options), answered)


def new(app: Core) -> None:
    """Ask for a new plan, step by step."""
    take_typed(app)
    _ask_unsaved(app, "begin a new plan", partial(_ask_new, app))


def _ask_new(app: Core) -> None:
    def answered(made: tuple[OpenFile, Plan] | None) -> None:
        if made is not None:
            opened, plan = made
            put_on(app, opened, plan, LAID_OUT)

    def make(answers: dict[str, str]) -> tuple[OpenFile, Plan]:
        return new_plan(answers, today=app.today)

    title = "new plan: who, how fast, how many wickets, where"
    form = FormScreen(title, new_plan_lines(), make, drafts=app.bench.drafts, keep=app.keep_soon)
    app.push_screen(form, answered)


def first(app: Core) -> None:
    """Ask the four things of the first minute, and go on as was wanted."""

    def answered(wanted: tuple[str, First] | None) -> None:
        if wanted is None:
            app.show()
            return
        way, made = wanted
        if way == SAVE:
            _save_first(app, made)
            return
        put_on(app, shelf.new_file(), made.plan, LAID_OUT)
        if way == PRINT:
            app.go("print")
            app.call_after_refresh(practice.print_all, app)

    app.push_screen(FirstScreen(), answered)


def _save_first(app: Core, made: First) -> None:
    """Ask for a name, write the plan of the four answers there, and go on with it."""

    def check(text: str) -> str:
        try:
            shelf.write_first(_path_of(text), made.text)
        except (CannotWriteError, OSError) as error:
            return str(error)
        return ""

    def answered(text: str | None) -> None:
        if text is None:
            put_on(app, shelf.new_file(), made.plan, LAID_OUT)
        else:
            put_on(app, shelf.open_file(_path_of(text)), told=f"saved {_path_of(text)}")

    name = shelf.free_name(shelf.working_folder(), made.plan.title)
    app.push_screen(Ask("save as", check=check, value=str(name)), answered)


# --- leaving --------------------------------------------------------------------------------


def _ask_unsaved(app: Core, what: str, go_on: Callable[[], None]) -> None:
    """Ask what becomes of unsaved work before `what`, then go on."""
    if not app.bench.unsaved or app.bench.opened.read_only:
        go_on()
        return
    options = [
        Option(key="s", text=f"save, then {what}", result="save"),
        Option(key="k", text=f"keep it unsaved for the next time, then {what}", result="keep"),
        Option(key="d", text=f"drop it, then {what}", result="drop", second=True),
    ]

    def answered(result: str | None) -> None:
        match result:
            case "save":
                _save(app, go_on)
            case "keep":
                app.bench.on_purpose = True
                app.keep_now()
                go_on()
            case "drop":
                app.bench.take_plan(app.bench.opened.file.plan, "changes dropped")
                app.keep_now()
                go_on()

    lines = [f"{app.bench.plan.title} has changes that are not saved"]
    app.push_screen(Choose("not saved", lines, options), answered)


def leave_asked(app: Core) -> None:
    """Leave, unsaved work settled."""
    take_typed(app)
    _ask_unsaved(app, "quit", partial(leave, app))


def leave(app: Core) -> None:
    """Leave now."""
    app.keep_now()
    app.bench.opened.close()
    app.exit(0)
