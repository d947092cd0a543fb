"""Every finding is worded, and words read as they should."""

from __future__ import annotations

import re
from pathlib import Path
from string import Formatter

import pytest

from wicketlay.findings import Finding, Level
from wicketlay.wording import _catalogue, fill, told, word

ROOT = Path(__file__).parents[1] / "wicketlay"
SOURCE = "\n".join(
    path.read_text("utf-8") for path in ROOT.rglob("*.py") if "wording" not in path.parts
)
LITERAL = re.compile(
    r"""(?:code=|Finding\.(?:stop|caution|note|of)\()(?:\n\s*)?["']([a-z0-9-]+)["']"""
)


def test_every_code_that_is_written_out_has_a_wording():
    assert set(LITERAL.findall(SOURCE)) <= _catalogue().keys()


def test_every_edit_that_is_written_out_has_a_wording():
    made = set(re.findall(r"""\bwas_done\(["']([a-z-]+)["']""", SOURCE))
    assert len(made) > 10
    parts = {"title", "ground", "place", "kit", "tape", "session"}  # of `edits.set_part`
    assert {f"edit-{what}" for what in made | parts} <= _catalogue().keys()


def test_text_is_lower_case_and_ends_without_a_stop():
    assert _catalogue()
    for code, worded in _catalogue().items():
        for template in filter(None, (worded.text, worded.remedy)):
            first = next(iter(Formatter().parse(template)))[0]
            assert not first[:1].isupper() or first.startswith(("W", "LANE")), (code, template)
            assert not template.endswith("."), (code, template)


@pytest.mark.parametrize(
    ("key", "value", "metric", "feet"),
    [
        ("gap_m", 1.815, "1.82 m", "5 ft 11 1/2 in"),
        ("top_mps", 7.9, "7.90 m/s", "17.7 mph"),
        ("asked_hz", 4.3, "4.30 steps/s", "4.30 steps/s"),
        ("limit_share", 0.03, "3 %", "3 %"),
        ("time_s", 2.784, "2.78 s", "2.78 s"),
        ("wait_duration_s", 150.0, "2 min 30 s", "2 min 30 s"),
        ("total_duration_s", 3361.0, "57 min", "57 min"),
        ("tape_m", 50.0, "50 m", "164 ft"),
        ("tape_m", 7.56, "7.5 m", "24 ft"),
        ("longer_m", 60.02, "61 m", "197 ft"),
        ("error_mm", 16.4, "16 mm", "5/8 in"),
        ("wickets", 14, "14", "14"),
        ("name", "W{ren}", "W{ren}", "W{ren}"),
    ],
)
def test_a_value_is_shown_by_the_end_of_its_key(key, value, metric, feet):
    assert fill(f"{{{key}}}", {key: value}, "metric") == metric
    assert fill(f"{{{key}}}", {key: value}, "feet") == feet


def test_nobody_concerned_leaves_no_colon_behind():
    assert fill("{athlete}: the tape is short", {}, "metric") == "the tape is short"


def test_a_guess_is_told_once_where_its_gaps_are_laid_short_for_it():
    values = {"top_mps": 8.0, "sd_mps": 0.7, "cadence_hz": 4.2, "speed_share": 0.95}
    short = Finding.caution("gaps-laid-short", "Ines", short_share=0.03, **values)
    guess, other = (
        Finding.note("top-speed-from-first-guess", name, **values) for name in ("Ines", "Mila")
    )
    assert [text.partition(":")[0] for _, text in told((guess, short))] == ["Ines"]
    assert len(told((guess,))) == len(told((guess, short))) == 1
    assert [level for level, _ in told((guess, other, short))] == [Level.CAUTION, Level.NOTE]


def test_a_range_of_one_value_is_told_as_that_value():
    template = "a zone of {shortest_m:0} to {longest_m:0}; {low_m:0} to {high_m:0} is published"
    values = {"shortest_m": 60.0, "longest_m": 60.0, "low_m": 10.0, "high_m": 30.0}
    assert fill(template, values, "metric") == "a zone of 60 m; 10 m to 30 m is published"
    assert fill(template, values, "feet") == "a zone of 197 ft; 33 ft to 98 ft is published"


def test_a_mark_is_named_as_on_the_ground():
    finding = Finding(
        level=Level.STOP,
        code="gap-too-long",
        athlete="Wren",
        mark="w7",
        values={"gap_m": 2.0, "natural_m": 1.8, "excess_share": 0.11, "limit_share": 0.07},
    )
    assert word(finding).text == (
        "Wren: the gap before W7 is 2.00 m, 11 % over the natural step of 1.80 m there (limit 7 %)"
    )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("finish line", "did you mean “finish”? the landmarks are: finish, 100 m start"),
        ("oak", "the landmarks are: finish, 100 m start"),
    ],
)
def test_a_name_that_is_not_there_is_told_with_the_nearest_that_is(asked, told):
    finding = Finding(
        level=Level.STOP,
        code="ground-landmark-unknown",
        lane=3,
        values={"asked": asked, "known": "finish, 100 m start", "line": "home straight"},
    )
    assert word(finding).remedy == told


def test_by_how_much_a_tape_reads_short_is_told_as_small_as_it_is():
    told = [
        str(word(Finding.stop("tape-straight-on-bend", error_mm=mm, limit_m=5.0, arc_m=26.0)))
        for mm in (17.0, 130.0, 2960.0)
    ]
    shorts = ("17 mm short", "130 mm short", "2.96 m short")
    assert all(short in text for short, text in zip(shorts, told, strict=True))
