"""Lane and wave of an athlete by hand; the others stay where they are."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from wicketlay import edits
from wicketlay.drills import AccelerationMarks
from wicketlay.errors import DomainError
from wicketlay.plan_file import load
from wicketlay.session.schedule import EventKind
from wicketlay.solve import solve
from wicketlay.wording import word

if TYPE_CHECKING:
    from wicketlay.plan import Plan

LAYOUTS = Path(__file__).parents[2] / "layouts"


def spots(plan: Plan) -> dict[str, tuple[int, int]]:
    return {name: (each.lane, each.wave) for each in solve(plan).layings for name in each.athletes}


@pytest.fixture
def shared() -> Plan:
    return load(LAYOUTS / "shared-lanes.toml")


@pytest.fixture
def alone() -> Plan:
    plan = load(LAYOUTS / "tuesday-wickets.toml")
    return replace(plan, session=replace(plan.session, waves=None))


def by_hand(plan: Plan, name: str, **where) -> Plan:
    return plan.with_adjustment(replace(plan.adjustment(name), **where))


def test_who_is_put_into_another_group_shares_its_gaps_and_nobody_else_moves(shared):
    before = spots(shared)
    name = next(iter(before))
    lane, wave = next(spot for spot in before.values() if spot != before[name])
    after = spots(by_hand(shared, name, lane=lane, wave=wave))
    assert after == before | {name: (lane, wave)}


def test_a_lane_alone_keeps_the_wave_and_a_wave_alone_the_lane(shared):
    for name, (lane, wave) in spots(shared).items():
        assert spots(by_hand(shared, name, lane=5))[name] == (5, wave)
        assert spots(by_hand(shared, name, wave=3))[name] == (lane, 3)


def test_one_by_one_the_free_places_go_to_the_others_in_their_order(alone):
    first, second, *_ = [athlete.name for athlete in alone.athletes]
    lanes = alone.place.lanes
    after = spots(by_hand(alone, second, lane=lanes[0], wave=1))
    assert after[second] == (lanes[0], 1)
    assert after[first] == (lanes[1], 1)
    assert sorted(after.values()) == sorted(spots(alone).values())


def test_who_comes_late_is_in_the_last_wave_and_paper_moves_marks_in_the_order_of_the_timetable(
    shared, alone
):
    for plan in (shared, alone):
        first = [(each.lane, each.athletes) for each in solve(plan).layings if each.over is None]
        for lane, names in first:
            made = solve(by_hand(plan, names[0], late_s=1200.0))
            own = [each for each in made.layings if each.lane == lane]
            mine = next(each for each in made.layings if names[0] in each.athletes)
            assert mine.wave == max(each.wave for each in own) > 1
            laid = {e.lane: e.wave for e in made.session.events if e.kind is EventKind.LAY}
            assert laid == {each.lane: each.wave for each in made.layings if each.over is None}


def test_who_comes_late_changes_the_waves_of_their_own_lane_and_nobody_s_lane(shared, alone):
    for plan in (shared, alone):
        before = spots(plan)
        for name, (lane, _) in before.items():
            after = spots(by_hand(plan, name, late_s=1200.0))
            assert {who: spot[0] for who, spot in after.items()} == {
                who: spot[0] for who, spot in before.items()
            }
            beside = {who: spot for who, spot in before.items() if spot[0] != lane}
            assert after | beside == after


def test_a_wave_told_by_hand_is_laid_in_its_turn_however_late_somebody_is(shared):
    (lane, wave), name = min((spot, name) for name, spot in spots(shared).items())
    made = solve(by_hand(shared, name, late_s=1200.0, lane=lane, wave=wave))
    assert {e.wave for e in made.session.events if e.kind is EventKind.LAY} == {1}


def test_two_put_on_one_lane_and_wave_share_the_wickets(alone):
    first, second, *_ = [athlete.name for athlete in alone.athletes]
    plan = by_hand(by_hand(alone, first, lane=3, wave=1), second, lane=3, wave=1)
    laying = edits.laying_of(solve(plan), first, 1)
    assert laying is not None
    assert set(laying.athletes) == {first, second}
    assert all(demand.letter for demand in laying.demands)


def test_where_nobody_can_share_the_second_runs_a_wave_later_and_is_told(alone):
    first, second, *_ = [athlete.name for athlete in alone.athletes]
    plan = replace(alone, drill=AccelerationMarks())
    plan = by_hand(by_hand(plan, first, lane=3, wave=1), second, lane=3, wave=1)
    assert spots(plan)[first] == (3, 1)
    lane, wave = spots(plan)[second]
    assert lane == 3
    assert wave > 1
    (finding,) = [f for f in solve(plan).findings if f.code == "place-taken"]
    assert first in word(finding).text
    assert f"wave {wave}" in (word(finding).remedy or "")


def test_a_key_puts_the_athlete_on_the_next_lane_of_the_line_and_back_as_dealt(shared):
    lane, wave = spots(shared)["Wren"]
    there = edits.put_on_lane(shared, "Wren", 1)
    assert spots(there.plan)["Wren"] == (lane + 1, wave)
    assert word(there.done).text == f"Wren: runs on lane {lane + 1}"
    assert edits.put_on_lane(there.plan, "Wren", -1).plan == shared
    first = edits.put_on_lane(by_hand(shared, "Wren", lane=shared.ground.lanes), "Wren", 1)
    assert spots(first.plan)["Wren"] == (1, wave)


def test_a_key_puts_the_athlete_into_the_next_wave_and_back_as_dealt(shared):
    lane, wave = spots(shared)["Wren"]
    there = edits.put_in_wave(shared, "Wren", 1)
    assert spots(there.plan)["Wren"] == (lane, wave + 1)
    assert edits.put_in_wave(there.plan, "Wren", -1).plan == shared
    with pytest.raises(DomainError, match="is the first"):
        edits.put_in_wave(by_hand(shared, "Wren", wave=1), "Wren", -1)


def test_who_runs_nowhere_is_put_on_no_lane(shared):
    away = edits.set_absent(shared, "Wren", absent=True).plan
    with pytest.raises(DomainError, match="Wren runs on no lane"):
        edits.put_on_lane(away, "Wren", 1)


def letters(plan: Plan) -> dict[str, str]:
    return {d.athlete.name: d.letter for each in solve(plan).layings for d in each.demands}


def test_a_start_letter_stays_until_it_is_let_go(shared):
    before = letters(shared)
    first, second, *_ = [athlete.name for athlete in shared.athletes]
    later = edits.move_athlete(shared, first, 3).plan
    assert letters(later) == before
    without = edits.remove_athlete(shared, first).plan
    kept = {name: letter for name, letter in before.items() if name != first}
    assert letters(without) == kept
    away = edits.set_absent(shared, first, absent=True).plan
    assert letters(away) == kept
    let = edits.let_go(without, second).plan
    assert letters(let) == kept | {second: before[first]}
    with pytest.raises(DomainError, match=f"{second} are as dealt"):
        edits.let_go(let, second)


def test_who_is_put_on_the_nearest_free_lane_runs_there_alone_and_lets_it_go_again(shared):
    before = spots(shared)
    lane, wave = before["Wren"]
    taken = {other for other, _ in before.values()}
    edit = edits.put_on_free_lane(shared, "Wren")
    free = spots(edit.plan)["Wren"][0]
    assert free not in taken
    assert abs(free - lane) == min(abs(each - lane) for each in range(1, 9) if each not in taken)
    assert spots(edit.plan) == before | {"Wren": (free, wave)}
    assert letters(edit.plan)["Wren"] == letters(shared)["Wren"]
    assert edits.let_go(edit.plan, "Wren").plan == shared


def test_where_every_lane_is_run_on_there_is_no_free_one(shared):
    lanes = shared.ground.lanes_of("home straight")
    names = [athlete.name for athlete in shared.athletes]
    full = replace(shared, place=replace(shared.place, lanes=lanes[: len(names)]))
    for name, lane in zip(names, lanes, strict=False):
        full = by_hand(full, name, lane=lane)
    narrow = replace(full, ground=replace(full.ground, lanes=len(names)))
    assert edits.free_lane(narrow, names[0]) is None
    with pytest.raises(DomainError, match="no free lane"):
        edits.put_on_free_lane(narrow, names[0])
