"""Every sheet on every paper: nothing overlaps, nothing leaves the page, pages name themselves."""

from __future__ import annotations

import re

import pytest
from sheet_plans import CASES, PRODUCT, assert_fits, readings_on, sheets_of, texts

from wicketlay.sheets.page.layout import PAPERS as SIZES
from wicketlay.sheets.page.model import Role


@pytest.mark.parametrize(("name", "paper"), PRODUCT)
def test_no_two_texts_overlap_and_nothing_leaves_the_margins(name, paper):
    for sheet in sheets_of(name, paper):
        assert_fits(sheet, SIZES[paper])


@pytest.mark.parametrize(("name", "paper"), PRODUCT)
def test_every_page_tells_its_place_and_its_number(name, paper):
    size = SIZES[paper]
    for sheet in sheets_of(name, paper):
        count = len(sheet.pages)
        for number, page in enumerate(sheet.pages, start=1):
            said = " ".join(item.text for item in texts(page))
            assert f"page {number} of {count}" in said
            # Nothing is measured on a screen.
            assert ("This bar is 100 mm" in said) is not size.screen
            top = [item.text for item in texts(page) if item.role in {Role.PLACE, Role.HEADING}]
            assert top
            if number > 1:
                assert "continued" in said
            if sheet.kind == "tape":
                place = sheet.group.upper().replace(", ", " · ")
                assert re.sub(r"\s+", " ", place) in said


@pytest.mark.parametrize(("name", "paper"), PRODUCT)
def test_no_row_stands_alone_on_a_page(name, paper):
    for sheet in sheets_of(name, paper, ("tape", "card", "ground")):
        for page in sheet.pages[1:]:
            rows = {round(i.y_mm) for i in texts(page) if i.role is Role.MARK}
            body = [i for i in texts(page) if i.role is not Role.LABEL]
            assert len(rows) != 1 or len(body) > 8, sheet.title


@pytest.mark.parametrize(("name", "paper"), PRODUCT)
def test_no_text_is_smaller_than_seven_points(name, paper):
    for sheet in sheets_of(name, paper):
        assert all(item.size_pt >= 7.0 for page in sheet.pages for item in texts(page))


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=() if index % 3 == 0 else pytest.mark.slow)
        for index, name in enumerate(CASES)
    ],
)
def test_on_a_phone_a_pull_has_its_own_page_and_digits_as_large_in_proportion_as_on_a4(name):
    by_paper = {paper: sheets_of(name, paper, ("tape",)) for paper in ("a4", "phone")}
    for sheet, phone in zip(*by_paper.values(), strict=True):
        shown = {
            paper: [
                item.size_pt / page.width_mm
                for page in each.pages
                for item in texts(page)
                if item.role is Role.READING
            ]
            for paper, each in (("a4", sheet), ("phone", phone))
        }
        if shown["a4"]:
            assert min(shown["phone"]) >= max(shown["a4"])
        for page in phone.pages:
            heads = [i for i in texts(page) if re.match(r"PULL \d", i.text)]
            assert len(heads) <= 1
        held = [[r for page in each.pages for r in readings_on(page)] for each in (sheet, phone)]
        assert held[0] == held[1]
