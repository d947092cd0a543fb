"""What each command does. Heavy libraries are imported by the command that needs them."""

from __future__ import annotations

import os
import shlex
import sys
from collections import Counter
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wicketlay.cli.arguments import AFTER, FILE_KINDS, SHEETS
from wicketlay.cli.options import athlete_of, day_of_runs, of_run, saved_text, time_of
from wicketlay.cli.output import (
    CAUTIONS,
    FINE,
    STOPS,
    data_stream,
    error_text,
    put_data,
    put_text,
    say,
    width_of,
)
from wicketlay.cli.stations import between, check_rows, practice_of, refuse_practice, stations_of
from wicketlay.errors import CannotWriteError, DomainError, UsageError
from wicketlay.files.whole import new_file, whole_file
from wicketlay.findings import Level, worst
from wicketlay.values import replace

if TYPE_CHECKING:
    import argparse
    import datetime as dt
    from collections.abc import Callable, Sequence

    from wicketlay.plan import Plan
    from wicketlay.plan_file import PlanFile
    from wicketlay.review.review import TimedRuns
    from wicketlay.sheets import Document
    from wicketlay.solve import Solved
    from wicketlay.stations import SolvedPractice


_NAMED_BY = {"squad": 'squad = "{}"', "ground": '[ground] file = "{}"'}
"""How a plan names a file of another kind."""
_NO_NAME = "a plan from standard input has no name; say where to with -o"
_STDIN_ONCE = "standard input ('-') holds one plan; name it once"


def _opened(path: str) -> PlanFile:
    """Read a plan; say what became of an earlier save of it that was cut off."""
    from wicketlay.plan_file import open_plan

    opened = open_plan(Path(path))
    if opened.mended:
        say(f"note: {opened.mended}")
    return opened


def _called(path: str) -> str:
    """Return what messages call a plan."""
    return "standard input" if path == "-" else path


def _plan(path: str) -> Plan:
    """Read a plan, from standard input where it is called "-"."""
    if path != "-":
        return _opened(path).plan
    from wicketlay.files.saving import MOST_BYTES
    from wicketlay.plan_file import read_plan

    if sys.stdin is None:
        raise UsageError("there is no standard input to read a plan from")
    return read_plan(sys.stdin.buffer.read(MOST_BYTES + 1), _called(path))


def _solved(path: str, unit: str | None = None) -> Solved:
    from wicketlay.solve import solve

    plan = _plan(path)
    if unit is not None:
        from wicketlay.edits import in_unit

        plan = in_unit(plan, metric=unit == "metric")
    return solve(plan)


def _all_solved(paths: Sequence[str], unit: str | None) -> list[Solved | SolvedPractice]:
    """Read several plans and practices, all of them before anything is written."""
    if paths.count("-") > 1:
        raise UsageError(_STDIN_ONCE)
    return [practice_of(path, unit) or _solved(path, unit) for path in paths]


def _tell(*solved: Solved | SolvedPractice) -> int:
    """Say stops and cautions on standard error, each once, and return the code they ask for."""
    from wicketlay.wording.solved import told_of

    lines: dict[tuple[Level, str], None] = {}
    for each in solved:
        lines |= dict.fromkeys(between(each))
        for station in stations_of(each):
            lines |= dict.fromkeys(told_of(station))
    for level, text in lines:
        if level is not Level.NOTE:
            say(f"{level.value}: {text}")
    return max(_code(station) for each in solved for station in stations_of(each))


def _put_findings(solved: Solved, where: str = "", but: Sequence[tuple[Level, str]] = ()) -> int:
    """Write all that was found, `but` what was said, to standard output; `where` before each."""
    from wicketlay.wording.solved import told_of

    lines = (line for line in told_of(solved) if line not in but)
    put_text("".join(f"{where}{level.value}: {text}\n" for level, text in lines))
    return _code(solved)


def _code(solved: Solved) -> int:
    return STOPS if worst(solved.all_findings) is Level.STOP else FINE


def run_open(arguments: argparse.Namespace) -> int:
    """Open the workbench; say at once when there is no terminal for it."""
    if arguments.plan == "-":
        raise UsageError("the workbench opens files; 'wicketlay marks -' reads standard input")
    if not _full_screen():
        plan = arguments.plan or "PLAN"
        raise UsageError(
            f"the workbench needs a terminal; 'wicketlay sheet {plan}' prints without one"
        )
    from tui import run

    return run(Path(arguments.plan) if arguments.plan else None)


