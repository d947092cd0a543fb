"""What was solved as rows: CSV for programs, tables for the terminal."""

from __future__ import annotations

import csv
import io
import unicodedata
from itertools import pairwise
from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.errors import UsageError
from wicketlay.export.document import reading_of
from wicketlay.export.message import place_lines, zero_lines
from wicketlay.findings import Level, by_gravity
from wicketlay.lanes.closing import gap_shown_m, run_on_shown_m, section_shown_m, zone_ends
from wicketlay.review.reviewed import Doubt
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_count,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_time,
)
from wicketlay.wording import word
from wicketlay.wording.names import (
    cadence_seen,
    come_in_text,
    large_unit,
    mark_name,
    move_text,
    room_text,
    shown_text,
    signed_percent,
    small_text,
    speed_unit,
)
from wicketlay.wording.places import ground_text, lane_cell, place_parts
from wicketlay.wording.solved import told_of, unit_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from wicketlay.ground.placing import Place
    from wicketlay.review.review import Review
    from wicketlay.solve import Demand, Laying, Moved, Smaller, Solved

_COLUMNS = (
    *("status", "lane", "wave", "stage", "athletes"),
    *("mark", "kind", "pull", "reading", "gap", "natural", "speed", "cadence", "foot"),
    "figures of",
)
"""Those of the CSV; the terminal leaves out the first ones and the last, told in its own lines."""


def _rows(solved: Solved) -> Iterable[tuple[Laying, tuple[str, ...]]]:
    """Return a row a mark of everything that may be laid out, with the laying it is of."""
    unit = unit_of(solved.plan)
    for laying in solved.layings:
        if not solved.may_lay(laying):
            continue
        starts = {each.start_id: each.athlete.name for each in laying.demands}
        for mark in (each.mark for each in laying.placed.marks):
            read = reading_of(laying.tape, mark.id)
            row = (
                "lay",
                str(laying.lane),
                str(laying.wave),
                str(laying.stage),
                ", ".join(laying.athletes),
                mark.id.upper() if mark.kind is MarkKind.WICKET else mark.id,
                mark.kind.value,
                "" if read is None else str(read[0]),
                "" if read is None else read[3],
                shown_text(gap_shown_m(laying, mark.id), unit, bare=True),
                bare_length(mark.natural_gap_m, unit),
                "" if mark.speed_mps is None else _speed(mark.speed_mps, unit),
                "" if mark.cadence_hz is None else f"{mark.cadence_hz:.2f}",
                "" if mark.foot is None else mark.foot.value,
                starts.get(mark.id, laying.middle.athlete.name),
            )
            yield laying, row


CSV_STYLES = ("comma", "semicolon", "mark")


def as_csv(*solved: Solved, style: Collection[str] = ()) -> str:
    """Return one row a mark; text that a spreadsheet would run as a formula is quoted.

    What must not be laid out stands first, a row a stop with what is the matter, and has no
    readings. Several plans need one unit; each row then begins with the plan's title.

    Parameters
    ----------
    solved
        What was solved.
    style
        Of `CSV_STYLES`: "semicolon" between cells, with decimal commas; "mark" begins with the
        byte-order mark by which spreadsheets know UTF-8.

    Raises
    ------
    UsageError
        When plans are in different units.
    """
    unit = unit_of(solved[0].plan)
    if any(unit_of(each.plan) is not unit for each in solved):
        raise UsageError("some of the plans are in metres, some in feet; --unit makes them one")
    units = _units(unit)
    names = [f"{name} [{units[name]}]" if name in units else name for name in _COLUMNS]
    rows: list[list[str]] = []
    for each in solved:
        mine = [["STOP", *row] for row in _stop_rows(each)]
        mine += [[*row, ""] for _, row in _rows(each)]
        rows += mine if len(solved) == 1 else [[each.plan.title, *row] for row in mine]
    if "semicolon" in style and unit is UnitSystem.METRIC:
        figures = {i - len(names) - 1 for i, name in enumerate(_COLUMNS) if name in units}
        for cells in rows:
            for i in figures:
                cells[i] = cells[i].replace(".", ",")
    rows.sort(key=lambda cells: "STOP" not in cells[:2])
    head = [*(["plan"] if len(solved) > 1 else []), *names, "stop"]
    return csv_text([head, *(map(harmless, cells) for cells in rows)], style)


