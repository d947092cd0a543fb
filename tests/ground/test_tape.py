import math

import pytest
from ground_layouts import layouts, takeoff_layout, wicket_layout, zone_layout
from hypothesis import given
from hypothesis import strategies as st

from wicketlay.errors import DomainError
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.placing import Direction, Place, place
from wicketlay.ground.tape import (
    PullDirection,
    TapeClass,
    TapeLies,
    TapeSpec,
    Tick,
    steel_reading_m,
    tape_error_mm,
    tape_sheet,
)

HOME = Place(line="home straight", landmark="finish", mark="w1", offset_m=-60.0)
BEND = Place(line="first bend", mark="w1", offset_m=30.0)
CURVE = Track()


def chord_m(arc_m, radius_m=36.80):
    """The straight distance along an arc of lane 1's bend."""
    return 2.0 * radius_m * math.sin(arc_m / (2.0 * radius_m))


def _sheet(layout=None, spec=None, ground=CURVE, where=HOME):
    layout = wicket_layout() if layout is None else layout
    return tape_sheet(place(layout, ground, where, lane=where.lanes[0]), spec or TapeSpec())


@pytest.mark.parametrize(("length_m", "error_mm"), [(10, 2.3), (3, 0.9), (5, 1.3), (8, 1.9)])
def test_t1_class_ii(length_m, error_mm):
    """T1: UK SI 2016/1153 Sch. 1I (EU 2014/32 Annex X)."""
    assert tape_error_mm(float(length_m), TapeClass.II) == pytest.approx(error_mm, abs=1e-12)


def test_t2_class_i():
    """T2: same source as T1."""
    assert tape_error_mm(10.0, TapeClass.I) == pytest.approx(1.1, abs=1e-12)


def test_t3_steel_tape_on_a_warm_day():
    """T3: road-measuring form: 999.99 ft read at 80 degF is 1000.067 ft."""
    foot = 0.3048
    reading = steel_reading_m(1000.067 * foot, (80.0 - 32.0) / 1.8)
    assert reading / foot == pytest.approx(999.99, abs=0.0005)


def test_t4_ticks_in_inches_are_exact():
    """T4: US Federal Register 2020-21902: 1 in = 0.0254 m."""
    assert Tick.HALF_INCH.metres == 0.0254 / 2
    assert Tick.QUARTER_INCH.metres == 0.0254 / 4
    sheet = _sheet(spec=TapeSpec(tick=Tick.QUARTER_INCH))
    _, reading = sheet.reading("start")
    assert reading.ticks == round(16.3 / 0.3048 * 48)


def test_lengths_are_rounded_up_to_whole_metres():
    assert tape_error_mm(9.001, TapeClass.II) == tape_error_mm(10.0, TapeClass.II)
    assert tape_error_mm(0.1 + 0.2 + 9.7, TapeClass.II) == tape_error_mm(10.0, TapeClass.II)
    found = [tape_error_mm(length_m, TapeClass.III) for length_m in (0.0, 3.0, 3.5)]
    assert found == pytest.approx([0.6, 1.8, 2.2])


@pytest.mark.parametrize("length", [-1.0, math.nan, math.inf])
def test_a_length_that_cannot_be_measured_is_refused(length):
    with pytest.raises(DomainError, match="length"):
        tape_error_mm(length, TapeClass.II)


def test_steel_is_true_at_20_degrees_and_refuses_a_furnace():
    assert steel_reading_m(30.0, 20.0) == 30.0
    assert steel_reading_m(30.0, 40.0) == pytest.approx(29.99304, abs=1e-5)
    with pytest.raises(DomainError, match="temperature"):
        steel_reading_m(30.0, 400.0)


def test_wickets_are_read_with_the_run_and_the_start_against_it():
    ahead, back = _sheet().pulls
    assert (ahead.number, ahead.zero_id, ahead.direction) == (1, "w1", PullDirection.RUNNING)
    assert (back.number, back.zero_id, back.direction) == (2, "w1", PullDirection.BACK)
    assert [r.mark_id for r in ahead.readings] == [f"w{i}" for i in range(1, 15)]
    assert [r.mark_id for r in back.readings] == ["w1", "start"]
    assert ahead.readings[0].ticks == back.readings[0].ticks == 0
    assert back.readings[1].ticks == 1630


