"""What the line of a time says and takes: the same marks and digits as the review and the hour."""

from pathlib import Path

import pytest
from tui_bench import keys, words_on, workbench

from wicketlay.wording.names import mark_name

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.mark.parametrize(
    ("layout", "time_s"),
    [("bend-accelerations", "2.10"), ("broken-run", "7.90"), ("flying-20", "2.20")],
)
async def test_the_line_of_a_time_names_the_marks_the_review_reads_it_between(layout, time_s):
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    async with workbench(Path(f"{layout}.toml")) as (app, pilot):
        await keys(pilot, "t")
        asked = next(line for line in words_on(app).splitlines() if "time of" in line)
        who = app.bench.view.athlete
        await keys(pilot, f"={time_s}", "enter")
        made = app.bench.reviewing.made
        ends = f"{mark_name(made.from_mark)} to {mark_name(made.to_mark)}"
        assert asked.strip().startswith(f"time of {who} {ends}")


@pytest.mark.parametrize(
    ("typed", "time_s"), [("210", 2.1), ("21", 2.1), ("2,1", 2.1), ("2.10 s", 2.1), ("2200", 2.2)]
)
async def test_digits_are_read_as_at_the_track(plan_path, typed, time_s):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", f"={typed}", "enter")
        assert app.bench.reviewing.times_of("Tarik") == (time_s,)


@pytest.mark.parametrize("typed", ["abc", "210 s", "99.0", "2.1.1"])
async def test_what_is_no_time_stays_in_the_line_and_is_told(plan_path, typed):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", f"={typed}", "enter")
        assert app.bench.reviewing.times_of("Tarik") == ()
        assert app.focused.value == typed
        assert "Enter takes it" not in words_on(app)
