"""What was written down by others: a grid from paper, and tables of times from anywhere.

The grid has a line an athlete, a run a word, as it was written at the track:

    Wren   2.71 2.68 - 2.70*      third run not timed, a wicket hit in the fourth
    Kit    2,93/2,90 3,01!        two watches on the first run, stumbled in the second
    Ines   absent
    Joren  1.02+12 -30            12 cm over at the board; 30 cm short, no time
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import fields
from typing import TYPE_CHECKING

from wicketlay.after_practice import on_ground
from wicketlay.board_misses import runs_to_board
from wicketlay.declared import keys_of
from wicketlay.errors import DomainError, QuantityError
from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.codecs.of_key import codec_of
from wicketlay.keys.codecs.special import typed_miss
from wicketlay.keys.problems import nearest_of, shown_value
from wicketlay.log_file.rows import Head, Problems, head_of, lines_of, row_of, text_of
from wicketlay.review.reviewed import far_off
from wicketlay.reviewing import expected_zone, own_laying
from wicketlay.running.facts import Timing
from wicketlay.session.log import Entry, Flag, What
from wicketlay.units import format_time, parse_speed
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import date

    from wicketlay.plan import Plan
    from wicketlay.solve import Solved

MOST_BYTES = 1024 * 1024
_SECONDS = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,4})?) ?s?")
_MARKS = {"*": Flag.HIT, "!": Flag.STUMBLED}
_NOT_TIMED = ("-", "–", "—")  # noqa: RUF001 - as word processors write it
_MISSED = re.compile(r"(?P<run>.*?)(?P<miss>[-+–−][0-9]{1,3}(?:cm|in)?)(?P<mark>[*!]?)")  # noqa: RUF001 - as they write it
_NAMES_MISS = re.compile(r"\bmiss\b", re.IGNORECASE)
_FLAGGED = re.compile(r"(?P<time>.*?)\s*(?P<mark>[*!]?)")
TIME_COLUMNS = (
    "athlete",
    "time",
    "run",
    "date",
    "timing",
    "from",
    "to",
    "steps",
    "touchdowns",
    "fps",
    "miss",
    "wind",
    "note",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """Runs that were read, and what could not be.

    Parameters
    ----------
    entries
        With the line each comes from.
    problems
        Everything that is wrong, by line.
    strange
        Columns that were not looked at.
    """

    entries: tuple[tuple[int, Entry], ...]
    problems: Problems
    strange: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Common:
    """What is the same for all runs, where they do not say otherwise."""

    day: date
    timing: Timing
    fps: int | None = None
    from_mark: str = ""
    to_mark: str = ""
    effort_share: float | None = None
    wind_mps: float | None = None


def plain(name: str) -> str:
    """Return a name without regard to case, accents and spaces, to compare it with others."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    return " ".join("".join(c for c in apart if not unicodedata.combining(c)).split())


class Names:
    """Who runs, to be found by what somebody wrote.

    Parameters
    ----------
    known
        The names in the plan.
    """

    def __init__(self, known: Iterable[str]) -> None:
        self._known = list(known)
        self._plain: dict[str, list[str]] = {}
        for name in self._known:
            self._plain.setdefault(plain(name), []).append(name)

    def found(self, written: str) -> str:
        """Return the name that is meant.

        Raises
        ------
        UnfitError
            When there is none, with the nearest, or more than one.
        """
        if written in self._known:
            return written
        named = self._plain.get(plain(written), [])
        if len(named) == 1:
            return named[0]
        if named:
            raise UnfitError(f"{shown_value(written)} may be {' or '.join(named)}")
        near = nearest_of(plain(written), list(self._plain))
        nearest = self._plain[near][0] if near else ""
        raise UnfitError(
            f"nobody called {shown_value(written)} is in the plan" if written else "says nobody",
            nearest=nearest,
            remedy="" if nearest else f"there are: {', '.join(self._known)}",
        )


