"""What the panes say, as text. Every number comes from what was solved and is only formatted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.export import reading_of
from wicketlay.export.tables import bare_length
from wicketlay.ground.tape import LINE
from wicketlay.lanes.closing import gap_shown_m, hurdles_of, run_on_shown_m, section_shown_m
from wicketlay.lanes.laying import handled
from wicketlay.units import (
    UnitSystem,
    format_cadence,
    format_count,
    format_length,
    format_speed,
    format_time,
)
from wicketlay.values import dataclass
from wicketlay.wording import told
from wicketlay.wording.names import (
    REMADE,
    cadence_seen,
    mark_name,
    room_text,
    shown_text,
    signed_move,
    signed_percent,
    speed_unit,
)
from wicketlay.wording.places import strip_text
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tui.bench.bench import Bench, Told
    from wicketlay.drills.marks import Mark
    from wicketlay.findings import Level
    from wicketlay.lanes.laying import Demand, Laying, Moved
    from wicketlay.solve import Solved

DASH = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkShown:
    """One mark in words, for one athlete; what is not known is ""."""

    id: str
    name: str
    label: str
    reading: str
    pull: str
    gap: str
    natural: str
    excess: str
    speed: str
    cadence: str
    foot: str


def marks_shown(solved: Solved, laying: Laying, demand: Demand | None) -> tuple[MarkShown, ...]:
    """Return the marks of a laying as one athlete meets them, in running order.

    Start marks of others on the same laying are left out.
    """
    unit = unit_of(solved.plan)
    shown = []
    for each in laying.placed.marks:
        mark = each.mark
        if mark.kind is MarkKind.START and demand is not None and mark.id != demand.start_id:
            continue
        shown.append(_mark_shown(laying, demand, mark, unit))
    return tuple(shown)


def _mark_shown(laying: Laying, demand: Demand | None, mark: Mark, unit: UnitSystem) -> MarkShown:
    read = reading_of(laying.tape, mark.id)
    # A laying tells of the middle athlete; how one comes to its marks, their own layout tells.
    alone = () if demand is None else demand.layout.marks
    own = next((each for each in alone if each.id == mark.id), mark)
    speed, natural, cadence = own.speed_mps, own.natural_gap_m, own.cadence_hz
    excess: float | None = None
    appraisal = None if demand is None else demand.appraisal
    if appraisal is not None and mark.id in appraisal.mark_ids:
        at = appraisal.mark_ids.index(mark.id)
        speed = float(appraisal.speed_mps[at])
        if at > 0:
            natural = float(appraisal.natural_gap_m[at - 1])
            cadence = float(appraisal.cadence_hz[at - 1])
            excess = float(appraisal.excess_share[at - 1])
    return MarkShown(
        id=mark.id,
        name=mark_name(mark.id),
        label=mark.label,
        reading="" if read is None else read[3],
        pull="" if read is None else str(read[0]),
        gap=shown_text(gap_shown_m(laying, mark.id), unit, bare=True),
        natural=bare_length(natural, unit),
        excess=signed_percent(excess),
        speed="" if speed is None else format_speed(speed, unit),
        cadence="" if cadence is None else format_cadence(cadence),
        foot="" if mark.foot is None else mark.foot.value,
    )


def table_row(shown: MarkShown) -> tuple[str, ...]:
    """Return the cells of a mark under `table_heads`, which has the units."""
    return (
        shown.name,
        shown.reading or DASH,
        shown.gap,
        shown.natural,
        shown.excess,
        shown.speed.partition(" ")[0],
        shown.cadence.partition(" ")[0],
        shown.foot,
    )


def table_heads(unit: UnitSystem) -> tuple[str, ...]:
    """Return the heads of the table with their units; `over` is the gap over the natural step."""
    reads = "reads m" if unit is UnitSystem.METRIC else "reads"
    speed, _ = speed_unit(unit)
    return ("mark", reads, "gap", "natural", "over", speed, "st/s", "foot")


# --- moved and held -----------------------------------------------------------------------------


def move_text(moved: Moved, unit: UnitSystem) -> str:
    """Return what happens to one mark."""
    name = mark_name(moved.mark_id)
    if moved.shown_m is None:
        done = REMADE if moved.remade else "taken up" if moved.taken_up else "new"
        return f"{name} {done}"
    return f"{name} {signed_move(moved.shown_m, unit)}"


def moves_text(moved: Sequence[Moved], unit: UnitSystem, width: int) -> str:
    """Return all moves, or the first and the last with their number where they do not fit."""
    texts = [move_text(each, unit) for each in moved]
    every = ", ".join(texts)
    if len(every) <= width or len(texts) < 3:
        return every
    count = format_count(handled(moved), "mark")
    shorter = (
        f"{count}: {texts[0]}, {texts[1]} … {texts[-1]}",
        f"{count}: {texts[0]} … {texts[-1]}",
    )
    return next((text for text in shorter if len(text) <= width), f"{count}: … {texts[-1]}")


def told_lines(told: Told, unit: UnitSystem, width: int) -> tuple[str, str]:
    """Return the two lines below the panes: what was done and moved, and what was held.

    Which marks lie still is left out where the second line has no room for it.
    """
    if told.refused or not told.text:
        return told.text, ""
    done = told.text
    if told.moved:
        done += " → " + moves_text(told.moved, unit, max(width - len(done) - 4, 20))
    elif told.anew:
        done += " → laid anew"
    elif told.still:
        done += " → no mark moved"
    if not told.moved or not told.still:
        return done, told.held
    still = f"lie still: {marks_text(told.still)}"
    both = f"{still}; {told.held}" if told.held else still
    return done, both if len(both) <= width or not told.held else told.held


def dealt(layings: Sequence[Laying]) -> str:
    """Return how many wickets of the bag stand on each lane, and which places are chalk."""
    told = []
    for laying in layings:
        wickets = laying.layout.of_kind(MarkKind.WICKET)
        hurdles = hurdles_of(laying.layout)
        chalk = [mark.id for mark in wickets[hurdles:]]
        more = f", chalk {marks_text(chalk)}" if chalk else ""
        where = strip_text(laying.placed.course, laying.lane)
        told.append(f"{where} takes {hurdles}{more}")
    return "; ".join(told)


def marks_text(ids: Sequence[str]) -> str:
    """Return marks by name, three and more that follow each other as one span: ``W1-W6``."""
    runs: list[list[str]] = []
    for mark_id in ids:
        if runs and _follows(runs[-1][-1], mark_id):
            runs[-1].append(mark_id)
        else:
            runs.append([mark_id])
    texts = []
    for run in runs:
        names = [mark_name(mark_id) for mark_id in run]
        texts.append(f"{names[0]}-{names[-1]}" if len(names) > 2 else ", ".join(names))
    return ", ".join(texts)


def _follows(before: str, after: str) -> bool:
    stem = before.rstrip("0123456789")
    number = before.removeprefix(stem)
    return number != "" and after == f"{stem}{int(number) + 1}"


# --- findings -----------------------------------------------------------------------------------


def findings_of(bench: Bench) -> tuple[tuple[Level, str], ...]:
    """Return what the checks say of the laying on view and of the plan, gravest first."""
    laying = bench.laying
    found = [*bench.solved.findings, *(laying.findings if laying is not None else ())]
    return told(found, unit_of(bench.solved.plan))


# --- the laying in words ------------------------------------------------------------------------


def run_on_texts(laying: Laying, demand: Demand, unit: UnitSystem) -> tuple[str, ...]:
    """Return the run-on of one athlete, from the longest wording to the shortest."""
    length_text = shown_text(run_on_shown_m(laying, demand.start_id), unit)
    named = f"run-on {length_text}"
    return f"{named}, {demand.run_on_steps} steps", named, length_text


def section_texts(laying: Laying, demand: Demand, unit: UnitSystem) -> tuple[str, ...]:
    """Return the section of one athlete, from the longest wording to the shortest."""
    length_text = shown_text(section_shown_m(laying, demand), unit)
    named = f"section {length_text}"
    return f"{named} in {format_time(demand.section_time_s)}", named, length_text


def slow_down_texts(laying: Laying, unit: UnitSystem) -> tuple[str, ...]:
    """Return the room to slow down, from the longest wording to the shortest."""
    layout = laying.layout
    wanted = room_text(layout.run_out_wanted_m, unit)
    named = f"slow-down {wanted}"
    least = room_text(laying.placed.run_out_least_m, unit)
    return f"{named}, at least {least}", named, wanted


def zero_line(laying: Laying, unit: UnitSystem) -> str:
    """Return where the tape's zero lies, from the first fixed point."""
    pulls = laying.tape.pulls
    zero = mark_name(pulls[0].zero_id) if pulls else "W1"
    points = laying.zero_points
    elsewhere = bool(pulls) and pulls[0].zero_id != laying.layout.datum.value
    if not points or elsewhere or pulls[0].zero_id == LINE:
        return f"0 of the tape at {zero}"
    point = points[0]
    side = "past" if point.beyond else "before"
    distance = format_length(laying.told_m(point), unit)
    return f"0 of the tape at {zero}, {distance} {side} {point.landmark.text}"


