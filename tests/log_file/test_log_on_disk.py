"""The log on disk: nothing typed is lost, whatever is found there, whoever writes beside."""

from __future__ import annotations

import csv
import datetime as dt
import io
import locale
import os
import random
import stat
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wicketlay.drills.marks import RunOver
from wicketlay.errors import CannotWriteError, DomainError
from wicketlay.files import sidecar
from wicketlay.files.appending import MOST_BYTES, log_of
from wicketlay.keys.problems import PlanFileError
from wicketlay.log_file.log import open_log, separator_here
from wicketlay.running.facts import Timing
from wicketlay.session.log import Entry, Flag, What, correction

GROUND = ("zone_cm", "run_on_cm", "asked_permille", "moving_cm_s")
DAY = dt.date(2026, 3, 3)


@pytest.fixture
def plan(tmp_path, monkeypatch):
    monkeypatch.setattr(sidecar, "state_folder", lambda: tmp_path / "state" / "wicketlay")
    (tmp_path / "season").mkdir()
    path = tmp_path / "season" / "tuesday.toml"
    path.write_text("the plan\n")
    return path


def a_run(run=1, athlete="Wren", **more) -> Entry:
    return Entry(day=DAY, athlete=athlete, run=run, at_s=30 * run, **more)


def timed(run=1, athlete="Wren", time_s=2.71, **more) -> Entry:
    return a_run(run, athlete, times_s=(time_s,), timing=Timing.HAND, **more)


NAMES = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Co", "Cn")),
    min_size=1,
    max_size=20,
).map(str.strip)
WHOLE = st.integers


@st.composite
def entries(draw) -> Entry:
    """Any run that can be told."""
    times = tuple(draw(st.lists(st.floats(0.3, 60.0), max_size=6)))
    timing = draw(st.sampled_from(Timing)) if times else None
    video, filmed = timing is Timing.VIDEO, draw(st.sampled_from([(), (12, 26, 41, 55)]))
    return Entry(
        day=draw(st.dates(dt.date(1900, 1, 1), dt.date(2200, 12, 31))),
        athlete=draw(NAMES.filter(bool)),
        run=draw(WHOLE(1, 99)),
        clock=draw(st.none() | st.times()),
        at_s=draw(st.none() | WHOLE(0, 86400)),
        lane=draw(st.none() | WHOLE(1, 60)),
        times_s=times,
        timing=timing,
        fps=60 if filmed else draw(st.none() | WHOLE(10, 2000)) if video else None,
        steps=None if filmed else draw(st.none() | WHOLE(2, 400)),
        touchdowns=filmed,
        **draw(
            st.just({})
            | st.fixed_dictionaries(
                {"miss_m": st.floats(-3.0, 3.0), "slide_m": st.none() | st.floats(-5.0, 5.0)}
            )
        ),
        **draw(
            st.just({})
            | st.fixed_dictionaries(
                {
                    "from_mark": st.just("w1"),
                    "to_mark": st.just("w12"),
                    "zone_m": st.floats(3.0, 400.0),
                    "run_on_m": st.floats(0.0, 200.0),
                    "asked_share": st.floats(0.5, 1.0),
                    "moving_mps": st.floats(0.0, 5.0),
                }
            )
        ),
        wind_mps=draw(st.none() | st.floats(-10.0, 10.0)),
        effort_share=draw(st.none() | st.floats(0.5, 1.0)),
        flag=draw(st.none() | st.sampled_from([Flag.HIT, Flag.STUMBLED])),
        note=draw(st.just("") | NAMES),
    )


class TestALogWithoutAColumn:
    """A log that was begun before there was a column for what is told now."""

    @pytest.fixture
    def older(self, plan):
        open_log(plan).add(timed(1))
        path = log_of(plan)
        lines = path.read_text("utf-8").splitlines()
        at = lines[0].split(",").index("touchdowns")
        kept = [",".join(f for n, f in enumerate(line.split(",")) if n != at) for line in lines]
        path.write_text("\n".join(kept) + "\n", "utf-8")
        return plan

    def test_goes_on_as_it_was_while_nothing_wants_the_column(self, older):
        open_log(older, ",").add(timed(2))
        assert log_of(older).read_text("utf-8").count("athlete") == 1

    def test_names_its_columns_anew_from_where_one_is_wanted_and_is_read_as_one(self, older):
        filmed = timed(2, touchdowns=(12, 26, 41, 55), fps=60)
        open_log(older).add(filmed)
        log = open_log(older).checked()
        assert [each.touchdowns for each in log.entries] == [(), filmed.touchdowns]
        log.add(timed(3))
        assert [each.run for each in open_log(older).checked().entries] == [1, 2, 3]


