"""Unsaved work is kept, found, and thrown away."""

from __future__ import annotations

import dataclasses
import json
import stat
from pathlib import Path

import pytest

from wicketlay.errors import CannotWriteError
from wicketlay.files import sidecar
from wicketlay.plan_file import (
    PlanFileError,
    discard_recovery,
    find_recovery,
    open_plan,
    typed_in,
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
    texts = json.loads(kept.read_bytes())["texts"]
    assert 'title = "Unsaved"' in texts["plan"]
    assert '"1.9 m"' in texts["squad"]
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
    whole = sidecar.write_whole

    def read_only(path, *rest):
        if path.parent == plan_path.parent:
            raise PermissionError(13, "Permission denied")
        whole(path, *rest)

    monkeypatch.setattr(sidecar, "write_whole", read_only)
    kept = write_recovery(opened, edited(opened))
    assert tmp_path / "state" in kept.parents
    assert find_recovery(plan_path).plan == edited(opened)
    discard_recovery(plan_path)
    assert find_recovery(plan_path) is None


def test_two_plans_of_one_name_do_not_share_a_place_in_the_state_folder(tmp_path):
    one, two = tmp_path / "a" / "plan.toml", tmp_path / "b" / "plan.toml"
    assert sidecar.elsewhere(one) != sidecar.elsewhere(two)


def test_nowhere_to_keep_it_is_told(plan_path, monkeypatch):
    opened = open_plan(plan_path)

    def full(*_given):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sidecar, "write_whole", full)
    with pytest.raises(CannotWriteError) as caught:
        write_recovery(opened, edited(opened))
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
    content = json.loads(write_recovery(opened, edited(opened)).read_bytes())
    base, texts = opened.unsaved(edited(opened))
    assert base == opened.fingerprints
    assert content == {"format": 1, "base": base, "texts": texts}


def test_what_is_half_typed_is_kept_without_an_edit_and_beside_one(plan_path):
    opened = open_plan(plan_path)
    typed = {"fields": {"title": "Un\ud800"}, "times": {"of": {"Wren": [2.71]}}}
    write_recovery(opened, opened.plan, typed)
    assert find_recovery(plan_path) is None
    assert typed_in(plan_path) == typed
    write_recovery(opened, edited(opened), typed)
    assert find_recovery(plan_path).plan == edited(opened)
    assert typed_in(plan_path) == typed
    assert write_recovery(opened, opened.plan) is None
    assert typed_in(plan_path) == {}
    assert not list(plan_path.parent.glob(".*"))


def test_it_may_be_read_by_whoever_may_read_the_plan(plan_path):
    plan_path.chmod(0o640)
    opened = open_plan(plan_path)
    assert stat.S_IMODE(write_recovery(opened, edited(opened)).stat().st_mode) == 0o640


def test_a_save_of_two_files_leaves_what_else_is_kept_and_keeping_leaves_a_save(plan_path):
    opened = open_plan(plan_path)
    typed = {"fields": {"title": "Un"}}
    write_recovery(opened, opened.plan, typed)
    opened = opened.save(edited(opened))
    assert typed_in(plan_path) == typed
    kept = plan_path.with_name(".tuesday-wickets.toml.recover")
    assert set(json.loads(kept.read_bytes())) == {"format", "typed"}
    at_work = {"format": 1, "saving": [["squad", "x.toml", "0", "y"]]}
    kept.write_text(json.dumps(at_work), encoding="utf-8")
    write_recovery(opened, opened.plan)
    assert json.loads(kept.read_bytes()) == at_work
