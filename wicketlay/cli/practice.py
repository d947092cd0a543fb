"""The commands of a day that was run: the log, typing it in later, and its review."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.cli.options import day_of, day_of_runs, of_run, saved_text
from wicketlay.cli.output import put_data, put_text, say
from wicketlay.errors import InputFileError, UsageError
from wicketlay.values import replace

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

    from wicketlay.after_practice import Day, Outcome
    from wicketlay.log_file.log import LogFile
    from wicketlay.log_file.typed import Common
    from wicketlay.plan import Plan
    from wicketlay.plan_file import PlanFile
    from wicketlay.session.log import Entry
    from wicketlay.solve import Solved
    from wicketlay.units import UnitSystem


def show_log(arguments: argparse.Namespace, opened: PlanFile) -> None:
    """Write what stands of the log of a plan, or add to it what was typed."""
    from wicketlay.export import practice
    from wicketlay.session.log import standing
    from wicketlay.wording.places import has_lanes

    log = _log(opened)
    if arguments.add is not None:
        _add(arguments, opened.plan, log)
        return
    entries = standing(log.entries)
    if arguments.date:
        day = day_of(arguments.date)
        entries = tuple(each for each in entries if each.day == day)
    match arguments.format:
        case "csv":
            put_data(practice.log_csv(entries, arguments.csv_style))
        case "json":
            put_data(practice.log_json(entries))
        case _:
            put_text(practice.log_table(entries, lanes=has_lanes(opened.plan.ground)))


def _log(opened: PlanFile) -> LogFile:
    """Return the log of a plan; say what of it was set aside."""
    from wicketlay.log_file.log import open_log

    log = open_log(opened.path).checked()
    for line in log.told:
        say(f"note: {line}")
    return log


def _common(arguments: argparse.Namespace, plan: Plan) -> Common:
    """Return what is the same for all times that are read."""
    from wicketlay.log_file.typed import Common
    from wicketlay.running.facts import Timing

    return Common(
        day=day_of_runs(arguments, plan),
        timing=Timing(arguments.timing),
        fps=None if arguments.fps is None else round(arguments.fps),
        from_mark=arguments.from_mark or "",
        to_mark=arguments.to_mark or "",
        effort_share=of_run("--at", "held_share", arguments.at, "98%"),
        wind_mps=of_run("--wind", "wind_mps", arguments.wind, "+1.8 m/s"),
    )


def _read(name: str) -> tuple[bytes, str]:
    """Return what stands in a file, or comes in, with what messages call it."""
    from wicketlay.files.locks import reason_of
    from wicketlay.log_file.typed import MOST_BYTES

    if name == "-" and sys.stdin is None:
        raise UsageError("there is no standard input to read from")
    if name == "-":
        return sys.stdin.buffer.read(MOST_BYTES + 1), "standard input"
    try:
        with Path(name).open("rb") as file:
            return file.read(MOST_BYTES + 1), name
    except OSError as error:
        raise InputFileError(
            f"{name}: cannot be read: {reason_of(error)}; give a file, or - to type it"
        ) from None


def _add(arguments: argparse.Namespace, plan: Plan, log: LogFile) -> None:
    from wicketlay.after_practice import on_ground
    from wicketlay.board_misses import runs_to_board, slide_of
    from wicketlay.keys.codecs import UnfitError
    from wicketlay.log_file.typed import far_times, read_grid, refuse_again, refuse_misses
    from wicketlay.session.log import What, practice_of
    from wicketlay.solve import laid_out
    from wicketlay.units import UnitSystem, format_count
    from wicketlay.wording.names import small_unit
    from wicketlay.wording.runs import board_legend
    from wicketlay.wording.solved import unit_of

    common = _common(arguments, plan)
    names = [each.name for each in plan.athletes]
    practice = practice_of(log.entries, common.day, names)
    begun = {who: practice.next_run(who) - 1 for who in names}
    unit = unit_of(plan)
    small, _ = small_unit(unit)
    board = board_legend(unit) if runs_to_board(plan) else ""
    if arguments.add == "-" and sys.stdin.isatty():
        legend = f"- not timed, * wicket hit{board and f', {board}'}"
        say(f"a line an athlete: Wren 2.71 2.68 - 2.70*   ({legend}); Ctrl-D ends")
    data, shown = _read(arguments.add)
    typed = read_grid(data, shown, names, common, begun, small)
    refuse_again(typed, practice.entries)
    refuse_misses(typed, plan)
    solved = laid_out(plan)
    for line, odd in () if arguments.sure else far_times(typed, solved, practice.entries):
        typed.problems.add(line, UnfitError(odd, remedy="put it right, or add --sure to write it"))
    if typed.problems.found:
        raise typed.problems.error()
    entries = [each for _, each in typed.entries]
    if not entries:
        raise UsageError(f"{shown}: there is nothing in it; nothing was written")
    # a miss is of the marks as they lay: a slide that is taken later must not change it
    entries = [
        each if each.miss_m is None else replace(each, slide_m=slide_of(plan, each.athlete))
        for each in entries
    ]
    # and a time is of the gaps as they lay
    entries = [on_ground(solved, e, practice.entries) if e.times_s else e for e in entries]
    log = log.add(*entries)
    runs = [each for each in entries if each.what is What.RUN]
    who = {each.athlete for each in runs}
    told = any(each.over is not None for each in practice.entries)
    if any(each.over is not None for each in runs) and not told and common.day != plan.date:
        say("note: the times are written as over the marks as they are now")
    if any(each.miss_m is not None for each in runs) and unit is UnitSystem.FEET:
        say(f"note: misses read in inches where no unit is told: {board}")
    say(
        f"{log.paths[-1]}: {format_count(len(runs), 'run')} of {format_count(len(who), 'athlete')} "
        f"written, of {common.day.isoformat()}; "
        f"'wicketlay review {arguments.plan} --log' says what they change"
    )


# --- the review of a day ----------------------------------------------------------------------


def review_day(arguments: argparse.Namespace, plan: Plan, opened: PlanFile | None) -> bool:
    """Review the runs of everybody, of the log or of a file; return whether all of it can be right.

    With ``--accept`` everything that is ready is written to the record in one step.
    """
    from wicketlay.after_practice import day_of as day_of_all
    from wicketlay.export import practice
    from wicketlay.solve import laid_out
    from wicketlay.wording.solved import unit_of

    _check_options(arguments)
    solved = laid_out(plan)
    if opened is None or arguments.times:
        runs = _runs_of_file(arguments, solved, opened)
    else:
        runs = _runs_of_log(arguments, opened)
    if not runs:
        raise UsageError("there are no runs to review")
    share = of_run("--at", "held_share", arguments.at, "98%")
    runs = tuple(
        each if each.effort_share is not None else replace(each, effort_share=share)
        for each in runs
    )
    unit = unit_of(solved.plan)
    told = []
    for day in sorted({each.day for each in runs}):
        found = day_of_all(solved, runs, day).outcomes
        if arguments.athlete is not None:
            found = tuple(each for each in found if each.athlete == arguments.athlete)
        told.append(found)
        if arguments.format == "table":
            put_text(practice.results_table(found, day, unit))
        elif arguments.format == "text":
            put_text(practice.results_text(found, unit))
        opened, solved = _accepted(arguments, opened, solved, found, unit)
        _tell(arguments, found)
    everybody = [each for found in told for each in found]
    if arguments.format == "csv":
        put_data(practice.results_csv(everybody, unit, arguments.csv_style))
    elif arguments.format == "json":
        put_data(practice.results_json(everybody, unit))
    return all(map(_can_be, everybody))


def logged_day(arguments: argparse.Namespace, opened: PlanFile) -> Day:
    """Return a day of the log of a plan, the last one unless another is asked for."""
    from wicketlay.after_practice import day_of as day_of_all
    from wicketlay.edits import in_unit
    from wicketlay.solve import laid_out

    runs = _runs_of_log(arguments, opened)
    plan = opened.plan
    if arguments.unit is not None:
        plan = in_unit(plan, metric=arguments.unit == "metric")
    return day_of_all(laid_out(plan), runs, runs[0].day)


def _check_options(arguments: argparse.Namespace) -> None:
    """Refuse options that each run of a day tells for itself."""
    of_a_run = ("fps", "wind") if arguments.log else ()
    for option in ("steps", "touchdowns", *of_a_run):
        if getattr(arguments, option):
            raise UsageError(f"--{option} goes with --time; of a whole day each run says its own")
    if (arguments.plan, arguments.times) == ("-", "-"):
        raise UsageError("standard input ('-') is the plan or the times, not both")


def _can_be(outcome: Outcome) -> bool:
    """Return whether nothing of an athlete's day is impossible."""
    from wicketlay.after_practice import State
    from wicketlay.review.review import Doubt

    wrong = any(made.doubt is Doubt.WRONG for made in outcome.reviews)
    return not wrong and outcome.state is not State.TROUBLE


