"""The closing check and the hurdles left over: one function for paper and message."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from wicketlay.drills.marks import MarkKind
from wicketlay.export import as_text
from wicketlay.ground.tape import TapeLies, Tick, tape_error_mm
from wicketlay.lanes.closing import (
    closing_check,
    gap_shown_m,
    hurdles_left,
    hurdles_of,
    lent_by,
    shares_of,
    zone_marks,
)
from wicketlay.plan_file import load
from wicketlay.solve import solve
from wicketlay.wording.names import mark_label, mark_name, move_way

LAYOUTS = Path(__file__).parents[2] / "layouts"


def _solved(name):
    return solve(load(LAYOUTS / f"{name}.toml"))


def test_twelve_wickets_are_checked_from_w5_to_w10():
    laying = _solved("fixed-cadence").layings[0]
    check = closing_check(laying)
    assert (check.first_id, check.second_id) == ("w5", "w10")
    one, other = (laying.tape.reading(mark)[1] for mark in ("w5", "w10"))
    laid = (other.ticks - one.ticks) * laying.tape.spec.tick.metres
    assert check.apart_m == laid
    off = (one.error_mm + other.error_mm) / 1000
    assert off <= check.within_m < off + 0.01


@pytest.mark.parametrize("tick", Tick)
@pytest.mark.parametrize("name", ["tuesday-wickets", "shared-lanes", "season-stages"])
def test_a_closing_check_allows_two_marks_put_and_one_reading_on_a_tape_laid_anew(name, tick):
    for laying in _closed(name, tick=tick).layings:
        check = closing_check(laying)
        tape_m = 2.0 * tape_error_mm(check.apart_m, laying.tape.spec.tape_class) / 1000.0
        assert abs(check.within_m - (1.5 * tick.metres + tape_m)) <= tick.metres


@pytest.mark.parametrize("tick", Tick)
@pytest.mark.parametrize("name", ["season-stages", "board-approach"])
def test_a_finding_of_a_gap_tells_the_gap_that_the_tape_shows(name, tick):
    plan = load(LAYOUTS / f"{name}.toml")
    plan = replace(plan, tape=replace(plan.tape, tick=tick))
    for who in plan.athletes:
        plan = plan.with_adjustment(replace(plan.adjustment(who.name), gap_change=0.08))
    solved = solve(plan)
    told = [(each, f) for each in solved.layings for f in each.findings if "gap_m" in f.values]
    assert told
    for laying, finding in told:
        assert finding.values["gap_m"] == gap_shown_m(laying, finding.mark)
        true_m = finding.values["natural_m"] * (1.0 + finding.values["excess_share"])
        assert finding.values["gap_m"] == pytest.approx(true_m, abs=tick.metres)


@pytest.mark.parametrize(
    ("zero", "wickets", "pair"),
    [
        ("w5", 12, ("w6", "w10")),
        ("w10", 12, ("w5", "w9")),
        ("w2", 6, ("w3", "w5")),
        ("w1", 3, ("w2", "w3")),
        ("w1", 12, ("w5", "w10")),
    ],
)
def test_the_closing_check_is_a_distance_that_no_reading_shows(zero, wickets, pair):
    plan = load(LAYOUTS / "fixed-cadence.toml")
    what = solve(
        replace(
            plan,
            drill=replace(plan.drill, wickets=wickets, section_m=None),
            tape=replace(plan.tape, zero=zero),
        )
    )
    laying = what.layings[0]
    check = closing_check(laying)
    assert (check.first_id, check.second_id) == pair
    shown = {reading.ticks for pull in laying.tape.pulls for reading in pull.readings}
    assert round(check.apart_m / laying.tape.spec.tick.metres) not in shown


def test_a_run_without_wickets_is_checked_between_its_gates_or_steps():
    assert closing_check(_solved("flying-20").layings[0]).second_id == "gate2"
    marks = zone_marks(_solved("meadow-accelerations").layings[0].layout)
    assert marks[0].id == "start"


@pytest.mark.parametrize(
    ("tape_m", "pair"),
    [(60.0, ("cone1", "cone2")), (30.0, ("cone1", "cone2")), (19.0, None)],
)
def test_no_check_asks_for_more_than_the_tape_spans(tape_m, pair):
    plan = load(LAYOUTS / "broken-run.toml")
    what = solve(replace(plan, tape=replace(plan.tape, length_m=tape_m)))
    for laying in what.layings:
        check = closing_check(laying)
        assert check is None or check.apart_m <= tape_m
        assert (check and (check.first_id, check.second_id)) == pair


@pytest.mark.parametrize("lanes", [(3,), (3, 4)])
def test_what_says_do_not_lay_out_does_not_lie_there_nor_take_from_the_bag(lanes):
    plan = load(LAYOUTS / "hall-wickets.toml")
    # So near the wall Wren cannot slow down, and Kit can.
    what = solve(
        replace(
            plan,
            place=replace(plan.place, lanes=lanes, offset_m=42.0),
            session=replace(plan.session, waves=3 - len(lanes)),
        )
    )
    wren, kit = what.layings
    assert (wren.stopped, kit.stopped) == (True, False)
    assert (kit.over, kit.moved) == (None, ())
    assert hurdles_left(what.layings, kit, plan.kit) == 10
    assert lent_by(what.layings, kit, replace(plan.kit, wickets=10)) == ()


def test_the_bag_is_dealt_evenly_to_the_lanes_of_a_wave_and_is_full_again_for_each():
    plan = load(LAYOUTS / "tuesday-wickets.toml")
    what = solve(replace(plan, kit=replace(plan.kit, wickets=14)))
    bag = what.plan.kit.wickets
    told = [f for f in what.findings if f.code == "bag-too-small-for-lanes"]
    assert [f.values["dealt"] for f in told] == ["7 on lane 3, 7 on lane 4"] * 3
    for wave in {laying.wave for laying in what.layings}:
        lanes = [laying for laying in what.layings if laying.wave == wave]
        dealt = [hurdles_of(laying.layout) for laying in lanes]
        wanted = [len(laying.layout.of_kind(MarkKind.WICKET)) for laying in lanes]
        assert sum(dealt) == min(bag, sum(wanted))
        assert max(dealt) - min(dealt) <= 1


@pytest.mark.parametrize(
    ("wanted", "bag", "shares"),
    [
        ((12, 12), 14, (7, 7)),
        ((12, 12), 15, (8, 7)),
        ((5, 12), 14, (5, 9)),
        ((12, 5), 14, (9, 5)),
        ((8, 8, 3), 14, (6, 5, 3)),
        ((12, 12), 0, (0, 0)),
        ((4, 4), 14, (4, 4)),
    ],
)
def test_what_a_lane_does_not_want_goes_to_the_others(wanted, bag, shares):
    assert shares_of(wanted, bag) == shares


def test_the_message_tells_the_same_check_and_the_same_hurdles():
    what = _solved("tuesday-wickets")
    said = as_text(what)
    for laying in what.layings:
        check = closing_check(laying)
        pair = f"{mark_name(check.first_id)} to {mark_name(check.second_id)}"
        assert f"CHECK {pair} = {check.apart_m:.2f}" in said
    left = [hurdles_left(what.layings, laying, what.plan.kit) for laying in what.layings]
    told = [int(x.split()[-1]) for x in said.splitlines() if x.startswith("WICKETS LEFT")]
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
        ("line", "TAKE-OFF LINE", "LINE"),
    ],
)
def test_a_mark_has_one_name_and_one_short_name(mark_id, name, label):
    assert mark_name(mark_id) == name
    assert mark_label(mark_id) == label


def test_a_move_of_a_metre_is_told_in_metres():
    assert move_way(0.06, "metric") == "forward 6 cm"
    assert move_way(-1.36, "metric") == "back 1.36 m"
    assert move_way(13 * 0.00635, "feet") == "forward 3 1/4 in"


def _closed(name, **tape):
    plan = load(LAYOUTS / f"{name}.toml")
    return solve(replace(plan, tape=replace(plan.tape, **tape)))


@pytest.mark.parametrize("lies", TapeLies)
@pytest.mark.parametrize("tick", Tick)
@pytest.mark.parametrize("name", ["tuesday-wickets", "bend-accelerations", "board-approach"])
def test_gaps_totals_and_moves_are_differences_of_the_readings_shown(name, tick, lies):
    """Whoever subtracts two readings of a pull finds the printed figure, to the tick."""
    if lies is TapeLies.STRAIGHT and name == "bend-accelerations":
        pytest.skip("a tape is not pulled straight round a bend")
    what = _closed(name, tick=tick, lies=lies, length_m=60.0)
    compared = 0
    for laying in what.layings:
        ids = [mark.id for mark in laying.layout.marks]
        for pull in laying.tape.pulls:
            shown = {each.mark_id: each.ticks for each in pull.readings}
            for before, mark_id in pairwise(ids):
                gap = gap_shown_m(laying, mark_id)
                if gap is not None and {before, mark_id} <= set(shown):
                    assert gap == abs(shown[mark_id] - shown[before]) * tick.metres
                    true = abs(
                        laying.tape.reading(mark_id)[1].line_m
                        - laying.tape.reading(before)[1].line_m
                    )
                    assert abs(gap - true) <= tick.metres + 1e-9
                    compared += 1
    assert compared
    for before, after in pairwise(what.layings):
        if before.lane != after.lane:
            continue
        moved = {each.mark_id: each.shown_m for each in after.moved}
        for mark in after.layout.marks:
            was, now = (x.tape.reading(mark.id)[1].ticks for x in (before, after))
            way = after.tape.reading(mark.id)[0].direction.way
            assert moved.get(mark.id, 0.0) == pytest.approx(way * (now - was) * tick.metres)


def test_between_pulls_a_distance_is_the_true_one_rounded_once():
    laying = _closed("tuesday-wickets", length_m=11.0).layings[0]
    (one, first), (other, last) = (laying.tape.reading(each) for each in ("w2", "w10"))
    assert one.number != other.number
    apart = laying.tape.apart_ticks("w2", "w10")
    assert apart == math.floor((last.line_m - first.line_m) * 100 + 0.5)
    along = float(laying.layout.mark("w10").along_m) - float(laying.layout.mark("w2").along_m)
    assert last.line_m - first.line_m == pytest.approx(along)


def test_moves_are_listed_so_that_none_is_set_past_one_that_still_lies():
    what = _solved("shared-lanes")
    listed = [laying for laying in what.layings if laying.moved]
    assert listed
    for laying in listed:
        kinds = [(m.taken_up, (m.shown_m or 0.0) > 0, (m.shown_m or 0.0) < 0) for m in laying.moved]
        assert kinds == sorted(kinds, reverse=True)
        along = {each.mark.id: float(each.mark.along_m) for each in laying.placed.marks}
        forward = [along[m.mark_id] for m in laying.moved if (m.shown_m or 0.0) > 0]
        back = [along[m.mark_id] for m in laying.moved if (m.shown_m or 0.0) < 0]
        assert forward == sorted(forward, reverse=True)
        assert back == sorted(back)