def times_of(text: str) -> tuple[tuple[float, ...], Flag | None]:
    """Return the times [s] of a run as somebody wrote it, one a watch, and its flag.

    Raises
    ------
    UnfitError
        When it is no time.
    """
    if text in _NOT_TIMED:
        return (), Flag.NOT_TIMED
    found = _FLAGGED.fullmatch(text)
    flag = _MARKS.get(found["mark"]) if found else None
    written = found["time"] if found else text
    if not written and flag is not None:
        return (), flag
    times = []
    for each in written.split("/"):
        seconds = _SECONDS.fullmatch(each.strip())
        if seconds is None:
            raise UnfitError(
                f"{shown_value(text)} is no time",
                remedy="write seconds, 2.71 or 2,71; - for not timed, * for a wicket hit, "
                "! for a stumble",
            )
        if seconds[1].isdecimal():
            # "2,24" between commas falls apart into two fields, and 2 s might pass for a run
            raise UnfitError(
                f"{shown_value(text)} has no decimals", remedy="write them all, such as 2.71 or 2.0"
            )
        times.append(float(seconds[1].replace(",", ".")))
    return tuple(times), flag


def run_of(text: str, miss_unit: str = "cm") -> dict[str, object]:
    """Return what a run as it is written at the track tells of an entry."""
    found = _MISSED.fullmatch(text)
    if found is None:
        return dict(zip(("times_s", "flag"), times_of(text), strict=True))
    told: dict[str, object] = {"miss_m": typed_miss(found["miss"], miss_unit)}
    rest = found["run"] + found["mark"]
    return told | (run_of(rest) if rest else {})


def _made(like: Common, **values: object) -> Entry:
    same = {each.name: getattr(like, each.name) for each in fields(like)}
    told = same | values
    if "fps" not in values and told["timing"] is not Timing.VIDEO and not told.get("touchdowns"):
        told["fps"] = None  # the frames are those of the runs that were filmed
    try:
        return Entry(**told)
    except DomainError as error:
        raise UnfitError(str(error)) from None


# --- a grid from paper ------------------------------------------------------------------------


def read_grid(
    data: bytes,
    shown: str,
    names: Sequence[str],
    like: Common,
    begun: Mapping[str, int],
    miss_unit: str = "cm",
) -> Typed:
    """Read a day as it stands on paper: a line an athlete, a word a run.

    Parameters
    ----------
    data, shown
        The text, and how messages name it.
    names
        Who is in the plan.
    like
        What is the same for all: day, timing, marks.
    begun
        How many runs of an athlete the log has already; those on paper come after them.
    miss_unit
        What a miss at the board without a unit is in, cm or in: what the paper asks for.

    Raises
    ------
    PlanFileError
        When it cannot be read at all.
    """
    problems = Problems(shown)
    entries: list[tuple[int, Entry]] = []
    who_is = Names(names)
    seen: dict[str, int] = {}
    for number, line in enumerate(lines_of(data, MOST_BYTES, problems), start=1):
        try:
            words = text_of(line).partition("#")[0].replace(":", " ").replace(";", " ").split()
            if not words:
                continue
            at = next((i for i, word in enumerate(words) if _begins_runs(word)), len(words))
            who = who_is.found(" ".join(words[:at]))
            if who in seen:
                raise UnfitError(f"{who} stands in line {seen[who]} too", remedy="write one line")
            seen[who] = number
            made = _grid_line(who, words[at:], like, begun, miss_unit)
            entries += [(number, each) for each in made]
        except UnfitError as error:
            problems.add(number, error)
    return Typed(entries=tuple(entries), problems=problems)


def _begins_runs(word: str) -> bool:
    signed = _MISSED.fullmatch(word) is not None and word[0] in "+-–−"  # noqa: RUF001
    return signed or word[0] in "0123456789*!" or word in _NOT_TIMED or word.casefold() == "absent"


