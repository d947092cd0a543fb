"""The broken run: fast and easy parts in turn, a cone at each change."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, ClassVar, final

from wicketlay.declared import Kind, check_keys, keyed
from wicketlay.drills.marks import AlongM, Datum, Layout, Mark, MarkKind, start_mark
from wicketlay.drills.run_on import SPEED, START, run_out_m
from wicketlay.drills.runs import Pace, Part, run_along
from wicketlay.errors import DomainError, require_range
from wicketlay.running.touchdowns import StartKind, approach_m, initial_speed_mps
from wicketlay.sources import DEFAULTS, Judgement
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.running.athlete import Runner


LONGEST_M = 300.0
"""Longest broken run [m]; beyond that it is no sprint."""


@final
@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenRun:
    """What the coach asks of a broken run.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    kind: ClassVar[str] = "broken-run"
    noun: ClassVar[str] = "broken run"

    parts_m: tuple[float, ...] = keyed(
        (20.0, 20.0, 20.0),
        Kind.LENGTH,
        "fast and easy in turn, the first fast; 20/20/20 and 30/10/10 are common practice",
        5.0,
        100.0,
        what="part",
        members=(2, 12),
    )
    speed_share: float = field(default=1.0, metadata=SPEED)
    easy_share: float | None = keyed(
        None,
        Kind.SHARE,
        "speed of an easy part, as a share of the speed reached at its cone",
        0.5,
        1.0,
        what="easy speed",
        si="of the speed reached",
    )
    start: StartKind = field(default=StartKind.STANDING, metadata=START)

    def __post_init__(self) -> None:
        """Refuse what cannot be run."""
        check_keys(self)
        if not 2 <= len(self.parts_m) <= 12:
            raise DomainError(f"a broken run has 2 to 12 parts, not {len(self.parts_m)}")
        require_range("all parts together", sum(self.parts_m), 10.0, LONGEST_M, "m")


def lay(runner: Runner, spec: BrokenRun, judgement: Judgement = DEFAULTS) -> Layout:
    """Lay a broken run: start mark, a cone at every change and at the end, expected times.

    A fast part builds along the athlete's own curve from the speed it begins with; an easy part
    is run at one speed, a share of the speed reached at its cone.
    """
    easy = float(judgement.easy_share) if spec.easy_share is None else spec.easy_share
    full = runner.curve(spec.speed_share, initial_speed_mps(spec.start, judgement))
    parts = tuple(
        Part(length_m=length, pace=Pace.EASY, easy_share=easy)
        if i % 2
        # The first is the run-on of the others: what is run at speed is the later ones.
        else Part(length_m=length, pace=Pace.TIMED if i else Pace.FULL)
        for i, length in enumerate(spec.parts_m)
    )
    run = run_along(full, parts)
    speed = full.initial_speed_mps
    marks = [start_mark(0.0, speed, runner.athlete.front_foot)]
    place, clock = 0.0, 0.0
    for i, part in enumerate(spec.parts_m):
        place += part
        clock, speed = run.time_at(place), run.speed_at(place)
        last = i == len(spec.parts_m) - 1
        nature = "fast" if i % 2 == 0 else "easy"
        coming = "the end" if last else ("easy from here" if i % 2 == 0 else "fast from here")
        marks.append(
            Mark(
                id=f"cone{i + 1}",
                kind=MarkKind.CONE,
                along_m=AlongM(place),
                gap_m=part,
                speed_mps=speed,
                time_s=clock,
                label=f"{coming}; {nature} part before it",
            )
        )
    wanted, least = run_out_m(speed, judgement)
    defaults = dict(runner.defaults)
    if spec.easy_share is None:
        defaults["easy_share"] = easy
    return Layout(
        drill=spec.kind,
        datum=Datum.START,
        marks=tuple(marks),
        parts=parts,
        landings=(),
        approach_m=approach_m(spec.start, judgement),
        run_on_m=spec.parts_m[0],
        run_on_steps=0,
        section_m=place,
        section_time_s=clock,
        cadence_hz=runner.gait.free_cadence_hz(spec.speed_share),
        speed_share=spec.speed_share,
        built_to_mps=full.top_speed_mps,
        run_out_from_m=AlongM(place),
        run_out_wanted_m=wanted,
        run_out_least_m=least,
        defaults=defaults,
    )