def _full_screen() -> bool:
    """Return whether there is a terminal that can show more than lines."""
    terminal = all(each is not None and each.isatty() for each in (sys.stdin, sys.stdout))
    return terminal and os.environ.get("TERM") != "dumb"


def run_sheet(arguments: argparse.Namespace) -> int:
    """Write the sheets of plans as PDFs, one each."""
    plans, output = arguments.plans, arguments.output
    if AFTER in (arguments.only or ()):
        return _print_after(arguments)
    if output is not None and len(plans) > 1:
        raise UsageError("-o names one file; leave it out, and each plan gets a PDF of its name")
    if output is None and "-" in plans:
        raise UsageError(_NO_NAME)
    done = _all_solved(plans, arguments.unit)
    names = [output or Path(path).with_suffix(".pdf").name for path in plans]
    if twice := [name for name, times in Counter(names).items() if times > 1]:
        raise UsageError(f"two of the plans would be printed as {twice[0]}; print them one by one")
    if arguments.athlete is not None:
        for plan in (each.plan for solved in done for each in stations_of(solved)):
            athlete_of(plan, arguments.athlete)
    codes = [
        _print(solved, path, name, arguments)
        for solved, path, name in zip(done, plans, names, strict=True)
    ]
    return max(codes)


def _print_practice(
    solved: SolvedPractice, path: str, output: str, asked: argparse.Namespace
) -> int:
    """Write the one packet of a practice and say what was found."""
    from wicketlay.sheets.stations import station_pages

    if asked.athlete is not None:
        raise UsageError("a practice is printed whole; --athlete goes with a plan")
    only = SHEETS if asked.all else asked.only
    document = station_pages(solved, only=only, paper=asked.paper)
    _write(replace(document, origin=Path(path).name), output, force=asked.force)
    return _tell(solved)


def _print_after(arguments: argparse.Namespace) -> int:
    """Write the sheet of a day that was run as a PDF of its own."""
    from wicketlay.cli.practice import logged_day
    from wicketlay.sheets.after import after_document

    if len(arguments.plans) > 1 or arguments.only != (AFTER,) or arguments.athlete:
        raise UsageError("the sheet after practice is of one plan and of everybody: --only after")
    (path,) = arguments.plans
    if path == "-":
        raise UsageError("a log lies beside its plan; give the plan's file")
    refuse_practice(arguments)
    day = logged_day(arguments, _opened(path))
    name = arguments.output or f"{Path(path).stem}-after.pdf"
    document = replace(after_document(day, arguments.paper), origin=Path(path).name)
    _write(document, name, force=arguments.force)
    after = day.after()
    return _tell(replace(after, findings=(*after.findings, *document.findings)))


def _print(
    solved: Solved | SolvedPractice, path: str, output: str, arguments: argparse.Namespace
) -> int:
    """Write the sheets of one plan and say what was found; `path` is what it is called."""
    from wicketlay.sheets import make_pages
    from wicketlay.solve import Solved

    if not isinstance(solved, Solved):
        return _print_practice(solved, path, output, arguments)
    only = SHEETS if arguments.all else arguments.only
    who = arguments.athlete and athlete_of(solved.plan, arguments.athlete)
    document = make_pages(solved, only=only, paper=arguments.paper, athlete=who)
    document = replace(document, origin=Path(path).name)
    if len(document) == 0:
        asked = ", ".join(only or SHEETS)
        raise UsageError(
            f"{_called(path)} has none of the sheets asked for ({asked}); nothing was written"
        )
    _write(document, output, force=arguments.force)
    return _tell(replace(solved, findings=(*solved.findings, *document.findings)))