def _grid_line(
    who: str, words: Sequence[str], like: Common, begun: Mapping[str, int], miss_unit: str
) -> list[Entry]:
    if not words:
        raise UnfitError(f"{who} has no runs", remedy="write the times behind the name, or absent")
    if [word.casefold() for word in words] == ["absent"]:
        return [Entry(day=like.day, what=What.ABSENT, athlete=who)]
    made = []
    for run, word in enumerate(words, start=begun.get(who, 0) + 1):
        told = run_of(word.removesuffix(","), miss_unit)
        try:
            made.append(_made(like, athlete=who, run=run, **told))
        except UnfitError as error:
            raise UnfitError(f"run {run} of {who}, {shown_value(word)}: {error}") from None
    return made


def refuse_misses(typed: Typed, plan: Plan) -> None:
    """Refuse a miss at the board where no run ends at one: it is a slip of something else."""
    for line, entry in typed.entries:
        if entry.miss_m is not None and not runs_to_board(plan):
            message = f"run {entry.run} of {entry.athlete} has a miss at the board"
            remedy = f"this plan's drill is a {plan.drill.noun}; write - for not timed"
            typed.problems.add(line, UnfitError(message, remedy=remedy))


def off_expected(time_s: float, expected_s: float) -> str:
    """Return how far a time [s] is from the expected one [s] where that is far off, else ""."""
    if not far_off(time_s, expected_s):
        return ""
    off = time_s / expected_s - 1.0
    way = "over" if off > 0 else "under"
    return f"{abs(off) * 100:.0f} % {way} the {format_time(expected_s)} expected"


def far_times(typed: Typed, solved: Solved, logged: Sequence[Entry]) -> list[tuple[int, str]]:
    """Return the times that are far from what is expected over their marks: (line, what is odd).

    A slip of the pen or of the point, or a run that was broken off; only somebody who is sure
    writes it down. A flagged run is not learnt from, and may take as long as it likes.

    Parameters
    ----------
    typed
        The runs.
    solved, logged
        What lies on the ground, and what stands of the log: see `on_ground`.
    """
    found = []
    for line, entry in typed.entries:
        if not entry.teaches:
            continue
        stamped = on_ground(solved, entry, logged)
        try:
            zone = expected_zone(*own_laying(solved, entry.athlete, stamped.stage), stamped)
        except DomainError:
            continue  # its review tells why
        for time_s in entry.times_s:
            odd = off_expected(time_s, zone.expected_s)
            if odd:
                of = f"run {entry.run} of {entry.athlete}"
                found.append((line, f"{of}, {format_time(time_s)}, is {odd}"))
    return found


def refuse_again(typed: Typed, entries: Sequence[Entry]) -> None:
    """Refuse a line whose runs are all in the log already: the paper is typed a second time."""
    there: dict[str, list[object]] = {}
    for each in entries:
        there.setdefault(each.athlete, []).append((each.times_s, each.flag, each.miss_m))
    lines: dict[int, list[Entry]] = {}
    for line, entry in typed.entries:
        lines.setdefault(line, []).append(entry)
    for line, own in lines.items():
        new = [(each.times_s, each.flag, each.miss_m) for each in own]
        old = there.get(own[0].athlete, [])
        same = any(old[i : i + len(new)] == new for i in range(len(old)))
        if same and any(times or miss_m is not None for times, _, miss_m in new):
            typed.problems.add(
                line,
                UnfitError(
                    f"these runs of {own[0].athlete} are in the log of "
                    f"{own[0].day.isoformat()} already",
                    remedy="take the line out, or give the day it is of",
                ),
            )


# --- a table of times -------------------------------------------------------------------------


