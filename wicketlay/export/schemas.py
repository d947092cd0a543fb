"""The schemas of all that commands tell as JSON: one a report, each with the version it has.

What a plan leads to is published as a file of its own, `wicketlay/schema/`; the other reports are
few keys each and stand here, with the words that their values have in the program.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wicketlay.after_practice import State
from wicketlay.export.document import SCHEMA_VERSION, schema
from wicketlay.ground.placed import Direction
from wicketlay.review.progress import SPRINT_TO_M
from wicketlay.review.reviewed import Doubt
from wicketlay.running.facts import Timing
from wicketlay.session.log import Flag, What
from wicketlay.sources import Basis

if TYPE_CHECKING:
    from collections.abc import Iterable

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_SI = "SI units, the unit at the end of each name. null where a thing is not known."

_Schema = dict[str, Any]
_TEXT: _Schema = {"type": "string"}
_NUMBER: _Schema = {"type": "number"}
_WHOLE: _Schema = {"type": "integer"}
_FLAG: _Schema = {"type": "boolean"}
_DAY: _Schema = {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
_PLAN: _Schema = {"$ref": "#/$defs/plan"}
_FINDING: _Schema = {"$ref": "#/$defs/finding"}
_ESTIMATE: _Schema = {"$ref": "#/$defs/estimate"}
_LAY: _Schema = {"enum": ["lay", "stop"]}


def report_schema(report: str) -> dict[str, Any]:
    """Return the JSON schema of one of `REPORTS`, whole in itself."""
    solved = schema()
    known = solved.pop("$defs")
    told, made = _REPORTS[report]
    if report == "marks":
        one = {key: solved[key] for key in ("type", "properties", "required")}
        known["plan"] = one | {"additionalProperties": False}
    else:
        used = (name for name in ("finding", "estimate") if f"#/$defs/{name}" in str(made))
        known = {name: known[name] for name in used}
    head = {"$schema": _DIALECT, "title": f"{told}, version {SCHEMA_VERSION}", "description": _SI}
    return {**head, **made, **({"$defs": known} if known else {})}


def _object(**properties: _Schema) -> _Schema:
    return {
        "type": "object",
        "properties": {name.rstrip("_"): each for name, each in properties.items()},
        "required": [name.rstrip("_") for name in properties],
        "additionalProperties": False,
    }


def _report(**properties: _Schema) -> _Schema:
    return _object(format={"const": SCHEMA_VERSION}, **properties)


def _several(item: _Schema) -> _Schema:
    return {"type": "array", "items": item}


def _one_of(words: Iterable[object]) -> _Schema:
    return {"enum": [str(word) for word in words]}


def _each(made: _Schema, *names: str) -> dict[str, _Schema]:
    """Return one schema under several names, which stand in this order."""
    return dict.fromkeys(names, made)


def _or_null(made: _Schema) -> _Schema:
    return {"anyOf": [made, {"type": "null"}]}


_SOME_TEXT, _SOME_NUMBER, _SOME_WHOLE = map(_or_null, (_TEXT, _NUMBER, _WHOLE))

_ENTRY = _object(
    entry=_WHOLE,
    replaces=_SOME_WHOLE,
    date=_DAY,
    clock=_SOME_TEXT,
    at_s=_SOME_WHOLE,
    what=_one_of(What),
    athlete=_SOME_TEXT,
    **_each(_SOME_WHOLE, "run", "lane", "wave", "stage"),
    times_s=_several(_NUMBER),
    timing=_or_null(_one_of(Timing)),
    fps=_SOME_WHOLE,
    **_each(_SOME_TEXT, "from", "to"),
    **_each(_SOME_NUMBER, "zone_m", "run_on_m", "asked_share", "moving_mps"),
    steps=_SOME_WHOLE,
    touchdowns=_several(_WHOLE),
    **_each(_SOME_NUMBER, "miss_m", "slide_m", "wind_mps", "effort_share"),
    flag=_or_null(_one_of(Flag)),
    other=_SOME_TEXT,
    due_s=_SOME_WHOLE,
    note=_SOME_TEXT,
)
_RESULT = _object(
    date=_DAY,
    athlete=_TEXT,
    runs=_several(_ENTRY),
    **_each(_SOME_TEXT, "from", "to"),
    **_each(_SOME_NUMBER, "zone_m", "best_s", "mean_s", "sd_s", "expected_s"),
    **_each(_SOME_NUMBER, "cadence_hz", "cadence_sd_hz", "asked_cadence_hz"),
    **_each(_SOME_NUMBER, "top_speed_mps", "proposed_top_speed_mps", "gap_change_m", "slide_m"),
    state=_one_of(State),
    sentence=_TEXT,
    notes=_several(_TEXT),
)
_BOARD_DAY = _object(
    date=_DAY,
    misses_m=_several(_NUMBER),
    slide_m=_NUMBER,
    place_m=_object(value=_NUMBER, sd=_NUMBER),
    **_each(_NUMBER, "run_sd_m", "slide_after_m", "first_run_sd_m"),
)
_WEIGHTS = _several(_object(what=_TEXT, weight=_NUMBER))
_PROGRESS = _object(
    athlete=_TEXT,
    days=_several(
        _object(
            date=_or_null(_DAY),
            seen=_several(
                _object(what=_TEXT, **_each(_SOME_NUMBER, "mean_speed_mps", "held_share"))
            ),
            top_speed_mps=_ESTIMATE,
            top_speed_weight=_NUMBER,
            top_cadence_hz=_ESTIMATE,
            natural_gap_m=_ESTIMATE,
            sprint_s=_object(**{f"{to_m:g}": _ESTIMATE for to_m in SPRINT_TO_M}),
        )
    ),
    time_constant_s=_ESTIMATE,
    start_change_s=_or_null(_ESTIMATE),
    top_speed_rests_on=_WEIGHTS,
    step_rests_on=_WEIGHTS,
    at_board=_several(_BOARD_DAY),
)
_CHECKED = _object(
    plan=_TEXT,
    status=_LAY,
    layings=_several(
        _object(
            **_each(_WHOLE, "lane", "wave", "stage"),
            athletes=_several(_TEXT),
            status=_LAY,
            marks=_WHOLE,
            findings=_several(_FINDING),
        )
    ),
    findings=_several(_FINDING),
)
_PLACE = _object(
    line=_TEXT,
    lane=_WHOLE,
    direction=_one_of(Direction),
    **_each(_SOME_TEXT, "landmark", "mark"),
    **_each(_NUMBER, "offset_m", "room_m"),
)
_REPORTS: dict[str, tuple[str, _Schema]] = {
    "marks": (
        "What plans lead to: a plan, or several of them",
        {"oneOf": [_PLAN, _report(plans=_several(_PLAN))]},
    ),
    "check": (
        "What the checks of plans say",
        _report(
            plans=_several(
                {"oneOf": [_CHECKED, _object(plan=_TEXT, status={"const": "error"}, error=_TEXT)]}
            )
        ),
    ),
    "log": ("What was run and logged", _report(entries=_several(_ENTRY))),
    "review": (
        "What times say of one athlete",
        _report(
            athlete=_TEXT,
            date=_DAY,
            from_=_TEXT,
            to=_TEXT,
            doubt=_one_of(Doubt),
            mean_time_s=_ESTIMATE,
            expected_time_s=_NUMBER,
            speed_mps=_or_null(_ESTIMATE),
            expected_speed_mps=_NUMBER,
            cadence_hz=_or_null(_ESTIMATE),
            expected_cadence_hz=_SOME_NUMBER,
            top_speed_before_mps=_ESTIMATE,
            **_each(_or_null(_ESTIMATE), "top_speed_mps", "top_speed_laid_mps"),
            changed=_FLAG,
            gap_change_m=_SOME_NUMBER,
            say=_TEXT,
            findings=_several(_FINDING),
        ),
    ),
    "review-day": ("What the runs of days say of everybody", _report(results=_several(_RESULT))),
    "review-misses": (
        "What misses at the board say of one athlete",
        _report(
            athlete=_TEXT,
            days=_several(_BOARD_DAY),
            code=_TEXT,
            values={"type": "object"},
            say=_TEXT,
        ),
    ),
    "progress": ("How athletes came along", _report(athletes=_several(_PROGRESS))),
    "places": ("Where on its ground a plan fits, best first", _report(places=_several(_PLACE))),
    "sources": (
        "Every constant with its basis and source",
        _report(
            constants=_several(
                _object(
                    name=_TEXT,
                    value=_NUMBER,
                    unit=_TEXT,
                    basis=_one_of(Basis),
                    **_each(_TEXT, "meaning", "source"),
                )
            )
        ),
    ),
    "explain": (
        "What the keys of plan files take and do",
        _report(
            keys=_several(
                _object(
                    **_each(_TEXT, "path", "of", "takes", "default", "left_out"),
                    required=_FLAG,
                    **_each(_TEXT, "example", "does"),
                    **_each(_several(_TEXT), "aka", "names"),
                )
            )
        ),
    ),
}
REPORTS = tuple(_REPORTS)
"""What has a schema: the commands whose JSON it is, `review` by what is reviewed."""
