"""History, large digits, fields as text, the drawing, the shelf: without a screen."""

from dataclasses import replace
from pathlib import Path

import pytest

from tui.bench import shelf
from tui.bench.bench import start_bench
from tui.bench.fields import fields_of, typed
from tui.bench.history import MOST_STEPS, History
from tui.panes.bigtext import PIXEL_ROWS, fitting, has_glyphs, large, small
from tui.panes.rundraw import draw_run, mark_at, rows_for, scale_of
from tui.said.shown import basis_text, marks_shown
from tui.said.shown_lists import SQUAD_HEADS, squad_rows
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import CannotWriteError
from wicketlay.keys.athletes import ATHLETE, SPLITS
from wicketlay.keys.drills import WICKET_RUN
from wicketlay.keys.parts import PLACE
from wicketlay.keys.typed import FieldError, bare_unit, from_text, to_text
from wicketlay.lanes.closing import apart_m
from wicketlay.plan_file import load
from wicketlay.solve import solve
from wicketlay.units import UnitSystem, format_speed
from wicketlay.wording.names import signed_move

LAYOUTS = Path(__file__).parents[2] / "layouts"
_ENDS = ("first", "last")


@pytest.fixture
def bench(plan_path):
    return start_bench(shelf.open_file(plan_path))


def test_the_squad_has_run_on_and_gaps_as_the_tape_shows_them(bench):
    told = {row[1]: row for row in squad_rows(bench)}
    for laying in bench.solved.layings:
        wickets = [each.id for each in laying.layout.of_kind(MarkKind.WICKET)]
        at = {each: laying.tape.reading(each)[1].ticks for each in wickets}
        for demand in laying.demands:
            run_on = apart_m(laying, demand.start_id, wickets[0])
            cells = [
                told[demand.athlete.name][SQUAD_HEADS.index(f"{which} gap")] for which in _ENDS
            ]
            assert cells == [f"{(at[b] - at[a]) / 100:.2f}" for a, b in (wickets[:2], wickets[-2:])]
            assert told[demand.athlete.name][SQUAD_HEADS.index("run-on")] == f"{run_on:.2f}"


@pytest.mark.parametrize("layout", ["broken-run", "flying-20"])
def test_a_mark_shared_with_others_is_met_at_the_speed_of_the_athlete_on_view(layout):
    plan = load(LAYOUTS / f"{layout}.toml")
    one = replace(plan.athletes[0], name="One", flying=None, splits=None, top_speed_mps=7.0)
    pair = (one, replace(one, name="Other", top_speed_mps=8.0))
    solved = solve(replace(plan, athletes=pair, adjustments=()))
    (laying,) = solved.layings
    told = set()
    for demand in laying.demands:
        alone = {mark.id: mark.speed_mps for mark in demand.layout.marks}
        rows = [row for row in marks_shown(solved, laying, demand) if row.id in alone]
        assert [row.speed for row in rows] == [format_speed(alone[row.id]) for row in rows]
        told.add(rows[-1].speed)
    assert len(told) == len(pair)


def test_history_drops_what_was_undone_when_something_else_is_done():
    history = History("a")
    history.push("b", "to b")
    history.push("c", "to c")
    assert history.undo() == "to c"
    history.push("d", "to d")
    assert not history.can_redo
    assert history.undo() == "to d"
    assert history.plan == "b"
    with pytest.raises(IndexError):
        history.redo() and history.redo()


def test_history_keeps_a_thousand_changes():
    history = History(0)
    for number in range(1, MOST_STEPS + 50):
        history.push(number, "")
    undone = 0
    while history.can_undo:
        history.undo()
        undone += 1
    assert undone == MOST_STEPS


def test_large_digits_tell_each_other_apart_at_both_sizes():
    for draw in (small, large):
        assert len({draw(digit) for digit in "0123456789"}) == 10
        lines = draw("W10 12.34")
        assert len({len(line) for line in lines}) == 1
    assert len(large("8")) == PIXEL_ROWS
    assert len(small("8")) == PIXEL_ROWS // 2


@pytest.mark.parametrize("text", ["12.34", "0 ft 5 1/2 in", "W14 25.00"])
def test_every_reading_has_its_glyphs(text):
    assert has_glyphs(text)


def test_a_text_that_does_not_fit_large_is_written_small():
    assert fitting("12.34", 200, 6) == large("12.34")
    assert fitting("12.34", 30, 6) == small("12.34")
    assert fitting("12.34", 10, 6) == ("12.34",)
    assert fitting("GATE 1", 200, 6) == ("GATE 1",)


