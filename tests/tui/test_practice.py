"""Squad, forms, stages, session and print, by keys."""

import json
from datetime import date
from pathlib import Path

import pytest
from tui_bench import TODAY, keys, words_on, workbench

from tui.bench.people import athlete_of, who_lines
from tui.bench.reviewing import Beside, Reviewing
from wicketlay.keys.typed import FieldError
from wicketlay.plan_file import load
from wicketlay.running.athlete import Timing

pytestmark = pytest.mark.slow


async def add(pilot, *answers):
    await keys(pilot, "2", "a", "=Nele", "enter", "=1.69", "enter", "enter", "enter", *answers)
    await keys(pilot, "ctrl+s")


async def test_an_athlete_by_a_flying_time(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await add(pilot, "enter", "=2.4")
        flying = app.bench.athlete.flying
        assert app.bench.athlete.name == "Nele"
        assert (flying.distance_m, flying.time_s, flying.run_on_m) == (20.0, 2.4, 30.0)
        assert flying.timing is Timing.HAND
        await keys(pilot, "ctrl+s")
    assert load(plan_path).athletes[-1] == app.bench.athlete


async def test_an_athlete_by_height_and_a_cadence(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await add(pilot, "h", "enter", "=4.2")
        assert app.bench.athlete.first_guess.cadence_hz == pytest.approx(4.2)
        assert app.bench.athlete.first_guess.speed_share == pytest.approx(0.95)
        assert app.bench.demand.runner.provisional
        await keys(pilot, "ctrl+s")
    assert load(plan_path).athletes[-1] == app.bench.athlete


async def test_an_athlete_by_splits(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await add(pilot, "s", "enter", "=10 20 30 40", "enter", "=2.1 3.4 4.6 5.8")
        assert app.bench.athlete.splits.distances_m == (10.0, 20.0, 30.0, 40.0)
        assert app.bench.athlete.splits.times_s == (2.1, 3.4, 4.6, 5.8)
        await keys(pilot, "ctrl+s")
    assert load(plan_path).athletes[-1] == app.bench.athlete


async def test_splits_of_another_day_are_one_more_set_and_of_the_same_day_a_correction(
    plan_path,
):
    async with workbench(plan_path) as (app, pilot):
        day = ("enter", "enter", "=2026-02-24")
        await add(pilot, "s", "enter", "=10 20 30", "enter", "=2.1 3.4 4.6", *day)
        first = app.bench.athlete.splits
        assert first.date == date(2026, 2, 24)
        answers = {line.key: line.value for line in who_lines(app.bench.athlete)}
        assert answers["split_day"] == "2026-02-24"

        def told(known, **changes):
            asked = {line.key: line.value for line in who_lines(known)} | changes
            return athlete_of(asked, known=known, speed_share=0.95, today=TODAY)

        later = told(app.bench.athlete, split_day="2026-03-24", split_times="2.0 3.3 4.5")
        assert later.splits == first
        assert [each.date for each in later.sprints] == [date(2026, 3, 24)]
        better = told(later, split_times="2.0 3.3 4.4")
        assert [each.times_s for each in better.sprints] == [(2.0, 3.3, 4.4)]
        assert better.splits == first
        with pytest.raises(FieldError, match="the day of the splits is missing"):
            told(later, split_day="", split_times="2.0 3.3 4.3")


async def test_an_athlete_by_a_counted_free_run(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await add(pilot, "c", "enter", "=20", "enter", "=2.45", "enter", "=10.5")
        (run,) = app.bench.athlete.observations
        assert (run.distance_m, run.time_s, run.steps, run.date) == (20.0, 2.45, 10.5, TODAY)
        assert app.bench.demand is not None
        await keys(pilot, "ctrl+s")
    assert load(plan_path).athletes[-1] == app.bench.athlete


async def test_a_form_shows_its_error_beside_the_line_and_keeps_what_was_typed(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await add(pilot, "enter", "=99")
        shown = " ".join(words_on(app).split())
        assert '"99 s" is too large; allowed:' in shown
        assert app.focused.line.key == "flying_time"
        assert app.focused.value == "99"
        await keys(pilot, "escape")
        assert len(app.bench.plan.athletes) == 3


async def test_an_athlete_is_changed_and_facts_the_form_does_not_ask_for_stay(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "enter", "enter", "=1.88", "ctrl+s")
        assert app.bench.athlete.height_m == pytest.approx(1.88)
        assert app.bench.athlete.time_constant_s == pytest.approx(1.2)


async def test_the_running_order_and_who_is_on_the_plan(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "+")
        assert [a.name for a in app.bench.plan.athletes] == ["Odalys", "Tarik", "Wren"]
        await keys(pilot, "-", "n", "delete")
        assert [a.name for a in app.bench.plan.athletes] == ["Tarik", "Wren"]


async def test_the_last_athlete_cannot_be_taken_off(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "2", "delete", "delete", "delete")
        assert len(app.bench.plan.athletes) == 1
        assert "is the only athlete" in words_on(app)


async def test_somebody_late_runs_later_in_the_last_wave_of_the_lane_and_that_is_told(plan_path):
    async with workbench(plan_path) as (app, pilot):
        first = {load.athlete: load.first_s for load in app.bench.solved.session.loads}
        await keys(pilot, "o", "=20", "enter")
        late = {load.athlete: load.first_s for load in app.bench.solved.session.loads}
        assert late["Tarik"] >= 20 * 60 > first["Tarik"]
        assert "now lane 1, wave 2 → laid anew" in words_on(app)
        await keys(pilot, "ctrl+s")
    assert load(plan_path).adjustment("Tarik").late_s == pytest.approx(1200.0)


async def test_stages_are_made_walked_through_and_taken_out(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "3", "a", "e")
        assert app.bench.plan.stages.count == 4
        assert app.bench.view.stage == 2
        assert "* is moved for this stage" in words_on(app)
        await keys(pilot, "enter")
        assert app.bench.plan.stages.now == 2
        await keys(pilot, "i", "=80", "enter", "escape")
        assert app.bench.plan.stages.from_share == pytest.approx(0.80)
        await keys(pilot, "a", "y")
        assert app.bench.plan.stages is None


async def test_session_fields_are_on_the_session_screen(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "5", "i", "=3", "enter", "=2", "enter", "=1", "enter", "=30", "enter")
        session = app.bench.plan.session
        assert (session.efforts, session.recovery_s, session.waves) == (3, 120.0, 1)
        assert session.length_s == 1800.0
        assert len(app.bench.solved.layings) == 2


async def test_several_times_are_one_review_and_the_last_can_be_dropped(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.10", "enter", "t", "=2.14", "enter", "t", "=9", "enter")
        await keys(pilot, "backspace", "k")
        assert app.bench.reviewing.times_of("Tarik") == (2.10, 2.14)
        assert app.bench.reviewing.made.mean_time.value == pytest.approx(2.12)
        assert app.bench.reviewing.timing is Timing.GATES


async def test_how_hard_a_run_was_is_told_beside_its_time(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.06", "enter")
        assert "as hard as asked" in words_on(app)
        asked = app.bench.reviewing.made.top_speed_seen.value
        await keys(pilot, "h", "=200", "enter")
        assert "allowed: 50 % to 100 %" in " ".join(words_on(app).split())
        await keys(pilot, "ctrl+u", "=98", "enter")
        assert "run at 98 %" in words_on(app)
        made = app.bench.reviewing.made
        assert made.observation.held_share == pytest.approx(0.98)
        assert made.top_speed_seen.value < asked
        await keys(pilot, "h", "ctrl+u", "enter")
        assert app.bench.reviewing.made.observation.effort_asked


async def test_gaps_of_their_own_are_offered_to_be_kept_with_an_accepted_review(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "g", "t", "=2.12", "enter", "enter")
        assert app.bench.athlete.kept_step_m is None
        assert "keep +2 % as Tarik's own?" in app.bench.told.text
        await keys(pilot, "K")
        assert app.bench.athlete.kept_step_m is not None
        assert 0.0 < app.bench.plan.adjustment("Tarik").gap_change < 0.02
        await keys(pilot, "u")
        assert app.bench.athlete.kept_step_m is None


async def test_touchdowns_of_a_video_show_the_cadence_that_was_run(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.10", "enter", "y", "=12 26 41 55 70", "enter", "=60", "enter")
        shown = " ".join(words_on(app).split())
        assert "5 touchdowns at 60 frames a second" in shown
        assert "4.14 steps/s ± 0.06 steps/s, 5 touchdowns" in shown
        await keys(pilot, "y", "ctrl+u", "=11", "enter")
        shown = " ".join(words_on(app).split())
        assert "steps counted over marks teach nothing" in shown
        assert "Enter writes it to the record" in shown
        await keys(pilot, "y", "ctrl+u", "enter", "enter", "y")
        assert app.bench.athlete.observations[0].touchdowns == ()


async def test_a_time_from_a_video_is_read_to_its_frame(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.10", "enter", "k", "k", "=50", "enter")
        shown = " ".join(words_on(app).split())
        assert "timed by video, 50 frames a second" in shown
        assert "2.10 s ± 0.02 s" in shown  # one frame
        await keys(pilot, "enter")
        seen = app.bench.athlete.observations[0]
        assert (seen.timing, seen.fps) == (Timing.VIDEO, 50.0)


async def test_the_review_shows_how_the_athlete_came_along(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.12", "enter", "enter")
        shown = " ".join(words_on(app).split())
        assert "top speed one SD weight to 10 m to 20 m to 30 m" in shown
        assert TODAY.isoformat() in shown
        assert "before" in shown
        assert "runs over marks of 1 day" in shown
        assert "The step at top speed rests on: leg 100 %" in shown


async def test_what_is_told_beside_the_times_is_kept_with_them():
    reviewing = Reviewing(timing=Timing.VIDEO, fps=120.0)
    reviewing.add("Tarik", 2.1)
    reviewing.see("Tarik", Beside(effort_share=0.98, touchdowns=(12.0, 26.0), fps=60.0))
    back = Reviewing()
    assert back.take_noted(json.loads(json.dumps(reviewing.noted(TODAY))))
    assert back.beside("Tarik") == reviewing.beside("Tarik")
    assert (back.timing, back.video_fps) == (Timing.VIDEO, 120.0)
    assert not Reviewing().take_noted(reviewing.noted(TODAY) | {"beside": {"Tarik": {"fps": "x"}}})


async def test_times_are_of_the_plans_day_or_of_the_one_that_is_set(plan_path):
    dated = plan_path.read_text("utf-8").replace(
        "[[athlete]]", "date = 2026-03-02\n\n[[athlete]]", 1
    )
    plan_path.write_text(dated, "utf-8")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.10", "enter")
        assert app.bench.reviewing.made.date == date(2026, 3, 2)
        assert "2026-03-02" in words_on(app)
        await keys(pilot, "d", "=2026-03-05", "enter")
        assert "2026-03-05 is a day to come" in " ".join(words_on(app).split())
        await keys(pilot, "escape", "d", "ctrl+u", "=2026-03-01", "enter", "enter", "y")
        (run,) = app.bench.athlete.observations
        assert run.date == date(2026, 3, 1)


async def test_a_time_in_doubt_is_written_by_a_word_and_not_by_enter_twice(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=2.45", "enter", "enter", "enter")
        assert app.bench.athlete.observations == ()
        assert "nothing was written" in words_on(app)
        await keys(pilot, "enter", "y")
        (run,) = app.bench.athlete.observations
        assert run.time_s == 2.45


async def test_of_a_time_that_cannot_be_right_nothing_else_is_shown(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=3.1", "enter")
        shown = words_on(app)
        assert "cannot be right" in " ".join(shown.split())
        assert "gaps" not in shown.split("cannot be right")[0]
        assert "⌫ drops the last time" in shown
        assert "Enter writes it" not in shown


async def test_a_time_nobody_runs_is_refused_in_words(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "t", "=0.5", "enter")
        assert app.bench.reviewing.made is None
        assert app.bench.reviewing.trouble in " ".join(words_on(app).split())


async def test_a_question_says_why_and_waits(plan_path):
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "m", "=far", "enter")
        assert 'length "far" is not a length' in words_on(app)
        await keys(pilot, "escape")
        assert app.bench.plan.place.slide_m == 0.0


async def test_lanes_waves_athletes_and_marks_go_round(plan_path):
    async with workbench(plan_path) as (app, pilot):
        seen = []
        for key in ("l", "l", "v", "v", "n", "n", "n", "N"):
            await keys(pilot, key)
            laying = app.bench.laying
            seen.append((app.bench.view.athlete, laying.lane, laying.wave))
        assert seen == [
            ("Odalys", 2, 1),
            ("Tarik", 1, 1),
            ("Wren", 1, 2),
            ("Tarik", 1, 1),
            ("Odalys", 2, 1),
            ("Wren", 1, 2),
            ("Tarik", 1, 1),
            ("Wren", 1, 2),
        ]
        await keys(pilot, "home")
        assert app.bench.view.mark == "start"
        await keys(pilot, "end", "right")
        assert app.bench.view.mark == "w10"


async def test_a_pdf_never_replaces_another_file(plan_path):
    Path("harbour-wave-1.pdf").write_text("my notes", encoding="utf-8")
    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "p", "p")
        assert "exists and is not a PDF" in words_on(app)
    assert Path("harbour-wave-1.pdf").read_text(encoding="utf-8") == "my notes"


async def test_paper_and_sheets_are_chosen_by_one_key_each(plan_path):
    from pypdf import PdfReader

    async with workbench(plan_path) as (app, pilot):
        await keys(pilot, "p", "a", "h", "h", "w")
        assert app.printing.paper == "letter"
        assert app.printing.kinds == ("tape",)
    page = PdfReader("harbour.pdf").pages[0]
    assert [round(float(x)) for x in page.mediabox[2:]] == [612, 792]
