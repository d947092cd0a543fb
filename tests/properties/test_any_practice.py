"""What must hold for any practice: every drill and ground, lanes, waves, stages and changes."""

from __future__ import annotations

import io
import itertools
import json
import re
import unicodedata
from collections import Counter
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pypdf
import pytest
from hypothesis import assume
from hypothesis import strategies as st
from plans_of_any_kind import GRASS, rounded
from practices_of_any_kind import (
    BROKEN,
    DRILLS,
    FLYING,
    STAGES,
    TAKEOFF_RUNS,
    csv_rows,
    few_and_many,
    for_any,
    practices,
)
from sheet_plans import assert_fits

from wicketlay.drills import BrokenRun, FlyingSegment, TakeoffRun
from wicketlay.drills.cadence import CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.export import as_csv, as_json, as_stages, as_table, as_text, document, schema
from wicketlay.findings import Level, worst
from wicketlay.ground.placing import Direction, Place
from wicketlay.ground.readings import PullDirection, TapeSheet
from wicketlay.ground.standing import pose_of
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeLies, TapeSpec, Tick
from wicketlay.plan import DRILL_KINDS, Adjustment, Plan, SessionPlan, StagePlan
from wicketlay.plan_file import load
from wicketlay.running.athlete import Athlete
from wicketlay.sheets import KINDS, make_pages, write_pdf
from wicketlay.sheets.page.layout import PAPERS as SIZES
from wicketlay.sheets.page.model import Page, Role, Text
from wicketlay.solve import Laying, placed_along, solve
from wicketlay.sources import PENULTIMATE_RATIO
from wicketlay.wording.names import mark_label

LAYOUTS = Path(__file__).parents[2] / "layouts"
SCHEMA = jsonschema.Draft202012Validator(schema())
SERIES = (MarkKind.WICKET, MarkKind.CONE, MarkKind.GATE, MarkKind.LANDING)
PAPERS = st.sampled_from(["a4", "letter", "a5", "phone"])
BARE = {"stages": None, "adjustments": ()}


def series(laying: Laying) -> np.ndarray:
    """Places of everything but start marks, along [m]."""
    return np.array([mark.along_m for mark in laying.layout.of_kind(*SERIES)])


@few_and_many(few=25, many=400)
@for_any(practices())
def test_solving_and_every_way_of_telling_it(plan):
    solved = solve(plan)
    SCHEMA.validate(json.loads(as_json(solved)))
    for told in (as_table(solved), as_stages(solved), as_text(solved)):
        assert all(f"{each.demands[0].athlete.name}" in told for each in solved.layings)
    assert len(as_csv(solved).splitlines()) == 1 + csv_rows(solved)


@few_and_many(few=25, many=400)
@for_any(practices())
def test_marks_come_one_after_the_other_and_gaps_add_up(plan):
    for laying in solve(plan).layings:
        layout = laying.layout
        alongs = [mark.along_m for mark in layout.marks]
        assert alongs == sorted(alongs)
        assert np.all(np.diff(series(laying)) > 0)
        gaps = [mark.gap_m for mark in layout.of_kind(*SERIES) if mark.gap_m is not None]
        if gaps:
            assert sum(gaps) == pytest.approx(layout.section_m, abs=1e-9)
            assert np.diff(series(laying)) == pytest.approx(gaps[-len(series(laying)) + 1 :])
        lies = placed_along(laying.placed)
        chainages = [lies[mark.id] for mark in layout.marks]
        assert np.diff(chainages) == pytest.approx(np.diff(alongs), abs=1e-9)


@few_and_many(few=25, many=400)
@for_any(practices())
def test_every_mark_is_read_once_and_rounded_once(plan):
    for laying in solve(plan).layings:
        if any(f.code == "tape-straight-on-bend" for f in laying.tape.findings):
            continue  # A stop: straight across a whole bend the tape may even read less again.
        zeros = {laying.tape.pulls[0].zero_id}
        read = Counter()
        for pull in laying.tape.pulls:
            assert pull.zero_id in zeros
            ticks = [reading.ticks for reading in pull.readings]
            assert ticks == sorted(ticks)
            reach = pull.readings[-1].ticks * pull.readings[-1].tick.metres
            too_short = any(f.code == "tape-too-short" for f in laying.tape.findings)
            assert reach <= plan.tape.length_m + 1e-9 or too_short
            for reading in pull.readings:
                off = abs(reading.ticks * reading.tick.metres - reading.true_m)
                assert off <= reading.tick.metres / 2 + 1e-9
                zeros.add(reading.mark_id)
                read[reading.mark_id] += reading.mark_id != pull.zero_id
        zero = laying.tape.pulls[0].zero_id
        # Run both ways, a laying has a second start mark beyond its own.
        wanted = {each.mark.id for each in laying.placed.marks} - {zero}
        assert {mark for mark, times in read.items() if times} == wanted
        assert max(read.values()) == 1