def test_every_mark_is_read_cones_gates_and_landings_too():
    sheet = _sheet(zone_layout(), TapeSpec(length_m=60.0), where=Place(offset_m=-80.0))
    (pull,) = sheet.pulls
    assert pull.zero_id == "start"
    assert [(r.mark_id, r.ticks) for r in pull.readings] == [
        ("start", 0),
        ("step1", 90),
        ("gate1", 3000),
        ("gate2", 5000),
        ("cone1", 5000),
    ]


@given(layout=layouts, tick=st.sampled_from(Tick), length=st.floats(15.0, 60.0))
def test_readings_ascend_from_zero_and_lie_within_half_a_tick(layout, tick, length):
    placed = place(layout, Strip(), Place(), lane=1)
    sheet = tape_sheet(placed, TapeSpec(tick=tick, length_m=length))
    laid = {"w1": 0.0}
    for pull in sheet.pulls:
        ticks = [reading.ticks for reading in pull.readings]
        assert ticks[0] == 0
        assert ticks == sorted(ticks)
        assert pull.readings[0].mark_id == pull.zero_id
        way = 1.0 if pull.direction is PullDirection.RUNNING else -1.0
        for reading in pull.readings:
            at = laid[pull.zero_id] + way * reading.ticks * tick.metres
            true = placed.mark(reading.mark_id).mark.along_m
            # Never summed: however many pulls, a mark lies within half a tick of its place.
            assert abs(at - true) <= tick.metres / 2 + 1e-9
            laid.setdefault(reading.mark_id, at)
    assert set(laid) == {mark.id for mark in layout.marks}
    assert sheet.error_mm == max(r.error_mm for p in sheet.pulls for r in p.readings)


def test_a_short_tape_begins_anew_at_the_last_mark_it_reached():
    sheet = _sheet(spec=TapeSpec(length_m=20.0))
    first, second, back = sheet.pulls
    assert second.zero_id == first.readings[-1].mark_id == "w11"
    assert second.direction is PullDirection.RUNNING
    assert [r.mark_id for r in second.readings] == ["w11", "w12", "w13", "w14"]
    assert second.readings[0].ticks == 0
    assert first.readings[-1].ticks <= 2000
    assert back.zero_id == "w1"
    (note,) = (each for each in sheet.findings if each.mark is not None)
    assert (note.level, note.code, note.mark) == (Level.NOTE, "tape-new-pull", "w11")


def test_a_tape_that_reaches_no_mark_is_a_stop_and_a_longer_one_mends_it():
    sheet = _sheet(wicket_layout(run_on_m=24.3), TapeSpec(length_m=20.0))
    stop = next(f for f in sheet.findings if f.level is Level.STOP)
    assert (stop.code, stop.mark, stop.values["zero_mark"]) == ("tape-too-short", "start", "w1")
    assert sheet.reading("start")[1].ticks == 2430
    mended = _sheet(wicket_layout(run_on_m=24.3), TapeSpec(length_m=stop.values["longer_m"]))
    assert not any(f.code == "tape-too-short" for f in mended.findings)


def test_the_error_of_a_reading_is_class_and_rounding():
    _, reading = _sheet().reading("w14")
    assert reading.true_m == pytest.approx(24.44)
    assert reading.error_mm == pytest.approx(0.3 + 0.2 * 25 + 5.0)


def test_a_new_pull_adds_one_mark_error():
    _, start = _sheet().reading("start")
    assert start.error_mm == pytest.approx(5.0 + 0.3 + 0.2 * 17 + 5.0)
    one = _sheet(spec=TapeSpec(length_m=20.0)).reading("w14")[1]
    # 18.72 m to w11 on the first pull, 5.72 m from there on the second.
    assert one.error_mm == pytest.approx((0.3 + 0.2 * 19) + 5.0 + (0.3 + 0.2 * 6) + 5.0)


def test_a_warm_steel_tape_adds_its_expansion():
    plain, warm = (
        _sheet(spec=TapeSpec(temperature_c=t)).reading("w14")[1].error_mm for t in (20.0, 35.0)
    )
    assert warm - plain == pytest.approx(24.44 * 1.16e-5 * 15 * 1000, rel=1e-3)


