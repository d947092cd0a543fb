"""Wording of what solving a whole plan, and putting it on paper, says."""

from __future__ import annotations

_OVER_LIMIT = (
    "{athlete}: from stage {from_stage} on gaps are more than {limit_share} off the natural step"
)

WORDING: dict[str, str | tuple[str, str]] = {
    "stages-over-limit": (_OVER_LIMIT, "ask for a cadence nearer the natural one, or leave it out"),
    "stages-over-limit-cadence": (
        _OVER_LIMIT,
        "[stages] cadence = “{cadence}” keeps all of them within it",
    ),
    "stages-over-limit-end": (_OVER_LIMIT, "a series that ends at {to_share} keeps within it"),
    "athlete-refused": ("{athlete}: {reason}", "correct what stands under the athlete's name"),
    "children": ("{names}: under {years} years", "only by a qualified coach's judgement"),
    "not-shared": (
        "a drill of this kind ({drill}) is laid for one athlete at a time, so {needed} waves "
        "are needed, not {waves}",
        "take more lanes, or fewer athletes at a time",
    ),
    "one-laying-for-all": (
        "all run over the same marks in turn ({drill}); {waves} waves are not needed",
        "leave waves out",
    ),
    "place-taken": (
        "one athlete at a time runs there ({drill}), and {other} is on that lane in that wave",
        "runs in wave {given} there, or give another lane or wave",
    ),
    "bag-too-small-for-lanes": (
        "wave {wave} needs {needed} wickets on {lanes} lanes and the bag holds {bag}",
        "dealt {dealt}, chalk or tape marks after them; else one lane at a time, or fewer wickets",
    ),
    "one-cadence-for-all": (
        "{cadence_hz} is asked of {athletes} athletes of different size",
        "say the cadence as a share of top, or make a plan for one athlete",
    ),
    "cadence-not-held-shared": (
        "{cadence_hz} is asked for; on the shared gaps it is {lowest_hz} to {highest_hz}",
        "more lanes or waves, so that fewer share, or leave the cadence to each athlete",
    ),
    "stage-hold-unknown": (
        'the stages hold "{asked}", which is no wicket here; W1 is held',
        'write hold = "w1", or another of {known}',
    ),
    "stage-hold-moved": (
        "the stages hold {hold_mark}, and the place holds {place_mark}: {hold_mark} moves from "
        "stage to stage",
        "tell the place by {hold_mark}, or hold what the place is told by",
    ),
    "nobody-here": (
        "everybody of the plan is marked as absent, so nothing is laid",
        'take "absent" away from whoever runs, or add an athlete',
    ),
    "character-not-printable": (
        '{where} "{text}" has characters that cannot be printed: {characters}; each is shown '
        "by this number in a box",
        "write it in Latin, Greek or Cyrillic letters",
    ),
}
