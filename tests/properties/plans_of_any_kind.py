"""Athletes and plans of any kind that a coach could have, for properties of the whole line."""

from __future__ import annotations

import datetime as dt

from hypothesis import strategies as st

from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.wicket_run import GapRule, WicketRun
from wicketlay.ground.placing import Place
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import TapeSpec
from wicketlay.ground.track import Track
from wicketlay.plan import Plan
from wicketlay.running.athlete import Athlete, FlyingTime, Foot, Observation, Sex
from wicketlay.running.touchdowns import StartKind

GRASS = Strip(length_m=300.0)
TRACK = Track()
PLACES = {
    "grass": (GRASS, Place(lanes=(1,), mark="w1", offset_m=120.0)),
    "straight": (
        TRACK,
        Place(line="home straight", lanes=(4,), landmark="finish", mark="w1", offset_m=-60.0),
    ),
    "bend": (TRACK, Place(line="second bend", lanes=(3,), mark="w1", offset_m=60.0)),
}


def rounded(low: float, high: float, places: int = 3) -> st.SearchStrategy[float]:
    """Floats with as many places as somebody would write."""
    return st.floats(low, high).map(lambda value: round(value, places))


def athletes(name: str = "A") -> st.SearchStrategy[Athlete]:
    """Anybody from a child to a champion, known in any of the ways there are."""
    speeds = st.one_of(
        st.fixed_dictionaries({"top_speed_mps": rounded(5.0, 11.8)}),
        st.fixed_dictionaries(
            {
                "flying": st.builds(
                    FlyingTime,
                    distance_m=st.just(20.0),
                    time_s=rounded(1.8, 3.6, 2),
                    run_on_m=rounded(25.0, 40.0, 1),
                )
            }
        ),
    )
    runs = st.lists(
        st.builds(
            Observation,
            date=st.dates(dt.date(2026, 1, 1), dt.date(2026, 3, 1)),
            step_m=rounded(1.6, 2.2, 2),
            speed_mps=rounded(6.5, 9.5, 1),
            held_share=rounded(0.8, 0.98, 2),
        ),
        max_size=2,
        unique_by=lambda run: run.date,
    ).map(tuple)
    return st.builds(
        lambda known, **more: Athlete(name=name, **known, **more),
        speeds,
        height_m=rounded(1.45, 2.0, 2),
        sex=st.sampled_from([None, *Sex]),
        time_constant_s=st.none() | rounded(0.85, 1.4, 2),
        front_foot=st.sampled_from([None, *Foot]),
        observations=runs,
    )


CADENCES = st.one_of(
    st.just(CadenceTarget()),
    st.builds(
        CadenceTarget,
        rule=st.sampled_from([CadenceRule.OF_TOP, CadenceRule.OF_NATURAL]),
        value=rounded(0.9, 1.1),
    ),
    st.builds(CadenceTarget, rule=st.just(CadenceRule.STEPS_PER_S), value=rounded(3.4, 5.0, 2)),
)


@st.composite
def wicket_runs(draw, **fixed) -> WicketRun:
    """Any wicket run."""
    length = draw(
        st.one_of(
            st.builds(dict, wickets=st.integers(2, 16)),
            st.builds(dict, section_m=rounded(8.0, 30.0, 1)),
        )
    )
    chosen = {
        "speed_share": draw(rounded(0.7, 1.0)),
        "cadence": draw(CADENCES),
        "gaps": draw(st.sampled_from(GapRule)),
        "group": draw(st.integers(2, 5)),
        "start": draw(st.sampled_from(StartKind)),
        "first_foot": draw(st.sampled_from([None, *Foot])),
        **length,
    }
    return WicketRun(**(chosen | fixed))


@st.composite
def plans(draw, *, where: tuple[str, ...] = tuple(PLACES), **fixed) -> Plan:
    """Any plan of one athlete and a wicket run."""
    ground, place = PLACES[draw(st.sampled_from(where))]
    chosen = {
        "athletes": (draw(athletes()),),
        "drill": draw(wicket_runs()),
        "tape": TapeSpec(length_m=draw(st.sampled_from([30.0, 50.0, 100.0]))),
    }
    return Plan(title="Any", ground=ground, place=place, **(chosen | fixed))