@pytest.mark.parametrize("zero", ["start", "w14", "w5"])
def test_the_zero_may_be_any_mark(zero):
    sheet = _sheet(spec=TapeSpec(zero=zero))
    assert {pull.zero_id for pull in sheet.pulls} == {zero}
    read = [r.mark_id for pull in sheet.pulls for r in pull.readings]
    assert set(read) == {"start", *(f"w{i}" for i in range(1, 15))}
    if zero == "start":
        assert [pull.direction for pull in sheet.pulls] == [PullDirection.RUNNING]
    if zero == "w14":
        assert [pull.direction for pull in sheet.pulls] == [PullDirection.BACK]


def test_a_zero_that_is_not_there_is_a_stop_and_the_datum_is_used():
    sheet = _sheet(spec=TapeSpec(zero="w99"))
    stop = sheet.findings[0]
    assert (stop.level, stop.code) == (Level.STOP, "tape-zero-unknown")
    assert "w14" in stop.values["known"]
    assert sheet.pulls[0].zero_id == "w1"
    assert _sheet(spec=TapeSpec(zero="line")).findings[0].code == "tape-zero-unknown"


def test_the_line_is_a_zero_for_a_take_off_run_and_so_is_a_wicket():
    line = _sheet(takeoff_layout(), TapeSpec(zero="line"), Runway(), Place())
    assert line.pulls[0].zero_id == "line"
    wicket = _sheet(takeoff_layout(), TapeSpec(zero="w1"), Runway(), Place())
    assert [pull.direction for pull in wicket.pulls] == [
        PullDirection.RUNNING,
        PullDirection.BACK,
    ]
    with pytest.raises(KeyError):
        wicket.reading("line")


def test_running_against_the_line_reads_the_same():
    back = Place(line="home straight", offset_m=-20.0, direction=Direction.AGAINST)
    read = [
        [(r.mark_id, r.ticks) for p in sheet.pulls for r in p.readings]
        for sheet in (_sheet(), _sheet(where=back))
    ]
    assert read[0] == read[1]


def test_each_zero_is_told_by_two_fixed_points_the_one_in_reach_first():
    sheet = _sheet(spec=TapeSpec(length_m=50.0))
    check, finish = sheet.pulls[0].fixed_points
    assert (finish.landmark.key, finish.distance_m, finish.beyond) == ("finish", 60.0, False)
    assert check.landmark.text == "the line where the straight begins"
    assert (check.distance_m, check.beyond) == (pytest.approx(24.39), True)


@pytest.mark.parametrize("length_m", [60.0, 59.996])
def test_a_landmark_in_reach_comes_first_as_told(length_m):
    sheet = _sheet(spec=TapeSpec(length_m=length_m))
    assert sheet.pulls[0].fixed_points[0].landmark.key == "finish"
    assert sheet.findings == ()


@pytest.mark.parametrize("length_m", [30.0, 50.0, 59.99])
def test_a_told_landmark_that_the_tape_does_not_reach_is_said_to_be_left_for_another(length_m):
    (note,) = _sheet(spec=TapeSpec(length_m=length_m)).findings
    assert (note.level, note.code) == (Level.NOTE, "tape-told-far")
    assert (note.values["landmark"], note.values["away_m"]) == ("the finish line", 60.0)
    assert note.values["other"] == "the line where the straight begins"
    assert _sheet(spec=TapeSpec(length_m=note.values["longer_m"])).findings == ()


@pytest.mark.parametrize("length_m", [5.0, 30.0])
@pytest.mark.parametrize("told", [{"landmark": "nowhere"}, {"landmark": "finish", "mark": "w99"}])
def test_of_a_place_whose_words_are_not_known_nothing_is_far_from_the_zero(length_m, told):
    where = Place(offset_m=-60.0, **told)
    placed = place(wicket_layout(), Track(), where, lane=4)
    assert {f.level for f in placed.findings} == {Level.STOP}
    found = {f.code for f in tape_sheet(placed, TapeSpec(length_m=length_m)).findings}
    assert not found & {"tape-told-far", "tape-zero-far"}


def test_a_check_that_the_tape_does_not_reach_leaves_no_told_place():
    ends = [("gate", 0.0), ("tree", 100.0)]
    landmarks = (Landmark(key=key, text=key, chainage_m=ChainageM(at)) for key, at in ends)
    meadow = Strip(length_m=100.0, landmarks=tuple(landmarks))
    sheet = _sheet(ground=meadow, where=Place(landmark="gate", offset_m=40.0))
    assert [each.distance_m > 50.0 for each in sheet.pulls[0].fixed_points] == [False, True]
    assert sheet.findings == ()


