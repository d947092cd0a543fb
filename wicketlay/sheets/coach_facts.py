"""What the coach sheet says is known of an athlete, and of the run; what each number rests on."""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from wicketlay.board_misses import SLIDE, slide_of, slide_told
from wicketlay.drills.cadence import CadenceRule
from wicketlay.drills.marks import MarkKind
from wicketlay.drills.run_on import LAST_TWO
from wicketlay.drills.runs import Pace
from wicketlay.lanes.closing import gap_shown_m, run_on_shown_m, section_shown_m, zone_ends
from wicketlay.running.air import time_in_air_s
from wicketlay.sheets.page.flow import Block
from wicketlay.sheets.page.layout import Pen, cap_mm, line_mm, wrap
from wicketlay.sheets.page.model import Role
from wicketlay.sheets.setting import Setting, expected_time_s, gap_sd_text
from wicketlay.sheets.step_pattern import is_takeoff, step_pattern
from wicketlay.units import format_cadence, format_move, format_percent, format_speed, format_time
from wicketlay.wording.names import (
    about_text,
    cadence_seen,
    mark_label,
    miss_text,
    room_text,
    slide_text,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wicketlay.running.estimates import Estimate
    from wicketlay.solve import Demand


Fact = tuple[str, str, str]
"""A line of a list of facts: what, how much, and on what basis ("" for none)."""


def facts_of(setting: Setting, demand: Demand) -> list[Block]:
    """Return what is known and what the run is, side by side; below one another on A5."""
    paper = setting.paper
    lists = {
        "What is known (± is one SD)": _known(setting, demand),
        "The run": _run(setting, demand),
    }
    if paper.compact:
        whole = (paper.left_mm, paper.right_mm)
        return [_fact_list(title, facts, whole, compact=True) for title, facts in lists.items()]
    half = paper.column_mm(0.5)
    halves = ((paper.left_mm, half - 3.0), (half + 3.0, paper.right_mm))
    left, right = (
        _fact_list(title, facts, ends, compact=False)
        for (title, facts), ends in zip(lists.items(), halves, strict=True)
    )

    def draw(pen: Pen, y: float) -> None:
        left.draw(pen, y)
        right.draw(pen, y)

    return [Block(height_mm=max(left.height_mm, right.height_mm), draw=draw)]


def _fact_list(
    title: str, facts: Sequence[Fact], ends: tuple[float, float], *, compact: bool
) -> Block:
    """Return facts in three columns: what, value, basis below it in small."""
    left, right = ends
    size, small, head = Role.BODY.large_pt, Role.LABEL.large_pt, Role.HEADING.large_pt
    if compact:
        size, small, head = Role.BODY.small_pt, Role.LABEL.small_pt, Role.HEADING.small_pt
    value_x = left + 30.0
    rows = [
        (
            wrap(what, Role.BODY, size, value_x - left - 1.5),
            wrap(value, Role.STRONG, size, right - value_x),
            wrap(basis, Role.LABEL, small, right - value_x),
        )
        for what, value, basis in facts
    ]
    heights = [
        max(len(what), len(value)) * line_mm(size) + len(basis) * line_mm(small) + 0.7
        for what, value, basis in rows
    ]
    top = cap_mm(head) + 3.2
    height = top + sum(heights)

    def draw(pen: Pen, y: float) -> None:
        pen.text(left, y + 1.0 + cap_mm(head), title, Role.HEADING, size_pt=head)
        pen.line(left, y + cap_mm(head) + 2.0, right, y + cap_mm(head) + 2.0, width_mm=0.2)
        at = y + top
        for (what, value, basis), row_mm in zip(rows, heights, strict=True):
            baseline = at + cap_mm(size) + 0.4
            pen.lines(left, baseline, what, Role.BODY, size_pt=size)
            after = pen.lines(value_x, baseline, value, Role.STRONG, size_pt=size)
            below = after - line_mm(size) + line_mm(small)
            pen.lines(value_x, below, basis, Role.LABEL, size_pt=small)
            at += row_mm

    return Block(height_mm=height + 1.0, draw=draw)


def _known(setting: Setting, demand: Demand) -> list[Fact]:
    runner = demand.runner
    gait = runner.gait
    speed = _with_sd(runner.top_speed, partial(format_speed, unit=setting.unit))
    leg = _with_sd(gait.leg, setting.length)
    cadence = format_cadence(gait.top_cadence.value)
    cadence_sd = format_cadence(gait.top_cadence.sd, bare=True)
    guessed = " (a guess until there is one time)" if runner.provisional else ""
    tau = runner.time_constant
    until = " until there are splits of a start, or tau" if tau.basis == "assumed" else ""
    basis = f"time to 63 % of top speed; {tau.basis}{until}; moves the start mark, hardly the gaps"
    facts = [
        ("top speed", speed, runner.top_speed.basis + guessed),
        ("step at top speed", _with_sd(gait.top_step, setting.length), gait.top_step.basis),
    ]
    kept_m = demand.athlete.kept_step_m
    if kept_m is not None:
        what_for = "what the coach decided, as evidence of the step at top speed"
        facts.append(("gaps kept", f"a step of {setting.length(kept_m)}", what_for))
    return [
        *facts,
        ("cadence there", f"{cadence} ± {cadence_sd}", ""),
        ("time constant", _with_sd(tau, format_time), basis),
        ("leg, height", f"{leg}, {setting.length(demand.athlete.height_m)}", gait.leg.basis),
    ]


def _with_sd(known: Estimate, tell: Callable[[float], str]) -> str:
    return f"{tell(known.value)} ± {tell(known.sd)}"


def _run(setting: Setting, demand: Demand) -> list[Fact]:
    laying, layout = setting.laying, demand.layout
    share = format_percent(layout.speed_share)
    facts = [
        ("speed", f"{share} of top = {format_speed(layout.built_to_mps, setting.unit)}", ""),
        ("run-on", _run_on(setting, demand), _start_place(setting, demand)),
    ]
    facts += _step_pattern(demand)
    facts += _at_the_board(setting, demand)
    facts += _front_foot(demand)
    facts += _gaps(setting, demand)
    first, last = (mark.id for mark in zone_ends(laying, demand))
    if first != last:
        zone = f"{mark_label(first)} to {mark_label(last)}"
        long = setting.shown(section_shown_m(laying, demand))
        time = expected_time_s(setting, demand)
        sd = time * demand.runner.top_speed.relative_sd
        facts.append((zone, f"{long} · {format_time(time)} ± {format_time(sd)}", ""))
    facts += _splits(setting, demand)
    if setting.laying.layout.slows_down:
        wanted = room_text(laying.layout.run_out_wanted_m, setting.unit)
        least = room_text(laying.placed.run_out_least_m, setting.unit)
        facts.append(("slow-down", f"{wanted} wanted, {least} least", ""))
    return facts


def _splits(setting: Setting, demand: Demand) -> list[Fact]:
    """Return the times from the start at the cones of a broken run, and how fast easy is."""
    cones = demand.layout.of_kind(MarkKind.CONE)
    start_m = float(demand.start_along_m)
    height = setting.solved.plan.ground.altitude_m
    times = [
        f"{mark_label(cone.id)} "
        f"{format_time(time_in_air_s(float(cone.along_m) - start_m, cone.time_s, None, height))}"
        for cone in cones
        if cone.time_s is not None
    ]
    if not times:
        return []
    easy = [
        f"{mark_label(begin.id)} to {mark_label(end.id)} "
        f"{format_speed(end.speed_mps, setting.unit)}"
        for (begin, end), part in zip(pairwise(cones), demand.layout.parts[1:], strict=True)
        if part.pace is Pace.EASY and end.speed_mps is not None
    ]
    return [
        ("splits", ", ".join(times), "from the first movement"),
        ("easy", ", ".join(easy), ""),
    ]


def _run_on(setting: Setting, demand: Demand) -> str:
    steps = f", {demand.run_on_steps} steps" if demand.appraisal is not None else ""
    return f"{setting.shown(run_on_shown_m(setting.laying, demand.start_id))}{steps}"


def _start_place(setting: Setting, demand: Demand) -> str:
    """Return how far the run-on may be off, and what is walked or jogged before it."""
    told = []
    # Without wickets no landing has to meet a mark, so the run-on is as long as it is.
    sd_m = demand.run_on_sd_m(setting.solved.plan.judgement)
    if sd_m is not None:
        slid = "all marks" if is_takeoff(demand) else "the start mark"
        told.append(f"± about {about_text(sd_m, setting.unit)}: slide {slid}")
    approach = demand.layout.approach_m
    if approach:
        told.append(f"and {about_text(approach, setting.unit)} walk or jog before it")
    return "; ".join(told)


def _step_pattern(demand: Demand) -> list[Fact]:
    if not is_takeoff(demand):
        return []
    pattern = step_pattern(demand)
    foot = "" if pattern.foot is None else f"{pattern.foot.value} foot on the board; "
    made = (
        f"{foot}to W1 + over wickets + {pattern.rest - LAST_TWO} free and the last two; "
        f"penultimate {pattern.ratio:.3f} of the last"
    )
    return [("whole approach", pattern.text, made)]


def _at_the_board(setting: Setting, demand: Demand) -> list[Fact]:
    """Return how far the first run may miss the board, and what misses tell of it."""
    if not is_takeoff(demand):
        return []
    plan, unit = setting.solved.plan, setting.unit
    who, known = demand.athlete.name, demand.runner.at_board
    slide_m = slide_of(plan, who)
    slid = f"marks slid {slide_text(slide_m, unit)}" if slide_m else "marks not slid"
    if known is None:
        error = format_move(float(plan.judgement.takeoff_run_sd_m), unit)
        return [("first run at board", f"± {error}", f"no miss is known yet; {slid}")]
    basis = (
        f"foot {miss_text(known.miss_m(slide_m), unit)} ± {format_move(known.sd_m, unit)}; "
        f"runs: {known.runs}, days: {known.days}; {slid}"
    )
    told = slide_told(plan, who)
    if told is not None and told.code.startswith(SLIDE):
        by_m = known.slide_by_m(slide_m) or 0.0
        basis += f": slide all marks {slide_text(by_m, unit)} more"
    error = format_move(known.first_run_sd_m, unit)
    return [("first run at board", f"± {error}", basis)]


def _front_foot(demand: Demand) -> list[Fact]:
    if demand.front_foot is None:
        return []
    wanted = "for the take-off foot" if is_takeoff(demand) else "likely, for the foot wanted at W1"
    wish = wanted if demand.foot_is_wish else "likely"
    return [("front foot at start", demand.front_foot.value, wish)]


def _gaps(setting: Setting, demand: Demand) -> list[Fact]:
    appraisal = demand.appraisal
    wickets = setting.laying.layout.of_kind(MarkKind.WICKET)
    if appraisal is None or len(wickets) < 2:
        return []
    shown_m = (gap_shown_m(setting.laying, each.id) for each in wickets)
    gaps = [gap for gap in shown_m if gap is not None]
    low, high = setting.shown(min(gaps)), setting.shown(max(gaps))
    shown = low if low == high else f"{low} to {high}"
    asked = f"{format_cadence(demand.cadence_hz)}{_cadence_sd(demand, demand.cadence_hz)}"
    seen = cadence_seen(demand.athlete)
    natural = f"natural here: {format_cadence(appraisal.natural_cadence_hz)}"
    facts = [
        (f"{len(wickets)} wickets", f"gaps {shown}{gap_sd_text(setting, demand)}", ""),
        ("cadence asked", asked, f"{natural}; seen: {seen}" if seen else natural),
    ]
    worst = demand.mismatch
    if len(setting.laying.demands) > 1:
        side = "longer" if worst > 0 else "shorter"
        told = f"at worst {format_percent(abs(worst))} {side} than natural"
        facts.append(("shared gaps", told, ""))
    return facts


def _cadence_sd(demand: Demand, cadence_hz: float) -> str:
    """Return the ± of a cadence that follows the athlete's own, "" for one that is given."""
    target = getattr(demand.spec, "cadence", None)
    if target is None or target.rule is CadenceRule.STEPS_PER_S:
        return ""
    sd_hz = cadence_hz * demand.runner.gait.top_cadence.relative_sd
    return f" ± {format_cadence(sd_hz, bare=True)}"
