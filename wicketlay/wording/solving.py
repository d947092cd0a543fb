"""Wording of what solving a whole plan, and putting it on paper, says."""

from __future__ import annotations

from wicketlay.wording.base import Worded

_OVER_LIMIT = (
    "{athlete}: from stage {from_stage} on gaps are more than {limit_share} off the natural step"
)

WORDING: dict[str, Worded] = {
    "stages-over-limit": Worded(
        text=_OVER_LIMIT, remedy="ask for a cadence nearer the natural one, or leave it out"
    ),
    "stages-over-limit-cadence": Worded(
        text=_OVER_LIMIT,
        remedy="[stages] cadence = “{cadence}” keeps all of them within it",
    ),
    "stages-over-limit-end": Worded(
        text=_OVER_LIMIT, remedy="a series that ends at {to_share} keeps within it"
    ),
    "athlete-refused": Worded(
        text="{athlete}: {reason}",
        remedy="correct what stands under the athlete's name",
    ),
    "children": Worded(
        text="{names}: under {years} years",
        remedy="only by a qualified coach's judgement",
    ),
    "not-shared": Worded(
        text="a drill of this kind ({drill}) is laid for one athlete at a time, so {needed} waves "
        "are needed, not {waves}",
        remedy="take more lanes, or fewer athletes at a time",
    ),
    "one-laying-for-all": Worded(
        text="all run over the same marks in turn ({drill}); {waves} waves are not needed",
        remedy="leave waves out",
    ),
    "place-taken": Worded(
        text="one athlete at a time runs there ({drill}), and {other} is on that lane in that wave",
        remedy="runs in wave {given} there, or give another lane or wave",
    ),
    "bag-too-small-for-lanes": Worded(
        text="wave {wave} needs {needed} wickets on {lanes} lanes and the bag holds {bag}",
        remedy="dealt {dealt}, chalk or tape marks after them; else one lane at a time, or fewer "
        "wickets",
    ),
    "one-cadence-for-all": Worded(
        text="{cadence_hz} is asked of {athletes} athletes of different size",
        remedy="say the cadence as a share of top, or make a plan for one athlete",
    ),
    "cadence-not-held-shared": Worded(
        text="{cadence_hz} is asked for; on the shared gaps it is {lowest_hz} to {highest_hz}",
        remedy="more lanes or waves, so that fewer share, or leave the cadence to each athlete",
    ),
    "stage-hold-unknown": Worded(
        text='the stages hold "{asked}", which is no wicket here; W1 is held',
        remedy='write hold = "w1", or another of {known}',
    ),
    "nobody-here": Worded(
        text="everybody of the plan is marked as absent, so nothing is laid",
        remedy='take "absent" away from whoever runs, or add an athlete',
    ),
    "character-not-printable": Worded(
        text='{where} "{text}" has characters that cannot be printed: {characters}; each is shown '
        "by this number in a box",
        remedy="write it in Latin, Greek or Cyrillic letters",
    ),
}
