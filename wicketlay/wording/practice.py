"""Wording of reviews and of the session."""

from __future__ import annotations

from wicketlay.wording.base import Worded

WORDING: dict[str, Worded] = {
    "review-nobodys-time": Worded(
        text="{athlete}: {time_s} over {zone_m} is no run; it must lie between {low_s} and "
        "{high_s} here",
        remedy="check the point",
    ),
    # misses at the board
    "board-slide": Worded(
        text="{athlete}: slide all marks {by_move_m} {way}, no gap changes: "
        "the foot comes down {miss_move_m} {side}, ± {sd_move_m} (runs: {runs}, days: {days})",
    ),
    "board-no-slide": Worded(
        text="{athlete}: no slide: {miss_move_m} {side} is within its error, ± {sd_move_m} "
        "(runs: {runs}, days: {days})",
    ),
    "board-too-far": Worded(
        text="{athlete}: the foot comes down {miss_move_m} {side}, ± {sd_move_m} (runs: {runs}, "
        "days: {days}); that is more than a slide of {limit_m} mends",
        remedy="check the count of steps and the start mark, or change the approach",
    ),
    # what the athlete is told
    "review-longer": Worded(
        text="{athlete}: gaps {gap_move_m} longer because you ran {by_mps} faster; same rhythm",
    ),
    "review-longer-quicker": Worded(
        text="{athlete}: gaps {gap_move_m} longer because you ran {by_mps} faster; "
        "the rhythm is a touch quicker, too",
    ),
    "review-longer-calmer": Worded(
        text="{athlete}: gaps {gap_move_m} longer because you ran {by_mps} faster; "
        "the rhythm is a touch calmer",
    ),
    "review-first-time": Worded(
        text="{athlete}: gaps {gap_move_m} longer, now that there is a time of yours",
    ),
    "review-shorter": Worded(
        text="{athlete}: gaps {gap_move_m} shorter because you ran {by_mps} slower; same rhythm",
    ),
    "review-shorter-calmer": Worded(
        text="{athlete}: gaps {gap_move_m} shorter because you ran {by_mps} slower; "
        "the rhythm is a touch calmer, too",
    ),
    "review-shorter-quicker": Worded(
        text="{athlete}: gaps {gap_move_m} shorter because you ran {by_mps} slower; "
        "the rhythm is a touch quicker",
    ),
    "review-speed-up": Worded(
        text="{athlete}: you ran {by_mps} faster than expected; next time is for a top speed of "
        "{top_mps}",
    ),
    "review-speed-down": Worded(
        text="{athlete}: you ran {by_mps} slower than expected; next time is for a top speed of "
        "{top_mps}",
    ),
    "review-held-back": Worded(
        text="{athlete}: same marks next time; today and your last runs tell different things, "
        "so we look again",
    ),
    "review-not-enough": Worded(
        text="{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was "
        "expected; about one more day like it and the marks follow",
    ),
    "review-not-enough-days": Worded(
        text="{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was "
        "expected; about {days} more days like it and the marks follow",
    ),
    "review-too-little": Worded(
        text="{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was "
        "expected; so little moves no mark",
    ),
    "review-effort-moves-none": Worded(
        text="{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was "
        "expected; nobody told how hard it was, so it moves no mark",
    ),
    "review-kept": Worded(
        text="{athlete}: same marks next time; you ran {achieved_mps}, and {expected_mps} was "
        "expected",
    ),
    # what the coach is told beside it
    "review-capped": Worded(
        text="{athlete}: the runs tell of a top speed of {told_mps}; the marks go to {top_mps}, "
        "since gaps open by at most {cap_share} a session",
        remedy="review the next session; closing is never held back",
    ),
    "review-first-steps": Worded(
        text="{athlete}: the first estimate was low, the runs tell of {told_mps} ± {told_sd_mps}; "
        "the marks go to {top_mps}, in steps of {cap_share}",
        remedy="lay the step, run, and review again; each reviewed run takes the next step",
    ),
    "review-effort-untold": Worded(
        text="{athlete}: faster than {asked_share} of top speed asks for; nobody told how hard it "
        "was, so it may have been a run at {as_hard_share} as well",
        remedy="say how hard it was (--at, or the effort in the workbench); how far the marks "
        "follow depends on it",
    ),
    "review-wind": Worded(
        text="{athlete}: the expected time is for a wind of {wind_mps}; top speed and marks are as "
        "in still air",
    ),
    "review-height": Worded(
        text="{athlete}: the expected time is for {height_m:0} above the sea; top speed and marks "
        "are as at sea level",
    ),
    "review-air": Worded(
        text="{athlete}: the expected time is for a wind of {wind_mps} at {height_m:0} above the "
        "sea; top speed and marks are as in still air at sea level",
    ),
    "times-for-height": Worded(
        text="expected times are for {height_m:0} above the sea; marks are laid as at sea level, "
        "since 1 % of speed is 2 cm of a gap",
    ),
    "gaps-to-keep-wider": Worded(
        text="keep +{gap_share} as {athlete}'s own? It is evidence of a step of {step_m} at top "
        "speed; nothing is kept unless you say so",
    ),
    "gaps-to-keep-closer": Worded(
        text="keep -{gap_share} as {athlete}'s own? It is evidence of a step of {step_m} at top "
        "speed; nothing is kept unless you say so",
    ),
    "review-coarse": Worded(
        text="{athlete}: {timing} timing, runs: {runs}, tells the speed to {sd_share} (one SD); "
        "gaps want {limit_share}",
        remedy="take {needed} runs, a longer section, or gates",
    ),
    "review-times-apart": Worded(
        text="{athlete}: the times lie {apart_s} apart, {low_s} to {high_s}, more than timing "
        "explains",
        remedy="leave out a slip of the watch or a run that was broken off",
    ),
    "review-unlikely": Worded(
        text="{athlete}: {time_s} from {from_mark} to {to_mark} is {off_share:0} off the expected "
        "{expected_s}",
        remedy="check between which marks it was taken, and that these are this athlete's marks",
    ),
    "review-cannot-be-right": Worded(
        text="{athlete}: {time_s} from {from_mark} to {to_mark} cannot be right: it is "
        "{off_share:0} off the expected {expected_s}",
        remedy="check the figures, the marks it was taken between, and whose marks they are; if "
        "it is right, what is known of the athlete is wrong",
    ),
    "review-ground-unknown": Worded(
        text="{athlete}: the log does not say where the marks of {runs} of the runs lay; the times "
        "are read on the marks as they are now, {from_mark} to {to_mark} in {zone_m}",
        remedy="take them if those lay there that day",
    ),
    "review-fewer-wickets": Worded(
        text="{athlete}: the section now takes {now} wickets, {was} before; {marks} taken up",
    ),
    "review-more-wickets": Worded(
        text="{athlete}: the section now takes {now} wickets, {was} before; {marks} added",
    ),
    "review-shares-with": Worded(
        text="{athlete}: shares the wickets with {names} next time, a typical gap of {gap_m}"
    ),
    "review-shares-no-more": Worded(
        text="{athlete}: shares the wickets with nobody next time, a typical gap of {gap_m}"
    ),
    "review-start-moves": Worded(text="{athlete}: START {by_m} {way}"),
    "review-start-moves-steps": Worded(
        text="{athlete}: START {by_m} {way}: {now} steps to the first mark, {was} before",
    ),
    "review-start-moves-other-foot": Worded(
        text="{athlete}: START {by_m} {way}: {now} steps to the first mark, {was} before; the "
        "other foot comes over it",
    ),
    "review-contradicts": Worded(
        text="{athlete}: this tells of a top speed of {seen_mps}, and {known_mps} ± {known_sd_mps} "
        "was known, {sds} SDs apart",
        remedy="check the time and what is known; if both are right the next time tells",
    ),
    "feel-tight": Worded(
        text="{athlete}: the gaps looked tight",
        remedy="if the time was right, open the gaps by a notch of {notch_share}, W1 held",
    ),
    "feel-tight-opening": Worded(
        text="{athlete}: the gaps looked tight, and they open by {gap_move_m} already",
        remedy="run on the new gaps before a further notch",
    ),
    "feel-open": Worded(
        text="{athlete}: they reached for the wickets",
        remedy="close the gaps by a notch of {notch_share}, W1 held",
    ),
    "feel-open-opening": Worded(
        text="{athlete}: they reached for the wickets although they ran faster; the proposal "
        "opens the gaps by {gap_move_m} more",
        remedy="do not open yet: close by a notch of {notch_share}, run, and review that",
    ),
    # the session
    "session-too-long": Worded(
        text="the session takes {total_duration_s}, there are {length_duration_s}: "
        "{over_duration_s} too long with {efforts} runs each",
        remedy="runs that would fit: {efforts_fit} each",
    ),
    "session-shorter-efforts": Worded(
        text="runs each: {given} would save {saved_duration_s}; {enough}",
    ),
    "session-shorter-recovery": Worded(
        text="the shortest recovery for such runs, up to {given_duration_s}, would save "
        "{saved_duration_s}; {enough}",
    ),
    "session-shorter-assistants": Worded(
        text="{given} who lay marks would save {saved_duration_s}; {enough}",
    ),
    "session-shorter-lanes": Worded(
        text="lanes {given} would save {saved_duration_s}; {enough}",
    ),
    "session-cannot-fit": Worded(
        text="the session takes {total_duration_s}, there are {length_duration_s}: not even one "
        "run each fits",
        remedy="fewer waves, another lane, fewer athletes, or lay the marks before the hour",
    ),
    "late-past-the-end": Worded(
        text="late: {names}; they come after the {length_duration_s} there are",
        remedy="count them out today, or let the practice last longer",
    ),
    "late-holds-up": Worded(
        text="late: {names}; waiting for them makes the session {added_duration_s} longer",
        remedy="fewer runs for them, or count them out today",
    ),
    "recovery-short": Worded(
        text="{names}: {planned_duration_s} of recovery is short for such runs, {low_duration_s} "
        "to {high_duration_s} is usual",
        remedy="rest longer, lower the speed, or run fewer",
    ),
    "recovery-long": Worded(
        text="{names}: {planned_duration_s} of recovery is long for such runs, up to "
        "{high_duration_s} is usual",
        remedy="keep warm between runs",
    ),
    "long-wait": Worded(
        text="{names}: up to {wait_duration_s} pass between two of their runs",
        remedy="keep warm and do a build-up before the next run, or use another lane",
    ),
    "volume-over": Worded(
        text="{names}: {planned_m:0} of {work} in one session; "
        "{low_m:0} to {high_m:0} is published",
        remedy="runs a session that keep within it: {efforts}",
    ),
    "volume-under": Worded(
        text="{names}: {planned_m:0} of {work} in one session; "
        "{low_m:0} to {high_m:0} is published",
        remedy="enough as part of a session; {efforts} runs reach the range",
    ),
    "volume-over-practice": Worded(
        text="{names}: {planned_m:0} of sprinting in one session; {high_m:0} is the usual most",
        remedy="runs a session that keep within it: {efforts}",
    ),
    "zone-outside": Worded(
        text="{names}: a zone of {shortest_m:0} to {longest_m:0}; for {work} "
        "{low_m:0} to {high_m:0} is published",
    ),
    "run-on-outside": Worded(
        text="{names}: a run-on of {shortest_m:0} to {longest_m:0}; for {work} "
        "{low_m:0} to {high_m:0} is published",
    ),
    "run-outside": Worded(
        text="{names}: runs of {shortest_m:0} to {longest_m:0}; for {work} "
        "{low_m:0} to {high_m:0} is published",
    ),
    "run-long": Worded(
        text="{names}: runs of up to {longest_m:0}; sprint work is mostly up to {high_m:0}",
        remedy="a shorter section keeps the speed up to the end",
    ),
    "rest-days": Worded(
        text="{names}: flat-out running; {low_h} to {high_h} h to the next hard session",
    ),
}
