"""What was solved as plain data and as versioned JSON."""

from __future__ import annotations

import itertools
import json
import math
from enum import Enum
from importlib import resources
from typing import TYPE_CHECKING, Any

from wicketlay.findings import by_gravity
from wicketlay.ground.standing import pose_of
from wicketlay.lanes.closing import gap_shown_m, run_on_shown_m, section_shown_m
from wicketlay.units import UnitSystem, format_ticks
from wicketlay.wording import word
from wicketlay.wording.cautions import CAUTIONS
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.findings import Finding, Value
    from wicketlay.ground.placing import Place, PlacedMark
    from wicketlay.ground.tape import TapeSheet
    from wicketlay.review.review import Review
    from wicketlay.running.appraise import Appraisal
    from wicketlay.running.at_board import AtBoard
    from wicketlay.running.estimates import Estimate
    from wicketlay.solve import Demand, Laying, Moved, Solved
    from wicketlay.sources import Judgement

SCHEMA_VERSION = 1
"""Version of the JSON; raised whenever a reader of the old one would misread the new."""
_DECIMALS = 4  # 0.1 mm, 0.1 mm/s: finer than anything that is measured, coarser than float noise


def schema() -> dict[str, Any]:
    """Return the JSON schema that `document` keeps to."""
    text = resources.files("wicketlay.schema").joinpath("solved.v1.schema.json").read_text("utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def as_json(*solved: Solved) -> str:
    """Return `document` as text, with null for what is not known and never NaN.

    Several plans are an object whose `plans` are their documents, in their order.
    """
    told = [document(each) for each in solved]
    return json_text(told[0] if len(told) == 1 else report(plans=told))


def report(**parts: object) -> dict[str, Any]:
    """Return what a command tells as plain data, with the version of its schema."""
    return {"format": SCHEMA_VERSION, **parts}


def json_text(told: object) -> str:
    """Return plain data as JSON text with a line end."""
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def document(solved: Solved) -> dict[str, Any]:
    """Return everything that was solved as plain data; the schema is `schema()`."""
    plan = solved.plan
    unit = unit_of(solved.plan)
    return {
        **report(),
        "plan": {
            "title": plan.title,
            "drill": plan.drill_kind,
            "athletes": [athlete.name for athlete in plan.athletes],
            "speed_share": _number(plan.drill.speed_share),
            "stage_shares": [_number(share) for share in solved.stage_shares],
        },
        "unit": unit.value,
        "layings": [_laying(solved, laying, unit) for laying in solved.layings],
        "tape": {
            "zero": plan.tape.zero,
            "length_m": _number(plan.tape.length_m),
            "round": plan.tape.tick.value,
            "class": plan.tape.tape_class.value,
            "error_mm": _number(
                max((laying.tape.error_mm for laying in solved.layings), default=None), 1
            ),
        },
        "frame": {
            "ground": plan.ground.name,
            "lanes": list(plan.place.lanes),
            "axes": plan.ground.frame,
        },
        "findings": [_finding(f, unit) for f in by_gravity(solved.findings)],
        "session": _session(solved),
        "cautions": list(CAUTIONS),
    }


def _session(solved: Solved) -> dict[str, Any] | None:
    session = solved.session
    if session is None:
        return None
    return {
        **plain(session, "efforts", "efforts_a_visit", "laying_s", decimals=1),
        **plain(session, "marks_laid", "marks_moved", "total_s", "length_s", "fits", decimals=1),
        "athletes": [plain(load, *_LOAD, decimals=1) for load in session.loads],
        "events": [
            {
                **plain(event, "kind", "start_s", "end_s", "lane", "wave", decimals=1),
                "athlete": event.athlete or None,
                "effort": event.effort or None,
                "marks": event.marks,
            }
            for event in session.events
        ],
    }


_LOAD = (
    *("athlete", "lane", "wave", "efforts", "work", "recovery_s"),
    *("sprint_m", "zone_m", "first_s", "last_s"),
)


def _laying(solved: Solved, laying: Laying, unit: UnitSystem) -> dict[str, Any]:
    """Return a laying; what must not be laid out has status "stop" and no place of any mark."""
    layout, placed, lay = laying.layout, laying.placed, solved.may_lay(laying)
    moved = {m.mark_id: m for m in (laying.followed or laying.moved)}
    return {
        "status": "lay" if lay else "stop",
        **plain(laying, "lane", "wave", "stage", "athletes"),
        "figures_of": laying.middle.athlete.name,
        **plain(layout, "drill", "datum"),
        **plain(placed, "line", "direction"),
        "run_on_m": _number(layout.run_on_m if lay else None),
        "run_on_steps": layout.run_on_steps,
        "section_m": _number(layout.section_m if lay else None),
        "section_shown_m": _number(section_shown_m(laying, laying.middle) if lay else None),
        **plain(layout, "section_time_s", "cadence_hz"),
        "parts": _parts(laying),
        "run_out_wanted_m": _number(layout.run_out_wanted_m),
        **plain(placed, "run_out_least_m", "run_out_room_m"),
        "marks": [_mark(each, laying, moved) for each in placed.marks if lay],
        "landings": [
            plain(landing, "along_m", "time_s", "speed_mps", "foot")
            for landing in layout.landings
            if lay
        ],
        "demands": [
            _demand(each, laying, solved.plan.judgement, lay=lay) for each in laying.demands
        ],
        "tape": _tape(laying.tape, lay=lay),
        "landmarks": [
            {
                "key": point.landmark.key,
                "text": point.landmark.text,
                "distance_m": _number(point.distance_m),
                "told_m": _number(laying.told_m(point)),
                "zero_is": "beyond" if point.beyond else "before",
            }
            for point in laying.zero_points
            if lay
        ],
        "place": _stands(laying) if lay else None,
        "defaults": {key: _value(value) for key, value in layout.defaults.items()},
        "moves": [_move(m) for m in laying.moved if lay],
        "stage_moves": [_move(m) for m in laying.followed if lay],
        "laid_anew": laying.laid_anew,
        "findings": [_finding(f, unit) for f in by_gravity(laying.findings)],
    }


def _stands(laying: Laying) -> dict[str, Any] | None:
    """Return where the mark stands that the place was told for, None without a landmark."""
    point = laying.told_point
    if point is None:
        return None
    return {
        "mark": laying.placed.told_mark,
        "landmark": point.landmark.key,
        "distance_m": _number(point.distance_m),
        "mark_is": "beyond" if point.beyond else "before",
    }


def _parts(laying: Laying) -> list[dict[str, Any]]:
    """Return the parts of the run, with time, speed and free step where each ends.

    They are those of the middle one of several athletes, as speeds and times at the marks are.
    """
    layout = laying.layout
    demand = laying.middle
    run = layout.run_of(demand.runner)
    ends = itertools.accumulate(part.length_m for part in layout.parts)
    return [
        {
            "pace": part.pace.value,
            "length_m": _number(part.length_m),
            "time_s": _number(run.time_at(end)),
            "speed_mps": _number(run.speed_at(end)),
            "step_m": _number(demand.runner.free_step_m(run.speed_at(end))),
        }
        for part, end in zip(layout.parts, ends, strict=True)
    ]


def _mark(each: PlacedMark, laying: Laying, moved: Mapping[str, Moved]) -> dict[str, Any]:
    pose = pose_of(laying.placed, each)
    mark, move = each.mark, moved.get(each.mark.id)
    read = reading_of(laying.tape, mark.id)
    return {
        **plain(mark, "id", "kind", "label", "along_m"),
        "chainage_m": _number(each.chainage_m),
        "reading_m": None if read is None else _number(read[1] * read[2]),
        "shown": None if read is None else read[3],
        "pull": None if read is None else read[0],
        "gap_m": _number(mark.gap_m),
        "gap_shown_m": _number(gap_shown_m(laying, mark.id)),
        **plain(mark, "gap_sd_m", "natural_gap_m", "speed_mps", "cadence_hz", "time_s", "foot"),
        "moved_m": None if move is None else _number(move.by_m),
        "moved_shown_m": None if move is None else _number(move.shown_m),
        **plain(each, "chord_m", "inner_gap_m", "outer_gap_m"),
        "painted_shown": None if read is None else _painted(laying.tape, mark.id),
        **plain(pose, "x_m", "y_m"),
        "heading_deg": _number(math.degrees(pose.heading_rad)),
    }


def reading_of(tape: TapeSheet, mark_id: str) -> tuple[int, int, float, str] | None:
    """Return (pull, ticks, tick [m], shown) of a mark's first reading, None when not read."""
    try:
        pull, reading = tape.reading(mark_id)
    except KeyError:
        return None
    shown = format_ticks(reading.ticks, reading.tick.value)
    return pull.number, reading.ticks, reading.tick.metres, shown


def _painted(tape: TapeSheet, mark_id: str) -> str | None:
    """Return the reading of a tape laid along the painted line, on a bend only."""
    _, reading = tape.reading(mark_id)
    if reading.painted_ticks is None:
        return None
    return format_ticks(reading.painted_ticks, reading.tick.value)


def _tape(tape: TapeSheet, *, lay: bool) -> dict[str, Any]:
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
            for pull in (tape.pulls if lay else ())
        ],
    }