def where_read(tape: TapeSheet) -> dict[str, float]:
    """Where each mark lies from the first zero along the run [m], before its reading is rounded.

    A pull that goes on from a mark takes it where its rounded reading put it.
    """
    at = {tape.pulls[0].zero_id: 0.0}
    put = dict(at)
    for pull in tape.pulls:
        sign = 1 if pull.direction is PullDirection.RUNNING else -1
        for each in pull.readings:
            at.setdefault(each.mark_id, put[pull.zero_id] + sign * each.true_m)
            laid = each.ticks * each.tick.metres
            put.setdefault(each.mark_id, put[pull.zero_id] + sign * laid)
    return at


@few_and_many(few=20, many=200)
@for_any(practices(most=2), st.sampled_from([None, "start", "w1", "w3", "line", "cone1", "gate2"]))
def test_another_zero_moves_no_mark(plan, zero):
    # A steel tape in the heat and a tape along paint read otherwise than the run line lies.
    tape = TapeSpec(length_m=100.0, lies=TapeLies.RUN_LINE)
    one = solve(replace(plan, tape=tape)).layings
    other = solve(replace(plan, tape=replace(tape, zero=zero))).layings
    for usual, moved in zip(one, other, strict=True):
        assert moved.layout == usual.layout
        assert moved.placed.marks == usual.placed.marks
        first, second = where_read(usual.tape), where_read(moved.tape)
        ids = [mark.id for mark in usual.layout.marks]
        by = {round(second[i] - first[i], 9) for i in ids}
        assert max(by) - min(by) < 1e-6


@few_and_many(few=20, many=200)
@for_any(practices(most=2), st.sampled_from([Tick.HALF_INCH, Tick.QUARTER_INCH]))
def test_metric_and_feet_are_of_the_same_marks(plan, tick):
    # A tape longer than any run: where one ends a mark may be in reach in one unit only.
    plan = replace(plan, tape=replace(plan.tape, tick=Tick.CM_1, length_m=200.0))
    metric = solve(plan).layings
    feet = solve(replace(plan, tape=replace(plan.tape, tick=tick))).layings
    for one, other in zip(metric, feet, strict=True):
        assert other.layout == one.layout
        assert other.placed.marks == one.placed.marks
        for number, (a, b) in enumerate(zip(one.tape.pulls, other.tape.pulls, strict=True), 1):
            assert (a.zero_id, a.direction) == (b.zero_id, b.direction)
            for x, y in zip(a.readings, b.readings, strict=True):
                assert x.mark_id == y.mark_id
                apart = abs(x.ticks * x.tick.metres - y.ticks * y.tick.metres)
                # Each pull may begin where a mark of the one before it was laid: rounded there.
                assert apart <= number * (x.tick.metres + y.tick.metres) / 2 + 1e-9


@few_and_many(few=20, many=200)
@for_any(practices(ground=GRASS, place=Place(offset_m=120.0)))
def test_the_other_direction_is_the_mirror(plan):
    there = Place(offset_m=GRASS.length_m - 120.0, direction=Direction.AGAINST)
    one, other = (solve(each) for each in (plan, replace(plan, place=there)))
    for with_it, against in zip(one.layings, other.layings, strict=True):
        assert against.layout == with_it.layout
        moves = [(m.mark_id, m.taken_up) for m in with_it.moved]
        assert [(m.mark_id, m.taken_up) for m in against.moved] == moves
        far = [m.by_m or 0.0 for m in with_it.moved]
        assert [m.by_m or 0.0 for m in against.moved] == pytest.approx(far, abs=1e-9)
        one_way, other_way = where_read(with_it.tape), where_read(against.tape)
        assert one_way == pytest.approx(other_way, abs=1e-9)
        for a, b in zip(with_it.placed.marks, against.placed.marks, strict=True):
            assert b.chainage_m == pytest.approx(GRASS.length_m - a.chainage_m, abs=1e-9)
            ways = (pose_of(with_it.placed, a), pose_of(against.placed, b))
            assert np.cos(ways[1].heading_rad - ways[0].heading_rad) == pytest.approx(-1.0)
        codes = [sorted(f.code for f in laying.findings) for laying in (with_it, against)]
        assert codes[0] == codes[1]


# -- what a coach changes --------------------------------------------------------------------------


