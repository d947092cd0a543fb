"""The cautions on every sheet. Common practice, no source, where no rule is named."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.drills.marks import MarkKind
from wicketlay.wording.places import ground_word

if TYPE_CHECKING:
    from wicketlay.lanes.laying import Laying

CAUTIONS: tuple[str, ...] = (
    "Warm up first.",
    "Only low wickets that fall when struck.",
    "Tape and tools off the lane before anyone runs.",
    "The whole lane or runway is closed, and the slow-down or the pit is free.",
    "Stop when form goes.",
    "Not on a wet, icy or damaged surface.",
    "Children, and anyone after an injury, only by a qualified coach's judgement.",
    "Facility rules, the governing body's codes and medical advice come first.",
)
"""All of them, in the order they matter through a practice."""

FOOT_LINE = (
    "Warm up. Low wickets that fall. Tape up, run closed, its end free. Stop when form goes. "
    "Not on wet ground. Children, after injury: qualified coach. Facility rules first."
)
"""All of them on one line, for the foot of every page."""


def for_the_assistant(laying: Laying) -> tuple[str, ...]:
    """Return what an assistant needs while laying out; the one before the last closes the run."""
    end = "slow-down free" if laying.layout.slows_down else "pit free and raked"
    low = "Low wickets only, and they must fall when struck."
    return (
        *((low,) if laying.layout.of_kind(MarkKind.WICKET) else ()),
        f"Tape up and {ground_word(laying)} closed, {end}, before anyone runs.",
        "Wet, icy or damaged surface: do not lay. Ask the coach.",
    )
