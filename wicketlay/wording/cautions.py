"""The cautions on every sheet. Common practice, no source, where no rule is named."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "Warm up first.",
    "Only low wickets that fall when struck.",
    "Tape and tools off the lane before anyone runs.",
    "The whole lane is closed and the slow-down is free.",
    "Stop when form goes.",
    "Not on a wet, icy or damaged surface.",
    "Children, and anyone after an injury, only by a qualified coach's judgement.",
    "Facility rules, the governing body's codes and medical advice come first.",
)
"""All of them, in the order they matter through a practice."""

FOOT_LINE = (
    "Warm up. Low wickets that fall. Tape up, lane closed, slow-down free. Stop when form goes. "
    "Not on wet ground. Children, after injury: qualified coach. Facility rules first."
)
"""All of them on one line, for the foot of every page."""


def before_anyone_runs(ground: str, end: str) -> str:
    """Return the caution that what is run on, and what the run ends in, is free of people."""
    return f"Tape up and {ground} closed, {end}, before anyone runs."


FOR_THE_ASSISTANT: tuple[str, ...] = (
    "Low wickets only, and they must fall when struck.",
    before_anyone_runs("lane", "slow-down free"),
    "Wet, icy or damaged surface: do not lay. Ask the coach.",
)
"""The three an assistant needs while laying out."""