def _demand(demand: Demand, laying: Laying, judgement: Judgement, *, lay: bool) -> dict[str, Any]:
    runner = demand.runner
    return {
        "athlete": demand.athlete.name,
        "start": demand.start_id,
        "letter": demand.letter,
        "run_on_m": _number(demand.run_on_m if lay else None),
        "run_on_shown_m": _number(run_on_shown_m(laying, demand.start_id) if lay else None),
        "run_on_sd_m": _number(demand.run_on_sd_m(judgement)),
        **plain(demand, "run_on_steps", "approach_steps", "front_foot"),
        "provisional": runner.provisional,
        "top_speed_mps": estimate_document(runner.top_speed),
        "time_constant_s": estimate_document(runner.time_constant),
        "leg_m": estimate_document(runner.gait.leg),
        "top_step_m": estimate_document(runner.gait.top_step),
        "top_cadence_hz": estimate_document(runner.gait.top_cadence),
        "cadence_seen": None
        if runner.seen is None
        else plain(runner.seen, "cadence_hz", "speed_share", "by")
        | {"teaches": runner.seen_teaches},
        "at_board": None if runner.at_board is None else _at_board(runner.at_board),
        "worst_excess_share": _number(demand.mismatch),
        "appraisal": None if demand.appraisal is None else _appraisal(demand.appraisal),
        "defaults": {key: _value(value) for key, value in runner.defaults.items()},
    }


