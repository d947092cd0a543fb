"""Wording of what the drills and the limits say."""

from __future__ import annotations

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

WORDING: dict[str, str | tuple[str, str]] = {
    "gap-too-long": (
        _TOO_LONG,
        "close the gaps, raise the cadence or lower the speed; long gaps make them reach",
    ),
    "gap-too-long-shared": (_TOO_LONG, _SHARED),
    "gap-too-long-shared-lane-free": (_TOO_LONG, _LANE_FREE),
    "gap-too-short": (_TOO_SHORT, "open the gaps, lower the cadence or raise the speed"),
    "gap-too-short-shared": (_TOO_SHORT, _SHARED),
    "gap-too-short-shared-lane-free": (_TOO_SHORT, _LANE_FREE),
    "cadence-over-top": (
        "{athlete}: the gaps ask for {asked_hz}; the limit is {limit_hz} with a top cadence "
        "of {top_hz}",
        "lower the cadence or open the gaps",
    ),
    "cadence-high-for-anyone": (
        "{athlete}: the gaps ask for {asked_hz}; over {limit_hz} is rare in anybody",
        "check the speed and the cadence that were given",
    ),
    "bag-too-small": (
        "{needed} wickets are needed and the bag holds {bag}: it reaches {reach_m} past W1",
        "put chalk or tape marks for the rest ({chalk}), or ask for {bag} wickets",
    ),
    "bag-too-small-each": (
        "{needed} wickets are needed and the bag holds {bag}: it reaches {least_m} to {most_m} "
        "past W1",
        "put chalk or tape marks for the rest ({chalk}), or ask for {bag} wickets",
    ),
    "wicket-high": (
        "the wickets are {height_m} high; from {limit_m} on they change the run itself",
        "use lower ones, 15 cm or less",
    ),
    "too-short-to-time": (
        "{wickets} wickets are passed too quickly to time by hand",
        "use {fewest} or more to review the run from a hand time",
    ),
    "section-cut-short": (
        "{athlete}: {most} wickets reach {section_m} of the {wanted_m} asked for; "
        "no more are laid in one section",
        "ask for a shorter section",
    ),
    "gap-unusual": (
        "{athlete}: gaps run from {shortest_m} to {longest_m}; a running step lies between "
        "{low_m} and {high_m}",
        "check height, times and cadence for a slip",
    ),
    "run-on-not-whole": (
        "{athlete}: a run-on of {run_on_m} is about {steps} steps",
        "for {fewer} steps move the start mark {fewer_shift_m}, for {more} steps "
        "{more_shift_m} (minus is back, away from W1)",
    ),
    "gaps-laid-short": (
        "{athlete}: top speed {top_mps} is an estimate, ± {sd_mps} (one SD); gaps are laid "
        "{short_share:0} short, yet one athlete in three will find them long",
        "take one flying time and enter it; the gaps then follow the athlete",
    ),
    "takeoff-shortened": (
        _SHORTENED,
        "for all of it find a runway of {all_m}, or ask for a lower speed",
    ),
    "takeoff-shortened-fits": (
        _SHORTENED,
        "ask for an approach of {fit_steps} steps: all of it fits then",
    ),
    "takeoff-free-fewer": (
        "{athlete}: {steps} steps leave {free} free after the wickets and before the last "
        "two; {wanted_free} are usual",
        "ask for fewer wickets, or for a longer approach, for as many",
    ),
    "takeoff-shortened-free": (
        _SHORTENED,
        'with free = "{fewer_free} steps" all wickets fit; no runway for more',
    ),
    "takeoff-shortened-fits-free": (
        _SHORTENED,
        "ask for an approach of {fit_steps} steps, or keep {steps} with free = "
        '"{fewer_free} steps": all wickets fit then',
    ),
    "takeoff-run-on-shortened": (
        "{athlete}: the runway leaves {steps} run-on steps, {wanted_steps} would be wanted: "
        "wicket 1 is reached at {reached_share} of the speed built towards ({wanted_share} wanted)",
        "find more runway, or ask for fewer wickets",
    ),
    "approach-too-few-steps": (
        "{athlete}: {steps} steps do not hold a run-on, two wickets, two free steps and the "
        "last two",
        "ask for {least} steps or more",
    ),
    "runway-too-short": (
        _NO_RUNWAY,
        "find more runway ({all_m} hold all that is asked for), ask for a lower speed, or "
        "leave the number of steps out: the most that fits is then laid",
    ),
    "runway-too-short-fits": (
        _NO_RUNWAY,
        "ask for an approach of {fit_steps} steps, with which all of it fits",
    ),
    "runway-only-just": (
        "{athlete}: the approach needs {needed_m} of {room_m}; {left_m} are left behind the "
        "start mark",
        "check the runway's free length with the tape, or ask for one step fewer",
    ),
    "takeoff-first-run": (
        "{athlete}: the first run may miss the take-off line by about {error_m} either way",
        "note the miss and slide all marks by it; no gap changes",
    ),
    "takeoff-next-run": (
        "{athlete}: the first run may miss the take-off line by about {error_m} either way, "
        "as misses tell (runs: {runs}, days: {days})",
        "note the misses; they tell by how much to slide all marks",
    ),
    "zone-still-building": (
        "{athlete}: after a run-on of {run_on_m} the zone opens at {reached_share} of the "
        "speed built towards ({wanted_share} is usual)",
        "for a top-speed zone take a run-on of {needed_m}",
    ),
}
