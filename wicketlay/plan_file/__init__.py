"""Plan files: TOML to `Plan`, and back without touching what did not change."""

from __future__ import annotations

from wicketlay.keys.problems import PlanFileError
from wicketlay.plan_file.document import read_ground
from wicketlay.plan_file.files import PlanFile, load, open_plan, read_plan
from wicketlay.plan_file.practices import is_practice, kind_of, open_practice
from wicketlay.plan_file.recovery import (
    OnGround,
    Recovery,
    discard_recovery,
    find_ground,
    find_recovery,
    typed_in,
    write_recovery,
)

__all__ = [
    "OnGround",
    "PlanFile",
    "PlanFileError",
    "Recovery",
    "discard_recovery",
    "find_ground",
    "find_recovery",
    "is_practice",
    "kind_of",
    "load",
    "open_plan",
    "open_practice",
    "read_ground",
    "read_plan",
    "typed_in",
    "write_recovery",
]
