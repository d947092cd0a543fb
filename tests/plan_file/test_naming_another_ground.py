"""A plan goes to another ground: its reference changes, and no ground file does."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.errors import CannotWriteError
from wicketlay.ground import Strip
from wicketlay.plan_file import (
    PlanFileError,
    find_recovery,
    load,
    open_plan,
    read_ground,
    write_recovery,
)

LAYOUTS = Path(__file__).parents[2] / "layouts"
HALL = "harbour-hall.toml"


@pytest.fixture
def folder(tmp_path):
    for path in LAYOUTS.glob("*.toml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    return tmp_path


def to_hall(plan, folder):
    return edits.move_to_ground(plan, read_ground(folder, HALL), HALL).plan


def bytes_of(folder, but=""):
    return {each.name: each.read_bytes() for each in folder.glob("*.toml") if each.name != but}


def test_the_plan_names_the_other_file_and_every_other_file_keeps_its_bytes(folder):
    opened = open_plan(folder / "shared-lanes.toml")
    before = bytes_of(folder, "shared-lanes.toml")
    moved = to_hall(opened.plan, folder)
    opened.save(moved)
    assert bytes_of(folder, "shared-lanes.toml") == before
    assert load(folder / "shared-lanes.toml") == moved
    assert f'file = "{HALL}"' in (folder / "shared-lanes.toml").read_text(encoding="utf-8")


def test_back_on_the_old_ground_the_file_is_what_it_was(folder):
    path = folder / "shared-lanes.toml"
    was = path.read_text(encoding="utf-8")
    opened = open_plan(path)
    opened.save(to_hall(opened.plan, folder)).save(opened.plan)
    assert load(path) == opened.plan
    assert path.read_text(encoding="utf-8") == was


OWN = """\
[ground]
kind = "strip"
length = "90 m"   # paced

[[ground.landmark]]
key = "tree"
text = "the tree"
at = "10 m"
"""
INLINE = 'ground = { kind = "strip", length = "90 m" }\n'
DOTTED = 'ground.kind = "strip"\nground.length = "90 m"\n'
HEAD = 'format = 1\nkind = "plan"\ntitle = "Test"\n'
REST = """\
[[athlete]]
name = "Wren"
height = "1.68 m"
top_speed = "7.9 m/s"

[drill]
kind = "wicket-run"
speed = "92 %"
wickets = 6

"""


@pytest.mark.parametrize(
    "text",
    [HEAD + REST + OWN, HEAD + INLINE + REST, HEAD + DOTTED + REST, HEAD + REST],
    ids=["headed", "inline", "dotted", "none"],
)
def test_the_plans_own_ground_gives_way_to_a_file_and_comes_back(folder, text):
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    opened = open_plan(path)
    moved = to_hall(opened.plan, folder)
    saved = opened.save(moved)
    assert load(path) == moved
    assert (folder / HALL).read_bytes() == (LAYOUTS / HALL).read_bytes()
    saved.save(opened.plan)
    assert load(path) == opened.plan
    assert (folder / HALL).read_bytes() == (LAYOUTS / HALL).read_bytes()


def test_a_ground_of_the_plans_own_takes_the_place_of_a_file(folder):
    opened = open_plan(folder / "shared-lanes.toml")
    moved = edits.move_to_ground(opened.plan, Strip(length_m=90.0, lanes=4), None).plan
    opened.save(moved)
    assert load(folder / "shared-lanes.toml") == moved
    assert (folder / "harbour-track.toml").read_bytes() == (
        LAYOUTS / "harbour-track.toml"
    ).read_bytes()


def test_what_is_changed_on_the_other_ground_is_written_there_and_only_there(folder):
    opened = open_plan(folder / "shared-lanes.toml")
    moved = to_hall(opened.plan, folder)
    longer = replace(moved, ground=replace(moved.ground, name="the other hall"))
    before = bytes_of(folder)
    saved = opened.save(longer)
    changed = {name for name, was in before.items() if (folder / name).read_bytes() != was}
    assert changed == {"shared-lanes.toml", HALL}
    assert load(folder / "shared-lanes.toml") == saved.plan == longer


def test_unsaved_work_on_another_ground_is_kept_and_found_again(folder):
    opened = open_plan(folder / "shared-lanes.toml")
    moved = to_hall(opened.plan, folder)
    write_recovery(opened, moved)
    found = find_recovery(folder / "shared-lanes.toml")
    assert found is not None
    assert found.plan == moved
    assert not found.stale
    (folder / HALL).write_text("# changed\n" + (folder / HALL).read_text(), encoding="utf-8")
    assert find_recovery(folder / "shared-lanes.toml").stale


def test_a_ground_file_that_is_gone_by_the_time_of_saving_is_told_and_nothing_written(folder):
    opened = open_plan(folder / "shared-lanes.toml")
    moved = to_hall(opened.plan, folder)
    before = bytes_of(folder, HALL)
    (folder / HALL).unlink()
    with pytest.raises(CannotWriteError, match="is not there"):
        opened.save(moved)
    assert bytes_of(folder) == before


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("nowhere.toml", "is not there"),
        ("../../etc/hall.toml", "leaves the plan's folder"),
        ("/etc/hall.toml", "not a relative path"),
        ("harbour-squad.toml", "this is a squad file; name a ground file"),
    ],
)
def test_what_is_no_ground_file_near_the_plan_is_refused(folder, name, told):
    with pytest.raises(PlanFileError, match=told):
        read_ground(folder, name)
