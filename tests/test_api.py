"""What other programs count on: there, typed, and refused or stopped as the commands do."""

from __future__ import annotations

import json
from pathlib import Path
from typing import get_args

import pytest

import wicketlay
from wicketlay import api
from wicketlay.drills import Spec

LAYOUTS = Path(__file__).parents[1] / "layouts"
PROMISED = """
AccelerationMarks Adjustment Athlete AthleteLevel BrokenRun CadenceRule CadenceTarget Finding
FirstGuess FlyingSegment FlyingTime Foot Kit Laying Layout Level Mark MarkKind Observation Place
Plan Runway SessionPlan Sex Solved Splits StagePlan Strip TakeoffRun TapeSpec Track WicketRun
WicketlayError as_csv as_json as_table as_text document load schema solve word
"""
"""Written out, so that none can go unnoticed."""


def test_every_name_that_was_promised_is_there():
    assert set(PROMISED.split()) <= set(api.__all__)
    assert all(hasattr(api, name) for name in api.__all__)


def test_every_drill_can_be_asked_for():
    assert {each.__name__ for each in get_args(Spec)} <= set(api.__all__)


def test_it_says_that_it_is_typed():
    assert (Path(wicketlay.__file__).parent / "py.typed").exists()


def test_a_file_gives_what_the_command_prints(capsys):
    from wicketlay.cli import main

    plan = LAYOUTS / "fixed-cadence.toml"
    assert main(["marks", str(plan), "--format", "json"]) == 0
    assert api.as_json(api.solve(api.load(plan))) == capsys.readouterr().out


def test_a_stop_is_told_by_the_laying():
    athlete = api.Athlete(name="Wren", height_m=1.66, top_speed_mps=7.9)
    asked = api.CadenceTarget(rule=api.CadenceRule.STEPS_PER_S, value=5.9)
    run = api.WicketRun(speed_share=0.95, wickets=10, cadence=asked)
    plan = api.Plan(title="Too quick", athletes=(athlete,), drill=run, ground=api.Strip())
    solved = api.solve(plan)
    assert not solved.may_lay(solved.layings[0])
    assert json.loads(api.as_json(solved))["layings"][0]["marks"] == []


def test_what_cannot_be_is_refused_when_it_is_made():
    with pytest.raises(api.WicketlayError, match="height"):
        api.Athlete(name="Wren", height_m=16.6)
