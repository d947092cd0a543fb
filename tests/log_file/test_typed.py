"""What others wrote down: a grid from paper, and tables of times from anywhere."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from wicketlay.keys.codecs import UnfitError
from wicketlay.keys.problems import PlanFileError
from wicketlay.log_file.typed import Common, Names, read_grid, read_times, times_of
from wicketlay.running.facts import Timing
from wicketlay.session.log import Flag, What

DAY = dt.date(2026, 3, 3)
NAMES = ("Tarik", "Odalys Ñandú", "Bram", "Wren")
COMMON = Common(day=DAY, timing=Timing.HAND)


def grid(text: str, begun=None):
    return read_grid(text.encode(), "paper", NAMES, COMMON, begun or {})


def times(text: str):
    return read_times(text.encode(), "times.csv", NAMES, COMMON)


def said(typed) -> list[str]:
    return [str(each) for each in typed.problems.found]


class TestATime:
    @pytest.mark.parametrize(
        ("text", "meant"),
        [
            ("2.71", ((2.71,), None)),
            ("2,71", ((2.71,), None)),
            ("2,715", ((2.715,), None)),
            ("2.71 s", ((2.71,), None)),
            ("2.71/2.69", ((2.71, 2.69), None)),
            ("2.70*", ((2.70,), Flag.HIT)),
            ("2.70!", ((2.70,), Flag.STUMBLED)),
            ("*", ((), Flag.HIT)),
            ("-", ((), Flag.NOT_TIMED)),
            ("–", ((), Flag.NOT_TIMED)),
        ],
    )
    def test_is_read_as_it_is_written_at_the_track(self, text, meant):
        assert times_of(text) == meant

    @pytest.mark.parametrize("text", ["", "fast", "2..7", "1:02.3", "2.7e1", "2.71/", "271", "2"])
    def test_that_is_none_is_refused(self, text):
        with pytest.raises(UnfitError):
            times_of(text)


class TestNames:
    def test_are_found_without_regard_to_case_and_accents(self):
        names = Names(NAMES)
        assert names.found("ODALYS  nandu") == "Odalys Ñandú"
        assert names.found("wren") == "Wren"

    def test_a_near_miss_is_asked_about_with_the_nearest(self):
        with pytest.raises(UnfitError) as error:
            Names(NAMES).found("odalis nandu")
        assert error.value.nearest == "Odalys Ñandú"

    def test_that_may_be_two_are_refused_unless_written_as_one_of_them(self):
        names = Names(["Zoe", "Zoë"])
        assert names.found("Zoë") == "Zoë"
        with pytest.raises(UnfitError, match="may be Zoe or Zoë"):
            names.found("ZOE")


class TestAGrid:
    def test_is_a_line_an_athlete_and_a_word_a_run(self):
        typed = grid("# cold\nwren 2.71 2.68 - 2.70*\n\nodalys ñandú: 2,90, 2,88; 2.91/2.93\n")
        assert said(typed) == []
        assert [(e.athlete, e.run, e.times_s, e.flag) for _, e in typed.entries] == [
            ("Wren", 1, (2.71,), None),
            ("Wren", 2, (2.68,), None),
            ("Wren", 3, (), Flag.NOT_TIMED),
            ("Wren", 4, (2.7,), Flag.HIT),
            ("Odalys Ñandú", 1, (2.9,), None),
            ("Odalys Ñandú", 2, (2.88,), None),
            ("Odalys Ñandú", 3, (2.91, 2.93), None),
        ]
        assert {(e.day, e.timing) for _, e in typed.entries} == {(DAY, Timing.HAND)}

    def test_goes_on_after_the_runs_that_are_logged(self):
        assert [e.run for _, e in grid("Wren 2.71 2.70", {"Wren": 3}).entries] == [4, 5]

    def test_tells_who_was_absent(self):
        ((line, entry),) = grid("Bram absent").entries
        assert (line, entry.what, entry.athlete) == (1, What.ABSENT, "Bram")

    def test_tells_every_line_that_is_wrong(self):
        typed = grid("Bran 2.7\nTarik\nWren 2.7 x\nWren 2.7\nBram 2.7 99.0\nTarik 2.7\nTarik 2.8")
        told = "\n".join(said(typed))
        assert [each.line for each in typed.problems.found] == [1, 2, 3, 4, 5, 6, 7]
        assert 'line 1: nobody called "Bran" is in the plan; did you mean "Bram"?' in told
        assert "line 2: Tarik has no runs" in told
        assert 'line 3: "x" is no time' in told
        assert "line 4: Wren stands in line 3 too" in told
        assert "run 2 of Bram" in told
        assert "between 0.3 and 60 s" in told


class TestATable:
    @pytest.mark.parametrize("separator", [",", ";", "\t"])
    def test_is_read_with_any_separator_its_columns_in_any_order(self, separator):
        text = "Note,TIME,steps,Athlete,wind,from,to,run,timing,date\n"
        text += 'good,"2.71",12,wren,+1.8,W1,w8,4,gates,2026-02-01\n'
        typed = times("\ufeff" + text.replace(",", separator).replace("\n", "\r\n"))
        assert said(typed) == []
        ((line, entry),) = typed.entries
        assert (line, entry.athlete, entry.times_s, entry.steps) == (2, "Wren", (2.71,), 12)
        assert (entry.run, entry.day, entry.timing) == (4, dt.date(2026, 2, 1), Timing.GATES)
        assert (entry.wind_mps, entry.from_mark, entry.to_mark) == (1.8, "W1", "w8")
        assert entry.note == "good"

    @pytest.mark.parametrize(
        ("text", "wind_mps"),
        [("-0,4", -0.4), ("−0.4", -0.4), ("1.8 m/s", 1.8), ("-2 m/s", -2.0), ("0.0", 0.0)],
    )
    def test_wind_has_its_sign(self, text, wind_mps):
        typed = times(f"athlete;time;wind\nWren;2.71;{text}\n")
        assert said(typed) == []
        assert typed.entries[0][1].wind_mps == wind_mps

    @pytest.mark.parametrize("frames", ['"12, 26,41,55"', "12 26 41 55"])
    def test_touchdowns_of_a_video_are_frames_in_a_row(self, frames):
        typed = times(f"athlete,time,touchdowns,fps\nWren,2.71,{frames},60\n")
        assert said(typed) == []
        ((_, entry),) = typed.entries
        assert (entry.touchdowns, entry.fps, entry.timing) == ((12, 26, 41, 55), 60, Timing.HAND)

    @pytest.mark.parametrize(
        ("frames", "why"),
        [
            ("12 26 x,60", "is not a whole number"),
            ("12 26 41,", "need the frames a second"),
            ("26 12,60", "must rise"),
            ("12 26 41 80,60", "a touchdown is left out"),
        ],
    )
    def test_touchdowns_that_cannot_be_are_refused(self, frames, why):
        (told,) = said(times(f"athlete,time,touchdowns,fps\nWren,2.71,{frames}\n"))
        assert why in told

    def test_frames_that_are_the_same_for_all_go_with_those_that_were_filmed(self):
        like = Common(day=DAY, timing=Timing.VIDEO, fps=120)
        data = b"athlete,time,timing,touchdowns\nWren,2.71\nWren,2.7,hand\nWren,2.7,hand,9 39 70\n"
        typed = read_times(data, "times.csv", NAMES, like)
        assert said(typed) == []
        assert [entry.fps for _, entry in typed.entries] == [120, None, 120]

    def test_runs_that_are_not_numbered_are_counted_an_athlete_a_day(self):
        typed = times("athlete;time;date\nWren;2,71;\nBram;2,9;\nWren;2,7;\nWren;2,6;2026-03-01\n")
        assert [(e.athlete, e.run) for _, e in typed.entries] == [
            ("Wren", 1),
            ("Bram", 1),
            ("Wren", 2),
            ("Wren", 1),
        ]

    def test_columns_that_are_not_known_are_named_and_left(self):
        typed = times("athlete,time,reaction\nWren,2.71,0.14\n")
        assert (typed.strange, len(typed.entries)) == (("reaction",), 1)

    def test_every_bad_row_is_told_at_once_with_its_line_and_column(self):
        typed = times(
            "athlete,time,run,date,timing,wind,steps\n"
            "Tarick,2.71\nTarik,271\n,2.7\nTarik,\nTarik,2.7,x\nTarik,2.7,1,3.3.2026\n"
            "Tarik,2.7,1,,beam\nTarik,2.7,1,,,strong\nTarik,2.7,1,,,,9999\nTarik,2.7,1,,,,,7\n"
            'Tarik,"2.7\nTarik,2.70\n'
        )
        assert [each.line for each in typed.problems.found] == list(range(2, 13))
        told = said(typed)
        assert 'line 2: athlete: nobody called "Tarick"' in told[0]
        assert told[0].endswith('did you mean "Tarik"?')
        assert "line 6: run: " in told[4]
        assert "separate by semicolons" in told[9]
        assert [line for line, _ in typed.entries] == [13]

    @pytest.mark.parametrize(
        ("text", "why"),
        [
            ("", "is empty"),
            ("name,seconds\n", 'there is no column "athlete"'),
            ("athlet,time\n", 'is it "athlet"\\? name it athlete'),
            ("athlete,time,time\n", '"time" is there twice'),
        ],
    )
    def test_without_the_columns_it_needs_it_is_refused(self, text, why):
        with pytest.raises(PlanFileError, match=why):
            times(text)


@pytest.mark.parametrize("read", [grid, times])
def test_anything_at_all_is_read_or_refused_and_what_is_said_can_be_shown(read):
    seeded = random.Random(3)  # noqa: S311 - the same files in every run
    good = ["Wren 2.71 -\n", "Tarik: 2,7*\n", "Bram;2.71\n", "wren;2,7\n", "\n"]
    odd = [
        "\x00",
        "\u202e",
        "\ud7ff",
        "9" * 400,
        '"',
        ";",
        ",",
        "\t",
        "athlete",
        "time",
        "absent",
        "2",
    ]
    seen = 0
    for number in range(300):
        begin = "athlete;time\n" if number % 2 else ""
        text = begin + "".join(seeded.choices(good * 3 + odd, k=seeded.randint(0, 12)))
        try:
            typed = read(text)
            told = said(typed)
            seen += len(typed.entries)
        except PlanFileError as error:
            told = [str(error)]
        assert all(each.replace("\n", "").isprintable() for each in told)
    assert seen > 50
