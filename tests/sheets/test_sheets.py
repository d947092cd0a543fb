"""Tape sheet, coach sheet and change card: what stands on them, and where."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from sheet_plans import (
    CASES,
    NAMES,
    PAPERS,
    alike,
    case,
    in_half_inches,
    left_mm,
    readings_on,
    renamed,
    sheets_of,
    solved,
    squad,
    texts,
    with_plan,
    words,
)

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import UsageError
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.lanes.closing import closing_check, hurdles_of
from wicketlay.lanes.notch import gap_changes
from wicketlay.sheets import KINDS, make_pages
from wicketlay.sheets.change_card import STEPS
from wicketlay.sheets.page.model import Line, Role
from wicketlay.solve import solve
from wicketlay.units import format_ticks
from wicketlay.wording.names import mark_label

SOME = [
    pytest.param(
        name, paper, id=f"{name}-{paper}", marks=() if index % 3 == at else pytest.mark.slow
    )
    for index, name in enumerate(CASES)
    for at, paper in enumerate(PAPERS)
]


def _sheets(what, **options):
    """The sheets of a plan, without the blank page that keeps the roles apart."""
    return [each for each in make_pages(what, **options) if each.kind != "blank"]


@pytest.mark.parametrize(("name", "paper"), SOME)
def test_every_reading_stands_beside_its_mark_as_the_tape_says(name, paper):
    what = case(name)
    stages = what.plan.stages
    layings = [each for each in what.layings if stages is None or each.stage == stages.now]
    sheets = sheets_of(name, paper, ("tape",))
    assert len(sheets) == len(layings)
    # sheets come in the order they are laid, which is not that of the layings
    printed = [sorted(row for page in sheet.pages for row in readings_on(page)) for sheet in sheets]
    expected = [
        sorted(
            (mark_label(reading.mark_id), format_ticks(reading.ticks, reading.tick))
            for pull in laying.tape.pulls
            for reading in pull.readings
            if reading.mark_id != pull.zero_id or (pull.number == 1 and pull.zero_id != "line")
        )
        for laying in layings
    ]
    assert sorted(printed) == sorted(expected)


@pytest.mark.parametrize("name", ["shared-lanes", "shared in feet", "feet-and-inches"])
def test_what_moves_away_from_the_zero_is_moved_last_and_the_farthest_first(name):
    moved = 0
    for laying, sheet in zip(case(name).layings, sheets_of(name, "a4", ("tape",)), strict=True):
        printed = [row[0] for page in sheet.pages for row in readings_on(page)]
        outwards = {
            pull.number: [
                mark_label(reading.mark_id)
                for reading in pull.readings
                for each in laying.moved
                if each.mark_id == reading.mark_id
                and (each.shown_m or 0.0) * pull.direction.way > 0
            ]
            for pull in laying.tape.pulls
        }
        ahead = [label for label in outwards[1] if label.startswith("W")]
        assert [label for label in printed if label in ahead] == ahead[::-1]
        wickets = [label for label in printed if label.startswith("W")]
        assert wickets[len(wickets) - len(ahead) :] == ahead[::-1]
        assert ("Row by row, in this order." in words(sheet)) is (
            max(len(each) for each in outwards.values()) > 1
        )
        moved += len(ahead)
    assert moved


@pytest.mark.parametrize("paper", PAPERS)
def test_sizes_of_marks_and_readings_are_those_a_cold_hand_can_read(paper):
    for page in (
        p for s in _sheets(solved("tuesday-wickets"), only=("tape",), paper=paper) for p in s.pages
    ):
        for item in texts(page):
            assert item.size_pt >= 7.0
            if item.role is Role.READING and item.text.replace(".", "").isdigit():
                assert 22.0 <= item.size_pt <= 26.0


@pytest.mark.parametrize("paper", PAPERS)
def test_every_text_has_one_of_the_two_sizes_of_its_role(paper):
    halves = {"ft", "in"}
    for sheet in _sheets(in_half_inches(solved("tuesday-wickets")), paper=paper):
        for item in (item for page in sheet.pages for item in texts(page)):
            sizes = {item.role.large_pt, item.role.small_pt}
            if item.text in halves:
                sizes |= {size / 2 for size in sizes} | {Role.LABEL.small_pt}
            if item.role is Role.MARK:
                sizes |= {Role.NAME.large_pt, Role.HEADING.large_pt}
            assert item.size_pt in sizes, item


def test_fourteen_wickets_a_start_and_all_else_share_one_a4_page():
    base = solved("fixed-cadence")
    assert len(base.layings[0].layout.of_kind(MarkKind.WICKET)) >= 12
    (sheet,) = _sheets(base, only=("tape",))
    assert len(sheet.pages) == 1


def test_rows_of_a_tape_sheet_are_eight_to_ten_millimetres_high():
    (sheet,) = _sheets(solved("fixed-cadence"), only=("tape",))
    ys = sorted(
        i.y_mm for i in texts(sheet.pages[0]) if i.role is Role.MARK and i.text.startswith("W")
    )
    steps = [b - a for a, b in pairwise(ys)]
    assert min(steps) >= 8.0 - 1e-9
    assert min(steps) <= 10.0 + 1e-9


def test_decimals_of_readings_line_up():
    (sheet,) = _sheets(solved("fixed-cadence"), only=("tape",))
    rights = {round(item.x_mm, 6) for item in texts(sheet.pages[0]) if item.role is Role.READING}
    assert len(rights) == 1


def test_a_long_table_breaks_between_fives_and_repeats_its_heading():
    base = solved("fixed-cadence")
    drill = replace(base.plan.drill, section_m=None, wickets=38)
    kit = replace(base.plan.kit, wickets=40)
    tape = replace(base.plan.tape, length_m=100.0)
    what = with_plan(base, drill=drill, kit=kit, ground=Strip(), place=Place(), tape=tape)
    (sheet,) = _sheets(what, only=("tape",))
    with_rows = [
        p
        for p in sheet.pages
        if any(t.text.startswith("W") for t in texts(p) if t.role is Role.MARK)
    ]
    assert len(with_rows) > 1
    for page in with_rows[:-1]:
        last = [t.text for t in texts(page) if t.role is Role.MARK][-1]
        assert int(last[1:]) % 5 == 0
    for page in with_rows:
        assert any("PULL 1" in t.text for t in texts(page))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_lane_is_drawn_true_to_its_scale(paper):
    what = solved("fixed-cadence")
    (sheet,) = _sheets(what, only=("tape",), paper=paper)
    page = sheet.pages[0]
    scale = next(int(m[1]) for t in texts(page) if (m := re.match(r"1 : (\d+) along", t.text)))
    wickets = [m.along_m for m in what.layings[0].layout.of_kind(MarkKind.WICKET)]
    bars = sorted(
        item.y1_mm
        for item in page.items
        if isinstance(item, Line)
        and item.y1_mm == item.y2_mm
        and item.width_mm == 0.7
        and abs(item.x2_mm - item.x1_mm) < 8.0
    )
    assert len(bars) == len(wickets)
    for bar, along in zip(bars, wickets, strict=True):
        assert bar - bars[0] == pytest.approx((along - wickets[0]) * 1000 / scale, abs=0.1)


def test_the_zero_is_told_twice_from_the_fixed_points():
    what = solved("tuesday-wickets")
    words = " ".join(t.text for t in texts(_sheets(what, only=("tape",))[0].pages[0]))
    first, second = what.layings[0].tape.pulls[0].fixed_points
    for point in (first, second):
        assert f"{point.distance_m:.2f} m" in words
        assert point.landmark.text.split()[-1] in words
    assert "not the ring" in words


def test_the_closing_check_follows_the_layout():
    for change in (0.0, 0.02):
        base = solved("fixed-cadence")
        what = with_plan(base, drill=replace(base.plan.drill, gap_change=change))
        layout = what.layings[0].layout
        one, other = (what.layings[0].tape.reading(each)[1].ticks for each in ("w5", "w10"))
        left = what.plan.kit.wickets - len(layout.of_kind(MarkKind.WICKET))
        words = " ".join(t.text for t in texts(_sheets(what, only=("tape",))[0].pages[0]))
        assert f"W5 to W10 = {(other - one) / 100:.2f} m" in words
        assert f"in the bag after this: {left}" in words


def test_a_peg_row_stands_every_ten_metres():
    what = solved("tuesday-wickets")
    for laying, sheet in zip(what.layings, _sheets(what, only=("tape",)), strict=True):
        shown = [
            t.text
            for p in sheet.pages
            for t in texts(p)
            if t.role is Role.STRONG and re.fullmatch(r"\d+0\.00", t.text)
        ]
        expected = [
            f"{10 * k}.00"
            for pull in laying.tape.pulls
            for k in range(1, 10)
            if 10 * k < pull.readings[-1].true_m
        ]
        assert shown == expected


def test_a_stop_keeps_every_reading_off_the_paper_and_says_why():
    base = solved("fixed-cadence")
    hurried = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=5.6)
    what = with_plan(base, drill=replace(base.plan.drill, cadence=hurried))
    for only in (None, KINDS, ("card",)):
        (sheet,) = _sheets(what, only=only)
        words = [t.text for page in sheet.pages for t in texts(page)]
        assert not any(t.role is Role.READING for page in sheet.pages for t in texts(page))
        assert "DO NOT LAY OUT" in words
        assert any("limit" in word for word in words)


def test_a_practice_with_a_stop_on_every_lane_prints_that_nobody_runs():
    base = solved("tuesday-wickets")
    hurried = CadenceTarget(rule=CadenceRule.STEPS_PER_S, value=5.6)
    what = with_plan(base, drill=replace(base.plan.drill, cadence=hurried))
    assert all(laying.stopped for laying in what.layings)
    (sheet,) = _sheets(what, only=("session",))
    assert [t.text for t in texts(sheet.pages[0])].count("Nobody runs.") == 1


def test_an_athlete_of_whom_too_little_is_known_is_stopped_on_paper():
    base = solved("fixed-cadence")
    nobody = replace(
        base.plan.athletes[0],
        name="Nobody",
        top_speed_mps=None,
        flying=None,
        splits=None,
        observations=(),
    )
    drill = replace(base.plan.drill, cadence=CadenceTarget())
    what = with_plan(base, athletes=(nobody,), drill=drill)
    (sheet,) = _sheets(what)
    words = [t.text for t in texts(sheet.pages[0])]
    assert "DO NOT LAY OUT" in words
    assert any("Nobody" in word for word in words)


def test_the_change_card_shows_all_readings_of_all_changes():
    what = solved("fixed-cadence")
    (sheet,) = _sheets(what, only=("card",))
    page = sheet.pages[0]
    rows: dict[float, list] = {}
    for item in texts(page):
        if item.role in {Role.FIGURE, Role.FIGURE_STRONG}:
            # the names stand larger, on a base line of their own in the same row
            row = next((y for y in rows if abs(y - item.y_mm) < 1.0), item.y_mm)
            rows.setdefault(row, []).append(item)
    printed = {}
    for items in rows.values():
        items.sort(key=left_mm)
        printed[items[0].text] = [item.text for item in items[1:]]
    # The check of each column, its name set small.
    (first,) = (key for key in printed if not key.startswith("W"))
    apart = [first, *printed.pop(first)]
    changes = gap_changes(what.layings[0], STEPS)
    wickets = [m.id for m in what.layings[0].layout.of_kind(MarkKind.WICKET)]
    assert printed == {
        wicket.upper(): [
            format_ticks(tape.reading(wicket)[1].ticks, tape.reading(wicket)[1].tick)
            for _, tape in changes
        ]
        for wicket in wickets
    }
    assert apart == [f"{tape.apart_ticks('w5', 'w10') / 100:.2f}" for _, tape in changes]
    assert "W5 to W10 =" in words(sheet)
    assert [t.text for t in texts(page) if t.text.endswith(" %")] == [
        "−6 %",
        "−4 %",
        "−2 %",
        "0 %",
        "+2 %",
        "+4 %",
    ]


def test_a_metric_sheet_has_no_feet_and_a_feet_sheet_no_metres():
    base = solved("tuesday-wickets")
    metric = " ".join(t.text for s in _sheets(base) for p in s.pages for t in texts(p))
    assert not re.search(r"\d ft\b", metric)
    feet = [
        t.text
        for s in _sheets(in_half_inches(base), only=("tape", "card"))
        for p in s.pages
        for t in texts(p)
    ]
    assert not any(re.search(r"\d m\b", text) for text in feet)


def test_one_athlete_gets_only_their_layings_and_their_coach_sheet():
    sheets = _sheets(solved("tuesday-wickets"), only=KINDS, athlete="Wren")
    assert [s.kind for s in sheets] == ["tape", "practice", "coach", "ground"]
    assert "Wren" in sheets[2].title
    assert "Bram" not in words(sheets[1]).split("Timetable")[0]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (
            {"only": ("tape", "poem")},
            'sheet "poem" is unknown; it must be one of tape, practice, card, stages, coach',
        ),
        ({"paper": "a3"}, 'paper "a3" is unknown; it must be one of a4, letter, a5, phone'),
        ({"athlete": "Zoe"}, 'athlete "Zoe" is not in the plan; it has '),
    ],
)
def test_what_is_not_there_is_refused_by_name(options, message):
    with pytest.raises(UsageError, match=re.escape(message)):
        make_pages(solved("tuesday-wickets"), **options)


def test_names_are_printed_whole_on_tape_and_coach_sheets():
    what = squad()
    for kind in ("tape", "coach"):
        words = "".join(
            t.text for s in _sheets(what, only=(kind,)) for p in s.pages for t in texts(p)
        ).replace(" ", "")
        for name in NAMES.values():
            assert name.replace(" ", "") in words


def test_an_unprintable_character_is_named_in_a_caution_and_on_the_coach_sheet():
    what = renamed(
        solved("fixed-cadence"),
        {a.name: "\u65e5\u672c" for a in solved("fixed-cadence").plan.athletes},
    )
    document = make_pages(what, only=KINDS)
    (finding,) = document.findings
    assert finding.code == "character-not-printable"
    assert "U+65E5" in finding.values["characters"]
    coach = next(sheet for sheet in document if sheet.kind == "coach")
    words = " ".join(t.text for page in coach.pages for t in texts(page))
    assert "U+672C" in words


def test_the_sheets_printed_unasked_are_those_that_tell_something():
    def kinds(name, only=None):
        return list(dict.fromkeys(sheet.kind for sheet in _sheets(case(name), only=only)))

    # The card of a single laying stands on the coach's page.
    assert kinds("fixed-cadence") == ["tape", "practice"]
    assert kinds("season-stages") == ["tape", "practice", "stages"]
    assert kinds("shared-lanes") == ["tape", "practice", "card"]
    assert kinds("fixed-cadence", KINDS) == ["tape", "practice", "coach", "ground"]
    assert kinds("shared-lanes", KINDS) == [
        *("tape", "practice", "card", "coach", "ground", "squad", "session", "progress"),
    ]
    assert "card" not in kinds("acceleration", KINDS)


def test_only_the_stage_the_plan_is_at_is_laid():
    sheets = _sheets(solved("season-stages"), only=("tape",))
    assert len(sheets) == 1
    assert "STAGE 2" in words(sheets[0])


@pytest.mark.parametrize(("paper", "starts"), [("a4", 1), ("a4", 4), ("letter", 1), ("letter", 2)])
@pytest.mark.parametrize("feet", [False, True])
def test_fourteen_wickets_and_their_start_marks_share_a_page(paper, starts, feet):
    what = alike(starts)
    assert len(what.layings[0].layout.of_kind(MarkKind.START)) == starts
    if feet:
        what = in_half_inches(what)
    (sheet,) = _sheets(what, only=("tape",), paper=paper)
    (page,) = sheet.pages
    said = " ".join(item.text for item in texts(page))
    for part in ("coach told", "Wet, icy or damaged", "in the bag after this", "Time expected"):
        assert part in said
    rows = sorted(
        i.y_mm for i in texts(page) if i.role is Role.MARK and re.fullmatch(r"W\d+", i.text)
    )
    assert len(rows) == 14
    assert min(b - a for a, b in pairwise(rows)) >= 8.0 - 1e-9


def test_fourteen_rows_stand_on_one_a5_page():
    (sheet,) = _sheets(alike(1), only=("tape",), paper="a5")
    assert len(readings_on(sheet.pages[0])) >= 14


@pytest.mark.parametrize("name", ["tuesday-wickets", "shared-lanes"])
def test_what_is_in_the_bag_counts_all_hurdles_that_lie_on_any_lane(name):
    what = solved(name)
    lying: dict[int, int] = {}
    for laying, sheet in zip(what.layings, _sheets(what, only=("tape",)), strict=True):
        lying[laying.lane] = hurdles_of(laying.layout)
        left = max(what.plan.kit.wickets - sum(lying.values()), 0)
        assert f"in the bag after this: {left}." in words(sheet)


def test_the_sheets_of_lanes_that_share_a_bag_carry_its_share_and_chalk_after_it():
    plan = solved("tuesday-wickets").plan
    what = solve(replace(plan, kit=replace(plan.kit, wickets=14)))
    told = zip(what.layings, _sheets(what, only=("tape",)), strict=True)
    for laying, sheet in [each for each in told if each[0].wave == 1]:
        marks = len(laying.layout.of_kind(MarkKind.WICKET))
        said = words(sheet)
        assert f"7 wickets (low hurdles) · chalk or tape for {marks - 7} marks" in said
        assert said.count("chalk or tape mark ") == marks - 7


def test_a_place_the_bag_does_not_reach_is_chalk_and_is_carried_so():
    (sheet,) = _sheets(case("no wickets left"), only=("tape",))
    said = words(sheet)
    assert "4 wickets (low hurdles) · chalk or tape for 8 marks" in said
    assert "in the bag after this: 0." in said


def test_on_a_bend_the_tape_is_pegged_every_five_metres_along_its_line():
    (sheet,) = _sheets(case("wickets on a bend"), only=("tape",))
    shown = [t.text for p in sheet.pages for t in texts(p) if t.role is Role.STRONG]
    assert [text for text in shown if re.fullmatch(r"\d+\.00", text)][:4] == [
        *("5.00", "10.00", "15.00", "20.00"),
    ]
    assert "tape straight" not in words(sheet)


def test_the_closing_check_on_the_painted_line_is_what_the_tape_there_reads():
    what = case("wickets on a bend, painted line")
    check = closing_check(what.layings[0])
    one, other = (
        what.layings[0].tape.reading(mark)[1].ticks for mark in (check.first_id, check.second_id)
    )
    assert check.apart_m == pytest.approx(abs(other - one) * 0.01)
    layout = what.layings[0].layout
    along = layout.mark(check.second_id).along_m - layout.mark(check.first_id).along_m
    assert check.apart_m < along - 0.02


def test_both_starts_of_a_run_both_ways_are_laid():
    (sheet,) = _sheets(case("both ways"), only=("tape",))
    marks = dict(row for page in sheet.pages for row in readings_on(page))
    assert {"START", "BACK"} <= set(marks)
    assert "start of the way back" in words(sheet)


def test_the_coach_sheet_shows_the_cadence_asked_beside_the_one_seen():
    (sheet,) = _sheets(solved("height-only"), only=("coach",))
    words = " ".join(t.text for page in sheet.pages for t in texts(page))
    assert "cadence asked 3.93 steps/s" in words
    assert "seen: 4.00 steps/s at 95 %" in " ".join(words.split())


def test_the_coach_sheet_shows_the_cadence_of_the_run_on():
    (sheet,) = _sheets(solved("fixed-cadence"), only=("coach",))
    assert "in the run-on" in words(sheet)
