"""Wording of what the drills and the limits say."""

from __future__ import annotations

from wicketlay.wording.base import Worded

_TOO_LONG = (
    "{athlete}: the gap before {mark} is {gap_m}, {excess_share} over the natural step "
    "of {natural_m} there (limit {limit_share})"
)
_TOO_SHORT = (
    "{athlete}: the gap before {mark} is {gap_m}, {under_share} under the natural step "
    "of {natural_m} there (limit {limit_share})"
)
_SHARED = "the gaps are shared with {others}: let {athlete} run in another wave or on another lane"
_LANE_FREE = "the gaps are shared with {others}: take the free lane, [place] lanes = [{lanes}]"
_SHORTENED = (
    "{athlete}: the approach is laid with {wickets} of {wanted_wickets} wickets and {free} of "
    "{wanted_free} free steps, {steps} steps in all"
)
_NO_RUNWAY = (
    "{athlete}: {steps} steps need {needed_m} before the take-off line and there are {room_m}: "
    "{excess_m} too much"
)

WORDING: dict[str, Worded] = {
    "gap-too-long": Worded(
        text=_TOO_LONG,
        remedy="close the gaps, raise the cadence or lower the speed; long gaps make them reach",
    ),
    "gap-too-long-shared": Worded(text=_TOO_LONG, remedy=_SHARED),
    "gap-too-long-shared-lane-free": Worded(text=_TOO_LONG, remedy=_LANE_FREE),
    "gap-too-short": Worded(
        text=_TOO_SHORT,
        remedy="open the gaps, lower the cadence or raise the speed",
    ),
    "gap-too-short-shared": Worded(text=_TOO_SHORT, remedy=_SHARED),
    "gap-too-short-shared-lane-free": Worded(text=_TOO_SHORT, remedy=_LANE_FREE),
    "cadence-over-top": Worded(
        text="{athlete}: the gaps ask for {asked_hz}; the limit is {limit_hz} with a top cadence "
        "of {top_hz}",
        remedy="lower the cadence or open the gaps",
    ),
    "cadence-high-for-anyone": Worded(
        text="{athlete}: the gaps ask for {asked_hz}; over {limit_hz} is rare in anybody",
        remedy="check the speed and the cadence that were given",
    ),
    "bag-too-small": Worded(
        text="{needed} wickets are needed and the bag holds {bag}: it reaches {reach_m} past W1",
        remedy="put chalk or tape marks for the rest ({chalk}), or ask for {bag} wickets",
    ),
    "wicket-high": Worded(
        text="the wickets are {height_m} high; from {limit_m} on they change the run itself",
        remedy="use lower ones, 15 cm or less",
    ),
    "too-short-to-time": Worded(
        text="{wickets} wickets are passed too quickly to time by hand",
        remedy="use {fewest} or more to review the run from a hand time",
    ),
    "section-cut-short": Worded(
        text="{athlete}: {most} wickets reach {section_m} of the {wanted_m} asked for; "
        "no more are laid in one section",
        remedy="ask for a shorter section",
    ),
    "gap-unusual": Worded(
        text="{athlete}: gaps run from {shortest_m} to {longest_m}; a running step lies between "
        "{low_m} and {high_m}",
        remedy="check height, times and cadence for a slip",
    ),
    "run-on-not-whole": Worded(
        text="{athlete}: a run-on of {run_on_m} is about {steps} steps",
        remedy="for {fewer} steps move the start mark {fewer_shift_m}, for {more} steps "
        "{more_shift_m} (minus is back, away from W1)",
    ),
    "gaps-laid-short": Worded(
        text="{athlete}: top speed {top_mps} is an estimate, ± {sd_mps} (one SD); gaps are laid "
        "{short_share} short, yet one athlete in three will find them long",
        remedy="take one flying time and enter it; the gaps then follow the athlete",
    ),
    "takeoff-shortened": Worded(
        text=_SHORTENED, remedy="for all of it find a runway of {all_m}, or ask for a lower speed"
    ),
    "takeoff-shortened-fits": Worded(
        text=_SHORTENED, remedy="ask for an approach of {fit_steps} steps: all of it fits then"
    ),
    "takeoff-free-fewer": Worded(
        text="{athlete}: {steps} steps leave {free} free after the wickets and before the last "
        "two; {wanted_free} are usual",
        remedy="ask for fewer wickets, or for a longer approach, for as many",
    ),
    "takeoff-shortened-free": Worded(
        text=_SHORTENED,
        remedy='with free = "{fewer_free} steps" all wickets fit; no runway for more',
    ),
    "takeoff-shortened-fits-free": Worded(
        text=_SHORTENED,
        remedy="ask for an approach of {fit_steps} steps, or keep {steps} with free = "
        '"{fewer_free} steps": all wickets fit then',
    ),
    "takeoff-run-on-shortened": Worded(
        text="{athlete}: the runway leaves {steps} run-on steps, {wanted_steps} would be wanted: "
        "wicket 1 is reached at {reached_share} of the speed built towards ({wanted_share} wanted)",
        remedy="find more runway, or ask for fewer wickets",
    ),
    "approach-too-few-steps": Worded(
        text="{athlete}: {steps} steps do not hold a run-on, two wickets, two free steps and the "
        "last two",
        remedy="ask for {least} steps or more",
    ),
    "runway-too-short": Worded(
        text=_NO_RUNWAY,
        remedy="find more runway ({all_m} hold all that is asked for), ask for a lower speed, or "
        "leave the number of steps out: the most that fits is then laid",
    ),
    "runway-too-short-fits": Worded(
        text=_NO_RUNWAY,
        remedy="ask for an approach of {fit_steps} steps, with which all of it fits",
    ),
    "runway-only-just": Worded(
        text="{athlete}: the approach needs {needed_m} of {room_m}; {left_m} are left behind the "
        "start mark",
        remedy="check the runway's free length with the tape, or ask for one step fewer",
    ),
    "takeoff-first-run": Worded(
        text="{athlete}: the first run may miss the take-off line by about {error_m} either way",
        remedy="note the miss and slide all marks by it; no gap changes",
    ),
    "takeoff-next-run": Worded(
        text="{athlete}: the first run may miss the take-off line by about {error_m} either way, "
        "as misses tell (runs: {runs}, days: {days})",
        remedy="note the misses; they tell by how much to slide all marks",
    ),
    "zone-still-building": Worded(
        text="{athlete}: after a run-on of {run_on_m} the zone opens at {reached_share} of the "
        "speed built towards ({wanted_share} is usual)",
        remedy="for a top-speed zone take a run-on of {needed_m}",
    ),
}
