"""The flying segment: a run-on, then a timed zone between gates."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind
from wicketlay.drills.run_on import SPEED_SHARES, run_out_m
from wicketlay.errors import require_range
from wicketlay.findings import Finding, Level
from wicketlay.running.touchdowns import StartKind, approach_m, initial_speed_mps
from wicketlay.sources import DEFAULTS, Judgement

if TYPE_CHECKING:
    from wicketlay.drills.kit import Kit
    from wicketlay.running.athlete import Runner


RUN_ONS_M = (5.0, 100.0)
"""Start mark to first gate [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlyingSegment:
    """What the coach asks of a flying segment.

    Parameters
    ----------
    speed_share
        The speed the run builds towards, as a share of top speed; 1 is flat out.
    zone_m
        Length of the timed zone [m]; 10, 20 or 30 are usual.
    run_on_m
        Start mark to the first gate [m]; None takes what the speed at the gate asks for.
    start
        How the run leaves the start mark.
    """

    speed_share: float = 1.0
    zone_m: float = 20.0
    run_on_m: float | None = None
    start: StartKind = StartKind.STANDING

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        require_range("speed", self.speed_share, *SPEED_SHARES, "of top speed")
        require_range("zone", self.zone_m, 5.0, 60.0, "m")
        require_range("run-on", self.run_on_m, *RUN_ONS_M, "m")


def lay(
    runner: Runner, spec: FlyingSegment, kit: Kit | None = None, judgement: Judgement = DEFAULTS
) -> Layout:
    """Lay a flying segment: start mark and two gates, with the expected time and zone mean.

    The run-on that is not given is the distance to the entry share for even gaps (98 %) of the
    speed built towards, the published floor for maximal-velocity work, to the next whole metre,
    and 5 m at least.

    References
    ----------
    Above 98 %, run-on 20 to 40 m, zone 10 to 30 m: Haugen et al. 2019, Sports Med Open 5:44,
    Table 2.
    """
    del kit  # gates are not taken from the bag
    curve = runner.curve(spec.speed_share, initial_speed_mps(spec.start, judgement))
    share = float(judgement.entry_share_even)
    run_on = spec.run_on_m
    defaults = dict(runner.defaults)
    if run_on is None:
        needed = curve.distance_to_share(max(share, curve.initial_share))
        run_on = max(RUN_ONS_M[0], float(math.ceil(needed)))
        defaults["entry_share"] = share
    opens, closes = curve.time_at(run_on), curve.time_at(run_on + spec.zone_m)
    entry, leaves = curve.speed_at(opens), curve.speed_at(closes)
    wanted, least = run_out_m(leaves, judgement)
    findings = []
    if entry < share * curve.top_speed_mps - 1e-9:
        findings.append(
            Finding(
                level=Level.NOTE,
                code="zone-still-building",
                athlete=runner.athlete.name,
                values={
                    "run_on_m": run_on,
                    "reached_share": entry / curve.top_speed_mps,
                    "wanted_share": share,
                    "needed_m": curve.distance_to_share(share),
                },
            )
        )
    zone = f"{spec.zone_m:g} m zone"
    return Layout(
        drill="flying",
        datum=Datum.FIRST_GATE,
        marks=(
            Mark(
                id="start",
                kind=MarkKind.START,
                along_m=AlongM(-run_on),
                speed_mps=curve.initial_speed_mps,
                time_s=0.0,
            ),
            Mark(
                id="gate1",
                kind=MarkKind.GATE,
                along_m=AlongM(0.0),
                speed_mps=entry,
                time_s=opens,
                label=f"{zone} opens",
            ),
            Mark(
                id="gate2",
                kind=MarkKind.GATE,
                along_m=AlongM(spec.zone_m),
                speed_mps=leaves,
                time_s=closes,
                label=f"{zone} closes",
            ),
        ),
        landings=(),
        approach_m=approach_m(spec.start, judgement),
        run_on_m=run_on,
        run_on_steps=0,
        section_m=spec.zone_m,
        section_time_s=closes - opens,
        cadence_hz=runner.gait.natural_cadence_hz(spec.speed_share, judgement),
        speed_share=spec.speed_share,
        built_to_mps=curve.top_speed_mps,
        run_out_from_m=AlongM(spec.zone_m),
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        findings=tuple(findings),
        defaults=defaults,
    )