def csv_text(rows: Iterable[Iterable[str]], style: Collection[str]) -> str:
    """Return rows, the names of their columns first, as CSV in a style of `as_csv`."""
    out = io.StringIO()
    if "mark" in style:
        out.write("\ufeff")
    delimiter = ";" if "semicolon" in style else ","
    csv.writer(out, lineterminator="\n", delimiter=delimiter).writerows(rows)
    return out.getvalue()


def _stop_rows(solved: Solved) -> list[list[str]]:
    """Return where each stop applies and what it says, with nothing to lay between them."""
    unit = unit_of(solved.plan)
    nothing = [""] * (len(_COLUMNS) - 5)
    stopped = [("", "", "", f.athlete or "", f) for f in solved.findings if f.level is Level.STOP]
    stopped += [
        (str(laying.lane), str(laying.wave), str(laying.stage), ", ".join(laying.athletes), finding)
        for laying in solved.layings
        for finding in laying.findings
        if finding.level is Level.STOP
    ]
    return [[*where, *nothing, str(word(f, unit))] for *where, f in stopped]


def _speed(speed_mps: float, unit: UnitSystem) -> str:
    return format_speed(speed_mps, unit).partition(" ")[0]


def bare_length(length_m: float | None, unit: UnitSystem) -> str:
    """Return a length for a column: metres without the unit, nothing for None."""
    return "" if length_m is None else format_length(length_m, unit, bare=True)


def _units(unit: UnitSystem) -> dict[str, str]:
    """Return what the figures of each column are in."""
    length = "m" if unit is UnitSystem.METRIC else "ft in"
    lengths = dict.fromkeys(("reading", "gap", "natural"), length)
    return lengths | {"speed": speed_unit(unit)[0], "cadence": "steps/s"}


def harmless(cell: str) -> str:
    """Return a cell that no spreadsheet runs as a formula."""
    return f"'{cell}" if cell[:1] in {"=", "+", "-", "@", "\t", "\r"} else cell


def as_table(solved: Solved, most: int | None = None) -> str:
    """Return a table a laying for the terminal; stops before it all, the rest below.

    Columns that make it wider than `most` cells are left out.
    """
    parts: list[str] = []
    unit = unit_of(solved.plan)
    rows = list(_rows(solved))
    lines = told_of(solved)
    stops = [f"STOP: {text}" for level, text in lines if level is Level.STOP]
    if stops:
        parts += ["DO NOT LAY OUT", *stops, ""]
    units = _units(unit)
    heads = _COLUMNS[5:-1]
    below = tuple(units.get(name, "") for name in heads)
    for laying in solved.layings:
        parts.append(_heading(solved, laying))
        if not solved.may_lay(laying):
            parts += ["DO NOT LAY OUT: see above", ""]
            continue
        parts += [*place_lines(laying, unit), *zero_lines(laying, unit)]
        mine = [row[5:-1] for of, row in rows if of is laying]
        parts.append(columns(heads, mine, below, most))
        parts.append(_facts(laying, unit))
        parts.append("")
    parts += [f"{level.value}: {text}" for level, text in lines if level is not Level.STOP]
    return "\n".join(parts).rstrip() + "\n"


def _heading(solved: Solved, laying: Laying) -> str:
    stage = f", stage {laying.stage}" if solved.plan.stages is not None else ""
    names = ", ".join(laying.athletes)
    where = (ground_text(solved.plan.ground), *place_parts(laying))
    there = ", ".join(part for part in where if part)
    return f"{solved.plan.title}: {there}, wave {laying.wave}{stage}: {names}"


