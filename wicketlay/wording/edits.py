"""What was done to a plan, and what was held while it was, in words."""

from __future__ import annotations

WORDING: dict[str, str | tuple[str, str]] = {
    **{
        f"edit-gaps-{way}{end}": (
            f"{{athlete}}: gaps {{by_share:0}} {way}",
            f"{stay} and speed held; cadence asked changes",
        )
        for way in ("wider", "tighter")
        for end, stay in (("", "W1, start mark"), ("-at-line", "last wicket, start"))
    },
    **{
        f"edit-speed{end}": ("{athlete}: speed {by_points}", held)
        for end, held in (
            ("", "W1 and the cadence rule held; gaps and start mark follow"),
            ("-at-line", "take-off line and the cadence rule held; gaps and start mark follow"),
            ("-without-wickets", "drill and place held; start mark follows"),
        )
    },
    **{
        f"edit-cadence{end}": (
            "{athlete}: cadence {by_points}",
            f"{stay} and speed held; gaps change",
        )
        for end, stay in (("", "W1"), ("-at-line", "take-off line"))
    },
    "edit-all-moved": ("all marks moved", "every gap and the run-on held"),
    "edit-start-moved": ("{athlete}: start mark moved", "every other mark held"),
    **{
        f"edit-{code}": (text, "the others' marks held where possible")
        for code, text in (("left-out", "{athlete}: left out"), ("back-in", "{athlete}: back in"))
    },
    "edit-late": (
        "{athlete}: comes {by_duration_s} late",
        "every mark held; the order of the runs follows",
    ),
    "edit-in-time": ("{athlete}: in time", "every mark held; the order of the runs follows"),
    "edit-on-lane": (
        "{athlete}: runs on lane {lane}",
        "wave and start letter held; the others stay",
    ),
    "edit-as-dealt": (
        "{athlete}: lane, wave and start letter as dealt",
        "gaps, speed and start mark by hand held",
    ),
    "edit-in-wave": (
        "{athlete}: runs in wave {wave}",
        "lane and start letter held; the others stay",
    ),
    **{
        f"edit-{many}{end}": (
            f"everything on {strip}{where}",
            "every gap, wave and start letter held",
        )
        for many, strip in (("lane", "lane {lanes}"), ("lanes", "lanes {lanes}"))
        for end, where in (
            ("", ""),
            ("-line", " of the {line}"),
            ("-line-ground", " of the {line}, {ground}"),
        )
    },
    **{
        f"edit-runway{end}": (
            f"everything on the runway{where}",
            "every gap, wave and start letter held",
        )
        for end, where in (("", ""), ("-line", ""), ("-line-ground", ", {ground}"))
    },
    "edit-drill": ("drill changed", "athletes held"),
    "edit-title": ("title changed", "every mark held"),
    "edit-kit": ("bag changed", "athletes and drill held"),
    "edit-bag": ("the bag holds {wickets}", "every place held; chalk where the bag ends"),
    "edit-ground": ("ground changed", "every gap held"),
    "edit-place": ("place changed", "every gap held"),
    "edit-tape": ("tape changed", "every mark held"),
    "edit-session": ("session changed", "athletes and drill held"),
    "edit-stages": ("stages changed", "athletes and drill held"),
    "edit-stages-out": ("stages taken out", "athletes and drill held"),
    "edit-at-stage": ("now at stage {stage}", "{hold_mark} held through all stages"),
    "edit-known": (
        "{athlete}: what is known changed",
        "drill and place held; marks follow the athlete",
    ),
    "edit-review": ("{athlete}: review accepted", "drill and place held; marks follow the athlete"),
    "edit-gaps-kept": ("{athlete}: gaps kept as their own", "gaps laid held"),
    "edit-misses": ("{athlete}: misses of {day} in the record", "every mark held"),
    "edit-slid-anew": (
        "{athlete}: all marks {by_move_m} {way}",
        "the runway holds another number of steps: gaps and run-on follow",
    ),
    "edit-slid": ("{athlete}: all marks {by_move_m} {way}", "every gap and the run-on held"),
    "edit-record": "in the record: {names}",
    "edit-record-not-all": ("in the record: {names}", "not taken: {left}"),
    "edit-added": ("{athlete} added", "drill and place held"),
    "edit-guest-added": ("{athlete} added as a guest", "drill and place held"),
    "edit-taken-off": ("{athlete} taken off the plan", "drill and place held"),
    "edit-order": ("{athlete} runs as number {number}", "every athlete's own marks held"),
}
