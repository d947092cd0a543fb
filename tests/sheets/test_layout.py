"""Fonts, wrapping and label spreading."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.errors import UsageError
from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.layout import (
    PAPERS,
    Pen,
    cap_mm,
    paper_named,
    spread,
    width_mm,
    words_of,
    wrap,
)
from wicketlay.sheets.page.model import Align, Face, Rect, Role, Text
from wicketlay.sheets.page.tables import Cell, Column, Row, Style, text_table, wanted_mm


def test_digits_are_equally_wide_so_that_columns_line_up():
    for face in Face:
        assert len({fonts.widths_em(face)[digit] for digit in "0123456789"}) == 1


@pytest.mark.parametrize(
    "name",
    [
        "Zażółć Gęślą",
        "Příliš Žluťoučký",
        "Ștefan Țară",
        "Ωραία Ψυχή",
        "Ґанна Їжак",
        "Nguyễn Thị Hằng",
    ],
)
def test_names_of_many_languages_are_printable(name):
    assert fonts.missing(name) == ()


def test_a_decomposed_letter_is_printed_as_one_character():
    assert fonts.printable("e\u0302\u0301") == "\u1ebf"
    assert fonts.missing("Nguye\u0302\u0303n") == ()


def test_missing_characters_are_told_once_each_in_order():
    assert fonts.missing("a\u65e5b\u672c\u65e5") == ("\u65e5", "\u672c")


@settings(max_examples=60)
@given(st.text(st.characters(codec="latin-1", categories=("L", "N", "P", "Zs")), max_size=120))
def test_wrapped_lines_fit_and_lose_nothing(text):
    lines = wrap(text, Role.BODY, 10.0, 30.0)
    assert all(width_mm(line, Role.BODY, 10.0) <= 30.0 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_word_too_wide_for_a_line_is_broken_after_its_hyphen():
    assert wrap("Papadopoulou-Konstantinidou", Role.BODY, 10.0, 30.0) == (
        "Papadopoulou-",
        "Konstantinidou",
    )


@settings(max_examples=60)
@given(st.lists(st.floats(0.0, 100.0), max_size=12))
def test_spread_labels_are_apart_and_inside(places):
    spots = spread(sorted(places), 3.0, 0.0, 100.0)
    assert all(b - a >= 3.0 - 1e-9 for a, b in pairwise(spots))
    assert all(-1e-9 <= spot <= 100.0 + 1e-9 for spot in spots)


def test_spread_leaves_labels_that_are_apart():
    assert spread([10.0, 20.0, 30.0], 3.0, 0.0, 100.0) == [10.0, 20.0, 30.0]


@pytest.mark.parametrize("align", list(Align))
def test_an_unprintable_character_becomes_a_box_with_its_number(align):
    pen = Pen(paper=PAPERS["a4"])
    pen.text(100.0, 50.0, "ab\u65e5cd", Role.BODY, align=align)
    wide = width_mm("ab\u65e5cd", Role.BODY, Role.BODY.large_pt)
    shown = [item for item in pen.items if isinstance(item, Text)]
    (box,) = [item for item in pen.items if isinstance(item, Rect)]
    assert [item.text for item in shown] == ["ab", "65E5", "cd"]
    left = 100.0 - {Align.LEFT: 0.0, Align.CENTRE: wide / 2, Align.RIGHT: wide}[align]
    assert shown[0].x_mm == pytest.approx(left)
    number = shown[1]
    end = number.x_mm + width_mm(number.text, Role.BODY, number.size_pt)
    assert left < box.x_mm < number.x_mm < end < box.x_mm + box.width_mm < shown[2].x_mm
    assert box.y_mm < number.y_mm - cap_mm(number.size_pt)
    assert number.y_mm < box.y_mm + box.height_mm
    assert shown[2].x_mm + width_mm("cd", Role.BODY, number.size_pt) == pytest.approx(left + wide)


def test_an_unknown_paper_is_refused_by_name():
    with pytest.raises(
        UsageError, match='paper "a3" is unknown; it must be one of a4, letter, a5, phone'
    ):
        paper_named("a3")


def test_a_number_is_never_parted_from_its_unit():
    assert words_of("forward 6 ft 8 1/2 in, then 3 m on") == (
        "forward",
        "6 ft",
        "8 1/2 in,",
        "then",
        "3 m",
        "on",
    )


def test_a_cell_that_reaches_over_others_widens_no_column():
    columns = [Column(title="a", align=Align.LEFT), Column(title="b"), Column(title="c", share=1.0)]
    plain = [Row(cells=["1", "2", "3"])]
    long = Row(cells=["1", Cell(text="reaches over all that is right of it", over=True)])
    paper = PAPERS["a5"]
    assert wanted_mm(columns, plain, Style()) == wanted_mm(columns, [*plain, long], Style())
    pen = Pen(paper=paper)
    text_table(paper, columns, [*plain, long], Style()).rows[1].draw(pen, 0.0)
    (text,) = [item for item in pen.items if isinstance(item, Text) and "reaches" in item.text]
    assert text.text == "reaches over all that is right of it"


def test_what_joins_emoji_is_silent_and_no_missing_character():
    assert fonts.missing("Wren \u2764\ufe0f\u200d") == tuple(
        c for c in "\u2764" if c in fonts.missing(c)
    )
    assert fonts.printable("a\ufe0fb\u200dc") == "abc"
