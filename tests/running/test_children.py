"""Children are named once a plan, whether their age, day of birth or level tells it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay.plan_file import load
from wicketlay.running.children import children_findings
from wicketlay.running.facts import Athlete
from wicketlay.solve import solve
from wicketlay.sources import Standard
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"
TODAY = dt.date(2026, 3, 3)


@pytest.mark.parametrize(
    ("facts", "child"),
    [
        ({"age_years": 14.9}, True),
        ({"age_years": 15.0}, False),
        ({"born": dt.date(2012, 3, 3)}, True),
        ({"born": dt.date(2011, 3, 1)}, False),
        ({"level": Standard.UNDER_13}, True),
        ({"level": Standard.UNDER_15}, True),
        ({"level": Standard.UNDER_17}, False),
        ({"level": Standard.UNDER_15, "age_years": 15.0}, False),
        ({}, False),
    ],
)
def test_an_athlete_under_15_is_a_child_by_age_or_else_by_level(facts, child):
    athlete = Athlete(name="Kit", height_m=1.52, **facts)
    assert bool(children_findings([athlete], TODAY)) is child


def test_a_plan_names_all_its_children_in_one_note():
    plan = load(LAYOUTS / "shared-lanes.toml")
    other = replace(plan.athletes[0], level=Standard.UNDER_13, born=None, age_years=None)
    plan = replace(plan, athletes=(other, *plan.athletes[1:]))
    (found,) = [f for f in solve(plan).all_findings if f.code == "children"]
    names = ", ".join(each.name for each in plan.athletes if each.name in {other.name, "Kit"})
    assert str(word(found)) == (f"{names}: under 15 years; only by a qualified coach's judgement")


def test_a_child_who_is_away_is_not_named():
    plan = load(LAYOUTS / "shared-lanes.toml")
    adjustment = replace(plan.adjustment("Kit"), absent=True)
    solved = solve(replace(plan, adjustments=(adjustment,)))
    assert [f for f in solved.all_findings if f.code == "children"] == []
