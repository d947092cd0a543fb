"""What each command does. Heavy libraries are imported by the command that needs them."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from wicketlay.cli import CAUTIONS, FINE, STOPS
from wicketlay.cli.output import new_file, put_data, put_text, say, whole_file
from wicketlay.errors import UsageError
from wicketlay.findings import Level, by_gravity, worst

if TYPE_CHECKING:
    import argparse

    from wicketlay.plan import Plan
    from wicketlay.solve import Solved


def _solved(path: str, unit: str | None = None) -> Solved:
    from wicketlay.plan_file import load
    from wicketlay.solve import solve

    return solve(in_unit(load(Path(path)), unit))


def in_unit(plan: Plan, unit: str | None) -> Plan:
    """Return the plan with its tape read in `unit`, None leaving it as it is."""
    from wicketlay.ground.tape import Tick

    if unit is None or (unit == "metric") == plan.tape.tick.metric:
        return plan
    tick = Tick.CM_1 if unit == "metric" else Tick.HALF_INCH
    return replace(plan, tape=replace(plan.tape, tick=tick))


def _tell(solved: Solved, *, notes: bool = False) -> int:
    """Say stops and cautions on standard error and return the exit code they ask for."""
    from wicketlay.export import unit_of
    from wicketlay.wording import word

    said: set[str] = set()
    for finding in by_gravity(solved.all_findings):
        line = f"{finding.level.value}: {word(finding, unit_of(solved))}"
        if line not in said and (notes or finding.level is not Level.NOTE):
            said.add(line)
            say(line)
    return STOPS if worst(solved.all_findings) is Level.STOP else FINE


def run_open(arguments: argparse.Namespace) -> int:
    """Open the workbench; say at once when there is no terminal for it."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        plan = arguments.plan or "PLAN"
        raise UsageError(
            f"the workbench needs a terminal; 'wicketlay sheet {plan}' prints without one"
        )
    from tui import run

    return run(Path(arguments.plan) if arguments.plan else None)


def run_sheet(arguments: argparse.Namespace) -> int:
    """Write the sheets of a plan as a PDF."""
    solved = _solved(arguments.plan, arguments.unit)
    if arguments.athlete is not None:
        _require_athlete(solved.plan, arguments.athlete)
    from wicketlay.sheets import make_pages, write_pdf

    document = make_pages(
        solved,
        only=arguments.only,
        paper=arguments.paper,
        athlete=arguments.athlete,
    )
    progress = _progress()
    if arguments.output == "-":
        sys.stdout.flush()
        write_pdf(document, sys.stdout.buffer, progress=progress)
        sys.stdout.buffer.flush()
    else:
        target = Path(arguments.output or Path(arguments.plan).with_suffix(".pdf").name)
        with whole_file(target, replaces=b"%PDF") as stream:
            write_pdf(document, stream, progress=progress)
        say(f"{target}: {len(document.pages)} pages")
    for finding in document.findings:
        from wicketlay.wording import word

        say(f"{finding.level.value}: {word(finding)}")
    return _tell(solved)


def _progress() -> object:
    """Return a function that shows the page being drawn, on a terminal and for big jobs only."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        if total < 50:
            return
        end = "\n" if done == total else ""
        sys.stderr.write(f"\rpage {done} of {total}{end}")
        sys.stderr.flush()

    return show


def run_marks(arguments: argparse.Namespace) -> int:
    """List the marks of a plan."""
    from wicketlay import export

    solved = _solved(arguments.plan, arguments.unit)
    match arguments.format:
        case "json":
            put_data(export.as_json(solved))
        case "csv":
            put_data(export.as_csv(solved))
        case "text":
            put_text(export.as_text(solved))
        case _:
            put_text(export.as_table(solved))
    if arguments.format == "table":
        return STOPS if worst(solved.all_findings) is Level.STOP else FINE
    return _tell(solved)


def run_check(arguments: argparse.Namespace) -> int:
    """Check plans; every file is checked, the gravest result is the exit code."""
    from wicketlay.errors import WicketlayError

    gravest = FINE
    rank = (STOPS, CAUTIONS)
    for path in arguments.plans:
        try:
            solved = _solved(path)
        except WicketlayError as error:
            say(f"wicketlay: {error}")
            gravest = max(gravest, error.exit_code)
            continue
        code = _tell(solved, notes=True)
        found = worst(solved.all_findings)
        if code == FINE and arguments.strict and found is Level.CAUTION:
            code = CAUTIONS
        put_text(f"{path}: {_verdict(solved)}\n")
        if gravest in {FINE, *rank}:
            gravest = max(gravest, code)
    return gravest


def _verdict(solved: Solved) -> str:
    counts = [
        f"{count} {level.value}{'s' if count > 1 else ''}"
        for level in Level
        if (count := sum(f.level is level for f in solved.all_findings))
    ]
    marks = sum(len(laying.layout.marks) for laying in solved.layings)
    layings = len(solved.layings)
    return (
        f"{layings} laying{'s' if layings != 1 else ''}, {marks} marks; "
        f"{', '.join(counts) or 'nothing found'}"
    )


def _require_athlete(plan: Plan, name: str) -> None:
    import difflib

    names = [athlete.name for athlete in plan.athletes]
    if name not in names:
        near = difflib.get_close_matches(name, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names)}"
        raise UsageError(f"no athlete {name!r} in the plan; {hint}")


def run_new(arguments: argparse.Namespace) -> int:
    """Write the starter plan to a new file."""
    from wicketlay.starter import starter_text

    target = Path(arguments.file)
    if target.suffix != ".toml":
        raise UsageError(f"{target} should end in .toml, for example {target.stem}.toml")
    new_file(target, starter_text())
    say(f"{target}: open it in an editor, then 'wicketlay sheet {target}' prints it")
    return FINE


def run_sources(arguments: argparse.Namespace) -> int:
    """List every constant with its value, unit, basis and source."""
    del arguments
    from wicketlay.sources import catalogue

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
