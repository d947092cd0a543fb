"""Reviews of a solved plan: what the plan itself tells of a run."""

from dataclasses import replace
from datetime import date

import pytest

from wicketlay.drills import WicketRun
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.errors import DomainError
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip, Surface
from wicketlay.ground.track import Track
from wicketlay.plan import Adjustment, Plan, SessionPlan
from wicketlay.review.review import TimedRuns, typical_gap_m
from wicketlay.reviewing import (
    accepted,
    gaps_kept,
    gaps_to_keep,
    marks_changed,
    review_athlete,
)
from wicketlay.running.athlete import Athlete, Timing, make_runner
from wicketlay.solve import solve
from wicketlay.wording import word

TODAY = date(2026, 3, 4)
WREN = Athlete(name="Wren", height_m=1.66, sex="f", top_speed_mps=7.9)
HALL = Strip(surface=Surface.HALL, length_m=120.0)


def run_of(ground, **told):
    solved = solve(
        Plan(
            title="t", athletes=(WREN,), drill=WicketRun(speed_share=0.9, wickets=8), ground=ground
        )
    )
    time_s = solved.layings[0].layout.section_time_s
    made = review_athlete(
        solved, "Wren", TimedRuns(times_s=[time_s], timing=Timing.GATES, day=TODAY, **told)
    )
    return made.observation


def test_in_a_hall_no_wind_blows_and_outdoors_nobody_knows():
    assert run_of(HALL).wind_mps == 0.0
    assert run_of(replace(HALL, surface=Surface.GRASS)).wind_mps is None
    assert run_of(HALL, wind_mps=0.4).wind_mps == 0.4


def test_the_height_of_the_ground_goes_with_the_run():
    assert run_of(replace(HALL, altitude_m=1200.0)).altitude_m == 1200.0


@pytest.mark.parametrize(
    ("ground", "indoors"),
    [
        (Track(), False),
        (Track(strips=(HALL,)), True),
        (Track(strips=(replace(HALL, surface=Surface.GRASS),)), False),
        (Runway(), False),
    ],
)
def test_an_oval_about_an_indoor_straight_stands_in_its_hall(ground, indoors):
    assert ground.indoors is indoors


# --- what the coach decided ---------------------------------------------------------------------

SPEC = WicketRun(speed_share=0.9, wickets=8)


def notched(change, *, athlete=WREN, spec=SPEC):
    own = (Adjustment(athlete="Wren", gap_change=change),) if change else ()
    return solve(
        Plan(title="t", athletes=(athlete,), drill=spec, ground=HALL, adjustments=own, date=TODAY)
    )


def gaps_of(solved):
    return [mark.gap_m for mark in solved.layings[0].layout.marks if mark.gap_m is not None]


@pytest.mark.parametrize("change", [0.02, -0.04])
def test_gaps_that_are_kept_are_evidence_of_the_step_and_gaps_stay(change):
    before = notched(change)
    kept = gaps_kept(before, "Wren")
    (wren,) = kept.athletes
    was, now = (make_runner(each).gait.top_step for each in (WREN, wren))
    assert wren.kept_step_m == pytest.approx(was.value * (1.0 + change), abs=0.001)
    # inverse variance in log space: 4 % of the gaps beside what leg and speed tell
    weight = 0.04**-2 / (0.04**-2 + was.relative_sd**-2)
    assert now.value == pytest.approx(was.value * (1.0 + change) ** weight, rel=1e-3)
    assert now.sd < was.sd
    # how fast they grow is the new run-on's
    assert gaps_of(solve(kept)) == pytest.approx(gaps_of(before), abs=0.01)
    assert 0.0 < kept.adjustment("Wren").gap_change / change < 1.0
    assert gaps_of(solve(kept)) != pytest.approx(gaps_of(notched(0.0)), abs=0.005)


def test_keeping_is_asked_once_and_never_done_unasked():
    solved = notched(0.02)
    asked = gaps_to_keep(solved, "Wren")
    assert str(word(asked)).startswith("keep +2 % as Wren's own?")
    time_s = solved.layings[0].layout.section_time_s
    made = review_athlete(
        solved, "Wren", TimedRuns(times_s=[time_s], timing=Timing.GATES, day=TODAY)
    )
    assert accepted(solved.plan, made, TODAY).athletes[0].kept_step_m is None
    again = solve(gaps_kept(solved, "Wren"))
    assert gaps_to_keep(again, "Wren") is None


