"""Wording of what the ground and the tape say."""

from __future__ import annotations

from wicketlay.ground.room_findings import ENDINGS, ROOM_CODES, SMALLER_ENDINGS

_ROOM_TEXT = {
    "ground-start-off-surface": "{here}: {mark} is {short_m} behind {what}",
    "ground-start-at-wall": "{here}: {mark} is {room_m} from the wall behind it; the rear "
    "foot needs {least_m}",
    "ground-approach-off-surface": "{here}: the {approach_m} of walk or jog before {mark} "
    "reach {short_m} behind {what}",
    "ground-mark-off-stretch": "{here}: {mark} is {short_m} {where} of the {line}",
    "ground-run-out-too-short": "{here}: only {room_m} to slow down before {what}; "
    "at least {least_m} are needed",
    "ground-run-out-short": "{here}: {room_m} to slow down before {what}; {wanted_m} are wanted",
    "ground-both-ways-short": "{here}: run both ways, {short_m} are missing {where} the "
    "wickets, up to {what}",
    "ground-obstacle": "{here}: {what} is in the way from {from_m} {where} the first mark",
    "ground-laying-overlap": "{here}: {what} is in the way from {from_m} {where} the first mark",
    "ground-run-out-into-bend": "{here}: the last {bend_m} of the slow-down lie in the bend",
    "ground-run-on-from-bend": "{here}: the first {bend_m} of the run, any walk or jog before "
    "START counted, lie in the bend",
}
_ROOM_REMEDY = {
    "shift": "slide everything {shift_m} {way}",
    "shift-or-fewer": "slide everything {shift_m} {way}, or take {wickets} wickets",
    "fewer": "take {wickets} wickets",
    "fewer-and-shift": "take {wickets} wickets and slide everything {shift_m} {way}",
    "slower": "run at {speed_share} of top speed",
    "slower-and-shift": "run at {speed_share} of top speed and slide everything {shift_m} {way}",
    "fewer-and-slower": "take {wickets} wickets and run at {speed_share} of top speed",
    "fewer-and-slower-and-shift": "take {wickets} wickets, run at {speed_share} of top speed and "
    "slide everything {shift_m} {way}",
    "anchored": "the take-off line cannot move: take an approach that is shorter by {short_m}",
    "no-room": "it needs {needed_m} in one piece and there are {have_m}: take a shorter run or "
    "a slower one, or ask `wicketlay places` where it fits",
}
_NO_SHORT = {
    "ground-obstacle": "the take-off line cannot move: clear it away or use another runway",
    "ground-laying-overlap": "the take-off line cannot move: let one lay and run after the other",
    "ground-run-out-into-bend": "slow down inside the lane",
    "ground-run-on-from-bend": "start inside the lane",
}
"""What to do on a board where there is no missing length to name."""

_ELSEWHERE = "; `wicketlay places` says where it fits"


def _room_remedy(base: str, ending: str) -> str:
    if ending == "anchored":
        return _NO_SHORT.get(base, _ROOM_REMEDY[ending])
    # Marks off the stretch that was named were put at a wrong place: another is asked for first.
    elsewhere = base == "ground-mark-off-stretch" and ending != "no-room"
    return _ROOM_REMEDY[ending] + (_ELSEWHERE if elsewhere else "")


