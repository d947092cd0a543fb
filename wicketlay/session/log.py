"""The practice log: what one entry is, what stands after corrections, and where a practice is.

An entry is never changed. A correction is a new entry that names the one it replaces and tells
all of it again, so that what stands is always the last that was said of a thing:

    1  run    Wren, run 3                    "off" was pressed
    2  run    Wren, run 3, 2.17 s            replaces 1: the time came in
    3  run    Wren, run 3, 2.71 s            replaces 2: a slip of the finger
    4  gone                                  replaces 3: it was no run at all
"""

from __future__ import annotations

import statistics
from dataclasses import field, fields
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from wicketlay.declared import Kind, check_keys, declare, keyed, keys_of
from wicketlay.drills.marks import RunOver
from wicketlay.drills.run_on import SPEED
from wicketlay.errors import DomainError
from wicketlay.running.air import WIND
from wicketlay.running.contacts import counted_cadence
from wicketlay.running.facts import BoardMisses, Observation, Timing
from wicketlay.sources import Judgement
from wicketlay.values import dataclass, replace, set_when_made

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

MOST_TIMES = 6
"""Most times of one run: as many as there are watches on it."""
LONGEST_NOTE = 200
"""Characters of a note."""
_DAY_S = 24 * 3600
_FASTEST_START_MPS = next(
    float(each.metadata["high"]) for each in fields(Judgement) if each.name == "jog_in_mps"
)
_KEPT_TO = {
    **dict.fromkeys(("miss_m", "slide_m", "zone_m", "run_on_m", "moving_mps", "wind_mps"), 2),
    "effort_share": 2,
    "asked_share": 3,
}
"""Decimals that are kept."""
_AT_BOARD, _SEEN = keys_of(BoardMisses), keys_of(Observation)


class What(StrEnum):
    """What an entry tells."""

    BEGUN = "begun"  # the session begins: its seconds count from here
    RUN = "run"  # a run; its time may come in later
    ABSENT = "absent"  # is not here, or has gone
    LATE = "late"  # comes at `due_s`
    HERE = "here"  # is here after all
    SWAP = "swap"  # changes places with `other` in the running order
    MOVED = "moved"  # the mark `other` of a lane now lies as its wave and stage want it
    NOTE = "note"  # nothing but a note
    GONE = "gone"  # what it replaces never was


