"""The log and what a day of it says: tables for people, CSV, JSON, a line to send."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from wicketlay.after_practice import State
from wicketlay.export.document import json_text, report
from wicketlay.export.tables import columns, csv_text, harmless
from wicketlay.session.log import What
from wicketlay.units import UnitSystem, format_count, format_time
from wicketlay.wording.names import mark_name
from wicketlay.wording.runs import (
    RESULT_UNITS,
    RESULTS,
    entry_text,
    notes,
    result_row,
    runs_text,
    sentence,
    sentence_now,
    time_text,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from datetime import date

    from wicketlay.after_practice import Outcome
    from wicketlay.session.log import Entry

_LOG = (
    "entry",
    "date",
    "clock",
    "what",
    "athlete",
    "run",
    "lane",
    "wave",
    "stage",
    "time",
    "timing",
    "from",
    "to",
    "zone",
    "run-on",
    "asked",
    "steps",
    "touchdowns",
    "fps",
    "miss",
    "wind",
    "effort",
    "flag",
    "note",
)
_UNITS = {
    "time": "s",
    "zone": "m",
    "run-on": "m",
    "asked": "%",
    "fps": "1/s",
    "miss": "cm",
    "wind": "m/s",
    "effort": "%",
}


# --- the log ----------------------------------------------------------------------------------


def _log_row(entry: Entry) -> tuple[str, ...]:
    run = entry.what is What.RUN
    values = (
        entry.number,
        entry.day.isoformat(),
        entry.clock,
        "run" if run else entry_text(entry),
        entry.athlete,
        entry.run,
        entry.lane,
        entry.wave,
        entry.stage,
        "/".join(map(time_text, entry.times_s)),
        entry.timing,
        mark_name(entry.from_mark) if entry.from_mark else None,
        mark_name(entry.to_mark) if entry.to_mark else None,
        None if entry.zone_m is None else f"{entry.zone_m:.2f}",
        None if entry.run_on_m is None else f"{entry.run_on_m:.2f}",
        None if entry.asked_share is None else f"{entry.asked_share * 100:.4g}",
        entry.steps,
        " ".join(map(str, entry.touchdowns)),
        entry.fps,
        None if entry.miss_m is None else f"{entry.miss_m * 100:+.0f}",
        None if entry.wind_mps is None else f"{entry.wind_mps:+.1f}",
        None if entry.effort_share is None else round(entry.effort_share * 100),
        entry.flag,
        entry.note,
    )
    return tuple("" if value is None else str(value) for value in values)


def log_table(entries: Sequence[Entry], *, lanes: bool = True) -> str:
    """Return what stands of the log as a table a day, on which lane it was where there are any."""
    parts = []
    for day in sorted({entry.day for entry in entries}):
        own = [entry for entry in entries if entry.day == day]
        runs = [entry for entry in own if entry.what is What.RUN]
        who = {entry.athlete for entry in runs}
        parts.append(
            f"{day.isoformat()}: {format_count(len(runs), 'run')} of "
            f"{format_count(len(who), 'athlete')}"
        )
        told = own if lanes else [replace(entry, lane=None) for entry in own]
        rows = [(row[0], *row[2:]) for row in map(_log_row, told)]
        names = (_LOG[0], *_LOG[2:])
        parts += [columns(names, rows, [_UNITS.get(name, "") for name in names]), ""]
    return "\n".join(parts).rstrip() + "\n" if parts else "the log is empty\n"


def log_csv(entries: Iterable[Entry], style: Collection[str] = ()) -> str:
    """Return what stands of the log as CSV with units in its heads, in a style of `as_csv`."""
    heads = {
        "time": "time_s",
        "zone": "zone_m",
        "run-on": "run_on_m",
        "asked": "asked_percent",
        "miss": "miss_cm",
        "wind": "wind_mps",
        "effort": "effort_percent",
    }
    return _csv([heads.get(name, name) for name in _LOG], map(_log_row, entries), style)


def _csv(heads: Sequence[str], rows: Iterable[Sequence[str]], style: Collection[str]) -> str:
    point = "," if "semicolon" in style else "."

    def told(cell: str) -> str:
        # a wind or a change with its sign is a number, and no formula
        number = cell.lstrip("+-").replace(".", "", 1).isdecimal()
        return cell.replace(".", point) if number else harmless(cell)

    return csv_text([heads, *(map(told, row) for row in rows)], style)


def log_json(entries: Iterable[Entry]) -> str:
    """Return what stands of the log as JSON, in SI."""
    return json_text(report(entries=[_entry(each) for each in entries]))


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "entry": entry.number,
        "replaces": entry.replaces,
        "date": entry.day.isoformat(),
        "clock": None if entry.clock is None else entry.clock.isoformat(),
        "at_s": entry.at_s,
        "what": entry.what.value,
        "athlete": entry.athlete or None,
        "run": entry.run,
        "lane": entry.lane,
        "wave": entry.wave,
        "stage": entry.stage,
        "times_s": list(entry.times_s),
        "timing": None if entry.timing is None else entry.timing.value,
        "fps": entry.fps,
        "from": entry.from_mark or None,
        "to": entry.to_mark or None,
        "zone_m": entry.zone_m,
        "run_on_m": entry.run_on_m,
        "asked_share": entry.asked_share,
        "moving_mps": entry.moving_mps,
        "steps": entry.steps,
        "touchdowns": list(entry.touchdowns),
        "miss_m": entry.miss_m,
        "slide_m": entry.slide_m,
        "wind_mps": entry.wind_mps,
        "effort_share": entry.effort_share,
        "flag": None if entry.flag is None else entry.flag.value,
        "other": entry.other or None,
        "due_s": entry.due_s,
        "note": entry.note or None,
    }


# --- after practice ---------------------------------------------------------------------------


def results_table(found: Sequence[Outcome], day: date, unit: UnitSystem) -> str:
    """Return a day for the terminal: the results, then what to say and what to look at."""
    if not found:
        return f"nobody ran on {day.isoformat()}\n"
    parts = [
        day.isoformat(),
        columns(RESULTS, [result_row(each, unit) for each in found], RESULT_UNITS),
        "",
        *(f"{each.athlete}: {sentence_now(each, unit)}" for each in found),
        *notes(found, unit),
    ]
    return "\n".join(parts) + "\n"


def results_text(found: Iterable[Outcome], unit: UnitSystem) -> str:
    """Return one line an athlete, to be sent."""
    lines = []
    for each in found:
        told = [f"{each.athlete}: {runs_text(each, unit)}"]
        if each.best_s is not None and each.mean_s is not None:
            told.append(f"best {format_time(each.best_s)}, mean {format_time(each.mean_s)}")
        if each.state is not State.TROUBLE:
            told.append(sentence_now(each, unit))
        lines.append("; ".join(told) + ".\n")
    return "".join(lines)


def _slide_m(outcome: Outcome) -> float | None:
    """Return the slide of all marks that the misses ask for [m]; 0 for none, None without any."""
    if outcome.slide is None:
        return None
    by_m = outcome.slide.values.get("by_move_m", 0.0)
    back = outcome.slide.values.get("way") == "back"
    return -float(by_m) if back else float(by_m)


def _result(outcome: Outcome, unit: UnitSystem) -> dict[str, Any]:
    made = outcome.main

    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, 4)

    cadence = None if made is None else made.achieved_cadence
    return {
        "date": outcome.runs[0].day.isoformat(),
        "athlete": outcome.athlete,
        "runs": runs_text(outcome, UnitSystem.METRIC),  # as all of it
        "from": None if made is None else made.from_mark,
        "to": None if made is None else made.to_mark,
        "zone_m": None if not outcome.compared else outcome.compared[0].zone_m,
        "best_s": rounded(outcome.best_s),
        "mean_s": rounded(outcome.mean_s),
        "sd_s": rounded(outcome.sd_s),
        "expected_s": rounded(None if made is None else made.expected_time_s),
        "cadence_hz": rounded(None if cadence is None else cadence.value),
        "cadence_sd_hz": rounded(None if cadence is None else cadence.sd),
        "asked_cadence_hz": rounded(None if made is None else made.expected_cadence_hz),
        "top_speed_mps": rounded(None if made is None else made.top_speed_before.value),
        "proposed_top_speed_mps": rounded(
            outcome.reviews[-1].top_speed_proposed.value if outcome.reviews else None
        ),
        "gap_change_m": rounded(outcome.gap_change_m),
        "slide_m": rounded(_slide_m(outcome)),
        "state": outcome.state.value,
        "sentence": sentence(outcome, unit),
    }


def results_csv(found: Iterable[Outcome], unit: UnitSystem, style: Collection[str] = ()) -> str:
    """Return a day as CSV, a row an athlete, in SI with units in its heads."""
    rows = [_result(each, unit) for each in found]
    if not rows:
        return ""
    texts = [["" if v is None else str(v) for v in row.values()] for row in rows]
    return _csv(list(rows[0]), texts, style)


def results_json(found: Iterable[Outcome], unit: UnitSystem) -> str:
    """Return days as JSON, in SI, each athlete's day with every run."""
    rows = [
        _result(each, unit)
        | {"runs": [_entry(run) for run in each.runs], "notes": list(notes([each], unit))}
        for each in found
    ]
    return json_text(report(results=rows))
