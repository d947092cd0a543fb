"""Who shares a laying: exact against brute force, and the cap."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.lanes.sharing import Wanted, share, shared_gaps


def wants(name: str, *gaps: float) -> Wanted:
    values = np.array(gaps)
    return Wanted(name=name, gaps_m=values, natural_m=values)


def squad(means: list[float]) -> list[Wanted]:
    return [wants(f"a{i}", m, m * 1.02, m * 1.03) for i, m in enumerate(means)]


def mismatch(members: list[Wanted]) -> float:
    """How far the shared gaps of a group are from a member's own, in log, at the worst."""
    shared = shared_gaps(members)
    return max(float(np.abs(np.log(shared / member.gaps_m)).max()) for member in members)


def brute_force(members: list[Wanted], groups: int) -> float:
    order = sorted(members, key=lambda member: member.mean_m)
    best = float("inf")
    count = len(order)
    for parts in range(1, min(groups, count) + 1):
        for cuts in itertools.combinations(range(1, count), parts - 1):
            edges = [0, *cuts, count]
            worst = max(mismatch(order[a:b]) for a, b in itertools.pairwise(edges))
            best = min(best, worst)
    return best


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(1.4, 2.4), min_size=1, max_size=8), st.integers(1, 5))
def test_the_largest_mismatch_is_the_smallest_there_is(means, groups):
    members = squad(means)
    by_name = {member.name: member for member in members}
    parts = share(members, groups)
    assert sorted(name for part in parts for name in part) == sorted(by_name)
    assert len(parts) <= groups
    got = max(mismatch([by_name[name] for name in part]) for part in parts)
    assert got == pytest.approx(brute_force(members, groups), abs=1e-12)


def test_shared_gap_is_the_geometric_midpoint():
    gaps = shared_gaps([wants("a", 1.80), wants("b", 1.90)])
    assert gaps[0] == pytest.approx((1.80 * 1.90) ** 0.5)


def test_shared_gap_is_capped_over_the_shortest_natural_step():
    gaps = shared_gaps([wants("a", 1.60), wants("b", 2.00)])
    assert gaps[0] == pytest.approx(1.60 * 1.03)


def test_nobody_spared_is_put_over_the_gaps_they_would_be_laid():
    short = replace(wants("a", 1.80, 1.90), natural_m=np.array([1.86, 1.96]), spared=True)
    gaps = shared_gaps([short, wants("b", 1.90, 2.05)])
    assert gaps == pytest.approx([1.80, 1.90])
    assert shared_gaps([replace(short, spared=False), wants("b", 1.90, 2.05)])[0] > 1.84


def test_the_partition_counts_the_gaps_that_spare_somebody():
    means = [1.7, 1.75, 1.8, 1.9, 2.0]
    members = [replace(each, spared=i % 2 == 1) for i, each in enumerate(squad(means))]
    by_name = {member.name: member for member in members}
    parts = share(members, 2)
    got = max(mismatch([by_name[name] for name in part]) for part in parts)
    assert got == pytest.approx(brute_force(members, 2), abs=1e-12)


def test_one_athlete_gets_their_own_gaps():
    assert shared_gaps([wants("a", 1.7, 1.8)]) == pytest.approx([1.7, 1.8])


def test_nobody_or_nowhere_is_refused():
    with pytest.raises(DomainError, match="at least one lane and wave, got 0 and 2"):
        share([], 2)
    with pytest.raises(DomainError, match="got 1 and 0"):
        share(squad([1.8]), 0)
