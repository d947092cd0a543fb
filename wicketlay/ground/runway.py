"""A jumps runway: long, triple or pole vault, its boards, pit and free bands."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from typing import TYPE_CHECKING

from wicketlay.declared import Keyed, Kind, check_keys, declare, keyed
from wicketlay.errors import DomainError, require_range
from wicketlay.findings import Finding
from wicketlay.ground.course import Course, Obstacle, Pit, refuse_repeats
from wicketlay.ground.lines import BOARD_NEARER_PIT, ChainageM, Landmark, Piece, Pose, RunLine
from wicketlay.running.air import ALTITUDE
from wicketlay.sources import (
    BOARD_LENGTH_M,
    FREE_BAND_M,
    LANE_WIDTH_M,
    LONG_TO_FAR_END_M,
    LONG_TO_PIT_LEAST_M,
    LONG_TO_PIT_MOST_M,
    PIT_WIDTH_LEAST_M,
    PIT_WIDTH_MOST_M,
    RUNWAY_LENGTH_M,
    RUNWAY_WIDTH_TOLERANCE_M,
    TRIPLE_TO_FAR_END_M,
    TRIPLE_TO_PIT_MEN_M,
    TRIPLE_TO_PIT_WOMEN_M,
)
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from collections.abc import Collection

RUNWAY = "runway"
TAKEOFF_LINE = "the take-off line"
"""What the line of a runway's first board is called."""
_RULE = "World Athletics rule 29"


class Event(StrEnum):
    """What a runway is for."""

    LONG = "long jump"
    TRIPLE = "triple jump"
    POLE_VAULT = "pole vault"


class TakeoffKind(StrEnum):
    """What the jump is taken from."""

    BOARD = "board"
    ZONE = "zone"
    MAT = "mat"
    BOX = "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Board(Keyed):
    """A place to take off from.

    Raises
    ------
    DomainError
        When a number is out of range.
    """

    key: str = field(
        metadata=declare(Kind.TEXT, 'what a plan calls it, "13 m board"', example='"board"')
    )
    to_pit_m: float = field(
        metadata=declare(
            Kind.LENGTH,
            "from its edge nearer the pit to the pit",
            0.0,
            20.0,
            what="{0.key} to pit",
            example='"2 m"',
        )
    )
    kind: TakeoffKind = keyed(
        TakeoffKind.BOARD, Kind.WORD, "what is jumped from", words=TakeoffKind
    )
    length_m: float = keyed(
        float(BOARD_LENGTH_M),
        Kind.LENGTH,
        "its length along the runway",
        0.0,
        5.0,
        what="length of {0.key}",
        unit="cm",
    )
    women: bool = keyed(False, Kind.FLAG, "triple jump: whether the women's range applies")
    event: Event | None = keyed(
        None, Kind.WORD, "whose rule it keeps to, where a runway serves two", words=Event
    )


