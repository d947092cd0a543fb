"""The closing check and the hurdles left over: one function for paper and message."""

from __future__ import annotations

from pathlib import Path

import pytest

from wicketlay.export import as_text
from wicketlay.plan_file import load
from wicketlay.practice.closing import bags, closing_check, hurdles_left, zone_marks
from wicketlay.solve import solve
from wicketlay.wording.names import distance_text, mark_label, mark_name

LAYOUTS = Path(__file__).parents[2] / "layouts"


def _solved(name):
    return solve(load(LAYOUTS / f"{name}.toml"))


def test_twelve_wickets_are_checked_from_w5_to_w10():
    laying = _solved("fixed-cadence").layings[0]
    check = closing_check(laying)
    assert (check.first_id, check.second_id) == ("w5", "w10")
    along = {mark.id: float(mark.along_m) for mark in laying.layout.marks}
    assert check.apart_m == pytest.approx(along["w10"] - along["w5"])
    one, other = (laying.tape.reading(mark)[1] for mark in ("w5", "w10"))
    laid = (other.ticks - one.ticks) * laying.tape.spec.tick.metres
    off = (one.error_mm + other.error_mm) / 1000 + abs(laid - check.apart_m)
    assert off <= check.within_m < off + 0.01


def test_a_run_without_wickets_is_checked_between_its_gates_or_steps():
    assert closing_check(_solved("flying-20").layings[0]).second_id == "gate2"
    marks = zone_marks(_solved("meadow-accelerations").layings[0].layout)
    assert marks[0].id == "start"


def test_the_bag_is_full_again_for_each_wave_and_shared_by_its_lanes():
    what = _solved("tuesday-wickets")
    found = bags(what.layings, what.plan.kit)
    for laying in what.layings:
        place = (laying.lane, laying.wave, laying.stage)
        first = laying.lane == what.plan.place.lanes[0]
        assert (found[place] == what.plan.kit.wickets) is first
        assert hurdles_left(what.layings, laying, what.plan.kit) >= 0


def test_the_message_tells_the_same_check_and_the_same_hurdles():
    what = _solved("tuesday-wickets")
    said = as_text(what)
    for laying in what.layings:
        check = closing_check(laying)
        pair = f"{mark_name(check.first_id)} to {mark_name(check.second_id)}"
        assert f"CHECK {pair} = {check.apart_m:.2f}" in said
    left = [hurdles_left(what.layings, laying, what.plan.kit) for laying in what.layings]
    told = [int(x.split()[-1]) for x in said.splitlines() if x.startswith("HURDLES LEFT")]
    assert told == left


@pytest.mark.parametrize(
    ("mark_id", "name", "label"),
    [
        ("w7", "W7", "W7"),
        ("start", "START", "START"),
        ("start-a", "START A", "A"),
        ("gate1", "GATE 1", "G1"),
        ("cone12", "CONE 12", "C12"),
        ("step3", "STEP 3", "STEP 3"),
        ("line", "THE LINE", "LINE"),
    ],
)
def test_a_mark_has_one_name_and_one_short_name(mark_id, name, label):
    assert mark_name(mark_id) == name
    assert mark_label(mark_id) == label


def test_a_move_of_a_metre_is_told_in_metres():
    assert distance_text(0.06, "metric") == "6 cm"
    assert distance_text(-1.36, "metric") == "1.36 m"
