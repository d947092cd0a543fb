"""The squad sheet: who runs on which lane in which wave, from which mark, in what order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import by_gravity
from wicketlay.lanes.closing import run_on_shown_m
from wicketlay.sheets.furniture import athlete_column, heading, plan_frame
from wicketlay.sheets.page.flow import paginate, paragraph, space
from wicketlay.sheets.page.layout import MINUS
from wicketlay.sheets.page.model import Align, Role, Sheet
from wicketlay.sheets.page.tables import Column, filled, style_for, text_table
from wicketlay.units import format_duration
from wicketlay.wording import word
from wicketlay.wording.names import mark_label, signed_percent
from wicketlay.wording.places import lane_cell, place_parts

if TYPE_CHECKING:
    from wicketlay.lanes.laying import Laying
    from wicketlay.sheets.page.flow import Block, Table
    from wicketlay.sheets.setting import PlanSetting


def squad_sheet(setting: PlanSetting) -> Sheet:
    """Return the sheet of all athletes, wave by wave."""
    parts: list[Block | Table] = []
    waves = sorted({laying.wave for laying in setting.layings})
    for wave in waves:
        here = [laying for laying in setting.layings if laying.wave == wave]
        parts += [_wave_heading(setting, wave, here, one=len(waves) == 1), _wave(setting, here)]
        parts.append(space(3.0))
    parts += left_out(setting)
    shared = [each.demands[0] for each in setting.layings if len(each.demands) > 1]
    if any(first.appraisal is not None for first in shared):
        parts.append(paragraph(_WORST_GAP, Role.BODY, setting.paper, small=True))
    pages = paginate(parts, plan_frame(setting, "Squad", "squad sheet"))
    return Sheet(kind="squad", group="whole plan", title="squad sheet", pages=pages)


_WORST_GAP = (
    "Worst gap: the laid gap that is farthest from the athlete's own step there; longer (+) is "
    "the dangerous side."
)


def _wave_heading(setting: PlanSetting, wave: int, layings: list[Laying], *, one: bool) -> Block:
    lanes = sorted({laying.lane for laying in layings})
    where = f"lane{'s' if len(lanes) > 1 else ''} {', '.join(map(str, lanes))}"
    if layings[0].placed.course.boards:
        where = ", ".join(place_parts(layings[0]))
    return heading(where.capitalize() if one else f"Wave {wave} · {where}", setting.paper)


def _wave(setting: PlanSetting, layings: list[Laying]) -> Table:
    session = setting.solved.session
    loads = {} if session is None else {load.athlete: load for load in session.loads}
    order = {} if session is None else {name: i for i, name in enumerate(session.order, start=1)}
    rows: list[tuple[str, ...]] = []
    ends: list[int] = []
    for laying in sorted(layings, key=lambda each: each.lane):
        for demand in sorted(laying.demands, key=lambda d: order.get(d.athlete.name, 0)):
            name = demand.athlete.name
            load = loads.get(name)
            stopped = laying.stopped
            rows.append(
                (
                    str(order.get(name, "")),
                    name,
                    lane_cell(laying.placed.course, laying.lane),
                    "DO NOT LAY" if stopped else mark_label(demand.start_id),
                    "" if stopped else setting.shown(run_on_shown_m(laying, demand.start_id)),
                    "either" if demand.front_foot is None else demand.front_foot.value,
                    "" if load is None else str(load.efforts),
                    "" if load is None else format_duration(load.recovery_s),
                    "" if demand.appraisal is None else signed_percent(demand.mismatch, MINUS),
                )
            )
        ends.append(len(rows) - 1)
    columns = (
        Column(title="order"),
        athlete_column(30.0, share=1.5),
        Column(title="lane", share=0.3),
        Column(title="start mark", share=0.5, align=Align.LEFT, strong=True),
        Column(title="run-on", share=0.3, reading=True),
        Column(title="foot in front", share=0.4, align=Align.LEFT),
        Column(title="runs", share=0.2),
        Column(title="recovery", share=0.3),
        Column(title="worst gap against natural", share=0.9),
    )
    style = style_for(setting.paper, tick=True)
    return text_table(setting.paper, *filled(columns, rows), style, ends=ends)


def left_out(setting: PlanSetting) -> list[Block]:
    """Return who is in the plan and has no marks, with the reason."""
    shown = {name for laying in setting.layings for name in laying.athletes}
    laid = {name for laying in setting.solved.layings for name in laying.athletes}
    plan = setting.solved.plan
    told: dict[str, list[str]] = {"Not here today": [], "No marks": [], "Late": []}
    for each in (plan.adjustment(athlete.name) for athlete in plan.athletes):
        name = each.athlete
        if name not in laid:
            what = "Not here today" if each.absent else "No marks"
            told[what].append(name if each.absent else name + _why(setting, name))
        elif name in shown and each.late_s > 0:
            told["Late"].append(f"{name} ({format_duration(each.late_s)})")
    return [
        paragraph(f"{what}: {'; '.join(names)}.", Role.BODY, setting.paper)
        for what, names in told.items()
        if names
    ]


def _why(setting: PlanSetting, name: str) -> str:
    """Return in brackets the gravest thing that is said of somebody, "" when nothing is."""
    found = by_gravity(f for f in setting.solved.findings if f.athlete == name)
    return f" ({word(found[0], setting.unit).text})" if found else ""