_DEFAULT_BOARDS = {
    Event.LONG: (Board(key="board", to_pit_m=2.0),),
    Event.TRIPLE: (
        Board(key="13 m board", to_pit_m=13.0),
        Board(key="11 m board", to_pit_m=11.0, women=True),
    ),
    Event.POLE_VAULT: (Board(key="box", to_pit_m=0.0, kind=TakeoffKind.BOX, length_m=1.0),),
}
_DEFAULT_PIT_M = {Event.LONG: 8.0, Event.TRIPLE: 10.0, Event.POLE_VAULT: 6.0}
_DEFAULT_PIT_WIDTH_M = {Event.LONG: 2.75, Event.TRIPLE: 2.75, Event.POLE_VAULT: 6.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Runway:
    """A runway and its landing area.

    ::

        y ^ left                     other board   take-off line (first board)
          |  +---------------------------]---------]..........+----------+
          o--|  run line in the middle   ]        0]          |   pit    |--> x
             +---------------------------]---------]..........+----------+
          -length_m                                        to_pit_m

    The origin is the middle of the first board's take-off line, x in the running direction;
    chainage is 0 there and negative before it.

    Raises
    ------
    DomainError
        When a number is out of what can exist. A number outside the *rules* is a caution.
    """

    name: str = keyed(RUNWAY, Kind.TEXT, "as people call it")
    altitude_m: float | None = field(default=None, metadata=ALTITUDE)
    event: Event = keyed(Event.LONG, Kind.WORD, "what it is for", words=Event)
    length_m: float = keyed(
        float(RUNWAY_LENGTH_M),
        Kind.LENGTH,
        "from its beginning to the first board's take-off line",
        5.0,
        200.0,
        what="length of the runway",
    )
    width_m: float = keyed(
        float(LANE_WIDTH_M), Kind.LENGTH, "its width", 0.5, 10.0, what="width of the runway"
    )
    free_band_m: float = keyed(
        float(FREE_BAND_M), Kind.LENGTH, "free band on either side", 0.0, 20.0
    )
    pit_length_m: float | None = keyed(
        None, Kind.LENGTH, "of the landing area", 1.0, 30.0, what="length of the pit"
    )
    pit_width_m: float | None = keyed(
        None, Kind.LENGTH, "of the landing area", 1.0, 15.0, what="width of the pit"
    )
    wall_at_start: bool = keyed(False, Kind.FLAG, "a wall stands where it begins")
    boards: tuple[Board, ...] | None = keyed(
        None,
        Kind.TABLES,
        "a place to take off from; the first is the zero; none takes the event's usual ones",
        name="board",
        most=20,
    )
    landmarks: tuple[Landmark, ...] = keyed(
        (), Kind.TABLES, "a fixed point", name="landmark", most=200
    )
    obstacles: tuple[Obstacle, ...] = keyed(
        (), Kind.TABLES, "what must stay clear", name="obstacle", most=200
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be a runway."""
        check_keys(self)
        if self.boards is not None and not self.boards:
            raise DomainError("a runway needs at least one board, zone, mat or box")
        for landmark in self.landmarks:
            require_range(f"landmark {landmark.key}", landmark.chainage_m, -200.0, 50.0, "m")
        refuse_repeats(each.key for each in self._landmarks())

    @property
    def all_boards(self) -> tuple[Board, ...]:
        """The boards, the event's usual ones when none are told."""
        return self.boards if self.boards is not None else _DEFAULT_BOARDS[self.event]

    @property
    def pit(self) -> Pit:
        """The landing area, chainages from the first board's take-off line."""
        edge = self.all_boards[0].to_pit_m
        return Pit(
            from_m=edge,
            to_m=edge + (self.pit_length_m or _DEFAULT_PIT_M[self.event]),
            width_m=self.pit_width_m or _DEFAULT_PIT_WIDTH_M[self.event],
        )

    @property
    def frame(self) -> str:
        """Where x, y and headings are measured from, in words."""
        return (
            "origin in the middle of the first board's take-off line, x in the running direction, "
            "y to the left; heading counter-clockwise from +x"
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """Keys of its lines."""
        return (RUNWAY,)

    @property
    def indoors(self) -> bool:
        """Whether no wind blows there; of a runway nobody says, a wind of 0 does."""
        return False

    def lanes_of(self, line: str) -> tuple[int, ...]:
        """Return the lane numbers of a line; KeyError when there is no such line."""
        if line != RUNWAY:
            raise KeyError(line)
        return (1,)

    def _landmarks(self) -> tuple[Landmark, ...]:
        boards = self.all_boards
        first = boards[0]
        names = {
            TakeoffKind.BOARD: (TAKEOFF_LINE, BOARD_NEARER_PIT),
            TakeoffKind.ZONE: ("the end of the take-off zone", "edge nearer the pit"),
            TakeoffKind.MAT: ("the end of the take-off mat", "edge nearer the pit"),
            TakeoffKind.BOX: ("the back wall of the box", "inside of its top edge"),
        }
        text, edge = names[first.kind]
        found = [Landmark(key="take-off line", text=text, chainage_m=ChainageM(0.0), edge=edge)]
        for board in boards:
            at = first.to_pit_m - board.to_pit_m
            found.append(
                Landmark(
                    key=board.key,
                    text=f"{TAKEOFF_LINE} of the {board.key}",
                    chainage_m=ChainageM(at),
                    edge=names[board.kind][1],
                )
            )
            if board.kind in (TakeoffKind.ZONE, TakeoffKind.MAT):
                found.append(
                    Landmark(
                        key=f"{board.key} middle",
                        text=f"the middle of the {board.key}",
                        chainage_m=ChainageM(at - board.length_m / 2.0),
                        rank=1,
                    )
                )
        found += [
            Landmark(
                key="pit edge",
                text="the near edge of the pit",
                chainage_m=ChainageM(self.pit.from_m),
                edge="inside of the frame",
            ),
            Landmark(
                key="runway begins",
                text="the beginning of the runway",
                chainage_m=ChainageM(-self.length_m),
            ),
        ]
        return (*found, *self.landmarks)

    def course(self, line: str, lane: int) -> Course:
        """Return the runway as a course; KeyError when there is no such line or lane."""
        if lane not in self.lanes_of(line):
            raise KeyError(lane)
        pit = self.pit
        half = self.width_m / 2.0
        start = Pose(x_m=-self.length_m, y_m=0.0, heading_rad=0.0)
        piece = Piece(length_m=self.length_m + pit.from_m + 1e-6)
        return Course(
            line=RUNWAY,
            text=f"{self.event.value} runway",
            lane=lane,
            run_line=RunLine(start=start, pieces=(piece,), from_m=-self.length_m),
            landmarks=self._landmarks(),
            zero="take-off line",
            marks_from_m=-self.length_m,
            marks_to_m=pit.from_m,
            surface_from_m=-self.length_m,
            surface_to_m=pit.from_m,
            left_m=half,
            right_m=half,
            painted_offset_m=half,
            wall_before=self.wall_at_start,
            pit=pit,
            boards=tuple(board.key for board in self.all_boards),
            board_texts=tuple(
                f"{(board.event or self.event).value} runway" for board in self.all_boards
            ),
        )

    def obstacles_of(self, line: str) -> tuple[Obstacle, ...]:
        """Return what stands near a line; KeyError when there is no such line."""
        if line != RUNWAY:
            raise KeyError(line)
        return self.obstacles

    def cautions(self, boards: Collection[str] = ()) -> tuple[Finding, ...]:
        """Return a caution for each measure outside the rules, naming the rule.

        Parameters
        ----------
        boards
            Keys of the boards jumped from: no other is told of, and of the pit only when
            somebody jumps.

        References
        ----------
        World Athletics rules 29.1 to 29.4 (2022): runway, board, landing area.
        """
        found = [
            self._outside("runway length", self.length_m, float(RUNWAY_LENGTH_M), None),
            self._outside(
                "runway width",
                self.width_m,
                float(LANE_WIDTH_M) - float(RUNWAY_WIDTH_TOLERANCE_M),
                float(LANE_WIDTH_M) + float(RUNWAY_WIDTH_TOLERANCE_M),
            ),
            self._outside(
                "free band beside the runway", self.free_band_m, float(FREE_BAND_M), None
            ),
        ]
        if boards and self.event is not Event.POLE_VAULT:
            found.append(
                self._outside(
                    "pit width", self.pit.width_m, float(PIT_WIDTH_LEAST_M), float(PIT_WIDTH_MOST_M)
                )
            )
            for board in self.all_boards:
                if board.key in boards:
                    found += self._board_cautions(board)
        return tuple(finding for finding in found if finding is not None)

    def _board_cautions(self, board: Board) -> list[Finding | None]:
        pit_length = self.pit.to_m - self.pit.from_m
        if (board.event or self.event) is Event.LONG:
            least, most = float(LONG_TO_PIT_LEAST_M), float(LONG_TO_PIT_MOST_M)
            far = float(LONG_TO_FAR_END_M)
            range_of_line = self._outside(f"{board.key} to pit", board.to_pit_m, least, most)
        else:
            least = float(TRIPLE_TO_PIT_WOMEN_M if board.women else TRIPLE_TO_PIT_MEN_M)
            far = float(TRIPLE_TO_FAR_END_M)
            range_of_line = self._outside(f"{board.key} to pit", board.to_pit_m, least, None)
        return [
            range_of_line,
            self._outside(
                f"{board.key} to the far end of the pit", board.to_pit_m + pit_length, far, None
            ),
        ]

    @staticmethod
    def _outside(what: str, value: float, low: float, high: float | None) -> Finding | None:
        """Return a caution when `value` is outside the rule; a millimetre is no matter."""
        if value < low - 0.001:
            code, limit = "ground-rule-below", low
        elif high is not None and value > high + 0.001:
            code, limit = "ground-rule-above", high
        else:
            return None
        return Finding.caution(code, what=what, rule=_RULE, value_m=value, limit_m=limit)