def _write(document: Document, output: str, *, force: bool) -> None:
    """Write a document where it was asked for, and say how many pages it has and whose."""
    from wicketlay.sheets import counted, write_pdf
    from wicketlay.units import format_count

    progress = _progress()
    paged: Counter[str] = Counter()
    if output == "-":
        with data_stream() as stream:
            write_pdf(document, stream, progress)
    else:
        target = Path(output)
        known = b"" if force else document.mark.encode()
        with whole_file(target, replaces=b"%PDF", holding=known) as stream:
            pages = write_pdf(counted(document, paged), stream, progress)
        assistants = paged["tape"] + paged["stop"]
        coachs = pages - assistants - paged["blank"]
        whose = f": {assistants} the assistant's, {coachs} the coach's"
        if paged["blank"]:
            whose += f", {paged['blank']} blank between them"
        say(f"{target}: {format_count(pages, 'page')}{whose if assistants and coachs else ''}")


def _progress() -> Callable[[int, int], None] | None:
    """Return a function that shows the sheet being drawn, on a terminal and for big jobs only."""
    if sys.stderr is None or not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        if total < 50:
            return
        end = "\n" if done == total else ""
        sys.stderr.write(f"\rsheet {done} of {total}{end}")
        sys.stderr.flush()

    return show


def run_marks(arguments: argparse.Namespace) -> int:
    """List the marks of plans."""
    solved = _all_solved(arguments.plans, arguments.unit)
    return _put_marks(solved, arguments.format, arguments.csv_style)


def _put_marks(
    solved: Sequence[Solved | SolvedPractice], form: str, csv_style: Sequence[str]
) -> int:
    """Write marks to standard output, of several plans one after another."""
    from wicketlay import export

    plans = [station for each in solved for station in stations_of(each)]
    match form:
        case "json":
            put_data(export.as_json(*plans))
        case "csv":
            put_data(export.as_csv(*plans, style=csv_style))
        case "text":
            put_text("\n".join(export.as_text(each) for each in plans))
        case _:
            return _put_tables(solved)
    return _tell(*solved)


def _put_tables(solved: Sequence[Solved | SolvedPractice]) -> int:
    """Write the tables of plans, each with what was found; before them what is told of none."""
    from wicketlay import export
    from wicketlay.wording.solved import told_of

    plans = [station for each in solved for station in stations_of(each)]
    shown = {line for each in plans for line in told_of(each)}
    for level, text in (line for each in solved for line in between(each) if line not in shown):
        say(f"{level.value}: {text}")
    most = width_of(sys.stdout)
    put_text("\n".join(export.as_table(each, most) for each in plans))
    return max(map(_code, plans))


def run_rhythm(arguments: argparse.Namespace) -> int:
    """Write the sound of an athlete's run."""
    from wicketlay.export.rhythm import alone_text, layout_of, sound_name, sound_of
    from wicketlay.files.whole import own_mark

    if arguments.plan == "-" and arguments.output is None:
        raise UsageError(_NO_NAME)
    solved = _solved(arguments.plan)
    names = [athlete.name for athlete in solved.plan.athletes]
    who = arguments.athlete or (names[0] if len(names) == 1 else None)
    if who is None:
        raise UsageError(f"whose rhythm? --athlete takes one of {', '.join(names)}")
    who = athlete_of(solved.plan, who)
    laying, layout = layout_of(solved, who)
    if not solved.may_lay(laying):
        say(f"the marks of {who} say DO NOT LAY OUT; nothing was written")
        return _tell(solved.of_athlete(who))
    loop_s = None if arguments.loop is None else _loop_s(arguments.loop)
    origin = Path(arguments.plan).name
    sound, told = sound_of(layout, loop_s, origin)
    if arguments.output == "-":
        with data_stream() as stream:
            stream.write(sound)
    else:
        target = Path(arguments.output or sound_name(Path(arguments.plan).stem, who))
        known = b"" if arguments.force else own_mark(origin).encode()
        with whole_file(target, replaces=b"RIFF", holding=known, noun="WAV") as stream:
            stream.write(sound)
        say(f"{target}: {told}{alone_text(laying, who)}")
    return _tell(solved.of_athlete(who))


def _loop_s(text: str) -> float:
    from wicketlay.export.rhythm import LOOP_S
    from wicketlay.keys.codecs import duration
    from wicketlay.keys.typed import FieldError, from_text

    try:
        found: float = from_text(duration(*LOOP_S), text)
    except FieldError as error:
        raise UsageError(f"--loop: {error}") from error
    return found