class TestWhatIsWritten:
    @given(st.lists(entries(), max_size=5), st.sampled_from([",", ";", "\t"]))
    @settings(max_examples=30)
    def test_any_entry_is_read_as_it_was_written(self, tmp_path_factory, told, separator):
        at = tmp_path_factory.mktemp("log") / "tuesday.toml"
        log = open_log(at, separator).add(*told)
        again = open_log(at)
        assert again.entries == log.entries
        assert [(e.run, e.athlete, e.times_s, e.note) for e in again.checked().entries] == [
            (e.run, e.athlete, e.times_s, e.note) for e in told
        ]

    @pytest.mark.parametrize("separator", [",", ";"])
    def test_holds_no_decimal_mark_and_is_marked_as_utf8(self, plan, separator):
        open_log(plan, separator).add(
            timed(athlete="Odalys Ñandú", wind_mps=-1.8, effort_share=0.98, clock=dt.time(17, 5, 9))
        )
        data = log_of(plan).read_bytes()
        assert data.startswith(b"\xef\xbb\xbfentry" + separator.encode())
        (row,) = csv.DictReader(io.StringIO(data.decode("utf-8-sig")), delimiter=separator)
        assert (row["times_ms"], row["wind_cm_s"], row["effort_percent"]) == ("2710", "-180", "98")
        assert (row["athlete"], row["date"], row["clock"]) == (
            "Odalys Ñandú",
            "2026-03-03",
            "17:05:09",
        )

    def test_a_miss_at_the_board_is_whole_centimetres_with_the_slide_it_had(self, plan):
        open_log(plan, ",").add(a_run(miss_m=-0.304, slide_m=0.12), timed(2, miss_m=0.0))
        with log_of(plan).open(encoding="utf-8-sig") as file:
            told = [(row["miss_cm"], row["slide_cm"]) for row in csv.DictReader(file)]
        assert told == [("-30", "12"), ("0", "")]
        assert [e.miss_m for e in open_log(plan).entries] == [-0.3, 0.0]

    def test_what_a_run_was_timed_over_is_whole_numbers_that_no_correction_loses(self, plan):
        over = {
            "from_mark": "w1",
            "to_mark": "w12",
            "zone_m": 20.514,
            "run_on_m": 16.606,
            "asked_share": 0.9354,
            "moving_mps": 2.998,
        }
        log = open_log(plan, ",").add(timed(**over))
        log.add(correction(log.entries[0], times_s=(2.68,)))
        with log_of(plan).open(encoding="utf-8-sig") as file:
            rows = list(csv.DictReader(file))
        for row in rows:
            told = [row[each] for each in GROUND]
            assert told == ["2051", "1661", "935", "300"]
        (one, other) = open_log(plan).checked().entries
        assert one.over == other.over
        assert one.over == RunOver(zone_m=20.51, run_on_m=16.61, asked_share=0.935, moving_mps=3.0)

    @pytest.mark.parametrize(
        ("cells", "said"),
        [
            (
                ("w1", "w12", "2051000", "1661", "935", "0"),
                "zone_cm: 2051000 cm is too large; allowed: 300 to 40000 cm",
            ),
            (("w1", "w12", "-2051", "1661", "935", "0"), "zone_cm: -2051 cm is too small"),
            (("w1", "w12", "20.51", "1661", "935", "0"), 'zone_cm: "20.51" is not a whole number'),
            (
                ("w1", "w12", "2051", "20100", "935", "0"),
                "run_on_cm: 20100 cm is too large; allowed: 0 to 20000 cm",
            ),
            (("w1", "w12", "2051", "9999999999", "935", "0"), "run_on_cm: "),
            (("w1", "w12", "2051", "1661", "93", "0"), "asked_permille: 93 ‰ is too small"),
            (("w1", "w12", "2051", "", "935", "0"), "give all of them, or none"),
            (("w1", "w12", "2051", "1661", "935", "501"), "moving_cm_s: 501 cm/s is too large"),
            (("", "", "2051", "1661", "935", "0"), "give all of them, or none"),
        ],
    )
    def test_a_zone_that_cannot_be_is_refused_with_its_line_and_the_range(self, plan, cells, said):
        head = ",".join(("entry,date,what,athlete,run,from,to", *GROUND))
        row = ",".join(("1", "2026-03-03", "run", "Wren", "1", *cells))
        log_of(plan).write_text(f"{head}\n{row}\n", "utf-8")
        log = open_log(plan)
        (told,) = log.problems
        assert told.line == 2
        assert said in str(told)
        assert log.entries == ()

    def test_a_name_that_would_run_as_a_formula_stands_behind_an_apostrophe(self, plan):
        open_log(plan).add(timed(athlete="=1+1"), timed(athlete="'=1"), timed(athlete="'t Hart"))
        with log_of(plan).open(encoding="utf-8-sig") as file:
            assert [r["athlete"] for r in csv.DictReader(file)] == ["'=1+1", "''=1", "'t Hart"]
        assert [e.athlete for e in open_log(plan).entries] == ["=1+1", "'=1", "'t Hart"]

    def test_whoever_may_read_the_plan_may_read_the_log(self, plan):
        plan.chmod(0o640)
        before = os.umask(0)
        try:
            open_log(plan).add(timed())
        finally:
            os.umask(before)
        assert stat.S_IMODE(log_of(plan).stat().st_mode) == 0o640

    def test_a_plan_behind_a_link_has_one_log(self, plan, tmp_path):
        (tmp_path / "linked.toml").symlink_to(plan)
        open_log(tmp_path / "linked.toml").add(timed())
        assert len(open_log(plan).entries) == 1

    def test_the_separator_is_that_of_the_country(self, monkeypatch):
        marks = iter([{"decimal_point": ","}, {"decimal_point": "."}])
        monkeypatch.setattr(locale, "localeconv", lambda: next(marks))
        assert [separator_here(), separator_here()] == [";", ","]

    def test_a_log_that_a_spreadsheet_saved_anew_is_gone_on_with_as_it_is(self, plan):
        log = open_log(plan, ",").add(timed(1), timed(2))
        text = log_of(plan).read_text("utf-8-sig").replace(",", ";").replace("\n", "\r\n")
        log_of(plan).write_bytes(text.encode())
        assert open_log(plan, ",").add(timed(3)).entries[:2] == log.entries
        assert [e.run for e in open_log(plan).checked().entries] == [1, 2, 3]
        assert log_of(plan).read_bytes().splitlines()[-1].startswith(b"3;;2026-03-03;")

    def test_a_correction_of_what_is_not_there_is_refused_and_nothing_is_written(self, plan):
        log = open_log(plan).add(timed())
        before = log_of(plan).read_bytes()
        with pytest.raises(DomainError, match="no entry 7"):
            log.add(Entry(day=DAY, what=What.GONE, replaces=7))
        with pytest.raises(DomainError, match="control character"):
            log.add(a_run(2, "Wren\x1b[2J"))
        assert log_of(plan).read_bytes() == before


