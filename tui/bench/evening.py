"""What a day that was run makes of the plan: everything that is ready goes to the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.after_practice import accept_all
from wicketlay.edits import Edit, was_done
from wicketlay.errors import DomainError
from wicketlay.wording import word

if TYPE_CHECKING:
    from tui.bench.bench import Bench
    from tui.bench.hour import Hour


def left(hour: Hour, bench: Bench) -> frozenset[str]:
    """Return whose runs of the day that is looked at are noted only."""
    day = hour.day_looked_at.isoformat()
    return frozenset(bench.noted_only.get(day, ()))


def note_only(hour: Hour, bench: Bench, who: str) -> str:
    """Let the runs of somebody change nothing on the day looked at, or teach again."""
    day = hour.day_looked_at.isoformat()
    now = left(hour, bench) ^ {who}
    bench.noted_only[day] = sorted(now)
    return f"{who}: {'noted only' if who in now else 'learnt from'}"


def accept(hour: Hour, bench: Bench, sure: str | None = None) -> str:
    """Write all that is ready to the record, or one athlete's that somebody is sure of.

    One change of the plan; what it moves on the ground is proposed.
    """
    day = hour.after(bench)
    found = [each for each in day.outcomes if sure in {None, each.athlete}]
    named = frozenset(() if sure is None else (sure,))
    taken = accept_all(bench.plan, found, day.day, sure=named, leave=left(hour, bench) - named)
    if not taken.taken:
        raise DomainError("nobody's runs are ready and not in the record yet")
    names = ", ".join(taken.taken)
    written = was_done("record", names=names)
    if taken.left:
        written = was_done("record-not-all", names=names, left=", ".join(taken.left))
    if not bench.do(lambda _: Edit(plan=taken.plan, done=written)):
        raise DomainError(bench.told.text)
    return word(written).text