class Flag(StrEnum):
    """Why a run is shown and not learnt from."""

    HIT = "hit"
    STUMBLED = "stumbled"
    NOT_TIMED = "not timed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the log.

    Times are kept to a millisecond, wind to a centimetre a second, an effort to a per cent; a miss
    at the board, the slide of all marks, and the ground a run was timed over to a centimetre.
    That ground is told from mark to mark, as a tape shows it, and what was asked there to a
    thousandth: gaps, starts and speeds are changed later, and a time is one of what was run.

    Parameters
    ----------
    number
        Its number in the log from 1; 0 before it is written.

    Raises
    ------
    DomainError
        When a value is out of range, or does not go with what is told.
    """

    day: dt.date = field(metadata=declare(Kind.DATE, "the day of the practice", name="date"))
    what: What = keyed(What.RUN, Kind.WORD, "what it tells", words=What)
    number: int = keyed(0, Kind.COUNT, "its number in the log", 0, 1_000_000, name="entry")
    replaces: int | None = keyed(
        None, Kind.COUNT, "the number of the entry it corrects", 1, 1_000_000
    )
    clock: dt.time | None = keyed(None, Kind.TEXT, "when, by the clock on the wall")
    at_s: int | None = keyed(
        None, Kind.COUNT, "seconds from the session's beginning", 0, _DAY_S, si="s"
    )
    athlete: str = keyed("", Kind.TEXT, "who", empty=True)
    run: int | None = keyed(None, Kind.COUNT, "which run of theirs, from 1", 1, 99)
    lane: int | None = keyed(None, Kind.COUNT, "on which lane", 1, 60)
    wave: int | None = keyed(None, Kind.COUNT, "in which wave", 1, 50)
    stage: int | None = keyed(None, Kind.COUNT, "at which stage", 1, 20)
    times_s: tuple[float, ...] = keyed(
        (), Kind.DURATION, "the time, one a watch", 0.3, 60.0, what="time", members=(0, MOST_TIMES)
    )
    timing: Timing | None = keyed(None, Kind.WORD, "how it was timed", words=Timing)
    fps: int | None = keyed(
        None, Kind.COUNT, "frames a second of a video", 10, 2000, what="frames a second", si="1/s"
    )
    from_mark: str = keyed("", Kind.TEXT, "timed from", empty=True)
    to_mark: str = keyed("", Kind.TEXT, "timed to", empty=True)
    zone_m: float | None = field(
        default=None, metadata={"key": replace(_SEEN["distance_m"], name="zone", what="timed zone")}
    )
    run_on_m: float | None = field(
        default=None, metadata={"key": replace(_SEEN["run_on_m"], what="run-on to the timed zone")}
    )
    asked_share: float | None = field(
        default=None, metadata={"key": replace(SPEED["key"], name="asked", what="asked speed")}
    )
    moving_mps: float | None = keyed(
        None, Kind.SPEED, "speed at the start mark, 0 standing", 0.0, _FASTEST_START_MPS
    )
    steps: int | None = keyed(None, Kind.COUNT, "steps counted between the marks", 2, 400)
    touchdowns: tuple[int, ...] = keyed(
        (),
        Kind.COUNT,
        "instead: frames of a video at which the feet landed, a row without gaps",
        0,
        100_000,
        what="frame of a touchdown",
        members=(2, 200),
    )
    miss_m: float | None = field(
        default=None, metadata={"key": replace(_AT_BOARD["misses_m"], name="miss", members=None)}
    )
    slide_m: float | None = field(default=None, metadata={"key": _AT_BOARD["slide_m"]})
    wind_mps: float | None = field(default=None, metadata=WIND)
    effort_share: float | None = keyed(
        None, Kind.SHARE, "how hard it was, where somebody told", 0.5, 1.0, si="of top speed"
    )
    flag: Flag | None = keyed(None, Kind.WORD, "why it is not learnt from", words=Flag)
    other: str = keyed("", Kind.TEXT, "with whom, or which mark", empty=True)
    due_s: int | None = keyed(None, Kind.COUNT, "when a late one comes, as at_s", 0, _DAY_S, si="s")
    note: str = keyed("", Kind.TEXT, "a short note", empty=True)

    def __post_init__(self) -> None:
        """Round to what is kept, and refuse what cannot be."""
        kept: dict[str, object] = {
            "times_s": tuple(round(each, 3) for each in self.times_s),
            "note": " ".join(self.note.split()),
        }
        for name, places in _KEPT_TO.items():
            told = getattr(self, name)
            if told is not None:
                kept[name] = round(told, places)
        if self.clock is not None:
            kept["clock"] = self.clock.replace(microsecond=0, tzinfo=None)
        for name, value in kept.items():
            set_when_made(self, name, value)
        check_keys(self)
        wrong = _unfit(self)
        if self.touchdowns and not wrong:
            counted_cadence(self.touchdowns, self.fps or 0.0)
        if wrong:
            who = f" of {self.athlete}" if self.athlete else ""
            raise DomainError(f"the entry {self.what.value}{who}: {wrong}")

    @property
    def time_s(self) -> float | None:
        """The time of the run [s], the mean of its watches; None when there is none."""
        return round(statistics.fmean(self.times_s), 3) if self.times_s else None

    @property
    def over(self) -> RunOver | None:
        """What it was timed over; None where nobody noted it."""
        zone_m, run_on_m, asked, moving = self.ground
        if zone_m is None or run_on_m is None or asked is None or moving is None:
            return None
        return RunOver(zone_m=zone_m, run_on_m=run_on_m, asked_share=asked, moving_mps=moving)

    @property
    def ground(self) -> tuple[float | None, ...]:
        """What is kept of what it was timed over, as in `RunOver`: all of it or nothing."""
        return self.zone_m, self.run_on_m, self.asked_share, self.moving_mps

    @property
    def teaches(self) -> bool:
        """Whether it is a run with a time and nothing against it."""
        return self.what is What.RUN and bool(self.times_s) and self.flag is None

    @property
    def tells_of_board(self) -> bool:
        """Whether it is a run with a miss at the board, and no wicket hit nor a stumble in it."""
        return self.miss_m is not None and self.flag in {None, Flag.NOT_TIMED}

    @property
    def waits(self) -> bool:
        """Whether it is a run whose time may still come in."""
        return self.what is What.RUN and not self.times_s and self.flag is not Flag.NOT_TIMED


_NAMES_WHO = frozenset({What.RUN, What.ABSENT, What.LATE, What.HERE, What.SWAP})


def _unfit(entry: Entry) -> str:
    """Return what does not go together in an entry, "" when all does."""
    what = entry.what
    watches = len(entry.times_s)
    ground = entry.ground
    checks = (
        (what in _NAMES_WHO and not entry.athlete, "it needs an athlete"),
        (what is What.RUN and entry.run is None, "it needs the number of the run"),
        (what is What.GONE and entry.replaces is None, "it needs the entry that never was"),
        (what is What.LATE and entry.due_s is None, "it needs when they come"),
        (
            what is What.SWAP and entry.other in {"", entry.athlete},
            "it needs another athlete to change places with",
        ),
        (what is What.MOVED and not entry.other, "it needs a mark"),
        (what is What.NOTE and not entry.note, "it needs a note"),
        (
            what is not What.RUN
            and any(each is not None for each in (entry.time_s, entry.flag, entry.miss_m, *ground)),
            "only a run has these",
        ),
        (
            any(each is not None for each in ground) and (None in ground or not entry.from_mark),
            "a timed zone has a length, a run-on to it, a speed asked for, a speed at the start, "
            "and two marks it lies between; give all of them, or none",
        ),
        (
            entry.slide_m is not None and entry.miss_m is None,
            "a slide stands beside a miss at the board only",
        ),
        (watches > MOST_TIMES, f"{watches} times; a run has up to {MOST_TIMES}"),
        (watches > 0 and entry.timing is None, "a time needs how it was taken"),
        (watches > 0 and entry.flag is Flag.NOT_TIMED, "it is not timed and has a time"),
        (
            entry.fps is not None and entry.timing is not Timing.VIDEO and not entry.touchdowns,
            "frames a second go with a video",
        ),
        (
            bool(entry.touchdowns) and entry.fps is None,
            "touchdowns need the frames a second of their video",
        ),
        (
            bool(entry.touchdowns) and entry.steps is not None,
            "steps and touchdowns count the same; leave one of them out",
        ),
        (
            bool(entry.from_mark) != bool(entry.to_mark),
            "a time is taken between two marks; give both, or none for first to last",
        ),
        (
            entry.replaces is not None and 0 < entry.number <= entry.replaces,
            f"it replaces {entry.replaces}, which does not come before it",
        ),
        (
            len(entry.note) > LONGEST_NOTE,
            f"the note has {len(entry.note)} characters; up to {LONGEST_NOTE}",
        ),
    )
    return next((told for wrong, told in checks if wrong), "")


# --- what stands ------------------------------------------------------------------------------


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return what stands after corrections, each where the first word of it was.

    Of two corrections of one entry, as two programs may write, the later stands.

    Parameters
    ----------
    entries
        Of the log, numbered, in their order.
    """
    first: dict[int, int] = {}
    stands: dict[int, Entry] = {}
    for entry in entries:
        root = entry.number if entry.replaces is None else first.get(entry.replaces, entry.number)
        first[entry.number] = root
        stands[root] = entry
    return tuple(entry for entry in stands.values() if entry.what is not What.GONE)


