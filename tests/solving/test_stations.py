"""A practice of several stations: what they do to each other is found, and only then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from wicketlay.errors import DomainError
from wicketlay.plan import Adjustment
from wicketlay.plan_file import PlanFileError, open_plan, open_practice
from wicketlay.session.schedule import EventKind
from wicketlay.sheets.page.model import Text
from wicketlay.sheets.session import clock_text
from wicketlay.sheets.stamp import CHECK_LENGTH
from wicketlay.sheets.stations import station_pages
from wicketlay.stations import LEFT_LYING, Practice, Shared, Station, solve_practice, with_plan
from wicketlay.wording import word

LAYOUTS = Path(__file__).parents[2] / "layouts"


@pytest.fixture(scope="module")
def practice() -> Practice:
    return open_practice(LAYOUTS / "harbour-practice.toml").practice


def at(practice: Practice, place: int, **changes) -> Practice:
    stations = list(practice.stations)
    stations[place] = replace(stations[place], **changes)
    return replace(practice, stations=tuple(stations))


def placed(practice: Practice, place: int, **changes) -> Practice:
    plan = practice.stations[place].plan
    return at(practice, place, plan=replace(plan, place=replace(plan.place, **changes)))


def codes(practice: Practice) -> list[str]:
    return [finding.code for finding in solve_practice(practice).findings]


def test_the_layout_of_three_stations_has_nine_athletes_and_collides_nowhere(practice):
    solved = solve_practice(practice)
    names = [n for each in solved.stations for laying in each.layings for n in laying.athletes]
    assert len(set(names)) == len(names) == 9
    assert solved.findings == ()
    assert max(each.end_s for each in solved.happenings) <= 75 * 60.0


def test_lanes_that_meet_stop_both_stations_and_one_after_the_other_they_do_not(practice):
    both = at(placed(practice, 1, lanes=(4,)), 1, begins_s=0.0)
    solved = solve_practice(placed(both, 1, lanes=(4,)))
    (found,) = [f for f in solved.findings if f.code == "stations-cross"]
    assert "Thursday wickets (lane 4)" in word(found).text
    for station in solved.stations[:2]:
        assert not any(station.may_lay(laying) for laying in station.layings)
    third = solved.stations[2]
    assert all(third.may_lay(laying) for laying in third.layings)
    later = at(placed(practice, 1, lanes=(4,)), 1, begins_s=60 * 60.0)
    assert "stations-cross" not in codes(later)


def test_two_stations_on_one_runway_meet_on_it_and_on_no_lane(practice):
    jumps = practice.stations[2].plan
    twice = at(practice, 1, plan=replace(jumps, title="More take-offs"), begins_s=20 * 60.0)
    found = [f for f in solve_practice(twice).findings if f.code.startswith("stations-cross")]
    assert [word(f).text for f in found] == [
        "More take-offs and Thursday take-offs meet on the runway: run-up, marks or slow-down of "
        "one lie on the other"
    ]


def test_marks_of_a_station_that_is_over_are_taken_up_before_the_next_on_that_ground(practice):
    jumps = practice.stations[2].plan
    begins_s = practice.stations[2].begins_s
    more, last = (
        Station(plan=replace(jumps, title=title), begins_s=begins_s + later_s)
        for title, later_s in (("More take-offs", 3600.0), ("Last take-offs", 7200.0))
    )
    three = replace(practice, stations=(*practice.stations[1:], more, last))
    solved = solve_practice(three)
    # Of a lane elsewhere nothing is said, and nothing of marks that were taken up before.
    assert [word(f).text for f in solved.findings if f.code == LEFT_LYING] == [
        "More take-offs: marks of Thursday take-offs lie in its way when it begins, 1 h 20 min in",
        "Last take-offs: marks of More take-offs lie in its way when it begins, 2 h 20 min in",
    ]
    assert all(each.may_lay(laying) for each in solved.stations for laying in each.layings)
    pages = station_pages(solved, only=("tape",)).pages()
    paper = [" ".join(item.text for item in page.items if isinstance(item, Text)) for page in pages]
    lifted = [text.split(" first. Carry:")[0] for text in paper if "Take up all" in text]
    assert [text[text.index("Take up all") :] for text in lifted] == [
        "Take up all marks of Thursday take-offs",
        "Take up all marks of More take-offs",
    ]


def test_nobody_runs_beside_a_lane_another_station_lays(practice):
    beside = at(placed(practice, 1, lanes=(5,)), 1, begins_s=10 * 60.0)
    solved = solve_practice(beside)
    (found, *_) = [f for f in solved.findings if f.code == "stations-run-beside-laying"]
    work = [e for e in solved.happenings if e.event.kind is not EventKind.RUN]
    assert found.values["from_duration_s"] in {each.start_s for each in work}


def test_who_is_named_at_two_stations_at_once_is_told_with_the_time(practice):
    wickets = practice.stations[0].plan
    tarik = next(a for a in wickets.athletes if a.name == "Tarik")
    flying = practice.stations[1].plan
    both = at(practice, 1, plan=replace(flying, athletes=(*flying.athletes, tarik)))
    solved = solve_practice(both)
    (found,) = [f for f in solved.findings if f.code == "stations-share-athletes"]
    assert found.values["names"] == "Tarik"
    runs = [
        [e for e in solved.happenings if e.event.athlete == "Tarik" and e.station == i]
        for i in (0, 1)
    ]
    assert found.values["from_duration_s"] == max(min(e.start_s for e in own) for own in runs)
    assert found.values["to_duration_s"] == min(max(e.end_s for e in own) for own in runs)
    after = at(both, 1, begins_s=60 * 60.0)
    assert "stations-share-athletes" not in codes(after)


def test_one_bag_is_counted_over_the_stations_that_lie_at_once(practice):
    small = replace(practice, shared=replace(practice.shared, wickets=20))
    (found,) = [f for f in solve_practice(small).findings if f.code == "stations-bag-too-small"]
    assert (found.values["needed"], found.values["bag"]) == (24, 20)
    assert found.values["names"] == "Thursday wickets, Thursday take-offs"
    assert "stations-bag-too-small" not in codes(at(small, 2, begins_s=60 * 60.0))


def test_what_is_left_in_a_bag_is_told_where_no_other_station_takes_from_it(practice):
    def told(asked: Practice) -> int:
        document = station_pages(solve_practice(asked), only=("tape",))
        items = (item for sheet in document for page in sheet.pages for item in page.items)
        return sum("in the bag after this" in getattr(item, "text", "").lower() for item in items)

    assert practice.shared.wickets is not None
    assert told(practice) == 0
    assert told(replace(practice, shared=replace(practice.shared, wickets=None))) > 0


def test_hands_are_counted_over_all_stations(practice):
    at_once = at(at(practice, 1, begins_s=0.0), 2, begins_s=0.0)
    (found,) = [f for f in solve_practice(at_once).findings if f.code == "stations-hands-missing"]
    assert (found.values["needed"], found.values["there"]) == (3, 2)


def test_the_hour_is_that_of_the_last_station(practice):
    late = at(practice, 2, begins_s=70 * 60.0)
    (found,) = [f for f in solve_practice(late).findings if f.code == "stations-too-long"]
    ends_s = max(each.end_s for each in solve_practice(late).happenings)
    assert found.values["over_duration_s"] == ends_s - 75 * 60.0


def test_day_bag_and_hands_of_the_practice_hold_at_every_station(practice):
    few = replace(practice, shared=Shared(assistants=1, wickets=6))
    for solved in solve_practice(few).stations:
        assert solved.plan.kit.wickets <= 6
        assert solved.plan.session.assistants == 1


def test_the_coachs_packet_begins_with_one_timetable_in_place_of_one_a_station(practice):
    document = station_pages(solve_practice(practice), only=("tape", "session"))
    kinds = [sheet.kind for sheet in document]
    # The tape sheets of all stations come first, on paper of their own.
    assert kinds == [*["tape"] * 7, "blank", "session"]
    assert kinds.count("session") == 1
    assert kinds.count("tape") == 7


def test_a_single_mark_that_is_moved_is_told_as_one(practice):
    (one, _, _) = practice.stations
    wren = replace(one.plan.athletes[0], name="Wren")
    plan = replace(
        one.plan,
        athletes=(wren, replace(wren, name="Bram")),
        adjustments=(Adjustment(athlete="Bram", start_shift_m=-1.0),),
        place=replace(one.plan.place, lanes=(3,)),
    )
    solved = solve_practice(replace(practice, stations=(replace(one, plan=plan),)))
    words = [
        item.text
        for page in station_pages(solved, only=("session",)).pages()
        for item in page.items
        if isinstance(item, Text)
    ]
    assert "MOVE 1 mark for wave 2" in words


def test_every_event_of_every_station_is_in_order_of_time(practice):
    solved = solve_practice(practice)
    starts = [each.start_s for each in solved.happenings]
    assert starts == sorted(starts)
    events = sum(len(each.session.events) for each in solved.stations)
    assert len(starts) == events
    begins = practice.stations[2].begins_s
    assert min(e.start_s for e in solved.happenings if e.station == 2) == begins


def test_a_practice_file_tells_every_problem_with_its_line(tmp_path):
    path = tmp_path / "p.toml"
    path.write_text(
        """\
