"""The commands and their options. Imports nothing heavy, so that ``--help`` is quick."""

from __future__ import annotations

import argparse
import difflib
import math
from typing import TYPE_CHECKING, NoReturn

from wicketlay import __version__
from wicketlay.cli.output import put_text
from wicketlay.errors import UsageError
from wicketlay.sources import USUAL_SHARE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

SHEETS = (
    *("tape", "practice", "card", "stages"),
    *("coach", "ground", "squad", "session", "progress"),
)
AFTER = "after"
"""The sheet of a day that was run, printed by itself."""
PAPERS = ("a4", "letter", "a5", "phone")
CSV_STYLES = ("comma", "semicolon", "mark")
FORMATS = ("table", "csv", "json", "text")
_COMMANDS = {
    "open": ("open the workbench in the terminal", "open tuesday.toml"),
    "sheet": ("print the sheets as a PDF", "sheet tuesday.toml -o tuesday.pdf"),
    "marks": ("list the marks and what the tape reads", "marks tuesday.toml"),
    "check": ("check plans and say what was found", "check tuesday.toml thursday.toml"),
    "stages": ("list what moves from stage to stage", "stages season.toml"),
    "log": (
        "list the runs that were logged, or add those on paper",
        "log tuesday.toml --date 2026-03-03",
    ),
    "review": (
        "compare a time with the plan and say what should change",
        "review tuesday.toml --athlete Wren --time 3.17s --timing gates",
    ),
    "progress": (
        "say how athletes came along, day by day, and what each estimate rests on",
        "progress tuesday.toml --athlete Wren",
    ),
    "share": ("say who shares which lane and wave", "share tuesday.toml --lanes 2 --waves 2"),
    "places": ("say where on its ground a plan fits", "places tuesday.toml"),
    "rhythm": (
        "write the sound of a run, a click a touchdown",
        "rhythm tuesday.toml --athlete Wren -o wren.wav",
    ),
    "quick": ("marks for one athlete, without a file", "quick --height 1.70m --cadence 4.1"),
    "new": ("write a commented plan to start from", "new my-plan.toml"),
    "sources": ("list every constant with its basis and source", "sources"),
    "explain": (
        "say what a key of a plan file takes, and what it does",
        "explain place.landmark",
    ),
    "completion": (
        "print what makes a shell complete commands, options and plans; or a man page",
        "completion bash > ~/.local/share/bash-completion/completions/wicketlay",
    ),
}
"""What each command does, and an example of it."""
_TELL_JSON = ("check", "stages", "progress", "share", "places", "sources", "explain")
"""Reports with no table of their own: for people, or as JSON."""
FILE_KINDS = ("plan", "squad", "ground", "practice")
REPORTS = (
    *("marks", "check", "log", "review", "review-day", "review-misses"),
    *("progress", "places", "sources", "explain"),
)
"""What has a JSON Schema: files, and the JSON of commands."""
SHELLS = ("bash", "zsh", "fish", "tcsh")

_DESCRIPTION = """\
Where to put wickets and other sprint-drill marks, and a sheet to lay them out
from with a tape. Without a command the workbench opens in the terminal; the
first time, four questions lead to marks.
"""
_EXAMPLES = """\
examples
  wicketlay quick --height 1.70m --cadence 4.1   marks, with no file at all
  wicketlay new my-plan.toml               a commented plan to start from
  wicketlay sheet my-plan.toml             the PDF an assistant lays out from
  wicketlay marks my-plan.toml             the same readings in the terminal
  wicketlay review my-plan.toml --athlete Wren --time 3.17s --timing gates
  wicketlay log my-plan.toml --add -       a day's times, typed in from paper
  wicketlay review my-plan.toml --log      what everybody's runs of the day change

exit codes
  0 fine   1 cautions with --strict   2 usage   3 stop findings
  4 bad input file   5 cannot write   6 changed on disk   70 a bug of ours
  129 the terminal went away   130 interrupted (Ctrl-C)   143 ended from outside
"""


