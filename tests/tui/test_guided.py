"""What a coach meets in the first quarter of an hour: the guided way, and what it says."""

import pytest
from tui_bench import SIZES, TODAY, keys, words_on, workbench

from tui.bench.newplan import GRASS, HALL, TRACK, new_plan
from tui.bench.people import FLYING_TIME
from wicketlay.keys.typed import FieldError
from wicketlay.plan_file import load
from wicketlay.review.review import TimedRuns
from wicketlay.reviewing import accepted, review_athlete
from wicketlay.running.athlete import Timing
from wicketlay.solve import solve

ANSWERS = {
    "name": "Mira",
    "height": "1.70 m",
    "sex": "",
    "age": "",
    "how": FLYING_TIME,
    "flying_time": "2.5 s",
    "zone": "20 m",
    "zone_run_on": "30 m",
    "timing": "hand",
    "speed": "92 %",
    "wickets": "10",
}
GROUNDS = [
    {"where": GRASS, "room": "80 m"},
    {"where": HALL, "room": "90 m"},
    {"where": TRACK, "lane": "4"},
]


def chainage(plan, mark="w1"):
    """Return where a mark of the only laying lies."""
    return solve(plan).layings[0].placed.mark(mark).chainage_m


@pytest.mark.parametrize("where", GROUNDS, ids=lambda each: each["where"])
@pytest.mark.parametrize("share", [0.94, 1.06], ids=["faster", "slower"])
def test_a_time_that_is_accepted_leaves_the_first_wicket_where_it_is(where, share):
    opened, plan = new_plan(ANSWERS | where, today=TODAY)
    opened.lock.release()
    solved = solve(plan)
    expected = solved.layings[0].layout.section_time_s
    made = review_athlete(
        solved,
        "Mira",
        TimedRuns(
            times_s=[expected * share],
            timing=Timing.GATES,
            day=TODAY,
            effort_share=plan.drill.speed_share,
        ),
    )
    after = accepted(plan, made, TODAY)
    assert chainage(after, "w10") != chainage(plan, "w10")
    assert chainage(after) == chainage(plan)


@pytest.mark.parametrize("where", GROUNDS, ids=lambda each: each["where"])
def test_the_guided_place_is_told_on_a_whole_half_metre_and_fits(where):
    opened, plan = new_plan(ANSWERS | where, today=TODAY)
    opened.lock.release()
    assert plan.place.mark == "w1"
    assert (2 * plan.place.offset_m).is_integer()
    course = solve(plan).layings[0].placed.course
    w1 = chainage(plan)
    nearest = min((abs(each.chainage_m - w1) for each in course.landmarks), default=w1)
    assert abs(plan.place.offset_m) == pytest.approx(nearest)
    codes = {finding.code for finding in solve(plan).all_findings}
    assert "ground-place-not-told" not in codes
    assert not [f for f in solve(plan).all_findings if f.level.value == "stop"]


def test_where_nothing_fits_the_place_stays_untold_and_the_findings_say_so():
    opened, plan = new_plan(ANSWERS | {"where": GRASS, "room": "30 m"}, today=TODAY)
    opened.lock.release()
    assert plan.place.mark is None
    assert [f for f in solve(plan).all_findings if f.level.value == "stop"]


@pytest.mark.parametrize("lane", ["Mira", "0", "9", "4 5", "", "20", "21"])
def test_a_lane_that_is_none_is_told_with_the_grounds_lanes(lane):
    with pytest.raises(FieldError, match=r"^lane: a number from 1 to 8$") as refused:
        new_plan(ANSWERS | {"where": TRACK, "lane": lane}, today=TODAY)
    assert refused.value.key == "lane"


async def test_the_guided_way_takes_centimetres_and_names_the_next_step(own_folders):
    way = ("ctrl+n", "=Mira", "enter", "=170", *["enter"] * 4, "=2.5", "ctrl+s")
    async with workbench(None) as (app, pilot):
        await keys(pilot, *way)
        assert app.bench.athlete.height_m == pytest.approx(1.70)
        assert "next athlete: 2, then a" in words_on(app)
        await keys(pilot, "2", "a")
        assert "new athlete" in words_on(app)


@pytest.mark.parametrize("kept", [True, False], ids=["kept", "ended"])
async def test_the_next_start_says_why_work_was_unsaved(plan_path, kept):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g")
        if kept:
            await keys(pilot, "ctrl+q", "k")
    async with workbench(plan_path) as (app, pilot):
        assert ("you kept this unsaved for the next time" in words_on(app)) is kept
        assert ("the last session ended before" in words_on(app)) is not kept
        await keys(pilot, "t")
    async with workbench(plan_path) as (app, pilot):
        assert "the last session ended before this was saved" in words_on(app)


async def test_an_athletes_own_adjustment_stands_beside_the_field(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "S")
        pane = app.screen.query_one("#inputs")
        notes = {box.field.key: box.own for box in pane.query("FieldInput") if box.own is not None}
        shown = {key: str(note.content) for key, note in notes.items() if note.display}
        assert shown == {
            "gap_change": "Tarik's own: gaps +2 %",
            "speed": "Tarik's own: speed -1 point",
        }
        await keys(pilot, "n")
        assert not any(note.display for note in notes.values())


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_the_key_bar_always_shows_help_and_the_way_out(plan_path, size):
    async with workbench(plan_path, size) as (app, pilot):
        for digit in "123456":
            await keys(pilot, digit)
            bar = str(app.screen.query_one("#keys").content)
            assert "? help" in bar
            assert "^Q quit" in bar
            if size == (120, 40):
                assert all(text in bar for text in ("^N new plan", "^O open", "^S save"))


async def test_the_palette_asks_in_our_words(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "ctrl+p")
        assert "what do you want to do?" in words_on(app)


async def test_being_late_is_asked_in_minutes(plan_path):
    async with workbench(plan_path, (80, 24)) as (app, pilot):
        await keys(pilot, "o")
        assert "such as 5 min" in words_on(app)
        await keys(pilot, "=soon", "enter")
        assert '"soon" is not a time; write it such as "5 min"' in words_on(app)
        await keys(pilot, "escape", "o", "=5 min", "enter")
        assert app.bench.plan.adjustment("Tarik").late_s == pytest.approx(300.0)


async def test_a_time_far_off_is_written_only_by_somebody_who_is_sure(plan_path):
    async with workbench(plan_path) as (app, pilot):
        expected = app.bench.laying.layout.section_time_s
        far = f"={expected * 1.35:.2f}"
        await keys(pilot, "t", far, "enter", "enter")
        shown = " ".join(words_on(app).split())
        assert "off the expected" in shown
        assert app.bench.athlete.observations == ()
        await keys(pilot, "escape")
        assert app.bench.athlete.observations == ()
        assert app.bench.told.refused
        assert "nothing was written" in app.bench.told.text
        await keys(pilot, "enter", "y", "ctrl+s")
        assert len(app.bench.athlete.observations) == 1
    assert len(load(plan_path).athletes[0].observations) == 1
