"""Undo and redo over everything: every plan there was, and what made it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.plan import Plan

MOST_STEPS = 1000
"""Changes kept; a practice makes a few hundred."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A plan and the change that led to it."""

    plan: Plan
    done: str


class History:
    """Plans in the order they were made, and which of them is on view.

    Parameters
    ----------
    plan
        The plan as it was opened.
    """

    def __init__(self, plan: Plan) -> None:
        self._steps = [Step(plan=plan, done="opened")]
        self._at = 0

    @property
    def plan(self) -> Plan:
        """The plan on view."""
        return self._steps[self._at].plan

    @property
    def depth(self) -> int:
        """How many changes led to the plan on view."""
        return self._at

    @property
    def can_undo(self) -> bool:
        """True when there is a change to take back."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """True when a change was taken back and nothing else was done since."""
        return self._at < len(self._steps) - 1

    def push(self, plan: Plan, done: str) -> None:
        """Note a change; what was taken back before it is dropped."""
        del self._steps[self._at + 1 :]
        self._steps.append(Step(plan=plan, done=done))
        del self._steps[: -MOST_STEPS - 1]
        self._at = len(self._steps) - 1

    def undo(self) -> str:
        """Take one change back and return what it was; IndexError when there is none."""
        if not self.can_undo:
            raise IndexError
        done = self._steps[self._at].done
        self._at -= 1
        return done

    def redo(self) -> str:
        """Do again what was taken back last and return what it was; IndexError when nothing."""
        if not self.can_redo:
            raise IndexError
        self._at += 1
        return self._steps[self._at].done
