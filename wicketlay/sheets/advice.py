"""What the coach sheet advises: what to do when it does not fit, and what to tell the athlete."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.sheets.furniture import as_sentence, boxed, capital, heading
from wicketlay.sheets.page.flow import Block, abreast, paragraph, space
from wicketlay.sheets.page.layout import MINUS
from wicketlay.sheets.page.model import Role
from wicketlay.sheets.setting import Setting, expected_time_s, worth_timing
from wicketlay.sheets.step_pattern import is_takeoff, miss_typed, step_pattern
from wicketlay.units import format_percent, format_time
from wicketlay.wording.names import come_in_text

if TYPE_CHECKING:
    from wicketlay.solve import Demand


def what_to_do(setting: Setting, demand: Demand) -> list[Block]:
    """Return the block on what to do when it does not fit, each drill with its own remedies."""
    if demand.appraisal is None:
        return []
    takeoff = is_takeoff(demand)
    held = "the last wicket stays, START moves with W1" if takeoff else "W1 stays"
    rows = [
        ("too tight", "steps chopped, feet close to the next wicket", f"+2 %: gaps wider; {held}"),
        ("too open", "reaching, feet far ahead, bounding", f"{MINUS}2 %: gaps closer; {held}"),
    ]
    if takeoff:
        rows += _at_the_board(demand, miss_typed(setting.unit))
    else:
        rows += _at_the_start(setting, demand)
    # At a board little is seen and much is to be done.
    remedy_at = 0.52 if takeoff and not setting.paper.compact else 0.60
    return [
        heading("If it does not fit", setting.paper),
        *(_remedy(setting, row, remedy_at) for row in rows),
        space(1.0),
    ]


def _at_the_board(demand: Demand, such: str) -> list[tuple[str, str, str]]:
    """Return what to do when the foot misses the take-off line, or the other foot comes."""
    pattern = step_pattern(demand)
    remedy = (
        f"write it down (+ over, - short) and type it with its unit, {such}; slide all marks by "
        "the miss (over: back, short: forward); no gap changes"
    )
    rows = [("misses the board", "foot over the line, or short of it", remedy)]
    if pattern.foot is not None and demand.front_foot is not None:
        seen = f"the {pattern.foot.other.value} foot comes on the board"
        foot = f"{demand.front_foot.value} foot in front at the start"
        rows.append(("wrong foot", seen, f"count {pattern.whole} steps, {foot}; no mark moves"))
    return rows


def _at_the_start(setting: Setting, demand: Demand) -> list[tuple[str, str, str]]:
    """Return what to do when the other foot comes over W1, or the first landing is elsewhere."""
    rows = []
    steps, landings = demand.run_on_steps, demand.layout.landings
    if demand.front_foot is not None and 1 <= steps < len(landings):
        step_m = float(landings[steps].along_m - landings[steps - 1].along_m)
        remedy = f"start one step back: {setting.length(step_m)}"
        rows.append(("wrong foot", "the other foot comes over W1", remedy))
    seen = "first landing short of, or past, the middle of the gap after W1"
    remedy = "short: start mark forward by as much; past: back"
    return [*rows, ("off the middle", seen, remedy)]


def _remedy(setting: Setting, row: tuple[str, str, str], remedy_at: float) -> Block:
    paper = setting.paper
    name, seen, remedy = row
    if paper.screen:
        return paragraph(f"{name}: {seen}. {as_sentence(remedy)}", Role.BODY, paper, below_mm=1.6)
    seen_at, at = paper.left_mm + 30.0, paper.column_mm(remedy_at)
    cells = (
        (paper.left_mm, 28.0, name, Role.STRONG),
        (seen_at, at - seen_at - 3.0, seen, Role.BODY),
        (at, paper.right_mm - at, remedy, Role.BODY),
    )
    return abreast(cells, Role.BODY.small_pt, below_mm=0.9)


def sentence_box(setting: Setting, demand: Demand, role: Role) -> Block:
    """Return the sentence for the athlete in its box."""
    return boxed(((athlete_sentence(setting, demand), role),), setting.paper)


def athlete_sentence(setting: Setting, demand: Demand) -> str:
    """Return what the athlete is told, in one or two short sentences."""
    parts = []
    adjustment = setting.solved.plan.adjustment(demand.athlete.name)
    if adjustment.gap_change:
        way = "wider" if adjustment.gap_change > 0 else "closer"
        parts.append(
            f"gaps {format_percent(abs(adjustment.gap_change))} {way} than planned, W1 where it was"
        )
    come = come_in_text(demand, setting.unit)
    if come:
        parts.append(f"{come} to the start mark")
    if demand.appraisal is not None:
        foot = f", {demand.front_foot.value} foot in front" if demand.front_foot else ""
        parts.append(f"{demand.run_on_steps} steps to the first wicket{foot}")
        gaps = demand.appraisal.gap_m
        even = gaps[-1] <= gaps[0] + 0.005
        grows = "the gaps are even" if even else "the gaps grow with your speed"
        parts.append(f"then {len(gaps) + 1} over the wickets in the same rhythm; {grows}")
    if is_takeoff(demand):
        pattern = step_pattern(demand)
        on = "" if pattern.foot is None else f", {pattern.foot.value} foot on the board"
        parts.append(f"then {pattern.rest} more steps, {pattern.whole} in all{on}")
    aim = aim_text(setting, demand)
    if aim:
        parts.append(aim)
    if not parts:
        parts.append("run as marked")
    sentences = ["; ".join(parts[:-1]), parts[-1]] if aim else ["; ".join(parts)]
    said = ". ".join(map(capital, filter(None, sentences)))
    return f"{demand.athlete.name}: {said}."


def aim_text(setting: Setting, demand: Demand) -> str:
    """Return the time to aim for as a range; "" where the speed is a guess or too short to time.

    The time as it is printed, less and more one SD of the top speed of it, to 0.01 s and no less:
    the middle of the range is the expected time.
    """
    if demand.runner.provisional or not worth_timing(demand.layout):
        return ""
    time = expected_time_s(setting, demand)
    middle = round(100.0 * time)
    off = max(round(100.0 * time * demand.runner.top_speed.relative_sd), 1)
    low, high = (format_time(each / 100.0) for each in (middle - off, middle + off))
    return f"aim for {low.removesuffix(' s')} to {high}"