def _facts(laying: Laying, unit: UnitSystem) -> str:
    """Return the run in a line, of several athletes a line each and one of what is common."""
    room = []
    if laying.layout.slows_down:
        room.append(
            f"slow-down {room_text(laying.layout.run_out_wanted_m, unit)} wanted, "
            f"{room_text(laying.placed.run_out_least_m, unit)} at least"
        )
    tape = f"tape ± {small_text(laying.tape.error_mm, unit)}"
    if len(laying.demands) == 1:
        (demand,) = laying.demands
        return "; ".join([_run(laying, demand, unit), *room, *_sure(demand, unit), tape])
    lines = [
        f"{each.athlete.name}{f' ({mark_name(each.start_id)})' if each.letter else ''}: "
        f"{'; '.join([_run(laying, each, unit), *_sure(each, unit)])}"
        for each in laying.demands
    ]
    whose = f"speeds in the table are those of {laying.middle.athlete.name}"
    return "\n".join([*lines, "; ".join([*room, tape, whose])])


def _run(laying: Laying, demand: Demand, unit: UnitSystem) -> str:
    """Return the run of one athlete on the marks as they are laid.

    What is timed from the start mark has no run-on before it.
    """
    run_on = shown_text(run_on_shown_m(laying, demand.start_id), unit)
    section = shown_text(section_shown_m(laying, demand), unit)
    timed = f"{section} in {format_time(demand.section_time_s)}"
    whole = "" if demand.approach_steps is None else f"of {demand.approach_steps} "
    steps = f" in {demand.run_on_steps} {whole}steps" if whole or demand.run_on_steps > 1 else ""
    come = f"{come}, " if (come := come_in_text(demand, unit)) else ""
    from_start = zone_ends(laying, demand)[0].kind is MarkKind.START
    run = f"from START {timed}" if from_start else f"run-on {run_on}{steps}, section {timed}"
    return (
        f"{come}{run}, {_cadence(laying, demand)}, "
        f"builds to {format_speed(demand.layout.built_to_mps, unit)}"
    )


def _cadence(laying: Laying, demand: Demand) -> str:
    """Return the cadence that the gaps ask for, and what it were if they were not laid short."""
    asked = format_cadence(demand.cadence_hz)
    shares = [f.values["short_share"] for f in laying.findings if f.code == "gaps-laid-short"]
    if len(laying.demands) > 1 or not shares:
        return asked
    short = float(shares[0])
    plain = format_cadence(demand.cadence_hz * (1.0 - short), bare=True)
    return f"{asked} ({plain}, were gaps not laid {format_percent(short)} short)"


def _sure(demand: Demand, unit: UnitSystem) -> list[str]:
    """Return the error of an athlete's gaps, and the cadence that was seen of them."""
    sds = [mark.gap_sd_m for mark in demand.layout.marks if mark.gap_sd_m is not None]
    gaps = [f"gaps ± {format_move(max(sds), unit)} (one SD)"] if sds else []
    seen = cadence_seen(demand.athlete)
    return [*gaps, *([f"seen of {demand.athlete.name}: {seen}"] if seen else [])]


_WORDS = frozenset(
    {
        *("mark", "kind", "foot", "athlete", "start", "line", "direction", "landmark"),
        *("what", "marks", "runs", "timing", "flag", "note", "record"),
    }
)
"""Columns of words; the others are of numbers."""


def columns(
    names: Sequence[str],
    rows: Sequence[Sequence[str]],
    units: Sequence[str] | None = None,
    most: int | None = None,
) -> str:
    """Return rows as columns; numbers to the right, words to the left, unused columns left out.

    `units`, one a column, stand below the names. The last columns are left out, and named, where
    a line would be wider than `most` cells.
    """
    heads = [names] if units is None else [names, units]
    used = [i for i in range(len(names)) if any(row[i] for row in rows)]
    widths = {i: max(cells_of(row[i]) for row in (*heads, *rows)) for i in used}
    fitting = list(used)
    while most is not None and len(fitting) > 1 and sum(widths[i] + 2 for i in fitting) - 2 > most:
        fitting.pop()
    lines = []
    for row in (*heads, *rows):
        cells = []
        for i in fitting:
            fill = " " * (widths[i] - cells_of(row[i]))
            cells.append(row[i] + fill if names[i] in _WORDS else fill + row[i])
        lines.append("  ".join(cells).rstrip())
    if fitting != used:
        lines.append(f"too narrow for {', '.join(names[i] for i in used[len(fitting) :])}")
    return "\n".join(lines)