@pytest.mark.parametrize(
    "solved",
    [
        notched(0.0),
        notched(0.02, athlete=replace(WREN, top_speed_mps=None, level="club")),
        notched(
            0.02, spec=replace(SPEC, cadence=CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=4.0))
        ),
    ],
    ids=["no notch", "a guess", "a cadence asked for"],
)
def test_gaps_that_tell_of_no_step_are_not_kept(solved):
    assert gaps_to_keep(solved, "Wren") is None
    with pytest.raises(DomainError, match="no gaps of their own to keep"):
        gaps_kept(solved, "Wren")


@pytest.mark.parametrize(
    ("now_mps", "code", "way"),
    [
        (7.9, None, None),
        (8.3, "review-start-moves", "back"),
        (8.5, "review-start-moves-other-foot", "back"),
        (7.2, "review-start-moves-other-foot", "forward"),
        (6.0, "review-start-moves-steps", "forward"),
    ],
)
def test_a_start_mark_that_moves_is_told_with_the_steps_and_the_foot(now_mps, code, way):
    drill = WicketRun(speed_share=0.95, wickets=8)
    before, after = (
        solve(
            Plan(
                title="t",
                athletes=(replace(WREN, top_speed_mps=mps),),
                drill=drill,
                ground=HALL,
            )
        )
        for mps in (7.9, now_mps)
    )
    found = marks_changed(before, after, "Wren")
    if code is None:
        assert found == ()
        return
    (told,) = found
    was, now = (each.layings[0].demands[0] for each in (before, after))
    assert (told.code, told.values["way"]) == (code, way)
    assert told.values["by_m"] == pytest.approx(abs(now.run_on_m - was.run_on_m))
    assert (told.values["was"], told.values["now"]) == (was.run_on_steps, now.run_on_steps)
    assert code.endswith("other-foot") == ((now.run_on_steps - was.run_on_steps) % 2 == 1)
    assert str(word(told))


def test_new_company_over_the_wickets_is_told_with_the_gap_that_is_laid():
    def shared(mps):
        squad = [("A", 6.9), ("B", mps), ("C", 9.0)]
        return solve(
            Plan(
                title="t",
                athletes=tuple(replace(WREN, name=who, top_speed_mps=v) for who, v in squad),
                drill=WicketRun(speed_share=0.95, wickets=8),
                ground=HALL,
                session=SessionPlan(waves=2),
            )
        )

    before, after = shared(7.1), shared(8.8)
    (gap_m,) = (typical_gap_m(e.layout) for e in after.layings if "B" in e.athletes)
    for who, code, names in (("B", "review-shares-with", "C"), ("A", "review-shares-no-more", "")):
        (told,) = (e for e in marks_changed(before, after, who) if "shares" in e.code)
        assert (told.code, told.values["names"]) == (code, names)
        assert str(word(told)).startswith(f"{who}: shares the wickets with {names or 'nobody'} ")
        assert who != "B" or told.values["gap_m"] == pytest.approx(gap_m)
    assert marks_changed(before, before, "B") == ()


def test_gaps_that_are_shared_are_told_where_they_change_otherwise_than_ones_own():
    def shared(mps):
        squad = (("A", mps), ("B", 8.0))
        return solve(
            Plan(
                title="t",
                athletes=tuple(replace(WREN, name=who, top_speed_mps=v) for who, v in squad),
                drill=WicketRun(speed_share=0.95, wickets=8),
                ground=HALL,
                session=SessionPlan(waves=1),
            )
        )

    before, after = shared(8.0), shared(8.3)
    (laid_m,) = {
        round(typical_gap_m(b.layout) - typical_gap_m(a.layout), 2)
        for a, b in zip(before.layings, after.layings, strict=True)
    }
    own_m = [
        typical_gap_m(demand.layout)
        for each in (before, after)
        for demand in each.layings[0].demands
        if demand.athlete.name == "A"
    ]
    assert 0.0 < laid_m < round(own_m[1] - own_m[0], 2)
    for who, other in (("A", "B"), ("B", "A")):
        (told,) = (e for e in marks_changed(before, after, who) if "gaps" in e.code)
        assert str(word(told)) == (
            f"{who}: the gaps, shared with {other}, are laid {100 * laid_m:.0f} cm longer; "
            "they go between all"
        )
    assert marks_changed(before, before, "A") == ()


def test_of_somebody_who_does_not_run_nothing_is_told():
    solved = solve(
        Plan(title="t", athletes=(WREN,), drill=WicketRun(speed_share=0.9, wickets=8), ground=HALL)
    )
    assert marks_changed(solved, solved, "Nobody") == ()
