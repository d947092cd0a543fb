"""What one entry is, what stands after corrections, and where a practice is."""

from __future__ import annotations

import datetime as dt

import pytest

from wicketlay.errors import DomainError
from wicketlay.running.facts import Timing
from wicketlay.session.log import (
    Entry,
    Flag,
    What,
    correction,
    practice_of,
    standing,
    withdrawn,
)

DAY = dt.date(2026, 3, 3)
ORDER = ("Tarik", "Odalys", "Bram")


def told(*entries: Entry) -> tuple[Entry, ...]:
    """Give entries the numbers a log gives them."""
    import dataclasses

    return tuple(dataclasses.replace(e, number=n) for n, e in enumerate(entries, start=1))


def a_run(athlete="Tarik", run=1, **more) -> Entry:
    return Entry(day=DAY, athlete=athlete, run=run, **more)


def timed(athlete="Tarik", run=1, *times_s: float, **more) -> Entry:
    return a_run(athlete, run, times_s=times_s, timing=Timing.HAND, **more)


class TestAnEntry:
    @pytest.mark.parametrize(
        ("refused", "why"),
        [
            ({"athlete": "Tarik"}, "the number of the run"),
            ({"run": 1}, "an athlete"),
            ({"athlete": "Tarik", "run": 100}, "run is 100; it must lie between 1 and 99"),
            ({"athlete": "Tarik", "run": 1, "times_s": (2.7,)}, "how it was taken"),
            ({"athlete": "Tarik", "run": 1, "times_s": (271.0,), "timing": Timing.HAND}, "271 s"),
            (
                {"athlete": "T", "run": 1, "times_s": (2.7,) * 7, "timing": Timing.HAND},
                "up to 6",
            ),
            (
                {
                    "athlete": "T",
                    "run": 1,
                    "times_s": (2.7,),
                    "timing": Timing.HAND,
                    "flag": Flag.NOT_TIMED,
                },
                "has a time",
            ),
            ({"athlete": "T", "run": 1, "from_mark": "w1"}, "two marks"),
            ({"athlete": "T", "run": 1, "fps": 240}, "video"),
            ({"athlete": "T", "run": 1, "note": "x" * 201}, "up to 200"),
            ({"what": What.GONE}, "never was"),
            ({"what": What.LATE, "athlete": "T"}, "when they come"),
            ({"what": What.SWAP, "athlete": "T", "other": "T"}, "another athlete"),
            ({"what": What.ABSENT, "athlete": "T", "flag": Flag.HIT}, "only a run"),
            ({"what": What.NOTE, "number": 4, "replaces": 4, "note": "x"}, "come before it"),
        ],
    )
    def test_that_cannot_be_is_refused_with_the_reason(self, refused, why):
        with pytest.raises(DomainError, match=why):
            Entry(day=DAY, **refused)

    def test_is_kept_to_what_a_watch_tells(self):
        made = timed("Tarik", 1, 2.70949, wind_mps=-1.8449, effort_share=0.9849)
        assert (made.times_s, made.wind_mps, made.effort_share) == ((2.709,), -1.84, 0.98)

    def test_of_several_watches_has_their_mean(self):
        assert timed("Tarik", 1, 2.70, 2.73).time_s == 2.715

    def test_teaches_only_with_a_time_and_nothing_against_it(self):
        assert timed("Tarik", 1, 2.70).teaches
        assert not timed("Tarik", 1, 2.70, flag=Flag.HIT).teaches
        assert not a_run(flag=Flag.NOT_TIMED).teaches
        assert a_run().waits
        assert not a_run(flag=Flag.NOT_TIMED).waits


class TestWhatStands:
    def test_is_the_last_that_was_said_where_the_first_was(self):
        off = a_run()
        slip = correction(told(off)[0], times_s=(2.17,), timing=Timing.HAND)
        right = Entry(
            day=DAY, athlete="Tarik", run=1, times_s=(2.71,), timing=Timing.HAND, replaces=3
        )
        entries = told(off, a_run("Bram"), slip, right)
        assert [(e.number, e.time_s) for e in standing(entries)] == [(4, 2.71), (2, None)]

    def test_is_nothing_of_what_never_was(self):
        entries = told(a_run())
        assert standing((*entries, *told(entries[0], withdrawn(entries[0]))[1:])) == ()

    def test_is_the_later_of_two_corrections_of_one_entry(self):
        first = a_run()
        one = correction(told(first)[0], times_s=(2.6,), timing=Timing.HAND)
        two = correction(told(first)[0], times_s=(2.7,), timing=Timing.HAND)
        assert [e.time_s for e in standing(told(first, one, two))] == [2.7]


class TestAPractice:
    def test_has_the_runs_of_each_and_the_number_of_the_next(self):
        entries = told(timed("Bram", 1, 2.9), timed("Tarik", 1, 2.7), timed("Bram", 2, 2.8))
        practice = practice_of(entries, DAY, ORDER)
        assert [e.time_s for e in practice.runs["Bram"]] == [2.9, 2.8]
        assert [practice.next_run(who) for who in ORDER] == [2, 1, 3]
        assert practice_of(entries, dt.date(2026, 3, 4), ORDER).entries == ()

    def test_knows_who_is_away_who_comes_late_and_who_is_back(self):
        entries = told(
            Entry(day=DAY, what=What.ABSENT, athlete="Bram"),
            Entry(day=DAY, what=What.LATE, athlete="Odalys", due_s=600),
            Entry(day=DAY, what=What.ABSENT, athlete="Tarik"),
            Entry(day=DAY, what=What.HERE, athlete="Tarik"),
        )
        practice = practice_of(entries, DAY, ORDER)
        assert practice.away == {"Bram"}
        assert practice.due_s == {"Odalys": 600}

    def test_swaps_change_the_order_and_an_undone_swap_does_not(self):
        swap = Entry(day=DAY, what=What.SWAP, athlete="Tarik", other="Bram")
        entries = told(swap)
        assert practice_of(entries, DAY, ORDER).order == ("Bram", "Odalys", "Tarik")
        undone = told(swap, withdrawn(entries[0]))
        assert practice_of(undone, DAY, ORDER).order == ORDER

    def test_knows_the_last_run_and_when_it_began(self):
        entries = told(
            Entry(day=DAY, what=What.BEGUN, clock=dt.time(17, 0)),
            a_run("Tarik", 1, at_s=300),
            a_run("Bram", 1, at_s=330),
        )
        practice = practice_of(entries, DAY, ORDER)
        assert practice.last is not None
        assert practice.last.athlete == "Bram"
        assert practice.begun == dt.time(17, 0)