_ABOUT_SOUND = """

Three beats count in, the fourth is the start; then the left foot sounds left, the
right foot right, and the steps past wickets higher. Whether it is the left one
follows from front_foot or takeoff_foot under the athlete's name; where the plan
tells no foot each step sounds in both ears.

A sound is a cue and not a command: whoever cannot follow it runs as they run. A
fast one makes steps quicker and shorter, a slow one the opposite (published for
40 m sprints of pupils). Keep one ear free where others train, and no sound at all
where somebody must hear a warning.
"""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line and never exits by itself."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing the usage and leaving."""
        told = f"{message[0].lower()}{message[1:]}"
        if not message.endswith("?"):
            told += f"; {self.prog} --help shows what there is"
        raise UsageError(told)

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """Name the choice that was meant, or all there are."""
        if action.choices is not None and value not in action.choices:
            known = [str(each) for each in action.choices]
            near = difflib.get_close_matches(str(value), known, n=1)
            meant = f"; did you mean {near[0]!r}?" if near else ""
            message = f"invalid choice: {value!r} (there are: {', '.join(known)}){meant}"
            raise argparse.ArgumentError(action, message)

    def _print_message(self, message: str, file: object = None) -> None:
        """Print help and version as any other text: argparse is silent when it cannot."""
        del file
        put_text(message)


def parse(argv: Sequence[str]) -> argparse.Namespace:
    """Return the arguments, `command` among them, and the `words` they were read from.

    Raises
    ------
    UsageError
        With what is wrong and the nearest thing that exists.
    """
    words = list(argv)
    if not words:
        words = ["open"]
    first = words[0]
    if not first.startswith("-") and first not in _COMMANDS:
        near = difflib.get_close_matches(first, _COMMANDS, n=1)
        if near:
            raise UsageError(f"there is no command {first!r}; did you mean {near[0]!r}?")
        _refuse_file(first)
        there = f"there are: {', '.join(_COMMANDS)}; wicketlay --help says what each does"
        raise UsageError(f"there is no command {first!r}; {there}")
    parser = make_parser()
    _refuse_unknown_options(parser, words)
    arguments = parser.parse_args(words)
    arguments.words = words
    return arguments


def _refuse_file(name: str) -> None:
    """Say what to do with a plan's file, or one nearly called like it, where a command belongs."""
    from pathlib import Path  # not for --help

    from wicketlay.plan_file.source import nearest_file

    path = Path(name)
    then = "'wicketlay open {0}' shows it, 'wicketlay sheet {0}' prints it"
    if path.suffix == ".toml":
        raise UsageError(f"which command for {name}? {then.format(name)}")
    if near := nearest_file(path):
        plan = path.with_name(near)
        raise UsageError(
            f"there is no command {name!r}; did you mean the plan {plan}? {then.format(plan)}"
        )


def _refuse_unknown_options(parser: argparse.ArgumentParser, words: Sequence[str]) -> None:
    """Name the option that was meant; argparse names the words left over, in whatever order."""
    command = _subcommands(parser).get(words[0])
    called = words[0]
    if command is None:
        command, called, words = parser, "wicketlay", ["", *words]
    known = [option for action in command._actions for option in action.option_strings]  # noqa: SLF001
    for word in words[1:]:
        option = word.partition("=")[0]
        if option == "--":
            return
        if option.startswith("--") and option not in known:
            near = difflib.get_close_matches(option, known, n=1)
            there = f"did you mean {near[0]}?" if near else f"there are: {', '.join(known)}"
            raise UsageError(f"{called} has no option {option}; {there}")


