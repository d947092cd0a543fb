"""Keys for plan files: save, open, new, quit. Nothing unsaved is dropped without being asked."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from tui import notes, shelf
from tui.bench import Told, start_bench
from tui.newplan import new_plan, new_plan_lines
from tui.reviewing import Reviewing
from tui.routes_practice import PracticeRoutes
from tui.screens.asking import Ask, Choose, Option, Reader
from tui.screens.forms import FormScreen
from tui.screens.opening import OpenPlan
from wicketlay.errors import CannotWriteError, ChangedOnDiskError, WicketlayError
from wicketlay.plan_file import discard_recovery, open_plan, typed_in

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.shelf import OpenFile
    from wicketlay.plan import Plan

from textual.content import Content

FIRST_STEP = (
    "start here: Ctrl+N asks four things and lays out a first run; or press i and type your "
    "athlete over this one"
)

KEPT_UNSAVED = "you kept this unsaved for the next time"
ENDED_UNSAVED = "the last session ended before this was saved"
LAID_OUT = "laid out; next athlete: 2, then a; p p writes the PDF; Ctrl+S saves"


class FileRoutes(PracticeRoutes):
    """From file keys to the shelf."""

    # --- saving ---------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Save."""
        self._save(lambda: None)

    def _save(self, after: Callable[[], None]) -> None:
        self.take_typed()
        opened = self.bench.opened
        if opened.read_only:
            self.say(
                "read only: another workbench is at this plan; Ctrl+D saves a copy", refused=True
            )
            return
        if opened.untitled:
            self._ask_name(after)
            return
        try:
            opened.file = opened.file.save(self.bench.plan)
        except ChangedOnDiskError as error:
            self._ask_changed(str(error), after)
            return
        except CannotWriteError as error:
            self.say(str(error), refused=True)
            return
        self._saved(f"saved {opened.path}")
        after()

    def _saved(self, text: str) -> None:
        self.disk_is_known()
        self.keep_now()
        notes.remember(self.bench.opened.path)
        self.bench.told = Told(text=text)
        self.show()

    def _ask_changed(self, why: str, after: Callable[[], None]) -> None:
        options = [
            Option(key="d", text="save mine as a duplicate under another name", result="duplicate"),
            Option(key="w", text="write mine over it, key by key", result="over"),
            Option(key="t", text="take the file's; undo brings mine back", result="take"),
        ]

        def answered(result: str | None) -> None:
            match result:
                case "duplicate":
                    self._ask_name(after)
                case "over":
                    self._write_over(after)
                case "take":
                    self._take_disk()

        self.push_screen(Choose("the plan was changed on disk", [why], options), answered)

    def _write_over(self, after: Callable[[], None]) -> None:
        opened = self.bench.opened
        try:
            opened.file = open_plan(opened.path).save(self.bench.plan)
        except WicketlayError as error:
            self.say(str(error), refused=True)
            return
        self._saved(f"saved {opened.path}, over what was changed on disk")
        after()

    def _take_disk(self) -> None:
        opened = self.bench.opened
        try:
            opened.file = open_plan(opened.path)
        except WicketlayError as error:
            self.say(str(error), refused=True)
            return
        self.disk_is_known()
        self.bench.take_plan(opened.file.plan, "the file's version taken")
        self.changed()

    def action_save_as(self) -> None:
        """Save under another name."""
        self.take_typed()
        self._ask_name(lambda: None)

    def _ask_name(self, after: Callable[[], None]) -> None:
        opened = self.bench.opened
        folder = shelf.working_folder() if opened.untitled else opened.path.parent
        name = shelf.free_name(
            folder, self.bench.plan.title if opened.untitled else opened.path.stem
        )

        def check(text: str) -> str:
            try:
                # Unlike Path's own, this takes a home nobody knows as a plain name.
                path = Path(os.path.expanduser(text.strip()))  # noqa: PTH111
                saved = shelf.save_as(opened, self.bench.plan, path)
            except (CannotWriteError, OSError) as error:
                return str(error)
            self._move_to(saved)
            return ""

        def answered(text: str | None) -> None:
            if text is not None:
                self._saved(f"saved {self.bench.opened.path}")
                after()

        self.push_screen(Ask("save as", check=check, value=str(name)), answered)

    def _move_to(self, saved: OpenFile) -> None:
        """Go on with the new file; the old one keeps what it says on disk."""
        old = self.bench.opened
        self.bench.opened = saved
        if not old.read_only:
            discard_recovery(old.path)
        old.close()

    # --- opening --------------------------------------------------------------------------------

    def action_open(self) -> None:
        """Open another plan."""
        self.take_typed()
        self._settle("open another plan", self._ask_open)

    def _ask_open(self) -> None:
        def answered(text: str | None) -> None:
            if text is not None:
                self.open_path(Path(text))

        self.push_screen(OpenPlan(notes.recent()), answered)

    def open_path(self, path: Path) -> None:
        """Open a plan in place of this one; a file with problems leaves this one on view."""
        try:
            opened = shelf.open_file(path)
        except WicketlayError as error:
            problems = Content(str(error))
            self.push_screen(Reader(f"{path} cannot be opened", problems))
            return
        self.put_on(opened)

    def put_on(self, opened: OpenFile, plan: Plan | None = None, told: str = "") -> None:
        """Put a plan on the bench in place of the one there, `plan` being its unsaved state."""
        self.keep_now()
        old = self.bench.opened
        self.bench = start_bench(opened, plan, "new plan")
        old.close()
        if not opened.untitled:
            notes.remember(opened.path)
        self.disk_is_known()
        self.bench.told = Told(text=told or opened.file.mended or f"opened {opened.name}")
        self._take_drafts()
        self.action_screen_plan()
        self.changed()
        if plan is None:
            self.offer_unsaved()

    def _take_drafts(self) -> None:
        fields = typed_in(self.bench.opened.path).get("fields")
        found = fields if isinstance(fields, dict) else {}
        self.bench.drafts = {key: text for key, text in found.items() if isinstance(text, str)}

    def offer_unsaved(self) -> None:
        """Offer the unsaved work of a session that ended without saving."""
        bench, opened = self.bench, self.bench.opened
        bench.offering = False
        if opened.read_only:
            self.say(
                "read only: another workbench is at this plan; look and print, or Ctrl+D saves "
                "a copy to work on",
                refused=True,
            )
            return
        aside = shelf.set_aside_damaged(opened.path)
        if aside is not None:
            self.say(f"unsaved work was found but cannot be read; it is now {aside}", refused=True)
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
                key="t", text="take up the unsaved work; undo goes back to the file", result="t"
            ),
            Option(key="d", text="drop it and go on with the file", result="drop"),
        ]

        def answered(result: str | None) -> None:
            bench.offering = False
            if result == "drop":
                discard_recovery(opened.path)
                bench.drafts.clear()
                self.changed()
                return
            # Leaving the question is no reason to lose anything.
            bench.take_plan(found.plan if found else bench.plan, "unsaved work taken up")
            if timed:
                bench.reviewing = times
            self.changed()

        self.push_screen(Choose("unsaved work was found", lines, options), answered)

    def action_new_plan(self) -> None:
        """Ask for a new plan, step by step."""
        self.take_typed()
        self._settle("begin a new plan", self._ask_new)

    def _ask_new(self) -> None:
        def answered(made: tuple[OpenFile, Plan] | None) -> None:
            if made is not None:
                opened, plan = made
                self.put_on(opened, plan, LAID_OUT)

        def make(answers: dict[str, str]) -> tuple[OpenFile, Plan]:
            return new_plan(answers, today=self.today)

        title = "new plan: who, how fast, how many wickets, where"
        form = FormScreen(
            title, new_plan_lines(), make, drafts=self.bench.drafts, keep=self.keep_soon
        )
        self.push_screen(form, answered)

    # --- leaving --------------------------------------------------------------------------------

    def _settle(self, what: str, go_on: Callable[[], None]) -> None:
        """Ask what becomes of unsaved work before `what`, then go on."""
        if not self.bench.unsaved or self.bench.opened.read_only:
            go_on()
            return
        options = [
            Option(key="s", text=f"save, then {what}", result="save"),
            Option(key="k", text=f"keep it unsaved for the next time, then {what}", result="keep"),
            Option(key="d", text=f"drop it, then {what}", result="drop"),
        ]

        def answered(result: str | None) -> None:
            match result:
                case "save":
                    self._save(go_on)
                case "keep":
                    self.bench.on_purpose = True
                    self.keep_now()
                    go_on()
                case "drop":
                    self.bench.take_plan(self.bench.opened.file.plan, "changes dropped")
                    self.keep_now()
                    go_on()

        lines = [f"{self.bench.plan.title} has changes that are not saved"]
        self.push_screen(Choose("not saved", lines, options), answered)

    async def action_quit(self) -> None:
        """Leave, unsaved work settled."""
        self.take_typed()
        self._settle("quit", self.leave)

    def leave(self) -> None:
        """Leave now."""
        self.keep_now()
        self.bench.opened.close()
        self.exit(0)
