"""The PDF itself: places, fonts, bytes, bookmarks, the check bar."""

from __future__ import annotations

import io
import subprocess
import sys
from dataclasses import replace

import pdfplumber
import pypdf
import pytest
from sheet_plans import POINT_MM, left_mm, pdf_of, renamed, solved, texts, with_plan

from wicketlay.sheets import make_pages, write_pdf
from wicketlay.sheets.stamp import check_of
from wicketlay.solve import solve

ONE_OF_THREE = [
    "a4",
    pytest.param("letter", marks=pytest.mark.slow),
    pytest.param("a5", marks=pytest.mark.slow),
]


@pytest.mark.parametrize("paper", ONE_OF_THREE)
def test_every_text_is_drawn_where_the_page_says(paper):
    what = solved("fixed-cadence")
    pages = list(make_pages(what, paper=paper).pages())
    with pdfplumber.open(io.BytesIO(pdf_of(what, paper=paper))) as pdf:
        assert len(pdf.pages) == len(pages)
        for page, drawn in zip(pages, pdf.pages, strict=True):
            starts = {}
            for char in drawn.chars:
                x, y = char["matrix"][4:]
                key = (round(x * POINT_MM, 1), round(page.height_mm - y * POINT_MM, 1))
                starts.setdefault(key, char["text"])
            for item in texts(page):
                near = [
                    text
                    for (x, y), text in starts.items()
                    if abs(x - left_mm(item)) <= 0.15 and abs(y - item.y_mm) <= 0.1
                ]
                assert item.text[0] in near, item


@pytest.mark.parametrize(
    "paper", ["a5", *(pytest.param(p, marks=pytest.mark.slow) for p in ("a4", "letter"))]
)
def test_the_check_bar_is_100_mm_on_every_page(paper):
    with pdfplumber.open(io.BytesIO(pdf_of(solved("feet-and-inches"), paper=paper))) as pdf:
        printed = [page for page in pdf.pages if "Left blank" not in page.extract_text()]
        assert len(printed) >= len(pdf.pages) - 1
        for page in printed:
            bars = [
                line
                for line in page.lines
                if abs((line["x1"] - line["x0"]) * POINT_MM - 100.0) < 0.01
                and line["top"] == line["bottom"]
            ]
            assert len(bars) == 1
            assert "This bar is 100 mm" in page.extract_text()


def test_all_fonts_are_embedded_and_no_other_is_named():
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(solved("tuesday-wickets"))))
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            named = font.get_object()
            assert "Roboto" in named["/BaseFont"]
            assert "/FontFile2" in named["/FontDescriptor"].get_object()


def test_equal_input_gives_equal_bytes():
    what = solved("tuesday-wickets")
    assert pdf_of(what) == pdf_of(what)


def test_equal_bytes_in_another_process():
    code = (
        "import sys, hashlib; sys.path.insert(0, 'tests/sheets')\n"
        "from sheet_plans import pdf_of, solved\n"
        "print(hashlib.sha256(pdf_of(solved('fixed-cadence'))).hexdigest())"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            check=True,
            capture_output=True,
            text=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": "."},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(seen) == 1


def test_metadata_print_scaling_and_bookmarks():
    what = solved("tuesday-wickets")
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(what)))
    assert reader.metadata.title == "Tuesday wickets"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    tops = [entry for entry in reader.outline if not isinstance(entry, list)]
    assert len(tops) == len(what.layings) + 1
    assert all(entry.title.startswith("lane ") for entry in tops[:-1])
    assert tops[-1].title == "coach's packet"
    nested = [entry for part in reader.outline if isinstance(part, list) for entry in part]
    sheets = [entry.title for entry in nested if not isinstance(entry, list)]
    assert sheets == [sheet.title for sheet in make_pages(what)]
    pulls = [[pull.title for pull in entry] for entry in nested if isinstance(entry, list)]
    assert pulls == [["pull 1", "pull 2"]] * len(what.layings)