def read_times(
    data: bytes, shown: str, names: Sequence[str], like: Common, miss_unit: str = "cm"
) -> Typed:
    """Read times from a spreadsheet or a timing system's export.

    Columns by name, in any order; `athlete` and `time` are needed, or `miss` instead of a time.
    What a row does not say is as in `like`.

    Parameters
    ----------
    data, shown, names, like, miss_unit
        As for `read_grid`.

    Raises
    ------
    PlanFileError
        When it cannot be read at all.
    """
    problems = Problems(shown)
    entries: list[tuple[int, Entry]] = []
    who_is = Names(names)
    head: Head | None = None
    strange: tuple[str, ...] = ()
    runs: dict[tuple[str, date], int] = {}
    for number, line in enumerate(lines_of(data, MOST_BYTES, problems), start=1):
        try:
            text = text_of(line)
            if not text.strip():
                continue
            if head is None:
                needed = ("athlete",) if _NAMES_MISS.search(text) else ("athlete", "time")
                head = head_of(text, number, TIME_COLUMNS, needed, problems)
                if problems.found:
                    raise problems.error()
                strange = head.strange
                continue
            row = row_of(text, head)
            if row is None:
                continue
            entry = _timed(row, who_is, like, miss_unit)
            key = (entry.athlete, entry.day)
            runs[key] = max(entry.run or 0, runs.get(key, 0) + 1)
            entries.append((number, entry if row.get("run") else _run(entry, runs[key])))
        except UnfitError as error:
            if head is None:
                raise problems.only(number, error.message, error.remedy) from None
            problems.add(number, error)
    if head is None:
        raise problems.only(None, "is empty", f"the first line names: {', '.join(TIME_COLUMNS)}")
    return Typed(entries=tuple(entries), problems=problems, strange=strange)


def _run(entry: Entry, run: int) -> Entry:
    return replace(entry, run=min(run, round(keys_of(Entry)["run"].range[1])))


def _timed(row: Mapping[str, str], who_is: Names, like: Common, miss_unit: str) -> Entry:
    """Return a row as a run; UnfitError with the column when it is none."""
    cells = {name: text for name, text in row.items() if text}
    values: dict[str, object] = {"run": 1}
    readers: Mapping[str, Callable[[str], dict[str, object]]] = {
        "athlete": lambda text: {"athlete": who_is.found(text)},
        "time": lambda text: dict(zip(("times_s", "flag"), times_of(text), strict=True)),
        "run": lambda text: {"run": _whole(text)},
        "date": lambda text: {"day": codec_of(keys_of(Entry)["day"]).read(text)},
        "timing": lambda text: {"timing": codec_of(keys_of(Entry)["timing"]).read(text.casefold())},
        "from": lambda text: {"from_mark": text},
        "to": lambda text: {"to_mark": text},
        "steps": lambda text: {"steps": _whole(text)},
        "touchdowns": lambda text: {"touchdowns": _frames(text)},
        "fps": lambda text: {"fps": _whole(text)},
        "miss": lambda text: {"miss_m": typed_miss(text, miss_unit)},
        "wind": lambda text: {"wind_mps": _wind(text)},
        "note": lambda text: {"note": text},
    }
    for name in ("athlete", *(() if "miss" in cells else ("time",))):
        cells.setdefault(name, "")
    for name, text in cells.items():
        try:
            values |= readers[name](text)
        except UnfitError as error:
            raise error.of(name) from None
    return _made(like, **values)


def _whole(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text):
        raise UnfitError(f"{shown_value(text)} is not a whole number")
    return int(text)


def _frames(text: str) -> tuple[int, ...]:
    return tuple(map(_whole, text.replace(",", " ").split()))


def _wind(text: str) -> float:
    """Return a wind [m/s], with its unit or without."""
    bare = re.fullmatch(r"([-+−]?)([0-9]{1,2}(?:[.,][0-9]+)?)", text)  # noqa: RUF001
    sign, size = (bare[1], bare[2]) if bare else (text[:1], text)
    if sign not in {"+", "-", "−"}:  # noqa: RUF001 - a minus as word processors write it
        sign = ""
    try:
        speed = float(size.replace(",", ".")) if bare else parse_speed(text.removeprefix(sign))
    except QuantityError as error:
        raise UnfitError(str(error)) from None
    return speed if sign in {"", "+"} else -speed
