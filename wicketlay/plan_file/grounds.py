"""The keys of each ground, one record a kind. A new ground is a record and a line in GROUNDS."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.course import NotedObject, Obstacle
from wicketlay.ground.lines import Landmark, Pose
from wicketlay.ground.runway import Board, Event, Runway, TakeoffKind
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.track import OwnLandmark, RadiusOf, Track
from wicketlay.plan_file.codecs import (
    Count,
    Flag,
    Many,
    Number,
    Text,
    choice,
    length,
)
from wicketlay.plan_file.records import Entry, Record, Sub, SubList

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.plan_file.codecs import Value
    from wicketlay.plan_file.records import Values

_MOST = 200
_PLACE = length(-2000.0, 2000.0, signed=True)


class Corner:
    """A point of an outline: [x, y], two lengths."""

    _pair = Many(member=_PLACE, least=2, most=2)

    def read(self, value: object) -> tuple[float, ...]:
        """Return (x, y) [m]."""
        return self._pair.read(value)

    def write(self, value: Value, like: object = None) -> str:
        """Return the point as a TOML array."""
        return self._pair.write(value, like)


NAME = Entry(key="name", codec=Text(), attr="name")

OBSTACLE = Record(
    noun="obstacle",
    make=Obstacle,
    entries=(
        Entry(key="name", codec=Text(), attr="name", required=True, example='"goalpost"'),
        Entry(
            key="corners",
            codec=Many(member=Corner(), least=3, most=100),
            attr="corners",
            required=True,
            example='[["0 m", "1 m"], ["1 m", "1 m"], ["1 m", "2 m"]]',
        ),
        Entry(key="clearance", codec=length(0.0, 20.0), attr="clearance_m"),
    ),
)


def _landmark_entries() -> tuple[Entry, ...]:
    return (
        Entry(key="key", codec=Text(), attr="key", required=True, example='"drain"'),
        Entry(key="text", codec=Text(), attr="text", required=True, example='"the drain cover"'),
        Entry(
            key="at",
            codec=length(-600.0, 600.0, signed=True),
            attr="chainage_m",
            required=True,
            example='"12.5 m"',
        ),
        Entry(key="edge", codec=Text(empty=True), attr="edge"),
        Entry(key="rank", codec=Count(low=0, high=10), attr="rank"),
    )


LANDMARK = Record(noun="landmark", make=Landmark, entries=_landmark_entries())


def _own_landmark(**values: Value) -> OwnLandmark:
    line, lane = values.pop("line"), values.pop("lane", None)
    return OwnLandmark(line=line, lane=lane, landmark=Landmark(**values))


def _own_spread(own: OwnLandmark, _raw: Mapping[str, object]) -> Values:
    mark = own.landmark
    return {
        "key": mark.key,
        "text": mark.text,
        "at": float(mark.chainage_m),
        "edge": mark.edge or None,
        "rank": mark.rank or None,
        "line": own.line,
        "lane": own.lane,
    }


OWN_LANDMARK = Record(
    noun="landmark",
    make=_own_landmark,
    entries=(
        *(
            Entry(key=e.key, codec=e.codec, required=e.required, example=e.example)
            for e in _landmark_entries()
        ),
        Entry(key="line", codec=Text(), required=True, example='"home straight"'),
        Entry(key="lane", codec=Count(low=1, high=20)),
    ),
    gather=lambda values: {
        ("chainage_m" if key == "at" else key): value for key, value in values.items()
    },
    spread=_own_spread,
)

NOTED = Record(
    noun="noted object",
    make=NotedObject,
    entries=(
        Entry(key="name", codec=Text(), attr="name", required=True, example='"the corner flag"'),
        Entry(key="distance", codec=length(0.0, 500.0), attr="distance_m"),
    ),
)

ORIGIN = Record(
    noun="origin",
    make=Pose,
    entries=(
        Entry(key="x", codec=_PLACE, attr="x_m", required=True, example='"0 m"'),
        Entry(key="y", codec=_PLACE, attr="y_m", required=True, example='"12 m"'),
        Entry(
            key="heading_rad",
            codec=Number(low=-6.3, high=6.3),
            attr="heading_rad",
            required=True,
            example="0.0",
        ),
    ),
)

_STRIP_ENTRIES = (
    NAME,
    Entry(key="line", codec=Text(), attr="line"),
    Entry(key="surface", codec=choice(Surface), attr="surface"),
    Entry(key="length", codec=length(5.0, 500.0), attr="length_m"),
    Entry(key="lanes", codec=Count(low=1, high=20), attr="lanes"),
    Entry(key="lane_width", codec=length(0.5, 100.0), attr="lane_width_m"),
    Entry(key="line_width", codec=length(0.0, 0.2, unit="cm"), attr="line_width_m"),
    Entry(key="wall_at_start", codec=Flag(), attr="wall_at_start"),
    Entry(key="wall_at_end", codec=Flag(), attr="wall_at_end"),
    Entry(key="origin", codec=Sub(record=ORIGIN), attr="origin"),
    Entry(key="landmark", codec=SubList(record=LANDMARK, most=_MOST), attr="landmarks"),
    Entry(key="obstacle", codec=SubList(record=OBSTACLE, most=_MOST), attr="obstacles"),
    Entry(key="noted", codec=SubList(record=NOTED, most=2), attr="noted"),
)
STRIP = Record(noun="strip", make=Strip, constant={"kind": "strip"}, entries=_STRIP_ENTRIES)

TRACK = Record(
    noun="track",
    make=Track,
    constant={"kind": "track"},
    entries=(
        NAME,
        Entry(key="radius", codec=length(5.0, 100.0), attr="radius_m"),
        Entry(key="radius_of", codec=choice(RadiusOf), attr="radius_of"),
        Entry(key="straight", codec=length(1.0, 300.0), attr="straight_m"),
        Entry(key="raised_kerb", codec=Flag(), attr="raised_kerb"),
        Entry(key="lanes", codec=Count(low=1, high=10), attr="lanes"),
        Entry(key="straight_lanes", codec=Count(low=1, high=12), attr="straight_lanes"),
        Entry(key="lane_width", codec=length(0.5, 3.0), attr="lane_width_m"),
        Entry(key="line_width", codec=length(0.0, 0.2, unit="cm"), attr="line_width_m"),
        Entry(key="finish_to_bend", codec=length(0.0, 300.0), attr="finish_to_bend_m"),
        Entry(key="start_extension", codec=length(0.0, 200.0), attr="start_extension_m"),
        Entry(key="run_out", codec=length(0.0, 200.0), attr="run_out_m"),
        Entry(key="wall_behind_start", codec=Flag(), attr="wall_behind_start"),
        Entry(key="wall_beyond_finish", codec=Flag(), attr="wall_beyond_finish"),
        Entry(key="landmark", codec=SubList(record=OWN_LANDMARK, most=_MOST), attr="landmarks"),
        Entry(key="obstacle", codec=SubList(record=OBSTACLE, most=_MOST), attr="obstacles"),
        Entry(
            key="strip",
            codec=SubList(record=Record(noun="strip", make=Strip, entries=_STRIP_ENTRIES), most=20),
            attr="strips",
        ),
    ),
)

BOARD = Record(
    noun="board",
    make=Board,
    entries=(
        Entry(key="key", codec=Text(), attr="key", required=True, example='"board"'),
        Entry(
            key="to_pit", codec=length(0.0, 20.0), attr="to_pit_m", required=True, example='"2 m"'
        ),
        Entry(key="kind", codec=choice(TakeoffKind), attr="kind"),
        Entry(key="length", codec=length(0.0, 5.0, unit="cm"), attr="length_m"),
        Entry(key="women", codec=Flag(), attr="women"),
        Entry(key="event", codec=choice(Event), attr="event"),
    ),
)

RUNWAY = Record(
    noun="runway",
    make=Runway,
    constant={"kind": "runway"},
    entries=(
        NAME,
        Entry(key="event", codec=choice(Event), attr="event"),
        Entry(key="length", codec=length(5.0, 200.0), attr="length_m"),
        Entry(key="width", codec=length(0.5, 10.0), attr="width_m"),
        Entry(key="free_band", codec=length(0.0, 20.0), attr="free_band_m"),
        Entry(key="pit_length", codec=length(1.0, 30.0), attr="pit_length_m"),
        Entry(key="pit_width", codec=length(1.0, 15.0), attr="pit_width_m"),
        Entry(key="wall_at_start", codec=Flag(), attr="wall_at_start"),
        Entry(key="board", codec=SubList(record=BOARD, most=20), attr="boards"),
        Entry(key="landmark", codec=SubList(record=LANDMARK, most=_MOST), attr="landmarks"),
        Entry(key="obstacle", codec=SubList(record=OBSTACLE, most=_MOST), attr="obstacles"),
    ),
)

GROUNDS = {record.constant["kind"]: record for record in (TRACK, RUNWAY, STRIP)}
"""Kind as the file spells it, to its record."""
UNMARKED = Strip()
"""A plan without a ground is laid on unmarked grass from a zero the coach chooses."""
