"""Saving: what is written, byte for byte, and what happens when it cannot be."""

from __future__ import annotations

import dataclasses
import datetime as dt
import fcntl
import stat
import threading
from pathlib import Path

import pytest

from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.kit import Kit
from wicketlay.drills.wicket_run import CadenceRule, CadenceTarget
from wicketlay.errors import CannotWriteError, ChangedOnDiskError
from wicketlay.files import locks, saving
from wicketlay.ground.tape import Tick
from wicketlay.plan import Adjustment, SessionPlan, StagePlan
from wicketlay.plan_file import load, open_plan
from wicketlay.running.facts import Athlete, Observation

LAYOUTS = Path(__file__).parents[2] / "layouts"

TEXT = """\
# a plan
format = 1
kind = "plan"
title = "Test"      # its title

[[athlete]]
name = "Wren"
height = "5 ft 5 1/2 in"   # measured in boots
top_speed = "28,5 km/h"

# Bram is away a lot
[[athlete]]
name = "Bram"
height = '179 cm'
flying = { distance = "20 m", time = "2.19 s", run_on = "30 m" }

[drill]
kind = "wicket-run"
speed = "95%"   # of top
section = "66 ft"

# the bag
[kit]
wickets = 14
"""


@pytest.fixture
def plan_path(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(TEXT.encode())
    return path


def changed(path: Path, **changes) -> str:
    """Save a change of the plan and return what the file then holds."""
    opened = open_plan(path)
    wanted = dataclasses.replace(opened.plan, **changes)
    assert opened.save(wanted).plan == wanted
    assert load(path) == wanted
    return path.read_bytes().decode()


def athlete(path: Path, place: int, **changes) -> tuple[Athlete, ...]:
    athletes = list(load(path).athletes)
    athletes[place] = dataclasses.replace(athletes[place], **changes)
    return tuple(athletes)


# -- what is written ------------------------------------------------------------------------------


def test_saving_without_a_change_writes_nothing(plan_path):
    before = plan_path.stat()
    opened = open_plan(plan_path)
    saved = opened.save(opened.plan)
    assert saved == opened
    after = plan_path.stat()
    assert (before.st_mtime_ns, before.st_ino) == (after.st_mtime_ns, after.st_ino)


def test_only_the_changed_value_is_written(plan_path):
    drill = dataclasses.replace(load(plan_path).drill, speed_share=0.97)
    assert changed(plan_path, drill=drill) == TEXT.replace('"95%"', '"97%"')


def test_a_length_in_feet_stays_in_feet(plan_path):
    athletes = athlete(plan_path, 0, height_m=1.6764)
    assert changed(plan_path, athletes=athletes) == TEXT.replace('"5 ft 5 1/2 in"', '"5 ft 6 in"')


def test_kilometres_an_hour_and_a_decimal_comma_stay(plan_path):
    athletes = athlete(plan_path, 0, top_speed_mps=8.0)
    assert changed(plan_path, athletes=athletes) == TEXT.replace(
        '"28,5 km/h"', '"28.8 km/h"'.replace(".", ",")
    )


def test_a_value_in_an_inline_table_is_changed_in_place(plan_path):
    flying = dataclasses.replace(load(plan_path).athletes[1].flying, time_s=2.11)
    athletes = athlete(plan_path, 1, flying=flying)
    assert changed(plan_path, athletes=athletes) == TEXT.replace('"2.19 s"', '"2.11 s"')


def test_a_new_key_comes_after_the_last_of_its_table(plan_path):
    athletes = athlete(plan_path, 0, age_years=14.0)
    assert changed(plan_path, athletes=athletes) == TEXT.replace(
        'top_speed = "28,5 km/h"\n', 'top_speed = "28,5 km/h"\nage = 14\n'
    )


def test_a_key_that_is_no_longer_needed_goes_with_its_line(plan_path):
    athletes = athlete(plan_path, 0, top_speed_mps=None)
    assert changed(plan_path, athletes=athletes) == TEXT.replace('top_speed = "28,5 km/h"\n', "")


def test_a_new_table_comes_at_the_end(plan_path):
    text = changed(plan_path, session=SessionPlan(efforts=6, recovery_s=180.0))
    assert text == TEXT + '\n[session]\nefforts = 6\nrecovery = "3 min"\n'


def test_a_new_run_comes_behind_its_athlete(plan_path):
    run = Observation(date=dt.date(2026, 3, 4), distance_m=23.92, time_s=3.17, over_marks=True)
    athletes = athlete(plan_path, 0, observations=(run,))
    assert changed(plan_path, athletes=athletes) == TEXT.replace(
        'top_speed = "28,5 km/h"\n',
        'top_speed = "28,5 km/h"\n\n[[athlete.run]]\ndate = 2026-03-04\ndistance = "23.92 m"\n'
        'time = "3.17 s"\nover = "wickets"\n',
    )


def test_a_new_sprint_comes_behind_its_athlete_and_one_splits_table_stays_as_it_was(plan_path):
    splits = 'splits = { distances = ["10 m", "20 m"], times = ["1.9 s", "3,1 s"] }\n'
    before = TEXT.replace('top_speed = "28,5 km/h"\n', f'top_speed = "28,5 km/h"\n{splits}')
    plan_path.write_text(before, "utf-8")
    known = load(plan_path).athletes[0]
    assert known.sprints == ()
    sprint = dataclasses.replace(known.splits, date=dt.date(2026, 3, 4))
    text = changed(plan_path, athletes=athlete(plan_path, 0, sprints=(sprint,)))
    added = (
        '\n[[athlete.sprint]]\ndistances = ["10 m", "20 m"]\ntimes = ["1.9 s", "3.1 s"]\n'
        "date = 2026-03-04\n"
    )
    assert text.replace(added, "") == before
    assert load(plan_path).athletes[0].sprints == (sprint,)
    assert changed(plan_path, athletes=athlete(plan_path, 0, sprints=())) == before


def test_a_new_athlete_comes_behind_the_others_and_an_order_is_written(plan_path):
    wren, bram = load(plan_path).athletes
    kit = Athlete(name="Kit", height_m=1.52, age_years=12.0)
    text = changed(plan_path, athletes=(kit, wren, bram))
    assert text == TEXT.replace(
        "      # its title\n", '      # its title\nathletes = ["Kit", "Wren", "Bram"]\n'
    ).replace(
        'run_on = "30 m" }\n',
        'run_on = "30 m" }\n\n[[athlete]]\nname = "Kit"\nheight = "1.52 m"\nage = 12\n',
    )


def test_an_athlete_taken_off_the_plan_stays_in_the_squad(plan_path):
    opened = open_plan(plan_path)
    (wren, _) = opened.plan.athletes
    saved = opened.save(dataclasses.replace(opened.plan, athletes=(wren,)))
    assert [each.name for each in saved.squad] == ["Wren", "Bram"]
    assert plan_path.read_text() == TEXT.replace(
        "      # its title\n", '      # its title\nathletes = ["Wren"]\n'
    )


def test_a_new_name_is_the_same_athlete(plan_path):
    athletes = athlete(plan_path, 1, name='Bram "B"')
    assert changed(plan_path, athletes=athletes) == TEXT.replace('"Bram"', "'Bram \"B\"'")


def test_another_drill_takes_the_place_of_the_old_one(plan_path):
    text = changed(plan_path, drill=FlyingSegment(zone_m=30.0, run_on_m=35.0))
    assert text == TEXT.replace('"wicket-run"', '"flying"').replace('"95%"', '"100%"').replace(
        'section = "66 ft"\n', 'zone = "30 m"\nrun_on = "35 m"\n'
    )


def test_a_unit_of_the_tape_is_said_only_where_it_must_be(plan_path):
    tape = dataclasses.replace(load(plan_path).tape, tick=Tick.HALF_INCH)
    assert changed(plan_path, tape=tape) == TEXT + '\n[tape]\nunit = "feet"\n'
    tape = dataclasses.replace(tape, tick=Tick.QUARTER_INCH)
    assert changed(plan_path, tape=tape) == (TEXT + '\n[tape]\nunit = "feet"\nround = "1/4 in"\n')
    tape = dataclasses.replace(tape, tick=Tick.CM_1)
    assert changed(plan_path, tape=tape) == (TEXT + '\n[tape]\nunit = "metric"\nround = "1 cm"\n')


def test_stages_come_and_go(plan_path):
    text = changed(plan_path, stages=StagePlan(from_share=0.88, to_share=0.97, count=4))
    assert text == TEXT + '\n[stages]\nfrom = "88 %"\nto = "97 %"\ncount = 4\n'
    assert changed(plan_path, stages=None) == TEXT + "\n"


def test_adjustments_come_change_and_go(plan_path):
    text = changed(plan_path, adjustments=(Adjustment(athlete="Wren", gap_change=0.02),))
    assert text == TEXT + '\n[[adjust]]\nathlete = "Wren"\ngaps = "2 %"\n'
    text = changed(plan_path, adjustments=(Adjustment(athlete="Wren", absent=True),))
    assert text == TEXT + '\n[[adjust]]\nathlete = "Wren"\ngaps = "0 %"\nabsent = true\n'
    assert changed(plan_path, adjustments=()) == TEXT + "\n"


def test_what_is_adjusted_for_one_leaves_the_words_about_another(plan_path):
    bram = '\n# in new spikes\n[[adjust]]\nathlete = "Bram"\nstart = "4 cm"\n'
    plan_path.write_text(TEXT + bram)
    plan = load(plan_path).with_adjustment(Adjustment(athlete="Wren", gap_change=0.02))
    wren = '\n[[adjust]]\nathlete = "Wren"\ngaps = "2 %"\n'
    assert changed(plan_path, adjustments=plan.adjustments) == TEXT + bram + wren
    plan = load(plan_path).with_adjustment(Adjustment(athlete="Bram", start_shift_m=0.05))
    bram = bram.replace("4 cm", "5 cm")
    assert changed(plan_path, adjustments=plan.adjustments) == TEXT + bram + wren


def test_who_is_adjusted_anew_keeps_the_words_about_them_and_leaves_those_about_another(plan_path):
    both = (
        '\n# off an injury\n[[adjust]]\nathlete = "Wren"\ngaps = "2 %"   # by eye\n'
        '\n# in new spikes\n[[adjust]]\nathlete = "Bram"\nstart = "4 cm"\n'
    )
    plan_path.write_text(TEXT + both)
    plan = load(plan_path).with_adjustment(Adjustment(athlete="Wren"))
    plan = plan.with_adjustment(Adjustment(athlete="Wren", gap_change=0.04))
    now = both.replace('"2 %"', '"4 %"')
    assert changed(plan_path, adjustments=plan.adjustments) == TEXT + now


def test_nobody_who_is_adjusted_takes_over_the_words_about_who_no_longer_is(plan_path):
    wren = '\n[[adjust]]\nathlete = "Wren"\ngaps = "2 %"   # off an injury\n'
    plan_path.write_text(TEXT + wren)
    text = changed(plan_path, adjustments=(Adjustment(athlete="Bram", start_shift_m=0.04),))
    assert text == TEXT + '\n\n[[adjust]]\nathlete = "Bram"\nstart = "4 cm"\n'


def test_an_athlete_who_has_another_name_keeps_the_words_about_their_adjustment(plan_path):
    wren = '\n[[adjust]]\nathlete = "Wren"\ngaps = "2 %"   # off an injury\n'
    plan_path.write_text(TEXT + wren)
    ada = dataclasses.replace(load(plan_path).athletes[0], name="Ada")
    text = changed(
        plan_path,
        athletes=(ada, *load(plan_path).athletes[1:]),
        adjustments=(Adjustment(athlete="Ada", gap_change=0.02),),
    )
    assert text == (TEXT + wren).replace('"Wren"', '"Ada"')


def test_a_comment_above_the_next_table_stays_when_one_goes(plan_path):
    text = (
        TEXT + '\n[stages]\nfrom = "88 %"\nto = "97 %"\ncount = 4\n\n# how\n[tape]\nzero = "w1"\n'
    )
    plan_path.write_text(text)
    assert changed(plan_path, stages=None) == TEXT + '\n# how\n[tape]\nzero = "w1"\n'


def test_a_cadence_takes_the_style_of_the_old_one(plan_path):
    text = TEXT.replace('section = "66 ft"\n', 'section = "66 ft"\ncadence = "240 steps/min"\n')
    plan_path.write_text(text)
    target = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.1)
    drill = dataclasses.replace(load(plan_path).drill, cadence=target)
    assert changed(plan_path, drill=drill) == text.replace("240 steps/min", "246 steps/min")
    target = CadenceTarget(rule=CadenceRule.OF_TOP, value=0.98)
    drill = dataclasses.replace(drill, cadence=target)
    assert changed(plan_path, drill=drill) == text.replace("240 steps/min", "98 % of top")


