from dataclasses import replace

import pytest

from wicketlay.drills.wicket_run import WicketRun
from wicketlay.findings import Level
from wicketlay.ground import Track
from wicketlay.ground.courses import as_known
from wicketlay.ground.placing import Place
from wicketlay.ground.tape import TapeSpec
from wicketlay.plan import Plan, StagePlan
from wicketlay.running.athlete import Athlete
from wicketlay.solve import solve

PLAN = Plan(
    title="T",
    athletes=(Athlete(name="A", height_m=1.8, top_speed_mps=9.0),),
    drill=WicketRun(speed_share=0.9, wickets=8),
    ground=Track(),
    place=Place(line="home straight", landmark="100 m start", mark="w1", offset_m=20.0),
    tape=TapeSpec(zero="w2"),
    stages=StagePlan(from_share=0.85, to_share=0.9, count=2, hold="w1"),
)


def test_marks_lines_and_landmarks_are_read_in_any_case():
    loud = replace(
        PLAN,
        place=replace(PLAN.place, line="Home Straight", landmark="100 M START", mark="W1"),
        tape=TapeSpec(zero="W2"),
        stages=replace(PLAN.stages, hold="W1"),
    )
    assert loud == PLAN
    assert not any(f.level is Level.STOP for f in solve(loud).all_findings)


@pytest.mark.parametrize(
    ("asked", "spelt"), [("GATE", "Gate"), ("tree", "tree"), ("TREE", "TREE"), ("post", "post")]
)
def test_a_name_is_taken_as_it_is_known_unless_two_differ_in_case_alone(asked, spelt):
    assert as_known(asked, ["Gate", "tree", "Tree"]) == spelt