def run_quick(arguments: argparse.Namespace) -> int:
    """List the marks of one athlete who is told on the command line; print or save on request.

    Told nothing, it asks four things on one screen, where there is one.
    """
    from wicketlay.keys.typed import FieldError
    from wicketlay.plan_file import read_plan
    from wicketlay.solve import solve
    from wicketlay.starter.quick import ANSWERS, quick_text

    given = {name: getattr(arguments, name) for name in ANSWERS}
    if not any((*given.values(), arguments.output, arguments.save)) and _full_screen():
        from tui import run

        return run(None, ask=True)
    try:
        text = quick_text(given)
    except FieldError as error:
        if error.key == "known":
            raise UsageError(
                "quick needs one more thing of the athlete: --cadence 4.1 as it was seen, "
                "--top-speed 8.2m/s or --flying 20m/2.45s"
            ) from error
        raise UsageError(f"--{error.key.replace('_', '-')}: {error}") from error
    solved = solve(read_plan(text.encode(), "quick"))
    if arguments.save is not None:
        new_file(_named_toml(arguments.save), text)
        say(f"{arguments.save}: the plan, to change and to keep")
    if arguments.output is not None:
        return _print(solved, arguments.save or "", arguments.output, arguments)
    return _put_marks([solved], arguments.format, arguments.csv_style)


def run_check(arguments: argparse.Namespace) -> int:
    """Check plans; every file is checked, the gravest result is the exit code."""
    from wicketlay.errors import WicketlayError
    from wicketlay.export import json_text, report

    if arguments.plans.count("-") > 1:
        raise UsageError(_STDIN_ONCE)

    gravest = FINE
    rank = (STOPS, CAUTIONS)
    rows: list[dict[str, Any]] = []
    as_data = arguments.format == "json"
    for path in arguments.plans:
        try:
            solved = practice_of(path) or _solved(path)
        except WicketlayError as error:
            say(error_text(error))
            rows.append({"plan": path, "status": "error", "error": str(error)})
            gravest = max(gravest, error.exit_code)
            continue
        called = _called(path)
        where = f"{called}: " if len(arguments.plans) > 1 else ""
        code = FINE
        of_all = between(solved)
        found = [level for level, _ in of_all]
        stations = stations_of(solved)
        if as_data:
            rows += check_rows(solved, path)
        else:
            put_text("".join(f"{where}{level.value}: {text}\n" for level, text in of_all))
        for each in stations:
            at = f"{where}{each.plan.title}: " if len(stations) > 1 else where
            told = _code(each) if as_data else _put_findings(each, at, of_all)
            code = max(code, told)
            found += [finding.level for finding in each.all_findings]
        if code == FINE and arguments.strict and Level.CAUTION in found:
            code = CAUTIONS
        for each in () if as_data else stations:
            name = f"{called}, {each.plan.title}" if len(stations) > 1 else called
            put_text(f"{name}: {_verdict(each)}\n")
        if gravest in {FINE, *rank}:
            gravest = max(gravest, code)
    if as_data:
        put_data(json_text(report(plans=rows)))
    return gravest


def _verdict(solved: Solved) -> str:
    from wicketlay.units import format_count
    from wicketlay.wording.solved import count_text, told_of

    marks = sum(len(laying.layout.marks) for laying in solved.layings)
    layings = format_count(len(solved.layings), "laying")
    return f"{layings}, {marks} marks; {count_text(told_of(solved))}"


def run_review(arguments: argparse.Namespace) -> int:
    """Compare times with what was expected; with ``--accept`` write them to the record."""
    from wicketlay.cli.board import review_board
    from wicketlay.cli.practice import review_day

    misses = arguments.misses is not None
    ways = [arguments.time is not None, arguments.log, arguments.times is not None, misses]
    if arguments.keep_gaps and not any(ways):
        return _keep_gaps(arguments)
    board = misses or (arguments.slide and not any(ways))
    if sum(ways) != 1 and not board:
        raise UsageError(
            "a review is of --time or --misses (with --athlete), of --log, or of --times FILE.csv; "
            "give one"
        )
    if (misses and sum(ways) > 1) or (arguments.slide and not board):
        raise UsageError("misses are a review of their own: --misses, --slide or both")
    if arguments.plan == "-":
        if arguments.accept:
            raise UsageError("standard input cannot be written to; --accept needs a file")
        if arguments.log:
            raise UsageError("a log lies beside its plan; --log needs a file")
    opened = None if arguments.plan == "-" else _opened(arguments.plan)
    plan = _plan("-") if opened is None else opened.plan
    if arguments.athlete is not None:
        arguments.athlete = athlete_of(plan, arguments.athlete)
    arguments.leave = [athlete_of(plan, who, "--leave") for who in arguments.leave]
    if board:
        review_board(arguments, plan, opened)
        return FINE
    if arguments.time is None:
        return FINE if review_day(arguments, plan, opened) else STOPS
    if arguments.athlete is None:
        raise UsageError("whose time is it? give --athlete NAME")
    return _review_one(arguments, plan, opened)