def _runs_of_log(arguments: argparse.Namespace, opened: PlanFile) -> tuple[Entry, ...]:
    """Return what stands of the log: of the day that is asked for, else of the last one."""
    from wicketlay.session.log import What, standing

    runs = [each for each in standing(_log(opened).entries) if each.what is What.RUN]
    if not runs:
        raise UsageError(
            f"the log of {opened.path} has no runs; the workbench writes it at the track, and "
            f"'wicketlay log {opened.path} --add -' from paper"
        )
    days = sorted({each.day for each in runs})
    day = day_of(arguments.date) if arguments.date else days[-1]
    if day not in days:
        listed = ", ".join(each.isoformat() for each in days[-5:])
        raise UsageError(f"the log has no runs of {day.isoformat()}; it has {listed}")
    return tuple(each for each in runs if each.day == day)


def _runs_of_file(
    arguments: argparse.Namespace, solved: Solved, opened: PlanFile | None
) -> tuple[Entry, ...]:
    """Return the runs of a table of times; every bad row is told at once."""
    from wicketlay.after_practice import on_ground, refused
    from wicketlay.findings import Finding
    from wicketlay.keys.codecs import UnfitError
    from wicketlay.log_file.typed import read_times
    from wicketlay.wording import word
    from wicketlay.wording.names import small_unit
    from wicketlay.wording.solved import unit_of

    plan = solved.plan
    names = [each.name for each in plan.athletes]
    data, shown = _read(arguments.times)
    common = _common(arguments, plan)
    unit = unit_of(plan)
    small, _ = small_unit(unit)
    typed = read_times(data, shown, names, common, small)
    today = dt.date.today()
    logged = _logged(opened)
    good = []
    for line, read in typed.entries:
        entry = on_ground(solved, read, logged)
        why = refused(solved, entry)
        if entry.day > today:
            why = f"{entry.day.isoformat()} is a day to come"
        if why is None:
            good.append(entry)
        else:
            text = str(word(why, unit)) if isinstance(why, Finding) else why
            typed.problems.add(line, UnfitError(text))
    if typed.strange:
        say(f"note: {shown}: not looked at: {', '.join(filter(None, typed.strange))}")
    if typed.problems.found and not arguments.skip_bad:
        error = typed.problems.error()
        error.add_note("nothing was accepted; put them right, or leave them out with --skip-bad")
        raise error
    for each in typed.problems.found:
        say(f"left out: {each}")
    return tuple(good)