def _at_board(known: AtBoard) -> dict[str, Any]:
    return {
        **plain(known, "runs", "days"),
        "place_m": {"value": _number(known.place_m), "sd": _number(known.sd_m)},
        "first_run_sd_m": _number(known.first_run_sd_m),
    }


_SERIES = ("speed_mps", "time_s", "natural_gap_m", "cadence_hz", "excess_share")


def _appraisal(appraisal: Appraisal) -> dict[str, Any]:
    return {
        "natural_cadence_hz": _number(appraisal.natural_cadence_hz),
        "marks": list(appraisal.mark_ids),
        **{name: [_number(v) for v in getattr(appraisal, name).tolist()] for name in _SERIES},
    }


def estimate_document(estimate: Estimate) -> dict[str, Any]:
    """Return an estimate as plain data."""
    return {
        "value": _number(estimate.value),
        "sd": _number(estimate.sd),
        "basis": estimate.basis,
    }


def _finding(finding: Finding, unit: UnitSystem) -> dict[str, Any]:
    phrase = word(finding, unit)
    return {
        **plain(finding, "level", "code", "athlete", "mark", "lane", "wave", "stage"),
        "values": {key: _value(value) for key, value in finding.values.items()},
        "text": phrase.text,
        "remedy": phrase.remedy,
    }