def _runs_told(arguments: argparse.Namespace, day: dt.date) -> TimedRuns:
    """Return what was told of one athlete's runs of a day."""
    from wicketlay.review.review import TimedRuns
    from wicketlay.running.athlete import Timing

    contacts = of_run("--touchdowns", "touchdowns", arguments.touchdowns, "12,34")
    return TimedRuns(
        times_s=[time_of(text) for text in arguments.time],
        timing=Timing(arguments.timing),
        day=day,
        from_mark=arguments.from_mark,
        to_mark=arguments.to_mark,
        fps=arguments.fps,
        steps=arguments.steps,
        touchdowns=contacts or (),
        wind_mps=of_run("--wind", "wind_mps", arguments.wind, "+1.8 m/s"),
        effort_share=of_run("--at", "held_share", arguments.at, "98%"),
    )


def _review_one(arguments: argparse.Namespace, plan: Plan, opened: PlanFile | None) -> int:
    """Compare one athlete's times with what was expected."""
    import datetime as dt

    from wicketlay.cli.practice import tell_marks
    from wicketlay.export import as_review, json_text, review_document
    from wicketlay.review.review import Doubt
    from wicketlay.review.timed_zone import NobodysTimeError
    from wicketlay.reviewing import accepted, gaps_to_keep, review_athlete
    from wicketlay.solve import laid_out
    from wicketlay.wording import word
    from wicketlay.wording.solved import unit_of

    if arguments.format == "csv":
        raise UsageError("--time is one review and no table; --log and --times have CSV")
    who, day = arguments.athlete, day_of_runs(arguments, plan)
    solved = laid_out(plan)
    unit = unit_of(plan)
    try:
        reviewed = review_athlete(solved, who, _runs_told(arguments, day))
    except NobodysTimeError as error:
        raise UsageError(str(word(error.finding, unit))) from error
    except DomainError as error:
        raise UsageError(str(error)) from error
    if arguments.format == "json":
        put_data(json_text(review_document(reviewed, unit)))
    else:
        put_text(as_review(reviewed, unit))
    if not arguments.accept or opened is None:
        with suppress(DomainError):  # what is in the record already moves nothing more
            with_it = accepted(plan, reviewed, reviewed.date, sure=True)
            tell_marks(solved, laid_out(with_it), who, unit)
        say("nothing was written; --accept writes it to the athlete's record")
        return STOPS if reviewed.doubt is Doubt.WRONG else FINE
    try:
        with_it = accepted(plan, reviewed, dt.date.today(), sure=arguments.sure)
    except DomainError as error:
        remedy = "" if reviewed.doubt is Doubt.NONE or arguments.sure else "; --sure says so"
        raise UsageError(f"{error}{remedy}") from error
    if worst(solved.of_athlete(who).all_findings) is Level.STOP:
        say(
            f"caution: the marks of {who} say DO NOT LAY OUT; the time may stem "
            "from marks that should not have been laid"
        )
    saved = opened.save(with_it)
    say(f"written to the record of {who}; {saved_text(saved)}")
    after = laid_out(with_it)
    tell_marks(solved, after, who, unit)
    to_keep = gaps_to_keep(after, who)
    if to_keep is not None:
        keep = ["wicketlay", "review", arguments.plan, "--athlete", who, "--keep-gaps", "--accept"]
        say(f"{word(to_keep, unit)}; {shlex.join(keep)}")
    return FINE


