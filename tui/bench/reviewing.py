"""Times that are being reviewed, athlete by athlete, until they are accepted or dropped."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, fields
from datetime import date
from typing import TYPE_CHECKING, Any

from wicketlay.errors import DomainError
from wicketlay.review.review import TimedRuns
from wicketlay.review.timed_zone import NobodysTimeError
from wicketlay.reviewing import day_of_runs, progress_in, review_athlete
from wicketlay.running.athlete import Timing
from wicketlay.units import format_time
from wicketlay.wording import word
from wicketlay.wording.solved import unit_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan import Plan
    from wicketlay.review.progress import Progress
    from wicketlay.review.review import Review
    from wicketlay.solve import Solved

_LONGEST_S = 600.0
"""Longer than any run of a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What was seen of an athlete's runs beside the clock, as `review_athlete` takes it.

    Parameters
    ----------
    effort_share
        How hard they were, as a share of top speed; None takes what was asked.
    steps
        Steps counted between the marks.
    touchdowns, fps
        Frames of a video at which the feet landed, and its frames a second.
    """

    effort_share: float | None = None
    steps: float | None = None
    touchdowns: tuple[float, ...] = ()
    fps: float | None = None

    @classmethod
    def of_json(cls, noted: Mapping[str, Any]) -> Beside:
        """Return what `asdict` of one gave, or raise TypeError or ValueError."""
        numbers = {
            each.name: float(noted[each.name])
            for each in fields(cls)
            if each.name != "touchdowns" and noted.get(each.name) is not None
        }
        return cls(touchdowns=tuple(map(float, noted.get("touchdowns", ()))), **numbers)


@dataclass(slots=True, kw_only=True)
class Reviewing:
    """What the watch said today.

    Parameters
    ----------
    timing, fps
        How times are taken; frames a second of a video, where they are known.
    day
        The day of the runs, where the coach has set one; None takes the plan's, or today.
    wind_mps
        The wind the runs had, where somebody read it.
    made, trouble
        The review on view, or why there is none.
    way
        How the athlete on view came along.
    """

    timing: Timing = Timing.HAND
    fps: float | None = None
    day: date | None = None
    wind_mps: float | None = None
    made: Review | None = None
    trouble: str = ""
    way: Progress | None = None
    _way_of: tuple[object, ...] = ()
    _times: dict[str, tuple[float, ...]] = field(default_factory=dict)
    _beside: dict[str, Beside] = field(default_factory=dict)

    def times_of(self, athlete: str) -> tuple[float, ...]:
        """Return the times [s] of an athlete that are not accepted yet."""
        return self._times.get(athlete, ())

    def add(self, athlete: str, time_s: float) -> None:
        """Note one more time [s]."""
        self._times[athlete] = (*self.times_of(athlete), time_s)

    def drop_last(self, athlete: str) -> None:
        """Forget the last time of an athlete."""
        self._times[athlete] = self.times_of(athlete)[:-1]

    def clear(self, athlete: str) -> None:
        """Forget all times of an athlete, and what was seen beside them."""
        self._times.pop(athlete, None)
        self._beside.pop(athlete, None)

    def beside(self, athlete: str) -> Beside:
        """Return what was seen of an athlete's runs beside the clock."""
        return self._beside.get(athlete, Beside())

    def see(self, athlete: str, seen: Beside) -> None:
        """Note what was seen of an athlete's runs beside the clock."""
        self._beside[athlete] = seen

    def noted(self, day: date | None = None) -> dict[str, Any]:
        """Return all times that are not accepted yet, how they were taken and when, for JSON."""
        times = {athlete: list(each) for athlete, each in self._times.items() if each}
        if not times:
            return {}
        on = {} if day is None else {"day": day.isoformat()}
        beside = {who: asdict(self._beside[who]) for who in times if who in self._beside}
        seen = {"beside": beside} if beside else {}
        numbers = {"wind_mps": self.wind_mps, "fps": self.fps}
        more = {name: number for name, number in numbers.items() if number is not None}
        return {"timing": self.timing.value, **on, "of": times, **seen, **more}

    def take_noted(self, noted: Any) -> bool:  # noqa: ANN401 - JSON
        """Take up what `noted` gave; return whether there was anything in it that can be."""
        try:
            timing, day = Timing(noted["timing"]), date.fromisoformat(noted["day"])
            times = {str(who): tuple(map(float, each)) for who, each in noted["of"].items()}
            wind, fps = (
                None if noted.get(name) is None else float(noted[name])
                for name in ("wind_mps", "fps")
            )
            beside = {who: Beside.of_json(each) for who, each in noted.get("beside", {}).items()}
        except (KeyError, TypeError, ValueError, AttributeError):
            return False
        if not all(0.0 < time_s < _LONGEST_S for each in times.values() for time_s in each):
            return False
        self.timing, self.day, self._times, self._beside = timing, day, times, beside
        self.wind_mps, self.fps = wind, fps
        return any(times.values())

    def in_words(self) -> str:
        """Return all times that are not accepted yet, by athlete."""
        each = ((who, ", ".join(map(format_time, times))) for who, times in self._times.items())
        return "; ".join(f"{who} {times}" for who, times in each if times)

    @property
    def video_fps(self) -> float | None:
        """Frames a second that times are read to; None when they are not from a video."""
        return self.fps if self.timing is Timing.VIDEO else None

    def timed_text(self) -> str:
        """Return how times are taken, in words."""
        frames = "" if self.video_fps is None else f", {self.video_fps:g} frames a second"
        return f"timed by {self.timing.value}{frames}"

    def next_timing(self) -> None:
        """Take times another way."""
        ways = tuple(Timing)
        self.timing = ways[(ways.index(self.timing) + 1) % len(ways)]

    def day_of(self, plan: Plan, today: date) -> date:
        """Return the day the times are of."""
        return self.day or day_of_runs(plan, today)

    def look(self, solved: Solved, athlete: str | None, today: date) -> None:
        """Review the times of an athlete against what was solved."""
        self.made, self.trouble = None, ""
        self._look_back(solved.plan, athlete)
        if athlete is None or not self.times_of(athlete):
            return
        seen = self.beside(athlete)
        try:
            self.made = review_athlete(
                solved,
                athlete,
                TimedRuns(
                    wind_mps=self.wind_mps,
                    effort_share=seen.effort_share,
                    steps=seen.steps,
                    touchdowns=seen.touchdowns,
                    fps=seen.fps or self.video_fps,
                    times_s=self.times_of(athlete),
                    timing=self.timing,
                    day=self.day_of(solved.plan, today),
                ),
            )
        except NobodysTimeError as error:
            self.trouble = str(word(error.finding, unit_of(solved.plan)))
        except DomainError as error:
            self.trouble = str(error)

    def _look_back(self, plan: Plan, who: str | None) -> None:
        """Find how an athlete came along, anew only where something of it has changed."""
        athlete = next((each for each in plan.athletes if each.name == who), None)
        of = (athlete, plan.drill, plan.judgement)
        if of != self._way_of:
            self.way = None if athlete is None else progress_in(plan, athlete)
            self._way_of = of