@few_and_many(few=20, many=200)
@for_any(practices(), rounded(-3.0, 3.0, 2))
def test_a_slide_moves_everything_alike_and_nothing_else(plan, by):
    assume(plan.place.direction is not Direction.BOTH)
    slid = replace(plan, place=replace(plan.place, slide_m=plan.place.slide_m + by))
    for one, other in zip(solve(plan).layings, solve(slid).layings, strict=True):
        was, now = placed_along(one.placed), placed_along(other.placed)
        if not isinstance(plan.drill, TakeoffRun) or plan.drill.room_m is not None:
            assert other.layout == one.layout
            assert [now[i] - was[i] for i in was] == pytest.approx([by] * len(was), abs=1e-6)


@few_and_many(few=20, many=200)
@for_any(
    practices(drills=("wicket-run",), most=1, **BARE), rounded(-0.06, 0.06, 3), rounded(-1, 1, 2)
)
def test_gaps_open_by_the_share_they_are_told_and_w1_stays(plan, change, shift):
    plan = replace(plan, drill=replace(plan.drill, section_m=None, wickets=9))
    name = plan.athletes[0].name
    changed = Adjustment(athlete=name, gap_change=change)
    shifted = replace(changed, start_shift_m=shift)
    was, now, moved = (
        solve(replace(plan, adjustments=each)) for each in ((), (changed,), (shifted,))
    )
    assume(was.layings)
    (was,), (now,), (moved,) = was.layings, now.layings, moved.layings
    assert series(now)[0] == series(was)[0] == series(moved)[0]
    assert np.diff(series(now)) == pytest.approx((1.0 + change) * np.diff(series(was)))
    assert np.array_equal(series(moved), series(now))
    assert now.layout.start.along_m == was.layout.start.along_m
    assert moved.layout.start.along_m == pytest.approx(now.layout.start.along_m + shift)


@few_and_many(few=20, many=150)
@for_any(
    practices(
        drills=("wicket-run",),
        athletes=tuple(
            Athlete(name=name, height_m=1.5 + 0.1 * i, top_speed_mps=6.5 + 0.7 * i)
            for i, name in enumerate("ABCDE")
        ),
        session=SessionPlan(waves=2),
        place=Place(lanes=(1, 2)),
        ground=Strip(lanes=2),
        **BARE,
    ),
    st.sampled_from("ABCDE"),
)
def test_who_is_not_here_moves_nobody_else_to_another_lane_or_wave(plan, away):
    without = replace(plan, adjustments=(Adjustment(athlete=away, absent=True),))
    one, other = (
        {name: (each.lane, each.wave) for each in solved.layings for name in each.athletes}
        for solved in (solve(plan), solve(without))
    )
    assert one.pop(away)
    assert other == one


# -- drill by drill --------------------------------------------------------------------------------


@few_and_many(few=20, many=200)
@for_any(practices(drills=("takeoff-run",)))
def test_every_approach_ends_behind_the_line_on_the_takeoff_foot(plan):
    judged = plan.judgement
    for laying in solve(plan).layings:
        (demand,) = laying.demands
        landings = demand.layout.landings
        toe = plan.drill.toe_behind_line_m
        toe = float(judged.toe_behind_line_m) if toe is None else toe
        assert landings[-1].along_m == pytest.approx(-toe, abs=1e-9)
        steps = np.diff([landing.along_m for landing in landings])
        assert np.all(steps > 0)
        ratio = plan.drill.penultimate_ratio or float(PENULTIMATE_RATIO)
        assert steps[-2] / steps[-1] == pytest.approx(ratio)
        foot = plan.drill.takeoff_foot or demand.athlete.takeoff_foot
        if foot is not None:
            feet = [landing.foot for landing in landings]
            assert feet[-1] is foot
            assert all(a is b.other for a, b in itertools.pairwise(feet))
            assert feet[0] is demand.front_foot.other


@few_and_many(few=20, many=200)
@for_any(practices(drills=("flying", "broken-run", "acceleration"), **BARE))
def test_times_rise_along_the_run_and_speeds_are_possible(plan):
    for laying in solve(plan).layings:
        for demand in laying.demands:
            times = [mark.time_s for mark in demand.layout.marks]
            assert all(a < b for a, b in itertools.pairwise(times))
            speeds = [mark.speed_mps for mark in demand.layout.marks]
            assert max(speeds) <= demand.runner.top_speed.value + 1e-9
        if isinstance(plan.drill, FlyingSegment):
            assert laying.layout.section_m == plan.drill.zone_m
        if isinstance(plan.drill, BrokenRun):
            assert series(laying) == pytest.approx(np.cumsum(plan.drill.parts_m))