def basis_text(demand: Demand, unit: UnitSystem) -> str:
    """Return what the athlete's top speed is and rests on."""
    top = demand.runner.top_speed
    told = f"top speed {format_speed(top.value, unit)} ± {format_speed(top.sd, unit)} ({top.basis})"
    seen = cadence_seen(demand.athlete)
    if not seen or demand.appraisal is None:
        return told
    return f"{told}; asked {format_cadence(demand.cadence_hz)}, seen {seen}"


def place_texts(bench: Bench) -> tuple[str, ...]:
    """Return lane, wave, stage and athlete, from the longest wording to the shortest."""
    laying, solved, plan, name = bench.laying, bench.solved, bench.plan, bench.view.athlete
    if name is None:
        return ("nobody runs",)
    names = [a.name for a in plan.athletes]
    who = f"{name} ({names.index(name) + 1} of {len(names)})"
    if laying is None:
        why = "absent" if plan.adjustment(name).absent else "no layout"
        return f"{who} · {why}", f"{name} · {why}"
    slot = f"{strip_text(laying.placed.course, laying.lane)} · wave {laying.wave}"
    if plan.stages is None:
        return f"{slot} · {who}", f"{slot} · {name}"
    stage = f"{slot} · stage {laying.stage}"
    long = f"{stage} of {len(solved.stage_shares)}"
    return f"{long} · {who}", f"{long} · {name}", f"{stage} · {name}"


def why_empty(bench: Bench) -> str:
    """Return why there is nothing to show of the athlete on view, and what to do."""
    who = bench.view.athlete
    if who is None:
        return "nobody runs; add an athlete on the squad screen (2)"
    if bench.plan.adjustment(who).absent:
        return f"{who} is absent; x takes them back in, n goes to the next athlete"
    return f"no layout for {who}: the findings say why"
