"""The log and what a day of it says: tables for people, CSV, JSON, a line to send."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wicketlay.after_practice import State
from wicketlay.export.document import json_text, plain, report
from wicketlay.export.tables import columns, csv_text, harmless
from wicketlay.session.log import What
from wicketlay.units import UnitSystem, format_count, format_time
from wicketlay.values import replace
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
    from collections.abc import Callable, Collection, Iterable, Sequence
    from datetime import date

    from wicketlay.after_practice import Outcome
    from wicketlay.session.log import Entry

# --- the log ----------------------------------------------------------------------------------

_LOG: dict[str, tuple[str, Callable[[Entry], object]]] = {
    "entry": ("", lambda run: run.number),
    "date": ("", lambda run: run.day),
    "clock": ("", lambda run: run.clock),
    "what": ("", lambda run: "run" if run.what is What.RUN else entry_text(run)),
    "athlete": ("", lambda run: run.athlete),
    "run": ("", lambda run: run.run),
    "lane": ("", lambda run: run.lane),
    "wave": ("", lambda run: run.wave),
    "stage": ("", lambda run: run.stage),
    "time": ("s", lambda run: "/".join(map(time_text, run.times_s))),
    "timing": ("", lambda run: run.timing),
    "from": ("", lambda run: mark_name(run.from_mark)),
    "to": ("", lambda run: mark_name(run.to_mark)),
    "zone": ("m", lambda run: _figure(run.zone_m, ".2f")),
    "run-on": ("m", lambda run: _figure(run.run_on_m, ".2f")),
    "asked": ("%", lambda run: _figure(run.asked_share, ".4g", 100)),
    "steps": ("", lambda run: run.steps),
    "touchdowns": ("", lambda run: " ".join(map(str, run.touchdowns))),
    "fps": ("1/s", lambda run: run.fps),
    "miss": ("cm", lambda run: _figure(run.miss_m, "+.0f", 100)),
    "wind": ("m/s", lambda run: _figure(run.wind_mps, "+.1f")),
    "effort": ("%", lambda run: _figure(run.effort_share, ".0f", 100)),
    "flag": ("", lambda run: run.flag),
    "note": ("", lambda run: run.note),
}
"""Columns of the log: their units, and what they tell of an entry."""
_IN_HEADS = {"s": "_s", "m": "_m", "%": "_percent", "cm": "_cm", "m/s": "_mps"}
"""How the heads of CSV tell a unit."""


def _figure(value: float | None, form: str, times: int = 1) -> str | None:
    """Return a figure in a form, as so many times its SI unit; None where it is not known."""
    return None if value is None else format(value * times, form)


def _log_row(entry: Entry) -> tuple[str, ...]:
    told = (tell(entry) for _, tell in _LOG.values())
    return tuple("" if value is None else str(value) for value in told)


def log_table(entries: Sequence[Entry], *, lanes: bool = True) -> str:
    """Return what stands of the log as a table a day, on which lane it was where there are any."""
    parts = []
    names = [name for name in _LOG if name != "date"]  # which stands above
    units = [_LOG[name][0] for name in names]
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
        parts += [columns(names, rows, units), ""]
    return "\n".join(parts).rstrip() + "\n" if parts else "the log is empty\n"


def log_csv(entries: Iterable[Entry], style: Collection[str] = ()) -> str:
    """Return what stands of the log as CSV with units in its heads, in a style of `as_csv`."""
    heads = [name.replace("-", "_") + _IN_HEADS.get(unit, "") for name, (unit, _) in _LOG.items()]
    return _csv(heads, map(_log_row, entries), style)


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
        **plain(entry, "at_s", "what", decimals=None),
        "athlete": entry.athlete or None,
        **plain(entry, "run", "lane", "wave", "stage", "times_s", "timing", "fps", decimals=None),
        "from": entry.from_mark or None,
        "to": entry.to_mark or None,
        **plain(entry, "zone_m", "run_on_m", "asked_share", "moving_mps", decimals=None),
        **plain(entry, "steps", "touchdowns", "miss_m", "slide_m", "wind_mps", decimals=None),
        **plain(entry, "effort_share", "flag", decimals=None),
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
