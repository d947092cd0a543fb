"""What the keys at the track do to a plan: what is held is told as it is, and refused in words."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wicketlay import edits
from wicketlay.drills import WicketRun
from wicketlay.errors import DomainError
from wicketlay.plan import DRILL_KINDS
from wicketlay.plan_file import load
from wicketlay.solve import solve
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"
WITHOUT_WICKETS = ["flying-20", "broken-run", "bend-accelerations"]


def plan_of(name):
    return load(LAYOUTS / f"{name}.toml")


def held_after(plan, edit):
    """Return the marks of the first laying that lie still."""
    before, after = solve(plan).layings[0], solve(edit.plan).layings[0]
    return edits.held_marks(before, after)


@pytest.mark.parametrize("name", WITHOUT_WICKETS)
@pytest.mark.parametrize(
    ("notch", "what"), [(edits.notch_gaps, "gaps"), (edits.notch_cadence, "cadence")]
)
def test_a_drill_without_wickets_has_neither_gaps_nor_cadence_to_notch(name, notch, what):
    plan = plan_of(name)
    with pytest.raises(DomainError) as refused:
        notch(plan, plan.athletes[0].name, 1)
    assert str(refused.value) == (
        f"this drill has no {what} to change; only runs over wickets have"
    )


@pytest.mark.parametrize("name", WITHOUT_WICKETS)
def test_a_speed_notch_without_wickets_speaks_of_none(name):
    plan = plan_of(name)
    edit = edits.notch_speed(plan, plan.athletes[0].name, -1)
    assert word(edit.done).remedy == "drill and place held; start mark follows"


def test_a_gap_notch_before_the_take_off_holds_the_last_wicket():
    plan = plan_of("board-approach")
    edit = edits.notch_gaps(plan, "Joren", 1)
    assert word(edit.done).remedy == "last wicket, start and speed held; cadence asked changes"
    assert held_after(plan, edit) == ("start", "w4")


def test_a_gap_notch_over_wickets_holds_the_first():
    plan = plan_of("tuesday-wickets")
    edit = edits.notch_gaps(plan, "Tarik", 1)
    assert word(edit.done).remedy == "W1, start mark and speed held; cadence asked changes"
    assert held_after(plan, edit) == ("start", "w1")


def test_a_speed_beyond_the_drills_is_refused_with_the_range():
    plan = plan_of("flying-20")
    with pytest.raises(DomainError) as refused:
        edits.notch_speed(plan, plan.athletes[0].name, 1)
    assert str(refused.value) == "speed would be 101 % of top; it must lie between 50 % and 100 %"


@pytest.mark.parametrize(
    ("notch", "what"), [(edits.notch_gaps, "gaps"), (edits.notch_cadence, "cadence")]
)
def test_more_than_a_fifth_is_refused_with_the_range(notch, what):
    with pytest.raises(DomainError) as refused:
        notch(plan_of("tuesday-wickets"), "Tarik", 21)
    assert str(refused.value).startswith(f"{what} changed by +")
    assert str(refused.value).endswith(" % in all; a notch keeps within -20 % and +20 %")


def test_somebody_who_comes_late_is_not_absent():
    plan = edits.set_absent(plan_of("tuesday-wickets"), "Wren", absent=True).plan
    late = edits.set_late(plan, "Wren", 300.0).plan
    assert not late.adjustment("Wren").absent
    assert late.adjustment("Wren") == replace(plan.adjustment("Wren"), absent=False, late_s=300.0)


@pytest.mark.parametrize("kind", [*DRILL_KINDS], ids=lambda kind: kind.__name__)
def test_another_kind_of_drill_is_run_at_the_same_speed(kind):
    plan = plan_of("tuesday-wickets")
    drill = edits.set_drill_kind(plan, kind).plan.drill
    assert type(drill) is kind
    assert drill.speed_share == plan.drill.speed_share


def test_a_run_that_is_begun_with_takes_no_more_wickets_than_the_bag_has():
    plan = plan_of("flying-20")
    small = replace(plan, kit=replace(plan.kit, wickets=6))
    assert edits.set_drill_kind(small, WicketRun).plan.drill.wickets == 6
    assert edits.set_drill_kind(plan, WicketRun).plan.drill.wickets == 10


@given(bags=st.tuples(st.integers(0, 14), st.integers(0, 14)))
def test_what_changes_its_kind_is_remade_and_nothing_else_is(bags):
    plan = plan_of("fixed-cadence")
    one, other = (_with_bag(plan, bag) for bag in bags)
    moves = edits.moved_marks(one, other)
    drawn = [{m.mark.id for m in each.placed.marks if m.mark.is_drawn} for each in (one, other)]
    assert {m.mark_id for m in moves} == drawn[0] ^ drawn[1]
    assert len(moves) == len({m.mark_id for m in moves})
    for each in moves:
        assert (each.remade, each.taken_up, each.by_m) == (True, False, None)
        assert each.drawn is (each.mark_id in drawn[0])
    assert not set(edits.held_marks(one, other)) & {m.mark_id for m in moves}
    assert replace(other, moved=moves).handled == len(moves)


@cache
def _with_bag(plan, wickets):
    return solve(replace(plan, kit=replace(plan.kit, wickets=wickets))).layings[0]
