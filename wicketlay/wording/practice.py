"""Wording of reviews and of the session."""

from __future__ import annotations

_LONGER = "{athlete}: gaps {gap_move_m} longer because you ran {by_mps} faster; "
_SHORTER = "{athlete}: gaps {gap_move_m} shorter because you ran {by_mps} slower; "
_NEXT_FOR = "next time is for a top speed of {top_mps}"
_BY_ALL = (
    ", by all that is known of you; today you ran {achieved_mps}, and {expected_mps} was expected"
)
_SAME = "{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was expected"
_KEEP = (
    "{gap_share} as {athlete}'s own? It is evidence of a step of {step_m} at top speed; nothing "
    "is kept unless you say so"
)
_SECTION_NOW = "{athlete}: the section now takes {now} wickets, {was} before; "
_START_MOVES = "{athlete}: START {by_m} {way}"
_STEPS_NOW = ": {now} steps to the first mark, {was} before"
_PLANNED = "{names}: {least_m:0} to {most_m:0} of "
_VOLUME = _PLANNED + "{work} in one session; {low_m:0} to {high_m:0} is published"
_OUTSIDE = "{shortest_m:0} to {longest_m:0}; for {work} {low_m:0} to {high_m:0} is published"
_ANEW = (
    "{athlete}: slid {by_move_m} {way} all marks are laid anew, {then_steps} steps and not {steps}"
    ": the foot comes down {miss_move_m} {side}, ± {sd_move_m} (runs: {runs}, days: {days})"
)

