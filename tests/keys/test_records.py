"""Every field of everything a plan is made of can be written in a plan file."""

from __future__ import annotations

import dataclasses
import tomllib
import typing

import pytest

from wicketlay.ground import Ground
from wicketlay.keys import athletes, drills, grounds, parts
from wicketlay.keys.records import Record, Sub, SubList
from wicketlay.plan import DRILL_KINDS, Plan
from wicketlay.plan_file.document import PLAN_KEYS, TABLES

TOGETHER = {
    "Athlete": {"first_guess"},
    "WicketRun": {"run_on_m", "run_on_steps"},
    "Place": {"lanes"},
    "TapeSpec": {"tick"},
}
"""Fields that several keys stand for together."""


def all_records() -> dict[str, Record]:
    found: dict[str, Record] = {}

    def add(record: Record) -> None:
        found[f"{record.noun} ({record.make.__name__})"] = record
        for entry in record.entries:
            if isinstance(entry.codec, (Sub, SubList)):
                add(entry.codec.record)

    for record in (
        athletes.ATHLETE,
        *drills.DRILLS.values(),
        *grounds.GROUNDS.values(),
        parts.ADJUST,
        *(record for record, _, _ in TABLES.values()),
    ):
        add(record)
    return found


RECORDS = all_records()


@pytest.mark.parametrize("name", RECORDS)
def test_every_field_has_its_key(name):
    record = RECORDS[name]
    if not dataclasses.is_dataclass(record.make):
        assert record.make is grounds._own_landmark
        return
    fields = {field.name for field in dataclasses.fields(record.make) if field.init}
    held = {entry.attr for entry in record.entries if entry.attr}
    assert fields - held == TOGETHER.get(record.make.__name__, set())
    assert held <= fields


@pytest.mark.parametrize("name", RECORDS)
def test_no_key_is_told_twice(name):
    keys = RECORDS[name].keys
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("name", RECORDS)
def test_required_keys_show_an_example_that_can_be_read(name):
    for entry in RECORDS[name].entries:
        if entry.required:
            value = tomllib.loads(f"x = {entry.example}")["x"]
            entry.codec.read(value)


def test_every_drill_and_ground_has_a_record():
    assert {record.make for record in drills.DRILLS.values()} == set(DRILL_KINDS)
    assert set(drills.DRILLS) == set(DRILL_KINDS.values())
    hints = typing.get_args(Ground)
    assert {record.make for record in grounds.GROUNDS.values()} == set(hints)


def test_every_field_of_a_plan_has_its_key():
    named = {"athletes", "drill", "ground", "title", "date", "adjustments"}
    named |= {attr for _, attr, _ in TABLES.values()}
    named |= {"ground_file", "guests"}  # told by `ground`, and by where an athlete stands
    assert {field.name for field in dataclasses.fields(Plan)} == named
    assert len(PLAN_KEYS) == len(set(PLAN_KEYS))
