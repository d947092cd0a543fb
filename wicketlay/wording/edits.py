"""What was done to a plan, and what was held while it was, in words."""

from __future__ import annotations

from wicketlay.wording.base import Worded

WORDING: dict[str, Worded] = {
    **{
        f"edit-gaps-{way}{end}": Worded(
            text=f"{{athlete}}: gaps {{by_share:0}} {way}",
            remedy=f"{stay} and speed held; cadence asked changes",
        )
        for way in ("wider", "tighter")
        for end, stay in (("", "W1, start mark"), ("-at-line", "last wicket, start"))
    },
    **{
        f"edit-speed{end}": Worded(text="{athlete}: speed {by_points}", remedy=held)
        for end, held in (
            ("", "W1 and the cadence rule held; gaps and start mark follow"),
            ("-at-line", "take-off line and the cadence rule held; gaps and start mark follow"),
            ("-without-wickets", "drill and place held; start mark follows"),
        )
    },
    **{
        f"edit-cadence{end}": Worded(
            text="{athlete}: cadence {by_points}", remedy=f"{stay} and speed held; gaps change"
        )
        for end, stay in (("", "W1"), ("-at-line", "take-off line"))
    },
    "edit-all-moved": Worded(text="all marks moved", remedy="every gap and the run-on held"),
    "edit-start-moved": Worded(text="{athlete}: start mark moved", remedy="every other mark held"),
    **{
        f"edit-{code}": Worded(text=text, remedy="the others' marks held where possible")
        for code, text in (("left-out", "{athlete}: left out"), ("back-in", "{athlete}: back in"))
    },
    "edit-late": Worded(
        text="{athlete}: comes {by_duration_s} late",
        remedy="every mark held; the order of the runs follows",
    ),
    "edit-in-time": Worded(
        text="{athlete}: in time", remedy="every mark held; the order of the runs follows"
    ),
    "edit-on-lane": Worded(
        text="{athlete}: runs on lane {lane}",
        remedy="wave and start letter held; the others stay",
    ),
    "edit-as-dealt": Worded(
        text="{athlete}: lane, wave and start letter as dealt",
        remedy="gaps, speed and start mark by hand held",
    ),
    "edit-in-wave": Worded(
        text="{athlete}: runs in wave {wave}",
        remedy="lane and start letter held; the others stay",
    ),
    **{
        f"edit-{many}{end}": Worded(
            text=f"everything on {strip}{where}",
            remedy="every gap, wave and start letter held",
        )
        for many, strip in (("lane", "lane {lanes}"), ("lanes", "lanes {lanes}"))
        for end, where in (
            ("", ""),
            ("-line", " of the {line}"),
            ("-line-ground", " of the {line}, {ground}"),
        )
    },
    **{
        f"edit-runway{end}": Worded(
            text=f"everything on the runway{where}",
            remedy="every gap, wave and start letter held",
        )
        for end, where in (("", ""), ("-line", ""), ("-line-ground", ", {ground}"))
    },
    "edit-drill": Worded(text="drill changed", remedy="athletes held"),
    "edit-title": Worded(text="title changed", remedy="every mark held"),
    "edit-kit": Worded(text="bag changed", remedy="athletes and drill held"),
    "edit-bag": Worded(
        text="the bag holds {wickets}", remedy="every place held; chalk where the bag ends"
    ),
    "edit-ground": Worded(text="ground changed", remedy="every gap held"),
    "edit-place": Worded(text="place changed", remedy="every gap held"),
    "edit-tape": Worded(text="tape changed", remedy="every mark held"),
    "edit-session": Worded(text="session changed", remedy="athletes and drill held"),
    "edit-stages": Worded(text="stages changed", remedy="athletes and drill held"),
    "edit-stages-out": Worded(text="stages taken out", remedy="athletes and drill held"),
    "edit-at-stage": Worded(
        text="now at stage {stage}", remedy="{hold_mark} held through all stages"
    ),
    "edit-known": Worded(
        text="{athlete}: what is known changed",
        remedy="drill and place held; marks follow the athlete",
    ),
    "edit-review": Worded(
        text="{athlete}: review accepted",
        remedy="drill and place held; marks follow the athlete",
    ),
    "edit-gaps-kept": Worded(text="{athlete}: gaps kept as their own", remedy="gaps laid held"),
    "edit-misses": Worded(
        text="{athlete}: misses of {day} in the record", remedy="every mark held"
    ),
    "edit-slid": Worded(
        text="{athlete}: all marks {by_move_m} {way}", remedy="every gap and the run-on held"
    ),
    "edit-record": Worded(text="in the record: {names}"),
    "edit-record-not-all": Worded(text="in the record: {names}", remedy="not taken: {left}"),
    "edit-added": Worded(text="{athlete} added", remedy="drill and place held"),
    "edit-guest-added": Worded(text="{athlete} added as a guest", remedy="drill and place held"),
    "edit-taken-off": Worded(text="{athlete} taken off the plan", remedy="drill and place held"),
    "edit-order": Worded(
        text="{athlete} runs as number {number}", remedy="every athlete's own marks held"
    ),
}
