"""How many steps an approach has, of what they are made, and where its miss is written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import Datum, MarkKind
from wicketlay.units import UnitSystem
from wicketlay.values import dataclass
from wicketlay.wording.names import small_unit

if TYPE_CHECKING:
    from wicketlay.running.athlete import Foot
    from wicketlay.solve import Demand


def miss_label(unit: UnitSystem) -> str:
    """Return the head where a miss at the board is written; what the signs mean stands beside."""
    return f"miss, {small_unit(unit)[0]}"


def miss_typed(unit: UnitSystem) -> str:
    """Return a miss as it is typed, with its unit: the plan's own, a bare number's, may differ."""
    return "+5in" if unit is UnitSystem.FEET else "+12cm"


def is_takeoff(demand: Demand) -> bool:
    """Tell whether the run ends with the foot on a take-off line."""
    return demand.layout.datum is Datum.TAKEOFF_LINE


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The steps of a take-off run: to W1, over the wickets, and from there to the board."""

    run_on: int
    wickets: int
    rest: int
    foot: Foot | None
    ratio: float

    @property
    def whole(self) -> int:
        """All steps, the one onto the board included."""
        return self.run_on + self.wickets + self.rest

    @property
    def text(self) -> str:
        """The sum of its parts."""
        return f"{self.run_on} + {self.wickets} + {self.rest} = {self.whole} steps"


def step_pattern(demand: Demand) -> Pattern:
    """Return the steps of a take-off run, counted on its landings."""
    landings = demand.layout.landings
    wickets = len(demand.layout.of_kind(MarkKind.WICKET))
    before, last_but_one, last = (float(landing.along_m) for landing in landings[-3:])
    return Pattern(
        run_on=demand.run_on_steps,
        wickets=wickets,
        rest=len(landings) - demand.run_on_steps - wickets,
        foot=landings[-1].foot,
        ratio=(last_but_one - before) / (last - last_but_one),
    )