def cells_of(text: str) -> int:
    """Return how many cells of a terminal a text takes: two a wide character, none an accent."""
    if text.isascii():
        return len(text)
    seen = [each for each in text if unicodedata.category(each) not in {"Mn", "Me", "Cf"}]
    return sum(2 if unicodedata.east_asian_width(each) in {"W", "F"} else 1 for each in seen)


def as_stages(solved: Solved) -> str:
    """Return a table a lane and wave: readings stage by stage, a star where a mark moves.

    A stage that must not be laid gives none.
    """
    parts: list[str] = []
    slots = dict.fromkeys((laying.lane, laying.wave) for laying in solved.layings)
    for lane, wave in slots:
        series = [o for o in solved.layings if (o.lane, o.wave) == (lane, wave)]
        parts.append(
            f"{solved.plan.title}: {place_parts(series[0])[0]}, wave {wave}: "
            f"{', '.join(series[0].athletes)}"
        )
        shares = [format_percent(share) for share in solved.stage_shares]
        names = ("mark", *(f"{i}: {share}" for i, share in enumerate(shares, start=1)))
        rows = []
        for mark in series[0].layout.marks:
            cells = [mark_name(mark.id)]
            for laying in series:
                if not solved.may_lay(laying):
                    cells.append("- ")
                    continue
                read = reading_of(laying.tape, mark.id)
                moves = any(m.mark_id == mark.id for m in laying.followed)
                shown = "" if read is None else f"{_not_from_first(laying, mark.id)}{read[3]}"
                cells.append(f"{shown}{'*' if moves else ' '}")
            rows.append(cells)
        parts.append(columns(names, rows))
        parts += [
            f"to stage {each.stage}: {_to_stage(solved, before, each)}"
            for before, each in pairwise(series)
        ]
        parts.append("")
    return "\n".join(parts)


def _not_from_first(laying: Laying, mark_id: str) -> str:
    """Return what a reading is taken from where that is not the tape's first 0, "" where it is."""
    pull, _ = laying.tape.reading(mark_id)
    first = laying.tape.pulls[0].zero_id
    return "" if pull.zero_id == first else f"from {mark_name(pull.zero_id)} "


def _to_stage(solved: Solved, before: Laying, laying: Laying) -> str:
    """Return what moves from the stage before; nothing of one that must not be laid."""
    if not solved.may_lay(laying):
        return "DO NOT LAY OUT"
    if not solved.may_lay(before):
        return f"all laid anew, nothing lies there of stage {before.stage}"
    anew = "all laid anew: " if laying.laid_anew else ""
    return f"{anew}{moves_text(laying.followed, unit_of(solved.plan))}"


def as_sharing(solved: Solved) -> str:
    """Return who runs where, how far the shared gaps are from their own, and what moves."""
    unit = unit_of(solved.plan)
    seconds = float(solved.plan.judgement.seconds_per_mark)
    staged = solved.plan.stages is not None
    rows = []
    for laying in solved.layings:
        rows += [
            (
                lane_cell(laying.placed.course, laying.lane),
                str(laying.wave),
                str(laying.stage) if staged else "",
                (demand.letter or "-") if solved.may_lay(laying) else "DO NOT LAY",
                demand.athlete.name,
                shown_text(run_on_shown_m(laying, demand.start_id), unit, bare=True)
                if solved.may_lay(laying)
                else "-",
                "-" if demand.appraisal is None else signed_percent(demand.mismatch),
            )
            for demand in laying.demands
        ]
    names = ("lane", "wave", "stage", "start", "athlete", "run-on", "worst gap against natural")
    parts = [columns(names, rows)]
    parts += [
        f"{place_parts(laying)[0]}{f', stage {laying.stage}' if staged else ''}, "
        f"before wave {laying.wave}: "
        f"{_work(laying.handled, seconds)}; {moves_text(laying.moved, unit)}"
        for laying in solved.layings
        if laying.moved and solved.may_lay(laying)
    ]
    return "\n".join(parts) + "\n"