WORDING: dict[str, str | tuple[str, str]] = {
    "review-nobodys-time": (
        "{athlete}: {time_s} over {zone_m} is no run; it must lie between {low_s} and "
        "{high_s} here",
        "check the point",
    ),
    # misses at the board
    "board-slide": (
        "{athlete}: slide all marks {by_move_m} {way}, no gap changes: "
        "the foot comes down {miss_move_m} {side}, ± {sd_move_m} (runs: {runs}, days: {days})"
    ),
    "board-slide-fewer-steps": (_ANEW, "find more runway for as many steps"),
    "board-slide-more-steps": (_ANEW, 'approach = "{steps} steps" keeps as many'),
    "board-no-slide": (
        "{athlete}: no slide: {miss_move_m} {side} is within its error, ± {sd_move_m} "
        "(runs: {runs}, days: {days})"
    ),
    "board-at-its-place": (
        "{athlete}: no slide: the foot comes down at its place, ± {sd_move_m} "
        "(runs: {runs}, days: {days})"
    ),
    "board-too-far": (
        "{athlete}: the foot comes down {miss_move_m} {side}, ± {sd_move_m} (runs: {runs}, "
        "days: {days}); that is more than a slide of {limit_m} mends",
        "check the count of steps and the start mark, or change the approach",
    ),
    # what the athlete is told
    "review-longer": _LONGER + "same rhythm",
    "review-longer-by-all": "{athlete}: gaps {gap_move_m} longer" + _BY_ALL,
    "review-longer-quicker": _LONGER + "the rhythm is a touch quicker, too",
    "review-longer-calmer": _LONGER + "the rhythm is a touch calmer",
    "review-first-time": "{athlete}: gaps {gap_move_m} longer, now that there is a time of yours",
    "review-shorter": _SHORTER + "same rhythm",
    "review-shorter-by-all": "{athlete}: gaps {gap_move_m} shorter" + _BY_ALL,
    "review-shorter-calmer": _SHORTER + "the rhythm is a touch calmer, too",
    "review-shorter-quicker": _SHORTER + "the rhythm is a touch quicker",
    "review-speed-up": "{athlete}: you ran {by_mps} faster than expected; " + _NEXT_FOR,
    "review-speed-by-all": "{athlete}: " + _NEXT_FOR + _BY_ALL,
    "review-speed-down": "{athlete}: you ran {by_mps} slower than expected; " + _NEXT_FOR,
    "review-held-back": (
        "{athlete}: same marks next time; today and your last runs tell different things, "
        "so we look again"
    ),
    "review-not-enough": _SAME + "; about one more day like it and the marks follow",
    "review-not-enough-days": _SAME + "; about {days} more days like it and the marks follow",
    "review-too-little": _SAME + "; so little moves no mark",
    "review-effort-moves-none": (_SAME + "; nobody told how hard it was, so it moves no mark"),
    "review-kept": _SAME,
    # what the coach is told beside it
    "review-capped": (
        "{athlete}: the runs tell of a top speed of {told_mps}; the marks go to {top_mps}, "
        "since gaps open by at most {cap_share} a session",
        "review the next session; closing is never held back",
    ),
    "review-first-steps": (
        "{athlete}: the first estimate was low, the runs tell of {told_mps} ± {told_sd_mps}; "
        "the marks go to {top_mps}, in steps of {cap_share}",
        "lay the step, run, and review again; each reviewed run takes the next step",
    ),
    "review-effort-untold": (
        "{athlete}: faster than {asked_share} of top speed asks for; nobody told how hard it "
        "was, so it may have been a run at {as_hard_share} as well",
        "say how hard it was (--at, or the effort in the workbench); how far the marks "
        "follow depends on it",
    ),
    "review-wind": (
        "{athlete}: the expected time is for a wind of {wind_mps}; top speed and marks are as "
        "in still air"
    ),
    "review-height": (
        "{athlete}: the expected time is for {height_m:0} above the sea; top speed and marks "
        "are as at sea level"
    ),
    "review-air": (
        "{athlete}: the expected time is for a wind of {wind_mps} at {height_m:0} above the "
        "sea; top speed and marks are as in still air at sea level"
    ),
    "times-for-height": (
        "expected times are for {height_m:0} above the sea; marks are laid as at sea level, "
        "since 1 % of speed is 2 cm of a gap"
    ),
    "gaps-to-keep-wider": "keep +" + _KEEP,
    "gaps-to-keep-closer": "keep -" + _KEEP,
    "review-coarse": (
        "{athlete}: {timing} timing, runs: {runs}, tells the speed to {sd_share} (one SD); "
        "gaps want {limit_share}",
        "take {needed} runs, a longer section, or gates",
    ),
    "review-times-apart": (
        "{athlete}: the times lie {apart_s} apart, {low_s} to {high_s}, more than timing explains",
        "leave out a slip of the watch or a run that was broken off",
    ),
    "review-unlikely": (
        "{athlete}: {time_s} from {from_mark} to {to_mark} is {off_share:0} off the expected "
        "{expected_s}",
        "check between which marks it was taken, and that these are this athlete's marks",
    ),
    "review-cannot-be-right": (
        "{athlete}: {time_s} from {from_mark} to {to_mark} cannot be right: it is "
        "{off_share:0} off the expected {expected_s}",
        "check the figures, the marks it was taken between, and whose marks they are; if "
        "it is right, what is known of the athlete is wrong",
    ),
    "review-ground-unknown": (
        "{athlete}: the log does not say where the marks of {runs} of the runs lay; the times "
        "are read on the marks as they are now, {from_mark} to {to_mark} in {zone_m}",
        "take them if those lay there that day",
    ),
    "review-fewer-wickets": _SECTION_NOW + "{marks} taken up",
    "review-more-wickets": _SECTION_NOW + "{marks} added",
    "review-shares-with": (
        "{athlete}: shares the wickets with {names} next time, a typical gap of {gap_m}"
    ),
    "review-shares-no-more": (
        "{athlete}: shares the wickets with nobody next time, a typical gap of {gap_m}"
    ),
    "review-shared-gaps": (
        "{athlete}: the gaps, shared with {names}, are laid {gap_move_m} {way}; they go between all"
    ),
    "review-shared-gaps-stay": (
        "{athlete}: the gaps, shared with {names}, are laid as before; they go between all"
    ),
    "review-start-moves": _START_MOVES,
    "review-start-moves-steps": _START_MOVES + _STEPS_NOW,
    "review-start-moves-other-foot": (_START_MOVES + _STEPS_NOW + "; the other foot comes over it"),
    "review-contradicts": (
        "{athlete}: this tells of a top speed of {seen_mps}, and {known_mps} ± {known_sd_mps} "
        "was known, {sds} SDs apart",
        "check the time and what is known; if both are right the next time tells",
    ),
    "feel-tight": (
        "{athlete}: the gaps looked tight",
        "if the time was right, open the gaps by a notch of {notch_share}, W1 held",
    ),
    "feel-tight-opening": (
        "{athlete}: the gaps looked tight, and they open by {gap_move_m} already",
        "run on the new gaps before a further notch",
    ),
    "feel-open": (
        "{athlete}: they reached for the wickets",
        "close the gaps by a notch of {notch_share}, W1 held",
    ),
    "feel-open-opening": (
        "{athlete}: they reached for the wickets although they ran faster; the proposal "
        "opens the gaps by {gap_move_m} more",
        "do not open yet: close by a notch of {notch_share}, run, and review that",
    ),
    # the session
    "session-too-long": (
        "the session takes {total_duration_s}, there are {length_duration_s}: "
        "{over_duration_s} too long with {efforts} runs each",
        "runs that would fit: {efforts_fit} each",
    ),
    "session-shorter-efforts": "runs each: {given} would save {saved_duration_s}; {enough}",
    "session-shorter-recovery": (
        "the shortest recovery for such runs, up to {given_duration_s}, would save "
        "{saved_duration_s}; {enough}"
    ),
    "session-shorter-assistants": "{given} who lay marks would save {saved_duration_s}; {enough}",
    "session-shorter-lanes": "lanes {given} would save {saved_duration_s}; {enough}",
    "session-cannot-fit": (
        "the session takes {total_duration_s}, there are {length_duration_s}: not even one "
        "run each fits",
        "fewer waves, another lane, fewer athletes, or lay the marks before the hour",
    ),
    "late-past-the-end": (
        "late: {names}; they come after the {length_duration_s} there are",
        "count them out today, or let the practice last longer",
    ),
    "late-holds-up": (
        "late: {names}; waiting for them makes the session {added_duration_s} longer",
        "fewer runs for them, or count them out today",
    ),
    "recovery-short": (
        "{names}: {planned_duration_s} of recovery is short for such runs, {low_duration_s} "
        "to {high_duration_s} is usual",
        "rest longer, lower the speed, or run fewer",
    ),
    "recovery-long": (
        "{names}: {planned_duration_s} of recovery is long for such runs, up to "
        "{high_duration_s} is usual",
        "keep warm between runs",
    ),
    "long-wait": (
        "{names}: up to {wait_duration_s} pass between two of their runs",
        "keep warm and do a build-up before the next run, or use another lane",
    ),
    "volume-over": (
        _VOLUME,
        "runs a session that keep within it: {efforts}",
    ),
    "volume-under": (
        _VOLUME,
        "enough as part of a session; {efforts} runs reach the range",
    ),
    "volume-over-practice": (
        _PLANNED + "sprinting in one session; {high_m:0} is the usual most",
        "runs a session that keep within it: {efforts}",
    ),
    "zone-outside": "{names}: a zone of " + _OUTSIDE,
    "run-on-outside": "{names}: a run-on of " + _OUTSIDE,
    "run-outside": "{names}: runs of " + _OUTSIDE,
    "run-long": (
        "{names}: runs of up to {longest_m:0}; sprint work is mostly up to {high_m:0}",
        "a shorter section keeps the speed up to the end",
    ),
    "rest-days": "{names}: flat-out running; {low_h} to {high_h} h to the next hard session",
}
