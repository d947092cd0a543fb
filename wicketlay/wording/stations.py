"""What stations of a practice do to each other, in words."""

from __future__ import annotations

from wicketlay.wording.base import Worded

WORDING: dict[str, Worded] = {
    "stations-cross": Worded(
        text="{one} (lane {lanes}) and {other} (lane {other_lanes}) meet: run-up, marks or "
        "slow-down of one lie on the other",
        remedy="other lanes, another place, or one after the other (begins)",
    ),
    "stations-cross-runway": Worded(
        text="{one} and {other} meet on the runway: run-up, marks or slow-down of one lie on the "
        "other",
        remedy="another place, or one after the other (begins)",
    ),
    "stations-run-beside-laying": Worded(
        text="{one} runs beside a lane that {other} lays, {from_duration_s} to {to_duration_s}: "
        "the tape lies on the line between",
        remedy="keep a lane free between, or begin one later",
    ),
    "stations-share-athletes": Worded(
        text="at two stations at once: {names}, {one} and {other}, {from_duration_s} to "
        "{to_duration_s}",
        remedy="begin one later, or name other athletes",
    ),
    "stations-bag-too-small": Worded(
        text="{needed} wickets lie at once ({names}) and the bag holds {bag}",
        remedy="begin one later, fewer wickets, or chalk",
    ),
    "stations-hands-missing": Worded(
        text="{needed} lanes or runways are laid at once, {when_duration_s} in, and {there} lay "
        "marks",
        remedy="begin one later, or bring more to lay",
    ),
    "stations-too-long": Worded(
        text="the last run ends after {total_duration_s}, there are {length_duration_s}: "
        "{over_duration_s} too long",
        remedy="fewer runs, or stations side by side",
    ),
}
