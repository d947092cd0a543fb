"""What was solved, as a table for people, CSV, a text message, or versioned JSON."""

from __future__ import annotations

import csv
import io
import json
import math
from importlib import resources
from typing import TYPE_CHECKING, Any

from wicketlay.drills.marks import MarkKind
from wicketlay.findings import by_gravity
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_length,
    format_move,
    format_percent,
    format_speed,
    format_ticks,
    format_time,
)
from wicketlay.wording import word
from wicketlay.wording.cautions import CAUTIONS, FOR_THE_ASSISTANT

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wicketlay.findings import Finding
    from wicketlay.ground.placing import Placed, PlacedMark
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.estimates import Estimate
    from wicketlay.solve import Demand, Laying, Moved, Solved

SCHEMA_VERSION = 1
"""Version of the JSON; raised whenever a reader of the old one would misread the new."""

_DECIMALS = 4  # 0.1 mm, 0.1 mm/s: finer than anything that is measured, coarser than float noise


def schema() -> dict[str, Any]:
    """Return the JSON schema that `document` keeps to."""
    text = resources.files("wicketlay.schema").joinpath("solved.v1.schema.json").read_text("utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def unit_of(solved: Solved) -> UnitSystem:
    """Return the unit that the plan's tape is read in."""
    return UnitSystem.METRIC if solved.plan.tape.tick.metric else UnitSystem.FEET


# --- JSON ---------------------------------------------------------------------------------------


def as_json(solved: Solved) -> str:
    """Return `document` as text, with null for what is not known and never NaN."""
    return json.dumps(document(solved), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def document(solved: Solved) -> dict[str, Any]:
    """Return everything that was solved as plain data; the schema is `schema()`."""
    plan = solved.plan
    unit = unit_of(solved)
    return {
        "format": SCHEMA_VERSION,
        "plan": {
            "title": plan.title,
            "drill": plan.drill_kind,
            "athletes": [athlete.name for athlete in plan.athletes],
            "speed_share": _number(plan.drill.speed_share),
            "stage_shares": [_number(share) for share in solved.stage_shares],
        },
        "unit": unit.value,
        "layings": [_laying(laying, unit) for laying in solved.layings],
        "tape": {
            "zero": plan.tape.zero,
            "length_m": _number(plan.tape.length_m),
            "round": plan.tape.tick.value,
            "class": plan.tape.tape_class.value,
            "error_mm": _number(
                max((laying.tape.error_mm for laying in solved.layings), default=None), 1
            ),
        },
        "frame": _frame(solved),
        "findings": [_finding(f, unit) for f in by_gravity(solved.findings)],
        "session": _session(solved),
        "cautions": list(CAUTIONS),
    }


def _frame(solved: Solved) -> dict[str, Any]:
    plan = solved.plan
    return {
        "ground": plan.ground.name,
        "lanes": list(plan.place.lanes),
        "axes": "x and y in metres in the ground's own frame; heading counter-clockwise from +x",
    }


def _session(solved: Solved) -> dict[str, Any]:
    session = solved.plan.session
    return {
        "efforts": session.efforts,
        "recovery_s": _number(session.recovery_s),
        "waves": max((laying.wave for laying in solved.layings), default=None),
        "length_s": _number(session.length_s),
    }


def _laying(laying: Laying, unit: UnitSystem) -> dict[str, Any]:
    layout = laying.layout
    moved = {m.mark_id: m.by_m for m in laying.moved}
    return {
        "lane": laying.lane,
        "wave": laying.wave,
        "stage": laying.stage,
        "athletes": list(laying.athletes),
        "drill": layout.drill,
        "datum": layout.datum.value,
        "line": laying.placed.line,
        "direction": laying.placed.direction,
        "run_on_m": _number(layout.run_on_m),
        "run_on_steps": layout.run_on_steps,
        "section_m": _number(layout.section_m),
        "section_time_s": _number(layout.section_time_s),
        "cadence_hz": _number(layout.cadence_hz),
        "run_out_wanted_m": _number(layout.run_out_wanted_m),
        "run_out_least_m": _number(layout.run_out_least_m),
        "run_out_room_m": _number(laying.placed.run_out_room_m),
        "marks": [_mark(each, laying.tape, moved) for each in laying.placed.marks],
        "demands": [_demand(demand) for demand in laying.demands],
        "tape": _tape(laying.tape),
        "landmarks": [
            {
                "key": point.landmark.key,
                "text": point.landmark.text,
                "distance_m": _number(point.distance_m),
                "zero_is": "beyond" if point.beyond else "before",
            }
            for point in laying.placed.fixed_points
        ],
        "defaults": {key: _value(value) for key, value in layout.defaults.items()},
        "moves": [_move(m) for m in laying.moved],
        "laid_anew": laying.laid_anew,
        "findings": [_finding(f, unit) for f in by_gravity(laying.findings)],
    }


def _mark(
    each: PlacedMark, tape: TapeSheet, moved: Mapping[str, float | None]
) -> dict[str, Any]:
    mark = each.mark
    read = reading_of(tape, mark.id)
    return {
        "id": mark.id,
        "kind": mark.kind.value,
        "label": mark.label,
        "along_m": _number(mark.along_m),
        "chainage_m": _number(each.chainage_m),
        "reading_m": None if read is None else _number(read[1] * read[2]),
        "shown": None if read is None else read[3],
        "pull": None if read is None else read[0],
        "gap_m": _number(mark.gap_m),
        "gap_sd_m": _number(mark.gap_sd_m),
        "natural_gap_m": _number(mark.natural_gap_m),
        "speed_mps": _number(mark.speed_mps),
        "cadence_hz": _number(mark.cadence_hz),
        "time_s": _number(mark.time_s),
        "foot": None if mark.foot is None else mark.foot.value,
        "moved_m": _number(moved.get(mark.id)),
        "x_m": _number(each.pose.x_m),
        "y_m": _number(each.pose.y_m),
        "heading_deg": _number(math.degrees(each.pose.heading_rad)),
    }


def reading_of(tape: TapeSheet, mark_id: str) -> tuple[int, int, float, str] | None:
    """Return (pull, ticks, tick [m], shown) of a mark's first reading, None when not read."""
    try:
        pull, reading = tape.reading(mark_id)
    except KeyError:
        return None
    shown = format_ticks(reading.ticks, reading.tick.value)
    return pull.number, reading.ticks, reading.tick.metres, shown


def _tape(tape: TapeSheet) -> dict[str, Any]:
    return {
        "error_mm": _number(tape.error_mm, 1),
        "pulls": [
            {
                "number": pull.number,
                "zero": pull.zero_id,
                "direction": pull.direction.value,
                "readings": [
                    {
                        "mark": reading.mark_id,
                        "ticks": reading.ticks,
                        "shown": format_ticks(reading.ticks, reading.tick.value),
                        "true_m": _number(reading.true_m),
                        "error_mm": _number(reading.error_mm, 1),
                    }
                    for reading in pull.readings
                ],
            }
            for pull in tape.pulls
        ],
    }


def _demand(demand: Demand) -> dict[str, Any]:
    runner = demand.runner
    return {
        "athlete": demand.athlete.name,
        "start": demand.start_id,
        "letter": demand.letter,
        "run_on_m": _number(demand.run_on_m),
        "run_on_steps": demand.run_on_steps,
        "front_foot": None if demand.front_foot is None else demand.front_foot.value,
        "provisional": runner.provisional,
        "top_speed_mps": _estimate(runner.top_speed),
        "time_constant_s": _estimate(runner.time_constant),
        "leg_m": _estimate(runner.gait.leg),
        "top_step_m": _estimate(runner.gait.top_step),
        "top_cadence_hz": _estimate(runner.gait.top_cadence),
        "worst_excess_share": _number(demand.mismatch),
        "appraisal": None if demand.appraisal is None else _appraisal(demand.appraisal),
        "defaults": {key: _value(value) for key, value in runner.defaults.items()},
    }


def _appraisal(appraisal: Appraisal) -> dict[str, Any]:
    return {
        "natural_cadence_hz": _number(appraisal.natural_cadence_hz),
        "marks": list(appraisal.mark_ids),
        "speed_mps": [_number(v) for v in appraisal.speed_mps.tolist()],
        "time_s": [_number(v) for v in appraisal.time_s.tolist()],
        "natural_gap_m": [_number(v) for v in appraisal.natural_gap_m.tolist()],
        "cadence_hz": [_number(v) for v in appraisal.cadence_hz.tolist()],
        "excess_share": [_number(v) for v in appraisal.excess_share.tolist()],
    }


def _estimate(estimate: Estimate) -> dict[str, Any]:
    return {
        "value": _number(estimate.value),
        "sd": _number(estimate.sd),
        "basis": estimate.basis,
    }


def _finding(finding: Finding, unit: UnitSystem) -> dict[str, Any]:
    phrase = word(finding, unit)
    return {
        "level": finding.level.value,
        "code": finding.code,
        "athlete": finding.athlete,
        "mark": finding.mark,
        "lane": finding.lane,
        "wave": finding.wave,
        "stage": finding.stage,
        "values": {key: _value(value) for key, value in finding.values.items()},
        "text": phrase.text,
        "remedy": phrase.remedy,
    }


def _move(moved: Moved) -> dict[str, Any]:
    return {"mark": moved.mark_id, "by_m": _number(moved.by_m), "taken_up": moved.taken_up}


def _number(value: float | None, decimals: int = _DECIMALS) -> float | None:
    """Return a JSON number without float noise; None and what is not finite become null."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0


def _value(value: float | int | str | bool) -> float | int | str | bool | None:
    return _number(value) if isinstance(value, float) else value


# --- rows for people ----------------------------------------------------------------------------

_COLUMNS = (
    "lane",
    "wave",
    "stage",
    "athletes",
    "mark",
    "kind",
    "pull",
    "reading",
    "gap",
    "natural",
    "speed",
    "cadence",
    "foot",
)


def _rows(solved: Solved) -> Iterable[tuple[Laying, PlacedMark, tuple[str, ...]]]:
    unit = unit_of(solved)
    for laying in solved.layings:
        for each in laying.placed.marks:
            mark = each.mark
            read = reading_of(laying.tape, mark.id)
            yield (
                laying,
                each,
                (
                    str(laying.lane),
                    str(laying.wave),
                    str(laying.stage),
                    ", ".join(laying.athletes),
                    mark.id.upper() if mark.kind is MarkKind.WICKET else mark.id,
                    mark.kind.value,
                    "" if read is None else str(read[0]),
                    "" if read is None else read[3],
                    _length(mark.gap_m, unit),
                    _length(mark.natural_gap_m, unit),
                    "" if mark.speed_mps is None else f"{mark.speed_mps:.2f}",
                    "" if mark.cadence_hz is None else f"{mark.cadence_hz:.2f}",
                    "" if mark.foot is None else mark.foot.value,
                ),
            )


def _length(value: float | None, unit: UnitSystem) -> str:
    return "" if value is None else format_length(value, unit, bare=True)


def as_csv(solved: Solved) -> str:
    """Return one row a mark; text that a spreadsheet would run as a formula is quoted."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for _, _, row in _rows(solved):
        writer.writerow([_harmless(cell) for cell in row])
    return out.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell[:1] in {"=", "+", "-", "@", "\t", "\r"} else cell


def as_table(solved: Solved) -> str:
    """Return a table a laying for the terminal, with what the checks say below it."""
    parts: list[str] = []
    unit = unit_of(solved)
    rows = list(_rows(solved))
    for laying in solved.layings:
        mine = [row[4:] for of, _, row in rows if of is laying]
        parts.append(_heading(solved, laying))
        parts.append(_columns(("mark", *_COLUMNS[5:]), mine))
        parts.append(_facts(laying, unit))
        parts += [f"{f.level.value}: {word(f, unit)}" for f in by_gravity(laying.findings)]
        parts.append("")
    parts += [f"{f.level.value}: {word(f, unit)}" for f in by_gravity(solved.findings)]
    return "\n".join(parts).rstrip() + "\n"


def _heading(solved: Solved, laying: Laying) -> str:
    stage = f", stage {laying.stage}" if solved.plan.stages is not None else ""
    names = ", ".join(laying.athletes)
    return (
        f"{solved.plan.title}: lane {laying.lane}, {laying.placed.line_text}, "
        f"wave {laying.wave}{stage}: {names}"
    )


def _facts(laying: Laying, unit: UnitSystem) -> str:
    layout = laying.layout
    return (
        f"run-on {format_length(layout.run_on_m, unit)} in {layout.run_on_steps} steps, "
        f"section {format_length(layout.section_m, unit)} in "
        f"{format_time(layout.section_time_s)}, {format_cadence(layout.cadence_hz)}, "
        f"builds to {format_speed(layout.built_to_mps)}; "
        f"slow-down {format_length(layout.run_out_wanted_m, unit, places=0)} wanted, "
        f"{format_length(layout.run_out_least_m, unit, places=0)} at least; "
        f"tape ± {laying.tape.error_mm:.0f} mm"
    )


def _columns(names: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return rows as columns; numbers to the right, words to the left, unused columns left out."""
    used = [i for i in range(len(names)) if any(row[i] for row in rows)]
    widths = [max(len(names[i]), *(len(row[i]) for row in rows)) for i in used]
    words = {"mark", "kind", "foot", "athlete", "start"}
    lines = []
    for row in (names, *rows):
        cells = (
            row[i].ljust(w) if names[i] in words else row[i].rjust(w)
            for i, w in zip(used, widths, strict=True)
        )
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


# --- a text message -----------------------------------------------------------------------------


def as_text(solved: Solved) -> str:
    """Return the tape sheet as short lines for a phone message, with the same checks."""
    unit = unit_of(solved)
    parts: list[str] = []
    for laying in solved.layings:
        parts += _message(solved, laying, unit)
        parts.append("")
    parts += FOR_THE_ASSISTANT
    return "\n".join(parts) + "\n"


def _message(solved: Solved, laying: Laying, unit: UnitSystem) -> list[str]:
    stops = [f for f in laying.findings if f.level == "stop"]
    where = f"LANE {laying.lane} {laying.placed.line_text.upper()} WAVE {laying.wave}"
    if solved.plan.stages is not None:
        where += f" STAGE {laying.stage}"
    lines = [solved.plan.title, where, ", ".join(laying.athletes)]
    if stops:
        return [*lines, "DO NOT LAY OUT", *(str(word(f, unit)) for f in stops)]
    lines += zero_lines(laying.placed, laying.tape, unit)
    for pull in laying.tape.pulls:
        lines.append(f"PULL {pull.number}: 0 at {mark_name(pull.zero_id)}, {pull.direction.value}")
        lines += [
            f"{mark_name(r.mark_id)} {format_ticks(r.ticks, r.tick.value)}" for r in pull.readings
        ]
    check = closing_check(laying)
    if check is not None:
        first, last, length = check
        lines.append(f"CHECK {first} to {last} = {_length(length, unit)}")
    lines.append(
        f"SLOW-DOWN {format_length(laying.layout.run_out_wanted_m, unit, places=0)} past "
        f"{mark_name(laying.placed.marks[-1].mark.id)}"
    )
    if laying.moved:
        lines += [
            f"MOVE {mark_name(m.mark_id)} {format_move(m.by_m, unit)}"
            for m in laying.moved
            if m.by_m is not None
        ]
    return lines


def mark_name(mark_id: str) -> str:
    """Return a mark as it is called on the ground: ``W7``, ``START A``, ``THE LINE``."""
    if mark_id == "line":
        return "THE LINE"
    return mark_id.replace("-", " ").upper()


def zero_lines(placed: Placed, tape: TapeSheet, unit: UnitSystem) -> list[str]:
    """Return where the tape's zero lies, told from up to two fixed points."""
    zero = mark_name(tape.pulls[0].zero_id) if tape.pulls else "ZERO"
    lines = []
    for point in placed.fixed_points:
        side = "past" if point.beyond else "before"
        lines.append(
            f"0 = {zero}, {format_length(point.distance_m, unit)} {side} {point.landmark.text}"
        )
    return lines


def closing_check(laying: Laying) -> tuple[str, str, float] | None:
    """Return two wickets about five gaps apart and their true distance [m], None if too few.

    A distance between two marks that no single reading shows: it finds a wrong row.
    """
    wickets = laying.layout.of_kind(MarkKind.WICKET)
    if len(wickets) < 3:
        return None
    last = min(len(wickets), max(3, 2 * len(wickets) // 3 + 1))
    first = max(1, last - 5)
    one, other = wickets[first - 1], wickets[last - 1]
    return one.id.upper(), other.id.upper(), float(other.along_m - one.along_m)


# --- stages and sharing -------------------------------------------------------------------------


def as_stages(solved: Solved) -> str:
    """Return a table a lane and wave: readings stage by stage, a star where a mark moves."""
    unit = unit_of(solved)
    parts: list[str] = []
    slots = dict.fromkeys((laying.lane, laying.wave) for laying in solved.layings)
    for lane, wave in slots:
        series = [o for o in solved.layings if (o.lane, o.wave) == (lane, wave)]
        parts.append(
            f"{solved.plan.title}: lane {lane}, wave {wave}: {', '.join(series[0].athletes)}"
        )
        shares = [format_percent(share) for share in solved.stage_shares]
        names = ("mark", *(f"{i}: {share}" for i, share in enumerate(shares, start=1)))
        rows = []
        for mark in series[0].layout.marks:
            cells = [mark_name(mark.id)]
            for laying in series:
                read = reading_of(laying.tape, mark.id)
                moves = any(m.mark_id == mark.id for m in laying.moved)
                cells.append(f"{'' if read is None else read[3]}{'*' if moves else ' '}")
            rows.append(cells)
        parts.append(_columns(names, rows))
        for laying in series[1:]:
            parts.append(f"to stage {laying.stage}: {moves_text(laying, unit)}")
        parts.append("")
    return "\n".join(parts)


def moves_text(laying: Laying, unit: UnitSystem) -> str:
    """Return what is moved for a laying: ``W7 forward 6 cm, W8 forward 9 cm``."""
    if not laying.moved:
        return "nothing moves"
    told = ", ".join(move_text(m, unit) for m in laying.moved)
    return f"all laid anew: {told}" if laying.laid_anew else told


def move_text(moved: Moved, unit: UnitSystem) -> str:
    """Return one move: ``W7 forward 6 cm``."""
    name = mark_name(moved.mark_id)
    if moved.by_m is None:
        return f"{name} {'taken up' if moved.taken_up else 'laid'}"
    side = "forward" if moved.by_m > 0 else "back"
    return f"{name} {side} {format_move(abs(moved.by_m), unit)}"


def signed_percent(share: float) -> str:
    """Return a share as ``+1.1 %``, ``-3.5 %`` or ``0 %``."""
    text = format_percent(abs(share))
    if text == format_percent(0.0):
        return text
    return f"{'+' if share > 0 else '-'}{text}"


def as_sharing(solved: Solved) -> str:
    """Return who runs where, how far the shared gaps are from their own, and what moves."""
    unit = unit_of(solved)
    seconds = float(solved.plan.judgement.seconds_per_mark)
    rows = []
    for laying in solved.layings:
        rows += [
            (
                str(laying.lane),
                str(laying.wave),
                demand.letter or "-",
                demand.athlete.name,
                format_length(demand.run_on_m, unit, bare=True),
                signed_percent(demand.mismatch),
            )
            for demand in laying.demands
        ]
    parts = [
        _columns(("lane", "wave", "start", "athlete", "run-on", "worst gap against natural"), rows)
    ]
    for laying in solved.layings:
        if laying.moved:
            parts.append(
                f"lane {laying.lane}, before wave {laying.wave}: {len(laying.moved)} marks, about "
                f"{len(laying.moved) * seconds / 60:.0f} min; {moves_text(laying, unit)}"
            )
    return "\n".join(parts) + "\n"