@pytest.mark.parametrize("paper", ["a4", "phone"])
def test_each_pull_is_found_by_its_bookmark(paper):
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(solved("fixed-cadence"), paper=paper)))
    deep = [e for part in reader.outline if isinstance(part, list) for e in part]
    (pulls,) = (entry for entry in deep if isinstance(entry, list))
    seen = []
    for entry in pulls:
        number = reader.get_destination_page_number(entry)
        seen.append(number)
        assert entry.title.upper() in reader.pages[number].extract_text()
    assert seen == ([0, 0] if paper == "a4" else [1, 2])


def test_markup_in_a_name_is_text():
    first = solved("fixed-cadence").plan.athletes[0].name
    what = renamed(solved("fixed-cadence"), {first: '<b>&amp; "Q"</b>'})
    with pdfplumber.open(io.BytesIO(pdf_of(what, only=("coach",)))) as pdf:
        assert '<b>&amp; "Q"</b>' in pdf.pages[0].extract_text()


def test_progress_is_told_after_each_sheet():
    told = []
    document = make_pages(solved("tuesday-wickets"))
    write_pdf(document, io.BytesIO(), progress=lambda done, of: told.append((done, of)))
    assert told == [(i, len(document)) for i in range(1, len(document) + 1)]


def test_what_prints_nothing_loads_nothing_of_the_pdf_library():
    code = (
        "import sys; sys.path.insert(0, 'tests/sheets')\n"
        "import wicketlay.sheets as s\n"
        "from wicketlay.plan_file import load\n"
        "from wicketlay.solve import solve\n"
        "from pathlib import Path\n"
        "what = solve(load(Path('layouts/fixed-cadence.toml')))\n"
        "n = len(s.KINDS) + len(what.layings)\n"
        "print(n, 'reportlab' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        env={"PYTHONPATH": "."},
    )
    assert done.stdout.split()[1] == "False"


def _paged(what, **options):
    """Pages of a PDF: the first letter of their label."""
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(what, **options)))
    return reader, list(reader.page_labels)


@pytest.mark.parametrize("name", ["fixed-cadence", "tuesday-wickets", "hall-wickets"])
def test_no_sheet_of_the_coach_stands_on_the_back_of_one_of_the_assistant(name):
    reader, labels = _paged(solved(name))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/Duplex"] == "/DuplexFlipLongEdge"
    leaves = [labels[at : at + 2] for at in range(0, len(labels), 2)]
    for leaf in leaves:
        roles = {label[0] for label in leaf if label != "blank"}
        assert len(roles) == 1, labels
    assert labels[0] == "A1"
    assert "C1" in labels


def test_every_sheet_tells_its_number_of_how_many_and_the_check_of_its_readings():
    sheets = [s for s in make_pages(solved("tuesday-wickets")) if s.kind != "blank"]
    for number, sheet in enumerate(sheets, start=1):
        for page in sheet.pages:
            said = [item.text for item in texts(page)]
            found = [text for text in said if text.startswith("sheet ")]
            assert len(found) == 1
            assert found[0].startswith(f"sheet {number} of {len(sheets)} · ")
            assert any("2026-03-03" in text for text in said)


def test_the_check_differs_where_any_reading_or_the_place_of_the_zero_does():
    base = solved("fixed-cadence")
    other = solved("tuesday-wickets")
    moved = with_plan(base, place=replace(base.plan.place, offset_m=base.plan.place.offset_m + 1))
    checks = [check_of(each.layings) for each in (base, other, moved)]
    assert len(set(checks)) == 3
    assert check_of(base.layings) == check_of(solve(base.plan).layings)
    assert all(len(each) == 4 for each in checks)


def test_the_pdf_says_its_version_title_language_and_the_day_of_the_plan():
    data = pdf_of(solved("tuesday-wickets"))
    assert data.startswith(b"%PDF-1.7")
    reader = pypdf.PdfReader(io.BytesIO(data))
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    told = reader.xmp_metadata
    assert told.dc_title == {"x-default": "Tuesday wickets"}
    assert told.dc_language == ["en"]
    assert told.xmp_create_date.date() == solved("tuesday-wickets").plan.date
    assert reader.metadata.creation_date.date() == solved("tuesday-wickets").plan.date


def test_markup_in_a_title_is_text_in_the_metadata_too():
    what = with_plan(solved("fixed-cadence"), title='<b> & "Q" ]]>')
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(what)))
    assert reader.xmp_metadata.dc_title == {"x-default": '<b> & "Q" ]]>'}
