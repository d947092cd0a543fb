"""Tables and blocks break into pages where a reader would break them."""

from __future__ import annotations

import pytest

from wicketlay.sheets.page.flow import Block, Frame, Table, paginate, space
from wicketlay.sheets.page.layout import PAPERS
from wicketlay.sheets.page.model import Role, Text


def _frame(paper="a4"):
    def top(pen, index):
        pen.text(12.0, 15.0, f"top {index}", Role.BODY)
        return 20.0

    def foot(pen, number, count):
        pen.text(12.0, 290.0, f"{number} of {count}", Role.BODY)

    return Frame(paper=PAPERS[paper], top=top, foot=foot, foot_mm=15.0)


def _row(name, height=8.0, *, ends=True):
    return Block(
        height_mm=height,
        draw=lambda pen, y: pen.text(12.0, y + 5, name, Role.BODY),
        ends_group=ends,
    )


def _words(page):
    return [item.text for item in page.items if isinstance(item, Text)]


@pytest.mark.parametrize("count", [5, 14, 30, 31, 36, 60])
def test_tables_break_after_fives_with_the_heading_repeated_and_no_orphan(count):
    rows = tuple(_row(f"r{i}", ends=i % 5 == 0) for i in range(1, count + 1))
    pages = paginate([Table(heading=_row("head"), rows=rows)], _frame())
    seen = []
    for page in pages:
        words = [word for word in _words(page) if word.startswith("r")]
        assert "head" in _words(page)
        assert len(words) > 1
        if page is not pages[-1]:
            assert int(words[-1][1:]) % 5 == 0
        seen += words
    assert seen == [f"r{i}" for i in range(1, count + 1)]


@pytest.mark.parametrize("count", [20, 32, 34, 40, 65, 70, 100])
def test_an_even_table_has_about_as_many_rows_on_each_of_as_few_pages(count):
    rows = tuple(_row(f"r{i}") for i in range(1, count + 1))
    greedy, even = (
        paginate([Table(heading=_row("head"), rows=rows, even=each)], _frame())
        for each in (False, True)
    )
    assert len(even) == len(greedy)
    counts = [sum(word.startswith("r") for word in _words(page)) for page in even]
    assert sum(counts) == count
    assert max(counts) - min(counts) <= 1


def test_pages_are_numbered_with_their_count():
    pages = paginate([_row(str(i), 60.0) for i in range(7)], _frame())
    assert [f"{i} of {len(pages)}" in _words(page) for i, page in enumerate(pages, 1)] == [True] * 2


def test_a_heading_is_never_the_last_on_a_page():
    heading = Block(
        height_mm=6.0,
        draw=lambda pen, y: pen.text(12.0, y + 4, "heading", Role.BODY),
        keeps_next=True,
    )
    for fill in range(200, 262):
        pages = paginate([_row("fill", float(fill)), heading, _row("next", 20.0)], _frame())
        assert ("heading" in _words(pages[0])) == ("next" in _words(pages[0]))


def test_white_opens_no_page_and_stands_at_the_top_of_none():
    full = 200.0
    assert len(paginate([_row("all", full), space(50.0)], _frame())) == 1
    first, second = paginate([_row("all", full), space(30.0), _row("next", 100.0)], _frame())
    assert "next" not in _words(first)
    (alone,) = paginate([_row("next", 100.0)], _frame())
    places = [next(t.y_mm for t in p.items if t.text == "next") for p in (second, alone)]
    assert places[0] == pytest.approx(places[1])
