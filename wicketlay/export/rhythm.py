"""The sound of a run: a click a touchdown, as 16-bit PCM.

One click a step and not one a stride, which holds better (Brain Sciences 2020, 10(5) 273). A
click's first sample is the touchdown's own, rounded once; between clicks there is silence.

    channel   left     right    both
    foot      left     right    not known, the count, the start

A sound ends with the mark of its plan, by which it is known again, in a chunk players pass over.
"""

from __future__ import annotations

import io
import re
import struct
import wave
from enum import Enum
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.drills.marks import MarkKind
from wicketlay.errors import UsageError
from wicketlay.files.whole import own_mark
from wicketlay.running.athlete import Foot
from wicketlay.units import format_cadence
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from wicketlay.drills.marks import Layout
    from wicketlay.solve import Laying, Solved

RATE_HZ = 12_000
"""Samples a second: a step is placed to 0.1 ms, and a run is a file one can send."""
COUNT_S = 0.7
"""From one beat of the count to the next, and from the last to the start."""
LOOP_S = (2.0, 600.0)
"""How long a loop may be [s]."""
CAUTION = "a cue, not a command; one ear free where others train"
_PARTED = "the left foot in the left ear, the right in the right"
_UNPARTED = "each step in both ears: front_foot under the athlete's name parts them"
_IN_TURN = "left and right in turn"
_COUNT = 3
_CLICK_S = 0.04
_PEAK = 0.7
_TAIL_S = 0.25


class Pitch(Enum):
    """What a click is for; the value is its frequency [Hz]."""

    COUNT = 500.0
    START = 700.0
    STEP = 1000.0
    WICKET = 1700.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Beat:
    """A click: when [s], what for, and on which side (None: both)."""

    time_s: float
    pitch: Pitch
    foot: Foot | None = None


def layout_of(solved: Solved, athlete: str) -> tuple[Laying, Layout]:
    """Return where an athlete runs now, and the layout of the athlete's own run.

    On a lane of one's own that is the laying's; where several share one it is the run this athlete
    would have alone, since a sound that is as wrong for all helps nobody.

    Raises
    ------
    UsageError
        When the athlete runs nowhere, or the drill tells no touchdowns.
    """
    for laying in solved.layings:
        if laying.stage != solved.plan.stage:
            continue
        for demand in laying.demands:
            if demand.athlete.name != athlete:
                continue
            layout = laying.layout if len(laying.demands) == 1 else demand.layout
            if not layout.landings:
                message = f"a {layout.drill} tells no touchdowns, so it has no rhythm to sound"
                raise UsageError(message)
            return laying, layout
    raise UsageError(f"{athlete} has no marks in this plan, so there is no rhythm to sound")


def alone_text(laying: Laying, athlete: str) -> str:
    """Return that the sound is of the run alone where gaps shared ask another cadence, else ""."""
    demand = next(each for each in laying.demands if each.athlete.name == athlete)
    alone, asked = map(format_cadence, (demand.layout.cadence_hz, demand.cadence_hz))
    if len(laying.demands) == 1 or alone == asked:
        return ""
    return f"; the run alone, {alone} over the wickets; the shared gaps ask {asked}"


def sound_name(plan: str, athlete: str) -> str:
    """Return what the sound of an athlete's run is called; `plan` is the name without its end."""
    return re.sub(r"[^\w-]+", "-", f"{plan}-{athlete}") + ".wav"


def beats_of(layout: Layout) -> tuple[Beat, ...]:
    """Return a count of three, the start, and every touchdown; those past a wicket pitch higher.

    Times are from the beginning of the sound [s]; the start is at three beats of the count.
    """
    start_s = _COUNT * COUNT_S
    beats = [Beat(time_s=i * COUNT_S, pitch=Pitch.COUNT) for i in range(_COUNT)]
    beats.append(Beat(time_s=start_s, pitch=Pitch.START))
    wickets = [mark.along_m for mark in layout.of_kind(MarkKind.WICKET)]
    before = -np.inf
    for landing in layout.landings:
        past = any(before < place <= landing.along_m for place in wickets)
        pitch = Pitch.WICKET if past else Pitch.STEP
        beats.append(Beat(time_s=start_s + landing.time_s, pitch=pitch, foot=landing.foot))
        before = landing.along_m
    return tuple(beats)


def sound_of(layout: Layout, loop_s: float | None, origin: str) -> tuple[bytes, str]:
    """Return the sound of a run, or a loop so long, as a file of a plan, and what to say of it.

    Parameters
    ----------
    layout
        Whose touchdowns are sounded.
    loop_s
        About how long a steady click is [s]; None for the run.
    origin
        What the plan's file is called.
    """
    beats = beats_of(layout)
    sound = as_wav(beats) if loop_s is None else loop_wav(layout, loop_s)
    parted = _PARTED if any(beat.foot for beat in beats) else _UNPARTED
    ears = parted if loop_s is None else _IN_TURN
    with wave.open(io.BytesIO(sound)) as file:
        length_s = file.getnframes() / RATE_HZ
    data = _marked(sound, own_mark(origin))
    told = f"{length_s:.1f} s, {len(data) / 1000:.0f} kB, {ears}; {CAUTION}"
    return data, told


def _marked(sound: bytes, mark: str) -> bytes:
    """Return a WAV file that holds a mark as its comment."""
    text = mark.encode() + (b"\0" if len(mark) % 2 else b"\0\0")
    told = b"INFOICMT" + struct.pack("<I", len(text)) + text
    chunk = b"LIST" + struct.pack("<I", len(told)) + told
    return sound[:4] + struct.pack("<I", len(sound) + len(chunk) - 8) + sound[8:] + chunk


def as_wav(beats: Sequence[Beat]) -> bytes:
    """Return clicks as a stereo WAV file that ends a moment after the last."""
    length = round((beats[-1].time_s + _CLICK_S + _TAIL_S) * RATE_HZ)
    return _wav(beats, length)


def loop_wav(layout: Layout, length_s: float) -> bytes:
    """Return a steady click at the section's cadence, left and right, to be played in a loop.

    It holds a whole number of pairs of steps, so that from its last click to its first is a step
    like any other.

    Parameters
    ----------
    layout
        Whose cadence is sounded.
    length_s
        About how long [s], within `LOOP_S`.
    """
    step_s = 1.0 / layout.cadence_hz
    steps = 2 * max(1, round(length_s / step_s / 2))
    feet = (Foot.LEFT, Foot.RIGHT)
    beats = [Beat(time_s=i * step_s, pitch=Pitch.WICKET, foot=feet[i % 2]) for i in range(steps)]
    return _wav(beats, round(steps * step_s * RATE_HZ))


def _wav(beats: Sequence[Beat], length: int) -> bytes:
    samples = np.zeros((length, 2), dtype="<i2")
    for beat in beats:
        at = round(beat.time_s * RATE_HZ)
        click = _click(beat.pitch)[: length - at]
        for channel, foot in enumerate((Foot.LEFT, Foot.RIGHT)):
            if beat.foot in {None, foot}:
                samples[at : at + len(click), channel] = click
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(samples.tobytes())
    return out.getvalue()


def _click(pitch: Pitch) -> NDArray[np.int16]:
    """Return a click that begins with its first sample and fades to nothing at its end."""
    n = round(_CLICK_S * RATE_HZ)
    k = np.arange(n)
    wave_of = np.sin(2.0 * np.pi * pitch.value * (k + 0.5) / RATE_HZ)
    fades = (1.0 - k / n) ** 3
    return np.round(_PEAK * 32767.0 * fades * wave_of).astype(np.int16)