def codec_of(record, key):
    return next(entry.codec for entry in record.entries if entry.key == key)


@pytest.mark.parametrize(
    ("record", "key", "text", "value"),
    [
        (WICKET_RUN, "speed", "95", 0.95),
        (WICKET_RUN, "speed", "95 %", 0.95),
        (WICKET_RUN, "section", "25", 25.0),
        (WICKET_RUN, "section", "82 ft", 82 * 0.3048),
        (WICKET_RUN, "wickets", "12", 12),
        (WICKET_RUN, "run_on", "12 steps", 12),
        (ATHLETE, "height", "1,66", 1.66),
        (ATHLETE, "height", "166", 1.66),
        (ATHLETE, "height", "5 ft 5 1/2 in", 65.5 * 0.0254),
        (ATHLETE, "age", "12", 12.0),
        (SPLITS, "distances", "10 20 30", (10.0, 20.0, 30.0)),
        (SPLITS, "times", "1.95 s, 3.20 s", (1.95, 3.20)),
        (PLACE, "lanes", "4 5", (4, 5)),
        (PLACE, "lanes", "4,5", (4, 5)),
    ],
)
def test_what_is_typed_is_read_as_the_field_shows_it(record, key, text, value):
    assert from_text(codec_of(record, key), text) == pytest.approx(value)


@pytest.mark.parametrize(
    ("record", "key", "text", "said"),
    [
        (WICKET_RUN, "speed", "195", '"195 %" is too large; allowed: 50 % to 100 %'),
        (WICKET_RUN, "cadence", "98 %", 'write "98 % of top" or "98 % of natural"'),
        (ATHLETE, "height", "66", 'length "66" has no unit; write "66 in"'),
        (ATHLETE, "height", "1,665", "1,665"),
        (ATHLETE, "sex", "females", '"females" is unknown; allowed: "f", "m"'),
        (WICKET_RUN, "wickets", "many", '"many" is not a whole number'),
    ],
)
def test_what_cannot_be_taken_is_told_in_the_plan_files_words(record, key, text, said):
    with pytest.raises(FieldError) as refused:
        from_text(codec_of(record, key), text)
    assert said in str(refused.value)


def test_a_field_in_feet_shows_and_takes_feet():
    section = codec_of(WICKET_RUN, "section")
    assert bare_unit(section, feet=True) == "ft"
    assert to_text(section, 66 * 0.3048, feet=True) == "66 ft"
    assert from_text(section, "66", feet=True) == pytest.approx(66 * 0.3048)


def test_every_field_takes_what_it_shows_and_changes_nothing(bench):
    parts = ("drill", "athlete", "place", "ground", "kit", "tape", "plan", "session")
    for field in fields_of(bench.plan, "Tarik", parts):
        if field.text:
            edit = typed(bench.plan, "Tarik", field.id, field.text)
            assert edit.plan == bench.plan, field


def test_wickets_take_the_section_out_and_the_other_way_round(bench):
    plan = typed(bench.plan, None, "drill.section", "20 m").plan
    assert (plan.drill.section_m, plan.drill.wickets) == (20.0, None)
    plan = typed(plan, None, "drill.wickets", "8").plan
    assert (plan.drill.section_m, plan.drill.wickets) == (None, 8)


def test_a_name_that_is_taken_is_refused(bench):
    with pytest.raises(FieldError, match="is the name of another athlete"):
        typed(bench.plan, "Tarik", "athlete.name", "wren")


def test_marks_stand_in_order_and_to_scale_in_the_drawing(bench):
    laying = bench.laying
    scale = scale_of(laying, 120, section_only=False)
    marks = laying.layout.marks
    columns = [scale.column(float(mark.along_m)) for mark in marks]
    assert columns == sorted(columns)
    run_on = (marks[1].along_m - marks[0].along_m) / (scale.to_m - scale.from_m)
    assert columns[1] - columns[0] == pytest.approx(run_on * (scale.columns - 1), abs=1)
    for mark, column in zip(marks, columns, strict=True):
        found = mark_at(laying, 120, column, section_only=False)
        assert scale.column(float(laying.layout.mark(found).along_m)) == column, mark