class TestHalfLines:
    def test_cut_anywhere_what_was_whole_is_read_and_the_rest_is_told(self, plan):
        log = open_log(plan).add(timed(1, note='a "good", long one'))
        whole = log_of(plan).read_bytes()
        last = timed(2, "Ångström", note='one; "more", too')
        longer = log.add(last)
        line = log_of(plan).read_bytes()[len(whole) :]
        for cut in range(1, len(line)):
            log_of(plan).write_bytes(whole + line[:cut])
            found = open_log(plan)
            assert found.entries == log.entries
            (said,) = found.told
            assert "line 3: was cut off" in said
            assert said.endswith(line[:cut].decode("utf-8", "replace"))
            added = found.add(last)
            assert added.entries[-1].run == 2
            again = open_log(plan).checked()
            assert again.entries == added.entries
            assert [e.run for e in again.entries] == [1, 2]
            # a quotation mark that was open is closed, or it would swallow what comes after
            assert [each.rstrip('"') for each in again.told] == [said.rstrip('"')]
        log_of(plan).write_bytes(whole + line)
        assert open_log(plan).entries == longer.entries

    def test_cut_in_the_first_line_a_log_begins_again_below(self, plan):
        open_log(plan).add(timed(1))
        head = log_of(plan).read_bytes().split(b"\n")[0]
        for cut in (*range(0, len(head), 9), len(head)):
            log_of(plan).write_bytes(head[:cut])
            open_log(plan).add(timed(1))
            assert [e.run for e in open_log(plan).checked().entries] == [1]

    def test_zeros_after_a_loss_of_power_are_set_aside(self, plan):
        open_log(plan).add(timed(1))
        with log_of(plan).open("ab") as file:
            file.write(b"\x00" * 700)
        assert open_log(plan).add(timed(2)).told[0].count("u0000") == 700
        assert [e.run for e in open_log(plan).checked().entries] == [1, 2]