def _keep_gaps(arguments: argparse.Namespace) -> int:
    """Keep an athlete's own gaps as evidence of their step."""
    from wicketlay.reviewing import gaps_kept
    from wicketlay.solve import laid_out

    if arguments.athlete is None or arguments.plan == "-":
        raise UsageError("--keep-gaps wants a plan's file and --athlete NAME")
    opened = _opened(arguments.plan)
    who = athlete_of(opened.plan, arguments.athlete)
    try:
        kept = gaps_kept(laid_out(opened.plan), who)
    except DomainError as error:
        raise UsageError(f"{error}; nothing was written") from error
    if not arguments.accept:
        say(f"nothing was written; --accept keeps them: the gaps of {who} as their own")
        return FINE
    saved = opened.save(kept)
    say(f"{who}: gaps kept as their own, those laid stay; {saved.path} is saved")
    return FINE


def run_log(arguments: argparse.Namespace) -> int:
    """List what was run and logged, or add to it what was written on paper."""
    from wicketlay.cli.practice import show_log

    if arguments.plan == "-":
        raise UsageError("a log lies beside its plan; give the plan's file")
    show_log(arguments, _opened(arguments.plan))
    return FINE


def run_stages(arguments: argparse.Namespace) -> int:
    """List the readings of every stage and what moves between them."""
    from wicketlay.export import as_json, as_stages

    solved = _solved(arguments.plan)
    if solved.plan.stages is None:
        raise UsageError(
            f"{_called(arguments.plan)} has no stages; add a [stages] table with from, to and count"
        )
    if arguments.format == "json":
        put_data(as_json(solved))
    else:
        put_text(as_stages(solved))
    return _tell(solved)


def run_progress(arguments: argparse.Namespace) -> int:
    """Say how athletes came along, day by day."""
    from wicketlay.board_misses import slide_told
    from wicketlay.export import json_text
    from wicketlay.export.progress import progress_document, progress_text
    from wicketlay.reviewing import board_days_in, progress_in
    from wicketlay.wording.solved import unit_of

    plan = _plan(arguments.plan)
    name = None if arguments.athlete is None else athlete_of(plan, arguments.athlete)
    who = [each for each in plan.athletes if name in {None, each.name}]
    made = {each.name: progress_in(plan, each) for each in who}
    known = [each for each in made.values() if each is not None]
    board = {each.name: board_days_in(plan, each.name) for each in who}
    if arguments.format == "json":
        put_data(json_text(progress_document(known, board)))
    else:
        unit = unit_of(plan)
        put_text(
            "\n".join(
                progress_text(each, unit, board[each.athlete], slide_told(plan, each.athlete))
                for each in known
            )
        )
    for name, way in made.items():
        if way is None:
            say(f"note: {name}: too little is known to lay marks by; a time or a cadence helps")
    return FINE


def run_share(arguments: argparse.Namespace) -> int:
    """Say who shares which lane and wave, how well it fits, and what moves between waves."""
    from wicketlay.edits import set_sharing
    from wicketlay.export import as_json, as_sharing
    from wicketlay.solve import solve

    plan = set_sharing(_plan(arguments.plan), lanes=arguments.lanes, waves=arguments.waves)
    solved = solve(plan)
    if arguments.format == "json":
        put_data(as_json(solved))
        return _tell(solved)
    put_text(as_sharing(solved))
    return _put_findings(solved)


def run_places(arguments: argparse.Namespace) -> int:
    """Say on which lines of the ground the plan fits, best first, with the room left."""
    from wicketlay.export import as_places, json_text, places_document
    from wicketlay.solve import places_for, smaller_for_places

    solved = _solved(arguments.plan)
    places = places_for(solved)
    if arguments.format == "json":
        put_data(json_text(places_document(solved, places)))
        return FINE
    put_text(as_places(solved, places, None if places else smaller_for_places(solved)))
    return FINE


