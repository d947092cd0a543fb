"""Cadence from touchdowns in a video: any number of contacts in a row, by their frames."""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING

import numpy as np

from wicketlay.errors import DomainError, require_range
from wicketlay.running.estimates import Estimate
from wicketlay.sources import CONTACT_SD_FRAMES

if TYPE_CHECKING:
    from collections.abc import Sequence

CADENCES_HZ = (1.5, 7.0)
"""What a cadence that was counted may be [steps/s]: a slow jog to more than anyone."""
_LEFT_OUT = 1.6
"""An interval so many times the usual one holds a contact that was not read."""
_FEWEST_FOR_SCATTER = 3


def counted_cadence(frames: Sequence[float], fps: float) -> Estimate:
    """Return the cadence [steps/s] of touchdowns in a row, by least squares over all of them.

    The frames of the contacts are a straight line over their numbers, whose slope is the frames a
    step takes. The error of one contact is that of reading a frame, or the scatter about the line
    where that is larger: left and right seldom take the same time.

    Parameters
    ----------
    frames : sequence, length (n,)
        The video's frame of each touchdown, rising, none left out; n is 2 or more.
    fps
        Frames a second.

    Raises
    ------
    DomainError
        When the frames do not rise, a contact is missing, or the cadence is nobody's.
    """
    read = np.asarray(frames, dtype=float)
    steps = np.diff(read)
    if not np.all(steps > 0.0):
        at = int(np.argmax(steps <= 0.0))
        raise DomainError(
            f"touchdowns must rise: frame {read[at + 1]:g} comes after frame {read[at]:g}; write "
            "them in running order"
        )
    usual = statistics.median(steps.tolist())
    if steps.max() > _LEFT_OUT * usual:
        at = int(np.argmax(steps))
        raise DomainError(
            f"between frames {read[at]:g} and {read[at + 1]:g} lie {steps[at]:g} frames, "
            f"{usual:g} elsewhere: a touchdown is left out; give contacts in a row"
        )
    numbers = np.arange(read.size) - (read.size - 1) / 2.0
    lever = float(numbers @ numbers)
    frames_a_step = float(numbers @ read) / lever
    cadence = fps / frames_a_step
    require_range("cadence of the touchdowns", cadence, *CADENCES_HZ, "steps/s")
    contact_sd = float(CONTACT_SD_FRAMES)
    if read.size >= _FEWEST_FOR_SCATTER:
        off = read - read.mean() - frames_a_step * numbers
        contact_sd = max(contact_sd, math.sqrt(float(off @ off) / (read.size - 2)))
    relative_sd = contact_sd / math.sqrt(lever) / frames_a_step
    return Estimate(value=cadence, sd=cadence * relative_sd, basis=f"{read.size} touchdowns")
