"""Stages, squad, session and progress: what was solved, where it is looked for."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest
from golden_plans import PLANS, RECORD, WOMAN
from sheet_plans import (
    NAMES,
    PAPERS,
    case,
    rows_of,
    sheets_of,
    solved,
    squad,
    texts,
    with_plan,
    words,
)

from wicketlay.findings import Level
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.review.progress import progress
from wicketlay.running.facts import BoardMisses
from wicketlay.session.schedule import EventKind
from wicketlay.sheets import KINDS, make_pages
from wicketlay.sheets.page.model import Ink, Path, Rect, Role
from wicketlay.sheets.session import bouts, clock_text
from wicketlay.solve import solve
from wicketlay.units import format_duration, format_ticks
from wicketlay.wording import word
from wicketlay.wording.names import mark_label, move_way


def _rows(sheet):
    return [row for page in sheet.pages for row in rows_of(page, tolerance_mm=1.2)]


# -- stages -----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["season-stages", "season in feet"])
def test_now_and_next_stand_side_by_side_with_the_move_between_them(name, paper):
    what = case(name)
    now = what.plan.stages.now
    here, coming = (x for x in what.layings if x.stage in {now, now + 1})
    (sheet,) = sheets_of(name, paper, ("stages",))
    unit = "feet" if "feet" in name else "metric"
    moves = {m.mark_id: m.shown_m for m in coming.followed}
    large = [
        [t for t in rows if t] for page in sheet.pages for rows in rows_of(page, tolerance_mm=1.2)
    ]
    for mark in here.layout.marks:
        shown = [
            format_ticks(x.tape.reading(mark.id)[1].ticks, x.tape.reading(mark.id)[1].tick)
            for x in (here, coming)
        ]
        label = mark_label(mark.id)
        found = [" ".join(row) for row in large if row[0] == label]
        joined = [f" {line} " for line in found]
        told = move_way(moves[mark.id], unit) if mark.id in moves else "stays"
        if paper == "phone":
            # No room beside two readings: the move stands below them.
            at = next(i for i, r in enumerate(large) if " ".join(r) == " ".join([label, *shown]))
            assert told in " ".join(large[at + 1])
            continue
        assert any(
            line.startswith(f" {label} {shown[0]} {shown[1]} ") and told in line for line in joined
        ), (label, shown, told, joined)


@pytest.mark.parametrize("paper", PAPERS)
def test_readings_of_the_next_stage_are_bold_where_a_mark_moves_and_nowhere_else(paper):
    what = case("season-stages")
    now = what.plan.stages.now
    coming = next(x for x in what.layings if x.stage == now + 1)
    (sheet,) = sheets_of("season-stages", paper, ("stages",))
    seen = {}
    for page in sheet.pages:
        items = [t for t in texts(page) if t.role in {Role.MARK, Role.MARK_PLAIN}]
        names = [t for t in texts(page) if t.role is Role.FIGURE_STRONG]
        for name in names:
            row = [t for t in items if abs(t.y_mm - name.y_mm) < 1.2]
            first, last = sorted(row, key=lambda t: t.x_mm)
            assert first.role is Role.MARK_PLAIN
            seen[name.text] = last.role is Role.MARK
    moved = {m.mark_id for m in coming.followed}
    assert seen == {mark_label(m.id): m.id in moved for m in coming.layout.marks}
    assert 0 < sum(seen.values()) < len(seen)


@pytest.mark.parametrize("name", ["shared-lanes", "tuesday-wickets"])
@pytest.mark.parametrize("now", [1, 3])
def test_a_stages_sheet_tells_of_the_athletes_of_its_lane_and_wave_and_of_nobody_else(name, now):
    stages = replace(solved("season-stages").plan.stages, now=now)
    what = with_plan(solved(name), stages=stages)
    everybody = {each.name for each in what.plan.athletes}
    sheets = list(make_pages(what, only=("stages",)))
    told = [{name for name in everybody if name in words(sheet)} for sheet in sheets]
    layings = [x for x in what.layings if x.stage == now]
    assert sorted(map(sorted, told)) == sorted(sorted(each.athletes) for each in layings)
    for here in layings:
        series = [x for x in what.layings if (x.lane, x.wave) == (here.lane, here.wave)]
        assert {x.athletes for x in series} == {here.athletes}


@pytest.mark.parametrize("paper", PAPERS)
def test_stages_with_many_marks_stand_evenly_on_their_pages(paper):
    base = solved("season-stages")
    what = with_plan(
        base,
        drill=replace(base.plan.drill, section_m=None, wickets=27),
        ground=Strip(),
        place=Place(),
        kit=replace(base.plan.kit, wickets=30),
        stages=replace(base.plan.stages, count=9),
    )
    (sheet,) = (s for s in make_pages(what, only=("stages",), paper=paper))
    tops = Counter(
        (number, t.y_mm)
        for number, page in enumerate(sheet.pages)
        for t in texts(page)
        if re.fullmatch(r"\d: [\d.]+ %", t.text)
    )
    across = list(tops.values())
    assert max(across, default=9) - min(across, default=9) <= 1
    moved = [
        sum(t.role in {Role.MARK, Role.MARK_PLAIN} for t in texts(p)) // 2 for p in sheet.pages
    ]
    whole = [each for each in moved if each > 1]
    assert sum(moved) == 28
    # The first page has the lead above its rows, and rows are parted after fives: the last one
    # is W5 to W2, since W1 stays and stands first.
    assert max(whole[1:], default=0) - min(whole[1:], default=0) <= 6


def test_the_series_shows_every_reading_of_every_stage_with_a_star_where_a_mark_moves():
    what = solved("season-stages")
    (sheet,) = sheets_of("season-stages", "a4", ("stages",))
    rows = _rows(sheet)
    for mark in what.layings[0].layout.marks:
        wanted = []
        for laying in what.layings:
            reading = laying.tape.reading(mark.id)[1]
            wanted.append(format_ticks(reading.ticks, reading.tick))
            if any(m.mark_id == mark.id for m in laying.followed) and laying.stage > 1:
                wanted.append("*")
        assert any(row[1:] == wanted for row in rows if row[0].startswith(mark_label(mark.id)))


def test_the_last_stage_has_no_next():
    base = solved("season-stages")
    last = with_plan(base, stages=replace(base.plan.stages, now=base.plan.stages.count))
    (sheet,) = make_pages(last, only=("stages",))
    assert "There is no next stage" in words(sheet)
    assert "to get there" not in words(sheet)


# -- squad ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["shared-lanes", "shared with hard names", "tuesday-wickets"])
def test_everybody_stands_with_lane_mark_order_and_mismatch(name):
    what = case(name)
    (sheet,) = sheets_of(name, "a4", ("squad",))
    rows = _rows(sheet)
    order = {who: str(i) for i, who in enumerate(what.session.order, start=1)}
    loads = {load.athlete: load for load in what.session.loads}
    for laying in what.layings:
        for demand in laying.demands:
            who = demand.athlete.name
            row = next(r for r in rows if r[0] == order[who])
            assert str(laying.lane) in row
            assert mark_label(demand.start_id) in row
            assert format_duration(loads[who].recovery_s) in row
            share = abs(round(demand.mismatch * 100, 1))
            assert any(cell.endswith(f"{share:g} %") for cell in row), (row, share)
    text = words(sheet).replace(" ", "")
    assert all(who.replace(" ", "") in text for who in order)


def test_waves_have_their_own_heading():
    (sheet,) = sheets_of("tuesday-wickets", "a4", ("squad",))
    heads = [t.text for p in sheet.pages for t in texts(p) if t.role is Role.HEADING]
    assert [h.split(" · ")[0] for h in heads] == ["Wave 1", "Wave 2", "Wave 3"]


def test_who_is_absent_is_told():
    from wicketlay import edits

    base = solved("shared-lanes")
    name = base.plan.athletes[0].name
    changed = edits.set_absent(base.plan, name, absent=True).plan
    (sheet,) = make_pages(with_plan(base, adjustments=changed.adjustments), only=("squad",))
    assert f"Not here today: {name}." in words(sheet)


@pytest.mark.parametrize("kind", ["squad", "practice"])
def test_who_has_no_marks_is_told_with_the_reason(kind):
    base = solved("tuesday-wickets")
    first, *others = base.plan.athletes
    unknown = replace(first, name="Nobody", top_speed_mps=None, flying=None, splits=None)
    what = with_plan(base, athletes=(replace(unknown, observations=()), *others))
    sheet = next(s for s in make_pages(what, only=(kind, "tape")) if s.kind == kind)
    (finding,) = (f for f in what.findings if f.athlete == "Nobody" and f.level is Level.STOP)
    assert f"No marks: Nobody ({word(finding).text})." in words(sheet)
    assert "see the" not in words(sheet)


# -- session ----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["shared-lanes", "tuesday-wickets", "hard names"])
def test_every_run_and_every_move_has_its_time_and_its_box(name, paper):
    what = case(name)
    (sheet,) = sheets_of(name, paper, ("session",))
    times = [t.text for p in sheet.pages for t in texts(p) if re.fullmatch(r"\d+:\d\d", t.text)]
    assert times == [clock_text(event.start_s) for event in what.session.events]
    boxes = [i for p in sheet.pages for i in p.items if isinstance(i, Rect) and i.width_mm == 4.2]
    assert len(boxes) == len(what.session.events)


def test_bouts_keep_the_order_of_time():
    events = solved("tuesday-wickets").session.events
    assert [e for bout in bouts(events) for e in bout] == list(events)
    for bout in bouts(events):
        assert len(bout) == 1 or all(e.kind is EventKind.RUN for e in bout)


@pytest.mark.parametrize(("minutes", "said"), [(60, "it fits"), (20, "DOES NOT FIT")])
def test_the_session_says_whether_it_fits(minutes, said):
    base = solved("shared-lanes")
    what = with_plan(base, session=replace(base.plan.session, length_s=60.0 * minutes))
    (sheet,) = make_pages(what, only=("session",))
    assert said in words(sheet)
    if minutes == 20:
        assert "CAUTION" in words(sheet)


# -- progress ---------------------------------------------------------------------------------


def _bram():
    return next(a for a in solved("shared-lanes").plan.athletes if a.name == "Bram")


@pytest.mark.parametrize("paper", PAPERS)
def test_progress_has_a_row_a_day_and_three_charts(paper):
    what = solved("shared-lanes")
    made = progress(_bram(), speed_share=what.plan.drill.speed_share)
    sheets = sheets_of("shared-lanes", paper, ("progress",))
    sheet = next(s for s in sheets if s.title.endswith("Bram"))
    rows = _rows(sheet)
    for row in made.rows:
        if row.date is None:
            continue
        wanted = {f"{row.top_speed.value:.2f} m/s", f"{row.gap.value:.2f} m"}
        if paper == "phone":
            # Too narrow for columns: the day, and below it what its titles say.
            at = rows.index([str(row.date)])
            assert all(any(text in " ".join(r) for r in rows[at : at + 5]) for text in wanted), row
            continue
        assert any(r[0] == str(row.date) and wanted <= set(r) for r in rows), row
    for title in ("top speed, m/s", "top cadence, steps/s", "gap, cm"):
        assert title in words(sheet)
    assert "Not to scale" in words(sheet)


def test_the_band_of_a_chart_is_one_sd_on_the_scale_of_its_axis():
    what = solved("shared-lanes")
    made = progress(_bram(), speed_share=what.plan.drill.speed_share)
    sheet = next(
        s for s in sheets_of("shared-lanes", "a4", ("progress",)) if s.title.endswith("Bram")
    )
    page = sheet.pages[0]
    band = next(i for i in page.items if isinstance(i, Path) and i.fill is Ink.TINT)
    labels = [
        (float(t.text), t.y_mm)
        for t in texts(page)
        if t.role is Role.LABEL and re.fullmatch(r"\d+\.\d", t.text) and t.x_mm < 30.0
    ]
    (v1, y1), (v2, y2) = labels[0], labels[-1]
    per = (y2 - y1) / (v2 - v1)
    series = made.series[0]
    half = len(band.points_mm) // 2
    for i, (high, low) in enumerate(zip(series.high, series.low, strict=True)):
        top, bottom = band.points_mm[i][1], band.points_mm[-1 - i][1]
        assert bottom - top == pytest.approx((low - high) * per, abs=0.1)
    assert half == len(series.days)


def test_what_the_board_asks_for_stands_in_the_box_on_top_and_nowhere_else():
    told = BoardMisses(date=RECORD[0].date, misses_m=(0.2, 0.3, 0.25))
    jumper = replace(WOMAN, observations=RECORD, at_board=(told,))
    what = solve(replace(PLANS["take-off run"], athletes=(jumper,)))
    (sheet,) = make_pages(what, only=("progress",))
    said = "Slide all marks 24 cm back, no gap changes"
    (slide,) = (t for t in texts(sheet.pages[0]) if t.text.startswith(said))
    (board,) = (t for t in texts(sheet.pages[0]) if t.text == "At the board")
    assert slide.y_mm < 60.0 < board.y_mm
    assert words(sheet).count(said) == 1


def test_one_day_is_a_sheet_only_when_it_is_asked_for():
    once = replace(WOMAN, name="Once", observations=RECORD[:1])
    what = solve(replace(PLANS["wickets"], athletes=(WOMAN, once)))
    unasked = [s.title for s in make_pages(what, only=KINDS) if s.kind == "progress"]
    asked = [s.title for s in make_pages(what, only=("progress",))]
    assert unasked == ["progress sheet, Mira"]
    assert asked == ["progress sheet, Mira", "progress sheet, Once"]


def test_an_athlete_without_a_dated_record_has_no_progress():
    titles = [s.title for s in make_pages(squad(), only=("progress",))]
    assert len(titles) == 1
    assert titles[0].endswith(NAMES["Odalys"])
