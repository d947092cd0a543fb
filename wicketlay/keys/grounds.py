"""The tables of each ground, one record a kind. A new ground is a record and a line in GROUNDS."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.ground.course import NotedObject, Obstacle
from wicketlay.ground.lines import Landmark, Pose
from wicketlay.ground.runway import Board, Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.track import OwnLandmark, Track
from wicketlay.keys.records import Record, entries_of, unbound

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wicketlay.keys.codecs import Value
    from wicketlay.keys.records import Values

OBSTACLE = Record(noun="obstacle", make=Obstacle, entries=entries_of(Obstacle))
LANDMARK = Record(noun="landmark", make=Landmark, entries=entries_of(Landmark))


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
    entries=unbound((*entries_of(Landmark), *entries_of(OwnLandmark, instead={"landmark": ()}))),
    gather=lambda values: {
        ("chainage_m" if key == "at" else key): value for key, value in values.items()
    },
    spread=_own_spread,
)
NOTED = Record(noun="noted object", make=NotedObject, entries=entries_of(NotedObject))
ORIGIN = Record(noun="origin", make=Pose, entries=entries_of(Pose))
BOARD = Record(noun="board", make=Board, entries=entries_of(Board))


def _ground(kind: str, make: type, **tables: Record) -> Record:
    entries = entries_of(make, tables={"obstacles": OBSTACLE, "landmarks": LANDMARK} | tables)
    return Record(noun=kind, make=make, constant={"kind": kind}, entries=entries)


STRIP = _ground("strip", Strip, origin=ORIGIN, noted=NOTED)
INNER_STRIP = Record(noun="strip", make=Strip, entries=STRIP.entries)
TRACK = _ground("track", Track, landmarks=OWN_LANDMARK, strips=INNER_STRIP)
RUNWAY = _ground("runway", Runway, boards=BOARD)

GROUNDS = {record.constant["kind"]: record for record in (TRACK, RUNWAY, STRIP)}
"""Kind as the file spells it, to its record."""
UNMARKED = Strip()
"""A plan without a ground is laid on unmarked grass from a zero the coach chooses."""