def test_members_of_an_array_keep_their_comments(plan_path):
    text = TEXT.replace(
        "      # its title\n",
        '      # its title\nathletes = [\n  "Wren",   # first\n  "Bram"  # second\n]\n',
    )
    plan_path.write_text(text)
    wren, bram = load(plan_path).athletes
    assert '[\n  "Bram",  # second\n  "Wren",   # first\n]' in changed(
        plan_path, athletes=(bram, wren)
    )


def test_an_athlete_of_an_inline_array_is_changed_while_another_comes(plan_path):
    ada, ben = '{name="Ada", height="1.7 m", top_speed="8 m/s"}', '{name="Ben",height="1.8 m"}'
    text = (
        f'format = 1\nkind = "plan"\ntitle = "T"\nathlete = [\n  {ada}, # first\n  {ben},\n]\n'
        'drill = { kind = "acceleration" }\n'
    )
    plan_path.write_text(text)
    one, two = load(plan_path).athletes
    shorter, new = dataclasses.replace(one, height_m=1.0), Athlete(name="Cy", height_m=1.75)
    assert changed(plan_path, athletes=(shorter, two, new)) == text.replace(
        ada, '{ name="Ada", height="1 m", top_speed="8 m/s" }'
    ).replace(f"{ben},\n", f'{ben},\n  {{ name = "Cy", height = "1.75 m" }},\n')


