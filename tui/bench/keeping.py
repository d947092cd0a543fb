"""Keeping unsaved work within a second of a change, without making a key wait for the disk."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any

from wicketlay.errors import WicketlayError

if TYPE_CHECKING:
    from datetime import date

    from tui.bench.bench import Bench
    from tui.bench.shelf import OpenFile
    from wicketlay.plan import Plan
    from wicketlay.plan_file import OnGround

DELAY_S = 0.3
"""From a change to its being written; further changes meanwhile go with it."""


class Keeper:
    """Writes the sidecar of the plan on a bench; safe to call from any thread."""

    def __init__(self) -> None:
        self._writing = threading.Lock()
        self._wanted: tuple[OpenFile, Plan, dict[str, Any], OnGround | None] | None = None
        self.trouble = ""

    def note(self, bench: Bench, today: date) -> None:
        """Remember what is to be kept; nothing is written yet.

        What was kept before stays until somebody said what becomes of it.
        """
        if not bench.offering:
            other = bench.ground is not None and bench.ground.plan != bench.plan
            ground = bench.ground if other else None
            self._wanted = (bench.opened, bench.plan, bench.typed(today), ground)

    def keep(self) -> None:
        """Write what was noted last, if it is not written yet; trouble is noted, not raised."""
        with self._writing:
            wanted, self._wanted = self._wanted, None
            if wanted is None:
                return
            opened, plan, typed, ground = wanted
            try:
                opened.keep(plan, typed, ground)
            except WicketlayError as error:
                self.trouble = str(error)
            else:
                self.trouble = ""
