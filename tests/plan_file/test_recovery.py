"""Unsaved work is kept, found, and thrown away."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import pytest

from wicketlay.errors import CannotWriteError
from wicketlay.plan_file import (
    PlanFileError,
    discard_recovery,
    find_recovery,
    open_plan,
    recovery,
    write_recovery,
)

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture
def plan_path(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "plans"
    folder.mkdir()
    for file in LAYOUTS.glob("*.toml"):
        (folder / file.name).write_bytes(file.read_bytes())
    return folder / "tuesday-wickets.toml"


def edited(opened):
    first, *others = opened.plan.athletes
    athletes = (dataclasses.replace(first, height_m=1.9), *others)
    return dataclasses.replace(opened.plan, title="Unsaved", athletes=athletes)


def test_there_is_none_at_first(plan_path):
    assert find_recovery(plan_path) is None
    discard_recovery(plan_path)


def test_unsaved_work_is_kept_beside_the_plan_and_found_again(plan_path):
    opened = open_plan(plan_path)
    kept = write_recovery(opened, edited(opened))
    assert kept == plan_path.with_name(".tuesday-wickets.toml.recover")
    found = find_recovery(plan_path)
    assert found.plan == edited(opened)
    assert found.path == kept
    assert not found.stale
    assert found.base == opened.fingerprints
    assert 'title = "Unsaved"' in found.texts["plan"]
    assert '"1.9 m"' in found.texts["squad"]
    assert open_plan(plan_path).plan == opened.plan


def test_found_work_can_be_saved(plan_path):
    opened = open_plan(plan_path)
    write_recovery(opened, edited(opened))
    saved = open_plan(plan_path).save(find_recovery(plan_path).plan)
    assert saved.plan == edited(opened)
    discard_recovery(plan_path)
    assert find_recovery(plan_path) is None


@pytest.mark.parametrize("name", ["tuesday-wickets.toml", "harbour-squad.toml"])
def test_work_on_a_file_that_changed_since_is_stale(plan_path, name):
    opened = open_plan(plan_path)
    write_recovery(opened, edited(opened))
    file = plan_path.with_name(name)
    file.write_text(file.read_text(encoding="utf-8") + "# theirs\n", encoding="utf-8")
    assert find_recovery(plan_path).stale


def test_a_newer_edit_takes_the_place_of_the_older(plan_path):
    opened = open_plan(plan_path)
    write_recovery(opened, edited(opened))
    newer = dataclasses.replace(opened.plan, title="Newer")
    write_recovery(opened, newer)
    assert find_recovery(plan_path).plan == newer
    assert len(list(plan_path.parent.glob(".*.recover"))) == 1


def test_a_folder_that_cannot_be_written_sends_it_to_the_state_folder(
    plan_path, tmp_path, monkeypatch
):
    opened = open_plan(plan_path)
    whole = recovery.write_whole

    def read_only(path, data):
        if path.parent == plan_path.parent:
            raise PermissionError(13, "Permission denied")
        whole(path, data)

    monkeypatch.setattr(recovery, "write_whole", read_only)
    kept = write_recovery(opened, edited(opened))
    assert tmp_path / "state" in kept.parents
    assert find_recovery(plan_path).plan == edited(opened)
    discard_recovery(plan_path)
    assert find_recovery(plan_path) is None


def test_two_plans_of_one_name_do_not_share_a_place_in_the_state_folder(tmp_path):
    one, two = tmp_path / "a" / "plan.toml", tmp_path / "b" / "plan.toml"
    assert recovery._state(one) != recovery._state(two)


def test_nowhere_to_keep_it_is_told(plan_path, monkeypatch):
    opened = open_plan(plan_path)

    def full(_path, _data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(recovery, "write_whole", full)
    with pytest.raises(CannotWriteError) as caught:
        write_recovery(opened, opened.plan)
    assert str(caught.value).endswith(
        ".tuesday-wickets.toml.recover: unsaved work cannot be kept: "
        "no space left on device; save the plan now"
    )


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xfe",
        b"[]",
        b"{}",
        b'{"format": 1}',
        b'{"format": 1, "base": {"plan": "x"}, "texts": {"squad": "y"}}',
        b"[" * 100_000,
    ],
)
def test_damaged_work_is_told_and_left(plan_path, data):
    kept = plan_path.with_name(".tuesday-wickets.toml.recover")
    kept.write_bytes(data)
    with pytest.raises(PlanFileError) as caught:
        find_recovery(plan_path)
    assert str(caught.value) == (
        f"{kept}: is not unsaved work of ours, or is damaged; move it away to go on without it"
    )
    assert kept.read_bytes() == data


def test_it_holds_the_fingerprints_and_the_full_texts(plan_path):
    opened = open_plan(plan_path)
    content = json.loads(write_recovery(opened, opened.plan).read_bytes())
    assert content == {"format": 1, "base": opened.fingerprints, "texts": opened.texts}
