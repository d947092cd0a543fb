"""What was seen of runs beside their times: by which clock, how hard, what was counted."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tui.actions.change import check_of
from tui.actions.hour import noted
from tui.bench.reviewing import Beside
from tui.said.shown import why_empty
from tui.said.shown_lists import beside_text, wind_text
from tui.screens.asking import Ask
from wicketlay.declared import keys_of
from wicketlay.keys.codecs import codec_of
from wicketlay.keys.typed import from_text
from wicketlay.running.facts import Observation, Timing

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.core import Core

_EFFORT, _STEPS, _FRAMES, _FPS, _WIND = (
    codec_of(keys_of(Observation)[name])
    for name in ("held_share", "steps", "touchdowns", "fps", "wind_mps")
)


def clock(app: Core) -> None:
    """By hand, by gates, or from a video, whose frames a second are asked for."""
    reviewing = app.bench.reviewing
    reviewing.next_timing()
    app.keep_soon()
    app.say(reviewing.timed_text())
    if reviewing.timing is Timing.VIDEO:
        check = _or_nothing(check_of(_FPS, "60"))
        ask = _ask_fps("the video; empty if not known", reviewing.fps, check)
        app.push_screen(ask, partial(_clock_fps_told, app))


def _clock_fps_told(app: Core, text: str | None) -> None:
    if text is not None:
        app.bench.reviewing.fps = from_text(_FPS, text) if text.strip() else None
        app.keep_soon()
    app.say(app.bench.reviewing.timed_text())


def _ask_fps(of: str, fps: float | None, check: Callable[[str], str]) -> Ask:
    value = "" if fps is None else f"{fps:g}"
    return Ask(f"frames a second of {of}", unit="1/s", check=check, value=value)


def effort(app: Core) -> None:
    """Say how hard the runs were; nothing is as hard as was asked."""
    who = app.bench.view.athlete
    if who is None:
        app.say(why_empty(app.bench), refused=True)
        return
    told = app.bench.reviewing.beside(who).effort_share
    ask = Ask(
        f"how hard {who} ran, of top speed; empty for what was asked",
        unit="%",
        check=_or_nothing(check_of(_EFFORT, "98 %")),
        value="" if told is None else f"{100.0 * told:g}",
    )
    app.push_screen(ask, partial(_effort_told, app, who))


def _effort_told(app: Core, who: str, text: str | None) -> None:
    if text is not None:
        share = from_text(_EFFORT, text) if text.strip() else None
        _see(app, who, replace(app.bench.reviewing.beside(who), effort_share=share))


def counted(app: Core) -> None:
    """Take the steps of a free run, or the frames of touchdowns in a row."""
    who = app.bench.view.athlete
    if who is None:
        app.say(why_empty(app.bench), refused=True)
        return
    seen = app.bench.reviewing.beside(who)
    _ask_counted(app, who, seen, partial(_see, app, who))


def counted_run(app: Core) -> None:
    """Take them for a run that stands in the log: the last that was timed."""
    hour, who = app.hour(), app.bench.view.athlete
    run = None if hour is None or who is None else hour.last_timed(who)
    if hour is None or run is None:
        app.say(f"{who or 'nobody'} has no run with a time today", refused=True)
        return
    seen = Beside(
        steps=None if run.steps is None else float(run.steps),
        touchdowns=tuple(map(float, run.touchdowns)),
        fps=None if run.fps is None else float(run.fps),
    )

    def told(now: Beside) -> None:
        write = noted(lambda hour, _: hour.count(run, now.steps, now.touchdowns, now.fps))
        write(app)

    _ask_counted(app, f"{who}, run {run.run}", seen, told)


def _ask_counted(app: Core, of: str, seen: Beside, told: Callable[[Beside], None]) -> None:
    shown = seen.touchdowns if seen.steps is None else (seen.steps,)
    ask = Ask(
        f"steps of {of}, or the frames of touchdowns in a row",
        check=_or_nothing(_counted_refused),
        value=" ".join(f"{each:g}" for each in shown),
    )

    def answered(text: str | None) -> None:
        if text is None:
            return
        numbers = tuple(float(each) for each in _split(text))
        if len(numbers) < 2:
            steps = numbers[0] if numbers else None
            told(replace(seen, steps=steps, touchdowns=(), fps=None))
            return
        now = replace(seen, steps=None, touchdowns=numbers)
        fps = seen.fps or app.bench.reviewing.fps
        ask = _ask_fps(f"the video of {of}", fps, check_of(_FPS, "60"))
        app.push_screen(ask, partial(framed, now))

    def framed(now: Beside, text: str | None) -> None:
        if text is not None:
            told(replace(now, fps=from_text(_FPS, text)))

    app.push_screen(ask, answered)


def _see(app: Core, who: str, seen: Beside) -> None:
    app.bench.reviewing.see(who, seen)
    app.keep_soon()
    app.say(f"{who}: {beside_text(seen)}")


def wind(app: Core) -> None:
    """Say which wind the runs under review had; nothing is that nobody read it."""
    told = app.bench.reviewing.wind_mps
    ask = Ask(
        "wind along the runs, + from behind; empty if nobody read it",
        unit="m/s",
        check=_or_nothing(check_of(_WIND, "+1.8 m/s")),
        value="" if told is None else f"{told:+g}",
    )
    app.push_screen(ask, partial(_wind_told, app))


def _wind_told(app: Core, text: str | None) -> None:
    if text is not None:
        app.bench.reviewing.wind_mps = from_text(_WIND, text) if text.strip() else None
        app.keep_soon()
        app.say(wind_text(app.bench.reviewing.wind_mps))


def _or_nothing(check: Callable[[str], str]) -> Callable[[str], str]:
    """Return a check that lets an empty line pass."""
    return lambda text: check(text) if text.strip() else ""


def _split(text: str) -> list[str]:
    return text.replace(",", " ").split()


def _counted_refused(text: str) -> str:
    """Return why a text is neither steps nor frames of touchdowns, "" when it is."""
    if len(_split(text)) < 2:
        return check_of(_STEPS, "11")(text)
    return check_of(_FRAMES, "12 34 56")(" ".join(_split(text)))
