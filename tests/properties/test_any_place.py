"""What must hold of any place: walls, obstacles of any outline, any line, words and units."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace
from typing import TYPE_CHECKING

import jsonschema
from hypothesis import strategies as st
from plans_of_any_kind import rounded
from practices_of_any_kind import csv_rows, few_and_many, for_any, practices

from wicketlay.errors import DomainError
from wicketlay.export import as_csv, as_json, as_sharing, as_stages, as_table, as_text, schema
from wicketlay.findings import Level
from wicketlay.ground import Runway, Strip, Track
from wicketlay.ground.course import Obstacle
from wicketlay.ground.finding_places import find_places
from wicketlay.ground.lines import Pose
from wicketlay.ground.placing import Fit, place
from wicketlay.ground.runway import Event
from wicketlay.sheets import KINDS, make_pages, write_pdf
from wicketlay.solve import places_for, solve

if TYPE_CHECKING:
    from wicketlay.plan import Plan

SCHEMA = jsonschema.Draft202012Validator(schema())


@st.composite
def outlines(draw) -> tuple[Obstacle, ...]:
    """A few obstacles with corners anywhere, those that cannot be outlines left out."""
    found = []
    for number in range(draw(st.integers(0, 3))):
        x, y = draw(rounded(-120.0, 120.0, 1)), draw(rounded(-12.0, 80.0, 1))
        corners = draw(
            st.lists(
                st.tuples(rounded(-3.0, 3.0, 1), rounded(-3.0, 3.0, 1)), min_size=3, max_size=7
            )
        )
        if draw(st.booleans()):  # in order round it; else they mostly cross
            corners.sort(key=lambda each: math.atan2(each[1], each[0]))
        try:
            found.append(
                Obstacle(
                    name=f"thing {number}",
                    corners=tuple((x + dx, y + dy) for dx, dy in corners),
                    clearance_m=draw(rounded(0.0, 2.0, 1)),
                )
            )
        except DomainError as error:
            assert "cross or touch" in str(error)  # noqa: PT017 - the refusal is what is checked
    return tuple(found)


STRIPS = st.builds(
    Strip,
    length_m=rounded(25.0, 250.0, 1),
    lanes=st.integers(2, 8),
    wall_at_start=st.booleans(),
    wall_at_end=st.booleans(),
    origin=st.builds(
        Pose,
        x_m=rounded(-50.0, 50.0, 1),
        y_m=rounded(-50.0, 50.0, 1),
        heading_rad=rounded(-3.0, 3.0, 2),
    ),
    obstacles=outlines(),
)
TRACKS = st.builds(
    Track,
    finish_to_bend_m=rounded(0.0, 10.0, 1),
    run_out_m=st.none() | rounded(10.0, 60.0, 1),
    wall_behind_start=st.booleans(),
    wall_beyond_finish=st.booleans(),
    obstacles=outlines(),
)
RUNWAYS = st.builds(
    Runway,
    event=st.sampled_from(Event),
    length_m=rounded(15.0, 60.0, 1),
    wall_at_start=st.booleans(),
    obstacles=outlines(),
)


@st.composite
def placed_plans(draw) -> Plan:
    """A practice of any kind, on a ground with walls and obstacles, told in any way."""
    plan = draw(practices(most=3))
    ground = draw(st.one_of(STRIPS, TRACKS, RUNWAYS))
    line = draw(st.none() | st.sampled_from(ground.lines) | st.just("Nowhere"))
    lanes = plan.place.lanes if isinstance(ground, Strip | Track) else (1,)
    there = replace(
        plan.place,
        line=line,
        lanes=lanes,
        fit=draw(st.sampled_from([Fit.GIVEN, *Fit])),
        mark=draw(st.sampled_from([None, "W1", "start", "w99"])),
        landmark=draw(st.none() | st.sampled_from(["Finish", "board", "end wall", "nothing"])),
        slide_m=draw(st.sampled_from([0.0, 0.0, 0.5, -1000.0, 1000.0])),
    )
    kit = replace(plan.kit, falls_both_ways=draw(st.booleans()))
    return replace(plan, ground=ground, place=there, kit=kit)


PAPERS = st.sampled_from(["a4", "letter", "a5", "phone"])


@few_and_many(few=10, many=400)
@for_any(placed_plans(), PAPERS)
def test_nothing_raises_from_the_plan_to_its_pages(plan, paper):
    solved = solve(plan)
    SCHEMA.validate(json.loads(as_json(solved)))
    places_for(solved)
    for text in (as_table(solved), as_text(solved), as_sharing(solved), as_stages(solved)):
        assert text.replace("\n", "").isprintable()
    assert as_csv(solved).count("\n") == 1 + csv_rows(solved)
    document = make_pages(solved, only=KINDS, paper=paper)
    assert write_pdf(document, io.BytesIO()) >= 1


@few_and_many(few=10, many=300)
@for_any(placed_plans())
def test_a_place_that_is_found_is_nowhere_stopped_nor_short_of_its_slow_down(plan):
    for laying in solve(plan).layings[:1]:
        for spot, room in find_places(laying.layout, plan.ground, kit=plan.kit):
            laid = place(laying.layout, plan.ground, spot, lane=spot.lanes[0], kit=plan.kit)
            said = [f.code for f in laid.findings if f.level is Level.STOP]
            said += [f.code for f in laid.findings if f.code.startswith("ground-run-out-short")]
            assert said == []
            assert room >= 0.0