KNOWN = st.builds(
    Athlete,
    name=st.just("A"),
    height_m=rounded(1.5, 1.95, 2),
    top_speed_mps=rounded(5.0, 10.5),
    time_constant_s=rounded(0.9, 1.3, 2),
)


def on_grass(athlete: Athlete, drill) -> Laying:
    solved = solve(Plan(title="T", athletes=(athlete,), drill=drill, ground=Strip(), place=Place()))
    assert solved.layings
    return solved.layings[0]


@few_and_many(few=25, many=300)
@for_any(KNOWN, FLYING | BROKEN, rounded(0.01, 1.5))
def test_the_faster_are_sooner_everywhere(athlete, drill, more):
    if isinstance(drill, FlyingSegment):
        drill = replace(drill, run_on_m=drill.run_on_m or 30.0)
    faster = replace(athlete, top_speed_mps=athlete.top_speed_mps + more)
    one, other = on_grass(athlete, drill), on_grass(faster, drill)
    assert other.layout.section_time_s < one.layout.section_time_s
    after = zip(one.layout.marks[1:], other.layout.marks[1:], strict=True)
    assert all(b.time_s < a.time_s and b.speed_mps > a.speed_mps for a, b in after)


@few_and_many(few=25, many=300)
@for_any(KNOWN, TAKEOFF_RUNS, rounded(0.01, 1.5))
def test_the_faster_have_no_shorter_gaps_on_the_way_to_the_board(athlete, drill, more):
    # With the steps left free the faster may take another number of them.
    drill = replace(drill, approach_steps=drill.approach_steps or 20, cadence=CadenceTarget())
    faster = replace(athlete, top_speed_mps=athlete.top_speed_mps + more)
    one, other = (on_grass(each, drill) for each in (athlete, faster))
    assert len(one.layout.landings) == len(other.layout.landings)
    assert np.all(np.diff(series(other)) >= np.diff(series(one)) - 1e-9)
    assert other.layout.start.along_m <= one.layout.start.along_m + 1e-9


# -- stages ----------------------------------------------------------------------------------------


@few_and_many(few=20, many=150)
@for_any(practices(drills=("wicket-run", "takeoff-run")), STAGES)
def test_no_stage_is_off_by_more_than_its_tolerance(plan, stages):
    followed = solve(replace(plan, stages=stages))
    exact = solve(replace(plan, stages=replace(stages, tolerance_m=0.0)))
    assert len(followed.layings) == len(exact.layings)
    assert len({(each.lane, each.wave) for each in followed.layings}) * stages.count == len(
        followed.layings
    )
    for laid, true in zip(followed.layings, exact.layings, strict=True):
        if series(laid).size != series(true).size:
            continue
        held = 1 if stages.hold == "w2" and series(laid).size > 1 else 0
        off = series(laid) - series(true)
        at_the_board = laid.layout.drill == "takeoff-run"  # held at its line, not at a wicket
        off = off if at_the_board else off - off[held]
        assert np.abs(off).max() <= stages.tolerance_m + 1e-6
        assert np.abs(np.diff(off)).max(initial=0.0) <= stages.tolerance_m + 1e-6
        # From wave to wave of the first stage marks are moved whatever is held.
        if laid.stage > 1 and not laid.laid_anew and not at_the_board:
            assert stages.hold not in {move.mark_id for move in laid.followed}


# -- paper -----------------------------------------------------------------------------------------


def rows_of(page: Page) -> list[tuple[str, str]]:
    """Mark and reading of each row of a tape table, from the top down."""
    rows: dict[float, tuple[list[Text], list[Text]]] = {}
    for item in page.items:
        if isinstance(item, Text) and item.role in {Role.MARK, Role.READING}:
            rows.setdefault(round(item.y_mm, 6), ([], []))[item.role is Role.READING].append(item)
    found = []
    for _, (marks, readings) in sorted(rows.items()):
        if readings:
            (mark,) = marks
            # A reading in feet is set piece by piece, its units smaller.
            pieces = sorted(readings, key=lambda text: text.x_mm - (text.align != "left") * 1e-3)
            read = unicodedata.normalize("NFKC", " ".join(piece.text for piece in pieces))
            found.append((mark.text, read.replace("\N{FRACTION SLASH}", "/")))
    return found