def test_byte_order_mark_and_line_ends_are_kept(plan_path):
    data = b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode()
    plan_path.write_bytes(data)
    changed(plan_path, kit=Kit(wickets=12, wicket_width_m=0.7))
    assert plan_path.read_bytes() == data.replace(
        b"wickets = 14\r\n", b'wickets = 12\r\nwicket_width = "70 cm"\r\n'
    )


def test_a_file_that_does_not_end_its_last_line_can_be_added_to(plan_path):
    plan_path.write_text(TEXT.rstrip("\n"))
    text = changed(plan_path, kit=Kit(wickets=14, wicket_width_m=0.7))
    assert text == TEXT.rstrip("\n") + '\nwicket_width = "70 cm"'


def test_a_change_in_the_squad_is_written_to_the_squad_file_alone(tmp_path):
    for file in LAYOUTS.glob("*.toml"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    path = tmp_path / "tuesday-wickets.toml"
    squad = (LAYOUTS / "harbour-squad.toml").read_text(encoding="utf-8")
    place = [each.name for each in load(path).athletes].index("Wren")
    changed(path, athletes=athlete(path, place, top_speed_mps=8.05))
    assert (tmp_path / "harbour-squad.toml").read_text(encoding="utf-8") == squad.replace(
        '"7.9 m/s"', '"8.05 m/s"'
    )
    for file in LAYOUTS.glob("*.toml"):
        if file.name != "harbour-squad.toml":
            assert (tmp_path / file.name).read_bytes() == file.read_bytes()


def test_a_change_of_the_ground_is_written_to_the_ground_file(tmp_path):
    for file in LAYOUTS.glob("*.toml"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    path = tmp_path / "tuesday-wickets.toml"
    ground = dataclasses.replace(load(path).ground, lanes=6)
    changed(path, ground=ground)
    before = (LAYOUTS / "harbour-track.toml").read_text(encoding="utf-8")
    after = (tmp_path / "harbour-track.toml").read_text(encoding="utf-8")
    assert after == before.replace("lanes = 8\n", "lanes = 6\n")


# -- the file itself ------------------------------------------------------------------------------


def test_a_symbolic_link_stays_one(plan_path, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(plan_path.name)
    opened = open_plan(link)
    opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert link.is_symlink()
    assert 'title = "Other"' in plan_path.read_text()


def test_permissions_are_kept(plan_path):
    plan_path.chmod(0o640)
    changed(plan_path, title="Other")
    assert stat.S_IMODE(plan_path.stat().st_mode) == 0o640


def test_nothing_else_is_left_in_the_folder(plan_path, tmp_path):
    changed(plan_path, title="Other")
    assert [each.name for each in tmp_path.iterdir()] == ["plan.toml"]


def test_a_file_changed_on_disk_is_refused_and_left_alone(plan_path):
    opened = open_plan(plan_path)
    theirs = TEXT.replace("14", "12")
    plan_path.write_text(theirs)
    with pytest.raises(ChangedOnDiskError) as caught:
        opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert str(caught.value) == (
        f"{plan_path} was changed on disk since it was read; nothing was written: "
        "open it again and repeat the change"
    )
    assert caught.value.exit_code == 6
    assert plan_path.read_text() == theirs


def test_a_squad_changed_on_disk_stops_a_save_of_both_before_either(tmp_path):
    for file in LAYOUTS.glob("*.toml"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    path = tmp_path / "tuesday-wickets.toml"
    opened = open_plan(path)
    squad = tmp_path / "harbour-squad.toml"
    squad.write_text(squad.read_text(encoding="utf-8") + "# theirs\n", encoding="utf-8")
    wanted = dataclasses.replace(
        opened.plan, title="Other", athletes=athlete(path, 0, height_m=1.87)
    )
    with pytest.raises(ChangedOnDiskError, match=r"harbour-squad\.toml was changed on disk"):
        opened.save(wanted)
    assert path.read_bytes() == (LAYOUTS / path.name).read_bytes()


def test_a_file_that_went_away_is_not_made_again(plan_path):
    opened = open_plan(plan_path)
    plan_path.unlink()
    with pytest.raises(CannotWriteError) as caught:
        opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert str(caught.value) == (
        f"{plan_path}: cannot be written: no such file or directory; nothing was written"
    )
    assert caught.value.exit_code == 5
    assert not plan_path.exists()


def test_two_saves_one_after_the_other_see_each_other(plan_path):
    first, second = open_plan(plan_path), open_plan(plan_path)
    first.save(dataclasses.replace(first.plan, title="First"))
    with pytest.raises(ChangedOnDiskError):
        second.save(dataclasses.replace(second.plan, title="Second"))
    assert load(plan_path).title == "First"


def test_a_saved_plan_can_be_saved_again(plan_path):
    opened = open_plan(plan_path)
    for title in ("One", "Two", "Three"):
        opened = opened.save(dataclasses.replace(opened.plan, title=title))
    assert load(plan_path).title == "Three"


def test_a_file_locked_by_another_program_is_refused(plan_path, monkeypatch):
    opened = open_plan(plan_path)
    monkeypatch.setattr(locks, "PATIENCE_S", 0.05)
    with plan_path.open() as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(CannotWriteError) as caught:
            opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert str(caught.value) == (
        f"{plan_path}: another program is saving it; nothing was written: save again"
    )
    assert plan_path.read_text() == TEXT


def test_many_savers_never_leave_half_a_file_and_exactly_one_wins(plan_path):
    opened = [open_plan(plan_path) for _ in range(8)]
    won: list[str] = []

    def save(number: int) -> None:
        title = f"Saver {number}"
        try:
            opened[number].save(dataclasses.replace(opened[number].plan, title=title))
        except (ChangedOnDiskError, CannotWriteError):
            return
        won.append(title)

    threads = [threading.Thread(target=save, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(won) == 1
    assert load(plan_path).title == won[0]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_disk_that_fails_leaves_the_old_file_and_no_other(plan_path, tmp_path, monkeypatch, step):
    opened = open_plan(plan_path)

    def fail(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(saving.os, "fsync", fail)
    else:
        monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(CannotWriteError, match="cannot be written: no space left on device"):
        opened.save(dataclasses.replace(opened.plan, title="Other"))
    monkeypatch.undo()
    assert plan_path.read_text() == TEXT
    assert [each.name for each in tmp_path.iterdir()] == ["plan.toml"]


def test_a_file_that_may_not_be_written_is_refused(plan_path, monkeypatch):
    opened = open_plan(plan_path)
    monkeypatch.setattr(saving.os, "access", lambda path, mode: False)
    with pytest.raises(CannotWriteError) as caught:
        opened.save(dataclasses.replace(opened.plan, title="Other"))
    assert str(caught.value) == (
        f"{plan_path}: cannot be written: permission denied; nothing was written"
    )
    assert plan_path.read_text() == TEXT


def test_a_plan_that_no_file_can_hold_is_refused_before_anything_is_written(plan_path):
    opened = open_plan(plan_path)
    with pytest.raises(CannotWriteError) as caught:
        opened.save(dataclasses.replace(opened.plan, title="Over\nlines"))
    assert str(caught.value) == (
        f"{plan_path}: the plan cannot be saved, nothing was written: {plan_path}, line 4: "
        "title: holds the control character U+000A; take it out"
    )
    assert plan_path.read_text() == TEXT


def test_a_guest_is_saved_in_the_plan_and_the_squad_in_its_file(tmp_path):
    for path in LAYOUTS.glob("harbour-*.toml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    plan_path, squad_path = tmp_path / "plan.toml", tmp_path / "harbour-squad.toml"
    plan_path.write_text(
        """\
format = 1
kind = "plan"
title = "With a guest"
squad = "harbour-squad.toml"

[[athlete]]
name = "Mirre"
height = "1.70 m"    # guessed at the gate

[drill]
kind = "wicket-run"
speed = "95 %"
wickets = 10
""",
        encoding="utf-8",
    )
    file = open_plan(plan_path)
    squad = squad_path.read_text(encoding="utf-8")
    *others, guest = file.plan.athletes
    taller = dataclasses.replace(guest, height_m=1.72)
    file = file.save(dataclasses.replace(file.plan, athletes=(*others, taller)))
    text = plan_path.read_text(encoding="utf-8")
    assert 'height = "1.72 m"    # guessed at the gate' in text
    assert squad_path.read_text(encoding="utf-8") == squad
    new = dataclasses.replace(guest, name="Zo")
    file = file.save(dataclasses.replace(file.plan, athletes=(*others, new, taller)))
    assert 'name = "Zo"' in squad_path.read_text(encoding="utf-8")
    assert plan_path.read_text(encoding="utf-8") == text
    file.save(dataclasses.replace(file.plan, athletes=tuple(others)))
    assert [a.name for a in open_plan(plan_path).plan.athletes] == [a.name for a in others]