class TestTwoPlaces:
    def test_a_folder_that_cannot_be_written_has_its_log_in_the_state_folder(
        self, plan, monkeypatch
    ):
        log = open_log(plan).add(timed(1))
        here = log_of(plan)
        opened = os.open

        def refusing(path, flags, *more):
            if os.fspath(path) == os.fspath(here) and flags & os.O_RDWR:
                raise PermissionError(13, "Permission denied")
            return opened(path, flags, *more)

        monkeypatch.setattr(os, "open", refusing)
        log = log.add(timed(2), timed(3))
        assert [e.number for e in log.entries] == [1, 2, 3]
        again = open_log(plan)
        assert again.entries == log.entries
        assert len(again.paths) == 2
        assert again.told[-1].startswith("entries 2 to 3 are in ")
        monkeypatch.setattr(os, "open", opened)
        assert [e.number for e in open_log(plan).add(timed(4)).entries] == [1, 2, 3, 4]

    def test_where_neither_can_be_written_it_says_so(self, plan, monkeypatch):
        (plan.parent / "tuesday.log.csv").mkdir()
        monkeypatch.setattr(sidecar, "state_folder", lambda: plan)
        with pytest.raises(PlanFileError, match="cannot be read: is no longer a file"):
            open_log(plan)
        (plan.parent / "tuesday.log.csv").rmdir()
        log = open_log(plan)
        (plan.parent / "tuesday.log.csv").mkdir()
        with pytest.raises(CannotWriteError, match="nothing was written"):
            log.add(timed(1))

    def test_a_full_disk_leaves_no_half_line(self, plan, monkeypatch):
        log = open_log(plan).add(timed(1))
        before = log_of(plan).read_bytes()
        write = os.write

        def filling(handle, data):
            if len(data) > 10:
                return write(handle, data[:10])
            raise OSError(28, os.strerror(28))

        monkeypatch.setattr(os, "write", filling)
        with pytest.raises(CannotWriteError, match="no space left"):
            log.add(timed(2))
        assert log_of(plan).read_bytes() == before

    def test_a_log_as_long_as_may_be_is_not_made_longer(self, plan):
        log = open_log(plan).add(timed(1))
        with log_of(plan).open("ab") as file:
            file.write(b"\n" * (MOST_BYTES - file.tell()))
        with pytest.raises(PlanFileError, match="lines"):
            log.add(timed(2))


def test_two_programs_at_once_lose_nothing_and_give_no_number_twice(plan):
    code = (
        "import datetime as dt, sys\n"
        "from wicketlay.log_file.log import open_log\n"
        "from wicketlay.session.log import Entry\n"
        "log = open_log(sys.argv[1])\n"
        "for run in range(1, 41):\n"
        "    log = log.add(Entry(day=dt.date(2026, 3, 3), athlete=sys.argv[2], run=run))\n"
        "print(*[e.number for e in log.entries if e.athlete == sys.argv[2]])\n"
    )
    both = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(plan), who], stdout=subprocess.PIPE, text=True
        )
        for who in ("Wren", "Kit")
    ]
    said = [each.communicate(timeout=60)[0].split() for each in both]
    found = open_log(plan).checked().entries
    assert [e.number for e in found] == list(range(1, 81))
    assert sorted(map(int, said[0] + said[1])) == list(range(1, 81))
    assert [e.run for e in found if e.athlete == "Kit"] == list(range(1, 41))