def _subcommands(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Return the parsers of the commands by name."""
    return next(
        action.choices
        for action in parser._actions  # noqa: SLF001
        if isinstance(action, argparse._SubParsersAction)  # noqa: SLF001
    )


def make_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    plans: list[argparse.Action] = []
    parser = _Parser(
        prog="wicketlay",
        description=_DESCRIPTION,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"wicketlay {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser, required=True)

    def add(name: str, more: str = "") -> argparse.ArgumentParser:
        text, example = _COMMANDS[name]
        made = commands.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.{more}",
            epilog=f"example\n  wicketlay {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        made.set_defaults(command=name)
        if name in _TELL_JSON:
            _add_plain_format(made)
        return made

    def add_plan(
        it: argparse.ArgumentParser,
        name: str = "plan",
        nargs: str | None = None,
        text: str = "a plan file; '-' is standard input",
    ) -> argparse.ArgumentParser:
        metavar = "FILE" if name == "file" else "PLAN"
        plans.append(it.add_argument(name, nargs=nargs, metavar=metavar, type=_file, help=text))
        return it

    add_plan(add("open"), nargs="?", text="plan file; the last one if left out")
    it = add("sheet")
    add_plan(it, "plans", nargs="+", text="plan files, one PDF each; '-' is standard input")
    _add_sheet_options(it)
    it = add("marks")
    add_plan(it, "plans", nargs="+", text="plan files; '-' is standard input")
    _add_format(it)
    it.add_argument("--unit", choices=("metric", "feet"), help="unit, if not the plan's own")
    it = add("check")
    add_plan(it, "plans", nargs="+", text="plan files; '-' is standard input")
    it.add_argument("--strict", action="store_true", help="exit with 1 when there are cautions")
    add_plan(add("stages"))
    _add_log_options(add_plan(add("log")))
    _add_review_options(add_plan(add("review")))
    it = add_plan(add("progress"))
    it.add_argument("--athlete", metavar="NAME", help="only this athlete")
    it = add_plan(add("share"))
    it.add_argument("--lanes", type=_count, metavar="N", help="how many lanes; the plan's own")
    it.add_argument("--waves", type=_count, metavar="N", help="how many waves; the plan's own")
    add_plan(add("places"))
    _add_rhythm_options(add_plan(add("rhythm", more=_ABOUT_SOUND)))
    _add_quick_options(add("quick"))
    it = add("new")
    add_plan(it, "file", nargs="?", text="a name that is not taken, ending in .toml")
    _add_new_options(it)
    add("sources")
    _add_explain_options(add("explain"))
    it = add("completion")
    it.add_argument(
        "shell",
        metavar="SHELL",
        choices=(*SHELLS, "man"),
        help=f"one of {', '.join(SHELLS)}; man prints the manual page instead",
    )
    it.set_defaults(parser=parser, plans=plans)
    return parser


def _add_new_options(it: argparse.ArgumentParser) -> None:
    it.add_argument(
        "--like",
        metavar="NAME",
        nargs="?",
        const="",
        help="an example instead of the starter, with the files it names; without NAME, lists "
        "what there is",
    )
    it.add_argument(
        "--schema",
        action="store_true",
        help="write the JSON Schema beside it and name it in the first line, for editors that "
        "complete and check TOML",
    )


def _add_explain_options(it: argparse.ArgumentParser) -> None:
    it.add_argument("key", metavar="KEY", nargs="?", default="", help="a key, a table or units")
    it.add_argument(
        "--schema",
        metavar="WHAT",
        choices=(*FILE_KINDS, *REPORTS),
        help=f"the JSON Schema of a file ({', '.join(FILE_KINDS)}) or of what a command tells as "
        f"JSON ({', '.join(REPORTS)}); marks is that of stages, share and quick too, "
        "review of --time, review-day of --log and --times",
    )


def _add_sheet_options(it: argparse.ArgumentParser) -> None:
    it.add_argument(
        "-o", "--output", metavar="FILE", type=_file, help="where to; '-' is standard output"
    )
    _add_which(it)
    it.add_argument("--date", metavar="YYYY-MM-DD", help="the day of --only after; the log's last")
    it.add_argument(
        "--paper",
        choices=PAPERS,
        type=str.lower,
        default="a4",
        help="paper size (default a4), or pages for a phone held upright",
    )
    it.add_argument("--unit", choices=("metric", "feet"), help="unit, if not the plan's own")
    it.add_argument("--athlete", metavar="NAME", help="only this athlete's pages")
    _add_force(it)


def _add_rhythm_options(it: argparse.ArgumentParser) -> None:
    it.add_argument("--athlete", metavar="NAME", help="whose; left out where there is but one")
    it.add_argument(
        "-o", "--output", metavar="FILE.wav", type=_file, help="where to; '-' is standard output"
    )
    it.add_argument(
        "--loop", metavar="20s", help="a steady click at the section's cadence instead, this long"
    )
    _add_force(it, "WAV")


def _add_force(it: argparse.ArgumentParser, noun: str = "PDF") -> None:
    it.add_argument(
        "--force",
        action="store_true",
        help=f"replace a {noun} that is not of this plan; what is no {noun} is never replaced",
    )


def _add_plain_format(it: argparse.ArgumentParser) -> None:
    it.add_argument("--format", choices=("text", "json"), default="text", help="default text")


def _add_format(it: argparse.ArgumentParser, formats: Sequence[str] = FORMATS) -> None:
    it.add_argument("--format", choices=formats, default="table", help="how (default table)")
    it.add_argument(
        "--csv-style",
        metavar="STYLE",
        type=_several(CSV_STYLES, "style of CSV"),
        default=(),
        help="comma; semicolon, with decimal commas; mark, so that a spreadsheet knows UTF-8; "
        "semicolon,mark is both",
    )


def _add_quick_options(it: argparse.ArgumentParser) -> None:
    """Add what is asked of one athlete; a bare number is in the unit an option shows."""
    it.add_argument("--height", metavar="1.70m", help="how tall")
    it.add_argument("--cadence", metavar="4.1", help="steps a second that look right there")
    it.add_argument("--top-speed", metavar="8.2m/s", help="top speed, where it is known")
    it.add_argument(
        "--flying",
        metavar="20m/2.45s",
        help="a zone and its time by hand, entered after 30 m; /40m behind it: after 40 m",
    )
    it.add_argument(
        "--speed", metavar="95%", help=f"of top speed (default {100 * USUAL_SHARE:.0f}%%)"
    )
    length = it.add_mutually_exclusive_group()
    length.add_argument("--section", metavar="25m", help="first wicket to last, about")
    length.add_argument("--wickets", metavar="12", help="how many (default 12)")
    it.add_argument("--start", metavar="HOW", help="standing (default), walk-in or jog-in")
    it.add_argument("--sex", metavar="f|m", help="for the length of the leg")
    it.add_argument("--age", metavar="14", help="caps a guessed speed of the young")
    it.add_argument("--level", metavar="LEVEL", help="caps a guess: under-13 to national")
    it.add_argument("--name", metavar="NAME", help="who (default Athlete)")
    it.add_argument("--room", metavar="60m", help="free length, checked (default: not known)")
    it.add_argument("--unit", choices=("metric", "feet"), help="of the tape (default metric)")
    _add_format(it)
    it.add_argument("-o", "--output", metavar="FILE.pdf", type=_file, help="print the sheets too")
    _add_force(it)
    it.add_argument("--save", metavar="FILE.toml", type=_file, help="write the plan it stands for")
    it.set_defaults(only=None, all=False, paper="a4", athlete=None)


def _add_log_options(it: argparse.ArgumentParser) -> None:
    it.add_argument("--date", metavar="YYYY-MM-DD", help="only this day; of --add the day")
    _add_format(it, FORMATS[:3])
    it.add_argument(
        "--add",
        metavar="FILE",
        type=_file,
        help="add runs, a line an athlete: Wren 2.71 2.68 - 2.70* (- not timed, * wicket hit, "
        "! stumbled; 1.02+12, +12 or +5in over at the board); '-' is standard input",
    )
    it.add_argument("--sure", action="store_true", help="with --add, a time that is far off too")
    _add_timing_options(it)


def _add_which(it: argparse.ArgumentParser) -> None:
    which = it.add_mutually_exclusive_group()
    which.add_argument(
        "--only",
        metavar="SHEETS",
        type=_several((*SHEETS, AFTER)),
        help=f"some of {', '.join(SHEETS)}; or {AFTER}, the results of the log",
    )
    which.add_argument(
        "--all", action="store_true", help=f"also what explains: {', '.join(SHEETS[4:])}"
    )


def _add_review_options(it: argparse.ArgumentParser) -> None:
    it.add_argument("--athlete", metavar="NAME", help="whose time; of a whole day, only theirs")
    it.add_argument("--time", action="append", metavar="TIME", help="once for every run")
    it.add_argument(
        "--log", action="store_true", help="everybody's runs of the log: its last day, or --date"
    )
    it.add_argument(
        "--times",
        metavar="FILE.csv",
        type=_file,
        help="times of a table with the columns athlete and time, in any order; also run, date, "
        "timing, from, to, steps, touchdowns, fps, wind, note",
    )
    it.add_argument(
        "--leave",
        action="append",
        metavar="NAME",
        default=[],
        help="of a whole day, whose runs are noted only and change nothing; once for each",
    )
    it.add_argument("--skip-bad", action="store_true", help="leave bad rows of --times out")
    _add_format(it)
    _add_timing_options(it)
    it.add_argument(
        "--steps", type=_number, metavar="N", help="steps counted between the marks of a free run"
    )
    it.add_argument(
        "--touchdowns",
        metavar="FRAMES",
        default="",
        help="instead: frames of a video with --fps where the feet landed in a row, 12,34,56",
    )
    it.add_argument(
        "--date", metavar="YYYY-MM-DD", help="day of the runs; the plan's, or today, if left out"
    )
    it.add_argument("--sure", action="store_true", help="accept a time that is far off")
    it.add_argument(
        "--misses",
        metavar='"+12,-30,+5"',
        help="instead: misses at the board in cm, of a plan in feet in inches, run by run; + over, "
        "- short of the toe's place",
    )
    it.add_argument(
        "--slide",
        action="store_true",
        help="slide all marks of --athlete as their misses at the board ask for (with --accept)",
    )
    it.add_argument(
        "--keep-gaps",
        action="store_true",
        help="instead of a time: keep a notch of the gaps as the athlete's own (with --accept)",
    )
    it.add_argument(
        "--accept",
        action="store_true",
        help="write what is told, without it nothing is written: a time or misses to the athlete's "
        "record, of a whole day what is ready; the slide or the gaps kept to the plan",
    )


def _add_timing_options(it: argparse.ArgumentParser) -> None:
    it.add_argument("--timing", choices=("hand", "gates", "video"), default="hand")
    it.add_argument("--fps", type=_number, metavar="N", help="frames a second of a video")
    it.add_argument("--from", dest="from_mark", default=None, metavar="MARK")
    it.add_argument("--to", dest="to_mark", default=None, metavar="MARK")
    it.add_argument(
        "--at",
        metavar="EFFORT",
        default="",
        help="how hard it was, such as 98%%, of a day those that do not say; left out, what was "
        "asked, and it counts for less",
    )
    it.add_argument(
        "--wind",
        metavar="WIND",
        default="",
        help="along the run, a tail wind positive, such as +1.8m/s or --wind=-0.6m/s",
    )


def _file(text: str) -> str:
    if not text.strip():
        raise argparse.ArgumentTypeError("it is empty; give the name of a file")
    return text


def _number(text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = math.nan
    if not 0.0 < number < math.inf:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number above 0; write it such as 240")
    return number


def _count(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 60:
        raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from 1 to 60")
    return int(text)


def _several(known: tuple[str, ...], noun: str = "sheet") -> Callable[[str], tuple[str, ...]]:
    def read(text: str) -> tuple[str, ...]:
        names = tuple(name.strip() for name in text.split(",") if name.strip())
        for name in names:
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f"; did you mean {near[0]!r}?" if near else f"; there are {', '.join(known)}"
                raise argparse.ArgumentTypeError(f"{name!r} is no {noun}{hint}")
        if not names:
            raise argparse.ArgumentTypeError(f"name at least one {noun}")
        return names

    return read
