"""Everything the workbench can do, once: keys, key bar, palette and help are made of this list."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.actions import change, files, hour, look, practice, seen
from tui.actions.change import notch
from tui.actions.look import at, to
from tui.bench.bench import Bench
from tui.rows import Action, Group
from wicketlay import edits
from wicketlay.session.log import Flag

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.core import Core

    Row = tuple[str, str, str, Callable[[Core], None]]

__all__ = ["ACTIONS"]


_SOUND = "the sound of this athlete's run, a click a step, as a WAV: a cue, not a command"
_WORDS = {
    "gaps +": "spacing distance longer wider further stretch",
    "gaps -": "spacing distance shorter closer",
    "speed +": "faster velocity pace",
    "speed -": "slower velocity pace",
    "cadence +": "frequency rate tempo rhythm turnover",
    "cadence -": "frequency rate tempo rhythm turnover",
    "move all": "shift slide offset",
    "type": "edit enter change input",
    "time": "stopwatch timer timing result",
    "practice": "stopwatch timer timing run live clock",
    "clock": "stopwatch timer timing hand gates",
    "absent": "away ill sick injured missing remove",
    "late": "delay",
    "elsewhere": "lane track runway ground venue",
    "bag": "wickets hurdles equipment cones",
    "print": "pdf paper sheet export",
    "whole plan": "pdf paper sheet export all",
    "undo": "back revert",
    "redo": "again forward",
    "find": "search jump go",
    "findings": "warnings errors cautions problems checks notes",
    "zoom": "closer scale section",
    "help": "keys shortcuts manual",
    "light or dark": "theme colour color contrast sun night look",
    "all actions": "commands menu search",
    "add": "new athlete insert create",
    "take off": "delete remove",
    "change": "edit height leg speed",
    "save": "write store keep file",
    "open": "load file recent",
    "new plan": "create start wizard",
    "quit": "exit close leave",
    "save as a duplicate under another name": "copy export rename",
    "session": "efforts recovery schedule timetable volume",
    "squad": "athletes group team names list",
    "stages": "progress season weeks",
    "review": "results times compare",
    _SOUND: "metronome click beep audio music rhythm tempo wav",
}
"""Other words people look for a row by, under its short name, or its title where it has none."""


def _on(screen: str, group: Group, *rows: Row) -> tuple[Action, ...]:
    """Return rows of (keys, title, short name, what does it) for a screen, "" for all."""
    return tuple(
        Action(
            keys=tuple(keys.split()),
            title=title,
            group=group,
            do=do,
            short=short,
            screens=frozenset({screen} if screen else ()),
            words=_WORDS.get(short or title, ""),
        )
        for keys, title, short, do in rows
    )


def _giving_way(rows: tuple[Action, ...]) -> tuple[Action, ...]:
    """Return the rows, those of all screens giving way where a screen has a key of its own."""
    own = {(screen, key) for row in rows for screen in row.screens for key in row.keys}
    return tuple(
        row
        if row.screens
        else replace(row, not_on=frozenset(s for s, key in own if key in row.keys))
        for row in rows
    )


_ROWS: tuple[Action, ...] = (
    *_on(
        "",
        Group.CHANGE,
        ("g", "gaps a notch wider for this athlete (2 %)", "gaps +", notch(edits.notch_gaps, 1)),
        ("G", "gaps a notch tighter for this athlete (2 %)", "gaps -", notch(edits.notch_gaps, -1)),
        (
            "s",
            "speed a notch up for this athlete (1 point of top)",
            "speed +",
            notch(edits.notch_speed, 1),
        ),
        (
            "S",
            "speed a notch down for this athlete (1 point of top)",
            "speed -",
            notch(edits.notch_speed, -1),
        ),
        (
            "c",
            "cadence a notch up for this athlete (1 point)",
            "cadence +",
            notch(edits.notch_cadence, 1),
        ),
        (
            "C",
            "cadence a notch down for this athlete (1 point)",
            "cadence -",
            notch(edits.notch_cadence, -1),
        ),
        ("m", "move all marks by so many cm, + on, - back", "move all", change.slide),
        ("b", "move the start mark by so many cm, + on, - back", "move start", change.shift_start),
        ("i tab", "type in the fields of the plan", "type", change.inputs),
    ),
    *_on(
        "",
        Group.PRACTICE,
        ("t", "a time over the marks: review this athlete", "time", practice.time),
        ("x", "this athlete is absent, or is back", "absent", practice.absent),
        ("o", "this athlete is on the way: comes so many minutes late", "late", practice.late),
        (
            "greater_than_sign",
            "this athlete runs on the next lane",
            "put lane +",
            notch(edits.put_on_lane, 1),
        ),
        (
            "less_than_sign",
            "this athlete runs on the lane before",
            "put lane -",
            notch(edits.put_on_lane, -1),
        ),
        ("j", "this athlete runs a wave later", "put wave +", notch(edits.put_in_wave, 1)),
        ("J", "this athlete runs a wave earlier", "put wave -", notch(edits.put_in_wave, -1)),
        (
            "q",
            "everything to other lanes, another line or another ground",
            "elsewhere",
            change.everything,
        ),
        ("number_sign", "how many wickets the bag holds today", "bag", change.bag),
        (
            "F",
            "this athlete runs alone, on the nearest free lane",
            "free lane",
            change.athlete(edits.put_on_free_lane),
        ),
        (
            "equals_sign",
            "lane, wave and start letter of this athlete as dealt again",
            "as dealt",
            change.athlete(edits.let_go),
        ),
        (
            "k",
            _SOUND,
            "",
            practice.rhythm,
        ),
        ("p", "print: p again writes the PDF of the current wave", "print", practice.print_wave),
    ),
    *_on(
        "",
        Group.HISTORY,
        ("u ctrl+z", "undo", "undo", change.undo),
        ("r ctrl+y", "redo", "redo", change.redo),
    ),
    *_on(
        "",
        Group.LOOK,
        ("right", "next mark", "", at(Bench.step_mark, 1)),
        ("left", "mark before", "", at(Bench.step_mark, -1)),
        ("home", "first mark", "", at(Bench.step_mark, -look.FAR)),
        ("end", "last mark", "", at(Bench.step_mark, look.FAR)),
        ("n down", "next athlete", "athlete", at(Bench.step_athlete, 1)),
        ("N up", "athlete before", "", at(Bench.step_athlete, -1)),
        ("slash", "the athlete whose name is typed", "find", look.jump),
        ("l", "next lane", "lane", at(Bench.step_lane, 1)),
        ("L", "lane before", "", at(Bench.step_lane, -1)),
        ("v", "next wave", "wave", at(Bench.step_wave, 1)),
        ("V", "wave before", "", at(Bench.step_wave, -1)),
        ("right_square_bracket", "next station of the practice", "", files.station(1)),
        ("left_square_bracket", "station before", "", files.station(-1)),
        ("e", "next stage", "stage", at(Bench.step_stage, 1)),
        ("E", "stage before", "", at(Bench.step_stage, -1)),
        ("z", "the whole run, or the section alone", "zoom", look.zoom),
        ("f", "read all findings", "findings", look.findings),
        ("pagedown", "on through a list longer than its pane", "", look.page(1)),
        ("pageup", "back through it", "", look.page(-1)),
    ),
    *_on(
        "",
        Group.SCREEN,
        ("1", "plan", "", to("plan")),
        ("2", "squad", "", to("squad")),
        ("3", "stages", "", to("stages")),
        ("4", "review", "", to("review")),
        ("5", "session", "", to("session")),
        ("6", "print", "", to("print")),
        ("7", "practice: the hour at the track", "practice", to("practice")),
        ("8", "after practice: what the day says of everybody", "after", to("after")),
        ("question_mark f1", "help: every key", "help", look.keys),
        ("ctrl+p", "palette: every action by its name", "all actions", look.palette),
        ("ctrl+t", "light or dark", "", look.theme),
        ("ctrl+l", "draw everything anew, when something else wrote on it", "", look.redraw),
    ),
    *_on(
        "squad",
        Group.SQUAD,
        ("a insert", "add an athlete", "add", practice.athlete_add),
        (
            "A",
            "somebody of the squad runs too, or a guest kept in the plan alone",
            "runs too",
            practice.athlete_join,
        ),
        ("enter", "change what is known of this athlete", "change", practice.athlete_edit),
        (
            "delete",
            "take this athlete off the plan",
            "take off",
            change.athlete(edits.remove_athlete),
        ),
        ("minus", "runs one place earlier", "earlier", notch(edits.move_athlete, -1)),
        ("plus", "runs one place later", "later", notch(edits.move_athlete, 1)),
    ),
    *_on(
        "stages",
        Group.STAGES,
        ("enter", "the athletes are at the stage on view now", "now here", practice.stage_now),
        ("a", "make a series of stages, or take it out", "series", practice.stages_set),
    ),
    *_on(
        "review",
        Group.REVIEW,
        (
            "enter",
            "write the review to the athlete's record and lay out anew",
            "accept",
            practice.accept,
        ),
        ("k", "the clock: by hand, by gates or from a video", "clock", seen.clock),
        ("h", "how hard the runs were, if not as asked", "how hard", seen.effort),
        ("y", "steps, or touchdowns in a video frame by frame", "steps", seen.counted),
        ("K", "keep this athlete's own gaps as theirs", "", practice.keep_gaps),
        ("B", "misses at the board: to the record", "", practice.misses),
        ("M", "slide all marks as the misses at the board ask for", "", practice.take_slide),
        ("w", "the wind along the runs, + from behind", "wind", seen.wind),
        ("backspace", "drop the last time", "drop last", practice.time_drop),
        ("d", "the day the times are of", "day", practice.day),
    ),
    *_on(
        "practice",
        Group.HOUR,
        ("space", "off: the one on top starts", "off", hour.off),
        (
            "0 1 2 3 4 5 6 7 8 9 full_stop comma",
            "the time of the first off who has none: 271 is 2.71 s where 2.7 s is expected",
            "",
            hour.digit,
        ),
        ("enter", "take the digits; without any, tick off the next mark", "take", hour.take),
        ("backspace", "take a digit back", "", hour.digit_back),
        (
            "b plus",
            "miss at the board of whoever ran last: digits are cm over, b again short",
            "",
            hour.miss,
        ),
        ("minus", "not timed", "not timed", hour.flag(Flag.NOT_TIMED)),
        ("h asterisk", "hit a wicket: shown, not learnt from", "hit", hour.flag(Flag.HIT)),
        ("k", "stumbled: shown, not learnt from", "", hour.flag(Flag.STUMBLED)),
        ("w", "swap with the next", "swap", hour.noted(lambda now, _: now.swap())),
        ("x", "absent, or back", "absent", hour.noted(lambda now, _: now.absent())),
        ("o", "comes 5 min later; again for 5 more", "late", hour.noted(lambda now, _: now.late())),
        (
            "n down",
            "put the next one on top; digits put their last time right",
            "athlete",
            hour.choose(1),
        ),
        ("N up", "put the one before on top", "", hour.choose(-1)),
        ("d", "all marks of the lane are moved", "all moved", hour.all_moved),
        ("a", "lay what is proposed", "lay", hour.apply),
        ("u ctrl+z", "take the last thing back", "undo", hour.undo),
        ("t", "the clock: by hand, by gates or from a video", "clock", seen.clock),
        ("y", "after practice: what the day says of everybody", "after", to("after")),
        ("escape", "take all digits back; without any, back to the plan", "plan", hour.digits_back),
    ),
    *_on(
        "after",
        Group.AFTER,
        ("enter", "write all that is ready to the record", "accept all", hour.accept_all),
        ("y", "I am sure of this athlete's times: write them", "sure", hour.accept_one),
        ("M", "slide all marks as the misses at the board ask for", "", practice.take_slide),
        ("a", "a day typed in from paper, today's or an earlier one", "paper", hour.from_paper),
        ("x", "note only: this athlete's runs change nothing", "note only", hour.note_only),
        ("n down", "next athlete who ran", "athlete", hour.next_who_ran(1)),
        ("v", "steps, or touchdowns in a video, of the last run timed", "video", seen.counted_run),
        ("N up", "athlete before", "", hour.next_who_ran(-1)),
        ("u ctrl+z", "take the last change back, or the day from paper", "undo", hour.undo_paper),
    ),
    *_on(
        "print",
        Group.PRINT,
        ("enter", "write the PDF of the current wave", "", practice.print_again),
        ("w", "write the PDF of the whole plan", "whole plan", practice.print_all),
        ("a", "paper: A4, Letter, A5 or a phone", "paper", practice.paper),
        ("h", "which sheets", "sheets", practice.sheets),
    ),
    *_on(
        "",
        Group.FILE,
        ("ctrl+s", "save", "save", files.save),
        ("ctrl+d", "save as a duplicate under another name", "", files.save_as),
        ("ctrl+o", "open a plan", "open", files.open_another),
        ("ctrl+n", "new plan: who, how fast, how many wickets, where", "new plan", files.new),
        ("ctrl+q", "quit", "quit", files.leave_asked),
    ),
)

ACTIONS = _giving_way(_ROWS)
"""In the order of the help and of the key bar."""