class TestHostileFiles:
    def refused(self, plan, data: bytes) -> str:
        log_of(plan).write_bytes(data)
        with pytest.raises(PlanFileError) as error:
            open_log(plan).checked()
        assert str(error.value).isprintable() or "\n" in str(error.value)
        return str(error.value)

    HEAD = b"entry,replaces,date,what,athlete,run,times_ms,timing\n"
    """Columns may be left out where nothing stands in them."""

    @pytest.mark.parametrize(
        ("data", "told"),
        [
            (b"name,height\nWren,1.66\n", "this is not a practice log"),
            (b"\xff\xfee\x00n\x00", "UTF-16"),
            (b"entry,date,what,\xe9t\xe9\n", "0xe9 is not UTF-8"),
            (b"\x00" * 9 + b"\n", "control character U.0000"),
            (b"entry,date,what,entry\n", "not a practice log"),
            (b"entry,date,what,weather\n", 'there is no column "weather" in a log'),
            (HEAD + b"1,,2026-03-03,run,Wren,1,2710\n", "line 2: has 7 fields"),
            (HEAD + b"1,,2026-03-03,run,Wren,1,2,710,hand\n", "line 2: has 9 fields"),
            (HEAD + b"1,,3.3.2026,run,Wren,1,,\n", "write a day as 2026-03-04"),
            (HEAD + b"1,,2026-03-03,ran,Wren,1,,\n", 'did you mean "run"'),
            (HEAD + b"1,,2026-03-03,run,Wren,1,2.71,hand\n", "times_ms: .*whole number"),
            (HEAD + b"1,,2026-03-03,run,Wren,1,271000,hand\n", "times_ms: .*300 to 60000 ms"),
            (HEAD + b"1,,2026-03-03,run,,1,,\n", "needs an athlete"),
            (HEAD + b'1,,2026-03-03,run,"Wren,1,,\n', "quotation marks"),
            (HEAD + b"1,,2026-03-03,run,Wr\xc2\x9ben,1,,\n", "U\\+009B"),
            (HEAD + b"1,,2026-03-03,run,Wr\xe2\x80\xaeen,1,,\n", "U\\+202E"),
            (HEAD + b"99999999999999999999,,2026-03-03,run,Wren,1,,\n", "not a whole number"),
            (HEAD + b"1,3,2026-03-03,run,Wren,1,,\n", "does not come before"),
            (HEAD + b"2,1,2026-03-03,run,Wren,1,,\n", "there is no entry 1 before"),
            (HEAD + b"1,,2026-03-03,run,Wren,1,,\n" * 2, "line 3: entry: 1 is there twice"),
            (HEAD + b"x" * 5000 + b"\n", "up to 4000 in a line"),
            (HEAD + b"\n" * 100_001, "lines"),
            (b"x" * (MOST_BYTES + 1), "larger than 8 MiB"),
        ],
    )
    def test_is_refused_with_its_place_and_a_remedy(self, plan, data, told):
        import re

        assert re.search(told, self.refused(plan, data)), self.refused(plan, data)

    def test_every_bad_row_is_told_at_once_and_the_good_ones_are_there(self, plan):
        data = self.HEAD + b"1,,2026-03-03,run,Wren,1,,\n2,x,2026-03-03,run,Wren,2,,\n3,,,,,,,\n"
        text = self.refused(plan, data)
        assert text.count("\n") == 1
        assert "line 3: replaces" in text
        assert [e.number for e in open_log(plan).entries] == [1]
        # a number that stands in a bad row is not given again
        assert open_log(plan).add(Entry(day=DAY, athlete="Wren", run=4)).entries[-1].number == 4

    def test_damaged_at_random_it_is_read_or_refused(self, plan):
        log = open_log(plan).add(*(timed(n, note="ok; good") for n in range(1, 8)))
        log.add(correction(log.entries[0], note="changed"))
        whole = log_of(plan).read_bytes()
        seeded = random.Random(5)  # noqa: S311 - the same damage in every run
        seen = {"read": 0, "refused": 0}
        for _ in range(480):
            data = bytearray(whole)
            for _ in range(seeded.randint(1, 4)):
                at = seeded.randrange(len(data))
                data[at : at + seeded.randint(0, 3)] = seeded.randbytes(seeded.randint(0, 3))
            log_of(plan).write_bytes(data)
            try:
                open_log(plan).checked()
                said, result = "", "read"
            except PlanFileError as error:
                said, result = str(error), "refused"
            assert said.replace("\n", "").isprintable()
            seen[result] += 1
        assert min(seen.values()) > 5