def run_new(arguments: argparse.Namespace) -> int:
    """Write the starter plan, or an example and the files it names, to new files; or list those."""
    import tomllib

    from wicketlay.starter import example_files, examples, starter_text

    if arguments.like == "":
        put_text("".join(f"{name}: {told}\n" for name, told in examples().items()))
        return FINE
    if arguments.file is None:
        raise UsageError("what should it be called? such as 'wicketlay new my-plan.toml'")
    target = _named_toml(arguments.file)
    texts = {"": starter_text()} if arguments.like is None else example_files(arguments.like)
    text = texts.pop("")
    kind = tomllib.loads(text)["kind"]
    if arguments.schema:
        text = f"#:schema ./{_schema_name(kind)}\n{text}"
    needed = {target.with_name(name): other for name, other in texts.items()}
    if target in needed:
        raise UsageError(f"the example needs {target.name} beside it; choose another name")
    for path, other in needed.items():
        # One that stands there from another example is the same; anything else is somebody's.
        if path.exists() and path.read_text("utf-8", errors="replace") != other:
            raise CannotWriteError(
                f"{path} exists already and is another; choose another folder, nothing was changed"
            )
    if arguments.schema:
        # An older one of ours is replaced: it lacks keys that this program takes.
        schema = _schema_text(kind).encode()
        ours = schema.partition(b'  "type"')[0]
        beside = target.with_name(_schema_name(kind))
        with whole_file(beside, replaces=ours, noun="schema of ours") as stream:
            stream.write(schema)
            new_file(target, text)
    else:
        new_file(target, text)
    for path, other in needed.items():
        if not path.exists():
            new_file(path, other)
    then = f"then 'wicketlay sheet {target}' prints it"
    if kind in {"squad", "ground"}:
        then = f"then name it in a plan: {_NAMED_BY[kind].format(target.name)}"
    say(f"{target}: open it in an editor, {then}")
    return FINE


def _schema_name(kind: str) -> str:
    """Return what the schema is called beside a file that names it."""
    return f"wicketlay-{kind}.schema.json"


def _named_toml(name: str) -> Path:
    target = Path(name)
    if target.suffix != ".toml":
        stem = target.stem.strip(".").removesuffix("toml") or "my-plan"
        raise UsageError(f"{target} should end in .toml, for example {stem}.toml")
    return target


def run_sources(arguments: argparse.Namespace) -> int:
    """List every constant with its value, unit, basis and source."""
    from wicketlay.export import json_text, report
    from wicketlay.sources import catalogue

    if arguments.format == "json":
        keys = ("unit", "basis", "meaning", "source")
        rows = [
            {"name": name, "value": float(each), **{key: getattr(each, key) for key in keys}}
            for name, each in catalogue()
        ]
        put_data(json_text(report(constants=rows)))
        return FINE
    put_text(
        "basis: P published, D derived here from published figures, C common practice (no "
        "source),\n       J our judgement; C and J can be changed in a plan under [judgement]\n\n"
    )
    for name, constant in catalogue():
        unit = "" if constant.unit == "1" else f" {constant.unit}"
        source = f" [{constant.source}]" if constant.source else ""
        put_text(f"{constant.basis.value}  {name} = {float(constant):g}{unit}: ")
        put_text(f"{constant.meaning}{source}\n")
    return FINE


def run_explain(arguments: argparse.Namespace) -> int:
    """Say what a key of a plan file takes and does, or print the schema of such files."""
    from dataclasses import asdict

    from wicketlay.export import json_text, report
    from wicketlay.keys.explained import as_text, explained

    if arguments.schema in FILE_KINDS:
        put_data(_schema_text(arguments.schema))
        return FINE
    if arguments.schema is not None:
        from wicketlay.export.schemas import report_schema

        put_data(json_text(report_schema(arguments.schema)))
        return FINE
    found = explained(arguments.key)
    if arguments.format == "json":
        rows = [asdict(each) for each in found]
        put_data(json_text(report(keys=rows)))
    else:
        put_text(as_text(found))
    return FINE


def _schema_text(kind: str) -> str:
    import json

    from wicketlay.keys.explained import schema_of

    return f"{json.dumps(schema_of(kind), indent=2, ensure_ascii=False)}\n"


def run_completion(arguments: argparse.Namespace) -> int:
    """Print a script for a shell that completes commands, options and files; or the man page."""
    if arguments.shell == "man":
        from wicketlay.cli.manual import man_page

        put_data(man_page(arguments.parser))
        return FINE
    import shtab

    for action in arguments.plans:
        action.complete = shtab.glob("*.toml")
    put_text(shtab.complete(arguments.parser, arguments.shell))
    return FINE