def _logged(opened: PlanFile | None) -> tuple[Entry, ...]:
    """Return what stands of the log of a plan, as far as there is one that can be read."""
    from wicketlay.keys.problems import PlanFileError
    from wicketlay.log_file.log import open_log
    from wicketlay.session.log import standing

    try:
        return () if opened is None else standing(open_log(opened.path).entries)
    except PlanFileError:
        return ()  # it has no part in these times; who asks for the log is told


def _accepted(
    arguments: argparse.Namespace,
    opened: PlanFile | None,
    solved: Solved,
    found: Sequence[Outcome],
    unit: UnitSystem,
) -> tuple[PlanFile | None, Solved]:
    """Say what marks beside the gaps change by what is ready; save it in one step where asked.

    Returns
    -------
    (opened, solved)
        The plan as it is then.
    """
    from wicketlay.after_practice import accept_all
    from wicketlay.board_misses import SLIDE
    from wicketlay.cli.board import slide_command
    from wicketlay.reviewing import own_laying
    from wicketlay.solve import laid_out

    sure = {each.athlete for each in found} if arguments.sure and arguments.athlete else set()
    made = accept_all(solved.plan, found, dt.date.today(), sure=sure, leave=arguments.leave)
    if not made.taken:
        return opened, solved
    after = laid_out(made.plan)
    if arguments.accept and opened is not None:
        opened = opened.save(made.plan)
        say(f"written to the record of {', '.join(made.taken)}; {saved_text(opened)}")
        stopped = [who for who in made.taken if own_laying(solved, who)[0].stopped]
        if stopped:
            say(
                f"caution: the marks of {', '.join(stopped)} say DO NOT LAY OUT; the times may "
                "stem from marks that should not have been laid"
            )
        for each in found:
            who, slide = each.athlete, each.slide
            if who in made.taken and slide is not None and slide.code.startswith(SLIDE):
                say(f"this slides all marks of {who}: {slide_command(arguments.plan, who)}")
    for who in made.taken:
        tell_marks(solved, after, who, unit)
    return opened, after if arguments.accept else solved


def tell_marks(before: Solved, after: Solved, who: str, unit: UnitSystem) -> None:
    """Say what a review moves of somebody's marks beside the gaps."""
    from wicketlay.reviewing import marks_changed
    from wicketlay.wording import word

    for note in marks_changed(before, after, who):
        say(f"note: {word(note, unit)}")


def _tell(arguments: argparse.Namespace, found: Sequence[Outcome]) -> None:
    """Say what was not written and how it would be."""
    from wicketlay.after_practice import State

    found = [each for each in found if each.athlete not in arguments.leave]
    ready = [each.athlete for each in found if each.state is State.READY]
    if ready and not arguments.accept:
        say(f"nothing was written; --accept writes what is ready: {', '.join(ready)}")
    sure = arguments.accept and arguments.sure and arguments.athlete
    for each in found:
        who = each.athlete
        if each.state is State.DOUBT and not sure:
            say(
                f"caution: {who} is in doubt and is not written; "
                f"--athlete '{who}' --accept --sure does"
            )
        if each.state is State.TROUBLE:
            say(f"caution: {who} cannot be reviewed, see above")
