"""The run-on: from a start mark, in whole steps, with the wanted foot, to the first wicket."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.declared import Kind, declare
from wicketlay.drills.marks import Landings
from wicketlay.running.athlete import Foot
from wicketlay.running.sprint import MODEL_SPEED_MPS, MODEL_TIME_CONSTANT_S, SpeedCurve
from wicketlay.running.touchdowns import (
    StartKind,
    Touchdowns,
    initial_speed_mps,
    step_times_s,
    touchdowns,
)
from wicketlay.sources import (
    DEFAULTS,
    FOOT_AHEAD_M,
    LEAST_UNSURE_SHARE,
    SLOW_DOWN_BRAKING_MPS2,
    SLOW_DOWN_REACTION_S,
    STEP_SPEED_EXPONENT,
    Judgement,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from wicketlay.running.athlete import Runner

_LEAST_TAU_S = 0.3
"""Guard of the arithmetic [s]: two SD below a tau may be none, and the error is asked there too."""
_BARELY_FASTER = 1.01
"""Guard of the arithmetic: a run two SD slower still gains on the speed it starts with."""
SPEED_SHARES = (0.50, 1.0)
"""Speed a drill may build towards, as a share of top speed."""
GAP_CHANGES = (-0.2, 0.2)
"""How far gaps may be opened or closed, as a share of them."""
MOST_STEPS = 60
"""Longest run-on considered [steps]; about 100 m, beyond any lane."""
FEWEST_STEPS = 3
"""Shortest run-on considered [steps]: the first wicket needs a running step."""
LAST_TWO = 2
"""The penultimate and the last step onto a line; their lengths are set apart from the rest."""
SPEED = declare(
    Kind.SHARE,
    "the speed the run builds towards, as a share of top speed",
    *SPEED_SHARES,
    si="of top speed",
    aka=("effort", "intensity"),
    example='"95 %"',
)
FIRST_FOOT = declare(Kind.WORD, "the foot wanted first beyond the first mark", words=Foot)
START = declare(
    Kind.WORD,
    f"how the run leaves the start mark; a walk-in takes {float(DEFAULTS.walk_in_m):g} m before "
    f"it, a jog-in {float(DEFAULTS.jog_in_m):g} m",
    words=StartKind,
    aka=("walk_in", "walk-in", "jog_in", "jog-in"),
)
CADENCE = declare(
    Kind.CADENCE_ASKED,
    "the cadence asked over the wickets",
    aka=("frequency", "rhythm", "step_rate", "stride_rate"),
)
GAP_CHANGE = declare(
    Kind.SHARE, "all gaps opened (+) or closed (-), one wicket held", *GAP_CHANGES, signed=True
)
"""The keys that several drills take."""


class OverWickets:
    """A run over wickets: it has a cadence, gaps to open, and stages that follow it."""

    __slots__ = ()


class AtLine:
    """A run that ends on a take-off line, which holds it in its place."""

    __slots__ = ()


class AnyLength:
    """A run with any number of wickets, told as such; several athletes may share it."""

    __slots__ = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOn:
    """A run-on in whole steps, and the run it is part of.

    Parameters
    ----------
    steps
        Steps to the last landing before the first wicket.
    landings
        Touchdowns 1 to `steps`, from the start mark.
    times_s : array
        When the feet come down as if the run-on never ended, `steps` + 1 times at least [s].
    last_time_s
        Time of the last landing before the first wicket [s].
    cadence_hz
        Cadence of the run-on [steps/s], that of free running: nobody shortens it for wickets.
    front_foot
        Front foot on the start mark; None when neither it nor the foot at W1 is known.
    """

    steps: int
    landings: Touchdowns
    times_s: NDArray[np.float64]
    last_time_s: float
    curve: SpeedCurve
    cadence_hz: float
    front_foot: Foot | None

    def foot_at(self, touchdown: int) -> Foot | None:
        """Return the foot of touchdown k (1 is the first): the other of the front foot."""
        if self.front_foot is None:
            return None
        return self.front_foot.other if touchdown % 2 else self.front_foot

    def onward(self, cadence_hz: float, count: int) -> Touchdowns:
        """Return `count` more landings at `cadence_hz`, after the run-on's last one, which leads.

        Arrays have shape (count + 1,); element 0 is the last landing of the run-on.
        """
        return touchdowns(self.curve, self.last_time_s + np.arange(count + 1) / cadence_hz)

    def first_wicket_m(self, steps: int, cadence_hz: float, beyond_share: float) -> float:
        """Return where wicket 1 would stand from this start mark after another number of steps."""
        last_s = float(self.times_s[steps - 1])
        before, beyond = (
            self.curve.position_at(time_s) for time_s in (last_s, last_s + 1.0 / cadence_hz)
        )
        return beyond + float(FOOT_AHEAD_M) - beyond_share * (beyond - before)

    def landed(
        self, *onward: Touchdowns, datum_m: float = 0.0, count: int | None = None
    ) -> Landings:
        """Return the touchdowns of the run-on and of what follows, each led by the last before.

        Parameters
        ----------
        datum_m
            Where their places are told from, from the start mark [m].
        count
            How many of them; None takes all.
        """
        places: list[float] = []
        times: list[float] = []
        speeds: list[float] = []
        for down in (self.landings, *onward):
            new = slice(1 if places else 0, None)
            places += down.positions_m.tolist()[new]
            times += down.times_s.tolist()[new]
            speeds += down.speeds_mps.tolist()[new]
        count = len(places) if count is None else count
        feet = (self.foot_at(1), self.foot_at(2)) * count
        return Landings(
            along_m=tuple([place - datum_m for place in places[:count]]),
            time_s=tuple(times[:count]),
            speed_mps=tuple(speeds[:count]),
            feet=feet[:count],
        )


def wickets_between(landings_m: NDArray[np.float64], beyond_share: float) -> NDArray[np.float64]:
    """Return the places [m] of the wickets between `landings_m`, shape (n,): shape (n - 1,).

    Each stands a share `beyond_share` of the step before the landing beyond it.
    """
    beyond = landings_m[1:]
    return beyond - beyond_share * (beyond - landings_m[:-1])


def choose_run_on(
    runner: Runner,
    *,
    speed_share: float,
    entry_share: float,
    start: StartKind,
    first_foot: Foot | None = None,
    steps: int | None = None,
    judgement: Judgement = DEFAULTS,
) -> RunOn:
    """Return the run-on whose last landing is nearest the entry speed.

    Parameters
    ----------
    runner
        Who runs; a known front foot and a wanted `first_foot` together fix the parity of steps.
    speed_share
        What the run builds towards, as a share of top speed.
    entry_share
        Speed wanted at the last landing before the first wicket, of the speed built towards;
        below 1 unless the steps are told.
    first_foot
        Foot wanted first on the ground beyond wicket 1.
    steps
        Number of steps when somebody has already chosen it.
    """
    curve = runner.curve(speed_share, initial_speed_mps(start, judgement))
    cadence = runner.gait.free_cadence_hz(speed_share)
    times = step_times_s(cadence, max(MOST_STEPS, steps or 0) + 1, start=start, judgement=judgement)
    most = steps
    if most is None:
        # Runs only grow faster: the nearest step comes about when the entry speed is reached.
        most = min(MOST_STEPS, FEWEST_STEPS + 1 + int(cadence * curve.time_to_share(entry_share)))
    down = touchdowns(curve, times[:most])
    known = runner.athlete.front_foot
    if steps is None:
        counts = range(FEWEST_STEPS, most + 1)
        if known is not None and first_foot is not None:
            odd = first_foot is known
            counts = counts[odd != FEWEST_STEPS % 2 :: 2]
        built_to = runner.top_speed.value * speed_share
        speeds = down.speeds_mps[counts.start - 1 : most : counts.step]
        steps = counts[int(abs(speeds - entry_share * built_to).argmin())]
    return RunOn(
        steps=steps,
        landings=down.first(steps),
        times_s=times,
        last_time_s=float(times[steps - 1]),
        curve=curve,
        cadence_hz=cadence,
        front_foot=_front_foot(known, first_foot, steps),
    )


def run_on_sd_m(
    runner: Runner,
    steps: int,
    *,
    speed_share: float,
    start: StartKind,
    judgement: Judgement = DEFAULTS,
) -> float:
    """Return one SD [m] of how far a runner gets in so many steps from the start mark.

    Tau, top speed and step at top speed err apart from each other; each is moved by two SD either
    way, and half of what that does on the side where it does more is its part: a run-on is not in
    proportion to tau, and two SD shall cover as much as they say.
    """
    speed_in = initial_speed_mps(start, judgement)
    tau, top, step = runner.time_constant, runner.top_speed, runner.gait.top_step
    ratio = runner.gait.free_cadence_hz(speed_share) * step.value / top.value
    unsure = float(LEAST_UNSURE_SHARE)

    def reached(tau_s: float, top_mps: float, step_m: float) -> float:
        # However unsure somebody says to be, what is tried stays a run.
        least, most = MODEL_SPEED_MPS
        built_to = min(max(speed_share * top_mps, _BARELY_FASTER * speed_in, least), most)
        tau_s = min(max(tau_s, _LEAST_TAU_S), MODEL_TIME_CONSTANT_S[1])
        curve = SpeedCurve(built_to, tau_s, speed_in)
        cadence = ratio * top_mps / max(step_m, unsure * step.value)
        times = step_times_s(cadence, steps, start=start, judgement=judgement)
        return float(touchdowns(curve, times[-1:]).positions_m[0])

    middle = reached(tau.value, top.value, step.value)
    ends = [
        (
            reached(tau.value + way * tau.sd, top.value, step.value),
            # the step that is expected goes with the speed
            reached(
                tau.value,
                top.value * max(1.0 + way * top.relative_sd, unsure),
                step.value * max(1.0 + way * top.relative_sd, unsure) ** float(STEP_SPEED_EXPONENT),
            ),
            reached(tau.value, top.value, step.value + way * step.sd),
        )
        for way in (2.0, -2.0)
    ]
    return math.hypot(
        *(max(abs(end - middle) for end in both) / 2.0 for both in zip(*ends, strict=True))
    )


def _front_foot(known: Foot | None, first_foot: Foot | None, steps: int) -> Foot | None:
    if known is not None:
        return known
    if first_foot is None:
        return None
    return first_foot if steps % 2 else first_foot.other


def run_out_m(speed_mps: float, judgement: Judgement = DEFAULTS) -> tuple[float, float]:
    """Return (wanted, least) room to slow down [m] from `speed_mps`.

    Wanted is max(15, v + v^2 / 4), least max(12, v / 2 + v^2 / 6): our judgement, a reaction time
    and an even braking of 2 or 3 m/s2.
    """
    braking = float(SLOW_DOWN_BRAKING_MPS2)
    wanted = speed_mps * float(SLOW_DOWN_REACTION_S) + speed_mps**2 / (2.0 * braking)
    least = speed_mps / 2 + speed_mps**2 / 6
    return (
        max(float(judgement.run_out_wanted_least_m), wanted),
        max(float(judgement.run_out_least_m), least),
    )


def run_out_s(speed_mps: float) -> float:
    """Return how long slowing down from `speed_mps` takes [s], in the room that is wanted."""
    return float(SLOW_DOWN_REACTION_S) + speed_mps / float(SLOW_DOWN_BRAKING_MPS2)
