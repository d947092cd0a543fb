"""Acceleration marks: where the first steps of a run should land."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, ClassVar, final

from wicketlay.declared import Keyed, Kind, keyed
from wicketlay.drills.marks import Datum, Layout, Mark, MarkKind, start_mark
from wicketlay.drills.run_on import FIRST_FOOT, SPEED, START, choose_run_on, run_out_m
from wicketlay.drills.runs import Pace, Part
from wicketlay.running.touchdowns import StartKind, approach_m
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from wicketlay.running.athlete import Foot, Runner


@final
@dataclass(frozen=True, slots=True, kw_only=True)
class AccelerationMarks(Keyed):
    """What the coach asks of acceleration marks.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    kind: ClassVar[str] = "acceleration"
    noun: ClassVar[str] = "acceleration run"

    steps: int = keyed(10, Kind.STEPS, "how many landing marks", 3, 30)
    speed_share: float = field(default=1.0, metadata=SPEED)
    first_foot: Foot | None = field(default=None, metadata=FIRST_FOOT)
    start: StartKind = field(default=StartKind.STANDING, metadata=START)


def lay(runner: Runner, spec: AccelerationMarks, judgement: Judgement = DEFAULTS) -> Layout:
    """Lay landing marks for the first steps; marks lie where the toe lands.

    References
    ----------
    First steps: see `wicketlay.running.touchdowns`.
    """
    run = choose_run_on(
        runner,
        speed_share=spec.speed_share,
        entry_share=1.0,
        start=spec.start,
        steps=spec.steps,
        judgement=judgement,
    )
    front = runner.athlete.front_foot or (spec.first_foot.other if spec.first_foot else None)
    run = replace(run, front_foot=front)
    landings = run.landed()
    share = runner.gait.top_step.relative_sd
    marks = [start_mark(0.0, float(run.curve.speed_at(0.0)), front)]
    for k, landing in enumerate(landings, start=1):
        gap = landing.along_m - marks[-1].along_m
        marks.append(
            Mark(
                id=f"step{k}",
                kind=MarkKind.LANDING,
                along_m=landing.along_m,
                gap_m=gap,
                natural_gap_m=gap,
                gap_sd_m=gap * share,
                speed_mps=landing.speed_mps,
                cadence_hz=1.0 / (landing.time_s - (marks[-1].time_s or 0.0)),
                foot=landing.foot,
                time_s=landing.time_s,
            )
        )
    last = landings[-1]
    wanted, least = run_out_m(last.speed_mps, judgement)
    return Layout(
        drill=spec.kind,
        datum=Datum.START,
        marks=tuple(marks),
        parts=(Part(length_m=float(last.along_m), pace=Pace.TIMED),),
        landings=landings,
        approach_m=approach_m(spec.start, judgement),
        run_on_m=float(landings[0].along_m),
        run_on_steps=1,
        section_m=float(last.along_m),
        section_time_s=last.time_s,
        cadence_hz=run.cadence_hz,
        speed_share=spec.speed_share,
        built_to_mps=runner.top_speed.value * spec.speed_share,
        run_out_from_m=last.along_m,
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        defaults=dict(runner.defaults),
    )
