"""Any change of a plan is saved and read back equal, and touches nothing else."""

from __future__ import annotations

import dataclasses
import difflib
import re
import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plan_strategies import changed_plans, changed_record

from wicketlay.keys import parts
from wicketlay.keys.drills import WICKET_RUN
from wicketlay.plan_file import load, open_plan

LAYOUTS = Path(__file__).parents[2] / "layouts"

FULL = """\
# everything a plan can hold, in headed tables
format = 1
kind = "plan"
title = "Everything"    # the title
date = 2026-03-03
athletes = [
    "Wren",   # first
    "Tarik",
    "Ines",
]

[[athlete]]
name = "Wren"          # a comment behind a name
height = "5 ft 5 1/2 in"
age = "12 years"
top_speed = "28,5 km/h"
first_cadence = "240 steps/min"
first_speed = "95%"
first_seen = "eye"

[[athlete.run]]
date = 2026-02-17
distance = "20 m"
time = "2.27 s"
steps = 9.5
held = "95 %"

[[athlete.run]]
date = "2026-02-24"
step = "2.1 m"
speed = "8.5 m/s"
over = "free"

# Tarik's comment
[[athlete]]
name = "Tarik"
height = "1.86 m"
[athlete.splits]
distances = ["10 m", "20 m"]   # two
times = [
    "1.95 s",
    "3.10 s",  # the second
]

[[athlete]]
name = "Odalys"
height = "1.72 m"
flying.distance = "20 m"
flying.time = "2.19 s"
flying.run_on = "30 m"

[[athlete]]
name = "Ines"
height = "169 cm"
born = 2010-05-06
run = [{ date = 2026-02-17, distance = "20 m", time = "2.4 s", over = "wickets" }]

[drill]
kind = "wicket-run"
speed = "95 %"
cadence = "98 % of top"
section = "66 ft"
run_on = "11 steps"

[kit]
wickets = 14
wicket_width = "60 cm"

[ground]
kind = "strip"
length = "95 m"
landmark = [{ key = "gate", text = "the gate", at = "10 m" }]

[[ground.obstacle]]
name = "post"
corners = [["0 m", "9 m"], ["1 m", "9 m"], ["1 m", "10 m"]]

[place]
lane = 1
mark = "start"
offset = "-2 m"

[tape]
unit = "feet"
round = "1/4 in"
length = "165 ft"
temperature = "80 F"

[session]
recovery = "2 min 30 s"

[stages]
from = "88 %"
to = "97 %"
count = 20
tolerance = "3 cm"

[[adjust]]
athlete = "Wren"
gaps = "+2 %"

# Tarik is away
[[adjust]]
athlete = "Tarik"
absent = true

[judgement]
long_caution = "4 %"
free_steps = 5
push_off_s = "0.12 s"
"""

INLINE = """\
format = 1
kind = "plan"
title = 'Inline'
athlete = [
  { name = "Wren", height = "1.66 m", top_speed = "7.9 m/s" }, # first
  { name = "K", height = "152 cm", run = [{date=2026-02-17,step="1.5 m",speed="6 m/s"}], age = 9 },
]
drill = { kind = "wicket-run", speed = "95 %", wickets = 9 }
kit.wickets = 12
kit.wicket_width = "70 cm"
place = {}
tape = { "length" = "50 m" }
stages = { from = "88 %", to = "97 %", count = 20 }
ground = { kind = "runway", board = [ { key = "board", to_pit = "2 m" } ] }
adjust = [ { athlete = "K", gaps = "-2 %" } ]
"""

SMALLEST = """\
format = 1
kind = "plan"
title = "Smallest"
[drill]
kind = "acceleration"
[[athlete]]
name = "Wren"
height = "1.66 m"
top_speed = "7.9 m/s\""""

TEXTS = {"full": FULL, "inline": INLINE, "smallest": SMALLEST}


def variants() -> dict[str, bytes]:
    found = {name: text.encode() for name, text in TEXTS.items()}
    found["full-crlf-bom"] = b"\xef\xbb\xbf" + FULL.replace("\n", "\r\n").encode()
    return found


def comments(text: str) -> list[str]:
    return re.findall(r"#[^\n\r]*", text)


def check_any_change(path: Path, data: bytes, draws) -> None:
    path.write_bytes(data)
    opened = open_plan(path)
    wanted = draws.draw(changed_plans(opened.plan, opened.squad))
    saved = opened.save(wanted)
    assert saved.plan == wanted
    assert load(path) == wanted
    text = path.read_bytes().decode("utf-8-sig")
    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)
    assert path.read_bytes().startswith(b"\xef\xbb\xbf") is data.startswith(b"\xef\xbb\xbf")
    if b"\r\n" in data:
        assert re.search(r"(?<!\r)\n", text) is None
    back = saved.save(opened.plan)
    assert back.plan == opened.plan


EACH = pytest.mark.parametrize("data", variants().values(), ids=variants().keys())


@EACH
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(draws=st.data())
def test_any_change_is_read_back_equal(tmp_path, draws, data):
    check_any_change(tmp_path / "plan.toml", data, draws)


@pytest.mark.slow
@EACH
@settings(
    max_examples=500, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(draws=st.data())
def test_any_of_many_changes_is_read_back_equal(tmp_path, draws, data):
    check_any_change(tmp_path / "plan.toml", data, draws)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(draws=st.data())
def test_any_change_of_a_plan_with_files_is_read_back_equal(tmp_path, draws):
    for file in LAYOUTS.glob("*.toml"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    path = tmp_path / "tuesday-wickets.toml"
    opened = open_plan(path)
    wanted = draws.draw(changed_plans(opened.plan, opened.squad))
    assert opened.save(wanted).plan == wanted
    assert load(path) == wanted


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(table=st.sampled_from(["kit", "tape", "session", "judgement", "drill"]), draws=st.data())
def test_changes_of_one_table_leave_every_other_line_as_it_was(tmp_path, table, draws):
    record = {
        "kit": parts.KIT,
        "tape": parts.TAPE,
        "session": parts.SESSION,
        "judgement": parts.JUDGEMENT,
        "drill": WICKET_RUN,
    }[table]
    path = tmp_path / "plan.toml"
    path.write_text(FULL, encoding="utf-8")
    opened = open_plan(path)
    thing = draws.draw(changed_record(record, getattr(opened.plan, table)))
    opened.save(dataclasses.replace(opened.plan, **{table: thing}))
    old, new = (
        FULL.splitlines(keepends=True),
        path.read_text(encoding="utf-8").splitlines(keepends=True),
    )
    first = old.index(f"[{table}]\n")
    last = next((i for i in range(first + 1, len(old)) if old[i].startswith("[")), len(old))
    for kind, old_from, old_to, _, _ in difflib.SequenceMatcher(
        a=old, b=new, autojunk=False
    ).get_opcodes():
        if kind != "equal":
            assert first < old_from <= last
            assert old_to <= last
    assert set(comments(FULL)) <= set(comments("".join(new)))