def test_a_zero_no_tape_reaches_is_a_caution():
    gate = Landmark(key="gate", text="the gate", chainage_m=ChainageM(0.0))
    meadow = Strip(length_m=150.0, landmarks=(gate,))
    placed = place(wicket_layout(), meadow, Place(landmark="gate", offset_m=60.0), lane=1)
    found = {f.code: f.values for f in tape_sheet(placed, TapeSpec(length_m=30.0)).findings}
    assert "tape-told-far" not in found
    assert found["tape-zero-far"]["away_m"] == pytest.approx(60.0)
    near = {f.code for f in tape_sheet(placed, TapeSpec(length_m=60.0)).findings}
    assert "tape-zero-far" not in near


def test_a_short_tape_has_a_zero_of_its_own_for_every_pull():
    sheet = _sheet(spec=TapeSpec(length_m=20.0))
    for pull in sheet.pulls:
        assert len(pull.fixed_points) == 2
    near, finish = sheet.pulls[0].fixed_points
    assert near.distance_m <= 20.0
    assert finish.landmark.key == "finish"
    moved = next(p for p in sheet.pulls[1].fixed_points if p.landmark.key == "finish")
    assert moved.distance_m == pytest.approx(60.0 - 18.725)


def test_on_a_bend_the_painted_line_reads_less_by_the_ratio_of_the_radii():
    sheet = _sheet(where=BEND)
    _, last = sheet.reading("w14")
    assert last.run_line_ticks == last.ticks == 2444
    assert last.painted_ticks == round(2444 * 36.50 / 36.80)
    painted = _sheet(spec=TapeSpec(lies=TapeLies.PAINTED_LINE), where=BEND)
    _, other = painted.reading("w14")
    assert other.ticks == last.painted_ticks
    assert other.run_line_ticks == 2444


def test_readings_on_a_straight_do_not_depend_on_where_the_tape_lies():
    for lies in TapeLies:
        sheet = _sheet(spec=TapeSpec(lies=lies, length_m=60.0))
        _, reading = sheet.reading("w14")
        assert (reading.ticks, reading.run_line_ticks, reading.painted_ticks) == (2444, None, None)
        assert sheet.findings == ()


def test_a_reading_across_a_tangent_point_scales_its_bend_part_only():
    # W1 stands 10 m before the bend, so only what lies beyond those 10 m is shorter.
    where = Place(line="first bend", landmark="finish", mark="w1", offset_m=-10.0)
    _, reading = _sheet(where=where).reading("w14")
    assert reading.painted_ticks == round((10.0 + 14.44 * 36.50 / 36.80) * 100)


def test_a_straight_pull_over_5_m_of_bend_is_refused_with_its_error():
    sheet = _sheet(wicket_layout(wickets=9), TapeSpec(lies=TapeLies.STRAIGHT), where=BEND)
    stops = [f for f in sheet.findings if f.code == "tape-straight-on-bend"]
    assert [f.mark for f in stops] == ["w9", "start"]
    arc = stops[0].values["arc_m"]
    assert arc == pytest.approx(14.94)
    assert stops[0].values["error_mm"] == pytest.approx(1000.0 * (arc - chord_m(arc)))
    assert stops[0].values["limit_m"] == 5.0
    assert sheet.reading("w9")[1].ticks < 1494


def test_a_straight_pull_up_to_5_m_of_bend_is_let_be():
    short = wicket_layout(wickets=3, gap_m=2.0, growth_m=0.0, run_on_m=4.9)
    sheet = _sheet(short, TapeSpec(lies=TapeLies.STRAIGHT), where=BEND)
    assert sheet.findings == ()
    _, start = sheet.reading("start")
    assert start.true_m == pytest.approx(chord_m(4.9))


@pytest.mark.parametrize(
    "wrong", [{"length_m": 0.5}, {"length_m": math.nan}, {"temperature_c": 200.0}]
)
def test_a_tape_that_cannot_be_is_refused(wrong):
    with pytest.raises(DomainError, match="must lie between"):
        TapeSpec(**wrong)
