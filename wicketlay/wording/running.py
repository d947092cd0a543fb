"""Wording of what the facts of an athlete give rise to."""

from __future__ import annotations

WORDING: dict[str, str | tuple[str, str]] = {
    "top-speed-unknown": (
        "{athlete}: nothing tells how fast they run; height alone is not enough",
        'give a flying time, splits or a top speed, or write first_cadence = "4.0 '
        "steps/s\" under the athlete's name, a cadence that was seen, from which a first guess "
        "is made (first_speed beside it tells at what share of top speed)",
    ),
    "faster-than-anyone": (
        "{athlete}: a top speed of {top_mps} ({basis}) is faster than anyone; "
        "the limit is {limit_mps}",
        "check height, times and cadence for a slip; lower the cadence if the speed is "
        "guessed from it",
    ),
    "slower-than-a-run": (
        "{athlete}: a top speed of {top_mps} ({basis}) is no run; the least is {limit_mps}",
        "check height, times and cadence for a slip",
    ),
    "guess-cadence-out-of-range": (
        "{athlete}: no top speed can be guessed from {asked_hz}; it must lie between "
        "{low_hz} and {high_hz}",
        "ask for a cadence in that range, or give a flying time or top speed",
    ),
    "guess-share-out-of-range": (
        "{athlete}: no top speed can be guessed from a drill at {asked_share} of it; it must "
        "lie between {low_share} and {high_share}",
        "ask for a speed in that range, or give a flying time or top speed",
    ),
    "top-speed-guessed": (
        "{athlete}: top speed {top_mps} ± {sd_mps} (one SD) is guessed from height and "
        "{cadence_hz} at {speed_share}",
        'write first_cadence = "{cadence_hz}" and first_speed = "{speed_share}" under '
        "the athlete's name: then a changed cadence changes the gaps and not the athlete; "
        "one flying time replaces the guess",
    ),
    "top-speed-from-first-guess": (
        "{athlete}: top speed {top_mps} ± {sd_mps} (one SD) rests on the first guess, "
        "{cadence_hz} at {speed_share}",
        "one flying time replaces the guess",
    ),
    "guess-over-club": (
        "{athlete}: height and cadence give {guessed_mps}; club athletes run up to {club_mps}",
        'write level = "club" (or their own) '
        "under the athlete's name to cap the guess, lower the cadence, or give one flying time",
    ),
    "guess-capped": (
        "{athlete}: height and cadence would give {guessed_mps}; the level {level} caps it "
        "at {cap_mps}",
        "give a time or a top speed if they are faster",
    ),
    "guess-capped-by-age": (
        "{athlete}: height and cadence would give {guessed_mps}; their age, {age}, caps it "
        "at {cap_mps} ({level})",
        "give a time or a top speed if they are faster",
    ),
    "guess-age-unknown": (
        "{athlete}: born {born}, but the plan has no day, so that their age is not known "
        "and caps no guess",
        "write the day of the practice as date, or their age",
    ),
    "top-speed-over-level": (
        "{athlete}: a top speed of {top_mps} ({basis}) is far above what the level {level} "
        "allows, {cap_mps}",
        "check both",
    ),
    "top-speed-over-age": (
        "{athlete}: a top speed of {top_mps} ({basis}) is far above what the age {age} "
        "allows, {cap_mps} ({level})",
        "check both; write their level if it is right",
    ),
    "steps-over-marks": (
        "{athlete}: steps counted over marks teach nothing, since there the step is the gap",
        "count them in a free run, or write touchdowns of a video, which show the cadence",
    ),
    "cadence-seen": (
        "{athlete}: {cadence_hz} seen at {speed_share} tell of a step of {seen_m} at top "
        "speed, leg and speed of {known_m}; {step_m} is taken, the surer weighs more"
    ),
    "cadence-seen-disagrees": (
        "{athlete}: {cadence_hz} seen at {speed_share} tell of a step of {seen_m} at top "
        "speed, leg and speed of {known_m}, {sds} SDs apart; {step_m} is taken, the surer "
        "weighs more",
        "check the cadence, and at what share of top speed it was seen",
    ),
    "splits-unusable": ("{athlete}: {reason}", "correct the splits or take them out"),
    "time-constant-unlikely": (
        "{athlete}: the splits give a time constant of {time_constant_s}; from {clock} it "
        "usually lies between {low_s} and {high_s}",
        "check what started the clock; the start mark depends on it",
    ),
    "top-speed-unused": (
        "{athlete}: top speed {used_mps} comes from the {used}; the {unused} ({unused_mps}) "
        "is not needed and not used"
    ),
    "top-speeds-disagree": (
        "{athlete}: the {used} says {used_mps}, the {unused} {unused_mps}, {sds} SDs apart; "
        "the first is used",
        "take out the one that is out of date, or check the run-on and what started the clock",
    ),
    "timed-runs-disagree": (
        "{athlete}: timed runs of {told_on} tell of a top speed of {seen_mps}, the rest "
        "of the record of {known_mps}, {sds} SDs apart; they are averaged by their errors",
        "check the share each run was held at, or bring the record up to date",
    ),
    "timed-run-unusable": (
        "{athlete}: the run of {day} is left out: {reason}",
        "correct the run or take it out",
    ),
    "counted-steps-disagree": (
        "{athlete}: steps counted on {told_on} tell of {seen_m} at top speed, leg and "
        "speed of {known_m}, {sds} SDs apart; they are averaged by their errors",
        "check distance and count; runs over wickets must be marked as over marks",
    ),
}
