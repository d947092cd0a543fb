"""The flying segment: a run-on, then a timed zone between gates."""

from __future__ import annotations

import math
from dataclasses import field
from typing import TYPE_CHECKING, ClassVar, final

from wicketlay.declared import Keyed, Kind, keyed
from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind, start_mark
from wicketlay.drills.run_on import SPEED, START, run_out_m
from wicketlay.drills.runs import Pace, Part
from wicketlay.findings import Finding
from wicketlay.running.touchdowns import StartKind, approach_m, initial_speed_mps
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.athlete import Runner


RUN_ONS_M = (5.0, 100.0)
"""Start mark to first gate [m]."""


@final
@dataclass(frozen=True, slots=True, kw_only=True)
class FlyingSegment(Keyed):
    """What the coach asks of a flying segment.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    kind: ClassVar[str] = "flying"
    noun: ClassVar[str] = "flying segment"

    speed_share: float = field(default=1.0, metadata=SPEED)
    zone_m: float = keyed(
        20.0,
        Kind.LENGTH,
        "length of the timed zone; 10, 20 or 30 m are usual",
        5.0,
        60.0,
        aka=("distance", "length"),
    )
    run_on_m: float | None = keyed(
        None,
        Kind.LENGTH,
        "start mark to the first gate; left out, what the speed asks for",
        *RUN_ONS_M,
        what="run-on",
        aka=("approach", "run_up"),
    )
    start: StartKind = field(default=StartKind.STANDING, metadata=START)


def lay(runner: Runner, spec: FlyingSegment, judgement: Judgement = DEFAULTS) -> Layout:
    """Lay a flying segment: start mark and two gates, with the expected time and zone mean.

    The run-on that is not given is the distance to the entry share for even gaps (98 %) of the
    speed built towards, the published floor for maximal-velocity work, to the next whole metre,
    and 5 m at least.

    References
    ----------
    Above 98 %, run-on 20 to 40 m, zone 10 to 30 m: Haugen et al. 2019, Sports Med Open 5:44,
    Table 2.
    """
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
    # What the words round to counts as reached.
    if round(entry / curve.top_speed_mps, 3) < share:
        findings.append(
            Finding.note(
                "zone-still-building",
                runner.athlete.name,
                run_on_m=run_on,
                reached_share=entry / curve.top_speed_mps,
                wanted_share=share,
                needed_m=curve.distance_to_share(share),
            )
        )
    return Layout(
        drill=spec.kind,
        datum=Datum.FIRST_GATE,
        marks=(
            start_mark(-run_on, curve.initial_speed_mps, runner.athlete.front_foot),
            Mark(
                id="gate1",
                kind=MarkKind.GATE,
                along_m=AlongM(0.0),
                speed_mps=entry,
                time_s=opens,
                label="zone opens",
            ),
            Mark(
                id="gate2",
                kind=MarkKind.GATE,
                along_m=AlongM(spec.zone_m),
                speed_mps=leaves,
                time_s=closes,
                label="zone closes",
            ),
        ),
        parts=(
            Part(length_m=run_on, pace=Pace.FULL),
            Part(length_m=spec.zone_m, pace=Pace.TIMED),
        ),
        landings=(),
        approach_m=approach_m(spec.start, judgement),
        run_on_m=run_on,
        run_on_steps=0,
        section_m=spec.zone_m,
        section_time_s=closes - opens,
        cadence_hz=runner.gait.free_cadence_hz(spec.speed_share),
        speed_share=spec.speed_share,
        built_to_mps=curve.top_speed_mps,
        run_out_from_m=AlongM(spec.zone_m),
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        findings=tuple(findings),
        defaults=defaults,
    )