def rows_wanted(laying: dict) -> list[tuple[str, str]]:
    """Mark and reading of each row that a laying of the JSON should have on paper."""
    pulls = laying["tape"]["pulls"]
    return [
        (mark_label(reading["mark"]), reading["shown"])
        for pull in pulls
        for reading in pull["readings"]
        if reading["mark"] != pull["zero"] or (pull is pulls[0] and pull["zero"] != "line")
    ]


@few_and_many(few=25, many=150)
@for_any(practices(), PAPERS)
def test_the_rows_of_paper_are_the_readings_of_the_json(plan, paper):
    solved = solve(plan)
    stops = worst(solved.findings) is Level.STOP
    now = 1 if plan.stages is None else plan.stages.now
    told = [each for each in document(solved)["layings"] if each["stage"] == now]
    sheets = [s for s in make_pages(solved, only=["tape"], paper=paper) if s.kind == "tape"]
    assert len(sheets) == len(told)
    # Sheets stand in the order they are laid, and of two waves they may show the same rows.
    printed = Counter(
        tuple(sorted(row for page in sheet.pages for row in rows_of(page))) for sheet in sheets
    )
    layings = [each for each in told if all(f["level"] != "stop" for f in each["findings"])]
    wanted = Counter(tuple(sorted(rows_wanted(each))) for each in layings)
    wanted[()] += len(told) - len(layings)
    if stops:
        printed -= wanted
        assert set(printed) <= {()}
        return
    assert printed == wanted
    for laying in layings:
        # Each mark's own `shown` is the reading of one of its rows.
        rows = rows_wanted(laying)
        assert all(
            (mark_label(mark["id"]), mark["shown"]) in rows
            for mark in laying["marks"]
            if mark["shown"] is not None
        )


@few_and_many(few=6, many=60)
@for_any(practices(most=3), PAPERS)
def test_every_sheet_of_any_practice_fits_its_paper_and_can_be_drawn(plan, paper):
    document = make_pages(solve(plan), only=KINDS, paper=paper)
    for sheet in document:
        assert_fits(sheet, SIZES[paper])
    stream = io.BytesIO()
    pages = write_pdf(document, stream)
    assert pages >= 1
    assert stream.getvalue().startswith(b"%PDF-")


UNITS = {"m", "cm", "s", "ft", "in", "min", "h", "m/s", "mph", "%", "steps/s", "½", "¼", "¾", "±"}


@few_and_many(few=6, many=60)
@for_any(practices(most=3), PAPERS)
def test_in_the_text_of_a_pdf_no_number_ends_a_line_and_its_unit_begins_the_next(plan, paper):
    stream = io.BytesIO()
    write_pdf(make_pages(solve(plan), only=KINDS, paper=paper), stream)
    for page in pypdf.PdfReader(stream).pages:
        told: list[tuple[str, float, float]] = []
        page.extract_text(
            visitor_text=lambda text, _cm, tm, _font, _size, told=told: told.append(
                (text.strip(), round(tm[4], 2), tm[5])
            )
        )
        lines = [each for each in told if each[0]]
        for (above, x, y), (below, left, lower) in itertools.pairwise(lines):
            if x == left and 0.0 < y - lower < 40.0:
                begun = below.split(" ")[0].rstrip(".,;:)")
                ends = re.search(r"(?:[\d.½¼¾]|±)$", above)
                assert not (ends and begun in UNITS), (above, below)


def test_all_drills_are_among_the_practices():
    assert set(DRILLS) == set(DRILL_KINDS.values())


def test_a_shared_section_told_by_length_goes_through_stages():
    plan = load(LAYOUTS / "shared-lanes.toml")
    drill = replace(plan.drill, wickets=None, section_m=20.0)
    stages = StagePlan(from_share=0.8, to_share=0.95, count=3)
    solved = solve(replace(plan, drill=drill, stages=stages))
    first = [each for each in solved.layings if each.stage == 1]
    assert any(len(each.athletes) > 1 for each in first)
    for laying in first:
        gap = max(mark.gap_m for mark in laying.layout.of_kind(MarkKind.WICKET)[1:])
        assert abs(laying.layout.section_m - 20.0) <= gap / 2
    for laying in solved.layings:
        same = next(each for each in first if each.athletes == laying.athletes)
        assert series(laying).size == series(same).size


def test_a_plan_of_which_nobody_is_here_is_stopped_and_has_a_page():
    plan = load(LAYOUTS / "fixed-cadence.toml")
    away = tuple(Adjustment(athlete=each.name, absent=True) for each in plan.athletes)
    solved = solve(replace(plan, adjustments=away))
    assert not solved.layings
    assert [finding.code for finding in solved.findings] == ["nobody-here"]
    assert write_pdf(make_pages(solved), io.BytesIO()) == 1
