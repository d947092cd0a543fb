"""Plan files: TOML to `Plan`, and back without touching what did not change."""

from __future__ import annotations

from wicketlay.keys.problems import PlanFileError, Problem
from wicketlay.plan_file.files import PlanFile, load, open_plan, read_plan
from wicketlay.plan_file.recovery import (
    Recovery,
    discard_recovery,
    find_recovery,
    typed_in,
    write_recovery,
)

__all__ = [
    "PlanFile",
    "PlanFileError",
    "Problem",
    "Recovery",
    "discard_recovery",
    "find_recovery",
    "load",
    "open_plan",
    "read_plan",
    "typed_in",
    "write_recovery",
]
