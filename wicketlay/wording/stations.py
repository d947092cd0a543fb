"""What stations of a practice do to each other, in words."""

from __future__ import annotations

WORDING: dict[str, str | tuple[str, str]] = {
    "stations-cross": (
        "{one} (lane {lanes}) and {other} (lane {other_lanes}) meet: run-up, marks or "
        "slow-down of one lie on the other",
        "other lanes, another place, or one after the other (begins)",
    ),
    "stations-cross-runway": (
        "{one} and {other} meet on the runway: run-up, marks or slow-down of one lie on the other",
        "another place, or one after the other (begins)",
    ),
    "stations-cross-left-lying": (
        "{other}: marks of {one} lie in its way when it begins, {from_duration_s} in",
        "take them all up first",
    ),
    "stations-run-beside-laying": (
        "{one} runs beside a lane that {other} lays, {from_duration_s} to {to_duration_s}: "
        "the tape lies on the line between",
        "keep a lane free between, or begin one later",
    ),
    "stations-share-athletes": (
        "at two stations at once: {names}, {one} and {other}, {from_duration_s} to {to_duration_s}",
        "begin one later, or name other athletes",
    ),
    "stations-bag-too-small": (
        "{needed} wickets lie at once ({names}) and the bag holds {bag}",
        "begin one later, fewer wickets, or chalk",
    ),
    "stations-hands-missing": (
        "{needed} lanes or runways are laid at once, {when_duration_s} in, and {there} lay marks",
        "begin one later, or bring more to lay",
    ),
    "stations-too-long": (
        "the last run ends after {total_duration_s}, there are {length_duration_s}: "
        "{over_duration_s} too long",
        "fewer runs, or stations side by side",
    ),
}