def moves_text(moves: Sequence[Moved], unit: UnitSystem) -> str:
    """Return what is moved: ``W7 forward 6 cm, W8 forward 9 cm``."""
    return ", ".join(move_text(each, unit) for each in moves) or "nothing moves"


def _work(marks: int, seconds: float) -> str:
    """Return how many marks are moved and how long it takes: ``12 marks, about 4 min``."""
    minutes = max(1, round(marks * seconds / 60))
    return f"{format_count(marks, 'mark')}, about {minutes} min"


def _instead(solved: Solved, smaller: Smaller | None) -> str:
    if smaller is None:
        slower = "lower the speed of the stages, or " if solved.plan.stages is not None else ""
        return f"{slower}use another ground"
    wickets = "" if smaller.wickets is None else f"take {smaller.wickets} wickets"
    share = smaller.speed_share
    speed = "" if share is None else f"run at {format_percent(share)} of top speed"
    return " and ".join(part for part in (wickets, speed) if part)


def as_places(
    solved: Solved, places: Sequence[tuple[Place, float]], smaller: Smaller | None = None
) -> str:
    """Return where a plan fits, best first, in the words a plan file takes.

    Where it fits nowhere, `smaller` is what would fit; None when nothing would.
    """
    unit = unit_of(solved.plan)
    if not places:
        return f"nowhere on this ground with the slow-down it wants; {_instead(solved, smaller)}\n"
    ground = solved.plan.ground
    rows = [
        (
            place.line or ground.lines[0],
            lane_cell(ground.course(place.line or ground.lines[0], place.lanes[0]), place.lanes[0]),
            place.direction.value,
            place.landmark or "-",
            place.mark or "-",
            format_length(place.offset_m, unit, bare=True),
            format_length(room, unit, places=1, bare=True),
        )
        for place, room in places
    ]
    length, _ = large_unit(unit)
    told = ("line", "lane", "direction", "landmark", "mark")
    names = (*told, f"offset, {length}", f"room, {length}")
    return columns(names, rows) + "\n"


def as_review(reviewed: Review, unit: UnitSystem) -> str:
    """Return what times say against what was expected, and what to tell the athlete."""
    if reviewed.doubt is Doubt.WRONG:
        return f"stop: {word(reviewed.sentence, unit)}\n"
    lines = [
        f"{reviewed.date.isoformat()}, "
        f"{mark_name(reviewed.from_mark)} to {mark_name(reviewed.to_mark)}: "
        f"{format_time(reviewed.mean_time.value)} ± {format_time(reviewed.mean_time.sd)}, "
        f"expected {format_time(reviewed.expected_time_s)}",
        f"speed {format_speed(reviewed.achieved_speed.value, unit)} "
        f"± {format_speed(reviewed.achieved_speed.sd, unit)}, "
        f"expected {format_speed(reviewed.expected_speed_mps, unit)}",
    ]
    seen = reviewed.achieved_cadence
    if seen is not None:
        asked = reviewed.expected_cadence_hz
        expected = "" if asked is None else f", expected {format_cadence(asked)}"
        lines.append(
            f"cadence {format_cadence(seen.value)} ± {format_cadence(seen.sd)} "
            f"({seen.basis}){expected}"
        )
    before, told = reviewed.top_speed_before, reviewed.top_speed_told
    held = told.value != reviewed.top_speed_proposed.value
    laid = format_speed(reviewed.top_speed_proposed.value, unit)
    lines.append(
        f"top speed {format_speed(before.value, unit)} ± {format_speed(before.sd, unit)}, "
        f"with this {format_speed(told.value, unit)} ± {format_speed(told.sd, unit)}"
        + (f"; marks are laid by {laid}" if held else "")
    )
    lines.append(f"say: {word(reviewed.sentence, unit)}")
    lines += [f"{f.level.value}: {word(f, unit)}" for f in by_gravity(reviewed.findings)]
    return "\n".join(lines) + "\n"
