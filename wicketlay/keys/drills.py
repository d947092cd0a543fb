"""The table of each drill, one record a kind, as its fields declare them."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, get_args

from wicketlay.declared import keys_of, range_of
from wicketlay.drills import Spec, WicketRun
from wicketlay.keys.codecs import RunOn, UnfitError
from wicketlay.keys.records import Record, UnfitAtError, entries_of, entry

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.records import Values


def _wicket_run(values: Values) -> Values:
    if "section" in values and "wickets" in values:
        raise UnfitAtError(
            "wickets", "stands beside section", remedy="keep one of them: section or wickets"
        )
    if "section" not in values and "wickets" not in values:
        raise UnfitError(
            "the wicket run has neither section nor wickets",
            remedy='add section = "25 m" or wickets = 12',
        )
    run_on = values.get("run_on")
    return {"run_on_steps" if isinstance(run_on, int) else "run_on_m": run_on}


def _wicket_run_spread(spec: WicketRun, _raw: Mapping[str, object]) -> Values:
    steps = spec.run_on_steps
    return {"run_on": spec.run_on_m if steps is None else steps}


_RUN_ON = {
    "run_on_m": (
        dataclasses.replace(
            entry(keys_of(WicketRun)["run_on_m"]),
            codec=RunOn(range_of(WicketRun, "run_on_m"), range_of(WicketRun, "run_on_steps")),
        ),
    ),
    "run_on_steps": (),
}
"""One key, in metres or in steps."""


WICKET_RUN = Record(
    noun=WicketRun.noun,
    make=WicketRun,
    constant={"kind": WicketRun.kind},
    entries=entries_of(WicketRun, instead=_RUN_ON),
    gather=_wicket_run,
    spread=_wicket_run_spread,
)

DRILLS = {
    make.kind: Record(
        noun=make.noun, make=make, constant={"kind": make.kind}, entries=entries_of(make)
    )
    for make in get_args(Spec)
} | {WicketRun.kind: WICKET_RUN}
"""Kind as the file spells it, to its record; the wicket run has a key of two fields."""