def _move(moved: Moved) -> dict[str, Any]:
    return {"mark": moved.mark_id, **plain(moved, "by_m", "shown_m", "taken_up", "remade")}


_OF_A_UNIT = ("_m", "_s", "_mps", "_hz", "_share")


def plain(of: object, *names: str, decimals: int | None = _DECIMALS) -> dict[str, Any]:
    """Return what is told of a value under the names it has there, as plain data.

    Numbers of a unit, which ends their name, are rounded to `decimals`; None leaves them as
    they are.
    """
    found: dict[str, Any] = {}
    for name in names:
        value = getattr(of, name)
        if name.endswith(_OF_A_UNIT) and decimals is not None:
            value = _number(value, decimals)
        elif isinstance(value, Enum):
            value = value.value
        found[name] = list(value) if isinstance(value, tuple) else value
    return found


def _number(value: float | None, decimals: int = _DECIMALS) -> float | None:
    """Return a JSON number without float noise; None and what is not finite become null."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0


def _value(value: Value) -> Value | None:
    return _number(value) if isinstance(value, float) else value


def findings_document(solved: Solved, name: str) -> dict[str, Any]:
    """Return what the checks of a plan say, and which layings may be laid."""
    unit = unit_of(solved.plan)
    return {
        "plan": name,
        "status": "lay" if all(map(solved.may_lay, solved.layings)) else "stop",
        "layings": [
            {
                **plain(laying, "lane", "wave", "stage", "athletes"),
                "status": "lay" if solved.may_lay(laying) else "stop",
                "marks": len(laying.layout.marks),
                "findings": [_finding(f, unit) for f in by_gravity(laying.findings)],
            }
            for laying in solved.layings
        ],
        "findings": [_finding(f, unit) for f in by_gravity(solved.findings)],
    }


def places_document(solved: Solved, places: Sequence[tuple[Place, float]]) -> dict[str, Any]:
    """Return where a plan fits, best first, in the words of a plan file, with the room left."""
    rows = [
        {
            "line": place.line or solved.plan.ground.lines[0],
            "lane": place.lanes[0],
            **plain(place, "direction", "landmark", "mark", "offset_m"),
            "room_m": _number(room),
        }
        for place, room in places
    ]
    return report(places=rows)


def review_document(reviewed: Review, unit: UnitSystem) -> dict[str, Any]:
    """Return what times say of one athlete; nothing, where they cannot be right."""
    cadence = reviewed.achieved_cadence
    wrong = reviewed.doubt.value == "wrong"
    return {
        **report(),
        "athlete": reviewed.athlete,
        "date": reviewed.date.isoformat(),
        "from": reviewed.from_mark,
        "to": reviewed.to_mark,
        "doubt": reviewed.doubt.value,
        "mean_time_s": estimate_document(reviewed.mean_time),
        "expected_time_s": _number(reviewed.expected_time_s),
        "speed_mps": None if wrong else estimate_document(reviewed.achieved_speed),
        "expected_speed_mps": _number(reviewed.expected_speed_mps),
        "cadence_hz": None if wrong or cadence is None else estimate_document(cadence),
        "expected_cadence_hz": _number(reviewed.expected_cadence_hz),
        "top_speed_before_mps": estimate_document(reviewed.top_speed_before),
        "top_speed_mps": None if wrong else estimate_document(reviewed.top_speed_told),
        "top_speed_laid_mps": None if wrong else estimate_document(reviewed.top_speed_proposed),
        "changed": reviewed.changed and not wrong,
        "gap_change_m": None if wrong else _number(reviewed.gap_change_m),
        "say": str(word(reviewed.sentence, unit)),
        "findings": [_finding(f, unit) for f in by_gravity(reviewed.findings)],
    }