WORDING: dict[str, str | tuple[str, str]] = {
    **{
        f"{base}-{ending}": (_ROOM_TEXT[base], _room_remedy(base, ending))
        for base in ROOM_CODES
        for ending in (*ENDINGS, *SMALLER_ENDINGS)
    },
    "ground-line-unknown": (
        "there is no “{asked}” on this ground",
        "{meant}the lines are: {known}",
    ),
    "ground-lane-unknown": ("the {line} has no lane {asked}", "the lanes are {known}"),
    "ground-landmark-unknown": (
        "{here}: there is no “{asked}” on the {line}",
        "{meant}the landmarks are: {known}",
    ),
    "ground-mark-unknown": (
        "{here}: there is no mark “{asked}” to put at the landmark",
        "{meant}the marks are: {known}",
    ),
    "ground-word-needs-length": (
        "{here}: “{word}” means nothing on the {line}: nothing says where it ends",
        "name a landmark and an offset, or give the length of the ground",
    ),
    "ground-place-not-told": (
        "{here}: no place was told: laid as far back as the ground allows",
        "name a landmark, a mark and an offset to lay it elsewhere",
    ),
    "ground-beside-middle": (
        "{here}: in the middle of the straight there is no room: laid {by_m} farther {way}",
        "ask for fewer wickets, or for another line, to lay it in the middle",
    ),
    "ground-behind-assumed": (
        "{here}: this place rests on {behind_m} of surface behind where the {line} "
        "begins, taken as usual: nobody measured it",
        "measure it and write start_extension under the ground, or tell the place by a landmark",
    ),
    "ground-ahead-assumed": (
        "{here}: this place rests on {ahead_m} of surface beyond the finish line of the "
        "{line}, taken as usual: nobody measured it",
        "measure it and write run_out under the ground, or tell the place by a landmark",
    ),
    "ground-marks-on-bend": (
        "{here}: marks on a bend of {radius_m} radius: {count}",
        "lay the tape along the line, not straight across",
    ),
    "ground-wickets-on-bend": (
        "{here}: {count} wickets lie on a bend of {radius_m} radius; before {mark} the "
        "gap is {inner_m} at the left ends and {outer_m} at the right ends",
        "lay the tape along the line, not straight across, and set each wicket square to it",
    ),
    "ground-wicket-wider-than-lane": (
        "{here}: the wickets are {width_m} wide and the lane is {clear_m} clear: they "
        "stand {over_m} over each line",
        "keep the lanes beside it free, or use narrower wickets",
    ),
    "ground-wicket-into-neighbour": (
        "{here}: wickets {width_m} wide stand into the run of lane {other}, or its "
        "wickets into this one",
        "leave a lane between, or use narrower wickets",
    ),
    "ground-both-ways-uneven": (
        "{here}: gaps from {shortest_m} to {longest_m} cannot be run both ways",
        'ask for even gaps (gaps = "even"), or run one way',
    ),
    "ground-both-ways-fall": (
        "{here}: these wickets fall one way only and would trip who comes from behind",
        "use wickets that fall both ways (falls_both_ways = true), or run one way",
    ),
    "ground-neighbour-opposite": (
        "{here}: lane {other} beside it is run the other way at the same place",
        "leave a lane between, or run the same way",
    ),
    "ground-jump-direction": (
        "a take-off run ends at the pit and can be run towards it only",
        "leave the direction out",
    ),
    "takeoff-past-the-line": (
        "{here}: the marks are moved {by_m} forward: the last step would land that far "
        "past the take-off line, towards the pit",
        "check the slide for a slip of the point; over {limit_m} forward is not laid: "
        "change the approach instead",
    ),
    "takeoff-slid-far": (
        "{here}: the marks are moved {by_m} back; a missed board asks for {limit_m} at the most",
        "check the slide for a slip of the point, or change the approach",
    ),
    "ground-competition-markers": (
        "{count} marks are laid; in competition {most} markers an athlete are allowed, "
        "beside the runway",
        "for practice only: World Athletics rule 180.3",
    ),
    "ground-rule-below": (
        "{what} is {value_m}; {rule} asks for at least {limit_m}",
        "good enough to practise on, not for a competition",
    ),
    "ground-rule-above": (
        "{what} is {value_m}; {rule} allows at most {limit_m}",
        "good enough to practise on, not for a competition",
    ),
    "tape-zero-unknown": (
        "{here}: there is no mark “{asked}” for the tape's zero",
        "{meant}the marks are: {known}",
    ),
    "tape-zero-far": (
        "the zero lies {away_m} from {landmark}, and the tape is {tape_m} long",
        "measure in pieces as the tape sheet says, take a tape of {longer_m} or more, or "
        "place the run nearer to a fixed point",
    ),
    "tape-told-far": (
        "the tape is {tape_m} long and {landmark} is {away_m} from the zero: it is measured "
        "from {other}",
        "with a tape of {longer_m} or more it is measured from {landmark}",
    ),
    "tape-too-short": (
        "{here}: {mark} is {reach_m} from {zero_mark} and the tape ends at {tape_m}, "
        "with no mark between to begin anew from",
        "take a tape of {longer_m} or more, or bring the two nearer to each other by a "
        "shorter run-on or zone",
    ),
    "tape-new-pull": (
        "{here}: the tape ends at {tape_m}: a new pull begins at {mark}",
        "lay the 0 of the scale at {mark} and begin the next table",
    ),
    "tape-straight-on-bend": (
        "{here}: a tape pulled straight over {arc_m} of bend to {mark} would read "
        "{error_mm} short; more than {limit_m} is not laid so",
        "lay the tape along the painted line or along the run line",
    ),
}