@pytest.mark.parametrize("section_only", [False, True])
@pytest.mark.parametrize(
    ("layout", "first", "last"),
    [
        ("broken-run", "start", "cone3"),
        ("bend-accelerations", "start", "step8"),
        ("flying-20", "gate1", "gate2"),
    ],
)
def test_the_length_of_a_section_stands_below_the_marks_it_lies_between(
    layout, first, last, section_only
):
    solved = solve(load(LAYOUTS / f"{layout}.toml"))
    laying, unit = solved.layings[0], UnitSystem.METRIC
    begin, end = (float(laying.layout.mark(each).along_m) for each in (first, last))
    shown = marks_shown(solved, laying, laying.demands[0])
    drawn = draw_run(
        laying,
        laying.demands[0],
        shown,
        None,
        unit,
        width=120,
        height=12,
        section_only=section_only,
    )
    *_, lane, told = drawn.plain.splitlines()
    scale = scale_of(laying, 120, section_only=section_only)
    left, right = scale.column(begin), scale.column(end)
    assert set(lane[left + 1 : right]) <= set("━•▲╪")
    assert f"section {end - begin:.2f} m" in told[left:right]


@pytest.mark.parametrize("section_only", [False, True])
@pytest.mark.parametrize(
    "layout", ["broken-run", "flying-20", "bend-accelerations", "shared-lanes"]
)
def test_speed_is_drawn_over_the_whole_run_of_any_drill(layout, section_only):
    solved = solve(load(LAYOUTS / f"{layout}.toml"))
    laying = solved.layings[0]
    demand = laying.demands[0]
    shown = marks_shown(solved, laying, demand)
    drawn = draw_run(
        laying,
        demand,
        shown,
        None,
        UnitSystem.METRIC,
        width=120,
        height=18,
        section_only=section_only,
    )
    lowest = drawn.plain.splitlines()[rows_for(18).speed - 1]
    scale = scale_of(laying, 120, section_only=section_only)
    first, last = float(demand.start_along_m), float(laying.layout.run_out_from_m)
    filled = {at for at, sign in enumerate(lowest) if sign in "▁▂▃▄▅▆▇█"}
    # Standing at the start mark there is no bar yet.
    told = range(max(scale.column(first) + 1, 9), min(scale.column(last), 108) + 1)
    assert set(told) == filled - {scale.column(first)}


@pytest.mark.parametrize(
    ("move_m", "text"), [(0.06, "+6 cm"), (-0.30, "-30 cm"), (4.0, "+4.00 m"), (-1.5, "-1.50 m")]
)
def test_a_move_has_its_sign(move_m, text):
    assert signed_move(move_m, "metric") == text


def test_a_new_name_never_takes_another_file(bench):
    Path("harbour-2.toml").write_text("mine", encoding="utf-8")
    assert shelf.free_name(Path(), "harbour") == Path("harbour-3.toml")
    for path in (Path("harbour-2.toml"), Path("plan.txt")):
        with pytest.raises(CannotWriteError):
            shelf.save_as(bench.opened, bench.plan, path)
    assert Path("harbour-2.toml").read_text(encoding="utf-8") == "mine"


def test_save_as_writes_the_plan_as_it_is_on_view(bench):
    bench.do(lambda plan: typed(plan, None, "drill.wickets", "8"))
    opened = shelf.save_as(bench.opened, bench.plan, Path("copy.toml"))
    assert load("copy.toml") == bench.plan
    assert load("harbour.toml") != bench.plan
    opened.close()


def test_a_state_folder_that_cannot_be_read_is_no_harm(own_folders):
    folder = shelf.state_folder()
    folder.mkdir(parents=True)
    (folder / "recent.json").write_text("{not json", encoding="utf-8")
    assert shelf.recent() == ()
    (folder / "recent.json").write_text('[1, "gone.toml"]', encoding="utf-8")
    assert shelf.recent() == ()


def test_the_workbench_imports_nothing_of_the_commands():
    import ast

    import tui

    for path in Path(tui.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not any(name.startswith("wicketlay.cli") for name in names), path


def test_the_cadence_seen_stands_beside_the_one_asked_where_the_speed_is_told():
    layouts = Path(__file__).parents[2] / "layouts"
    for name, told in (("height-only", True), ("tuesday-wickets", False)):
        demand = solve(load(layouts / f"{name}.toml")).layings[0].demands[0]
        line = basis_text(demand, UnitSystem.METRIC)
        assert line.endswith("; asked 3.93 steps/s, seen 4.00 steps/s at 95 %") is told
        assert ("seen" in line) is told
