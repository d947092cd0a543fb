"""A place as the coach says it, and a layout that lies somewhere."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.declared import Kind, check_keys, keyed
from wicketlay.drills.marks import Datum
from wicketlay.errors import DomainError
from wicketlay.ground.lines import ChainageM
from wicketlay.ground.track import OVAL
from wicketlay.sources import DEFAULTS
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.drills.marks import AlongM, Mark
    from wicketlay.findings import Finding
    from wicketlay.ground.course import Course, NotedObject
    from wicketlay.ground.lines import Landmark


UNKNOWN_PLACES = frozenset(
    f"ground-{each}-unknown" for each in ("line", "lane", "landmark", "mark")
)
"""Findings of a place told in words that the ground does not have."""
LINE = "line"
"""What the take-off line is called among mark ids."""


class Direction(StrEnum):
    """Which way a line is run."""

    WITH = "with the line"
    AGAINST = "against the line"
    BOTH = "both ways"


class Fit(StrEnum):
    """A place told in words instead of by a number."""

    GIVEN = "given"
    FAR = "as far from the finish as possible"
    MIDDLE = "middle of the straight"
    END_AT = "end at this mark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a layout goes, as the coach says it.

    Raises
    ------
    DomainError
        When lanes are missing or told twice, or a number is out of range.
    """

    line: str | None = keyed(
        None,
        Kind.TEXT,
        f"which line: of a track {', '.join(OVAL)}",
        left_out="the first of the ground",
    )
    lanes: tuple[int, ...] = keyed(
        (1,), Kind.COUNT, "in the order they are used", 1, 20, what="lane", members=(1, 20)
    )
    landmark: str | None = keyed(None, Kind.TEXT, "a fixed point; left out, the ground's zero")
    mark: str | None = keyed(
        None, Kind.TEXT, "the mark that stands there, as w1, gate2, cone1; left out, the first"
    )
    offset_m: float = keyed(
        0.0,
        Kind.LENGTH,
        "from the fixed point to the mark, + with the line, - against it",
        -1000.0,
        1000.0,
        signed=True,
    )
    direction: Direction = keyed(
        Direction.WITH, Kind.WORD, "which way the line is run", words=Direction
    )
    slide_m: float = keyed(
        0.0,
        Kind.LENGTH,
        "everything moved in the running direction",
        -1000.0,
        1000.0,
        unit="cm",
        signed=True,
    )
    fit: Fit = keyed(
        Fit.GIVEN,
        Kind.WORD,
        "in words; given: by landmark, mark and offset, with none as far back as there is room",
        words=Fit,
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be a place."""
        if not self.lanes or len(set(self.lanes)) != len(self.lanes):
            raise DomainError(f"lanes are {list(self.lanes)!r}; name at least one, and each once")
        check_keys(self)

    @property
    def by_number(self) -> bool:
        """Whether it is told by a landmark, a mark or a distance, not in words or not at all."""
        told = self.landmark is not None or self.mark is not None or self.offset_m != 0.0
        return self.fit is Fit.GIVEN and told


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedMark:
    """A mark with its chainage; `standing` tells its pose on the ground.

    Parameters
    ----------
    mark, chainage_m
        What stands where on the run line.
    chord_m
        On a bend: the straight distance to the mark before it [m].
    inner_gap_m, outer_gap_m
        On a bend: the straight distances between this wicket's left and right ends and those of
        the wicket before it [m].
    radius_m
        Radius of the run line there [m], infinite on a straight.
    """

    mark: Mark
    chainage_m: ChainageM
    chord_m: float | None = None
    inner_gap_m: float | None = None
    outer_gap_m: float | None = None
    radius_m: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedPoint:
    """How far the zero lies from a landmark.

    Parameters
    ----------
    distance_m
        From the landmark to the zero, zero or more, along the run line [m].
    beyond
        True when the zero lies beyond the landmark in the running direction, False before it.
    painted_m
        The same along the painted line on the lane's left [m]; differs on a bend only.
    """

    landmark: Landmark
    distance_m: float
    beyond: bool
    painted_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeZero:
    """A zero on ground without landmarks: a second cone to sight at, and two noted objects."""

    sighting_m: float = DEFAULTS.sighting_cone_m
    noted: tuple[NotedObject, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A layout that lies somewhere.

    Parameters
    ----------
    ground, line, line_text
        Name of the ground, key of its line, and how paper names the line.
    direction
        +1 when run with the line's chainage, -1 against it.
    marks
        In running order.
    start_chainage_m, stop_chainage_m
        Where the corridor begins (walk or jog included) and the wanted slow-down ends.
    run_out_least_m
        Slow-down without which it is not laid: the wanted one where a wall follows, 0 where it
        ends in a pit [m].
    run_out_room_m
        Free length after the last mark, None when the ground does not say.
    behind_start_room_m
        Free length behind the start mark (and its walk or jog), None when unknown.
    told
        Key of the landmark the place was told from, None where the ground has none.
    told_mark
        Id of the mark that stands there, "line" for the take-off line.
    free_zero
        Set when the ground has no landmark.
    line_chainage_m
        Where the take-off line is, for layouts measured from it. It stays where it is when the
        marks are slid. None for others.
    """

    ground: str
    line: str
    line_text: str
    lane: int
    direction: int
    marks: tuple[PlacedMark, ...]
    start_chainage_m: ChainageM
    stop_chainage_m: ChainageM
    run_out_least_m: float
    course: Course
    run_out_room_m: float | None = None
    behind_start_room_m: float | None = None
    told: str | None = None
    told_mark: str = ""
    findings: tuple[Finding, ...] = ()
    both_ways: bool = False
    datum: Datum = Datum.FIRST_WICKET
    free_zero: FreeZero | None = None
    wicket_width_m: float = 0.60
    line_chainage_m: ChainageM | None = None

    def mark(self, mark_id: str) -> PlacedMark:
        """Return the placed mark called `mark_id`; KeyError when there is none."""
        for placed in self.marks:
            if placed.mark.id == mark_id:
                return placed
        raise KeyError(mark_id)

    @property
    def misnamed(self) -> bool:
        """Whether the place names what the ground does not have, so that nobody knows it."""
        return any(f.code in UNKNOWN_PLACES for f in self.findings)

    @property
    def chainages(self) -> dict[str, float]:
        """Mark id to chainage [m], in running order; then `LINE`, where there is one."""
        lies = {each.mark.id: float(each.chainage_m) for each in self.marks}
        if self.line_chainage_m is not None:
            lies[LINE] = float(self.line_chainage_m)
        return lies

    def chainage_of(self, along: AlongM) -> ChainageM:
        """Return the chainage of a place given from the layout's datum."""
        anchor = self.marks[0]
        return ChainageM(anchor.chainage_m + self.direction * (along - anchor.mark.along_m))