def correction(entry: Entry, **changes: object) -> Entry:
    """Return the entry that corrects one that was written; unchanged fields are told again."""
    return replace(entry, number=0, replaces=entry.number, **changes)  # type: ignore[arg-type]


def withdrawn(entry: Entry) -> Entry:
    """Return the entry that takes one back."""
    return Entry(day=entry.day, what=What.GONE, replaces=entry.number, athlete=entry.athlete)


# --- where a practice is ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """One day as it stands, so far.

    Parameters
    ----------
    entries
        What stands of it, in order.
    order
        The running order, after swaps.
    runs
        The runs of each athlete of the order who has run, by number of the run.
    due_s
        When late ones come, from the session's beginning [s].
    begun
        When the session began by the clock; None when nobody said.
    """

    entries: tuple[Entry, ...]
    order: tuple[str, ...]
    runs: Mapping[str, tuple[Entry, ...]]
    away: frozenset[str]
    due_s: Mapping[str, int]
    begun: dt.time | None

    @property
    def last(self) -> Entry | None:
        """The run that was begun last; None before the first."""
        runs = [each for each in self.entries if each.what is What.RUN]
        # of the same second, or without any, the one that was written last
        return max(reversed(runs), key=lambda e: -1 if e.at_s is None else e.at_s, default=None)

    def next_run(self, athlete: str) -> int:
        """Return the number of an athlete's next run, from 1."""
        return max((each.run or 0 for each in self.runs.get(athlete, ())), default=0) + 1


def practice_of(
    entries: Iterable[Entry],
    day: dt.date,
    order: Sequence[str] = (),
    due_s: Mapping[str, int] = MappingProxyType({}),
) -> Practice:
    """Return a day of the log as it stands.

    Parameters
    ----------
    entries
        Of the log, of all days.
    order
        The running order as it was planned; who ran beside follows behind.
    due_s
        When late ones come as it was planned, from the session's beginning [s]; who has run or
        was spoken of since is here, or as late as was said.
    """
    found = tuple(each for each in standing(entries) if each.day == day)
    row = list(dict.fromkeys([*order, *(each.athlete for each in found if each.athlete)]))
    runs: dict[str, list[Entry]] = {}
    away: set[str] = set()
    due: dict[str, int] = {}
    heard: set[str] = set()
    begun: dt.time | None = None
    for each in found:
        who = each.athlete
        if each.what in {What.RUN, What.ABSENT, What.LATE, What.HERE}:
            heard.add(who)
        match each.what:
            case What.RUN:
                runs.setdefault(who, []).append(each)
            case What.ABSENT:
                away.add(who)
                due.pop(who, None)
            case What.LATE:
                away.discard(who)
                due[who] = each.due_s or 0
            case What.HERE:
                away.discard(who)
                due.pop(who, None)
            case What.SWAP if each.other in row:
                one, two = row.index(who), row.index(each.other)
                row[one], row[two] = row[two], row[one]
            case What.BEGUN:
                begun = each.clock
            case _:
                pass
    return Practice(
        entries=found,
        order=tuple(row),
        runs=MappingProxyType(
            {who: tuple(sorted(runs[who], key=lambda e: e.run or 0)) for who in row if who in runs}
        ),
        away=frozenset(away),
        due_s=MappingProxyType({n: s for n, s in due_s.items() if n not in heard} | due),
        begun=begun,
    )
