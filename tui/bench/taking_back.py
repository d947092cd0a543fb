"""What can be taken back of a practice, and how each thing that was written down is called."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wicketlay.session.log import Entry, Flag, What
from wicketlay.units import format_time
from wicketlay.wording.names import mark_name

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date


FLAGGED = {Flag.HIT: "hit a wicket", Flag.STUMBLED: "stumbled", Flag.NOT_TIMED: "not timed"}


def named(entry: Entry) -> str:
    """Return what an entry is about."""
    if entry.what is What.RUN:
        return f"{entry.athlete}, run {entry.run}"
    return " ".join(
        part for part in (entry.athlete, entry.note or entry.what.value, entry.other) if part
    )


def said_of(now: Entry, before: Entry) -> str:
    """Return what a correction said of a run, "" where it is none of what keys say at the track."""
    if now.times_s and now.times_s != before.times_s:
        return format_time(now.times_s[0])
    return "" if now.flag in {None, before.flag} else FLAGGED[now.flag]


def ticks_named(ticks: Sequence[Entry], *, lanes: bool) -> str:
    """Return what one key ticked off: the mark, or how many rows, and where if of `lanes`."""
    where = f", lane {ticks[0].lane}" if lanes and ticks[0].lane else ""
    what = mark_name(ticks[0].other) if len(ticks) == 1 else f"{len(ticks)} rows"
    return f"{what} ticked off{where}"


def steps_of(
    entries: Iterable[Entry], day: date, pages: Sequence[range] = ()
) -> list[tuple[Entry, Entry | None, Entry]]:
    """Return what can be taken back, in the order it was done: of a day, or in so many pages.

    Each step is what was said, what had been said of the same thing before (None when nothing),
    and what stands of it now. A step that was taken back is none any more: it says again what
    stood before it.
    """
    chains: dict[int, list[Entry]] = {}
    roots: dict[int, int] = {}
    last: dict[int, Entry] = {}
    for entry in entries:
        root = entry.number if entry.replaces is None else roots.get(entry.replaces, entry.number)
        roots[entry.number] = root
        last[root] = entry
        chain = chains.setdefault(root, [])
        if entry.what is What.GONE:
            chain.clear()
            continue
        said = [replace(each, number=0, replaces=None) for each in chain]
        again = replace(entry, number=0, replaces=None)
        if again in said:
            del chain[said.index(again) + 1 :]
        else:
            chain.append(entry)
    steps = [
        (entry, chain[place - 1] if place else None, last[root])
        for root, chain in chains.items()
        for place, entry in enumerate(chain)
        if (entry.day == day or any(entry.number in each for each in pages))
        and entry.what is not What.BEGUN
    ]
    return sorted(steps, key=lambda step: step[0].number)
