"""What holds for a whole packet: no name bends a table, no page or reference is for nothing."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise, product

import pypdf
import pytest
from sheet_plans import (
    LONG,
    PAPERS,
    alike,
    case,
    in_turn,
    pdf_of,
    renamed,
    solved,
    texts,
    with_plan,
    words,
)

from wicketlay.ground.tape import TapeSpec
from wicketlay.sheets import KINDS, make_pages
from wicketlay.sheets.page.layout import PAPERS as SIZES
from wicketlay.sheets.page.layout import words_of, wrap_facts
from wicketlay.sheets.page.model import Align, Line, Rect, Role

SHEETS_OF_PAPER = ("a4", "letter", "a5")
"""What is printed: on a telephone facts run on, and a page is as short as a hand."""
OF_TABLES = ("tape", "practice", "squad", "ground", "stages", "card")
TITLES = {"athlete", "lane", "wave", "runs", "recovery", "longest", "sprinted", "work"}


def _columns(sheets, titles=None):
    """Where texts of a sheet begin or end [mm]: what its tables have in x."""
    return {
        (item.align.value, round(item.x_mm, 2))
        for sheet in sheets
        for page in sheet.pages
        for item in texts(page)
        if titles is None or item.text in titles
    }


def _with_a_long_name(name, kind, paper):
    """Sheets of a kind as they are, and with a long name in the place of a short one."""
    base = solved(name)
    long = renamed(base, {base.plan.athletes[0].name: LONG})
    return [
        [s for s in make_pages(what, only=(kind, kind), paper=paper) if s.kind == kind]
        for what in (base, long)
    ]


@pytest.mark.parametrize(
    ("name", "kind", "paper"),
    in_turn(product(("shared-lanes", "season-stages", "tuesday-wickets"), OF_TABLES)),
)
def test_one_long_name_changes_no_other_column_of_a_table(name, kind, paper):
    short, long = _with_a_long_name(name, kind, paper)
    assert len(short) == len(long)
    # What goes over to another page ends its foot there.
    of_feet = {each for each in _columns(long) if each[1] == SIZES[paper].right_mm}
    assert _columns(long) - of_feet == _columns(short) - of_feet
    assert any(LONG.split()[0][:8] in words(sheet) for sheet in long) or not long or kind == "card"


@pytest.mark.parametrize("paper", SHEETS_OF_PAPER)
def test_one_long_name_changes_no_column_of_who_does_what(paper):
    short, long = (
        _columns(sheets, TITLES) for sheets in _with_a_long_name("shared-lanes", "session", paper)
    )
    assert len(short) > 5
    assert short == long


# -- rules and heads of the tape sheet ---------------------------------------------------------


def _rules(page):
    return sorted(
        (item.y1_mm, item.width_mm)
        for item in page.items
        if isinstance(item, Line) and item.y1_mm == item.y2_mm and item.x2_mm - item.x1_mm > 70.0
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["tuesday-wickets", "feet-and-inches", "shared-lanes"])
def test_a_heavy_rule_stands_below_every_fifth_wicket_by_its_number_and_below_no_other(name, paper):
    told = 0
    for sheet in make_pages(case(name), only=("tape",), paper=paper):
        for page in sheet.pages:
            rules = _rules(page)
            marks = sorted(
                (t.y_mm, t.text)
                for t in texts(page)
                if t.role is Role.MARK and re.fullmatch(r"W\d+", t.text)
            )
            for (y, text), (after, _) in pairwise(marks):
                if after - y > 16.0:
                    continue  # another pull begins between them
                (width, *_) = (w for at, w in rules if y < at < after)
                assert (width == 0.7) is (int(text[1:]) % 5 == 0), text
                assert width in {0.25, 0.7}
                told += 1
    assert told > 10


@pytest.mark.parametrize("name", ["tuesday-wickets", "board-approach", "flying-20"])
@pytest.mark.parametrize("paper", SHEETS_OF_PAPER)
def test_heads_are_as_large_as_body_text_and_the_foot_has_its_own(name, paper):
    for sheet in make_pages(case(name), only=("tape",), paper=paper):
        said = [t for page in sheet.pages for t in texts(page)]
        heads = [t for t in said if t.text == "mark" or t.text.startswith(("tape reads", "foot"))]
        assert {t.size_pt for t in heads} == {9.0 if paper == "a5" else 10.0}
        feet = [t for t in said if t.text in {"left", "right", "either"}]
        columns = {round(t.x_mm, 2) for t in heads if t.text.startswith("foot")}
        assert feet
        assert {round(t.x_mm, 2) for t in feet} <= columns


def test_a_slow_down_cone_beyond_the_tape_has_its_box():
    base = solved("tuesday-wickets")
    what = with_plan(base, tape=TapeSpec(length_m=26.0))
    sheets = [s for s in make_pages(what, only=("tape",)) if s.kind == "tape"]
    for sheet in sheets:
        page = sheet.pages[-1]
        (told,) = (t for t in texts(page) if t.text == "SLOW-DOWN CONE")
        boxes = [
            i
            for i in page.items
            if isinstance(i, Rect) and i.width_mm == i.height_mm == 5.0 and i.x_mm < told.x_mm
        ]
        assert any(i.y_mm < told.y_mm < i.y_mm + i.height_mm for i in boxes)


# -- what a page is for ------------------------------------------------------------------------


def _assert_no_cautions_alone(what, paper):
    for sheet in make_pages(what, only=("tape",), paper=paper):
        if sheet.kind != "tape" or "DO NOT LAY OUT" in words(sheet):
            continue
        told = 0
        for page in sheet.pages:
            warned = any(t.text.startswith("! ") for t in texts(page))
            # On a telephone the 0 and the lane have pages of their own.
            drawn = SIZES[paper].screen and not warned
            assert drawn or any(t.role is Role.READING for t in texts(page)), sheet.group
            told += warned
        assert told == 1


@pytest.mark.parametrize(
    ("name", "length_m", "paper"),
    in_turn(
        product(("tuesday-wickets", "shared-lanes"), (8.0, 13.0, 20.0, 26.0, 50.0)),
        PAPERS,
    ),
)
def test_no_page_of_a_tape_sheet_has_cautions_alone(name, length_m, paper):
    base = solved(name)
    what = with_plan(base, tape=replace(base.plan.tape, length_m=length_m))
    _assert_no_cautions_alone(what, paper)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["meadow-accelerations", "acceleration", "many steps in feet"])
def test_of_one_long_pull_the_last_rows_stand_with_the_cautions(name, paper):
    _assert_no_cautions_alone(case(name), paper)


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("count", [1, 3, 6])
def test_however_many_marks_no_page_has_cautions_alone(count, paper):
    for wickets in range(6, 31):
        _assert_no_cautions_alone(alike(count, wickets), paper)


@pytest.mark.parametrize("paper", PAPERS)
def test_notes_on_the_coachs_page_stand_on_no_page_alone(paper):
    for sheet in make_pages(case("thursday-takeoffs"), only=("practice",), paper=paper):
        pages = sheet.pages if sheet.kind == "practice" else ()
        for page in pages:
            said = [t.text for t in texts(page)]
            assert "note" not in said or any(re.search(r", run \d+$", each) for each in said)


@pytest.mark.parametrize("paper", PAPERS)
def test_what_to_do_stands_below_a_change_card_and_on_no_page_alone(paper):
    sheets = make_pages(case("season-stages"), paper=paper)
    for page in (page for sheet in sheets for page in sheet.pages):
        said = [t.text for t in texts(page)]
        assert not any("Steps chopped" in each for each in said) or "W12" in said


def test_now_next_and_a_series_of_four_share_a_page_of_letter():
    (sheet,) = (s for s in make_pages(case("season-stages"), paper="letter") if s.kind == "stages")
    (page,) = sheet.pages
    large = sorted(t.y_mm for t in texts(page) if t.role in {Role.MARK, Role.MARK_PLAIN})
    # A digit of 18 pt is 4.5 mm high.
    assert all(below - above > 6.0 for above, below in pairwise(dict.fromkeys(large)))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_box_of_the_zero_stands_clear_of_its_words(paper):
    for sheet in make_pages(case("tuesday-wickets"), only=("tape",), paper=paper):
        page = sheet.pages[0]
        zero = next((t for t in texts(page) if t.text.startswith("0 = ")), None)
        if zero is not None:
            box = next(i for i in page.items if isinstance(i, Rect) and i.width_mm == 5.0)
            assert zero.x_mm - (box.x_mm + box.width_mm) >= 1.9
            assert box.y_mm < zero.y_mm < box.y_mm + box.height_mm


@pytest.mark.parametrize("paper", SHEETS_OF_PAPER)
def test_lines_at_the_foot_stand_apart(paper):
    for sheet in make_pages(case("tuesday-wickets"), paper=paper):
        for page in sheet.pages:
            feet = [t for t in texts(page) if t.role is Role.LABEL_STRONG]
            lines = sorted(t.y_mm for t in feet if t.x_mm == SIZES[paper].right_mm)
            assert all(below - above > 2.6 for above, below in pairwise(lines[-3:]))


SHEETS = {"change card": "card", "ground sheet": "ground", "stages sheet": "stages"}


@pytest.mark.parametrize("name", ["tuesday-wickets", "board-approach", "season-stages"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_speaks_of_no_other_that_is_not_in_the_packet(name, kind):
    for sheet in make_pages(case(name), only=(kind, kind)):
        said = words(sheet).lower()
        for told, meant in SHEETS.items():
            assert meant == sheet.kind or told not in said, (sheet.title, told)
        assert not re.search(r"\bsee (the|page|sheet)\b|overleaf", said)


UNITS = {"m", "cm", "s", "ft", "in", "min", "h", "m/s", "%", "steps/s", "½", "¼", "¾"}


@pytest.mark.parametrize("name", ["tuesday-wickets", "feet-and-inches", "board-approach"])
@pytest.mark.parametrize("paper", PAPERS)
def test_no_line_of_any_sheet_begins_with_the_unit_of_the_number_before(name, paper):
    for sheet in make_pages(case(name), only=KINDS, paper=paper):
        for page in sheet.pages:
            items = texts(page)
            for above, below in pairwise(items):
                if below.x_mm != above.x_mm or below.align is not Align.LEFT:
                    continue
                number = re.search(r"[\d.]+$", above.text)
                first = below.text.split(" ")[0].rstrip(".,;:)")
                assert not (number and first in UNITS), (above.text, below.text)


@pytest.mark.parametrize("unit", ["3 min", "18 s", "2 %", "4.12 steps/s", "8 1/2 in", "12 cm"])
def test_a_number_and_its_unit_are_one_word(unit):
    assert words_of(f"about {unit} more")[1] == unit


@pytest.mark.parametrize("sure", ["1.83 ± 0.08 m", "2 1/2 in ± 3 1/2 in"])
def test_a_number_and_its_error_are_one_word(sure):
    assert words_of(f"gaps 1.76 to {sure}")[-1] == sure


def test_facts_that_run_on_are_broken_between_facts_and_only_one_too_wide_in_itself():
    facts = ["run-on 16.72 m", "slow-down 21 m", "a fact that is wider than the whole of a line"]
    lines = wrap_facts(facts, Role.BODY, 10.0, 45.0)
    assert lines[:2] == ("run-on 16.72 m ·", "slow-down 21 m · a fact that")
    assert " ".join(lines) == " · ".join(facts)


# -- as a printer gets it ----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["tuesday-wickets", "fixed-cadence", "season-stages"])
@pytest.mark.parametrize("only", [None, KINDS])
def test_no_leaf_has_an_assistants_page_on_one_side_and_a_coachs_on_the_other(name, only):
    what = with_plan(case(name), date=None)
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(what, only=only)))
    assert reader.viewer_preferences.duplex == "/DuplexFlipLongEdge"
    labels = [label[0] for label in reader.page_labels]
    assert {"A", "C"} <= set(labels)
    for front, back in zip(labels[::2], labels[1::2], strict=False):
        assert {front, back} != {"A", "C"}


def test_one_athlete_takes_three_pages_at_most_and_six_take_eleven():
    assert len(pypdf.PdfReader(io.BytesIO(pdf_of(solved("fixed-cadence")))).pages) <= 3
    assert len(pypdf.PdfReader(io.BytesIO(pdf_of(solved("tuesday-wickets")))).pages) <= 11


def test_a_move_in_feet_takes_two_lines_at_most_where_the_paper_has_the_room():
    *_, second = make_pages(case("feet-and-inches"), only=("tape",), paper="a4")
    (page,) = second.pages
    moves = [t for t in texts(page) if t.role is Role.BODY and t.text == "forward"]
    (at_mm,) = {t.x_mm for t in moves}
    assert len(moves) > 8
    marks = sorted(t.y_mm for t in texts(page) if re.fullmatch(r"W\d+", t.text) and t.y_mm > 60)
    for top, end in pairwise(marks):
        lines = [t for t in texts(page) if t.x_mm == at_mm and top - 4 < t.y_mm < end - 4]
        assert len(lines) <= 2


def test_no_line_of_what_is_carried_begins_with_the_dot_between_two_things():
    for sheet in make_pages(case("tuesday-wickets"), only=("tape",)):
        assert not any(t.text.startswith("·") for page in sheet.pages for t in texts(page))