format = 1
kind = "practice"

[practice]
length = "75"
assistants = 0

[[station]]
plan = "nowhere.toml"
begins = "-3 min"
""",
        encoding="utf-8",
    )
    with pytest.raises(PlanFileError) as refused:
        open_practice(path)
    lines = [f"{problem.line}" for problem in refused.value.problems]
    assert lines == ["5", "6", "10"]
    with pytest.raises(PlanFileError, match="this is a practice of several plans"):
        open_plan(path)


@pytest.mark.parametrize("wrong", [{"assistants": 0}, {"wickets": -1}, {"length_s": 1.0}])
def test_what_cannot_be_shared_is_refused(wrong):
    with pytest.raises(DomainError):
        Shared(**wrong)


def test_a_station_is_a_plan_with_its_beginning(practice):
    assert isinstance(practice.stations[0], Station)
    assert [station.begins_s for station in practice.stations] == [0.0, 480.0, 1200.0]


def stamps(document):
    return [
        next(item.text for item in page.items if getattr(item, "text", "").startswith("sheet "))
        for sheet in document
        if sheet.kind != "blank"
        for page in sheet.pages
    ]


def test_the_sheets_of_all_stations_are_counted_through_and_each_has_the_check_of_its_readings(
    practice,
):
    document = station_pages(solve_practice(practice))
    told = [each.split(" · ") for each in stamps(document)]
    assert [each[0] for each in told] == [
        f"sheet {number} of {len(document)}" for number in range(1, len(document) + 1)
    ]
    assert all(len(each[1]) == CHECK_LENGTH for each in told)
    moved = station_pages(solve_practice(placed(practice, 1, offset_m=-41.0)))
    changed = [
        sheet.title
        for sheet, was, now in zip(
            (each for each in document if each.kind != "blank"),
            stamps(document),
            stamps(moved),
            strict=True,
        )
        if was != now
    ]
    # Of the flying zone that lies elsewhere: its tape sheet and coach's page, and the timetable.
    assert changed == ["tape sheet", "timetable", "coach's page"]


def test_tape_sheets_follow_one_another_as_they_are_laid_with_the_time_of_the_practice(practice):
    solved = solve_practice(practice)
    document = station_pages(solved, only=("tape",))
    told = [
        item.text.partition("Lay at ")[2].partition(",")[0]
        for sheet in document
        for page in sheet.pages
        for item in page.items
        if "Lay at " in getattr(item, "text", "")
    ]
    work = [each for each in solved.happenings if each.event.kind is not EventKind.RUN]
    assert told == [clock_text(each.start_s) for each in work]
    assert clock_text(practice.stations[1].begins_s) in told


def test_the_timetable_of_all_tells_its_day_at_its_foot(practice):
    dated = replace(practice, date=date(2027, 4, 3))
    (sheet,) = (s for s in station_pages(solve_practice(dated), only=("session",)))
    said = {item.text for item in sheet.pages[0].items if isinstance(item, Text)}
    assert f"{dated.title} · 2027-04-03" in said
    # A runway stands in the column of lanes under its own name.
    assert {"3", "4", "7", "runway"} <= said


def test_only_the_timetable_of_all_tells_times_and_whether_the_practice_fits(practice):
    document = station_pages(solve_practice(practice))
    told = {
        sheet.kind: " ".join(
            getattr(item, "text", "") for page in sheet.pages for item in page.items
        )
        for sheet in document
    }
    assert "LAY 11 marks" in told["session"]
    assert "of 1 h 15 min: it fits" in told["session"]
    assert "LAY" not in told["practice"]


def test_sheets_are_listed_under_the_name_of_their_station(practice):
    groups = {sheet.group for sheet in station_pages(solve_practice(practice))}
    assert "Thursday flying 20s · coach's packet" in groups
    assert "Thursday wickets · lane 3, home straight, wave 1" in groups


def test_with_another_plan_at_one_station_the_others_are_not_solved_again(practice):
    solved = solve_practice(practice)
    both = placed(practice, 1, lanes=(4,))
    changed = with_plan(solved, 1, both.stations[1].plan)
    assert changed.findings == solve_practice(both).findings
    assert changed.stations[2] is solved.stations[2]
    assert not any(changed.stations[0].may_lay(each) for each in changed.stations[0].layings)
    back = with_plan(changed, 1, practice.stations[1].plan)
    assert back.findings == solved.findings == ()
    assert all(back.stations[0].may_lay(each) for each in back.stations[0].layings)
    assert changed.findings_at(2) == tuple(
        each for each in changed.findings if each.code != "stations-cross"
    )


def test_a_station_that_takes_longer_than_what_is_left_of_the_hour_says_what_would_fit(practice):
    plan = practice.stations[0].plan
    long = replace(plan, session=replace(plan.session, efforts=9, length_s=90 * 60.0))
    late = at(practice, 0, plan=long, begins_s=45 * 60.0)
    solved = solve_practice(late)
    assert "stations-too-long" in {f.code for f in solved.findings}
    session = solved.stations[0].session
    assert session.length_s == 30 * 60.0
    assert {way.code for way in session.ways} >= {"session-shorter-efforts"}
