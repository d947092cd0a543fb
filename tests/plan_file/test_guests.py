"""A guest stands in the plan beside its squad file, however the plan is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.plan_file import load, open_plan
from wicketlay.running.athlete import Athlete

LAYOUTS = Path(__file__).parents[2] / "layouts"
SQUAD = "harbour-squad.toml"
NELE = Athlete(name="Nele", height_m=1.69, top_speed_mps=8.1)
INLINE = 'athlete = [{ name = "Sanne", height = "1.73 m", top_speed = "8.6 m/s" }]\n'
REST = '[drill]\nkind = "wicket-run"\nspeed = "92 %"\nwickets = 6\n'


def written(folder, middle):
    (folder / SQUAD).write_bytes((LAYOUTS / SQUAD).read_bytes())
    path = folder / "plan.toml"
    head = f'format = 1\nkind = "plan"\ntitle = "Test"\nsquad = "{SQUAD}"\n'
    path.write_text(head + middle + REST, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "middle",
    ["", 'athletes = ["Wren", "Kit"]\n', INLINE, 'athletes = ["Sanne", "Kit"]\n' + INLINE],
    ids=["all of the squad", "some", "a guest in one line", "a guest named first"],
)
def test_a_new_guest_is_written_into_the_plan_and_the_squad_file_keeps_its_bytes(tmp_path, middle):
    path = written(tmp_path, middle)
    opened = open_plan(path)
    saved = opened.save(edits.add_athlete(opened.plan, NELE, guest=True).plan)
    assert load(path) == saved.plan
    assert load(path).athletes == (*opened.plan.athletes, NELE)
    assert load(path).guests == opened.plan.guests | {"Nele"}
    assert (tmp_path / SQUAD).read_bytes() == (LAYOUTS / SQUAD).read_bytes()


def test_who_is_new_and_no_guest_stands_in_the_squad_file(tmp_path):
    path = written(tmp_path, INLINE)
    opened = open_plan(path)
    both = edits.add_athlete(opened.plan, NELE).plan
    other = Athlete(name="Olek", height_m=1.8, top_speed_mps=9.0)
    saved = opened.save(edits.add_athlete(both, other, guest=True).plan)
    assert load(path) == saved.plan
    assert load(path).guests == {"Sanne", "Olek"}
    assert 'name = "Nele"' in (tmp_path / SQUAD).read_text(encoding="utf-8")
    assert "Olek" not in (tmp_path / SQUAD).read_text(encoding="utf-8")


def test_a_guest_who_is_taken_off_the_plan_stays_in_its_file(tmp_path):
    path = written(tmp_path, INLINE)
    opened = open_plan(path)
    saved = opened.save(edits.remove_athlete(opened.plan, "Sanne").plan)
    assert load(path) == saved.plan
    assert "Sanne" in {each.name for each in saved.squad}
