"""Where everybody runs over the same marks they are laid once and run in turn."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest

from wicketlay import edits
from wicketlay.drills import AccelerationMarks, BrokenRun, FlyingSegment, WicketRun
from wicketlay.drills.marks import MarkKind
from wicketlay.export import as_table, document
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.lanes.closing import section_shown_m
from wicketlay.plan import Plan, SessionPlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import Athlete, Foot
from wicketlay.session.session import EventKind
from wicketlay.sheets.document import make_pages
from wicketlay.solve import letters_of, solve
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"
NAMES = ("Ada", "Bea", "Cleo", "Dana", "Ewa", "Finn", "Gus", "Hana", "Ivo")


def nine(drill=None, lanes=(1,), **session) -> Plan:
    return Plan(
        title="Nine in turn",
        athletes=tuple(
            Athlete(
                name=name,
                height_m=1.6 + 0.04 * i,
                top_speed_mps=7.4 + 0.3 * i,
                time_constant_s=1.1,
            )
            for i, name in enumerate(NAMES)
        ),
        drill=FlyingSegment() if drill is None else drill,
        ground=Strip(length_m=200.0, lanes=4),
        place=Place(lanes=lanes, offset_m=60.0),
        session=SessionPlan(efforts=4, length_s=75 * 60.0, **session),
    )


def told_in(item) -> bool:
    return bool(getattr(item, "text", ""))


def starts(laying) -> list[str]:
    return [mark.label for mark in laying.layout.of_kind(MarkKind.START)]


def test_a_flying_zone_of_nine_is_one_laying_with_nine_lettered_start_marks():
    solved = solve(nine())
    (laying,) = solved.layings
    assert (laying.lane, laying.wave, laying.athletes) == (1, 1, NAMES)
    assert sorted(starts(laying)) == list("ABCDEFGHI")
    assert len(laying.layout.of_kind(MarkKind.GATE)) == 2
    alone = {
        name: solve(replace(nine(), athletes=(athlete,))).layings[0].layout.run_on_m
        for name, athlete in zip(NAMES, nine().athletes, strict=True)
    }
    for demand in laying.demands:
        assert laying.layout.mark(demand.start_id).along_m == -alone[demand.athlete.name]
        assert demand.run_on_m == alone[demand.athlete.name]


def test_recoveries_decide_the_order_of_a_rotation_and_nobody_grows_cold():
    session = solve(nine()).session
    assert session is not None
    runs: dict[str, list] = {}
    for event in session.events:
        if event.kind is EventKind.RUN:
            runs.setdefault(event.athlete, []).append(event)
    recovery = {load.athlete: load.recovery_s for load in session.loads}
    for name, own in runs.items():
        waits = [b.start_s - a.end_s for a, b in itertools.pairwise(own)]
        assert min(waits) >= recovery[name] - 1e-9
        assert max(waits) < 1.5 * recovery[name]
    assert session.marks_moved == 0
    assert session.fits
    assert "long-wait" not in {finding.code for finding in session.findings}


def test_two_lanes_double_the_rotation():
    one, two = (solve(nine(lanes=lanes)) for lanes in ((1,), (1, 3)))
    assert [each.athletes for each in two.layings] == [NAMES[::2], NAMES[1::2]]
    quick = replace(nine(), session=SessionPlan(efforts=4, recovery_s=0.0))
    apart = replace(quick, place=replace(quick.place, lanes=(1, 3)))
    totals = []
    for plan in (quick, apart):
        session = solve(plan).session
        assert session is not None
        totals.append(session.total_s - session.laying_s)
    assert totals[1] == pytest.approx(totals[0] / 2, rel=0.2)
    assert one.session is not None
    assert two.session is not None
    assert two.session.total_s <= one.session.total_s + 1e-9


def test_a_broken_run_with_the_same_cones_starts_everybody_at_one_mark():
    (laying,) = solve(nine(BrokenRun())).layings
    assert laying.athletes == NAMES
    assert [mark.id for mark in laying.layout.marks] == ["start", "cone1", "cone2", "cone3"]
    assert starts(laying) == [""]


def test_a_start_mark_moved_for_one_is_lettered_for_all():
    plan = edits.shift_start(nine(BrokenRun()), "Bea", 0.5).plan
    (laying,) = solve(plan).layings
    assert sorted(starts(laying)) == list("ABCDEFGHI")
    bea = next(each for each in laying.demands if each.athlete.name == "Bea")
    assert laying.layout.mark(bea.start_id).along_m == 0.5
    assert bea.run_on_m == 19.5


def test_a_section_from_a_start_mark_is_told_from_each_ones_own():
    moved = edits.shift_start(nine(BrokenRun()), "Bea", -2.0).plan
    solved = solve(moved)
    (laying,) = solved.layings
    letters = {each.athlete.name: each.letter for each in laying.demands}
    told_m = {name: 62 if name == "Bea" else 60 for name in NAMES}
    for demand in laying.demands:
        assert section_shown_m(laying, demand) == demand.layout.section_m
        assert demand.layout.section_m == told_m[demand.athlete.name]
    table = as_table(solved)
    lines = {line.split(" ")[0]: line for line in table.splitlines() if "from START" in line}
    for name, length in told_m.items():
        assert f"from START {length}.00 m in" in lines[name]
    told = document(solved)["layings"][0]
    assert told["figures_of"] != "Bea"
    assert told["section_shown_m"] == told["section_m"] == 60.0
    tape, *coachs = (
        " ".join(item.text for page in sheet.pages for item in page.items if told_in(item))
        for sheet in make_pages(solved, only=("tape", "coach"))
    )
    for name, length in told_m.items():
        ends = f"{letters[name]} to C3"
        assert f"{ends} = {length}.00 m" in tape
        assert [f" {ends} {length}.00 m" in coach for coach in coachs].count(True) == 1


@pytest.mark.parametrize("drill", [BrokenRun(), FlyingSegment(run_on_m=30.0)])
def test_the_foot_in_front_is_told_where_it_is_known_and_of_a_shared_mark_where_it_is_one(drill):
    plan = nine(drill)
    lefts = tuple(replace(each, front_foot=Foot.LEFT) for each in plan.athletes)
    some = (*lefts[:1], *plan.athletes[1:])
    for athletes, foot in ((plan.athletes, None), (lefts, Foot.LEFT), (some, None)):
        solved = solve(replace(plan, athletes=athletes))
        (laying,) = solved.layings
        assert laying.layout.start.foot is foot
        assert [each.front_foot for each in laying.demands] == [a.front_foot for a in athletes]
        (alone,) = solve(replace(plan, athletes=athletes[:1])).layings
        assert alone.layout.start.foot is athletes[0].front_foot


def test_marks_of_ones_own_steps_are_laid_for_each_alone():
    assert len(solve(nine(AccelerationMarks())).layings) == len(NAMES)


def test_waves_are_for_wickets_and_it_is_said():
    solved = solve(nine(waves=3))
    assert len(solved.layings) == 1
    (finding,) = [f for f in solved.findings if f.code == "one-laying-for-all"]
    assert "3 waves are not needed" in word(finding).text


def test_who_stays_away_moves_no_mark_of_the_others():
    before = solve(nine(lanes=(1, 3)))
    after = solve(edits.set_absent(nine(lanes=(1, 3)), "Cleo", absent=True).plan)
    for was, now in zip(before.layings, after.layings, strict=True):
        moved = [each.mark_id for each in edits.moved_marks(was, now)]
        assert moved == (["start-c"] if "Cleo" in was.athletes else [])


@pytest.mark.parametrize(
    "plan", [nine(), nine(lanes=(1, 3)), nine(BrokenRun())], ids=["flying", "two lanes", "broken"]
)
def test_nine_in_turn_are_at_most_six_pages(plan):
    pages = sum(len(sheet.pages) for sheet in make_pages(solve(plan)))
    assert 2 <= pages <= 6


def test_the_flying_layout_lays_its_zone_once():
    plan = load(LAYOUTS / "flying-20.toml")
    (laying,) = solve(plan).layings
    assert set(laying.athletes) == {athlete.name for athlete in plan.athletes}
    assert [d.letter for d in laying.demands] == [letters_of(plan)[n] for n in laying.athletes]


def test_a_session_too_long_is_told_what_a_lane_more_saves():
    plan = replace(nine(), session=SessionPlan(efforts=6, recovery_s=0.0, length_s=20 * 60.0))
    now = solve(plan)
    (said,) = [f for f in now.findings if f.code == "session-shorter-lanes"]
    lanes = tuple(int(lane) for lane in said.values["given"].split(", "))
    more = solve(replace(plan, place=replace(plan.place, lanes=lanes)))
    saved_s = now.session.total_s - more.session.total_s
    assert said.values["saved_duration_s"] == pytest.approx(saved_s)
    assert (said.values["enough"] == "it fits then") is more.session.fits
    assert said in now.session.findings


def waves_of_nine(**session):
    drill = WicketRun(speed_share=0.92, wickets=8)
    plan = nine(drill, lanes=(3,))
    asked = SessionPlan(efforts=4, length_s=25 * 60.0, **session)
    return replace(plan, kit=replace(plan.kit, wickets=30), session=asked)


def test_a_lane_more_takes_as_many_to_a_lane_as_now_where_fewer_waves_save_more():
    plan = waves_of_nine(waves=4)
    now = solve(plan)
    (said,) = [f for f in now.session.ways if f.code == "session-shorter-lanes"]
    lanes, _, waves = said.values["given"].partition(" in ")
    assert waves == "2 waves"
    place = replace(plan.place, lanes=tuple(int(lane) for lane in lanes.split(", ")))
    more = solve(replace(plan, place=place, session=replace(plan.session, waves=2)))
    saved_s = now.session.total_s - more.session.total_s
    assert said.values["saved_duration_s"] == pytest.approx(saved_s)


def test_on_paper_what_would_make_it_fit_stands_once_below_the_verdict():
    plan = replace(nine(), session=SessionPlan(efforts=6, recovery_s=0.0, length_s=20 * 60.0))
    (sheet,) = make_pages(solve(plan), only=("practice",))
    texts = [getattr(item, "text", "") for page in sheet.pages for item in page.items]
    told = [at for at, text in enumerate(texts) if "would save" in text]
    verdict = next(at for at, text in enumerate(texts) if "DOES NOT FIT" in text)
    athletes = texts.index("athlete")
    assert len(told) == len(solve(plan).session.ways) > 1
    assert all(verdict < at < athletes for at in told)
