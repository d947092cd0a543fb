"""The layouts that come with the program: a coach learns the format from them."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from wicketlay.drills import Spec
from wicketlay.drills.cadence import CadenceRule
from wicketlay.drills.wicket_run import GapRule
from wicketlay.findings import Level
from wicketlay.ground import Strip, Track
from wicketlay.ground.tape import Tick
from wicketlay.plan_file import load, open_plan
from wicketlay.running.athlete import make_runner
from wicketlay.solve import solve

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLANS = sorted(path for path in LAYOUTS.glob("*.toml") if not path.name.startswith("harbour-"))


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.name)
def test_it_can_be_laid_out(path):
    solved = solve(load(path))
    found = [
        *solved.findings,
        *(
            finding
            for laying in solved.layings
            for finding in (*laying.findings, *laying.placed.findings, *laying.tape.findings)
        ),
    ]
    assert [finding for finding in found if finding.level is Level.STOP] == []
    laid = {demand.athlete.name for laying in solved.layings for demand in laying.demands}
    assert laid == {athlete.name for athlete in load(path).athletes}


def test_every_drill_has_a_plan_to_start_from():
    assert {load(path).drill.kind for path in PLANS} == {each.kind for each in get_args(Spec)}


def test_the_squad_has_six_athletes_and_every_kind_of_data():
    squad = {athlete.name: athlete for athlete in open_plan(LAYOUTS / "tuesday-wickets.toml").squad}
    assert list(squad) == ["Tarik", "Odalys", "Wren", "Bram", "Kit", "Ines"]
    assert {athlete.height_m for athlete in squad.values()} >= {1.52, 1.86}
    assert squad["Tarik"].splits is not None
    assert squad["Odalys"].flying is not None
    assert squad["Wren"].top_speed_mps == 7.9
    assert len(squad["Bram"].observations) == 2
    assert squad["Kit"].age_years == 12
    assert squad["Ines"].first_guess is not None
    assert squad["Ines"].top_speed_mps is None


def test_the_squad_goes_from_a_child_to_a_man_of_ten_and_a_half():
    squad = open_plan(LAYOUTS / "tuesday-wickets.toml").squad
    speeds = [make_runner(athlete).top_speed.value for athlete in squad]
    assert min(speeds) == pytest.approx(6.5)
    assert max(speeds) == pytest.approx(10.6, abs=0.15)


def test_the_plans_differ_in_what_they_show():
    plans = {path.stem: load(path) for path in PLANS}
    assert len(plans["tuesday-wickets"].athletes) == 6
    assert isinstance(plans["tuesday-wickets"].ground, Track)
    assert plans["fixed-cadence"].drill.cadence.rule is CadenceRule.STEPS_PER_S
    (ines,) = plans["height-only"].athletes
    assert (ines.top_speed_mps, ines.splits, ines.flying, ines.observations) == (
        None,
        None,
        None,
        (),
    )
    assert isinstance(plans["height-only"].ground, Strip)
    assert plans["feet-and-inches"].tape.tick is Tick.HALF_INCH
    assert plans["feet-and-inches"].drill.gaps is GapRule.STEPPED


@pytest.mark.parametrize("path", sorted(LAYOUTS.glob("*.toml")), ids=lambda path: path.name)
def test_it_explains_itself(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# ")
    assert sum("#" in line for line in lines) >= 5
    assert max(map(len, lines)) <= 180
